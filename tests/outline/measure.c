/*
 * Making, measuring and moving. The truth is mensuration: formulas of plane figures that any
 * handbook has (CRC Standard Mathematical Tables, Geometry; from memory), and long double sums.
 */
#include <criterion/criterion.h>
#include <stdlib.h>

#include "outline/arc.h"
#include "random.h"

static void put(struct rab_outline *outline, double x, double y, double bulge)
{
    struct rab_error err = {0};
    cr_assert(rab_outline_add(outline, x, y, bulge, &err));
}

static void expect_near(double value, double truth, double relative, const char *what)
{
    cr_expect(fabs(value - truth) <= relative * fabs(truth), "%s: %.17g, not %.17g", what, value,
              truth);
}

/* The DXF reference, group code 42: the bulge is the tangent of a fourth of the included angle,
 * negative if the arc goes clockwise from the start point to the end point; 0 is a straight
 * segment, 1 is a semicircle. */
Test(outline_measure, bulge_as_dxf_defines_it)
{
    for (int degrees = -350; degrees <= 350; degrees += 5) {
        const double angle = degrees * RAB_PI / 180, r = 3;
        struct rab_outline arc = {.open = true};
        /* From angle 0 about 10, 20, through `angle`. */
        put(&arc, 10 + r, 20, tan(angle / 4));
        put(&arc, 10 + r * cos(angle), 20 + r * sin(angle), 0);
        const struct arc edge = arc_of(&arc, 0);
        expect_near(rab_outline_perimeter(&arc), r * fabs(angle), 1e-13, "length");
        struct rab_point tangent;
        const struct rab_point middle = arc_at(&edge, 0.5, &tangent);
        cr_expect(hypot(middle.x - 10 - r * cos(angle / 2), middle.y - 20 - r * sin(angle / 2)) <
                  1e-13);
        if (degrees != 0) {
            expect_near(arc_radius(&edge), r, 1e-12, "radius");
            cr_expect(hypot(arc_centre(&edge).x - 10, arc_centre(&edge).y - 20) < 1e-12);
            const double hand = degrees > 0 ? 1 : -1;
            cr_expect(hypot(edge.ta.x, edge.ta.y - hand) < 1e-13);
            cr_expect(fabs(edge.k - hand / r) < 1e-13);
            cr_expect(fabs(tangent.x + hand * sin(angle / 2)) < 1e-13);
        }
        rab_outline_clear(&arc);
    }
}

/* Segment of a circle: r^2 (t - sin t) / 2; its centroid is 4 r sin^3(t/2) / (3 (t - sin t)) from
 * the centre. Arc: r t. */
Test(outline_measure, segments_of_every_bulge)
{
    struct random random = {31};
    for (int n = 0; n < 20000; n++) {
        const double bulge = random_size(&random, n % 2 ? 1e-3 : 0.1, n % 2 ? 1e3 : 10);
        struct rab_outline o = {0};
        const double x = random_between(&random, -1, 1), y = random_between(&random, -1, 1);
        const double dx = random_between(&random, -1, 1), dy = random_between(&random, -1, 1);
        put(&o, x, y, bulge);
        put(&o, x + dx, y + dy, 0);
        const long double ex = (long double)(x + dx) - x, ey = (long double)(y + dy) - y;
        const long double b = bulge, t = 4 * atanl(b), c = hypotl(ex, ey);
        const long double r = c * (1 + b * b) / (4 * b), s = sinl(t / 2);
        const long double area = r * r * (t - sinl(t)) / 2;
        const long double out = 4 * r * s * s * s / (3 * (t - sinl(t))) - r * cosl(t / 2);
        const struct rab_point centroid = rab_outline_centroid(&o);
        expect_near(rab_outline_area(&o), (double)area, 3e-13, "area");
        expect_near(rab_outline_perimeter(&o), (double)(r * t + c), 1e-14, "perimeter");
        const double scale = 1e-13 * fmax(2, fabs((double)r));
        cr_expect(fabs(centroid.x - (double)(x + ex / 2 + out * ey / c)) < scale);
        cr_expect(fabs(centroid.y - (double)(y + ey / 2 - out * ex / c)) < scale);
        rab_outline_clear(&o);
    }
}

/* Nearly straight: c^2 b (1 + b^2/5) / 3, the start of the series of the formula above; nearly a
 * whole circle of radius c b / 4: pi r^2. */
