#include "shape/area.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "outline/box_tree.h"

bool lines_take(struct lines *lines, struct rab_outline *outline, struct rab_error *err)
{
    void *items = lines->items;

    if (!rab_reserve(&items, &lines->capacity, lines->count + 1, sizeof *lines->items, err))
        return false;
    lines->items = items;
    lines->items[lines->count++] = *outline;
    *outline = (struct rab_outline){0};
    return true;
}

void lines_clear(struct lines *lines)
{
    for (size_t i = 0; i < lines->count; i++)
        rab_outline_clear(&lines->items[i]);
    free(lines->items);
    *lines = (struct lines){0};
}

void area_clear(struct area *area)
{
    for (size_t i = 0; i < area->count; i++)
        rab_outline_clear(&area->outlines[i]);
    free(area->outlines);
    free(area->parents);
    free(area->parts);
    lines_clear(&area->lines);
    *area = (struct area){0};
}

/* Room for so many more outlines and parts, so that what follows cannot fail. */
static bool make_room(struct area *area, size_t outlines, size_t parts, struct rab_error *err)
{
    void *items = area->outlines, *parents = area->parents, *starts = area->parts;
    bool ok = true;

    if (area->count + outlines > area->outline_capacity)
        ok = rab_reserve(&items, &area->outline_capacity, area->count + outlines,
                         sizeof *area->outlines, err);
    area->outlines = items;
    if (ok && area->count + outlines > area->parent_capacity)
        ok = rab_reserve(&parents, &area->parent_capacity, area->count + outlines,
                         sizeof *area->parents, err);
    area->parents = parents;
    if (ok && area->part_count + parts > area->part_capacity)
        ok = rab_reserve(&starts, &area->part_capacity, area->part_count + parts,
                         sizeof *area->parts, err);
    area->parts = starts;
    return ok;
}

static void put(struct area *area, struct rab_outline *outline, size_t parent)
{
    assert(area->count < area->outline_capacity && area->outlines && area->parents);
    area->outlines[area->count] = *outline;
    area->parents[area->count++] = parent;
    *outline = (struct rab_outline){0};
}

static void begin_part(struct area *area, size_t at)
{
    assert(area->part_count < area->part_capacity && area->parts);
    area->parts[area->part_count++] = at;
}

bool area_take(struct area *area, struct rab_outline *outline, struct rab_error *err)
{
    if (!make_room(area, 1, 1, err))
        return false;
    begin_part(area, area->count);
    put(area, outline, RAB_NO_PARENT);
    return true;
}

bool area_take_hole(struct area *area, struct rab_outline *hole, struct rab_error *err)
{
    if (!make_room(area, 1, 0, err))
        return false;
    put(area, hole, area->parts[area->part_count - 1]);
    return true;
}

bool area_take_region(struct area *area, struct rab_region *region, struct rab_error *err)
{
    const size_t first = area->count;

    if (region->count == 0) {
        rab_region_clear(region);
        return true;
    }
    if (!make_room(area, region->count, 1, err))
        return false;
    begin_part(area, first);
    for (size_t i = 0; i < region->count; i++) {
        const size_t parent = region->parents[i];
        put(area, &region->outlines[i], parent == RAB_NO_PARENT ? parent : parent + first);
    }
    rab_region_clear(region);
    return true;
}

bool area_join(struct area *area, struct area *from, struct rab_error *err)
{
    const size_t first = area->count;

    if (area->count == 0 && area->lines.count == 0) {
        area_clear(area);
        *area = *from;
        *from = (struct area){0};
        return true;
    }
    if (!make_room(area, from->count, from->part_count, err))
        return false;
    for (size_t i = 0; i < from->lines.count; i++)
        if (!lines_take(&area->lines, &from->lines.items[i], err))
            return false;
    for (size_t i = 0; i < from->part_count; i++)
        begin_part(area, from->parts[i] + first);
    for (size_t i = 0; i < from->count; i++) {
        const size_t parent = from->parents[i];
        put(area, &from->outlines[i], parent == RAB_NO_PARENT ? parent : parent + first);
    }
    from->count = 0;
    area_clear(from);
    return true;
}

