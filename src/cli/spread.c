/* What check and make have in common: a job file read and worked out. */
#include "cli.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

const struct option option_outside = {
    "outside", 0, NULL, false,
    "Let the job name files outside of its own folder, which is refused otherwise."};

/* The folder of a path, with the slash; empty for the folder that one is in. */
static size_t folder_length(const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash ? (size_t)(slash - path) + 1 : 0;
}

/* Does a path stay below the folder that it begins in? Neither its words nor links may lead out. */
static bool stays_inside(const char *folder, const char *whole, const char *path)
{
    char real_folder[PATH_MAX], real[PATH_MAX];

    if (path[0] == '/')
        return false;
    for (const char *at = path; at; at = strchr(at, '/')) {
        at += *at == '/';
        if (strncmp(at, "..", 2) == 0 && (at[2] == '/' || at[2] == '\0'))
            return false;
    }
    if (!realpath(*folder ? folder : ".", real_folder) || !realpath(whole, real))
        return true; /* what is not there leads nowhere */
    const size_t length = strlen(real_folder);
    return strncmp(real, real_folder, length) == 0 &&
           (real[length] == '/' || (length == 1 && real_folder[0] == '/'));
}

bool spread_path(const struct arguments *arguments, const char *path, struct rab_text *whole,
                 struct rab_error *err)
{
    struct rab_text folder = {0};
    bool ok;

    rab_text_bytes(&folder, arguments->operand, folder_length(arguments->operand));
    if (path[0] != '/')
        rab_text_bytes(whole, arguments->operand, folder_length(arguments->operand));
    rab_text_add(whole, path);
    ok = rab_text_ok(whole, err) && rab_text_ok(&folder, err);
    if (ok && !option_given(arguments, "outside") &&
        !stays_inside(folder.data ? folder.data : "", whole->data, path))
        ok = rab_fail(err, RAB_FAULT_INPUT,
                      "%.120s is outside of the job's folder; put it beside the job, or give "
                      "--outside",
                      path);
    rab_text_clear(&folder);
    return ok;
}

/* The drawing of a frame. */
static bool read_frame(void *context, const char *path, struct rab_region *out,
                       struct rab_error *err)
{
    struct arguments *arguments = context;
    struct rab_read_options options = {0};
    struct rab_text whole = {0}, bytes = {0};
    struct rab_drawing drawing = {0};
    struct rab_error fault = {0};
    bool ok = false;

    if (!spread_path(arguments, path, &whole, err))
        goto done;
    if (!rab_file_read(whole.data, RAB_READ_LIMIT, &bytes, err) ||
        !rab_drawing_read(bytes.data ? bytes.data : "", bytes.length, &options, &drawing, NULL,
                          &fault) ||
        !rab_drawing_region(&drawing, RAB_READ_AUTO, -1, out, NULL, NULL, &fault)) {
        if (fault.line > 0)
            rab_fail(err, fault.fault, "%.80s:%d: %.140s", path, fault.line, fault.text);
        else if (fault.fault != RAB_FAULT_NONE)
            rab_fail(err, fault.fault, "%.80s: %.140s", path, fault.text);
        goto done;
    }
    ok = true;
done:
    rab_drawing_clear(&drawing);
    rab_text_clear(&bytes);
    rab_text_clear(&whole);
    return ok;
}

/* How many dots a photo's picture has, by which its resolution is judged. */
static bool measure_image(const struct arguments *arguments, struct rab_item *item,
                          struct rab_error *err)
{
    struct rab_text path = {0}, bytes = {0};
    struct rab_error fault = {0};
    bool ok;

    ok = spread_path(arguments, item->image, &path, &fault) &&
         rab_file_read(path.data, RAB_READ_LIMIT, &bytes, &fault);
    if (!ok)
        rab_fail_line(err, fault.fault, item->line, "%s", fault.text);
    else if (!rab_image_size(bytes.data, bytes.length, &item->pixel_width, &item->pixel_height,
                             &fault))
        ok = rab_fail_line(err, fault.fault, item->line, "%.100s: %.130s", item->image, fault.text);
    rab_text_clear(&path);
    rab_text_clear(&bytes);
    return ok;
}

