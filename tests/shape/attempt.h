/* Bytes that may be a shape file, read and drawn; whatever they are, nothing may go wrong unseen.
 */
#ifndef RABBET_TESTS_ATTEMPT_H
#define RABBET_TESTS_ATTEMPT_H

#include "rabbet/shape.h"

enum attempt {
    ATTEMPT_WRONG,   /* something that must not be; err->text says what */
    ATTEMPT_REFUSED, /* no shape file: err has the line and what is wrong */
    ATTEMPT_REFUSES, /* a shape that refuses these values, with a message */
    ATTEMPT_DRAWN,
};

/*
 * Read the bytes as a file of the library (without adding it), and draw it with its usual values,
 * all at their least, and all at their most.
 */
enum attempt attempt_shape(const struct rab_library *library, const char *bytes, size_t length,
                           struct rab_error *err);

#endif
