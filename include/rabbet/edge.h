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
    double length; /* along the valleys; of mitred sides from tip to tip of the peaks */
    double asked;  /* the pitch */
    double pitch;  /* as it came out, along the same line */
    size_t count;  /* repeats; two halves are one */
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
 * A strip: lower left corner at 0,0, x along its length. Its ends are cut clean: holes that an end
 * would cut are left out, paths end there. Paths that go on from repeat to repeat are one.
 *
 * values  of the motif (rab_shape_values): values[0] is the pitch asked for, values[1] the depth
 * out     one run for each side with an edge, the upper one first
 * err     INPUT when a measure is out of range (at most 100 m and 100,000 repeats), half ends are
 * to go with a kept pitch, or the motif's own message; GEOMETRY when the strip is too narrow for
 * the motif (less than 1 mm of paper between its sides), with the least width, or when repeats run
 * into each other, with the place; MEMORY
 */
RAB_API bool rab_edge_strip(const struct rab_library *library, const struct rab_shape *motif,
                            const double *values, const struct rab_strip_options *options,
                            double tolerance, struct rab_edge *out, struct rab_error *err);

/* ---- around outlines ------------------------------------------------------------------- */

enum rab_corners {
    RAB_CORNERS_VALLEY, /* whole repeats on each side: a valley on each corner */
    RAB_CORNERS_PEAK, /* half a repeat at each end of a side: a peak on each corner, led round it by
                         an arc where the peak is one, else to a square point */
    RAB_CORNERS_MITRED, /* whole repeats from tip to tip of the peaks, cut along the middle line */
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
 * stretch between two gets whole repeats, evenly along its length, clockwise from the upper left
 * corner; one shorter than half a pitch stays plain. An outline without corners gets whole repeats
 * all round, with a valley (PEAK: a peak) at its lowest point under its centroid, or at the
 * leftmost beside it when it is the same above and below but not left and right. Inwards all this
 * is done on the outline shrunk by the depth, its corners kept, on which the valleys lie.
 *
 * On arcs each repeat stands on the chord between its ends (points raised by the profile's height
 * there) and is drawn with that chord as its pitch, so that its arcs are arcs; its depth is set so
 * that its peak lies at just the depth from the outline. A motif that refuses to be so deep is as
 * deep as it will be. On corners that point inwards peaks are cut along the middle line. Holes that
 * come closer than 0.5 mm to a corner's middle line are left out, paths end there.
 *
 * fewer  on a bent stretch the pitch grows by up to a half; then repeats are left out, and holes
 *        closer than 0.5 mm to others
 * notes  "fewer-repeats" and "short-stretch": which; "fewer-holes", "shallow-peaks": how many, by
 * how much err    INPUT as rab_edge_strip, no corner in the motif, or peaks on corners with a kept
 * pitch; GEOMETRY with the place where repeats run into each other or into an opening, where the
 *        outline turns too tightly (a repeat spans more than 120 degrees), or a corner is too sharp
 *        to be mitred; MEMORY
 */
RAB_API bool rab_edge_along(const struct rab_library *library, const struct rab_shape *motif,
                            const double *values, const struct rab_region *paper,
                            const struct rab_along_options *options, double tolerance,
                            struct rab_edge *out, struct rab_warnings *notes,
                            struct rab_error *err);

/* ---- layers ---------------------------------------------------------------------------- */

/*
 * What lies behind an edge and shows all round it by an even reveal, or only along the long sides
 * of a strip (`flush`: it ends in line with the front): the front's outer outlines grown, without
 * openings. Right angles stay square, sharper corners are rounded.
 *
 * err  INPUT when the reveal is not more than 0; GEOMETRY, MEMORY
 */
RAB_API bool rab_edge_behind(const struct rab_region *front, double reveal, bool flush,
                             struct rab_region *out, struct rab_error *err);

#endif
