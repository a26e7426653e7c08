#include "chain.h"

#include <stdlib.h>
#include <string.h>

/* A way shorter than this is none. */
static const double no_way = 1e-9;

struct rab_point moved(const struct motion *motion, double x, double y)
{
    return (struct rab_point){motion->x + motion->c * x - motion->s * y,
                              motion->y + motion->s * x + motion->c * y};
}

void move_outline(const struct motion *motion, struct rab_outline *outline)
{
    for (size_t i = 0; i < outline->count; i++) {
        struct rab_vertex *v = &outline->vertices[i];
        const struct rab_point to = moved(motion, v->x, v->y);
        v->x = to.x;
        v->y = to.y;
    }
}

/* ---- the line -------------------------------------------------------------------------- */

void chain_clear(struct chain *chain)
{
    rab_outline_clear(&chain->line);
    free(chain->marks);
    *chain = (struct chain){0};
}

static bool add_vertex(struct chain *chain, struct rab_point at, struct rab_error *err)
{
    void *marks = chain->marks;

    if (!rab_reserve(&marks, &chain->capacity, chain->line.count + 1, sizeof *chain->marks, err))
        return false;
    chain->marks = marks;
    return rab_outline_add(&chain->line, at.x, at.y, 0, err);
}

bool chain_begin(struct chain *chain, struct rab_point at, struct rab_error *err)
{
    chain->line.count = 0;
    chain->line.open = true;
    return add_vertex(chain, at, err);
}

struct rab_point chain_end(const struct chain *chain)
{
    const struct rab_vertex v = chain->line.vertices[chain->line.count - 1];
    return (struct rab_point){v.x, v.y};
}

bool chain_add(struct chain *chain, double bulge, struct rab_point to, struct mark mark,
               struct rab_error *err)
{
    const size_t last = chain->line.count - 1;

    if (point_apart(chain_end(chain), to) <= no_way)
        return true;
    chain->line.vertices[last].bulge = bulge;
    chain->marks[last] = mark;
    return add_vertex(chain, to, err);
}

bool chain_line(struct chain *chain, struct rab_point to, struct mark mark, struct rab_error *err)
{
    return chain_add(chain, 0, to, mark, err);
}

bool chain_join(struct chain *chain, const struct chain *next, struct mark mark,
                struct rab_error *err)
{
    const struct rab_vertex *v = next->line.vertices;

    if (next->line.count == 0)
        return true;
    if (chain->line.count == 0 ? !chain_begin(chain, (struct rab_point){v[0].x, v[0].y}, err)
                               : !chain_line(chain, (struct rab_point){v[0].x, v[0].y}, mark, err))
        return false;
    for (size_t i = 0; i + 1 < next->line.count; i++) {
        if (!chain_add(chain, v[i].bulge, (struct rab_point){v[i + 1].x, v[i + 1].y},
                       next->marks[i], err))
            return false;
    }
    return true;
}

/* ---- cutting it short ------------------------------------------------------------------ */

int line_meets_arc(const struct arc *arc, struct rab_point from, struct rab_point ray,
                   double shares[2])
{
    const struct rab_point d = point_minus(from, arc->a), n = point_left(arc->ta);
    const double a = arc->k / 2, b = arc->k * point_dot(d, ray) - point_dot(n, ray);
    const double c = arc->k * point_dot(d, d) / 2 - point_dot(n, d), inside = b * b - 4 * a * c;
    double roots[2];
    int count = 0, kept = 0;

    if (arc->chord <= 0 || inside < 0)
        return 0;
    const double q = -(b + copysign(sqrt(inside), b)) / 2;
    if (a != 0)
        roots[count++] = q / a;
    if (q != 0)
        roots[count++] = c / q;
    for (int i = 0; i < count; i++) {
        const struct rab_point at = point_along(from, roots[i], ray);
        if (!isfinite(roots[i]) || !arc_faces(arc, at))
            continue;
        shares[kept++] = arc_share(arc, at);
    }
    if (kept == 2 && shares[0] > shares[1]) {
        const double swapped = shares[0];
        shares[0] = shares[1];
        shares[1] = swapped;
    }
    return kept;
}

