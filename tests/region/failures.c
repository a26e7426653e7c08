/*
 * One test for each way in which published offset and boolean code is known to fail, with the
 * kind of input that shows it. The ways come from the public trackers of general geometry
 * libraries (named by project and number); the inputs and the expected values are ours: formulas,
 * half-plane clipping, and the probes of brute.c on every result.
 */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <stdlib.h>

#include "checked.h"

static const double close_to = 1e-6;

/* ---- truth for convex polygons: the inner parallel body is what the moved half-planes leave
 * (Santalo, Integral Geometry, from memory) ---- */

struct polygon {
    struct rab_point p[4096];
    size_t n;
};

static double polygon_area(const struct polygon *g)
{
    double sum = 0;
    for (size_t i = 0; i < g->n; i++) {
        const struct rab_point a = g->p[i], b = g->p[(i + 1) % g->n];
        sum += a.x * b.y - a.y * b.x;
    }
    return sum / 2;
}

/* Keep what lies left of the line through a and b moved left by d. */
static void clip(struct polygon *g, struct rab_point a, struct rab_point b, double d)
{
    static struct polygon out;
    const double length = hypot(b.x - a.x, b.y - a.y);
    const double nx = -(b.y - a.y) / length, ny = (b.x - a.x) / length;
    out.n = 0;
    for (size_t i = 0; i < g->n; i++) {
        const struct rab_point p = g->p[i], q = g->p[(i + 1) % g->n];
        const double sp = (p.x - a.x) * nx + (p.y - a.y) * ny - d;
        const double sq = (q.x - a.x) * nx + (q.y - a.y) * ny - d;
        if (sp >= 0)
            out.p[out.n++] = p;
        if ((sp >= 0) != (sq >= 0)) {
            const double t = sp / (sp - sq);
            out.p[out.n++] = (struct rab_point){p.x + t * (q.x - p.x), p.y + t * (q.y - p.y)};
        }
    }
    *g = out;
}

static double shrunk_area(const struct rab_outline *convex, double d)
{
    static struct polygon g;
    g.n = convex->count;
    for (size_t i = 0; i < g.n; i++)
        g.p[i] = (struct rab_point){convex->vertices[i].x, convex->vertices[i].y};
    const struct polygon whole = g;
    for (size_t i = 0; i < whole.n; i++)
        clip(&g, whole.p[i], whole.p[(i + 1) % whole.n], d);
    return g.n < 3 ? 0 : polygon_area(&g);
}

/* Convex, all sides tangent to one circle of the radius about the origin: the inradius is exact,
 * and shrinking by d is scaling by 1 - d/q. */
static void add_tangential(struct shapes *list, struct seeded *numbers, size_t sides, double radius)
{
    double angle[64];
    /* No gap of half a turn: one side in each of the first three thirds, the others anywhere. */
    for (size_t i = 0; i < sides; i++)
        angle[i] = i < 3 ? 2 * RAB_PI * ((double)i + seeded_real(numbers, 0.1, 0.55)) / 3
                         : seeded_real(numbers, 0, 2 * RAB_PI);
    for (size_t i = 1; i < sides; i++)
        for (size_t k = i; k > 0 && angle[k - 1] > angle[k]; k--) {
            const double swap = angle[k];
            angle[k] = angle[k - 1];
            angle[k - 1] = swap;
        }
    struct rab_outline *o = shapes_next(list);
    for (size_t i = 0; i < sides; i++) {
        double next = angle[(i + 1) % sides];
        if (i + 1 == sides)
            next += 2 * RAB_PI;
        const double middle = (angle[i] + next) / 2, half = (next - angle[i]) / 2;
        if (half < 1e-6)
            continue;
        put(o, radius / cos(half) * cos(middle), radius / cos(half) * sin(middle), 0);
    }
}

/* A convex ring shrunk a little past its inradius turns inside out (JTS pull 706). */
Test(region_failures, inverted_ring)
{
    static const double beyond[] = {1 + 1e-6, 1.001, 1.01, 1.05, 1.1, 1.2, 1.5, 3};
    struct seeded numbers = {706};
    for (int n = 0; n < 300; n++) {
        struct shapes list = {0};
        const double q = seeded_real(&numbers, 0.5, 20);
        add_tangential(&list, &numbers, 3 + (size_t)(n % 12), q);
        shapes_place(&list, 0, 1, seeded_real(&numbers, -200, 200), seeded_real(&numbers, -200, 200));
        struct rab_region in = filled(&list, RAB_FILL_NONZERO);
        const double area = rab_region_area(&in);
        for (size_t i = 0; i < sizeof beyond / sizeof *beyond; i++) {
            struct rab_region out = grown(&in, -q * beyond[i]);
            expect_empty(&out);
            rab_region_clear(&out);
        }
        for (double share = 0.1; share < 1; share += 0.2999) {
            struct rab_region out = grown(&in, -q * share);
            expect_area(&out, area * (1 - share) * (1 - share), close_to + 1e-10 * area);
            cr_expect(eq(sz, out.count, 1));
            rab_region_clear(&out);
        }
        rab_region_clear(&in);
    }
}

