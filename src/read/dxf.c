#include "read/dxf_entity.h"

#include "rabbet/read.h"
#include "read/decode.h"
#include "read/options.h"
#include "read/subpath.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    BLOCK_DEPTH = 32, /* blocks in blocks */
    NAMES = 100000,   /* layers or blocks in a file */
};
/* A block is read again for each copy: so many bytes altogether. */
static const char too_large[] =
    "the drawing has too many lines or entities, those of blocks counted "
    "each time; give a smaller one";
static const size_t most_work = 4 * RAB_READ_LIMIT;

/* What is left out, counted and told once at the end. */
enum omitted { OMIT_TEXT, OMIT_OTHER, OMIT_HIDDEN, OMIT_PAPER, OMIT_TILTED, OMIT_BLOCK, OMITTED };

struct omission {
    size_t count;
    int line;
    struct slice type;
};

struct block {
    struct slice name;
    struct rab_point base;
    struct dxf_cursor start; /* of its first entity */
};
struct names {
    struct block *items; /* of a layer only the name counts */
    size_t count, capacity;
};

/* A block that is being walked through, or the drawing itself. */
struct visit {
    struct dxf_cursor cursor;
    struct matrix matrix;
    const struct block *block; /* NULL for the drawing */
    /* further copies of the block: an INSERT may ask for rows and columns */
    struct matrix corner, inner;
    double step_x, step_y;
    size_t columns, copies, copy;
};

struct dxf_reader {
    const struct rab_read_options *options;
    struct names hidden, blocks;
    struct rab_box limits; /* in the drawing's units; empty when not stated */
    int unit;              /* $INSUNITS */
    double tolerance;      /* mm */
    bool measuring;        /* only the box */
    struct rab_box box;
    struct visit *visits;
    size_t depth;
    size_t elements, segments, work; /* left; work: bytes of entities */
    struct omission omitted[OMITTED];
    struct dxf_entity entity;
    struct dxf_line line;
    struct rab_drawing *drawing;
};

/* ---- names ----------------------------------------------------------------------------- */

/* Capitals do not matter in the names of layers and blocks. */
static int compare_slices(struct slice a, struct slice b)
{
    for (size_t i = 0; i < a.length && i < b.length; i++) {
        int p = (unsigned char)a.text[i], q = (unsigned char)b.text[i];
        p = p >= 'a' && p <= 'z' ? p - 32 : p;
        q = q >= 'a' && q <= 'z' ? q - 32 : q;
        if (p != q)
            return p - q;
    }
    return (a.length > b.length) - (a.length < b.length);
}

/* By name, and by place where a name is given twice: the first is meant. */
static int compare_blocks(const void *a, const void *b)
{
    const struct block *p = a, *q = b;
    const int order = compare_slices(p->name, q->name);

    return order != 0 ? order : (p->start.at > q->start.at) - (p->start.at < q->start.at);
}

