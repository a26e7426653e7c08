/*
 * Repeats of a motif along one run: a way without corners, or a strip's side.
 */
#ifndef RABBET_EDGE_STRETCH_H
#define RABBET_EDGE_STRETCH_H

#include "chain.h"
#include "rabbet/edge.h"
#include "way.h"

/* More repeats than this are refused. */
enum { MOST_REPEATS = 100000 };

/* A motif as it was asked for. */
struct pattern {
    const struct rab_library *library;
    const struct rab_shape *motif;
    double *values; /* room for all of them; pitch and depth change from draw to draw */
    double tolerance;
    double pitch, depth;
};
/* Err: INPUT when pitch or depth is no length, or the shape is no motif; MEMORY. */
bool pattern_make(const struct rab_library *library, const struct rab_shape *motif,
                  const double *values, double tolerance, struct pattern *out,
                  struct rab_error *err);
void pattern_clear(struct pattern *pattern);
/* The one place where a repeat is drawn. Err: as rab_motif_draw; GEOMETRY when the repeat does not
 * reach from 0 to its pitch. */
bool pattern_draw(const struct pattern *pattern, double pitch, double depth, size_t repeat,
                  size_t repeats, struct rab_repeat *out, struct rab_error *err);

struct stretch {
    struct way way;
    struct rab_run fitted;
    double first;    /* where on the way the first repeat drawn begins; below 0: before it */
    size_t drawn;    /* repeats drawn, those that reach beyond the ends included */
    bool *left_out;  /* of each repeat drawn; NULL: none is */
    uint32_t number; /* for marks, from 0 */
};
void stretch_clear(struct stretch *run);

/* Fit whole repeats to the length, or as many as fit when the pitch is kept. Err: INPUT when that
 * are too many. */
bool stretch_fit(double length, double pitch, bool keep_pitch, struct rab_run *out,
                 struct rab_error *err);

/* What a run comes out as. */
struct edging {
    struct chain chain;
    struct ornaments holes, paths;
    double start_height, end_height; /* of the profile there */
};
void edging_clear(struct edging *edging);

/* What kept a run from being laid, for a caller who will have fewer repeats. */
struct misfit {
    bool any;
    size_t repeat; /* the one that cannot be on its place; SIZE_MAX: the motif refuses the pitch */
};

/*
 * Lay the repeats along the run: on straight stretches as they are, on arcs each on its own chord
 * with its depth set so that its peak lies at just the depth from the way. Where the motif refuses
 * to be that deep on so short a chord it is as deep as it will be.
 *
 * misfit   NULL: a misfit is an error. Else it is told, and *out is not written.
 * shallow  grows to how much lower a peak came out
 * err      as pattern_draw; GEOMETRY with the place when the way turns too tightly
 */
bool stretch_lay(const struct stretch *run, const struct pattern *pattern, struct edging *out,
                 struct misfit *misfit, double *shallow, struct rab_error *err);

#endif
