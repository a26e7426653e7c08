/* Soft shadows: what Cairo does not have. */
#ifndef RABBET_WRITE_SHADOW_H
#define RABBET_WRITE_SHADOW_H

#include <cairo.h>

#include "rabbet/base.h"

/* In dots. */
struct shadow {
    double right, down; /* how far it falls */
    double softness;    /* standard deviation of the blur */
    double darkness;    /* 0 to 1 */
};

/*
 * Lay the shadow of cr's path (which stays) on what is drawn, as far as it lies within the clip.
 * Even-odd: light falls through openings.
 */
bool shadow_lay(cairo_t *cr, const struct shadow *shadow, struct rab_error *err);

#endif
