#include "plan/order.h"

#include "plan/cool.h"
#include "plan/inside.h"
#include "plan/route.h"
#include "plan/tabs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    MOST_STARTS = 12,      /* places where a closed outline may begin */
    MOST_WORK = 100000000, /* edges looked at to find what lies in what: a few seconds */
};

/* A piece shorter than this in both directions is small: once a larger one around or beside it is
 * free, the sheet no longer holds it still. Common practice, no source. */
static const double small_piece = 25;

/* The lines of one source: followed one after the other. */
struct unit {
    size_t first, count; /* lines */
    size_t source;
    size_t first_way, ways;
    size_t way; /* as it is taken */
    bool small; /* of a small piece, which comes before others */
};

/* What a way of a unit means. */
struct manner {
    size_t line;    /* of the unit, from 0: the one that comes first */
    size_t start;   /* of a single closed line: its vertex */
    bool backwards; /* lines in reverse order, each from its end */
};

struct ordering {
    struct line_list *list;
    const struct rab_path *paths;
    struct unit *units;
    size_t *around; /* of each unit the one that it lies in, or ROUTE_FREE */
    size_t count;
    struct way *ways;
    struct manner *manners;
    size_t way_count, way_capacity, manner_capacity;
    bool by_size; /* `around` is only an order of sizes */
    struct tool tool;
    struct ordered *out;
    struct rab_error *err;
};

/* ---- what lies in what ----------------------------------------------------------------- */

/* A point this near to a line may be on it. */
static const double on_it = 1e-5;

struct unit_size {
    struct rab_box box;
    double area; /* without sign; 0 when it is open */
    size_t unit;
};

/* A point of the outline that is not on the other one tells; when all are, they are the same. */
static bool lies_in(const struct rab_outline *inner, const struct rab_outline *outer)
{
    for (size_t e = 0; e < arc_count(inner); e++) {
        const struct arc arc = arc_of(inner, e);
        const struct rab_point middle = arc_at(&arc, 0.5, NULL);
        if (rab_outline_distance(outer, middle, NULL) > on_it)
            return rab_outline_winding(outer, middle) != 0;
    }
    return false;
}

static bool box_holds(const struct rab_box *around, const struct rab_box *in)
{
    return around->x0 <= in->x0 && around->y0 <= in->y0 && around->x1 >= in->x1 &&
           around->y1 >= in->y1;
}

/* The smallest of the units around one. */
static size_t find_parent(const struct ordering *o, struct inside *inside,
                          const struct unit_size *sizes, size_t unit)
{
    const struct rab_outline *outline = &o->paths[o->units[unit].source].outline;
    const struct arc arc = arc_of(outline, 0);
    size_t best = ROUTE_FREE;

    inside_look(inside, arc_at(&arc, 0.5, NULL), on_it);
    for (size_t n = 0; n < inside->listed_count; n++) {
        const size_t other = inside->listed[n];
        const struct inside_answer answer = inside->answers[other];
        const double area = sizes[other].area;
        const double least = best == ROUTE_FREE ? HUGE_VAL : sizes[best].area;

        if (!(area > sizes[unit].area) || !box_holds(&sizes[other].box, &sizes[unit].box) ||
            area > least || (area == least && other > best))
            continue;
        if (answer.near ? lies_in(outline, &o->paths[o->units[other].source].outline)
                        : answer.winding != 0)
            best = other;
        if (answer.near)
            inside->work += outline->count + o->paths[o->units[other].source].outline.count;
    }
    return best;
}

static int compare_sizes(const void *a, const void *b)
{
    const struct unit_size *p = a, *q = b;

    if (p->area != q->area)
        return p->area < q->area ? -1 : 1;
    return (p->unit > q->unit) - (p->unit < q->unit);
}

/* Each lies in a larger one: this order is always right, but its way is long. */
static void order_by_size(struct ordering *o, struct unit_size *sizes)
{
    qsort(sizes, o->count, sizeof *sizes, compare_sizes);
    for (size_t i = 0; i < o->count; i++)
        o->around[sizes[i].unit] = i + 1 < o->count ? sizes[i + 1].unit : ROUTE_FREE;
    o->by_size = true;
}

static bool find_parents(struct ordering *o)
{
    struct unit_size *sizes = calloc(o->count + 1, sizeof *sizes);
    const struct rab_outline **outlines = calloc(o->count + 1, sizeof(const struct rab_outline *));
    struct inside inside = {0};
    bool ok = false;

    if (!sizes || !outlines) {
        rab_fail_memory(o->err);
        goto done;
    }
    for (size_t i = 0; i < o->count; i++) {
        const struct rab_outline *outline = &o->paths[o->units[i].source].outline;
        outlines[i] = outline;
        sizes[i] = (struct unit_size){rab_outline_box(outline),
                                      outline->open ? 0 : fabs(rab_outline_area(outline)), i};
    }
    if (!inside_make(&inside, outlines, o->count, o->err))
        goto done;
    for (size_t i = 0; i < o->count && inside.work < MOST_WORK; i++)
        o->around[i] = find_parent(o, &inside, sizes, i);
    if (inside.work >= MOST_WORK)
        order_by_size(o, sizes);
    ok = true;
done:
    inside_clear(&inside);
    free(outlines);
    free(sizes);
    return ok;
}

