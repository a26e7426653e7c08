#include "outline/box_tree.h"

#include <stdlib.h>

/* A descent keeps at most the siblings of one node for every level on its stack. */
enum { STACK = BOX_TREE_LEVELS * BOX_TREE_FAN };
/* One pair of nodes makes at most this many pairs of children; one of them is taken apart next. */
enum { PAIR_STACK = BOX_TREE_LEVELS * BOX_TREE_FAN * BOX_TREE_FAN };

bool box_tree_reserve(struct box_tree *tree, size_t n, struct rab_error *err)
{
    struct box_tree made = {0};
    size_t total = 0, size = n;

    box_tree_clear(tree);
    if (n == 0)
        return true;
    if (n > (size_t)PTRDIFF_MAX / sizeof *made.boxes / 2) /* all levels above need less than n */
        return rab_fail_memory(err);
    for (;;) {
        made.start[made.levels] = total;
        made.size[made.levels++] = size;
        total += size;
        if (size == 1)
            break;
        size = (size + BOX_TREE_FAN - 1) / BOX_TREE_FAN;
    }
    made.boxes = malloc(total * sizeof *made.boxes);
    if (!made.boxes)
        return rab_fail_memory(err);
    *tree = made;
    return true;
}

void box_tree_finish(struct box_tree *tree)
{
    for (int level = 1; level < tree->levels; level++) {
        const struct rab_box *below = tree->boxes + tree->start[level - 1];
        const struct rab_box *end = below + tree->size[level - 1];
        struct rab_box *node = tree->boxes + tree->start[level];

        for (; below < end; node++) {
            const struct rab_box *last = end - below > BOX_TREE_FAN ? below + BOX_TREE_FAN : end;
            struct rab_box sum = *below++;

            for (; below < last; below++) {
                sum.x0 = below->x0 < sum.x0 ? below->x0 : sum.x0;
                sum.y0 = below->y0 < sum.y0 ? below->y0 : sum.y0;
                sum.x1 = below->x1 > sum.x1 ? below->x1 : sum.x1;
                sum.y1 = below->y1 > sum.y1 ? below->y1 : sum.y1;
            }
            *node = sum;
        }
    }
}

void box_tree_clear(struct box_tree *tree)
{
    free(tree->boxes);
    *tree = (struct box_tree){0};
}

/* ---- order along a Hilbert curve ---- */

/* Place of a cell of the 65536 x 65536 grid on the curve.
 * Source: the bit-by-bit conversion known since Butz, IEEE Trans. Computers C-20 (1971). */
static uint32_t hilbert_place(uint32_t x, uint32_t y)
{
    uint32_t place = 0;

    for (uint32_t side = 1U << 15; side > 0; side >>= 1) {
        uint32_t right = (x & side) != 0, up = (y & side) != 0;

        place = place << 2 | ((3 * right) ^ up);
        if (!up) { /* turn the quarter so that the curve inside it starts at its corner */
            uint32_t flip = right ? 0xFFFF : 0, old_x = x;

            x = y ^ flip;
            y = old_x ^ flip;
        }
    }
    return place;
}

struct placed {
    uint32_t place, item;
};

/* One pass of a radix sort: by byte `shift` of the place, keeping the order among equals. */
static void sort_by_byte(const struct placed *in, struct placed *out, size_t n, int shift)
{
    size_t at[257] = {0};

    for (size_t i = 0; i < n; i++)
        at[(in[i].place >> shift & 0xFF) + 1]++;
    for (int i = 1; i < 257; i++)
        at[i] += at[i - 1];
    for (size_t i = 0; i < n; i++)
        out[at[in[i].place >> shift & 0xFF]++] = in[i];
}

static uint32_t grid_cell(double value, double least, double scale)
{
    double cell = (value - least) * scale;

    return cell >= 65535 ? 65535 : cell > 0 ? (uint32_t)cell : 0;
}

