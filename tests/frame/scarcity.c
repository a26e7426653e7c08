/* Lack of memory at each allocation in turn: it is reported, nothing leaks, and what was to be made
 * is left as it was. */
#include "frames.h"
#include "scarce.h"

#include <criterion/criterion.h>
#include <string.h>

static struct rab_region paper;
static struct rab_frame frame;

static void set_up(void)
{
    struct shapes list = {0};
    struct rab_error err = {0};

    add_rectangle(&list, 0, 0, 140, 100);
    add_circle(&list, 30, 60, 10);
    add_foil(&list, 4, 55, 60, 6, 5.5, 0.2);
    add_arch(&list, 68, 50, 20, 14);
    add_rectangle(&list, 100, 50, 110, 70);
    add_rectangle(&list, 110, 70, 120, 80); /* touches the one before */
    add_circle(&list, 30, 25, 6);
    add_circle(&list, 60, 25, 6);
    cr_assert(rab_region_fill(list.items, list.count, RAB_FILL_EVENODD, &paper, &err));
    cr_assert(rab_frame_from_region(&paper, &frame, NULL, &err));
    shapes_clear(&list);
}

static void tear_down(void)
{
    rab_frame_clear(&frame);
    rab_region_clear(&paper);
}

static bool find_openings(struct rab_error *err)
{
    struct rab_frame out = {0};
    struct rab_warnings notes = {0};
    const bool ok = rab_frame_from_region(&paper, &out, &notes, err);

    cr_assert(ok || (!out.openings && !out.parts && !out.paper.outlines));
    rab_frame_clear(&out);
    rab_warnings_clear(&notes);
    return ok;
}

static bool back_openings(struct rab_error *err)
{
    const int apart[] = {number_at(&frame, 30, 25), number_at(&frame, 60, 25)};
    const struct rab_numbers group = {apart, 2};
    const double circles[] = {26, 50};
    struct rab_backing_options options = rab_backing_options_usual();
    struct rab_backings out = {0};
    struct rab_warnings notes = {0};

    options.groups = &group;
    options.group_count = 1;
    options.form = RAB_FORM_SIMPLE;
    options.circles = circles;
    options.circle_count = 2;
    options.seam = 5;
    const bool ok = rab_frame_back(&frame, &options, &out, &notes, err);
    cr_assert(ok || !out.items);
    rab_backings_clear(&out);
    rab_warnings_clear(&notes);
    return ok;
}

static void expect_memory_errors(bool (*run)(struct rab_error *), size_t least)
{
    for (size_t granted = 0;; granted++) {
        struct rab_error err = {0};

        cr_assert_lt(granted, 100000);
        scarce_begin(granted);
        const bool ok = run(&err);
        const long held = scarce_held();
        const bool refused = scarce_end();

        cr_assert_eq(held, 0, "%ld blocks are left after %zu", held, granted);
        cr_assert(ok != refused, "%zu: %s", granted, err.text);
        if (ok) {
            cr_assert_geq(granted, least);
            return;
        }
        cr_assert_eq(err.fault, RAB_FAULT_MEMORY, "%zu: %s", granted, err.text);
    }
}

Test(frame_scarcity, openings, .init = set_up, .fini = tear_down)
{
    expect_memory_errors(find_openings, 20);
}
Test(frame_scarcity, backings, .init = set_up, .fini = tear_down)
{
    expect_memory_errors(back_openings, 500);
}
