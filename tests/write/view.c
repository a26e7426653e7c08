/* Pages as they will look, words in blocks, plans of pages: what is refused, how words are set, how
 * photos are reduced. check_views.py measures the finished files. */
#include "rabbet/write.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

#include "write/chart.h"
#include "write/image.h"

static const double point = 25.4 / 72;

static struct rab_region rectangle(double x0, double y0, double x1, double y1)
{
    struct rab_outline outline = {0};
    struct rab_region region = {0};

    cr_assert(rab_outline_rectangle((struct rab_box){x0, y0, x1, y1}, 0, &outline, NULL));
    cr_assert(rab_region_fill(&outline, 1, RAB_FILL_NONZERO, &region, NULL));
    rab_outline_clear(&outline);
    return region;
}

/* ---- pages ----------------------------------------------------------------------------- */

static void expect_no_view(const struct rab_view *pages, size_t count, const char *reason)
{
    struct rab_error err = {0};
    struct rab_text out = {0};

    rab_text_add(&out, "before");
    cr_expect(not(rab_view_png(pages, count, &out, &err)), "%s", reason);
    cr_expect(err.fault == RAB_FAULT_INPUT && strstr(err.text, reason), "%s", err.text);
    cr_expect(strcmp(out.data, "before") == 0);
    rab_text_clear(&out);
}

Test(write_view, what_cannot_be_shown_is_refused)
{
    static const double sizes[] = {0, -1, 2001, NAN, INFINITY};
    static const double dpis[] = {-1, 19, 1201, NAN, INFINITY};
    const struct rab_view pages[2] = {{.width = 50, .height = 50, .dpi = 100},
                                      {.width = 50, .height = 50, .dpi = 150}};
    const struct rab_view wide = {.width = 2000, .height = 100, .dpi = 300};

    for (size_t i = 0; i < 5; i++) {
        expect_no_view(&(struct rab_view){.width = sizes[i], .height = 50}, 1, "up to 2000 mm");
        expect_no_view(&(struct rab_view){.width = 50, .height = sizes[i]}, 1, "up to 2000 mm");
        expect_no_view(&(struct rab_view){.width = 50, .height = 50, .dpi = dpis[i]}, 1,
                       "give 20 to 1200");
    }
    expect_no_view(pages, 0, "one page or two");
    expect_no_view(pages, 3, "one page or two");
    expect_no_view(pages, 2, "the same dots per inch");
    expect_no_view(&wide, 1, "fewer dots per inch");
}

Test(write_view, what_cannot_be_added_is_refused_and_leaves_the_page)
{
    static const double heights[] = {-1, 21, NAN};
    struct rab_region region = rectangle(0, 0, 10, 10);
    struct rab_view view = {.width = 50, .height = 50};

    for (size_t i = 0; i < 3; i++) {
        struct rab_error err = {0};
        cr_expect(not(rab_view_paper(&view, &region, 0, heights[i], &err)));
        cr_expect(strstr(err.text, "0 to 20 layers") != NULL, "%s", err.text);
        cr_expect(not(rab_view_photo(&view, &region, 0, "name", heights[i], NULL)));
    }
    const struct rab_box boxes[] = {{0, 0, 0, 10}, {0, 0, 10, NAN}, {0, 0, 3000, 10}};
    for (size_t i = 0; i < 3; i++) {
        struct rab_error err = {0};
        cr_expect(not(rab_view_image(&view, &region, boxes[i], "x", 1, 0, &err)));
        cr_expect(strstr(err.text, "up to 2000 mm") != NULL, "%s", err.text);
    }
    cr_expect(eq(sz, view.count, 0));
    rab_region_clear(&region);
    rab_view_clear(&view);
}