bool area_copy(const struct area *in, struct area *out, struct rab_error *err)
{
    struct area made = {0};

    if (!make_room(&made, in->count, in->part_count, err))
        goto failed;
    for (size_t i = 0; i < in->part_count; i++)
        begin_part(&made, in->parts[i]);
    for (size_t i = 0; i < in->count; i++) {
        struct rab_outline copy = {0};
        if (!rab_outline_copy(&in->outlines[i], &copy, err))
            goto failed;
        put(&made, &copy, in->parents[i]);
    }
    for (size_t i = 0; i < in->lines.count; i++) {
        struct rab_outline copy = {0};
        if (!rab_outline_copy(&in->lines.items[i], &copy, err))
            goto failed;
        if (!lines_take(&made.lines, &copy, err)) {
            rab_outline_clear(&copy);
            goto failed;
        }
    }
    *out = made;
    return true;
failed:
    area_clear(&made);
    return false;
}

/* ---- the union --------------------------------------------------------------------------- */

static bool meet(void *context, size_t first, size_t second)
{
    (void)first;
    (void)second;
    *(bool *)context = true;
    return false;
}

static size_t part_end(const struct area *area, size_t part)
{
    return part + 1 < area->part_count ? area->parts[part + 1] : area->count;
}

/* Do the boxes of any two parts meet, or come so near that the region room makes one point of
 * two? */
static bool parts_meet(const struct area *area, bool *yes, struct rab_error *err)
{
    const size_t n = area->part_count;
    struct rab_box *boxes = NULL;
    uint32_t *order = NULL;
    size_t box_room = 0, order_room = 0;
    void *items = NULL;
    struct box_tree tree = {0};
    bool ok = false;

    assert(n > 0 && area->parts);
    *yes = false;
    if (!rab_reserve(&items, &box_room, n, sizeof *boxes, err))
        return false;
    boxes = items;
    items = NULL;
    if (!rab_reserve(&items, &order_room, n, sizeof *order, err))
        goto done;
    order = items;
    for (size_t i = 0; i < n; i++) {
        struct rab_box box = RAB_BOX_EMPTY;
        for (size_t o = area->parts[i]; o < part_end(area, i); o++)
            box = rab_box_join(box, rab_outline_box(&area->outlines[o]));
        const double near = 4 * RAB_SAME_POINT;
        boxes[i] = (struct rab_box){box.x0 - near, box.y0 - near, box.x1 + near, box.y1 + near};
    }
    if (!box_tree_order(boxes, n, order, err) || !box_tree_reserve(&tree, n, err))
        goto done;
    for (size_t i = 0; i < n; i++)
        tree.boxes[i] = boxes[order[i]];
    box_tree_finish(&tree);
    (void)box_tree_pairs(&tree, meet, yes);
    ok = true;
done:
    box_tree_clear(&tree);
    free(order);
    free(boxes);
    return ok;
}

bool area_settle(struct area *area, bool *worked, struct rab_error *err)
{
    struct rab_region region = {0};
    bool yes;

    if (worked)
        *worked = false;
    if (area->part_count < 2)
        return true;
    if (!parts_meet(area, &yes, err))
        return false;
    if (!yes) {
        area->part_count = 1;
        return true;
    }
    if (!rab_region_fill(area->outlines, area->count, RAB_FILL_POSITIVE, &region, err))
        return false;
    for (size_t i = 0; i < area->count; i++)
        rab_outline_clear(&area->outlines[i]);
    area->count = area->part_count = 0;
    const bool ok = area_take_region(area, &region, err);
    rab_region_clear(&region);
    if (worked)
        *worked = true;
    return ok;
}

bool area_region(struct area *area, struct rab_region *out, bool *worked, struct rab_error *err)
{
    if (!area_settle(area, worked, err))
        return false;
    *out = (struct rab_region){area->outlines, area->parents, area->count};
    free(area->parts);
    *area = (struct area){.lines = area->lines};
    return true;
}

/* ---- measuring and moving ---------------------------------------------------------------- */

