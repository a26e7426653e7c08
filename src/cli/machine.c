/* Sheets made ready for the machine: their cuts planned, checked against its reach, and written in
 * the formats that -o asks for. */
#include "cli.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const struct option option_kerf = {
    "kerf", 0, "LEN", false,
    "The width of paper that the tool takes away, for a laser: outer outlines are followed half of "
    "it outside, openings half of it inside. 0mm unless given."};
const struct option option_overcut = {
    "overcut", 0, "LEN", false,
    "Closed cuts go on past their start by so much, so that no thread of paper is left."};
const struct option option_tabs = {
    "tabs", 0, "N", false,
    "Leave so many bridges in each outer outline, away from corners, that hold the piece in its "
    "sheet."};
const struct option option_tab_every = {"tab-every", 0, "LEN", false,
                                        "Leave a bridge in each such length instead."};
const struct option option_tab_width = {"tab-width", 0, "LEN", false,
                                        "How wide the bridges are. 0.5mm unless given."};
const struct option option_perforation = {
    "perforation", 0, "LENxLEN", false,
    "Write perforations as cuts so long, with gaps so long between them, for machines that have no "
    "tool of their own for it. Whole cuts are fitted to each line."};
const struct option option_crease_dashes = {
    "crease-dashes", 0, "LENxLEN", false,
    "Write creases as dashes so long, with gaps so long between them, fitted whole to each line."};
const struct option option_cool = {
    "cool", 0, "LEN", false,
    "For a laser: each line begins so far or farther from the one before, as long as one is left "
    "that does, so that the paper cools between."};
const struct option option_blade = {"blade-offset", 0, "LEN", false,
                                    "For .plt files: how far the blade's tip trails behind the "
                                    "middle of its holder. Its path is led "
                                    "ahead and swung round at corners."};
const struct option option_entities = {"entities", 0, "joined|single", false,
                                       "single: a DXF of lines, arcs and circles one by one, for "
                                       "readers that know no polylines. joined "
                                       "unless given."};
const struct option option_turn = {"creases-behind", 0, "sideways|over", false,
                                   "Write the creases as files of their own (NAME-turned), to be "
                                   "followed from the other side of the "
                                   "sheet: turned left for right, or head over heels."};

/* ---- options --------------------------------------------------------------------------- */

/* --dxf, --curves, --svg-unit, --entities and --tolerance. */
static bool read_write_options(const struct arguments *arguments, struct rab_write_options *options,
                               struct rab_error *err)
{
    int curves = RAB_CURVES_ARCS, unit = RAB_SVG_MM, dxf = 1, entities = 0;

    /* The words stand in the tables in the order of the library's. */
    if (!option_choice(arguments, "curves", &curves, err) ||
        !option_choice(arguments, "svg-unit", &unit, err) ||
        !option_choice(arguments, "dxf", &dxf, err) ||
        !option_choice(arguments, "entities", &entities, err) ||
        !option_length(arguments, "tolerance", false, &options->tolerance, err))
        return false;
    options->curves = (enum rab_curves)curves;
    options->svg_unit = (enum rab_svg_unit)unit;
    options->dxf = dxf == 0 ? RAB_DXF_R12 : RAB_DXF_R2000;
    options->single_entities = entities == 1;
    return true;
}

static bool read_tabs(const struct arguments *arguments, struct rab_plan_options *plan,
                      struct rab_error *err)
{
    double tabs = 0;
    const char *typed = option_text(arguments, "tabs");

    if (typed) {
        const size_t length = strlen(typed);
        if (rab_number_read(typed, length, &tabs) != length || tabs != floor(tabs) || tabs < 1 ||
            tabs > 1000)
            return rab_fail(
                err, RAB_FAULT_INPUT,
                "--tabs %.40s: give how many tabs a piece gets, a whole number from 1 to "
                "1000",
                typed);
        plan->tabs = (int)tabs;
    }
    if (!option_length(arguments, "tab-every", false, &plan->tab_every, err))
        return false;
    if (plan->tabs == 0 && plan->tab_every == 0)
        return !option_given(arguments, "tab-width") ||
               rab_fail(err, RAB_FAULT_INPUT,
                        "--tab-width says how wide the tabs are; give --tabs or --tab-every too");
    plan->tab_width = 0.5;
    return option_length(arguments, "tab-width", false, &plan->tab_width, err);
}

