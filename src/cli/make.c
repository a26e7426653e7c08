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

static const struct option option_labels = {
    "labels", 0, NULL, false,
    "Draw each piece's letter on it with a pen: where it is hidden, in seams and behind photos, or "
    "with --face down anywhere, on its back."};

static const struct option *const options[] = {
    &option_folder, &option_labels, &option_gap, &option_outside, &option_library,
    &option_units,  &option_face,   &option_web, MACHINE_OPTIONS, NULL};

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

bool is_wished(enum rab_wish wish, bool usual)
{
    return wish == RAB_WISH_USUAL ? usual : wish == RAB_WISH_YES;
}

/* ---- cut files ------------------------------------------------------------------------- */

static bool add_outline(struct rab_sheet *sheet, enum rab_operation operation, int number,
                        const struct rab_outline *outline, const struct rab_laid *laid,
                        bool face_down, struct rab_error *err)
{
    struct rab_outline copy = {0};
    const bool ok = rab_laid_outline(laid, outline, face_down, sheet->width, &copy, err) &&
                    rab_sheet_add(sheet, operation, number, &copy, err);

    rab_outline_clear(&copy);
    return ok;
}

static bool draw_piece(struct rab_sheet *sheet, const struct rab_laid *laid, int number,
                       bool face_down, struct rab_error *err)
{
    const struct rab_piece *piece = laid->piece;

    for (size_t i = 0; i < piece->path_count; i++)
        if (!add_outline(sheet, piece->paths[i].operation, number, &piece->paths[i].outline, laid,
                         face_down, err))
            return false;
    for (size_t i = 0; i < piece->region.count; i++)
        if (!add_outline(sheet, RAB_CUT, number, &piece->region.outlines[i], laid, face_down, err))
            return false;
    return true;
}

/* Where nobody sees a letter on a piece: on its back, or where others cover it. */
static bool find_unseen(const struct rab_spread *made, const struct rab_piece *piece,
                        bool face_down, struct rab_region *out, struct rab_error *err)
{
    return face_down ? rab_region_copy(&piece->region, out, err)
                     : rab_spread_hidden(made, (size_t)(piece - made->pieces), out, err);
}

static bool label_piece(struct rab_sheet *sheet, const struct rab_region *unseen,
                        const struct rab_laid *laid, int number, bool face_down, bool *placed,
                        struct rab_error *err)
{
    struct rab_outline *moved = calloc(unseen->count + 1, sizeof *moved);
    struct rab_region within = {0};
    bool ok = moved != NULL || rab_fail_memory(err);

    for (size_t i = 0; i < unseen->count && ok; i++)
        ok = rab_laid_outline(laid, &unseen->outlines[i], face_down, sheet->width, &moved[i], err);
    ok = ok && rab_region_fill(moved, unseen->count, RAB_FILL_NONZERO, &within, err) &&
         add_label(sheet, number, laid->piece->letter, &within, placed, err);
    for (size_t i = 0; moved && i < unseen->count; i++)
        rab_outline_clear(&moved[i]);
    free(moved);
    rab_region_clear(&within);
    return ok;
}

/* The letters of all pieces; *missing: how many have no room for theirs. */
static bool label_pieces(struct rab_sheet *sheets, const struct rab_spread *made,
                         const struct rab_laying *laying, bool face_down, size_t *missing,
                         struct rab_error *err)
{
    const struct rab_piece *last = NULL;
    struct rab_region unseen = {0};
    bool ok = true;

    for (size_t i = 0; i < laying->count && ok; i++) {
        const struct rab_laid *laid = &laying->items[i];
        bool placed = false;
        if (laid->piece != last) { /* copies follow each other */
            rab_region_clear(&unseen);
            ok = find_unseen(made, laid->piece, face_down, &unseen, err);
            last = laid->piece;
        }
        ok = ok &&
             label_piece(&sheets[laid->sheet], &unseen, laid, (int)i + 1, face_down, &placed, err);
        *missing += !placed;
    }
    rab_region_clear(&unseen);
    return ok;
}

/* What is cut by hand is drawn as it lies: no machine follows it. */
static bool draw_sheets(struct arguments *arguments, const struct spread *spread,
                        const struct drawn *drawn, const char *folder, bool face_down,
                        struct rab_error *err)
{
    const struct rab_wishes *wishes = &spread->job.files;
    const struct {
        const char *ending;
        bool wanted;
    } kinds[] = {{"svg", is_wished(wishes->svg, true)},
                 {"dxf", is_wished(wishes->dxf, true)},
                 {"pdf", is_wished(wishes->pdf, false)},
                 {"plt", is_wished(wishes->plt, false)}};
    enum { KINDS = sizeof kinds / sizeof *kinds };
    const struct rab_paper *of = &spread->job.papers[drawn->paper];
    struct rab_sheet *sheets = calloc(drawn->laying.sheets + 1, sizeof *sheets);
    struct rab_text paths[KINDS] = {0}, title = {0};
    const char *names[KINDS];
    size_t unlabelled = 0, wanted = 0;
    bool ok = true;

