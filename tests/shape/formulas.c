/*
 * What shape files draw, against published formulas. Each is named beside its check; MathWorld is
 * E. W. Weisstein's, at mathworld.wolfram.com. The names of the laws and their sources are quoted
 * from memory, the formulas were derived again where the comment says how.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <rabbet/shape.h>
#include <string.h>

#include "joints.h"

static struct rab_library *library;

static void open_library(void)
{
    struct rab_error err = {0};
    cr_assert(rab_library_open(NULL, 0, &library, NULL, &err), "%s", err.text);
}

static void close_library(void)
{
    rab_library_close(library);
}

TestSuite(shape_formulas, .init = open_library, .fini = close_library);

/* ---- drawing ---- */

/* A shape with what stands in its <paper>, and whatever else. */
static struct rab_figure drawn_with(const char *paper, const char *rest)
{
    const struct rab_shape *shape;
    struct rab_text text = {0};
    struct rab_figure figure = {0};
    struct rab_error err = {0};

    rab_text_format(&text,
                    "<shape xmlns=\"urn:rabbet:shape:1\"><title>T</title><about>A.</about>"
                    "<paper>%s</paper>%s</shape>",
                    paper, rest);
    cr_assert(rab_library_add(library, "tried", text.data, text.length, NULL, &err), "%s",
              err.text);
    shape = rab_library_find(library, "tried", &err);
    cr_assert(shape != NULL, "%s", err.text);
    cr_assert(rab_shape_draw(library, shape, (const double[]){0}, 0, &figure, &err), "%s: %s",
              paper, err.text);
    rab_text_clear(&text);
    return figure;
}

static struct rab_region drawn(const char *paper)
{
    struct rab_figure figure = drawn_with(paper, "");
    cr_assert_eq(figure.path_count, 0);
    cr_assert_eq(figure.place_count, 0);
    return figure.paper; /* nothing else is in it */
}

static void expect_near(double got, double want, double within, const char *what)
{
    cr_expect(fabs(got - want) <= within, "%s: %.12g, should be %.12g", what, got, want);
}

/* Also valid, and of so many vertices in all. */
static void expect_paper(struct rab_region *paper, double area, double perimeter, size_t vertices)
{
    struct rab_error err = {0};
    cr_expect(rab_region_check(paper, &err), "%s", err.text);
    expect_near(rab_region_area(paper), area, 1e-9 * (1 + area), "area");
    expect_near(rab_region_perimeter(paper), perimeter, 1e-9 * (1 + perimeter), "perimeter");
    cr_expect_eq(rab_region_vertices(paper), vertices, "%zu vertices, %zu would do",
                 rab_region_vertices(paper), vertices);
    rab_region_clear(paper);
}

static void expect_box(const struct rab_region *paper, double x0, double y0, double x1, double y1)
{
    const struct rab_box box = rab_region_box(paper);
    expect_near(box.x0, x0, 1e-9, "left");
    expect_near(box.y0, y0, 1e-9, "bottom");
    expect_near(box.x1, x1, 1e-9, "right");
    expect_near(box.y1, y1, 1e-9, "top");
}

/* ---- polygons and stars ---- */

/* Source: MathWorld, Regular Polygon: A = n R^2 sin(2 pi/n) / 2, side 2 R sin(pi/n), apothem R
 * cos(pi/n). */
Test(shape_formulas, regular_polygons)
{
    for (int n = 3; n <= 24; n++) {
        struct rab_text text = {0};
        const double r = 37.5;
        rab_text_format(&text, "<polygon sides=\"%d\" radius=\"37.5mm\"/>", n);
        struct rab_region paper = drawn(text.data);
        expect_near(rab_region_box(&paper).y0, -r * cos(RAB_PI / n), 1e-9, "a side at the bottom");
        expect_paper(&paper, n * r * r * sin(2 * RAB_PI / n) / 2, 2 * n * r * sin(RAB_PI / n),
                     (size_t)n);
        rab_text_clear(&text);
    }
}

