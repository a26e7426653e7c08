/*
 * From what was laid to what is handed over.
 */
#ifndef RABBET_EDGE_FINISH_H
#define RABBET_EDGE_FINISH_H

#include "chain.h"
#include "rabbet/edge.h"

/* Holes on both sides of a cut keep this far from it. Common practice, no source: a web of a
 * millimetre is the least that a knife leaves whole. */
static const double half_web = 0.5;

/*
 * Holes as outlines that do not overlap; what neighbours both draw on their joint stands there
 * once.
 *
 * thin  leave out those that come too close to others, and add how many to it; NULL: overlapping
 *       ones are an error
 * err   GEOMETRY with the place where two overlap
 */
bool holes_unite(struct ornaments *holes, size_t *thin, struct rab_region *out,
                 struct rab_error *err);

/* Cut paths off where the paper ends, at its openings too. (within.c) */
bool paths_within(struct ornaments *paths, const struct rab_region *paper, struct rab_error *err);

/* Take over paths as what a figure has. */
bool paths_hand_over(struct ornaments *paths, struct rab_figure *figure, struct rab_error *err);

/* The side of a line on which something stays, and which repeats it concerns. */
struct gate {
    struct rab_point at, ray;
    double sign;          /* what lies to the left of the ray stays: 1, or to its right: -1 */
    uint32_t first, last; /* repeats */
};
/* The least distance of an outline from the line, below 0 where it reaches over. */
double gate_least(const struct gate *gate, const struct rab_outline *outline);
/* Leave out the holes that come nearer to the line than `least`; how many went is added. */
bool holes_keep(struct ornaments *holes, const struct gate *gate, double least, size_t *dropped,
                struct rab_error *err);
/* Cut paths off at the line. */
bool paths_clip(struct ornaments *paths, const struct gate *gate, struct rab_error *err);

#endif
