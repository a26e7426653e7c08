/*
 * What the elements of shape files draw, against formulas. "Mensuration" is what every table of
 * plane figures has (from memory); what is derived says how.
 */
#include "figures.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

static void expect_paper(const char *areas, double area, double perimeter, size_t outlines,
                         size_t vertices)
{
    struct rab_figure figure = figures_paper(areas);

    figures_measures(&figure, area, perimeter);
    cr_expect(eq(sz, figure.paper.count, outlines), "%s", areas);
    cr_expect(eq(sz, rab_region_vertices(&figure.paper), vertices), "%s", areas);
    rab_figure_clear(&figure);
}

static void expect_box(const char *areas, double x0, double y0, double x1, double y1)
{
    struct rab_figure figure = figures_paper(areas);
    const struct rab_box box = rab_region_box(&figure.paper);

    cr_expect(epsilon_eq(dbl, box.x0, x0, 1e-9), "%s", areas);
    cr_expect(epsilon_eq(dbl, box.y0, y0, 1e-9), "%s", areas);
    cr_expect(epsilon_eq(dbl, box.x1, x1, 1e-9), "%s", areas);
    cr_expect(epsilon_eq(dbl, box.y1, y1, 1e-9), "%s", areas);
    rab_figure_clear(&figure);
}

/* ---- primitives -------------------------------------------------------------------------- */

/* Mensuration: a quarter of a circle of radius r at each corner takes off (or in: cove) r^2 of the
 * rectangle and gives back or takes pi r^2 / 4. */
Test(drawing, rectangle_and_its_corners)
{
    const double pi = RAB_PI;

    expect_paper("<rectangle width='60mm' height='40mm'/>", 2400, 200, 1, 4);
    expect_box("<rectangle x='5mm' y='-7mm' width='60mm' height='40mm'/>", 5, -7, 65, 33);
    expect_paper("<rectangle width='60mm' height='40mm' corners='round' size='6mm'/>",
                 2400 - (4 - pi) * 36, 200 - 48 + 12 * pi, 1, 8);
    expect_paper("<rectangle width='60mm' height='40mm' corners='cove' size='6mm'/>",
                 2400 - pi * 36, 200 - 48 + 12 * pi, 1, 8);
    expect_paper("<rectangle width='60mm' height='40mm' corners='bevel' size='6mm'/>",
                 2400 - 2 * 36, 200 - 48 + 24 * sqrt(2), 1, 8);
    expect_paper("<rectangle width='60mm' height='40mm' corners='notch' size='6mm'/>",
                 2400 - 4 * 36, 200, 1, 12);
    expect_paper("<rectangle width='60mm' height='40mm' corners='round' size='0mm'/>", 2400, 200, 1,
                 4);
}

/* Corners that leave nothing of a side: a circle, a square on its point, a star of four arcs. */
Test(drawing, rectangle_whose_corners_meet)
{
    expect_paper("<rectangle width='40mm' height='40mm' corners='round' size='20mm'/>",
                 RAB_PI * 400, 40 * RAB_PI, 1, 4);
    expect_paper("<rectangle width='40mm' height='40mm' corners='bevel' size='20mm'/>", 800,
                 80 * sqrt(2), 1, 4);
    expect_paper("<rectangle width='40mm' height='40mm' corners='cove' size='20mm'/>",
                 1600 - RAB_PI * 400, 40 * RAB_PI, 1, 4);
    expect_paper("<rectangle width='60mm' height='40mm' corners='round' size='20mm'/>",
                 2400 - (4 - RAB_PI) * 400, 200 - 160 + 40 * RAB_PI, 1, 6);
}

/* Mensuration. */
Test(drawing, circle_ring_and_stadium)
{
    expect_paper("<circle x='3mm' y='4mm' radius='15mm'/>", RAB_PI * 225, RAB_PI * 30, 1, 2);
    expect_box("<circle x='3mm' y='4mm' radius='15mm'/>", -12, -11, 18, 19);
    expect_paper("<ring outer='20mm' inner='15mm'/>", RAB_PI * (400 - 225), RAB_PI * 70, 2, 4);
    /* pi r^2 + 2 r a */
    expect_paper("<stadium width='50mm' height='20mm'/>", RAB_PI * 100 + 20 * 30, 60 + RAB_PI * 20,
                 1, 4);
    expect_paper("<stadium width='20mm' height='50mm'/>", RAB_PI * 100 + 20 * 30, 60 + RAB_PI * 20,
                 1, 4);
    expect_box("<stadium x='1mm' y='2mm' width='20mm' height='50mm'/>", 1, 2, 21, 52);
    expect_paper("<stadium width='20mm' height='20mm'/>", RAB_PI * 100, RAB_PI * 20, 1, 2);
}

/* Area pi a b; perimeter by Ramanujan's second formula (1914, from memory), whose error here is
 * below 1e-7. All within what the ellipse is fitted to. */
