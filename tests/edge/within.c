/* Paths are cut off where the paper ends: by lengths worked out by hand. */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>

#include "edge/finish.h"

/* A square of 100 with a round opening of radius 20 about its middle. */
static struct rab_region paper(void)
{
    struct rab_outline outlines[2] = {{0}};
    struct rab_region region = {0};
    struct rab_error err = {0};
    cr_assert(rab_outline_rectangle((struct rab_box){0, 0, 100, 100}, 0, &outlines[0], &err));
    cr_assert(rab_outline_circle((struct rab_point){50, 50}, 20, &outlines[1], &err));
    cr_assert(rab_region_fill(outlines, 2, RAB_FILL_EVENODD, &region, &err), "%s", err.text);
    rab_outline_clear(&outlines[0]);
    rab_outline_clear(&outlines[1]);
    return region;
}

static struct ornaments cut(const struct rab_vertex *vertices, size_t count, bool open)
{
    struct rab_region region = paper();
    struct ornaments paths = {0};
    struct rab_outline line = {.open = open};
    struct rab_error err = {0};
    for (size_t i = 0; i < count; i++)
        cr_assert(rab_outline_add(&line, vertices[i].x, vertices[i].y, vertices[i].bulge, &err));
    cr_assert(ornaments_take(&paths, &line, (struct mark){0, 0}, 0, RAB_CREASE, &err));
    cr_assert(paths_within(&paths, &region, &err), "%s", err.text);
    rab_region_clear(&region);
    return paths;
}

static double length_of_all(const struct ornaments *paths)
{
    double length = 0;
    for (size_t i = 0; i < paths->count; i++) {
        cr_expect_eq(paths->items[i].operation, RAB_CREASE);
        length += rab_outline_perimeter(&paths->items[i].outline);
    }
    return length;
}

static void expect_parts(const struct rab_vertex *vertices, size_t count, bool open, size_t parts,
                         double length)
{
    struct ornaments paths = cut(vertices, count, open);
    cr_expect_eq(paths.count, parts, "%zu parts, should be %zu", paths.count, parts);
    cr_expect(fabs(length_of_all(&paths) - length) < 1e-9, "length %.12g, should be %.12g",
              length_of_all(&paths), length);
    ornaments_clear(&paths);
}

Test(edge_within, lines)
{
    /* Across everything: on both sides of the opening. */
    expect_parts((const struct rab_vertex[]){{-10, 50, 0}, {110, 50, 0}}, 2, true, 2, 60);
    /* The chord of the opening at a third of the way: 100 - 2 sqrt(20^2 - 10^2). */
    expect_parts((const struct rab_vertex[]){{-10, 60, 0}, {110, 60, 0}}, 2, true, 2,
                 100 - 2 * sqrt(300));
    /* It only touches the opening; it runs along an edge; it lies within, beside, in the opening.
     */
    expect_parts((const struct rab_vertex[]){{10, 70, 0}, {90, 70, 0}}, 2, true, 1, 80);
    expect_parts((const struct rab_vertex[]){{-5, 100, 0}, {105, 100, 0}}, 2, true, 1, 100);
    expect_parts((const struct rab_vertex[]){{10, 10, 0}, {10, 20, 0}, {15, 20, 0}}, 3, true, 1,
                 15);
    expect_parts((const struct rab_vertex[]){{-10, 10, 0}, {-1, 20, 0}}, 2, true, 0, 0);
    expect_parts((const struct rab_vertex[]){{40, 50, 0}, {60, 50, 0}}, 2, true, 0, 0);
    /* From edge to edge nothing is cut; a remnant that cannot be seen goes. */
    expect_parts((const struct rab_vertex[]){{0, 10, 0}, {100, 10, 0}}, 2, true, 1, 100);
    expect_parts((const struct rab_vertex[]){{-10, 0.01, 0}, {0.01, 0.01, 0}}, 2, true, 0, 0);
}

Test(edge_within, arcs)
{
    /* A half circle of radius 30 about the corner 0,0, from above to below: a quarter is left. */
    expect_parts((const struct rab_vertex[]){{0, 30, -1}, {0, -30, 0}}, 2, true, 1, 15 * RAB_PI);
    /* A circle of radius 60 about the middle, as two half ones: the corners keep four parts, each
     * of 90 deg less 2 acos(50/60). */
    expect_parts((const struct rab_vertex[]){{-10, 50, 1}, {110, 50, 1}}, 2, false, 4,
                 4 * 60 * (RAB_PI / 2 - 2 * acos(50.0 / 60)));
    /* Three quarters of the circle of radius 30 as one arc: all of it lies on paper. */
    expect_parts((const struct rab_vertex[]){{80, 50, tan(3 * RAB_PI / 8)}, {50, 20, 0}}, 2, true,
                 1, 45 * RAB_PI);
    /* The same of radius 10 about 10,80: it touches the left edge, and nothing is cut. */
    expect_parts((const struct rab_vertex[]){{10, 90, tan(3 * RAB_PI / 8)}, {20, 80, 0}}, 2, true,
                 1, 15 * RAB_PI);
}

Test(edge_within, closed_lines_stay_closed)
{
    struct ornaments paths = cut((const struct rab_vertex[]){{20, 50, 1}, {80, 50, 1}}, 2, false);
    cr_assert_eq(paths.count, 1);
    cr_expect(not(paths.items[0].outline.open));
    cr_expect(fabs(length_of_all(&paths) - 60 * RAB_PI) < 1e-9);
    ornaments_clear(&paths);
}
