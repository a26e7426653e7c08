/*
 * Pages, viewports, references and shapes: SVG 1.1, 5 (structure), 7 (coordinate systems) and 9 (basic
 * shapes). Expected places are millimetres from the lower left corner of the page, worked out by hand.
 */
#include "support.h"

#include <math.h>

#define SQUARE "<rect width='10' height='10'/>"

static void expect_page(const char *text, double width, double height, bool known)
{
    struct reading r = read_text(text);

    cr_expect(epsilon_eq(dbl, r.drawing.width, width, 1e-9), "%s", text);
    cr_expect(epsilon_eq(dbl, r.drawing.height, height, 1e-9), "%s", text);
    cr_expect(r.drawing.size_known == known, "%s", text);
    cr_expect(known == (find_note(&r.notes, "size") == NULL), "%s", text);
    reading_clear(&r);
}

/* 7.2 and CSS 2.1, 4.3.2 for the units; a side that is missing follows from the view box. */
/* Groups that are named as in our own files. */
Test(structure, groups_of_operations)
{
    struct reading r = read_text(PAGE("<g id='Cutting'><g><path d='M0 0h20v20h-20z'/></g></g>"
                                      "<g id='Creasing' fill='none' stroke='red'><path d='M0 5h20'/></g>"
                                      "<g id='other'><path d='M5 5h3v3z'/></g>"));

    cr_assert(r.drawing.count == 3);
    cr_expect(r.drawing.items[0].operation == RAB_CUT && r.drawing.items[2].operation == RAB_CUT);
    cr_expect(r.drawing.items[1].operation == RAB_CREASE);
    reading_clear(&r);
}

Test(structure, page_sizes)
{
    const double px = 25.4 / 96;

    expect_page(ROOT("width='12in' height='12in' viewBox='0 0 1 1'", SQUARE), 304.8, 304.8, true);
    expect_page(ROOT("width='1cm' height='72pt'", SQUARE), 10, 25.4, true);
    expect_page(ROOT("width='6pc' height='40Q'", SQUARE), 25.4, 10, true);
    expect_page(ROOT("width='96' height='48px'", SQUARE), 25.4, 12.7, false);
    expect_page(ROOT("viewBox='0 0 96 48'", SQUARE), 25.4, 12.7, false);
    expect_page(ROOT("width='100%' height='100%' viewBox='0 0 96 48'", SQUARE), 25.4, 12.7, false);
    expect_page(ROOT("width='auto' viewBox='0 0 96 48'", SQUARE), 25.4, 12.7, false);
    expect_page(ROOT("width='50mm' viewBox='0 0 96 48'", SQUARE), 50, 25, true);
    expect_page(ROOT("height='50mm' viewBox='0 0 96 48'", SQUARE), 100, 50, true);
    expect_page(ROOT("width='100%' height='50mm' viewBox='0 0 96 48'", SQUARE), 100, 50, true);
    expect_page(ROOT("width='2em' height='1rem' viewBox='0 0 2 1'", SQUARE), 32 * px, 16 * px, false);
    expect_page(ROOT("style='width:40mm;height:20mm' width='1' viewBox='0 0 2 1'", SQUARE), 40, 20, true);
    /* neither size nor view box: what is drawn, from the origin on */
    expect_page(ROOT("", "<rect x='48' y='96' width='48' height='96'/>"), 25.4, 50.8, false);
    expect_page(ROOT("", "<rect x='-48' y='-96' width='96' height='96'/>"), 25.4, 25.4, false);
}

Test(structure, page_sizes_that_are_refused)
{
    expect_refused("<svg xmlns='http://www.w3.org/2000/svg'\n width='100furlong'/>", 1, "width=");
    expect_refused(ROOT("width='-100mm'", SQUARE), 1, "negative");
    expect_refused(ROOT("height='0'", SQUARE), 1, "must be more than 0");
    expect_refused(ROOT("width=''", SQUARE), 1, "no length");
    expect_refused(ROOT("width='10,5mm'", SQUARE), 1, "no length");
    expect_refused(ROOT("width='1e999mm'", SQUARE), 1, "too large");
    expect_refused(ROOT("viewBox='0 0 0 80'", SQUARE), 1, "viewBox");
    expect_refused(ROOT("viewBox='0 0 1e300 1e300'", SQUARE), 1, "viewBox");
    expect_refused(ROOT("viewBox='0 0 10 10' preserveAspectRatio='middle'", SQUARE), 1,
                   "preserveAspectRatio");
    expect_refused(ROOT("width='10mm' height='10mm' transform='rotate(45)'", SQUARE), 1,
                   "outermost");
    expect_refused(ROOT("", "<rect width='10%' height='5'/>"), 1, "page has no size");
}

