/*
 * The least number of arcs that follow a chain of cubics within a tolerance.
 *
 * No arcs within the tolerance can be fewer than those that need not even join: from the start of
 * a curve the longest piece that one circle follows, from there the next, and so on. Whether a
 * circle follows a piece is asked of 33 points of it, by the theorem of de la Vallee Poussin: no
 * function of the family comes nearer to all points than to the best four with signs that
 * alternate. (The family a (x^2 + y^2) + b x + c, against y, is linear; over its gradient, which
 * is constant along a circle, it is the distance.)
 */
#ifndef TESTS_OUTLINE_LEAST_H
#define TESTS_OUTLINE_LEAST_H

#include <rabbet/outline.h>

enum { CHAIN_MOST = 32 };

struct chain {
    struct rab_curve curves[CHAIN_MOST]; /* cubics */
    size_t count;
    bool closed;
};

size_t least_arcs(const struct chain *chain, double tolerance);

#endif
