/*
 * Path data and basic shapes as curves, in the user units in which they are written.
 */
#ifndef RABBET_READ_PATH_H
#define RABBET_READ_PATH_H

#include "read/number.h"

/* Where subpaths go. `closed`: by a closepath (the curves need not lead back to the start). The
 * curves belong to the giver. Subpaths that draw nothing are not handed on. */
struct path_sink {
    bool (*subpath)(void *context, const struct rab_curve *curves, size_t count, bool closed,
                    struct rab_error *err);
    void *context;
    int line;        /* of the element, for errors */
    size_t segments; /* that may still be read; a curve counts as CURVE_COST lines */
    size_t curves;   /* handed on, lines among them, those by which closepath leads back too */
};
enum { CURVE_COST = 5 };

/*
 * Path data, SVG 1.1, 8.3. Unlike a renderer, which draws up to the error, this reads all or
 * fails: part of the subpaths may have been handed on by then.
 * Err: INPUT, MEMORY, and what the sink fails with.
 */
bool path_read(struct slice data, struct path_sink *sink, struct rab_error *err);

/* The points of a polyline or (closed) a polygon, SVG 1.1, 9.7.1. */
bool points_read(struct slice data, bool closed, struct path_sink *sink, struct rab_error *err);

/* SVG 1.1, 9.2 to 9.5. Radii are clamped here; widths and radii are positive. */
bool path_rectangle(double x, double y, double width, double height, double rx, double ry,
                    struct path_sink *sink, struct rab_error *err);
bool path_ellipse(double cx, double cy, double rx, double ry, struct path_sink *sink,
                  struct rab_error *err);
bool path_line(struct rab_point from, struct rab_point to, struct path_sink *sink,
               struct rab_error *err);

#endif