Test(drawing, ellipse)
{
    struct rab_figure figure =
        figures_paper("<ellipse x='10mm' y='20mm' width='90mm' height='60mm'/>");
    const double a = 45, b = 30, h = (a - b) * (a - b) / ((a + b) * (a + b));
    const double perimeter = RAB_PI * (a + b) * (1 + 3 * h / (10 + sqrt(4 - 3 * h)));
    const struct rab_box box = rab_region_box(&figure.paper);
    const struct rab_outline *o = &figure.paper.outlines[0];

    cr_expect(epsilon_eq(dbl, rab_region_area(&figure.paper), RAB_PI * a * b, 0.01 * perimeter));
    cr_expect(epsilon_eq(dbl, rab_region_perimeter(&figure.paper), perimeter, 0.02));
    /* Width and height are exact: the arcs on both sides of an axis are one. */
    cr_expect(epsilon_eq(dbl, box.x0, -35, 1e-9));
    cr_expect(epsilon_eq(dbl, box.x1, 55, 1e-9));
    cr_expect(epsilon_eq(dbl, box.y0, -10, 1e-9));
    cr_expect(epsilon_eq(dbl, box.y1, 50, 1e-9));
    /* Every vertex lies on the ellipse within the tolerance, and there are few. */
    for (size_t i = 0; i < o->count; i++) {
        const double x = (o->vertices[i].x - 10) / a, y = (o->vertices[i].y - 20) / b;
        cr_expect(fabs(hypot(x, y) - 1) * b < 0.01);
    }
    cr_expect(o->count <= 24, "%zu vertices", o->count);
    rab_figure_clear(&figure);

    expect_paper("<ellipse width='60mm' height='60mm'/>", RAB_PI * 900, RAB_PI * 60, 1, 2);
    figure = figures_paper("<ellipse width='60mm' height='60.004mm'/>");
    cr_expect(epsilon_eq(dbl, rab_region_area(&figure.paper), RAB_PI * 30 * 30.002, 1));
    rab_figure_clear(&figure);
}

/* Mensuration: n r^2 sin(2 pi / n) / 2, and 2 n r sin(pi / n). A side lies at the bottom, at the
 * apothem r cos(pi / n). */
Test(drawing, polygon)
{
    for (int n = 3; n <= 12; n++) {
        struct rab_text text = {0};
        rab_text_format(&text, "<polygon sides='%d' radius='20mm'/>", n);
        expect_paper(text.data, n * 400 * sin(2 * RAB_PI / n) / 2, 2 * n * 20 * sin(RAB_PI / n), 1,
                     (size_t)n);
        struct rab_figure figure = figures_paper(text.data);
        cr_expect(epsilon_eq(dbl, rab_region_box(&figure.paper).y0, -20 * cos(RAB_PI / n), 1e-9));
        rab_figure_clear(&figure);
        rab_text_clear(&text);
    }
    expect_box("<polygon sides='4' radius='20mm' turn='45deg'/>", -20, -20, 20, 20);
}

/* Area n R r sin(pi / n): 2 n triangles between a point, a valley and the centre. Sides by the law
 * of cosines. */
Test(drawing, star)
{
    for (int n = 2; n <= 12; n++) {
        struct rab_text text = {0};
        rab_text_format(&text, "<star points='%d' outer='20mm' inner='8mm'/>", n);
        const double side = sqrt(400 + 64 - 2 * 20 * 8 * cos(RAB_PI / n));
        expect_paper(text.data, n * 160 * sin(RAB_PI / n), 2 * n * side, 1, 2 * (size_t)n);
        struct rab_figure figure = figures_paper(text.data);
        cr_expect(epsilon_eq(dbl, rab_region_box(&figure.paper).y1, 20, 1e-9));
        rab_figure_clear(&figure);
        rab_text_clear(&text);
    }
    /* The five-pointed star whose sides lie in five straight lines has valleys at
     * R / phi^2 (Euclid, Elements XIII). */
    const double phi = (1 + sqrt(5)) / 2;
    struct rab_figure figure =
        figures_paper("<star points='5' outer='20mm' inner='20mm * (3 - sqrt(5)) / 2'/>");
    cr_expect(epsilon_eq(dbl, rab_region_area(&figure.paper),
                         5 * 400 / (phi * phi) * sin(RAB_PI / 5), 1e-9));
    rab_figure_clear(&figure);
}

/* Mensuration: r^2 t / 2. */
Test(drawing, sector)
{
    for (int deg = 15; deg < 360; deg += 15) {
        const double t = deg * RAB_PI / 180;
        struct rab_text text = {0};
        rab_text_format(&text, "<sector radius='20mm' from='-40deg' to='%ddeg'/>", deg - 40);
        expect_paper(text.data, 200 * t, 40 + 20 * t, 1, deg > 180 ? 4 : 3);
        rab_text_clear(&text);
        rab_text_format(&text, "<sector radius='20mm' inner='12mm' from='-40deg' to='%ddeg'/>",
                        deg - 40);
        expect_paper(text.data, (400 - 144) * t / 2, 16 + 32 * t, 1, deg > 180 ? 6 : 4);
        rab_text_clear(&text);
    }
    expect_box("<sector radius='20mm' from='0deg' to='90deg'/>", 0, 0, 20, 20);
}

