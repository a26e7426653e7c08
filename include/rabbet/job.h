/*
 * Jobs: two facing album pages as a maker plans them, every piece of paper that they need, and the
 * checks that it all fits. A job is filled by a program or read from a file (docs/job.md).
 *
 * Millimetres, radians, x right, y up, everything as seen from the front. Structs start from {0};
 * on success the caller owns what was made, on failure it is untouched.
 */
#ifndef RABBET_JOB_H
#define RABBET_JOB_H

#include "edge.h"
#include "frame.h"
#include "plan.h"
#include "shape.h"

/* ---- what is asked for ----------------------------------------------------------------- */

enum rab_printed { RAB_PRINTED_NONE, RAB_PRINTED_ONE, RAB_PRINTED_BOTH };
enum rab_turning { RAB_TURNING_ANY, RAB_TURNING_HALF, RAB_TURNING_NONE };
struct rab_stock {
    double width, height;
    int count;
};
struct rab_paper {
    char *name;
    uint32_t colour, back; /* 0xRRGGBB */
    enum rab_printed printed;
    enum rab_turning turning;
    double width, height; /* of a sheet */
    int sheets;           /* in stock; 0: as many as needed */
    double thickness;     /* 0: not known */
    struct rab_stock *offcuts;
    size_t offcut_count;
    int line; /* in the job file, 0 when there is none; so in all that follows */
};

/* A name and a value as typed, of a shape's or a motif's parameter. */
struct rab_choice_made {
    char *name, *value;
};
struct rab_choices_made {
    struct rab_choice_made *items;
    size_t count;
};

struct rab_mat_asked {
    size_t paper; /* index in the job's papers; so in all that follows */
    double reveal;
    char *style; /* NULL: plain */
    struct rab_choices_made set;
    int line;
};

enum rab_item_kind {
    RAB_ITEM_PANEL,
    RAB_ITEM_PHOTO,
    RAB_ITEM_FRAME,
    RAB_ITEM_STRIP,
    RAB_ITEM_TEXT,
    RAB_ITEM_ROW,    /* its content is items */
    RAB_ITEM_COLUMN, /* the same */
    RAB_ITEM_GRID,   /* its content is rows */
};
enum rab_tool { RAB_TOOL_USUAL, RAB_TOOL_TRIMMER, RAB_TOOL_CUTTER, RAB_TOOL_HAND };

/* A measure that may not be given. */
struct rab_given {
    bool given;
    double value;
};

/* What is said of some openings of a frame. */
enum rab_opening_use { RAB_USE_BACK, RAB_USE_LEAVE, RAB_USE_SHOW };
struct rab_frame_use {
    enum rab_opening_use use;
    int *openings; /* as given; none: all that nothing else is said of (BACK) */
    size_t opening_count;
    int every;      /* LEAVE: every so many; 0: those listed */
    size_t *papers; /* BACK: by turns */
    size_t paper_count;
    bool together;          /* BACK: one piece */
    struct rab_item *shown; /* SHOW: a photo or a text */
    int line;
};

struct rab_layer_asked {
    size_t paper;
    double reveal;
    int line;
};

/* One item on a page. Only what belongs to its kind is looked at. */
struct rab_item {
    enum rab_item_kind kind;
    char *name; /* NULL: none */
    struct rab_given x, right, y, top;
    int raised;
    enum rab_tool tool;
    size_t paper;         /* panel, frame, strip, text */
    double width, height; /* of a strip: its length and its width, before it is turned */
    int line;

    double hidden_centre; /* panel; 0: none */

    double crop_left, crop_right, crop_top, crop_bottom; /* photo */
    double proportion;             /* width over height, of a photo whose size is solved; else 0 */
    char *image;                   /* path; NULL: none */
    int pixel_width, pixel_height; /* 0: not known */
    uint32_t colour;               /* shown in place of an image; 0: a neutral grey */
    struct rab_mat_asked *mats;    /* the innermost first */
    size_t mat_count;

    struct rab_item *items; /* row, column, grid */
    size_t item_count;
    double gutter;
    size_t *fills; /* grid: papers by turns */
    size_t fill_count;

    char *file, *shape;          /* frame: one of them */
    struct rab_choices_made set; /* frame, strip */
    double turn;
    struct rab_backing_options backing; /* frame: seam, clear, inset, form; lists unused */
    struct rab_frame_use *uses;
    size_t use_count;

