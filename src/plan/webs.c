/* Cuts that cross, and paper between cuts that is narrower than asked. */
#include "plan/inside.h"
#include "plan/look.h"

#include <math.h>
#include <stdlib.h>

enum {
    MOST_PAIRS = 8000000, /* edges held against each other: some seconds */
    MOST_WORK = 50000000, /* edges passed to see on which side of them paper is */
    MOST_PLACES = 200000, /* remembered at once */
    MOST_TOLD = 5000,
};
/* Two edges of one outline are a neck when the way round between them is so many times longer than
 * the way across; else they are the two sides of a corner. */
static const double round_about = 3;
static const double same_width = 1e-6;
/* What is drawn as wide as asked comes out of a file by so much narrower: half a digit on each
 * side. */
static const double rounding = 1e-4;

/* A narrow place. Of two paths, places in the same cell of the drawing are one: the narrowest. */
struct narrow {
    size_t first, second; /* paths */
    int64_t cx, cy;
    struct rab_point at;
    double width; /* 0: they cross */
};
/* On which side of a path paper lies. */
enum side { SIDE_UNKNOWN, SIDE_LEFT, SIDE_RIGHT };

struct webs {
    struct look *l;
    struct narrow *items;
    size_t count, capacity, pairs;
    struct inside inside;
    size_t *closed;      /* the number of each path among the closed cuts */
    unsigned char *side; /* of each path */
    bool failed;
};

/* ---- where paper lies ------------------------------------------------------------------ */

/* Closed cuts are nested by turns: beside the middle of an edge there is paper if, with the cut's
 * own, an odd number of them lies around. Edges that lie on others cannot tell. */
static enum side find_side(struct webs *w, size_t path)
{
    enum { TRIES = 8 };
    static const double on_it = 1e-5;
    const struct rab_outline *outline = &w->l->paths[path].outline;
    const bool left_is_inside = rab_outline_area(outline) > 0;
    bool paper_inside = true;

    for (size_t e = 0; e < outline->count && e < TRIES; e++) {
        const struct arc arc = arc_of(outline, e);
        bool unclear = false;
        int around = 1;
        inside_look(&w->inside, arc_at(&arc, 0.5, NULL), on_it);
        for (size_t n = 0; n < w->inside.listed_count; n++) {
            const size_t other = w->inside.listed[n];
            const struct inside_answer answer = w->inside.answers[other];
            if (other == w->closed[path])
                continue;
            unclear = unclear || answer.near;
            around += answer.winding;
        }
        paper_inside = around % 2 != 0;
        if (!unclear)
            break;
    }
    return paper_inside == left_is_inside ? SIDE_LEFT : SIDE_RIGHT;
}

/* The direction of a path at a point of one of its edges; at a corner, between those of its edges.
 */
static struct rab_point direction(const struct look *l, size_t edge, struct rab_point at)
{
    const struct look_edge *e = &l->edges[edge];
    const size_t count = l->paths[e->path].outline.count, first = edge - e->index;
    struct rab_point t, u = {0, 0};

    arc_at(&e->arc, arc_share(&e->arc, at), &t);
    if (at.x == e->arc.a.x && at.y == e->arc.a.y)
        u = l->edges[first + (e->index + count - 1) % count].arc.tb;
    else if (at.x == e->arc.b.x && at.y == e->arc.b.y)
        u = l->edges[first + (e->index + 1) % count].arc.ta;
    return (struct rab_point){t.x + u.x, t.y + u.y};
}

/* Does paper lie between a point of a closed cut and one that it faces? */
static bool faces_paper(struct webs *w, size_t edge, struct rab_point at, struct rab_point other)
{
    const struct look *l = w->l;
    const size_t path = l->edges[edge].path;
    const double turn = point_cross(direction(l, edge, at), point_minus(other, at));

    if (w->side[path] == SIDE_UNKNOWN)
        w->side[path] = (unsigned char)find_side(w, path);
    return (turn > 0) == (w->side[path] == SIDE_LEFT);
}

/* ---- narrow places --------------------------------------------------------------------- */

static int compare_narrow(const void *a, const void *b)
{
    const struct narrow *p = a, *q = b;

    if (p->first != q->first)
        return p->first < q->first ? -1 : 1;
    if (p->second != q->second)
        return p->second < q->second ? -1 : 1;
    if (p->width != q->width)
        return p->width < q->width ? -1 : 1;
    if (p->at.x != q->at.x)
        return p->at.x < q->at.x ? -1 : 1;
    return (p->at.y > q->at.y) - (p->at.y < q->at.y);
}

