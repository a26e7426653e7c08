#include "frame/check.h"

/* What rounding may take from a clearance. */
static const double rounding = 1e-6;

bool piece_seam(const struct field *field, size_t site, const struct rab_region *region,
                double *seam, struct rab_point *from, struct rab_point *to, struct rab_error *err)
{
    const struct site *self = &field->sites[site];

    *seam = 1e300;
    for (size_t o = 0; o < self->count; o++)
        for (size_t i = 0; i < region->count; i++) {
            struct rab_point on_opening, on_piece;
            double gap;

            if (!rab_outline_gap(&field->frame->openings[self->openings[o]].outline,
                                 &region->outlines[i], &gap, &on_opening, &on_piece, err))
                return false;
            if (gap < *seam) {
                *seam = gap;
                *from = on_opening;
                *to = on_piece;
            }
        }
    return true;
}

/* ---- off others and the edge ------------------------------------------------------------- */

struct off {
    const struct near *others;
    const struct arc *arc;
    double least;
};

static bool far_enough(void *context, size_t item)
{
    const struct off *off = context;
    struct rab_point p, q;

    return arc_gap(off->arc, &off->others->field->arcs[off->others->arcs[item]], &p, &q) >=
           off->least;
}

static bool edges_keep_off(struct cutter *cutter, const struct fence *fence,
                           const struct rab_outline *outline)
{
    const double clear = cutter->options->clear, inset = cutter->options->inset;

    for (size_t i = 0; i < arc_count(outline); i++) {
        const struct arc arc = arc_of(outline, i);
        const struct rab_box box = rab_box_arc(outline->vertices[i], arc.b);
        struct off off = {&cutter->others, &arc, clear - rounding};
        struct rab_point at;

        if (!box_tree_query(&cutter->others.tree, box_grown(box, clear), far_enough, &off) ||
            (inset > rounding && mesh_gap(&fence->edge, &arc, box, inset, &at) < inset - rounding))
            return false;
    }
    return true;
}

struct inside {
    const struct field *field;
    size_t site;
    struct rab_box box;
    const struct rab_region *region;
};

/* A point well inside an opening: a piece that keeps no clearance may run along its outline. */
static struct rab_point point_inside(const struct field *field, size_t opening)
{
    const struct rab_outline *outline = &field->frame->openings[opening].outline;
    struct rab_point p = {0, 0};

    for (double depth = 1e-2; depth > 1e-6; depth /= 10)
        for (size_t i = field->first[opening]; i < field->first[opening + 1]; i++) {
            struct rab_point along;
            const struct rab_point at = arc_at(&field->arcs[i], 0.5, &along);

            p = point_along(at, depth, point_left(along));
            if (rab_outline_winding(outline, p) != 0 &&
                rab_outline_distance(outline, p, NULL) > depth / 2)
                return p;
        }
    return p;
}

static bool outside(void *context, size_t item)
{
    const struct inside *inside = context;
    const size_t opening = inside->field->order[item];

    const struct rab_box *box = &inside->field->frame->openings[opening].box;

    /* One that is only partly inside comes too near to the piece's edge, which is seen there. */
    return inside->field->site_of[opening] == inside->site || box->x0 < inside->box.x0 ||
           box->y0 < inside->box.y0 || box->x1 > inside->box.x1 || box->y1 > inside->box.y1 ||
           !rab_region_holds(inside->region, point_inside(inside->field, opening));
}

bool piece_keeps_off(struct cutter *cutter, size_t site, const struct rab_region *region,
                     bool *keeps_off, struct rab_error *err)
{
    const struct field *field = cutter->field;
    const struct rab_box box = rab_region_box(region);
    struct inside inside = {field, site, box, region};
    const struct fence *fence;

    if (!cutter_fence(cutter, site, &fence, err) ||
        !near_others(field, site, box_grown(box, cutter->options->clear), &cutter->others, err))
        return false;
    *keeps_off = box_tree_query(&field->tree, box, outside, &inside);
    for (size_t i = 0; i < region->count && *keeps_off; i++)
        *keeps_off = edges_keep_off(cutter, fence, &region->outlines[i]);
    return true;
}

/* ---- on the own side --------------------------------------------------------------------- */

static bool on_own_side(const struct cutter *cutter, struct rab_point p)
{
    double own = 1e300, other;

    near_nearest(&cutter->own, (struct choice){AMONG_ALL, 0}, p, 1e300, &own);
    return near_nearest(&cutter->others, (struct choice){AMONG_SERVED, 0}, p,
                        own - 4 * DIVIDE_TOLERANCE, &other) == NO_SITE;
}

bool piece_keeps_sides(struct cutter *cutter, size_t site, const struct rab_region *region,
                       bool *keeps_sides, struct rab_error *err)
{
    const struct field *field = cutter->field;
    const double seam = cutter->options->seam;

    *keeps_sides = true;
    if (!near_own(field, site, &cutter->own, err) ||
        !near_others(field, site, box_grown(field->sites[site].box, 2 * seam), &cutter->others,
                     err))
        return false;
    if (cutter->others.count == 0)
        return true;
    for (size_t i = 0; i < region->count && *keeps_sides; i++)
        for (size_t k = 0; k < region->outlines[i].count && *keeps_sides; k++) {
            const struct arc arc = arc_of(&region->outlines[i], k);

            *keeps_sides =
                on_own_side(cutter, arc.a) && on_own_side(cutter, arc_at(&arc, 0.5, NULL));
        }
    return true;
}