    char *motif; /* strip; pitch and depth are in `set` */
    enum rab_ends ends;
    enum rab_sides sides;
    struct rab_layer_asked *layers; /* behind the strip, the nearest first */
    size_t layer_count;

    char *words;          /* text: UTF-8, lines divided by line ends */
    char *font;           /* NULL: the usual one */
    double size;          /* of the letters, mm; 0: as large as fits */
    int align;            /* -1 left, 0 centred, 1 right */
    double strips, ruled; /* 0: none */
};

struct rab_page {
    bool there;
    size_t paper;
    double width, height, margin;
    struct rab_item *items; /* the lowest first */
    size_t item_count;
    int line;
};

enum { RAB_LEFT, RAB_RIGHT, RAB_PAGES };

/* Files that somebody making the job should write. USUAL: SVG, DXF, pages, plans and texts are. */
enum rab_wish { RAB_WISH_USUAL, RAB_WISH_NO, RAB_WISH_YES };
struct rab_wishes {
    enum rab_wish svg, dxf, pdf, plt; /* of the cuts, for each sheet of each paper */
    enum rab_wish pages, plans;       /* pictures; plans with measures */
    enum rab_wish texts;              /* to be printed */
};

struct rab_job {
    char *title; /* NULL: none */
    int kits;
    double spare; /* share: 0.05 for 5 percent */
    bool inches;  /* people read inches first */
    bool trimmer, cutter;
    double kerf;        /* of the cutter; 0: none */
    struct rab_bed bed; /* of the cutter */
    struct rab_wishes files;
    struct rab_paper *papers;
    size_t paper_count;
    struct rab_page pages[RAB_PAGES];
};
RAB_API void rab_job_clear(struct rab_job *job);

/*
 * Read a job file of at most 1 MB, 10,000 elements and 500 papers. Nothing is loaded from
 * elsewhere, and there are no entities to expand: a DOCTYPE is refused. What can be seen from the
 * file alone is checked; that it fits, rab_job_resolve says.
 *
 * notes  what should be known; every error beyond the first, up to 100, stands here too, with the
 *        code "error", in the order of their lines. May be NULL.
 * err    the first error: INPUT with the line; MEMORY
 */
RAB_API bool rab_job_read(const char *bytes, size_t length, struct rab_job *out,
                          struct rab_warnings *notes, struct rab_error *err);

/* ---- what it comes to ------------------------------------------------------------------ */

enum rab_piece_kind {
    RAB_PIECE_PANEL,
    RAB_PIECE_MAT,
    RAB_PIECE_PHOTO, /* to be trimmed or printed, no paper */
    RAB_PIECE_FRAME,
    RAB_PIECE_BACKING,
    RAB_PIECE_STRIP,
    RAB_PIECE_LAYER, /* behind a strip */
    RAB_PIECE_FILLER,
    RAB_PIECE_TEXT,
};
/* One piece in its place. */
struct rab_piece {
    char letter[8]; /* "A", "B" ... "Z", "AA"...; pieces of one form, paper and tool share it,
                       photos only when they are one picture, papers with words never */
    enum rab_piece_kind kind;
    char *what;               /* "mat of quay", "backing of opening 4" */
    int page;                 /* RAB_LEFT or RAB_RIGHT */
    size_t paper;             /* index; of a photo (size_t)-1 */
    struct rab_region region; /* on the page */
    struct rab_path *paths;   /* creases and the like, on the page */
    size_t path_count;
    int height; /* 0: on the page; layers of paper do not count, foam does */
    enum rab_tool tool;
    const struct rab_item *item; /* borrowed from the job */
    bool rectangle;              /* four straight sides along x and y */
    int line;
};
/* What is recovered: a hidden centre. */
struct rab_recovered {
    size_t paper;
    double width, height;
    int line;
};
struct rab_spread {
    struct rab_piece *pieces; /* by page, the lowest first */
    size_t count, capacity;
    struct rab_recovered *recovered;
    size_t recovered_count, recovered_capacity;
};

/* Where files come from: the caller reads them. On success *out is the caller's; the path is as in
 * the job. */
typedef bool rab_job_file(void *context, const char *path, struct rab_region *out,
                          struct rab_error *err);

