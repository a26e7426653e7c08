/* Grids: prints as they are, photos whose size is found, papers in what is left free. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>

/* Mats make a photo's proportions depend on its size a little: a few rounds settle it. */
enum { MOST_ROUNDS = 60 };
static const double settled = 1e-10;

struct border {
    double width, height; /* both sides together */
};
struct filled { /* what belongs to a row's cells */
    struct made *made;
    struct border *borders; /* of the mats, where a size is to be found */
};
struct block {
    const struct rab_item *item;
    double width, height;
    size_t count;
    struct rab_grid_row *rows;
    struct filled *filled; /* of each row */
    struct rab_gaps gaps;
    bool sound;
};

static void clear_block(struct block *block)
{
    for (size_t r = 0; r < block->count; r++) {
        struct filled *filled = block->filled ? &block->filled[r] : NULL;
        for (size_t i = 0; filled && filled->made && i < block->item->items[r].item_count; i++)
            made_clear(&filled->made[i]);
        if (filled) {
            free(filled->made);
            free(filled->borders);
        }
        if (block->rows)
            free(block->rows[r].cells);
    }
    free(block->filled);
    free(block->rows);
    rab_gaps_clear(&block->gaps);
}

static bool make_room(struct block *block, struct rab_error *err)
{
    const size_t rows = block->count;

    block->rows = calloc(rows + 1, sizeof *block->rows);
    block->filled = calloc(rows + 1, sizeof *block->filled);
    if (!block->rows || !block->filled) {
        rab_fail_memory(err);
        return false;
    }
    for (size_t r = 0; r < rows; r++) {
        const size_t cells = block->item->items[r].item_count;
        block->rows[r].cells = calloc(cells + 1, sizeof *block->rows[r].cells);
        block->filled[r].made = calloc(cells + 1, sizeof *block->filled[r].made);
        block->filled[r].borders = calloc(cells + 1, sizeof *block->filled[r].borders);
        if (!block->rows[r].cells || !block->filled[r].made || !block->filled[r].borders) {
            rab_fail_memory(err);
            return false;
        }
        block->rows[r].count = cells;
        block->rows[r].line = block->item->items[r].line;
    }
    return true;
}

static double width_of(const struct made *made)
{
    return made->box.x1 - made->box.x0;
}

static double height_of(const struct made *made)
{
    return made->box.y1 - made->box.y0;
}

static bool is_solved(const struct rab_item *item)
{
    return item->kind == RAB_ITEM_PHOTO && item->proportion > 0;
}

/* ---- the cells ------------------------------------------------------------------------- */

static bool check_cell(struct resolving *r, const struct rab_item *item, bool *sound)
{
    const double crops = item->crop_left + item->crop_right + item->crop_top + item->crop_bottom;

    if (!place_inner(r, item, sound))
        return false;
    if (!is_solved(item) || crops == 0)
        return true;
    *sound = false;
    return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                       "the %s is still to be printed, so there is nothing to crop; give the "
                       "proportion that is to be seen",
                       item_name(item).text);
}

/* Prints are made at once; photos to be printed start from their proportion. */
static bool fill_cells(struct resolving *r, struct block *block)
{
    for (size_t k = 0; k < block->count; k++) {
        const struct rab_item *row = &block->item->items[k];
        if (row->kind != RAB_ITEM_ROW) {
            block->sound = false;
            if (!found_wrong(&r->found, r->err, RAB_FAULT_INPUT, row->line,
                             "a %s cannot stand in a grid; put it into a row of the grid",
                             item_name(row).text))
                return false;
            continue;
        }
        for (size_t i = 0; i < row->item_count; i++) {
            const struct rab_item *item = &row->items[i];
            struct rab_cell *cell = &block->rows[k].cells[i];
            struct made *made = &block->filled[k].made[i];
            bool sound = false;
            if (!check_cell(r, item, &sound))
                return false;
            cell->proportion = is_solved(item) ? item->proportion : 0;
            if (!is_solved(item)) {
                if (!place_make(r, item, made))
                    return false;
                sound = sound && made->sound;
                cell->width = width_of(made);
                cell->height = height_of(made);
            }
            block->sound = block->sound && sound;
        }
    }
    return true;
}

