/* UTF-8 as RFC 3629 defines it: no overlong forms, no surrogates, nothing above U+10FFFF. */
#ifndef RABBET_BASE_UTF8_H
#define RABBET_BASE_UTF8_H

#include <stddef.h>
#include <stdint.h>

/* Bytes of the character at the start of text (1 to 4), or 0 when it is none; *code is written
 * only on success. */
static inline size_t utf8_decode(const unsigned char *text, size_t length, uint32_t *code)
{
    size_t bytes;
    uint32_t value, least;

    if (length == 0)
        return 0;
    if (text[0] < 0x80) {
        *code = text[0];
        return 1;
    }
    if ((text[0] & 0xE0U) == 0xC0) {
        bytes = 2, value = text[0] & 0x1FU, least = 0x80;
    } else if ((text[0] & 0xF0U) == 0xE0) {
        bytes = 3, value = text[0] & 0x0FU, least = 0x800;
    } else if ((text[0] & 0xF8U) == 0xF0) {
        bytes = 4, value = text[0] & 0x07U, least = 0x10000;
    } else {
        return 0;
    }
    if (bytes > length)
        return 0;
    for (size_t i = 1; i < bytes; i++) {
        if ((text[i] & 0xC0U) != 0x80)
            return 0;
        value = value << 6 | (text[i] & 0x3FU);
    }
    if (value < least || value > 0x10FFFF || (value >= 0xD800 && value <= 0xDFFF))
        return 0;
    *code = value;
    return bytes;
}

#endif
