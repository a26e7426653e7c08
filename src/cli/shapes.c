/* rabbet shapes: what is in the library, and what can be set of one shape. */
#include "cli.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const struct option *const options[] = {&option_output, &option_report,  &option_library,
                                               &option_units,  MACHINE_OPTIONS, NULL};

static const struct example examples[] = {
    {"Everything that there is, by families:", "shapes"},
    {"One family:", "shapes arches"},
    {"What can be set of one shape, and how it looks:", "shapes lancet-arch -o arch.png"},
    {NULL, NULL}};

static bool shapes(struct arguments *arguments, struct rab_text *said, struct rab_error *err);

const struct command shapes_command = {
    .name = "shapes",
    .operand = "SHAPE|MOTIF|FAMILY",
    .operand_optional = true,
    .summary = "What the library of shapes and edge motifs holds.",
    .about =
        "Lists the shapes and the edge motifs, by families. With the name of one, says what it is "
        "and what can be set, with the usual value and the limits; -o then writes it with the "
        "usual values, of a motif a strip.\n"
        "Shapes of your own lie in the folder rabbet/shapes of your data folder (as a rule "
        "~/.local/share/rabbet/shapes), or in one that --library names.",
    .options = options,
    .examples = examples,
    .run = shapes,
};

/* ---- lists ----------------------------------------------------------------------------- */

/* Is this the name of a family? */
static bool is_family(const struct rab_library *library, const char *name)
{
    for (size_t i = 0; i < rab_library_count(library); i++) {
        if (strcmp(rab_library_at(library, i)->family, name) == 0)
            return true;
    }
    return false;
}

static bool is_shape(const struct rab_library *library, const char *name)
{
    for (size_t i = 0; i < rab_library_count(library); i++) {
        if (strcmp(rab_library_at(library, i)->name, name) == 0)
            return true;
    }
    return false;
}

/* family: NULL for all */
static void say_list(const struct rab_library *library, const char *family, struct rab_text *said)
{
    const char *heading = "";
    size_t shape_count = 0, motif_count = 0;

    for (size_t i = 0; i < rab_library_count(library); i++) {
        const struct rab_shape *item = rab_library_at(library, i);
        if (family && strcmp(item->family, family) != 0)
            continue;
        if (strcmp(item->family, heading) != 0)
            rab_text_format(said, "%s%s\n", *heading ? "\n" : "", item->family);
        heading = item->family;
        help_row(said, item->name, item->about);
        if (item->motif)
            motif_count++;
        else
            shape_count++;
    }
    rab_text_add(said, "\n");
    if (shape_count)
        rab_text_format(said, "%zu shape%s", shape_count, shape_count == 1 ? "" : "s");
    if (motif_count)
        rab_text_format(said, "%s%zu edge motif%s", shape_count ? ", " : "", motif_count,
                        motif_count == 1 ? "" : "s");
    rab_text_add(said, "; 'rabbet shapes NAME' tells more of one\n");
}

static void report_head(struct rab_json *json, const struct rab_shape *item)
{
    rab_json_text(json, "name", item->name);
    rab_json_text(json, "family", item->family);
    rab_json_text(json, "kind", item->motif ? "motif" : "shape");
    rab_json_text(json, "title", item->title);
    rab_json_text(json, "about", item->about);
    if (item->file)
        rab_json_text(json, "file", item->file);
}

static void report_list(const struct arguments *arguments, const struct rab_library *library,
                        const char *family, struct rab_text *report)
{
    struct rab_json json = {.text = report};

    rab_json_object(&json, NULL);
    rab_json_array(&json, "shapes");
    for (size_t i = 0; i < rab_library_count(library); i++) {
        const struct rab_shape *item = rab_library_at(library, i);
        if (family && strcmp(item->family, family) != 0)
            continue;
        rab_json_object(&json, NULL);
        report_head(&json, item);
        rab_json_end(&json);
    }
    rab_json_end(&json);
    report_warnings(&json, &arguments->warnings);
    rab_json_end(&json);
}

/* ---- one shape ------------------------------------------------------------------------- */