/* 2n triangles with the middle, each R r sin(pi/n) / 2. */
Test(shape_formulas, stars)
{
    for (int n = 3; n <= 20; n++) {
        struct rab_text text = {0};
        const double r = 11, big = 30, angle = RAB_PI / n;
        rab_text_format(&text, "<star points=\"%d\" outer=\"30mm\" inner=\"11mm\"/>", n);
        struct rab_region paper = drawn(text.data);
        expect_near(rab_region_box(&paper).y1, big, 1e-9, "a point at the top");
        expect_paper(&paper, n * big * r * sin(angle),
                     2 * n * sqrt(big * big + r * r - 2 * big * r * cos(angle)), 2 * (size_t)n);
        rab_text_clear(&text);
    }
}

/* Source: MathWorld, Pentagram: the inner pentagon's radius is the outer one's over phi^2; then
 * each side of the star lies in one line with another. */
Test(shape_formulas, pentagram)
{
    struct rab_region paper =
        drawn("<star points=\"5\" outer=\"30mm\" inner=\"30mm * (3 - sqrt(5)) / 2\"/>");
    const struct rab_outline *o = &paper.outlines[0];
    for (size_t i = 0; i < 10; i++) {
        double least = 1;
        for (size_t k = 0; k < 10; k++)
            if (k != i)
                least = fmin(
                    least,
                    fabs(remainder(joint_direction(o, i, 0) - joint_direction(o, k, 0), RAB_PI)));
        cr_expect_lt(least, 1e-12, "side %zu lies in no line with another", i);
    }
    /* The chord over two fifths of the circle, 2 R sin(72 deg), is cut in ratios 1 : 1/phi : 1. */
    const double phi = (1 + sqrt(5)) / 2, tip = 2 * 30 * sin(0.4 * RAB_PI) / (2 + 1 / phi);
    expect_near(rab_region_perimeter(&paper), 10 * tip, 1e-9, "perimeter");
    rab_region_clear(&paper);
}

/* ---- round things ---- */

/* Source: MathWorld, Annulus, Circular Sector, Annulus Sector, Stadium. */
Test(shape_formulas, rounds)
{
    struct rab_region paper = drawn("<circle radius=\"12.7mm\"/>");
    expect_paper(&paper, RAB_PI * 12.7 * 12.7, 2 * RAB_PI * 12.7, 2);
    paper = drawn("<ring outer=\"30mm\" inner=\"18mm\"/>");
    expect_paper(&paper, RAB_PI * (900 - 324), 2 * RAB_PI * 48, 4);
    paper = drawn("<sector radius=\"40mm\" from=\"10deg\" to=\"85deg\"/>");
    const double angle = 75 * RAB_PI / 180;
    expect_paper(&paper, 1600 * angle / 2, 80 + 40 * angle, 3);
    paper = drawn("<sector radius=\"40mm\" inner=\"15mm\" from=\"10deg\" to=\"85deg\"/>");
    expect_paper(&paper, (1600 - 225) * angle / 2, 50 + 55 * angle, 4);
    /* Over half a circle each arc takes two. */
    paper = drawn("<sector radius=\"40mm\" inner=\"15mm\" from=\"0deg\" to=\"300deg\"/>");
    const double wide = 300 * RAB_PI / 180;
    expect_paper(&paper, (1600 - 225) * wide / 2, 50 + 55 * wide, 6);
    paper = drawn("<stadium width=\"70mm\" height=\"24mm\"/>");
    expect_box(&paper, 0, 0, 70, 24);
    expect_paper(&paper, RAB_PI * 144 + 24 * 46, 2 * RAB_PI * 12 + 2 * 46, 4);
    paper = drawn("<stadium width=\"24mm\" height=\"70mm\"/>");
    expect_box(&paper, 0, 0, 24, 70);
    expect_paper(&paper, RAB_PI * 144 + 24 * 46, 2 * RAB_PI * 12 + 2 * 46, 4);
}

/* Corners of a rectangle: a round one and a cove leave out (1 - pi/4) s^2 and pi/4 s^2, a bevel
 * half the square, a notch all of it. */
