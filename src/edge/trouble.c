#include "trouble.h"

#include <stdlib.h>
#include <string.h>

#include "outline/box_tree.h"

/* Areas that differ by less are the same: a hair of 1e-7 mm along a metre. */
static const double same_area = 1e-4;
/* A part of the edge passes a point when it comes this near. */
static const double passes = 1e-5;

void troubles_clear(struct troubles *list)
{
    free(list->items);
    *list = (struct troubles){0};
}

bool place_text(struct rab_point at, char text[PLACE_TEXT], struct rab_error *err)
{
    struct rab_text words = {0};

    rab_text_fixed(&words, at.x, 1);
    rab_text_add(&words, ", ");
    rab_text_fixed(&words, at.y, 1);
    rab_text_add(&words, " mm");
    const bool ok = rab_text_ok(&words, err);
    if (ok) {
        const size_t length = words.length < PLACE_TEXT ? words.length : PLACE_TEXT - 1;
        memcpy(text, words.data, length);
        text[length] = '\0';
    }
    rab_text_clear(&words);
    return ok;
}

/* ---- what made the edge at a point ----------------------------------------------------- */

struct finder {
    const struct chain *edge;
    struct box_tree tree;
    struct trouble *trouble;
    struct rab_point at;
};

static void add_mark(struct trouble *trouble, struct mark mark)
{
    for (size_t i = 0; i < trouble->mark_count; i++) {
        if (trouble->marks[i].run == mark.run && trouble->marks[i].repeat == mark.repeat)
            return;
    }
    if (trouble->mark_count < TROUBLE_MARKS)
        trouble->marks[trouble->mark_count++] = mark;
}

static bool found_edge(void *context, size_t item)
{
    struct finder *f = context;
    const struct arc arc = arc_of(&f->edge->line, item);

    if (arc_distance(&arc, f->at, NULL) <= passes)
        add_mark(f->trouble, f->edge->marks[item]);
    return true;
}

static void mark_point(struct finder *f, struct trouble *trouble, struct rab_point at)
{
    f->trouble = trouble;
    f->at = at;
    box_tree_query(&f->tree,
                   (struct rab_box){at.x - passes, at.y - passes, at.x + passes, at.y + passes},
                   found_edge, f);
}

static bool make_finder(const struct chain *edge, struct finder *out, struct rab_error *err)
{
    const size_t count = arc_count(&edge->line);

    *out = (struct finder){.edge = edge};
    if (!box_tree_reserve(&out->tree, count, err))
        return false;
    for (size_t i = 0; i < count; i++) {
        const struct arc arc = arc_of(&edge->line, i);
        out->tree.boxes[i] = rab_box_arc(edge->line.vertices[i], arc.b);
    }
    box_tree_finish(&out->tree);
    return true;
}

static bool add_trouble(struct troubles *list, const struct trouble *trouble, struct rab_error *err)
{
    void *items = list->items;

    if (!rab_reserve(&items, &list->capacity, list->count + 1, sizeof *list->items, err))
        return false;
    list->items = items;
    list->items[list->count++] = *trouble;
    return true;
}

/* ---- areas covered twice or turned inside out ------------------------------------------ */

/* What `a` has and `b` lacks, each part of it a trouble. */
static bool add_parts(struct finder *f, const struct rab_region *a, const struct rab_region *b,
                      struct troubles *found, struct rab_error *err)
{
    struct rab_region parts = {0};
    bool ok = rab_region_combine(a, b, RAB_DIFFERENCE, &parts, err);

    for (size_t i = 0; i < parts.count && ok; i++) {
        const struct rab_outline *part = &parts.outlines[i];
        struct trouble trouble = {.at = rab_outline_centroid(part)};
        if (parts.parents[i] != RAB_NO_PARENT)
            continue;
        for (size_t e = 0; e < part->count; e++) {
            const struct arc arc = arc_of(part, e);
            struct rab_point tangent;
            mark_point(f, &trouble, arc_at(&arc, 0.5, &tangent));
        }
        ok = add_trouble(found, &trouble, err);
    }
    rab_region_clear(&parts);
    return ok;
}

/* Places where the outlines of a region touch each other. */
static bool add_touches(struct finder *f, const struct rab_region *region, struct troubles *found,
                        struct rab_error *err)
{
    for (size_t i = 1; i < region->count; i++) {
        for (size_t v = 0; v < region->outlines[i].count; v++) {
            const struct rab_vertex *at = &region->outlines[i].vertices[v];
            struct trouble trouble = {.at = {at->x, at->y}};
            if (rab_outline_distance(&region->outlines[0], trouble.at, NULL) > passes)
                continue;
            mark_point(f, &trouble, trouble.at);
            if (!add_trouble(found, &trouble, err))
                return false;
        }
    }
    return true;
}