/* Whatever reaches beyond the page, and regions without anything in them. */
Test(write_view, things_may_lie_anywhere)
{
    struct rab_region far = rectangle(-9e5, -9e5, 9e5, 9e5), away = rectangle(100, 100, 120, 120);
    struct rab_region across = rectangle(-20, 10, 20, 30);
    struct rab_view view = {.width = 50, .height = 40, .dpi = 60, .colour = 0xFFFFFF};
    struct rab_text first = {0}, second = {0};
    struct rab_error err = {0};

    cr_assert(rab_view_paper(&view, &far, 0x808080, 20, NULL));
    cr_assert(rab_view_paper(&view, &away, 0x808080, 20, NULL));
    cr_assert(
        rab_view_photo(&view, &across, 0xC9CCCF, "a name far too long for this photo", 3, NULL));
    cr_assert(rab_view_photo(&view, &across, 0xC9CCCF, "", 0, NULL));
    cr_assert(rab_view_photo(&view, &(struct rab_region){0}, 0xC9CCCF, "none", 0, NULL));
    for (int i = 0; i < RAB_OPERATIONS; i++)
        cr_assert(rab_view_line(&view, &across.outlines[0], (enum rab_operation)i, NULL));
    cr_assert(rab_view_png(&view, 1, &first, &err), "%s", err.text);
    cr_assert(rab_view_png(&view, 1, &second, &err), "%s", err.text);
    cr_assert(first.length == second.length);
    cr_expect(eq(int, memcmp(first.data, second.data, first.length), 0));
    rab_text_clear(&first);
    rab_text_clear(&second);
    rab_view_clear(&view);
    rab_region_clear(&far);
    rab_region_clear(&away);
    rab_region_clear(&across);
}

/* WCAG 2.1, contrast ratio: 21 for black on white; the better of both is at least sqrt(21) = 4.58
 * for pure black and white, and a little less for these inks. */
Test(write_view, ink_is_read_on_any_paper)
{
    cr_expect(rab_paper_ink(0xFFFFFF) < 0x404040);
    cr_expect(rab_paper_ink(0xE3B04B) < 0x404040);
    cr_expect(rab_paper_ink(0x000000) > 0xC0C0C0);
    cr_expect(rab_paper_ink(0x2B3A55) > 0xC0C0C0);
}

/* ---- photos ---------------------------------------------------------------------------- */

static uint32_t dot_at(const struct image_sink *sink, int x, int y)
{
    const unsigned char *row = cairo_image_surface_get_data(sink->surface) +
                               y * cairo_image_surface_get_stride(sink->surface);
    uint32_t dot;

    memcpy(&dot, row + 4 * x, sizeof dot);
    return dot & 0xFFFFFF;
}

static void clear_sink(struct image_sink *sink)
{
    cairo_surface_destroy(sink->surface);
    free(sink->line);
    free(sink->sums);
}

/* A dot of the reduced picture is the mean of what it covers, by area. */
Test(write_view, photos_are_reduced_by_area)
{
    static const unsigned char rows[3][9] = {{0, 0, 0, 90, 30, 0, 255, 255, 255},
                                             {0, 0, 0, 90, 60, 0, 255, 255, 255},
                                             {0, 0, 0, 90, 90, 0, 255, 255, 255}};
    struct image_sink sink = {.least_across = 2, .least_down = 2, .orientation = IMAGE_NORMAL};

    cr_assert(image_begin(&sink, 3, 3, NULL));
    cr_assert(eq(int, (int)sink.out_width, 2));
    cr_assert(eq(int, (int)sink.out_height, 2));
    for (int i = 0; i < 3; i++)
        image_row(&sink, rows[i]);
    /* each covers one and a half dots both ways: the left ones (1 x 0 + 1/2 x 90) / (3/2) = 30 red;
     * the upper (1 x 30 + 1/2 x 60) / (3/2) = 40 green in the middle column, a third of that */
    cr_expect(eq(int, (int)dot_at(&sink, 0, 0), 30 << 16 | 13 << 8));
    cr_expect(eq(int, (int)dot_at(&sink, 0, 1), 30 << 16 | 27 << 8));
    cr_expect(eq(int, (int)dot_at(&sink, 1, 0), 200 << 16 | 183 << 8 | 170));
    cr_expect(eq(int, (int)dot_at(&sink, 1, 1), 200 << 16 | 197 << 8 | 170));
    clear_sink(&sink);
}