/* Gothic arches as handbooks construct them (from memory): in the equilateral arch the radius is
 * the span, and the head is as high as an equilateral triangle. A head is two circular sectors of
 * radius r and angle t, less the triangle that they share: r^2 t - (r - w/2) rise. */
Test(drawing, arch)
{
    expect_paper("<arch width='40mm' spring='60mm' radius='20mm'/>", 2400 + RAB_PI * 200,
                 160 + RAB_PI * 20, 1, 4);
    expect_box("<arch width='40mm' spring='60mm' radius='40mm'/>", 0, 0, 40, 60 + 20 * sqrt(3));
    /* Two sectors of 60 degrees less the triangle: 1600 (pi / 3 - sqrt 3 / 4). */
    expect_paper("<arch width='40mm' spring='60mm' radius='40mm'/>",
                 2400 + 1600 * (RAB_PI / 3 - sqrt(3) / 4), 160 + 2 * 40 * RAB_PI / 3, 1, 5);
    /* Without straight sides. */
    expect_paper("<arch width='40mm' spring='0mm' radius='40mm'/>",
                 1600 * (RAB_PI / 3 - sqrt(3) / 4), 40 + 2 * 40 * RAB_PI / 3, 1, 3);
    expect_paper("<arch width='40mm' spring='0' radius='20mm'/>", RAB_PI * 200, 40 + RAB_PI * 20, 1,
                 2);
    /* A lancet: radius one and a quarter of the span. */
    const double r = 50, w = 40, rise = sqrt(r * r - (r - w / 2) * (r - w / 2));
    const double t = acos((r - w / 2) / r);
    expect_paper("<arch width='40mm' spring='10mm' radius='50mm'/>",
                 400 + r * r * t - (r - w / 2) * rise, 60 + 2 * r * t, 1, 5);
}

Test(drawing, primitives_that_cannot_be)
{
    static const char *const refused[][2] = {
        {"<rectangle width='0mm' height='40mm'/>", "the width comes out as 0 mm"},
        {"<rectangle width='40mm' height='-3mm'/>", "the height comes out as -3 mm"},
        {"<rectangle width='40mm' height='30mm' corners='round' size='-1mm'/>", "-1 mm"},
        {"<rectangle width='40mm' height='30mm' corners='round' size='16mm'/>",
         "at most half of the shorter side, 15 mm"},
        {"<rectangle width='40mm' height='30mm' corners='notch' size='15mm'/>",
         "less than half of the shorter side, 15 mm"},
        {"<circle radius='0mm'/>", "the radius comes out as 0 mm"},
        {"<circle radius='-2mm'/>", "the radius comes out as -2 mm"},
        {"<ellipse width='0mm' height='20mm'/>", "width"},
        {"<polygon sides='2' radius='20mm'/>", "the number of sides comes out as 2"},
        {"<polygon sides='5 / 2' radius='20mm'/>", "2.5; it must be a whole number"},
        {"<polygon sides='5' radius='0mm'/>", "radius"},
        {"<star points='1' outer='20mm' inner='5mm'/>", "at least 2"},
        {"<star points='5' outer='20mm' inner='20mm'/>", "the inner radius comes out as 20 mm"},
        {"<star points='5' outer='20mm' inner='0mm'/>", "the inner radius comes out as 0"},
        {"<sector radius='20mm' from='30deg' to='30deg'/>", "larger angle"},
        {"<sector radius='20mm' from='30deg' to='10deg'/>", "larger angle"},
        {"<sector radius='20mm' from='0deg' to='360deg'/>", "less than 360 deg"},
        {"<sector radius='20mm' inner='25mm' from='0deg' to='60deg'/>", "inner radius"},
        {"<ring outer='20mm' inner='20mm'/>", "less than the outer radius, 20 mm"},
        {"<ring outer='20mm' inner='0mm'/>", "the inner radius comes out as 0"},
        {"<stadium width='20mm' height='0mm'/>", "the height comes out as 0 mm"},
        {"<arch width='40mm' spring='-1mm' radius='20mm'/>", "springing"},
        {"<arch width='40mm' spring='0' radius='19mm'/>", "at least half of its width, 20 mm"},
        {"<row count='1' x='0'><circle radius='1mm / i'/></row>", "divides by 0"},
        {"<circle x='10000000mm' radius='1mm'/>", "1 km away"},
    };

    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
        figures_paper_refused(refused[i][0], refused[i][1]);
}

/* ---- outlines ---------------------------------------------------------------------------- */

