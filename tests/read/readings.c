/*
 * From what is drawn to paper: fill rules (SVG 1.1, 11.3), lines nested odd and even, open lines joined,
 * outlines drawn twice. Areas are worked out by hand.
 */
#include "support.h"

#include <math.h>

#define PEN(body) PAGE("<g fill='none' stroke='black'>" body "</g>")
#define FRAME "<path d='M0 0H100V80H0z'/>"
#define OPENING "<path d='M15 20h30v40h-30z'/>"

struct expected {
    const char *text;
    double area;
    size_t outlines; /* of the region */
};

static void expect_regions(const struct expected *list, size_t count, enum rab_reading how)
{
    for (size_t i = 0; i < count; i++) {
        struct rab_reading_report report = {0};
        struct rab_region region = region_of(list[i].text, RAB_READ_AUTO, &report, NULL);
        cr_expect(report.reading == how, "%s", list[i].text);
        cr_expect(epsilon_eq(dbl, rab_region_area(&region), list[i].area, 1e-6), "%s", list[i].text);
        cr_expect(eq(sz, region.count, list[i].outlines), "%s", list[i].text);
        rab_region_clear(&region);
    }
}
#define EXPECT(list, how) expect_regions(list, sizeof list / sizeof list[0], how)

Test(readings, filled)
{
    static const struct expected list[] = {
        {PAGE("<path fill-rule='evenodd' d='M0 0H100V80H0z M15 20h30v40h-30z'/>"), 6800, 2},
        {PAGE("<path d='M0 0H100V80H0z M15 20h30v40h-30z'/>"), 8000, 1},
        {PAGE("<path d='M0 0H100V80H0z M15 20v40h30v-40z'/>"), 6800, 2},
        /* each element by its own rule, then all together */
        {PAGE("<path fill-rule='evenodd' d='M0 0H100V80H0z M15 20h30v40h-30z'/>"
              "<rect x='20' y='30' width='10' height='10'/>"),
         6900, 3},
        {PAGE("<path fill-rule='evenodd' d='M0 0H50V80H0z M10 20h10v10h-10z'/>"
              "<path fill-rule='evenodd' d='M40 0H100V80H40z M60 20h10v10h-10z'/>"),
         7800, 3},
        /* the same thing twice is there once */
        {PAGE("<rect width='10' height='10'/><rect width='10' height='10'/>"), 100, 1},
        /* opposite directions do not take each other away */
        {PAGE("<path d='M0 0h10v10h-10z'/><path d='M5 0v10h10v-10z'/>"), 150, 1},
        /* filled as if closed, 11.3 */
        {PAGE("<path d='M10 10h30v30h-30'/>"), 900, 1},
        {PAGE("<polyline points='0 0 20 0 20 20'/>"), 200, 1},
        /* a line has no inside, a filled shape makes the drawing a filled one */
        {PAGE("<rect width='10' height='10'/><rect x='50' width='9' height='9' fill='none' "
              "stroke='red'/><line x2='50' y2='50'/>"),
         100, 1},
        /* outlines that cross themselves: a bow tie of two triangles, 30 x 20 / 2 each */
        {PAGE("<path d='M15 20L45 60H15L45 20z'/>"), 600, 2},
        /* out and back on itself */
        {PAGE("<path d='M15 20H45V60H15V40H5H15z'/>"), 1200, 1},
    };
    EXPECT(list, RAB_READ_FILLED);
}

