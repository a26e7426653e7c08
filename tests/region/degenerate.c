/*
 * The degenerate on purpose: near-tangency from 1e-9 to 1e-3 mm, arcs nearly straight and nearly
 * full, edges of no length, duplicates, holes that touch, outlines that split or vanish, and
 * results that hold no vertex they do not need. Truth: formulas named beside each, and the probes
 * of brute.h on every result.
 */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>

#include "checked.h"

static struct rab_region one_circle(double x, double y, double r)
{
    struct shapes list = {0};
    add_circle(&list, x, y, r);
    return filled(&list, RAB_FILL_NONZERO);
}

/* Lens of two circles: circle-circle intersection, mensuration (from memory); 0 or the smaller
 * disc when they do not cross. Written with half angles, as the lens is thin here. */
static double lens(double r, double s, double d)
{
    if (d >= r + s)
        return 0;
    if (d <= fabs(r - s))
        return RAB_PI * fmin(r, s) * fmin(r, s);
    const double k = sqrt((-d + r + s) * (d + r - s) * (d - r + s) * (d + r + s));
    const double a = 2 * atan2(k, d * d + r * r - s * s), b = 2 * atan2(k, d * d + s * s - r * r);
    return r * r * (a - sin(a)) / 2 + s * s * (b - sin(b)) / 2;
}

/* Two circles within `gap` of touching, from outside and from inside, in every direction. */
Test(region_degenerate, circles_nearly_tangent)
{
    static const double radii[][2] = {{10, 10}, {10, 3}, {50, 0.5}, {7.25, 120}};
    for (int pair = 0; pair < 4; pair++)
        for (int k = -25; k <= 24; k++) {
            const double r = radii[pair][0], s = radii[pair][1];
            const double gap = k == 0 ? 0 : copysign(1e-9 * pow(10, fabs((double)k) / 4), k);
            for (int inside = 0; inside < 2; inside++) {
                const double d = (inside ? fabs(r - s) : r + s) + gap, turn = 0.7 * k;
                if (d <= 0 && gap != 0)
                    continue;
                struct rab_region a = one_circle(1, 2, r);
                struct rab_region b = one_circle(1 + d * cos(turn), 2 + d * sin(turn), s);
                struct rab_region both = combined(&a, &b, RAB_INTERSECTION);
                struct rab_region any = combined(&a, &b, RAB_UNION);
                struct rab_region rest = combined(&a, &b, RAB_DIFFERENCE);
                struct rab_region one = combined(&a, &b, RAB_EXCLUSIVE);
                const double common = lens(r, s, fabs(d)), sum = RAB_PI * (r * r + s * s);
                /* Edges may be off by RAB_SAME_POINT: over all of them when the circles are nearly
                 * the same, else only over the stretch where they are close. */
                const double within = 1e-6 + (r == s ? 4 * RAB_PI : 0.1) * RAB_SAME_POINT * (r + s);
                expect_area(&both, common, within);
                expect_area(&any, sum - common, within);
                expect_area(&rest, RAB_PI * r * r - common, within);
                expect_area(&one, sum - 2 * common, within);
                if (!inside)
                    cr_expect(any.count == 1 || any.count == 2);
                if (gap > 1e-6 && !inside) {
                    expect_empty(&both);
                    expect_count(&any, 2, 4);
                }
                rab_region_clear(&a);
                rab_region_clear(&b);
                rab_region_clear(&both);
                rab_region_clear(&any);
                rab_region_clear(&rest);
                rab_region_clear(&one);
            }
        }
}

