#include "read/style.h"

#include "read/decode.h"

#include <stdlib.h>
#include <string.h>

/* Comparisons of selectors with elements before the sheet is called too complex: about a second. */
static const size_t steps_allowed = 100000000;

enum simple_kind {
    SIMPLE_ANY,
    SIMPLE_TYPE,
    SIMPLE_CLASS,
    SIMPLE_ID,
    SIMPLE_ATTRIBUTE,
    SIMPLE_ROOT,
};

/* One condition. A selector is a run of them from right to left; `joint` is what stands to the left
 * of a compound's last condition. */
struct simple {
    enum simple_kind kind;
    char joint; /* 0 within a compound, ' ' or '>' before it, '^' where the selector begins */
    char test;  /* of an attribute: 0 for mere presence, or = ~ | ^ $ * */
    enum key key;
    struct slice text;
};

struct rule {
    uint32_t simple, simple_count;
    uint32_t declaration, declaration_count;
    uint32_t specificity;
    uint32_t next; /* in its bucket */
};

struct declaration {
    enum key key;
    bool important;
    struct slice value;
};

static bool is_name(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_' || ((unsigned char)c & 0x80);
}

static bool same(struct slice a, const char *b, size_t length)
{
    return a.length == length && memcmp(a.text, b, length) == 0;
}

/* ---- declarations ---- */

/* Properties that matter here. */
static bool is_property(enum key key)
{
    switch (key) {
    case KEY_TRANSFORM:
    case KEY_ORIGIN:
    case KEY_X:
    case KEY_Y:
    case KEY_WIDTH:
    case KEY_HEIGHT:
    case KEY_D:
    case KEY_CX:
    case KEY_CY:
    case KEY_R:
    case KEY_RX:
    case KEY_RY:
        return true;
    default:
        return key >= KEY_DISPLAY && key < KEY_COUNT;
    }
}

/* The length up to one of two marks outside quotes, parentheses and braces, or all of it. */
static size_t find_either(struct slice text, char mark, char other)
{
    size_t depth = 0;

    for (size_t i = 0; i < text.length; i++) {
        char c = text.text[i];
        if (c == '\\') {
            i++;
        } else if (c == '"' || c == '\'') {
            for (i++; i < text.length && text.text[i] != c; i++)
                if (text.text[i] == '\\')
                    i++;
        } else if (depth == 0 && (c == mark || c == other)) {
            return i;
        } else if (c == '(' || c == '{' || c == '[') {
            depth++;
        } else if ((c == ')' || c == '}' || c == ']') && depth > 0) {
            depth--;
        }
    }
    return text.length;
}

static size_t find_mark(struct slice text, char mark)
{
    return find_either(text, mark, mark);
}

static struct slice drop(struct slice from, size_t count)
{
    count = count < from.length ? count : from.length;
    return (struct slice){from.text + count, from.length - count};
}

/* Take one declaration from the front. False when there is none left; key is KEY_COUNT when it is of
 * no interest. */
static bool take_declaration(struct slice *from, struct declaration *out)
{
    size_t end, colon;
    struct slice one, name, value;

    skip_blanks(from);
    if (from->length == 0)
        return false;
    end = find_mark(*from, ';');
    one = (struct slice){from->text, end};
    *from = drop(*from, end + 1);
    out->key = KEY_COUNT;
    colon = find_mark(one, ':');
    if (colon == one.length)
        return true;
    name = slice_trim((struct slice){one.text, colon});
    value = slice_trim(drop(one, colon + 1));
    out->important = false;
    for (size_t i = value.length; i-- > 0;) {
        if (value.text[i] != '!')
            continue;
        if (!slice_is(slice_trim(drop(value, i + 1)), "important"))
            return true;
        out->important = true;
        value = slice_trim((struct slice){value.text, i});
        break;
    }
    out->value = value;
    if (value.length > 0) {
        char lower[32];
        if (name.length >= sizeof lower)
            return true;
        for (size_t i = 0; i < name.length; i++) {
            char c = name.text[i];
            lower[i] = (char)(c >= 'A' && c <= 'Z' ? c | 0x20 : c);
        }
        out->key = key_named(lower, name.length);
        if (out->key != KEY_COUNT && !is_property(out->key))
            out->key = KEY_COUNT;
    }
    return true;
}

