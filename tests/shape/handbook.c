/*
 * Shapes and motifs of the library against formulas of handbooks, and against worked examples: each
 * names its source. Names of laws and their sources are quoted from memory; how a formula comes
 * about stands beside it.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <rabbet/shape.h>
#include <stdio.h>
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

TestSuite(shape_handbook, .init = open_library, .fini = close_library);

/* Settings as typed: "span=40mm rise=10mm". */
static const struct rab_shape *set(const char *name, const char *settings, double *values)
{
    struct rab_setting list[16];
    char words[300];
    size_t count = 0;
    struct rab_error err = {0};

    const struct rab_shape *shape = rab_library_find(library, name, &err);
    cr_assert(shape != NULL, "%s", err.text);
    snprintf(words, sizeof words, "%s", settings);
    for (char *word = strtok(words, " "); word; word = strtok(NULL, " ")) {
        char *equals = strchr(word, '=');
        cr_assert(equals != NULL);
        *equals = '\0';
        list[count++] = (struct rab_setting){word, equals + 1};
    }
    cr_assert(rab_shape_values(shape, list, count, values, &err), "%s", err.text);
    return shape;
}

static struct rab_figure drawn(const char *name, const char *settings)
{
    double values[64];
    struct rab_figure figure = {0};
    struct rab_error err = {0};
    const struct rab_shape *shape = set(name, settings, values);
    cr_assert(rab_shape_draw(library, shape, values, 0, &figure, &err), "%s", err.text);
    return figure;
}

static void expect_near(double got, double want, double within, const char *what)
{
    cr_expect(fabs(got - want) <= within, "%s: %.12g, should be %.12g", what, got, want);
}

static void expect_size(const struct rab_region *paper, double width, double height)
{
    const struct rab_box box = rab_region_box(paper);
    expect_near(box.x1 - box.x0, width, 1e-9, "width");
    expect_near(box.y1 - box.y0, height, 1e-9, "height");
}

/* ---- arches and ovals ---- */

/* Source: worked example of the project's list of check values: 40 wide, 60 to the springing. */
Test(shape_handbook, round_arch)
{
    struct rab_figure figure = drawn("round-arch", "span=40mm spring=60mm");
    expect_size(&figure.paper, 40, 80);
    expect_near(rab_region_area(&figure.paper), 3028.318531, 1e-6, "area");
    expect_near(rab_region_perimeter(&figure.paper), 222.831853, 1e-6, "perimeter");
    rab_figure_clear(&figure);
}

/* Source: handbooks of Gothic tracery: struck with the span as its radius; span sqrt(3)/2 high. */
Test(shape_handbook, equilateral_arch)
{
    struct rab_figure figure = drawn("lancet-arch", "span=36mm spring=50mm proportion=1");
    expect_size(&figure.paper, 36, 50 + 36 * sqrt(3) / 2);
    cr_expect_eq(joints_arcs_of(&figure.paper.outlines[0], 36), 2);
    expect_near(rab_region_area(&figure.paper), 1800 + 1296 * (RAB_PI / 3 - sqrt(3) / 4), 1e-9,
                "area");
    rab_figure_clear(&figure);
    /* A lancet is struck with more than the span; a half circle with half of it. */
    figure = drawn("lancet-arch", "span=36mm spring=50mm proportion=1.5");
    expect_size(&figure.paper, 36, 50 + sqrt(54 * 36.0 - 18 * 18));
    rab_figure_clear(&figure);
    figure = drawn("lancet-arch", "span=36mm spring=50mm proportion=0.5");
    expect_size(&figure.paper, 36, 68);
    rab_figure_clear(&figure);
}

/* Source: the intersecting chords theorem (Euclid III.35): R = (s^2/4 + h^2) / (2h). */
Test(shape_handbook, segmental_arch)
{
    struct rab_figure figure = drawn("segmental-arch", "span=80mm spring=60mm rise=18mm");
    cr_expect_eq(joints_arcs_of(&figure.paper.outlines[0], (1600.0 + 324) / 36), 1);
    expect_size(&figure.paper, 80, 78);
    rab_figure_clear(&figure);
}

/* Arches of several arcs run smoothly but for their point and their foot: in each the sides, where
 * there are any, go over into the arcs. */
