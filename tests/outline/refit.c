/* Lines that are crumbs of curves. Judged by distances worked out here: every vertex that was there
 * lies near the result, and every point of the result near the lines that were there. */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <stdlib.h>

#include "rabbet/outline.h"

static const double tolerance = 0.01, longest = 0.1;

static double to_segment(struct rab_point p, struct rab_point a, struct rab_point b)
{
    const double x = b.x - a.x, y = b.y - a.y, length2 = x * x + y * y;
    const double t =
        length2 > 0 ? fmin(1, fmax(0, ((p.x - a.x) * x + (p.y - a.y) * y) / length2)) : 0;

    return hypot(p.x - a.x - t * x, p.y - a.y - t * y);
}

/* Points along an outline, so close that the chords between them lie within 1e-4 mm. By the
 * definition of the bulge: the sagitta is bulge times half the chord. */
static struct rab_point *sample(const struct rab_outline *outline, size_t *count)
{
    const size_t edges = outline->count - outline->open, most = 2000;
    struct rab_point *points = calloc(edges * most + 1, sizeof *points);

    cr_assert(points != NULL);
    *count = 0;
    for (size_t i = 0; i < edges; i++) {
        const struct rab_vertex a = outline->vertices[i];
        const struct rab_vertex b = outline->vertices[(i + 1) % outline->count];
        const double angle = 4 * atan(a.bulge), chord = hypot(b.x - a.x, b.y - a.y);
        const double bow = fabs(a.bulge) * chord / 2; /* in n parts, each has about 1/n^2 of it */
        const size_t steps = (size_t)fmin((double)most, 1 + sqrt(bow / 1e-4));
        const double x = (b.x - a.x) / chord, y = (b.y - a.y) / chord;
        for (size_t k = 0; k < steps; k++) {
            const double s = (double)k / (double)steps;
            struct rab_point p = {a.x, a.y};
            if (a.bulge != 0) { /* from a by half the turn so far */
                const double radius = chord / 2 / sin(angle / 2);
                const double way = 2 * radius * sin(s * angle / 2), turn = (s - 1) * angle / 2;
                p.x += way * (x * cos(turn) - y * sin(turn));
                p.y += way * (x * sin(turn) + y * cos(turn));
            }
            points[(*count)++] = p;
        }
    }
    points[(*count)++] = (struct rab_point){outline->vertices[edges % outline->count].x,
                                            outline->vertices[edges % outline->count].y};
    return points;
}

static double farthest(const struct rab_point *from, size_t count, const struct rab_point *to,
                       size_t to_count)
{
    double worst = 0;
    size_t last = 0;

    for (size_t i = 0; i < count; i++) {
        double least = 1e9;
        for (size_t k = 0; k + 1 < to_count; k++) {
            const size_t at = (last + k) % (to_count - 1); /* most often near the last one */
            const double d = to_segment(from[i], to[at], to[at + 1]);
            if (d < least) {
                least = d;
                if (least < 1e-7)
                    break;
            }
            if (k > 300 && least < tolerance / 2)
                break;
        }
        worst = fmax(worst, least);
        last = (last + 1) % (to_count - 1);
    }
    return worst;
}

/* How many vertices come out; the distances are asserted. */
static size_t refit(const struct rab_outline *in, struct rab_outline *out)
{
    size_t before, after;
    struct rab_error err = {0};

    cr_assert(rab_outline_refit(in, longest, tolerance, out, &err), "%s", err.text);
    cr_assert(out->open == in->open);
    struct rab_point *old = sample(in, &before), *fresh = sample(out, &after);
    /* the curve through the ends lies beyond the chords by their sagittas, below 0.001 mm here */
    cr_expect(lt(dbl, farthest(old, before, fresh, after), tolerance + 1e-3));
    cr_expect(lt(dbl, farthest(fresh, after, old, before), tolerance + 1e-3));
    free(old);
    free(fresh);
    return out->count;
}

/* Definition of the circle: 2,000 points on it come back as two half turns. */
Test(refit, circle)
{
    struct rab_outline in = {0}, out = {0};

    for (int i = 0; i < 2000; i++) {
        const double a = 2 * RAB_PI * i / 2000;
        /* as a file has them, with four decimals */
        cr_assert(rab_outline_add(&in, round(1e4 * (50 + 30 * cos(a))) / 1e4,
                                  round(1e4 * (40 + 30 * sin(a))) / 1e4, 0, NULL));
    }
    cr_expect(eq(sz, refit(&in, &out), 2));
    cr_expect(epsilon_eq(dbl, rab_outline_area(&out), RAB_PI * 900, 0.02));
    rab_outline_clear(&in);
    rab_outline_clear(&out);
}