static bool read_plan_options(const struct arguments *arguments, struct rab_plan_options *plan,
                              struct rab_error *err)
{
    return option_length(arguments, "kerf", true, &plan->kerf, err) &&
           option_length(arguments, "overcut", true, &plan->overcut, err) &&
           option_size(arguments, "perforation", &plan->perforation_cut, &plan->perforation_gap,
                       err) &&
           option_size(arguments, "crease-dashes", &plan->crease_dash, &plan->crease_gap, err) &&
           option_length(arguments, "cool", true, &plan->cool, err) &&
           read_tabs(arguments, plan, err);
}

/* ---- one sheet ------------------------------------------------------------------------- */

/* The sheet's paths in the order in which they are followed. */
static bool plan_sheet(struct arguments *arguments, const struct rab_sheet *sheet,
                       const struct rab_plan_options *options, struct rab_sheet *planned,
                       struct planned *facts, struct rab_error *err)
{
    struct rab_plan plan = {0};
    bool ok = false;

    if (!rab_plan_make(sheet->paths, sheet->count, options, &plan, &arguments->warnings, err))
        return false;
    for (size_t i = 0; i < plan.count; i++)
        if (!rab_sheet_add(planned, plan.paths[i].operation, plan.paths[i].piece,
                           &plan.paths[i].outline, err))
            goto done;
    *facts = (struct planned){.length = plan.length,
                              .idle = plan.idle,
                              .shared_length = plan.shared_length,
                              .shared = plan.shared,
                              .paths = plan.count,
                              .tabs = plan.tabs};
    /* only the report tells of it */
    if (arguments->reports && !rab_plan_bound(&plan, options->home, &facts->idle_bound, err))
        goto done;
    ok = !option_given(arguments, "scale-check") || add_scale_check(arguments, planned, err);
done:
    rab_plan_clear(&plan);
    return ok;
}

/* As it is: pieces in their places, to be looked at. */
static bool copy_sheet(const struct rab_sheet *sheet, struct rab_sheet *copy, struct rab_error *err)
{
    for (size_t i = 0; i < sheet->count; i++)
        if (!rab_sheet_add(copy, sheet->paths[i].operation, sheet->paths[i].piece,
                           &sheet->paths[i].outline, err))
            return false;
    return true;
}

/* ---- kits: the same again --------------------------------------------------------------- */

static bool same_path(const struct rab_path *a, const struct rab_path *b, int further)
{
    const struct rab_outline *one = &a->outline, *other = &b->outline;
    bool same = a->operation == b->operation &&
                b->piece == (a->piece > 0 ? a->piece + further : 0) && one->open == other->open &&
                one->count == other->count;

    for (size_t i = 0; same && i < one->count; i++) {
        const struct rab_vertex p = one->vertices[i], q = other->vertices[i];
        same = p.x == q.x && p.y == q.y && p.bulge == q.bulge;
    }
    return same;
}

/* Does a sheet hold what another one holds, its pieces so many numbers further? */
static bool same_sheet(const struct rab_sheet *a, const struct rab_sheet *b, int *further)
{
    bool same =
        a->count == b->count && a->count > 0 && a->width == b->width && a->height == b->height;

    *further = same ? b->paths[0].piece - a->paths[0].piece : 0;
    for (size_t i = 0; i < a->count && same; i++)
        same = same_path(&a->paths[i], &b->paths[i], *further);
    return same;
}

static bool repeat_sheet(const struct rab_sheet *planned, int further, struct rab_sheet *again,
                         struct rab_error *err)
{
    for (size_t i = 0; i < planned->count; i++) {
        const struct rab_path *path = &planned->paths[i];
        if (!rab_sheet_add(again, path->operation, path->piece > 0 ? path->piece + further : 0,
                           &path->outline, err))
            return false;
    }
    return true;
}

