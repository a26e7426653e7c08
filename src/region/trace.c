/* The last step of the arrangement: the edges that bound what the rule fills, as loops with no
 * more vertices than they need. */
#include "arrange.h"

#include <stdlib.h>
#include <string.h>

/* One step of a loop: from a point along (part of) an input edge, backwards or not. */
struct step {
    double x, y, bulge;
    uint32_t edge;
    bool backwards;
};

struct loops {
    struct arrangement *arr;
    struct rab_outline *outlines;
    size_t count, capacity;
    struct step *steps; /* of the loop in work */
    size_t length, step_capacity;
};

/* ---- joining what was split ---- */

static struct edge source(const struct loops *l, const struct step *s)
{
    const struct edge *e = &l->arr->edge[s->edge];

    return s->backwards ? edge_back(e) : *e;
}

/* Do two input edges, one followed by the other in a loop, lie on one line or circle? */
static bool continues(const struct loops *l, const struct step *s, const struct step *t)
{
    const double same = l->arr->same;
    const struct edge *e = &l->arr->edge[s->edge], *f = &l->arr->edge[t->edge];

    if (s->edge == t->edge)
        return s->backwards == t->backwards;
    const double ke = s->backwards ? -e->k : e->k, kf = t->backwards ? -f->k : f->k;
    const double c = lesser(e->chord, f->chord);
    if (fabs(ke - kf) * c * c > 16 * same)
        return false;
    /* The input edges may overlap, so their directions are compared at the joint. */
    const struct edge a = source(l, s), b = source(l, t);
    const double ax = a.nx - a.k * (t->x - a.px), ay = a.ny - a.k * (t->y - a.py);
    const double bx = b.nx - b.k * (t->x - b.px), by = b.ny - b.k * (t->y - b.py);
    if (ax * bx + ay * by <= 0 || fabs(ax * by - ay * bx) * c > 4 * same)
        return false;
    const bool a_long = a.chord >= b.chord;
    const struct edge *g = a_long ? &a : &b, *h = a_long ? &b : &a;
    const struct rab_point m = edge_middle(h);
    return fabs(edge_side(g, h->px, h->py)) <= same && fabs(edge_side(g, h->qx, h->qy)) <= same &&
           fabs(edge_side(g, m.x, m.y)) <= same;
}

/* Half circles may come out a rounding beyond half a turn. */
static bool add_vertex(struct rab_outline *o, double x, double y, double bulge,
                       struct rab_error *err)
{
    return rab_outline_add(o, x, y, fabs(bulge) > 1 ? copysign(1, bulge) : bulge, err);
}

/* Steps first .. first + n (cyclic) that continue each other, to the point (x, y). */
static bool join(struct loops *l, size_t first, size_t n, double x, double y, struct rab_outline *o,
                 struct rab_error *err)
{
    const struct step *s = &l->steps[first];
    const size_t all = l->length;

    if (n == 1)
        return add_vertex(o, s->x, s->y, s->bulge, err);

    /* The longest input edge tells the line or circle best. */
    double angle = 0, longest = 0;
    size_t best = first;
    for (size_t i = 0; i < n; i++) {
        const size_t at = (first + i) % all;
        if (l->arr->edge[l->steps[at].edge].chord > longest) {
            longest = l->arr->edge[l->steps[at].edge].chord;
            best = at;
        }
    }
    const struct edge on = source(l, &l->steps[best]);
    for (size_t i = 0; i < n; i++) {
        const struct step *t = &l->steps[(first + i) % all], *u = &l->steps[(first + i + 1) % all];
        const double half = length_of(u->x - t->x, u->y - t->y) * fabs(on.k) / 2;
        angle += half < 0.9 ? copysign(2 * asin(half), on.k) : 4 * atan(t->bulge);
    }
    struct edge parts[2];
    size_t count = 1;
    if (n == all || fabs(angle) > RAB_PI * (1 + 1e-9)) {
        /* More than half a turn, or all of it: the second vertex goes opposite or half way. */
        const double r = 1 / on.k, cx = on.px + on.nx * r, cy = on.py + on.ny * r;
        const double half = n == all ? copysign(RAB_PI, angle) : angle / 2;
        const double ux = s->x - cx, uy = s->y - cy;
        const double c = n == all ? -1 : cos(half), d = n == all ? 0 : sin(half);
        const double mx = cx + ux * c - uy * d, my = cy + ux * d + uy * c;
        const double b = n == all ? copysign(1, angle) : tan(half / 4);
        parts[0] = edge_make(s->x, s->y, mx, my, b);
        parts[1] = edge_make(mx, my, x, y, b);
        count = 2;
    } else {
        const double half = length_of(x - s->x, y - s->y) * fabs(on.k) / 2;
        const double b = half < 0.9 ? copysign(half / (1 + sqrt((1 - half) * (1 + half))), on.k)
                                    : tan(angle / 4);
        parts[0] = edge_make(s->x, s->y, x, y, b);
    }
    /* Drift over many joints would show here; then everything stays as it was. */
    bool fits = on.k != 0 || n < all;
    for (size_t i = 0; fits && i < n; i++) {
        const struct step *t = &l->steps[(first + i) % all];
        const size_t next = (first + i + 1) % all;
        const bool last = i + 1 == n;
        const struct edge e = edge_make(t->x, t->y, last ? x : l->steps[next].x,
                                        last ? y : l->steps[next].y, t->bulge);
        const struct rab_point m = edge_middle(&e);
        double off = 1e300, middle = 1e300;
        for (size_t p = 0; p < count; p++) {
            off = lesser(off, edge_distance(&parts[p], t->x, t->y));
            middle = lesser(middle, edge_distance(&parts[p], m.x, m.y));
        }
        fits = greater(off, middle) <= 3 * l->arr->same;
    }
    if (!fits) {
        for (size_t i = 0; i < n; i++) {
            const struct step *t = &l->steps[(first + i) % all];
            if (!add_vertex(o, t->x, t->y, t->bulge, err))
                return false;
        }
        return true;
    }
    for (size_t p = 0; p < count; p++)
        if (!add_vertex(o, parts[p].px, parts[p].py, parts[p].bulge, err))
            return false;
    return true;
}

