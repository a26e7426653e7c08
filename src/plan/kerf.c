#include "plan/kerf.h"

#include "plan/items.h"

#include <math.h>
#include <stdlib.h>

/* What is shorter is a point, or nothing. */
static const double shortest = 1e-6;

static bool has_length(const struct rab_path *path)
{
    return rab_outline_perimeter(&path->outline) > shortest;
}

static bool is_closed_cut(const struct rab_path *path)
{
    return path->operation == RAB_CUT && !path->outline.open;
}

static bool complain(const struct rab_outline *outline, double kerf, const char *what,
                     struct rab_error *err)
{
    const struct rab_box box = rab_outline_box(outline);
    struct rab_text size = {0}, place = {0}, width = {0};

    rab_text_size(&size, box.x1 - box.x0, box.y1 - box.y0, false, 16);
    rab_text_fixed(&place, (box.x0 + box.x1) / 2, 1);
    rab_text_add(&place, ", ");
    rab_text_fixed(&place, (box.y0 + box.y1) / 2, 1);
    rab_text_fixed(&width, kerf, 3);
    if (rab_text_ok(&size, err) && rab_text_ok(&place, err) && rab_text_ok(&width, err))
        rab_fail(err, RAB_FAULT_GEOMETRY,
                 "the %s of %s at %s mm %s under a kerf of %s mm; leave it out, make it larger, or "
                 "give a smaller kerf",
                 rab_outline_area(outline) < 0 ? "opening" : "piece", size.data, place.data, what,
                 width.data);
    rab_text_clear(&size);
    rab_text_clear(&place);
    rab_text_clear(&width);
    return false;
}

/* One outline alone, so that it can be named when it does not come out as one. An opening is
 * shrunk as if it were a piece, and turned back. */
static bool move_outline(const struct rab_outline *in, double kerf, struct rab_outline *out,
                         struct rab_error *err)
{
    const bool opening = rab_outline_area(in) < 0;
    struct rab_region region = {0}, moved = {0};
    bool ok = false;

    if (!rab_region_fill(in, 1, RAB_FILL_NONZERO, &region, err) ||
        !rab_region_grow(&region, opening ? -kerf / 2 : kerf / 2, RAB_JOIN_ROUND, 0, &moved, err))
        goto done;
    if (moved.count != 1) {
        ok = complain(in, kerf,
                      moved.count == 0 ? "vanishes"
                      : opening        ? "falls apart"
                                       : "closes on itself",
                      err);
        goto done;
    }
    *out = moved.outlines[0];
    moved.outlines[0] = (struct rab_outline){0};
    if (opening)
        rab_outline_reverse(out);
    ok = true;
done:
    rab_region_clear(&region);
    rab_region_clear(&moved);
    return ok;
}

/* ---- neighbours ------------------------------------------------------------------------ */

struct neighbours {
    const struct rab_path *paths;
    const size_t *cuts; /* the closed cuts among them */
    struct items items;
    double kerf;
    struct rab_error *err;
};

/* Of one piece, their cuts come nearer to each other only where nothing lies between them: two
 * outer outlines, or one within an opening. */
static bool come_nearer(const struct rab_path *a, const struct rab_path *b)
{
    const double p = rab_outline_area(&a->outline), q = rab_outline_area(&b->outline);

    return a->piece != b->piece || (p > 0 && q > 0) || (p > 0 && q < -p) || (q > 0 && p < -q);
}

static bool tell_neighbours(const struct neighbours *n, const struct rab_path *a,
                            const struct rab_path *b, double gap, struct rab_point at)
{
    struct rab_text text = {0};

    if (a->piece == b->piece)
        rab_text_add(&text, "two outlines lie ");
    else
        rab_text_format(&text, "pieces %d and %d lie ", a->piece < b->piece ? a->piece : b->piece,
                        a->piece < b->piece ? b->piece : a->piece);
    rab_text_fixed(&text, gap, 3);
    rab_text_add(&text, " mm apart at ");
    rab_text_fixed(&text, at.x, 1);
    rab_text_add(&text, ", ");
    rab_text_fixed(&text, at.y, 1);
    rab_text_add(&text, " mm, less than the kerf of ");
    rab_text_fixed(&text, n->kerf, 3);
    if (rab_text_ok(&text, n->err))
        rab_fail(n->err, RAB_FAULT_GEOMETRY, "%s mm; move them apart, or give a smaller kerf",
                 text.data);
    rab_text_clear(&text);
    return false;
}

static bool check_pair(void *context, size_t first, size_t second)
{
    static const double spare = 1e-6; /* edges one kerf apart may share their cut */
    const struct neighbours *n = context;
    const struct rab_path *a = &n->paths[n->cuts[n->items.numbers[first]]];
    const struct rab_path *b = &n->paths[n->cuts[n->items.numbers[second]]];
    struct rab_point at, there;
    double gap;

    if (!come_nearer(a, b))
        return true;
    if (!rab_outline_gap(&a->outline, &b->outline, &gap, &at, &there, n->err))
        return false;
    return gap >= n->kerf - spare || tell_neighbours(n, a, b, gap, at);
}

/* Outlines closer than the kerf would cut into each other. */
static bool check_neighbours(const struct rab_path *paths, size_t count, double kerf,
                             struct rab_error *err)
{
    size_t *cuts = calloc(count + 1, sizeof *cuts), found = 0;
    struct rab_box *boxes = calloc(count + 1, sizeof *boxes);
    struct neighbours neighbours = {.paths = paths, .cuts = cuts, .kerf = kerf, .err = err};
    bool ok = false;

    if (!cuts || !boxes) {
        rab_fail_memory(err);
        goto done;
    }
    for (size_t i = 0; i < count; i++) {
        const struct rab_box box = rab_outline_box(&paths[i].outline);
        if (!is_closed_cut(&paths[i]) || !has_length(&paths[i]))
            continue;
        boxes[found] = (struct rab_box){box.x0 - kerf / 2, box.y0 - kerf / 2, box.x1 + kerf / 2,
                                        box.y1 + kerf / 2};
        cuts[found++] = i;
    }
    ok = items_make(&neighbours.items, boxes, found, err) &&
         box_tree_pairs(&neighbours.items.tree, check_pair, &neighbours);
done:
    items_clear(&neighbours.items);
    free(boxes);
    free(cuts);
    return ok;
}

bool kerf_allow(const struct rab_path *paths, size_t count, double kerf, struct line_list *out,
                struct rab_error *err)
{
    struct line_list made = {0};
    struct rab_outline outline = {0};

    if (kerf > 0 && !check_neighbours(paths, count, kerf, err))
        return false;
    for (size_t i = 0; i < count; i++) {
        const struct rab_path *path = &paths[i];
        const struct line like = {path->operation, path->piece, i, {0}};
        if (!has_length(path))
            continue;
        if (!(kerf > 0 && is_closed_cut(path) ? move_outline(&path->outline, kerf, &outline, err)
                                              : rab_outline_copy(&path->outline, &outline, err)) ||
            !line_list_add(&made, &like, &outline, err)) {
            rab_outline_clear(&outline);
            line_list_clear(&made);
            return false;
        }
    }
    *out = made;
    return true;
}
