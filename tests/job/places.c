/* What jobs come to: sizes, places, letters. Sums by hand stand beside the checks. */
#include "spreads.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

TestSuite(places, .init = spreads_open, .fini = spreads_close);

static struct outcome good(const char *text)
{
    struct outcome outcome = outcome_of(text);

    if (!outcome.ok)
        print_outcome(&outcome);
    cr_assert(outcome.ok, "line %d: %s", outcome.err.line, outcome.err.text);
    return outcome;
}

static void expect_quiet(const struct outcome *outcome)
{
    cr_expect(outcome->notes.count == 0, "%s",
              outcome->notes.count ? outcome->notes.items[0].text : "");
}

/* ---- mats ------------------------------------------------------------------------------ */

/* Common practice, no source: a mat of 6 x 4 in shows 1/8 in round a photo of 5 3/4 x 3 3/4, one of
 * 2 3/4 x 3 1/2 round one of 2 1/2 x 3 1/4. */
Test(places, mats_show_an_eighth)
{
    struct outcome o = good(ON_PAGE("<photo name='quay' width='5 3/4' height='3 3/4' x='1' y='1'>"
                                    "<mat paper='amber' reveal='1/8'/></photo>\n"
                                    "<photo name='boat' width='2 1/2' height='3 1/4' x='1' y='6'>"
                                    "<mat paper='amber' reveal='1/8'/></photo>"));

    expect_quiet(&o);
    expect_box(&o, "mat of quay", IN(1), IN(1), IN(6), IN(4));
    expect_box(&o, "photo quay", IN(1.125), IN(1.125), IN(5.75), IN(3.75));
    expect_box(&o, "mat of boat", IN(1), IN(6), IN(2.75), IN(3.5));
    cr_expect(o.spread.count == 4);
    cr_expect(piece_of(&o, "mat of quay")->rectangle);
    cr_expect(piece_of(&o, "mat of quay")->tool == RAB_TOOL_TRIMMER);
    cr_expect(piece_of(&o, "mat of quay")->line == 7);
    cr_expect(piece_of(&o, "photo quay")->paper == (size_t)-1);
    outcome_clear(&o);
}

/* Plain addition: 4 x 6 in with 1/8 in is 4 1/4 x 6 1/4 in = 107.95 x 158.75 mm; layers of 1/8, 1/4
 * and 1/8 in make 5 x 7 in; 10 x 15 cm with 5 mm is 110 x 160 mm. */
Test(places, layers_add_up)
{
    struct outcome o =
        good(ON_PAGE("<photo name='a' width='4' height='6' x='1' y='1'>"
                     "<mat paper='amber' reveal='1/8'/></photo>\n"
                     "<photo name='b' width='4' height='6' right='1' y='1'>"
                     "<mat paper='amber' reveal='1/8'/><mat paper='night' reveal='1/4'/>"
                     "<mat paper='mist' reveal='1/8'/></photo>\n"));

    expect_box(&o, "mat of a", 25.4, 25.4, 107.95, 158.75);
    expect_box(&o, "mat 3 of b", IN(6), IN(1), IN(5), IN(7));
    expect_box(&o, "mat 2 of b", IN(6.125), IN(1.125), IN(4.75), IN(6.75));
    expect_box(&o, "photo b", IN(6.5), IN(1.5), IN(4), IN(6));
    /* The outermost lies lowest. */
    cr_expect(piece_of(&o, "mat 3 of b") < piece_of(&o, "mat 2 of b"));
    cr_expect(piece_of(&o, "mat 1 of b") < piece_of(&o, "photo b"));
    outcome_clear(&o);
    o = good(ON_PAGE("<photo name='c' width='10cm' height='15cm'>"
                     "<mat paper='amber' reveal='5mm'/></photo>"));
    expect_box(&o, "mat of c", (304.8 - 110) / 2, (304.8 - 160) / 2, 110, 160);
    outcome_clear(&o);
}

/* Source: teaching page on framing, 1998. 8 x 10, overlap 1/4, board 11 x 14: opening 7 1/2 x 9
 * 1/2, borders 1 3/4 and 2 1/4 in. The same by its border of 1 3/4: 11 x 13 in. */