Test(readings, lines)
{
    static const struct expected list[] = {
        {PEN(FRAME OPENING "<circle cx='75' cy='40' r='15'/>"), 6800 - 225 * RAB_PI, 3},
        /* five outlines in one another */
        {PEN("<path d='M0 0H100V80H0z M5 5h90v70h-90z M10 10h80v60h-80z'/>"
             "<path d='M15 15h70v50h-70z'/><path d='M20 20h60v40h-60z'/>"),
         8000 - 6300 + 4800 - 3500 + 2400, 5},
        /* the default fill of a line that encloses nothing does not make a filled drawing */
        {PAGE("<g stroke='black'><line x2='100'/><line x1='100' x2='100' y2='80'/>"
              "<path d='M100 80H0'/><polyline points='0,80 0,0'/></g>"),
         8000, 1},
        /* four lines in any order and direction */
        {PEN("<path d='M0 0H100'/><path d='M0 80V0'/><path d='M100 0V80'/><path d='M0 80H100'/>"), 8000, 1},
        /* two half circles, and an arc closed by a line drawn the other way */
        {PEN("<path d='M30 40A20 20 0 0 1 70 40'/><path d='M70 40A20 20 0 0 1 30 40'/>"), 400 * RAB_PI, 1},
        {PEN("<path d='M30 40A20 20 0 0 1 70 40'/><path d='M30 40H70'/>"), 200 * RAB_PI, 1},
        {PEN("<path d='M70 40A20 20 0 0 0 30 40'/><path d='M30 40H70'/>"), 200 * RAB_PI, 1},
        /* nothing is painted at all: then everything counts */
        {PAGE("<rect width='10' height='10' fill='none'/>"), 100, 1},
        /* a bounding box without paint does not, when something else is painted */
        {PAGE("<rect width='100' height='80' fill='none'/><rect width='10' height='10' fill='none' "
              "stroke='red'/>"),
         100, 1},
    };
    EXPECT(list, RAB_READ_LINES);
}

Test(readings, the_caller_can_choose)
{
    const char *text = PAGE("\n<rect width='100' height='80'/><circle cx='50' cy='40' r='10' fill='white'/>");
    struct rab_reading_report report;
    struct rab_warnings notes = {0};
    struct rab_region region = region_of(text, RAB_READ_AUTO, &report, &notes);

    cr_expect(report.reading == RAB_READ_FILLED);
    cr_expect(epsilon_eq(dbl, rab_region_area(&region), 8000, 1e-9));
    cr_expect(find_note(&notes, "covered") != NULL); /* white shapes on top are no openings: said */
    rab_region_clear(&region);
    rab_warnings_clear(&notes);
    region = region_of(text, RAB_READ_LINES, &report, &notes);
    cr_expect(report.reading == RAB_READ_LINES);
    cr_expect(epsilon_eq(dbl, rab_region_area(&region), 8000 - 100 * RAB_PI, 1e-9));
    cr_expect(report.outlines == 2 && report.vertices == 6 && report.joined == 0 && report.repeated == 0);
    cr_expect(eq(int, report.line, 2));
    cr_expect(eq(sz, notes.count, 0));
    rab_region_clear(&region);
}

Test(readings, repeated_outlines_count_once)
{
    static const char *const twice[] = {
        PEN(FRAME OPENING OPENING),
        PEN(FRAME OPENING "<path d='M45 60h-30v-40h30z'/>"), /* another start */
        PEN(FRAME OPENING "<path d='M45 60v-40h-30v40z'/>"), /* the other way round */
        PEN(FRAME OPENING "<rect x='15' y='20' width='30' height='40'/>"),
        PEN(FRAME OPENING "<path d='M15.000001 20h30v40h-30z'/>"),
        PEN(FRAME OPENING "<path d='M15 20h30v40'/><path d='M15 20v40h30'/>"),
    };

    for (size_t i = 0; i < sizeof twice / sizeof twice[0]; i++) {
        struct rab_reading_report report;
        struct rab_warnings notes = {0};
        struct rab_region region = region_of(twice[i], RAB_READ_AUTO, &report, &notes);
        cr_expect(epsilon_eq(dbl, rab_region_area(&region), 6800, 1e-3), "%s", twice[i]);
        cr_expect(eq(sz, report.repeated, 1), "%s", twice[i]);
        cr_expect(find_note(&notes, "repeated") != NULL, "%s", twice[i]);
        rab_region_clear(&region);
        rab_warnings_clear(&notes);
    }
    /* circles too, and what differs is not taken for the same */
    struct rab_reading_report report;
    struct rab_region region =
        region_of(PEN(FRAME "<circle cx='50' cy='40' r='9'/><path d='M50 31A9 9 0 0 1 50 49A9 9 0 0 1 50 "
                            "31z'/><path d='M41 40L50 31 59 40 50 49z'/>"),
                  RAB_READ_AUTO, &report, NULL);
    cr_expect(report.outlines == 3 && report.repeated == 1);
    cr_expect(epsilon_eq(dbl, rab_region_area(&region), 8000 - 81 * RAB_PI + 162, 1e-6));
    rab_region_clear(&region);
}

