#include "ring.h"

#include <stdlib.h>

/* A direction that changes by more than this is a corner. */
static const double corner_turn = 15 * RAB_PI / 180;

void ring_clear(struct ring *ring)
{
    for (size_t i = 0; i < ring->count; i++)
        stretch_clear(&ring->runs[i]);
    free(ring->runs);
    free(ring->corners);
    free(ring->wanted);
    *ring = (struct ring){0};
}

/* ---- the start of an outline without corners ------------------------------------------- */

/* Does the outline's mirror image lie on it? Looked at in some places of it. */
static bool is_even(const struct rab_outline *outline, struct rab_point middle, bool sideways)
{
    enum { ENOUGH = 64 };
    const size_t step = outline->count / ENOUGH + 1;

    for (size_t i = 0; i < outline->count; i += step) {
        const struct arc arc = arc_of(outline, i);
        struct rab_point tangent, at = arc_at(&arc, 0.3, &tangent);
        if (sideways)
            at.x = 2 * middle.x - at.x;
        else
            at.y = 2 * middle.y - at.y;
        if (rab_outline_distance(outline, at, NULL) > 1e-6)
            return false;
    }
    return true;
}

static double find_start(const struct rab_outline *outline, const struct way *way)
{
    const struct rab_point middle = rab_outline_centroid(outline);
    struct rab_point ray = {0, -1}, tangent;
    double best = -HUGE_VAL, start = 0;

    if (!is_even(outline, middle, true) && is_even(outline, middle, false))
        ray = (struct rab_point){-1, 0};
    for (size_t i = 0; i < way->count; i++) {
        double shares[2];
        const int meets = line_meets_arc(&way->arcs[i], middle, ray, shares);
        for (int m = 0; m < meets; m++) {
            const struct rab_point at = arc_at(&way->arcs[i], shares[m], &tangent);
            const double far = point_dot(ray, point_minus(at, middle));
            if (far <= best + 1e-9)
                continue;
            best = far;
            start = way->start[i] + shares[m] * arc_length(&way->arcs[i]);
        }
    }
    return start;
}

/* ---- dividing -------------------------------------------------------------------------- */

/* The corners of a clockwise outline, as the edges that begin at them, from the upper left one. */
static size_t find_corners(const struct rab_outline *outline, size_t *corners)
{
    size_t count = 0, first = 0;
    double best = -HUGE_VAL;

    for (size_t i = 0; i < outline->count; i++) {
        const struct arc before = arc_of(outline, i > 0 ? i - 1 : outline->count - 1);
        const struct arc after = arc_of(outline, i);
        if (fabs(point_angle(before.tb, after.ta)) <= corner_turn)
            continue;
        if (after.a.y - after.a.x > best + 1e-9) {
            best = after.a.y - after.a.x;
            first = count;
        }
        corners[count++] = i;
    }
    for (size_t n = 0; n < first; n++) { /* turn the list; corners are few */
        const size_t front = corners[0];
        for (size_t i = 0; i + 1 < count; i++)
            corners[i] = corners[i + 1];
        corners[count - 1] = front;
    }
    return count;
}

static bool make_runs(const struct rab_outline *outline, const size_t *corners, size_t count,
                      uint32_t number, struct ring *made, struct rab_error *err)
{
    const size_t runs = count ? count : 1;

    made->runs = calloc(runs, sizeof *made->runs);
    made->wanted = calloc(runs, sizeof *made->wanted);
    made->corners = count ? calloc(count, sizeof *made->corners) : NULL;
    if (!made->runs || !made->wanted || (count && !made->corners))
        return rab_fail_memory(err);
    for (; made->count < runs; made->count++) {
        struct stretch *run = &made->runs[made->count];
        const size_t first = count ? corners[made->count] : 0;
        const size_t next = count ? corners[(made->count + 1) % count] : 0;
        const size_t edges = next > first ? next - first : next + outline->count - first;
        run->number = number + (uint32_t)made->count;
        if (!way_of_outline(outline, first, edges, count == 0, &run->way, err))
            return false;
    }
    for (size_t i = 0; i < count; i++)
        made->corners[i] =
            corner_between(&made->runs[i ? i - 1 : count - 1].way, &made->runs[i].way);
    return count || way_begin(&made->runs[0].way, find_start(outline, &made->runs[0].way), err);
}

bool ring_make(const struct rab_outline *outline, uint32_t number, struct ring *out,
               struct rab_error *err)
{
    struct rab_outline back = {0};
    size_t *corners = calloc(outline->count, sizeof *corners);
    struct ring made = {0};
    bool ok = false;

    if (!corners)
        return rab_fail_memory(err);
    if (rab_outline_copy(outline, &back, err)) {
        rab_outline_reverse(&back);
        const size_t count = find_corners(&back, corners);
        ok = make_runs(&back, corners, count, number, &made, err);
    }
    if (ok)
        *out = made;
    else
        ring_clear(&made);
    rab_outline_clear(&back);
    free(corners);
    return ok;
}
