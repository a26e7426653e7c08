#include "page.h"

#include "paint.h"
#include "style.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Sizes in em. */
static const double rim = 2.2, title_em = 1.45, small_em = 0.85;
static const double legend_row = 1.75, bar_row = 1.6, note_row = 1.35;
static const double swatch_width = 2.4, swatch_height = 1.1, swatch_gap = 0.6, entry_gap = 1.8;

/* A page is at least so many em wide within its rim, for the legend's and the notes' sake. */
static const double least_width = 32;
static const double farthest = 1e6;
static const double usual_dots = 2400;

enum { ENTRY_COLOURS = 4 };

struct page_entry {
    const struct rab_picture_item *item; /* the first with this meaning */
    uint32_t colours[ENTRY_COLOURS];     /* of papers, the first few that differ */
    int colour_count;
    double x, y, width; /* left end, middle line, width of the words */
};

/* ---- planning -------------------------------------------------------------------------- */

static bool fail_reach(struct rab_error *err)
{
    return rab_fail(err, RAB_FAULT_INPUT,
                    "the picture reaches beyond 1000000 mm; give finite millimetres up to that");
}

static bool find_view(const struct rab_picture *picture, struct rab_box *view,
                      struct rab_error *err)
{
    struct rab_box box = picture->view;

    if (!(box.x1 > box.x0 && box.y1 > box.y0))
        box = RAB_BOX_EMPTY;
    for (size_t i = 0; i < picture->count; i++) {
        const struct rab_picture_item *item = &picture->items[i];
        if (item->kind == PICTURE_MARK) {
            if (!isfinite(item->at.x + item->at.y))
                return fail_reach(err);
            box =
                rab_box_join(box, (struct rab_box){item->at.x, item->at.y, item->at.x, item->at.y});
        }
        for (size_t k = 0; k < item->count; k++)
            if (item->outlines[k].count > 0)
                box = rab_box_join(box, rab_outline_box(&item->outlines[k]));
    }
    if (!(box.x1 >= box.x0))
        return rab_fail(err, RAB_FAULT_GEOMETRY, "there is nothing to draw");
    if (!(box.x0 >= -farthest && box.y0 >= -farthest && box.x1 <= farthest && box.y1 <= farthest))
        return fail_reach(err);
    *view = box;
    return true;
}

static bool choose_scale(double dpi, double longest, double *scale, struct rab_error *err)
{
    static const double usual[] = {300, 200, 150, 120, 100, 75, 60, 50, 40, 30, 20};

    if (dpi != 0)
        return paint_chosen_scale(dpi, dpi, scale, err);
    dpi = usual_dots * 25.4 / longest;
    for (size_t i = 0; i < sizeof usual / sizeof *usual; i++) {
        if (usual[i] <= dpi) {
            dpi = usual[i];
            break;
        }
    }
    *scale = paint_scale(dpi);
    return true;
}

static bool plan_legend(struct page *page, struct rab_error *err)
{
    const struct rab_picture *picture = page->picture;
    size_t room = 0;

    for (size_t i = 0; i < picture->count; i++) {
        const struct rab_picture_item *item = &picture->items[i];
        struct page_entry *entry = NULL;
        void *entries = page->entries;

        if (!item->meaning || !item->meaning[0])
            continue;
        for (size_t k = 0; k < page->entry_count && !entry; k++)
            if (strcmp(page->entries[k].item->meaning, item->meaning) == 0)
                entry = &page->entries[k];
        if (!entry) {
            if (!rab_reserve(&entries, &room, page->entry_count + 1, sizeof *page->entries, err))
                return false;
            page->entries = entries;
            entry = &page->entries[page->entry_count++];
            *entry = (struct page_entry){.item = item};
        }
        bool known = item->kind != PICTURE_PAPER || entry->colour_count == ENTRY_COLOURS;
        for (int k = 0; k < entry->colour_count && !known; k++)
            known = entry->colours[k] == item->colour;
        if (!known)
            entry->colours[entry->colour_count++] = item->colour;
    }
    return true;
}

