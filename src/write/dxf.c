#include "dxf.h"

#include "style.h"
#include "track.h"

#include <math.h>
#include <string.h>

/* A bulge's error grows with the radius; this leaves 12 digits and more for all but the flattest.
 */
enum { BULGE_DECIMALS = 15 };
/* Centres, radii and angles of single arcs: their ends must agree with those of their neighbours.
 */
enum { ARC_DECIMALS = 12 };

static void add_code(struct rab_text *text, int code)
{
    const char digits[] = {(char)(code >= 100 ? '0' + code / 100 : ' '),
                           (char)(code >= 10 ? '0' + code / 10 % 10 : ' '), (char)('0' + code % 10),
                           '\r', '\n'};
    rab_text_bytes(text, digits, sizeof digits);
}

void dxf_words(struct rab_text *text, int code, const char *words)
{
    add_code(text, code);
    rab_text_add(text, words);
    rab_text_add(text, "\r\n");
}

void dxf_whole(struct rab_text *text, int code, long long value)
{
    add_code(text, code);
    rab_text_format(text, "%lld\r\n", value);
}

/* Old readers tell a real from a whole number by its point. */
static void add_real(struct rab_text *text, int code, double value, int decimals)
{
    size_t start;

    add_code(text, code);
    start = text->length;
    rab_text_fixed(text, value, decimals);
    if (!text->failed && !memchr(text->data + start, '.', text->length - start))
        rab_text_add(text, ".0");
    rab_text_add(text, "\r\n");
}

void dxf_number(struct rab_text *text, int code, double value)
{
    add_real(text, code, value, TRACK_DECIMALS);
}

void dxf_groups(struct rab_text *text, const char *lines)
{
    while (*lines) {
        const char *space = strchr(lines, ' '), *end = strchr(lines, '\n');
        int code = 0;

        for (; lines < space; lines++)
            code = code * 10 + (*lines - '0');
        add_code(text, code);
        rab_text_bytes(text, space + 1, (size_t)(end - space - 1));
        rab_text_add(text, "\r\n");
        lines = end + 1;
    }
}

struct dxf_writer {
    struct rab_text *text;
    const char *layer;
    struct dxf_page page;
};

/* What begins every entity. */
static void open_entity(struct dxf_writer *to, const char *kind, const char *subclass)
{
    dxf_words(to->text, 0, kind);
    if (to->page.version == RAB_DXF_R2000) {
        add_code(to->text, 5);
        rab_text_format(to->text, "%lX\r\n", to->page.next_handle++);
        dxf_words(to->text, 330, DXF_MODEL_SPACE);
        dxf_words(to->text, 100, "AcDbEntity");
    }
    dxf_words(to->text, 8, to->layer);
    if (to->page.version == RAB_DXF_R2000)
        dxf_words(to->text, 100, subclass);
}

static void add_circle(struct dxf_writer *to, const struct track *track)
{
    open_entity(to, "CIRCLE", "AcDbCircle");
    dxf_number(to->text, 10, track->centre.x);
    dxf_number(to->text, 20, track->centre.y);
    dxf_number(to->text, 30, 0);
    dxf_number(to->text, 40, track->radius);
}

static void add_vertex(struct dxf_writer *to, struct rab_vertex v)
{
    dxf_number(to->text, 10, v.x);
    dxf_number(to->text, 20, v.y);
    if (to->page.version == RAB_DXF_R12)
        dxf_number(to->text, 30, 0);
    if (v.bulge != 0)
        add_real(to->text, 42, v.bulge, BULGE_DECIMALS);
}

static void add_polyline(struct dxf_writer *to, const struct track *track)
{
    if (to->page.version == RAB_DXF_R2000) {
        open_entity(to, "LWPOLYLINE", "AcDbPolyline");
        dxf_whole(to->text, 90, (long long)track->count);
        dxf_whole(to->text, 70, track->open ? 0 : 1);
        dxf_number(to->text, 43, 0);
        for (size_t i = 0; i < track->count; i++)
            add_vertex(to, track->vertices[i]);
        return;
    }
    open_entity(to, "POLYLINE", NULL);
    dxf_whole(to->text, 66, 1);
    dxf_whole(to->text, 70, track->open ? 0 : 1);
    dxf_number(to->text, 10, 0);
    dxf_number(to->text, 20, 0);
    dxf_number(to->text, 30, 0);
    for (size_t i = 0; i < track->count; i++) {
        open_entity(to, "VERTEX", NULL);
        add_vertex(to, track->vertices[i]);
    }
    open_entity(to, "SEQEND", NULL);
}

static double degrees(double angle)
{
    const double turn = angle * 180 / RAB_PI;

    return turn < 0 ? turn + 360 : turn;
}

/* The way between two vertices as a LINE or an ARC, which always runs counter-clockwise. Angles to
 * twelve decimals: at a metre that is far below a millionth of a millimetre. */
