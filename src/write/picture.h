/* What a picture is made of, and the steps from it to a page. */
#ifndef RABBET_WRITE_PICTURE_H
#define RABBET_WRITE_PICTURE_H

#include "rabbet/write.h"

enum picture_kind {
    PICTURE_PAPER,
    PICTURE_LINE,
    PICTURE_NUMBER,
    PICTURE_MARK,
};

struct rab_picture_item {
    enum picture_kind kind;
    uint32_t colour;              /* of papers */
    enum rab_line line;           /* of lines */
    struct rab_outline *outlines; /* of a paper, one of a line; what a number stands in */
    size_t count;
    struct rab_point at; /* of marks */
    char *words;         /* of numbers and marks; may be NULL */
    char *meaning;       /* in the legend; may be NULL */
};

/* The place inside closed outlines (even-odd) that is about as far from them as can be, nearer to
 * their centre where that makes little difference; and how far. The answer is false when no place
 * inside was found. */
bool picture_roomiest(const struct rab_outline *outlines, size_t count, struct rab_point *place,
                      double *room);

#endif
