#include "read/subpath.h"

#include "rabbet/region.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static struct rab_curve moved(const struct rab_curve *curve, const struct matrix *matrix)
{
    struct rab_curve out = *curve;

    switch (curve->kind) {
    case RAB_CURVE_LINE:
        out.p[0] = matrix_apply(matrix, curve->p[0]);
        out.p[1] = matrix_apply(matrix, curve->p[1]);
        break;
    case RAB_CURVE_CUBIC:
        for (int i = 0; i < 4; i++)
            out.p[i] = matrix_apply(matrix, curve->p[i]);
        break;
    case RAB_CURVE_ELLIPSE:
        out.p[0] = matrix_apply(matrix, curve->p[0]);
        out.p[1] = matrix_turn(matrix, curve->p[1]);
        out.p[2] = matrix_turn(matrix, curve->p[2]);
        break;
    }
    return out;
}

/* ---- boxes ---- */

static void include(struct rab_box *box, struct rab_point point)
{
    box->x0 = fmin(box->x0, point.x);
    box->y0 = fmin(box->y0, point.y);
    box->x1 = fmax(box->x1, point.x);
    box->y1 = fmax(box->y1, point.y);
}

static struct rab_point cubic_at(const struct rab_point *p, double t)
{
    double s = 1 - t, a = s * s * s, b = 3 * s * s * t, c = 3 * s * t * t, d = t * t * t;

    return (struct rab_point){a * p[0].x + b * p[1].x + c * p[2].x + d * p[3].x,
                              a * p[0].y + b * p[1].y + c * p[2].y + d * p[3].y};
}

/* The derivative of a cubic is (up to a factor of 3) u (1-t)^2 + 2 v t (1-t) + w t^2. */
static void include_turns(struct rab_box *box, const struct rab_point *p, double u, double v,
                          double w)
{
    double a = u - 2 * v + w, b = u - v, root, roots[2], q = v * v - u * w;
    int count = 0;

    if (q < 0)
        return;
    root = sqrt(q);
    /* a t^2 - 2 b t + u = 0, by the form that does not cancel */
    b += b < 0 ? -root : root;
    if (a != 0)
        roots[count++] = b / a;
    if (b != 0)
        roots[count++] = u / b;
    for (int i = 0; i < count; i++)
        if (roots[i] > 0 && roots[i] < 1)
            include(box, cubic_at(p, roots[i]));
}

static void include_ellipse(struct rab_box *box, const struct rab_curve *curve, double angle)
{
    double low = fmin(curve->from, curve->to), high = fmax(curve->from, curve->to);
    double t = angle + ceil((low - angle) / RAB_PI) * RAB_PI;

    for (int i = 0; i < 3 && t <= high; i++, t += RAB_PI) {
        double c = cos(t), s = sin(t);
        include(box, (struct rab_point){curve->p[0].x + curve->p[1].x * c + curve->p[2].x * s,
                                        curve->p[0].y + curve->p[1].y * c + curve->p[2].y * s});
    }
}

static void include_curve(struct rab_box *box, const struct rab_curve *curve)
{
    const struct rab_point *p = curve->p;

    include(box, rab_curve_start(curve));
    include(box, rab_curve_end(curve));
    if (curve->kind == RAB_CURVE_CUBIC) {
        include_turns(box, p, p[1].x - p[0].x, p[2].x - p[1].x, p[3].x - p[2].x);
        include_turns(box, p, p[1].y - p[0].y, p[2].y - p[1].y, p[3].y - p[2].y);
    } else if (curve->kind == RAB_CURVE_ELLIPSE) {
        include_ellipse(box, curve, atan2(p[2].x, p[1].x));
        include_ellipse(box, curve, atan2(p[2].y, p[1].y));
    }
}

struct rab_box subpath_box(const struct rab_curve *curves, size_t count,
                           const struct matrix *matrix)
{
    struct rab_box box = RAB_BOX_EMPTY;

    for (size_t i = 0; i < count; i++) {
        struct rab_curve curve = moved(&curves[i], matrix);
        include_curve(&box, &curve);
    }
    return box;
}

/* ---- outlines ---- */

static bool is_near(struct rab_point a, struct rab_point b, double distance)
{
    return fabs(a.x - b.x) <= distance && fabs(a.y - b.y) <= distance &&
           hypot(a.x - b.x, a.y - b.y) <= distance;
}

/* A curve that goes nowhere. */
static bool is_nothing(const struct rab_curve *curve)
{
    switch (curve->kind) {
    case RAB_CURVE_LINE:
        return is_near(curve->p[0], curve->p[1], RAB_SAME_POINT);
    case RAB_CURVE_CUBIC:
        return is_near(curve->p[0], curve->p[1], RAB_SAME_POINT) &&
               is_near(curve->p[0], curve->p[2], RAB_SAME_POINT) &&
               is_near(curve->p[0], curve->p[3], RAB_SAME_POINT);
    default:
        return (hypot(curve->p[1].x, curve->p[1].y) + hypot(curve->p[2].x, curve->p[2].y)) *
                   fabs(curve->to - curve->from) <=
               RAB_SAME_POINT;
    }
}

/* All numbers that the fitting works with. */
static bool is_within_reach(const struct rab_curve *curve)
{
    int count = curve->kind == RAB_CURVE_LINE ? 2 : curve->kind == RAB_CURVE_CUBIC ? 4 : 3;

    for (int i = 0; i < count; i++)
        if (!(fabs(curve->p[i].x) <= FARTHEST) || !(fabs(curve->p[i].y) <= FARTHEST))
            return false;
    return curve->kind != RAB_CURVE_ELLIPSE || (isfinite(curve->from) && isfinite(curve->to));
}