/* ---- reading selectors ---- */

struct reader {
    struct sheet *sheet;
    int line;
    bool told;
    struct rab_warnings *notes;
    struct rab_error *err;
};

static bool tell(struct reader *reader, const char *what, struct slice text)
{
    if (reader->told)
        return true;
    reader->told = true;
    return rab_warn(reader->notes, reader->err, "style", reader->line,
                    "%s \"%s\" of the style sheet is not understood and left out", what,
                    quote_text(text.text, text.length).text);
}

static struct slice take_name(struct slice *from)
{
    size_t length = 0;
    struct slice name;

    while (length < from->length && is_name(from->text[length]))
        length++;
    name = (struct slice){from->text, length};
    *from = drop(*from, length);
    return name;
}

/* What stands in brackets. */
static bool take_attribute(struct slice *from, struct simple *out)
{
    struct slice name;

    skip_blanks(from);
    name = take_name(from);
    out->kind = SIMPLE_ATTRIBUTE;
    out->key = key_named(name.text, name.length);
    out->test = 0;
    out->text = (struct slice){"", 0};
    if (name.length == 0 || out->key == KEY_COUNT)
        return false;
    skip_blanks(from);
    if (from->length > 1 && strchr("~|^$*", *from->text)) {
        out->test = *from->text;
        *from = drop(*from, 1);
    }
    if (from->length > 0 && *from->text == '=') {
        out->test = out->test ? out->test : '=';
        *from = drop(*from, 1);
        skip_blanks(from);
        if (from->length > 0 && (*from->text == '"' || *from->text == '\'')) {
            const char *end = memchr(from->text + 1, *from->text, from->length - 1);
            if (!end)
                return false;
            out->text = (struct slice){from->text + 1, (size_t)(end - from->text) - 1};
            *from = drop(*from, out->text.length + 2);
        } else {
            out->text = take_name(from);
        }
        skip_blanks(from);
    } else if (out->test) {
        return false;
    }
    if (from->length == 0 || *from->text != ']')
        return false;
    *from = drop(*from, 1);
    return true;
}

/* One condition from the front of a compound; false when it is not understood. */
static bool take_simple(struct slice *from, struct simple *out)
{
    char c = *from->text;

    *out = (struct simple){.text = {"", 0}};
    switch (c) {
    case '*':
        *from = drop(*from, 1);
        out->kind = SIMPLE_ANY;
        return true;
    case '.':
    case '#':
        *from = drop(*from, 1);
        out->kind = c == '.' ? SIMPLE_CLASS : SIMPLE_ID;
        out->text = take_name(from);
        return out->text.length > 0;
    case '[':
        *from = drop(*from, 1);
        return take_attribute(from, out);
    case ':':
        *from = drop(*from, 1);
        out->kind = SIMPLE_ROOT;
        return slice_is(take_name(from), "root") && (from->length == 0 || *from->text != '(');
    default:
        out->kind = SIMPLE_TYPE;
        out->text = take_name(from);
        return out->text.length > 0 && (from->length == 0 || *from->text != '|');
    }
}

static uint32_t specificity_of(enum simple_kind kind)
{
    switch (kind) {
    case SIMPLE_ID:
        return 1U << 20;
    case SIMPLE_CLASS:
    case SIMPLE_ATTRIBUTE:
    case SIMPLE_ROOT:
        return 1U << 10;
    case SIMPLE_TYPE:
        return 1;
    default:
        return 0;
    }
}

