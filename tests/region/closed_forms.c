/*
 * Regions against formulas. Where a book is named "from memory", the formula was not looked up
 * there; each is elementary enough to be derived on a page.
 */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>

#include "checked.h"

static const double close_to = 1e-6;

/* ---- Steiner 1840 (Schneider, Convex Bodies, from memory): a convex outline grown round by d has
 * area A + P d + pi d^2 and perimeter P + 2 pi d ---- */

static void expect_steiner(struct shapes *list, double area, double perimeter, size_t vertices)
{
    static const double distances[] = {1e-6, 0.001, 0.1, 1, 3, 4, 5, 17.25, 100};
    struct rab_region in = filled(list, RAB_FILL_NONZERO);
    expect_measures(&in, area, perimeter);

    for (size_t i = 0; i < sizeof distances / sizeof *distances; i++) {
        const double d = distances[i];
        struct rab_region out = grown(&in, d);
        const double want = area + perimeter * d + RAB_PI * d * d;
        cr_expect(epsilon_eq(dbl, rab_region_area(&out), want, 1e-6 + 1e-11 * want));
        cr_expect(
            epsilon_eq(dbl, rab_region_perimeter(&out), perimeter + 2 * RAB_PI * d, close_to));
        cr_expect(eq(sz, out.count, 1));
        if (d > 1e-5)
            expect_count(&out, 1, vertices);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

Test(region_steiner, circle)
{
    struct shapes list = {0};
    add_circle(&list, 12, -7, 20);
    expect_steiner(&list, RAB_PI * 400, RAB_PI * 40, 2);
}

Test(region_steiner, square)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 60, 60);
    expect_steiner(&list, 3600, 240, 8);
}

Test(region_steiner, arch)
{
    struct shapes list = {0};
    add_arch(&list, 3, 4, 40, 60);
    expect_steiner(&list, 2400 + RAB_PI * 200, 160 + RAB_PI * 20, 6);
}

/* Figures of an arch 40 wide, 60 to the springing, by the same formula worked out by hand. */
Test(region_steiner, arch_in_figures)
{
    static const double table[][3] = {{3, 3725.088424, 241.681409},
                                      {4, 3969.911425, 247.964594},
                                      {5, 4221.017612, 254.247780}};
    struct shapes list = {0};
    add_arch(&list, 0, 0, 40, 60);
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    for (int i = 0; i < 3; i++) {
        struct rab_region out = grown(&in, table[i][0]);
        expect_measures(&out, table[i][1], table[i][2]);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

Test(region_steiner, rectangle_in_figures)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 60, 90);
    struct rab_region in = filled(&list, RAB_FILL_NONZERO), out = grown(&in, 4);
    expect_measures(&out, 6650.265482, 325.132741);
    rab_region_clear(&out);
    rab_region_clear(&in);
}

Test(region_steiner, stadium)
{
    struct shapes list = {0};
    add_stadium(&list, 5, 5, 30, 10);
    expect_steiner(&list, RAB_PI * 100 + 600, 60 + RAB_PI * 20, 4);
}

Test(region_steiner, triangle)
{
    struct shapes list = {0};
    add_polygon(&list, 3, (const struct rab_point[]){{0, 0}, {30, 0}, {0, 40}});
    expect_steiner(&list, 600, 120, 6);
}

/* Reuleaux 1876; Barbier 1860 (from memory): constant width s has perimeter pi s. */
Test(region_steiner, reuleaux_triangle)
{
    struct shapes list = {0};
    add_reuleaux(&list, 1, 1, 30);
    expect_steiner(&list, (RAB_PI - sqrt(3)) * 450, RAB_PI * 30, 6);
}

Test(region_steiner, rounded_rectangle)
{
    struct shapes list = {0};
    add_rounded(&list, -10, -20, 50, 40, 7);
    expect_steiner(&list, 3600 - (4 - RAB_PI) * 49, 240 - 56 + 14 * RAB_PI, 8);
}

/* Area n r^2 sin(2 pi/n)/2, perimeter 2 n r sin(pi/n): mensuration tables (from memory). */
Test(region_steiner, regular_polygons)
{
    for (size_t n = 3; n <= 100; n = n < 12 ? n + 1 : 2 * n) {
        const double r = 25, m = (double)n;
        struct shapes list = {0};
        add_regular(&list, n, 2, 3, r, 0.1);
        expect_steiner(&list, m * r * r * sin(2 * RAB_PI / m) / 2, 2 * m * r * sin(RAB_PI / m),
                       2 * n);
    }
}