static size_t edges_of(const struct area *area)
{
    size_t n = 0;

    for (size_t i = 0; i < area->count; i++)
        n += area->outlines[i].count;
    return n;
}

size_t area_vertices(const struct area *area)
{
    size_t n = edges_of(area);

    for (size_t i = 0; i < area->lines.count; i++)
        n += area->lines.items[i].count;
    return n;
}

struct rab_box area_box(const struct area *area)
{
    struct rab_box box = RAB_BOX_EMPTY;

    for (size_t i = 0; i < area->count; i++)
        box = rab_box_join(box, rab_outline_box(&area->outlines[i]));
    for (size_t i = 0; i < area->lines.count; i++)
        box = rab_box_join(box, rab_outline_box(&area->lines.items[i]));
    return box;
}

void area_move(struct area *area, double dx, double dy)
{
    for (size_t i = 0; i < area->count; i++)
        rab_outline_move(&area->outlines[i], dx, dy);
    for (size_t i = 0; i < area->lines.count; i++)
        rab_outline_move(&area->lines.items[i], dx, dy);
}

static void turn(struct rab_outline *outline, double c, double s, struct rab_point about)
{
    for (size_t i = 0; i < outline->count; i++) {
        struct rab_vertex *v = &outline->vertices[i];
        const double x = v->x - about.x, y = v->y - about.y;
        v->x = about.x + (c * x - s * y);
        v->y = about.y + (s * x + c * y);
    }
}

void area_turn(struct area *area, double cosine, double sine, struct rab_point about)
{
    for (size_t i = 0; i < area->count; i++)
        turn(&area->outlines[i], cosine, sine, about);
    for (size_t i = 0; i < area->lines.count; i++)
        turn(&area->lines.items[i], cosine, sine, about);
}

static void mirror(struct rab_outline *outline, bool upright, double at)
{
    for (size_t i = 0; i < outline->count; i++) {
        struct rab_vertex *v = &outline->vertices[i];
        if (upright)
            v->x = 2 * at - v->x;
        else
            v->y = 2 * at - v->y;
        v->bulge = -v->bulge;
    }
}

void area_mirror(struct area *area, bool upright, double at)
{
    for (size_t i = 0; i < area->count; i++) {
        mirror(&area->outlines[i], upright, at);
        rab_outline_reverse(&area->outlines[i]);
    }
    for (size_t i = 0; i < area->lines.count; i++)
        mirror(&area->lines.items[i], upright, at);
}

/* ---- what it may cost -------------------------------------------------------------------- */

struct tally {
    size_t count, most;
};

static bool tally_pair(void *context, size_t first, size_t second)
{
    struct tally *tally = context;

    (void)first;
    (void)second;
    return ++tally->count <= tally->most;
}

static void add_boxes(const struct area *area, double near, struct box_tree *tree, size_t *n)
{
    for (size_t i = 0; i < area->count; i++) {
        const struct rab_outline *o = &area->outlines[i];
        for (size_t v = 0; v < o->count; v++) {
            const struct rab_vertex *next = &o->vertices[v + 1 < o->count ? v + 1 : 0];
            const struct rab_box box =
                rab_box_arc(o->vertices[v], (struct rab_point){next->x, next->y});
            tree->boxes[(*n)++] = (struct rab_box){box.x0 - near / 2, box.y0 - near / 2,
                                                   box.x1 + near / 2, box.y1 + near / 2};
        }
    }
}

bool area_pairs(const struct area *a, const struct area *b, double near, size_t most, size_t *pairs,
                struct rab_error *err)
{
    struct box_tree tree = {0};
    struct tally tally = {0, most};
    size_t n = 0;

    if (!box_tree_reserve(&tree, edges_of(a) + (b ? edges_of(b) : 0), err))
        return false;
    add_boxes(a, near, &tree, &n);
    if (b)
        add_boxes(b, near, &tree, &n);
    box_tree_finish(&tree);
    (void)box_tree_pairs(&tree, tally_pair, &tally);
    box_tree_clear(&tree);
    *pairs = tally.count;
    return true;
}
