#include "brute.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct rab_point minus(struct rab_point a, struct rab_point b)
{
    return (struct rab_point){a.x - b.x, a.y - b.y};
}
static double dot(struct rab_point a, struct rab_point b)
{
    return a.x * b.x + a.y * b.y;
}
static double cross(struct rab_point a, struct rab_point b)
{
    return a.x * b.y - a.y * b.x;
}
static double length(struct rab_point a)
{
    return hypot(a.x, a.y);
}
/* v turned by the angle whose cosine and sine are given */
static struct rab_point turned(struct rab_point v, double c, double s)
{
    return (struct rab_point){c * v.x - s * v.y, s * v.x + c * v.y};
}
static struct rab_point beside(struct rab_point p, struct rab_point along, double left)
{
    return (struct rab_point){p.x - left * along.y, p.y + left * along.x};
}

void brute_edges(const struct rab_outline *outlines, size_t count, struct edges *out)
{
    for (size_t i = 0; i < count; i++) {
        const struct rab_outline *o = &outlines[i];
        for (size_t k = 0; k < o->count; k++) {
            const struct rab_vertex v = o->vertices[k], w = o->vertices[(k + 1) % o->count];
            const bool closing = o->open && k + 1 == o->count;
            if (v.x == w.x && v.y == w.y)
                continue;
            if (out->count == out->capacity) {
                out->capacity = out->capacity ? 2 * out->capacity : 16;
                out->items = realloc(out->items, out->capacity * sizeof *out->items);
                if (!out->items)
                    abort();
            }
            out->items[out->count++] =
                (struct edge){{v.x, v.y}, {w.x, w.y}, closing ? 0 : v.bulge};
        }
    }
}

void brute_clear(struct edges *edges)
{
    free(edges->items);
    *edges = (struct edges){0};
}

struct rab_point brute_point(const struct edge *e, double t, struct rab_point *along)
{
    const struct rab_point w = minus(e->b, e->a);
    const double chord = length(w), b = e->bulge;
    const struct rab_point u = {w.x / chord, w.y / chord};

    if (b == 0) {
        if (along)
            *along = u;
        return (struct rab_point){e->a.x + t * w.x, e->a.y + t * w.y};
    }
    /* The chord to the point at t: seen from a it stands at half the angle still to come, and it
     * is 2 r sin(half the angle so far) long. Holds for every angle. */
    const double half = 2 * atan(b), so_far = half * t;
    const double r = chord * (1 + b * b) / (4 * fabs(b));
    const double reach = 2 * r * fabs(sin(so_far));
    const struct rab_point way = turned(u, cos(so_far - half), sin(so_far - half));
    if (along)
        *along = turned(u, cos(2 * so_far - half), sin(2 * so_far - half));
    return (struct rab_point){e->a.x + reach * way.x, e->a.y + reach * way.y};
}

double brute_length_edge(const struct edge *e)
{
    const double chord = length(minus(e->b, e->a)), b = fabs(e->bulge);
    if (b < 1e-9)
        return chord;
    return chord * (1 + b * b) / b * atan(b);
}

double brute_segment(const struct edge *e)
{
    const double c = length(minus(e->b, e->a)), b = e->bulge;
    if (fabs(b) < 1e-3) /* series of the exact line below: geometry, Green's theorem */
        return c * c * b * (1 + b * b / 5) / 3;
    const double r = c * (1 + b * b) / (4 * fabs(b)), angle = 4 * atan(fabs(b));
    return copysign(r * r * (angle - sin(angle)) / 2, b);
}

/* Everything about one arc and one point in the chord's own coordinates: origin at its middle,
 * unit half a chord. Nearly straight arcs have no far centre here. */
