/* rabbet mat: a mat behind a photo, or a window mat in front of it; all of them are shapes of the
 * library that keep to what docs/own-shapes.md asks of mats. */
#include "cli.h"

#include <stdlib.h>
#include <string.h>

static const struct option option_style = {
    "style", 0, "SHAPE", false,
    "Which mat: 'rabbet shapes mats' and 'rabbet shapes windows' list them. plain unless given, "
    "rounded with --corner, window with --window."};

static const struct option option_photo = {
    "photo", 0, "WxH", false,
    "The photo, as measured: prints differ a little from the size that they are sold under."};
static const struct option option_reveal = {
    "reveal", 0, "LEN", false, "How wide the mat shows round the photo. 1/8in or 3mm is usual."};
static const struct option option_corner = {
    "corner", 0, "LEN", false,
    "The radius of the mat's corners; square unless given. The photo's corner keeps the same "
    "centre, so that the reveal is as wide round it. Of other styles: the size of the corners."};
static const struct option option_window = {
    "window", 0, NULL, false,
    "A window mat: it lies in front of the photo, its opening smaller by the overlap on each side. "
    "Needs --board or --border, no --reveal."};
static const struct option option_overlap = {
    "overlap", 0, "LEN", false,
    "How far a window mat lies on the photo, on each side. 1/4in unless given; 1/8in is the least "
    "that holds."};
static const struct option option_board = {
    "board", 0, "WxH", false, "The size of a window mat; its opening stands in the middle."};
static const struct option option_border = {
    "border", 0, "LEN", false, "How wide a window mat is round its opening, in place of --board."};
static const struct option option_weight = {
    "weight", 0, "LEN", false,
    "How much wider a window mat is below its opening than above; equal unless given."};
static const struct option option_window_corner = {
    "window-corner", 0, "LEN", false,
    "The radius of the corners of a window mat's opening; square unless given."};

static const struct option *const options[] = {
    &option_photo,         &option_reveal,  &option_corner,
    &option_style,         &option_window,  &option_overlap,
    &option_board,         &option_border,  &option_weight,
    &option_window_corner, &option_output,  &option_report,
    &option_face,          &option_library, &option_units,
    &option_web,           MACHINE_OPTIONS, NULL};

static const struct example examples[] = {
    {"A mat of 6 x 4 in for a photo of 5 3/4 x 3 3/4 in:",
     "mat --photo 5.75x3.75in --reveal 1/8in -o mat.svg -o mat.png"},
    {"A scalloped edge:", "mat --photo 6x4in --reveal 1/2in --style scalloped -o mat.svg"},
    {"Round corners:", "mat --photo 146x95mm --reveal 3mm --corner 8mm -o mat.dxf"},
    {"A window mat of 11 x 14 in for a photo of 8 x 10 in:",
     "mat --photo 8x10in --window --overlap 1/4in --board 11x14in -o window.svg"},
    {NULL, NULL}};

static bool mat(struct arguments *arguments, struct rab_text *said, struct rab_error *err);

const struct command mat_command = {
    .name = "mat",
    .settings = true,
    .summary = "A mat for a photo.",
    .about =
        "Makes a mat: the paper behind a photo that shows all round it by the reveal. The place of "
        "the photo is drawn on it (operation Drawing).\n"
        "With --window it makes a window mat: the paper in front of a photo, with an opening "
        "through which the photo is seen and which holds down its edges by the overlap.\n"
        "Mats are shapes of the library. 'rabbet shapes STYLE' lists what else can be set of one; "
        "give it as PARAMETER=VALUE.",
    .options = options,
    .examples = examples,
    .run = mat,
};

/* ---- what is asked for ------------------------------------------------------------------ */

