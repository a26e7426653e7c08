#include "shape/measure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "outline/arc.h"
#include "outline/box_tree.h"

/* ---- the least distance between outlines of different kinds ------------------------------ */

/* Edges of chosen outlines of a region, with the outline each belongs to. */
struct edges {
    struct arc *arcs;
    uint32_t *owner;
    struct box_tree tree;
    size_t count;
};

static void edges_clear(struct edges *edges)
{
    free(edges->arcs);
    free(edges->owner);
    box_tree_clear(&edges->tree);
}

/* Is outline i an opening? Outer outlines and openings take turns going inwards, and parents stand
 * before their children. */
static bool *find_openings(const struct rab_region *region, struct rab_error *err)
{
    size_t room = 0;
    void *items = NULL;

    if (!rab_reserve(&items, &room, region->count + 1, sizeof(bool), err))
        return NULL;
    bool *opening = items;
    for (size_t i = 0; i < region->count; i++) {
        const size_t parent = region->parents[i];
        opening[i] = parent != RAB_NO_PARENT && !opening[parent];
    }
    return opening;
}

/* Outlines along a Hilbert curve, their edges in order: near edges are near in the tree. */
static bool edges_make(const struct rab_region *region, const bool *opening, bool of_openings,
                       bool of_outer, struct edges *edges, struct rab_error *err)
{
    struct rab_box *boxes = NULL;
    uint32_t *order = NULL;
    size_t n = 0, room[4] = {0};
    void *items[4] = {0};
    bool ok = false;

    for (size_t i = 0; i < region->count; i++)
        n += region->outlines[i].count;
    if (!rab_reserve(&items[0], &room[0], region->count + 1, sizeof *boxes, err))
        return false;
    boxes = items[0];
    if (!rab_reserve(&items[1], &room[1], region->count + 1, sizeof *order, err))
        goto done;
    order = items[1];
    if (!rab_reserve(&items[2], &room[2], n + 1, sizeof *edges->arcs, err))
        goto done;
    edges->arcs = items[2];
    if (!rab_reserve(&items[3], &room[3], n + 1, sizeof *edges->owner, err))
        goto done;
    edges->owner = items[3];
    for (size_t i = 0; i < region->count; i++)
        boxes[i] = rab_outline_box(&region->outlines[i]);
    if (!box_tree_order(boxes, region->count, order, err))
        goto done;
    for (size_t i = 0; i < region->count; i++) {
        const struct rab_outline *o = &region->outlines[order[i]];
        if (opening[order[i]] ? !of_openings : !of_outer)
            continue;
        for (size_t e = 0; e < o->count; e++) {
            edges->arcs[edges->count] = arc_of(o, e);
            edges->owner[edges->count++] = order[i];
        }
    }
    if (!box_tree_reserve(&edges->tree, edges->count, err))
        goto done;
    for (size_t i = 0; i < edges->count; i++) {
        const struct arc *arc = &edges->arcs[i];
        edges->tree.boxes[i] =
            rab_box_arc((struct rab_vertex){arc->a.x, arc->a.y, arc->bulge}, arc->b);
    }
    box_tree_finish(&edges->tree);
    ok = true;
done:
    free(boxes);
    free(order);
    return ok;
}

/* Which pairs of outlines count. */
enum pairs {
    PAIRS_WEB,    /* two openings of one piece */
    PAIRS_BORDER, /* an opening and the outer outline of its piece */
    PAIRS_GAP,    /* outlines of two pieces */
};

struct hunt {
    const struct rab_region *region;
    const bool *opening;
    enum pairs pairs;
    const struct edges *from, *to;
    double best;
};

static size_t piece_of(const struct hunt *hunt, uint32_t outline)
{
    return hunt->opening[outline] ? hunt->region->parents[outline] : outline;
}

static bool counts(const struct hunt *hunt, uint32_t p, uint32_t q)
{
    const bool same_piece = piece_of(hunt, p) == piece_of(hunt, q);

    return hunt->pairs == PAIRS_GAP ? !same_piece : same_piece && p != q;
}

static double boxes_apart(const struct rab_box *p, const struct rab_box *q)
{
    const double x = fmax(0, fmax(p->x0 - q->x1, q->x0 - p->x1));
    const double y = fmax(0, fmax(p->y0 - q->y1, q->y0 - p->y1));
    return sqrt(x * x + y * y);
}