struct local {
    double u, v;     /* the point */
    double half;     /* half the chord */
    double power;    /* |2 b| times the power of the point over the circle; < 0 inside */
    double reach;    /* |2 b| times the distance from the centre */
};
static struct local localise(const struct edge *e, struct rab_point p)
{
    const struct rab_point w = minus(e->b, e->a);
    const double chord = length(w), b = e->bulge, m = fabs(2 * b);
    const struct rab_point middle = {(e->a.x + e->b.x) / 2, (e->a.y + e->b.y) / 2};
    const struct rab_point q = minus(p, middle);
    struct local l = {.half = chord / 2};

    l.u = dot(q, w) / chord / l.half;
    l.v = cross(w, q) / chord / l.half;
    /* The centre is at v = (1 - b^2) / (2 b). */
    const double side = copysign(1, b) * (1 - b * b);
    l.power = m * (l.u * l.u + l.v * l.v - 1) - 2 * l.v * side;
    l.reach = hypot(m * l.u, m * l.v - side);
    return l;
}

double brute_distance_edge(const struct edge *e, struct rab_point p)
{
    const struct rab_point w = minus(e->b, e->a), pa = minus(p, e->a), pb = minus(p, e->b);
    const double ends = fmin(length(pa), length(pb)), chord = length(w), b = e->bulge;

    if (b == 0) {
        if (dot(pa, w) <= 0 || dot(pb, w) >= 0)
            return ends;
        return fabs(cross(w, fabs(dot(pa, w)) < fabs(dot(pb, w)) ? pa : pb)) / chord;
    }
    const struct rab_point u = {w.x / chord, w.y / chord};
    const double c = (1 - b * b) / (1 + b * b), s = 2 * b / (1 + b * b);
    const double from = dot(turned(u, c, -s), pa), to = dot(turned(u, c, s), pb);
    const bool over = fabs(b) <= 1 ? from >= 0 && to <= 0 : !(from < 0 && to > 0);
    if (!over)
        return ends;
    /* power / (distance from the centre + radius) */
    const struct local l = localise(e, p);
    return fmin(ends, l.half * fabs(l.power) / (l.reach + 1 + b * b));
}

double brute_distance(const struct edges *edges, struct rab_point p)
{
    double best = HUGE_VAL;
    for (size_t i = 0; i < edges->count; i++) {
        const struct edge *e = &edges->items[i];
        /* An arc is no further from its chord's middle than half the chord times this. */
        const double reach =
            length(minus(e->b, e->a)) / 2 * fmax(1, fabs(e->bulge)) * 1.0000001;
        const struct rab_point middle = {(e->a.x + e->b.x) / 2, (e->a.y + e->b.y) / 2};
        if (length(minus(p, middle)) - reach < best)
            best = fmin(best, brute_distance_edge(e, p));
    }
    return best;
}

int brute_winding(const struct edges *edges, struct rab_point p)
{
    /* A point on a chord's line has no side: it moves a little until it has one. Probes stand off
     * the edges themselves by far more. */
    for (int attempt = 0; attempt < 8; attempt++) {
        int winding = 0;
        bool doubt = false;
        for (size_t i = 0; i < edges->count; i++) {
            const struct edge *e = &edges->items[i];
            const struct rab_point w = minus(e->b, e->a), pa = minus(p, e->a), pb = minus(p, e->b);
            const double left = cross(w, pa);
            const double least = 1e-14 * length(w) * (length(pa) + length(pb));
            const bool up = e->a.y <= p.y && p.y < e->b.y, down = e->b.y <= p.y && p.y < e->a.y;

            if ((up || down) && fabs(left) < least)
                doubt = true;
            if (up && left > 0)
                winding++;
            if (down && left < 0)
                winding--;
            if (e->bulge != 0) {
                const bool bulging = e->bulge > 0 ? left < 0 : left > 0;
                const struct local l = localise(e, p);
                if (l.power < 0 && fabs(left) < least)
                    doubt = true;
                if (bulging && l.power < 0)
                    winding += e->bulge > 0 ? 1 : -1;
            }
        }
        if (!doubt)
            return winding;
        p.x += 1.3e-9 * (attempt + 1);
        p.y += 0.7e-9;
    }
    return 0;
}

