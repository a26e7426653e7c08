/*
 * Distances and winding numbers. The truth is dense sampling from the definition of the bulge
 * alone, independent of the closed forms under test.
 */
#include <criterion/criterion.h>

#include "outline/arc.h"
#include "random.h"

struct plain {
    struct rab_vertex a;
    struct rab_point b;
};

/* Point of the arc at a share of its angle. The chord to it is to the whole chord as
 * sin(part / 2) to sin(whole / 2), and the angle between the two chords is half of what remains
 * (inscribed angle theorem, Euclid III.20). */
static struct rab_point sample(const struct plain *p, double share)
{
    const double dx = p->b.x - p->a.x, dy = p->b.y - p->a.y, b = p->a.bulge;
    double ratio = share, turn = 0;
    if (b != 0) {
        const double quarter = atan(b);
        ratio = sin(2 * share * quarter) / (2 * b / (1 + b * b));
        turn = 2 * (share - 1) * quarter;
    }
    const double c = ratio * cos(turn), s = ratio * sin(turn);
    return (struct rab_point){p->a.x + c * dx - s * dy, p->a.y + c * dy + s * dx};
}

static double apart(struct rab_point p, struct rab_point q)
{
    const double x = p.x - q.x, y = p.y - q.y;
    return sqrt(x * x + y * y);
}

struct cell {
    double gap, i, j;
};

/* Around a cell, each time finer. Always the distance of two points that are on the edges. */
static double refined(const struct plain *p, const struct plain *q, struct cell cell, double step)
{
    enum { WAYS = 7 };
    const bool still = q->a.x == q->b.x && q->a.y == q->b.y; /* a point */

    for (int round = 0; round < (still ? 40 : 24); round++) {
        struct rab_point on_p[WAYS], on_q[WAYS];
        double u[WAYS], v[WAYS];
        for (int i = 0; i < WAYS; i++) {
            u[i] = fmin(1, fmax(0, cell.i + (i - WAYS / 2) * step / 3));
            v[i] = still ? 0 : fmin(1, fmax(0, cell.j + (i - WAYS / 2) * step / 3));
            on_p[i] = sample(p, u[i]);
            on_q[i] = still ? q->b : sample(q, v[i]);
        }
        for (int i = 0; i < WAYS; i++) {
            for (int j = 0; j < (still ? 1 : WAYS); j++) {
                const double gap = apart(on_p[i], on_q[j]);
                if (gap < cell.gap)
                    cell = (struct cell){gap, u[i], v[j]};
            }
        }
        step *= 0.5;
    }
    return cell.gap;
}

/* A grid over both, then the neighbourhoods of the best two cells. */
static double sampled_gap(const struct plain *p, const struct plain *q)
{
    enum { GRID = 24 };
    struct rab_point on_p[GRID + 1], on_q[GRID + 1];
    struct cell first = {1e30, 0, 0}, second = first;
    const int columns = q->a.x == q->b.x && q->a.y == q->b.y ? 0 : GRID;

    for (int i = 0; i <= GRID; i++) {
        on_p[i] = sample(p, (double)i / GRID);
        on_q[i] = sample(q, (double)i / GRID);
    }
    for (int i = 0; i <= GRID; i++) {
        for (int j = 0; j <= columns; j++) {
            const struct cell cell = {apart(on_p[i], on_q[j]), (double)i / GRID, (double)j / GRID};
            if (cell.gap < first.gap) {
                second = first;
                first = cell;
            } else if (cell.gap < second.gap) {
                second = cell;
            }
        }
    }
    return fmin(refined(p, q, first, 1.0 / GRID), refined(p, q, second, 1.0 / GRID));
}

static double random_bulge(struct random *random)
{
    switch (random_below(random, 6)) {
    case 0:
        return 0;
    case 1:
        return random_size(random, 1e-13, 1e-2);
    case 2:
        return random_size(random, 1, 1e3);
    case 3:
        return random_below(random, 2) ? 1 : -1;
    default:
        return random_size(random, 0.01, 1);
    }
}

static struct plain random_plain(struct random *random)
{
    const double size = random_below(random, 4) ? 10 : 0.01;
    struct plain p = {
        {random_between(random, -10, 10), random_between(random, -10, 10), random_bulge(random)},
        {0, 0}};
    p.b.x = p.a.x + random_between(random, -size, size);
    p.b.y = p.a.y + random_between(random, -size, size);
    return p;
}

