/* Lack of memory at each allocation in turn: it is reported, nothing leaks, and what was to be made
 * is left as it was. */
#include "rabbet/outline.h"
#include "scarce.h"

#include <criterion/criterion.h>
#include <math.h>

static bool try_fit(struct rab_outline *out, struct rab_error *err)
{
    /* Lines, arcs, a run with corners at both ends, one between lines, and an ellipse. */
    const struct rab_curve curves[] = {
        {RAB_CURVE_LINE, {{0, 0}, {30, 0}}, 0, 0},
        {RAB_CURVE_CUBIC, {{30, 0}, {32.761, 0}, {35, 2.239}, {35, 5}}, 0, 0},
        {RAB_CURVE_CUBIC, {{35, 5}, {35, 20}, {50, 22}, {30, 40}}, 0, 0},
        {RAB_CURVE_CUBIC, {{30, 40}, {25, 20}, {10, 50}, {0, 40}}, 0, 0},
        {RAB_CURVE_ELLIPSE, {{0, 30}, {0, 10}, {-7, 0}, {0, 0}}, 0, RAB_PI},
        {RAB_CURVE_LINE, {{0, 20}, {0, 0}}, 0, 0},
    };
    return rab_outline_fit(curves, sizeof curves / sizeof *curves, true, 0.001, out, err);
}

static bool try_copy(struct rab_outline *out, struct rab_error *err)
{
    struct rab_vertex vertices[3] = {{0, 0, 0}, {3, 0, 1}, {3, 3, 0}};
    const struct rab_outline in = {vertices, 3, 3, false};
    return rab_outline_copy(&in, out, err);
}

static bool try_circle(struct rab_outline *out, struct rab_error *err)
{
    return rab_outline_circle((struct rab_point){1, 2}, 3, out, err);
}

static bool try_rectangle(struct rab_outline *out, struct rab_error *err)
{
    return rab_outline_rectangle((struct rab_box){0, 0, 9, 5}, 1, out, err);
}

static bool try_gap(struct rab_outline *out, struct rab_error *err)
{
    struct rab_vertex a[3] = {{0, 0, 0}, {3, 0, 1}, {3, 3, 0}}, b[2] = {{9, 0, 1}, {12, 0, 1}};
    const struct rab_outline p = {a, 3, 3, false}, q = {b, 2, 2, false};
    double gap = -1;
    const bool ok = rab_outline_gap(&p, &q, &gap, NULL, NULL, err);
    cr_assert_eq(ok, gap >= 0);
    (void)out;
    return ok;
}

/* A circle of crumbs, with a long line from one half to the other. */
static bool try_refit(struct rab_outline *out, struct rab_error *err)
{
    struct rab_outline crumbs = {0};
    bool ok = true;

    for (int i = 0; i < 200 && ok; i++)
        ok = rab_outline_add(&crumbs, 2 * cos(RAB_PI * i / 200), 2 * sin(RAB_PI * i / 200), 0, err);
    ok = ok && rab_outline_refit(&crumbs, 0.1, 0.01, out, err);
    rab_outline_clear(&crumbs);
    return ok;
}

static void expect_memory_errors(bool (*run)(struct rab_outline *, struct rab_error *),
                                 size_t least)
{
    for (size_t granted = 0;; granted++) {
        struct rab_outline out = {0};
        struct rab_error err = {0};

        cr_assert_lt(granted, 10000);
        scarce_begin(granted);
        const bool ok = run(&out, &err);
        const bool refused = scarce_end();
        if (!ok) {
            cr_assert_null(out.vertices);
            cr_assert_eq(out.count, 0);
        }
        const bool empty = out.vertices == NULL;
        cr_assert_eq(scarce_held(), empty ? 0 : 1, "%ld allocations are left after %zu",
                     scarce_held(), granted);
        rab_outline_clear(&out);
        if (!refused) {
            cr_assert(ok, "%s", err.text);
            cr_expect_geq(granted, least, "only %zu allocations", granted);
            return;
        }
        cr_assert_not(ok, "allocation %zu refused, and nobody noticed", granted);
        cr_assert_eq(err.fault, RAB_FAULT_MEMORY, "%s", err.text);
    }
}

Test(outline_scarcity, making)
{
    expect_memory_errors(try_copy, 1);
    expect_memory_errors(try_circle, 1);
    expect_memory_errors(try_rectangle, 1);
}

Test(outline_scarcity, gap)
{
    expect_memory_errors(try_gap, 4);
}

Test(outline_scarcity, fit)
{
    expect_memory_errors(try_fit, 10);
}

Test(outline_scarcity, refit)
{
    expect_memory_errors(try_refit, 12);
}
