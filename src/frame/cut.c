#include "frame/cut.h"

#include <stdlib.h>

/* A region with more edges than this is asked through a mesh. */
enum { LONG = 64 };

/* Dividing lines keep this much more than the clearance between the openings, so that a fitted
 * line does not come nearer than is allowed. */
static const double spare = 10 * DIVIDE_TOLERANCE;

bool cutter_make(const struct field *field, const struct rab_backing_options *options,
                 struct cutter *out, struct rab_error *err)
{
    struct cutter made = {.field = field, .options = options};

    made.fences = calloc(field->frame->part_count, sizeof *made.fences);
    made.bodies = calloc(field->frame->count, sizeof *made.bodies);
    if (!made.fences || !made.bodies) {
        cutter_clear(&made);
        return rab_fail_memory(err);
    }
    *out = made;
    return true;
}

void cutter_clear(struct cutter *cutter)
{
    if (cutter->fences)
        for (size_t i = 0; i < cutter->field->frame->part_count; i++) {
            mesh_clear(&cutter->fences[i].edge);
            mesh_clear(&cutter->fences[i].inside);
        }
    if (cutter->bodies)
        for (size_t i = 0; i < cutter->field->frame->count; i++) {
            rab_region_clear(&cutter->bodies[i].region);
            mesh_clear(&cutter->bodies[i].mesh);
        }
    free(cutter->fences);
    free(cutter->bodies);
    free(cutter->lines);
    free(cutter->first_line);
    divides_clear(&cutter->divides);
    near_clear(&cutter->own);
    near_clear(&cutter->others);
    list_clear(&cutter->list);
    *cutter = (struct cutter){0};
}

/* ---- grown openings, bodies, fences ------------------------------------------------------ */

/* A region of one outline, which is taken over. */
static bool region_of(struct rab_outline *outline, struct rab_region *out, struct rab_error *err)
{
    struct rab_region made = {0};

    made.outlines = calloc(1, sizeof *made.outlines);
    made.parents = malloc(sizeof *made.parents);
    if (!made.outlines || !made.parents) {
        rab_region_clear(&made);
        return rab_fail_memory(err);
    }
    made.outlines[0] = *outline;
    made.parents[0] = RAB_NO_PARENT;
    made.count = 1;
    *outline = (struct rab_outline){0};
    *out = made;
    return true;
}

/* Every edge moved out, an arc about every corner: for convex outlines nothing crosses. */
static bool grow_convex(const struct arc *arcs, size_t count, double distance,
                        struct rab_outline *out, struct rab_error *err)
{
    for (size_t i = 0; i < count; i++) {
        const struct arc *arc = &arcs[i], *next = &arcs[i + 1 < count ? i + 1 : 0];
        const double angle = atan2(point_cross(arc->tb, next->ta), point_dot(arc->tb, next->ta));
        const struct rab_point a = point_along(arc->a, -distance, point_left(arc->ta));
        const struct rab_point b = point_along(arc->b, -distance, point_left(arc->tb));

        if (!rab_outline_add(out, a.x, a.y, arc->bulge, err))
            return false;
        if (angle * distance > RAB_SAME_POINT &&
            !rab_outline_add(out, b.x, b.y, tan(angle / 4), err))
            return false;
    }
    return true;
}

bool cutter_grow(const struct field *field, size_t opening, double distance, struct rab_region *out,
                 struct rab_error *err)
{
    struct rab_outline *outline = &field->frame->openings[opening].outline;
    struct rab_outline made = {0};
    bool ok;

    if (distance > 0 && !field->convex[opening]) {
        size_t parent = RAB_NO_PARENT;
        const struct rab_region whole = {outline, &parent, 1};

        return rab_region_grow(&whole, distance, RAB_JOIN_ROUND, 0, out, err);
    }
    const size_t first = field->first[opening];
    ok = (distance > 0 ? grow_convex(field->arcs + first, field->first[opening + 1] - first,
                                     distance, &made, err)
                       : rab_outline_copy(outline, &made, err)) &&
         region_of(&made, out, err);
    rab_outline_clear(&made);
    return ok;
}

