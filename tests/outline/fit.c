/*
 * Curves fitted with arcs. The truth is dense sampling of the curves by their definitions (SVG
 * 1.1, sections 8.3.6 and F.6.3), both ways, and what geometry says of circles.
 */
#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

#include "outline/arc.h"
#include "random.h"

enum { MOST = 64 };

struct chain {
    struct rab_curve curves[MOST];
    size_t count;
    bool closed;
};

static struct rab_point curve_at(const struct rab_curve *c, double t)
{
    const struct rab_point *p = c->p;
    const double s = 1 - t;
    switch (c->kind) {
    case RAB_CURVE_LINE:
        return (struct rab_point){s * p[0].x + t * p[1].x, s * p[0].y + t * p[1].y};
    case RAB_CURVE_CUBIC:
        return (struct rab_point){s * s * s * p[0].x + 3 * s * s * t * p[1].x +
                                      3 * s * t * t * p[2].x + t * t * t * p[3].x,
                                  s * s * s * p[0].y + 3 * s * s * t * p[1].y +
                                      3 * s * t * t * p[2].y + t * t * t * p[3].y};
    case RAB_CURVE_ELLIPSE:
        break;
    }
    const double a = s * c->from + t * c->to;
    return (struct rab_point){p[0].x + p[1].x * cos(a) + p[2].x * sin(a),
                              p[0].y + p[1].y * cos(a) + p[2].y * sin(a)};
}

static double apart(struct rab_point p, struct rab_point q)
{
    return hypot(p.x - q.x, p.y - q.y);
}

static double from_segment(struct rab_point p, struct rab_point a, struct rab_point b)
{
    const double dx = b.x - a.x, dy = b.y - a.y, l2 = dx * dx + dy * dy;
    const double t = l2 > 0 ? fmax(0, fmin(1, ((p.x - a.x) * dx + (p.y - a.y) * dy) / l2)) : 0;
    const double x = a.x + t * dx - p.x, y = a.y + t * dy - p.y;
    return sqrt(x * x + y * y);
}

/* Into how many chords to take each curve. */
static int fineness(const struct chain *chain)
{
    return chain->count > 4 ? 60 : 300;
}

/* How far such chords may be from the curve: the second derivative over 8 n^2. */
static double chord_error(const struct rab_curve *c, int n)
{
    double most = 0;
    if (c->kind == RAB_CURVE_CUBIC) {
        for (int i = 0; i < 2; i++)
            most = fmax(most, 6 * hypot(c->p[i].x - 2 * c->p[i + 1].x + c->p[i + 2].x,
                                        c->p[i].y - 2 * c->p[i + 1].y + c->p[i + 2].y));
    } else if (c->kind == RAB_CURVE_ELLIPSE) {
        const double turn = c->to - c->from;
        most = turn * turn * (hypot(c->p[1].x, c->p[1].y) + hypot(c->p[2].x, c->p[2].y));
    }
    return most / 8 / n / n;
}

static double chain_size(const struct chain *chain)
{
    double size = 0;
    for (size_t i = 0; i < chain->count; i++) {
        for (int j = 0; j <= 8; j++) {
            const struct rab_point p = curve_at(&chain->curves[i], j / 8.0);
            size = fmax(size, fmax(fabs(p.x), fabs(p.y)));
        }
    }
    return size;
}

/* The greatest distance found from the curves to the outline. */
static double curves_off(const struct chain *chain, const struct rab_outline *outline)
{
    const int n = fineness(chain);
    double most = 0;
    for (size_t i = 0; i < chain->count; i++) {
        for (int j = 0; j <= n; j++)
            most = fmax(most, rab_outline_distance(
                                  outline, curve_at(&chain->curves[i], (double)j / n), NULL));
    }
    return most;
}

/* The greatest by which a point of the outline is further from the curves than sampling them
 * explains. */
static double outline_off(const struct chain *chain, const struct rab_outline *outline)
{
    const size_t n = (size_t)fineness(chain);
    struct rab_point *fine = malloc(chain->count * (n + 1) * sizeof *fine);
    double most = 0;

    cr_assert_not_null(fine);
    for (size_t i = 0; i < chain->count; i++) {
        for (size_t j = 0; j <= n; j++)
            fine[i * (n + 1) + j] = curve_at(&chain->curves[i], (double)j / (double)n);
    }
    for (size_t e = 0; e < arc_count(outline); e++) {
        const struct arc arc = arc_of(outline, e);
        for (int s = 0; s < 24; s++) {
            const struct rab_point at = arc_at(&arc, s / 24.0, NULL);
            double least = 1e300;
            for (size_t i = 0; i < chain->count; i++) {
                const double slack = chord_error(&chain->curves[i], (int)n);
                for (size_t j = i * (n + 1); j < (i + 1) * (n + 1) - 1; j++)
                    least = fmin(least, from_segment(at, fine[j], fine[j + 1]) - slack);
            }
            most = fmax(most, least);
        }
    }
    free(fine);
    return most;
}