Test(outline_measure, segments_of_extreme_bulge)
{
    for (double b = 1e-12; b < 1e-3; b *= 7) {
        struct rab_outline o = {0};
        put(&o, 1, 1, b);
        put(&o, 4, 5, 0);
        expect_near(rab_outline_area(&o), 25 * b * (1 + b * b / 5) / 3, 1e-15, "area");
        expect_near(rab_outline_perimeter(&o), 10, 1e-5, "perimeter");
        rab_outline_clear(&o);
    }
    for (double b = 1e4; b <= 1e6; b *= 10) {
        struct rab_outline o = {0};
        put(&o, 0, 0, b);
        put(&o, 4e-6, 0, 0);
        expect_near(rab_outline_area(&o), RAB_PI * (1e-6 * b) * (1e-6 * b), 1e-7, "area");
        expect_near(rab_outline_perimeter(&o), 2 * RAB_PI * 1e-6 * b, 1e-3, "perimeter");
        const struct rab_box box = rab_outline_box(&o);
        expect_near(box.x1 - box.x0, 2e-6 * b, 1e-7, "width");
        expect_near(box.y1 - box.y0, 2e-6 * b, 1e-7, "height");
        rab_outline_clear(&o);
    }
}

Test(outline_measure, plane_figures)
{
    struct rab_error err = {0};
    struct rab_outline o = {0};
    const double r = 7.3, s = 12.5;

    /* Circle. */
    cr_assert(rab_outline_circle((struct rab_point){100, -50}, r, &o, &err));
    cr_expect_eq(o.count, 2);
    expect_near(rab_outline_area(&o), RAB_PI * r * r, 1e-15, "circle");
    expect_near(rab_outline_perimeter(&o), 2 * RAB_PI * r, 1e-15, "circumference");
    cr_expect(hypot(rab_outline_centroid(&o).x - 100, rab_outline_centroid(&o).y + 50) < 1e-13);
    rab_outline_clear(&o);

    /* Sector of 70 degrees: r^2 t / 2; centroid 4 r sin(t/2) / 3 t from the centre. */
    const double t = 70 * RAB_PI / 180;
    put(&o, 0, 0, 0);
    put(&o, r, 0, tan(t / 4));
    put(&o, r * cos(t), r * sin(t), 0);
    expect_near(rab_outline_area(&o), r * r * t / 2, 1e-14, "sector");
    expect_near(rab_outline_perimeter(&o), r * t + 2 * r, 1e-15, "sector's edge");
    const struct rab_point c = rab_outline_centroid(&o);
    expect_near(hypot(c.x, c.y), 4 * r * sin(t / 2) / (3 * t), 1e-14, "sector's centroid");
    expect_near(atan2(c.y, c.x), t / 2, 1e-14, "its direction");
    rab_outline_clear(&o);

    /* Reuleaux triangle of width s: (pi - sqrt 3) s^2 / 2 (Reuleaux 1876), pi s (Barbier 1860). */
    for (int i = 0; i < 3; i++)
        put(&o, s / sqrt(3) * cos(2 * RAB_PI * i / 3), s / sqrt(3) * sin(2 * RAB_PI * i / 3),
            tan(RAB_PI / 12));
    expect_near(rab_outline_area(&o), (RAB_PI - sqrt(3)) * s * s / 2, 1e-14, "Reuleaux triangle");
    expect_near(rab_outline_perimeter(&o), RAB_PI * s, 1e-14, "its perimeter");
    rab_outline_clear(&o);

    /* Lens of two circles r, s at distance d: circle-circle intersection. */
    const double d = 13, a = (d * d + r * r - s * s) / (2 * d), h = sqrt(r * r - a * a);
    put(&o, a, -h, tan(acos(a / r) / 2));
    put(&o, a, h, tan(acos((d - a) / s) / 2));
    const double k = sqrt((-d + r + s) * (d + r - s) * (d - r + s) * (d + r + s));
    expect_near(rab_outline_area(&o),
                r * r * acos((d * d + r * r - s * s) / (2 * d * r)) +
                    s * s * acos((d * d + s * s - r * r) / (2 * d * s)) - k / 2,
                1e-13, "lens");
    rab_outline_clear(&o);

    /* Quatrefoil on a square of side s: s^2 (1 + pi/2), 2 pi s. */
    for (int i = 0; i < 4; i++)
        put(&o, i == 1 || i == 2 ? s : 0, i >= 2 ? s : 0, 1);
    expect_near(rab_outline_area(&o), s * s * (1 + RAB_PI / 2), 1e-14, "quatrefoil");
    expect_near(rab_outline_perimeter(&o), 2 * RAB_PI * s, 1e-15, "its perimeter");
    rab_outline_clear(&o);

    /* Regular heptagon in a circle: n r^2 sin(2 pi / n) / 2. */
    for (int i = 0; i < 7; i++)
        put(&o, r * cos(2 * RAB_PI * i / 7), r * sin(2 * RAB_PI * i / 7), 0);
    expect_near(rab_outline_area(&o), 7 * r * r * sin(2 * RAB_PI / 7) / 2, 1e-14, "heptagon");
    rab_outline_clear(&o);
}