Test(shape_formulas, four_kinds_of_corner)
{
    static const struct {
        const char *name;
        double lost, side; /* per corner: of s^2, and what replaces 2 s of the sides */
        size_t vertices;
    } kinds[] = {{"round", 1 - RAB_PI / 4, RAB_PI / 2, 8},
                 {"cove", RAB_PI / 4, RAB_PI / 2, 8},
                 {"bevel", 0.5, 1.41421356237309515, 8},
                 {"notch", 1, 2, 12}};
    for (size_t i = 0; i < 4; i++) {
        struct rab_text text = {0};
        const double s = 7.5;
        rab_text_format(&text,
                        "<rectangle x=\"-20mm\" y=\"3mm\" width=\"80mm\" height=\"50mm\" "
                        "corners=\"%s\" size=\"7.5mm\"/>",
                        kinds[i].name);
        struct rab_region paper = drawn(text.data);
        expect_box(&paper, -20, 3, 60, 53);
        expect_paper(&paper, 4000 - 4 * kinds[i].lost * s * s, 260 - 8 * s + 4 * kinds[i].side * s,
                     kinds[i].vertices);
        rab_text_clear(&text);
    }
}

/* Source: MathWorld, Reuleaux Triangle: s^2 (pi - sqrt 3) / 2, perimeter pi s. */
Test(shape_formulas, reuleaux)
{
    struct rab_region paper =
        drawn("<intersection><circle radius=\"24mm\"/><circle x=\"24mm\" radius=\"24mm\"/>"
              "<circle x=\"12mm\" y=\"24mm * sqrt(3) / 2\" radius=\"24mm\"/></intersection>");
    expect_paper(&paper, 24 * 24 * (RAB_PI - sqrt(3)) / 2, RAB_PI * 24, 3);
}

/* Source: MathWorld, Lens: d = distance of the centres, two equal circles of radius r:
 * 2 r^2 acos(d / 2r) - d sqrt(4 r^2 - d^2) / 2. */
Test(shape_formulas, lens)
{
    struct rab_region paper =
        drawn("<intersection><circle radius=\"20mm\"/><circle x=\"14mm\" radius=\"20mm\"/>"
              "</intersection>");
    expect_paper(&paper, 800 * acos(0.35) - 7 * sqrt(1600 - 196), 80 * acos(0.35), 2);
}

/* ---- arches ---- */

/* Source: the project's list of check values; the sums are Steiner's formula, A + P s + pi s^2 and
 * P + 2 pi s, for a convex shape grown round by s. */
Test(shape_formulas, round_arch_and_its_growing)
{
    static const char *const arch = "<arch width=\"40mm\" spring=\"60mm\" radius=\"20mm\"/>";
    static const double grown[][3] = {
        {3, 3725.088424, 241.681409}, {4, 3969.911425, 247.964594}, {5, 4221.017612, 254.247780}};
    struct rab_region paper = drawn(arch);
    expect_box(&paper, 0, 0, 40, 80);
    expect_near(rab_region_area(&paper), 3028.318531, 1e-6, "area");
    expect_near(rab_region_perimeter(&paper), 222.831853, 1e-6, "perimeter");
    expect_paper(&paper, 2400 + RAB_PI * 200, 160 + RAB_PI * 20, 4);
    for (size_t i = 0; i < 3; i++) {
        struct rab_text text = {0};
        rab_text_format(&text, "<grow by=\"%dmm\">%s</grow>", (int)grown[i][0], arch);
        paper = drawn(text.data);
        expect_near(rab_region_area(&paper), grown[i][1], 1e-6, "area grown");
        expect_near(rab_region_perimeter(&paper), grown[i][2], 1e-6, "perimeter grown");
        rab_region_clear(&paper);
        rab_text_clear(&text);
    }
    struct rab_text text = {0};
    rab_text_format(&text, "<grow by=\"4mm\" corners=\"pointed\">%s</grow>", arch);
    paper = drawn(text.data);
    expect_near(rab_region_area(&paper), 3976.778684, 1e-6, "area grown with points");
    expect_near(rab_region_perimeter(&paper), 176 + 24 * RAB_PI, 1e-9,
                "perimeter grown with points");
    rab_region_clear(&paper);
    rab_text_clear(&text);
}

/* Source: handbooks of Gothic tracery: the equilateral arch is struck with the span as its radius
 * from each springing point, so that springing points and crown are an equilateral triangle: it is
 * span sqrt(3) / 2 high. Head: two sectors of 60 deg less the triangle they share, each arc pi/3 s.
 */
