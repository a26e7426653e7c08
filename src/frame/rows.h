/*
 * The order in which people read things that stand about a page.
 */
#ifndef RABBET_FRAME_ROWS_H
#define RABBET_FRAME_ROWS_H

#include "rabbet/outline.h"

/* order[0..n): indices of the boxes, rows from the top, each from the left. The rule stands at
 * rab_frame_from_region. Err: MEMORY. */
bool rows_order(const struct rab_box *boxes, size_t n, uint32_t *order, struct rab_error *err);

#endif
