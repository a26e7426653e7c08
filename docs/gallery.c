/*
 * Makes docs/shapes.md and the pictures in docs/shapes/ from the library that comes with rabbet:
 *
 *     gallery FOLDER
 *
 * writes FOLDER/shapes.md and FOLDER/shapes/FAMILY.png; FOLDER/shapes must be there. Refresh those
 * of the project with `ninja -C build gallery`; a test holds the page to what this program writes.
 */
#include "write/style.h"
#include "write/words.h"

#include <rabbet/rabbet.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One cell of a contact sheet. */
struct item {
    const struct rab_shape *shape;
    struct rab_figure figure;
    struct rab_box box; /* of all that is drawn */
};

struct family {
    const char *name;
    struct item *items;
    size_t count;
};

struct gallery {
    struct rab_library *library;
    struct rab_outputs outputs;
    struct rab_text page;
    const char *folder;
};

/* ---- what is drawn --------------------------------------------------------------------- */

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

/* A strip of several repeats. */
static bool draw_strip(const struct rab_library *library, const struct rab_shape *motif,
                       const double *values, struct rab_figure *out, struct rab_error *err)
{
    struct rab_edge edge = {0};
    double foot;

    if (!find_foot(library, motif, values, &foot, err))
        return false;
    const struct rab_strip_options options = {.length = fmax(130, 3 * values[0]),
                                              .width = values[1] + foot + 7};
    if (!rab_edge_strip(library, motif, values, &options, 0, &edge, err))
        return false;
    *out = edge.figure;
    edge.figure = (struct rab_figure){0};
    rab_edge_clear(&edge);
    return true;
}

static bool draw_item(const struct rab_library *library, struct item *item, struct rab_error *err)
{
    const struct rab_shape *shape = item->shape;
    double *values = calloc(shape->parameter_count + 1, sizeof *values);
    bool ok;

    if (!values)
        return rab_fail_memory(err);
    ok = rab_shape_values(shape, NULL, 0, values, err) &&
         (shape->motif ? draw_strip(library, shape, values, &item->figure, err)
                       : rab_shape_draw(library, shape, values, 0, &item->figure, err));
    free(values);
    if (!ok)
        return false;
    item->box = rab_region_box(&item->figure.paper);
    for (size_t i = 0; i < item->figure.path_count; i++)
        item->box = rab_box_join(item->box, rab_outline_box(&item->figure.paths[i].outline));
    for (size_t i = 0; i < item->figure.place_count; i++)
        item->box = rab_box_join(item->box, rab_outline_box(&item->figure.places[i].outline));
    return true;
}

/* ---- one cell -------------------------------------------------------------------------- */

/* Sizes on a contact sheet, as seen at its usual size; it has twice as many dots. */
static const double sheet_width = 840, dots = 2, margin = 14, caption = 46, between = 16;

static void set_colour(cairo_t *cr, uint32_t colour, double alpha)
{
    cairo_set_source_rgba(cr, (colour >> 16 & 0xFF) / 255.0, (colour >> 8 & 0xFF) / 255.0,
                          (colour & 0xFF) / 255.0, alpha);
}

/* Where a figure stands on the sheet: x' = x0 + scale x, y' = y0 - scale y. */
struct placing {
    double x0, y0, scale;
};

static void trace_arc(cairo_t *cr, const struct placing *to, struct rab_vertex from,
                      struct rab_vertex end)
{
    const double x = to->x0 + to->scale * end.x, y = to->y0 - to->scale * end.y;
    const double b = from.bulge, dx = end.x - from.x, dy = end.y - from.y;

    if (b == 0 || hypot(dx, dy) == 0) {
        cairo_line_to(cr, x, y);
        return;
    }
    /* The centre lies beside the middle of the chord. The sheet's y points down. */
    const double off = (1 - b * b) / (4 * b);
    const double centre_x = (from.x + end.x) / 2 - dy * off;
    const double centre_y = (from.y + end.y) / 2 + dx * off;
    const double radius = to->scale * hypot(from.x - centre_x, from.y - centre_y);
    const double start = atan2(centre_y - from.y, from.x - centre_x);
    const double stop = atan2(centre_y - end.y, end.x - centre_x);

    if (b > 0)
        cairo_arc_negative(cr, to->x0 + to->scale * centre_x, to->y0 - to->scale * centre_y, radius,
                           start, stop);
    else
        cairo_arc(cr, to->x0 + to->scale * centre_x, to->y0 - to->scale * centre_y, radius, start,
                  stop);
}