static void try_pair(struct hunt *hunt, size_t from, size_t to)
{
    struct rab_point on_p, on_q;

    if (!counts(hunt, hunt->from->owner[from], hunt->to->owner[to]))
        return;
    const double gap = arc_gap(&hunt->from->arcs[from], &hunt->to->arcs[to], &on_p, &on_q);
    if (gap < hunt->best)
        hunt->best = gap;
}

/* Everything that lies nearer to edge i than the best so far. */
static void look_around(struct hunt *hunt, size_t i)
{
    const struct box_tree *tree = &hunt->to->tree;
    const struct rab_box *box = &hunt->from->tree.boxes[i];
    struct {
        int level;
        size_t index;
    } stack[BOX_TREE_LEVELS * BOX_TREE_FAN];
    size_t depth = 0;

    stack[depth].level = tree->levels - 1;
    stack[depth++].index = 0;
    while (depth > 0) {
        const int level = stack[--depth].level;
        const size_t index = stack[depth].index;
        if (boxes_apart(&tree->boxes[tree->start[level] + index], box) >= hunt->best)
            continue;
        if (level == 0) {
            try_pair(hunt, i, index);
            continue;
        }
        for (size_t child = BOX_TREE_FAN; child-- > 0;) {
            const size_t at = index * BOX_TREE_FAN + child;
            if (at >= tree->size[level - 1])
                continue;
            stack[depth].level = level - 1;
            stack[depth++].index = at;
        }
    }
}

/* Of two pieces one has its outer outline where they are nearest; a border lies between an opening
 * and an outer outline. 1e300 when there is no such pair. */
static bool least_distance(const struct rab_region *region, enum pairs pairs, double *least,
                           struct rab_error *err)
{
    struct edges from = {0}, to = {0};
    bool *opening = find_openings(region, err);
    bool ok = false;

    if (!opening ||
        !edges_make(region, opening, pairs != PAIRS_GAP, pairs == PAIRS_GAP, &from, err) ||
        !edges_make(region, opening, pairs != PAIRS_BORDER, pairs != PAIRS_WEB, &to, err))
        goto done;
    struct hunt hunt = {region, opening, pairs, &from, &to, 1e300};
    if (pairs == PAIRS_WEB) /* neighbours in the order are near: a good bound to begin with */
        for (size_t i = 0; i + 1 < from.count; i++)
            try_pair(&hunt, i, i + 1);
    for (size_t i = 0; i < from.count && to.count > 0; i++)
        look_around(&hunt, i);
    *least = hunt.best;
    ok = true;
done:
    edges_clear(&from);
    edges_clear(&to);
    free(opening);
    return ok;
}

/* ---- places ------------------------------------------------------------------------------ */

/* Where words are written lies on the paper; only a photo has paper showing round it, or an opening
 * before it. */
static bool is_photo(const struct rab_place *place)
{
    return strcmp(place->name, "photo") == 0;
}

static const char *no_photo(const struct rab_figure *figure)
{
    for (size_t i = 0; i < figure->place_count; i++)
        if (is_photo(&figure->places[i]))
            return NULL;
    return "the shape has no place named photo";
}

static struct rab_point first_point(const struct rab_outline *outline)
{
    return (struct rab_point){outline->vertices[0].x, outline->vertices[0].y};
}

/* Inside or outside for outlines that do not meet. */
static bool lies_in(const struct rab_outline *inner, const struct rab_outline *outer)
{
    return rab_outline_winding(outer, first_point(inner)) != 0;
}

/* The outer outline that goes round a place lies in no other such outline that does. */
static bool measure_reveal(const struct rab_figure *figure, const bool *opening, double *value,
                           const char **why, struct rab_error *err)
{
    const struct rab_region *paper = &figure->paper;

    *value = 1e300;
    *why = no_photo(figure);
    for (size_t p = 0; p < figure->place_count && !*why; p++) {
        const struct rab_outline *place = &figure->places[p].outline;
        if (!is_photo(&figure->places[p]))
            continue;
        double least = 1e300;
        for (size_t i = 0; i < paper->count; i++) {
            double gap;
            if (opening[i])
                continue;
            if (!rab_outline_gap(place, &paper->outlines[i], &gap, NULL, NULL, err))
                return false;
            if (gap == 0 || lies_in(place, &paper->outlines[i]))
                least = fmin(least, gap);
        }
        if (least == 1e300)
            *why = "a photo has no paper round it";
        *value = fmin(*value, least);
    }
    return true;
}