static double kink_at(const struct rab_outline *outline, size_t i)
{
    const size_t n = outline->count;
    const struct arc in = arc_of(outline, (i + n - 1) % n), out = arc_of(outline, i);
    return fabs(atan2(point_cross(in.tb, out.ta), point_dot(in.tb, out.ta)));
}

/* The greatest second derivative, or a bound. */
static double chord_speed(const struct rab_curve *c)
{
    return chord_error(c, 1) * 8;
}

/* What is written as a corner may be one; what is nearly smooth, half a degree more, where a line
 * or arc was recognised; a place that the curve passes at no speed at all is a cusp. */
static double kink_allowed(const struct chain *chain, struct rab_point at, double tolerance)
{
    const size_t n = chain->count;
    double may = 0;

    for (size_t i = 0; i < n; i++) {
        const struct rab_curve *c = &chain->curves[i], *before = &chain->curves[(i + n - 1) % n];
        if (apart(at, curve_at(c, 0)) <= 0.02 * tolerance ||
            apart(at, curve_at(before, 1)) <= 0.02 * tolerance) {
            const struct rab_point p = point_minus(curve_at(before, 1), curve_at(before, 1 - 1e-6));
            const struct rab_point q = point_minus(curve_at(c, 1e-6), curve_at(c, 0));
            const double corner = fabs(atan2(point_cross(p, q), point_dot(p, q)));
            may = fmax(may, corner > 0.007 || (point_dot(p, p) == 0 || point_dot(q, q) == 0)
                                ? RAB_PI + 1
                                : corner + 0.0175);
        }
        for (int j = 0; j <= 2000; j++) {
            const double t = j / 2000.0, h = 1.0 / 2000;
            const double t0 = fmax(0, t - h), t1 = fmin(1, t + h);
            if (apart(at, curve_at(c, t)) <
                    0.02 * tolerance + apart(curve_at(c, t0), curve_at(c, t1)) &&
                apart(curve_at(c, t0), curve_at(c, t1)) <
                    0.02 * tolerance * 2 * h + chord_speed(c) * 4 * h * h)
                may = RAB_PI + 1;
        }
    }
    return may;
}

static void print_chain(const struct chain *chain, double tolerance)
{
    cr_log_warn("%zu curves, tolerance %.17g", chain->count, tolerance);
    for (size_t i = 0; i < chain->count; i++) {
        const struct rab_curve *c = &chain->curves[i];
        cr_log_warn("kind %d {%.17g,%.17g},{%.17g,%.17g},{%.17g,%.17g},{%.17g,%.17g},%.17g,%.17g",
                    c->kind, c->p[0].x, c->p[0].y, c->p[1].x, c->p[1].y, c->p[2].x, c->p[2].y,
                    c->p[3].x, c->p[3].y, c->from, c->to);
    }
}

/* What a cubic that is drawn for an arc departs from it by, by the usual rule for its handles,
 * 4/3 tan(w/4) r: 2/27 sin^6(w/4) / cos^2(w/4) r. (M. Goldapp, Approximation of circular arcs by
 * cubic polynomials, CAGD 8, 1991; from memory, and confirmed below.) 0 for other curves. */
static double drawn_error(const struct rab_curve *c)
{
    const struct rab_point a = point_minus(c->p[1], c->p[0]), b = point_minus(c->p[3], c->p[2]);
    const double chord = apart(c->p[0], c->p[3]);
    const double w = atan2(point_cross(a, b), point_dot(a, b)), s = sin(w / 4);
    const double r = chord / 2 / fabs(sin(w / 2)), handle = fabs(4.0 / 3 * tan(w / 4) * r);
    if (c->kind != RAB_CURVE_CUBIC || fabs(apart(c->p[0], c->p[1]) - handle) > 1e-4 * handle ||
        fabs(apart(c->p[2], c->p[3]) - handle) > 1e-4 * handle)
        return 0;
    return 1.01 * r * 2 / 27 * s * s * s * s * s * s / (1 - s * s);
}