Test(places, window_mats_lie_over_the_photo)
{
    struct outcome o =
        good("<job xmlns='urn:rabbet:job:1' units='in'>\n"
             "<paper name='mist' colour='#D8DEE4' width='12' height='16'/>\n"
             "<page side='right' paper='mist' height='16'>\n"
             "<photo name='pier' width='8' height='10'>"
             "<mat paper='mist' reveal='1 3/4' style='window'><set name='board-width' to='11in'/>"
             "<set name='board-height' to='14in'/></mat></photo></page></job>");
    const struct rab_piece *mat = piece_of(&o, "window mat of pier");

    expect_quiet(&o);
    expect_box(&o, "window mat of pier", IN(0.5), IN(1), IN(11), IN(14));
    expect_box(&o, "photo pier", IN(2), IN(3), IN(8), IN(10));
    cr_expect(mat > piece_of(&o, "photo pier"));
    cr_assert(mat->region.count == 2);
    const struct rab_box opening = rab_outline_box(&mat->region.outlines[1]);
    cr_expect(epsilon_eq(dbl, opening.x1 - opening.x0, IN(7.5), 1e-9));
    cr_expect(epsilon_eq(dbl, opening.y1 - opening.y0, IN(9.5), 1e-9));
    cr_expect(epsilon_eq(dbl, opening.x0, IN(2.25), 1e-9));
    cr_expect(epsilon_eq(dbl, opening.y0, IN(3.25), 1e-9));
    cr_expect(mat->page == RAB_RIGHT);
    cr_expect(not(mat->rectangle));
    /* No cutter, no trimmer: by hand. */
    cr_expect(mat->tool == RAB_TOOL_HAND);
    outcome_clear(&o);
}

/* An oval mat wants an oval photo: pi a b of it, Elementary; 0.01 mm all round is the most that the
 * arcs may be off. */
Test(places, an_oval_mat_cuts_the_photo_oval)
{
    struct outcome o = good(ON_PAGE("<photo name='face' width='4' height='3'>"
                                    "<mat paper='amber' reveal='1/4' style='oval-mat'/></photo>"));
    const double area = rab_region_area(&piece_of(&o, "photo face")->region);

    expect_quiet(&o);
    cr_expect(fabs(area - RAB_PI * IN(4) * IN(3) / 4) < 0.01 * RAB_PI * IN(4));
    cr_expect(not(piece_of(&o, "photo face")->rectangle));
    outcome_clear(&o);
}

/* By hand: 1/2 in off the left and 1/4 in off the top of 6 x 4 leave 5 1/2 x 3 3/4 in. */
Test(places, crops_are_cut_off)
{
    struct outcome o = good(ON_PAGE("<photo name='quay' width='6' height='4' x='1' top='1' "
                                    "crop-left='1/2' crop-top='1/4'>"
                                    "<mat paper='amber' reveal='1/8'/></photo>"));

    expect_box(&o, "mat of quay", IN(1), IN(7), IN(5.75), IN(4));
    expect_box(&o, "photo quay", IN(1.125), IN(7.125), IN(5.5), IN(3.75));
    outcome_clear(&o);
}

/* ---- places ---------------------------------------------------------------------------- */

/* By hand, on 12 in: 3 in wide from the right by 1: x = 8; from the top by 2, 1 in high: y = 9. */
Test(places, from_every_side)
{
    struct outcome o = good(ON_PAGE("<panel name='a' paper='amber' width='3' height='1'/>\n"
                                    "<panel name='b' paper='amber' width='3' height='1' right='1' "
                                    "top='2'/>\n"
                                    "<panel name='c' paper='amber' width='3' height='1' x='1' "
                                    "y='2'/>"));

    expect_box(&o, "panel a", IN(4.5), IN(5.5), IN(3), IN(1));
    expect_box(&o, "panel b", IN(8), IN(9), IN(3), IN(1));
    expect_box(&o, "panel c", IN(1), IN(2), IN(3), IN(1));
    outcome_clear(&o);
}

/* By hand: 3 + 1/4 + 2 + 1/4 + 1 = 6 1/2 in, in the middle of 12: from 2 3/4. The highest is 4 in:
 * from 4 to 8 in, the others in the middle of it. In a column from the top down. */
