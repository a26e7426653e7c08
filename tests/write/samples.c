/*
 * Sheets for the checks of written files. `samples FOLDER` writes each sheet in every format and
 * option, and beside it the sheet as it was handed to the writers (NAME.json, shortest numbers
 * that read back the same), which check_files.py takes as the truth. `samples speed` times the
 * writers on a large sheet.
 */
#include "rabbet/rabbet.h"

#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "outline/random.h"

static struct rab_error fault;

static void must(bool done)
{
    if (done)
        return;
    fprintf(stderr, "samples: %s\n", fault.text);
    exit(1);
}

static void add(struct rab_sheet *sheet, enum rab_operation operation, struct rab_outline *outline)
{
    const int piece = (int)sheet->count % 5;

    must(rab_sheet_add(sheet, operation, piece, outline, &fault));
    rab_outline_clear(outline);
}

static void add_vertices(struct rab_sheet *sheet, enum rab_operation operation, bool open,
                         const struct rab_vertex *vertices, size_t count)
{
    struct rab_outline outline = {.open = open};

    for (size_t i = 0; i < count; i++)
        must(rab_outline_add(&outline, vertices[i].x, vertices[i].y, vertices[i].bulge, &fault));
    add(sheet, operation, &outline);
}

#define ADD(sheet, operation, open, ...)                                                           \
    add_vertices(sheet, operation, open, (const struct rab_vertex[]){__VA_ARGS__},                 \
                 sizeof((const struct rab_vertex[]){__VA_ARGS__}) / sizeof(struct rab_vertex))

static void add_circle(struct rab_sheet *sheet, enum rab_operation operation, double x, double y,
                       double radius)
{
    struct rab_outline outline = {0};

    must(rab_outline_circle((struct rab_point){x, y}, radius, &outline, &fault));
    add(sheet, operation, &outline);
}

/* One of everything: circles in every way of writing them, arcs of all turns and radii. */
static void make_shapes(struct rab_sheet *sheet)
{
    const double quarter = tan(RAB_PI / 8), sixth = tan(RAB_PI / 12);

    sheet->width = 210, sheet->height = 148.5;
    sheet->title = "Shapes";
    add_circle(sheet, RAB_CUT, 20, 20, 15);
    add_circle(sheet, RAB_DRAW, 1.0 / 3, 100.0 / 3, 29.123456789);
    /* clockwise; four quarters; a quarter and the other three */
    ADD(sheet, RAB_CUT, false, {50, 20, -1}, {60, 20, -1});
    ADD(sheet, RAB_CREASE, false, {80, 20, quarter}, {75, 25, quarter}, {70, 20, quarter},
        {75, 15, quarter});
    ADD(sheet, RAB_CUT, false, {100, 20, quarter}, {95, 25, 1 / quarter});
    ADD(sheet, RAB_CUT, false, {130, 20, 0}, {131, 22, tan(RAB_PI / 3)}, {129, 18, 0.3});
    /* a keyhole: an arc of 300 degrees; nearly full arcs of 359 and 359.99 degrees */
    ADD(sheet, RAB_PERFORATE, false, {20, 60, 1 / sixth}, {30, 60, 0}, {30, 50, 0}, {20, 50, 0});
    ADD(sheet, RAB_PART_CUT, false, {50, 60, tan(359 * RAB_PI / 720)}, {50.1, 60, 0}, {55, 50, 0});
    ADD(sheet, RAB_GLUE, true, {80, 60, -tan(359.99 * RAB_PI / 720)}, {80.001, 60, 0});
    /* radii from a hundredth of a millimetre to a hundred kilometres */
    for (int i = 0; i < 10; i++) {
        const double radius = pow(10, i - 2), chord = fmin(radius, 30);
        const double half = asin(chord / (2 * radius));
        ADD(sheet, RAB_CREASE, true, {100, 60 + 2.0 * i, tan(half / 2)},
            {100 + chord, 60 + 2.0 * i, 0});
    }
    /* points that rounding makes one, and open and closed lines */
    ADD(sheet, RAB_DRAW, false, {20, 100, 0}, {20.0000001, 100, 0}, {40, 100, 0.2},
        {40, 100.0000002, 0}, {40, 120, 0}, {20, 120, 0}, {20, 100.0000001, 0});
    ADD(sheet, RAB_DRAW, true, {60, 100, 0}, {80, 100, 0.5}, {80, 120, 0}, {60, 120, 0});
    ADD(sheet, RAB_CUT, false, {100, 100, 0.1}, {120, 100, -0.7}, {120, 120, 1}, {100, 125, 0});
}

