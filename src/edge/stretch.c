#include "stretch.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "trouble.h"

/* A repeat does not stand where its way turns by more than about 120 degrees: the chord is then
 * less than this share of the way, sin 60 / (60 degrees). */
static const double least_chord = 0.827;

/* Heights that differ by less are the same. */
static const double same_height = 1e-7;

/* ---- the motif ------------------------------------------------------------------------- */

bool pattern_make(const struct rab_library *library, const struct rab_shape *motif,
                  const double *values, double tolerance, struct pattern *out,
                  struct rab_error *err)
{
    if (!motif->motif)
        return rab_fail(err, RAB_FAULT_INPUT, "%s is a shape and no edge motif; give a motif",
                        motif->name);
    if (!(values[0] > 0) || !(values[1] > 0) || values[0] > 1e6 || values[1] > 1e6)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "pitch and depth of an edge must be more than 0 and less than a kilometre");
    struct pattern made = {library, motif, NULL, tolerance, values[0], values[1]};
    made.values = calloc(motif->parameter_count + 2, sizeof *made.values);
    if (!made.values)
        return rab_fail_memory(err);
    memcpy(made.values, values, motif->parameter_count * sizeof *values);
    *out = made;
    return true;
}

void pattern_clear(struct pattern *pattern)
{
    free(pattern->values);
    *pattern = (struct pattern){0};
}

bool pattern_draw(const struct pattern *pattern, double pitch, double depth, size_t repeat,
                  size_t repeats, struct rab_repeat *out, struct rab_error *err)
{
    struct rab_repeat made = {0};

    pattern->values[0] = pitch;
    pattern->values[1] = depth;
    if (!rab_motif_draw(pattern->library, pattern->motif, pattern->values, repeat, repeats,
                        pattern->tolerance, &made, err))
        return false;
    const struct rab_outline *p = &made.profile;
    if (p->count < 2 || fabs(p->vertices[0].x) > same_height ||
        fabs(p->vertices[p->count - 1].x - pitch) > same_height) {
        rab_repeat_clear(&made);
        return rab_fail(err, RAB_FAULT_GEOMETRY,
                        "%s: the profile must reach from x = 0 to x = pitch", pattern->motif->name);
    }
    *out = made;
    return true;
}

static double start_height(const struct rab_repeat *repeat)
{
    assert(repeat->profile.vertices); /* pattern_draw has seen two */
    return repeat->profile.vertices[0].y;
}

static double end_height(const struct rab_repeat *repeat)
{
    assert(repeat->profile.vertices);
    return repeat->profile.vertices[repeat->profile.count - 1].y;
}

/* Where the profile is highest (or lowest), as a share of the pitch: the middle when it is so
 * there, else the place nearest to the middle. The middle, too, when it does not come up (down) to
 * `level`. */
static double extreme_share(const struct rab_repeat *repeat, double pitch, bool highest,
                            double level)
{
    const double sign = highest ? 1 : -1;
    double best = -HUGE_VAL, share = 0.5;

    for (size_t i = 0; i + 1 < repeat->profile.count; i++) {
        const struct arc arc = arc_of(&repeat->profile, i);
        const struct rab_box box =
            rab_box_arc(repeat->profile.vertices[i], (struct rab_point){arc.b.x, arc.b.y});
        const double ends = fmax(sign * arc.a.y, sign * arc.b.y);
        const double height = highest ? box.y1 : -box.y0;
        double at = sign * arc.a.y >= ends - 1e-9 ? arc.a.x : arc.b.x;
        if (height > ends + 1e-9)
            at = arc_centre(&arc).x;
        else if (fabs(arc.a.y - arc.b.y) < 1e-9 && arc.k == 0)
            at = fmin(fmax(pitch / 2, fmin(arc.a.x, arc.b.x)), fmax(arc.a.x, arc.b.x));
        if (height > best + 1e-9 ||
            (height > best - 1e-9 && fabs(at / pitch - 0.5) < fabs(share - 0.5))) {
            best = fmax(best, height);
            share = at / pitch;
        }
    }
    return best < sign * level - 1e-6 ? 0.5 : share;
}

/* ---- fitting --------------------------------------------------------------------------- */

bool stretch_fit(double length, double pitch, bool keep_pitch, struct rab_run *out,
                 struct rab_error *err)
{
    struct rab_run made = {.length = length, .asked = pitch, .pitch = pitch};
    const double ratio = length / pitch;

