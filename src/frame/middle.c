#include "frame/middle.h"

#include <stdlib.h>

/* Radii are found to this, far below what is cut and above what doubles round off here. */
static const double same_radius = 1e-10;

/* Every step shortens a part by a quarter at least. */
enum { DEEPEST = 120 };

/* What a disc touches: an edge, or the corner at its start. */
struct touch {
    uint32_t arc;
    bool corner;
};

struct sample {
    double share;
    bool found; /* a disc no larger than allowed touches something */
    double radius;
    struct rab_point middle;
    struct touch touch;
};

struct walk {
    const struct field *field;
    const struct near *own, *others;
    bool convex;
    double most, least_depth;
    struct spans *out;
    struct rab_error *err;
    /* the edge or corner being walked along */
    uint32_t arc;
    bool about_corner;
    double angle; /* of the corner */
    double
        largest;   /* the largest disc here: `most`, or the radius of an edge that bends outwards */
    double way;    /* length of the path of the middle of the largest disc */
    double length; /* the longer one of that and the way along the edge itself */
    double least_way; /* what may be passed over */
};

static struct rab_point turned(struct rab_point p, double angle)
{
    const double c = cos(angle), s = sin(angle);

    return (struct rab_point){c * p.x - s * p.y, s * p.x + c * p.y};
}

static struct ray ray_of(const struct field *field, uint32_t own, bool about_corner, double share)
{
    const struct arc *arc = &field->arcs[own];
    struct rab_point t;
    struct ray ray;

    if (about_corner) {
        const struct arc *next = &field->arcs[field_next(field, own)];
        const double angle =
            atan2(fabs(point_cross(arc->tb, next->ta)), point_dot(arc->tb, next->ta));

        t = turned(arc->tb, share * angle);
        ray.q = arc->b;
    } else {
        ray.q = arc_at(arc, share, &t);
    }
    ray.n = (struct rab_point){t.y, -t.x};
    return ray;
}

/* The disc that touches q and the whole line or circle of an edge, or a corner; 1e300 when there
 * is none on this side. */
static double disc_to_point(const struct ray *ray, struct rab_point point)
{
    const struct rab_point w = point_minus(point, ray->q);
    const double along = 2 * point_dot(w, ray->n);

    return along > 0 ? point_dot(w, w) / along : 1e300;
}

static double disc_to_arc(const struct ray *ray, const struct arc *arc)
{
    const struct rab_point u = point_minus(ray->q, arc->a);
    const double f = arc->k * point_dot(u, u) / 2 - point_cross(arc->ta, u);
    const struct rab_point g = {arc->k * u.x + arc->ta.y, arc->k * u.y - arc->ta.x};
    const double side = f < 0 ? -1 : 1;
    const double below = side - point_dot(g, ray->n);

    return side * below > 0 ? f / below : 1e300;
}

static double disc_to(const struct field *field, const struct ray *ray, struct touch touch)
{
    const struct arc *arc = &field->arcs[touch.arc];

    return touch.corner ? disc_to_point(ray, arc->a) : disc_to_arc(ray, arc);
}

static struct rab_point disc_middle(const struct ray *ray, double radius)
{
    return point_along(ray->q, radius, ray->n);
}

/*
 * Shrink a disc that touches q until no edge reaches into it. Each step takes the nearest edge to
 * the middle; the disc that touches that edge, or where that lies beyond the edge's ends the disc
 * through its nearest point, is smaller, and never smaller than the answer.
 */
static void shrink_disc(const struct near *near, struct choice choice, const struct ray *ray,
                        struct sample *sample)
{
    const struct field *field = near->field;

    for (int step = 0; step < 100; step++) {
        double distance;
        const struct rab_point middle = disc_middle(ray, sample->radius);
        const size_t found =
            near_nearest(near, choice, middle, sample->radius - same_radius, &distance);
        if (found == NO_SITE)
            break;

        const struct arc *arc = &field->arcs[found];
        struct touch touch = {(uint32_t)found, false};
        double radius = 1e300;
        if (arc_faces(arc, middle)) {
            radius = disc_to_arc(ray, arc);
            if (!(radius < sample->radius) || !arc_faces(arc, disc_middle(ray, radius))) {
                struct rab_point at;
                arc_distance(arc, middle, &at);
                radius = disc_to_point(ray, at);
            }
        } else {
            const bool start = point_apart(middle, arc->a) <= point_apart(middle, arc->b);

            touch =
                (struct touch){start ? (uint32_t)found : (uint32_t)field_next(field, found), true};
            radius = disc_to_point(ray, start ? arc->a : arc->b);
        }
        if (!(radius < sample->radius))
            break;
        sample->radius = radius;
        sample->touch = touch;
        sample->found = true;
    }
}