static bool body_of(struct cutter *cutter, size_t opening, const struct body **out,
                    struct rab_error *err)
{
    struct body *body = &cutter->bodies[opening];

    if (!body->made) {
        struct rab_region copy = {0};
        bool ok = true;

        if (!cutter_grow(cutter->field, opening, cutter->options->clear, &body->region, err))
            return false;
        if (rab_region_vertices(&body->region) > LONG) {
            ok = rab_region_copy(&body->region, &copy, err) && mesh_make(&copy, &body->mesh, err);
            rab_region_clear(&copy);
        }
        if (!ok)
            return false;
        body->made = true;
    }
    *out = body;
    return true;
}

static bool fence_of(struct cutter *cutter, size_t part, const struct fence **out,
                     struct rab_error *err)
{
    struct fence *fence = &cutter->fences[part];
    struct rab_outline copy = {0};
    struct rab_region whole = {0}, inside = {0};
    bool ok = false;

    *out = fence;
    if (fence->made)
        return true;
    if (!rab_outline_copy(&cutter->field->frame->parts[part], &copy, err) ||
        !region_of(&copy, &whole, err))
        goto done;
    if (!(cutter->options->inset > 0
              ? rab_region_grow(&whole, -cutter->options->inset, RAB_JOIN_ROUND, 0, &inside, err)
              : rab_region_copy(&whole, &inside, err)))
        goto done;
    mesh_clear(&fence->edge);
    if (!mesh_make(&whole, &fence->edge, err) || !mesh_make(&inside, &fence->inside, err))
        goto done;
    fence->made = true;
    ok = true;
done:
    rab_outline_clear(&copy);
    rab_region_clear(&whole);
    rab_region_clear(&inside);
    return ok;
}

bool cutter_fence(struct cutter *cutter, size_t site, const struct fence **out,
                  struct rab_error *err)
{
    const struct field *field = cutter->field;

    return fence_of(cutter, field->frame->openings[field->sites[site].openings[0]].part, out, err);
}

/* ---- how far a seam can reach ------------------------------------------------------------ */

static void limit_by(const struct field *field, struct reach *reach, double seam,
                     enum rab_limit limit, const struct near_gap *gap)
{
    if (gap->own != NO_SITE && seam < reach->seam)
        *reach = (struct reach){seam, limit, field->opening_of[gap->own],
                                limit == RAB_LIMIT_EDGE ? 0 : field->opening_of[gap->other],
                                gap->distance};
}

bool cutter_reach(struct cutter *cutter, size_t site, struct reach *out, struct rab_error *err)
{
    const struct field *field = cutter->field;
    const struct rab_backing_options *o = cutter->options;
    const struct site *self = &field->sites[site];
    const double far = fmax(o->lap ? 0 : 2 * o->seam, o->seam + o->clear);
    struct reach reach = {.seam = o->seam, .limit = RAB_LIMIT_SEAM};
    struct near_gap gap;

    if (!near_own(field, site, &cutter->own, err) ||
        !near_others(field, site, box_grown(self->box, far), &cutter->others, err))
        return false;
    gap =
        near_gap(&cutter->own, &cutter->others, (struct choice){AMONG_ALL, 0}, o->seam + o->clear);
    limit_by(field, &reach, gap.distance - o->clear, RAB_LIMIT_OPENING, &gap);
    if (!o->lap) {
        gap =
            near_gap(&cutter->own, &cutter->others, (struct choice){AMONG_SERVED, 0}, 2 * o->seam);
        limit_by(field, &reach, gap.distance / 2, RAB_LIMIT_PIECE, &gap);
    }
    for (size_t i = 0; i < cutter->own.count; i++) {
        const size_t arc = cutter->own.arcs[i];
        const double within = reach.seam + o->inset;
        const struct fence *fence;

        if (!fence_of(cutter, field->frame->openings[field->opening_of[arc]].part, &fence, err))
            return false;
        gap = (struct near_gap){.distance = within, .own = NO_SITE};
        gap.distance =
            mesh_gap(&fence->edge, &field->arcs[arc], field->boxes[arc], within, &gap.on_own);
        if (gap.distance < within)
            gap.own = arc;
        limit_by(field, &reach, gap.distance - o->inset, RAB_LIMIT_EDGE, &gap);
    }
    *out = reach;
    return true;
}

