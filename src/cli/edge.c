/* rabbet edge: a strip, or an outline, with a motif repeated along its edge. */
#include "cli.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const struct option option_length_of_strip = {
    "length", 0, "LEN", false, "The strip's length. Needs --width, no --along."};
static const struct option option_width_of_strip = {
    "width", 0, "LEN", false,
    "The strip's width, peaks included. With --along: the drawing's true width from its leftmost "
    "to its rightmost line, when the file does not tell the size or tells it wrongly."};
static const struct option option_pitch = {
    "pitch", 0, "LEN", false,
    "From one repeat to the next; the motif's usual pitch unless given. It is stretched or shrunk "
    "as little as possible, so that whole repeats fill the length."};
static const struct option option_depth = {
    "depth", 0, "LEN", false, "From valley to peak; the motif's usual depth unless given."};
static const struct option option_ends = {
    "ends", 0, "whole|half|valley", false,
    "How a strip ends: with whole repeats, with half a repeat, or with a full flat valley. whole "
    "unless given."};
static const struct option option_sides = {
    "sides", 0, "one|both|apart", false,
    "Which long sides of a strip get the edge: the upper one, both alike, or both with the lower "
    "one half a repeat further. one unless given."};
static const struct option option_keep_pitch = {
    "keep-pitch", 0, NULL, false,
    "Keep the pitch as it is given: as many repeats as fit, in the middle, with equal plain ends."};
static const struct option option_along = {
    "along", 0, "FILE", false,
    "Put the edge around the outer outlines of a drawing (SVG or DXF). Its openings stay."};
static const struct option option_inward = {
    "inward", 0, NULL, false,
    "With --along: the peaks lie on the outline and the valleys inside it. Else the valleys lie on "
    "the outline, and the paper gets larger."};
static const struct option option_corners = {
    "corners", 0, "valley|peak|mitred|motif", false,
    "With --along: what stands on a corner: a valley, a peak, both sides cut along the corner's "
    "middle line, or the motif's own corner. valley unless given."};
static const struct option option_fewer = {
    "fewer", 0, NULL, false,
    "With --along: where repeats would run into each other, make fewer of them. Else that is an "
    "error."};
static const struct option option_behind = {
    "behind", 0, "LAYER", true,
    "One more paper behind, that shows by a reveal: 3mm, or with an edge of its own as in "
    "\"3mm scallop depth=4mm\". Repeat it for further layers, each behind the one before."};
static const struct option option_all_round = {
    "all-round", 0, NULL, false,
    "The layers behind a strip show at its ends too; else they are as long as the strip."};
static const struct option option_paper = {
    "paper", 0, "NAME", true,
    "The name of a paper, for the picture and the report: of the front, then of each layer behind "
    "it."};

static const struct option *const options[] = {&option_length_of_strip,
                                               &option_width_of_strip,
                                               &option_pitch,
                                               &option_depth,
                                               &option_ends,
                                               &option_sides,
                                               &option_keep_pitch,
                                               &option_along,
                                               &option_inward,
                                               &option_corners,
                                               &option_fewer,
                                               &option_behind,
                                               &option_all_round,
                                               &option_paper,
                                               &option_output,
                                               &option_report,
                                               &option_face,
                                               &option_library,
                                               &option_read,
                                               &option_join,
                                               &option_drawn_in,
                                               &option_units,
                                               &option_web,
                                               MACHINE_OPTIONS,
                                               NULL};

static const struct example examples[] = {
    {"A scalloped strip, for a machine and as a picture:",
     "edge scallop --length 12in --width 1in --depth 4mm -o strip.svg -o strip.png"},
    {"The same on both sides, on two more papers that show 3 mm each:",
     "edge scallop --length 12in --width 1.5in --depth 4mm --sides both --behind 3mm --behind 3mm "
     "-o strip.svg"},
    {"Around the outline of a drawing, outwards:",
     "edge scallop --along frame.svg --pitch 12mm --depth 4mm -o frame-edge.svg"},
    {"Postage holes along the edge of the drawing itself:",
     "edge postage --along frame.svg --inward -o stamp.svg"},
    {NULL, NULL}};

