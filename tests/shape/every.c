/*
 * Every shape and motif that comes with the program: at its usual values, at the extremes of each
 * parameter, of all together, and at 200 sets of values drawn by chance.
 *
 *   test-shape-every SHAPES_FOLDER [--shapes | --motifs] [--only NAME] [--sets N] [--seed N]
 *                    [--all] [--files FOLDER]
 *
 * --all prints every fault instead of the first three of a shape; --files writes, instead of trying
 * anything, SVG, DXF and what they should hold (JSON) of every shape at its usual values, and of
 * a strip with every motif.
 *
 * Truth: the files read a second time (reading.h), GEOS, plain measures (judge.h).
 */
#include <libxml/parser.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "trial.h"

enum { MOST_PARAMETERS = 64, TRIES = 20000, FEWEST = 40 };

struct plan {
    const char *folder, *only, *files;
    bool shapes, motifs, all;
    size_t sets;
    uint64_t seed;
};
struct tally {
    size_t shapes, motifs, faulty, accepted, refused, faults;
};

static void put_value(struct rab_text *text, const struct rab_parameter *p, double value)
{
    if (p->kind == RAB_CHOICE)
        rab_text_add(text, p->choices[(size_t)value].name);
    else if (p->kind == RAB_YES_NO)
        rab_text_add(text, value != 0 ? "yes" : "no");
    else
        rab_text_number(text, value);
    if (p->kind == RAB_LENGTH)
        rab_text_add(text, "mm");
    if (p->kind == RAB_ANGLE)
        rab_text_add(text, "rad");
}

/* As a command that draws it again. */
static void put_command(struct rab_text *text, const struct rab_shape *shape, const double *values)
{
    rab_text_add(text, shape->name);
    for (size_t i = 0; i < shape->parameter_count; i++) {
        rab_text_add(text, " ");
        rab_text_add(text, shape->parameters[i].name);
        rab_text_add(text, "=");
        put_value(text, &shape->parameters[i], values[i]);
    }
}

/* The values go through their words, so that a printed command means exactly what was tried. */
static bool as_typed(const struct rab_shape *shape, double *values, struct verdict *verdict)
{
    struct rab_setting settings[MOST_PARAMETERS] = {{0}};
    struct rab_text words[MOST_PARAMETERS] = {{0}};
    struct rab_error err = {0};
    double read[MOST_PARAMETERS];
    const size_t count = shape->parameter_count;

    for (size_t i = 0; i < count; i++) {
        put_value(&words[i], &shape->parameters[i], values[i]);
        settings[i] = (struct rab_setting){shape->parameters[i].name, words[i].data};
    }
    const bool good = rab_shape_values(shape, settings, count, read, &err);
    if (!good)
        wrong(verdict, "its values are not taken: %s", err.text);
    for (size_t i = 0; good && i < count; i++)
        values[i] = read[i];
    for (size_t i = 0; i < count; i++)
        rab_text_clear(&words[i]);
    return good;
}

/* One value of a set. Now and then the usual one or a limit, as people give them; else anything
 * between, evenly or (`by_ratio`) evenly by ratio, since small things are as likely as large ones.
 */
static double by_chance(struct seeded *numbers, const struct rab_parameter *p, bool by_ratio,
                        bool coarse)
{
    if (p->kind == RAB_CHOICE)
        return seeded_int(numbers, 0, (int)p->choice_count - 1);
    if (p->kind == RAB_YES_NO)
        return seeded_int(numbers, 0, 1);
    const int special = seeded_int(numbers, 0, 19);
    const double even = seeded_real(numbers, p->least, p->most), share = seeded_real(numbers, 0, 1);
    double value = even;
    if (special < 3)
        return p->usual;
    if (special < 5)
        return special == 3 ? p->least : p->most;
    if (p->kind != RAB_ANGLE && by_ratio && p->least >= 0 && p->usual > 0) {
        const double low = fmax(p->least, p->usual / 20);
        value = p->most > low ? low * pow(p->most / low, share) : low;
    }
    if (p->kind == RAB_COUNT)
        value = round(value);
    else if (coarse && p->kind == RAB_LENGTH)
        value = round(2 * value) / 2; /* sides and arcs that just meet are more likely */
    else if (coarse && p->kind == RAB_RATIO)
        value = round(20 * value) / 20;
    else if (coarse && p->kind == RAB_ANGLE)
        value = round(value / (RAB_PI / 36)) * (RAB_PI / 36);
    return fmin(p->most, fmax(p->least, value));
}

