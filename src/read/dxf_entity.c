#include "read/dxf_entity.h"

#include "read/dxf_spline.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void entity_clear(struct dxf_entity *entity)
{
    free(entity->vertices);
    free(entity->knots);
    free(entity->weights);
    *entity = (struct dxf_entity){0};
}

double entity_number(const struct dxf_entity *entity, int code, double missing)
{
    return entity->given[code] ? entity->single[code] : missing;
}

bool entity_is(const struct dxf_entity *entity, const char *type)
{
    return entity->type.length == strlen(type) &&
           memcmp(entity->type.text, type, entity->type.length) == 0;
}

/* ---- reading --------------------------------------------------------------------------- */

static bool add_vertex(struct dxf_entity *entity, struct dxf_vertex vertex, struct rab_error *err)
{
    void *items = entity->vertices;

    if (!rab_reserve(&items, &entity->capacity, entity->count + 1, sizeof *entity->vertices, err))
        return false;
    entity->vertices = items;
    entity->vertices[entity->count++] = vertex;
    return true;
}

static bool add_number(double **list, size_t *count, size_t *capacity, double value,
                       struct rab_error *err)
{
    void *items = *list;

    if (!rab_reserve(&items, capacity, *count + 1, sizeof **list, err))
        return false;
    *list = items;
    (*list)[(*count)++] = value;
    return true;
}

/* Group codes up to 9 and 100 to 102 are words, 10 to 239 that are read here are numbers. */
static bool is_number_code(int code)
{
    return (code >= 10 && code < 100) || (code >= 210 && code < DXF_SINGLE_CODES);
}

static bool take_number_group(struct dxf_entity *entity, const struct dxf_tag *tag, bool listed,
                              struct rab_error *err)
{
    double value;

    if (!tag_number(tag, &value, err))
        return false;
    entity->given[tag->code] = true;
    entity->single[tag->code] = value;
    if (!listed)
        return true;
    struct dxf_vertex *last = entity->count > 0 ? &entity->vertices[entity->count - 1] : NULL;
    switch (tag->code) {
    case 10:
        return add_vertex(entity, (struct dxf_vertex){.x = value}, err);
    case 20:
        if (last)
            last->y = value;
        return true;
    case 42:
        if (last)
            last->bulge = value;
        return true;
    case 40:
        return add_number(&entity->knots, &entity->knot_count, &entity->knot_capacity, value, err);
    case 41:
        return add_number(&entity->weights, &entity->weight_count, &entity->weight_capacity, value,
                          err);
    default:
        return true;
    }
}

static void empty(struct dxf_entity *entity)
{
    struct dxf_entity kept = {.vertices = entity->vertices,
                              .capacity = entity->capacity,
                              .knots = entity->knots,
                              .knot_capacity = entity->knot_capacity,
                              .weights = entity->weights,
                              .weight_capacity = entity->weight_capacity};
    *entity = kept;
}

/* The groups of one entity, up to the next group 0 (or the end of the file). */
static bool read_groups(struct dxf_cursor *cursor, struct dxf_entity *entity, struct rab_error *err)
{
    const bool listed = entity_is(entity, "LWPOLYLINE") || entity_is(entity, "SPLINE");
    bool more, embedded = false;
    struct dxf_tag tag;

    for (;;) {
        const struct dxf_cursor before = *cursor;

        if (!cursor_next(cursor, &tag, &more, err))
            return false;
        if (!more || tag.code == 0) {
            *cursor = before;
            return true;
        }
        if (tag.code == 101) /* what follows is an object of its own within the entity */
            embedded = true;
        if (embedded)
            continue;
        if (tag.code == 2)
            entity->block = tag.value;
        else if (tag.code == 8)
            entity->layer = tag.value;
        else if (is_number_code(tag.code) && !take_number_group(entity, &tag, listed, err))
            return false;
    }
}

/* The corners of an old polyline are entities of their own. */
static bool read_vertices(struct dxf_cursor *cursor, struct dxf_entity *entity,
                          struct rab_error *err)
{
    struct dxf_entity vertex = {0};
    struct dxf_tag tag;
    bool more, ok = false;

