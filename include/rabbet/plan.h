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
    /* Creases as dashes with gaps in the same way. */
    double crease_dash, crease_gap;
    /* A line begins so far or farther from the box of the one before, for paper that a laser has
     * made hot; where none is left that may come next and does, the farthest one is taken. The
     * parts of one line follow each other all the same. 0: not asked. */
    double cool;
    struct rab_point home; /* where the tool begins */
};

struct rab_plan {
    struct rab_path *paths; /* in the order in which they are followed */
    size_t count, capacity;
    size_t larger; /* from this path on the cuts of pieces that are not small; `count` if none */
    double length; /* of all paths */
    double idle;   /* from the end of each to the start of the next, from home on */
    size_t shared; /* lines, or parts of lines, that would have been followed twice */
    double shared_length;
    size_t tabs;
};

/*
 * Operations come one after the other: draw, glue, crease, cut part of the depth, perforate, cut.
 * Within an operation, what lies inside an outline comes before it, so that it is still held. For
 * the same reason pieces of less than 25 mm in both directions, with what lies in them, are cut
 * before all others. Within these rules the idle travel is short, not least (docs/performance.md
 * says how far from it). Closed outlines begin at a corner where they have one.
 *
 * paths  closed cuts of one piece are its outlines: outer ones counter-clockwise, openings
 *        clockwise, as rab_sheet_add_region makes them
 * notes  "no-tab": outlines without a straight or gently curved place for a tab
 * err    INPUT when an option is out of range; GEOMETRY when an opening or piece vanishes or falls
 *        apart under the kerf, with its place and size; MEMORY
 */
RAB_API bool rab_plan_make(const struct rab_path *paths, size_t count,
                           const struct rab_plan_options *options, struct rab_plan *out,
                           struct rab_warnings *notes, struct rab_error *err);
RAB_API void rab_plan_clear(struct rab_plan *plan);
/*
 * How short the idle travel could be at best: no order of the same paths from the same home is
 * shorter, as long as each is followed from one end to the other, the operations come one after the
 * other, and small pieces are cut before others (Held and Karp; takes up to a second or so). Where
 * closed paths begin is taken as it is; what lies in what, and what is to cool, is not asked.
 * What is more than 20,000 paths in one go counts 0.
 * Err: MEMORY.
 */
RAB_API bool rab_plan_bound(const struct rab_plan *plan, struct rab_point home, double *bound,
                            struct rab_error *err);

/* ---- blades that trail ----------------------------------------------------------------- */

/*
 * Where the middle of a blade's holder must go so that the blade's tip, which trails behind it by
 * `offset`, follows an outline: the outline moved forward along its own direction, and at each
 * corner a swing about the corner. Arcs stay arcs. For plain machines that do not do this
 * themselves.
 *
 * out  {0}; open
 * err  INPUT when the offset is out of range, MEMORY
 */
RAB_API bool rab_plan_blade(const struct rab_outline *tip, double offset, struct rab_outline *out,
                            struct rab_error *err);

/* ---- words that a pen draws ------------------------------------------------------------ */

struct rab_lines {
    struct rab_outline *items;
    size_t count, capacity;
};
RAB_API void rab_lines_clear(struct rab_lines *lines);
/*
 * Words in capital letters of single strokes, lines and arcs, lower left corner at `at`, letters
 * `height` high: A-Z (small ones become capitals), 0-9 and . - / ( ) = : +; everything else is a
 * blank. Err: MEMORY.
 */
RAB_API bool rab_letters_draw(const char *words, struct rab_point at, double height,
                              struct rab_lines *out, struct rab_error *err);
RAB_API double rab_letters_width(const char *words, double height);
/*
 * Words where a region has room for them, up to `most` high; *placed is false, and nothing is made,
 * where they would be lower than `least`. Material lies to the left of the region's outlines.
 * Err: MEMORY.
 */
RAB_API bool rab_label_place(const struct rab_region *within, const char *words, double most,
                             double least, struct rab_lines *out, bool *placed,
                             struct rab_error *err);

