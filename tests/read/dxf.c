/* DXF drawings: what each entity is, and what is refused. Group codes by the DXF reference; the
 * measures are worked out by hand. */
#include "support.h"

#include <math.h>

#define HEADER(variables) "0\nSECTION\n2\nHEADER\n" variables "0\nENDSEC\n"
#define MM "9\n$INSUNITS\n70\n4\n"
#define ENTITIES(body) "0\nSECTION\n2\nENTITIES\n" body "0\nENDSEC\n0\nEOF\n"
#define SQUARE                                                                                     \
    "0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n10\n10\n20\n10\n10\n30\n20\n10\n10\n30\n20\n30\n10\n10\n2" \
    "0\n30\n"

static struct reading read_dxf(const char *text)
{
    struct reading r = {0};
    struct rab_error err = {0};
    const bool ok = rab_drawing_read(text, strlen(text), NULL, &r.drawing, &r.notes, &err);

    cr_assert(ok, "%s, line %d", err.text, err.line);
    return r;
}

static void expect_fault(const char *text, int line, const char *words)
{
    struct rab_drawing drawing = {0};
    struct rab_error err = {0};

    cr_expect(not(rab_dxf_read(text, strlen(text), NULL, &drawing, NULL, &err)));
    cr_expect(err.fault == RAB_FAULT_INPUT);
    cr_expect(err.line == line, "line %d, not %d: %s", err.line, line, err.text);
    cr_expect(strstr(err.text, words) != NULL, "\"%s\" is not in \"%s\"", words, err.text);
}

Test(read_dxf, circle_is_two_half_turns)
{
    struct reading r = read_dxf(HEADER(MM) ENTITIES("0\nCIRCLE\n8\n0\n10\n20\n20\n30\n40\n7.5\n"));
    const struct rab_outline *circle = outline_at(&r, 0, 0);

    cr_expect(circle->count == 2 && !circle->open);
    cr_expect(circle->vertices[0].bulge == 1 && circle->vertices[1].bulge == 1);
    cr_expect(epsilon_eq(dbl, rab_outline_area(circle), RAB_PI * 7.5 * 7.5, 1e-9));
    reading_clear(&r);
}

/* Source: DXF reference, ARC: counter-clockwise from 50 to 51. Bulge = tan(angle/4). */
Test(read_dxf, arc_runs_counter_clockwise)
{
    struct reading r =
        read_dxf(HEADER(MM) ENTITIES("0\nARC\n8\n0\n10\n0\n20\n0\n40\n10\n50\n350\n51\n80\n"));
    const struct rab_outline *arc = outline_at(&r, 0, 0);

    cr_expect(arc->open && arc->count == 2);
    cr_expect(epsilon_eq(dbl, arc->vertices[0].bulge, tan(RAB_PI / 8), 1e-12));
    cr_expect(epsilon_eq(dbl, rab_outline_perimeter(arc), 10 * RAB_PI / 2, 1e-9));
    reading_clear(&r);
}

/* A lune of 270 degrees: more than half a turn is two arcs of one circle. */
Test(read_dxf, long_arc_is_split)
{
    struct reading r =
        read_dxf(HEADER(MM) ENTITIES("0\nARC\n8\n0\n10\n0\n20\n0\n40\n10\n50\n0\n51\n270\n"));
    const struct rab_outline *arc = outline_at(&r, 0, 0);

    cr_expect(arc->count == 3 && fabs(arc->vertices[0].bulge) < 1);
    cr_expect(epsilon_eq(dbl, rab_outline_perimeter(arc), 10 * RAB_PI * 1.5, 1e-9));
    reading_clear(&r);
}

/* Source: DXF reference, arbitrary axis algorithm: seen from behind, x is mirrored. */
Test(read_dxf, plane_from_behind_is_mirrored)
{
    struct reading r = read_dxf(HEADER(MM) ENTITIES(
        "0\nCIRCLE\n8\n0\n10\n-5\n20\n0\n40\n1\n230\n-1\n0\nCIRCLE\n8\n0\n10\n15\n20\n0\n40\n1\n"));
    const struct rab_box box = drawn_box(&r.drawing);

    cr_expect(epsilon_eq(dbl, box.x1 - box.x0, 12, 1e-12)); /* from 5 - 1 to 15 + 1 */
    reading_clear(&r);
}

