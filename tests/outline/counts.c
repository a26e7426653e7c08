/*
 * How near to the least number of arcs the fit comes.
 *
 * No arcs within the tolerance can be fewer than those that need not even join: from the start of
 * a curve the longest piece that one circle follows, from there the next, and so on. Whether a
 * circle follows a piece is asked of 33 points of it, by the theorem of de la Vallee Poussin: no
 * function of the family comes nearer to all points than to the best four with signs that
 * alternate. (The family a (x^2 + y^2) + b x + c, against y, is linear; over its gradient, which
 * is constant along a circle, it is the distance.)
 *
 * The figures are printed; the limits are what the project promises.
 */
#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "outline/arc.h"
#include "random.h"

enum { MOST = 32, POINTS = 33 };

struct chain {
    struct rab_curve curves[MOST];
    size_t count;
    bool closed;
};

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

static size_t least_arcs(const struct chain *chain, double tolerance)
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

/* ---- curves ---- */

static struct rab_curve cubic_of(double x0, double y0, double x1, double y1, double x2, double y2,
                                 double x3, double y3)
{
    return (struct rab_curve){RAB_CURVE_CUBIC, {{x0, y0}, {x1, y1}, {x2, y2}, {x3, y3}}, 0, 0};
}

/* Of sixteen cubics, so good that they are the ellipse. */
static void ellipse(struct random *random, struct chain *chain)
{
    const double a = random_between(random, 5, 100), b = a * random_between(random, 0.2, 0.95);
    chain->count = 16;
    chain->closed = true;
    for (int i = 0; i < 16; i++) {
        const double w = RAB_PI / 8, s = i * w, e = s + w, h = 4.0 / 3 * tan(w / 4);
        chain->curves[i] =
            cubic_of(a * cos(s), b * sin(s), a * (cos(s) - h * sin(s)), b * (sin(s) + h * cos(s)),
                     a * (cos(e) + h * sin(e)), b * (sin(e) - h * cos(e)), a * cos(e), b * sin(e));
    }
}

static void spiral(struct random *random, struct chain *chain)
{
    const double s = random_between(random, 5, 80);
    chain->count = 1;
    chain->curves[0] =
        cubic_of(0, 0, s * random_between(random, 0.2, 0.7), 0, s,
                 s * random_between(random, 0.1, 0.4), s, s * random_between(random, 0.6, 1.2));
}

static void letter(struct random *random, struct chain *chain)
{
    double x = 0, y = 0, angle = random_between(random, 0, 6);
    chain->count = 2 + (size_t)random_below(random, 4);
    for (size_t i = 0; i < chain->count; i++) {
        const double to = angle + random_between(random, -1.6, 1.6);
        const double length = random_between(random, 2, 20);
        const double ex = x + length * cos((angle + to) / 2),
                     ey = y + length * sin((angle + to) / 2);
        const double h0 = length * random_between(random, 0.2, 0.5);
        const double h1 = length * random_between(random, 0.2, 0.5);
        chain->curves[i] = cubic_of(x, y, x + h0 * cos(angle), y + h0 * sin(angle),
                                    ex - h1 * cos(to), ey - h1 * sin(to), ex, ey);
        x = ex;
        y = ey;
        angle = to;
    }
}

static void wave(struct random *random, struct chain *chain)
{
    const double s = random_between(random, 3, 60);
    chain->count = 1;
    chain->curves[0] =
        cubic_of(0, 0, s * random_between(random, 0.3, 0.8), s * random_between(random, -0.2, 0.3),
                 s * random_between(random, 0.1, 0.7), s * random_between(random, 0.2, 1), s,
                 s * random_between(random, 0.2, 0.8));
}

static void anything(struct random *random, struct chain *chain)
{
    double v[8];
    for (int i = 0; i < 8; i++)
        v[i] = random_between(random, 0, 50);
    chain->count = 1;
    chain->curves[0] = cubic_of(v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7]);
}