/* Append a selector's conditions to the sheet, left to right. *understood tells whether to keep it. */
static bool read_selector(struct reader *reader, struct slice text, struct rule *rule,
                          bool *understood)
{
    enum { MOST = 64 }; /* conditions; keeps specificity within its bits */
    struct sheet *sheet = reader->sheet;
    struct slice from = slice_trim(text);
    char joint = '^';

    *understood = from.length > 0;
    rule->simple = (uint32_t)sheet->simple_count;
    rule->simple_count = 0;
    rule->specificity = 0;
    while (from.length > 0 && *understood) {
        struct simple simple;
        size_t blanks = from.length;

        skip_blanks(&from);
        if (joint == 0 && from.length < blanks)
            joint = ' ';
        if (joint != '^' && from.length > 0 && *from.text == '>') {
            joint = '>';
            from = drop(from, 1);
            skip_blanks(&from);
        }
        if (from.length == 0 || !take_simple(&from, &simple) || rule->simple_count == MOST) {
            *understood = false;
            break;
        }
        simple.joint = joint;
        joint = 0;
        rule->specificity += specificity_of(simple.kind);
        if (!rab_reserve((void **)&sheet->simples, &sheet->simple_capacity, sheet->simple_count + 1,
                         sizeof simple, reader->err))
            return false;
        sheet->simples[sheet->simple_count++] = simple;
        rule->simple_count++;
    }
    return true;
}

/* ---- reading sheets ---- */

static bool add_rule(struct reader *reader, struct slice selectors, uint32_t first, uint32_t count)
{
    struct sheet *sheet = reader->sheet;

    while (selectors.length > 0) {
        size_t end = find_mark(selectors, ',');
        struct slice selector = {selectors.text, end};
        struct rule rule = {.declaration = first, .declaration_count = count};
        bool understood;

        selectors = drop(selectors, end + 1);
        if (!read_selector(reader, selector, &rule, &understood))
            return false;
        if (!understood) {
            sheet->simple_count = rule.simple;
            if (!tell(reader, "the selector", slice_trim(selector)))
                return false;
            continue;
        }
        if (!rab_reserve((void **)&sheet->rules, &sheet->rule_capacity, sheet->rule_count + 1,
                         sizeof rule, reader->err))
            return false;
        sheet->rules[sheet->rule_count++] = rule;
    }
    return true;
}

static bool read_block(struct reader *reader, struct slice selectors, struct slice block)
{
    struct sheet *sheet = reader->sheet;
    size_t first = sheet->declaration_count;
    struct declaration declaration;

    while (take_declaration(&block, &declaration)) {
        if (declaration.key == KEY_COUNT)
            continue;
        if (!rab_reserve((void **)&sheet->declarations, &sheet->declaration_capacity,
                         sheet->declaration_count + 1, sizeof declaration, reader->err))
            return false;
        sheet->declarations[sheet->declaration_count++] = declaration;
    }
    if (sheet->declaration_count == first)
        return true; /* nothing that could change an outline */
    return add_rule(reader, selectors, (uint32_t)first,
                    (uint32_t)(sheet->declaration_count - first));
}

/* @-rules that cannot change what is shown. */
static bool is_harmless(struct slice name)
{
    static const char *const names[] = {"charset",   "font-face", "namespace",
                                        "keyframes", "-webkit-keyframes", "page",
                                        "font-feature-values", "counter-style", "property"};

    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (slice_is(name, names[i]))
            return true;
    return false;
}

static bool skip_at_rule(struct reader *reader, struct slice *from)
{
    struct slice all = *from, name;
    size_t end = find_either(*from, ';', '{');
    bool has_block = end < all.length && all.text[end] == '{';

    *from = drop(*from, 1);
    name = take_name(from);
    *from = drop(all, end + 1);
    if (has_block)
        *from = drop(*from, find_mark(*from, '}') + 1);
    return is_harmless(name) || tell(reader, "the rule", (struct slice){all.text, end});
}

