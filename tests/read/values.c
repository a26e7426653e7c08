/*
 * Lengths, transforms and view boxes against what the standards say they are: CSS 2.1, 4.3.2, and
 * CSS Values 3, 5 and 6, for the units; SVG 1.1, 7.6 for transforms, 7.8 for view boxes.
 */
#include "read/number.h"
#include "read/viewport.h"
#include "support.h"

#include <math.h>

static double resolved(const char *text, enum length_axis axis)
{
    /* a viewport of 300 x 400 units, a page of 1000 x 800 px, fonts of 20 and 16 */
    struct length_base base = {300, 400, 1000, 800, 20, 16};
    struct rab_error err = {0};
    struct length length;
    double value = 0;

    cr_assert(length_read(slice_of(text), "x", 1, &length, &err), "%s: %s", text, err.text);
    cr_assert(length_resolve(length, axis, &base, "x", 1, &value, &err), "%s: %s", text, err.text);
    return value;
}

Test(values, units_in_px)
{
    static const struct {
        const char *text;
        double px;
    } list[] = {
        {"7", 7},         {" -2.5px ", -2.5}, {"1in", 96},     {"2.54cm", 96},  {"25.4mm", 96},
        {"101.6Q", 96},   {"72pt", 96},       {"6pc", 96},     {"1.5em", 30},   {"2ex", 20},
        {"2ch", 20},      {"2rem", 32},       {"10vw", 100},   {"10vh", 80},    {"10vmin", 80},
        {"10vmax", 100},  {"1e2", 100},       {"1IN", 96},     {"0.1e1mm", 96 / 25.4},
        {"+3", 3},        {".5cm", 96 / 5.08},
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++)
        cr_expect(epsilon_eq(dbl, resolved(list[i].text, AXIS_X), list[i].px, 1e-12), "%s",
                  list[i].text);
}

/* SVG 1.1, 7.10: of the width, of the height, else of sqrt((w^2 + h^2) / 2). */
Test(values, percentages)
{
    cr_expect(epsilon_eq(dbl, resolved("10%", AXIS_X), 30, 1e-12));
    cr_expect(epsilon_eq(dbl, resolved("10%", AXIS_Y), 40, 1e-12));
    cr_expect(epsilon_eq(dbl, resolved("10%", AXIS_BOTH), 50 / sqrt(2), 1e-12));
}

Test(values, what_is_no_length)
{
    static const char *const list[] = {"",      "mm",       "10,5mm", "10.5 mm", "100furlong", "1e999",
                                       "1e13",  "calc(1px)", "1 2",   "NaN",     "0x10",       "5%%"};

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct length length;
        struct rab_error err = {0};
        cr_expect(not(length_read(slice_of(list[i]), "width", 9, &length, &err)), "%s", list[i]);
        cr_expect(err.fault == RAB_FAULT_INPUT && err.line == 9 &&
                      strstr(err.text, "width=\"") != NULL,
                  "%s: %s", list[i], err.text);
    }
}

static struct matrix transform_of(const char *text, bool css)
{
    struct matrix matrix = {0};
    struct rab_error err = {0};

    cr_assert(transform_read(slice_of(text), css, 1, &matrix, &err), "%s: %s", text, err.text);
    return matrix;
}

static void expect_matrix(const char *text, bool css, struct matrix want)
{
    struct matrix m = transform_of(text, css);

    cr_expect(epsilon_eq(dbl, m.a, want.a, 1e-12), "a of %s", text);
    cr_expect(epsilon_eq(dbl, m.b, want.b, 1e-12), "b of %s", text);
    cr_expect(epsilon_eq(dbl, m.c, want.c, 1e-12), "c of %s", text);
    cr_expect(epsilon_eq(dbl, m.d, want.d, 1e-12), "d of %s", text);
    cr_expect(epsilon_eq(dbl, m.e, want.e, 1e-12), "e of %s", text);
    cr_expect(epsilon_eq(dbl, m.f, want.f, 1e-12), "f of %s", text);
}

/* The matrices of 7.6. */
Test(values, transforms)
{
    const double s = sqrt(0.5), t = tan(RAB_PI / 6);

    expect_matrix("", false, MATRIX_SAME);
    expect_matrix("none", false, MATRIX_SAME);
    expect_matrix("matrix(1 2 3 4 5 6)", false, (struct matrix){1, 2, 3, 4, 5, 6});
    expect_matrix("matrix(1,2,3,4,5,6)", false, (struct matrix){1, 2, 3, 4, 5, 6});
    expect_matrix("translate(3)", false, (struct matrix){1, 0, 0, 1, 3, 0});
    expect_matrix("translate ( 3 , -4 )", false, (struct matrix){1, 0, 0, 1, 3, -4});
    expect_matrix("translate(3-4)", false, (struct matrix){1, 0, 0, 1, 3, -4});
    expect_matrix("scale(2)", false, (struct matrix){2, 0, 0, 2, 0, 0});
    expect_matrix("scale(2 -3)", false, (struct matrix){2, 0, 0, -3, 0, 0});
    expect_matrix("rotate(45)", false, (struct matrix){s, s, -s, s, 0, 0});
    expect_matrix("rotate(90 10 20)", false, (struct matrix){0, 1, -1, 0, 30, 10});
    expect_matrix("skewX(30)", false, (struct matrix){1, 0, t, 1, 0, 0});
    expect_matrix("skewY(30)", false, (struct matrix){1, t, 0, 1, 0, 0});
    /* 7.5: the product, left to right */
    expect_matrix("translate(10 20) scale(2),rotate(90)", false,
                  (struct matrix){0, 2, -2, 0, 10, 20});
    expect_matrix("scale(2)translate(10 20)", false, (struct matrix){2, 0, 0, 2, 20, 40});
    /* the forms of CSS Transforms 1 */
    expect_matrix("translateX(1in) rotate(0.25turn)", true, (struct matrix){0, 1, -1, 0, 96, 0});
    expect_matrix("scaleY(2) skew(30deg)", true, (struct matrix){1, 0, t, 2, 0, 0});
    expect_matrix("rotate(100grad)", true, (struct matrix){0, 1, -1, 0, 0, 0});
}

