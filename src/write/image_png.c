#include "image.h"

#include <png.h>
#include <string.h>

/* An interlaced picture comes in seven sweeps and is kept whole until the last. */
static const uint64_t most_interlaced = 16000000;

struct png_source {
    png_structp png;
    png_infop info;
    const unsigned char *bytes;
    size_t length, at;
    unsigned char *rows; /* of the sink: one, or all of an interlaced picture */
    unsigned char *line; /* after them: one without what is transparent */
    struct image_sink *sink;
    struct image_size *size;
    struct rab_error *err;
};

static void refuse(png_structp png, png_const_charp words)
{
    struct png_source *source = png_get_error_ptr(png);

    rab_fail(source->err, RAB_FAULT_INPUT, "the PNG picture is damaged (%s); save it anew", words);
    png_longjmp(png, 1);
}

static void hush(png_structp png, png_const_charp words)
{
    (void)png;
    (void)words;
}

static void give_bytes(png_structp png, png_bytep to, size_t count)
{
    struct png_source *source = png_get_io_ptr(png);

    if (count > source->length - source->at)
        png_error(png, "it ends too early");
    memcpy(to, source->bytes + source->at, count);
    source->at += count;
}

/* Whatever the file holds becomes 8 bits of red, green and blue, perhaps with opacity. */
static void ask_for_colours(struct png_source *source)
{
    png_set_expand(source->png);
    png_set_scale_16(source->png);
    png_set_gray_to_rgb(source->png);
}

static int orientation_of(struct png_source *source)
{
    png_bytep exif = NULL;
    png_uint_32 length = 0;

    if (png_get_eXIf_1(source->png, source->info, &length, &exif) == 0)
        return IMAGE_NORMAL;
    return image_orientation(exif, length);
}

static void take_row(struct png_source *source, const unsigned char *row, int channels)
{
    const unsigned char *rgb = row;

    if (channels == 4) {
        for (uint32_t x = 0; x < source->size->width; x++)
            for (int k = 0; k < 3; k++) {
                const unsigned opaque = row[4 * x + 3];
                source->line[3 * x + (unsigned)k] =
                    (unsigned char)((row[4 * x + (unsigned)k] * opaque + 255 * (255 - opaque) +
                                     127) /
                                    255);
            }
        rgb = source->line;
    }
    image_row(source->sink, rgb);
}

/* The rows are set up; false when something was refused, which is told in *err by then. */
static bool read_rows(struct png_source *source)
{
    const uint32_t width = source->size->width, height = source->size->height;
    const bool interlaced = png_get_interlace_type(source->png, source->info) != PNG_INTERLACE_NONE;
    const int sweeps = png_set_interlace_handling(source->png);
    const uint64_t kept = interlaced ? height : 1;

    ask_for_colours(source);
    png_read_update_info(source->png, source->info);
    const int channels = png_get_channels(source->png, source->info);
    if (interlaced && (uint64_t)width * height > most_interlaced)
        return rab_fail(source->err, RAB_FAULT_INPUT,
                        "the PNG picture has %u x %u dots and is interlaced; save it without that",
                        width, height);
    if (!image_allowed(width, height, source->err) ||
        !image_begin(source->sink, width, height, source->err))
        return false;
    const size_t step = (size_t)width * (size_t)channels;
    if (!image_room(source->sink, (size_t)kept * step + 3 * (size_t)width, source->err))
        return false;
    source->rows = source->sink->rows;
    source->line = source->rows + (size_t)kept * step;
    for (int sweep = 0; sweep < sweeps; sweep++)
        for (uint32_t y = 0; y < height; y++) {
            const size_t at = interlaced ? y * step : 0;
            png_read_row(source->png, source->rows + at, NULL);
            if (sweep == sweeps - 1)
                take_row(source, source->rows + at, channels);
        }
    png_read_end(source->png, source->info);
    return true;
}

static bool read_all(struct png_source *source)
{
    if (setjmp(png_jmpbuf(source->png)))
        return false;
    png_set_read_fn(source->png, source, give_bytes);
    png_set_user_limits(source->png, 65535, 65535);
    png_read_info(source->png, source->info);
    source->size->width = png_get_image_width(source->png, source->info);
    source->size->height = png_get_image_height(source->png, source->info);
    source->size->orientation = orientation_of(source);
    if (!source->sink)
        return true;
    source->sink->orientation = source->size->orientation;
    return read_rows(source);
}

bool image_png(const void *bytes, size_t length, struct image_sink *sink, struct image_size *size,
               struct rab_error *err)
{
    struct rab_error failure = {0};
    struct png_source source = {
        .bytes = bytes, .length = length, .sink = sink, .size = size, .err = &failure};
    bool ok;

    source.png = png_create_read_struct(PNG_LIBPNG_VER_STRING, &source, refuse, hush);
    source.info = source.png ? png_create_info_struct(source.png) : NULL;
    ok = source.info ? read_all(&source) : rab_fail_memory(&failure);
    png_destroy_read_struct(&source.png, &source.info, NULL);
    return ok || rab_fail(err, failure.fault, "%s", failure.text);
}