/* Random chains of lines and arcs: bulges of every size, points on a page. */
static void make_random(struct rab_sheet *sheet)
{
    struct random random = {20};

    sheet->width = 304.8, sheet->height = 123.4567891;
    sheet->title = "Random & <hostile> \"title\" ]]> --\x01\xff \xc3\xa9\n</title><script/>";
    for (int i = 0; i < 300; i++) {
        struct rab_outline outline = {.open = random_below(&random, 4) == 0};
        const int count = 2 + random_below(&random, 12);
        const double x = random_between(&random, 40, 260), y = random_between(&random, 40, 80);
        const double size = fabs(random_size(&random, 0.01, 40));

        for (int k = 0; k < count; k++) {
            double bulge = random_size(&random, 1e-12, 30);
            if (random_below(&random, 3) == 0)
                bulge = 0;
            must(rab_outline_add(&outline, x + random_between(&random, -size, size),
                                 y + random_between(&random, -size, size), bulge, &fault));
        }
        add(sheet, (enum rab_operation)(i % RAB_OPERATIONS), &outline);
    }
}

/* Smooth outlines of many short tangent arcs: where one ends, the next goes on in its direction. */
static void make_tangent(struct rab_sheet *sheet)
{
    struct random random = {7};

    sheet->width = 100, sheet->height = 100;
    for (int i = 0; i < 20; i++) {
        struct rab_outline outline = {.open = true};
        double x = random_between(&random, 20, 80), y = random_between(&random, 20, 80);
        double angle = random_between(&random, 0, 6);

        for (int k = 0; k < 200; k++) {
            const double radius = fabs(random_size(&random, 0.05, 20));
            const double length = fmin(fabs(random_size(&random, 0.02, 1)), 3 * radius);
            const double turn = length / radius * (random_below(&random, 2) ? 1 : -1);
            const double chord = 2 * radius * sin(fabs(turn) / 2);

            must(rab_outline_add(&outline, x, y, tan(turn / 4), &fault));
            x += chord * cos(angle + turn / 2);
            y += chord * sin(angle + turn / 2);
            angle += turn;
        }
        must(rab_outline_add(&outline, x, y, 0, &fault));
        add(sheet, RAB_CUT, &outline);
    }
}

/* Shapes side by side, none within another, for areas by filling. */
static void make_apart(struct rab_sheet *sheet)
{
    sheet->width = 100, sheet->height = 80;
    sheet->title = "Apart";
    for (int i = 0; i < 20; i++) {
        const double x = 10 + 20 * (i % 5), y = 10 + 20 * (i / 5), r = 3 + 0.3 * i;
        struct rab_outline outline = {0};

        switch (i % 4) {
        case 0:
            add_circle(sheet, RAB_CUT, x, y, r);
            break;
        case 1:
            must(rab_outline_rectangle((struct rab_box){x - r, y - 5, x + r, y + 5}, 0.25 * i,
                                       &outline, &fault));
            add(sheet, RAB_CUT, &outline);
            break;
        case 2: /* an arch with a pointed head */
            ADD(sheet, RAB_CUT, false, {x - 5, y - 8, 0}, {x + 5, y - 8, 0},
                {x + 5, y, tan(RAB_PI / 12)}, {x, y + 10 * sin(RAB_PI / 3), tan(RAB_PI / 12)},
                {x - 5, y, 0});
            break;
        default: /* a quatrefoil: a square with half discs on its sides */
            ADD(sheet, RAB_CUT, false, {x - 4, y - 4, 1}, {x + 4, y - 4, 1}, {x + 4, y + 4, 1},
                {x - 4, y + 4, 1});
        }
    }
}

