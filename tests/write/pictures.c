/*
 * Pictures for the checks of PNG files and for looking at: `pictures FOLDER` writes them all.
 */
#include "rabbet/rabbet.h"

#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static struct rab_error fault;

static void must(bool done)
{
    if (done)
        return;
    fprintf(stderr, "pictures: %s\n", fault.text);
    exit(1);
}

static void save(const char *folder, const char *name, struct rab_picture *picture, double dpi)
{
    struct rab_text path = {0}, bytes = {0};
    FILE *file;

    must(rab_picture_png(picture, dpi, &bytes, &fault));
    rab_text_format(&path, "%s/%s.png", folder, name);
    must(rab_text_ok(&path, &fault));
    file = fopen(path.data, "wb");
    if (!file || fwrite(bytes.data, 1, bytes.length, file) != bytes.length || fclose(file) != 0) {
        fprintf(stderr, "pictures: cannot write %s\n", path.data);
        exit(1);
    }
    rab_text_clear(&path);
    rab_text_clear(&bytes);
    rab_picture_clear(picture);
}

/* A frame under construction: its outer edge and its openings. */
struct frame {
    struct rab_outline outlines[10001];
    size_t parents[10001];
    size_t count;
};

static struct frame *new_frame(double width, double height)
{
    struct frame *frame = calloc(1, sizeof *frame);

    must(frame != NULL);
    must(rab_outline_rectangle((struct rab_box){0, 0, width, height}, 0, &frame->outlines[0],
                               &fault));
    frame->parents[0] = RAB_NO_PARENT;
    frame->count = 1;
    return frame;
}

static void free_frame(struct frame *frame)
{
    for (size_t i = 0; i < frame->count; i++)
        rab_outline_clear(&frame->outlines[i]);
    free(frame);
}

static void add_opening(struct frame *frame, const struct rab_vertex *vertices, size_t count)
{
    struct rab_outline *opening = &frame->outlines[frame->count];

    for (size_t i = 0; i < count; i++)
        must(rab_outline_add(opening, vertices[i].x, vertices[i].y, vertices[i].bulge, &fault));
    rab_outline_reverse(opening);
    frame->parents[frame->count++] = 0;
}

static void add_arch(struct frame *frame, double x, double y, double width, double height)
{
    const double bulge = tan(RAB_PI / 12), head = width * sin(RAB_PI / 3);
    const struct rab_vertex vertices[] = {{x - width / 2, y, 0},
                                          {x + width / 2, y, 0},
                                          {x + width / 2, y + height - head, bulge},
                                          {x, y + height, bulge},
                                          {x - width / 2, y + height - head, 0}};
    add_opening(frame, vertices, 5);
}

static void add_round(struct frame *frame, double x, double y, double radius)
{
    const struct rab_vertex vertices[] = {{x - radius, y, 1}, {x + radius, y, 1}};
    add_opening(frame, vertices, 2);
}

static void add_foil(struct frame *frame, double x, double y, double half)
{
    const struct rab_vertex vertices[] = {{x - half, y - half, 1},
                                          {x + half, y - half, 1},
                                          {x + half, y + half, 1},
                                          {x - half, y + half, 1}};
    add_opening(frame, vertices, 4);
}

/* Petals around a centre, close to each other. */
static void add_rose(struct frame *frame, double x, double y, int petals, double from, double to)
{
    for (int i = 0; i < petals; i++) {
        const double angle = 2 * RAB_PI * i / petals, half = RAB_PI / petals * 0.93;
        const double b = tan(half / 2);
        const struct rab_vertex vertices[] = {
            {x + from * cos(angle + half), y + from * sin(angle + half), -b},
            {x + from * cos(angle - half), y + from * sin(angle - half), 0},
            {x + to * cos(angle - half), y + to * sin(angle - half), 0.7},
            {x + to * cos(angle + half), y + to * sin(angle + half), 0}};
        add_opening(frame, vertices, 4);
    }
}

static void paint_frame(struct frame *frame, double seam, struct rab_picture *picture)
{
    struct rab_region *backings = calloc(frame->count, sizeof *backings);
    const struct rab_region paper = {
        .outlines = frame->outlines, .parents = frame->parents, .count = frame->count};

    must(backings != NULL);
    for (size_t i = 1; i < frame->count; i++) {
        struct rab_region opening = {0};
        must(rab_region_fill(&frame->outlines[i], 1, RAB_FILL_NONZERO, &opening, &fault));
        must(rab_region_grow(&opening, seam, RAB_JOIN_ROUND, 0, &backings[i], &fault));
        must(rab_picture_paper(picture, &backings[i], rab_paper_colour(i), "backing", &fault));
        rab_region_clear(&opening);
    }
    must(rab_picture_paper(picture, &paper, rab_paper_colour(0), "frame", &fault));
    for (size_t i = 1; i < frame->count; i++) {
        char number[24];

        must(rab_picture_line(picture, &backings[i].outlines[0], RAB_LINE_HIDDEN,
                              "edge of a backing, hidden by the frame", &fault));
        snprintf(number, sizeof number, "%zu", i);
        must(rab_picture_number_in(picture, &frame->outlines[i], number, &fault));
        rab_region_clear(&backings[i]);
    }
    free(backings);
}

