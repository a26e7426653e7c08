#include "frame/divide.h"

#include <stdlib.h>

#include "frame/middle.h"

/* Ends of spans closer than this are one point. They are computed to about 1e-9, but less well
 * where own edges are seen at nearly the same angle. */
static const double same_end = 1e-4;
/* Spans become cubic curves for the fit, with this deviation. */
static const double curve_deviation = 1e-4;

/* Discs are followed this far beyond the seam, so that lines end outside the grown outlines. */
static double beyond(double seam)
{
    return 0.05 + 0.05 * seam;
}

double divide_reach(double seam)
{
    return 2 * (seam + beyond(seam));
}

static void divide_clear(struct divide *divide)
{
    rab_outline_clear(&divide->line);
    free(divide->left);
    free(divide->right);
    free(divide->others);
    *divide = (struct divide){0};
}

void divides_clear(struct divides *divides)
{
    for (size_t i = 0; i < divides->count; i++)
        divide_clear(&divides->items[i]);
    free(divides->items);
    *divides = (struct divides){0};
}

struct work {
    const struct field *field;
    size_t site;
    const struct near *own, *others;
    double seam;
    struct spans spans;
    struct divides *out;
    struct rab_error *err;

    struct chain *chains;
    size_t chain_count;
    struct rab_curve *curves;
    size_t curve_count, curve_capacity;
};

/* ---- spans in a row ---------------------------------------------------------------------- */

struct chain {
    size_t first, last; /* spans, each starting where the one before ends */
    struct rab_point start, end;
    size_t next; /* the chain that starts where this one ends, NO_SITE when none does */
    bool followed, used;
};

static struct rab_point span_start(const struct work *w, size_t i, double *radius)
{
    return span_at(w->field, &w->spans.items[i], w->spans.items[i].from, radius, NULL);
}

static struct rab_point span_end(const struct work *w, size_t i, double *radius)
{
    return span_at(w->field, &w->spans.items[i], w->spans.items[i].to, radius, NULL);
}

struct start {
    double x;
    size_t chain;
};

static int by_x(const void *a, const void *b)
{
    const struct start *p = a, *q = b;

    if (p->x != q->x)
        return p->x < q->x ? -1 : 1;
    return (p->chain > q->chain) - (p->chain < q->chain);
}

static bool link_chains(struct work *w)
{
    const size_t n = w->chain_count;
    struct start *starts = malloc((n + 1) * sizeof *starts);

    if (!starts)
        return rab_fail_memory(w->err);
    for (size_t i = 0; i < n; i++)
        starts[i] = (struct start){w->chains[i].start.x, i};
    qsort(starts, n, sizeof *starts, by_x);
    for (size_t i = 0; i < n; i++) {
        struct chain *chain = &w->chains[i];
        size_t lo = 0, hi = n;

        while (lo < hi) {
            const size_t mid = (lo + hi) / 2;

            if (starts[mid].x < chain->end.x - same_end)
                lo = mid + 1;
            else
                hi = mid;
        }
        for (; lo < n && starts[lo].x <= chain->end.x + same_end; lo++) {
            struct chain *other = &w->chains[starts[lo].chain];

            if (other->followed || point_apart(other->start, chain->end) > same_end)
                continue;
            other->followed = true;
            chain->next = starts[lo].chain;
            break;
        }
    }
    free(starts);
    return true;
}

static bool find_chains(struct work *w)
{
    double radius;

    w->chains = malloc((w->spans.count + 1) * sizeof *w->chains);
    if (!w->chains)
        return rab_fail_memory(w->err);
    for (size_t i = 0; i < w->spans.count; i++) {
        const struct rab_point start = span_start(w, i, &radius), end = span_end(w, i, &radius);
        struct chain *last = w->chain_count > 0 ? &w->chains[w->chain_count - 1] : NULL;

        if (last && point_apart(last->end, start) <= same_end) {
            last->last = i;
            last->end = end;
        } else {
            w->chains[w->chain_count++] = (struct chain){i, i, start, end, NO_SITE, false, false};
        }
    }
    return link_chains(w);
}

/* ---- curves ------------------------------------------------------------------------------ */

static bool add_curve(struct work *w, struct rab_curve curve)
{
    if (w->curve_count == w->curve_capacity) {
        void *items = w->curves;

        if (!rab_reserve(&items, &w->curve_capacity, w->curve_count + 1, sizeof *w->curves, w->err))
            return false;
        w->curves = items;
    }
    w->curves[w->curve_count++] = curve;
    return true;
}