static struct sample look(const struct walk *w, double share, const struct touch *guess)
{
    const struct ray ray = ray_of(w->field, w->arc, w->about_corner, share);
    struct sample sample = {.share = share, .radius = w->largest};

    if (guess) {
        const double radius = disc_to(w->field, &ray, *guess);

        if (radius < sample.radius &&
            (guess->corner || arc_faces(&w->field->arcs[guess->arc], disc_middle(&ray, radius)))) {
            sample.radius = radius;
            sample.touch = *guess;
            sample.found = true;
        }
    }
    shrink_disc(w->others, (struct choice){AMONG_SERVED, 0}, &ray, &sample);
    sample.middle = disc_middle(&ray, sample.radius);
    return sample;
}

/* ---- where two things are touched at once ------------------------------------------------ */

static bool same_touch(struct touch a, struct touch b)
{
    return a.arc == b.arc && a.corner == b.corner;
}

/* The corner at the end of an edge (or the edge's start) that is also part of the other. */
static bool shared_corner(const struct field *field, struct touch a, struct touch b,
                          struct touch *edge, bool *at_end)
{
    for (int turn = 0; turn < 2; turn++) {
        const struct touch e = turn ? b : a, other = turn ? a : b;

        if (e.corner)
            continue;
        *edge = e;
        *at_end = true;
        if (other.arc == field_next(field, e.arc))
            return true;
        *at_end = false;
        if (other.corner ? other.arc == e.arc : field_next(field, other.arc) == e.arc)
            return true;
    }
    return false;
}

struct crossing {
    const struct walk *w;
    struct touch a, b;
    bool by_foot; /* where the foot on edge a passes its end (or start) */
    bool at_end;
};

static double crossing_value(const struct crossing *c, double share)
{
    const struct ray ray = ray_of(c->w->field, c->w->arc, c->w->about_corner, share);
    const struct arc *arc = &c->w->field->arcs[c->a.arc];

    if (!c->by_foot) {
        const double a = disc_to(c->w->field, &ray, c->a), b = disc_to(c->w->field, &ray, c->b);

        return fmax(-1e3, fmin(1e3, a - b));
    }
    const struct rab_point middle = disc_middle(&ray, fmin(1e3, disc_to_arc(&ray, arc)));
    return c->at_end ? point_dot(point_minus(middle, arc->b), arc->tb)
                     : -point_dot(point_minus(middle, arc->a), arc->ta);
}

/* A root between two shares at which the values differ in sign: false position with halved ends
 * (the Illinois method; Dowell and Jarratt, BIT 11, 1971), and bisection when it lingers. */
static double find_crossing(const struct crossing *c, double lo, double f_lo, double hi,
                            double f_hi)
{
    int kept = 0;

    for (int step = 0; step < 100 && hi - lo > 1e-15; step++) {
        double share = lo + (hi - lo) * (f_lo / (f_lo - f_hi));

        if (step % 8 == 7 || !(share > lo && share < hi))
            share = (lo + hi) / 2;
        if (!(share > lo && share < hi))
            break;
        const double f = crossing_value(c, share);
        if (fabs(f) < 1e-13)
            return share;
        if ((f < 0) == (f_lo < 0)) {
            lo = share;
            f_lo = f;
            if (kept == -1)
                f_hi /= 2;
            kept = -1;
        } else {
            hi = share;
            f_hi = f;
            if (kept == 1)
                f_lo /= 2;
            kept = 1;
        }
    }
    return (lo + hi) / 2;
}