static void make_large(const char *folder)
{
    struct frame *frame = new_frame(304.8, 304.8);
    struct rab_picture picture = {.title = "Lantern walk: the harbour wall",
                                  .note = "Print at 100 %; the bars above measure true."};

    for (int i = 0; i < 7; i++)
        add_arch(frame, 32 + 40.0 * i, 225, 26, 60);
    add_rose(frame, 152.4, 135, 12, 24, 52);
    add_round(frame, 152.4, 135, 18);
    for (int i = 0; i < 2; i++) {
        add_foil(frame, 45 + 214.8 * i, 160, 11);
        add_foil(frame, 45 + 214.8 * i, 108, 11);
    }
    for (int i = 0; i < 12; i++)
        add_round(frame, 25 + 23.2 * i, 30, i % 3 == 1 ? 8 : 4.5);
    paint_frame(frame, 3, &picture);
    for (int i = 0; i < 3; i++) {
        const double angle = 2 * RAB_PI * (i * 4 + 0.5) / 12;
        must(rab_picture_mark(&picture,
                              (struct rab_point){152.4 + 40 * cos(angle), 135 + 40 * sin(angle)},
                              i == 0 ? "0.92 mm" : "0.8 mm", "seam under 1 mm", &fault));
    }
    save(folder, "large", &picture, 0);
    free_frame(frame);
}

static void make_small(const char *folder)
{
    struct frame *frame = new_frame(60, 42);
    struct rab_picture picture = {.title = "Lantern walk: a tag"};

    add_arch(frame, 15, 8, 14, 26);
    add_round(frame, 38, 26, 8);
    add_round(frame, 52, 12, 3);
    add_round(frame, 34, 9, 2.5);
    paint_frame(frame, 3, &picture);
    must(rab_picture_mark(&picture, (struct rab_point){56, 12}, "0.7 mm", "seam under 1 mm",
                          &fault));
    save(folder, "small", &picture, 0);
    free_frame(frame);
}

static void make_many(const char *folder)
{
    struct frame *frame = new_frame(1004, 1004);
    struct rab_picture picture = {.title = "Ten thousand openings"};

    for (int i = 0; i < 10000; i++) {
        const double x = 7 + 10.0 * (i % 100), y = 3 + 10.0 * (i / 100);
        if (i % 3 == 0)
            add_arch(frame, x, y, 6, 8);
        else if (i % 3 == 1)
            add_round(frame, x, y + 4, 3.5);
        else
            add_foil(frame, x, y + 4, 2);
    }
    paint_frame(frame, 0.4, &picture);
    const clock_t start = clock();
    save(folder, "many", &picture, 0);
    fprintf(stderr, "ten thousand openings: %.2f s\n", (double)(clock() - start) / CLOCKS_PER_SEC);
    free_frame(frame);
}

static void make_mat(const char *folder)
{
    struct rab_picture picture = {.title = "Mat"};
    struct rab_outline mat = {0}, photo = {0};
    struct rab_region region = {0};

    must(rab_outline_rectangle((struct rab_box){0, 0, 152.4, 101.6}, 6, &mat, &fault));
    must(rab_outline_rectangle((struct rab_box){3.175, 3.175, 149.225, 98.425}, 2.825, &photo,
                               &fault));
    must(rab_region_fill(&mat, 1, RAB_FILL_NONZERO, &region, &fault));
    must(rab_picture_paper(&picture, &region, rab_paper_colour(0), "mat", &fault));
    must(rab_picture_line(&picture, &photo, RAB_LINE_DRAW, "the photo's place", &fault));
    save(folder, "mat", &picture, 0);
    rab_region_clear(&region);
    rab_outline_clear(&photo);
    rab_outline_clear(&mat);
}

/* Every kind of line, and words that do not fit. */
static void make_lines(const char *folder)
{
    static const char *const meanings[RAB_LINES] = {
        "cut",  "cut part of the depth",   "crease", "perforate",        "draw",
        "glue", "edge behind other paper", "centre", "edge of the sheet"};
    struct rab_picture picture = {
        .title =
            "A title that is far too long for the page, \xff with\ta tab and \xe2\x89\x88 signs",
        .note = "A note that is so long that it cannot stand in one line beneath a page this wide, "
                "however small",
        .view = {-5, -5, 75, 50}};
    struct rab_outline line = {.open = true};

    for (int i = 0; i < RAB_LINES; i++) {
        must(rab_outline_add(&line, 0, 5.0 * i, 0, &fault));
        must(rab_outline_add(&line, 40, 5.0 * i, 0.3, &fault));
        must(rab_outline_add(&line, 70, 5.0 * i, 0, &fault));
        must(rab_picture_line(&picture, &line, (enum rab_line)i, meanings[i], &fault));
        rab_outline_clear(&line);
        line.open = true;
    }
    save(folder, "lines", &picture, 300);
}

int main(int count, char **arguments)
{
    setlocale(LC_ALL, "");
    if (count != 2) {
        fprintf(stderr, "usage: pictures FOLDER\n");
        return 2;
    }
    make_small(arguments[1]);
    make_large(arguments[1]);
    make_many(arguments[1]);
    make_mat(arguments[1]);
    make_lines(arguments[1]);
    puts(localeconv()->decimal_point);
    return 0;
}