/* The same for a blade that trails. */
static bool lead_blade(const struct rab_sheet *sheet, double offset, struct rab_sheet *led,
                       struct rab_error *err)
{
    *led = (struct rab_sheet){.width = sheet->width, .height = sheet->height};
    for (size_t i = 0; i < sheet->count; i++) {
        const struct rab_path *path = &sheet->paths[i];
        struct rab_outline blade = {0};
        const bool turns = path->operation == RAB_CUT || path->operation == RAB_PART_CUT ||
                           path->operation == RAB_PERFORATE;
        const bool ok = turns
                            ? rab_plan_blade(&path->outline, offset, &blade, err) &&
                                  rab_sheet_add(led, path->operation, path->piece, &blade, err)
                            : rab_sheet_add(led, path->operation, path->piece, &path->outline, err);
        rab_outline_clear(&blade);
        if (!ok)
            return false;
    }
    return true;
}

/* ---- files ----------------------------------------------------------------------------- */

static bool write_file(const struct arguments *arguments, const struct rab_sheet *sheet,
                       enum ending ending, const struct rab_write_options *options,
                       struct rab_text *bytes, struct rab_error *err)
{
    struct rab_sheet led = {0};
    double offset = 0;
    bool ok;

    switch (ending) {
    case ENDING_SVG:
        return rab_write_svg(sheet, options, bytes, err);
    case ENDING_DXF:
        return rab_write_dxf(sheet, options, bytes, err);
    case ENDING_PDF:
        return rab_write_pdf(sheet, options, bytes, err);
    default:
        break;
    }
    if (!option_length(arguments, "blade-offset", false, &offset, err))
        return false;
    ok = offset > 0
             ? lead_blade(sheet, offset, &led, err) && rab_write_hpgl(&led, options, bytes, err)
             : rab_write_hpgl(sheet, options, bytes, err);
    rab_sheet_clear(&led);
    return ok;
}

/* "backs.svg" for the first sheet, "backs-2.svg" for the second; "backs-2-turned.svg" for its
 * other side. */
static void add_sheet_path(struct rab_text *path, const char *given, size_t number, bool turned,
                           char between)
{
    const char *dot = strrchr(given, '.');

    rab_text_bytes(path, given, (size_t)(dot - given));
    if (number > 1)
        rab_text_format(path, "%c%zu", between, number);
    if (turned)
        rab_text_format(path, "%cturned", between);
    rab_text_add(path, dot);
}

static bool add_file(struct prepared *prepared, const char *path, struct rab_text *bytes,
                     const struct rab_sheet *sheet, const struct rab_written *written,
                     struct rab_error *err)
{
    void *items = prepared->files;

    if (!rab_reserve(&items, &prepared->file_capacity, prepared->file_count + 1,
                     sizeof *prepared->files, err))
        return false;
    prepared->files = items;
    if (!rab_outputs_add(&prepared->outputs, path, bytes, err))
        return false;
    prepared->files[prepared->file_count++] =
        (struct file_facts){sheet->width, sheet->height, *written};
    return true;
}

/* Of the other sides those that have something on them. */
static bool write_sheets(struct arguments *arguments, const char *given, char between,
                         const struct rab_sheet *sheets, size_t count, bool turned,
                         const struct rab_write_options *options, struct rab_error *err)
{
    struct rab_text path = {0}, bytes = {0};
    bool ok = true;

    for (size_t i = 0; i < count && ok; i++) {
        struct rab_written written = {0};
        struct rab_write_options counted = *options;
        if (turned && sheets[i].count == 0)
            continue;
        counted.written = &written;
        rab_text_clear(&path);
        add_sheet_path(&path, given, i + 1, turned, between);
        ok = rab_text_ok(&path, err) &&
             write_file(arguments, &sheets[i], path_ending(given), &counted, &bytes, err) &&
             add_file(&arguments->prepared, path.data, &bytes, &sheets[i], &written, err);
        rab_text_clear(&bytes);
    }
    rab_text_clear(&path);
    return ok;
}

/* The creases of a sheet on its other side; they are taken from the front. */
static bool turn_creases(struct rab_sheet *front, enum rab_turn how, struct rab_sheet *behind,
                         struct rab_error *err)
{
    size_t kept = 0;

