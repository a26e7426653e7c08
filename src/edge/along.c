/* A motif around the outer outlines of a paper. */
#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "finish.h"
#include "ring.h"
#include "trouble.h"

/* Where fewer repeats are asked for: so much longer they may get, then some are left out. */
static const double most_stretch = 1.5;
enum { MOST_TRIES = 400 };

struct work {
    const struct rab_along_options *options;
    const struct rab_region *paper;
    struct pattern pattern;
    struct ring *rings;
    size_t ring_count;
    uint32_t run_count;
    struct rab_region outer; /* all outlines with their edges, without openings */
    struct ornaments holes, paths;
    size_t dropped; /* holes next to corners */
    double shallow; /* how much lower than asked a peak came out */
    bool cornered;  /* the motif had a corner to add */
    struct rab_warnings *notes;
    struct rab_error *err;
};

static void clear_work(struct work *w)
{
    for (size_t i = 0; i < w->ring_count; i++)
        ring_clear(&w->rings[i]);
    free(w->rings);
    rab_region_clear(&w->outer);
    ornaments_clear(&w->holes);
    ornaments_clear(&w->paths);
    pattern_clear(&w->pattern);
}

/* ---- the line of the valleys ----------------------------------------------------------- */

/* Inwards the valleys lie on the outline shrunk by the depth, its corners kept. */
static bool valley_line(struct work *w, const struct rab_outline *outline, struct rab_outline *out)
{
    const double longest_mitre = 20;
    struct rab_region whole = {0}, inner = {0};
    bool ok = false;

    if (!w->options->inward)
        return rab_outline_copy(outline, out, w->err);
    if (!rab_region_fill(outline, 1, RAB_FILL_NONZERO, &whole, w->err) ||
        !rab_region_grow(&whole, -w->pattern.depth, RAB_JOIN_MITRE, longest_mitre, &inner, w->err))
        goto done;
    if (inner.count != 1) {
        rab_fail(w->err, RAB_FAULT_GEOMETRY,
                 inner.count == 0
                     ? "the paper is too small for an edge as deep as this inside its outline; "
                       "give a smaller depth"
                     : "the paper is too narrow in a place for an edge as deep as this inside its "
                       "outline; give a smaller depth");
        goto done;
    }
    *out = inner.outlines[0];
    inner.outlines[0] = (struct rab_outline){0};
    ok = true;
done:
    rab_region_clear(&inner);
    rab_region_clear(&whole);
    return ok;
}

static bool make_rings(struct work *w)
{
    w->rings = calloc(w->paper->count + 1, sizeof *w->rings);
    if (!w->rings)
        return rab_fail_memory(w->err);
    for (size_t i = 0; i < w->paper->count; i++) {
        struct rab_outline line = {0};
        if (w->paper->parents[i] != RAB_NO_PARENT)
            continue;
        const bool ok = valley_line(w, &w->paper->outlines[i], &line) &&
                        ring_make(&line, w->run_count, &w->rings[w->ring_count], w->err);
        rab_outline_clear(&line);
        if (!ok)
            return false;
        w->run_count += (uint32_t)w->rings[w->ring_count++].count;
    }
    return w->ring_count > 0 ||
           rab_fail(w->err, RAB_FAULT_GEOMETRY, "there is no paper to put an edge round");
}

/* ---- fitting --------------------------------------------------------------------------- */

/* How far past its ends a side runs on to be mitred. */
static bool mitre_reach(struct work *w, const struct ring *ring, size_t i, double *before,
                        double *after)
{
    *before = *after = 0;
    return w->options->corners != RAB_CORNERS_MITRED || w->options->keep_pitch || !ring->corners ||
           (corner_reach(&ring->corners[i], w->pattern.depth, before, w->err) &&
            corner_reach(&ring->corners[(i + 1) % ring->count], w->pattern.depth, after, w->err));
}

