#include "finish.h"

#include <stdlib.h>
#include <string.h>

#include "outline/box_tree.h"
#include "trouble.h"

/* ---- holes ----------------------------------------------------------------------------- */

static bool same_outline(const struct rab_outline *a, const struct rab_outline *b)
{
    const double same = 1e-6;
    const struct rab_box p = rab_outline_box(a), q = rab_outline_box(b);

    return fabs(p.x0 - q.x0) <= same && fabs(p.y0 - q.y0) <= same && fabs(p.x1 - q.x1) <= same &&
           fabs(p.y1 - q.y1) <= same &&
           fabs(rab_outline_area(a) - rab_outline_area(b)) <= same * (p.x1 - p.x0 + p.y1 - p.y0) &&
           fabs(rab_outline_perimeter(a) - rab_outline_perimeter(b)) <= 4 * same;
}

/* Neighbours may draw the same hole on their joint, the last repeat round an outline the same as
 * the first. Holes stand in the order of runs and repeats. */
static bool has_twin(const struct ornaments *holes, size_t run_start, size_t i)
{
    const struct ornament *own = &holes->items[i];

    for (size_t j = i; j-- > run_start && own->mark.repeat - holes->items[j].mark.repeat <= 1;) {
        if (holes->items[j].mark.repeat != own->mark.repeat &&
            same_outline(&own->outline, &holes->items[j].outline))
            return true;
    }
    for (size_t j = run_start; j < i && holes->items[j].mark.repeat == 0; j++) {
        if (own->mark.repeat > 1 && same_outline(&own->outline, &holes->items[j].outline))
            return true;
    }
    return false;
}

/* The groups that go: of twins the second; with `thin` those that come too close. */
struct choice {
    const struct ornaments *holes;
    bool *goes; /* by group */
    struct rab_error *err;
};

static bool too_close(void *context, size_t first, size_t second)
{
    struct choice *choice = context;
    const struct ornament *a = &choice->holes->items[first], *b = &choice->holes->items[second];
    struct rab_point on_a, on_b;
    double gap;

    if (a->group == b->group)
        return true;
    if (!rab_outline_gap(&a->outline, &b->outline, &gap, &on_a, &on_b, choice->err))
        return false;
    if (gap < half_web) {
        choice->goes[a->group] = true;
        choice->goes[b->group] = true;
    }
    return true;
}

static bool choose_close(struct choice *choice)
{
    struct box_tree tree = {0};

    if (!box_tree_reserve(&tree, choice->holes->count, choice->err))
        return false;
    for (size_t i = 0; i < choice->holes->count; i++) {
        const struct rab_box box = rab_outline_box(&choice->holes->items[i].outline);
        tree.boxes[i] = (struct rab_box){box.x0 - half_web, box.y0 - half_web, box.x1 + half_web,
                                         box.y1 + half_web};
    }
    box_tree_finish(&tree);
    const bool ok = box_tree_pairs(&tree, too_close, choice);
    box_tree_clear(&tree);
    return ok;
}

static bool is_chosen(void *context, const struct ornament *ornament)
{
    const struct choice *choice = context;
    return choice->goes[ornament->group];
}

static bool drop_some(struct ornaments *holes, size_t *thin, struct rab_error *err)
{
    struct choice choice = {holes, calloc((size_t)holes->groups + 1, sizeof(bool)), err};
    size_t run_start = 0, twins = 0;
    bool ok = choice.goes != NULL;

    if (!ok)
        rab_fail_memory(err);
    for (size_t i = 0; i < holes->count && ok; i++) {
        if (holes->items[i].mark.run != holes->items[run_start].mark.run)
            run_start = i;
        if (has_twin(holes, run_start, i))
            choice.goes[holes->items[i].group] = true;
    }
    ok = ok && ornaments_drop(holes, is_chosen, &choice, &twins, err);
    if (ok && thin && holes->count > 0) {
        memset(choice.goes, 0, ((size_t)holes->groups + 1) * sizeof(bool));
        ok = choose_close(&choice) && ornaments_drop(holes, is_chosen, &choice, thin, err);
    }
    free(choice.goes);
    return ok;
}