Test(structure, the_page_lies_y_up)
{
    expect_drawn(PAGE("<rect x='10' y='20' width='30' height='40'/>"), 10, 20, 40, 60);
    expect_drawn(ROOT("width='100mm' height='80mm' viewBox='-50 -40 100 80'", SQUARE), 50, 30, 60, 40);
    expect_drawn(ROOT("width='100mm' height='100mm' viewBox='0 0 10 20'",
                      "<rect width='10' height='20'/>"),
                 25, 0, 75, 100);
    expect_drawn(ROOT("width='100mm' height='100mm' viewBox='0 0 10 20' preserveAspectRatio='none'",
                      "<rect width='10' height='20'/>"),
                 0, 0, 100, 100);
    /* without a view box user units are px */
    expect_drawn(ROOT("width='2in' height='1in'", "<rect x='96' width='48' height='24'/>"), 25.4,
                 25.4 - 6.35, 38.1, 25.4);
}

/* The caller's own size: edge to edge of what is drawn, whatever the page. */
Test(structure, the_true_width_can_be_stated)
{
    const char *text = ROOT("viewBox='0 0 400 400'",
                            "<rect x='50' y='100' width='200' height='100'/><g display='none'><rect "
                            "width='400' height='400'/></g><circle cx='100' cy='150' r='20'/>");
    struct rab_read_options options = {.width = 304.8};
    struct rab_drawing drawing = {0};
    struct rab_warnings notes = {0};
    struct rab_error err = {0};

    cr_assert(rab_svg_read(text, strlen(text), &options, &drawing, &notes, &err), "%s", err.text);
    expect_box(drawn_box(&drawing), 76.2, 304.8, 381, 457.2, 1e-9, "the drawing");
    cr_expect(epsilon_eq(dbl, drawing.width, 609.6, 1e-9));
    cr_expect(drawing.size_known && notes.count == 0);
    rab_drawing_clear(&drawing);
    text = PAGE("<line x1='5' x2='5' y2='9'/>"); /* no width */
    cr_expect(not(rab_svg_read(text, strlen(text), &options, &drawing, NULL, &err)));
    cr_expect(err.fault == RAB_FAULT_INPUT);
    /* curves are measured along their course, not by their control points; an arc beyond its ends */
    text = PAGE("<path d='M0 0C0 40 40 40 40 0zM0 50a5 5 0 1 1 10 0'/>");
    err = (struct rab_error){0};
    cr_assert(rab_svg_read(text, strlen(text), &options, &drawing, NULL, &err), "%s", err.text);
    struct rab_box box = drawn_box(&drawing);
    cr_expect(epsilon_eq(dbl, box.x1 - box.x0, 304.8, 0.02));
    cr_expect(epsilon_eq(dbl, box.y1 - box.y0, 304.8 / 40 * 50, 0.02));
    rab_drawing_clear(&drawing);
}

Test(structure, options_are_checked)
{
    struct rab_drawing drawing = {0};
    struct rab_read_options bad[] = {{.tolerance = -1}, {.tolerance = NAN}, {.width = -5},
                                     {.width = INFINITY}};
    const char *text = PAGE("<rect width='1' height='1'/><path d='M0 0h1v1h-1zM5 5h1v1z'/>");

    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct rab_error err = {0};
        cr_expect(not(rab_svg_read(text, strlen(text), &bad[i], &drawing, NULL, &err)));
        cr_expect(err.fault == RAB_FAULT_INPUT);
    }
    for (size_t i = 0; i < 2; i++) {
        struct rab_read_options few[] = {{.elements = 2}, {.segments = 7}};
        struct rab_error err = {0};
        cr_expect(not(rab_svg_read(text, strlen(text), &few[i], &drawing, NULL, &err)));
        few[i].elements *= 2;
        few[i].segments *= 2;
        err = (struct rab_error){0};
        cr_expect(rab_svg_read(text, strlen(text), &few[i], &drawing, NULL, &err), "%s", err.text);
        rab_drawing_clear(&drawing);
    }
}

