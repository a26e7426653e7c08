/* Jobs made by a program: what no job file can say, and jobs without bounds. */
#include "spreads.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

TestSuite(models, .init = spreads_open, .fini = spreads_close);

static char amber[] = "amber";

struct model {
    struct rab_paper paper;
    struct rab_job job;
    struct rab_spread spread;
    struct rab_warnings notes;
    struct rab_error err;
    bool ok;
};

static struct model model_of(struct rab_item *items, size_t count)
{
    return (struct model){.paper = {.name = amber, .width = IN(12), .height = IN(12), .line = 2},
                          .job = {.paper_count = 1,
                                  .inches = true,
                                  .pages[RAB_LEFT] = {.there = true,
                                                      .width = IN(12),
                                                      .height = IN(12),
                                                      .items = items,
                                                      .item_count = count,
                                                      .line = 3}}};
}

static void resolve(struct model *model)
{
    model->job.papers = &model->paper;
    model->ok = rab_job_resolve(&model->job, spreads_library, NULL, NULL, &model->spread,
                                &model->notes, &model->err);
}

static void clear(struct model *model)
{
    rab_spread_clear(&model->spread);
    rab_warnings_clear(&model->notes);
}

static void expect_refused(struct model model, enum rab_fault fault, int line, const char *words)
{
    resolve(&model);
    cr_expect(not(model.ok), "\"%s\" was not told", words);
    cr_expect(model.err.fault == fault && model.err.line == line && strstr(model.err.text, words),
              "fault %d, line %d: %s", (int)model.err.fault, model.err.line, model.err.text);
    clear(&model);
}

static struct rab_item panel(double width, double height)
{
    return (struct rab_item){.kind = RAB_ITEM_PANEL, .width = width, .height = height, .line = 4};
}

static struct rab_item photo(double width, double height)
{
    return (struct rab_item){.kind = RAB_ITEM_PHOTO, .width = width, .height = height, .line = 4};
}

/* ---- what a job file cannot say -------------------------------------------------------- */

Test(models, nothing_on_the_pages)
{
    struct model model = model_of(NULL, 0);

    resolve(&model);
    cr_expect(model.ok && model.spread.count == 0);
    clear(&model);
    /* No page at all. */
    model = model_of(NULL, 0);
    model.job.pages[RAB_LEFT].there = false;
    resolve(&model);
    cr_expect(model.ok && model.spread.count == 0);
    clear(&model);
}

Test(models, measures_out_of_range)
{
    static const double odd[] = {0, -1, 1e9, NAN, INFINITY};

    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        struct rab_item item = panel(odd[i], 20);
        struct model model;
        expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "the panel has no size");
        item = photo(20, odd[i]);
        expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "the photo has no size");
        item = (struct rab_item){.kind = RAB_ITEM_TEXT, .width = odd[i], .height = 9, .line = 4};
        expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "the text has no size");
        model = model_of(NULL, 0);
        model.paper.width = odd[i];
        expect_refused(model, RAB_FAULT_INPUT, 2, "a measure of the paper amber");
        model = model_of(NULL, 0);
        model.job.pages[RAB_LEFT].height = odd[i];
        expect_refused(model, RAB_FAULT_INPUT, 3,
                       odd[i] > 2000 ? "the page is larger than 2000 mm"
                                     : "the page's margins leave nothing of it");
        if (odd[i] == 0)
            continue;
        item = photo(20, 20);
        item.crop_left = odd[i];
        item.crop_right = -odd[i];
        expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "a crop of the photo is negative");
        item = panel(20, 20);
        item.hidden_centre = odd[i];
        expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "the hidden centre of the panel");
        if (odd[i] == -1)
            continue;
        item = panel(20, 20);
        item.x = (struct rab_given){true, odd[i]};
        expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "the place of the panel");
        model = model_of(NULL, 0);
        model.job.spare = odd[i];
        expect_refused(model, RAB_FAULT_INPUT, 0, "what is spare is out of range");
    }
}

