/*
 * The mats plain, rounded and window: what `rabbet mat` makes unless a style is given.
 *
 * Measures: for mats plain addition; window mats from a published teaching page on framing (1998):
 * 8 x 10 in, overlap 1/4, board 11 x 14: opening 7 1/2 x 9 1/2, borders 1 3/4 and 2 1/4; weighted
 * 1/2 in, overlap 1/8, board 14 x 18: opening 7 3/4 x 9 3/4, sides 3 1/8, top 3 7/8, bottom 4 3/8.
 */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

#include <rabbet/shape.h>

#define IN 25.4

enum { MOST_SETTINGS = 12 };
#define S(...)                                                                                     \
    (const struct rab_setting[MOST_SETTINGS])                                                      \
    {                                                                                              \
        __VA_ARGS__                                                                                \
    }

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

TestSuite(mats, .init = open_library, .fini = close_library);

static bool draw(const char *name, const struct rab_setting *settings, struct rab_figure *figure,
                 struct rab_error *err)
{
    const struct rab_shape *shape = rab_library_find(library, name, err);
    double values[MOST_SETTINGS];
    size_t count = 0;

    cr_assert(shape != NULL, "%s", err->text);
    cr_assert(le(sz, shape->parameter_count, MOST_SETTINGS));
    while (settings[count].name)
        count++;
    return rab_shape_values(shape, settings, count, values, err) &&
           rab_shape_draw(library, shape, values, 0, figure, err);
}

static struct rab_figure made(const char *name, const struct rab_setting *settings)
{
    struct rab_figure figure = {0};
    struct rab_error err = {0};

    cr_assert(draw(name, settings, &figure, &err), "%s", err.text);
    cr_expect(rab_region_check(&figure.paper, &err), "%s", err.text);
    cr_assert(eq(sz, figure.place_count, 1));
    cr_expect(strcmp(figure.places[0].name, "photo") == 0);
    return figure;
}

static void refused(const char *name, const struct rab_setting *settings, const char *word)
{
    struct rab_figure figure = {0};
    struct rab_error err = {0};

    cr_expect(not(draw(name, settings, &figure, &err)), "%s: not refused", word);
    cr_expect(eq(int, err.fault, RAB_FAULT_INPUT), "%s", err.text);
    cr_expect(strstr(err.text, word) != NULL, "%s", err.text);
    cr_expect(eq(sz, figure.paper.count, 0));
}

static void expect_box(struct rab_box box, double x0, double y0, double x1, double y1)
{
    cr_expect(epsilon_eq(dbl, box.x0, x0, 1e-9));
    cr_expect(epsilon_eq(dbl, box.y0, y0, 1e-9));
    cr_expect(epsilon_eq(dbl, box.x1, x1, 1e-9));
    cr_expect(epsilon_eq(dbl, box.y1, y1, 1e-9));
}

static void expect_size(const struct rab_figure *figure, double width, double height)
{
    const struct rab_box box = rab_region_box(&figure->paper);
    cr_expect(epsilon_eq(dbl, box.x1 - box.x0, width, 1e-9));
    cr_expect(epsilon_eq(dbl, box.y1 - box.y0, height, 1e-9));
}

Test(mats, a_reveal_all_round)
{
    struct rab_figure mat =
        made("plain", S({"photo-width", "4in"}, {"photo-height", "6in"}, {"reveal", "1/8in"}));
    expect_size(&mat, 107.95, 158.75);
    cr_expect(epsilon_eq(dbl, rab_region_area(&mat.paper), 107.95 * 158.75, 1e-9));
    cr_expect(epsilon_eq(dbl, rab_outline_area(&mat.places[0].outline), 24 * IN * IN, 1e-9));
    expect_box(rab_outline_box(&mat.places[0].outline), 3.175, 3.175, 3.175 + 4 * IN,
               3.175 + 6 * IN);
    cr_expect(eq(sz, mat.paper.count, 1));
    rab_figure_clear(&mat);

    mat = made("plain", S({"photo-width", "100mm"}, {"photo-height", "150mm"}, {"reveal", "5mm"}));
    expect_size(&mat, 110, 160);
    rab_figure_clear(&mat);
}

/* 1/8 + 1/4 + 1/8 behind 4 x 6 makes 5 x 7: each mat is the next one's photo. */
Test(mats, layers_add_up)
{
    static const struct {
        const char *width, *height, *reveal;
        double mat_width, mat_height;
    } layers[] = {
        {"4in", "6in", "1/8in", 4.25, 6.25},
        {"4 1/4in", "6 1/4in", "1/4in", 4.75, 6.75},
        {"4 3/4in", "6 3/4in", "1/8in", 5, 7},
    };
    for (size_t i = 0; i < sizeof layers / sizeof *layers; i++) {
        struct rab_figure mat =
            made("plain", S({"photo-width", layers[i].width}, {"photo-height", layers[i].height},
                            {"reveal", layers[i].reveal}));
        expect_size(&mat, layers[i].mat_width * IN, layers[i].mat_height * IN);
        rab_figure_clear(&mat);
    }
}

/* Concentric corners leave the reveal the same all the way round. Rounded rectangle: w h -
 * (4 - pi) r^2 (mensuration tables). */