static bool add_line(struct work *w, struct rab_point a, struct rab_point b)
{
    if (w->curve_count > 0 && w->curves[w->curve_count - 1].kind == RAB_CURVE_LINE) {
        struct rab_curve *last = &w->curves[w->curve_count - 1];
        const struct rab_point d = point_minus(last->p[1], last->p[0]), e = point_minus(b, a);
        const double length = hypot(d.x, d.y) + hypot(e.x, e.y);

        /* Straight on? */
        if (fabs(point_cross(d, e)) <= 1e-9 * length && point_dot(d, e) > 0) {
            last->p[1] = b;
            return true;
        }
    }
    return add_curve(w, (struct rab_curve){.kind = RAB_CURVE_LINE, .p = {a, b}});
}

/* The cubic with these ends and directions that is a circle's when the directions are. */
static struct rab_curve cubic(struct rab_point a, struct rab_point ta, struct rab_point b,
                              struct rab_point tb)
{
    const double turn = atan2(point_cross(ta, tb), point_dot(ta, tb)), c = cos(turn / 4);
    const double reach = point_apart(a, b) / (3 * c * c);

    return (struct rab_curve){.kind = RAB_CURVE_CUBIC,
                              .p = {a, point_along(a, reach, ta), point_along(b, -reach, tb), b}};
}

static double off_cubic(const struct rab_curve *curve, struct rab_point point)
{
    const struct rab_point *p = curve->p;
    double t = 0.5, off = 0;

    for (int step = 0; step < 3; step++) {
        const double s = 1 - t;
        const struct rab_point at = {
            s * s * s * p[0].x + 3 * s * t * (s * p[1].x + t * p[2].x) + t * t * t * p[3].x,
            s * s * s * p[0].y + 3 * s * t * (s * p[1].y + t * p[2].y) + t * t * t * p[3].y};
        const struct rab_point d = {3 * (s * s * (p[1].x - p[0].x) + 2 * s * t * (p[2].x - p[1].x) +
                                         t * t * (p[3].x - p[2].x)),
                                    3 * (s * s * (p[1].y - p[0].y) + 2 * s * t * (p[2].y - p[1].y) +
                                         t * t * (p[3].y - p[2].y))};

        off = point_apart(at, point);
        t += point_dot(point_minus(point, at), d) / point_dot(d, d);
        if (!(t > 0 && t < 1))
            break;
    }
    return off;
}

/* NOLINTNEXTLINE(misc-no-recursion): at most 12 deep */
static bool add_span_curves(struct work *w, const struct span *span, double from, double to,
                            int depth)
{
    double radius;
    struct rab_point ta, tb, tm;
    const struct rab_point a = span_at(w->field, span, from, &radius, &ta);
    const struct rab_point b = span_at(w->field, span, to, &radius, &tb);
    const double middle = (from + to) / 2, chord = point_apart(a, b);

    if (chord < 1e-9)
        return true;
    const struct rab_point m = span_at(w->field, span, middle, &radius, &tm);
    const struct rab_point along = {(b.x - a.x) / chord, (b.y - a.y) / chord};
    const double bend = fmax(fabs(point_cross(along, ta)), fabs(point_cross(along, tb)));
    if (bend * chord < 1e-8 && fabs(point_cross(along, point_minus(m, a))) < 1e-8)
        return add_line(w, a, b);

    const struct rab_curve curve = cubic(a, ta, b, tb);
    if (depth == 0 || chord < 1e-5 || (bend < 0.4 && off_cubic(&curve, m) < curve_deviation))
        return add_curve(w, curve);
    return add_span_curves(w, span, from, middle, depth - 1) &&
           add_span_curves(w, span, middle, to, depth - 1);
}

/* ---- the ends of lines ------------------------------------------------------------------- */

struct seen {
    double distance;
    struct rab_point at;
};

static struct seen see(const struct near *near, struct choice choice, struct rab_point from)
{
    struct seen seen = {1e300, from};
    const size_t arc = near_nearest(near, choice, from, 1e300, &seen.distance);

    if (arc != NO_SITE)
        seen.distance = arc_distance(&near->field->arcs[arc], from, &seen.at);
    return seen;
}

static const struct choice everyone = {AMONG_SERVED, 0};

