/* Lack of memory at each allocation in turn, of rabbet's own: every function reports it, leaks
 * nothing and leaves what it was given as it was. */
#include "rabbet/write.h"
#include "scarce.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <stdlib.h>
#include <string.h>

typedef bool operation(struct rab_error *err);

static void expect_memory_errors(operation *run, size_t least)
{
    for (size_t granted = 0;; granted++) {
        struct rab_error err = {0};
        bool ok, refused;

        cr_assert(granted < 10000);
        scarce_begin(granted);
        ok = run(&err);
        refused = scarce_end();
        cr_assert(scarce_held() == 0, "%ld allocations are left after %zu", scarce_held(), granted);
        if (!refused) {
            cr_assert(ok, "%s", err.text);
            cr_expect(granted >= least, "only %zu allocations", granted);
            return;
        }
        cr_assert(not(ok), "allocation %zu refused, and nobody noticed", granted);
        cr_assert(err.fault == RAB_FAULT_MEMORY, "%s", err.text);
    }
}

/* A frame with two openings. */
static bool make_region(struct rab_outline outlines[3], size_t parents[3], struct rab_error *err)
{
    for (size_t i = 0; i < 3; i++)
        parents[i] = i == 0 ? RAB_NO_PARENT : 0;
    return rab_outline_rectangle((struct rab_box){0, 0, 80, 60}, 3, &outlines[0], err) &&
           rab_outline_circle((struct rab_point){20, 30}, 10, &outlines[1], err) &&
           rab_outline_rectangle((struct rab_box){40, 10, 70, 50}, 9, &outlines[2], err);
}

static void clear_region(struct rab_outline outlines[3])
{
    for (size_t i = 0; i < 3; i++)
        rab_outline_clear(&outlines[i]);
}

static bool fill_sheet(struct rab_sheet *sheet, struct rab_error *err)
{
    struct rab_outline outlines[3] = {0};
    size_t parents[3];
    const struct rab_region region = {outlines, parents, 3};
    bool ok = make_region(outlines, parents, err);

    sheet->width = 80, sheet->height = 60;
    for (int i = 0; ok && i < 5; i++) {
        const size_t before = sheet->count;
        ok = rab_sheet_add_region(sheet, RAB_CUT, 1, &region, err);
        cr_assert(eq(sz, sheet->count, ok ? before + 3 : before));
    }
    clear_region(outlines);
    return ok;
}

static bool write_sheet(struct rab_error *err)
{
    struct rab_sheet sheet = {.title = "Scarce"};
    struct rab_text svg = {0}, dxf = {0};
    const struct rab_write_options lines = {.curves = RAB_CURVES_LINES};
    bool ok = fill_sheet(&sheet, err) && rab_write_svg(&sheet, NULL, &svg, err) &&
              rab_write_svg(&sheet, &lines, &svg, err) && rab_write_dxf(&sheet, NULL, &dxf, err);

    rab_text_clear(&svg);
    rab_text_clear(&dxf);
    rab_sheet_clear(&sheet);
    return ok;
}

static bool fill_picture(struct rab_picture *picture, struct rab_error *err)
{
    struct rab_outline outlines[3] = {0};
    size_t parents[3];
    const struct rab_region region = {outlines, parents, 3};
    bool ok = make_region(outlines, parents, err);

    for (int i = 0; ok && i < 4; i++)
        ok = rab_picture_paper(picture, &region, rab_paper_colour(0), "frame", err) &&
             rab_picture_line(picture, &outlines[1], RAB_LINE_HIDDEN, "hidden", err) &&
             rab_picture_number(picture, &region, "1", err) &&
             rab_picture_number_in(picture, &outlines[2], "2", err) &&
             rab_picture_mark(picture, (struct rab_point){5, 5}, "0.8 mm", "narrow", err);
    clear_region(outlines);
    return ok;
}

static bool draw_picture(struct rab_error *err)
{
    struct rab_picture picture = {.title = "Scarce", .note = "note"};
    struct rab_text png = {0};
    bool ok = fill_picture(&picture, err) && rab_picture_png(&picture, 40, &png, err);

    rab_text_clear(&png);
    rab_picture_clear(&picture);
    return ok;
}

Test(write_scarcity, sheets_and_files)
{
    expect_memory_errors(write_sheet, 40);
}

Test(write_scarcity, pictures)
{
    expect_memory_errors(draw_picture, 60);
}