    for (;;) {
        if (!cursor_next(cursor, &tag, &more, err))
            goto done;
        if (!more || !(tag_is(&tag, 0, "VERTEX") || tag_is(&tag, 0, "SEQEND"))) {
            rab_fail_line(err, RAB_FAULT_INPUT, tag.line,
                          "the POLYLINE of line %d has no SEQEND at its end; the file is damaged",
                          entity->line);
            goto done;
        }
        vertex = (struct dxf_entity){.type = tag.value, .line = tag.line};
        if (!read_groups(cursor, &vertex, err))
            goto done;
        if (entity_is(&vertex, "SEQEND"))
            break;
        const struct dxf_vertex corner = {
            entity_number(&vertex, 10, 0), entity_number(&vertex, 20, 0),
            entity_number(&vertex, 42, 0), (int)fmin(1e6, fabs(entity_number(&vertex, 70, 0)))};
        if (!add_vertex(entity, corner, err))
            goto done;
    }
    ok = true;
done:
    entity_clear(&vertex);
    return ok;
}

bool entity_read(struct dxf_cursor *cursor, const struct dxf_tag *first, struct dxf_entity *entity,
                 struct rab_error *err)
{
    empty(entity);
    entity->type = first->value;
    entity->line = first->line;
    return read_groups(cursor, entity, err) &&
           (!entity_is(entity, "POLYLINE") || read_vertices(cursor, entity, err));
}

/* ---- lines ----------------------------------------------------------------------------- */

void dxf_line_clear(struct dxf_line *line)
{
    rab_outline_clear(&line->outline);
    free(line->curves);
    *line = (struct dxf_line){0};
}

static bool is_flag(const struct dxf_entity *entity, int bit)
{
    return ((int)fmin(1e6, fabs(entity_number(entity, 70, 0))) & bit) != 0;
}

static bool add_point(struct dxf_line *line, double x, double y, double bulge,
                      struct rab_error *err)
{
    return rab_outline_add(&line->outline, x, y, bulge, err);
}

static bool make_line(const struct dxf_entity *e, struct dxf_line *line, struct rab_error *err)
{
    return add_point(line, entity_number(e, 10, 0), entity_number(e, 20, 0), 0, err) &&
           add_point(line, entity_number(e, 11, 0), entity_number(e, 21, 0), 0, err);
}

static bool make_circle(const struct dxf_entity *e, struct dxf_line *line, struct rab_error *err)
{
    const double x = entity_number(e, 10, 0), y = entity_number(e, 20, 0);
    const double radius = fabs(entity_number(e, 40, 0));

    line->closed = true;
    return add_point(line, x - radius, y, 1, err) && add_point(line, x + radius, y, 1, err);
}

/* From the start angle counter-clockwise to the end angle, in degrees; two arcs when it is more
 * than half a turn. */
static bool make_arc(const struct dxf_entity *e, struct dxf_line *line, struct rab_error *err)
{
    const double x = entity_number(e, 10, 0), y = entity_number(e, 20, 0);
    const double radius = fabs(entity_number(e, 40, 0));
    const double from = fmod(entity_number(e, 50, 0), 360) * RAB_PI / 180;
    double sweep = fmod(entity_number(e, 51, 0) - entity_number(e, 50, 0), 360);

    if (sweep <= 0)
        sweep += 360;
    if (sweep == 360)
        return make_circle(e, line, err);
    sweep *= RAB_PI / 180;
    const int parts = sweep > RAB_PI ? 2 : 1;
    const double bulge = tan(sweep / parts / 4);
    for (int i = 0; i <= parts; i++) {
        const double angle = from + sweep * i / parts;
        if (!add_point(line, x + radius * cos(angle), y + radius * sin(angle), bulge, err))
            return false;
    }
    return true;
}

static bool make_polyline(const struct dxf_entity *e, struct dxf_line *line, struct rab_error *err)
{
    enum { SPLINE_FRAME = 16 }; /* a control point beside the curve that was made from it */

    line->closed = is_flag(e, 1);
    for (size_t i = 0; i < e->count; i++) {
        const struct dxf_vertex *v = &e->vertices[i];
        if (!(v->flags & SPLINE_FRAME) && !add_point(line, v->x, v->y, v->bulge, err))
            return false;
    }
    return true;
}

