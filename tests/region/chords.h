/*
 * Outlines turned into chords for libraries that know only straight lines: every vertex lies on
 * the arc, and no chord is further from it than the sagitta asked for.
 */
#ifndef TESTS_REGION_CHORDS_H
#define TESTS_REGION_CHORDS_H

#include "brute.h"

struct chords {
    struct rab_point *points; /* closed: the last leads back to the first */
    size_t count, capacity;
    double segments; /* area between the chords and their arcs, all counted positive */
    double sagitta;  /* the greatest one made; 0 when there were no arcs */
};
void chords_of(const struct rab_outline *outline, double sagitta, struct chords *out);
void chords_clear(struct chords *chords);

#endif