/* ---- small pieces ---------------------------------------------------------------------- */

static bool is_outer(const struct rab_outline *outline)
{
    return !outline->open && rab_outline_area(outline) > 0;
}

/* What a unit belongs to is the nearest outer outline around it, or itself. Around a piece that is
 * not small there is none that is, so that small ones can all come first. */
static void find_small(struct ordering *o)
{
    for (size_t i = 0; i < o->count; i++) {
        size_t piece = i;
        while (piece != ROUTE_FREE && !is_outer(&o->paths[o->units[piece].source].outline))
            piece = o->around[piece];
        if (piece == ROUTE_FREE)
            continue;
        const struct rab_box box = rab_outline_box(&o->paths[o->units[piece].source].outline);
        o->units[i].small = fmax(box.x1 - box.x0, box.y1 - box.y0) < small_piece;
    }
}

/* ---- ways to take a unit --------------------------------------------------------------- */

static bool add_way(struct ordering *o, struct way way, struct manner manner)
{
    void *ways = o->ways, *manners = o->manners;

    if (!rab_reserve(&ways, &o->way_capacity, o->way_count + 1, sizeof *o->ways, o->err))
        return false;
    o->ways = ways;
    if (!rab_reserve(&manners, &o->manner_capacity, o->way_count + 1, sizeof *o->manners, o->err))
        return false;
    o->manners = manners;
    o->ways[o->way_count] = way;
    o->manners[o->way_count++] = manner;
    return true;
}

static struct rab_point start_of(const struct rab_outline *outline)
{
    return (struct rab_point){outline->vertices[0].x, outline->vertices[0].y};
}

static struct rab_point end_of(const struct rab_outline *outline)
{
    const struct rab_vertex *v = &outline->vertices[outline->open ? outline->count - 1 : 0];

    return (struct rab_point){v->x, v->y};
}

/* A closed line begins at one of its corners, or anywhere when it has none. */
static bool add_closed_ways(struct ordering *o, const struct rab_outline *outline)
{
    size_t corners = 0, listed = 0;

    for (size_t i = 0; i < outline->count; i++)
        corners += tabs_is_corner(outline, i);
    const size_t places = corners > 0 ? corners : outline->count;
    const size_t step = (places + MOST_STARTS - 1) / MOST_STARTS;
    for (size_t i = 0; i < outline->count; i++) {
        const struct rab_point p = {outline->vertices[i].x, outline->vertices[i].y};
        if (corners > 0 && !tabs_is_corner(outline, i))
            continue;
        if (listed++ % step == 0 &&
            !add_way(o, (struct way){p, p, 0}, (struct manner){0, i, false}))
            return false;
    }
    return true;
}

/* Several lines of one source, in both directions: what was a closed line from one of them on
 * round; against the whole round, the gap before the first one is saved. */
static bool add_row_ways(struct ordering *o, const struct unit *unit)
{
    const struct line *lines = o->list->items + unit->first;
    const size_t n = unit->count;
    const bool round = n > 1 && !o->paths[unit->source].outline.open;
    const size_t step = round ? (n + MOST_STARTS - 1) / MOST_STARTS : n;

    for (size_t i = 0; i < n; i += step) {
        const size_t last = (i + n - 1) % n;
        const struct rab_point in = start_of(&lines[i].outline), out = end_of(&lines[last].outline);
        const double saved = round ? hypot(in.x - out.x, in.y - out.y) : 0;
        if (!add_way(o, (struct way){in, out, -saved}, (struct manner){i, 0, false}) ||
            !add_way(o, (struct way){out, in, -saved}, (struct manner){last, 0, true}))
            return false;
    }
    return true;
}

/* NOLINTBEGIN(clang-analyzer-*): the analyser loses sight of what stands in struct ordering and is
 * freed by order_lines */
static bool list_ways(struct ordering *o)
{
    for (size_t i = 0; i < o->count; i++) {
        struct unit *unit = &o->units[i];
        const struct rab_outline *outline = &o->list->items[unit->first].outline;
        unit->first_way = o->way_count;
        if (!(unit->count == 1 && !outline->open ? add_closed_ways(o, outline)
                                                 : add_row_ways(o, unit)))
            return false;
        unit->ways = o->way_count - unit->first_way;
    }
    return true;
}

/* ---- in order -------------------------------------------------------------------------- */

/* The lines of a unit, as its way says. */
static void hand_over(struct ordering *o, const struct unit *unit)
{
    const struct manner *manner = &o->manners[unit->way];
    const size_t n = unit->count;

    for (size_t i = 0; i < n; i++) {
        const size_t at = manner->backwards ? (manner->line + n - i) % n : (manner->line + i) % n;
        struct line *line = &o->list->items[unit->first + at];
        if (manner->backwards)
            rab_outline_reverse(&line->outline);
        o->out->starts[o->out->lines.count] = manner->start;
        o->out->lines.items[o->out->lines.count++] = *line;
        line->outline = (struct rab_outline){0};
    }
}

