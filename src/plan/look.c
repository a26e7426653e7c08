#include "plan/shared.h"

#include "outline/arc.h"
#include "outline/box_tree.h"

#include <math.h>
#include <stdlib.h>

/* Ends nearer than this meet: a cutter that stops there has cut through. */
static const double meeting = 0.05;
/* Two edges of one outline are a neck when the way round between them is so many times longer than
 * the way across; else they are the two sides of a corner. */
static const double round_about = 3;
static const double same_width = 1e-6;
/* So many short lines in a row are a trouble; a single one is not. */
enum { SHORT_RUN = 8 };

/* An edge of a closed cut or of an open one. */
struct edge {
    struct arc arc;
    size_t path, index;
    double along; /* from the path's start to the edge's */
};

struct look {
    const struct rab_path *paths;
    size_t count;
    struct rab_look_options limits;
    struct edge *edges;
    size_t edge_count;
    struct box_tree tree;
    double *lengths; /* of each path */
    struct rab_troubles found;
    struct rab_error *err;
    bool failed;
};

static bool add_trouble(struct look *l, enum rab_trouble_kind kind, size_t path,
                        struct rab_point at, double measure)
{
    struct rab_troubles *t = &l->found;
    void *items = t->items;

    if (!rab_reserve(&items, &t->capacity, t->count + 1, sizeof *t->items, l->err)) {
        l->failed = true;
        return false;
    }
    t->items = items;
    t->items[t->count++] = (struct rab_trouble){kind, path, at, measure};
    return true;
}

static bool is_cut(const struct rab_path *path)
{
    return path->operation == RAB_CUT && path->outline.count >= 2;
}

static bool list_edges(struct look *l)
{
    size_t n = 0;

    for (size_t i = 0; i < l->count; i++)
        if (is_cut(&l->paths[i]))
            l->edge_count += arc_count(&l->paths[i].outline);
    l->edges = calloc(l->edge_count + 1, sizeof *l->edges);
    l->lengths = calloc(l->count + 1, sizeof *l->lengths);
    if (!l->edges || !l->lengths)
        return rab_fail_memory(l->err);
    if (!box_tree_reserve(&l->tree, l->edge_count, l->err))
        return false;
    for (size_t i = 0; i < l->count; i++) {
        if (!is_cut(&l->paths[i]))
            continue;
        for (size_t e = 0; e < arc_count(&l->paths[i].outline); e++, n++) {
            const struct arc arc = arc_of(&l->paths[i].outline, e);
            const struct rab_box box = rab_box_arc(l->paths[i].outline.vertices[e], arc.b);
            const double half = l->limits.web / 2;
            l->edges[n] = (struct edge){arc, i, e, l->lengths[i]};
            l->tree.boxes[n] =
                (struct rab_box){box.x0 - half, box.y0 - half, box.x1 + half, box.y1 + half};
            l->lengths[i] += arc_length(&arc);
        }
    }
    box_tree_finish(&l->tree);
    return true;
}

/* ---- open and double lines ------------------------------------------------------------- */

struct nearest {
    const struct look *l;
    const struct rab_point *ends;
    size_t self;
    struct rab_point at;
};

static double end_distance2(void *context, size_t item, struct rab_point point)
{
    const struct nearest *n = context;
    const double x = n->ends[item].x - point.x, y = n->ends[item].y - point.y;

    return item == n->self ? 1e300 : x * x + y * y;
}