    *behind =
        (struct rab_sheet){.width = front->width, .height = front->height, .title = front->title};
    for (size_t i = 0; i < front->count; i++)
        if (front->paths[i].operation == RAB_CREASE &&
            !rab_sheet_add(behind, RAB_CREASE, front->paths[i].piece, &front->paths[i].outline,
                           err))
            return false;
    for (size_t i = 0; i < behind->count; i++)
        rab_outline_turn_over(&behind->paths[i].outline, how, front->width, front->height);
    for (size_t i = 0; i < front->count; i++) {
        if (front->paths[i].operation == RAB_CREASE)
            rab_outline_clear(&front->paths[i].outline);
        else
            front->paths[kept++] = front->paths[i];
    }
    front->count = kept;
    return true;
}

bool prepare_files(struct arguments *arguments, const struct rab_sheet *sheets, size_t count,
                   bool plans, const struct naming *naming, struct rab_error *err)
{
    struct prepared *prepared = &arguments->prepared;
    const struct rab_bed *bed = &arguments->cutter.bed;
    struct rab_plan_options plan = {.kerf = arguments->cutter.kerf};
    struct rab_write_options options = {0};
    struct rab_sheet *planned = calloc(2 * count + 1, sizeof *planned);
    void *items = prepared->plans;
    int turn = -1;
    bool ok = false;

    if (!planned) {
        rab_fail_memory(err);
        goto done;
    }
    if (!rab_reserve(&items, &prepared->plan_capacity, prepared->plan_count + count + 1,
                     sizeof *prepared->plans, err))
        goto done;
    prepared->plans = items;
    if (!read_write_options(arguments, &options, err) ||
        !read_plan_options(arguments, &plan, err) ||
        !option_choice(arguments, "creases-behind", &turn, err))
        goto done;
    for (size_t i = 0; i < count; i++) {
        struct planned *facts = &prepared->plans[prepared->plan_count];
        int further = 0;
        bool made;
        planned[i] = (struct rab_sheet){
            .width = sheets[i].width, .height = sheets[i].height, .title = sheets[i].title};
        plan.home = rab_bed_home(bed, sheets[i].width, sheets[i].height);
        if (plans && i > 0 && same_sheet(&sheets[i - 1], &sheets[i], &further)) {
            *facts = facts[-1];
            made = repeat_sheet(&planned[i - 1], further, &planned[i], err);
        } else {
            made = plans ? plan_sheet(arguments, &sheets[i], &plan, &planned[i], facts, err)
                         : copy_sheet(&sheets[i], &planned[i], err);
        }
        made = made && check_reach(bed, &planned[i], i + 1, err);
        if (!made)
            goto done;
        prepared->plan_count += plans;
    }
    for (size_t i = 0; i < count; i++) {
        struct rab_sheet *behind = &planned[count + i];
        if (turn >= 0 && (!turn_creases(&planned[i], (enum rab_turn)turn, behind, err) ||
                          !check_reach(bed, behind, i + 1, err)))
            goto done;
        move_to_bed(bed, &planned[i]);
        move_to_bed(bed, behind);
    }
    for (size_t i = 0; i < naming->count; i++)
        if (!write_sheets(arguments, naming->paths[i], naming->between, planned, count, false,
                          &options, err) ||
            !write_sheets(arguments, naming->paths[i], naming->between, planned + count, count,
                          true, &options, err))
            goto done;
    ok = true;
done:
    for (size_t i = 0; planned && i < 2 * count; i++)
        rab_sheet_clear(&planned[i]);
    free(planned);
    return ok;
}

bool prepare_sheets(struct arguments *arguments, const struct rab_sheet *sheets, size_t count,
                    bool plans, struct rab_error *err)
{
    const char **paths = calloc(arguments->count + 1, sizeof *paths);
    size_t path_count = 0;
    bool ok;

    if (!paths)
        return rab_fail_memory(err);
    arguments->reports = option_given(arguments, "report");
    for (size_t i = 0; i < arguments->count; i++) {
        const struct given *given = &arguments->given[i];
        if (given->option == &option_output && path_ending(given->value) != ENDING_PNG)
            paths[path_count++] = given->value;
    }
    ok = read_bed(arguments, &arguments->cutter.bed, err) &&
         prepare_files(arguments, sheets, count, plans, &(struct naming){paths, path_count, '-'},
                       err);
    free(paths);
    return ok;
}