Test(places, rows_and_columns)
{
    static const char *const what[] = {"panel a", "photo b", "panel c"};
    struct outcome o = good(ON_PAGE("<row gutter='1/4'>"
                                    "<panel name='a' paper='amber' width='3' height='2'/>"
                                    "<photo name='b' width='2' height='4'/>"
                                    "<panel name='c' paper='night' width='1' height='1'/></row>"));

    expect_quiet(&o);
    expect_box(&o, what[0], IN(2.75), IN(5), IN(3), IN(2));
    expect_box(&o, what[1], IN(6), IN(4), IN(2), IN(4));
    expect_box(&o, what[2], IN(8.25), IN(5.5), IN(1), IN(1));
    outcome_clear(&o);
    o = good(ON_PAGE("<column gutter='1/4' x='1' y='1'>"
                     "<panel name='a' paper='amber' width='3' height='2'/>"
                     "<photo name='b' width='2' height='4'/>"
                     "<panel name='c' paper='night' width='1' height='1'/></column>"));
    expect_box(&o, what[0], IN(1), IN(6.5), IN(3), IN(2));
    expect_box(&o, what[1], IN(1.5), IN(2.25), IN(2), IN(4));
    expect_box(&o, what[2], IN(2), IN(1), IN(1), IN(1));
    outcome_clear(&o);
}

/* Elementary: h (3/2 + 2/3 + 1) = 10 1/2 in: 84.221053 mm high; 4.973684, 2.210526 and 3.315789 in
 * wide. With two gutters of 1/4 in the grid is 11 in wide: the page within its margins. */
Test(places, grid_of_one_row)
{
    struct outcome o = good(ON_PAGE("<grid gutter='1/4'><row><photo name='a' proportion='3:2'/>"
                                    "<photo name='b' proportion='2:3'/>"
                                    "<photo name='c' proportion='1:1'/></row>"
                                    "<fill paper='amber'/></grid>"));
    const struct rab_box a = rab_region_box(&piece_of(&o, "photo a")->region);
    const struct rab_box b = rab_region_box(&piece_of(&o, "photo b")->region);

    expect_quiet(&o);
    cr_expect(epsilon_eq(dbl, a.x0, IN(0.5), 1e-9));
    cr_expect(epsilon_eq(dbl, a.y1, IN(11.5), 1e-9));
    cr_expect(epsilon_eq(dbl, a.y1 - a.y0, 84.221053, 1e-6));
    cr_expect(epsilon_eq(dbl, a.x1 - a.x0, IN(4.973684), 1e-4));
    cr_expect(epsilon_eq(dbl, b.x0 - a.x1, IN(0.25), 1e-9));
    cr_expect(epsilon_eq(dbl, b.x1 - b.x0, IN(2.210526), 1e-4));
    /* 11 - 84.221053 / 25.4 - 1/4 in are left below. */
    expect_box(&o, "filler 1", IN(0.5), IN(0.5), IN(11), IN(11 - 0.25) - (a.y1 - a.y0));
    outcome_clear(&o);
}

/* By hand: with mats of 1/4 in round photos of 3:2 and 1:1 and a gutter of 1/2 in, 11 in hold
 * 2 1/2 h + 1 + 1/2 = 11: h = 3.8 in, and the mats 4.3 in high. */
Test(places, grid_counts_the_mats)
{
    struct outcome o =
        good(ON_PAGE("<grid gutter='1/2'><row><photo name='a' proportion='3:2'>"
                     "<mat paper='amber' reveal='1/4'/></photo><photo name='b' proportion='1:1'>"
                     "<mat paper='night' reveal='1/4'/></photo></row></grid>"));

    expect_quiet(&o);
    const struct rab_box a = rab_region_box(&piece_of(&o, "photo a")->region);
    cr_expect(epsilon_eq(dbl, a.y1 - a.y0, IN(3.8), 1e-7));
    cr_expect(epsilon_eq(dbl, a.x1 - a.x0, IN(5.7), 1e-7));
    const struct rab_box mat = rab_region_box(&piece_of(&o, "mat of b")->region);
    cr_expect(epsilon_eq(dbl, mat.x1, IN(11.5), 1e-7));
    cr_expect(epsilon_eq(dbl, mat.y0, IN(7.2), 1e-7));
    outcome_clear(&o);
}

/* Common practice, elementary: three photos of 3 1/2 in on 12 in leave four equal gaps of 3/8 in.
 */
