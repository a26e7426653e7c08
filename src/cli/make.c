/* rabbet make: everything that a job file asks for. */
#include "cli.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const struct option option_folder = {
    NULL, 'd', "DIR", false, "The folder to write into; it is made when it is not there."};
static const struct option option_gap = {
    "gap", 0, "LEN", false, "Between the pieces on a sheet, and at its edge. 3mm unless given."};

static const struct option *const options[] = {&option_folder,  &option_gap,   &option_outside,
                                               &option_library, &option_units, &option_face,
                                               MACHINE_OPTIONS, NULL};

static const struct example examples[] = {
    {"All files of a job, in a folder:", "make walk.xml -d walk"},
    {"For a laser with a kerf of 0.15 mm:", "make walk.xml -d walk --kerf 0.15mm"},
    {"DXF for an old program:", "make walk.xml -d walk --dxf r12"},
    {NULL, NULL}};

static bool make(struct arguments *arguments, struct rab_text *said, struct rab_error *err);

const struct command make_command = {
    .name = "make",
    .operand = "JOB",
    .summary = "Everything that a job file asks for.",
    .about =
        "Reads and checks the job file of a spread as 'rabbet check' does, and writes into a "
        "folder "
        "the cut files of each paper (SVG and DXF, pieces side by side), the pictures of the pages "
        "and the list of pieces (pieces.txt, pieces.json). Either all of them are written or none.",
    .options = options,
    .examples = examples,
    .run = make,
};

/* ---- cut files ------------------------------------------------------------------------- */

/* The pieces of one paper that a file is made for, each as often as it is needed. */
struct batch {
    const struct spread *spread;
    const struct rab_piece **pieces; /* borrowed */
    struct rab_box *boxes;
    size_t count;
};

/* A trimmer follows no file, and photos are no paper of ours. */
static bool wants_file(const struct rab_job *job, const struct rab_piece *piece, size_t paper)
{
    return piece->paper == paper && !(job->trimmer && piece->tool == RAB_TOOL_TRIMMER);
}

static bool fill_batch(const struct spread *spread, size_t paper, struct batch *batch,
                       struct rab_error *err)
{
    const struct rab_spread *made = &spread->made;
    const size_t copies = (size_t)copies_of(&spread->job);
    size_t wanted = 0;

    for (size_t i = 0; i < made->count; i++)
        wanted += wants_file(&spread->job, &made->pieces[i], paper);
    *batch = (struct batch){.spread = spread};
    batch->pieces = calloc(wanted * copies + 1, sizeof(const struct rab_piece *));
    batch->boxes = calloc(wanted * copies + 1, sizeof *batch->boxes);
    if (!batch->pieces || !batch->boxes)
        return rab_fail_memory(err);
    for (size_t i = 0; i < made->count; i++) {
        const struct rab_piece *piece = &made->pieces[i];
        for (size_t n = 0; n < copies && wants_file(&spread->job, piece, paper); n++) {
            struct rab_box box = rab_region_box(&piece->region);
            for (size_t k = 0; k < piece->path_count; k++)
                box = rab_box_join(box, rab_outline_box(&piece->paths[k].outline));
            batch->pieces[batch->count] = piece;
            batch->boxes[batch->count++] = box;
        }
    }
    return true;
}

static void clear_batch(struct batch *batch)
{
    free(batch->pieces);
    free(batch->boxes);
}

static const char *piece_name(void *context, size_t index)
{
    const struct batch *batch = context;

    return batch->pieces[index]->what;
}

static bool add_outline(struct rab_sheet *sheet, enum rab_operation operation, int number,
                        const struct rab_outline *outline, const struct rab_placed *placed,
                        bool mirror, struct rab_error *err)
{
    struct rab_outline copy = {0};
    bool ok = rab_outline_copy(outline, &copy, err);

    if (ok) {
        rab_outline_move(&copy, placed->dx, placed->dy);
        if (mirror)
            rab_outline_mirror(&copy, sheet->width / 2);
        ok = rab_sheet_add(sheet, operation, number, &copy, err);
    }
    rab_outline_clear(&copy);
    return ok;
}

