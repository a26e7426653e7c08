/*
 * How short a way through given points could be at best.
 */
#ifndef RABBET_PLAN_BOUND_H
#define RABBET_PLAN_BOUND_H

#include "rabbet/outline.h"

/* Lines that are followed from one end to the other, in either direction; both ends are the same
 * where a closed one begins. */
struct leg_ends {
    struct rab_point a, b;
};

/* Of more legs than this no bound is looked for: it is 0. */
enum { BOUND_MOST = 20000 };

/*
 * A length that no path from `home` (NULL: from anywhere) through all of these, each once, can fall
 * short of, whatever the order and however it ends. The travel along the lines themselves does not
 * count.
 *
 * Source: Held and Karp, The traveling-salesman problem and minimum spanning trees, 1970 and 1971:
 * the least 1-tree under node weights, the weights improved step by step; here so often as the
 * count allows.
 */
bool bound_find(const struct rab_point *home, const struct leg_ends *legs, size_t count,
                double *bound, struct rab_error *err);

#endif