static bool cross_between(const struct walk *w, const struct sample *a, const struct sample *b,
                          double *share)
{
    struct crossing c = {.w = w, .a = a->touch, .b = b->touch};
    double f_a = crossing_value(&c, a->share), f_b = crossing_value(&c, b->share);

    if (!(f_a < 0 && f_b > 0)) {
        struct touch edge;

        if (!shared_corner(w->field, a->touch, b->touch, &edge, &c.at_end))
            return false;
        c.a = edge;
        c.by_foot = true;
        f_a = crossing_value(&c, a->share);
        f_b = crossing_value(&c, b->share);
        if (!((f_a < 0 && f_b > 0) || (f_a > 0 && f_b < 0)))
            return false;
    }
    *share = find_crossing(&c, a->share, f_a, b->share, f_b);
    return true;
}

/* ---- the envelope ------------------------------------------------------------------------ */

static bool add_span(struct walk *w, double from, double to, struct touch touch)
{
    struct spans *out = w->out;
    const struct span span = {w->arc, w->about_corner, touch.arc, touch.corner, from, to};

    if (!(from < to))
        return true;
    if (out->count > 0) { /* goes on? */
        struct span *last = &out->items[out->count - 1];

        if (last->own == span.own && last->about_corner == span.about_corner &&
            last->other == span.other && last->at_corner == span.at_corner && last->to == from) {
            last->to = to;
            return true;
        }
    }
    if (out->count == out->capacity) {
        void *items = out->items;

        if (!rab_reserve(&items, &out->capacity, out->count + 1, sizeof *out->items, w->err))
            return false;
        out->items = items;
    }
    out->items[out->count++] = span;
    return true;
}

/* Is every disc of the largest size between two shares free of others? */
static bool nothing_between(const struct walk *w, double from, double to)
{
    const struct ray ray = ray_of(w->field, w->arc, w->about_corner, (from + to) / 2);
    double distance;

    return near_nearest(w->others, (struct choice){AMONG_SERVED, 0}, disc_middle(&ray, w->largest),
                        w->largest + w->way * (to - from) / 2, &distance) == NO_SITE;
}

/* Does no own edge reach into the disc? When one does, it is handed over. */
static bool visible(const struct walk *w, const struct ray *ray, double radius, struct touch *own)
{
    struct sample sample = {.radius = radius, .touch = {UINT32_MAX, false}};

    if (w->convex)
        return true;
    if (!w->about_corner && w->field->arcs[w->arc].k < 0 &&
        radius > arc_radius(&w->field->arcs[w->arc]))
        return false;
    shrink_disc(w->own, (struct choice){AMONG_ALL, 0}, ray, &sample);
    *own = sample.touch;
    return sample.radius > radius - 1e-8;
}

/* Is what a disc about this middle touches between the ends of the edge? */
static bool meets(const struct walk *w, struct touch touch, struct rab_point middle)
{
    const struct arc *arc = &w->field->arcs[touch.arc];

    /* A joint is on both edges, whatever rounding says. */
    return touch.corner || arc_faces(arc, middle) ||
           fmin(fabs(point_dot(point_minus(middle, arc->a), arc->ta)),
                fabs(point_dot(point_minus(middle, arc->b), arc->tb))) < 1e-7;
}

/* The share at which own edges begin to be as near as what a span touches. */
static double edge_of_sight(const struct walk *w, struct touch touch, double seen, double hidden,
                            struct touch own)
{
    bool halve = false;

    for (int step = 0; step < 120 && fabs(seen - hidden) > 1e-14; step++) {
        struct crossing c = {.w = w, .a = touch, .b = own};
        double share = (seen + hidden) / 2;
        bool crossed = false;

        if (!halve && own.arc != UINT32_MAX) {
            const double f_seen = crossing_value(&c, seen), f_hidden = crossing_value(&c, hidden);

            crossed = f_seen < 0 && f_hidden > 0;
            if (crossed)
                share = seen < hidden ? find_crossing(&c, seen, f_seen, hidden, f_hidden)
                                      : find_crossing(&c, hidden, f_hidden, seen, f_seen);
        }
        const struct ray ray = ray_of(w->field, w->arc, w->about_corner, share);
        const double radius = disc_to(w->field, &ray, touch);
        struct touch other = own;
        halve = false;
        if (!visible(w, &ray, radius, &other)) {
            hidden = share;
            own = other;
        } else if (crossed && meets(w, own, disc_middle(&ray, radius)) &&
                   !visible(w, &ray, radius + 3e-8, &other)) {
            return share; /* the crossing is with what is really nearest */
        } else {
            seen = share;
            halve = crossed; /* it was with something else: there it says no more */
        }
    }
    return seen;
}

