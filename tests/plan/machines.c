/* Blades that trail, letters for pens, and what is found wrong with the cuts of others. */
#include "plans.h"

#include <string.h>

/* ---- blades ---------------------------------------------------------------------------- */

/* Points along an outline, `step` apart; returns how many. */
static size_t walk(const struct rab_outline *o, double step, struct rab_point *points, size_t room)
{
    size_t count = 0;

    for (size_t i = 0; i + (o->open ? 1 : 0) < o->count; i++) {
        const struct rab_vertex a = o->vertices[i], b = o->vertices[(i + 1) % o->count];
        const double dx = b.x - a.x, dy = b.y - a.y, chord = hypot(dx, dy),
                     turn = 4 * atan(a.bulge);
        const double length = a.bulge == 0 ? chord : chord / (2 * sin(fabs(turn) / 2)) * fabs(turn);
        const size_t n = (size_t)ceil(length / step) + 1;
        for (size_t k = 0; k < n; k++) {
            const double s = (double)k / (double)n;
            cr_assert(count < room);
            if (a.bulge == 0) {
                points[count++] = (struct rab_point){a.x + s * dx, a.y + s * dy};
            } else {
                const double share = (1 - a.bulge * a.bulge) / (4 * a.bulge);
                const double cx = (a.x + b.x) / 2 - share * dy, cy = (a.y + b.y) / 2 + share * dx;
                const double c = cos(s * turn), q = sin(s * turn), ux = a.x - cx, uy = a.y - cy;
                points[count++] = (struct rab_point){cx + c * ux - q * uy, cy + q * ux + c * uy};
            }
        }
    }
    return count;
}

/* The tip is drawn behind the holder at a fixed distance (a pursuit curve, the tractrix of a
 * straight way): simulated in small steps, it follows the outline that was asked for. */
static void expect_followed(const struct rab_outline *tip, double offset)
{
    enum { ROOM = 400000 };
    struct rab_point *points = calloc(ROOM, sizeof *points);
    struct rab_outline path = {0};
    double farthest = 0;

    cr_assert(points && rab_plan_blade(tip, offset, &path, NULL));
    const size_t count = walk(&path, 0.001, points, ROOM);
    struct rab_point at = {tip->vertices[0].x, tip->vertices[0].y};
    for (size_t i = 0; i < count; i++) {
        const double dx = at.x - points[i].x, dy = at.y - points[i].y, d = hypot(dx, dy);
        at = (struct rab_point){points[i].x + dx * offset / d, points[i].y + dy * offset / d};
        farthest = fmax(farthest, rab_outline_distance(tip, at, NULL));
    }
    cr_expect(farthest < 0.002, "%.4f mm off", farthest);
    const struct rab_vertex end = tip->vertices[tip->open ? tip->count - 1 : 0];
    cr_expect(hypot(at.x - end.x, at.y - end.y) < 0.01);
    rab_outline_clear(&path);
    free(points);
}

Test(blades, tip_follows_the_outline)
{
    struct rab_outline arch = {0}, circle = disc(0, 0, 12), square = rectangle(0, 0, 20, 15);

    cr_assert(rab_outline_add(&arch, 0, 0, 0, NULL) && rab_outline_add(&arch, 20, 0, 0, NULL) &&
              rab_outline_add(&arch, 20, 30, 1, NULL) && rab_outline_add(&arch, 0, 30, 0, NULL));
    expect_followed(&arch, 0.5);
    expect_followed(&circle, 0.25);
    expect_followed(&square, 0.6);
    rab_outline_reverse(&square);
    expect_followed(&square, 0.6);
    rab_outline_clear(&arch);
    rab_outline_clear(&circle);
    rab_outline_clear(&square);
}

/* What happens without it. Source: the tractrix; after a corner of a right angle the blade still
 * stands 2 atan(exp(-s/d)) askew when it has been drawn s further: 40.395 degrees at s = d, 5.700
 * at 3 d, 0.772 at 5 d. The simulation that the tests above trust gives these. */
Test(blades, undirected_corner_is_a_tractrix)
{
    static const double askew[][2] = {{1, 40.395}, {3, 5.700}, {5, 0.772}};
    const double offset = 0.5;

    for (size_t n = 0; n < 3; n++) {
        struct rab_point at = {-offset, 0};
        double y = 0;
        while (y < askew[n][0] * offset - 1e-9) {
            y += 1e-5;
            const double d = hypot(at.x, at.y - y);
            at = (struct rab_point){at.x * offset / d, y + (at.y - y) * offset / d};
        }
        const double seen = atan2(-at.x, y - at.y) * 180 / RAB_PI;
        cr_expect(epsilon_eq(dbl, seen, askew[n][1], 0.002), "%f", seen);
    }
}

