/*
 * The shape library: shapes and edge motifs read from XML files, their parameters, and what they
 * draw for given values. docs/shape-files.md describes the files.
 *
 * Millimetres, radians, x right, y up. Structs start from {0}; on success the caller owns what was
 * made, on failure it is untouched.
 */
#ifndef RABBET_SHAPE_H
#define RABBET_SHAPE_H

#include "region.h"

/* ---- the library ----------------------------------------------------------------------- */

enum rab_parameter_kind {
    RAB_LENGTH, /* value in mm */
    RAB_ANGLE,  /* radians */
    RAB_COUNT,  /* a whole number */
    RAB_RATIO,
    RAB_CHOICE, /* which of the choices, from 0 */
    RAB_YES_NO, /* 1 or 0 */
};
struct rab_choice {
    const char *name, *about;
};
struct rab_parameter {
    const char *name, *about;
    enum rab_parameter_kind kind;
    double usual, least, most;
    const struct rab_choice *choices; /* of RAB_CHOICE */
    size_t choice_count;
};

/* A shape or a motif, owned by its library. Texts are UTF-8 on one line. */
struct rab_shape {
    const char *name, *family;
    const char *title, *about;
    const char *file; /* the path that it was read from; NULL when it came with the program */
    bool motif;       /* parameters[0] is then "pitch" and parameters[1] "depth" */
    const struct rab_parameter *parameters;
    size_t parameter_count;
    const struct shape_file *content; /* private */
};

struct rab_library;

/*
 * The shapes that come with the program, and those of the maker's folders: FOLDER/NAME.xml (the
 * family is then "own") and FOLDER/FAMILY/NAME.xml. A later folder's shape takes the place of an
 * earlier one of the same name.
 *
 * The maker's files are also held against the schema. Two shapes of one name in one folder are an
 * error.
 *
 * notes  "own-shape" names each shape whose place was taken
 * err    INPUT with file and line in a shape file (the text begins "FILE:LINE: "; a shape that came
 *        with the program has its name for FILE); FILE when a folder or file cannot be read; MEMORY
 */
RAB_API bool rab_library_open(const char *const *folders, size_t folder_count,
                              struct rab_library **out, struct rab_warnings *notes,
                              struct rab_error *err);
RAB_API void rab_library_close(struct rab_library *library); /* NULL is fine */
/* By family, then by name. */
RAB_API size_t rab_library_count(const struct rab_library *library);
RAB_API const struct rab_shape *rab_library_at(const struct rab_library *library, size_t index);
/* Err: INPUT with the names that are nearest to an unknown one. */
RAB_API const struct rab_shape *rab_library_find(const struct rab_library *library,
                                                 const char *name, struct rab_error *err);
/* One more shape from memory, as if it were a file of that name (its family is "own"). What callers
 * hold of a shape whose place it takes stays good. Err: as rab_library_open; the library is then as
 * it was. */
RAB_API bool rab_library_add(struct rab_library *library, const char *name, const char *bytes,
                             size_t length, struct rab_warnings *notes, struct rab_error *err);

/* ---- values ---------------------------------------------------------------------------- */

/* As typed: "span", "40mm". Borrowed. */
struct rab_setting {
    const char *name, *value;
};
/*
 * Values for all parameters, in their order: what is set, and the usual value for the rest. Lengths
 * carry a unit, angles "30deg" too; a ratio may be a fraction, "3/4".
 *
 * values  room for parameter_count of them
 * err     INPUT: no such parameter (with the nearest names), set twice, not a value of its kind,
 * out of its limits. Constraints between parameters are looked at when the shape is drawn.
 */
RAB_API bool rab_shape_values(const struct rab_shape *shape, const struct rab_setting *settings,
                              size_t count, double *values, struct rab_error *err);
/* A value for people: "40 mm (≈ 1 9/16 in)", "30 deg", "8", "0.75", "cove", "yes". */
RAB_API void rab_text_value(struct rab_text *text, const struct rab_parameter *parameter,
                            double value, bool in_first);

/* ---- drawing --------------------------------------------------------------------------- */

struct rab_place {
    const char *name;           /* owned by the library */
    struct rab_outline outline; /* counter-clockwise */
};
/* What a shape came out as. The paths are what is not cut from the paper's outlines; their piece
 * is 0. */
struct rab_figure {
    struct rab_region paper;
    struct rab_path *paths;
    size_t path_count;
    struct rab_place *places;
    size_t place_count;
};
RAB_API void rab_figure_clear(struct rab_figure *figure);

/*
 * Draw a shape.
 *
 * values     one for each parameter (rab_shape_values)
 * tolerance  for ellipses; 0 stands for 0.01 mm
 * err        INPUT with the shape's own message when its constraints do not hold; GEOMETRY with the
 *            line of the file when it cannot be drawn, or does not measure what it states; MEMORY.
 *            With a line, the text begins with the shape's name or file.
 */
RAB_API bool rab_shape_draw(const struct rab_library *library, const struct rab_shape *shape,
                            const double *values, double tolerance, struct rab_figure *out,
                            struct rab_error *err);

/* One repeat of a motif: x from 0 to the pitch, paper below, valleys at 0, peaks at the depth. */
struct rab_repeat {
    struct rab_outline profile; /* open, from left to right */
    struct rab_region holes;
    struct rab_path *paths;
    size_t path_count;
    double valley; /* width of a flat valley, half of it at each end; 0 when there is none */
};
RAB_API void rab_repeat_clear(struct rab_repeat *repeat);
/*
 * Draw a motif's repeat number `repeat` of `repeats`. values[0] and values[1], pitch and depth, may
 * be outside their limits: they are what came out of fitting. Err: as rab_shape_draw.
 */
RAB_API bool rab_motif_draw(const struct rab_library *library, const struct rab_shape *motif,
                            const double *values, size_t repeat, size_t repeats, double tolerance,
                            struct rab_repeat *out, struct rab_error *err);
/* The motif's own corner for paper with this angle (radians, below pi for a corner that points
 * outwards); empty when it has none. */
RAB_API bool rab_motif_corner(const struct rab_library *library, const struct rab_shape *motif,
                              const double *values, double angle, double tolerance,
                              struct rab_region *out, struct rab_error *err);

#endif