/* Which repeats are drawn, by how the run meets its corners. */
static bool plan_run(struct work *w, struct ring *ring, size_t i)
{
    struct stretch *run = &ring->runs[i];
    const struct rab_run *fitted = &run->fitted;
    double before, after;

    free(run->left_out);
    run->left_out = NULL;
    if (!mitre_reach(w, ring, i, &before, &after))
        return false;
    run->first = fitted->plain - before;
    run->drawn = fitted->count;
    if (fitted->count == 0)
        return true;
    if (w->options->corners == RAB_CORNERS_PEAK) {
        run->first = ring->corners ? -fitted->pitch / 2 : fitted->pitch / 2;
        run->drawn += ring->corners != NULL;
    }
    run->left_out = calloc(run->drawn, sizeof *run->left_out);
    return run->left_out || rab_fail_memory(w->err);
}

static bool fit_ring(struct work *w, struct ring *ring)
{
    const double pitch = w->pattern.pitch;

    for (size_t i = 0; i < ring->count; i++) {
        struct stretch *run = &ring->runs[i];
        double before, after;
        if (!mitre_reach(w, ring, i, &before, &after))
            return false;
        const double length = before + run->way.length + after;
        if (!stretch_fit(length, pitch, w->options->keep_pitch, &run->fitted, w->err))
            return false;
        if (run->way.length < pitch / 2 && !w->options->keep_pitch)
            run->fitted = (struct rab_run){run->way.length, pitch, pitch, 0, run->way.length / 2};
        ring->wanted[i] = run->fitted.count;
        if (!plan_run(w, ring, i))
            return false;
    }
    return true;
}

/* ---- putting a ring together ----------------------------------------------------------- */

static enum meeting meeting_at(const struct work *w, const struct corner *corner,
                               const struct edging *before, const struct edging *after)
{
    const bool outwards = corner->turn < 0;
    const bool raised = before->end_height > 1e-7 || after->start_height > 1e-7;

    switch (w->options->corners) {
    case RAB_CORNERS_PEAK:
        return outwards ? MEET_SQUARE : MEET_MIDDLE;
    case RAB_CORNERS_MITRED:
        return w->options->keep_pitch ? MEET_AS_IS : MEET_MIDDLE;
    case RAB_CORNERS_VALLEY:
    case RAB_CORNERS_MOTIF:
        break;
    }
    return !outwards && raised ? MEET_MIDDLE : MEET_AS_IS;
}

static bool treat_corners(struct work *w, const struct ring *ring, struct edging *edgings,
                          struct chain *edge, size_t *dropped)
{
    const size_t n = ring->count;
    struct cut *ends = calloc(n + 1, sizeof *ends), *starts = calloc(n + 1, sizeof *starts);
    enum meeting *meetings = calloc(n + 1, sizeof *meetings);
    bool ok = ends && starts && meetings;

    if (!ok)
        rab_fail_memory(w->err);
    for (size_t i = 0; i < n && ok; i++) {
        const size_t b = i ? i - 1 : n - 1;
        const struct corner *corner = &ring->corners[i];
        const struct side before = {&ring->runs[b], &edgings[b]};
        const struct side after = {&ring->runs[i], &edgings[i]};
        ok = corner_clear(corner, true, w->pattern.depth, before, dropped, w->err) &&
             corner_clear(corner, false, w->pattern.depth, after, dropped, w->err);
        meetings[i] = meeting_at(w, corner, &edgings[b], &edgings[i]);
        corner_cut(corner, meetings[i], w->pattern.depth, before, after, &ends[i], &starts[i]);
    }
    for (size_t i = 0; i < n && ok; i++) {
        const size_t next = (i + 1) % n;
        const struct mark plain = {ring->runs[i].number, NO_REPEAT};
        ok = chain_join(edge, &edgings[i].chain, plain, w->err) &&
             corner_join(&ring->corners[next], meetings[next], &ends[next], &starts[next],
                         ring->runs[i].number, edge, w->err);
    }
    free(meetings);
    free(starts);
    free(ends);
    return ok;
}

