/* Figures, as shapes and edges come out: on sheets, in pictures, in reports. */
#include "cli.h"

#include <string.h>

static struct rab_box path_boxes(const struct rab_figure *figure, struct rab_box box)
{
    for (size_t i = 0; i < figure->path_count; i++) {
        if (figure->paths[i].outline.count > 0)
            box = rab_box_join(box, rab_outline_box(&figure->paths[i].outline));
    }
    return box;
}

struct rab_box figure_box(const struct rab_figure *figure)
{
    return path_boxes(figure, rab_region_box(&figure->paper));
}

void figure_to_origin(struct rab_figure *figure)
{
    const struct rab_box box = figure_box(figure);

    for (size_t i = 0; i < figure->paper.count; i++)
        rab_outline_move(&figure->paper.outlines[i], -box.x0, -box.y0);
    for (size_t i = 0; i < figure->path_count; i++)
        rab_outline_move(&figure->paths[i].outline, -box.x0, -box.y0);
    for (size_t i = 0; i < figure->place_count; i++)
        rab_outline_move(&figure->places[i].outline, -box.x0, -box.y0);
}

static bool add_path(struct rab_sheet *sheet, enum rab_operation operation, int piece,
                     const struct rab_outline *outline, double dx, double dy, bool mirror,
                     struct rab_error *err)
{
    struct rab_outline moved = {0};
    bool ok;

    if (!rab_outline_copy(outline, &moved, err))
        return false;
    rab_outline_move(&moved, dx, dy);
    if (mirror)
        rab_outline_mirror(&moved, sheet->width / 2);
    ok = rab_sheet_add(sheet, operation, piece, &moved, err);
    rab_outline_clear(&moved);
    return ok;
}

bool sheet_add_figure(struct rab_sheet *sheet, const struct rab_figure *figure, double dx,
                      double dy, bool mirror, bool places, int piece, struct rab_error *err)
{
    struct rab_region paper = {0};
    bool ok = rab_region_copy(&figure->paper, &paper, err);

    for (size_t i = 0; i < figure->place_count && places && ok; i++)
        ok = add_path(sheet, RAB_DRAW, piece, &figure->places[i].outline, dx, dy, mirror, err);
    for (size_t i = 0; i < figure->path_count && ok; i++)
        ok = add_path(sheet, figure->paths[i].operation, piece, &figure->paths[i].outline, dx, dy,
                      mirror, err);
    for (size_t i = 0; i < paper.count; i++) {
        rab_outline_move(&paper.outlines[i], dx, dy);
        if (mirror)
            rab_outline_mirror(&paper.outlines[i], sheet->width / 2);
    }
    ok = ok && rab_sheet_add_region(sheet, RAB_CUT, piece, &paper, err);
    rab_region_clear(&paper);
    return ok;
}

bool lay_figure(const struct rab_figure *figure, bool mirror, bool places, struct rab_sheet *sheet,
                struct rab_error *err)
{
    struct rab_box box = figure_box(figure);

    for (size_t i = 0; i < figure->place_count && places; i++)
        box = rab_box_join(box, rab_outline_box(&figure->places[i].outline));
    sheet->width = box.x1 - box.x0;
    sheet->height = box.y1 - box.y0;
    return sheet_add_figure(sheet, figure, -box.x0, -box.y0, mirror, places, 1, err);
}

/* ---- for people ------------------------------------------------------------------------ */

static const char *operation_meaning(enum rab_operation operation)
{
    static const char *const words[RAB_OPERATIONS] = {
        [RAB_CUT] = "cut",
        [RAB_PART_CUT] = "cut part of the depth",
        [RAB_CREASE] = "crease",
        [RAB_PERFORATE] = "perforate",
        [RAB_DRAW] = "draw with a pen",
        [RAB_GLUE] = "glue here",
    };
    return words[operation];
}

/* Is there an opening in the paper where the place is, so that it lies behind? */
static bool shows_through(const struct rab_region *place, const struct rab_region *paper,
                          bool *through, struct rab_error *err)
{
    struct rab_region seen = {0};

    if (!rab_region_combine(place, paper, RAB_DIFFERENCE, &seen, err))
        return false;
    *through = seen.count > 0;
    rab_region_clear(&seen);
    return true;
}

/* A photo is a sheet of its own, on the paper or behind it; of another place on the paper only the
 * edge shows. */
static bool add_place(struct rab_picture *picture, const struct rab_figure *figure,
                      const struct rab_place *place, bool behind, struct rab_error *err)
{
    static const uint32_t grey = 0xB4BBC2;
    struct rab_region region = {0};
    bool through = false, ok = false;

    if (!rab_region_fill(&place->outline, 1, RAB_FILL_NONZERO, &region, err) ||
        !shows_through(&region, &figure->paper, &through, err))
        goto done;
    if (through == behind) {
        ok = through || strcmp(place->name, "photo") == 0
                 ? rab_picture_paper(picture, &region, grey, place->name, err)
                 : rab_picture_line(picture, &place->outline, RAB_LINE_THIN, place->name, err);
    } else {
        ok = !through || rab_picture_line(picture, &place->outline, RAB_LINE_HIDDEN,
                                          "edge that the paper hides", err);
    }
done:
    rab_region_clear(&region);
    return ok;
}

