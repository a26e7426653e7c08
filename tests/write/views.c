/*
 * Pages, blocks of words and page plans for other programs to measure:
 *
 *     views FOLDER              all of them
 *     views FOLDER IMAGE        image.png: the image as a print of 4 x 3 in at 100 dpi, and its
 * size
 */
#include "rabbet/write.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>

#define IN 25.4

static void must(bool ok, const struct rab_error *err)
{
    if (ok)
        return;
    fprintf(stderr, "%s\n", err->text);
    exit(1);
}

static void save(const char *folder, const char *name, struct rab_text *bytes)
{
    struct rab_outputs outputs = {0};
    struct rab_text path = {0};
    struct rab_error err = {0};

    rab_text_format(&path, "%s/%s", folder, name);
    must(rab_outputs_add(&outputs, path.data, bytes, &err) && rab_outputs_commit(&outputs, &err),
         &err);
    rab_outputs_clear(&outputs);
    rab_text_clear(&path);
}

static struct rab_region rectangle(double x, double y, double width, double height)
{
    struct rab_outline outline = {0};
    struct rab_region region = {0};

    must(rab_outline_rectangle((struct rab_box){x, y, x + width, y + height}, 0, &outline, NULL) &&
             rab_region_fill(&outline, 1, RAB_FILL_NONZERO, &region, NULL),
         NULL);
    rab_outline_clear(&outline);
    return region;
}

static void add_rectangle(struct rab_view *view, struct rab_box box, uint32_t colour, double height)
{
    struct rab_region region = rectangle(box.x0, box.y0, box.x1 - box.x0, box.y1 - box.y0);
    must(rab_view_paper(view, &region, colour, height, NULL), NULL);
    rab_region_clear(&region);
}

enum { OPENINGS = 30 };
static const struct rab_box arcade = {20, 60, 284.8, 290};

/* The place of an opening, the first at the lower left. */
static struct rab_point opening_at(int number)
{
    return (struct rab_point){30 + 42 * (number % 6), 68 + 44 * (number / 6)};
}

/* A frame of arched openings, 6 x 5. */
static struct rab_region arcade_region(void)
{
    struct rab_outline outlines[OPENINGS + 1] = {0};
    struct rab_region region = {0};

    must(rab_outline_rectangle(arcade, 2, &outlines[OPENINGS], NULL), NULL);
    for (int i = 0; i < OPENINGS; i++) {
        const struct rab_point at = opening_at(i);
        const struct rab_vertex arch[] = {
            {at.x, at.y, 0}, {at.x + 34, at.y, 0}, {at.x + 34, at.y + 19, 1}, {at.x, at.y + 19, 0}};
        for (int k = 0; k < 4; k++)
            must(rab_outline_add(&outlines[i], arch[k].x, arch[k].y, arch[k].bulge, NULL), NULL);
    }
    must(rab_region_fill(outlines, OPENINGS + 1, RAB_FILL_EVENODD, &region, NULL), NULL);
    for (size_t i = 0; i <= OPENINGS; i++)
        rab_outline_clear(&outlines[i]);
    return region;
}

static struct rab_box backing_of(int number)
{
    const struct rab_point at = opening_at(number);

    return (struct rab_box){at.x - 3, at.y - 3, at.x + 37, at.y + 39};
}

static void add_arcade(struct rab_view *view)
{
    static const uint32_t papers[] = {0xE3B04B, 0xC8553D, 0x588B8B, 0xF28F3B, 0xD8C99B};
    struct rab_region region = arcade_region();

    for (int i = 0; i < OPENINGS; i++)
        if (i % 6 != 5)
            add_rectangle(view, backing_of(i), papers[(i + i / 6) % 5], 0);
    must(rab_view_paper(view, &region, 0xF3EDE0, 1, NULL), NULL);
    rab_region_clear(&region);
}

static const char story[] =
    "At dusk the lamps went down to the quay, one after another, and the water took every one of "
    "them twice. We walked as far as the last bollard, ate chestnuts out of a paper bag, and came "
    "home by the lock with wet shoes and a lantern that would not go out.";

