#include "read/number.h"

#include "read/decode.h"

#include <math.h>
#include <string.h>

struct slice slice_of(const char *text)
{
    return (struct slice){text, strlen(text)};
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f';
}

struct slice slice_trim(struct slice slice)
{
    skip_blanks(&slice);
    while (slice.length > 0 && is_blank(slice.text[slice.length - 1]))
        slice.length--;
    return slice;
}

/* The C library's comparison follows the locale: in a Turkish one "IN" is not "in". */
static char lower(char c)
{
    return (char)(c >= 'A' && c <= 'Z' ? c | 0x20 : c);
}

bool slice_is(struct slice slice, const char *word)
{
    for (size_t i = 0; i < slice.length; i++)
        if (word[i] == '\0' || lower(slice.text[i]) != lower(word[i]))
            return false;
    return word[slice.length] == '\0';
}

bool slice_begins(struct slice slice, const char *word)
{
    size_t length = strlen(word);

    return slice.length >= length && slice_is((struct slice){slice.text, length}, word);
}

static void advance(struct slice *from, size_t count)
{
    from->text += count;
    from->length -= count;
}

void skip_blanks(struct slice *from)
{
    while (from->length > 0 && is_blank(*from->text))
        advance(from, 1);
}

void skip_comma(struct slice *from)
{
    skip_blanks(from);
    if (from->length > 0 && *from->text == ',') {
        advance(from, 1);
        skip_blanks(from);
    }
}

bool take_number(struct slice *from, double *value)
{
    size_t used = rab_number_read(from->text, from->length, value);

    advance(from, used);
    return used > 0;
}

/* ---- lengths ---- */

struct unit_name {
    const char *name;
    enum length_unit unit;
};

static const struct unit_name unit_names[] = {
    {"", LENGTH_NUMBER},   {"%", LENGTH_PERCENT}, {"px", LENGTH_PX}, {"mm", LENGTH_MM},
    {"cm", LENGTH_CM},     {"q", LENGTH_Q},       {"in", LENGTH_IN}, {"pt", LENGTH_PT},
    {"pc", LENGTH_PC},     {"em", LENGTH_EM},     {"ex", LENGTH_EX}, {"ch", LENGTH_CH},
    {"rem", LENGTH_REM},   {"vw", LENGTH_VW},     {"vh", LENGTH_VH}, {"vmin", LENGTH_VMIN},
    {"vmax", LENGTH_VMAX},
};

bool length_read(struct slice text, const char *attribute, int line, struct length *out,
                 struct rab_error *err)
{
    struct slice whole = slice_trim(text), rest = whole;
    struct length length = {0, LENGTH_AUTO};

    if (slice_is(whole, "auto")) {
        *out = length;
        return true;
    }
    if (take_number(&rest, &length.value)) {
        if (!(fabs(length.value) <= NUMBER_LIMIT))
            return rab_fail_line(err, RAB_FAULT_INPUT, line,
                                 "%s=\"%s\" is too large; lengths up to 1e12 are read", attribute,
                                 quote_text(whole.text, whole.length).text);
        for (size_t i = 0; i < sizeof unit_names / sizeof unit_names[0]; i++) {
            if (slice_is(rest, unit_names[i].name)) {
                length.unit = unit_names[i].unit;
                *out = length;
                return true;
            }
        }
    }
    return rab_fail_line(err, RAB_FAULT_INPUT, line,
                         "%s=\"%s\" is no length; give a number with mm, cm, in, pt, pc, px or "
                         "none (\"10.5mm\")",
                         attribute, quote_text(whole.text, whole.length).text);
}

bool length_physical(struct length length, double *mm)
{
    switch (length.unit) {
    case LENGTH_MM:
        *mm = length.value;
        return true;
    case LENGTH_CM:
        *mm = length.value * 10;
        return true;
    case LENGTH_Q: /* CSS Values 3, 6.2: 1/40 cm */
        *mm = length.value / 4;
        return true;
    case LENGTH_IN:
        *mm = length.value * 25.4;
        return true;
    case LENGTH_PT: /* CSS 2.1, 4.3.2: 1/72 in */
        *mm = length.value * 25.4 / 72;
        return true;
    case LENGTH_PC: /* 12 pt */
        *mm = length.value * 25.4 / 6;
        return true;
    default:
        return false;
    }
}

/* The part of the viewport that 100 % stands for (SVG 1.1, 7.10). */
static double whole_of(double width, double height, enum length_axis axis)
{
    if (width <= 0 || height <= 0)
        return 0;
    switch (axis) {
    case AXIS_X:
        return width;
    case AXIS_Y:
        return height;
    default:
        return sqrt((width * width + height * height) / 2);
    }
}

