#include "shape/markup.h"

#include "base/arena.h"
#include "base/utf8.h"
#include "base/xml.h"

#include <assert.h>
#include <libxml/parser.h>
#include <stdlib.h>
#include <string.h>

/* An element's own text from its first word on. */
struct words {
    struct rab_text text;
    int line; /* of the first word; before it: where the parser is */
    bool begun;
};

struct build {
    struct markup markup;
    const struct markup_kind *kind;
    xmlParserCtxtPtr context;
    const char *bytes;
    size_t length;
    uint32_t open; /* the element that we are in; NO_ELEMENT outside the root */
    size_t depth;
    struct words *words; /* of each open element, by depth from 1 */
    bool failed;
    struct rab_error *err;
};

/* xmlStopParser only takes effect between constructs, so every hook looks at `failed` first. */
static void stop(struct build *build)
{
    build->failed = true;
    xmlStopParser(build->context);
}

static int current_line(const struct build *build)
{
    return build->context->input ? build->context->input->line : 0;
}

/* ---- before the parser sees it ---- */

static bool starts(const char *at, const char *end, const char *words)
{
    size_t length = strlen(words);

    return (size_t)(end - at) >= length && memcmp(at, words, length) == 0;
}

static const char *find(const char *at, const char *end, const char *words)
{
    const char *found = memmem(at, (size_t)(end - at), words, strlen(words));

    return found ? found : end;
}

static int line_at(const char *bytes, const char *at)
{
    int line = 1;

    for (; bytes < at; bytes++)
        line += *bytes == '\n';
    return line;
}

/* Quotation marks in a start tag: two for each attribute. A value never holds a "<". */
static size_t count_quotes(const char *tag, const char *end)
{
    size_t quotes = 0;

    for (const char *c = tag + 1; c < end && *c != '<' && *c != '>'; c++) {
        const char mark = *c;
        if (mark != '"' && mark != '\'')
            continue;
        quotes++;
        for (c++; c < end && *c != '<' && *c != mark;)
            c++;
        if (c == end || *c == '<')
            break;
        quotes++;
    }
    return quotes;
}

/* The parser compares every attribute of an element with every other one, so their number is seen
 * to first. What may hold quotation marks freely is passed. */
static bool check_quotes(const char *bytes, size_t length, struct rab_error *err)
{
    const char *const end = bytes + length;
    const char *at = memchr(bytes, '<', length);

    while (at && at < end) {
        const char *next = at + 1;

        if (starts(at, end, "<!--"))
            next = find(at + 4, end, "-->");
        else if (starts(at, end, "<![CDATA["))
            next = find(at, end, "]]>");
        else if (starts(at, end, "<?"))
            next = find(at, end, "?>");
        else if (starts(at, end, "<!"))
            return true; /* the parser refuses it */
        else if (count_quotes(at, end) > 2 * (size_t)MARKUP_ATTRIBUTES)
            return rab_fail_line(err, RAB_FAULT_INPUT, line_at(bytes, at),
                                 "an element has more than %d quotation marks; no element takes "
                                 "so many attributes",
                                 2 * MARKUP_ATTRIBUTES);
        at = next < end ? memchr(next, '<', (size_t)(end - next)) : NULL;
    }
    return true;
}

static bool check_bytes(const char *bytes, size_t length, const struct markup_kind *kind,
                        struct rab_error *err)
{
    if (length > MARKUP_BYTES)
        return rab_fail_line(err, RAB_FAULT_INPUT, 1, "the file has more than 1 MB; %s",
                             kind->too_long);
    for (size_t i = 0; i < length;) {
        uint32_t code;
        size_t step = utf8_decode((const unsigned char *)bytes + i, length - i, &code);
        if (step == 0 || code == 0)
            return rab_fail_line(err, RAB_FAULT_INPUT, line_at(bytes, bytes + i),
                                 "the file is not UTF-8; save it as UTF-8 text");
        i += step;
    }
    return check_quotes(bytes, length, err);
}