static void make_spread(const char *folder)
{
    struct rab_view pages[2] = {
        {.width = 12 * IN, .height = 12 * IN, .colour = 0x2B3A55},
        {.width = 12 * IN, .height = 12 * IN, .colour = 0x2B3A55},
    };
    struct rab_error err = {0};
    struct rab_text out = {0};
    static const char *const names[] = {"quay",      "lock gate", "lantern",
                                        "chestnuts", NULL,        "wet shoes"};

    add_arcade(&pages[0]);
    const struct rab_words title = {
        .text = "Lantern walk", .width = 150, .height = 36, .ink = rab_paper_ink(0xF3EDE0)};
    add_rectangle(&pages[0], (struct rab_box){77, 12, 227, 48}, 0xF3EDE0, 2);
    must(rab_view_words(&pages[0], &title, (struct rab_point){77, 12}, &err), &err);

    for (int i = 0; i < 6; i++) {
        const double x = 0.5 * IN + 3.75 * IN * (i % 3), y = 8 * IN - 3.75 * IN * (i / 3);
        const struct rab_box photo = {x + 4, y + 4, x + 3.5 * IN - 4, y + 3.5 * IN - 4};
        struct rab_region region =
            rectangle(photo.x0, photo.y0, photo.x1 - photo.x0, photo.y1 - photo.y0);
        add_rectangle(&pages[1], (struct rab_box){x, y, x + 3.5 * IN, y + 3.5 * IN},
                      i % 2 ? 0xE3B04B : 0xF3EDE0, i == 1 ? 1 : 0);
        must(rab_view_photo(&pages[1], &region, i == 3 ? 0x4A5A6A : 0xC9CCCF, names[i], 0, &err),
             &err);
        rab_region_clear(&region);
    }
    const struct rab_words words = {.text = story,
                                    .width = 6 * IN,
                                    .height = 3 * IN,
                                    .align = -1,
                                    .ink = rab_paper_ink(0xD8C99B)};
    add_rectangle(&pages[1], (struct rab_box){0.5 * IN, 0.75 * IN, 6.5 * IN, 3.75 * IN}, 0xD8C99B,
                  0);
    must(rab_view_words(&pages[1], &words, (struct rab_point){0.5 * IN, 0.75 * IN}, &err), &err);
    const struct rab_words strips = {.text = "one lamp for each step\nand one for the water",
                                     .width = 3.5 * IN,
                                     .height = 1.2 * IN,
                                     .strips = 0.4 * IN,
                                     .ink = rab_paper_ink(0x2B3A55)};
    struct rab_words_set set = {0};
    must(rab_words_set(&strips, &set, &err), &err);
    for (size_t i = 0; i < set.count; i++)
        add_rectangle(&pages[1],
                      (struct rab_box){8 * IN, IN + set.lines[i].strip.y0, 11.5 * IN,
                                       IN + set.lines[i].strip.y1},
                      0x588B8B, 1);
    rab_words_set_clear(&set);
    must(rab_view_words(&pages[1], &strips, (struct rab_point){8 * IN, IN}, &err), &err);

    must(rab_view_png(&pages[0], 1, &out, &err), &err);
    save(folder, "left.png", &out);
    must(rab_view_png(&pages[1], 1, &out, &err), &err);
    save(folder, "right.png", &out);
    must(rab_view_png(pages, 2, &out, &err), &err);
    save(folder, "spread.png", &out);
    rab_view_clear(&pages[0]);
    rab_view_clear(&pages[1]);
}

static void plan_rectangle(struct rab_page_plan *plan, struct rab_box box, const char *letter,
                           const char *what, bool measured)
{
    struct rab_region region = rectangle(box.x0, box.y0, box.x1 - box.x0, box.y1 - box.y0);
    must(rab_page_plan_add(plan, &region, letter, what, measured, NULL), NULL);
    rab_region_clear(&region);
}

/* Matted photos in a grid, a panel behind, a strip of words. */
static void make_plan(const char *folder)
{
    struct rab_page_plan plan = {
        .title = "Lantern walk, right page", .width = 12 * IN, .height = 12 * IN, .in_first = true};
    static const char *const photos[] = {"photo quay",      "photo lock gate", "photo lantern",
                                         "photo chestnuts", "photo bollard",   "photo wet shoes"};
    static const char *const letters[] = {"C", "D", "E", "F", "G", "H"};
    struct rab_error err = {0};
    struct rab_text out = {0};

    plan_rectangle(&plan, (struct rab_box){IN, IN, 11 * IN, 11 * IN}, "A", "panel", true);
    for (int i = 0; i < 6; i++) {
        const double x = 0.5 * IN + 3.75 * IN * (i % 3), y = 8 * IN - 3.75 * IN * (i / 3);
        plan_rectangle(&plan, (struct rab_box){x, y, x + 3.5 * IN, y + 3.5 * IN}, "B",
                       "mat, plain, reveal 1/8 in", true);
        plan_rectangle(&plan,
                       (struct rab_box){x + IN / 8, y + IN / 8, x + 3.375 * IN, y + 3.375 * IN},
                       letters[i], photos[i], true);
    }
    plan_rectangle(&plan, (struct rab_box){0.5 * IN, 0.75 * IN, 6.5 * IN, 3.75 * IN}, "J",
                   "text, the story of the walk as it is told in the family", true);
    plan_rectangle(&plan, (struct rab_box){8 * IN, IN, 11.5 * IN, 1.25 * IN}, "K", "text strip 1",
                   true);
    must(rab_page_plan_pdf(&plan, &out, &err), &err);
    save(folder, "plan.pdf", &out);
    must(rab_page_plan_png(&plan, 0, &out, &err), &err);
    save(folder, "plan.png", &out);
    rab_page_plan_clear(&plan);
}

