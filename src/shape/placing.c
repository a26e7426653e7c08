/* Elements that put what lies in them elsewhere, once or many times. */
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "outline/arc.h"
#include "shape/scene.h"

/* Cosine and sine, exact for whole quarter turns, so that what was level or upright stays so. */
static void turn_of(double angle, double *cosine, double *sine)
{
    const double tiny = 1e-15 * fmax(1, fabs(angle));

    *cosine = cos(angle);
    *sine = sin(angle);
    if (fabs(*cosine) <= tiny) {
        *cosine = 0;
        *sine = copysign(1, *sine);
    } else if (fabs(*sine) <= tiny) {
        *sine = 0;
        *cosine = copysign(1, *cosine);
    }
}

/* ---- once -------------------------------------------------------------------------------- */

/* NOLINTBEGIN(misc-no-recursion): no deeper than the elements of a file */

/* What lies in an element, from a node on, ready to be placed. */
static bool content(struct scene *scene, uint32_t node, uint32_t first, struct area *out)
{
    return elements_draw(scene, first, out) && scene_spend(scene, node, area_vertices(out));
}

static bool draw_move(struct scene *scene, uint32_t node, struct area *area)
{
    struct area made = {0};
    struct rab_point by;
    bool ok = false;

    if (scene_point(scene, node, &by) &&
        content(scene, node, scene_node(scene, node)->first, &made)) {
        area_move(&made, by.x, by.y);
        ok = area_join(area, &made, scene->run->err);
    }
    area_clear(&made);
    return ok;
}

static bool draw_turn(struct scene *scene, uint32_t node, struct area *area)
{
    struct area made = {0};
    struct rab_point about;
    double by, cosine, sine;
    bool ok = false;

    if (scene_value(scene, node, KEY_BY, &by) && scene_point(scene, node, &about) &&
        content(scene, node, scene_node(scene, node)->first, &made)) {
        turn_of(by, &cosine, &sine);
        area_turn(&made, cosine, sine, about);
        ok = area_join(area, &made, scene->run->err);
    }
    area_clear(&made);
    return ok;
}

static bool draw_mirror(struct scene *scene, uint32_t node, struct area *area)
{
    const bool upright = scene_has(scene, node, KEY_X);
    struct area made = {0}, both = {0};
    double at;
    bool ok = false;

    if (!scene_value(scene, node, upright ? KEY_X : KEY_Y, &at) ||
        !content(scene, node, scene_node(scene, node)->first, &made))
        goto done;
    if (scene_node(scene, node)->both && (!scene_vertices(scene, node, area_vertices(&made)) ||
                                          !area_copy(&made, &both, scene->run->err)))
        goto done;
    area_mirror(&made, upright, at);
    ok = area_join(area, &both, scene->run->err) && area_join(area, &made, scene->run->err);
done:
    area_clear(&made);
    area_clear(&both);
    return ok;
}

/* ---- many times -------------------------------------------------------------------------- */

/* One copy, turned about a point and then moved. */
struct stand {
    double cosine, sine;
    struct rab_point about, move;
};

static bool draw_copy(struct scene *scene, uint32_t node, uint32_t first, struct stand stand,
                      struct area *area)
{
    struct area made = {0};
    bool ok = false;

    if (content(scene, node, first, &made)) {
        if (stand.cosine != 1 || stand.sine != 0)
            area_turn(&made, stand.cosine, stand.sine, stand.about);
        area_move(&made, stand.move.x, stand.move.y);
        ok = area_join(area, &made, scene->run->err);
    }
    area_clear(&made);
    return ok && scene_spend(scene, node, 1);
}