bool holes_unite(struct ornaments *holes, size_t *thin, struct rab_region *out,
                 struct rab_error *err)
{
    struct rab_outline *kept = NULL; /* borrowed */
    struct rab_region all = {0}, odd = {0}, twice = {0};
    double area = 0;
    bool ok = false;

    if (!drop_some(holes, thin, err))
        return false;
    kept = calloc(holes->count + 1, sizeof *kept);
    if (!kept)
        return rab_fail_memory(err);
    for (size_t i = 0; i < holes->count; i++) {
        kept[i] = holes->items[i].outline;
        area += rab_outline_area(&kept[i]);
    }
    if (!rab_region_fill(kept, holes->count, RAB_FILL_NONZERO, &all, err))
        goto done;
    if (fabs(rab_region_area(&all) - area) > 1e-4) {
        char place[PLACE_TEXT] = "";
        if (rab_region_fill(kept, holes->count, RAB_FILL_EVENODD, &odd, err) &&
            rab_region_combine(&all, &odd, RAB_DIFFERENCE, &twice, err) &&
            place_text(rab_outline_centroid(twice.count ? &twice.outlines[0] : &all.outlines[0]),
                       place, err))
            rab_fail(err, RAB_FAULT_GEOMETRY,
                     "holes of the edge run into each other at %s; give a larger pitch, or ask "
                     "for fewer",
                     place);
        goto done;
    }
    *out = all;
    all = (struct rab_region){0};
    ok = true;
done:
    rab_region_clear(&twice);
    rab_region_clear(&odd);
    rab_region_clear(&all);
    free(kept);
    return ok;
}

/* ---- paths ----------------------------------------------------------------------------- */

/* How many paths back the one is looked for that a path goes on from: a repeat has few. */
enum { LOOK_BACK = 32 };

/* Does the path go straight on through its last point? Then that one can go. */
static bool goes_straight_on(const struct rab_outline *o, struct rab_point next)
{
    const struct arc last = arc_of(o, o->count - 2);
    const struct arc more = arc_make(o->vertices[o->count - 1], next);

    return last.k == 0 && more.k == 0 && point_dot(last.ta, more.ta) > 0 &&
           fabs(point_cross(last.ta, more.ta)) * fmin(last.chord, more.chord) < 1e-9;
}

/* A line that runs on through the repeats is one path. */
static bool go_on(struct rab_outline *from, const struct rab_outline *next, struct rab_error *err)
{
    from->vertices[from->count - 1].bulge = next->vertices[0].bulge;
    for (size_t i = 1; i < next->count; i++) {
        const struct rab_vertex v = next->vertices[i];
        if (i == 1 && goes_straight_on(from, (struct rab_point){v.x, v.y}))
            from->count--;
        if (!rab_outline_add(from, v.x, v.y, v.bulge, err))
            return false;
    }
    return true;
}

static bool meets_start(const struct rab_outline *from, const struct rab_outline *next)
{
    const struct rab_vertex a = from->vertices[from->count - 1], b = next->vertices[0];
    return hypot(a.x - b.x, a.y - b.y) <= 1e-7;
}

bool paths_hand_over(struct ornaments *paths, struct rab_figure *figure, struct rab_error *err)
{
    struct rab_path *made = calloc(paths->count + 1, sizeof *made);
    size_t count = 0;

    if (!made)
        return rab_fail_memory(err);
    for (size_t i = 0; i < paths->count; i++) {
        struct ornament *path = &paths->items[i];
        size_t on = count;
        for (size_t j = count;
             path->outline.open && on == count && j-- > 0 && count - j <= LOOK_BACK;) {
            if (made[j].outline.open && made[j].operation == path->operation &&
                meets_start(&made[j].outline, &path->outline))
                on = j;
        }
        if (on < count) {
            if (!go_on(&made[on].outline, &path->outline, err))
                goto failed;
        } else {
            made[count++] =
                (struct rab_path){.operation = path->operation, .outline = path->outline};
            path->outline = (struct rab_outline){0};
        }
    }
    for (size_t i = 0; i < count; i++) { /* what has come round is closed */
        struct rab_outline *o = &made[i].outline;
        if (o->open && o->count > 2 && meets_start(o, o)) {
            o->open = false;
            o->count--;
        }
    }
    figure->paths = made;
    figure->path_count = count;
    return true;
failed:
    for (size_t i = 0; i < count; i++)
        rab_outline_clear(&made[i].outline);
    free(made);
    return false;
}