/* A point of equal distance to the site and another, about `way` from `end` in a direction. */
static bool step_on(const struct work *w, size_t other, struct rab_point end,
                    struct rab_point direction, double way, struct rab_point *out)
{
    struct rab_point p = point_along(end, way, direction);

    for (int step = 0; step < 8; step++) {
        const struct seen a = see(w->own, (struct choice){AMONG_ALL, 0}, p);
        const struct seen b = see(w->others, (struct choice){AMONG_SITE, other}, p);
        const double f = a.distance - b.distance;

        if (!(a.distance > 0) || !(b.distance > 0) || !(b.distance < 1e300))
            return false;
        if (fabs(f) < 1e-9) {
            const double gone = point_apart(p, end);

            *out = p;
            return gone > way / 4 && gone < way * 2 &&
                   see(w->others, everyone, p).distance < a.distance - 1e-7;
        }
        const struct rab_point g = {(p.x - a.at.x) / a.distance - (p.x - b.at.x) / b.distance,
                                    (p.y - a.at.y) / a.distance - (p.y - b.at.y) / b.distance};
        const double size2 = point_dot(g, g);
        if (size2 < 1e-6)
            return false;
        p = point_along(p, -f / size2, g);
    }
    return false;
}

/* Does a point belong to neither of two sites? */
static bool foreign(const struct work *w, size_t other, struct rab_point p)
{
    const double own = see(w->own, (struct choice){AMONG_ALL, 0}, p).distance;
    const struct seen nearest = see(w->others, everyone, p);
    const struct seen theirs = see(w->others, (struct choice){AMONG_SITE, other}, p);

    return nearest.distance < own - 1e-7 && nearest.distance < theirs.distance - 1e-7;
}

static bool close_end(const struct work *w, struct wedge *wedge, size_t other, struct rab_point end,
                      struct rab_point direction, double radius, struct rab_point *tip)
{
    const double way = fmax(0.004, fmin(0.25, radius / 5));

    *wedge = (struct wedge){.other = other};
    if (!step_on(w, other, end, direction, way, tip) &&
        !step_on(w, other, end, direction, way / 4, tip))
        return false;
    wedge->added = true;
    const struct rab_point d = point_minus(*tip, end);
    for (double share = 0.5; share > 0.03; share /= 2) {
        const struct rab_point left = point_along(*tip, share, point_left(d));
        const struct rab_point right = point_along(*tip, -share, point_left(d));

        if (foreign(w, other, left) && foreign(w, other, right)) {
            wedge->there = true;
            wedge->corners[0] = end;
            wedge->corners[1] = left;
            wedge->corners[2] = right;
            break;
        }
    }
    return true;
}

/* ---- lines ------------------------------------------------------------------------------- */

static bool insert_first(struct rab_outline *line, struct rab_point p, struct rab_error *err)
{
    if (!rab_outline_add(line, p.x, p.y, 0, err))
        return false;
    for (size_t i = line->count - 1; i > 0; i--)
        line->vertices[i] = line->vertices[i - 1];
    line->vertices[0] = (struct rab_vertex){p.x, p.y, 0};
    return true;
}

struct end_seen {
    size_t arc; /* nearest to the edge at this end */
    struct rab_point at;
    double distance;
};

/* What is nearest to the ends of an edge, and how near anything comes along it. At a bend of the
 * line two things are equally near, each to one of the edges that meet: so an end is asked from a
 * little way along its edge. */
static double see_along(const struct near *near, struct choice choice, const struct arc *arc,
                        struct end_seen ends[2])
{
    double least = see(near, choice, arc_at(arc, 0.5, NULL)).distance;

    for (int end = 0; end < 2; end++) {
        const struct rab_point v = end ? arc->b : arc->a;
        double distance;

        ends[end] = (struct end_seen){NO_SITE, v, 0};
        ends[end].arc =
            near_nearest(near, choice, arc_at(arc, end ? 0.98 : 0.02, NULL), 1e300, &distance);
        if (ends[end].arc != NO_SITE)
            ends[end].distance = arc_distance(&near->field->arcs[ends[end].arc], v, &ends[end].at);
        least = fmin(least, ends[end].distance);
    }
    return least;
}

static struct rab_point part_way(struct rab_point v, const struct end_seen *seen, double depth)
{
    return point_along(v, seen->distance > 0 ? depth / seen->distance : 0,
                       point_minus(seen->at, v));
}

