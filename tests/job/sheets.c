/* Pieces on their sheets: what is checked and what is laid are one. */
#include "../outline/random.h"
#include "spreads.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

TestSuite(sheets, .init = spreads_open, .fini = spreads_close);

/* ---- by hand --------------------------------------------------------------------------- */

#define WITH_AMBER(attributes, job, items)                                                         \
    "<job xmlns='urn:rabbet:job:1' units='in'" job ">\n"                                           \
    "<paper name='amber' colour='#E3B04B' " attributes "/>\n"                                      \
    "<cutter/>\n<page side='left' paper='amber' width='14' height='14'>\n" items                   \
    "</page>\n</job>\n"

static struct rab_box box_of(const struct rab_laid *laid)
{
    struct rab_outline out = {0};
    struct rab_box box;

    cr_assert(rab_laid_outline(laid, &laid->piece->region.outlines[0], false, 0, &out, NULL));
    box = rab_outline_box(&out);
    rab_outline_clear(&out);
    return box;
}

/* By hand: 12 x 13 in lies on sheets of 13 x 12 in only when it is turned. */
Test(sheets, turned_a_quarter)
{
    struct outcome o = outcome_of(WITH_AMBER("width='13' height='12'", " kits='2'",
                                             "<panel paper='amber' width='12' height='13'/>"));
    struct rab_laying laying = {0};

    cr_assert(o.ok, "%s", o.err.text);
    cr_assert(rab_spread_lay(&o.job, &o.spread, 0, RAB_TOOL_CUTTER, 3, &laying, NULL));
    cr_assert(laying.count == 2 && laying.sheets == 2);
    for (size_t i = 0; i < 2; i++) {
        const struct rab_box box = box_of(&laying.items[i]);
        cr_expect(laying.items[i].turned && laying.items[i].sheet == i);
        cr_expect(all(epsilon_eq(dbl, box.x0, 0, 1e-9), epsilon_eq(dbl, box.y0, 0, 1e-9),
                      epsilon_eq(dbl, box.x1, IN(13), 1e-9),
                      epsilon_eq(dbl, box.y1, IN(12), 1e-9)));
    }
    rab_laying_clear(&laying);
    outcome_clear(&o);
}

/* A quarter turn counter-clockwise: x' = -y, y' = x; cut face down then left for right. */
Test(sheets, outlines_go_with_their_piece)
{
    struct rab_outline line = {.open = true}, out = {0};
    const struct rab_laid laid = {.turned = true, .dx = 100, .dy = 10};

    cr_assert(rab_outline_add(&line, 1, 2, 0.5, NULL) && rab_outline_add(&line, 5, 2, 0, NULL));
    cr_assert(rab_laid_outline(&laid, &line, false, 200, &out, NULL));
    cr_expect(out.vertices[0].x == 98 && out.vertices[0].y == 11 && out.vertices[0].bulge == 0.5);
    cr_expect(out.vertices[1].x == 98 && out.vertices[1].y == 15);
    rab_outline_clear(&out);
    cr_assert(rab_laid_outline(&laid, &line, true, 200, &out, NULL));
    for (size_t i = 0; i < 2; i++)
        cr_expect(epsilon_eq(dbl, out.vertices[i].x, 102, 1e-12));
    rab_outline_clear(&out);
    rab_outline_clear(&line);
}

/* A class of 1000 kits and 100 percent more of eleven pieces is 22,000. */
Test(sheets, too_many)
{
    struct rab_text items = {0}, job = {0};
    struct outcome o;

    for (int i = 0; i < 11; i++)
        rab_text_add(&items, "<panel paper='amber' width='1' height='1'/>\n");
    rab_text_format(&job, WITH_AMBER("", " kits='1000' spare='100'", "%s"), items.data);
    o = outcome_of(job.data);
    cr_expect(tells_error(&o, 2, "more than 20000 pieces are to be cut of amber"), "%s",
              o.err.text);
    cr_expect(o.err.fault == RAB_FAULT_INPUT);
    outcome_clear(&o);
    rab_text_clear(&items);
    rab_text_clear(&job);
}

