/*
 * Which outlines are openings, and their numbers. The order is that in which English is read, rows
 * from the top and each from the left; what makes a row is our rule (rab_frame_from_region), so
 * the layouts here are ones on which any reader agrees, and the rule is held against itself by
 * what must not change it: the order in which outlines were drawn.
 */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <string.h>

#include "frames.h"

static void page(struct shapes *drawn)
{
    add_rectangle(drawn, 0, 0, 304.8, 304.8);
}

static void expect_numbers(const struct rab_frame *frame, size_t count,
                           const struct rab_point *in_order)
{
    cr_assert(eq(sz, frame->count, count));
    for (size_t i = 0; i < count; i++)
        cr_expect(eq(int, number_at(frame, in_order[i].x, in_order[i].y), (int)i + 1),
                  "the opening at %g,%g", in_order[i].x, in_order[i].y);
}

Test(openings, a_grid_reads_row_by_row)
{
    struct shapes drawn = {0};
    struct rab_point order[12];
    page(&drawn);
    for (int i = 11; i >= 0; i--) { /* drawn from the last to the first */
        order[i] = (struct rab_point){40 + 70 * (i % 4), 260 - 100 * (i / 4)};
        add_rectangle(&drawn, order[i].x - 25, order[i].y - 30, order[i].x + 25, order[i].y + 30);
    }
    struct rab_frame frame = frame_of(&drawn);
    expect_numbers(&frame, 12, order);
    rab_frame_clear(&frame);
    shapes_clear(&drawn);
}

/* Hand-drawn: nothing is level, and a row is still a row. */
Test(openings, a_row_may_be_uneven)
{
    struct shapes drawn = {0};
    struct rab_point order[10];
    struct seeded numbers = {5};
    page(&drawn);
    for (int i = 0; i < 10; i++) {
        order[i] = (struct rab_point){35 + 55 * (i % 5) + seeded_real(&numbers, -3, 3),
                                      220 - 120 * (i / 5) + seeded_real(&numbers, -9, 9)};
        add_circle(&drawn, order[i].x, order[i].y, seeded_real(&numbers, 18, 22));
    }
    struct rab_frame frame = frame_of(&drawn);
    expect_numbers(&frame, 10, order);
    rab_frame_clear(&frame);
    shapes_clear(&drawn);
}

/* A brick pattern: rows, every other one moved by half a pitch. */
Test(openings, bricks_read_row_by_row)
{
    struct shapes drawn = {0};
    struct rab_point order[12];
    page(&drawn);
    for (int i = 0; i < 12; i++) {
        const int row = i / 3;
        order[i] = (struct rab_point){60 + 80 * (i % 3) + (row % 2 ? 40 : 0), 270 - 60 * row};
        add_rectangle(&drawn, order[i].x - 35, order[i].y - 25, order[i].x + 35, order[i].y + 25);
    }
    struct rab_frame frame = frame_of(&drawn);
    expect_numbers(&frame, 12, order);
    rab_frame_clear(&frame);
    shapes_clear(&drawn);
}

/* A half-drop: every other column half a pitch lower, so its openings are rows of their own. */
Test(openings, a_half_drop_makes_rows_between_rows)
{
    struct shapes drawn = {0};
    /* columns at 50, 120, 190; pitch 60, openings 55 high: they share 25 of 55 with the next */
    const struct rab_point order[] = {{50, 260},  {190, 260}, {120, 230}, {50, 200},
                                      {190, 200}, {120, 170}, {50, 140},  {190, 140}};
    page(&drawn);
    for (size_t i = 0; i < 8; i++)
        add_rectangle(&drawn, order[i].x - 30, order[i].y - 27.5, order[i].x + 30,
                      order[i].y + 27.5);
    struct rab_frame frame = frame_of(&drawn);
    expect_numbers(&frame, 8, order);
    rab_frame_clear(&frame);
    shapes_clear(&drawn);
}

/* Lights of one window, feet on one sill: a row, however tall each is. */
Test(openings, a_row_of_arches_of_different_heights)
{
    struct shapes drawn = {0};
    const double tops[] = {40, 90, 180, 110, 30};
    struct rab_point order[5];
    page(&drawn);
    for (int i = 0; i < 5; i++) {
        add_arch(&drawn, 20 + 55 * i, 50, 40, tops[i]);
        order[i] = (struct rab_point){40 + 55 * i, 55};
    }
    struct rab_frame frame = frame_of(&drawn);
    expect_numbers(&frame, 5, order);
    rab_frame_clear(&frame);
    shapes_clear(&drawn);
}