/* NOLINTBEGIN(misc-no-recursion): as deep as the language nests, a grid's rows, a frame's photos */
static bool measure_images(const struct arguments *arguments, struct rab_item *items, size_t count,
                           struct rab_error *err)
{
    for (size_t i = 0; i < count; i++) {
        struct rab_item *item = &items[i];
        if ((item->image && !measure_image(arguments, item, err)) ||
            !measure_images(arguments, item->items, item->item_count, err))
            return false;
        for (size_t k = 0; k < item->use_count; k++)
            if (item->uses[k].shown && !measure_images(arguments, item->uses[k].shown, 1, err))
                return false;
    }
    return true;
}
/* NOLINTEND(misc-no-recursion) */

bool read_spread(struct arguments *arguments, struct spread *spread, struct rab_error *err)
{
    struct rab_text bytes = {0};
    bool ok;

    if (!open_library(arguments, &spread->library, err))
        return false;
    arguments->place = arguments->source = arguments->operand;
    ok = rab_file_read(arguments->operand, (size_t)1 << 20, &bytes, err) &&
         rab_job_read(bytes.data ? bytes.data : "", bytes.length, &spread->job,
                      &arguments->warnings, err);
    rab_text_clear(&bytes);
    return ok;
}

/* Does a piece keep its outlines when the kerf is led round them? */
static bool check_kerf(const struct rab_job *job, const struct rab_piece *piece,
                       struct rab_error *err)
{
    const struct rab_plan_options options = {.kerf = job->kerf};
    struct rab_sheet sheet = {.width = 1, .height = 1};
    struct rab_plan plan = {0};
    struct rab_error fault = {0};
    bool ok;

    ok = rab_sheet_add_region(&sheet, RAB_CUT, 1, &piece->region, &fault) &&
         rab_plan_make(sheet.paths, sheet.count, &options, &plan, NULL, &fault);
    if (!ok)
        rab_fail_line(err, fault.fault, piece->line, "%.60s: %.170s", piece->what, fault.text);
    rab_plan_clear(&plan);
    rab_sheet_clear(&sheet);
    return ok;
}

static bool check_kerfs(const struct spread *spread, struct rab_error *err)
{
    const struct rab_piece *last = NULL;

    for (size_t i = 0; i < spread->drawn_count && spread->job.kerf > 0; i++) {
        const struct drawn *drawn = &spread->drawn[i];
        for (size_t k = 0; k < drawn->laying.count && !drawn->by_hand; k++) {
            const struct rab_piece *piece = drawn->laying.items[k].piece;
            if (piece != last && !check_kerf(&spread->job, piece, err))
                return false;
            last = piece;
        }
    }
    return true;
}

/* Scissors in the hand pull more than a machine: common practice, no source. */
static const double web_by_hand = 3;

static bool look_at_pieces(struct arguments *arguments, struct spread *spread,
                           struct rab_error *err)
{
    const struct rab_job *job = &spread->job;
    const struct rab_piece *last = NULL;
    double web;
    bool ok = read_web(arguments, job->kerf, &web, err);

    for (size_t i = 0; i < spread->drawn_count; i++) {
        const struct rab_laying *laying = &spread->drawn[i].laying;
        for (size_t k = 0; k < laying->count && ok; k++) {
            const struct rab_piece *piece = laying->items[k].piece;
            const bool by_hand = piece->tool == RAB_TOOL_HAND && !option_given(arguments, "web");
            if (piece == last)
                continue;
            last = piece;
            ok = look_at_piece(&spread->looks[piece->page], &piece->region, piece->paths,
                               piece->path_count, by_hand ? web_by_hand : web, piece->what,
                               piece->line, err);
        }
    }
    for (int side = 0; side < RAB_PAGES && ok; side++)
        ok = tell_looks(arguments, &spread->looks[side], job->inches, err);
    return ok;
}

/* Is a text's file also the plan of a page, or the cut file of a paper? */
static bool is_taken(const struct rab_job *job, const char *name)
{
    if (strcmp(name, "left-plan") == 0 || strcmp(name, "right-plan") == 0)
        return true;
    for (size_t i = 0; i < job->paper_count && is_wished(job->files.pdf, false); i++)
        if (strcmp(name, job->papers[i].name) == 0)
            return true;
    return false;
}