/* The name of a place stands where it can be seen: within the opening in front of it. */
static bool add_place_name(struct rab_picture *picture, const struct rab_figure *figure,
                           const struct rab_place *place, struct rab_error *err)
{
    struct rab_region region = {0}, seen = {0};
    bool ok = rab_region_fill(&place->outline, 1, RAB_FILL_NONZERO, &region, err) &&
              rab_region_combine(&region, &figure->paper, RAB_DIFFERENCE, &seen, err) &&
              rab_picture_number(picture, seen.count > 0 ? &seen : &region, place->name, err);

    rab_region_clear(&seen);
    rab_region_clear(&region);
    return ok;
}

bool picture_add_figure(struct rab_picture *picture, const struct rab_figure *figure,
                        uint32_t colour, const char *meaning, struct rab_error *err)
{
    for (size_t i = 0; i < figure->place_count; i++) {
        if (!add_place(picture, figure, &figure->places[i], true, err))
            return false;
    }
    if (!rab_picture_paper(picture, &figure->paper, colour, meaning, err))
        return false;
    for (size_t i = 0; i < figure->place_count; i++) {
        if (!add_place(picture, figure, &figure->places[i], false, err))
            return false;
    }
    for (size_t i = 0; i < figure->path_count; i++) {
        const struct rab_path *path = &figure->paths[i];
        if (!rab_picture_line(picture, &path->outline, (enum rab_line)path->operation,
                              operation_meaning(path->operation), err))
            return false;
    }
    for (size_t i = 0; i < figure->place_count; i++) {
        if (!add_place_name(picture, figure, &figure->places[i], err))
            return false;
    }
    return true;
}

/* ---- counts and reports ---------------------------------------------------------------- */

struct figure_counts count_figure(const struct rab_figure *figure)
{
    struct figure_counts counts = {.vertices = rab_region_vertices(&figure->paper)};

    for (size_t i = 0; i < figure->paper.count; i++) {
        if (rab_outline_area(&figure->paper.outlines[i]) > 0)
            counts.pieces++;
        else
            counts.openings++;
    }
    for (size_t i = 0; i < figure->path_count; i++)
        counts.vertices += figure->paths[i].outline.count;
    return counts;
}

void report_figure(struct rab_json *json, const struct rab_figure *figure)
{
    const struct rab_box box = rab_region_box(&figure->paper);
    const struct figure_counts counts = count_figure(figure);

    rab_json_number(json, "area_mm2", rab_region_area(&figure->paper), 4);
    rab_json_number(json, "perimeter_mm", rab_region_perimeter(&figure->paper), 4);
    report_box(json, "box_mm", box);
    rab_json_number(json, "width_mm", box.x1 - box.x0, 4);
    rab_json_number(json, "height_mm", box.y1 - box.y0, 4);
    rab_json_whole(json, "pieces", (long long)counts.pieces);
    rab_json_whole(json, "openings", (long long)counts.openings);
    rab_json_whole(json, "vertices", (long long)counts.vertices);
    rab_json_array(json, "operations");
    for (int operation = 0; operation < RAB_OPERATIONS; operation++) {
        double length = 0;
        size_t lines = 0;
        for (size_t i = 0; i < figure->path_count; i++) {
            if ((int)figure->paths[i].operation == operation) {
                length += rab_outline_perimeter(&figure->paths[i].outline);
                lines++;
            }
        }
        if (lines > 0) {
            rab_json_object(json, NULL);
            rab_json_text(json, "operation", rab_operation_name((enum rab_operation)operation));
            rab_json_whole(json, "lines", (long long)lines);
            rab_json_number(json, "length_mm", length, 4);
            rab_json_end(json);
        }
    }
    rab_json_end(json);
    rab_json_array(json, "places");
    for (size_t i = 0; i < figure->place_count; i++) {
        rab_json_object(json, NULL);
        rab_json_text(json, "name", figure->places[i].name);
        report_box(json, "box_mm", rab_outline_box(&figure->places[i].outline));
        rab_json_end(json);
    }
    rab_json_end(json);
}

static void report_value(struct rab_json *json, const struct rab_parameter *parameter, double value)
{
    struct rab_text key = {0};
    const char *suffix = parameter->kind == RAB_LENGTH  ? "_mm"
                         : parameter->kind == RAB_ANGLE ? "_deg"
                                                        : "";

    rab_text_format(&key, "%s%s", parameter->name, suffix);
    if (key.failed)
        json->text->failed = true;
    else if (parameter->kind == RAB_CHOICE)
        rab_json_text(json, key.data, parameter->choices[(size_t)value].name);
    else if (parameter->kind == RAB_YES_NO)
        rab_json_bool(json, key.data, value != 0);
    else if (parameter->kind == RAB_COUNT)
        rab_json_whole(json, key.data, (long long)value);
    else
        rab_json_number(json, key.data, parameter->kind == RAB_ANGLE ? value * 180 / RAB_PI : value,
                        6);
    rab_text_clear(&key);
}

void report_values(struct rab_json *json, const struct rab_shape *shape, const double *values)
{
    rab_json_object(json, "values");
    for (size_t i = 0; i < shape->parameter_count; i++)
        report_value(json, &shape->parameters[i], values[i]);
    rab_json_end(json);
}

void add_values(struct rab_text *cells, const struct rab_shape *shape, const double *values,
                bool in_first)
{
    for (size_t i = 0; i < shape->parameter_count; i++) {
        rab_text_format(cells, "%s\t", shape->parameters[i].name);
        rab_text_value(cells, &shape->parameters[i], values[i], in_first);
        rab_text_add(cells, "\n");
    }
}
