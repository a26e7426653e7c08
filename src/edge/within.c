/* Paths end where the paper does. */
#include <stdlib.h>

#include "finish.h"
#include "outline/box_tree.h"
#include "region/edge.h"

/* Closer to an edge than this is on it. */
static const double on_edge = 1e-6;
/* What is left of a path and cannot be seen is left out. */
static const double seen = 0.02;

struct ground {
    struct edge *edges;
    struct box_tree tree;
};

static void ground_clear(struct ground *ground)
{
    free(ground->edges);
    box_tree_clear(&ground->tree);
}

static bool ground_make(const struct rab_region *paper, struct ground *ground,
                        struct rab_error *err)
{
    size_t count = 0;

    for (size_t i = 0; i < paper->count; i++)
        count += paper->outlines[i].count;
    ground->edges = calloc(count + 1, sizeof *ground->edges);
    if (!ground->edges)
        return rab_fail_memory(err);
    if (!box_tree_reserve(&ground->tree, count, err))
        return false;
    count = 0;
    for (size_t i = 0; i < paper->count; i++) {
        const struct rab_outline *o = &paper->outlines[i];
        for (size_t k = 0; k < o->count; k++) {
            const struct rab_vertex p = o->vertices[k], q = o->vertices[(k + 1) % o->count];
            ground->edges[count] = edge_make(p.x, p.y, q.x, q.y, p.bulge);
            ground->tree.boxes[count] = edge_box(&ground->edges[count], 0);
            count++;
        }
    }
    box_tree_finish(&ground->tree);
    return true;
}

static bool reaches(const struct edge *e, struct rab_point at)
{
    return edge_spans(e, at.x, at.y) || length_of(at.x - e->px, at.y - e->py) <= on_edge ||
           length_of(at.x - e->qx, at.y - e->qy) <= on_edge;
}

/* ---- points ---------------------------------------------------------------------------- */

struct spot {
    const struct ground *ground;
    struct rab_point at;
    bool touches;
    int winding;
};

static bool note_touch(void *context, size_t item)
{
    struct spot *spot = context;
    const struct edge *e = &spot->ground->edges[item];

    spot->touches = fabs(edge_side(e, spot->at.x, spot->at.y)) <= on_edge && reaches(e, spot->at);
    return !spot->touches;
}

static bool note_winding(void *context, size_t item)
{
    struct spot *spot = context;

    spot->winding += edge_winding(&spot->ground->edges[item], spot->at.x, spot->at.y);
    return true;
}

static bool on_paper(const struct ground *ground, struct rab_point at)
{
    struct spot spot = {.ground = ground, .at = at};
    const struct rab_box around = {at.x - on_edge, at.y - on_edge, at.x + on_edge, at.y + on_edge};
    const struct rab_box to_the_right = {at.x, at.y, 1e300, at.y};

    box_tree_query(&ground->tree, around, note_touch, &spot);
    if (!spot.touches)
        box_tree_query(&ground->tree, to_the_right, note_winding, &spot);
    return spot.touches || spot.winding > 0;
}

/* ---- paths ----------------------------------------------------------------------------- */

/* An arc of a path and where it meets the paper's edge. */
struct walk {
    const struct ground *ground;
    struct arc arc;
    struct edge edge; /* the arc, or a half of it */
    double *shares;
    size_t count, capacity;
    struct rab_outline part; /* what is kept, up to where the walk is */
    struct ornaments parts;
    bool cut;
    struct rab_error *err;
};

static bool note_share(struct walk *w, double share)
{
    void *items = w->shares;

    if (!rab_reserve(&items, &w->capacity, w->count + 1, sizeof *w->shares, w->err))
        return false;
    w->shares = items;
    w->shares[w->count++] = share;
    return true;
}