/* Ends up to the gap apart are bridged by straight lines. */
Test(readings, ends_are_joined_within_the_gap)
{
    const char *text = PEN("<path d='M10 10H40'/><path d='M40 10.04V40'/><path d='M10 40H40.03'/>"
                           "<path d='M10 10.03V40'/>");
    struct rab_reading_report report;
    struct rab_warnings notes = {0};
    struct rab_region region = region_of(text, RAB_READ_AUTO, &report, &notes);

    cr_expect(eq(sz, report.joined, 4));
    cr_expect(epsilon_eq(dbl, rab_region_area(&region), 900, 0.01));
    cr_expect(find_note(&notes, "joined") != NULL);
    rab_region_clear(&region);
    rab_warnings_clear(&notes);

    struct reading r = read_text(text);
    struct rab_error err = {0};
    cr_expect(not(rab_drawing_region(&r.drawing, RAB_READ_AUTO, 0.02, &region, NULL, NULL, &err)));
    cr_expect(err.fault == RAB_FAULT_GEOMETRY && strstr(err.text, "stays open") != NULL);
    cr_expect(region.count == 0);
    reading_clear(&r);
}

static void expect_open(const char *text, int line, const char *place, const char *gap)
{
    struct reading r = read_text(text);
    struct rab_region region = {0};
    struct rab_error err = {0};

    cr_expect(not(rab_drawing_region(&r.drawing, RAB_READ_AUTO, -1, &region, NULL, NULL, &err)), "%s",
              text);
    cr_expect(err.fault == RAB_FAULT_GEOMETRY, "%s", text);
    cr_expect(eq(int, err.line, line), "%s", text);
    cr_expect(strstr(err.text, place) && strstr(err.text, gap) != NULL, "%s of %s", err.text, text);
    reading_clear(&r);
}

/* An opening that is not closed would not be cut: it is named, with its place from the lower left. */
Test(readings, open_lines_are_reported_with_their_place)
{
    expect_open(PEN(FRAME "\n<path d='M15 20H45V60H20'/>"), 2, "15, 60 mm", "40.31 mm from");
    expect_open(PEN("\n<path d='M15 20H45V60H15V21'/>"), 2, "15, 60 mm", "1 mm from");
    /* three ends in one place: one is left over */
    expect_open(PEN("<path d='M0 0H10V10'/><path d='M10 10H0V0'/>\n<path d='M10 10L20 20'/>"), 2, "mm",
                "mm from");
}

Test(readings, what_encloses_nothing)
{
    static const char *const list[] = {
        PAGE("<path d='M0 0H10'/>"),
        PAGE("<path d='M0 0H10z'/>"),
        PAGE("<path d='M0 0H10V5H10H0z' fill-rule='evenodd'/><path d='M0 0h1e-9v9h-1e-9z'/>"),
        PEN("<path d='M0 0H10z'/>"),
    };
    static const double areas[] = {0, 0, 50, 0};

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct reading r = read_text(list[i]);
        for (enum rab_reading how = RAB_READ_AUTO; how <= RAB_READ_FILLED; how++) {
            struct rab_region region = {0};
            struct rab_error err = {0};
            bool ok = rab_drawing_region(&r.drawing, how, -1, &region, NULL, NULL, &err);
            cr_expect(ok == (areas[i] > 0), "%s: %s", list[i], err.text);
            if (!ok)
                cr_expect(err.fault == RAB_FAULT_GEOMETRY && region.count == 0, "%s", list[i]);
            rab_region_clear(&region);
        }
        reading_clear(&r);
    }
}

