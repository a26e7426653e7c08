#include "reading.h"

#include <libxml/parser.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- expressions ---- */

struct value {
    double number;
    const char *word;
    size_t word_length;
};
struct work {
    struct reading *reading;
    const char *at;
};

static struct value either(struct work *work);

static void blame(struct reading *reading, const char *what, const char *where)
{
    if (!reading->fault[0])
        snprintf(reading->fault, sizeof reading->fault, "%s: %.100s", what, where);
}

static struct value number_of(double number)
{
    return (struct value){.number = number};
}

static bool letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
}

static bool digit(char c)
{
    return c >= '0' && c <= '9';
}

static void skip(struct work *work)
{
    while (*work->at == ' ' || *work->at == '\n' || *work->at == '\t' || *work->at == '\r')
        work->at++;
}

static bool take(struct work *work, const char *sign)
{
    skip(work);
    if (strncmp(work->at, sign, strlen(sign)) != 0)
        return false;
    work->at += strlen(sign);
    return true;
}

/* Letters and digits; a hyphen when a letter follows it. */
static size_t name_length(const char *at)
{
    size_t n = 0;
    if (!letter(at[0]))
        return 0;
    while (letter(at[n]) || digit(at[n]) || (at[n] == '-' && letter(at[n + 1])))
        n++;
    return n;
}

static bool take_word(struct work *work, const char *word)
{
    skip(work);
    const size_t n = name_length(work->at);
    if (n != strlen(word) || strncmp(work->at, word, n) != 0)
        return false;
    work->at += n;
    return true;
}

static double plain_number(struct work *work)
{
    double number = 0;
    const size_t used = rab_number_read(work->at, strlen(work->at), &number);
    if (used == 0)
        blame(work->reading, "no number", work->at);
    work->at += used > 0 ? used : strlen(work->at);
    return number;
}

/* The unit of a number that ends at `at`, and its size; 0 when there is none. */
static double unit_at(const char *at, size_t *length)
{
    static const struct {
        const char *name;
        double size;
    } units[] = {{"mm", 1}, {"cm", 10}, {"in", 25.4}, {"pt", 25.4 / 72}, {"deg", RAB_PI / 180},
                 {"rad", 1}};
    *length = name_length(at);
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strlen(units[i].name) == *length && strncmp(at, units[i].name, *length) == 0)
            return units[i].size;
    return 0;
}

/* 12, 3mm, 1/8in, 5 3/4in. */
static struct value number(struct work *work)
{
    size_t length;
    const double first = plain_number(work);
    const char *const after = work->at;
    double whole = 0, top = first;
    if (*work->at == ' ' && digit(work->at[1])) {
        whole = first;
        work->at++;
        top = plain_number(work);
    }
    if (*work->at == '/' && digit(work->at[1])) {
        work->at++;
        const double bottom = plain_number(work);
        const double size = unit_at(work->at, &length);
        if (size > 0) {
            work->at += length;
            return number_of((whole + top / bottom) * size);
        }
    }
    work->at = after; /* no fraction with a unit: the first number, and what follows is not its */
    const double size = unit_at(work->at, &length);
    if (size > 0) {
        work->at += length;
        return number_of(first * size);
    }
    return number_of(first);
}

