/* Chains of curves from any bytes, on a small grid, some off it by a hair, so that control points
 * coincide, stand in line, make cusps and loops. What comes back must keep to the curves as
 * sampled; a refusal must have a reason. */
#include "rabbet/outline.h"

#include <math.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void insist(bool truth)
{
    if (!truth)
        abort();
}

struct bytes {
    const uint8_t *data;
    size_t left;
};

static unsigned next(struct bytes *bytes)
{
    if (bytes->left == 0)
        return 0;
    bytes->left--;
    return *bytes->data++;
}

/* Four bits of grid, four of a hair's breadth. */
static double coordinate(unsigned byte)
{
    static const double hairs[16] = {0,    0,    0,     0,    0,    0,     0.5,   0.25,
                                     1e-9, -1e-7, 1e-5, 1e-4, 1e-3, -1e-2, 1e-12, 0.1};
    return (double)(byte & 15) + hairs[byte >> 4];
}

static struct rab_point point(struct bytes *bytes)
{
    const double x = coordinate(next(bytes));
    return (struct rab_point){x, coordinate(next(bytes))};
}

static struct rab_point at(const struct rab_curve *c, double t)
{
    const struct rab_point *p = c->p;
    if (c->kind == RAB_CURVE_LINE)
        return (struct rab_point){p[0].x + t * (p[1].x - p[0].x), p[0].y + t * (p[1].y - p[0].y)};
    if (c->kind == RAB_CURVE_ELLIPSE) {
        const double a = c->from + t * (c->to - c->from), x = cos(a), y = sin(a);
        return (struct rab_point){p[0].x + p[1].x * x + p[2].x * y,
                                  p[0].y + p[1].y * x + p[2].y * y};
    }
    const double s = 1 - t, a = s * s * s, b = 3 * s * s * t, d = 3 * s * t * t, e = t * t * t;
    return (struct rab_point){a * p[0].x + b * p[1].x + d * p[2].x + e * p[3].x,
                              a * p[0].y + b * p[1].y + d * p[2].y + e * p[3].y};
}

/* Curves drawn for an arc depart from it: by 1.9 % of the radius at most. */
static double drawn_for_arc(const struct rab_outline *outline)
{
    double most = 0;
    for (size_t i = 0; i < outline->count; i++) {
        const struct rab_vertex a = outline->vertices[i];
        const struct rab_vertex b = outline->vertices[(i + 1) % outline->count];
        const double bulge = fabs(a.bulge), chord = hypot(b.x - a.x, b.y - a.y);
        if (bulge > 0.05)
            most = fmax(most, 0.02 * chord * (bulge + 1 / bulge) / 4);
    }
    return most;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const double tolerances[8] = {0.01, 1e-3, 1e-4, 0.1, 1, 1e-5, 3, 0.03};
    struct bytes bytes = {data, size};
    struct rab_curve curves[24];
    struct rab_outline outline = {0};
    struct rab_error err = {0};
    size_t count = 0;
    const unsigned how = next(&bytes);
    const double tolerance = tolerances[how & 7];
    const bool closed = how & 8;
    struct rab_point last = point(&bytes);

    while (bytes.left > 0 && count < 24) {
        struct rab_curve *c = &curves[count++];
        const unsigned kind = next(&bytes);
        *c = (struct rab_curve){RAB_CURVE_CUBIC, {last, {0, 0}, {0, 0}, {0, 0}}, 0, 0};
        if (kind % 8 == 0) {
            c->kind = RAB_CURVE_LINE;
            c->p[1] = point(&bytes);
        } else if (kind % 8 == 1) {
            c->kind = RAB_CURVE_ELLIPSE;
            c->p[1] = point(&bytes);
            c->p[2] = point(&bytes);
            c->from = (double)next(&bytes) / 16;
            c->to = c->from + ((double)(kind >> 3) - 15.5) / 2.6;
        } else {
            /* Often on smoothly from the curve before. */
            const struct rab_curve *before = count > 1 ? c - 1 : NULL;
            c->p[1] = point(&bytes);
            if (kind & 8 && before && before->kind == RAB_CURVE_CUBIC)
                c->p[1] = (struct rab_point){2 * last.x - before->p[2].x,
                                             2 * last.y - before->p[2].y};
            c->p[2] = point(&bytes);
            c->p[3] = point(&bytes);
        }
        last = rab_curve_end(c);
    }

    if (!rab_outline_fit(curves, count, closed, tolerance, &outline, &err)) {
        insist(err.fault != RAB_FAULT_NONE && err.text[0] != 0);
        insist(outline.vertices == NULL);
        return 0;
    }
    insist(outline.open == !closed);
    const double off = tolerance * (1 + 1e-9) + 1e-9 + drawn_for_arc(&outline);
    for (size_t i = 0; i < count; i++) {
        for (int j = 0; j <= 32; j++)
            insist(rab_outline_distance(&outline, at(&curves[i], j / 32.0), NULL) <= off);
    }
    rab_outline_clear(&outline);
    return 0;
}