/* 9.2 to 9.6. */
Test(structure, basic_shapes)
{
    expect_drawn(PAGE("<circle cx='50' cy='40' r='30'/>"), 20, 10, 80, 70);
    expect_drawn(PAGE("<ellipse cx='50' cy='40' rx='30' ry='auto'/>"), 20, 10, 80, 70);
    expect_drawn(PAGE("<line x1='10' y1='20' x2='30' y2='60'/>"), 10, 20, 30, 60);
    /* percent of the view box: of its width, its height, and sqrt((w^2 + h^2) / 2) */
    expect_drawn(PAGE("<rect x='10%' y='10%' width='50%' height='50%'/>"), 10, 32, 60, 72);
    const double r = sqrt((100 * 100 + 80 * 80) / 2.0) / 10;
    expect_drawn(PAGE("<circle cx='50%' cy='50%' r='10%'/>"), 50 - r, 40 - r, 50 + r, 40 + r);

    /* an ellipse is fitted with arcs within 0.01 mm */
    struct reading ellipse = read_text(PAGE("<ellipse cx='50' cy='40' rx='30' ry='20'/>"));
    expect_box(drawn_box(&ellipse.drawing), 20, 20, 80, 60, 0.01, "an ellipse");
    reading_clear(&ellipse);

    /* a whole circle is two vertices, and none of these has an extent */
    struct reading reading = read_text(PAGE("<circle cx='5' cy='5' r='4'/><circle r='0'/><rect "
                                            "width='0' height='5'/><rect height='5'/><ellipse rx='4' "
                                            "ry='0'/><line/><path d='M5 5z'/><path d='M3 3'/>"
                                            "<polygon points='5 5'/><polyline points=''/><path/>"));
    cr_assert(eq(sz, reading.drawing.count, 1));
    cr_expect(eq(sz, outline_at(&reading, 0, 0)->count, 2));
    cr_expect(epsilon_eq(dbl, fabs(rab_outline_area(outline_at(&reading, 0, 0))), 16 * RAB_PI, 1e-12));
    reading_clear(&reading);

    expect_refused(PAGE("<rect width='-1' height='5'/>"), 1, "negative");
    expect_refused(PAGE("<rect width='1' height='5' rx='-1'/>"), 1, "negative");
    expect_refused(PAGE("<circle r='-1'/>"), 1, "negative");
    expect_refused(PAGE("<ellipse rx='1' ry='-2'/>"), 1, "negative");
    expect_refused(PAGE("<circle r='5 mm'/>"), 1, "r=");
}

/* 9.2: a missing radius takes the other's value, and half of the side is the most. Area of a
 * rounded rectangle: w h - (4 - pi) rx ry. */
Test(structure, rounded_rectangles)
{
    static const struct {
        const char *text;
        double rx, ry;
    } list[] = {
        {PAGE("<rect width='40' height='20' rx='4'/>"), 4, 4},
        {PAGE("<rect width='40' height='20' ry='4'/>"), 4, 4},
        {PAGE("<rect width='40' height='20' rx='4' ry='4'/>"), 4, 4},
        {PAGE("<rect width='40' height='20' rx='10%'/>"), 10, 10},
        {PAGE("<rect width='40' height='20' rx='99'/>"), 20, 10},
        {PAGE("<rect width='40' height='20' rx='0' ry='5'/>"), 0, 0},
        {PAGE("<rect width='40' height='20' rx='auto' ry='5'/>"), 5, 5},
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct reading r = read_text(list[i].text);
        double area = fabs(rab_outline_area(outline_at(&r, 0, 0)));
        /* unequal radii are ellipses, fitted within 0.01 mm */
        double tolerance = list[i].rx == list[i].ry ? 1e-9 : 1.0;
        cr_expect(epsilon_eq(dbl, area, 800 - (4 - RAB_PI) * list[i].rx * list[i].ry, tolerance),
                  "%s", list[i].text);
        if (list[i].rx == list[i].ry)
            cr_expect(eq(sz, outline_at(&r, 0, 0)->count, list[i].rx > 0 ? list[i].rx < 10 ? 8 : 4 : 4),
                      "%s", list[i].text);
        reading_clear(&r);
    }
}

