/*
 * Pieces laid out on sheets, and turned face down.
 *
 * Mirroring: what a machine cuts face down is the mirror image of the front (a fact of the
 * matter); the numbers are those of a sheet 304.8 wide with a triangle worked out by hand.
 */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <stdlib.h>
#include <string.h>

#include "frames.h"

static struct rab_backing piece_of(int *number, const struct rab_box box)
{
    struct rab_backing piece = {.openings = number, .opening_count = 1, .box = box};
    return piece;
}

struct pile {
    struct rab_backings backings;
    int *numbers;
};

static struct pile random_pile(struct seeded *numbers, size_t count, double most)
{
    struct pile pile = {0};
    pile.numbers = calloc(count, sizeof *pile.numbers);
    pile.backings.items = calloc(count, sizeof *pile.backings.items);
    cr_assert(pile.numbers && pile.backings.items);
    for (size_t i = 0; i < count; i++) {
        const double x = seeded_real(numbers, -100, 300), y = seeded_real(numbers, -100, 300);
        pile.numbers[i] = (int)i + 1;
        pile.backings.items[i] =
            piece_of(&pile.numbers[i], (struct rab_box){x, y, x + seeded_real(numbers, 1, most),
                                                        y + seeded_real(numbers, 1, most)});
    }
    pile.backings.count = count;
    return pile;
}

static void pile_clear(struct pile *pile)
{
    free(pile->numbers);
    free(pile->backings.items);
}

static struct rab_box laid_box(const struct pile *pile, const struct rab_placed *placed)
{
    const struct rab_box box = pile->backings.items[placed->piece].box;
    return (struct rab_box){box.x0 + placed->dx, box.y0 + placed->dy, box.x1 + placed->dx,
                            box.y1 + placed->dy};
}

Test(sheets, nothing_overlaps_and_nothing_is_lost)
{
    struct seeded numbers = {11};
    for (int round = 0; round < 200; round++) {
        struct pile pile = random_pile(&numbers, (size_t)seeded_int(&numbers, 1, 60), 90);
        struct rab_placing placing = {0};
        struct rab_error err = {0};
        const double gap = seeded_real(&numbers, 0, 8);
        size_t *seen = calloc(pile.backings.count, sizeof *seen);
        cr_assert(rab_backings_arrange(&pile.backings, 200, 150, gap, &placing, &err), "%s",
                  err.text);
        cr_assert(eq(sz, placing.count, pile.backings.count));
        for (size_t i = 0; i < placing.count; i++) {
            const struct rab_box a = laid_box(&pile, &placing.items[i]);
            seen[placing.items[i].piece]++;
            cr_expect(lt(sz, placing.items[i].sheet, placing.sheets));
            cr_expect(a.x0 >= gap - 1e-6 && a.y0 >= gap - 1e-6 && a.x1 <= 200 - gap + 1e-6 &&
                      a.y1 <= 150 - gap + 1e-6);
            for (size_t k = 0; k < i; k++) {
                const struct rab_box b = laid_box(&pile, &placing.items[k]);
                cr_expect(placing.items[i].sheet != placing.items[k].sheet ||
                          a.x0 >= b.x1 + gap - 1e-6 || b.x0 >= a.x1 + gap - 1e-6 ||
                          a.y0 >= b.y1 + gap - 1e-6 || b.y0 >= a.y1 + gap - 1e-6);
            }
        }
        for (size_t i = 0; i < pile.backings.count; i++)
            cr_expect(eq(sz, seen[i], 1));
        free(seen);
        rab_placing_clear(&placing);
        pile_clear(&pile);
    }
}

