/*
 * The shortest idle travel through stops that can each be taken in one of several ways: a path
 * with a fixed beginning. Good, not optimal: the same answer each time.
 */
#ifndef RABBET_PLAN_ROUTE_H
#define RABBET_PLAN_ROUTE_H

#include "rabbet/outline.h"

/* One way to take a stop: where it is entered and where it is left. `extra` is added to its cost: a
 * way that one would rather not take, in millimetres of travel. */
struct way {
    struct rab_point in, out;
    double extra;
};
/* Borrowed. A stop that can be taken backwards lists that as a way of its own. */
struct stop {
    const struct way *ways;
    size_t count; /* 1 or more */
};

struct route {
    size_t *order; /* stops in the order of visits */
    size_t *way;   /* of each stop, by its number */
    double travel;
};

#define ROUTE_FREE ((size_t)-1)

/*
 * around  of each stop the one that must come behind it, or ROUTE_FREE; these form no ring. NULL
 * when there is none from    where the path begins; it may end anywhere route   {0}; on success the
 * caller frees it with route_clear
 *
 * Source of the moves: Croes, A method for solving traveling-salesman problems, 1958 (2-opt); Or,
 * Traveling salesman-type combinatorial problems, 1976 (chains moved); Bentley, Fast algorithms for
 * geometric traveling salesman problems, 1992 (neighbour lists, don't-look bits); Martin, Otto and
 * Felten, Large-step Markov chains, 1991 (small double bridges between local optima).
 */
bool route_find(const struct stop *stops, size_t count, const size_t *around, struct rab_point from,
                struct route *route, struct rab_error *err);
void route_clear(struct route *route);

#endif