/* All that the header promises. Returns the number of edges. */
static size_t check_fit(struct chain *chain, double tolerance)
{
    struct rab_outline outline = {0};
    struct rab_error err = {0};
    const double size = chain_size(chain);
    double rounding = 1e-11 * size;

    const bool ok =
        rab_outline_fit(chain->curves, chain->count, chain->closed, tolerance, &outline, &err);
    if (!ok)
        print_chain(chain, tolerance);
    cr_assert(ok, "%s", err.text);
    cr_assert_eq(outline.open, !chain->closed);
    if (chain->closed) { /* by a line, if its ends differ */
        const struct rab_point a = curve_at(&chain->curves[chain->count - 1], 1);
        const struct rab_point b = curve_at(&chain->curves[0], 0);
        cr_assert(chain->count < MOST);
        if (apart(a, b) > 1e-9 * size)
            chain->curves[chain->count++] = (struct rab_curve){RAB_CURVE_LINE, {a, b}, 0, 0};
    }

    for (size_t i = 0; i < chain->count; i++)
        rounding = fmax(rounding, drawn_error(&chain->curves[i]));
    const double to = curves_off(chain, &outline), back = outline_off(chain, &outline);
    if (to > tolerance + rounding || back > tolerance + rounding)
        print_chain(chain, tolerance);
    cr_assert(to <= tolerance + rounding, "%.9g of %.9g from the curves to the arcs", to,
              tolerance);
    cr_assert(back <= tolerance + rounding, "%.9g of %.9g from the arcs to the curves", back,
              tolerance);

    /* Ends stay; what turns is where two curves meet, or a cusp. */
    if (!chain->closed && outline.count > 1) {
        const struct rab_vertex a = outline.vertices[0], b = outline.vertices[outline.count - 1];
        const struct rab_point s = rab_curve_start(&chain->curves[0]);
        const struct rab_point e = rab_curve_end(&chain->curves[chain->count - 1]);
        cr_assert(hypot(a.x - s.x, a.y - s.y) <= 1e-3 * tolerance);
        cr_assert(hypot(b.x - e.x, b.y - e.y) <= 0.02 * tolerance);
    }
    for (size_t i = chain->closed ? 0 : 1; i + (chain->closed ? 0 : 1) < outline.count; i++) {
        const struct rab_point at = {outline.vertices[i].x, outline.vertices[i].y};
        const double kink = kink_at(&outline, i);
        if (kink < 1e-5 || outline.count < 3)
            continue;
        const double may = kink_allowed(chain, at, tolerance);
        if (kink > may)
            print_chain(chain, tolerance);
        cr_assert(kink <= may, "kink of %g, %g allowed at %.9g,%.9g", kink, may, at.x, at.y);
    }
    const size_t edges = arc_count(&outline);
    rab_outline_clear(&outline);
    return edges;
}

static struct rab_curve cubic_of(double x0, double y0, double x1, double y1, double x2, double y2,
                                 double x3, double y3)
{
    return (struct rab_curve){RAB_CURVE_CUBIC, {{x0, y0}, {x1, y1}, {x2, y2}, {x3, y3}}, 0, 0};
}

/* ---- all sorts of curves ---- */

static void any_cubic(struct random *random, struct chain *chain)
{
    double v[8];
    const double size = fabs(random_size(random, 0.01, 300));
    for (int i = 0; i < 8; i++)
        v[i] = random_between(random, -size, size);
    chain->curves[0] = cubic_of(v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7]);
    chain->count = 1;
}

/* Control points of a coarse grid: coincident, in line, cusps, loops, closed. */
static void grid_cubic(struct random *random, struct chain *chain)
{
    double v[8];
    for (int i = 0; i < 8; i++)
        v[i] = random_below(random, 4);
    chain->curves[0] = cubic_of(v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7]);
    chain->count = 1;
    chain->closed = random_below(random, 2) == 1;
}

/* About a cusp: x = +- 3 t^2, y = t^3 on [-1, 1] and bent a little. */
static void near_cusp(struct random *random, struct chain *chain)
{
    const double e = random_below(random, 5) ? random_size(random, 1e-12, 0.3) : 0;
    const double s = fabs(random_size(random, 0.1, 100));
    chain->curves[0] = cubic_of(-s, 0, s * (1 + e), s, -s * (1 + e), s, s, 0);
    if (random_below(random, 2))
        chain->curves[0].p[1].y += s * random_size(random, 1e-9, 0.1);
    chain->count = 1;
}

/* Smooth chains like the outlines of letters, some with corners and straight parts. */
static void smooth_chain(struct random *random, struct chain *chain, bool corners)
{
    const double size = fabs(random_size(random, 0.3, 60));
    double x = random_between(random, -100, 100), y = random_between(random, -100, 100);
    double angle = random_between(random, -3, 3);
    chain->count = 1 + (size_t)random_below(random, 6);

    for (size_t i = 0; i < chain->count; i++) {
        const double length = size * random_between(random, 0.1, 1);
        if (corners && random_below(random, 3) == 0)
            angle += random_between(random, -3, 3);
        if (corners && random_below(random, 3) == 0) {
            const double ex = x + length * cos(angle), ey = y + length * sin(angle);
            chain->curves[i] = (struct rab_curve){RAB_CURVE_LINE, {{x, y}, {ex, ey}}, 0, 0};
            x = ex;
            y = ey;
            continue;
        }
        const double turned = angle + random_between(random, -2, 2);
        const double ex = x + length * cos((angle + turned) / 2);
        const double ey = y + length * sin((angle + turned) / 2);
        const double h0 = length * random_between(random, 0.1, 0.6);
        const double h1 = length * random_between(random, 0.1, 0.6);
        chain->curves[i] = cubic_of(x, y, x + h0 * cos(angle), y + h0 * sin(angle),
                                    ex - h1 * cos(turned), ey - h1 * sin(turned), ex, ey);
        x = ex;
        y = ey;
        angle = turned;
    }
}

/* Closed and smooth: handles along the directions to the neighbours' neighbours (Catmull and Rom's
 * rule). */