/* The way out of a bend on one side: between the normals of the edges that meet. */
static struct rab_point out_of_bend(const struct arc *before, const struct arc *after, bool right)
{
    const struct rab_point n =
        point_left((struct rab_point){before->tb.x + after->ta.x, before->tb.y + after->ta.y});
    const double length = hypot(n.x, n.y);

    return length > 0
               ? (struct rab_point){(right ? -n.x : n.x) / length, (right ? -n.y : n.y) / length}
               : (struct rab_point){0, 0};
}

/* Points beside each vertex of the line, a third of the way to what is nearest. */
static struct beside *beside_line(const struct divide *divide, const struct near *near,
                                  struct choice choice, bool right, struct rab_error *err)
{
    const struct rab_outline *line = &divide->line;
    const size_t edges = arc_count(line), n = line->count;
    struct beside *beside = calloc(n, sizeof *beside);
    struct end_seen(*seen)[2] = malloc((edges + 1) * sizeof *seen);
    double *least = malloc((edges + 1) * sizeof *least);

    if (!beside || !seen || !least) {
        rab_fail_memory(err);
        free(beside);
        beside = NULL;
        goto done;
    }
    for (size_t i = 0; i < edges; i++) {
        const struct arc arc = arc_of(line, i);
        struct choice asked = choice;

        /* Beyond its end the line lies in a third site's paper. */
        if (right && divide->wedges[0].added && i == 0)
            asked = (struct choice){AMONG_SITE, divide->wedges[0].other};
        if (right && divide->wedges[1].added && i + 1 == edges)
            asked = (struct choice){AMONG_SITE, divide->wedges[1].other};
        least[i] = see_along(near, asked, &arc, seen[i]);
    }
    for (size_t i = 0; i < n; i++) {
        const struct rab_point v = {line->vertices[i].x, line->vertices[i].y};
        const bool first = line->open && i == 0, last = line->open && i + 1 == n;
        const size_t before = i > 0 ? i - 1 : edges - 1;
        const double depth = fmin(first ? 1e300 : least[before], last ? 1e300 : least[i]) / 3;
        struct beside *b = &beside[i];

        if (!first)
            b->before = part_way(v, &seen[before][1], depth);
        if (!last)
            b->after = part_way(v, &seen[i][0], depth);
        if (first || last)
            continue;
        b->bent =
            seen[before][1].arc != seen[i][0].arc && point_apart(b->before, b->after) > depth / 100;
        if (b->bent) {
            const struct arc p = arc_of(line, before), q = arc_of(line, i);

            b->out = point_along(v, depth, out_of_bend(&p, &q, right));
        }
    }
done:
    free(seen);
    free(least);
    return beside;
}

static bool add_other(struct divide *divide, size_t other, struct rab_error *err)
{
    if (divide->other_count > 0 && divide->others[divide->other_count - 1] == other)
        return true;
    if (divide->other_count == divide->other_capacity) {
        void *items = divide->others;

        if (!rab_reserve(&items, &divide->other_capacity, divide->other_count + 1,
                         sizeof *divide->others, err))
            return false;
        divide->others = items;
    }
    divide->others[divide->other_count++] = other;
    return true;
}

static bool keep_divide(struct work *w, struct divide *made)
{
    struct divides *out = w->out;

    if (out->count == out->capacity) {
        void *items = out->items;

        if (!rab_reserve(&items, &out->capacity, out->count + 1, sizeof *out->items, w->err))
            return false;
        out->items = items;
    }
    out->items[out->count++] = *made;
    *made = (struct divide){0};
    return true;
}

static size_t span_site(const struct work *w, size_t i)
{
    return field_site(w->field, w->spans.items[i].other);
}

static bool draw_line(const struct work *w, bool closed, struct rab_outline *line)
{
    if (w->curve_count == 1 && w->curves[0].kind == RAB_CURVE_LINE) {
        const struct rab_point a = w->curves[0].p[0], b = w->curves[0].p[1];

        line->open = true;
        return rab_outline_add(line, a.x, a.y, 0, w->err) &&
               rab_outline_add(line, b.x, b.y, 0, w->err);
    }
    return rab_outline_fit(w->curves, w->curve_count, closed, DIVIDE_TOLERANCE - curve_deviation,
                           line, w->err);
}

