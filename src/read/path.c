#include "read/path.h"

#include "read/decode.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct walker {
    const char *what; /* is read */
    struct path_sink *sink;
    struct slice whole, from;
    struct rab_curve *curves;
    size_t count, capacity;
    struct rab_point now, start;
    struct rab_point control; /* of the segment before, for S and T */
    char last;                /* its command in capitals */
    struct rab_error *err;
};

static bool complain(struct walker *walker, const char *wanted)
{
    struct slice from = walker->from;
    size_t length = 0;

    while (length < from.length && length < 12 && from.text[length] != '\n')
        length++;
    return rab_fail_line(walker->err, RAB_FAULT_INPUT, walker->sink->line,
                         "%s broken at character %zu: %s is expected, not %s%s%s", walker->what,
                         walker->whole.length - from.length + 1, wanted, length ? "\"" : "the end",
                         quote_text(from.text, length).text, length ? "\"" : "");
}

/* ---- segments ---- */

static bool add(struct walker *walker, struct rab_curve curve, struct rab_point end)
{
    /* fitting a curve takes longer than copying a line */
    size_t cost = curve.kind == RAB_CURVE_LINE ? 1 : CURVE_COST;

    if (walker->sink->segments < cost)
        return rab_fail_line(walker->err, RAB_FAULT_INPUT, walker->sink->line,
                             "the drawing has too many lines and curves; simplify it");
    walker->sink->segments -= cost;
    if (!rab_reserve((void **)&walker->curves, &walker->capacity, walker->count + 1, sizeof curve,
                     walker->err))
        return false;
    walker->curves[walker->count++] = curve;
    walker->now = end;
    return true;
}

static bool add_line(struct walker *walker, struct rab_point end)
{
    return add(walker, (struct rab_curve){.kind = RAB_CURVE_LINE, .p = {walker->now, end}}, end);
}

static bool add_cubic(struct walker *walker, struct rab_point a, struct rab_point b,
                      struct rab_point end)
{
    return add(walker, (struct rab_curve){.kind = RAB_CURVE_CUBIC, .p = {walker->now, a, b, end}},
               end);
}

/* A quadratic curve is a cubic one: the same polynomial, degree raised. */
static bool add_quadratic(struct walker *walker, struct rab_point control, struct rab_point end)
{
    struct rab_point now = walker->now;
    struct rab_point a = {now.x + (control.x - now.x) * 2 / 3, now.y + (control.y - now.y) * 2 / 3};
    struct rab_point b = {end.x + (control.x - end.x) * 2 / 3, end.y + (control.y - end.y) * 2 / 3};

    return add_cubic(walker, a, b, end);
}

/* SVG 1.1, F.6.5 and F.6.6: from the ends, radii and flags to the centre and angles. */
static bool add_arc(struct walker *walker, double rx, double ry, double degrees, bool large,
                    bool sweep, struct rab_point end)
{
    struct rab_point now = walker->now, centre;
    double angle = remainder(degrees, 360) * RAB_PI / 180, c = cos(angle), s = sin(angle);
    double x, y, cx, cy, size, offset, from, to;

    rx = fabs(rx);
    ry = fabs(ry);
    if (now.x == end.x && now.y == end.y)
        return true;
    if (rx == 0 || ry == 0)
        return add_line(walker, end);
    /* F.6.5.1, in units of the radii */
    x = (c * (now.x - end.x) + s * (now.y - end.y)) / 2 / rx;
    y = (-s * (now.x - end.x) + c * (now.y - end.y)) / 2 / ry;
    size = hypot(x, y);              /* the square root of F.6.6.2's lambda */
    if (!(size > 0 && size < 1e150)) /* beyond what can be scaled: ends or radii of nothing */
        return add_line(walker, end);
    if (size > 1) {
        rx *= size, ry *= size;
        x /= size, y /= size;
        size = 1;
    }
    /* F.6.5.2: the root is sqrt((1 - lambda) / lambda) */
    offset = sqrt(fmax(0, (1 - size) * (1 + size))) / size;
    if (large == sweep)
        offset = -offset;
    cx = offset * y;
    cy = -offset * x;
    centre.x = c * cx * rx - s * cy * ry + (now.x + end.x) / 2;
    centre.y = s * cx * rx + c * cy * ry + (now.y + end.y) / 2;
    from = atan2(y - cy, x - cx);
    to = atan2(-y - cy, -x - cx);
    if (sweep && to < from)
        to += 2 * RAB_PI;
    else if (!sweep && to > from)
        to -= 2 * RAB_PI;
    return add(walker,
               (struct rab_curve){.kind = RAB_CURVE_ELLIPSE,
                                  .p = {centre, {c * rx, s * rx}, {-s * ry, c * ry}},
                                  .from = from,
                                  .to = to},
               end);
}