static void closed_blob(struct random *random, struct chain *chain)
{
    double x[12], y[12];
    const int n = 3 + random_below(random, 8);
    const double size = fabs(random_size(random, 0.5, 80));
    for (int i = 0; i < n; i++) {
        const double a = 2 * RAB_PI * i / n, r = size * random_between(random, 0.4, 1);
        x[i] = r * cos(a);
        y[i] = r * sin(a);
    }
    for (int i = 0; i < n; i++) {
        const int a = (i + n - 1) % n, b = (i + 1) % n, c = (i + 2) % n;
        chain->curves[i] = cubic_of(x[i], y[i], x[i] + (x[b] - x[a]) / 6, y[i] + (y[b] - y[a]) / 6,
                                    x[b] - (x[c] - x[i]) / 6, y[b] - (y[c] - y[i]) / 6, x[b], y[b]);
    }
    chain->count = (size_t)n;
    chain->closed = true;
}

static void ellipse_arc(struct random *random, struct chain *chain)
{
    struct rab_curve *c = &chain->curves[0];
    const double size = fabs(random_size(random, 0.05, 200));
    *c = (struct rab_curve){.kind = RAB_CURVE_ELLIPSE};
    c->p[0] = (struct rab_point){random_between(random, -50, 50), random_between(random, -50, 50)};
    c->p[1] = (struct rab_point){random_between(random, -size, size),
                                 random_between(random, -size, size)};
    c->p[2] = (struct rab_point){random_between(random, -size, size),
                                 random_between(random, -size, size)};
    if (random_below(random, 6) == 0) /* flat, or nearly */
        c->p[2] =
            (struct rab_point){c->p[1].x / 2, c->p[1].y / 2 + random_size(random, 1e-12, 1e-2)};
    c->from = random_between(random, -7, 7);
    c->to = c->from + random_between(random, -2 * RAB_PI, 2 * RAB_PI);
    if (random_below(random, 3) == 0) {
        c->to = c->from + 2 * RAB_PI;
        chain->closed = true;
    }
    chain->count = 1;
}

/* One cubic cut into many. */
static void cut_finely(struct random *random, struct chain *chain)
{
    any_cubic(random, chain);
    const struct rab_curve whole = chain->curves[0];
    chain->count = 2 + (size_t)random_below(random, MOST - 4);
    for (size_t i = 0; i < chain->count; i++) {
        const double t[2] = {(double)i / (double)chain->count,
                             (double)(i + 1) / (double)chain->count};
        struct rab_curve *part = &chain->curves[i];
        *part = whole;
        for (int side = 1; side >= 0; side--) { /* de Casteljau, from either side */
            const double s = side == 1 ? t[1] : 1 - t[0] / t[1];
            for (int round = 0; round < 3; round++) {
                for (int k = 0; k < 3 - round; k++) {
                    struct rab_point *p = part->p;
                    if (side == 1) {
                        const int j = 3 - k;
                        p[j].x = (1 - s) * p[j - 1].x + s * p[j].x;
                        p[j].y = (1 - s) * p[j - 1].y + s * p[j].y;
                    } else {
                        const int j = k;
                        p[j].x = (1 - s) * p[j + 1].x + s * p[j].x;
                        p[j].y = (1 - s) * p[j + 1].y + s * p[j].y;
                    }
                }
            }
        }
        if (i > 0)
            part->p[0] = chain->curves[i - 1].p[3];
    }
}

static double some_tolerance(struct random *random, const struct chain *chain)
{
    return fmax(chain_size(chain), 1e-3) * fabs(random_size(random, 1e-6, 2e-2));
}

static void all_sorts(uint64_t seed, int count, void (*make)(struct random *, struct chain *))
{
    struct random random = {seed};
    for (int n = 0; n < count; n++) {
        struct chain chain = {.count = 0};
        make(&random, &chain);
        (void)check_fit(&chain, some_tolerance(&random, &chain));
    }
}

static void letters(struct random *random, struct chain *chain)
{
    smooth_chain(random, chain, false);
}

static void corners(struct random *random, struct chain *chain)
{
    smooth_chain(random, chain, true);
    chain->closed = false;
}

/* As an editor rounds them: joints are no longer quite smooth. */
static void rounded_letters(struct random *random, struct chain *chain)
{
    smooth_chain(random, chain, false);
    for (size_t i = 0; i < chain->count; i++) {
        for (int j = 0; j < 4; j++) {
            struct rab_point *p = &chain->curves[i].p[j];
            *p = (struct rab_point){round(p->x * 100) / 100, round(p->y * 100) / 100};
        }
    }
}

Test(outline_fit, rounded_chains)
{
    all_sorts(9, 800, rounded_letters);
}

Test(outline_fit, any_cubics)
{
    all_sorts(1, 1800, any_cubic);
}

Test(outline_fit, cubics_on_a_grid)
{
    all_sorts(2, 2500, grid_cubic);
}

Test(outline_fit, cubics_about_a_cusp)
{
    all_sorts(3, 1000, near_cusp);
}

Test(outline_fit, smooth_chains)
{
    all_sorts(4, 1000, letters);
}

Test(outline_fit, chains_with_corners_and_lines)
{
    all_sorts(5, 1400, corners);
}

Test(outline_fit, closed_blobs)
{
    all_sorts(6, 500, closed_blob);
}

