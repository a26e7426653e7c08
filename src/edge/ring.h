/*
 * A closed outline that gets a motif: its runs from corner to corner, or the one all round.
 */
#ifndef RABBET_EDGE_RING_H
#define RABBET_EDGE_RING_H

#include "corner.h"
#include "stretch.h"

struct ring {
    struct stretch *runs; /* clockwise */
    size_t count;
    struct corner *corners; /* corners[i] lies before run i; NULL: there are none */
    size_t *wanted;         /* repeats of each run before any were left out */
};
void ring_clear(struct ring *ring);

/*
 * Divide an outline (counter-clockwise) at its corners, the first run clockwise from the upper left
 * one. Without corners the one run begins at the lowest point under the middle, where an outline
 * that is the same left and right has its axis; or at the left where it is only the same above and
 * below.
 *
 * number  of its first run
 */
bool ring_make(const struct rab_outline *outline, uint32_t number, struct ring *out,
               struct rab_error *err);

#endif
