#include "arc.h"

struct arc arc_make(struct rab_vertex from, struct rab_point to)
{
    struct arc arc = {.a = {from.x, from.y}, .b = to, .bulge = from.bulge};
    const double dx = to.x - from.x, dy = to.y - from.y;

    arc.chord = hypot(dx, dy);
    if (arc.chord == 0)
        return arc;
    const double ux = dx / arc.chord, uy = dy / arc.chord;
    double sine, cosine;
    bulge_half_angle(from.bulge, &sine, &cosine);
    arc.ta = (struct rab_point){ux * cosine + uy * sine, uy * cosine - ux * sine};
    arc.tb = (struct rab_point){ux * cosine - uy * sine, uy * cosine + ux * sine};
    arc.k = 2 * sine / arc.chord;
    return arc;
}

struct arc arc_of(const struct rab_outline *outline, size_t i)
{
    const struct rab_vertex b = outline->vertices[i + 1 < outline->count ? i + 1 : 0];
    return arc_make(outline->vertices[i], (struct rab_point){b.x, b.y});
}

size_t arc_count(const struct rab_outline *outline)
{
    return outline->count - (outline->open && outline->count > 0);
}

double arc_length(const struct arc *arc)
{
    const double b = fabs(arc->bulge);
    if (b == 0)
        return arc->chord;
    return arc->chord * (1 / b + b) * atan(b); /* r t, with r = c (1/b + b) / 4, t = 4 atan b */
}

double arc_radius(const struct arc *arc)
{
    return arc->k == 0 ? 0 : 1 / fabs(arc->k);
}

struct rab_point arc_centre(const struct arc *arc)
{
    /* From the chord's middle: no digit is lost when the arc is about half a turn. */
    double sine, cosine;
    bulge_half_angle(arc->bulge, &sine, &cosine);
    const struct rab_point d = point_minus(arc->b, arc->a);
    const struct rab_point middle = {(arc->a.x + arc->b.x) / 2, (arc->a.y + arc->b.y) / 2};
    return point_along(middle, cosine / (2 * sine), point_left(d));
}