Test(outline_fit, elliptical_arcs)
{
    all_sorts(7, 1000, ellipse_arc);
}

Test(outline_fit, curves_cut_finely)
{
    all_sorts(8, 100, cut_finely);
}

/* ---- what is recognised ---- */

struct ring {
    int parts;           /* cubics */
    double handle;       /* for a radius of 1; 0: 4/3 tan(w/4) */
    double radius, from; /* of the start, radians */
    int places;          /* decimals kept; -1: all */
    bool clockwise;
};

static double rounded(double value, int places)
{
    const double unit = pow(10, places);
    return places < 0 ? value : round(value * unit) / unit;
}

static void ring_of(struct ring ring, struct rab_point centre, double squeeze, struct chain *chain)
{
    const double w = (ring.clockwise ? -2 : 2) * RAB_PI / ring.parts;
    const double h = ring.handle > 0 ? copysign(ring.handle, w) : 4.0 / 3 * tan(w / 4);
    chain->count = (size_t)ring.parts;
    chain->closed = true;
    for (int i = 0; i < ring.parts; i++) {
        const double a = ring.from + w * i, b = a + w;
        const double x[4] = {cos(a), cos(a) - h * sin(a), cos(b) + h * sin(b), cos(b)};
        const double y[4] = {sin(a), sin(a) + h * cos(a), sin(b) - h * cos(b), sin(b)};
        chain->curves[i] = cubic_of(0, 0, 0, 0, 0, 0, 0, 0);
        for (int j = 0; j < 4; j++)
            chain->curves[i].p[j] =
                (struct rab_point){rounded(centre.x + ring.radius * x[j], ring.places),
                                   rounded(centre.y + squeeze * ring.radius * y[j], ring.places)};
    }
}

/* The handle constants of a quarter circle: 4 (sqrt 2 - 1) / 3 exactly and as people round it, the
 * one of least greatest departure (0.5519150244935106, from memory), of least mean departure
 * (0.551784, from memory), and 0.552. */
Test(outline_fit, circles_drawn_as_cubics)
{
    static const double handles[] = {0,        0.5523, 0.552284749831, 0.55228475, 0.5519150244935,
                                     0.551784, 0.5520, 0.5522};
    static const int parts[] = {2, 3, 4, 5, 6, 8, 12, 16};
    struct random random = {11};

    for (int n = 0; n < 4000; n++) {
        struct ring ring = {
            .parts = 4,
            .handle = handles[random_below(&random, 8)],
            .radius = fabs(random_size(&random, 0.5, 150)),
            .from = random_below(&random, 3) ? random_between(&random, -4, 4)
                                             : random_below(&random, 8) * RAB_PI / 4,
            .places = random_below(&random, 3) ? -1 : 2 + random_below(&random, 2),
            .clockwise = random_below(&random, 2) == 1,
        };
        if (random_below(&random, 2)) {
            ring.handle = 0;
            ring.parts = parts[random_below(&random, 8)];
        }
        struct chain chain = {.count = 0};
        struct rab_outline outline = {0};
        struct rab_error err = {0};
        const struct rab_point centre = {random_between(&random, -200, 200),
                                         random_between(&random, -200, 200)};
        ring_of(ring, centre, 1, &chain);
        cr_assert(rab_outline_fit(chain.curves, chain.count, true, 0.01, &outline, &err));
        if (outline.count != 2)
            print_chain(&chain, 0.01);
        cr_assert_eq(outline.count, 2, "%d parts, handle %g, radius %g, %d places: %zu vertices",
                     ring.parts, ring.handle, ring.radius, ring.places, outline.count);
        const double bulge = ring.clockwise ? -1 : 1;
        const double off = ring.places < 0 ? 1e-9 * ring.radius : 0.01;
        cr_assert_eq(outline.vertices[0].bulge, bulge);
        cr_assert_eq(outline.vertices[1].bulge, bulge);
        const struct rab_box box = rab_outline_box(&outline);
        cr_assert(fabs(box.x0 - centre.x + ring.radius) < off);
        cr_assert(fabs(box.x1 - centre.x - ring.radius) < off);
        cr_assert(fabs(box.y0 - centre.y + ring.radius) < off);
        cr_assert(fabs(box.y1 - centre.y - ring.radius) < off);
        rab_outline_clear(&outline);
    }
}

/* Squeezed by more than the tolerance it is no circle. */
Test(outline_fit, ellipses_are_not_circles)
{
    for (int parts = 3; parts <= 16; parts++) {
        for (int from = 0; from < 8; from++) {
            struct chain chain = {.count = 0};
            struct rab_outline outline = {0};
            struct rab_error err = {0};
            const struct ring ring = {.parts = parts, .radius = 40, .from = from, .places = -1};
            ring_of(ring, (struct rab_point){3, 4}, 1 + 0.03 / 40, &chain);
            cr_assert(rab_outline_fit(chain.curves, chain.count, true, 0.01, &outline, &err));
            cr_expect_gt(outline.count, 2, "%d parts from %d", parts, from);
            rab_outline_clear(&outline);
        }
    }
}