bool length_resolve(struct length length, enum length_axis axis, const struct length_base *base,
                    const char *attribute, int line, double *out, struct rab_error *err)
{
    double mm, whole;

    if (length_physical(length, &mm)) {
        *out = mm * 96 / 25.4;
        return true;
    }
    switch (length.unit) {
    case LENGTH_EM:
        *out = length.value * base->font;
        return true;
    case LENGTH_EX: /* CSS 2.1, 4.3.2: half an em where the font does not tell */
    case LENGTH_CH: /* CSS Values 3, 6.1.1: the same */
        *out = length.value * base->font / 2;
        return true;
    case LENGTH_REM:
        *out = length.value * base->root_font;
        return true;
    case LENGTH_PERCENT:
        whole = whole_of(base->width, base->height, axis);
        break;
    case LENGTH_VW:
        whole = base->page_width;
        break;
    case LENGTH_VH:
        whole = base->page_height;
        break;
    case LENGTH_VMIN:
        whole = fmin(base->page_width, base->page_height);
        break;
    case LENGTH_VMAX:
        whole = base->page_width > 0 ? fmax(base->page_width, base->page_height) : 0;
        break;
    default:
        *out = length.value;
        return true;
    }
    if (whole <= 0)
        return rab_fail_line(err, RAB_FAULT_INPUT, line,
                             "%s is a part of the page, but the page has no size; give the svg "
                             "element a viewBox, or a width and height",
                             attribute);
    *out = length.value / 100 * whole;
    return true;
}

/* ---- transforms ---- */

struct matrix matrix_join(struct matrix outer, struct matrix inner)
{
    return (struct matrix){
        outer.a * inner.a + outer.c * inner.b,
        outer.b * inner.a + outer.d * inner.b,
        outer.a * inner.c + outer.c * inner.d,
        outer.b * inner.c + outer.d * inner.d,
        outer.a * inner.e + outer.c * inner.f + outer.e,
        outer.b * inner.e + outer.d * inner.f + outer.f,
    };
}

struct rab_point matrix_apply(const struct matrix *matrix, struct rab_point point)
{
    return (struct rab_point){matrix->a * point.x + matrix->c * point.y + matrix->e,
                              matrix->b * point.x + matrix->d * point.y + matrix->f};
}

struct rab_point matrix_turn(const struct matrix *matrix, struct rab_point vector)
{
    return (struct rab_point){matrix->a * vector.x + matrix->c * vector.y,
                              matrix->b * vector.x + matrix->d * vector.y};
}

enum transform_kind {
    KIND_MATRIX,
    KIND_TRANSLATE,
    KIND_SCALE,
    KIND_ROTATE,
    KIND_SKEW_X,
    KIND_SKEW_Y,
    /* CSS only */
    KIND_TRANSLATE_X,
    KIND_TRANSLATE_Y,
    KIND_SCALE_X,
    KIND_SCALE_Y,
    KIND_SKEW,
};

struct transform_name {
    const char *name;
    enum transform_kind kind;
    unsigned counts; /* bit n: n numbers are allowed */
    bool css_only;
};

static const struct transform_name transform_names[] = {
    {"matrix", KIND_MATRIX, 1U << 6, false},
    {"translate", KIND_TRANSLATE, 1U << 1 | 1U << 2, false},
    {"scale", KIND_SCALE, 1U << 1 | 1U << 2, false},
    {"rotate", KIND_ROTATE, 1U << 1 | 1U << 3, false},
    {"skewX", KIND_SKEW_X, 1U << 1, false},
    {"skewY", KIND_SKEW_Y, 1U << 1, false},
    {"translateX", KIND_TRANSLATE_X, 1U << 1, true},
    {"translateY", KIND_TRANSLATE_Y, 1U << 1, true},
    {"scaleX", KIND_SCALE_X, 1U << 1, true},
    {"scaleY", KIND_SCALE_Y, 1U << 1, true},
    {"skew", KIND_SKEW, 1U << 1 | 1U << 2, true},
};

/* Quarter turns are written often and should stay exact. */
static struct matrix turn_by(double degrees)
{
    double quarter = remainder(degrees, 360) / 90, angle = degrees * RAB_PI / 180;
    double c = cos(angle), s = sin(angle);

    if (quarter == 0 || fabs(quarter) == 2)
        c = quarter == 0 ? 1 : -1, s = 0;
    else if (fabs(quarter) == 1)
        c = 0, s = quarter;
    return (struct matrix){c, s, -s, c, 0, 0};
}

static struct matrix make_transform(enum transform_kind kind, const double *n, size_t count)
{
    struct matrix there = MATRIX_SAME, back = MATRIX_SAME;

