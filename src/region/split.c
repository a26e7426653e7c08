/* The first half of the arrangement: where edges meet, and the pieces that result. */
#include "arrange.h"

#include <stdlib.h>
#include <string.h>

struct search {
    struct arrangement *arr;
    struct rab_error *err;
    bool failed;
};

static uint32_t root_of(struct arrangement *arr, uint32_t v)
{
    while (arr->vertex[v].root != v) {
        arr->vertex[v].root = arr->vertex[arr->vertex[v].root].root;
        v = arr->vertex[v].root;
    }
    return v;
}

/* Original vertices have a chain, meeting points (numbered after them) are in touched ones. */
static void touch(struct arrangement *arr, uint32_t v)
{
    if (v < arr->edges)
        arr->touched[arr->chain[v]] = true;
}

/* The lower number stands for both: original vertices keep their places. */
static void unite(struct arrangement *arr, uint32_t v, uint32_t w)
{
    touch(arr, v);
    touch(arr, w);
    v = root_of(arr, v);
    w = root_of(arr, w);
    if (v < w)
        arr->vertex[w].root = v;
    else
        arr->vertex[v].root = w;
}

static bool add_meeting(struct search *s, uint32_t edge, uint32_t vertex)
{
    struct arrangement *arr = s->arr;
    const struct vertex *at = &arr->vertex[vertex];

    if (arr->meetings >= UINT32_MAX / 8) {
        s->failed = true;
        return rab_fail(s->err, RAB_FAULT_GEOMETRY,
                        "outlines cross more than 500 million times; simplify the drawing");
    }
    if (!rab_reserve((void **)&arr->meeting, &arr->meeting_capacity, arr->meetings + 1,
                     sizeof *arr->meeting, s->err)) {
        s->failed = true;
        return false;
    }
    arr->meeting[arr->meetings++] =
        (struct meeting){edge, vertex, edge_key(&arr->edge[edge], at->x, at->y)};
    arr->touched[arr->chain[edge]] = true;
    touch(arr, vertex);
    return true;
}

static bool add_vertex(struct search *s, struct rab_point at, uint32_t *vertex)
{
    struct arrangement *arr = s->arr;

    if (!rab_reserve((void **)&arr->vertex, &arr->vertex_capacity, arr->vertices + 1,
                     sizeof *arr->vertex, s->err)) {
        s->failed = true;
        return false;
    }
    *vertex = (uint32_t)arr->vertices;
    arr->vertex[arr->vertices++] = (struct vertex){at.x, at.y, *vertex};
    return true;
}

static bool near_point(double ax, double ay, double bx, double by, double same)
{
    const double dx = ax - bx, dy = ay - by;

    return dx * dx + dy * dy <= same * same;
}

/* Vertex v, which is no end of the edge: does the edge pass within `same` of it? */
static bool pass(struct search *s, uint32_t v, uint32_t edge)
{
    struct arrangement *arr = s->arr;
    const struct edge *e = &arr->edge[edge];
    const double x = arr->vertex[v].x, y = arr->vertex[v].y;

    if (near_point(x, y, e->px, e->py, arr->same)) {
        unite(arr, v, edge);
        return true;
    }
    if (near_point(x, y, e->qx, e->qy, arr->same)) {
        unite(arr, v, arr->next[edge]);
        return true;
    }
    if (fabs(edge_side(e, x, y)) <= arr->same && edge_spans(e, x, y))
        return add_meeting(s, edge, v);
    return true;
}

/* Near a tangency rounding puts the meeting of two curves well beside the vertex at which they
 * touch. Where they do not part in between, it is that vertex and no other. */
static bool same_touch(const struct edge *a, const struct edge *b, double vx, double vy, double x,
                       double y, double same)
{
    if (fabs(edge_side(a, vx, vy)) > same || fabs(edge_side(b, vx, vy)) > same)
        return false;
    const double mx = (vx + x) / 2, my = (vy + y) / 2;
    const double ax = a->k * (mx - a->px) - a->nx, ay = a->k * (my - a->py) - a->ny;
    const double bx = b->k * (mx - b->px) - b->nx, by = b->k * (my - b->py) - b->ny;
    const double sa = edge_side(a, mx, my), sb = edge_side(b, mx, my);

    return fabs(ax * bx + ay * by > 0 ? sa - sb : sa + sb) <= same / 4 && fabs(sa) <= 10 * same;
}

static bool inside(const struct rab_box *b, double x, double y)
{
    return b->x0 <= x && x <= b->x1 && b->y0 <= y && y <= b->y1;
}

