/* What is looked at once everything lies in its place. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>

/* What sticks out by less than this is rounding. */
static const double spare = 1e-6;
/* More than this of a photo hidden is seen, mm2. */
static const double least_hidden = 0.5;
/* Printed pictures look sharp from about here on. Common practice, no source. */
static const double least_sharpness = 200;
/* So many things that hide one photo are told. */
enum { MOST_TOLD = 4 };

/* ---- on the page ----------------------------------------------------------------------- */

enum { SIDES = 4 };
static const char *const side_names[SIDES] = {"left", "right", "lower", "upper"};

/* From each side of the page, inwards. */
static void distances(const struct rab_page *page, struct rab_box box, double out[SIDES])
{
    out[0] = box.x0;
    out[1] = page->width - box.x1;
    out[2] = box.y0;
    out[3] = page->height - box.y1;
}

/* Paper that runs to the page's edge is meant to; photos and words are not. */
static bool may_reach_edge(const struct rab_item *item)
{
    return item->kind == RAB_ITEM_PANEL || item->kind == RAB_ITEM_FRAME ||
           item->kind == RAB_ITEM_STRIP;
}

static bool check_place(struct resolving *r, const struct leaf *leaf)
{
    const struct rab_page *page = &r->job->pages[leaf->page];
    const bool inches = r->job->inches;
    double from[SIDES];
    int beyond = 0, within = -1;

    distances(page, leaf->box, from);
    for (int i = 0; i < SIDES; i++) {
        if (from[i] < from[beyond])
            beyond = i;
        if (from[i] < page->margin - spare && !(from[i] <= spare && may_reach_edge(leaf->item)) &&
            (within < 0 || from[i] < from[within]))
            within = i;
    }
    if (from[beyond] < -spare)
        return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, leaf->item->line,
                           "the %s lies %s beyond the page's %s edge; move it, or make it smaller",
                           item_name(leaf->item).text, measure_of(-from[beyond], inches).text,
                           side_names[beyond]);
    return within < 0 ||
           found_odd(&r->found, r->err, "in-margin", leaf->item->line,
                     "the %s lies in the margin: %s from the page's %s edge, the margin is %s",
                     item_name(leaf->item).text, measure_of(fmax(from[within], 0), inches).text,
                     side_names[within], measure_of(page->margin, inches).text);
}

/* ---- photos and words that are hidden -------------------------------------------------- */

/* What of a piece its own item leaves to be seen: not what lies behind a frame or a window mat. */
static bool find_seen(struct resolving *r, const struct leaf *leaf, size_t index,
                      struct rab_region *out)
{
    const struct rab_piece *pieces = r->spread.pieces;

    if (!rab_region_copy(&pieces[index].region, out, r->err))
        return false;
    for (size_t i = index + 1; i < leaf->first + leaf->count; i++) {
        struct rab_region left = {0};
        struct overlap both;
        if (!resolve_overlap(r, out, &pieces[i].region, &both))
            return false;
        if (both.area <= 0)
            continue;
        if (!rab_region_combine(out, &pieces[i].region, RAB_DIFFERENCE, &left, r->err))
            return false;
        rab_region_clear(out);
        *out = left;
    }
    return true;
}

/* The piece of a later item that hides most of it. */
static bool find_hiding(struct resolving *r, const struct rab_region *seen,
                        const struct leaf *later, struct overlap *most)
{
    *most = (struct overlap){0};
    for (size_t i = 0; i < later->count; i++) {
        struct overlap both;
        if (!resolve_overlap(r, seen, &r->spread.pieces[later->first + i].region, &both))
            return false;
        if (both.area > most->area)
            *most = both;
    }
    return true;
}

static bool tell_hidden(struct resolving *r, const struct rab_piece *piece,
                        const struct leaf *later, const struct overlap *hidden)
{
    static const char words[] = "the %s is hidden by the %s of line %d, over %s; move one of them, "
                                "or give the %s later";
    const struct measure size = measure_of_size(hidden->box.x1 - hidden->box.x0,
                                                hidden->box.y1 - hidden->box.y0, r->job->inches);
    const struct name name = item_name(piece->item), other = item_name(later->item);

    if (piece->kind == RAB_PIECE_PHOTO)
        return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, piece->line, words, name.text,
                           other.text, later->item->line, size.text, "photo");
    return found_odd(&r->found, r->err, "text-hidden", piece->line, words, name.text, other.text,
                     later->item->line, size.text, "text");
}

static bool meets(const struct rab_box *a, const struct rab_box *b)
{
    return a->x0 < b->x1 && b->x0 < a->x1 && a->y0 < b->y1 && b->y0 < a->y1;
}

static bool check_hidden(struct resolving *r, const struct leaf *leaf, size_t index)
{
    const struct rab_piece *piece = &r->spread.pieces[index];
    const struct rab_box box = rab_region_box(&piece->region);
    struct rab_region seen = {0};
    size_t told = 0;
    bool ok = find_seen(r, leaf, index, &seen);

    for (const struct leaf *later = leaf + 1;
         later < r->leaves + r->leaf_count && ok && told < MOST_TOLD; later++) {
        struct overlap hidden;
        if (later->page != leaf->page || !meets(&later->box, &box))
            continue;
        ok = find_hiding(r, &seen, later, &hidden);
        if (ok && hidden.area > least_hidden) {
            ok = tell_hidden(r, piece, later, &hidden);
            told++;
        }
    }
    rab_region_clear(&seen);
    return ok;
}

/* ---- sharpness ------------------------------------------------------------------------- */

static bool check_sharpness(struct resolving *r, const struct rab_piece *piece)
{
    const struct rab_item *item = piece->item;
    const struct rab_box box = rab_region_box(&piece->region);
    const bool solved = item->proportion > 0, inches = r->job->inches;
    const double width = solved ? box.x1 - box.x0 : item->width;
    const double height = solved ? box.y1 - box.y0 : item->height;
    struct rab_text number = {0};

    if (item->pixel_width <= 0 || item->pixel_height <= 0)
        return true;
    const double sharpness =
        fmin(item->pixel_width / (width / 25.4), item->pixel_height / (height / 25.4));
    if (sharpness >= least_sharpness * (1 - 1e-9))
        return true;
    const double factor = sharpness / least_sharpness;
    rab_text_fixed(&number, sharpness, 0);
    const bool ok =
        rab_text_ok(&number, r->err) &&
        found_odd(&r->found, r->err, "low-resolution", piece->line,
                  "the %s has %s pixels to the inch at %s; 200 look sharp: print it at most %s",
                  item_name(item).text, number.data, measure_of_size(width, height, inches).text,
                  measure_of_size(width * factor, height * factor, inches).text);
    rab_text_clear(&number);
    return ok;
}

bool check_leaves(struct resolving *r)
{
    for (size_t i = 0; i < r->leaf_count; i++) {
        const struct leaf *leaf = &r->leaves[i];
        if (!check_place(r, leaf))
            return false;
        for (size_t k = leaf->first; k < leaf->first + leaf->count; k++) {
            const struct rab_piece *piece = &r->spread.pieces[k];
            const bool photo = piece->kind == RAB_PIECE_PHOTO;
            if ((photo && !check_sharpness(r, piece)) ||
                ((photo || piece->kind == RAB_PIECE_TEXT) && !check_hidden(r, leaf, k)))
                return false;
        }
    }
    return true;
}
