/* Every check of a job, provoked: what is told, on which line. */
#include "spreads.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <string.h>

TestSuite(checks, .init = spreads_open, .fini = spreads_close);

static void expect_error(const char *text, enum rab_fault fault, int line, const char *words)
{
    struct outcome o = outcome_of(text);

    cr_expect(not(o.ok), "\"%s\" was not told", words);
    cr_expect(o.err.fault == fault && o.err.line == line && strstr(o.err.text, words),
              "fault %d, line %d: %s", (int)o.err.fault, o.err.line, o.err.text);
    cr_expect(o.spread.count == 0 && o.spread.pieces == NULL);
    outcome_clear(&o);
}

static void expect_warning(const char *text, const char *code, int line, const char *words)
{
    struct outcome o = outcome_of(text);

    cr_expect(o.ok, "line %d: %s", o.err.line, o.err.text);
    if (!tells(&o, code, line, words)) {
        print_outcome(&o);
        cr_fatal("[%s] \"%s\" was not told", code, words);
    }
    cr_expect(o.notes.count == 1);
    outcome_clear(&o);
}

static void expect_nothing(const char *text)
{
    struct outcome o = outcome_of(text);

    cr_expect(o.ok, "line %d: %s", o.err.line, o.err.text);
    cr_expect(o.notes.count == 0, "%s", o.notes.count > 0 ? o.notes.items[0].text : "");
    outcome_clear(&o);
}

/* ---- on the page ----------------------------------------------------------------------- */

/* By hand: 10 + 4 in is 2 in beyond 12; from the right by 1/4 in is 1/4 in from the edge. */
Test(checks, beyond_the_page)
{
    expect_error(ON_PAGE("<panel name='mole' paper='amber' width='4' height='2' x='10'/>"),
                 RAB_FAULT_GEOMETRY, 7,
                 "the panel mole lies 2 in (50.8 mm) beyond the page's right edge");
    expect_error(ON_PAGE("\n<panel name='mole' paper='amber' width='4' height='2' y='-1/4'/>"),
                 RAB_FAULT_GEOMETRY, 8, "1/4 in (6.35 mm) beyond the page's lower edge");
    expect_warning(ON_PAGE("<photo name='pier' width='4' height='3' right='1/4'/>"), "in-margin", 7,
                   "1/4 in (6.35 mm) from the page's right edge, the margin is 1/2 in");
    expect_warning(ON_PAGE("<photo name='pier' width='4' height='3' top='0'/>"), "in-margin", 7,
                   "from the page's upper edge");
    /* Paper that runs to the edge is meant to. */
    expect_nothing(ON_PAGE("<panel paper='amber' width='12' height='3' y='0'/>"));
    expect_nothing(ON_PAGE("<panel paper='amber' width='3' height='3' x='1/2'/>"));
}

/* ---- hidden ---------------------------------------------------------------------------- */

Test(checks, hidden_photos)
{
    struct outcome o;

    expect_error(ON_PAGE("<photo name='pier' width='4' height='3' x='2' y='2'/>\n"
                         "<panel name='mole' paper='amber' width='3' height='3' x='5' y='3'/>"),
                 RAB_FAULT_GEOMETRY, 7,
                 "the photo pier is hidden by the panel mole of line 8, over 1 x 2 in");
    /* Edge to edge, and its own mat. */
    expect_nothing(ON_PAGE("<photo name='pier' width='4' height='3' x='2' y='2'>"
                           "<mat paper='amber' reveal='1/8'/></photo>\n"
                           "<panel paper='amber' width='3' height='3' x='6 1/8' y='2'/>"));
    /* A panel below it hides nothing. */
    expect_nothing(ON_PAGE("<panel paper='amber' width='6' height='6'/>\n"
                           "<photo name='pier' width='4' height='3'/>"));
    /* The material of a frame does, its openings do not. */
    expect_error(ON_PAGE("<photo name='pier' width='28mm' height='28mm'/>\n"
                         "<frame name='arcade' paper='night' file='three.svg'/>"),
                 RAB_FAULT_GEOMETRY, 7, "the photo pier is hidden by the frame arcade");
    expect_nothing(ON_PAGE("<photo name='pier' width='19mm' height='19mm'/>\n"
                           "<frame name='arcade' paper='night' file='three.svg'/>"));
    /* Each that hides it is told. */
    o = outcome_of(ON_PAGE("<photo name='pier' width='4' height='3'/>\n"
                           "<panel name='a' paper='amber' width='1' height='1'/>\n"
                           "<panel name='b' paper='amber' width='1' height='1'/>"));
    cr_expect(tells_error(&o, 7, "the panel a of line 8"));
    cr_expect(tells_error(&o, 7, "the panel b of line 9"));
    outcome_clear(&o);
    expect_warning(ON_PAGE("<text name='walk' paper='mist' width='4' height='3'>Lanterns</text>\n"
                           "<panel name='a' paper='amber' width='1' height='1'/>"),
                   "text-hidden", 7, "the text walk is hidden by the panel a of line 8");
}

