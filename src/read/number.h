/*
 * Numbers, lengths and transforms as SVG and CSS write them.
 */
#ifndef RABBET_READ_NUMBER_H
#define RABBET_READ_NUMBER_H

#include "rabbet/outline.h"

/* A piece of text that is not ended by a NUL. */
struct slice {
    const char *text;
    size_t length;
};

struct slice slice_of(const char *text);
struct slice slice_trim(struct slice slice);
/* The case of ASCII letters does not matter. */
bool slice_is(struct slice slice, const char *word);
bool slice_begins(struct slice slice, const char *word);

/* Numbers beyond this are refused: they would be rounded more coarsely than paper shows. */
#define NUMBER_LIMIT 1e12

/* Reading from the front of a slice. */
void skip_blanks(struct slice *from);
/* Blanks with at most one comma among them: comma-wsp of SVG 1.1, 8.3.9. */
void skip_comma(struct slice *from);
bool take_number(struct slice *from, double *value);

enum length_unit {
    LENGTH_NUMBER,
    LENGTH_PERCENT,
    LENGTH_PX,
    LENGTH_MM,
    LENGTH_CM,
    LENGTH_Q,
    LENGTH_IN,
    LENGTH_PT,
    LENGTH_PC,
    LENGTH_EM,
    LENGTH_EX,
    LENGTH_CH,
    LENGTH_REM,
    LENGTH_VW,
    LENGTH_VH,
    LENGTH_VMIN,
    LENGTH_VMAX,
    LENGTH_AUTO, /* the word */
};

struct length {
    double value;
    enum length_unit unit;
};

/* What relative lengths are relative to, in user units; widths are 0 while unknown. */
struct length_base {
    double width, height;           /* of the nearest viewport */
    double page_width, page_height; /* of the outermost one, in px */
    double font, root_font;         /* font-size */
};
enum length_axis { AXIS_X, AXIS_Y, AXIS_BOTH };

/* Read a whole text as a length. Err: INPUT, naming the attribute. */
bool length_read(struct slice text, const char *attribute, int line, struct length *out,
                 struct rab_error *err);
/* Is it a physical unit (not px)? *mm is its value then. */
bool length_physical(struct length length, double *mm);
/* In user units; 96 px to the inch (CSS 2.1, 4.3.2). Err: INPUT when it is a part of something whose
 * size is unknown. */
bool length_resolve(struct length length, enum length_axis axis, const struct length_base *base,
                    const char *attribute, int line, double *out, struct rab_error *err);

/* x' = a x + c y + e, y' = b x + d y + f: the order of SVG's matrix(). */
struct matrix {
    double a, b, c, d, e, f;
};
#define MATRIX_SAME ((struct matrix){1, 0, 0, 1, 0, 0})

/* First inner, then outer. */
struct matrix matrix_join(struct matrix outer, struct matrix inner);
struct rab_point matrix_apply(const struct matrix *matrix, struct rab_point point);
/* Without the translation. */
struct rab_point matrix_turn(const struct matrix *matrix, struct rab_point vector);

/* A transform attribute (SVG 1.1, 7.6), or with css a transform property (CSS Transforms 1), in
 * which lengths carry px and angles deg, grad, rad or turn. Err: INPUT. */
bool transform_read(struct slice text, bool css, int line, struct matrix *out,
                    struct rab_error *err);

#endif