static bool emit(struct loops *l, struct rab_error *err)
{
    const size_t n = l->length;
    double area = 0, length = 0;
    struct rab_outline made = {0};

    for (size_t i = 0; i < n; i++) {
        const struct step *s = &l->steps[i], *t = &l->steps[i + 1 < n ? i + 1 : 0];
        area += edge_area_of(s->x, s->y, t->x, t->y, s->bulge);
        length += length_of(t->x - s->x, t->y - s->y) * (1 + fabs(s->bulge));
    }
    /* Nothing a blade could follow. */
    if (n < 2 || fabs(area) <= 2 * l->arr->same * length)
        return true;

    /* Begin where the loop turns from one line or circle to another. */
    size_t begin = 0;
    while (begin < n && continues(l, &l->steps[begin ? begin - 1 : n - 1], &l->steps[begin]))
        begin++;
    if (begin == n) {
        if (!join(l, 0, n, l->steps[0].x, l->steps[0].y, &made, err))
            goto failed;
    } else {
        for (size_t i = 0; i < n;) {
            size_t run = 1;
            while (i + run < n && continues(l, &l->steps[(begin + i + run - 1) % n],
                                            &l->steps[(begin + i + run) % n]))
                run++;
            const struct step *end = &l->steps[(begin + i + run) % n];
            if (!join(l, (begin + i) % n, run, end->x, end->y, &made, err))
                goto failed;
            i += run;
        }
    }
    if (!rab_reserve((void **)&l->outlines, &l->capacity, l->count + 1, sizeof *l->outlines, err))
        goto failed;
    l->outlines[l->count++] = made;
    return true;
failed:
    rab_outline_clear(&made);
    return false;
}

static bool add_step(struct loops *l, double x, double y, double bulge, uint32_t edge,
                     bool backwards, struct rab_error *err)
{
    if (!rab_reserve((void **)&l->steps, &l->step_capacity, l->length + 1, sizeof *l->steps, err))
        return false;
    l->steps[l->length++] = (struct step){x, y, bulge, edge, backwards};
    return true;
}

/* ---- chains that nothing touches ---- */

static bool emit_chain(struct loops *l, const struct component *c, struct rab_error *err)
{
    const struct arrangement *arr = l->arr;
    double area = 0;

    for (uint32_t i = c->lo; i < c->hi; i++)
        area += edge_area(&arr->edge[i]);
    const bool in = rule_fills(arr->rule, c->base + (area > 0 ? 1 : -1));
    if (in == rule_fills(arr->rule, c->base))
        return true;
    l->length = 0;
    if (in == (area > 0)) {
        for (uint32_t i = c->lo; i < c->hi; i++)
            if (!add_step(l, arr->edge[i].px, arr->edge[i].py, arr->edge[i].bulge, i, false, err))
                return false;
    } else {
        for (uint32_t i = c->hi; i-- > c->lo;)
            if (!add_step(l, arr->edge[i].qx, arr->edge[i].qy, -arr->edge[i].bulge, i, true, err))
                return false;
    }
    return emit(l, err);
}

/* ---- pieces ---- */

