/* rabbet inspect: what would go wrong with a drawing at the machine. */
#include "cli.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const struct option option_small = {
    "small", 0, "LEN", false, "Outlines less than this across are told. 2mm unless given."};

static const struct option *const options[] = {&option_output,    &option_report, &option_web,
                                               &option_small,     &option_width,  &option_drawn_in,
                                               &option_tolerance, &option_units,  NULL};

static const struct example examples[] = {
    {"What would go wrong, as a list and as a picture:", "inspect frame.svg -o trouble.png"},
    {"For a laser, which leaves narrower webs whole:", "inspect frame.svg --web 1mm"},
    {"All of it, for a program:", "inspect frame.svg --report trouble.json"},
    {NULL, NULL}};

static bool inspect(struct arguments *arguments, struct rab_text *said, struct rab_error *err);

const struct command inspect_command = {
    .name = "inspect",
    .operand = "DRAWING",
    .summary = "What would go wrong with a drawing at the machine.",
    .about =
        "Reads an SVG or DXF drawing as a machine would follow it, line by line, and tells its "
        "size "
        "and what would spoil the sheet: lines that are open, that cross or are cut twice, "
        "corners too sharp for a blade, webs too thin for the paper, parts that are too small, "
        "lines broken into crumbs, and letters or pictures that no machine cuts. The picture shows "
        "where. Nothing is mended: 'rabbet convert' does that.",
    .options = options,
    .examples = examples,
    .run = inspect,
};

/* What a kind of trouble is called in the list, and what its measure is. */
static const struct {
    const char *one, *many, *mark, *advice;
    enum { NO_MEASURE, LENGTH_LEAST, LENGTH_MOST, ANGLE_LEAST, COUNT_MOST } measure;
} words[RAB_TROUBLES] = {
    [RAB_TROUBLE_OPEN] = {"open end", "open ends", "open end",
                          "the part does not come free; join the lines", LENGTH_MOST},
    [RAB_TROUBLE_CROSSING] = {"crossing", "crossings", "cuts cross",
                              "the pieces are damaged; unite the shapes", NO_MEASURE},
    [RAB_TROUBLE_DOUBLE] = {"double line", "double lines", "cut twice",
                            "the paper tears; leave one of them out", LENGTH_MOST},
    [RAB_TROUBLE_CORNER] = {"sharp corner", "sharp corners", "sharp corner",
                            "a blade tears the tip; round it", ANGLE_LEAST},
    [RAB_TROUBLE_WEB] = {"thin web", "thin webs", "thin web",
                         "the paper tears; move the cuts apart", LENGTH_LEAST},
    [RAB_TROUBLE_SMALL] = {"small part", "small parts", "small part",
                           "it is lost, or jams the machine; leave it out", LENGTH_LEAST},
    [RAB_TROUBLE_SEGMENT] = {"run of crumbs", "runs of crumbs", "crumbs of lines",
                             "the machine stops at each; convert the drawing", COUNT_MOST},
};

static bool list_paths(const struct rab_drawing *drawing, struct rab_path **paths, size_t *count,
                       struct rab_error *err)
{
    size_t n = 0;

    for (size_t i = 0; i < drawing->count; i++)
        n += drawing->items[i].count;
    *paths = calloc(n + 1, sizeof **paths);
    if (!*paths)
        return rab_fail_memory(err);
    *count = 0;
    for (size_t i = 0; i < drawing->count; i++)
        for (size_t k = 0; k < drawing->items[i].count; k++)
            (*paths)[(*count)++] =
                (struct rab_path){drawing->items[i].operation, 0, drawing->items[i].outlines[k]};
    return true;
}

/* The line of the file that an outline came from. */
static int line_of(const struct rab_drawing *drawing, size_t path)
{
    for (size_t i = 0; i < drawing->count; i++) {
        if (path < drawing->items[i].count)
            return drawing->items[i].line;
        path -= drawing->items[i].count;
    }
    return 0;
}

struct totals {
    struct rab_box box;
    size_t closed, open, vertices;
    double length;
};