/* With it: behind a corner of a right angle the tip is on its line from the first step on, askew by
 * nothing at s = d, 3 d and 5 d, where it would be by the degrees above. */
Test(blades, directed_corner_is_square)
{
    enum { ROOM = 400000 };
    static const double offset = 0.5;
    struct rab_outline corner = {.open = true}, path = {0};
    struct rab_point *points = calloc(ROOM, sizeof *points), at = {0, 0};
    double most = 0;

    cr_assert(points && rab_outline_add(&corner, 0, 0, 0, NULL) &&
              rab_outline_add(&corner, 10, 0, 0, NULL) &&
              rab_outline_add(&corner, 10, 10, 0, NULL) &&
              rab_plan_blade(&corner, offset, &path, NULL));
    const size_t count = walk(&path, 1e-4, points, ROOM);
    for (size_t i = 0; i < count; i++) {
        const double dx = at.x - points[i].x, dy = at.y - points[i].y, d = hypot(dx, dy);
        at = (struct rab_point){points[i].x + dx * offset / d, points[i].y + dy * offset / d};
        if (points[i].y > offset + 1e-3)
            most = fmax(most, fabs(atan2(points[i].x - at.x, points[i].y - at.y)));
    }
    cr_expect(most * 180 / RAB_PI < 0.05, "%f degrees askew", most * 180 / RAB_PI);
    rab_outline_clear(&corner);
    rab_outline_clear(&path);
    free(points);
}

/* ---- letters --------------------------------------------------------------------------- */

