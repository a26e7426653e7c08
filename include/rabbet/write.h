/*
 * Writing: sheets as SVG and DXF for machines, pictures as PNG for people, reports as JSON.
 *
 * Writers decide nothing: what is on a sheet is written, in the order in which it stands there.
 * They write into a text (base.h), which the caller puts into a file (rab_outputs). The same
 * input gives the same bytes. A writer replaces what `out` held; when it fails, `out` is as it was.
 */
#ifndef RABBET_WRITE_H
#define RABBET_WRITE_H

#include "region.h"

/* ---- sheets ---------------------------------------------------------------------------- */

/* A page with paths, origin at its lower left corner. Start from {0} and give it its size. */
struct rab_sheet {
    double width, height;
    const char *title; /* UTF-8, borrowed; NULL for none. Any text is safe. */
    struct rab_path *paths;
    size_t count, capacity;
};
/* Add a copy of an outline. Outlines without any length are left out. */
RAB_API bool rab_sheet_add(struct rab_sheet *sheet, enum rab_operation operation, int piece,
                           const struct rab_outline *outline, struct rab_error *err);
/* Add copies of all outlines of a region, each before the one that it lies in: what is cut out of
 * a piece is cut while the piece is still held by its sheet. */
RAB_API bool rab_sheet_add_region(struct rab_sheet *sheet, enum rab_operation operation, int piece,
                                  const struct rab_region *region, struct rab_error *err);
/* Empties the paths; size and title stay. */
RAB_API void rab_sheet_clear(struct rab_sheet *sheet);

/* ---- files for machines ---------------------------------------------------------------- */

enum rab_curves {
    RAB_CURVES_ARCS,    /* true circular arcs */
    RAB_CURVES_BEZIERS, /* SVG: cubic Bezier curves; a DXF keeps its arcs, it has no such curve */
    RAB_CURVES_LINES,   /* short lines whose ends lie on the arc */
};
enum rab_svg_unit {
    RAB_SVG_MM, /* the page in mm, one user unit = 1 mm */
    RAB_SVG_96, /* plain numbers, so many to the inch: for importers that ignore physical sizes */
    RAB_SVG_90,
    RAB_SVG_72,
};
enum rab_dxf_version {
    RAB_DXF_R2000, /* AC1015 */
    RAB_DXF_R12,   /* AC1009 */
};

/* What came into a file. */
struct rab_written {
    size_t entities, vertices, layers;
};

/* {0} is the usual case; the options may be NULL for it. */
struct rab_write_options {
    enum rab_curves curves;
    double tolerance; /* how far Bezier curves and lines may be from the arc: 0.0001 to 10 mm; 0
                         stands for 0.01 */
    enum rab_svg_unit svg_unit;
    enum rab_dxf_version dxf;
    bool single_entities; /* a DXF of LINE, ARC and CIRCLE, for readers that know no polylines */
    struct rab_written *written; /* filled in when it is not NULL */
    const uint32_t *colours; /* of each operation in an SVG, 0xRRGGBB; NULL: see rab_line_colour.
                                A DXF of these versions knows only fixed ones: the nearest. */
};

/*
 * One <g> for each operation on the sheet, its name as id, those that loosen nothing first and
 * cuts last; in it the paths in the order of the sheet. A full circle becomes <circle>, other arcs
 * are A commands of at most a quarter turn each, closed paths end with Z. y points down on the
 * page, as SVG has it. Coordinates to 1e-6 mm.
 *
 * Err: INPUT when the page has no size, the tolerance is out of range, or a number is not finite or
 * beyond 1e6 mm; MEMORY.
 */
RAB_API bool rab_write_svg(const struct rab_sheet *sheet, const struct rab_write_options *options,
                           struct rab_text *out, struct rab_error *err);

/*
 * Millimetres ($INSUNITS 4), the sheet's origin at 0,0, one layer for each operation, in the order
 * of rab_write_svg. LWPOLYLINE (R12: POLYLINE) with bulges of at most 1, CIRCLE. Err: as
 * rab_write_svg.
 */
RAB_API bool rab_write_dxf(const struct rab_sheet *sheet, const struct rab_write_options *options,
                           struct rab_text *out, struct rab_error *err);

/*
 * PDF 1.7 at true size, one layer (optional content group) for each operation, in the order of
 * rab_write_svg, with the processing steps of ISO 19593-1 as its metadata: group Structural, type
 * Cutting, PartialCutting, Creasing, Perforating or Gluing; Drawing has no step there and no
 * metadata. Arcs are Bezier curves within the tolerance: PDF has no arcs. Err: as rab_write_svg.
 */
RAB_API bool rab_write_pdf(const struct rab_sheet *sheet, const struct rab_write_options *options,
                           struct rab_text *out, struct rab_error *err);