/* A frame with openings and an island, by rab_sheet_add_region. */
static void make_frame(struct rab_sheet *sheet)
{
    struct rab_outline outlines[4] = {0};
    size_t parents[] = {RAB_NO_PARENT, 0, 1, 0};
    const struct rab_region region = {.outlines = outlines, .parents = parents, .count = 4};

    sheet->width = 80, sheet->height = 60;
    must(rab_outline_rectangle((struct rab_box){0, 0, 80, 60}, 0, &outlines[0], &fault));
    must(rab_outline_circle((struct rab_point){25, 30}, 15, &outlines[1], &fault));
    must(rab_outline_rectangle((struct rab_box){20, 25, 30, 35}, 2, &outlines[2], &fault));
    must(rab_outline_rectangle((struct rab_box){50, 10, 70, 50}, 10, &outlines[3], &fault));
    rab_outline_reverse(&outlines[1]);
    rab_outline_reverse(&outlines[3]);
    must(rab_sheet_add_region(sheet, RAB_CUT, 1, &region, &fault));
    for (int i = 0; i < 4; i++)
        rab_outline_clear(&outlines[i]);
}

static void make_empty(struct rab_sheet *sheet)
{
    sheet->width = 12, sheet->height = 34;
}

/* A frame's worth of openings with six vertices each. */
static void make_many(struct rab_sheet *sheet)
{
    sheet->width = 1000, sheet->height = 1000;
    for (int i = 0; i < 10000; i++) {
        const double x = 5 + 10.0 * (i % 100) + 1.0 / 7, y = 5 + 10.0 * (i / 100) + 1.0 / 3;
        ADD(sheet, RAB_CUT, false, {x - 3.1, y - 3.7, 0}, {x + 3.1, y - 3.7, 0.1},
            {x + 3.1, y, tan(RAB_PI / 12)}, {x, y + 4, tan(RAB_PI / 12)}, {x - 3.1, y, 0.2},
            {x - 3.3, y - 1, 0});
    }
}

static void write_truth(const struct rab_sheet *sheet, struct rab_text *text)
{
    struct rab_json json = {.text = text};

    rab_json_object(&json, NULL);
    rab_json_number(&json, "width", sheet->width, -1);
    rab_json_number(&json, "height", sheet->height, -1);
    rab_json_array(&json, "paths");
    for (size_t i = 0; i < sheet->count; i++) {
        const struct rab_path *path = &sheet->paths[i];
        rab_json_object(&json, NULL);
        rab_json_text(&json, "operation", rab_operation_name(path->operation));
        rab_json_bool(&json, "open", path->outline.open);
        rab_json_array(&json, "vertices");
        for (size_t k = 0; k < path->outline.count; k++) {
            const struct rab_vertex v = path->outline.vertices[k];
            rab_json_numbers(&json, NULL, (const double[]){v.x, v.y, v.bulge}, 3, -1);
        }
        rab_json_end(&json);
        rab_json_end(&json);
    }
    rab_json_end(&json);
    rab_json_end(&json);
}

static void save(const char *folder, const char *name, const char *ending, struct rab_text *text)
{
    struct rab_text path = {0};
    FILE *file;

    must(rab_text_ok(text, &fault));
    rab_text_format(&path, "%s/%s%s", folder, name, ending);
    must(rab_text_ok(&path, &fault));
    file = fopen(path.data, "wb");
    if (!file || fwrite(text->data, 1, text->length, file) != text->length || fclose(file) != 0) {
        fprintf(stderr, "samples: cannot write %s\n", path.data);
        exit(1);
    }
    rab_text_clear(&path);
    rab_text_clear(text);
}