/* Longest dimension met: sets the rounding to expect. */
static double extent(const struct plain *p)
{
    return 10 + hypot(p->b.x - p->a.x, p->b.y - p->a.y) * fmax(1, fabs(p->a.bulge));
}

static void related(struct random *random, const struct plain *p, struct plain *q)
{
    const struct rab_point s = sample(p, random_between(random, 0, 1));
    switch (random_below(random, 8)) {
    case 0: /* the same one, backwards */
        *q = (struct plain){{p->b.x, p->b.y, -p->a.bulge}, {p->a.x, p->a.y}};
        break;
    case 1: /* shared end */
        q->a.x = p->b.x;
        q->a.y = p->b.y;
        break;
    case 2: /* starts on the other */
        q->a.x = s.x;
        q->a.y = s.y;
        break;
    case 3: /* a point */
        q->b = (struct rab_point){q->a.x, q->a.y};
        break;
    case 4: /* beside it, nearly parallel */
        *q = *p;
        q->a.y += 1e-3;
        q->b.y += 1e-3;
        q->a.bulge *= 1 + 1e-6;
        break;
    case 5: { /* a part of it */
        const struct rab_point t = sample(p, random_between(random, 0, 1));
        *q = (struct plain){{s.x, s.y, 0}, t};
        break;
    }
    default:
        break;
    }
}

Test(outline_distance, between_two_edges_as_sampled)
{
    struct random random = {20261};

    for (int n = 0; n < 100000; n++) {
        struct plain p = random_plain(&random), q = random_plain(&random);
        related(&random, &p, &q);

        const struct arc arc_p = arc_make(p.a, p.b), arc_q = arc_make(q.a, q.b);
        struct rab_point on_p, on_q;
        const double gap = arc_gap(&arc_p, &arc_q, &on_p, &on_q);
        const double rounding = 1e-14 * (extent(&p) + extent(&q));

        /* Nothing sampled is nearer. */
        const double sampled = sampled_gap(&p, &q);
        cr_assert(gap <= sampled + rounding,
                  "case %d: %.17g, sampled %.17g; (%.17g,%.17g,%.17g)-(%.17g,%.17g) "
                  "(%.17g,%.17g,%.17g)-(%.17g,%.17g)",
                  n, gap, sampled, p.a.x, p.a.y, p.a.bulge, p.b.x, p.b.y, q.a.x, q.a.y, q.a.bulge,
                  q.b.x, q.b.y);
        /* And it is reached: its ends are as far apart, and each is on its edge. */
        const struct plain spot_p = {{on_p.x, on_p.y, 0}, on_p};
        const struct plain spot_q = {{on_q.x, on_q.y, 0}, on_q};
        cr_assert(fabs(apart(on_p, on_q) - gap) <= rounding, "case %d", n);
        cr_assert(sampled_gap(&p, &spot_p) <= 1e-12 * extent(&p), "case %d", n);
        cr_assert(sampled_gap(&q, &spot_q) <= 1e-12 * extent(&q), "case %d", n);
    }
}

/* ---- whole outlines ---- */

static void random_outline(struct random *random, int count, struct rab_outline *out)
{
    struct rab_error err = {0};
    out->open = random_below(random, 4) == 0;
    for (int i = 0; i < count; i++)
        cr_assert(rab_outline_add(out, random_between(random, -10, 10),
                                  random_between(random, -10, 10),
                                  fmax(-3, fmin(3, random_bulge(random))), &err));
}

static struct plain edge_of(const struct rab_outline *outline, size_t i)
{
    const struct rab_vertex b = outline->vertices[(i + 1) % outline->count];
    return (struct plain){outline->vertices[i], {b.x, b.y}};
}

/* Total turn of the direction in which a point sees the outline, by sampling: the definition of
 * the winding number. Open outlines close with a straight line. */
static double turns_seen(const struct rab_outline *outline, struct rab_point from)
{
    enum { STEPS = 600 };
    double total = 0;
    for (size_t i = 0; i < outline->count; i++) {
        struct plain edge = edge_of(outline, i);
        if (outline->open && i + 1 == outline->count)
            edge.a.bulge = 0;
        for (int step = 0; step < STEPS; step++) {
            const struct rab_point p = sample(&edge, (double)step / STEPS);
            const struct rab_point q = sample(&edge, (step + 1.0) / STEPS);
            const double ax = p.x - from.x, ay = p.y - from.y;
            const double bx = q.x - from.x, by = q.y - from.y;
            total += atan2(ax * by - ay * bx, ax * bx + ay * by);
        }
    }
    return total / (2 * RAB_PI);
}