/* Rounded rectangle: w h - (4 - pi) r^2 and 2 (w + h) - 8 r + 2 pi r; with r half the height it is
 * a stadium, with r half of both a circle; always in as few vertices as that takes. */
Test(outline_measure, rectangles)
{
    const struct {
        double w, h, r;
        size_t vertices;
    } cases[] = {{10, 6, 0, 4}, {10, 6, 2, 8},           {10, 6, 3, 4},    {6, 10, 3, 4},
                 {6, 6, 3, 2},  {0.3, 0.1 * 3, 0.15, 2}, {1e5, 1, 0.25, 8}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const double w = cases[i].w, h = cases[i].h, r = cases[i].r;
        struct rab_outline o = {0};
        struct rab_error err = {0};
        cr_assert(rab_outline_rectangle((struct rab_box){-3, 5, -3 + w, 5 + h}, r, &o, &err));
        cr_expect_eq(o.count, cases[i].vertices);
        expect_near(rab_outline_area(&o), w * h - (4 - RAB_PI) * r * r, 1e-13, "area");
        expect_near(rab_outline_perimeter(&o), 2 * (w + h) - 8 * r + 2 * RAB_PI * r, 1e-13,
                    "perimeter");
        const struct rab_box box = rab_outline_box(&o);
        cr_expect(fabs(box.x0 + 3) + fabs(box.x1 + 3 - w) + fabs(box.y0 - 5) +
                      fabs(box.y1 - 5 - h) <
                  1e-12);
        cr_expect(fabs(rab_outline_centroid(&o).x + 3 - w / 2) < 1e-12 * w);
        rab_outline_clear(&o);
    }
}

Test(outline_measure, what_cannot_be_made)
{
    const struct rab_box good = {0, 0, 10, 6};
    struct rab_outline o = {0};
    struct rab_error err = {0};
    const double radii[] = {-1, 3.0001, NAN};
    for (size_t i = 0; i < 3; i++) {
        err = (struct rab_error){0};
        cr_expect_not(rab_outline_rectangle(good, radii[i], &o, &err));
        cr_expect_eq(err.fault, RAB_FAULT_GEOMETRY);
    }
    err = (struct rab_error){0};
    cr_expect_not(rab_outline_rectangle((struct rab_box){0, 0, 0, 6}, 0, &o, &err));
    cr_expect_eq(err.fault, RAB_FAULT_GEOMETRY);
    err = (struct rab_error){0};
    cr_expect_not(rab_outline_circle((struct rab_point){0, 0}, 0, &o, &err));
    cr_expect_eq(err.fault, RAB_FAULT_GEOMETRY);
    err = (struct rab_error){0};
    cr_expect_not(rab_outline_circle((struct rab_point){NAN, 0}, 1, &o, &err));
    cr_expect_eq(err.fault, RAB_FAULT_INPUT);
    err = (struct rab_error){0};
    cr_expect_not(rab_outline_add(&o, 0, 0, INFINITY, &err));
    cr_expect_eq(err.fault, RAB_FAULT_INPUT);
    cr_expect_null(o.vertices);
}

/* Of an arc the box is that of its ends and of those of its circle's four extreme points that lie
 * on it: by angles, in long double. */