Test(shape_formulas, equilateral_arch)
{
    struct rab_region paper = drawn("<arch width=\"36mm\" spring=\"0mm\" radius=\"36mm\"/>");
    expect_box(&paper, 0, 0, 36, 36 * sqrt(3) / 2);
    expect_paper(&paper, 1296 * (RAB_PI / 3 - sqrt(3) / 4), 36 + 2 * 36 * RAB_PI / 3, 3);
    paper = drawn("<arch width=\"36mm\" spring=\"50mm\" radius=\"36mm\"/>");
    expect_box(&paper, 0, 0, 36, 50 + 36 * sqrt(3) / 2);
    expect_paper(&paper, 1800 + 1296 * (RAB_PI / 3 - sqrt(3) / 4), 136 + 2 * 36 * RAB_PI / 3, 5);
}

/* Two arcs of radius r over the span w: centres at the springing level, r - w/2 beyond the middle.
 * Rise sqrt(r w - w^2/4) (chord theorem); each half is a sector of angle acos((r - w/2)/r) less the
 * triangle under it. */
Test(shape_formulas, lancet_and_drop_arches)
{
    static const double proportions[] = {0.6, 0.75, 1, 1.25, 1.5, 2, 4};
    for (size_t i = 0; i < sizeof proportions / sizeof *proportions; i++) {
        struct rab_text text = {0};
        const double w = 28, r = w * proportions[i], rise = sqrt(r * w - w * w / 4);
        const double angle = acos((r - w / 2) / r);
        rab_text_add(&text, "<arch x=\"-14mm\" width=\"28mm\" spring=\"40mm\" radius=\"28mm * ");
        rab_text_number(&text, proportions[i]);
        rab_text_add(&text, "\"/>");
        struct rab_region paper = drawn(text.data);
        expect_box(&paper, -14, 0, 14, 40 + rise);
        expect_paper(&paper, 40 * w + r * r * angle - (r - w / 2) * rise, w + 80 + 2 * r * angle,
                     5);
        rab_text_clear(&text);
    }
}

/* Source: the intersecting chords theorem (Euclid III.35): R = (s^2/4 + h^2) / (2h) for a segment
 * of span s and rise h, arc 2 R asin(s / 2R); and bulge = 2h / s by its definition. */
Test(shape_formulas, segmental_arch)
{
    for (double h = 2; h <= 20; h += 3) {
        const double s = 40, r = (s * s / 4 + h * h) / (2 * h), angle = 2 * asin(s / (2 * r));
        struct rab_text by_bulge = {0}, by_radius = {0};
        rab_text_add(&by_bulge,
                     "<outline><start x=\"0\" y=\"0\"/><line x=\"40mm\"/><line y=\"30mm\"/>"
                     "<arc x=\"0\" bulge=\"2 * ");
        rab_text_number(&by_bulge, h);
        rab_text_add(&by_bulge, "mm / 40mm\"/></outline>");
        rab_text_add(&by_radius,
                     "<outline><start x=\"0\" y=\"0\"/><line dx=\"40mm\"/><line dy=\"30mm\"/>"
                     "<arc dx=\"-40mm\" radius=\"");
        rab_text_number(&by_radius, r);
        rab_text_add(&by_radius, "mm\"/></outline>");
        for (int way = 0; way < 2; way++) {
            struct rab_region paper = drawn(way ? by_radius.data : by_bulge.data);
            expect_box(&paper, 0, 0, s, 30 + h);
            expect_paper(&paper, 30 * s + r * r * (angle - sin(angle)) / 2, s + 60 + r * angle, 4);
        }
        rab_text_clear(&by_bulge);
        rab_text_clear(&by_radius);
    }
}

/* An arc is the same by bulge = tan(angle/4), by its angle, and by its radius, either way round and
 * over half a circle. */
Test(shape_formulas, four_ways_to_say_an_arc)
{
    static const char *const ways[] = {
        "bulge=\"tan(250deg / 4)\"", "angle=\"250deg\"",
        "radius=\"30mm / (2 * sin(125deg))\" large=\"yes\"",
        "radius=\"30mm / (2 * sin(125deg))\" side=\"left\" large=\"yes\""};
    const double r = 30 / (2 * sin(125 * RAB_PI / 180)), angle = 250 * RAB_PI / 180;
    for (size_t i = 0; i < 4; i++) {
        struct rab_text text = {0};
        rab_text_format(&text,
                        "<outline><start x=\"0\" y=\"0\"/><arc x=\"0\" y=\"30mm\" %s/></outline>",
                        ways[i]);
        struct rab_region paper = drawn(text.data);
        expect_paper(&paper, r * r * (angle - sin(angle)) / 2, 30 + r * angle, 3);
        rab_text_clear(&text);
    }
    /* To the right and short: the segment of 110 deg. */
    struct rab_region paper =
        drawn("<outline><start x=\"0\" y=\"0\"/><arc x=\"0\" y=\"30mm\" "
              "radius=\"30mm / (2 * sin(55deg))\" side=\"right\"/></outline>");
    const double s = 15 / sin(55 * RAB_PI / 180), a = 110 * RAB_PI / 180;
    cr_expect_lt(rab_region_box(&paper).x0, -1);
    expect_paper(&paper, s * s * (a - sin(a)) / 2, 30 + s * a, 2);
}