/* A line nearly tangent to a circle: the segment of height h, r^2 (t - sin t)/2. */
Test(region_degenerate, line_nearly_tangent_to_a_circle)
{
    for (int k = -25; k <= 24; k++)
        for (double r = 1; r < 200; r *= 5) {
            const double height = k == 0 ? 0 : copysign(1e-9 * pow(10, fabs((double)k) / 4), k);
            struct shapes list = {0};
            add_rectangle(&list, -300, r - height, 300, r + 50);
            shapes_place(&list, 0.4 * k, 1, 0, 0);
            struct rab_region a = one_circle(0, 0, r), b = filled(&list, RAB_FILL_NONZERO);
            struct rab_region both = combined(&a, &b, RAB_INTERSECTION);
            struct rab_region rest = combined(&a, &b, RAB_DIFFERENCE);
            const double t = height > 0 ? 4 * asin(sqrt(height / (2 * r))) : 0;
            const double segment = r * r * (t - sin(t)) / 2;
            expect_area(&both, segment, 1e-6 + 0.1 * RAB_SAME_POINT * r);
            expect_area(&rest, RAB_PI * r * r - segment, 1e-6 + 0.1 * RAB_SAME_POINT * r);
            rab_region_clear(&a);
            rab_region_clear(&b);
            rab_region_clear(&both);
            rab_region_clear(&rest);
        }
}

/* A gap between two pieces closed by growing: two squares `gap` apart grown by half of it, a
 * little less, a little more. */
Test(region_degenerate, gap_closed_by_growing)
{
    for (double more = 1e-9; more < 2e-3; more *= 4)
        for (int sign = -1; sign <= 1; sign++) {
            const double d = 2 + sign * more;
            struct shapes list = {0};
            add_rectangle(&list, 0, 0, 20, 20);
            add_rectangle(&list, 24, 0, 44, 20);
            struct rab_region in = filled(&list, RAB_FILL_NONZERO), out = grown(&in, d);
            const double each = 400 + 80 * d + RAB_PI * d * d, lap = sign > 0 ? 2 * more * 20 : 0;
            expect_area(&out, 2 * each - lap, 1e-5 + lap * 0.02);
            if (more > 1e-6)
                cr_expect(eq(sz, out.count, sign >= 0 ? 1 : 2)); /* at 0 they share a side */
            rab_region_clear(&out);
            rab_region_clear(&in);
        }
}

/* Arcs nearly straight: area between arc and chord, c^2 b (1 + b^2/5)/3 (the segment's series). */
Test(region_degenerate, arcs_nearly_straight)
{
    for (double sagitta = 1e-12; sagitta < 2e-4; sagitta *= 3)
        for (int sign = -1; sign <= 1; sign += 2)
            for (double c = 0.5; c < 300; c *= 7) {
                const double b = sign * 2 * sagitta / c, segment = c * c * b * (1 + b * b / 5) / 3;
                struct shapes left = {0}, right = {0};
                struct rab_outline *o = shapes_next(&left);
                put(o, 0, 0, b);
                put(o, c, 0, 0);
                put(o, c, c, 0);
                put(o, 0, c, 0);
                add_rectangle(&right, -1, -c, c + 1, 0);
                struct rab_region a = filled(&left, RAB_FILL_NONZERO);
                struct rab_region b2 = filled(&right, RAB_FILL_NONZERO);
                expect_area(&a, c * c + segment, 1e-6 + 2 * c * RAB_SAME_POINT);
                struct rab_region any = combined(&a, &b2, RAB_UNION);
                struct rab_region both = combined(&a, &b2, RAB_INTERSECTION);
                const double out = sign > 0 ? segment : 0;
                expect_area(&both, out, 1e-6 + 2 * c * RAB_SAME_POINT);
                expect_area(&any, c * c + c * (c + 2) + segment - out, 1e-6 + 2 * c * RAB_SAME_POINT);
                struct rab_region more = grown(&a, 1), less = grown(&a, -c / 5);
                expect_area(&less, pow(0.6 * c, 2) + 0.6 * segment,
                            1e-6 + 2 * c * RAB_SAME_POINT + fabs(segment));
                rab_region_clear(&more);
                rab_region_clear(&less);
                rab_region_clear(&a);
                rab_region_clear(&b2);
                rab_region_clear(&any);
                rab_region_clear(&both);
            }
}

/* Arcs nearly full: bulge B on a chord c is all of a circle of diameter c (B + 1/B)/2 but the
 * chord's own little segment. */
