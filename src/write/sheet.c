#include "rabbet/write.h"

#include <assert.h>
#include <stdlib.h>

bool rab_sheet_add(struct rab_sheet *sheet, enum rab_operation operation, int piece,
                   const struct rab_outline *outline, struct rab_error *err)
{
    struct rab_outline copy = {0};
    void *items = sheet->paths;

    if (outline->count < 2 || rab_outline_perimeter(outline) == 0)
        return true;
    if (!rab_reserve(&items, &sheet->capacity, sheet->count + 1, sizeof *sheet->paths, err))
        return false;
    sheet->paths = items;
    if (!rab_outline_copy(outline, &copy, err))
        return false;
    sheet->paths[sheet->count++] = (struct rab_path){operation, piece, copy};
    return true;
}

/* Outline numbers, the children of each before it, siblings in their own order. The links hold,
 * for outline i, its first child and then the next of its siblings; the last two are for those
 * that lie in none. */
static bool order_inside_out(const struct rab_region *region, size_t *order, struct rab_error *err)
{
    const size_t none = RAB_NO_PARENT;
    size_t *links = malloc((region->count * 2 + 1) * sizeof *links);
    size_t *next, done = 0, at;

    if (!links)
        return rab_fail_memory(err);
    next = links + region->count + 1;
    for (size_t i = 0; i <= region->count; i++)
        links[i] = none;
    for (size_t i = region->count; i-- > 0;) {
        const size_t parent = region->parents[i];
        size_t *first = &links[parent == none ? region->count : parent];
        assert(parent == none || parent < i);
        next[i] = *first;
        *first = i;
    }
    at = links[region->count];
    while (at != none) {
        while (links[at] != none)
            at = links[at];
        order[done++] = at;
        while (at != none && next[at] == none) {
            at = region->parents[at];
            if (at != none)
                order[done++] = at;
        }
        if (at != none)
            at = next[at];
    }
    assert(done == region->count);
    free(links);
    return true;
}

bool rab_sheet_add_region(struct rab_sheet *sheet, enum rab_operation operation, int piece,
                          const struct rab_region *region, struct rab_error *err)
{
    const size_t before = sheet->count;
    size_t *order;
    bool ok = false;

    if (region->count == 0)
        return true;
    order = calloc(region->count, sizeof *order);
    if (!order)
        return rab_fail_memory(err);
    if (!order_inside_out(region, order, err))
        goto done;
    for (size_t i = 0; i < region->count; i++)
        if (!rab_sheet_add(sheet, operation, piece, &region->outlines[order[i]], err))
            goto done;
    ok = true;
done:
    while (!ok && sheet->count > before)
        rab_outline_clear(&sheet->paths[--sheet->count].outline);
    free(order);
    return ok;
}

void rab_sheet_clear(struct rab_sheet *sheet)
{
    for (size_t i = 0; i < sheet->count; i++)
        rab_outline_clear(&sheet->paths[i].outline);
    free(sheet->paths);
    sheet->paths = NULL;
    sheet->count = sheet->capacity = 0;
}
