#include "way.h"

#include <assert.h>
#include <stdlib.h>

/* Closer than this two lengths along a way are the same. */
static const double same_length = 1e-9;

void way_clear(struct way *way)
{
    free(way->arcs);
    free(way->start);
    *way = (struct way){0};
}

static bool make_room(size_t count, struct way *out, struct rab_error *err)
{
    struct way made = {0};

    made.arcs = calloc(count, sizeof *made.arcs);
    made.start = calloc(count, sizeof *made.start);
    if (!made.arcs || !made.start) {
        way_clear(&made);
        return rab_fail_memory(err);
    }
    *out = made;
    return true;
}

static void add_arc(struct way *way, struct arc arc)
{
    assert(way->arcs && way->start);
    if (arc.chord <= 0)
        return;
    way->arcs[way->count] = arc;
    way->start[way->count++] = way->length;
    way->length += arc_length(&arc);
}

bool way_of_outline(const struct rab_outline *outline, size_t first, size_t count, bool closed,
                    struct way *out, struct rab_error *err)
{
    struct way made = {0};

    if (!make_room(count + 1, &made, err)) /* one more: way_begin may cut an arc in two */
        return false;
    made.closed = closed;
    for (size_t i = 0; i < count; i++)
        add_arc(&made, arc_of(outline, (first + i) % outline->count));
    *out = made;
    return true;
}

bool way_of_line(struct rab_point from, struct rab_point to, struct way *out, struct rab_error *err)
{
    if (!make_room(1, out, err))
        return false;
    add_arc(out, arc_make((struct rab_vertex){from.x, from.y, 0}, to));
    return true;
}

/* ---- finding a place ------------------------------------------------------------------- */

