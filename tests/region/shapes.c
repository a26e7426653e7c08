#include "shapes.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void out_of_memory(void)
{
    fputs("tests/region/shapes: out of memory\n", stderr);
    exit(3);
}

void shapes_clear(struct shapes *list)
{
    for (size_t i = 0; i < list->count; i++)
        free(list->items[i].vertices);
    free(list->items);
    *list = (struct shapes){0};
}

struct rab_outline *shapes_next(struct shapes *list)
{
    if (list->count == list->capacity) {
        const size_t capacity = list->capacity ? 2 * list->capacity : 4;
        struct rab_outline *items = realloc(list->items, capacity * sizeof *items);
        if (!items)
            out_of_memory();
        list->items = items;
        list->capacity = capacity;
    }
    list->items[list->count] = (struct rab_outline){0};
    return &list->items[list->count++];
}

void shapes_copy(const struct shapes *in, struct shapes *out)
{
    for (size_t i = 0; i < in->count; i++) {
        struct rab_outline *copy = shapes_next(out);
        for (size_t k = 0; k < in->items[i].count; k++) {
            const struct rab_vertex v = in->items[i].vertices[k];
            put(copy, v.x, v.y, v.bulge);
        }
        copy->open = in->items[i].open;
    }
}

void put(struct rab_outline *outline, double x, double y, double bulge)
{
    if (outline->count == outline->capacity) {
        const size_t capacity = outline->capacity ? 2 * outline->capacity : 8;
        struct rab_vertex *vertices = realloc(outline->vertices, capacity * sizeof *vertices);
        if (!vertices)
            out_of_memory();
        outline->vertices = vertices;
        outline->capacity = capacity;
    }
    outline->vertices[outline->count++] = (struct rab_vertex){x, y, bulge};
}

void reverse_last(struct shapes *list)
{
    struct rab_outline *o = &list->items[list->count - 1];
    struct rab_vertex *v = o->vertices;
    const size_t n = o->count;

    for (size_t i = 0; i < n / 2; i++) {
        const struct rab_vertex swap = v[i];
        v[i] = v[n - 1 - i];
        v[n - 1 - i] = swap;
    }
    /* The bulge belongs to the way to the next vertex: it moves by one place. */
    const double first = n ? v[0].bulge : 0;
    for (size_t i = 0; i + 1 < n; i++)
        v[i].bulge = -v[i + 1].bulge;
    if (n)
        v[n - 1].bulge = -first;
}

void shapes_place(struct shapes *list, double turn, double scale, double dx, double dy)
{
    const double c = cos(turn), s = sin(turn);

    for (size_t i = 0; i < list->count; i++)
        for (size_t k = 0; k < list->items[i].count; k++) {
            struct rab_vertex *v = &list->items[i].vertices[k];
            const double x = turn != 0 ? c * v->x - s * v->y : v->x;
            const double y = turn != 0 ? s * v->x + c * v->y : v->y;
            v->x = scale * x + dx;
            v->y = scale * y + dy;
        }
}

void add_polygon(struct shapes *list, size_t count, const struct rab_point *points)
{
    struct rab_outline *o = shapes_next(list);
    for (size_t i = 0; i < count; i++)
        put(o, points[i].x, points[i].y, 0);
}

void add_rectangle(struct shapes *list, double x0, double y0, double x1, double y1)
{
    struct rab_outline *o = shapes_next(list);
    put(o, x0, y0, 0);
    put(o, x1, y0, 0);
    put(o, x1, y1, 0);
    put(o, x0, y1, 0);
}

/* tan(90 degrees / 4) */
#define QUARTER (sqrt(2.0) - 1.0)

void add_rounded(struct shapes *list, double x0, double y0, double x1, double y1, double radius)
{
    struct rab_outline *o = shapes_next(list);
    put(o, x0 + radius, y0, 0);
    put(o, x1 - radius, y0, QUARTER);
    put(o, x1, y0 + radius, 0);
    put(o, x1, y1 - radius, QUARTER);
    put(o, x1 - radius, y1, 0);
    put(o, x0 + radius, y1, QUARTER);
    put(o, x0, y1 - radius, 0);
    put(o, x0, y0 + radius, QUARTER);
}

