/*
 * Rounded corners. A rounding of radius r is exact when its centre is r from both edges and its
 * tangents at both ends are theirs: that is its definition, and it is measured here from the
 * outline that comes out. Closed forms where there are some: between two lines the rounding begins
 * r tan(t / 2) before the corner, t being the turn (mensuration, from memory).
 */
#include "figures.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>

#include "outline/arc.h"

static struct rab_outline one_outline(const char *inside)
{
    struct rab_figure figure = figures_paper(inside);
    struct rab_outline outline = {0};
    struct rab_error err = {0};

    cr_assert(eq(sz, figure.paper.count, 1), "%s", inside);
    cr_assert(rab_outline_copy(&figure.paper.outlines[0], &outline, &err));
    rab_figure_clear(&figure);
    return outline;
}

/* Every joint is smooth to 1e-9, and arcs of the radius r (the roundings, told by their length or
 * simply all of that radius) are as many as they should be. */
static void expect_smooth(const char *inside, double r, size_t roundings, size_t corners)
{
    struct rab_outline outline = one_outline(inside);
    size_t found = 0, sharp = 0;

    for (size_t i = 0; i < outline.count; i++) {
        const struct arc before = arc_of(&outline, (i + outline.count - 1) % outline.count);
        const struct arc arc = arc_of(&outline, i);
        if (fabs(point_cross(before.tb, arc.ta)) > 1e-9 || point_dot(before.tb, arc.ta) < 0)
            sharp++;
        if (arc.k != 0 && fabs(arc_radius(&arc) - r) < 1e-9)
            found++;
    }
    cr_expect(eq(sz, sharp, corners), "%s", inside);
    cr_expect(eq(sz, found, roundings), "%s", inside);
    rab_outline_clear(&outline);
}

/* The first arc of radius r that is shorter than half a turn: its centre must be r away from the
 * line or circle on both sides of it, measured on the whole edges. */
static void expect_centre(const char *inside, double r)
{
    struct rab_outline outline = one_outline(inside);
    size_t looked_at = 0;

    for (size_t i = 0; i < outline.count; i++) {
        const struct arc arc = arc_of(&outline, i);
        const struct arc before = arc_of(&outline, (i + outline.count - 1) % outline.count);
        const struct arc after = arc_of(&outline, (i + 1) % outline.count);
        if (arc.k == 0 || fabs(arc_radius(&arc) - r) > 1e-9)
            continue;
        const struct rab_point centre = arc_centre(&arc);
        cr_expect(epsilon_eq(dbl, fabs(arc_side(&before, centre)), r, 1e-9), "%s", inside);
        cr_expect(epsilon_eq(dbl, fabs(arc_side(&after, centre)), r, 1e-9), "%s", inside);
        looked_at++;
    }
    cr_expect(looked_at > 0, "%s", inside);
    rab_outline_clear(&outline);
}

/* ---- lines ------------------------------------------------------------------------------- */

/* A rectangle with its corners rounded is the ready one. */
Test(rounding, square_corners)
{
    const char *inside = "<outline><start x='0' y='0' round='6mm'/><line x='60mm' round='6mm'/>"
                         "<line y='40mm' round='6mm'/><line x='0' round='6mm'/></outline>";
    struct rab_figure figure = figures_paper(inside);

    figures_measures(&figure, 2400 - (4 - RAB_PI) * 36, 200 - 48 + 12 * RAB_PI);
    cr_expect(eq(sz, rab_region_vertices(&figure.paper), 8));
    rab_figure_clear(&figure);
    expect_smooth(inside, 6, 4, 0);
    expect_centre(inside, 6);
    /* The same when the line comes back to its start, whose rounding is then the last point's. */
    expect_smooth("<outline><start x='0' y='0'/><line x='60mm' round='6mm'/>"
                  "<line y='40mm' round='6mm'/><line x='0' round='6mm'/><line y='0' round='6mm'/>"
                  "</outline>",
                  6, 4, 0);
}

/* A corner cut off by a rounding loses r^2 (tan(t / 2) - t / 2), t its turn: the kite between the
 * tangents less the sector. Obtuse, right and sharp; convex, and concave, where it is gained. */