/* Add what can be seen of a part in which one thing is touched. */
/* NOLINTNEXTLINE(misc-no-recursion): at most 2 deep */
static bool add_visible(struct walk *w, double from, double to, struct touch touch, int depth)
{
    struct touch own_from = {UINT32_MAX, false}, own_to = own_from;
    struct ray ray;

    if (w->convex)
        return add_span(w, from, to, touch);
    ray = ray_of(w->field, w->arc, w->about_corner, from);
    const bool first = visible(w, &ray, disc_to(w->field, &ray, touch), &own_from);
    ray = ray_of(w->field, w->arc, w->about_corner, to);
    const bool last = visible(w, &ray, disc_to(w->field, &ray, touch), &own_to);
    if (first && last)
        return add_span(w, from, to, touch);
    if (first)
        return add_span(w, from, edge_of_sight(w, touch, from, to, own_to), touch);
    if (last)
        return add_span(w, edge_of_sight(w, touch, to, from, own_from), to, touch);
    if (depth == 0 || to - from < 1e-12)
        return true;
    return add_visible(w, from, (from + to) / 2, touch, depth - 1) &&
           add_visible(w, (from + to) / 2, to, touch, depth - 1);
}

struct alone {
    const struct walk *w;
    uint32_t arc;
};

static bool other_than(void *context, size_t item)
{
    const struct alone *alone = context;
    const uint32_t arc = alone->w->others->arcs[item];

    return arc == alone->arc || field_site(alone->w->field, arc) == NO_SITE;
}

/* Is the edge that is touched at both ends the only one that a disc between them can touch? */
static bool alone_between(const struct walk *w, const struct sample *a, const struct sample *b,
                          double apart)
{
    struct alone alone = {w, a->touch.arc};
    const bool straight =
        !w->about_corner && w->field->arcs[w->arc].k == 0 && w->field->arcs[a->touch.arc].k == 0;
    const struct rab_box box = {fmin(a->middle.x, b->middle.x), fmin(a->middle.y, b->middle.y),
                                fmax(a->middle.x, b->middle.x), fmax(a->middle.y, b->middle.y)};

    if (a->touch.corner)
        return false;
    return box_tree_query(&w->others->tree,
                          box_grown(box, fmax(a->radius, b->radius) + (straight ? 0 : apart / 2)),
                          other_than, &alone);
}

/* NOLINTNEXTLINE(misc-no-recursion): at most DEEPEST deep */
static bool between(struct walk *w, struct sample a, struct sample b, int depth)
{
    const double length = w->length * (b.share - a.share);
    double share = (a.share + b.share) / 2;

    if (depth == 0 || b.share - a.share < 1e-14)
        return true;
    if (!a.found && !b.found) {
        if (length < w->least_way || nothing_between(w, a.share, b.share))
            return true;
    } else if (!a.found || !b.found) {
        const double radius = a.found ? a.radius : b.radius;

        if (length < 1e-6 || (length < w->least_way && radius > w->most - w->least_depth / 4))
            return true;
    } else if (same_touch(a.touch, b.touch)) {
        const double apart = point_apart(a.middle, b.middle);
        const struct ray ray = ray_of(w->field, w->arc, w->about_corner, share);

        /* Round the far side of a bend the disc may grow without end and come back. */
        if (disc_to(w->field, &ray, a.touch) <= 1.5 * fmax(a.radius, b.radius) &&
            (apart <= fmin(a.radius, b.radius) / 4 || alone_between(w, &a, &b, apart)))
            return add_visible(w, a.share, b.share, a.touch, 2);
    } else {
        if (point_apart(a.middle, b.middle) < 1e-9)
            return true;
        if (cross_between(w, &a, &b, &share) && share > a.share && share < b.share) {
            struct sample left = look(w, share, &a.touch);
            const struct ray ray = ray_of(w->field, w->arc, w->about_corner, share);
            const double radius =
                fmin(disc_to(w->field, &ray, a.touch), disc_to(w->field, &ray, b.touch));

            if (left.found && fabs(left.radius - radius) < 1e-8 && meets(w, a.touch, left.middle) &&
                meets(w, b.touch, left.middle)) {
                struct sample right = left;

                left.touch = a.touch;
                right.touch = b.touch;
                return between(w, a, left, depth - 1) && between(w, right, b, depth - 1);
            }
            /* Something else is touched there. Near an end the crossing says nothing new. */
            if (fmin(share - a.share, b.share - share) < (b.share - a.share) / 4)
                share = (a.share + b.share) / 2;
        } else {
            share = (a.share + b.share) / 2;
        }
    }

    const struct sample middle = look(w, share, a.found ? &a.touch : b.found ? &b.touch : NULL);
    return between(w, a, middle, depth - 1) && between(w, middle, b, depth - 1);
}