void add_circle(struct shapes *list, double x, double y, double radius)
{
    struct rab_outline *o = shapes_next(list);
    put(o, x - radius, y, 1);
    put(o, x + radius, y, 1);
}

void add_regular(struct shapes *list, size_t corners, double x, double y, double radius,
                 double turn)
{
    add_star(list, corners, 1, x, y, radius, turn);
}

void add_star(struct shapes *list, size_t n, size_t k, double x, double y, double radius,
              double turn)
{
    struct rab_outline *o = shapes_next(list);
    for (size_t i = 0; i < n; i++) {
        const double angle = turn + 2 * RAB_PI * (double)((i * k) % n) / (double)n;
        put(o, x + radius * cos(angle), y + radius * sin(angle), 0);
    }
}

void add_arch(struct shapes *list, double x, double y, double width, double to_springing)
{
    struct rab_outline *o = shapes_next(list);
    put(o, x, y, 0);
    put(o, x + width, y, 0);
    put(o, x + width, y + to_springing, 1);
    put(o, x, y + to_springing, 0);
}

void add_lancet(struct shapes *list, double x, double y, double width, double to_springing,
                double sharp)
{
    struct rab_outline *o = shapes_next(list);
    /* The right arc is centred on the springing line, r to the left of the right springer. */
    const double r = sharp * width, across = r - width / 2;
    const double angle = acos(across / r);

    put(o, x, y, 0);
    put(o, x + width, y, 0);
    put(o, x + width, y + to_springing, tan(angle / 4));
    put(o, x + width / 2, y + to_springing + sqrt(r * r - across * across), tan(angle / 4));
    put(o, x, y + to_springing, 0);
}

void add_stadium(struct shapes *list, double x, double y, double length, double radius)
{
    struct rab_outline *o = shapes_next(list);
    put(o, x - length / 2, y - radius, 0);
    put(o, x + length / 2, y - radius, 1);
    put(o, x + length / 2, y + radius, 0);
    put(o, x - length / 2, y + radius, 1);
}

void add_reuleaux(struct shapes *list, double x, double y, double width)
{
    struct rab_outline *o = shapes_next(list);
    const double out = width / sqrt(3.0), bulge = tan(RAB_PI / 12);
    for (int i = 0; i < 3; i++) {
        const double angle = RAB_PI / 2 + 2 * RAB_PI * i / 3;
        put(o, x + out * cos(angle), y + out * sin(angle), bulge);
    }
}

void add_foil(struct shapes *list, size_t lobes, double x, double y, double out, double radius,
              double turn)
{
    struct rab_outline *o = shapes_next(list);
    const double half = RAB_PI / (double)lobes;
    /* The cusp lies on the line between two lobes, on both circles, further out. */
    const double cusp = out * cos(half) + sqrt(radius * radius - pow(out * sin(half), 2));
    /* Half the arc's angle as seen from the lobe's centre. */
    const double swept = atan2(cusp * sin(half), cusp * cos(half) - out);

    for (size_t i = 0; i < lobes; i++) {
        const double angle = turn + 2 * half * (double)i - half;
        put(o, x + cusp * cos(angle), y + cusp * sin(angle), tan(swept / 2));
    }
}

void add_quatrefoil(struct shapes *list, double x, double y, double side)
{
    struct rab_outline *o = shapes_next(list);
    put(o, x - side / 2, y - side / 2, 1);
    put(o, x + side / 2, y - side / 2, 1);
    put(o, x + side / 2, y + side / 2, 1);
    put(o, x - side / 2, y + side / 2, 1);
}

