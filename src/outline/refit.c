#include "outline/arc.h"

#include <math.h>
#include <stdlib.h>

/* So many short lines in a row are crumbs of a curve; fewer are drawn on purpose. */
enum { CRUMBS = 8 };
/* Where the lines turn more than this there is a corner, and stays one. */
static const double corner = 30 * RAB_PI / 180;

struct refit {
    const struct rab_outline *in;
    size_t edges;
    bool *short_line;         /* of each edge */
    struct rab_point *points; /* of a run */
    struct rab_curve *curves;
    double longest, tolerance;
    struct rab_outline made;
    struct rab_error *err;
};

static struct rab_point vertex_at(const struct refit *r, size_t i)
{
    const struct rab_vertex v = r->in->vertices[i % r->in->count];

    return (struct rab_point){v.x, v.y};
}

static struct rab_point unit(struct rab_point from, struct rab_point to)
{
    const double x = to.x - from.x, y = to.y - from.y, length = hypot(x, y);

    return length > 0 ? (struct rab_point){x / length, y / length} : (struct rab_point){1, 0};
}

/* ---- tangents -------------------------------------------------------------------------- */

static double turn_at(struct rab_point a, struct rab_point b, struct rab_point c)
{
    const struct rab_point u = unit(a, b), v = unit(b, c);

    return atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y);
}

static struct rab_point turned(struct rab_point u, double angle)
{
    const double c = cos(angle), s = sin(angle);

    return (struct rab_point){u.x * c - u.y * s, u.x * s + u.y * c};
}

/* The tangent in b of the circle through a, b and c: between the chords, nearer to the direction of
 * the shorter one. */
static struct rab_point tangent(struct rab_point a, struct rab_point b, struct rab_point c)
{
    const double before = hypot(b.x - a.x, b.y - a.y), after = hypot(c.x - b.x, c.y - b.y);

    return turned(unit(a, b), turn_at(a, b, c) * before / (before + after));
}

/* The tangent of the curve that goes through a run's points, where its line `k` begins or ends. At
 * the run's ends and at corners the circle of the line's other end is taken. */
static struct rab_point line_tangent(const struct refit *r, size_t count, bool closed, size_t k,
                                     bool at_end)
{
    const struct rab_point a = r->points[k], b = r->points[k + 1];
    const struct rab_point before = r->points[k > 0 ? k - 1 : count - 1];
    const struct rab_point after = r->points[k + 1 < count ? k + 2 : 1];
    const bool has_before = (closed || k > 0) && fabs(turn_at(before, a, b)) < corner;
    const bool has_after = (closed || k + 1 < count) && fabs(turn_at(a, b, after)) < corner;

    if (at_end && has_after)
        return tangent(a, b, after);
    if (!at_end && has_before)
        return tangent(before, a, b);
    /* as much turn on this side of the chord as on the other */
    const struct rab_point chord = unit(a, b);
    if (at_end ? has_before : has_after) {
        const struct rab_point other = at_end ? tangent(before, a, b) : tangent(a, b, after);
        const double twice = 2 * (chord.x * other.x + chord.y * other.y);
        return (struct rab_point){twice * chord.x - other.x, twice * chord.y - other.y};
    }
    return chord;
}

/* ---- runs ------------------------------------------------------------------------------ */

static bool add_edges(struct refit *r, size_t from, size_t count)
{
    for (size_t k = 0; k < count; k++) {
        const struct rab_vertex v = r->in->vertices[(from + k) % r->in->count];
        if (!rab_outline_add(&r->made, v.x, v.y, v.bulge, r->err))
            return false;
    }
    return true;
}

static double off_line(struct rab_point p, struct rab_point a, struct rab_point b)
{
    const struct rab_point u = unit(a, b);

    return fabs(u.x * (p.y - a.y) - u.y * (p.x - a.x));
}

/* Of a run's points those that count: lines far shorter than they need be point wherever the
 * rounding of their ends leads. What is passed over lies within a tenth of the tolerance of the
 * lines between. */