void prepared_clear(struct prepared *prepared)
{
    rab_outputs_clear(&prepared->outputs);
    free(prepared->files);
    free(prepared->plans);
    *prepared = (struct prepared){0};
}

/* ---- telling --------------------------------------------------------------------------- */

static void add_metres(struct rab_text *text, double mm)
{
    rab_text_fixed(text, mm / 1000, 2);
    rab_text_add(text, " m");
}

static void say_plans(const struct planned *all, struct rab_text *said)
{
    rab_text_add(said, "Tool path ");
    add_metres(said, all->length);
    rab_text_add(said, ", between lines ");
    add_metres(said, all->idle);
    if (all->shared > 0) {
        rab_text_add(said, "; ");
        rab_text_fixed(said, all->shared_length, 1);
        rab_text_add(said, " mm of shared lines cut once");
    }
    if (all->tabs > 0)
        rab_text_format(said, "; %zu tab%s", all->tabs, all->tabs == 1 ? "" : "s");
    rab_text_add(said, ".\n");
}

void say_prepared(const struct prepared *prepared, bool in_first, struct rab_text *said)
{
    struct planned all = {0};
    struct rab_text cells = {0};

    for (size_t i = 0; i < prepared->plan_count; i++) {
        all.length += prepared->plans[i].length;
        all.idle += prepared->plans[i].idle;
        all.shared += prepared->plans[i].shared;
        all.shared_length += prepared->plans[i].shared_length;
        all.tabs += prepared->plans[i].tabs;
    }
    if (prepared->file_count == 0)
        return;
    if (prepared->plan_count > 0)
        say_plans(&all, said);
    for (size_t i = 0; i < prepared->file_count; i++) {
        const struct file_facts *f = &prepared->files[i];
        rab_text_format(&cells, "%s\t", prepared->outputs.items[i].path);
        rab_text_size(&cells, f->width, f->height, in_first, 16);
        rab_text_format(&cells, "\t%zu\t%s,\t%zu\t%s,\t%zu\t%s\n", f->written.entities,
                        f->written.entities == 1 ? "entity" : "entities", f->written.vertices,
                        f->written.vertices == 1 ? "vertex" : "vertices", f->written.layers,
                        f->written.layers == 1 ? "layer" : "layers");
    }
    if (cells.failed)
        said->failed = true;
    else
        add_table(said, cells.data, "llrlrlrl");
    rab_text_clear(&cells);
}

void report_prepared(struct rab_json *json, const struct prepared *prepared)
{
    rab_json_array(json, "tool_paths");
    for (size_t i = 0; i < prepared->plan_count; i++) {
        const struct planned *p = &prepared->plans[i];
        rab_json_object(json, NULL);
        rab_json_whole(json, "paths", (long long)p->paths);
        rab_json_number(json, "length_mm", p->length, 4);
        rab_json_number(json, "idle_mm", p->idle, 4);
        rab_json_number(json, "idle_bound_mm", p->idle_bound, 4);
        rab_json_number(json, "shared_mm", p->shared_length, 4);
        rab_json_whole(json, "tabs", (long long)p->tabs);
        rab_json_end(json);
    }
    rab_json_end(json);
    rab_json_array(json, "files");
    for (size_t i = 0; i < prepared->file_count; i++) {
        const struct file_facts *f = &prepared->files[i];
        rab_json_object(json, NULL);
        rab_json_text(json, "file", prepared->outputs.items[i].path);
        rab_json_numbers(json, "size_mm", (const double[]){f->width, f->height}, 2, 4);
        rab_json_whole(json, "entities", (long long)f->written.entities);
        rab_json_whole(json, "vertices", (long long)f->written.vertices);
        rab_json_whole(json, "layers", (long long)f->written.layers);
        rab_json_end(json);
    }
    rab_json_end(json);
}
