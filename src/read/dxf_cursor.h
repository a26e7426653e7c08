/*
 * A text DXF as it comes: pairs of lines, a group code and its value.
 */
#ifndef RABBET_READ_DXF_CURSOR_H
#define RABBET_READ_DXF_CURSOR_H

#include "read/number.h"

/* A place in the file. Copies of it can be gone back to. */
struct dxf_cursor {
    const char *at, *end;
    int line; /* of the next group code */
};
struct dxf_tag {
    int code, line; /* the line of the value */
    struct slice value;
};

/* The next pair; *more is false at the end of the file. Err: INPUT with the line. */
bool cursor_next(struct dxf_cursor *cursor, struct dxf_tag *tag, bool *more, struct rab_error *err);
bool tag_is(const struct dxf_tag *tag, int code, const char *word);
/* The value as a number. Err: INPUT with the line. */
bool tag_number(const struct dxf_tag *tag, double *value, struct rab_error *err);

/* Is it a DXF at all? */
bool dxf_looks_like(const char *bytes, size_t length);

#endif
