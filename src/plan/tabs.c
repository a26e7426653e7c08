#include "plan/tabs.h"

#include "outline/arc.h"

#include <math.h>
#include <stdlib.h>

/* A change of direction beyond this is a corner, as for edges. */
static const double corner_turn = 15 * RAB_PI / 180;
/* A tab on a curve tighter than so many times its width would show as a flat. */
static const double gentle = 4;

bool tabs_is_corner(const struct rab_outline *outline, size_t vertex)
{
    const size_t count = outline->count;
    const struct arc before = arc_of(outline, (vertex + count - 1) % count);
    const struct arc behind = arc_of(outline, vertex);

    return fabs(point_angle(before.tb, behind.ta)) > corner_turn;
}

/* ---- parts of an outline by length ----------------------------------------------------- */

/* Ends of the edges, measured along the outline: ends[0] is 0. */
static double *measure(const struct rab_outline *outline, struct rab_error *err)
{
    const size_t edges = arc_count(outline);
    double *ends = malloc((edges + 1) * sizeof *ends);

    if (!ends) {
        rab_fail_memory(err);
        return NULL;
    }
    ends[0] = 0;
    for (size_t e = 0; e < edges; e++) {
        const struct arc arc = arc_of(outline, e);
        ends[e + 1] = ends[e] + arc_length(&arc);
    }
    return ends;
}

/* From one length to another as an open path; `to` may go on past the end of a closed outline. */
static bool take_part(const struct rab_outline *outline, const double *ends, double from, double to,
                      struct rab_outline *out, struct rab_error *err)
{
    static const double nothing = 1e-9;
    const size_t edges = arc_count(outline);
    const double whole = ends[edges];
    size_t e = 0;
    double base = 0;

    while (from >= whole - nothing && to > whole) {
        from -= whole;
        to -= whole;
    }
    while (e + 1 < edges && ends[e + 1] <= from + nothing)
        e++;
    for (;;) {
        const struct arc arc = arc_of(outline, e);
        const double length = ends[e + 1] - ends[e];
        const double start = fmax(0, from - base - ends[e]),
                     stop = fmin(length, to - base - ends[e]);

        if (length > nothing && stop - start > nothing) {
            const double s = start / length, t = stop >= length - nothing ? 1 : stop / length;
            const struct rab_point a = s <= 0 ? arc.a : arc_at(&arc, s, NULL);
            const struct rab_point b = t >= 1 ? arc.b : arc_at(&arc, t, NULL);
            if (out->count == 0 && !rab_outline_add(out, a.x, a.y, 0, err))
                return false;
            out->vertices[out->count - 1].bulge =
                s <= 0 && t >= 1 ? arc.bulge : tan((t - s) * atan(arc.bulge));
            if (!rab_outline_add(out, b.x, b.y, 0, err))
                return false;
        }
        if (base + ends[e + 1] >= to - nothing)
            break;
        if (++e == edges) {
            e = 0;
            base += whole;
        }
    }
    out->open = true;
    return true;
}

/* ---- overcut --------------------------------------------------------------------------- */

bool tabs_begin(struct rab_outline *outline, size_t start, double overcut, struct rab_error *err)
{
    struct rab_outline turned = {0}, longer = {0};
    double *ends = NULL;
    bool ok = false;

    for (size_t i = 0; i < outline->count; i++) {
        const struct rab_vertex *v = &outline->vertices[(start + i) % outline->count];
        if (!rab_outline_add(&turned, v->x, v->y, v->bulge, err))
            goto done;
    }
    if (overcut > 0) {
        ends = measure(&turned, err);
        if (!ends)
            goto done;
        const double whole = ends[turned.count];
        if (!take_part(&turned, ends, 0, whole + fmin(overcut, whole), &longer, err))
            goto done;
    }
    rab_outline_clear(outline);
    *outline = overcut > 0 ? longer : turned;
    *(overcut > 0 ? &longer : &turned) = (struct rab_outline){0};
    ok = true;
done:
    free(ends);
    rab_outline_clear(&turned);
    rab_outline_clear(&longer);
    return ok;
}

/* ---- tabs ------------------------------------------------------------------------------ */

/* A stretch of an outline where a tab may have its middle. */
struct stretch {
    double from, to;
};

/* Straight or gently curved, and a tab's width away from corners and tight curves. */
static size_t find_stretches(const struct rab_outline *outline, const double *ends, double width,
                             struct stretch *stretches)
{
    size_t count = 0;

