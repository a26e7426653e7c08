/* What a page as it will look is made of. */
#ifndef RABBET_WRITE_VIEW_H
#define RABBET_WRITE_VIEW_H

#include <cairo.h>

#include "rabbet/write.h"

enum view_kind {
    VIEW_PAPER,
    VIEW_LINE,
    VIEW_PHOTO, /* one that nobody has given */
    VIEW_IMAGE,
    VIEW_WORDS,
};

struct rab_view_item {
    enum view_kind kind;
    struct rab_outline *outlines;
    size_t count;
    uint32_t colour;
    double height;
    enum rab_operation operation; /* of lines */
    char *name;                   /* of photos; may be NULL. The words of a block. */
    char *font;                   /* of words */
    struct rab_words words;       /* with text and font from the two above */
    struct rab_point place;
    cairo_surface_t *image;
    struct rab_box print;
};

/* Dots to the inch with what 0 stands for filled in. */
double view_dpi(const struct rab_view *view);

#endif
