/* Rows and grids of photos. */
#include "rabbet/job.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

#define IN(x) ((x)*25.4)

static struct rab_cell print(double width, double height)
{
    return (struct rab_cell){.width = width, .height = height};
}

static struct rab_cell proportion(double share)
{
    return (struct rab_cell){.proportion = share};
}

/* Common practice, elementary: 12 in, margins 1/2, gutter 1/4: three rows of 3 1/2 in and two
 * columns of 5 3/8 in fill the page. */
Test(grid, columns_and_rows_of_a_page)
{
    struct rab_cell cells[3][2];
    struct rab_grid_row rows[3];
    struct rab_gaps gaps = {0};

    for (int r = 0; r < 3; r++) {
        for (int c = 0; c < 2; c++)
            cells[r][c] = print(IN(5.375), IN(3.5));
        rows[r] = (struct rab_grid_row){cells[r], 2, r + 1};
    }
    cr_assert(rab_grid_solve(rows, 3, IN(11), IN(11), IN(0.25), true, &gaps, NULL, NULL));
    cr_expect(gaps.count == 0);
    cr_expect(epsilon_eq(dbl, cells[0][1].x, IN(5.625), 1e-9));
    cr_expect(epsilon_eq(dbl, cells[0][0].y, IN(7.5), 1e-9));
    cr_expect(epsilon_eq(dbl, cells[2][0].y, 0, 1e-9));
    rab_gaps_clear(&gaps);
}

/* Elementary: h (3/2 + 2/3 + 1) = 10 1/2 in: 84.221053 mm high, 4.973684, 2.210526, 3.315789 in
 * wide. */
Test(grid, row_of_one_height)
{
    struct rab_cell cells[] = {proportion(1.5), proportion(2.0 / 3), proportion(1)};
    struct rab_grid_row row = {cells, 3, 0};

    /* without gutters, so that all of the width is photos */
    cr_assert(rab_grid_solve(&row, 1, IN(10.5), IN(11), 0, true, NULL, NULL, NULL));
    cr_expect(epsilon_eq(dbl, cells[0].height, 84.221053, 1e-6));
    cr_expect(epsilon_eq(dbl, cells[0].width, IN(4.973684), 1e-4));
    cr_expect(epsilon_eq(dbl, cells[1].width, IN(2.210526), 1e-4));
    cr_expect(epsilon_eq(dbl, cells[2].width, IN(3.315789), 1e-4));
}

/* By hand: 6 x 4 and 3 1/2 x 3 1/2 in, gutter 1/4, in a grid of 11 x 8 in: free are 1 x 4 beside
 * them (11
 * - 6 - 3 1/2 - 2 gutters), 3 1/2 x 1/8 below the lower one (too narrow), and 11 x 3 3/4 below. */
Test(grid, gaps_are_what_is_left)
{
    struct rab_cell cells[] = {print(IN(6), IN(4)), print(IN(3.5), IN(3.625))};
    struct rab_grid_row row = {cells, 2, 7};
    struct rab_gaps gaps = {0};
    struct rab_warnings notes = {0};

    cr_assert(rab_grid_solve(&row, 1, IN(11), IN(8), IN(0.25), true, &gaps, &notes, NULL));
    cr_assert(gaps.count == 2);
    cr_expect(all(epsilon_eq(dbl, gaps.items[0].width, IN(1), 1e-9),
                  epsilon_eq(dbl, gaps.items[0].height, IN(4), 1e-9),
                  epsilon_eq(dbl, gaps.items[0].x, IN(10), 1e-9),
                  epsilon_eq(dbl, gaps.items[0].y, IN(4), 1e-9)));
    cr_expect(all(epsilon_eq(dbl, gaps.items[1].width, IN(11), 1e-9),
                  epsilon_eq(dbl, gaps.items[1].height, IN(3.75), 1e-9)));
    cr_assert(notes.count == 1);
    cr_expect(strcmp(notes.items[0].code, "narrow-gap") == 0 && notes.items[0].line == 7);
    rab_gaps_clear(&gaps);
    rab_warnings_clear(&notes);
}

