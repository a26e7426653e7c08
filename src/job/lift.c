/* How high foam lifts each piece: its own layers, and those of what it lies on. */
#include "job/resolve.h"

#include <stdlib.h>

/* Touching is not lying on it, mm2. */
static const double least_area = 0.5;
/* What the pictures show, and more than an album can be closed on. */
enum { MOST_LAYERS = 20 };

static bool lies_on(struct resolving *r, const struct leaf *upper, const struct leaf *lower,
                    bool *lies)
{
    const struct rab_box *a = &upper->box, *b = &lower->box;

    *lies = false;
    if (a->x0 >= b->x1 || b->x0 >= a->x1 || a->y0 >= b->y1 || b->y0 >= a->y1)
        return true;
    for (size_t i = 0; i < upper->count && !*lies; i++) {
        for (size_t k = 0; k < lower->count && !*lies; k++) {
            struct overlap both;
            if (!resolve_overlap(r, &r->spread.pieces[upper->first + i].region,
                                 &r->spread.pieces[lower->first + k].region, &both))
                return false;
            *lies = both.area > least_area;
        }
    }
    return true;
}

static bool find_height(struct resolving *r, const int *heights, size_t index, int *height)
{
    const struct leaf *leaf = &r->leaves[index];
    int base = 0;

    for (size_t i = 0; i < index; i++) {
        bool lies = false;
        if (r->leaves[i].page != leaf->page || heights[i] <= base)
            continue;
        if (!lies_on(r, leaf, &r->leaves[i], &lies))
            return false;
        base = lies ? heights[i] : base;
    }
    *height = lift_together(base, leaf->raised);
    return true;
}

int lift_together(int layers, int more)
{
    if (layers < 0 || more < 0)
        return -1;
    return layers > MOST_LAYERS || more > MOST_LAYERS ? MOST_LAYERS + 1 : layers + more;
}

bool lift_pieces(struct resolving *r)
{
    int *heights = calloc(r->leaf_count + 1, sizeof *heights);
    bool ok = heights != NULL;

    if (!ok)
        rab_fail_memory(r->err);

    for (size_t i = 0; i < r->leaf_count && ok; i++) {
        const struct leaf *leaf = &r->leaves[i];
        ok = find_height(r, heights, i, &heights[i]);
        if (ok && (heights[i] < 0 || heights[i] > MOST_LAYERS)) {
            ok = found_wrong(&r->found, r->err, RAB_FAULT_INPUT, leaf->item->line,
                             "the %s cannot be raised so much; let it, with what it lies on, have "
                             "no more than %d layers of foam",
                             item_name(leaf->item).text, MOST_LAYERS);
            heights[i] = 0;
        }
        for (size_t k = 0; k < leaf->count && ok; k++)
            r->spread.pieces[leaf->first + k].height = heights[i];
    }
    free(heights);
    return ok;
}