/* Quarter turns leave no rounding behind, so that upright frames stay upright. */
Test(values, quarter_turns_are_exact)
{
    struct matrix m = transform_of("rotate(-90)", false);

    cr_expect(m.a == 0 && m.b == -1 && m.c == 1 && m.d == 0);
    m = transform_of("rotate(540)", false);
    cr_expect(m.a == -1 && m.b == 0 && m.c == 0 && m.d == -1);
}

Test(values, what_is_no_transform)
{
    static const char *const list[] = {
        "translate(10,10", "translate", "translate()", "translate(1 2 3)", "scale(1,,2)", "scale(a)",
        "matrix(1 2 3 4 5)", "rotate(1 2)", "turn(5)", "translate(1) x", "scale(1e999)",
        "translate(1px)", "translateX(1)", "rotate(5deg)", "scale(1,)", "ROTATE(5)", "scale(NaN)",
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct matrix matrix;
        struct rab_error err = {0};
        cr_expect(not(transform_read(slice_of(list[i]), false, 3, &matrix, &err)), "%s", list[i]);
        cr_expect(err.fault == RAB_FAULT_INPUT && err.line == 3, "%s", list[i]);
    }
}

/* 7.8, the twelve pictures of the example: a view box of 30 x 40 (drawn 0 0 to 30 40) in viewports
 * wider and higher than it. The corners of the view box land at: */
Test(values, aspect_ratios)
{
    static const struct {
        const char *aspect;
        double width, height, x0, y0, x1, y1;
    } list[] = {
        {NULL, 50, 30, 13.75, 0, 36.25, 30},
        {"xMinYMin", 50, 30, 0, 0, 22.5, 30},
        {"xMidYMid", 50, 30, 13.75, 0, 36.25, 30},
        {"xMaxYMax meet", 50, 30, 27.5, 0, 50, 30},
        {"xMinYMin meet", 30, 60, 0, 0, 30, 40},
        {"xMidYMid meet", 30, 60, 0, 10, 30, 50},
        {"defer xMaxYMax meet", 30, 60, 0, 20, 30, 60},
        {"xMinYMin slice", 30, 60, 0, 0, 45, 60},
        {"xMidYMid slice", 30, 60, -7.5, 0, 37.5, 60},
        {"xMaxYMax slice", 30, 60, -15, 0, 30, 60},
        {"xMidYMid slice", 60, 40, 0, -20, 60, 60},
        {"none", 60, 20, 0, 0, 60, 20},
        {" none  meet ", 60, 20, 0, 0, 60, 20},
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct view_box box = {0, 0, 30, 40}, moved = {100, -50, 30, 40};
        struct matrix m, n;
        struct rab_error err = {0};
        cr_assert(viewport_fit(&box, list[i].width, list[i].height, list[i].aspect, 1, &m, &err));
        cr_assert(viewport_fit(&moved, list[i].width, list[i].height, list[i].aspect, 1, &n, &err));
        struct rab_point a = matrix_apply(&m, (struct rab_point){0, 0});
        struct rab_point b = matrix_apply(&m, (struct rab_point){30, 40});
        struct rab_point c = matrix_apply(&n, (struct rab_point){100, -50});
        expect_box((struct rab_box){a.x, a.y, b.x, b.y}, list[i].x0, list[i].y0, list[i].x1,
                   list[i].y1, 1e-12, list[i].aspect ? list[i].aspect : "no aspect");
        cr_expect(epsilon_eq(dbl, c.x, a.x, 1e-12));
        cr_expect(epsilon_eq(dbl, c.y, a.y, 1e-12));
    }
}

Test(values, what_is_no_view_box)
{
    static const char *const boxes[] = {"",          "0 0 10",     "0 0 10 0",      "0 0 -1 5",
                                        "0 0 1 1 1", "a b c d",    "0,0,,10 10",    "0 0 1e300 1e300",
                                        "0 0 10mm 10mm"};
    static const char *const aspects[] = {"", "xMidYMid crop", "xmidymid", "xMidYMid meet slice", "xMid",
                                          "YMidxMid"};
    struct view_box box;
    struct matrix m;

    for (size_t i = 0; i < sizeof boxes / sizeof boxes[0]; i++) {
        struct rab_error err = {0};
        cr_expect(not(view_box_read(boxes[i], 4, &box, &err)), "%s", boxes[i]);
        cr_expect(err.line == 4 && err.fault == RAB_FAULT_INPUT);
    }
    box = (struct view_box){0, 0, 1, 1};
    for (size_t i = 0; i < sizeof aspects / sizeof aspects[0]; i++) {
        struct rab_error err = {0};
        cr_expect(not(viewport_fit(&box, 1, 1, aspects[i], 4, &m, &err)), "%s", aspects[i]);
        cr_expect(err.line == 4 && err.fault == RAB_FAULT_INPUT);
    }
}
