#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "shape/measure.h"
#include "shape/scene.h"

void rab_figure_clear(struct rab_figure *figure)
{
    rab_region_clear(&figure->paper);
    for (size_t i = 0; i < figure->path_count; i++)
        rab_outline_clear(&figure->paths[i].outline);
    free(figure->paths);
    for (size_t i = 0; i < figure->place_count; i++)
        rab_outline_clear(&figure->places[i].outline);
    free(figure->places);
    *figure = (struct rab_figure){0};
}

/* ---- scenes ------------------------------------------------------------------------------ */

bool scene_begin(struct scene *scene, struct run *run, const struct rab_shape *shape)
{
    size_t room = 0;
    void *items = NULL;

    assert(shape->content);
    *scene = (struct scene){.run = run, .shape = shape, .file = shape->content};
    if (!rab_reserve(&items, &room, scene->file->slot_count + 1, sizeof *scene->slots, run->err))
        return false;
    scene->slots = items;
    for (size_t i = 0; i < scene->file->slot_count; i++)
        scene->slots[i] = 0;
    return true;
}

void scene_end(struct scene *scene)
{
    free(scene->slots);
    scene->slots = NULL;
}

bool scene_head(struct scene *scene, uint32_t node, bool *other)
{
    bool yes;

    *other = false;
    if (!scene_when(scene, node, &yes))
        return false;
    if (!yes)
        return true;
    switch (scene_node(scene, node)->tag) {
    case TAG_LET:
        return scene_let(scene, node);
    case TAG_REQUIRE:
        return scene_require(scene, node);
    default:
        *other = true;
        return true;
    }
}

/* ---- the paper of another shape ---------------------------------------------------------- */

/* Kinds, names and choices were looked at when the library was read; limits depend on the value. */
static bool value_allowed(struct scene *scene, uint32_t node, const char *shape,
                          const struct rab_parameter *p, double *value)
{
    const double slack = 1e-9 * fmax(1, fabs(*value));
    struct words (*words)(double) = p->kind == RAB_LENGTH  ? words_length
                                    : p->kind == RAB_ANGLE ? words_angle
                                                           : words_number;

    if (p->kind == RAB_CHOICE || p->kind == RAB_YES_NO)
        return true;
    if (p->kind == RAB_COUNT && fabs(*value - round(*value)) > slack)
        return scene_fail(scene, node, "%s of %s comes out as %s; it must be a whole number",
                          p->name, shape, words(*value).text);
    if (!(*value >= p->least - slack) || !(*value <= p->most + slack))
        return scene_fail(scene, node, "%s of %s comes out as %s; it must be from %s to %s",
                          p->name, shape, words(*value).text, words(p->least).text,
                          words(p->most).text);
    *value = p->kind == RAB_COUNT ? round(*value) : fmin(p->most, fmax(p->least, *value));
    return true;
}

static bool set_values(struct scene *scene, uint32_t node, const struct rab_shape *shape,
                       double *values)
{
    for (size_t i = 0; i < shape->parameter_count; i++)
        values[i] = shape->parameters[i].usual;
    for (uint32_t i = scene_node(scene, node)->first; i != NO_NODE;
         i = scene_node(scene, i)->next) {
        size_t at = 0;
        if (scene_node(scene, i)->tag == TAG_LET) {
            if (!scene_let(scene, i))
                return false;
            continue;
        }
        while (strcmp(shape->parameters[at].name, scene_node(scene, i)->text) != 0)
            at++;
        if (!scene_value(scene, i, KEY_TO, &values[at]) ||
            !value_allowed(scene, i, shape->name, &shape->parameters[at], &values[at]))
            return false;
    }
    return true;
}

/* NOLINTBEGIN(misc-no-recursion): shapes use others at most eight deep, which
 * was looked at when the library was read */

static bool draw_paper(struct scene *scene, struct area *area)
{
    for (uint32_t i = scene->file->first; i != NO_NODE; i = scene_node(scene, i)->next) {
        bool other;
        if (!scene_head(scene, i, &other))
            return false;
        if (other && scene_node(scene, i)->tag == TAG_PAPER &&
            !elements_draw(scene, scene_node(scene, i)->first, area))
            return false;
    }
    return true;
}

bool use_draw(struct scene *scene, uint32_t node, struct area *area)
{
    const struct rab_shape *shape =
        rab_library_find(scene->run->library, scene_node(scene, node)->text, NULL);
    struct scene other;

    assert(shape && !shape->motif);
    if (!scene_spend(scene, node, shape->content->slot_count) ||
        !scene_begin(&other, scene->run, shape))
        return false;
    const bool ok = set_values(scene, node, shape, other.slots) && draw_paper(&other, area);
    scene_end(&other);
    return ok;
}

/* NOLINTEND(misc-no-recursion) */

