#include "plan/look.h"

#include "plan/shared.h"

#include <math.h>
#include <stdlib.h>

/* So many short lines in a row are a trouble; a single one is not. */
enum { SHORT_RUN = 8 };

bool look_add(struct look *l, enum rab_trouble_kind kind, size_t path, struct rab_point at,
              double measure)
{
    struct rab_troubles *t = &l->found;
    void *items = t->items;

    if (!rab_reserve(&items, &t->capacity, t->count + 1, sizeof *t->items, l->err))
        return false;
    t->items = items;
    t->items[t->count++] = (struct rab_trouble){kind, path, at, measure};
    return true;
}

bool look_is_cut(const struct rab_path *path)
{
    return path->operation == RAB_CUT && path->outline.count >= 2;
}

static bool list_edges(struct look *l)
{
    const double half = l->limits.web / 2;
    struct rab_box *boxes = NULL;
    bool ok = false;
    size_t n = 0;

    for (size_t i = 0; i < l->count; i++)
        if (look_is_cut(&l->paths[i]))
            l->edge_count += arc_count(&l->paths[i].outline);
    boxes = calloc(l->edge_count + 1, sizeof *boxes);
    l->edges = calloc(l->edge_count + 1, sizeof *l->edges);
    l->lengths = calloc(l->count + 1, sizeof *l->lengths);
    if (!boxes || !l->edges || !l->lengths) {
        rab_fail_memory(l->err);
        goto done;
    }
    for (size_t i = 0; i < l->count; i++) {
        const struct rab_outline *o = &l->paths[i].outline;
        if (!look_is_cut(&l->paths[i]))
            continue;
        for (size_t e = 0; e < arc_count(o); e++, n++) {
            const struct arc arc = arc_of(o, e);
            const struct rab_box box = rab_box_arc(o->vertices[e], arc.b);
            l->edges[n] = (struct look_edge){arc, i, e, l->lengths[i]};
            boxes[n] = (struct rab_box){box.x0 - half, box.y0 - half, box.x1 + half, box.y1 + half};
            l->lengths[i] += arc_length(&arc);
        }
    }
    ok = items_make(&l->items, boxes, l->edge_count, l->err);
done:
    free(boxes);
    return ok;
}

/* ---- open and double lines ------------------------------------------------------------- */

struct nearest {
    const struct rab_point *ends;
    const uint32_t *numbers;
    size_t self;
};

static double end_distance2(void *context, size_t item, struct rab_point point)
{
    const struct nearest *n = context;
    const struct rab_point end = n->ends[n->numbers[item]];
    const double x = end.x - point.x, y = end.y - point.y;

    return n->numbers[item] == n->self ? 1e300 : x * x + y * y;
}

/* Ends of open cuts that no other end meets. */
static bool find_open(struct look *l)
{
    struct rab_point *ends = calloc(2 * l->count + 1, sizeof *ends);
    struct rab_box *boxes = calloc(2 * l->count + 1, sizeof *boxes);
    size_t *paths = calloc(2 * l->count + 1, sizeof *paths), count = 0;
    struct items items = {0};
    bool ok = false;

    if (!ends || !paths || !boxes) {
        rab_fail_memory(l->err);
        goto done;
    }
    for (size_t i = 0; i < l->count; i++) {
        const struct rab_outline *o = &l->paths[i].outline;
        if (!look_is_cut(&l->paths[i]) || !o->open)
            continue;
        paths[count] = i;
        ends[count++] = (struct rab_point){o->vertices[0].x, o->vertices[0].y};
        paths[count] = i;
        ends[count++] =
            (struct rab_point){o->vertices[o->count - 1].x, o->vertices[o->count - 1].y};
    }
    for (size_t i = 0; i < count; i++)
        boxes[i] = (struct rab_box){ends[i].x, ends[i].y, ends[i].x, ends[i].y};
    if (!items_make(&items, boxes, count, l->err))
        goto done;
    for (size_t i = 0; i < count; i++) {
        struct nearest n = {ends, items.numbers, i};
        double best2 = 1e300;
        box_tree_nearest(&items.tree, ends[i], end_distance2, &n, &best2);
        const double gap = best2 < 1e300 ? sqrt(best2) : HUGE_VAL;
        if (gap > LOOK_MEETING && !look_add(l, RAB_TROUBLE_OPEN, paths[i], ends[i], gap))
            goto done;
    }
    ok = true;
done:
    items_clear(&items);
    free(boxes);
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
    bool all, ok = false;

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
    if (!shared_drop(&lines, &shared, &length, &all, l->err))
        goto done;
    if (!all)
        l->found.cut_short = true;
    for (size_t i = 0; i < lines.count; i++)
        left[lines.items[i].source] += rab_outline_perimeter(&lines.items[i].outline);
    for (size_t i = 0; i < l->count && shared > 0; i++) {
        const struct rab_outline *o = &l->paths[i].outline;
        const double gone = o->count >= 2 ? rab_outline_perimeter(o) - left[i] : 0;
        if (gone > LOOK_MEETING &&
            !look_add(l, RAB_TROUBLE_DOUBLE, i,
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
            !look_add(l, RAB_TROUBLE_CORNER, path, behind.a, angle))
            return false;
    }
    return true;
}

static bool find_small(struct look *l, size_t path)
{
    const struct rab_box box = rab_outline_box(&l->paths[path].outline);
    const double size = fmax(box.x1 - box.x0, box.y1 - box.y0);

    return l->paths[path].outline.open || size >= l->limits.small ||
           look_add(l, RAB_TROUBLE_SMALL, path,
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
    return longest < SHORT_RUN || look_add(l, RAB_TROUBLE_SEGMENT, path, where, (double)longest);
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
        if (look_is_cut(&paths[i]) &&
            (!find_corners(&l, i) || !find_small(&l, i) || !find_short_lines(&l, i)))
            goto done;
    if (!look_for_webs(&l))
        goto done;
    if (l.found.count > 0)
        qsort(l.found.items, l.found.count, sizeof *l.found.items, compare_troubles);
    *out = l.found;
    l.found = (struct rab_troubles){0};
    ok = true;
done:
    rab_troubles_clear(&l.found);
    items_clear(&l.items);
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