/*
 * HP-GL: IN, SP (a pen for each operation, in the order of enum rab_operation from 1), PU, PD, PA,
 * AA with a chord angle that keeps the tolerance. 40 units to the millimetre, so that a point is up
 * to 0.018 mm off; the origin is the sheet's lower left corner. Err: as rab_write_svg, and INPUT
 * when the sheet is longer than 819 mm, which whole units up to 32767 cannot tell.
 *
 * Source: PCL 5 Printer Language Technical Reference Manual, part II, chapters 17 to 20.
 */
RAB_API bool rab_write_hpgl(const struct rab_sheet *sheet, const struct rab_write_options *options,
                            struct rab_text *out, struct rab_error *err);

/* ---- pictures -------------------------------------------------------------------------- */

/* Lines as people see them: those of the operations, and some that no machine follows. They
 * differ in colour and in pattern. */
enum rab_line {
    RAB_LINE_CUT = RAB_CUT, /* wide black */
    RAB_LINE_PART_CUT = RAB_PART_CUT,
    RAB_LINE_CREASE = RAB_CREASE,
    RAB_LINE_PERFORATE = RAB_PERFORATE,
    RAB_LINE_DRAW = RAB_DRAW,
    RAB_LINE_GLUE = RAB_GLUE,
    RAB_LINE_HIDDEN, /* fine grey dashes: an edge that lies behind other paper */
    RAB_LINE_CENTRE,
    RAB_LINE_THIN, /* narrow grey: the edge of a sheet, of a photo */
    RAB_LINES,
};
/* 0xRRGGBB, from the palette of Okabe and Ito (Color Universal Design, 2008). */
RAB_API uint32_t rab_line_colour(enum rab_line line);
/* Quiet paper colours that can be told apart: 0 is the frame's, then a round of others. */
RAB_API uint32_t rab_paper_colour(size_t number);

/*
 * What a picture shows, in mm, x right, y up, as seen from the front; the page around it (title,
 * legend, scale bar) is laid out when it is written. Papers and lines lie on each other in the
 * order in which they are added, lowest first; numbers and marks lie on top of all. What is added
 * is copied. Start from {0}, clear with rab_picture_clear.
 *
 * `meaning` is the legend's text for a thing, NULL for none. The same text stands there once.
 */
struct rab_picture {
    const char *title;   /* one line above; borrowed, NULL for none */
    const char *note;    /* one line beneath; borrowed, NULL for none */
    struct rab_box view; /* what must be in view besides all that is drawn; {0} for nothing */
    struct rab_picture_item *items;
    size_t count, capacity;
};
/* Paper of one colour, with a fine edge and a soft shadow on what lies below. */
RAB_API bool rab_picture_paper(struct rab_picture *picture, const struct rab_region *region,
                               uint32_t colour, const char *meaning, struct rab_error *err);
RAB_API bool rab_picture_line(struct rab_picture *picture, const struct rab_outline *outline,
                              enum rab_line line, const char *meaning, struct rab_error *err);
/* A number (or a few words) inside a region, where it has most room; it is made smaller to fit,
 * and left out (the page then says so) where it could not be read. */
RAB_API bool rab_picture_number(struct rab_picture *picture, const struct rab_region *inside,
                                const char *words, struct rab_error *err);
/* The same inside a single outline. */
RAB_API bool rab_picture_number_in(struct rab_picture *picture, const struct rab_outline *inside,
                                   const char *words, struct rab_error *err);
/* Trouble at a point: a ring in a colour of its own and, where there is room, words beside it
 * ("0.8 mm"). words may be NULL. */
RAB_API bool rab_picture_mark(struct rab_picture *picture, struct rab_point at, const char *words,
                              const char *meaning, struct rab_error *err);
RAB_API void rab_picture_clear(struct rab_picture *picture);

/*
 * The picture as a PNG at true size: pHYs states its scale exactly.
 *
 * dpi  dots per inch, 20 to 1200; 0 for what suits the size (at most about 2400 dots long).
 *
 * Err: INPUT when dpi is out of range, the picture would be longer than 16,000 dots or hold more
 * than 100 million, a number is not finite or beyond 1e6 mm; GEOMETRY when there is nothing to
 * draw; MEMORY. (Pango, which sets the words, ends the program when memory is out.)
 */
RAB_API bool rab_picture_png(const struct rab_picture *picture, double dpi, struct rab_text *out,
                             struct rab_error *err);

/* ---- words in a block ------------------------------------------------------------------- */

/*
 * Journaling: words set in lines on a rectangle of paper. UTF-8, no markup; line ends divide
 * paragraphs. Start from {0}; text and font are borrowed.
 *
 * A margin of 3/16 in (an eighth of the shorter side where that is less) stays free all round;
 * strips have it at their ends. Strips take the lines as given, where there are several, else the
 * words are broken into lines as anywhere. Size is the em in mm (1 pt is 25.4/72 mm).
 */