/* Place the legend in rows from y down; returns where it ends. */
static double place_legend(struct page *page, double y)
{
    const double em = page->em, right = page->width - rim * em;
    double x = page->left;

    for (size_t i = 0; i < page->entry_count; i++) {
        struct page_entry *entry = &page->entries[i];
        const double words_at = (swatch_width + swatch_gap) * em;
        double height;

        words_measure(&page->words, entry->item->meaning, (struct words_look){em, false, 0},
                      right - page->left - words_at, &entry->width, &height);
        if (x > page->left && x + words_at + entry->width > right) {
            x = page->left;
            y += legend_row * em;
        }
        entry->x = x;
        entry->y = y + legend_row * em / 2;
        x += words_at + entry->width + entry_gap * em;
    }
    return page->entry_count > 0 ? y + legend_row * em : y;
}

/* The height of everything beneath the drawing. */
static double footer_height(const struct page *page, double legend)
{
    const int notes = (page->picture->note != NULL) + page->left_out;

    return legend + (2 * bar_row + (notes > 0 ? 0.5 : 0) + notes * note_row + rim) * page->em;
}

bool page_plan(const struct rab_picture *picture, double dpi, struct page *page,
               struct rab_error *err)
{
    struct page made = {.picture = picture};
    int across, down;

    if (!find_view(picture, &made.view, err))
        return false;
    const double width = made.view.x1 - made.view.x0, height = made.view.y1 - made.view.y0;
    made.em = fmax(2.6, fmax(width, height) / 72);
    made.left = rim * made.em;
    made.top = (rim + (picture->title ? 3.6 : 1.6)) * made.em;
    made.width = fmax(width, least_width * made.em) + 2 * rim * made.em;
    made.height = made.top + height + 10 * made.em; /* near enough to choose a scale */
    if (!choose_scale(dpi, fmax(made.width, made.height), &made.scale, err) ||
        !words_open(&made.words, NULL, made.scale, err))
        return false;
    if (!plan_legend(&made, err) || !labels_plan(&made, err))
        goto failed;
    made.height = place_legend(&made, made.top + height + 1.2 * made.em);
    made.height += footer_height(&made, 0.4 * made.em);

    page_dots(&made, &across, &down);
    if (!paint_size_allowed(across, down, err))
        goto failed;
    *page = made;
    return true;
failed:
    page_clear(&made);
    return false;
}

void page_clear(struct page *page)
{
    words_close(&page->words);
    free(page->entries);
    free(page->labels);
    *page = (struct page){0};
}

void page_dots(const struct page *page, int *across, int *down)
{
    *across = (int)fmin(1e9, fmax(1, ceil(page->width * page->scale)));
    *down = (int)fmin(1e9, fmax(1, ceil(page->height * page->scale)));
}

/* ---- drawing --------------------------------------------------------------------------- */

static bool trace(const struct page *page, cairo_t *cr, const struct rab_picture_item *item,
                  struct track *track, struct rab_error *err)
{
    cairo_new_path(cr);
    return paint_outlines(cr, item->outlines, item->count, page->view.y1, page->scale, track, err);
}

static bool draw_paper(const struct page *page, cairo_t *cr, const struct rab_picture_item *item,
                       struct track *track, struct rab_error *err)
{
    enum { LAYERS = 4 };
    const double step = 0.07 * page->em;

    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
    for (int i = LAYERS; i >= 1; i--) {
        cairo_save(cr);
        cairo_translate(cr, 0.6 * step * i, step * i);
        if (!trace(page, cr, item, track, err)) {
            cairo_restore(cr);
            return false;
        }
        paint_colour(cr, 0x000000, 0.05);
        cairo_fill(cr);
        cairo_restore(cr);
    }
    if (!trace(page, cr, item, track, err))
        return false;
    paint_colour(cr, item->colour, 1);
    cairo_fill_preserve(cr);
    paint_colour(cr, paint_shade(item->colour), 1);
    cairo_set_dash(cr, NULL, 0, 0);
    cairo_set_line_width(cr, fmax(0.035 * page->em, 0.6 / page->scale));
    cairo_stroke(cr);
    return true;
}