/* Ends of open cuts that no other end meets. */
static bool find_open(struct look *l)
{
    struct rab_point *ends = calloc(2 * l->count + 1, sizeof *ends);
    size_t *paths = calloc(2 * l->count + 1, sizeof *paths), count = 0;
    struct box_tree tree = {0};
    bool ok = false;

    if (!ends || !paths) {
        rab_fail_memory(l->err);
        goto done;
    }
    for (size_t i = 0; i < l->count; i++) {
        const struct rab_outline *o = &l->paths[i].outline;
        if (!is_cut(&l->paths[i]) || !o->open)
            continue;
        paths[count] = i;
        ends[count++] = (struct rab_point){o->vertices[0].x, o->vertices[0].y};
        paths[count] = i;
        ends[count++] =
            (struct rab_point){o->vertices[o->count - 1].x, o->vertices[o->count - 1].y};
    }
    if (!box_tree_reserve(&tree, count, l->err))
        goto done;
    for (size_t i = 0; i < count; i++)
        tree.boxes[i] = (struct rab_box){ends[i].x, ends[i].y, ends[i].x, ends[i].y};
    box_tree_finish(&tree);
    for (size_t i = 0; i < count; i++) {
        struct nearest n = {l, ends, i, ends[i]};
        double best2 = 1e300;
        box_tree_nearest(&tree, ends[i], end_distance2, &n, &best2);
        const double gap = best2 < 1e300 ? sqrt(best2) : HUGE_VAL;
        if (gap > meeting && !add_trouble(l, RAB_TROUBLE_OPEN, paths[i], ends[i], gap))
            goto done;
    }
    ok = true;
done:
    box_tree_clear(&tree);
    free(ends);
    free(paths);
    return ok;
}

/* What dropping shared lines takes away from each path is double. */
static bool find_double(struct look *l)
{
    struct line_list lines = {0};
    double *left = calloc(l->count + 1, sizeof *left), length;
    size_t shared;
    bool ok = false;

    if (!left) {
        rab_fail_memory(l->err);
        goto done;
    }
    for (size_t i = 0; i < l->count; i++) {
        const struct rab_path *path = &l->paths[i];
        const struct line line = {path->operation, path->piece, i, path->outline};
        if (path->outline.count >= 2 && !line_list_keep(&lines, &line, l->err))
            goto done;
    }
    if (!shared_drop(&lines, &shared, &length, l->err))
        goto done;
    for (size_t i = 0; i < lines.count; i++)
        left[lines.items[i].source] += rab_outline_perimeter(&lines.items[i].outline);
    for (size_t i = 0; i < l->count && shared > 0; i++) {
        const struct rab_outline *o = &l->paths[i].outline;
        const double gone = o->count >= 2 ? rab_outline_perimeter(o) - left[i] : 0;
        if (gone > meeting &&
            !add_trouble(l, RAB_TROUBLE_DOUBLE, i,
                         (struct rab_point){o->vertices[0].x, o->vertices[0].y}, gone))
            goto done;
    }
    ok = true;
done:
    free(left);
    line_list_clear(&lines);
    return ok;
}

/* ---- corners, small outlines, short lines ----------------------------------------------- */

/* The angle between the two sides of a corner, whichever side the paper is on. */
static bool find_corners(struct look *l, size_t path)
{
    const struct rab_outline *o = &l->paths[path].outline;
    const size_t edges = arc_count(o);

    for (size_t i = o->open ? 1 : 0; i < edges; i++) {
        const struct arc before = arc_of(o, (i + edges - 1) % edges), behind = arc_of(o, i);
        const double angle = RAB_PI - fabs(point_angle(before.tb, behind.ta));
        if (before.chord > 0 && behind.chord > 0 && angle < l->limits.corner &&
            !add_trouble(l, RAB_TROUBLE_CORNER, path, behind.a, angle))
            return false;
    }
    return true;
}

