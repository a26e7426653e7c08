/* Pictures: what is refused, where numbers stand, what the page holds. check_png.py measures the
 * finished files. */
#include "rabbet/write.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

#include "write/page.h"

static void add_circle(struct rab_picture *picture, double x, double y, double radius,
                       const char *number)
{
    struct rab_outline outline = {0};

    cr_assert(rab_outline_circle((struct rab_point){x, y}, radius, &outline, NULL));
    cr_assert(rab_picture_line(picture, &outline, RAB_LINE_CUT, "cut", NULL));
    cr_assert(rab_picture_number_in(picture, &outline, number, NULL));
    rab_outline_clear(&outline);
}

static void expect_refusal(struct rab_picture *picture, double dpi, enum rab_fault fault,
                           const char *reason)
{
    struct rab_error err = {0};
    struct rab_text out = {0};

    rab_text_add(&out, "before");
    cr_expect(not(rab_picture_png(picture, dpi, &out, &err)), "%s", reason);
    cr_expect(err.fault == fault && strstr(err.text, reason), "%s", err.text);
    cr_expect(strcmp(out.data, "before") == 0);
    rab_text_clear(&out);
    rab_picture_clear(picture);
}

Test(write_picture, what_cannot_be_drawn_is_refused)
{
    static const double dpis[] = {-1, 19, 1201, NAN, INFINITY};
    struct rab_picture picture = {0};
    struct rab_vertex wrong[] = {{0, 0, NAN}, {1, 1, 0}};

    expect_refusal(&picture, 0, RAB_FAULT_GEOMETRY, "nothing to draw");
    for (size_t i = 0; i < sizeof dpis / sizeof *dpis; i++) {
        add_circle(&picture, 0, 0, 10, "1");
        expect_refusal(&picture, dpis[i], RAB_FAULT_INPUT, "give 20 to 1200");
    }
    add_circle(&picture, 0, 0, 1000, "1");
    expect_refusal(&picture, 300, RAB_FAULT_INPUT, "fewer dots per inch");
    add_circle(&picture, 0, 0, 2e6, "1");
    expect_refusal(&picture, 0, RAB_FAULT_INPUT, "finite millimetres");
    add_circle(&picture, 0, 0, 10, "1");
    cr_assert(rab_picture_mark(&picture, (struct rab_point){NAN, 0}, "0.8 mm", NULL, NULL));
    expect_refusal(&picture, 0, RAB_FAULT_INPUT, "finite millimetres");
    add_circle(&picture, 0, 0, 10, "1");
    cr_assert(rab_picture_line(&picture, &(struct rab_outline){.vertices = wrong, .count = 2},
                               RAB_LINE_THIN, NULL, NULL));
    expect_refusal(&picture, 0, RAB_FAULT_INPUT, "finite millimetres");
}

Test(write_picture, the_same_picture_gives_the_same_bytes)
{
    struct rab_text first = {0}, second = {0};
    struct rab_picture picture = {.title = "Twice", .note = "and again"};

    add_circle(&picture, 10, 10, 10, "1");
    cr_assert(rab_picture_mark(&picture, (struct rab_point){12, 3}, "0.8 mm", "narrow", NULL));
    cr_assert(rab_picture_png(&picture, 0, &first, NULL));
    cr_assert(rab_picture_png(&picture, 0, &second, NULL));
    cr_assert(first.length == second.length);
    cr_expect(eq(int, memcmp(first.data, second.data, first.length), 0));
    rab_text_clear(&first);
    rab_text_clear(&second);
    rab_picture_clear(&picture);
}

/* 300 dpi is 11811 dots a metre, 72 is 2835 (PNG 1.2, 4.2.4.2, whole numbers). */
Test(write_picture, the_scale_is_whole_dots_a_metre)
{
    static const struct {
        double dpi;
        unsigned char dots[4];
    } cases[] = {{300, {0, 0, 0x2e, 0x23}}, {72, {0, 0, 0x0b, 0x13}}, {600, {0, 0, 0x5c, 0x46}}};

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct rab_picture picture = {0};
        struct rab_text png = {0};

        add_circle(&picture, 10, 10, 10, "1");
        cr_assert(rab_picture_png(&picture, cases[i].dpi, &png, NULL));
        cr_assert(png.length > 60);
        cr_expect(eq(int, memcmp(png.data + 33, "\0\0\0\x09pHYs", 8), 0));
        cr_expect(eq(int, memcmp(png.data + 41, cases[i].dots, 4), 0));
        cr_expect(eq(int, memcmp(png.data + 45, cases[i].dots, 4), 0));
        cr_expect(eq(int, png.data[49], 1));
        rab_text_clear(&png);
        rab_picture_clear(&picture);
    }
}

