/* The order of cuts: rules that hold of every plan, and how far the travel is from what is
 * possible. */
#include "plan/bound.h"
#include "plan/route.h"
#include "plans.h"

static double whole_length(const struct sheet *sheet)
{
    double sum = 0;

    for (size_t i = 0; i < sheet->count; i++)
        sum += rab_outline_perimeter(&sheet->paths[i].outline);
    return sum;
}

/* The path of the plan that is this outline: same length and middle. */
static size_t place_of(const struct rab_plan *plan, const struct rab_path *path)
{
    const struct rab_point middle = rab_outline_centroid(&path->outline);
    size_t found = plan->count;

    for (size_t i = 0; i < plan->count; i++) {
        const struct rab_path *p = &plan->paths[i];
        const struct rab_point m = rab_outline_centroid(&p->outline);
        const bool same_place =
            path->outline.open
                ? fabs(p->outline.vertices[0].y - path->outline.vertices[0].y) < 1e-9 &&
                      fabs(p->outline.vertices[0].x + p->outline.vertices[1].x -
                           path->outline.vertices[0].x - path->outline.vertices[1].x) < 1e-9
                : hypot(m.x - middle.x, m.y - middle.y) < 1e-9;
        if (p->operation == path->operation && p->piece == path->piece &&
            p->outline.open == path->outline.open && same_place &&
            fabs(rab_outline_area(&p->outline) - rab_outline_area(&path->outline)) < 1e-9 &&
            fabs(rab_outline_perimeter(&p->outline) - rab_outline_perimeter(&path->outline)) <
                1e-9) {
            cr_assert(found == plan->count, "path %zu is followed twice", i);
            found = i;
        }
    }
    cr_assert(found < plan->count, "a path is missing");
    return found;
}

/* Common practice, no source: every line once, the sum of their lengths unchanged, creases before
 * cuts, what lies inside before what lies around it. */
Test(orders, rules_hold_on_random_sheets)
{
    for (uint64_t seed = 1; seed <= 60; seed++) {
        struct sheet sheet = make_sheet(seed, 2 + (int)(seed % 5), 1 + (int)(seed % 4));
        const struct rab_plan_options options = {0};
        struct rab_plan plan = plan_of(&sheet, &options);
        size_t *places = calloc(sheet.count, sizeof *places);

        cr_assert(places != NULL && plan.count == sheet.count);
        cr_expect(epsilon_eq(dbl, plan.length, whole_length(&sheet), 1e-6));
        double bound = 0;
        cr_assert(rab_plan_bound(&plan, options.home, &bound, NULL));
        cr_expect(plan.shared == 0 && plan.idle >= bound - 1e-6);
        for (size_t i = 0; i < sheet.count; i++)
            places[i] = place_of(&plan, &sheet.paths[i]);
        for (size_t i = 0; i < sheet.count; i++) {
            for (size_t k = 0; k < sheet.count; k++) {
                const struct rab_path *in = &sheet.paths[i], *around = &sheet.paths[k];
                if (in->operation == RAB_CREASE && around->operation == RAB_CUT)
                    cr_expect(places[i] < places[k]);
                if (i == k || in->operation != RAB_CUT || around->operation != RAB_CUT)
                    continue;
                const struct rab_vertex *v = &in->outline.vertices[0];
                if (rab_outline_winding(&around->outline, (struct rab_point){v->x, v->y}) != 0)
                    cr_expect(places[i] < places[k], "seed %d: %zu lies in %zu and is cut later",
                              (int)seed, i, k);
            }
        }
        free(places);
        rab_plan_clear(&plan);
        sheet_clear(&sheet);
    }
}