static const struct block *find_name(const struct names *names, struct slice name)
{
    size_t low = 0, high = names->count;

    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (compare_slices(names->items[middle].name, name) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low < names->count && compare_slices(names->items[low].name, name) == 0
               ? &names->items[low]
               : NULL;
}

static bool add_name(struct names *names, struct block block, struct rab_error *err)
{
    void *items = names->items;

    if (names->count >= NAMES)
        return rab_fail_line(err, RAB_FAULT_INPUT, block.start.line,
                             "the drawing has more than %d layers or blocks", NAMES);
    if (!rab_reserve(&items, &names->capacity, names->count + 1, sizeof *names->items, err))
        return false;
    names->items = items;
    names->items[names->count++] = block;
    return true;
}

/* ---- sections before the entities ------------------------------------------------------ */

/* One group further; a file that ends here is not whole. */
static bool step(struct dxf_cursor *cursor, struct dxf_tag *tag, struct rab_error *err)
{
    bool more;

    if (!cursor_next(cursor, tag, &more, err))
        return false;
    return more || rab_fail_line(err, RAB_FAULT_INPUT, cursor->line,
                                 "the file ends within a section; it is not whole");
}

static bool read_header(struct dxf_cursor *cursor, struct dxf_reader *reader, struct rab_error *err)
{
    struct slice name = {0};
    struct dxf_tag tag;

    for (;;) {
        double value;

        if (!step(cursor, &tag, err))
            return false;
        if (tag.code == 0)
            return true;
        if (tag.code == 9)
            name = tag.value;
        const bool least = slice_is(name, "$LIMMIN"), most = slice_is(name, "$LIMMAX");
        const bool unit = slice_is(name, "$INSUNITS") && tag.code == 70;
        if (!unit && !((least || most) && (tag.code == 10 || tag.code == 20)))
            continue;
        if (!tag_number(&tag, &value, err))
            return false;
        if (unit)
            reader->unit = value >= 0 && value <= 1000 ? (int)value : 0;
        else if (least)
            *(tag.code == 10 ? &reader->limits.x0 : &reader->limits.y0) = value;
        else
            *(tag.code == 10 ? &reader->limits.x1 : &reader->limits.y1) = value;
    }
}

/* Layers that are off (negative colour) or frozen (bit 1): what is on them is not to be cut. */
static bool read_tables(struct dxf_cursor *cursor, struct dxf_reader *reader, struct rab_error *err)
{
    struct dxf_tag tag;
    struct block layer = {0};
    bool is_layer = false, hidden = false;

    for (;;) {
        double value;

        if (!step(cursor, &tag, err))
            return false;
        if (tag.code == 0) {
            if (is_layer && hidden && !add_name(&reader->hidden, layer, err))
                return false;
            if (tag_is(&tag, 0, "ENDSEC"))
                return true;
            is_layer = tag_is(&tag, 0, "LAYER");
            hidden = false;
            layer = (struct block){.start = *cursor};
        } else if (is_layer && tag.code == 2) {
            layer.name = tag.value;
        } else if (is_layer && (tag.code == 62 || tag.code == 70)) {
            if (!tag_number(&tag, &value, err))
                return false;
            hidden = hidden || (tag.code == 62 ? value < 0 : fmod(fabs(value), 2) >= 1);
        }
    }
}

static bool read_blocks(struct dxf_cursor *cursor, struct dxf_reader *reader, struct rab_error *err)
{
    struct dxf_tag tag;
    struct block block = {0};
    bool in_head = false;

    for (;;) {
        const struct dxf_cursor before = *cursor;

        if (!step(cursor, &tag, err))
            return false;
        if (tag.code == 0) {
            if (in_head) {
                block.start = before;
                if (!add_name(&reader->blocks, block, err))
                    return false;
            }
            if (tag_is(&tag, 0, "ENDSEC"))
                return true;
            in_head = tag_is(&tag, 0, "BLOCK");
            block = (struct block){0};
        } else if (in_head && tag.code == 2) {
            block.name = tag.value;
        } else if (in_head && (tag.code == 10 || tag.code == 20)) {
            if (!tag_number(&tag, tag.code == 10 ? &block.base.x : &block.base.y, err))
                return false;
        }
    }
}

static bool skip_section(struct dxf_cursor *cursor, struct rab_error *err)
{
    struct dxf_tag tag;

    do {
        if (!step(cursor, &tag, err))
            return false;
    } while (!tag_is(&tag, 0, "ENDSEC"));
    return true;
}

/* All sections; *entities is where the entities begin. */
static bool read_sections(struct dxf_cursor cursor, struct dxf_reader *reader,
                          struct dxf_cursor *entities, struct rab_error *err)
{
    struct dxf_tag tag;
    bool more, found = false;

    for (;;) {
        if (!cursor_next(&cursor, &tag, &more, err))
            return false;
        if (!more || tag_is(&tag, 0, "EOF"))
            break;
        if (tag.code == 999)
            continue;
        if (!tag_is(&tag, 0, "SECTION"))
            return rab_fail_line(err, RAB_FAULT_INPUT, tag.line,
                                 "a section of a DXF begins here, but this is none");
        if (!step(&cursor, &tag, err))
            return false;
        if (tag_is(&tag, 2, "ENTITIES")) {
            *entities = cursor;
            found = true;
        }
        if (!(tag_is(&tag, 2, "HEADER")   ? read_header(&cursor, reader, err)
              : tag_is(&tag, 2, "TABLES") ? read_tables(&cursor, reader, err)
              : tag_is(&tag, 2, "BLOCKS") ? read_blocks(&cursor, reader, err)
                                          : skip_section(&cursor, err)))
            return false;
    }
    if (reader->hidden.count > 0)
        qsort(reader->hidden.items, reader->hidden.count, sizeof *reader->hidden.items,
              compare_blocks);
    if (reader->blocks.count > 0)
        qsort(reader->blocks.items, reader->blocks.count, sizeof *reader->blocks.items,
              compare_blocks);
    return found || rab_fail(err, RAB_FAULT_INPUT,
                             "the DXF has no ENTITIES section: there is no drawing in it");
}

/* ---- outlines -------------------------------------------------------------------------- */

/* Moves, turns, scales evenly, perhaps mirrors: arcs stay arcs. */
static bool keeps_arcs(const struct matrix *m)
{
    const double near = 1e-12 * (fabs(m->a) + fabs(m->b) + fabs(m->c) + fabs(m->d));

    return (fabs(m->a - m->d) <= near && fabs(m->b + m->c) <= near) ||
           (fabs(m->a + m->d) <= near && fabs(m->b - m->c) <= near);
}

static bool place_outline(const struct rab_outline *in, const struct matrix *matrix, bool closed,
                          int line, struct rab_outline *out, struct rab_error *err)
{
    const bool mirrors = matrix->a * matrix->d - matrix->b * matrix->c < 0;

    for (size_t i = 0; i < in->count; i++) {
        const struct rab_vertex *v = &in->vertices[i];
        const struct rab_point p = matrix_apply(matrix, (struct rab_point){v->x, v->y});
        if (!(fabs(p.x) <= FARTHEST) || !(fabs(p.y) <= FARTHEST))
            return rab_fail_line(err, RAB_FAULT_INPUT, line,
                                 "an outline reaches more than a kilometre from the origin; check "
                                 "the drawing's units");
        if (!rab_outline_add(out, p.x, p.y, mirrors ? -v->bulge : v->bulge, err))
            return false;
    }
    const struct rab_vertex first = out->vertices[0], last = out->vertices[out->count - 1];
    if (!closed && out->count > 2 && hypot(last.x - first.x, last.y - first.y) <= CLOSED_WITHIN) {
        out->count--;
        closed = true;
    }
    out->open = !closed;
    return true;
}

/* The way between two vertices as a curve. */
static struct rab_curve curve_between(struct rab_vertex a, struct rab_vertex b)
{
    struct rab_curve curve = {.kind = RAB_CURVE_LINE, .p = {{a.x, a.y}, {b.x, b.y}}};

    if (a.bulge == 0)
        return curve;
    /* the centre lies on the chord's normal, to the left of a bend to the left */
    const double share = (1 - a.bulge * a.bulge) / (4 * a.bulge);
    const struct rab_point centre = {(a.x + b.x) / 2 - share * (b.y - a.y),
                                     (a.y + b.y) / 2 + share * (b.x - a.x)};
    const struct rab_point u = {a.x - centre.x, a.y - centre.y};
    return (struct rab_curve){.kind = RAB_CURVE_ELLIPSE,
                              .p = {centre, u, {-u.y, u.x}},
                              .from = 0,
                              .to = 4 * atan(a.bulge)};
}

static bool outline_curves(struct dxf_line *line, struct rab_error *err)
{
    const struct rab_outline *o = &line->outline;
    const size_t edges = o->count - (line->closed ? 0 : 1);
    void *items = line->curves;

    if (!rab_reserve(&items, &line->capacity, edges, sizeof *line->curves, err))
        return false;
    line->curves = items;
    for (size_t i = 0; i < edges; i++)
        line->curves[i] = curve_between(o->vertices[i], o->vertices[(i + 1) % o->count]);
    line->count = edges;
    return true;
}

/* The operation that a layer is named after. */
static enum rab_operation operation_of(struct slice layer)
{
    for (int k = 0; k < RAB_OPERATIONS; k++)
        if (slice_is(layer, rab_operation_layer((enum rab_operation)k)))
            return (enum rab_operation)k;
    return RAB_CUT;
}

static bool add_drawn(struct dxf_reader *reader, struct rab_outline *outline, const char *element,
                      struct slice layer, int line, struct rab_error *err)
{
    struct rab_drawing *drawing = reader->drawing;
    struct rab_outline *one;
    void *items = drawing->items;

    if (!rab_reserve(&items, &drawing->capacity, drawing->count + 1, sizeof *drawing->items, err))
        return false;
    drawing->items = items;
    one = malloc(sizeof *one);
    if (!one)
        return rab_fail_memory(err);
    *one = *outline;
    *outline = (struct rab_outline){0};
    drawing->items[drawing->count++] = (struct rab_drawn){.outlines = one,
                                                          .count = 1,
                                                          .element = element,
                                                          .line = line,
                                                          .stroked = true,
                                                          .rule = RAB_FILL_EVENODD,
                                                          .operation = operation_of(layer)};
    return true;
}

static const char *element_name(const struct dxf_entity *entity)
{
    static const char *const names[] = {"LINE",       "CIRCLE",   "ARC",   "ELLIPSE",
                                        "LWPOLYLINE", "POLYLINE", "SPLINE"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (entity_is(entity, names[i]))
            return names[i];
    return "entity";
}

static bool take_line(struct dxf_reader *reader, const struct matrix *matrix, struct rab_error *err)
{
    struct dxf_line *line = &reader->line;
    struct rab_outline outline = {0};
    const int at = reader->entity.line;
    bool ok = false;

    const size_t cost = line->count > 0 ? 5 * line->count : line->outline.count;
    if (cost > reader->segments)
        return rab_fail_line(err, RAB_FAULT_INPUT, at, "%s", too_large);
    reader->segments -= cost;
    if (line->count == 0 && keeps_arcs(matrix)) {
        if (!place_outline(&line->outline, matrix, line->closed, at, &outline, err))
            goto done;
    } else {
        if (line->count == 0 && !outline_curves(line, err))
            goto done;
        if (!subpath_outline(line->curves, line->count, line->closed, matrix, reader->tolerance, at,
                             &outline, err))
            goto done;
    }
    if (outline.count < 2) {
        ok = true;
    } else if (reader->measuring) {
        reader->box = rab_box_join(reader->box, rab_outline_box(&outline));
        ok = true;
    } else {
        ok = add_drawn(reader, &outline, element_name(&reader->entity), reader->entity.layer, at,
                       err);
        reader->drawing->curves += line->count > 0 ? line->count : line->outline.count;
    }
done:
    rab_outline_clear(&outline);
    return ok;
}

/* ---- the walk -------------------------------------------------------------------------- */

static void omit(struct dxf_reader *reader, enum omitted kind)
{
    struct omission *o = &reader->omitted[kind];

    if (o->count++ == 0) {
        o->line = reader->entity.line;
        o->type = reader->entity.type;
    }
}

/* The entity's own plane: as seen from above, or from behind (x runs the other way). */
enum seen { SEEN_ABOVE, SEEN_BEHIND, SEEN_TILTED };

static enum seen seen_from(const struct dxf_entity *e)
{
    const double x = entity_number(e, 210, 0), y = entity_number(e, 220, 0);
    const double z = entity_number(e, 230, 1);

    if (!(fabs(x) <= 1e-9 * fabs(z)) || !(fabs(y) <= 1e-9 * fabs(z)))
        return SEEN_TILTED;
    return z < 0 ? SEEN_BEHIND : SEEN_ABOVE;
}

/* LINE, ELLIPSE and SPLINE stand in the drawing's own coordinates whatever their plane. */
static bool has_own_plane(const struct dxf_entity *e)
{
    return !entity_is(e, "LINE") && !entity_is(e, "ELLIPSE") && !entity_is(e, "SPLINE");
}

static struct matrix copy_matrix(const struct visit *v)
{
    const size_t row = v->copy / v->columns, column = v->copy % v->columns;
    const struct matrix moved = {1, 0, 0, 1, v->step_x * (double)column, v->step_y * (double)row};

    return matrix_join(v->corner, matrix_join(moved, v->inner));
}

static size_t whole_number(const struct dxf_entity *e, int code)
{
    const double value = entity_number(e, code, 1);

    return value >= 1 && value <= 1e6 ? (size_t)value : 1;
}

/* Go into a block. */
static bool insert(struct dxf_reader *reader, const struct matrix *matrix, struct rab_error *err)
{
    const struct dxf_entity *e = &reader->entity;
    const struct block *block = find_name(&reader->blocks, e->block);

    if (!block) {
        omit(reader, OMIT_BLOCK);
        return true;
    }
    bool within = reader->depth >= BLOCK_DEPTH;
    for (size_t i = 0; i < reader->depth; i++)
        within = within || reader->visits[i].block == block;
    if (within) {
        const struct quote name = quote_text(block->name.text, block->name.length);
        return rab_fail_line(err, RAB_FAULT_INPUT, e->line,
                             "the block \"%s\" stands within itself, or more than %d blocks within "
                             "each other",
                             name.text, BLOCK_DEPTH);
    }
    const double angle = entity_number(e, 50, 0) * RAB_PI / 180;
    const double sx = entity_number(e, 41, 1), sy = entity_number(e, 42, 1);
    const double c = cos(angle), s = sin(angle);
    struct visit v = {.cursor = block->start, .block = block};
    v.inner = (struct matrix){sx, 0, 0, sy, -sx * block->base.x, -sy * block->base.y};
    v.corner = matrix_join(
        *matrix, (struct matrix){c, s, -s, c, entity_number(e, 10, 0), entity_number(e, 20, 0)});
    v.step_x = entity_number(e, 44, 0);
    v.step_y = entity_number(e, 45, 0);
    v.columns = whole_number(e, 70);
    v.copies = v.columns * whole_number(e, 71);
    v.matrix = copy_matrix(&v);
    reader->visits[reader->depth++] = v;
    return true;
}

static bool take_entity(struct dxf_reader *reader, const struct matrix *outer,
                        struct rab_error *err)
{
    static const struct matrix behind = {-1, 0, 0, 1, 0, 0};
    const struct dxf_entity *e = &reader->entity;
    const enum seen seen = seen_from(e);
    struct matrix matrix = *outer;
    enum dxf_made made;

    if (reader->elements == 0)
        return rab_fail_line(err, RAB_FAULT_INPUT, e->line, "%s", too_large);
    reader->elements--;
    if (find_name(&reader->hidden, e->layer) || entity_number(e, 60, 0) == 1) {
        omit(reader, OMIT_HIDDEN);
        return true;
    }
    if (entity_number(e, 67, 0) == 1) {
        omit(reader, OMIT_PAPER);
        return true;
    }
    if (seen == SEEN_TILTED && has_own_plane(e)) {
        omit(reader, OMIT_TILTED);
        return true;
    }
    if (seen == SEEN_BEHIND && has_own_plane(e))
        matrix = matrix_join(matrix, behind);
    if (entity_is(e, "INSERT"))
        return insert(reader, &matrix, err);
    const double scale = hypot(hypot(matrix.a, matrix.b), hypot(matrix.c, matrix.d)) / sqrt(2);
    if (!entity_line(e, scale > 0 ? reader->tolerance / 20 / scale : 1, reader->segments,
                     &reader->line, &made, err))
        return false;
    if (made == DXF_MADE)
        return take_line(reader, &matrix, err);
    if (made == DXF_UNKNOWN)
        omit(reader, entity_is(e, "TEXT") || entity_is(e, "MTEXT") || entity_is(e, "ATTRIB")
                         ? OMIT_TEXT
                         : OMIT_OTHER);
    return true;
}

/* Does what is walked through end here? Blocks end with ENDBLK, the drawing with its section. */
static bool is_end(const struct dxf_tag *tag)
{
    return tag_is(tag, 0, "ENDBLK") || tag_is(tag, 0, "ENDSEC") || tag_is(tag, 0, "EOF");
}

static bool walk(struct dxf_reader *reader, struct dxf_cursor entities, const struct matrix *matrix,
                 struct rab_error *err)
{
    struct dxf_tag tag;

    reader->depth = 1;
    reader->visits[0] = (struct visit){
        .cursor = entities, .matrix = *matrix, .columns = 1, .copies = 1, .step_x = 0};
    while (reader->depth > 0) {
        struct visit *v = &reader->visits[reader->depth - 1];

        if (!step(&v->cursor, &tag, err))
            return false;
        if (is_end(&tag)) {
            if (reader->elements == 0)
                return rab_fail_line(err, RAB_FAULT_INPUT, tag.line, "%s", too_large);
            reader->elements--; /* copies of empty blocks cost too */
            if (++v->copy < v->copies) {
                v->matrix = copy_matrix(v);
                v->cursor = v->block->start;
            } else {
                reader->depth--;
            }
            continue;
        }
        if (tag.code != 0)
            continue;
        const char *from = v->cursor.at;
        if (!entity_read(&v->cursor, &tag, &reader->entity, err))
            return false;
        const size_t bytes = (size_t)(v->cursor.at - from);
        if (bytes > reader->work)
            return rab_fail_line(err, RAB_FAULT_INPUT, tag.line, "%s", too_large);
        reader->work -= bytes;
        if (!take_entity(reader, &v->matrix, err))
            return false;
    }
    return true;
}

/* ---- the whole drawing ----------------------------------------------------------------- */

/* $INSUNITS in millimetres. Source: the DXF reference, header variables; the list of units as
 * ezdxf's documentation gives it. */
static double unit_in_mm(int unit)
{
    static const double units[] = {0,       25.4,   304.8, 1609344, 1,    10,   1000, 1000000,
                                   25.4e-6, 0.0254, 914.4, 1e-7,    1e-6, 1e-3, 100};

    const size_t index = unit > 0 ? (size_t)unit : 0;

    return index < sizeof units / sizeof *units ? units[index] : 0;
}

static bool tell_omitted(const struct dxf_reader *reader, struct rab_warnings *notes,
                         struct rab_error *err)
{
    static const struct {
        const char *code, *text;
    } told[OMITTED] = {
        [OMIT_TEXT] = {"text", "is not read: letters are no outlines; convert them to lines"},
        [OMIT_OTHER] = {"unknown", "is not read: it is no line that could be cut"},
        [OMIT_HIDDEN] = {"hidden", "is on a layer that is off or frozen, and is left out"},
        [OMIT_PAPER] = {"paper-space", "is on a layout page, not in the drawing, and is left out"},
        [OMIT_TILTED] = {"tilted", "does not lie flat and is left out"},
        [OMIT_BLOCK] = {"block", "names a block that the file does not have, and is left out"},
    };

    for (int i = 0; i < OMITTED; i++) {
        const struct omission *o = &reader->omitted[i];
        const struct quote name = quote_text(o->type.text, o->type.length);
        bool ok = true;

        if (o->count == 1)
            ok = rab_warn(notes, err, told[i].code, o->line, "the %s entity %s", name.text,
                          told[i].text);
        else if (o->count > 1)
            ok = rab_warn(notes, err, told[i].code, o->line,
                          "the %s entity (and %zu more like it) %s", name.text, o->count - 1,
                          told[i].text);
        if (!ok)
            return false;
    }
    return true;
}

static bool find_scale(const struct dxf_reader *reader, const struct rab_box *box, double *scale,
                       struct rab_warnings *notes, struct rab_error *err)
{
    const struct rab_read_options *options = reader->options;
    const double width = box->x1 - box->x0;

    if (options && options->width > 0) {
        if (!(width > 0))
            return rab_fail(err, RAB_FAULT_INPUT,
                            "the drawing has no width that could be brought to the true one");
        *scale = options->width / width;
        return true;
    }
    *scale = unit_in_mm(reader->unit);
    if (*scale == 0 && options && options->unit != RAB_UNIT_NONE)
        *scale = rab_mm_from(1, options->unit);
    if (*scale > 0)
        return true;
    *scale = 1;
    return rab_warn(notes, err, "size", 0,
                    "the DXF does not say what its units are; they are taken for mm: check the "
                    "size, or give the unit or the true width");
}

/* Programs write these limits when nobody has set any: 420 x 297 mm, 12 x 9 in. */
static bool is_set(const struct rab_box *limits)
{
    return limits->x0 != 0 || limits->y0 != 0 ||
           !((limits->x1 == 420 && limits->y1 == 297) || (limits->x1 == 12 && limits->y1 == 9));
}

/* The page: the drawing's limits when they were set and all of it lies within them, else what is
 * drawn. */
static void find_page(const struct dxf_reader *reader, double scale, struct rab_drawing *drawing)
{
    const double spare = 1e-6;
    const struct rab_box l = {reader->limits.x0 * scale, reader->limits.y0 * scale,
                              reader->limits.x1 * scale, reader->limits.y1 * scale};
    struct rab_box page = RAB_BOX_EMPTY;

    for (size_t i = 0; i < drawing->count; i++)
        page = rab_box_join(page, rab_outline_box(&drawing->items[i].outlines[0]));
    if (is_set(&reader->limits) && l.x0 <= page.x0 + spare && l.y0 <= page.y0 + spare &&
        l.x1 >= page.x1 - spare && l.y1 >= page.y1 - spare && l.x1 - l.x0 <= FARTHEST &&
        l.y1 - l.y0 <= FARTHEST)
        page = l;
    for (size_t i = 0; i < drawing->count; i++)
        rab_outline_move(&drawing->items[i].outlines[0], -page.x0, -page.y0);
    drawing->width = page.x1 - page.x0;
    drawing->height = page.y1 - page.y0;
}

/* The box of what is drawn, in the drawing's own units. */
static bool measure(struct dxf_reader *reader, struct dxf_cursor entities, struct rab_error *err)
{
    const struct matrix same = MATRIX_SAME;
    const size_t elements = reader->elements, segments = reader->segments, work = reader->work;

    reader->measuring = true;
    reader->box = RAB_BOX_EMPTY;
    if (!walk(reader, entities, &same, err))
        return false;
    reader->measuring = false;
    reader->elements = elements;
    reader->segments = segments;
    reader->work = work;
    memset(reader->omitted, 0, sizeof reader->omitted);
    return true;
}

static bool read_drawing(struct dxf_reader *reader, struct dxf_cursor start,
                         struct rab_warnings *notes, struct rab_error *err)
{
    const struct rab_read_options *options = reader->options;
    struct dxf_cursor entities;
    double scale;

    if (!read_sections(start, reader, &entities, err) ||
        (options && options->width > 0 && !measure(reader, entities, err)) ||
        !find_scale(reader, &reader->box, &scale, notes, err))
        return false;
    const struct matrix matrix = {scale, 0, 0, scale, 0, 0};
    if (!walk(reader, entities, &matrix, err) || !tell_omitted(reader, notes, err))
        return false;
    if (reader->drawing->count == 0)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the drawing shows no line; give one with lines, arcs or polylines");
    reader->drawing->size_known =
        unit_in_mm(reader->unit) > 0 || (options && (options->width > 0 || options->unit));
    find_page(reader, scale, reader->drawing);
    return true;
}

bool rab_dxf_read(const char *bytes, size_t length, const struct rab_read_options *options,
                  struct rab_drawing *out, struct rab_warnings *notes, struct rab_error *err)
{
    static const double usual_tolerance = 0.01;
    static const char mark[] = "\xEF\xBB\xBF";
    struct rab_drawing made = {0};
    struct dxf_reader reader = {
        .options = options,
        .limits = RAB_BOX_EMPTY,
        .tolerance = options && options->tolerance > 0 ? options->tolerance : usual_tolerance,
        .elements = options && options->elements ? options->elements : 1000000,
        .segments = options && options->segments ? options->segments : 1000000,
        .work = most_work,
        .drawing = &made};
    struct dxf_cursor start = {bytes, bytes + length, 1};
    bool ok = false;

    if (!options_check(options, err))
        return false;
    if (length >= 3 && memcmp(bytes, mark, 3) == 0)
        start.at += 3;
    reader.visits = malloc((BLOCK_DEPTH + 1) * sizeof *reader.visits);
    if (!reader.visits)
        return rab_fail_memory(err);
    if (!read_drawing(&reader, start, notes, err))
        goto done;
    *out = made;
    made = (struct rab_drawing){0};
    ok = true;
done:
    rab_drawing_clear(&made);
    dxf_line_clear(&reader.line);
    entity_clear(&reader.entity);
    free(reader.visits);
    free(reader.hidden.items);
    free(reader.blocks.items);
    return ok;
}
