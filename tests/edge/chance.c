/*
 * Edges by chance: outlines of many kinds, every motif that comes with the program and some that
 * only test, with random pitches, depths and options.
 *
 *   test-edge-chance [--cases N] [--seed N]
 *
 * What must hold, whatever comes:
 * - the result is a valid region by the slow definition and by GEOS, with no vertex to spare;
 * - whole repeats and the plain ends make up each stretch;
 * - outwards the paper holds all of the outline but for the chords of its arcs, and nothing
 *   further out than the depth (and what a wide peak on an arc adds); inwards it lies within, and
 *   what is deeper than that stays;
 * - the openings are there as they were;
 * - of plain arcs round an outline without hollows each peak lies at just the depth from it;
 * - the same again gives the same, and a refusal has a message and leaves `out` alone.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <rabbet/edge.h>

#include "outline/random.h"
#include "shape/judge.h"

#define ARCS                                                                                       \
    "<motif xmlns=\"urn:rabbet:shape:1\"><title>Arcs</title><about>For tests.</about>"             \
    "<pitch usual=\"12mm\" least=\"1mm\" most=\"400mm\"/>"                                         \
    "<depth usual=\"3mm\" least=\"0.1mm\" most=\"100mm\"/>"                                        \
    "<profile><start x=\"0\" y=\"0\"/><arc x=\"pitch\" y=\"0\" bulge=\"-2 * depth / pitch\"/>"     \
    "</profile></motif>"

struct tally {
    size_t made, refused, faults, peaks;
};

struct trial {
    struct rab_region paper;
    double least_radius; /* of its arcs; HUGE_VAL: there are none */
    bool round, convex;
    struct rab_along_options options;
    const struct rab_shape *motif;
    double values[64];
};

/* ---- papers ---------------------------------------------------------------------------- */

static bool replace(struct rab_region *region, double by, enum rab_join join)
{
    struct rab_region grown = {0};
    struct rab_error err = {0};

    if (!rab_region_grow(region, by, join, 20, &grown, &err))
        return false;
    rab_region_clear(region);
    *region = grown;
    return true;
}

/* Corners at random distances, so that some point inwards; or all on a circle. */
static bool make_star(struct random *random, bool convex, struct rab_region *out)
{
    const int corners = 3 + random_below(random, 6);
    struct rab_outline outline = {0};
    struct rab_error err = {0};
    bool ok = true;

    for (int i = 0; i < corners && ok; i++) {
        const double angle = 2 * RAB_PI * (i + random_between(random, 0, 0.5)) / corners;
        const double far = convex ? 90 : random_between(random, 50, 120);
        ok = rab_outline_add(&outline, far * cos(angle), far * sin(angle), 0, &err);
    }
    ok = ok && rab_region_fill(&outline, 1, RAB_FILL_NONZERO, out, &err);
    rab_outline_clear(&outline);
    return ok;
}

static const double opening_radius = 12;

