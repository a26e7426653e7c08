#include "read/decode.h"
#include "read/reader.h"
#include "read/viewport.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Bytes of attributes that are looked at, those shown by `use` counted each time: twice the
 * largest file, about a second of work. */
static const size_t work_allowed = 2 * RAB_READ_LIMIT;

static bool fail(struct reader *reader, uint32_t node, const char *text)
{
    return rab_fail_line(reader->err, RAB_FAULT_INPUT, reader->tree->nodes[node].line, "%s", text);
}

void remark(struct reader *reader, enum remark_kind kind, uint32_t node)
{
    struct remark *r = &reader->remarks[kind];

    if (r->count++ == 0) {
        r->line = reader->tree->nodes[node].line;
        r->element = reader->tree->nodes[node].name;
    }
}

/* ---- conditions, SVG 1.1, 5.8 ---- */

/* Does a language of the list match English? The answer may not depend on who is reading. */
static bool speaks(const char *list)
{
    while (*list) {
        size_t length = strcspn(list, ",");
        struct slice language = slice_trim((struct slice){list, length});

        if (slice_begins(language, "en") &&
            (language.length == 2 || language.text[2] == '-'))
            return true;
        list += length + (list[length] == ',');
    }
    return false;
}

static bool meets_conditions(const struct tree *tree, uint32_t node)
{
    const char *features = tree_attribute(tree, node, KEY_FEATURES);
    const char *language = tree_attribute(tree, node, KEY_LANGUAGE);

    if (tree_attribute(tree, node, KEY_EXTENSIONS))
        return false; /* none is known here */
    if (features && *slice_trim(slice_of(features)).text == '\0')
        return false;
    return !language || speaks(language);
}

/* ---- containers ---- */

static bool open_frame(struct reader *reader, struct frame frame)
{
    if (!rab_reserve((void **)&reader->frames, &reader->frame_capacity, reader->depth + 1,
                     sizeof frame, reader->err))
        return false;
    reader->frames[reader->depth++] = frame;
    reader->active[frame.node] = 1;
    return true;
}

/* What the target's id is, or NULL: href of SVG 2 comes before xlink:href. */
static const char *target_of(const struct tree *tree, uint32_t node)
{
    const char *href = tree_attribute(tree, node, KEY_HREF);

    return href ? href : tree_attribute(tree, node, KEY_XLINK_HREF);
}

static bool open_use(struct reader *reader, uint32_t node, const struct cascade *cascade,
                     const struct length_base *base, struct frame frame)
{
    const char *href = target_of(reader->tree, node);
    struct slice reference;
    uint32_t target;
    double x, y;

    if (!href || *(reference = slice_trim(slice_of(href))).text == '\0') {
        remark(reader, REMARK_USE, node);
        return true;
    }
    if (*reference.text != '#')
        return rab_fail_line(reader->err, RAB_FAULT_INPUT, reader->tree->nodes[node].line,
                             "use shows \"%s\", which lies outside the file and is not read; put it "
                             "into the drawing",
                             quote_text(href, strlen(href)).text);
    target = tree_find(reader->tree, reference.text + 1);
    if (target == NO_NODE)
        return rab_fail_line(reader->err, RAB_FAULT_INPUT, reader->tree->nodes[node].line,
                             "use shows \"%s\", but nothing in the file has that id",
                             quote_text(href, strlen(href)).text);
    if (!geometry_read(reader, node, cascade, KEY_X, AXIS_X, base, 0, &x, NULL) ||
        !geometry_read(reader, node, cascade, KEY_Y, AXIS_Y, base, 0, &y, NULL))
        return false;
    frame.matrix = matrix_join(frame.matrix, (struct matrix){1, 0, 0, 1, x, y});
    frame.child = target;
    if (!open_frame(reader, frame))
        return false;
    if (reader->active[target])
        return rab_fail_line(reader->err, RAB_FAULT_INPUT, reader->tree->nodes[node].line,
                             "use shows \"%s\", which contains this use itself",
                             quote_text(href, strlen(href)).text);
    return true;
}

/* The size of a nested viewport along an axis: of the use element that shows it, else its own, else
 * all of the surrounding one (SVG 1.1, 5.6 and 7.9). */
static bool viewport_side(struct reader *reader, uint32_t node, const struct cascade *cascade,
                          const struct cascade *user, uint32_t user_node, enum key key,
                          enum length_axis axis, const struct length_base *base, double *out)
{
    bool given = false;