enum { RAB_WORDS_LONGEST = 10000 }; /* bytes */
#define RAB_WORDS_WIDEST 2000.0     /* mm, of a block */
struct rab_words {
    const char *text;     /* NULL or "" only where it is ruled: lines to write on */
    const char *font;     /* family; NULL: a serif */
    double width, height; /* of the block */
    double size;          /* 0: as large as fits, in quarters of a point from 4 points */
    int align;            /* -1 from the side where reading begins, 0 centred, 1 the other */
    double strips;        /* the block is cut into strips so high, a line each; 0: no */
    double ruled;         /* lines so far apart from the top, the words stand on them; 0: none */
    uint32_t ink;         /* 0xRRGGBB */
};
/* One line as set, in mm from the block's lower left corner, y up. */
struct rab_words_line {
    double x0, x1, y;     /* ends of the words, and the base line that they stand on */
    struct rab_box strip; /* to be cut, when there are strips */
};
struct rab_words_set {
    double size;                  /* of the letters */
    struct rab_words_line *lines; /* strips: spread evenly over the block, first to last */
    size_t count;
    size_t unknown;  /* characters for which no font here has a shape */
    bool other_font; /* the font asked for is not installed; another one stands in */
};
/*
 * Set the words and see how they fit.
 *
 * Err: INPUT when there are no words, a measure is out of range; GEOMETRY with both measures when
 * the words do not fit; MEMORY. The caller clears `out`.
 */
RAB_API bool rab_words_set(const struct rab_words *words, struct rab_words_set *out,
                           struct rab_error *err);
RAB_API void rab_words_set_clear(struct rab_words_set *set);
/* What stays free of words along the edges of a block of this size. */
RAB_API double rab_words_inset(double width, double height);
/*
 * The block for a printer, at true size: a page 10 mm larger all round, the block's edge (that of
 * each strip) as a hairline to cut along, beneath it the title and a check line. The PDF holds its
 * fonts. dpi: 20 to 1200, 0 for 300. Err: as rab_words_set.
 */
RAB_API bool rab_words_pdf(const struct rab_words *words, const char *title, struct rab_text *out,
                           struct rab_error *err);
RAB_API bool rab_words_png(const struct rab_words *words, const char *title, double dpi,
                           struct rab_text *out, struct rab_error *err);

/* Dark or light ink, whichever is read better on a paper (WCAG 2.1, contrast ratio). */
RAB_API uint32_t rab_paper_ink(uint32_t paper);

/* ---- pages as they will look ------------------------------------------------------------ */

/*
 * An album page with everything on it, in mm from its lower left corner, the lowest first; no words
 * around it. What reaches beyond the page is cut off. What is added is copied. Start from {0} with
 * size, colour and dpi, clear with rab_view_clear.
 *
 * `height` of a thing: layers of foam beneath it, 0 to 20. Its shadow grows with it.
 */
#define RAB_VIEW_WIDEST 2000.0 /* mm */
struct rab_view {
    double width, height;
    double dpi;      /* 20 to 1200, 0 for 150. Set it first: photos are reduced to it. */
    uint32_t colour; /* of the page, 0xRRGGBB */
    struct rab_view_item *items;
    size_t count, capacity;
};
RAB_API bool rab_view_paper(struct rab_view *view, const struct rab_region *region, uint32_t colour,
                            double height, struct rab_error *err);
/* A crease, a pen's line and the like on the paper added last. */
RAB_API bool rab_view_line(struct rab_view *view, const struct rab_outline *outline,
                           enum rab_operation operation, struct rab_error *err);
/* A photo that nobody has given: an area with its name in it, or a diagonal (NULL). */
RAB_API bool rab_view_photo(struct rab_view *view, const struct rab_region *region, uint32_t colour,
                            const char *name, double height, struct rab_error *err);
/*
 * A photo: `print` is the whole print, which the picture covers (what is too long is cut off evenly
 * on both sides), `region` what is left of it after trimming.
 *
 * bytes  a PNG or JPEG file, which is shown the way up that it says (Exif orientation). Colour
 *        profiles are not followed; what is transparent is white. At most 200 million dots; a PNG
 *        that is interlaced 16 million. Memory: a few rows and what is shown (progressive JPEG: up
 *        to 256 MB).
 * Err    INPUT when it is none, damaged, too large, or in the inks of a press (CMYK); MEMORY.
 */
RAB_API bool rab_view_image(struct rab_view *view, const struct rab_region *region,
                            struct rab_box print, const void *bytes, size_t length, double height,
                            struct rab_error *err);
