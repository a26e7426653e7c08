/*
 * Where an edge runs into itself.
 */
#ifndef RABBET_EDGE_TROUBLE_H
#define RABBET_EDGE_TROUBLE_H

#include "chain.h"

/* A place where parts of the edge cover each other, and what made these parts. */
enum { TROUBLE_MARKS = 8 };
struct trouble {
    struct rab_point at;
    struct mark marks[TROUBLE_MARKS];
    size_t mark_count;
};
struct troubles {
    struct trouble *items;
    size_t count, capacity;
};
void troubles_clear(struct troubles *list);

/*
 * The region inside a closed edge, gone round clockwise.
 *
 * out    the paper; written when there is no trouble
 * found  added to when there is
 * err    GEOMETRY, MEMORY of the kernel
 */
bool edge_resolve(const struct chain *edge, struct rab_region *out, struct troubles *found,
                  struct rab_error *err);

/*
 * Paper without holes that should lie wholly in it, apart from each other.
 *
 * at     written, with *clear false, where a hole runs into the edge, or into another hole
 */
bool holes_cut(const struct rab_region *paper, const struct rab_outline *holes, size_t count,
               struct rab_region *out, bool *clear, struct rab_point *at, struct rab_error *err);

/* "12.5, 3 mm" for messages. */
enum { PLACE_TEXT = 48 };
bool place_text(struct rab_point at, char text[PLACE_TEXT], struct rab_error *err);

#endif
