/* How pieces go on to the sheets of their papers. */
#ifndef RABBET_JOB_LAY_H
#define RABBET_JOB_LAY_H

#include "rabbet/job.h"

/* The box of a piece with the lines on it, turned a quarter where it lies on the sheet only so.
 * Err: GEOMETRY with the piece's line when it does not lie on it at all. */
bool lay_fit(const struct rab_job *job, const struct rab_piece *piece, struct rab_box *box,
             bool *turned, struct rab_error *err);
/* Can so many pieces of a paper be laid at all? Err: INPUT with the paper's line. */
bool lay_count(const struct rab_job *job, size_t paper, double pieces, struct rab_error *err);

#endif
