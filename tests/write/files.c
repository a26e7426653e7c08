/* What the writers hand over, looked at byte by byte; check_files.py measures the same files with
 * other programs' readers. */
#include "rabbet/write.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <libxml/parser.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef bool writer(const struct rab_sheet *sheet, const struct rab_write_options *options,
                    struct rab_text *out, struct rab_error *err);
static writer *const writers[] = {rab_write_svg, rab_write_dxf};

static struct rab_sheet page(void)
{
    return (struct rab_sheet){.width = 100, .height = 50};
}

/* Taken as they are: rab_outline_add would refuse what some tests want the writers to refuse. */
static void add(struct rab_sheet *sheet, enum rab_operation operation, bool open,
                const struct rab_vertex *vertices, size_t count)
{
    struct rab_vertex copy[8];

    cr_assert(count <= 8);
    if (count > 0)
        memcpy(copy, vertices, count * sizeof *vertices);
    cr_assert(rab_sheet_add(sheet, operation, 0,
                            &(struct rab_outline){.vertices = copy, .count = count, .open = open},
                            NULL));
}

static size_t occurrences(const struct rab_text *text, const char *words)
{
    size_t count = 0;

    for (const char *at = text->data; at && (at = strstr(at, words)); at += strlen(words))
        count++;
    return count;
}

static bool holds(const struct rab_text *text, const char *words)
{
    return occurrences(text, words) > 0;
}

/* Writes it both ways, with libxml2 as the judge of the XML. Clears the sheet. */
static void write_both(struct rab_sheet *sheet, const struct rab_write_options *options,
                       struct rab_text *svg, struct rab_text *dxf)
{
    struct rab_error err = {0};
    xmlDoc *document;

    cr_assert(rab_write_svg(sheet, options, svg, &err), "%s", err.text);
    cr_assert(rab_write_dxf(sheet, options, dxf, &err), "%s", err.text);
    document = xmlReadMemory(svg->data, (int)svg->length, NULL, NULL, XML_PARSE_NONET);
    cr_assert(document != NULL);
    xmlFreeDoc(document);
    rab_sheet_clear(sheet);
}

/* ---- circles and arcs ---- */

Test(write_files, a_circle_is_one_entity)
{
    const struct rab_vertex circle[] = {{10, 20, 1}, {30, 20, 1}};
    struct rab_sheet sheet = page();
    struct rab_text svg = {0}, dxf = {0};

    add(&sheet, RAB_CUT, false, circle, 2);
    write_both(&sheet, NULL, &svg, &dxf);
    cr_expect(holds(&svg, "<circle cx=\"20\" cy=\"30\" r=\"10\"/>"));
    cr_expect(not(holds(&svg, "<path")));
    cr_expect(holds(&dxf, "\r\nCIRCLE\r\n"));
    cr_expect(holds(&dxf, "\r\n 10\r\n20.0\r\n 20\r\n20.0\r\n 30\r\n0.0\r\n 40\r\n10.0\r\n"));
    cr_expect(not(holds(&dxf, "LWPOLYLINE")));
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
}

Test(write_files, what_only_resembles_a_circle_is_none)
{
    /* an open one; a lens; half circles of two radii; an ellipse of four arcs; twice around */
    static const struct rab_vertex lens[] = {{10, 20, 0.5}, {30, 20, 0.5}};
    static const struct rab_vertex circle[] = {{10, 20, 1}, {30, 20, 1}};
    static const struct rab_vertex heart[] = {{10, 20, 1}, {30, 20, 1}, {20.000001, 20, 1}};
    static const struct rab_vertex oval[] = {
        {10, 20, 0.3}, {30, 10, 0.5}, {50, 20, 0.3}, {30, 30, 0.5}};
    static const struct rab_vertex twice[] = {{10, 20, 1}, {30, 20, 1}, {10, 20, 1}, {30, 20, 1}};
    const struct {
        const struct rab_vertex *vertices;
        size_t count;
        bool open;
    } cases[] = {{lens, 2, false},
                 {circle, 2, true},
                 {heart, 3, false},
                 {oval, 4, false},
                 {twice, 4, false}};

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct rab_sheet sheet = page();
        struct rab_text svg = {0}, dxf = {0};

        add(&sheet, RAB_CUT, cases[i].open, cases[i].vertices, cases[i].count);
        write_both(&sheet, NULL, &svg, &dxf);
        cr_expect(not(holds(&svg, "<circle")), "case %zu", i);
        cr_expect(not(holds(&dxf, "CIRCLE")), "case %zu", i);
        rab_text_clear(&svg);
        rab_text_clear(&dxf);
    }
}