Test(region_degenerate, arcs_nearly_full)
{
    for (double bulge = 1e2; bulge < 3e6; bulge *= 4)
        for (int sign = -1; sign <= 1; sign += 2) {
            const double r = 15, c = 4 * r * bulge / (1 + bulge * bulge);
            struct shapes list = {0};
            struct rab_outline *o = shapes_next(&list);
            put(o, -c / 2, 0, sign * bulge);
            put(o, c / 2, 0, 0);
            struct rab_region in = filled(&list, RAB_FILL_NONZERO);
            /* circle less a segment of chord c */
            const double t = 4 * atan(1 / bulge), cut = r * r * (t - sin(t)) / 2;
            expect_area(&in, RAB_PI * r * r - cut, 1e-5);
            struct rab_region out = grown(&in, 3);
            const double p = r * (2 * RAB_PI - t) + c;
            expect_area(&out, RAB_PI * r * r - cut + 3 * p + 9 * RAB_PI, 2e-5);
            rab_region_clear(&out);
            out = grown(&in, -3);
            rab_region_clear(&out);
            rab_region_clear(&in);
        }
}

/* Vertices on top of each other, and edges of no length, anywhere. */
Test(region_degenerate, edges_of_no_length)
{
    for (double apart = 0; apart < 1e-7; apart = apart == 0 ? 1e-12 : apart * 30) {
        struct shapes list = {0};
        struct rab_outline *o = shapes_next(&list);
        for (int repeat = 0; repeat < 3; repeat++)
            put(o, apart * repeat, 0, 0);
        put(o, 30, 0, 0);
        put(o, 30, 0, 1); /* an arc of no length */
        put(o, 30, 0, 0.5);
        put(o, 30, 20, 0);
        put(o, 30, 20 + apart, 0);
        put(o, 0, 20, 0);
        put(o, 0, 20, -3);
        put(o, 0, 20, 0);
        struct rab_region in = filled(&list, RAB_FILL_NONZERO);
        /* bulge 0.5 on a chord of 20: r = 12.5 */
        const double t = 4 * atan(0.5), segment = 12.5 * 12.5 * (t - sin(t)) / 2;
        expect_area(&in, 600 + segment, 1e-5);
        expect_count(&in, 1, 4);
        struct rab_region out = grown(&in, 2);
        expect_area(&out, 600 + segment + 2 * (80 + 12.5 * t) + 4 * RAB_PI, 1e-5);
        rab_region_clear(&out);
        rab_region_clear(&in);
    }
}

/* What encloses nothing is nothing: no vertex, one, two, three on a line, there and back. */
Test(region_degenerate, nothing_enclosed)
{
    static const struct rab_point line[] = {{0, 0}, {10, 0}, {20, 0}, {5, 0}};
    for (size_t n = 0; n <= 4; n++) {
        struct shapes list = {0};
        add_polygon(&list, n, line);
        struct rab_region out = filled(&list, RAB_FILL_NONZERO);
        expect_empty(&out);
        rab_region_clear(&out);
    }
    struct shapes list = {0};
    struct rab_outline *o = shapes_next(&list);
    put(o, -5, 0, 0.5); /* along an arc and back along it */
    put(o, 5, 0, -0.5);
    o = shapes_next(&list);
    put(o, 3, 3, 1); /* one vertex with an arc to itself */
    struct rab_region out = filled(&list, RAB_FILL_NONZERO);
    expect_empty(&out);
    rab_region_clear(&out);
    cr_assert(rab_region_fill(NULL, 0, RAB_FILL_NONZERO, &out, NULL));
    expect_empty(&out);
}

/* Open outlines count as closed by a straight line. */
Test(region_degenerate, open_outline)
{
    struct shapes list = {0};
    struct rab_outline *o = shapes_next(&list);
    put(o, 10, 0, 1);
    put(o, -10, 0, 0.7); /* the last bulge of an open outline is not used */
    o->open = true;
    struct rab_region out = filled(&list, RAB_FILL_NONZERO);
    expect_measures(&out, RAB_PI * 50, RAB_PI * 10 + 20);
    rab_region_clear(&out);
}

