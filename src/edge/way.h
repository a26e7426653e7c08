/*
 * A stretch of an outline, measured along its length. What lies outside, where peaks go, is to the
 * left of the direction of travel.
 */
#ifndef RABBET_EDGE_WAY_H
#define RABBET_EDGE_WAY_H

#include "outline/arc.h"

struct way {
    struct arc *arcs;
    double *start; /* of each arc, along the way */
    size_t count;
    double length;
    bool closed; /* it goes on at its beginning; an open one goes on straight at both ends */
};

void way_clear(struct way *way);
/* Edges first, first + 1, ... of an outline, going on at its beginning. */
bool way_of_outline(const struct rab_outline *outline, size_t first, size_t count, bool closed,
                    struct way *out, struct rab_error *err);
bool way_of_line(struct rab_point from, struct rab_point to, struct way *out,
                 struct rab_error *err);

/* The point at a length along the way and the unit tangent there; between two arcs the middle
 * one of both. */
struct rab_point way_at(const struct way *way, double s, struct rab_point *tangent);
/* Is it one straight line from s0 to s1? */
bool way_straight(const struct way *way, double s0, double s1);
/* Signed distance of a point from the arcs between s0 and s1, positive to the left. */
double way_side(const struct way *way, double s0, double s1, struct rab_point point);

/* The arcs between s0 and s1, s0 < s1, the first and the last cut to that; false from `found` stops
 * and is the answer. */
typedef bool way_found(void *context, const struct arc *arc);
bool way_pieces(const struct way *way, double s0, double s1, way_found *found, void *context);

/* Turn the start of a closed way to a point that lies `s` along it. */
bool way_begin(struct way *way, double s, struct rab_error *err);

#endif