static double called(struct work *work, const char *name, size_t length, const struct value *a,
                     size_t count)
{
    static const char *const ones[] = {"sin",  "cos", "tan",   "asin", "acos",  "atan",
                                       "sqrt", "abs", "floor", "ceil", "round", "rad"};
    static double (*const functions[])(double) = {sin,  cos,  tan,   asin, acos, atan,
                                                  sqrt, fabs, floor, ceil, round};
    char word[16] = "";
    if (length < sizeof word)
        memcpy(word, name, length);
    for (size_t i = 0; i < sizeof ones / sizeof *ones && count == 1; i++)
        if (strcmp(word, ones[i]) == 0)
            return i < sizeof functions / sizeof *functions ? functions[i](a[0].number)
                                                            : a[0].number;
    if (strcmp(word, "min") == 0 || strcmp(word, "max") == 0) {
        double best = a[0].number;
        for (size_t i = 1; i < count; i++)
            best = word[1] == 'i' ? fmin(best, a[i].number) : fmax(best, a[i].number);
        return best;
    }
    if (count == 2 && strcmp(word, "atan2") == 0)
        return atan2(a[0].number, a[1].number);
    if (count == 2 && strcmp(word, "hypot") == 0)
        return hypot(a[0].number, a[1].number);
    if (count == 2 && strcmp(word, "mod") == 0)
        return a[0].number - a[1].number * floor(a[0].number / a[1].number);
    if (count == 2 && strcmp(word, "random") == 0)
        return (double)NAN;
    if (count == 3 && strcmp(word, "if") == 0)
        return a[0].number != 0 ? a[1].number : a[2].number;
    blame(work->reading, "no such function", name);
    return (double)NAN;
}

static struct value named(struct work *work)
{
    const char *name = work->at;
    const size_t length = name_length(name);
    struct value arguments[8] = {{0}};
    size_t count = 0;

    work->at += length;
    if (take(work, "(")) {
        do {
            const struct value argument = either(work);
            if (count < 8)
                arguments[count++] = argument;
        } while (take(work, ","));
        if (!take(work, ")"))
            blame(work->reading, "no )", name);
        return number_of(called(work, name, length, arguments, count));
    }
    if (length == 2 && strncmp(name, "pi", 2) == 0)
        return number_of(RAB_PI);
    if (length == 3 && strncmp(name, "yes", 3) == 0)
        return number_of(1);
    if (length == 2 && strncmp(name, "no", 2) == 0)
        return number_of(0);
    const struct reading *reading = work->reading;
    for (size_t i = 0; i < reading->name_count; i++)
        if (strlen(reading->names[i].name) == length &&
            strncmp(reading->names[i].name, name, length) == 0) {
            const char *word = reading->names[i].word;
            return (struct value){reading->names[i].number, word, word ? strlen(word) : 0};
        }
    blame(work->reading, "unknown name", name);
    return number_of((double)NAN);
}

static struct value atom(struct work *work)
{
    skip(work);
    if (take(work, "(")) {
        const struct value value = either(work);
        if (!take(work, ")"))
            blame(work->reading, "no )", work->at);
        return value;
    }
    if (*work->at == '\'') {
        const char *word = ++work->at;
        const size_t length = strcspn(word, "'");
        work->at += length + (word[length] == '\'');
        return (struct value){0, word, length};
    }
    if (digit(*work->at) || *work->at == '.')
        return number(work);
    if (name_length(work->at) > 0)
        return named(work);
    blame(work->reading, "no value", work->at);
    work->at += strlen(work->at);
    return number_of((double)NAN);
}

static struct value power(struct work *work)
{
    if (take(work, "-"))
        return number_of(-power(work).number);
    if (take(work, "+"))
        return power(work);
    struct value value = atom(work);
    if (take(work, "^")) {
        const double exponent =
            take(work, "-") ? -plain_number(work) : (skip(work), plain_number(work));
        double result = 1;
        for (double n = 0; n < fabs(exponent); n++)
            result *= value.number;
        value = number_of(exponent < 0 ? 1 / result : result);
    }
    return value;
}

static struct value product(struct work *work)
{
    struct value value = power(work);
    for (;;)
        if (take(work, "*"))
            value = number_of(value.number * power(work).number);
        else if (take(work, "/"))
            value = number_of(value.number / power(work).number);
        else
            return value;
}

static struct value sum(struct work *work)
{
    struct value value = product(work);
    for (;;)
        if (take(work, "+"))
            value = number_of(value.number + product(work).number);
        else if (take(work, "-"))
            value = number_of(value.number - product(work).number);
        else
            return value;
}

static bool same(struct value a, struct value b)
{
    if (a.word || b.word)
        return a.word && b.word && a.word_length == b.word_length &&
               strncmp(a.word, b.word, a.word_length) == 0;
    return a.number == b.number;
}

