#include "rabbet/plan.h"

#include "plan/bound.h"
#include "plan/kerf.h"
#include "plan/order.h"
#include "plan/shared.h"
#include "plan/tabs.h"

#include <math.h>
#include <stdlib.h>

/* What loosens nothing comes first. */
static const enum rab_operation operation_order[RAB_OPERATIONS] = {
    RAB_DRAW, RAB_GLUE, RAB_CREASE, RAB_PART_CUT, RAB_PERFORATE, RAB_CUT};

static bool check_options(const struct rab_plan_options *o, struct rab_error *err)
{
    const struct {
        const char *name;
        double value;
    } lengths[] = {{"kerf", o->kerf},
                   {"overcut", o->overcut},
                   {"distance between tabs", o->tab_every},
                   {"tab's width", o->tab_width},
                   {"cut of the perforation", o->perforation_cut},
                   {"gap of the perforation", o->perforation_gap},
                   {"dash of the creases", o->crease_dash},
                   {"gap of the creases", o->crease_gap},
                   {"distance to cool", o->cool}};

    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++)
        if (!(lengths[i].value >= 0 && lengths[i].value <= 1000))
            return rab_fail(err, RAB_FAULT_INPUT, "the %s is out of range; give 0 to 1 m",
                            lengths[i].name);
    if (!(o->kerf <= 5))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the kerf is out of range; give the width of paper that the tool takes "
                        "away, at most 5 mm");
    if (o->tabs < 0 || o->tabs > 1000 || (o->tabs > 0 && o->tab_every > 0))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "give how many tabs a piece gets, 1 to 1000, or how far apart they are");
    if ((o->tabs > 0 || o->tab_every > 0) != (o->tab_width > 0))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "tabs need their width, and how many or how far apart they are");
    if (o->tab_every > 0 && o->tab_every < 6 * o->tab_width)
        return rab_fail(
            err, RAB_FAULT_INPUT,
            "the tabs are too near to each other; give a distance of at least six times "
            "their width");
    if ((o->perforation_cut > 0) != (o->perforation_gap > 0) ||
        (o->perforation_cut > 0 && o->perforation_cut + o->perforation_gap < 0.2))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "a perforation needs the length of its cuts and of its gaps, together at "
                        "least 0.2 mm");
    if ((o->crease_dash > 0) != (o->crease_gap > 0) ||
        (o->crease_dash > 0 && o->crease_dash + o->crease_gap < 0.2))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "dashed creases need the length of their dashes and of the gaps, together "
                        "at least 0.2 mm");
    return true;
}

/* The lines of one operation, in their order. */
static bool pick(const struct line_list *all, enum rab_operation operation, struct line_list *out,
                 struct rab_error *err)
{
    for (size_t i = 0; i < all->count; i++)
        if (all->items[i].operation == operation && !line_list_keep(out, &all->items[i], err))
            return false;
    return true;
}

static struct rab_point first_point(const struct rab_outline *outline)
{
    return (struct rab_point){outline->vertices[0].x, outline->vertices[0].y};
}

static struct rab_point last_point(const struct rab_outline *outline)
{
    const struct rab_vertex *v = &outline->vertices[outline->open ? outline->count - 1 : 0];

    return (struct rab_point){v->x, v->y};
}

static bool add_paths(struct ordered *ordered, double overcut, struct rab_plan *plan,
                      struct rab_error *err)
{
    const struct line_list *lines = &ordered->lines;
    void *items = plan->paths;

    if (!rab_reserve(&items, &plan->capacity, plan->count + lines->count, sizeof *plan->paths, err))
        return false;
    plan->paths = items;
    for (size_t i = 0; i < lines->count; i++) {
        struct line *line = &lines->items[i];
        const bool goes_on = line->operation == RAB_CUT;
        if (!line->outline.open &&
            !tabs_begin(&line->outline, ordered->starts[i], goes_on ? overcut : 0, err))
            return false;
        plan->paths[plan->count++] = (struct rab_path){line->operation, line->piece, line->outline};
        line->outline = (struct rab_outline){0};
    }
    return true;
}