static struct totals add_up(const struct rab_path *paths, size_t count)
{
    struct totals t = {.box = RAB_BOX_EMPTY};

    for (size_t i = 0; i < count; i++) {
        const struct rab_outline *o = &paths[i].outline;
        t.box = rab_box_join(t.box, rab_outline_box(o));
        *(o->open ? &t.open : &t.closed) += 1;
        t.vertices += o->count;
        t.length += rab_outline_perimeter(o);
    }
    return t;
}

static void add_place(struct rab_text *text, struct rab_point at)
{
    rab_text_add(text, "at ");
    rab_text_fixed(text, at.x, 1);
    rab_text_add(text, ", ");
    rab_text_fixed(text, at.y, 1);
}

static void add_measure(struct rab_text *text, const struct rab_trouble *t, bool in_first)
{
    switch (words[t->kind].measure) {
    case LENGTH_LEAST:
    case LENGTH_MOST:
        if (isfinite(t->measure))
            rab_text_length(text, t->measure, in_first, 32);
        break;
    case ANGLE_LEAST:
        rab_text_fixed(text, t->measure * 180 / RAB_PI, 0);
        rab_text_add(text, " degrees");
        break;
    case COUNT_MOST:
        rab_text_fixed(text, t->measure, 0);
        rab_text_add(text, " in a row");
        break;
    case NO_MEASURE:
        break;
    }
}

/* Of each kind how many there are, and the worst of them. */
static void say_troubles(const struct rab_troubles *troubles, bool in_first, struct rab_text *cells)
{
    for (int kind = 0; kind < RAB_TROUBLES; kind++) {
        const struct rab_trouble *worst = NULL;
        size_t count = 0;
        for (size_t i = 0; i < troubles->count; i++) {
            const struct rab_trouble *t = &troubles->items[i];
            if ((int)t->kind != kind)
                continue;
            count++;
            const bool least =
                words[kind].measure == LENGTH_LEAST || words[kind].measure == ANGLE_LEAST;
            if (!worst || (least ? t->measure < worst->measure : t->measure > worst->measure))
                worst = t;
        }
        if (!worst)
            continue;
        rab_text_format(cells, "%zu\t%s\t", count, count == 1 ? words[kind].one : words[kind].many);
        add_measure(cells, worst, in_first);
        rab_text_add(cells, "\t");
        add_place(cells, worst->at);
        rab_text_format(cells, "\t%s\n", words[kind].advice);
    }
}

static void say_all(const struct totals *totals, const struct rab_drawing *drawing,
                    const struct rab_troubles *troubles, bool in_first, struct rab_text *said)
{
    struct rab_text cells = {0};

    rab_text_add(&cells, "size\t");
    rab_text_size(&cells, totals->box.x1 - totals->box.x0, totals->box.y1 - totals->box.y0,
                  in_first, 16);
    rab_text_format(&cells, "%s\noutlines\t%zu closed, %zu open\nvertices\t%zu\ncutting\t",
                    drawing->size_known ? "" : ", not stated by the file", totals->closed,
                    totals->open, totals->vertices);
    rab_text_fixed(&cells, totals->length / 1000, 2);
    rab_text_add(&cells, " m\n");
    if (cells.failed)
        said->failed = true;
    else
        add_table(said, cells.data, "ll");
    rab_text_clear(&cells);
    if (troubles->count == 0) {
        rab_text_add(said, "\nNothing is found that would go wrong.\n");
        return;
    }
    rab_text_add(said, "\nTrouble, the worst of each kind (places in mm from the lower left):\n");
    say_troubles(troubles, in_first, &cells);
    if (cells.failed)
        said->failed = true;
    else if (cells.length > 0)
        add_table(said, cells.data, "rllll");
    rab_text_clear(&cells);
}

static void write_report(const struct arguments *arguments, const struct totals *totals,
                         const struct rab_drawing *drawing, const struct rab_troubles *troubles,
                         struct rab_text *report)
{
    struct rab_json json = {.text = report};