struct run {
    const struct plan *plan;
    struct trial trial;
    size_t accepted, refused, faults, tried;
};

static enum outcome run_set(struct run *run, const double *wanted, bool full)
{
    const struct rab_shape *shape = run->trial.shape;
    double values[MOST_PARAMETERS];
    struct verdict verdict = {""};
    enum outcome outcome = WRONG;

    memcpy(values, wanted, shape->parameter_count * sizeof *values);
    if (as_typed(shape, values, &verdict))
        outcome = shape->motif ? try_motif(&run->trial, values, full, &verdict)
                               : try_shape(&run->trial, values, full, &verdict);
    run->tried++;
    run->accepted += outcome == ACCEPTED;
    run->refused += outcome == REFUSED;
    if (outcome == WRONG) {
        if (run->faults < 3 || run->plan->all) {
            struct rab_text command = {0};
            put_command(&command, shape, values);
            printf("FAULT %s\n      %s\n", command.data, verdict.text);
            rab_text_clear(&command);
        }
        run->faults++;
    }
    return outcome;
}

static void run_extremes(struct run *run)
{
    const struct rab_shape *shape = run->trial.shape;
    const size_t count = shape->parameter_count;
    double values[MOST_PARAMETERS];

    for (int end = 0; end < 2; end++) {
        for (size_t i = 0; i < count; i++)
            values[i] = end == 0 ? shape->parameters[i].least : shape->parameters[i].most;
        run_set(run, values, true);
    }
    for (size_t i = 0; i < count; i++) {
        const struct rab_parameter *p = &shape->parameters[i];
        const size_t steps = p->kind == RAB_CHOICE ? p->choice_count : 2;
        for (size_t step = 0; step < steps; step++) {
            for (size_t k = 0; k < count; k++)
                values[k] = shape->parameters[k].usual;
            values[i] = p->kind == RAB_CHOICE ? (double)step : step == 0 ? p->least : p->most;
            run_set(run, values, true);
        }
    }
}

/* Sets by chance until enough were accepted. Every third one changes only some of the usual values:
 * where one parameter limits the next, others are rarely allowed. */
static size_t run_chances(struct run *run)
{
    const struct rab_shape *shape = run->trial.shape;
    struct seeded numbers = {run->plan->seed};
    double values[MOST_PARAMETERS];
    size_t accepted = 0, tries = 0;

    for (const char *c = shape->name; *c; c++)
        numbers.state = numbers.state * 31 + (unsigned char)*c;
    for (; accepted < run->plan->sets && tries < TRIES && run->faults < 200; tries++) {
        const bool some = tries % 3 == 2, by_ratio = seeded_int(&numbers, 0, 3) > 0;
        const bool coarse = seeded_int(&numbers, 0, 1) == 1;
        for (size_t i = 0; i < shape->parameter_count; i++) {
            const struct rab_parameter *p = &shape->parameters[i];
            values[i] = some && seeded_int(&numbers, 0, 2) > 0
                            ? p->usual
                            : by_chance(&numbers, p, by_ratio, coarse);
        }
        accepted += run_set(run, values, accepted % 10 == 0) == ACCEPTED;
    }
    return accepted;
}

