/* What keeps the sheet firm and cool: small pieces before others, lines far from the one before.
 * Both are common practice, no source; held here against plain rules written out afresh. */
#include "plans.h"

#include <time.h>

static const double small = 25;

static struct rab_point start_of(const struct rab_path *path)
{
    return (struct rab_point){path->outline.vertices[0].x, path->outline.vertices[0].y};
}

/* Within a closed cut: its corner lies inside, and it is smaller. */
static bool lies_in(const struct rab_path *in, const struct rab_path *around)
{
    return in != around && in->operation == around->operation && !around->outline.open &&
           fabs(rab_outline_area(&around->outline)) > fabs(rab_outline_area(&in->outline)) &&
           rab_outline_winding(&around->outline, start_of(in)) != 0;
}

/* Of a small piece: the smallest outer outline around it, or itself, is. */
static bool is_small(const struct rab_plan *plan, size_t path)
{
    const struct rab_path *piece = NULL, *p = &plan->paths[path];

    for (size_t i = 0; i < plan->count; i++) {
        const struct rab_path *o = &plan->paths[i];
        if (o->outline.open || rab_outline_area(&o->outline) < 0 || (o != p && !lies_in(p, o)))
            continue;
        if (!piece || rab_outline_area(&o->outline) < rab_outline_area(&piece->outline))
            piece = o;
    }
    if (!piece || p->operation != RAB_CUT)
        return false;
    const struct rab_box box = rab_outline_box(&piece->outline);
    return box.x1 - box.x0 < small && box.y1 - box.y0 < small;
}

/* Draw, glue, crease, part cut, perforate, cuts of small pieces, other cuts. */
static int *ranks_of(const struct rab_plan *plan)
{
    static const int ranks[RAB_OPERATIONS] = {
        [RAB_DRAW] = 0,     [RAB_GLUE] = 1,      [RAB_CREASE] = 2,
        [RAB_PART_CUT] = 3, [RAB_PERFORATE] = 4, [RAB_CUT] = 6,
    };
    int *all = calloc(plan->count + 1, sizeof *all);

    cr_assert(all != NULL);
    for (size_t i = 0; i < plan->count; i++)
        all[i] = ranks[plan->paths[i].operation] - (is_small(plan, i) ? 1 : 0);
    return all;
}

static double whole_length(const struct sheet *sheet)
{
    double sum = 0;

    for (size_t i = 0; i < sheet->count; i++)
        sum += rab_outline_perimeter(&sheet->paths[i].outline);
    return sum;
}

/* Every rule but that of cooling. */
static void expect_rules(const struct sheet *sheet, const struct rab_plan *plan)
{
    int *ranks = ranks_of(plan);
    size_t first_large = 0;
    double bound = 0;

    cr_assert(plan->count == sheet->count);
    cr_expect(epsilon_eq(dbl, plan->length, whole_length(sheet), 1e-6));
    for (size_t i = 0; i < plan->count; i++) {
        cr_expect(i == 0 || ranks[i] >= ranks[i - 1], "path %zu comes too late", i);
        first_large += ranks[i] < 6;
        for (size_t k = 0; k < i; k++)
            cr_expect(not(lies_in(&plan->paths[i], &plan->paths[k])),
                      "path %zu lies in %zu and is cut later", i, k);
    }
    cr_expect(plan->larger == first_large);
    cr_assert(rab_plan_bound(plan, (struct rab_point){0, 0}, &bound, NULL));
    cr_expect(bound <= plan->idle + 1e-6);
    free(ranks);
}

/* Pieces of 6 to 60 mm, some with an opening, in some of which another piece lies. */
static struct sheet mixed_sheet(uint64_t seed, int columns, int rows)
{
    struct sheet sheet = {0};

    for (int n = 0; n < columns * rows; n++) {
        const double x = 64.0 * (n % columns), y = 64.0 * (n / columns);
        const double size = 6 + 54 * random_share(&seed);
        const int piece = ++sheet.pieces;
        sheet_add(&sheet, RAB_CUT, piece, rectangle(x, y, size, 0.8 * size));
        if (size > 10)
            sheet_add(&sheet, RAB_CUT, piece,
                      reversed(rectangle(x + 2, y + 2, size - 4, 0.8 * size - 4)));
        if (size > 16 && random_share(&seed) < 0.7)
            sheet_add(&sheet, RAB_CUT, ++sheet.pieces,
                      disc(x + size / 2, y + 0.4 * size, 0.4 * size - 3));
        if (random_share(&seed) < 0.3)
            sheet_add(&sheet, RAB_CREASE, piece, line(x, y + 1, x + size, y + 1));
    }
    return sheet;
}