/* Three of 3 1/2 in and four equal gaps fill 12 in: 3/8 in each. A fourth begins a new row. */
Test(sheets, a_row_is_filled_to_the_last)
{
    int names[4] = {1, 2, 3, 4};
    struct rab_backing items[4];
    struct rab_backings backings = {.items = items, .count = 4};
    struct rab_placing placing = {0};
    struct rab_error err = {0};
    for (int i = 0; i < 4; i++)
        items[i] = piece_of(&names[i], (struct rab_box){10, 10, 98.9, 98.9});
    cr_assert(rab_backings_arrange(&backings, 304.8, 304.8, 9.525, &placing, &err));
    cr_expect(eq(sz, placing.sheets, 1));
    cr_expect(epsilon_eq(dbl, placing.items[2].dx, 304.8 - 9.525 - 88.9 - 10, 1e-9));
    cr_expect(epsilon_eq(dbl, placing.items[2].dy, placing.items[0].dy, 1e-12));
    cr_expect(epsilon_eq(dbl, placing.items[3].dx, 9.525 - 10, 1e-12));
    cr_expect(epsilon_eq(dbl, placing.items[3].dy, placing.items[0].dy - 98.425, 1e-9));
    rab_placing_clear(&placing);
}

/* A piece as large as the sheet fits: the gap at the edge gives way. */
Test(sheets, a_piece_as_large_as_the_sheet_fits)
{
    int name = 1;
    struct rab_backing item = piece_of(&name, (struct rab_box){5, 5, 105, 85});
    struct rab_backings backings = {.items = &item, .count = 1};
    struct rab_placing placing = {0};
    struct rab_error err = {0};
    cr_assert(rab_backings_arrange(&backings, 100, 80, 3, &placing, &err), "%s", err.text);
    cr_expect(epsilon_eq(dbl, placing.items[0].dx, -5, 1e-12));
    cr_expect(epsilon_eq(dbl, placing.items[0].dy, -5, 1e-12));
    rab_placing_clear(&placing);
    cr_expect(not(rab_backings_arrange(&backings, 99, 80, 3, &placing, &err)));
    cr_expect(eq(int, err.fault, RAB_FAULT_GEOMETRY));
    cr_expect(strstr(err.text, "100 x 80 mm") != NULL, "%s", err.text);
    err = (struct rab_error){0};
    cr_expect(not(rab_backings_arrange(&backings, 100, 80, -1, &placing, &err)));
    cr_expect(eq(int, err.fault, RAB_FAULT_INPUT));
    err = (struct rab_error){0};
    cr_expect(not(rab_backings_arrange(&backings, 0, 80, 1, &placing, &err)));
    cr_expect(eq(int, err.fault, RAB_FAULT_INPUT));
}

Test(sheets, face_down_is_mirrored_face_up_is_not)
{
    struct shapes drawn = {0};
    struct rab_region region = {0}, up = {0}, down = {0};
    struct rab_error err = {0};
    struct rab_backing piece = {0};
    const struct rab_point triangle[3] = {{20, 200}, {60, 200}, {20, 280}};
    const struct rab_point mirrored[3] = {{284.8, 200}, {244.8, 200}, {284.8, 280}};
    add_polygon(&drawn, 3, triangle);
    cr_assert(rab_region_fill(drawn.items, 1, RAB_FILL_NONZERO, &region, &err));
    piece.region = region;
    cr_assert(rab_backing_laid(&piece, 0, 0, false, 304.8, &up, &err));
    cr_assert(rab_backing_laid(&piece, 0, 0, true, 304.8, &down, &err));
    cr_expect(epsilon_eq(dbl, rab_outline_area(&up.outlines[0]), 1600, 1e-9));
    cr_expect(epsilon_eq(dbl, rab_outline_area(&down.outlines[0]), 1600, 1e-9),
              "a piece keeps its direction");
    for (int i = 0; i < 3; i++) {
        cr_expect(lt(dbl, rab_outline_distance(&up.outlines[0], triangle[i], NULL), 1e-9));
        cr_expect(lt(dbl, rab_outline_distance(&down.outlines[0], mirrored[i], NULL), 1e-9));
    }
    rab_region_clear(&up);
    rab_region_clear(&down);
    rab_region_clear(&region);
    shapes_clear(&drawn);
}
