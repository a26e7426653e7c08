/*
 * One subpath, moved to its place in millimetres and made an outline.
 */
#ifndef RABBET_READ_SUBPATH_H
#define RABBET_READ_SUBPATH_H

#include "read/number.h"

/* A subpath that ends this close to its start is closed even without a closepath: relative
 * coordinates with three decimals drift by less over a hundred segments. */
#define CLOSED_WITHIN 0.001

/* Coordinates beyond this are refused, as rab_region_fill refuses them. */
#define FARTHEST 1e6

/* Box of the curves under a transform; not a number where they are not. */
struct rab_box subpath_box(const struct rab_curve *curves, size_t count,
                           const struct matrix *matrix);

/*
 * out  {0}; on success the caller owns it. It has no vertices when the subpath is smaller than
 *      RAB_SAME_POINT.
 * err  INPUT when it lies too far away, GEOMETRY when it cannot be fitted (both with the line),
 *      MEMORY
 */
bool subpath_outline(const struct rab_curve *curves, size_t count, bool closed,
                     const struct matrix *matrix, double tolerance, int line,
                     struct rab_outline *out, struct rab_error *err);

#endif