bool box_tree_order(const struct rab_box *boxes, size_t n, uint32_t *order, struct rab_error *err)
{
    struct rab_box all = RAB_BOX_EMPTY;
    struct placed *items, *spare;
    double width, height, scale;

    if (n == 0)
        return true;
    if (n > UINT32_MAX || n > (size_t)PTRDIFF_MAX / sizeof *items / 2)
        return rab_fail_memory(err);
    items = malloc(2 * n * sizeof *items);
    if (!items)
        return rab_fail_memory(err);
    spare = items + n;
    for (size_t i = 0; i < n; i++) { /* centres, doubled */
        double x = boxes[i].x0 + boxes[i].x1, y = boxes[i].y0 + boxes[i].y1;

        all.x0 = x < all.x0 ? x : all.x0;
        all.y0 = y < all.y0 ? y : all.y0;
        all.x1 = x > all.x1 ? x : all.x1;
        all.y1 = y > all.y1 ? y : all.y1;
    }
    width = all.x1 - all.x0;
    height = all.y1 - all.y0;
    scale = width > height ? width : height;
    scale = scale > 0 ? 65535 / scale : 0;
    for (size_t i = 0; i < n; i++) {
        items[i].place = hilbert_place(grid_cell(boxes[i].x0 + boxes[i].x1, all.x0, scale),
                                       grid_cell(boxes[i].y0 + boxes[i].y1, all.y0, scale));
        items[i].item = (uint32_t)i;
    }
    sort_by_byte(items, spare, n, 0);
    sort_by_byte(spare, items, n, 8);
    sort_by_byte(items, spare, n, 16);
    sort_by_byte(spare, items, n, 24);
    for (size_t i = 0; i < n; i++)
        order[i] = items[i].item;
    free(items);
    return true;
}

/* ---- queries ---- */

struct node {
    size_t index; /* in its level */
    int level;
};

static const struct rab_box *box_of(const struct box_tree *tree, int level, size_t index)
{
    return tree->boxes + tree->start[level] + index;
}

/* The end of the children of a node; the first is index * BOX_TREE_FAN. */
static size_t children_end(const struct box_tree *tree, int level, size_t index)
{
    size_t end = (index + 1) * BOX_TREE_FAN;

    return end < tree->size[level - 1] ? end : tree->size[level - 1];
}

bool box_tree_query(const struct box_tree *tree, struct rab_box box, box_tree_found *found,
                    void *context)
{
    struct node stack[STACK];
    int depth = 0;

    if (tree->levels == 0 || !box_meets(box_of(tree, tree->levels - 1, 0), &box))
        return true;
    if (tree->levels == 1)
        return found(context, 0);
    stack[depth++] = (struct node){0, tree->levels - 1};
    while (depth > 0) {
        struct node node = stack[--depth];
        const struct rab_box *children = box_of(tree, node.level - 1, 0);
        size_t first = node.index * BOX_TREE_FAN;
        size_t end = children_end(tree, node.level, node.index);

        if (node.level == 1) {
            for (size_t i = first; i < end; i++)
                if (box_meets(children + i, &box) && !found(context, i))
                    return false;
        } else { /* the last first, so that items are met in rising order */
            for (size_t i = end; i-- > first;)
                if (box_meets(children + i, &box))
                    stack[depth++] = (struct node){i, node.level - 1};
        }
    }
    return true;
}

/* ---- pairs ---- */

struct node_pair {
    size_t a, b;
    int level_a, level_b;
};

/* Children of a node that meet a box. */
static int choose_children(const struct box_tree *tree, int level, size_t index,
                           const struct rab_box *box, size_t chosen[BOX_TREE_FAN])
{
    const struct rab_box *children = box_of(tree, level - 1, 0);
    size_t end = children_end(tree, level, index);
    int count = 0;

    for (size_t i = index * BOX_TREE_FAN; i < end; i++) {
        chosen[count] = i;
        count += box_meets(children + i, box);
    }
    return count;
}

