/* The names that somebody may have meant. */
#ifndef RABBET_SHAPE_NEAREST_H
#define RABBET_SHAPE_NEAREST_H

#include <stddef.h>

enum { NEAREST_MOST = 3 };

/* Filled name by name; names are borrowed. Starts with `wanted` set and the rest 0. */
struct nearest {
    const char *wanted;
    const char *names[NEAREST_MOST];
    size_t distances[NEAREST_MOST];
    size_t count;
};
/* Look at one more name: kept when it is a slip or two away, holds what is wanted as a part, or
 * shares a whole word with it. */
void nearest_look(struct nearest *nearest, const char *name);
/* "; did you mean a, b or c?", or `otherwise` when nothing is near. */
void nearest_words(const struct nearest *nearest, char *words, size_t size, const char *otherwise);

#endif