/* How wide the mats of a photo of this size are; nothing is told: that comes with the final size.
 */
static bool find_border(struct resolving *r, const struct rab_item *item, double width,
                        double height, struct border *border)
{
    struct findings told = r->found;
    struct made made = {0};
    bool ok;

    r->found = (struct findings){0};
    ok = photo_make(r, item, width, height, &made);
    if (ok && made.sound)
        *border = (struct border){width_of(&made) - width, height_of(&made) - height};
    findings_clear(&r->found);
    r->found = told;
    made_clear(&made);
    return ok;
}

/* How wide the mats of a row's photos are at their present sizes. */
static bool find_borders(struct resolving *r, struct block *block, size_t k)
{
    const struct rab_item *row = &block->item->items[k];

    for (size_t i = 0; i < row->item_count; i++) {
        const struct rab_item *item = &row->items[i];
        const struct rab_cell *cell = &block->rows[k].cells[i];
        struct border *border = &block->filled[k].borders[i];
        const double height = fmax(cell->height - border->height, cell->height / 100);
        if (is_solved(item) && item->mat_count > 0 &&
            !find_border(r, item, height * item->proportion, height, border))
            return false;
    }
    return true;
}

/* With mats b wide, photos of proportions p and one outer height H fill what they filled:
 * sum of p (H - b) + b. That gives H, and the outer proportion of each. */
static bool correct_row(struct resolving *r, struct block *block, size_t k, double *change)
{
    const struct rab_item *row = &block->item->items[k];
    double filled = 0, shares = 0;

    if (!find_borders(r, block, k))
        return false;
    for (size_t i = 0; i < row->item_count; i++) {
        const double share = row->items[i].proportion;
        const struct border *border = &block->filled[k].borders[i];
        if (!is_solved(&row->items[i]))
            continue;
        filled += block->rows[k].cells[i].width - border->width + share * border->height;
        shares += share;
    }
    for (size_t i = 0; i < row->item_count && shares > 0; i++) {
        const double share = row->items[i].proportion;
        const struct border *border = &block->filled[k].borders[i];
        struct rab_cell *cell = &block->rows[k].cells[i];
        if (!is_solved(&row->items[i]))
            continue;
        /* Mats that leave no photo are told when it is made. */
        const double height = fmax(filled / shares, border->height + settled);
        const double outer = (share * (height - border->height) + border->width) / height;
        *change = fmax(*change, fabs(outer - cell->proportion));
        cell->proportion = outer;
    }
    return true;
}

static bool solve(struct resolving *r, struct block *block)
{
    struct rab_error failure = {0};
    struct rab_warnings notes = {0};
    const size_t rows = block->count;
    const double gutter = block->item->gutter;
    const bool inches = r->job->inches;
    bool ok = true;

    for (int round = 0; round < MOST_ROUNDS && ok; round++) {
        double change = 0;
        /* Whether the rows are too high shows when their mats are counted. */
        if (!rab_grid_solve(block->rows, rows, block->width, RESOLVE_LARGEST, gutter, inches, NULL,
                            NULL, NULL))
            break;
        for (size_t k = 0; k < rows && ok; k++)
            ok = correct_row(r, block, k, &change);
        if (change <= settled)
            break;
    }
    if (ok &&
        !rab_grid_solve(block->rows, rows, block->width, block->height, gutter, inches,
                        block->item->fill_count > 0 ? &block->gaps : NULL, &notes, &failure)) {
        block->sound = false;
        ok = found_failure(&r->found, r->err, &failure,
                           failure.line ? failure.line : block->item->line, NULL);
    }
    for (size_t i = 0; i < notes.count && ok; i++)
        ok = found_odd(&r->found, r->err, notes.items[i].code, notes.items[i].line, "%s",
                       notes.items[i].text);
    rab_warnings_clear(&notes);
    return ok;
}

/* ---- onto the page --------------------------------------------------------------------- */

