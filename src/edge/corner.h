/*
 * Where two runs of edge meet at a corner.
 */
#ifndef RABBET_EDGE_CORNER_H
#define RABBET_EDGE_CORNER_H

#include "stretch.h"

struct corner {
    struct rab_point at;
    struct rab_point in, out; /* unit tangents: as the one run arrives and the next one leaves */
    double turn;              /* below 0: to the right, where the corner points outwards */
};

struct corner corner_between(const struct way *before, const struct way *after);
/* The angle of the paper in the corner: below pi when it points outwards. */
double corner_angle(const struct corner *corner);
/* Along the corner's middle line, outwards. */
struct rab_point corner_ray(const struct corner *corner);
/* How far past the corner, along its side, the peaks of a mitred side reach: 0 where it points
 * inwards. False with GEOMETRY and the place when it is too sharp for that. */
bool corner_reach(const struct corner *corner, double depth, double *reach, struct rab_error *err);

/* How the end of a run meets a corner. */
enum meeting {
    MEET_AS_IS,  /* it ends there */
    MEET_MIDDLE, /* cut along the corner's middle line */
    MEET_SQUARE, /* cut square at the run's own end */
};
/* One of the runs at a corner, and what was laid on it. */
struct side {
    const struct stretch *run;
    struct edging *edging;
};
/* Cut the chains of two neighbours; then add to `out`, which ends where the first does, the way to
 * the beginning of the next. */
void corner_cut(const struct corner *corner, enum meeting meeting, double depth, struct side before,
                struct side after, struct cut *end, struct cut *start);
bool corner_join(const struct corner *corner, enum meeting meeting, const struct cut *end,
                 const struct cut *start, uint32_t run, struct chain *out, struct rab_error *err);

/* Of an edging that ends at the corner, or begins there: leave out the holes that the corner's
 * middle line would cut or come close to, and cut its paths off there. */
bool corner_clear(const struct corner *corner, bool ends_here, double depth, struct side side,
                  size_t *dropped, struct rab_error *err);

#endif
