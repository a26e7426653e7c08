#include "frame/hull.h"

#include <math.h>
#include <stdlib.h>

/* ---- the smallest circle ------------------------------------------------------------------- */

struct disc {
    struct rab_point centre;
    double radius;
};

static bool holds(struct disc d, struct rab_point p)
{
    return point_apart(d.centre, p) <= d.radius * (1 + 1e-13) + 1e-12;
}

static struct disc disc_of_two(struct rab_point a, struct rab_point b)
{
    return (struct disc){{(a.x + b.x) / 2, (a.y + b.y) / 2}, point_apart(a, b) / 2};
}

static struct disc disc_of_three(struct rab_point a, struct rab_point b, struct rab_point c)
{
    const struct rab_point u = point_minus(b, a), v = point_minus(c, a);
    const double d = 2 * point_cross(u, v), uu = point_dot(u, u), vv = point_dot(v, v);
    struct disc made = {{0, 0}, 1e300};

    if (d != 0) {
        made.centre =
            (struct rab_point){a.x + (v.y * uu - u.y * vv) / d, a.y + (u.x * vv - v.x * uu) / d};
        made.radius = fmax(point_apart(made.centre, a),
                           fmax(point_apart(made.centre, b), point_apart(made.centre, c)));
    }
    return made;
}

/* Welzl, Smallest enclosing disks (balls and ellipsoids), 1991, without recursion: a point outside
 * lies on the circle of all points up to it. */
static struct disc disc_around(const struct rab_point *p, size_t n)
{
    struct disc d = {p[0], 0};

    for (size_t i = 1; i < n; i++) {
        if (holds(d, p[i]))
            continue;
        d = (struct disc){p[i], 0};
        for (size_t j = 0; j < i; j++) {
            if (holds(d, p[j]))
                continue;
            d = disc_of_two(p[i], p[j]);
            for (size_t k = 0; k < j; k++)
                if (!holds(d, p[k]))
                    d = disc_of_three(p[i], p[j], p[k]);
        }
    }
    return d;
}

/* The point of an arc that is furthest from another point. */
static struct rab_point furthest_on(const struct arc *arc, struct rab_point from)
{
    struct rab_point best =
        point_apart(from, arc->a) >= point_apart(from, arc->b) ? arc->a : arc->b;

    if (arc->bulge != 0) {
        const struct rab_point centre = arc_centre(arc);
        const double away = point_apart(from, centre), radius = arc_radius(arc);
        if (away > 0) {
            const struct rab_point p =
                point_along(centre, radius / away, point_minus(centre, from));
            if (arc_faces(arc, p) && point_apart(from, p) > point_apart(from, best))
                best = p;
        }
    }
    return best;
}

void hull_circle(const struct field *field, size_t site, struct rab_point *centre, double *radius)
{
    enum { ROUNDS = 200 };
    const struct site *self = &field->sites[site];
    struct rab_point points[ROUNDS + 1];
    struct disc d = {{0, 0}, 0};

    points[0] = field->arcs[field->first[self->openings[0]]].a;
    /* Always add the furthest point: the circle grows to the one around everything. */
    for (size_t n = 1;; n++) {
        double most = -1;
        struct rab_point far = points[0];
        d = disc_around(points, n);
        for (size_t o = 0; o < self->count; o++)
            for (size_t i = field->first[self->openings[o]];
                 i < field->first[self->openings[o] + 1]; i++) {
                const struct rab_point p = furthest_on(&field->arcs[i], d.centre);
                if (point_apart(p, d.centre) > most) {
                    most = point_apart(p, d.centre);
                    far = p;
                }
            }
        *centre = d.centre;
        *radius = most; /* around everything in any case */
        if (most <= d.radius + 1e-9 || n == ROUNDS)
            return;
        points[n] = far;
    }
}

/* ---- the convex hull ------------------------------------------------------------------------ */