/* Which half of a piece leads with material on its left; NOTHING when both sides are alike. */
static uint32_t bound(const struct arrangement *arr, uint32_t p)
{
    const struct piece *q = &arr->piece[p];

    if (q->weight == 0)
        return NOTHING;
    const int32_t base = arr->component[q->component].base;
    const bool right = rule_fills(arr->rule, base + q->right);
    const bool left = rule_fills(arr->rule, base + q->right + q->weight);
    return left == right ? NOTHING : 2 * p + (left ? 0 : 1);
}

static bool inconsistent(struct rab_error *err)
{
    return rab_fail(err, RAB_FAULT_GEOMETRY, "the outlines cross in a way that cannot be resolved");
}

/* The bound that follows one at its far end: clockwise from the way back, the material's side. */
static uint32_t follow(const struct arrangement *arr, const uint32_t *place, const uint32_t *bounds,
                       uint32_t half)
{
    const struct piece *p = &arr->piece[half / 2];
    const uint32_t spot = half & 1 ? p->a : p->b;
    const uint32_t from = arr->around_start[spot], n = arr->around_start[spot + 1] - from;
    const uint32_t at = place[half ^ 1] - from;

    for (uint32_t i = 1; i <= n; i++) {
        const uint32_t next = arr->around[from + (at + n - i) % n];
        if (bounds[next / 2] != NOTHING)
            return bounds[next / 2] == next ? next : NOTHING;
    }
    return NOTHING;
}

static bool emit_path(struct loops *l, const uint32_t *path, uint32_t from, uint32_t to,
                      struct rab_error *err)
{
    const struct arrangement *arr = l->arr;

    l->length = 0;
    for (uint32_t i = from; i < to; i++) {
        const struct piece *p = &arr->piece[path[i] / 2];
        const bool back = path[i] & 1;
        const struct rab_point at = arr->spot[back ? p->b : p->a];
        if (!add_step(l, at.x, at.y, back ? -p->bulge : p->bulge, p->edge, back, err))
            return false;
    }
    return emit(l, err);
}

static bool emit_pieces(struct loops *l, struct rab_error *err)
{
    const struct arrangement *arr = l->arr;
    uint32_t *place = take(2 * (size_t)arr->pieces, sizeof *place, err);
    uint32_t *bounds = take(arr->pieces, sizeof *bounds, err);
    uint32_t *path = take(arr->pieces, sizeof *path, err);
    uint32_t *seat = take(arr->spots, sizeof *seat, err); /* of a spot in path */
    bool *used = take(arr->pieces, sizeof *used, err);
    bool ok = false;

    if (!place || !bounds || !path || !seat || !used)
        goto done;
    for (uint32_t i = 0; i < arr->around_start[arr->spots]; i++)
        place[arr->around[i]] = i;
    for (uint32_t p = 0; p < arr->pieces; p++)
        bounds[p] = bound(arr, p);
    memset(seat, 0xff, arr->spots * sizeof *seat);
    memset(used, 0, arr->pieces);
    for (uint32_t p = 0; p < arr->pieces; p++) {
        if (bounds[p] == NOTHING || used[p])
            continue;
        /* A loop that comes back to a spot on its way is cut off there, so every loop is simple. */
        uint32_t half = bounds[p], length = 0;
        for (;;) {
            const struct piece *q = &arr->piece[half / 2];
            const uint32_t spot = half & 1 ? q->b : q->a;
            if (seat[spot] != NOTHING) {
                const uint32_t from = seat[spot];
                for (uint32_t i = from; i < length; i++)
                    seat[path[i] & 1 ? arr->piece[path[i] / 2].b : arr->piece[path[i] / 2].a] =
                        NOTHING;
                if (!emit_path(l, path, from, length, err))
                    goto done;
                length = from;
                if (length == 0 && used[half / 2])
                    break;
            }
            if (used[half / 2]) {
                inconsistent(err);
                goto done;
            }
            used[half / 2] = true;
            seat[spot] = length;
            path[length++] = half;
            half = follow(arr, place, bounds, half);
            if (half == NOTHING) {
                inconsistent(err);
                goto done;
            }
        }
    }
    ok = true;
done:
    free(place);
    free(bounds);
    free(path);
    free(seat);
    free(used);
    return ok;
}

bool arrangement_trace(struct arrangement *arr, struct rab_region *out, struct rab_error *err)
{
    struct loops l = {.arr = arr};
    bool ok = false;

    for (size_t i = 0; i < arr->components; i++)
        if (!arr->component[i].pieces && !emit_chain(&l, &arr->component[i], err))
            goto done;
    if (!emit_pieces(&l, err) || !region_nest(l.outlines, l.count, arr->same, out, err))
        goto done;
    l.count = 0;
    ok = true;
done:
    for (size_t i = 0; i < l.count; i++)
        rab_outline_clear(&l.outlines[i]);
    free(l.outlines);
    free(l.steps);
    return ok;
}
