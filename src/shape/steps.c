/* Outlines and paths: their steps become corners, and these an outline. */
#include <assert.h>
#include <math.h>
#include <string.h>

#include "outline/arc.h"
#include "shape/pen.h"
#include "shape/scene.h"

struct drawing {
    struct scene *scene;
    struct pen pen;
};

static bool finite_point(struct scene *scene, uint32_t node, double x, double y)
{
    const double most = 1e6; /* the region room's own bound */

    if (fabs(x) <= most && fabs(y) <= most)
        return true;
    return scene_fail(scene, node, "this point lies more than 1 km away; check the values");
}

static bool round_of(struct scene *scene, uint32_t node, double *round)
{
    if (!scene_value(scene, node, KEY_ROUND, round))
        return false;
    if (*round < 0)
        return scene_fail(scene, node, "the radius of the rounding comes out as %s; give 0 or more",
                          words_length(*round).text);
    return true;
}

/* x or dx; stays when neither is given. */
static bool coordinate(struct scene *scene, uint32_t node, enum key to, enum key by, double before,
                       double *value)
{
    double step;

    if (scene_has(scene, node, to))
        return scene_value(scene, node, to, value);
    if (!scene_value(scene, node, by, &step))
        return false;
    *value = before + step;
    return true;
}

/* The bulge of an arc over a chord; by `bulge`, `angle` or `radius`. */
static bool bulge_of(struct scene *scene, uint32_t node, double chord, double *bulge)
{
    const struct node *n = scene_node(scene, node);
    double angle, radius;

    if (scene_has(scene, node, KEY_BULGE)) {
        if (!scene_value(scene, node, KEY_BULGE, bulge))
            return false;
        if (!(fabs(*bulge) <= 1000))
            return scene_fail(scene, node, "the bulge comes out as %s; 1 is a half circle already",
                              words_number(*bulge).text);
        return true;
    }
    if (scene_has(scene, node, KEY_ANGLE)) {
        if (!scene_value(scene, node, KEY_ANGLE, &angle))
            return false;
        if (!(fabs(angle) <= 359 * RAB_PI / 180))
            return scene_fail(scene, node,
                              "the angle of the arc comes out as %s; it must be between -359 and "
                              "359 deg",
                              words_angle(angle).text);
        *bulge = tan(angle / 4);
        return true;
    }
    if (!scene_size(scene, node, KEY_RADIUS, "radius", &radius))
        return false;
    const double sine = chord / (2 * radius);
    if (sine > 1 + 1e-9)
        return scene_fail(scene, node,
                          "an arc with a radius of %s cannot reach this point; the radius must be "
                          "at least %s",
                          words_length(radius).text, words_length(chord / 2).text);
    /* So near to a half circle the square root would only show what was rounded off. */
    const double cosine = sine > 1 - 1e-14 ? 0 : sqrt(1 - sine * sine);
    *bulge = cosine == 0 ? 1 : n->large ? (1 + cosine) / sine : sine / (1 + cosine);
    if (n->right)
        *bulge = -*bulge;
    return true;
}

/* A corner at which the line arrives with this bulge. A step that goes nowhere draws nothing. */
static bool go_to(struct drawing *d, uint32_t node, double x, double y, double bulge, double round)
{
    struct pen_corner *last = &d->pen.corners[d->pen.count - 1];

    if (hypot(x - last->x, y - last->y) <= RAB_SAME_POINT) {
        if (fabs(bulge) > 1)
            return scene_fail(d->scene, node,
                              "this arc ends where it begins; draw it as two arcs or as a circle");
        if (round > 0) {
            last->round = round;
            last->node = node;
        }
        return true;
    }
    last->bulge = bulge;
    return scene_vertices(d->scene, node, 1) &&
           pen_add(&d->pen, (struct pen_corner){x, y, 0, round, node}, d->scene->run->err);
}

static bool go(struct drawing *d, uint32_t node)
{
    struct scene *scene = d->scene;
    assert(d->pen.count > 0); /* a line is read only when it begins with its start */
    const struct pen_corner last = d->pen.corners[d->pen.count - 1];
    double x, y, round, bulge = 0;

    if (!coordinate(scene, node, KEY_X, KEY_DX, last.x, &x) ||
        !coordinate(scene, node, KEY_Y, KEY_DY, last.y, &y) || !round_of(scene, node, &round) ||
        !finite_point(scene, node, x, y))
        return false;
    if (scene_node(scene, node)->tag == TAG_ARC &&
        !bulge_of(scene, node, hypot(x - last.x, y - last.y), &bulge))
        return false;
    return go_to(d, node, x, y, bulge, round);
}

static bool start(struct drawing *d, uint32_t node)
{
    struct scene *scene = d->scene;
    struct rab_point at;
    double round;

    return scene_point(scene, node, &at) && round_of(scene, node, &round) &&
           finite_point(scene, node, at.x, at.y) && scene_vertices(scene, node, 1) &&
           pen_add(&d->pen, (struct pen_corner){at.x, at.y, 0, round, node}, scene->run->err);
}

static bool mirror_steps(struct drawing *d, uint32_t node)
{
    struct scene *scene = d->scene;
    const bool upright = scene_has(scene, node, KEY_X);
    double at;

    if (!scene_value(scene, node, upright ? KEY_X : KEY_Y, &at) ||
        !scene_spend(scene, node, d->pen.count))
        return false;
    /* Backwards and mirrored an arc bends as before. */
    double bulge = 0;
    for (size_t i = d->pen.count; i-- > 0;) {
        const struct pen_corner corner = d->pen.corners[i];
        if (!go_to(d, node, upright ? 2 * at - corner.x : corner.x,
                   upright ? corner.y : 2 * at - corner.y, bulge, corner.round))
            return false;
        bulge = i > 0 ? d->pen.corners[i - 1].bulge : 0;
    }
    return true;
}