/* ---- Weyl 1939, Federer 1959 (from memory): below the reach, A(d) = A + d P + chi pi d^2 with
 * chi = pieces less holes ---- */

Test(region_weyl, holes)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 100, 80);
    add_circle(&list, 25, 40, 12);
    add_stadium(&list, 65, 20, 20, 9);
    add_rounded(&list, 50, 45, 90, 70, 8);
    struct rab_region in = filled(&list, RAB_FILL_EVENODD);
    const double area = 8000 - RAB_PI * 144 - (RAB_PI * 81 + 360) - (1000 - (4 - RAB_PI) * 64);
    const double perimeter = 360 + RAB_PI * 24 + (40 + RAB_PI * 18) + (130 - 64 + 16 * RAB_PI);
    expect_measures(&in, area, perimeter);
    for (double d = 0.25; d < 8; d += 0.75) {
        struct rab_region out = grown(&in, d);
        expect_measures(&out, area + d * perimeter - 2 * RAB_PI * d * d,
                        perimeter - 4 * RAB_PI * d);
        expect_count(&out, 4, 8 + 2 + 4 + 8);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

/* Shrinking is growing what is outside: the holes are convex, the outer edge has no reach. */
Test(region_weyl, frame_shrunk)
{
    struct shapes list = {0};
    add_circle(&list, 0, 0, 50);
    add_rectangle(&list, -10, -15, 10, 15);
    struct rab_region in = filled(&list, RAB_FILL_EVENODD);
    for (double d = 0.5; d < 15.9; d += 1.1) {
        struct rab_region out = grown(&in, -d);
        const double hole = 600 + 100 * d + RAB_PI * d * d;
        expect_measures(&out, RAB_PI * (50 - d) * (50 - d) - hole,
                        2 * RAB_PI * (50 - d) + 100 + 2 * RAB_PI * d);
        expect_count(&out, 2, 2 + 8);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

/* ---- shrinking ---- */

/* (w - 2d)(h - 2d), the inner parallel body: Santalo, Integral Geometry (from memory). */
Test(region_shrink, rectangle)
{
    struct shapes list = {0};
    add_rectangle(&list, 10, 20, 70, 110);
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    for (double d = 0.125; d < 30; d *= 1.7) {
        struct rab_region out = grown(&in, -d);
        expect_measures(&out, (60 - 2 * d) * (90 - 2 * d), 300 - 8 * d);
        expect_count(&out, 1, 4);
        rab_region_clear(&out);
    }
    struct rab_region gone = grown(&in, -30.001);
    expect_empty(&gone);
    rab_region_clear(&gone);
    rab_region_clear(&in);
}

/* A triangle shrinks to a similar one: A (1 - d/q)^2 with the inradius q = 2 A / P. */
Test(region_shrink, triangle)
{
    struct shapes list = {0};
    add_polygon(&list, 3, (const struct rab_point[]){{0, 0}, {30, 0}, {0, 40}});
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    for (double d = 0.5; d < 10; d += 0.5) {
        struct rab_region out = grown(&in, -d);
        expect_measures(&out, 600 * pow(1 - d / 10, 2), 120 * (1 - d / 10));
        expect_count(&out, 1, 3);
        rab_region_clear(&out);
    }
    for (double d = 10.0001; d < 15; d += 0.5) {
        struct rab_region out = grown(&in, -d);
        expect_empty(&out);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

Test(region_shrink, arch_keeps_its_head)
{
    struct shapes list = {0};
    add_arch(&list, 0, 0, 40, 60);
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    for (double d = 1; d < 20; d += 1) {
        struct rab_region out = grown(&in, -d);
        const double w = 40 - 2 * d, r = 20 - d;
        expect_measures(&out, w * (60 - d) + RAB_PI * r * r / 2, w + 2 * (60 - d) + RAB_PI * r);
        expect_count(&out, 1, 4);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

/* A lens of two circles shrinks to the lens of the smaller circles. */
Test(region_shrink, lens)
{
    struct shapes list = {0};
    add_circle(&list, -6, 0, 10);
    add_circle(&list, 6, 0, 10);
    struct shapes left = {0}, right = {0};
    shapes_copy(&(struct shapes){&list.items[0], 1, 1}, &left);
    shapes_copy(&(struct shapes){&list.items[1], 1, 1}, &right);
    shapes_clear(&list);
    struct rab_region a = filled(&left, RAB_FILL_NONZERO), b = filled(&right, RAB_FILL_NONZERO);
    struct rab_region in = combined(&a, &b, RAB_INTERSECTION);
    for (double d = 0; d < 4; d += 0.5) {
        struct rab_region out = grown(&in, -d);
        const double r = 10 - d, angle = 2 * acos(6 / r);
        expect_measures(&out, r * r * (angle - sin(angle)), 2 * r * angle);
        expect_count(&out, 1, 2);
        rab_region_clear(&out);
    }
    struct rab_region gone = grown(&in, -4.00001);
    expect_empty(&gone);
    rab_region_clear(&gone);
    rab_region_clear(&in);
    rab_region_clear(&a);
    rab_region_clear(&b);
}

/* ---- opening and closing: Serra 1982 (from memory) ---- */

Test(region_opening, rectangle_by_a_disc_is_the_rounded_rectangle)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 60, 90);
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    for (double r = 0.5; r < 30; r += 2.75) {
        struct rab_region less = grown(&in, -r), out = grown(&less, r);
        expect_measures(&out, 5400 - (4 - RAB_PI) * r * r, 300 - 8 * r + 2 * RAB_PI * r);
        expect_count(&out, 1, 8);
        rab_region_clear(&less);
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

static struct rab_region rose(void)
{
    struct shapes list = {0};
    add_scalloped(&list, -60, -60, 120, 12, 3);
    add_foil(&list, 5, 0, 0, 15, 12, 0.2);
    add_arch(&list, -45, -50, 14, 22);
    add_lancet(&list, 25, 28, 18, 8, 1.2);
    add_regular(&list, 7, -35, 35, 14, 0.3);
    return filled(&list, RAB_FILL_EVENODD);
}

Test(region_opening, opening_is_contained_and_closing_contains)
{
    struct rab_region in = rose();
    const double area = rab_region_area(&in);
    for (double r = 0.3; r < 9; r *= 1.6) {
        struct rab_region less = grown(&in, -r), opened = grown(&less, r);
        struct rab_region more = grown(&in, r), closed = grown(&more, -r);
        struct rab_region beyond = combined(&opened, &in, RAB_DIFFERENCE);
        struct rab_region missing = combined(&in, &closed, RAB_DIFFERENCE);
        cr_expect(lt(dbl, rab_region_area(&beyond), close_to));
        cr_expect(lt(dbl, rab_region_area(&missing), close_to));
        cr_expect(lt(dbl, rab_region_area(&opened), area + close_to));
        cr_expect(gt(dbl, rab_region_area(&closed), area - close_to));

        /* Opening and closing again changes nothing: both are idempotent. */
        struct rab_region again = grown(&opened, -r), twice = grown(&again, r);
        expect_measures(&twice, rab_region_area(&opened), rab_region_perimeter(&opened));
        rab_region_clear(&less);
        rab_region_clear(&opened);
        rab_region_clear(&more);
        rab_region_clear(&closed);
        rab_region_clear(&beyond);
        rab_region_clear(&missing);
        rab_region_clear(&again);
        rab_region_clear(&twice);
    }
    rab_region_clear(&in);
}

/* Minkowski sums of discs add: grown by d1, then by d2, is grown by d1 + d2. */
Test(region_grow, distances_add)
{
    struct rab_region in = rose();
    static const double pairs[][2] = {{0.5, 0.5}, {1, 2}, {0.1, 4.4}, {3, 5}, {-0.5, -0.75}, {-1, -2}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        struct rab_region one = grown(&in, pairs[i][0]), two = grown(&one, pairs[i][1]);
        struct rab_region both = grown(&in, pairs[i][0] + pairs[i][1]);
        expect_measures(&two, rab_region_area(&both), rab_region_perimeter(&both));
        expect_count(&two, both.count, rab_region_vertices(&both));
        struct rab_region apart = combined(&two, &both, RAB_EXCLUSIVE);
        cr_expect(lt(dbl, rab_region_area(&apart), close_to));
        rab_region_clear(&apart);
        rab_region_clear(&one);
        rab_region_clear(&two);
        rab_region_clear(&both);
    }
    rab_region_clear(&in);
}

/* Growing spreads over unions: grow(A or B) = grow(A) or grow(B) (Minkowski). */
Test(region_grow, spreads_over_union)
{
    struct shapes left = {0}, right = {0};
    add_arch(&left, 0, 0, 30, 30);
    add_foil(&right, 3, 25, 20, 10, 12, 0);
    struct rab_region a = filled(&left, RAB_FILL_NONZERO), b = filled(&right, RAB_FILL_NONZERO);
    struct rab_region both = combined(&a, &b, RAB_UNION);
    for (double d = 0.5; d < 12; d += 2.3) {
        struct rab_region whole = grown(&both, d), ga = grown(&a, d), gb = grown(&b, d);
        struct rab_region parts = combined(&ga, &gb, RAB_UNION);
        expect_measures(&parts, rab_region_area(&whole), rab_region_perimeter(&whole));
        expect_count(&parts, whole.count, rab_region_vertices(&whole));
        rab_region_clear(&whole);
        rab_region_clear(&ga);
        rab_region_clear(&gb);
        rab_region_clear(&parts);
    }
    rab_region_clear(&a);
    rab_region_clear(&b);
    rab_region_clear(&both);
}

Test(region_grow, nothing_by_nothing)
{
    struct rab_region in = rose(), out = grown(&in, 0), empty = {0};
    expect_measures(&out, rab_region_area(&in), rab_region_perimeter(&in));
    expect_count(&out, in.count, rab_region_vertices(&in));
    rab_region_clear(&out);
    out = grown(&empty, 3);
    expect_empty(&out);
    rab_region_clear(&out);
    rab_region_clear(&in);
}

/* ---- areas by formula: mensuration tables (from memory) ---- */

Test(region_area, annulus_sector_segment_stadium)
{
    struct shapes list = {0};
    add_circle(&list, 0, 0, 30);
    add_circle(&list, 0, 0, 12.5);
    struct rab_region ring = filled(&list, RAB_FILL_EVENODD);
    expect_measures(&ring, RAB_PI * (900 - 156.25), RAB_PI * 85);
    expect_count(&ring, 2, 4);

    /* A wedge takes a sector of the annulus: (R^2 - r^2) t / 2. */
    add_polygon(&list, 3,
                (const struct rab_point[]){
                    {0, 0}, {100, 0}, {100 * cos(1.1), 100 * sin(1.1)}});
    struct rab_region wedge = filled(&list, RAB_FILL_NONZERO);
    struct rab_region sector = combined(&ring, &wedge, RAB_INTERSECTION);
    expect_measures(&sector, (900 - 156.25) * 1.1 / 2, 2 * 17.5 + 42.5 * 1.1);
    expect_count(&sector, 1, 4);

    /* A line across a disc cuts the segment r^2 (t - sin t)/2 off. */
    add_circle(&list, 0, 0, 30);
    struct rab_region disc = filled(&list, RAB_FILL_NONZERO);
    add_rectangle(&list, -50, 30 * cos(0.7), 50, 60);
    struct rab_region above = filled(&list, RAB_FILL_NONZERO);
    struct rab_region segment = combined(&disc, &above, RAB_INTERSECTION);
    expect_measures(&segment, 450 * (1.4 - sin(1.4)), 42 + 60 * sin(0.7));
    expect_count(&segment, 1, 2);

    /* A line grown is not a region; a rectangle with discs at its ends is a stadium. */
    add_rectangle(&list, -20, -8, 20, 8);
    add_circle(&list, -20, 0, 8);
    add_circle(&list, 20, 0, 8);
    struct rab_region stadium = filled(&list, RAB_FILL_NONZERO);
    expect_measures(&stadium, RAB_PI * 64 + 640, 80 + RAB_PI * 16);
    expect_count(&stadium, 1, 4);
    rab_region_clear(&ring);
    rab_region_clear(&wedge);
    rab_region_clear(&sector);
    rab_region_clear(&disc);
    rab_region_clear(&above);
    rab_region_clear(&segment);
    rab_region_clear(&stadium);
}

/* Lens of two circles: circle-circle intersection, mensuration (from memory). */
static double lens(double r, double s, double d)
{
    const double k = sqrt((-d + r + s) * (d + r - s) * (d - r + s) * (d + r + s));
    return r * r * acos((d * d + r * r - s * s) / (2 * d * r)) +
           s * s * acos((d * d + s * s - r * r) / (2 * d * s)) - k / 2;
}

Test(region_area, lens_and_inclusion_exclusion)
{
    for (double r = 10, s = 4; s < 25; s += 3)
        for (double d = fabs(r - s) + 0.01; d < r + s; d += 1.7) {
            struct shapes left = {0}, right = {0};
            add_circle(&left, 3, 5, r);
            add_circle(&right, 3 + d * cos(s), 5 + d * sin(s), s);
            struct rab_region a = filled(&left, RAB_FILL_NONZERO);
            struct rab_region b = filled(&right, RAB_FILL_NONZERO);
            struct rab_region both = combined(&a, &b, RAB_INTERSECTION);
            struct rab_region any = combined(&a, &b, RAB_UNION);
            struct rab_region rest = combined(&a, &b, RAB_DIFFERENCE);
            struct rab_region one = combined(&a, &b, RAB_EXCLUSIVE);
            const double common = lens(r, s, d), disc = RAB_PI * r * r, other = RAB_PI * s * s;
            cr_expect(epsilon_eq(dbl, rab_region_area(&both), common, close_to));
            cr_expect(epsilon_eq(dbl, rab_region_area(&any), disc + other - common, close_to));
            cr_expect(epsilon_eq(dbl, rab_region_area(&rest), disc - common, close_to));
            cr_expect(epsilon_eq(dbl, rab_region_area(&one), disc + other - 2 * common, close_to));
            /* Angles of the arcs inside the other circle. */
            const double in_b = 2 * acos((d * d + r * r - s * s) / (2 * d * r));
            const double in_a = 2 * acos((d * d + s * s - r * r) / (2 * d * s));
            const size_t a_in = arc_vertices(in_b), a_out = arc_vertices(2 * RAB_PI - in_b);
            const size_t b_in = arc_vertices(in_a), b_out = arc_vertices(2 * RAB_PI - in_a);
            expect_count(&both, 1, a_in + b_in);
            expect_count(&any, 1, a_out + b_out);
            expect_count(&rest, 1, a_out + b_in);
            expect_count(&one, 2, a_in + a_out + b_in + b_out);
            rab_region_clear(&a);
            rab_region_clear(&b);
            rab_region_clear(&both);
            rab_region_clear(&any);
            rab_region_clear(&rest);
            rab_region_clear(&one);
        }
}

/* Square of side s and four half discs on its sides: s^2 (1 + pi/2). */
Test(region_area, quatrefoil)
{
    struct shapes list = {0};
    add_rectangle(&list, -10, -10, 10, 10);
    add_circle(&list, 10, 0, 10);
    add_circle(&list, 0, 10, 10);
    add_circle(&list, -10, 0, 10);
    add_circle(&list, 0, -10, 10);
    struct rab_region foil = filled(&list, RAB_FILL_NONZERO);
    expect_measures(&foil, 400 * (1 + RAB_PI / 2), RAB_PI * 40);
    expect_count(&foil, 1, 4);
    rab_region_clear(&foil);
}

Test(region_area, star_by_both_rules)
{
    /* Pentagram {5/2} of circumradius r: its core is a pentagon of radius r cos(72)/cos(36), its
     * points are five triangles. Nonzero fills all; even-odd leaves the core out. */
    const double r = 40, core = r * cos(2 * RAB_PI / 5) / cos(RAB_PI / 5);
    const double pentagon = 5 * core * core * sin(2 * RAB_PI / 5) / 2;
    const double side = 2 * core * sin(RAB_PI / 5), tip = r - core * cos(RAB_PI / 5);
    const double points = 5 * side * tip / 2;
    struct shapes list = {0};
    add_star(&list, 5, 2, 1, 2, r, 0.4);
    struct rab_region nonzero = {0}, evenodd = {0};
    struct rab_error err = {0};
    cr_assert(rab_region_fill(list.items, 1, RAB_FILL_NONZERO, &nonzero, &err), "%s", err.text);
    cr_assert(rab_region_fill(list.items, 1, RAB_FILL_EVENODD, &evenodd, &err), "%s", err.text);
    cr_expect(epsilon_eq(dbl, rab_region_area(&nonzero), pentagon + points, close_to));
    cr_expect(epsilon_eq(dbl, rab_region_area(&evenodd), points, close_to));
    expect_count(&nonzero, 1, 10);
    cr_expect(eq(sz, region_spare_vertices(&evenodd), 0));
    shapes_clear(&list);
    rab_region_clear(&nonzero);
    rab_region_clear(&evenodd);
}

Test(region_area, fill_rules_by_winding)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 10, 10);
    add_rectangle(&list, 5, 0, 15, 10);
    add_rectangle(&list, 8, 2, 12, 8);
    reverse_last(&list); /* winding 2, 1, 0 around it */
    add_rectangle(&list, 20, 0, 30, 10);
    reverse_last(&list); /* winding -1 */
    static const struct {
        enum rab_fill rule;
        double area;
    } want[] = {
        /* 0-15 x 0-10 has winding 1 and 2 (5-10); the reversed one takes one from 8-12 x 2-8. */
        {RAB_FILL_NONZERO, 150 - 12 + 100},
        {RAB_FILL_POSITIVE, 150 - 12},
        {RAB_FILL_EVENODD, 100 - 12 + 12 + 100},
    };
    for (int i = 0; i < 3; i++) {
        struct rab_region out = {0};
        struct rab_error err = {0};
        cr_assert(rab_region_fill(list.items, list.count, want[i].rule, &out, &err), "%s",
                  err.text);
        cr_expect(epsilon_eq(dbl, rab_region_area(&out), want[i].area, close_to));
        rab_region_clear(&out);
    }
    shapes_clear(&list);
}

/* ---- nesting ---- */

Test(region_tree, rings_by_turns)
{
    struct shapes list = {0};
    for (int i = 1; i <= 7; i++)
        add_circle(&list, 0.1 * i, 0, 8.0 - i);
    add_circle(&list, 50, 0, 3);
    struct rab_region out = filled(&list, RAB_FILL_EVENODD);
    cr_assert(eq(sz, out.count, 8));
    cr_assert_null(region_fault(&out)); /* parents directly around, directions by turns */
    size_t roots = 0;
    for (size_t i = 0; i < out.count; i++)
        roots += out.parents[i] == RAB_NO_PARENT;
    cr_expect(eq(sz, roots, 2));
    cr_expect(rab_region_holds(&out, (struct rab_point){6.9, 0}));
    cr_expect(not(rab_region_holds(&out, (struct rab_point){6.0, 0})));
    cr_expect(rab_region_holds(&out, (struct rab_point){50, 2.9}));
    cr_expect(not(rab_region_holds(&out, (struct rab_point){30, 0})));
    const struct rab_box box = rab_region_box(&out);
    cr_expect(epsilon_eq(dbl, box.x0, -6.9, 1e-9));
    cr_expect(epsilon_eq(dbl, box.x1, 53, 1e-9));
    cr_expect(epsilon_eq(dbl, box.y0, -7, 1e-9));
    cr_expect(epsilon_eq(dbl, box.y1, 7, 1e-9));
    rab_region_clear(&out);
}

Test(region_tree, copy_is_equal_and_apart)
{
    struct rab_region in = rose(), out = {0};
    struct rab_error err = {0};
    cr_assert(rab_region_copy(&in, &out, &err));
    cr_assert(eq(sz, out.count, in.count));
    for (size_t i = 0; i < in.count; i++) {
        cr_expect(eq(sz, out.parents[i], in.parents[i]));
        cr_assert(eq(sz, out.outlines[i].count, in.outlines[i].count));
        cr_expect_arr_eq(out.outlines[i].vertices, in.outlines[i].vertices,
                         in.outlines[i].count * sizeof(struct rab_vertex));
        cr_expect_neq(out.outlines[i].vertices, in.outlines[i].vertices);
    }
    rab_region_clear(&in);
    rab_region_clear(&in); /* what is empty already is accepted */
    cr_expect(rab_region_check(&out, &err), "%s", err.text);
    rab_region_clear(&out);
}

/* ---- the set does not depend on how it is written down ---- */

static void expect_same(const struct shapes *list, double area, double perimeter,
                        const struct rab_region *like, double distance)
{
    struct shapes copy = {0};
    shapes_copy(list, &copy);
    struct rab_region in = filled(&copy, RAB_FILL_EVENODD), out = grown(&in, distance);
    expect_measures(&out, area, perimeter);
    cr_expect(eq(sz, out.count, like->count));
    cr_expect(eq(sz, rab_region_vertices(&out), rab_region_vertices(like)));
    rab_region_clear(&in);
    rab_region_clear(&out);
}

Test(region_invariance, start_direction_splits_place)
{
    static const double distances[] = {1.5, -1.5, 4};
    struct shapes list = {0};
    add_rounded(&list, -40, -40, 40, 40, 6);
    add_foil(&list, 4, 0, 0, 12, 10, 0.2);
    add_arch(&list, -30, -30, 12, 10);
    add_polygon(&list, 3, (const struct rab_point[]){{20, -30}, {32, -28}, {25, -12}});

    for (int d = 0; d < 3; d++) {
        struct shapes copy = {0};
        shapes_copy(&list, &copy);
        struct rab_region in = filled(&copy, RAB_FILL_EVENODD), like = grown(&in, distances[d]);
        const double area = rab_region_area(&like), perimeter = rab_region_perimeter(&like);

        for (size_t start = 1; start < 8; start++) {
            for (size_t i = 0; i < list.count; i++) {
                struct rab_outline *o = shapes_next(&copy);
                for (size_t k = 0; k < list.items[i].count; k++) {
                    const struct rab_vertex v =
                        list.items[i].vertices[(k + start) % list.items[i].count];
                    put(o, v.x, v.y, v.bulge);
                }
                if (start % 2)
                    reverse_last(&copy);
            }
            expect_same(&copy, area, perimeter, &like, distances[d]);
            shapes_clear(&copy);
        }
        /* Every edge split in up to four, unevenly. */
        for (int parts = 2; parts <= 4; parts++) {
            for (size_t i = 0; i < list.count; i++) {
                struct edges edges = {0};
                struct rab_outline *o = shapes_next(&copy);
                brute_edges(&list.items[i], 1, &edges);
                for (size_t k = 0; k < edges.count; k++) {
                    double last = 0;
                    for (int part = 1; part <= parts; part++) {
                        const double share = pow((double)part / parts, 1.3);
                        const struct rab_point p = brute_point(&edges.items[k], last, NULL);
                        const double bulge = edges.items[k].bulge;
                        put(o, p.x, p.y, tan((share - last) * atan(bulge)));
                        last = share;
                    }
                }
                brute_clear(&edges);
            }
            expect_same(&copy, area, perimeter, &like, distances[d]);
            shapes_clear(&copy);
        }
        for (int turn = 0; turn < 20; turn++) {
            shapes_copy(&list, &copy);
            shapes_place(&copy, 0.31 * turn, 1, 17.3 * turn, -1000.0 / (turn + 1));
            expect_same(&copy, area, perimeter, &like, distances[d]);
            shapes_clear(&copy);
        }
        rab_region_clear(&in);
        rab_region_clear(&like);
    }
    shapes_clear(&list);
}

/* The same bytes from the same input. */
Test(region_invariance, repeats_to_the_bit)
{
    struct rab_region in = rose(), one = grown(&in, 2), two = grown(&in, 2);
    cr_assert(eq(sz, one.count, two.count));
    for (size_t i = 0; i < one.count; i++)
        cr_expect_arr_eq(one.outlines[i].vertices, two.outlines[i].vertices,
                         one.outlines[i].count * sizeof(struct rab_vertex));
    rab_region_clear(&one);
    rab_region_clear(&two);
    rab_region_clear(&in);
}

/* ---- mitred joins: a convex polygon grown by d adds d^2 cot(half the corner) at each corner in
 * place of d^2 (pi - corner)/2 (elementary) ---- */

Test(region_mitre, square_and_rectangle)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 60, 90);
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    struct rab_region out = mitred(&in, 4, 0);
    expect_measures(&out, 6664, 332);
    expect_count(&out, 1, 4);
    rab_region_clear(&out);
    out = mitred(&in, -4, 0);
    expect_measures(&out, 52 * 82, 268);
    expect_count(&out, 1, 4);
    rab_region_clear(&out);
    rab_region_clear(&in);
}

/* Arch 40 wide, 60 to the springing, grown by 4 with square corners: 48 x 64 and half a disc. */
Test(region_mitre, arch)
{
    struct shapes list = {0};
    add_arch(&list, 0, 0, 40, 60);
    struct rab_region in = filled(&list, RAB_FILL_NONZERO), out = mitred(&in, 4, 0);
    expect_measures(&out, 3976.778684, 251.398224);
    expect_measures(&out, 48 * 64 + RAB_PI * 288, 48 + 128 + RAB_PI * 24);
    expect_count(&out, 1, 4);
    rab_region_clear(&out);
    rab_region_clear(&in);
}

Test(region_mitre, polygons_within_and_beyond_the_limit)
{
    for (size_t n = 3; n <= 12; n++) {
        const double r = 20, m = (double)n, corner = RAB_PI * (m - 2) / m, d = 3;
        const double area = m * r * r * sin(2 * RAB_PI / m) / 2, p = 2 * m * r * sin(RAB_PI / m);
        const double ratio = 1 / sin(corner / 2); /* SVG 1.1, section 11.4 */
        struct shapes list = {0};
        add_regular(&list, n, 0, 0, r, 0);
        struct rab_region in = filled(&list, RAB_FILL_NONZERO);

        struct rab_region out = mitred(&in, d, 1.001 * ratio);
        expect_measures(&out, area + p * d + d * d * m / tan(corner / 2),
                        p + 2 * d * m / tan(corner / 2));
        expect_count(&out, 1, n);
        rab_region_clear(&out);

        out = mitred(&in, d, 0.999 * ratio);
        expect_measures(&out, area + p * d + RAB_PI * d * d, p + 2 * RAB_PI * d);
        expect_count(&out, 1, 2 * n);
        rab_region_clear(&out);
        rab_region_clear(&in);
    }
}

/* The default limit is 4: a corner of 30 degrees (3.864) is extended, one of 28 (4.134) rounded. */
Test(region_mitre, default_limit)
{
    static const struct {
        double corner;
        size_t vertices; /* of the two, one or no corners beyond the limit */
    } cases[] = {{30, 3}, {28, 4}};
    for (int i = 0; i < 2; i++) {
        const double half = cases[i].corner * RAB_PI / 360;
        struct shapes list = {0};
        add_polygon(&list, 3,
                    (const struct rab_point[]){
                        {0, 0}, {50, -50 * tan(half)}, {50, 50 * tan(half)}});
        struct rab_region in = filled(&list, RAB_FILL_NONZERO), out = mitred(&in, 2, 0);
        expect_count(&out, 1, cases[i].vertices);
        rab_region_clear(&out);
        rab_region_clear(&in);
    }
}

/* The inner corner of an L becomes a corner of the material outside it when shrunk. */
Test(region_mitre, inner_corner_shrunk)
{
    struct shapes list = {0};
    add_polygon(&list, 6,
                (const struct rab_point[]){{0, 0}, {40, 0}, {40, 20}, {20, 20}, {20, 40}, {0, 40}});
    struct rab_region in = filled(&list, RAB_FILL_NONZERO), out = mitred(&in, -3, 0);
    expect_measures(&out, 34 * 34 - 20 * 20, 136);
    expect_count(&out, 1, 6);
    rab_region_clear(&out);
    out = grown(&in, -3);
    /* Rounded: the quarter disc about the corner is taken instead of the square. */
    expect_measures(&out, 34 * 34 - 20 * 20 + 9 - RAB_PI * 9 / 4, 136 - 6 + RAB_PI * 3 / 2);
    rab_region_clear(&out);
    out = mitred(&in, 3, 0);
    expect_measures(&out, 46 * 46 - 20 * 20, 184);
    expect_count(&out, 1, 6);
    rab_region_clear(&out);
    rab_region_clear(&in);
}

/* A square opening in a page, mitred: smaller and larger, corners kept square. */
Test(region_mitre, square_opening)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 100, 100);
    add_rectangle(&list, 30, 30, 60, 60);
    struct rab_region in = filled(&list, RAB_FILL_EVENODD);
    struct rab_region out = mitred(&in, 5, 0);
    expect_measures(&out, 12100 - 400, 440 + 80);
    expect_count(&out, 2, 8);
    rab_region_clear(&out);
    out = mitred(&in, -5, 0);
    expect_measures(&out, 8100 - 1600, 360 + 160);
    expect_count(&out, 2, 8);
    rab_region_clear(&out);
    rab_region_clear(&in);
}
