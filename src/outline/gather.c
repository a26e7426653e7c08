/*
 * From curves as they are given to pieces that follow each other: lines, arcs that were written as
 * such or as Bezier curves, and cubics.
 */
#include <stdlib.h>

#include "pieces.h"

static bool add_piece(struct pieces *pieces, const struct piece *piece, struct rab_error *err)
{
    void *items = pieces->items;
    if (!rab_reserve(&items, &pieces->capacity, pieces->count + 1, sizeof *pieces->items, err))
        return false;
    pieces->items = items;
    pieces->items[pieces->count++] = *piece;
    return true;
}

static bool add_line(struct pieces *pieces, struct rab_point a, struct rab_point b,
                     struct rab_error *err)
{
    const double length = point_apart(a, b);
    if (length == 0)
        return true;
    const struct rab_point along = {(b.x - a.x) / length, (b.y - a.y) / length};
    const struct piece piece = {.kind = PIECE_LINE, .a = a, .b = b, .ta = along, .tb = along};
    return add_piece(pieces, &piece, err);
}

static bool add_arc(struct pieces *pieces, struct rab_point a, struct rab_point b, double bulge,
                    struct rab_error *err)
{
    const struct arc arc = arc_make((struct rab_vertex){a.x, a.y, bulge}, b);
    if (arc.chord == 0)
        return true;
    const struct piece piece = {
        .kind = PIECE_ARC, .a = a, .b = b, .ta = arc.ta, .tb = arc.tb, .bulge = bulge};
    return add_piece(pieces, &piece, err);
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

static bool add_whole_cubic(struct pieces *pieces, const struct cubic *cubic, double tolerance,
                            struct rab_error *err)
{
    struct piece piece;
    if (cubic_size(cubic) <= 1e-4 * tolerance)
        return true; /* a point; the next piece is put where it starts */
    piece_recognise(cubic, tolerance, &piece);
    return add_piece(pieces, &piece, err);
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

static bool add_straight(struct pieces *pieces, const struct cubic *cubic, struct rab_point along,
                         struct rab_error *err)
{
    const struct rab_point *p = cubic->p;
    const double e0 = point_dot(along, point_minus(p[1], p[0]));
    const double e1 = point_dot(along, point_minus(p[2], p[1]));
    const double e2 = point_dot(along, point_minus(p[3], p[2]));
    /* The speed along the line: e0 (1 - t)^2 + 2 e1 t (1 - t) + e2 t^2. */
    const double a = e0 - 2 * e1 + e2, b = 2 * (e1 - e0), inside = b * b - 4 * a * e0;
    struct rab_point from = p[0];

    if (inside > 0) {
        const double q = -(b + copysign(sqrt(inside), b)) / 2;
        const double r0 = a != 0 ? q / a : -1, r1 = q != 0 ? e0 / q : -1;
        const double turns[2] = {fmin(r0, r1), fmax(r0, r1)};
        for (int i = 0; i < 2; i++) {
            if (!(turns[i] > 0 && turns[i] < 1))
                continue;
            const struct rab_point to = cubic_at(cubic, turns[i]);
            if (!add_line(pieces, from, to, err))
                return false;
            from = to;
        }
    }
    return add_line(pieces, from, p[3], err);
}

/* A cusp turns the direction about in no space at all: there a curve ends and another begins. */
static bool add_cubic(struct pieces *pieces, const struct cubic *cubic, double tolerance,
                      struct rab_error *err)
{
    double stops[2], from = 0;
    struct rab_point along;
    bool cut = false;

    if (is_straight(cubic, &along))
        return add_straight(pieces, cubic, along, err);
    const int count = slowest(cubic, stops);
    for (int i = 0; i < count; i++) {
        const struct cubic_spot spot = cubic_spot(cubic, stops[i]);
        if (hypot(spot.d1.x, spot.d1.y) > 0.01 * tolerance)
            continue;
        struct cubic part = cubic_part(cubic, from, stops[i]);
        part.p[2] = part.p[3]; /* what is left of the speed there points anywhere */
        if (cut)
            part.p[1] = part.p[0];
        if (!add_whole_cubic(pieces, &part, tolerance, err))
            return false;
        from = stops[i];
        cut = true;
    }
    struct cubic rest = cubic_part(cubic, from, 1);
    if (cut)
        rest.p[1] = rest.p[0];
    return add_whole_cubic(pieces, &rest, tolerance, err);
}

static bool add_ellipse(struct pieces *pieces, const struct rab_curve *curve, double tolerance,
                        struct rab_error *err)
{
    const struct rab_point u = curve->p[1], v = curve->p[2];
    const double turn = curve->to - curve->from;
    const double ru = hypot(u.x, u.y), rv = hypot(v.x, v.y), r = fmax(ru, rv);
    const struct rab_point end = rab_curve_end(curve);
    struct rab_point a = rab_curve_start(curve);

