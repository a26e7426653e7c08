/*
 * Pieces that reach beyond the seam: bridges within a group, and plain shapes.
 *
 * Dividing lines share out the paper that lies within a seam of the openings. What reaches further
 * must not touch any paper that another piece may cover.
 */
#ifndef RABBET_FRAME_BEYOND_H
#define RABBET_FRAME_BEYOND_H

#include "frame/check.h"

/*
 * Join the parts of a group's piece by bridges: the closing of its grown openings (Serra, Image
 * Analysis and Mathematical Morphology, 1982, from memory), by the least of a few distances that
 * makes it one. Bridges keep off other openings, other pieces and the edge. *parts is 1 when that
 * worked.
 */
bool bridge_parts(struct cutter *cutter, size_t site, struct rab_region *piece, size_t *parts,
                  struct rab_error *err);

/*
 * The plainest shape that covers a site with the whole seam and shows nowhere else: the smallest
 * listed circle, or when the form asks for it the first of circle, rectangle, rounded rectangle
 * and hull. `made` are pieces that stand already. *found is false when there is none.
 */
bool plain_piece(struct cutter *cutter, size_t site, const struct rab_backings *made,
                 struct rab_region *out, enum rab_backing_shape *shape, bool *found,
                 struct rab_error *err);

#endif
