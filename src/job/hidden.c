/* What of a piece is not seen. */
#include "rabbet/job.h"

#include <stdlib.h>

static bool overlap(struct rab_box a, struct rab_box b)
{
    return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}

bool rab_spread_hidden(const struct rab_spread *spread, size_t piece, struct rab_region *out,
                       struct rab_error *err)
{
    const struct rab_piece *below = &spread->pieces[piece];
    const struct rab_box box = rab_region_box(&below->region);
    struct rab_outline *above = NULL; /* borrowed */
    struct rab_region covers = {0};
    size_t count = 0;
    bool ok = false;

    for (int pass = 0; pass < 2; pass++) {
        if (pass == 1) {
            above = malloc((count + 1) * sizeof *above);
            if (!above)
                return rab_fail_memory(err);
            count = 0;
        }
        for (size_t i = piece + 1; i < spread->count; i++) {
            const struct rab_piece *other = &spread->pieces[i];
            if (other->page != below->page || !overlap(rab_region_box(&other->region), box))
                continue;
            for (size_t k = 0; k < other->region.count; k++, count++)
                if (pass == 1)
                    above[count] = other->region.outlines[k];
        }
    }
    /* holes run the other way round: a place is covered where the sum is above nothing */
    ok = rab_region_fill(above, count, RAB_FILL_POSITIVE, &covers, err) &&
         rab_region_combine(&below->region, &covers, RAB_INTERSECTION, out, err);
    free(above);
    rab_region_clear(&covers);
    return ok;
}