/* A turn of 300 degrees: four quarters at most in SVG, two halves at most in DXF.
 * DXF reference: bulge = tan(included angle / 4), so halves of it have tan(150/4 degrees). */
Test(write_files, large_arcs_are_split)
{
    const struct rab_vertex keyhole[] = {{20, 20, tan(300.0 / 4 * RAB_PI / 180)}, {30, 20, 0}};
    struct rab_sheet sheet = page();
    struct rab_text svg = {0}, dxf = {0}, bulge = {0};

    add(&sheet, RAB_CUT, false, keyhole, 2);
    write_both(&sheet, NULL, &svg, &dxf);
    cr_expect(eq(sz, occurrences(&svg, "A 10 10 0 0 0 "), 4));
    cr_expect(holds(&svg, " Z\"/>"));
    rab_text_add(&bulge, " 42\r\n");
    rab_text_fixed(&bulge, tan(150.0 / 4 * RAB_PI / 180), 15);
    rab_text_add(&bulge, "\r\n");
    cr_expect(eq(sz, occurrences(&dxf, bulge.data), 2));
    cr_expect(holds(&dxf, " 90\r\n3\r\n 70\r\n1\r\n"));
    rab_text_clear(&bulge);
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
}

/* y points down in SVG: what turns counter-clockwise on paper has sweep flag 0 (SVG 1.1, 8.3.8). */
Test(write_files, arcs_turn_the_right_way)
{
    const struct rab_vertex left[] = {{10, 10, 0.4}, {20, 10, 0}};
    const struct rab_vertex right[] = {{10, 10, -0.4}, {20, 10, 0}};
    struct rab_sheet sheet = page();
    struct rab_text svg = {0}, dxf = {0};

    add(&sheet, RAB_CUT, true, left, 2);
    add(&sheet, RAB_CREASE, true, right, 2);
    write_both(&sheet, NULL, &svg, &dxf);
    /* r = c (1 + b^2) / (4 b) = 10 x 1.16 / 1.6 */
    cr_expect(holds(&svg, "d=\"M 10 40 A 7.25 7.25 0 0 0 20 40\""));
    cr_expect(holds(&svg, "d=\"M 10 40 A 7.25 7.25 0 0 1 20 40\""));
    cr_expect(holds(&dxf, " 42\r\n0.4\r\n"));
    cr_expect(holds(&dxf, " 42\r\n-0.4\r\n"));
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
}

Test(write_files, a_dxf_keeps_its_arcs_where_an_svg_has_bezier_curves)
{
    const struct rab_vertex arch[] = {{10, 10, 0}, {30, 10, 0}, {30, 20, 1}, {10, 20, 0}};
    const struct rab_write_options options = {.curves = RAB_CURVES_BEZIERS};
    struct rab_sheet sheet = page(), again = page();
    struct rab_text svg = {0}, dxf = {0}, plain = {0};

    add(&sheet, RAB_CUT, false, arch, 4);
    add(&again, RAB_CUT, false, arch, 4);
    write_both(&sheet, &options, &svg, &dxf);
    cr_expect(eq(sz, occurrences(&svg, " C "), 2));
    cr_expect(not(holds(&svg, " A ")));
    cr_assert(rab_write_dxf(&again, NULL, &plain, NULL));
    cr_expect(strcmp(dxf.data, plain.data) == 0);
    rab_sheet_clear(&again);
    rab_text_clear(&plain);
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
}

/* ---- sheets ---- */

Test(write_files, an_empty_sheet_is_a_whole_file)
{
    struct rab_sheet sheet = page();
    struct rab_text svg = {0}, dxf = {0};

    write_both(&sheet, NULL, &svg, &dxf);
    cr_expect(strcmp(svg.data,
                     "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                     "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"100mm\" "
                     "height=\"50mm\" viewBox=\"0 0 100 50\">\n</svg>\n") == 0);
    cr_expect(holds(&dxf, "$EXTMAX\r\n 10\r\n100.0\r\n 20\r\n50.0\r\n"));
    cr_expect(holds(&dxf, "\r\n  0\r\nEOF\r\n"));
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
}

/* 8 1/3 in are 800 dots at 96 to the inch; 211.666667 mm would be a hair more than that. */
Test(write_files, a_page_is_never_written_larger_than_it_is)
{
    struct rab_sheet sheet = {.width = 25.4 * 25 / 3, .height = 304.8};
    struct rab_text svg = {0}, dxf = {0};

    write_both(&sheet, NULL, &svg, &dxf);
    cr_expect(holds(&svg, "width=\"211.666666mm\" height=\"304.8mm\" "
                          "viewBox=\"0 0 211.666666 304.8\""));
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
}

