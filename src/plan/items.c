#include "plan/items.h"

#include <stdlib.h>

bool items_make(struct items *items, const struct rab_box *boxes, size_t count,
                struct rab_error *err)
{
    items->numbers = calloc(count + 1, sizeof *items->numbers);
    if (!items->numbers)
        return rab_fail_memory(err);
    if (!box_tree_order(boxes, count, items->numbers, err) ||
        !box_tree_reserve(&items->tree, count, err))
        return false;
    for (size_t i = 0; i < count; i++)
        items->tree.boxes[i] = boxes[items->numbers[i]];
    box_tree_finish(&items->tree);
    return true;
}

void items_clear(struct items *items)
{
    box_tree_clear(&items->tree);
    free(items->numbers);
    *items = (struct items){0};
}
