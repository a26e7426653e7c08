/*
 * Outlines: closed or open lines made of straight lines and circular arcs.
 *
 * Millimetres, x right, y up. An outline is a list of vertices, each with the way to the next one;
 * the last leads back to the first unless the outline is open. Counter-clockwise encloses a
 * positive area.
 */
#ifndef RABBET_OUTLINE_H
#define RABBET_OUTLINE_H

#include "base.h"

struct rab_point {
    double x, y;
};

/* One corner and the way to the next.
 * bulge = tan(included angle / 4), positive counter-clockwise, 0 for a line: the definition of the
 * DXF reference (group code 42). A half circle is +-1; anything finite is allowed. */
struct rab_vertex {
    double x, y, bulge;
};

/* Start from {0}; clear with rab_outline_clear. The last bulge of an open outline is not used.
 * A full circle is two vertices with bulge 1 each (or -1: clockwise). */
struct rab_outline {
    struct rab_vertex *vertices;
    size_t count, capacity;
    bool open;
};

/* Empty when x0 > x1. */
struct rab_box {
    double x0, y0, x1, y1;
};

#define RAB_BOX_EMPTY ((struct rab_box){1e300, 1e300, -1e300, -1e300})

/* ---- making ---- */
RAB_API bool rab_outline_add(struct rab_outline *outline, double x, double y, double bulge,
                             struct rab_error *err);
RAB_API bool rab_outline_copy(const struct rab_outline *in, struct rab_outline *out,
                              struct rab_error *err);
RAB_API void rab_outline_clear(struct rab_outline *outline);
/* Circle, counter-clockwise, two vertices: the leftmost and the rightmost point. r > 0. */
RAB_API bool rab_outline_circle(struct rab_point centre, double radius, struct rab_outline *out,
                                struct rab_error *err);
/* Rectangle, counter-clockwise from the lower left, corners rounded by radius (0 for square ones;
 * at most half of the shorter side). */
RAB_API bool rab_outline_rectangle(struct rab_box box, double radius, struct rab_outline *out,
                                   struct rab_error *err);

/* ---- measuring: exact up to rounding, by Green's theorem; open outlines count as closed by a
 * straight line for area, centroid and inside ---- */
RAB_API double rab_outline_area(const struct rab_outline *outline); /* signed */
RAB_API double rab_outline_perimeter(const struct rab_outline *outline);
RAB_API struct rab_point rab_outline_centroid(const struct rab_outline *outline);
RAB_API struct rab_box rab_outline_box(const struct rab_outline *outline); /* exact on arcs */
/* Winding number of the outline about a point that is not on it. */
RAB_API int rab_outline_winding(const struct rab_outline *outline, struct rab_point point);
/* Least distance from a point; *nearest (may be NULL) is where. An empty outline is 1e300 away. */
RAB_API double rab_outline_distance(const struct rab_outline *outline, struct rab_point point,
                                    struct rab_point *nearest);
/* Least distance between two outlines, 0 where they meet; where is in on_a, on_b (may be NULL).
 * Exact between lines and arcs (closed forms, no sampling), near-linear through a box tree.
 * Err: MEMORY. */
RAB_API bool rab_outline_gap(const struct rab_outline *a, const struct rab_outline *b,
                             double *distance, struct rab_point *on_a, struct rab_point *on_b,
                             struct rab_error *err);

/* ---- moving; bulges follow ---- */
RAB_API void rab_outline_move(struct rab_outline *outline, double dx, double dy);
RAB_API void rab_outline_turn(struct rab_outline *outline, double angle, struct rab_point about);
RAB_API void rab_outline_scale(struct rab_outline *outline, double factor, struct rab_point about);
/* Left for right about the vertical line x. The direction is kept (a counter-clockwise outline
 * stays so): the order of the vertices is reversed. */
RAB_API void rab_outline_mirror(struct rab_outline *outline, double x);
RAB_API void rab_outline_reverse(struct rab_outline *outline);

/* ---- boxes ---- */
RAB_API struct rab_box rab_box_join(struct rab_box a, struct rab_box b);
/* Box of the line or arc from vertex a to the point b. */
RAB_API struct rab_box rab_box_arc(struct rab_vertex a, struct rab_point b);

/* ---- operations ---- */

/* What is done along an outline. Names follow ISO 19593-1 (processing steps); the standard has
 * none for drawing with a pen, that one is ours. */
enum rab_operation {
    RAB_CUT,
    RAB_PART_CUT,
    RAB_CREASE,
    RAB_PERFORATE,
    RAB_DRAW,
    RAB_GLUE,
    RAB_OPERATIONS, /* how many there are */
};
/* "Cutting", "PartialCutting", "Creasing", "Perforating", "Drawing", "Gluing". */
RAB_API const char *rab_operation_name(enum rab_operation operation);
/* The same in capitals: the layer in a DXF. */
RAB_API const char *rab_operation_layer(enum rab_operation operation);

struct rab_path {
    enum rab_operation operation;
    int piece; /* the piece that it belongs to, from 1; 0 when it belongs to none */
    struct rab_outline outline;
};

/* ---- curves fitted with arcs ---- */

enum rab_curve_kind {
    RAB_CURVE_LINE,    /* p[0] to p[1] */
    RAB_CURVE_CUBIC,   /* Bezier: ends p[0], p[3] */
    RAB_CURVE_ELLIPSE, /* p[0] + p[1] cos t + p[2] sin t for t from `from` to `to` (p[1], p[2] are
                          conjugate half-diameters; to < from runs backwards) */
};
struct rab_curve {
    enum rab_curve_kind kind;
    struct rab_point p[4];
    double from, to;
};
/* Ends of a curve. */
RAB_API struct rab_point rab_curve_start(const struct rab_curve *curve);
RAB_API struct rab_point rab_curve_end(const struct rab_curve *curve);

/*
 * Fit lines and tangent-continuous circular arcs to a chain of curves, each starting where the one
 * before ends (ends that differ are joined by a line).
 *
 * closed     the last curve leads back to the first's start
 * tolerance  no point of the result lies further from the curves than this, nor the other way
 *            round: checked on the result, not assumed
 * out        {0}; on success the caller owns it
 *
 * Corners are kept at their places; where the curves follow each other smoothly (within half a
 * degree) so do the arcs. Curves that were drawn for a circle or a circular arc (four-cubic
 * circles and the like, also rounded to two places) come back as that: a whole circle as two
 * vertices. There the tolerance holds for what was meant: the usual cubic for a quarter of a circle
 * departs from it by 0.027 % of the radius, and that for half a circle by 1.8 %.
 *
 * Err: INPUT when a number is not finite or beyond 1e6 mm, an elliptical arc goes round more than
 * once, or the tolerance is no length; GEOMETRY when the tolerance cannot be met; MEMORY.
 */
RAB_API bool rab_outline_fit(const struct rab_curve *curves, size_t count, bool closed,
                             double tolerance, struct rab_outline *out, struct rab_error *err);

/*
 * Runs of eight or more lines shorter than `longest` are crumbs of a curve that some program broke
 * up: put arcs in their place, fitted to a smooth curve through their ends within the tolerance.
 * Corners (30 degrees or more) and all else stay as they are, and so do runs that arcs would not
 * shorten.
 *
 * in   open or closed
 * out  {0}; on success the caller owns it. Err: MEMORY.
 */
RAB_API bool rab_outline_refit(const struct rab_outline *in, double longest, double tolerance,
                               struct rab_outline *out, struct rab_error *err);

#endif
