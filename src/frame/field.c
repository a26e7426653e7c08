#include "frame/field.h"

#include <stdlib.h>
#include <string.h>

struct rab_box box_grown(struct rab_box box, double by)
{
    return (struct rab_box){box.x0 - by, box.y0 - by, box.x1 + by, box.y1 + by};
}

/* ---- sites ------------------------------------------------------------------------------- */

/* Which openings are served, and by which group: 0 for none, 1 for a piece of its own, 2... */
static void mark_served(const struct rab_backing_options *o, size_t count, size_t *marks)
{
    for (size_t i = 0; i < count; i++)
        marks[i] = o->only.count == 0;
    for (size_t i = 0; i < o->only.count; i++)
        marks[o->only.items[i] - 1] = 1;
    for (size_t i = 0; i < o->skip.count; i++)
        marks[o->skip.items[i] - 1] = 0;
    for (size_t g = 0; g < o->group_count; g++)
        for (size_t i = 0; i < o->groups[g].count; i++) {
            size_t *mark = &marks[o->groups[g].items[i] - 1];

            if (*mark != 0)
                *mark = 2 + g;
        }
}

/* Between openings nearer than this there is no paper to glue to, and hardly any to cut. */
static const double touching = 1e-3;

struct touch {
    const struct rab_frame *frame;
    size_t *marks;
    size_t last; /* mark that was given */
    bool *touches;
    struct rab_error *err;
};

static bool join_pair(void *context, size_t i, size_t k)
{
    struct touch *t = context;
    size_t *a = &t->marks[i], *b = &t->marks[k];
    double gap;

    if (*a == 0 || *b == 0 || (*a >= 2 && *a == *b))
        return true;
    if (!rab_outline_gap(&t->frame->openings[i].outline, &t->frame->openings[k].outline, &gap, NULL,
                         NULL, t->err))
        return false;
    if (gap >= touching)
        return true;
    if (*a < 2 && *b < 2)
        *a = *b = ++t->last;
    else if (*a < 2)
        *a = *b;
    else if (*b < 2)
        *b = *a;
    else {
        const size_t from = *b, to = *a;
        for (size_t n = 0; n < t->frame->count; n++)
            if (t->marks[n] == from)
                t->marks[n] = to;
    }
    t->touches[i] = t->touches[k] = true;
    return true;
}

/* Openings that touch are served by one piece: none of them could be backed alone. */
static bool join_touching(const struct rab_frame *frame, size_t group_count, size_t *marks,
                          bool *touches, struct rab_error *err)
{
    struct touch touch = {frame, marks, 1 + group_count, touches, err};
    struct box_tree tree = {0};
    bool ok = box_tree_reserve(&tree, frame->count, err);

    if (ok) {
        for (size_t i = 0; i < frame->count; i++)
            tree.boxes[i] = box_grown(frame->openings[i].box, touching / 2);
        box_tree_finish(&tree);
        ok = box_tree_pairs(&tree, join_pair, &touch);
    }
    box_tree_clear(&tree);
    return ok;
}

static bool make_sites(const struct rab_backing_options *o, struct field *field,
                       struct rab_error *err)
{
    const struct rab_frame *frame = field->frame;
    const size_t n = frame->count;
    size_t *marks = malloc(n * sizeof *marks);
    const size_t groups = o->group_count + n; /* of the maker, and of openings that touch */
    size_t *site_of_group = malloc(groups * sizeof *site_of_group);
    size_t *members = calloc(n, sizeof *members); /* of each site */
    bool *touches = calloc(n, sizeof *touches);
    bool ok = false;

    field->sites = calloc(n, sizeof *field->sites);
    if (!marks || !site_of_group || !members || !touches || !field->sites) {
        rab_fail_memory(err);
        goto done;
    }
    mark_served(o, n, marks);
    if (!join_touching(frame, o->group_count, marks, touches, err))
        goto done;
    for (size_t g = 0; g < groups; g++)
        site_of_group[g] = NO_SITE;
    for (size_t i = 0; i < n; i++) {
        size_t *site = &field->site_of[i];

        *site = NO_SITE;
        if (marks[i] == 0)
            continue;
        if (marks[i] >= 2 && site_of_group[marks[i] - 2] != NO_SITE) {
            *site = site_of_group[marks[i] - 2];
        } else {
            *site = field->site_count++;
            if (marks[i] >= 2)
                site_of_group[marks[i] - 2] = *site;
        }
        members[*site]++;
    }
    for (size_t i = 0; i < n; i++) {
        if (field->site_of[i] == NO_SITE)
            continue;
        struct site *site = &field->sites[field->site_of[i]];
        if (!site->openings) {
            site->openings = malloc(members[field->site_of[i]] * sizeof *site->openings);
            if (!site->openings) {
                rab_fail_memory(err);
                goto done;
            }
            site->box = RAB_BOX_EMPTY;
        }
        site->openings[site->count++] = i;
        site->touching |= touches[i];
        site->box = rab_box_join(site->box, frame->openings[i].box);
        site->convex = site->count == 1 && field->convex[i];
    }
    ok = true;
done:
    free(touches);
    free(members);
    free(site_of_group);
    free(marks);
    return ok;
}