/* 3 x 3 1/2 + 2 x 1/4 = 11 in; there are 10 5/8. */
Test(grid, too_wide_is_explained)
{
    struct rab_cell cells[] = {print(IN(3.5), IN(3.5)), print(IN(3.5), IN(3.5)),
                               print(IN(3.5), IN(3.5))};
    struct rab_grid_row row = {cells, 3, 24};
    struct rab_error err = {0};

    cr_assert(not(rab_grid_solve(&row, 1, IN(10.625), IN(8), IN(0.25), true, NULL, NULL, &err)));
    cr_expect(err.fault == RAB_FAULT_GEOMETRY && err.line == 24);
    cr_expect(strstr(err.text, "3/8 in") != NULL, "%s", err.text);
    cr_expect(strstr(err.text, "3 photos of 3 1/2 in") != NULL, "%s", err.text);
    cr_expect(strstr(err.text, "2 gutters of 1/4 in") != NULL, "%s", err.text);
    cr_expect(strstr(err.text, "need 11 in") != NULL, "%s", err.text);
    err = (struct rab_error){0};
    cr_assert(not(rab_grid_solve(&row, 1, IN(12), IN(3), IN(0.25), true, NULL, NULL, &err)));
    cr_expect(strstr(err.text, "1/2 in") != NULL && strstr(err.text, "too high"), "%s", err.text);
}

static double share(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005U + 1442695040888963407U;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

static bool apart(double ax, double ay, double aw, double ah, double bx, double by, double bw,
                  double bh, double gutter)
{
    const double spare = 1e-3;

    return ax + aw + gutter <= bx + spare || bx + bw + gutter <= ax + spare ||
           ay + ah + gutter <= by + spare || by + bh + gutter <= ay + spare;
}

/* Whatever is solved: photos and gaps a gutter apart (within a micrometre), inside the grid, rows
 * with proportions full. */
Test(grid, ten_thousand_random_pages, .timeout = 60)
{
    uint64_t seed = 11;
    int solved = 0;

    for (int page = 0; page < 10000; page++) {
        struct rab_cell cells[5][5];
        struct rab_grid_row rows[5];
        struct rab_gaps gaps = {0};
        struct rab_error err = {0};
        const size_t row_count = 1 + (size_t)(share(&seed) * 5);
        const double gutter = share(&seed) < 0.2 ? 0 : 12 * share(&seed), width = 280, height = 280;
        struct rab_gap boxes[80];
        size_t count = 0;

        for (size_t r = 0; r < row_count; r++) {
            const size_t n = 1 + (size_t)(share(&seed) * 5);
            for (size_t i = 0; i < n; i++)
                cells[r][i] = share(&seed) < 0.4
                                  ? proportion(0.4 + 2 * share(&seed))
                                  : print(20 + 70 * share(&seed), 20 + 60 * share(&seed));
            rows[r] = (struct rab_grid_row){cells[r], n, (int)r + 1};
        }
        if (!rab_grid_solve(rows, row_count, width, height, gutter, false, &gaps, NULL, &err)) {
            cr_assert(err.fault == RAB_FAULT_GEOMETRY && err.line > 0 && gaps.count == 0);
            continue;
        }
        solved++;
        for (size_t r = 0; r < row_count; r++) {
            bool solves = false;
            for (size_t i = 0; i < rows[r].count; i++) {
                const struct rab_cell *c = &rows[r].cells[i];
                solves = solves || c->proportion > 0;
                boxes[count++] = (struct rab_gap){c->x, c->y, c->width, c->height};
                if (i > 0) /* gutters are equal */
                    cr_assert(fabs(c->x - c[-1].x - c[-1].width - gutter) < 1e-6);
            }
            const struct rab_cell *last = &rows[r].cells[rows[r].count - 1];
            if (solves)
                cr_assert(fabs(last->x + last->width - width) < 1e-6);
        }
        for (size_t i = 0; i < gaps.count; i++)
            boxes[count++] = gaps.items[i];
        for (size_t i = 0; i < count; i++) {
            const struct rab_gap a = boxes[i];
            cr_assert(a.x > -1e-6 && a.y > -1e-6 && a.x + a.width < width + 1e-6 &&
                      a.y + a.height < height + 1e-6);
            for (size_t k = 0; k < i; k++)
                cr_assert(apart(a.x, a.y, a.width, a.height, boxes[k].x, boxes[k].y, boxes[k].width,
                                boxes[k].height, gutter),
                          "page %d: %zu and %zu", page, i, k);
        }
        rab_gaps_clear(&gaps);
    }
    cr_expect(solved > 2000, "%d", solved);
}
