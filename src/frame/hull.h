/*
 * What surrounds the outlines of a site: the smallest circle and the convex hull.
 */
#ifndef RABBET_FRAME_HULL_H
#define RABBET_FRAME_HULL_H

#include "frame/field.h"

/* The smallest circle around a site's openings, at most a trifle (1e-9 mm) larger. */
void hull_circle(const struct field *field, size_t site, struct rab_point *centre, double *radius);

/* The convex hull of a site's openings: their outward arcs and the tangents between them. */
bool hull_outline(const struct field *field, size_t site, struct rab_outline *out,
                  struct rab_error *err);

#endif
