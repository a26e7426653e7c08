/* rabbet back: backing pieces for the openings of a frame. */
#include "cli.h"

#include <stdlib.h>

static const struct option option_seam = {
    "seam", 0, "LEN", false,
    "How far a backing reaches past the edge of its opening: what takes the glue. 3mm unless "
    "given."};
static const struct option option_clear = {
    "clear", 0, "LEN", false,
    "How far a backing stays from every opening that it does not serve, backed or not. 0.5mm "
    "unless given."};
static const struct option option_inset = {
    "inset", 0, "LEN", false,
    "How far a backing stays inside the frame's outer edge. 1mm unless given."};
static const struct option option_form = {
    "form", 0, "grown|simple", false,
    "grown: the opening's own shape, larger by the seam. simple: the plainest of circle, "
    "rectangle, rounded rectangle and hull that covers the opening with its seam and shows nowhere "
    "else. grown unless given."};
static const struct option option_lap = {
    "lap", 0, NULL, false,
    "Backings may lie on each other; else neighbours share a narrow web and lie flat."};
static const struct option option_group = {
    "group", 0, "LIST", true,
    "One piece behind several openings, as in 1,4,7. Repeat it for more groups."};
static const struct option option_only = {"only", 0, "LIST", false,
                                          "Make backings for these openings only, as in 1-8,12."};
static const struct option option_skip = {"skip", 0, "LIST", false,
                                          "Make no backings for these openings."};
static const struct option option_round_to = {
    "round-to", 0, "LEN,...", false,
    "The diameters of the circles that you own, as in 25mm,1in: a backing becomes the smallest of "
    "them that leaves the seam and fits."};
static const struct option option_arrange = {
    "arrange", 0, "place|rows", false,
    "rows: the pieces side by side on sheets. place: where they lie behind the frame, as seen from "
    "the front. rows unless given."};
static const struct option option_sheet = {
    "sheet", 0, "WxH", false,
    "The paper that the rows are laid on. 12x12in unless given; further sheets become further "
    "files, -2, -3..."};
static const struct option option_gap = {
    "gap", 0, "LEN", false,
    "Between the pieces in rows, and at the sheet's edge. 3mm unless given."};

static const struct option option_labels = {
    "labels", 0, NULL, false,
    "Draw each piece's number on it with a pen: in the seam, which is hidden, or with --face down "
    "anywhere, on its back."};

static const struct option *const options[] = {
    &option_seam,   &option_output,   &option_report,  &option_group,
    &option_only,   &option_skip,     &option_form,    &option_round_to,
    &option_clear,  &option_inset,    &option_lap,     &option_face,
    &option_labels, &option_arrange,  &option_sheet,   &option_gap,
    &option_width,  &option_drawn_in, &option_read,    &option_join,
    &option_units,  &option_web,      MACHINE_OPTIONS, NULL};

static const struct example examples[] = {
    {"A picture that shows the numbers of the openings:", "back frame.svg -o frame.png"},
    {"Backings with a seam of 2 mm, for a machine, with a picture and a report:",
     "back frame.svg --seam 2mm -o backs.svg -o backs.dxf -o backs.png --report backs.json"},
    {"One piece behind openings 26 to 28, none behind 30:",
     "back frame.svg --group 26-28 --skip 30 -o backs.svg"},
    {"Cut by hand: the plainest shapes, on A4 paper:",
     "back frame.svg --form simple --sheet 210x297mm -o backs.svg"},
    {NULL, NULL}};

static bool back(struct arguments *arguments, struct rab_text *said, struct rab_error *err);

const struct command back_command = {
    .name = "back",
    .operand = "FRAME",
    .summary = "Backing pieces for the openings of a frame.",
    .about =
        "Reads the drawing of a frame (SVG) and makes a piece of paper to glue behind each "
        "opening: larger than the opening by the seam, and showing nowhere else. Prints a table of "
        "the pieces, and writes what -o asks for.\n"
        "Openings are numbered as one reads: rows from the top, each from the left; the picture "
        "(.png) shows the numbers. A piece has the number of its first opening. Where a web is "
        "too narrow for the seam, the table tells what seam is left and what holds it back.",
    .options = options,
    .examples = examples,
    .run = back,
};