/* A photo behind a frame is seen through its opening only: 20 x 20 mm of 28 x 28. */
Test(checks, photos_behind_frames_may_be_covered_where_nobody_sees)
{
    static const char frame[] = "<frame name='arcade' paper='night' file='three.svg' x='1' y='1'>"
                                "<show opening='2'><photo name='face' width='28mm' height='28mm'/>"
                                "</show></frame>\n";
    struct rab_text text = {0};

    rab_text_format(&text,
                    ON_PAGE("%s<panel paper='amber' width='4mm' height='4mm' x='61mm' "
                            "y='31mm'/>"),
                    frame);
    expect_nothing(text.data);
    rab_text_clear(&text);
    /* The opening's corner is at 25.4 + 40 mm. */
    rab_text_format(&text,
                    ON_PAGE("%s<panel paper='amber' width='6mm' height='6mm' x='61.4mm' "
                            "y='31.4mm'/>"),
                    frame);
    expect_error(text.data, RAB_FAULT_GEOMETRY, 7, "in (2 x 2 mm); move");
    rab_text_clear(&text);
}

/* ---- photos ---------------------------------------------------------------------------- */

Test(checks, photos_too_small)
{
    /* 3 + 3 1/2 in off 6. */
    expect_error(ON_PAGE("<photo name='pier' width='6' height='4' crop-left='3' "
                         "crop-right='3 1/2'/>"),
                 RAB_FAULT_GEOMETRY, 7,
                 "the photo pier is too small for its crop: 6 1/2 in (165.1 mm) cut off the width");
    /* 1200 pixels on 6 in are 200 to the inch, 600 are 100: good for half the size. */
    expect_nothing(ON_PAGE("<photo name='pier' width='6' height='4' pixels='1200x800'/>"));
    expect_warning(ON_PAGE("<photo name='pier' width='6' height='4' pixels='600x400'/>"),
                   "low-resolution", 7,
                   "100 pixels to the inch at 6 x 4 in (152.4 x 101.6 mm); 200 look sharp: print "
                   "it at most 3 x 2 in");
    /* Of a photo whose size is found: 11 in wide, 1100 pixels are 100 to the inch. */
    expect_warning(
        ON_PAGE("<grid><row><photo name='pier' proportion='2:1' pixels='1100x550'/></row>"
                "</grid>"),
        "low-resolution", 7, "100 pixels to the inch at 11 x 5 1/2 in");
}

/* ---- mats ------------------------------------------------------------------------------ */

