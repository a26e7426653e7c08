/*
 * A box tree over items that stand in no order of their own.
 */
#ifndef RABBET_PLAN_ITEMS_H
#define RABBET_PLAN_ITEMS_H

#include "outline/box_tree.h"

struct items {
    struct box_tree tree; /* of the boxes along a curve through their middles */
    uint32_t *numbers;    /* of each item of the tree: which box it was */
};

/* Start from {0}; items_clear accepts what is left after a failure. Err: MEMORY. */
bool items_make(struct items *items, const struct rab_box *boxes, size_t count,
                struct rab_error *err);
void items_clear(struct items *items);

#endif
