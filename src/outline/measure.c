#include <math.h>

#include "arc.h"

/*
 * The piece between a chord of length 1 and its arc, by Green's theorem: area f and first moment
 * m about the chord.
 *
 *   f = (t - sin t) / (8 sin^2(t/2)) = ((1 + q)^2 atan b - b (1 - q)) / (8 q),    q = b^2
 *   m = 1/12 - (1 - q) (f/b) / 4
 *
 * Near a straight line both lose their digits; there their series is used,
 *   f/b = 1/3 + q/15 - q^2/105 + ..., the general term (-1)^(i+1) q^i / ((2i+3) (2i+1) (2i-1)).
 */
static void segment_of_unit_chord(double bulge, double *area, double *moment)
{
    const double q = bulge * bulge;

    if (q <= 1.0 / 16) {
        double f = 0, m = 0, power = 1, before = 0, sign = -1;
        for (int i = 0; i < 13; i++) {
            const double term = sign / ((2 * i + 3) * (2 * i + 1) * (2.0 * i - 1));
            f += term * power;
            if (i > 0)
                m += (before - term) * power;
            before = term;
            power *= q;
            sign = -sign;
        }
        *area = bulge * f;
        *moment = m / 4;
    } else {
        const double f = ((1 + q) * (1 + q) * atan(bulge) - bulge * (1 - q)) / (8 * q);
        *area = f;
        *moment = 1.0 / 12 - (1 - q) * (f / bulge) / 4;
    }
}

/* Area and first moments about the first vertex, which keeps digits far from the origin. */
static void integrate(const struct rab_outline *outline, double *area, struct rab_point *moments)
{
    double sum = 0, mx = 0, my = 0;
    const size_t n = outline->count;

    for (size_t i = 0; i < n; i++) {
        const struct rab_vertex o = outline->vertices[0], a = outline->vertices[i];
        const struct rab_vertex b = outline->vertices[i + 1 < n ? i + 1 : 0];
        const double ax = a.x - o.x, ay = a.y - o.y, bx = b.x - o.x, by = b.y - o.y;
        const double triangle = (ax * by - ay * bx) / 2;
        sum += triangle;
        mx += triangle * (ax + bx) / 3;
        my += triangle * (ay + by) / 3;
        if (a.bulge == 0 || (outline->open && i + 1 == n))
            continue;
        const double dx = bx - ax, dy = by - ay, c2 = dx * dx + dy * dy;
        double segment, moment;
        segment_of_unit_chord(a.bulge, &segment, &moment);
        sum += segment * c2;
        mx += segment * c2 * (ax + bx) / 2 + moment * c2 * dy;
        my += segment * c2 * (ay + by) / 2 - moment * c2 * dx;
    }
    *area = sum;
    *moments = (struct rab_point){mx, my};
}

double rab_outline_area(const struct rab_outline *outline)
{
    double area;
    struct rab_point moments;
    integrate(outline, &area, &moments);
    return area;
}

struct rab_point rab_outline_centroid(const struct rab_outline *outline)
{
    double area;
    struct rab_point moments;
    const struct rab_box box = rab_outline_box(outline);

    if (outline->count == 0)
        return (struct rab_point){0, 0};
    integrate(outline, &area, &moments);
    const struct rab_vertex o = outline->vertices[0];
    const struct rab_point centroid = {o.x + moments.x / area, o.y + moments.y / area};
    /* What encloses nothing has no centroid; the middle of its box serves people as well. A figure
     * of eight may balance anywhere and is left alone. */
    if (area == 0 || !isfinite(centroid.x) || !isfinite(centroid.y))
        return (struct rab_point){(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2};
    return centroid;
}

double rab_outline_perimeter(const struct rab_outline *outline)
{
    double sum = 0;
    const size_t edges = arc_count(outline);
    for (size_t i = 0; i < edges; i++) {
        const struct arc arc = arc_of(outline, i);
        sum += arc_length(&arc);
    }
    return sum;
}

struct rab_box rab_box_join(struct rab_box a, struct rab_box b)
{
    return (struct rab_box){fmin(a.x0, b.x0), fmin(a.y0, b.y0), fmax(a.x1, b.x1), fmax(a.y1, b.y1)};
}

/*
 * How far a counter-clockwise arc reaches along the outward normal of the unit direction d, beyond
 * its start; less than 0 when it never runs in that direction. The first sector is less than half
 * a turn; a longer arc runs in the direction unless the rest of its circle does.
 */
static double reach(const struct arc *arc, struct rab_point d)
{
    const double from = point_cross(arc->ta, d), to = point_cross(d, arc->tb);
    const bool runs = fabs(arc->bulge) <= 1 ? from > 0 && to > 0 : from > 0 || to > 0;
    if (!runs)
        return -1;
    const double cosine = point_dot(arc->ta, d);
    return (cosine > 0 ? from * from / (1 + cosine) : 1 - cosine) / arc->k;
}

struct rab_box rab_box_arc(struct rab_vertex a, struct rab_point b)
{
    struct rab_box box = {fmin(a.x, b.x), fmin(a.y, b.y), fmax(a.x, b.x), fmax(a.y, b.y)};

    if (a.bulge == 0)
        return box;
    const struct arc arc = a.bulge > 0 ? arc_make(a, b)
                                       : arc_make((struct rab_vertex){b.x, b.y, -a.bulge},
                                                  (struct rab_point){a.x, a.y});
    if (arc.k == 0)
        return box;
    const double right = reach(&arc, (struct rab_point){0, 1});
    const double top = reach(&arc, (struct rab_point){-1, 0});
    const double left = reach(&arc, (struct rab_point){0, -1});
    const double bottom = reach(&arc, (struct rab_point){1, 0});
    if (right > 0)
        box.x1 = fmax(box.x1, arc.a.x + right);
    if (top > 0)
        box.y1 = fmax(box.y1, arc.a.y + top);
    if (left > 0)
        box.x0 = fmin(box.x0, arc.a.x - left);
    if (bottom > 0)
        box.y0 = fmin(box.y0, arc.a.y - bottom);
    return box;
}

struct rab_box rab_outline_box(const struct rab_outline *outline)
{
    struct rab_box box = RAB_BOX_EMPTY;
    const size_t n = outline->count;

    for (size_t i = 0; i < n; i++) {
        const struct rab_vertex a = outline->vertices[i];
        const struct rab_vertex b = outline->vertices[i + 1 < n ? i + 1 : 0];
        if (outline->open && i + 1 == n)
            box = rab_box_join(box, (struct rab_box){a.x, a.y, a.x, a.y});
        else
            box = rab_box_join(box, rab_box_arc(a, (struct rab_point){b.x, b.y}));
    }
    return box;
}
