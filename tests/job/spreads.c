#include "spreads.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

struct rab_library *spreads_library;

void spreads_open(void)
{
    struct rab_error err = {0};
    cr_assert(rab_library_open(NULL, 0, &spreads_library, NULL, &err), "%s", err.text);
}

void spreads_close(void)
{
    rab_library_close(spreads_library);
}

/* A drawing: a strip of 100 x 40 mm with three openings of 20 x 20 mm, 10 mm apart. */
static bool three_openings(void *context, const char *path, struct rab_region *out,
                           struct rab_error *err)
{
    struct rab_outline outlines[4] = {{0}};
    bool ok;

    (void)context;
    if (strcmp(path, "three.svg") != 0)
        return rab_fail(err, RAB_FAULT_FILE, "%s is not there", path);
    ok = rab_outline_rectangle((struct rab_box){0, 0, 100, 40}, 0, &outlines[0], err);
    for (int i = 0; i < 3 && ok; i++)
        ok = rab_outline_rectangle((struct rab_box){10 + 30 * i, 10, 30 + 30 * i, 30}, 0,
                                   &outlines[i + 1], err);
    ok = ok && rab_region_fill(outlines, 4, RAB_FILL_EVENODD, out, err);
    for (int i = 0; i < 4; i++)
        rab_outline_clear(&outlines[i]);
    return ok;
}

struct outcome outcome_of(const char *text)
{
    struct outcome outcome = {0};

    cr_assert(rab_job_read(text, strlen(text), &outcome.job, &outcome.notes, &outcome.err),
              "line %d: %s", outcome.err.line, outcome.err.text);
    outcome.ok = rab_job_resolve(&outcome.job, spreads_library, three_openings, NULL,
                                 &outcome.spread, &outcome.notes, &outcome.err);
    return outcome;
}

void outcome_clear(struct outcome *outcome)
{
    rab_spread_clear(&outcome->spread);
    rab_job_clear(&outcome->job);
    rab_warnings_clear(&outcome->notes);
}

void print_outcome(const struct outcome *outcome)
{
    if (!outcome->ok)
        printf("%d: %s\n", outcome->err.line, outcome->err.text);
    for (size_t i = 0; i < outcome->notes.count; i++)
        printf("%d: [%s] %s\n", outcome->notes.items[i].line, outcome->notes.items[i].code,
               outcome->notes.items[i].text);
    for (size_t i = 0; i < outcome->spread.count; i++) {
        const struct rab_piece *piece = &outcome->spread.pieces[i];
        const struct rab_box box = rab_region_box(&piece->region);
        printf("%s %s: %f %f %f %f\n", piece->letter, piece->what, box.x0, box.y0, box.x1, box.y1);
    }
}

const struct rab_piece *piece_of(const struct outcome *outcome, const char *what)
{
    for (size_t i = 0; i < outcome->spread.count; i++) {
        if (strcmp(outcome->spread.pieces[i].what, what) == 0)
            return &outcome->spread.pieces[i];
    }
    print_outcome(outcome);
    cr_fatal("there is no %s", what);
    return NULL;
}

bool tells(const struct outcome *outcome, const char *code, int line, const char *words)
{
    for (size_t i = 0; i < outcome->notes.count; i++) {
        const struct rab_warning *note = &outcome->notes.items[i];
        if (strcmp(note->code, code) == 0 && note->line == line && strstr(note->text, words))
            return true;
    }
    return false;
}

bool tells_error(const struct outcome *outcome, int line, const char *words)
{
    return (!outcome->ok && outcome->err.line == line && strstr(outcome->err.text, words)) ||
           tells(outcome, "error", line, words);
}

void expect_box(const struct outcome *outcome, const char *what, double x0, double y0, double width,
                double height)
{
    const struct rab_box box = rab_region_box(&piece_of(outcome, what)->region);

    cr_expect(fabs(box.x0 - x0) <= 1e-9 && fabs(box.y0 - y0) <= 1e-9 &&
                  fabs(box.x1 - x0 - width) <= 1e-9 && fabs(box.y1 - y0 - height) <= 1e-9,
              "%s: %f %f, %f x %f, not %f %f, %f x %f", what, box.x0, box.y0, box.x1 - box.x0,
              box.y1 - box.y0, x0, y0, width, height);
}