double brute_area(const struct edges *edges)
{
    double area = 0;
    if (edges->count == 0)
        return 0;
    const struct rab_point o = edges->items[0].a;
    for (size_t i = 0; i < edges->count; i++) {
        const struct edge *e = &edges->items[i];
        area += cross(minus(e->a, o), minus(e->b, o)) / 2 + brute_segment(e);
    }
    return area;
}

double brute_length(const struct edges *edges)
{
    double sum = 0;
    for (size_t i = 0; i < edges->count; i++)
        sum += brute_length_edge(&edges->items[i]);
    return sum;
}

bool winding_filled(int winding, enum rab_fill rule)
{
    switch (rule) {
    case RAB_FILL_EVENODD:
        return winding % 2 != 0;
    case RAB_FILL_POSITIVE:
        return winding > 0;
    case RAB_FILL_NONZERO:
        break;
    }
    return winding != 0;
}

/* ---- a region by its definition ---- */

/* Does outline j enclose outline i? They may touch, so the point of i furthest from j is asked. */
static bool encloses(const struct edges *j, const struct edges *i)
{
    struct rab_point best = {0, 0};
    double away = -1;
    for (size_t k = 0; k < i->count && k < 8; k++)
        for (int share = 1; share < 4; share++) {
            const struct edge *e = &i->items[k * i->count / (i->count < 8 ? i->count : 8)];
            const struct rab_point p = brute_point(e, 0.25 * share + 0.013, NULL);
            const double d = brute_distance(j, p);
            if (d > away) {
                away = d;
                best = p;
            }
        }
    return brute_winding(j, best) != 0;
}

const char *region_fault(const struct rab_region *region)
{
    const size_t n = region->count;
    const char *fault = NULL;
    if (n == 0)
        return NULL;

    struct edges *each = calloc(n, sizeof *each);
    double *area = calloc(n, sizeof *area);
    if (!each || !area)
        abort();
    for (size_t i = 0; i < n && !fault; i++) {
        const struct rab_outline *o = &region->outlines[i];
        if (o->count < 2)
            fault = "an outline has fewer than two vertices";
        else if (o->open)
            fault = "an outline is open";
        for (size_t k = 0; k < o->count && !fault; k++) {
            const struct rab_vertex v = o->vertices[k], w = o->vertices[(k + 1) % o->count];
            if (!isfinite(v.x) || !isfinite(v.y) || !isfinite(v.bulge))
                fault = "a number is not finite";
            else if (hypot(v.x - w.x, v.y - w.y) < RAB_SAME_POINT / 2)
                fault = "an edge has no length";
            else if (fabs(v.bulge) > 1 + 1e-9)
                fault = "an arc is more than half a circle";
        }
        brute_edges(o, 1, &each[i]);
        area[i] = brute_area(&each[i]);
        if (!fault && region->parents[i] != RAB_NO_PARENT && region->parents[i] >= i)
            fault = "a parent stands after its child";
    }
    for (size_t i = 0; i < n && !fault && n <= 200; i++) {
        size_t depth = 0, parent = RAB_NO_PARENT;
        for (size_t j = 0; j < n; j++)
            if (j != i && fabs(area[j]) > fabs(area[i]) && encloses(&each[j], &each[i])) {
                depth++;
                if (parent == RAB_NO_PARENT || fabs(area[j]) < fabs(area[parent]))
                    parent = j;
            }
        if (parent != region->parents[i])
            fault = "a parent is not the outline directly around";
        else if ((depth % 2 == 0) != (area[i] > 0))
            fault = "an outline runs the wrong way round";
    }
    for (size_t i = 0; i < n; i++)
        brute_clear(&each[i]);
    free(each);
    free(area);
    return fault;
}

static double off_circle(const struct edge *e, struct rab_point p)
{
    const struct local l = localise(e, p);
    return l.half * fabs(l.power) / (l.reach + 1 + e->bulge * e->bulge);
}