    /* A circle: half-diameters equal and at right angles, up to what editors round. */
    if (fabs(ru - rv) <= 1e-6 * r && fabs(point_dot(u, v)) <= 1e-6 * r * r) {
        const double swept = point_cross(u, v) > 0 ? turn : -turn;
        const int parts = fabs(turn) > 0.75 * 2 * RAB_PI ? 2 : 1; /* bulges stay moderate */
        for (int i = 1; i <= parts; i++) {
            const struct rab_curve part = {RAB_CURVE_ELLIPSE, {curve->p[0], u, v, {0, 0}}, 0,
                                           curve->from + turn * i / parts};
            const struct rab_point b = i == parts ? end : rab_curve_end(&part);
            if (!add_arc(pieces, a, b, tan(swept / parts / 4), err))
                return false;
            a = b;
        }
        return true;
    }

    /* Cubics of so few degrees each that what they depart by does not count. For a circle of
     * radius 1 that is 2/27 sin^6(w/4) / cos^2(w/4) for cubics of angle w (the greatest value of
     * the radius along the curve; Goldapp, Approximation of circular arcs by cubic polynomials,
     * CAGD 1991, from memory; the tests measure it). */
    size_t parts = 4;
    double w = turn / 4;
    for (; parts < 4096; parts *= 2, w /= 2) {
        const double s = sin(w / 4), s2 = s * s;
        if (fabs(w) < 1.6 && (ru + rv) * 2 / 27 * s2 * s2 * s2 / (1 - s2) <= 0.002 * tolerance)
            break;
    }
    for (size_t i = 1; i <= parts; i++) {
        const double from = curve->from + w * (double)(i - 1), to = curve->from + w * (double)i;
        const struct rab_curve part = {RAB_CURVE_ELLIPSE, {curve->p[0], u, v, {0, 0}}, from, to};
        const struct rab_point b = i == parts ? end : rab_curve_end(&part);
        const double handle = 4.0 / 3 * tan(w / 4);
        const struct rab_point da = {v.x * cos(from) - u.x * sin(from),
                                     v.y * cos(from) - u.y * sin(from)};
        const struct rab_point db = {v.x * cos(to) - u.x * sin(to),
                                     v.y * cos(to) - u.y * sin(to)};
        const struct cubic cubic = {
            {a, point_along(a, handle, da), point_along(b, -handle, db), b}};
        const size_t known = pieces->count;
        if (!add_cubic(pieces, &cubic, tolerance, err))
            return false;
        for (size_t j = known; j < pieces->count; j++) { /* what was not drawn was not rounded */
            if (pieces->items[j].loose)
                piece_as_curve(&pieces->items[j]);
        }
        a = b;
    }
    return true;
}

static void shift_start(struct piece *piece, struct rab_point to)
{
    const struct rab_point by = point_minus(to, piece->a);
    piece->a = to;
    piece->cubic.p[0] = to;
    piece->cubic.p[1] = point_along(piece->cubic.p[1], 1, by);
}

/* Ends that all but meet are made to meet; others are joined by a line. */
static bool close_gaps(struct pieces *pieces, double tolerance, struct rab_error *err)
{
    struct pieces made = {.closed = pieces->closed};
    bool ok = false;

    for (size_t i = 0; i < pieces->count; i++) {
        struct piece piece = pieces->items[i];
        if (made.count > 0) {
            const struct rab_point end = made.items[made.count - 1].b;
            if (point_apart(end, piece.a) <= 0.01 * tolerance)
                shift_start(&piece, end);
            else if (!add_line(&made, end, piece.a, err))
                goto done;
            if (piece.kind != PIECE_CURVE && point_apart(piece.a, piece.b) == 0)
                continue;
        }
        if (!add_piece(&made, &piece, err))
            goto done;
    }
    if (made.closed && made.count > 0) {
        const struct rab_point end = made.items[made.count - 1].b, start = made.items[0].a;
        if (point_apart(end, start) <= 0.01 * tolerance)
            shift_start(&made.items[0], end);
        else if (!add_line(&made, end, start, err))
            goto done;
    }
    free(pieces->items);
    *pieces = made;
    made = (struct pieces){0};
    ok = true;
done:
    free(made.items);
    return ok;
}

bool pieces_gather(const struct rab_curve *curves, size_t count, bool closed, double tolerance,
                   struct pieces *out, struct rab_error *err)
{
    struct pieces made = {.closed = closed};
    bool ok = true;

    for (size_t i = 0; ok && i < count; i++) {
        switch (curves[i].kind) {
        case RAB_CURVE_LINE:
            ok = add_line(&made, curves[i].p[0], curves[i].p[1], err);
            break;
        case RAB_CURVE_CUBIC: {
            const struct cubic cubic = {
                {curves[i].p[0], curves[i].p[1], curves[i].p[2], curves[i].p[3]}};
            ok = add_cubic(&made, &cubic, tolerance, err);
            break;
        }
        case RAB_CURVE_ELLIPSE:
            ok = add_ellipse(&made, &curves[i], tolerance, err);
            break;
        }
    }
    if (!ok || !close_gaps(&made, tolerance, err)) {
        free(made.items);
        return false;
    }
    *out = made;
    return true;
}