/* One tall opening at the left of three rows stands at the head of the first. */
Test(openings, a_tall_one_beside_rows)
{
    struct shapes drawn = {0};
    struct rab_point order[7] = {{40, 150}};
    page(&drawn);
    add_rectangle(&drawn, 20, 30, 60, 270);
    for (int i = 0; i < 6; i++) {
        order[1 + i] = (struct rab_point){120 + 90 * (i % 2), 230 - 80 * (i / 2)};
        add_rectangle(&drawn, order[1 + i].x - 30, order[1 + i].y - 30, order[1 + i].x + 30,
                      order[1 + i].y + 30);
    }
    struct rab_frame frame = frame_of(&drawn);
    expect_numbers(&frame, 7, order);
    rab_frame_clear(&frame);
    shapes_clear(&drawn);
}

/* Rows of a grid that lies a little askew, so far that the row ends a pitch higher than it began.
 */
Test(openings, a_turned_grid_reads_along_its_rows)
{
    for (int way = -1; way <= 1; way += 2) {
        struct shapes drawn = {0};
        struct rab_point order[80];
        page(&drawn);
        for (int i = 79; i >= 0; i--) {
            const double x = 12 * (i % 20) - 114, y = 30 - 20 * (i / 20), turn = way * 0.1;
            order[i] = (struct rab_point){152 + x * cos(turn) - y * sin(turn),
                                          152 + x * sin(turn) + y * cos(turn)};
            add_circle(&drawn, order[i].x, order[i].y, 5);
        }
        struct rab_frame frame = frame_of(&drawn);
        expect_numbers(&frame, 80, order);
        rab_frame_clear(&frame);
        shapes_clear(&drawn);
    }
}

/* Twelve petals and an eye: the top three, then by pairs, the eye between the two at the sides. */
Test(openings, a_rose_reads_from_the_top)
{
    struct shapes drawn = {0};
    struct rab_point order[13];
    /* hours on the dial, 13 for the eye */
    const int hours[13] = {11, 12, 1, 10, 2, 9, 13, 3, 8, 4, 7, 6, 5};
    page(&drawn);
    for (int i = 0; i < 13; i++) {
        const double angle = RAB_PI / 2 - hours[i] * RAB_PI / 6;
        const double out = hours[i] == 13 ? 0 : 70;
        order[i] = (struct rab_point){150 + out * cos(angle), 150 + out * sin(angle)};
        add_circle(&drawn, order[i].x, order[i].y, out > 0 ? 15 : 30);
    }
    struct rab_frame frame = frame_of(&drawn);
    expect_numbers(&frame, 13, order);
    rab_frame_clear(&frame);
    shapes_clear(&drawn);
}

Test(openings, numbers_do_not_hang_on_the_order_of_drawing)
{
    struct seeded numbers = {77};
    for (int round = 0; round < 50; round++) {
        struct shapes drawn = {0};
        struct rab_point places[30];
        size_t count = 0;
        while (count < 30) {
            const struct rab_point p = {seeded_real(&numbers, 15, 290),
                                        seeded_real(&numbers, 15, 290)};
            bool room = true;
            for (size_t k = 0; k < count; k++)
                room = room && hypot(places[k].x - p.x, places[k].y - p.y) > 25;
            if (room)
                places[count++] = p;
        }
        page(&drawn);
        for (size_t i = 0; i < 30; i++)
            add_circle(&drawn, places[i].x, places[i].y, 4 + (double)(i % 8));
        struct rab_frame frame = frame_of(&drawn);
        struct rab_outline *items = drawn.items;
        for (size_t i = 29; i > 0; i--) {
            const size_t k = (size_t)seeded_int(&numbers, 0, (int)i);
            const struct rab_outline swap = items[1 + i];
            items[1 + i] = items[1 + k];
            items[1 + k] = swap;
        }
        struct rab_frame again = frame_of(&drawn);
        for (size_t i = 0; i < 30; i++)
            cr_expect(eq(int, number_at(&frame, places[i].x, places[i].y),
                         number_at(&again, places[i].x, places[i].y)));
        rab_frame_clear(&again);
        rab_frame_clear(&frame);
        shapes_clear(&drawn);
    }
}