/* "usual 40 mm (≈ 1 9/16 in)" */
static void add_limit(struct rab_text *text, const char *word,
                      const struct rab_parameter *parameter, double value, bool in_first)
{
    rab_text_add(text, word);
    rab_text_value(text, parameter, value, in_first);
}

/* Beneath what the parameter is: what it may be. */
static void say_limits(const struct rab_parameter *parameter, bool in_first, struct rab_text *said)
{
    struct rab_text usual = {0}, limits = {0};

    add_limit(&usual, "usual ", parameter, parameter->usual, in_first);
    if (parameter->kind == RAB_YES_NO) {
        rab_text_add(&limits, "yes or no");
    } else {
        add_limit(&limits, "least ", parameter, parameter->least, in_first);
        add_limit(&limits, ", most ", parameter, parameter->most, in_first);
    }
    if (usual.failed || limits.failed) {
        said->failed = true;
    } else {
        /* One line for what is short; else broken where it reads best. */
        const bool one = parameter->kind != RAB_LENGTH;
        if (one)
            rab_text_format(&usual, ", %s", limits.data);
        help_words(said, usual.failed ? "" : usual.data, HELP_HANG);
        if (!one)
            help_words(said, limits.data, HELP_HANG);
    }
    rab_text_clear(&limits);
    rab_text_clear(&usual);
}

static void say_choices(const struct rab_parameter *parameter, struct rab_text *said)
{
    struct rab_text words = {0};

    for (size_t i = 0; i < parameter->choice_count; i++) {
        rab_text_clear(&words);
        rab_text_format(&words, "%s: %s%s", parameter->choices[i].name, parameter->choices[i].about,
                        i == (size_t)parameter->usual ? " (usual)" : "");
        help_words(said, words.failed ? "" : words.data, HELP_HANG);
    }
    said->failed = said->failed || words.failed;
    rab_text_clear(&words);
}

/* A value as it is typed: "40mm", "30deg". */
static void add_typed(struct rab_text *text, const struct rab_parameter *parameter, double value)
{
    switch (parameter->kind) {
    case RAB_LENGTH:
        rab_text_fixed(text, value, 2);
        rab_text_add(text, "mm");
        break;
    case RAB_ANGLE:
        rab_text_fixed(text, value * 180 / RAB_PI, 2);
        rab_text_add(text, "deg");
        break;
    case RAB_COUNT:
    case RAB_RATIO:
        rab_text_fixed(text, value, 4);
        break;
    case RAB_CHOICE:
        rab_text_add(text, parameter->choices[(size_t)value].name);
        break;
    case RAB_YES_NO:
        rab_text_add(text, value != 0 ? "yes" : "no");
        break;
    }
}

/* How far below its valleys a motif reaches with its holes and lines. */
static bool find_foot(const struct rab_library *library, const struct rab_shape *motif,
                      const double *values, double *foot, struct rab_error *err)
{
    struct rab_repeat repeat = {0};
    struct rab_box box = {0};

    if (!rab_motif_draw(library, motif, values, 0, 1, 0, &repeat, err))
        return false;
    for (size_t i = 0; i < repeat.holes.count; i++)
        box = rab_box_join(box, rab_outline_box(&repeat.holes.outlines[i]));
    for (size_t i = 0; i < repeat.path_count; i++)
        box = rab_box_join(box, rab_outline_box(&repeat.paths[i].outline));
    rab_repeat_clear(&repeat);
    *foot = -box.y0;
    return true;
}

/* Whole quarters of an inch that hold the motif and a little more, an inch at the least. */
static bool find_width(const struct rab_library *library, const struct rab_shape *motif,
                       double *inches, struct rab_error *err)
{
    double *values = calloc(motif->parameter_count + 1, sizeof *values), foot;
    const double quarter = rab_mm_from(0.25, RAB_UNIT_IN), rim = 3;
    bool ok;

    if (!values)
        return rab_fail_memory(err);
    ok = rab_shape_values(motif, NULL, 0, values, err) &&
         find_foot(library, motif, values, &foot, err);
    if (ok)
        *inches = fmax(1, ceil((values[1] + foot + rim) / quarter) / 4);
    free(values);
    return ok;
}