/* A circle stays one under whatever keeps its shape, and becomes an ellipse under the rest. */
Test(structure, circles_under_transforms)
{
    static const char *const kept[] = {
        PAGE("<g transform='rotate(33)'><circle cx='20' cy='20' r='5' transform='scale(2)'/></g>"),
        PAGE("<circle cx='20' cy='20' r='10' transform='scale(-1 1) translate(-60 3)'/>"),
        PAGE("<circle cx='20' cy='20' r='10' transform='matrix(0.6 0.8 -0.8 0.6 30 0)'/>"),
        PAGE("<path d='M10 20a10 10 0 0 1 20 0a10 10 0 0 1-20 0z' transform='rotate(17 20 20)'/>"),
    };

    for (size_t i = 0; i < sizeof kept / sizeof kept[0]; i++) {
        struct reading r = read_text(kept[i]);
        const struct rab_outline *outline = outline_at(&r, 0, 0);
        cr_expect(eq(sz, outline->count, 2), "%s", kept[i]);
        cr_expect(epsilon_eq(dbl, fabs(rab_outline_area(outline)), 100 * RAB_PI, 1e-9), "%s", kept[i]);
        reading_clear(&r);
    }
    struct reading r =
        read_text(PAGE("<circle cx='20' cy='20' r='10' transform='skewX(30)'/>"));
    const struct rab_outline *outline = outline_at(&r, 0, 0);
    cr_expect(outline->count > 4);
    cr_expect(epsilon_eq(dbl, fabs(rab_outline_area(outline)), 100 * RAB_PI, 0.2));
    reading_clear(&r);
}

/* 5.4 and 5.6: groups and references. */
Test(structure, uses)
{
    const char *const href[] = {"href", "xlink:href"};

    for (int i = 0; i < 2; i++) {
        struct rab_text text = {0};
        rab_text_format(&text,
                        "<svg xmlns='http://www.w3.org/2000/svg' "
                        "xmlns:xlink='http://www.w3.org/1999/xlink' width='100mm' height='80mm' "
                        "viewBox='0 0 100 80'><defs><rect id='a' width='10' height='10'/></defs>"
                        "<use %s='#a' x='20' y='30' transform='scale(2)'/></svg>",
                        href[i]);
        /* x and y come after its own transform */
        expect_drawn(text.data, 40, 0, 60, 20);
        rab_text_clear(&text);
    }
    expect_drawn(PAGE("<defs><g id='g' transform='translate(5 5)'><rect id='a' width='10' height='10' "
                      "transform='scale(2)'/></g></defs><use href='#g' x='1'/>"),
                 6, 55, 26, 75);
    expect_drawn(PAGE("<defs><g id='g' transform='translate(5 5)'><rect id='a' width='10' height='10' "
                      "transform='scale(2)'/></g></defs><use href='#a' x='1'/>"),
                 1, 60, 21, 80);
    /* the first of two equal ids; href before xlink:href; a target in a clip path */
    expect_drawn(PAGE("<clipPath><rect id='a' width='1' height='1'/><rect id='a' width='2' "
                      "height='2'/></clipPath><use href='#a'/>"),
                 0, 79, 1, 80);
    expect_refused(PAGE("<use href='#nobody'/>" SQUARE), 1, "nothing in the file has that id");
    expect_refused(PAGE("<use href='other.svg#a'/>" SQUARE), 1, "outside the file");
    expect_refused(PAGE("<use href='#a' x='1furlong'/><rect id='a' width='1' height='1'/>"), 1, "x=");
    struct reading r = read_text(PAGE("<use/><use href=' '/>" SQUARE));
    cr_expect(find_note(&r.notes, "use") != NULL);
    reading_clear(&r);
}

