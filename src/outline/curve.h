/*
 * Cubic Bezier curves, to which every curve that is no line or circular arc is brought before it
 * is fitted.
 */
#ifndef RABBET_OUTLINE_CURVE_H
#define RABBET_OUTLINE_CURVE_H

#include "arc.h"

struct cubic {
    struct rab_point p[4];
};

/* Place and derivatives by the parameter. */
struct cubic_spot {
    struct rab_point at, d1, d2, d3;
};

struct rab_point cubic_at(const struct cubic *cubic, double t);
struct cubic_spot cubic_spot(const struct cubic *cubic, double t);
/* The part from t0 to t1. */
struct cubic cubic_part(const struct cubic *cubic, double t0, double t1);
/* Largest distance of a control point from the first: a bound for the curve's size. */
double cubic_size(const struct cubic *cubic);
/* Unit tangents at the ends, also where a handle has no length; 0,0 when all points are one. */
struct rab_point cubic_start_tangent(const struct cubic *cubic);
struct rab_point cubic_end_tangent(const struct cubic *cubic);
/* How far the angle of travel turns along the control polygon, positive to the left. */
double cubic_turn(const struct cubic *cubic);

/* Proof that a curve and an arc of at most half a turn lie within the tolerance of each other, both
 * ways. False when it is not so, or too close to tell. */
bool cubic_within(const struct cubic *cubic, const struct arc *arc, double tolerance);

/* Joints that turn by less than half a degree count as smooth: nobody sees them, and editors that
 * round their coordinates make them. */
#define SMOOTH_SINE 0.00873

static inline bool tangents_agree(struct rab_point p, struct rab_point q, double sine)
{
    return point_dot(p, q) > 0 && fabs(point_cross(p, q)) <= sine;
}

#endif