/* A line that makes it, as it is typed. */
static bool say_example(const struct arguments *arguments, const struct rab_library *library,
                        const struct rab_shape *item, struct rab_text *said, struct rab_error *err)
{
    double inches = 0;

    if (item->motif && !find_width(library, item, &inches, err))
        return false;
    rab_text_format(said, "  rabbet %s %s", item->motif ? "edge" : "shape", item->name);
    if (item->motif) {
        rab_text_add(said, " --length 12in --width ");
        rab_text_fixed(said, inches, 2);
        rab_text_add(said, "in");
    } else if (item->parameter_count > 0) {
        rab_text_format(said, " %s=", item->parameters[0].name);
        add_typed(said, &item->parameters[0], item->parameters[0].usual);
    }
    for (size_t i = 0; i < arguments->count && item->file; i++) {
        if (arguments->given[i].option == &option_library)
            rab_text_format(said, " --library %s", arguments->given[i].value);
    }
    rab_text_format(said, " -o %s.svg -o %s.png\n", item->name, item->name);
    return true;
}

static bool say_shape(const struct arguments *arguments, const struct rab_library *library,
                      const struct rab_shape *item, bool in_first, struct rab_text *said,
                      struct rab_error *err)
{
    rab_text_format(said, "%s (%s, of the family %s)\n", item->name, item->title, item->family);
    help_words(said, item->about, 0);
    if (item->file)
        rab_text_format(said, "From %s\n", item->file);
    rab_text_add(said, "\n");
    for (size_t i = 0; i < item->parameter_count; i++) {
        const struct rab_parameter *parameter = &item->parameters[i];
        help_row(said, parameter->name, parameter->about);
        if (parameter->kind == RAB_CHOICE)
            say_choices(parameter, said);
        else
            say_limits(parameter, in_first, said);
    }
    if (item->parameter_count > 0)
        rab_text_add(said, "\n");
    return say_example(arguments, library, item, said, err);
}

static void report_parameter(struct rab_json *json, const struct rab_parameter *parameter)
{
    static const char *const kinds[] = {
        [RAB_LENGTH] = "length", [RAB_ANGLE] = "angle",   [RAB_COUNT] = "count",
        [RAB_RATIO] = "ratio",   [RAB_CHOICE] = "choice", [RAB_YES_NO] = "yesno",
    };
    const double unit = parameter->kind == RAB_ANGLE ? 180 / RAB_PI : 1;

    rab_json_object(json, NULL);
    rab_json_text(json, "name", parameter->name);
    rab_json_text(json, "kind", kinds[parameter->kind]);
    rab_json_text(json, "about", parameter->about);
    if (parameter->kind == RAB_CHOICE) {
        rab_json_text(json, "usual", parameter->choices[(size_t)parameter->usual].name);
        rab_json_array(json, "choices");
        for (size_t i = 0; i < parameter->choice_count; i++) {
            rab_json_object(json, NULL);
            rab_json_text(json, "name", parameter->choices[i].name);
            rab_json_text(json, "about", parameter->choices[i].about);
            rab_json_end(json);
        }
        rab_json_end(json);
    } else if (parameter->kind == RAB_YES_NO) {
        rab_json_bool(json, "usual", parameter->usual != 0);
    } else {
        if (parameter->kind == RAB_LENGTH || parameter->kind == RAB_ANGLE)
            rab_json_text(json, "unit", parameter->kind == RAB_LENGTH ? "mm" : "deg");
        rab_json_number(json, "usual", parameter->usual * unit, 6);
        rab_json_number(json, "least", parameter->least * unit, 6);
        rab_json_number(json, "most", parameter->most * unit, 6);
    }
    rab_json_end(json);
}

static void report_shape(const struct arguments *arguments, const struct rab_shape *item,
                         struct rab_text *report)
{
    struct rab_json json = {.text = report};

    rab_json_object(&json, NULL);
    report_head(&json, item);
    rab_json_array(&json, "parameters");
    for (size_t i = 0; i < item->parameter_count; i++)
        report_parameter(&json, &item->parameters[i]);
    rab_json_end(&json);
    report_prepared(&json, &arguments->prepared);
    report_warnings(&json, &arguments->warnings);
    rab_json_end(&json);
}