static void run_shape(const struct plan *plan, const struct rab_library *library,
                      const struct rab_shape *shape, struct truth *truth, struct tally *tally)
{
    struct run run = {.plan = plan, .trial = {.library = library, .shape = shape, .truth = truth}};
    double values[MOST_PARAMETERS];
    char path[1000];
    const clock_t start = clock();

    snprintf(path, sizeof path, "%s/%s/%s.xml", plan->folder, shape->family, shape->name);
    if (shape->parameter_count > MOST_PARAMETERS ||
        !reading_open(path, shape, &run.trial.reading)) {
        printf("FAULT %s: %s\n", shape->name, run.trial.reading.fault);
        tally->faulty++;
        tally->faults++;
        return;
    }
    for (size_t i = 0; i < shape->parameter_count; i++)
        values[i] = shape->parameters[i].usual;
    if (run_set(&run, values, true) == REFUSED) {
        printf("FAULT %s: refused at its usual values\n", shape->name);
        run.faults++;
    }
    run_extremes(&run);
    const size_t tried = run.tried;
    const size_t accepted = shape->parameter_count > 0 ? run_chances(&run) : plan->sets;
    if (accepted < (plan->sets < FEWEST ? plan->sets : FEWEST) && run.faults < 200) {
        printf("FAULT %s: of %zu sets by chance only %zu were allowed\n", shape->name,
               run.tried - tried, accepted);
        run.faults++;
    }
    const double seconds = (double)(clock() - start) / CLOCKS_PER_SEC;
    printf("%-9s %-28s %5zu drawn, %5zu refused, %3zu faults, %6.0f ms", shape->family, shape->name,
           run.accepted, run.refused, run.faults, 1000 * seconds);
    if (shape->motif)
        printf("; around outlines %zu made, %zu refused", run.trial.along.made,
               run.trial.along.refused);
    printf("\n");
    fflush(stdout);
    tally->accepted += run.accepted;
    tally->refused += run.refused;
    tally->faults += run.faults;
    tally->faulty += run.faults > 0;
    reading_close(&run.trial.reading);
}

/* ---- files for other programs ---- */

static bool save(struct rab_outputs *outputs, const char *folder, const struct rab_shape *shape,
                 const char *ending, struct rab_text *text, struct rab_error *err)
{
    char path[1000];
    snprintf(path, sizeof path, "%s/%s%s", folder, shape->name, ending);
    return rab_outputs_add(outputs, path, text, err);
}

static void put_sheet(const struct rab_sheet *sheet, struct rab_text *text)
{
    struct rab_json json = {.text = text};
    rab_json_object(&json, NULL);
    rab_json_number(&json, "width", sheet->width, -1);
    rab_json_number(&json, "height", sheet->height, -1);
    rab_json_array(&json, "paths");
    for (size_t i = 0; i < sheet->count; i++) {
        const struct rab_path *path = &sheet->paths[i];
        rab_json_object(&json, NULL);
        rab_json_text(&json, "operation", rab_operation_name(path->operation));
        rab_json_bool(&json, "open", path->outline.open);
        rab_json_array(&json, "vertices");
        for (size_t k = 0; k < path->outline.count; k++) {
            const struct rab_vertex v = path->outline.vertices[k];
            rab_json_numbers(&json, NULL, (const double[]){v.x, v.y, v.bulge}, 3, -1);
        }
        rab_json_end(&json);
        rab_json_end(&json);
    }
    rab_json_end(&json);
    rab_json_end(&json);
}