static bool stop_at_first(void *context, size_t item)
{
    (void)context;
    (void)item;
    return false;
}

static bool walk_along(struct walk *w)
{
    const struct arc *arc = &w->field->arcs[w->arc];
    const double radius = arc_radius(arc);

    w->largest = w->most;
    if (w->about_corner) {
        w->way = w->most * w->angle;
    } else if (arc->k == 0) {
        w->way = arc->chord;
    } else if (arc->k > 0) {
        w->way = arc_length(arc) * (1 + w->most / radius);
    } else {
        w->largest = fmin(w->most, radius);
        w->way = arc_length(arc) * (1 - w->largest / radius);
    }
    w->length = w->about_corner ? w->way : fmax(w->way, arc_length(arc));
    if (w->about_corner
            ? nothing_between(w, 0, 1)
            : box_tree_query(&w->others->tree, box_grown(w->field->boxes[w->arc], 2 * w->largest),
                             stop_at_first, NULL))
        return true;
    const struct sample first = look(w, 0, NULL);
    const struct sample last = look(w, 1, first.found ? &first.touch : NULL);
    return between(w, first, last, DEEPEST);
}

bool middle_spans(const struct field *field, size_t site, const struct near *own,
                  const struct near *others, double most, double least_depth, struct spans *out,
                  struct rab_error *err)
{
    struct walk w = {.field = field,
                     .own = own,
                     .others = others,
                     .convex = field->sites[site].convex,
                     .most = most,
                     .least_depth = least_depth,
                     .out = out,
                     .err = err,
                     /* A corner that comes nearer by the depth is seen over this way at least:
                      * its disc grows by x^2 / 4r at x from where it is least. */
                     .least_way = sqrt(most * least_depth)};

    out->count = 0;
    if (others->count == 0)
        return true;
    for (size_t i = 0; i < own->count; i++) {
        const struct arc *arc = &field->arcs[own->arcs[i]];
        const struct arc *next = &field->arcs[field_next(field, own->arcs[i])];

        w.arc = own->arcs[i];
        w.about_corner = false;
        if (!walk_along(&w))
            return false;
        w.about_corner = true;
        w.angle = atan2(point_cross(arc->tb, next->ta), point_dot(arc->tb, next->ta));
        if (w.angle > 1e-12 && !walk_along(&w))
            return false;
    }
    return true;
}

struct rab_point span_at(const struct field *field, const struct span *span, double share,
                         double *radius, struct rab_point *direction)
{
    const struct ray ray = ray_of(field, span->own, span->about_corner, share);
    const struct touch touch = {span->other, span->at_corner};
    const struct rab_point middle = disc_middle(&ray, *radius = disc_to(field, &ray, touch));

    if (direction) {
        struct rab_point at = field->arcs[span->other].a;
        if (!span->at_corner)
            arc_distance(&field->arcs[span->other], middle, &at);
        /* The site's distance rises along n, the other's along m: the line runs across n - m. */
        const struct rab_point m = point_minus(middle, at);
        const double length = hypot(m.x, m.y);
        const struct rab_point d = {ray.n.x - m.x / length, ray.n.y - m.y / length};
        const double size = hypot(d.x, d.y);
        *direction = (struct rab_point){-d.y / size, d.x / size};
    }
    return middle;
}