/* What is of one colour stays so, whatever the sizes; and no row is missing. */
Test(write_view, reducing_keeps_a_plain_colour)
{
    static unsigned char row[3 * 97];

    for (size_t i = 0; i < sizeof row; i++)
        row[i] = (unsigned char)(i % 3 == 0 ? 255 : i % 3 == 1 ? 77 : 1);
    for (uint32_t width = 1; width < 97; width += 5)
        for (uint32_t height = 1; height < 60; height += 7)
            for (int want = 1; want < 40; want += 6) {
                struct image_sink sink = {.least_across = want,
                                          .least_down = want,
                                          .orientation = 1 + (want + (int)width) % 8};
                cr_assert(image_begin(&sink, width, height, NULL));
                for (uint32_t y = 0; y < height; y++)
                    image_row(&sink, row);
                cr_assert(sink.out_row == sink.out_height);
                const int across = cairo_image_surface_get_width(sink.surface);
                const int down = cairo_image_surface_get_height(sink.surface);
                for (int y = 0; y < down; y++)
                    for (int x = 0; x < across; x++)
                        cr_assert(dot_at(&sink, x, y) == (255 << 16 | 77 << 8 | 1));
                clear_sink(&sink);
            }
}

/* TIFF 6.0, section 2: the byte order, 42, where the directory is; entries of 12 bytes. */
Test(write_view, exif_that_is_wrong_turns_nothing)
{
    static const unsigned char good[] = {'M', 'M', 0, 42, 0, 0, 0, 8, 0, 1, 1, 0x12, 0,
                                         3,   0,   0, 0,  1, 0, 6, 0, 0, 0, 0, 0,    0};
    unsigned char wrong[sizeof good];

    cr_expect(eq(int, image_orientation(good, sizeof good), 6));
    for (size_t length = 0; length < 22; length++)
        cr_expect(eq(int, image_orientation(good, length), 1));
    for (size_t i = 0; i < 20; i++)
        for (int value = 0; value < 256; value++) {
            memcpy(wrong, good, sizeof good);
            wrong[i] = (unsigned char)value;
            const int orientation = image_orientation(wrong, sizeof wrong);
            cr_assert(orientation >= 1 && orientation <= 8);
        }
}

/* ---- words ----------------------------------------------------------------------------- */

static const char words_of_the_quay[] =
    "At dusk the lamps went down to the quay, one after another, and the water took every one of "
    "them twice.";

static struct rab_words_set set(const struct rab_words *words)
{
    struct rab_words_set made = {0};
    struct rab_error err = {0};

    cr_assert(rab_words_set(words, &made, &err), "%s", err.text);
    return made;
}

static void expect_no_words(struct rab_words words, enum rab_fault fault, const char *reason)
{
    struct rab_words_set made = {0};
    struct rab_text out = {0};
    struct rab_error err = {0};

    cr_expect(not(rab_words_set(&words, &made, &err)), "%s", reason);
    cr_expect(err.fault == fault && strstr(err.text, reason), "%s", err.text);
    cr_expect(not(rab_words_pdf(&words, NULL, &out, NULL)));
    cr_expect(not(rab_words_png(&words, NULL, 0, &out, NULL)));
    cr_expect(made.lines == NULL && out.data == NULL);
}

