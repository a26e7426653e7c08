/* From the bytes of a shape file to a shape. */
#ifndef RABBET_SHAPE_READER_H
#define RABBET_SHAPE_READER_H

#include "shape/content.h"

enum {
    SHAPE_ELEMENTS = 4096,
    SHAPE_DEPTH = 64,
    SHAPE_PARAMETERS = 64,
    SHAPE_NAMES = 512, /* that hold at one place */
    SHAPE_NAME_LENGTH = 64,
};

/* Small letters and digits, divided by single hyphens: the name of a shape, a family, a choice. */
bool reader_word_ok(const char *name);

/*
 * Read one shape. What it says of other shapes (use) is not looked at here.
 *
 * file  its path, NULL when it came with the program
 * out   the caller gives it back with reader_free
 * err   INPUT with the line, or MEMORY; the text says nothing of the file
 */
bool reader_read(const char *name, const char *family, const char *file, const char *bytes,
                 size_t length, struct rab_shape **out, struct rab_error *err);
void reader_free(struct rab_shape *shape); /* NULL is fine */

/* A fault in a shape with its place before it: "FILE:LINE: text". A shape that came with the
 * program has its name for a file. Memory stays as it is. */
bool reader_fail(const char *file, const struct rab_error *fault, struct rab_error *err);

#endif
