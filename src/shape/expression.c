/* Expressions read: a descent through the levels of precedence, units checked on the way. */
#include "shape/expression.h"

#include "base/arena.h"
#include "rabbet/shape.h"
#include "shape/nearest.h"
#include "shape/step.h"

#include <stdlib.h>
#include <string.h>

enum {
    LONGEST_NAME = 64,
    MOST_POWER = 16,     /* of a unit; nobody has measured more than a volume */
    MOST_EXPONENT = 100, /* as written after ^ */
};

struct reading {
    const char *text, *at, *end;
    int line;
    const struct scope *scope;
    struct expression_step *steps;
    size_t count, capacity;
    size_t stack, nested;
    struct arena *arena;
    struct rab_error *err;
};

/* A part that has been read: its type, and its first step. */
struct part {
    struct type type;
    size_t first;
};

static const struct type zero = {TYPE_ZERO, 0, 0, 0};
static const struct type truth = {TYPE_TRUTH, 0, 0, 0};

static bool fault(struct reading *reading, const char *words)
{
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line, "in \"%.60s\": %s",
                         reading->text, words);
}

/* ---- steps ---- */

static bool add_step(struct reading *reading, enum step_kind kind, double value)
{
    void *steps = reading->steps;

    if (!rab_reserve(&steps, &reading->capacity, reading->count + 1, sizeof *reading->steps,
                     reading->err))
        return false;
    reading->steps = steps;
    reading->steps[reading->count++] = (struct expression_step){.kind = kind, .value = value};
    return true;
}

/* A step that puts one more value on the stack. */
static bool push(struct reading *reading, enum step_kind kind, double value)
{
    if (++reading->stack > EXPRESSION_STACK)
        return fault(reading, "it is too deep; divide it with <let>");
    return add_step(reading, kind, value);
}

/* A step that makes one value of two. */
static bool join(struct reading *reading, enum step_kind kind)
{
    reading->stack--;
    return add_step(reading, kind, 0);
}

/* A jump whose goal is set when it is known. */
static bool jump(struct reading *reading, enum step_kind kind, size_t *where)
{
    *where = reading->count;
    return add_step(reading, kind, 0);
}

static void land(struct reading *reading, size_t where)
{
    reading->steps[where].at = (uint32_t)reading->count;
}

/* ---- letters ---- */

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static void skip_blanks(struct reading *reading)
{
    while (*reading->at == ' ' || *reading->at == '\t' || *reading->at == '\n' ||
           *reading->at == '\r')
        reading->at++;
}

static bool take(struct reading *reading, const char *sign)
{
    skip_blanks(reading);
    if (strncmp(reading->at, sign, strlen(sign)) != 0)
        return false;
    reading->at += strlen(sign);
    return true;
}

/* Bytes of the name at the start of text; a hyphen belongs to it when a letter follows. */
static size_t name_length(const char *text)
{
    size_t length = 0;

    if (!is_letter(text[0]))
        return 0;
    while (is_letter(text[length]) || is_digit(text[length]) ||
           (text[length] == '-' && is_letter(text[length + 1])))
        length++;
    return length;
}

bool expression_name_ok(const char *name)
{
    size_t length = name_length(name);

    for (const char *c = name; *c; c++)
        if (*c >= 'A' && *c <= 'Z')
            return false;
    return length > 0 && length <= LONGEST_NAME && name[length] == '\0';
}

static bool take_word(struct reading *reading, const char *word)
{
    size_t length;

    skip_blanks(reading);
    length = name_length(reading->at);
    if (length != strlen(word) || memcmp(reading->at, word, length) != 0)
        return false;
    reading->at += length;
    return true;
}

/* ---- numbers ---- */

/* A whole number of at most nine digits, so that arithmetic with it is exact. */
static size_t read_whole(const char *text, double *value)
{
    size_t length = 0;

    *value = 0;
    while (length < 10 && is_digit(text[length]))
        *value = *value * 10 + (text[length++] - '0');
    return length < 10 ? length : 0;
}