/* Source: 1 in = 25.4 mm; $INSUNITS 1 is inches. */
Test(read_dxf, inches_become_millimetres)
{
    struct reading r = read_dxf(HEADER("9\n$INSUNITS\n70\n1\n") ENTITIES(SQUARE));

    cr_expect(epsilon_eq(dbl, rab_outline_area(outline_at(&r, 0, 0)), 400 * 25.4 * 25.4, 1e-6));
    cr_expect(r.drawing.size_known && r.notes.count == 0);
    reading_clear(&r);
}

Test(read_dxf, without_a_unit_it_is_told_and_an_option_helps)
{
    struct reading r = read_dxf(ENTITIES(SQUARE));
    struct rab_read_options options = {.unit = RAB_UNIT_CM};
    struct rab_drawing drawing = {0};

    cr_expect(find_note(&r.notes, "size") != NULL && !r.drawing.size_known);
    cr_expect(epsilon_eq(dbl, rab_outline_area(outline_at(&r, 0, 0)), 400, 1e-9));
    reading_clear(&r);
    cr_assert(
        rab_dxf_read(ENTITIES(SQUARE), strlen(ENTITIES(SQUARE)), &options, &drawing, NULL, NULL));
    cr_expect(epsilon_eq(dbl, drawing.width, 200, 1e-9));
    rab_drawing_clear(&drawing);
    options = (struct rab_read_options){.width = 50};
    cr_assert(
        rab_dxf_read(ENTITIES(SQUARE), strlen(ENTITIES(SQUARE)), &options, &drawing, NULL, NULL));
    cr_expect(epsilon_eq(dbl, drawing.width, 50, 1e-9));
    cr_expect(drawing.size_known);
    rab_drawing_clear(&drawing);
}

/* The page is the limits when they hold the drawing and somebody set them. */
Test(read_dxf, page_is_the_limits)
{
#define LIMITS(x, y) "9\n$LIMMIN\n10\n0\n20\n0\n9\n$LIMMAX\n10\n" x "\n20\n" y "\n"
    static const struct {
        const char *text;
        double width, height;
    } cases[] = {
        {HEADER(MM LIMITS("100", "80")) ENTITIES(SQUARE), 100, 80},
        {HEADER(MM LIMITS("25", "80")) ENTITIES(SQUARE), 20, 20},
        {HEADER(MM LIMITS("420", "297")) ENTITIES(SQUARE), 20, 20},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct reading r = read_dxf(cases[i].text);
        cr_expect(epsilon_eq(dbl, r.drawing.width, cases[i].width, 1e-9));
        cr_expect(epsilon_eq(dbl, r.drawing.height, cases[i].height, 1e-9));
        reading_clear(&r);
    }
}

/* Stretched in one direction, circles are ellipses: pi a b. */
Test(read_dxf, block_stretched_in_one_direction)
{
    struct reading r = read_dxf(
        HEADER(MM) "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nDISC\n10\n1\n20\n0\n0\nCIRCLE\n8\n0\n10\n1"
                   "\n20\n0\n40\n4\n"
                   "0\nENDBLK\n0\nENDSEC\n" ENTITIES(
                       "0\nINSERT\n8\n0\n2\ndisc\n10\n50\n20\n50\n41\n2\n42\n1\n50\n30\n"));

    cr_assert(r.drawing.count == 1);
    const struct rab_outline *oval = outline_at(&r, 0, 0);
    cr_expect(epsilon_eq(dbl, fabs(rab_outline_area(oval)), RAB_PI * 8 * 4, 0.01 * 40));
    reading_clear(&r);
}

Test(read_dxf, what_is_left_out_is_told)
{
    struct reading r = read_dxf(
        HEADER(MM) "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n0\nLAYER\n2\nAWAY\n70\n0\n62\n-"
                   "7\n0\nENDTAB\n0\nENDSEC\n" ENTITIES(
                       SQUARE "0\nTEXT\n8\n0\n1\nwords\n0\nCIRCLE\n8\naway\n10\n0\n20\n0\n40\n1\n"
                              "0\nCIRCLE\n8\n0\n67\n1\n10\n0\n20\n0\n40\n1\n"
                              "0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n1\n210\n1\n230\n0\n"
                              "0\nINSERT\n2\nNOWHERE\n10\n0\n20\n0\n0\nHATCH\n8\n0\n"));

    cr_expect(r.drawing.count == 1);
    static const char *const codes[] = {"text",   "hidden", "paper-space",
                                        "tilted", "block",  "unknown"};
    for (size_t i = 0; i < sizeof codes / sizeof *codes; i++)
        cr_expect(find_note(&r.notes, codes[i]) != NULL, "%s", codes[i]);
    reading_clear(&r);
}

