/*
 * Frames and what lies behind them: openings found and numbered, backings with a seam to glue, and
 * pieces laid out on sheets.
 *
 * Millimetres, x right, y up, everything as seen from the front. Structs start from {0}; on
 * success the caller owns what was made, on failure it is untouched.
 */
#ifndef RABBET_FRAME_H
#define RABBET_FRAME_H

#include "region.h"

/* ---- frames ---------------------------------------------------------------------------- */

struct rab_opening {
    int number;                  /* 1, 2, ... as one reads */
    size_t part;                 /* which of the frame's parts it is cut in */
    struct rab_outline outline;  /* counter-clockwise */
    struct rab_outline *islands; /* paper that hangs loose in it, counter-clockwise */
    size_t island_count;
    double area; /* within the outline, islands included: what a backing must cover */
    struct rab_box box;
    struct rab_point centre; /* centroid of that area */
};

/*
 * Every outline that lies in no other is a part (a frame is mostly one part), and its holes are
 * the openings. Paper inside a hole is an island: it falls out when the opening is cut, holes in
 * it are no openings, and a backing covers the opening as if it were not there.
 */
struct rab_frame {
    struct rab_region paper; /* as it was given */
    struct rab_outline *parts;
    size_t part_count;
    struct rab_opening *openings; /* by number: openings[0] is number 1 */
    size_t count;
    struct rab_box box;
};

/*
 * Find and number the openings.
 *
 * Rows from the top, each from the left. The opening with the highest middle begins a row; to it
 * belong, highest middle first, those that share half of their height, or of the other's when
 * that is less, with the row's first and with its shortest opening. When the openings stand
 * on a grid that is turned a little (at most 10 degrees; told by most neighbours showing the same
 * slope) rows are looked for along that slope.
 *
 * notes  "loose-paper": islands; "several-parts": parts with openings beside the largest part
 * err    GEOMETRY when there is no opening; MEMORY
 */
RAB_API bool rab_frame_from_region(const struct rab_region *paper, struct rab_frame *out,
                                   struct rab_warnings *notes, struct rab_error *err);
RAB_API void rab_frame_clear(struct rab_frame *frame);

/* ---- backings -------------------------------------------------------------------------- */

enum rab_backing_form {
    RAB_FORM_GROWN,  /* the opening's own outline, a seam larger */
    RAB_FORM_SIMPLE, /* the plainest of circle, rectangle, rounded rectangle and hull */
};

/* Numbers of openings. Borrowed. */
struct rab_numbers {
    const int *items;
    size_t count;
};

struct rab_backing_options {
    double seam;  /* how far a backing reaches beyond its opening, where it can; more than 0 */
    double clear; /* how far it stays from every opening that it does not serve; 0 or more */
    double inset; /* and from the frame's outer edge; 0 or more */
    enum rab_backing_form form;
    bool lap;                         /* backings may overlap each other */
    const struct rab_numbers *groups; /* each group is served by one piece; borrowed */
    size_t group_count;
    struct rab_numbers only; /* empty: all */
    struct rab_numbers skip;
    const double *circles; /* diameters of the circles that the maker owns; borrowed */
    size_t circle_count;   /* 0: circles are not asked for */
};
/* Seam 3 mm, clear 0.5 mm, inset 1 mm, grown, all openings. */
RAB_API struct rab_backing_options rab_backing_options_usual(void);

/* What a piece came out as. */
enum rab_backing_shape {
    RAB_SHAPE_GROWN,
    RAB_SHAPE_CIRCLE,
    RAB_SHAPE_RECTANGLE,
    RAB_SHAPE_ROUNDED, /* rectangle with round corners */
    RAB_SHAPE_HULL,    /* the opening's convex hull, grown by the seam */
};
enum rab_limit {
    RAB_LIMIT_SEAM,    /* nothing: the seam is what was asked for (or more) all round */
    RAB_LIMIT_OPENING, /* another opening, which must stay clear */
    RAB_LIMIT_PIECE,   /* another piece: the web is shared */
    RAB_LIMIT_EDGE,    /* the frame's outer edge */
};

