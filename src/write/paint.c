#include "paint.h"

#include <cairo-pdf.h>
#include <glib.h>
#include <math.h>
#include <png.h>
#include <stdlib.h>

static const double most_dots = 16000, most_area = 1e8;

void paint_colour(cairo_t *cr, uint32_t colour, double alpha)
{
    cairo_set_source_rgba(cr, (colour >> 16 & 0xFF) / 255.0, (colour >> 8 & 0xFF) / 255.0,
                          (colour & 0xFF) / 255.0, alpha);
}

uint32_t paint_shade(uint32_t colour)
{
    uint32_t darker = 0;

    for (int shift = 0; shift <= 16; shift += 8)
        darker |= (uint32_t)((colour >> shift & 0xFF) * 7 / 10) << shift;
    return darker;
}

static bool add_outline(cairo_t *cr, const struct rab_outline *outline,
                        const struct track_rule *rule, struct track *track, struct rab_error *err)
{
    if (!track_make(outline, rule, track, err))
        return false;
    for (size_t i = 0; i < track->count; i++) {
        const struct rab_vertex from = track->vertices[i];
        const struct rab_vertex end = track->vertices[(i + 1) % track->count];

        if (i == 0)
            cairo_move_to(cr, from.x, from.y);
        if (i + 1 == track->count && track->open)
            break;
        if (from.bulge == 0) {
            cairo_line_to(cr, end.x, end.y);
        } else {
            struct rab_point first, second;
            track_handles(from, end, &first, &second);
            cairo_curve_to(cr, first.x, first.y, second.x, second.y, end.x, end.y);
        }
    }
    if (!track->open && track->count > 0)
        cairo_close_path(cr);
    return true;
}

bool paint_outlines(cairo_t *cr, const struct rab_outline *outlines, size_t count, double top,
                    double scale, struct track *track, struct rab_error *err)
{
    const struct track_rule rule = {.scale = 1,
                                    .down = true,
                                    .height = top,
                                    .curves = RAB_CURVES_BEZIERS,
                                    .tolerance = fmax(1e-4, 0.05 / scale),
                                    .quarters = true};

    for (size_t i = 0; i < count; i++)
        if (!add_outline(cr, &outlines[i], &rule, track, err))
            return false;
    return true;
}

double paint_scale(double dpi)
{
    return fmax(1, round(dpi / 0.0254)) / 1000;
}

bool paint_chosen_scale(double dpi, double usual, double *scale, struct rab_error *err)
{
    if (dpi == 0)
        dpi = usual;
    if (!(dpi >= 20 && dpi <= 1200))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the picture's dots per inch are out of range; give 20 to 1200");
    *scale = paint_scale(dpi);
    return true;
}

bool paint_size_allowed(double across, double down, struct rab_error *err)
{
    if (across <= most_dots && down <= most_dots && across * down <= most_area)
        return true;
    return rab_fail(err, RAB_FAULT_INPUT,
                    "the picture would be %d x %d dots; give fewer dots per inch",
                    (int)fmin(across, 1e9), (int)fmin(down, 1e9));
}

cairo_t *paint_page(double width, double height, double scale, struct rab_error *err)
{
    const double across = fmax(1, round(width * scale)), down = fmax(1, round(height * scale));
    cairo_surface_t *surface;
    cairo_t *cr;

    if (!paint_size_allowed(across, down, err))
        return NULL;
    surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)across, (int)down);
    cr = cairo_create(surface);
    cairo_surface_destroy(surface);
    paint_colour(cr, 0xFFFFFF, 1);
    cairo_paint(cr);
    cairo_scale(cr, scale, scale);
    return cr;
}

/* ---- PNG ------------------------------------------------------------------------------- */

struct png_sink {
    png_structp png;
    png_infop info;
    unsigned char *row;
    struct rab_text bytes;
};

/* libpng's own would print. Only a lack of memory, or a text that could not grow, leads here. */
static void png_failed(png_structp png, png_const_charp words)
{
    (void)words;
    png_longjmp(png, 1);
}

static void png_hushed(png_structp png, png_const_charp words)
{
    (void)png;
    (void)words;
}

static void take_png(png_structp png, png_bytep bytes, size_t count)
{
    struct png_sink *sink = png_get_io_ptr(png);

    rab_text_bytes(&sink->bytes, bytes, count);
    if (sink->bytes.failed)
        png_error(png, "memory is out");
}