/* The same outline many times, started anywhere, either way round, jittered below a point. */
Test(region_degenerate, duplicates)
{
    struct seeded numbers = {99};
    for (double jitter = 0; jitter < 3e-8; jitter = jitter == 0 ? 1e-14 : jitter * 20)
        for (int copies = 2; copies < 9; copies++) {
            struct shapes list = {0};
            for (int n = 0; n < copies; n++) {
                struct shapes one = {0};
                add_foil(&one, 4, 0, 0, 10, 9, 0.3);
                struct rab_outline *o = shapes_next(&list);
                for (size_t k = 0; k < 4; k++) {
                    const struct rab_vertex v = one.items[0].vertices[(k + (size_t)n) % 4];
                    put(o, v.x + seeded_real(&numbers, -jitter, jitter),
                        v.y + seeded_real(&numbers, -jitter, jitter), v.bulge);
                }
                if (n % 3 == 1)
                    reverse_last(&list);
                shapes_clear(&one);
            }
            struct edges one = {0};
            brute_edges(list.items, 1, &one);
            const double area = brute_area(&one), length = brute_length(&one);
            brute_clear(&one);
            const double one_bulge = list.items[0].vertices[0].bulge;
            struct shapes copy = {0};
            shapes_copy(&list, &copy);
            struct rab_region odd = filled(&copy, RAB_FILL_EVENODD);
            expect_area(&odd, copies % 2 ? area : 0, 1e-6 + 9 * length * jitter);
            struct rab_region all = filled(&list, RAB_FILL_POSITIVE);
            const int net = copies - 2 * ((copies + 1) / 3); /* every third runs backwards */
            expect_area(&all, net > 0 ? area : 0, 1e-6 + 9 * length * jitter);
            if (jitter < 1e-10) {
                const size_t corners = 4 * arc_vertices(4 * atan(one_bulge));
                expect_count(&all, net > 0 ? 1 : 0, net > 0 ? corners : 0);
                cr_expect(eq(sz, odd.count, copies % 2 ? 1 : 0));
            }
            rab_region_clear(&odd);
            rab_region_clear(&all);
        }
}

/* Holes that touch each other and the edge, in points and along arcs. */
Test(region_degenerate, touching_holes)
{
    struct shapes list = {0};
    add_circle(&list, 0, 0, 30);
    add_circle(&list, -10, 0, 10);
    add_circle(&list, 10, 0, 10);
    add_circle(&list, 0, 20, 10); /* touches the edge at (0, 30) */
    struct rab_region in = filled(&list, RAB_FILL_EVENODD);
    expect_measures(&in, RAB_PI * 600, RAB_PI * 120);
    for (double d = 0.01; d < 9; d *= 1.9) {
        struct rab_region out = grown(&in, d);
        expect_measures(&out, RAB_PI * (pow(30 + d, 2) - 3 * pow(10 - d, 2)),
                        2 * RAB_PI * (30 + d + 3 * (10 - d)));
        expect_count(&out, 4, 8);
        rab_region_clear(&out);
    }
    for (double d = 0.01; d < 9; d *= 1.9) {
        struct rab_region out = grown(&in, -d); /* the holes run together: probes judge */
        rab_region_clear(&out);
    }
    rab_region_clear(&in);

    /* Checks of one board: corners touch. Growing joins all, shrinking parts all. */
    for (int row = 0; row < 4; row++)
        for (int column = 0; column < 4; column++)
            if ((row + column) % 2)
                add_rectangle(&list, 10 * column, 10 * row, 10 * column + 10, 10 * row + 10);
    in = filled(&list, RAB_FILL_NONZERO);
    expect_measures(&in, 800, 320);
    struct rab_region out = grown(&in, -1);
    expect_measures(&out, 8 * 64, 8 * 32);
    expect_count(&out, 8, 32);
    rab_region_clear(&out);
    out = grown(&in, 1);
    rab_region_clear(&out);
    rab_region_clear(&in);
}

