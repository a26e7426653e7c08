#include "rabbet/base.h"

#include <math.h>
#include <string.h>

static const double mm_an_inch = 25.4;
/* A kilometre: no paper is larger, and geometry stays exact to a nanometre below it. */
static const double largest = 1e6;

double rab_mm_from(double value, enum rab_unit unit)
{
    switch (unit) {
    case RAB_UNIT_CM:
        return value * 10;
    case RAB_UNIT_IN:
        /* 25.4 is no double but 127/5 is a division of two: 12 in gives 304.8 to the last bit. */
        return value * 127 / 5;
    case RAB_UNIT_PT:
        return value * 127 / (5 * 72);
    case RAB_UNIT_NONE:
    case RAB_UNIT_MM:
        break;
    }
    return value;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

struct span {
    const char *start, *end;
};

static void skip_blanks(struct span *span)
{
    while (span->start < span->end && is_blank(*span->start))
        span->start++;
}

static struct span trim(struct span span)
{
    skip_blanks(&span);
    while (span.end > span.start && is_blank(span.end[-1]))
        span.end--;
    return span;
}

/* The parts of one length as it is written. */
struct measure {
    double value;
    bool fraction; /* value stands over divisor */
    double divisor;
    enum rab_unit unit; /* RAB_UNIT_NONE when none is written */
};

/* A whole number of at most nine digits, so that every step with it is exact. */
static bool take_whole(struct span *span, double *value)
{
    const char *start = span->start;
    double sum = 0;

    while (span->start < span->end && is_digit(*span->start))
        sum = sum * 10 + (*span->start++ - '0');
    *value = sum;
    return span->start > start && span->start - start <= 9;
}

/* One character, as word processors write it: Unicode's VULGAR FRACTIONs of halves, quarters and
 * eighths. */
static bool take_vulgar(struct span *span, double *above, double *below)
{
    static const struct {
        const char *bytes;
        double above, below;
    } all[] = {{"\xC2\xBD", 1, 2},     {"\xC2\xBC", 1, 4},     {"\xC2\xBE", 3, 4},
               {"\xE2\x85\x9B", 1, 8}, {"\xE2\x85\x9C", 3, 8}, {"\xE2\x85\x9D", 5, 8},
               {"\xE2\x85\x9E", 7, 8}};

    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        const size_t length = strlen(all[i].bytes);
        if ((size_t)(span->end - span->start) < length ||
            memcmp(span->start, all[i].bytes, length) != 0)
            continue;
        *above = all[i].above;
        *below = all[i].below;
        span->start += length;
        return true;
    }
    return false;
}

/* "3/4", with nothing between its parts. */
static bool take_fraction(struct span *span, double *above, double *below)
{
    struct span at = *span;

    if (take_vulgar(span, above, below))
        return true;
    if (!take_whole(&at, above) || at.start == at.end || *at.start != '/')
        return false;
    at.start++;
    if (!take_whole(&at, below) || *below <= 0)
        return false;
    *span = at;
    return true;
}

/* "5 3/4", "5-3/4" or "3/4", without a sign; or a fraction of one character. */
static bool take_mixed(struct span *span, double *above, double *below)
{
    struct span at = *span;
    double whole;

    if (take_fraction(span, above, below))
        return true;
    if (!take_whole(&at, &whole) || at.start == at.end)
        return false;
    if (*at.start == '-')
        at.start++;
    else if (is_blank(*at.start))
        skip_blanks(&at);
    else if ((unsigned char)*at.start < 0x80) /* a fraction of one character needs none */
        return false;
    /* "5 9/4" is more likely a slip than a length. */
    if (!take_fraction(&at, above, below) || *above >= *below)
        return false;
    *above += whole * *below;
    *span = at;
    return true;
}

static bool take_unit(struct span span, enum rab_unit *unit)
{
    static const struct {
        const char *name;
        enum rab_unit unit;
    } units[] = {
        {"", RAB_UNIT_NONE},           {"mm", RAB_UNIT_MM}, {"cm", RAB_UNIT_CM},
        {"in", RAB_UNIT_IN},           {"\"", RAB_UNIT_IN}, {"pt", RAB_UNIT_PT},
        {"\xE2\x80\xB3", RAB_UNIT_IN}, /* the double prime */
        {"\xE2\x80\x9D", RAB_UNIT_IN}, /* what word processors make of it */
    };
    size_t length = (size_t)(span.end - span.start);

    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        if (strlen(units[i].name) == length && memcmp(units[i].name, span.start, length) == 0) {
            *unit = units[i].unit;
            return true;
        }
    }
    return false;
}

static bool take_measure(struct span span, struct measure *out)
{
    struct measure made = {.divisor = 1};
    bool negative = false;

    span = trim(span);
    if (span.start < span.end && (*span.start == '-' || *span.start == '+'))
        negative = *span.start++ == '-';
    if (take_mixed(&span, &made.value, &made.divisor)) {
        made.fraction = true;
    } else {
        if (span.start == span.end || !(is_digit(*span.start) || *span.start == '.'))
            return false;
        span.start += rab_number_read(span.start, (size_t)(span.end - span.start), &made.value);
    }
    if (negative)
        made.value = -made.value;
    skip_blanks(&span);
    if (!take_unit(span, &made.unit))
        return false;
    *out = made;
    return true;
}