/* ---- dividing lines ---------------------------------------------------------------------- */

static bool sort_lines(struct cutter *cutter, struct rab_error *err)
{
    const size_t sites = cutter->field->site_count;
    const struct divides *divides = &cutter->divides;
    size_t *last = malloc((sites + 1) * sizeof *last); /* line noted last at each site */
    bool ok = false;

    cutter->first_line = calloc(sites + 2, sizeof *cutter->first_line);
    if (!last || !cutter->first_line) {
        rab_fail_memory(err);
        goto done;
    }
    /* Counted, then placed: first_line[s + 1] is where the next line of site s goes. */
    for (int pass = 0; pass < 2; pass++) {
        for (size_t s = 0; s < sites; s++)
            last[s] = NO_SITE;
        for (size_t i = 0; i < divides->count; i++) {
            const struct divide *divide = &divides->items[i];

            for (size_t k = 0; k <= divide->other_count; k++) {
                const size_t site = k == 0 ? divide->owner : divide->others[k - 1];

                if (last[site] == i)
                    continue;
                last[site] = i;
                if (pass == 0)
                    cutter->first_line[site + 2]++;
                else
                    cutter->lines[cutter->first_line[site + 1]++] = i;
            }
        }
        if (pass == 1)
            break;
        for (size_t s = 2; s < sites + 2; s++)
            cutter->first_line[s] += cutter->first_line[s - 1];
        cutter->lines = malloc((cutter->first_line[sites + 1] + 1) * sizeof *cutter->lines);
        if (!cutter->lines) {
            rab_fail_memory(err);
            goto done;
        }
    }
    ok = true;
done:
    free(last);
    return ok;
}

bool cutter_divide(struct cutter *cutter, struct rab_error *err)
{
    const struct field *field = cutter->field;
    const double seam = cutter->options->seam;

    if (cutter->options->lap)
        return true;
    for (size_t site = 0; site < field->site_count; site++) {
        const struct rab_box box = box_grown(field->sites[site].box, divide_reach(seam));

        if (!near_others(field, site, box, &cutter->others, err))
            return false;
        if (cutter->others.count > 0 &&
            (!near_own(field, site, &cutter->own, err) ||
             !divides_add(field, site, &cutter->own, &cutter->others, seam, &cutter->divides, err)))
            return false;
    }
    return sort_lines(cutter, err);
}

/* ---- cutting ----------------------------------------------------------------------------- */

struct bodies {
    struct cutter *cutter;
    size_t site;
    struct rab_box box;  /* of what is cut */
    struct rab_point at; /* a point of the site's openings */
    bool trimming;       /* all bodies, not only those that dividing lines leave over */
    struct rab_error *err;
};

static double boxes_apart(struct rab_box p, struct rab_box q)
{
    return hypot(fmax(0, fmax(p.x0 - q.x1, q.x0 - p.x1)), fmax(0, fmax(p.y0 - q.y1, q.y0 - p.y1)));
}

/* Do the dividing lines keep a neighbour clear by themselves? */
static bool divided_enough(const struct bodies *bodies, size_t opening)
{
    const struct cutter *cutter = bodies->cutter;
    const struct field *field = cutter->field;
    const double enough = 2 * cutter->options->clear + spare;

    if (bodies->trimming || cutter->options->lap || field->site_of[opening] == NO_SITE)
        return false;
    if (boxes_apart(field->sites[bodies->site].box, field->frame->openings[opening].box) >= enough)
        return true;
    return near_gap(&cutter->own, &cutter->others,
                    (struct choice){AMONG_SITE, field->site_of[opening]}, enough)
               .other == NO_SITE;
}

static bool add_body(void *context, size_t item)
{
    const struct bodies *bodies = context;
    struct cutter *cutter = bodies->cutter;
    const struct field *field = cutter->field;
    const size_t opening = field->order[item];
    const struct body *body;

    if (field->site_of[opening] == bodies->site || divided_enough(bodies, opening))
        return true;
    if (!body_of(cutter, opening, &body, bodies->err))
        return false;
    if (body->mesh.count > 0)
        return mesh_outlines(&body->mesh, bodies->box, true, bodies->at, 0, &cutter->list,
                             bodies->err);
    for (size_t i = 0; i < body->region.count; i++)
        if (!list_copy(&cutter->list, &body->region.outlines[i], true, bodies->err))
            return false;
    return true;
}