static bool edge(struct arguments *arguments, struct rab_text *said, struct rab_error *err);

const struct command edge_command = {
    .name = "edge",
    .operand = "MOTIF",
    .settings = true,
    .summary = "A strip, or an outline, with a decorative edge.",
    .about =
        "Repeats a motif of the library along a strip (--length and --width) or around the outer "
        "outlines of a drawing (--along). 'rabbet shapes edges' lists the motifs, 'rabbet shapes "
        "MOTIF' what can be set besides pitch and depth.\n"
        "The pitch is fitted so that whole repeats fill the length; the table tells from what to "
        "what. Around an outline each side between two corners gets whole repeats, a round outline "
        "gets them all round.\n"
        "Papers behind (--behind) become files of their own, -2, -3... The picture shows all of "
        "them on each other.",
    .options = options,
    .examples = examples,
    .run = edge,
};

/* One paper: the front, or what lies behind it. */
struct layer {
    const char *paper;             /* its name; NULL when it has none */
    double reveal;                 /* 0 of the front */
    const struct rab_shape *motif; /* NULL: the edge in front, larger by the reveal */
    double *values;
    struct rab_edge edge;
    struct rab_box box;
};

struct job {
    struct rab_strip_options strip;
    struct rab_along_options around;
    const char *along;
    bool all_round;
    int ends, sides, corners, face, units, read;
    double join, tolerance, true_width;

    struct rab_library *library;
    struct layer *layers; /* from the front */
    size_t count;
    struct rab_drawing drawing;
    struct rab_region paper; /* of the drawing */
    struct rab_sheet *sheets;
    struct rab_picture picture;
    struct rab_text title, note, report;
};

static void clear_job(struct job *job)
{
    rab_text_clear(&job->report);
    rab_text_clear(&job->note);
    rab_text_clear(&job->title);
    rab_picture_clear(&job->picture);
    for (size_t i = 0; i < job->count; i++) {
        free(job->layers[i].values);
        rab_edge_clear(&job->layers[i].edge);
        if (job->sheets)
            rab_sheet_clear(&job->sheets[i]);
    }
    free(job->sheets);
    free(job->layers);
    rab_region_clear(&job->paper);
    rab_drawing_clear(&job->drawing);
    rab_library_close(job->library);
}

/* ---- what is asked for ----------------------------------------------------------------- */

static bool refuse(const struct arguments *arguments, const char *const *names, const char *why,
                   struct rab_error *err)
{
    for (; *names; names++) {
        if (option_given(arguments, *names))
            return rab_fail(err, RAB_FAULT_INPUT, "--%s is for %s; leave it out", *names, why);
    }
    return true;
}

static bool read_options(const struct arguments *arguments, struct job *job, struct rab_error *err)
{
    static const char *const of_strips[] = {"length", "ends", "sides", "all-round", NULL};
    static const char *const of_outlines[] = {"inward", "corners",  "fewer", "read",
                                              "join",   "drawn-in", NULL};
    double width = 0;

    job->along = option_text(arguments, "along");
    if (!option_length(arguments, "length", false, &job->strip.length, err) ||
        !option_length(arguments, "width", false, &width, err) ||
        !option_choice(arguments, "ends", &job->ends, err) ||
        !option_choice(arguments, "sides", &job->sides, err) ||
        !option_choice(arguments, "corners", &job->corners, err) ||
        !option_choice(arguments, "face", &job->face, err) ||
        !option_choice(arguments, "units", &job->units, err) ||
        !option_choice(arguments, "read", &job->read, err) ||
        !option_length(arguments, "join", true, &job->join, err) ||
        !option_length(arguments, "tolerance", false, &job->tolerance, err) ||
        !check_outputs(arguments, job->along, err) ||
        !refuse(arguments, job->along ? of_strips : of_outlines,
                job->along ? "strips, not for --along" : "--along FILE", err))
        return false;
    if (!job->along && (!option_given(arguments, "length") || !option_given(arguments, "width")))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the strip's %s is missing; give --length LEN and --width LEN, or --along "
                        "FILE for an edge around an outline",
                        option_given(arguments, "length") ? "width" : "length");
    /* The words stand in the tables in the order of the library's. */
    job->strip.width = job->true_width = width;
    job->strip.ends = (enum rab_ends)job->ends;
    job->strip.sides = (enum rab_sides)job->sides;
    job->around.corners = (enum rab_corners)job->corners;
    job->around.inward = option_given(arguments, "inward");
    job->around.fewer = option_given(arguments, "fewer");
    job->strip.keep_pitch = job->around.keep_pitch = option_given(arguments, "keep-pitch");
    job->all_round = option_given(arguments, "all-round");
    return true;
}