/* "3/4in" at the start of text, without blanks. *unit is where its unit begins. */
static size_t read_fraction(const char *text, double *above, double *below)
{
    size_t first = read_whole(text, above), second;

    if (first == 0 || text[first] != '/')
        return 0;
    second = read_whole(text + first + 1, below);
    if (second == 0 || name_length(text + first + 1 + second) == 0)
        return 0;
    return first + 1 + second;
}

/* Inches may be fractions: "1/8in", "5 3/4in". Not taken when it is something else. */
static bool read_inches(struct reading *reading, struct type *type, double *value, bool *taken)
{
    double whole = 0, above = 0, below = 1;
    const char *at = reading->at;
    size_t length = read_fraction(at, &above, &below);

    *taken = false;
    if (length == 0) {
        size_t digits = read_whole(at, &whole), blanks = 0;
        while (digits > 0 && at[digits + blanks] == ' ')
            blanks++;
        at += digits + blanks;
        length = blanks > 0 ? read_fraction(at, &above, &below) : 0;
        if (length == 0)
            return true;
        if (above >= below)
            return fault(reading, "after whole inches comes a fraction below 1, as in 5 3/4in");
    }
    at += length;
    if (name_length(at) != 2 || memcmp(at, "in", 2) != 0)
        return fault(reading, "fractions with a unit are for inches (5 3/4in); write 0.5mm, or "
                              "1mm / 2");
    if (below == 0)
        return fault(reading, "it divides by 0");
    *type = TYPE_LENGTH;
    *value = (whole * below + above) * 127 / (5 * below);
    *taken = true;
    reading->at = at + 2;
    return true;
}

static bool read_unit(struct reading *reading, struct type *type, double *value)
{
    static const struct {
        const char *name;
        enum rab_unit unit;
    } units[] = {
        {"mm", RAB_UNIT_MM}, {"cm", RAB_UNIT_CM}, {"in", RAB_UNIT_IN}, {"pt", RAB_UNIT_PT}};
    size_t length = name_length(reading->at);
    const char *unit = reading->at;

    *type = TYPE_NUMBER;
    if (length == 0) {
        if (*value == 0)
            *type = zero;
        return true;
    }
    reading->at += length;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        if (length == 2 && memcmp(unit, units[i].name, 2) == 0) {
            *type = TYPE_LENGTH;
            *value = rab_mm_from(*value, units[i].unit);
            return true;
        }
    }
    *type = TYPE_ANGLE;
    if (length == 3 && memcmp(unit, "rad", 3) == 0)
        return true;
    if (length == 3 && memcmp(unit, "deg", 3) == 0) {
        *value = *value * RAB_PI / 180;
        return true;
    }
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                         "in \"%.60s\": there is no unit \"%.*s\"; use mm, cm, in, pt, deg or rad, "
                         "or put * before a name",
                         reading->text, (int)(length < 40 ? length : 40), unit);
}

static bool read_number(struct reading *reading, struct part *out)
{
    double value = 0;
    bool taken = false;
    size_t length;

    out->first = reading->count;
    if (!read_inches(reading, &out->type, &value, &taken))
        return false;
    if (!taken) {
        length = rab_number_read(reading->at, (size_t)(reading->end - reading->at), &value);
        if (length == 0)
            return fault(reading, "a number is missing after the point");
        reading->at += length;
        if (!read_unit(reading, &out->type, &value))
            return false;
    }
    if (!(value <= 1e15))
        return fault(reading, "a number is too large; give at most 1e15");
    return push(reading, STEP_NUMBER, value);
}

/* ---- what units do ---- */

/* Of what is added, compared or chosen between: both must be the same. */
static bool same(struct type a, struct type b, struct type *out)
{
    if (!type_fits(a, b) && !type_fits(b, a))
        return false;
    *out = a.kind == TYPE_ZERO ? b : a;
    return true;
}

static bool is_number(struct type type)
{
    return type.kind == TYPE_QUANTITY || type.kind == TYPE_ZERO;
}