Test(places, three_photos_and_four_gaps)
{
    struct outcome o = good("<job xmlns='urn:rabbet:job:1' units='in'>\n"
                            "<paper name='mist' colour='#D8DEE4'/>\n"
                            "<page side='left' paper='mist'><row gutter='3/8'>"
                            "<photo name='a' width='3 1/2' height='3 1/2'/>"
                            "<photo name='b' width='3 1/2' height='3 1/2'/>"
                            "<photo name='c' width='3 1/2' height='3 1/2'/></row></page></job>");

    expect_quiet(&o);
    expect_box(&o, "photo a", IN(0.375), IN(4.25), IN(3.5), IN(3.5));
    expect_box(&o, "photo b", IN(4.25), IN(4.25), IN(3.5), IN(3.5));
    expect_box(&o, "photo c", IN(8.125), IN(4.25), IN(3.5), IN(3.5));
    outcome_clear(&o);
}

/* Elementary: on 12 in with margins of 1/2 and gutters of 1/4 in two columns are 5 3/8 in wide,
 * (11 - 1/4) / 2, and three rows 3 1/2 in high, (11 - 1/2) / 3: photos of that proportion, 43:28,
 * come out so large and fill the page. */
Test(places, two_columns_and_three_rows)
{
    static const char row[] = "<row><photo proportion='43:28'/><photo proportion='43:28'/></row>";
    struct rab_text text = {0};
    struct outcome o;

    rab_text_format(&text, ON_PAGE("<grid gutter='1/4'>%s%s%s</grid>"), row, row, row);
    o = good(text.data);
    expect_quiet(&o);
    cr_assert(o.spread.count == 6);
    for (size_t i = 0; i < 6; i++) {
        const struct rab_box box = rab_region_box(&o.spread.pieces[i].region);
        const double x = 0.5 + 5.625 * (double)(i % 2), y = 8 - 3.75 * (double)(i / 2);
        cr_expect(all(epsilon_eq(dbl, box.x0, IN(x), 1e-9), epsilon_eq(dbl, box.y0, IN(y), 1e-9),
                      epsilon_eq(dbl, box.x1, IN(x + 5.375), 1e-9),
                      epsilon_eq(dbl, box.y1, IN(y + 3.5), 1e-9)));
    }
    outcome_clear(&o);
    rab_text_clear(&text);
}

/* ---- hidden centres -------------------------------------------------------------------- */

/* Plain subtraction: a panel of 10 x 10 in on one of 12 x 12 leaves 1 in all round; with 1/2 in
 * left behind its edge, 9 x 9 in are taken out: 81/144 = 56.25 %. */
Test(places, hidden_centre_is_recovered)
{
    struct outcome o = good(
        ON_PAGE("<panel name='low' paper='amber' width='12' height='12' hidden-centre='1/2'/>\n"
                "<panel name='high' paper='night' width='10' height='10'/>"));
    const struct rab_piece *low = piece_of(&o, "panel low");

    expect_quiet(&o);
    expect_box(&o, "panel high", IN(1), IN(1), IN(10), IN(10));
    cr_assert(o.spread.recovered_count == 1);
    cr_expect(epsilon_eq(dbl, o.spread.recovered[0].width, IN(9), 1e-9));
    cr_expect(epsilon_eq(dbl, o.spread.recovered[0].height, IN(9), 1e-9));
    cr_expect(o.spread.recovered[0].paper == low->paper);
    cr_expect(epsilon_eq(dbl, rab_region_area(&low->region), 304.8 * 304.8 * (1 - 0.5625), 1e-6));
    cr_expect(not(low->rectangle));
    cr_expect(low->tool == RAB_TOOL_CUTTER);
    outcome_clear(&o);
}

/* A round cover: the circle less 1/2 in is taken out, pi r^2; a square of at most r sqrt 2 (the one
 * within a circle) is recovered, and nearly so large a one. */
Test(places, hidden_centre_under_a_round_mat)
{
    struct outcome o = good(
        ON_PAGE("<panel name='low' paper='amber' width='12' height='12' hidden-centre='1/2'/>\n"
                "<frame name='moon' paper='night' shape='disc'>"
                "<set name='diameter' to='10in'/></frame>"));
    const double r = IN(4.5), side = r * sqrt(2);

    cr_assert(o.spread.recovered_count == 1);
    cr_expect(epsilon_eq(dbl, rab_region_area(&piece_of(&o, "panel low")->region),
                         304.8 * 304.8 - RAB_PI * r * r, 1e-4));
    cr_expect(o.spread.recovered[0].width <= side + 1e-3);
    cr_expect(o.spread.recovered[0].width >= side * 0.999);
    outcome_clear(&o);
}

