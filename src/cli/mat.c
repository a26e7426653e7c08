/* rabbet mat: a mat behind a photo, or a window mat in front of it. */
#include "cli.h"

static const struct option option_photo = {
    "photo", 0, "WxH", false,
    "The photo, as measured: prints differ a little from the size that they are sold under."};
static const struct option option_reveal = {
    "reveal", 0, "LEN", false, "How wide the mat shows round the photo. 1/8in or 3mm is usual."};
static const struct option option_corner = {
    "corner", 0, "LEN", false,
    "The radius of the mat's corners; square unless given. The photo's corner keeps the same "
    "centre, so that the reveal is as wide round it."};
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

static const struct option *const options[] = {&option_photo,
                                               &option_reveal,
                                               &option_corner,
                                               &option_window,
                                               &option_overlap,
                                               &option_board,
                                               &option_border,
                                               &option_weight,
                                               &option_window_corner,
                                               &option_output,
                                               &option_report,
                                               &option_units,
                                               &option_tolerance,
                                               &option_curves,
                                               &option_dxf,
                                               &option_svg_unit,
                                               NULL};

static const struct example examples[] = {
    {"A mat of 6 x 4 in for a photo of 5 3/4 x 3 3/4 in:",
     "mat --photo 5.75x3.75in --reveal 1/8in -o mat.svg -o mat.png"},
    {"Round corners:", "mat --photo 146x95mm --reveal 3mm --corner 8mm -o mat.dxf"},
    {"A window mat of 11 x 14 in for a photo of 8 x 10 in:",
     "mat --photo 8x10in --window --overlap 1/4in --board 11x14in -o window.svg"},
    {NULL, NULL}};

static bool mat(struct arguments *arguments, struct rab_text *said, struct rab_error *err);

const struct command mat_command = {
    .name = "mat",
    .summary = "A mat for a photo.",
    .about =
        "Makes a mat: the paper behind a photo that shows all round it by the reveal. The place of "
        "the photo is drawn on it (operation Drawing).\n"
        "With --window it makes a window mat: the paper in front of a photo, with an opening "
        "through which the photo is seen and which holds down its edges by the overlap.",
    .options = options,
    .examples = examples,
    .run = mat,
};

static bool read_options(const struct arguments *arguments, struct rab_mat_options *made,
                         struct rab_error *err)
{
    made->window = option_given(arguments, "window");
    if (made->window)
        made->overlap = rab_mm_from(0.25, RAB_UNIT_IN);
    if (!option_size(arguments, "photo", &made->photo_width, &made->photo_height, err) ||
        !option_length(arguments, "reveal", true, &made->reveal, err) ||
        !option_length(arguments, "corner", true, &made->corner, err) ||
        !option_length(arguments, "overlap", false, &made->overlap, err) ||
        !option_size(arguments, "board", &made->board_width, &made->board_height, err) ||
        !option_length(arguments, "border", false, &made->border, err) ||
        !option_length(arguments, "weight", true, &made->weight, err) ||
        !option_length(arguments, "window-corner", true, &made->window_corner, err) ||
        !check_outputs(arguments, NULL, err))
        return false;

    if (!option_given(arguments, "photo"))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the photo's size is missing; give --photo WxH, as in --photo 146x95mm");
    if (!made->window) {
        static const char *const for_windows[] = {"overlap", "board", "border", "weight",
                                                  "window-corner"};
        for (size_t i = 0; i < sizeof for_windows / sizeof *for_windows; i++) {
            if (option_given(arguments, for_windows[i]))
                return rab_fail(err, RAB_FAULT_INPUT,
                                "--%s is for window mats; give --window too, or leave it out",
                                for_windows[i]);
        }
        if (!option_given(arguments, "reveal"))
            return rab_fail(err, RAB_FAULT_INPUT,
                            "the reveal is missing; give --reveal LEN, as in --reveal 3mm (or "
                            "--window for a window mat)");
        return true;
    }
    if (option_given(arguments, "reveal"))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "a window mat has no reveal; give --border or --board for its size");
    if (option_given(arguments, "board") == option_given(arguments, "border"))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the window mat's size is %s; give either --board WxH or --border LEN",
                        option_given(arguments, "board") ? "given twice" : "missing");
    return true;
}

