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

/* What to plan: the run from one joint to another, whose tangents may be free. */
struct span {
    struct joint from, to;
    bool from_free, to_free;
};

struct plan {
    struct joint *joints; /* one more than arcs */
    size_t count, capacity;
};

/*
 * The least number of arcs that join smoothly, with joints on the curve at a few chosen places
 * (about eight to an arc), each within the tolerance as far as sixteen points tell. The tangents
 * fit together nearly, not exactly; the caller makes them. The first and the last joint are those
 * of the span. An empty plan when there is none. Err: MEMORY.
 */
bool plan_span(const struct run *run, const struct span *span, double tolerance, struct plan *plan,
               struct rab_error *err);

#endif