Test(drawing, outline_of_lines_and_arcs)
{
    expect_paper("<outline><start x='0' y='0'/><line x='30mm'/><line y='20mm'/><line x='0'/>"
                 "</outline>",
                 600, 100, 1, 4);
    /* The same clockwise, and from relative steps. */
    expect_paper("<outline><start x='5mm' y='5mm'/><line dy='20mm'/><line dx='30mm'/>"
                 "<line dy='-20mm'/></outline>",
                 600, 100, 1, 4);
    /* Back at the start already. */
    expect_paper("<outline><start x='0' y='0'/><line x='30mm'/><line y='20mm'/>"
                 "<line x='0' y='0'/></outline>",
                 300, 50 + sqrt(1300), 1, 3);
    /* A half circle on a square, in four ways of saying so. */
    static const char *const arcs[] = {"bulge='1'", "angle='180deg'", "radius='10mm'",
                                       "radius='10mm' large='yes'"};
    for (size_t i = 0; i < 4; i++) {
        struct rab_text text = {0};
        rab_text_format(&text,
                        "<outline><start x='0' y='0'/><line x='20mm'/><line y='20mm'/>"
                        "<arc x='0' %s/></outline>",
                        arcs[i]);
        expect_paper(text.data, 400 + RAB_PI * 50, 60 + RAB_PI * 10, 1, 4);
        rab_text_clear(&text);
    }
    /* To the right: the half circle is taken away. */
    expect_paper("<outline><start x='0' y='0'/><line x='20mm'/><line y='20mm'/>"
                 "<arc x='0' radius='10mm' side='right'/></outline>",
                 400 - RAB_PI * 50, 60 + RAB_PI * 10, 1, 4);
}

/* Mensuration: segment r^2 (t - sin t) / 2. Chord 20, radius 12: half angle asin(10/12). */
Test(drawing, arc_by_radius_short_and_long)
{
    const double t = 2 * asin(10.0 / 12), small = 72 * (t - sin(t));

    expect_paper("<outline><start x='0' y='0'/><line x='20mm'/><arc x='0' radius='12mm'/>"
                 "</outline>",
                 small, 20 + 12 * t, 1, 2);
    /* The long way round is over half a turn: two arcs. */
    expect_paper("<outline><start x='0' y='0'/><line x='20mm'/>"
                 "<arc x='0' radius='12mm' large='yes'/></outline>",
                 RAB_PI * 144 - small, 20 + 12 * (2 * RAB_PI - t), 1, 3);
    figures_paper_refused("<outline><start x='0' y='0'/><line x='20mm'/>"
                          "<arc x='0' radius='9mm'/></outline>",
                          "the radius must be at least 10 mm");
    figures_paper_refused("<outline><start x='0' y='0'/><line x='20mm'/>"
                          "<arc x='20mm' bulge='2'/></outline>",
                          "ends where it begins");
    figures_paper_refused("<outline><start x='0' y='0'/><line x='20mm'/>"
                          "<arc x='0mm' angle='360deg'/></outline>",
                          "359");
    figures_paper_refused("<outline><start x='0' y='0'/><line x='20mm'/></outline>",
                          "encloses nothing");
    figures_paper_refused("<outline><start x='0' y='0'/><line x='0mm'/></outline>", "goes nowhere");
}

/* Five squares of side 10 along a staircase, and its box. */
Test(drawing, repeated_steps)
{
    expect_paper("<outline><start x='0' y='0'/><line x='50mm'/>"
                 "<repeat count='5'><line dy='10mm'/><line dx='-10mm'/></repeat></outline>",
                 1500, 200, 1, 12);
    expect_paper("<outline><start x='0' y='0'/><line x='60mm'/><line y='20mm'/>"
                 "<repeat count='3' index='k'><arc x='60mm - (k + 1) * 20mm' angle='180deg'/>"
                 "</repeat></outline>",
                 1200 + 3 * RAB_PI * 50, 100 + 3 * RAB_PI * 10, 1, 6);
    expect_paper("<outline><start x='0' y='0'/><line x='50mm'/>"
                 "<repeat count='0'><line dy='10mm'/></repeat><line y='10mm'/></outline>",
                 250, 60 + sqrt(2600), 1, 3);
}

/* Half an outline and its mirror image. */
Test(drawing, mirrored_outline)
{
    /* On the axis at both ends: a rhombus. */
    expect_paper("<outline><start x='0' y='-20mm'/><line x='10mm' y='0'/><line x='0' y='20mm'/>"
                 "<mirror x='0'/></outline>",
                 400, 4 * sqrt(500), 1, 4);
    /* Beside the axis: straight lines join the halves; where they go straight on no vertex stays.
     */
    expect_paper("<outline><start x='5mm' y='0'/><line x='10mm'/><line y='20mm'/><line x='5mm'/>"
                 "<mirror x='0'/></outline>",
                 400, 80, 1, 4);
    /* Arcs: two half circles beside each other, and a mirror upside down. */
    expect_paper("<outline><start x='-10mm' y='0'/><arc x='10mm' bulge='-1'/><mirror y='0'/>"
                 "</outline>",
                 RAB_PI * 100, RAB_PI * 20, 1, 2);
    /* A heart's two lobes: arcs stay as they bend. */
    expect_paper("<outline><start x='0' y='-20mm'/><line x='20mm' y='0'/>"
                 "<arc x='0' y='0' bulge='1'/><mirror x='0'/></outline>",
                 400 + RAB_PI * 100, 2 * sqrt(800) + RAB_PI * 20, 1, 4);
}