/* Circles written as elliptical arcs (SVG 1.1, F.6), cut anywhere, also by a transform that turns,
 * scales evenly or mirrors: half-diameters stay equal and at right angles. */
Test(outline_fit, circles_written_as_elliptical_arcs)
{
    struct random random = {12};
    for (int n = 0; n < 2000; n++) {
        struct chain chain = {.closed = true, .count = 1 + (size_t)random_below(&random, 5)};
        struct rab_outline outline = {0};
        struct rab_error err = {0};
        const double r = fabs(random_size(&random, 0.01, 500)), a = random_between(&random, 0, 7);
        const double hand = random_below(&random, 2) ? 1 : -1;
        const double way = random_below(&random, 2) ? 1 : -1;
        double at = random_between(&random, -7, 7), left = 2 * RAB_PI;
        const struct rab_point centre = {random_between(&random, -200, 200), 7};
        for (size_t i = 0; i < chain.count; i++) {
            const double turn =
                i + 1 == chain.count ? left : left * random_between(&random, 0.1, 0.9);
            chain.curves[i] = (struct rab_curve){
                RAB_CURVE_ELLIPSE,
                {centre, {r * cos(a), r * sin(a)}, {-hand * r * sin(a), hand * r * cos(a)}, {0, 0}},
                at,
                at + way * turn};
            at += way * turn;
            left -= turn;
        }
        cr_assert(rab_outline_fit(chain.curves, chain.count, true, 0.01, &outline, &err));
        cr_assert_eq(outline.count, 2, "%zu vertices of %zu arcs", outline.count, chain.count);
        cr_assert_eq(outline.vertices[0].bulge, hand * way);
        cr_assert_eq(outline.vertices[1].bulge, hand * way);
        cr_assert(fabs(rab_outline_area(&outline) - hand * way * RAB_PI * r * r) < 1e-9 * r * r);
        cr_assert(apart(rab_outline_centroid(&outline), centre) < 1e-9 * (r + 200));
        rab_outline_clear(&outline);
    }
}

/* A rectangle with rounded corners of cubics is 4 lines and 4 arcs: area w h - (4 - pi) r^2,
 * perimeter 2 (w + h) - 8 r + 2 pi r (mensuration, any handbook). Sides may be cubics too. */
Test(outline_fit, rounded_rectangles)
{
    struct random random = {13};
    for (int n = 0; n < 1000; n++) {
        struct chain chain = {.count = 0, .closed = true};
        struct rab_outline outline = {0};
        struct rab_error err = {0};
        const double r = random_between(&random, 0.5, 40), k = 0.5522847498307936 * r;
        const double w = 2 * r + random_between(&random, 0.5, 100),
                     h = 2 * r + random_between(&random, 0.5, 100);
        const double turn = random_between(&random, 0, 7), c = cos(turn), s = sin(turn);
        const bool cubic_sides = random_below(&random, 2) == 1;
        const double x[16] = {r,     w - r, w - r + k, w, w, w, w, w - r + k,
                              w - r, r,     r - k,     0, 0, 0, 0, r - k};
        const double y[16] = {0, 0, 0, r - k,     r,     h - r, h - r + k, h,
                              h, h, h, h - r + k, h - r, r,     r - k,     0};
        struct rab_point p[17];
        for (int i = 0; i < 17; i++)
            p[i] = (struct rab_point){c * x[i % 16] - s * y[i % 16], s * x[i % 16] + c * y[i % 16]};
        for (int i = 0; i < 4; i++) {
            const struct rab_point *q = &p[4 * i];
            struct rab_curve *side = &chain.curves[chain.count++];
            *side = (struct rab_curve){RAB_CURVE_LINE, {q[0], q[1]}, 0, 0};
            if (cubic_sides)
                *side =
                    cubic_of(q[0].x, q[0].y, (3 * q[0].x + q[1].x) / 4, (3 * q[0].y + q[1].y) / 4,
                             (q[0].x + q[1].x) / 2, (q[0].y + q[1].y) / 2, q[1].x, q[1].y);
            chain.curves[chain.count++] =
                cubic_of(q[1].x, q[1].y, q[2].x, q[2].y, q[3].x, q[3].y, q[4].x, q[4].y);
        }
        cr_assert(rab_outline_fit(chain.curves, chain.count, true, 0.01, &outline, &err));
        if (outline.count != 8)
            print_chain(&chain, 0.01);
        cr_assert_eq(outline.count, 8, "%zu", outline.count);
        cr_assert(fabs(rab_outline_area(&outline) - (w * h - (4 - RAB_PI) * r * r)) < 1e-9 * w * h);
        cr_assert(fabs(rab_outline_perimeter(&outline) - (2 * (w + h) - 8 * r + 2 * RAB_PI * r)) <
                  1e-9 * (w + h));
        for (size_t i = 0; i < 8; i++)
            cr_assert(kink_at(&outline, i) < 1e-9);
        rab_outline_clear(&outline);
    }
}

