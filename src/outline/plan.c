/*
 * Smoothly joined arcs with their joints on the curve: choosing the joints.
 *
 * Let d be the angle by which an arc's tangent is turned from the curve's at a joint. An arc
 * through two points leaves and arrives at the same angle to the chord, so d at its end is a - d
 * at its start, where a depends on the two places alone. Among the arcs through the two points
 * those within the tolerance are an interval of d. So what can be reached at a place with n arcs
 * is a set of d, and one interval for it is enough: joints may move continuously, so the sets
 * that come from neighbouring places grow together.
 *
 * Going through the places in order and keeping for each the least n, and n + 1, with their
 * intervals finds the least number of arcs (dynamic programming). With an even change of
 * curvature k' the best joints turn by k' L^2 / 12 and the arcs are as long as
 * L^3 = 72 sqrt(3) tolerance / k' (the monospline of degree 3: Bernoulli's polynomial B3), only
 * 2 / sqrt(3) = 1.155 times more than if arcs need not join at all. With the curve's own tangents
 * at every second joint it would be 1.68 times more.
 */
#include <assert.h>
#include <stdlib.h>

#include "plan.h"

struct station {
    double place;
    struct rab_point at, tangent;
    double angle;          /* of the tangent, from the first station's, counted on */
    struct rab_point next; /* the curve half-way to the next station */
    /* What can be reached here: with the least number of arcs, and with one more. */
    size_t arcs;
    double low[2], high[2]; /* of d; empty when low > high */
    size_t furthest;        /* station that an arc from here reaches; 0: none */
};

struct stations {
    struct station *items;
    size_t count, capacity;
    size_t span; /* the most stations that an arc reaches over */
};

/* ---- where arcs may join ----------------------------------------------------------------- */

static struct station station_at(const struct run *run, double place)
{
    struct station s = {.place = place, .low = {1, 1}, .high = {0, 0}};
    run_tangent(run, place, &s.at, &s.tangent);
    return s;
}

/* How much too long the way between two stations is, as the cube of a length. An eighth of the
 * longest arc has k' L^3 = 72 sqrt(3) tolerance / 8^3; k' L^2 / 6 is what the angles at its ends
 * differ by. Where k' is 0 the next order counts: it shows in the middle. */
static double excess(const struct station *p, const struct station *q, double tolerance)
{
    const struct rab_point chord = point_minus(q->at, p->at);
    const double length = hypot(chord.x, chord.y);
    if (length == 0)
        return 0.1;
    const double leave = point_angle(p->tangent, chord), arrive = point_angle(chord, q->tangent);
    const double uneven = fabs(leave - arrive) * length / (12 * sqrt(3) * tolerance / 512);
    const double bulge = tan((leave + arrive) / 4);
    const struct rab_point middle = {(p->at.x + q->at.x) / 2 + chord.y * bulge / 2,
                                     (p->at.y + q->at.y) / 2 - chord.x * bulge / 2};
    const struct rab_point off = point_minus(p->next, middle);
    const double across = fabs(point_cross(chord, off)) / length / (0.004 * tolerance);
    const double turn = fabs(leave + arrive) / 0.3;
    return fmax(uneven, fmax(across, turn * turn * turn));
}

static bool add_station(struct stations *list, const struct station *station, struct rab_error *err)
{
    void *items = list->items;
    if (!rab_reserve(&items, &list->capacity, list->count + 1, sizeof *list->items, err))
        return false;
    list->items = items;
    list->items[list->count++] = *station;
    return true;
}

static bool lay_stations(const struct run *run, double from, double to, double tolerance,
                         struct stations *list, struct rab_error *err)
{
    /* Steps below this do not tell places apart. */
    const double shortest = fmax(1e-7 * (to - from), 1e-13 * to);
    struct station last = station_at(run, from);
    double step = (to - from) / 8;

    while (last.place < to) {
        struct station next;
        for (;;) {
            const double rest = to - last.place;
            /* No crumb is left at the end. */
            if (step > 0.99 * rest || rest <= 2 * shortest)
                step = rest;
            else if (step > rest / 2)
                step = rest / 2;
            next = station_at(run, step == rest ? to : last.place + step);
            last.next = run_at(run, (last.place + next.place) / 2);
            const double much = excess(&last, &next, tolerance);
            if (much <= 1 || step <= 2 * shortest) {
                const double more = much > 0.1 ? 0.9 / cbrt(much) : 2;
                if (!add_station(list, &last, err))
                    return false;
                step *= fmax(1, more);
                break;
            }
            step = fmax(shortest, step * fmax(0.2, 0.9 / cbrt(much)));
        }
        next.angle = last.angle + point_angle(last.tangent, next.tangent);
        last = next;
    }
    return add_station(list, &last, err);
}

