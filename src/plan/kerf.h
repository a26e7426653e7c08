/*
 * Half the width of the cut: outer outlines outwards, openings inwards.
 */
#ifndef RABBET_PLAN_KERF_H
#define RABBET_PLAN_KERF_H

#include "plan/lines.h"

/*
 * The closed cuts of each piece moved by half the kerf, all other paths as they are, in the same
 * order of pieces. Err: GEOMETRY with the place when an outline vanishes or falls apart, MEMORY.
 */
bool kerf_allow(const struct rab_path *paths, size_t count, double kerf, struct line_list *out,
                struct rab_error *err);

#endif