static size_t thin_out(struct refit *r, size_t from, size_t count)
{
    enum { MOST = 256 }; /* passed over at once */
    const double spacing = 4 * r->longest;
    size_t made = 0, at = 0;

    r->points[made++] = vertex_at(r, from);
    while (at < count) {
        const struct rab_point a = vertex_at(r, from + at);
        size_t next = at + 1;
        for (size_t k = at + 2; k <= count && k < at + MOST; k++) {
            const struct rab_point b = vertex_at(r, from + k);
            bool near = hypot(b.x - a.x, b.y - a.y) < spacing;
            for (size_t i = at + 1; i < k && near; i++)
                near = off_line(vertex_at(r, from + i), a, b) < r->tolerance / 10;
            if (!near)
                break;
            next = k;
        }
        at = next;
        r->points[made++] = vertex_at(r, from + at);
    }
    return made - 1;
}

/* A run of short lines as one smooth chain of curves, fitted with arcs; kept as it is where that
 * saves nothing. */
static bool add_run(struct refit *r, size_t from, size_t count, bool closed)
{
    struct rab_outline fitted = {0};
    struct rab_error unfit = {0};
    bool ok;

    if (count < CRUMBS)
        return add_edges(r, from, count);
    const size_t lines = thin_out(r, from, count);
    for (size_t k = 0; k < lines; k++) {
        const struct rab_point a = r->points[k], b = r->points[k + 1];
        const struct rab_point t = line_tangent(r, lines, closed, k, false);
        const struct rab_point u = line_tangent(r, lines, closed, k, true);
        const double third = hypot(b.x - a.x, b.y - a.y) / 3;
        r->curves[k] = (struct rab_curve){.kind = RAB_CURVE_CUBIC,
                                          .p = {a,
                                                {a.x + t.x * third, a.y + t.y * third},
                                                {b.x - u.x * third, b.y - u.y * third},
                                                b}};
    }
    ok = rab_outline_fit(r->curves, lines, closed, r->tolerance * 0.9, &fitted, &unfit);
    if (!ok && unfit.fault == RAB_FAULT_MEMORY)
        return rab_fail_memory(r->err);
    const size_t edges = ok ? fitted.count - !closed : 0;
    if (!ok || edges >= count) {
        ok = add_edges(r, from, count);
    } else {
        for (size_t i = 0; i < edges && ok; i++)
            ok = rab_outline_add(&r->made, fitted.vertices[i].x, fitted.vertices[i].y,
                                 fitted.vertices[i].bulge, r->err);
    }
    rab_outline_clear(&fitted);
    return ok;
}

/* From the first edge that is no crumb on, so that no run is cut in two. */
static bool walk(struct refit *r)
{
    size_t first = 0;

    while (!r->in->open && first < r->edges && r->short_line[first])
        first++;
    if (first == r->edges)
        return add_run(r, 0, r->edges, true);
    for (size_t k = 0; k < r->edges;) {
        size_t run = 0;
        while (k + run < r->edges && r->short_line[(first + k + run) % r->edges])
            run++;
        if (run > 0 ? !add_run(r, first + k, run, false) : !add_edges(r, first + k, 1))
            return false;
        k += run > 0 ? run : 1;
    }
    return !r->in->open || add_edges(r, r->in->count - 1, 1);
}

bool rab_outline_refit(const struct rab_outline *in, double longest, double tolerance,
                       struct rab_outline *out, struct rab_error *err)
{
    struct refit r = {
        .in = in, .edges = arc_count(in), .longest = longest, .tolerance = tolerance, .err = err};
    bool ok = false;

    r.made.open = in->open;
    r.short_line = calloc(r.edges + 1, sizeof *r.short_line);
    r.points = calloc(r.edges + 2, sizeof *r.points);
    r.curves = calloc(r.edges + 1, sizeof *r.curves);
    if (!r.short_line || !r.points || !r.curves) {
        rab_fail_memory(err);
        goto done;
    }
    for (size_t e = 0; e < r.edges; e++) {
        const struct rab_point a = vertex_at(&r, e), b = vertex_at(&r, e + 1);
        const double length = hypot(b.x - a.x, b.y - a.y);
        r.short_line[e] = in->vertices[e].bulge == 0 && length > 0 && length < longest;
    }
    if (!walk(&r))
        goto done;
    *out = r.made;
    r.made = (struct rab_outline){0};
    ok = true;
done:
    rab_outline_clear(&r.made);
    free(r.short_line);
    free(r.points);
    free(r.curves);
    return ok;
}