static bool draw_row(struct scene *scene, uint32_t node, struct area *area)
{
    const struct node *n = scene_node(scene, node);
    struct rab_point step;
    size_t count;

    if (!scene_count(scene, node, KEY_COUNT_OF, "copies", 0, &count) ||
        !scene_point(scene, node, &step))
        return false;
    for (size_t i = 0; i < count; i++) {
        const double c = (double)i;
        const struct stand stand = {1, 0, {0, 0}, {c * step.x, c * step.y}};
        scene->slots[n->slot] = c;
        if (!draw_copy(scene, node, n->first, stand, area))
            return false;
    }
    return true;
}

static bool draw_repeat(struct scene *scene, uint32_t node, struct area *area)
{
    const struct node *n = scene_node(scene, node);
    size_t count;

    if (!scene_count(scene, node, KEY_COUNT_OF, "copies", 0, &count))
        return false;
    for (size_t i = 0; i < count; i++) {
        scene->slots[n->slot] = (double)i;
        if (!scene_spend(scene, node, 1) || !elements_draw(scene, n->first, area))
            return false;
    }
    return true;
}

static bool draw_around(struct scene *scene, uint32_t node, struct area *area)
{
    const struct node *n = scene_node(scene, node);
    struct stand stand = {0};
    double by;
    size_t count;

    if (!scene_count(scene, node, KEY_COUNT_OF, "copies", 0, &count) ||
        !scene_point(scene, node, &stand.about) ||
        !scene_value_or(scene, node, KEY_BY, count > 0 ? 2 * RAB_PI / (double)count : 0, &by))
        return false;
    for (size_t i = 0; i < count; i++) {
        turn_of((double)i * by, &stand.cosine, &stand.sine);
        scene->slots[n->slot] = (double)i;
        if (!draw_copy(scene, node, n->first, stand, area))
            return false;
    }
    return true;
}

static bool draw_grid(struct scene *scene, uint32_t node, struct area *area)
{
    const struct node *n = scene_node(scene, node);
    struct rab_point step;
    size_t columns, rows;

    if (!scene_count(scene, node, KEY_COLUMNS, "columns", 0, &columns) ||
        !scene_count(scene, node, KEY_ROWS, "rows", 0, &rows) || !scene_point(scene, node, &step))
        return false;
    for (size_t row = 0; row < rows && columns > 0; row++) {
        const double shift = n->stagger && row % 2 != 0 ? 0.5 : 0;
        for (size_t column = 0; column < columns; column++) {
            const struct stand stand = {
                1, 0, {0, 0}, {((double)column + shift) * step.x, (double)row * step.y}};
            scene->slots[n->slot] = (double)column;
            scene->slots[n->slot + 1] = (double)row;
            if (!draw_copy(scene, node, n->first, stand, area))
                return false;
        }
    }
    return true;
}

/* ---- along a line ------------------------------------------------------------------------ */

struct guide {
    struct rab_outline line;
    struct arc *arcs;
    double *from; /* length before each edge, and of all */
    size_t edges;
};

static void guide_clear(struct guide *guide)
{
    rab_outline_clear(&guide->line);
    free(guide->arcs);
    free(guide->from);
}

/* The line that copies follow: the one outline or path in what was drawn. */
static bool guide_make(struct scene *scene, uint32_t node, struct area *drawn, struct guide *guide)
{
    size_t room = 0, more_room = 0;
    void *arcs = NULL, *from = NULL;

    if (!scene_settle(scene, node, drawn))
        return false;
    if (drawn->count + drawn->lines.count != 1)
        return scene_fail(
            scene, node,
            "the first thing here must be one line to follow; it comes out as %zu lines",
            drawn->count + drawn->lines.count);
    struct rab_outline *line = drawn->count == 1 ? &drawn->outlines[0] : &drawn->lines.items[0];
    guide->line = *line;
    *line = (struct rab_outline){0};
    guide->edges = arc_count(&guide->line);
    if (!rab_reserve(&arcs, &room, guide->edges, sizeof *guide->arcs, scene->run->err))
        return false;
    guide->arcs = arcs;
    if (!rab_reserve(&from, &more_room, guide->edges + 1, sizeof *guide->from, scene->run->err))
        return false;
    guide->from = from;
    guide->from[0] = 0;
    for (size_t i = 0; i < guide->edges; i++) {
        guide->arcs[i] = arc_of(&guide->line, i);
        guide->from[i + 1] = guide->from[i] + arc_length(&guide->arcs[i]);
    }
    return true;
}