static bool add_curve(struct dxf_line *line, struct rab_curve curve, struct rab_error *err)
{
    void *items = line->curves;

    if (!rab_reserve(&items, &line->capacity, line->count + 1, sizeof *line->curves, err))
        return false;
    line->curves = items;
    line->curves[line->count++] = curve;
    return true;
}

/* Centre, half of the major axis, the minor one's share of it, and the parameters from and to. */
static bool make_ellipse(const struct dxf_entity *e, struct dxf_line *line, struct rab_error *err)
{
    static const double full = 2 * RAB_PI;
    const struct rab_point major = {entity_number(e, 11, 0), entity_number(e, 21, 0)};
    double share = entity_number(e, 40, 1);
    const double from = fmod(entity_number(e, 41, 0), full);
    double sweep = entity_number(e, 42, full) - entity_number(e, 41, 0);

    /* seen from behind, it goes round the other way */
    if (entity_number(e, 230, 1) < 0)
        share = -share;
    if (!(fabs(sweep - full) < 1e-9)) {
        sweep = fmod(sweep, full);
        if (sweep <= 0)
            sweep += full;
    }
    line->closed = fabs(sweep - full) < 1e-9;
    return add_curve(line,
                     (struct rab_curve){.kind = RAB_CURVE_ELLIPSE,
                                        .p = {{entity_number(e, 10, 0), entity_number(e, 20, 0)},
                                              major,
                                              {-major.y * share, major.x * share}},
                                        .from = from,
                                        .to = from + (line->closed ? full : sweep)},
                     err);
}

static bool make_spline(const struct dxf_entity *e, double tolerance, size_t most,
                        struct dxf_line *line, struct rab_error *err)
{
    struct dxf_spline spline = {.degree = (int)fmin(1000, entity_number(e, 71, 3)),
                                .knots = e->knots,
                                .weights = e->weight_count > 0 ? e->weights : NULL,
                                .count = e->count,
                                .knot_count = e->knot_count};
    struct rab_point *points;
    bool ok;

    if (e->count == 0)
        return rab_fail_line(err, RAB_FAULT_INPUT, e->line,
                             "the SPLINE has fit points only, no control points; save the drawing "
                             "with its splines as polylines or arcs");
    if (e->weight_count != 0 && e->weight_count != e->count)
        return rab_fail_line(err, RAB_FAULT_INPUT, e->line,
                             "the SPLINE has not as many weights as points; the file is damaged");
    points = malloc(e->count * sizeof *points);
    if (!points)
        return rab_fail_memory(err);
    for (size_t i = 0; i < e->count; i++)
        points[i] = (struct rab_point){e->vertices[i].x, e->vertices[i].y};
    spline.points = points;
    line->closed = is_flag(e, 1);
    ok = dxf_spline_curves(&spline, tolerance, e->line, most, &line->curves, &line->count,
                           &line->capacity, err);
    free(points);
    return ok;
}

/* Meshes are made of the same entity. */
static bool is_mesh(const struct dxf_entity *e)
{
    return is_flag(e, 16) || is_flag(e, 64);
}

bool entity_line(const struct dxf_entity *e, double tolerance, size_t most, struct dxf_line *line,
                 enum dxf_made *made, struct rab_error *err)
{
    bool ok;

    line->outline.count = line->count = 0;
    line->closed = false;
    *made = DXF_MADE;
    if (e->count > most)
        return rab_fail_line(err, RAB_FAULT_INPUT, e->line,
                             "the drawing has too many lines; give a smaller one");
    if (entity_is(e, "LINE")) {
        ok = make_line(e, line, err);
    } else if (entity_is(e, "CIRCLE")) {
        ok = make_circle(e, line, err);
    } else if (entity_is(e, "ARC")) {
        ok = make_arc(e, line, err);
    } else if (entity_is(e, "LWPOLYLINE") || (entity_is(e, "POLYLINE") && !is_mesh(e))) {
        ok = make_polyline(e, line, err);
    } else if (entity_is(e, "ELLIPSE")) {
        ok = make_ellipse(e, line, err);
    } else if (entity_is(e, "SPLINE")) {
        ok = make_spline(e, tolerance, most, line, err);
    } else {
        *made = DXF_UNKNOWN;
        return true;
    }
    if (ok && line->count == 0 &&
        (line->outline.count < 2 || rab_outline_perimeter(&line->outline) == 0))
        *made = DXF_NOTHING;
    return ok;
}