Test(structure, uses_that_contain_themselves)
{
    expect_refused(PAGE("\n<use id='a' href='#a'/>"), 2, "contains this use itself");
    expect_refused(PAGE("\n<g id='a'>\n<use href='#a'/></g>"), 3, "contains this use itself");
    expect_refused(PAGE(SQUARE "\n<g id='a'><use href='#b'/></g>\n<g id='b'><use href='#a'/></g>"), 3,
                   "contains this use itself");
    expect_refused(PAGE("<defs><symbol id='s'><use href='#s'/></symbol></defs>\n<use href='#s'/>"), 1,
                   "contains this use itself");
    expect_refused("<svg id='r' xmlns='http://www.w3.org/2000/svg'><use href='#r'/></svg>", 1,
                   "contains this use itself");
    /* shown side by side, the same thing may come as often as one likes */
    expect_drawn(PAGE("<g id='a'>" SQUARE "</g><g><use href='#a' x='5'/><use href='#a' x='9'/></g>"), 0,
                 70, 19, 80);
}

static void add_uses(struct rab_text *text, int levels, int each)
{
    rab_text_add(text, "<svg xmlns='http://www.w3.org/2000/svg'>\n<defs><g id='u0'>" SQUARE "</g>");
    for (int i = 1; i <= levels; i++) {
        rab_text_format(text, "<g id='u%d'>", i);
        for (int k = 0; k < each; k++)
            rab_text_format(text, "<use href='#u%d'/>", i - 1);
        rab_text_add(text, "</g>");
    }
    rab_text_format(text, "</defs><use href='#u%d'/></svg>", levels);
}

Test(structure, uses_of_uses, .timeout = 20)
{
    struct rab_text text = {0};

    add_uses(&text, 11, 10); /* 10^11 squares */
    expect_refused(text.data, 2, "more than 1000000 elements");
    rab_text_clear(&text);
    add_uses(&text, 50000, 1); /* a chain: no stack, and not refused */
    struct reading r = read_text(text.data);
    cr_expect(eq(sz, r.drawing.count, 1));
    reading_clear(&r);
    rab_text_clear(&text);

    /* few elements, but ten thousand times the same megabyte */
    rab_text_add(&text, "<svg xmlns='http://www.w3.org/2000/svg'><defs><path id='p' d='M0 0");
    for (int i = 0; i < 100000; i++)
        rab_text_add(&text, "          ");
    rab_text_add(&text, "h1v1z'/></defs>");
    for (int i = 0; i < 10000; i++)
        rab_text_add(&text, "<use href='#p'/>");
    rab_text_add(&text, "</svg>");
    expect_refused(text.data, 1, "too often");
    rab_text_clear(&text);
}

/* 5.5 and 7.9: symbols and nested drawings have viewports of their own. */
Test(structure, viewports)
{
    static const char symbol[] = "<symbol id='s' viewBox='0 0 10 20'><rect width='10' height='20'/>"
                                 "</symbol>";
    char text[1024];

    snprintf(text, sizeof text, PAGE("%s<use href='#s' x='10' y='10' width='40' height='40'/>"), symbol);
    expect_drawn(text, 20, 30, 40, 70);
    snprintf(text, sizeof text, PAGE("%s<use href='#s'/>"), symbol); /* all of the page */
    expect_drawn(text, 30, 0, 70, 80);
    snprintf(text, sizeof text, PAGE("%s<use href='#s' width='0' height='40'/>" SQUARE), symbol);
    expect_drawn(text, 0, 70, 10, 80);
    expect_drawn(PAGE("<symbol><rect width='50' height='50'/></symbol>" SQUARE), 0, 70, 10, 80);
    expect_drawn(PAGE("<svg x='10' y='20' width='20' height='20'>" SQUARE "</svg>"), 10, 50, 20, 60);
    expect_drawn(PAGE("<svg x='10' y='20' width='20' height='20' viewBox='0 0 5 5'>"
                      "<rect width='50%' height='100%'/></svg>"),
                 10, 40, 20, 60);
    expect_drawn(PAGE("<svg viewBox='100 100 50 40'><rect x='100' y='100' width='50' height='40'/></svg>"),
                 0, 0, 100, 80);
    expect_drawn(PAGE("<svg id='n' x='50' width='20' height='20' viewBox='0 0 5 5' display='inline'>"
                      "<rect width='5' height='5'/></svg><use href='#n' width='40' height='40'/>"),
                 50, 40, 90, 80);
    expect_drawn(PAGE("<svg width='0' height='9'>" SQUARE "</svg>" SQUARE), 0, 70, 10, 80);
    expect_refused(PAGE("<svg width='-5'>" SQUARE "</svg>"), 1, "negative");
    expect_refused(PAGE("<svg viewBox='0 0'>" SQUARE "</svg>"), 1, "viewBox");
    expect_refused(ROOT("", "<svg viewBox='0 0 9 9'>" SQUARE "</svg>"), 1, "page has none");
}