Test(checks, reveals)
{
    /* A square corner on a mat with round ones of 8 mm, the photo's place having 5 mm: its corner
     * is 5 (sqrt 2 - 1) = 2.07 mm nearer to the edge: 3 - 2.07 = 0.93 mm. */
    struct outcome o = outcome_of(ON_PAGE(
        "<photo name='pier' width='5' height='4'><mat paper='amber' reveal='1/4'/>\n"
        "<mat paper='night' reveal='3mm' style='rounded'><set name='corner' to='8mm'/></mat>"
        "</photo>"));

    cr_expect(o.ok);
    cr_expect(tells(&o, "uneven-reveal", 8,
                    "the reveal of this mat of pier is not even: ≈ 1/16 in (0.93 mm)"),
              "%s", o.notes.count > 0 ? o.notes.items[0].text : "");
    outcome_clear(&o);
    /* By 20 mm corners the square one stands out: (20 - 3)(sqrt 2 - 1) = 7 mm. */
    expect_error(
        ON_PAGE("<photo name='pier' width='5' height='4'><mat paper='amber' reveal='1/4'/>\n"
                "<mat paper='night' reveal='3mm' style='rounded'>"
                "<set name='corner' to='20mm'/></mat></photo>"),
        RAB_FAULT_GEOMETRY, 8, "what lies on this mat of pier stands out beyond it");
    /* The same corners follow each other. */
    expect_nothing(ON_PAGE("<photo name='pier' width='5' height='4'>"
                           "<mat paper='amber' reveal='1/4' style='oval-mat'/>"
                           "<mat paper='night' reveal='1/4' style='oval-mat'/></photo>"));
    expect_error(ON_PAGE("<photo name='pier' width='5' height='4'><mat paper='amber' reveal='1/4' "
                         "style='lantern'/></photo>"),
                 RAB_FAULT_INPUT, 7, "mat of pier: lantern is not a mat");
    expect_error(ON_PAGE("<photo name='pier' width='5' height='4'><mat paper='amber' reveal='1/4' "
                         "style='plane'/></photo>"),
                 RAB_FAULT_INPUT, 7, "plain");
    expect_error(ON_PAGE("<photo name='pier' width='5' height='4'><mat paper='amber' "
                         "reveal='0.1mm'/></photo>"),
                 RAB_FAULT_INPUT, 7, "reveal");
}

/* ---- rows and grids -------------------------------------------------------------------- */

/* By hand: three photos of 3 1/2 in and two gutters of 1/2 in need 11 1/2 in, there are 11: 1/2 in
 * too wide. From 1 in on there are 10 1/2. */
Test(checks, rows_and_grids_that_are_too_wide)
{
    expect_error(
        ON_PAGE("<row gutter='1/2'><photo width='3 1/2' height='5'/>"
                "<photo width='3 1/2' height='5'/><photo width='3 1/2' height='5'/></row>"),
        RAB_FAULT_GEOMETRY, 7,
        "the row is 1/2 in (12.7 mm) too wide: 3 photos of 3 1/2 in (88.9 mm) and 2 "
        "gutters of 1/2 in (12.7 mm) need 11 1/2 in (292.1 mm), there are 11 in");
    expect_error(
        ON_PAGE("<row gutter='1/4' x='1'><photo width='3 1/2' height='5'/>"
                "<photo width='3 1/2' height='5'/><photo width='3 1/2' height='5'/></row>"),
        RAB_FAULT_GEOMETRY, 7, "1/2 in (12.7 mm) too wide");
    expect_error(ON_PAGE("<grid gutter='1/4'>\n<row><photo width='6' height='4'/>"
                         "<photo width='6' height='4'/></row></grid>"),
                 RAB_FAULT_GEOMETRY, 8, "the row is 1 1/4 in (31.75 mm) too wide");
    expect_error(ON_PAGE("<grid gutter='1/4'>\n<row><photo width='6' height='6'/></row>\n"
                         "<row><photo width='6' height='6'/></row></grid>"),
                 RAB_FAULT_GEOMETRY, 8, "too high");
}

Test(checks, narrow_gaps_are_told)
{
    expect_warning(
        ON_PAGE("<grid gutter='1/4' height='4'>\n<row><photo width='10.6' height='4'/></row>"
                "<fill paper='amber'/></grid>"),
        "narrow-gap", 8, "too narrow");
}

/* ---- frames ---------------------------------------------------------------------------- */

#define ARCADE(uses)                                                                               \
    ON_PAGE("<frame name='arcade' paper='night' file='three.svg'>\n" uses "</frame>")