static void flush_png(png_structp png)
{
    (void)png;
}

static bool write_rows(struct png_sink *sink, cairo_surface_t *surface, uint32_t dots_per_metre)
{
    const int width = cairo_image_surface_get_width(surface);
    const int height = cairo_image_surface_get_height(surface);
    const unsigned char *pixels = cairo_image_surface_get_data(surface);

    if (setjmp(png_jmpbuf(sink->png)))
        return false;
    png_set_write_fn(sink->png, sink, take_png, flush_png);
    png_set_IHDR(sink->png, sink->info, (png_uint_32)width, (png_uint_32)height, 8,
                 PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
                 PNG_FILTER_TYPE_DEFAULT);
    png_set_pHYs(sink->png, sink->info, dots_per_metre, dots_per_metre, PNG_RESOLUTION_METER);
    /* Flat colours with fine edges: these two find all that repeats, in half the time of all. */
    png_set_filter(sink->png, PNG_FILTER_TYPE_BASE, PNG_FILTER_NONE | PNG_FILTER_UP);
    png_write_info(sink->png, sink->info);
    for (int y = 0; y < height; y++) {
        const uint32_t *from =
            (const void *)(pixels + (ptrdiff_t)y * cairo_image_surface_get_stride(surface));
        for (int x = 0; x < width; x++)
            for (int k = 0; k < 3; k++)
                sink->row[3 * x + k] = (unsigned char)(from[x] >> (16 - 8 * k) & 0xFF);
        png_write_row(sink->png, sink->row);
    }
    png_write_end(sink->png, NULL);
    return true;
}

bool paint_png(cairo_t *cr, double scale, struct rab_text *out, struct rab_error *err)
{
    cairo_surface_t *surface = cairo_get_target(cr);
    struct png_sink sink = {0};
    bool ok = false;

    cairo_surface_flush(surface);
    if (cairo_status(cr) != CAIRO_STATUS_SUCCESS ||
        cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS)
        goto done;
    sink.row = malloc(3 * (size_t)cairo_image_surface_get_width(surface));
    sink.png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, png_failed, png_hushed);
    sink.info = sink.png ? png_create_info_struct(sink.png) : NULL;
    if (!sink.row || !sink.info || !write_rows(&sink, surface, (uint32_t)round(scale * 1000)))
        goto done;
    rab_text_clear(out);
    *out = sink.bytes;
    sink.bytes = (struct rab_text){0};
    ok = true;
done:
    png_destroy_write_struct(&sink.png, &sink.info);
    free(sink.row);
    rab_text_clear(&sink.bytes);
    return ok || rab_fail_memory(err); /* the only way in which drawing into memory goes wrong */
}

/* ---- PDF ------------------------------------------------------------------------------- */

static const double points_in_mm = 72 / 25.4;

static cairo_status_t take_bytes(void *context, const unsigned char *bytes, unsigned int count)
{
    struct rab_text *text = context;

    rab_text_bytes(text, bytes, count);
    return text->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

cairo_t *paint_pdf(double width, double height, const char *title, struct rab_text *bytes)
{
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(
        take_bytes, bytes, width * points_in_mm, height * points_in_mm);
    cairo_t *cr = cairo_create(surface);

    /* Cairo would state the time of day. */
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
    if (title) {
        char *clean = g_utf8_make_valid(title, -1);
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, clean);
        g_free(clean);
    }
    cairo_surface_destroy(surface);
    cairo_scale(cr, points_in_mm, points_in_mm);
    return cr;
}

bool paint_pdf_end(cairo_t *cr, struct rab_text *bytes, bool ok, struct rab_text *out,
                   struct rab_error *err)
{
    cairo_surface_finish(cairo_get_target(cr));
    if (ok && (cairo_status(cr) != CAIRO_STATUS_SUCCESS ||
               cairo_surface_status(cairo_get_target(cr)) != CAIRO_STATUS_SUCCESS || bytes->failed))
        ok = rab_fail_memory(err);
    cairo_destroy(cr);
    if (ok) {
        rab_text_clear(out);
        *out = *bytes;
        *bytes = (struct rab_text){0};
    }
    rab_text_clear(bytes);
    return ok;
}