Test(mats, corners_are_concentric)
{
    struct rab_figure mat = made("rounded", S({"photo-width", "100mm"}, {"photo-height", "60mm"},
                                              {"reveal", "4mm"}, {"corner", "10mm"}));
    const struct rab_outline *photo = &mat.places[0].outline;
    struct rab_error err = {0};
    double gap = 0;
    cr_expect(epsilon_eq(dbl, rab_region_area(&mat.paper), 108 * 68 - (4 - RAB_PI) * 100, 1e-9));
    cr_expect(epsilon_eq(dbl, rab_outline_area(photo), 6000 - (4 - RAB_PI) * 36, 1e-9));
    cr_assert(rab_outline_gap(photo, &mat.paper.outlines[0], &gap, NULL, NULL, &err));
    cr_expect(epsilon_eq(dbl, gap, 4, 1e-9));
    /* At 45 degrees the reveal is still 4: both arcs are about (10, 10). */
    const double at = 10 - 10 * sqrt(0.5);
    cr_expect(
        epsilon_eq(dbl, rab_outline_distance(photo, (struct rab_point){at, at}, NULL), 4, 1e-9));
    rab_figure_clear(&mat);

    mat = made("rounded", S({"photo-width", "100mm"}, {"photo-height", "60mm"}, {"reveal", "4mm"},
                            {"corner", "3mm"}));
    cr_expect(eq(sz, mat.places[0].outline.count, 4),
              "a corner smaller than the reveal leaves a square photo");
    rab_figure_clear(&mat);
}

Test(mats, a_window_on_a_board)
{
    struct rab_figure mat =
        made("window", S({"photo-width", "8in"}, {"photo-height", "10in"}, {"overlap", "1/4in"},
                         {"board-width", "11in"}, {"board-height", "14in"}));
    cr_assert(eq(sz, mat.paper.count, 2));
    expect_size(&mat, 11 * IN, 14 * IN);
    expect_box(rab_outline_box(&mat.paper.outlines[1]), 1.75 * IN, 2.25 * IN, 9.25 * IN,
               11.75 * IN);
    cr_expect(epsilon_eq(dbl, rab_region_area(&mat.paper), (154 - 71.25) * IN * IN, 1e-8));
    expect_box(rab_outline_box(&mat.places[0].outline), 1.5 * IN, 2 * IN, 9.5 * IN, 12 * IN);
    rab_figure_clear(&mat);
}

Test(mats, a_weighted_window)
{
    struct rab_figure mat =
        made("window", S({"photo-width", "8in"}, {"photo-height", "10in"}, {"overlap", "1/8in"},
                         {"board-width", "14in"}, {"board-height", "18in"}, {"weight", "1/2in"}));
    cr_assert(eq(sz, mat.paper.count, 2));
    expect_box(rab_outline_box(&mat.paper.outlines[1]), 3.125 * IN, 4.375 * IN, 10.875 * IN,
               (18 - 3.875) * IN);
    rab_figure_clear(&mat);
}

Test(mats, a_window_with_a_border)
{
    struct rab_figure mat =
        made("window", S({"photo-width", "100mm"}, {"photo-height", "150mm"}, {"overlap", "5mm"},
                         {"border", "30mm"}, {"corner", "6mm"}, {"window-corner", "2mm"}));
    expect_size(&mat, 150, 200);
    cr_expect(epsilon_eq(dbl, rab_region_area(&mat.paper),
                         150 * 200 - (4 - RAB_PI) * 36 - (90 * 140 - (4 - RAB_PI) * 4), 1e-9));
    rab_figure_clear(&mat);
}

/* A round corner larger than border and window corner together eats into the border there: a
 * square window 5 mm inside a corner of radius 8 leaves 8 - sqrt(2) (8 - 5) = 3.757 mm
 * (Pythagoras), which the shape itself states and measures. */
Test(mats, a_corner_larger_than_the_border)
{
    struct rab_figure mat =
        made("window", S({"photo-width", "60mm"}, {"photo-height", "40mm"}, {"overlap", "2mm"},
                         {"border", "5mm"}, {"corner", "8mm"}));
    struct rab_error err = {0};
    double border = 0;
    cr_assert(eq(sz, mat.paper.count, 2));
    cr_assert(
        rab_outline_gap(&mat.paper.outlines[0], &mat.paper.outlines[1], &border, NULL, NULL, &err));
    cr_expect(epsilon_eq(dbl, border, 8 - 3 * sqrt(2), 1e-9));
    rab_figure_clear(&mat);
}

Test(mats, what_cannot_be_is_refused)
{
    refused("plain", S({"photo-width", "0mm"}), "photo-width");
    refused("plain", S({"photo-height", "-1mm"}), "photo-height");
    refused("plain", S({"reveal", "0mm"}), "reveal");
    refused("plain", S({"reveal", "1000000mm"}), "reveal");
    refused("rounded",
            S({"photo-width", "10mm"}, {"photo-height", "10mm"}, {"reveal", "1mm"},
              {"corner", "6.1mm"}),
            "corner");
    refused(
        "window",
        S({"photo-width", "10mm"}, {"photo-height", "20mm"}, {"overlap", "5mm"}, {"border", "9mm"}),
        "overlap");
    refused(
        "window",
        S({"photo-width", "10mm"}, {"photo-height", "20mm"}, {"overlap", "1mm"}, {"border", "0mm"}),
        "border");
    refused("window",
            S({"photo-width", "10mm"}, {"photo-height", "20mm"}, {"overlap", "1mm"},
              {"board-width", "30mm"}),
            "only one of width and height");
    refused("window",
            S({"photo-width", "10mm"}, {"photo-height", "20mm"}, {"overlap", "1mm"},
              {"board-width", "7mm"}, {"board-height", "30mm"}),
            "larger board");
    refused("window",
            S({"photo-width", "10mm"}, {"photo-height", "20mm"}, {"overlap", "3mm"},
              {"board-width", "9mm"}, {"board-height", "30mm"}),
            "stand out");
    refused("window",
            S({"photo-width", "60mm"}, {"photo-height", "40mm"}, {"overlap", "0.5mm"},
              {"border", "1mm"}, {"corner", "15mm"}),
            "photo's corners would stand out");
}