/* ---- elements ---- */

/* The "<" of the start tag that has just been read, NULL when it cannot be found. */
static const char *tag_start(const struct build *build)
{
    const xmlParserInput *input = build->context->input;
    size_t left = (size_t)(input->end - input->cur);

    if (left > build->length)
        return NULL;
    return memrchr(build->bytes, '<', build->length - left);
}

static int newlines(const char *from, const char *to)
{
    int count = 0;

    for (; from < to; from++)
        count += *from == '\n';
    return count;
}

/* The line of each attribute: *at stands after the one before and is moved after this one's name.
 */
static int attribute_line(const char **at, const char *end, const char *name, int line)
{
    const size_t length = strlen(name);

    for (const char *c = *at; c < end; c++) {
        line += *c == '\n';
        if (*c == '"' || *c == '\'') {
            const char *close = memchr(c + 1, *c, (size_t)(end - c - 1));
            if (!close)
                break;
            line += newlines(c + 1, close);
            c = close;
        } else if (starts(c, end, name) &&
                   (c[-1] == ' ' || c[-1] == '\t' || c[-1] == '\n' || c[-1] == '\r') &&
                   c + length < end && strchr(" \t\r\n=", c[length])) {
            *at = c + length;
            return line;
        }
    }
    return line;
}

static bool add_attributes(struct build *build, struct markup_element *element,
                           const xmlChar **list, int count)
{
    struct markup *markup = &build->markup;
    const char *start = tag_start(build);
    const char *end = build->bytes + build->length, *at = start;
    int line = element->line;

    element->attributes = (uint32_t)markup->attribute_count;
    for (int i = 0; i < count; i++, list += 5) {
        struct markup_attribute made = {.line = element->line};
        void *attributes = markup->attributes;

        if (list[2])
            return rab_fail_line(build->err, RAB_FAULT_INPUT, element->line,
                                 "<%.40s> has the attribute \"%.40s:%.40s\"; attributes here have "
                                 "no prefix",
                                 element->name, list[1], list[0]);
        made.name = arena_text(markup->arena, (const char *)list[0], strlen((const char *)list[0]),
                               build->err);
        made.value = arena_text(markup->arena, (const char *)list[3], (size_t)(list[4] - list[3]),
                                build->err);
        if (!made.name || !made.value ||
            !rab_reserve(&attributes, &markup->attribute_capacity, markup->attribute_count + 1,
                         sizeof made, build->err))
            return false;
        if (at) {
            made.line = attribute_line(&at, end, made.name, line);
            line = made.line;
        }
        markup->attributes = attributes;
        markup->attributes[markup->attribute_count++] = made;
        element->attribute_count++;
    }
    return true;
}

static bool check_place(struct build *build, const char *name, const xmlChar *space, int line)
{
    const struct markup_kind *kind = build->kind;

    if (!space)
        return rab_fail_line(
            build->err, RAB_FAULT_INPUT, line,
            "<%.40s> is not in the namespace of %s; write xmlns=\"%s\" in the root "
            "element",
            name, kind->files, kind->space);
    if (strcmp((const char *)space, kind->space) != 0)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, line,
                             "<%.40s> is in the namespace \"%.60s\"; that of %s is \"%s\"", name,
                             (const char *)space, kind->files, kind->space);
    if (build->markup.count == kind->elements)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, line, "more than %zu elements; %s",
                             kind->elements, kind->too_many);
    if (build->depth == kind->depth)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, line,
                             "elements stand more than %zu deep in each other; %s", kind->depth,
                             kind->too_deep);
    return true;
}

