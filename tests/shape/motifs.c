/*
 * Motifs: each repeat for itself, as strips of seven repeats, and around outlines.
 *
 * docs/shape-files.md: a repeat goes from x = 0 to x = pitch, paper below, valleys at y = 0, peaks
 * at y = depth; each ends at the height at which the next begins. edge.h: what a strip is.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "trial.h"

enum { REPEATS = 7 };

/* What seven repeats are by themselves. */
struct sum {
    double under; /* area between the profile and y = 0 */
    bool steady;  /* the profiles only go to the right, and are all the same */
    double holes; /* area of them */
    size_t hole_count;
    double lowest; /* of holes and paths */
};

static bool judge_profile(const struct rab_repeat *repeat, double pitch, double depth, bool chance,
                          struct verdict *verdict)
{
    const struct rab_outline *p = &repeat->profile;
    const double seen = 1e-9 * (1 + pitch + depth);

    if (!p->open || p->count < 2)
        return wrong(verdict, "the profile is no open line");
    const struct rab_vertex first = p->vertices[0], last = p->vertices[p->count - 1];
    if (fabs(first.x) > seen || fabs(last.x - pitch) > seen)
        return wrong(verdict, "the profile goes from %.9g to %.9g, the pitch is %.9g", first.x,
                     last.x, pitch);
    const struct rab_box box = rab_outline_box(p);
    if (box.y0 < -seen || box.y1 > depth + seen)
        return wrong(verdict, "the profile is %.9g to %.9g high, the depth is %.9g", box.y0, box.y1,
                     depth);
    /* Where chance decides, a single repeat need not have a peak or a valley. */
    if (!chance && (box.y0 > seen || box.y1 < depth - seen))
        return wrong(verdict, "peaks at %.9g and valleys at %.9g; the depth is %.9g", box.y1,
                     box.y0, depth);
    if (repeat->valley < 0 || repeat->valley >= pitch)
        return wrong(verdict, "a valley of %.9g", repeat->valley);
    return true;
}

/* Does no line or arc turn back to the left? */
static bool goes_right(const struct rab_outline *profile)
{
    for (size_t i = 0; i + 1 < profile->count; i++) {
        const struct rab_vertex a = profile->vertices[i], b = profile->vertices[i + 1];
        const struct rab_box box = rab_box_arc(a, (struct rab_point){b.x, b.y});
        if (box.x0 < a.x - 1e-9 || box.x1 > b.x + 1e-9)
            return false;
    }
    return true;
}

/* By Green's theorem: closed by a straight line the profile has a signed area; with the line down
 * to y = 0 at both ends it is what lies under it. */
static double area_under(const struct rab_outline *profile)
{
    const struct rab_vertex a = profile->vertices[0], b = profile->vertices[profile->count - 1];
    return -rab_outline_area(profile) + (a.y + b.y) / 2 * (b.x - a.x);
}

static bool sum_up(struct trial *trial, const double *values, struct sum *sum,
                   struct verdict *verdict)
{
    double height = 0;
    bool good = true;

    for (size_t i = 0; good && i < REPEATS; i++) {
        struct rab_repeat repeat = {0};
        struct rab_error err = {0};
        if (!rab_motif_draw(trial->library, trial->shape, values, i, REPEATS, 0, &repeat, &err))
            return wrong(verdict, "repeat %zu is not drawn: %s", i, err.text);
        good = judge_profile(&repeat, values[0], values[1], trial->reading.chance, verdict);
        if (good && repeat.holes.count > 0)
            good = judge_region(trial->truth, &repeat.holes, verdict);
        if (good) {
            const struct rab_outline *p = &repeat.profile;
            if (i > 0 && fabs(p->vertices[0].y - height) > 1e-9)
                good = wrong(verdict, "repeat %zu begins at %.9g, the one before ends at %.9g", i,
                             p->vertices[0].y, height);
            height = p->vertices[p->count - 1].y;
            sum->under += area_under(p);
            sum->steady &= goes_right(p);
            sum->holes += rab_region_area(&repeat.holes);
            sum->hole_count += repeat.holes.count;
            sum->lowest =
                fmin(sum->lowest, repeat.holes.count > 0 ? rab_region_box(&repeat.holes).y0 : 0);
            for (size_t k = 0; k < repeat.path_count; k++)
                sum->lowest = fmin(sum->lowest, rab_outline_box(&repeat.paths[k].outline).y0);
        }
        rab_repeat_clear(&repeat);
    }
    return good;
}

