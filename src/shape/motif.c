/* One repeat of an edge, and what a motif puts on a corner. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "shape/scene.h"

void rab_repeat_clear(struct rab_repeat *repeat)
{
    struct paths paths = {repeat->paths, repeat->path_count, repeat->path_count};

    rab_outline_clear(&repeat->profile);
    rab_region_clear(&repeat->holes);
    paths_clear(&paths);
    *repeat = (struct rab_repeat){0};
}

/* What is drawn before it is looked over. */
struct strip {
    struct rab_outline profile;
    struct area holes;
    struct paths paths;
    uint32_t profile_node, hole_node;
    double valley;
};

static void strip_clear(struct strip *strip)
{
    rab_outline_clear(&strip->profile);
    area_clear(&strip->holes);
    paths_clear(&strip->paths);
}

static bool draw_valley(struct scene *scene, uint32_t node, double pitch, double *valley)
{
    if (!scene_value(scene, node, KEY_WIDTH, valley))
        return false;
    if (*valley < 0 || *valley > pitch)
        return scene_fail(scene, node,
                          "the valley comes out %s wide; it must be from 0 to the pitch, %s",
                          words_length(*valley).text, words_length(pitch).text);
    return true;
}

static bool draw_element(struct scene *scene, uint32_t node, struct strip *strip)
{
    switch (scene_node(scene, node)->tag) {
    case TAG_PROFILE:
        if (strip->profile_node != NO_NODE)
            return scene_fail(scene, node, "the profile has been drawn already; a repeat has one");
        strip->profile_node = node;
        return steps_draw(scene, node, &strip->profile);
    case TAG_VALLEY:
        return draw_valley(scene, node, scene->slots[0], &strip->valley);
    case TAG_HOLE:
        strip->hole_node = node;
        return elements_draw(scene, scene_node(scene, node)->first, &strip->holes);
    case TAG_OPERATION:
        return operation_draw(scene, node, &strip->paths);
    default: /* corners are drawn by themselves */
        return true;
    }
}

/* ---- the profile ------------------------------------------------------------------------- */

/* What is rounded off on the way to the pitch. */
static const double slack = 1e-6;

static bool ends_right(struct scene *scene, uint32_t node, struct rab_outline *profile)
{
    const double pitch = scene->slots[0];
    struct rab_vertex *first = &profile->vertices[0];
    struct rab_vertex *last = &profile->vertices[profile->count - 1];

    if (!(fabs(first->x) <= slack))
        return scene_fail(scene, node, "the profile begins at x = %s; it must begin at 0",
                          words_length(first->x).text);
    if (!(fabs(last->x - pitch) <= slack))
        return scene_fail(scene, node, "the profile ends at x = %s; it must end at the pitch, %s",
                          words_length(last->x).text, words_length(pitch).text);
    first->x = 0;
    last->x = pitch;
    return true;
}

static bool height_right(struct scene *scene, uint32_t node, const struct rab_outline *profile)
{
    const double depth = scene->slots[1];
    const struct rab_box box = rab_outline_box(profile);

    if (!(box.y1 <= depth + slack))
        return scene_fail(scene, node, "the profile rises to %s; it may rise to the depth, %s",
                          words_length(box.y1).text, words_length(depth).text);
    if (!(box.y0 >= -slack))
        return scene_fail(scene, node, "the profile goes down to %s; its valleys lie at y = 0",
                          words_length(box.y0).text);
    return true;
}

/* The paper below the profile, as deep as it is to be looked at. */
static bool paper_below(struct scene *scene, const struct rab_outline *profile, double depth,
                        struct rab_outline *out)
{
    struct rab_error *err = scene->run->err;
    const double pitch = scene->slots[0];
    bool ok =
        rab_outline_add(out, pitch, -depth, 0, err) && rab_outline_add(out, 0, -depth, 0, err);

    for (size_t i = 0; i < profile->count && ok; i++) {
        const struct rab_vertex *v = &profile->vertices[i];
        ok = rab_outline_add(out, v->x, v->y, i + 1 < profile->count ? v->bulge : 0, err);
    }
    rab_outline_reverse(out);
    return ok;
}

static bool not_crossing(struct scene *scene, uint32_t node, const struct rab_outline *profile)
{
    struct rab_outline below = {0};
    struct rab_error fault = {0};
    size_t parent = RAB_NO_PARENT;
    bool ok = false;

    if (!scene_spend(scene, node, 4 * profile->count) ||
        !paper_below(scene, profile, scene->slots[0] + scene->slots[1], &below))
        goto done;
    const struct rab_region alone = {&below, &parent, 1};
    ok = rab_region_check(&alone, &fault) ||
         (fault.fault == RAB_FAULT_GEOMETRY
              ? scene_fail(scene, node,
                           "the profile must lead from left to right without crossing itself, the "
                           "paper below it")
              : scene_pass(scene, node, &fault));
done:
    rab_outline_clear(&below);
    return ok;
}

/* ---- holes ------------------------------------------------------------------------------- */