    rab_json_object(&json, NULL);
    rab_json_text(&json, "drawing", arguments->operand);
    rab_json_bool(&json, "size_known", drawing->size_known);
    report_box(&json, "box_mm", totals->box);
    rab_json_whole(&json, "closed", (long long)totals->closed);
    rab_json_whole(&json, "open", (long long)totals->open);
    rab_json_whole(&json, "vertices", (long long)totals->vertices);
    rab_json_number(&json, "length_mm", totals->length, 4);
    rab_json_array(&json, "troubles");
    for (size_t i = 0; i < troubles->count; i++) {
        const struct rab_trouble *t = &troubles->items[i];
        rab_json_object(&json, NULL);
        rab_json_text(&json, "code", rab_trouble_code(t->kind));
        rab_json_whole(&json, "line", line_of(drawing, t->path));
        rab_json_numbers(&json, "at_mm", (const double[]){t->at.x, t->at.y}, 2, 4);
        if (words[t->kind].measure == ANGLE_LEAST)
            rab_json_number(&json, "angle_deg", t->measure * 180 / RAB_PI, 2);
        else if (words[t->kind].measure == COUNT_MOST)
            rab_json_number(&json, "count", t->measure, 0);
        else if (words[t->kind].measure != NO_MEASURE)
            rab_json_number(&json, "length_mm", t->measure, 4);
        rab_json_end(&json);
    }
    rab_json_end(&json);
    report_warnings(&json, &arguments->warnings);
    rab_json_end(&json);
}

/* The lines as a machine follows them, and a ring at each trouble; of each kind the first ones, so
 * that the rings do not hide the drawing. */
static bool draw_picture(const struct rab_path *paths, size_t count,
                         const struct rab_troubles *troubles, struct rab_picture *picture,
                         struct rab_error *err)
{
    enum { ENOUGH = 40 };
    size_t shown[RAB_TROUBLES] = {0};

    for (size_t i = 0; i < count; i++)
        if (!rab_picture_line(picture, &paths[i].outline, (enum rab_line)paths[i].operation,
                              rab_operation_name(paths[i].operation), err))
            return false;
    for (size_t i = 0; i < troubles->count; i++) {
        const struct rab_trouble *t = &troubles->items[i];
        if (shown[t->kind]++ < ENOUGH &&
            !rab_picture_mark(picture, t->at, words[t->kind].mark, "trouble", err))
            return false;
    }
    return true;
}

static bool inspect(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    struct rab_drawing drawing = {0};
    struct rab_look_options look = {0};
    struct rab_troubles troubles = {0};
    struct rab_picture picture = {0};
    struct rab_text report = {0};
    struct rab_path *paths = NULL;
    size_t count = 0;
    int units = 0;
    bool ok = false;

    if (!option_length(arguments, "web", false, &look.web, err) ||
        !option_length(arguments, "small", false, &look.small, err) ||
        !option_choice(arguments, "units", &units, err) ||
        !check_outputs(arguments, arguments->operand, err) ||
        !check_pictures_only(arguments, err) ||
        !read_drawing(arguments, arguments->operand, &drawing, err) ||
        !list_paths(&drawing, &paths, &count, err) ||
        !rab_plan_look(paths, count, &look, &troubles, err) ||
        (troubles.cut_short &&
         !rab_warn(
             &arguments->warnings, err, "crowded", 0,
             "so many lines lie close together that not all of them were looked at: there may "
             "be more trouble than is told")))
        goto done;
    arguments->place = NULL;
    const struct totals totals = add_up(paths, count);
    picture.title = drawing.title ? drawing.title : "What would go wrong";
    if (asks_picture(arguments) && !draw_picture(paths, count, &troubles, &picture, err))
        goto done;
    if (option_given(arguments, "report"))
        write_report(arguments, &totals, &drawing, &troubles, &report);
    say_all(&totals, &drawing, &troubles, units == 1, said);
    ok = write_outputs(arguments, &picture, &report, said, err);
done:
    rab_text_clear(&report);
    rab_picture_clear(&picture);
    rab_troubles_clear(&troubles);
    free(paths);
    rab_drawing_clear(&drawing);
    return ok;
}