Test(outline_distance, winding_as_the_turns_seen)
{
    struct random random = {77};
    int seen[16] = {0};

    for (int n = 0; n < 300; n++) {
        struct rab_outline outline = {0};
        random_outline(&random, 1 + random_below(&random, 9), &outline);
        for (int i = 0; i < 20; i++) {
            struct rab_point at = {random_between(&random, -12, 12),
                                   random_between(&random, -12, 12)};
            /* Often level with, or below, a vertex: where counts by rays go wrong. */
            const size_t v = (size_t)random_below(&random, (int)outline.count);
            if (i % 3 == 0)
                at.y = outline.vertices[v].y;
            if (i % 4 == 0)
                at.x = outline.vertices[v].x;
            struct rab_outline closed = outline;
            closed.open = false;
            if (rab_outline_distance(&closed, at, NULL) < 0.01)
                continue;
            if (outline.open) {
                const struct arc closing =
                    arc_make((struct rab_vertex){outline.vertices[outline.count - 1].x,
                                                 outline.vertices[outline.count - 1].y, 0},
                             (struct rab_point){outline.vertices[0].x, outline.vertices[0].y});
                if (arc_distance(&closing, at, NULL) < 0.01)
                    continue;
            }
            const int winding = rab_outline_winding(&outline, at);
            cr_assert(fabs(turns_seen(&outline, at) - winding) < 1e-6, "case %d: %d turns, seen %g",
                      n, winding, turns_seen(&outline, at));
            if (winding > -8 && winding < 8)
                seen[winding + 8]++;
        }
        rab_outline_clear(&outline);
    }
    for (int w = -2; w <= 2; w++)
        cr_expect(seen[w + 8] > 5, "winding %d hardly tried", w);
}

/* A point exactly level with a chord, and on the chord of an arc but off the arc. */
Test(outline_distance, winding_on_chords)
{
    struct rab_error err = {0};
    const double turns[] = {0, 0.7, RAB_PI / 2, 2, RAB_PI, 4, 3 * RAB_PI / 2, 6};
    for (size_t i = 0; i < sizeof turns / sizeof *turns; i++) {
        for (int kind = 0; kind < 4; kind++) {
            struct rab_outline outline = {0};
            const double b = kind & 1 ? -1 : 1;
            cr_assert(rab_outline_add(&outline, -1, 0, b, &err));
            cr_assert(rab_outline_add(&outline, 1, 0, kind & 2 ? b : 0.5 * b, &err));
            if (turns[i] > 0)
                rab_outline_turn(&outline, turns[i], (struct rab_point){0, 0});
            cr_expect_eq(rab_outline_winding(&outline, (struct rab_point){0, 0}), (int)b);
            cr_expect_eq(rab_outline_winding(&outline, (struct rab_point){1.5, 0}), 0);
            cr_expect_eq(rab_outline_winding(&outline, (struct rab_point){-1.5, 0}), 0);
            cr_expect_eq(rab_outline_winding(&outline, (struct rab_point){0, 1.5}), 0);
            rab_outline_clear(&outline);
        }
    }
}

