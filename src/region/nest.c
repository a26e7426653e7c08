/* Which outline lies in which, and the proof that a set of outlines is a region. */
#include "arrange.h"

#include <stdlib.h>
#include <string.h>

struct seal {
    const struct rab_outline *outlines;
    size_t count;
    double same;
    struct edge *edges;
    uint32_t *loop, *first; /* loop of an edge; first edge of a loop (count + 1) */
    size_t n;
    struct box_tree tree;
    bool *touching; /* loops that have a vertex on another edge */
    double *area;
    size_t *parent;
    uint32_t *depth;
    struct rab_error *err;
};

static bool fault_at(struct seal *s, double x, double y, const char *what)
{
    struct rab_text place = {0};

    rab_text_fixed(&place, x, 4);
    rab_text_add(&place, ", ");
    rab_text_fixed(&place, y, 4);
    rab_fail(s->err, RAB_FAULT_GEOMETRY, "the result %s at %s mm", what,
             place.data ? place.data : "?");
    rab_text_clear(&place);
    return false;
}

static bool load(struct seal *s)
{
    size_t n = 0;

    for (size_t i = 0; i < s->count; i++)
        n += s->outlines[i].count;
    if (n >= UINT32_MAX / 8)
        return rab_fail(s->err, RAB_FAULT_GEOMETRY,
                        "more than 500 million corners; simplify the drawing");
    s->n = n;
    if (!(s->edges = take(n, sizeof *s->edges, s->err)) ||
        !(s->loop = take(n, sizeof *s->loop, s->err)) ||
        !(s->first = take(s->count + 1, sizeof *s->first, s->err)) ||
        !(s->touching = take(s->count, sizeof *s->touching, s->err)) ||
        !(s->area = take(s->count, sizeof *s->area, s->err)) ||
        !(s->parent = take(s->count, sizeof *s->parent, s->err)) ||
        !(s->depth = take(s->count, sizeof *s->depth, s->err)) ||
        !box_tree_reserve(&s->tree, n, s->err))
        return false;
    memset(s->touching, 0, s->count * sizeof *s->touching);
    n = 0;
    for (size_t i = 0; i < s->count; i++) {
        const struct rab_outline *o = &s->outlines[i];
        s->first[i] = (uint32_t)n;
        s->area[i] = rab_outline_area(o);
        for (size_t v = 0; v < o->count; v++, n++) {
            const struct rab_vertex a = o->vertices[v],
                                    b = o->vertices[v + 1 < o->count ? v + 1 : 0];
            s->edges[n] = edge_make(a.x, a.y, b.x, b.y, a.bulge);
            if (!(s->edges[n].chord > 0))
                return fault_at(s, a.x, a.y, "has a side without length");
            if (!(fabs(a.bulge) <= 1 + 1e-6))
                return fault_at(s, a.x, a.y, "has an arc over half a turn");
            s->loop[n] = (uint32_t)i;
            s->tree.boxes[n] = edge_box(&s->edges[n], 0);
        }
    }
    s->first[s->count] = (uint32_t)n;
    box_tree_finish(&s->tree);
    return true;
}

/* ---- no crossings ---- */

static bool is_next(const struct seal *s, size_t i, size_t j)
{
    const uint32_t l = s->loop[i];

    return (i + 1 < s->first[l + 1] ? i + 1 : s->first[l]) == j;
}

static double at_ends(const struct edge *e, struct rab_point p)
{
    return lesser(length_of(p.x - e->px, p.y - e->py), length_of(p.x - e->qx, p.y - e->qy));
}

/* How far an edge goes to the shallower side of another that it meets at a point. */
static double depth_beyond(const struct edge *e, const struct edge *of, struct rab_point at)
{
    const double before = fabs(edge_side(of, (e->px + at.x) / 2, (e->py + at.y) / 2));
    const double after = fabs(edge_side(of, (e->qx + at.x) / 2, (e->qy + at.y) / 2));
    const double from = fabs(edge_side(of, e->px, e->py)), to = fabs(edge_side(of, e->qx, e->qy));

    return lesser(greater(before, from), greater(after, to));
}