static bool is_plain(const struct rab_region *region, double area)
{
    return region->count == 1 && fabs(rab_region_area(region) - area) <= same_area;
}

bool edge_resolve(const struct chain *edge, struct rab_region *out, struct troubles *found,
                  struct rab_error *err)
{
    struct rab_outline outline = {0};
    struct rab_region nonzero = {0}, odd = {0}, positive = {0};
    struct finder finder = {0};
    bool ok = false;

    if (!rab_outline_copy(&edge->line, &outline, err))
        return false;
    rab_outline_reverse(&outline);
    if (!rab_region_fill(&outline, 1, RAB_FILL_NONZERO, &nonzero, err))
        goto done;
    if (is_plain(&nonzero, rab_outline_area(&outline))) {
        *out = nonzero;
        nonzero = (struct rab_region){0};
        ok = true;
        goto done;
    }
    const size_t before = found->count;
    if (!rab_region_fill(&outline, 1, RAB_FILL_EVENODD, &odd, err) ||
        !rab_region_fill(&outline, 1, RAB_FILL_POSITIVE, &positive, err) ||
        !make_finder(edge, &finder, err) || !add_parts(&finder, &nonzero, &odd, found, err) ||
        !add_parts(&finder, &nonzero, &positive, found, err))
        goto done;
    if (found->count == before && !add_touches(&finder, &nonzero, found, err))
        goto done;
    ok = found->count > before || rab_fail(err, RAB_FAULT_GEOMETRY,
                                           "the edge runs into itself; give a smaller depth or a "
                                           "larger pitch");
done:
    box_tree_clear(&finder.tree);
    rab_region_clear(&positive);
    rab_region_clear(&odd);
    rab_region_clear(&nonzero);
    rab_outline_clear(&outline);
    return ok;
}

/* ---- holes ----------------------------------------------------------------------------- */

/* Where a hole touches the paper's edge or another hole. */
static bool find_touch(const struct rab_region *paper, const struct rab_outline *holes,
                       size_t count, struct rab_point *at, struct rab_error *err)
{
    for (size_t i = 0; i < count; i++) {
        const struct rab_box box = rab_outline_box(&holes[i]);
        struct rab_point other;
        double gap;
        for (size_t j = 0; j < paper->count; j++) {
            if (!rab_outline_gap(&holes[i], &paper->outlines[j], &gap, at, &other, err))
                return false;
            if (gap <= passes)
                return true;
        }
        for (size_t j = 0; j < i; j++) {
            const struct rab_box next = rab_outline_box(&holes[j]);
            if (!box_meets(&box, &next))
                continue;
            if (!rab_outline_gap(&holes[i], &holes[j], &gap, at, &other, err))
                return false;
            if (gap <= passes)
                return true;
        }
    }
    return rab_fail(err, RAB_FAULT_GEOMETRY,
                    "holes of the edge run into each other; give a larger pitch");
}

bool holes_cut(const struct rab_region *paper, const struct rab_outline *holes, size_t count,
               struct rab_region *out, bool *clear, struct rab_point *at, struct rab_error *err)
{
    const size_t all = paper->count + count;
    struct rab_outline *outlines = calloc(all + 1, sizeof *outlines);
    struct rab_region left = {0}, wrong = {0};
    double area = rab_region_area(paper);
    bool ok = false;

    if (!outlines)
        return rab_fail_memory(err);
    for (size_t i = 0; i < paper->count; i++) {
        if (!rab_outline_copy(&paper->outlines[i], &outlines[i], err))
            goto done;
    }
    for (size_t i = 0; i < count; i++) {
        struct rab_outline *hole = &outlines[paper->count + i];
        if (!rab_outline_copy(&holes[i], hole, err))
            goto done;
        rab_outline_reverse(hole);
        area += rab_outline_area(hole);
    }
    if (!rab_region_fill(outlines, all, RAB_FILL_POSITIVE, &left, err))
        goto done;
    *clear = left.count == all && fabs(rab_region_area(&left) - area) <= same_area;
    if (!*clear) {
        /* Turned round, what is covered less than not at all. */
        for (size_t i = 0; i < all; i++)
            rab_outline_reverse(&outlines[i]);
        if (!rab_region_fill(outlines, all, RAB_FILL_POSITIVE, &wrong, err) ||
            (wrong.count == 0 && !find_touch(paper, holes, count, at, err)))
            goto done;
        if (wrong.count > 0)
            *at = rab_outline_centroid(&wrong.outlines[0]);
    } else {
        *out = left;
        left = (struct rab_region){0};
    }
    ok = true;
done:
    rab_region_clear(&wrong);
    rab_region_clear(&left);
    for (size_t i = 0; i < all; i++)
        rab_outline_clear(&outlines[i]);
    free(outlines);
    return ok;
}