Test(outline_distance, between_outlines_as_all_pairs_of_edges)
{
    struct random random = {4};
    struct rab_error err = {0};

    for (int n = 0; n < 400; n++) {
        struct rab_outline a = {0}, b = {0};
        const int size = n < 200 ? 12 : 150;
        random_outline(&random, 1 + random_below(&random, size), &a);
        random_outline(&random, 1 + random_below(&random, size), &b);
        if (n % 2 == 0) /* small, so that most do not meet */
            rab_outline_scale(&b, 0.02, (struct rab_point){3, 3});

        double all = 1e300;
        for (size_t i = 0; i < arc_count(&a) || i == 0; i++) {
            for (size_t j = 0; j < arc_count(&b) || j == 0; j++) {
                const struct arc p = arc_of(&a, i), q = arc_of(&b, j);
                struct rab_point on_p, on_q;
                all = fmin(all, arc_gap(&p, &q, &on_p, &on_q));
            }
        }
        double gap;
        struct rab_point on_a, on_b;
        cr_assert(rab_outline_gap(&a, &b, &gap, &on_a, &on_b, &err));
        cr_assert_eq(gap, all);
        cr_assert(fabs(apart(on_a, on_b) - gap) < 1e-12);
        cr_assert(rab_outline_distance(&a, on_a, NULL) < 1e-12);
        cr_assert(rab_outline_distance(&b, on_b, NULL) < 1e-12);

        /* From a point: the same as from an outline of that point alone. */
        struct rab_outline point = {.open = true};
        struct rab_point nearest;
        const struct rab_point at = {random_between(&random, -20, 20), 1};
        cr_assert(rab_outline_add(&point, at.x, at.y, 0, &err));
        cr_assert(rab_outline_gap(&a, &point, &gap, NULL, NULL, &err));
        cr_assert(fabs(rab_outline_distance(&a, at, &nearest) - gap) < 1e-13);
        cr_assert(fabs(apart(nearest, at) - gap) < 1e-13);
        rab_outline_clear(&point);
        rab_outline_clear(&a);
        rab_outline_clear(&b);
    }
}

/* Source: elementary geometry of circles (Euclid III): the least distance of two circles is
 * |D - r - s| outside each other, |r - s| - D one in the other, 0 between. */
Test(outline_distance, between_circles)
{
    struct rab_error err = {0};
    const double r = 7.25, s = 2.5;

    for (double d = 0; d < 15; d += 0.125) {
        struct rab_outline a = {0}, b = {0};
        double gap;
        cr_assert(rab_outline_circle((struct rab_point){100, 50}, r, &a, &err));
        cr_assert(rab_outline_circle((struct rab_point){100 + 0.6 * d, 50 + 0.8 * d}, s, &b, &err));
        rab_outline_turn(&b, d, (struct rab_point){100 + 0.6 * d, 50 + 0.8 * d});
        cr_assert(rab_outline_gap(&a, &b, &gap, NULL, NULL, &err));
        cr_expect(fabs(gap - fmax(0, fmax(d - r - s, r - s - d))) < 1e-13, "%g apart: %.17g", d,
                  gap);
        rab_outline_clear(&a);
        rab_outline_clear(&b);
    }
}

/* By definition: everything on a circle is as far from its centre; also from a point that is nearly
 * there. */
Test(outline_distance, from_the_centre)
{
    for (double r = 0.5; r < 1000; r *= 3) {
        struct rab_error err = {0};
        struct rab_outline arc = {.open = true};
        for (int turned = 0; turned < 8; turned++) {
            const double a = turned * 0.7, b = a + 1.5;
            arc.count = 0;
            cr_assert(rab_outline_add(&arc, 300 + r * cos(a), 40 + r * sin(a), tan(1.5 / 4), &err));
            cr_assert(rab_outline_add(&arc, 300 + r * cos(b), 40 + r * sin(b), 0, &err));
            const double there = rab_outline_distance(&arc, (struct rab_point){300, 40}, NULL);
            cr_expect(fabs(there - r) < 1e-12 * (300 + r), "%.17g of %g", there, r);
            /* Towards the middle of the arc. */
            const double off = 1e-5 * r;
            const struct rab_point near = {300 + off * cos(a + 0.75), 40 + off * sin(a + 0.75)};
            const double nearly = rab_outline_distance(&arc, near, NULL);
            cr_expect(fabs(nearly - (r - off)) < 1e-12 * (300 + r), "%.17g of %g", nearly, r - off);
        }
        rab_outline_clear(&arc);
    }
}

Test(outline_distance, what_is_empty_is_far)
{
    struct rab_error err = {0};
    struct rab_outline none = {0}, circle = {0};
    double gap = 0;
    cr_assert(rab_outline_circle((struct rab_point){0, 0}, 1, &circle, &err));
    cr_expect_eq(rab_outline_distance(&none, (struct rab_point){0, 0}, NULL), 1e300);
    cr_expect(rab_outline_gap(&none, &circle, &gap, NULL, NULL, &err));
    cr_expect_eq(gap, 1e300);
    cr_expect_eq(rab_outline_winding(&none, (struct rab_point){0, 0}), 0);
    rab_outline_clear(&circle);
}
