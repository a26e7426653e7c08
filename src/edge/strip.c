/* Strips: a motif along one long side or both. */
#include <math.h>
#include <stdlib.h>

#include "finish.h"
#include "stretch.h"
#include "trouble.h"

/* What is left of a strip between its edges must hold together. Common practice, no source. */
static const double least_web = 1;

static bool read_options(const struct rab_strip_options *o, struct rab_error *err)
{
    if (!(o->length > 0) || o->length > 1e5 || !(o->width > 0) || o->width > 1e5)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "a strip's length and width must be more than 0 and at most 100 m");
    if (o->keep_pitch && o->ends == RAB_ENDS_HALF)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "a pitch that is kept leaves the ends plain, so they cannot be half "
                        "repeats; ask for whole ones or valleys");
    return true;
}

/* ---- fitting --------------------------------------------------------------------------- */

static bool valley_at(const struct pattern *pattern, double pitch, double *valley,
                      struct rab_error *err)
{
    struct rab_repeat repeat = {0};

    if (!pattern_draw(pattern, pitch, pattern->depth, 0, 1, &repeat, err))
        return false;
    *valley = repeat.valley;
    rab_repeat_clear(&repeat);
    if (!(*valley >= 0) || *valley >= pitch)
        return rab_fail(err, RAB_FAULT_GEOMETRY,
                        "%s: a flat valley must be narrower than the pitch", pattern->motif->name);
    return true;
}

/* n pitches and one valley, whose width may follow the pitch, fill the length: by the secant, kept
 * between bounds, of which the first hold because a valley is narrower than a pitch. */
static bool fit_valleys(const struct pattern *pattern, double length, struct rab_run *fitted,
                        double *valley, struct rab_error *err)
{
    const double n = (double)fitted->count;
    double low = length / (n + 1), high = length / n, last = 0, last_off = 0;
    double pitch = (length - *valley) / n;

    for (int step = 0; step < 100; step++) {
        if (!(pitch > low && pitch < high))
            pitch = (low + high) / 2;
        if (!valley_at(pattern, pitch, valley, err))
            return false;
        const double off = n * pitch + *valley - length;
        if (fabs(off) <= 1e-12 * length || pitch <= low || pitch >= high) {
            if (fabs(off) > 1e-9 * length)
                break;
            fitted->pitch = pitch;
            return true;
        }
        if (off > 0)
            high = pitch;
        else
            low = pitch;
        const double slope = step > 0 ? (off - last_off) / (pitch - last) : n;
        last = pitch;
        last_off = off;
        pitch -= off / slope;
    }
    return rab_fail(err, RAB_FAULT_GEOMETRY,
                    "%s: no pitch was found with which its valleys end the strip",
                    pattern->motif->name);
}

/* The flat valleys' width, and where the first repeat begins. */
static bool fit(const struct pattern *pattern, const struct rab_strip_options *o,
                struct rab_run *fitted, double *first, struct rab_error *err)
{
    double valley = 0;

    if (o->ends == RAB_ENDS_VALLEY && !valley_at(pattern, pattern->pitch, &valley, err))
        return false;
    if (!(o->length - valley > 0) ||
        (o->keep_pitch && o->length + 1e-9 * pattern->pitch < pattern->pitch + valley))
        return rab_fail(err, RAB_FAULT_GEOMETRY,
                        "the strip is shorter than one repeat; give a smaller pitch");
    if (!stretch_fit(o->length - valley, pattern->pitch, o->keep_pitch, fitted, err))
        return false;
    if (valley > 0 && !o->keep_pitch && !fit_valleys(pattern, o->length, fitted, &valley, err))
        return false;
    fitted->length = o->length;
    *first = fitted->plain + valley / 2;
    if (o->ends == RAB_ENDS_HALF)
        *first = -fitted->pitch / 2;
    return true;
}

/* ---- sides ----------------------------------------------------------------------------- */

static void plan_upper(const struct rab_strip_options *o, const struct rab_run *fitted,
                       double first, struct stretch *side)
{
    side->fitted = *fitted;
    side->first = first;
    side->drawn = fitted->count + (o->ends == RAB_ENDS_HALF);
}

/* Half a repeat further: one more repeat, both outer ones cut in the middle; where the ends stay
 * plain one less. */
static void plan_lower(const struct rab_strip_options *o, const struct rab_run *fitted,
                       double first, struct stretch *side)
{
    plan_upper(o, fitted, first, side);
    if (o->sides != RAB_SIDES_APART)
        return;
    if (o->ends == RAB_ENDS_HALF) {
        side->first = 0;
        side->drawn = fitted->count;
    } else if (o->keep_pitch) {
        side->first = first + fitted->pitch / 2;
        side->drawn = fitted->count - 1;
        side->fitted.count = side->drawn;
        side->fitted.plain += fitted->pitch / 2;
    } else {
        side->first = first - fitted->pitch / 2;
        side->drawn = fitted->count + 1;
    }
}

static void flip(struct rab_outline *outline, double level, bool closed)
{
    for (size_t i = 0; i < outline->count; i++) {
        outline->vertices[i].y = level - outline->vertices[i].y;
        outline->vertices[i].bulge = -outline->vertices[i].bulge;
    }
    if (closed)
        rab_outline_reverse(outline);
}

