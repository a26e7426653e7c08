#include "image.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const uint64_t most_dots = 200000000;
/* Of a surface, each way: Cairo takes no more. */
static const uint32_t longest = 32767;

bool image_turned(int orientation)
{
    return orientation >= 5;
}

bool image_allowed(uint32_t width, uint32_t height, struct rab_error *err)
{
    return (uint64_t)width * height <= most_dots ||
           rab_fail(err, RAB_FAULT_INPUT,
                    "the picture has %u x %u dots; reduce it to at most %u million", width, height,
                    (unsigned)(most_dots / 1000000));
}

/* ---- reducing -------------------------------------------------------------------------- */

/* So many dots that the picture still covers what it has to, and never more than it has. */
static uint32_t reduced(uint32_t dots, double factor)
{
    const double wanted = ceil(dots / factor - 1e-9);

    return wanted >= dots ? dots : wanted < 1 ? 1 : (uint32_t)wanted;
}

bool image_begin(struct image_sink *sink, uint32_t width, uint32_t height, struct rab_error *err)
{
    const bool turned = image_turned(sink->orientation);
    const double across = turned ? sink->least_down : sink->least_across;
    const double down = turned ? sink->least_across : sink->least_down;
    const double factor = fmin(width / fmax(across, 1), height / fmax(down, 1));

    sink->in_width = width, sink->in_height = height;
    sink->out_width = reduced(width, factor), sink->out_height = reduced(height, factor);
    if (sink->out_width > longest || sink->out_height > longest)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the picture of %u x %u dots is far longer than its print; crop it first",
                        width, height);
    sink->row = sink->out_row = 0;
    sink->line = calloc(3 * (size_t)sink->out_width, sizeof *sink->line);
    sink->sums = calloc(3 * (size_t)sink->out_width, sizeof *sink->sums);
    sink->surface = turned ? cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)sink->out_height,
                                                        (int)sink->out_width)
                           : cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)sink->out_width,
                                                        (int)sink->out_height);
    if (!sink->line || !sink->sums || cairo_surface_status(sink->surface) != CAIRO_STATUS_SUCCESS)
        return rab_fail_memory(err);
    return true;
}

bool image_room(struct image_sink *sink, size_t bytes, struct rab_error *err)
{
    sink->rows = malloc(bytes);
    return sink->rows || rab_fail_memory(err);
}

/* A dot of the input is out_width wide, one of the output in_width: whole numbers throughout. */
static void reduce_across(struct image_sink *sink, const unsigned char *rgb)
{
    const uint32_t in = sink->in_width, out = sink->out_width;
    uint32_t *to = sink->line;
    uint32_t left = in; /* what the output dot still takes */

    memset(sink->line, 0, 3 * (size_t)out * sizeof *sink->line);
    for (uint32_t x = 0; x < in; x++, rgb += 3) {
        const uint32_t first = out < left ? out : left;
        for (int k = 0; k < 3; k++)
            to[k] += rgb[k] * first;
        left -= first;
        if (left > 0)
            continue;
        to += 3;
        left = in - (out - first);
        if (first < out)
            for (int k = 0; k < 3; k++)
                to[k] += rgb[k] * (out - first);
    }
}

/* Where a dot of the reduced picture goes. Exif 2.3, tag 0x0112: which sides of the picture the
 * first row and the first column are. */
static uint32_t *place_of(const struct image_sink *sink, unsigned char *pixels, int stride,
                          uint32_t x, uint32_t y)
{
    const uint32_t right = sink->out_width - 1 - x, below = sink->out_height - 1 - y;
    const uint32_t places[IMAGE_ORIENTATIONS][2] = {{x, y}, {right, y}, {right, below}, {x, below},
                                                    {y, x}, {below, x}, {below, right}, {y, right}};
    const uint32_t *place = places[sink->orientation - 1];

    return (void *)(pixels + (size_t)place[1] * (size_t)stride + 4 * (size_t)place[0]);
}

