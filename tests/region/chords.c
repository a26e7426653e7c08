#include "chords.h"

#include <math.h>
#include <stdlib.h>

static void put_point(struct chords *out, struct rab_point p)
{
    if (out->count > 0 && out->points[out->count - 1].x == p.x &&
        out->points[out->count - 1].y == p.y)
        return;
    if (out->count == out->capacity) {
        out->capacity = out->capacity ? 2 * out->capacity : 64;
        out->points = realloc(out->points, out->capacity * sizeof *out->points);
        if (!out->points)
            abort();
    }
    out->points[out->count++] = p;
}

void chords_of(const struct rab_outline *outline, double sagitta, struct chords *out)
{
    struct edges edges = {0};
    brute_edges(outline, 1, &edges);
    for (size_t i = 0; i < edges.count; i++) {
        const struct edge *e = &edges.items[i];
        const double b = fabs(e->bulge), chord = hypot(e->b.x - e->a.x, e->b.y - e->a.y);
        size_t n = 1;
        put_point(out, e->a);
        if (b > 0) {
            /* One chord's sagitta is tan(angle/4) times half of it; splitting the angle in n makes
             * it n^2 times smaller, nearly: start there and go on until it holds. */
            const double r = chord * (1 + b * b) / (4 * b), angle = 4 * atan(b);
            const double whole = b > 1 ? r * angle * angle / 8 : b * chord / 2;
            n = (size_t)fmax(1, sqrt(whole / sagitta));
            while (n < 1000000 && tan(angle / 4 / (double)n) * r * sin(angle / 2 / (double)n) > sagitta)
                n++;
            const double part = angle / (double)n;
            const struct edge one = {
                {0, 0}, {2 * r * sin(part / 2), 0}, tan(part / 4)};
            out->segments += (double)n * fabs(brute_segment(&one));
            out->sagitta = fmax(out->sagitta, tan(part / 4) * r * sin(part / 2));
        }
        for (size_t k = 1; k < n; k++)
            put_point(out, brute_point(e, (double)k / (double)n, NULL));
    }
    while (out->count > 1 && out->points[0].x == out->points[out->count - 1].x &&
           out->points[0].y == out->points[out->count - 1].y)
        out->count--;
    brute_clear(&edges);
}

void chords_clear(struct chords *chords)
{
    free(chords->points);
    *chords = (struct chords){0};
}
