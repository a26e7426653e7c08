#include "plan/shared.h"

#include "outline/arc.h"
#include "plan/items.h"

#include <math.h>
#include <stdlib.h>

/* Lines this near to each other are one, and parts shorter than this are none: far below what a
 * machine can place, far above rounding. */
static const double same_line = 1e-4;
/* Pairs of edges whose boxes meet, those on one line counting more: a few seconds. */
enum { MOST_PAIRS = 100000000, PAIR_ON_ONE_LINE = 10 };

/* A part of an edge, by shares of its length, that an earlier path follows. */
struct span {
    size_t edge;
    double from, to;
};
struct spans {
    struct span *items;
    size_t count, capacity;
};

/* Every edge of every path. */
struct edge {
    struct arc arc;
    size_t path;
    bool gone; /* an earlier one follows all of it */
};
struct sharing {
    const struct line_list *list;
    struct edge *edges;
    struct items items; /* of the edges */
    size_t count;
    struct spans spans;
    size_t spans_most; /* when there are so many they are put together */
    size_t pairs;      /* edges held against each other */
    struct rab_error *err;
    bool failed, given_up;
};

static bool add_span(struct spans *spans, struct span span, struct rab_error *err)
{
    void *items = spans->items;

    if (!rab_reserve(&items, &spans->capacity, spans->count + 1, sizeof *spans->items, err))
        return false;
    spans->items = items;
    spans->items[spans->count++] = span;
    return true;
}

/* Does the edge's full line or circle pass by the point? */
static bool passes(const struct arc *arc, struct rab_point point)
{
    return fabs(arc_side(arc, point)) <= same_line;
}

/* Both lie on one line or circle: then the points of p's part that lie on q are between the two
 * shares of q's ends on p. Circles of over half a turn do not come here: their ends' order would
 * not tell. */
static bool same_track(const struct arc *p, const struct arc *q)
{
    const double length = arc_length(p), other = arc_length(q);

    if (length <= same_line || other <= same_line)
        return false;
    if (!passes(p, q->a) || !passes(p, q->b) || !passes(q, p->a) || !passes(q, p->b))
        return false;
    return passes(p, arc_at(q, 0.5, NULL)) && passes(q, arc_at(p, 0.5, NULL));
}

static int compare_spans(const void *a, const void *b)
{
    const struct span *p = a, *q = b;

    if (p->edge != q->edge)
        return p->edge < q->edge ? -1 : 1;
    return (p->from > q->from) - (p->from < q->from);
}

/* In order, those that meet as one. */
static void put_together(struct spans *spans)
{
    size_t kept = 0;

    if (spans->count == 0)
        return;
    qsort(spans->items, spans->count, sizeof *spans->items, compare_spans);
    for (size_t i = 0; i < spans->count; i++) {
        struct span *last = kept > 0 ? &spans->items[kept - 1] : NULL;
        if (last && last->edge == spans->items[i].edge && spans->items[i].from <= last->to)
            last->to = fmax(last->to, spans->items[i].to);
        else
            spans->items[kept++] = spans->items[i];
    }
    spans->count = kept;
}

static bool keep_span(struct sharing *s, struct span span)
{
    if (s->spans.count >= s->spans_most) {
        put_together(&s->spans);
        if (s->spans.count > s->spans_most / 2)
            s->spans_most *= 2;
    }
    if (span.from == 0 && span.to == 1)
        s->edges[span.edge].gone = true;
    s->failed = !add_span(&s->spans, span, s->err);
    return !s->failed;
}