static bool note_meeting(void *context, size_t item)
{
    struct walk *w = context;
    const struct edge *other = &w->ground->edges[item];
    struct rab_point at[2];
    const int meets = edge_meet(&w->edge, other, on_edge, at);

    for (int i = 0; i < meets; i++) {
        if (reaches(&w->edge, at[i]) && reaches(other, at[i]) &&
            !note_share(w, arc_share(&w->arc, at[i])))
            return false;
    }
    return true;
}

/* edge_meet is for half circles at most. */
static bool find_meetings(struct walk *w)
{
    const struct arc *arc = &w->arc;
    const bool large = fabs(arc->bulge) > 1;
    const struct rab_point middle = large ? arc_at(arc, 0.5, NULL) : arc->b;
    const double bulge = large ? tan(atan(arc->bulge) / 2) : arc->bulge;

    w->count = 0;
    for (int half = 0; half < (large ? 2 : 1); half++) {
        const struct rab_point a = half ? middle : arc->a, b = half ? arc->b : middle;
        w->edge = edge_make(a.x, a.y, b.x, b.y, bulge);
        if (!box_tree_query(&w->ground->tree, edge_box(&w->edge, on_edge), note_meeting, w))
            return false;
    }
    return note_share(w, 1);
}

static int by_share(const void *a, const void *b)
{
    const double p = *(const double *)a, q = *(const double *)b;
    return (p > q) - (p < q);
}

static bool end_part(struct walk *w, const struct ornament *path)
{
    bool ok = true;

    if (w->part.count > 1 && rab_outline_perimeter(&w->part) >= seen)
        ok = ornaments_take(&w->parts, &w->part, path->mark, 0, path->operation, w->err);
    rab_outline_clear(&w->part);
    w->part.open = true;
    return ok;
}

static bool walk_arc(struct walk *w, const struct ornament *path)
{
    const double length = arc_length(&w->arc);
    double from = 0;

    if (w->arc.chord <= 0)
        return true;
    if (!find_meetings(w))
        return false;
    qsort(w->shares, w->count, sizeof *w->shares, by_share);
    for (size_t i = 0; i < w->count; i++) {
        const double to = w->shares[i];
        if ((to - from) * length <= on_edge)
            continue;
        const struct rab_point a = arc_at(&w->arc, from, NULL), b = arc_at(&w->arc, to, NULL);
        if (!on_paper(w->ground, arc_at(&w->arc, (from + to) / 2, NULL))) {
            w->cut = true;
            if (!end_part(w, path))
                return false;
        } else {
            if (w->part.count == 0 && !rab_outline_add(&w->part, a.x, a.y, 0, w->err))
                return false;
            w->part.vertices[w->part.count - 1].bulge = tan((to - from) * atan(w->arc.bulge));
            if (!rab_outline_add(&w->part, b.x, b.y, 0, w->err))
                return false;
        }
        from = to;
    }
    return true;
}

bool paths_within(struct ornaments *paths, const struct rab_region *paper, struct rab_error *err)
{
    struct ground ground = {0};
    struct ornaments kept = {0};
    struct walk w = {.ground = &ground, .part = {.open = true}, .err = err};
    bool ok = paths->count == 0 || ground_make(paper, &ground, err);

    for (size_t i = 0; i < paths->count && ok; i++) {
        struct ornament *path = &paths->items[i];
        w.cut = false;
        for (size_t e = 0; e < arc_count(&path->outline) && ok; e++) {
            w.arc = arc_of(&path->outline, e);
            ok = walk_arc(&w, path);
        }
        ok = ok && end_part(&w, path);
        if (ok && !w.cut) {
            ornaments_clear(&w.parts);
            ok = ornaments_take(&kept, &path->outline, path->mark, 0, path->operation, err);
        }
        ok = ok && ornaments_append(&kept, &w.parts, err);
        ornaments_clear(&w.parts);
    }
    if (ok) {
        ornaments_clear(paths);
        *paths = kept;
        kept = (struct ornaments){0};
    }
    ornaments_clear(&kept);
    rab_outline_clear(&w.part);
    free(w.shares);
    ground_clear(&ground);
    return ok;
}