/* 5.8: conditions; what an editor keeps for itself is passed over. */
Test(structure, switches)
{
    static const struct {
        const char *text;
        size_t count;
    } list[] = {
        {PAGE("<switch>" SQUARE SQUARE SQUARE "</switch>"), 1},
        {PAGE("<switch><g requiredExtensions='urn:x'>" SQUARE SQUARE "</g>" SQUARE "</switch>"), 1},
        {PAGE("<switch><foreignObject/><g>" SQUARE SQUARE "</g></switch>"), 2},
        {PAGE("<switch><rect systemLanguage='de' width='1' height='1'/><g systemLanguage='de, en-US'>"
              SQUARE SQUARE "</g>" SQUARE "</switch>"),
         2},
        {PAGE(SQUARE "<rect systemLanguage='ender' width='1' height='1'/>"), 1},
        {PAGE(SQUARE "<rect systemLanguage='' width='1' height='1'/>"), 1},
        {PAGE(SQUARE "<rect requiredFeatures='' width='1' height='1'/>"), 1},
        {PAGE(SQUARE "<rect requiredExtensions='' width='1' height='1'/>"), 1},
        {PAGE("<rect requiredFeatures='http://www.w3.org/TR/SVG11/feature#Shape' width='1' "
              "height='1'/>"),
         1},
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct reading r = read_text(list[i].text);
        cr_expect(eq(sz, r.drawing.count, list[i].count), "%s", list[i].text);
        reading_clear(&r);
    }
}

Test(structure, coordinates_have_bounds)
{
    expect_refused(PAGE("\n<path d='M0 0H1e7V5z'/>"), 2, "kilometre");
    expect_refused(PAGE("\n<path d='M1e9 0h100v80h-100z'/>"), 2, "kilometre");
    expect_refused(PAGE("\n<rect width='5' height='5' transform='translate(1e9)'/>"), 2, "kilometre");
    expect_refused(PAGE("\n<path d='M0 0C1e9 0 0 1e9 5 5z'/>"), 2, "kilometre");
    expect_refused(PAGE("\n<circle r='1e8'/>"), 2, "kilometre");
    expect_refused(PAGE("<g transform='scale(1e12)'><g transform='scale(1e12)'>\n" SQUARE "</g></g>"), 2,
                   "kilometre");
    /* A nearly straight arc has a far centre, but lies here: over a chord of 60 with r 1e7 the
     * height is 60^2 / 8 r, with r 1e12 the end points themselves are rounded to 1e-4. */
    const char *const arcs[] = {PAGE("<path d='M10 10H70V50A1e7 1e7 0 0 1 10 50z'/>"),
                                PAGE("<path d='M10 10H70V50A1e12 1e12 0 0 1 10 50z'/>")};
    for (size_t i = 0; i < 2; i++) {
        struct reading r = read_text(arcs[i]);
        expect_box(drawn_box(&r.drawing), 10, 30, 70, 70, 1e-3, arcs[i]);
        reading_clear(&r);
    }
}

Test(structure, what_is_scaled_to_nothing)
{
    struct reading r = read_text(PAGE("<g transform='scale(0)'>" SQUARE "</g>" SQUARE
                                      "<rect width='9' height='9' transform='skewX(90)'/>"));
    const struct rab_warning *note = find_note(&r.notes, "nothing");

    cr_expect(eq(sz, r.drawing.count, 1));
    cr_assert(note != NULL);
    cr_expect(strstr(note->text, "the g element (and 1 more like it)") != NULL, "%s", note->text);
    reading_clear(&r);
    expect_refused(PAGE("<g transform='scale(1 0)'>" SQUARE "</g>"), 0, "no outline");
}

