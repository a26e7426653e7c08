#include "rabbet/frame.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* A row may be fuller, or a sheet lower, than it is by so much: what sums of doubles round off. */
static const double slack = 1e-6;

void rab_placing_clear(struct rab_placing *placing)
{
    free(placing->items);
    *placing = (struct rab_placing){0};
}

struct tile {
    double width, height;
    size_t piece;
};

static int tallest_first(const void *a, const void *b)
{
    const struct tile *p = a, *q = b;

    if (p->height != q->height)
        return p->height > q->height ? -1 : 1;
    if (p->width != q->width)
        return p->width > q->width ? -1 : 1;
    return (p->piece > q->piece) - (p->piece < q->piece);
}

static bool look_over(const struct rab_box *boxes, size_t count,
                      const char *(*name)(void *, size_t), void *context, double width,
                      double height, double gap, struct rab_error *err)
{
    struct rab_text text = {0};

    if (!(width > 0) || !(height > 0) || !isfinite(width) || !isfinite(height))
        return rab_fail(err, RAB_FAULT_INPUT, "the sheet has no size; give a width and a height");
    if (!(gap >= 0) || !isfinite(gap))
        return rab_fail(err, RAB_FAULT_INPUT, "the gap is negative; give 0 mm or more");
    for (size_t i = 0; i < count; i++) {
        const double w = boxes[i].x1 - boxes[i].x0, h = boxes[i].y1 - boxes[i].y0;

        if (w <= width + slack && h <= height + slack)
            continue;
        rab_text_format(&text, "%s, ", name(context, i));
        rab_text_size(&text, w, h, false, 16);
        rab_text_add(&text, ", is larger than the sheet, ");
        rab_text_size(&text, width, height, false, 16);
        rab_text_add(&text, "; give a larger sheet");
        if (rab_text_ok(&text, err))
            rab_fail(err, RAB_FAULT_GEOMETRY, "%s", text.data);
        rab_text_clear(&text);
        return false;
    }
    return true;
}

bool rab_boxes_arrange(const struct rab_box *boxes, size_t n, const char *(*name)(void *, size_t),
                       void *context, double width, double height, double gap,
                       struct rab_placing *out, struct rab_error *err)
{
    struct rab_placing made = {0};
    struct tile *tiles = NULL;
    double widest = 0;

    if (!look_over(boxes, n, name, context, width, height, gap, err))
        return false;
    if (n == 0) {
        *out = made;
        return true;
    }
    tiles = malloc(n * sizeof *tiles);
    made.items = malloc(n * sizeof *made.items);
    if (!tiles || !made.items) {
        free(tiles);
        free(made.items);
        return rab_fail_memory(err);
    }
    made.capacity = n;
    for (size_t i = 0; i < n; i++) {
        tiles[i] = (struct tile){boxes[i].x1 - boxes[i].x0, boxes[i].y1 - boxes[i].y0, i};
        widest = fmax(widest, tiles[i].width);
    }
    qsort(tiles, n, sizeof *tiles, tallest_first);

    const double margin_x = fmax(0, fmin(gap, (width - widest) / 2));
    const double margin_y = fmax(0, fmin(gap, (height - tiles[0].height) / 2));
    double x = margin_x, top = height - margin_y, row = tiles[0].height;
    made.sheets = 1;
    for (size_t i = 0; i < n; i++) {
        const struct tile *tile = &tiles[i];
        const struct rab_box box = boxes[tile->piece];

        if (x > margin_x && x + tile->width > width - margin_x + slack) {
            x = margin_x;
            top -= row + gap;
            row = tile->height;
            if (top - row < margin_y - slack) {
                made.sheets++;
                top = height - margin_y;
            }
        }
        made.items[made.count++] = (struct rab_placed){tile->piece, made.sheets - 1, x - box.x0,
                                                       top - tile->height - box.y0};
        x += tile->width + gap;
    }
    free(tiles);
    *out = made;
    return true;
}

/* What a backing is called in messages. */
struct naming {
    const struct rab_backings *backings;
    char name[64];
};

static const char *backing_name(void *context, size_t index)
{
    struct naming *n = context;

    snprintf(n->name, sizeof n->name, "the piece behind opening %d",
             n->backings->items[index].openings[0]);
    return n->name;
}

bool rab_backings_arrange(const struct rab_backings *backings, double width, double height,
                          double gap, struct rab_placing *out, struct rab_error *err)
{
    struct naming naming = {.backings = backings};
    struct rab_box *boxes = malloc((backings->count + 1) * sizeof *boxes);
    bool ok;

    if (!boxes)
        return rab_fail_memory(err);
    for (size_t i = 0; i < backings->count; i++)
        boxes[i] = backings->items[i].box;
    ok = rab_boxes_arrange(boxes, backings->count, backing_name, &naming, width, height, gap, out,
                           err);
    free(boxes);
    return ok;
}

bool rab_backing_laid(const struct rab_backing *backing, double dx, double dy, bool face_down,
                      double sheet_width, struct rab_region *out, struct rab_error *err)
{
    struct rab_region made = {0};

    if (!rab_region_copy(&backing->region, &made, err))
        return false;
    for (size_t i = 0; i < made.count; i++) {
        rab_outline_move(&made.outlines[i], dx, dy);
        if (face_down)
            rab_outline_mirror(&made.outlines[i], sheet_width / 2);
    }
    *out = made;
    return true;
}