/* Every photo must lie behind an opening at least, and openings that it only partly covers are 0
 * away from its edge. */
static bool measure_overlap(const struct rab_figure *figure, const bool *opening, double *value,
                            const char **why, struct rab_error *err)
{
    const struct rab_region *paper = &figure->paper;

    *value = 1e300;
    *why = no_photo(figure);
    for (size_t p = 0; p < figure->place_count && !*why; p++) {
        const struct rab_outline *place = &figure->places[p].outline;
        if (!is_photo(&figure->places[p]))
            continue;
        const struct rab_box box = rab_outline_box(place);
        double least = 1e300;
        for (size_t i = 0; i < paper->count; i++) {
            const struct rab_box other = rab_outline_box(&paper->outlines[i]);
            double gap;
            if (!opening[i] || !box_meets(&box, &other))
                continue;
            if (!rab_outline_gap(place, &paper->outlines[i], &gap, NULL, NULL, err))
                return false;
            if (gap == 0 || lies_in(&paper->outlines[i], place))
                least = fmin(least, gap);
        }
        if (least == 1e300)
            *why = "a photo lies behind no opening";
        *value = fmin(*value, least);
    }
    return true;
}

/* ---- all --------------------------------------------------------------------------------- */

static bool measure_distance(const struct rab_region *paper, enum measured what, size_t openings,
                             size_t pieces, double *value, const char **why, struct rab_error *err)
{
    switch (what) {
    case MEASURED_BORDER:
        *why = openings == 0 ? "the shape has no opening" : NULL;
        return *why || least_distance(paper, PAIRS_BORDER, value, err);
    case MEASURED_GAP:
        *why = pieces < 2 ? "the shape is one piece" : NULL;
        return *why || least_distance(paper, PAIRS_GAP, value, err);
    default:
        *why = openings == 0  ? "the shape has no opening"
               : openings < 2 ? "the shape has only one opening"
                              : NULL;
        if (*why || !least_distance(paper, PAIRS_WEB, value, err))
            return *why != NULL;
        if (*value == 1e300)
            *why = "no piece of the shape has two openings";
        return true;
    }
}

bool measure_figure(const struct rab_figure *figure, enum measured what, double *value,
                    const char **why, struct rab_error *err)
{
    const struct rab_region *paper = &figure->paper;
    const struct rab_box box = rab_region_box(paper);
    bool *opening = find_openings(paper, err);
    size_t openings = 0;
    bool ok = true;

    if (!opening)
        return false;
    for (size_t i = 0; i < paper->count; i++)
        openings += opening[i];
    *why = NULL;
    switch (what) {
    case MEASURED_WIDTH:
        *value = box.x1 - box.x0;
        break;
    case MEASURED_HEIGHT:
        *value = box.y1 - box.y0;
        break;
    case MEASURED_OPENINGS:
        *value = (double)openings;
        break;
    case MEASURED_PIECES:
        *value = (double)(paper->count - openings);
        break;
    case MEASURED_AREA:
        *value = rab_region_area(paper);
        break;
    case MEASURED_PERIMETER:
        *value = rab_region_perimeter(paper);
        break;
    case MEASURED_REVEAL:
        ok = measure_reveal(figure, opening, value, why, err);
        break;
    case MEASURED_OVERLAP:
        ok = measure_overlap(figure, opening, value, why, err);
        break;
    default:
        ok = measure_distance(paper, what, openings, paper->count - openings, value, why, err);
        break;
    }
    free(opening);
    return ok;
}

const char *measure_name(enum measured what)
{
    static const char *const names[MEASURED_COUNT] = {"width",
                                                      "height",
                                                      "web",
                                                      "border",
                                                      "gap",
                                                      "reveal",
                                                      "overlap",
                                                      "number of openings",
                                                      "number of pieces",
                                                      "area",
                                                      "perimeter"};

    return names[what];
}