Test(write_words, what_cannot_be_set_is_refused_with_the_measure)
{
    static char many[RAB_WORDS_LONGEST + 2];
    struct rab_words words = {.text = words_of_the_quay, .width = 100, .height = 50};

    memset(many, 'a', sizeof many - 1);
    expect_no_words((struct rab_words){.width = 100, .height = 50}, RAB_FAULT_INPUT, "no words");
    expect_no_words((struct rab_words){.text = " \n ", .width = 9, .height = 9}, RAB_FAULT_INPUT,
                    "no words");
    expect_no_words((struct rab_words){.text = many, .width = 100, .height = 50}, RAB_FAULT_INPUT,
                    "at most 10000");
    for (int i = 0; i < 4; i++) {
        static const double wrong[] = {0, -1, NAN, 2001};
        struct rab_words bad = words;
        bad.width = wrong[i];
        expect_no_words(bad, RAB_FAULT_INPUT, "up to 2000 mm");
    }
    words.size = NAN;
    expect_no_words(words, RAB_FAULT_INPUT, "0 or lengths");
    words.size = 0, words.strips = 10, words.ruled = 10;
    expect_no_words(words, RAB_FAULT_INPUT, "not both");
    words.ruled = 0, words.strips = 60;
    expect_no_words(words, RAB_FAULT_GEOMETRY, "higher than their block");
    words.strips = 0, words.ruled = 51;
    expect_no_words(words, RAB_FAULT_GEOMETRY, "not high enough");
    words.ruled = 0.001;
    expect_no_words(words, RAB_FAULT_INPUT, "too close");
    words.ruled = 0;

    /* margins of 3/16 in leave 40.475 mm of 50 of height */
    words.size = 36 * point;
    expect_no_words(words, RAB_FAULT_GEOMETRY, "there are 40.48");
    words.text = "unbreakableunbreakableunbreakable";
    expect_no_words(words, RAB_FAULT_GEOMETRY, "the longest word needs");
    words.text = "a", words.size = 60;
    expect_no_words(words, RAB_FAULT_GEOMETRY, "need a line of");
    words.text = words_of_the_quay, words.size = 0, words.width = 20, words.height = 6;
    expect_no_words(words, RAB_FAULT_GEOMETRY, "at 4 pt");
}

/* As large as fits: a quarter of a point more does not, for words that are broken into lines. */
Test(write_words, they_are_as_large_as_fits)
{
    for (double width = 30; width < 250; width += 17)
        for (double height = 20; height < 120; height += 19) {
            struct rab_words words = {
                .text = words_of_the_quay, .width = width, .height = height, .align = -1};
            struct rab_words_set made = set(&words);
            struct rab_words_set larger = {0};
            const double margin = fmin(25.4 * 3 / 16, fmin(width, height) / 8);

            cr_assert(made.count > 0 && made.size >= 4 * point - 1e-9);
            for (size_t i = 0; i < made.count; i++) {
                cr_expect(made.lines[i].x0 >= margin - 1e-6);
                cr_expect(made.lines[i].x1 <= width - margin + 1e-6);
                cr_expect(made.lines[i].y >= margin && made.lines[i].y <= height - margin);
                cr_expect(i == 0 || made.lines[i].y < made.lines[i - 1].y);
            }
            /* a multiple of a quarter of a point */
            cr_expect(fabs(remainder(made.size, point / 4)) < 1e-9);
            words.size = made.size + point / 4;
            cr_expect(not(rab_words_set(&words, &larger, NULL)), "%d x %d", (int)width,
                      (int)height);
            rab_words_set_clear(&made);
            rab_words_set_clear(&larger);
        }
}

/* The same words in any unit of drawing: lines break at the same places for paper and screen. */
Test(write_words, strips_have_a_line_each)
{
    const struct rab_words given = {
        .text = "one lamp\nfor each\nstep of the way\n", .width = 100, .height = 50, .strips = 10};
    const struct rab_words broken = {
        .text = words_of_the_quay, .width = 100, .height = 50, .strips = 10};
    struct rab_words_set made = set(&given);

    /* spread evenly: (50 - 10) / 2 apart */
    cr_assert(eq(sz, made.count, 3));
    for (size_t i = 0; i < 3; i++) {
        cr_expect(fabs(made.lines[i].strip.y1 - (50 - 20 * (double)i)) < 1e-9);
        cr_expect(fabs(made.lines[i].strip.y0 - (40 - 20 * (double)i)) < 1e-9);
        cr_expect(made.lines[i].y > made.lines[i].strip.y0 &&
                  made.lines[i].y < made.lines[i].strip.y1);
        /* centred */
        cr_expect(fabs(made.lines[i].x0 + made.lines[i].x1 - 100) < 1e-3);
    }
    rab_words_set_clear(&made);

    made = set(&broken);
    cr_expect(made.count >= 2 && made.count <= 5);
    rab_words_set_clear(&made);

    struct rab_words low = given;
    low.height = 29.9;
    expect_no_words(low, RAB_FAULT_GEOMETRY, "need 30 mm");
}