/* ---- the field --------------------------------------------------------------------------- */

/* Turning left all the way, joints within rounding of smooth counted as smooth. */
static bool is_convex(const struct arc *arcs, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const struct arc *next = &arcs[i + 1 < count ? i + 1 : 0];

        if (arcs[i].k < 0 || point_cross(arcs[i].tb, next->ta) < -1e-9 ||
            point_dot(arcs[i].tb, next->ta) < -1 + 1e-9)
            return false;
    }
    return true;
}

static bool make_arcs(struct field *field, struct rab_error *err)
{
    const struct rab_frame *frame = field->frame;
    size_t total = 0, at = 0;

    for (size_t i = 0; i < frame->count; i++)
        total += frame->openings[i].outline.count;
    if (total > UINT32_MAX)
        return rab_fail_memory(err);
    field->arcs = malloc((total + 1) * sizeof *field->arcs);
    field->boxes = malloc((total + 1) * sizeof *field->boxes);
    field->opening_of = malloc((total + 1) * sizeof *field->opening_of);
    if (!field->arcs || !field->boxes || !field->opening_of)
        return rab_fail_memory(err);
    for (size_t i = 0; i < frame->count; i++) {
        const struct rab_outline *outline = &frame->openings[i].outline;

        field->first[i] = at;
        for (size_t k = 0; k < outline->count; k++) {
            const struct arc arc = arc_of(outline, k);

            if (arc.chord == 0)
                continue; /* a point that is there twice */
            field->arcs[at] = arc;
            field->boxes[at] = rab_box_arc(outline->vertices[k], arc.b);
            field->opening_of[at++] = (uint32_t)i;
        }
        field->convex[i] = is_convex(field->arcs + field->first[i], at - field->first[i]);
    }
    field->first[frame->count] = at;
    return true;
}

static bool make_tree(struct field *field, struct rab_error *err)
{
    const struct rab_frame *frame = field->frame;
    struct rab_box *boxes = malloc(frame->count * sizeof *boxes);
    bool ok = false;

    if (!boxes)
        return rab_fail_memory(err);
    for (size_t i = 0; i < frame->count; i++)
        boxes[i] = frame->openings[i].box;
    if (!box_tree_order(boxes, frame->count, field->order, err) ||
        !box_tree_reserve(&field->tree, frame->count, err))
        goto done;
    for (size_t i = 0; i < frame->count; i++)
        field->tree.boxes[i] = boxes[field->order[i]];
    box_tree_finish(&field->tree);
    ok = true;
done:
    free(boxes);
    return ok;
}

bool field_make(const struct rab_frame *frame, const struct rab_backing_options *options,
                struct field *out, struct rab_error *err)
{
    struct field made = {.frame = frame};
    const size_t n = frame->count;

    made.first = malloc((n + 1) * sizeof *made.first);
    made.site_of = malloc((n + 1) * sizeof *made.site_of);
    made.convex = malloc((n + 1) * sizeof *made.convex);
    made.order = malloc((n + 1) * sizeof *made.order);
    if (!made.first || !made.site_of || !made.convex || !made.order) {
        rab_fail_memory(err);
        goto failed;
    }
    if (!make_arcs(&made, err) || !make_sites(options, &made, err) || !make_tree(&made, err))
        goto failed;
    *out = made;
    return true;
failed:
    field_clear(&made);
    return false;
}

void field_clear(struct field *field)
{
    if (field->sites)
        for (size_t i = 0; i < field->site_count; i++)
            free(field->sites[i].openings);
    free(field->sites);
    free(field->arcs);
    free(field->boxes);
    free(field->opening_of);
    free(field->first);
    free(field->site_of);
    free(field->convex);
    free(field->order);
    box_tree_clear(&field->tree);
    *field = (struct field){0};
}

/* ---- what is near ------------------------------------------------------------------------ */

struct gather {
    struct near *near;
    size_t site;
    struct rab_box box;
    struct rab_error *err;
};