/* NOLINTNEXTLINE(misc-no-recursion): no deeper than the elements of a file */
static bool draw_steps(struct drawing *d, uint32_t first)
{
    struct scene *scene = d->scene;

    for (uint32_t i = first; i != NO_NODE; i = scene_node(scene, i)->next) {
        const struct node *node = scene_node(scene, i);
        size_t count;
        bool yes, ok = true;
        if (!scene_when(scene, i, &yes))
            return false;
        if (!yes)
            continue;
        switch (node->tag) {
        case TAG_LET:
            ok = scene_let(scene, i);
            break;
        case TAG_START:
            ok = start(d, i);
            break;
        case TAG_REPEAT:
            ok = scene_count(scene, i, KEY_COUNT_OF, "copies", 0, &count);
            for (size_t copy = 0; copy < count && ok; copy++) {
                scene->slots[node->slot] = (double)copy;
                ok = scene_spend(scene, i, 1) && draw_steps(d, node->first);
            }
            break;
        case TAG_MIRROR:
            ok = mirror_steps(d, i);
            break;
        default:
            ok = go(d, i);
            break;
        }
        if (!ok)
            return false;
    }
    return true;
}

/* The way back to the start, which may be where the line is already. */
static void close_line(struct pen *pen)
{
    struct pen_corner *first = &pen->corners[0], *last = &pen->corners[pen->count - 1];

    if (pen->count > 1 && hypot(last->x - first->x, last->y - first->y) <= RAB_SAME_POINT) {
        if (first->round == 0) {
            first->round = last->round;
            first->node = last->node;
        }
        pen->count--;
    }
}

bool steps_draw(struct scene *scene, uint32_t node, struct rab_outline *out)
{
    const bool open = scene_node(scene, node)->tag != TAG_OUTLINE;
    struct drawing d = {scene, {0}};
    struct rab_outline made = {0};
    struct rab_error fault = {0};
    size_t corner = 0;
    bool ok = false;

    if (!draw_steps(&d, scene_node(scene, node)->first))
        goto done;
    if (!open)
        close_line(&d.pen);
    if (d.pen.count < 2) {
        scene_fail(scene, node, "this line goes nowhere; give it a step of some length");
        goto done;
    }
    if (!pen_finish(&d.pen, open, &made, &corner, &fault)) {
        if (fault.fault == RAB_FAULT_GEOMETRY)
            scene_fail(scene, d.pen.corners[corner].node,
                       "there is no room to round this corner by %s; give a smaller radius or "
                       "longer sides",
                       words_length(d.pen.corners[corner].round).text);
        else
            scene_pass(scene, node, &fault);
        goto done;
    }
    *out = made;
    made = (struct rab_outline){0};
    ok = true;
done:
    rab_outline_clear(&made);
    pen_clear(&d.pen);
    return ok;
}

/* Counter-clockwise from the same start. */
static void put_right(struct rab_outline *outline)
{
    struct rab_vertex *v = outline->vertices;
    const size_t n = outline->count;

    rab_outline_reverse(outline);
    const struct rab_vertex first = v[n - 1];
    memmove(v + 1, v, (n - 1) * sizeof *v);
    v[0] = first;
}

/* Is there a corner that is none: lines in one line, or arcs of one circle, no more than half of it
 * together? So it may be where an outline starts on its own mirror axis. */
static bool has_spare(const struct rab_outline *outline)
{
    const double same = 1e-10;
    struct arc before = arc_of(outline, outline->count - 1);

    for (size_t i = 0; i < outline->count; i++) {
        const struct arc after = arc_of(outline, i);
        const double turn = 4 * fabs(atan(before.bulge) + atan(after.bulge));
        if (point_dot(before.tb, after.ta) > 0 && fabs(point_cross(before.tb, after.ta)) < same &&
            fabs(before.k - after.k) <= same * fabs(after.k) && turn <= RAB_PI)
            return true;
        before = after;
    }
    return false;
}

bool outline_line(struct scene *scene, uint32_t node, struct rab_outline *out)
{
    if (!steps_draw(scene, node, out))
        return false;
    if (rab_outline_area(out) < 0)
        put_right(out);
    return true;
}

bool outline_draw(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_outline made = {0};
    struct rab_region filled = {0};
    struct rab_error fault = {0};
    size_t parent = RAB_NO_PARENT;
    bool ok = false;

    if (!outline_line(scene, node, &made) || !scene_spend(scene, node, 4 * made.count))
        goto done;
    const struct rab_region alone = {&made, &parent, 1};
    const bool sound = rab_region_check(&alone, &fault);
    if (sound && !has_spare(&made)) {
        ok = area_take(area, &made, scene->run->err);
        goto done;
    }
    if (!sound && fault.fault != RAB_FAULT_GEOMETRY) {
        scene_pass(scene, node, &fault);
        goto done;
    }
    /* It crosses itself: then it covers all that it goes round. Spare corners go on the way. */
    fault = (struct rab_error){0};
    struct area tangled = {0};
    if (area_take(&tangled, &made, scene->run->err)) {
        ok = scene_fill(scene, node, &tangled, &filled);
        if (ok && filled.count == 0)
            ok = scene_fail(scene, node, "this outline encloses nothing");
        ok = ok && area_take_region(area, &filled, scene->run->err);
    }
    area_clear(&tangled);
done:
    rab_region_clear(&filled);
    rab_outline_clear(&made);
    return ok;
}
