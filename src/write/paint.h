/* What all pictures are painted with: outlines and colours with Cairo, and the finished PNG. */
#ifndef RABBET_WRITE_PAINT_H
#define RABBET_WRITE_PAINT_H

#include <cairo.h>

#include "track.h"

void paint_colour(cairo_t *cr, uint32_t colour, double alpha);
/* A darker shade: the edge of a paper. */
uint32_t paint_shade(uint32_t colour);

/*
 * Add outlines to Cairo's path, in mm, y down from `top`. Cairo has cubic curves only, so that is
 * what it gets. `track` is working memory; the caller clears it.
 *
 * scale  dots in a mm: curves keep to a twentieth of a dot
 */
bool paint_outlines(cairo_t *cr, const struct rab_outline *outlines, size_t count, double top,
                    double scale, struct track *track, struct rab_error *err);

/* Dots in a mm for so many to the inch, such that a metre holds a whole number of them: a PNG
 * states its scale so. */
double paint_scale(double dpi);
/* The same for what was asked for, 0 standing for `usual`. Err: INPUT beyond 20 to 1200. */
bool paint_chosen_scale(double dpi, double usual, double *scale, struct rab_error *err);
/* Err: INPUT beyond 16,000 dots each way or 100 million together. */
bool paint_size_allowed(double across, double down, struct rab_error *err);
/* A white page whose units are mm, y down; NULL when it would be too large. Destroy it. */
cairo_t *paint_page(double width, double height, double scale, struct rab_error *err);

/* The finished picture; whatever went wrong in drawing it is told here. */
bool paint_png(cairo_t *cr, double scale, struct rab_text *out, struct rab_error *err);

/* A PDF of one page or more into a text, sizes in mm. The page's units are mm, y down. Cairo puts
 * the words' fonts into the file. Finish it with paint_pdf_end, whether or not all went well. */
cairo_t *paint_pdf(double width, double height, const char *title, struct rab_text *bytes);
bool paint_pdf_end(cairo_t *cr, struct rab_text *bytes, bool ok, struct rab_text *out,
                   struct rab_error *err);

#endif