    switch (kind) {
    case KIND_MATRIX:
        return (struct matrix){n[0], n[1], n[2], n[3], n[4], n[5]};
    case KIND_TRANSLATE:
        return (struct matrix){1, 0, 0, 1, n[0], count > 1 ? n[1] : 0};
    case KIND_TRANSLATE_X:
        return (struct matrix){1, 0, 0, 1, n[0], 0};
    case KIND_TRANSLATE_Y:
        return (struct matrix){1, 0, 0, 1, 0, n[0]};
    case KIND_SCALE:
        return (struct matrix){n[0], 0, 0, count > 1 ? n[1] : n[0], 0, 0};
    case KIND_SCALE_X:
        return (struct matrix){n[0], 0, 0, 1, 0, 0};
    case KIND_SCALE_Y:
        return (struct matrix){1, 0, 0, n[0], 0, 0};
    case KIND_ROTATE:
        if (count == 1)
            return turn_by(n[0]);
        there.e = n[1], there.f = n[2];
        back.e = -n[1], back.f = -n[2];
        return matrix_join(matrix_join(there, turn_by(n[0])), back);
    case KIND_SKEW_X:
        return (struct matrix){1, 0, tan(n[0] * RAB_PI / 180), 1, 0, 0};
    case KIND_SKEW_Y:
        return (struct matrix){1, tan(n[0] * RAB_PI / 180), 0, 1, 0, 0};
    case KIND_SKEW:
        return (struct matrix){
            1, count > 1 ? tan(n[1] * RAB_PI / 180) : 0, tan(n[0] * RAB_PI / 180), 1, 0, 0};
    }
    return MATRIX_SAME;
}

/* The unit of a number in CSS: angles come out in degrees, lengths in px. */
static bool take_unit(struct slice *from, double *value)
{
    static const struct {
        const char *name;
        double factor;
    } units[] = {
        {"deg", 1},        {"grad", 0.9},     {"rad", 180 / RAB_PI}, {"turn", 360},
        {"px", 1},         {"mm", 96 / 25.4}, {"cm", 96 / 2.54},     {"in", 96},
        {"pt", 96.0 / 72}, {"pc", 16},
    };
    size_t length = 0;

    while (length < from->length &&
           ((from->text[length] | 0x20) >= 'a' && (from->text[length] | 0x20) <= 'z'))
        length++;
    if (length == 0)
        return true;
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        if (slice_is((struct slice){from->text, length}, units[i].name)) {
            *value *= units[i].factor;
            advance(from, length);
            return true;
        }
    }
    return false;
}

/* One function of the list. */
static bool take_transform(struct slice *from, bool css, struct matrix *out)
{
    const struct transform_name *name = NULL;
    double numbers[6];
    size_t count = 0, length = 0;

    while (length < from->length && from->text[length] != '(' && !is_blank(from->text[length]))
        length++;
    for (size_t i = 0; i < sizeof transform_names / sizeof transform_names[0]; i++) {
        const struct transform_name *candidate = &transform_names[i];
        struct slice word = {from->text, length};
        if (css ? slice_is(word, candidate->name)
                : !candidate->css_only && strlen(candidate->name) == length &&
                      memcmp(candidate->name, from->text, length) == 0)
            name = candidate;
    }
    if (!name)
        return false;
    advance(from, length);
    skip_blanks(from);
    if (from->length == 0 || *from->text != '(')
        return false;
    advance(from, 1);
    skip_blanks(from);
    for (; count < 6; count++) {
        if (count > 0 && from->length > 0 && *from->text == ')')
            break;
        if (!take_number(from, &numbers[count]) || (css && !take_unit(from, &numbers[count])) ||
            !(fabs(numbers[count]) <= NUMBER_LIMIT))
            return false;
        skip_blanks(from);
        if (from->length > 0 && *from->text == ',') {
            advance(from, 1);
            skip_blanks(from);
            if (from->length > 0 && *from->text == ')')
                return false;
        }
    }
    if (from->length == 0 || *from->text != ')' || !(name->counts >> count & 1U))
        return false;
    advance(from, 1);
    *out = make_transform(name->kind, numbers, count);
    return true;
}

bool transform_read(struct slice text, bool css, int line, struct matrix *out,
                    struct rab_error *err)
{
    struct slice whole = slice_trim(text), from = whole;
    struct matrix all = MATRIX_SAME, one;

    if (slice_is(whole, "none"))
        from.length = 0;
    while (from.length > 0) {
        if (!take_transform(&from, css, &one))
            return rab_fail_line(
                err, RAB_FAULT_INPUT, line,
                "transform=\"%s\" is not understood; it wants matrix(a b c d e f), "
                "translate, scale, rotate, skewX or skewY with numbers",
                quote_text(whole.text, whole.length).text);
        all = matrix_join(all, one);
        skip_comma(&from);
    }
    *out = all;
    return true;
}