/* With the usual values; of a motif a strip of a few repeats. */
static bool draw_usual(const struct rab_library *library, const struct rab_shape *item,
                       double tolerance, struct rab_figure *figure, struct rab_error *err)
{
    enum { REPEATS = 6 };
    struct rab_edge edge = {0};
    double *values = calloc(item->parameter_count + 1, sizeof *values), foot;
    bool ok = false;

    if (!values)
        return rab_fail_memory(err);
    if (!rab_shape_values(item, NULL, 0, values, err))
        goto done;
    if (!item->motif) {
        ok = rab_shape_draw(library, item, values, tolerance, figure, err);
        goto done;
    }
    if (!find_foot(library, item, values, &foot, err))
        goto done;
    const struct rab_strip_options strip = {.length = REPEATS * values[0],
                                            .width = values[1] + foot + values[0] / 2};
    if (!rab_edge_strip(library, item, values, &strip, tolerance, &edge, err))
        goto done;
    *figure = edge.figure;
    edge.figure = (struct rab_figure){0};
    ok = true;
done:
    rab_edge_clear(&edge);
    free(values);
    return ok;
}

/* ---- the command ----------------------------------------------------------------------- */

/* A name that is neither a shape's nor a family's. */
static bool fail_unknown(const struct rab_library *library, const char *name, struct rab_error *err)
{
    enum { MOST_FAMILIES = 100 };
    const char *families[MOST_FAMILIES + 1];
    size_t count = 0;

    for (size_t i = 0; i < rab_library_count(library) && count < MOST_FAMILIES; i++) {
        const char *family = rab_library_at(library, i)->family;
        if (count == 0 || strcmp(families[count - 1], family) != 0)
            families[count++] = family;
    }
    families[count] = NULL;
    const char *near = nearest_word(name, families);
    if (!near) {
        rab_library_find(library, name, err);
        return false;
    }
    return rab_fail(err, RAB_FAULT_INPUT,
                    "there is no shape, motif or family '%.60s'; did you mean the family %s?", name,
                    near);
}

static bool shapes(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    const char *name = arguments->operand, *family = NULL;
    struct rab_library *library = NULL;
    const struct rab_shape *item = NULL;
    struct rab_figure figure = {0};
    struct rab_sheet sheet = {0};
    struct rab_picture picture = {0};
    struct rab_text report = {0};
    double tolerance = 0;
    int units = 0;
    bool ok = false;

    if (!option_choice(arguments, "units", &units, err) ||
        !option_length(arguments, "tolerance", false, &tolerance, err) ||
        !check_outputs(arguments, NULL, err) || !open_library(arguments, &library, err))
        goto done;
    if (name && is_shape(library, name)) {
        item = rab_library_find(library, name, err);
    } else if (name && is_family(library, name)) {
        family = name;
    } else if (name) {
        fail_unknown(library, name, err);
        goto done;
    }
    if (!item && option_given(arguments, "o")) {
        rab_fail(err, RAB_FAULT_INPUT,
                 "-o writes one shape; give its name, as in 'rabbet shapes %s -o shape.png'",
                 rab_library_count(library) ? rab_library_at(library, 0)->name : "SHAPE");
        goto done;
    }
    if (item) {
        sheet.title = picture.title = item->title;
        if (option_given(arguments, "o") &&
            (!draw_usual(library, item, tolerance, &figure, err) ||
             !lay_figure(&figure, false, false, &sheet, err) ||
             (asks_picture(arguments) &&
              !picture_add_figure(&picture, &figure, rab_paper_colour(0), NULL, err))))
            goto done;
        if (option_given(arguments, "o") && !prepare_sheets(arguments, &sheet, 1, true, err))
            goto done;
        if (!say_shape(arguments, library, item, units == 1, said, err))
            goto done;
        report_shape(arguments, item, &report);
    } else {
        say_list(library, family, said);
        report_list(arguments, library, family, &report);
    }
    ok = write_outputs(arguments, &picture, &report, said, err);
done:
    rab_text_clear(&report);
    rab_picture_clear(&picture);
    rab_sheet_clear(&sheet);
    rab_figure_clear(&figure);
    rab_library_close(library);
    return ok;
}
