/*
 * An order in which no line begins near to the one before it: the paper cools between.
 */
#ifndef RABBET_PLAN_COOL_H
#define RABBET_PLAN_COOL_H

#include "plan/route.h"

/*
 * After each stop the nearest that begins `apart` or more away from its box and may come next; the
 * one that begins farthest from it where there is none. As good as that rule, no better: nothing
 * looks ahead. Each search passes by what is farther than the best so far, or too near: mostly a
 * few nodes, at worst those on the ring about the last box (100,000 squares: 0.1 ms each).
 *
 * boxes   of the stops
 * around  of each stop the one that must come behind it, or ROUTE_FREE; these form no ring
 * last    what was followed before; an empty box: nothing was
 * route   {0}; on success the caller frees it with route_clear
 * err     MEMORY
 */
bool cool_find(const struct stop *stops, const struct rab_box *boxes, size_t count,
               const size_t *around, struct rab_point from, struct rab_box last, double apart,
               struct route *route, struct rab_error *err);

#endif
