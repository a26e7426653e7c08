/*
 * What the parts of the SVG reader share while they walk through a drawing.
 */
#ifndef RABBET_READ_READER_H
#define RABBET_READ_READER_H

#include "rabbet/read.h"
#include "read/number.h"
#include "read/style.h"
#include "read/tree.h"

/* What is left out or stands out, counted and told once at the end. */
enum remark_kind {
    REMARK_TEXT,
    REMARK_IMAGE,
    REMARK_FOREIGN,
    REMARK_UNKNOWN,
    REMARK_CLIP,
    REMARK_MASK,
    REMARK_MARKER,
    REMARK_SERVER,
    REMARK_OPACITY,
    REMARK_NOTHING, /* scaled to nothing */
    REMARK_USE,     /* without a target */
    REMARK_COUNT,
};
struct remark {
    size_t count;
    int line;
    const char *element;
};

/* A container that is being walked through. */
struct frame {
    uint32_t node, child; /* child: the next one to look at */
    struct matrix matrix; /* its children's user units to millimetres on the page */
    struct style style;
    double width, height; /* of the nearest viewport, in its user units; 0 while unknown */
};

struct reader {
    const struct tree *tree;
    struct sheet *sheet;
    double tolerance;
    struct length_base page; /* page_width, page_height, root_font */
    bool measuring;          /* only the box, in the file's own size */
    struct rab_box box;
    struct rab_drawing *drawing;

    struct frame *frames;
    size_t depth, frame_capacity;
    unsigned char *active; /* by node: is it in frames? */
    size_t shown, elements, segments, work;
    struct remark remarks[REMARK_COUNT];
    struct rab_error *err;
};

/* Walk through all that is shown; the root's frame is frames[0]. */
bool walk_drawing(struct reader *reader, const struct frame *root);

/* Read one shape. `matrix` and `style` are its own; base its surroundings. */
bool shape_read(struct reader *reader, uint32_t node, const struct cascade *cascade,
                const struct style *style, const struct matrix *matrix,
                const struct length_base *base);

void remark(struct reader *reader, enum remark_kind kind, uint32_t node);
bool remarks_tell(const struct reader *reader, struct rab_warnings *notes, struct rab_error *err);

/* A geometry property (or attribute) in user units; `missing` when it is absent or auto. *given says
 * whether it is there (may be NULL). */
bool geometry_read(const struct reader *reader, uint32_t node, const struct cascade *cascade,
                   enum key key, enum length_axis axis, const struct length_base *base,
                   double missing, double *out, bool *given);

#endif