static void finish_row(struct image_sink *sink)
{
    const uint64_t whole = (uint64_t)sink->in_width * sink->in_height;
    unsigned char *pixels = cairo_image_surface_get_data(sink->surface);
    const int stride = cairo_image_surface_get_stride(sink->surface);

    assert(whole > 0);
    for (uint32_t x = 0; x < sink->out_width; x++) {
        uint32_t colour = 0;
        for (int k = 0; k < 3; k++)
            colour =
                colour << 8 | (uint32_t)((sink->sums[3 * x + (unsigned)k] + whole / 2) / whole);
        *place_of(sink, pixels, stride, x, sink->out_row) = colour;
    }
    memset(sink->sums, 0, 3 * (size_t)sink->out_width * sizeof *sink->sums);
    sink->out_row++;
}

void image_row(struct image_sink *sink, const unsigned char *rgb)
{
    const uint64_t in = sink->in_height, out = sink->out_height;
    const uint64_t end = (sink->out_row + 1) * in; /* of the output row, in shares */
    const uint64_t from = sink->row * out;
    const uint64_t first = end - from < out ? end - from : out;

    reduce_across(sink, rgb);
    for (uint32_t i = 0; i < 3 * sink->out_width; i++)
        sink->sums[i] += sink->line[i] * first;
    if (from + out >= end) {
        finish_row(sink);
        for (uint32_t i = 0; i < 3 * sink->out_width && first < out; i++)
            sink->sums[i] += sink->line[i] * (out - first);
    }
    sink->row++;
}

/* ---- Exif ------------------------------------------------------------------------------ */

static unsigned read_number(const unsigned char *at, int bytes, bool big)
{
    unsigned number = 0;

    for (int i = 0; i < bytes; i++)
        number = number << 8 | at[big ? i : bytes - 1 - i];
    return number;
}

/* The first directory of a TIFF file: a count, then entries of 12 bytes (TIFF 6.0, section 2). */
int image_orientation(const unsigned char *tiff, size_t length)
{
    if (length < 14 || (memcmp(tiff, "II*\0", 4) != 0 && memcmp(tiff, "MM\0*", 4) != 0))
        return IMAGE_NORMAL;
    const bool big = tiff[0] == 'M';
    const size_t at = read_number(tiff + 4, 4, big);
    if (at < 8 || at > length - 2)
        return IMAGE_NORMAL;
    const size_t entries = read_number(tiff + at, 2, big);
    for (size_t i = 0; i < entries && at + 2 + 12 * (i + 1) <= length; i++) {
        const unsigned char *entry = tiff + at + 2 + 12 * i;
        const unsigned value = read_number(entry + 8, 2, big);
        if (read_number(entry, 2, big) == 0x0112)
            return value >= 1 && value <= IMAGE_ORIENTATIONS ? (int)value : IMAGE_NORMAL;
    }
    return IMAGE_NORMAL;
}

/* ---- both ------------------------------------------------------------------------------ */

static bool read_any(const void *bytes, size_t length, struct image_sink *sink,
                     struct image_size *size, struct rab_error *err)
{
    if (length >= 8 && memcmp(bytes, "\x89PNG\r\n\x1a\n", 8) == 0)
        return image_png(bytes, length, sink, size, err);
    if (length >= 3 && memcmp(bytes, "\xFF\xD8\xFF", 3) == 0)
        return image_jpeg(bytes, length, sink, size, err);
    return rab_fail(err, RAB_FAULT_INPUT,
                    "the picture is neither a PNG nor a JPEG file; give one of these");
}

bool image_read(const void *bytes, size_t length, double across, double down,
                cairo_surface_t **surface, struct rab_error *err)
{
    struct image_sink sink = {.least_across = across, .least_down = down};
    struct image_size size;
    const bool ok = read_any(bytes, length, &sink, &size, err);

    free(sink.rows);
    free(sink.line);
    free(sink.sums);
    if (ok) {
        cairo_surface_mark_dirty(sink.surface);
        *surface = sink.surface;
    } else {
        cairo_surface_destroy(sink.surface);
    }
    return ok;
}

bool rab_image_size(const void *bytes, size_t length, int *width, int *height,
                    struct rab_error *err)
{
    struct image_size size;

    if (!read_any(bytes, length, NULL, &size, err))
        return false;
    const bool turned = image_turned(size.orientation);
    *width = (int)(turned ? size.height : size.width);
    *height = (int)(turned ? size.width : size.height);
    return true;
}
