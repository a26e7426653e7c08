#include "arc.h"

struct arc arc_make(struct rab_vertex from, struct rab_point to)
{
    /* The height of an arc is half its bulge times its chord: a smaller one shows in no double. */
    const bool straight = fabs(from.bulge) < 1e-20;
    struct arc arc = {.a = {from.x, from.y}, .b = to, .bulge = straight ? 0 : from.bulge};
    const double dx = to.x - from.x, dy = to.y - from.y;

    arc.chord = hypot(dx, dy);
    if (arc.chord == 0)
        return arc;
    const double ux = dx / arc.chord, uy = dy / arc.chord;
    double sine, cosine;
    bulge_half_angle(arc.bulge, &sine, &cosine);
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

static struct rab_point turned(struct rab_point p, double sine, double cosine)
{
    return (struct rab_point){cosine * p.x - sine * p.y, sine * p.x + cosine * p.y};
}

struct rab_point arc_at(const struct arc *arc, double share, struct rab_point *tangent)
{
    /* The way from the nearer end is the chord of the part travelled. */
    const bool from_a = share <= 0.5;
    const double part = from_a ? share : share - 1;
    const struct rab_point end = from_a ? arc->a : arc->b, along = from_a ? arc->ta : arc->tb;

    if (arc->k == 0) {
        if (tangent)
            *tangent = along;
        return point_along(end, part * arc->chord, along);
    }
    const double half = part * 2 * atan(arc->bulge);
    if (tangent)
        *tangent = turned(along, sin(2 * half), cos(2 * half));
    return point_along(end, 2 * sin(half) / arc->k, turned(along, sin(half), cos(half)));
}

bool arc_faces(const struct arc *arc, struct rab_point point)
{
    const bool after_a = point_dot(arc->ta, point_minus(point, arc->a)) >= 0;
    const bool before_b = point_dot(arc->tb, point_minus(point, arc->b)) <= 0;
    /* Up to half a turn a sector is what both ends agree on, beyond it is all but the rest. */
    return fabs(arc->bulge) <= 1 ? after_a && before_b : after_a || before_b;
}

/* n - k u of the note above: the left normal where the circle is nearest, times distance from the
 * centre over radius. */
static struct rab_point normal_at(const struct arc *arc, struct rab_point u)
{
    return (struct rab_point){-arc->ta.y - arc->k * u.x, arc->ta.x - arc->k * u.y};
}

double arc_side(const struct arc *arc, struct rab_point point)
{
    const struct rab_point u = point_minus(point, arc->a);
    const double f = arc->k * point_dot(u, u) / 2 - point_cross(arc->ta, u);
    if (arc->k == 0)
        return f;
    /* The distance from the centre over the radius: 1 + 2kF is its square, but near the centre all
     * digits of that are lost. */
    const double along = arc->k * point_dot(arc->ta, u), up = 1 - arc->k * point_cross(arc->ta, u);
    return 2 * f / (1 + sqrt(along * along + up * up));
}

double arc_share(const struct arc *arc, struct rab_point point)
{
    if (!arc_faces(arc, point) || arc->chord == 0)
        return point_apart(point, arc->a) <= point_apart(point, arc->b) ? 0 : 1;

    const struct rab_point u = point_minus(point, arc->a);
    if (arc->k == 0)
        return point_dot(arc->ta, u) / arc->chord;
    const double angle =
        atan2(arc->k * point_dot(arc->ta, u), 1 - arc->k * point_cross(arc->ta, u));
    double share = angle / (4 * atan(arc->bulge));
    if (share < 0 && fabs(arc->bulge) > 1) /* more than half a turn */
        share += RAB_PI / (2 * atan(fabs(arc->bulge)));
    if (share < 0 || share > 1)
        return point_apart(point, arc->a) <= point_apart(point, arc->b) ? 0 : 1;
    return share;
}

void arc_split(const struct arc *arc, struct rab_point at, double *first, double *second)
{
    const double share = arc_share(arc, at), quarter = atan(arc->bulge);
    *first = tan(share * quarter);
    *second = tan((1 - share) * quarter);
}

double arc_distance(const struct arc *arc, struct rab_point point, struct rab_point *nearest)
{
    if (arc->chord > 0 && arc_faces(arc, point)) {
        const double side = arc_side(arc, point);
        if (nearest) {
            const struct rab_point n = normal_at(arc, point_minus(point, arc->a));
            const double length = hypot(n.x, n.y);
            /* From its centre every point of a circle is equally near. */
            *nearest = length > 0 ? point_along(point, side / length, n) : arc->a;
        }
        return fabs(side);
    }
    const double to_a = point_apart(point, arc->a), to_b = point_apart(point, arc->b);
    if (nearest)
        *nearest = to_a <= to_b ? arc->a : arc->b;
    return fmin(to_a, to_b);
}

/* Where the line through `at` along the unit direction d meets the full circle of an arc. */
static int line_meets_circle(const struct arc *arc, struct rab_point at, struct rab_point d,
                             struct rab_point meets[2])
{
    const struct rab_point u = point_minus(at, arc->a);
    const double a = arc->k / 2, b = -point_dot(normal_at(arc, u), d);
    const double c = arc->k * point_dot(u, u) / 2 - point_cross(arc->ta, u);
    const double inside = b * b - 4 * a * c;