    for (size_t e = 0; e < arc_count(outline); e++) {
        const struct arc arc = arc_of(outline, e);
        const double rim = 1.5 * width; /* half the tab, and a whole one to what is not smooth */
        if ((arc.k != 0 && arc_radius(&arc) < gentle * width))
            continue;
        if (ends[e + 1] - ends[e] > 2 * rim)
            stretches[count++] = (struct stretch){ends[e] + rim, ends[e + 1] - rim};
    }
    return count;
}

/* Where tabs may be, and how far apart they must be. */
struct tab_places {
    struct stretch *stretches;
    size_t count;
    double whole, width;
    bool open; /* else the end goes on to the beginning */
};

/* How far from where it is wanted the nearest good place is; *at is that. */
static double nearest_place(const struct tab_places *places, double wanted, double *at)
{
    const int around = places->open ? 0 : 1;
    double least = HUGE_VAL;

    for (size_t i = 0; i < places->count; i++) {
        for (int turn = -around; turn <= around; turn++) {
            const double w = wanted + turn * places->whole;
            const double p = fmin(fmax(w, places->stretches[i].from), places->stretches[i].to);
            if (fabs(p - w) < least) {
                least = fabs(p - w);
                *at = p;
            }
        }
    }
    return least;
}

static int compare_numbers(const void *a, const void *b)
{
    const double p = *(const double *)a, q = *(const double *)b;

    return (p > q) - (p < q);
}

/* Evenly spaced, the first where that brings all of them nearest to good places; then each in its
 * place. Tabs that would meet are one. */
static size_t place_tabs(const struct tab_places *places, size_t wanted, double *tabs)
{
    enum { PHASES = 32 };
    double best = HUGE_VAL, phase = 0, at = 0;
    size_t kept = 0;

    for (int n = 0; n < PHASES; n++) {
        double sum = 0;
        for (size_t i = 0; i < wanted; i++)
            sum += nearest_place(
                places, places->whole * ((double)i + (double)n / PHASES) / (double)wanted, &at);
        if (sum < best - 1e-9) {
            best = sum;
            phase = (double)n / PHASES;
        }
    }
    for (size_t i = 0; i < wanted; i++)
        nearest_place(places, places->whole * ((double)i + phase) / (double)wanted, &tabs[i]);
    qsort(tabs, wanted, sizeof *tabs, compare_numbers);
    for (size_t i = 0; i < wanted; i++)
        if (kept == 0 || (tabs[i] - tabs[kept - 1] > 3 * places->width &&
                          (places->open || tabs[0] + places->whole - tabs[i] > 3 * places->width)))
            tabs[kept++] = tabs[i];
    return kept;
}

/* share: how much of its outline this line is. */
static size_t tabs_wanted(const struct rab_plan_options *options, double length, double share)
{
    const double most = floor(length / (6 * options->tab_width));
    const double wanted =
        options->tabs > 0 ? round(options->tabs * share) : ceil(length / options->tab_every - 1e-9);

    return (size_t)fmax(0, fmin(fmax(1, wanted), most));
}

/* The parts between tabs. */
static bool add_parts(const struct line *path, const double *ends, const double *tabs, size_t count,
                      double width, struct line_list *made, struct rab_error *err)
{
    const bool open = path->outline.open;
    const double whole = ends[arc_count(&path->outline)], half = width / 2;
    struct rab_outline part = {0};
    bool ok = false;

    if (open && (!take_part(&path->outline, ends, 0, tabs[0] - half, &part, err) ||
                 !line_list_add(made, path, &part, err)))
        goto done;
    for (size_t i = 0; i < count; i++) {
        const double next = i + 1 < count ? tabs[i + 1] - half
                            : open        ? whole
                                          : tabs[0] + whole - half;
        if (!take_part(&path->outline, ends, tabs[i] + half, next, &part, err) ||
            !line_list_add(made, path, &part, err))
            goto done;
    }
    ok = true;
done:
    rab_outline_clear(&part);
    return ok;
}

static bool leave_tabs(const struct line *path, const struct rab_outline *source,
                       const struct rab_plan_options *options, struct line_list *made, size_t *tabs,
                       struct rab_error *err)
{
    double *ends = measure(&path->outline, err), *at = NULL;
    struct tab_places places = {.width = options->tab_width, .open = path->outline.open};
    size_t count = 0;
    bool ok = false;

