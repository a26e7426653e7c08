#include "plan/cool.h"

#include "outline/box_tree.h"

#include <math.h>
#include <stdlib.h>

/* A binary tree over all stops, from which those that may not come next are missing: node 1 is the
 * root, nodes 2 i and 2 i + 1 lie below node i, the leaves are the stops along a curve. */
struct choice {
    const struct stop *stops;
    size_t count, leaves;
    struct rab_box *nodes; /* of the places where stops below may begin */
    uint32_t *curve;       /* the stop of each leaf */
    size_t *leaf;          /* of each stop */
    size_t *waits_for;     /* of each stop: how many must still come before it */
    struct rab_point at;
    struct rab_box last;
    double apart;
};

/* What is looked for, and the best so far. */
struct candidate {
    bool farthest;
    double measure; /* from the tool; of the farthest, from the last stop's box */
    size_t stop, way;
};

static double outside(double x, double x0, double x1)
{
    return fmax(0, fmax(x0 - x, x - x1));
}

static double to_box(struct rab_point p, const struct rab_box *box)
{
    return hypot(outside(p.x, box->x0, box->x1), outside(p.y, box->y0, box->y1));
}

/* How far from `box` a point of `in` can be. */
static double farthest_in(const struct rab_box *in, const struct rab_box *box)
{
    return hypot(fmax(0, fmax(box->x0 - in->x0, in->x1 - box->x1)),
                 fmax(0, fmax(box->y0 - in->y0, in->y1 - box->y1)));
}

static struct rab_box starts_of(const struct stop *stop)
{
    struct rab_box box = RAB_BOX_EMPTY;

    for (size_t w = 0; w < stop->count; w++) {
        const struct rab_point p = stop->ways[w].in;
        box = rab_box_join(box, (struct rab_box){p.x, p.y, p.x, p.y});
    }
    return box;
}

static void set_leaf(struct choice *c, size_t stop, struct rab_box box)
{
    size_t node = c->leaves + c->leaf[stop];

    c->nodes[node] = box;
    while (node /= 2)
        c->nodes[node] = rab_box_join(c->nodes[2 * node], c->nodes[2 * node + 1]);
}

/* ---- looking --------------------------------------------------------------------------- */

/* May something below be better? */
static bool is_worth(const struct choice *c, size_t node, const struct candidate *best)
{
    const struct rab_box *box = &c->nodes[node];

    if (box->x0 > box->x1)
        return false;
    const double reach = farthest_in(box, &c->last);
    return best->farthest ? reach > best->measure
                          : reach >= c->apart && to_box(c->at, box) < best->measure;
}

static void look_at(const struct choice *c, size_t stop, struct candidate *best)
{
    for (size_t w = 0; w < c->stops[stop].count; w++) {
        const struct rab_point p = c->stops[stop].ways[w].in;
        const double reach = to_box(p, &c->last);
        const double measure = best->farthest ? reach : hypot(p.x - c->at.x, p.y - c->at.y);
        if (best->farthest ? measure > best->measure : reach >= c->apart && measure < best->measure)
            *best = (struct candidate){best->farthest, measure, stop, w};
    }
}

static struct candidate look(const struct choice *c, bool farthest)
{
    struct candidate best = {farthest, farthest ? -1 : HUGE_VAL, c->count, 0};
    size_t stack[64], depth = 0;

    stack[depth++] = 1;
    while (depth > 0) {
        const size_t node = stack[--depth];
        if (!is_worth(c, node, &best))
            continue;
        if (node >= c->leaves) {
            look_at(c, c->curve[node - c->leaves], &best);
            continue;
        }
        /* the better one first, so that the other may be passed over */
        const struct rab_box *a = &c->nodes[2 * node], *b = &c->nodes[2 * node + 1];
        const bool second = farthest ? farthest_in(b, &c->last) > farthest_in(a, &c->last)
                                     : to_box(c->at, b) < to_box(c->at, a);
        stack[depth++] = 2 * node + !second;
        stack[depth++] = 2 * node + second;
    }
    return best;
}

/* ---- following ------------------------------------------------------------------------- */

static void follow(struct choice *c, const struct rab_box *boxes, const size_t *around,
                   struct route *route)
{
    for (size_t n = 0; n < c->count; n++) {
        struct candidate next = look(c, false);
        if (next.stop == c->count)
            next = look(c, true);
        const struct way *way = &c->stops[next.stop].ways[next.way];
        const size_t behind = around[next.stop];

        route->order[n] = next.stop;
        route->way[next.stop] = next.way;
        route->travel += hypot(way->in.x - c->at.x, way->in.y - c->at.y);
        c->at = way->out;
        c->last = boxes[next.stop];
        set_leaf(c, next.stop, RAB_BOX_EMPTY);
        if (behind != ROUTE_FREE && --c->waits_for[behind] == 0)
            set_leaf(c, behind, starts_of(&c->stops[behind]));
    }
}

static bool begin(struct choice *c, const struct rab_box *boxes, const size_t *around,
                  struct rab_error *err)
{
    while (c->leaves < c->count)
        c->leaves *= 2;
    c->nodes = calloc(2 * c->leaves, sizeof *c->nodes);
    c->curve = calloc(c->count, sizeof *c->curve);
    c->leaf = calloc(c->count, sizeof *c->leaf);
    c->waits_for = calloc(c->count, sizeof *c->waits_for);
    if (!c->nodes || !c->curve || !c->leaf || !c->waits_for)
        return rab_fail_memory(err);
    if (!box_tree_order(boxes, c->count, c->curve, err))
        return false;
    for (size_t i = 0; i < c->count; i++) {
        c->leaf[c->curve[i]] = i;
        if (around[i] != ROUTE_FREE)
            c->waits_for[around[i]]++;
    }
    for (size_t i = 0; i < 2 * c->leaves; i++)
        c->nodes[i] = RAB_BOX_EMPTY;
    for (size_t i = 0; i < c->count; i++)
        if (c->waits_for[i] == 0)
            set_leaf(c, i, starts_of(&c->stops[i]));
    return true;
}

bool cool_find(const struct stop *stops, const struct rab_box *boxes, size_t count,
               const size_t *around, struct rab_point from, struct rab_box last, double apart,
               struct route *route, struct rab_error *err)
{
    struct choice c = {
        .stops = stops, .count = count, .leaves = 1, .at = from, .last = last, .apart = apart};
    struct route made = {0};
    bool ok = count == 0;

    if (ok || !begin(&c, boxes, around, err))
        goto done;
    made.order = calloc(count, sizeof *made.order);
    made.way = calloc(count, sizeof *made.way);
    if (!made.order || !made.way) {
        rab_fail_memory(err);
        goto done;
    }
    follow(&c, boxes, around, &made);
    *route = made;
    made = (struct route){0};
    ok = true;
done:
    route_clear(&made);
    free(c.nodes);
    free(c.curve);
    free(c.leaf);
    free(c.waits_for);
    return ok;
}
