/*
 * Growing and shrinking. Every edge is moved sideways as it is, arcs about their own centre;
 * corners that open are closed by an arc about the corner, corners that close are led through the
 * corner itself. The winding number of the resulting chain is that of the region plus (minus,
 * inwards) the number of strips and sectors that cover a point, so that 'above 0' is exactly what
 * is within (further than) the distance. docs/geometry.md has the argument.
 *
 * An arc bent towards its moved side with a radius under the distance sweeps no further than its
 * centre: the strip there is the sector, and nothing is covered the wrong way round.
 */
#include "arrange.h"

#include <stdlib.h>
#include <string.h>

/* Corners that turn less than this sideways step are not given an arc of their own. */
static const double least_step = 1e-6;

struct mover {
    double distance; /* above 0 */
    double side;     /* +1 to the right (outwards), -1 to the left */
    enum rab_join join;
    double limit;
    bool trim; /* cut closing corners short where the two moved edges meet beside them */
    double same;
    struct chains chains;
    struct edge *edges; /* of the outline in work */
    struct moved *moved;
    size_t capacity, moved_capacity;
    struct rab_error *err;
};

/* An edge moved sideways. */
struct moved {
    double depth;            /* the distance, or the radius where that is less */
    struct edge edge;        /* when it has a length */
    bool point;              /* it has shrunk to its centre, edge.px, py */
    bool cut_start, cut_end; /* shortened to meet its neighbour */
    struct rab_point start, end;
};

static struct rab_point sideways(const struct mover *m, struct rab_point at,
                                 struct rab_point tangent, double by)
{
    return (struct rab_point){at.x + m->side * by * tangent.y, at.y - m->side * by * tangent.x};
}

static void move_edge(const struct mover *m, const struct edge *e, struct moved *out)
{
    const double in = m->side * e->k; /* curvature away from the moved side is positive */
    const double radius = in < 0 ? -1 / in : 1e300;

    *out = (struct moved){.depth = lesser(m->distance, radius)};
    out->start = sideways(m, (struct rab_point){e->px, e->py}, edge_leaves(e), out->depth);
    out->end = sideways(m, (struct rab_point){e->qx, e->qy}, edge_arrives(e), out->depth);
    out->point = radius - m->distance <= m->same ||
                 length_of(out->start.x - out->end.x, out->start.y - out->end.y) <= m->same;
    if (out->point)
        out->end = out->start;
    else
        out->edge = edge_make(out->start.x, out->start.y, out->end.x, out->end.y, e->bulge);
}

static bool add(struct mover *m, struct rab_point p, double bulge)
{
    return chains_add(&m->chains, p.x, p.y, bulge, m->same, m->err);
}

/* Turn from one edge's direction to the next one's, about -pi to pi. On a way nearly straight back
 * the directions at the corner, which very short edges do not hold well, leave the sign in doubt:
 * the side on which one edge lies of the other decides. */
static double turn_at(const struct edge *e, const struct edge *next)
{
    const struct rab_point t = edge_arrives(e), u = edge_leaves(next);
    const double cross = t.x * u.y - t.y * u.x, dot = t.x * u.x + t.y * u.y;
    const double turn = atan2(cross, dot);

    if (dot < 0 && fabs(cross) < 0.1) {
        const struct edge back = edge_back(e);
        const bool next_short = next->chord <= back.chord;
        const struct edge *s = next_short ? next : &back, *l = next_short ? &back : next;
        const struct rab_point m = edge_middle(s);
        const double side = edge_side(l, m.x, m.y);
        /* Left of the way back is right of the way there: a turn to the right. */
        const bool right_turn = next_short ? side < 0 : side > 0;
        if (right_turn != (turn < 0))
            return right_turn ? turn - 2 * RAB_PI : turn + 2 * RAB_PI;
    }
    return turn;
}

/* Where the moved edges meet before a corner that closes, so that the loop behind it, which is
 * covered twice, need not be drawn. */
static bool meet_before(const struct mover *m, const struct moved *a, const struct moved *b,
                        struct rab_point *at)
{
    struct rab_point found[2];

    if (a->point || b->point)
        return false;
    const int n = edge_meet(&a->edge, &b->edge, m->same, found);
    double best = 1e300;
    for (int i = 0; i < n; i++) {
        const double x = found[i].x, y = found[i].y;
        const double away = length_of(x - a->edge.qx, y - a->edge.qy);
        if (edge_spans(&a->edge, x, y) && edge_spans(&b->edge, x, y) && away < best) {
            best = away;
            *at = found[i];
        }
    }
    return best < 1e300;
}

/* A corner so small that no arc is worth while: both edges are led to the point of the mitre. */
static bool meet_small(const struct mover *m, size_t i, size_t j, struct rab_point *at)
{
    const struct edge *e = &m->edges[i], *next = &m->edges[j];
    const double turn = turn_at(e, next), cosine = cos(turn / 2);
    const struct rab_point t = edge_arrives(e), u = edge_leaves(next);
    const struct rab_point way = {t.x + u.x, t.y + u.y};

    if (m->moved[i].point || m->moved[j].point || fabs(turn) * m->distance > least_step ||
        cosine < 0.1 || m->moved[i].depth < m->distance || m->moved[j].depth < m->distance)
        return false;
    const double length = length_of(way.x, way.y);
    *at = sideways(m, (struct rab_point){e->qx, e->qy},
                   (struct rab_point){way.x / length, way.y / length}, m->distance / cosine);
    return true;
}