static bool read_sheet(struct reader *reader, const char *text)
{
    struct slice from = slice_of(text);

    for (skip_blanks(&from); from.length > 0; skip_blanks(&from)) {
        struct slice selectors, block;
        size_t end;

        if (from.length >= 4 && memcmp(from.text, "<!--", 4) == 0) {
            from = drop(from, 4);
            continue;
        }
        if (from.length >= 3 && memcmp(from.text, "-->", 3) == 0) {
            from = drop(from, 3);
            continue;
        }
        if (*from.text == '@') {
            if (!skip_at_rule(reader, &from))
                return false;
            continue;
        }
        end = find_mark(from, '{');
        if (end == from.length)
            break;
        selectors = (struct slice){from.text, end};
        from = drop(from, end + 1);
        end = find_mark(from, '}');
        block = (struct slice){from.text, end};
        from = drop(from, end + 1);
        if (!read_block(reader, selectors, block))
            return false;
    }
    return true;
}

static bool is_wanted(const struct tree *tree, uint32_t node)
{
    const char *type = tree_attribute(tree, node, KEY_TYPE);
    const char *media = tree_attribute(tree, node, KEY_MEDIA);

    if (type && type[0] && !slice_is(slice_trim(slice_of(type)), "text/css"))
        return false;
    return !media || strstr(media, "all") || strstr(media, "screen") || media[0] == '\0';
}

/* ---- finding rules ---- */

static size_t hash(enum simple_kind kind, const char *text, size_t length)
{
    uint64_t h = 14695981039346656037U + (uint64_t)kind; /* FNV-1a */

    for (size_t i = 0; i < length; i++)
        h = (h ^ (unsigned char)text[i]) * 1099511628211U;
    return (size_t)(h ^ h >> 32);
}

/* The condition by which a rule is found: the most telling one of its last compound. */
static size_t bucket_of(const struct sheet *sheet, const struct rule *rule)
{
    const struct simple *best = NULL;

    for (uint32_t i = rule->simple_count; i-- > 0;) {
        const struct simple *simple = &sheet->simples[rule->simple + i];
        if (simple->kind == SIMPLE_TYPE || simple->kind == SIMPLE_CLASS || simple->kind == SIMPLE_ID)
            if (!best || simple->kind > best->kind)
                best = simple;
        if (simple->joint != 0)
            break;
    }
    if (!best)
        return hash(SIMPLE_ANY, "", 0) % sheet->bucket_count;
    return hash(best->kind, best->text.text, best->text.length) % sheet->bucket_count;
}

static bool index_rules(struct sheet *sheet, struct rab_error *err)
{
    if (sheet->rule_count == 0)
        return true;
    sheet->bucket_count = sheet->rule_count * 2 + 1;
    sheet->buckets = malloc(sheet->bucket_count * sizeof *sheet->buckets);
    if (!sheet->buckets)
        return rab_fail_memory(err);
    for (size_t i = 0; i < sheet->bucket_count; i++)
        sheet->buckets[i] = NO_NODE;
    for (size_t i = 0; i < sheet->rule_count; i++) {
        size_t bucket = bucket_of(sheet, &sheet->rules[i]);
        sheet->rules[i].next = sheet->buckets[bucket];
        sheet->buckets[bucket] = (uint32_t)i;
    }
    return true;
}

bool sheet_read(struct sheet *sheet, const struct tree *tree, struct rab_warnings *notes,
                struct rab_error *err)
{
    struct reader reader = {.sheet = sheet, .notes = notes, .err = err};

    for (uint32_t i = 0; i < tree->count; i++) {
        if (tree->nodes[i].tag != TAG_STYLE || !tree->nodes[i].content || !is_wanted(tree, i))
            continue;
        reader.line = tree->nodes[i].line;
        if (!read_sheet(&reader, tree->nodes[i].content))
            return false;
    }
    return index_rules(sheet, err);
}