static void measure(struct rab_plan *plan, struct rab_point home)
{
    struct rab_point at = home;

    for (size_t i = 0; i < plan->count; i++) {
        const struct rab_outline *outline = &plan->paths[i].outline;
        const struct rab_point start = first_point(outline);
        plan->idle += hypot(start.x - at.x, start.y - at.y);
        plan->length += rab_outline_perimeter(outline);
        at = last_point(outline);
    }
}

/* Another operation, or the cuts of larger pieces. */
static bool is_next_part(const struct rab_plan *plan, size_t i)
{
    return plan->paths[i].operation != plan->paths[i - 1].operation || i == plan->larger;
}

bool rab_plan_bound(const struct rab_plan *plan, struct rab_point home, double *bound,
                    struct rab_error *err)
{
    struct leg_ends *legs = calloc(plan->count + 1, sizeof *legs);
    double sum = 0;
    bool ok = true;

    if (!legs)
        return rab_fail_memory(err);
    for (size_t i = 0; i < plan->count; i++)
        legs[i] = (struct leg_ends){first_point(&plan->paths[i].outline),
                                    last_point(&plan->paths[i].outline)};
    for (size_t i = 0, end; i < plan->count && ok; i = end) {
        double part;
        for (end = i + 1; end < plan->count && !is_next_part(plan, end);)
            end++;
        ok = bound_find(i == 0 ? &home : NULL, legs + i, end - i, &part, err);
        if (ok)
            sum += part;
    }
    if (ok)
        *bound = sum;
    free(legs);
    return ok;
}

static bool drop_shared(struct line_list *lines, struct rab_plan *plan, struct rab_error *err)
{
    bool all;

    if (!shared_drop(lines, &plan->shared, &plan->shared_length, &all, err))
        return false;
    return all || rab_fail(err, RAB_FAULT_GEOMETRY,
                           "too many lines lie on or across each other; take out those that are "
                           "drawn several times");
}

bool rab_plan_make(const struct rab_path *paths, size_t count,
                   const struct rab_plan_options *options, struct rab_plan *out,
                   struct rab_warnings *notes, struct rab_error *err)
{
    struct line_list all = {0}, some = {0};
    struct ordered ordered = {0};
    struct rab_plan made = {0};
    struct tool tool = {options->home, RAB_BOX_EMPTY, options->cool};
    bool ok = false;

    if (!check_options(options, err) || !kerf_allow(paths, count, options->kerf, &all, err) ||
        !drop_shared(&all, &made, err) ||
        (options->tab_width > 0 && !tabs_leave(&all, paths, options, &made.tabs, notes, err)) ||
        (options->perforation_cut > 0 && !tabs_dash(&all, RAB_PERFORATE, options->perforation_cut,
                                                    options->perforation_gap, err)) ||
        (options->crease_dash > 0 &&
         !tabs_dash(&all, RAB_CREASE, options->crease_dash, options->crease_gap, err)))
        goto done;
    for (int i = 0; i < RAB_OPERATIONS; i++) {
        const bool loosens = operation_order[i] == RAB_CUT;
        if (!pick(&all, operation_order[i], &some, err) ||
            !order_lines(&some, paths, loosens, &tool, &ordered, err))
            goto done;
        made.larger = made.count + ordered.small;
        if (!add_paths(&ordered, options->overcut, &made, err))
            goto done;
        line_list_clear(&some);
        ordered_clear(&ordered);
    }
    measure(&made, options->home);
    *out = made;
    made = (struct rab_plan){0};
    ok = true;
done:
    line_list_clear(&all);
    line_list_clear(&some);
    ordered_clear(&ordered);
    rab_plan_clear(&made);
    return ok;
}

void rab_plan_clear(struct rab_plan *plan)
{
    for (size_t i = 0; i < plan->count; i++)
        rab_outline_clear(&plan->paths[i].outline);
    free(plan->paths);
    *plan = (struct rab_plan){0};
}