/* An outline that crosses itself covers all that it goes round: the pentagram is the star of
 * Elements XIII, with its five crossings as valleys. */
Test(drawing, outline_that_crosses_itself)
{
    struct rab_figure figure =
        figures_paper("<outline><start x='0' y='20mm'/><repeat count='4' index='k'>"
                      "<line x='20mm * sin((k + 1) * 144deg)' y='20mm * cos((k + 1) * 144deg)'/>"
                      "</repeat></outline>");
    const double phi = (1 + sqrt(5)) / 2;

    cr_expect(eq(sz, rab_region_vertices(&figure.paper), 10));
    cr_expect(epsilon_eq(dbl, rab_region_area(&figure.paper),
                         5 * 400 / (phi * phi) * sin(RAB_PI / 5), 1e-6));
    rab_figure_clear(&figure);
}

/* ---- combining --------------------------------------------------------------------------- */

/* Two squares of side 20 that share a quarter: inclusion and exclusion. */
Test(drawing, combining)
{
#define TWO                                                                                        \
    "<rectangle width='20mm' height='20mm'/>"                                                      \
    "<rectangle x='10mm' y='10mm' width='20mm' height='20mm'/>"
    expect_paper(TWO, 700, 120, 1, 8);
    expect_paper("<union>" TWO "</union>", 700, 120, 1, 8);
    expect_paper("<intersection>" TWO "</intersection>", 100, 40, 1, 4);
    expect_paper("<difference>" TWO "</difference>", 300, 80, 1, 6);
    /* All the rest is taken away, and what a condition leaves out is not there. */
    expect_paper("<difference><rectangle width='30mm' height='30mm'/>"
                 "<circle x='10mm' y='10mm' radius='3mm'/><circle x='20mm' y='20mm' radius='3mm'/>"
                 "</difference>",
                 900 - RAB_PI * 18, 120 + RAB_PI * 12, 3, 8);
    expect_paper("<difference><circle when='1 > 2' radius='5mm'/>" TWO
                 "<rectangle when='no' width='90mm' height='90mm'/></difference>",
                 300, 80, 1, 6);
    expect_paper("<difference><rectangle width='20mm' height='20mm'/></difference>", 400, 80, 1, 4);
    /* Three circles through each other's centres share the triangle of Reuleaux: (pi - sqrt 3) s^2
     * / 2, pi s (Reuleaux 1876; Barbier 1860). */
    expect_paper("<let name='r' value='20mm / sqrt(3)'/><intersection>"
                 "<circle x='r' radius='20mm'/><turn by='120deg'><circle x='r' radius='20mm'/>"
                 "</turn><turn by='240deg'><circle x='r' radius='20mm'/></turn></intersection>",
                 (RAB_PI - sqrt(3)) * 200, RAB_PI * 20, 1, 3);
#undef TWO
}

/* Source: Steiner's formula for a convex shape grown round by s: A + P s + pi s^2, P + 2 pi s; a
 * rectangle shrunk is (w - 2 s)(h - 2 s); grown to points, (w + 2 s)(h + 2 s). */
Test(drawing, growing)
{
    expect_paper("<grow by='3mm'><arch width='40mm' spring='60mm' radius='20mm'/></grow>",
                 3725.088424303, 241.681408993, 1, 6);
    expect_paper("<grow by='4mm' corners='round'><rectangle width='60mm' height='90mm'/></grow>",
                 5400 + 300 * 4 + RAB_PI * 16, 300 + RAB_PI * 8, 1, 8);
    expect_paper("<grow by='4mm' corners='pointed'><rectangle width='60mm' height='90mm'/></grow>",
                 68 * 98, 332, 1, 4);
    expect_paper("<grow by='-4mm'><rectangle width='60mm' height='90mm'/></grow>", 52 * 82, 268, 1,
                 4);
    expect_paper("<grow by='0mm'><circle radius='9mm'/></grow>", RAB_PI * 81, RAB_PI * 18, 1, 2);
    figures_paper_refused("<grow by='-30mm'><rectangle width='60mm' height='90mm'/></grow>",
                          "no paper is left");
}

/* ---- placing ----------------------------------------------------------------------------- */