/* A point of an opening's outline. */
static struct rab_point point_of(const struct field *field, size_t opening)
{
    const struct rab_vertex v = field->frame->openings[opening].outline.vertices[0];

    return (struct rab_point){v.x, v.y};
}

static bool add_fence(struct cutter *cutter, size_t site, struct rab_box box, struct rab_error *err)
{
    const struct field *field = cutter->field;
    const struct rab_point at = point_of(field, field->sites[site].openings[0]);
    const double inset = cutter->options->inset;
    const struct fence *fence;

    if (!cutter_fence(cutter, site, &fence, err))
        return false;
    if (!mesh_meets(&fence->inside, box))
        return true;
    /* The point lies inside the part, so its distance says on which side of the inset it is. */
    const bool inside = mesh_distance(&fence->edge, at, inset + 1) > inset;
    return mesh_outlines(&fence->inside, box, false, at, inside ? 0 : -1, &cutter->list, err);
}

/* Everything but the dividing lines. */
static bool add_limits(struct cutter *cutter, size_t site, struct rab_box box, bool trimming,
                       struct rab_error *err)
{
    const struct field *field = cutter->field;
    struct bodies bodies = {cutter,   site, box, point_of(field, field->sites[site].openings[0]),
                            trimming, err};

    return box_tree_query(&field->tree, box_grown(box, cutter->options->clear), add_body,
                          &bodies) &&
           add_fence(cutter, site, box, err);
}

static bool add_strips(struct cutter *cutter, size_t site, struct rab_box box,
                       struct rab_error *err)
{
    if (cutter->options->lap)
        return true;
    for (size_t i = cutter->first_line[site]; i < cutter->first_line[site + 1]; i++) {
        const struct divide *divide = &cutter->divides.items[cutter->lines[i]];

        if (!divide_strips(divide, divide->owner == site, site, box, &cutter->list, err))
            return false;
    }
    return true;
}

/* All of the site's openings grown by the seam. */
bool cutter_grow_site(struct cutter *cutter, size_t site, struct rab_region *out,
                      struct rab_error *err)
{
    const struct field *field = cutter->field;
    const struct site *self = &field->sites[site];
    bool ok = false;

    if (self->count == 1)
        return cutter_grow(field, self->openings[0], cutter->options->seam, out, err);
    list_empty(&cutter->list);
    for (size_t i = 0; i < self->count; i++) {
        struct rab_region grown = {0};

        if (!cutter_grow(field, self->openings[i], cutter->options->seam, &grown, err))
            goto done;
        ok = true;
        for (size_t k = 0; k < grown.count && ok; k++)
            ok = list_take(&cutter->list, &grown.outlines[k], err);
        rab_region_clear(&grown);
        if (!ok)
            goto done;
    }
    ok = rab_region_fill(cutter->list.items, cutter->list.count, RAB_FILL_NONZERO, out, err);
done:
    list_empty(&cutter->list);
    return ok;
}

/* What is left of a region when all clockwise outlines of the list are taken away. */
static bool take_away(struct cutter *cutter, struct rab_region *region, struct rab_region *out,
                      struct rab_error *err)
{
    bool ok = true;

    if (cutter->list.count == 0) {
        *out = *region;
        *region = (struct rab_region){0};
        return true;
    }
    for (size_t i = 0; i < region->count && ok; i++)
        ok = list_take(&cutter->list, &region->outlines[i], err);
    ok = ok && rab_region_fill(cutter->list.items, cutter->list.count, RAB_FILL_POSITIVE, out, err);
    list_empty(&cutter->list);
    return ok;
}

struct hole {
    const struct field *field;
    size_t site;
    const struct rab_outline *outline;
};

static bool not_in_hole(void *context, size_t item)
{
    const struct hole *hole = context;
    const size_t opening = hole->field->order[item];

    return hole->field->site_of[opening] == hole->site ||
           rab_outline_winding(hole->outline, point_of(hole->field, opening)) == 0;
}

