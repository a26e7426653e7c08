/*
 * Lines in the order in which they are followed.
 */
#ifndef RABBET_PLAN_ORDER_H
#define RABBET_PLAN_ORDER_H

#include "plan/lines.h"

/*
 * Put the lines of a list into order, closed ones turned so that they begin where the tool arrives.
 *
 * paths  what the lines came from: which outline lies in which is told from these
 * home   where the tool is at first
 * out    {0}; on success the lines, taken from the list, which is then empty
 * starts for each line of out the vertex at which a closed one begins; the caller frees it
 */
bool order_lines(struct line_list *list, const struct rab_path *paths, struct rab_point home,
                 struct line_list *out, size_t **starts, struct rab_error *err);

#endif