/* From its own line to the upper side with its valleys at `level`, or upside down to the lower. */
static void settle(struct edging *side, double level, bool lower)
{
    struct ornaments *lists[2] = {&side->holes, &side->paths};

    for (int l = 0; l < 2; l++) {
        for (size_t i = 0; i < lists[l]->count; i++) {
            struct rab_outline *outline = &lists[l]->items[i].outline;
            if (lower)
                flip(outline, level, !outline->open);
            else
                rab_outline_move(outline, 0, level);
        }
    }
    if (lower)
        flip(&side->chain.line, level, false);
    else
        rab_outline_move(&side->chain.line, 0, level);
}

/* How far below the valleys a side needs paper: for its holes, its slits, what is drawn on it. */
static double depth_below(const struct edging *side)
{
    double low = fmin(0, rab_outline_box(&side->chain.line).y0);

    for (size_t i = 0; i < side->holes.count; i++)
        low = fmin(low, rab_outline_box(&side->holes.items[i].outline).y0);
    for (size_t i = 0; i < side->paths.count; i++)
        low = fmin(low, rab_outline_box(&side->paths.items[i].outline).y0);
    return -low;
}

static bool check_width(const struct rab_strip_options *o, double depth, double below,
                        struct rab_error *err)
{
    const double sides = o->sides == RAB_SIDES_ONE ? 1 : 2;
    const double least = sides * (depth + below) + least_web;
    const double sixteenth = rab_mm_from(1.0 / 16, RAB_UNIT_IN);
    struct rab_text text = {0};

    if (o->width >= least - 1e-9)
        return true;
    /* Both rounded up, so that either will do. */
    rab_text_fixed(&text, ceil(least * 100 - 1e-6) / 100, 2);
    rab_text_add(&text, " mm, or ");
    rab_text_length(&text, ceil(least / sixteenth - 1e-6) * sixteenth, true, 16);
    if (rab_text_ok(&text, err))
        rab_fail(err, RAB_FAULT_GEOMETRY,
                 "the strip is too narrow for this edge; give a width of at least %s, or a smaller "
                 "depth",
                 text.data);
    rab_text_clear(&text);
    return false;
}

/* ---- the strip ------------------------------------------------------------------------- */

/* Clockwise: the upper side from the left, the lower one from the right. */
static bool close_round(const struct edging *upper, struct edging *lower, struct chain *out,
                        struct rab_error *err)
{
    const struct mark plain = {0, NO_REPEAT};
    const size_t edges = lower->chain.line.count - 1;
    struct chain back = {0};
    bool ok = chain_begin(&back, chain_end(&lower->chain), err);

    for (size_t i = edges; i-- > 0 && ok;) {
        const struct rab_vertex v = lower->chain.line.vertices[i];
        ok = chain_add(&back, -v.bulge, (struct rab_point){v.x, v.y}, lower->chain.marks[i], err);
    }
    ok = ok && chain_join(out, &upper->chain, plain, err) && chain_join(out, &back, plain, err);
    if (ok) {
        out->line.open = false;
        out->marks[out->line.count - 1] = plain;
    }
    chain_clear(&back);
    return ok;
}

static bool fail_trouble(const struct trouble *trouble, struct rab_error *err)
{
    char place[PLACE_TEXT];

    return place_text(trouble->at, place, err) &&
           rab_fail(err, RAB_FAULT_GEOMETRY,
                    "repeats run into each other at %s; give a larger pitch or a smaller depth",
                    place);
}

/* The largest part of a region alone: what overhangs an end is cut off with it. */
static bool keep_largest(struct rab_region *region, struct rab_error *err)
{
    struct rab_region kept = {0};
    size_t best = 0;

    if (region->count == 1)
        return true;
    for (size_t i = 1; i < region->count; i++) {
        if (rab_outline_area(&region->outlines[i]) > rab_outline_area(&region->outlines[best]))
            best = i;
    }
    if (!rab_region_fill(&region->outlines[best], 1, RAB_FILL_NONZERO, &kept, err))
        return false;
    rab_region_clear(region);
    *region = kept;
    return true;
}

static bool cut_paper(const struct rab_strip_options *o, struct rab_region *paper,
                      struct rab_error *err)
{
    struct rab_outline rectangle = {0};
    struct rab_region within = {0}, left = {0};
    const double beyond = o->length + o->width;
    const bool ok =
        rab_outline_rectangle((struct rab_box){0, -beyond, o->length, o->width + beyond}, 0,
                              &rectangle, err) &&
        rab_region_fill(&rectangle, 1, RAB_FILL_NONZERO, &within, err) &&
        rab_region_combine(paper, &within, RAB_INTERSECTION, &left, err) &&
        keep_largest(&left, err);

    if (ok) {
        rab_region_clear(paper);
        *paper = left;
        left = (struct rab_region){0};
    }
    rab_region_clear(&left);
    rab_region_clear(&within);
    rab_outline_clear(&rectangle);
    return ok;
}

