#include "outline/arc.h"
#include "rabbet/plan.h"

/* A change of direction that needs no swing of its own. */
static const double no_turn = 1e-9;

static bool add_swing(struct rab_outline *path, struct rab_point corner, struct rab_point before,
                      struct rab_point behind, double offset, struct rab_error *err)
{
    const double turn = point_angle(before, behind);
    const struct rab_point from = point_along(corner, offset, before);

    return fabs(turn) <= no_turn || rab_outline_add(path, from.x, from.y, tan(turn / 4), err);
}

bool rab_plan_blade(const struct rab_outline *tip, double offset, struct rab_outline *out,
                    struct rab_error *err)
{
    const size_t edges = arc_count(tip);
    struct rab_outline made = {.open = true};
    struct arc arc = {0};

    if (!(offset > 0 && offset <= 5))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the blade's offset is out of range; give more than 0 and at most 5 mm");
    for (size_t e = 0; e < edges; e++) {
        const struct arc before = arc;
        arc = arc_of(tip, e);
        const struct rab_point start = point_along(arc.a, offset, arc.ta);
        if ((e > 0 && !add_swing(&made, arc.a, before.tb, arc.ta, offset, err)) ||
            !rab_outline_add(&made, start.x, start.y, arc.bulge, err))
            goto fail;
    }
    if (edges > 0) {
        const struct rab_point end = point_along(arc.b, offset, arc.tb);
        if (!rab_outline_add(&made, end.x, end.y, 0, err))
            goto fail;
    }
    *out = made;
    return true;
fail:
    rab_outline_clear(&made);
    return false;
}