/* ---- small pieces first ---------------------------------------------------------------- */

Test(small_first, holds_on_mixed_sheets)
{
    for (uint64_t seed = 1; seed <= 30; seed++) {
        struct sheet sheet = mixed_sheet(seed, 3 + (int)(seed % 4), 1 + (int)(seed % 5));
        const struct rab_plan_options options = {0};
        struct rab_plan plan = plan_of(&sheet, &options);
        expect_rules(&sheet, &plan);
        rab_plan_clear(&plan);
        sheet_clear(&sheet);
    }
}

/* The measure: 24.9 mm is small and 25 mm is not; longer in one direction is not either. */
Test(small_first, twenty_five_millimetres_are_not_small)
{
    struct sheet sheet = {0};
    const struct rab_plan_options options = {0};

    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 25, 25));
    sheet_add(&sheet, RAB_CUT, 2, rectangle(0, 50, 3, 40));
    sheet_add(&sheet, RAB_CUT, 3, rectangle(200, 200, 24.9, 24.9));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(plan.paths[0].piece == 3 && plan.larger == 1);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* Where all are small, or none is, the order does not depend on the measure: a sheet drawn larger,
 * by powers of two so that no rounding differs, is followed in the same order. */
Test(small_first, changes_nothing_where_all_are_alike)
{
    struct rab_plan_options options = {0};
    struct rab_plan first = {0};
    double factor = 1;

    for (int n = 0; n < 4; n++, factor *= 2) { /* 10 to 80 mm */
        struct sheet sheet = {0};
        uint64_t seed = 4;
        for (int i = 0; i < 60; i++) {
            const double x = 15 * (i % 10) + 4 * random_share(&seed);
            const double y = 15 * (i / 10) + 4 * random_share(&seed);
            sheet_add(&sheet, RAB_CUT, i,
                      rectangle(factor * x, factor * y, 10 * factor, 9 * factor));
        }
        struct rab_plan plan = plan_of(&sheet, &options);
        cr_expect(plan.larger == (factor < 2.5 ? 60 : 0));
        if (n == 0) {
            first = plan;
        } else {
            cr_expect(epsilon_eq(dbl, plan.idle, factor * first.idle, 1e-6));
            for (size_t i = 0; i < plan.count; i++)
                cr_expect(plan.paths[i].piece == first.paths[i].piece);
            rab_plan_clear(&plan);
        }
        sheet_clear(&sheet);
    }
    rab_plan_clear(&first);
}

/* Worked by hand: small and large ones by turns in a row of six, 100 mm apart, have to be passed
 * twice: from the first small one to the third, and from the first large one to the third, in
 * either direction, 400 mm each, less what is gained at corners of squares of 10 and of 40 mm; once
 * through all of them would be 500 mm. The bound knows that. */