/* A point of an outline and the circle that it is on; lines are their ends. */
struct mark {
    struct rab_point at;
    size_t circle; /* the first of neighbouring arcs on one circle; SIZE_MAX: a corner */
};

/* For each arc of an opening the first of its neighbours on the same circle. */
static void find_circles(const struct field *field, size_t opening, size_t *circles)
{
    const size_t first = field->first[opening], n = field->first[opening + 1] - first;

    for (size_t i = 0; i < n; i++)
        circles[i] = field->arcs[first + i].bulge > 0 ? first + i : SIZE_MAX;
    for (size_t i = 1; i <= n; i++) {
        const struct arc *a = &field->arcs[first + i - 1], *b = &field->arcs[first + i % n];
        if (a->bulge > 0 && b->bulge > 0 && point_apart(arc_centre(a), arc_centre(b)) < 1e-6 &&
            fabs(arc_radius(a) - arc_radius(b)) < 1e-6) {
            const size_t from = circles[i % n], to = circles[i - 1];
            for (size_t k = 0; k < n; k++)
                if (circles[k] == from)
                    circles[k] = to;
        }
    }
}

static int left_to_right(const void *a, const void *b)
{
    const struct mark *p = a, *q = b;

    if (p->at.x != q->at.x)
        return p->at.x < q->at.x ? -1 : 1;
    return p->at.y < q->at.y ? -1 : p->at.y > q->at.y;
}

/* Andrew, Another efficient algorithm for convex hulls in two dimensions, 1979. */
static size_t hull_marks(const struct mark *sorted, size_t n, struct mark *out)
{
    size_t count = 0;

    for (int side = 0; side < 2; side++) {
        const size_t least = side == 0 ? 1 : count; /* the chain begins with one point */
        for (size_t i = 0; i < n; i++) {
            const struct mark m = sorted[side == 0 ? i : n - 1 - i];
            while (count > least && point_cross(point_minus(out[count - 1].at, out[count - 2].at),
                                                point_minus(m.at, out[count - 1].at)) <= 0)
                count--;
            if (count == 0 || point_apart(out[count - 1].at, m.at) > 0)
                out[count++] = m;
        }
    }
    return count > 1 ? count - 1 : count; /* the first point stands at the end again */
}

/* A part of the hull: along an arc, or a corner. */
struct turn {
    bool round;
    struct rab_point centre, from, to;
    double radius;
    size_t circle;
};

struct around {
    const struct field *field;
    const size_t *circles; /* of every arc of the field's openings in question, else unused */
};

static bool on_circle(const struct around *around, size_t circle, struct rab_point p)
{
    const struct field *field = around->field;
    const size_t opening = field->opening_of[circle];

    for (size_t i = field->first[opening]; i < field->first[opening + 1]; i++)
        if (around->circles[i] == circle && arc_faces(&field->arcs[i], p))
            return true;
    return false;
}

/* The tangent that leads from one part to the next, outwards to its right. Where it would touch an
 * arc beyond its ends the end is taken. */
static void lead(const struct around *around, struct turn *a, struct turn *b)
{
    const struct rab_point w = point_minus(b->centre, a->centre);
    const double d = point_apart(a->centre, b->centre);
    const double s = d > 0 ? (a->radius - b->radius) / d : 2;

    if (fabs(s) < 1) {
        const double c = sqrt((1 - s) * (1 + s));
        /* Unit outward normal: right of the way by the angle whose sine is s, forward. */
        const struct rab_point u = {w.x / d, w.y / d};
        const struct rab_point n = {u.x * s + u.y * c, u.y * s - u.x * c};
        const struct rab_point p = point_along(a->centre, a->radius, n);
        const struct rab_point q = point_along(b->centre, b->radius, n);
        if (a->round && on_circle(around, a->circle, p))
            a->to = p;
        if (b->round && on_circle(around, b->circle, q))
            b->from = q;
    }
}