/* Two squares joined by a neck 2 wide: split when shrunk by 1 or more. */
Test(region_degenerate, splits_when_shrunk)
{
    struct shapes list = {0};
    add_polygon(&list, 12,
                (const struct rab_point[]){{0, 0}, {20, 0}, {20, 9}, {30, 9}, {30, 0}, {50, 0},
                                           {50, 20}, {30, 20}, {30, 11}, {20, 11}, {20, 20},
                                           {0, 20}});
    struct rab_region in = filled(&list, RAB_FILL_NONZERO);
    static const double shares[] = {0.5, 0.9, 0.99999, 1, 1.00001, 1.1, 3, 8.5};
    for (int i = 0; i < 8; i++) {
        const double d = shares[i];
        struct rab_region out = grown(&in, -d);
        if (d < 0.9999)
            cr_expect(eq(sz, out.count, 1));
        if (d > 1.000001)
            cr_expect(eq(sz, out.count, 2));
        /* Each square by itself, and towards the neck what the discs about the two corners of its
         * mouth leave: the integral of d - sqrt(d^2 - u^2) for u from 0 to 1, twice. */
        if (d >= 1) {
            const double bay = 2 * d - sqrt(d * d - 1) - d * d * asin(1 / d);
            expect_area(&out, 2 * (pow(20 - 2 * d, 2) + bay), 1e-5);
        }
        rab_region_clear(&out);
    }
    rab_region_clear(&in);
}

/* ---- no vertex that is not needed ---- */

Test(region_minimal, circles)
{
    struct rab_region a = one_circle(0, 0, 10), b = one_circle(12, 0, 10), none = {0};
    struct rab_region out = combined(&a, &b, RAB_UNION);
    expect_count(&out, 1, 4); /* two arcs of 254 degrees, each in two */
    rab_region_clear(&out);
    out = combined(&a, &b, RAB_INTERSECTION);
    expect_count(&out, 1, 2);
    rab_region_clear(&out);
    out = combined(&a, &none, RAB_DIFFERENCE);
    expect_count(&out, 1, 2);
    rab_region_clear(&out);
    out = combined(&a, &a, RAB_UNION);
    expect_count(&out, 1, 2);
    rab_region_clear(&out);
    out = combined(&a, &a, RAB_EXCLUSIVE);
    expect_empty(&out);
    rab_region_clear(&out);
    out = grown(&a, 2.5);
    expect_count(&out, 1, 2);
    rab_region_clear(&out);
    out = grown(&a, -2.5);
    expect_count(&out, 1, 2);
    rab_region_clear(&out);
    rab_region_clear(&a);
    rab_region_clear(&b);
}

/* What was cut apart is joined again to the arcs and lines it was. */
Test(region_minimal, rejoined_after_a_split)
{
    struct shapes list = {0};
    for (int turn = 0; turn < 30; turn++) {
        add_rounded(&list, -30, -20, 30, 20, 8);
        add_arch(&list, -12, -10, 24, 8);
        shapes_place(&list, 0.21 * turn, 1, 3.0 * turn, -turn);
        struct rab_region whole = filled(&list, RAB_FILL_EVENODD);
        expect_count(&whole, 2, 12);
        add_polygon(&list, 5,
                    (const struct rab_point[]){{0, -100}, {100, -100}, {100, 100}, {2, 100}, {-5, 3}});
        shapes_place(&list, 0.21 * turn, 1, 3.0 * turn, -turn);
        struct rab_region knife = filled(&list, RAB_FILL_NONZERO);
        struct rab_region right = combined(&whole, &knife, RAB_INTERSECTION);
        struct rab_region left = combined(&whole, &knife, RAB_DIFFERENCE);
        struct rab_region again = combined(&left, &right, RAB_UNION);
        expect_measures(&again, rab_region_area(&whole), rab_region_perimeter(&whole));
        expect_count(&again, 2, 12);
        rab_region_clear(&whole);
        rab_region_clear(&knife);
        rab_region_clear(&right);
        rab_region_clear(&left);
        rab_region_clear(&again);
    }
}

/* An outline with every edge split in many comes back with its own corners. */
Test(region_minimal, split_edges_are_joined_on_entry)
{
    struct shapes whole = {0}, parts = {0};
    add_stadium(&whole, 0, 0, 40, 12);
    add_circle(&whole, 60, 0, 10);
    add_quatrefoil(&whole, 0, 60, 20);
    for (size_t i = 0; i < whole.count; i++) {
        struct edges edges = {0};
        struct rab_outline *o = shapes_next(&parts);
        brute_edges(&whole.items[i], 1, &edges);
        for (size_t k = 0; k < edges.count; k++)
            for (int part = 0; part < 11; part++) {
                const struct rab_point p = brute_point(&edges.items[k], part / 11.0, NULL);
                put(o, p.x, p.y, tan(atan(edges.items[k].bulge) / 11));
            }
        brute_clear(&edges);
    }
    struct rab_region out = filled(&parts, RAB_FILL_NONZERO);
    expect_count(&out, 3, 4 + 2 + 4);
    rab_region_clear(&out);
    shapes_clear(&whole);
}

