/*
 * Decorative edges: a motif repeated along a strip or around an outline, its pitch fitted so that
 * whole repeats fill the length, and strips layered behind each other.
 *
 * Millimetres, x right, y up. Structs start from {0}; on success the caller owns what was made, on
 * failure it is untouched.
 */
#ifndef RABBET_EDGE_H
#define RABBET_EDGE_H

#include "shape.h"

/* ---- fitting --------------------------------------------------------------------------- */

/* One straight or smooth stretch of edge and how the repeats came out on it. */
struct rab_run {
    double length; /* along the outline */
    double asked;  /* the pitch */
    double pitch;  /* as it came out, along the outline */
    size_t count;  /* repeats */
    double plain;  /* left plain at each end */
};

/*
 * How many repeats fill a length with the least change of ratio: with n whole pitches in it, one
 * more when length / pitch > sqrt(n (n + 1)); at least 1. The change is then at most a factor of
 * sqrt((n + 1) / n).
 */
RAB_API size_t rab_edge_count(double length, double pitch);

/* What an edge came out as, and its stretches in the order in which they are met. */
struct rab_edge {
    struct rab_figure figure;
    struct rab_run *runs;
    size_t run_count;
};
RAB_API void rab_edge_clear(struct rab_edge *edge);

/* ---- strips ---------------------------------------------------------------------------- */

enum rab_ends {
    RAB_ENDS_WHOLE,  /* whole repeats, as the motif draws them */
    RAB_ENDS_HALF,   /* half a repeat at each end: cut in the middle of a repeat */
    RAB_ENDS_VALLEY, /* a full valley at each end: n repeats and n + 1 valleys */
};
enum rab_sides {
    RAB_SIDES_ONE,   /* the upper long side; the lower one is straight */
    RAB_SIDES_BOTH,  /* the same on both, mirrored */
    RAB_SIDES_APART, /* on both, the lower half a repeat further */
};
struct rab_strip_options {
    double length, width; /* of the strip overall, peaks included */
    enum rab_ends ends;
    enum rab_sides sides;
    bool keep_pitch; /* as many repeats as fit, not stretched, with equal plain ends */
};
/*
 * A strip: lower left corner at 0,0, x along its length.
 *
 * values  of the motif (rab_shape_values): values[0] is the pitch asked for, values[1] the depth
 * err     INPUT when a measure is out of range, or the motif's own message; GEOMETRY when the strip
 *         is too narrow for the motif (with the least width), or the result fails its check; MEMORY
 */
RAB_API bool rab_edge_strip(const struct rab_library *library, const struct rab_shape *motif,
                            const double *values, const struct rab_strip_options *options,
                            double tolerance, struct rab_edge *out, struct rab_error *err);

/* ---- around outlines ------------------------------------------------------------------- */

enum rab_corners {
    RAB_CORNERS_VALLEY, /* whole repeats on each side: a valley on each corner */
    RAB_CORNERS_PEAK,   /* half a repeat at each end of a side: a peak on each corner */
    RAB_CORNERS_MITRED, /* the repeats of both sides run on and are cut along the middle line */
    RAB_CORNERS_MOTIF,  /* as VALLEY, and the motif's own corner is added */
};
struct rab_along_options {
    bool inward; /* the peaks lie on the outline and the valleys inside it; else the valleys lie on
                    the outline and the peaks outside */
    enum rab_corners corners;
    bool keep_pitch; /* not stretched; equal plain ends on each side */
    bool fewer; /* where repeats would run into each other: fewer of them, instead of an error */
};
/*
 * The outer outlines of a paper with the motif around them; its openings stay as they are.
 *
 * An outline is divided at its corners, where its direction changes by more than 15 degrees. Each
 * stretch between two gets whole repeats, evenly along its length; an outline without corners gets
 * whole repeats all round. On arcs each repeat stands on the chord between its ends and is drawn
 * with that chord as its pitch, so that its arcs are arcs; its depth is set so that its peak, in
 * the middle, lies at just the depth from the outline.
 *
 * notes  "fewer-repeats": on which stretches
 * err    INPUT as rab_edge_strip, or no corner in the motif; GEOMETRY with the place where repeats
 * run into each other or into an opening; MEMORY
 */
RAB_API bool rab_edge_along(const struct rab_library *library, const struct rab_shape *motif,
                            const double *values, const struct rab_region *paper,
                            const struct rab_along_options *options, double tolerance,
                            struct rab_edge *out, struct rab_warnings *notes,
                            struct rab_error *err);

/* ---- layers ---------------------------------------------------------------------------- */

/*
 * What lies behind a strip and shows all round it, or only along its long sides, by an even reveal:
 * the front's outer outline grown, without openings. A strip is as long as the front when `flush`.
 *
 * err  INPUT when the reveal is not more than 0; GEOMETRY, MEMORY
 */
RAB_API bool rab_edge_behind(const struct rab_region *front, double reveal, bool flush,
                             struct rab_region *out, struct rab_error *err);

#endif
