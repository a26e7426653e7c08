#include "corner.h"

#include "finish.h"

/* Sides run on past a corner to be mitred up to this many times the depth (corners of 28 degrees);
 * square peaks are led to a point up to this many times as far from the corner (47 degrees). */
static const double longest_mitre = 4, longest_point = 2.5;

struct corner corner_between(const struct way *before, const struct way *after)
{
    struct corner corner;

    corner.at = way_at(before, before->length, &corner.in);
    (void)way_at(after, 0, &corner.out);
    corner.turn = point_angle(corner.in, corner.out);
    return corner;
}

double corner_angle(const struct corner *corner)
{
    return RAB_PI + corner->turn;
}

struct rab_point corner_ray(const struct corner *corner)
{
    const struct rab_point a = point_left(corner->in), b = point_left(corner->out);
    struct rab_point ray = {a.x + b.x, a.y + b.y};

    if (hypot(ray.x, ray.y) < 1) { /* a sharp one: the difference of the tangents is longer */
        ray = point_minus(corner->in, corner->out);
        if (corner->turn > 0)
            ray = (struct rab_point){-ray.x, -ray.y};
    }
    const double length = hypot(ray.x, ray.y);
    return (struct rab_point){ray.x / length, ray.y / length};
}

bool corner_reach(const struct corner *corner, double depth, double *reach, struct rab_error *err)
{
    const double half = fabs(corner->turn) / 2;
    struct rab_text text = {0};

    if (corner->turn >= 0) {
        *reach = 0;
        return true;
    }
    if (half < RAB_PI / 2 && tan(half) <= longest_mitre) {
        *reach = depth * tan(half);
        return true;
    }
    rab_text_fixed(&text, corner->at.x, 1);
    rab_text_add(&text, ", ");
    rab_text_fixed(&text, corner->at.y, 1);
    if (rab_text_ok(&text, err))
        rab_fail(err, RAB_FAULT_GEOMETRY,
                 "the corner at %s mm is too sharp to be mitred; ask for valleys on the corners",
                 text.data);
    rab_text_clear(&text);
    return false;
}

/* ---- cutting and joining --------------------------------------------------------------- */

/* How many repeats from the end of a run can come near the corner's middle line. */
static uint32_t repeats_near(const struct corner *corner, const struct stretch *run, double depth)
{
    const double slant = fmin(tan(fmin(fabs(corner->turn) / 2, 1.5)), 10);
    const double reach = 2 + 2 * slant * (depth + 2 * run->fitted.pitch) / run->fitted.pitch;
    const double near = ceil(fmin(reach, (double)run->drawn / 2 + 1));

    return (uint32_t)near;
}

void corner_cut(const struct corner *corner, enum meeting meeting, double depth, struct side before,
                struct side after, struct cut *end, struct cut *start)
{
    struct ray first = {.from = corner->at}, next = {.from = corner->at};

    if (meeting != MEET_AS_IS) { /* where it is, nothing is within reach */
        /* How far from the corner a repeat can meet the ray: some more for what arcs add to it. */
        const double half = fmax(cos(corner->turn / 2), 0.02);
        first.reach = next.reach = meeting == MEET_SQUARE ? 1.5 * depth : 1.5 * depth / half;
        first.near = repeats_near(corner, before.run, depth);
        next.near = repeats_near(corner, after.run, depth);
    }
    first.along = meeting == MEET_SQUARE ? point_left(corner->in) : corner_ray(corner);
    next.along = meeting == MEET_SQUARE ? point_left(corner->out) : corner_ray(corner);
    (void)chain_cut_end(&before.edging->chain, &first, before.run->drawn, end);
    (void)chain_cut_start(&after.edging->chain, &next, start);
}

/* From peak to peak round a corner that points outwards. */
static bool join_peaks(const struct corner *corner, const struct cut *end, const struct cut *start,
                       struct mark mark, struct chain *out, struct rab_error *err)
{
    const double level = 0.02; /* about a degree */
    const double r0 = point_apart(end->at, corner->at), r1 = point_apart(start->at, corner->at);
    const bool even = fabs(r0 - r1) <= 1e-6 && r0 > 0;
    const bool alike = fmin(r0, r1) >= fmax(r0, r1) / 2; /* not a peak and a plain side */
    const bool round = even && end->round && start->round &&
                       fabs(point_cross(end->tangent, corner->in)) < level &&
                       fabs(point_cross(start->tangent, corner->out)) < level;
    const double cross = point_cross(corner->in, corner->out);
    const struct rab_point apart = point_minus(start->at, end->at);

    if (!round && alike && fabs(cross) > 1e-9) {
        const double on = point_cross(apart, corner->out) / cross;
        const double back = point_cross(apart, corner->in) / -cross;
        const struct rab_point tip = point_along(end->at, on, corner->in);
        if (on >= 0 && back >= 0 && point_apart(tip, corner->at) <= longest_point * fmax(r0, r1))
            return chain_line(out, tip, mark, err) && chain_line(out, start->at, mark, err);
    }
    return even ? chain_add(out, tan(corner->turn / 4), start->at, mark, err)
                : chain_line(out, start->at, mark, err);
}

bool corner_join(const struct corner *corner, enum meeting meeting, const struct cut *end,
                 const struct cut *start, uint32_t run, struct chain *out, struct rab_error *err)
{
    const struct mark mark = {run, NO_REPEAT};

    if (meeting == MEET_MIDDLE || corner->turn >= 0)
        return chain_line(out, start->at, mark, err);
    return join_peaks(corner, end, start, mark, out, err);
}

/* ---- holes ----------------------------------------------------------------------------- */

bool corner_clear(const struct corner *corner, bool ends_here, double depth, struct side side,
                  size_t *dropped, struct rab_error *err)
{
    const uint32_t near = repeats_near(corner, side.run, depth);
    const uint32_t drawn = (uint32_t)side.run->drawn;
    const struct gate gate = {
        .at = corner->at,
        .ray = corner_ray(corner),
        .sign = ends_here ? 1 : -1,
        .first = ends_here ? drawn - (near < drawn ? near : drawn) : 0,
        .last = ends_here ? drawn : near,
    };

    return holes_keep(&side.edging->holes, &gate, half_web, dropped, err) &&
           paths_clip(&side.edging->paths, &gate, err);
}
