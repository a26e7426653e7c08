/*
 * The lines of equal distance between sites: where neighbours share a web.
 *
 * From every place q on a site's outline look straight out and blow up a disc that touches q
 * until it touches another site: its middle is on the line. So the line is a lower envelope of
 * radii over the way round the outline, one function for each edge or corner touched, each in
 * closed form; nothing is sampled, and no part of the line can drift. With the curve F of an edge
 * (outline/arc.h), outward normal n and u from the edge's start to q, the disc touching the whole
 * line or circle has the radius F(u) / (s - (k u - m).n), s = +-1 the side on which q is and m
 * the edge's left normal: the squares cancel. (Blowing up from an edge inwards is how medial axes
 * are traced: Ma, Bae, Choi, 3D medial axis point approximation using nearest neighbors and the
 * normal field, The Visual Computer 28, 2012, from memory.)
 */
#ifndef RABBET_FRAME_MIDDLE_H
#define RABBET_FRAME_MIDDLE_H

#include "frame/field.h"

/* A straight look out from an outline. */
struct ray {
    struct rab_point q, n; /* n: unit, outwards */
};

/* A part of the line: discs that touch one edge (or turn about the corner at its end) of the
 * site's own and one edge (or the corner at its start) of another. */
struct span {
    uint32_t own;
    bool about_corner;
    uint32_t other;
    bool at_corner;
    double from, to; /* shares of the own edge's length, or of the turn */
};

struct spans {
    struct span *items;
    size_t count, capacity;
};

/*
 * All spans with radii up to `most` where no other site is nearer, in the order of the way round
 * the outlines (counter-clockwise; the site is to the left).
 *
 * least_depth  parts of the line nowhere below most - least_depth may be left out
 */
bool middle_spans(const struct field *field, size_t site, const struct near *own,
                  const struct near *others, double most, double least_depth, struct spans *out,
                  struct rab_error *err);

/* Where a span is at a share between from and to: the middle of the disc, its radius, and the
 * direction of the line there. */
struct rab_point span_at(const struct field *field, const struct span *span, double share,
                         double *radius, struct rab_point *direction);

#endif
