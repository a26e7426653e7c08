/* rabbet convert: a drawing read, cleaned and written in another format. */
#include "cli.h"

#include <stdlib.h>

static const struct option *const options[] = {
    &option_output,   &option_read,   &option_join, &option_width,
    &option_drawn_in, &option_mirror, &option_web,  MACHINE_OPTIONS,
    &option_units,    &option_report, NULL};

static const struct example examples[] = {
    {"A drawing for a machine that takes DXF:", "convert frame.svg -o frame.dxf"},
    {"A drawing whose size cannot be trusted, 12 in wide in truth:",
     "convert frame.svg --width 12in -o true.svg -o true.png"},
    {"A drawing of lines with gaps of up to half a millimetre:",
     "convert traced.svg --read lines --join 0.5mm -o closed.svg"},
    {NULL, NULL}};

static bool convert(struct arguments *arguments, struct rab_text *said, struct rab_error *err);

const struct command convert_command = {
    .name = "convert",
    .operand = "DRAWING",
    .summary = "Read a drawing, clean it and write it in another format.",
    .about =
        "Reads an SVG or DXF drawing and writes what of the paper is left standing when it is cut: "
        "outlines that cross themselves or lie on each other are resolved, arcs and circles that "
        "were drawn as curves or broken into crumbs of lines become arcs and circles again, the "
        "ends of lines are joined. Prints "
        "how many outlines and vertices there were and are, and the size.\n"
        "The page is the drawing's own; where the drawing reaches beyond it, the page is made to "
        "fit.",
    .options = options,
    .examples = examples,
    .run = convert,
};

/* Creases, perforations and the like, as they are. */
static bool add_others(const struct rab_drawing *drawing, double dx, double dy, bool mirror,
                       struct rab_sheet *sheet, struct rab_error *err)
{
    for (size_t i = 0; i < drawing->count; i++) {
        const struct rab_drawn *item = &drawing->items[i];
        for (size_t k = 0; k < item->count && item->operation != RAB_CUT; k++) {
            struct rab_outline copy = {0};
            bool ok = rab_outline_copy(&item->outlines[k], &copy, err);
            if (ok) {
                rab_outline_move(&copy, dx, dy);
                if (mirror)
                    rab_outline_mirror(&copy, sheet->width / 2);
                ok = rab_sheet_add(sheet, item->operation, 0, &copy, err);
            }
            rab_outline_clear(&copy);
            if (!ok)
                return false;
        }
    }
    return true;
}

/* The region on a page with its lower left corner at 0,0. */
static bool lay_out(const struct rab_drawing *drawing, bool mirror, struct rab_region *region,
                    struct rab_sheet *sheet, struct rab_error *err)
{
    const struct rab_box box = rab_region_box(region);
    double dx = 0, dy = 0;
    const double spare = 1e-6; /* a rim that rounding moves out does not change the page */

    sheet->title = drawing->title;
    sheet->width = drawing->width;
    sheet->height = drawing->height;
    if (box.x0 < -spare || box.y0 < -spare || box.x1 > drawing->width + spare ||
        box.y1 > drawing->height + spare) {
        sheet->width = box.x1 - box.x0;
        sheet->height = box.y1 - box.y0;
        dx = -box.x0;
        dy = -box.y0;
        for (size_t i = 0; i < region->count; i++)
            rab_outline_move(&region->outlines[i], dx, dy);
    }
    for (size_t i = 0; i < region->count && mirror; i++)
        rab_outline_mirror(&region->outlines[i], sheet->width / 2);
    return add_others(drawing, dx, dy, mirror, sheet, err) &&
           rab_sheet_add_region(sheet, RAB_CUT, 0, region, err);
}

/* Curves that came as crumbs of lines; *saved: how many lines fewer there are. */
static bool mend_crumbs(struct rab_drawing *drawing, double tolerance, size_t *saved,
                        struct rab_error *err)
{
    static const double longest = 0.1; /* mm: what inspect tells */