Test(shape_handbook, arcs_that_run_smoothly)
{
    static const struct {
        const char *name, *settings;
        size_t corners;
    } arches[] = {{"ogee-arch", "", 3},        {"ogee-arch", "spring=0mm", 3},
                  {"four-centre-arch", "", 3}, {"four-centre-arch", "turn=60deg", 3},
                  {"lancet-arch", "", 3},      {"round-arch", "", 2},
                  {"four-centre-oval", "", 0}, {"oval", "", 0},
                  {"stadium-label", "", 0}};
    for (size_t i = 0; i < sizeof arches / sizeof *arches; i++) {
        struct rab_figure figure = drawn(arches[i].name, arches[i].settings);
        const struct rab_outline *o = &figure.paper.outlines[0];
        cr_expect_eq(o->count - joints_smooth(o), arches[i].corners, "%s %s: %zu corners",
                     arches[i].name, arches[i].settings, o->count - joints_smooth(o));
        rab_figure_clear(&figure);
    }
}

/* The point of an ogee has the angle asked for: its outside turns by pi less that. */
Test(shape_handbook, point_of_an_ogee)
{
    struct rab_figure figure = drawn("ogee-arch", "point=50deg");
    const struct rab_outline *o = &figure.paper.outlines[0];
    const double top = rab_region_box(&figure.paper).y1;
    size_t points = 0;
    for (size_t i = 0; i < o->count; i++)
        if (fabs(o->vertices[i].y - top) < 1e-9) {
            points++;
            expect_near(joint_turn(o, i), RAB_PI - 50 * RAB_PI / 180, 1e-9, "the point");
        }
    cr_expect_eq(points, 1);
    rab_figure_clear(&figure);
}

/*
 * An oval of four arcs over the axes 2a and 2b: where two of radii r and R meet, their centres (a -
 * r, 0) and (0, b - R) lie in one line with the joint, R - r apart: R = (a^2 + b^2 - 2 a r) / (2 (b
 * - r)). The angle of the side arcs is then 2 atan((a - r) / (R - b)), that of the others pi less
 * that, which gives the perimeter. (Known since Serlio's book of 1545.)
 */
Test(shape_handbook, four_centre_oval)
{
    static const char *const sizes[] = {"width=3in height=2in", "width=100mm height=90mm",
                                        "width=50mm height=120mm"};
    for (size_t i = 0; i < 3; i++) {
        struct rab_figure figure = drawn("four-centre-oval", sizes[i]);
        const struct rab_outline *o = &figure.paper.outlines[0];
        const struct rab_box box = rab_region_box(&figure.paper);
        const double w = box.x1 - box.x0, h = box.y1 - box.y0;
        const double a = fmax(w, h) / 2, b = fmin(w, h) / 2;
        cr_expect_eq(o->count, 4);
        cr_expect_eq(joints_smooth(o), 4);
        const double r = fmin(joint_radius(o, 0), joint_radius(o, 1));
        const double big = fmax(joint_radius(o, 0), joint_radius(o, 1));
        expect_near(big, (a * a + b * b - 2 * a * r) / (2 * (b - r)), 1e-8, "the larger radius");
        const double side = 2 * atan((a - r) / (big - b));
        expect_near(rab_region_perimeter(&figure.paper), 2 * (big * side + r * (RAB_PI - side)),
                    1e-8, "perimeter");
        rab_figure_clear(&figure);
    }
}

/* ---- foils ---- */

/*
 * n foils of radius r about centres at the distance d, all touching the circle of radius d + r
 * round them. In the triangle middle - centre - cusp the cusp lies in the direction pi/n at the
 * distance c = d cos(pi/n) + sqrt(r^2 - d^2 sin^2(pi/n)) (the sine rule); with g the angle at the
 * centre the foil is 2n such triangles and n sectors of 2 (pi - g).
 */