static bool find_small(struct look *l, size_t path)
{
    const struct rab_box box = rab_outline_box(&l->paths[path].outline);
    const double size = fmax(box.x1 - box.x0, box.y1 - box.y0);

    return l->paths[path].outline.open || size >= l->limits.small ||
           add_trouble(l, RAB_TROUBLE_SMALL, path,
                       (struct rab_point){(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2}, size);
}

static bool find_short_lines(struct look *l, size_t path)
{
    const struct rab_outline *o = &l->paths[path].outline;
    struct rab_point where = {0, 0};
    size_t run = 0, longest = 0;

    for (size_t i = 0; i < arc_count(o); i++) {
        const struct arc arc = arc_of(o, i);
        run = arc_length(&arc) < l->limits.segment ? run + 1 : 0;
        if (run > longest) {
            longest = run;
            where = arc.a;
        }
    }
    return longest < SHORT_RUN || add_trouble(l, RAB_TROUBLE_SEGMENT, path, where, (double)longest);
}

/* ---- webs ------------------------------------------------------------------------------ */

/* A narrow place between two edges, before it is known whether paper lies there. */
struct narrow {
    size_t first, second; /* paths */
    struct rab_point at;
    double width;
};
struct webs {
    struct look *l;
    struct narrow *items;
    size_t count, capacity;
};

/* How far it is along the outline from one point to the other, the shorter way. */
static double way_round(const struct look *l, const struct edge *p, struct rab_point on_p,
                        const struct edge *q, struct rab_point on_q)
{
    const double a = p->along + arc_share(&p->arc, on_p) * arc_length(&p->arc);
    const double b = q->along + arc_share(&q->arc, on_q) * arc_length(&q->arc);
    const double straight = fabs(a - b);

    return l->paths[p->path].outline.open ? straight
                                          : fmin(straight, l->lengths[p->path] - straight);
}

/* Keep it when it is narrow, but no corner. */
static bool keep_narrow(struct webs *w, size_t first, struct rab_point a, size_t second,
                        struct rab_point b, double width)
{
    struct look *l = w->l;
    const struct edge *p = &l->edges[first], *q = &l->edges[second];
    void *items = w->items;

    if (width >= l->limits.web || width <= meeting)
        return true; /* what meets is no web but a double line or a corner */
    if (p->path == q->path && way_round(l, p, a, q, b) < round_about * width)
        return true;
    if (!rab_reserve(&items, &w->capacity, w->count + 1, sizeof *w->items, l->err)) {
        l->failed = true;
        return false;
    }
    w->items = items;
    w->items[w->count++] = (struct narrow){p->path < q->path ? p->path : q->path,
                                           p->path < q->path ? q->path : p->path,
                                           {(a.x + b.x) / 2, (a.y + b.y) / 2},
                                           width};
    return true;
}

/* Do they go through each other there, away from their ends, and not along each other? */
static bool cross(const struct arc *p, const struct arc *q, struct rab_point at)
{
    static const double least_angle = 1e-3;
    struct rab_point tp, tq;

    if (fmin(fmin(point_apart(at, p->a), point_apart(at, p->b)),
             fmin(point_apart(at, q->a), point_apart(at, q->b))) <= meeting)
        return false;
    arc_at(p, arc_share(p, at), &tp);
    arc_at(q, arc_share(q, at), &tq);
    return fabs(point_cross(tp, tq)) > least_angle;
}

/* A crossing has the width 0; one is told of two paths. */
static bool keep_crossing(struct webs *w, size_t first, size_t second, struct rab_point at)
{
    struct look *l = w->l;
    const size_t p = l->edges[first].path, q = l->edges[second].path;
    void *items = w->items;

    if (!rab_reserve(&items, &w->capacity, w->count + 1, sizeof *w->items, l->err)) {
        l->failed = true;
        return false;
    }
    w->items = items;
    w->items[w->count++] = (struct narrow){p < q ? p : q, p < q ? q : p, at, 0};
    return true;
}

/* Two edges; and, of one outline, the corners that they begin with: at a neck between two notches
 * the edges meet. */
static bool look_between(void *context, size_t first, size_t second)
{
    struct webs *w = context;
    const struct look *l = w->l;
    const struct edge *p = &l->edges[first], *q = &l->edges[second];
    struct rab_point a, b;

    const double width = arc_gap(&p->arc, &q->arc, &a, &b);
    if (width == 0 && cross(&p->arc, &q->arc, a))
        return keep_crossing(w, first, second, a);
    if (l->paths[p->path].outline.open || l->paths[q->path].outline.open)
        return true;
    return keep_narrow(w, first, a, second, b, width) &&
           (p->path != q->path ||
            keep_narrow(w, first, p->arc.a, second, q->arc.a, point_apart(p->arc.a, q->arc.a)));
}

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

/* Between two outlines, or two parts of one, the narrowest of what lies close together. */
static bool tell_webs(struct look *l, const struct webs *w, const struct rab_region *paper)
{
    size_t start = 0;

    for (size_t i = 0; i < w->count; i++) {
        const struct narrow *n = &w->items[i];
        bool told = false;
        if (i == 0 || n->first != w->items[i - 1].first || n->second != w->items[i - 1].second)
            start = l->found.count;
        if (n->width == 0) {
            if (start == l->found.count &&
                !add_trouble(l, RAB_TROUBLE_CROSSING, n->first, n->at, (double)n->second))
                return false;
            continue;
        }
        /* along parallel lines it is the same web everywhere */
        told = i > 0 && start < l->found.count && n->first != n->second &&
               n->width <= l->found.items[l->found.count - 1].measure + same_width;
        for (size_t k = start; k < l->found.count && !told; k++)
            told = hypot(l->found.items[k].at.x - n->at.x, l->found.items[k].at.y - n->at.y) <
                   4 * l->limits.web;
        if (!told && rab_region_holds(paper, n->at) &&
            !add_trouble(l, RAB_TROUBLE_WEB, n->first, n->at, n->width))
            return false;
    }
    return true;
}

static bool find_webs(struct look *l)
{
    struct rab_outline *closed = calloc(l->count + 1, sizeof *closed); /* borrowed outlines */
    struct rab_region paper = {0};
    struct webs webs = {.l = l};
    size_t count = 0;
    bool ok = false;

    if (!closed) {
        rab_fail_memory(l->err);
        goto done;
    }
    for (size_t i = 0; i < l->count; i++)
        if (is_cut(&l->paths[i]) && !l->paths[i].outline.open)
            closed[count++] = l->paths[i].outline;
    box_tree_pairs(&l->tree, look_between, &webs);
    if (l->failed)
        goto done;
    if (webs.count > 0) {
        qsort(webs.items, webs.count, sizeof *webs.items, compare_narrow);
        if (!rab_region_fill(closed, count, RAB_FILL_EVENODD, &paper, l->err) ||
            !tell_webs(l, &webs, &paper))
            goto done;
    }
    ok = true;
done:
    free(webs.items);
    rab_region_clear(&paper);
    free(closed);
    return ok;
}

/* ---- all of it ------------------------------------------------------------------------- */

static int compare_troubles(const void *a, const void *b)
{
    const struct rab_trouble *p = a, *q = b;

    if (p->kind != q->kind)
        return p->kind < q->kind ? -1 : 1;
    if (p->path != q->path)
        return p->path < q->path ? -1 : 1;
    if (p->at.x != q->at.x)
        return p->at.x < q->at.x ? -1 : 1;
    return (p->at.y > q->at.y) - (p->at.y < q->at.y);
}

bool rab_plan_look(const struct rab_path *paths, size_t count,
                   const struct rab_look_options *options, struct rab_troubles *out,
                   struct rab_error *err)
{
    struct look l = {.paths = paths, .count = count, .limits = *options, .err = err};
    bool ok = false;

    l.limits.web = options->web > 0 ? options->web : 2;
    l.limits.corner = options->corner > 0 ? options->corner : RAB_PI / 6;
    l.limits.small = options->small > 0 ? options->small : 2;
    l.limits.segment = options->segment > 0 ? options->segment : 0.1;
    if (!list_edges(&l) || !find_open(&l) || !find_double(&l))
        goto done;
    for (size_t i = 0; i < count; i++)
        if (is_cut(&paths[i]) &&
            (!find_corners(&l, i) || !find_small(&l, i) || !find_short_lines(&l, i)))
            goto done;
    if (!find_webs(&l))
        goto done;
    if (l.found.count > 0)
        qsort(l.found.items, l.found.count, sizeof *l.found.items, compare_troubles);
    *out = l.found;
    l.found = (struct rab_troubles){0};
    ok = true;
done:
    rab_troubles_clear(&l.found);
    box_tree_clear(&l.tree);
    free(l.edges);
    free(l.lengths);
    return ok;
}

const char *rab_trouble_code(enum rab_trouble_kind kind)
{
    static const char *const codes[RAB_TROUBLES] = {
        [RAB_TROUBLE_OPEN] = "open-line",      [RAB_TROUBLE_CROSSING] = "crossing-lines",
        [RAB_TROUBLE_DOUBLE] = "double-line",  [RAB_TROUBLE_CORNER] = "sharp-corner",
        [RAB_TROUBLE_WEB] = "thin-web",        [RAB_TROUBLE_SMALL] = "small-part",
        [RAB_TROUBLE_SEGMENT] = "short-lines",
    };

    return codes[kind];
}

void rab_troubles_clear(struct rab_troubles *troubles)
{
    free(troubles->items);
    *troubles = (struct rab_troubles){0};
}