/* Clean at the ends: holes that an end would cut are left out, paths end there. */
static bool cut_ends(const struct rab_strip_options *o, struct rab_region *paper,
                     struct ornaments *holes, struct ornaments *paths, struct rab_error *err)
{
    const struct gate left = {{0, 0}, {0, 1}, -1, 0, NO_REPEAT};
    const struct gate right = {{o->length, 0}, {0, 1}, 1, 0, NO_REPEAT};
    const struct rab_box box = rab_region_box(paper);
    const bool cut = box.x0 < -1e-7 || box.x1 > o->length + 1e-7;
    const double least = cut ? half_web : -1e-7;
    size_t dropped = 0;

    return (!cut || cut_paper(o, paper, err)) && holes_keep(holes, &left, least, &dropped, err) &&
           holes_keep(holes, &right, least, &dropped, err) && paths_clip(paths, &left, err) &&
           paths_clip(paths, &right, err);
}

static bool take_out(const struct rab_region *paper, struct ornaments *holes,
                     struct rab_region *out, struct rab_error *err)
{
    struct rab_region all = {0};
    struct rab_point at = {0, 0};
    char place[PLACE_TEXT];
    bool clear = false;
    const bool ok = holes_unite(holes, NULL, &all, err) &&
                    holes_cut(paper, all.outlines, all.count, out, &clear, &at, err);

    rab_region_clear(&all);
    return ok && (clear || (place_text(at, place, err) &&
                            rab_fail(err, RAB_FAULT_GEOMETRY,
                                     "a hole of the motif runs into the strip's edge at %s; give a "
                                     "larger pitch or a wider strip",
                                     place)));
}

static bool assemble(const struct rab_strip_options *o, struct edging *upper, struct edging *lower,
                     struct rab_figure *out, struct rab_error *err)
{
    struct chain edge = {0};
    struct troubles troubles = {0};
    struct rab_region paper = {0};
    struct ornaments holes = {0}, paths = {0};
    const bool ok =
        close_round(upper, lower, &edge, err) && edge_resolve(&edge, &paper, &troubles, err) &&
        (troubles.count == 0 || fail_trouble(&troubles.items[0], err)) &&
        ornaments_append(&holes, &upper->holes, err) &&
        ornaments_append(&holes, &lower->holes, err) &&
        ornaments_append(&paths, &upper->paths, err) &&
        ornaments_append(&paths, &lower->paths, err) && cut_ends(o, &paper, &holes, &paths, err) &&
        take_out(&paper, &holes, &out->paper, err) && paths_within(&paths, &out->paper, err) &&
        paths_hand_over(&paths, out, err);

    ornaments_clear(&paths);
    ornaments_clear(&holes);
    rab_region_clear(&paper);
    troubles_clear(&troubles);
    chain_clear(&edge);
    return ok;
}

bool rab_edge_strip(const struct rab_library *library, const struct rab_shape *motif,
                    const double *values, const struct rab_strip_options *options, double tolerance,
                    struct rab_edge *out, struct rab_error *err)
{
    const bool two = options->sides != RAB_SIDES_ONE;
    struct pattern pattern = {0};
    struct stretch sides[2] = {{.number = 0}, {.number = 1}};
    struct edging edgings[2] = {{.start_height = 0}};
    struct rab_edge made = {0};
    struct rab_run fitted;
    double first = 0;
    bool ok = false;

    if (!read_options(options, err) ||
        !pattern_make(library, motif, values, tolerance, &pattern, err))
        return false;
    if (!fit(&pattern, options, &fitted, &first, err))
        goto done;
    plan_upper(options, &fitted, first, &sides[0]);
    if (two)
        plan_lower(options, &fitted, first, &sides[1]);
    double below = 0, shallow = 0;
    for (int i = 0; i < 2; i++) {
        if (!way_of_line((struct rab_point){0, 0}, (struct rab_point){options->length, 0},
                         &sides[i].way, err) ||
            !stretch_lay(&sides[i], &pattern, &edgings[i], NULL, &shallow, err))
            goto done;
        below = fmax(below, depth_below(&edgings[i]));
    }
    if (!check_width(options, pattern.depth, below, err))
        goto done;
    settle(&edgings[0], options->width - pattern.depth, false);
    settle(&edgings[1], two ? pattern.depth : 0, true);
    made.runs = calloc(2, sizeof *made.runs);
    if (!made.runs) {
        rab_fail_memory(err);
        goto done;
    }
    made.run_count = two ? 2 : 1;
    made.runs[0] = sides[0].fitted;
    made.runs[1] = sides[1].fitted;
    if (!assemble(options, &edgings[0], &edgings[1], &made.figure, err))
        goto done;
    *out = made;
    made = (struct rab_edge){0};
    ok = true;
done:
    rab_edge_clear(&made);
    for (int i = 0; i < 2; i++) {
        edging_clear(&edgings[i]);
        stretch_clear(&sides[i]);
    }
    pattern_clear(&pattern);
    return ok;
}

void rab_edge_clear(struct rab_edge *edge)
{
    rab_figure_clear(&edge->figure);
    free(edge->runs);
    *edge = (struct rab_edge){0};
}