static void trace(cairo_t *cr, const struct placing *to, const struct rab_outline *outline)
{
    const size_t ways = outline->open ? outline->count - 1 : outline->count;

    if (outline->count == 0)
        return;
    cairo_move_to(cr, to->x0 + to->scale * outline->vertices[0].x,
                  to->y0 - to->scale * outline->vertices[0].y);
    for (size_t i = 0; i < ways; i++)
        trace_arc(cr, to, outline->vertices[i], outline->vertices[(i + 1) % outline->count]);
    if (!outline->open)
        cairo_close_path(cr);
}

static void trace_region(cairo_t *cr, const struct placing *to, const struct rab_region *region)
{
    cairo_new_path(cr);
    for (size_t i = 0; i < region->count; i++)
        trace(cr, to, &region->outlines[i]);
}

static void draw_paper(cairo_t *cr, const struct placing *to, const struct rab_region *region,
                       uint32_t colour)
{
    enum { LAYERS = 5 };

    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
    for (int i = LAYERS; i >= 1; i--) {
        const struct placing shadow = {to->x0 + 0.45 * i, to->y0 + 0.75 * i, to->scale};
        trace_region(cr, &shadow, region);
        set_colour(cr, 0x000000, 0.045);
        cairo_fill(cr);
    }
    trace_region(cr, to, region);
    set_colour(cr, colour, 1);
    cairo_fill_preserve(cr);
    set_colour(cr, 0x4A4A4A, 1);
    cairo_set_line_width(cr, 0.6);
    cairo_stroke(cr);
}

static void draw_line(cairo_t *cr, const struct placing *to, const struct rab_outline *outline,
                      enum rab_line line)
{
    const struct line_style *style = style_of_line(line);
    double dashes[STYLE_DASHES];

    for (int i = 0; i < style->dash_count; i++)
        dashes[i] = style->dashes[i] * 1.5;
    cairo_new_path(cr);
    trace(cr, to, outline);
    set_colour(cr, style->colour, 1);
    cairo_set_line_width(cr, line == RAB_LINE_CUT ? 0.8 : fmax(0.8, style->width * 3));
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_BUTT);
    cairo_set_dash(cr, dashes, style->dash_count, 0);
    cairo_stroke(cr);
    cairo_set_dash(cr, NULL, 0, 0);
}

/* Somewhere on the paper that is kept for words. */
static void draw_room(cairo_t *cr, const struct placing *to, const struct rab_region *region)
{
    trace_region(cr, to, region);
    set_colour(cr, 0xFFFFFF, 0.45);
    cairo_fill_preserve(cr);
    set_colour(cr, 0x4A4A4A, 0.7);
    cairo_set_line_width(cr, 0.5);
    cairo_stroke(cr);
}

static void draw_name(struct words *words, const struct placing *to, const char *name,
                      struct rab_box box)
{
    const double x = to->x0 + to->scale * (box.x0 + box.x1) / 2;
    const double y = to->y0 - to->scale * (box.y0 + box.y1) / 2;

    words_centre(words, name, (struct words_look){10, false, 0x5A6068}, x, y);
}

/* A photo is a quiet grey sheet on the paper; what shows through an opening lies behind it. */
static bool draw_place(cairo_t *cr, struct words *words, const struct placing *to,
                       const struct rab_figure *figure, const struct rab_place *place, bool behind,
                       struct rab_error *err)
{
    struct rab_region region = {0}, seen = {0};
    const bool ok = rab_region_fill(&place->outline, 1, RAB_FILL_NONZERO, &region, err) &&
                    rab_region_combine(&region, &figure->paper, RAB_DIFFERENCE, &seen, err);
    const bool through = seen.count > 0;

    if (ok && through == behind) {
        if (through || strcmp(place->name, "photo") == 0)
            draw_paper(cr, to, &region, 0xD3D7DB);
        else
            draw_room(cr, to, &region);
        draw_name(words, to, place->name, rab_region_box(through ? &seen : &region));
    } else if (ok && through) {
        draw_line(cr, to, &place->outline, RAB_LINE_HIDDEN);
    }
    rab_region_clear(&seen);
    rab_region_clear(&region);
    return ok;
}

static bool draw_places(cairo_t *cr, struct words *words, const struct placing *to,
                        const struct rab_figure *figure, bool behind, struct rab_error *err)
{
    for (size_t i = 0; i < figure->place_count; i++) {
        if (!draw_place(cr, words, to, figure, &figure->places[i], behind, err))
            return false;
    }
    return true;
}