static struct rab_box box_of(const struct ordering *o, const struct unit *unit)
{
    struct rab_box box = RAB_BOX_EMPTY;

    for (size_t i = 0; i < unit->count; i++)
        box = rab_box_join(box, rab_outline_box(&o->list->items[unit->first + i].outline));
    return box;
}

/* Some of the units, as stops. */
struct part {
    size_t *units, *place; /* place: of each unit among these, or ROUTE_FREE */
    size_t count;
    struct stop *stops;
    size_t *around;
    struct rab_box *boxes;
};

static void part_clear(struct part *p)
{
    free(p->units);
    free(p->place);
    free(p->stops);
    free(p->around);
    free(p->boxes);
}

static bool take_part(const struct ordering *o, bool small, struct part *p)
{
    p->units = calloc(o->count + 1, sizeof *p->units);
    p->place = calloc(o->count + 1, sizeof *p->place);
    p->stops = calloc(o->count + 1, sizeof *p->stops);
    p->around = calloc(o->count + 1, sizeof *p->around);
    p->boxes = calloc(o->count + 1, sizeof *p->boxes);
    if (!p->units || !p->place || !p->stops || !p->around || !p->boxes)
        return rab_fail_memory(o->err);
    for (size_t i = 0; i < o->count; i++) {
        const struct unit *unit = &o->units[i];
        p->place[i] = ROUTE_FREE;
        if (unit->small != small)
            continue;
        p->place[i] = p->count;
        p->units[p->count] = i;
        p->boxes[p->count] = box_of(o, unit);
        p->stops[p->count++] = (struct stop){o->ways + unit->first_way, unit->ways};
    }
    /* what is around a small one and not small comes later anyway */
    for (size_t n = 0; n < p->count; n++) {
        const size_t around = o->around[p->units[n]];
        p->around[n] = around == ROUTE_FREE ? ROUTE_FREE : p->place[around];
    }
    return true;
}

static bool follow_part(struct ordering *o, bool small)
{
    struct part part = {0};
    struct route route = {0};
    struct tool *tool = &o->tool;
    bool ok = false;

    if (!take_part(o, small, &part) ||
        !(tool->cool > 0
              ? cool_find(part.stops, part.boxes, part.count, part.around, tool->at, tool->last,
                          tool->cool, &route, o->err)
              : route_find(part.stops, part.count, part.around, tool->at, &route, o->err)))
        goto done;
    for (size_t i = 0; i < part.count; i++) {
        struct unit *unit = &o->units[part.units[route.order[i]]];
        unit->way = unit->first_way + route.way[route.order[i]];
        tool->at = o->ways[unit->way].out;
        tool->last = part.boxes[route.order[i]];
        hand_over(o, unit);
    }
    ok = true;
done:
    route_clear(&route);
    part_clear(&part);
    return ok;
}

static bool list_units(struct ordering *o)
{
    o->units = calloc(o->list->count + 1, sizeof *o->units);
    o->around = calloc(o->list->count + 1, sizeof *o->around);
    if (!o->units || !o->around)
        return rab_fail_memory(o->err);
    for (size_t i = 0; i < o->list->count; i++) {
        if (o->count > 0 && o->units[o->count - 1].source == o->list->items[i].source) {
            o->units[o->count - 1].count++;
            continue;
        }
        o->units[o->count++] =
            (struct unit){.first = i, .count = 1, .source = o->list->items[i].source};
    }
    return true;
}

static bool follow(struct ordering *o)
{
    if (!follow_part(o, true))
        return false;
    o->out->small = o->out->lines.count;
    return follow_part(o, false);
}

bool order_lines(struct line_list *list, const struct rab_path *paths, bool loosens,
                 struct tool *tool, struct ordered *out, struct rab_error *err)
{
    struct ordered made = {0};
    struct ordering o = {.list = list, .paths = paths, .tool = *tool, .out = &made, .err = err};
    bool ok = false;

    made.lines.items = calloc(list->count + 1, sizeof *made.lines.items);
    made.starts = calloc(list->count + 1, sizeof *made.starts);
    if (!made.lines.items || !made.starts) {
        rab_fail_memory(err);
        goto done;
    }
    made.lines.capacity = list->count + 1;
    if (!list_units(&o) || !find_parents(&o) || !list_ways(&o))
        goto done;
    if (loosens && !o.by_size)
        find_small(&o);
    if (!follow(&o))
        goto done;
    list->count = 0; /* every line has been handed over */
    *tool = o.tool;
    *out = made;
    made = (struct ordered){0};
    ok = true;
done:
    ordered_clear(&made);
    free(o.units);
    free(o.around);
    free(o.ways);
    free(o.manners);
    return ok;
}
/* NOLINTEND(clang-analyzer-*) */

void ordered_clear(struct ordered *ordered)
{
    line_list_clear(&ordered->lines);
    free(ordered->starts);
    *ordered = (struct ordered){0};
}
