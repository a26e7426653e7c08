/*
 * What lies in which closed outlines, for many points: a box tree over all their edges.
 */
#ifndef RABBET_PLAN_INSIDE_H
#define RABBET_PLAN_INSIDE_H

#include "outline/arc.h"
#include "plan/items.h"

struct inside_edge {
    struct arc arc;
    size_t outline;
};
struct inside_answer {
    int winding; /* about the point */
    bool near;   /* the point is within reach: then the winding number says little */
    bool listed;
};
struct inside {
    struct inside_edge *edges;
    struct items items;
    double right;                  /* nothing lies further to the right */
    struct inside_answer *answers; /* by outline */
    size_t *listed;                /* the outlines that may hold the point; no others do */
    size_t listed_count;
    size_t work; /* edges looked at so far */
};

/* outlines  borrowed, those that are open are passed over. Start from {0}; inside_clear accepts
 * what is left after a failure. Err: MEMORY. */
bool inside_make(struct inside *inside, const struct rab_outline *const *outlines, size_t count,
                 struct rab_error *err);
void inside_clear(struct inside *inside);

/* Which outlines hold a point, or pass within `reach` of it. The next look forgets the answers. */
void inside_look(struct inside *inside, struct rab_point point, double reach);

#endif