/* Sizes from a speck to a hall, and things without any: each gives a page. */
Test(write_picture, every_size_gives_a_page)
{
    static const double radii[] = {1e-9, 1e-3, 0.1, 5, 150, 3000, 9e5};

    for (size_t i = 0; i < sizeof radii / sizeof *radii; i++) {
        struct rab_picture picture = {.title = "Size"};
        struct rab_text png = {0};
        struct rab_error err = {0};

        add_circle(&picture, 1, 2, radii[i], "12");
        cr_assert(rab_picture_mark(&picture, (struct rab_point){1, 2}, NULL, NULL, NULL));
        cr_expect(rab_picture_png(&picture, 0, &png, &err), "radius %zu: %s", i, err.text);
        rab_text_clear(&png);
        rab_picture_clear(&picture);
    }
}

Test(write_picture, a_meaning_stands_once_in_the_legend)
{
    struct rab_picture picture = {0};
    struct page page = {0};
    struct rab_outline outline = {0};
    struct rab_region region = {0};

    for (int i = 0; i < 5; i++)
        add_circle(&picture, 10 * i, 0, 4, "1");
    cr_assert(rab_outline_circle((struct rab_point){0, 0}, 9, &outline, NULL));
    region = (struct rab_region){&outline, (size_t[]){RAB_NO_PARENT}, 1};
    for (size_t i = 0; i < 9; i++)
        cr_assert(rab_picture_paper(&picture, &region, rab_paper_colour(i), "backing", NULL));
    cr_assert(rab_picture_paper(&picture, &region, 0, NULL, NULL));
    cr_assert(rab_picture_paper(&picture, &region, 0, "", NULL));
    cr_assert(page_plan(&picture, 0, &page, NULL));
    cr_expect(eq(sz, page.entry_count, 2));
    page_clear(&page);
    rab_outline_clear(&outline);
    rab_picture_clear(&picture);
}

Test(write_picture, numbers_too_small_to_read_are_left_out)
{
    struct rab_picture picture = {0};
    struct page page = {0};

    add_circle(&picture, 0, 0, 100, "1");
    cr_assert(page_plan(&picture, 0, &page, NULL));
    cr_expect(not(page.left_out));
    page_clear(&page);
    add_circle(&picture, 0, 0, 0.5, "2");
    cr_assert(page_plan(&picture, 0, &page, NULL));
    cr_expect(page.left_out);
    page_clear(&page);
    rab_picture_clear(&picture);
}

Test(write_picture, marks_that_say_the_same_in_one_place_are_one)
{
    static const struct {
        double x;
        const char *words;
        bool shown;
    } marks[] = {{5, "0.9 mm", true},  {5.01, "0.9 mm", false}, {5.02, "0.8 mm", true},
                 {40, "0.9 mm", true}, {40, NULL, true},        {40, NULL, false}};
    struct rab_picture picture = {0};
    struct page page = {0};
    struct rab_text with = {0}, without = {0};

    for (int round = 0; round < 2; round++) {
        picture.view = (struct rab_box){0, 0, 60, 40};
        for (size_t i = 0; i < sizeof marks / sizeof *marks; i++)
            if (round == 0 || marks[i].shown)
                cr_assert(rab_picture_mark(&picture, (struct rab_point){marks[i].x, 20},
                                           marks[i].words, NULL, NULL));
        cr_assert(page_plan(&picture, 0, &page, NULL));
        cr_expect(eq(sz, page.label_count, round == 0 ? 6 : 4));
        page_clear(&page);
        cr_assert(rab_picture_png(&picture, 0, round == 0 ? &with : &without, NULL));
        rab_picture_clear(&picture);
    }
    cr_assert(with.length == without.length);
    cr_expect(eq(int, memcmp(with.data, without.data, with.length), 0));
    rab_text_clear(&with);
    rab_text_clear(&without);
}

