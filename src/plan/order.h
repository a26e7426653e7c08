/*
 * Lines in the order in which they are followed.
 */
#ifndef RABBET_PLAN_ORDER_H
#define RABBET_PLAN_ORDER_H

#include "plan/lines.h"

/* The tool on its way through the operations. */
struct tool {
    struct rab_point at;
    struct rab_box last; /* of what it followed last; an empty box at first */
    double cool;         /* what it follows next begins so far from there, if it can; 0: anywhere */
};

struct ordered {
    struct line_list lines;
    size_t *starts; /* of each line the vertex at which a closed one begins */
    size_t small;   /* so many, the first ones, are of small pieces */
};

/*
 * Put the lines of a list into order, closed ones turned so that they begin where the tool arrives.
 * Lines of one source stay together.
 *
 * paths  what the lines came from: which outline lies in which is told from these
 * loosens  the lines let go what they enclose: small pieces come first
 * tool   taken on to where the last line ends
 * out    {0}; on success the lines, taken from the list, which is then empty. The caller clears it
 *        with ordered_clear.
 */
bool order_lines(struct line_list *list, const struct rab_path *paths, bool loosens,
                 struct tool *tool, struct ordered *out, struct rab_error *err);
void ordered_clear(struct ordered *ordered);

#endif
