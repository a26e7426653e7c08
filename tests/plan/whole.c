/* What holds of every plan, whatever is asked for together: kerf, tabs, overcut, shared lines,
 * perforations, dashed creases, time to cool. The sheets are drawn by lot, seeded. */
#include "plans.h"

#include <string.h>

enum { MOST_OUTLINES = 400 };

/* What the plan should follow: the outlines, closed cuts moved by half the kerf. */
struct wanted {
    struct rab_path paths[MOST_OUTLINES];
    size_t count;
};

/* Moved by growing the outline alone, a room that has tests of its own. */
static struct rab_outline moved(const struct rab_outline *in, double kerf)
{
    const bool opening = rab_outline_area(in) < 0;
    struct rab_region region = {0}, grown = {0};

    cr_assert(
        rab_region_fill(in, 1, RAB_FILL_NONZERO, &region, NULL) &&
        rab_region_grow(&region, opening ? -kerf / 2 : kerf / 2, RAB_JOIN_ROUND, 0, &grown, NULL));
    cr_assert(grown.count == 1);
    struct rab_outline out = grown.outlines[0];
    grown.outlines[0] = (struct rab_outline){0};
    rab_region_clear(&region);
    rab_region_clear(&grown);
    return opening ? reversed(out) : out;
}

static void want(struct wanted *wanted, const struct sheet *sheet, double kerf)
{
    cr_assert(sheet->count <= MOST_OUTLINES);
    wanted->count = sheet->count;
    for (size_t i = 0; i < sheet->count; i++) {
        const struct rab_path *path = &sheet->paths[i];
        wanted->paths[i] = (struct rab_path){path->operation, path->piece, {0}};
        if (kerf > 0 && path->operation == RAB_CUT && !path->outline.open)
            wanted->paths[i].outline = moved(&path->outline, kerf);
        else
            cr_assert(rab_outline_copy(&path->outline, &wanted->paths[i].outline, NULL));
    }
}

static void wanted_clear(struct wanted *wanted)
{
    for (size_t i = 0; i < wanted->count; i++)
        rab_outline_clear(&wanted->paths[i].outline);
}

/* ---- sheets by lot --------------------------------------------------------------------- */

/* 30 mm in cells `pitch` apart, some with openings, a piece in one of them, a crease, a
 * perforation; every fourth one with round corners, or a disc, or only 22 mm. */
static struct sheet draw_by_lot(uint64_t seed, double pitch)
{
    struct sheet sheet = {0};

    for (int n = 0; n < 20; n++) {
        const double x = pitch * (n % 5), y = pitch * (n / 5);
        const int piece = ++sheet.pieces;
        struct rab_outline round = {0};
        if (random_share(&seed) < 0.15) {
            sheet_add(&sheet, RAB_CUT, piece, disc(x + 15, y + 15, 15));
            continue;
        }
        if (random_share(&seed) < 0.15) {
            sheet_add(&sheet, RAB_CUT, piece, rectangle(x, y + 4, 22, 22));
            sheet_add(&sheet, RAB_CUT, piece, reversed(disc(x + 9, y + 15, 5)));
            continue;
        }
        if (random_share(&seed) < 0.25) {
            cr_assert(
                rab_outline_rectangle((struct rab_box){x, y, x + 30, y + 30}, 6, &round, NULL));
            sheet_add(&sheet, RAB_CUT, piece, round);
        } else {
            sheet_add(&sheet, RAB_CUT, piece, rectangle(x, y, 30, 30));
        }
        if (random_share(&seed) < 0.7)
            sheet_add(&sheet, RAB_CUT, piece, reversed(disc(x + 9, y + 9, 5)));
        if (random_share(&seed) < 0.5)
            sheet_add(&sheet, RAB_CUT, piece, reversed(rectangle(x + 17, y + 3, 9, 7)));
        if (random_share(&seed) < 0.5) {
            sheet_add(&sheet, RAB_CUT, piece, reversed(rectangle(x + 17, y + 17, 10, 10)));
            sheet_add(&sheet, RAB_CUT, ++sheet.pieces, rectangle(x + 19, y + 19, 6, 6));
        }
        if (random_share(&seed) < 0.4)
            sheet_add(&sheet, RAB_CREASE, piece, line(x + 1, y + 15.5, x + 29, y + 15.5));
        if (random_share(&seed) < 0.4)
            sheet_add(&sheet, RAB_PERFORATE, piece, line(x + 15.5, y, x + 15.5, y + 30));
    }
    return sheet;
}