Test(write_files, operations_come_in_the_order_of_the_work)
{
    const struct rab_vertex line[] = {{10, 10, 0}, {20, 10, 0}};
    struct rab_sheet sheet = page();
    struct rab_text svg = {0}, dxf = {0};
    const char *svg_at, *dxf_at;
    const enum rab_operation order[] = {RAB_DRAW,     RAB_GLUE,      RAB_CREASE,
                                        RAB_PART_CUT, RAB_PERFORATE, RAB_CUT};

    for (int i = 0; i < RAB_OPERATIONS; i++)
        add(&sheet, (enum rab_operation)i, true, line, 2);
    write_both(&sheet, NULL, &svg, &dxf);
    svg_at = svg.data;
    dxf_at = strstr(dxf.data, "ENTITIES");
    cr_assert(dxf_at != NULL);
    for (int i = 0; i < RAB_OPERATIONS; i++) {
        struct rab_text group = {0};

        rab_text_format(&group, "<g id=\"%s\"", rab_operation_name(order[i]));
        svg_at = strstr(svg_at, group.data);
        dxf_at = strstr(dxf_at, rab_operation_layer(order[i]));
        cr_assert(svg_at && dxf_at, "%s", group.data);
        rab_text_clear(&group);
    }
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
}

/* Names of ISO 19593-1 (as published introductions to it give them); "Drawing" is ours. Layers are
 * the same in capitals, of characters that R12 takes. */
Test(write_files, operations_have_the_standards_names)
{
    cr_expect(strcmp(rab_operation_name(RAB_CUT), "Cutting") == 0);
    cr_expect(strcmp(rab_operation_name(RAB_PART_CUT), "PartialCutting") == 0);
    cr_expect(strcmp(rab_operation_name(RAB_CREASE), "Creasing") == 0);
    cr_expect(strcmp(rab_operation_name(RAB_PERFORATE), "Perforating") == 0);
    cr_expect(strcmp(rab_operation_name(RAB_DRAW), "Drawing") == 0);
    cr_expect(strcmp(rab_operation_name(RAB_GLUE), "Gluing") == 0);
    for (int i = 0; i < RAB_OPERATIONS; i++) {
        const char *name = rab_operation_name((enum rab_operation)i);
        const char *layer = rab_operation_layer((enum rab_operation)i);

        cr_expect(eq(sz, strlen(name), strlen(layer)));
        cr_expect(eq(sz, strspn(layer, "ABCDEFGHIJKLMNOPQRSTUVWXYZ"), strlen(layer)));
        cr_expect(eq(int, strcasecmp(name, layer), 0));
    }
}

Test(write_files, a_region_is_cut_from_the_inside_out)
{
    /* an outer edge, its opening, an island in that with a hole, and a second opening */
    static const double corners[][2] = {{0, 100}, {10, 90}, {20, 40}, {25, 30}, {50, 80}};
    struct rab_outline outlines[5] = {0};
    size_t parents[] = {RAB_NO_PARENT, 0, 1, 2, 1};
    const size_t order[] = {3, 2, 4, 1, 0};
    const struct rab_region region = {outlines, parents, 5};
    struct rab_sheet sheet = page();

    for (int i = 0; i < 5; i++)
        cr_assert(rab_outline_rectangle(
            (struct rab_box){corners[i][0], corners[i][0], corners[i][1], corners[i][1]}, 0,
            &outlines[i], NULL));
    cr_assert(rab_sheet_add_region(&sheet, RAB_CUT, 3, &region, NULL));
    cr_assert(eq(sz, sheet.count, 5));
    for (size_t i = 0; i < 5; i++) {
        cr_expect(epsilon_eq(dbl, rab_outline_area(&sheet.paths[i].outline),
                             rab_outline_area(&outlines[order[i]]), 1e-9));
        cr_expect(sheet.paths[i].piece == 3 && sheet.paths[i].operation == RAB_CUT);
    }
    rab_sheet_clear(&sheet);
    for (int i = 0; i < 5; i++)
        rab_outline_clear(&outlines[i]);
}

