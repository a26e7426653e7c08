/*
 * How fast the shape library is, and how few vertices its shapes take: meson test --benchmark, or
 * bench-shapes by hand. Processor time, the least of a few runs. (How long the library takes to
 * open: bench-library.)
 */
#include <math.h>
#include <rabbet/shape.h>
#include <rabbet/write.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "outline/least.h"

enum { MOST_PARAMETERS = 64, RUNS = 5 };

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return 1e3 * (double)t.tv_sec + 1e-6 * (double)t.tv_nsec;
}

static void give_up(const struct rab_error *err)
{
    fprintf(stderr, "bench-shapes: %s\n", err->text);
    exit(1);
}

/* "columns=100 rows=100" */
static const struct rab_shape *find(const struct rab_library *library, const char *name,
                                    const char *settings, double *values)
{
    struct rab_setting list[8];
    char words[200];
    struct rab_error err = {0};
    size_t count = 0;
    const struct rab_shape *shape = rab_library_find(library, name, &err);

    if (!shape || shape->parameter_count > MOST_PARAMETERS)
        give_up(&err);
    snprintf(words, sizeof words, "%s", settings);
    for (char *word = strtok(words, " "); word; word = strtok(NULL, " ")) {
        char *equals = strchr(word, '=');
        *equals = '\0';
        list[count++] = (struct rab_setting){word, equals + 1};
    }
    if (!rab_shape_values(shape, list, count, values, &err))
        give_up(&err);
    return shape;
}

static void sheet_of(const struct rab_figure *figure, struct rab_sheet *sheet)
{
    const struct rab_box box = rab_region_box(&figure->paper);
    struct rab_error err = {0};
    sheet->width = box.x1 - box.x0;
    sheet->height = box.y1 - box.y0;
    if (!rab_sheet_add_region(sheet, RAB_CUT, 1, &figure->paper, &err))
        give_up(&err);
    for (size_t i = 0; i < figure->path_count; i++)
        if (!rab_sheet_add(sheet, figure->paths[i].operation, 1, &figure->paths[i].outline, &err))
            give_up(&err);
    for (size_t i = 0; i < sheet->count; i++)
        rab_outline_move(&sheet->paths[i].outline, -box.x0, -box.y0);
}

static struct rab_figure drawn(const struct rab_library *library, const struct rab_shape *shape,
                               const double *values, double tolerance)
{
    struct rab_figure figure = {0};
    struct rab_error err = {0};
    if (!rab_shape_draw(library, shape, values, tolerance, &figure, &err))
        give_up(&err);
    return figure;
}

/* ---- times ---- */

static void time_all(const struct rab_library *library)
{
    double values[MOST_PARAMETERS], all = 0, longest = 0;
    const char *slowest = "";
    size_t count = 0;

    for (size_t i = 0; i < rab_library_count(library); i++) {
        const struct rab_shape *shape = rab_library_at(library, i);
        if (shape->motif)
            continue;
        double least = HUGE_VAL;
        find(library, shape->name, "", values);
        for (int run = 0; run < RUNS; run++) {
            const double start = now();
            struct rab_figure figure = drawn(library, shape, values, 0);
            least = fmin(least, now() - start);
            rab_figure_clear(&figure);
        }
        count++;
        all += least;
        if (least > longest) {
            longest = least;
            slowest = shape->name;
        }
    }
    printf("all %zu shapes at their usual values: %.0f ms, the slowest %s %.1f ms\n\n", count, all,
           slowest, longest);
}

static void time_large(const struct rab_library *library)
{
    static const char *const loads[][2] = {
        {"grid-frame", "columns=100 rows=100 web=0.5mm"},
        {"grid-frame", "columns=100 rows=100 web=0.5mm corner=0.5mm"},
        {"rounds-grid", "columns=60 rows=60 web=0.5mm"},
        {"honeycomb", "width=600mm height=600mm flats=5mm web=1mm"},
    };
    double values[MOST_PARAMETERS];

    printf("| drawn | openings | vertices | drawn, ms | with its SVG, ms | SVG, kB |\n"
           "| --- | --- | --- | --- | --- | --- |\n");
    for (size_t i = 0; i < sizeof loads / sizeof *loads; i++) {
        const struct rab_shape *shape = find(library, loads[i][0], loads[i][1], values);
        double draw = HUGE_VAL, both = HUGE_VAL;
        size_t openings = 0, vertices = 0, bytes = 0;
        for (int run = 0; run < RUNS; run++) {
            struct rab_sheet sheet = {0};
            struct rab_text svg = {0};
            struct rab_error err = {0};
            const double start = now();
            struct rab_figure figure = drawn(library, shape, values, 0);
            draw = fmin(draw, now() - start);
            sheet_of(&figure, &sheet);
            if (!rab_write_svg(&sheet, NULL, &svg, &err))
                give_up(&err);
            both = fmin(both, now() - start);
            openings = figure.paper.count - 1;
            vertices = rab_region_vertices(&figure.paper);
            bytes = svg.length;
            rab_text_clear(&svg);
            rab_sheet_clear(&sheet);
            rab_figure_clear(&figure);
        }
        printf("| `%s %s` | %zu | %zu | %.0f | %.0f | %zu |\n", loads[i][0], loads[i][1], openings,
               vertices, draw, both, bytes / 1000);
    }
    printf("\n");
}

