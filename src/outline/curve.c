#include "curve.h"

struct rab_point cubic_at(const struct cubic *cubic, double t)
{
    const struct rab_point *p = cubic->p;
    const double s = 1 - t;
    const double b0 = s * s * s, b1 = 3 * s * s * t, b2 = 3 * s * t * t, b3 = t * t * t;
    return (struct rab_point){b0 * p[0].x + b1 * p[1].x + b2 * p[2].x + b3 * p[3].x,
                              b0 * p[0].y + b1 * p[1].y + b2 * p[2].y + b3 * p[3].y};
}

struct cubic_spot cubic_spot(const struct cubic *cubic, double t)
{
    const struct rab_point *p = cubic->p;
    const struct rab_point e0 = point_minus(p[1], p[0]), e1 = point_minus(p[2], p[1]);
    const struct rab_point e2 = point_minus(p[3], p[2]);
    const struct rab_point f0 = point_minus(e1, e0), f1 = point_minus(e2, e1);
    const double s = 1 - t, a = 3 * s * s, b = 6 * s * t, c = 3 * t * t;
    return (struct cubic_spot){
        .at = cubic_at(cubic, t),
        .d1 = {a * e0.x + b * e1.x + c * e2.x, a * e0.y + b * e1.y + c * e2.y},
        .d2 = {6 * (s * f0.x + t * f1.x), 6 * (s * f0.y + t * f1.y)},
        .d3 = {6 * (f1.x - f0.x), 6 * (f1.y - f0.y)},
    };
}

static struct rab_point between(struct rab_point p, struct rab_point q, double t)
{
    return (struct rab_point){(1 - t) * p.x + t * q.x, (1 - t) * p.y + t * q.y};
}

struct cubic cubic_part(const struct cubic *cubic, double t0, double t1)
{
    /* The blossom: control point i is the multi-affine value at t1 (i times) and t0 (the rest). */
    const struct rab_point *p = cubic->p;
    struct cubic part;
    for (int i = 0; i < 4; i++) {
        const double r = i > 2 ? t1 : t0, s = i > 1 ? t1 : t0, t = i > 0 ? t1 : t0;
        const struct rab_point q0 = between(p[0], p[1], r), q1 = between(p[1], p[2], r);
        const struct rab_point q2 = between(p[2], p[3], r);
        part.p[i] = between(between(q0, q1, s), between(q1, q2, s), t);
    }
    if (t0 == 0)
        part.p[0] = p[0];
    if (t1 == 1)
        part.p[3] = p[3];
    return part;
}

double cubic_size(const struct cubic *cubic)
{
    double size = 0;
    for (int i = 1; i < 4; i++)
        size = fmax(size, point_apart(cubic->p[i], cubic->p[0]));
    return size;
}

/* Of a handle that is no more than rounding the direction says nothing. */
static struct rab_point first_direction(const struct rab_point p[4], double size)
{
    for (int i = 1; i < 4; i++) {
        const struct rab_point d = point_minus(p[i], p[0]);
        const double length = hypot(d.x, d.y);
        if (length > 1e-9 * size)
            return (struct rab_point){d.x / length, d.y / length};
    }
    return (struct rab_point){0, 0};
}

struct rab_point cubic_start_tangent(const struct cubic *cubic)
{
    return first_direction(cubic->p, cubic_size(cubic));
}

struct rab_point cubic_end_tangent(const struct cubic *cubic)
{
    const struct rab_point *p = cubic->p;
    const struct rab_point back[4] = {p[3], p[2], p[1], p[0]};
    const struct rab_point d = first_direction(back, cubic_size(cubic));
    return (struct rab_point){-d.x, -d.y};
}

double cubic_turn(const struct cubic *cubic)
{
    const double tiny = 1e-9 * cubic_size(cubic);
    struct rab_point last = {0, 0};
    double turn = 0;
    for (int i = 0; i < 3; i++) {
        const struct rab_point d = point_minus(cubic->p[i + 1], cubic->p[i]);
        if (hypot(d.x, d.y) <= tiny)
            continue;
        if (last.x != 0 || last.y != 0)
            turn += point_angle(last, d);
        last = d;
    }
    return turn;
}

static struct rab_point ellipse_at(const struct rab_curve *curve, double angle)
{
    const double c = cos(angle), s = sin(angle);
    return (struct rab_point){curve->p[0].x + curve->p[1].x * c + curve->p[2].x * s,
                              curve->p[0].y + curve->p[1].y * c + curve->p[2].y * s};
}

struct rab_point rab_curve_start(const struct rab_curve *curve)
{
    return curve->kind == RAB_CURVE_ELLIPSE ? ellipse_at(curve, curve->from) : curve->p[0];
}

struct rab_point rab_curve_end(const struct rab_curve *curve)
{
    switch (curve->kind) {
    case RAB_CURVE_LINE:
        return curve->p[1];
    case RAB_CURVE_CUBIC:
        return curve->p[3];
    case RAB_CURVE_ELLIPSE:
        break;
    }
    return ellipse_at(curve, curve->to);
}