Test(rounding, lines_at_any_angle)
{
    for (int deg = 5; deg < 180; deg += 5) {
        const double t = (180 - deg) * RAB_PI / 180, r = 0.8;
        const double lost = r * r * (tan(t / 2) - t / 2);
        struct rab_text text = {0};
        rab_text_format(&text,
                        "<outline><start x='0' y='0' round='0.8mm'/><line x='50mm'/>"
                        "<line x='50mm * cos(%ddeg)' y='50mm * sin(%ddeg)'/></outline>",
                        deg, deg);
        struct rab_figure figure = figures_paper(text.data);
        cr_expect(epsilon_eq(dbl, rab_region_area(&figure.paper),
                             1250 * sin(deg * RAB_PI / 180) - lost, 1e-8),
                  "%s", text.data);
        rab_figure_clear(&figure);
        expect_smooth(text.data, r, 1, 2);
        expect_centre(text.data, r);
        rab_text_clear(&text);
        /* The same corner in a square's side. */
        rab_text_format(
            &text,
            "<outline><start x='-60mm' y='60mm'/><line y='-60mm'/><line x='60mm'/><line y='60mm'/>"
            "<line x='40mm * tan(%ddeg / 2)' y='60mm'/><line x='0' y='20mm' round='0.8mm'/>"
            "<line x='-40mm * tan(%ddeg / 2)' y='60mm'/></outline>",
            deg < 100 ? deg : 100, deg < 100 ? deg : 100);
        if (deg < 100) {
            figure = figures_paper(text.data);
            cr_expect(epsilon_eq(dbl, rab_region_area(&figure.paper),
                                 14400 - 1600 * tan(deg * RAB_PI / 360) + lost, 1e-8),
                      "%s", text.data);
            rab_figure_clear(&figure);
            expect_centre(text.data, r);
        }
        rab_text_clear(&text);
    }
}

/* Exactly as large as there is room for: the inscribed circle of a triangle, a / (2 sqrt 3) of an
 * equilateral one; a hair more is refused. */
Test(rounding, all_the_room_there_is)
{
    struct rab_figure figure = figures_paper(
        "<let name='r' value='30mm / (2 * sqrt(3))'/><outline><start x='0' y='0' round='r'/>"
        "<line x='30mm' round='r'/><line x='15mm' y='15mm * sqrt(3)' round='r'/></outline>");
    const double r = 30 / (2 * sqrt(3));

    cr_expect(epsilon_eq(dbl, rab_region_area(&figure.paper), RAB_PI * r * r, 1e-6));
    rab_figure_clear(&figure);
    figures_refused("<paper><outline><start x='0' y='0'/>\n<line x='30mm' round='8.67mm'/>\n"
                    "<line x='15mm' y='15mm * sqrt(3)' round='8.67mm'/>\n"
                    "<line x='0' y='0' round='8.67mm'/></outline></paper>",
                    RAB_FAULT_GEOMETRY, 0, "no room to round this corner by 8.67 mm");
    figures_refused("<paper><outline><start x='0' y='0'/>\n<line x='10mm' round='11mm'/>\n"
                    "<line y='10mm'/><line x='0'/></outline></paper>",
                    RAB_FAULT_GEOMETRY, 3, "no room to round this corner by 11 mm");
    figures_refused("<paper><outline><start x='0' y='0'/><line x='10mm' round='-1mm'/>"
                    "<line y='10mm'/></outline></paper>",
                    RAB_FAULT_GEOMETRY, 2, "-1 mm");
}

/* ---- lines and arcs ---------------------------------------------------------------------- */

/* A half disc of radius R with its two corners rounded by r: the centre lies r above the flat side
 * and R - r from the middle (that is what touching from inside means), so its distance along the
 * side is sqrt((R - r)^2 - r^2). */
