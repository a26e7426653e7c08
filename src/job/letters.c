/* One letter for all pieces of one form, paper and tool, and one picture or no words. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double same = 1e-6;

/* ---- the same form --------------------------------------------------------------------- */

static double middle_height(const struct rab_vertex *a, const struct rab_vertex *b)
{
    return a->bulge * hypot(b->x - a->x, b->y - a->y) / 2;
}

/* b begins at its vertex `turn`, and is moved by dx, dy. */
static bool match_from(const struct rab_outline *a, const struct rab_outline *b, size_t turn,
                       double dx, double dy)
{
    const size_t n = a->count;

    for (size_t i = 0; i < n; i++) {
        const struct rab_vertex *p = &a->vertices[i], *q = &b->vertices[(i + turn) % n];
        if (fabs(p->x - q->x - dx) > same || fabs(p->y - q->y - dy) > same ||
            ((!a->open || i + 1 < n) &&
             fabs(middle_height(p, &a->vertices[(i + 1) % n]) -
                  middle_height(q, &b->vertices[(i + 1 + turn) % n])) > same))
            return false;
    }
    return true;
}

/* Full circles may begin anywhere. */
static bool is_circle(const struct rab_outline *outline)
{
    return !outline->open && outline->count == 2 &&
           fabs(fabs(outline->vertices[0].bulge) - 1) < 1e-9 &&
           fabs(outline->vertices[0].bulge - outline->vertices[1].bulge) < 1e-9;
}

static bool same_circle(const struct rab_outline *a, const struct rab_outline *b, double dx,
                        double dy)
{
    const struct rab_vertex *p = a->vertices, *q = b->vertices;
    const double radius_a = hypot(p[1].x - p[0].x, p[1].y - p[0].y) / 2;
    const double radius_b = hypot(q[1].x - q[0].x, q[1].y - q[0].y) / 2;

    return p[0].bulge * q[0].bulge > 0 && fabs(radius_a - radius_b) <= same &&
           hypot((p[0].x + p[1].x - q[0].x - q[1].x) / 2 - dx,
                 (p[0].y + p[1].y - q[0].y - q[1].y) / 2 - dy) <= same;
}

static bool same_outline(const struct rab_outline *a, const struct rab_outline *b, double dx,
                         double dy)
{
    if (a->count != b->count || a->open != b->open)
        return false;
    if (is_circle(a) && is_circle(b))
        return same_circle(a, b, dx, dy);
    for (size_t turn = 0; turn < (a->open ? 1 : a->count); turn++) {
        if (match_from(a, b, turn, dx, dy))
            return true;
    }
    return a->count == 0;
}

static bool has_outline(const struct rab_region *region, const struct rab_outline *outline,
                        double dx, double dy)
{
    for (size_t i = 0; i < region->count; i++) {
        if (same_outline(outline, &region->outlines[i], dx, dy))
            return true;
    }
    return false;
}

static bool same_paths(const struct rab_piece *a, const struct rab_piece *b, double dx, double dy)
{
    for (size_t i = 0; i < a->path_count; i++) {
        if (a->paths[i].operation != b->paths[i].operation ||
            !same_outline(&a->paths[i].outline, &b->paths[i].outline, dx, dy))
            return false;
    }
    return true;
}

static bool same_words(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

/* Photos of one size are not one photo, nor strips with other words on them. */
static bool same_picture(const struct rab_piece *a, const struct rab_piece *b)
{
    const struct rab_item *one = a->item, *other = b->item;

    if (a->kind == RAB_PIECE_TEXT || b->kind == RAB_PIECE_TEXT)
        return a->kind == b->kind && !one->words && !other->words;
    return a->kind != RAB_PIECE_PHOTO || b->kind != RAB_PIECE_PHOTO ||
           (same_words(one->name, other->name) && same_words(one->image, other->image) &&
            one->crop_left == other->crop_left && one->crop_right == other->crop_right &&
            one->crop_top == other->crop_top && one->crop_bottom == other->crop_bottom);
}

/* What is quickly compared. */
struct form {
    const struct rab_piece *piece;
    struct rab_box box;
    double area;
};

static bool same_form(const struct form *a, const struct form *b)
{
    const struct rab_region *one = &a->piece->region, *other = &b->piece->region;
    const double dx = a->box.x0 - b->box.x0, dy = a->box.y0 - b->box.y0;
    const double round = a->box.x1 - a->box.x0 + a->box.y1 - a->box.y0;

    if (a->piece->paper != b->piece->paper || a->piece->tool != b->piece->tool ||
        one->count != other->count || a->piece->path_count != b->piece->path_count ||
        fabs(a->box.x1 - b->box.x1 - dx) > same || fabs(a->box.y1 - b->box.y1 - dy) > same ||
        fabs(a->area - b->area) > 4 * same * round)
        return false;
    for (size_t i = 0; i < one->count; i++) {
        if (!has_outline(other, &one->outlines[i], dx, dy))
            return false;
    }
    return same_paths(a->piece, b->piece, dx, dy) && same_picture(a->piece, b->piece);
}

/* ---- letters --------------------------------------------------------------------------- */

/* A to Z, AA to ZZ...: as columns of tables are counted. */
static void letter_of(size_t number, char *letter, size_t size)
{
    char back[8];
    size_t length = 0;

    for (size_t n = number + 1; n > 0 && length + 1 < sizeof back; n = (n - 1) / 26)
        back[length++] = (char)('A' + (n - 1) % 26);
    for (size_t i = 0; i < length && i + 1 < size; i++)
        letter[i] = back[length - 1 - i];
    letter[length] = '\0';
}

bool letters_give(struct resolving *r)
{
    struct form *forms = NULL;
    size_t count = 0, capacity = 0;
    bool ok = true;

    for (size_t i = 0; i < r->spread.count && ok; i++) {
        struct rab_piece *piece = &r->spread.pieces[i];
        const struct form form = {piece, rab_region_box(&piece->region),
                                  rab_region_area(&piece->region)};
        void *items = forms;
        size_t found = 0;
        while (found < count && !same_form(&forms[found], &form))
            found++;
        letter_of(found, piece->letter, sizeof piece->letter);
        if (found < count)
            continue;
        ok = rab_reserve(&items, &capacity, count + 1, sizeof *forms, r->err);
        forms = items;
        if (ok)
            forms[count++] = form;
    }
    free(forms);
    return ok;
}