    for (size_t i = 0; i < drawing->count; i++)
        for (size_t k = 0; k < drawing->items[i].count; k++) {
            struct rab_outline *outline = &drawing->items[i].outlines[k], mended = {0};
            if (!rab_outline_refit(outline, longest, tolerance, &mended, err))
                return false;
            *saved += outline->count - mended.count;
            rab_outline_clear(outline);
            *outline = mended;
        }
    return true;
}

static bool convert(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    struct rab_drawing drawing = {0};
    struct rab_region region = {0};
    struct rab_reading_report before = {0};
    struct rab_sheet sheet = {0};
    struct rab_picture picture = {0};
    struct rab_text report = {0};
    double join = -1, tolerance = 0.01;
    size_t crumbs = 0;
    int read = -1, units = 0;
    bool ok = false;

    if (!option_length(arguments, "join", true, &join, err) ||
        !option_choice(arguments, "read", &read, err) ||
        !option_choice(arguments, "units", &units, err) ||
        !check_outputs(arguments, arguments->operand, err) ||
        !option_length(arguments, "tolerance", false, &tolerance, err) ||
        !read_drawing(arguments, arguments->operand, &drawing, err) ||
        !mend_crumbs(&drawing, tolerance, &crumbs, err) ||
        !rab_drawing_region(&drawing, reading_of(read), join, &region, &before,
                            &arguments->warnings, err))
        goto done;
    arguments->place = NULL;

    const struct rab_box box = rab_region_box(&region);
    const double width = box.x1 - box.x0, height = box.y1 - box.y0;
    const size_t vertices = rab_region_vertices(&region);
    if (!lay_out(&drawing, option_given(arguments, "mirror"), &region, &sheet, err) ||
        !rab_picture_paper(&picture, &region, rab_paper_colour(0), NULL, err))
        goto done;
    for (size_t i = 0; i < sheet.count; i++)
        if (sheet.paths[i].operation != RAB_CUT &&
            !rab_picture_line(&picture, &sheet.paths[i].outline,
                              (enum rab_line)sheet.paths[i].operation,
                              rab_operation_name(sheet.paths[i].operation), err))
            goto done;
    picture.title = drawing.title;
    if (!look_at_figures(arguments,
                         (const struct rab_figure *const[]){&(struct rab_figure){.paper = region}},
                         1, units == 1, &picture, err) ||
        !prepare_sheets(arguments, &sheet, 1, true, err))
        goto done;

    rab_text_format(said,
                    "%zu outline%s (before: %zu), %zu vertices (before: %zu, from %zu lines "
                    "and curves), ",
                    region.count, region.count == 1 ? "" : "s", before.outlines, vertices,
                    before.vertices + crumbs, drawing.curves);
    rab_text_size(said, width, height, units == 1, 16);
    rab_text_add(said, "\n");

    struct rab_json json = {.text = &report};
    rab_json_object(&json, NULL);
    rab_json_text(&json, "drawing", arguments->operand);
    rab_json_text(&json, "read", before.reading == RAB_READ_LINES ? "lines" : "filled");
    rab_json_whole(&json, "outlines_before", (long long)before.outlines);
    rab_json_whole(&json, "vertices_before", (long long)before.vertices + (long long)crumbs);
    rab_json_whole(&json, "curves_before", (long long)drawing.curves);
    rab_json_whole(&json, "outlines", (long long)region.count);
    rab_json_whole(&json, "vertices", (long long)vertices);
    rab_json_whole(&json, "joined", (long long)before.joined);
    rab_json_whole(&json, "repeated", (long long)before.repeated);
    rab_json_number(&json, "area_mm2", rab_region_area(&region), 4);
    rab_json_number(&json, "perimeter_mm", rab_region_perimeter(&region), 4);
    report_box(&json, "box_mm", box);
    report_prepared(&json, &arguments->prepared);
    report_warnings(&json, &arguments->warnings);
    rab_json_end(&json);

    ok = write_outputs(arguments, &picture, &report, said, err);
done:
    rab_text_clear(&report);
    rab_picture_clear(&picture);
    rab_sheet_clear(&sheet);
    rab_region_clear(&region);
    rab_drawing_clear(&drawing);
    return ok;
}