/* A frame hides a ring: nothing is taken out, or its middle would fall out. */
Test(places, no_hidden_centre_behind_an_open_frame)
{
    struct outcome o = good(
        ON_PAGE("<panel name='low' paper='amber' width='12' height='12' hidden-centre='1/4'/>\n"
                "<frame name='wreath' paper='night' shape='border-frame'>"
                "<set name='width' to='10in'/><set name='height' to='10in'/></frame>"));

    cr_expect(tells(&o, "no-hidden-centre", 7, "panel low"));
    cr_expect(o.spread.recovered_count == 0);
    cr_expect(piece_of(&o, "panel low")->rectangle);
    outcome_clear(&o);
}

/* ---- frames ---------------------------------------------------------------------------- */

/* A frame of 100 x 40 mm with openings of 20 x 20 mm: a seam of 3 mm makes backings with round
 * corners, 20^2 + 4 * 20 * 3 + pi 3^2 (Steiner's formula). Papers go by turns. */
Test(places, backings_by_turns)
{
    struct outcome o =
        good(ON_PAGE("<frame name='arcade' paper='night' file='three.svg' x='1' y='1'>"
                     "<back papers='amber mist'/></frame>"));
    const struct rab_piece *first = piece_of(&o, "backing of opening 1 of arcade");

    expect_quiet(&o);
    expect_box(&o, "frame arcade", IN(1), IN(1), 100, 40);
    expect_box(&o, "backing of opening 1 of arcade", IN(1) + 7, IN(1) + 7, 26, 26);
    cr_expect(
        epsilon_eq(dbl, rab_region_area(&first->region), 400 + 4 * 20 * 3 + RAB_PI * 9, 1e-6));
    cr_expect(first->paper == 1);
    cr_expect(piece_of(&o, "backing of opening 2 of arcade")->paper == 2);
    cr_expect(piece_of(&o, "backing of opening 3 of arcade")->paper == 1);
    /* One form: the first and the third share a letter, the second is of another paper. */
    cr_expect(strcmp(first->letter, piece_of(&o, "backing of opening 3 of arcade")->letter) == 0);
    cr_expect(strcmp(first->letter, piece_of(&o, "backing of opening 2 of arcade")->letter) != 0);
    /* Behind the frame. */
    cr_expect(first < piece_of(&o, "frame arcade"));
    outcome_clear(&o);
}

/* By hand: at twice the width, a seam of 5 mm: 40 + 10 mm; turned by a quarter the openings are
 * numbered from the top. */
Test(places, frames_are_scaled_and_turned)
{
    struct outcome o = good(
        ON_PAGE("<frame name='arcade' paper='night' file='three.svg' x='1' y='1' width='200mm' "
                "turn='90' seam='5mm'><back papers='amber'/></frame>"));

    expect_box(&o, "frame arcade", IN(1), IN(1), 80, 200);
    expect_box(&o, "backing of opening 1 of arcade", IN(1) + 15, IN(1) + 135, 50, 50);
    expect_box(&o, "backing of opening 3 of arcade", IN(1) + 15, IN(1) + 15, 50, 50);
    outcome_clear(&o);
}

Test(places, openings_left_together_and_showing)
{
    struct outcome o = good(ON_PAGE("<frame name='arcade' paper='night' file='three.svg'>"
                                    "<leave every='3'/><back papers='amber' openings='1-2' "
                                    "together='yes'/></frame>"));

    cr_expect(piece_of(&o, "backing of openings 1, 2 of arcade")->paper == 1);
    cr_expect(o.spread.count == 2);
    outcome_clear(&o);
    o = good(ON_PAGE("<frame name='arcade' paper='night' file='three.svg' x='1' y='1'>"
                     "<show opening='2'><photo name='face' width='28mm' height='28mm'/></show>"
                     "<back papers='amber'/></frame>"));
    cr_expect(o.spread.count == 4);
    /* In the middle of its opening: 40 + 10 - 14 mm from the left. */
    expect_box(&o, "photo face", IN(1) + 36, IN(1) + 6, 28, 28);
    cr_expect(piece_of(&o, "photo face") < piece_of(&o, "frame arcade"));
    outcome_clear(&o);
}

