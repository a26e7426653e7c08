/* Grids by chance until 10,000 were solved: these never overlap, their gutters are equal,
 * everything lies inside; those that are refused do not fit. Common practice for what a grid is, no
 * source; the sums are done here anew. Another number of them by hand: test-job-chance SEED CASES.
 */
#include "../outline/random.h"
#include "rabbet/job.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS = 5, CELLS = 5, MATS = 2 };
static const double micrometre = 1e-3;

struct trial {
    struct rab_job job;
    struct rab_paper papers[3];
    size_t fills[3];
    struct rab_item grid, rows[ROWS], cells[ROWS][CELLS];
    struct rab_mat_asked mats[ROWS][CELLS][MATS];
    bool surely, never; /* it fits; it does not */
};

static void make_cell(struct random *random, struct trial *t, size_t r, size_t c, double share)
{
    struct rab_item *item = &t->cells[r][c];

    *item = (struct rab_item){.kind = RAB_ITEM_PHOTO, .line = (int)(10 * r + c + 1)};
    if (random_below(random, 8) == 0)
        item->kind = RAB_ITEM_PANEL;
    if (item->kind == RAB_ITEM_PHOTO && random_below(random, 2) == 0) {
        item->proportion = exp(random_between(random, -1, 1));
    } else {
        item->width = random_between(random, 0.4, 1.1) * share;
        item->height = random_between(random, 8, 80);
    }
    item->mats = t->mats[r][c];
    item->mat_count = item->kind == RAB_ITEM_PHOTO && random_below(random, 3) == 0
                          ? (size_t)random_below(random, MATS) + 1
                          : 0;
    for (size_t m = 0; m < item->mat_count; m++)
        t->mats[r][c][m] =
            (struct rab_mat_asked){.paper = 1, .reveal = random_between(random, 0.5, 6)};
}

static void make_trial(struct random *random, struct trial *t)
{
    struct rab_page *page = &t->job.pages[random_below(random, 2)];

    *t = (struct trial){.job = {.kits = 1, .papers = t->papers, .paper_count = 3}};
    for (size_t i = 0; i < 3; i++) {
        static char name[] = "paper";
        t->papers[i] = (struct rab_paper){.name = name, .width = 500, .height = 500};
        t->fills[i] = (size_t)random_below(random, 3);
    }
    *page = (struct rab_page){.there = true,
                              .width = random_between(random, 150, 400),
                              .height = random_between(random, 150, 400),
                              .margin = random_between(random, 0, 20),
                              .items = &t->grid,
                              .item_count = 1};
    t->grid = (struct rab_item){.kind = RAB_ITEM_GRID,
                                .items = t->rows,
                                .item_count = (size_t)random_below(random, ROWS) + 1,
                                .gutter = random_between(random, 0, 12),
                                .fills = t->fills,
                                .fill_count = (size_t)random_below(random, 4)};
    for (size_t r = 0; r < t->grid.item_count; r++) {
        const size_t count = (size_t)random_below(random, CELLS) + 1;
        t->rows[r] = (struct rab_item){
            .kind = RAB_ITEM_ROW, .items = t->cells[r], .item_count = count, .line = (int)(10 * r)};
        for (size_t c = 0; c < count; c++)
            make_cell(random, t, r, c, (page->width - 2 * page->margin) / (double)count);
    }
}

/* ---- does it fit: sums of its own ------------------------------------------------------ */

static double border_of(const struct rab_item *item)
{
    double border = 0;

    for (size_t m = 0; m < item->mat_count; m++)
        border += 2 * item->mats[m].reveal;
    return border;
}

/* Plain mats are as wide on all sides: p (H - b) + b for each photo whose size is found. */
static void foresee(struct trial *t, double width, double height)
{
    double need = t->grid.gutter * (double)(t->grid.item_count - 1);

    t->surely = true;
    t->never = false;
    for (size_t r = 0; r < t->grid.item_count; r++) {
        const struct rab_item *row = &t->rows[r];
        double left = width - t->grid.gutter * (double)(row->item_count - 1), shares = 0, high = 0;
        for (size_t c = 0; c < row->item_count; c++) {
            const struct rab_item *item = &row->items[c];
            const double border = border_of(item);
            left -= item->proportion > 0 ? border * (1 - item->proportion) : item->width + border;
            shares += item->proportion;
            high = fmax(high, item->proportion > 0 ? 0 : item->height + border);
        }
        if (shares > 0) {
            const double outer = left / shares;
            for (size_t c = 0; c < row->item_count; c++) {
                const struct rab_item *item = &row->items[c];
                const double photo = (outer - border_of(item)) * fmin(1, item->proportion);
                /* The library's mats are for photos of 5 mm or more. */
                t->surely = t->surely && (item->proportion <= 0 || photo > 5.001);
            }
            high = fmax(high, outer);
        }
        t->surely = t->surely && left > 1e-5 * (shares > 0);
        t->never = t->never || left < -1e-5;
        need += high;
    }
    t->surely = t->surely && need < height - 1e-5;
    t->never = t->never || need > height + 1e-5;
}

/* ---- what came out --------------------------------------------------------------------- */

/* The outer box of an item, mats included. */
static struct rab_box box_of(const struct rab_spread *spread, const struct rab_item *item)
{
    struct rab_box box = RAB_BOX_EMPTY;

