/* What becomes of single lines: kerf, shared lines, tabs, overcut, perforations, dashed creases. */
#include "plans.h"

#include <string.h>

static void expect_refused(const struct sheet *sheet, const struct rab_plan_options *options,
                           enum rab_fault fault, const char *words)
{
    struct rab_plan plan = {0};
    struct rab_error err = {0};

    cr_assert(not(rab_plan_make(sheet->paths, sheet->count, options, &plan, NULL, &err)));
    cr_expect(err.fault == fault);
    cr_expect(strstr(err.text, words) != NULL, "\"%s\" is not in \"%s\"", words, err.text);
}

/* ---- kerf ------------------------------------------------------------------------------ */

/* Source: a laser service's help page (2.0 x 4.0 drawn, kerf 0.2: the hole comes out 2.2 x 4.2, the
 * piece 1.8 x 3.8), turned round: to come out as drawn, the hole's path is 1.8 x 3.8 and the
 * piece's 2.2 x 4.2. */
Test(kerf, rectangles_as_the_service_says)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.kerf = 0.2};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(10, 10, 20, 20));
    sheet_add(&sheet, RAB_CUT, 1, reversed(rectangle(12, 12, 2, 4)));
    sheet_add(&sheet, RAB_CUT, 2, rectangle(40, 10, 2, 4));
    struct rab_plan plan = plan_of(&sheet, &options);
    for (size_t i = 0; i < plan.count; i++) {
        const struct rab_box box = rab_outline_box(&plan.paths[i].outline);
        const double width = box.x1 - box.x0, height = box.y1 - box.y0;
        if (plan.paths[i].piece == 2) {
            cr_expect(all(epsilon_eq(dbl, width, 2.2, 1e-9), epsilon_eq(dbl, height, 4.2, 1e-9)));
        } else if (rab_outline_area(&plan.paths[i].outline) < 0) {
            cr_expect(all(epsilon_eq(dbl, width, 1.8, 1e-9), epsilon_eq(dbl, height, 3.8, 1e-9)));
        } else {
            cr_expect(all(epsilon_eq(dbl, width, 20.2, 1e-9), epsilon_eq(dbl, height, 20.2, 1e-9)));
        }
    }
    cr_expect(plan.count == 3);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* Elementary: a disc of 25.4 mm and a hole of 25.4 mm, kerf 0.15: paths of 25.55 and 25.25 mm, and
 * circles still. */
Test(kerf, circles_stay_circles)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.kerf = 0.15};

    sheet_add(&sheet, RAB_CUT, 1, disc(50, 50, 12.7));
    sheet_add(&sheet, RAB_CUT, 2, rectangle(100, 20, 60, 60));
    sheet_add(&sheet, RAB_CUT, 2, reversed(disc(130, 50, 12.7)));
    struct rab_plan plan = plan_of(&sheet, &options);
    int circles = 0;
    for (size_t i = 0; i < plan.count; i++) {
        const struct rab_outline *o = &plan.paths[i].outline;
        if (o->count != 2)
            continue;
        const struct rab_box box = rab_outline_box(o);
        cr_expect(fabs(o->vertices[0].bulge) == 1 && fabs(o->vertices[1].bulge) == 1);
        cr_expect(epsilon_eq(dbl, box.x1 - box.x0, rab_outline_area(o) > 0 ? 25.55 : 25.25, 1e-9));
        circles++;
    }
    cr_expect(circles == 2);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

Test(kerf, what_cannot_be_cut_is_named)
{
    struct sheet sheet = {0};
    struct rab_plan_options options = {.kerf = 0.5};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 30, 30));
    sheet_add(&sheet, RAB_CUT, 1, reversed(disc(12, 17, 0.2)));
    expect_refused(&sheet, &options, RAB_FAULT_GEOMETRY, "opening of 0.4 x 0.4 mm");
    expect_refused(&sheet, &options, RAB_FAULT_GEOMETRY, "12, 17");
    sheet_clear(&sheet);

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 30, 30));
    sheet_add(&sheet, RAB_CUT, 2, rectangle(30.3, 0, 30, 30));
    expect_refused(&sheet, &options, RAB_FAULT_GEOMETRY, "pieces 1 and 2 lie 0.3 mm apart");
    options.kerf = 0.3;
    struct rab_plan plan = plan_of(&sheet, &options);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* Of one piece (or none) too, where nothing lies between: islands, and what lies in an opening. A
 * web keeps its width, however narrow: its cuts move apart. */
