/* Pages, blocks of words and page plans for other programs to measure: views FOLDER PNG JPEG */
#include "rabbet/write.h"

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

/* A frame of arched openings, 6 x 5. */
static void add_arcade(struct rab_view *view)
{
    static const uint32_t papers[] = {0xE3B04B, 0xC8553D, 0x588B8B, 0xF28F3B, 0xD8C99B};
    struct rab_outline outlines[31] = {0};
    struct rab_region region = {0};
    size_t count = 1;

    must(rab_outline_rectangle((struct rab_box){20, 60, 284.8, 290}, 2, &outlines[0], NULL), NULL);
    for (int row = 0; row < 5; row++)
        for (int column = 0; column < 6; column++, count++) {
            const double x = 30 + 42 * column, y = 68 + 44 * row;
            const struct rab_vertex arch[] = {
                {x, y, 0}, {x + 34, y, 0}, {x + 34, y + 19, 1}, {x, y + 19, 0}};
            for (int k = 0; k < 4; k++)
                must(rab_outline_add(&outlines[count], arch[k].x, arch[k].y, arch[k].bulge, NULL),
                     NULL);
            if (count % 6 != 0)
                add_rectangle(view, (struct rab_box){x - 3, y - 3, x + 37, y + 39},
                              papers[(count - count / 6) % 5], 0);
        }
    must(rab_region_fill(outlines, count, RAB_FILL_EVENODD, &region, NULL), NULL);
    must(rab_view_paper(view, &region, 0xF3EDE0, 1, NULL), NULL);
    rab_region_clear(&region);
    for (size_t i = 0; i < count; i++)
        rab_outline_clear(&outlines[i]);
}

static const char story[] =
    "At dusk the lamps went down to the quay, one after another, and the water took every one of "
    "them twice. We walked as far as the last bollard, ate chestnuts out of a paper bag, and came "
    "home by the lock with wet shoes and a lantern that would not go out.";

static void make_spread(const char *folder, const struct rab_text *png, const struct rab_text *jpeg)
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
        if (i == 0 || i == 5)
            must(rab_view_image(&pages[1], &region, photo, i ? jpeg->data : png->data,
                                i ? jpeg->length : png->length, 0, &err),
                 &err);
        else
            must(
                rab_view_photo(&pages[1], &region, i == 3 ? 0x4A5A6A : 0xC9CCCF, names[i], 0, &err),
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

int main(int argc, char **argv)
{
    struct rab_text png = {0}, jpeg = {0};
    struct rab_error err = {0};

    if (argc != 4)
        return 2;
    must(rab_file_read(argv[2], 1 << 26, &png, &err), &err);
    must(rab_file_read(argv[3], 1 << 26, &jpeg, &err), &err);
    make_spread(argv[1], &png, &jpeg);
    make_words(argv[1]);
    rab_text_clear(&png);
    rab_text_clear(&jpeg);
    return 0;
}