/* The papers' colours, with a third of white: many lie side by side here. */
static uint32_t quiet_colour(size_t number)
{
    const uint32_t colour = rab_paper_colour(number + 1);
    uint32_t quiet = 0;

    for (int shift = 0; shift <= 16; shift += 8)
        quiet |= ((colour >> shift & 0xFF) * 2 / 3 + 85) << shift;
    return quiet;
}

static bool draw_cell(cairo_t *cr, struct words *words, const struct item *item, size_t number,
                      struct rab_box cell, double scale, struct rab_error *err)
{
    const double width = (item->box.x1 - item->box.x0) * scale;
    const double middle = (cell.x0 + cell.x1) / 2, room = cell.x1 - cell.x0 - 4;
    const struct placing to = {middle - width / 2 - item->box.x0 * scale,
                               cell.y1 + item->box.y0 * scale, scale};
    struct rab_text size = {0};
    double wide, high;

    if (!draw_places(cr, words, &to, &item->figure, true, err))
        return false;
    draw_paper(cr, &to, &item->figure.paper, quiet_colour(number));
    if (!draw_places(cr, words, &to, &item->figure, false, err))
        return false;
    for (size_t i = 0; i < item->figure.path_count; i++)
        draw_line(cr, &to, &item->figure.paths[i].outline,
                  (enum rab_line)item->figure.paths[i].operation);

    const struct words_look bold = {12.5, true, 0x202020}, plain = {11, false, 0x606060};
    words_measure(words, item->shape->name, bold, room, &wide, &high);
    words_draw(words, item->shape->name, bold, room, middle - wide / 2, cell.y1 + 21);
    const struct rab_box paper = rab_region_box(&item->figure.paper);
    rab_text_fixed(&size, paper.x1 - paper.x0, 1);
    rab_text_add(&size, " x ");
    rab_text_fixed(&size, paper.y1 - paper.y0, 1);
    rab_text_add(&size, " mm");
    if (rab_text_ok(&size, err)) {
        words_measure(words, size.data, plain, room, &wide, &high);
        words_draw(words, size.data, plain, room, middle - wide / 2, cell.y1 + 37);
    }
    rab_text_clear(&size);
    return err->fault == RAB_FAULT_NONE;
}

/* ---- a contact sheet ------------------------------------------------------------------- */

/* Motifs lie two in a row, large frames three, the rest four. */
static size_t columns_of(const struct family *family)
{
    size_t large = 0;

    for (size_t i = 0; i < family->count; i++) {
        const struct item *item = &family->items[i];
        if (item->shape->motif)
            return 2;
        large += fmax(item->box.x1 - item->box.x0, item->box.y1 - item->box.y0) > 200;
    }
    return 2 * large > family->count ? 3 : 4;
}

static double tallest(size_t columns)
{
    return columns == 3 ? 230 : 170;
}

static double fit(const struct item *item, double width, double height)
{
    return fmin(width / (item->box.x1 - item->box.x0), height / (item->box.y1 - item->box.y0));
}

/* A row of a sheet: one scale for all in it, if the smallest stays large enough to be seen. */
struct row {
    size_t first, count;
    double width, height, least; /* of a cell's drawing; the scale that suits all */
    bool same;
};

static struct row plan_row(const struct family *family, size_t first, size_t columns)
{
    struct row row = {.first = first, .least = 1e300};
    double most = 0;

    row.width = sheet_width / (double)columns - 2 * margin;
    for (; row.count < columns && first + row.count < family->count; row.count++) {
        const double scale = fit(&family->items[first + row.count], row.width, tallest(columns));
        row.least = fmin(row.least, scale);
        most = fmax(most, scale);
    }
    row.same = most <= 2 * row.least;
    for (size_t i = first; i < first + row.count; i++) {
        const struct item *item = &family->items[i];
        const double scale = row.same ? row.least : fit(item, row.width, tallest(columns));
        row.height = fmax(row.height, scale * (item->box.y1 - item->box.y0));
    }
    return row;
}

static bool draw_rows(cairo_t *cr, const struct family *family, size_t columns,
                      struct rab_error *err)
{
    const double step = sheet_width / (double)columns;
    struct words words;
    double y = between;
    bool ok = true;