static struct value compared(struct work *work)
{
    const struct value a = sum(work);
    if (take(work, "!="))
        return number_of(!same(a, sum(work)));
    if (take(work, "<="))
        return number_of(a.number <= sum(work).number);
    if (take(work, ">="))
        return number_of(a.number >= sum(work).number);
    if (take(work, "="))
        return number_of(same(a, sum(work)));
    if (take(work, "<"))
        return number_of(a.number < sum(work).number);
    if (take(work, ">"))
        return number_of(a.number > sum(work).number);
    return a;
}

static struct value negated(struct work *work)
{
    if (take_word(work, "not"))
        return number_of(negated(work).number == 0);
    return compared(work);
}

static struct value both(struct work *work)
{
    struct value value = negated(work);
    while (take_word(work, "and")) {
        const double other = negated(work).number;
        value = number_of(value.number != 0 && other != 0);
    }
    return value;
}

static struct value either(struct work *work)
{
    struct value value = both(work);
    while (take_word(work, "or")) {
        const double other = both(work).number;
        value = number_of(value.number != 0 || other != 0);
    }
    return value;
}

static double worked_out(struct reading *reading, const char *text)
{
    struct work work = {reading, text};
    const struct value value = either(&work);
    skip(&work);
    if (*work.at)
        blame(reading, "what is this", work.at);
    return value.number;
}

/* ---- files ---- */

static bool is(const xmlNode *node, const char *name)
{
    return node->type == XML_ELEMENT_NODE && strcmp((const char *)node->name, name) == 0;
}

static char *attribute(xmlNode *node, const char *name)
{
    return (char *)xmlGetNoNsProp(node, (const xmlChar *)name);
}

static double value_of(struct reading *reading, xmlNode *node, const char *name, double otherwise)
{
    char *text = attribute(node, name);
    const double value = text ? worked_out(reading, text) : otherwise;
    xmlFree(text);
    return value;
}

static void look_for(const xmlNode *node, struct reading *reading)
{
    for (; node; node = node->next) {
        if (node->type != XML_ELEMENT_NODE)
            continue;
        /* Another shape may hold an ellipse. */
        reading->rounded |= is(node, "ellipse") || is(node, "use");
        for (const xmlAttr *a = node->properties; a; a = a->next)
            reading->chance |=
                a->children && strstr((const char *)a->children->content, "random(") != NULL;
        look_for(node->children, reading);
    }
}

bool reading_open(const char *path, const struct rab_shape *shape, struct reading *out)
{
    *out = (struct reading){.shape = shape};
    out->document = xmlReadFile(path, NULL, XML_PARSE_NONET | XML_PARSE_NOERROR);
    const xmlNode *root = out->document ? xmlDocGetRootElement(out->document) : NULL;
    if (!root) {
        snprintf(out->fault, sizeof out->fault, "%.150s cannot be read", path);
        return false;
    }
    look_for(root->children, out);
    return true;
}

static void forget_names(struct reading *reading)
{
    for (size_t i = 0; i < reading->name_count; i++)
        free(reading->names[i].name);
    reading->name_count = 0;
}

void reading_close(struct reading *reading)
{
    forget_names(reading);
    xmlFreeDoc(reading->document);
    *reading = (struct reading){0};
}

static void give_name(struct reading *reading, const char *name, double number, const char *word)
{
    if (reading->name_count == MOST_NAMES || !name) {
        blame(reading, "too many names, or one without", name ? name : "");
        return;
    }
    const size_t n = reading->name_count++;
    reading->names[n].name = strdup(name);
    reading->names[n].number = number;
    reading->names[n].word = word;
    if (!reading->names[n].name)
        abort();
}

/* Does what this element holds come out as something, whatever its own names are? What depends
 * on them is not sure. */
