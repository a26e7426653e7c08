/*
 * Pieces measured, and held against what was asked for, by exact distances between outlines.
 */
#ifndef RABBET_FRAME_CHECK_H
#define RABBET_FRAME_CHECK_H

#include "frame/cut.h"

/* The least distance from the site's openings to a piece's edge. */
bool piece_seam(const struct field *field, size_t site, const struct rab_region *region,
                double *seam, struct rab_point *from, struct rab_point *to, struct rab_error *err);

/* Does a piece keep off every other opening, and off the edge? */
bool piece_keeps_off(struct cutter *cutter, size_t site, const struct rab_region *region,
                     bool *keeps_off, struct rab_error *err);

/* Is every place on a piece's edge nearer to its own openings than to those of others? */
bool piece_keeps_sides(struct cutter *cutter, size_t site, const struct rab_region *region,
                       bool *keeps_sides, struct rab_error *err);

#endif
