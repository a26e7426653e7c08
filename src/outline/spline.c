/*
 * Arcs that join smoothly along a run of cubics: made as planned (plan.c), and proved (check.c).
 *
 * The tangents of a plan fit together nearly. Two arcs between places with given tangents always
 * join smoothly somewhere, so every second joint is kept with its tangent, and the one between is
 * put where the curve crosses the circle of possible joints. An odd arc comes first: it leaves
 * with the tangent that it must have and arrives with the one that comes of it.
 *
 * Where a plan does not hold, arcs with the curve's own tangents at every second joint do, if they
 * are short enough; there are more of them.
 */
#include <stdlib.h>

#include "plan.h"

size_t run_locate(const struct run *run, double place, double *t)
{
    size_t low = 0, high = run->count;
    while (high - low > 1) {
        const size_t middle = (low + high) / 2;
        if (run->places[middle] <= place)
            low = middle;
        else
            high = middle;
    }
    const double length = run->places[low + 1] - run->places[low];
    *t = fmin(1, fmax(0, (place - run->places[low]) / length));
    return low;
}

struct rab_point run_at(const struct run *run, double place)
{
    double t;
    const size_t i = run_locate(run, place, &t);
    return cubic_at(&run->cubics[i], t);
}

void run_tangent(const struct run *run, double place, struct rab_point *at,
                 struct rab_point *tangent)
{
    double t;
    const size_t i = run_locate(run, place, &t);
    const struct cubic *cubic = &run->cubics[i];
    const struct cubic_spot spot = cubic_spot(cubic, t);
    const double speed = hypot(spot.d1.x, spot.d1.y);

    *at = spot.at;
    if (speed <= 1e-6 * (run->places[i + 1] - run->places[i]))
        *tangent = t < 0.5 ? cubic_start_tangent(cubic) : cubic_end_tangent(cubic);
    else
        *tangent = (struct rab_point){spot.d1.x / speed, spot.d1.y / speed};
}

static double run_length(const struct run *run)
{
    return run->places[run->count];
}

/* Half the angle to the chord is a quarter of the arc's. */
static double bulge_leaving(struct rab_point tangent, struct rab_point chord)
{
    return point_cross(tangent, chord) / (hypot(chord.x, chord.y) + point_dot(tangent, chord));
}

static double bulge_arriving(struct rab_point chord, struct rab_point tangent)
{
    return point_cross(chord, tangent) / (hypot(chord.x, chord.y) + point_dot(chord, tangent));
}

/* Where the run between two places crosses the circle of possible joints (given as an arc from one
 * to the other), nearest to the middle; false when it does not. */
static bool crossing(const struct run *run, double from, double to, const struct arc *joints,
                     double *place)
{
    enum { PARTS = 8 };
    double low = 0, high = 0, f_low = 0, f_high = 0, nearest = 2;
    double before = 0, f_before = 0;

    for (int i = 1; i < PARTS; i++) {
        const double x = from + (to - from) * i / PARTS;
        const double f = arc_side(joints, run_at(run, x));
        const double middle = fabs((2.0 * i - 1) / PARTS - 1);
        if (i > 1 && (f > 0) != (f_before > 0) && middle < nearest) {
            low = before;
            high = x;
            f_low = f_before;
            f_high = f;
            nearest = middle;
        }
        before = x;
        f_before = f;
    }
    if (nearest > 1)
        return false;
    /* Regula falsi in the Illinois manner: an end that stays twice counts half. */
    int stayed = 0;
    for (int round = 0; round < 50 && high - low > 1e-14 * to; round++) {
        const double x = low + (high - low) * f_low / (f_low - f_high);
        const double f = arc_side(joints, run_at(run, x));
        if (f == 0 || x <= low || x >= high) {
            low = high = fmin(high, fmax(low, x));
        } else if ((f > 0) == (f_low > 0)) {
            low = x;
            f_low = f;
            f_high = stayed == 1 ? f_high / 2 : f_high;
            stayed = 1;
        } else {
            high = x;
            f_high = f;
            f_low = stayed == -1 ? f_low / 2 : f_low;
            stayed = -1;
        }
    }
    *place = (low + high) / 2;
    return true;
}

struct pair {
    struct rab_vertex arcs[2];
};

/* Two arcs from one joint to another that are within the tolerance. */
static bool two_arcs(const struct run *run, const struct joint *from, const struct joint *to,
                     double tolerance, struct pair *pair)
{
    const struct rab_point chord = point_minus(to->at, from->at);
    /* Half the difference of the tangents' angles to the chord: so the circle of possible joints
     * leaves. */
    const double leave = atan2(point_cross(chord, from->tangent), point_dot(chord, from->tangent));
    const double arrive = atan2(point_cross(chord, to->tangent), point_dot(chord, to->tangent));
    const double angle = (leave - arrive) / 2;
    struct rab_point at;
    double place;

    if (hypot(chord.x, chord.y) == 0 || !(fabs(leave) < 2.4) || !(fabs(arrive) < 2.4))
        return false;
    const struct arc joints =
        arc_make((struct rab_vertex){from->at.x, from->at.y, -tan(angle / 2)}, to->at);
    if (crossing(run, from->place, to->place, &joints, &place)) {
        at = run_at(run, place);
    } else {
        place = (from->place + to->place) / 2;
        (void)arc_distance(&joints, run_at(run, place), &at);
    }

    const double first = bulge_leaving(from->tangent, point_minus(at, from->at));
    const double second = bulge_arriving(point_minus(to->at, at), to->tangent);
    *pair = (struct pair){{{from->at.x, from->at.y, first}, {at.x, at.y, second}}};
    const struct arc one = arc_make(pair->arcs[0], at), two = arc_make(pair->arcs[1], to->at);
    return run_within(run, from->place, place, &one, tolerance) &&
           run_within(run, place, to->place, &two, tolerance);
}