/* ---- strips and words ------------------------------------------------------------------ */

/* Plain addition: 11 in long, 1 in wide; a layer showing 1/8 in on both long sides is 1 1/4 in wide
 * and as long. Turned by a quarter it stands. */
Test(places, strips_with_layers)
{
    struct outcome o = good(ON_PAGE(
        "<strip name='foot' paper='amber' motif='scallop' length='11' width='1' pitch='1/2' "
        "y='1/2'><behind paper='night' reveal='1/8'/></strip>"));

    expect_quiet(&o);
    expect_box(&o, "strip foot", IN(0.5), IN(0.625), IN(11), IN(1));
    expect_box(&o, "layer behind strip foot", IN(0.5), IN(0.5), IN(11), IN(1.25));
    cr_expect(piece_of(&o, "layer behind strip foot") < piece_of(&o, "strip foot"));
    outcome_clear(&o);
    o = good(ON_PAGE("<strip name='side' paper='amber' motif='scallop' length='11' width='1' "
                     "pitch='1/2' x='1/2' turn='90'/>"));
    expect_box(&o, "strip side", IN(0.5), IN(0.5), IN(1), IN(11));
    outcome_clear(&o);
}

/* Common practice, elementary: strips 1 in wide, butted round 12 in, are 2 of 12 and 2 of 10 in;
 * ten strips of 1 1/8 in come from 12 in, the rest is 3/4 in: the column of ten fits 12 in with no
 * gutter, one of eleven does not. */
Test(places, butted_strips_and_columns_of_them)
{
    struct outcome o =
        good(ON_PAGE("<panel name='foot' paper='amber' width='12' height='1' y='0'/>\n"
                     "<panel name='head' paper='amber' width='12' height='1' top='0'/>\n"
                     "<panel name='left' paper='amber' width='1' height='10' x='0'/>\n"
                     "<panel name='right' paper='amber' width='1' height='10' right='0'/>"));
    const char *letter = piece_of(&o, "panel foot")->letter;

    expect_quiet(&o);
    cr_expect(strcmp(letter, piece_of(&o, "panel head")->letter) == 0);
    cr_expect(strcmp(letter, piece_of(&o, "panel left")->letter) != 0);
    expect_box(&o, "panel left", 0, IN(1), IN(1), IN(10));
    expect_box(&o, "panel right", IN(11), IN(1), IN(1), IN(10));
    outcome_clear(&o);
}

static void strips_in_a_column(int count, bool fits)
{
    struct rab_text text = {0};

    rab_text_add(&text, "<job xmlns='urn:rabbet:job:1' units='in'>\n"
                        "<paper name='amber' colour='#E3B04B'/>\n"
                        "<page side='left' paper='amber'><column>\n");
    for (int i = 0; i < count; i++)
        rab_text_add(&text, "<panel paper='amber' width='12' height='1 1/8'/>");
    rab_text_add(&text, "</column></page></job>");
    struct outcome o = outcome_of(text.data);
    cr_expect(eq(int, o.ok, fits));
    if (fits) /* the rest, half of it above */
        cr_expect(epsilon_eq(dbl, IN(12) - rab_region_box(&o.spread.pieces[0].region).y1,
                             IN(0.75) / 2, 1e-9));
    else
        /* 11 x 1 1/8 = 12 3/8 in, 3/8 in too high. */
        cr_expect(tells_error(&o, 3, "3/8 in"), "%s", o.err.text);
    outcome_clear(&o);
    rab_text_clear(&text);
}

Test(places, ten_strips_from_twelve_inches)
{
    strips_in_a_column(10, true);
    strips_in_a_column(11, false);
}

