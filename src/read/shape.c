#include "read/decode.h"
#include "read/path.h"
#include "read/reader.h"
#include "read/subpath.h"

#include <stdlib.h>
#include <string.h>

bool geometry_read(const struct reader *reader, uint32_t node, const struct cascade *cascade,
                   enum key key, enum length_axis axis, const struct length_base *base,
                   double missing, double *out, bool *given)
{
    int line = reader->tree->nodes[node].line;
    struct slice value = cascade->of[key].value;
    struct length length;

    *out = missing;
    if (given)
        *given = false;
    if (!value.text) {
        const char *attribute = tree_attribute(reader->tree, node, key);
        if (!attribute)
            return true;
        value = slice_of(attribute);
    }
    if (!length_read(value, key_name(key), line, &length, reader->err))
        return false;
    if (length.unit == LENGTH_AUTO)
        return true;
    if (given)
        *given = true;
    return length_resolve(length, axis, base, key_name(key), line, out, reader->err);
}

/* ---- what becomes of the subpaths ---- */

struct collecting {
    struct reader *reader;
    const struct matrix *matrix;
    int line;
    struct rab_drawn item;
    size_t capacity;
};

static bool collect(void *context, const struct rab_curve *curves, size_t count, bool closed,
                    struct rab_error *err)
{
    struct collecting *to = context;
    struct rab_outline outline = {0};

    if (to->reader->measuring) {
        to->reader->box = rab_box_join(to->reader->box, subpath_box(curves, count, to->matrix));
        return true;
    }
    if (!subpath_outline(curves, count, closed, to->matrix, to->reader->tolerance, to->line,
                         &outline, err))
        return false;
    if (outline.count == 0)
        return true;
    if (!rab_reserve((void **)&to->item.outlines, &to->capacity, to->item.count + 1, sizeof outline,
                     err)) {
        rab_outline_clear(&outline);
        return false;
    }
    to->item.outlines[to->item.count++] = outline;
    return true;
}

static const char *element_name(enum tag tag)
{
    switch (tag) {
    case TAG_RECT:
        return "rect";
    case TAG_CIRCLE:
        return "circle";
    case TAG_ELLIPSE:
        return "ellipse";
    case TAG_LINE:
        return "line";
    case TAG_POLYLINE:
        return "polyline";
    case TAG_POLYGON:
        return "polygon";
    default:
        return "path";
    }
}

static void clear_item(struct rab_drawn *item)
{
    for (size_t i = 0; i < item->count; i++)
        rab_outline_clear(&item->outlines[i]);
    free(item->outlines);
    free(item->id);
    *item = (struct rab_drawn){0};
}

void rab_drawing_clear(struct rab_drawing *drawing)
{
    for (size_t i = 0; i < drawing->count; i++)
        clear_item(&drawing->items[i]);
    free(drawing->items);
    free(drawing->title);
    *drawing = (struct rab_drawing){0};
}

/* The operation that the nearest group is named after. */
static enum rab_operation operation_of(const struct reader *reader)
{
    for (size_t i = reader->depth; i-- > 0;) {
        const char *id = tree_attribute(reader->tree, reader->frames[i].node, KEY_ID);
        for (int k = 0; id && k < RAB_OPERATIONS; k++)
            if (strcmp(id, rab_operation_name((enum rab_operation)k)) == 0)
                return (enum rab_operation)k;
    }
    return RAB_CUT;
}

static bool keep_item(struct reader *reader, uint32_t node, const struct style *style,
                      struct rab_drawn *item)
{
    struct rab_drawing *drawing = reader->drawing;
    enum tag tag = reader->tree->nodes[node].tag;
    const char *id = tree_attribute(reader->tree, node, KEY_ID);

    if (!rab_reserve((void **)&drawing->items, &drawing->capacity, drawing->count + 1, sizeof *item,
                     reader->err))
        return false;
    if (id && !(item->id = strdup(id)))
        return rab_fail_memory(reader->err);
    item->element = element_name(tag);
    item->line = reader->tree->nodes[node].line;
    item->filled = style->filled && tag != TAG_LINE;
    item->stroked = style->stroked;
    item->rule = style->rule == STYLE_EVENODD ? RAB_FILL_EVENODD : RAB_FILL_NONZERO;
    item->operation = operation_of(reader);
    drawing->items[drawing->count++] = *item;
    *item = (struct rab_drawn){0};
    return true;
}

/* ---- the shapes ---- */

struct shape {
    struct reader *reader;
    uint32_t node;
    const struct cascade *cascade;
    const struct length_base *base;
    struct path_sink *sink;
};

static bool read(const struct shape *shape, enum key key, enum length_axis axis, double *out,
                 bool *given)
{
    return geometry_read(shape->reader, shape->node, shape->cascade, key, axis, shape->base, 0, out,
                         given);
}

/* A length that must not be negative: SVG 1.1, 9.2 to 9.4, calls that an error. */
static bool read_size(const struct shape *shape, enum key key, enum length_axis axis, double *out,
                      bool *given)
{
    if (!read(shape, key, axis, out, given))
        return false;
    if (*out < 0)
        return rab_fail_line(shape->reader->err, RAB_FAULT_INPUT,
                             shape->reader->tree->nodes[shape->node].line,
                             "%s of a %s is negative; it must be 0 or more", key_name(key),
                             shape->reader->tree->nodes[shape->node].name);
    return true;
}