/* The options that are parameters of the shape, by the same name. */
enum { REVEAL, CORNER, OVERLAP, BORDER, WEIGHT, WINDOW_CORNER, LENGTHS };
static const struct {
    const char *name;
    bool from_zero, windows; /* 0 is allowed; only window mats have it */
} lengths[LENGTHS] = {
    [REVEAL] = {"reveal", false, false},  [CORNER] = {"corner", true, false},
    [OVERLAP] = {"overlap", false, true}, [BORDER] = {"border", false, true},
    [WEIGHT] = {"weight", true, true},    [WINDOW_CORNER] = {"window-corner", true, true},
};

enum { MOST_SETTINGS = LENGTHS + 4 };
struct job {
    double photo_width, photo_height, board_width, board_height, lengths[LENGTHS], tolerance;
    int units, face;

    struct rab_library *library;
    const struct rab_shape *style;
    bool window;
    struct rab_text typed[MOST_SETTINGS]; /* what the settings borrow */
    size_t typed_count;
    struct rab_setting *settings;
    size_t setting_count, setting_capacity;
    double *values;

    struct rab_figure figure;           /* its lower left corner at 0,0 */
    struct rab_box mat, photo, opening; /* empty when there is none */
    struct rab_sheet sheet;
    struct rab_picture picture;
    struct rab_text report;
};

static void clear_job(struct job *job)
{
    rab_text_clear(&job->report);
    rab_picture_clear(&job->picture);
    rab_sheet_clear(&job->sheet);
    rab_figure_clear(&job->figure);
    free(job->values);
    free(job->settings);
    for (size_t i = 0; i < job->typed_count; i++)
        rab_text_clear(&job->typed[i]);
    rab_library_close(job->library);
}

static bool read_options(const struct arguments *arguments, struct job *job, struct rab_error *err)
{
    if (!option_choice(arguments, "units", &job->units, err) ||
        !option_choice(arguments, "face", &job->face, err) ||
        !option_size(arguments, "photo", &job->photo_width, &job->photo_height, err) ||
        !option_size(arguments, "board", &job->board_width, &job->board_height, err) ||
        !option_length(arguments, "tolerance", false, &job->tolerance, err))
        return false;
    for (size_t i = 0; i < LENGTHS; i++) {
        if (!option_length(arguments, lengths[i].name, lengths[i].from_zero, &job->lengths[i], err))
            return false;
    }
    if (!check_outputs(arguments, NULL, err))
        return false;
    if (!option_given(arguments, "photo"))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the photo's size is missing; give --photo WxH, as in --photo 146x95mm");
    return true;
}

static bool has_parameter(const struct rab_shape *shape, const char *name)
{
    for (size_t i = 0; i < shape->parameter_count; i++) {
        if (strcmp(shape->parameters[i].name, name) == 0)
            return true;
    }
    return false;
}

static bool find_style(const struct arguments *arguments, struct job *job, struct rab_error *err)
{
    const char *name = option_text(arguments, "style");

    if (!name)
        name = option_given(arguments, "window")   ? "window"
               : option_given(arguments, "corner") ? "rounded"
                                                   : "plain";
    job->style = rab_library_find(job->library, name, err);
    if (!job->style)
        return false;
    job->window = has_parameter(job->style, "overlap");
    if (job->style->motif || !has_parameter(job->style, "photo-width") ||
        !has_parameter(job->style, "photo-height") ||
        (!job->window && !has_parameter(job->style, "reveal")))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "%s is not a mat; 'rabbet shapes mats' and 'rabbet shapes windows' list "
                        "those that are",
                        name);
    if (option_given(arguments, "window") && !job->window)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "%s lies behind a photo; leave out --window, or choose one of 'rabbet "
                        "shapes windows'",
                        name);
    return true;
}