static bool draw_hull(const struct around *around, const struct mark *marks, size_t count,
                      struct rab_outline *out, struct rab_error *err)
{
    struct turn *turns = malloc((count + 1) * sizeof *turns);
    size_t n = 0, start = 0;
    bool ok = true;

    if (!turns)
        return rab_fail_memory(err);
    /* Begin where the part changes. */
    while (start + 1 < count && marks[start].circle != SIZE_MAX &&
           marks[start].circle == marks[(start + count - 1) % count].circle)
        start++;
    for (size_t i = 0; i < count;) {
        const struct mark *m = &marks[(start + i) % count];
        size_t run = 1;
        while (m->circle != SIZE_MAX && i + run < count &&
               marks[(start + i + run) % count].circle == m->circle)
            run++;
        struct turn t = {.centre = m->at, .from = m->at, .to = m->at};
        if (m->circle != SIZE_MAX) {
            const struct arc *arc = &around->field->arcs[m->circle];
            t.round = true;
            t.circle = m->circle;
            t.centre = arc_centre(arc);
            t.radius = arc_radius(arc);
            t.to = marks[(start + i + run - 1) % count].at;
        }
        turns[n++] = t;
        i += run;
    }
    if (n == 1 && turns[0].round) { /* one circle is all */
        ok = rab_outline_circle(turns[0].centre, turns[0].radius, out, err);
        free(turns);
        return ok;
    }
    for (size_t i = 0; i < n && n > 1; i++)
        lead(around, &turns[i], &turns[(i + 1) % n]);
    for (size_t i = 0; i < n && ok; i++) {
        const struct turn *t = &turns[i];
        if (t->round) {
            const struct rab_point a = point_minus(t->from, t->centre);
            const struct rab_point b = point_minus(t->to, t->centre);
            double angle = atan2(point_cross(a, b), point_dot(a, b));
            if (angle < -1e-9)
                angle += 2 * RAB_PI;
            ok = rab_outline_add(out, t->from.x, t->from.y, tan(angle / 4), err);
        }
        ok = ok && rab_outline_add(out, t->to.x, t->to.y, 0, err);
    }
    free(turns);
    return ok;
}

bool hull_outline(const struct field *field, size_t site, struct rab_outline *out,
                  struct rab_error *err)
{
    enum { ON_ARC = 32 }; /* points that tell where an arc is on the hull, and where not */
    const struct site *self = &field->sites[site];
    struct rab_outline made = {0};
    size_t most = 0, n = 0;

    for (size_t o = 0; o < self->count; o++)
        most += field->first[self->openings[o] + 1] - field->first[self->openings[o]];
    struct mark *marks = malloc((most * (ON_ARC + 1) + 1) * sizeof *marks);
    struct mark *hull = malloc((2 * most * (ON_ARC + 1) + 2) * sizeof *hull);
    size_t *circles = malloc((field->first[field->frame->count] + 1) * sizeof *circles);
    if (!marks || !hull || !circles) {
        free(marks);
        free(hull);
        free(circles);
        return rab_fail_memory(err);
    }
    for (size_t o = 0; o < self->count; o++) {
        find_circles(field, self->openings[o], circles + field->first[self->openings[o]]);
        for (size_t i = field->first[self->openings[o]]; i < field->first[self->openings[o] + 1];
             i++) {
            const struct arc *arc = &field->arcs[i];
            marks[n++] = (struct mark){arc->a, circles[i]};
            for (int k = 1; circles[i] != SIZE_MAX && k <= ON_ARC; k++)
                marks[n++] = (struct mark){arc_at(arc, (double)k / ON_ARC, NULL), circles[i]};
        }
    }
    qsort(marks, n, sizeof *marks, left_to_right);
    const size_t count = hull_marks(marks, n, hull);
    const struct around around = {field, circles};
    const bool ok = draw_hull(&around, hull, count, &made, err);
    free(marks);
    free(hull);
    free(circles);
    if (ok)
        *out = made;
    else
        rab_outline_clear(&made);
    return ok;
}