static bool find_motif(const struct job *job, const char *name, const struct rab_setting *settings,
                       size_t count, struct layer *layer, struct rab_error *err)
{
    const struct rab_shape *motif = rab_library_find(job->library, name, err);

    if (!motif)
        return false;
    if (!motif->motif)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "%s is a shape and no edge motif; 'rabbet shape %s' draws it, 'rabbet "
                        "shapes edges' lists the motifs",
                        motif->name, motif->name);
    layer->motif = motif;
    layer->values = calloc(motif->parameter_count + 1, sizeof *layer->values);
    return layer->values ? rab_shape_values(motif, settings, count, layer->values, err)
                         : rab_fail_memory(err);
}

/* --pitch and --depth are settings like the others. */
static bool read_front(const struct arguments *arguments, struct job *job, struct rab_error *err)
{
    static const char *const doors[] = {"pitch", "depth"};
    size_t count = arguments->setting_count;
    struct rab_setting *settings = calloc(count + 2, sizeof *settings);
    double checked;
    bool ok = true;

    if (!settings)
        return rab_fail_memory(err);
    if (count > 0)
        memcpy(settings, arguments->settings, count * sizeof *settings);
    for (size_t i = 0; i < 2 && ok; i++) {
        const char *text = option_text(arguments, doors[i]);
        if (text)
            settings[count++] = (struct rab_setting){doors[i], text};
        ok = option_length(arguments, doors[i], false, &checked, err);
    }
    ok = ok && find_motif(job, arguments->operand, settings, count, &job->layers[0], err);
    free(settings);
    return ok;
}

/* The next word, ended by a NUL; NULL when there is none. */
static char *next_word(char **at)
{
    char *word = *at + strspn(*at, " \t");

    if (!*word)
        return NULL;
    *at = word + strcspn(word, " \t");
    if (**at)
        *(*at)++ = '\0';
    return word;
}

/* "3mm", "1 1/8in", "3 mm": the reveal is one word or two. */
static bool read_reveal(const char *text, double *reveal, size_t *used)
{
    size_t length = 0;

    for (int words = 1; words <= 2; words++) {
        struct rab_text part = {0};
        length += strspn(text + length, " \t");
        length += strcspn(text + length, " \t");
        rab_text_bytes(&part, text, length);
        const bool ok =
            !part.failed && part.data && rab_length_read(part.data, RAB_UNIT_NONE, reveal, NULL);
        rab_text_clear(&part);
        if (ok) {
            *used = length;
            return true;
        }
    }
    return false;
}

/* "LEN [MOTIF [NAME=VALUE ...]]" */
static bool read_layer(const struct job *job, const char *given, struct layer *layer,
                       struct rab_error *err)
{
    enum { MOST_SETTINGS = 64 };
    struct rab_setting settings[MOST_SETTINGS];
    size_t count = 0, used = 0;
    char *text = NULL, *at, *word;
    bool ok = false;

