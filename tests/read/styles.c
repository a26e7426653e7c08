/*
 * Which declaration wins, and what is shown and filled: CSS 2.1, 5 (selectors), 6.4 (the cascade);
 * SVG 1.1, 6.4 and 6.16 (presentation attributes), 11.2 to 11.5.
 */
#include "read/style.h"
#include "support.h"

/* Elements with id f, filled or not, hold the answer. */
static bool is_filled(const char *text)
{
    struct reading r = read_text(text);
    bool filled = false, found = false;

    for (size_t i = 0; i < r.drawing.count; i++) {
        if (r.drawing.items[i].id && strcmp(r.drawing.items[i].id, "f") == 0) {
            filled = r.drawing.items[i].filled;
            found = true;
        }
    }
    cr_assert(found, "%s", text);
    reading_clear(&r);
    return filled;
}

#define SHAPE "<path id='f' class='a b' d='M0 0h9v9z'"

struct answer {
    const char *text;
    bool filled;
};

static void expect_answers(const struct answer *list, size_t count)
{
    for (size_t i = 0; i < count; i++)
        cr_expect(is_filled(list[i].text) == list[i].filled, "%s", list[i].text);
}
#define EXPECT(list) expect_answers(list, sizeof list / sizeof list[0])

Test(styles, the_cascade)
{
    static const struct answer list[] = {
        {PAGE(SHAPE "/>"), true}, /* the initial fill is black */
        {PAGE(SHAPE " fill='none'/>"), false},
        {PAGE(SHAPE " style='fill:none'/>"), false},
        {PAGE(SHAPE " fill='none' style='fill:red'/>"), true},
        {PAGE("<style>path{fill:none}</style>" SHAPE " fill='red'/>"), false},
        {PAGE("<style>*{fill:none}</style>" SHAPE " fill='red'/>"), false},
        {PAGE("<style>path{fill:none}</style>" SHAPE " style='fill:red'/>"), true},
        {PAGE("<style>path{fill:none!important}</style>" SHAPE " style='fill:red'/>"), false},
        {PAGE("<style>path{fill:none ! important}</style>" SHAPE " style='fill:red!important'/>"),
         true},
        {PAGE("<style>path{fill:none}path{fill:red}</style>" SHAPE "/>"), true},
        {PAGE("<style>path{fill:none;fill:red}</style>" SHAPE "/>"), true},
        {PAGE("<style>path{fill:red}</style><style>path{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>.a{fill:none}path{fill:red}</style>" SHAPE "/>"), false},
        {PAGE("<style>#f{fill:none}.a.b{fill:red}</style>" SHAPE "/>"), false},
        {PAGE("<style>path.a{fill:none}.b{fill:red}</style>" SHAPE "/>"), false},
        {PAGE("<style>#f{fill:none}path#f{fill:red}</style>" SHAPE "/>"), true},
        {PAGE("<style>g .a{fill:none}.b{fill:red}</style><g>" SHAPE "/></g>"), false},
        {PAGE("<style>g *{fill:none}*{fill:red}</style><g>" SHAPE "/></g>"), false},
        {PAGE("<style>path{FILL:NONE}</style>" SHAPE "/>"), false},
        {PAGE("<style><![CDATA[path{fill:none}]]></style>" SHAPE "/>"), false},
        {PAGE("<style type='text/css'>path{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style type='text/x'>path{fill:none}</style>" SHAPE "/>"), true},
        {PAGE("<style media='print'>path{fill:none}</style>" SHAPE "/>"), true},
    };
    EXPECT(list);
}