    if (!sheets)
        return rab_fail_memory(err);
    rab_text_format(&title, "%s%s%s", spread->job.title ? spread->job.title : "",
                    spread->job.title ? ": " : "", of->name);
    for (size_t i = 0; i < KINDS && ok; i++) {
        if (!kinds[i].wanted)
            continue;
        rab_text_format(&paths[i], "%s/", folder);
        sheet_name(spread, drawn, 0, &paths[i]);
        rab_text_format(&paths[i], ".%s", kinds[i].ending);
        ok = rab_text_ok(&paths[i], err);
        names[wanted++] = paths[i].data;
    }
    ok = ok && rab_text_ok(&title, err);
    for (size_t i = 0; i < drawn->laying.sheets && ok; i++)
        sheets[i] =
            (struct rab_sheet){.width = of->width, .height = of->height, .title = title.data};
    for (size_t i = 0; i < drawn->laying.count && ok; i++) {
        const struct rab_laid *laid = &drawn->laying.items[i];
        ok = draw_piece(&sheets[laid->sheet], laid, (int)i + 1, face_down, err);
    }
    if (ok && option_given(arguments, "labels"))
        ok = label_pieces(sheets, &spread->made, &drawn->laying, face_down, &unlabelled, err);
    if (ok && unlabelled > 0)
        ok = rab_warn(&arguments->warnings, err, "no-label", 0,
                      "%s: %zu piece%s no room for a letter where it is hidden; cut face down to "
                      "have it on the back",
                      of->name, unlabelled, unlabelled == 1 ? " has" : "s have");
    ok = ok && prepare_files(arguments, sheets, drawn->laying.sheets, !drawn->by_hand,
                             &(struct naming){names, wanted, '.'}, err);
    for (size_t i = 0; i < drawn->laying.sheets; i++)
        rab_sheet_clear(&sheets[i]);
    free(sheets);
    rab_text_clear(&title);
    for (size_t i = 0; i < KINDS; i++)
        rab_text_clear(&paths[i]);
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
        struct rab_words words = words_of(piece->item, &spread->job);
        words.ink = rab_paper_ink(0xFFFFFF); /* printers have none that is light */
        rab_text_format(&name, "%s%s.pdf", piece->item->name ? "" : "text.",
                        piece->item->name ? piece->item->name : piece->letter);
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
                        const char *folder, bool in_first, bool face_down, struct rab_error *err)
{
    struct rab_text list = {0}, report = {0};
    struct rab_json json = {.text = &report};
    bool ok;

    if (spread->job.title)
        rab_text_format(&list, "%s\n\n", spread->job.title);
    say_spread(spread, in_first, &list);
    rab_json_object(&json, NULL);
    report_spread(&json, spread, face_down);
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

static bool write_all(struct arguments *arguments, const struct spread *spread, const char *folder,
                      bool in_first, bool face_down, struct rab_error *err)
{
    const struct rab_job *job = &spread->job;
    const struct rab_bed unlimited = {0};

    for (size_t i = 0; i < spread->drawn_count; i++) {
        const bool by_hand = spread->drawn[i].by_hand;
        arguments->cutter.bed = by_hand ? unlimited : job->bed;
        if (!draw_sheets(arguments, spread, &spread->drawn[i], folder, face_down, err))
            return false;
    }
    return draw_pages(arguments, spread, folder, in_first, err) &&
           (!is_wished(job->files.texts, true) || print_words(arguments, spread, folder, err)) &&
           write_lists(arguments, spread, folder, in_first, face_down, err);
}

static bool make(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    const char *folder = option_text(arguments, "d");
    struct spread spread = {0};
    double gap = USUAL_GAP, kerf = -1;
    int units = 0, face = 0;
    bool made_folder = false, ok = false;

    if (!folder)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the folder to write into is missing; give -d DIR, as in -d walk");
    if (!option_length(arguments, "gap", true, &gap, err) ||
        !option_choice(arguments, "units", &units, err) ||
        !option_choice(arguments, "face", &face, err) ||
        !option_length(arguments, "kerf", true, &kerf, err) ||
        !read_spread(arguments, &spread, err) || !read_bed(arguments, &spread.job.bed, err))
        goto done;
    /* the options know the machine better than the job */
    if (kerf >= 0)
        spread.job.kerf = kerf;
    arguments->cutter.kerf = spread.job.kerf;
    const struct rab_bed bed = spread.job.bed;
    /* pieces are laid as seen from the front, and mirrored when they are drawn */
    spread.job.bed = face == 1 ? mirrored_bed(&bed) : bed;
    if (!work_out_spread(arguments, gap, &spread, err))
        goto done;
    spread.job.bed = bed;
    const bool in_first = option_given(arguments, "units") ? units == 1 : spread.job.inches;
    arguments->reports = true;
    if (!write_all(arguments, &spread, folder, in_first, face == 1, err))
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
