/*
 * What a finished figure measures: the statements that a shape makes about itself.
 */
#ifndef RABBET_SHAPE_MEASURE_H
#define RABBET_SHAPE_MEASURE_H

#include "shape/content.h"

/*
 * One measure of a figure.
 *
 * there  false when there is no such thing: no two openings for a web, no place ...
 * why    then the reason, for people; else NULL
 * err    MEMORY
 */
bool measure_figure(const struct rab_figure *figure, enum measured what, double *value,
                    const char **why, struct rab_error *err);
/* "web", "border" ... */
const char *measure_name(enum measured what);

#endif