static bool write_shape(const struct plan *plan, const struct rab_library *library,
                        const struct rab_shape *shape)
{
    double values[MOST_PARAMETERS];
    struct rab_edge strip = {0};
    struct rab_figure figure = {0};
    struct rab_sheet sheet = {0};
    struct rab_outputs outputs = {0};
    struct rab_text svg = {0}, dxf = {0}, old = {0}, json = {0};
    struct rab_error err = {0};
    bool good = false;

    for (size_t i = 0; i < shape->parameter_count; i++)
        values[i] = shape->parameters[i].usual;
    if (shape->motif) {
        const struct rab_strip_options options = {
            .length = 7 * values[0], .width = 2 * values[1] + 60, .sides = RAB_SIDES_BOTH};
        if (!rab_edge_strip(library, shape, values, &options, 0, &strip, &err))
            goto done;
    } else if (!rab_shape_draw(library, shape, values, 0, &figure, &err)) {
        goto done;
    }
    if (!sheet_of(shape->motif ? &strip.figure : &figure, &sheet, &err) ||
        !rab_write_svg(&sheet, NULL, &svg, &err) || !rab_write_dxf(&sheet, NULL, &dxf, &err) ||
        !rab_write_dxf(&sheet, &(struct rab_write_options){.dxf = RAB_DXF_R12}, &old, &err))
        goto done;
    put_sheet(&sheet, &json);
    good = save(&outputs, plan->files, shape, ".svg", &svg, &err) &&
           save(&outputs, plan->files, shape, ".r2000.dxf", &dxf, &err) &&
           save(&outputs, plan->files, shape, ".r12.dxf", &old, &err) &&
           save(&outputs, plan->files, shape, ".json", &json, &err) &&
           rab_outputs_commit(&outputs, &err);
done:
    if (!good)
        printf("FAULT %s: %s\n", shape->name, err.text);
    rab_outputs_clear(&outputs);
    rab_text_clear(&svg);
    rab_text_clear(&dxf);
    rab_text_clear(&old);
    rab_text_clear(&json);
    rab_sheet_clear(&sheet);
    rab_figure_clear(&figure);
    rab_edge_clear(&strip);
    return good;
}

/* ---- */

static bool plan_of(int count, char **arguments, struct plan *plan)
{
    *plan = (struct plan){.shapes = true, .motifs = true, .sets = 200, .seed = 1};
    for (int i = 1; i < count; i++) {
        const char *a = arguments[i], *next = i + 1 < count ? arguments[i + 1] : NULL;
        if (strcmp(a, "--shapes") == 0)
            plan->motifs = false;
        else if (strcmp(a, "--motifs") == 0)
            plan->shapes = false;
        else if (strcmp(a, "--all") == 0)
            plan->all = true;
        else if (next && strcmp(a, "--only") == 0)
            plan->only = arguments[++i];
        else if (next && strcmp(a, "--files") == 0)
            plan->files = arguments[++i];
        else if (next && strcmp(a, "--sets") == 0)
            plan->sets = strtoul(arguments[++i], NULL, 10);
        else if (next && strcmp(a, "--seed") == 0)
            plan->seed = strtoull(arguments[++i], NULL, 10);
        else if (!plan->folder && a[0] != '-')
            plan->folder = a;
        else
            return false;
    }
    return plan->folder;
}

int main(int count, char **arguments)
{
    struct plan plan;
    struct tally tally = {0};
    struct truth truth;
    struct rab_library *library = NULL;
    struct rab_error err = {0};

    if (!plan_of(count, arguments, &plan)) {
        fprintf(stderr, "usage: test-shape-every SHAPES_FOLDER [--shapes | --motifs] [--only NAME] "
                        "[--sets N] [--seed N] [--all] [--files FOLDER]\n");
        return 2;
    }
    if (!rab_library_open(NULL, 0, &library, NULL, &err) || !truth_open(&truth)) {
        printf("the library cannot be opened: %s\n", err.text);
        return 1;
    }
    for (size_t i = 0; i < rab_library_count(library); i++) {
        const struct rab_shape *shape = rab_library_at(library, i);
        if ((shape->motif ? !plan.motifs : !plan.shapes) ||
            (plan.only && strcmp(plan.only, shape->name) != 0))
            continue;
        tally.shapes += !shape->motif;
        tally.motifs += shape->motif;
        if (plan.files)
            tally.faults += !write_shape(&plan, library, shape);
        else
            run_shape(&plan, library, shape, &truth, &tally);
    }
    truth_close(&truth);
    rab_library_close(library);
    xmlCleanupParser();
    printf("%zu shapes, %zu motifs: %zu sets drawn, %zu refused, %zu faults in %zu of them\n",
           tally.shapes, tally.motifs, tally.accepted, tally.refused, tally.faults, tally.faulty);
    if (tally.shapes + tally.motifs == 0)
        printf("no shape was tried\n");
    return tally.faults > 0 || tally.shapes + tally.motifs == 0;
}
