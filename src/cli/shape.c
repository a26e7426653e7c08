/* rabbet shape: one shape of the library, drawn with the maker's measures. */
#include "cli.h"

#include <stdlib.h>

static const struct option option_places = {
    "places", 0, NULL, false,
    "Write the places too (of a photo, of text), to be drawn with a pen. The picture shows them in "
    "any case."};

static const struct option *const options[] = {&option_output, &option_report,  &option_places,
                                               &option_face,   &option_library, &option_units,
                                               &option_web,    MACHINE_OPTIONS, NULL};

static const struct example examples[] = {
    {"A shape with its usual measures, as a picture:", "shape lancet-arch -o arch.png"},
    {"With measures of your own, for a machine:",
     "shape lancet-arch span=60mm -o arch.svg -o arch.dxf"},
    {"What the measures of a shape are called:", "shapes lancet-arch"},
    {NULL, NULL}};

static bool shape(struct arguments *arguments, struct rab_text *said, struct rab_error *err);

const struct command shape_command = {
    .name = "shape",
    .operand = "SHAPE",
    .settings = true,
    .summary = "One shape of the library, with your measures.",
    .about =
        "Draws a shape of the library with the measures that you give; the rest are the usual "
        "ones. 'rabbet shapes' lists the shapes, 'rabbet shapes SHAPE' what can be set. Lengths "
        "carry a unit, angles too: span=60mm, turn=30deg, sides=8, corner=cove, border=no.\n"
        "What a shape promises (webs, reveals, borders) is measured on the result each time. "
        "Creases, perforations and drawings are written as operations of their own.",
    .options = options,
    .examples = examples,
    .run = shape,
};

static void say_figure(const struct rab_shape *drawn, const double *values,
                       const struct rab_figure *figure, bool in_first, struct rab_text *said)
{
    const struct rab_box box = rab_region_box(&figure->paper);
    const struct figure_counts counts = count_figure(figure);
    struct rab_text cells = {0};

    add_values(&cells, drawn, values, in_first);
    rab_text_add(&cells, "size\t");
    rab_text_size(&cells, box.x1 - box.x0, box.y1 - box.y0, in_first, 16);
    rab_text_add(&cells, "\n");
    if (counts.openings > 0)
        rab_text_format(&cells, "openings\t%zu\n", counts.openings);
    if (counts.pieces > 1)
        rab_text_format(&cells, "pieces\t%zu\n", counts.pieces);
    if (cells.failed)
        said->failed = true;
    else
        add_table(said, cells.data, "ll");
    rab_text_clear(&cells);
}

static void write_report(const struct arguments *arguments, const struct rab_shape *drawn,
                         const double *values, const struct rab_figure *figure,
                         struct rab_text *report)
{
    struct rab_json json = {.text = report};

    rab_json_object(&json, NULL);
    rab_json_text(&json, "shape", drawn->name);
    rab_json_text(&json, "family", drawn->family);
    report_values(&json, drawn, values);
    report_figure(&json, figure);
    report_prepared(&json, &arguments->prepared);
    report_warnings(&json, &arguments->warnings);
    rab_json_end(&json);
}

static bool shape(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    struct rab_library *library = NULL;
    const struct rab_shape *drawn;
    struct rab_figure figure = {0};
    struct rab_sheet sheet = {0};
    struct rab_picture picture = {0};
    struct rab_text report = {0};
    double *values = NULL, tolerance = 0;
    int units = 0, face = 0;
    bool ok = false;

    if (!option_choice(arguments, "units", &units, err) ||
        !option_choice(arguments, "face", &face, err) ||
        !option_length(arguments, "tolerance", false, &tolerance, err) ||
        !check_outputs(arguments, NULL, err) || !open_library(arguments, &library, err))
        goto done;
    drawn = rab_library_find(library, arguments->operand, err);
    if (!drawn)
        goto done;
    if (drawn->motif) {
        rab_fail(err, RAB_FAULT_INPUT,
                 "%s is an edge motif; 'rabbet edge %s --length 12in --width 1in' makes a strip "
                 "with it",
                 drawn->name, drawn->name);
        goto done;
    }
    values = calloc(drawn->parameter_count + 1, sizeof *values);
    if (!values) {
        rab_fail_memory(err);
        goto done;
    }
    if (!rab_shape_values(drawn, arguments->settings, arguments->setting_count, values, err) ||
        !rab_shape_draw(library, drawn, values, tolerance, &figure, err))
        goto done;
    figure_to_origin(&figure);
    sheet.title = picture.title = drawn->title;
    if (!lay_figure(&figure, face == 1, option_given(arguments, "places"), &sheet, err) ||
        (asks_picture(arguments) &&
         !picture_add_figure(&picture, &figure, rab_paper_colour(0), NULL, err)))
        goto done;
    if (!look_at_figures(arguments, (const struct rab_figure *const[]){&figure}, 1, units == 1,
                         &picture, err) ||
        !prepare_sheets(arguments, &sheet, 1, true, err))
        goto done;
    if (option_given(arguments, "report"))
        write_report(arguments, drawn, values, &figure, &report);
    say_figure(drawn, values, &figure, units == 1, said);
    ok = write_outputs(arguments, &picture, &report, said, err);
done:
    rab_text_clear(&report);
    rab_picture_clear(&picture);
    rab_sheet_clear(&sheet);
    rab_figure_clear(&figure);
    free(values);
    rab_library_close(library);
    return ok;
}
