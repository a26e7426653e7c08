/*
 * Dividing lines: the lines of equal distance fitted with arcs, one for both neighbours, with a
 * strip of each side that is taken away from the piece on the other.
 */
#ifndef RABBET_FRAME_DIVIDE_H
#define RABBET_FRAME_DIVIDE_H

#include "frame/field.h"
#include "frame/list.h"

/* How far a fitted line may be from the true one. */
#define DIVIDE_TOLERANCE 0.002

/* Points on one side of a vertex, part of the way to what is nearest to the edge before it and to
 * the one after. Where these differ the line bends, and `out` leads out of the bend. */
struct beside {
    struct rab_point before, out, after;
    bool bent;
};

struct divide {
    size_t owner; /* the site to its left */
    struct rab_outline line;
    struct beside *left, *right; /* of each vertex */
    size_t *others;              /* the sites to its right; some may stand there twice */
    size_t other_count, other_capacity;
    /* Where a third site meets the two, the line goes on a little into that site's paper, and a
     * wedge there closes what rounding might leave open. */
    struct wedge {
        bool added; /* the line goes on */
        bool there; /* with a wedge */
        size_t other;
        struct rab_point corners[3]; /* clockwise */
    } wedges[2];
};
struct divides {
    struct divide *items;
    size_t count, capacity;
};

/* Add the lines between a site and those with greater indices, as far as a seam reaches. */
bool divides_add(const struct field *field, size_t site, const struct near *own,
                 const struct near *others, double seam, struct divides *divides,
                 struct rab_error *err);
void divides_clear(struct divides *divides);

/* How far around a site others must be known. */
double divide_reach(double seam);

/* Add what is taken away from the pieces on one side as clockwise outlines, at least all within a
 * box. */
bool divide_strips(const struct divide *divide, bool from_owner, size_t site, struct rab_box box,
                   struct list *list, struct rab_error *err);

#endif