/* A text gives its name to a file. */
static bool check_names(const struct spread *spread, struct rab_error *err)
{
    const struct rab_spread *made = &spread->made;

    for (size_t i = 0; i < made->count; i++) {
        const struct rab_piece *piece = &made->pieces[i];
        const char *name = piece->kind == RAB_PIECE_TEXT ? piece->item->name : NULL;
        if (name && is_taken(&spread->job, name))
            return rab_fail_line(err, RAB_FAULT_INPUT, piece->line,
                                 "the text %s would be printed from %s.pdf, which is the plan of "
                                 "a page or the cuts of a paper; give it another name",
                                 name, name);
    }
    return true;
}

/* The pieces of each paper on sheets. A trimmer follows no drawing. */
static bool lay_pieces(struct arguments *arguments, double gap, struct spread *spread,
                       struct rab_error *err)
{
    const struct rab_job *job = &spread->job;

    spread->drawn = calloc(2 * job->paper_count + 1, sizeof *spread->drawn);
    if (!spread->drawn)
        return rab_fail_memory(err);
    for (size_t i = 0; i < job->paper_count; i++) {
        const struct rab_paper *paper = &job->papers[i];
        size_t sheets = 0;
        for (int by_hand = !job->cutter; by_hand < 2; by_hand++) {
            struct drawn *drawn = &spread->drawn[spread->drawn_count];
            const double apart = by_hand && job->cutter ? gap : fmax(gap, job->kerf);
            if (!rab_spread_lay(job, &spread->made, i, by_hand ? RAB_TOOL_HAND : RAB_TOOL_CUTTER,
                                apart, &drawn->laying, err))
                return false;
            drawn->paper = i;
            drawn->by_hand = by_hand && job->cutter;
            sheets += drawn->laying.sheets;
            if (drawn->laying.count > 0)
                spread->drawn_count++;
            else
                rab_laying_clear(&drawn->laying);
        }
        if (paper->sheets > 0 && sheets > (size_t)paper->sheets &&
            !rab_warn(&arguments->warnings, err, "stock", paper->line,
                      "the pieces of %s take %zu sheets side by side, and %d are in stock",
                      paper->name, sheets, paper->sheets))
            return false;
    }
    return true;
}

bool work_out_spread(struct arguments *arguments, double gap, struct spread *spread,
                     struct rab_error *err)
{
    for (int side = 0; side < RAB_PAGES; side++)
        if (!measure_images(arguments, spread->job.pages[side].items,
                            spread->job.pages[side].item_count, err))
            return false;
    if (!rab_job_resolve(&spread->job, spread->library, read_frame, arguments, &spread->made,
                         &arguments->warnings, err) ||
        !check_names(spread, err) || !lay_pieces(arguments, gap, spread, err) ||
        !check_kerfs(spread, err) || !look_at_pieces(arguments, spread, err) ||
        !fill_views(arguments, spread, err))
        return false;
    arguments->place = NULL;
    return true;
}

void spread_clear(struct spread *spread)
{
    for (size_t i = 0; i < spread->drawn_count; i++)
        rab_laying_clear(&spread->drawn[i].laying);
    free(spread->drawn);
    for (int side = 0; side < RAB_PAGES; side++) {
        rab_view_clear(&spread->views[side]);
        looks_clear(&spread->looks[side]);
    }
    rab_spread_clear(&spread->made);
    rab_job_clear(&spread->job);
    rab_library_close(spread->library);
    *spread = (struct spread){0};
}

void sheet_name(const struct spread *spread, const struct drawn *drawn, size_t sheet,
                struct rab_text *name)
{
    rab_text_add(name, spread->job.papers[drawn->paper].name);
    if (drawn->by_hand)
        rab_text_add(name, ".hand");
    if (sheet > 0)
        rab_text_format(name, ".%zu", sheet + 1);
}

/* ---- the list of pieces ---------------------------------------------------------------- */

static const char *piece_tool(const struct rab_piece *piece)
{
    switch (piece->tool) {
    case RAB_TOOL_TRIMMER:
        return "trimmer";
    case RAB_TOOL_CUTTER:
        return "cutter";
    case RAB_TOOL_HAND:
    case RAB_TOOL_USUAL:
        break;
    }
    return "hand";
}