void add_band(struct shapes *list, double x, double y, double inner, double outer, double a0,
              double a1)
{
    struct rab_outline *o = shapes_next(list);
    const double bulge = tan((a1 - a0) / 4);
    put(o, x + inner * cos(a0), y + inner * sin(a0), 0);
    put(o, x + outer * cos(a0), y + outer * sin(a0), bulge);
    put(o, x + outer * cos(a1), y + outer * sin(a1), 0);
    put(o, x + inner * cos(a1), y + inner * sin(a1), -bulge);
}

void add_scalloped(struct shapes *list, double x, double y, double side, size_t per_side,
                   double depth)
{
    struct rab_outline *o = shapes_next(list);
    const double pitch = side / (double)per_side, bulge = 2 * depth / pitch;

    for (size_t i = 0; i < per_side; i++)
        put(o, x + pitch * (double)i, y, bulge);
    for (size_t i = 0; i < per_side; i++)
        put(o, x + side, y + pitch * (double)i, bulge);
    for (size_t i = 0; i < per_side; i++)
        put(o, x + side - pitch * (double)i, y + side, bulge);
    for (size_t i = 0; i < per_side; i++)
        put(o, x, y + side - pitch * (double)i, bulge);
}

/* Two arcs from p to q that leave p along u and arrive at q along v (unit vectors), with equal
 * tangent lengths. Source: Bolton, Biarc curves, Computer-Aided Design 1975 (from memory);
 * tangency of the result is what its use here needs, and the tests measure it. */
static void put_biarc(struct rab_outline *o, struct rab_point p, struct rab_point u,
                      struct rab_point q, struct rab_point v)
{
    const double wx = q.x - p.x, wy = q.y - p.y;
    const double tx = u.x + v.x, ty = u.y + v.y;
    const double wt = wx * tx + wy * ty, ww = wx * wx + wy * wy;
    const double uv = 1 - (u.x * v.x + u.y * v.y);
    /* 2 d^2 (1 - u.v) + 2 d w.t - w.w = 0, in the form that stays exact for u = v */
    const double d = ww / (wt + sqrt(wt * wt + 2 * uv * ww));
    const double jx = (p.x + q.x + d * (u.x - v.x)) / 2, jy = (p.y + q.y + d * (u.y - v.y)) / 2;
    const double ax = jx - p.x, ay = jy - p.y, bx = q.x - jx, by = q.y - jy;
    const double first = 2 * atan2(u.x * ay - u.y * ax, u.x * ax + u.y * ay);
    const double second = 2 * atan2(bx * v.y - by * v.x, bx * v.x + by * v.y);

    put(o, p.x, p.y, tan(first / 4));
    put(o, jx, jy, tan(second / 4));
}

void add_blob(struct shapes *list, size_t pairs, double x, double y, double r, double wave,
              unsigned lobes, double phase)
{
    struct rab_outline *o = shapes_next(list);
    struct rab_point p = {0, 0}, u = {0, 0};

    for (size_t i = 0; i <= pairs; i++) {
        /* The last point is the first one, to the bit. */
        const double t = 2 * RAB_PI * (double)(i % pairs) / (double)pairs;
        const double turn = (double)lobes * t + phase;
        const double s = r + wave * cos(turn), slope = -wave * (double)lobes * sin(turn);
        const struct rab_point q = {x + s * cos(t), y + s * sin(t)};
        const double vx = slope * cos(t) - s * sin(t), vy = slope * sin(t) + s * cos(t);
        const double length = hypot(vx, vy);
        const struct rab_point v = {vx / length, vy / length};

        if (i > 0)
            put_biarc(o, p, u, q, v);
        p = q;
        u = v;
    }
}

uint64_t seeded_next(struct seeded *numbers)
{
    uint64_t z = numbers->state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

double seeded_real(struct seeded *numbers, double low, double high)
{
    return low + (high - low) * ((double)(seeded_next(numbers) >> 11) * 0x1p-53);
}

int seeded_int(struct seeded *numbers, int low, int high)
{
    return low + (int)(seeded_next(numbers) % (uint64_t)(high - low + 1));
}