static bool check_options(const struct arguments *arguments, const struct job *job,
                          struct rab_error *err)
{
    if (job->window) {
        if (option_given(arguments, "reveal"))
            return rab_fail(err, RAB_FAULT_INPUT,
                            "a window mat has no reveal; give --border or --board for its size");
        if (has_parameter(job->style, "border") && has_parameter(job->style, "board-width") &&
            option_given(arguments, "board") == option_given(arguments, "border"))
            return rab_fail(err, RAB_FAULT_INPUT,
                            "the window mat's size is %s; give either --board WxH or --border LEN",
                            option_given(arguments, "board") ? "given twice" : "missing");
        return true;
    }
    for (size_t i = 0; i < LENGTHS; i++) {
        if (lengths[i].windows && option_given(arguments, lengths[i].name))
            return rab_fail(err, RAB_FAULT_INPUT,
                            "--%s is for window mats; give --window too, or leave it out",
                            lengths[i].name);
    }
    if (option_given(arguments, "board"))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "--board is for window mats; give --window too, or leave it out");
    if (!option_given(arguments, "reveal"))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the reveal is missing; give --reveal LEN, as in --reveal 3mm (or "
                        "--window for a window mat)");
    return true;
}

static bool add_setting(struct job *job, const char *name, const char *value, struct rab_error *err)
{
    void *items = job->settings;

    if (!rab_reserve(&items, &job->setting_capacity, job->setting_count + 1, sizeof *job->settings,
                     err))
        return false;
    job->settings = items;
    job->settings[job->setting_count++] = (struct rab_setting){name, value};
    return true;
}

/* A length from the option of that name, as a setting of the shape. */
static bool set_length(struct job *job, const char *option, const char *name, double mm,
                       struct rab_error *err)
{
    struct rab_text *typed = &job->typed[job->typed_count++];

    if (!has_parameter(job->style, name))
        return rab_fail(
            err, RAB_FAULT_INPUT,
            "the mat %s has no %s; leave out --%s ('rabbet shapes %s' lists what can be "
            "set)",
            job->style->name, name, option, job->style->name);
    rab_text_number(typed, mm);
    rab_text_add(typed, "mm");
    return rab_text_ok(typed, err) && add_setting(job, name, typed->data, err);
}

static bool set_values(const struct arguments *arguments, struct job *job, struct rab_error *err)
{
    if (!set_length(job, "photo", "photo-width", job->photo_width, err) ||
        !set_length(job, "photo", "photo-height", job->photo_height, err))
        return false;
    if (option_given(arguments, "board") &&
        (!set_length(job, "board", "board-width", job->board_width, err) ||
         !set_length(job, "board", "board-height", job->board_height, err)))
        return false;
    for (size_t i = 0; i < LENGTHS; i++) {
        if (option_given(arguments, lengths[i].name) &&
            !set_length(job, lengths[i].name, lengths[i].name, job->lengths[i], err))
            return false;
    }
    for (size_t i = 0; i < arguments->setting_count; i++) {
        if (!add_setting(job, arguments->settings[i].name, arguments->settings[i].value, err))
            return false;
    }
    job->values = calloc(job->style->parameter_count + 1, sizeof *job->values);
    return job->values
               ? rab_shape_values(job->style, job->settings, job->setting_count, job->values, err)
               : rab_fail_memory(err);
}

/* ---- what is made of it ----------------------------------------------------------------- */

static bool lies_in(struct rab_box inner, struct rab_box outer)
{
    return inner.x0 >= outer.x0 && inner.y0 >= outer.y0 && inner.x1 <= outer.x1 &&
           inner.y1 <= outer.y1;
}

/* The opening is what shows the photo; of several, or where the photo's place is not told, the box
 * round all. */
