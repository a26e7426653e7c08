/*
 * A run: cubics that follow each other smoothly, to be fitted with arcs that join smoothly.
 */
#ifndef RABBET_OUTLINE_RUN_H
#define RABBET_OUTLINE_RUN_H

#include "curve.h"

/* A place on a run is the sum of the lengths (roughly: of the control polygons) of the cubics
 * before it, and of the same share of the cubic's own as its parameter has. */
struct run {
    const struct cubic *cubics;
    const double *places; /* count + 1, from 0 */
    size_t count;
    bool closed;                 /* the end leads smoothly to the start */
    bool start_fixed, end_fixed; /* the tangents there are the neighbours' */
    struct rab_point start_tangent, end_tangent;
};

/* The arcs that stand for a run, in order: each from its vertex to the next one's, the last to the
 * end of the run. */
struct fitted {
    struct rab_vertex *vertices;
    size_t count, capacity;
};

/* Fit arcs within the tolerance, as few as the method finds, each proved by run_within. Added
 * to out. Err: GEOMETRY, MEMORY. */
bool run_fit(const struct run *run, double tolerance, struct fitted *out, struct rab_error *err);

/* The cubic at a place, and its parameter there. */
size_t run_locate(const struct run *run, double place, double *t);
struct rab_point run_at(const struct run *run, double place);
/* The point and the unit tangent at a place. */
void run_tangent(const struct run *run, double place, struct rab_point *at,
                 struct rab_point *tangent);

/*
 * Proof that an arc and the part of the run between two places lie within the tolerance of each
 * other, both ways. False when it is not so, or too close to tell.
 */
bool run_within(const struct run *run, double from, double to, const struct arc *arc,
                double tolerance);

#endif
