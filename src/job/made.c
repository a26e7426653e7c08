#include "job/made.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* Sides that are off by less than this are straight, lengths that differ by less are the same. */
static const double same = 1e-6;

void piece_clear(struct rab_piece *piece)
{
    free(piece->what);
    rab_region_clear(&piece->region);
    for (size_t i = 0; i < piece->path_count; i++)
        rab_outline_clear(&piece->paths[i].outline);
    free(piece->paths);
    *piece = (struct rab_piece){0};
}

void made_clear(struct made *made)
{
    for (size_t i = 0; i < made->count; i++)
        piece_clear(&made->pieces[i]);
    free(made->pieces);
    *made = (struct made){0};
}

static bool make_room(struct made *made, size_t more, struct rab_error *err)
{
    void *pieces = made->pieces;

    if (!rab_reserve(&pieces, &made->capacity, made->count + more, sizeof *made->pieces, err))
        return false;
    made->pieces = pieces;
    return true;
}

bool made_add(struct made *made, const struct origin *origin, struct rab_region *region,
              struct rab_path **paths, size_t *path_count, struct rab_text *what,
              struct rab_error *err)
{
    struct rab_piece piece = {.kind = origin->kind,
                              .paper = origin->paper,
                              .what = what->data,
                              .region = *region,
                              .item = origin->item,
                              .line = origin->line};
    const bool ok = rab_text_ok(what, err) && make_room(made, 1, err);

    if (paths) {
        piece.paths = *paths;
        piece.path_count = *path_count;
        *paths = NULL;
        *path_count = 0;
    }
    *region = (struct rab_region){0};
    *what = (struct rab_text){0};
    if (!ok) {
        piece_clear(&piece);
        return false;
    }
    made->pieces[made->count++] = piece;
    return true;
}

bool made_add_rectangle(struct made *made, const struct origin *origin, struct rab_box box,
                        struct rab_text *what, struct rab_error *err)
{
    struct rab_region region = {0};

    if (!region_of_box(box, &region, err)) {
        rab_text_clear(what);
        return false;
    }
    return made_add(made, origin, &region, NULL, NULL, what, err);
}

bool made_join(struct made *made, struct made *from, struct rab_error *err)
{
    if (!make_room(made, from->count, err))
        return false;
    for (size_t i = 0; i < from->count; i++)
        made->pieces[made->count++] = from->pieces[i];
    from->count = 0;
    made_clear(from);
    return true;
}

/* ---- moving ---------------------------------------------------------------------------- */

void region_move(struct rab_region *region, double dx, double dy)
{
    for (size_t i = 0; i < region->count; i++)
        rab_outline_move(&region->outlines[i], dx, dy);
}

void made_move(struct made *made, double dx, double dy)
{
    for (size_t i = 0; i < made->count; i++) {
        region_move(&made->pieces[i].region, dx, dy);
        for (size_t p = 0; p < made->pieces[i].path_count; p++)
            rab_outline_move(&made->pieces[i].paths[p].outline, dx, dy);
    }
    made->box.x0 += dx;
    made->box.x1 += dx;
    made->box.y0 += dy;
    made->box.y1 += dy;
}

void outline_turn_about(struct rab_outline *outline, double angle)
{
    const double quarters = angle / (RAB_PI / 2);
    const int whole = (int)lround(fmod(quarters, 4));

    if (fabs(fmod(quarters, 4) - whole) > 1e-9) {
        rab_outline_turn(outline, angle, (struct rab_point){0, 0});
        return;
    }
    for (int turn = 0; turn < (whole + 4) % 4; turn++) {
        for (size_t i = 0; i < outline->count; i++) {
            struct rab_vertex *v = &outline->vertices[i];
            *v = (struct rab_vertex){-v->y, v->x, v->bulge};
        }
    }
}

void made_turn(struct made *made, double angle)
{
    for (size_t i = 0; i < made->count; i++) {
        struct rab_piece *piece = &made->pieces[i];
        for (size_t k = 0; k < piece->region.count; k++)
            outline_turn_about(&piece->region.outlines[k], angle);
        for (size_t p = 0; p < piece->path_count; p++)
            outline_turn_about(&piece->paths[p].outline, angle);
    }
    made->box = made_bounds(made);
}

struct rab_box made_bounds(const struct made *made)
{
    struct rab_box box = RAB_BOX_EMPTY;

    for (size_t i = 0; i < made->count; i++)
        box = rab_box_join(box, rab_region_box(&made->pieces[i].region));
    return box;
}

/* ---- regions --------------------------------------------------------------------------- */

bool region_of_box(struct rab_box box, struct rab_region *out, struct rab_error *err)
{
    struct rab_outline outline = {0};
    const bool ok = rab_outline_rectangle(box, 0, &outline, err) &&
                    rab_region_fill(&outline, 1, RAB_FILL_NONZERO, out, err);

    rab_outline_clear(&outline);
    return ok;
}

bool region_is_rectangle(const struct rab_region *region)
{
    const struct rab_outline *outline = region->outlines;

    if (region->count != 1 || outline->count != 4)
        return false;
    for (size_t i = 0; i < 4; i++) {
        const struct rab_vertex *a = &outline->vertices[i], *b = &outline->vertices[(i + 1) % 4];
        if (a->bulge != 0 || fmin(fabs(a->x - b->x), fabs(a->y - b->y)) > same)
            return false;
    }
    return true;
}

static struct rab_box box_meet(struct rab_box a, struct rab_box b)
{
    return (struct rab_box){fmax(a.x0, b.x0), fmax(a.y0, b.y0), fmin(a.x1, b.x1), fmin(a.y1, b.y1)};
}

bool region_overlap(const struct rab_region *a, const struct rab_region *b, struct overlap *out,
                    struct rab_error *err)
{
    struct rab_region both = {0};
    const struct rab_box box = box_meet(rab_region_box(a), rab_region_box(b));

    *out = (struct overlap){0};
    if (box.x1 <= box.x0 || box.y1 <= box.y0)
        return true;
    if (region_is_rectangle(a) && region_is_rectangle(b)) {
        *out = (struct overlap){(box.x1 - box.x0) * (box.y1 - box.y0), box, 0};
        return true;
    }
    if (!rab_region_combine(a, b, RAB_INTERSECTION, &both, err))
        return false;
    *out = (struct overlap){rab_region_area(&both), rab_region_box(&both),
                            rab_region_vertices(a) + rab_region_vertices(b)};
    rab_region_clear(&both);
    return true;
}

/* ---- names ----------------------------------------------------------------------------- */

struct name item_name(const struct rab_item *item)
{
    static const char *const kinds[] = {
        [RAB_ITEM_PANEL] = "panel",   [RAB_ITEM_PHOTO] = "photo", [RAB_ITEM_FRAME] = "frame",
        [RAB_ITEM_STRIP] = "strip",   [RAB_ITEM_TEXT] = "text",   [RAB_ITEM_ROW] = "row",
        [RAB_ITEM_COLUMN] = "column", [RAB_ITEM_GRID] = "grid",
    };
    struct name name;

    (void)snprintf(name.text, sizeof name.text, "%s%s%.60s", kinds[item->kind],
                   item->name ? " " : "", item->name ? item->name : "");
    return name;
}

struct name item_of(const struct rab_item *item)
{
    struct name name = {{0}};

    if (item->name)
        (void)snprintf(name.text, sizeof name.text, " of %.60s", item->name);
    return name;
}
