/*
 * A picture laid out on a page: title, drawing, legend, scale bars, notes. Millimetres from the
 * page's upper left corner, y down. Everything is sized by one em, `em`.
 */
#ifndef RABBET_WRITE_PAGE_H
#define RABBET_WRITE_PAGE_H

#include <cairo.h>

#include "picture.h"
#include "words.h"

enum { PAGE_INK = 0x222222, PAGE_QUIET = 0x6B6B6B, PAGE_TROUBLE = 0xD55E00 };

struct page {
    const struct rab_picture *picture;
    struct rab_box view; /* in the picture's own millimetres */
    double em;
    double scale; /* dots in a mm */
    double width, height;
    double left, top; /* of the drawing */
    struct words words;
    struct page_entry *entries; /* the legend */
    size_t entry_count;
    struct page_label *labels; /* numbers, then marks, as many as the picture has */
    size_t label_count;
    bool left_out; /* some numbers could not be read */
};

/* dpi 0: what suits the size. On success the caller clears the page. */
bool page_plan(const struct rab_picture *picture, double dpi, struct page *page,
               struct rab_error *err);
void page_clear(struct page *page);
/* Size in dots. */
void page_dots(const struct page *page, int *across, int *down);
/* cr is scaled so that a unit is a mm. */
bool page_draw(struct page *page, cairo_t *cr, struct rab_error *err);

/* labels.c: numbers and marks. Plan once the scale is known. */
bool labels_plan(struct page *page, struct rab_error *err);
void labels_draw(struct page *page, cairo_t *cr);
void labels_ring(const struct page *page, cairo_t *cr, double x, double y);

#endif
