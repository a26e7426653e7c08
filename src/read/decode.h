/*
 * The bytes of a drawing, or of another XML file, as plain UTF-8 that XML allows: unpacked,
 * converted, checked.
 */
#ifndef RABBET_READ_DECODE_H
#define RABBET_READ_DECODE_H

#include "rabbet/base.h"

/*
 * Convert from the encoding that the byte order mark or the XML declaration names, check every
 * character, make all line ends LF.
 *
 * out    {0}; on success the caller owns it
 * notes  "encoding": it is another one than the declaration says
 * err    INPUT with the line, MEMORY
 */
bool decode_text(const char *bytes, size_t length, struct rab_text *out, struct rab_warnings *notes,
                 struct rab_error *err);

/*
 * The same for a drawing, which may be packed with gzip. What is plainly something else (a picture,
 * a PDF) is refused by name.
 *
 * The text is also measured for what costs the XML parser more than linear time: an element
 * with more than 256 attributes is refused.
 *
 * out  {0}; on success the caller owns it
 * err  INPUT with the line, MEMORY
 */
bool decode_drawing(const char *bytes, size_t length, struct rab_text *out,
                    struct rab_warnings *notes, struct rab_error *err);

/* Up to about 40 characters of a text for a message, cut between characters and marked with dots.
 */
struct quote {
    char text[64];
};
struct quote quote_text(const char *text, size_t length);

#endif