static void trim_corners(struct mover *m, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const size_t j = i + 1 < n ? i + 1 : 0;
        struct moved *a = &m->moved[i], *b = &m->moved[j];
        struct rab_point at;
        if (meet_small(m, i, j, &at) ||
            (m->trim && n > 2 && m->side * turn_at(&m->edges[i], &m->edges[j]) < 0 &&
             meet_before(m, a, b, &at))) {
            a->end = b->start = at;
            a->cut_end = b->cut_start = true;
        }
    }
    /* Both ends of an edge cut past each other: neither holds. */
    for (size_t i = 0; i < n; i++) {
        struct moved *a = &m->moved[i];
        if (a->cut_start && a->cut_end &&
            edge_key(&a->edge, a->start.x, a->start.y) >= edge_key(&a->edge, a->end.x, a->end.y)) {
            struct moved *before = &m->moved[i > 0 ? i - 1 : n - 1];
            struct moved *after = &m->moved[i + 1 < n ? i + 1 : 0];
            before->cut_end = a->cut_start = a->cut_end = after->cut_start = false;
        }
    }
    for (size_t i = 0; i < n; i++) {
        struct moved *a = &m->moved[i];
        if (!a->cut_start && !a->point)
            a->start = (struct rab_point){a->edge.px, a->edge.py};
        if (!a->cut_end && !a->point)
            a->end = (struct rab_point){a->edge.qx, a->edge.qy};
    }
}

/* The bulge of a moved edge between its ends as they are now. */
static double moved_bulge(const struct moved *a)
{
    return a->cut_start || a->cut_end ? edge_part(&a->edge, a->start, a->end) : a->edge.bulge;
}

/* From the end of one moved edge to the start of the next, past their corner. */
static bool round_corner(struct mover *m, const struct edge *e, const struct edge *next,
                         const struct moved *a, double next_depth)
{
    const struct rab_point corner = {e->qx, e->qy};
    const struct rab_point t = edge_arrives(e), u = edge_leaves(next);
    const double turn = turn_at(e, next);

    if (a->cut_end)
        return true;
    if (!add(m, a->end, 0))
        return false;
    if (a->depth == next_depth && fabs(turn) * m->distance <= m->same)
        return true;
    if (m->side * turn < 0)
        return add(m, corner, 0);
    const struct rab_point from = sideways(m, corner, t, m->distance);
    const struct rab_point to = sideways(m, corner, u, m->distance);
    const double cosine = cos(turn / 2);
    if (m->join == RAB_JOIN_MITRE && cosine * m->limit >= 1) {
        const double reach = m->distance / cosine;
        const struct rab_point way = {t.x + u.x, t.y + u.y};
        const double length = length_of(way.x, way.y);
        const struct rab_point tip =
            sideways(m, corner, (struct rab_point){way.x / length, way.y / length}, reach);
        return add(m, from, 0) && add(m, tip, 0) && add(m, to, 0);
    }
    return add(m, from, tan(turn / 4)) && add(m, to, 0);
}

/* The outline's edges without those that are hardly longer than one point: their directions are
 * rounding, and corners are judged by directions. */
static size_t take_edges(struct mover *m, const struct rab_outline *o)
{
    const double short_edge = 4 * m->same;
    struct rab_vertex from = o->vertices[0];
    size_t n = 0;

    for (size_t i = 1; i <= o->count; i++) {
        const struct rab_vertex v = o->vertices[i < o->count ? i : 0];
        if (length_of(v.x - from.x, v.y - from.y) > short_edge) {
            m->edges[n++] = edge_make(from.x, from.y, v.x, v.y, from.bulge);
            from = v;
        } else if (i < o->count) {
            from.bulge = v.bulge;
        }
    }
    /* A short last edge: the one before it leads to the start. */
    const struct rab_vertex end = o->vertices[0];
    if (n > 0 && (m->edges[n - 1].qx != end.x || m->edges[n - 1].qy != end.y))
        m->edges[n - 1] =
            edge_make(m->edges[n - 1].px, m->edges[n - 1].py, end.x, end.y, m->edges[n - 1].bulge);
    return n;
}

/* Is an outline that is to close up narrower than twice the distance? Then nothing is left inside
 * it, neither of a hole that is grown over nor of paper that is shrunk away. */
static bool closes_up(const struct mover *m, const struct rab_outline *o)
{
    const struct rab_box b = rab_outline_box(o);

    return lesser(b.x1 - b.x0, b.y1 - b.y0) < 2 * m->distance - least_step &&
           m->side * rab_outline_area(o) < 0;
}