/* ---- vertices ---- */

/* Sixteen cubics of an ellipse, as good as the ellipse for any tolerance that matters. */
static size_t least_of_ellipse(double a, double b, double tolerance)
{
    struct chain chain = {.count = 16, .closed = true};
    for (int i = 0; i < 16; i++) {
        const double w = RAB_PI / 8, s = i * w, e = s + w, h = 4.0 / 3 * tan(w / 4);
        chain.curves[i] =
            (struct rab_curve){RAB_CURVE_CUBIC,
                               {{a * cos(s), b * sin(s)},
                                {a * (cos(s) - h * sin(s)), b * (sin(s) + h * cos(s))},
                                {a * (cos(e) + h * sin(e)), b * (sin(e) - h * cos(e))},
                                {a * cos(e), b * sin(e)}},
                               0,
                               0};
    }
    return least_arcs(&chain, tolerance);
}

static size_t occurrences(const char *text, const char *word)
{
    size_t count = 0;
    for (const char *at = strstr(text, word); at; at = strstr(at + 1, word))
        count++;
    return count;
}

static void count_vertices(const struct rab_library *library)
{
    static const struct {
        const char *name, *settings, *why;
        size_t least; /* 0: an ellipse of these axes */
        double width, height;
    } rows[] = {
        {"disc", "", "two half circles; one circle in a file", 2, 0, 0},
        {"rounded", "", "4 sides, 4 corners", 8, 0, 0},
        {"four-centre-oval", "", "4 arcs", 4, 0, 0},
        {"lancet-arch", "", "3 lines, 2 arcs", 5, 0, 0},
        {"quatrefoil", "", "4 arcs of over half a circle, each two", 8, 0, 0},
        {"foil", "foils=6", "6 arcs of less than half a circle", 6, 0, 0},
        {"scalloped-round", "scallops=16", "16 arcs", 16, 0, 0},
        {"ring-of-rounds", "rounds=12", "13 circles, 4 sides", 30, 0, 0},
        {"grid-frame", "columns=100 rows=100 web=0.5mm", "4 sides of 10,001 rectangles", 40004, 0,
         0},
        {"grid-frame", "columns=100 rows=100 web=0.5mm corner=0.5mm",
         "8 of each of 10,000 openings, 4 sides", 80004, 0, 0},
        {"oval", "width=100mm height=90mm", "bound for any arcs within 0.01 mm", 0, 100, 90},
        {"oval", "width=100mm height=60mm", "bound for any arcs within 0.01 mm", 0, 100, 60},
        {"oval", "width=300mm height=100mm", "bound for any arcs within 0.01 mm", 0, 300, 100},
    };
    double values[MOST_PARAMETERS];

    printf("| shape | outlines in the SVG | vertices | least possible | which are |\n"
           "| --- | --- | --- | --- | --- |\n");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct rab_shape *shape = find(library, rows[i].name, rows[i].settings, values);
        struct rab_figure figure = drawn(library, shape, values, 0.01);
        struct rab_sheet sheet = {0};
        struct rab_text svg = {0};
        struct rab_error err = {0};
        const size_t least = rows[i].least > 0
                                 ? rows[i].least
                                 : least_of_ellipse(rows[i].width / 2, rows[i].height / 2, 0.01);
        sheet_of(&figure, &sheet);
        if (!rab_write_svg(&sheet, NULL, &svg, &err))
            give_up(&err);
        printf("| `%s%s%s` | %zu | %zu | %zu | %s |\n", rows[i].name,
               rows[i].settings[0] ? " " : "", rows[i].settings,
               occurrences(svg.data, "<path") + occurrences(svg.data, "<circle"),
               rab_region_vertices(&figure.paper), least, rows[i].why);
        rab_text_clear(&svg);
        rab_sheet_clear(&sheet);
        rab_figure_clear(&figure);
    }
}

int main(void)
{
    struct rab_library *library = NULL;
    struct rab_error err = {0};

    if (!rab_library_open(NULL, 0, &library, NULL, &err))
        give_up(&err);
    time_all(library);
    time_large(library);
    count_vertices(library);
    rab_library_close(library);
    return 0;
}