static bool judge_strip(struct trial *trial, const double *values, const struct sum *sum,
                        enum rab_sides sides, bool full, struct verdict *verdict)
{
    static const char *const names[] = {"on one side", "on both sides", "on both sides apart"};
    const double seen = 1e-6, count = sides == RAB_SIDES_ONE ? 1 : 2;
    const double edge = values[1] - sum->lowest; /* from the lowest hole to the peaks */
    const struct rab_strip_options options = {.length = REPEATS * values[0],
                                              .width = count * edge + 6,
                                              .ends = RAB_ENDS_WHOLE,
                                              .sides = sides};
    struct rab_edge strip = {0}, again = {0};
    struct rab_text svg = {0};
    struct rab_error err = {0};
    struct verdict why = {""};
    bool good = false;

    if (!rab_edge_strip(trial->library, trial->shape, values, &options, 0, &strip, &err)) {
        wrong(&why, "not made: %s", err.text);
        goto done;
    }
    const struct rab_region *paper = &strip.figure.paper;
    const struct rab_box box = rab_region_box(paper);
    const double off = fmax(fmax(fabs(box.x0), fabs(box.x1 - options.length)),
                            fmax(fabs(box.y0), fabs(box.y1 - options.width)));
    /* Where chance decides, no peak need be there. */
    if (!judge_region(trial->truth, paper, &why))
        goto done;
    if (trial->reading.chance ? fmax(fabs(box.x0), fabs(box.x1 - options.length)) > seen ||
                                    box.y0 < -seen || box.y1 > options.width + seen
                              : off > seen) {
        wrong(&why, "%.9g x %.9g from %.3g, %.3g; asked: %.9g x %.9g", box.x1 - box.x0,
              box.y1 - box.y0, box.x0, box.y0, options.length, options.width);
        goto done;
    }
    for (size_t i = 0; i < strip.run_count; i++)
        if (strip.runs[i].count != REPEATS || fabs(strip.runs[i].pitch - values[0]) > seen) {
            wrong(&why, "%zu repeats at %.9g", strip.runs[i].count, strip.runs[i].pitch);
            goto done;
        }
    if (strip.run_count == 0) {
        wrong(&why, "nothing said about its repeats");
        goto done;
    }
    /* Apart, the ends of the strip cut a repeat in two: its hole, or what hangs over, may be lost.
     */
    const bool apart = sides == RAB_SIDES_APART;
    const size_t openings = paper->count - 1, holes = (size_t)count * sum->hole_count;
    const size_t lost = 4 * (sum->hole_count / REPEATS + 1);
    const size_t fewest = apart ? holes - (lost < holes ? lost : holes) : holes;
    if (paper->parents[0] != RAB_NO_PARENT || openings > holes || openings < fewest) {
        wrong(&why, "%zu openings, its repeats have %zu", openings, holes);
        goto done;
    }
    double cut = 0;
    for (size_t i = 1; i < paper->count; i++)
        cut -= rab_outline_area(&paper->outlines[i]);
    const double board = options.length * (options.width - count * values[1]) + count * sum->under;
    const double off_by = seen * (1 + rab_region_perimeter(paper));
    const double got = rab_outline_area(&paper->outlines[0]);
    /* By chance, half of a repeat is not half of its area. */
    const bool known = !apart || (sum->steady && !trial->reading.chance);
    if (known && fabs(got - board) > off_by) {
        wrong(&why, "area without holes %.9g, of its parts %.9g", got, board);
        goto done;
    }
    if (openings == holes && fabs(cut - count * sum->holes) > off_by) {
        wrong(&why, "holes of %.9g, its repeats have %.9g", cut, count * sum->holes);
        goto done;
    }
    if (!judge_paths(&trial->reading, &strip.figure, seen, &why))
        goto done;
    if (full && !judge_svg(&strip.figure, &svg, &why))
        goto done;
    if (full && (!rab_edge_strip(trial->library, trial->shape, values, &options, 0, &again, &err) ||
                 !same_figure(&strip.figure, &again.figure))) {
        wrong(&why, "another one when made again");
        goto done;
    }
    good = true;
done:
    if (!good)
        wrong(verdict, "strip %s: %.300s", names[sides], why.text);
    rab_text_clear(&svg);
    rab_edge_clear(&strip);
    rab_edge_clear(&again);
    return good;
}

/* ---- around outlines ---- */

