/*
 * The XML of a shape file, or a job file, as it stands there: elements, attributes, text, and where
 * each begins. Nothing is known here yet about what they mean.
 */
#ifndef RABBET_SHAPE_MARKUP_H
#define RABBET_SHAPE_MARKUP_H

#include "rabbet/base.h"

enum {
    MARKUP_BYTES = 1 << 20,
    MARKUP_DEPTH = 64,      /* the deepest that any kind of file may be */
    MARKUP_ATTRIBUTES = 32, /* of one element */
};
#define NO_ELEMENT ((uint32_t)-1)

/* A kind of file: its namespace, how large one may be, and what to do about one that is larger. */
struct markup_kind {
    const char *files; /* "shape files" */
    const char *space;
    size_t elements, depth;
    const char *too_long, *too_many, *too_deep; /* "divide the shape" */
};

struct markup_attribute {
    const char *name, *value;
    int line;
};
struct markup_element {
    const char *name;
    int line;
    uint32_t parent, first, last, next; /* NO_ELEMENT when there is none */
    uint32_t attributes, attribute_count;
    const char *text; /* its own text together, from the first word on; NULL when it has none */
    int text_line;    /* of the first word */
};
struct markup {
    struct markup_element *elements; /* the first is the root */
    size_t count, capacity;
    struct markup_attribute *attributes;
    size_t attribute_count, attribute_capacity;
    struct arena *arena;
};

/*
 * Read a whole file. Nothing is loaded from elsewhere, and there are no entities to expand: a
 * DOCTYPE is refused.
 *
 * err  INPUT with the line, or MEMORY
 */
bool markup_read(const char *bytes, size_t length, const struct markup_kind *kind,
                 struct markup *out, struct rab_error *err);
void markup_clear(struct markup *markup);

#endif