Test(kerf, outlines_of_one_piece_do_not_cut_into_each_other)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.kerf = 0.2};

    sheet_add(&sheet, RAB_CUT, 0, rectangle(0, 0, 30, 30));
    sheet_add(&sheet, RAB_CUT, 0, rectangle(30.1, 0, 30, 30));
    expect_refused(&sheet, &options, RAB_FAULT_GEOMETRY, "two outlines lie 0.1 mm apart at 30");
    sheet_clear(&sheet);

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 60, 30));
    sheet_add(&sheet, RAB_CUT, 1, reversed(disc(15, 15, 10)));
    sheet_add(&sheet, RAB_CUT, 1, disc(15, 15, 9.9));
    expect_refused(&sheet, &options, RAB_FAULT_GEOMETRY, "two outlines lie 0.1 mm apart");
    sheet_clear(&sheet);

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 60, 30));
    sheet_add(&sheet, RAB_CUT, 1, reversed(disc(15, 15, 14.95)));
    sheet_add(&sheet, RAB_CUT, 1, reversed(disc(45, 15, 14.95)));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(plan.count == 3);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* ---- shared lines ---------------------------------------------------------------------- */

/* Two squares side by side share a side: 7 sides in place of 8. */
Test(shared, common_side_is_cut_once)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {0};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 20, 20));
    sheet_add(&sheet, RAB_CUT, 2, rectangle(20, 0, 20, 20));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(epsilon_eq(dbl, plan.length, 140, 1e-9));
    cr_expect(plan.shared == 1);
    cr_expect(epsilon_eq(dbl, plan.shared_length, 20, 1e-9));
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* The same, one kerf apart: the round corners of the kerf are no longer than a quarter circle
 * each. */
Test(shared, sides_one_kerf_apart_become_one_line)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.kerf = 0.2};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 20, 20));
    sheet_add(&sheet, RAB_CUT, 2, rectangle(20.2, 0, 20, 20));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(plan.shared == 1);
    cr_expect(epsilon_eq(dbl, plan.shared_length, 20, 1e-6));
    cr_expect(epsilon_eq(dbl, plan.length, 140 + 2 * 2 * RAB_PI * 0.1, 1e-6));
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* Partly: a side of 20 along the middle of a side of 60; and a whole outline drawn twice; and a
 * circle again, begun elsewhere. */
Test(shared, parts_and_repetitions)
{
    struct sheet sheet = {0};
    struct rab_outline circle = {0};
    const struct rab_plan_options options = {0};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 60, 20));
    sheet_add(&sheet, RAB_CUT, 2, rectangle(20, 20, 20, 20));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(epsilon_eq(dbl, plan.length, 160 + 60, 1e-9));
    rab_plan_clear(&plan);
    sheet_clear(&sheet);

    sheet_add(&sheet, RAB_CUT, 1, disc(30, 30, 10));
    cr_assert(rab_outline_add(&circle, 30, 20, 1, NULL) &&
              rab_outline_add(&circle, 30, 40, 1, NULL));
    sheet_add(&sheet, RAB_CUT, 2, circle);
    sheet_add(&sheet, RAB_CUT, 3, rectangle(60, 0, 10, 10));
    sheet_add(&sheet, RAB_CUT, 4, rectangle(60, 0, 10, 10));
    plan = plan_of(&sheet, &options);
    cr_expect(epsilon_eq(dbl, plan.length, 20 * RAB_PI + 40, 1e-6));
    cr_expect(plan.count == 2 && plan.shared == 2);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* A crease along a cut is no repetition: they are different operations. */