/* Line widths and dashes are those of a page in the hand; on a large page all grow with the em.
 * Dashes shrink where the line is so short (`length`, 0 if it is not) that it would not show its
 * pattern. */
static void set_line(const struct page *page, cairo_t *cr, const struct line_style *style,
                     double length)
{
    const double growth = page->em / 2.6;
    double dashes[STYLE_DASHES], period = 0, share = 1;

    for (int i = 0; i < style->dash_count; i++)
        period += style->dashes[i] * growth;
    if (length > 0 && period > 0)
        share = fmin(1, length / (1.8 * period));
    for (int i = 0; i < style->dash_count; i++)
        dashes[i] = style->dashes[i] * growth * share;
    cairo_set_dash(cr, dashes, style->dash_count, 0);
    paint_colour(cr, style->colour, 1);
    cairo_set_line_width(cr, fmax(style->width * growth, 0.8 / page->scale));
}

static bool draw_items(const struct page *page, cairo_t *cr, struct rab_error *err)
{
    struct track track = {0};
    bool ok = true;

    cairo_save(cr);
    cairo_translate(cr, page->left - page->view.x0, page->top);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    for (size_t i = 0; i < page->picture->count && ok; i++) {
        const struct rab_picture_item *item = &page->picture->items[i];

        if (item->kind == PICTURE_PAPER) {
            ok = draw_paper(page, cr, item, &track, err);
        } else if (item->kind == PICTURE_LINE) {
            ok = trace(page, cr, item, &track, err);
            set_line(page, cr, style_of_line(item->line), 0);
            cairo_stroke(cr);
        }
    }
    cairo_restore(cr);
    track_clear(&track);
    return ok;
}

static void draw_swatch(const struct page *page, cairo_t *cr, const struct page_entry *entry)
{
    const double em = page->em, width = swatch_width * em, height = swatch_height * em;
    const double top = entry->y - height / 2;

    cairo_new_path(cr);
    if (entry->item->kind == PICTURE_PAPER) {
        const double part = width / entry->colour_count;
        for (int i = 0; i < entry->colour_count; i++) {
            cairo_rectangle(cr, entry->x + i * part, top, part, height);
            paint_colour(cr, entry->colours[i], 1);
            cairo_fill(cr);
        }
        cairo_rectangle(cr, entry->x, top, width, height);
        paint_colour(cr, paint_shade(entry->colours[0]), 1);
        cairo_set_dash(cr, NULL, 0, 0);
        cairo_set_line_width(cr, fmax(0.035 * em, 0.6 / page->scale));
        cairo_stroke(cr);
    } else if (entry->item->kind == PICTURE_LINE) {
        set_line(page, cr, style_of_line(entry->item->line), width);
        cairo_move_to(cr, entry->x, entry->y);
        cairo_line_to(cr, entry->x + width, entry->y);
        cairo_stroke(cr);
    } else {
        labels_ring(page, cr, entry->x + width / 2, entry->y);
    }
}

static void draw_legend(struct page *page, cairo_t *cr)
{
    const double right = page->width - rim * page->em;

    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        const double x = entry->x + (swatch_width + swatch_gap) * page->em;

        draw_swatch(page, cr, entry);
        words_draw(&page->words, entry->item->meaning,
                   (struct words_look){page->em, false, PAGE_INK}, right - x, x,
                   entry->y + 0.36 * page->em);
    }
}

/* The largest of the usual lengths, in units of `unit` mm, that is not longer than `most` mm. */
static double bar_length(const double *usual, size_t count, double unit, double most)
{
    double best = usual[0];

    for (size_t i = 1; i < count; i++)
        if (usual[i] * unit <= most * (1 + 1e-9))
            best = usual[i];
    return best;
}