/* Go on at both ends where a third site is near. */
static bool close_ends(struct work *w, struct divide *made, size_t first, size_t last)
{
    double radius;
    struct rab_point direction, tip;
    const struct span *span = &w->spans.items[last];
    struct rab_point end = span_at(w->field, span, span->to, &radius, &direction);

    if (radius < w->seam + beyond(w->seam) / 2 &&
        close_end(w, &made->wedges[1], span_site(w, last), end, direction, radius, &tip) &&
        !rab_outline_add(&made->line, tip.x, tip.y, 0, w->err))
        return false;
    span = &w->spans.items[first];
    end = span_at(w->field, span, span->from, &radius, &direction);
    direction = (struct rab_point){-direction.x, -direction.y};
    return !(radius < w->seam + beyond(w->seam) / 2 &&
             close_end(w, &made->wedges[0], span_site(w, first), end, direction, radius, &tip) &&
             !insert_first(&made->line, tip, w->err));
}

/* One line from a run of spans. */
static bool add_divide(struct work *w, const size_t *spans, size_t count, bool closed)
{
    struct divide made = {.owner = w->site};
    bool ok = false;

    w->curve_count = 0;
    for (size_t i = 0; i < count; i++) {
        const struct span *span = &w->spans.items[spans[i]];

        if (!add_span_curves(w, span, span->from, span->to, 12) ||
            !add_other(&made, span_site(w, spans[i]), w->err))
            goto done;
    }
    if (w->curve_count == 0) {
        ok = true;
        goto done;
    }
    if (!draw_line(w, closed, &made.line))
        goto done;
    if (!closed && !close_ends(w, &made, spans[0], spans[count - 1]))
        goto done;
    made.left = beside_line(&made, w->own, (struct choice){AMONG_ALL, 0}, false, w->err);
    made.right = beside_line(&made, w->others, everyone, true, w->err);
    ok = made.left && made.right && keep_divide(w, &made);
done:
    divide_clear(&made);
    return ok;
}

/* Lines run along spans whose other site has the greater index: the others were done from there. */
static bool add_runs(struct work *w, const size_t *spans, size_t count, bool closed)
{
    size_t start = 0;

    while (start < count && span_site(w, spans[start]) > w->site)
        start++;
    if (start == count)
        return add_divide(w, spans, count, closed);
    if (!closed)
        start = 0;
    for (size_t done = 0; done < count;) {
        const size_t from = start + done; /* never across the end of an open row */
        size_t length = 0;

        while (done + length < count && span_site(w, spans[(from + length) % count]) > w->site)
            length++;
        if (length > 0) {
            size_t *run = malloc(length * sizeof *run);

            if (!run)
                return rab_fail_memory(w->err);
            for (size_t i = 0; i < length; i++)
                run[i] = spans[(from + i) % count];
            const bool ok = add_divide(w, run, length, false);
            free(run);
            if (!ok)
                return false;
        }
        done += length > 0 ? length : 1;
    }
    return true;
}

static bool follow_chains(struct work *w)
{
    size_t *row = malloc((w->spans.count + 1) * sizeof *row);
    bool ok = false;

    if (!row)
        return rab_fail_memory(w->err);
    /* Rows with a beginning first, then those that close. */
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < w->chain_count; i++) {
            size_t count = 0, at = i;

            if (w->chains[i].used || (pass == 0 && w->chains[i].followed))
                continue;
            for (; at != NO_SITE && !w->chains[at].used; at = w->chains[at].next) {
                w->chains[at].used = true;
                for (size_t s = w->chains[at].first; s <= w->chains[at].last; s++)
                    row[count++] = s;
            }
            if (!add_runs(w, row, count, pass == 1))
                goto done;
        }
    ok = true;
done:
    free(row);
    return ok;
}

bool divides_add(const struct field *field, size_t site, const struct near *own,
                 const struct near *others, double seam, struct divides *divides,
                 struct rab_error *err)
{
    struct work w = {.field = field,
                     .site = site,
                     .own = own,
                     .others = others,
                     .seam = seam,
                     .out = divides,
                     .err = err};
    const bool ok =
        middle_spans(field, site, own, others, seam + beyond(seam), beyond(seam), &w.spans, err) &&
        find_chains(&w) && follow_chains(&w);

    free(w.spans.items);
    free(w.chains);
    free(w.curves);
    return ok;
}

/* ---- strips ------------------------------------------------------------------------------ */

/* The points beside a vertex, against the line's direction or along it. `before` and `after` say
 * which of the edges that meet there are part of the strip. */