size_t region_spare_vertices(const struct rab_region *region)
{
    const double same = 1e-9;
    size_t spare = 0;

    for (size_t i = 0; i < region->count; i++) {
        const struct rab_outline *o = &region->outlines[i];
        const size_t n = o->count;
        for (size_t k = 0; k < n && n > 2; k++) {
            const struct rab_vertex a = o->vertices[(k + n - 1) % n], b = o->vertices[k];
            const struct rab_vertex c = o->vertices[(k + 1) % n];
            const struct edge first = {{a.x, a.y}, {b.x, b.y}, a.bulge};
            const struct edge second = {{b.x, b.y}, {c.x, c.y}, b.bulge};
            const struct rab_point w = minus(first.b, first.a), v = minus(second.b, second.a);
            if (first.bulge == 0 && second.bulge == 0) {
                const double ac = length(minus(second.b, first.a));
                spare += dot(w, v) > 0 && fabs(cross(w, v)) < same * ac;
            } else if (first.bulge * second.bulge > 0 &&
                       fabs(atan(first.bulge) + atan(second.bulge)) < RAB_PI / 4 - 1e-7) {
                const struct rab_point m = brute_point(&second, 0.5, NULL);
                const struct rab_point l = brute_point(&first, 0.5, NULL);
                struct rab_point into, onward;
                brute_point(&first, 1, &into);
                brute_point(&second, 0, &onward);
                spare += off_circle(&first, m) < same && off_circle(&first, second.b) < same &&
                         off_circle(&second, l) < same && off_circle(&second, first.a) < same &&
                         dot(into, onward) > 0;
            }
        }
    }
    return spare;
}

/* The corner between two edges, extended: the vertex, the two offset ends and the tip. */
static bool corner_kite(const struct edge *before, const struct edge *after, double distance,
                        double limit, struct kite *kite)
{
    struct rab_point in, out;
    brute_point(before, 1, &in);
    brute_point(after, 0, &out);
    /* Seen with the side that grows on the right: turning left makes a corner there. */
    const double turn = atan2(cross(in, out), dot(in, out)) * (distance > 0 ? 1 : -1);
    if (turn < 1e-9 || turn > RAB_PI - 1e-9 || 1 / cos(turn / 2) > limit)
        return false;
    const struct rab_point v = after->a;
    const struct rab_point p = beside(v, in, -distance), q = beside(v, out, -distance);
    const double tip = 1 / (1 + cos(turn));
    const struct rab_point t = {v.x + tip * (p.x + q.x - 2 * v.x), v.y + tip * (p.y + q.y - 2 * v.y)};
    kite->corner[0] = v;
    kite->corner[1] = distance > 0 ? p : q;
    kite->corner[2] = t;
    kite->corner[3] = distance > 0 ? q : p;
    return true;
}

void kites_of(const struct rab_region *region, double distance, double limit, struct kites *out)
{
    struct edges edges = {0};
    size_t first = 0;

    brute_edges(region->outlines, region->count, &edges);
    out->items = calloc(edges.count + 1, sizeof *out->items);
    if (!out->items)
        abort();
    for (size_t i = 0; i < region->count; i++) {
        const size_t n = region->outlines[i].count;
        for (size_t k = 0; k < n; k++)
            out->count += corner_kite(&edges.items[first + (k + n - 1) % n],
                                      &edges.items[first + k], distance, limit > 0 ? limit : 4,
                                      &out->items[out->count]);
        first += n;
    }
    brute_clear(&edges);
}

void kites_clear(struct kites *kites)
{
    free(kites->items);
    *kites = (struct kites){0};
}

/* ---- probes ---- */

/* One question: the truth is a rule on windings, or on a winding and a distance. */
struct judge {
    const struct edges *a, *b, *got;
    enum rab_fill rule;
    bool combine;
    enum rab_combine how;
    bool grow;
    double distance;
    struct kites kites;
    struct probe_rule *probes;
    struct probe_fault *fault;
};

