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

/* A picture of 3 x 2 dots, which a reader that is not ours (Pillow 9.4) shows. */
static const unsigned char small_png[] = {
    0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, 0x00, 0x00, 0x00, 0x0D, 0x49, 0x48,
    0x44, 0x52, 0x00, 0x00, 0x00, 0x03, 0x00, 0x00, 0x00, 0x02, 0x08, 0x02, 0x00, 0x00,
    0x00, 0x12, 0x16, 0xF1, 0x4D, 0x00, 0x00, 0x00, 0x18, 0x49, 0x44, 0x41, 0x54, 0x78,
    0x9C, 0x63, 0xE4, 0x12, 0x91, 0xDB, 0xA7, 0xF1, 0x8D, 0x81, 0x81, 0x81, 0x09, 0x42,
    0x31, 0x30, 0x30, 0x00, 0x00, 0x2E, 0xB4, 0x03, 0xF8, 0xB1, 0x0B, 0x5C, 0xD9, 0x00,
    0x00, 0x00, 0x00, 0x49, 0x45, 0x4E, 0x44, 0xAE, 0x42, 0x60, 0x82};

static bool draw_view(struct rab_error *err)
{
    struct rab_outline outlines[3] = {0};
    size_t parents[3];
    const struct rab_region region = {outlines, parents, 3};
    const struct rab_words words = {
        .text = "one lamp", .font = "DejaVu Sans", .width = 40, .height = 20};
    struct rab_view pages[2] = {{.width = 80, .height = 60, .dpi = 40},
                                {.width = 70, .height = 50, .dpi = 40}};
    struct rab_text png = {0};
    bool ok = make_region(outlines, parents, err);

    for (int i = 0; ok && i < 2; i++)
        ok = rab_view_paper(&pages[i], &region, 0x808080, 1, err) &&
             rab_view_line(&pages[i], &outlines[1], RAB_CREASE, err) &&
             rab_view_photo(&pages[i], &region, 0x808080, "quay", 0, err) &&
             rab_view_image(&pages[i], &region, (struct rab_box){0, 0, 80, 60}, small_png,
                            sizeof small_png, 0, err) &&
             rab_view_words(&pages[i], &words, (struct rab_point){20, 20}, err);
    ok = ok && rab_view_png(pages, 2, &png, err);
    rab_text_clear(&png);
    rab_view_clear(&pages[0]);
    rab_view_clear(&pages[1]);
    clear_region(outlines);
    return ok;
}

static bool print_words(struct rab_error *err)
{
    const struct rab_words words = {
        .text = "one lamp\nfor each step", .width = 60, .height = 30, .strips = 10};
    struct rab_text pdf = {0}, png = {0};
    bool ok = rab_words_pdf(&words, "Scarce", &pdf, err) &&
              rab_words_png(&words, "Scarce", 40, &png, err);

    rab_text_clear(&pdf);
    rab_text_clear(&png);
    return ok;
}

static bool draw_page_plan(struct rab_error *err)
{
    struct rab_outline outlines[3] = {0};
    size_t parents[3];
    const struct rab_region region = {outlines, parents, 3};
    struct rab_page_plan plan = {.title = "Scarce", .width = 100, .height = 80};
    struct rab_text pdf = {0}, png = {0};
    bool ok = make_region(outlines, parents, err);

    for (int i = 0; ok && i < 3; i++)
        ok = rab_page_plan_add(&plan, &region, i < 2 ? "A" : "B", "frame", true, err);
    ok = ok && rab_page_plan_pdf(&plan, &pdf, err) && rab_page_plan_png(&plan, 40, &png, err);
    rab_text_clear(&pdf);
    rab_text_clear(&png);
    rab_page_plan_clear(&plan);
    clear_region(outlines);
    return ok;
}

Test(write_scarcity, pages)
{
    expect_memory_errors(draw_view, 60);
}

Test(write_scarcity, words)
{
    expect_memory_errors(print_words, 10);
}

Test(write_scarcity, plans_of_pages)
{
    expect_memory_errors(draw_page_plan, 60);
}
