#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rabbet/outline.h"

bool rab_outline_add(struct rab_outline *outline, double x, double y, double bulge,
                     struct rab_error *err)
{
    if (!isfinite(x) || !isfinite(y) || !isfinite(bulge))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "an outline has a coordinate or bulge that is not a number; "
                        "give finite numbers");
    if (outline->count == outline->capacity) {
        void *items = outline->vertices;
        if (!rab_reserve(&items, &outline->capacity, outline->count + 1, sizeof *outline->vertices,
                         err))
            return false;
        outline->vertices = items;
    }
    outline->vertices[outline->count++] = (struct rab_vertex){x, y, bulge};
    return true;
}

bool rab_outline_copy(const struct rab_outline *in, struct rab_outline *out, struct rab_error *err)
{
    struct rab_outline made = {.open = in->open};
    if (in->count > 0) {
        void *items = NULL;
        if (!rab_reserve(&items, &made.capacity, in->count, sizeof *in->vertices, err))
            return false;
        memcpy(items, in->vertices, in->count * sizeof *in->vertices);
        made.vertices = items;
        made.count = in->count;
    }
    *out = made;
    return true;
}

void rab_outline_clear(struct rab_outline *outline)
{
    free(outline->vertices);
    *outline = (struct rab_outline){0};
}

static bool add_all(const struct rab_vertex *vertices, size_t count, struct rab_outline *out,
                    struct rab_error *err)
{
    struct rab_outline made = {0};
    for (size_t i = 0; i < count; i++) {
        if (!rab_outline_add(&made, vertices[i].x, vertices[i].y, vertices[i].bulge, err)) {
            rab_outline_clear(&made);
            return false;
        }
    }
    *out = made;
    return true;
}

bool rab_outline_circle(struct rab_point centre, double radius, struct rab_outline *out,
                        struct rab_error *err)
{
    if (!(radius > 0))
        return rab_fail(err, RAB_FAULT_GEOMETRY, "a circle's radius must be more than 0");
    const struct rab_vertex vertices[] = {
        {centre.x - radius, centre.y, 1},
        {centre.x + radius, centre.y, 1},
    };
    return add_all(vertices, 2, out, err);
}

bool rab_outline_rectangle(struct rab_box box, double radius, struct rab_outline *out,
                           struct rab_error *err)
{
    const double x0 = box.x0, y0 = box.y0, x1 = box.x1, y1 = box.y1, r = radius;
    const double width = x1 - x0, height = y1 - y0;
    const double slack = 1e-12 * (width + height); /* of a radius worked out as half a side */

    if (!(width > 0) || !(height > 0))
        return rab_fail(err, RAB_FAULT_GEOMETRY,
                        "a rectangle's width and height must be more than 0");
    if (!(r >= 0) || 2 * r > width + slack || 2 * r > height + slack)
        return rab_fail(err, RAB_FAULT_GEOMETRY,
                        "a rectangle's corners must be rounded by 0 or more, and at most half of "
                        "its shorter side");

    const bool round_ends = 2 * r >= height - slack, round_top = 2 * r >= width - slack;
    if (round_ends && round_top)
        return rab_outline_circle((struct rab_point){(x0 + x1) / 2, (y0 + y1) / 2}, width / 2, out,
                                  err);
    if (round_ends) {
        const struct rab_vertex vertices[] = {
            {x0 + r, y0, 0}, {x1 - r, y0, 1}, {x1 - r, y1, 0}, {x0 + r, y1, 1}};
        return add_all(vertices, 4, out, err);
    }
    if (round_top) {
        const struct rab_vertex vertices[] = {
            {x0, y0 + r, 1}, {x1, y0 + r, 0}, {x1, y1 - r, 1}, {x0, y1 - r, 0}};
        return add_all(vertices, 4, out, err);
    }
    if (r > 0) {
        const double quarter = sqrt(2) - 1; /* tan(90 degrees / 4) */
        const struct rab_vertex vertices[] = {
            {x0 + r, y0, 0}, {x1 - r, y0, quarter}, {x1, y0 + r, 0}, {x1, y1 - r, quarter},
            {x1 - r, y1, 0}, {x0 + r, y1, quarter}, {x0, y1 - r, 0}, {x0, y0 + r, quarter}};
        return add_all(vertices, 8, out, err);
    }
    const struct rab_vertex vertices[] = {{x0, y0, 0}, {x1, y0, 0}, {x1, y1, 0}, {x0, y1, 0}};
    return add_all(vertices, 4, out, err);
}
