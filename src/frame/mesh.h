/*
 * A region prepared for asking what of it lies near something, without looking at the rest: so
 * that ten thousand small pieces along one long outline take their time from what is near each.
 */
#ifndef RABBET_FRAME_MESH_H
#define RABBET_FRAME_MESH_H

#include "frame/field.h"
#include "frame/list.h"

struct mesh {
    struct rab_region region;
    struct arc *arcs; /* of all outlines, one after the other */
    size_t count;
    size_t *first; /* of each outline its first arc; and how many there are in all */
    size_t *outline_of;
    struct box_tree tree;
};

/* Takes the region over (it is empty afterwards). */
bool mesh_make(struct rab_region *region, struct mesh *out, struct rab_error *err);
void mesh_clear(struct mesh *mesh);

/* Distance from its outlines, `within` when it is not less. */
double mesh_distance(const struct mesh *mesh, struct rab_point point, double within);

/* The least distance between an edge and its outlines, `within` when it is not less. */
double mesh_gap(const struct mesh *mesh, const struct arc *arc, struct rab_box box, double within,
                struct rab_point *on_arc);

/* Does any of its edges come near a box? */
bool mesh_meets(const struct mesh *mesh, struct rab_box box);

/*
 * Add outlines that look, inside a box, like those of the region: every edge that is near, and ways
 * outside the box that close them. The winding number at `at`, a point in the box on no outline,
 * becomes `winding`.
 */
bool mesh_outlines(const struct mesh *mesh, struct rab_box box, bool backwards, struct rab_point at,
                   int winding, struct list *list, struct rab_error *err);

#endif
