/* Hidden centres: paper that nobody sees is taken out of a panel and used again. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>

/* Less behind the covering edge hardly holds (trade pages: 1/4 in at the least, 1 in is usual). */
static const double least_rim = 6.35;
/* Narrower paper is not worth taking out. Common practice, no source. */
static const double least_side = 12.7;
static const double spare = 1e-6;

/* ---- what is taken out ----------------------------------------------------------------- */

/* What an item hides: all its pieces together. Each region covers a point once or not at all, so
 * their outlines together wind about it as often as it is covered. */
static bool silhouette(const struct resolving *r, const struct leaf *leaf, struct rab_region *out)
{
    const struct rab_piece *pieces = &r->spread.pieces[leaf->first];
    struct rab_outline *outlines; /* borrowed */
    size_t count = 0, total = 0;
    bool ok;

    for (size_t i = 0; i < leaf->count; i++)
        total += pieces[i].region.count;
    outlines = calloc(total + 1, sizeof *outlines);
    if (!outlines)
        return rab_fail_memory(r->err);
    for (size_t i = 0; i < leaf->count; i++) {
        for (size_t k = 0; k < pieces[i].region.count; k++)
            outlines[count++] = pieces[i].region.outlines[k];
    }
    ok = rab_region_fill(outlines, count, RAB_FILL_POSITIVE, out, r->err);
    free(outlines);
    return ok;
}

/* Parts that are worth it and leave no loose paper behind: no ring. */
static bool keep_worthy(struct rab_region *taken, struct rab_error *err)
{
    struct rab_outline *outlines = calloc(taken->count + 1, sizeof *outlines); /* borrowed */
    struct rab_region kept = {0};
    size_t count = 0;
    bool ok = outlines != NULL;

    if (!ok)
        rab_fail_memory(err);

    for (size_t i = 0; i < taken->count && ok; i++) {
        const struct rab_box box = rab_outline_box(&taken->outlines[i]);
        bool ring = false;
        for (size_t k = 0; k < taken->count; k++)
            ring = ring || taken->parents[k] == i;
        if (taken->parents[i] == RAB_NO_PARENT && !ring &&
            fmin(box.x1 - box.x0, box.y1 - box.y0) >= least_side - spare)
            outlines[count++] = taken->outlines[i];
    }
    ok = ok && rab_region_fill(outlines, count, RAB_FILL_NONZERO, &kept, err);
    free(outlines);
    if (!ok)
        return false;
    rab_region_clear(taken);
    *taken = kept;
    return true;
}

static bool find_taken(struct resolving *r, const struct rab_piece *panel, const struct leaf *cover,
                       double rim, struct rab_region *out)
{
    struct rab_region whole = {0}, both = {0}, taken = {0};
    const bool ok = silhouette(r, cover, &whole) &&
                    rab_region_combine(&whole, &panel->region, RAB_INTERSECTION, &both, r->err) &&
                    rab_region_grow(&both, -rim, RAB_JOIN_MITRE, 0, &taken, r->err) &&
                    keep_worthy(&taken, r->err);

    r->work += rab_region_vertices(&whole);
    rab_region_clear(&both);
    rab_region_clear(&whole);
    if (ok)
        *out = taken;
    else
        rab_region_clear(&taken);
    return ok;
}

/* ---- what is recovered ----------------------------------------------------------------- */

static bool holds_box(const struct rab_region *region, struct rab_box box, bool *holds,
                      struct rab_error *err)
{
    struct rab_region rectangle = {0};
    struct overlap both;
    const bool ok =
        region_of_box(box, &rectangle, err) && region_overlap(region, &rectangle, &both, err);

    rab_region_clear(&rectangle);
    *holds = ok && both.area >= (box.x1 - box.x0) * (box.y1 - box.y0) - 1e-8;
    return ok;
}

/* A rectangle that the taken part holds for certain: of its box's form, about its centroid, as
 * large as halving finds. */
static bool inscribe(const struct rab_outline *part, double *width, double *height,
                     struct rab_error *err)
{
    const struct rab_box box = rab_outline_box(part);
    const struct rab_point centre = rab_outline_centroid(part);
    struct rab_region region = {0};
    double low = 0, high = 1;
    bool ok = rab_region_fill(part, 1, RAB_FILL_NONZERO, &region, err);