Test(outline_measure, boxes_of_arcs)
{
    struct random random = {32};
    for (int n = 0; n < 100000; n++) {
        const double bulge = random_below(&random, 4) ? random_size(&random, 1e-3, 30)
                                                      : random_size(&random, 1e-12, 1e-3);
        struct rab_vertex a = {random_between(&random, -9, 9), random_between(&random, -9, 9),
                               bulge};
        struct rab_point b = {random_between(&random, -9, 9), random_between(&random, -9, 9)};
        switch (random_below(&random, 6)) { /* upright, level, an extreme point at an end */
        case 0:
            b.x = a.x;
            break;
        case 1:
            b.y = a.y;
            break;
        case 2:
            a.bulge = random_below(&random, 2) ? 1 : -1;
            b.x = a.x;
            break;
        default:
            break;
        }
        const long double be = a.bulge, t = 4 * atanl(be);
        const long double dx = (long double)b.x - a.x, dy = (long double)b.y - a.y;
        const long double q = (1 - be * be) / (4 * be);
        const long double cx = a.x + dx / 2 - dy * q, cy = a.y + dy / 2 + dx * q;
        const long double r = hypotl(a.x - cx, a.y - cy), from = atan2l(a.y - cy, a.x - cx);
        long double x0 = fminl(a.x, b.x), x1 = fmaxl(a.x, b.x);
        long double y0 = fminl(a.y, b.y), y1 = fmaxl(a.y, b.y);
        for (int quarter = -8; quarter <= 8; quarter++) {
            const long double angle = quarter * acosl(-1) / 2, way = (angle - from) / t;
            if (!(way > 0 && way < 1))
                continue;
            const int side = ((quarter % 4) + 4) % 4;
            if (side == 0)
                x1 = cx + r;
            else if (side == 1)
                y1 = cy + r;
            else if (side == 2)
                x0 = cx - r;
            else
                y0 = cy - r;
        }
        const struct rab_box box = rab_box_arc(a, b);
        const double off = 1e-13 + (double)r * 1e-15;
        cr_assert(fabs(box.x0 - (double)x0) < off && fabs(box.x1 - (double)x1) < off &&
                      fabs(box.y0 - (double)y0) < off && fabs(box.y1 - (double)y1) < off,
                  "case %d: bulge %g", n, a.bulge);
    }
}

static void random_outline(struct random *random, struct rab_outline *out)
{
    const int count = 2 + random_below(random, 12);
    for (int i = 0; i < count; i++)
        put(out, random_between(random, -9, 9), random_between(random, -9, 9),
            random_below(random, 3) ? random_size(random, 0.01, 3) : 0);
}

/* Movements keep lengths and areas, scaling multiplies them; the centroid goes along. */
Test(outline_measure, moving)
{
    struct random random = {33};
    for (int n = 0; n < 2000; n++) {
        struct rab_outline o = {0}, copy = {0};
        struct rab_error err = {0};
        random_outline(&random, &o);
        cr_assert(rab_outline_copy(&o, &copy, &err));
        const double area = rab_outline_area(&o), perimeter = rab_outline_perimeter(&o);
        const double near = 1e-12 * perimeter * perimeter;
        const struct rab_point c = rab_outline_centroid(&o), about = {3, -2};
        const bool balanced = fabs(area) > 1; /* else the centroid may be anywhere */

        rab_outline_move(&o, 5, -7);
        cr_expect(fabs(rab_outline_area(&o) - area) < near);
        struct rab_point now = rab_outline_centroid(&o);
        cr_expect(!balanced || hypot(now.x - c.x - 5, now.y - c.y + 7) < 1e-11 * perimeter);
        rab_outline_move(&o, -5, 7);

        const double angle = random_between(&random, -7, 7);
        rab_outline_turn(&o, angle, about);
        cr_expect(fabs(rab_outline_area(&o) - area) < near);
        expect_near(rab_outline_perimeter(&o), perimeter, 1e-13, "turned perimeter");
        now = rab_outline_centroid(&o);
        const double x = about.x + cos(angle) * (c.x - about.x) - sin(angle) * (c.y - about.y);
        const double y = about.y + sin(angle) * (c.x - about.x) + cos(angle) * (c.y - about.y);
        cr_expect(!balanced || hypot(now.x - x, now.y - y) < 1e-10 * perimeter);
        rab_outline_turn(&o, -angle, about);

        rab_outline_scale(&o, 2.5, about);
        cr_expect(fabs(rab_outline_area(&o) - 6.25 * area) < 6.25 * near);
        expect_near(rab_outline_perimeter(&o), 2.5 * perimeter, 1e-13, "scaled perimeter");
        rab_outline_scale(&o, 0.4, about);

        /* A mirrored outline keeps its direction, so the area its sign; its box is mirrored. */
        const struct rab_box box = rab_outline_box(&o);
        rab_outline_mirror(&o, 1.5);
        cr_expect(fabs(rab_outline_area(&o) - area) < near);
        const struct rab_box other = rab_outline_box(&o);
        cr_expect(fabs(other.x0 - 3 + box.x1) < 1e-12 && fabs(other.x1 - 3 + box.x0) < 1e-12 &&
                  fabs(other.y0 - box.y0) < 1e-12 && fabs(other.y1 - box.y1) < 1e-12);
        rab_outline_mirror(&o, 1.5);

        rab_outline_reverse(&o);
        cr_expect(fabs(rab_outline_area(&o) + area) < near);
        expect_near(rab_outline_perimeter(&o), perimeter, 1e-14, "reversed perimeter");
        rab_outline_reverse(&o);
        for (size_t i = 0; i < o.count; i++) {
            cr_expect(hypot(o.vertices[i].x - copy.vertices[i].x,
                            o.vertices[i].y - copy.vertices[i].y) < 1e-12);
            cr_expect_eq(o.vertices[i].bulge, copy.vertices[i].bulge);
        }
        rab_outline_clear(&o);
        rab_outline_clear(&copy);
    }
}