Test(write_files, outlines_without_length_are_left_out)
{
    const struct rab_vertex point[] = {{10, 10, 0}}, same[] = {{10, 10, 1}, {10, 10, 1}};
    /* longer than nothing, but a point to six decimals */
    const struct rab_vertex tiny[] = {{10, 10, 0}, {10.0000001, 10, 0.3}};
    const struct rab_vertex speck[] = {{10, 10, 1}, {10.0000001, 10, 1}};
    struct rab_sheet sheet = page();
    struct rab_text svg = {0}, dxf = {0};

    add(&sheet, RAB_CUT, false, point, 1);
    add(&sheet, RAB_CUT, false, same, 2);
    add(&sheet, RAB_CUT, false, NULL, 0);
    cr_expect(eq(sz, sheet.count, 0));
    add(&sheet, RAB_CUT, false, tiny, 2);
    add(&sheet, RAB_CUT, false, speck, 2);
    write_both(&sheet, NULL, &svg, &dxf);
    cr_expect(
        eq(sz, occurrences(&svg, "<path") + occurrences(&svg, "<circle") + occurrences(&svg, "<g"),
           0));
    cr_expect(eq(sz, occurrences(&dxf, "LWPOLYLINE") + occurrences(&dxf, "CUTTING"), 0));
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
}

/* ---- text and options ---- */

Test(write_files, a_title_cannot_break_the_file)
{
    struct rab_sheet sheet = page();
    struct rab_text svg = {0}, dxf = {0};

    sheet.title = "</title><script>&lt;\"'\x02\xc0\xaf]]>\xef\xbf\xbf";
    write_both(&sheet, NULL, &svg, &dxf);
    cr_expect(holds(&svg, "<title>&lt;/title&gt;&lt;script&gt;&amp;lt;&quot;&apos;"
                          "\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd]]&gt;\xef\xbf\xbd</title>"));
    cr_expect(not(holds(&dxf, "script")));
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
}

Test(write_files, colours_can_be_changed)
{
    const uint32_t colours[RAB_OPERATIONS] = {[RAB_CUT] = 0x12ABEF};
    const struct rab_write_options options = {.colours = colours};
    const struct rab_vertex line[] = {{10, 10, 0}, {20, 10, 0}};
    struct rab_sheet sheet = page();
    struct rab_text svg = {0}, dxf = {0};

    add(&sheet, RAB_CUT, true, line, 2);
    write_both(&sheet, &options, &svg, &dxf);
    cr_expect(holds(&svg, "stroke=\"#12ABEF\""));
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
}

/* Not a byte of what `out` held is touched when a writer fails. */
static void expect_refusal(const struct rab_sheet *sheet, const struct rab_write_options *options,
                           const char *reason)
{
    for (size_t i = 0; i < 2; i++) {
        struct rab_error err = {0};
        struct rab_text out = {0};

        rab_text_add(&out, "before");
        cr_expect(not(writers[i](sheet, options, &out, &err)), "%s", reason);
        cr_expect(err.fault == RAB_FAULT_INPUT && strstr(err.text, reason), "%s", err.text);
        cr_expect(strcmp(out.data, "before") == 0);
        rab_text_clear(&out);
    }
}

Test(write_files, what_cannot_be_written_is_refused)
{
    static const double sizes[] = {0, -1, NAN, INFINITY, 1.1e6};
    static const double tolerances[] = {-1, NAN, 1e-5, 11, INFINITY};
    static const struct rab_vertex wrong[][2] = {{{NAN, 0, 0}, {1, 1, 0}},
                                                 {{0, 0, 0}, {1, INFINITY, 0}},
                                                 {{0, 0, NAN}, {1, 1, 0}},
                                                 {{0, 0, INFINITY}, {1, 1, 0}},
                                                 {{0, 0, 0}, {-2e6, 1, 0}},
                                                 /* an arc that reaches far beyond its ends */
                                                 {{0, 0, 1e7}, {1, 1, 0}}};
    struct rab_sheet sheet = page();

    for (size_t i = 0; i < sizeof tolerances / sizeof *tolerances; i++) {
        const struct rab_write_options options = {.tolerance = tolerances[i]};
        expect_refusal(&sheet, &options, "give 0.0001 to 10 mm");
    }
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        struct rab_sheet odd = {.width = sizes[i], .height = 10};
        expect_refusal(&odd, NULL, "give a width and a height");
        odd = (struct rab_sheet){.width = 10, .height = sizes[i]};
        expect_refusal(&odd, NULL, "give a width and a height");
    }
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        add(&sheet, RAB_CUT, false, wrong[i], 2);
        expect_refusal(&sheet, NULL, "give finite millimetres");
        rab_sheet_clear(&sheet);
    }
}

Test(write_files, what_out_held_before_is_replaced)
{
    struct rab_sheet sheet = page();

    for (size_t i = 0; i < 2; i++) {
        struct rab_text first = {0}, second = {0};

        cr_assert(writers[i](&sheet, NULL, &first, NULL));
        rab_text_add(&second, "before");
        cr_assert(writers[i](&sheet, &(struct rab_write_options){0}, &second, NULL));
        cr_expect(strcmp(first.data, second.data) == 0);
        rab_text_clear(&first);
        rab_text_clear(&second);
    }
}
