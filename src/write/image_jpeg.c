#include "image.h"

#include <stdio.h>

#include <jerror.h>
#include <jpeglib.h>
#include <setjmp.h>
#include <string.h>

/* A progressive picture is kept whole by libjpeg; a small file may ask for thousands of sweeps. */
static const long most_memory = 256L << 20;
enum { MOST_SCANS = 200 };

struct jpeg_source {
    struct jpeg_decompress_struct jpeg;
    struct jpeg_error_mgr errors;
    struct jpeg_progress_mgr progress;
    jmp_buf way_out;
    struct image_sink *sink;
    struct image_size *size;
    struct rab_error *err;
};

static struct jpeg_source *source_of(j_common_ptr jpeg)
{
    return jpeg->client_data;
}

static void refuse(j_common_ptr jpeg)
{
    struct jpeg_source *source = source_of(jpeg);
    const int code = jpeg->err->msg_code;
    char words[JMSG_LENGTH_MAX];

    jpeg->err->format_message(jpeg, words);
    if (code == JERR_NO_BACKING_STORE)
        rab_fail(source->err, RAB_FAULT_INPUT,
                 "the JPEG picture is progressive and too large for that; save it without, or "
                 "reduce it");
    else if (code == JERR_OUT_OF_MEMORY)
        rab_fail_memory(source->err);
    else
        rab_fail(source->err, RAB_FAULT_INPUT, "the JPEG picture is damaged (%s); save it anew",
                 words);
    longjmp(source->way_out, 1);
}

/* Warnings come here too, with level -1: libjpeg would go on and fill in grey. Blanks between two
 * parts of a file are harmless. */
static void judge(j_common_ptr jpeg, int level)
{
    if (level < 0 && jpeg->err->msg_code != JWRN_EXTRANEOUS_DATA)
        refuse(jpeg);
}

static void watch(j_common_ptr jpeg)
{
    struct jpeg_source *source = source_of(jpeg);

    if (source->jpeg.input_scan_number > MOST_SCANS) {
        rab_fail(source->err, RAB_FAULT_INPUT,
                 "the JPEG picture comes in more than %d sweeps; save it anew", MOST_SCANS);
        longjmp(source->way_out, 1);
    }
}

/* Exif lies in a marker APP1 that begins with its name and two zeros. */
static int orientation_of(const struct jpeg_source *source)
{
    for (jpeg_saved_marker_ptr marker = source->jpeg.marker_list; marker; marker = marker->next)
        if (marker->marker == JPEG_APP0 + 1 && marker->data_length > 6 &&
            memcmp(marker->data, "Exif\0", 6) == 0)
            return image_orientation(marker->data + 6, marker->data_length - 6);
    return IMAGE_NORMAL;
}

/* libjpeg reduces by 2, 4 or 8 far quicker than anything that comes after it. */
static void choose_reduction(struct jpeg_source *source)
{
    const struct image_sink *sink = source->sink;
    const bool turned = image_turned(sink->orientation);
    const double across = turned ? sink->least_down : sink->least_across;
    const double down = turned ? sink->least_across : sink->least_down;

    source->jpeg.scale_num = 1;
    for (source->jpeg.scale_denom = 8; source->jpeg.scale_denom > 1; source->jpeg.scale_denom /= 2)
        if (source->jpeg.image_width >= across * source->jpeg.scale_denom &&
            source->jpeg.image_height >= down * source->jpeg.scale_denom)
            break;
}

static bool read_rows(struct jpeg_source *source)
{
    struct jpeg_decompress_struct *jpeg = &source->jpeg;

    if (jpeg->jpeg_color_space == JCS_CMYK || jpeg->jpeg_color_space == JCS_YCCK)
        return rab_fail(source->err, RAB_FAULT_INPUT,
                        "the JPEG picture is in the inks of a press (CMYK); save it as RGB");
    jpeg->out_color_space = JCS_RGB;
    jpeg->dct_method = JDCT_ISLOW;
    source->sink->orientation = source->size->orientation;
    choose_reduction(source);
    jpeg_calc_output_dimensions(jpeg);
    if (!image_allowed(jpeg->image_width, jpeg->image_height, source->err) ||
        !image_begin(source->sink, jpeg->output_width, jpeg->output_height, source->err))
        return false;
    if (!image_room(source->sink, 3 * (size_t)jpeg->output_width, source->err))
        return false;
    jpeg_start_decompress(jpeg);
    while (jpeg->output_scanline < jpeg->output_height) {
        jpeg_read_scanlines(jpeg, &source->sink->rows, 1);
        image_row(source->sink, source->sink->rows);
    }
    jpeg_finish_decompress(jpeg);
    return true;
}

static bool read_all(struct jpeg_source *source, const void *bytes, size_t length)
{
    if (setjmp(source->way_out))
        return false;
    jpeg_create_decompress(&source->jpeg);
    source->jpeg.mem->max_memory_to_use = most_memory;
    source->jpeg.progress = &source->progress;
    jpeg_mem_src(&source->jpeg, bytes, (unsigned long)length);
    jpeg_save_markers(&source->jpeg, JPEG_APP0 + 1, 0xFFFF);
    jpeg_read_header(&source->jpeg, TRUE);
    source->size->width = source->jpeg.image_width;
    source->size->height = source->jpeg.image_height;
    source->size->orientation = orientation_of(source);
    return !source->sink || read_rows(source);
}

bool image_jpeg(const void *bytes, size_t length, struct image_sink *sink, struct image_size *size,
                struct rab_error *err)
{
    struct rab_error failure = {0};
    struct jpeg_source source = {.sink = sink, .size = size, .err = &failure};
    bool ok;

    source.jpeg.err = jpeg_std_error(&source.errors);
    source.jpeg.client_data = &source;
    source.errors.error_exit = refuse;
    source.errors.emit_message = judge;
    source.progress.progress_monitor = watch;
    ok = read_all(&source, bytes, length);
    jpeg_destroy_decompress(&source.jpeg);
    return ok || rab_fail(err, failure.fault, "%s", failure.text);
}