    if (!read_reveal(given, &layer->reveal, &used))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "--behind %.60s does not begin with the reveal; give it with its unit, as "
                        "in --behind 3mm or --behind \"3mm scallop depth=4mm\"",
                        given);
    if (!(layer->reveal > 0))
        return rab_fail(err, RAB_FAULT_INPUT, "--behind %.60s: the reveal must be more than 0",
                        given);
    text = strdup(given);
    if (!text)
        return rab_fail_memory(err);
    at = text + used;
    const char *name = next_word(&at);
    while ((word = next_word(&at))) {
        char *equals = strchr(word, '=');
        if (!equals || equals == word || count == MOST_SETTINGS) {
            rab_fail(err, RAB_FAULT_INPUT,
                     "--behind %.60s: '%.40s' is not understood; after the reveal and the motif "
                     "come settings, as in depth=4mm",
                     given, word);
            goto done;
        }
        *equals = '\0';
        settings[count++] = (struct rab_setting){word, equals + 1};
    }
    if (name && strchr(name, '=')) {
        rab_fail(err, RAB_FAULT_INPUT,
                 "--behind %.60s: give the motif before its settings, as in \"3mm scallop "
                 "depth=4mm\"",
                 given);
        goto done;
    }
    ok = !name || find_motif(job, name, settings, count, layer, err);
done:
    free(text);
    return ok;
}

static bool read_layers(const struct arguments *arguments, struct job *job, struct rab_error *err)
{
    size_t papers = 0, layers = 1;

    job->layers = calloc(arguments->count + 1, sizeof *job->layers);
    if (!job->layers)
        return rab_fail_memory(err);
    job->count = 1;
    if (!read_front(arguments, job, err))
        return false;
    for (size_t i = 0; i < arguments->count; i++) {
        if (arguments->given[i].option != &option_behind)
            continue;
        job->count = ++layers;
        if (!read_layer(job, arguments->given[i].value, &job->layers[layers - 1], err))
            return false;
    }
    for (size_t i = 0; i < arguments->count; i++) {
        if (arguments->given[i].option != &option_paper)
            continue;
        if (papers == layers)
            return rab_fail(err, RAB_FAULT_INPUT,
                            "--paper is given more often than there are layers (%zu); name the "
                            "front first, then each layer behind it",
                            layers);
        job->layers[papers++].paper = arguments->given[i].value;
    }
    return true;
}

/* ---- strips ---------------------------------------------------------------------------- */

static void move_edge(struct rab_edge *edge, double dx, double dy)
{
    for (size_t i = 0; i < edge->figure.paper.count; i++)
        rab_outline_move(&edge->figure.paper.outlines[i], dx, dy);
    for (size_t i = 0; i < edge->figure.path_count; i++)
        rab_outline_move(&edge->figure.paths[i].outline, dx, dy);
}

/* A strip whose valleys lie outside of all that is in front of it, by the reveal. */
static bool strip_behind(const struct job *job, const struct rab_box *front, struct layer *layer,
                         struct rab_box *covered, struct rab_error *err)
{
    const bool two = job->strip.sides != RAB_SIDES_ONE;
    const double above = layer->reveal + layer->values[1], below = two ? above : layer->reveal;
    const double aside = job->all_round ? layer->reveal : 0;
    struct rab_strip_options strip = job->strip;

    *covered = (struct rab_box){front->x0 - aside, front->y0 - below, front->x1 + aside,
                                front->y1 + above};
    strip.length = covered->x1 - covered->x0;
    strip.width = covered->y1 - covered->y0;
    if (!rab_edge_strip(job->library, layer->motif, layer->values, &strip, job->tolerance,
                        &layer->edge, err))
        return false;
    move_edge(&layer->edge, covered->x0, covered->y0);
    return true;
}

static bool make_strips(struct job *job, struct rab_error *err)
{
    struct rab_box covered = {0, 0, job->strip.length, job->strip.width};

    if (!rab_edge_strip(job->library, job->layers[0].motif, job->layers[0].values, &job->strip,
                        job->tolerance, &job->layers[0].edge, err))
        return false;
    for (size_t i = 1; i < job->count; i++) {
        struct layer *layer = &job->layers[i];
        const struct rab_box front = covered;
        if (layer->motif) {
            if (!strip_behind(job, &front, layer, &covered, err))
                return false;
            continue;
        }
        if (!rab_edge_behind(&job->layers[i - 1].edge.figure.paper, layer->reveal, !job->all_round,
                             &layer->edge.figure.paper, err))
            return false;
        covered = rab_region_box(&layer->edge.figure.paper);
    }
    return true;
}