Test(letters, stand_in_their_field)
{
    for (char c = ' '; c < 127; c++) {
        const char words[] = {c, '\0'};
        struct rab_lines lines = {0};
        cr_assert(rab_letters_draw(words, (struct rab_point){10, 20}, 3, &lines, NULL));
        for (size_t i = 0; i < lines.count; i++) {
            const struct rab_box box = rab_outline_box(&lines.items[i]);
            cr_expect(box.x0 > 10 - 1e-9 && box.x1 < 12 + 1e-9 && box.y0 > 20 - 1e-9 &&
                          box.y1 < 23 + 1e-9,
                      "%c", c);
            cr_expect(lines.items[i].open && lines.items[i].count >= 2);
        }
        if ((c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'))
            cr_expect(lines.count > 0, "%c", c);
        rab_lines_clear(&lines);
    }
}

Test(letters, words_are_as_wide_as_is_said)
{
    struct rab_lines lines = {0};
    struct rab_box box = RAB_BOX_EMPTY;

    cr_assert(rab_letters_draw("H12H", (struct rab_point){0, 0}, 6, &lines, NULL));
    for (size_t i = 0; i < lines.count; i++)
        box = rab_box_join(box, rab_outline_box(&lines.items[i]));
    cr_expect(epsilon_eq(dbl, box.x1 - box.x0, rab_letters_width("H12H", 6), 1e-9));
    cr_expect(epsilon_eq(dbl, box.y1, 6, 1e-9));
    rab_lines_clear(&lines);
    cr_expect(rab_letters_width("", 6) == 0);
}

/* In the seam around an opening of 20 mm, 4 mm wide: within the paper, and clear of its edges. */
Test(letters, label_finds_its_place_in_a_seam)
{
    struct rab_outline outlines[] = {rectangle(0, 0, 28, 28), reversed(rectangle(4, 4, 20, 20))};
    struct rab_region ring = {0};
    struct rab_lines lines = {0};
    bool placed = false;

    cr_assert(rab_region_fill(outlines, 2, RAB_FILL_NONZERO, &ring, NULL));
    cr_assert(rab_label_place(&ring, "7", 4, 1, &lines, &placed, NULL) && placed);
    for (size_t i = 0; i < lines.count; i++) {
        for (size_t k = 0; k < ring.count; k++) {
            double gap;
            cr_assert(rab_outline_gap(&lines.items[i], &ring.outlines[k], &gap, NULL, NULL, NULL));
            cr_expect(gap > 0.3);
        }
        const struct rab_vertex v = lines.items[i].vertices[0];
        cr_expect(rab_region_holds(&ring, (struct rab_point){v.x, v.y}));
    }
    rab_lines_clear(&lines);
    /* no room for letters 4 mm high */
    cr_assert(rab_label_place(&ring, "7", 6, 4, &lines, &placed, NULL));
    cr_expect(not(placed));
    rab_region_clear(&ring);
    rab_outline_clear(&outlines[0]);
    rab_outline_clear(&outlines[1]);
}

/* ---- turning over ---------------------------------------------------------------------- */

/* Worked by hand: a sheet 304.8 mm square, three points seen from the front; the area of their
 * triangle is +1600 and keeps its sign because the direction is kept. */
Test(turning, sideways_and_head_over_heels)
{
    static const struct {
        enum rab_turn how;
        double at[3][2];
    } cases[] = {
        {RAB_TURN_SIDEWAYS, {{284.8, 200}, {244.8, 200}, {284.8, 280}}},
        {RAB_TURN_OVER, {{20, 104.8}, {60, 104.8}, {20, 24.8}}},
    };
    for (size_t c = 0; c < 2; c++) {
        struct rab_outline o = {0};
        cr_assert(rab_outline_add(&o, 20, 200, 0, NULL) &&
                  rab_outline_add(&o, 60, 200, 0.2, NULL) && rab_outline_add(&o, 20, 280, 0, NULL));
        const double area = rab_outline_area(&o);
        rab_outline_turn_over(&o, cases[c].how, 304.8, 304.8);
        cr_expect(epsilon_eq(dbl, rab_outline_area(&o), area, 1e-9));
        for (size_t i = 0; i < 3; i++) {
            double least = HUGE_VAL;
            for (size_t k = 0; k < 3; k++)
                least = fmin(least, hypot(o.vertices[k].x - cases[c].at[i][0],
                                          o.vertices[k].y - cases[c].at[i][1]));
            cr_expect(least < 1e-9);
        }
        rab_outline_turn_over(&o, cases[c].how, 304.8, 304.8); /* and back */
        cr_expect(
            epsilon_eq(dbl, rab_outline_distance(&o, (struct rab_point){60, 200}, NULL), 0, 1e-9));
        rab_outline_clear(&o);
    }
}

/* ---- looking --------------------------------------------------------------------------- */

static struct rab_troubles look_at(const struct sheet *sheet)
{
    const struct rab_look_options options = {0};
    struct rab_troubles troubles = {0};

    cr_assert(rab_plan_look(sheet->paths, sheet->count, &options, &troubles, NULL));
    return troubles;
}

static const struct rab_trouble *find(const struct rab_troubles *troubles,
                                      enum rab_trouble_kind kind)
{
    for (size_t i = 0; i < troubles->count; i++)
        if (troubles->items[i].kind == kind)
            return &troubles->items[i];
    return NULL;
}

static size_t count_of(const struct rab_troubles *troubles, enum rab_trouble_kind kind)
{
    size_t count = 0;

    for (size_t i = 0; i < troubles->count; i++)
        count += troubles->items[i].kind == kind;
    return count;
}

Test(look, good_sheet_has_no_trouble)
{
    struct sheet sheet = {0};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 60, 60));
    sheet_add(&sheet, RAB_CUT, 1, reversed(disc(20, 20, 10)));
    sheet_add(&sheet, RAB_CUT, 1, reversed(rectangle(35, 10, 20, 40)));
    sheet_add(&sheet, RAB_CREASE, 1, line(5, 55, 30, 55));
    struct rab_troubles troubles = look_at(&sheet);
    cr_expect(troubles.count == 0);
    rab_troubles_clear(&troubles);
    sheet_clear(&sheet);
}