static bool add_beside(struct rab_outline *made, const struct beside *b, bool before, bool after,
                       bool backwards, double bulge, struct rab_error *err)
{
    const struct rab_point one = backwards ? b->after : b->before;
    const struct rab_point two = backwards ? b->before : b->after;

    if (before && after && b->bent)
        return rab_outline_add(made, one.x, one.y, 0, err) &&
               rab_outline_add(made, b->out.x, b->out.y, 0, err) &&
               rab_outline_add(made, two.x, two.y, bulge, err);
    if (!before)
        return rab_outline_add(made, b->after.x, b->after.y, bulge, err);
    return rab_outline_add(made, b->before.x, b->before.y, bulge, err);
}

/* Between the line and the points of one side, along the edges first to last of it. */
static bool add_strip(const struct divide *divide, bool right, size_t first, size_t last,
                      struct list *list, struct rab_error *err)
{
    const struct rab_outline *line = &divide->line;
    const struct beside *beside = right ? divide->right : divide->left;
    const size_t n = line->count, edges = last - first + 1;
    struct rab_outline made = {0};
    bool ok = false;

    /* Clockwise: the line so that the strip is to its right, then the points back. */
    for (size_t step = 0; step <= edges; step++) {
        const size_t k = right ? first + step : last + 1 - step;
        const double bulge = step == edges ? 0
                             : right       ? line->vertices[k].bulge
                                           : -line->vertices[k - 1].bulge;

        if (!rab_outline_add(&made, line->vertices[k % n].x, line->vertices[k % n].y, bulge, err))
            goto done;
    }
    for (size_t step = 0; step <= edges; step++) {
        const size_t k = right ? last + 1 - step : first + step;
        const double bulge = step == edges ? 0
                             : right       ? -line->vertices[k - 1].bulge
                                           : line->vertices[k].bulge;

        if (!add_beside(&made, &beside[k % n], k > first, k <= last, right, bulge, err))
            goto done;
    }
    ok = list_take(list, &made, err);
done:
    rab_outline_clear(&made);
    return ok;
}

/* All round a closed line: two outlines, so that the strip lies between them. */
static bool add_ring(const struct divide *divide, bool right, struct list *list,
                     struct rab_error *err)
{
    const struct rab_outline *line = &divide->line;
    const struct beside *points = right ? divide->right : divide->left;
    struct rab_outline along = {0}, beside = {0};
    bool ok = false;

    for (size_t i = 0; i < line->count; i++) {
        const struct rab_vertex v = line->vertices[i];

        if (!rab_outline_add(&along, v.x, v.y, v.bulge, err) ||
            !add_beside(&beside, &points[i], true, true, false, v.bulge, err))
            goto done;
    }
    rab_outline_reverse(right ? &beside : &along);
    ok = list_take(list, &along, err) && list_take(list, &beside, err);
done:
    rab_outline_clear(&along);
    rab_outline_clear(&beside);
    return ok;
}

static bool add_wedge(const struct wedge *wedge, struct list *list, struct rab_error *err)
{
    struct rab_outline made = {0};
    bool ok = true;

    for (int i = 0; i < 3 && ok; i++)
        ok = rab_outline_add(&made, wedge->corners[i].x, wedge->corners[i].y, 0, err);
    ok = ok && list_take(list, &made, err);
    rab_outline_clear(&made);
    return ok;
}

bool divide_strips(const struct divide *divide, bool from_owner, size_t site, struct rab_box box,
                   struct list *list, struct rab_error *err)
{
    enum { SHORT = 24 };
    const struct rab_outline *line = &divide->line;
    const size_t edges = arc_count(line);

    for (int i = 0; i < 2; i++)
        if (divide->wedges[i].there && (from_owner || divide->wedges[i].other == site) &&
            !add_wedge(&divide->wedges[i], list, err))
            return false;
    if (edges <= SHORT)
        return line->open ? add_strip(divide, from_owner, 0, edges - 1, list, err)
                          : add_ring(divide, from_owner, list, err);
    for (size_t i = 0; i < edges;) {
        size_t end = i;

        for (; end < edges; end++) {
            const struct rab_vertex b = line->vertices[(end + 1) % line->count];
            const struct rab_box reach =
                rab_box_arc(line->vertices[end], (struct rab_point){b.x, b.y});

            if (!box_meets(&reach, &box))
                break;
        }
        if (end > i && !add_strip(divide, from_owner, i, end - 1, list, err))
            return false;
        i = end + 1;
    }
    return true;
}