void sheet_clear(struct sheet *sheet)
{
    free(sheet->rules);
    free(sheet->simples);
    free(sheet->declarations);
    free(sheet->buckets);
    *sheet = (struct sheet){0};
}

/* ---- matching ---- */

/* Is the word among the blank-separated ones of text? */
static bool has_word(const char *text, struct slice word)
{
    while (*text) {
        size_t length;
        text += strspn(text, " \t\n\r\f");
        length = strcspn(text, " \t\n\r\f");
        if (length > 0 && same(word, text, length))
            return true;
        text += length;
    }
    return false;
}

static bool matches_attribute(const struct simple *simple, const char *value)
{
    size_t length = strlen(value), wanted = simple->text.length;

    switch (simple->test) {
    case 0:
        return true;
    case '=':
        return same(simple->text, value, length);
    case '~':
        return has_word(value, simple->text);
    case '|':
        return length >= wanted && memcmp(value, simple->text.text, wanted) == 0 &&
               (value[wanted] == '\0' || value[wanted] == '-');
    case '^':
        return wanted > 0 && length >= wanted && memcmp(value, simple->text.text, wanted) == 0;
    case '$':
        return wanted > 0 && length >= wanted &&
               memcmp(value + length - wanted, simple->text.text, wanted) == 0;
    default:
        return wanted > 0 && memmem(value, length, simple->text.text, wanted);
    }
}

static bool matches_simple(struct sheet *sheet, const struct tree *tree, uint32_t node,
                           const struct simple *simple)
{
    const char *value;

    switch (simple->kind) {
    case SIMPLE_ANY:
        return true;
    case SIMPLE_TYPE:
        return same(simple->text, tree->nodes[node].name, strlen(tree->nodes[node].name));
    case SIMPLE_CLASS:
        value = tree_attribute(tree, node, KEY_CLASS);
        sheet->steps += value ? strlen(value) / 2 : 0;
        return value && has_word(value, simple->text);
    case SIMPLE_ID:
        value = tree_attribute(tree, node, KEY_ID);
        return value && same(simple->text, value, strlen(value));
    case SIMPLE_ROOT:
        return node == 0;
    default:
        value = tree_attribute(tree, node, simple->key);
        return value && matches_attribute(simple, value);
    }
}

/* The conditions [*start, end) of the compound that ends before `end`. */
static bool matches_compound(struct sheet *sheet, const struct tree *tree, uint32_t node,
                             const struct simple *first, size_t end, size_t *start)
{
    size_t at = end;

    do {
        at--;
    } while (first[at].joint == 0);
    *start = at;
    for (; at < end; at++) {
        sheet->steps++;
        if (!matches_simple(sheet, tree, node, &first[at]))
            return false;
    }
    return true;
}

/*
 * From right to left. When a compound fails where a parent was asked for, everything to the right up
 * to the nearest ' ' is tried again one ancestor higher; no earlier choice need be undone, because
 * the lowest ancestors that match leave the most room above (as with * in file name patterns).
 */
static bool matches_rule(struct sheet *sheet, const struct tree *tree, uint32_t node,
                         const struct rule *rule)
{
    const struct simple *first = &sheet->simples[rule->simple];
    size_t end = rule->simple_count, start, retry_end = 0;
    uint32_t retry = NO_NODE;

    if (!matches_compound(sheet, tree, node, first, end, &start))
        return false;
    while (first[start].joint != '^') {
        node = tree->nodes[node].parent;
        end = start;
        if (first[start].joint == ' ') {
            retry = node;
            retry_end = end;
        }
        while (node == NO_NODE || !matches_compound(sheet, tree, node, first, end, &start)) {
            if (retry == NO_NODE || sheet->steps > steps_allowed)
                return false;
            retry = tree->nodes[retry].parent;
            node = retry;
            end = retry_end;
            if (node == NO_NODE)
                return false;
            sheet->steps++;
        }
    }
    return true;
}