/* Its last point is its first. */
static void close_round(struct chain *edge)
{
    struct rab_outline *line = &edge->line;
    assert(line->vertices); /* every run has an edge */
    const struct rab_vertex a = line->vertices[0];
    const struct rab_point end = chain_end(edge);

    line->open = false;
    if (hypot(end.x - a.x, end.y - a.y) <= 1e-7)
        line->count--;
    else
        edge->marks[line->count - 1] = edge->marks[0];
}

/* One repeat less on a run, where the motif refuses the pitch; on a short one none is left. */
static bool take_one_away(struct work *w, struct ring *ring, size_t i)
{
    struct rab_run *fitted = &ring->runs[i].fitted;

    fitted->count--;
    if (fitted->count == 0)
        *fitted = (struct rab_run){ring->runs[i].way.length, fitted->asked, fitted->asked, 0,
                                   ring->runs[i].way.length / 2};
    else if (!w->options->keep_pitch)
        fitted->pitch = fitted->length / (double)fitted->count;
    else
        fitted->plain += fitted->pitch / 2;
    return plan_run(w, ring, i);
}

/* Once. Where repeats cannot be and fewer will do there are fewer, and `again` is set. */
static bool lay_ring(struct work *w, struct ring *ring, struct chain *edge, struct ornaments *holes,
                     struct ornaments *paths, size_t *dropped, bool *again)
{
    struct edging *edgings = calloc(ring->count + 1, sizeof *edgings);
    bool ok = true;

    assert(ring->runs && ring->count > 0); /* ring_make gives one run at least */
    if (!edgings)
        return rab_fail_memory(w->err);
    for (size_t i = 0; i < ring->count && ok; i++) {
        struct misfit misfit = {0};
        ok = stretch_lay(&ring->runs[i], &w->pattern, &edgings[i],
                         w->options->fewer ? &misfit : NULL, &w->shallow, w->err);
        if (!ok || !misfit.any)
            continue;
        *again = true;
        if (misfit.repeat == SIZE_MAX || !ring->runs[i].left_out)
            ok = take_one_away(w, ring, i);
        else
            ring->runs[i].left_out[misfit.repeat] = true;
    }
    if (ok && !*again) {
        ok = ring->corners ? treat_corners(w, ring, edgings, edge, dropped)
                           : chain_join(edge, &edgings[0].chain,
                                        (struct mark){ring->runs[0].number, NO_REPEAT}, w->err);
        if (ok)
            close_round(edge);
        for (size_t i = 0; i < ring->count && ok; i++)
            ok = ornaments_append(holes, &edgings[i].holes, w->err) &&
                 ornaments_append(paths, &edgings[i].paths, w->err);
    }
    for (size_t i = 0; i < ring->count; i++)
        edging_clear(&edgings[i]);
    free(edgings);
    return ok;
}

/* ---- fewer repeats --------------------------------------------------------------------- */

static bool fail_trouble(struct work *w, const struct trouble *trouble)
{
    char place[PLACE_TEXT];

    return place_text(trouble->at, place, w->err) &&
           rab_fail(w->err, RAB_FAULT_GEOMETRY,
                    "repeats run into each other at %s; ask for fewer repeats, or give a smaller "
                    "depth or another pitch",
                    place);
}

/* Two neighbours of one run that is bent: with a larger pitch they may stand clear. */
static bool wants_stretch(const struct work *w, const struct stretch *run,
                          const struct trouble *trouble)
{
    const size_t count = run->fitted.count;

    if (trouble->mark_count != 2 || w->options->keep_pitch || count < 2 ||
        trouble->marks[0].run != trouble->marks[1].run)
        return false;
    const uint32_t a = trouble->marks[0].repeat, b = trouble->marks[1].repeat;
    const uint32_t apart = a > b ? a - b : b - a;
    return (apart == 1 || (run->way.closed && apart + 1 == run->drawn)) &&
           run->way.length / (double)(count - 1) <= most_stretch * run->fitted.asked &&
           !way_straight(&run->way, 0, run->way.length);
}

