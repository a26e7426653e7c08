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
    if (speed > 1e-6 * (run->places[i + 1] - run->places[i])) {
        *tangent = (struct rab_point){spot.d1.x / speed, spot.d1.y / speed};
    } else { /* where it stands still, from where it goes on to or came from */
        const struct cubic part = t < 0.5 ? cubic_part(cubic, t, 1) : cubic_part(cubic, 0, t);
        *tangent = t < 0.5 ? cubic_start_tangent(&part) : cubic_end_tangent(&part);
    }
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
 * to the other), nearest to *place; false when it does not. */
static bool crossing(const struct run *run, double from, double to, const struct arc *joints,
                     double *place)
{
    enum { PARTS = 10 };
    double low = 0, high = 0, f_low = 0, f_high = 0, nearest = HUGE_VAL;
    double before = 0, f_before = 0;

    for (int i = 1; i < PARTS; i++) {
        const double x = from + (to - from) * i / PARTS;
        const double f = arc_side(joints, run_at(run, x));
        const double off = fabs((before + x) / 2 - *place);
        if (i > 1 && (f > 0) != (f_before > 0) && off < nearest) {
            low = before;
            high = x;
            f_low = f_before;
            f_high = f;
            nearest = off;
        }
        before = x;
        f_before = f;
    }
    if (nearest == HUGE_VAL)
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

/* Two arcs from one joint to another that are within the tolerance; they meet near a place. */
static bool two_arcs(const struct run *run, const struct joint *from, double place,
                     const struct joint *to, double tolerance, struct pair *pair)
{
    const struct rab_point chord = point_minus(to->at, from->at);
    /* Half the difference of the tangents' angles to the chord: so the circle of possible joints
     * leaves. */
    const double leave = point_angle(chord, from->tangent);
    const double arrive = point_angle(chord, to->tangent);
    const double angle = (leave - arrive) / 2;
    struct rab_point at;

    if (hypot(chord.x, chord.y) == 0 || !(fabs(leave) < 2.4) || !(fabs(arrive) < 2.4))
        return false;
    const struct arc joints =
        arc_make((struct rab_vertex){from->at.x, from->at.y, -tan(angle / 2)}, to->at);
    if (crossing(run, from->place, to->place, &joints, &place)) {
        at = run_at(run, place);
    } else {
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
            if (length < 1e-10 * run->places[run->count])
                return fail_at(from.at, err);
            to = *end;
            if (length < rest) {
                to.place = from.place + length;
                run_tangent(run, to.place, &to.at, &to.tangent);
            }
            if (two_arcs(run, &from, (from.place + to.place) / 2, &to, tolerance, &pair))
                break;
        }
        if (!fitted_add(out, pair.arcs[0], err) || !fitted_add(out, pair.arcs[1], err))
            return false;
        from = to;
    }
    return true;
}

/* Two arcs that meet near a place; the tangent at their end may give way a little. */
static bool two_arcs_about(const struct run *run, const struct joint *from, double place,
                           struct joint *to, bool fixed, double tolerance, struct pair *pair)
{
    static const double turns[] = {0, 0.003, -0.003, 0.007, -0.007, 0.013, -0.013};
    const struct rab_point tangent = to->tangent;
    const size_t tries = fixed ? 1 : sizeof turns / sizeof *turns;

    for (size_t i = 0; i < tries; i++) {
        to->tangent = point_along(tangent, turns[i], point_left(tangent));
        const double length = hypot(to->tangent.x, to->tangent.y);
        to->tangent = (struct rab_point){to->tangent.x / length, to->tangent.y / length};
        if (two_arcs(run, from, place, to, tolerance, pair))
            return true;
    }
    to->tangent = tangent;
    return false;
}

/* How often a part whose plan does not hold is planned anew. */
enum { ATTEMPTS = 3 };

static bool make_span(const struct run *run, const struct span *span, double tolerance, int attempt,
                      struct fitted *out, struct rab_error *err);

/* The arcs of a plan; the first one alone when they are odd. */
/* NOLINTNEXTLINE(misc-no-recursion): at most ATTEMPTS deep */
static bool make_planned(const struct run *run, const struct span *span, const struct plan *plan,
                         double tolerance, int attempt, struct fitted *out, struct rab_error *err)
{
    const size_t last = plan->count - 1;
    struct joint from = plan->joints[0];
    size_t done = 0;

    if (last % 2 == 1) {
        struct joint to = plan->joints[1];
        const double bulge = bulge_leaving(from.tangent, point_minus(to.at, from.at));
        const struct arc arc = arc_make((struct rab_vertex){from.at.x, from.at.y, bulge}, to.at);
        const bool fits = last > 1 || span->to_free || tangents_agree(arc.tb, to.tangent, 1e-9);
        if (fits && run_within(run, from.place, to.place, &arc, tolerance)) {
            if (!fitted_add(out, (struct rab_vertex){from.at.x, from.at.y, bulge}, err))
                return false;
            to.tangent = arc.tb;
        } else {
            const struct span part = {from, to, false, false};
            if (!make_span(run, &part, tolerance, attempt + 1, out, err))
                return false;
        }
        from = to;
        done = 1;
    }
    for (; done < last; done += 2) {
        const double place = plan->joints[done + 1].place;
        struct joint to = plan->joints[done + 2];
        const bool fixed = done + 2 == last && !span->to_free;
        struct pair pair;
        if (two_arcs_about(run, &from, place, &to, fixed, tolerance, &pair)) {
            if (!fitted_add(out, pair.arcs[0], err) || !fitted_add(out, pair.arcs[1], err))
                return false;
        } else {
            const struct span part = {from, to, false, false};
            if (!make_span(run, &part, tolerance, attempt + 1, out, err))
                return false;
        }
        from = to;
    }
    return true;
}

/* NOLINTNEXTLINE(misc-no-recursion): at most ATTEMPTS deep */
static bool make_span(const struct run *run, const struct span *span, double tolerance, int attempt,
                      struct fitted *out, struct rab_error *err)
{
    /* What the sampling of a plan misses is a few percent. */
    static const double share[ATTEMPTS] = {0.93, 0.8, 0.6};
    struct plan plan = {0};
    bool ok = false;

    if (attempt < ATTEMPTS && !plan_span(run, span, share[attempt] * tolerance, &plan, err))
        goto done;
    if (plan.count > 0)
        ok = make_planned(run, span, &plan, tolerance, attempt, out, err);
    else
        ok = walk(run, span->from, &span->to, tolerance, out, err);
done:
    free(plan.joints);
    return ok;
}

bool run_fit(const struct run *run, double tolerance, struct fitted *out, struct rab_error *err)
{
    struct span span = {.from = {.place = 0}, .to = {.place = run->places[run->count]}};

    run_tangent(run, span.from.place, &span.from.at, &span.from.tangent);
    run_tangent(run, span.to.place, &span.to.at, &span.to.tangent);
    if (run->start_fixed)
        span.from.tangent = run->start_tangent;
    if (run->end_fixed)
        span.to.tangent = run->end_tangent;
    if (run->closed) /* beginning where a plan would best have a joint was tried: it saves little */
        span.to.tangent = span.from.tangent;
    span.from_free = !run->start_fixed && !run->closed;
    span.to_free = !run->end_fixed && !run->closed;
    return make_span(run, &span, tolerance, 0, out, err);
}