/* Far from the origin digits are lost to coordinates, not to sums. */
Test(outline_measure, far_from_the_origin)
{
    struct rab_outline o = {0};
    struct rab_error err = {0};
    cr_assert(rab_outline_rectangle((struct rab_box){1e6, 1e6, 1e6 + 8, 1e6 + 4}, 1, &o, &err));
    expect_near(rab_outline_area(&o), 32 - (4 - RAB_PI), 1e-9, "area");
    cr_expect(fabs(rab_outline_centroid(&o).x - 1e6 - 4) < 1e-8);
    rab_outline_clear(&o);
}

Test(outline_measure, empty_and_flat)
{
    struct rab_outline o = {0};
    cr_expect_eq(rab_outline_area(&o), 0);
    cr_expect_eq(rab_outline_perimeter(&o), 0);
    cr_expect_gt(rab_outline_box(&o).x0, rab_outline_box(&o).x1);
    rab_outline_reverse(&o);
    put(&o, 1, 2, 0);
    cr_expect_eq(rab_outline_perimeter(&o), 0);
    cr_expect_eq(rab_outline_centroid(&o).x, 1);
    put(&o, 3, 2, 0);
    cr_expect_eq(rab_outline_area(&o), 0);
    cr_expect_eq(rab_outline_perimeter(&o), 4);
    cr_expect_eq(rab_outline_centroid(&o).x, 2);
    o.open = true;
    cr_expect_eq(rab_outline_perimeter(&o), 2);
    rab_outline_clear(&o);
}

/* A split arc keeps its length and its circle. */
Test(outline_measure, splitting)
{
    struct random random = {34};
    for (int n = 0; n < 5000; n++) {
        const struct arc arc = arc_make(
            (struct rab_vertex){random_between(&random, -9, 9), random_between(&random, -9, 9),
                                random_below(&random, 4) ? random_size(&random, 1e-6, 20) : 0},
            (struct rab_point){random_between(&random, -9, 9), random_between(&random, -9, 9)});
        const double share = random_between(&random, 0, 1);
        const struct rab_point at = arc_at(&arc, share, NULL);
        cr_assert(arc_distance(&arc, at, NULL) < 1e-13 * (9 + arc_length(&arc)));
        cr_assert(fabs(arc_share(&arc, at) - share) < 1e-9);
        double first, second;
        arc_split(&arc, at, &first, &second);
        const struct arc p = arc_make((struct rab_vertex){arc.a.x, arc.a.y, first}, at);
        const struct arc q = arc_make((struct rab_vertex){at.x, at.y, second}, arc.b);
        cr_assert(fabs(arc_length(&p) + arc_length(&q) - arc_length(&arc)) <
                  1e-12 * arc_length(&arc));
        cr_assert(fabs(p.k - arc.k) < 1e-7 * fabs(arc.k) + 1e-12 || share < 1e-3);
    }
}