/* By hand: four strips of 1/4 in in a block of 1 3/4 in stand 1/2 in apart. */
Test(places, words_in_strips_and_ruled_blocks)
{
    struct outcome o =
        good(ON_PAGE("<text name='walk' paper='mist' width='4' height='1 3/4' strips='1/4' x='1' "
                     "y='1'>We met at dusk\nby the old crane\nlanterns lit\nand walked</text>\n"
                     "<text name='notes' paper='mist' width='4' height='2' ruled='1/4' x='1' "
                     "y='6'/>"));

    expect_quiet(&o);
    expect_box(&o, "text strip 1 of walk", IN(1), IN(2.5), IN(4), IN(0.25));
    expect_box(&o, "text strip 4 of walk", IN(1), IN(1), IN(4), IN(0.25));
    expect_box(&o, "text notes", IN(1), IN(6), IN(4), IN(2));
    /* Lines at 1/4, 1/2 ... 1 3/4 in: none on the edge. */
    cr_expect(piece_of(&o, "text notes")->path_count == 7);
    cr_expect(piece_of(&o, "text notes")->paths[0].operation == RAB_DRAW);
    outcome_clear(&o);
}

/* ---- foam ------------------------------------------------------------------------------ */

Test(places, foam_lifts_what_lies_on_it)
{
    struct outcome o =
        good(ON_PAGE("<panel name='base' paper='amber' width='6' height='6'/>\n"
                     "<panel name='up' paper='amber' width='4' height='4' raised='2'/>\n"
                     "<panel name='more' paper='night' width='2' height='2' raised='1'/>\n"
                     "<panel name='on' paper='night' width='1' height='1'/>\n"
                     "<panel name='beside' paper='night' width='1' height='1' x='1' y='1'/>"));

    cr_expect(piece_of(&o, "panel base")->height == 0);
    cr_expect(piece_of(&o, "panel up")->height == 2);
    cr_expect(piece_of(&o, "panel more")->height == 3);
    cr_expect(piece_of(&o, "panel on")->height == 3);
    cr_expect(piece_of(&o, "panel beside")->height == 0);
    outcome_clear(&o);
}

/* ---- letters --------------------------------------------------------------------------- */

static void expect_letters(size_t count, const char *last)
{
    struct rab_text text = {0};

    rab_text_add(&text, "<job xmlns='urn:rabbet:job:1' units='mm'>\n"
                        "<paper name='amber' colour='#E3B04B'/>\n"
                        "<page side='left' paper='amber'>\n");
    for (size_t i = 0; i < count; i++)
        rab_text_format(&text, "<panel paper='amber' width='%zu' height='10'/>", 10 + i % 200);
    rab_text_add(&text, "</page></job>");
    struct outcome o = good(text.data);
    cr_expect(strcmp(o.spread.pieces[0].letter, "A") == 0);
    cr_expect(strcmp(o.spread.pieces[count - 1].letter, last) == 0, "%s",
              o.spread.pieces[count - 1].letter);
    outcome_clear(&o);
    rab_text_clear(&text);
}

/* As columns of tables are counted: 26 is Z, 27 AA, 52 AZ, 53 BA. The 201st has the first's form.
 */
/* What is said of a row, a column or a grid holds for all that stands in it. */
Test(places, rows_lend_tools_and_foam)
{
    struct outcome o = good(
        ON_PAGE("<row gutter='1/4' cut='cutter' raised='1' y='9'>"
                "<panel name='a' paper='amber' width='2' height='2'/>"
                "<panel name='b' paper='mist' width='2' height='2' cut='hand' raised='2'/>"
                "</row>\n"
                "<grid height='6' y='1' raised='1' cut='hand'>"
                "<row raised='1' cut='cutter'><panel name='c' paper='amber' width='3' height='2'/>"
                "</row><row><panel name='d' paper='amber' width='4' height='2'/></row>"
                "<fill paper='mist'/></grid>\n"
                "<panel name='e' paper='amber' width='1' height='1' x='1' top='1/2'/>"));

    expect_quiet(&o);
    cr_expect(piece_of(&o, "panel a")->tool == RAB_TOOL_CUTTER);
    cr_expect(piece_of(&o, "panel a")->height == 1);
    cr_expect(piece_of(&o, "panel b")->tool == RAB_TOOL_HAND);
    cr_expect(piece_of(&o, "panel b")->height == 3);
    cr_expect(piece_of(&o, "panel c")->tool == RAB_TOOL_CUTTER);
    cr_expect(piece_of(&o, "panel c")->height == 2);
    cr_expect(piece_of(&o, "panel d")->tool == RAB_TOOL_HAND);
    cr_expect(piece_of(&o, "panel d")->height == 1);
    cr_expect(piece_of(&o, "filler 1")->tool == RAB_TOOL_HAND);
    cr_expect(piece_of(&o, "filler 1")->height == 1);
    cr_expect(piece_of(&o, "panel e")->tool == RAB_TOOL_TRIMMER);
    cr_expect(piece_of(&o, "panel e")->height == 0);
    outcome_clear(&o);
}