/* The same for random convex polygons, whose offset loses sides on the way. */
Test(region_failures, convex_polygons_lose_sides)
{
    struct seeded numbers = {7061};
    for (int n = 0; n < 150; n++) {
        struct shapes list = {0};
        struct rab_outline *o = shapes_next(&list);
        const int corners = seeded_int(&numbers, 4, 24);
        const double a = seeded_real(&numbers, 10, 40), b = seeded_real(&numbers, 3, 40);
        for (int i = 0; i < corners; i++) {
            const double t = 2 * RAB_PI * (i + seeded_real(&numbers, 0, 0.95)) / corners;
            put(o, a * cos(t), b * sin(t), 0);
        }
        struct shapes copy = {0};
        shapes_copy(&list, &copy);
        struct rab_region in = filled(&copy, RAB_FILL_NONZERO);
        for (double d = 0.2; d < 40; d *= 1.45) {
            struct rab_region out = grown(&in, -d);
            const double want = shrunk_area(&list.items[0], d);
            expect_area(&out, want, close_to);
            cr_expect(eq(sz, out.count, want > 1e-6 ? 1 : 0));
            rab_region_clear(&out);
        }
        rab_region_clear(&in);
        shapes_clear(&list);
    }
}

/* A closed thin loop turns inside out from its inner side (JTS 876). */
Test(region_failures, thin_loops)
{
    for (double width = 4; width > 1e-4; width /= 3) {
        struct shapes list = {0};
        add_circle(&list, 0, 0, 30);
        add_circle(&list, 0, 0, 30 - width);
        struct rab_region ring = filled(&list, RAB_FILL_EVENODD);
        add_rounded(&list, 0, 0, 50, 40, 5);
        add_rounded(&list, width, width, 50 - width, 40 - width, 5 - fmin(width, 4.5));
        struct rab_region loop = filled(&list, RAB_FILL_EVENODD);
        for (double share = 0.51; share < 20; share *= 1.5) {
            struct rab_region out = grown(&ring, -width * share);
            expect_empty(&out);
            rab_region_clear(&out);
            out = grown(&loop, -width * share);
            if (share > 0.75)
                expect_empty(&out);
            rab_region_clear(&out);
        }
        for (double share = 0.1; share < 0.5; share += 0.13) {
            struct rab_region out = grown(&ring, -width * share);
            const double left = width * (1 - 2 * share);
            expect_area(&out, 2 * RAB_PI * (30 - width / 2) * left, close_to + 3e-5);
            cr_expect(eq(sz, out.count, 2));
            rab_region_clear(&out);
        }
        rab_region_clear(&ring);
        rab_region_clear(&loop);
    }
}

/* Near-triangles with an extra vertex by each tip came back empty (GEOS 984). */
Test(region_failures, extra_vertices_by_the_tips)
{
    static const struct rab_point tip[3] = {{0, 0}, {40, 3}, {15, 35}};
    for (double cut = 1; cut > 1e-6; cut /= 4) {
        struct shapes list = {0}, copy = {0};
        struct rab_outline *o = shapes_next(&list);
        for (int i = 0; i < 3; i++) {
            const struct rab_point a = tip[(i + 2) % 3], b = tip[i], c = tip[(i + 1) % 3];
            const double ab = hypot(a.x - b.x, a.y - b.y), bc = hypot(c.x - b.x, c.y - b.y);
            put(o, b.x + cut * (a.x - b.x) / ab, b.y + cut * (a.y - b.y) / ab, 0);
            put(o, b.x + cut * (c.x - b.x) / bc, b.y + cut * (c.y - b.y) / bc, 0);
        }
        shapes_copy(&list, &copy);
        struct rab_region in = filled(&copy, RAB_FILL_NONZERO);
        for (double d = 0.01; d < 12; d *= 2) {
            struct rab_region out = grown(&in, -d);
            const double want = shrunk_area(&list.items[0], d);
            expect_area(&out, want, 1e-5);
            cr_expect(eq(sz, out.count, want > 1e-6 ? 1 : 0));
            rab_region_clear(&out);
        }
        rab_region_clear(&in);
        shapes_clear(&list);
    }
}