static bool reduce(struct work *w, struct ring *ring, const struct troubles *troubles)
{
    bool *stretch = calloc(ring->count + 1, sizeof *stretch);
    bool changed = false, ok = true;

    assert(ring->runs);
    if (!stretch)
        return rab_fail_memory(w->err);
    for (size_t t = 0; t < troubles->count; t++) {
        const struct trouble *trouble = &troubles->items[t];
        for (size_t m = 0; m < trouble->mark_count; m++) {
            const size_t i = trouble->marks[m].run - ring->runs[0].number;
            struct stretch *run = &ring->runs[i];
            if (trouble->marks[m].repeat == NO_REPEAT || !run->left_out ||
                run->left_out[trouble->marks[m].repeat])
                continue;
            if (wants_stretch(w, run, trouble))
                stretch[i] = true;
            else
                run->left_out[trouble->marks[m].repeat] = true;
            changed = true;
        }
    }
    for (size_t i = 0; i < ring->count && ok; i++)
        ok = !stretch[i] || take_one_away(w, ring, i);
    free(stretch);
    return ok && (changed || fail_trouble(w, &troubles->items[0]));
}

static bool note_fewer(struct work *w, struct ring *ring)
{
    for (size_t i = 0; i < ring->count; i++) {
        struct stretch *run = &ring->runs[i];
        size_t missing = 0;
        for (size_t k = 0; k < run->drawn && run->left_out; k++)
            missing += run->left_out[k];
        run->fitted.count -= missing < run->fitted.count ? missing : run->fitted.count;
        if (run->fitted.count < ring->wanted[i] &&
            !rab_warn(w->notes, w->err, "fewer-repeats", 0,
                      "stretch %u has %zu repeats in place of %zu: more would run into each other",
                      (unsigned)run->number + 1, run->fitted.count, ring->wanted[i]))
            return false;
        if (ring->wanted[i] == 0 && !w->options->keep_pitch &&
            !rab_warn(w->notes, w->err, "short-stretch", 0,
                      "stretch %u is shorter than half the pitch and stays plain",
                      (unsigned)run->number + 1))
            return false;
    }
    return true;
}

/* ---- one ring -------------------------------------------------------------------------- */

static bool resolve_ring(struct work *w, struct ring *ring, struct rab_region *out)
{
    for (int tries = 0; tries < MOST_TRIES; tries++) {
        struct chain edge = {0};
        struct ornaments holes = {0}, paths = {0};
        struct troubles troubles = {0};
        size_t dropped = 0;
        bool again = false;
        bool ok = lay_ring(w, ring, &edge, &holes, &paths, &dropped, &again) &&
                  (again || edge_resolve(&edge, out, &troubles, w->err));
        const bool done = ok && !again && troubles.count == 0;
        if (done)
            ok = ornaments_append(&w->holes, &holes, w->err) &&
                 ornaments_append(&w->paths, &paths, w->err);
        else if (ok && !again)
            ok = w->options->fewer ? reduce(w, ring, &troubles)
                                   : fail_trouble(w, &troubles.items[0]);
        w->dropped += done ? dropped : 0;
        troubles_clear(&troubles);
        ornaments_clear(&paths);
        ornaments_clear(&holes);
        chain_clear(&edge);
        if (!ok || done)
            return ok && note_fewer(w, ring);
    }
    return rab_fail(w->err, RAB_FAULT_GEOMETRY,
                    "the repeats still run into each other when many are left out; give a smaller "
                    "depth or another pitch");
}

/* Join a ring's paper to that of the rings before, which it must not meet. */
static bool add_ring(struct work *w, struct rab_region *ring)
{
    struct rab_region both = {0}, sum = {0};
    char place[PLACE_TEXT];
    bool ok = false;

    if (!rab_region_combine(&w->outer, ring, RAB_INTERSECTION, &both, w->err))
        return false;
    if (both.count > 0) {
        if (place_text(rab_outline_centroid(&both.outlines[0]), place, w->err))
            rab_fail(w->err, RAB_FAULT_GEOMETRY,
                     "the edges of two parts of the paper run into each other at %s; give a "
                     "smaller depth",
                     place);
    } else {
        ok = rab_region_combine(&w->outer, ring, RAB_UNION, &sum, w->err);
    }
    if (ok) {
        rab_region_clear(&w->outer);
        w->outer = sum;
    }
    rab_region_clear(&both);
    return ok;
}