/* Half a kerf of 0.4 mm goes beyond the piece: 11 in fit a reach of 11 in + 0.2 mm, no less. */
Test(sheets, reach_with_kerf)
{
    static const char words[] =
        "<job xmlns='urn:rabbet:job:1' units='in'>\n"
        "<paper name='amber' colour='#E3B04B' turn='none'/>\n"
        "<cutter kerf='0.4mm' bed-width='%s'/>\n"
        "<page side='left' paper='amber'>\n"
        "<panel name='mole' paper='amber' width='11' height='3'/></page></job>";
    const char *const reaches[] = {"279.6mm", "279.59mm"};

    for (int i = 0; i < 2; i++) {
        struct rab_text text = {0};
        struct outcome o;
        const char *at = strstr(words, "%s");
        rab_text_bytes(&text, words, (size_t)(at - words));
        rab_text_add(&text, reaches[i]);
        rab_text_add(&text, at + 2);
        o = outcome_of(text.data);
        cr_expect(o.ok == (i == 0));
        if (i == 1)
            cr_expect(tells_error(&o, 5,
                                  "the panel mole, 11 x 3 in (279.4 x 76.2 mm), is larger "
                                  "than the cutter reaches"));
        outcome_clear(&o);
        rab_text_clear(&text);
    }
}

/* ---- by chance ------------------------------------------------------------------------- */

enum { PAPERS = 3, ITEMS = 12, TRIALS = 3000 };
struct trial {
    struct rab_job job;
    struct rab_paper papers[PAPERS];
    struct rab_item items[ITEMS];
    double gap;
};

/* Round numbers, so that pieces are often as large as their sheet. */
static double some_length(struct random *random, int most)
{
    return 10.0 * (1 + random_below(random, most));
}

static void make_trial(struct random *random, struct trial *t)
{
    static char scallop[] = "scallop", names[PAPERS][8] = {"night", "amber", "mist"};
    struct rab_page *page = &t->job.pages[RAB_LEFT];

    *t = (struct trial){.gap = some_length(random, 4) - 10};
    t->job = (struct rab_job){.kits = random_below(random, 4) + 1,
                              .trimmer = random_below(random, 2),
                              .cutter = random_below(random, 4) > 0,
                              .papers = t->papers,
                              .paper_count = PAPERS};
    for (size_t i = 0; i < PAPERS; i++)
        t->papers[i] = (struct rab_paper){.name = names[i],
                                          .turning = (enum rab_turning)random_below(random, 3),
                                          .width = some_length(random, 30) + 100,
                                          .height = some_length(random, 30) + 100,
                                          .line = 100 + (int)i};
    if (t->job.cutter && random_below(random, 2)) {
        t->job.kerf = random_below(random, 2) ? 0.2 : 0;
        t->job.bed.width = random_below(random, 3) ? some_length(random, 30) + 100 : 0;
        t->job.bed.height = random_below(random, 3) ? some_length(random, 30) + 100 : 0;
    }
    *page = (struct rab_page){.there = true, .width = 500, .height = 500, .items = t->items};
    page->item_count = (size_t)random_below(random, ITEMS) + 1;
    for (size_t i = 0; i < page->item_count; i++) {
        const bool strip = random_below(random, 4) == 0;
        const int most = random_below(random, 8) ? 10 : 34;
        t->items[i] = (struct rab_item){.kind = strip ? RAB_ITEM_STRIP : RAB_ITEM_PANEL,
                                        .motif = strip ? scallop : NULL,
                                        .turn = strip && random_below(random, 2) ? RAB_PI / 2 : 0,
                                        .width = some_length(random, most) + 30,
                                        .height = strip ? 30 : some_length(random, most),
                                        .paper = (size_t)random_below(random, PAPERS),
                                        .line = (int)i + 1};
        if (random_below(random, 6) == 0)
            t->items[i].tool = RAB_TOOL_HAND;
    }
}

static const enum rab_tool tools[] = {RAB_TOOL_TRIMMER, RAB_TOOL_CUTTER, RAB_TOOL_HAND};
enum { TOOLS = sizeof tools / sizeof *tools };

static bool fits(double width, double height, double in_width, double in_height)
{
    return width <= in_width + 1e-6 && height <= in_height + 1e-6;
}

/* The sums done here anew: does a piece lie on its sheet, within the cutter's reach, as it is or
 * turned where it may be? */
static bool foresee(const struct rab_job *job, const struct rab_piece *piece, bool *turned)
{
    const struct rab_paper *paper = &job->papers[piece->paper];
    const struct rab_box box = rab_region_box(&piece->region);
    double width = paper->width, height = paper->height;

    if (piece->tool == RAB_TOOL_CUTTER) {
        width = job->bed.width > 0 ? fmin(width, job->bed.width - job->kerf / 2) : width;
        height = job->bed.height > 0 ? fmin(height, job->bed.height - job->kerf / 2) : height;
    }
    *turned = !fits(box.x1 - box.x0, box.y1 - box.y0, width, height);
    return !*turned || (paper->turning == RAB_TURNING_ANY &&
                        fits(box.y1 - box.y0, box.x1 - box.x0, width, height));
}