Test(drawing, moving_turning_and_mirroring)
{
    expect_box("<move x='5mm' y='7mm'><rectangle width='10mm' height='20mm'/></move>", 5, 7, 15,
               27);
    expect_box("<turn by='90deg'><rectangle width='10mm' height='20mm'/></turn>", -20, 0, 0, 10);
    expect_box("<turn by='90deg' x='10mm' y='0'><rectangle width='10mm' height='20mm'/></turn>",
               -10, -10, 10, 0);
    expect_box("<mirror x='15mm'><rectangle width='10mm' height='20mm'/></mirror>", 20, 0, 30, 20);
    expect_box("<mirror y='-5mm'><rectangle width='10mm' height='20mm'/></mirror>", 0, -30, 10,
               -10);
    /* Both: they share a side. */
    expect_paper("<mirror x='10mm' both='yes'><rectangle width='10mm' height='20mm'/></mirror>",
                 400, 80, 1, 4);
    /* Arcs stay arcs, paper stays paper. */
    expect_paper("<mirror y='0'><turn by='33deg'><arch width='40mm' spring='60mm' radius='20mm'/>"
                 "</turn></mirror>",
                 2400 + RAB_PI * 200, 160 + RAB_PI * 20, 1, 4);
    /* A quarter turn is exact. */
    struct rab_figure figure =
        figures_paper("<turn by='270deg'><rectangle width='10mm' height='20mm'/></turn>");
    for (size_t i = 0; i < 4; i++) {
        const struct rab_vertex v = figure.paper.outlines[0].vertices[i];
        cr_expect(v.x == 0 || v.x == 20);
        cr_expect(v.y == 0 || v.y == -10);
    }
    rab_figure_clear(&figure);
}

Test(drawing, repeating)
{
    expect_paper("<row count='7' x='12mm'><circle radius='5mm'/></row>", 7 * RAB_PI * 25,
                 7 * RAB_PI * 10, 7, 14);
    expect_box("<row count='7' x='12mm' y='3mm'><circle radius='5mm'/></row>", -5, -5, 77, 23);
    expect_paper("<repeat count='4'><circle x='i * 30mm' radius='(i + 1) * 2mm'/></repeat>",
                 RAB_PI * (4 + 16 + 36 + 64), RAB_PI * 2 * (2 + 4 + 6 + 8), 4, 8);
    expect_paper(
        "<grid columns='4' rows='3' x='12mm' y='14mm'><circle radius='(column + row + 1) * "
        "0.5mm'/></grid>",
        RAB_PI / 4 * (1 + 2 * 4 + 3 * 9 + 3 * 16 + 2 * 25 + 36),
        RAB_PI * (1 + 2 * 2 + 3 * 3 + 3 * 4 + 2 * 5 + 6), 12, 24);
    expect_box("<grid columns='4' rows='3' x='12mm' y='14mm'><circle radius='5mm'/></grid>", -5, -5,
               41, 33);
    expect_box("<grid columns='4' rows='2' x='12mm' y='14mm' stagger='yes'><circle radius='5mm'/>"
               "</grid>",
               -5, -5, 47, 19);
    expect_paper("<around count='6'><circle x='20mm' radius='5mm'/></around>", 6 * RAB_PI * 25,
                 6 * RAB_PI * 10, 6, 12);
    /* Three of six about another centre. */
    expect_box("<around count='3' by='90deg' x='10mm'><circle x='30mm' radius='5mm'/></around>",
               -15, -5, 35, 25);
    figures_paper_refused("<row count='-1' x='5mm'><circle radius='5mm'/></row>", "at least 0");
    figures_paper_refused("<row count='0' x='5mm'><circle radius='5mm'/></row>", "no paper");
}

/* Six round foils about a centre, r = R / 2 for foils that touch (n = 6: r / R = sin 30 deg): six
 * circles whose neighbours touch and are never joined by rounding. */
Test(drawing, copies_that_touch)
{
    struct rab_figure figure =
        figures_paper("<around count='6'><circle x='20mm' radius='10mm'/></around>");

    cr_expect(epsilon_eq(dbl, rab_region_area(&figure.paper), 6 * RAB_PI * 100, 1e-4));
    rab_figure_clear(&figure);
}

static void expect_centres(const char *inside, const double (*at)[2], size_t count)
{
    struct rab_figure figure = figures_paper(inside);

    cr_assert(eq(sz, figure.paper.count, count), "%s", inside);
    for (size_t i = 0; i < count; i++) {
        const struct rab_point c = rab_outline_centroid(&figure.paper.outlines[i]);
        cr_expect(epsilon_eq(dbl, c.x, at[i][0], 1e-9), "%s: %zu", inside, i);
        cr_expect(epsilon_eq(dbl, c.y, at[i][1], 1e-9), "%s: %zu", inside, i);
    }
    rab_figure_clear(&figure);
}