    if (ratio > MOST_REPEATS)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "more than %d repeats of the motif would be needed; give a larger pitch",
                        (int)MOST_REPEATS);
    if (keep_pitch) {
        made.count = (size_t)floor(ratio + 1e-9);
        made.plain = fmax(0, (length - (double)made.count * pitch) / 2);
    } else {
        made.count = rab_edge_count(length, pitch);
        made.pitch = length / (double)made.count;
    }
    *out = made;
    return true;
}

void stretch_clear(struct stretch *run)
{
    way_clear(&run->way);
    free(run->left_out);
    *run = (struct stretch){0};
}

/* ---- one repeat on its place ----------------------------------------------------------- */

void edging_clear(struct edging *edging)
{
    chain_clear(&edging->chain);
    ornaments_clear(&edging->holes);
    ornaments_clear(&edging->paths);
    *edging = (struct edging){0};
}

struct layer {
    const struct stretch *run;
    const struct pattern *pattern;
    struct rab_repeat *repeats; /* as they are on a straight line */
    struct edging *out;
    double top, bottom; /* shares of the pitch */
    struct misfit *misfit;
    double shallow;
    struct rab_error *err;
};

static double joint(const struct stretch *run, size_t k)
{
    return run->first + (double)k * run->fitted.pitch;
}

/* The height at joint k. */
static double height_at(const struct layer *l, size_t k)
{
    return k < l->run->drawn ? start_height(&l->repeats[k]) : end_height(&l->repeats[k - 1]);
}

static struct rab_point raised(const struct way *way, double s, double height)
{
    struct rab_point tangent;
    const struct rab_point at = way_at(way, s, &tangent);
    return point_along(at, height, point_left(tangent));
}

/*
 * Pitch and depth of a repeat that stands on the chord from q0 to q1. Where both ends are low the
 * peak is set, where both are high the valley between them; where they differ (a torn edge) the
 * depth stays.
 */
static bool fit_chord(const struct layer *l, size_t k, struct rab_point q0, struct rab_point q1,
                      double *pitch, double *depth)
{
    const double h0 = height_at(l, k), h1 = height_at(l, k + 1), asked = l->pattern->depth;
    const double chord = point_apart(q0, q1), spare = l->run->fitted.pitch / 2;
    const double s0 = joint(l->run, k) - spare, s1 = joint(l->run, k + 1) + spare;

    struct rab_point tangent;
    const struct rab_point p0 = way_at(&l->run->way, joint(l->run, k), &tangent);
    const struct rab_point p1 = way_at(&l->run->way, joint(l->run, k + 1), &tangent);
    if (point_apart(p0, p1) < least_chord * l->run->fitted.pitch)
        return false;
    *depth = asked;
    *pitch = sqrt(fmax(0, chord * chord - (h1 - h0) * (h1 - h0)));
    if (chord <= 0 || *pitch <= 0)
        return false;
    if (fabs(h1 - h0) > same_height)
        return true;

    const bool low = h0 < asked / 2;
    const double part = h0 / asked, share = low ? l->top : l->bottom;
    const double goal = low ? asked : 0, rate = low ? 1 - part : -part;
    const struct rab_point along = {(q1.x - q0.x) / chord, (q1.y - q0.y) / chord};
    for (int step = 0; step < 60; step++) {
        const struct rab_point at =
            point_along(point_along(q0, share * chord, along), rate * *depth, point_left(along));
        const double off = goal - way_side(&l->run->way, s0, s1, at);
        if (fabs(off) <= 1e-12 * (1 + asked))
            return *depth > 0;
        *depth += off / rate;
        if (!(*depth > 0) || *depth > 100 * (asked + chord))
            return false;
    }
    return false;
}

static bool place(struct layer *l, size_t k, const struct rab_repeat *repeat, struct rab_point q0,
                  struct rab_point q1)
{
    const struct rab_outline *p = &repeat->profile;
    const struct mark mark = {l->run->number, (uint32_t)k};
    const struct rab_vertex a = p->vertices[0], b = p->vertices[p->count - 1];
    const struct rab_point own = {b.x - a.x, b.y - a.y}, chord = point_minus(q1, q0);
    const double size = hypot(own.x, own.y) * hypot(chord.x, chord.y);
    struct motion motion = {point_dot(own, chord) / size, point_cross(own, chord) / size, 0, 0};
    const struct rab_point from = moved(&motion, a.x, a.y);

    motion.x = q0.x - from.x;
    motion.y = q0.y - from.y;
    if (!chain_line(&l->out->chain, q0, mark, l->err))
        return false;
    for (size_t i = 0; i + 1 < p->count; i++) {
        const struct rab_vertex v = p->vertices[i + 1];
        const struct rab_point to = i + 2 < p->count ? moved(&motion, v.x, v.y) : q1;
        if (!chain_add(&l->out->chain, p->vertices[i].bulge, to, mark, l->err))
            return false;
    }
    return ornaments_of_repeat(repeat, &motion, mark, &l->out->holes, &l->out->paths, l->err);
}

