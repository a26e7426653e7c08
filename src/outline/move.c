#include <math.h>

#include "rabbet/outline.h"

void rab_outline_move(struct rab_outline *outline, double dx, double dy)
{
    for (size_t i = 0; i < outline->count; i++) {
        outline->vertices[i].x += dx;
        outline->vertices[i].y += dy;
    }
}

void rab_outline_turn(struct rab_outline *outline, double angle, struct rab_point about)
{
    const double c = cos(angle), s = sin(angle);
    for (size_t i = 0; i < outline->count; i++) {
        struct rab_vertex *v = &outline->vertices[i];
        const double x = v->x - about.x, y = v->y - about.y;
        v->x = about.x + c * x - s * y;
        v->y = about.y + s * x + c * y;
    }
}

void rab_outline_scale(struct rab_outline *outline, double factor, struct rab_point about)
{
    for (size_t i = 0; i < outline->count; i++) {
        struct rab_vertex *v = &outline->vertices[i];
        v->x = about.x + factor * (v->x - about.x);
        v->y = about.y + factor * (v->y - about.y);
    }
}

void rab_outline_mirror(struct rab_outline *outline, double x)
{
    for (size_t i = 0; i < outline->count; i++) {
        outline->vertices[i].x = 2 * x - outline->vertices[i].x;
        outline->vertices[i].bulge = -outline->vertices[i].bulge;
    }
    rab_outline_reverse(outline);
}

void rab_outline_reverse(struct rab_outline *outline)
{
    const size_t n = outline->count;
    struct rab_vertex *v = outline->vertices;

    if (n == 0)
        return;
    for (size_t i = 0; i < n / 2; i++) {
        const struct rab_vertex kept = v[i];
        v[i] = v[n - 1 - i];
        v[n - 1 - i] = kept;
    }
    /* A bulge stood at the start of its way and now stands at the end: one place on, and turned. */
    const double first = v[0].bulge;
    for (size_t i = 0; i + 1 < n; i++)
        v[i].bulge = -v[i + 1].bulge;
    v[n - 1].bulge = -first;
}
