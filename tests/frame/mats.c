/*
 * Mats and window mats.
 *
 * Measures: for mats plain addition; window mats from a published teaching page on framing (1998):
 * 8 x 10 in, overlap 1/4, board 11 x 14: opening 7 1/2 x 9 1/2, borders 1 3/4 and 2 1/4; weighted
 * 1/2 in, overlap 1/8, board 14 x 18: opening 7 3/4 x 9 3/4, sides 3 1/8, top 3 7/8, bottom 4 3/8.
 */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <string.h>

#include <rabbet/frame.h>

#define IN 25.4

static struct rab_mat made(struct rab_mat_options options)
{
    struct rab_mat mat = {0};
    struct rab_error err = {0};
    cr_assert(rab_mat_make(&options, &mat, &err), "%s", err.text);
    cr_expect(rab_region_check(&mat.region, &err), "%s", err.text);
    return mat;
}

static void refused(struct rab_mat_options options, const char *word)
{
    struct rab_mat mat = {0};
    struct rab_error err = {0};
    cr_expect(not(rab_mat_make(&options, &mat, &err)));
    cr_expect(eq(int, err.fault, RAB_FAULT_INPUT));
    cr_expect(strstr(err.text, word) != NULL, "%s", err.text);
    cr_expect(eq(sz, mat.region.count, 0));
}

Test(mats, a_reveal_all_round)
{
    struct rab_mat mat = made(
        (struct rab_mat_options){.photo_width = 4 * IN, .photo_height = 6 * IN, .reveal = IN / 8});
    cr_expect(epsilon_eq(dbl, mat.width, 107.95, 1e-12));
    cr_expect(epsilon_eq(dbl, mat.height, 158.75, 1e-12));
    cr_expect(epsilon_eq(dbl, rab_region_area(&mat.region), 107.95 * 158.75, 1e-9));
    cr_expect(epsilon_eq(dbl, rab_outline_area(&mat.photo), 24 * IN * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, mat.photo_box.x0, 3.175, 1e-12));
    cr_expect(epsilon_eq(dbl, mat.photo_box.y1, 3.175 + 6 * IN, 1e-12));
    cr_expect(eq(sz, mat.window.count, 0));
    rab_mat_clear(&mat);

    mat = made((struct rab_mat_options){.photo_width = 100, .photo_height = 150, .reveal = 5});
    cr_expect(epsilon_eq(dbl, mat.width, 110, 1e-12));
    cr_expect(epsilon_eq(dbl, mat.height, 160, 1e-12));
    rab_mat_clear(&mat);
}

/* 1/8 + 1/4 + 1/8 behind 4 x 6: each mat is the next one's photo. */
Test(mats, layers_add_up)
{
    const double reveals[] = {IN / 8, IN / 4, IN / 8};
    double width = 4 * IN, height = 6 * IN;
    for (int i = 0; i < 3; i++) {
        struct rab_mat mat = made((struct rab_mat_options){
            .photo_width = width, .photo_height = height, .reveal = reveals[i]});
        width = mat.width;
        height = mat.height;
        rab_mat_clear(&mat);
    }
    cr_expect(epsilon_eq(dbl, width, 5 * IN, 1e-12));
    cr_expect(epsilon_eq(dbl, height, 7 * IN, 1e-12));
}

/* Concentric corners leave the reveal the same all the way round. Rounded rectangle: w h -
 * (4 - pi) r^2 (mensuration tables). */
Test(mats, corners_are_concentric)
{
    struct rab_mat mat = made((struct rab_mat_options){
        .photo_width = 100, .photo_height = 60, .reveal = 4, .corner = 10});
    double gap = 0;
    struct rab_error err = {0};
    cr_expect(epsilon_eq(dbl, rab_region_area(&mat.region), 108 * 68 - (4 - RAB_PI) * 100, 1e-9));
    cr_expect(epsilon_eq(dbl, rab_outline_area(&mat.photo), 6000 - (4 - RAB_PI) * 36, 1e-9));
    cr_assert(rab_outline_gap(&mat.photo, &mat.region.outlines[0], &gap, NULL, NULL, &err));
    cr_expect(epsilon_eq(dbl, gap, 4, 1e-12));
    /* At 45 degrees the reveal is still 4: both arcs are about (10, 10). */
    const double at = 10 - 10 * sqrt(0.5);
    cr_expect(epsilon_eq(dbl, rab_outline_distance(&mat.photo, (struct rab_point){at, at}, NULL), 4,
                         1e-12));
    rab_mat_clear(&mat);

    mat = made(
        (struct rab_mat_options){.photo_width = 100, .photo_height = 60, .reveal = 4, .corner = 3});
    cr_expect(eq(sz, mat.photo.count, 4), "a corner smaller than the reveal leaves a square photo");
    rab_mat_clear(&mat);
}