Test(shared, operations_do_not_share)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {0};

    sheet_add(&sheet, RAB_CUT, 1, line(0, 0, 50, 0));
    sheet_add(&sheet, RAB_CREASE, 1, line(0, 0, 50, 0));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(plan.count == 2 && plan.shared == 0);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* ---- tabs ------------------------------------------------------------------------------ */

static double least_corner_distance(const struct rab_outline *outline, struct rab_point p)
{
    double least = HUGE_VAL;

    for (size_t i = 0; i < outline->count; i++)
        least = fmin(least, hypot(p.x - outline->vertices[i].x, p.y - outline->vertices[i].y));
    return least;
}

/* Each gap is as wide as asked, none is at a corner, and the rest of the outline is cut. */
Test(tabs, gaps_lie_between_corners)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.tabs = 4, .tab_width = 1.5};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(10, 10, 40, 30));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_assert(plan.count == 4 && plan.tabs == 4);
    cr_expect(epsilon_eq(dbl, plan.length, 140 - 4 * 1.5, 1e-9));
    for (size_t i = 0; i < plan.count; i++) {
        const struct rab_outline *o = &plan.paths[i].outline;
        cr_expect(o->open);
        const struct rab_vertex a = o->vertices[0], b = o->vertices[o->count - 1];
        cr_expect(least_corner_distance(&sheet.paths[0].outline, (struct rab_point){a.x, a.y}) >
                  1.4);
        cr_expect(least_corner_distance(&sheet.paths[0].outline, (struct rab_point){b.x, b.y}) >
                  1.4);
    }
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* On a circle arcs stay arcs, and the gap is 2 mm of arc; openings get no tabs. */
Test(tabs, circle_keeps_its_arcs)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.tab_every = 50, .tab_width = 2};

    sheet_add(&sheet, RAB_CUT, 1, disc(50, 50, 30));
    sheet_add(&sheet, RAB_CUT, 1, reversed(disc(50, 50, 10)));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(plan.tabs == 4); /* 188.5 / 50, rounded up */
    cr_expect(epsilon_eq(dbl, plan.length, 60 * RAB_PI - 4 * 2 + 20 * RAB_PI, 1e-9));
    for (size_t i = 0; i < plan.count; i++)
        for (size_t k = 0; k + 1 < plan.paths[i].outline.count; k++)
            cr_expect(plan.paths[i].outline.vertices[k].bulge != 0);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

Test(tabs, no_place_is_told)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.tabs = 2, .tab_width = 2};
    struct rab_plan plan = {0};
    struct rab_warnings notes = {0};

    sheet_add(&sheet, RAB_CUT, 7, disc(10, 10, 3));
    cr_assert(rab_plan_make(sheet.paths, sheet.count, &options, &plan, &notes, NULL));
    cr_expect(plan.tabs == 0 && plan.count == 1 && notes.count == 1);
    cr_expect(strcmp(notes.items[0].code, "no-tab") == 0);
    rab_warnings_clear(&notes);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* ---- overcut and dashes ---------------------------------------------------------------- */

Test(overcut, goes_on_past_the_start)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.overcut = 1};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 20, 10));
    sheet_add(&sheet, RAB_DRAW, 1, rectangle(2, 2, 16, 6));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(epsilon_eq(dbl, plan.length, 61 + 44, 1e-9));
    const struct rab_outline *cut = &plan.paths[1].outline;
    cr_expect(cut->open);
    const struct rab_vertex a = cut->vertices[0], b = cut->vertices[cut->count - 1];
    cr_expect(epsilon_eq(dbl, hypot(a.x - b.x, a.y - b.y), 1, 1e-9));
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* 100 mm, cuts of 3 and gaps of 1: 25 repeats and one gap less is 99, so 25 cuts of 3 and a bit.
 * Both ends are cut. */