/* ---- a figure ---------------------------------------------------------------------------- */

static bool paths_take(struct scene *scene, struct area *area, enum rab_operation operation,
                       struct paths *paths)
{
    const size_t more = area->count + area->lines.count;
    void *items = paths->items;

    if (more == 0)
        return true;
    if (!rab_reserve(&items, &paths->capacity, paths->count + more, sizeof *paths->items,
                     scene->run->err))
        return false;
    paths->items = items;
    for (size_t i = 0; i < more; i++) {
        struct rab_outline *outline =
            i < area->count ? &area->outlines[i] : &area->lines.items[i - area->count];
        paths->items[paths->count++] = (struct rab_path){operation, 0, *outline};
        *outline = (struct rab_outline){0};
    }
    return true;
}

void paths_clear(struct paths *paths)
{
    for (size_t i = 0; i < paths->count; i++)
        rab_outline_clear(&paths->items[i].outline);
    free(paths->items);
    *paths = (struct paths){0};
}

bool operation_draw(struct scene *scene, uint32_t node, struct paths *paths)
{
    struct area area = {0};
    const bool ok = elements_draw(scene, scene_node(scene, node)->first, &area) &&
                    paths_take(scene, &area, scene_node(scene, node)->operation, paths);

    area_clear(&area);
    return ok;
}

struct sheet {
    struct area paper;
    uint32_t paper_node;
    struct paths paths;
    struct rab_place *places;
    size_t place_count, place_capacity;
};

static bool draw_place(struct scene *scene, uint32_t node, struct sheet *sheet)
{
    struct area area = {0};
    void *items = sheet->places;
    bool ok = false;

    if (!elements_draw(scene, scene_node(scene, node)->first, &area) ||
        !scene_settle(scene, node, &area))
        goto done;
    if (area.count != 1) {
        scene_fail(scene, node,
                   "the place %s must be one area with one outline; it comes out with %zu",
                   scene_node(scene, node)->text, area.count);
        goto done;
    }
    if (!rab_reserve(&items, &sheet->place_capacity, sheet->place_count + 1, sizeof *sheet->places,
                     scene->run->err))
        goto done;
    sheet->places = items;
    sheet->places[sheet->place_count++] =
        (struct rab_place){scene_node(scene, node)->text, area.outlines[0]};
    area.outlines[0] = (struct rab_outline){0};
    ok = true;
done:
    area_clear(&area);
    return ok;
}

static bool draw_sheet(struct scene *scene, struct sheet *sheet)
{
    sheet->paper_node = NO_NODE;
    for (uint32_t i = scene->file->first; i != NO_NODE; i = scene_node(scene, i)->next) {
        const uint32_t first = scene_node(scene, i)->first;
        bool other, ok = true;
        if (!scene_head(scene, i, &other))
            return false;
        if (!other)
            continue;
        switch (scene_node(scene, i)->tag) {
        case TAG_PAPER:
            sheet->paper_node = i;
            ok = elements_draw(scene, first, &sheet->paper);
            break;
        case TAG_OPERATION:
            ok = operation_draw(scene, i, &sheet->paths);
            break;
        case TAG_PLACE:
            ok = draw_place(scene, i, sheet);
            break;
        default: /* measures are taken when all is drawn */
            break;
        }
        if (!ok)
            return false;
    }
    return true;
}

/* ---- measures ---------------------------------------------------------------------------- */

/* A drawing promises what it states to a millionth of a millimetre, and an ellipse to twice what it
 * was fitted to: both edges of a web may be out by that. */
static double slack_of(const struct scene *scene, enum measured what,
                       const struct rab_region *paper)
{
    const double slack = scene->run->fitted ? 2 * scene->run->tolerance : 1e-6;

    switch (what) {
    case MEASURED_OPENINGS:
    case MEASURED_PIECES:
        return 1e-9;
    case MEASURED_AREA:
        return slack * rab_region_perimeter(paper) + 1e-6;
    case MEASURED_PERIMETER: /* an outline kept within d of a convex one is within 2 pi d of its
                                length */
        return scene->run->fitted ? slack * 2 * RAB_PI * (double)paper->count : slack;
    default:
        return slack;
    }
}

/* Fine: with all digits, where two lengths would read alike. */
static struct words measure_words(enum measured what, double value, bool fine)
{
    switch (what) {
    case MEASURED_OPENINGS:
    case MEASURED_PIECES:
        return words_number(value);
    case MEASURED_AREA:
        return words_fine(value, " mm2");
    default:
        return fine ? words_fine(value, " mm") : words_length(value);
    }
}

