#include "rabbet/job.h"

#include <math.h>
#include <stdlib.h>

/* What is too wide by less than this is rounding. */
static const double spare = 1e-6;
static const double largest = 1e5; /* mm */

/* ---- messages -------------------------------------------------------------------------- */

static void add_length(struct rab_text *text, double mm, bool in_first)
{
    rab_text_length(text, mm, in_first, 16);
}

/* "3 photos of 88.9 mm (3 1/2 in)" or "3 photos", and the gutters. */
static void add_parts(struct rab_text *text, const struct rab_grid_row *row, double gutter,
                      bool in_first)
{
    bool alike = true;

    for (size_t i = 1; i < row->count; i++)
        alike = alike && fabs(row->cells[i].width - row->cells[0].width) <= spare;
    rab_text_format(text, "%zu photo%s", row->count, row->count == 1 ? "" : "s");
    if (alike && row->cells[0].width > 0) {
        rab_text_add(text, " of ");
        add_length(text, row->cells[0].width, in_first);
    }
    if (row->count > 1) {
        rab_text_format(text, " and %zu gutter%s of ", row->count - 1, row->count == 2 ? "" : "s");
        add_length(text, gutter, in_first);
    }
}

static bool fail_row(const struct rab_grid_row *row, double need, double have, double gutter,
                     bool in_first, struct rab_error *err)
{
    struct rab_text parts = {0}, over = {0}, needed = {0}, there = {0};

    add_parts(&parts, row, gutter, in_first);
    add_length(&over, need - have, in_first);
    add_length(&needed, need, in_first);
    add_length(&there, have, in_first);
    if (rab_text_ok(&parts, err) && rab_text_ok(&over, err) && rab_text_ok(&needed, err) &&
        rab_text_ok(&there, err))
        rab_fail_line(err, RAB_FAULT_GEOMETRY, row->line,
                      "the row is %s too wide: %s need %s, there are %s", over.data, parts.data,
                      needed.data, there.data);
    rab_text_clear(&parts);
    rab_text_clear(&over);
    rab_text_clear(&needed);
    rab_text_clear(&there);
    return false;
}

static bool fail_height(const struct rab_grid_row *rows, size_t count, double need, double have,
                        bool in_first, struct rab_error *err)
{
    struct rab_text over = {0}, needed = {0}, there = {0};

    add_length(&over, need - have, in_first);
    add_length(&needed, need, in_first);
    add_length(&there, have, in_first);
    if (rab_text_ok(&over, err) && rab_text_ok(&needed, err) && rab_text_ok(&there, err))
        rab_fail_line(err, RAB_FAULT_GEOMETRY, rows[0].line,
                      count == 1
                          ? "the row of the grid is %s too high: it needs %s, there are %s"
                          : "the rows of the grid are %s too high: they need %s, there are %s",
                      over.data, needed.data, there.data);
    rab_text_clear(&over);
    rab_text_clear(&needed);
    rab_text_clear(&there);
    return false;
}

/* ---- one row --------------------------------------------------------------------------- */

/* Photos with proportions share what prints and gutters leave, at one height: their widths are the
 * height times their proportions. */
static bool solve_row(struct rab_grid_row *row, double width, double gutter, bool in_first,
                      double *height, struct rab_error *err)
{
    double fixed = gutter * (double)(row->count - 1), shares = 0;

    *height = 0;
    for (size_t i = 0; i < row->count; i++) {
        const struct rab_cell *cell = &row->cells[i];
        if (cell->proportion > 0) {
            shares += cell->proportion;
        } else {
            fixed += cell->width;
            *height = fmax(*height, cell->height);
        }
    }
    if (fixed > width + spare || (shares > 0 && fixed > width - spare))
        return fail_row(row, fixed, width, gutter, in_first, err);
    if (shares > 0) {
        const double solved = (width - fixed) / shares;
        *height = fmax(*height, solved);
        for (size_t i = 0; i < row->count; i++) {
            struct rab_cell *cell = &row->cells[i];
            if (cell->proportion > 0) {
                cell->width = solved * cell->proportion;
                cell->height = solved;
            }
        }
    }
    return true;
}

/* ---- gaps ------------------------------------------------------------------------------ */

struct filling {
    struct rab_gaps gaps;
    size_t narrow;
    int narrow_line;
    double narrowest;
    struct rab_error *err;
};

/* A free rectangle, its gutters already taken off. */
static bool add_gap(struct filling *f, double x, double y, double width, double height, int line)
{
    void *items = f->gaps.items;
    const double least = fmin(width, height);

    if (least <= spare)
        return true;
    if (least < RAB_LEAST_GAP) {
        if (f->narrow++ == 0)
            f->narrow_line = line;
        f->narrowest = f->narrow == 1 ? least : fmin(f->narrowest, least);
        return true;
    }
    if (!rab_reserve(&items, &f->gaps.capacity, f->gaps.count + 1, sizeof *f->gaps.items, f->err))
        return false;
    f->gaps.items = items;
    f->gaps.items[f->gaps.count++] = (struct rab_gap){x, y, width, height};
    return true;
}