/* What the command line asks for, and all that is made of it. */
struct job {
    struct rab_backing_options options;
    int form, face, arrange, read, units;
    double sheet_width, sheet_height, gap, join;
    bool labels;
    size_t unlabelled; /* pieces without room for their number */
    double *circles;
    int *only, *skip;
    struct rab_numbers *groups;
    int **group_items; /* what the groups borrow */
    size_t group_count;

    struct rab_drawing drawing;
    struct rab_region paper;
    struct rab_frame frame;
    struct rab_backings backings;
    struct rab_placing placing;
    struct rab_sheet *sheets;
    size_t sheet_count;
    size_t *sheet_of;        /* of each backing, from 1 */
    struct rab_box *lies_on; /* its box on that sheet */
    struct rab_picture picture;
    struct rab_text title, note, report;
};

enum { ARRANGE_PLACE, ARRANGE_ROWS };

static void clear_job(struct job *job)
{
    rab_text_clear(&job->report);
    rab_text_clear(&job->note);
    rab_text_clear(&job->title);
    rab_picture_clear(&job->picture);
    for (size_t i = 0; i < job->sheet_count; i++)
        rab_sheet_clear(&job->sheets[i]);
    free(job->sheets);
    free(job->sheet_of);
    free(job->lies_on);
    rab_placing_clear(&job->placing);
    rab_backings_clear(&job->backings);
    rab_frame_clear(&job->frame);
    rab_region_clear(&job->paper);
    rab_drawing_clear(&job->drawing);
    for (size_t i = 0; i < job->group_count; i++)
        free(job->group_items[i]);
    free(job->group_items);
    free(job->groups);
    free(job->only);
    free(job->skip);
    free(job->circles);
}

/* ---- what is asked for ----------------------------------------------------------------- */

static bool read_options(const struct arguments *arguments, struct job *job, struct rab_error *err)
{
    struct rab_backing_options *back = &job->options;

    if (!option_length(arguments, "seam", false, &back->seam, err) ||
        !option_length(arguments, "clear", true, &back->clear, err) ||
        !option_length(arguments, "inset", true, &back->inset, err) ||
        !option_choice(arguments, "form", &job->form, err) ||
        !option_lengths(arguments, "round-to", false, &job->circles, &back->circle_count, err) ||
        !option_choice(arguments, "face", &job->face, err) ||
        !option_choice(arguments, "arrange", &job->arrange, err) ||
        !option_size(arguments, "sheet", &job->sheet_width, &job->sheet_height, err) ||
        !option_length(arguments, "gap", true, &job->gap, err) ||
        !option_choice(arguments, "read", &job->read, err) ||
        !option_length(arguments, "join", true, &job->join, err) ||
        !option_choice(arguments, "units", &job->units, err) ||
        !check_outputs(arguments, arguments->operand, err))
        return false;
    job->labels = option_given(arguments, "labels");
    if (job->arrange == ARRANGE_PLACE &&
        (option_given(arguments, "sheet") || option_given(arguments, "gap")))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "--sheet and --gap are for --arrange rows; with --arrange place leave them "
                        "out");
    back->form = job->form == 0 ? RAB_FORM_GROWN : RAB_FORM_SIMPLE;
    back->circles = job->circles;
    back->lap = option_given(arguments, "lap");
    return true;
}

static bool read_list(const struct arguments *arguments, const char *option, int most, int **items,
                      struct rab_numbers *numbers, struct rab_error *err)
{
    const char *text = option_text(arguments, option);

    if (!text)
        return true;
    if (!numbers_read(text, option, "openings", most, items, &numbers->count, err))
        return false;
    numbers->items = *items;
    return true;
}

