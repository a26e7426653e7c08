/*
 * Bridges, overcut and dashes: closed and open paths cut into parts.
 */
#ifndef RABBET_PLAN_TABS_H
#define RABBET_PLAN_TABS_H

#include "plan/kerf.h"

/*
 * Outer outlines of pieces (counter-clockwise closed cuts), or what is left of them where lines are
 * shared, with gaps of the tabs' width, each part an open path; the parts of one outline follow
 * each other. *tabs counts them.
 *
 * paths  what the lines came from
 */
bool tabs_leave(struct line_list *list, const struct rab_path *paths,
                const struct rab_plan_options *options, size_t *tabs, struct rab_warnings *notes,
                struct rab_error *err);

/* The lines of an operation as dashes with gaps between, fitted whole: both ends of a line are
 * dashes, a closed line has as many gaps as dashes. Err: INPUT when there are too many, MEMORY. */
bool tabs_dash(struct line_list *list, enum rab_operation operation, double dash, double gap,
               struct rab_error *err);

/* Begin a closed outline at its vertex `start`, and let it go on past that point by `overcut`
 * (0: it stays closed). */
bool tabs_begin(struct rab_outline *outline, size_t start, double overcut, struct rab_error *err);

/* Does the direction change at this vertex, by more than 15 degrees? */
bool tabs_is_corner(const struct rab_outline *outline, size_t vertex);

#endif