static bool refuse_pair(struct reading *reading, const char *what, struct type a, struct type b)
{
    if (a.kind == TYPE_WORD || b.kind == TYPE_WORD)
        return fault(reading, "a word in quotes is for comparing with a choice (corner = 'cove')");
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                         "in \"%.60s\": %s and %s cannot be %s; give both the same unit",
                         reading->text, type_words(a), type_words(b), what);
}

static bool want(struct reading *reading, const char *who, struct type given, struct type wanted)
{
    if (type_fits(given, wanted))
        return true;
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                         "in \"%.60s\": %s takes %s, and this is %s", reading->text, who,
                         type_words(wanted), type_words(given));
}

/* Powers of units after multiplying (sign 1) or dividing (-1). */
static bool combine(struct reading *reading, struct type a, struct type b, int sign,
                    struct type *out)
{
    struct type made = TYPE_NUMBER;

    if (!is_number(a) || !is_number(b))
        return refuse_pair(reading, sign > 0 ? "multiplied" : "divided", a, b);
    if (sign < 0 && b.kind == TYPE_ZERO)
        return fault(reading, "it divides by 0");
    if (a.kind == TYPE_ZERO && b.kind == TYPE_ZERO) {
        *out = zero;
        return true;
    }
    made.length = a.length + sign * b.length;
    made.angle = a.angle + sign * b.angle;
    if (abs(made.length) > MOST_POWER || abs(made.angle) > MOST_POWER)
        return fault(reading, "too many lengths or angles are multiplied");
    *out = made;
    return true;
}

/* ---- the levels, from the loosest ---- */

/* NOLINTBEGIN(misc-no-recursion): read_any counts how deep it is */

static bool read_any(struct reading *reading, struct part *out);

/* A function's value number `index`, after its parenthesis or a comma. */
static bool read_argument(struct reading *reading, const char *name, size_t index, struct part *out)
{
    if (index > 0 && !take(reading, ","))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                             "in \"%.60s\": %s() needs more values, divided by commas",
                             reading->text, name);
    return read_any(reading, out);
}

static bool close_call(struct reading *reading, const char *name)
{
    if (take(reading, ")"))
        return true;
    skip_blanks(reading);
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                         *reading->at == ',' ? "in \"%.60s\": %s() gets too many values"
                                             : "in \"%.60s\": %s( is not closed; add \")\"",
                         reading->text, name);
}

enum rule {
    RULE_TAKES, /* one of a type */
    RULE_ROOT,
    RULE_KEEPS,   /* one quantity, the same comes out */
    RULE_BOTH,    /* two quantities of one kind, the same comes out */
    RULE_SEVERAL, /* two or more */
    RULE_ATAN2,
    RULE_RANDOM,
    RULE_IF,
};
static const struct function {
    const char *name;
    enum rule rule;
    enum step_kind step;
    int takes_angle, gives_angle; /* RULE_TAKES; STEP_NUMBER: only the unit changes */
} functions[] = {
    {"sin", RULE_TAKES, STEP_SIN, 1, 0},     {"cos", RULE_TAKES, STEP_COS, 1, 0},
    {"tan", RULE_TAKES, STEP_TAN, 1, 0},     {"asin", RULE_TAKES, STEP_ASIN, 0, 1},
    {"acos", RULE_TAKES, STEP_ACOS, 0, 1},   {"atan", RULE_TAKES, STEP_ATAN, 0, 1},
    {"floor", RULE_TAKES, STEP_FLOOR, 0, 0}, {"ceil", RULE_TAKES, STEP_CEIL, 0, 0},
    {"round", RULE_TAKES, STEP_ROUND, 0, 0}, {"rad", RULE_TAKES, STEP_NUMBER, 1, 0},
    {"sqrt", RULE_ROOT, STEP_SQRT, 0, 0},    {"abs", RULE_KEEPS, STEP_ABS, 0, 0},
    {"hypot", RULE_BOTH, STEP_HYPOT, 0, 0},  {"mod", RULE_BOTH, STEP_MOD, 0, 0},
    {"min", RULE_SEVERAL, STEP_MIN, 0, 0},   {"max", RULE_SEVERAL, STEP_MAX, 0, 0},
    {"atan2", RULE_ATAN2, STEP_ATAN2, 0, 0}, {"random", RULE_RANDOM, STEP_RANDOM, 0, 0},
    {"if", RULE_IF, STEP_JUMP, 0, 0},
};
enum { FUNCTIONS = sizeof functions / sizeof *functions };
static const char *const words[] = {"pi", "yes", "no", "and", "or", "not", "if"};
enum { WORDS = sizeof words / sizeof *words };