static bool check_pair(void *context, size_t i, size_t j)
{
    struct seal *s = context;
    const struct edge *a = &s->edges[i], *b = &s->edges[j];
    const double near = 4 * s->same;
    struct rab_point at[2];
    int count, inside = 0;

    if (is_next(s, i, j) || is_next(s, j, i)) {
        if (is_next(s, i, j) && is_next(s, j, i))
            count = 0;
        else if (is_next(s, i, j))
            count = edge_meet_next(a, b, s->same, at);
        else
            count = edge_meet_next(b, a, s->same, at);
    } else {
        if (edge_distance(b, a->px, a->py) <= near || edge_distance(a, b->px, b->py) <= near ||
            edge_distance(b, a->qx, a->qy) <= near || edge_distance(a, b->qx, b->qy) <= near)
            s->touching[s->loop[i]] = s->touching[s->loop[j]] = true;
        count = edge_meet(a, b, s->same, at);
    }
    for (int k = 0; k < count; k++)
        if (edge_spans(a, at[k].x, at[k].y) && edge_spans(b, at[k].x, at[k].y) &&
            at_ends(a, at[k]) > near && at_ends(b, at[k]) > near)
            at[inside++] = at[k];
    if (inside == 1 && depth_beyond(a, b, at[0]) > near && depth_beyond(b, a, at[0]) > near)
        return fault_at(s, at[0].x, at[0].y, "crosses itself");
    if (inside == 2) {
        const double x = (at[0].x + at[1].x) / 2, y = (at[0].y + at[1].y) / 2;
        if (fabs(edge_side(a, x, y) - edge_side(b, x, y)) > near &&
            fabs(edge_side(a, x, y) + edge_side(b, x, y)) > near)
            return fault_at(s, at[0].x, at[0].y, "crosses itself");
    }
    return true;
}

/* Beside a point part of the way along an edge: material to the left, none to the right? */
static bool sides_right(const struct seal *s, size_t i, double part)
{
    const struct edge *e = &s->edges[i];
    const struct rab_point at = edge_part_way(e, part);
    const double dx = e->qx - e->px, dy = e->qy - e->py, x = at.x, y = at.y;
    const int others =
        edges_winding(&s->tree, s->edges, NULL, 0, s->n, x, y) - edge_winding(e, x, y);

    /* By the rule for rays, a point on a level line counts as lying above it. */
    if (e->bulge == 0 && dy == 0)
        return others == (dx > 0);
    /* What the edge itself adds just to its right: the point lies left of the chord of a clockwise
     * arc, and inside its segment; else right of the chord, outside the segment. */
    const bool left = e->bulge < 0;
    int own = left ? -1 : 0;
    if (e->py <= y && y < e->qy)
        own += left;
    else if (e->qy <= y && y < e->py)
        own -= !left;
    return others + own == 0;
}

static bool check_sides(struct seal *s)
{
    for (size_t i = 0; i < s->n; i++) {
        if (!s->touching[s->loop[i]] || s->edges[i].chord < 20 * s->same)
            continue;
        if (!sides_right(s, i, 0.2718) && !sides_right(s, i, 0.6237) && !sides_right(s, i, 0.87))
            return fault_at(s, s->edges[i].px, s->edges[i].py, "has paper on both sides");
    }
    return true;
}

/* ---- the tree ---- */

struct within {
    struct seal *s;
    const uint32_t *order;
    size_t loop;
};

static bool loop_around(const struct seal *s, size_t outer, double x, double y)
{
    return chain_winding(&s->tree, s->edges, s->first[outer], s->first[outer + 1], x, y) != 0;
}

static bool try_parent(void *context, size_t item)
{
    struct within *w = context;
    struct seal *s = w->s;
    const size_t outer = w->order[item], inner = w->loop;

    if (outer == inner || fabs(s->area[outer]) <= fabs(s->area[inner]))
        return true;
    const struct edge *e = &s->edges[s->first[inner]];
    bool in = loop_around(s, outer, e->px, e->py);
    if (s->touching[inner] && s->touching[outer]) {
        /* Vertices and middles of sides may well lie on the other outline; points along the sides
         * that no drawing has a reason to meet decide by majority. */
        const size_t n = s->first[inner + 1] - s->first[inner], sides = n < 5 ? n : 5;
        int votes = 0;
        for (size_t i = 0; i < 2 * sides; i++) {
            const struct rab_point p =
                edge_part_way(&e[i / 2 * n / sides], i % 2 ? 0.2718 : 0.6237);
            votes += loop_around(s, outer, p.x, p.y) ? 1 : -1;
        }
        in = votes > 0 || (votes == 0 && in);
    }
    if (in) {
        s->depth[inner]++;
        if (s->parent[inner] == RAB_NO_PARENT ||
            fabs(s->area[outer]) < fabs(s->area[s->parent[inner]]))
            s->parent[inner] = outer;
    }
    return true;
}

