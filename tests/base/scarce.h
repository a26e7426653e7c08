/*
 * Scarce memory, for tests: the code under test is linked with its malloc, calloc, realloc and
 * strdup wrapped (meson dependency `scarce`), and the test says how many calls are granted. What is
 * allocated and freed is counted, too, so that a leak on a way out shows.
 */
#ifndef RABBET_TESTS_SCARCE_H
#define RABBET_TESTS_SCARCE_H

#include <stdbool.h>
#include <stddef.h>

/* Grant so many allocations from here on and refuse all that follow. */
void scarce_begin(size_t granted);
/* Back to plenty. Was anything refused? */
bool scarce_end(void);
/* Between the two: allocations less those freed. */
long scarce_held(void);

#endif