static bool sure(struct reading *reading, xmlNode *node)
{
    static const char *const leaves[] = {"rectangle", "circle",  "ellipse", "polygon",
                                         "star",      "sector",  "ring",    "stadium",
                                         "arch",      "outline", "path",    "use"};
    static const char *const holders[] = {"union", "move", "turn", "mirror"};

    if (node->type != XML_ELEMENT_NODE || xmlHasProp(node, (const xmlChar *)"when"))
        return false;
    for (size_t i = 0; i < sizeof leaves / sizeof *leaves; i++)
        if (is(node, leaves[i]))
            return true;
    for (size_t i = 0; i < sizeof holders / sizeof *holders; i++)
        if (is(node, holders[i]))
            for (xmlNode *child = node->children; child; child = child->next)
                if (sure(reading, child))
                    return true;
    return false;
}

static void note_operation(struct reading *reading, xmlNode *node)
{
    static const char *const names[] = {"cut", "part-cut", "crease", "perforate", "draw", "glue"};
    for (int i = 0; i < RAB_OPERATIONS; i++)
        if (is(node, names[i])) {
            reading->may[i] = true;
            for (xmlNode *child = node->children; child; child = child->next)
                reading->must[i] |= sure(reading, child);
        }
}

static void note_promise(struct reading *reading, xmlNode *node)
{
    char *what = attribute(node, "what"), *least = attribute(node, "least");
    if (what && reading->promise_count < MOST_PROMISES) {
        struct promise *p = &reading->promises[reading->promise_count++];
        snprintf(p->what, sizeof p->what, "%s", what);
        p->least = least;
        p->value = value_of(reading, node, least ? "least" : "is", (double)NAN);
    } else {
        blame(reading, "too many measures, or one of nothing", "");
    }
    xmlFree(what);
    xmlFree(least);
}

bool reading_set(struct reading *reading, const double *values, size_t repeat, size_t repeats)
{
    const struct rab_shape *shape = reading->shape;

    forget_names(reading);
    reading->demand_count = reading->promise_count = 0;
    reading->least_places = reading->most_places = reading->holes = 0;
    memset(reading->must, 0, sizeof reading->must);
    memset(reading->may, 0, sizeof reading->may);
    for (size_t i = 0; i < shape->parameter_count; i++) {
        const struct rab_parameter *p = &shape->parameters[i];
        give_name(reading, p->name, values[i],
                  p->kind == RAB_CHOICE ? p->choices[(size_t)values[i]].name : NULL);
    }
    if (shape->motif) {
        give_name(reading, "repeat", (double)repeat, NULL);
        give_name(reading, "repeats", (double)repeats, NULL);
    }
    for (xmlNode *node = xmlDocGetRootElement(reading->document)->children;
         node && !reading->fault[0]; node = node->next) {
        if (node->type != XML_ELEMENT_NODE)
            continue;
        if (is(node, "let")) {
            char *name = attribute(node, "name");
            give_name(reading, name, value_of(reading, node, "value", (double)NAN), NULL);
            xmlFree(name);
        } else if (is(node, "require")) {
            const bool holds = value_of(reading, node, "that", 0) != 0;
            if (reading->demand_count == MOST_DEMANDS)
                blame(reading, "too many requires", "");
            else
                reading->demands[reading->demand_count++] = (struct demand){node, holds};
            if (!holds)
                break;
        } else if (value_of(reading, node, "when", 1) != 0) {
            if (is(node, "measure"))
                note_promise(reading, node);
            reading->most_places += is(node, "place");
            reading->least_places += is(node, "place");
            if (is(node, "hole"))
                for (xmlNode *child = node->children; child; child = child->next)
                    reading->holes += sure(reading, child);
            note_operation(reading, node);
        }
    }
    return !reading->fault[0];
}

const struct demand *reading_broken(const struct reading *reading)
{
    for (size_t i = 0; i < reading->demand_count; i++)
        if (!reading->demands[i].holds)
            return &reading->demands[i];
    return NULL;
}

/* ---- messages ---- */

