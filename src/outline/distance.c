#include <stdlib.h>

#include "arc.h"
#include "box_tree.h"

/*
 * The winding number of the polygon of chords, and one more or less where the point lies between a
 * chord and its arc. A point on a chord counts as a little to the right of it, and a little above
 * if that does not decide, in both; so the sum is right although neither part is sharp there.
 */
int rab_outline_winding(const struct rab_outline *outline, struct rab_point point)
{
    const size_t n = outline->count;
    int winding = 0;

    for (size_t i = 0; i < n; i++) {
        const struct rab_vertex a = outline->vertices[i];
        const struct rab_vertex b = outline->vertices[i + 1 < n ? i + 1 : 0];
        const double side = (b.x - a.x) * (point.y - a.y) - (b.y - a.y) * (point.x - a.x);

        if (a.y <= point.y && point.y < b.y)
            winding += side > 0;
        else if (b.y <= point.y && point.y < a.y)
            winding -= side < 0;
        if (a.bulge == 0 || (outline->open && i + 1 == n))
            continue;

        const bool right = side < 0 || (side == 0 && (b.y > a.y || (b.y == a.y && b.x < a.x)));
        if (right != (a.bulge > 0))
            continue;
        const struct arc arc = arc_make(a, (struct rab_point){b.x, b.y});
        if (arc.k * arc_side(&arc, point) < 0)
            winding += right ? 1 : -1;
    }
    return winding;
}

/* An edge lies within half its chord of the chord's middle, or within its height when it is more
 * than half a turn. */
static bool may_be_nearer(struct rab_vertex a, struct rab_vertex b, struct rab_point point,
                          double best)
{
    const double x = (a.x + b.x) / 2 - point.x, y = (a.y + b.y) / 2 - point.y;
    const double cx = b.x - a.x, cy = b.y - a.y;
    const double radius = sqrt(cx * cx + cy * cy) / 2 * fmax(1, fabs(a.bulge));
    return x * x + y * y <= (best + radius) * (best + radius) * (1 + 1e-12);
}

double rab_outline_distance(const struct rab_outline *outline, struct rab_point point,
                            struct rab_point *nearest)
{
    const size_t edges = arc_count(outline);
    struct rab_point where = {0, 0};
    double best = 1e300;

    if (outline->count == 1) {
        where = (struct rab_point){outline->vertices[0].x, outline->vertices[0].y};
        best = point_apart(where, point);
    }
    for (size_t i = 0; i < edges; i++) {
        const struct rab_vertex *a = &outline->vertices[i];
        const struct rab_vertex *b = &outline->vertices[i + 1 < outline->count ? i + 1 : 0];
        if (!may_be_nearer(*a, *b, point, best))
            continue;
        const struct arc arc = arc_of(outline, i);
        struct rab_point at;
        const double distance = arc_distance(&arc, point, &at);
        if (distance < best) {
            best = distance;
            where = at;
        }
    }
    if (nearest)
        *nearest = where;
    return best;
}

/* ---- between outlines -------------------------------------------------------------------- */

struct side {
    struct arc *arcs;
    struct box_tree tree;
};

struct search {
    const struct side *a, *b;
    double best;
    struct rab_point on_a, on_b;
};

struct node {
    int level;
    size_t index;
};

static bool prepare(const struct rab_outline *outline, struct side *side, struct rab_error *err)
{
    /* A single open vertex is an edge without length. */
    const size_t edges = outline->count == 1 ? 1 : arc_count(outline);
    size_t capacity = 0;
    void *items = NULL;

    if (edges == 0)
        return true;
    if (!rab_reserve(&items, &capacity, edges, sizeof *side->arcs, err))
        return false;
    side->arcs = items;
    if (!box_tree_reserve(&side->tree, edges, err))
        return false;
    for (size_t i = 0; i < edges; i++) {
        side->arcs[i] = arc_of(outline, i);
        const struct rab_vertex a = outline->vertices[i];
        side->tree.boxes[i] = rab_box_arc(a, side->arcs[i].b);
    }
    box_tree_finish(&side->tree);
    return true;
}

static void discard(struct side *side)
{
    free(side->arcs);
    box_tree_clear(&side->tree);
}

static const struct rab_box *box_of(const struct side *side, struct node node)
{
    return &side->tree.boxes[side->tree.start[node.level] + node.index];
}

static double boxes_apart(const struct rab_box *p, const struct rab_box *q)
{
    const double x = fmax(0, fmax(p->x0 - q->x1, q->x0 - p->x1));
    const double y = fmax(0, fmax(p->y0 - q->y1, q->y0 - p->y1));
    return sqrt(x * x + y * y);
}

/* Both trees from the roots down, the nearest pairs first. */
/* NOLINTNEXTLINE(misc-no-recursion): no deeper than both are high */
static void descend(struct search *search, struct node a, struct node b)
{
    if (a.level == 0 && b.level == 0) {
        struct rab_point on_a, on_b;
        const double gap =
            arc_gap(&search->a->arcs[a.index], &search->b->arcs[b.index], &on_a, &on_b);
        if (gap < search->best) {
            search->best = gap;
            search->on_a = on_a;
            search->on_b = on_b;
        }
        return;
    }

    const bool open_a = a.level >= b.level;
    const struct side *opened = open_a ? search->a : search->b;
    const struct node parent = open_a ? a : b;
    const struct rab_box *other = open_a ? box_of(search->b, b) : box_of(search->a, a);
    struct {
        double apart;
        struct node node;
    } near[BOX_TREE_FAN];
    int count = 0;

    for (size_t i = 0; i < BOX_TREE_FAN; i++) {
        const struct node node = {parent.level - 1, parent.index * BOX_TREE_FAN + i};
        if (node.index >= opened->tree.size[node.level])
            break;
        const double apart = boxes_apart(box_of(opened, node), other);
        int at = count++;
        /* cppcheck-suppress uninitvar ; what lies below `at` is filled */
        for (; at > 0 && near[at - 1].apart > apart; at--)
            near[at] = near[at - 1];
        near[at].apart = apart;
        near[at].node = node;
    }
    for (int i = 0; i < count && near[i].apart < search->best; i++)
        descend(search, open_a ? near[i].node : a, open_a ? b : near[i].node);
}

bool rab_outline_gap(const struct rab_outline *a, const struct rab_outline *b, double *distance,
                     struct rab_point *on_a, struct rab_point *on_b, struct rab_error *err)
{
    struct side side_a = {0}, side_b = {0};
    struct search search = {.a = &side_a, .b = &side_b, .best = 1e300};
    bool ok = false;

    if (!prepare(a, &side_a, err) || !prepare(b, &side_b, err))
        goto done;
    if (a->count > 0 && b->count > 0)
        descend(&search, (struct node){side_a.tree.levels - 1, 0},
                (struct node){side_b.tree.levels - 1, 0});

    *distance = search.best;
    if (on_a)
        *on_a = search.on_a;
    if (on_b)
        *on_b = search.on_b;
    ok = true;
done:
    discard(&side_a);
    discard(&side_b);
    return ok;
}
