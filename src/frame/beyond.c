#include "frame/beyond.h"

#include <math.h>
#include <stdlib.h>

#include "frame/hull.h"

/* Areas that rounding may leave. */
static const double no_area = 1e-5;

/* Served openings of other sites that come within a distance of a box. */
struct others {
    const struct field *field;
    size_t site;
    size_t *items;
    size_t count, capacity;
    struct rab_error *err;
    bool failed;
};

static bool note_other(void *context, size_t item)
{
    struct others *o = context;
    const size_t opening = o->field->order[item];
    void *items = o->items;

    if (o->field->site_of[opening] == o->site || o->field->site_of[opening] == NO_SITE)
        return true;
    if (!rab_reserve(&items, &o->capacity, o->count + 1, sizeof *o->items, o->err)) {
        o->failed = true;
        return false;
    }
    o->items = items;
    o->items[o->count++] = opening;
    return true;
}

static bool find_others(const struct field *field, size_t site, struct rab_box box, double within,
                        struct others *out, struct rab_error *err)
{
    *out = (struct others){.field = field, .site = site, .err = err};
    box_tree_query(&field->tree, box_grown(box, within), note_other, out);
    return !out->failed;
}

/* Take from a region all paper that pieces of others may cover: their openings grown by the seam.
 */
static bool leave_others(struct cutter *cutter, size_t site, struct rab_region *region,
                         struct rab_error *err)
{
    const double seam = cutter->options->seam;
    struct others others = {0};
    bool ok = find_others(cutter->field, site, rab_region_box(region), seam, &others, err);

    for (size_t i = 0; ok && i < others.count && region->count > 0; i++) {
        struct rab_region grown = {0}, left = {0};
        ok = cutter_grow(cutter->field, others.items[i], seam, &grown, err) &&
             rab_region_combine(region, &grown, RAB_DIFFERENCE, &left, err);
        if (ok) {
            rab_region_clear(region);
            *region = left;
        }
        rab_region_clear(&grown);
    }
    free(others.items);
    return ok;
}

/* ---- bridges --------------------------------------------------------------------------------- */

/* Beyond any distance the closing is the convex hull. */
static bool hull_of(const struct cutter *cutter, size_t site, struct rab_region *out,
                    struct rab_error *err)
{
    struct rab_outline outline = {0};
    struct rab_region hull = {0};
    const bool ok = hull_outline(cutter->field, site, &outline, err) &&
                    rab_region_fill(&outline, 1, RAB_FILL_NONZERO, &hull, err) &&
                    rab_region_grow(&hull, cutter->options->seam, RAB_JOIN_ROUND, 0, out, err);

    rab_region_clear(&hull);
    rab_outline_clear(&outline);
    return ok;
}

static bool close_by(const struct rab_region *grown, double distance, struct rab_region *out,
                     struct rab_error *err)
{
    struct rab_region more = {0};
    const bool ok = rab_region_grow(grown, distance, RAB_JOIN_ROUND, 0, &more, err) &&
                    rab_region_grow(&more, -distance, RAB_JOIN_ROUND, 0, out, err);

    rab_region_clear(&more);
    return ok;
}

/* What of a closing may be covered, together with the piece. */
static bool bridge_by(struct cutter *cutter, size_t site, const struct rab_region *closed,
                      const struct rab_region *piece, struct rab_region *out, size_t *parts,
                      struct rab_error *err)
{
    struct rab_region trimmed = {0}, made = {0};
    bool ok = cutter_trim(cutter, site, closed, &trimmed, err) &&
              (cutter->options->lap || leave_others(cutter, site, &trimmed, err)) &&
              rab_region_combine(&trimmed, piece, RAB_UNION, &made, err) &&
              cutter_keep(cutter, site, &made, parts, err);

    if (ok) {
        *out = made;
        made = (struct rab_region){0};
    }
    rab_region_clear(&made);
    rab_region_clear(&trimmed);
    return ok;
}

bool bridge_parts(struct cutter *cutter, size_t site, struct rab_region *piece, size_t *parts,
                  struct rab_error *err)
{
    const struct rab_box box = cutter->field->sites[site].box;
    const double most = hypot(box.x1 - box.x0, box.y1 - box.y0);
    struct rab_region grown = {0};
    bool ok = cutter_grow_site(cutter, site, &grown, err), last = false;

    for (double distance = cutter->options->seam / 2; ok && *parts != 1 && !last; distance *= 2) {
        struct rab_region closed = {0}, made = {0};
        size_t count = 0;
        last = distance > most;
        ok = (last ? hull_of(cutter, site, &closed, err)
                   : close_by(&grown, distance, &closed, err)) &&
             bridge_by(cutter, site, &closed, piece, &made, &count, err);
        if (ok && count == 1) {
            rab_region_clear(piece);
            *piece = made;
            made = (struct rab_region){0};
            *parts = 1;
        }
        rab_region_clear(&made);
        rab_region_clear(&closed);
    }
    rab_region_clear(&grown);
    return ok;
}

/* ---- plain shapes ---------------------------------------------------------------------------- */

/* Two pieces may not cover the same paper; `made` may reach beyond their seams as well. */
static bool apart_from(const struct rab_region *region, const struct rab_backings *made, bool *fits,
                       struct rab_error *err)
{
    const struct rab_box box = rab_region_box(region);
    bool ok = true;