/* Rounded to two places, and turned: still 4 lines and 4 arcs. */
Test(outline_fit, rounded_rectangles_of_rounded_numbers)
{
    struct random random = {14};
    for (int n = 0; n < 1000; n++) {
        struct chain chain = {.count = 0, .closed = true};
        struct rab_outline outline = {0};
        struct rab_error err = {0};
        /* Where rounding turns a handle by more than half a degree it made a corner. */
        const double r = random_between(&random, 2, 20), k = 0.55228 * r;
        const double w = 2 * r + random_between(&random, 1, 50), h = 2 * r + 10;
        const double turn = n % 2 ? random_between(&random, 0, 7) : 0, c = cos(turn), s = sin(turn);
        const double x[16] = {r,     w - r, w - r + k, w, w, w, w, w - r + k,
                              w - r, r,     r - k,     0, 0, 0, 0, r - k};
        const double y[16] = {0, 0, 0, r - k,     r,     h - r, h - r + k, h,
                              h, h, h, h - r + k, h - r, r,     r - k,     0};
        struct rab_point p[17];
        for (int i = 0; i < 17; i++)
            p[i] = (struct rab_point){rounded(c * x[i % 16] - s * y[i % 16], 2),
                                      rounded(s * x[i % 16] + c * y[i % 16], 2)};
        for (int i = 0; i < 16; i += 4) {
            chain.curves[chain.count++] =
                (struct rab_curve){RAB_CURVE_LINE, {p[i], p[i + 1]}, 0, 0};
            chain.curves[chain.count++] = cubic_of(p[i + 1].x, p[i + 1].y, p[i + 2].x, p[i + 2].y,
                                                   p[i + 3].x, p[i + 3].y, p[i + 4].x, p[i + 4].y);
        }
        cr_assert(rab_outline_fit(chain.curves, chain.count, true, 0.01, &outline, &err));
        cr_assert_eq(outline.count, 8);
        const double perimeter = 2 * (w + h) - 8 * r + 2 * RAB_PI * r;
        cr_assert(fabs(rab_outline_area(&outline) - (w * h - (4 - RAB_PI) * r * r)) <
                  0.01 * perimeter);
        rab_outline_clear(&outline);
    }
}

/* So finely divided that every piece might pass for a line: a circle is one all the same, and an
 * ellipse takes as few arcs as if it came whole. */
Test(outline_fit, very_finely_divided)
{
    enum { PARTS = 20000 };
    struct rab_curve *curves = malloc(PARTS * sizeof *curves);
    const double w = 2 * RAB_PI / PARTS, h = 4.0 / 3 * tan(w / 4);
    const struct rab_curve whole = {
        RAB_CURVE_ELLIPSE, {{0, 0}, {50, 0}, {0, 30}, {0, 0}}, 0, 2 * RAB_PI};

    cr_assert_not_null(curves);
    for (int squeezed = 0; squeezed < 2; squeezed++) {
        struct rab_outline outline = {0}, at_once = {0};
        struct rab_error err = {0};
        const double x = 50, y = squeezed ? 30 : 50;
        for (int i = 0; i < PARTS; i++) {
            const double a = i * w, b = a + w;
            curves[i] = cubic_of(x * cos(a), y * sin(a), x * (cos(a) - h * sin(a)),
                                 y * (sin(a) + h * cos(a)), x * (cos(b) + h * sin(b)),
                                 y * (sin(b) - h * cos(b)), x * cos(b), y * sin(b));
        }
        cr_assert(rab_outline_fit(curves, PARTS, true, 0.01, &outline, &err));
        cr_assert(rab_outline_fit(&whole, 1, true, 0.01, &at_once, &err));
        if (squeezed)
            cr_expect_leq(outline.count, at_once.count + 2, "%zu, at once %zu", outline.count,
                          at_once.count);
        else
            cr_expect_eq(outline.count, 2);
        for (size_t i = 0; i < outline.count; i++)
            cr_expect(kink_at(&outline, i) < 1e-6);
        rab_outline_clear(&outline);
        rab_outline_clear(&at_once);
    }
    free(curves);
}

/* A pointed arch: two arcs of one radius that meet at the head, each of one or of several cubics,
 * on straight sides. Its corners stay where they are, its arcs are arcs. */
Test(outline_fit, pointed_arch)
{
    for (int parts = 1; parts <= 4; parts++) {
        struct chain chain = {.count = 0, .closed = true};
        struct rab_outline outline = {0};
        struct rab_error err = {0};
        const double width = 40, r = 40, sweep = RAB_PI / 3, w = sweep / parts;
        const double h = 4.0 / 3 * tan(w / 4) * r;
        chain.curves[chain.count++] =
            (struct rab_curve){RAB_CURVE_LINE, {{0, 0}, {width, 0}}, 0, 0};
        chain.curves[chain.count++] =
            (struct rab_curve){RAB_CURVE_LINE, {{width, 0}, {width, 50}}, 0, 0};
        for (int side = 0; side < 2; side++) {
            for (int i = 0; i < parts; i++) {
                const double a = (side ? RAB_PI - sweep : 0) + w * i, b = a + w, cx = side ? r : 0;
                chain.curves[chain.count++] =
                    cubic_of(cx + r * cos(a), 50 + r * sin(a), cx + r * cos(a) - h * sin(a),
                             50 + r * sin(a) + h * cos(a), cx + r * cos(b) + h * sin(b),
                             50 + r * sin(b) - h * cos(b), cx + r * cos(b), 50 + r * sin(b));
            }
        }
        cr_assert(rab_outline_fit(chain.curves, chain.count, true, 0.01, &outline, &err));
        cr_assert_eq(outline.count, 5);
        /* Rectangle, and two sectors of 60 degrees less the triangle they share. */
        const double area = 50 * width + r * r * (RAB_PI / 3 - sqrt(3) / 4);
        cr_expect(fabs(rab_outline_area(&outline) - area) < 1e-9 * area);
        for (size_t i = 0; i < outline.count; i++) {
            if (outline.vertices[i].bulge != 0)
                cr_expect(fabs(outline.vertices[i].bulge - tan(RAB_PI / 12)) < 1e-9);
        }
        rab_outline_clear(&outline);
    }
}