/* ---- what holds ------------------------------------------------------------------------ */

/* The middle of an edge: on the arc, half its height from the chord's middle (a bulge is the height
 * over half the chord). */
static struct rab_point middle_between(struct rab_vertex a, struct rab_point b)
{
    return (struct rab_point){(a.x + b.x) / 2 + a.bulge / 2 * (b.y - a.y),
                              (a.y + b.y) / 2 - a.bulge / 2 * (b.x - a.x)};
}

static struct rab_point middle_of(const struct rab_outline *o, size_t e)
{
    const struct rab_vertex b = o->vertices[(e + 1) % o->count];

    return middle_between(o->vertices[e], (struct rab_point){b.x, b.y});
}

/* A quarter of the way along. */
static struct rab_point quarter_of(const struct rab_outline *o, size_t e)
{
    const struct rab_vertex a = o->vertices[e];

    return middle_between((struct rab_vertex){a.x, a.y, tan(atan(a.bulge) / 2)}, middle_of(o, e));
}

static size_t edges_of(const struct rab_outline *o)
{
    return o->count - (o->open ? 1 : 0);
}

/* Nothing is followed that no piece owns: each edge of the plan lies on an outline of its piece. */
static void expect_owned(const struct rab_plan *plan, const struct wanted *wanted)
{
    for (size_t i = 0; i < plan->count; i++) {
        const struct rab_path *path = &plan->paths[i];
        for (size_t e = 0; e < edges_of(&path->outline); e++) {
            const struct rab_vertex v = path->outline.vertices[e];
            double at_start = HUGE_VAL, at_middle = HUGE_VAL;
            for (size_t k = 0; k < wanted->count; k++) {
                if (wanted->paths[k].piece != path->piece ||
                    wanted->paths[k].operation != path->operation)
                    continue;
                at_start = fmin(at_start, rab_outline_distance(&wanted->paths[k].outline,
                                                               (struct rab_point){v.x, v.y}, NULL));
                at_middle =
                    fmin(at_middle, rab_outline_distance(&wanted->paths[k].outline,
                                                         middle_of(&path->outline, e), NULL));
            }
            cr_expect(at_start < 1e-6 && at_middle < 1e-6, "%g and %g mm off", at_start, at_middle);
        }
    }
}

/* No part is followed twice: no other path passes both through the middle of an edge of the plan
 * and through the middle of its half. (One that touches it may pass through one of them.) */
static void expect_once(const struct rab_plan *plan)
{
    for (size_t i = 0; i < plan->count; i++) {
        const struct rab_path *path = &plan->paths[i];
        for (size_t e = 0; e < edges_of(&path->outline); e++) {
            const struct rab_point m = middle_of(&path->outline, e);
            for (size_t k = 0; k < plan->count; k++) {
                const struct rab_path *other = &plan->paths[k];
                if (k == i || other->operation != path->operation ||
                    rab_outline_distance(&other->outline, m, NULL) > 1e-4)
                    continue;
                const double apart =
                    rab_outline_distance(&other->outline, quarter_of(&path->outline, e), NULL);
                cr_assert(apart > 1e-4, "at %g, %g a line is followed twice", m.x, m.y);
            }
        }
    }
}

/* What dashes make of a line: as many as fit best, both ends dashes. */
static double dashed(double whole, double dash, double gap)
{
    const double n = fmax(1, round((whole + gap) / (dash + gap)));
    const double share = dash / (dash + gap);

    return n * share * whole / (n - 1 + share);
}