/* ---- around outlines ------------------------------------------------------------------- */

/* The drawing's box on the millimetres that it truly has. */
static void scale_paper(struct job *job)
{
    const struct rab_box box = rab_region_box(&job->paper);
    const double factor = job->true_width / (box.x1 - box.x0);

    for (size_t i = 0; i < job->paper.count; i++)
        rab_outline_scale(&job->paper.outlines[i], factor, (struct rab_point){box.x0, box.y0});
}

static bool read_paper(struct arguments *arguments, struct job *job, struct rab_error *err)
{
    struct rab_reading_report report;

    if (!read_drawing(arguments, job->along, &job->drawing, err) ||
        !rab_drawing_region(&job->drawing, reading_of(job->read), job->join, &job->paper, &report,
                            &arguments->warnings, err))
        return false;
    if (option_given(arguments, "width"))
        scale_paper(job);
    return true;
}

static bool replace(struct rab_region *region, const struct rab_region *with, double by,
                    struct rab_error *err)
{
    struct rab_region grown = {0};

    if (!rab_edge_behind(with, by, false, &grown, err))
        return false;
    rab_region_clear(region);
    *region = grown;
    return true;
}

/* Peaks that are led to a point when they are grown stand out further than the reveal. */
static bool cover_points(const struct rab_region *layer, double reveal, struct rab_region *covered,
                         struct rab_error *err)
{
    struct rab_region beyond = {0};
    bool ok = rab_region_combine(layer, covered, RAB_DIFFERENCE, &beyond, err);

    if (ok && rab_region_area(&beyond) > 1e-3)
        ok = replace(covered, covered, reveal / 2, err);
    rab_region_clear(&beyond);
    return ok;
}

static bool outline_behind(struct arguments *arguments, const struct job *job,
                           const struct rab_along_options *outward, const struct layer *front,
                           struct layer *layer, struct rab_region *covered, struct rab_error *err)
{
    if (!replace(covered, covered, layer->reveal, err))
        return false;
    if (layer->motif)
        return rab_edge_along(job->library, layer->motif, layer->values, covered, outward,
                              job->tolerance, &layer->edge, &arguments->warnings, err) &&
               replace(covered, covered, layer->values[1], err);
    return rab_edge_behind(&front->edge.figure.paper, layer->reveal, false,
                           &layer->edge.figure.paper, err) &&
           cover_points(&layer->edge.figure.paper, layer->reveal, covered, err);
}

/* `covered` is all that the layers so far can cover: the next motif stands outside of it. */
static bool make_outlines(struct arguments *arguments, struct job *job, struct rab_error *err)
{
    struct rab_region covered = {0};
    struct rab_along_options outward = job->around;
    struct layer *front = &job->layers[0];
    bool ok = rab_edge_along(job->library, front->motif, front->values, &job->paper, &job->around,
                             job->tolerance, &front->edge, &arguments->warnings, err);

    outward.inward = false;
    ok = ok && (job->count == 1 ||
                (job->around.inward ? rab_region_copy(&job->paper, &covered, err)
                                    : replace(&covered, &job->paper, front->values[1], err)));
    for (size_t i = 1; i < job->count && ok; i++)
        ok = outline_behind(arguments, job, &outward, &job->layers[i - 1], &job->layers[i],
                            &covered, err);
    rab_region_clear(&covered);
    return ok;
}

/* ---- sheets and the picture ------------------------------------------------------------ */

static void add_layer_name(struct rab_text *text, const struct job *job, size_t i)
{
    if (i == 0)
        rab_text_add(text, job->along ? "outline" : "strip");
    else
        rab_text_format(text, "layer %zu", i + 1);
    if (job->layers[i].paper)
        rab_text_format(text, ", %s", job->layers[i].paper);
}