/* The point so far along, and the direction there; at a corner that of what comes after it. */
static struct rab_point guide_at(const struct guide *guide, double place, struct rab_point *tangent)
{
    const double near = 1e-9;
    size_t lo = 0, hi = guide->edges - 1;

    while (lo < hi) {
        const size_t middle = lo + (hi - lo) / 2;
        if (place >= guide->from[middle + 1] - near)
            lo = middle + 1;
        else
            hi = middle;
    }
    const double length = guide->from[lo + 1] - guide->from[lo];
    const double share = length > 0 ? (place - guide->from[lo]) / length : 0;
    return arc_at(&guide->arcs[lo], fmin(1, fmax(0, share)), tangent);
}

/* An outline is followed from where its steps start, even if there is no corner. */
static bool draw_guide(struct scene *scene, uint32_t node, struct area *drawn, bool *is_line)
{
    struct rab_outline line = {0};
    bool yes;

    if (scene_node(scene, node)->tag != TAG_OUTLINE)
        return element_draw(scene, node, drawn, is_line);
    if (!scene_when(scene, node, &yes))
        return false;
    if (!yes)
        return true;
    *is_line = true;
    const bool ok =
        outline_line(scene, node, &line) && lines_take(&drawn->lines, &line, scene->run->err);
    rab_outline_clear(&line);
    return ok;
}

static bool draw_along(struct scene *scene, uint32_t node, struct area *area)
{
    const struct node *n = scene_node(scene, node);
    struct area drawn = {0};
    struct guide guide = {0};
    uint32_t first = n->first;
    size_t count;
    bool is_line = false, ok = false;

    if (!scene_count(scene, node, KEY_COUNT_OF, "copies", 0, &count))
        return false;
    for (; first != NO_NODE && !is_line; first = scene_node(scene, first)->next)
        if (!draw_guide(scene, first, &drawn, &is_line))
            goto done;
    if (!guide_make(scene, node, &drawn, &guide))
        goto done;
    assert(guide.from && guide.edges > 0);
    const double whole = guide.from[guide.edges];
    const size_t steps = guide.line.open ? (count > 1 ? count - 1 : 2) : (count > 0 ? count : 1);
    for (size_t i = 0; i < count; i++) {
        const size_t at = guide.line.open && count == 1 ? 1 : i; /* one alone: in the middle */
        struct rab_point tangent;
        const struct rab_point place =
            guide_at(&guide, whole * (double)at / (double)steps, &tangent);
        const struct stand stand = {tangent.x, tangent.y, {0, 0}, place};
        scene->slots[n->slot] = (double)i;
        if (!draw_copy(scene, node, first, stand, area))
            goto done;
    }
    ok = true;
done:
    guide_clear(&guide);
    area_clear(&drawn);
    return ok;
}

bool placing_draw(struct scene *scene, uint32_t node, struct area *area)
{
    switch (scene_node(scene, node)->tag) {
    case TAG_MOVE:
        return draw_move(scene, node, area);
    case TAG_TURN:
        return draw_turn(scene, node, area);
    case TAG_MIRROR:
        return draw_mirror(scene, node, area);
    case TAG_ROW:
        return draw_row(scene, node, area);
    case TAG_AROUND:
        return draw_around(scene, node, area);
    case TAG_GRID:
        return draw_grid(scene, node, area);
    case TAG_ALONG:
        return draw_along(scene, node, area);
    default:
        return draw_repeat(scene, node, area);
    }
}

/* NOLINTEND(misc-no-recursion) */
