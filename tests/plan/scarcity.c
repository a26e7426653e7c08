/* Lack of memory at each allocation in turn is reported, and nothing leaks. */
#include "plans.h"
#include "scarce.h"

static void walk_out(double cool)
{
    struct sheet sheet = make_sheet(3, 2, 2);
    const struct rab_plan_options options = {.kerf = 0.2,
                                             .tabs = 3,
                                             .tab_width = 0.5,
                                             .overcut = 0.5,
                                             .perforation_cut = 3,
                                             .perforation_gap = 1,
                                             .crease_dash = 4,
                                             .crease_gap = 2,
                                             .cool = cool};

    sheet_add(&sheet, RAB_PERFORATE, 1, line(5, 5, 25, 5));
    sheet_add(&sheet, RAB_CREASE, 1, line(2, 5, 8, 5));
    sheet_add(&sheet, RAB_CREASE, 1, line(4, 5, 18, 5));
    for (size_t granted = 0;; granted++) {
        struct rab_plan plan = {0};
        struct rab_error err = {0};

        cr_assert(granted < 100000);
        scarce_begin(granted);
        double bound;
        const bool ok = rab_plan_make(sheet.paths, sheet.count, &options, &plan, NULL, &err) &&
                        rab_plan_bound(&plan, options.home, &bound, &err);
        rab_plan_clear(&plan);
        const bool refused = scarce_end();
        cr_assert(scarce_held() == 0, "%ld allocations are left after %zu", scarce_held(), granted);
        if (!refused) {
            cr_assert(ok, "%s", err.text);
            break;
        }
        cr_assert(not(ok), "allocation %zu refused, and nobody noticed", granted);
        cr_assert(err.fault == RAB_FAULT_MEMORY, "%s", err.text);
    }
    sheet_clear(&sheet);
}

Test(scarcity, plan, .timeout = 100)
{
    walk_out(0);
    walk_out(20);
}

static bool look_and_letter(const struct sheet *sheet, struct rab_error *err)
{
    const struct rab_look_options options = {0};
    struct rab_troubles troubles = {0};
    struct rab_lines lines = {0};
    struct rab_outline blade = {0};
    const bool ok = rab_plan_look(sheet->paths, sheet->count, &options, &troubles, err) &&
                    rab_letters_draw("A8", (struct rab_point){0, 0}, 5, &lines, err) &&
                    rab_plan_blade(&sheet->paths[0].outline, 0.5, &blade, err);

    rab_troubles_clear(&troubles);
    rab_lines_clear(&lines);
    rab_outline_clear(&blade);
    return ok;
}

Test(scarcity, look, .timeout = 100)
{
    struct sheet sheet = make_sheet(3, 2, 1);

    sheet_add(&sheet, RAB_CUT, 9, rectangle(31, 0, 5, 30));
    sheet_add(&sheet, RAB_CUT, 9, line(0, 70, 10, 70));
    sheet_add(&sheet, RAB_CUT, 9, line(5, 70, 20, 70));
    for (size_t granted = 0;; granted++) {
        struct rab_error err = {0};

        cr_assert(granted < 100000);
        scarce_begin(granted);
        const bool ok = look_and_letter(&sheet, &err);
        const bool refused = scarce_end();
        cr_assert(scarce_held() == 0, "%ld allocations are left after %zu", scarce_held(), granted);
        if (!refused) {
            cr_assert(ok, "%s", err.text);
            break;
        }
        cr_assert(not(ok), "allocation %zu refused, and nobody noticed", granted);
        cr_assert(err.fault == RAB_FAULT_MEMORY, "%s", err.text);
    }
    sheet_clear(&sheet);
}
