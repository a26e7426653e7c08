/*
 * The pieces that a chain of curves is made of: lines, circular arcs, and cubics that are neither.
 */
#ifndef RABBET_OUTLINE_PIECES_H
#define RABBET_OUTLINE_PIECES_H

#include "curve.h"

/* One link of the chain that is to be fitted. */
enum piece_kind { PIECE_LINE, PIECE_ARC, PIECE_CURVE };
struct piece {
    enum piece_kind kind;
    bool loose;              /* a curve taken for a line or an arc, though not exactly one */
    struct rab_point a, b;   /* ends */
    struct rab_point ta, tb; /* unit tangents there */
    double bulge;            /* of PIECE_ARC */
    struct cubic cubic;      /* of PIECE_CURVE, and what a loose one was */
};
struct pieces {
    struct piece *items;
    size_t count, capacity;
    bool closed;
};

/* A cubic as what it is: a line, an arc or a curve. Not for a point. */
void piece_recognise(const struct cubic *cubic, double tolerance, struct piece *piece);

/* Back to a curve what was taken for a line or an arc loosely. */
void piece_as_curve(struct piece *piece);

/* The pieces of a chain of curves, each from where the one before ends. */
bool pieces_gather(const struct rab_curve *curves, size_t count, bool closed, double tolerance,
                   struct pieces *out, struct rab_error *err);
/* Is the whole chain a circle? Then its centre and radius, negative when clockwise. */
bool pieces_circle(const struct pieces *pieces, double tolerance, struct rab_point *centre,
                   double *radius);
/* Arcs of one circle that follow each other become one; what was taken too lightly for a line or
 * an arc becomes a curve again. The first piece is one that does not follow smoothly, if there is
 * one. */
bool pieces_settle(struct pieces *pieces, double tolerance, struct rab_error *err);

#endif
