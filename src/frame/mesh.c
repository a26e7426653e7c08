#include "frame/mesh.h"

#include <stdlib.h>

bool mesh_make(struct rab_region *region, struct mesh *out, struct rab_error *err)
{
    struct mesh made = {0};
    size_t total = 0;

    for (size_t i = 0; i < region->count; i++)
        total += region->outlines[i].count;
    made.arcs = malloc((total + 1) * sizeof *made.arcs);
    made.outline_of = malloc((total + 1) * sizeof *made.outline_of);
    made.first = malloc((region->count + 1) * sizeof *made.first);
    if (!made.arcs || !made.outline_of || !made.first) {
        rab_fail_memory(err);
        goto failed;
    }
    if (!box_tree_reserve(&made.tree, total, err))
        goto failed;
    for (size_t i = 0; i < region->count; i++) {
        const struct rab_outline *outline = &region->outlines[i];

        made.first[i] = made.count;
        for (size_t k = 0; k < outline->count; k++) {
            made.arcs[made.count] = arc_of(outline, k);
            made.outline_of[made.count] = i;
            made.tree.boxes[made.count] =
                rab_box_arc(outline->vertices[k], made.arcs[made.count].b);
            made.count++;
        }
    }
    made.first[region->count] = made.count;
    box_tree_finish(&made.tree);
    made.region = *region;
    *region = (struct rab_region){0};
    *out = made;
    return true;
failed:
    mesh_clear(&made);
    return false;
}

void mesh_clear(struct mesh *mesh)
{
    rab_region_clear(&mesh->region);
    free(mesh->arcs);
    free(mesh->outline_of);
    free(mesh->first);
    box_tree_clear(&mesh->tree);
    *mesh = (struct mesh){0};
}

static double distance2_of(void *context, size_t item, struct rab_point point)
{
    const struct mesh *mesh = context;
    const double distance = arc_distance(&mesh->arcs[item], point, NULL);

    return distance * distance;
}

double mesh_distance(const struct mesh *mesh, struct rab_point point, double within)
{
    struct mesh view = *mesh;
    double best2 = within * within;
    const size_t item = box_tree_nearest(&mesh->tree, point, distance2_of, &view, &best2);

    return mesh->count == 0 || item == mesh->count ? within : sqrt(best2);
}

struct gap_search {
    const struct mesh *mesh;
    const struct arc *arc;
    double best;
    struct rab_point on_arc;
};

static bool try_gap(void *context, size_t item)
{
    struct gap_search *search = context;
    struct rab_point on_arc, on_mesh;
    const double gap = arc_gap(search->arc, &search->mesh->arcs[item], &on_arc, &on_mesh);

    if (gap < search->best) {
        search->best = gap;
        search->on_arc = on_arc;
    }
    return true;
}

double mesh_gap(const struct mesh *mesh, const struct arc *arc, struct rab_box box, double within,
                struct rab_point *on_arc)
{
    struct gap_search search = {mesh, arc, within, {0, 0}};

    box_tree_query(&mesh->tree, box_grown(box, within), try_gap, &search);
    if (search.best < within)
        *on_arc = search.on_arc;
    return search.best;
}

static bool stop(void *context, size_t item)
{
    (void)context;
    (void)item;
    return false;
}

bool mesh_meets(const struct mesh *mesh, struct rab_box box)
{
    return !box_tree_query(&mesh->tree, box, stop, NULL);
}

/* ---- outlines near a box ----------------------------------------------------------------- */

struct local {
    const struct mesh *mesh;
    struct rab_box box; /* nothing may be added inside it but edges of the region */
    bool backwards;
    struct rab_point at;
    int winding;  /* so far, at that point */
    size_t *near; /* edges, rising */
    size_t count, capacity;
    struct list *list;
    struct rab_error *err;
};

static bool note_edge(void *context, size_t item)
{
    struct local *local = context;

    if (local->count == local->capacity) {
        void *items = local->near;

        if (!rab_reserve(&items, &local->capacity, local->count + 1, sizeof *local->near,
                         local->err))
            return false;
        local->near = items;
    }
    local->near[local->count++] = item;
    return true;
}

static bool add_closed(struct local *local, struct rab_outline *outline)
{
    if (local->backwards)
        rab_outline_reverse(outline);
    local->winding += rab_outline_winding(outline, local->at);
    return list_take(local->list, outline, local->err);
}