/* The first place where the chain passes the ray, on arc *edge at *share of its length in the
 * direction of the walk; in the repeats from `first` to `last` or between repeats. */
static bool find_passing(const struct chain *chain, bool backwards, const struct ray *ray,
                         uint32_t first, uint32_t last, size_t *edge, double *share)
{
    const double on = 1e-10;
    const size_t edges = chain->line.count - 1;
    bool inside = false; /* until it has been */

    for (size_t n = 0; n < edges; n++) {
        const size_t i = backwards ? edges - 1 - n : n;
        const uint32_t repeat = chain->marks[i].repeat;
        const bool near = (repeat >= first && repeat <= last) || repeat == NO_REPEAT;
        struct arc arc = arc_of(&chain->line, i);
        double shares[2];
        if (backwards)
            arc = arc_make((struct rab_vertex){arc.b.x, arc.b.y, -arc.bulge}, arc.a);
        const int meets = line_meets_arc(&arc, ray->from, ray->along, shares);
        for (int m = 0; m <= meets; m++) {
            const double begin = m == 0 ? 0 : shares[m - 1], end = m == meets ? 1 : shares[m];
            struct rab_point tangent;
            const struct rab_point middle = arc_at(&arc, (begin + end) / 2, &tangent);
            const double left =
                point_cross(ray->along, point_minus(middle, ray->from)) * (backwards ? -1 : 1);
            if (end <= begin || fabs(left) <= on)
                continue;
            if (left < 0 && inside && near) {
                const double along =
                    point_dot(ray->along, point_minus(arc_at(&arc, begin, &tangent), ray->from));
                if (along >= -ray->reach / 2 && along <= ray->reach) {
                    *edge = i;
                    *share = begin;
                    return true;
                }
            }
            inside = left > 0;
        }
    }
    return false;
}

bool chain_cut_end(struct chain *chain, const struct ray *ray, size_t drawn, struct cut *cut)
{
    struct rab_vertex *v = chain->line.vertices;
    const uint32_t count = (uint32_t)drawn;
    size_t i;
    double share;

    if (chain->line.count < 2) {
        *cut = (struct cut){chain_end(chain), {0, 0}, false};
        return false;
    }
    if (!find_passing(chain, false, ray, count > ray->near ? count - ray->near : 0, count, &i,
                      &share)) {
        const struct arc last = arc_of(&chain->line, chain->line.count - 2);
        *cut = (struct cut){chain_end(chain), last.tb, false};
        return false;
    }
    const struct arc arc = arc_of(&chain->line, i);
    cut->at = arc_at(&arc, share, &cut->tangent);
    cut->round = arc.k != 0 && share > 0;
    chain->line.count = share > 0 ? i + 2 : i + 1;
    if (share > 0) {
        v[i].bulge = tan(share * atan(arc.bulge));
        v[i + 1] = (struct rab_vertex){cut->at.x, cut->at.y, 0};
    }
    return true;
}

bool chain_cut_start(struct chain *chain, const struct ray *ray, struct cut *cut)
{
    struct rab_vertex *v = chain->line.vertices;
    size_t i;
    double share;

    if (chain->line.count < 2) {
        *cut = (struct cut){chain_end(chain), {0, 0}, false};
        return false;
    }
    if (!find_passing(chain, true, ray, 0, ray->near, &i, &share)) {
        const struct arc first = arc_of(&chain->line, 0);
        *cut = (struct cut){first.a, first.ta, false};
        return false;
    }
    const struct arc arc = arc_of(&chain->line, i);
    cut->at = arc_at(&arc, 1 - share, &cut->tangent);
    cut->round = arc.k != 0 && share > 0;
    size_t gone = i + 1;
    if (share > 0) {
        gone = i;
        v[i] = (struct rab_vertex){cut->at.x, cut->at.y, tan(share * atan(arc.bulge))};
    }
    chain->line.count -= gone;
    memmove(v, v + gone, chain->line.count * sizeof *v);
    memmove(chain->marks, chain->marks + gone, chain->line.count * sizeof *chain->marks);
    return true;
}