static double length_of(const struct rab_path *path, const struct rab_plan_options *o)
{
    const double whole = rab_outline_perimeter(&path->outline);

    if (path->operation == RAB_PERFORATE && o->perforation_cut > 0)
        return dashed(whole, o->perforation_cut, o->perforation_gap);
    if (path->operation == RAB_CREASE && o->crease_dash > 0)
        return dashed(whole, o->crease_dash, o->crease_gap);
    return whole;
}

/* Closed cuts that went on past their start: the last edge lies on the first. */
static double overcuts(const struct rab_plan *plan, double overcut)
{
    double sum = 0;

    for (size_t i = 0; i < plan->count; i++) {
        const struct rab_outline *o = &plan->paths[i].outline;
        const size_t last = o->count - 1;
        if (plan->paths[i].operation != RAB_CUT || !o->open || overcut == 0)
            continue;
        for (size_t e = 1; e < last; e++)
            if (hypot(o->vertices[e].x - o->vertices[0].x, o->vertices[e].y - o->vertices[0].y) <
                1e-9)
                sum += overcut;
    }
    return sum;
}

/* The whole length is accounted for. */
static void expect_length(const struct rab_plan *plan, const struct wanted *wanted,
                          const struct rab_plan_options *options)
{
    double sum = 0;

    for (size_t i = 0; i < wanted->count; i++)
        sum += length_of(&wanted->paths[i], options);
    sum += overcuts(plan, options->overcut) - plan->shared_length -
           (double)plan->tabs * options->tab_width;
    cr_expect(epsilon_eq(dbl, plan->length, sum, 1e-4), "%f, not %f", plan->length, sum);
}

/* The outline that a path of the plan is a part of. */
static size_t source_of(const struct rab_path *path, const struct wanted *wanted)
{
    for (size_t k = 0; k < wanted->count; k++)
        if (wanted->paths[k].piece == path->piece &&
            wanted->paths[k].operation == path->operation &&
            rab_outline_distance(&wanted->paths[k].outline, middle_of(&path->outline, 0), NULL) <
                1e-6)
            return k;
    cr_assert(false, "a path belongs to nothing");
    return 0;
}

static bool lies_in(const struct rab_path *in, const struct rab_path *around)
{
    return in != around && in->operation == around->operation && !around->outline.open &&
           rab_outline_distance(&around->outline, middle_of(&in->outline, 0), NULL) > 1e-3 &&
           rab_outline_winding(&around->outline, middle_of(&in->outline, 0)) != 0;
}

/* Creases, then perforations, then cuts, of pieces of less than 25 mm before others. */
static int rank_of(const struct rab_path *path, const struct sheet *sheet)
{
    if (path->operation != RAB_CUT)
        return path->operation == RAB_CREASE ? 0 : 1;
    for (size_t i = 0; i < sheet->count; i++) {
        const struct rab_path *outer = &sheet->paths[i];
        if (outer->piece != path->piece || outer->operation != RAB_CUT ||
            rab_outline_area(&outer->outline) < 0)
            continue;
        const struct rab_box box = rab_outline_box(&outer->outline);
        return fmax(box.x1 - box.x0, box.y1 - box.y0) < 25 ? 2 : 3;
    }
    return 3;
}

static double to_box(struct rab_vertex p, struct rab_box box)
{
    return hypot(fmax(0, fmax(box.x0 - p.x, p.x - box.x1)),
                 fmax(0, fmax(box.y0 - p.y, p.y - box.y1)));
}

/* Path k begins another line that could have come at i, and begins far enough from `last`. */
static bool could_come(const struct rab_plan *plan, const size_t *sources,
                       const struct sheet *sheet, size_t i, size_t k, struct rab_box last,
                       double cool)
{
    if (sources[k] == sources[k - 1] ||
        rank_of(&plan->paths[k], sheet) != rank_of(&plan->paths[i], sheet) ||
        to_box(plan->paths[k].outline.vertices[0], last) < cool + 1e-9)
        return false;
    for (size_t m = i; m < plan->count; m++)
        if (lies_in(&sheet->paths[sources[m]], &sheet->paths[sources[k]]))
            return false;
    return true;
}