static bool finish(struct walker *walker, bool closed)
{
    size_t count = walker->count;

    walker->count = 0;
    if (count == 0)
        return true;
    walker->sink->curves +=
        count + (closed && (walker->now.x != walker->start.x || walker->now.y != walker->start.y));
    return walker->sink->subpath(walker->sink->context, walker->curves, count, closed, walker->err);
}

/* ---- commands ---- */

static bool take_argument(struct walker *walker, double *value)
{
    struct slice before = walker->from;

    if (!take_number(&walker->from, value))
        return complain(walker, "a number");
    if (!(fabs(*value) <= NUMBER_LIMIT)) {
        walker->from = before;
        return complain(walker, "a number up to 1e12");
    }
    return true;
}

/* SVG 1.1, 8.3.9: a single character, with no need of a separator behind it. */
static bool take_flag(struct walker *walker, double *value)
{
    if (walker->from.length == 0 || (*walker->from.text != '0' && *walker->from.text != '1'))
        return complain(walker, "a flag 0 or 1");
    *value = *walker->from.text == '1';
    walker->from.text++;
    walker->from.length--;
    return true;
}

static size_t count_arguments(char command)
{
    switch (command) {
    case 'H':
    case 'V':
        return 1;
    case 'M':
    case 'L':
    case 'T':
        return 2;
    case 'S':
    case 'Q':
        return 4;
    case 'C':
        return 6;
    case 'A':
        return 7;
    default:
        return 0;
    }
}

static bool take_arguments(struct walker *walker, char command, double *n)
{
    size_t count = count_arguments(command);

    for (size_t i = 0; i < count; i++) {
        bool flag = command == 'A' && (i == 3 || i == 4);
        if (!(flag ? take_flag(walker, &n[i]) : take_argument(walker, &n[i])))
            return false;
        if (i + 1 < count)
            skip_comma(&walker->from);
    }
    return true;
}

static struct rab_point mirrored(const struct walker *walker, char a, char b)
{
    struct rab_point now = walker->now, control = walker->control;

    if (walker->last != a && walker->last != b)
        return now;
    return (struct rab_point){2 * now.x - control.x, 2 * now.y - control.y};
}

static struct rab_point point_of(const struct walker *walker, bool relative, const double *n)
{
    if (relative)
        return (struct rab_point){walker->now.x + n[0], walker->now.y + n[1]};
    return (struct rab_point){n[0], n[1]};
}

static bool draw(struct walker *walker, char command, bool relative, const double *n)
{
    struct rab_point a = {0}, b = {0}, end = walker->now;
    bool ok = true;

    switch (command) {
    case 'M':
        ok = finish(walker, false);
        walker->now = walker->start = point_of(walker, relative, n);
        break;
    case 'L':
        ok = add_line(walker, point_of(walker, relative, n));
        break;
    case 'H':
        end.x = relative ? end.x + n[0] : n[0];
        ok = add_line(walker, end);
        break;
    case 'V':
        end.y = relative ? end.y + n[0] : n[0];
        ok = add_line(walker, end);
        break;
    case 'C':
        a = point_of(walker, relative, n);
        b = point_of(walker, relative, n + 2);
        ok = add_cubic(walker, a, b, point_of(walker, relative, n + 4));
        break;
    case 'S':
        a = mirrored(walker, 'C', 'S');
        b = point_of(walker, relative, n);
        ok = add_cubic(walker, a, b, point_of(walker, relative, n + 2));
        break;
    case 'Q':
        b = point_of(walker, relative, n);
        ok = add_quadratic(walker, b, point_of(walker, relative, n + 2));
        break;
    case 'T':
        b = mirrored(walker, 'Q', 'T');
        ok = add_quadratic(walker, b, point_of(walker, relative, n));
        break;
    default:
        ok = add_arc(walker, n[0], n[1], n[2], n[3] > 0, n[4] > 0,
                     point_of(walker, relative, n + 5));
        break;
    }
    walker->control = b;
    walker->last = command;
    return ok;
}

/* One command with all its repetitions. */
static bool take_command(struct walker *walker)
{
    char letter = *walker->from.text, command = (char)(letter & ~0x20);
    bool relative = letter != command;
    double n[7];

    if (!strchr("MZLHVCSQTA", command) || command == '\0')
        return complain(walker, "a command (M L H V C S Q T A Z)");
    if (walker->last == '\0' && command != 'M')
        return complain(walker, "a move (M) at the beginning");
    walker->from.text++;
    walker->from.length--;
    skip_blanks(&walker->from);
    if (command == 'Z') {
        if (!finish(walker, true))
            return false;
        walker->now = walker->start;
        walker->last = 'Z';
        return true;
    }
    for (;;) {
        struct slice behind;
        double value;

        if (!take_arguments(walker, command, n) || !draw(walker, command, relative, n))
            return false;
        if (command == 'M') /* further pairs are lines, SVG 1.1, 8.3.2 */
            command = 'L';
        behind = walker->from;
        skip_comma(&behind);
        if (!take_number(&(struct slice){behind.text, behind.length}, &value))
            break;
        walker->from = behind;
    }
    skip_blanks(&walker->from);
    return true;
}