bool expression_reserves(const char *name)
{
    for (size_t i = 0; i < WORDS; i++)
        if (strcmp(words[i], name) == 0)
            return true;
    return false;
}

static bool call_one(struct reading *reading, const struct function *function, struct part *out)
{
    const struct type wanted = function->takes_angle ? TYPE_ANGLE : TYPE_NUMBER;
    struct part a;

    if (!read_argument(reading, function->name, 0, &a))
        return false;
    out->type = a.type;
    switch (function->rule) {
    case RULE_TAKES:
        if (!want(reading, function->name, a.type, wanted))
            return false;
        out->type = function->gives_angle ? TYPE_ANGLE : TYPE_NUMBER;
        break;
    case RULE_ROOT:
        if (!is_number(a.type) || a.type.length % 2 != 0 || a.type.angle % 2 != 0)
            return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                                 "in \"%.60s\": sqrt takes an area or a plain number, and this is "
                                 "%s",
                                 reading->text, type_words(a.type));
        out->type.length /= 2;
        out->type.angle /= 2;
        break;
    default:
        if (!is_number(a.type))
            return want(reading, function->name, a.type, TYPE_NUMBER);
        break;
    }
    return close_call(reading, function->name) &&
           (function->step == STEP_NUMBER || add_step(reading, function->step, 0));
}

/* The other functions of numbers: two of them, or for RULE_SEVERAL more. */
static bool call_more(struct reading *reading, const struct function *function, struct part *out)
{
    struct part a, b;

    if (!read_argument(reading, function->name, 0, &a))
        return false;
    out->type = a.type;
    do {
        if (!read_argument(reading, function->name, 1, &b))
            return false;
        if (!is_number(out->type) || !is_number(b.type) || !same(out->type, b.type, &out->type))
            return refuse_pair(reading, "taken together here", out->type, b.type);
        if (!join(reading, function->step))
            return false;
        skip_blanks(reading);
    } while (function->rule == RULE_SEVERAL && *reading->at == ',');
    if (function->rule == RULE_ATAN2)
        out->type = TYPE_ANGLE;
    if (function->rule == RULE_RANDOM) {
        if (!want(reading, function->name, out->type, TYPE_NUMBER))
            return false;
        out->type = TYPE_NUMBER;
    }
    return close_call(reading, function->name);
}

static bool call_if(struct reading *reading, struct part *out)
{
    struct part condition, yes, no;
    size_t to_no, to_end;

    if (!read_argument(reading, "if", 0, &condition))
        return false;
    if (condition.type.kind != TYPE_TRUTH)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                             "in \"%.60s\": the first value of if() is a condition (a > b), and "
                             "this is %s",
                             reading->text, type_words(condition.type));
    if (!jump(reading, STEP_UNLESS, &to_no))
        return false;
    reading->stack--;
    if (!read_argument(reading, "if", 1, &yes) || !jump(reading, STEP_JUMP, &to_end))
        return false;
    land(reading, to_no);
    reading->stack--;
    if (!read_argument(reading, "if", 2, &no))
        return false;
    land(reading, to_end);
    if (!same(yes.type, no.type, &out->type))
        return refuse_pair(reading, "the two ways of one if()", yes.type, no.type);
    return close_call(reading, "if");
}