static bool lay_piece(struct rab_sheet *sheet, const struct rab_piece *piece, int number,
                      const struct rab_placed *placed, bool mirror, struct rab_error *err)
{
    for (size_t i = 0; i < piece->path_count; i++)
        if (!add_outline(sheet, piece->paths[i].operation, number, &piece->paths[i].outline, placed,
                         mirror, err))
            return false;
    for (size_t i = 0; i < piece->region.count; i++)
        if (!add_outline(sheet, RAB_CUT, number, &piece->region.outlines[i], placed, mirror, err))
            return false;
    return true;
}

static bool cut_paper(struct arguments *arguments, const struct spread *spread, size_t paper,
                      const char *folder, double gap, bool mirror, struct rab_error *err)
{
    const struct rab_paper *of = &spread->job.papers[paper];
    struct batch batch;
    struct rab_placing placing = {0};
    struct rab_sheet *sheets = NULL;
    struct rab_text paths[2] = {0}, title = {0};
    bool ok = false;

    if (!fill_batch(spread, paper, &batch, err) ||
        !rab_boxes_arrange(batch.boxes, batch.count, piece_name, &batch, of->width, of->height, gap,
                           &placing, err))
        goto done;
    if (batch.count == 0) {
        ok = true;
        goto done;
    }
    sheets = calloc(placing.sheets, sizeof *sheets);
    if (!sheets) {
        rab_fail_memory(err);
        goto done;
    }
    rab_text_format(&title, "%s%s%s", spread->job.title ? spread->job.title : "",
                    spread->job.title ? ": " : "", of->name);
    rab_text_format(&paths[0], "%s/%s.svg", folder, of->name);
    rab_text_format(&paths[1], "%s/%s.dxf", folder, of->name);
    if (!rab_text_ok(&title, err) || !rab_text_ok(&paths[0], err) || !rab_text_ok(&paths[1], err))
        goto done;
    for (size_t i = 0; i < placing.sheets; i++)
        sheets[i] =
            (struct rab_sheet){.width = of->width, .height = of->height, .title = title.data};
    for (size_t i = 0; i < placing.count; i++) {
        const struct rab_placed *placed = &placing.items[i];
        if (!lay_piece(&sheets[placed->sheet], batch.pieces[placed->piece], (int)placed->piece + 1,
                       placed, mirror, err))
            goto done;
    }
    if (of->sheets > 0 && placing.sheets > (size_t)of->sheets &&
        !rab_warn(&arguments->warnings, err, "stock", of->line,
                  "the pieces of %s take %zu sheets side by side, and %d are in stock", of->name,
                  placing.sheets, of->sheets))
        goto done;
    ok = prepare_files(arguments, sheets, placing.sheets, true,
                       (const char *const[]){paths[0].data, paths[1].data}, 2, err);
done:
    for (size_t i = 0; sheets && i < placing.sheets; i++)
        rab_sheet_clear(&sheets[i]);
    free(sheets);
    rab_text_clear(&title);
    rab_text_clear(&paths[0]);
    rab_text_clear(&paths[1]);
    rab_placing_clear(&placing);
    clear_batch(&batch);
    return ok;
}

/* ---- the folder ------------------------------------------------------------------------ */

static bool make_folder(const char *path, bool *made, struct rab_error *err)
{
    struct stat there;

    *made = false;
    if (stat(path, &there) == 0)
        return S_ISDIR(there.st_mode) ||
               rab_fail(err, RAB_FAULT_FILE, "%.120s: it is no folder; give -d another name", path);
    *made = mkdir(path, 0777) == 0;
    return *made ||
           rab_fail(err, RAB_FAULT_FILE,
                    "%.120s: the folder cannot be made; give one whose parent is there and "
                    "may be written to",
                    path);
}

