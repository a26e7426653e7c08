/*
 * From curves as they are given to pieces that follow each other: lines, arcs that were written as
 * such or as Bezier curves, and cubics.
 */
#include <stdlib.h>

#include "pieces.h"

struct gather {
    struct pieces made;
    struct rab_point first, pen; /* where the chain starts, and how far it has come */
    bool begun;
    double tolerance;
    double crumb; /* what is no larger is nothing, whether a piece or a gap */
    struct rab_error *err;
};

static bool add_piece(struct gather *g, const struct piece *piece)
{
    void *items = g->made.items;
    if (!rab_reserve(&items, &g->made.capacity, g->made.count + 1, sizeof *g->made.items, g->err))
        return false;
    g->made.items = items;
    g->made.items[g->made.count++] = *piece;
    g->pen = piece->b;
    return true;
}

static struct piece line_piece(struct rab_point a, struct rab_point b)
{
    const double length = point_apart(a, b);
    const struct rab_point along = {(b.x - a.x) / length, (b.y - a.y) / length};
    return (struct piece){.kind = PIECE_LINE, .a = a, .b = b, .ta = along, .tb = along};
}

static struct piece arc_piece(struct rab_point a, struct rab_point b, double bulge)
{
    const struct arc arc = arc_make((struct rab_vertex){a.x, a.y, bulge}, b);
    return (struct piece){
        .kind = PIECE_ARC, .a = a, .b = b, .ta = arc.ta, .tb = arc.tb, .bulge = bulge};
}

static bool add_line(struct gather *g, struct rab_point to)
{
    if (point_apart(g->pen, to) <= g->crumb)
        return true;
    const struct piece piece = line_piece(g->pen, to);
    return add_piece(g, &piece);
}

static bool add_arc(struct gather *g, struct rab_point to, double bulge)
{
    if (point_apart(g->pen, to) * fmax(1, fabs(bulge)) <= g->crumb)
        return true;
    const struct piece piece = arc_piece(g->pen, to, bulge);
    return add_piece(g, &piece);
}

/* The start of a piece moved by a crumb. */
static void shift_start(struct piece *piece, struct rab_point to)
{
    const struct rab_point by = point_minus(to, piece->a);
    if (by.x == 0 && by.y == 0)
        return;
    if (piece->kind == PIECE_LINE && !piece->loose) {
        *piece = line_piece(to, piece->b);
    } else if (piece->kind == PIECE_ARC && !piece->loose) {
        *piece = arc_piece(to, piece->b, piece->bulge);
    } else {
        piece->a = to;
        piece->cubic.p[0] = to;
        piece->cubic.p[1] = point_along(piece->cubic.p[1], 1, by);
    }
}

/* Parameters strictly inside at which the speed is least (at most two): zeros of C'.C'', which is
 * of degree 3, found by halving between the zeros of its derivatives. */
static int slowest(const struct cubic *cubic, double found[2])
{
    const struct cubic_spot start = cubic_spot(cubic, 0);
    const struct rab_point a = {start.d3.x / 2, start.d3.y / 2}; /* C' = a t^2 + b t + c */
    const struct rab_point b = start.d2, c = start.d1;
    const double k3 = 2 * point_dot(a, a), k2 = 3 * point_dot(a, b);
    const double k1 = 2 * point_dot(a, c) + point_dot(b, b), k0 = point_dot(b, c);
    double cuts[4] = {0};
    int parts = 1, count = 0;

    /* Between the extremes of k3 t^3 + ... + k0 it is monotone. */
    const double inside = k2 * k2 - 3 * k3 * k1;
    if (inside > 0) {
        const double q = -(k2 + copysign(sqrt(inside), k2));
        double first = k3 != 0 ? q / (3 * k3) : -1, second = q != 0 ? k1 / q : -1;
        if (first > second) {
            const double kept = first;
            first = second;
            second = kept;
        }
        if (first > 0 && first < 1)
            cuts[parts++] = first;
        if (second > 0 && second < 1)
            cuts[parts++] = second;
    }
    cuts[parts] = 1;
    for (int i = 0; i < parts; i++) {
        double low = cuts[i], high = cuts[i + 1];
        const double at_low = ((k3 * low + k2) * low + k1) * low + k0;
        const double at_high = ((k3 * high + k2) * high + k1) * high + k0;
        if (!(at_low < 0 && at_high >= 0)) /* a minimum: from falling to rising */
            continue;
        for (int round = 0; round < 60; round++) {
            const double t = (low + high) / 2;
            if (((k3 * t + k2) * t + k1) * t + k0 < 0)
                low = t;
            else
                high = t;
        }
        if (count < 2 && low > 1e-9 && low < 1 - 1e-9)
            found[count++] = (low + high) / 2;
    }
    return count;
}

