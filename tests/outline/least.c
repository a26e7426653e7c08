#include "least.h"

#include <math.h>
#include <string.h>

#include "outline/arc.h"

enum { POINTS = 33 };

static struct rab_point cubic_point(const struct rab_curve *c, double t)
{
    const double s = 1 - t, a = s * s * s, b = 3 * s * s * t, d = 3 * s * t * t, e = t * t * t;
    return (struct rab_point){a * c->p[0].x + b * c->p[1].x + d * c->p[2].x + e * c->p[3].x,
                              a * c->p[0].y + b * c->p[1].y + d * c->p[2].y + e * c->p[3].y};
}

static struct rab_point chain_point(const struct chain *chain, double place)
{
    const double whole = fmin(floor(place), (double)chain->count - 1);
    return cubic_point(&chain->curves[(size_t)whole], place - whole);
}

/* y = h + s x + k (x^2 + y^2) / 2 +- level with alternating signs through four points. */
static void through_four(const double x[4], const double y[4], double solution[4])
{
    double m[4][5];
    for (int i = 0; i < 4; i++) {
        m[i][0] = 1;
        m[i][1] = x[i];
        m[i][2] = (x[i] * x[i] + y[i] * y[i]) / 2;
        m[i][3] = i % 2 ? -1 : 1;
        m[i][4] = y[i];
    }
    for (int i = 0; i < 4; i++) {
        int pivot = i;
        for (int j = i + 1; j < 4; j++)
            pivot = fabs(m[j][i]) > fabs(m[pivot][i]) ? j : pivot;
        double kept[5];
        memcpy(kept, m[i], sizeof kept);
        memcpy(m[i], m[pivot], sizeof kept);
        memcpy(m[pivot], kept, sizeof kept);
        for (int j = 0; j < 4; j++) {
            const double factor = j == i ? 0 : m[j][i] / m[i][i];
            for (int k = i; k < 5; k++)
                m[j][k] -= factor * m[i][k];
        }
    }
    for (int i = 0; i < 4; i++)
        solution[i] = m[i][4] / m[i][i];
}

/* Remez' exchange from four points on: true when it proves that no circle is within the tolerance
 * (two percent for the gradient). */
static bool refuted(const double *x, const double *y, int at[4], double tolerance)
{
    for (int round = 0; round < 40; round++) {
        double px[4], py[4], s[4], off[POINTS];
        for (int i = 0; i < 4; i++) {
            px[i] = x[at[i]];
            py[i] = y[at[i]];
        }
        through_four(px, py, s);
        const double gradient = sqrt(fmax(1e-6, 1 + s[1] * s[1] - 2 * s[2] * s[0]));
        if (!isfinite(s[3]))
            return false;
        if (fabs(s[3]) / gradient > 1.02 * tolerance)
            return true;
        double worst = 0;
        for (int i = 0; i < POINTS; i++) {
            off[i] = y[i] - s[0] - s[1] * x[i] - s[2] * (x[i] * x[i] + y[i] * y[i]) / 2;
            worst = fmax(worst, fabs(off[i]));
        }
        if (worst / gradient <= 1.02 * tolerance)
            return false;
        /* The greatest of each run of one sign; of these the best four that follow each other. */
        int tops[POINTS], runs = 0, best = 0;
        for (int i = 0; i < POINTS; i++) {
            if (runs == 0 || (off[i] > 0) != (off[tops[runs - 1]] > 0))
                tops[runs++] = i;
            else if (fabs(off[i]) > fabs(off[tops[runs - 1]]))
                tops[runs - 1] = i;
        }
        if (runs < 4)
            return false;
        double most = -1;
        for (int i = 0; i + 4 <= runs; i++) {
            double sum = 0;
            for (int k = i; k < i + 4; k++)
                sum += fabs(off[tops[k]]);
            if (sum > most) {
                most = sum;
                best = i;
            }
        }
        memcpy(at, &tops[best], 4 * sizeof *at);
    }
    return false;
}

static bool one_circle(const struct chain *chain, double from, double to, double tolerance)
{
    static const int starts[][4] = {
        {0, 8, 24, 32}, {0, 8, 16, 32}, {0, 6, 15, 25}, {3, 10, 20, 31}};
    struct rab_point p[POINTS];
    double x[POINTS], y[POINTS];
    for (int i = 0; i < POINTS; i++)
        p[i] = chain_point(chain, from + (to - from) * i / (POINTS - 1));
    /* Seen from the middle, y along the normal there, so that the gradient is about 1. */
    const struct rab_point along = point_minus(p[POINTS / 2 + 1], p[POINTS / 2 - 1]);
    const double length = hypot(along.x, along.y);
    for (int i = 0; i < POINTS; i++) {
        const struct rab_point d = point_minus(p[i], p[POINTS / 2]);
        x[i] = point_dot(along, d) / length;
        y[i] = point_cross(along, d) / length;
    }
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++) {
        int at[4];
        memcpy(at, starts[i], sizeof at);
        if (refuted(x, y, at, tolerance))
            return false;
    }
    return true;
}

size_t least_arcs(const struct chain *chain, double tolerance)
{
    const double end = (double)chain->count;
    double place = 0, step = end;
    size_t arcs = 0;
    while (place < end * (1 - 1e-9)) {
        double low = 0, high = 0;
        step = fmin(2 * step, end - place);
        for (int round = 0; round < 60 && !(low > 0 && high > 0 && high < low * 1.005); round++) {
            if (one_circle(chain, place, place + step, tolerance)) {
                low = step;
                if (place + step >= end)
                    break;
                step = high > 0 ? (low + high) / 2 : fmin(1.5 * step, end - place);
            } else {
                high = step;
                step = low > 0 ? (low + high) / 2 : 0.6 * step;
            }
        }
        step = low > 0 ? low : step;
        place += step;
        arcs++;
    }
    return chain->closed ? arcs - 1 : arcs; /* one joint might better be elsewhere */
}