static bool combined(bool a, bool b, enum rab_combine how)
{
    switch (how) {
    case RAB_UNION:
        return a || b;
    case RAB_INTERSECTION:
        return a && b;
    case RAB_DIFFERENCE:
        return a && !b;
    case RAB_EXCLUSIVE:
        break;
    }
    return a != b;
}

/* Signed distance inside a convex quadrilateral: positive within. */
static double within(const struct kite *kite, struct rab_point p)
{
    double least = HUGE_VAL;
    for (int i = 0; i < 4; i++) {
        const struct rab_point w = minus(kite->corner[(i + 1) % 4], kite->corner[i]);
        least = fmin(least, cross(w, minus(p, kite->corner[i])) / length(w));
    }
    return least;
}

/* False when p stands too near to an edge to be asked. */
static bool truth_at(const struct judge *j, struct rab_point p, bool *want)
{
    const double skip = j->probes->skip;
    if (!j->grow) {
        if (brute_distance(j->a, p) < skip || (j->combine && brute_distance(j->b, p) < skip))
            return false;
        const bool in_a = winding_filled(brute_winding(j->a, p), j->rule);
        *want = j->combine ? combined(in_a, brute_winding(j->b, p) > 0, j->how) : in_a;
        return true;
    }
    const double away = brute_distance(j->a, p);
    if (fabs(away - fabs(j->distance)) < skip || away < skip)
        return false;
    const bool in = brute_winding(j->a, p) > 0;
    bool near = away < fabs(j->distance);
    for (size_t k = 0; k < j->kites.count; k++) {
        const double depth = within(&j->kites.items[k], p);
        if (fabs(depth) < skip)
            return false;
        near |= depth > 0;
    }
    *want = j->distance >= 0 ? in || near : in && !near;
    return true;
}

static bool ask(const struct judge *j, struct rab_point p)
{
    bool want;
    if (!truth_at(j, p, &want))
        return true;
    const int winding = brute_winding(j->got, p);
    if (winding == (want ? 1 : 0))
        return true;
    j->fault->at = p;
    j->fault->want = want;
    snprintf(j->fault->text, sizeof j->fault->text,
             "a point that is %s the material has winding number %d in the result",
             want ? "in" : "outside", winding);
    return false;
}

/* A point on an edge of the result must lie on an edge, or at the distance. */
static bool edge_is_right(const struct judge *j, struct rab_point p)
{
    double error;
    if (j->grow) {
        error = fabs(brute_distance(j->a, p) - fabs(j->distance));
        for (size_t k = 0; k < j->kites.count; k++)
            error = fmin(error, fabs(within(&j->kites.items[k], p)));
    } else {
        error = brute_distance(j->a, p);
        if (j->combine)
            error = fmin(error, brute_distance(j->b, p));
    }
    j->fault->error = fmax(j->fault->error, error);
    if (error < j->probes->skip)
        return true;
    j->fault->at = p;
    snprintf(j->fault->text, sizeof j->fault->text, "an edge of the result lies %.3g mm off",
             error);
    return false;
}

static const struct edge *any_edge(const struct edges *edges, struct seeded *numbers)
{
    return &edges->items[seeded_next(numbers) % edges->count];
}

/* A share of the edge with its ends and their neighbourhood favoured: faults live there. */
static double any_share(struct seeded *numbers)
{
    switch (seeded_int(numbers, 0, 5)) {
    case 0:
        return 0.001;
    case 1:
        return 0.999;
    case 2:
        return 0.5;
    }
    return seeded_real(numbers, 0, 1);
}