/* Our own layers keep their meaning: only cuts make the paper. */
Test(read_dxf, layers_of_operations)
{
    struct reading r = read_dxf(HEADER(MM) ENTITIES(
        SQUARE "0\nLINE\n8\nCREASING\n10\n12\n20\n12\n11\n28\n21\n28\n"
               "0\nCIRCLE\n8\nPerforating\n10\n20\n20\n20\n40\n4\n"));
    struct rab_region region = {0};

    cr_assert(r.drawing.count == 3);
    cr_expect(r.drawing.items[0].operation == RAB_CUT);
    cr_expect(r.drawing.items[1].operation == RAB_CREASE);
    cr_expect(r.drawing.items[2].operation == RAB_PERFORATE);
    cr_assert(rab_drawing_region(&r.drawing, RAB_READ_AUTO, -1, &region, NULL, NULL, NULL));
    cr_expect(epsilon_eq(dbl, rab_region_area(&region), 400, 1e-9));
    rab_region_clear(&region);
    reading_clear(&r);
}

Test(read_dxf, every_line_end_reads)
{
    static const char *const ends[] = {"\n", "\r\n", "\r"};
    const char *text = HEADER(MM) ENTITIES(SQUARE);

    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        struct rab_text bytes = {0};
        for (const char *c = text; *c; c++)
            rab_text_bytes(&bytes, *c == '\n' ? ends[i] : c, *c == '\n' ? strlen(ends[i]) : 1);
        struct reading r = read_dxf(bytes.data);
        cr_expect(epsilon_eq(dbl, rab_outline_area(outline_at(&r, 0, 0)), 400, 1e-9));
        reading_clear(&r);
        rab_text_clear(&bytes);
    }
}

Test(read_dxf, damage_is_refused_with_its_line)
{
    expect_fault(ENTITIES("0\nCIRCLE\n8\n0\n10\n5,0\n20\n0\n40\n1\n"), 10, "5,0");
    expect_fault("0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n", 7, "not whole");
    expect_fault("0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n1\n", 9, "not whole");
    expect_fault("0\nSECTION\n2\nHEADER\n0\nENDSEC\n0\nEOF\n", 0, "no ENTITIES");
    expect_fault(ENTITIES("0\nTEXT\n8\n0\n"), 0, "no line");
    expect_fault(ENTITIES("0\nPOLYLINE\n8\n0\n66\n1\n0\nVERTEX\n10\n1\n20\n1\n0\nLINE\n10\n0\n"),
                 18, "no SEQEND");
    expect_fault(ENTITIES("0\nSPLINE\n8\n0\n71\n3\n11\n0\n21\n0\n11\n1\n21\n1\n"), 6, "fit points");
    expect_fault(ENTITIES("0\nSPLINE\n71\n3\n40\n0\n10\n0\n20\n0\n"), 6, "points + degree + 1");
    expect_fault(ENTITIES("hello\nLINE\n"), 5, "hello");
}

/* A block within itself; and a few that double each other's copies a hundred times over. */
Test(read_dxf, blocks_cannot_run_away)
{
    struct rab_text text = {0};

    expect_fault(
        "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nA\n0\nINSERT\n2\nA\n0\nENDBLK\n0\nENDSEC\n" ENTITIES(
            "0\nINSERT\n2\nA\n"),
        10, "within itself");
    rab_text_add(&text, "0\nSECTION\n2\nBLOCKS\n");
    for (int i = 0; i < 20; i++)
        rab_text_format(&text, "0\nBLOCK\n2\nB%d\n0\nINSERT\n2\nB%d\n70\n900\n71\n900\n0\nENDBLK\n",
                        i, i + 1);
    rab_text_add(&text, "0\nENDSEC\n" ENTITIES("0\nINSERT\n2\nB0\n"));
    struct rab_drawing drawing = {0};
    struct rab_error err = {0};
    cr_expect(not(rab_dxf_read(text.data, text.length, NULL, &drawing, NULL, &err)));
    cr_expect(err.fault == RAB_FAULT_INPUT, "%s", err.text);
    rab_text_clear(&text);
}

Test(read_dxf, binary_is_named)
{
    static const char bytes[] = "AnyProgram Binary DXF\r\n\x1A\0";
    struct rab_drawing drawing = {0};
    struct rab_error err = {0};

    cr_expect(not(rab_drawing_read(bytes, sizeof bytes, NULL, &drawing, NULL, &err)));
    cr_expect(strstr(err.text, "text") != NULL);
}
