/* Words set in lines on a block of paper. */
#ifndef RABBET_WRITE_LETTERING_H
#define RABBET_WRITE_LETTERING_H

#include "words.h"

#include "rabbet/write.h"

/* A block whose words lie in Pango's layout, in a size that fits. Start from {0}. */
struct lettering {
    const struct rab_words *asked;
    struct words words; /* always at the same scale, so that lines break alike everywhere */
    struct rab_words_set set;
};
bool lettering_set(const struct rab_words *asked, struct lettering *out, struct rab_error *err);
void lettering_clear(struct lettering *lettering);

/* Ruled lines and words; cr's units are mm, y down from the block's upper left corner. */
void lettering_draw(const struct lettering *lettering, cairo_t *cr);

#endif