    for (size_t i = 0; ok && *fits && i < made->count; i++) {
        const struct rab_region *other = &made->items[i].region;
        const struct rab_box b = rab_region_box(other);
        struct rab_region both = {0};
        if (!box_meets(&box, &b))
            continue;
        ok = rab_region_combine(region, other, RAB_INTERSECTION, &both, err);
        *fits = ok && rab_region_area(&both) <= no_area;
        rab_region_clear(&both);
    }
    return ok;
}

/* Does a shape show nowhere and take no paper from another piece? */
static bool piece_fits(struct cutter *cutter, size_t site, const struct rab_backings *made,
                       const struct rab_region *region, bool *fits, struct rab_error *err)
{
    struct rab_region grown = {0}, rest = {0}, left = {0};
    double area = 0;
    bool ok = piece_keeps_off(cutter, site, region, fits, err);

    if (!ok || !*fits || cutter->options->lap)
        return ok;
    /* Within the seam the dividing lines hold, beyond it what others may cover. */
    ok = cutter_divided(cutter, site, region, &left, err);
    *fits = ok && rab_region_area(region) - rab_region_area(&left) <= no_area;
    rab_region_clear(&left);
    if (ok && *fits) {
        ok = cutter_grow_site(cutter, site, &grown, err) &&
             rab_region_combine(region, &grown, RAB_DIFFERENCE, &rest, err);
        area = ok ? rab_region_area(&rest) : 0;
        ok = ok && leave_others(cutter, site, &rest, err);
        *fits = ok && area - rab_region_area(&rest) <= no_area;
    }
    rab_region_clear(&grown);
    rab_region_clear(&rest);
    return ok && (!*fits || apart_from(region, made, fits, err));
}

/* One outline, taken over, tried as the piece. */
static bool try_shape(struct cutter *cutter, size_t site, const struct rab_backings *made,
                      struct rab_outline *outline, struct rab_region *out, bool *found,
                      struct rab_error *err)
{
    struct rab_region region = {0};
    bool ok = rab_region_fill(outline, 1, RAB_FILL_NONZERO, &region, err) &&
              piece_fits(cutter, site, made, &region, found, err);

    if (ok && *found) {
        *out = region;
        region = (struct rab_region){0};
    }
    rab_region_clear(&region);
    rab_outline_clear(outline);
    return ok;
}

static bool plain_circle(struct cutter *cutter, size_t site, const struct rab_backings *made,
                         struct rab_point centre, double radius, struct rab_region *out,
                         bool *found, struct rab_error *err)
{
    struct rab_outline outline = {0};

    return rab_outline_circle(centre, radius, &outline, err) &&
           try_shape(cutter, site, made, &outline, out, found, err);
}

/* The smallest of the maker's circles that leaves the seam. */
static bool own_circle(struct cutter *cutter, size_t site, const struct rab_backings *made,
                       struct rab_point centre, double radius, struct rab_region *out, bool *found,
                       struct rab_error *err)
{
    const struct rab_backing_options *o = cutter->options;
    double best = 1e300;

    for (size_t i = 0; i < o->circle_count; i++) {
        const double r = o->circles[i] / 2;
        if (r >= radius + o->seam - RAB_SAME_POINT && r < best)
            best = r;
    }
    return best == 1e300 || plain_circle(cutter, site, made, centre, best, out, found, err);
}

bool plain_piece(struct cutter *cutter, size_t site, const struct rab_backings *made,
                 struct rab_region *out, enum rab_backing_shape *shape, bool *found,
                 struct rab_error *err)
{
    const struct field *field = cutter->field;
    const double seam = cutter->options->seam;
    const struct rab_box box = box_grown(field->sites[site].box, seam);
    struct rab_outline outline = {0};
    struct rab_region grown = {0};
    struct rab_point centre;
    double radius;
    bool ok = false;

    *found = false;
    hull_circle(field, site, &centre, &radius);
    *shape = RAB_SHAPE_CIRCLE;
    if (!own_circle(cutter, site, made, centre, radius, out, found, err))
        return false;
    if (*found || cutter->options->form != RAB_FORM_SIMPLE)
        return true;

    if (!hull_of(cutter, site, &grown, err))
        goto done;
    /* A shape much larger than the opening is plain, but wastes paper. */
    const double most = 1.3 * rab_region_area(&grown);
    const double width = box.x1 - box.x0, height = box.y1 - box.y0;
    if (RAB_PI * (radius + seam) * (radius + seam) <= most &&
        !plain_circle(cutter, site, made, centre, radius + seam, out, found, err))
        goto done;
    for (int round = 0; round < 2 && !*found; round++) {
        *shape = round ? RAB_SHAPE_ROUNDED : RAB_SHAPE_RECTANGLE;
        if (width * height - round * (4 - RAB_PI) * seam * seam <= most &&
            (!rab_outline_rectangle(box, round ? seam : 0, &outline, err) ||
             !try_shape(cutter, site, made, &outline, out, found, err)))
            goto done;
    }
    if (!*found) {
        *shape = RAB_SHAPE_HULL;
        ok = piece_fits(cutter, site, made, &grown, found, err);
        if (ok && *found) {
            *out = grown;
            grown = (struct rab_region){0};
        }
    } else {
        ok = true;
    }
done:
    rab_outline_clear(&outline);
    rab_region_clear(&grown);
    return ok;
}