/* An ogee of equal arcs is symmetric about the middle of each of its sides, where they meet: it
 * covers what the triangle of its chords covers. */
Test(shape_formulas, ogee)
{
    struct rab_figure figure = drawn_with(
        "<outline><start x=\"0\" y=\"0\"/><line x=\"20mm\"/>"
        "<arc x=\"10mm\" y=\"15mm\" angle=\"60deg\"/><arc x=\"0\" y=\"30mm\" angle=\"-60deg\"/>"
        "<mirror x=\"0\"/></outline>",
        "");
    const struct rab_outline *o = &figure.paper.outlines[0];
    const double half = hypot(10, 15), arc = half / (2 * sin(RAB_PI / 6)) * RAB_PI / 3;
    cr_expect_eq(joints_smooth(o), 2, "%zu", joints_smooth(o));
    expect_paper(&figure.paper, 600, 40 + 4 * arc, 5);
}

/* ---- foils ---- */

/* Source: MathWorld, Quatrefoil: four half circles on the sides of a square: s^2 (1 + pi/2), 2 pi
 * s. */
Test(shape_formulas, quatrefoil)
{
    struct rab_region paper =
        drawn("<rectangle x=\"-10mm\" y=\"-10mm\" width=\"20mm\" height=\"20mm\"/>"
              "<around count=\"4\"><circle x=\"10mm\" radius=\"10mm\"/></around>");
    expect_paper(&paper, 400 * (1 + RAB_PI / 2), 2 * RAB_PI * 20, 4);
}

/*
 * n circles of radius r about the corners of a regular polygon of radius d, the middle filled. In
 * the triangle middle - centre - cusp the cusp lies at the distance c in the direction pi/n: c = d
 * cos(pi/n) + sqrt(r^2 - d^2 sin^2(pi/n)), and with g the angle at the centre, cos g = (d^2 + r^2 -
 * c^2) / (2 d r), the foil is 2n such triangles and n sectors of 2 (pi - g): area n (d c sin(pi/n)
 * + r^2 (pi - g)), perimeter 2 n r (pi - g). With r half a side the circles touch and this is
 * polygon + pi r^2 (n/2 + 1).
 */
Test(shape_formulas, foils)
{
    for (int n = 3; n <= 12; n++)
        for (int wide = 0; wide < 3; wide++) {
            struct rab_text text = {0};
            const double d = 20, half = d * sin(RAB_PI / n), r = half * (1 + wide / 4.0);
            const double c = d * cos(RAB_PI / n) + sqrt(fmax(0, r * r - half * half));
            const double g = acos((d * d + r * r - c * c) / (2 * d * r));
            rab_text_format(
                &text,
                "<outline><start x=\"0\" y=\"20mm\"/><repeat count=\"%d\"><line "
                "x=\"-20mm * sin(360deg * (i + 1) / %d)\" y=\"20mm * cos(360deg * (i + 1) / "
                "%d)\"/></repeat></outline><around count=\"%d\"><circle y=\"20mm\" "
                "radius=\"20mm * sin(180deg / %d) * (1 + %d / 4)\"/></around>",
                n - 1, n, n, n, n, wide);
            struct rab_region paper = drawn(text.data);
            rab_text_clear(&text);
            /* Each lobe is more than half a circle: two vertices. */
            const size_t each = RAB_PI - g > RAB_PI / 2 + 1e-9 ? 2 : 1;
            if (wide > 0) {
                expect_paper(&paper, n * (d * c * sin(RAB_PI / n) + r * r * (RAB_PI - g)),
                             2 * n * r * (RAB_PI - g), each * (size_t)n);
                continue;
            }
            /* Where circles only touch, points closer than the room's 1e-7 mm are one, so that a
             * cusp may lie up to sqrt(2 r 1e-7) further along: each costs 1e-7 mm of length. */
            const double touching =
                n * d * d * sin(2 * RAB_PI / n) / 2 + RAB_PI * r * r * (n / 2.0 + 1);
            expect_near(rab_region_area(&paper), touching, 1e-6, "area of touching foils");
            expect_near(rab_region_perimeter(&paper), n * r * (RAB_PI + 2 * RAB_PI / n),
                        2e-7 * 2 * n, "perimeter of touching foils");
            rab_region_clear(&paper);
        }
}