/* One piece of paper. Its name is its lowest opening number. */
struct rab_backing {
    int *openings; /* numbers, rising */
    size_t opening_count;
    struct rab_region region; /* one outer outline; it may have holes round openings not served */
    enum rab_backing_shape shape;
    double area, perimeter;
    struct rab_box box;
    double seam;                         /* the least that is reached */
    struct rab_point seam_from, seam_to; /* there: on the opening, on the piece's edge */
    enum rab_limit limit;                /* what limited it there */
    int limit_number;                    /* the opening, or the piece's name */
};
struct rab_backings {
    struct rab_backing *items; /* by name, rising */
    size_t count, capacity;
};

/* Less than this is warned about. Common practice, no source: about a millimetre is the least
 * that holds glue, a few are better. */
#define RAB_NARROW_SEAM 1.0
/* Less than this is nothing: the opening cannot be backed alone. */
#define RAB_LEAST_SEAM 0.05

/*
 * The backing of every opening (or group): all within the seam of it, but inside the frame's edge
 * by the inset and clear of every opening that it does not serve. Unless they may lap, neighbours
 * share the paper between them along the line of equal distance, fitted with arcs; both are cut
 * along the same line, so they lie flat edge to edge. Where openings of a group stand apart they
 * are joined behind the frame by a bridge (a closing) that keeps off everything else. Openings that
 * touch (no 0.001 mm of paper between them) are served by one piece.
 *
 * Form SIMPLE takes the first of circle, rectangle, rounded rectangle, hull that covers the
 * opening with the whole seam, shows nowhere, takes no paper from another piece and is at most
 * three tenths larger than the hull; the openings that have none keep the grown outline.
 * Circles do the same with the smallest listed diameter that leaves the seam, before the form is
 * looked at. What is handed over was measured: seam and clearances are exact distances between
 * outlines, not what the construction promised.
 *
 * notes  "narrow-seam", "not-simple", "no-circle", "narrow-bridge", "touching"
 * err    INPUT when a number is out of range, names no opening, or stands in two groups;
 *        GEOMETRY naming the openings that cannot be backed alone, with what to group them with;
 *        MEMORY
 */
RAB_API bool rab_frame_back(const struct rab_frame *frame,
                            const struct rab_backing_options *options, struct rab_backings *out,
                            struct rab_warnings *notes, struct rab_error *err);
RAB_API void rab_backings_clear(struct rab_backings *backings);

/* "seam", "opening 4", "piece 7", "edge". */
enum { RAB_LIMIT_TEXT = 32 };
RAB_API void rab_backing_limit_text(const struct rab_backing *backing, char text[RAB_LIMIT_TEXT]);

/* ---- pieces on sheets ------------------------------------------------------------------ */

struct rab_placed {
    size_t piece;  /* index */
    size_t sheet;  /* 0, 1, ... */
    double dx, dy; /* from behind the frame to the sheet, its lower left corner at 0,0 */
};
struct rab_placing {
    struct rab_placed *items; /* by sheet, then in rows from the top */
    size_t count, capacity;
    size_t sheets;
};
/*
 * Boxes side by side in rows from the top left, the tallest first, nothing turned. `gap` lies
 * between neighbours, and at the sheet's edges as far as the largest box leaves it.
 *
 * name  what a box is called in a message ("the mat of quay"); the text is used at once
 * err   INPUT when sheet or gap is out of range; GEOMETRY when a box is larger than the sheet, with
 *       its size; MEMORY
 */
RAB_API bool rab_boxes_arrange(const struct rab_box *boxes, size_t count,
                               const char *(*name)(void *context, size_t box), void *context,
                               double width, double height, double gap, struct rab_placing *out,
                               struct rab_error *err);
/* The same for backings where they lie behind the frame. */
RAB_API bool rab_backings_arrange(const struct rab_backings *backings, double width, double height,
                                  double gap, struct rab_placing *out, struct rab_error *err);
RAB_API void rab_placing_clear(struct rab_placing *placing);

/*
 * A piece as it lies on a sheet: moved, and mirrored about the middle of the sheet's width when it
 * is cut face down. (A backing's face looks at the reader: face up it is not mirrored.)
 */
RAB_API bool rab_backing_laid(const struct rab_backing *backing, double dx, double dy,
                              bool face_down, double sheet_width, struct rab_region *out,
                              struct rab_error *err);

#endif
