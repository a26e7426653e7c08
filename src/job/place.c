/* Where things lie: single items, rows, columns and grids. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>

/* What sticks out by less than this is rounding. */
static const double spare = 1e-6;

/* ---- a place on the page --------------------------------------------------------------- */

static bool in_range(const struct rab_given *given)
{
    return !given->given || fabs(given->value) <= RESOLVE_LARGEST;
}

bool place_check(struct resolving *r, const struct rab_item *item, bool *sound)
{
    *sound = false;
    if (item->x.given && item->right.given)
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the place of the %s is given from both sides; give x or right",
                           item_name(item).text);
    if (item->y.given && item->top.given)
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the place of the %s is given from above and below; give y or top",
                           item_name(item).text);
    *sound =
        in_range(&item->x) && in_range(&item->right) && in_range(&item->y) && in_range(&item->top);
    return *sound || found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                                 "the place of the %s is out of range", item_name(item).text);
}

static double along(const struct rab_given *from, const struct rab_given *to, double whole,
                    double size)
{
    /* Between equal margins is in the middle of the page. */
    return from->given ? from->value : to->given ? whole - to->value - size : (whole - size) / 2;
}

/* The lower left corner of what is so large. */
struct rab_point place_of(const struct resolving *r, const struct rab_item *item, double width,
                          double height)
{
    const struct rab_page *page = &r->job->pages[r->page];

    return (struct rab_point){along(&item->x, &item->right, page->width, width),
                              along(&item->y, &item->top, page->height, height)};
}

static bool has_place(const struct rab_item *item)
{
    return item->x.given || item->right.given || item->y.given || item->top.given;
}

void place_move(struct made *made, double x, double y)
{
    made_move(made, x - made->box.x0, y - made->box.y0);
}

/* ---- single items ---------------------------------------------------------------------- */

static bool panel_make(struct resolving *r, const struct rab_item *item, struct made *out)
{
    const struct origin origin = {RAB_PIECE_PANEL, item->paper, item, item->line};
    struct rab_text what = {0};
    bool known = false;

    if (!resolve_paper(r, item->paper, item->line, "panel", &known))
        return false;
    if (!(item->width > 0 && item->height > 0 && item->width <= RESOLVE_LARGEST &&
          item->height <= RESOLVE_LARGEST))
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the %s has no size; give its width and height", item_name(item).text);
    if (!(item->hidden_centre >= 0 && item->hidden_centre <= RESOLVE_LARGEST))
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the hidden centre of the %s is out of range; give how much stays "
                           "behind the covering edge",
                           item_name(item).text);
    rab_text_add(&what, "panel");
    if (item->name) {
        rab_text_add(&what, " ");
        rab_text_add(&what, item->name);
    }
    out->box = (struct rab_box){0, 0, item->width, item->height};
    out->sound = known;
    return made_add_rectangle(out, &origin, out->box, &what, r->err);
}

bool place_make(struct resolving *r, const struct rab_item *item, struct made *out)
{
    switch (item->kind) {
    case RAB_ITEM_PANEL:
        return panel_make(r, item, out);
    case RAB_ITEM_PHOTO:
        if (item->proportion > 0)
            return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                               "the %s has a proportion and stands in no grid that would find its "
                               "size; give its width and height",
                               item_name(item).text);
        return photo_make(r, item, item->width, item->height, out);
    case RAB_ITEM_FRAME:
        return frame_make(r, item, out);
    case RAB_ITEM_STRIP:
        return strip_make(r, item, out);
    case RAB_ITEM_TEXT:
        return text_make(r, item, out);
    case RAB_ITEM_ROW:
    case RAB_ITEM_COLUMN:
    case RAB_ITEM_GRID:
        break;
    }
    return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                       "a %s cannot stand here; put photos and panels here", item_name(item).text);
}

static bool place_leaf(struct resolving *r, const struct rab_item *item)
{
    struct made made = {0};
    bool sound = false, ok = false;

    if (!place_make(r, item, &made) || !place_check(r, item, &sound))
        goto done;
    if (made.sound && sound) {
        const struct rab_point at =
            place_of(r, item, made.box.x1 - made.box.x0, made.box.y1 - made.box.y0);
        place_move(&made, at.x, at.y);
        if (!resolve_put(r, item, &made))
            goto done;
    }
    ok = true;
done:
    made_clear(&made);
    return ok;
}

/* ---- rows and columns ------------------------------------------------------------------ */

/* A row or column being laid: what is in it, and their size together. */
struct line_up {
    const struct rab_item *item;
    struct made *made; /* of each in it */
    double width, height;
    bool sound;
};

static void clear_line_up(struct line_up *line)
{
    for (size_t i = 0; line->made && i < line->item->item_count; i++)
        made_clear(&line->made[i]);
    free(line->made);
}

bool place_inner(struct resolving *r, const struct rab_item *item, bool *sound)
{
    *sound = !has_place(item);
    return *sound || found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                                 "the place of the %s comes from what it stands in; leave it out",
                                 item_name(item).text);
}

static struct rab_point size_of(const struct made *made)
{
    return (struct rab_point){made->box.x1 - made->box.x0, made->box.y1 - made->box.y0};
}