Test(checks, openings)
{
    struct outcome o;

    expect_error(ARCADE("<back papers='amber' openings='1-4'/>"), RAB_FAULT_INPUT, 8,
                 "there is no opening 4 in the frame arcade; it has 3, numbered from 1");
    expect_error(ARCADE("<back papers='amber' openings='1,2'/>\n<leave openings='2'/>"),
                 RAB_FAULT_INPUT, 9,
                 "opening 2 of the frame arcade is spoken of twice: it is backed already (line 8)");
    expect_error(ARCADE("<leave every='2'/>\n<back papers='amber' openings='1-3'/>"),
                 RAB_FAULT_INPUT, 9, "opening 2 of the frame arcade is spoken of twice");
    expect_error(ARCADE("<back papers='amber'/>\n<back papers='mist'/>"), RAB_FAULT_INPUT, 9,
                 "all other openings of the frame arcade are backed already (line 8)");
    /* All of it at once. */
    o = outcome_of(ARCADE("<back papers='amber' openings='5'/>\n<leave openings='7'/>\n"
                          "<show opening='9'><photo width='1' height='1'/></show>"));
    cr_expect(tells_error(&o, 8, "no opening 5"));
    cr_expect(tells_error(&o, 9, "no opening 7"));
    cr_expect(tells_error(&o, 10, "no opening 9"));
    outcome_clear(&o);
}

/* 20 mm and 1/8 in on both sides: 26.35 mm. */
Test(checks, photos_that_show_through_cover_their_opening)
{
    expect_nothing(ARCADE("<show opening='2'><photo name='face' width='26.35mm' height='26.35mm'/>"
                          "</show>"));
    expect_error(
        ARCADE("<show opening='2'><photo name='face' width='26.3mm' height='30mm'/></show>"),
        RAB_FAULT_GEOMETRY, 8, "the photo face does not cover opening 2 with 1/8 in");
    /* Beyond 10 mm of web it shows in the neighbours: 20 + 2 * 10 = 40 mm. */
    expect_error(ARCADE("<show opening='2'><photo name='face' width='41mm' height='30mm'/></show>"),
                 RAB_FAULT_GEOMETRY, 8, "the photo face would show in opening 1 too");
    expect_nothing(
        ARCADE("<show opening='2'><photo name='face' width='40mm' height='30mm'/></show>"));
    /* Its mat covers, too. */
    expect_nothing(ARCADE("<show opening='2'><photo name='face' width='18mm' height='18mm'>"
                          "<mat paper='amber' reveal='5mm'/></photo></show>"));
}

Test(checks, drawings_and_shapes)
{
    expect_error(ON_PAGE("<frame name='arcade' paper='night' file='four.svg'/>"), RAB_FAULT_FILE, 7,
                 "frame arcade: four.svg is not there");
    expect_error(ON_PAGE("<frame name='moon' paper='night' shape='dusc'/>"), RAB_FAULT_INPUT, 7,
                 "disc");
    expect_error(ON_PAGE("<frame name='moon' paper='night' shape='disc'>"
                         "<back papers='amber'/></frame>"),
                 RAB_FAULT_GEOMETRY, 7, "frame moon: ");
    expect_error(ON_PAGE("<frame name='moon' paper='night' shape='scallop'/>"), RAB_FAULT_INPUT, 7,
                 "scallop is an edge motif and no shape");
}

/* The frame room tells which: a border of 1 mm with an inset of 1 mm leaves nothing, one of 1.5 mm
 * half a millimetre. */
Test(checks, backings_that_cannot_be_hidden)
{
    struct outcome o;

    expect_error(ON_PAGE("<frame name='arcade' paper='night' file='three.svg' width='10mm'>\n"
                         "<back papers='amber'/></frame>"),
                 RAB_FAULT_GEOMETRY, 7, "frame arcade: 3 openings cannot be backed alone");
    o = outcome_of(ON_PAGE("<frame name='arcade' paper='night' file='three.svg' width='15mm'>\n"
                           "<back papers='amber'/></frame>"));
    cr_expect(o.ok);
    cr_expect(tells(&o, "narrow-seam", 7, "frame arcade: "));
    outcome_clear(&o);
}

/* ---- strips and words ------------------------------------------------------------------ */