Test(models, things_that_contradict)
{
    struct rab_item item = panel(20, 20), inner = photo(0, 0);
    struct model model;

    item.paper = 7;
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4,
                   "the paper of the panel is not declared");
    item = panel(20, 20);
    item.x = item.right = (struct rab_given){true, 5};
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "give x or right");
    item = panel(20, 20);
    item.y = item.top = (struct rab_given){true, 5};
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "give y or top");
    item = panel(20, 20);
    item.raised = -1;
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "the panel cannot be raised so much");
    item = panel(20, 20);
    item.tool = RAB_TOOL_CUTTER;
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "the job has none; add a cutter");
    item.tool = RAB_TOOL_TRIMMER;
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "the job has none; add a trimmer");
    /* A size that is to be found where nothing finds it, or with a crop. */
    inner.proportion = 1.5;
    expect_refused(model_of(&inner, 1), RAB_FAULT_INPUT, 4, "stands in no grid");
    inner.crop_top = 3;
    struct rab_item row = {.kind = RAB_ITEM_ROW, .items = &inner, .item_count = 1, .line = 5};
    item = (struct rab_item){.kind = RAB_ITEM_GRID, .items = &row, .item_count = 1, .line = 6};
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "nothing to crop");
    item.items = &inner;
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "cannot stand in a grid");
    item.item_count = 0;
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 6, "the grid is empty");
    inner = photo(20, 20);
    inner.x = (struct rab_given){true, 5};
    expect_refused(model_of(&row, 1), RAB_FAULT_INPUT, 4, "comes from what it stands in");
    inner = photo(20, 20);
    row.gutter = -1;
    expect_refused(model_of(&row, 1), RAB_FAULT_INPUT, 5, "the gutter of the row");
    row.item_count = 0;
    expect_refused(model_of(&row, 1), RAB_FAULT_INPUT, 5, "the row is empty");
    model = model_of(NULL, 0);
    model.paper.name = NULL;
    expect_refused(model, RAB_FAULT_INPUT, 2, "a paper has no name");
    item = (struct rab_item){.kind = RAB_ITEM_STRIP, .width = 50, .height = 9, .line = 4};
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "the strip has no motif");
    static char scallop[] = "scallop";
    item.motif = scallop;
    item.turn = 0.3;
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "turn the strip by 0, 90, 180 or 270");
    item = (struct rab_item){.kind = RAB_ITEM_FRAME, .line = 4};
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "give either a file or a shape");
    item.file = scallop;
    expect_refused(model_of(&item, 1), RAB_FAULT_FILE, 4, "cannot be read here");
    item = (struct rab_item){
        .kind = RAB_ITEM_TEXT, .width = 50, .height = 9, .strips = 4, .ruled = 4, .line = 4};
    expect_refused(model_of(&item, 1), RAB_FAULT_INPUT, 4, "either cut into strips or ruled");
}

/* ---- mats that leave nothing ----------------------------------------------------------- */

Test(models, mats_wider_than_their_row)
{
    struct rab_mat_asked mat = {.reveal = 120, .line = 7};
    struct rab_item two[2] = {photo(0, 0), photo(0, 0)};
    struct rab_item row = {.kind = RAB_ITEM_ROW, .items = two, .item_count = 2, .line = 5};
    struct rab_item grid = {.kind = RAB_ITEM_GRID, .items = &row, .item_count = 1, .line = 6};

    for (int i = 0; i < 2; i++) {
        two[i].proportion = 1;
        two[i].mats = &mat;
        two[i].mat_count = 1;
    }
    expect_refused(model_of(&grid, 1), RAB_FAULT_GEOMETRY, 4,
                   "the mats leave nothing of the photo");
}

/* ---- without bounds -------------------------------------------------------------------- */

Test(models, rows_in_rows_end)
{
    enum { DEEP = 2000 };
    struct rab_item *items = calloc(DEEP, sizeof *items);

    cr_assert(items != NULL);
    for (int i = 0; i < DEEP; i++)
        items[i] = (struct rab_item){.kind = i % 2 ? RAB_ITEM_ROW : RAB_ITEM_COLUMN,
                                     .items = i + 1 < DEEP ? &items[i + 1] : NULL,
                                     .item_count = i + 1 < DEEP,
                                     .line = i + 1};
    expect_refused(model_of(items, 1), RAB_FAULT_INPUT, 2, "cannot stand here");
    free(items);
}

Test(models, too_many_pieces)
{
    enum { MANY = 5001 };
    struct rab_item *items = calloc(MANY, sizeof *items);

    cr_assert(items != NULL);
    for (int i = 0; i < MANY; i++)
        items[i] = panel(10, 10);
    expect_refused(model_of(items, MANY), RAB_FAULT_INPUT, 4, "more than 5000 pieces");
    free(items);
}

/* 2,500 photos, so small that nobody minds, in the corners of the boxes of 2,500 discs: each pair
 * is looked at until that is too much. */
Test(models, too_many_that_lie_on_each_other, .timeout = 60)
{
    enum { MANY = 2500 };
    static char disc[] = "disc";
    struct rab_item *items = calloc(2 * MANY, sizeof *items);

    cr_assert(items != NULL);
    for (int i = 0; i < MANY; i++) {
        items[i] = photo(0.5, 0.5);
        items[i].x = items[i].y = (struct rab_given){true, 20};
        items[MANY + i] = (struct rab_item){
            .kind = RAB_ITEM_FRAME, .shape = disc, .x = {true, 20}, .y = {true, 20}, .line = 5};
    }
    expect_refused(model_of(items, 2 * MANY), RAB_FAULT_INPUT, 0, "too many pieces");
    free(items);
}
