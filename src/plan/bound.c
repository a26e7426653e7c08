#include "plan/bound.h"

#include <math.h>
#include <stdlib.h>

/* Distances looked at altogether: a second or so. */
static const double budget = 1.5e8;
enum { MOST_STEPS = 100 };

/* Node 0 is home; a free node without a place stands at no distance from home and from wherever the
 * path ends, which makes the path a tour. */
struct tree {
    const struct leg_ends *nodes;
    size_t count;
    double *weight, *least; /* least: of the edge to the tree so far */
    size_t *to;
    int *degree;
    unsigned char *in;
};

static double apart2(struct rab_point a, struct rab_point b)
{
    const double x = a.x - b.x, y = a.y - b.y;

    return x * x + y * y;
}

/* Between the nearest ends; closed lines have only one. */
static double between(const struct leg_ends *p, const struct leg_ends *q)
{
    double least = apart2(p->a, q->a);

    if (p->a.x != p->b.x || p->a.y != p->b.y || q->a.x != q->b.x || q->a.y != q->b.y)
        least = fmin(fmin(least, apart2(p->b, q->b)), fmin(apart2(p->a, q->b), apart2(p->b, q->a)));
    return sqrt(least);
}

/* Prim's algorithm on the full graph; the tree's cost under the weights. Fills degrees. */
static double span(struct tree *t)
{
    double sum = 0;
    size_t at = 0;

    for (size_t i = 0; i < t->count; i++) {
        t->least[i] = HUGE_VAL;
        t->degree[i] = 0;
        t->in[i] = 0;
    }
    t->in[0] = 1;
    for (size_t n = 1; n < t->count; n++) {
        size_t best = 0;
        double cost = HUGE_VAL;
        for (size_t i = 1; i < t->count; i++) {
            if (t->in[i])
                continue;
            const double c = between(&t->nodes[at], &t->nodes[i]) + t->weight[at] + t->weight[i];
            if (c < t->least[i]) {
                t->least[i] = c;
                t->to[i] = at;
            }
            if (t->least[i] < cost) {
                cost = t->least[i];
                best = i;
            }
        }
        sum += cost;
        t->in[best] = 1;
        t->degree[best]++;
        t->degree[t->to[best]]++;
        at = best;
    }
    return sum;
}

/* The least 1-tree: the spanning tree, and the free node's edges to home and to the lightest. */
static double one_tree(struct tree *t)
{
    double sum = span(t), weights = 0;
    size_t end = t->count > 1 ? 1 : 0;

    for (size_t i = 1; i < t->count; i++)
        if (t->weight[i] < t->weight[end])
            end = i;
    t->degree[0]++;
    t->degree[end]++;
    for (size_t i = 0; i < t->count; i++)
        weights += t->weight[i];
    return sum + t->weight[0] + t->weight[end] - 2 * weights;
}

static double climb(struct tree *t)
{
    const double pairs = (double)t->count * (double)t->count / 2;
    const double steps = fmax(1, fmin(MOST_STEPS, floor(budget / pairs)));
    double best = one_tree(t), step = best / (double)t->count;

    for (double n = 1; n < steps; n++) {
        for (size_t i = 0; i < t->count; i++)
            t->weight[i] += step * (t->degree[i] - 2);
        best = fmax(best, one_tree(t));
        step *= pow(0.02, 1 / steps); /* to a fiftieth in the end */
    }
    return fmax(0, best);
}

bool bound_find(struct rab_point home, const struct leg_ends *legs, size_t count, double *bound,
                struct rab_error *err)
{
    struct leg_ends *nodes = calloc(count + 1, sizeof *nodes);
    struct tree t = {.nodes = nodes,
                     .count = count + 1,
                     .weight = calloc(count + 1, sizeof *t.weight),
                     .least = calloc(count + 1, sizeof *t.least),
                     .to = calloc(count + 1, sizeof *t.to),
                     .degree = calloc(count + 1, sizeof *t.degree),
                     .in = calloc(count + 1, 1)};
    const bool ok = nodes && t.weight && t.least && t.to && t.degree && t.in;

    if (ok) {
        nodes[0] = (struct leg_ends){home, home};
        for (size_t i = 0; i < count; i++)
            nodes[i + 1] = legs[i];
        *bound = climb(&t);
    } else {
        rab_fail_memory(err);
    }
    free(nodes);
    free(t.weight);
    free(t.least);
    free(t.to);
    free(t.degree);
    free(t.in);
    return ok;
}
