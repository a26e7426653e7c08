/*
 * Slow and plain measures of outlines, written apart from src/outline: winding numbers and
 * distances edge by edge, in closed form. They judge results point by point.
 */
#ifndef TESTS_REGION_BRUTE_H
#define TESTS_REGION_BRUTE_H

#include <rabbet/region.h>

#include "shapes.h"

/* A line or arc from a to b. */
struct edge {
    struct rab_point a, b;
    double bulge;
};
struct edges {
    struct edge *items;
    size_t count, capacity;
};
/* All edges of the outlines (closed by a straight line when open) but those of length zero. */
void brute_edges(const struct rab_outline *outlines, size_t count, struct edges *out);
void brute_clear(struct edges *edges);

/* The point at a share t of the edge, 0 to 1, and the unit vector along it there. */
struct rab_point brute_point(const struct edge *e, double t, struct rab_point *along);
double brute_distance_edge(const struct edge *e, struct rab_point p);
double brute_length_edge(const struct edge *e);
/* Area between the arc and its chord, positive when it lies on the right of the chord (that is,
 * when it adds to a counter-clockwise outline). */
double brute_segment(const struct edge *e);

int brute_winding(const struct edges *edges, struct rab_point p);
double brute_distance(const struct edges *edges, struct rab_point p);
double brute_area(const struct edges *edges); /* signed, with multiplicity */
double brute_length(const struct edges *edges);
bool winding_filled(int winding, enum rab_fill rule);

/* What is wrong with a region, by the definition in region.h, found the slow way: directions,
 * parents, edges of no length. NULL when nothing is. Does not look for crossings. */
const char *region_fault(const struct rab_region *region);
/* How many vertices could be left out: both edges on one line, or on one circle and together no
 * more than half of it (a result holds no arc beyond that). */
size_t region_spare_vertices(const struct rab_region *region);

/* A mitred corner: what an extended corner adds to a rounded one, counter-clockwise. */
struct kite {
    struct rab_point corner[4];
};
struct kites {
    struct kite *items;
    size_t count;
};
/* All corners whose mitre keeps the limit (0: 4), on the side that the distance says. */
void kites_of(const struct rab_region *region, double distance, double limit, struct kites *out);
void kites_clear(struct kites *kites);

/* ---- probes: points on either side of everything that could be an edge ---- */

/* Points nearer than `skip` to an edge are not asked; probes stand `step` beside it. */
struct probe_rule {
    double skip, step;
    size_t at_most; /* probes, chosen by the seed */
    struct seeded numbers;
};
struct probe_fault {
    struct rab_point at;
    bool want;    /* in the material */
    double error; /* mm, at a result's edge that lies in the wrong place; 0 for a side */
    char text[160];
};
/* Each compares with the definition and answers false at the first wrong point. */
bool probe_fill(const struct rab_outline *outlines, size_t count, enum rab_fill rule,
                const struct rab_region *result, struct probe_rule probes,
                struct probe_fault *fault);
bool probe_combine(const struct rab_region *a, const struct rab_region *b, enum rab_combine how,
                   const struct rab_region *result, struct probe_rule probes,
                   struct probe_fault *fault);
bool probe_grow(const struct rab_region *in, double distance, enum rab_join join, double limit,
                const struct rab_region *result, struct probe_rule probes,
                struct probe_fault *fault);

#endif