/* ---- the cascade ---- */

static void declare(struct cascade *cascade, enum key key, struct slice value, enum rank rank,
                    uint64_t specificity, size_t order)
{
    struct declared *declared = &cascade->of[key];
    uint64_t weight = (uint64_t)rank << 60 | specificity << 30 | (order & ((1U << 30) - 1));

    if (declared->value.text && weight < declared->weight)
        return;
    declared->value = value;
    declared->weight = weight;
    declared->css = rank != RANK_ATTRIBUTE;
}

static void apply_bucket(struct sheet *sheet, const struct tree *tree, uint32_t node, size_t hashed,
                         struct cascade *cascade)
{
    uint32_t index = sheet->buckets[hashed % sheet->bucket_count];

    for (; index != NO_NODE && sheet->steps <= steps_allowed; index = sheet->rules[index].next) {
        const struct rule *rule = &sheet->rules[index];
        sheet->steps++;
        if (!matches_rule(sheet, tree, node, rule))
            continue;
        for (uint32_t i = 0; i < rule->declaration_count; i++) {
            const struct declaration *d = &sheet->declarations[rule->declaration + i];
            sheet->steps++;
            declare(cascade, d->key, d->value, d->important ? RANK_SHEET_IMPORTANT : RANK_SHEET,
                    rule->specificity, rule->declaration + i);
        }
    }
}

static void apply_sheet(struct sheet *sheet, const struct tree *tree, uint32_t node,
                        struct cascade *cascade)
{
    const char *name = tree->nodes[node].name;
    const char *id = tree_attribute(tree, node, KEY_ID);
    const char *class = tree_attribute(tree, node, KEY_CLASS);

    apply_bucket(sheet, tree, node, hash(SIMPLE_ANY, "", 0), cascade);
    apply_bucket(sheet, tree, node, hash(SIMPLE_TYPE, name, strlen(name)), cascade);
    if (id)
        apply_bucket(sheet, tree, node, hash(SIMPLE_ID, id, strlen(id)), cascade);
    while (class && *class && sheet->steps <= steps_allowed) {
        size_t length;
        class += strspn(class, " \t\n\r\f");
        length = strcspn(class, " \t\n\r\f");
        sheet->steps += length;
        if (length > 0)
            apply_bucket(sheet, tree, node, hash(SIMPLE_CLASS, class, length), cascade);
        class += length;
    }
}

static void apply_style_attribute(const char *text, struct cascade *cascade)
{
    struct slice from = slice_of(text);
    struct declaration declaration;
    size_t order = 0;

    while (take_declaration(&from, &declaration))
        if (declaration.key != KEY_COUNT)
            declare(cascade, declaration.key, declaration.value,
                    declaration.important ? RANK_STYLE_IMPORTANT : RANK_STYLE, 0, order++);
}

bool cascade_make(struct sheet *sheet, const struct tree *tree, uint32_t node, struct cascade *out,
                  struct rab_error *err)
{
    const struct node *n = &tree->nodes[node];
    const char *style = NULL;

    memset(out, 0, sizeof *out);
    for (uint32_t i = 0; i < n->attribute_count; i++) {
        const struct attribute *a = &tree->attributes[n->attributes + i];

        if (is_property(a->key))
            declare(out, a->key, slice_trim(slice_of(a->value)), RANK_ATTRIBUTE, 0, 0);
        else if (a->key == KEY_STYLE)
            style = a->value;
    }
    if (sheet->rule_count > 0)
        apply_sheet(sheet, tree, node, out);
    if (sheet->steps > steps_allowed)
        return rab_fail_line(err, RAB_FAULT_INPUT, n->line,
                             "the style sheets are too complex for so many elements; save the "
                             "drawing with presentation attributes");
    if (style)
        apply_style_attribute(style, out);
    return true;
}