/* A square of 20 mm whose corners are rounded by 5 mm in crumbs: four lines and four arcs; nothing
 * of the long lines moves. */
Test(refit, rounded_square)
{
    static const double middle[4][2] = {{15, 15}, {5, 15}, {5, 5}, {15, 5}};
    struct rab_outline in = {0}, out = {0};

    for (int c = 0; c < 4; c++)
        for (int i = 0; i <= 100; i++) {
            const double a = RAB_PI / 2 * (c + i / 100.0);
            cr_assert(rab_outline_add(&in, middle[c][0] + 5 * cos(a), middle[c][1] + 5 * sin(a), 0,
                                      NULL));
        }
    cr_expect(le(sz, refit(&in, &out), 8));
    /* by hand: 400 - (4 - pi) 25 */
    cr_expect(epsilon_eq(dbl, rab_outline_area(&out), 400 - (4 - RAB_PI) * 25, 0.05));
    rab_outline_clear(&in);
    rab_outline_clear(&out);
}

/* A wave with a point of 90 degrees in its middle, open: ends and point stay where they are. */
Test(refit, corners_and_ends_stay)
{
    struct rab_outline in = {.open = true}, out = {0};
    bool point = false;

    for (int i = -400; i <= 400; i++) {
        const double x = i * 0.05;
        cr_assert(rab_outline_add(&in, x, fabs(x) + 0.5 * sin(x * x / 40), 0, NULL));
    }
    cr_expect(lt(sz, refit(&in, &out), 60));
    const struct rab_vertex a = out.vertices[0], b = out.vertices[out.count - 1];
    cr_expect(a.x == in.vertices[0].x && a.y == in.vertices[0].y);
    cr_expect(b.x == in.vertices[800].x && b.y == in.vertices[800].y);
    for (size_t i = 0; i < out.count; i++)
        point = point || (fabs(out.vertices[i].x) < 1e-9 && fabs(out.vertices[i].y) < 1e-9);
    cr_expect(point);
    rab_outline_clear(&in);
    rab_outline_clear(&out);
}

/* Long lines, few short ones, and arcs are no crumbs: the same vertices come back. */
Test(refit, what_is_meant_stays)
{
    struct rab_outline in = {0}, out = {0};

    cr_assert(rab_outline_add(&in, 0, 0, 0, NULL) && rab_outline_add(&in, 10, 0, 0.5, NULL) &&
              rab_outline_add(&in, 10, 10, 0, NULL));
    for (int i = 1; i < 7; i++)
        cr_assert(rab_outline_add(&in, 10 - 0.05 * i, 10 + 0.01 * (i % 2), 0, NULL));
    cr_assert(rab_outline_refit(&in, longest, tolerance, &out, NULL));
    cr_assert(eq(sz, out.count, in.count));
    for (size_t i = 0; i < in.count; i++)
        cr_expect(out.vertices[i].x == in.vertices[i].x && out.vertices[i].y == in.vertices[i].y &&
                  out.vertices[i].bulge == in.vertices[i].bulge);
    rab_outline_clear(&in);
    rab_outline_clear(&out);
}

static double random_share(uint64_t *state)
{
    /* Knuth's MMIX generator, by its published constants */
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (double)(*state >> 11) / 9007199254740992.0;
}

/* Smooth closed lines of random waves, with points as files have them, and with noise as scans do.
 */
Test(refit, random_waves)
{
    uint64_t state = 7;

    for (int n = 0; n < 12; n++) {
        struct rab_outline in = {0}, out = {0};
        const double noise = n % 3 == 2 ? 0.004 : 0, size = 5 + 8 * random_share(&state);
        const double one = random_share(&state) * 0.2, other = random_share(&state) * 0.05;
        const int points = (int)(2 * RAB_PI * size * 1.5 / 0.08);
        for (int i = 0; i < points; i++) {
            const double a = 2 * RAB_PI * i / points;
            const double r = size * (1 + one * sin(3 * a) + other * cos(7 * a));
            const double dx = noise * (random_share(&state) - 0.5);
            const double dy = noise * (random_share(&state) - 0.5);
            cr_assert(rab_outline_add(&in, round(1e4 * (r * cos(a) + dx)) / 1e4,
                                      round(1e4 * (r * sin(a) + dy)) / 1e4, 0, NULL));
        }
        cr_expect(lt(sz, refit(&in, &out), noise > 0 ? in.count : in.count / 5), "%d", n);
        rab_outline_clear(&in);
        rab_outline_clear(&out);
    }
}