Test(mats, a_window_on_a_board)
{
    struct rab_mat mat = made((struct rab_mat_options){.photo_width = 8 * IN,
                                                       .photo_height = 10 * IN,
                                                       .window = true,
                                                       .overlap = IN / 4,
                                                       .board_width = 11 * IN,
                                                       .board_height = 14 * IN});
    const struct rab_box w = mat.window_box;
    cr_expect(epsilon_eq(dbl, w.x1 - w.x0, 7.5 * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, w.y1 - w.y0, 9.5 * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, w.x0, 1.75 * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, mat.width - w.x1, 1.75 * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, w.y0, 2.25 * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, mat.height - w.y1, 2.25 * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, rab_region_area(&mat.region), (154 - 71.25) * IN * IN, 1e-8));
    cr_expect(epsilon_eq(dbl, mat.photo_box.x1 - mat.photo_box.x0, 8 * IN, 1e-9));
    rab_mat_clear(&mat);
}

Test(mats, a_weighted_window)
{
    struct rab_mat mat = made((struct rab_mat_options){.photo_width = 8 * IN,
                                                       .photo_height = 10 * IN,
                                                       .window = true,
                                                       .overlap = IN / 8,
                                                       .board_width = 14 * IN,
                                                       .board_height = 18 * IN,
                                                       .weight = IN / 2});
    const struct rab_box w = mat.window_box;
    cr_expect(epsilon_eq(dbl, w.x1 - w.x0, 7.75 * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, w.y1 - w.y0, 9.75 * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, w.x0, 3.125 * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, mat.height - w.y1, 3.875 * IN, 1e-9));
    cr_expect(epsilon_eq(dbl, w.y0, 4.375 * IN, 1e-9));
    rab_mat_clear(&mat);
}

Test(mats, a_window_with_a_border)
{
    struct rab_mat mat = made((struct rab_mat_options){.photo_width = 100,
                                                       .photo_height = 150,
                                                       .window = true,
                                                       .overlap = 5,
                                                       .border = 30,
                                                       .corner = 6,
                                                       .window_corner = 2});
    cr_expect(epsilon_eq(dbl, mat.width, 150, 1e-12));
    cr_expect(epsilon_eq(dbl, mat.height, 200, 1e-12));
    cr_expect(epsilon_eq(dbl, rab_region_area(&mat.region),
                         150 * 200 - (4 - RAB_PI) * 36 - (90 * 140 - (4 - RAB_PI) * 4), 1e-9));
    rab_mat_clear(&mat);
}

Test(mats, what_cannot_be_is_refused)
{
    refused((struct rab_mat_options){.photo_width = 0, .photo_height = 10, .reveal = 1}, "width");
    refused((struct rab_mat_options){.photo_width = 10, .photo_height = -1, .reveal = 1}, "height");
    refused((struct rab_mat_options){.photo_width = 10, .photo_height = 10, .reveal = 0}, "reveal");
    refused((struct rab_mat_options){.photo_width = 10, .photo_height = 10, .reveal = 1e9},
            "reveal");
    refused((struct rab_mat_options){.photo_width = 0.0 / 0.0, .photo_height = 10, .reveal = 1},
            "width");
    refused(
        (struct rab_mat_options){.photo_width = 10, .photo_height = 10, .reveal = 1, .corner = 6.1},
        "corner");
    refused(
        (struct rab_mat_options){
            .photo_width = 10, .photo_height = 20, .window = true, .overlap = 5, .border = 9},
        "overlap");
    refused(
        (struct rab_mat_options){
            .photo_width = 10, .photo_height = 20, .window = true, .overlap = 1},
        "border");
    refused((struct rab_mat_options){.photo_width = 10,
                                     .photo_height = 20,
                                     .window = true,
                                     .overlap = 1,
                                     .border = 3,
                                     .board_width = 30,
                                     .board_height = 30},
            "one of them");
    refused((struct rab_mat_options){.photo_width = 10,
                                     .photo_height = 20,
                                     .window = true,
                                     .overlap = 1,
                                     .board_width = 7,
                                     .board_height = 30},
            "larger board");
    refused((struct rab_mat_options){.photo_width = 10,
                                     .photo_height = 20,
                                     .window = true,
                                     .overlap = 3,
                                     .board_width = 9,
                                     .board_height = 30},
            "stand out");
}
