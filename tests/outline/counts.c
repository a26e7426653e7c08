/*
 * How near to the least number of arcs the fit comes: least_arcs (least.h) says what no arcs can
 * beat.
 *
 * The figures are printed; the limits are what the project promises.
 */
#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "least.h"
#include "outline/arc.h"
#include "random.h"

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