static bool draw_mat(struct job *job, struct rab_error *err)
{
    const struct rab_place *photo = NULL;

    if (!rab_shape_draw(job->library, job->style, job->values, job->tolerance, &job->figure, err))
        return false;
    figure_to_origin(&job->figure);
    for (size_t i = 0; i < job->figure.place_count && !photo; i++) {
        if (strcmp(job->figure.places[i].name, "photo") == 0)
            photo = &job->figure.places[i];
    }
    job->mat = rab_region_box(&job->figure.paper);
    job->photo = photo ? rab_outline_box(&photo->outline) : RAB_BOX_EMPTY;
    job->opening = RAB_BOX_EMPTY;
    for (size_t i = 0; i < job->figure.paper.count && job->window; i++) {
        const struct rab_outline *outline = &job->figure.paper.outlines[i];
        const struct rab_box box = rab_outline_box(outline);
        if (rab_outline_area(outline) < 0 && (!photo || lies_in(box, job->photo)))
            job->opening = rab_box_join(job->opening, box);
    }
    return true;
}

static bool is_there(struct rab_box box)
{
    return box.x1 > box.x0;
}

static void add_size_row(struct rab_text *cells, const char *what, struct rab_box box,
                         bool in_first)
{
    rab_text_format(cells, "%s\t", what);
    rab_text_size(cells, box.x1 - box.x0, box.y1 - box.y0, in_first, 16);
    rab_text_add(cells, "\n");
}

static void say_sizes(const struct job *job, struct rab_text *said)
{
    const bool in_first = job->units == 1;
    struct rab_text cells = {0};

    add_size_row(&cells, job->window ? "window mat" : "mat", job->mat, in_first);
    if (is_there(job->opening))
        add_size_row(&cells, "opening", job->opening, in_first);
    if (is_there(job->photo))
        add_size_row(&cells, "photo", job->photo, in_first);
    if (cells.failed)
        said->failed = true;
    else
        add_table(said, cells.data, "ll");
    rab_text_clear(&cells);
}

static void report_size(struct rab_json *json, const char *key, struct rab_box box)
{
    rab_json_numbers(json, key, (const double[]){box.x1 - box.x0, box.y1 - box.y0}, 2, 4);
}

static void write_report(const struct arguments *arguments, struct job *job)
{
    struct rab_json json = {.text = &job->report};

    rab_json_object(&json, NULL);
    rab_json_text(&json, "style", job->style->name);
    report_values(&json, job->style, job->values);
    report_size(&json, "mat_mm", job->mat);
    if (is_there(job->photo)) {
        report_size(&json, "photo_mm", job->photo);
        report_box(&json, "photo_box_mm", job->photo);
    }
    if (is_there(job->opening)) {
        report_size(&json, "opening_mm", job->opening);
        report_box(&json, "opening_box_mm", job->opening);
    }
    rab_json_number(&json, "area_mm2", rab_region_area(&job->figure.paper), 4);
    rab_json_number(&json, "perimeter_mm", rab_region_perimeter(&job->figure.paper), 4);
    report_prepared(&json, &arguments->prepared);
    report_warnings(&json, &arguments->warnings);
    rab_json_end(&json);
}

/* The photo's place is drawn where it can be seen: on a mat, not on a window mat's face. */
static bool mat(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    struct job job = {0};
    bool ok = false;

    if (!read_options(arguments, &job, err) || !open_library(arguments, &job.library, err) ||
        !find_style(arguments, &job, err) || !check_options(arguments, &job, err) ||
        !set_values(arguments, &job, err) || !draw_mat(&job, err))
        goto done;
    job.sheet.title = job.picture.title = job.style->title;
    if (!lay_figure(&job.figure, job.face == 1, !job.window, &job.sheet, err) ||
        (asks_picture(arguments) &&
         !picture_add_figure(&job.picture, &job.figure, rab_paper_colour(0), "mat", err)))
        goto done;
    if (!look_at_figures(arguments, (const struct rab_figure *const[]){&job.figure}, 1,
                         job.units == 1, &job.picture, err) ||
        !prepare_sheets(arguments, &job.sheet, 1, true, err))
        goto done;
    write_report(arguments, &job);
    say_sizes(&job, said);
    ok = write_outputs(arguments, &job.picture, &job.report, said, err);
done:
    clear_job(&job);
    return ok;
}