static bool make_sheets(struct job *job, struct rab_error *err)
{
    job->sheets = calloc(job->count, sizeof *job->sheets);
    if (!job->sheets)
        return rab_fail_memory(err);
    for (size_t i = 0; i < job->count; i++) {
        struct layer *layer = &job->layers[i];
        layer->box = rab_region_box(&layer->edge.figure.paper);
        job->sheets[i].title = job->title.data;
        if (!lay_figure(&layer->edge.figure, job->face == 1, false, &job->sheets[i], err))
            return false;
    }
    return true;
}

static bool draw_picture(struct job *job, struct rab_error *err)
{
    const bool legend = job->count > 1 || job->layers[0].paper;
    bool ok = true;

    job->picture.title = job->title.data;
    job->picture.note = job->note.data;
    for (size_t i = job->count; i-- > 0 && ok;) {
        struct rab_text name = {0};
        add_layer_name(&name, job, i);
        ok = rab_text_ok(&name, err) &&
             picture_add_figure(&job->picture, &job->layers[i].edge.figure, rab_paper_colour(i),
                                legend ? name.data : NULL, err);
        rab_text_clear(&name);
    }
    return ok;
}

/* ---- what people read ------------------------------------------------------------------ */

static double change_percent(const struct rab_run *run)
{
    return (run->pitch / run->asked - 1) * 100;
}

static bool same_run(const struct rab_run *a, const struct rab_run *b)
{
    const double same = 1e-6;

    return a->count == b->count && fabs(a->length - b->length) < same &&
           fabs(a->pitch - b->pitch) < same && fabs(a->plain - b->plain) < same;
}

/* Which stretches come out alike: "both sides", "1, 3". */
static void add_where(struct rab_text *cells, const struct job *job, const struct rab_edge *edge,
                      size_t run)
{
    enum { FEW = 8 };
    size_t alike = 0;

    if (!job->along && edge->run_count == 1) {
        rab_text_add(cells, "upper side");
    } else if (!job->along) {
        rab_text_add(cells, same_run(&edge->runs[0], &edge->runs[1]) ? "both sides"
                            : run == 0                               ? "upper side"
                                                                     : "lower side");
    } else if (edge->run_count == 1) {
        rab_text_add(cells, "all round");
    } else {
        for (size_t i = run; i < edge->run_count; i++)
            alike += same_run(&edge->runs[i], &edge->runs[run]);
        for (size_t i = run, said = 0; i < edge->run_count && said < FEW; i++) {
            if (same_run(&edge->runs[i], &edge->runs[run]))
                rab_text_format(cells, "%s%zu", said++ ? ", " : "stretch ", i + 1);
        }
        if (alike > FEW)
            rab_text_format(cells, "... (%zu)", alike);
    }
}

static bool said_before(const struct rab_edge *edge, size_t run)
{
    for (size_t i = 0; i < run; i++) {
        if (same_run(&edge->runs[i], &edge->runs[run]))
            return true;
    }
    return false;
}

static void add_run(struct rab_text *cells, const struct rab_run *run, bool in_first)
{
    rab_text_length(cells, run->length, in_first, 16);
    rab_text_format(cells, "\t%zu\t", run->count);
    if (run->count == 0) {
        rab_text_add(cells, "-\t-\tplain\n");
        return;
    }
    rab_text_add(cells, "from ");
    rab_text_length(cells, run->asked, in_first, 16);
    rab_text_add(cells, " to ");
    rab_text_length(cells, run->pitch, in_first, 16);
    rab_text_add(cells, change_percent(run) >= 0.05 ? "\t+" : "\t");
    rab_text_fixed(cells, change_percent(run), 1);
    rab_text_add(cells, " %\t");
    if (run->plain > 1e-6)
        rab_text_length(cells, run->plain, in_first, 16);
    else
        rab_text_add(cells, "-");
    rab_text_add(cells, "\n");
}