bool add_output(struct arguments *arguments, const char *folder, const char *name,
                struct rab_text *bytes, struct rab_error *err)
{
    struct rab_text path = {0};
    bool ok;

    rab_text_format(&path, "%s/%s", folder, name);
    ok = rab_text_ok(&path, err) &&
         rab_outputs_add(&arguments->prepared.outputs, path.data, bytes, err);
    rab_text_clear(&path);
    return ok;
}

/* ---- the command ----------------------------------------------------------------------- */

/* Each block of words, for a printer. */
static bool print_words(struct arguments *arguments, const struct spread *spread,
                        const char *folder, struct rab_error *err)
{
    const struct rab_spread *made = &spread->made;

    for (size_t i = 0; i < made->count; i++) {
        const struct rab_piece *piece = &made->pieces[i];
        struct rab_text name = {0}, bytes = {0};
        if (piece->kind != RAB_PIECE_TEXT || (i > 0 && made->pieces[i - 1].item == piece->item))
            continue;
        const struct rab_words words = words_of(piece->item, &spread->job);
        rab_text_format(&name, "%s.pdf", piece->item->name ? piece->item->name : piece->letter);
        const bool ok = rab_text_ok(&name, err) &&
                        rab_words_pdf(&words, spread->job.title, &bytes, err) &&
                        add_output(arguments, folder, name.data, &bytes, err);
        rab_text_clear(&bytes);
        rab_text_clear(&name);
        if (!ok)
            return false;
    }
    return true;
}

static bool write_lists(struct arguments *arguments, const struct spread *spread,
                        const char *folder, bool in_first, struct rab_error *err)
{
    struct rab_text list = {0}, report = {0};
    struct rab_json json = {.text = &report};
    bool ok;

    if (spread->job.title)
        rab_text_format(&list, "%s\n\n", spread->job.title);
    say_spread(spread, in_first, &list);
    rab_json_object(&json, NULL);
    report_spread(&json, spread);
    report_prepared(&json, &arguments->prepared);
    report_warnings(&json, &arguments->warnings);
    rab_json_end(&json);
    ok = rab_text_ok(&list, err) && rab_text_ok(&report, err) &&
         add_output(arguments, folder, "pieces.txt", &list, err) &&
         add_output(arguments, folder, "pieces.json", &report, err);
    rab_text_clear(&list);
    rab_text_clear(&report);
    return ok;
}

static bool make(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    const char *folder = option_text(arguments, "d");
    struct spread spread = {0};
    double gap = 3;
    int units = 0, face = 0;
    bool made_folder = false, ok = false;

    if (!folder)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the folder to write into is missing; give -d DIR, as in -d walk");
    if (!option_length(arguments, "gap", true, &gap, err) ||
        !option_choice(arguments, "units", &units, err) ||
        !option_choice(arguments, "face", &face, err) || !open_spread(arguments, &spread, err))
        goto done;
    const struct rab_job *job = &spread.job;
    const bool in_first = option_given(arguments, "units") ? units == 1 : job->inches;
    arguments->reports = true;
    arguments->cutter.kerf = job->kerf;
    arguments->cutter.reach_width = job->reach_width;
    arguments->cutter.reach_height = job->reach_height;
    for (size_t i = 0; i < job->paper_count; i++)
        if (!cut_paper(arguments, &spread, i, folder, gap, face == 1, err))
            goto done;
    if (!draw_pages(arguments, &spread, folder, in_first, err) ||
        !print_words(arguments, &spread, folder, err) ||
        !write_lists(arguments, &spread, folder, in_first, err))
        goto done;
    say_spread(&spread, in_first, said);
    say_prepared(&arguments->prepared, in_first, said);
    rab_text_format(said, "%zu files are in %s\n", arguments->prepared.outputs.count, folder);
    ok = rab_text_ok(said, err) && make_folder(folder, &made_folder, err) &&
         rab_outputs_commit(&arguments->prepared.outputs, err);
    if (!ok && made_folder)
        rmdir(folder);
done:
    spread_clear(&spread);
    return ok;
}