    if (!words_open(&words, cr, dots, err))
        return false;
    for (size_t first = 0; first < family->count && ok; first += columns) {
        const struct row row = plan_row(family, first, columns);
        for (size_t i = 0; i < row.count && ok; i++) {
            const struct item *item = &family->items[first + i];
            const struct rab_box cell = {step * (double)i, y, step * (double)(i + 1),
                                         y + row.height};
            ok = draw_cell(cr, &words, item, first + i, cell,
                           row.same ? row.least : fit(item, row.width, tallest(columns)), err);
        }
        y += row.height + caption + between;
    }
    words_close(&words);
    return ok;
}

static cairo_status_t take_bytes(void *context, const unsigned char *bytes, unsigned int count)
{
    struct rab_text *text = context;

    rab_text_bytes(text, bytes, count);
    return text->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

static bool draw_sheet(const struct family *family, struct rab_text *png, struct rab_error *err)
{
    const size_t columns = columns_of(family);
    double height = between;

    for (size_t first = 0; first < family->count; first += columns)
        height += plan_row(family, first, columns).height + caption + between;
    cairo_surface_t *surface = cairo_image_surface_create(
        CAIRO_FORMAT_RGB24, (int)(sheet_width * dots), (int)ceil(height * dots));
    cairo_t *cr = cairo_create(surface);
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_paint(cr);
    cairo_scale(cr, dots, dots);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    bool ok = draw_rows(cr, family, columns, err);
    if (ok && (cairo_status(cr) != CAIRO_STATUS_SUCCESS ||
               cairo_surface_write_to_png_stream(surface, take_bytes, png) != CAIRO_STATUS_SUCCESS))
        ok = rab_fail(err, RAB_FAULT_FILE, "%s.png cannot be drawn", family->name);
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    return ok;
}

/* ---- the page -------------------------------------------------------------------------- */

/* "photo-corners" as a heading: "Photo corners". */
static void add_heading(struct rab_text *page, const char *name)
{
    for (const char *c = name; *c; c++) {
        const char shown = *c == '-' ? ' ' : *c;
        const char first = (char)(shown >= 'a' && shown <= 'z' ? shown - 'a' + 'A' : shown);
        rab_text_bytes(page, c == name ? &first : &shown, 1);
    }
}

/* Words as Markdown takes them in a table. */
static void add_words(struct rab_text *page, const char *words)
{
    for (; *words; words++) {
        if (strchr("|*_<`\\", *words))
            rab_text_add(page, "\\");
        rab_text_bytes(page, words, 1);
    }
}

static void add_parameter(struct rab_text *page, const struct rab_parameter *parameter)
{
    rab_text_format(page, "| `%s` | ", parameter->name);
    rab_text_value(page, parameter, parameter->usual, false);
    rab_text_add(page, " | ");
    if (parameter->kind == RAB_CHOICE || parameter->kind == RAB_YES_NO) {
        rab_text_add(page, parameter->kind == RAB_YES_NO ? "yes or no" : "");
        for (size_t i = 0; i < parameter->choice_count; i++)
            rab_text_format(page, "%s`%s`", i ? ", " : "", parameter->choices[i].name);
    } else {
        rab_text_value(page, parameter, parameter->least, false);
        rab_text_add(page, " to ");
        rab_text_value(page, parameter, parameter->most, false);
    }
    rab_text_add(page, " | ");
    add_words(page, parameter->about);
    for (size_t i = 0; i < parameter->choice_count; i++) {
        rab_text_format(page, "%s %s: ", i ? ";" : ".", parameter->choices[i].name);
        add_words(page, parameter->choices[i].about);
    }
    rab_text_add(page, " |\n");
}

static void add_family(struct rab_text *page, const struct family *family)
{
    rab_text_add(page, "\n## ");
    add_heading(page, family->name);
    rab_text_format(page, "\n\n![The family %s](shapes/%s.png)\n", family->name, family->name);
    for (size_t i = 0; i < family->count; i++) {
        const struct rab_shape *shape = family->items[i].shape;
        rab_text_format(page, "\n### %s\n\n**", shape->name);
        add_words(page, shape->title);
        rab_text_add(page, ".** ");
        add_words(page, shape->about);
        rab_text_add(page, "\n\n| | usual | from, to | |\n| --- | --- | --- | --- |\n");
        for (size_t k = 0; k < shape->parameter_count; k++)
            add_parameter(page, &shape->parameters[k]);
    }
}

static bool add_sheet(struct gallery *gallery, const struct family *family, struct rab_error *err)
{
    struct rab_text path = {0}, png = {0};
    bool ok;

    rab_text_format(&path, "%s/shapes/%s.png", gallery->folder, family->name);
    ok = draw_sheet(family, &png, err) && rab_text_ok(&path, err) &&
         rab_outputs_add(&gallery->outputs, path.data, &png, err);
    rab_text_clear(&png);
    rab_text_clear(&path);
    return ok;
}

/* The family that begins with the library's shape number `first`. */
static bool show_family(struct gallery *gallery, size_t first, size_t count, struct rab_error *err)
{
    struct family family = {.name = rab_library_at(gallery->library, first)->family,
                            .items = calloc(count, sizeof(struct item)),
                            .count = count};
    bool ok = family.items || rab_fail_memory(err);

    for (size_t i = 0; i < count && ok; i++) {
        family.items[i].shape = rab_library_at(gallery->library, first + i);
        ok = draw_item(gallery->library, &family.items[i], err);
    }
    ok = ok && add_sheet(gallery, &family, err);
    if (ok)
        add_family(&gallery->page, &family);
    for (size_t i = 0; i < count && family.items; i++)
        rab_figure_clear(&family.items[i].figure);
    free(family.items);
    return ok;
}

static size_t family_size(const struct rab_library *library, size_t first)
{
    size_t count = 1;

    while (first + count < rab_library_count(library) &&
           strcmp(rab_library_at(library, first + count)->family,
                  rab_library_at(library, first)->family) == 0)
        count++;
    return count;
}

static void add_contents(struct gallery *gallery)
{
    const size_t all = rab_library_count(gallery->library);
    size_t motifs = 0;

    for (size_t i = 0; i < all; i++)
        motifs += rab_library_at(gallery->library, i)->motif;
    rab_text_format(
        &gallery->page,
        "# The shape library\n\n"
        "%zu shapes for [`rabbet shape`](shape.md), of which the mats and window mats are also "
        "styles of\n[`rabbet mat`](mat.md), and %zu motifs for [`rabbet edge`](edge.md). The "
        "pictures show them with their\nusual measures; the tables say what can be set, and "
        "within what limits; `rabbet shapes NAME` says\nthe same. To add your own: "
        "[own-shapes.md](own-shapes.md).\n\n"
        "Black lines are cut; long dashes are creases, dots perforations, fine blue lines drawn "
        "with a pen,\ndashes with dots between mark glue. Grey sheets are photos, boxes are "
        "places for words, fine dashes\nare edges that the paper hides.\n\n"
        "This page and its pictures are made from the library itself: `ninja -C build "
        "gallery`.\n\n",
        all - motifs, motifs);
    for (size_t first = 0; first < all;) {
        const size_t count = family_size(gallery->library, first);
        const char *name = rab_library_at(gallery->library, first)->family;
        rab_text_add(&gallery->page, "- [");
        add_heading(&gallery->page, name);
        rab_text_format(&gallery->page, "](#%s): ", name);
        for (size_t i = 0; i < count; i++)
            rab_text_format(&gallery->page, "%s%s", i ? ", " : "",
                            rab_library_at(gallery->library, first + i)->name);
        rab_text_add(&gallery->page, "\n");
        first += count;
    }
}

static bool make_gallery(struct gallery *gallery, struct rab_error *err)
{
    struct rab_text path = {0};
    bool ok;

    if (!rab_library_open(NULL, 0, &gallery->library, NULL, err))
        return false;
    add_contents(gallery);
    for (size_t first = 0; first < rab_library_count(gallery->library);) {
        const size_t count = family_size(gallery->library, first);
        if (!show_family(gallery, first, count, err))
            return false;
        first += count;
    }
    rab_text_format(&path, "%s/shapes.md", gallery->folder);
    ok = rab_text_ok(&path, err) && rab_text_ok(&gallery->page, err) &&
         rab_outputs_add(&gallery->outputs, path.data, &gallery->page, err) &&
         rab_outputs_commit(&gallery->outputs, err);
    rab_text_clear(&path);
    return ok;
}

int main(int argc, char **argv)
{
    struct gallery gallery = {.folder = argc == 2 ? argv[1] : NULL};
    struct rab_error err = {0};
    bool ok;

    if (!gallery.folder) {
        fprintf(stderr, "gallery FOLDER: the folder that gets shapes.md and shapes/*.png\n");
        return EXIT_FAILURE;
    }
    ok = make_gallery(&gallery, &err);
    if (!ok)
        fprintf(stderr, "%s\n", err.text);
    rab_outputs_clear(&gallery.outputs);
    rab_text_clear(&gallery.page);
    rab_library_close(gallery.library);
    return ok ? EXIT_SUCCESS : EXIT_FAILURE;
}