/* Runs of edges far shorter than the distance put the result outside the input (GEOS 1208). */
Test(region_failures, runs_of_very_short_edges)
{
    struct seeded numbers = {1208};
    struct shapes list = {0};
    struct rab_outline *o = shapes_next(&list);
    /* A 60 mm square with its right side a jagged run of 1,500 edges 0.04 mm long. */
    put(o, 0, 0, 0);
    put(o, 60, 0, 0);
    for (int i = 1; i < 1500; i++)
        put(o, 60 + seeded_real(&numbers, -0.02, 0), 0.04 * i, 0);
    put(o, 60, 60, 0);
    put(o, 0, 60, 0);
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    for (double d = 0.5; d < 29; d *= 2) {
        struct rab_region out = grown(&in, -d);
        /* Between the square with the side at 59.98 and the one with it at 60. */
        cr_expect(gt(dbl, rab_region_area(&out), (60 - 2 * d) * (59.98 - 2 * d)));
        cr_expect(lt(dbl, rab_region_area(&out), (60 - 2 * d) * (60 - 2 * d)));
        struct rab_region beyond = combined(&out, &in, RAB_DIFFERENCE);
        expect_empty(&beyond);
        rab_region_clear(&beyond);
        rab_region_clear(&out);
        out = grown(&in, d);
        cr_expect(lt(dbl, rab_region_area(&out), 3600 + 240 * d + RAB_PI * d * d));
        cr_expect(gt(dbl, rab_region_area(&out), 3598.8 + 239.96 * d + RAB_PI * d * d));
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

/* A polygon that should vanish comes back as a large triangle (Boost 1262). */
Test(region_failures, vanishing_leaves_nothing)
{
    static const struct rab_point bolt[] = {{0, 0}, {30, 1}, {28, 12}, {60, 14}, {27, 15},
                                            {26, 13}, {27, 3}, {0, 1.5}};
    struct shapes list = {0};
    add_polygon(&list, 8, bolt);
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    for (double d = 2; d < 60; d *= 1.3) {
        struct rab_region out = grown(&in, -d);
        expect_empty(&out);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

/* Tiny distances on large coordinates: silently empty (Boost 1428), the hole lost at -1e-6
 * (Boost 555). */
Test(region_failures, tiny_distances)
{
    static const double places[] = {0, 1e3, 1e5, 9e5};
    for (size_t at = 0; at < sizeof places / sizeof *places; at++)
        for (double d = 1e-9; d < 2; d *= 10)
            for (int sign = -1; sign <= 1; sign += 2) {
                const double x = places[at], s = sign * d;
                struct shapes list = {0};
                add_rectangle(&list, x, x, x + 100, x + 100);
                add_rectangle(&list, x + 30, x + 30, x + 60, x + 60);
                struct rab_region in = filled(&list, RAB_FILL_EVENODD), out = grown(&in, s);
                cr_expect(eq(sz, out.count, 2));
                const double outer = 1e4 + 400 * s, hole = 900 - 120 * s;
                const double want = s > 0 ? outer + RAB_PI * s * s - (hole + 4 * s * s)
                                          : outer + 4 * s * s - (hole + RAB_PI * s * s);
                /* An edge may be off by one RAB_SAME_POINT. */
                expect_area(&out, want, 520 * RAB_SAME_POINT);
                rab_region_clear(&out);
                rab_region_clear(&in);
            }
}

/* A rectangle jittered by 1e-12 comes back empty (JTS 866). */
Test(region_failures, jittered_quadrilaterals)
{
    struct seeded numbers = {866};
    for (double jitter = 1e-14; jitter < 1e-5; jitter *= 10)
        for (int n = 0; n < 30; n++) {
            struct shapes list = {0};
            add_rectangle(&list, 10, 20, 50, 45);
            for (int i = 0; i < 4; i++) {
                list.items[0].vertices[i].x += seeded_real(&numbers, -jitter, jitter);
                list.items[0].vertices[i].y += seeded_real(&numbers, -jitter, jitter);
            }
            struct rab_region in = filled(&list, RAB_FILL_NONZERO);
            for (double d = 1e-6; d < 13; d *= 6) {
                struct rab_region out = grown(&in, -d);
                const double want = d < 12.5 ? (40 - 2 * d) * (25 - 2 * d) : 0;
                expect_area(&out, want, 150 * (jitter + RAB_SAME_POINT));
                rab_region_clear(&out);
            }
            rab_region_clear(&in);
        }
}

/* A vertex one unit in the last place off another edge (JTS 666, 120). */
Test(region_failures, vertex_beside_an_edge)
{
    static const int units[] = {-1000, -3, -1, 0, 1, 3, 1000};
    for (size_t u = 0; u < sizeof units / sizeof *units; u++)
        for (double x = 10; x < 2e5; x *= 11) {
            const double off = units[u] * (nextafter(x, 1e9) - x);
            struct shapes left = {0}, right = {0};
            add_polygon(&left, 3, (const struct rab_point[]){{0, 0}, {x, 0}, {x, 40}});
            add_polygon(&right, 3, (const struct rab_point[]){{x + off, 20}, {x + 30, 10}, {x + 30, 35}});
            struct rab_region a = filled(&left, RAB_FILL_NONZERO);
            struct rab_region b = filled(&right, RAB_FILL_NONZERO);
            struct rab_region any = combined(&a, &b, RAB_UNION);
            struct rab_region both = combined(&a, &b, RAB_INTERSECTION);
            expect_area(&any, 20 * x + 375, 1e-5);
            expect_empty(&both);
            rab_region_clear(&a);
            rab_region_clear(&b);
            rab_region_clear(&any);
            rab_region_clear(&both);
        }
}

/* Needles whose long side moves across a vertex when it is split (JTS 798). */
Test(region_failures, needles)
{
    struct seeded numbers = {798};
    for (int n = 0; n < 400; n++) {
        struct shapes left = {0}, right = {0};
        const double thin = pow(10, seeded_real(&numbers, -6, -1));
        const double y = seeded_real(&numbers, 10, 20);
        add_polygon(&left, 3, (const struct rab_point[]){{0, y}, {100, y - 3}, {100, y - 3 + thin}});
        add_polygon(&right, 4,
                    (const struct rab_point[]){{seeded_real(&numbers, 20, 40), -5},
                                               {seeded_real(&numbers, 50, 60), 0},
                                               {seeded_real(&numbers, 40, 50), y - 1.35},
                                               {seeded_real(&numbers, 10, 30), 40}});
        struct rab_region a = filled(&left, RAB_FILL_NONZERO);
        struct rab_region b = filled(&right, RAB_FILL_NONZERO);
        const double areas = rab_region_area(&a) + rab_region_area(&b);
        struct rab_region any = combined(&a, &b, RAB_UNION);
        struct rab_region both = combined(&a, &b, RAB_INTERSECTION);
        expect_area(&any, areas - rab_region_area(&both), 1e-5);
        rab_region_clear(&a);
        rab_region_clear(&b);
        rab_region_clear(&any);
        rab_region_clear(&both);
    }
}

/* Spikes where a convex join meets a concave one; points nearer than d (Clipper2 934, 526, 724).
 * The probes measure every result's edge against the distance. */
Test(region_failures, convex_meets_concave)
{
    struct shapes list = {0};
    struct rab_outline *o = shapes_next(&list);
    for (int i = 0; i < 40; i++) {
        put(o, 2.0 * i, i % 2 ? 1.5 : 0, i % 3 ? 0 : 0.4);
        put(o, 2.0 * i + 0.9, i % 2 ? 0.2 : 1.1, i % 5 ? 0 : -0.7);
    }
    put(o, 80, 20, 0);
    put(o, 0, 20, 0);
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    for (double d = 0.05; d < 12; d *= 1.5) {
        struct rab_region out = grown(&in, d);
        rab_region_clear(&out);
        out = grown(&in, -d);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

/* An edge that goes back on itself puts the join on the wrong side for one hand (Clipper2 408). */
Test(region_failures, u_turns)
{
    for (int hand = 0; hand < 2; hand++)
        for (int side = -1; side <= 1; side += 2) {
            struct shapes list = {0};
            add_polygon(&list, 7,
                        (const struct rab_point[]){{0, 0}, {40, 0}, {40, 20}, {20, 20},
                                                   {20, 20.0 + 8 * side}, {20, 20}, {0, 20}});
            if (hand)
                reverse_last(&list);
            struct rab_region in = filled(&list, RAB_FILL_NONZERO);
            expect_measures(&in, 800, 120); /* a line has no area: the antenna goes */
            expect_count(&in, 1, 4);
            for (double d = 0.5; d < 5; d += 1.5) {
                struct rab_region out = grown(&in, d);
                expect_measures(&out, 800 + 120 * d + RAB_PI * d * d, 120 + 2 * RAB_PI * d);
                rab_region_clear(&out);
                out = grown(&in, -d);
                expect_measures(&out, (40 - 2 * d) * (20 - 2 * d), 120 - 8 * d);
                rab_region_clear(&out);
            }
            rab_region_clear(&in);
        }
}

/* A thin spike grown by 1 mm: the half disc at its tip, pi/2 mm2, and both sides of it must be
 * there (general libraries lose 3.14 mm2 on a U-turn). */
Test(region_failures, spike_grown)
{
    for (double thin = 1; thin > 1e-7; thin /= 10) {
        struct shapes list = {0};
        add_polygon(&list, 7,
                    (const struct rab_point[]){{0, 0}, {40, 0}, {40, 20}, {20 + thin, 20},
                                               {20 + thin / 2, 30}, {20, 20}, {0, 20}});
        struct rab_region in = filled(&list, RAB_FILL_NONZERO), out = grown(&in, 1);
        /* Above the grown rectangle's upper edge y = 21 stand the moved sides and the tip's cap. */
        const double half = thin / 2, slope = half / 10, reach = sqrt(1 + slope * slope);
        const double angle = atan(slope);
        /* At y the side stands half (30 - y)/10 + reach from the middle, below the cap's start. */
        const double foot = slope * 9 + reach, head = slope * (0 - sin(angle)) + reach;
        const double column = (foot + head) * (9 + sin(angle));
        const double t = RAB_PI - 2 * angle, cap = (t - sin(t)) / 2;
        expect_area(&out, 800 + 120 + RAB_PI + column + cap, close_to);
        rab_region_clear(&out);
        rab_region_clear(&in);
    }
}

/* Coincident sides left unmerged on large integer coordinates (Clipper2 970, 948). */
Test(region_failures, coincident_sides)
{
    static const double units[] = {1, 7, 1000, 90000};
    for (int i = 0; i < 4; i++) {
        const double s = units[i];
        struct shapes list = {0};
        for (int row = 0; row < 5; row++)
            for (int column = 0; column < 5; column++)
                if ((row + column) % 2 == 0 || row == 2)
                    add_rectangle(&list, column * s, row * s, (column + 1) * s, (row + 1) * s);
        struct rab_region out = filled(&list, RAB_FILL_NONZERO);
        expect_area(&out, 15 * s * s, 1e-9 * s * s);
        cr_expect(eq(sz, region_spare_vertices(&out), 0));
        rab_region_clear(&out);
        /* A strip of squares is one rectangle of four vertices. */
        for (int column = 0; column < 9; column++)
            add_rectangle(&list, column * s, -3 * s, (column + 1) * s, 2 * s);
        out = filled(&list, RAB_FILL_NONZERO);
        expect_area(&out, 45 * s * s, 1e-9 * s * s);
        expect_count(&out, 1, 4);
        rab_region_clear(&out);
    }
}

/* A clip slightly larger than the subject along one side (Clipper2 954). */
Test(region_failures, sliver_clips)
{
    for (double more = 1e-9; more < 1; more *= 4)
        for (int turn = 0; turn < 4; turn++) {
            struct shapes left = {0}, right = {0};
            add_rectangle(&left, 0, 0, 50, 30);
            add_polygon(&right, 4,
                        (const struct rab_point[]){{10, 10}, {50, 10}, {50 + more, 30 + more}, {10, 30}});
            shapes_place(&left, 0.7 * turn, 1, 0, 0);
            shapes_place(&right, 0.7 * turn, 1, 0, 0);
            struct rab_region a = filled(&left, RAB_FILL_NONZERO);
            struct rab_region b = filled(&right, RAB_FILL_NONZERO);
            struct rab_region rest = combined(&a, &b, RAB_DIFFERENCE);
            struct rab_region beyond = combined(&b, &a, RAB_DIFFERENCE);
            struct rab_region both = combined(&a, &b, RAB_INTERSECTION);
            struct rab_region any = combined(&a, &b, RAB_UNION);
            expect_area(&both, 800, 1e-5);
            expect_area(&rest, 700, 1e-5);
            /* triangles along the right side and along the top */
            expect_area(&beyond, 30 * more, 1e-5);
            expect_area(&any, 1500 + 30 * more, 1e-5);
            rab_region_clear(&a);
            rab_region_clear(&b);
            rab_region_clear(&rest);
            rab_region_clear(&beyond);
            rab_region_clear(&both);
            rab_region_clear(&any);
        }
}

/* Collinear overlaps within one outline drop edges (Clipper2 722). */
Test(region_failures, collinear_overlaps_in_one_outline)
{
    /* Along y = 0: 0 to 30, back to 10, on to 40. */
    struct shapes list = {0};
    add_polygon(&list, 6,
                (const struct rab_point[]){{0, 0}, {30, 0}, {10, 0}, {40, 0}, {40, 10}, {0, 10}});
    struct rab_region out = filled(&list, RAB_FILL_NONZERO);
    expect_measures(&out, 400, 100);
    expect_count(&out, 1, 4);
    rab_region_clear(&out);
    /* Two squares in one line, joined along a side that is run twice. */
    add_polygon(&list, 8,
                (const struct rab_point[]){{0, 0}, {10, 0}, {10, 10}, {20, 10}, {20, 0}, {10, 0},
                                           {10, 10}, {0, 10}});
    out = filled(&list, RAB_FILL_EVENODD);
    expect_area(&out, 200, close_to);
    rab_region_clear(&out);
    /* The same arc there, back and there again. */
    struct rab_outline *o = shapes_next(&list);
    put(o, -10, 0, 1);
    put(o, 10, 0, -1);
    put(o, -10, 0, 1);
    put(o, 10, 0, 0);
    out = filled(&list, RAB_FILL_NONZERO);
    expect_measures(&out, RAB_PI * 50, 20 + RAB_PI * 10);
    expect_count(&out, 1, 2);
    rab_region_clear(&out);
}

/* Two pieces sharing an edge, an antenna on one (Boost 1229, 1362). */
Test(region_failures, shared_edges_and_antennas)
{
    struct shapes left = {0}, right = {0};
    add_polygon(&left, 6,
                (const struct rab_point[]){{0, 0}, {20, 0}, {20, 20}, {30, 20}, {20, 20}, {0, 20}});
    add_polygon(&right, 6,
                (const struct rab_point[]){{20, 0}, {40, 0}, {40, 20}, {20, 20}, {20, 30}, {20, 20}});
    struct rab_region a = filled(&left, RAB_FILL_NONZERO), b = filled(&right, RAB_FILL_NONZERO);
    expect_count(&a, 1, 4);
    expect_count(&b, 1, 4);
    struct rab_region any = combined(&a, &b, RAB_UNION), both = combined(&a, &b, RAB_INTERSECTION);
    struct rab_region one = combined(&a, &b, RAB_EXCLUSIVE);
    expect_measures(&any, 800, 120);
    expect_count(&any, 1, 4);
    expect_empty(&both);
    expect_measures(&one, 800, 120);
    expect_count(&one, 1, 4);
    rab_region_clear(&a);
    rab_region_clear(&b);
    rab_region_clear(&any);
    rab_region_clear(&both);
    rab_region_clear(&one);

    /* Two half discs sharing their diameter, and one arc shared by two pieces. */
    struct rab_outline *o = shapes_next(&left);
    put(o, -10, 0, 1);
    put(o, 10, 0, 0);
    o = shapes_next(&right);
    put(o, 10, 0, 1);
    put(o, -10, 0, 0);
    a = filled(&left, RAB_FILL_NONZERO);
    b = filled(&right, RAB_FILL_NONZERO);
    any = combined(&a, &b, RAB_UNION);
    expect_measures(&any, RAB_PI * 100, RAB_PI * 20);
    expect_count(&any, 1, 2);
    rab_region_clear(&b);
    rab_region_clear(&any);
    o = shapes_next(&right);
    put(o, -10, 0, 1);
    put(o, 10, 0, 0);
    put(o, 30, -30, 0);
    put(o, -30, -30, 0);
    b = filled(&right, RAB_FILL_NONZERO);
    any = combined(&a, &b, RAB_UNION);
    expect_measures(&any, 40 * 30, 60 + 2 * hypot(20, 30) + 20);
    expect_count(&any, 1, 4);
    rab_region_clear(&a);
    rab_region_clear(&b);
    rab_region_clear(&any);
}

/* Buffers whose output crosses itself (Boost 1192, 1382): combs, spirals and zigzags whose parts
 * meet when they grow. */
Test(region_failures, parts_that_meet_when_grown)
{
    struct shapes list = {0};
    struct rab_outline *o = shapes_next(&list);
    put(o, 0, 0, 0);
    put(o, 100, 0, 0);
    for (int i = 9; i >= 0; i--) { /* a comb with teeth 4 wide at gaps of 6 */
        put(o, 10.0 * i + 4, i == 9 ? 0 : 5, 0);
        put(o, 10.0 * i + 4, 30 + i, 0);
        put(o, 10.0 * i, 30 + i, 0);
        if (i > 0)
            put(o, 10.0 * i, 5, 0);
    }
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    for (double d = 0.5; d < 8; d += 0.5) {
        struct rab_region out = grown(&in, d);
        rab_region_clear(&out);
        out = grown(&in, -d);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);

    /* A spiral band of half circles. */
    o = shapes_next(&list);
    for (int i = 0; i < 9; i++)
        put(o, (i % 2 ? 1 : -1) * (5.0 + 3 * i), 0, 1);
    for (int i = 8; i >= 0; i--)
        put(o, (i % 2 ? 1 : -1) * (6.5 + 3 * i), 0, i ? -1 : 0);
    in = filled(&list, RAB_FILL_NONZERO);
    for (double d = 0.25; d < 4; d += 0.25) {
        struct rab_region out = grown(&in, d);
        rab_region_clear(&out);
        out = grown(&in, -d);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

/* An island's offset lands exactly on the outer edge's (CavalierContours 35: 0.5 fails, 0.4 and
 * 0.6 work). */
Test(region_failures, island_lands_on_the_edge)
{
    static const double distances[] = {0.4, 0.49999999, 0.5, 0.50000001, 0.6};
    for (int i = 0; i < 5; i++) {
        const double d = distances[i];
        struct shapes list = {0};
        add_rectangle(&list, 0, 0, 20, 20);
        add_rectangle(&list, 1, 1, 19, 19);
        add_rectangle(&list, 2, 2, 18, 18);
        /* A frame 1 wide with a plate 1 inside it: grown they meet, shrunk the frame goes. From
         * d = 0.5 until sqrt 2 (1 - d) = d only the corners are left: of the gap when growing, of
         * the frame when shrinking; each is a square less a quarter disc. */
        const double corners = (4 - RAB_PI) / 4;
        struct rab_region in = filled(&list, RAB_FILL_EVENODD), out = grown(&in, d);
        const double gap = d < 0.5   ? pow(18 - 2 * d, 2) - (256 + 64 * d + RAB_PI * d * d)
                           : d < 0.6 ? corners
                                     : 0;
        expect_area(&out, 400 + 80 * d + RAB_PI * d * d - gap, 1e-5);
        cr_expect(d < 0.49 || d > 0.51 ? out.count == (d < 0.5 ? 3u : 1u) : out.count >= 2);
        rab_region_clear(&out);
        out = grown(&in, -d);
        const double frame = d < 0.5   ? pow(20 - 2 * d, 2) - (324 + 72 * d + RAB_PI * d * d)
                             : d < 0.6 ? corners
                                       : 0;
        expect_area(&out, pow(16 - 2 * d, 2) + frame, 1e-5);
        rab_region_clear(&out);
        rab_region_clear(&in);

        /* Circles: an island of radius 3 in a hole of radius 4, and a hole of 9 in a disc of 10. */
        add_circle(&list, 0, 0, 10);
        add_circle(&list, 0, 0, 9);
        add_circle(&list, 0, 0, 4);
        add_circle(&list, 0, 0, 3);
        in = filled(&list, RAB_FILL_EVENODD);
        out = grown(&in, -d);
        const double want = d < 0.5 ? RAB_PI * (pow(10 - d, 2) - pow(9 + d, 2) + pow(4 - d, 2) -
                                                pow(3 + d, 2))
                                    : 0;
        expect_area(&out, want, 1e-5);
        rab_region_clear(&out);
        out = grown(&in, d);
        rab_region_clear(&out);
        rab_region_clear(&in);

        /* A round island 1 mm inside a square hole: touches it in four points at d = 0.5. */
        add_rectangle(&list, -10, -10, 10, 10);
        add_rectangle(&list, -6, -6, 6, 6);
        add_circle(&list, 0, 0, 5);
        in = filled(&list, RAB_FILL_EVENODD);
        out = grown(&in, d);
        rab_region_clear(&out);
        rab_region_clear(&in);
    }
}

/* Bulges over 1 are not split (cavalier_contours 13). A result holds none. */
Test(region_failures, arcs_over_half_a_circle)
{
    for (double angle = 3.2; angle < 6.28; angle += 0.11) {
        struct shapes list = {0};
        struct rab_outline *o = shapes_next(&list);
        const double r = 20, half = angle / 2;
        put(o, r * cos(-half), r * sin(-half), tan(angle / 4));
        put(o, r * cos(half), r * sin(half), 0);
        struct rab_region in = filled(&list, RAB_FILL_NONZERO);
        const double area = r * r * (angle - sin(angle)) / 2, chord = 2 * r * sin(half);
        expect_measures(&in, area, r * angle + chord);
        expect_count(&in, 1, 1 + arc_vertices(angle));
        for (double d = 1; d < 15; d *= 2) { /* convex: Steiner */
            struct rab_region out = grown(&in, d);
            expect_measures(&out, area + (r * angle + chord) * d + RAB_PI * d * d,
                            r * angle + chord + 2 * RAB_PI * d);
            expect_count(&out, 1, 3 + arc_vertices(angle));
            rab_region_clear(&out);
            /* Shrunk it is a smaller disc cut by a line further in. */
            out = grown(&in, -d);
            const double s = r - d, line = r * cos(half) + d; /* the disc right of x = line */
            const double left = 2 * acos(line / s);
            expect_measures(&out, s * s * (left - sin(left)) / 2, s * left + 2 * s * sin(left / 2));
            expect_count(&out, 1, 1 + arc_vertices(left));
            rab_region_clear(&out);
        }
        rab_region_clear(&in);
    }
}

/* An offset of an offset whose vertices are 5e-9 apart (cavalier_contours 77). */
Test(region_failures, offset_of_an_offset)
{
    for (double gap = 5e-9; gap < 1e-2; gap *= 7) {
        struct shapes list = {0};
        struct rab_outline *o = shapes_next(&list);
        put(o, 0, 0, 0);
        put(o, 60, 0, 0);
        put(o, 60 + gap, gap, 0.3);
        put(o, 60, 40, 0);
        put(o, 60 - gap, 40, 0);
        put(o, 0, 40, 0);
        put(o, -gap / 2, 20, 0);
        struct rab_region in = filled(&list, RAB_FILL_NONZERO), last = {0};
        struct rab_error err = {0};
        cr_assert(rab_region_copy(&in, &last, &err));
        const double area = rab_region_area(&in), perimeter = rab_region_perimeter(&in);
        for (int n = 1; n <= 12; n++) {
            struct rab_region next = grown(&last, 0.75);
            rab_region_clear(&last);
            last = next;
            const double d = 0.75 * n;
            expect_area(&last, area + perimeter * d + RAB_PI * d * d, 1e-4);
        }
        for (int n = 0; n < 12; n++) {
            struct rab_region next = grown(&last, -0.75);
            rab_region_clear(&last);
            last = next;
        }
        expect_area(&last, area, 1e-4); /* closing a convex piece gives it back */
        rab_region_clear(&last);
        rab_region_clear(&in);
    }
}

/* d = 2e-5 with a fillet of the same order (CavalierContours 59). */
Test(region_failures, fillets_of_the_order_of_the_distance)
{
    for (double d = 1e-6; d < 1e-3; d *= 2)
        for (double share = 0.5; share <= 2; share *= 1.1892071150027210667) {
            const double r = d * share;
            struct shapes list = {0};
            add_rounded(&list, 0, 0, 30, 20, r);
            struct rab_region in = filled(&list, RAB_FILL_NONZERO), out = grown(&in, -d);
            const double s = r > d ? r - d : 0;
            expect_area(&out, (30 - 2 * d) * (20 - 2 * d) - (4 - RAB_PI) * s * s, 2e-5);
            cr_expect(eq(sz, out.count, 1));
            rab_region_clear(&out);
            out = grown(&in, d);
            const double more = r + d;
            expect_area(&out, (30 + 2 * d) * (20 + 2 * d) - (4 - RAB_PI) * more * more, 2e-5);
            rab_region_clear(&out);
            rab_region_clear(&in);
        }
}

/* Union with a ring 1e-6 wide is silently empty in a general library. */
Test(region_failures, ring_of_width_1e_6)
{
    for (double width = 1e-5; width > 2e-7; width /= 1.7) {
        struct shapes left = {0}, right = {0};
        add_circle(&left, 0, 0, 30);
        add_circle(&left, 0, 0, 30 - width);
        add_rectangle(&right, 20, -5, 50, 5);
        struct rab_region ring = filled(&left, RAB_FILL_EVENODD);
        struct rab_region bar = filled(&right, RAB_FILL_NONZERO);
        expect_area(&ring, 60 * RAB_PI * width, 60 * RAB_PI * RAB_SAME_POINT);
        struct rab_region any = combined(&ring, &bar, RAB_UNION);
        expect_area(&any, 300 + (60 * RAB_PI - 10) * width, 250 * RAB_SAME_POINT + 1e-6);
        cr_expect(eq(sz, any.count, 2));
        rab_region_clear(&ring);
        rab_region_clear(&bar);
        rab_region_clear(&any);
    }
}

/* A page with openings, shrunk: a general library added a piece by an opening's corner. */
Test(region_failures, nothing_added_by_corners)
{
    struct shapes list = {0};
    double openings = 0;
    add_rectangle(&list, 0, 0, 304.8, 304.8);
    for (int row = 0; row < 5; row++)
        for (int column = 0; column < 5; column++) {
            const double w = 20 + 4 * column, h = 30 + 2 * row;
            add_rectangle(&list, 15 + 56 * column, 15 + 56 * row, 15 + 56 * column + w,
                          15 + 56 * row + h);
            openings += w * h;
        }
    struct rab_region in = filled(&list, RAB_FILL_EVENODD);
    const double around = rab_region_perimeter(&in) - 4 * 304.8;
    for (double d = 0.25; d < 8; d *= 2) {
        struct rab_region out = grown(&in, -d);
        expect_area(&out, pow(304.8 - 2 * d, 2) - openings - around * d - 25 * RAB_PI * d * d,
                    1e-5);
        cr_expect(eq(sz, out.count, 26));
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}