Test(look, each_trouble_is_found_where_it_is)
{
    struct sheet sheet = {0};
    struct rab_outline needle = {0}, ragged = {0};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 60, 60));
    sheet_add(&sheet, RAB_CUT, 1, reversed(disc(20, 20, 10)));
    sheet_add(&sheet, RAB_CUT, 1, reversed(disc(41.2, 20, 10))); /* a web of 1.2 mm at 30.6, 20 */
    sheet_add(&sheet, RAB_CUT, 2, line(70, 0, 90, 0));           /* 0.5 mm short of the next */
    sheet_add(&sheet, RAB_CUT, 2, line(90.5, 0, 90.5, 30));
    sheet_add(&sheet, RAB_CUT, 3, rectangle(100, 0, 20, 20));
    sheet_add(&sheet, RAB_CUT, 4, rectangle(120, 0, 20, 20)); /* shares a side */
    sheet_add(&sheet, RAB_CUT, 5, disc(150, 10, 0.6));
    /* 10 wide, 40 long: the tip has 2 atan(1/8) = 14.25 degrees */
    cr_assert(rab_outline_add(&needle, 160, 0, 0, NULL) &&
              rab_outline_add(&needle, 170, 0, 0, NULL) &&
              rab_outline_add(&needle, 165, 40, 0, NULL));
    sheet_add(&sheet, RAB_CUT, 6, needle);
    cr_assert(rab_outline_add(&ragged, 180, 0, 0, NULL) &&
              rab_outline_add(&ragged, 200, 0, 0, NULL));
    for (int i = 0; i < 20; i++)
        cr_assert(rab_outline_add(&ragged, 200 - 0.05 * i, 20 + 0.001 * (i % 2), 0, NULL));
    sheet_add(&sheet, RAB_CUT, 7, ragged);

    struct rab_troubles troubles = look_at(&sheet);
    const struct rab_trouble *web = find(&troubles, RAB_TROUBLE_WEB);
    cr_assert(web && count_of(&troubles, RAB_TROUBLE_WEB) == 1);
    cr_expect(epsilon_eq(dbl, web->measure, 1.2, 1e-9));
    cr_expect(all(epsilon_eq(dbl, web->at.x, 30.6, 1e-9), epsilon_eq(dbl, web->at.y, 20, 1e-9)));

    const struct rab_trouble *open = find(&troubles, RAB_TROUBLE_OPEN);
    cr_assert(open && count_of(&troubles, RAB_TROUBLE_OPEN) == 4);
    const struct rab_trouble *twice = find(&troubles, RAB_TROUBLE_DOUBLE);
    cr_assert(twice && count_of(&troubles, RAB_TROUBLE_DOUBLE) == 1);
    cr_expect(twice->path == 6);
    cr_expect(epsilon_eq(dbl, twice->measure, 20, 1e-9));
    const struct rab_trouble *small = find(&troubles, RAB_TROUBLE_SMALL);
    cr_assert(small && small->path == 7);
    cr_expect(epsilon_eq(dbl, small->measure, 1.2, 1e-9));
    const struct rab_trouble *corner = find(&troubles, RAB_TROUBLE_CORNER);
    cr_assert(corner && count_of(&troubles, RAB_TROUBLE_CORNER) == 1);
    cr_expect(epsilon_eq(dbl, corner->measure, 2 * atan(1.0 / 8), 1e-9));
    cr_expect(epsilon_eq(dbl, corner->at.y, 40, 1e-9));
    const struct rab_trouble *ragged_run = find(&troubles, RAB_TROUBLE_SEGMENT);
    cr_assert(ragged_run && ragged_run->path == 9 && ragged_run->measure >= 19);
    rab_troubles_clear(&troubles);
    sheet_clear(&sheet);
}

Test(look, crossing_cuts_are_told_once)
{
    struct sheet sheet = {0};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 30, 30));
    sheet_add(&sheet, RAB_CUT, 2, disc(30, 15, 8)); /* crosses the side at x = 30 twice */
    struct rab_troubles troubles = look_at(&sheet);
    const struct rab_trouble *crossing = find(&troubles, RAB_TROUBLE_CROSSING);
    cr_assert(crossing && count_of(&troubles, RAB_TROUBLE_CROSSING) == 1);
    cr_expect(crossing->path == 0 && crossing->measure == 1);
    cr_expect(epsilon_eq(dbl, crossing->at.x, 30, 1e-9));
    cr_expect(epsilon_eq(dbl, fabs(crossing->at.y - 15), 8, 1e-9));
    rab_troubles_clear(&troubles);
    sheet_clear(&sheet);
}

/* A slot of 1 mm between two pieces is no web: nothing is there to tear. */
Test(look, slots_are_no_webs)
{
    struct sheet sheet = {0};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 20, 20));
    sheet_add(&sheet, RAB_CUT, 2, rectangle(21, 0, 20, 20));
    struct rab_troubles troubles = look_at(&sheet);
    cr_expect(count_of(&troubles, RAB_TROUBLE_WEB) == 0);
    rab_troubles_clear(&troubles);
    sheet_clear(&sheet);
}

/* A neck of one outline: two discs of radius 10, centres 19.9 apart: their chord is 2 sqrt(100 -
 * 9.95^2) = 1.9975 long. */