/* A line of `length` mm with a tick at each of its parts, longer ones at the ends. */
static void draw_bar(const struct page *page, cairo_t *cr, double y, double length, int parts)
{
    const double em = page->em;

    cairo_new_path(cr);
    for (int i = 0; i <= parts; i++) {
        const double x = page->left + length * i / parts;
        const double tick = (i == 0 || i == parts ? 0.6 : 0.3) * em;
        cairo_move_to(cr, x, y - tick);
        cairo_line_to(cr, x, y);
    }
    cairo_move_to(cr, page->left, y);
    cairo_line_to(cr, page->left + length, y);
    cairo_set_dash(cr, NULL, 0, 0);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_SQUARE);
    paint_colour(cr, PAGE_INK, 1);
    cairo_set_line_width(cr, fmax(0.06 * em, 1 / page->scale));
    cairo_stroke(cr);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_BUTT);
}

static void draw_worded_bar(struct page *page, cairo_t *cr, double y, double length, int parts,
                            const struct rab_text *words)
{
    if (words->failed)
        return;
    draw_bar(page, cr, y, length, parts);
    words_draw(&page->words, words->data, (struct words_look){small_em * page->em, false, PAGE_INK},
               0, page->left + length + 0.7 * page->em, y);
}

static bool draw_bars(struct page *page, cairo_t *cr, double y, struct rab_error *err)
{
    static const double mms[] = {1,   2,    5,    10,   20,    50,    100,   200,
                                 500, 1000, 2000, 5000, 10000, 20000, 50000, 100000};
    static const double inches[] = {0.125, 0.25, 0.5, 1,   2,   4,   8,    12,
                                    20,    40,   80,  200, 400, 800, 2000, 4000};
    const double most = fmax(16 * page->em, (page->view.x1 - page->view.x0) / 3);
    const double mm = bar_length(mms, sizeof mms / sizeof *mms, 1, most);
    const double in = bar_length(inches, sizeof inches / sizeof *inches, 25.4, most);
    struct rab_text words = {0};
    bool ok;

    rab_text_fixed(&words, mm, 0);
    rab_text_add(&words, " mm");
    draw_worded_bar(page, cr, y, mm, 5, &words);
    ok = rab_text_ok(&words, err);
    rab_text_clear(&words);

    if (in < 1)
        rab_text_format(&words, "1/%d in", (int)round(1 / in));
    else
        rab_text_format(&words, "%d in", (int)in);
    draw_worded_bar(page, cr, y + bar_row * page->em, in * 25.4, 4, &words);
    ok = ok && rab_text_ok(&words, err);
    rab_text_clear(&words);
    return ok;
}

static bool draw_head(struct page *page, struct rab_error *err)
{
    const double em = page->em, inner = page->width - 2 * rim * em;
    struct rab_text size = {0};
    double y = (rim + 0.8) * em;
    bool ok;

    if (page->picture->title) {
        y += 0.2 * em;
        words_draw(&page->words, page->picture->title,
                   (struct words_look){title_em * em, true, PAGE_INK}, inner, page->left, y);
        y += 1.7 * em;
    }
    rab_text_size(&size, page->view.x1 - page->view.x0, page->view.y1 - page->view.y0, false, 16);
    ok = rab_text_ok(&size, err);
    if (ok)
        words_draw(&page->words, size.data, (struct words_look){small_em * em, false, PAGE_QUIET},
                   inner, page->left, y);
    rab_text_clear(&size);
    return ok;
}

bool page_draw(struct page *page, cairo_t *cr, struct rab_error *err)
{
    const double em = page->em, inner = page->width - 2 * rim * em;
    const struct words_look quiet = {small_em * em, false, PAGE_QUIET};
    double y = page->height - footer_height(page, 0);

    page->words.cr = cr;
    paint_colour(cr, 0xFFFFFF, 1);
    cairo_paint(cr);
    if (!draw_items(page, cr, err) || !draw_head(page, err))
        return false;
    labels_draw(page, cr);
    draw_legend(page, cr);
    y += bar_row * em * 0.75;
    if (!draw_bars(page, cr, y, err))
        return false;
    y += bar_row * em + 0.5 * em + note_row * em;
    if (page->picture->note) {
        words_draw(&page->words, page->picture->note, quiet, inner, page->left, y);
        y += note_row * em;
    }
    if (page->left_out)
        words_draw(&page->words, "Numbers that could not be read at this size are left out.", quiet,
                   inner, page->left, y);
    return true;
}