static bool cut_opening(struct rab_region *paper)
{
    struct rab_outline circle = {0};
    struct rab_region hole = {0}, left = {0};
    struct rab_error err = {0};
    const struct rab_box box = rab_region_box(paper);
    const struct rab_point centre = {(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2};
    const bool ok = rab_outline_circle(centre, opening_radius, &circle, &err) &&
                    rab_region_fill(&circle, 1, RAB_FILL_NONZERO, &hole, &err) &&
                    rab_region_combine(paper, &hole, RAB_DIFFERENCE, &left, &err);

    rab_outline_clear(&circle);
    rab_region_clear(&hole);
    if (ok) {
        rab_region_clear(paper);
        *paper = left;
    }
    return ok;
}

static bool make_paper(struct random *random, struct trial *trial)
{
    const int kind = random_below(random, 6);
    const double r = random_between(random, 8, 30);
    struct rab_outline outline = {0};
    struct rab_error err = {0};
    bool ok = false;

    trial->least_radius = HUGE_VAL;
    trial->round = trial->convex = true;
    if (kind == 0) {
        trial->least_radius = random_between(random, 30, 90);
        ok = rab_outline_circle((struct rab_point){10, 20}, trial->least_radius, &outline, &err) &&
             rab_region_fill(&outline, 1, RAB_FILL_NONZERO, &trial->paper, &err);
    } else if (kind == 1) {
        const bool square = random_below(random, 3) == 0;
        const struct rab_box box = {0, 0, random_between(random, 80, 300),
                                    random_between(random, 70, 200)};
        trial->round = !square;
        trial->least_radius = square ? HUGE_VAL : r;
        ok = rab_outline_rectangle(box, square ? 0 : r, &outline, &err) &&
             rab_region_fill(&outline, 1, RAB_FILL_NONZERO, &trial->paper, &err);
    } else if (kind <= 3) { /* convex, sharp or rounded */
        trial->round = kind == 3;
        ok = make_star(random, true, &trial->paper) &&
             (kind == 2 || replace(&trial->paper, r, RAB_JOIN_ROUND));
        trial->least_radius = kind == 3 ? r : HUGE_VAL;
    } else { /* with corners inwards, sharp or all rounded */
        trial->convex = false;
        trial->round = kind == 5;
        ok = make_star(random, false, &trial->paper);
        if (kind == 5) {
            trial->least_radius = r;
            ok = ok && replace(&trial->paper, 2 * r, RAB_JOIN_ROUND) &&
                 replace(&trial->paper, -r, RAB_JOIN_ROUND);
        }
    }
    rab_outline_clear(&outline);
    if (!ok || trial->paper.count != 1)
        return false;
    if (random_below(random, 4) != 0)
        return true;
    if (!cut_opening(&trial->paper))
        return false;
    if (trial->paper.count == 1) { /* it bites into the edge */
        trial->least_radius = fmin(trial->least_radius, opening_radius);
        trial->convex = trial->round = false;
    }
    return true;
}

/* ---- what must hold -------------------------------------------------------------------- */

static bool whole_repeats(const struct trial *trial, const struct rab_edge *edge,
                          struct verdict *verdict)
{
    for (size_t i = 0; i < edge->run_count; i++) {
        const struct rab_run *run = &edge->runs[i];
        const double filled = (double)run->count * run->pitch + 2 * run->plain;
        if (fabs(filled - run->length) > 1e-9 * run->length &&
            !(trial->options.fewer && filled < run->length))
            return wrong(verdict, "stretch %zu: %zu x %.9f and 2 x %.9f are not %.9f", i + 1,
                         run->count, run->pitch, run->plain, run->length);
    }
    return true;
}

static bool outer_of(const struct rab_region *region, struct rab_region *out)
{
    struct rab_outline *outlines = calloc(region->count + 1, sizeof *outlines); /* borrowed */
    struct rab_error err = {0};
    size_t count = 0;
    bool ok = outlines != NULL;

    for (size_t i = 0; i < region->count && ok; i++) {
        if (region->parents[i] == RAB_NO_PARENT)
            outlines[count++] = region->outlines[i];
    }
    ok = ok && rab_region_fill(outlines, count, RAB_FILL_NONZERO, out, &err);
    free(outlines);
    return ok;
}

/* How far `a` sticks out of `b` grown by `by`, told by the area that does. */
static bool lies_in(const struct rab_region *a, const struct rab_region *b, double by,
                    const char *what, struct verdict *verdict)
{
    struct rab_region grown = {0}, beyond = {0};
    struct rab_error err = {0};
    bool ok = rab_region_grow(b, by, RAB_JOIN_MITRE, 5, &grown, &err) &&
              rab_region_combine(a, &grown, RAB_DIFFERENCE, &beyond, &err);

    if (!ok)
        wrong(verdict, "%s: %s", what, err.text);
    else if (rab_region_area(&beyond) > 1e-4) {
        const struct rab_box box = rab_region_box(&beyond);
        ok = wrong(verdict, "%s: %.6f mm2 stand out beyond %.6f at %.2f, %.2f", what,
                   rab_region_area(&beyond), by, box.x0, box.y0);
    }
    rab_region_clear(&beyond);
    rab_region_clear(&grown);
    return ok;
}

/* How far a chord as long as the pitch stands off an arc; or off a corner of at most 15 degrees,
 * which is none to the library: half a pitch times the tangent of half of them. */
static double sagitta(const struct trial *trial, const struct rab_edge *edge)
{
    double pitch = 0;

    for (size_t i = 0; i < edge->run_count; i++)
        pitch = fmax(pitch, edge->runs[i].pitch);
    const double kink = trial->round ? 0 : pitch / 2 * tan(7.5 * RAB_PI / 180);
    if (trial->least_radius > 1e6)
        return kink;
    const double radius =
        fmax(trial->options.inward ? trial->least_radius - trial->values[1] : trial->least_radius,
             pitch / 2);
    return kink + radius - sqrt(fmax(0, radius * radius - pitch * pitch / 4));
}

static bool within_bounds(const struct trial *trial, const struct rab_edge *edge,
                          struct verdict *verdict)
{
    /* Heights that change along a repeat turn it a little on its chord. */
    const double off = 1.05 * sagitta(trial, edge), depth = trial->values[1];
    struct rab_region before = {0}, after = {0};
    const bool ok = outer_of(&trial->paper, &before) && outer_of(&edge->figure.paper, &after) &&
                    (trial->options.inward
                         ? lies_in(&after, &before, 0.021, "inwards", verdict) &&
                               replace(&before, -depth - off, RAB_JOIN_MITRE) &&
                               lies_in(&before, &after, 1e-6, "inwards, what is left", verdict)
                         : lies_in(&before, &after, off + 1e-6, "what was there", verdict) &&
                               lies_in(&after, &before, depth + off + 1e-6, "outwards", verdict));

    rab_region_clear(&before);
    rab_region_clear(&after);
    return ok;
}

static bool openings_stay(const struct trial *trial, const struct rab_edge *edge,
                          struct verdict *verdict)
{
    for (size_t i = 1; i < trial->paper.count; i++) {
        const struct rab_outline *opening = &trial->paper.outlines[i];
        bool found = false;
        for (size_t j = 1; j < edge->figure.paper.count && !found; j++) {
            const struct rab_outline *now = &edge->figure.paper.outlines[j];
            const struct rab_box a = rab_outline_box(opening), b = rab_outline_box(now);
            found = fabs(rab_outline_area(opening) - rab_outline_area(now)) < 1e-7 &&
                    fabs(a.x0 - b.x0) < 1e-9 && fabs(a.y1 - b.y1) < 1e-9;
        }
        if (!found)
            return wrong(verdict, "opening %zu is not as it was", i);
    }
    return true;
}

/* The middle of each arc. */
static bool peaks_right(const struct trial *trial, const struct rab_edge *edge, size_t *peaks,
                        struct verdict *verdict)
{
    const struct rab_outline *outline = &edge->figure.paper.outlines[0];

    for (size_t i = 0; i < outline->count; i++) {
        const struct rab_vertex a = outline->vertices[i];
        const struct rab_vertex b = outline->vertices[(i + 1) % outline->count];
        const double h = a.bulge / 2;
        const struct rab_point middle = {(a.x + b.x) / 2 + (b.y - a.y) * h,
                                         (a.y + b.y) / 2 - (b.x - a.x) * h};
        const double far = rab_outline_distance(&trial->paper.outlines[0], middle, NULL);
        if (fabs(far - trial->values[1]) > 1e-8)
            return wrong(verdict, "a peak lies %.9f from the outline, not %.9f", far,
                         trial->values[1]);
        ++*peaks;
    }
    return true;
}

static bool judge(struct truth *truth, const struct trial *trial, const struct rab_edge *edge,
                  const struct rab_warnings *notes, size_t *peaks, struct verdict *verdict)
{
    const bool exact = strcmp(trial->motif->name, "chance-arcs") == 0 && trial->convex &&
                       trial->round && !trial->options.inward && !trial->options.keep_pitch &&
                       notes->count == 0;

    return judge_region(truth, &edge->figure.paper, verdict) &&
           whole_repeats(trial, edge, verdict) && within_bounds(trial, edge, verdict) &&
           openings_stay(trial, edge, verdict) &&
           (!exact || peaks_right(trial, edge, peaks, verdict));
}

/* ---- one case -------------------------------------------------------------------------- */

static bool same_again(const struct rab_library *library, const struct trial *trial,
                       const struct rab_edge *edge, struct verdict *verdict)
{
    struct rab_edge again = {0};
    struct rab_error err = {0};
    const bool ok = rab_edge_along(library, trial->motif, trial->values, &trial->paper,
                                   &trial->options, 0, &again, NULL, &err) &&
                    same_figure(&edge->figure, &again.figure);

    rab_edge_clear(&again);
    return ok || wrong(verdict, "not the same when made again");
}

static void choose(struct random *random, const struct rab_library *library, struct trial *trial)
{
    const size_t all = rab_library_count(library);

    do
        trial->motif = rab_library_at(library, (size_t)random_below(random, (int)all));
    while (!trial->motif->motif);
    if (random_below(random, 4) == 0)
        trial->motif = rab_library_find(library, "chance-arcs", NULL);
    for (size_t i = 0; i < trial->motif->parameter_count; i++)
        trial->values[i] = trial->motif->parameters[i].usual;
    trial->values[0] *= random_between(random, 0.8, 1.5);
    trial->values[1] *= random_between(random, 0.5, 1.1);
    trial->options.inward = random_below(random, 3) == 0;
    trial->options.fewer = random_below(random, 2) == 0;
    trial->options.keep_pitch = random_below(random, 5) == 0;
    trial->options.corners = (enum rab_corners)random_below(random, 3);
}

static void run_case(struct truth *truth, const struct rab_library *library, uint64_t seed,
                     struct tally *tally)
{
    struct random random = {seed};
    struct trial trial = {0};
    struct rab_edge edge = {0};
    struct rab_warnings notes = {0};
    struct rab_error err = {0};
    struct verdict verdict = {0};

    if (!make_paper(&random, &trial))
        goto done; /* a star that falls apart when it is shrunk */
    choose(&random, library, &trial);
    if (rab_edge_along(library, trial.motif, trial.values, &trial.paper, &trial.options, 0, &edge,
                       &notes, &err)) {
        tally->made++;
        if (judge(truth, &trial, &edge, &notes, &tally->peaks, &verdict))
            same_again(library, &trial, &edge, &verdict);
    } else {
        tally->refused++;
        if ((err.fault != RAB_FAULT_GEOMETRY && err.fault != RAB_FAULT_INPUT) || !err.text[0] ||
            edge.runs || edge.figure.paper.outlines)
            wrong(&verdict, "refused badly: %d %s", (int)err.fault, err.text);
        if (strstr(err.text, "cannot be resolved"))
            wrong(&verdict, "%s", err.text);
    }
    if (verdict.text[0]) {
        tally->faults++;
        printf("case %llu, %s, pitch %.3f, depth %.3f, corners %d%s%s%s: %s\n",
               (unsigned long long)seed, trial.motif->name, trial.values[0], trial.values[1],
               (int)trial.options.corners, trial.options.inward ? ", inward" : "",
               trial.options.fewer ? ", fewer" : "", trial.options.keep_pitch ? ", kept" : "",
               verdict.text);
    }
done:
    rab_warnings_clear(&notes);
    rab_edge_clear(&edge);
    rab_region_clear(&trial.paper);
}

int main(int argc, char **argv)
{
    struct rab_library *library = NULL;
    struct rab_error err = {0};
    struct truth truth;
    struct tally tally = {0};
    long cases = 600, seed = 1;

    for (int i = 1; i + 1 < argc; i += 2) {
        if (strcmp(argv[i], "--cases") == 0)
            cases = strtol(argv[i + 1], NULL, 10);
        else if (strcmp(argv[i], "--seed") == 0)
            seed = strtol(argv[i + 1], NULL, 10);
    }
    if (!truth_open(&truth) || !rab_library_open(NULL, 0, &library, NULL, &err) ||
        !rab_library_add(library, "chance-arcs", ARCS, strlen(ARCS), NULL, &err)) {
        printf("cannot begin: %s\n", err.text);
        return EXIT_FAILURE;
    }
    for (long i = 0; i < cases; i++)
        run_case(&truth, library, (uint64_t)(seed + i), &tally);
    rab_library_close(library);
    truth_close(&truth);
    printf("%zu made, %zu refused, %zu peaks measured, %zu faults\n", tally.made, tally.refused,
           tally.peaks, tally.faults);
    /* A test that refuses nearly everything tests nothing. */
    return tally.faults == 0 && tally.made > tally.refused && tally.peaks > 0 ? EXIT_SUCCESS
                                                                              : EXIT_FAILURE;
}