static bool add_whole_cubic(struct gather *g, const struct cubic *cubic)
{
    struct piece piece;
    if (cubic_size(cubic) <= g->crumb)
        return true;
    piece_recognise(cubic, g->tolerance, &piece);
    shift_start(&piece, g->pen);
    return add_piece(g, &piece);
}

/* A cubic whose points are all in line goes along it, and may turn back twice. */
static bool is_straight(const struct cubic *cubic, struct rab_point *along)
{
    const double size = cubic_size(cubic);
    for (int i = 1; i < 4; i++) {
        *along = point_minus(cubic->p[i], cubic->p[0]);
        if (hypot(along->x, along->y) >= size)
            break;
    }
    for (int i = 1; i < 4; i++) {
        if (fabs(point_cross(*along, point_minus(cubic->p[i], cubic->p[0]))) > 1e-9 * size * size)
            return false;
    }
    return true;
}

static bool add_straight(struct gather *g, const struct cubic *cubic, struct rab_point along)
{
    const struct rab_point *p = cubic->p;
    const double e0 = point_dot(along, point_minus(p[1], p[0]));
    const double e1 = point_dot(along, point_minus(p[2], p[1]));
    const double e2 = point_dot(along, point_minus(p[3], p[2]));
    /* The speed along the line: e0 (1 - t)^2 + 2 e1 t (1 - t) + e2 t^2. */
    const double a = e0 - 2 * e1 + e2, b = 2 * (e1 - e0), inside = b * b - 4 * a * e0;

    if (inside > 0) {
        const double q = -(b + copysign(sqrt(inside), b)) / 2;
        const double r0 = a != 0 ? q / a : -1, r1 = q != 0 ? e0 / q : -1;
        const double turns[2] = {fmin(r0, r1), fmax(r0, r1)};
        for (int i = 0; i < 2; i++) {
            if (turns[i] > 0 && turns[i] < 1 && !add_line(g, cubic_at(cubic, turns[i])))
                return false;
        }
    }
    return add_line(g, p[3]);
}

/* A cusp turns the direction about in no space at all: there a curve ends and another begins. Its
 * very tip, no more than a crumb, is left out; without it both directions are plain. */
static bool add_cubic(struct gather *g, const struct cubic *cubic)
{
    double stops[2], from = 0;
    struct rab_point along;

    if (is_straight(cubic, &along))
        return add_straight(g, cubic, along);
    const int count = slowest(cubic, stops);
    for (int i = 0; i < count; i++) {
        const struct cubic_spot spot = cubic_spot(cubic, stops[i]);
        const double turning = hypot(spot.d2.x, spot.d2.y);
        const double tip = sqrt(g->crumb / turning); /* at both sides; half a crumb of way */
        /* The speed squared over the second derivative is the radius of curvature. */
        if (point_dot(spot.d1, spot.d1) > 0.01 * g->crumb * turning ||
            hypot(spot.d3.x, spot.d3.y) * tip > turning || stops[i] - tip <= from ||
            stops[i] + tip >= 1)
            continue;
        const struct cubic part = cubic_part(cubic, from, stops[i] - tip);
        if (!add_whole_cubic(g, &part))
            return false;
        from = stops[i] + tip;
    }
    const struct cubic rest = cubic_part(cubic, from, 1);
    return add_whole_cubic(g, &rest);
}

static struct rab_point ellipse_at(const struct rab_curve *curve, double angle)
{
    struct rab_curve until = *curve;
    until.to = angle;
    return rab_curve_end(&until);
}

/* A circle, that is: half-diameters equal and at right angles, up to what editors round. */
static bool add_circle(struct gather *g, const struct rab_curve *curve)
{
    const double turn = curve->to - curve->from;
    const double swept = point_cross(curve->p[1], curve->p[2]) > 0 ? turn : -turn;
    const int parts = fabs(turn) > 1.5 * RAB_PI ? 2 : 1; /* bulges stay moderate */
    for (int i = 1; i <= parts; i++) {
        const struct rab_point to =
            i == parts ? rab_curve_end(curve) : ellipse_at(curve, curve->from + turn / 2);
        if (!add_arc(g, to, tan(swept / parts / 4)))
            return false;
    }
    return true;
}