Test(outline_counts, near_the_bound)
{
    static const struct {
        const char *name;
        void (*make)(struct random *, struct chain *);
        double most;
    } families[] = {{"ellipses", ellipse, 1.6},
                    {"spirals", spiral, 1.4},
                    {"letters", letter, 1.5},
                    {"waves", wave, 1.4},
                    {"any cubics", anything, 1.5}};

    for (double tolerance = 0.01; tolerance > 1e-4; tolerance /= 10) {
        for (size_t f = 0; f < sizeof families / sizeof *families; f++) {
            struct random random = {5};
            size_t arcs = 0, bound = 0, cubics = 0;
            clock_t spent = 0;
            for (int n = 0; n < 300; n++) {
                struct chain chain = {.count = 0};
                struct rab_outline outline = {0};
                struct rab_error err = {0};
                families[f].make(&random, &chain);
                const clock_t start = clock();
                const bool ok = rab_outline_fit(chain.curves, chain.count, chain.closed, tolerance,
                                                &outline, &err);
                spent += clock() - start;
                cr_assert(ok, "%s", err.text);
                arcs += arc_count(&outline);
                bound += least_arcs(&chain, tolerance);
                cubics += chain.count;
                rab_outline_clear(&outline);
            }
            const double ratio = (double)arcs / (double)bound;
            printf("%-11s within %g mm: %6.2f arcs a curve, at least %6.2f, ratio %.3f; "
                   "%.1f us a cubic\n",
                   families[f].name, tolerance, (double)arcs / 300, (double)bound / 300, ratio,
                   (double)spent / CLOCKS_PER_SEC * 1e6 / (double)cubics);
            cr_expect_lt(ratio, families[f].most, "%s: %g", families[f].name, ratio);
            cr_expect_geq(ratio, 1, "%s: fewer arcs than possible, %g", families[f].name, ratio);
        }
    }
}

/* For small tolerances e an arc's length is L^3 = 72 sqrt(3) e / |dk/ds| at best if it joins
 * smoothly (the monospline of degree 3 of least norm, Bernoulli's polynomial; see plan.c): the
 * count tends to the integral of ds / L. Here for an ellipse, k = a b / (a^2 sin^2 + b^2
 * cos^2)^1.5. */
Test(outline_counts, as_small_tolerances_foretell)
{
    const double a = 50, b = 30;
    for (double tolerance = 1e-3; tolerance > 1e-8; tolerance /= 10) {
        enum { STEPS = 200000 };
        double foretold = 0;
        for (int i = 0; i < STEPS; i++) {
            const double t = 2 * RAB_PI * (i + 0.5) / STEPS, s = sin(t), c = cos(t);
            const double q = a * a * s * s + b * b * c * c; /* (ds/dt)^2 */
            /* dk/dt = -3 a b (a^2 - b^2) s c q^(-5/2); dk/ds is that over sqrt(q). */
            const double rate = 3 * a * b * (a * a - b * b) * fabs(s * c) / (q * q * q);
            foretold += cbrt(rate / (72 * sqrt(3) * tolerance)) * sqrt(q) * 2 * RAB_PI / STEPS;
        }
        struct rab_outline outline = {0};
        struct rab_error err = {0};
        const struct rab_curve curve = {
            RAB_CURVE_ELLIPSE, {{0, 0}, {a, 0}, {0, b}, {0, 0}}, 0, 2 * RAB_PI};
        cr_assert(rab_outline_fit(&curve, 1, true, tolerance, &outline, &err));
        const double ratio = (double)outline.count / foretold;
        printf("ellipse within %g mm: %zu arcs, %.1f foretold, ratio %.3f\n", tolerance,
               outline.count, foretold, ratio);
        cr_expect_lt(ratio, 1.25 + 4 / foretold); /* the four extremes of curvature cost extra */
        cr_expect_gt(ratio, 0.95);
        rab_outline_clear(&outline);
    }
}