static bool open_element(struct build *build, const xmlChar *name, const xmlChar *space,
                         const xmlChar **list, int count)
{
    struct markup *markup = &build->markup;
    const char *start = tag_start(build), *now = NULL;
    uint32_t index = (uint32_t)markup->count;
    struct markup_element element = {.line = current_line(build),
                                     .parent = build->open,
                                     .first = NO_ELEMENT,
                                     .last = NO_ELEMENT,
                                     .next = NO_ELEMENT};
    void *elements = markup->elements;

    if (start) {
        now = build->bytes + build->length -
              (build->context->input->end - build->context->input->cur);
        element.line -= newlines(start, now);
    }
    if (!check_place(build, (const char *)name, space, element.line))
        return false;
    element.name =
        arena_text(markup->arena, (const char *)name, strlen((const char *)name), build->err);
    if (!element.name || !add_attributes(build, &element, list, count) ||
        !rab_reserve(&elements, &markup->capacity, markup->count + 1, sizeof element, build->err))
        return false;
    markup->elements = elements;
    markup->elements[markup->count++] = element;
    if (build->open != NO_ELEMENT) {
        struct markup_element *parent = &markup->elements[build->open];
        if (parent->last == NO_ELEMENT)
            parent->first = index;
        else
            markup->elements[parent->last].next = index;
        parent->last = index;
    }
    build->open = index;
    build->words[build->depth].line = current_line(build);
    build->words[build->depth].begun = false;
    build->depth++;
    return true;
}

static void on_start(void *context, const xmlChar *name, const xmlChar *prefix,
                     const xmlChar *space, int namespace_count, const xmlChar **namespaces,
                     int count, int defaulted, const xmlChar **attributes)
{
    struct build *build = context;

    (void)prefix;
    (void)namespace_count;
    (void)namespaces;
    (void)defaulted;
    if (!build->failed && !open_element(build, name, space, attributes, count))
        stop(build);
}

/* Before an element's first word, what stands there is passed. */
static void pass(struct build *build)
{
    if (build->depth > 0 && !build->words[build->depth - 1].begun)
        build->words[build->depth - 1].line = current_line(build);
}

static bool close_element(struct build *build)
{
    struct markup_element *element = &build->markup.elements[build->open];
    struct words *words = &build->words[--build->depth];

    if (!rab_text_ok(&words->text, build->err))
        return false;
    if (words->begun) {
        element->text =
            arena_text(build->markup.arena, words->text.data, words->text.length, build->err);
        element->text_line = words->line;
        if (!element->text)
            return false;
    }
    rab_text_clear(&words->text);
    build->open = element->parent;
    pass(build);
    return true;
}

static void on_end(void *context, const xmlChar *name, const xmlChar *prefix, const xmlChar *space)
{
    struct build *build = context;

    (void)name;
    (void)prefix;
    (void)space;
    if (!build->failed && !close_element(build))
        stop(build);
}

static void on_text(void *context, const xmlChar *text, int length)
{
    struct build *build = context;
    struct words *words;
    int at = 0;

    if (build->failed || build->depth == 0)
        return;
    words = &build->words[build->depth - 1];
    for (; !words->begun && at < length; at++) {
        words->line += text[at] == '\n';
        if (!strchr(" \t\r\n", text[at])) {
            words->begun = true;
            break;
        }
    }
    rab_text_bytes(&words->text, text + at, (size_t)(length - at));
}

static void on_comment(void *context, const xmlChar *text)
{
    struct build *build = context;

    (void)text;
    if (!build->failed)
        pass(build);
}

static void on_doctype(void *context, const xmlChar *name, const xmlChar *external,
                       const xmlChar *system)
{
    struct build *build = context;

    (void)name;
    (void)external;
    (void)system;
    if (build->failed)
        return;
    rab_fail_line(build->err, RAB_FAULT_INPUT, current_line(build),
                  "a DOCTYPE is not read; leave it away");
    stop(build);
}

/* Only the five that XML knows by itself get here, and the parser has dealt with those. */
static xmlEntityPtr find_entity(void *context, const xmlChar *name)
{
    struct build *build = context;

    if (!build->failed) {
        rab_fail_line(build->err, RAB_FAULT_INPUT, current_line(build),
                      "there is no entity \"%.40s\"; write the character itself",
                      (const char *)name);
        stop(build);
    }
    return NULL;
}

