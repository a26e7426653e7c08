/* How the lines and arcs of an outline meet. */
#ifndef TESTS_SHAPE_JOINTS_H
#define TESTS_SHAPE_JOINTS_H

#include <math.h>
#include <rabbet/outline.h>

/* The direction at the start (0) or end (1) of the way from vertex i: the chord's, less or more
 * half of the arc's angle, which is 4 atan(bulge). */
static inline double joint_direction(const struct rab_outline *outline, size_t i, int end)
{
    const struct rab_vertex a = outline->vertices[i % outline->count];
    const struct rab_vertex b = outline->vertices[(i + 1) % outline->count];
    return atan2(b.y - a.y, b.x - a.x) + (end ? 2 : -2) * atan(a.bulge);
}

/* By how much the way turns at vertex i, counter-clockwise. */
static inline double joint_turn(const struct rab_outline *outline, size_t i)
{
    return remainder(joint_direction(outline, i + outline->count, 0) -
                         joint_direction(outline, i + outline->count - 1, 1),
                     2 * RAB_PI);
}

/* How many vertices are no corners (within 1e-7 rad: a rounding error of 1e-13 mm over a line or
 * arc of any size that matters). */
static inline size_t joints_smooth(const struct rab_outline *outline)
{
    size_t count = 0;
    for (size_t i = 0; i < outline->count; i++)
        count += fabs(joint_turn(outline, i)) < 1e-7;
    return count;
}

/* Of the way from vertex i; infinite for a line. */
static inline double joint_radius(const struct rab_outline *outline, size_t i)
{
    const struct rab_vertex a = outline->vertices[i],
                            b = outline->vertices[(i + 1) % outline->count];
    const double chord = hypot(b.x - a.x, b.y - a.y), bulge = fabs(a.bulge);
    return bulge > 0 ? chord * (1 + bulge * bulge) / (4 * bulge) : INFINITY;
}

static inline size_t joints_arcs_of(const struct rab_outline *outline, double radius)
{
    size_t count = 0;
    for (size_t i = 0; i < outline->count; i++)
        count += fabs(joint_radius(outline, i) - radius) < 1e-8 * radius;
    return count;
}

#endif
