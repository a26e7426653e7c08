/*
 * Open lines joined end to end to closed outlines, and outlines that are drawn twice.
 */
#ifndef RABBET_READ_JOIN_H
#define RABBET_READ_JOIN_H

#include "rabbet/outline.h"

/* Outlines with the line of the file from which each came. */
struct outline_list {
    struct rab_outline *items;
    int *lines;
    size_t count, capacity, line_capacity;
};

bool outline_list_add(struct outline_list *list, const struct rab_outline *outline, int line,
                      struct rab_error *err); /* a copy */
void outline_list_clear(struct outline_list *list);

struct join_result {
    size_t joined; /* pairs of ends */
    double widest; /* gap that was bridged */
};

/*
 * Join the open outlines of `open` and append the closed ones to `closed`. Nearest ends first; each
 * end is joined once; a straight line bridges what gap there is.
 * Err: GEOMETRY with the line and place of an end that is left over, MEMORY. `closed` may have grown.
 */
bool join_ends(const struct outline_list *open, double gap, struct outline_list *closed,
               struct join_result *result, struct rab_error *err);

/* Take out closed outlines that lie on another one of the list, whatever their direction and first
 * vertex. */
bool drop_repeated(struct outline_list *list, size_t *dropped, int *first_line,
                   struct rab_error *err);

#endif