/* The drawing that a piece is on, NULL for none. */
static const struct drawn *drawn_of(const struct spread *spread, const struct rab_piece *piece)
{
    const bool by_hand = spread->job.cutter && piece->tool == RAB_TOOL_HAND;

    for (size_t i = 0; i < spread->drawn_count && piece->tool != RAB_TOOL_TRIMMER; i++)
        if (spread->drawn[i].paper == piece->paper && spread->drawn[i].by_hand == by_hand)
            return &spread->drawn[i];
    return NULL;
}

static bool lies_turned(const struct spread *spread, const struct rab_piece *piece)
{
    const struct drawn *drawn = drawn_of(spread, piece);

    for (size_t i = 0; drawn && i < drawn->laying.count; i++)
        if (drawn->laying.items[i].piece == piece)
            return drawn->laying.items[i].turned;
    return false;
}

static const char *paper_name(const struct spread *spread, const struct rab_piece *piece)
{
    return piece->paper < spread->job.paper_count ? spread->job.papers[piece->paper].name : "-";
}

/* The first piece of a letter speaks for all of them. */
static bool is_first(const struct rab_spread *made, size_t index)
{
    for (size_t i = 0; i < index; i++)
        if (strcmp(made->pieces[i].letter, made->pieces[index].letter) == 0)
            return false;
    return true;
}

static int count_letter(const struct rab_spread *made, const char *letter)
{
    int count = 0;

    for (size_t i = 0; i < made->count; i++)
        count += strcmp(made->pieces[i].letter, letter) == 0;
    return count;
}

static void add_place(struct rab_text *cells, const struct spread *spread,
                      const struct rab_piece *piece, bool in_first)
{
    const struct rab_page *page = &spread->job.pages[piece->page];
    const struct rab_box box = rab_region_box(&piece->region);
    /* what is in the middle is measured from the left and from the foot */
    const bool from_right = page->width - box.x1 < box.x0 - 1e-6,
               from_top = page->height - box.y1 < box.y0 - 1e-6;

    rab_text_format(cells, "%s page, ", piece->page == RAB_LEFT ? "left" : "right");
    rab_text_length(cells, from_right ? page->width - box.x1 : box.x0, in_first, 16);
    rab_text_format(cells, " from the %s, ", from_right ? "right" : "left");
    rab_text_length(cells, from_top ? page->height - box.y1 : box.y0, in_first, 16);
    rab_text_format(cells, " from the %s", from_top ? "top" : "foot");
}

void say_spread(const struct spread *spread, bool in_first, struct rab_text *said)
{
    const struct rab_spread *made = &spread->made;
    const int copies = rab_job_copies(&spread->job);
    struct rab_text cells = {0};

    rab_text_add(&cells, "piece\twhat\tpaper\tcount\twidth x height\ttool\tplace of the first\n");
    for (size_t i = 0; i < made->count; i++) {
        const struct rab_piece *piece = &made->pieces[i];
        const struct rab_box box = rab_region_box(&piece->region);
        if (!is_first(made, i))
            continue;
        rab_text_format(&cells, "%s\t%s\t%s\t%d\t", piece->letter, piece->what,
                        paper_name(spread, piece), copies * count_letter(made, piece->letter));
        rab_text_size(&cells, box.x1 - box.x0, box.y1 - box.y0, in_first, 16);
        rab_text_format(&cells, "\t%s%s\t", piece_tool(piece),
                        lies_turned(spread, piece) ? ", turned" : "");
        add_place(&cells, spread, piece, in_first);
        rab_text_add(&cells, "\n");
    }
    if (cells.failed)
        said->failed = true;
    else
        add_table(said, cells.data, "lllrlll");
    rab_text_clear(&cells);
    for (size_t i = 0; i < made->recovered_count; i++) {
        const struct rab_recovered *r = &made->recovered[i];
        rab_text_add(said, "Recovered from a hidden centre: ");
        rab_text_size(said, r->width, r->height, in_first, 16);
        rab_text_format(said, " of %s\n", spread->job.papers[r->paper].name);
    }
}