    for (size_t i = 0; i < spread->count; i++) {
        if (spread->pieces[i].item == item)
            box = rab_box_join(box, rab_region_box(&spread->pieces[i].region));
    }
    return box;
}

static double apart(struct rab_box a, struct rab_box b)
{
    return fmax(fmax(a.x0 - b.x1, b.x0 - a.x1), fmax(a.y0 - b.y1, b.y0 - a.y1));
}

static const char *judge_size(const struct rab_spread *spread, const struct rab_item *item)
{
    for (size_t i = 0; i < spread->count; i++) {
        const struct rab_piece *piece = &spread->pieces[i];
        const struct rab_box box = rab_region_box(&piece->region);
        const double width = box.x1 - box.x0, height = box.y1 - box.y0;
        if (piece->item != item || piece->kind == RAB_PIECE_MAT)
            continue;
        if (item->proportion > 0
                ? fabs(width / height - item->proportion) > 1e-6 * item->proportion
                : fabs(width - item->width) > 1e-6 || fabs(height - item->height) > 1e-6)
            return "a size or proportion was not kept";
    }
    return NULL;
}

static const char *judge_row(const struct trial *t, const struct rab_spread *spread, size_t r,
                             struct rab_box grid, double *top)
{
    const struct rab_item *row = &t->rows[r];
    double right = grid.x0 - t->grid.gutter, low = *top;
    bool solved = false;

    for (size_t c = 0; c < row->item_count; c++) {
        const struct rab_box box = box_of(spread, &row->items[c]);
        const char *fault = judge_size(spread, &row->items[c]);
        if (fault)
            return fault;
        if (fabs(box.x0 - right - t->grid.gutter) > micrometre)
            return "a gutter differs";
        if (fabs(box.y1 - *top) > micrometre)
            return "a photo does not stand at the top of its row";
        right = box.x1;
        low = fmin(low, box.y0);
        solved = solved || row->items[c].proportion > 0;
    }
    *top = low - t->grid.gutter;
    return solved && fabs(right - grid.x1) > micrometre ? "a row does not fill the width" : NULL;
}

/* Each item and each filler against all others. */
static const char *judge_spread(const struct trial *t, const struct rab_spread *spread,
                                struct rab_box grid)
{
    struct rab_box boxes[200];
    size_t count = 0;
    double top = grid.y1;

    for (size_t r = 0; r < t->grid.item_count; r++) {
        const char *fault = judge_row(t, spread, r, grid, &top);
        if (fault)
            return fault;
        for (size_t c = 0; c < t->rows[r].item_count; c++)
            boxes[count++] = box_of(spread, &t->cells[r][c]);
    }
    for (size_t i = 0; i < spread->count && count < 200; i++) {
        if (spread->pieces[i].kind == RAB_PIECE_FILLER)
            boxes[count++] = rab_region_box(&spread->pieces[i].region);
    }
    for (size_t i = 0; i < count; i++) {
        if (boxes[i].x0 < grid.x0 - micrometre || boxes[i].x1 > grid.x1 + micrometre ||
            boxes[i].y0 < grid.y0 - micrometre || boxes[i].y1 > grid.y1 + micrometre)
            return "something lies outside";
        for (size_t k = 0; k < i; k++) {
            if (apart(boxes[i], boxes[k]) < t->grid.gutter - micrometre)
                return "two things are nearer than a gutter";
        }
    }
    return NULL;
}

static const char *judge(struct trial *t, const struct rab_library *library, size_t *solved)
{
    const struct rab_page *page = t->job.pages[0].there ? &t->job.pages[0] : &t->job.pages[1];
    const struct rab_box grid = {page->margin, page->margin, page->width - page->margin,
                                 page->height - page->margin};
    struct rab_spread spread = {0};
    struct rab_error err = {0};
    const char *fault = NULL;

    foresee(t, grid.x1 - grid.x0, grid.y1 - grid.y0);
    if (rab_job_resolve(&t->job, library, NULL, NULL, &spread, NULL, &err)) {
        fault = t->never ? "it cannot fit and was solved" : judge_spread(t, &spread, grid);
        *solved += 1;
    } else if (t->surely) {
        printf("%s\n", err.text);
        fault = "it fits and was refused";
    } else if (err.fault != RAB_FAULT_GEOMETRY && err.fault != RAB_FAULT_INPUT) {
        fault = err.text[0] ? "another fault" : "no fault";
    }
    rab_spread_clear(&spread);
    return fault;
}

int main(int argc, char **argv)
{
    struct rab_library *library = NULL;
    struct rab_error err = {0};
    struct random random = {argc > 1 ? strtoull(argv[1], NULL, 10) : 1};
    const long cases = argc > 2 ? strtol(argv[2], NULL, 10) : 10000;
    struct trial *trial = malloc(sizeof *trial);
    size_t solved = 0;
    long tried = 0, faults = 0;

    if (!trial || !rab_library_open(NULL, 0, &library, NULL, &err)) {
        printf("%s\n", err.text);
        free(trial);
        return 1;
    }
    /* Too few solved ones would try little. */
    for (; tried < 4 * cases && solved < (size_t)cases; tried++) {
        make_trial(&random, trial);
        const char *fault = judge(trial, library, &solved);
        if (fault) {
            printf("case %ld: %s\n", tried, fault);
            faults++;
        }
    }
    printf("%zu of %ld were solved, %ld faults\n", solved, tried, faults);
    rab_library_close(library);
    free(trial);
    return faults > 0 || solved < (size_t)cases;
}