static bool make_solved(struct resolving *r, struct block *block)
{
    for (size_t k = 0; k < block->count; k++) {
        const struct rab_item *row = &block->item->items[k];
        for (size_t i = 0; i < row->item_count; i++) {
            const struct rab_cell *cell = &block->rows[k].cells[i];
            const struct border *border = &block->filled[k].borders[i];
            struct made *made = &block->filled[k].made[i];
            if (!is_solved(&row->items[i]))
                continue;
            if (cell->width <= border->width + settled ||
                cell->height <= border->height + settled) {
                block->sound = false;
                return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, row->items[i].line,
                                   "the mats leave nothing of the %s in this row; make the "
                                   "reveals narrower, or put fewer photos into the row",
                                   item_name(&row->items[i]).text);
            }
            if (!photo_make(r, &row->items[i], cell->width - border->width,
                            cell->height - border->height, made))
                return false;
            block->sound = block->sound && made->sound;
        }
    }
    return true;
}

static bool put_fillers(struct resolving *r, const struct block *block, struct rab_point at)
{
    const struct rab_item *item = block->item;
    struct made made = {0};
    bool ok = true;

    for (size_t i = 0; i < block->gaps.count && ok; i++) {
        const struct rab_gap *gap = &block->gaps.items[i];
        const struct origin origin = {RAB_PIECE_FILLER, item->fills[i % item->fill_count], item,
                                      item->line};
        const struct rab_box box = {at.x + gap->x, at.y + gap->y, at.x + gap->x + gap->width,
                                    at.y + gap->y + gap->height};
        struct rab_text what = {0};
        rab_text_format(&what, "filler %zu", i + 1);
        if (item->name) {
            rab_text_add(&what, " of ");
            rab_text_add(&what, item->name);
        }
        ok = made_add_rectangle(&made, &origin, box, &what, r->err);
    }
    made.box = made_bounds(&made);
    ok = ok && (made.count == 0 || resolve_put(r, item, &made));
    made_clear(&made);
    return ok;
}

static bool put_block(struct resolving *r, struct block *block)
{
    const struct rab_point at = place_of(r, block->item, block->width, block->height);

    for (size_t k = 0; k < block->count; k++) {
        const struct rab_item *row = &block->item->items[k];
        r->raised = lift_together(block->item->raised, row->raised);
        r->tool = row->tool != RAB_TOOL_USUAL ? row->tool : block->item->tool;
        for (size_t i = 0; i < row->item_count; i++) {
            const struct rab_cell *cell = &block->rows[k].cells[i];
            place_move(&block->filled[k].made[i], at.x + cell->x, at.y + cell->y);
            if (!resolve_put(r, &row->items[i], &block->filled[k].made[i]))
                return false;
        }
    }
    r->raised = 0; /* fillers are the grid's own */
    r->tool = RAB_TOOL_USUAL;
    return put_fillers(r, block, at);
}

static bool check_fills(struct resolving *r, struct block *block)
{
    for (size_t i = 0; i < block->item->fill_count; i++) {
        bool known = false;
        if (!resolve_paper(r, block->item->fills[i], block->item->line, "filler", &known))
            return false;
        block->sound = block->sound && known;
    }
    return true;
}

bool block_place(struct resolving *r, const struct rab_item *item)
{
    const struct rab_page *page = &r->job->pages[r->page];
    struct block block = {.item = item, .count = item->item_count, .sound = true};
    bool sound = false, ok = false;

    block.width = item->width > 0 ? item->width
                                  : place_room(&item->x, &item->right, page->width, page->margin);
    block.height = item->height > 0 ? item->height
                                    : place_room(&item->y, &item->top, page->height, page->margin);
    if (!make_room(&block, r->err) || !place_check(r, item, &sound) || !check_fills(r, &block) ||
        !fill_cells(r, &block))
        goto done;
    block.sound = block.sound && sound;
    if ((block.sound && !solve(r, &block)) || (block.sound && !make_solved(r, &block)) ||
        (block.sound && !put_block(r, &block)))
        goto done;
    ok = true;
done:
    r->raised = 0;
    r->tool = RAB_TOOL_USUAL;
    clear_block(&block);
    return ok;
}