    if (user &&
        !geometry_read(reader, user_node, user, key, axis, base, 0, out, &given))
        return false;
    if (!given && !geometry_read(reader, node, cascade, key, axis, base,
                                 axis == AXIS_X ? base->width : base->height, out, &given))
        return false;
    if (*out < 0)
        return rab_fail_line(reader->err, RAB_FAULT_INPUT, reader->tree->nodes[node].line,
                             "%s of a nested drawing is negative; it must be 0 or more",
                             key_name(key));
    return true;
}

/* A nested svg element, or a symbol that a use element shows. */
static bool open_viewport(struct reader *reader, uint32_t node, const struct cascade *cascade,
                          const struct length_base *base, struct frame frame)
{
    const struct tree *tree = reader->tree;
    const struct frame *parent = &reader->frames[reader->depth - 1];
    int line = tree->nodes[node].line;
    struct cascade of_use;
    const struct cascade *user = NULL;
    struct view_box box;
    struct matrix fit;
    double x = 0, y = 0, width, height;

    if (tree->nodes[parent->node].tag == TAG_USE) {
        if (!cascade_make(reader->sheet, tree, parent->node, &of_use, reader->err))
            return false;
        user = &of_use;
    }
    if (tree->nodes[node].tag == TAG_SVG &&
        (!geometry_read(reader, node, cascade, KEY_X, AXIS_X, base, 0, &x, NULL) ||
         !geometry_read(reader, node, cascade, KEY_Y, AXIS_Y, base, 0, &y, NULL)))
        return false;
    if (!viewport_side(reader, node, cascade, user, parent->node, KEY_WIDTH, AXIS_X, base,
                       &width) ||
        !viewport_side(reader, node, cascade, user, parent->node, KEY_HEIGHT, AXIS_Y, base,
                       &height) ||
        !view_box_read(tree_attribute(tree, node, KEY_VIEW_BOX), line, &box, reader->err))
        return false;
    frame.matrix = matrix_join(frame.matrix, (struct matrix){1, 0, 0, 1, x, y});
    frame.width = width;
    frame.height = height;
    if (base->width > 0 && (width <= 0 || height <= 0))
        return true; /* not shown, SVG 1.1, 5.1.2 */
    if (box.width > 0) {
        if (width <= 0 || height <= 0)
            return fail(reader, node,
                        "a nested drawing takes its size from the page, but the page has none; "
                        "give the outermost svg element a viewBox, or a width and height");
        if (!viewport_fit(&box, width, height, tree_attribute(tree, node, KEY_ASPECT), line, &fit,
                          reader->err))
            return false;
        frame.matrix = matrix_join(frame.matrix, fit);
        frame.width = box.width;
        frame.height = box.height;
    }
    return open_frame(reader, frame);
}

/* ---- one element ---- */

static bool is_set(const struct cascade *cascade, enum key key)
{
    struct slice value = cascade->of[key].value;

    return value.text && value.length > 0 && !slice_is(value, "none") &&
           !slice_is(value, "inherit") && !slice_is(value, "initial") && !slice_is(value, "unset");
}

static void remark_properties(struct reader *reader, uint32_t node, const struct cascade *cascade)
{
    struct slice opacity = cascade->of[KEY_OPACITY].value;
    double value;

    if (is_set(cascade, KEY_CLIP_PATH))
        remark(reader, REMARK_CLIP, node);
    if (is_set(cascade, KEY_MASK))
        remark(reader, REMARK_MASK, node);
    if (is_set(cascade, KEY_MARKER) || is_set(cascade, KEY_MARKER_START) ||
        is_set(cascade, KEY_MARKER_MID) || is_set(cascade, KEY_MARKER_END))
        remark(reader, REMARK_MARKER, node);
    if (opacity.text && take_number(&opacity, &value) && value <= 0)
        remark(reader, REMARK_OPACITY, node);
}

static bool read_transform(struct reader *reader, uint32_t node, const struct cascade *cascade,
                           struct matrix *matrix)
{
    const struct declared *transform = &cascade->of[KEY_TRANSFORM];
    struct slice origin = cascade->of[KEY_ORIGIN].value;
    struct matrix own;

    if (!transform->value.text)
        return true;
    if (!transform_read(transform->value, transform->css, reader->tree->nodes[node].line, &own,
                        reader->err))
        return false;
    if (origin.text && !slice_is(origin, "0") && !slice_is(origin, "0 0") &&
        !slice_is(origin, "0px 0px") && !slice_is(origin, "top left") &&
        !slice_is(origin, "left top"))
        return fail(reader, node,
                    "transform-origin is not read; apply the transform in the drawing program");
    *matrix = matrix_join(*matrix, own);
    return true;
}

static bool is_singular(const struct matrix *matrix)
{
    double size = fmax(fmax(fabs(matrix->a), fabs(matrix->b)), fmax(fabs(matrix->c), fabs(matrix->d)));

    return fabs(matrix->a * matrix->d - matrix->b * matrix->c) <= 1e-14 * size * size;
}