static bool read_call(struct reading *reading, const char *name, struct part *out)
{
    struct nearest nearest = {.wanted = name};
    char advice[256];

    out->first = reading->count;
    for (size_t i = 0; i < FUNCTIONS; i++) {
        if (strcmp(functions[i].name, name) != 0)
            continue;
        if (functions[i].rule == RULE_IF)
            return call_if(reading, out);
        if (functions[i].rule <= RULE_KEEPS)
            return call_one(reading, &functions[i], out);
        return call_more(reading, &functions[i], out);
    }
    for (size_t i = 0; i < FUNCTIONS; i++)
        nearest_look(&nearest, functions[i].name);
    nearest_words(&nearest, advice, sizeof advice, "");
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                         "in \"%.60s\": there is no function %.40s()%s", reading->text, name,
                         advice);
}

static bool read_known(struct reading *reading, const char *name, struct part *out)
{
    const struct scope *scope = reading->scope;
    struct nearest nearest = {.wanted = name};
    char advice[256];

    for (size_t i = 0; i < scope->count; i++) {
        if (strcmp(scope->names[i].name, name) != 0)
            continue;
        out->type = scope->names[i].type;
        if (!push(reading, STEP_SLOT, 0))
            return false;
        reading->steps[reading->count - 1].at = scope->names[i].slot;
        return true;
    }
    for (size_t i = 0; i < scope->count; i++)
        nearest_look(&nearest, scope->names[i].name);
    nearest_words(&nearest, advice, sizeof advice,
                  scope->count > 0 ? "; use a parameter, a <let> before this, or a number"
                                   : "; only numbers can stand here");
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                         "in \"%.60s\": nothing is called \"%.40s\"%s", reading->text, name,
                         advice);
}

static bool read_name(struct reading *reading, struct part *out)
{
    size_t length = name_length(reading->at);
    char name[LONGEST_NAME + 1];

    if (length > LONGEST_NAME)
        return fault(reading, "a name is longer than 64 letters");
    memcpy(name, reading->at, length);
    name[length] = '\0';
    reading->at += length;
    out->first = reading->count;
    if (take(reading, "("))
        return read_call(reading, name, out);
    if (strcmp(name, "pi") == 0) {
        out->type = TYPE_NUMBER;
        return push(reading, STEP_NUMBER, RAB_PI);
    }
    if (strcmp(name, "yes") == 0 || strcmp(name, "no") == 0) {
        out->type = truth;
        return push(reading, STEP_NUMBER, name[0] == 'y');
    }
    if (expression_reserves(name))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                             "in \"%.60s\": \"%s\" stands where a value is expected", reading->text,
                             name);
    return read_known(reading, name, out);
}

static bool read_quoted(struct reading *reading, struct part *out)
{
    const char mark = *reading->at++;
    const char *end = strchr(reading->at, mark);
    char *word;

    if (!end)
        return fault(reading, "a word in quotes is not closed");
    word = arena_text(reading->arena, reading->at, (size_t)(end - reading->at), reading->err);
    out->type = (struct type){TYPE_WORD, 0, 0, 0};
    out->first = reading->count;
    if (!word || !push(reading, STEP_WORD, 0))
        return false;
    reading->steps[reading->count - 1].word = word;
    reading->at = end + 1;
    return true;
}

static bool read_primary(struct reading *reading, struct part *out)
{
    skip_blanks(reading);
    if (is_digit(*reading->at) || *reading->at == '.')
        return read_number(reading, out);
    if (is_letter(*reading->at))
        return read_name(reading, out);
    if (*reading->at == '\'' || *reading->at == '"')
        return read_quoted(reading, out);
    if (take(reading, "("))
        return read_any(reading, out) &&
               (take(reading, ")") || fault(reading, "a parenthesis is not closed; add \")\""));
    if (*reading->at == '\0')
        return fault(reading, "a value is missing at the end");
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                         "in \"%.60s\": a value is missing before \"%.20s\"", reading->text,
                         reading->at);
}