static void say_runs(const struct job *job, bool in_first, struct rab_text *said)
{
    struct rab_text cells = {0};

    if (job->count > 1)
        rab_text_add(&cells, "paper\t");
    rab_text_add(&cells, "edge\tlength\trepeats\tpitch\tchange\tplain ends\n");
    for (size_t i = 0; i < job->count; i++) {
        const struct rab_edge *made = &job->layers[i].edge;
        for (size_t run = 0; run < made->run_count; run++) {
            if (said_before(made, run))
                continue;
            if (job->count > 1) {
                add_layer_name(&cells, job, i);
                rab_text_add(&cells, "\t");
            }
            add_where(&cells, job, made, run);
            rab_text_add(&cells, "\t");
            add_run(&cells, &made->runs[run], in_first);
        }
    }
    if (cells.failed)
        said->failed = true;
    else
        add_table(said, cells.data, job->count > 1 ? "lllrlrl" : "llrlrl");
    rab_text_clear(&cells);
}

static void say_sizes(const struct job *job, bool in_first, struct rab_text *said)
{
    struct rab_text cells = {0};

    for (size_t i = 0; i < job->count; i++) {
        const struct layer *layer = &job->layers[i];
        add_layer_name(&cells, job, i);
        rab_text_add(&cells, "\t");
        rab_text_size(&cells, layer->box.x1 - layer->box.x0, layer->box.y1 - layer->box.y0,
                      in_first, 16);
        if (i > 0) {
            rab_text_add(&cells, "\tshows ");
            rab_text_length(&cells, layer->reveal, in_first, 16);
            if (layer->motif)
                rab_text_add(&cells, " at its valleys");
        }
        rab_text_add(&cells, "\n");
    }
    if (cells.failed)
        said->failed = true;
    else
        add_table(said, cells.data, "lll");
    rab_text_clear(&cells);
}

/* Title and note of the picture. */
static bool name_all(struct job *job, struct rab_error *err)
{
    const struct rab_edge *front = &job->layers[0].edge;
    const char *title = job->layers[0].motif->title;
    size_t repeats = 0;
    bool alike = true;

    if (job->drawing.title && *job->drawing.title)
        rab_text_format(&job->title, "%s: %s", job->drawing.title, title);
    else
        rab_text_add(&job->title, title);
    for (size_t i = 0; i < front->run_count; i++) {
        repeats += front->runs[i].count;
        alike = alike && same_run(&front->runs[0], &front->runs[i]);
    }
    rab_text_format(&job->note, "%zu repeats, pitch from ", repeats);
    rab_text_length(&job->note, job->layers[0].values[0], job->units == 1, 16);
    if (alike && front->run_count > 0) {
        rab_text_add(&job->note, " to ");
        rab_text_length(&job->note, front->runs[0].pitch, job->units == 1, 16);
    } else {
        rab_text_add(&job->note, ", fitted to each stretch");
    }
    return rab_text_ok(&job->title, err) && rab_text_ok(&job->note, err);
}

/* ---- what programs read ---------------------------------------------------------------- */

static void report_runs(struct rab_json *json, const struct job *job)
{
    rab_json_array(json, "runs");
    for (size_t i = 0; i < job->count; i++) {
        const struct rab_edge *made = &job->layers[i].edge;
        for (size_t n = 0; n < made->run_count; n++) {
            const struct rab_run *run = &made->runs[n];
            rab_json_object(json, NULL);
            rab_json_whole(json, "piece", (long long)i + 1);
            rab_json_whole(json, "stretch", (long long)n + 1);
            rab_json_number(json, "length_mm", run->length, 6);
            rab_json_whole(json, "count", (long long)run->count);
            rab_json_number(json, "pitch_asked_mm", run->asked, 6);
            rab_json_number(json, "pitch_mm", run->pitch, 6);
            rab_json_number(json, "change_percent", change_percent(run), 4);
            rab_json_number(json, "plain_mm", run->plain, 6);
            rab_json_end(json);
        }
    }
    rab_json_end(json);
}