Test(write_words, words_stand_on_ruled_lines)
{
    const struct rab_words words = {
        .text = words_of_the_quay, .width = 100, .height = 50, .size = 4, .ruled = 8};
    const struct rab_words empty = {.width = 100, .height = 50, .ruled = 8};
    struct rab_words_set made = set(&words);

    for (size_t i = 0; i < made.count; i++) {
        const double above = made.lines[i].y - (50 - 8 * (double)(i + 1));
        cr_expect(above > 0 && above < 1);
    }
    rab_words_set_clear(&made);
    made = set(&empty);
    cr_expect(eq(sz, made.count, 0));
    rab_words_set_clear(&made);
}

/* Where reading begins depends on the script: Hebrew from the right (Unicode, annex 9). */
Test(write_words, they_begin_where_their_language_does)
{
    static const char *const texts[] = {"lamp", "\xD7\xA4\xD7\xA0\xD7\xA1"};

    for (int hebrew = 0; hebrew < 2; hebrew++)
        for (int align = -1; align <= 1; align++) {
            const struct rab_words words = {
                .text = texts[hebrew], .width = 100, .height = 40, .size = 8, .align = align};
            struct rab_words_set made = set(&words);
            const double left = made.lines[0].x0, right = 100 - made.lines[0].x1;
            const int side = hebrew ? -align : align;

            cr_assert(eq(sz, made.count, 1));
            cr_expect(eq(sz, made.unknown, 0));
            cr_expect(side < 0   ? left < right - 10
                      : side > 0 ? right < left - 10
                                 : fabs(left - right) < 0.01,
                      "%s, %d: %d and %d", texts[hebrew], align, (int)left, (int)right);
            rab_words_set_clear(&made);
        }
}

Test(write_words, what_fonts_do_not_have_is_told)
{
    /* U+F8FF is for private use, U+10FFFF is no character */
    const struct rab_words words = {
        .text = "a\xEF\xA3\xBF", .font = "No Such Font At All", .width = 100, .height = 40};
    const struct rab_words usual = {
        .text = "a", .font = "dejavu serif", .width = 100, .height = 40};
    struct rab_words_set made = set(&words);

    cr_expect(made.other_font);
    cr_expect(made.unknown >= 1);
    rab_words_set_clear(&made);
    made = set(&usual);
    cr_expect(not(made.other_font));
    cr_expect(eq(sz, made.unknown, 0));
    rab_words_set_clear(&made);
}

/* No markup, no control characters, no broken UTF-8 does any harm. */
Test(write_words, any_text_is_set)
{
    static const char *const texts[] = {"<b>&amp;", "a\x01\x7F\tb\r\nc", "\xFF\xFE\xC0",
                                        "\xE2\x80\xA8x", "a\n\n\nb"};

    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const struct rab_words words = {.text = texts[i], .width = 100, .height = 60};
        struct rab_text pdf = {0};
        struct rab_error err = {0};

        cr_expect(rab_words_pdf(&words, "\xFFtitle", &pdf, &err), "%zu: %s", i, err.text);
        rab_text_clear(&pdf);
    }
}

/* ---- plans of pages -------------------------------------------------------------------- */

Test(write_page_plan, what_cannot_be_drawn_is_refused)
{
    static const double sizes[] = {0, -1, 2001, NAN};
    struct rab_region region = rectangle(0, 0, 10, 10), far = rectangle(0, 0, 10, 10);
    struct rab_page_plan plan = {.width = 100, .height = 100};
    struct rab_text out = {0};
    struct rab_error err = {0};

    far.outlines[0].vertices[1].x = 2e6;
    cr_expect(not(rab_page_plan_add(&plan, &far, "A", "far", true, &err)));
    cr_expect(strstr(err.text, "beyond 1000000 mm") != NULL);
    cr_expect(not(rab_page_plan_add(&plan, &(struct rab_region){0}, "A", "none", true, NULL)));
    cr_expect(not(rab_page_plan_add(&plan, &region, NULL, "no letter", true, NULL)));
    cr_expect(eq(sz, plan.count, 0));
    for (size_t i = 0; i < 4; i++) {
        err = (struct rab_error){0};
        plan.width = sizes[i];
        cr_expect(not(rab_page_plan_pdf(&plan, &out, &err)));
        cr_expect(strstr(err.text, "up to 2000 mm") != NULL);
        cr_expect(not(rab_page_plan_png(&plan, 0, &out, NULL)));
    }
    plan.width = 100;
    cr_expect(not(rab_page_plan_png(&plan, 5, &out, NULL)));
    cr_expect(out.data == NULL);
    rab_region_clear(&region);
    rab_region_clear(&far);
    rab_page_plan_clear(&plan);
}