/* A line begins so far from all parts of the one before, or none that could come begins so far. */
static void expect_cool(const struct rab_plan *plan, const size_t *sources,
                        const struct sheet *sheet, double cool)
{
    struct rab_box last = RAB_BOX_EMPTY;

    for (size_t i = 0; i < plan->count; i++) {
        const struct rab_outline *outline = &plan->paths[i].outline;
        const bool goes_on = i > 0 && sources[i] == sources[i - 1];
        if (i > 0 && !goes_on && to_box(outline->vertices[0], last) < cool - 1e-9)
            for (size_t k = i + 1; k < plan->count; k++)
                cr_assert(not(could_come(plan, sources, sheet, i, k, last, cool)),
                          "path %zu begins in the heat, %zu would not", i, k);
        last = rab_box_join(goes_on ? last : RAB_BOX_EMPTY, rab_outline_box(outline));
    }
}

/* The operations in their order; what lies inside comes before what lies around it. */
static void expect_order(const struct rab_plan *plan, const struct wanted *wanted,
                         const struct sheet *sheet, double cool)
{
    size_t *sources = calloc(plan->count, sizeof *sources);
    int rank = 0;

    cr_assert(sources != NULL);
    for (size_t i = 0; i < plan->count; i++)
        sources[i] = source_of(&plan->paths[i], wanted);
    expect_cool(plan, sources, sheet, cool);
    for (size_t i = 0; i < plan->count; i++) {
        const int now = rank_of(&plan->paths[i], sheet);
        cr_expect(now >= rank);
        cr_expect(now == 3 ? i >= plan->larger : i < plan->larger);
        rank = now;
        for (size_t k = 0; k < i; k++)
            if (lies_in(&sheet->paths[sources[i]], &sheet->paths[sources[k]]))
                cr_assert(false, "outline %zu lies in %zu and is cut later", sources[i],
                          sources[k]);
    }
    free(sources);
}

static double turn_at(const struct rab_outline *o, size_t i)
{
    const struct rab_vertex p = o->vertices[(i + o->count - 1) % o->count], v = o->vertices[i];
    const struct rab_vertex q = o->vertices[(i + 1) % o->count];
    const double before = atan2(v.y - p.y, v.x - p.x) + 2 * atan(p.bulge);
    const double behind = atan2(q.y - v.y, q.x - v.x) - 2 * atan(v.bulge);

    return fabs(remainder(behind - before, 2 * RAB_PI));
}

/* Tabs are as wide as asked, and their ends a tab's width or more from every corner. */
static void expect_tabs(const struct rab_plan *plan, const struct wanted *wanted, double width)
{
    size_t found = 0;

    for (size_t i = 0; i < plan->count; i++) {
        const struct rab_path *path = &plan->paths[i];
        if (path->operation != RAB_CUT || !path->outline.open)
            continue;
        const struct rab_outline *source = &wanted->paths[source_of(path, wanted)].outline;
        const struct rab_vertex end = path->outline.vertices[path->outline.count - 1];
        for (size_t k = 0; k < plan->count; k++) {
            if (plan->paths[k].piece != path->piece || !plan->paths[k].outline.open ||
                plan->paths[k].operation != RAB_CUT)
                continue;
            const struct rab_vertex start = plan->paths[k].outline.vertices[0];
            const double gap = hypot(start.x - end.x, start.y - end.y);
            if (gap > width + 1e-9 || gap < 0.99 * width)
                continue;
            found++;
            for (size_t v = 0; v < source->count; v++) {
                const struct rab_vertex c = source->vertices[v];
                if (turn_at(source, v) > RAB_PI / 12)
                    cr_expect(hypot(c.x - end.x, c.y - end.y) >= width - 1e-9 &&
                              hypot(c.x - start.x, c.y - start.y) >= width - 1e-9);
            }
        }
    }
    cr_expect(found == plan->tabs, "%zu tabs seen, %zu told", found, plan->tabs);
}