/* The second formula of Ramanujan for the perimeter of an ellipse (1914): with h = ((a-b)/(a+b))^2,
 * pi (a + b) (1 + 3 h / (10 + sqrt(4 - 3 h))), short by less than 3 h^5 / 2^17 of it. */
Test(outline_fit, ellipse_measures)
{
    for (double b = 4; b < 30; b += 1.7) {
        const double a = 30, h = (a - b) * (a - b) / (a + b) / (a + b);
        const double perimeter = RAB_PI * (a + b) * (1 + 3 * h / (10 + sqrt(4 - 3 * h)));
        struct rab_outline outline = {0};
        struct rab_error err = {0};
        const struct rab_curve curve = {
            RAB_CURVE_ELLIPSE, {{7, 8}, {a, 0}, {0, b}, {0, 0}}, 1, 1 + 2 * RAB_PI};
        const double tolerance = 1e-4;
        cr_assert(rab_outline_fit(&curve, 1, true, tolerance, &outline, &err));
        cr_expect(fabs(rab_outline_area(&outline) - RAB_PI * a * b) < tolerance * perimeter);
        cr_expect(fabs(rab_outline_perimeter(&outline) - perimeter) <
                  1e-5 * perimeter + perimeter * 3 * h * h * h * h * h / 131072);
        for (size_t i = 0; i < outline.count; i++)
            cr_expect(kink_at(&outline, i) < 1e-7);
        rab_outline_clear(&outline);
    }
}

/* ---- what cannot be ---- */

static void refused(struct rab_curve curve, double tolerance, enum rab_fault fault)
{
    struct rab_outline outline = {0};
    struct rab_error err = {0};
    cr_expect_not(rab_outline_fit(&curve, 1, false, tolerance, &outline, &err));
    cr_expect_eq(err.fault, fault);
    cr_expect_gt(strlen(err.text), 20);
    cr_expect_null(outline.vertices);
}

Test(outline_fit, refusals)
{
    const struct rab_curve good = cubic_of(0, 0, 1, 2, 3, 2, 4, 0);
    for (int i = 0; i < 4; i++) {
        struct rab_curve bad = good;
        bad.p[i].x = NAN;
        refused(bad, 0.01, RAB_FAULT_INPUT);
        bad.p[i].x = INFINITY;
        refused(bad, 0.01, RAB_FAULT_INPUT);
        bad.p[i].x = 1e200;
        refused(bad, 0.01, RAB_FAULT_INPUT);
    }
    refused(good, 0, RAB_FAULT_INPUT);
    refused(good, -1, RAB_FAULT_INPUT);
    refused(good, NAN, RAB_FAULT_INPUT);
    refused(good, INFINITY, RAB_FAULT_INPUT);
    refused(good, 1e-13, RAB_FAULT_GEOMETRY);
    refused((struct rab_curve){RAB_CURVE_ELLIPSE, {{0, 0}, {1, 0}, {0, 1}, {0, 0}}, 0, NAN}, 0.01,
            RAB_FAULT_INPUT);
    refused((struct rab_curve){RAB_CURVE_ELLIPSE, {{0, 0}, {1, 0}, {2, 0}, {0, 0}}, 1e300, 1e300},
            0.01, RAB_FAULT_INPUT);
    refused((struct rab_curve){RAB_CURVE_ELLIPSE, {{0, 0}, {1, 0}, {0, 1}, {0, 0}}, 0, 7}, 0.01,
            RAB_FAULT_INPUT);
}

Test(outline_fit, nothing_and_points)
{
    struct rab_outline outline = {0};
    struct rab_error err = {0};
    const struct rab_curve point = cubic_of(3, 4, 3, 4, 3, 4, 3, 4);
    cr_assert(rab_outline_fit(NULL, 0, true, 0.01, &outline, &err));
    cr_expect_eq(outline.count, 0);
    cr_assert(rab_outline_fit(&point, 1, true, 0.01, &outline, &err));
    cr_expect_eq(outline.count, 1);
    cr_expect_eq(outline.vertices[0].x, 3);
    cr_expect_eq(outline.vertices[0].y, 4);
    rab_outline_clear(&outline);
}