/* ---- rounding ---- */

/* Between two lines that meet at the angle v a circle of radius r touches both at r / tan(v/2) from
 * the corner; the corner loses r^2 (1 / tan(v/2) - (pi - v) / 2). */
Test(shape_formulas, fillets_between_lines)
{
    struct rab_region paper = drawn("<outline><start x=\"0\" y=\"0\" round=\"3mm\"/>"
                                    "<line x=\"60mm\" round=\"5mm\"/>"
                                    "<line x=\"20mm\" y=\"40mm\" round=\"4mm\"/></outline>");
    const double v[3] = {atan2(40, 20), atan2(40, 40), RAB_PI - atan2(40, 20) - atan2(40, 40)};
    const double r[3] = {3, 5, 4};
    double area = 1200, perimeter = 60 + hypot(40, 40) + hypot(20, 40);
    for (int i = 0; i < 3; i++) {
        area -= r[i] * r[i] * (1 / tan(v[i] / 2) - (RAB_PI - v[i]) / 2);
        perimeter -= r[i] * (2 / tan(v[i] / 2) - (RAB_PI - v[i]));
    }
    cr_expect_eq(joints_smooth(&paper.outlines[0]), 6);
    expect_paper(&paper, area, perimeter, 6);
}

/* Inside a half circle of radius R on its diameter: the circle of radius r that touches both has
 * its centre r above the diameter and R - r from the middle; it touches the diameter at
 * sqrt((R-r)^2 - r^2) from the middle. */
Test(shape_formulas, fillets_between_line_and_arc)
{
    const double big = 30, r = 4, x = sqrt((big - r) * (big - r) - r * r);
    struct rab_region paper = drawn("<outline><start x=\"-30mm\" y=\"0\" round=\"4mm\"/>"
                                    "<line x=\"30mm\" round=\"4mm\"/>"
                                    "<arc x=\"-30mm\" bulge=\"1\"/></outline>");
    const struct rab_outline *o = &paper.outlines[0];
    cr_expect_eq(joints_smooth(o), 4);
    cr_expect_eq(o->count, 4);
    cr_expect_eq(joints_arcs_of(o, r), 2);
    cr_expect_eq(joints_arcs_of(o, big), 1);
    /* The line is 2x long, the small arcs turn by 90 deg + t, the big one by 180 deg - 2t, where t
     * is how far their touching points stand over the diameter: sin t = r / (R - r). */
    const double t = asin(r / (big - r));
    expect_near(rab_region_perimeter(&paper),
                2 * x + 2 * r * (RAB_PI / 2 + t) + big * (RAB_PI - 2 * t), 1e-9, "perimeter");
    expect_near(rab_region_area(&paper),
                x * r + r * r * (RAB_PI / 2 + t) + big * big * (RAB_PI - 2 * t) / 2, 1e-9, "area");
    rab_region_clear(&paper);
}

/* At the cusp between two arcs the rounding circle touches both: from outside of the lens of two
 * circles (centres +-d) its centre lies on the axis at the height sqrt((R - r)^2 - d^2). */