static bool add_arc(struct near *near, size_t arc, struct rab_error *err)
{
    if (near->count == near->capacity) {
        void *items = near->arcs;

        if (!rab_reserve(&items, &near->capacity, near->count + 1, sizeof *near->arcs, err))
            return false;
        near->arcs = items;
    }
    near->arcs[near->count++] = (uint32_t)arc;
    return true;
}

static bool gather_opening(void *context, size_t item)
{
    const struct gather *gather = context;
    const struct field *field = gather->near->field;
    const size_t opening = field->order[item];

    if (field->site_of[opening] == gather->site)
        return true;
    for (size_t i = field->first[opening]; i < field->first[opening + 1]; i++)
        if (box_meets(&field->boxes[i], &gather->box) && !add_arc(gather->near, i, gather->err))
            return false;
    return true;
}

static bool plant(struct near *near, struct rab_error *err)
{
    if (!box_tree_reserve(&near->tree, near->count, err))
        return false;
    for (size_t i = 0; i < near->count; i++)
        near->tree.boxes[i] = near->field->boxes[near->arcs[i]];
    box_tree_finish(&near->tree);
    return true;
}

bool near_own(const struct field *field, size_t site, struct near *near, struct rab_error *err)
{
    near->field = field;
    near->count = 0;
    for (size_t o = 0; o < field->sites[site].count; o++) {
        const size_t opening = field->sites[site].openings[o];

        for (size_t i = field->first[opening]; i < field->first[opening + 1]; i++)
            if (!add_arc(near, i, err))
                return false;
    }
    return plant(near, err);
}

bool near_others(const struct field *field, size_t site, struct rab_box box, struct near *near,
                 struct rab_error *err)
{
    struct gather gather = {near, site, box, err};

    near->field = field;
    near->count = 0;
    return box_tree_query(&field->tree, box, gather_opening, &gather) && plant(near, err);
}

void near_clear(struct near *near)
{
    free(near->arcs);
    box_tree_clear(&near->tree);
    *near = (struct near){0};
}

struct ask {
    const struct near *near;
    struct choice choice;
};

static bool chosen(const struct field *field, size_t arc, struct choice choice)
{
    const size_t site = field_site(field, arc);

    switch (choice.among) {
    case AMONG_ALL:
        return true;
    case AMONG_SERVED:
        return site != NO_SITE;
    case AMONG_SITE:
        return site == choice.site;
    }
    return false;
}

static double ask_distance2(void *context, size_t item, struct rab_point point)
{
    const struct ask *ask = context;
    const struct field *field = ask->near->field;
    const size_t arc = ask->near->arcs[item];

    if (!chosen(field, arc, ask->choice))
        return 1e300;
    const double distance = arc_distance(&field->arcs[arc], point, NULL);
    return distance * distance;
}

size_t near_nearest(const struct near *near, struct choice choice, struct rab_point point,
                    double within, double *distance)
{
    struct ask ask = {near, choice};
    double best2 = within < 1e150 ? within * within : 1e300;
    const size_t item = box_tree_nearest(&near->tree, point, ask_distance2, &ask, &best2);

    if (item >= near->count)
        return NO_SITE;
    *distance = sqrt(best2);
    return near->arcs[item];
}

struct gap_search {
    const struct near *others;
    struct choice choice;
    size_t own;
    struct near_gap best;
};

static double boxes_apart2(const struct rab_box *p, const struct rab_box *q)
{
    const double x = fmax(0, fmax(p->x0 - q->x1, q->x0 - p->x1));
    const double y = fmax(0, fmax(p->y0 - q->y1, q->y0 - p->y1));

    return x * x + y * y;
}

static bool try_gap(void *context, size_t item)
{
    struct gap_search *search = context;
    const struct field *field = search->others->field;
    const size_t other = search->others->arcs[item];
    struct rab_point on_own, on_other;

    if (boxes_apart2(&field->boxes[search->own], &field->boxes[other]) >=
            search->best.distance * search->best.distance ||
        !chosen(field, other, search->choice))
        return true;
    const double gap = arc_gap(&field->arcs[search->own], &field->arcs[other], &on_own, &on_other);
    if (gap < search->best.distance)
        search->best = (struct near_gap){gap, search->own, other, on_own, on_other};
    return true;
}

struct near_gap near_gap(const struct near *own, const struct near *others, struct choice choice,
                         double within)
{
    struct gap_search search = {.others = others,
                                .choice = choice,
                                .best = {.distance = within, .own = NO_SITE, .other = NO_SITE}};

    for (size_t i = 0; i < own->count; i++) {
        search.own = own->arcs[i];
        box_tree_query(&others->tree,
                       box_grown(own->field->boxes[search.own], search.best.distance), try_gap,
                       &search);
    }
    return search.best;
}
