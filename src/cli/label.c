/* Numbers drawn on pieces, where they do not show. */
#include "cli.h"

#include <stdlib.h>

/* Letters are this high where there is room, and left out where they would be lower than the
 * second: a pen cannot draw them. Common practice, no source. */
static const double usual_height = 4, least_height = 1;

bool add_label(struct rab_sheet *sheet, int piece, const char *words,
               const struct rab_region *within, bool *placed, struct rab_error *err)
{
    struct rab_lines lines = {0};
    bool ok = false;

    if (!rab_label_place(within, words, usual_height, least_height, &lines, placed, err))
        goto done;
    for (size_t i = 0; i < lines.count; i++)
        if (!rab_sheet_add(sheet, RAB_DRAW, piece, &lines.items[i], err))
            goto done;
    ok = true;
done:
    rab_lines_clear(&lines);
    return ok;
}

bool hidden_part(const struct rab_region *piece, const struct rab_outline *openings, size_t count,
                 struct rab_region *out, struct rab_error *err)
{
    struct rab_region seen = {0};
    const bool ok = rab_region_fill(openings, count, RAB_FILL_NONZERO, &seen, err) &&
                    rab_region_combine(piece, &seen, RAB_DIFFERENCE, out, err);

    rab_region_clear(&seen);
    return ok;
}