static bool read_power(struct reading *reading, struct part *out)
{
    double exponent;
    bool negative;
    size_t length;

    if (!read_primary(reading, out))
        return false;
    if (!take(reading, "^"))
        return true;
    negative = take(reading, "-");
    skip_blanks(reading);
    length = read_whole(reading->at, &exponent);
    if (length == 0 || exponent > MOST_EXPONENT || reading->at[length] == '.' ||
        name_length(reading->at + length) > 0)
        return fault(reading, "the exponent after ^ is a whole number up to 100, as written");
    reading->at += length;
    if (!is_number(out->type))
        return want(reading, "^", out->type, TYPE_NUMBER);
    if (out->type.kind == TYPE_ZERO)
        out->type = TYPE_NUMBER;
    exponent = negative ? -exponent : exponent;
    if (abs(out->type.length * (int)exponent) > MOST_POWER ||
        abs(out->type.angle * (int)exponent) > MOST_POWER)
        return fault(reading, "too many lengths or angles are multiplied");
    out->type.length *= (int)exponent;
    out->type.angle *= (int)exponent;
    if (take(reading, "^"))
        return fault(reading, "two ^ in a row can be read in two ways; use parentheses");
    return add_step(reading, STEP_POWER, exponent);
}

static bool read_signed(struct reading *reading, struct part *out)
{
    size_t signs = 0;

    while (take(reading, "-"))
        signs++;
    if (!read_power(reading, out))
        return false;
    if (signs == 0)
        return true;
    if (!is_number(out->type))
        return want(reading, "a minus", out->type, TYPE_NUMBER);
    return signs % 2 == 0 || add_step(reading, STEP_NEGATE, 0);
}

static bool read_product(struct reading *reading, struct part *out)
{
    if (!read_signed(reading, out))
        return false;
    for (;;) {
        const bool times = take(reading, "*");
        struct part next;
        if (!times && !take(reading, "/"))
            return true;
        if (!read_signed(reading, &next) ||
            !combine(reading, out->type, next.type, times ? 1 : -1, &out->type) ||
            !join(reading, times ? STEP_MULTIPLY : STEP_DIVIDE))
            return false;
    }
}

static bool read_sum(struct reading *reading, struct part *out)
{
    if (!read_product(reading, out))
        return false;
    for (;;) {
        const bool plus = take(reading, "+");
        struct part next;
        if (!plus && !take(reading, "-"))
            return true;
        if (!read_product(reading, &next))
            return false;
        if (!is_number(out->type) || !is_number(next.type) ||
            !same(out->type, next.type, &out->type))
            return refuse_pair(reading, plus ? "added" : "subtracted", out->type, next.type);
        if (!join(reading, plus ? STEP_ADD : STEP_SUBTRACT))
            return false;
    }
}

/* Quoted words in the steps from `first` to `end` become numbers of the choice. */
static bool bind(struct reading *reading, size_t first, size_t end, size_t choice_slot)
{
    const struct rab_parameter *choice = &reading->scope->parameters[choice_slot];
    struct expression part = {reading->steps + first, (uint32_t)(end - first), NULL};

    if (!expression_check_words(&part, reading->line, choice, reading->err))
        return false;
    expression_bind(&part, choice);
    return true;
}

static bool check_comparison(struct reading *reading, enum step_kind kind, const struct part *a,
                             const struct part *b)
{
    const bool equal = kind == STEP_EQUAL || kind == STEP_UNEQUAL;
    struct type type;

    if (equal && a->type.kind == TYPE_CHOICE && b->type.kind == TYPE_WORD)
        return bind(reading, b->first, reading->count, a->type.choice_slot);
    if (equal && a->type.kind == TYPE_WORD && b->type.kind == TYPE_CHOICE)
        return bind(reading, a->first, b->first, b->type.choice_slot);
    if (a->type.kind == TYPE_WORD || b->type.kind == TYPE_WORD || !same(a->type, b->type, &type))
        return refuse_pair(reading, "compared", a->type, b->type);
    if (!equal && !is_number(type))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                             "in \"%.60s\": %s has no order; compare with = or !=", reading->text,
                             type_words(type));
    return true;
}

static bool take_comparison(struct reading *reading, enum step_kind *kind)
{
    static const struct {
        const char *sign;
        enum step_kind kind;
    } signs[] = {
        {"<=", STEP_LESS_EQUAL}, {">=", STEP_MORE_EQUAL}, {"!=", STEP_UNEQUAL},
        {"<", STEP_LESS},        {">", STEP_MORE},        {"=", STEP_EQUAL},
    };

    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        if (take(reading, signs[i].sign)) {
            *kind = signs[i].kind;
            return true;
        }
    }
    return false;
}

