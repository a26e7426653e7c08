/* What of a piece is not seen. */
#include "rabbet/job.h"

static bool overlap(struct rab_box a, struct rab_box b)
{
    return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}

bool rab_spread_hidden(const struct rab_spread *spread, size_t piece, struct rab_region *out,
                       struct rab_error *err)
{
    const struct rab_piece *below = &spread->pieces[piece];
    const struct rab_box box = rab_region_box(&below->region);
    struct rab_region hidden = {0};
    size_t asked = 0;

    for (size_t i = piece + 1; i < spread->count && asked < RAB_MOST_HIDING; i++) {
        const struct rab_piece *other = &spread->pieces[i];
        struct rab_region covered = {0}, both = {0};
        bool ok;
        if (other->page != below->page || !overlap(rab_region_box(&other->region), box))
            continue;
        asked++;
        ok = rab_region_combine(&below->region, &other->region, RAB_INTERSECTION, &covered, err) &&
             rab_region_combine(&hidden, &covered, RAB_UNION, &both, err);
        rab_region_clear(&covered);
        rab_region_clear(&hidden);
        hidden = both;
        if (!ok)
            return false;
    }
    *out = hidden;
    return true;
}