Test(shape_formulas, fillets_between_arcs)
{
    struct rab_region paper =
        drawn("<outline><start x=\"0\" y=\"-sqrt((30mm)^2 - (18mm)^2)\" round=\"3mm\"/>"
              "<arc x=\"0\" y=\"sqrt((30mm)^2 - (18mm)^2)\" radius=\"30mm\" round=\"3mm\"/>"
              "<arc x=\"0\" y=\"-sqrt((30mm)^2 - (18mm)^2)\" radius=\"30mm\"/></outline>");
    const struct rab_outline *o = &paper.outlines[0];
    const double height = sqrt(27.0 * 27 - 18 * 18) + 3;
    cr_expect_eq(joints_smooth(o), 4);
    cr_expect_eq(joints_arcs_of(o, 30), 2);
    cr_expect_eq(joints_arcs_of(o, 3), 2);
    expect_box(&paper, -12, -height, 12, height);
    rab_region_clear(&paper);
    /* In the re-entrant corner between the lobes of a twofold foil: centre on the axis, R + r from
     * both centres. */
    paper = drawn("<outline><start x=\"0\" y=\"-24mm\" round=\"5mm\"/>"
                  "<arc x=\"0\" y=\"24mm\" radius=\"30mm\" large=\"yes\" round=\"5mm\"/>"
                  "<arc x=\"0\" y=\"-24mm\" radius=\"30mm\" large=\"yes\"/></outline>");
    const struct rab_outline *p = &paper.outlines[0];
    cr_expect_eq(joints_smooth(p), p->count);
    cr_expect_eq(joints_arcs_of(p, 5), 2);
    struct rab_point near;
    const double centre = sqrt(35.0 * 35 - 18 * 18);
    expect_near(rab_outline_distance(p, (struct rab_point){0, centre}, &near), 5, 1e-9,
                "radius of the corner");
    rab_region_clear(&paper);
}

/* ---- ellipses ---- */

/* The Gauss-Kummer series: L = pi (a + b) sum C(1/2, n)^2 h^n, h = ((a - b) / (a + b))^2
 * (MathWorld, Ellipse, Gauss-Kummer Series). It is exact, and ends here when its terms no longer
 * count. */
static double gauss_kummer(double a, double b)
{
    const double h = (a - b) * (a - b) / ((a + b) * (a + b));
    double term = 1, power = 1, sum = 0;
    for (int n = 0; n < 200; n++) {
        sum += term * term * power;
        power *= h;
        term *= (0.5 - n) / (n + 1);
    }
    return RAB_PI * (a + b) * sum;
}

/* L = 4 a E(k), with E's series in k^2 = 1 - b^2/a^2 (Abramowitz and Stegun 17.3.12; DLMF 19.5.2).
 */
static double by_elliptic_integral(double a, double b)
{
    const double m = 1 - b * b / (a * a);
    double factor = 1, power = 1, sum = 1;
    for (int n = 1; n < 20000; n++) {
        factor *= (2.0 * n - 1) / (2.0 * n);
        power *= m;
        sum -= factor * factor * power / (2.0 * n - 1);
    }
    return 2 * RAB_PI * a * sum;
}

Test(shape_formulas, two_series_agree)
{
    /* DLMF 19.6.1 and a circle; and k^2 = 1/2, the lemniscatic case: E = 1.35064388104767550 (A&S,
     * table 17.1). */
    expect_near(gauss_kummer(1, 1), 2 * RAB_PI, 1e-14, "a circle");
    expect_near(gauss_kummer(sqrt(2), 1), 4 * sqrt(2) * 1.35064388104767550, 1e-13, "k^2 = 1/2");
    for (double b = 0.1; b < 1; b += 0.1)
        expect_near(gauss_kummer(1, b), by_elliptic_integral(1, b), 1e-12, "two series");
}

/* The fitted outline lies within the tolerance e of the ellipse. Both are convex, so that the areas
 * differ by at most L e + pi e^2 (Steiner) and the lengths by at most 2 pi e (Cauchy: the length is
 * pi times the mean width). */