/* Rectangles are begun at corners, which all their vertices are; a rounded one has none. */
Test(orders, closed_cuts_begin_at_a_corner)
{
    struct sheet sheet = {0};
    struct rab_outline label = {0};
    const struct rab_plan_options options = {0};

    /* a rectangle with one square corner and a long round one opposite */
    cr_assert(rab_outline_add(&label, 50, 50, 0, NULL) &&
              rab_outline_add(&label, 80, 50, 0, NULL) &&
              rab_outline_add(&label, 80, 60, tan(RAB_PI / 8), NULL) &&
              rab_outline_add(&label, 70, 70, 0, NULL) && rab_outline_add(&label, 50, 70, 0, NULL));
    sheet_add(&sheet, RAB_CUT, 1, label);
    struct rab_plan plan = plan_of(&sheet, &options);
    const struct rab_vertex *v = &plan.paths[0].outline.vertices[0];
    cr_expect(v->x == 50 && v->y == 50); /* the corner nearest to home */
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* ---- routes ---------------------------------------------------------------------------- */

struct points {
    struct way *ways;
    struct stop *stops;
    size_t count;
};

static struct points make_points(size_t count)
{
    struct points p = {calloc(count, sizeof *p.ways), calloc(count, sizeof *p.stops), count};

    cr_assert(p.ways && p.stops);
    for (size_t i = 0; i < count; i++)
        p.stops[i] = (struct stop){&p.ways[i], 1};
    return p;
}

static void place_point(struct points *p, size_t i, double x, double y)
{
    p->ways[i] = (struct way){{x, y}, {x, y}, 0};
}

/* around: of each stop the one that must come behind it, or NULL. */
static double travel_of(const struct points *p, const size_t *around)
{
    struct route route = {0};
    char *seen = calloc(p->count, 1);

    cr_assert(route_find(p->stops, p->count, around, (struct rab_point){0, 0}, &route, NULL));
    for (size_t i = 0; i < p->count; i++) {
        cr_assert(route.order[i] < p->count && seen && !seen[route.order[i]]);
        seen[route.order[i]] = 1;
        cr_expect(
            not(around && around[route.order[i]] != ROUTE_FREE && seen[around[route.order[i]]]));
    }
    const double travel = route.travel;
    free(seen);
    route_clear(&route);
    return travel;
}

/* home: NULL for a path that begins anywhere. */
static double bound_of(const struct points *p, const struct rab_point *home)
{
    struct leg_ends *legs = calloc(p->count, sizeof *legs);
    double bound = 0;

    cr_assert(legs != NULL);
    for (size_t i = 0; i < p->count; i++)
        legs[i] = (struct leg_ends){p->ways[i].in, p->ways[i].in};
    cr_assert(bound_find(home, legs, p->count, &bound, NULL));
    free(legs);
    return bound;
}

static void points_clear(struct points *p)
{
    free(p->ways);
    free(p->stops);
}

static const struct rab_point corner = {0, 0};

/* All orders of up to seven stops tried out. */
static double shortest(const struct points *p, unsigned used, const size_t *around,
                       struct rab_point at, double so_far, double best)
{
    if (used == (1U << p->count) - 1)
        return fmin(best, so_far);
    for (size_t i = 0; i < p->count; i++) {
        bool waits = (used & (1U << i)) != 0;
        for (size_t k = 0; around && k < p->count; k++)
            waits = waits || (around[k] == i && !(used & (1U << k)));
        if (waits)
            continue;
        const struct rab_point q = p->ways[i].in;
        best =
            shortest(p, used | (1U << i), around, q, so_far + hypot(q.x - at.x, q.y - at.y), best);
    }
    return best;
}

/* Nothing is shorter than the shortest by more than a little, also when some stops must wait for
 * others; and the bound is below it. */
Test(routes, few_stops_are_visited_in_the_shortest_order)
{
    uint64_t seed = 5;

    for (size_t n = 1; n <= 7; n++) {
        for (int round = 0; round < 40; round++) {
            struct points p = make_points(n);
            size_t around[7];
            for (size_t i = 0; i < n; i++) {
                /* one after the other: compilers differ in the order of arguments */
                const double y = 100 * random_share(&seed), x = 100 * random_share(&seed);
                place_point(&p, i, x, y);
                /* a later stop, so that there is no ring */
                around[i] = i + 1 < n && random_share(&seed) < 0.4
                                ? i + 1 + (size_t)(random_share(&seed) * (double)(n - i - 1))
                                : ROUTE_FREE;
            }
            const size_t *bound_to = round % 2 ? around : NULL;
            const double least = shortest(&p, 0, bound_to, corner, 0, HUGE_VAL);
            cr_expect(travel_of(&p, bound_to) < least * 1.02 + 1e-9, "%zu stops", n);
            cr_expect(bound_of(&p, &corner) <= least + 1e-9);
            double anywhere = HUGE_VAL;
            for (size_t i = 0; i < n; i++)
                anywhere = fmin(anywhere, shortest(&p, 1U << i, NULL, p.ways[i].in, 0, HUGE_VAL));
            cr_expect(bound_of(&p, NULL) <= anywhere + 1e-9);
            points_clear(&p);
        }
    }
}

/* A square grid of even size is best visited in lines: n - 1 steps of one spacing, and the way to
 * its first point. Source: no step can be shorter than the spacing. */
Test(routes, grid_is_visited_step_by_step)
{
    struct points p = make_points(400);

    for (size_t i = 0; i < 400; i++)
        place_point(&p, i, 10.0 * (double)(i % 20), 10.0 * (double)(i / 20));
    const double least = 399 * 10;
    cr_expect(travel_of(&p, NULL) < 1.04 * least);
    cr_expect(bound_of(&p, &corner) > 0.99 * least && bound_of(&p, &corner) <= least + 1e-6);
    points_clear(&p);
}

/* Random points: at most 8 % above a bound that holds for every order (Held and Karp 1970). */
Test(routes, random_points_are_near_the_bound, .timeout = 100)
{
    double above = 0;
    uint64_t seed = 9;

    for (int round = 0; round < 5; round++) {
        struct points p = make_points(500);
        for (size_t i = 0; i < p.count; i++)
            place_point(&p, i, 300 * random_share(&seed), 300 * random_share(&seed));
        above += travel_of(&p, NULL) / bound_of(&p, &corner) - 1;
        points_clear(&p);
    }
    cr_expect(above / 5 < 0.08, "%.4f", above / 5);
}

/* Stops that can be taken from either end: parallel lines are followed there and back. */
Test(routes, lines_are_taken_from_either_end)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {0};

    for (int i = 0; i < 12; i++)
        sheet_add(&sheet, RAB_DRAW, 0, line(0, 5.0 * i, 100, 5.0 * i));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(epsilon_eq(dbl, plan.idle, 11 * 5.0, 1e-9));
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* Pieces of a frame's kind with openings: as for random points, at most 8 % above the bound,
 * although what lies inside must come first. */
Test(orders, openings_first_costs_little, .timeout = 100)
{
    double above = 0;

    for (uint64_t seed = 1; seed <= 3; seed++) {
        struct sheet sheet = make_sheet(seed, 12, 12);
        const struct rab_plan_options options = {0};
        struct rab_plan plan = plan_of(&sheet, &options);
        double bound = 0;
        cr_assert(rab_plan_bound(&plan, options.home, &bound, NULL));
        above += plan.idle / bound - 1;
        rab_plan_clear(&plan);
        sheet_clear(&sheet);
    }
    cr_expect(above / 3 < 0.08, "%.4f", above / 3);
}
