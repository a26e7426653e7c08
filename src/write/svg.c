#include "rabbet/write.h"
#include "style.h"
#include "track.h"

#include <math.h>

/* A hairline: many importers take only such lines for cutting lines. */
static const double hairline = 0.1;
/* Long path data is broken into lines of about this many bytes. */
enum { LINE_BYTES = 96 };

static const double unit_scales[] = {
    [RAB_SVG_MM] = 1,
    [RAB_SVG_96] = 96 / 25.4,
    [RAB_SVG_90] = 90 / 25.4,
    [RAB_SVG_72] = 72 / 25.4,
};

struct svg_writer {
    struct rab_text *text;
    size_t line_start; /* where the current line begins */
};

/* A page's size, rounded down but for what a double has rounded up: renderers give a page that is
 * a millionth larger than so many dots one dot more. */
static double page_size(double value)
{
    const double steps = 1e6; /* 10^TRACK_DECIMALS */
    return floor(value * steps + 0.01) / steps;
}

static void add_number(struct svg_writer *to, double value)
{
    rab_text_fixed(to->text, value, TRACK_DECIMALS);
}

static void add_pair(struct svg_writer *to, double x, double y)
{
    add_number(to, x);
    rab_text_add(to->text, " ");
    add_number(to, y);
}

/* The letter of the next command, on a new line when this one is full. */
static void add_command(struct svg_writer *to, const char *letter)
{
    if (to->text->length - to->line_start > LINE_BYTES) {
        rab_text_add(to->text, "\n");
        to->line_start = to->text->length;
    } else {
        rab_text_add(to->text, " ");
    }
    rab_text_add(to->text, letter);
    rab_text_add(to->text, " ");
}

/* The way from one vertex to the next. It is taken from the rounded points, so that a reader's arc
 * turns by just the angle of the bulge. */
static void add_step(struct svg_writer *to, struct rab_vertex from, struct rab_vertex end,
                     enum rab_curves curves)
{
    const double b = from.bulge;

    if (b == 0) {
        add_command(to, "L");
        add_pair(to, end.x, end.y);
    } else if (curves == RAB_CURVES_BEZIERS) {
        struct rab_point first, second;
        track_handles(from, end, &first, &second);
        add_command(to, "C");
        add_pair(to, first.x, first.y);
        rab_text_add(to->text, " ");
        add_pair(to, second.x, second.y);
        rab_text_add(to->text, " ");
        add_pair(to, end.x, end.y);
    } else {
        const double radius = hypot(end.x - from.x, end.y - from.y) * (1 + b * b) / (4 * fabs(b));
        add_command(to, "A");
        add_pair(to, radius, radius);
        rab_text_add(to->text, b > 0 ? " 0 0 1 " : " 0 0 0 ");
        add_pair(to, end.x, end.y);
    }
}

static void add_class(struct svg_writer *to, int piece)
{
    if (piece > 0)
        rab_text_format(to->text, " class=\"piece-%d\"", piece);
}

static void add_track(struct svg_writer *to, const struct track *track, int piece,
                      enum rab_curves curves)
{
    to->line_start = to->text->length;
    if (track->circle) {
        rab_text_add(to->text, "    <circle");
        add_class(to, piece);
        rab_text_add(to->text, " cx=\"");
        add_number(to, track->centre.x);
        rab_text_add(to->text, "\" cy=\"");
        add_number(to, track->centre.y);
        rab_text_add(to->text, "\" r=\"");
        add_number(to, track->radius);
        rab_text_add(to->text, "\"/>\n");
        return;
    }
    rab_text_add(to->text, "    <path");
    add_class(to, piece);
    rab_text_add(to->text, " d=\"M ");
    add_pair(to, track->vertices[0].x, track->vertices[0].y);
    for (size_t i = 0; i + 1 < track->count; i++)
        add_step(to, track->vertices[i], track->vertices[i + 1], curves);
    if (!track->open) {
        const struct rab_vertex last = track->vertices[track->count - 1];
        if (last.bulge != 0) /* Z draws a line by itself */
            add_step(to, last, track->vertices[0], curves);
        rab_text_add(to->text, " Z");
    }
    rab_text_add(to->text, "\"/>\n");
}