/* ---- which arcs will do ------------------------------------------------------------------- */

struct edge {
    double sum;       /* of d at both ends */
    double low, high; /* of d at the start */
};

/* For angles up to a fifth of a turn, most of them small. */
static double arc_tangent(double slope)
{
    const double q = slope * slope;
    if (q > 0.04)
        return atan(slope);
    return slope * (1 - q * (1.0 / 3 - q * (1.0 / 5 - q * (1.0 / 7 - q / 9))));
}

/* The arc through the ends of a chord of length c that leaves at slope s (the tangent of the angle
 * to the chord) passes a point, u along and v left of the chord, at the distance
 * (v - w s) / sqrt(1 + s^2), w = (u (c - u) - v^2) / c, but for its square over the diameter.
 * Narrow the slopes to those that keep it within the reach. */
static bool narrow(struct rab_point at, struct rab_point from, struct rab_point unit, double c,
                   double reach, double *low, double *high)
{
    const struct rab_point d = point_minus(at, from);
    const double u = point_dot(unit, d), v = point_cross(unit, d);
    const double w = (u * (c - u) - v * v) / c;
    if (w <= reach) /* as near to an end of the chord */
        return true;
    const double over = 1 / w, least = (v - reach) * over, most = (v + reach) * over;
    *low = *low > least ? *low : least;
    *high = *high < most ? *high : most;
    return *low <= *high;
}

static bool edge_between(const struct station *stations, size_t i, size_t j, double tolerance,
                         struct edge *edge)
{
    const struct station *p = &stations[i], *q = &stations[j];
    const struct rab_point chord = point_minus(q->at, p->at);
    const double c = sqrt(point_dot(chord, chord)), turn = q->angle - p->angle;
    if (c == 0 || fabs(turn) > 2.4)
        return false;
    const struct rab_point unit = {chord.x / c, chord.y / c};
    const double forward = point_dot(p->tangent, unit), onward = point_dot(q->tangent, unit);
    if (forward < 0.36 || onward < 0.36)
        return false; /* more than a fifth of a turn off the chord */
    const double across = 2 * tolerance / (forward + onward); /* the chord */
    double low = -1.5, high = 1.5; /* not much more than a quarter turn in an arc */

    /* Over many stations they are enough, over few the curve half-way counts as well. */
    const bool few = j - i < 5;
    for (size_t k = i + 1; k < j; k++) {
        if (!narrow(stations[k].at, p->at, unit, c, across, &low, &high))
            return false;
    }
    for (size_t k = i; few && k < j; k++) {
        if (!narrow(stations[k].next, p->at, unit, c, across, &low, &high))
            return false;
    }
    const double leave = arc_tangent(point_cross(p->tangent, unit) / forward);
    *edge = (struct edge){2 * leave - turn, leave + arc_tangent(low), leave + arc_tangent(high)};
    return true;
}

/* ---- the least number --------------------------------------------------------------------- */

/* Join an interval to what is reachable at a station with a number of arcs. */
static void reach(struct station *s, size_t arcs, double low, double high)
{
    if (s->arcs == 0 || arcs < s->arcs) {
        const bool next = s->arcs == arcs + 1;
        s->low[1] = next ? s->low[0] : 1;
        s->high[1] = next ? s->high[0] : 0;
        s->low[0] = low;
        s->high[0] = high;
        s->arcs = arcs;
        return;
    }
    const size_t more = arcs - s->arcs;
    if (more > 1)
        return;
    const bool empty = s->low[more] > s->high[more];
    s->low[more] = empty ? low : fmin(s->low[more], low);
    s->high[more] = empty ? high : fmax(s->high[more], high);
}

/* After an arc that will not do a longer one may; but not after three. And where a curve wavers
 * within the tolerance the longest arcs would pass over any number of stations: that many are tried
 * at most. */
enum { PATIENCE = 2, FURTHEST = 64 };