Test(shape_formulas, ellipses)
{
    static const double tolerances[] = {0.1, 0.01, 0.001};
    for (double ratio = 0.15; ratio < 1; ratio += 0.17)
        for (size_t t = 0; t < 3; t++) {
            const double a = 60, b = 60 * ratio, e = tolerances[t];
            struct rab_text text = {0};
            struct rab_figure figure = {0};
            struct rab_error err = {0};
            rab_text_add(&text,
                         "<shape xmlns=\"urn:rabbet:shape:1\"><title>T</title><about>A.</about>"
                         "<paper><ellipse width=\"120mm\" height=\"");
            rab_text_number(&text, 2 * b);
            rab_text_add(&text, "mm\"/></paper></shape>");
            cr_assert(rab_library_add(library, "oval", text.data, text.length, NULL, &err), "%s",
                      err.text);
            cr_assert(rab_shape_draw(library, rab_library_find(library, "oval", &err),
                                     (const double[]){0}, e, &figure, &err),
                      "%s", err.text);
            const struct rab_outline *o = &figure.paper.outlines[0];
            cr_expect_eq(figure.paper.count, 1);
            cr_expect_eq(joints_smooth(o), o->count, "%zu of %zu", joints_smooth(o), o->count);
            for (size_t i = 0; i < o->count; i++)
                cr_expect_gt(o->vertices[i].bulge, 0);
            const double length = gauss_kummer(a, b);
            expect_near(rab_region_area(&figure.paper), RAB_PI * a * b, length * e + RAB_PI * e * e,
                        "area");
            expect_near(rab_region_perimeter(&figure.paper), length, 2 * RAB_PI * e, "perimeter");
            /* And no point is further off: its distance from the ellipse is at most |f| / |grad f|
             * at the nearer side, here asked of points along every arc. */
            for (int k = 0; k < 720; k++) {
                const double v = 2 * RAB_PI * k / 720;
                const struct rab_point p = {a * cos(v), b * sin(v)};
                cr_expect_leq(rab_outline_distance(o, p, NULL), e * (1 + 1e-9));
            }
            rab_figure_clear(&figure);
            rab_text_clear(&text);
        }
}

/* ---- combining ---- */

/* Source: inclusion and exclusion, with the lens of MathWorld for two circles that meet. */
Test(shape_formulas, union_intersection_difference)
{
    const double lens = 800 * acos(0.35) - 7 * sqrt(1600 - 196), disc = RAB_PI * 400;
    static const char *const both = "<circle radius=\"20mm\"/><circle x=\"14mm\" radius=\"20mm\"/>";
    static const char *const names[] = {"union", "intersection", "difference"};
    const double areas[] = {2 * disc - lens, lens, disc - lens};
    for (size_t i = 0; i < 3; i++) {
        struct rab_text text = {0};
        rab_text_format(&text, "<%s>%s</%s>", names[i], both, names[i]);
        struct rab_region paper = drawn(text.data);
        expect_near(rab_region_area(&paper), areas[i], 1e-9, names[i]);
        rab_region_clear(&paper);
        rab_text_clear(&text);
    }
}

/* Moving, turning and mirroring keep areas; copies that do not meet add up. */
Test(shape_formulas, copies)
{
    static const char *const rows[] = {
        "<row count=\"7\" x=\"12mm\" y=\"1mm\"><circle radius=\"5mm\"/></row>",
        "<around count=\"7\"><circle x=\"30mm\" radius=\"5mm\"/></around>",
        "<around count=\"7\" x=\"3mm\" y=\"4mm\" by=\"20deg\"><circle x=\"60mm\" "
        "radius=\"5mm\"/></around>",
        "<repeat count=\"7\"><circle x=\"11mm * i\" y=\"i * i * 2mm\" radius=\"5mm\"/></repeat>",
        "<along count=\"7\"><circle radius=\"40mm\"/><circle radius=\"5mm\"/></along>",
        "<along count=\"7\"><outline><start x=\"0\" y=\"0\"/><line x=\"90mm\"/><line "
        "y=\"70mm\"/></outline>"
        "<circle radius=\"5mm\"/></along>"};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct rab_region paper = drawn(rows[i]);
        cr_expect_eq(paper.count, 7, "%s: %zu", rows[i], paper.count);
        expect_paper(&paper, 7 * 25 * RAB_PI, 70 * RAB_PI, 14);
    }
    struct rab_region paper = drawn("<grid columns=\"4\" rows=\"3\" x=\"20mm\" y=\"20mm\" "
                                    "stagger=\"yes\"><circle radius=\"5mm\"/></grid>");
    expect_box(&paper, -5, -5, 75, 45);
    expect_paper(&paper, 12 * 25 * RAB_PI, 120 * RAB_PI, 24);
    paper = drawn("<mirror x=\"0\" both=\"yes\"><turn by=\"90deg\"><polygon x=\"10mm\" y=\"20mm\" "
                  "sides=\"5\" radius=\"4mm\"/></turn></mirror>");
    expect_paper(&paper, 2 * 5 * 16 * sin(0.4 * RAB_PI) / 2, 2 * 10 * 4 * sin(0.2 * RAB_PI), 10);
}