/* The last arc that begins at or before s. */
static size_t arc_before(const struct way *way, double s)
{
    size_t low = 0, high = way->count;

    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (way->start[middle] <= s)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* Between 0 and the length, and how many times round that is. */
static double wrapped(const struct way *way, double s, double *rounds)
{
    *rounds = way->closed ? floor(s / way->length) : 0;
    return s - *rounds * way->length;
}

static struct rab_point middle_of(struct rab_point t, struct rab_point u)
{
    const double x = t.x + u.x, y = t.y + u.y, length = hypot(x, y);
    return length > 0 ? (struct rab_point){x / length, y / length} : u;
}

struct rab_point way_at(const struct way *way, double s, struct rab_point *tangent)
{
    const struct arc *first = &way->arcs[0], *last = &way->arcs[way->count - 1];
    double rounds;

    if (!way->closed && s <= 0) {
        *tangent = first->ta;
        return point_along(first->a, s, first->ta);
    }
    if (!way->closed && s >= way->length) {
        *tangent = last->tb;
        return point_along(last->b, s - way->length, last->tb);
    }
    s = wrapped(way, s, &rounds);
    const size_t i = arc_before(way, s);
    const struct arc *arc = &way->arcs[i];
    const double length = (i + 1 < way->count ? way->start[i + 1] : way->length) - way->start[i];
    const double gone = s - way->start[i];
    const struct arc *before = i > 0 ? arc - 1 : way->closed ? last : arc;
    const struct arc *after = arc != last ? arc + 1 : way->closed ? first : arc;

    if (gone <= same_length) {
        *tangent = middle_of(before == arc ? arc->ta : before->tb, arc->ta);
        return arc->a;
    }
    if (gone >= length - same_length) {
        *tangent = middle_of(arc->tb, after == arc ? arc->tb : after->ta);
        return arc->b;
    }
    return arc_at(arc, gone / length, tangent);
}

/* ---- what lies between two places ------------------------------------------------------ */

static struct arc part_of(const struct arc *arc, double from, double to)
{
    struct rab_point tangent;
    const struct rab_point a = from > 0 ? arc_at(arc, from, &tangent) : arc->a;
    const struct rab_point b = to < 1 ? arc_at(arc, to, &tangent) : arc->b;

    return arc_make((struct rab_vertex){a.x, a.y, tan((to - from) * atan(arc->bulge))}, b);
}

static bool give_line(const struct way *way, double s0, double s1, way_found *found, void *context)
{
    struct rab_point tangent;
    const struct rab_point a = way_at(way, s0, &tangent), b = way_at(way, s1, &tangent);
    const struct arc line = arc_make((struct rab_vertex){a.x, a.y, 0}, b);

    return found(context, &line);
}

/* Within an open way, or as far round a closed one as may be. */
static bool give_arcs(const struct way *way, double s0, double s1, way_found *found, void *context)
{
    double rounds;
    const double from = wrapped(way, s0, &rounds);
    double left = s1 - s0;
    size_t i = arc_before(way, from);
    double gone = from - way->start[i];

    while (left > same_length) {
        const double end = i + 1 < way->count ? way->start[i + 1] : way->length;
        const double length = end - way->start[i], here = fmin(length - gone, left);
        const bool to_end = here >= length - gone - same_length;
        if (here > same_length) {
            const struct arc part = part_of(&way->arcs[i], gone <= same_length ? 0 : gone / length,
                                            to_end ? 1 : (gone + here) / length);
            if (!found(context, &part))
                return false;
        }
        left -= here;
        gone = 0;
        i = i + 1 < way->count ? i + 1 : 0;
        if (i == 0 && !way->closed)
            break;
    }
    return true;
}

bool way_pieces(const struct way *way, double s0, double s1, way_found *found, void *context)
{
    const double from = fmax(s0, 0), to = fmin(s1, way->length);

    if (way->closed)
        return give_arcs(way, s0, s1, found, context);
    if (s0 < -same_length && !give_line(way, s0, fmin(s1, 0), found, context))
        return false;
    if (to - from > same_length && !give_arcs(way, from, to, found, context))
        return false;
    return s1 <= way->length + same_length ||
           give_line(way, fmax(s0, way->length), s1, found, context);
}

static bool goes_straight(void *context, const struct arc *arc)
{
    struct arc *line = context;

    if (arc->k != 0)
        return false;
    if (line->chord == 0)
        *line = *arc;
    return point_dot(line->ta, arc->ta) > 0 && fabs(point_cross(line->ta, arc->ta)) < 1e-12;
}

bool way_straight(const struct way *way, double s0, double s1)
{
    struct arc line = {0};
    return way_pieces(way, s0, s1, goes_straight, &line);
}

struct nearest {
    struct rab_point point;
    double distance, side;
};

static bool keep_nearest(void *context, const struct arc *arc)
{
    struct nearest *best = context;
    struct rab_point at, tangent;
    const double distance = arc_distance(arc, best->point, &at);

    if (distance < best->distance) {
        (void)arc_at(arc, arc_share(arc, at), &tangent);
        best->distance = distance;
        best->side = arc_faces(arc, best->point)
                         ? -arc_side(arc, best->point)
                         : copysign(distance, point_cross(tangent, point_minus(best->point, at)));
    }
    return true;
}

double way_side(const struct way *way, double s0, double s1, struct rab_point point)
{
    struct nearest best = {.point = point, .distance = HUGE_VAL};

    (void)way_pieces(way, s0, s1, keep_nearest, &best);
    return best.side;
}

/* ---- the start of a closed way --------------------------------------------------------- */

bool way_begin(struct way *way, double s, struct rab_error *err)
{
    struct way made = {0};
    double rounds;
    const double from = wrapped(way, s, &rounds);
    const size_t i = arc_before(way, from);
    const double end = i + 1 < way->count ? way->start[i + 1] : way->length;
    const double length = end - way->start[i], gone = from - way->start[i];
    const bool at_start = gone <= same_length, at_end = gone >= length - same_length;

    if (!make_room(way->count + 2, &made, err))
        return false;
    made.closed = true;
    if (!at_end)
        add_arc(&made, at_start ? way->arcs[i] : part_of(&way->arcs[i], gone / length, 1));
    for (size_t k = 1; k < way->count; k++)
        add_arc(&made, way->arcs[(i + k) % way->count]);
    if (at_end)
        add_arc(&made, way->arcs[i]);
    else if (!at_start)
        add_arc(&made, part_of(&way->arcs[i], 0, gone / length));
    way_clear(way);
    *way = made;
    return true;
}