Test(rounding, line_and_arc_from_inside)
{
    const char *inside = "<outline><start x='-20mm' y='0' round='5mm'/><line x='20mm' round='5mm'/>"
                         "<arc x='-20mm' radius='20mm'/></outline>";
    struct rab_outline outline = one_outline(inside);
    const double along = sqrt(15.0 * 15 - 5 * 5);

    for (size_t i = 0; i < outline.count; i++) {
        const struct arc arc = arc_of(&outline, i);
        if (arc.k == 0 || fabs(arc_radius(&arc) - 5) > 1e-9)
            continue;
        const struct rab_point centre = arc_centre(&arc);
        cr_expect(epsilon_eq(dbl, fabs(centre.x), along, 1e-9));
        cr_expect(epsilon_eq(dbl, centre.y, 5, 1e-9));
    }
    rab_outline_clear(&outline);
    expect_smooth(inside, 5, 2, 0);
    expect_centre(inside, 5);
    /* The largest that fits is half of R, and both then meet: refused beyond. */
    expect_smooth("<outline><start x='-20mm' y='0' round='9.9mm'/><line x='20mm' round='9.9mm'/>"
                  "<arc x='-20mm' radius='20mm'/></outline>",
                  9.9, 2, 0);
    figures_paper_refused("<outline><start x='-20mm' y='0' round='10.1mm'/>"
                          "<line x='20mm' round='10.1mm'/><arc x='-20mm' radius='20mm'/></outline>",
                          "no room");
}

/* Lines and arcs that bend either way, at corners that turn either way. */
Test(rounding, lines_and_arcs_every_way)
{
    static const char *const bulges[] = {"-0.6", "-0.4", "-0.1", "0.05", "0.3", "0.7"};
    for (size_t i = 0; i < sizeof bulges / sizeof *bulges; i++) {
        struct rab_text text = {0};
        /* Convex: out of the side of a plate; concave: into it. */
        for (int in = 0; in < 2; in++) {
            rab_text_format(&text,
                            "<outline><start x='-80mm' y='-80mm'/><line x='80mm'/><line y='0'/>"
                            "<line x='20mm' round='2mm'/><arc x='0' y='%s' bulge='%s' "
                            "round='1mm'/><line x='-20mm' y='0' round='2mm'/><line x='-80mm'/>"
                            "</outline>",
                            in ? "-25mm" : "25mm", bulges[i]);
            expect_smooth(text.data, 2, 2, 4);
            expect_centre(text.data, 2);
            expect_smooth(text.data, 1, 1, 4);
            expect_centre(text.data, 1);
            rab_text_clear(&text);
        }
    }
}

/* ---- arcs -------------------------------------------------------------------------------- */

/* The lens of two circles of radius R, D apart, its points rounded by r: by symmetry the centre is
 * on the axis, R - r from both centres, so sqrt((R - r)^2 - D^2 / 4) from the middle. */
Test(rounding, arcs_from_inside)
{
    const char *inside = "<outline><start x='0' y='-15mm' round='2mm'/>"
                         "<arc y='15mm' radius='25mm' round='2mm'/><arc y='-15mm' radius='25mm'/>"
                         "</outline>";
    struct rab_outline outline = one_outline(inside);
    const double along = sqrt(23.0 * 23 - 20 * 20); /* D / 2 = sqrt(25^2 - 15^2) = 20 */

    for (size_t i = 0; i < outline.count; i++) {
        const struct arc arc = arc_of(&outline, i);
        if (fabs(arc_radius(&arc) - 2) > 1e-9)
            continue;
        const struct rab_point centre = arc_centre(&arc);
        cr_expect(epsilon_eq(dbl, fabs(centre.y), along, 1e-9));
        cr_expect(epsilon_eq(dbl, centre.x, 0, 1e-9));
    }
    rab_outline_clear(&outline);
    expect_smooth(inside, 2, 2, 0);
    expect_centre(inside, 2);
}

/* Two bumps in a row: the valley between them is concave, and the rounding touches both from
 * outside: R + r from both centres. */