static bool find_parents(struct seal *s)
{
    struct box_tree boxes = {0};
    struct rab_box *box = take(s->count, sizeof *box, s->err);
    uint32_t *order = take(s->count, sizeof *order, s->err);
    bool ok = false;

    if (!box || !order || !box_tree_reserve(&boxes, s->count, s->err))
        goto done;
    for (size_t i = 0; i < s->count; i++) {
        box[i] = RAB_BOX_EMPTY;
        for (uint32_t e = s->first[i]; e < s->first[i + 1]; e++)
            box[i] = rab_box_join(box[i], s->tree.boxes[e]);
        s->parent[i] = RAB_NO_PARENT;
        s->depth[i] = 0;
    }
    if (!box_tree_order(box, s->count, order, s->err))
        goto done;
    for (size_t i = 0; i < s->count; i++)
        boxes.boxes[i] = box[order[i]];
    box_tree_finish(&boxes);
    struct within w = {s, order, 0};
    for (size_t i = 0; i < s->count; i++) {
        const struct edge *e = &s->edges[s->first[i]];
        const double near = 4 * s->same; /* a touching outline's box may just miss the corner */
        const struct rab_box at = {e->px - near, e->py - near, e->px + near, e->py + near};
        w.loop = i;
        box_tree_query(&boxes, at, try_parent, &w);
        if ((s->depth[i] % 2 == 0) != (s->area[i] > 0)) {
            fault_at(s, e->px, e->py, "has an outline the wrong way round");
            goto done;
        }
    }
    ok = true;
done:
    free(box);
    free(order);
    box_tree_clear(&boxes);
    return ok;
}

static bool prove(struct seal *s)
{
    return load(s) && box_tree_pairs(&s->tree, check_pair, s) && check_sides(s) && find_parents(s);
}

static void seal_clear(struct seal *s)
{
    free(s->edges);
    free(s->loop);
    free(s->first);
    free(s->touching);
    free(s->area);
    free(s->parent);
    free(s->depth);
    box_tree_clear(&s->tree);
}

bool region_nest(struct rab_outline *outlines, size_t count, double same, struct rab_region *out,
                 struct rab_error *err)
{
    struct seal s = {.outlines = outlines, .count = count, .same = same, .err = err};
    struct rab_region made = {0};
    uint32_t *place = NULL, *fill = NULL, deepest = 0;
    bool ok = false;

    if (!prove(&s) || !(place = take(count, sizeof *place, err)) ||
        !(made.outlines = take(count, sizeof *made.outlines, err)) ||
        !(made.parents = take(count, sizeof *made.parents, err)))
        goto done;
    for (size_t i = 0; i < count; i++)
        if (s.depth[i] > deepest)
            deepest = s.depth[i];
    /* Parents first: by depth, else as they came (counting sort). */
    if (!(fill = take(deepest + 2u, sizeof *fill, err)))
        goto done;
    memset(fill, 0, (deepest + 2u) * sizeof *fill);
    for (size_t i = 0; i < count; i++)
        fill[s.depth[i] + 1]++;
    for (uint32_t d = 0; d < deepest; d++)
        fill[d + 1] += fill[d];
    for (size_t i = 0; i < count; i++)
        place[i] = fill[s.depth[i]]++;
    for (size_t i = 0; i < count; i++) {
        made.outlines[place[i]] = outlines[i];
        made.parents[place[i]] = s.parent[i] == RAB_NO_PARENT ? RAB_NO_PARENT : place[s.parent[i]];
    }
    made.count = count;
    *out = made;
    made = (struct rab_region){0};
    ok = true;
done:
    free(made.outlines);
    free(made.parents);
    free(place);
    free(fill);
    seal_clear(&s);
    return ok;
}

bool rab_region_check(const struct rab_region *region, struct rab_error *err)
{
    for (size_t i = 0; i < region->count; i++) {
        const struct rab_outline *o = &region->outlines[i];
        if (o->open || o->count < 2)
            return rab_fail(err, RAB_FAULT_GEOMETRY, "an outline of the region is not closed");
        for (size_t v = 0; v < o->count; v++)
            if (!isfinite(o->vertices[v].x + o->vertices[v].y + o->vertices[v].bulge))
                return rab_fail(err, RAB_FAULT_GEOMETRY, "a corner of the region is not a number");
    }
    /* By the room's rule for doubtful cases a result may have been made with coarser welds. */
    for (double same = RAB_SAME_POINT;; same *= 10) {
        struct rab_error this = {0};
        struct seal s = {
            .outlines = region->outlines, .count = region->count, .same = same, .err = &this};
        bool ok = prove(&s);
        for (size_t i = 0; i < region->count && ok; i++) {
            const size_t parent = region->parents[i];
            if (parent != s.parent[i] || (parent != RAB_NO_PARENT && parent >= i))
                ok =
                    rab_fail(&this, RAB_FAULT_GEOMETRY, "the region's outlines are nested wrongly");
        }
        seal_clear(&s);
        if (ok)
            return true;
        if (this.fault != RAB_FAULT_GEOMETRY || same > 50 * RAB_SAME_POINT)
            return rab_fail(err, this.fault, "%s", this.text);
    }
}
