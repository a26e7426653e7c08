#include <stdlib.h>

#include "rabbet/edge.h"

/* The longest corner, by the reveal: right angles (1.41) stay square, sharper ones are rounded. */
static const double longest_corner = 1.5;

static bool cut_flush(const struct rab_box *front, double reveal, struct rab_region *region,
                      struct rab_error *err)
{
    struct rab_outline rectangle = {0};
    struct rab_region within = {0}, flush = {0};
    const struct rab_box box = {front->x0, front->y0 - 3 * reveal, front->x1,
                                front->y1 + 3 * reveal};
    const bool ok = rab_outline_rectangle(box, 0, &rectangle, err) &&
                    rab_region_fill(&rectangle, 1, RAB_FILL_NONZERO, &within, err) &&
                    rab_region_combine(region, &within, RAB_INTERSECTION, &flush, err);

    if (ok) {
        rab_region_clear(region);
        *region = flush;
    }
    rab_region_clear(&within);
    rab_outline_clear(&rectangle);
    return ok;
}

bool rab_edge_behind(const struct rab_region *front, double reveal, bool flush,
                     struct rab_region *out, struct rab_error *err)
{
    struct rab_outline *outlines = NULL; /* borrowed */
    struct rab_region whole = {0}, grown = {0}, made = {0};
    size_t count = 0;
    bool ok = false;

    if (!(reveal > 0))
        return rab_fail(err, RAB_FAULT_INPUT, "the reveal must be more than 0");
    if (front->count == 0)
        return rab_fail(err, RAB_FAULT_GEOMETRY, "there is no paper to lie behind");
    outlines = calloc(front->count, sizeof *outlines);
    if (!outlines)
        return rab_fail_memory(err);
    for (size_t i = 0; i < front->count; i++) {
        if (front->parents[i] == RAB_NO_PARENT)
            outlines[count++] = front->outlines[i];
    }
    if (!rab_region_fill(outlines, count, RAB_FILL_NONZERO, &whole, err) ||
        !rab_region_grow(&whole, reveal, RAB_JOIN_MITRE, longest_corner, &grown, err))
        goto done;
    /* Where the grown edge closes round a gap, that is behind the front, too: no opening. */
    count = 0;
    free(outlines);
    outlines = calloc(grown.count, sizeof *outlines);
    if (!outlines) {
        rab_fail_memory(err);
        goto done;
    }
    for (size_t i = 0; i < grown.count; i++) {
        if (grown.parents[i] == RAB_NO_PARENT)
            outlines[count++] = grown.outlines[i];
    }
    const struct rab_box box = rab_region_box(front);
    if (!rab_region_fill(outlines, count, RAB_FILL_NONZERO, &made, err) ||
        (flush && !cut_flush(&box, reveal, &made, err)))
        goto done;
    *out = made;
    made = (struct rab_region){0};
    ok = true;
done:
    rab_region_clear(&made);
    rab_region_clear(&grown);
    rab_region_clear(&whole);
    free(outlines);
    return ok;
}