static bool read_rectangle(const struct shape *shape)
{
    double x, y, width, height, rx, ry;
    bool has_rx, has_ry;

    if (!read(shape, KEY_X, AXIS_X, &x, NULL) || !read(shape, KEY_Y, AXIS_Y, &y, NULL) ||
        !read_size(shape, KEY_WIDTH, AXIS_X, &width, NULL) ||
        !read_size(shape, KEY_HEIGHT, AXIS_Y, &height, NULL) ||
        !read_size(shape, KEY_RX, AXIS_X, &rx, &has_rx) ||
        !read_size(shape, KEY_RY, AXIS_Y, &ry, &has_ry))
        return false;
    if (width <= 0 || height <= 0)
        return true;
    if (!has_rx)
        rx = ry;
    if (!has_ry)
        ry = rx;
    return path_rectangle(x, y, width, height, rx, ry, shape->sink, shape->reader->err);
}

static bool read_circle(const struct shape *shape)
{
    double cx, cy, r;

    if (!read(shape, KEY_CX, AXIS_X, &cx, NULL) || !read(shape, KEY_CY, AXIS_Y, &cy, NULL) ||
        !read_size(shape, KEY_R, AXIS_BOTH, &r, NULL))
        return false;
    return r <= 0 || path_ellipse(cx, cy, r, r, shape->sink, shape->reader->err);
}

static bool read_ellipse(const struct shape *shape)
{
    double cx, cy, rx, ry;
    bool has_rx, has_ry;

    if (!read(shape, KEY_CX, AXIS_X, &cx, NULL) || !read(shape, KEY_CY, AXIS_Y, &cy, NULL) ||
        !read_size(shape, KEY_RX, AXIS_X, &rx, &has_rx) ||
        !read_size(shape, KEY_RY, AXIS_Y, &ry, &has_ry))
        return false;
    if (!has_rx) /* SVG 2, 10.4: auto takes the other's value */
        rx = ry;
    if (!has_ry)
        ry = rx;
    return rx <= 0 || ry <= 0 || path_ellipse(cx, cy, rx, ry, shape->sink, shape->reader->err);
}

static bool read_line(const struct shape *shape)
{
    struct rab_point from, to;

    if (!read(shape, KEY_X1, AXIS_X, &from.x, NULL) ||
        !read(shape, KEY_Y1, AXIS_Y, &from.y, NULL) || !read(shape, KEY_X2, AXIS_X, &to.x, NULL) ||
        !read(shape, KEY_Y2, AXIS_Y, &to.y, NULL))
        return false;
    return path_line(from, to, shape->sink, shape->reader->err);
}

/* In CSS the data stands in path("..."). */
static bool read_path(const struct shape *shape)
{
    const struct declared *d = &shape->cascade->of[KEY_D];
    struct slice data = d->value;
    const char *open, *end;

    if (!data.text)
        return true;
    if (d->css && !slice_is(data, "none")) {
        open = memchr(data.text, '"', data.length);
        if (!open)
            open = memchr(data.text, '\'', data.length);
        end = open ? memchr(open + 1, *open, (size_t)(data.text + data.length - open) - 1) : NULL;
        if (!end || !slice_begins(data, "path("))
            return rab_fail_line(shape->reader->err, RAB_FAULT_INPUT,
                                 shape->reader->tree->nodes[shape->node].line,
                                 "the style d: %s is not understood; it wants path(\"...\")",
                                 quote_text(data.text, data.length).text);
        data = (struct slice){open + 1, (size_t)(end - open) - 1};
    }
    return path_read(data, shape->sink, shape->reader->err);
}

static bool read_shape(const struct shape *shape, enum tag tag)
{
    const char *points;

    switch (tag) {
    case TAG_RECT:
        return read_rectangle(shape);
    case TAG_CIRCLE:
        return read_circle(shape);
    case TAG_ELLIPSE:
        return read_ellipse(shape);
    case TAG_LINE:
        return read_line(shape);
    case TAG_POLYLINE:
    case TAG_POLYGON:
        points = tree_attribute(shape->reader->tree, shape->node, KEY_POINTS);
        return !points ||
               points_read(slice_of(points), tag == TAG_POLYGON, shape->sink, shape->reader->err);
    default:
        return read_path(shape);
    }
}

bool shape_read(struct reader *reader, uint32_t node, const struct cascade *cascade,
                const struct style *style, const struct matrix *matrix,
                const struct length_base *base)
{
    const struct node *n = &reader->tree->nodes[node];
    struct collecting to = {.reader = reader, .matrix = matrix, .line = n->line};
    struct path_sink sink = {
        .subpath = collect, .context = &to, .line = n->line, .segments = reader->segments};
    struct shape shape = {reader, node, cascade, base, &sink};
    bool ok = read_shape(&shape, n->tag);

    reader->segments = sink.segments;
    if (ok && to.item.count > 0) {
        if (style->filled && style->server)
            remark(reader, REMARK_SERVER, node);
        ok = keep_item(reader, node, style, &to.item);
        reader->drawing->curves += sink.curves;
    }
    clear_item(&to.item);
    return ok;
}
