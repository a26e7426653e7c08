/*
 * What the looks at a drawing have in common: its cuts edge by edge.
 */
#ifndef RABBET_PLAN_LOOK_H
#define RABBET_PLAN_LOOK_H

#include "outline/arc.h"
#include "plan/items.h"
#include "rabbet/plan.h"

/* Ends nearer than this meet: a cutter that stops there has cut through. */
#define LOOK_MEETING 0.05

/* An edge of a closed cut or of an open one. Those of a path stand together. */
struct look_edge {
    struct arc arc;
    size_t path, index;
    double along; /* from the path's start to the edge's */
};

struct look {
    const struct rab_path *paths;
    size_t count;
    struct rab_look_options limits;
    struct look_edge *edges;
    size_t edge_count;
    struct items items; /* of the edges, half a web larger */
    double *lengths;    /* of each path */
    struct rab_troubles found;
    struct rab_error *err;
};

bool look_is_cut(const struct rab_path *path);
bool look_add(struct look *look, enum rab_trouble_kind kind, size_t path, struct rab_point at,
              double measure);
/* Crossings, and paper between two cuts that is too narrow. */
bool look_for_webs(struct look *look);

#endif
