#include "plan/inside.h"

#include <stdlib.h>

static bool reserve(struct inside *s, size_t edges, size_t outlines, struct rab_box **boxes,
                    struct rab_error *err)
{
    *boxes = calloc(edges + 1, sizeof **boxes);
    s->edges = calloc(edges + 1, sizeof *s->edges);
    s->answers = calloc(outlines + 1, sizeof *s->answers);
    s->listed = calloc(outlines + 1, sizeof *s->listed);
    if (!*boxes || !s->edges || !s->answers || !s->listed)
        return rab_fail_memory(err);
    return true;
}

bool inside_make(struct inside *inside, const struct rab_outline *const *outlines, size_t count,
                 struct rab_error *err)
{
    struct rab_box *boxes = NULL;
    size_t edges = 0;
    bool ok = false;

    for (size_t i = 0; i < count; i++)
        edges += outlines[i]->open ? 0 : outlines[i]->count;
    if (!reserve(inside, edges, count, &boxes, err))
        goto done;
    inside->right = -1e300;
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        for (size_t e = 0; e < outlines[i]->count && !outlines[i]->open; e++, n++) {
            const struct arc arc = arc_of(outlines[i], e);
            inside->edges[n] = (struct inside_edge){arc, i};
            boxes[n] = rab_box_arc(outlines[i]->vertices[e], arc.b);
            inside->right = fmax(inside->right, boxes[n].x1);
        }
    }
    ok = items_make(&inside->items, boxes, edges, err);
done:
    free(boxes);
    return ok;
}

void inside_clear(struct inside *inside)
{
    items_clear(&inside->items);
    free(inside->edges);
    free(inside->answers);
    free(inside->listed);
    *inside = (struct inside){0};
}

struct looking {
    struct inside *inside;
    struct rab_point point;
    double reach;
};

/* What an edge adds to the winding number of its outline: as in rab_outline_winding, the part of
 * its chord and that of the segment between chord and arc. */
static int winding_of(const struct arc *arc, struct rab_point p)
{
    const struct rab_point a = arc->a, b = arc->b;
    const double side = point_cross(point_minus(b, a), point_minus(p, a));
    const bool right = side < 0 || (side == 0 && (b.y > a.y || (b.y == a.y && b.x < a.x)));
    int winding = 0;

    if (a.y <= p.y && p.y < b.y)
        winding += side > 0;
    else if (b.y <= p.y && p.y < a.y)
        winding -= side < 0;
    if (arc->bulge != 0 && right == (arc->bulge > 0) && arc->k * arc_side(arc, p) < 0)
        winding += right ? 1 : -1;
    return winding;
}

static bool look_at(void *context, size_t item)
{
    struct looking *l = context;
    const struct inside_edge *edge = &l->inside->edges[l->inside->items.numbers[item]];
    const struct rab_box box = l->inside->items.tree.boxes[item];
    struct inside_answer *answer = &l->inside->answers[edge->outline];

    l->inside->work++;
    if (!answer->listed)
        l->inside->listed[l->inside->listed_count++] = edge->outline;
    answer->listed = true;
    answer->winding += winding_of(&edge->arc, l->point);
    if (!answer->near && box.x0 <= l->point.x + l->reach)
        answer->near = arc_distance(&edge->arc, l->point, NULL) <= l->reach;
    return true;
}

void inside_look(struct inside *inside, struct rab_point point, double reach)
{
    struct looking l = {inside, point, reach};
    const struct rab_box strip = {point.x - reach, point.y - reach, fmax(inside->right, point.x),
                                  point.y + reach};

    for (size_t i = 0; i < inside->listed_count; i++)
        inside->answers[inside->listed[i]] = (struct inside_answer){0};
    inside->listed_count = 0;
    box_tree_query(&inside->items.tree, strip, look_at, &l);
}