/* 1 / 0.7 = 1.43 is more than sqrt 2: two repeats, of 1/2 in; 0.7 or 1.4 in would take it as it is.
 */
Test(checks, motifs_that_do_not_fit)
{
    expect_warning(ON_PAGE("<strip name='foot' paper='amber' motif='scallop' length='1' width='1' "
                           "pitch='0.7'/>"),
                   "motif-stretched", 7,
                   "its pitch becomes 1/2 in (12.7 mm) in place of ≈ 11/16 in (17.78 mm); a length "
                   "of ≈ 11/16 in (17.78 mm) or ≈ 1 3/8 in (35.56 mm)");
    expect_error(ON_PAGE("<strip name='foot' paper='amber' motif='scallop' length='6' width='1/16' "
                         "pitch='1/2' depth='1/4'/>"),
                 RAB_FAULT_GEOMETRY, 7, "strip foot: ");
    expect_error(ON_PAGE("<strip name='foot' paper='amber' motif='disc' length='6' width='1'/>"),
                 RAB_FAULT_INPUT, 7, "disc is a shape and no edge motif");
}

/* Four strips of 1/4 in need 1 in. */
/* Contrast after WCAG 2.1: #2B3A55 shows light letters, which no printer prints. */
Test(checks, words_on_dark_paper)
{
    expect_warning(ON_PAGE("<text name='walk' paper='night' width='4' height='1'>Lamps</text>"),
                   "dark-paper", 7, "night is too dark for printed words");
    expect_nothing(ON_PAGE("<text name='walk' paper='night' width='4' height='1' ruled='1/4'/>"));
}

Test(checks, words)
{
    expect_error(ON_PAGE("<text name='walk' paper='mist' width='4' height='3/4' strips='1/4'>"
                         "a\nb\nc\nd</text>"),
                 RAB_FAULT_GEOMETRY, 7, "text walk: the words take 4 lines");
    expect_error(ON_PAGE("<text name='walk' paper='mist' width='1/2' height='1/4'>All the lamps of "
                         "the harbour were lit, one after the other</text>"),
                 RAB_FAULT_GEOMETRY, 7, "text walk: ");
    expect_warning(ON_PAGE("<text paper='mist' width='4' height='1' font='No such letters'>Dusk"
                           "</text>"),
                   "other-font", 7, "the font No such letters is not installed");
}

/* ---- papers and tools ------------------------------------------------------------------ */

#define WITH_PAPER(paper, items)                                                                   \
    "<job xmlns='urn:rabbet:job:1' units='in'%s>\n<paper name='amber' colour='#E3B04B' " paper     \
    "\n<page side='left' paper='amber' width='14' height='14'>\n" items "\n</page>\n</job>\n"

static char *with(struct rab_text *text, const char *format, const char *job)
{
    const char *at = strstr(format, "%s");

    rab_text_clear(text);
    rab_text_bytes(text, format, (size_t)(at - format));
    rab_text_add(text, job);
    rab_text_add(text, at + 2);
    return text->data;
}

Test(checks, sheets_and_print)
{
    struct rab_text text = {0};

    expect_error(with(&text,
                      WITH_PAPER("/>", "<panel name='a' paper='amber' width='12' "
                                       "height='13'/>"),
                      ""),
                 RAB_FAULT_GEOMETRY, 4,
                 "the panel a, 12 x 13 in (304.8 x 330.2 mm), is larger than a sheet of amber, "
                 "12 x 12 in");
    expect_nothing(with(&text,
                        WITH_PAPER("width='13'/>", "<panel name='a' paper='amber' "
                                                   "width='12' height='13'/>"),
                        ""));
    expect_error(with(&text,
                      WITH_PAPER("width='13' printed='one' turn='half'/>",
                                 "<panel name='a' paper='amber' width='12' height='13'/>"),
                      ""),
                 RAB_FAULT_GEOMETRY, 4, "would have to be turned against the print on amber");
    /* Pieces are laid on whole sheets, not on offcuts. */
    expect_error(with(&text,
                      WITH_PAPER("><offcut width='12' height='13'/></paper>",
                                 "<panel name='a' paper='amber' width='12' height='13'/>"),
                      ""),
                 RAB_FAULT_GEOMETRY, 4, "is larger than a sheet of amber");
    rab_text_clear(&text);
}