Test(openings, measures_are_those_of_the_hole)
{
    struct shapes drawn = {0};
    struct rab_error err = {0};
    page(&drawn);
    add_arch(&drawn, 30, 40, 40, 60);
    struct rab_frame frame = frame_of(&drawn);
    cr_assert(eq(sz, frame.count, 1));
    const struct rab_opening *opening = &frame.openings[0];
    /* Rectangle and half circle: 40 x 60 + 200 pi; their centroids at 30 and 60 + 4 r / 3 pi. */
    const double half = 200 * RAB_PI;
    cr_expect(epsilon_eq(dbl, opening->area, 2400 + half, 1e-9));
    cr_expect(epsilon_eq(dbl, rab_outline_area(&opening->outline), 2400 + half, 1e-9));
    cr_expect(epsilon_eq(dbl, opening->centre.x, 50, 1e-9));
    cr_expect(epsilon_eq(dbl, opening->centre.y,
                         40 + (2400 * 30 + half * (60 + 80 / (3 * RAB_PI))) / (2400 + half), 1e-9));
    cr_expect(epsilon_eq(dbl, opening->box.y1, 120, 1e-9));
    cr_expect(epsilon_eq(dbl, frame.box.x1, 304.8, 1e-9));
    cr_expect(eq(int, err.fault, RAB_FAULT_NONE));
    rab_frame_clear(&frame);
    shapes_clear(&drawn);
}

static struct rab_region region_of(const struct shapes *drawn)
{
    struct rab_region paper = {0};
    struct rab_error err = {0};
    cr_assert(rab_region_fill(drawn->items, drawn->count, RAB_FILL_EVENODD, &paper, &err), "%s",
              err.text);
    return paper;
}

Test(openings, loose_paper_is_an_island_and_told)
{
    struct shapes drawn = {0};
    struct rab_frame frame = {0};
    struct rab_warnings notes = {0};
    struct rab_error err = {0};
    page(&drawn);
    add_rectangle(&drawn, 20, 20, 80, 80);
    add_rectangle(&drawn, 150, 20, 280, 280);
    add_circle(&drawn, 200, 100, 20); /* loose */
    add_circle(&drawn, 200, 100, 10); /* a hole in what is loose */
    add_circle(&drawn, 200, 200, 20);
    struct rab_region paper = region_of(&drawn);
    cr_assert(rab_frame_from_region(&paper, &frame, &notes, &err), "%s", err.text);
    cr_assert(eq(sz, frame.count, 2));
    const struct rab_opening *large = opening_at(&frame, 160, 30);
    cr_assert(large != NULL);
    cr_expect(eq(sz, large->island_count, 2));
    cr_expect(epsilon_eq(dbl, large->area, 130.0 * 260, 1e-9));
    cr_expect(gt(dbl, rab_outline_area(&large->islands[0]), 0));
    cr_assert(eq(sz, notes.count, 1));
    cr_expect(strcmp(notes.items[0].code, "loose-paper") == 0);
    cr_expect(strstr(notes.items[0].text, "opening 1 ") != NULL || large->number != 1);
    rab_warnings_clear(&notes);
    rab_region_clear(&paper);
    rab_frame_clear(&frame);
    shapes_clear(&drawn);
}

Test(openings, separate_parts_are_numbered_together_and_told)
{
    struct shapes drawn = {0};
    struct rab_frame frame = {0};
    struct rab_warnings notes = {0};
    struct rab_error err = {0};
    add_rectangle(&drawn, 0, 0, 100, 100);
    add_circle(&drawn, 50, 50, 30);
    add_rectangle(&drawn, 110, 0, 210, 100);
    add_circle(&drawn, 160, 50, 30);
    add_rectangle(&drawn, 0, 110, 50, 120);
    struct rab_region paper = region_of(&drawn);
    cr_assert(rab_frame_from_region(&paper, &frame, &notes, &err), "%s", err.text);
    cr_expect(eq(sz, frame.part_count, 3));
    cr_expect(eq(int, number_at(&frame, 50, 50), 1));
    cr_expect(eq(int, number_at(&frame, 160, 50), 2));
    cr_expect(ne(sz, frame.openings[0].part, frame.openings[1].part));
    cr_expect(
        rab_outline_winding(&frame.parts[frame.openings[1].part], (struct rab_point){115, 5}) == 1);
    cr_assert(eq(sz, notes.count, 1));
    cr_expect(strcmp(notes.items[0].code, "several-parts") == 0);
    rab_warnings_clear(&notes);
    rab_region_clear(&paper);
    rab_frame_clear(&frame);
    shapes_clear(&drawn);
}

Test(openings, a_sheet_without_openings_is_refused)
{
    struct shapes drawn = {0};
    struct rab_frame frame = {0};
    struct rab_error err = {0};
    page(&drawn);
    struct rab_region paper = region_of(&drawn);
    cr_expect(not(rab_frame_from_region(&paper, &frame, NULL, &err)));
    cr_expect(eq(int, err.fault, RAB_FAULT_GEOMETRY));
    cr_expect(strstr(err.text, "no opening") != NULL);
    cr_expect(eq(sz, frame.count, 0));
    rab_region_clear(&paper);
    shapes_clear(&drawn);
}