/* ---- the roomiest place: the radius of the largest circle that fits is the most there is ---- */

static double room_in(const struct rab_outline *outlines, size_t count)
{
    struct rab_point place;
    double room;

    cr_assert(picture_roomiest(outlines, count, &place, &room));
    for (size_t i = 0; i < count; i++)
        cr_expect(rab_outline_distance(&outlines[i], place, NULL) > room * 0.999);
    return room;
}

Test(write_picture, a_number_stands_where_there_is_room)
{
    /* a 3-4-5 triangle has an inscribed circle of radius 1 (Nine Chapters, IX.16: 2ab/(a+b+c)/2) */
    static const struct rab_vertex triangle[] = {{0, 0, 0}, {4, 0, 0}, {0, 3, 0}};
    /* an L of arms 10 wide: the circle in its corner touches both outer sides and the inner corner,
     * so that r sqrt 2 + r = 10 sqrt 2 */
    static const struct rab_vertex ell[] = {{0, 0, 0},   {60, 0, 0},  {60, 10, 0},
                                            {10, 10, 0}, {10, 60, 0}, {0, 60, 0}};
    /* a crescent, whose centroid may lie outside it */
    static const struct rab_vertex crescent[] = {{-10, 0, 1}, {10, 0, -0.8}};
    struct rab_outline outlines[2] = {0};

    for (size_t i = 0; i < 3; i++)
        cr_assert(rab_outline_add(&outlines[0], triangle[i].x, triangle[i].y, 0, NULL));
    cr_expect(room_in(outlines, 1) > 0.95);
    cr_expect(room_in(outlines, 1) <= 1 + 1e-9);
    rab_outline_clear(&outlines[0]);

    const double corner = 10 * sqrt(2) / (1 + sqrt(2));
    for (size_t i = 0; i < 6; i++)
        cr_assert(rab_outline_add(&outlines[0], ell[i].x, ell[i].y, 0, NULL));
    cr_expect(room_in(outlines, 1) > 0.8 * corner);
    cr_expect(room_in(outlines, 1) <= corner + 1e-9);
    rab_outline_clear(&outlines[0]);

    /* between the half circle of radius 10 and the arc of sagitta 8 above it: 1 in the middle */
    for (size_t i = 0; i < 2; i++)
        cr_assert(
            rab_outline_add(&outlines[0], crescent[i].x, crescent[i].y, crescent[i].bulge, NULL));
    cr_expect(room_in(outlines, 1) > 0.8);
    cr_expect(room_in(outlines, 1) <= 1 + 1e-9);
    rab_outline_clear(&outlines[0]);

    /* a curved strip 8 wide, a sixth of a ring: in its middle, not at an end */
    const double half = RAB_PI / 6, bulge = tan(half / 2);
    const struct rab_vertex strip[] = {{46 * cos(half), 46 * sin(half), -bulge},
                                       {46 * cos(half), -46 * sin(half), 0},
                                       {54 * cos(half), -54 * sin(half), bulge},
                                       {54 * cos(half), 54 * sin(half), 0}};
    for (size_t i = 0; i < 4; i++)
        cr_assert(rab_outline_add(&outlines[0], strip[i].x, strip[i].y, strip[i].bulge, NULL));
    rab_outline_turn(&outlines[0], 0.7, (struct rab_point){0, 0});
    struct rab_point place;
    double room;
    cr_assert(picture_roomiest(outlines, 1, &place, &room));
    cr_expect(room > 0.8 * 4);
    cr_expect(fabs(atan2(place.y, place.x) - 0.7) < 0.1);
    rab_outline_clear(&outlines[0]);

    /* a ring: half of its width */
    cr_assert(rab_outline_circle((struct rab_point){0, 0}, 20, &outlines[0], NULL));
    cr_assert(rab_outline_circle((struct rab_point){0, 0}, 14, &outlines[1], NULL));
    rab_outline_reverse(&outlines[1]);
    cr_expect(room_in(outlines, 2) > 0.8 * 3);
    cr_expect(room_in(outlines, 2) <= 3 + 1e-9);
    rab_outline_clear(&outlines[0]);
    rab_outline_clear(&outlines[1]);
}