/* Below the photos that are lower than the row, and beside the last one. */
static bool add_row_gaps(struct filling *f, const struct rab_grid_row *row, double top,
                         double height, double width, double gutter)
{
    const struct rab_cell *last = &row->cells[row->count - 1];
    const double end = last->x + last->width;

    for (size_t i = 0; i < row->count; i++) {
        const struct rab_cell *cell = &row->cells[i];
        if (!add_gap(f, cell->x, top - height, cell->width, height - cell->height - gutter,
                     row->line))
            return false;
    }
    return add_gap(f, end + gutter, top - height, width - end - gutter, height, row->line);
}

static bool tell_narrow(const struct filling *f, bool in_first, struct rab_warnings *notes)
{
    struct rab_text least = {0};
    bool ok;

    if (f->narrow == 0)
        return true;
    add_length(&least, f->narrowest, in_first);
    ok = rab_text_ok(&least, f->err) &&
         rab_warn(notes, f->err, "narrow-gap", f->narrow_line,
                  "%zu gap%s too narrow to be filled (the narrowest is %s) and %s empty", f->narrow,
                  f->narrow == 1 ? " is" : "s are", least.data, f->narrow == 1 ? "stays" : "stay");
    rab_text_clear(&least);
    return ok;
}

/* ---- all rows -------------------------------------------------------------------------- */

static bool check_measures(const struct rab_grid_row *rows, size_t row_count, double width,
                           double height, double gutter, struct rab_error *err)
{
    if (!(width > 0 && width <= largest && height > 0 && height <= largest) ||
        !(gutter >= 0 && gutter <= largest))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the grid needs a width, a height and a gutter of 0 or more");
    for (size_t r = 0; r < row_count; r++) {
        if (rows[r].count == 0)
            return rab_fail_line(err, RAB_FAULT_INPUT, rows[r].line,
                                 "the row is empty; put photos into it, or leave it out");
        for (size_t i = 0; i < rows[r].count; i++) {
            const struct rab_cell *c = &rows[r].cells[i];
            if (c->proportion > 0 ? !(c->proportion >= 0.01 && c->proportion <= 100)
                                  : !(c->width > 0 && c->width <= largest && c->height > 0 &&
                                      c->height <= largest))
                return rab_fail_line(err, RAB_FAULT_INPUT, rows[r].line,
                                     "a photo of the row has no proper size; give its width and "
                                     "height, or a proportion of 0.01 to 100");
        }
    }
    return row_count > 0 ||
           rab_fail(err, RAB_FAULT_INPUT, "the grid is empty; put rows into it, or leave it out");
}

bool rab_grid_solve(struct rab_grid_row *rows, size_t row_count, double width, double height,
                    double gutter, bool in_first, struct rab_gaps *gaps, struct rab_warnings *notes,
                    struct rab_error *err)
{
    struct filling filling = {.err = err};
    double *heights = NULL, need = 0, top = height;
    bool ok = false;

    if (!check_measures(rows, row_count, width, height, gutter, err))
        return false;
    heights = calloc(row_count, sizeof *heights);
    if (!heights)
        return rab_fail_memory(err);
    for (size_t r = 0; r < row_count; r++) {
        if (!solve_row(&rows[r], width, gutter, in_first, &heights[r], err))
            goto done;
        need += heights[r] + (r > 0 ? gutter : 0);
    }
    if (need > height + spare) {
        fail_height(rows, row_count, need, height, in_first, err);
        goto done;
    }
    for (size_t r = 0; r < row_count; r++) {
        double x = 0;
        for (size_t i = 0; i < rows[r].count; i++) {
            struct rab_cell *cell = &rows[r].cells[i];
            cell->x = x;
            cell->y = top - cell->height;
            x += cell->width + gutter;
        }
        if (!add_row_gaps(&filling, &rows[r], top, heights[r], width, gutter))
            goto done;
        top -= heights[r] + gutter;
    }
    if (!add_gap(&filling, 0, 0, width, top, rows[row_count - 1].line) ||
        (gaps && !tell_narrow(&filling, in_first, notes)))
        goto done;
    if (gaps) {
        *gaps = filling.gaps;
        filling.gaps = (struct rab_gaps){0};
    }
    ok = true;
done:
    rab_gaps_clear(&filling.gaps);
    free(heights);
    return ok;
}

void rab_gaps_clear(struct rab_gaps *gaps)
{
    free(gaps->items);
    *gaps = (struct rab_gaps){0};
}