/* A whole number of sheets, of 210 x 279.4 mm each at 50 dots to the inch (1969 to the metre). */
static int sheets_of(const struct rab_page_plan *plan)
{
    struct rab_text png = {0};
    struct rab_error err = {0};
    unsigned height = 0;

    cr_assert(rab_page_plan_png(plan, 50, &png, &err), "%s", err.text);
    for (int i = 0; i < 4; i++)
        height = height << 8 | (unsigned char)png.data[20 + i];
    rab_text_clear(&png);
    const int sheets = (int)round(height / (279.4 * 1.969));
    cr_expect(abs((int)height - (int)round(sheets * 279.4 * 1.969)) <= 1);
    return sheets;
}

Test(write_page_plan, a_long_table_goes_on)
{
    struct rab_page_plan plan = {.title = "Many", .width = 300, .height = 300};
    int before;

    before = sheets_of(&plan);
    cr_expect(eq(int, before, 1));
    for (int i = 0; i < 300; i++) {
        struct rab_region region =
            rectangle(i % 20 * 15, i / 20 * 15, i % 20 * 15 + 12, i / 20 * 15 + 12);
        char letter[] = {'A', (char)('A' + i / 26), (char)('A' + i % 26), '\0'};
        cr_assert(rab_page_plan_add(&plan, &region, letter, "piece", true, NULL));
        rab_region_clear(&region);
        if (i % 60 == 59) {
            const int sheets = sheets_of(&plan);
            cr_expect(sheets >= before && sheets <= before + 1);
            before = sheets;
        }
    }
    cr_expect(before > 2);
    rab_page_plan_clear(&plan);
}

/* Pieces of one letter are one line of the table. */
Test(write_page_plan, a_letter_stands_in_the_table_once)
{
    struct rab_page_plan plan = {.width = 300, .height = 300};

    for (int i = 0; i < 100; i++) {
        struct rab_region region = rectangle(i, i, i + 50, i + 50);
        cr_assert(rab_page_plan_add(&plan, &region, "A", "piece", i % 2 == 0, NULL));
        rab_region_clear(&region);
    }
    cr_expect(eq(int, sheets_of(&plan), 1));
    rab_page_plan_clear(&plan);
}

/* Every size of page, pieces beyond it, beneath others, in a heap. */
Test(write_page_plan, every_page_gives_a_plan)
{
    static const double sizes[] = {0.01, 20, 152.4, 152.5, 304.8, 700, 2000};

    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        const double s = sizes[i];
        struct rab_page_plan plan = {.width = s, .height = s * 0.7, .in_first = i % 2 == 0};
        struct rab_text pdf = {0};
        struct rab_error err = {0};

        for (int k = 0; k < 40; k++) {
            struct rab_region region =
                rectangle(-s / 2 + s / 7 * (k % 5), -s / 3, s * 1.5, s * (k % 3 + 1) / 3);
            cr_assert(rab_page_plan_add(&plan, &region, "A", "piece", true, NULL));
            rab_region_clear(&region);
        }
        cr_expect(rab_page_plan_pdf(&plan, &pdf, &err), "%s", err.text);
        rab_text_clear(&pdf);
        rab_page_plan_clear(&plan);
    }
}

Test(write_page_plan, letters_come_in_their_order)
{
    static const char *const order[] = {"A", "B", "Z", "AA", "AB", "BA", "AAA"};

    for (size_t i = 0; i < 7; i++)
        for (size_t k = 0; k < 7; k++) {
            const int said = chart_compare_letters(order[i], order[k]);
            cr_expect(eq(int, (said > 0) - (said < 0), (i > k) - (i < k)));
        }
}