Test(styles, selectors)
{
    static const struct answer list[] = {
        {PAGE("<style>rect,.b,g{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>.ab{fill:none}</style>" SHAPE "/>"), true},
        {PAGE("<style>.A{fill:none}</style>" SHAPE "/>"), true}, /* case matters in XML */
        {PAGE("<style>Path{fill:none}</style>" SHAPE "/>"), true},
        {PAGE("<style>g path{fill:none}</style>" SHAPE "/>"), true},
        {PAGE("<style>svg>path{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>svg > path{fill:none}</style><g>" SHAPE "/></g>"), true},
        {PAGE("<style>svg path{fill:none}</style><g>" SHAPE "/></g>"), false},
        {PAGE("<style>#k>g path{fill:none}</style><g id='k'><g><a>" SHAPE "/></a></g></g>"), false},
        /* the lower g has no parent #k, a higher one has: the matcher must try both */
        {PAGE("<style>#k>g path{fill:none}</style><g id='k'><g><g>" SHAPE "/></g></g></g>"), false},
        {PAGE("<style>#k>g>path{fill:none}</style><g id='k'><g><g>" SHAPE "/></g></g></g>"), true},
        {PAGE("<style>.x>.y .z>path{fill:none}</style><g class='x'><g class='y'><g class='y'>"
              "<g class='z'>" SHAPE "/></g></g></g></g>"),
         false},
        {PAGE("<style>[class]{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>[class='a b']{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>[class=a]{fill:none}</style>" SHAPE "/>"), true},
        {PAGE("<style>[class~=b]{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>path[id^=f]{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>path[d$='9z']{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>path[d*='h9v']{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>:root path{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>/* path{fill:red} */ path /* x */ {/**/fill:/* */none}</style>" SHAPE "/>"),
         false},
        {PAGE("<style>path{fill:red;}} path{fill:none}</style>" SHAPE "/>"), true},
        {PAGE("<style>@import url(x.css); @charset 'x'; @media print{path{fill:red}} "
              "path{fill:none}</style>" SHAPE "/>"),
         false},
        {PAGE("<style>@font-face{src:url('};')} path{fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>path{background:url(data:a;fill:red;b);fill:none}</style>" SHAPE "/>"), false},
        {PAGE("<style>path:hover{fill:none}</style>" SHAPE "/>"), true},
        {PAGE("<style>g+path{fill:none}</style><g/>" SHAPE "/>"), true},
        {PAGE("<style>&lt;!-- path{fill:none} --></style>" SHAPE "/>"), false},
    };
    EXPECT(list);
}

Test(styles, inheritance)
{
    static const struct answer list[] = {
        {PAGE("<g fill='none'>" SHAPE "/></g>"), false},
        {PAGE("<g fill='none'>" SHAPE " fill='#123'/></g>"), true},
        {PAGE("<g fill='none'><g fill='red'>" SHAPE " fill='inherit'/></g></g>"), true},
        {PAGE("<g fill='red'>" SHAPE " style='fill:none'/></g>"), false},
        {PAGE("<g fill='none'>" SHAPE " fill='initial'/></g>"), true},
        {PAGE("<g fill='none'>" SHAPE " fill='unset'/></g>"), false},
        {PAGE("<g fill='none'>" SHAPE " fill='currentColor'/></g>"), true},
        {PAGE("<g fill='none'>" SHAPE " fill='rgb(1,2,3)'/></g>"), true},
        {PAGE("<g fill='none'>" SHAPE " fill='url(#x)'/></g>"), true},
        {PAGE("<g fill='red'>" SHAPE " fill='transparent'/></g>"), false},
        {PAGE("<g fill='none'>" SHAPE " fill='12'/></g>"), false}, /* no colour: ignored */
        {PAGE("<defs>" SHAPE "/></defs><use href='#f' fill='none'/>"), false},
        {PAGE("<g fill='none'><defs>" SHAPE "/></defs></g><use href='#f'/>"), true},
    };
    EXPECT(list);
}