/* The lists of openings, which make sense only when the frame is known. */
static bool read_lists(const struct arguments *arguments, struct job *job, struct rab_error *err)
{
    const int most = (int)job->frame.count;

    if (!read_list(arguments, "only", most, &job->only, &job->options.only, err) ||
        !read_list(arguments, "skip", most, &job->skip, &job->options.skip, err))
        return false;
    job->groups = calloc(arguments->count + 1, sizeof *job->groups);
    job->group_items = calloc(arguments->count + 1, sizeof *job->group_items);
    if (!job->groups || !job->group_items)
        return rab_fail_memory(err);
    for (size_t i = 0; i < arguments->count; i++) {
        int *items = NULL;
        size_t count = 0;
        if (arguments->given[i].option != &option_group)
            continue;
        if (!numbers_read(arguments->given[i].value, "group", "openings", most, &items, &count,
                          err))
            return false;
        job->groups[job->group_count] = (struct rab_numbers){items, count};
        job->group_items[job->group_count++] = items;
    }
    job->options.groups = job->groups;
    job->options.group_count = job->group_count;
    return true;
}

/* ---- sheets ---------------------------------------------------------------------------- */

/* Where they lie behind the frame: one sheet of its size. */
static bool place_behind(struct job *job, struct rab_error *err)
{
    const struct rab_box box = job->frame.box;

    job->sheet_width = box.x1 - box.x0;
    job->sheet_height = box.y1 - box.y0;
    job->placing.items = calloc(job->backings.count, sizeof *job->placing.items);
    if (!job->placing.items)
        return rab_fail_memory(err);
    job->placing.capacity = job->backings.count;
    for (size_t i = 0; i < job->backings.count; i++)
        job->placing.items[job->placing.count++] =
            (struct rab_placed){.piece = i, .dx = -box.x0, .dy = -box.y0};
    job->placing.sheets = 1;
    return true;
}

/* The piece's number where nobody sees it: on its back, or in its seam. */
static bool label_piece(struct job *job, const struct rab_backing *backing,
                        const struct rab_placed *placed, const struct rab_region *laid,
                        struct rab_error *err)
{
    struct rab_sheet *sheet = &job->sheets[placed->sheet];
    const int piece = backing->openings[0];
    struct rab_outline *openings = calloc(backing->opening_count, sizeof *openings);
    struct rab_region hidden = {0};
    struct rab_text number = {0};
    bool labelled = true, ok = openings != NULL || rab_fail_memory(err);

    rab_text_format(&number, "%d", piece);
    ok = ok && rab_text_ok(&number, err);

    for (size_t i = 0; i < backing->opening_count && ok && job->face == 0; i++) {
        ok = rab_outline_copy(&job->frame.openings[backing->openings[i] - 1].outline, &openings[i],
                              err);
        rab_outline_move(&openings[i], placed->dx, placed->dy);
    }
    if (ok && job->face == 0)
        ok = hidden_part(laid, openings, backing->opening_count, &hidden, err);
    ok =
        ok && add_label(sheet, piece, number.data, job->face == 0 ? &hidden : laid, &labelled, err);
    job->unlabelled += !labelled;
    for (size_t i = 0; openings && i < backing->opening_count; i++)
        rab_outline_clear(&openings[i]);
    free(openings);
    rab_text_clear(&number);
    rab_region_clear(&hidden);
    return ok;
}

static bool lay_piece(struct job *job, const struct rab_placed *placed, struct rab_error *err)
{
    const struct rab_backing *backing = &job->backings.items[placed->piece];
    struct rab_region laid = {0};
    const bool ok = rab_backing_laid(backing, placed->dx, placed->dy, job->face == 1,
                                     job->sheet_width, &laid, err) &&
                    rab_sheet_add_region(&job->sheets[placed->sheet], RAB_CUT, backing->openings[0],
                                         &laid, err) &&
                    (!job->labels || label_piece(job, backing, placed, &laid, err));

    job->lies_on[placed->piece] = rab_region_box(&laid);
    job->sheet_of[placed->piece] = placed->sheet + 1;
    rab_region_clear(&laid);
    return ok;
}

