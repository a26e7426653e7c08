/* Sheets for plans, and what holds of every plan. */
#ifndef RABBET_TESTS_PLAN_PLANS_H
#define RABBET_TESTS_PLAN_PLANS_H

#include "rabbet/plan.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <stdlib.h>

struct sheet {
    struct rab_path *paths;
    size_t count, capacity;
    int pieces;
};

/* Takes the outline over. */
static inline void sheet_add(struct sheet *sheet, enum rab_operation operation, int piece,
                             struct rab_outline outline)
{
    void *items = sheet->paths;

    cr_assert(rab_reserve(&items, &sheet->capacity, sheet->count + 1, sizeof *sheet->paths, NULL));
    sheet->paths = items;
    sheet->paths[sheet->count++] = (struct rab_path){operation, piece, outline};
}

static inline struct rab_outline rectangle(double x, double y, double width, double height)
{
    struct rab_outline outline = {0};

    cr_assert(
        rab_outline_rectangle((struct rab_box){x, y, x + width, y + height}, 0, &outline, NULL));
    return outline;
}

static inline struct rab_outline disc(double x, double y, double radius)
{
    struct rab_outline outline = {0};

    cr_assert(rab_outline_circle((struct rab_point){x, y}, radius, &outline, NULL));
    return outline;
}

static inline struct rab_outline reversed(struct rab_outline outline)
{
    rab_outline_reverse(&outline);
    return outline;
}

static inline struct rab_outline line(double x0, double y0, double x1, double y1)
{
    struct rab_outline outline = {.open = true};

    cr_assert(rab_outline_add(&outline, x0, y0, 0, NULL) &&
              rab_outline_add(&outline, x1, y1, 0, NULL));
    return outline;
}

static inline void sheet_clear(struct sheet *sheet)
{
    for (size_t i = 0; i < sheet->count; i++)
        rab_outline_clear(&sheet->paths[i].outline);
    free(sheet->paths);
    *sheet = (struct sheet){0};
}

static inline struct rab_plan plan_of(const struct sheet *sheet,
                                      const struct rab_plan_options *options)
{
    struct rab_plan plan = {0};
    struct rab_error err = {0};

    cr_assert(rab_plan_make(sheet->paths, sheet->count, options, &plan, NULL, &err), "%s",
              err.text);
    return plan;
}

/* Seeded, the same everywhere. */
static inline double random_share(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005U + 1442695040888963407U;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

/* Pieces of a frame's kind on a grid: an outer rectangle with some openings, every third piece with
 * a smaller piece in one of them, some with creases. */
static inline struct sheet make_sheet(uint64_t seed, int columns, int rows)
{
    struct sheet sheet = {0};

    for (int n = 0; n < columns * rows; n++) {
        const double x = 40.0 * (n % columns) + 8 * random_share(&seed);
        const double y = 40.0 * (n / columns) + 8 * random_share(&seed);
        const int piece = ++sheet.pieces;
        sheet_add(&sheet, RAB_CUT, piece, rectangle(x, y, 30, 30));
        if (random_share(&seed) < 0.7)
            sheet_add(&sheet, RAB_CUT, piece, reversed(disc(x + 8, y + 8, 5)));
        if (random_share(&seed) < 0.4)
            sheet_add(&sheet, RAB_CUT, piece, reversed(rectangle(x + 16, y + 16, 8, 6)));
        if (n % 3 == 0) {
            sheet_add(&sheet, RAB_CUT, piece, reversed(disc(x + 22, y + 8, 5)));
            sheet_add(&sheet, RAB_CUT, ++sheet.pieces, disc(x + 22, y + 8, 3));
        }
        if (random_share(&seed) < 0.3)
            sheet_add(&sheet, RAB_CREASE, piece, line(x + 2, y + 14, x + 28, y + 14));
    }
    return sheet;
}

#endif