static bool meet_pair(void *context, size_t first, size_t second)
{
    struct search *s = context;
    struct arrangement *arr = s->arr;
    const uint32_t i = (uint32_t)first, j = (uint32_t)second;
    const struct edge *a = &arr->edge[i], *b = &arr->edge[j];
    const bool i_first = arr->next[i] == j, j_first = arr->next[j] == i;
    struct rab_point at[2];
    int count;

    /* Every vertex is the start of one edge, so starts are enough. */
    if (!j_first && inside(&arr->tree.boxes[j], a->px, a->py) && !pass(s, i, j))
        return false;
    if (!i_first && inside(&arr->tree.boxes[i], b->px, b->py) && !pass(s, j, i))
        return false;
    if (i_first && j_first) {
        /* A chain of two edges meets at both vertices; it may fold onto itself. */
        if (fabs(a->bulge + b->bulge) * a->chord <= 4 * arr->same)
            arr->touched[arr->chain[i]] = true;
        return true;
    }
    if (i_first)
        count = edge_meet_next(a, b, arr->same, at);
    else if (j_first)
        count = edge_meet_next(b, a, arr->same, at);
    else
        count = edge_meet(a, b, arr->same, at);
    for (int n = 0; n < count; n++) {
        uint32_t v;
        const double x = at[n].x, y = at[n].y;
        if (!edge_spans(a, x, y) || !edge_spans(b, x, y) ||
            near_point(x, y, a->px, a->py, arr->same) ||
            near_point(x, y, a->qx, a->qy, arr->same) ||
            near_point(x, y, b->px, b->py, arr->same) ||
            near_point(x, y, b->qx, b->qy, arr->same) ||
            same_touch(a, b, a->px, a->py, x, y, arr->same) ||
            same_touch(a, b, a->qx, a->qy, x, y, arr->same) ||
            same_touch(a, b, b->px, b->py, x, y, arr->same) ||
            same_touch(a, b, b->qx, b->qy, x, y, arr->same))
            continue;
        if (!add_vertex(s, at[n], &v) || !add_meeting(s, i, v) || !add_meeting(s, j, v))
            return false;
    }
    return true;
}

struct pass_by {
    struct search *s;
    uint32_t vertex, a, b; /* the meeting point and the two edges that made it */
};

static bool pass_third(void *context, size_t item)
{
    struct pass_by *p = context;
    const uint32_t edge = (uint32_t)item;

    return edge == p->a || edge == p->b || pass(p->s, p->vertex, edge);
}

/* Edges that pass a crossing of two others without meeting either near it: they are split there
 * too, so that no edge passes within `same` of a vertex. */
static bool meet_crossings(struct search *s)
{
    struct arrangement *arr = s->arr;
    const size_t n = arr->meetings;

    for (size_t i = 0; i + 1 < n; i++) {
        const struct meeting m = arr->meeting[i];
        if (m.vertex < arr->edges || arr->meeting[i + 1].vertex != m.vertex)
            continue;
        struct pass_by p = {s, m.vertex, m.edge, arr->meeting[i + 1].edge};
        const double x = arr->vertex[m.vertex].x, y = arr->vertex[m.vertex].y;
        const struct rab_box box = {x, y, x, y};
        if (!box_tree_query(&arr->tree, box, pass_third, &p))
            return false;
    }
    return true;
}

static int by_key(const void *a, const void *b)
{
    const struct meeting *m = a, *n = b;

    if (m->edge != n->edge)
        return m->edge < n->edge ? -1 : 1;
    if (m->key != n->key)
        return m->key < n->key ? -1 : 1;
    return m->vertex < n->vertex ? -1 : m->vertex > n->vertex;
}

static bool load(struct arrangement *arr, const struct chains *chains, struct rab_error *err)
{
    const size_t n = chains->count;

    arr->edges = (uint32_t)n;
    arr->chains = (uint32_t)chains->chains;
    arr->vertices = arr->vertex_capacity = n;
    if (!(arr->edge = take(n, sizeof *arr->edge, err)) ||
        !(arr->next = take(n, sizeof *arr->next, err)) ||
        !(arr->chain = take(n, sizeof *arr->chain, err)) ||
        !(arr->vertex = take(n, sizeof *arr->vertex, err)) ||
        !(arr->touched = take(arr->chains, sizeof *arr->touched, err)) ||
        !(arr->chain_start = take(arr->chains + 1u, sizeof *arr->chain_start, err)) ||
        !box_tree_reserve(&arr->tree, n, err))
        return false;
    memset(arr->touched, 0, arr->chains);
    for (uint32_t c = 0; c < arr->chains; c++) {
        const uint32_t from = (uint32_t)chains->start[c], to = (uint32_t)chains->start[c + 1];
        arr->chain_start[c] = from;
        for (uint32_t i = from; i < to; i++) {
            const uint32_t next = i + 1 < to ? i + 1 : from;
            const struct rab_vertex v = chains->vertices[i], w = chains->vertices[next];
            arr->edge[i] = edge_make(v.x, v.y, w.x, w.y, v.bulge);
            arr->next[i] = next;
            arr->chain[i] = c;
            arr->vertex[i] = (struct vertex){v.x, v.y, i};
            arr->tree.boxes[i] = edge_box(&arr->edge[i], arr->same);
        }
    }
    arr->chain_start[arr->chains] = arr->edges;
    box_tree_finish(&arr->tree);
    return true;
}