/* Side by side, on what the machine reaches of the sheets. */
static bool lay_rows(const struct arguments *arguments, struct job *job, struct rab_error *err)
{
    struct rab_bed bed = {0};
    double kerf = 0;

    if (!read_bed(arguments, &bed, err) || !option_length(arguments, "kerf", true, &kerf, err))
        return false;
    if (job->face == 1)
        bed = mirrored_bed(&bed);
    const struct rab_box room = rab_bed_room(&bed, job->sheet_width, job->sheet_height, kerf);
    if (!(room.x1 > room.x0 && room.y1 > room.y0))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the machine reaches nothing of the sheet; give the size of its bed, and "
                        "smaller margins");
    if (!rab_backings_arrange(&job->backings, room.x1 - room.x0, room.y1 - room.y0, job->gap,
                              &job->placing, err))
        return false;
    for (size_t i = 0; i < job->placing.count; i++) {
        job->placing.items[i].dx += room.x0;
        job->placing.items[i].dy += room.y0;
    }
    return true;
}

static bool make_sheets(const struct arguments *arguments, struct job *job, struct rab_error *err)
{
    if (job->arrange == ARRANGE_PLACE ? !place_behind(job, err) : !lay_rows(arguments, job, err))
        return false;
    job->sheets = calloc(job->placing.sheets + 1, sizeof *job->sheets);
    job->sheet_of = calloc(job->backings.count + 1, sizeof *job->sheet_of);
    job->lies_on = calloc(job->backings.count + 1, sizeof *job->lies_on);
    if (!job->sheets || !job->sheet_of || !job->lies_on)
        return rab_fail_memory(err);
    job->sheet_count = job->placing.sheets;
    for (size_t i = 0; i < job->sheet_count; i++) {
        job->sheets[i].width = job->sheet_width;
        job->sheets[i].height = job->sheet_height;
        job->sheets[i].title = job->title.data;
    }
    /* NOLINTBEGIN(clang-analyzer-unix.Malloc): clear_job frees what job holds */
    for (size_t i = 0; i < job->placing.count; i++)
        if (!lay_piece(job, &job->placing.items[i], err))
            return false;
    /* NOLINTEND(clang-analyzer-unix.Malloc) */
    return true;
}

/* ---- what people see ------------------------------------------------------------------- */

/* A ring where a seam is narrow; how narrow stands beside it while these are few. */
static bool mark_narrow(struct rab_picture *picture, const struct rab_backings *backings,
                        struct rab_error *err)
{
    enum { FEW = 16 };
    struct rab_text words = {0}, meaning = {0};
    double least = RAB_NARROW_SEAM;
    size_t narrow = 0;
    bool ok = true;

    for (size_t i = 0; i < backings->count; i++) {
        narrow += backings->items[i].seam < RAB_NARROW_SEAM;
        least = backings->items[i].seam < least ? backings->items[i].seam : least;
    }
    rab_text_add(&meaning, "seam under 1 mm, at the least ");
    rab_text_fixed(&meaning, least, 2);
    rab_text_add(&meaning, " mm");
    for (size_t i = 0; i < backings->count && ok; i++) {
        const struct rab_backing *backing = &backings->items[i];
        const struct rab_point middle = {(backing->seam_from.x + backing->seam_to.x) / 2,
                                         (backing->seam_from.y + backing->seam_to.y) / 2};
        if (backing->seam >= RAB_NARROW_SEAM)
            continue;
        rab_text_clear(&words);
        rab_text_fixed(&words, backing->seam, 2);
        rab_text_add(&words, " mm");
        ok =
            rab_text_ok(&words, err) && rab_text_ok(&meaning, err) &&
            rab_picture_mark(picture, middle, narrow <= FEW ? words.data : NULL, meaning.data, err);
    }
    rab_text_clear(&words);
    rab_text_clear(&meaning);
    return ok;
}

