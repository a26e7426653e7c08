#include "read/dxf_spline.h"

#include <math.h>

/* A span is halved at most so often: each halving of a smooth span divides the error by 16. */
enum { HALVINGS = 20 };

/* A point before the division by its weight. */
struct weighted {
    double x, y, w;
};

/* Value and first derivative at u, which lies in the knots' span k (knots[k] <= u <= knots[k+1]):
 * de Boor's algorithm, in which the last step but one gives the derivative. Source: de Boor, A
 * Practical Guide to Splines; Piegl and Tiller, The NURBS Book, A4.2 for the weights (from memory).
 */
static void evaluate(const struct dxf_spline *s, size_t k, double u, struct rab_point *at,
                     struct rab_point *slope)
{
    struct weighted d[DXF_DEGREE + 1] = {{0}}, before = {0}, after = {0};
    const int p = s->degree;

    for (int i = 0; i <= p; i++) {
        const size_t n = k - (size_t)p + (size_t)i;
        const double w = s->weights ? s->weights[n] : 1;
        d[i] = (struct weighted){s->points[n].x * w, s->points[n].y * w, w};
    }
    for (int r = 1; r <= p; r++) {
        if (r == p) {
            before = d[p - 1];
            after = d[p];
        }
        for (int i = p; i >= r; i--) {
            const size_t n = k - (size_t)p + (size_t)i;
            const double low = s->knots[n], high = s->knots[n + (size_t)(p - r) + 1];
            const double t = high > low ? (u - low) / (high - low) : 0;
            d[i].x = d[i - 1].x + t * (d[i].x - d[i - 1].x);
            d[i].y = d[i - 1].y + t * (d[i].y - d[i - 1].y);
            d[i].w = d[i - 1].w + t * (d[i].w - d[i - 1].w);
        }
    }
    const double rate = p / (s->knots[k + 1] - s->knots[k]);
    *at = (struct rab_point){d[p].x / d[p].w, d[p].y / d[p].w};
    /* quotient rule */
    slope->x = (rate * (after.x - before.x) - rate * (after.w - before.w) * at->x) / d[p].w;
    slope->y = (rate * (after.y - before.y) - rate * (after.w - before.w) * at->y) / d[p].w;
}

static struct rab_point cubic_point(const struct rab_point *p, double t)
{
    const double s = 1 - t, a = s * s * s, b = 3 * s * s * t, c = 3 * s * t * t, d = t * t * t;

    return (struct rab_point){a * p[0].x + b * p[1].x + c * p[2].x + d * p[3].x,
                              a * p[0].y + b * p[1].y + c * p[2].y + d * p[3].y};
}

/* The cubic with the spline's ends and derivatives there (Hermite). */
static struct rab_curve hermite(const struct dxf_spline *s, size_t k, double from, double to)
{
    struct rab_curve curve = {.kind = RAB_CURVE_CUBIC};
    struct rab_point start, end;

    evaluate(s, k, from, &curve.p[0], &start);
    evaluate(s, k, to, &curve.p[3], &end);
    const double third = (to - from) / 3;
    curve.p[1] = (struct rab_point){curve.p[0].x + third * start.x, curve.p[0].y + third * start.y};
    curve.p[2] = (struct rab_point){curve.p[3].x - third * end.x, curve.p[3].y - third * end.y};
    return curve;
}

static bool is_near_enough(const struct dxf_spline *s, size_t k, double from, double to,
                           const struct rab_curve *curve, double tolerance)
{
    static const double shares[] = {0.2, 0.35, 0.5, 0.65, 0.8};

    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        struct rab_point there, slope;
        const struct rab_point here = cubic_point(curve->p, shares[i]);
        evaluate(s, k, from + shares[i] * (to - from), &there, &slope);
        if (!(hypot(here.x - there.x, here.y - there.y) <= tolerance))
            return false;
    }
    return true;
}

static bool check_spline(const struct dxf_spline *s, int line, struct rab_error *err)
{
    bool ok = s->degree >= 1 && s->degree <= DXF_DEGREE && s->count > (size_t)s->degree &&
              s->knot_count == s->count + (size_t)s->degree + 1;

    for (size_t i = 0; ok && i + 1 < s->knot_count; i++)
        ok = s->knots[i] <= s->knots[i + 1];
    for (size_t i = 0; ok && s->weights && i < s->count; i++)
        ok = s->weights[i] > 0;
    return ok ||
           rab_fail_line(err, RAB_FAULT_INPUT, line,
                         "the SPLINE's degree, knots and points do not belong together: so "
                         "many knots as points + degree + 1, in rising order, weights above 0");
}

/* One span, in parts where one cubic is not near enough. The stack holds the ends still to reach.
 */
static bool add_span(const struct dxf_spline *s, size_t k, double tolerance, int line, size_t most,
                     struct rab_curve **curves, size_t *count, size_t *capacity,
                     struct rab_error *err)
{
    double ends[HALVINGS + 2];
    int depth = 1;
    double from = s->knots[k];

    ends[0] = s->knots[k + 1];
    while (depth > 0) {
        const double to = ends[depth - 1];
        const struct rab_curve curve = hermite(s, k, from, to);
        void *items = *curves;

        if (depth <= HALVINGS && !is_near_enough(s, k, from, to, &curve, tolerance)) {
            ends[depth++] = from + (to - from) / 2;
            continue;
        }
        if (*count >= most)
            return rab_fail_line(err, RAB_FAULT_INPUT, line,
                                 "the drawing has too many lines; give a smaller one");
        if (!rab_reserve(&items, capacity, *count + 1, sizeof **curves, err))
            return false;
        *curves = items;
        (*curves)[(*count)++] = curve;
        from = to;
        depth--;
    }
    return true;
}

bool dxf_spline_curves(const struct dxf_spline *s, double tolerance, int line, size_t most,
                       struct rab_curve **curves, size_t *count, size_t *capacity,
                       struct rab_error *err)
{
    if (!check_spline(s, line, err))
        return false;
    for (size_t k = (size_t)s->degree; k < s->count; k++)
        if (s->knots[k] < s->knots[k + 1] &&
            !add_span(s, k, tolerance, line, most, curves, count, capacity, err))
            return false;
    return *count > 0 || rab_fail_line(err, RAB_FAULT_INPUT, line, "the SPLINE has no length");
}
