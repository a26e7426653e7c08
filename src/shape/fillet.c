/*
 * Rounding corners between lines and arcs, exactly.
 *
 * With the corner as origin, an edge through it has the left normal n and the curvature k there,
 * and F(X) = k|X|^2/2 - n.X is 0 on it. A circle of radius r that touches it from its left (side
 * s = 1) or right (s = -1) has its centre where
 *
 *     k|X|^2/2 - n.X + s r - k r^2/2 = 0,
 *
 * a line or circle again: the edge moved by r. The centre of the rounding lies on both edges'.
 * Taking the equations times the other's curvature from each other leaves a line, so that the
 * centre is found by one square root; nothing uses the centres of the edges, which may be far away.
 */
#include "shape/pen.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "outline/arc.h"

struct rounding {
    double before, after; /* shares of the edges at which it begins and ends */
    struct rab_point from, to;
    double bulge;
    bool is; /* the corner is rounded */
};

bool pen_add(struct pen *pen, struct pen_corner corner, struct rab_error *err)
{
    void *items = pen->corners;

    if (!rab_reserve(&items, &pen->capacity, pen->count + 1, sizeof *pen->corners, err))
        return false;
    pen->corners = items;
    pen->corners[pen->count++] = corner;
    return true;
}

void pen_clear(struct pen *pen)
{
    free(pen->corners);
    *pen = (struct pen){0};
}

/* ---- one corner -------------------------------------------------------------------------- */

/* Solutions X of both equations. */
static int centres(struct rab_point n1, double k1, struct rab_point n2, double k2, double sr,
                   double r, struct rab_point found[2])
{
    if (k1 == 0 && k2 == 0) {
        const double cross = point_cross(n1, n2);
        if (cross == 0)
            return 0;
        found[0] = (struct rab_point){sr * (n2.y - n1.y) / cross, sr * (n1.x - n2.x) / cross};
        return 1;
    }
    const struct rab_point w = {k1 * n2.x - k2 * n1.x, k1 * n2.y - k2 * n1.y};
    const double w2 = point_dot(w, w);
    if (w2 == 0)
        return 0; /* one circle, or two about one centre */
    const double h = sr * (k1 - k2);
    const struct rab_point foot = {w.x * h / w2, w.y * h / w2};
    const struct rab_point along = {-w.y / sqrt(w2), w.x / sqrt(w2)};
    const bool first = fabs(k1) > fabs(k2);
    const double k = first ? k1 : k2;
    const struct rab_point n = first ? n1 : n2;
    const double a = k / 2;
    const double b = k * point_dot(foot, along) - point_dot(n, along);
    const double c = k * point_dot(foot, foot) / 2 - point_dot(n, foot) + sr - k * r * r / 2;
    const double inside = b * b - 4 * a * c;
    /* A rounding that just fits has both solutions in one, and rounding may lose it. */
    if (!(inside >= -1e-13 * (b * b + fabs(4 * a * c))))
        return 0;
    const double q = -(b + copysign(sqrt(fmax(0, inside)), b)) / 2;
    found[0] = point_along(foot, q / a, along);
    found[1] = q == 0 ? found[0] : point_along(foot, c / q, along);
    return 2;
}

/* Where a circle about X (from the corner) touches the edge, as its share; false when that is not
 * on the edge. */
static bool touches(const struct arc *edge, struct rab_point corner, struct rab_point n, double k,
                    struct rab_point x, double sr, struct rab_point *at, struct rab_point *tangent,
                    double *share)
{
    struct rab_point normal = {n.x - k * x.x, n.y - k * x.y};
    const double length = hypot(normal.x, normal.y);
    const double near = 1e-9 * (1 + edge->chord);

    if (!(length > 0))
        return false;
    normal = (struct rab_point){normal.x / length, normal.y / length};
    const struct rab_point from = point_along(x, -sr, normal);
    *at = (struct rab_point){corner.x + from.x, corner.y + from.y};
    *tangent = (struct rab_point){normal.y, -normal.x};
    *share = arc_share(edge, *at);
    return point_apart(arc_at(edge, *share, NULL), *at) <= near;
}

/* The turn to the left (1) or right (-1) at a corner; 0 when it goes on smoothly. */
static int turn_at(const struct arc *in, const struct arc *out)
{
    const double sine = point_cross(in->tb, out->ta), cosine = point_dot(in->tb, out->ta);

    if (fabs(sine) > 1e-9)
        return sine > 0 ? 1 : -1;
    if (cosine > 0)
        return 0;
    /* It turns straight back: the way it bends tells on which side it leaves. */
    return in->k + out->k > 0 ? -1 : 1;
}

static bool round_corner(const struct arc *in, const struct arc *out, double r,
                         struct rounding *rounding)
{
    const int s = turn_at(in, out);
    const struct rab_point n1 = point_left(in->tb), n2 = point_left(out->ta);
    const struct rab_point corner = out->a;
    struct rab_point found[2];
    double least = 1e300;