/*
 * Work out every piece and check that all fits. As much as possible is told at once.
 *
 * library  of shapes and motifs
 * file     reads the drawings of frames; may be NULL when the job names none
 * notes    warnings; errors beyond the first stand here too, with the code "error"
 * err      the first error, with its line: INPUT, GEOMETRY, or what `file` failed with
 */
RAB_API bool rab_job_resolve(const struct rab_job *job, const struct rab_library *library,
                             rab_job_file *file, void *context, struct rab_spread *out,
                             struct rab_warnings *notes, struct rab_error *err);
RAB_API void rab_spread_clear(struct rab_spread *spread);

enum { RAB_MOST_HIDING = 64 };
/* What of a piece the pieces above it cover: a seam, a border behind a photo. Of those that lie on
 * it the lowest RAB_MOST_HIDING are asked. Err: GEOMETRY, MEMORY. */
RAB_API bool rab_spread_hidden(const struct rab_spread *spread, size_t piece,
                               struct rab_region *out, struct rab_error *err);

/* How many of each piece are needed: kits and what is spare, rounded up to whole ones. */
RAB_API int rab_job_copies(const struct rab_job *job);

/* ---- on sheets ------------------------------------------------------------------------- */

/* A piece on a sheet: turned a quarter counter-clockwise about 0,0, if so, then moved there. */
struct rab_laid {
    const struct rab_piece *piece; /* borrowed from the spread */
    size_t sheet;                  /* 0, 1, ... */
    bool turned;
    double dx, dy;
};
struct rab_laying {
    struct rab_laid *items; /* in the order of the spread's pieces, copies together */
    size_t count, sheets;
};
enum { RAB_MOST_LAID = 20000 };
/*
 * Lay the pieces of a paper that are cut with one tool on its sheets, as often as they are needed,
 * in rows (rab_boxes_arrange). A piece is turned where it fits only so and the paper allows it.
 * What a cutter cuts lies within its reach. A spread that rab_job_resolve made of this job can be
 * laid: it has told what cannot, in the same words.
 *
 * gap  between the pieces, 0 or more
 * err  INPUT when there is no such paper, or more than RAB_MOST_LAID pieces; GEOMETRY with the line
 *      of a piece that does not fit; MEMORY
 */
RAB_API bool rab_spread_lay(const struct rab_job *job, const struct rab_spread *spread,
                            size_t paper, enum rab_tool tool, double gap, struct rab_laying *out,
                            struct rab_error *err);
RAB_API void rab_laying_clear(struct rab_laying *laying);
/* An outline of the piece (of its region, of its paths) as it lies on the sheet; face down it is
 * mirrored about the middle of the sheet's width. */
RAB_API bool rab_laid_outline(const struct rab_laid *laid, const struct rab_outline *outline,
                              bool face_down, double sheet_width, struct rab_outline *out,
                              struct rab_error *err);

/* ---- rows and grids: boxes only -------------------------------------------------------- */

struct rab_cell {
    double width, height; /* of a print; solved where proportion is given */
    double proportion;    /* width over height; 0: the size is given */
    double x, y;          /* lower left corner, from the grid's: solved */
};
struct rab_grid_row {
    struct rab_cell *cells;
    size_t count;
    int line;
};
/* Gaps to be filled, in reading order. */
struct rab_gap {
    double x, y, width, height;
};
struct rab_gaps {
    struct rab_gap *items;
    size_t count, capacity;
};
/* Narrower gaps (with the gutter taken off) stay empty: 1/4 in. */
#define RAB_LEAST_GAP 6.35
/*
 * Place rows of cells, from the top, in a box of this size: gutters equal, nothing overlapping.
 * Rows with proportions get one height so that they fill the width; of a row with prints and
 * proportions the prints keep their size and the others get the row's height, if they fit.
 *
 * gaps   may be NULL
 * notes  "narrow-gap"
 * err    GEOMETRY with the row's line: too wide or too high, by how much, in both units, and what
 * it is made of; INPUT when a measure is out of range
 */
RAB_API bool rab_grid_solve(struct rab_grid_row *rows, size_t row_count, double width,
                            double height, double gutter, bool in_first, struct rab_gaps *gaps,
                            struct rab_warnings *notes, struct rab_error *err);
RAB_API void rab_gaps_clear(struct rab_gaps *gaps);

#endif