/* A hole between grown openings that leaves nothing in view is only work for the blade. */
static bool hole_is_needed(const struct field *field, size_t site,
                           const struct rab_outline *outline)
{
    struct hole hole = {field, site, outline};

    return !box_tree_query(&field->tree, rab_outline_box(outline), not_in_hole, &hole);
}

bool cutter_keep(const struct cutter *cutter, size_t site, struct rab_region *region, size_t *parts,
                 struct rab_error *err)
{
    const struct field *field = cutter->field;
    const struct site *self = &field->sites[site];
    bool *kept = calloc(region->count + 1, sizeof *kept);
    size_t *places = malloc((region->count + 1) * sizeof *places);
    size_t count = 0;

    if (!kept || !places) {
        free(kept);
        free(places);
        return rab_fail_memory(err);
    }
    for (size_t o = 0; o < self->count; o++) {
        const struct rab_point at = point_of(field, self->openings[o]);

        /* An opening lies in the innermost part around it. */
        for (size_t i = region->count; i-- > 0;)
            if (rab_outline_winding(&region->outlines[i], at) != 0) {
                if (rab_outline_area(&region->outlines[i]) > 0)
                    kept[i] = true; /* else it lies in a hole */
                break;
            }
    }
    *parts = 0;
    for (size_t i = 0; i < region->count; i++) {
        const size_t parent = region->parents[i];
        const bool hole = rab_outline_area(&region->outlines[i]) < 0;

        if (hole)
            kept[i] = kept[parent] && hole_is_needed(field, site, &region->outlines[i]);
        else
            *parts += kept[i];
        if (!kept[i]) {
            rab_outline_clear(&region->outlines[i]);
            continue;
        }
        places[i] = count;
        region->parents[count] = hole ? places[parent] : RAB_NO_PARENT;
        region->outlines[count] = region->outlines[i];
        count++;
    }
    region->count = count;
    free(kept);
    free(places);
    return true;
}

bool cutter_cut(struct cutter *cutter, size_t site, struct rab_region *out, size_t *parts,
                struct rab_error *err)
{
    const struct field *field = cutter->field;
    const double far = cutter->options->seam + cutter->options->clear;
    struct rab_region grown = {0}, made = {0};
    bool ok = false;

    if (!near_own(field, site, &cutter->own, err) ||
        !near_others(field, site, box_grown(field->sites[site].box, far), &cutter->others, err) ||
        !cutter_grow_site(cutter, site, &grown, err))
        goto done;
    const struct rab_box box = rab_region_box(&grown);
    if (!add_limits(cutter, site, box, false, err) || !add_strips(cutter, site, box, err) ||
        !take_away(cutter, &grown, &made, err) || !cutter_keep(cutter, site, &made, parts, err))
        goto done;
    *out = made;
    made = (struct rab_region){0};
    ok = true;
done:
    list_empty(&cutter->list);
    rab_region_clear(&grown);
    rab_region_clear(&made);
    return ok;
}

bool cutter_trim(struct cutter *cutter, size_t site, const struct rab_region *region,
                 struct rab_region *out, struct rab_error *err)
{
    struct rab_region copy = {0};
    const bool ok = rab_region_copy(region, &copy, err) &&
                    add_limits(cutter, site, rab_region_box(region), true, err) &&
                    take_away(cutter, &copy, out, err);

    list_empty(&cutter->list);
    rab_region_clear(&copy);
    return ok;
}

bool cutter_divided(struct cutter *cutter, size_t site, const struct rab_region *region,
                    struct rab_region *out, struct rab_error *err)
{
    const double far = cutter->options->seam + cutter->options->clear;
    struct rab_region copy = {0};
    const struct rab_box box = rab_region_box(region);
    const bool ok = near_own(cutter->field, site, &cutter->own, err) &&
                    near_others(cutter->field, site, box_grown(box, far), &cutter->others, err) &&
                    rab_region_copy(region, &copy, err) && add_strips(cutter, site, box, err) &&
                    take_away(cutter, &copy, out, err);

    list_empty(&cutter->list);
    rab_region_clear(&copy);
    return ok;
}