/* No repeat can be there. `why` is what the motif says of it, NULL: the way turns too tightly. */
static bool give_up(struct layer *l, size_t k, const char *why)
{
    struct rab_point tangent;
    const struct rab_point at =
        way_at(&l->run->way, (joint(l->run, k) + joint(l->run, k + 1)) / 2, &tangent);
    char place[PLACE_TEXT];

    if (l->misfit) {
        *l->misfit = (struct misfit){true, k};
        return false;
    }
    if (!place_text(at, place, l->err))
        return false;
    return why ? rab_fail(l->err, RAB_FAULT_INPUT, "at %s: %s", place, why)
               : rab_fail(l->err, RAB_FAULT_GEOMETRY,
                          "the outline turns too tightly for this edge at %s; ask for fewer "
                          "repeats, or give a smaller depth or pitch",
                          place);
}

/* The ends' heights may follow the depth, and a slanting repeat's pitch the heights: a few rounds
 * settle it. */
static bool draw_to_chord(const struct layer *l, size_t k, double chord, double pitch, double depth,
                          struct rab_repeat *out, struct rab_error *err)
{
    for (int round = 0;; round++) {
        struct rab_repeat drawn = {0};
        if (!pattern_draw(l->pattern, pitch, depth, k, l->run->drawn, &drawn, err))
            return false;
        const double rise = end_height(&drawn) - start_height(&drawn);
        const double off = fabs(hypot(pitch, rise) - chord);
        if (off <= 1e-9 || (round == 8 && off <= same_height)) {
            *out = drawn;
            return true;
        }
        rab_repeat_clear(&drawn);
        if (round == 8)
            return rab_fail(err, RAB_FAULT_GEOMETRY,
                            "%s: repeat %zu does not fit its place on the curve",
                            l->pattern->motif->name, k + 1);
        pitch = sqrt(fmax(0, chord * chord - rise * rise));
    }
}

/* As deep as the motif will be on that chord: between the depth that it has on a straight line,
 * made smaller with the pitch, and the one that it refused. */
static bool draw_shallower(struct layer *l, size_t k, double chord, double pitch, double depth,
                           struct rab_repeat *out, struct rab_error *why)
{
    double low = l->pattern->depth * fmin(1, pitch / l->run->fitted.pitch), high = depth;

    if (!draw_to_chord(l, k, chord, pitch, low, out, why))
        return false;
    for (int step = 0; step < 16 && high - low > 1e-3; step++) {
        const double middle = (low + high) / 2;
        struct rab_repeat drawn = {0};
        struct rab_error refused = {0};
        if (draw_to_chord(l, k, chord, pitch, middle, &drawn, &refused)) {
            rab_repeat_clear(out);
            *out = drawn;
            low = middle;
        } else {
            high = middle;
        }
    }
    l->shallow = fmax(l->shallow, depth - low);
    return true;
}

/* On its own chord, drawn anew. */
static bool place_on_chord(struct layer *l, size_t k, struct rab_point q0, struct rab_point q1)
{
    const double chord = point_apart(q0, q1);
    struct rab_repeat drawn = {0};
    struct rab_error refused = {0}, why = {0};
    double pitch, depth;

    if (!fit_chord(l, k, q0, q1, &pitch, &depth))
        return give_up(l, k, NULL);
    if (!draw_to_chord(l, k, chord, pitch, depth, &drawn, &refused)) {
        if (refused.fault != RAB_FAULT_INPUT && refused.fault != RAB_FAULT_GEOMETRY)
            return rab_fail(l->err, refused.fault, "%s", refused.text);
        if (!draw_shallower(l, k, chord, pitch, depth, &drawn, &why))
            return why.fault == RAB_FAULT_MEMORY ? rab_fail_memory(l->err)
                                                 : give_up(l, k, refused.text);
    }
    const bool ok = place(l, k, &drawn, q0, q1);
    rab_repeat_clear(&drawn);
    return ok;
}

/* ---- plain stretches ------------------------------------------------------------------- */

struct follower {
    struct layer *layer;
    double height;
    struct mark mark;
};

static bool follow_arc(void *context, const struct arc *arc)
{
    const struct follower *f = context;
    struct chain *chain = &f->layer->out->chain;
    const struct rab_point a = point_along(arc->a, f->height, point_left(arc->ta));
    const struct rab_point b = point_along(arc->b, f->height, point_left(arc->tb));

    return chain_line(chain, a, f->mark, f->layer->err) &&
           chain_add(chain, arc->bulge, b, f->mark, f->layer->err);
}

