/* Regions from any bytes: up to eight outlines of lines and arcs on a small grid, some moved off it
 * by a hair, so that edges meet, touch and nearly touch. Whatever comes back must pass the room's
 * check and the identities of sets; a refusal must be one of geometry, with a reason. */
#include "rabbet/region.h"

#include <math.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void insist(bool truth)
{
    if (!truth)
        abort();
}

struct bytes {
    const uint8_t *data;
    size_t left;
};

static unsigned next(struct bytes *bytes)
{
    if (bytes->left == 0)
        return 0;
    bytes->left--;
    return *bytes->data++;
}

/* Five bits of grid, three of a hair's breadth. */
static double coordinate(unsigned byte)
{
    static const double hairs[8] = {0, 0, 0, 0.5, 1e-9, -1e-7, 3e-7, 1e-4};
    return (double)(byte & 31) + hairs[byte >> 5];
}

static double bulge_of(unsigned byte)
{
    static const double bulges[16] = {0, 0, 0, 0,    0,     1,   -1,    0.41421356237309505,
                                      -0.41421356237309505, 0.2, -0.7,  1e-6, -1e-9,
                                      3,                    1e3, -1.0001};
    return byte < 128 ? bulges[byte & 15] : ((double)byte - 191.5) / 40;
}

/* Returns false when the bytes are used up. */
static bool read_outline(struct bytes *bytes, struct rab_outline *out)
{
    const unsigned count = next(bytes) % 12;
    for (unsigned i = 0; i < count && bytes->left > 0; i++) {
        const double x = coordinate(next(bytes)), y = coordinate(next(bytes));
        insist(rab_outline_add(out, x, y, bulge_of(next(bytes)), NULL));
    }
    return bytes->left > 0;
}

/* A result, checked; false when it was refused, which must have a reason. */
static bool good(bool made, const struct rab_region *region, struct rab_error *err)
{
    struct rab_error fault = {0};
    if (!made) {
        insist(err->fault == RAB_FAULT_GEOMETRY && err->text[0] != '\0');
        insist(region->count == 0 && region->outlines == NULL);
        *err = (struct rab_error){0};
        return false;
    }
    insist(rab_region_check(region, &fault));
    return true;
}

/* Retries join points within a hundred times RAB_SAME_POINT. */
static double slack(const struct rab_region *region)
{
    return 1e-9 + 1e-9 * rab_region_area(region) +
           100 * RAB_SAME_POINT * rab_region_perimeter(region);
}

static void check_combine(const struct rab_region *a, const struct rab_region *b)
{
    struct rab_region made[4] = {{0}};
    struct rab_error err = {0};
    bool all = true;
    for (int how = 0; how < 4; how++)
        all &= good(rab_region_combine(a, b, (enum rab_combine)how, &made[how], &err), &made[how],
                    &err);
    if (all) {
        const double within = slack(a) + slack(b);
        const double area_a = rab_region_area(a), area_b = rab_region_area(b);
        const double any = rab_region_area(&made[RAB_UNION]);
        const double both = rab_region_area(&made[RAB_INTERSECTION]);
        insist(fabs(any + both - area_a - area_b) <= within);
        insist(fabs(rab_region_area(&made[RAB_DIFFERENCE]) + both - area_a) <= within);
        insist(fabs(rab_region_area(&made[RAB_EXCLUSIVE]) + both - any) <= within);
    }
    for (int how = 0; how < 4; how++)
        rab_region_clear(&made[how]);
}

static void check_grow(const struct rab_region *in, double distance, enum rab_join join)
{
    struct rab_region made = {0}, back = {0}, lost = {0};
    struct rab_error err = {0};
    if (good(rab_region_grow(in, distance, join, 0, &made, &err), &made, &err)) {
        const double area = rab_region_area(in), grown = rab_region_area(&made);
        insist(distance > 0 ? grown >= area - slack(in) : grown <= area + slack(in));
        /* Closing holds all of it, opening nothing else (Serra 1982, from memory). */
        if (join == RAB_JOIN_ROUND &&
            good(rab_region_grow(&made, -distance, join, 0, &back, &err), &back, &err) &&
            good(distance > 0 ? rab_region_combine(in, &back, RAB_DIFFERENCE, &lost, &err)
                              : rab_region_combine(&back, in, RAB_DIFFERENCE, &lost, &err),
                 &lost, &err))
            insist(rab_region_area(&lost) <= slack(in) + slack(&made));
    }
    rab_region_clear(&made);
    rab_region_clear(&back);
    rab_region_clear(&lost);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const double distances[8] = {1, -1, 0.5, -2.5, 1e-7, -1e-3, 4, 1e-5};
    struct rab_outline outlines[8] = {{0}};
    struct rab_region a = {0}, b = {0};
    struct rab_error err = {0};
    struct bytes bytes = {data, size > 300 ? 300 : size};
    const unsigned first = next(&bytes), second = next(&bytes);
    const enum rab_fill rule = (enum rab_fill)(first % 3);
    size_t count = 0;

    while (count < 8 && read_outline(&bytes, &outlines[count++]))
        continue;
    const size_t half = (first & 4) ? count / 2 : count;
    if (good(rab_region_fill(outlines, half, rule, &a, &err), &a, &err)) {
        if (half < count) {
            if (good(rab_region_fill(outlines + half, count - half, rule, &b, &err), &b, &err))
                check_combine(&a, &b);
        } else {
            check_grow(&a, distances[second & 7], (second & 8) ? RAB_JOIN_MITRE : RAB_JOIN_ROUND);
        }
    }
    rab_region_clear(&a);
    rab_region_clear(&b);
    for (size_t i = 0; i < 8; i++)
        rab_outline_clear(&outlines[i]);
    return 0;
}
