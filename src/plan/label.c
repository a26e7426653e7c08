#include "outline/arc.h"
#include "rabbet/plan.h"

#include <math.h>

enum { SAMPLES = 6 }; /* places looked at along each edge */
/* Free paper around the letters, as a share of their height. */
static const double rim = 0.25;

static double edge_distance(const struct rab_region *region, struct rab_point at)
{
    double least = HUGE_VAL;

    for (size_t i = 0; i < region->count; i++)
        least = fmin(least, rab_outline_distance(&region->outlines[i], at, NULL));
    return least;
}

/* From an edge inwards as long as that edge is the nearest: the middle between it and what lies
 * opposite. The room there is *room. */
static struct rab_point go_inwards(const struct rab_region *region, struct rab_point from,
                                   struct rab_point inwards, double most, double *room)
{
    double low = 0, high = most;

    for (int i = 0; i < 24; i++) {
        const double middle = (low + high) / 2;
        if (edge_distance(region, point_along(from, middle, inwards)) >= middle * (1 - 1e-9))
            low = middle;
        else
            high = middle;
    }
    *room = low;
    return point_along(from, low, inwards);
}

/* Half of the diagonal of the words' field with its rim, for letters of height 1. */
static double half_diagonal(const char *words)
{
    return hypot(rab_letters_width(words, 1) + 2 * rim, 1 + 2 * rim) / 2;
}

bool rab_label_place(const struct rab_region *within, const char *words, double most, double least,
                     struct rab_lines *out, bool *placed, struct rab_error *err)
{
    const double reach = half_diagonal(words);
    struct rab_point best = {0, 0};
    double room = 0;

    *placed = false;
    /* the widest place is wide enough when it takes the largest letters */
    for (size_t i = 0; i < within->count && room < most * reach; i++) {
        const struct rab_outline *outline = &within->outlines[i];
        for (size_t e = 0; e < arc_count(outline) && room < most * reach; e++) {
            const struct arc arc = arc_of(outline, e);
            for (int s = 1; s <= SAMPLES; s++) {
                struct rab_point tangent;
                double found;
                const struct rab_point on = arc_at(&arc, (s - 0.5) / SAMPLES, &tangent);
                const struct rab_point at =
                    go_inwards(within, on, point_left(tangent), most * reach, &found);
                if (found > room + 1e-9) {
                    room = found;
                    best = at;
                }
            }
        }
    }
    const double height = fmin(most, room / reach);
    if (height < least)
        return true;
    const struct rab_point corner = {best.x - rab_letters_width(words, height) / 2,
                                     best.y - height / 2};
    if (!rab_letters_draw(words, corner, height, out, err))
        return false;
    *placed = true;
    return true;
}