/* The parts of an edge that lie on an earlier one: between its own ends and the other's. */
static bool add_common(struct sharing *s, size_t edge, const struct arc *keeper,
                       const struct arc *arc)
{
    const double length = arc_length(arc), least = same_line / length;
    double cuts[4] = {0, arc_share(arc, keeper->a), arc_share(arc, keeper->b), 1};

    if (cuts[1] > cuts[2]) {
        const double t = cuts[1];
        cuts[1] = cuts[2];
        cuts[2] = t;
    }
    for (int i = 1; i <= 2; i++)
        cuts[i] = cuts[i] <= least ? 0 : cuts[i] >= 1 - least ? 1 : cuts[i];
    for (int i = 0; i < 3; i++) {
        const struct rab_point middle = arc_at(arc, (cuts[i] + cuts[i + 1]) / 2, NULL);
        if (cuts[i + 1] - cuts[i] <= least || arc_distance(keeper, middle, NULL) > same_line)
            continue;
        if (!keep_span(s, (struct span){edge, cuts[i], cuts[i + 1]}))
            return false;
    }
    return true;
}

static bool meet(void *context, size_t item, size_t other_item)
{
    struct sharing *s = context;
    const size_t first = s->items.numbers[item], second = s->items.numbers[other_item];
    size_t keeper = first, other = second;

    if (++s->pairs > MOST_PAIRS) {
        s->given_up = true;
        return false;
    }
    if (s->edges[first].gone || s->edges[second].gone)
        return true; /* what it lay on is followed */
    /* the later path loses; within one path the later edge */
    if (s->edges[first].path > s->edges[second].path ||
        (first > second && s->edges[first].path == s->edges[second].path)) {
        keeper = second;
        other = first;
    }
    const struct edge *k = &s->edges[keeper], *o = &s->edges[other];
    if (s->list->items[k->path].operation != s->list->items[o->path].operation ||
        !same_track(&k->arc, &o->arc))
        return true;
    s->pairs += PAIR_ON_ONE_LINE;
    return add_common(s, other, &k->arc, &o->arc);
}

/* ---- what is left ---------------------------------------------------------------------- */

/* Adds the part of an edge to an open outline, or begins it. */
static bool add_part(struct rab_outline *chain, const struct arc *arc, double from, double to,
                     struct rab_error *err)
{
    const struct rab_point a = from == 0 ? arc->a : arc_at(arc, from, NULL);
    const struct rab_point b = to == 1 ? arc->b : arc_at(arc, to, NULL);
    const double bulge = from == 0 && to == 1 ? arc->bulge : tan((to - from) * atan(arc->bulge));

    if (chain->count == 0 && !rab_outline_add(chain, a.x, a.y, 0, err))
        return false;
    chain->vertices[chain->count - 1].bulge = bulge;
    return rab_outline_add(chain, b.x, b.y, 0, err);
}

static bool end_chain(struct line_list *made, const struct line *path, struct rab_outline *chain,
                      struct rab_error *err)
{
    chain->open = true;
    if (!(rab_outline_perimeter(chain) > same_line)) {
        rab_outline_clear(chain); /* an edge without length between two that are gone */
        return true;
    }
    return line_list_add(made, path, chain, err);
}

/* What is left of a path's edges, in order. spans are those of these edges. */
static bool list_parts(const struct sharing *s, size_t first, size_t edges,
                       const struct span *spans, size_t span_count, struct spans *parts,
                       struct rab_error *err)
{
    size_t k = 0;

    for (size_t e = first; e < first + edges; e++) {
        const double least = same_line / fmax(same_line, arc_length(&s->edges[e].arc));
        double at = 0;

        for (; k < span_count && spans[k].edge == e; k++) {
            if (spans[k].from - at > least &&
                !add_span(parts, (struct span){e, at, spans[k].from}, err))
                return false;
            at = fmax(at, spans[k].to);
        }
        if ((at == 0 || 1 - at > least) && !add_span(parts, (struct span){e, at, 1}, err))
            return false;
    }
    return true;
}

/* Does the second part go on where the first ends? */
static bool goes_on(struct span one, struct span next, size_t first, size_t edges, bool open)
{
    const bool last = one.edge == first + edges - 1;

    return one.to == 1 && next.from == 0 &&
           (last ? !open && next.edge == first : next.edge == one.edge + 1);
}

/* The parts as open paths. */
static bool add_parts(const struct sharing *s, const struct line *source, size_t first,
                      size_t edges, const struct spans *parts, struct line_list *made,
                      struct rab_error *err)
{
    const bool open = source->outline.open;
    const size_t count = parts->count;
    struct rab_outline chain = {0};
    size_t start = 0;
    bool ok = false;

