#include "rabbet/write.h"
#include "style.h"
#include "track.h"

#include <math.h>

static const double points_in_mm = 72 / 25.4;
static const double hairline = 0.25; /* points */

/* Objects: 1 catalog, 2 pages, 3 page, 4 its content, then the layers, then the title when there is
 * one. */
enum { FIRST_LAYER = 5 };

struct pdf_writer {
    struct rab_text text;
    size_t offsets[FIRST_LAYER + RAB_OPERATIONS + 1];
    int objects;
};

static void open_object(struct pdf_writer *to)
{
    to->offsets[++to->objects] = to->text.length;
    rab_text_format(&to->text, "%d 0 obj\n", to->objects);
}

/* ---- content --------------------------------------------------------------------------- */

static void add_pair(struct rab_text *text, double x, double y)
{
    rab_text_fixed(text, x, TRACK_DECIMALS);
    rab_text_add(text, " ");
    rab_text_fixed(text, y, TRACK_DECIMALS);
    rab_text_add(text, " ");
}

static void add_step(struct rab_text *text, struct rab_vertex from, struct rab_vertex end)
{
    struct rab_point first, second;

    if (from.bulge != 0) {
        track_handles(from, end, &first, &second);
        add_pair(text, first.x, first.y);
        add_pair(text, second.x, second.y);
    }
    add_pair(text, end.x, end.y);
    rab_text_add(text, from.bulge != 0 ? "c\n" : "l\n");
}

/* A circle as four quarters; the largest departure, r times 0.00027, is what track_make allowed for
 * any other arc, so that more parts are needed only when that is more than the tolerance. */
static void add_circle(struct rab_text *text, const struct track *track, double tolerance)
{
    struct rab_vertex v[16];
    size_t parts = 4;

    while (parts < 16 && track->radius * (parts == 4 ? 2.8e-4 : 4.3e-6) > tolerance * points_in_mm)
        parts *= 2;
    for (size_t i = 0; i < parts; i++) {
        const double angle = 2 * RAB_PI * (double)i / (double)parts;
        v[i] = (struct rab_vertex){track->centre.x + track->radius * cos(angle),
                                   track->centre.y + track->radius * sin(angle),
                                   tan(RAB_PI / 2 / (double)parts)};
    }
    add_pair(text, v[0].x, v[0].y);
    rab_text_add(text, "m\n");
    for (size_t i = 0; i < parts; i++)
        add_step(text, v[i], v[(i + 1) % parts]);
    rab_text_add(text, "h S\n");
}

static void add_track(struct rab_text *text, const struct track *track, double tolerance)
{
    if (track->circle) {
        add_circle(text, track, tolerance);
        return;
    }
    const struct rab_vertex *v = track->vertices;
    add_pair(text, v[0].x, v[0].y);
    rab_text_add(text, "m\n");
    for (size_t i = 0; i + 1 < track->count; i++)
        add_step(text, v[i], v[i + 1]);
    if (!track->open && v[track->count - 1].bulge != 0)
        add_step(text, v[track->count - 1], v[0]);
    rab_text_add(text, track->open ? "S\n" : "h S\n");
}

static void open_layer(struct rab_text *text, int layer, const struct line_style *style,
                       uint32_t colour)
{
    rab_text_format(text, "/OC /L%d BDC\n", layer);
    for (int shift = 16; shift >= 0; shift -= 8) {
        rab_text_fixed(text, ((colour >> shift) & 255) / 255.0, 4);
        rab_text_add(text, " ");
    }
    rab_text_add(text, "RG\n[");
    for (int i = 0; i < style->dash_count; i++) {
        rab_text_fixed(text, style->dashes[i] * points_in_mm, 3);
        rab_text_add(text, " ");
    }
    rab_text_add(text, "] 0 d\n");
}

static bool add_content(const struct rab_sheet *sheet, const struct rab_write_options *chosen,
                        struct rab_text *text, int *layers, enum rab_operation *operations,
                        struct rab_written *written, struct rab_error *err)
{
    const struct track_rule rule = {
        .scale = points_in_mm,
        .curves = chosen->curves == RAB_CURVES_LINES ? RAB_CURVES_LINES : RAB_CURVES_BEZIERS,
        .tolerance = chosen->tolerance,
        .quarters = true};
    struct track track = {0};
    bool ok = false;

    rab_text_fixed(text, hairline, 2);
    rab_text_add(text, " w 1 j\n");
    for (int i = 0; i < RAB_OPERATIONS; i++) {
        const enum rab_operation operation = style_order[i];
        const struct line_style *style = style_of_line((enum rab_line)operation);
        bool open = false;
        for (size_t k = 0; k < sheet->count; k++) {
            if (sheet->paths[k].operation != operation)
                continue;
            if (!track_make(&sheet->paths[k].outline, &rule, &track, err))
                goto done;
            if (!track.circle && track.count == 0)
                continue;
            if (!open) {
                operations[*layers] = operation;
                open_layer(text, (*layers)++, style,
                           chosen->colours ? chosen->colours[operation] : style->colour);
            }
            open = true;
            add_track(text, &track, chosen->tolerance);
            track_count(&track, 1, written);
        }
        if (open)
            rab_text_add(text, "EMC\n");
    }
    written->layers = (size_t)*layers;
    ok = true;
done:
    track_clear(&track);
    return ok;
}

/* ---- the rest -------------------------------------------------------------------------- */

static void add_layer_list(struct rab_text *text, int layers)
{
    rab_text_add(text, "[");
    for (int i = 0; i < layers; i++)
        rab_text_format(text, "%s%d 0 R", i > 0 ? " " : "", FIRST_LAYER + i);
    rab_text_add(text, "]");
}