/* Neighbours along an edge that are one point become one vertex. */
static void unite_along(struct arrangement *arr)
{
    for (size_t m = 0; m < arr->meetings;) {
        const uint32_t edge = arr->meeting[m].edge;
        uint32_t last = edge;
        for (;; m++) {
            const bool end = m == arr->meetings || arr->meeting[m].edge != edge;
            const uint32_t v = end ? arr->next[edge] : arr->meeting[m].vertex;
            const struct vertex *p = &arr->vertex[last], *q = &arr->vertex[v];
            if (near_point(p->x, p->y, q->x, q->y, arr->same))
                unite(arr, last, v);
            if (end)
                break;
            last = v;
        }
    }
}

static void add_piece(struct arrangement *arr, uint32_t *slot, uint32_t edge, uint32_t v,
                      uint32_t w, bool whole)
{
    const struct edge *e = &arr->edge[edge];
    const uint32_t ends[2] = {root_of(arr, v), root_of(arr, w)};
    uint32_t spots[2];

    if (ends[0] == ends[1])
        return;
    const double bulge =
        whole ? e->bulge
              : edge_part(e, (struct rab_point){arr->vertex[ends[0]].x, arr->vertex[ends[0]].y},
                          (struct rab_point){arr->vertex[ends[1]].x, arr->vertex[ends[1]].y});
    for (int i = 0; i < 2; i++) {
        if (slot[ends[i]] == NOTHING) {
            slot[ends[i]] = arr->spots;
            arr->spot[arr->spots++] =
                (struct rab_point){arr->vertex[ends[i]].x, arr->vertex[ends[i]].y};
        }
        spots[i] = slot[ends[i]];
    }
    arr->piece[arr->pieces++] =
        (struct piece){spots[0], spots[1], bulge, edge, 1, 0, NOTHING, false};
}

static bool cut(struct arrangement *arr, struct rab_error *err)
{
    size_t room = arr->meetings, m = 0;
    uint32_t *slot = NULL;

    for (uint32_t c = 0; c < arr->chains; c++)
        if (arr->touched[c])
            room += arr->chain_start[c + 1] - arr->chain_start[c];
    if (!(arr->piece = take(room, sizeof *arr->piece, err)) ||
        !(arr->spot = take(room + 1, sizeof *arr->spot, err)) ||
        !(slot = take(arr->vertices, sizeof *slot, err)))
        return false;
    memset(slot, 0xff, arr->vertices * sizeof *slot);
    for (uint32_t c = 0; c < arr->chains; c++) {
        if (!arr->touched[c])
            continue;
        for (uint32_t i = arr->chain_start[c]; i < arr->chain_start[c + 1]; i++) {
            uint32_t v = i;
            const bool whole = m == arr->meetings || arr->meeting[m].edge != i;
            for (; m < arr->meetings && arr->meeting[m].edge == i; m++) {
                add_piece(arr, slot, i, v, arr->meeting[m].vertex, false);
                v = arr->meeting[m].vertex;
            }
            add_piece(arr, slot, i, v, arr->next[i], whole);
        }
    }
    free(slot);
    return true;
}

bool arrangement_split(struct arrangement *arr, const struct chains *chains, struct rab_error *err)
{
    struct search s = {arr, err, false};

    if (!load(arr, chains, err) || !box_tree_pairs(&arr->tree, meet_pair, &s) ||
        !meet_crossings(&s))
        return false;
    if (arr->meetings > 1)
        qsort(arr->meeting, arr->meetings, sizeof *arr->meeting, by_key);
    unite_along(arr);
    return cut(arr, err);
}

void arrangement_clear(struct arrangement *arr)
{
    free(arr->edge);
    free(arr->next);
    free(arr->chain);
    free(arr->touched);
    free(arr->chain_start);
    box_tree_clear(&arr->tree);
    free(arr->vertex);
    free(arr->meeting);
    free(arr->piece);
    free(arr->around);
    free(arr->around_start);
    free(arr->spot);
    free(arr->by_component);
    free(arr->component);
    *arr = (struct arrangement){0};
}