static int compare_cells(const void *a, const void *b)
{
    const struct narrow *p = a, *q = b;

    if (p->first != q->first)
        return p->first < q->first ? -1 : 1;
    if (p->second != q->second)
        return p->second < q->second ? -1 : 1;
    if ((p->width == 0) != (q->width == 0))
        return p->width == 0 ? -1 : 1;
    if (p->cx != q->cx)
        return p->cx < q->cx ? -1 : 1;
    if (p->cy != q->cy)
        return p->cy < q->cy ? -1 : 1;
    return compare_narrow(a, b);
}

/* Of places in one cell the narrowest, of crossings of two paths the first. */
static void thin_out(struct webs *w)
{
    size_t kept = 0;

    qsort(w->items, w->count, sizeof *w->items, compare_cells);
    for (size_t i = 0; i < w->count; i++) {
        const struct narrow *n = &w->items[i], *last = kept > 0 ? &w->items[kept - 1] : NULL;
        if (last && n->first == last->first && n->second == last->second &&
            (n->width == 0 ? last->width == 0
                           : last->width > 0 && n->cx == last->cx && n->cy == last->cy))
            continue;
        w->items[kept++] = *n;
    }
    w->count = kept;
}

static bool keep(struct webs *w, size_t p, size_t q, struct rab_point at, double width)
{
    const double cell = 4 * w->l->limits.web;
    void *items = w->items;

    if (w->count >= MOST_PLACES) {
        thin_out(w);
        if (w->count > MOST_PLACES / 2) {
            w->l->found.cut_short = true;
            return false;
        }
    }
    if (!rab_reserve(&items, &w->capacity, w->count + 1, sizeof *w->items, w->l->err)) {
        w->failed = true;
        return false;
    }
    w->items = items;
    w->items[w->count++] = (struct narrow){
        p < q ? p : q, p < q ? q : p, (int64_t)floor(at.x / cell), (int64_t)floor(at.y / cell), at,
        width};
    return true;
}

/* How far it is along the outline from one point to the other, the shorter way. */
static double way_round(const struct look *l, const struct look_edge *p, struct rab_point on_p,
                        const struct look_edge *q, struct rab_point on_q)
{
    const double a = p->along + arc_share(&p->arc, on_p) * arc_length(&p->arc);
    const double b = q->along + arc_share(&q->arc, on_q) * arc_length(&q->arc);
    const double straight = fabs(a - b);

    return l->paths[p->path].outline.open ? straight
                                          : fmin(straight, l->lengths[p->path] - straight);
}

/* Keep it when it is narrow, but no corner, and paper. */
static bool keep_narrow(struct webs *w, size_t first, struct rab_point a, size_t second,
                        struct rab_point b, double width)
{
    const struct look *l = w->l;
    const struct look_edge *p = &l->edges[first], *q = &l->edges[second];

    if (width >= l->limits.web - rounding || width <= LOOK_MEETING)
        return true; /* what meets is no web but a double line or a corner */
    if (p->path == q->path && way_round(l, p, a, q, b) < round_about * width)
        return true;
    if (!faces_paper(w, first, a, b) || !faces_paper(w, second, b, a))
        return true;
    return keep(w, p->path, q->path, (struct rab_point){(a.x + b.x) / 2, (a.y + b.y) / 2}, width);
}

/* Do they go through each other there, away from their ends, and not along each other? */
static bool cross(const struct arc *p, const struct arc *q, struct rab_point at)
{
    static const double least_angle = 1e-3;
    struct rab_point tp, tq;

    if (fmin(fmin(point_apart(at, p->a), point_apart(at, p->b)),
             fmin(point_apart(at, q->a), point_apart(at, q->b))) <= LOOK_MEETING)
        return false;
    arc_at(p, arc_share(p, at), &tp);
    arc_at(q, arc_share(q, at), &tq);
    return fabs(point_cross(tp, tq)) > least_angle;
}

static double boxes_apart(const struct rab_box *p, const struct rab_box *q, double larger)
{
    const double x = fmax(p->x0 - q->x1, q->x0 - p->x1), y = fmax(p->y0 - q->y1, q->y0 - p->y1);

    return fmax(0, fmax(x, y) + 2 * larger);
}

/* Crumbs of one line that follow each other: the way round is short whatever points are taken. The
 * edges by their places in the tree. */
