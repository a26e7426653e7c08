/* One shape or motif with one set of values after the other. */
#ifndef TESTS_SHAPE_TRIAL_H
#define TESTS_SHAPE_TRIAL_H

#include <rabbet/edge.h>

#include "judge.h"

enum outcome { ACCEPTED, REFUSED, WRONG };

struct trial {
    const struct rab_library *library;
    const struct rab_shape *shape;
    struct truth *truth;
    struct reading reading;
    struct {
        size_t made, refused; /* motifs around outlines */
    } along;
};

/* full: also what takes long: files, everything twice, edges around outlines. */
enum outcome try_shape(struct trial *trial, const double *values, bool full,
                       struct verdict *verdict);
enum outcome try_motif(struct trial *trial, const double *values, bool full,
                       struct verdict *verdict);

/* What came of drawing against what the file demands: ACCEPTED when it was drawn and should be,
 * REFUSED when it was refused in the shape's own words and should be. */
enum outcome judge_refusal(struct reading *reading, bool drawn, const struct rab_error *err,
                           struct verdict *verdict);

#endif