/*
 * A short piece of an ellipse of kilometres is as good as straight; its centre and diameters are far
 * beyond what the fitting takes. As a Bezier curve (ends, tangents, 4/3 tan(sweep/4)) it lies where it
 * is, to r 4/27 sin^6(sweep/4): nothing at a hundredth of a radian.
 */
static struct rab_curve drawn_near(struct rab_curve curve)
{
    static const double short_sweep = 0.01;
    const struct rab_point *p = curve.p;
    double far = 0, h = tan((curve.to - curve.from) / 4) * 4 / 3;
    double c0 = cos(curve.from), s0 = sin(curve.from), c1 = cos(curve.to), s1 = sin(curve.to);
    struct rab_point start, end;

    for (int i = 0; i < 3; i++)
        far = fmax(far, fmax(fabs(p[i].x), fabs(p[i].y)));
    if (!(far > FARTHEST) || !(fabs(curve.to - curve.from) <= short_sweep))
        return curve;
    start = rab_curve_start(&curve);
    end = rab_curve_end(&curve);
    return (struct rab_curve){.kind = RAB_CURVE_CUBIC,
                              .p = {start,
                                    {start.x + h * (p[2].x * c0 - p[1].x * s0),
                                     start.y + h * (p[2].y * c0 - p[1].y * s0)},
                                    {end.x - h * (p[2].x * c1 - p[1].x * s1),
                                     end.y - h * (p[2].y * c1 - p[1].y * s1)},
                                    end}};
}

/* Move, leave out what goes nowhere, and let each curve begin where the one before ended. */
static bool move_curves(const struct rab_curve *curves, size_t count, const struct matrix *matrix,
                        int line, struct rab_curve *out, size_t *kept, bool *straight,
                        struct rab_error *err)
{
    struct rab_point end = {0};

    *kept = 0;
    *straight = true;
    for (size_t i = 0; i < count; i++) {
        struct rab_curve curve = moved(&curves[i], matrix);

        if (curve.kind == RAB_CURVE_ELLIPSE)
            curve = drawn_near(curve);
        if (!is_within_reach(&curve))
            return rab_fail_line(err, RAB_FAULT_INPUT, line,
                                 "an outline reaches more than a kilometre from the page; check its "
                                 "numbers and transforms");
        if (*kept > 0 && curve.kind != RAB_CURVE_ELLIPSE)
            curve.p[0] = end;
        if (is_nothing(&curve))
            continue;
        end = rab_curve_end(&curve);
        *straight = *straight && curve.kind == RAB_CURVE_LINE;
        out[(*kept)++] = curve;
    }
    return true;
}

/* Lead the last curve back to the first one's start: by moving its end where that is near enough, else
 * by a line, for which there is room. */
static void close_curves(struct rab_curve *curves, size_t *count, double near_enough)
{
    struct rab_curve *last = &curves[*count - 1];
    struct rab_point start = rab_curve_start(&curves[0]), end = rab_curve_end(last);

    if (last->kind == RAB_CURVE_LINE && *count > 1 && is_near(start, end, near_enough)) {
        last->p[1] = start;
    } else if (last->kind == RAB_CURVE_CUBIC && is_near(start, end, near_enough)) {
        last->p[2].x += start.x - end.x;
        last->p[2].y += start.y - end.y;
        last->p[3] = start;
    } else if (!is_near(start, end, RAB_SAME_POINT)) {
        curves[(*count)++] = (struct rab_curve){.kind = RAB_CURVE_LINE, .p = {end, start}};
    }
}

static bool join_lines(const struct rab_curve *curves, size_t count, bool closed,
                       struct rab_outline *out, struct rab_error *err)
{
    for (size_t i = 0; i < count; i++)
        if (!rab_outline_add(out, curves[i].p[0].x, curves[i].p[0].y, 0, err))
            return false;
    if (!closed)
        return rab_outline_add(out, curves[count - 1].p[1].x, curves[count - 1].p[1].y, 0, err);
    return true;
}

bool subpath_outline(const struct rab_curve *curves, size_t count, bool closed,
                     const struct matrix *matrix, double tolerance, int line,
                     struct rab_outline *out, struct rab_error *err)
{
    struct rab_curve *list = malloc((count + 1) * sizeof *list);
    struct rab_outline made = {0};
    struct rab_error fault = {0};
    size_t kept;
    bool ok = false, straight;

    if (!list)
        return rab_fail_memory(err);
    if (!move_curves(curves, count, matrix, line, list, &kept, &straight, err))
        goto done;
    if (kept == 0) {
        ok = true;
        goto done;
    }
    if (!closed)
        closed = (kept > 1 || list[0].kind != RAB_CURVE_LINE) &&
                 is_near(rab_curve_start(&list[0]), rab_curve_end(&list[kept - 1]), CLOSED_WITHIN);
    if (closed)
        close_curves(list, &kept, fmin(CLOSED_WITHIN, tolerance / 10));
    if (straight) {
        if (!join_lines(list, kept, closed, &made, err))
            goto done;
    } else if (!rab_outline_fit(list, kept, closed, tolerance, &made, &fault)) {
        rab_fail_line(err, fault.fault, line, "%s", fault.text);
        goto done;
    }
    made.open = !closed;
    *out = made;
    made = (struct rab_outline){0};
    ok = true;
done:
    rab_outline_clear(&made);
    free(list);
    return ok;
}