/* By area: 8 x 8 in is 64 of 144 in2, and two lie on no sheet: 40 kits and 5 percent are 42 sheets.
 * Of 6 x 6 in four make a sheet: 10.5 for 42, so 11. */
Test(checks, stock)
{
    struct rab_text text = {0};

    expect_warning(with(&text,
                        WITH_PAPER("sheets='41'/>", "<panel paper='amber' width='8' "
                                                    "height='8'/>"),
                        " kits='40' spare='5'"),
                   "not-enough", 2,
                   "the pieces of 42 kits need 42 sheets or more, 41 are in stock");
    expect_nothing(with(&text,
                        WITH_PAPER("sheets='42'/>", "<panel paper='amber' width='8' "
                                                    "height='8'/>"),
                        " kits='40' spare='5'"));
    expect_warning(with(&text,
                        WITH_PAPER("sheets='10'/>", "<panel paper='amber' width='6' "
                                                    "height='6'/>"),
                        " kits='40' spare='5'"),
                   "not-enough", 2, "need 11 sheets or more");
    /* 10.5 sheets less 72 in2 of offcuts are 10. */
    expect_nothing(with(&text,
                        WITH_PAPER("sheets='10'><offcut width='6' height='6' count='2'/></paper>",
                                   "<panel paper='amber' width='6' height='6'/>"),
                        " kits='40' spare='5'"));
    rab_text_clear(&text);
}

Test(checks, tools)
{
    expect_error(ON_PAGE("<frame name='moon' paper='night' shape='disc' cut='trimmer'/>"),
                 RAB_FAULT_GEOMETRY, 7, "a trimmer, which cuts rectangles only");
    expect_error(
        "<job xmlns='urn:rabbet:job:1' units='in'>\n<paper name='amber' colour='#E3B04B'/>\n"
        "<cutter bed-width='11 1/2' bed-height='11'/>\n"
        "<page side='left' paper='amber'>\n<panel name='a' paper='amber' width='12' "
        "height='3'/></page></job>",
        RAB_FAULT_GEOMETRY, 5, "the panel a, 12 x 3 in (304.8 x 76.2 mm), is larger than");
}

Test(checks, foam)
{
    expect_error(ON_PAGE("<panel paper='mist' width='8' height='8' raised='12'/>\n"
                         "<panel name='mole' paper='amber' width='4' height='4' raised='9'/>"),
                 RAB_FAULT_INPUT, 8, "the panel mole cannot be raised so much");
    expect_nothing(ON_PAGE("<panel paper='mist' width='8' height='8' raised='12'/>\n"
                           "<panel name='mole' paper='amber' width='4' height='4' raised='8'/>"));
}

/* ---- all at once ----------------------------------------------------------------------- */

/* In the order of the lines, the first as the error. */
Test(checks, everything_at_once)
{
    struct outcome o = outcome_of(ON_PAGE(
        "<panel name='mole' paper='amber' width='4' height='2' x='10'/>\n"
        "<photo name='pier' width='6' height='4' crop-left='7'/>\n"
        "<strip name='foot' paper='amber' motif='scalop' length='6' width='1'/>\n"
        "<frame name='arcade' paper='night' file='three.svg'><leave openings='9'/></frame>\n"
        "<photo name='boat' width='6' height='4' pixels='60x40'/>"));

    cr_expect(not(o.ok));
    cr_expect(o.err.line == 7);
    cr_expect(tells_error(&o, 8, "too small for its crop"));
    cr_expect(tells_error(&o, 9, "scallop"));
    cr_expect(tells_error(&o, 10, "no opening 9"));
    cr_expect(tells(&o, "low-resolution", 11, "10 pixels"));
    for (size_t i = 1; i < o.notes.count; i++)
        cr_expect(o.notes.items[i].line >= o.notes.items[i - 1].line);
    outcome_clear(&o);
}