static bool fitted_add(struct fitted *out, struct rab_vertex vertex, struct rab_error *err)
{
    void *items = out->vertices;
    if (!rab_reserve(&items, &out->capacity, out->count + 1, sizeof *out->vertices, err))
        return false;
    out->vertices = items;
    out->vertices[out->count++] = vertex;
    return true;
}

static bool fail_at(struct rab_point at, struct rab_error *err)
{
    struct rab_text place = {0};
    rab_text_fixed(&place, at.x, 3);
    rab_text_add(&place, ", ");
    rab_text_fixed(&place, at.y, 3);
    if (rab_text_ok(&place, err))
        (void)rab_fail(err, RAB_FAULT_GEOMETRY,
                       "a curve cannot be followed with arcs within the tolerance near %s mm; "
                       "give a larger tolerance",
                       place.data);
    rab_text_clear(&place);
    return false;
}

/* From one joint to another by pairs of arcs with the curve's own tangents between, each as long
 * as trying finds. */
static bool walk(const struct run *run, struct joint from, const struct joint *end,
                 double tolerance, struct fitted *out, struct rab_error *err)
{
    double length = end->place - from.place;

    while (from.place < end->place) {
        const double rest = end->place - from.place;
        struct joint to;
        struct pair pair;
        length = fmin(2 * length, rest);
        for (;; length *= 0.7) {
            if (length < 1e-10 * run_length(run))
                return fail_at(from.at, err);
            to = *end;
            if (length < rest) {
                to.place = from.place + length;
                run_tangent(run, to.place, &to.at, &to.tangent);
            }
            if (two_arcs(run, &from, &to, tolerance, &pair))
                break;
        }
        if (!fitted_add(out, pair.arcs[0], err) || !fitted_add(out, pair.arcs[1], err))
            return false;
        from = to;
    }
    return true;
}

static bool make_planned(const struct run *run, const struct plan *plan, double tolerance,
                         struct fitted *out, struct rab_error *err)
{
    struct joint from = plan->joints[0];
    size_t next = 1;

    if (plan->count % 2 == 0) {
        struct joint to = plan->joints[1];
        const struct rab_point chord = point_minus(to.at, from.at);
        const double bulge = bulge_leaving(from.tangent, chord);
        const struct arc arc = arc_make((struct rab_vertex){from.at.x, from.at.y, bulge}, to.at);
        const bool ends = plan->count == 2 && run->end_fixed;
        if ((!ends || tangents_agree(arc.tb, to.tangent, 1e-9)) &&
            run_within(run, from.place, to.place, &arc, tolerance)) {
            if (!fitted_add(out, (struct rab_vertex){from.at.x, from.at.y, bulge}, err))
                return false;
            to.tangent = arc.tb;
        } else if (!walk(run, from, &to, tolerance, out, err)) {
            return false;
        }
        from = to;
        next = 2;
    }
    for (; next + 1 < plan->count; next += 2) {
        const struct joint *to = &plan->joints[next + 1];
        struct pair pair;
        if (two_arcs(run, &from, to, tolerance, &pair)) {
            if (!fitted_add(out, pair.arcs[0], err) || !fitted_add(out, pair.arcs[1], err))
                return false;
        } else if (!walk(run, from, to, tolerance, out, err)) {
            return false;
        }
        from = *to;
    }
    return true;
}

bool run_fit(const struct run *run, double tolerance, struct fitted *out, struct rab_error *err)
{
    struct run tied = *run;
    struct plan plan = {0};
    bool ok = false;

    if (run->closed) {
        struct rab_point at;
        run_tangent(run, 0, &at, &tied.start_tangent);
        tied.end_tangent = tied.start_tangent;
        tied.start_fixed = tied.end_fixed = true;
    }
    if (!plan_run(&tied, 0.97 * tolerance, &plan, err))
        goto done;
    if (plan.count > 0) {
        /* The ends exactly as asked. */
        if (tied.start_fixed)
            plan.joints[0].tangent = tied.start_tangent;
        if (tied.end_fixed)
            plan.joints[plan.count - 1].tangent = tied.end_tangent;
        ok = make_planned(&tied, &plan, tolerance, out, err);
    } else {
        struct joint start = {.place = 0}, end = {.place = run_length(run)};
        run_tangent(run, start.place, &start.at, &start.tangent);
        run_tangent(run, end.place, &end.at, &end.tangent);
        if (tied.start_fixed)
            start.tangent = tied.start_tangent;
        if (tied.end_fixed)
            end.tangent = tied.end_tangent;
        ok = walk(&tied, start, &end, tolerance, out, err);
    }
done:
    free(plan.joints);
    return ok;
}