static bool move_outline(struct mover *m, const struct rab_outline *o)
{
    if (closes_up(m, o))
        return true;
    if (!rab_reserve((void **)&m->edges, &m->capacity, o->count, sizeof *m->edges, m->err) ||
        !rab_reserve((void **)&m->moved, &m->moved_capacity, o->count, sizeof *m->moved, m->err))
        return false;
    const size_t n = take_edges(m, o);
    if (n < 2)
        return true;
    for (size_t i = 0; i < n; i++)
        move_edge(m, &m->edges[i], &m->moved[i]);
    trim_corners(m, n);
    for (size_t i = 0; i < n; i++) {
        const size_t j = i + 1 < n ? i + 1 : 0;
        const struct moved *a = &m->moved[i];
        if ((!a->point && !add(m, a->start, moved_bulge(a))) ||
            !round_corner(m, &m->edges[i], &m->edges[j], a, m->moved[j].depth))
            return false;
    }
    return chains_end(&m->chains, m->same, false, m->err);
}

/* ---- the check: nothing of the result's edge is nearer to the region's edge than the distance.
 * That it is no further needs no check: every moved edge lies at the distance from its own source
 * or, led through a corner, nearer. ---- */

struct nearest {
    const struct edge *edges;
};

static double distance2(void *context, size_t item, struct rab_point p)
{
    const struct nearest *n = context;
    const double d = edge_distance(&n->edges[item], p.x, p.y);

    return d * d;
}

static bool check_distance(const struct rab_region *in, const struct rab_region *made,
                           double distance, double same, struct rab_error *err)
{
    struct box_tree tree = {0};
    struct edge *edges = NULL;
    size_t n = rab_region_vertices(in), at = 0;
    bool ok = false;

    if (!(edges = take(n, sizeof *edges, err)) || !box_tree_reserve(&tree, n, err))
        goto done;
    for (size_t i = 0; i < in->count; i++) {
        const struct rab_outline *o = &in->outlines[i];
        for (size_t v = 0; v < o->count; v++, at++) {
            const struct rab_vertex a = o->vertices[v],
                                    b = o->vertices[v + 1 < o->count ? v + 1 : 0];
            edges[at] = edge_make(a.x, a.y, b.x, b.y, a.bulge);
            tree.boxes[at] = edge_box(&edges[at], 0);
        }
    }
    box_tree_finish(&tree);
    struct nearest nearest = {edges};
    const double least = distance - 8 * same - 2 * least_step;
    for (size_t i = 0; i < made->count; i++) {
        const struct rab_outline *o = &made->outlines[i];
        for (size_t v = 0; v < o->count; v++) {
            const struct rab_vertex a = o->vertices[v],
                                    b = o->vertices[v + 1 < o->count ? v + 1 : 0];
            const struct edge e = edge_make(a.x, a.y, b.x, b.y, a.bulge);
            const struct rab_point p = edge_middle(&e);
            double best2 = least > 0 ? least * least : 0;
            if (least > 0 && box_tree_nearest(&tree, p, distance2, &nearest, &best2) < n) {
                rab_fail(err, RAB_FAULT_GEOMETRY,
                         "the edge cannot be moved that far without doubt");
                goto done;
            }
        }
    }
    ok = true;
done:
    free(edges);
    box_tree_clear(&tree);
    return ok;
}

static bool attempt(const struct rab_region *in, double distance, enum rab_join join, double limit,
                    double same, bool trim, struct rab_region *out, struct rab_error *err)
{
    struct mover m = {.distance = fabs(distance),
                      .side = distance > 0 ? 1 : -1,
                      .join = join,
                      .limit = limit,
                      .trim = trim,
                      .same = same,
                      .err = err};
    struct rab_region made = {0};
    bool ok = false;

    for (size_t i = 0; i < in->count; i++)
        if (!move_outline(&m, &in->outlines[i]))
            goto done;
    if (!arrange(&m.chains, RULE_POSITIVE, same, &made, err) ||
        !check_distance(in, &made, m.distance, same, err))
        goto done;
    *out = made;
    made = (struct rab_region){0};
    ok = true;
done:
    rab_region_clear(&made);
    chains_clear(&m.chains);
    free(m.edges);
    free(m.moved);
    return ok;
}

bool rab_region_grow(const struct rab_region *in, double distance, enum rab_join join, double limit,
                     struct rab_region *out, struct rab_error *err)
{
    if (!(fabs(distance) <= 1e6))
        return rab_fail(err, RAB_FAULT_GEOMETRY, "a seam of more than a kilometre is no seam");
    if (limit == 0)
        limit = 4;
    if (!(limit >= 1))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "a mitre limit under 1 leaves no corner; give 1 or more");
    if (fabs(distance) <= 1e-12 || in->count == 0)
        return rab_region_copy(in, out, err);
    for (int i = 0; i < 4; i++) {
        /* Once more without short cuts at corners, then with coarser welds. */
        struct rab_error this = {0};
        const double same = RAB_SAME_POINT * (i < 2 ? 1 : i == 2 ? 10 : 100);
        if (attempt(in, distance, join, limit, same, i == 0, out, &this))
            return true;
        if (this.fault != RAB_FAULT_GEOMETRY || i == 3)
            return rab_fail(err, this.fault, "%s", this.text);
    }
    return false;
}