/* Count what is looked at, so that uses of uses come to an end. */
static bool count_work(struct reader *reader, uint32_t node)
{
    const struct node *n = &reader->tree->nodes[node];
    size_t work = 64;

    for (uint32_t i = 0; i < n->attribute_count; i++)
        /* a style takes three times as long as path data */
        work += (reader->tree->attributes[n->attributes + i].key == KEY_STYLE ? 3U : 1U) *
                reader->tree->attributes[n->attributes + i].length;
    reader->work += work;
    reader->shown++;
    if (reader->shown <= reader->elements && reader->work <= work_allowed)
        return true;
    return rab_fail_line(reader->err, RAB_FAULT_INPUT, n->line,
                         "the drawing shows more than %zu elements, or the same long ones too often "
                         "(use elements that show each other?); simplify it",
                         reader->elements);
}

static bool is_shape(enum tag tag)
{
    return tag >= TAG_PATH && tag <= TAG_POLYGON;
}

/* What is neither shape nor container. False when it is one of those. */
static bool is_left_out(struct reader *reader, uint32_t node, enum tag tag,
                        const struct style *style)
{
    switch (tag) {
    case TAG_TEXT:
    case TAG_IMAGE:
    case TAG_FOREIGN:
        if (style->visible)
            remark(reader,
                   tag == TAG_TEXT    ? REMARK_TEXT
                   : tag == TAG_IMAGE ? REMARK_IMAGE
                                      : REMARK_FOREIGN,
                   node);
        return true;
    case TAG_UNKNOWN:
        remark(reader, REMARK_UNKNOWN, node);
        return true;
    default:
        return false;
    }
}

/* *counts: a switch element shows this one. */
static bool visit(struct reader *reader, uint32_t node, bool *counts)
{
    const struct tree *tree = reader->tree;
    const struct frame *parent = &reader->frames[reader->depth - 1];
    enum tag tag = tree->nodes[node].tag;
    struct frame frame = *parent;
    struct cascade cascade;
    struct length_base base = reader->page;
    bool displayed;

    *counts = false;
    if (!count_work(reader, node))
        return false;
    if (tag >= TAG_DEFS && tag != TAG_UNKNOWN)
        return true;
    if (!meets_conditions(tree, node))
        return true;
    *counts = tag != TAG_FOREIGN && tag != TAG_UNKNOWN;
    if (!cascade_make(reader->sheet, tree, node, &cascade, reader->err))
        return false;
    frame.node = node;
    frame.child = tree->nodes[node].first;
    frame.style = style_compute(&cascade, &parent->style, reader->page.root_font, &displayed);
    if (tag == TAG_SYMBOL) /* SVG 1.1, 5.5: display does not apply to it; only use shows it */
        displayed = tree->nodes[parent->node].tag == TAG_USE;
    if (!displayed || is_left_out(reader, node, tag, &frame.style))
        return true;
    remark_properties(reader, node, &cascade);
    if (!read_transform(reader, node, &cascade, &frame.matrix))
        return false;
    if (is_singular(&frame.matrix)) { /* SVG 1.1, 7.4: not rendered */
        remark(reader, REMARK_NOTHING, node);
        return true;
    }
    base.width = frame.width;
    base.height = frame.height;
    base.font = frame.style.font;
    if (is_shape(tag))
        return !frame.style.visible ||
               shape_read(reader, node, &cascade, &frame.style, &frame.matrix, &base);
    if (tag == TAG_USE)
        return open_use(reader, node, &cascade, &base, frame);
    if (tag == TAG_SVG || tag == TAG_SYMBOL)
        return open_viewport(reader, node, &cascade, &base, frame);
    return open_frame(reader, frame);
}

bool walk_drawing(struct reader *reader, const struct frame *root)
{
    const struct node *nodes = reader->tree->nodes;

    reader->depth = 0;
    memset(reader->active, 0, reader->tree->count);
    if (!open_frame(reader, *root))
        return false;
    while (reader->depth > 0) {
        size_t at = reader->depth - 1;
        uint32_t node = reader->frames[at].node, child = reader->frames[at].child;
        bool counts;

        if (child == NO_NODE) {
            reader->active[node] = 0;
            reader->depth--;
            continue;
        }
        reader->frames[at].child = nodes[node].tag == TAG_USE ? NO_NODE : nodes[child].next;
        if (!visit(reader, child, &counts))
            return false;
        if (counts && nodes[node].tag == TAG_SWITCH)
            reader->frames[at].child = NO_NODE;
    }
    return true;
}
