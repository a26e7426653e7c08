/*
 * GEOS as a judge: the same operation on chords, and how far the chords alone may put the answer.
 */
#ifndef TESTS_REGION_GEOS_TRUTH_H
#define TESTS_REGION_GEOS_TRUTH_H

#include <geos_c.h>

#include "brute.h"

struct truth {
    GEOSContextHandle_t geos;
    char message[160]; /* the last complaint */
};
bool truth_open(struct truth *truth);
void truth_close(struct truth *truth);

/* A geometry and the area by which its chords may differ from the arcs. */
struct chorded {
    GEOSGeometry *shape; /* NULL when GEOS failed */
    double segments, sagitta, length;
    size_t rings;
};
void chorded_clear(struct truth *truth, struct chorded *chorded);

/* What the outlines cover. Simple rings become polygons; anything else is noded, polygonised, and
 * every face kept or dropped by the winding number of a point in it. With a grid other than 0 it
 * is always noded, on that grid: edges that nearly coincide defeat noding in floating numbers. */
struct chorded truth_fill(struct truth *truth, const struct rab_outline *outlines, size_t count,
                          enum rab_fill rule, double sagitta, double grid);
struct chorded truth_region(struct truth *truth, const struct rab_region *region, double sagitta);

/* With a grid other than 0, on that grid. */
GEOSGeometry *truth_combine(struct truth *truth, const GEOSGeometry *a, const GEOSGeometry *b,
                            enum rab_combine how, double grid);
/* Buffer with round joins; the arcs lie inside the true ones by at most `sagitta`. GEOS thins out
 * concave runs first (by up to a hundredth of the distance, says its documentation), so that its
 * answer may be off by more than the chords explain: truth_grow_by_parts is not. */
GEOSGeometry *truth_buffer(struct truth *truth, const GEOSGeometry *a, double distance,
                           double sagitta);
/* The same from the definition: the union of a capsule about every chord of the region's edges,
 * added to `a` or taken away. Pieces thinner than the chords' error are not lost here. */
GEOSGeometry *truth_grow_by_parts(struct truth *truth, const GEOSGeometry *a,
                                  const struct rab_region *in, double distance, double chord_sagitta,
                                  double sagitta);
/* Add (distance > 0) or take away the mitred corners of the region. */
GEOSGeometry *truth_mitre(struct truth *truth, GEOSGeometry *rounded, const struct rab_region *in,
                          double distance, double limit);

/* Area of the symmetric difference, negative when GEOS failed. */
double truth_apart(struct truth *truth, const GEOSGeometry *a, const GEOSGeometry *b, double grid);

#endif
