/* Photos in: PNG and JPEG, reduced while they are read, so that only what is shown is in memory. */
#ifndef RABBET_WRITE_IMAGE_H
#define RABBET_WRITE_IMAGE_H

#include <cairo.h>

#include "rabbet/write.h"

/*
 * Takes a picture row by row and averages it down to a surface that still covers so many dots each
 * way (as it is shown: after turning). A picture that is smaller is kept as it is. Exact: every dot
 * counts by the share of it that lies in the reduced one.
 */
struct image_sink {
    double least_across, least_down; /* as it is shown */
    int orientation;                 /* 1 to 8, as in Exif */
    uint32_t in_width, in_height, out_width, out_height;
    uint32_t row, out_row;
    uint32_t *line;      /* one row, reduced across: sums of shares of in_width */
    uint64_t *sums;      /* what has come together for out_row */
    unsigned char *rows; /* of the reader */
    cairo_surface_t *surface;
};
enum { IMAGE_NORMAL = 1, IMAGE_ORIENTATIONS = 8 };

bool image_allowed(uint32_t width, uint32_t height, struct rab_error *err);
/* Once size and orientation are known. Err: INPUT (far too long), MEMORY. */
bool image_begin(struct image_sink *sink, uint32_t width, uint32_t height, struct rab_error *err);
/* Room for the reader's own rows, which goes with the sink: libraries leave by a jump. */
bool image_room(struct image_sink *sink, size_t bytes, struct rab_error *err);
/* The next row, red, green, blue. */
void image_row(struct image_sink *sink, const unsigned char *rgb);
/* Is the picture shown with its sides exchanged? */
bool image_turned(int orientation);

/* What a reader fills in: with sink NULL only the size is asked for. */
struct image_size {
    uint32_t width, height;
    int orientation;
};
bool image_png(const void *bytes, size_t length, struct image_sink *sink, struct image_size *size,
               struct rab_error *err);
bool image_jpeg(const void *bytes, size_t length, struct image_sink *sink, struct image_size *size,
                struct rab_error *err);
/* Orientation that an Exif block (TIFF: its byte order first) states; 1 when it states none. */
int image_orientation(const unsigned char *tiff, size_t length);

/* The whole: a surface that covers so many dots. The caller destroys it. */
bool image_read(const void *bytes, size_t length, double across, double down,
                cairo_surface_t **surface, struct rab_error *err);

#endif