/* ---- errors ---- */

#if LIBXML_VERSION >= 21200
static void on_error(void *context, const xmlError *error)
#else
static void on_error(void *context, xmlError *error)
#endif
{
    struct build *build = context;
    const char *words = xml_complaint(error->code);
    int line = error->line > 0 ? error->line : current_line(build);

    if (build->failed || error->level < XML_ERR_ERROR)
        return;
    build->failed = true;
    if (error->code == XML_ERR_NO_MEMORY)
        rab_fail_memory(build->err);
    else if (words)
        rab_fail_line(build->err, RAB_FAULT_INPUT, line, "this is not well-formed XML: %s", words);
    else
        rab_fail_line(build->err, RAB_FAULT_INPUT, line, "this is not well-formed XML: %.*s",
                      (int)strcspn(error->message ? error->message : "", "\n"),
                      error->message ? error->message : "");
}

/* ---- all together ---- */

static void set_hooks(xmlSAXHandler *hooks)
{
    memset(hooks, 0, sizeof *hooks);
    hooks->initialized = XML_SAX2_MAGIC;
    hooks->internalSubset = on_doctype;
    hooks->getEntity = find_entity;
    hooks->startElementNs = on_start;
    hooks->endElementNs = on_end;
    hooks->characters = on_text;
    hooks->ignorableWhitespace = on_text;
    hooks->cdataBlock = on_text;
    hooks->comment = on_comment;
    hooks->serror = on_error;
}

static bool parse(struct build *build)
{
    const int options = XML_PARSE_NONET | XML_PARSE_IGNORE_ENC;
    xmlDocPtr document;

    build->context = xmlNewParserCtxt();
    if (!build->context)
        return rab_fail_memory(build->err);
    set_hooks(build->context->sax);
    build->context->userData = build;
    document =
        xmlCtxtReadMemory(build->context, build->bytes, (int)build->length, NULL, "UTF-8", options);
    xmlFreeDoc(document);
    if (!build->failed &&
        (!build->context->wellFormed || build->markup.count == 0 || build->open != NO_ELEMENT)) {
        build->failed = true;
        rab_fail_line(build->err, RAB_FAULT_INPUT,
                      line_at(build->bytes, build->bytes + build->length),
                      "this is not well-formed XML: the file ends too early");
    }
    xmlFreeParserCtxt(build->context);
    return !build->failed;
}

bool markup_read(const char *bytes, size_t length, const struct markup_kind *kind,
                 struct markup *out, struct rab_error *err)
{
    struct words words[MARKUP_DEPTH] = {0};
    struct build build = {.kind = kind,
                          .bytes = bytes,
                          .length = length,
                          .open = NO_ELEMENT,
                          .words = words,
                          .err = err};
    bool ok = false;

    assert(kind->depth <= MARKUP_DEPTH);
    if (starts(bytes, bytes + length, "\xEF\xBB\xBF")) {
        build.bytes += 3;
        build.length -= 3;
    }
    if (length == 0)
        return rab_fail_line(err, RAB_FAULT_INPUT, 1, "the file is empty");
    if (!check_bytes(build.bytes, build.length, kind, err))
        return false;
    build.markup.arena = arena_new(err);
    if (!build.markup.arena)
        return false;
    if (parse(&build)) {
        *out = build.markup;
        build.markup = (struct markup){0};
        ok = true;
    }
    for (size_t i = 0; i < MARKUP_DEPTH; i++)
        rab_text_clear(&words[i].text);
    markup_clear(&build.markup);
    return ok;
}

void markup_clear(struct markup *markup)
{
    free(markup->elements);
    free(markup->attributes);
    arena_free(markup->arena);
    *markup = (struct markup){0};
}