/* The photo as a grey sheet: on a mat, or behind the window of one. */
static bool draw_picture(const struct rab_mat *made, struct rab_picture *picture,
                         struct rab_error *err)
{
    const uint32_t grey = 0xB4BBC2;
    const bool window = made->window.count > 0;
    struct rab_region photo = {0};
    bool ok;

    picture->title = window ? "Window mat" : "Mat";
    ok = rab_region_fill(&made->photo, 1, RAB_FILL_NONZERO, &photo, err) &&
         (!window || rab_picture_paper(picture, &photo, grey, "photo", err)) &&
         rab_picture_paper(picture, &made->region, rab_paper_colour(0), "mat", err) &&
         (window || rab_picture_paper(picture, &photo, grey, "photo", err)) &&
         (!window || rab_picture_line(picture, &made->photo, RAB_LINE_HIDDEN,
                                      "edge of the photo, hidden by the mat", err)) &&
         rab_picture_number_in(picture, window ? &made->window : &made->photo, "photo", err);
    rab_region_clear(&photo);
    return ok;
}

/* The photo's place is drawn where it can be seen: on a mat, not on a window mat's face. */
static bool fill_sheet(const struct rab_mat *made, struct rab_sheet *sheet, struct rab_error *err)
{
    sheet->width = made->width;
    sheet->height = made->height;
    sheet->title = made->window.count > 0 ? "Window mat" : "Mat";
    return (made->window.count > 0 || rab_sheet_add(sheet, RAB_DRAW, 1, &made->photo, err)) &&
           rab_sheet_add_region(sheet, RAB_CUT, 1, &made->region, err);
}

static void add_size_row(struct rab_text *cells, const char *what, double width, double height,
                         bool in_first)
{
    rab_text_format(cells, "%s\t", what);
    rab_text_size(cells, width, height, in_first, 16);
    rab_text_add(cells, "\n");
}

static void say_sizes(const struct rab_mat *made, bool in_first, struct rab_text *said)
{
    const struct rab_box photo = made->photo_box, window = made->window_box;
    struct rab_text cells = {0};

    add_size_row(&cells, made->window.count > 0 ? "window mat" : "mat", made->width, made->height,
                 in_first);
    if (made->window.count)
        add_size_row(&cells, "opening", window.x1 - window.x0, window.y1 - window.y0, in_first);
    add_size_row(&cells, "photo", photo.x1 - photo.x0, photo.y1 - photo.y0, in_first);
    if (cells.failed)
        said->failed = true;
    else
        add_table(said, cells.data, "ll");
    rab_text_clear(&cells);
}

static void report_size(struct rab_json *json, const char *key, double width, double height)
{
    rab_json_numbers(json, key, (const double[]){width, height}, 2, 4);
}

static void write_report(const struct arguments *arguments, const struct rab_mat *made,
                         struct rab_text *report)
{
    const struct rab_box photo = made->photo_box, window = made->window_box;
    struct rab_json json = {.text = report};

    rab_json_object(&json, NULL);
    report_size(&json, "mat_mm", made->width, made->height);
    report_size(&json, "photo_mm", photo.x1 - photo.x0, photo.y1 - photo.y0);
    report_box(&json, "photo_box_mm", photo);
    if (made->window.count) {
        report_size(&json, "opening_mm", window.x1 - window.x0, window.y1 - window.y0);
        report_box(&json, "opening_box_mm", window);
    }
    rab_json_number(&json, "area_mm2", rab_region_area(&made->region), 4);
    rab_json_number(&json, "perimeter_mm", rab_region_perimeter(&made->region), 4);
    report_warnings(&json, &arguments->warnings);
    rab_json_end(&json);
}

static bool mat(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    struct rab_mat_options asked = {0};
    struct rab_mat made = {0};
    struct rab_sheet sheet = {0};
    struct rab_picture picture = {0};
    struct rab_text report = {0};
    int units = 0;
    bool ok = false;

    if (!option_choice(arguments, "units", &units, err) || !read_options(arguments, &asked, err) ||
        !rab_mat_make(&asked, &made, err) || !fill_sheet(&made, &sheet, err) ||
        !draw_picture(&made, &picture, err))
        goto done;
    write_report(arguments, &made, &report);
    say_sizes(&made, units == 1, said);
    ok = write_outputs(arguments, &sheet, 1, &picture, &report, said, err);
done:
    rab_text_clear(&report);
    rab_picture_clear(&picture);
    rab_sheet_clear(&sheet);
    rab_mat_clear(&made);
    return ok;
}
