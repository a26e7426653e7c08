/*
 * The plan for the arcs of a run: how many, where they join, and which way they go there.
 */
#ifndef RABBET_OUTLINE_PLAN_H
#define RABBET_OUTLINE_PLAN_H

#include "run.h"

/* A place on the run and the tangent of the arcs there. */
struct joint {
    double place;
    struct rab_point at, tangent;
};

struct plan {
    struct joint *joints; /* one more than arcs */
    size_t count, capacity;
};

/*
 * The least number of arcs that join smoothly, with joints on the curve at a few chosen places
 * (about eight to an arc), each within the tolerance as far as sixteen points tell. The tangents
 * fit together nearly, not exactly; the caller makes them.
 * An empty plan when there is none. Err: MEMORY.
 */
bool plan_run(const struct run *run, double tolerance, struct plan *plan, struct rab_error *err);

#endif