static bool read_comparison(struct reading *reading, struct part *out)
{
    enum step_kind kind, more;
    struct part next;

    if (!read_sum(reading, out))
        return false;
    if (!take_comparison(reading, &kind))
        return true;
    if (!read_sum(reading, &next) || !check_comparison(reading, kind, out, &next))
        return false;
    if (take_comparison(reading, &more))
        return fault(reading, "compare two at a time and join them with \"and\"");
    out->type = truth;
    return join(reading, kind);
}

static bool want_truth(struct reading *reading, const char *who, struct type given)
{
    if (given.kind == TYPE_TRUTH)
        return true;
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading->line,
                         "in \"%.60s\": \"%s\" joins conditions (a > b), and this is %s",
                         reading->text, who, type_words(given));
}

static bool read_not(struct reading *reading, struct part *out)
{
    size_t times = 0;

    while (take_word(reading, "not"))
        times++;
    if (!read_comparison(reading, out) || (times > 0 && !want_truth(reading, "not", out->type)))
        return false;
    return times % 2 == 0 || add_step(reading, STEP_NOT, 0);
}

/* What `and` and `or` have in common: the second side is looked at only when the first leaves it
 * open, so that it may divide by what the first has seen not to be 0. */
static bool read_and(struct reading *reading, struct part *out)
{
    if (!read_not(reading, out))
        return false;
    while (take_word(reading, "and")) {
        struct part next;
        size_t end;
        if (!want_truth(reading, "and", out->type) || !jump(reading, STEP_AND, &end))
            return false;
        reading->stack--;
        if (!read_not(reading, &next) || !want_truth(reading, "and", next.type))
            return false;
        land(reading, end);
    }
    return true;
}

static bool read_or(struct reading *reading, struct part *out)
{
    if (!read_and(reading, out))
        return false;
    while (take_word(reading, "or")) {
        struct part next;
        size_t end;
        if (!want_truth(reading, "or", out->type) || !jump(reading, STEP_OR, &end))
            return false;
        reading->stack--;
        if (!read_and(reading, &next) || !want_truth(reading, "or", next.type))
            return false;
        land(reading, end);
    }
    return true;
}

static bool read_any(struct reading *reading, struct part *out)
{
    bool ok;

    if (reading->nested == EXPRESSION_NESTED)
        return fault(reading, "it is nested too deeply; divide it with <let>");
    reading->nested++;
    ok = read_or(reading, out);
    reading->nested--;
    return ok;
}

/* NOLINTEND(misc-no-recursion) */

bool expression_read(const char *text, int line, const struct scope *scope, struct arena *arena,
                     struct expression *out, struct type *type, struct rab_error *err)
{
    struct reading reading = {.text = text,
                              .at = text,
                              .end = text + strlen(text),
                              .line = line,
                              .scope = scope,
                              .arena = arena,
                              .err = err};
    struct expression made = {0};
    struct part all = {0};
    bool ok = false;

    skip_blanks(&reading);
    if (*reading.at == '\0') {
        rab_fail_line(err, RAB_FAULT_INPUT, line, "a value is empty; give one like 12mm");
        goto done;
    }
    if (!read_any(&reading, &all))
        goto done;
    skip_blanks(&reading);
    if (*reading.at != '\0') {
        rab_fail_line(err, RAB_FAULT_INPUT, line, "in \"%.60s\": \"%.20s\" is not expected%s", text,
                      reading.at, *reading.at == ')' ? "" : "; is a sign like * or + missing?");
        goto done;
    }
    made.steps = arena_copy(arena, reading.steps, reading.count, sizeof *reading.steps, err);
    made.text = arena_text(arena, text, strlen(text), err);
    made.count = (uint32_t)reading.count;
    if (!made.steps || !made.text)
        goto done;
    *out = made;
    *type = all.type;
    ok = true;
done:
    free(reading.steps);
    return ok;
}