bool path_read(struct slice data, struct path_sink *sink, struct rab_error *err)
{
    struct walker walker = {
        .what = "path data is", .sink = sink, .whole = data, .from = data, .err = err};
    bool ok = true;

    skip_blanks(&walker.from);
    if (slice_is(slice_trim(data), "none")) /* SVG 2, 9.3.2 */
        return true;
    while (ok && walker.from.length > 0)
        ok = take_command(&walker);
    ok = ok && finish(&walker, false);
    free(walker.curves);
    return ok;
}

/* ---- shapes ---- */

bool points_read(struct slice data, bool closed, struct path_sink *sink, struct rab_error *err)
{
    struct walker walker = {
        .what = "the list of points is", .sink = sink, .from = slice_trim(data), .err = err};
    bool ok = false, first = true;
    double n[2];

    walker.whole = walker.from;
    while (walker.from.length > 0) {
        if (!take_arguments(&walker, 'L', n))
            goto done;
        if (first)
            walker.now = walker.start = (struct rab_point){n[0], n[1]};
        else if (!add_line(&walker, (struct rab_point){n[0], n[1]}))
            goto done;
        first = false;
        skip_comma(&walker.from);
    }
    ok = finish(&walker, closed);
done:
    free(walker.curves);
    return ok;
}

static bool corner(struct walker *walker, double cx, double cy, double rx, double ry, double from,
                   struct rab_point end)
{
    return add(walker,
               (struct rab_curve){.kind = RAB_CURVE_ELLIPSE,
                                  .p = {{cx, cy}, {rx, 0}, {0, ry}},
                                  .from = from,
                                  .to = from + RAB_PI / 2},
               end);
}

bool path_rectangle(double x, double y, double width, double height, double rx, double ry,
                    struct path_sink *sink, struct rab_error *err)
{
    struct walker walker = {.sink = sink, .err = err};
    double right = x + width, bottom = y + height;
    bool ok;

    rx = fmin(rx, width / 2);
    ry = fmin(ry, height / 2);
    if (rx <= 0 || ry <= 0) {
        walker.now = walker.start = (struct rab_point){x, y};
        ok = add_line(&walker, (struct rab_point){right, y}) &&
             add_line(&walker, (struct rab_point){right, bottom}) &&
             add_line(&walker, (struct rab_point){x, bottom}) && finish(&walker, true);
    } else {
        walker.now = walker.start = (struct rab_point){x + rx, y};
        ok = add_line(&walker, (struct rab_point){right - rx, y}) &&
             corner(&walker, right - rx, y + ry, rx, ry, -RAB_PI / 2,
                    (struct rab_point){right, y + ry}) &&
             add_line(&walker, (struct rab_point){right, bottom - ry}) &&
             corner(&walker, right - rx, bottom - ry, rx, ry, 0,
                    (struct rab_point){right - rx, bottom}) &&
             add_line(&walker, (struct rab_point){x + rx, bottom}) &&
             corner(&walker, x + rx, bottom - ry, rx, ry, RAB_PI / 2,
                    (struct rab_point){x, bottom - ry}) &&
             add_line(&walker, (struct rab_point){x, y + ry}) &&
             corner(&walker, x + rx, y + ry, rx, ry, RAB_PI, (struct rab_point){x + rx, y}) &&
             finish(&walker, true);
    }
    free(walker.curves);
    return ok;
}

bool path_ellipse(double cx, double cy, double rx, double ry, struct path_sink *sink,
                  struct rab_error *err)
{
    struct walker walker = {.sink = sink, .start = {cx + rx, cy}, .err = err};
    struct rab_curve curve = {
        .kind = RAB_CURVE_ELLIPSE, .p = {{cx, cy}, {rx, 0}, {0, ry}}, .from = 0, .to = 2 * RAB_PI};
    bool ok = add(&walker, curve, (struct rab_point){cx + rx, cy}) && finish(&walker, true);

    free(walker.curves);
    return ok;
}

bool path_line(struct rab_point from, struct rab_point to, struct path_sink *sink,
               struct rab_error *err)
{
    struct walker walker = {.sink = sink, .now = from, .start = from, .err = err};
    bool ok = add_line(&walker, to) && finish(&walker, false);

    free(walker.curves);
    return ok;
}