typedef bool write_function(const struct rab_sheet *, const struct rab_write_options *,
                            struct rab_text *, struct rab_error *);
static const struct {
    const char *ending;
    write_function *write;
    struct rab_write_options options;
} formats[] = {
    {".svg", rab_write_svg, {0}},
    {".beziers.svg", rab_write_svg, {.curves = RAB_CURVES_BEZIERS}},
    {".fine-beziers.svg", rab_write_svg, {.curves = RAB_CURVES_BEZIERS, .tolerance = 1e-4}},
    {".lines.svg", rab_write_svg, {.curves = RAB_CURVES_LINES}},
    {".fine-lines.svg", rab_write_svg, {.curves = RAB_CURVES_LINES, .tolerance = 5e-4}},
    {".96.svg", rab_write_svg, {.svg_unit = RAB_SVG_96}},
    {".90.svg", rab_write_svg, {.svg_unit = RAB_SVG_90}},
    {".72.svg", rab_write_svg, {.svg_unit = RAB_SVG_72}},
    {".r2000.dxf", rab_write_dxf, {0}},
    {".r12.dxf", rab_write_dxf, {.dxf = RAB_DXF_R12}},
    {".lines.r2000.dxf", rab_write_dxf, {.curves = RAB_CURVES_LINES}},
    {".lines.r12.dxf", rab_write_dxf, {.curves = RAB_CURVES_LINES, .dxf = RAB_DXF_R12}},
    {".single.r2000.dxf", rab_write_dxf, {.single_entities = true}},
    {".single.r12.dxf", rab_write_dxf, {.single_entities = true, .dxf = RAB_DXF_R12}},
    {".pdf", rab_write_pdf, {0}},
    {".plt", rab_write_hpgl, {0}},
};

static const struct {
    const char *name;
    void (*make)(struct rab_sheet *sheet);
} sheets[] = {
    {"shapes", make_shapes}, {"random", make_random}, {"tangent", make_tangent},
    {"apart", make_apart},   {"frame", make_frame},   {"empty", make_empty},
};

static double seconds(void)
{
    return (double)clock() / CLOCKS_PER_SEC;
}

static void show_speed(void)
{
    struct rab_sheet sheet = {0};
    struct rab_text text = {0};

    make_many(&sheet);
    for (size_t i = 0; i < sizeof formats / sizeof *formats; i++) {
        const double start = seconds();
        if (formats[i].write == rab_write_hpgl)
            continue; /* the sheet is larger than it can tell */
        must(formats[i].write(&sheet, &formats[i].options, &text, &fault));
        printf("%-18s %6.1f ms  %6.2f MB\n", formats[i].ending + 1, 1e3 * (seconds() - start),
               (double)text.length / 1e6);
    }
    rab_text_clear(&text);
    rab_sheet_clear(&sheet);
}

int main(int count, char **arguments)
{
    setlocale(LC_ALL, "");
    if (count != 2) {
        fprintf(stderr, "usage: samples FOLDER | samples speed\n");
        return 2;
    }
    if (strcmp(arguments[1], "speed") == 0) {
        show_speed();
        return 0;
    }
    for (size_t s = 0; s < sizeof sheets / sizeof *sheets; s++) {
        struct rab_sheet sheet = {0};
        struct rab_text text = {0};

        sheets[s].make(&sheet);
        write_truth(&sheet, &text);
        save(arguments[1], sheets[s].name, ".json", &text);
        for (size_t i = 0; i < sizeof formats / sizeof *formats; i++) {
            must(formats[i].write(&sheet, &formats[i].options, &text, &fault));
            save(arguments[1], sheets[s].name, formats[i].ending, &text);
        }
        rab_sheet_clear(&sheet);
    }
    /* So that a run under another locale can be seen to be one. */
    puts(localeconv()->decimal_point);
    return 0;
}