static bool draw_picture(struct job *job, struct rab_error *err)
{
    struct rab_picture *picture = &job->picture;

    rab_text_add(&job->note, "Seam asked for: ");
    rab_text_length(&job->note, job->options.seam, job->units == 1, 16);
    if (!rab_text_ok(&job->note, err))
        return false;
    picture->title = job->title.data;
    picture->note = job->note.data;
    for (size_t i = 0; i < job->backings.count; i++) {
        if (!rab_picture_paper(picture, &job->backings.items[i].region, rab_paper_colour(i + 1),
                               "backing", err))
            return false;
    }
    if (!rab_picture_paper(picture, &job->frame.paper, rab_paper_colour(0), "frame", err))
        return false;
    for (size_t i = 0; i < job->backings.count; i++) {
        const struct rab_backing *backing = &job->backings.items[i];
        for (size_t j = 0; j < backing->region.count; j++) {
            if (!rab_picture_line(picture, &backing->region.outlines[j], RAB_LINE_HIDDEN,
                                  "edge of a backing, hidden by the frame", err))
                return false;
        }
    }
    if (!mark_narrow(picture, &job->backings, err))
        return false;
    for (size_t i = 0; i < job->frame.count; i++) {
        char number[16];
        snprintf(number, sizeof number, "%d", job->frame.openings[i].number);
        if (!rab_picture_number_in(picture, &job->frame.openings[i].outline, number, err))
            return false;
    }
    return true;
}

/* Rising numbers in few words: "1-8, 12", and of a long list its beginning. */
static void add_numbers(struct rab_text *text, const int *numbers, size_t count)
{
    enum { LONG = 16 };
    const size_t start = text->length;

    for (size_t i = 0; i < count;) {
        size_t last = i;
        while (last + 1 < count && numbers[last + 1] == numbers[last] + 1)
            last++;
        if (i > 0 && text->length - start > LONG) {
            rab_text_format(text, "... (%zu in all)", count);
            return;
        }
        rab_text_format(text, "%d", numbers[i]);
        if (last > i)
            rab_text_format(text, "%s%d", last > i + 1 ? "-" : ", ", numbers[last]);
        i = last + 1;
        if (i < count)
            rab_text_add(text, ", ");
    }
}

static const char *shape_words(enum rab_backing_shape shape)
{
    switch (shape) {
    case RAB_SHAPE_GROWN:
        return "grown";
    case RAB_SHAPE_CIRCLE:
        return "circle";
    case RAB_SHAPE_RECTANGLE:
        return "rectangle";
    case RAB_SHAPE_ROUNDED:
        return "rounded rectangle";
    case RAB_SHAPE_HULL:
        return "hull";
    }
    return "";
}

static void add_count(struct rab_text *text, size_t count, const char *word)
{
    rab_text_format(text, "%zu %s%s", count, word, count == 1 ? "" : "s");
}