Test(shape_handbook, foils)
{
    static const struct {
        const char *name, *settings;
        int foils;
        double diameter;
    } cases[] = {{"foil", "foils=6 diameter=80mm depth=0.6", 6, 80},
                 {"foil", "foils=11 diameter=80mm depth=0.9", 11, 80},
                 {"trefoil", "diameter=70mm", 3, 70},
                 {"quatrefoil", "diameter=70mm", 4, 70},
                 {"quatrefoil", "diameter=70mm depth=0.3", 4, 70},
                 {"cinquefoil", "diameter=70mm", 5, 70}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct rab_figure figure = drawn(cases[i].name, cases[i].settings);
        const struct rab_outline *o = &figure.paper.outlines[0];
        const double n = cases[i].foils, r = joint_radius(o, 0), d = cases[i].diameter / 2 - r;
        const double c = d * cos(RAB_PI / n) + sqrt(r * r - pow(d * sin(RAB_PI / n), 2));
        const double g = acos((d * d + r * r - c * c) / (2 * d * r));
        cr_expect_eq(o->count - joints_smooth(o), (size_t)n, "%s: cusps", cases[i].name);
        cr_expect_eq(joints_arcs_of(o, r), o->count);
        expect_near(rab_region_area(&figure.paper),
                    n * (d * c * sin(RAB_PI / n) + r * r * (RAB_PI - g)), 1e-7, cases[i].name);
        expect_near(rab_region_perimeter(&figure.paper), 2 * n * r * (RAB_PI - g), 1e-7,
                    cases[i].name);
        rab_figure_clear(&figure);
    }
}

/* ---- polygons ---- */

/* Source: Barbier's theorem and MathWorld, Reuleaux Triangle: sides that bow out by the width's arc
 * about the opposite corner; every width is s, the perimeter pi s, the area s^2 (pi - sqrt 3) / 2.
 * The bow is s (1 - sqrt(3)/2). */
Test(shape_handbook, reuleaux_triangle)
{
    struct rab_text settings = {0};
    rab_text_add(&settings, "sides=3 way=out diameter=80mm bow=");
    rab_text_number(&settings, 1 - sqrt(3) / 2);
    struct rab_figure figure = drawn("curved-polygon", settings.data);
    const double s = 40 * sqrt(3);
    expect_near(rab_region_area(&figure.paper), s * s * (RAB_PI - sqrt(3)) / 2, 1e-8, "area");
    expect_near(rab_region_perimeter(&figure.paper), RAB_PI * s, 1e-8, "perimeter");
    for (int i = 0; i < 36; i++) {
        rab_outline_turn(&figure.paper.outlines[0], RAB_PI / 36, (struct rab_point){3, 4});
        const struct rab_box box = rab_outline_box(&figure.paper.outlines[0]);
        expect_near(box.x1 - box.x0, s, 1e-9, "width");
    }
    rab_text_clear(&settings);
    rab_figure_clear(&figure);
}

/* Source: MathWorld, Star Polygon: the sides of {n/k} lie in the n lines from each point to the
 * k-th after it. */
Test(shape_handbook, star_polygons)
{
    static const int stars[][2] = {{5, 2}, {7, 2}, {7, 3}, {8, 3}, {12, 5}};
    for (size_t i = 0; i < sizeof stars / sizeof *stars; i++) {
        struct rab_text settings = {0};
        const int n = stars[i][0], k = stars[i][1];
        rab_text_format(&settings, "points=%d skip=%d diameter=90mm", n, k);
        struct rab_figure figure = drawn("star-polygon", settings.data);
        const struct rab_outline *o = &figure.paper.outlines[0];
        cr_expect_eq(o->count, 2 * (size_t)n);
        /* Lines at the distance R cos(pi k/n) from the middle, each met by four vertices. */
        for (size_t e = 0; e < o->count; e++) {
            const struct rab_vertex a = o->vertices[e], b = o->vertices[(e + 1) % o->count];
            const double off = fabs(a.x * b.y - a.y * b.x) / hypot(b.x - a.x, b.y - a.y);
            expect_near(off, 45 * cos(RAB_PI * k / n), 1e-9, "a line's distance from the middle");
        }
        rab_text_clear(&settings);
        rab_figure_clear(&figure);
    }
}

/* Source: MathWorld, Regular Polygon: circumradius s / (2 sin(pi/n)), inradius s / (2 tan(pi/n)),
 * area n s^2 / (4 tan(pi/n)). */