    if (!ends)
        return false;
    places.whole = ends[arc_count(&path->outline)];
    const double share =
        places.open ? fmin(1, places.whole / fmax(1e-9, rab_outline_perimeter(source))) : 1;
    const size_t wanted = tabs_wanted(options, places.whole, share);
    places.stretches = malloc(path->outline.count * sizeof *places.stretches);
    at = malloc((wanted + 1) * sizeof *at);
    if (!places.stretches || !at) {
        rab_fail_memory(err);
        goto done;
    }
    places.count = find_stretches(&path->outline, ends, options->tab_width, places.stretches);
    if (places.count > 0 && wanted > 0)
        count = place_tabs(&places, wanted, at);
    ok = count == 0 ? line_list_keep(made, path, err)
                    : add_parts(path, ends, at, count, options->tab_width, made, err);
    if (ok)
        *tabs += count;
done:
    free(ends);
    free(places.stretches);
    free(at);
    return ok;
}

/* What is cut around a piece, or what is left of it where it shares lines with others. */
static bool is_outer(const struct rab_outline *source, const struct line *path)
{
    return path->operation == RAB_CUT && !source->open && rab_outline_area(source) > 0;
}

static bool tell_without(size_t without, int piece, struct rab_warnings *notes,
                         struct rab_error *err)
{
    return without == 0 ||
           rab_warn(notes, err, "no-tab", 0,
                    "%zu outline%s no straight or gently curved place for a tab (the first is of "
                    "piece %d); give narrower tabs, or hold %s another way",
                    without, without == 1 ? " has" : "s have", piece, without == 1 ? "it" : "them");
}

bool tabs_leave(struct line_list *list, const struct rab_path *paths,
                const struct rab_plan_options *options, size_t *tabs, struct rab_warnings *notes,
                struct rab_error *err)
{
    struct line_list made = {0};
    size_t without = 0, end;
    int piece = 0;

    *tabs = 0;
    for (size_t i = 0; i < list->count; i = end) {
        const struct line *first = &list->items[i];
        const struct rab_outline *source = &paths[first->source].outline;
        const bool outer = is_outer(source, first);
        const size_t before = *tabs;
        for (end = i; end < list->count && list->items[end].source == first->source; end++)
            if (!(outer ? leave_tabs(&list->items[end], source, options, &made, tabs, err)
                        : line_list_keep(&made, &list->items[end], err)))
                goto fail;
        if (outer && *tabs == before && without++ == 0)
            piece = first->piece;
    }
    if (!tell_without(without, piece, notes, err))
        goto fail;
    line_list_clear(list);
    *list = made;
    return true;
fail:
    line_list_clear(&made);
    return false;
}

/* ---- dashes ---------------------------------------------------------------------------- */

static bool add_dashes(const struct line *path, double dash, double gap, struct line_list *made,
                       struct rab_error *err)
{
    struct rab_outline part = {0};
    double *ends = measure(&path->outline, err);
    bool ok = false;

    if (!ends)
        return false;
    const bool open = path->outline.open;
    const double whole = ends[arc_count(&path->outline)];
    /* n dashes and, of an open line, one gap less */
    const double share = dash / (dash + gap), missing = open ? gap : 0;
    const double count = fmax(1, round((whole + missing) / (dash + gap)));
    const double repeat = open ? whole / (count - 1 + share) : whole / count;
    if (count > 1e6) {
        rab_fail(err, RAB_FAULT_INPUT,
                 "a line would have more than a million dashes; give longer ones");
        goto done;
    }
    for (double n = 0; n < count; n++) {
        if (!take_part(&path->outline, ends, n * repeat, fmin(whole, n * repeat + share * repeat),
                       &part, err) ||
            !line_list_add(made, path, &part, err))
            goto done;
    }
    ok = true;
done:
    rab_outline_clear(&part);
    free(ends);
    return ok;
}

bool tabs_dash(struct line_list *list, enum rab_operation operation, double dash, double gap,
               struct rab_error *err)
{
    struct line_list made = {0};

    for (size_t i = 0; i < list->count; i++) {
        const struct line *path = &list->items[i];
        const bool ok = path->operation == operation ? add_dashes(path, dash, gap, &made, err)
                                                     : line_list_keep(&made, path, err);
        if (!ok) {
            line_list_clear(&made);
            return false;
        }
    }
    line_list_clear(list);
    *list = made;
    return true;
}
