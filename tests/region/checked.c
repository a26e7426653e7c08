#include "checked.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>

/* Lengths in these tests are about 100 mm, so an area to 1e-6 mm2 means edges to 1e-8 mm. */
static const double close_to = 1e-6;

/* The room may move a point by RAB_SAME_POINT, and by ten times that when it tries again. */
static const struct probe_rule probes = {
    .skip = 3e-6, .step = 1e-5, .at_most = 400, .numbers = {20240612}};

static void judge(const struct rab_region *result, bool made, const struct rab_error *err)
{
    struct rab_error found = {0};
    cr_assert(made, "refused: %s", err->text);
    cr_expect(rab_region_check(result, &found), "%s", found.text);
    const char *fault = region_fault(result);
    cr_expect_null(fault, "%s", fault ? fault : "");
}

static void probed(bool right, const struct probe_fault *fault)
{
    cr_expect(right, "at %.9f, %.9f: %s", fault->at.x, fault->at.y, fault->text);
}

struct rab_region filled(struct shapes *list, enum rab_fill rule)
{
    struct rab_region region = {0};
    struct rab_error err = {0};
    struct probe_fault fault = {0};
    judge(&region, rab_region_fill(list->items, list->count, rule, &region, &err), &err);
    probed(probe_fill(list->items, list->count, rule, &region, probes, &fault), &fault);
    shapes_clear(list);
    return region;
}

static struct rab_region grown_joined(const struct rab_region *in, double distance,
                                      enum rab_join join, double limit)
{
    struct rab_region region = {0};
    struct rab_error err = {0};
    struct probe_fault fault = {0};
    judge(&region, rab_region_grow(in, distance, join, limit, &region, &err), &err);
    probed(probe_grow(in, distance, join, limit, &region, probes, &fault), &fault);
    return region;
}

struct rab_region grown(const struct rab_region *in, double distance)
{
    return grown_joined(in, distance, RAB_JOIN_ROUND, 0);
}

struct rab_region mitred(const struct rab_region *in, double distance, double limit)
{
    return grown_joined(in, distance, RAB_JOIN_MITRE, limit);
}

struct rab_region combined(const struct rab_region *a, const struct rab_region *b,
                           enum rab_combine how)
{
    struct rab_region region = {0};
    struct rab_error err = {0};
    struct probe_fault fault = {0};
    judge(&region, rab_region_combine(a, b, how, &region, &err), &err);
    probed(probe_combine(a, b, how, &region, probes, &fault), &fault);
    return region;
}

void expect_measures(const struct rab_region *region, double area, double perimeter)
{
    cr_expect(epsilon_eq(dbl, rab_region_area(region), area, close_to));
    cr_expect(epsilon_eq(dbl, rab_region_perimeter(region), perimeter, close_to));
}

void expect_count(const struct rab_region *region, size_t outlines, size_t vertices)
{
    cr_expect(eq(sz, region->count, outlines));
    cr_expect(eq(sz, rab_region_vertices(region), vertices));
    cr_expect(eq(sz, region_spare_vertices(region), 0));
}

size_t arc_vertices(double angle)
{
    return angle > RAB_PI * (1 + 1e-9) ? 2 : 1;
}

void expect_area(const struct rab_region *region, double area, double within)
{
    cr_expect(epsilon_eq(dbl, rab_region_area(region), area, within));
}

void expect_empty(const struct rab_region *region)
{
    cr_expect(eq(sz, region->count, 0));
}
