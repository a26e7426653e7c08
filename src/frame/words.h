/*
 * Lists of opening numbers as people read them.
 */
#ifndef RABBET_FRAME_WORDS_H
#define RABBET_FRAME_WORDS_H

#include "rabbet/base.h"

/* "opening 3", "openings 2, 4-7 and 9"; a long list ends with "and 30 more". The numbers rise. */
void add_openings(struct rab_text *text, const int *numbers, size_t count);

#endif