    if (!(inside >= 0))
        return 0;
    const double q = -(b + copysign(sqrt(inside), b)) / 2; /* loses no digits in either root */
    meets[0] = point_along(at, q / a, d);
    meets[1] = q == 0 ? meets[0] : point_along(at, c / q, d);
    return 2;
}

/* Where two full circles or lines meet; q is the one with the greater curvature. */
static int circles_meet(const struct arc *p, const struct arc *q, struct rab_point meets[2])
{
    const struct rab_point d = point_minus(q->a, p->a);

    if (q->k == 0) {
        const double cross = point_cross(p->ta, q->ta);
        if (cross == 0)
            return 0;
        meets[0] = point_along(p->a, point_cross(d, q->ta) / cross, p->ta);
        return 1;
    }
    if (p->k == 0)
        return line_meets_circle(q, p->a, p->ta, meets);

    /* kq Fp - kp Fq is a linear function: the line of equal powers, w.u = kp Fq(start of p). */
    const struct rab_point np = point_left(p->ta), nq = point_left(q->ta);
    const struct rab_point w = {p->k * q->k * d.x + p->k * nq.x - q->k * np.x,
                                p->k * q->k * d.y + p->k * nq.y - q->k * np.y};
    const double length = hypot(w.x, w.y);
    const double power = q->k * point_dot(d, d) / 2 + point_dot(nq, d);
    if (length == 0)
        return 0; /* concentric */
    const struct rab_point unit = {w.x / length, w.y / length};
    return line_meets_circle(q, point_along(p->a, p->k * power / length, unit), point_left(unit),
                             meets);
}

struct closest {
    double distance;
    struct rab_point on_p, on_q;
};

static void keep(struct closest *best, double distance, struct rab_point on_p,
                 struct rab_point on_q)
{
    if (distance < best->distance)
        *best = (struct closest){distance, on_p, on_q};
}

/* Both ends of p against q, or with the roles changed. */
static void try_ends(struct closest *best, const struct arc *p, const struct arc *q, bool changed)
{
    const struct rab_point ends[2] = {p->a, p->b};
    for (int i = 0; i < 2; i++) {
        struct rab_point near;
        const double distance = arc_distance(q, ends[i], &near);
        keep(best, distance, changed ? near : ends[i], changed ? ends[i] : near);
    }
}

/* A crossing of the full circles. Among nearly straight arcs it comes out coarse, so it is walked
 * along the tangents (Newton's method) until it is as near to both as it gets. */
static void try_crossing(struct closest *best, const struct arc *p, const struct arc *q,
                         struct rab_point at)
{
    for (int step = 0; step < 4 && arc_faces(p, at) && arc_faces(q, at); step++) {
        struct rab_point on_p, on_q;
        (void)arc_distance(p, at, &on_p);
        (void)arc_distance(q, at, &on_q);
        keep(best, point_apart(on_p, on_q), on_p, on_q);

        const struct rab_point np = normal_at(p, point_minus(on_p, p->a));
        const struct rab_point nq = normal_at(q, point_minus(on_q, q->a));
        const double cross = point_cross(np, nq);
        if (cross == 0)
            return;
        const double s = point_dot(nq, point_minus(on_q, on_p)) / cross;
        at = (struct rab_point){on_p.x - s * np.y, on_p.y + s * np.x};
    }
}

/* Where the line through the centre of q meets the full circle of p: only there, at crossings and
 * at ends can two arcs be nearest. */
static void try_normals(struct closest *best, const struct arc *p, const struct arc *q)
{
    const struct rab_point centre = arc_centre(q);
    const struct rab_point n = normal_at(p, point_minus(centre, p->a));
    const double length = hypot(n.x, n.y);
    if (length == 0)
        return; /* concentric: the ends tell */

    const struct rab_point unit = {n.x / length, n.y / length};
    struct rab_point feet[2];
    int count = 1;
    feet[0] = point_along(centre, arc_side(p, centre), unit);
    if (p->k != 0)
        feet[count++] = point_along(feet[0], 2 / p->k, unit);
    for (int i = 0; i < count; i++) {
        if (!arc_faces(p, feet[i]))
            continue;
        struct rab_point on_p, on_q;
        (void)arc_distance(p, feet[i], &on_p);
        const double distance = arc_distance(q, on_p, &on_q);
        keep(best, distance, on_p, on_q);
    }
}

double arc_gap(const struct arc *p, const struct arc *q, struct rab_point *on_p,
               struct rab_point *on_q)
{
    const bool changed = fabs(p->k) > fabs(q->k);
    struct closest best = {.distance = HUGE_VAL};

    try_ends(&best, p, q, false);
    try_ends(&best, q, p, true);
    if (p->chord > 0 && q->chord > 0) {
        /* From here on q has the greater curvature. */
        const struct arc *flat = changed ? q : p, *round = changed ? p : q;
        struct rab_point meets[2];
        struct closest inner = {.distance = best.distance};
        const int count = circles_meet(flat, round, meets);
        for (int i = 0; i < count; i++)
            try_crossing(&inner, flat, round, meets[i]);
        if (round->k != 0)
            try_normals(&inner, flat, round);
        if (inner.distance < best.distance)
            best = changed ? (struct closest){inner.distance, inner.on_q, inner.on_p} : inner;
    }

    /* What is left of a crossing after rounding. */
    const double rounding =
        4e-16 * (fabs(best.on_p.x) + fabs(best.on_p.y) + p->chord + q->chord +
                 arc_radius(p) * (fabs(p->bulge) > 1) + arc_radius(q) * (fabs(q->bulge) > 1));
    if (best.distance <= 8 * rounding) {
        best.distance = 0;
        best.on_q = best.on_p;
    }
    *on_p = best.on_p;
    *on_q = best.on_q;
    return best.distance;
}