/* An ellipse without width: back and forth on a line, turning where it is furthest out. */
static bool add_flat_ellipse(struct gather *g, const struct rab_curve *curve)
{
    const struct rab_point u = curve->p[1], v = curve->p[2];
    const bool along_u = point_dot(u, u) >= point_dot(v, v);
    const double furthest =
        along_u ? atan2(point_dot(v, u), point_dot(u, u)) : atan2(point_dot(v, v), point_dot(u, v));
    const bool forth = curve->to >= curve->from;
    const double before = (curve->from - furthest) / RAB_PI;
    double half = forth ? floor(before) + 1 : ceil(before) - 1;

    for (;; half += forth ? 1 : -1) { /* three times at most: once round is checked */
        const double angle = furthest + half * RAB_PI;
        if (forth ? angle >= curve->to : angle <= curve->to)
            break;
        if (!add_line(g, ellipse_at(curve, angle)))
            return false;
    }
    return add_line(g, rab_curve_end(curve));
}

static bool add_ellipse(struct gather *g, const struct rab_curve *curve)
{
    const struct rab_point u = curve->p[1], v = curve->p[2];
    const double ru = hypot(u.x, u.y), rv = hypot(v.x, v.y), r = fmax(ru, rv);

    if (fabs(ru - rv) <= 1e-6 * r && fabs(point_dot(u, v)) <= 1e-6 * r * r)
        return add_circle(g, curve);
    if (fabs(point_cross(u, v)) <= 1e-9 * r * r)
        return add_flat_ellipse(g, curve);

    /* Cubics of so few degrees each that what they depart by does not count. For a circle of
     * radius 1 that is 2/27 sin^6(w/4) / cos^2(w/4) for cubics of angle w (the greatest value of
     * the radius along the curve; Goldapp, Approximation of circular arcs by cubic polynomials,
     * CAGD 1991, from memory; the tests measure it). */
    size_t parts = 4;
    double w = (curve->to - curve->from) / 4;
    for (; parts < 4096; parts *= 2, w /= 2) {
        const double s = sin(w / 4), s2 = s * s;
        if (fabs(w) < 1.6 && (ru + rv) * 2 / 27 * s2 * s2 * s2 / (1 - s2) <= 0.002 * g->tolerance)
            break;
    }
    struct rab_point a = rab_curve_start(curve);
    for (size_t i = 1; i <= parts; i++) {
        const double from = curve->from + w * (double)(i - 1), to = curve->from + w * (double)i;
        const struct rab_point b = i == parts ? rab_curve_end(curve) : ellipse_at(curve, to);
        const double handle = 4.0 / 3 * tan(w / 4);
        const struct rab_point da = {v.x * cos(from) - u.x * sin(from),
                                     v.y * cos(from) - u.y * sin(from)};
        const struct rab_point db = {v.x * cos(to) - u.x * sin(to), v.y * cos(to) - u.y * sin(to)};
        const struct cubic cubic = {
            {a, point_along(a, handle, da), point_along(b, -handle, db), b}};
        const size_t known = g->made.count;
        if (!add_cubic(g, &cubic))
            return false;
        for (size_t j = known; j < g->made.count; j++) { /* what was not drawn was not rounded */
            if (g->made.items[j].loose)
                piece_as_curve(&g->made.items[j]);
        }
        a = b;
    }
    return true;
}

/* From where the last curve ended; what is no crumb between them becomes a line. */
static bool add_curve(struct gather *g, const struct rab_curve *curve)
{
    const struct rab_point start = rab_curve_start(curve);
    if (!g->begun)
        g->first = g->pen = start;
    g->begun = true;
    if (!add_line(g, start))
        return false;
    switch (curve->kind) {
    case RAB_CURVE_LINE:
        return add_line(g, curve->p[1]);
    case RAB_CURVE_CUBIC: {
        const struct cubic cubic = {{curve->p[0], curve->p[1], curve->p[2], curve->p[3]}};
        return add_cubic(g, &cubic);
    }
    case RAB_CURVE_ELLIPSE:
        break;
    }
    return add_ellipse(g, curve);
}

bool pieces_gather(const struct rab_curve *curves, size_t count, bool closed, double tolerance,
                   struct pieces *out, struct rab_error *err)
{
    struct gather g = {.tolerance = tolerance, .crumb = 1e-3 * tolerance, .err = err};
    bool ok = true;

    g.made.closed = closed;
    for (size_t i = 0; ok && i < count; i++)
        ok = add_curve(&g, &curves[i]);
    if (ok && closed && g.made.count > 0) {
        ok = add_line(&g, g.first);
        shift_start(&g.made.items[0], g.pen);
    }
    if (!ok) {
        free(g.made.items);
        return false;
    }
    *out = g.made;
    return true;
}