static void report_pieces(struct rab_json *json, const struct job *job)
{
    rab_json_array(json, "pieces");
    for (size_t i = 0; i < job->count; i++) {
        const struct layer *layer = &job->layers[i];
        const struct rab_figure *figure = &layer->edge.figure;
        const struct figure_counts counts = count_figure(figure);
        rab_json_object(json, NULL);
        rab_json_whole(json, "piece", (long long)i + 1);
        if (layer->paper)
            rab_json_text(json, "paper", layer->paper);
        if (layer->motif) {
            rab_json_text(json, "motif", layer->motif->name);
            report_values(json, layer->motif, layer->values);
        }
        if (i > 0)
            rab_json_number(json, "reveal_mm", layer->reveal, 4);
        rab_json_number(json, "area_mm2", rab_region_area(&figure->paper), 4);
        rab_json_number(json, "perimeter_mm", rab_region_perimeter(&figure->paper), 4);
        report_box(json, "box_mm", layer->box);
        rab_json_number(json, "width_mm", layer->box.x1 - layer->box.x0, 4);
        rab_json_number(json, "height_mm", layer->box.y1 - layer->box.y0, 4);
        rab_json_whole(json, "openings", (long long)counts.openings);
        rab_json_whole(json, "vertices", (long long)counts.vertices);
        rab_json_whole(json, "sheet", (long long)i + 1);
        rab_json_end(json);
    }
    rab_json_end(json);
}

static void write_report(const struct arguments *arguments, struct job *job)
{
    static const char *const ends[] = {"whole", "half", "valley"};
    static const char *const sides[] = {"one", "both", "apart"};
    static const char *const corners[] = {"valley", "peak", "mitred", "motif"};
    struct rab_json json = {.text = &job->report};

    rab_json_object(&json, NULL);
    rab_json_text(&json, "motif", job->layers[0].motif->name);
    if (job->along) {
        rab_json_text(&json, "along", job->along);
        rab_json_bool(&json, "inward", job->around.inward);
        rab_json_text(&json, "corners", corners[job->corners]);
    } else {
        rab_json_number(&json, "length_mm", job->strip.length, 6);
        rab_json_number(&json, "width_mm", job->strip.width, 6);
        rab_json_text(&json, "ends", ends[job->ends]);
        rab_json_text(&json, "sides", sides[job->sides]);
    }
    report_runs(&json, job);
    report_pieces(&json, job);
    report_prepared(&json, &arguments->prepared);
    report_warnings(&json, &arguments->warnings);
    rab_json_end(&json);
}

static bool look_at_layers(struct arguments *arguments, struct job *job, struct rab_error *err)
{
    const struct rab_figure **figures = calloc(job->count, sizeof(const struct rab_figure *));
    bool ok;

    if (!figures)
        return rab_fail_memory(err);
    for (size_t i = 0; i < job->count; i++)
        figures[i] = &job->layers[i].edge.figure;
    ok = look_at_figures(arguments, figures, job->count, job->units == 1, &job->picture, err);
    free(figures);
    return ok;
}

/* ---- the command ----------------------------------------------------------------------- */

static bool edge(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    struct job job = {.read = -1, .join = -1};
    bool ok = false;

    if (!read_options(arguments, &job, err) || !open_library(arguments, &job.library, err) ||
        !read_layers(arguments, &job, err))
        goto done;
    if (job.along ? !read_paper(arguments, &job, err) || !make_outlines(arguments, &job, err)
                  : !make_strips(&job, err))
        goto done;
    arguments->place = NULL;
    if (!name_all(&job, err) || !make_sheets(&job, err) ||
        (asks_picture(arguments) && !draw_picture(&job, err)) ||
        !look_at_layers(arguments, &job, err) ||
        !prepare_sheets(arguments, job.sheets, job.count, true, err))
        goto done;
    if (option_given(arguments, "report"))
        write_report(arguments, &job);
    say_runs(&job, job.units == 1, said);
    say_sizes(&job, job.units == 1, said);
    ok = write_outputs(arguments, &job.picture, &job.report, said, err);
done:
    clear_job(&job);
    return ok;
}