/* Plain edge at a height. */
static bool follow(struct layer *l, double s0, double s1, double height, uint32_t repeat)
{
    struct follower f = {l, height, {l->run->number, repeat}};
    return way_pieces(&l->run->way, s0, s1, follow_arc, &f);
}

/* ---- the whole run --------------------------------------------------------------------- */

static bool draw_all(struct layer *l)
{
    const struct stretch *run = l->run;
    const char *name = l->pattern->motif->name;

    for (size_t k = 0; k < run->drawn; k++) {
        struct rab_error why = {0};
        if (!pattern_draw(l->pattern, run->fitted.pitch, l->pattern->depth, k, run->drawn,
                          &l->repeats[k], &why)) {
            if (l->misfit && why.fault == RAB_FAULT_INPUT &&
                run->fitted.pitch < run->fitted.asked) {
                *l->misfit = (struct misfit){true, SIZE_MAX};
                return false;
            }
            return rab_fail_line(l->err, why.fault, why.line, "%s", why.text);
        }
        if (k > 0 &&
            fabs(end_height(&l->repeats[k - 1]) - start_height(&l->repeats[k])) > same_height)
            return rab_fail(l->err, RAB_FAULT_GEOMETRY,
                            "%s: repeat %zu ends at another height than repeat %zu begins at; "
                            "they must meet",
                            name, k, k + 1);
    }
    if (run->way.closed && run->fitted.plain <= 0 &&
        fabs(height_at(l, run->drawn) - height_at(l, 0)) > same_height)
        return rab_fail(l->err, RAB_FAULT_GEOMETRY,
                        "%s: the last repeat ends at another height than the first begins at; "
                        "round a whole outline they must meet",
                        name);
    l->top = extreme_share(&l->repeats[0], run->fitted.pitch, true, l->pattern->depth);
    l->bottom = extreme_share(&l->repeats[0], run->fitted.pitch, false, 0);
    return true;
}

static bool is_left_out(const struct stretch *run, size_t k)
{
    return run->left_out && run->left_out[k];
}

static bool lay_all(struct layer *l)
{
    const struct stretch *run = l->run;
    const struct way *way = &run->way;
    const double end = way->closed ? run->first + way->length : way->length;
    const double last = joint(run, run->drawn);
    const double begin = way->closed ? run->first : fmin(0, run->first);

    l->out->start_height = is_left_out(run, 0) ? 0 : height_at(l, 0);
    l->out->end_height = is_left_out(run, run->drawn - 1) ? 0 : height_at(l, run->drawn);
    if (!chain_begin(&l->out->chain, raised(way, begin, l->out->start_height), l->err) ||
        (run->first > begin && !follow(l, begin, run->first, l->out->start_height, NO_REPEAT)))
        return false;
    for (size_t k = 0; k < run->drawn; k++) {
        const double s0 = joint(run, k), s1 = joint(run, k + 1);
        const struct rab_point q0 = raised(way, s0, height_at(l, k));
        const struct rab_point q1 = raised(way, s1, height_at(l, k + 1));
        if (is_left_out(run, k)         ? !follow(l, s0, s1, 0, (uint32_t)k)
            : way_straight(way, s0, s1) ? !place(l, k, &l->repeats[k], q0, q1)
                                        : !place_on_chord(l, k, q0, q1))
            return false;
    }
    return end <= last + 1e-9 || follow(l, last, end, l->out->end_height, NO_REPEAT);
}

bool stretch_lay(const struct stretch *run, const struct pattern *pattern, struct edging *out,
                 struct misfit *misfit, double *shallow, struct rab_error *err)
{
    struct edging made = {0};
    struct misfit found = {0};
    struct layer l = {.run = run, .pattern = pattern, .out = &made, .err = err};
    bool ok = false;

    l.misfit = misfit ? &found : NULL;
    if (run->drawn == 0) {
        ok = chain_begin(&made.chain, raised(&run->way, 0, 0), err) &&
             follow(&l, 0, run->way.length, 0, NO_REPEAT);
    } else {
        l.repeats = calloc(run->drawn, sizeof *l.repeats);
        ok = l.repeats ? draw_all(&l) && lay_all(&l) : rab_fail_memory(err);
        for (size_t k = 0; k < run->drawn && l.repeats; k++)
            rab_repeat_clear(&l.repeats[k]);
        free(l.repeats);
    }
    if (ok) {
        *out = made;
        made = (struct edging){0};
        *shallow = fmax(*shallow, l.shallow);
    }
    edging_clear(&made);
    if (misfit)
        *misfit = found;
    return ok || found.any;
}