/* What is left out is named, with its line. */
Test(structure, what_is_left_out_is_told)
{
    static const struct {
        const char *text, *code, *word;
        int line;
    } list[] = {
        {PAGE(SQUARE "\n<text>x</text>"), "text", "the text element", 2},
        {PAGE(SQUARE "\n<image/><image/>"), "image", "and 1 more", 2},
        {PAGE(SQUARE "\n<foreignObject/>"), "foreign", "foreignObject", 2},
        {PAGE(SQUARE "\n<flowRoot/>"), "unknown", "the flowRoot element", 2},
        {PAGE("\n<g clip-path='url(#c)'>" SQUARE "</g>"), "clip", "the g element", 2},
        {PAGE("\n<g style='mask:url(#c)'>" SQUARE "</g>"), "mask", "the g element", 2},
        {PAGE("\n<path d='M0 0h1v1' marker-end='url(#c)'/>"), "marker", "path", 2},
        {PAGE("\n<path d='M0 0h1v1' fill='url(#c)'/>"), "gradient", "path", 2},
        {PAGE("\n<path d='M0 0h1v1' opacity='0'/>"), "opacity", "path", 2},
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct reading r = read_text(list[i].text);
        const struct rab_warning *note = find_note(&r.notes, list[i].code);
        cr_assert(note != NULL, "%s", list[i].text);
        cr_expect(eq(int, note->line, list[i].line), "%s", list[i].text);
        cr_expect(strstr(note->text, list[i].word) != NULL, "%s", note->text);
        reading_clear(&r);
    }
    /* hidden text is missed by nobody */
    struct reading r = read_text(PAGE(SQUARE "<text display='none'/><g visibility='hidden'><text/></g>"));
    cr_expect(eq(sz, r.notes.count, 0));
    reading_clear(&r);
    expect_refused(PAGE("<text>lantern walk</text>"), 0, "no outline");
    expect_refused(PAGE(""), 0, "no outline");
}

Test(structure, items_say_what_they_are)
{
    struct reading r = read_text(PAGE("<title> The\nquay </title>\n<g id='outer'><rect id='a&quot;&lt;' "
                                      "width='5' height='5'/>\n<line x2='5' stroke='red'/></g>"));

    cr_assert(eq(sz, r.drawing.count, 2));
    expect_words(r.drawing.title, "The\nquay");
    expect_words(r.drawing.items[0].id, "a\"<");
    expect_words(r.drawing.items[0].element, "rect");
    cr_expect(r.drawing.items[0].line == 3 && r.drawing.items[1].line == 4);
    cr_expect(r.drawing.items[0].filled && !r.drawing.items[0].stroked);
    /* a line encloses nothing, so it is not filled */
    cr_expect(r.drawing.items[1].stroked && !r.drawing.items[1].filled);
    cr_expect(r.drawing.items[1].id == NULL);
    reading_clear(&r);
}

/* 7.3: subpaths that come back to their start are closed, by Z or without it. */
Test(structure, closed_and_open)
{
    static const struct {
        const char *text;
        size_t count;
        bool open;
    } list[] = {
        {PAGE("<path d='M0 0h10v10h-10z'/>"), 4, false},
        {PAGE("<path d='M0 0h10v10h-10v-10z'/>"), 4, false},
        {PAGE("<path d='M0 0h10v10h-10v-10'/>"), 4, false},
        {PAGE("<path d='M0 0h10v10h-10v-9.9995'/>"), 4, false},
        {PAGE("<path d='M0 0h10v10h-10'/>"), 4, true},
        {PAGE("<path d='M0 0h10v10h-10v-9.99'/>"), 5, true},
        {PAGE("<polygon points='0 0 10 0 10 10'/>"), 3, false},
        {PAGE("<polyline points='0 0 10 0 10 10'/>"), 3, true},
        {PAGE("<polyline points='0 0 10 0 10 10 0 0'/>"), 3, false},
        /* what goes nowhere is left out */
        {PAGE("<path d='M5 5L5 5H10h0V15v0l0 0H5c0 0 0 0 0 0z'/>"), 4, false},
        {PAGE("<path d='M0 0h10v10h-10v-10h1e-320z'/>"), 4, false},
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct reading r = read_text(list[i].text);
        cr_expect(eq(sz, outline_at(&r, 0, 0)->count, list[i].count), "%s", list[i].text);
        cr_expect(outline_at(&r, 0, 0)->open == list[i].open, "%s", list[i].text);
        reading_clear(&r);
    }
}