Test(shape_handbook, regular_polygons_three_ways)
{
    for (int n = 3; n <= 12; n++) {
        static const char *const ways[] = {"corners", "flats", "side"};
        const double side = 20;
        const double sizes[] = {side / sin(RAB_PI / n), side / tan(RAB_PI / n), side};
        for (int w = 0; w < 3; w++) {
            struct rab_text settings = {0};
            rab_text_format(&settings, "sides=%d by=%s size=", n, ways[w]);
            rab_text_number(&settings, sizes[w]);
            rab_text_add(&settings, "mm");
            struct rab_figure figure = drawn("regular-polygon", settings.data);
            expect_near(rab_region_area(&figure.paper), n * side * side / (4 * tan(RAB_PI / n)),
                        1e-8, settings.data);
            expect_near(rab_region_perimeter(&figure.paper), n * side, 1e-8, settings.data);
            rab_text_clear(&settings);
            rab_figure_clear(&figure);
        }
    }
}

/* ---- pages ---- */

/* Source: worked examples of the project's list of check values: on 12 in, margin 1/2, gutter 1/4,
 * two columns are 5 3/8 in wide and three rows 3 1/2 in high; three photos of one height, 3:2, 2:3
 * and 1:1, in 10 1/2 in are 84.221053 mm high and 4.973684, 2.210526 and 3.315789 in wide. */
Test(shape_handbook, columns_and_rows)
{
    struct rab_figure figure =
        drawn("grid-frame", "width=12in height=12in columns=2 rows=3 web=1/4in border=1/2in");
    cr_expect_eq(figure.paper.count, 7);
    for (size_t i = 1; i < figure.paper.count; i++) {
        const struct rab_box box = rab_outline_box(&figure.paper.outlines[i]);
        expect_near(box.x1 - box.x0, 5.375 * 25.4, 1e-9, "column");
        expect_near(box.y1 - box.y0, 3.5 * 25.4, 1e-9, "row");
    }
    rab_figure_clear(&figure);

    figure = drawn("photo-row", "width=12in first=3/2 second=2/3 third=1 web=1/4in border=1/2in");
    static const double widths[] = {4.973684, 2.210526, 3.315789};
    bool met[3] = {false};
    cr_expect_eq(figure.paper.count, 4);
    for (size_t i = 1; i < figure.paper.count; i++) {
        const struct rab_box box = rab_outline_box(&figure.paper.outlines[i]);
        expect_near(box.y1 - box.y0, 84.221053, 1e-6, "height of the row");
        for (int k = 0; k < 3; k++)
            met[k] |= fabs((box.x1 - box.x0) / 25.4 - widths[k]) < 1e-6;
    }
    cr_expect(met[0]);
    cr_expect(met[1]);
    cr_expect(met[2]);
    rab_figure_clear(&figure);
}

/* ---- motifs ---- */

/* Source: worked example of the project's list of check values: pitch 15.24, depth 4:
 * radius 9.258050, bulge 0.524934, angle 110.786102 deg, arc 17.901201. R = (p^2/4 + s^2) / (2s),
 * bulge 2s/p. */
Test(shape_handbook, scallop)
{
    double values[64];
    struct rab_repeat repeat = {0};
    struct rab_error err = {0};
    const struct rab_shape *shape = set("scallop", "pitch=15.24mm depth=4mm", values);
    cr_assert(rab_motif_draw(library, shape, values, 0, 20, 0, &repeat, &err), "%s", err.text);
    const struct rab_outline *o = &repeat.profile;
    cr_assert_eq(o->count, 2);
    const double bulge = fabs(o->vertices[0].bulge), radius = joint_radius(o, 0);
    expect_near(bulge, 0.524934, 5e-7, "bulge");
    expect_near(radius, 9.258050, 5e-7, "radius");
    expect_near(4 * atan(bulge) * 180 / RAB_PI, 110.786102, 5e-7, "angle");
    expect_near(rab_outline_perimeter(o), 17.901201, 5e-7, "arc");
    rab_repeat_clear(&repeat);
    /* A half circle has bulge 1. */
    shape = set("scallop", "pitch=16mm depth=8mm", values);
    cr_assert(rab_motif_draw(library, shape, values, 0, 20, 0, &repeat, &err), "%s", err.text);
    expect_near(fabs(repeat.profile.vertices[0].bulge), 1, 1e-15, "bulge of a half circle");
    rab_repeat_clear(&repeat);
}