static bool are_crumbs(const struct look *l, size_t first, size_t second)
{
    const struct look_edge *p = &l->edges[l->items.numbers[first]];
    const struct look_edge *q = &l->edges[l->items.numbers[second]];
    const struct rab_box *boxes = l->items.tree.boxes;
    const double most = fabs(p->along - q->along) + fmax(arc_length(&p->arc), arc_length(&q->arc));

    return p->path == q->path &&
           most < round_about * boxes_apart(&boxes[first], &boxes[second], l->limits.web / 2);
}

/* Two edges; and, of one outline, the corners that they begin with: at a neck between two notches
 * the edges meet. */
static bool look_between(void *context, size_t item, size_t other)
{
    struct webs *w = context;
    const struct look *l = w->l;
    const size_t first = l->items.numbers[item], second = l->items.numbers[other];
    const struct look_edge *p = &l->edges[first], *q = &l->edges[second];
    struct rab_point a, b;

    if (++w->pairs > MOST_PAIRS || w->inside.work > MOST_WORK) {
        w->l->found.cut_short = true;
        return false;
    }
    if (are_crumbs(l, item, other))
        return true;
    const double width = arc_gap(&p->arc, &q->arc, &a, &b);
    if (width == 0 && cross(&p->arc, &q->arc, a))
        return keep(w, p->path, q->path, a, 0);
    if (l->paths[p->path].outline.open || l->paths[q->path].outline.open)
        return true;
    return keep_narrow(w, first, a, second, b, width) &&
           (p->path != q->path ||
            keep_narrow(w, first, p->arc.a, second, q->arc.a, point_apart(p->arc.a, q->arc.a)));
}

/* ---- what is told ---------------------------------------------------------------------- */

/* Between two outlines, or two parts of one, the narrowest of what lies close together. */
static bool tell(struct webs *w)
{
    struct look *l = w->l;
    const size_t before = l->found.count;
    size_t start = 0;

    for (size_t i = 0; i < w->count; i++) {
        const struct narrow *n = &w->items[i];
        bool told = false;
        if (l->found.count - before >= MOST_TOLD) {
            l->found.cut_short = true;
            return true;
        }
        if (i == 0 || n->first != w->items[i - 1].first || n->second != w->items[i - 1].second)
            start = l->found.count;
        if (n->width == 0) {
            if (start == l->found.count &&
                !look_add(l, RAB_TROUBLE_CROSSING, n->first, n->at, (double)n->second))
                return false;
            continue;
        }
        /* along parallel lines it is the same web everywhere */
        told = start < l->found.count && n->first != n->second &&
               n->width <= l->found.items[l->found.count - 1].measure + same_width;
        for (size_t k = start; k < l->found.count && !told; k++)
            told = hypot(l->found.items[k].at.x - n->at.x, l->found.items[k].at.y - n->at.y) <
                   4 * l->limits.web;
        if (!told && !look_add(l, RAB_TROUBLE_WEB, n->first, n->at, n->width))
            return false;
    }
    return true;
}

/* The closed cuts, for asking what lies around. */
static bool list_closed(struct webs *w, struct rab_error *err)
{
    const struct look *l = w->l;
    const struct rab_outline **outlines = calloc(l->count + 1, sizeof(const struct rab_outline *));
    size_t count = 0;

    w->closed = calloc(l->count + 1, sizeof *w->closed);
    w->side = calloc(l->count + 1, 1);
    if (!outlines || !w->closed || !w->side) {
        free(outlines);
        return rab_fail_memory(err);
    }
    for (size_t i = 0; i < l->count; i++) {
        if (!look_is_cut(&l->paths[i]) || l->paths[i].outline.open)
            continue;
        w->closed[i] = count;
        outlines[count++] = &l->paths[i].outline;
    }
    const bool ok = inside_make(&w->inside, outlines, count, err);
    free(outlines);
    return ok;
}

bool look_for_webs(struct look *look)
{
    struct webs webs = {.l = look};
    bool ok = list_closed(&webs, look->err);

    if (ok) {
        box_tree_pairs(&look->items.tree, look_between, &webs);
        if (webs.count > 0) {
            thin_out(&webs);
            qsort(webs.items, webs.count, sizeof *webs.items, compare_narrow);
        }
        ok = !webs.failed && tell(&webs);
    }
    free(webs.items);
    free(webs.closed);
    free(webs.side);
    inside_clear(&webs.inside);
    return ok;
}