/* ---- the motif's own corners ----------------------------------------------------------- */

static bool add_corner(struct work *w, const struct ring *ring, size_t i, struct rab_region *paper)
{
    const struct corner *corner = &ring->corners[i];
    const struct rab_point ray = corner_ray(corner);
    const struct motion motion = {ray.y, -ray.x, corner->at.x, corner->at.y};
    struct rab_region own = {0}, sum = {0};

    w->pattern.values[0] =
        (ring->runs[i ? i - 1 : ring->count - 1].fitted.pitch + ring->runs[i].fitted.pitch) / 2;
    w->pattern.values[1] = w->pattern.depth;
    if (!rab_motif_corner(w->pattern.library, w->pattern.motif, w->pattern.values,
                          corner_angle(corner), w->pattern.tolerance, &own, w->err))
        return false;
    w->cornered = w->cornered || own.count > 0;
    for (size_t n = 0; n < own.count; n++)
        move_outline(&motion, &own.outlines[n]);
    const bool ok = own.count == 0 || rab_region_combine(paper, &own, RAB_UNION, &sum, w->err);
    if (ok && own.count > 0) {
        rab_region_clear(paper);
        *paper = sum;
    }
    rab_region_clear(&own);
    return ok;
}

static bool make_edges(struct work *w)
{
    for (size_t i = 0; i < w->ring_count; i++) {
        struct ring *ring = &w->rings[i];
        struct rab_region paper = {0};
        bool ok = fit_ring(w, ring) && resolve_ring(w, ring, &paper);
        if (w->options->corners == RAB_CORNERS_MOTIF && ring->corners) {
            for (size_t c = 0; c < ring->count && ok; c++)
                ok = add_corner(w, ring, c, &paper);
        }
        ok = ok && add_ring(w, &paper);
        rab_region_clear(&paper);
        if (!ok)
            return false;
    }
    return w->options->corners != RAB_CORNERS_MOTIF || w->cornered ||
           rab_fail(w->err, RAB_FAULT_INPUT,
                    "the motif %s has no corner of its own for this outline; ask for valleys, "
                    "peaks or mitred corners",
                    w->pattern.motif->name);
}

/* ---- the whole paper ------------------------------------------------------------------- */

/* Inwards nothing may stand out beyond the paper: a wide flat peak on a round one is cut to it.
 * What cannot be seen is let be, for cutting it would leave vertices too close for a blade. */
static bool stay_within(struct work *w)
{
    struct rab_outline *outlines = calloc(w->paper->count + 1, sizeof *outlines); /* borrowed */
    const double seen = 0.02, clear = 0.001;
    struct rab_region whole = {0}, larger = {0}, beyond = {0}, within = {0};
    size_t count = 0;
    bool ok = false;

    if (!outlines)
        return rab_fail_memory(w->err);
    for (size_t i = 0; i < w->paper->count; i++) {
        if (w->paper->parents[i] == RAB_NO_PARENT)
            outlines[count++] = w->paper->outlines[i];
    }
    if (!rab_region_fill(outlines, count, RAB_FILL_NONZERO, &whole, w->err) ||
        !rab_region_grow(&whole, seen, RAB_JOIN_ROUND, 0, &larger, w->err) ||
        !rab_region_combine(&w->outer, &larger, RAB_DIFFERENCE, &beyond, w->err))
        goto done;
    if (beyond.count > 0) {
        rab_region_clear(&larger);
        if (!rab_region_grow(&whole, clear, RAB_JOIN_ROUND, 0, &larger, w->err) ||
            !rab_region_combine(&w->outer, &larger, RAB_INTERSECTION, &within, w->err))
            goto done;
        rab_region_clear(&w->outer);
        w->outer = within;
    }
    ok = true;
done:
    rab_region_clear(&beyond);
    rab_region_clear(&larger);
    rab_region_clear(&whole);
    free(outlines);
    return ok;
}