static void open_group(struct svg_writer *to, enum rab_operation operation,
                       const struct rab_write_options *options, double scale)
{
    const struct line_style *style = style_of_line((enum rab_line)operation);
    const uint32_t colour = options->colours ? options->colours[operation] : style->colour;

    rab_text_format(to->text, "  <g id=\"%s\" fill=\"none\" stroke=\"#%06X\" stroke-width=\"",
                    rab_operation_name(operation), (unsigned)(colour & 0xFFFFFFU));
    add_number(to, hairline * scale);
    rab_text_add(to->text, "\"");
    for (int i = 0; i < style->dash_count; i++) {
        rab_text_add(to->text, i == 0 ? " stroke-dasharray=\"" : " ");
        add_number(to, style->dashes[i] * scale);
    }
    rab_text_format(to->text, "%s>\n    <title>%s</title>\n", style->dash_count > 0 ? "\"" : "",
                    style_operation_words(operation));
}

static void open_page(struct svg_writer *to, const struct rab_sheet *sheet,
                      const struct track_rule *rule, enum rab_svg_unit unit)
{
    const double width = page_size(sheet->width * rule->scale);
    const char *suffix = unit == RAB_SVG_MM ? "mm" : "";

    rab_text_add(to->text, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                           "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"");
    add_number(to, width);
    rab_text_format(to->text, "%s\" height=\"", suffix);
    add_number(to, rule->height);
    rab_text_format(to->text, "%s\" viewBox=\"0 0 ", suffix);
    add_pair(to, width, rule->height);
    rab_text_add(to->text, "\">\n");
    if (sheet->title) {
        rab_text_add(to->text, "  <title>");
        rab_text_xml(to->text, sheet->title);
        rab_text_add(to->text, "</title>\n");
    }
}

bool rab_write_svg(const struct rab_sheet *sheet, const struct rab_write_options *options,
                   struct rab_text *out, struct rab_error *err)
{
    struct rab_write_options chosen;
    struct rab_text text = {0};
    struct track track = {0};
    struct svg_writer to = {.text = &text};
    struct rab_written written = {0};
    bool ok = false;

    if (!track_options(sheet, options, &chosen, err))
        return false;
    const double scale = unit_scales[chosen.svg_unit];
    const struct track_rule rule = {.scale = scale,
                                    .down = true,
                                    .height = page_size(sheet->height * scale),
                                    .curves = chosen.curves,
                                    .tolerance = chosen.tolerance,
                                    .quarters = true};
    open_page(&to, sheet, &rule, chosen.svg_unit);
    for (int i = 0; i < RAB_OPERATIONS; i++) {
        bool open = false;
        for (size_t k = 0; k < sheet->count; k++) {
            const struct rab_path *path = &sheet->paths[k];
            if (path->operation != style_order[i])
                continue;
            if (!track_make(&path->outline, &rule, &track, err))
                goto done;
            if (!track.circle && track.count == 0)
                continue;
            if (!open)
                open_group(&to, path->operation, &chosen, scale);
            open = true;
            add_track(&to, &track, path->piece, chosen.curves);
            track_count(&track, 1, &written);
        }
        written.layers += open;
        if (open)
            rab_text_add(&text, "  </g>\n");
    }
    rab_text_add(&text, "</svg>\n");
    if (!rab_text_ok(&text, err))
        goto done;
    rab_text_clear(out);
    *out = text;
    text = (struct rab_text){0};
    if (chosen.written)
        *chosen.written = written;
    ok = true;
done:
    track_clear(&track);
    rab_text_clear(&text);
    return ok;
}