static void expect_same(const struct rab_plan *a, const struct rab_plan *b)
{
    cr_assert(a->count == b->count && a->length == b->length && a->idle == b->idle);
    for (size_t i = 0; i < a->count; i++) {
        const struct rab_outline *p = &a->paths[i].outline, *q = &b->paths[i].outline;
        cr_assert(p->count == q->count &&
                  memcmp(p->vertices, q->vertices, p->count * sizeof *p->vertices) == 0);
    }
}

static void check_plan(uint64_t seed, double pitch, const struct rab_plan_options *options)
{
    static struct wanted wanted;
    struct sheet sheet = draw_by_lot(seed, pitch);
    struct rab_plan plan = plan_of(&sheet, options), again = plan_of(&sheet, options);

    want(&wanted, &sheet, options->kerf);
    expect_owned(&plan, &wanted);
    expect_once(&plan);
    expect_length(&plan, &wanted, options);
    expect_order(&plan, &wanted, &sheet, options->cool);
    if (options->tab_width > 0)
        expect_tabs(&plan, &wanted, options->tab_width);
    expect_same(&plan, &again);
    wanted_clear(&wanted);
    rab_plan_clear(&plan);
    rab_plan_clear(&again);
    sheet_clear(&sheet);
}

/* Every choice of kerf, tabs, overcut and perforation, some with dashed creases and time to cool,
 * each on sheets with the pieces 3 mm apart, side by side (one kerf apart: they share their sides),
 * and 10 mm apart. */
Test(whole, every_line_once_in_order_and_accounted_for, .timeout = 100)
{
    for (unsigned n = 0; n < 96; n++) {
        struct rab_plan_options options = {.kerf = n & 1 ? 0.2 : 0, .overcut = n & 2 ? 0.7 : 0};
        if (n & 4) {
            options.perforation_cut = 2;
            options.perforation_gap = 1;
        }
        if (n & 8) {
            options.tab_width = 0.8;
            options.tabs = n & 16 ? 3 : 0;
            options.tab_every = n & 16 ? 0 : 25;
        }
        /* with each of the choices above, on one of the three kinds of sheets */
        if (n % 3 > 0) {
            options.crease_dash = 4;
            options.crease_gap = 1.5;
            options.cool = n % 3 == 2 ? 20 : 0;
        }
        check_plan(n + 1, n / 32 == 0 ? 33 : n / 32 == 1 ? 30 + options.kerf : 40, &options);
    }
}

/* Two squares that share a side: both get their tabs, the second on the three sides that are left.
 */
Test(whole, pieces_with_shared_lines_have_tabs_too)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {.tabs = 4, .tab_width = 1};
    int tabs[3] = {0};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 40, 40));
    sheet_add(&sheet, RAB_CUT, 2, rectangle(40, 0, 40, 40));
    struct rab_plan plan = plan_of(&sheet, &options);
    for (size_t i = 0; i < plan.count; i++)
        tabs[plan.paths[i].piece]++;
    cr_expect(plan.tabs == 7 && tabs[1] == 4 && tabs[2] == 3 + 1);
    cr_expect(epsilon_eq(dbl, plan.length, 7 * 40 - 7, 1e-9));
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* A point, and nothing at all, are followed nowhere. */
Test(whole, what_has_no_length_is_left_out)
{
    struct sheet sheet = {0};
    struct rab_outline point = {0};
    const struct rab_plan_options options = {.kerf = 0.1, .overcut = 1, .tabs = 2, .tab_width = 1};

    cr_assert(rab_outline_add(&point, 3, 3, 0.5, NULL));
    sheet_add(&sheet, RAB_CUT, 1, point);
    sheet_add(&sheet, RAB_CUT, 2, line(5, 5, 5, 5));
    sheet_add(&sheet, RAB_CUT, 3, (struct rab_outline){0});
    sheet_add(&sheet, RAB_DRAW, 3, (struct rab_outline){.open = true});
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(plan.count == 0 && plan.length == 0);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}