/* Even distances along a line, both ends of an open one, none twice on a closed one. */
Test(drawing, along)
{
    const double open[][2] = {{0, 0}, {10, 0}, {20, 0}, {20, 10}, {20, 20}};
    expect_centres("<along count='5'><rectangle width='10mm' height='10mm'/>"
                   "<circle radius='1mm'/></along>",
                   (const double[][2]){{0, 0}, {8, 0}, {10, 6}, {6, 10}, {0, 8}}, 5);
    const double ring[][2] = {{20, 0}, {0, 20}, {-20, 0}, {0, -20}};
    expect_centres("<along count='4'><circle radius='20mm'/><circle radius='1mm'/></along>", ring,
                   4);
    /* From the start of the steps, here in the middle of a side, gone round either way. */
    const double middle[][2] = {{0, 0}, {10, 10}, {0, 20}, {-10, 10}};
    expect_centres("<along count='4'><outline><start x='0' y='0'/><line x='10mm'/><line y='20mm'/>"
                   "<line x='0'/><mirror x='0'/></outline><circle radius='1mm'/></along>",
                   middle, 4);
    expect_centres("<along count='4'><outline><start x='0' y='0'/><line x='-10mm'/><line y='20mm'/>"
                   "<line x='0'/><mirror x='0'/></outline><circle radius='1mm'/></along>",
                   middle, 4);
    /* The x axis of what is placed lies along the line: 3 mm to the left of it. */
    const double inner[][2] = {{17, 0}, {0, 17}, {-17, 0}, {0, -17}};
    expect_centres("<along count='4'><circle radius='20mm'/><circle y='3mm' radius='1mm'/></along>",
                   inner, 4);

    struct rab_figure figure = {0};
    struct rab_error err = {0};
    cr_assert(figures_try("<paper><rectangle width='90mm' height='90mm'/></paper>"
                          "<draw><along count='5'><path><start x='0' y='0'/><line x='20mm'/>"
                          "<line y='20mm'/></path><circle radius='1mm'/></along></draw>",
                          &figure, &err),
              "%s", err.text);
    cr_assert(eq(sz, figure.path_count, 5));
    for (size_t i = 0; i < 5; i++) {
        const struct rab_point c = rab_outline_centroid(&figure.paths[i].outline);
        cr_expect(epsilon_eq(dbl, c.x, open[i][0], 1e-9));
        cr_expect(epsilon_eq(dbl, c.y, open[i][1], 1e-9));
        cr_expect(figure.paths[i].operation == RAB_DRAW);
    }
    rab_figure_clear(&figure);
    figures_paper_refused("<along count='3'><ring outer='9mm' inner='5mm'/><circle radius='1mm'/>"
                          "</along>",
                          "it comes out as 2");
}

/* ---- operations and places --------------------------------------------------------------- */

Test(drawing, operations_and_places)
{
    struct rab_library *library = figures_library();
    struct rab_figure figure = {0};
    struct rab_error err = {0};

    const struct rab_shape *shape = figures_add(
        library, "lantern",
        "<let name='w' value='60mm'/><paper><rectangle width='w' height='40mm'/></paper>"
        "<crease><path><start x='w / 2' y='0'/><line y='40mm'/></path>"
        "<mirror x='w / 2' both='yes'><path><start x='10mm' y='0'/><line y='40mm'/></path>"
        "</mirror></crease>"
        "<perforate><grid columns='2' rows='2' x='5mm' y='5mm'><circle x='20mm' y='20mm' "
        "radius='1mm'/></grid></perforate>"
        "<glue when='w > 70mm'><circle radius='3mm'/></glue>"
        "<place name='photo'><rectangle x='5mm' y='5mm' width='50mm' height='30mm'/></place>");
    cr_assert(figures_draw_shape(library, shape, &figure, &err), "%s", err.text);
    cr_assert(eq(sz, figure.path_count, 7));
    for (size_t i = 0; i < 7; i++) {
        cr_expect(figure.paths[i].operation == (i < 3 ? RAB_CREASE : RAB_PERFORATE));
        cr_expect(figure.paths[i].outline.open == (i < 3));
        cr_expect(eq(int, figure.paths[i].piece, 0));
    }
    const double x[] = {30, 10, 50};
    for (size_t i = 0; i < 3; i++)
        cr_expect(epsilon_eq(dbl, figure.paths[i].outline.vertices[0].x, x[i], 1e-9));
    cr_assert(eq(sz, figure.place_count, 1));
    cr_expect(strcmp(figure.places[0].name, "photo") == 0);
    cr_expect(epsilon_eq(dbl, rab_outline_area(&figure.places[0].outline), 1500, 1e-9));
    rab_figure_clear(&figure);
    rab_library_close(library);
    figures_refused("<paper><circle radius='30mm'/></paper>\n"
                    "<place name='photo'><ring outer='9mm' inner='5mm'/></place>",
                    RAB_FAULT_GEOMETRY, 3, "photo");
}

/* ---- shapes in shapes -------------------------------------------------------------------- */