/* Size in dots of a PNG or JPEG file, the way up that it is shown. Only its head is read. */
RAB_API bool rab_image_size(const void *bytes, size_t length, int *width, int *height,
                            struct rab_error *err);
/* A block of words whose lower left corner is at `place`; the paper is added before. */
RAB_API bool rab_view_words(struct rab_view *view, const struct rab_words *words,
                            struct rab_point place, struct rab_error *err);
RAB_API void rab_view_clear(struct rab_view *view);

/*
 * One page, or two as they open in the album with the fold between them, as a PNG at true size
 * without any rim. Two pages need the same dpi.
 *
 * Err: INPUT when a number is out of range or not finite, or the picture would hold more than 100
 * million dots; GEOMETRY when words do not fit; MEMORY.
 */
RAB_API bool rab_view_png(const struct rab_view *pages, size_t count, struct rab_text *out,
                          struct rab_error *err);

/* ---- plans of pages with measures ------------------------------------------------------- */

/*
 * The plan of an album page for a maker: outlines of its pieces, a letter in each, how far their
 * left and lower edges are from the page's lower left corner, their sizes in a table. Every
 * measure stands once, in mm and inches. Sheets of 210 x 279.4 mm, which A4 and Letter hold; the
 * page at the largest usual scale that fits, a long table on further sheets.
 *
 * Source: ISO 129-1 (running dimensions from a common origin, oblique strokes, values that are read
 * from the bottom or the right); ISO 5455 (scales).
 *
 * Lowest piece first; what lies higher hides what lies lower. What is added is copied. Start from
 * {0} with size and title, clear with rab_page_plan_clear.
 */
struct rab_page_plan {
    const char *title;    /* borrowed; NULL for none */
    double width, height; /* of the page, up to 2000 mm */
    bool in_first;        /* inches before millimetres */
    struct rab_page_plan_piece *pieces;
    size_t count, capacity;
    struct rab_point *marks;
    size_t mark_count, mark_capacity;
};
/*
 * letter    short; pieces with the same one stand in the table once, with their number
 * what      words for the table
 * measured  state where its left and lower edges are
 */
RAB_API bool rab_page_plan_add(struct rab_page_plan *plan, const struct rab_region *region,
                               const char *letter, const char *what, bool measured,
                               struct rab_error *err);
/* A ring at a place of the page where the paper may tear: a sharp corner, a thin web. */
RAB_API bool rab_page_plan_mark(struct rab_page_plan *plan, struct rab_point at,
                                struct rab_error *err);
RAB_API void rab_page_plan_clear(struct rab_page_plan *plan);
/* A page for each sheet. Err: INPUT when a size is out of range or a piece is beyond 1e6 mm;
 * GEOMETRY, MEMORY. */
RAB_API bool rab_page_plan_pdf(const struct rab_page_plan *plan, struct rab_text *out,
                               struct rab_error *err);
/* The sheets one below the other, at true size. dpi: 20 to 1200, 0 for 200. Err: the same. */
RAB_API bool rab_page_plan_png(const struct rab_page_plan *plan, double dpi, struct rab_text *out,
                               struct rab_error *err);

/* ---- JSON ------------------------------------------------------------------------------ */

/*
 * Writes JSON (RFC 8259) with two blanks of indentation a level. Give it its text, open objects
 * and arrays and end each; nothing else to clear. key is NULL inside arrays and at the top.
 *
 *     struct rab_json json = {.text = &text};
 *     rab_json_object(&json, NULL);
 *     rab_json_number(&json, "area_mm2", area, 3);
 *     rab_json_end(&json);
 */
enum { RAB_JSON_DEPTH = 16 };
struct rab_json {
    struct rab_text *text;
    int depth; /* the rest is the writer's own */
    char ends[RAB_JSON_DEPTH];
    bool filled[RAB_JSON_DEPTH];
};
RAB_API void rab_json_object(struct rab_json *json, const char *key);
RAB_API void rab_json_array(struct rab_json *json, const char *key);
RAB_API void rab_json_end(struct rab_json *json); /* a line end follows the last one */
RAB_API void rab_json_text(struct rab_json *json, const char *key, const char *words);
RAB_API void rab_json_bool(struct rab_json *json, const char *key, bool value);
RAB_API void rab_json_whole(struct rab_json *json, const char *key, long long value);
/* Rounded to so many decimals; with -1 the shortest number that reads back the same. What is not
 * finite becomes null. */
RAB_API void rab_json_number(struct rab_json *json, const char *key, double value, int decimals);
/* An array on one line. */
RAB_API void rab_json_numbers(struct rab_json *json, const char *key, const double *values,
                              size_t count, int decimals);
RAB_API void rab_json_wholes(struct rab_json *json, const char *key, const int *values,
                             size_t count);

#endif