/* A frame with a backing behind most openings: much of the plan is hidden. */
static void make_frame_plan(const char *folder)
{
    struct rab_page_plan plan = {
        .title = "Lantern walk, left page", .width = 12 * IN, .height = 12 * IN};
    struct rab_region frame = arcade_region();
    struct rab_error err = {0};
    struct rab_text out = {0};

    for (int i = 0; i < OPENINGS; i++) {
        const char letter[] = {(char)('B' + i % 5), '\0'};
        if (i % 6 != 5)
            plan_rectangle(&plan, backing_of(i), letter, "backing", true);
    }
    must(rab_page_plan_add(&plan, &frame, "A", "frame arcade", true, NULL), NULL);
    plan_rectangle(&plan, (struct rab_box){76.1, 12.3, 226.1, 48.3}, "G", "text title", true);
    rab_region_clear(&frame);
    must(rab_page_plan_png(&plan, 0, &out, &err), &err);
    save(folder, "frame-plan.png", &out);
    must(rab_page_plan_pdf(&plan, &out, &err), &err);
    save(folder, "frame-plan.pdf", &out);
    rab_page_plan_clear(&plan);
}

/* More than a sheet holds: 300 pieces, each with its own letter. */
static void make_long_plan(const char *folder)
{
    struct rab_page_plan plan = {.title = "Confetti", .width = 300, .height = 300};
    struct rab_error err = {0};
    struct rab_text out = {0};

    for (int i = 0; i < 300; i++) {
        const double x = i % 20 * 15, y = i / 20 * 15;
        char letter[] = {'A', (char)('A' + i / 26), (char)('A' + i % 26), '\0'};
        plan_rectangle(&plan, (struct rab_box){x, y, x + 12, y + 12}, letter, "piece", i % 7 == 0);
    }
    must(rab_page_plan_pdf(&plan, &out, &err), &err);
    save(folder, "long-plan.pdf", &out);
    must(rab_page_plan_png(&plan, 100, &out, &err), &err);
    save(folder, "long-plan.png", &out);
    rab_page_plan_clear(&plan);
}

static void make_words(const char *folder)
{
    const struct rab_words blocks[] = {
        {.text = story, .width = 4 * IN, .height = 3 * IN, .align = -1, .ink = 0x222222},
        {.text = "one lamp for each step\nand one for the water\nand one for the way home",
         .width = 5 * IN,
         .height = 2 * IN,
         .strips = 0.5 * IN,
         .ink = 0x222222},
        {.text = "Written on the way home.",
         .width = 4 * IN,
         .height = 3 * IN,
         .align = -1,
         .size = 5,
         .ruled = 0.375 * IN,
         .ink = 0x222222},
    };
    static const char *const names[] = {"block", "strips", "ruled"};
    struct rab_error err = {0};
    struct rab_text out = {0}, name = {0};

    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++) {
        must(rab_words_pdf(&blocks[i], "Lantern walk: story", &out, &err), &err);
        rab_text_format(&name, "%s.pdf", names[i]);
        save(folder, name.data, &out);
        rab_text_clear(&name);
        must(rab_words_png(&blocks[i], "Lantern walk: story", 0, &out, &err), &err);
        rab_text_format(&name, "%s.png", names[i]);
        save(folder, name.data, &out);
        rab_text_clear(&name);
    }
}

/* A page that the print covers. */
static void show_image(const char *folder, const char *path)
{
    struct rab_view page = {.width = 4 * IN, .height = 3 * IN, .dpi = 100};
    struct rab_region region = rectangle(0, 0, 4 * IN, 3 * IN);
    struct rab_text bytes = {0}, out = {0};
    struct rab_error err = {0};
    int width, height;

    must(rab_file_read(path, 1 << 28, &bytes, &err), &err);
    must(rab_image_size(bytes.data, bytes.length, &width, &height, &err), &err);
    must(rab_view_image(&page, &region, (struct rab_box){0, 0, 4 * IN, 3 * IN}, bytes.data,
                        bytes.length, 0, &err),
         &err);
    must(rab_view_png(&page, 1, &out, &err), &err);
    save(folder, "image.png", &out);
    printf("%d %d\n", width, height);
    rab_text_clear(&bytes);
    rab_region_clear(&region);
    rab_view_clear(&page);
}

int main(int count, char **arguments)
{
    setlocale(LC_ALL, "");
    if (count == 3) {
        show_image(arguments[1], arguments[2]);
        return 0;
    }
    if (count != 2) {
        fprintf(stderr, "usage: views FOLDER [IMAGE]\n");
        return 2;
    }
    make_spread(arguments[1]);
    make_words(arguments[1]);
    make_plan(arguments[1]);
    make_frame_plan(arguments[1]);
    make_long_plan(arguments[1]);
    puts(localeconv()->decimal_point);
    return 0;
}