/* ---- holes and paths ------------------------------------------------------------------- */

void ornaments_clear(struct ornaments *list)
{
    for (size_t i = 0; i < list->count; i++)
        rab_outline_clear(&list->items[i].outline);
    free(list->items);
    *list = (struct ornaments){0};
}

bool ornaments_take(struct ornaments *list, struct rab_outline *outline, struct mark mark,
                    uint32_t group, enum rab_operation operation, struct rab_error *err)
{
    void *items = list->items;

    if (!rab_reserve(&items, &list->capacity, list->count + 1, sizeof *list->items, err))
        return false;
    list->items = items;
    list->items[list->count++] = (struct ornament){*outline, mark, group, operation};
    *outline = (struct rab_outline){0};
    return true;
}

bool ornaments_append(struct ornaments *list, struct ornaments *other, struct rab_error *err)
{
    for (size_t i = 0; i < other->count; i++) {
        struct ornament *o = &other->items[i];
        if (!ornaments_take(list, &o->outline, o->mark, list->groups + o->group, o->operation, err))
            return false;
    }
    list->groups += other->groups;
    ornaments_clear(other);
    return true;
}

bool ornaments_drop(struct ornaments *list, ornament_drop *drop, void *context, size_t *dropped,
                    struct rab_error *err)
{
    bool *goes = calloc((size_t)list->groups + 1, sizeof *goes);
    size_t kept = 0;

    if (!goes)
        return rab_fail_memory(err);
    for (size_t i = 0; i < list->count; i++) {
        const struct ornament *o = &list->items[i];
        if (!goes[o->group] && drop(context, o)) {
            goes[o->group] = true;
            ++*dropped;
        }
    }
    for (size_t i = 0; i < list->count; i++) {
        if (goes[list->items[i].group])
            rab_outline_clear(&list->items[i].outline);
        else
            list->items[kept++] = list->items[i];
    }
    list->count = kept;
    free(goes);
    return true;
}

static bool take_moved(const struct rab_outline *outline, const struct motion *motion,
                       struct mark mark, uint32_t group, enum rab_operation operation,
                       struct ornaments *list, struct rab_error *err)
{
    struct rab_outline copy = {0};

    if (!rab_outline_copy(outline, &copy, err))
        return false;
    move_outline(motion, &copy);
    const bool ok = ornaments_take(list, &copy, mark, group, operation, err);
    rab_outline_clear(&copy);
    return ok;
}

bool ornaments_of_repeat(const struct rab_repeat *repeat, const struct motion *motion,
                         struct mark mark, struct ornaments *holes, struct ornaments *paths,
                         struct rab_error *err)
{
    const struct rab_region *region = &repeat->holes;
    const uint32_t before = holes->groups;
    uint32_t *group = calloc(region->count + 1, sizeof *group);
    bool ok = group != NULL;

    if (!group)
        return rab_fail_memory(err);
    for (size_t i = 0; i < region->count && ok; i++) {
        /* Parents stand before their children. */
        group[i] = region->parents[i] == RAB_NO_PARENT ? holes->groups++ - before
                                                       : group[region->parents[i]];
        ok = take_moved(&region->outlines[i], motion, mark, before + group[i], RAB_CUT, holes, err);
    }
    for (size_t i = 0; i < repeat->path_count && ok; i++)
        ok = take_moved(&repeat->paths[i].outline, motion, mark, paths->groups++,
                        repeat->paths[i].operation, paths, err);
    free(group);
    return ok;
}