static const char *kind_name(enum rab_piece_kind kind)
{
    static const char *const names[] = {
        [RAB_PIECE_PANEL] = "panel", [RAB_PIECE_MAT] = "mat",         [RAB_PIECE_PHOTO] = "photo",
        [RAB_PIECE_FRAME] = "frame", [RAB_PIECE_BACKING] = "backing", [RAB_PIECE_STRIP] = "strip",
        [RAB_PIECE_LAYER] = "layer", [RAB_PIECE_FILLER] = "filler",   [RAB_PIECE_TEXT] = "text",
    };

    return names[kind];
}

/* A box of a piece as it lies on its sheet. */
static struct rab_box box_on_sheet(struct rab_box box, const struct rab_laid *laid, bool face_down,
                                   double sheet_width)
{
    if (laid->turned)
        box = (struct rab_box){-box.y1, box.x0, -box.y0, box.x1};
    box = (struct rab_box){box.x0 + laid->dx, box.y0 + laid->dy, box.x1 + laid->dx,
                           box.y1 + laid->dy};
    return face_down ? (struct rab_box){sheet_width - box.x1, box.y0, sheet_width - box.x0, box.y1}
                     : box;
}

/* Where its copies lie in the drawings. */
static void report_laid(struct rab_json *json, const struct spread *spread,
                        const struct rab_piece *piece, bool face_down)
{
    const struct drawn *drawn = drawn_of(spread, piece);
    const struct rab_box box = rab_region_box(&piece->region);

    rab_json_array(json, "on_sheets");
    for (size_t i = 0; drawn && i < drawn->laying.count; i++) {
        const struct rab_laid *laid = &drawn->laying.items[i];
        struct rab_text name = {0};
        if (laid->piece != piece)
            continue;
        sheet_name(spread, drawn, laid->sheet, &name);
        rab_json_object(json, NULL);
        rab_json_text(json, "sheet", name.data ? name.data : "");
        report_box(json, "box_mm",
                   box_on_sheet(box, laid, face_down, spread->job.papers[drawn->paper].width));
        rab_json_bool(json, "turned", laid->turned);
        rab_json_end(json);
        rab_text_clear(&name);
    }
    rab_json_end(json);
}

void report_spread(struct rab_json *json, const struct spread *spread, bool face_down)
{
    const struct rab_spread *made = &spread->made;
    const struct rab_job *job = &spread->job;

    if (job->title)
        rab_json_text(json, "title", job->title);
    rab_json_whole(json, "copies", rab_job_copies(job));
    rab_json_array(json, "pieces");
    for (size_t i = 0; i < made->count; i++) {
        const struct rab_piece *piece = &made->pieces[i];
        const struct rab_box box = rab_region_box(&piece->region);
        rab_json_object(json, NULL);
        rab_json_text(json, "letter", piece->letter);
        rab_json_text(json, "kind", kind_name(piece->kind));
        rab_json_text(json, "what", piece->what);
        if (piece->paper < job->paper_count)
            rab_json_text(json, "paper", job->papers[piece->paper].name);
        rab_json_text(json, "page", piece->page == RAB_LEFT ? "left" : "right");
        rab_json_number(json, "width_mm", box.x1 - box.x0, 4);
        rab_json_number(json, "height_mm", box.y1 - box.y0, 4);
        report_box(json, "box_mm", box);
        rab_json_number(json, "area_mm2", rab_region_area(&piece->region), 4);
        rab_json_whole(json, "foam", piece->height);
        rab_json_text(json, "tool", piece_tool(piece));
        rab_json_whole(json, "copies", rab_job_copies(job));
        if (piece->line > 0)
            rab_json_whole(json, "line", piece->line);
        report_laid(json, spread, piece, face_down);
        rab_json_end(json);
    }
    rab_json_end(json);
    rab_json_array(json, "recovered");
    for (size_t i = 0; i < made->recovered_count; i++) {
        const struct rab_recovered *r = &made->recovered[i];
        rab_json_object(json, NULL);
        rab_json_text(json, "paper", job->papers[r->paper].name);
        rab_json_numbers(json, "size_mm", (const double[]){r->width, r->height}, 2, 4);
        rab_json_end(json);
    }
    rab_json_end(json);
}
