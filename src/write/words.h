/* Words on a page, set with Pango: sizes and places in mm, y down. */
#ifndef RABBET_WRITE_WORDS_H
#define RABBET_WRITE_WORDS_H

#include <cairo.h>
#include <pango/pango.h>

#include "rabbet/base.h"

struct words {
    cairo_t *cr;
    double scale; /* dots in a mm */
    PangoFontMap *fonts;
    PangoContext *context;
    PangoLayout *layout;
    double opacity; /* 1 unless changed */
};

struct words_look {
    double size; /* em */
    bool bold;
    uint32_t colour;
};

/* cr must be scaled so that a unit is a mm and outlive the words. */
bool words_open(struct words *words, cairo_t *cr, double scale, struct rab_error *err);
void words_close(struct words *words);

/* Width of a line of words, and (ink) height of what is drawn; more than `limit` is cut off with
 * an ellipsis (0: no limit). */
void words_measure(struct words *words, const char *text, struct words_look look, double limit,
                   double *width, double *height);
/* From x, standing on the base line y. */
void words_draw(struct words *words, const char *text, struct words_look look, double limit,
                double x, double y);
/* The ink centred about a point. */
void words_centre(struct words *words, const char *text, struct words_look look, double x,
                  double y);

#endif