static void judge_laid(const struct trial *t, const struct rab_laying *laying, size_t i)
{
    const struct rab_laid *laid = &laying->items[i];
    const struct rab_paper *paper = &t->papers[laid->piece->paper];
    const struct rab_box box = box_of(laid);
    bool turned = false;
    double width = paper->width, height = paper->height;

    if (laid->piece->tool == RAB_TOOL_CUTTER) {
        width = t->job.bed.width > 0 ? t->job.bed.width - t->job.kerf / 2 : width;
        height = t->job.bed.height > 0 ? t->job.bed.height - t->job.kerf / 2 : height;
    }
    cr_assert(foresee(&t->job, laid->piece, &turned) && laid->turned == turned);
    cr_assert(laid->sheet < laying->sheets && box.x0 > -1e-5 && box.y0 > -1e-5 &&
              box.x1 < fmin(width, paper->width) + 1e-5 &&
              box.y1 < fmin(height, paper->height) + 1e-5);
    for (size_t k = 0; k < i; k++) {
        const struct rab_box other = box_of(&laying->items[k]);
        cr_assert(laying->items[k].sheet != laid->sheet ||
                  fmax(fmax(box.x0 - other.x1, other.x0 - box.x1),
                       fmax(box.y0 - other.y1, other.y0 - box.y1)) > t->gap - 1e-5);
    }
}

static size_t copies_on(const struct rab_laying *laying, const struct rab_piece *piece)
{
    size_t count = 0;

    for (size_t i = 0; i < laying->count; i++)
        count += laying->items[i].piece == piece;
    return count;
}

/* Lays all pieces; what cannot be laid was told in the same words. */
static bool lay_all(const struct trial *t, const struct rab_spread *spread, struct outcome *told)
{
    bool all_laid = true;

    for (size_t paper = 0; paper < PAPERS; paper++)
        for (size_t tool = 0; tool < TOOLS; tool++) {
            struct rab_laying laying = {0};
            struct rab_error err = {0};
            if (!rab_spread_lay(&t->job, spread, paper, tools[tool], t->gap, &laying, &err)) {
                cr_assert(tells_error(told, err.line, err.text), "%d: %s", err.line, err.text);
                all_laid = false;
            }
            for (size_t i = 0; i < laying.count; i++)
                judge_laid(t, &laying, i);
            for (size_t i = 0; i < spread->count && all_laid; i++)
                if (spread->pieces[i].paper == paper && spread->pieces[i].tool == tools[tool])
                    cr_assert(copies_on(&laying, &spread->pieces[i]) == (size_t)t->job.kits);
            rab_laying_clear(&laying);
        }
    return all_laid;
}

/* What is accepted can be laid, and what cannot be laid is refused. */
Test(sheets, checked_is_made, .timeout = 60)
{
    struct random random = {31};
    size_t accepted = 0, turned_ones = 0;

    for (int i = 0; i < TRIALS; i++) {
        struct trial t;
        struct outcome told = {0};
        struct rab_spread spread = {0};
        struct rab_job large;
        struct rab_paper papers[PAPERS];
        bool foreseen = true;

        make_trial(&random, &t);
        /* the same on sheets that are large enough, for the pieces as such */
        large = t.job;
        large.papers = papers;
        large.bed.width = large.bed.height = 0;
        memcpy(papers, t.papers, sizeof papers);
        for (size_t k = 0; k < PAPERS; k++)
            papers[k].width = papers[k].height = 1000;
        cr_assert(rab_job_resolve(&large, spreads_library, NULL, NULL, &spread, NULL, &told.err),
                  "%s", told.err.text);

        told.ok = rab_job_resolve(&t.job, spreads_library, NULL, NULL, &told.spread, &told.notes,
                                  &told.err);
        for (size_t k = 0; k < spread.count; k++) {
            bool turned = false;
            foreseen = foresee(&t.job, &spread.pieces[k], &turned) && foreseen;
            turned_ones += turned;
        }
        cr_assert(lay_all(&t, &spread, &told) == told.ok);
        cr_assert(told.ok == foreseen, "trial %d: %s", i, told.err.text);
        accepted += told.ok;
        rab_spread_clear(&told.spread);
        rab_warnings_clear(&told.notes);
        rab_spread_clear(&spread);
    }
    cr_expect(accepted > TRIALS / 5 && accepted < TRIALS * 4 / 5 && turned_ones > 500,
              "%zu accepted, %zu turned", accepted, turned_ones);
}