Test(readings, a_drawing_of_nothing_or_of_nonsense)
{
    struct rab_vertex one[] = {{5, 5, 0}}, far[] = {{0, 0, 0}, {1e300, 0, 0}, {0, NAN, 0}};
    struct rab_outline outlines[] = {{.vertices = one, .count = 1}, {.vertices = far, .count = 3}};
    struct rab_region region = {0};
    struct rab_drawing empty = {0};
    struct rab_error err = {0};

    cr_expect(not(rab_drawing_region(&empty, RAB_READ_AUTO, -1, &region, NULL, NULL, &err)));
    for (size_t i = 0; i < 2; i++) {
        struct rab_drawn item = {.outlines = &outlines[i], .count = 1, .element = "path", .stroked = true,
                                 .line = 3};
        struct rab_drawing drawing = {.items = &item, .count = 1};
        err = (struct rab_error){0};
        cr_expect(not(rab_drawing_region(&drawing, RAB_READ_LINES, -1, &region, NULL, NULL, &err)));
        cr_expect(err.fault == RAB_FAULT_GEOMETRY && err.line == 3);
    }
    err = (struct rab_error){0};
    cr_expect(not(rab_drawing_region(&empty, RAB_READ_LINES, NAN, &region, NULL, NULL, &err)));
    cr_expect(err.fault == RAB_FAULT_INPUT);
}

static struct rab_text many(const char *attributes, size_t count, const char *shape, double step)
{
    struct rab_text text = {0};

    rab_text_format(&text, "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 100 80' width='100mm'><g %s>",
                    attributes);
    for (size_t i = 0; i < count; i++) {
        rab_text_add(&text, "<path d='M");
        rab_text_fixed(&text, (double)i * step, 6);
        rab_text_add(&text, " 0");
        rab_text_add(&text, shape);
        rab_text_add(&text, "'/>");
    }
    rab_text_add(&text, "</g></svg>");
    return text;
}

/* Ten thousand shapes on top of each other cross a hundred million times; time and memory must not
 * follow. */
Test(readings, many_shapes_on_top_of_each_other, .timeout = 30)
{
    struct rab_text text = many("", 10000, "h20v20h-20z", 0.001);

    expect_area(text.data, (20 + 9.999) * 20);
    rab_text_clear(&text);
    text = many("", 20000, "h20v20h-20z", 0);
    expect_area(text.data, 400);
    rab_text_clear(&text);
    text = many("fill='none' stroke='red'", 20000, "h20v20h-20z", 0);
    expect_area(text.data, 400);
    rab_text_clear(&text);
    /* apart from each other */
    text = many("", 10000, "h0.5v20h-0.5z", 1);
    expect_area(text.data, 100000);
    rab_text_clear(&text);
}

/* Very many ends in one place are refused rather than compared pair by pair. */
Test(readings, many_ends_in_one_place, .timeout = 10)
{
    struct rab_text text = many("fill='none' stroke='red'", 5000, "h20", 0);
    struct reading r = read_text(text.data);
    struct rab_region region = {0};
    struct rab_error err = {0};

    cr_expect(not(rab_drawing_region(&r.drawing, RAB_READ_AUTO, -1, &region, NULL, NULL, &err)));
    cr_expect(err.fault == RAB_FAULT_GEOMETRY && strstr(err.text, "same places") != NULL);
    reading_clear(&r);
    rab_text_clear(&text);
}
