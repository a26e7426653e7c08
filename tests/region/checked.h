/*
 * The operations of the region room, each judged on the spot: the room's own check, the slow
 * check of brute.h and probes on both sides of every edge. A fault fails the Criterion test.
 */
#ifndef TESTS_REGION_CHECKED_H
#define TESTS_REGION_CHECKED_H

#include "brute.h"

/* Empties the list. */
struct rab_region filled(struct shapes *list, enum rab_fill rule);
struct rab_region grown(const struct rab_region *in, double distance);
struct rab_region mitred(const struct rab_region *in, double distance, double limit);
struct rab_region combined(const struct rab_region *a, const struct rab_region *b,
                           enum rab_combine how);

void expect_measures(const struct rab_region *region, double area, double perimeter);
/* Outlines and vertices in all, none of them spare. */
void expect_count(const struct rab_region *region, size_t outlines, size_t vertices);
/* Vertices that an arc of this angle needs: none is more than half a circle. */
size_t arc_vertices(double angle);
void expect_area(const struct rab_region *region, double area, double within);
void expect_empty(const struct rab_region *region);

#endif
