#include "arrange.h"

#include <stdlib.h>
#include <string.h>

void rab_region_clear(struct rab_region *region)
{
    for (size_t i = 0; i < region->count; i++)
        rab_outline_clear(&region->outlines[i]);
    free(region->outlines);
    free(region->parents);
    *region = (struct rab_region){0};
}

bool rab_region_copy(const struct rab_region *in, struct rab_region *out, struct rab_error *err)
{
    struct rab_region made = {0};

    if (!(made.outlines = take(in->count, sizeof *made.outlines, err)) ||
        !(made.parents = take(in->count, sizeof *made.parents, err)))
        goto failed;
    for (; made.count < in->count; made.count++) {
        made.outlines[made.count] = (struct rab_outline){0};
        if (!rab_outline_copy(&in->outlines[made.count], &made.outlines[made.count], err))
            goto failed;
        made.parents[made.count] = in->parents[made.count];
    }
    *out = made;
    return true;
failed:
    rab_region_clear(&made);
    return false;
}

double rab_region_area(const struct rab_region *region)
{
    double area = 0;

    for (size_t i = 0; i < region->count; i++)
        area += rab_outline_area(&region->outlines[i]);
    return area;
}

double rab_region_perimeter(const struct rab_region *region)
{
    double length = 0;

    for (size_t i = 0; i < region->count; i++)
        length += rab_outline_perimeter(&region->outlines[i]);
    return length;
}

struct rab_box rab_region_box(const struct rab_region *region)
{
    struct rab_box box = RAB_BOX_EMPTY;

    for (size_t i = 0; i < region->count; i++)
        if (region->parents[i] == RAB_NO_PARENT)
            box = rab_box_join(box, rab_outline_box(&region->outlines[i]));
    return box;
}

size_t rab_region_vertices(const struct rab_region *region)
{
    size_t n = 0;

    for (size_t i = 0; i < region->count; i++)
        n += region->outlines[i].count;
    return n;
}

bool rab_region_holds(const struct rab_region *region, struct rab_point point)
{
    int winding = 0;

    for (size_t i = 0; i < region->count; i++)
        winding += rab_outline_winding(&region->outlines[i], point);
    return winding > 0;
}

bool arrange(const struct chains *chains, enum rule rule, double same, struct rab_region *out,
             struct rab_error *err)
{
    struct arrangement arr = {.same = same, .rule = rule};
    const bool ok = arrangement_split(&arr, chains, err) && arrangement_wind(&arr, err) &&
                    arrangement_trace(&arr, out, err);

    arrangement_clear(&arr);
    return ok;
}

/* Two sets of outlines, the second perhaps the other way round, through the arrangement; when the
 * result fails its check, again with points ten and a hundred times further apart made one. */
static bool resolve(const struct rab_outline *a, size_t a_count, const struct rab_outline *b,
                    size_t b_count, bool b_backwards, enum rule rule, struct rab_region *out,
                    struct rab_error *err)
{
    for (int i = 0; i < 3; i++) {
        const double same = RAB_SAME_POINT * (i == 0 ? 1 : i == 1 ? 10 : 100);
        struct chains chains = {0};
        struct rab_error this = {0};
        bool ok = true;
        for (size_t n = 0; n < a_count && ok; n++)
            ok = chains_outline(&chains, &a[n], false, same, &this);
        for (size_t n = 0; n < b_count && ok; n++)
            ok = chains_outline(&chains, &b[n], b_backwards, same, &this);
        ok = ok && arrange(&chains, rule, same, out, &this);
        chains_clear(&chains);
        if (ok)
            return true;
        if (this.fault != RAB_FAULT_GEOMETRY || i == 2)
            return rab_fail(err, this.fault, "%s", this.text);
    }
    return false;
}

bool rab_region_fill(const struct rab_outline *outlines, size_t count, enum rab_fill rule,
                     struct rab_region *out, struct rab_error *err)
{
    return resolve(outlines, count, NULL, 0, false,
                   rule == RAB_FILL_NONZERO   ? RULE_NONZERO
                   : rule == RAB_FILL_EVENODD ? RULE_EVENODD
                                              : RULE_POSITIVE,
                   out, err);
}

bool rab_region_combine(const struct rab_region *a, const struct rab_region *b,
                        enum rab_combine how, struct rab_region *out, struct rab_error *err)
{
    static const enum rule rules[] = {
        [RAB_UNION] = RULE_POSITIVE,
        [RAB_INTERSECTION] = RULE_TWICE,
        [RAB_DIFFERENCE] = RULE_POSITIVE,
        [RAB_EXCLUSIVE] = RULE_EVENODD,
    };

    return resolve(a->outlines, a->count, b->outlines, b->count, how == RAB_DIFFERENCE, rules[how],
                   out, err);
}
