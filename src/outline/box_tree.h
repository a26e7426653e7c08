/*
 * A tree of boxes over items that stand in a spatially coherent order (edges along an outline):
 * built bottom-up without sorting, eight to a node. Queries report item numbers.
 */
#ifndef RABBET_OUTLINE_BOX_TREE_H
#define RABBET_OUTLINE_BOX_TREE_H

#include "rabbet/outline.h"

enum { BOX_TREE_FAN = 8, BOX_TREE_LEVELS = 24 };

struct box_tree {
    struct rab_box *boxes;            /* level 0 (the items), level 1, ... the root last */
    size_t start[BOX_TREE_LEVELS];    /* of each level in boxes */
    size_t size[BOX_TREE_LEVELS];     /* of each level */
    int levels;                       /* 0 when empty */
};

/* Takes n item boxes. To fill them in place: box_tree_reserve, write tree->boxes[0..n), then
 * box_tree_finish. */
bool box_tree_reserve(struct box_tree *tree, size_t n, struct rab_error *err);
void box_tree_finish(struct box_tree *tree);
void box_tree_clear(struct box_tree *tree);

/* An order of n boxes along a Hilbert curve through their centres, for items without one. */
bool box_tree_order(const struct rab_box *boxes, size_t n, uint32_t *order, struct rab_error *err);

static inline bool box_meets(const struct rab_box *a, const struct rab_box *b)
{
    return a->x0 <= b->x1 && b->x0 <= a->x1 && a->y0 <= b->y1 && b->y0 <= a->y1;
}

/* Items whose box meets `box`, in rising order. found returns false to stop. The answer is false
 * when it was stopped. */
typedef bool box_tree_found(void *context, size_t item);
bool box_tree_query(const struct box_tree *tree, struct rab_box box, box_tree_found *found,
                    void *context);

/* Every unordered pair of different items whose boxes meet, each once, first < second. */
typedef bool box_tree_pair(void *context, size_t first, size_t second);
bool box_tree_pairs(const struct box_tree *tree, box_tree_pair *pair, void *context);

/* Pairs between two trees. */
bool box_tree_cross(const struct box_tree *a, const struct box_tree *b, box_tree_pair *pair,
                    void *context);

/* The item nearest to a point. `distance` gives an item's exact squared distance; items and nodes
 * further than the best so far are passed over. Returns n (no such item) when the tree is empty;
 * *best2 is the starting bound (1e300) and then the result. */
typedef double box_tree_distance2(void *context, size_t item, struct rab_point point);
size_t box_tree_nearest(const struct box_tree *tree, struct rab_point point,
                        box_tree_distance2 *distance, void *context, double *best2);

#endif
