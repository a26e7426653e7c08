/*
 * What the machine does, in which order: paths of a sheet brought into the order in which they are
 * best followed, with the width of the cut allowed for, lines that two pieces share followed once,
 * tabs, and cuts that go on past their start.
 *
 * Millimetres, x right, y up. Nothing here decides what is made: every piece comes out with the
 * outlines that it was given.
 */
#ifndef RABBET_PLAN_H
#define RABBET_PLAN_H

#include "region.h"

/* {0}: only the order and shared lines. */
struct rab_plan_options {
    /* The width of paper that the tool takes away. Outer outlines are followed half of it outside,
     * openings half of it inside. Edges of neighbours that lie just one kerf apart so become one
     * line, which is followed once, as lines that lie on each other always are. */
    double kerf;
    /* Bridges that hold a piece in its sheet: so many for each outer outline, or one in each
     * `tab_every`; both 0: none. */
    int tabs;
    double tab_every, tab_width;
    /* Closed cuts go on past their start by so much. */
    double overcut;
    /* Perforations as cuts with gaps, both ends cut: lengths near these, fitted whole. 0: left as
     * they are. */
    double perforation_cut, perforation_gap;
    struct rab_point home; /* where the tool begins */
};

struct rab_plan {
    struct rab_path *paths; /* in the order in which they are followed */
    size_t count, capacity;
    double length;     /* of all paths */
    double idle;       /* from the end of each to the start of the next, from home on */
    double idle_bound; /* no order with the same starting points is shorter than this */
    size_t shared;     /* lines, or parts of lines, that would have been followed twice */
    double shared_length;
    size_t tabs;
};

/*
 * Operations come one after the other: draw, glue, crease, cut part of the depth, perforate, cut.
 * Among the cuts, what lies inside an outline is cut before it, so that it is still held; pieces
 * are finished one by one. Within these rules the idle travel is short, not least
 * (docs/plan.md). Closed outlines begin at a corner where they have one.
 *
 * paths  closed cuts of one piece are its outlines: outer ones counter-clockwise, openings
 * clockwise, as rab_sheet_add_region makes them notes  "no-tab": outlines without a straight or
 * gently curved place for a tab err    INPUT when an option is out of range; GEOMETRY when an
 * opening or piece vanishes or falls apart under the kerf, with its place and size; MEMORY
 */
RAB_API bool rab_plan_make(const struct rab_path *paths, size_t count,
                           const struct rab_plan_options *options, struct rab_plan *out,
                           struct rab_warnings *notes, struct rab_error *err);
RAB_API void rab_plan_clear(struct rab_plan *plan);

#endif