/* A row of overlapping discs, all of one radius: two vertices a crossing, and one more for each of
 * the two ends, whose arcs are more than half a circle. */
Test(region_minimal, row_of_discs)
{
    struct shapes list = {0};
    for (int i = 0; i < 20; i++)
        add_circle(&list, 8.0 * i, 0, 5);
    struct rab_region out = filled(&list, RAB_FILL_NONZERO);
    expect_count(&out, 1, 2 * 19 + 2);
    rab_region_clear(&out);
}

/* ---- limits of the contract ---- */

Test(region_contract, refuses_what_is_not_a_number_or_too_far)
{
    static const double bad[] = {HUGE_VAL, -HUGE_VAL, (double)NAN, 1.1e6, -2e9, 1e300};
    for (int i = 0; i < 6; i++)
        for (int at = 0; at < 3; at++) {
            struct shapes list = {0};
            add_rectangle(&list, 0, 0, 10, 10);
            struct rab_vertex *v = &list.items[0].vertices[2];
            if (at == 2 && i > 2) {
                shapes_clear(&list);
                continue; /* a bulge may be anything finite */
            }
            *(at == 0 ? &v->x : at == 1 ? &v->y : &v->bulge) = bad[i];
            struct rab_region out = {0};
            struct rab_error err = {0};
            cr_expect(not(rab_region_fill(list.items, 1, RAB_FILL_NONZERO, &out, &err)));
            cr_expect(eq(int, err.fault, RAB_FAULT_GEOMETRY));
            cr_expect(ne(chr, err.text[0], 0));
            cr_expect(eq(sz, out.count, 0)); /* untouched */
            cr_expect_null(out.outlines);
            cr_expect(not(rab_region_fill(list.items, 1, RAB_FILL_NONZERO, &out, NULL)));
            shapes_clear(&list);
        }
    struct rab_region a = one_circle(0, 0, 10), out = {0};
    for (int i = 0; i < 3; i++) {
        struct rab_error err = {0};
        cr_expect(not(rab_region_grow(&a, bad[i], RAB_JOIN_ROUND, 0, &out, &err)));
        cr_expect(ne(int, err.fault, RAB_FAULT_NONE));
    }
    rab_region_clear(&a);
}

/* The room's own check must find what is wrong: every clause of the definition broken once. */
Test(region_contract, check_finds_faults)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 40, 40);
    add_circle(&list, 20, 20, 10);
    add_circle(&list, 20, 20, 5);
    for (int fault = 0; fault < 9; fault++) {
        struct shapes copy = {0};
        shapes_copy(&list, &copy);
        struct rab_region region = filled(&copy, RAB_FILL_EVENODD);
        struct rab_error err = {0};
        cr_assert(eq(sz, region.count, 3));
        cr_assert(rab_region_check(&region, &err), "%s", err.text);
        struct rab_outline *outer = &region.outlines[0], *hole = &region.outlines[1];
        switch (fault) {
        case 0: /* crosses itself */
            outer->vertices[1].x = -20;
            break;
        case 1: /* turned round */
            rab_outline_reverse(outer);
            break;
        case 2: /* open */
            hole->open = true;
            break;
        case 3: /* the hole crosses the edge */
            rab_outline_move(hole, 15, 0);
            break;
        case 4: /* the wrong parent */
            region.parents[2] = 0;
            break;
        case 5: /* no parent */
            region.parents[1] = RAB_NO_PARENT;
            break;
        case 6: /* not a number */
            hole->vertices[0].x = (double)NAN;
            break;
        case 7: /* one vertex */
            outer->count = 1;
            break;
        case 8: /* a hole outside */
            rab_outline_move(hole, 100, 0);
            break;
        }
        cr_expect(not(rab_region_check(&region, &err)), "fault %d is not found", fault);
        cr_expect(eq(int, err.fault, RAB_FAULT_GEOMETRY));
        rab_region_clear(&region);
    }
    shapes_clear(&list);
}