static bool check_measure(struct scene *scene, uint32_t node, const struct rab_figure *figure)
{
    const enum measured what = scene_node(scene, node)->measured;
    const bool exact = scene_has(scene, node, KEY_IS);
    const char *why = NULL;
    struct rab_error fault = {0};
    double stated, value = 0;

    if (!scene_value(scene, node, exact ? KEY_IS : KEY_LEAST, &stated))
        return false;
    /* Places are held against each outline in turn, all else is near-linear. */
    const bool of_places = what == MEASURED_REVEAL || what == MEASURED_OVERLAP;
    if (!scene_spend(scene, node,
                     4 * (of_places ? figure->place_count : 1) *
                         rab_region_vertices(&figure->paper)))
        return false;
    if (!measure_figure(figure, what, &value, &why, &fault))
        return scene_pass(scene, node, &fault);
    if (why)
        return scene_fail(scene, node, "there is no %s to measure: %s", measure_name(what), why);
    const double slack = slack_of(scene, what, &figure->paper);
    if (exact ? fabs(value - stated) <= slack : value >= stated - slack)
        return true;
    const bool fine = fabs(value - stated) < 0.02;
    return scene_fail(scene, node, "the %s comes out as %s, not %s%s as stated", measure_name(what),
                      measure_words(what, value, fine).text, exact ? "" : "at least ",
                      measure_words(what, stated, fine).text);
}

static bool check_measures(struct scene *scene, const struct rab_figure *figure)
{
    for (uint32_t i = scene->file->first; i != NO_NODE; i = scene_node(scene, i)->next) {
        bool yes;
        if (scene_node(scene, i)->tag != TAG_MEASURE)
            continue;
        if (!scene_when(scene, i, &yes) || (yes && !check_measure(scene, i, figure)))
            return false;
    }
    return true;
}

/* ---- all --------------------------------------------------------------------------------- */

static bool near_enough(struct scene *scene, uint32_t node, const struct rab_box *box)
{
    const double most = 1e6;

    if (box->x0 >= -most && box->x1 <= most && box->y0 >= -most && box->y1 <= most)
        return true;
    return scene_fail(scene, node, "this reaches more than 1 km away; check the values");
}

/* Parts that are regions by themselves and whose boxes do not meet are one together; but a part
 * may be too small for the region room, and a primitive has not been looked at by it. */
static bool finish_paper(struct scene *scene, struct sheet *sheet, struct rab_region *out)
{
    const uint32_t node = sheet->paper_node == NO_NODE ? scene->file->first : sheet->paper_node;
    struct rab_error fault = {0};
    bool worked;

    if (sheet->paper.count == 0)
        return scene_fail(scene, node, "with these values no paper is left");
    const struct rab_box box = area_box(&sheet->paper);
    if (!near_enough(scene, node, &box) || !scene_settle(scene, node, &sheet->paper))
        return false;
    if (sheet->paper.count == 0)
        return scene_fail(scene, node, "with these values no paper is left");
    if (!area_region(&sheet->paper, out, &worked, &fault))
        return scene_pass(scene, node, &fault);
    if (rab_region_check(out, &fault))
        return true;
    return scene_pass(scene, node, &fault);
}

bool run_begin(struct run *run, const struct rab_library *library, double tolerance,
               struct rab_error *err)
{
    *run =
        (struct run){.library = library, .tolerance = tolerance > 0 ? tolerance : 0.01, .err = err};
    if (!(tolerance >= 0) || tolerance > 1000)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the tolerance for curves is out of range; give at most 1 m");
    return true;
}

bool rab_shape_draw(const struct rab_library *library, const struct rab_shape *shape,
                    const double *values, double tolerance, struct rab_figure *out,
                    struct rab_error *err)
{
    struct rab_figure made = {0};
    struct sheet sheet = {0};
    struct scene scene = {0};
    struct run run;
    bool ok = false;

    if (shape->motif)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "%s is the motif of an edge, not a shape; see the edge command",
                        shape->name);
    if (!run_begin(&run, library, tolerance, err) || !scene_begin(&scene, &run, shape))
        return false;
    memcpy(scene.slots, values, shape->parameter_count * sizeof *values);
    if (!draw_sheet(&scene, &sheet) || !finish_paper(&scene, &sheet, &made.paper))
        goto done;
    made.paths = sheet.paths.items;
    made.path_count = sheet.paths.count;
    made.places = sheet.places;
    made.place_count = sheet.place_count;
    sheet.paths = (struct paths){0};
    sheet.places = NULL;
    sheet.place_count = 0;
    if (!check_measures(&scene, &made))
        goto done;
    *out = made;
    made = (struct rab_figure){0};
    ok = true;
done:
    scene_end(&scene);
    area_clear(&sheet.paper);
    paths_clear(&sheet.paths);
    for (size_t i = 0; i < sheet.place_count; i++)
        rab_outline_clear(&sheet.places[i].outline);
    free(sheet.places);
    rab_figure_clear(&made);
    return ok;
}