/* ---- sheets turned over ---------------------------------------------------------------- */

enum rab_turn {
    RAB_TURN_SIDEWAYS, /* left for right */
    RAB_TURN_OVER,     /* head over heels */
};
/*
 * An outline as it lies when its sheet has been turned over, in register with what was cut from the
 * other side. Closed outlines keep their direction.
 */
RAB_API void rab_outline_turn_over(struct rab_outline *outline, enum rab_turn how, double width,
                                   double height);

/* ---- the machine's bed ------------------------------------------------------------------ */

enum rab_bed_corner {
    RAB_BED_LOWER_LEFT,
    RAB_BED_LOWER_RIGHT,
    RAB_BED_UPPER_LEFT,
    RAB_BED_UPPER_RIGHT,
};
/* {0}: as large as the sheet, all of it within reach. */
struct rab_bed {
    double width, height;            /* 0: the sheet's */
    double left, right, bottom, top; /* margins that cannot be reached */
    enum rab_bed_corner corner;      /* in which sheets lie, and where the machine begins */
};
/* As seen from the lower left corner of a sheet of this size: the bed that it lies on; what can be
 * reached, without end (HUGE_VAL) at sides where nothing but the sheet ends; and the corner where
 * the machine begins. */
RAB_API struct rab_box rab_bed_box(const struct rab_bed *bed, double width, double height);
RAB_API struct rab_box rab_bed_reach(const struct rab_bed *bed, double width, double height);
/* What of the sheet pieces may lie on: led round them, the tool goes half of its kerf further. May
 * be empty, x0 >= x1 or y0 >= y1. */
RAB_API struct rab_box rab_bed_room(const struct rab_bed *bed, double width, double height,
                                    double kerf);
RAB_API struct rab_point rab_bed_home(const struct rab_bed *bed, double width, double height);

/* ---- what would go wrong at the machine ------------------------------------------------ */

enum rab_trouble_kind {
    RAB_TROUBLE_OPEN,     /* a line ends without meeting another: the piece does not come free */
    RAB_TROUBLE_CROSSING, /* a cut crosses another one, or itself */
    RAB_TROUBLE_DOUBLE,   /* a line lies on another one: the paper is cut twice and tears */
    RAB_TROUBLE_CORNER,   /* sharper than a blade turns without tearing */
    RAB_TROUBLE_WEB,      /* paper between two cuts, or at a neck, that is narrower than asked */
    RAB_TROUBLE_SMALL,    /* a closed outline smaller than asked: it is lost or jams */
    RAB_TROUBLE_SEGMENT,  /* a run of lines so short that the machine stops at each */
    RAB_TROUBLES,
};
/* "open-line", "crossing-lines", "double-line", "sharp-corner", "thin-web", "small-part",
 * "short-lines". */
RAB_API const char *rab_trouble_code(enum rab_trouble_kind kind);

struct rab_trouble {
    enum rab_trouble_kind kind;
    size_t path; /* the path, by its place in what was given */
    struct rab_point at;
    double measure; /* the gap to the next end (HUGE_VAL: none); the other path; length; angle;
                       width; size; how many */
};
struct rab_troubles {
    struct rab_trouble *items; /* by kind, then by path */
    size_t count, capacity;
    bool cut_short; /* so many lines lie close together that not all of them were looked at */
};
/* {0} takes what stands behind; common practice for a knife in paper, no source. */
struct rab_look_options {
    double web;     /* 2 mm */
    double corner;  /* 30 degrees */
    double small;   /* 2 mm across */
    double segment; /* 0.1 mm */
};
/*
 * Look at the cuts (other operations are looked at for double lines only). Webs and corners are of
 * the paper that closed lines enclose, nested by turns; one trouble for each place.
 * Err: MEMORY.
 */
RAB_API bool rab_plan_look(const struct rab_path *paths, size_t count,
                           const struct rab_look_options *options, struct rab_troubles *out,
                           struct rab_error *err);
RAB_API void rab_troubles_clear(struct rab_troubles *troubles);

#endif
