#include "plan/bound.h"

#include <math.h>
#include <stdlib.h>

/* Distances looked at altogether: a second or so. */
static const double budget = 1e8;
enum { MOST_STEPS = 100 };

/* Beside these, a free node without a place stands at no distance from where the path begins and
 * from wherever it ends, which makes the path a tour. */
struct tree {
    const struct leg_ends *nodes; /* node 0 is home if the path is tied to it */
    size_t count;
    bool tied;
    double *weight, *least; /* least: of the edge to the tree so far */
    size_t *to;
    size_t *left; /* not yet in the tree */
    int *degree;
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
    size_t at = 0, left = t->count - 1;

    for (size_t i = 0; i < t->count; i++) {
        t->least[i] = HUGE_VAL;
        t->degree[i] = 0;
    }
    for (size_t n = 0; n < left; n++)
        t->left[n] = n + 1;
    while (left > 0) {
        size_t best = 0;
        double cost = HUGE_VAL;
        for (size_t n = 0; n < left; n++) {
            const size_t i = t->left[n];
            const double c = between(&t->nodes[at], &t->nodes[i]) + t->weight[at] + t->weight[i];
            if (c < t->least[i]) {
                t->least[i] = c;
                t->to[i] = at;
            }
            if (t->least[i] < cost) {
                cost = t->least[i];
                best = n;
            }
        }
        at = t->left[best];
        t->left[best] = t->left[--left];
        sum += cost;
        t->degree[at]++;
        t->degree[t->to[at]]++;
    }
    return sum;
}

/* The least 1-tree: the spanning tree, and the free node's edges to home and to the lightest, or
 * to the two lightest. */
static double one_tree(struct tree *t)
{
    const double sum = span(t);
    size_t start = 0, end = 1;
    double weights = 0;

    if (!t->tied && t->weight[end] < t->weight[start]) {
        start = 1;
        end = 0;
    }
    for (size_t i = 2; i < t->count; i++) {
        if (!(t->weight[i] < t->weight[end]))
            continue;
        end = i;
        if (!t->tied && t->weight[end] < t->weight[start]) {
            end = start;
            start = i;
        }
    }
    t->degree[start]++;
    t->degree[end]++;
    for (size_t i = 0; i < t->count; i++)
        weights += t->weight[i];
    return sum + t->weight[start] + t->weight[end] - 2 * weights;
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

bool bound_find(const struct rab_point *home, const struct leg_ends *legs, size_t count,
                double *bound, struct rab_error *err)
{
    const size_t before = home ? 1 : 0, all = count + before;
    struct leg_ends *nodes = calloc(all + 1, sizeof *nodes);
    struct tree t = {.nodes = nodes,
                     .count = all,
                     .tied = home != NULL,
                     .weight = calloc(all + 1, sizeof *t.weight),
                     .least = calloc(all + 1, sizeof *t.least),
                     .to = calloc(all + 1, sizeof *t.to),
                     .left = calloc(all + 1, sizeof *t.left),
                     .degree = calloc(all + 1, sizeof *t.degree)};
    const bool ok = nodes && t.weight && t.least && t.to && t.left && t.degree;

    if (ok) {
        if (home)
            nodes[0] = (struct leg_ends){*home, *home};
        for (size_t i = 0; i < count; i++)
            nodes[before + i] = legs[i];
        *bound = all < 2 || count > BOUND_MOST ? 0 : climb(&t);
    } else {
        rab_fail_memory(err);
    }
    free(nodes);
    free(t.weight);
    free(t.least);
    free(t.to);
    free(t.left);
    free(t.degree);
    return ok;
}
