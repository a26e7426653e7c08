#include "frame/rows.h"

#include <math.h>
#include <stdlib.h>

#include "outline/box_tree.h"

/* Slopes of a turned grid: at most that of 10 degrees, and alike within a third of a degree. */
static const double steepest = 0.17632698070846498;
static const double alike = 0.006;
/* Lengths that differ by less are equal: what two ways of drawing the same row differ by. */
static const double same_height = 1e-6;

/* ---- the slope of the rows --------------------------------------------------------------- */

struct ask {
    const struct rab_box *boxes;
    const uint32_t *order; /* of the boxes in the tree */
    size_t self;
    size_t best; /* the nearest to the right so far */
    double best_x;
};

static double middle_x(const struct rab_box *b)
{
    return (b->x0 + b->x1) / 2;
}

static double middle_y(const struct rab_box *b)
{
    return (b->y0 + b->y1) / 2;
}

/* The middle of each lies within the height of the other. */
static bool level(const struct rab_box *a, const struct rab_box *b)
{
    return fabs(middle_y(a) - middle_y(b)) <= fmin(a->y1 - a->y0, b->y1 - b->y0) / 2;
}

static bool to_the_right(void *context, size_t item)
{
    struct ask *ask = context;
    const size_t other = ask->order[item];
    const struct rab_box *self = &ask->boxes[ask->self], *box = &ask->boxes[other];
    const double x = middle_x(box);

    if (x > middle_x(self) + same_height && level(self, box) &&
        (x < ask->best_x || (x == ask->best_x && other < ask->best))) {
        ask->best = other;
        ask->best_x = x;
    }
    return true;
}

static size_t right_neighbour(const struct box_tree *tree, struct ask *ask, double right_end)
{
    const struct rab_box *self = &ask->boxes[ask->self];
    const double x = middle_x(self);

    for (double reach = 2 * (self->x1 - self->x0) + same_height;; reach *= 4) {
        ask->best = SIZE_MAX;
        ask->best_x = 1e300;
        box_tree_query(tree, (struct rab_box){x, self->y0, x + reach, self->y1}, to_the_right, ask);
        /* A box may reach into the search with its middle outside; a nearer one may then be
         * hidden until the search is wider. */
        if (ask->best != SIZE_MAX && ask->best_x <= x + reach)
            return ask->best;
        if (x + reach > right_end)
            return SIZE_MAX;
    }
}

static int rising(const void *a, const void *b)
{
    const double p = *(const double *)a, q = *(const double *)b;

    return (p > q) - (p < q);
}

/* The slope that most neighbours show, 0 when there is none. */
static bool common_slope(const struct rab_box *boxes, size_t n, double *slope,
                         struct rab_error *err)
{
    struct box_tree tree = {0};
    uint32_t *order = malloc(n * sizeof *order);
    double *slopes = malloc(n * sizeof *slopes);
    struct ask ask = {.boxes = boxes, .order = order};
    double right_end = -1e300;
    size_t count = 0, same = 0;
    bool ok = false;

    *slope = 0;
    if (!order || !slopes) {
        rab_fail_memory(err);
        goto done;
    }
    if (!box_tree_order(boxes, n, order, err) || !box_tree_reserve(&tree, n, err))
        goto done;
    for (size_t i = 0; i < n; i++) {
        tree.boxes[i] = boxes[order[i]];
        right_end = fmax(right_end, boxes[i].x1);
    }
    box_tree_finish(&tree);
    for (size_t i = 0; i < n; i++) {
        ask.self = i;
        const size_t j = right_neighbour(&tree, &ask, right_end);
        if (j == SIZE_MAX)
            continue;
        slopes[count++] = (middle_y(&boxes[j]) - middle_y(&boxes[i])) /
                          (middle_x(&boxes[j]) - middle_x(&boxes[i]));
    }
    ok = true;
    if (count < 2)
        goto done;
    qsort(slopes, count, sizeof *slopes, rising);
    const double median = slopes[count / 2];
    for (size_t i = 0; i < count; i++)
        same += fabs(slopes[i] - median) <= alike;
    if (2 * same > count && fabs(median) <= steepest)
        *slope = median;
done:
    box_tree_clear(&tree);
    free(slopes);
    free(order);
    return ok;
}

/* ---- rows -------------------------------------------------------------------------------- */

struct stand {
    double x, y, half; /* middle, along the slope; half the height */
    double half_below; /* the greatest half height from here on downwards */
    uint32_t index;
    uint32_t next; /* still without a row */
};

static int downwards(const void *a, const void *b)
{
    const struct stand *p = a, *q = b;

    if (p->y != q->y)
        return p->y > q->y ? -1 : 1;
    if (p->x != q->x)
        return p->x < q->x ? -1 : 1;
    return (p->index > q->index) - (p->index < q->index);
}

static int rightwards(const void *a, const void *b)
{
    const struct stand *p = a, *q = b;

    if (p->x != q->x)
        return p->x < q->x ? -1 : 1;
    if (p->y != q->y)
        return p->y > q->y ? -1 : 1;
    return (p->index > q->index) - (p->index < q->index);
}

static bool share_a_row(const struct stand *p, const struct stand *q)
{
    const double top = fmin(p->y + p->half, q->y + q->half);
    const double bottom = fmax(p->y - p->half, q->y - q->half);

    return top - bottom >= fmin(p->half, q->half) - same_height;
}

bool rows_order(const struct rab_box *boxes, size_t n, uint32_t *order, struct rab_error *err)
{
    struct stand *stands = NULL, *row = NULL;
    double slope;
    size_t given = 0;
    bool ok = false;

    if (n == 0)
        return true;
    stands = malloc(n * sizeof *stands);
    row = malloc(n * sizeof *row);
    if (!stands || !row) {
        rab_fail_memory(err);
        goto done;
    }
    if (!common_slope(boxes, n, &slope, err))
        goto done;
    for (size_t i = 0; i < n; i++)
        stands[i] = (struct stand){.x = middle_x(&boxes[i]),
                                   .y = middle_y(&boxes[i]) - slope * middle_x(&boxes[i]),
                                   .half = (boxes[i].y1 - boxes[i].y0) / 2,
                                   .index = (uint32_t)i};
    qsort(stands, n, sizeof *stands, downwards);
    for (size_t i = n; i-- > 0;) {
        stands[i].next = (uint32_t)i + 1;
        stands[i].half_below = stands[i].half;
        if (i + 1 < n)
            stands[i].half_below = fmax(stands[i].half, stands[i + 1].half_below);
    }
    for (size_t first = 0; first < n; first = stands[first].next) {
        const struct stand *shortest = &stands[first];
        size_t count = 0, before = first;

        row[count++] = stands[first];
        for (size_t i = stands[first].next; i < n; i = stands[i].next) {
            if (stands[i].y + stands[i].half_below < stands[first].y - stands[first].half)
                break;
            if (!share_a_row(&stands[first], &stands[i]) || !share_a_row(shortest, &stands[i])) {
                before = i;
                continue;
            }
            stands[before].next = stands[i].next;
            row[count++] = stands[i];
            if (stands[i].half < shortest->half)
                shortest = &stands[i];
        }
        qsort(row, count, sizeof *row, rightwards);
        for (size_t i = 0; i < count; i++)
            order[given++] = row[i].index;
    }
    ok = true;
done:
    free(row);
    free(stands);
    return ok;
}
