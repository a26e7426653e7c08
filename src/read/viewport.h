/*
 * Viewports: how a view box lies on a page, or on the place of a nested drawing (SVG 1.1, 7.7 and 7.8).
 */
#ifndef RABBET_READ_VIEWPORT_H
#define RABBET_READ_VIEWPORT_H

#include "read/number.h"

struct view_box {
    double x, y, width, height; /* width 0: there is none */
};

/* Err: INPUT when it is not four numbers, or of no size. text may be NULL. */
bool view_box_read(const char *text, int line, struct view_box *out, struct rab_error *err);

/* Where a point of the view box lies, in a viewport from 0,0 to width,height. aspect is
 * preserveAspectRatio as written, or NULL. Err: INPUT. */
bool viewport_fit(const struct view_box *box, double width, double height, const char *aspect,
                  int line, struct matrix *out, struct rab_error *err);

#endif