static struct rab_region paper_of(int which)
{
    struct rab_outline outline = {0};
    struct rab_region paper = {0};
    struct rab_error err = {0};
    const bool made = which == 0 ? rab_outline_circle((struct rab_point){0, 0}, 100, &outline, &err)
                                 : rab_outline_rectangle((struct rab_box){0, 0, 200, 150},
                                                         which == 1 ? 20 : 0, &outline, &err);
    if (!made || !rab_region_fill(&outline, 1, RAB_FILL_NONZERO, &paper, &err))
        abort();
    rab_outline_clear(&outline);
    return paper;
}

static bool judge_along(struct trial *trial, const double *values, struct verdict *verdict)
{
    static const char *const names[] = {"a circle", "a rounded rectangle", "a rectangle"};
    bool good = true;

    for (int which = 0; which < 3; which++) {
        struct rab_region paper = paper_of(which);
        const struct rab_box inner = rab_region_box(&paper);
        for (int way = 0; good && way < 8; way++) {
            const struct rab_along_options options = {.inward = way % 2 == 1,
                                                      .corners = (enum rab_corners)(way / 2)};
            struct rab_edge edge = {0};
            struct rab_warnings notes = {0};
            struct rab_error err = {0};
            struct verdict why = {""};
            if (which == 0 && options.corners != RAB_CORNERS_VALLEY)
                continue; /* it has no corners */
            if (!rab_edge_along(trial->library, trial->shape, values, &paper, &options, 0, &edge,
                                &notes, &err)) {
                trial->along.refused++;
                if ((err.fault != RAB_FAULT_GEOMETRY && err.fault != RAB_FAULT_INPUT) ||
                    strlen(err.text) < 20)
                    good = wrong(&why, "no clean message: %s", err.text);
            } else {
                trial->along.made++;
                /* On a bend a repeat stands on the chord between its ends, with its middle at the
                 * depth: no point is further off than that and the height of the bend over its
                 * chord, at most half the pitch, which may have been stretched by sqrt(2). */
                const struct rab_box box = rab_region_box(&edge.figure.paper);
                const double bend = which == 2 ? 0 : values[0] * sqrt(2) / 2;
                /* Beyond a sharp corner a mitred one goes further, and a motif's own corner is
                 * about as large as the motif. */
                const double far = bend + (options.inward ? 0 : values[1] * (which == 2 ? 3 : 1)) +
                                   (options.corners == RAB_CORNERS_MOTIF ? values[0] : 0);
                good = judge_region(trial->truth, &edge.figure.paper, &why) &&
                       judge_paths(&trial->reading, &edge.figure, 1e-6, &why);
                if (good && edge.figure.paper.count == 0)
                    good = wrong(&why, "no paper");
                if (good && (box.x0 < inner.x0 - far - 1e-6 || box.y0 < inner.y0 - far - 1e-6 ||
                             box.x1 > inner.x1 + far + 1e-6 || box.y1 > inner.y1 + far + 1e-6))
                    good = wrong(&why, "reaches %.6g, %.6g to %.6g, %.6g", box.x0, box.y0, box.x1,
                                 box.y1);
            }
            if (!good)
                wrong(verdict, "around %s, %s, corners %d: %.300s", names[which],
                      options.inward ? "inward" : "outward", (int)options.corners, why.text);
            rab_warnings_clear(&notes);
            rab_edge_clear(&edge);
        }
        rab_region_clear(&paper);
    }
    return good;
}

enum outcome try_motif(struct trial *trial, const double *values, bool full,
                       struct verdict *verdict)
{
    struct rab_repeat repeat = {0};
    struct rab_error err = {0};
    struct sum sum = {.steady = true};

    if (!reading_set(&trial->reading, values, 0, REPEATS)) {
        wrong(verdict, "the test cannot read the file: %s", trial->reading.fault);
        return WRONG;
    }
    const bool drawn =
        rab_motif_draw(trial->library, trial->shape, values, 0, REPEATS, 0, &repeat, &err);
    rab_repeat_clear(&repeat);
    const enum outcome outcome = judge_refusal(&trial->reading, drawn, &err, verdict);
    if (outcome != ACCEPTED)
        return outcome;
    if (!sum_up(trial, values, &sum, verdict))
        return WRONG;
    if (sum.hole_count < REPEATS * (trial->reading.holes > 0)) {
        wrong(verdict, "%zu holes in %d repeats, the file has %zu for each", sum.hole_count,
              REPEATS, trial->reading.holes);
        return WRONG;
    }
    for (int sides = RAB_SIDES_ONE; sides <= RAB_SIDES_APART; sides++)
        if (!judge_strip(trial, values, &sum, (enum rab_sides)sides, full, verdict))
            return WRONG;
    if (full && !judge_along(trial, values, verdict))
        return WRONG;
    return ACCEPTED;
}