static bool run_probes(const struct judge *j)
{
    struct seeded *numbers = &j->probes->numbers;
    const double step = j->probes->step;
    const struct edges *sources[2] = {j->a, j->combine ? j->b : j->a};
    struct rab_point low = {HUGE_VAL, HUGE_VAL}, high = {-HUGE_VAL, -HUGE_VAL};

    j->fault->error = 0;
    if (j->a->count + sources[1]->count + j->got->count == 0)
        return true;
    for (int s = 0; s < 2; s++)
        for (size_t i = 0; i < sources[s]->count; i++) {
            const struct rab_point p = sources[s]->items[i].a;
            low = (struct rab_point){fmin(low.x, p.x), fmin(low.y, p.y)};
            high = (struct rab_point){fmax(high.x, p.x), fmax(high.y, p.y)};
        }
    for (size_t n = 0; n < j->probes->at_most; n++) {
        struct rab_point along;
        const int kind = seeded_int(numbers, 0, 9);
        const struct edges *source = sources[n % 2];
        if (kind < 5 && j->got->count > 0) {
            const struct rab_point p =
                brute_point(any_edge(j->got, numbers), any_share(numbers), &along);
            if (!edge_is_right(j, p) || !ask(j, beside(p, along, step)) ||
                !ask(j, beside(p, along, -step)))
                return false;
        } else if (kind < 9 && source->count > 0) {
            const struct edge *e = any_edge(source, numbers);
            struct rab_point p = brute_point(e, any_share(numbers), &along);
            double away = j->grow ? fabs(j->distance) : 0;
            if (seeded_int(numbers, 0, 1))
                away = -away;
            if (j->grow && kind == 8) { /* about a corner */
                const double angle = seeded_real(numbers, 0, 2 * RAB_PI);
                along = (struct rab_point){cos(angle), sin(angle)};
                p = e->a;
            }
            if (!ask(j, beside(p, along, away + step)) || !ask(j, beside(p, along, away - step)))
                return false;
        } else if (low.x <= high.x) {
            const struct rab_point p = {seeded_real(numbers, low.x, high.x),
                                        seeded_real(numbers, low.y, high.y)};
            if (!ask(j, p))
                return false;
        }
    }
    return true;
}

bool probe_fill(const struct rab_outline *outlines, size_t count, enum rab_fill rule,
                const struct rab_region *result, struct probe_rule probes,
                struct probe_fault *fault)
{
    struct edges a = {0}, got = {0};
    brute_edges(outlines, count, &a);
    brute_edges(result->outlines, result->count, &got);
    const struct judge j = {
        .a = &a, .got = &got, .rule = rule, .probes = &probes, .fault = fault};
    const bool right = run_probes(&j);
    brute_clear(&a);
    brute_clear(&got);
    return right;
}

bool probe_combine(const struct rab_region *a, const struct rab_region *b, enum rab_combine how,
                   const struct rab_region *result, struct probe_rule probes,
                   struct probe_fault *fault)
{
    struct edges ea = {0}, eb = {0}, got = {0};
    brute_edges(a->outlines, a->count, &ea);
    brute_edges(b->outlines, b->count, &eb);
    brute_edges(result->outlines, result->count, &got);
    const struct judge j = {.a = &ea,
                            .b = &eb,
                            .got = &got,
                            .rule = RAB_FILL_POSITIVE,
                            .combine = true,
                            .how = how,
                            .probes = &probes,
                            .fault = fault};
    const bool right = run_probes(&j);
    brute_clear(&ea);
    brute_clear(&eb);
    brute_clear(&got);
    return right;
}

bool probe_grow(const struct rab_region *in, double distance, enum rab_join join, double limit,
                const struct rab_region *result, struct probe_rule probes,
                struct probe_fault *fault)
{
    struct edges a = {0}, got = {0};
    brute_edges(in->outlines, in->count, &a);
    brute_edges(result->outlines, result->count, &got);
    struct kites kites = {0};
    if (join == RAB_JOIN_MITRE)
        kites_of(in, distance, limit, &kites);
    const struct judge j = {.a = &a,
                            .got = &got,
                            .grow = true,
                            .distance = distance,
                            .kites = kites,
                            .probes = &probes,
                            .fault = fault};
    const bool right = run_probes(&j);
    kites_clear(&kites);
    brute_clear(&a);
    brute_clear(&got);
    return right;
}