/* Columns that would say the same in every row are left out. */
static void say_table(const struct job *job, struct rab_text *said)
{
    const bool in_first = job->units == 1, sheets = job->sheet_count > 1;
    bool groups = false, shapes = false;
    struct rab_text cells = {0}, columns = {0};

    for (size_t i = 0; i < job->backings.count; i++) {
        groups = groups || job->backings.items[i].opening_count > 1;
        shapes = shapes || job->backings.items[i].shape != RAB_SHAPE_GROWN;
    }
    rab_text_format(&columns, "r%s%s%slll", groups ? "l" : "", sheets ? "r" : "",
                    shapes ? "l" : "");
    rab_text_format(&cells, "piece\t%s%s%swidth x height\tleast seam\theld back by\n",
                    groups ? "openings\t" : "", sheets ? "sheet\t" : "", shapes ? "shape\t" : "");
    for (size_t i = 0; i < job->backings.count; i++) {
        const struct rab_backing *backing = &job->backings.items[i];
        char limit[RAB_LIMIT_TEXT];

        rab_text_format(&cells, "%d\t", backing->openings[0]);
        if (groups) {
            add_numbers(&cells, backing->openings, backing->opening_count);
            rab_text_add(&cells, "\t");
        }
        if (sheets)
            rab_text_format(&cells, "%zu\t", job->sheet_of[i]);
        if (shapes)
            rab_text_format(&cells, "%s\t", shape_words(backing->shape));
        rab_text_size(&cells, backing->box.x1 - backing->box.x0, backing->box.y1 - backing->box.y0,
                      in_first, 16);
        rab_text_add(&cells, "\t");
        rab_text_length(&cells, backing->seam, in_first, 16);
        rab_backing_limit_text(backing, limit);
        rab_text_format(&cells, "\t%s\n", backing->limit == RAB_LIMIT_SEAM ? "-" : limit);
    }
    if (cells.failed || columns.failed)
        said->failed = true;
    else
        add_table(said, cells.data, columns.data);
    rab_text_clear(&columns);
    rab_text_clear(&cells);

    add_count(said, job->frame.count, "opening");
    rab_text_add(said, ", ");
    add_count(said, job->backings.count, "backing");
    rab_text_add(said, "; frame ");
    rab_text_size(said, job->frame.box.x1 - job->frame.box.x0,
                  job->frame.box.y1 - job->frame.box.y0, in_first, 16);
    rab_text_add(said, "; ");
    add_count(said, job->sheet_count, "sheet");
    rab_text_add(said, " of ");
    rab_text_size(said, job->sheet_width, job->sheet_height, in_first, 16);
    rab_text_add(said, "\n");
}

/* ---- what programs read ---------------------------------------------------------------- */

static void report_point(struct rab_json *json, const char *key, struct rab_point point)
{
    rab_json_numbers(json, key, (const double[]){point.x, point.y}, 2, 4);
}

static void report_pieces(struct rab_json *json, const struct job *job)
{
    rab_json_array(json, "pieces");
    for (size_t i = 0; i < job->backings.count; i++) {
        const struct rab_backing *backing = &job->backings.items[i];
        char limit[RAB_LIMIT_TEXT];

        rab_backing_limit_text(backing, limit);
        rab_json_object(json, NULL);
        rab_json_whole(json, "piece", backing->openings[0]);
        rab_json_wholes(json, "openings", backing->openings, backing->opening_count);
        rab_json_text(json, "shape", shape_words(backing->shape));
        rab_json_number(json, "area_mm2", backing->area, 4);
        rab_json_number(json, "perimeter_mm", backing->perimeter, 4);
        report_box(json, "box_mm", backing->box);
        rab_json_number(json, "width_mm", backing->box.x1 - backing->box.x0, 4);
        rab_json_number(json, "height_mm", backing->box.y1 - backing->box.y0, 4);
        rab_json_number(json, "seam_mm", backing->seam, 4);
        report_point(json, "seam_at_mm", backing->seam_from);
        rab_json_text(json, "limit", limit);
        rab_json_whole(json, "sheet", (long long)job->sheet_of[i]);
        report_box(json, "sheet_box_mm", job->lies_on[i]);
        rab_json_end(json);
    }
    rab_json_end(json);
}

