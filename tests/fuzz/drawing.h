/* Drawings from any bytes. Whatever comes: no crash, an error with words or a drawing whose numbers
 * make sense; and of such a drawing, in each way of reading, an error or a valid region. */
#ifndef RABBET_TESTS_FUZZ_DRAWING_H
#define RABBET_TESTS_FUZZ_DRAWING_H

#include "rabbet/read.h"

#include <math.h>
#include <stdlib.h>

static inline void insist(bool truth)
{
    if (!truth)
        abort();
}

static inline void check_error(const struct rab_error *err)
{
    insist(err->fault != RAB_FAULT_NONE && err->text[0] != '\0' && err->line >= 0);
    for (const char *c = err->text; *c; c++)
        insist((unsigned char)*c >= 0x20 && *c != 0x7F);
}

static inline void check_drawing(const struct rab_drawing *drawing)
{
    insist(drawing->count > 0 && isfinite(drawing->width) && isfinite(drawing->height));
    for (size_t i = 0; i < drawing->count; i++) {
        insist(drawing->items[i].count > 0 && drawing->items[i].element && drawing->items[i].line > 0);
        for (size_t k = 0; k < drawing->items[i].count; k++) {
            const struct rab_outline *outline = &drawing->items[i].outlines[k];
            insist(outline->count >= 2);
            for (size_t n = 0; n < outline->count; n++)
                insist(fabs(outline->vertices[n].x) <= 3e6 && fabs(outline->vertices[n].y) <= 3e6 &&
                       isfinite(outline->vertices[n].bulge));
        }
    }
}

static inline void check_region(const struct rab_drawing *drawing, enum rab_reading how)
{
    struct rab_region region = {0};
    struct rab_reading_report report = {0};
    struct rab_warnings notes = {0};
    struct rab_error err = {0};

    if (rab_drawing_region(drawing, how, -1, &region, &report, &notes, &err)) {
        insist(region.count > 0 && report.reading != RAB_READ_AUTO);
        insist(rab_region_check(&region, &err));
    } else {
        check_error(&err);
        insist(region.count == 0 && !region.outlines);
    }
    rab_region_clear(&region);
    rab_warnings_clear(&notes);
}

typedef bool read_function(const char *, size_t, const struct rab_read_options *,
                           struct rab_drawing *, struct rab_warnings *, struct rab_error *);

static inline void check_reading(read_function *read, const uint8_t *data, size_t size)
{
    /* small limits: what is large is slow, and finds nothing new */
    struct rab_read_options options = {.elements = 2000, .segments = 2000};
    struct rab_drawing drawing = {0};
    struct rab_warnings notes = {0};
    struct rab_error err = {0};

    if (size > 0 && data[size - 1] % 8 == 0)
        options.width = 100;
    if (read((const char *)data, size, &options, &drawing, &notes, &err)) {
        check_drawing(&drawing);
        for (enum rab_reading how = RAB_READ_AUTO; how <= RAB_READ_LINES; how++)
            check_region(&drawing, how);
    } else {
        check_error(&err);
        insist(drawing.count == 0 && !drawing.items);
    }
    rab_drawing_clear(&drawing);
    rab_warnings_clear(&notes);
}

#endif