/* 11.5: display takes everything inside with it, visibility can be taken back. */
Test(styles, what_is_shown)
{
    static const struct {
        const char *text;
        size_t shown;
    } list[] = {
        {PAGE(SHAPE "/>" SHAPE " display='none'/>"), 1},
        {PAGE(SHAPE "/>" SHAPE " style='display:none'/>"), 1},
        {PAGE(SHAPE "/>" SHAPE " display='inline'/>"), 2},
        {PAGE(SHAPE "/><g display='none'>" SHAPE " display='inline'/></g>"), 1},
        {PAGE(SHAPE "/><g visibility='hidden'>" SHAPE "/></g>"), 1},
        {PAGE(SHAPE "/><g visibility='collapse'>" SHAPE "/></g>"), 1},
        {PAGE(SHAPE "/><g visibility='hidden'>" SHAPE " visibility='visible'/></g>"), 2},
        {PAGE(SHAPE "/><style>.k path{display:none}</style><g class='k'>" SHAPE "/></g>"), 1},
        {PAGE(SHAPE "/><g display='none'><path d='broken'/></g>"), 1}, /* not looked at */
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct reading r = read_text(list[i].text);
        cr_expect(eq(sz, r.drawing.count, list[i].shown), "%s", list[i].text);
        reading_clear(&r);
    }
    expect_refused(PAGE("<style>*{display:none !important}</style>" SHAPE "/>"), 0, "no outline");
}

Test(styles, rule_and_stroke)
{
    struct reading r = read_text(PAGE("<g fill-rule='evenodd' stroke='red'>" SHAPE "/>" SHAPE
                                      " style='fill-rule:nonzero;stroke:none'/></g>" SHAPE "/>"));

    cr_assert(eq(sz, r.drawing.count, 3));
    cr_expect(r.drawing.items[0].rule == RAB_FILL_EVENODD && r.drawing.items[0].stroked);
    cr_expect(r.drawing.items[1].rule == RAB_FILL_NONZERO && !r.drawing.items[1].stroked);
    cr_expect(r.drawing.items[2].rule == RAB_FILL_NONZERO && !r.drawing.items[2].stroked);
    reading_clear(&r);
}

/* SVG 2, 6.6: geometry and transforms are properties, too. */
Test(styles, geometry_in_css)
{
    expect_drawn(PAGE("<rect width='10' height='10' style='x:5px;width:20px;y:10px'/>"), 5, 60, 25,
                 70);
    expect_drawn(PAGE("<style>rect{transform:translate(10px,20px)}</style>"
                      "<rect width='10' height='10'/>"),
                 10, 50, 20, 60);
    expect_drawn(PAGE("<path style='d:path(\"M1 2H3V4Z\")'/>"), 1, 76, 3, 78);
    expect_drawn(PAGE("<circle style='r:5px' cx='20' cy='30'/>"), 15, 45, 25, 55);
    expect_refused(PAGE("<rect width='10' height='10' style='x:calc(1px + 2px)'/>"), 1, "x=");
    expect_refused(PAGE("<g transform='scale(2)' transform-origin='5 5'>" SHAPE "/></g>"), 1,
                   "transform-origin");
}

/* em: the element's font-size; CSS 2.1, 4.3.2 and 15.7. */
Test(styles, font_sizes)
{
    expect_drawn(PAGE("<g font-size='5'><rect width='2em' height='1ex'/></g>"), 0, 77.5, 10, 80);
    expect_drawn(PAGE("<g font-size='10'><g font-size='150%'><rect width='2em' height='10'/></g></g>"),
                 0, 70, 30, 80);
    expect_drawn(PAGE("<rect width='1em' height='1rem'/>"), 0, 64, 16, 80);
    expect_drawn(ROOT("viewBox='0 0 100 80' width='100mm' font-size='10'",
                      "<g font-size='3'><rect width='1rem' height='2em'/></g>"),
                 0, 74, 10, 80);
}

Test(styles, what_is_left_out_is_told)
{
    static const char *const list[] = {
        PAGE("<style>path:hover{fill:none}</style>" SHAPE "/>"),
        PAGE("<style>a~b{fill:none}</style>" SHAPE "/>"),
        PAGE("<style>@media screen{path{fill:none}}</style>" SHAPE "/>"),
        PAGE("<style>@import url(x.css);</style>" SHAPE "/>"),
        "<?xml-stylesheet href='x.css'?>" PAGE(SHAPE "/>"),
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct reading r = read_text(list[i]);
        cr_expect(find_note(&r.notes, "style") != NULL, "%s", list[i]);
        reading_clear(&r);
    }
}