static bool measure_mm(const struct measure *measure, enum rab_unit usual, const char *text,
                       double *mm, struct rab_error *err)
{
    enum rab_unit unit = measure->unit != RAB_UNIT_NONE ? measure->unit : usual;
    double value;

    if (unit == RAB_UNIT_NONE)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "\"%.80s\" has no unit; add mm, cm, in or pt (146mm, 5 3/4in)", text);
    if (measure->fraction && unit != RAB_UNIT_IN)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "\"%.80s\": fractions are for inches; write it like 5 3/4in, or 146.5mm",
                        text);
    if (measure->fraction)
        value = measure->value * 127 / (5 * measure->divisor);
    else
        value = rab_mm_from(measure->value, unit);
    if (!(fabs(value) <= largest))
        return rab_fail(err, RAB_FAULT_INPUT, "\"%.80s\" is too large; give at most 1000000 mm",
                        text);
    *mm = value;
    return true;
}

bool rab_length_read(const char *text, enum rab_unit usual, double *mm, struct rab_error *err)
{
    struct measure measure;

    if (!take_measure((struct span){text, text + strlen(text)}, &measure))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "\"%.80s\" is not a length; write it like 146mm, 14.6cm, 5.75in or 5 3/4in",
                        text);
    return measure_mm(&measure, usual, text, mm, err);
}

/* The sign between width and height: x, X or a multiplication sign (U+00D7). */
static bool find_times(const char *text, struct span *times)
{
    for (; *text; text++) {
        if (*text == 'x' || *text == 'X') {
            *times = (struct span){text, text + 1};
            return true;
        }
        if (strncmp(text, "\xC3\x97", 2) == 0) {
            *times = (struct span){text, text + 2};
            return true;
        }
    }
    return false;
}

bool rab_size_read(const char *text, enum rab_unit usual, double *width, double *height,
                   struct rab_error *err)
{
    struct span times;
    struct measure across, up;
    double w = 0, h = 0;

    if (!find_times(text, &times) || !take_measure((struct span){text, times.start}, &across) ||
        !take_measure((struct span){times.end, text + strlen(text)}, &up))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "\"%.80s\" is not a size; write width by height like 146mm x 95mm or "
                        "5.75x3.75in",
                        text);
    /* "6in x 4" could mean either, so the usual unit is not put in silently. */
    if (up.unit == RAB_UNIT_NONE && across.unit != RAB_UNIT_NONE)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "\"%.80s\": the height has no unit; give it one, as in 6in x 4in", text);
    if (across.unit == RAB_UNIT_NONE)
        across.unit = up.unit;
    if (!measure_mm(&across, usual, text, &w, err) || !measure_mm(&up, usual, text, &h, err))
        return false;
    if (w <= 0 || h <= 0)
        return rab_fail(err, RAB_FAULT_INPUT, "\"%.80s\": width and height must be more than 0",
                        text);
    *width = w;
    *height = h;
    return true;
}

/* ---- for people ---- */

static void add_mm(struct rab_text *text, double mm)
{
    /* Decimals that people write (3.175) lie a rounding below or above their half; a picometre
     * decides for the way they would round. */
    rab_text_fixed(text, mm + copysign(1e-9, mm), 2);
}

static double nearest_parts(double mm, int denominator)
{
    return round(fabs(mm) / mm_an_inch * denominator);
}

static bool inches_exact(double mm, int denominator)
{
    return fabs(fabs(mm) - nearest_parts(mm, denominator) / denominator * mm_an_inch) <= 0.0005;
}

/* "3 15/16" */
static void add_inches(struct rab_text *text, double mm, int denominator)
{
    double parts = nearest_parts(mm, denominator);
    double whole = floor(parts / denominator);
    int above = (int)(parts - whole * denominator), below = denominator;

    while (above > 0 && above % 2 == 0 && below % 2 == 0) {
        above /= 2;
        below /= 2;
    }
    if (mm < 0 && parts > 0)
        rab_text_add(text, "-");
    if (whole > 0 || above == 0)
        rab_text_fixed(text, whole, 0);
    if (above > 0)
        rab_text_format(text, "%s%d/%d", whole > 0 ? " " : "", above, below);
}

/* One or two lengths in one unit. */
static void add_all(struct rab_text *text, const double *mm, int count, bool inches,
                    int denominator)
{
    bool exact = true;

    for (int i = 0; inches && i < count; i++)
        exact = exact && inches_exact(mm[i], denominator);
    if (!exact)
        rab_text_add(text, "\xE2\x89\x88 "); /* U+2248, almost equal to */
    for (int i = 0; i < count; i++) {
        if (i > 0)
            rab_text_add(text, " x ");
        if (inches)
            add_inches(text, mm[i], denominator);
        else
            add_mm(text, mm[i]);
    }
    rab_text_add(text, inches ? " in" : " mm");
}

static void add_both(struct rab_text *text, const double *mm, int count, bool in_first,
                     int denominator)
{
    add_all(text, mm, count, in_first, denominator);
    rab_text_add(text, " (");
    add_all(text, mm, count, !in_first, denominator);
    rab_text_add(text, ")");
}

void rab_text_length(struct rab_text *text, double mm, bool in_first, int denominator)
{
    add_both(text, &mm, 1, in_first, denominator);
}

void rab_text_size(struct rab_text *text, double width, double height, bool in_first,
                   int denominator)
{
    const double both[] = {width, height};

    add_both(text, both, 2, in_first, denominator);
}