Test(look, neck_is_a_web)
{
    struct sheet sheet = {0};
    struct rab_outline discs[] = {disc(0, 0, 10), disc(19.9, 0, 10)};
    struct rab_region region = {0};

    cr_assert(rab_region_fill(discs, 2, RAB_FILL_NONZERO, &region, NULL) && region.count == 1);
    sheet_add(&sheet, RAB_CUT, 1, region.outlines[0]);
    struct rab_troubles troubles = look_at(&sheet);
    const struct rab_trouble *web = find(&troubles, RAB_TROUBLE_WEB);
    cr_assert(web != NULL);
    cr_expect(epsilon_eq(dbl, web->measure, 2 * sqrt(100 - 9.95 * 9.95), 1e-6));
    rab_troubles_clear(&troubles);
    region.outlines[0] = (struct rab_outline){0};
    rab_region_clear(&region);
    rab_outline_clear(&discs[0]);
    rab_outline_clear(&discs[1]);
    sheet_clear(&sheet);
}

/* A comb of ten teeth, `tooth` wide and `slot` apart, on a back of 10 mm. */
static struct rab_outline comb_of(double tooth, double slot)
{
    const double right = 10 * tooth + 9 * slot;
    struct rab_outline comb = {0};

    cr_assert(rab_outline_add(&comb, 0, 0, 0, NULL) && rab_outline_add(&comb, right, 0, 0, NULL));
    for (int i = 9; i >= 0; i--) {
        const double x = i * (tooth + slot);
        cr_assert(rab_outline_add(&comb, x + tooth, i == 9 ? 40 : 10, 0, NULL));
        cr_assert(i == 9 || rab_outline_add(&comb, x + tooth, 40, 0, NULL));
        cr_assert(rab_outline_add(&comb, x, 40, 0, NULL));
        cr_assert(i == 0 || rab_outline_add(&comb, x, 10, 0, NULL));
    }
    return comb;
}

/* Where the teeth are 1 mm wide they are webs, where the slots are they are none; the other way
 * round when the comb is cut out of a sheet: then the slots are paper. */
Test(look, teeth_are_webs_and_slots_are_none)
{
    for (int n = 0; n < 8; n++) {
        const bool thin_teeth = (n & 1) != 0, turned = (n & 2) != 0, cut_out = (n & 4) != 0;
        struct sheet sheet = {0};
        struct rab_outline comb = thin_teeth ? comb_of(1, 3) : comb_of(3, 1);

        if (turned)
            rab_outline_reverse(&comb);
        sheet_add(&sheet, RAB_CUT, 1, comb);
        if (cut_out)
            sheet_add(&sheet, RAB_CUT, 1, rectangle(-20, -20, 90, 90));
        struct rab_troubles troubles = look_at(&sheet);
        const struct rab_trouble *web = find(&troubles, RAB_TROUBLE_WEB);
        const bool found = web != NULL, wanted = thin_teeth != cut_out;
        cr_expect(found == wanted, "%d", n);
        if (web)
            cr_expect(epsilon_eq(dbl, web->measure, 1, 1e-9));
        rab_troubles_clear(&troubles);
        sheet_clear(&sheet);
    }
}

/* 6,000 lines through each other: looked at in part, and told to be so. 3,000 lines that lie on
 * each other but for their ends: all but one are double. The time is what the test allows. */
Test(look, crowds_are_looked_at_in_part, .timeout = 60)
{
    struct sheet sheet = {0};
    uint64_t seed = 3;

    for (int i = 0; i < 6000; i++)
        sheet_add(&sheet, RAB_CUT, 1,
                  line(300 * random_share(&seed), 300 * random_share(&seed),
                       300 * random_share(&seed), 300 * random_share(&seed)));
    struct rab_troubles troubles = look_at(&sheet);
    cr_expect(troubles.cut_short && troubles.count > 0);
    rab_troubles_clear(&troubles);
    sheet_clear(&sheet);

    for (int i = 0; i < 3000; i++)
        sheet_add(&sheet, RAB_CUT, 1, line(0.001 * i, 0, 100 + 0.001 * i, 0));
    troubles = look_at(&sheet);
    cr_expect(count_of(&troubles, RAB_TROUBLE_DOUBLE) == 2999);
    cr_expect(not(troubles.cut_short));
    rab_troubles_clear(&troubles);
    sheet_clear(&sheet);
}