static void spread(struct stations *list, double tolerance)
{
    struct station *stations = list->items;
    for (size_t i = 0; i + 1 < list->count; i++) {
        struct station *from = &stations[i];
        int misses = 0;
        if (from->low[0] > from->high[0])
            continue;
        const size_t end = i + FURTHEST < list->count ? i + FURTHEST + 1 : list->count;
        for (size_t j = i + 1; j < end && misses <= PATIENCE; j++) {
            struct edge edge;
            if (!edge_between(stations, i, j, tolerance, &edge)) {
                misses++;
                continue;
            }
            from->furthest = j;
            if (list->span < j - i)
                list->span = j - i;
            for (size_t more = 0; more < 2; more++) {
                const double low = fmax(edge.low, from->low[more]);
                const double high = fmin(edge.high, from->high[more]);
                if (low <= high)
                    reach(&stations[j], from->arcs + more + 1, edge.sum - high, edge.sum - low);
            }
        }
    }
}

/* ---- and back ----------------------------------------------------------------------------- */

static bool add_joint(struct plan *plan, const struct station *s, double d, struct rab_error *err)
{
    void *items = plan->joints;
    if (!rab_reserve(&items, &plan->capacity, plan->count + 1, sizeof *plan->joints, err))
        return false;
    plan->joints = items;
    const double cosine = cos(d), sine = sin(d);
    plan->joints[plan->count++] = (struct joint){
        s->place,
        s->at,
        {cosine * s->tangent.x - sine * s->tangent.y, sine * s->tangent.x + cosine * s->tangent.y}};
    return true;
}

/* The most central way back: where the angle is furthest inside what is possible, or nearest to it.
 * (What lies between the intervals of neighbouring places is reached from between them.) */
static bool trace(const struct stations *list, size_t arcs, double d, double tolerance,
                  struct plan *plan, struct rab_error *err)
{
    const struct station *stations = list->items;
    size_t j = list->count - 1;
    if (!add_joint(plan, &stations[j], d, err))
        return false;
    for (; arcs > 0; arcs--) {
        double best = -HUGE_VAL, best_d = 0;
        size_t best_i = j;
        for (size_t i = j; i-- > 0 && j - i <= list->span;) {
            const struct station *s = &stations[i];
            struct edge edge;
            if (s->furthest < j || arcs - 1 < s->arcs || arcs - 1 - s->arcs > 1 ||
                !edge_between(stations, i, j, tolerance, &edge))
                continue;
            const size_t more = arcs - 1 - s->arcs;
            const double low = fmax(edge.low, s->low[more]), high = fmin(edge.high, s->high[more]);
            if (low > high)
                continue;
            const double from_d = edge.sum - d;
            const double inside = fmin(from_d - low, high - from_d);
            if (inside > best) {
                best = inside;
                best_i = i;
                best_d = fmax(low, fmin(high, from_d));
            }
        }
        assert(best_i < j); /* what was reached was reached from somewhere */
        j = best_i;
        d = best_d;
        if (!add_joint(plan, &stations[j], d, err))
            return false;
    }
    for (size_t i = 0; i < plan->count / 2; i++) {
        const struct joint kept = plan->joints[i];
        plan->joints[i] = plan->joints[plan->count - 1 - i];
        plan->joints[plan->count - 1 - i] = kept;
    }
    return true;
}

/* By how much the tangent at a free end may be turned from the curve's. */
#define FREE 1.0

bool plan_span(const struct run *run, const struct span *span, double tolerance, struct plan *plan,
               struct rab_error *err)
{
    struct stations list = {0};
    bool ok = false;

    if (!lay_stations(run, span->from.place, span->to.place, tolerance, &list, err))
        goto done;
    struct station *first = &list.items[0], *last = &list.items[list.count - 1];
    const double start = point_angle(first->tangent, span->from.tangent);
    const double end = point_angle(last->tangent, span->to.tangent);
    first->low[0] = span->from_free ? -FREE : start;
    first->high[0] = span->from_free ? FREE : start;
    spread(&list, tolerance);
    if (last->low[0] <= last->high[0]) {
        const bool in_least = end >= last->low[0] && end <= last->high[0];
        const bool more = !span->to_free && !in_least && last->low[1] <= last->high[1];
        const double d = span->to_free ? (last->low[0] + last->high[0]) / 2 : end;
        if (!trace(&list, last->arcs + more, d, tolerance, plan, err))
            goto done;
        if (!span->from_free)
            plan->joints[0].tangent = span->from.tangent;
        if (!span->to_free)
            plan->joints[plan->count - 1].tangent = span->to.tangent;
    }
    ok = true;
done:
    free(list.items);
    return ok;
}
