/*
 * The proof that a curve and an arc keep together. Nothing is sampled.
 *
 * With the arc's start P, left normal n and curvature k, and u the way from P to a point of the
 * curve, the signed distance d of the point from the full circle satisfies F = d + k d^2 / 2 where
 * F = k|u|^2/2 - n.u (see arc.h). On a cubic F is a polynomial of degree 6. Its values lie between
 * the least and the greatest of its coefficients in Bernstein's form, and halving the curve brings
 * these as near to the values as one likes. So does it for the two straight lines that bound the
 * sector in which the arc is what is nearest of the circle.
 *
 * The other way round: the curve runs from the normal at one end of the arc to the normal at the
 * other without leaving the sector, so it meets every normal between, there no further from the
 * arc than anywhere.
 */
#include "run.h"

/* The bounds close in with the square of the length: ten halvings tell a millionth. */
enum { DEGREE = 6, DEPTH = 10 };

struct bounds {
    double low, high;
};

static struct bounds bounds_of(const double *b, int degree)
{
    struct bounds bounds = {b[0], b[0]};
    for (int i = 1; i <= degree; i++) {
        bounds.low = fmin(bounds.low, b[i]);
        bounds.high = fmax(bounds.high, b[i]);
    }
    return bounds;
}

/* Both halves of a polynomial in Bernstein's form (de Casteljau); `left` may be `b`. */
static void halve(const double *b, int degree, double *left, double *right)
{
    double work[DEGREE + 1];
    for (int i = 0; i <= degree; i++)
        work[i] = b[i];
    for (int i = 0; i <= degree; i++) {
        left[i] = work[0];
        right[degree - i] = work[degree - i];
        for (int j = 0; j < degree - i; j++)
            work[j] = (work[j] + work[j + 1]) / 2;
    }
}

/* Is the polynomial within [low, high] from 0 to 1? */
/* NOLINTNEXTLINE(misc-no-recursion): at most DEPTH deep */
static bool stays(const double *b, int degree, double low, double high, int depth)
{
    const struct bounds bounds = bounds_of(b, degree);
    if (bounds.low >= low && bounds.high <= high)
        return true;
    /* The first and the last coefficient are values. */
    if (depth == 0 || !(b[0] >= low && b[0] <= high && b[degree] >= low && b[degree] <= high))
        return false;
    double left[DEGREE + 1], right[DEGREE + 1];
    halve(b, degree, left, right);
    return stays(left, degree, low, high, depth - 1) && stays(right, degree, low, high, depth - 1);
}

bool cubic_within(const struct cubic *cubic, const struct arc *arc, double tolerance)
{
    /* What the curve may lie beyond the normals at the arc's ends; it costs the tolerance half the
     * square of that. */
    const double beyond = 1e-3 * tolerance, left = tolerance * (1 - 1e-6);
    /* C(3,i) C(3,j) / C(6,i+j) */
    static const double weight[4][4] = {
        {1, 0.5, 0.2, 0.05}, {0.5, 0.6, 0.45, 0.2}, {0.2, 0.45, 0.6, 0.5}, {0.05, 0.2, 0.5, 1}};
    struct rab_point u[4];
    double after[4], before[4], across[4], f[DEGREE + 1] = {0};

    if (fabs(arc->bulge) > 1 || arc->chord == 0)
        return false;
    for (int i = 0; i < 4; i++) {
        u[i] = point_minus(cubic->p[i], arc->a);
        after[i] = point_dot(arc->ta, u[i]);
        before[i] = point_dot(arc->tb, point_minus(cubic->p[i], arc->b));
        across[i] = point_cross(arc->ta, u[i]);
    }
    if (!stays(after, 3, -beyond, HUGE_VAL, DEPTH) || !stays(before, 3, -HUGE_VAL, beyond, DEPTH))
        return false;
    for (int i = 0; i < 4; i++) {
        for (int j = 0; j < 4; j++)
            f[i + j] += weight[i][j] * (arc->k / 2 * point_dot(u[i], u[j]) - across[i]);
    }
    /* No further than the tolerance to either side; the centre is the limit on its side. */
    const double bend = arc->k * left * left / 2;
    const bool past_left = arc->k * left >= 1, past_right = arc->k * left <= -1;
    return stays(f, DEGREE, past_left ? -HUGE_VAL : bend - left,
                 past_right ? HUGE_VAL : bend + left, DEPTH);
}

bool run_within(const struct run *run, double from, double to, const struct arc *arc,
                double tolerance)
{
    double t0, t1;
    size_t i = run_locate(run, from, &t0);
    const size_t last = run_locate(run, to, &t1);

    for (; i <= last; i++, t0 = 0) {
        const double end = i == last ? t1 : 1;
        if (end <= t0)
            continue;
        const struct cubic part = cubic_part(&run->cubics[i], t0, end);
        if (!cubic_within(&part, arc, tolerance))
            return false;
    }
    return true;
}