    /* of a closed outline, begin where nothing leads on from the part before */
    while (
        !open && start < count &&
        goes_on(parts->items[(start + count - 1) % count], parts->items[start], first, edges, open))
        start++;
    for (size_t n = 0; n < count; n++) {
        const struct span part = parts->items[(start + n) % count];
        if (n > 0 && !goes_on(parts->items[(start + n - 1) % count], part, first, edges, open) &&
            !end_chain(made, source, &chain, err))
            goto done;
        if (!add_part(&chain, &s->edges[part.edge].arc, part.from, part.to, err))
            goto done;
    }
    ok = end_chain(made, source, &chain, err);
done:
    rab_outline_clear(&chain);
    return ok;
}

/* All paths again, without the spans. */
static bool rebuild(struct sharing *s, struct line_list *made, size_t *shared, double *length,
                    struct rab_error *err)
{
    struct spans parts = {0};
    size_t first = 0, k = 0;
    bool ok = false;

    for (size_t i = 0; i < s->list->count; i++) {
        const struct line *path = &s->list->items[i];
        const size_t edges = arc_count(&path->outline), before = k;
        double kept = 0;

        while (k < s->spans.count && s->spans.items[k].edge < first + edges)
            k++;
        if (k == before) {
            if (!line_list_keep(made, path, err))
                goto done;
        } else {
            parts.count = 0;
            if (!list_parts(s, first, edges, s->spans.items + before, k - before, &parts, err) ||
                !add_parts(s, path, first, edges, &parts, made, err))
                goto done;
            for (size_t n = 0; n < parts.count; n++)
                kept += (parts.items[n].to - parts.items[n].from) *
                        arc_length(&s->edges[parts.items[n].edge].arc);
            ++*shared;
            *length += rab_outline_perimeter(&path->outline) - kept;
        }
        first += edges;
    }
    ok = true;
done:
    free(parts.items);
    return ok;
}

static bool list_edges(struct sharing *s)
{
    struct rab_box *boxes = NULL;
    bool ok = false;
    size_t n = 0;

    for (size_t i = 0; i < s->list->count; i++)
        s->count += arc_count(&s->list->items[i].outline);
    boxes = calloc(s->count + 1, sizeof *boxes);
    s->edges = calloc(s->count + 1, sizeof *s->edges);
    if (!boxes || !s->edges) {
        rab_fail_memory(s->err);
        goto done;
    }
    for (size_t i = 0; i < s->list->count; i++) {
        const struct rab_outline *outline = &s->list->items[i].outline;
        for (size_t e = 0; e < arc_count(outline); e++, n++) {
            s->edges[n] = (struct edge){arc_of(outline, e), i, false};
            const struct rab_box box = rab_box_arc(outline->vertices[e], s->edges[n].arc.b);
            boxes[n] = (struct rab_box){box.x0 - same_line, box.y0 - same_line, box.x1 + same_line,
                                        box.y1 + same_line};
        }
    }
    ok = items_make(&s->items, boxes, s->count, s->err);
done:
    free(boxes);
    return ok;
}

bool shared_drop(struct line_list *list, size_t *shared, double *length, bool *all,
                 struct rab_error *err)
{
    struct sharing s = {.list = list, .err = err};
    struct line_list made = {0};
    bool ok = false;

    *shared = 0;
    *length = 0;
    if (!list_edges(&s))
        goto done;
    s.spans_most = 4096 + 4 * s.count;
    box_tree_pairs(&s.items.tree, meet, &s);
    *all = !s.given_up;
    if (s.failed)
        goto done;
    if (s.spans.count > 0 && *all) {
        put_together(&s.spans);
        if (!rebuild(&s, &made, shared, length, err))
            goto done;
        line_list_clear(list);
        *list = made;
        made = (struct line_list){0};
    }
    ok = true;
done:
    line_list_clear(&made);
    items_clear(&s.items);
    free(s.edges);
    free(s.spans.items);
    return ok;
}