/* A string in UTF-16 (PDF 1.7, 7.9.2.2), in hexadecimal. What is not UTF-8 becomes U+FFFD. */
static void add_string(struct rab_text *text, const char *words)
{
    const unsigned char *at = (const unsigned char *)words;

    rab_text_add(text, "<FEFF");
    while (*at) {
        const int more = *at < 0x80 ? 0 : *at >= 0xF0 ? 3 : *at >= 0xE0 ? 2 : *at >= 0xC0 ? 1 : -1;
        uint32_t code = more <= 0 ? *at : *at & (0x3FU >> more);
        bool whole = more >= 0;

        at++;
        for (int i = 0; i < more && whole; i++) {
            whole = (*at & 0xC0) == 0x80;
            if (whole)
                code = code << 6 | (*at++ & 0x3FU);
        }
        if (!whole || code > 0x10FFFF || (code >= 0xD800 && code < 0xE000))
            code = 0xFFFD;
        if (code >= 0x10000)
            rab_text_format(text, "%04X%04X", (unsigned)(0xD800 + ((code - 0x10000) >> 10)),
                            (unsigned)(0xDC00 + ((code - 0x10000) & 0x3FF)));
        else
            rab_text_format(text, "%04X", (unsigned)code);
    }
    rab_text_add(text, ">");
}

static void add_catalog(struct pdf_writer *to, const struct rab_sheet *sheet, int layers)
{
    open_object(to);
    rab_text_add(&to->text, "<< /Type /Catalog /Pages 2 0 R /OCProperties << /OCGs ");
    add_layer_list(&to->text, layers);
    rab_text_add(&to->text, " /D << /Order ");
    add_layer_list(&to->text, layers);
    rab_text_add(&to->text, " /ON ");
    add_layer_list(&to->text, layers);
    rab_text_add(&to->text, " >> >> >>\nendobj\n");

    open_object(to);
    rab_text_add(&to->text, "<< /Type /Pages /Kids [3 0 R] /Count 1 >>\nendobj\n");

    open_object(to);
    rab_text_add(&to->text, "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 ");
    add_pair(&to->text, sheet->width * points_in_mm, sheet->height * points_in_mm);
    rab_text_add(&to->text, "]\n/Contents 4 0 R /Resources << /Properties <<");
    for (int i = 0; i < layers; i++)
        rab_text_format(&to->text, " /L%d %d 0 R", i, FIRST_LAYER + i);
    rab_text_add(&to->text, " >> >> >>\nendobj\n");
}

static void add_layers(struct pdf_writer *to, const enum rab_operation *operations, int layers)
{
    for (int i = 0; i < layers; i++) {
        const char *name = rab_operation_name(operations[i]);
        open_object(to);
        rab_text_format(&to->text, "<< /Type /OCG /Name (%s)", name);
        if (operations[i] != RAB_DRAW)
            rab_text_format(&to->text,
                            " /GTS_Metadata << /GTS_ProcStepsGroup /Structural "
                            "/GTS_ProcStepsType /%s >>",
                            name);
        rab_text_add(&to->text, " >>\nendobj\n");
    }
}

static void close_file(struct pdf_writer *to, const char *title)
{
    int info = 0;

    if (title) {
        open_object(to);
        info = to->objects;
        rab_text_add(&to->text, "<< /Title ");
        add_string(&to->text, title);
        rab_text_add(&to->text, " >>\nendobj\n");
    }
    const size_t table = to->text.length;
    rab_text_format(&to->text, "xref\n0 %d\n0000000000 65535 f \n", to->objects + 1);
    for (int i = 1; i <= to->objects; i++)
        rab_text_format(&to->text, "%010zu 00000 n \n", to->offsets[i]);
    rab_text_format(&to->text, "trailer\n<< /Size %d /Root 1 0 R", to->objects + 1);
    if (info)
        rab_text_format(&to->text, " /Info %d 0 R", info);
    rab_text_format(&to->text, " >>\nstartxref\n%zu\n", table);
    rab_text_add(&to->text, "%%EOF\n");
}

bool rab_write_pdf(const struct rab_sheet *sheet, const struct rab_write_options *options,
                   struct rab_text *out, struct rab_error *err)
{
    struct rab_write_options chosen;
    struct rab_text content = {0};
    struct pdf_writer to = {0};
    struct rab_written written = {0};
    enum rab_operation operations[RAB_OPERATIONS];
    int layers = 0;
    bool ok = false;

    if (!track_options(sheet, options, &chosen, err))
        return false;
    if (!add_content(sheet, &chosen, &content, &layers, operations, &written, err))
        goto done;
    /* four bytes beyond ASCII tell programs that copy files not to touch them (7.5.2) */
    rab_text_add(&to.text, "%PDF-1.7\n%\xC3\xA4\xC3\xB6\n");
    add_catalog(&to, sheet, layers);
    open_object(&to);
    rab_text_format(&to.text, "<< /Length %zu >>\nstream\n", content.length);
    if (content.length > 0)
        rab_text_bytes(&to.text, content.data, content.length);
    rab_text_add(&to.text, "endstream\nendobj\n");
    add_layers(&to, operations, layers);
    close_file(&to, sheet->title);
    if (!rab_text_ok(&content, err) || !rab_text_ok(&to.text, err))
        goto done;
    rab_text_clear(out);
    *out = to.text;
    to.text = (struct rab_text){0};
    if (chosen.written)
        *chosen.written = written;
    ok = true;
done:
    rab_text_clear(&content);
    rab_text_clear(&to.text);
    return ok;
}