static bool take_out(struct work *w, struct rab_region *out)
{
    struct rab_region holes = {0};
    struct rab_outline *all = NULL; /* borrowed, or turned copies of openings */
    size_t openings = 0, count = 0;
    struct rab_point at = {0, 0};
    bool clear = false, ok = false;

    if (!holes_unite(&w->holes, w->options->fewer ? &w->dropped : NULL, &holes, w->err))
        return false;
    all = calloc(w->paper->count + holes.count + 1, sizeof *all);
    if (!all) {
        rab_fail_memory(w->err);
        goto done;
    }
    for (size_t i = 0; i < w->paper->count; i++) {
        if (w->paper->parents[i] == RAB_NO_PARENT)
            continue;
        if (!rab_outline_copy(&w->paper->outlines[i], &all[openings], w->err))
            goto done;
        rab_outline_reverse(&all[openings++]);
    }
    count = openings;
    for (size_t i = 0; i < holes.count; i++)
        all[count++] = holes.outlines[i];
    if (!holes_cut(&w->outer, all, count, out, &clear, &at, w->err))
        goto done;
    ok = clear;
    if (!clear) {
        char place[PLACE_TEXT];
        if (place_text(at, place, w->err))
            rab_fail(w->err, RAB_FAULT_GEOMETRY,
                     "a %s of the edge runs into %s at %s; give a smaller depth",
                     w->options->inward ? "hole or valley" : "hole",
                     openings ? "an opening or the edge" : "the edge", place);
    }
done:
    for (size_t i = 0; i < openings; i++)
        rab_outline_clear(&all[i]);
    free(all);
    rab_region_clear(&holes);
    return ok;
}

static bool hand_over(struct work *w, struct rab_edge *made)
{
    made->runs = calloc((size_t)w->run_count + 1, sizeof *made->runs);
    if (!made->runs)
        return rab_fail_memory(w->err);
    for (size_t i = 0; i < w->ring_count; i++) {
        for (size_t n = 0; n < w->rings[i].count; n++)
            made->runs[made->run_count++] = w->rings[i].runs[n].fitted;
    }
    if (w->shallow > 0.05) {
        struct rab_text text = {0};
        rab_text_length(&text, w->shallow, false, 16);
        const bool ok = rab_text_ok(&text, w->err) &&
                        rab_warn(w->notes, w->err, "shallow-peaks", 0,
                                 "on tight curves peaks are up to %s lower: the motif can be no "
                                 "deeper there",
                                 text.data);
        rab_text_clear(&text);
        if (!ok)
            return false;
    }
    if (!take_out(w, &made->figure.paper))
        return false;
    if (w->dropped > 0 &&
        !rab_warn(w->notes, w->err, "fewer-holes", 0,
                  "%zu hole%s left out, at corners or where others would come too close",
                  w->dropped, w->dropped == 1 ? " of the motif was" : "s of the motif were"))
        return false;
    return paths_within(&w->paths, &made->figure.paper, w->err) &&
           paths_hand_over(&w->paths, &made->figure, w->err);
}

bool rab_edge_along(const struct rab_library *library, const struct rab_shape *motif,
                    const double *values, const struct rab_region *paper,
                    const struct rab_along_options *options, double tolerance, struct rab_edge *out,
                    struct rab_warnings *notes, struct rab_error *err)
{
    struct work w = {.options = options, .paper = paper, .notes = notes, .err = err};
    struct rab_edge made = {0};
    bool ok = false;

    if (options->keep_pitch && options->corners == RAB_CORNERS_PEAK)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "a pitch that is kept leaves the ends of the sides plain, so no peak can "
                        "stand on a corner; ask for valleys on the corners");
    if (pattern_make(library, motif, values, tolerance, &w.pattern, err) && make_rings(&w) &&
        make_edges(&w) && (!options->inward || stay_within(&w)) && hand_over(&w, &made)) {
        *out = made;
        made = (struct rab_edge){0};
        ok = true;
    }
    rab_edge_clear(&made);
    clear_work(&w);
    return ok;
}
