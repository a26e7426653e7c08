/*
 * Splines of a DXF (NURBS) as Bezier curves.
 */
#ifndef RABBET_READ_DXF_SPLINE_H
#define RABBET_READ_DXF_SPLINE_H

#include "rabbet/outline.h"

/* weights is NULL when all are 1. knots: count + degree + 1 of them. */
struct dxf_spline {
    int degree;
    const struct rab_point *points;
    const double *weights, *knots;
    size_t count, knot_count;
};

/* The degrees that are read. */
enum { DXF_DEGREE = 15 };

/*
 * tolerance  how far the curves may be from the spline, in its own units; those of degree 3 and
 *            less without weights are exact
 * curves     grows (rab_reserve); they are the caller's to free
 * most       curves at most
 * err        INPUT with the line: knots and points that make no spline, too many curves; MEMORY
 */
bool dxf_spline_curves(const struct dxf_spline *spline, double tolerance, int line, size_t most,
                       struct rab_curve **curves, size_t *count, size_t *capacity,
                       struct rab_error *err);

#endif