/* Blanks and line ends become one blank, none at the ends. */
static void put_plain(const char *text, char *out, size_t size)
{
    size_t n = 0;
    for (; *text && n + 1 < size; text++) {
        const bool blank = *text == ' ' || *text == '\n' || *text == '\t' || *text == '\r';
        if (!blank)
            out[n++] = *text;
        else if (n > 0 && out[n - 1] != ' ')
            out[n++] = ' ';
    }
    while (n > 0 && out[n - 1] == ' ')
        n--;
    out[n] = '\0';
}

static bool ends_with(const char *text, size_t length, const char *end)
{
    const size_t n = strlen(end);
    return length >= n && strncmp(text + length - n, end, n) == 0;
}

/* The parameter of "...; give a hole of at most ", NULL when the words name none. */
static const struct rab_parameter *asked_for(const struct reading *reading, const char *before,
                                             size_t length)
{
    const struct rab_shape *shape = reading->shape;

    for (size_t i = 0; i < shape->parameter_count; i++) {
        static const char *const articles[] = {"a", "an"}, *const limits[] = {
                                                               "at most", "less than", "at least",
                                                               "more than"};
        for (size_t k = 0; k < 8; k++) {
            char words[120];
            snprintf(words, sizeof words, "give %s %s of %s ", articles[k % 2],
                     shape->parameters[i].name, limits[k / 2]);
            if (ends_with(before, length, words))
                return &shape->parameters[i];
        }
    }
    return NULL;
}

/* The value that stands in a message where the file has {expression}: rounded as people read it, to
 * two places, but never so that it would be refused if it were given back; nobody can give less
 * than nothing. */
static bool value_fits(struct reading *reading, const char *before, size_t before_length,
                       const char *expression, const char *shown, size_t shown_length)
{
    const double exact = worked_out(reading, expression);
    double number = (double)NAN;
    const size_t used = rab_number_read(shown, shown_length, &number);
    double rounding = 0.005 + 1e-9 * fabs(exact);

    if (used == 0) /* yes and no, and words */
        return !reading->fault[0];
    const struct rab_parameter *p = asked_for(reading, before, before_length);
    if (strncmp(shown + used, " deg", 4) == 0)
        number *= RAB_PI / 180;
    /* Out of the parameter's own limits, there must be another way. */
    if (p && !strstr(shown, " or ") &&
        (number < p->least * (1 - 1e-12) || number > p->most * (1 + 1e-12)))
        return false;
    const double slack = 1e-12 * fabs(exact);
    const bool under = ends_with(before, before_length, "less than ");
    if (under || ends_with(before, before_length, "at most "))
        return (under ? number > 0 : number >= 0) && number <= exact + slack &&
               number >= exact - 2 * rounding;
    if (ends_with(before, before_length, "at least ") ||
        ends_with(before, before_length, "more than "))
        return number >= exact - slack && number <= exact + 2 * rounding;
    return fabs(number - exact) <= rounding;
}

enum saying reading_says(struct reading *reading, const struct demand *demand, const char *message)
{
    char words[2000];
    xmlChar *text = xmlNodeGetContent(demand->node);
    put_plain((const char *)text, words, sizeof words);
    xmlFree(text);

    /* The words between {values} follow each other; the last ones end the message. */
    const char *at = message, *before = NULL, *expression = NULL;
    size_t before_length = 0;
    for (char *part = words;;) {
        char *brace = strchr(part, '{');
        char *close = brace ? strchr(brace, '}') : NULL;
        if (brace)
            *brace = '\0';
        const size_t length = strlen(part);
        const char *found = close ? strstr(at, part) : at + strlen(at) - length;
        if (!words[0] || !found || found < at || strncmp(found, part, length) != 0 ||
            (expression && found == at))
            return SAYS_OTHERWISE;
        if (expression &&
            !value_fits(reading, before, before_length, expression, at, (size_t)(found - at)))
            return SAYS_WRONG_VALUE;
        if (!close)
            return SAYS_IT;
        *close = '\0';
        before = part;
        before_length = length;
        expression = brace + 1;
        at = found + length;
        part = close + 1;
    }
}