bool box_tree_pairs(const struct box_tree *tree, box_tree_pair *pair, void *context)
{
    struct node_pair stack[PAIR_STACK];
    int depth = 0;

    if (tree->levels < 2)
        return true;
    stack[depth++] = (struct node_pair){0, 0, tree->levels - 1, tree->levels - 1};
    while (depth > 0) {
        struct node_pair node = stack[--depth];
        int level = node.level_a, count_a, count_b;
        const struct rab_box *children = box_of(tree, level - 1, 0);
        size_t in_a[BOX_TREE_FAN], in_b[BOX_TREE_FAN];
        bool same = node.a == node.b;

        count_a = choose_children(tree, level, node.a, box_of(tree, level, node.b), in_a);
        count_b = same ? count_a
                       : choose_children(tree, level, node.b, box_of(tree, level, node.a), in_b);
        for (int i = 0; i < count_a; i++) {
            const struct rab_box *box = children + in_a[i];
            const size_t *other = same ? in_a : in_b;

            if (same && level > 1)
                stack[depth++] = (struct node_pair){in_a[i], in_a[i], level - 1, level - 1};
            for (int k = same ? i + 1 : 0; k < count_b; k++) {
                if (!box_meets(box, children + other[k]))
                    continue;
                if (level > 1)
                    stack[depth++] = (struct node_pair){in_a[i], other[k], level - 1, level - 1};
                else if (!pair(context, in_a[i], other[k]))
                    return false;
            }
        }
    }
    return true;
}

bool box_tree_cross(const struct box_tree *a, const struct box_tree *b, box_tree_pair *pair,
                    void *context)
{
    struct node_pair stack[PAIR_STACK];
    int depth = 0;

    if (a->levels == 0 || b->levels == 0 ||
        !box_meets(box_of(a, a->levels - 1, 0), box_of(b, b->levels - 1, 0)))
        return true;
    stack[depth++] = (struct node_pair){0, 0, a->levels - 1, b->levels - 1};
    while (depth > 0) {
        struct node_pair node = stack[--depth];
        size_t in_a[BOX_TREE_FAN] = {node.a}, in_b[BOX_TREE_FAN] = {node.b};
        int count_a = 1, count_b = 1, level_a = node.level_a, level_b = node.level_b;

        if (level_a == 0 && level_b == 0) {
            if (!pair(context, node.a, node.b))
                return false;
            continue;
        }
        /* The taller side goes down alone until both are equally tall. */
        if (node.level_a >= node.level_b)
            count_a = choose_children(a, level_a--, node.a, box_of(b, node.level_b, node.b), in_a);
        if (node.level_b >= node.level_a)
            count_b = choose_children(b, level_b--, node.b, box_of(a, node.level_a, node.a), in_b);
        for (int i = 0; i < count_a; i++) {
            const struct rab_box *box = box_of(a, level_a, in_a[i]);

            for (int k = 0; k < count_b; k++)
                if (box_meets(box, box_of(b, level_b, in_b[k])))
                    stack[depth++] = (struct node_pair){in_a[i], in_b[k], level_a, level_b};
        }
    }
    return true;
}

/* ---- nearest ---- */

static double box_distance2(const struct rab_box *box, struct rab_point point)
{
    double left = box->x0 - point.x, right = point.x - box->x1;
    double below = box->y0 - point.y, above = point.y - box->y1;
    double dx = left > right ? left : right, dy = below > above ? below : above;

    dx = dx > 0 ? dx : 0;
    dy = dy > 0 ? dy : 0;
    return dx * dx + dy * dy;
}

struct far_node {
    double distance2;
    struct node node;
};

size_t box_tree_nearest(const struct box_tree *tree, struct rab_point point,
                        box_tree_distance2 *distance, void *context, double *best2)
{
    struct far_node stack[STACK];
    size_t best;
    int depth = 0;

    if (tree->levels == 0)
        return 0;
    best = tree->size[0];
    stack[depth++] = (struct far_node){box_distance2(box_of(tree, tree->levels - 1, 0), point),
                                       {0, tree->levels - 1}};
    while (depth > 0) {
        struct far_node far = stack[--depth];
        int level = far.node.level, base = depth;
        const struct rab_box *children;
        size_t end;

        if (!(far.distance2 < *best2))
            continue;
        if (level == 0) {
            double found = distance(context, far.node.index, point);

            if (found < *best2) {
                *best2 = found;
                best = far.node.index;
            }
            continue;
        }
        children = box_of(tree, level - 1, 0);
        end = children_end(tree, level, far.node.index);
        for (size_t i = far.node.index * BOX_TREE_FAN; i < end; i++) {
            double near2 = box_distance2(children + i, point);
            int at = depth;

            if (!(near2 < *best2))
                continue;
            /* The nearest on top; of equals the first. */
            for (; at > base && stack[at - 1].distance2 <= near2; at--)
                stack[at] = stack[at - 1];
            stack[at] = (struct far_node){near2, {i, level - 1}};
            depth++;
        }
    }
    return best;
}
