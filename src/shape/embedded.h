/* The shape library within the program. The build makes the data (embed.c) from shapes/. */
#ifndef RABBET_SHAPE_EMBEDDED_H
#define RABBET_SHAPE_EMBEDDED_H

#include <stddef.h>

struct embedded_file {
    const char *family, *name;
    const unsigned char *bytes;
    size_t length;
};
extern const struct embedded_file embedded_shapes[];
extern const size_t embedded_shape_count;
extern const struct embedded_file embedded_schema;

#endif