    if (s == 0)
        return true;
    /* An edge that bends more than the rounding, the same way, has none that touches it there. */
    if (!(s * in->k * r < 1) || !(s * out->k * r < 1))
        return false;
    const int count = centres(n1, in->k, n2, out->k, s * r, r, found);
    for (int i = 0; i < count; i++) {
        struct rounding this = {.is = true};
        struct rab_point t1, t2;
        if (!touches(in, corner, n1, in->k, found[i], s * r, &this.from, &t1, &this.before) ||
            !touches(out, corner, n2, out->k, found[i], s * r, &this.to, &t2, &this.after))
            continue;
        double angle = s * point_angle(t1, t2);
        if (angle < 0)
            angle += 2 * RAB_PI;
        const double taken = (1 - this.before) * arc_length(in) + this.after * arc_length(out);
        if (taken < least) {
            least = taken;
            this.bulge = s * tan(angle / 4);
            *rounding = this;
        }
    }
    return least < 1e300;
}

/* ---- all corners ------------------------------------------------------------------------- */

/* An arc over half a turn is two. */
static bool add(struct rab_outline *out, struct rab_point from, struct rab_point to, double bulge,
                struct rab_error *err)
{
    if (fabs(bulge) > 1) {
        const struct arc whole = arc_make((struct rab_vertex){from.x, from.y, bulge}, to);
        const struct rab_point middle = arc_at(&whole, 0.5, NULL);
        const double half = tan(atan(bulge) / 2);
        return rab_outline_add(out, from.x, from.y, half, err) &&
               rab_outline_add(out, middle.x, middle.y, half, err);
    }
    return rab_outline_add(out, from.x, from.y, bulge, err);
}

static bool no_room(size_t at, size_t *corner, struct rab_error *err)
{
    *corner = at;
    return rab_fail(err, RAB_FAULT_GEOMETRY, "there is no room to round this corner");
}

/* What the roundings leave of edge i, which may be nothing. */
static bool add_rest(const struct arc *edge, size_t i, const struct rounding *first, size_t next,
                     const struct rounding *last, struct rab_outline *out, size_t *corner,
                     struct rab_error *err)
{
    const double from = first->is ? first->after : 0, to = last->is ? last->before : 1;
    const struct rab_point a = first->is ? first->to : edge->a;
    const struct rab_point b = last->is ? last->from : edge->b;
    const double length = (to - from) * arc_length(edge), slack = 1e-9;

    if (length < -slack)
        return no_room(last->is ? next : i, corner, err);
    if (length <= slack && (first->is || last->is))
        return true;
    return add(out, a, b, from == 0 && to == 1 ? edge->bulge : tan((to - from) * atan(edge->bulge)),
               err);
}

bool pen_finish(const struct pen *pen, bool open, struct rab_outline *out, size_t *corner,
                struct rab_error *err)
{
    const size_t n = pen->count, edges = n - open;
    struct rab_outline made = {.open = open};
    struct rounding *roundings = NULL;
    struct arc *arcs = NULL;
    size_t room = 0, arc_room = 0;
    void *items = NULL, *more = NULL;
    bool ok = false;

    assert(n >= 2);
    if (!rab_reserve(&items, &room, n, sizeof *roundings, err))
        return false;
    roundings = items;
    if (!rab_reserve(&more, &arc_room, n, sizeof *arcs, err))
        goto done;
    arcs = more;
    for (size_t i = 0; i < n; i++)
        roundings[i] = (struct rounding){0};
    for (size_t i = 0; i < edges; i++) {
        const struct pen_corner *from = &pen->corners[i], *to = &pen->corners[(i + 1) % n];
        arcs[i] = arc_make((struct rab_vertex){from->x, from->y, from->bulge},
                           (struct rab_point){to->x, to->y});
    }
    for (size_t i = open; i < edges; i++) {
        const double r = pen->corners[i].round;
        if (r > 0 && !round_corner(&arcs[(i + n - 1) % n], &arcs[i], r, &roundings[i])) {
            no_room(i, corner, err);
            goto done;
        }
    }
    for (size_t i = 0; i < edges; i++) {
        const struct rounding *rounding = &roundings[i];
        const size_t next = (i + 1) % n;
        if (rounding->is && !add(&made, rounding->from, rounding->to, rounding->bulge, err))
            goto done;
        if (!add_rest(&arcs[i], i, rounding, next, &roundings[next], &made, corner, err))
            goto done;
    }
    if (open && !rab_outline_add(&made, pen->corners[n - 1].x, pen->corners[n - 1].y, 0, err))
        goto done;
    *out = made;
    made = (struct rab_outline){0};
    ok = true;
done:
    rab_outline_clear(&made);
    free(roundings);
    free(arcs);
    return ok;
}