Test(small_first, bound_counts_both_ways)
{
    const struct rab_plan_options options = {0};
    struct sheet sheet = {0};
    double bound = 0;

    for (int n = 0; n < 6; n++)
        sheet_add(&sheet, RAB_CUT, n, rectangle(100.0 * n, 0, n % 2 ? 40 : 10, n % 2 ? 40 : 10));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_assert(rab_plan_bound(&plan, options.home, &bound, NULL));
    cr_expect(plan.idle > bound && bound > 800 - 10 - 40 - 1 && bound < 800 + 1);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* ---- every order tried out ------------------------------------------------------------- */

enum { FEW = 6 };

struct few {
    struct rab_point corners[FEW][3]; /* where each may begin, the chosen one first */
    bool is_small[FEW];
    size_t count;
    int choices; /* 3, or 1: only the first */
};

/* All orders and beginnings that put small ones first. */
static double shortest(const struct few *few, unsigned used, struct rab_point at, double so_far,
                       double best)
{
    bool small_left = false;

    if (used == (1U << few->count) - 1)
        return fmin(best, so_far);
    for (size_t i = 0; i < few->count; i++)
        small_left = small_left || (few->is_small[i] && !(used & (1U << i)));
    for (size_t i = 0; i < few->count; i++) {
        if ((used & (1U << i)) || (small_left && !few->is_small[i]))
            continue;
        for (int c = 0; c < few->choices; c++) {
            const struct rab_point q = few->corners[i][c];
            const double sum = so_far + hypot(q.x - at.x, q.y - at.y);
            if (sum < best)
                best = shortest(few, used | (1U << i), q, sum, best);
        }
    }
    return best;
}

/* Triangles of 6 or 36 mm: the plan is little longer than the shortest of all orders that the rule
 * allows (the way through the small ones does not look to where the others begin), and the bound no
 * longer than the shortest with the same beginnings. */
Test(small_first, few_pieces_in_the_shortest_order_allowed)
{
    uint64_t seed = 11;
    double sum = 0, best = 0;

    for (int round = 0; round < 60; round++) {
        const struct rab_plan_options options = {0};
        struct few few = {.count = 3 + (size_t)(round % 4), .choices = 3};
        struct sheet sheet = {0};
        for (size_t i = 0; i < few.count; i++) {
            const double y = 45.0 * (double)(i / 3) + 6 * random_share(&seed);
            const double x = 45.0 * (double)(i % 3) + 6 * random_share(&seed);
            const double side = random_share(&seed) < 0.5 ? 6 : 36;
            struct rab_outline o = {0};
            few.is_small[i] = side < small;
            few.corners[i][0] = (struct rab_point){x, y};
            few.corners[i][1] = (struct rab_point){x + side, y};
            few.corners[i][2] = (struct rab_point){x, y + side};
            for (int c = 0; c < 3; c++)
                cr_assert(rab_outline_add(&o, few.corners[i][c].x, few.corners[i][c].y, 0, NULL));
            sheet_add(&sheet, RAB_CUT, (int)i, o);
        }
        struct rab_plan plan = plan_of(&sheet, &options);
        const double least = shortest(&few, 0, options.home, 0, HUGE_VAL);
        double bound = 0;
        cr_expect(plan.idle > least - 1e-9);
        sum += plan.idle;
        best += least;
        for (size_t i = 0; i < plan.count; i++)
            few.corners[plan.paths[i].piece][0] = start_of(&plan.paths[i]);
        few.choices = 1;
        cr_assert(rab_plan_bound(&plan, options.home, &bound, NULL));
        cr_expect(bound <= shortest(&few, 0, options.home, 0, HUGE_VAL) + 1e-9);
        rab_plan_clear(&plan);
        sheet_clear(&sheet);
    }
    cr_expect(sum < 1.05 * best, "%f, not %f", sum, best);
}

/* ---- cooling --------------------------------------------------------------------------- */

static double to_box(struct rab_point p, struct rab_box box)
{
    return hypot(fmax(0, fmax(box.x0 - p.x, p.x - box.x1)),
                 fmax(0, fmax(box.y0 - p.y, p.y - box.y1)));
}

/* How far from a box a path can begin: at its ends, or its corners, or where it has none at its
 * vertices. */
static double farthest_start(const struct rab_path *path, struct rab_box box)
{
    const struct rab_outline *o = &path->outline;
    double most = 0;

    for (size_t i = 0; i < o->count; i++)
        if (!o->open || i == 0 || i + 1 == o->count)
            most = fmax(most, to_box((struct rab_point){o->vertices[i].x, o->vertices[i].y}, box));
    return most;
}

/* Each path begins as far as asked from the one before; or else nothing that may come next does,
 * and it is the farthest. Returns how many begin nearer. */
static size_t expect_cool(const struct rab_plan *plan, double cool)
{
    int *ranks = ranks_of(plan);
    size_t near = 0;

    for (size_t i = 1; i < plan->count; i++) {
        const struct rab_box box = rab_outline_box(&plan->paths[i - 1].outline);
        const double apart = to_box(start_of(&plan->paths[i]), box);
        if (apart >= cool - 1e-9)
            continue;
        near++;
        for (size_t k = i; k < plan->count; k++) {
            bool waits = ranks[k] > ranks[i];
            for (size_t m = i; m < plan->count; m++)
                waits = waits || lies_in(&plan->paths[m], &plan->paths[k]);
            if (!waits)
                cr_expect(farthest_start(&plan->paths[k], box) <= apart + 1e-9,
                          "path %zu is %f mm away, %zu would be farther", i, apart, k);
        }
    }
    free(ranks);
    return near;
}

/* 12 x 12 squares of 10 mm, 15 mm apart: of those that begin less than 40 mm from the one before
 * there are few, at the end, when nothing else is left. */
Test(cool, squares_on_a_grid)
{
    const struct rab_plan_options options = {.cool = 40};
    struct sheet sheet = {0};

    for (int n = 0; n < 144; n++)
        sheet_add(&sheet, RAB_CUT, n, rectangle(15.0 * (n % 12), 15.0 * (n / 12), 10, 10));
    struct rab_plan plan = plan_of(&sheet, &options);
    expect_rules(&sheet, &plan);
    const size_t near = expect_cool(&plan, options.cool);
    cr_expect(near < 144 / 20, "%zu are near", near);
    /* no way between two can be shorter than asked where they are as far apart as asked */
    cr_expect(plan.idle > (143.0 - (double)near) * options.cool);
    cr_expect(plan.idle < 1.4 * 144 * options.cool, "%f", plan.idle);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

Test(cool, all_rules_hold_on_mixed_sheets)
{
    for (uint64_t seed = 1; seed <= 24; seed++) {
        const struct rab_plan_options options = {.cool = 20 + 10 * (double)(seed % 5)};
        struct sheet sheet = seed % 2 ? make_sheet(seed, 2 + (int)(seed % 5), 4)
                                      : mixed_sheet(seed, 2 + (int)(seed % 5), 4);
        struct rab_plan plan = plan_of(&sheet, &options);
        expect_rules(&sheet, &plan);
        expect_cool(&plan, options.cool);
        rab_plan_clear(&plan);
        sheet_clear(&sheet);
    }
}

/* Worked by hand: nothing is 1000 mm away, so it is always the farthest. */
Test(cool, the_farthest_where_none_is_far)
{
    static const int order[] = {0, 3, 1, 2};
    static const double places[] = {0, 40, 100, 300};
    const struct rab_plan_options options = {.cool = 1000};
    struct sheet sheet = {0};

    for (int n = 0; n < 4; n++)
        sheet_add(&sheet, RAB_CUT, n, rectangle(places[n], 0, 10, 10));
    struct rab_plan plan = plan_of(&sheet, &options);
    for (size_t i = 0; i < 4; i++)
        cr_expect(plan.paths[i].piece == order[i]);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* From one operation to the next too: the second crease ends at the left, so the cuts begin at the
 * right. */
Test(cool, from_operation_to_operation)
{
    const struct rab_plan_options options = {.cool = 50};
    struct sheet sheet = {0};

    sheet_add(&sheet, RAB_CREASE, 1, line(5, 0, 5, 10));
    sheet_add(&sheet, RAB_CUT, 1, rectangle(0, 0, 10, 10));
    sheet_add(&sheet, RAB_CUT, 2, rectangle(100, 0, 10, 10));
    struct rab_plan plan = plan_of(&sheet, &options);
    cr_expect(plan.paths[1].piece == 2 && plan.paths[2].piece == 1);
    rab_plan_clear(&plan);
    sheet_clear(&sheet);
}

/* 5,000 outlines within 2 s of processor time; near at hand, far away, and farther than any. */
Test(cool, many_lines_take_little_time, .timeout = 60)
{
    static const double apart[] = {10, 100, 1000};

    for (int n = 0; n < 3; n++) {
        const struct rab_plan_options options = {.cool = apart[n]};
        struct sheet sheet = {0};
        uint64_t seed = 3;
        for (int i = 0; i < 5000; i++) {
            const double y = 8.0 * (i / 71) + random_share(&seed);
            const double x = 8.0 * (i % 71) + random_share(&seed);
            sheet_add(&sheet, RAB_CUT, i, disc(x, y, 3));
        }
        const clock_t before = clock();
        struct rab_plan plan = plan_of(&sheet, &options);
        const double seconds = (double)(clock() - before) / CLOCKS_PER_SEC;
        cr_expect(plan.count == 5000 && seconds < 2, "%f s", seconds);
        rab_plan_clear(&plan);
        sheet_clear(&sheet);
    }
}