Test(perforations, are_fitted_whole)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.perforation_cut = 3, .perforation_gap = 1};

    sheet_add(&sheet, RAB_PERFORATE, 1, line(0, 5, 100, 5));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_assert(plan.count == 25);
    double least = HUGE_VAL, most = 0;
    for (size_t i = 0; i < plan.count; i++) {
        cr_expect(
            epsilon_eq(dbl, rab_outline_perimeter(&plan.paths[i].outline), 3 * 100 / 99.0, 1e-9));
        for (size_t k = 0; k < 2; k++) {
            least = fmin(least, plan.paths[i].outline.vertices[k].x);
            most = fmax(most, plan.paths[i].outline.vertices[k].x);
        }
    }
    cr_expect(all(epsilon_eq(dbl, least, 0, 1e-9), epsilon_eq(dbl, most, 100, 1e-9)));
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* Worked by hand: 17 dashes of 4 and 16 gaps of 2 are 100 mm; a circle of 120 mm has 20 of each.
 * Dashes begin and end with the line, arcs stay arcs; what is no crease stays whole. */
Test(creases, are_dashed_whole)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.crease_dash = 4, .crease_gap = 2};
    size_t straight = 0, round = 0;

    sheet_add(&sheet, RAB_CREASE, 1, line(0, 5, 100, 5));
    sheet_add(&sheet, RAB_CREASE, 2, disc(50, 50, 60 / RAB_PI));
    sheet_add(&sheet, RAB_CUT, 3, line(0, 0, 100, 0));
    sheet_add(&sheet, RAB_PERFORATE, 4, line(0, 2, 100, 2));
    struct rab_plan plan = plan_of(&sheet, &options);
    for (size_t i = 0; i < plan.count; i++) {
        const struct rab_outline *o = &plan.paths[i].outline;
        const double length = rab_outline_perimeter(o);
        cr_expect(epsilon_eq(dbl, length, plan.paths[i].piece > 2 ? 100 : 4, 1e-9));
        if (plan.paths[i].piece == 1) {
            const double from = fmin(o->vertices[0].x, o->vertices[1].x);
            straight++;
            cr_expect(epsilon_eq(dbl, remainder(from, 6), 0, 1e-9));
        } else if (plan.paths[i].piece == 2) {
            round++;
            cr_expect(o->vertices[0].bulge != 0);
        }
    }
    cr_expect(straight == 17 && round == 20 && plan.count == 17 + 20 + 2);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* Shorter than a dash: a whole one. */
Test(creases, short_ones_are_one_dash)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.crease_dash = 4, .crease_gap = 2};

    sheet_add(&sheet, RAB_CREASE, 1, line(0, 0, 3, 0));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(plan.count == 1);
    cr_expect(epsilon_eq(dbl, plan.length, 3, 1e-9));
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

Test(options, what_is_out_of_range_is_refused)
{
    struct sheet sheet = {0};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 20, 10));
    expect_refused(&sheet, &(struct rab_plan_options){.kerf = -1}, RAB_FAULT_INPUT, "kerf");
    expect_refused(&sheet, &(struct rab_plan_options){.kerf = NAN}, RAB_FAULT_INPUT, "kerf");
    expect_refused(&sheet, &(struct rab_plan_options){.kerf = 6}, RAB_FAULT_INPUT, "kerf");
    expect_refused(&sheet, &(struct rab_plan_options){.tabs = 3}, RAB_FAULT_INPUT, "width");
    expect_refused(&sheet, &(struct rab_plan_options){.tab_every = 5, .tab_width = 1},
                   RAB_FAULT_INPUT, "too near");
    expect_refused(&sheet, &(struct rab_plan_options){.perforation_cut = 3}, RAB_FAULT_INPUT,
                   "gaps");
    expect_refused(&sheet, &(struct rab_plan_options){.crease_gap = 3}, RAB_FAULT_INPUT, "dashes");
    expect_refused(&sheet, &(struct rab_plan_options){.cool = -1}, RAB_FAULT_INPUT, "cool");
    expect_refused(&sheet, &(struct rab_plan_options){.cool = NAN}, RAB_FAULT_INPUT, "cool");
    sheet_clear(&sheet);
}
