/*
 * Reading drawings: from the bytes of a file to outlines, and from outlines to a region of paper.
 *
 * SVG 1.1 (second edition) with what drawing programs add to it. A drawing is read whole or not
 * at all: a renderer may show what it understood of broken path data, but a cutter must not cut
 * half an outline. docs/svg.md says what is read, what is left out with a warning and what is
 * refused.
 */
#ifndef RABBET_READ_H
#define RABBET_READ_H

#include "outline.h"
#include "region.h"

/* One displayed element with its subpaths, as outlines of lines and arcs. An outline is `open`
 * unless it was closed in the drawing or ends where it began. */
struct rab_drawn {
    struct rab_outline *outlines;
    size_t count;
    const char *element; /* "path", "rect"...; never freed */
    char *id;            /* as in the file; NULL when there is none */
    int line;            /* of its start tag */
    bool filled;         /* its fill is not none */
    bool stroked;        /* its stroke is not none */
    enum rab_fill rule;  /* NONZERO or EVENODD */
    /* By the id of the group that it is in, or its layer's name, when that is an operation's name
     * (rab_operation_name, in capitals for a DXF), as our own files have them; else RAB_CUT. */
    enum rab_operation operation;
};

/* Millimetres, x right, y up, 0,0 in the lower left corner of the page. Start from {0}; clear
 * with rab_drawing_clear. */
struct rab_drawing {
    struct rab_drawn *items; /* in the order in which they are painted */
    size_t count, capacity;
    size_t curves;        /* lines, arcs and curves that the file draws them with */
    double width, height; /* of the page */
    bool size_known;      /* the file (or the caller) states it in physical units */
    char *title;          /* NULL when there is none */
};

/* {0} is the usual case. */
struct rab_read_options {
    double tolerance;   /* for curves fitted with arcs; 0 means 0.01 mm */
    double width;       /* true width of what is drawn, edge to edge without stroke widths: all is
                           scaled evenly to it; 0 = as the file says */
    size_t elements;    /* most elements, those shown by `use` counted each time; 0: 1,000,000 */
    size_t segments;    /* most lines, a curve counting as 5; 0: 1,000,000 */
    enum rab_unit unit; /* of a DXF that does not state its own; NONE: mm, with a warning */
};

/* Files longer than this are refused. */
#define RAB_READ_LIMIT ((size_t)64 << 20)

/*
 * Read an SVG drawing, plain or compressed with gzip.
 *
 * out    {0}; on success the caller owns it, on failure it is untouched
 * notes  gets what was left out or assumed (may be NULL)
 * err    INPUT with the line of the element (err->line) when the drawing cannot be read whole,
 *        MEMORY
 *
 * A drawing that shows no outline at all is an error. Nothing outside `bytes` is read: no network,
 * no other file.
 */
RAB_API bool rab_svg_read(const char *bytes, size_t length, const struct rab_read_options *options,
                          struct rab_drawing *out, struct rab_warnings *notes,
                          struct rab_error *err);
/*
 * Read a DXF, text, of any version: LINE, CIRCLE, ARC, ELLIPSE, LWPOLYLINE, POLYLINE, SPLINE, and
 * INSERT with the blocks that it names. Each entity is one line without fill. Units by $INSUNITS.
 * The page is the drawing's limits ($LIMMIN, $LIMMAX) when they are not the usual ones that
 * programs write unasked and all that is drawn lies within them, else the box of what is drawn.
 * Layers that are off or frozen are left out. Otherwise as rab_svg_read.
 */
RAB_API bool rab_dxf_read(const char *bytes, size_t length, const struct rab_read_options *options,
                          struct rab_drawing *out, struct rab_warnings *notes,
                          struct rab_error *err);
/* Either of them, told apart by what is in it. */
RAB_API bool rab_drawing_read(const char *bytes, size_t length,
                              const struct rab_read_options *options, struct rab_drawing *out,
                              struct rab_warnings *notes, struct rab_error *err);
RAB_API void rab_drawing_clear(struct rab_drawing *drawing);

enum rab_reading {
    RAB_READ_AUTO,   /* FILLED when any displayed element fills an area, else LINES */
    RAB_READ_FILLED, /* paper is what is filled, each element by its own fill rule, all united */
    RAB_READ_LINES,  /* paper lies between closed lines nested odd and even */
};

/* Ends of open lines up to this far apart are joined, unless the caller says otherwise. */
#define RAB_JOIN_GAP 0.05

struct rab_reading_report {
    enum rab_reading reading; /* FILLED or LINES: which one was taken */
    size_t outlines;          /* that went into the region */
    size_t vertices;          /* of these */
    size_t joined;            /* pairs of ends of open lines that were joined */
    size_t repeated;          /* outlines left out because they are drawn a second time */
    int line;                 /* in the file, of the first element that went into it */
};

/*
 * What of the paper is left standing when the drawing is cut. Items of other operations do not
 * count.
 *
 * join_gap  for LINES: how far apart ends of open lines may be and still be joined (a straight
 *           line bridges the gap); negative means RAB_JOIN_GAP
 * out       {0}; on success the caller owns it; never empty
 * report    may be NULL; written on success
 * err       GEOMETRY when no area is enclosed, or when a line stays open (with its line in the
 * file, the place in mm from the lower left corner of the page, and the width of the gap), MEMORY
 */
RAB_API bool rab_drawing_region(const struct rab_drawing *drawing, enum rab_reading reading,
                                double join_gap, struct rab_region *out,
                                struct rab_reading_report *report, struct rab_warnings *notes,
                                struct rab_error *err);

#endif