/* Openings that meet the edge would change it. */
static bool holes_right(struct scene *scene, const struct strip *strip,
                        const struct rab_region *holes)
{
    const uint32_t node = strip->hole_node;
    struct rab_outline below = {0};
    struct rab_error fault = {0};
    bool ok = false;

    const struct rab_box box = rab_region_box(holes);
    if (!paper_below(scene, &strip->profile, fmax(0, -box.y0) + scene->slots[0], &below))
        goto done;
    for (size_t i = 0; i < holes->count; i++) {
        const struct rab_outline *hole = &holes->outlines[i];
        double gap;
        if (!rab_outline_gap(&strip->profile, hole, &gap, NULL, NULL, &fault)) {
            scene_pass(scene, node, &fault);
            goto done;
        }
        if (gap <= RAB_SAME_POINT) {
            scene_fail(scene, node,
                       "a hole meets the profile; keep it below, or let the profile go round it");
            goto done;
        }
        /* Holes may lie beyond the ends of the repeat, where the neighbours' profiles are. */
        const struct rab_vertex *v = &hole->vertices[0];
        if (v->y > 0 && v->x > 0 && v->x < scene->slots[0] &&
            rab_outline_winding(&below, (struct rab_point){v->x, v->y}) == 0) {
            scene_fail(scene, node, "a hole lies above the profile, where there is no paper");
            goto done;
        }
    }
    ok = true;
done:
    rab_outline_clear(&below);
    return ok;
}

/* ---- all --------------------------------------------------------------------------------- */

static bool begin(struct scene *scene, struct run *run, const struct rab_library *library,
                  const struct rab_shape *motif, const double *values, size_t repeat,
                  size_t repeats, double tolerance, struct rab_error *err)
{
    if (!motif->motif) {
        rab_fail(err, RAB_FAULT_INPUT, "%s is a shape, not the motif of an edge", motif->name);
        return false;
    }
    if (!run_begin(run, library, tolerance, err) || !scene_begin(scene, run, motif))
        return false;
    memcpy(scene->slots, values, motif->parameter_count * sizeof *values);
    scene->slots[motif->parameter_count] = (double)repeat;
    scene->slots[motif->parameter_count + 1] = (double)repeats;
    return true;
}

static bool draw_strip(struct scene *scene, struct strip *strip)
{
    for (uint32_t i = scene->file->first; i != NO_NODE; i = scene_node(scene, i)->next) {
        bool other;
        if (!scene_head(scene, i, &other) || (other && !draw_element(scene, i, strip)))
            return false;
    }
    if (strip->profile_node == NO_NODE)
        return scene_fail(scene, scene->file->first, "with these values no profile is drawn");
    return ends_right(scene, strip->profile_node, &strip->profile) &&
           height_right(scene, strip->profile_node, &strip->profile) &&
           not_crossing(scene, strip->profile_node, &strip->profile);
}

static bool finish_holes(struct scene *scene, struct strip *strip, struct rab_region *out)
{
    const uint32_t node = strip->hole_node;
    struct rab_error fault = {0};

    if (strip->holes.count == 0)
        return true;
    if (!scene_settle(scene, node, &strip->holes))
        return false;
    if (!area_region(&strip->holes, out, NULL, &fault) || !rab_region_check(out, &fault))
        return scene_pass(scene, node, &fault);
    return holes_right(scene, strip, out);
}

bool rab_motif_draw(const struct rab_library *library, const struct rab_shape *motif,
                    const double *values, size_t repeat, size_t repeats, double tolerance,
                    struct rab_repeat *out, struct rab_error *err)
{
    struct strip strip = {.profile_node = NO_NODE};
    struct rab_region holes = {0};
    struct scene scene = {0};
    struct run run;
    bool ok = false;

    if (!begin(&scene, &run, library, motif, values, repeat, repeats, tolerance, err) ||
        !draw_strip(&scene, &strip) || !finish_holes(&scene, &strip, &holes))
        goto done;
    *out = (struct rab_repeat){strip.profile, holes, strip.paths.items, strip.paths.count,
                               strip.valley};
    strip.profile = (struct rab_outline){0};
    strip.paths = (struct paths){0};
    holes = (struct rab_region){0};
    ok = true;
done:
    scene_end(&scene);
    strip_clear(&strip);
    rab_region_clear(&holes);
    return ok;
}

static bool draw_corners(struct scene *scene, double angle, struct area *area, uint32_t *node)
{
    for (uint32_t i = scene->file->first; i != NO_NODE; i = scene_node(scene, i)->next) {
        bool other;
        if (!scene_head(scene, i, &other))
            return false;
        if (!other || scene_node(scene, i)->tag != TAG_CORNER)
            continue;
        *node = i;
        scene->slots[scene_node(scene, i)->slot] = angle;
        if (!elements_draw(scene, scene_node(scene, i)->first, area))
            return false;
    }
    return true;
}

bool rab_motif_corner(const struct rab_library *library, const struct rab_shape *motif,
                      const double *values, double angle, double tolerance, struct rab_region *out,
                      struct rab_error *err)
{
    struct rab_region made = {0};
    struct rab_error fault = {0};
    struct area area = {0};
    struct scene scene = {0};
    struct run run;
    uint32_t node = NO_NODE;
    bool ok = false;

    if (!begin(&scene, &run, library, motif, values, 0, 1, tolerance, err) ||
        !draw_corners(&scene, angle, &area, &node))
        goto done;
    if (area.count > 0) {
        if (!scene_settle(&scene, node, &area))
            goto done;
        if (!area_region(&area, &made, NULL, &fault) || !rab_region_check(&made, &fault)) {
            scene_pass(&scene, node, &fault);
            goto done;
        }
    }
    *out = made;
    made = (struct rab_region){0};
    ok = true;
done:
    scene_end(&scene);
    area_clear(&area);
    rab_region_clear(&made);
    return ok;
}