    if (ok && region_is_rectangle(&region))
        low = 1;
    for (int step = 0; step < 16 && ok && low < 1; step++) {
        const double factor = (low + high) / 2;
        const double half = factor * (box.x1 - box.x0) / 2, tall = factor * (box.y1 - box.y0) / 2;
        bool holds = false;
        ok = holds_box(
            &region,
            (struct rab_box){centre.x - half, centre.y - tall, centre.x + half, centre.y + tall},
            &holds, err);
        if (holds)
            low = factor;
        else
            high = factor;
    }
    rab_region_clear(&region);
    *width = low * (box.x1 - box.x0);
    *height = low * (box.y1 - box.y0);
    return ok;
}

static bool recover(struct resolving *r, const struct rab_piece *panel,
                    const struct rab_region *taken)
{
    struct rab_spread *spread = &r->spread;

    for (size_t i = 0; i < taken->count; i++) {
        struct rab_recovered one = {.paper = panel->paper, .line = panel->line};
        void *items = spread->recovered;
        if (!inscribe(&taken->outlines[i], &one.width, &one.height, r->err))
            return false;
        if (fmin(one.width, one.height) < least_side - spare)
            continue;
        if (!rab_reserve(&items, &spread->recovered_capacity, spread->recovered_count + 1,
                         sizeof *spread->recovered, r->err))
            return false;
        spread->recovered = items;
        spread->recovered[spread->recovered_count++] = one;
    }
    return true;
}

/* ---- panels ---------------------------------------------------------------------------- */

static bool meets(const struct rab_box *a, const struct rab_box *b)
{
    return a->x0 < b->x1 && b->x0 < a->x1 && a->y0 < b->y1 && b->y0 < a->y1;
}

static bool tell(struct resolving *r, const struct rab_item *item, bool nothing)
{
    const bool inches = r->job->inches;
    const struct measure rim = measure_of(item->hidden_centre, inches);

    if (item->hidden_centre < least_rim - spare &&
        !found_odd(&r->found, r->err, "narrow-rim", item->line,
                   "only %s of the %s stay behind the covering edge; %s are the least that holds",
                   rim.text, item_name(item).text, measure_of(least_rim, inches).text))
        return false;
    return !nothing || found_odd(&r->found, r->err, "no-hidden-centre", item->line,
                                 "nothing is taken out of the %s: nothing that lies on it hides "
                                 "enough to leave %s behind its edge",
                                 item_name(item).text, rim.text);
}

/* By the next item above that hides enough of it. */
static bool hollow(struct resolving *r, const struct leaf *leaf)
{
    struct rab_piece *panel = &r->spread.pieces[leaf->first];
    struct rab_region taken = {0}, left = {0};
    bool ok = true;

    for (const struct leaf *cover = leaf + 1; cover < r->leaves + r->leaf_count && ok; cover++) {
        if (cover->page != leaf->page || !meets(&cover->box, &leaf->box))
            continue;
        ok = find_taken(r, panel, cover, leaf->item->hidden_centre, &taken) && resolve_afford(r);
        if (!ok || taken.count > 0)
            break;
        rab_region_clear(&taken);
    }
    ok = ok && tell(r, leaf->item, taken.count == 0);
    if (ok && taken.count > 0) {
        ok = rab_region_combine(&panel->region, &taken, RAB_DIFFERENCE, &left, r->err) &&
             recover(r, panel, &taken);
        if (ok) {
            rab_region_clear(&panel->region);
            panel->region = left;
            panel->rectangle = false;
            left = (struct rab_region){0};
        }
    }
    rab_region_clear(&left);
    rab_region_clear(&taken);
    return ok;
}

bool hollow_panels(struct resolving *r)
{
    for (size_t i = 0; i < r->leaf_count; i++) {
        const struct leaf *leaf = &r->leaves[i];
        if (leaf->item->kind == RAB_ITEM_PANEL && leaf->item->hidden_centre > 0 && !hollow(r, leaf))
            return false;
    }
    return true;
}