Test(places, letters_go_on_after_z)
{
    expect_letters(26, "Z");
    expect_letters(27, "AA");
    expect_letters(52, "AZ");
    expect_letters(53, "BA");
    expect_letters(201, "A");
}

/* Of one size, but not one thing. */
Test(places, photos_and_words_keep_apart)
{
    struct outcome o = good(
        ON_PAGE("<photo name='a' width='2' height='1' x='1' y='1'/>\n"
                "<photo name='b' width='2' height='1' x='1' y='3'/>\n"
                "<photo width='2' height='1' x='1' y='5'/>\n"
                "<photo width='2' height='1' x='1' y='7'/>\n"
                "<text name='walk' paper='mist' width='4' height='1' strips='1/4' x='4' y='1'>Dusk"
                "\nLamps</text>\n"
                "<text name='notes' paper='mist' width='4' height='1' ruled='1/4' x='4' y='3'/>\n"
                "<text name='more' paper='mist' width='4' height='1' ruled='1/4' x='4' y='5'/>"));
    const struct rab_piece *pieces = o.spread.pieces;

    cr_assert(o.spread.count == 8);
    cr_expect(strcmp(pieces[0].letter, pieces[1].letter) != 0);
    cr_expect(strcmp(pieces[2].letter, pieces[3].letter) == 0);
    cr_expect(strcmp(pieces[4].letter, pieces[5].letter) != 0);
    cr_expect(strcmp(pieces[6].letter, pieces[7].letter) == 0);
    outcome_clear(&o);
}

/* ---- what is hidden -------------------------------------------------------------------- */

static double hidden_area(const struct outcome *outcome, const char *what)
{
    struct rab_region hidden = {0};
    struct rab_error err = {0};
    const size_t index = (size_t)(piece_of(outcome, what) - outcome->spread.pieces);

    cr_assert(rab_spread_hidden(&outcome->spread, index, &hidden, &err), "%s", err.text);
    const double area = rab_region_area(&hidden);
    rab_region_clear(&hidden);
    return area;
}

/* By areas: a photo hides its own size of a mat, a mat its own of a panel, but once; an opening
 * shows its own area of its backing, and the frame hides the rest. */
Test(places, what_is_above_hides)
{
    struct outcome o =
        good(ON_PAGE("<panel name='sky' paper='amber' width='4 1/2' height='4' x='1/2' y='1/2'/>\n"
                     "<photo name='quay' width='3' height='2' x='1' y='1'>"
                     "<mat paper='night' reveal='1/4'/></photo>\n"
                     "<frame name='pane' paper='mist' shape='rose-window' right='1/2' top='1/2'>"
                     "<back papers='amber'/></frame>"));

    cr_expect(fabs(hidden_area(&o, "panel sky") - IN(3.5) * IN(2.5)) < 1e-6);
    cr_expect(fabs(hidden_area(&o, "mat of quay") - IN(3) * IN(2)) < 1e-6);
    cr_expect(hidden_area(&o, "photo quay") == 0);
    cr_expect(hidden_area(&o, "frame pane") == 0);
    const struct rab_piece *backing = piece_of(&o, "backing of opening 5 of pane");
    const struct rab_piece *frame = piece_of(&o, "frame pane");
    /* the opening is the only hole of the frame that lies within its backing's box */
    const struct rab_box box = rab_region_box(&backing->region);
    double opening = 0;
    for (size_t i = 0; i < frame->region.count; i++) {
        const struct rab_box hole = rab_outline_box(&frame->region.outlines[i]);
        if (hole.x0 > box.x0 && hole.y0 > box.y0 && hole.x1 < box.x1 && hole.y1 < box.y1)
            opening = fabs(rab_outline_area(&frame->region.outlines[i]));
    }
    cr_assert(opening > 0);
    cr_expect(fabs(hidden_area(&o, "backing of opening 5 of pane") -
                   (rab_region_area(&backing->region) - opening)) < 1e-6);
    outcome_clear(&o);
}