static void write_report(const struct arguments *arguments, struct job *job)
{
    struct rab_json json = {.text = &job->report};

    rab_json_object(&json, NULL);
    rab_json_text(&json, "frame", arguments->operand);
    report_box(&json, "frame_box_mm", job->frame.box);
    rab_json_number(&json, "seam_asked_mm", job->options.seam, 4);
    rab_json_array(&json, "openings");
    for (size_t i = 0; i < job->frame.count; i++) {
        const struct rab_opening *opening = &job->frame.openings[i];
        rab_json_object(&json, NULL);
        rab_json_whole(&json, "number", opening->number);
        rab_json_number(&json, "area_mm2", opening->area, 4);
        report_box(&json, "box_mm", opening->box);
        report_point(&json, "center_mm", opening->centre);
        rab_json_end(&json);
    }
    rab_json_end(&json);
    report_pieces(&json, job);
    rab_json_numbers(&json, "sheet_mm", (const double[]){job->sheet_width, job->sheet_height}, 2,
                     4);
    rab_json_whole(&json, "sheets", (long long)job->sheet_count);
    report_prepared(&json, &arguments->prepared);
    report_warnings(&json, &arguments->warnings);
    rab_json_end(&json);
}

/* ---- the command ----------------------------------------------------------------------- */

/* Where they lie behind the frame. */
static bool look_at_backings(struct arguments *arguments, struct job *job, struct rab_error *err)
{
    struct looks looks = {0};
    double kerf = 0, web;
    bool ok =
        option_length(arguments, "kerf", true, &kerf, err) && read_web(arguments, kerf, &web, err);

    for (size_t i = 0; i < job->backings.count && ok; i++) {
        char name[32];
        snprintf(name, sizeof name, "piece %d", job->backings.items[i].openings[0]);
        ok = look_at_piece(&looks, &job->backings.items[i].region, NULL, 0, web, name, 0, err);
    }
    ok = ok && tell_looks(arguments, &looks, job->units == 1, err) &&
         (!asks_picture(arguments) || ring_looks(&looks, &job->picture, err));
    looks_clear(&looks);
    return ok;
}

static bool back(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    struct job job = {.options = rab_backing_options_usual(),
                      .read = -1,
                      .join = -1,
                      .arrange = ARRANGE_ROWS,
                      .sheet_width = rab_mm_from(12, RAB_UNIT_IN),
                      .sheet_height = rab_mm_from(12, RAB_UNIT_IN),
                      .gap = 3};
    struct rab_reading_report read = {0};
    bool ok = false;

    if (!read_options(arguments, &job, err) ||
        !read_drawing(arguments, arguments->operand, &job.drawing, err) ||
        !rab_drawing_region(&job.drawing, reading_of(job.read), job.join, &job.paper, &read,
                            &arguments->warnings, err))
        goto done;
    if (!rab_frame_from_region(&job.paper, &job.frame, &arguments->warnings, err)) {
        err->line = read.line;
        goto done;
    }
    const char *drawing = arguments->place; /* what the openings do not allow is said of it */
    arguments->place = NULL;

    rab_text_format(&job.title, "Backings: %s",
                    job.drawing.title && *job.drawing.title ? job.drawing.title
                                                            : arguments->operand);
    if (!rab_text_ok(&job.title, err) || !read_lists(arguments, &job, err))
        goto done;
    arguments->place = drawing;
    if (!rab_frame_back(&job.frame, &job.options, &job.backings, &arguments->warnings, err))
        goto done;
    arguments->place = NULL;
    if (!make_sheets(arguments, &job, err) ||
        (asks_picture(arguments) && !draw_picture(&job, err)) ||
        !look_at_backings(arguments, &job, err))
        goto done;
    if (job.unlabelled > 0 &&
        !rab_warn(
            &arguments->warnings, err, "no-label", 0,
            "%zu piece%s no room for a number in %s seam; cut face down to have it on the back",
            job.unlabelled, job.unlabelled == 1 ? " has" : "s have",
            job.unlabelled == 1 ? "its" : "their"))
        goto done;
    if (!prepare_sheets(arguments, job.sheets, job.sheet_count, job.arrange == ARRANGE_ROWS, err))
        goto done;
    if (option_given(arguments, "report"))
        write_report(arguments, &job);
    say_table(&job, said);
    ok = write_outputs(arguments, &job.picture, &job.report, said, err);
done:
    clear_job(&job);
    return ok;
}