Test(rounding, arcs_from_outside)
{
    const char *inside = "<outline><start x='40mm' y='0'/><line y='-20mm'/><line x='-40mm'/>"
                         "<line y='0'/><arc x='0' bulge='-0.8' round='3mm'/>"
                         "<arc x='40mm' bulge='-0.8'/></outline>";
    /* R = c (1 + b^2) / (4 b), from the tangent half-angle. */
    const double big = 40 * (1 + 0.64) / 3.2, sink = sqrt(big * big - 400);
    const double high = sqrt((big + 3) * (big + 3) - 400);
    struct rab_outline outline = one_outline(inside);
    size_t found = 0;

    for (size_t i = 0; i < outline.count; i++) {
        const struct arc arc = arc_of(&outline, i);
        if (arc.k == 0 || fabs(arc_radius(&arc) - 3) > 1e-9)
            continue;
        const struct rab_point centre = arc_centre(&arc);
        cr_expect(epsilon_eq(dbl, centre.x, 0, 1e-9));
        cr_expect(epsilon_eq(dbl, centre.y, high - sink, 1e-9));
        found++;
    }
    cr_expect(eq(sz, found, 1));
    rab_outline_clear(&outline);
    expect_smooth(inside, 3, 1, 4);
    expect_centre(inside, 3);
}

/* One bends in, one bends out. */
Test(rounding, arcs_of_both_kinds)
{
    static const char *const bulges[][2] = {
        {"0.5", "-0.3"}, {"-0.3", "0.5"}, {"0.9", "0.9"}, {"-0.2", "-0.2"}, {"0.2", "1.3"}};
    for (size_t i = 0; i < sizeof bulges / sizeof *bulges; i++) {
        struct rab_text text = {0};
        rab_text_format(&text,
                        "<outline><start x='-80mm' y='-80mm'/><line x='80mm'/><line y='0'/>"
                        "<line x='25mm'/><arc x='0' y='30mm' bulge='%s' round='1.25mm'/>"
                        "<arc x='-25mm' y='0' bulge='%s'/><line x='-80mm'/></outline>",
                        bulges[i][0], bulges[i][1]);
        expect_smooth(text.data, 1.25, 1, 6);
        expect_centre(text.data, 1.25);
        rab_text_clear(&text);
    }
}

/* A corner that turns straight back: two circles that touch from inside, and an arc back to a line
 * that it touched. */
Test(rounding, cusps)
{
    const char *inside = "<outline><start x='0' y='0' round='1mm'/><arc x='40mm' y='0' bulge='1'/>"
                         "<arc x='0' y='0' bulge='1'/></outline>";
    /* Smooth there: nothing to round. */
    struct rab_outline outline = one_outline(inside);
    cr_expect(epsilon_eq(dbl, rab_outline_area(&outline), RAB_PI * 400, 1e-8));
    rab_outline_clear(&outline);
    /* The horn between a circle of 20 and one of 12 inside it that touches it at 0,0. */
    const char *horn = "<outline><start x='0' y='0' round='0.5mm'/><arc x='40mm' bulge='1'/>"
                       "<arc x='24mm' y='0' bulge='0'/><arc x='0' y='0' bulge='-1'/></outline>";
    expect_centre(horn, 0.5);
    expect_smooth(horn, 0.5, 1, 2);
}

/* ---- paths ------------------------------------------------------------------------------- */

/* The ends of an open line have no corner. */
Test(rounding, open_line)
{
    struct rab_figure figure = {0};
    struct rab_error err = {0};

    cr_assert(figures_try("<paper><circle radius='99mm'/></paper><draw><path>"
                          "<start x='0' y='0' round='3mm'/><line x='20mm' round='3mm'/>"
                          "<line y='20mm' round='3mm'/></path></draw>",
                          &figure, &err),
              "%s", err.text);
    cr_assert(eq(sz, figure.path_count, 1));
    const struct rab_outline *o = &figure.paths[0].outline;
    cr_expect(o->open);
    cr_assert(eq(sz, o->count, 4));
    cr_expect(epsilon_eq(dbl, rab_outline_perimeter(o), 34 + 1.5 * RAB_PI, 1e-9));
    cr_expect(epsilon_eq(dbl, o->vertices[1].x, 17, 1e-12));
    cr_expect(epsilon_eq(dbl, o->vertices[1].bulge, tan(RAB_PI / 8), 1e-12));
    cr_expect(epsilon_eq(dbl, o->vertices[2].y, 3, 1e-12));
    rab_figure_clear(&figure);
}