double gate_least(const struct gate *gate, const struct rab_outline *outline)
{
    double least = HUGE_VAL;

    /* Seen along the ray the box is exact. */
    for (size_t i = 0; i < arc_count(outline); i++) {
        const struct arc arc = arc_of(outline, i);
        const struct rab_point a = point_minus(arc.a, gate->at), b = point_minus(arc.b, gate->at);
        const struct rab_vertex turned = {point_dot(gate->ray, a), point_cross(gate->ray, a),
                                          arc.bulge};
        const struct rab_box box = rab_box_arc(
            turned, (struct rab_point){point_dot(gate->ray, b), point_cross(gate->ray, b)});
        least = fmin(least, gate->sign > 0 ? box.y0 : -box.y1);
    }
    return least;
}

struct keeper {
    const struct gate *gate;
    double least;
};

static bool comes_near(void *context, const struct ornament *ornament)
{
    const struct keeper *keeper = context;
    const struct gate *gate = keeper->gate;

    return ornament->mark.repeat >= gate->first && ornament->mark.repeat <= gate->last &&
           gate_least(gate, &ornament->outline) < keeper->least;
}

bool holes_keep(struct ornaments *holes, const struct gate *gate, double least, size_t *dropped,
                struct rab_error *err)
{
    struct keeper keeper = {gate, least};
    return ornaments_drop(holes, comes_near, &keeper, dropped, err);
}

struct clipper {
    const struct gate *gate;
    const struct ornament *from;
    struct rab_outline part;
    struct ornaments *out;
    struct rab_error *err;
};

static bool end_part(struct clipper *c)
{
    bool ok = true;

    if (c->part.count > 1)
        ok = ornaments_take(c->out, &c->part, c->from->mark, c->out->groups++, c->from->operation,
                            c->err);
    rab_outline_clear(&c->part);
    c->part.open = true;
    return ok;
}

static bool clip_arc(struct clipper *c, const struct arc *arc)
{
    double shares[2];
    const int meets = line_meets_arc(arc, c->gate->at, c->gate->ray, shares);
    struct rab_point tangent;

    for (int m = 0; m <= meets; m++) {
        const double from = m == 0 ? 0 : shares[m - 1], to = m == meets ? 1 : shares[m];
        const struct rab_point middle = arc_at(arc, (from + to) / 2, &tangent);
        const struct rab_point a = arc_at(arc, from, &tangent), b = arc_at(arc, to, &tangent);
        if (to <= from)
            continue;
        if (point_cross(c->gate->ray, point_minus(middle, c->gate->at)) * c->gate->sign < 0) {
            if (!end_part(c))
                return false;
            continue;
        }
        if (c->part.count == 0 && !rab_outline_add(&c->part, a.x, a.y, 0, c->err))
            return false;
        c->part.vertices[c->part.count - 1].bulge = tan((to - from) * atan(arc->bulge));
        if (!rab_outline_add(&c->part, b.x, b.y, 0, c->err))
            return false;
    }
    return true;
}

bool paths_clip(struct ornaments *paths, const struct gate *gate, struct rab_error *err)
{
    struct ornaments kept = {0};
    bool ok = true;

    for (size_t i = 0; i < paths->count && ok; i++) {
        struct ornament *path = &paths->items[i];
        const bool concerned = path->mark.repeat >= gate->first && path->mark.repeat <= gate->last;
        if (!concerned || gate_least(gate, &path->outline) >= -1e-7) {
            ok = ornaments_take(&kept, &path->outline, path->mark, kept.groups++, path->operation,
                                err);
            continue;
        }
        struct clipper c = {gate, path, {.open = true}, &kept, err};
        for (size_t e = 0; e < arc_count(&path->outline) && ok; e++) {
            const struct arc arc = arc_of(&path->outline, e);
            ok = clip_arc(&c, &arc);
        }
        ok = ok && end_part(&c);
        rab_outline_clear(&c.part);
    }
    ornaments_clear(paths);
    *paths = kept;
    return ok;
}