Test(drawing, using_other_shapes)
{
    struct rab_library *library = figures_library();
    struct rab_figure figure = {0};
    struct rab_error err = {0};

    figures_add(library, "pane",
                "<length name='wide' usual='20mm' least='5mm' most='50mm'>Width</length>"
                "<choice name='head' usual='flat' about='Head'><one name='flat'>Flat</one>"
                "<one name='round'>Round</one></choice>"
                "<require that='wide != 13mm'>Not {wide}.</require>"
                "<paper><rectangle when=\"head = 'flat'\" width='wide' height='wide'/>"
                "<circle when=\"head = 'round'\" radius='wide / 2'/></paper>");
    const struct rab_shape *wall =
        figures_add(library, "wall",
                    "<length name='w' usual='30mm' least='1mm' most='90mm'>W</length>"
                    "<paper><use shape='pane'/><move x='100mm'><use shape='pane'><set name='wide' "
                    "to='w'/></use></move><move x='200mm'><use shape='pane'><set name='head' "
                    "to=\"'round'\"/></use></move></paper>");
    cr_assert(figures_draw_shape(library, wall, &figure, &err), "%s", err.text);
    cr_expect(epsilon_eq(dbl, rab_region_area(&figure.paper), 400 + 900 + RAB_PI * 100, 1e-9));
    rab_figure_clear(&figure);

    double value = 60;
    cr_expect(not(rab_shape_draw(library, wall, &value, 0, &figure, &err)));
    cr_expect(err.fault == RAB_FAULT_GEOMETRY && strstr(err.text, "wall:2: wide of pane") &&
                  strstr(err.text, "60 mm"),
              "%s", err.text);
    err = (struct rab_error){0};
    value = 13;
    cr_expect(not(rab_shape_draw(library, wall, &value, 0, &figure, &err)));
    cr_expect(err.fault == RAB_FAULT_INPUT && strstr(err.text, "pane: Not 13 mm"), "%s", err.text);

    rab_library_close(library);
}

/* ---- constraints and limits -------------------------------------------------------------- */

Test(drawing, constraints)
{
    figures_refused("<length name='web' usual='4mm' least='1mm' most='9mm'>Web</length>"
                    "<require that='web >= 5mm'>A web of {web} tears; give {web + 1in} and "
                    "{30deg}.</require><paper><circle radius='9mm'/></paper>",
                    RAB_FAULT_INPUT, 0,
                    "lantern: A web of 4 mm (\xe2\x89\x88 3/16 in) tears; give 29.4 mm");
}

/* 46.625 mm would be shown as 46.63 mm, and refused when it is given. */
Test(drawing, values_in_messages_may_be_given)
{
#define REFUSED(words)                                                                             \
    "<let name='most' value='46.625mm'/><let name='turn' value='1rad'/>"                           \
    "<require that='1 > 2'>Give " words ".</require><paper><circle radius='9mm'/></paper>"
    figures_refused(REFUSED("at most {most}"), RAB_FAULT_INPUT, 0, "at most 46.62 mm");
    figures_refused(REFUSED("less than {most}"), RAB_FAULT_INPUT, 0, "less than 46.62 mm");
    figures_refused(REFUSED("at least {most}"), RAB_FAULT_INPUT, 0, "at least 46.63 mm");
    figures_refused(REFUSED("more than {most - 0.004mm}"), RAB_FAULT_INPUT, 0,
                    "more than 46.63 mm");
    figures_refused(REFUSED("up to {most - 0.001mm}"), RAB_FAULT_INPUT, 0, "up to 46.62 mm");
    figures_refused(REFUSED("at most {most - 0.005mm}"), RAB_FAULT_INPUT, 0, "at most 46.62 mm");
    figures_refused(REFUSED("at most {turn}"), RAB_FAULT_INPUT, 0, "at most 57.2957 deg");
    figures_refused(REFUSED("at least {turn}"), RAB_FAULT_INPUT, 0, "at least 57.2958 deg");
    figures_refused(REFUSED("at most {2 / 3}"), RAB_FAULT_INPUT, 0, "at most 0.6666");
    figures_refused(REFUSED("at least {most / 3mm}"), RAB_FAULT_INPUT, 0, "at least 15.5417.");
#undef REFUSED
}

Test(drawing, limits)
{
    figures_paper_refused("<repeat count='20000000'><circle radius='1mm'/></repeat>", "10 million");
    figures_paper_refused("<repeat count='4000'><repeat count='4000' index='k'><circle when='no' "
                          "radius='1mm'/></repeat></repeat>",
                          "10 million steps");
    figures_paper_refused("<repeat count='30'><polygon sides='99999' radius='20mm'/></repeat>",
                          "2 million corners");
    figures_paper_refused("<polygon sides='3000000' radius='20mm'/>", "2 million corners");
    /* Two times 1,000 strips cross a million times; everything lies near everything. */
    figures_paper_refused(
        "<row count='1000' x='1mm'><rectangle width='0.5mm' height='3000mm'/></row>"
        "<row count='1000' y='1mm'><rectangle width='3000mm' height='0.5mm'/></row>",
        "too often");
    figures_paper_refused("<grow by='50mm'><grid columns='100' rows='100' x='3mm' y='3mm'><circle "
                          "radius='1mm'/></grid></grow>",
                          "too often");
}