static struct rab_point corner_of(struct rab_box box, int corner)
{
    return (struct rab_point){corner == 0 || corner == 3 ? box.x0 : box.x1,
                              corner < 2 ? box.y0 : box.y1};
}

/* A corner of the larger box that can be reached from a point outside the box without entering
 * it: one on the same side. */
static int corner_beside(struct rab_box box, struct rab_point p)
{
    const double beyond[4] = {box.y0 - p.y, p.x - box.x1, p.y - box.y1, box.x0 - p.x};
    int side = 0;

    for (int i = 1; i < 4; i++)
        if (beyond[i] > beyond[side])
            side = i;
    return side; /* the first corner of that side, counter-clockwise from the lower left */
}

/* A run of edges that begins and ends outside the box, closed around it. */
static bool close_run(struct local *local, size_t first, size_t from, size_t length, size_t edges)
{
    const struct mesh *mesh = local->mesh;
    const struct rab_box around = box_grown(local->box, 1);
    struct rab_outline made = {0};
    bool ok = false;

    for (size_t i = 0; i < length; i++) {
        const struct arc *arc = &mesh->arcs[first + (from + i) % edges];

        if (!rab_outline_add(&made, arc->a.x, arc->a.y, arc->bulge, local->err))
            goto done;
    }
    const struct rab_point end = mesh->arcs[first + (from + length - 1) % edges].b;
    const struct rab_point start = mesh->arcs[first + from].a;
    if (!rab_outline_add(&made, end.x, end.y, 0, local->err))
        goto done;
    const int last = corner_beside(local->box, start);
    for (int corner = corner_beside(local->box, end);; corner = (corner + 1) % 4) {
        const struct rab_point p = corner_of(around, corner);

        if (!rab_outline_add(&made, p.x, p.y, 0, local->err))
            goto done;
        if (corner == last)
            break;
    }
    ok = add_closed(local, &made);
done:
    rab_outline_clear(&made);
    return ok;
}

/* The edges from near[begin] to near[end - 1] are all that is near of one outline. */
static bool add_near(struct local *local, size_t begin, size_t end)
{
    const struct mesh *mesh = local->mesh;
    const size_t outline = mesh->outline_of[local->near[begin]];
    const size_t first = mesh->first[outline], edges = mesh->first[outline + 1] - first;
    const size_t count = end - begin;
    const size_t *near = local->near + begin;
    size_t start = 0;

    if (count == edges) {
        struct rab_outline whole = {0};
        const bool ok = rab_outline_copy(&mesh->region.outlines[outline], &whole, local->err) &&
                        add_closed(local, &whole);

        rab_outline_clear(&whole);
        return ok;
    }
    /* Begin where the edge before is not near, so that no run is broken where the list begins. */
    while ((near[start] - first + edges - 1) % edges == near[(start + count - 1) % count] - first)
        start = (start + count - 1) % count;
    for (size_t i = 0; i < count;) {
        const size_t from = near[(start + i) % count] - first;
        size_t length = 1;

        while (i + length < count &&
               near[(start + i + length) % count] - first == (from + length) % edges)
            length++;
        if (!close_run(local, first, from, length, edges))
            return false;
        i += length;
    }
    return true;
}

bool mesh_outlines(const struct mesh *mesh, struct rab_box box, bool backwards, struct rab_point at,
                   int winding, struct list *list, struct rab_error *err)
{
    struct local local = {
        .mesh = mesh, .box = box, .backwards = backwards, .at = at, .list = list, .err = err};
    bool ok = false;

    if (!box_tree_query(&mesh->tree, box, note_edge, &local))
        goto done;
    for (size_t i = 0; i < local.count;) {
        size_t end = i + 1;

        while (end < local.count &&
               mesh->outline_of[local.near[end]] == mesh->outline_of[local.near[i]])
            end++;
        if (!add_near(&local, i, end))
            goto done;
        i = end;
    }
    local.backwards = false;
    while (local.winding != winding) {
        struct rab_outline around = {0};
        bool added;

        if (!rab_outline_rectangle(box_grown(box, 2), 0, &around, err))
            goto done;
        if (local.winding > winding)
            rab_outline_reverse(&around);
        added = add_closed(&local, &around);
        rab_outline_clear(&around);
        if (!added)
            goto done;
    }
    ok = true;
done:
    free(local.near);
    return ok;
}