static bool check_line_up(struct resolving *r, const struct rab_item *item, bool *sound)
{
    *sound = item->item_count > 0;
    if (!*sound)
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the %s is empty; put photos or panels into it, or leave it out",
                           item_name(item).text);
    *sound = item->gutter >= 0 && item->gutter <= RESOLVE_LARGEST;
    return *sound || found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                                 "the gutter of the %s is out of range; give 0 or more",
                                 item_name(item).text);
}

/* Makes all that is in it, and adds up. */
static bool make_line_up(struct resolving *r, struct line_up *line)
{
    const struct rab_item *item = line->item;
    const bool row = item->kind == RAB_ITEM_ROW;

    if (!check_line_up(r, item, &line->sound))
        return false;
    line->made = calloc(item->item_count + 1, sizeof *line->made);
    if (!line->made) {
        rab_fail_memory(r->err);
        return false;
    }
    for (size_t i = 0; i < item->item_count; i++) {
        struct made *made = &line->made[i];
        bool sound = false;
        if (!place_inner(r, &item->items[i], &sound) || !place_make(r, &item->items[i], made))
            return false;
        line->sound = line->sound && sound && made->sound;
        const struct rab_point size = size_of(made);
        const double gutter = i > 0 ? item->gutter : 0;
        line->width = row ? line->width + size.x + gutter : fmax(line->width, size.x);
        line->height = row ? fmax(line->height, size.y) : line->height + size.y + gutter;
    }
    return true;
}

/* Side by side or one below the other, in the middle of each other. */
static bool put_line_up(struct resolving *r, struct line_up *line, struct rab_point at)
{
    const struct rab_item *item = line->item;
    const bool row = item->kind == RAB_ITEM_ROW;
    double left = at.x, top = at.y + line->height;

    for (size_t i = 0; i < item->item_count; i++) {
        struct made *made = &line->made[i];
        const struct rab_point size = size_of(made);
        place_move(made, row ? left : at.x + (line->width - size.x) / 2,
                   row ? at.y + (line->height - size.y) / 2 : top - size.y);
        if (!resolve_put(r, &item->items[i], made))
            return false;
        left += size.x + item->gutter;
        top -= size.y + item->gutter;
    }
    return true;
}

/* What there is between the margins, or from a given place to the margin. */
double place_room(const struct rab_given *from, const struct rab_given *to, double whole,
                  double margin)
{
    return from->given ? whole - margin - from->value
           : to->given ? whole - margin - to->value
                       : whole - 2 * margin;
}

static bool check_room(struct resolving *r, const struct line_up *line, bool *fits)
{
    const struct rab_page *page = &r->job->pages[r->page];
    const struct rab_item *item = line->item;
    const bool row = item->kind == RAB_ITEM_ROW, inches = r->job->inches;
    const double need = row ? line->width : line->height;
    const double have = row ? place_room(&item->x, &item->right, page->width, page->margin)
                            : place_room(&item->y, &item->top, page->height, page->margin);
    const size_t gutters = item->item_count - 1;
    bool alike = true, photos = true;
    double first = 0;

    *fits = need <= have + spare;
    if (*fits)
        return true;
    for (size_t i = 0; i < item->item_count; i++) {
        const struct rab_point both = size_of(&line->made[i]);
        const double size = row ? both.x : both.y;
        alike = alike && (i == 0 || fabs(size - first) <= spare);
        first = i == 0 ? size : first;
        photos = photos && item->items[i].kind == RAB_ITEM_PHOTO;
    }
    return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, item->line,
                       "the %s is %s too %s: %zu %s%s%s%s and %zu gutter%s of %s need %s, there "
                       "are %s",
                       item_name(item).text, measure_of(need - have, inches).text,
                       row ? "wide" : "high", item->item_count, photos ? "photo" : "item",
                       gutters == 0 ? "" : "s", alike ? " of " : "",
                       alike ? measure_of(first, inches).text : "", gutters,
                       gutters == 1 ? "" : "s", measure_of(item->gutter, inches).text,
                       measure_of(need, inches).text, measure_of(have, inches).text);
}

static bool place_line_up(struct resolving *r, const struct rab_item *item)
{
    struct line_up line = {.item = item};
    bool sound = false, fits = false, ok = false;

    if (!make_line_up(r, &line) || !place_check(r, item, &sound) ||
        (line.sound && sound && !check_room(r, &line, &fits)))
        goto done;
    if (fits) {
        const struct rab_point at = place_of(r, item, line.width, line.height);
        r->raised = item->raised;
        r->tool = item->tool;
        if (!put_line_up(r, &line, at))
            goto done;
    }
    ok = true;
done:
    r->raised = 0;
    r->tool = RAB_TOOL_USUAL;
    clear_line_up(&line);
    return ok;
}

bool place_items(struct resolving *r, const struct rab_item *items, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const enum rab_item_kind kind = items[i].kind;
        const bool line = kind == RAB_ITEM_ROW || kind == RAB_ITEM_COLUMN;
        const bool ok = line                    ? place_line_up(r, &items[i])
                        : kind == RAB_ITEM_GRID ? block_place(r, &items[i])
                                                : place_leaf(r, &items[i]);
        if (!ok)
            return false;
    }
    return true;
}