static void add_single(struct dxf_writer *to, struct rab_vertex from, struct rab_vertex end)
{
    const double b = from.bulge;

    if (b == 0) {
        open_entity(to, "LINE", "AcDbLine");
        dxf_number(to->text, 10, from.x);
        dxf_number(to->text, 20, from.y);
        dxf_number(to->text, 30, 0);
        dxf_number(to->text, 11, end.x);
        dxf_number(to->text, 21, end.y);
        dxf_number(to->text, 31, 0);
        return;
    }
    const double share = (1 - b * b) / (4 * b);
    const double x = (from.x + end.x) / 2 - share * (end.y - from.y);
    const double y = (from.y + end.y) / 2 + share * (end.x - from.x);
    const double start = atan2(from.y - y, from.x - x), stop = atan2(end.y - y, end.x - x);
    open_entity(to, "ARC", "AcDbCircle");
    add_real(to->text, 10, x, ARC_DECIMALS);
    add_real(to->text, 20, y, ARC_DECIMALS);
    dxf_number(to->text, 30, 0);
    add_real(to->text, 40, hypot(from.x - x, from.y - y), ARC_DECIMALS);
    if (to->page.version == RAB_DXF_R2000)
        dxf_words(to->text, 100, "AcDbArc");
    add_real(to->text, 50, degrees(b > 0 ? start : stop), ARC_DECIMALS);
    add_real(to->text, 51, degrees(b > 0 ? stop : start), ARC_DECIMALS);
}

/* How many entities it was. */
static size_t add_singles(struct dxf_writer *to, const struct track *track)
{
    const size_t edges = track->count - (track->open ? 1 : 0);

    for (size_t i = 0; i < edges; i++)
        add_single(to, track->vertices[i], track->vertices[(i + 1) % track->count]);
    return edges;
}

static struct rab_box track_box(const struct track *track)
{
    if (track->circle)
        return (struct rab_box){track->centre.x - track->radius, track->centre.y - track->radius,
                                track->centre.x + track->radius, track->centre.y + track->radius};
    return rab_outline_box(&(const struct rab_outline){
        .vertices = track->vertices, .count = track->count, .open = track->open});
}

bool rab_write_dxf(const struct rab_sheet *sheet, const struct rab_write_options *options,
                   struct rab_text *out, struct rab_error *err)
{
    struct rab_write_options chosen;
    struct rab_text text = {0}, entities = {0};
    struct track track = {0};
    struct dxf_writer to = {.text = &entities};
    struct rab_written written = {0};
    bool ok = false;

    if (!track_options(sheet, options, &chosen, err))
        return false;
    const struct track_rule rule = {
        .scale = 1,
        /* A DXF of this vocabulary has no other curve than the arc, and loses nothing by it. */
        .curves = chosen.curves == RAB_CURVES_LINES ? RAB_CURVES_LINES : RAB_CURVES_ARCS,
        .tolerance = chosen.tolerance};

    to.page = (struct dxf_page){.version = chosen.dxf,
                                .extents = RAB_BOX_EMPTY,
                                .sheet = {0, 0, sheet->width, sheet->height},
                                .next_handle = DXF_FIRST_ENTITY};
    for (int i = 0; i < RAB_OPERATIONS; i++) {
        to.layer = rab_operation_layer(style_order[i]);
        for (size_t k = 0; k < sheet->count; k++) {
            const struct rab_path *path = &sheet->paths[k];
            if (path->operation != style_order[i])
                continue;
            if (!track_make(&path->outline, &rule, &track, err))
                goto done;
            if (!track.circle && track.count == 0)
                continue;
            to.page.used[path->operation] = true;
            to.page.extents = rab_box_join(to.page.extents, track_box(&track));
            size_t count = 1;
            if (track.circle)
                add_circle(&to, &track);
            else if (chosen.single_entities)
                count = add_singles(&to, &track);
            else
                add_polyline(&to, &track);
            track_count(&track, count, &written);
        }
    }
    if (to.page.extents.x0 > to.page.extents.x1) /* nothing drawn: the sheet itself */
        to.page.extents = to.page.sheet;
    dxf_open(&text, &to.page);
    if (entities.length > 0)
        rab_text_bytes(&text, entities.data, entities.length);
    dxf_close(&text, &to.page);
    if (!rab_text_ok(&entities, err) || !rab_text_ok(&text, err))
        goto done;
    rab_text_clear(out);
    *out = text;
    text = (struct rab_text){0};
    for (int i = 0; i < RAB_OPERATIONS; i++)
        written.layers += to.page.used[i];
    if (chosen.written)
        *chosen.written = written;
    ok = true;
done:
    track_clear(&track);
    rab_text_clear(&entities);
    rab_text_clear(&text);
    return ok;
}
