/* Jobs as text, and what they come to, for the tests of this folder. */
#ifndef RABBET_TESTS_JOB_SPREADS_H
#define RABBET_TESTS_JOB_SPREADS_H

#include "rabbet/job.h"

#define IN(x) ((x)*25.4)

/* A job of a page of 12 x 12 in, margin 1/2, in inches: papers night, amber, mist (plain), harbour
 * (printed, no turning), cutter and trimmer. What is on the page begins on line 7. */
#define ON_PAGE(items)                                                                             \
    "<job xmlns='urn:rabbet:job:1' units='in'>\n"                                                  \
    "<paper name='night' colour='#2B3A55'/><paper name='amber' colour='#E3B04B'/>\n"               \
    "<paper name='mist' colour='#D8DEE4'/>\n"                                                      \
    "<paper name='harbour' colour='#7A9BA8' printed='one' turn='none'/>\n"                         \
    "<trimmer/><cutter/>\n"                                                                        \
    "<page side='left' paper='night' margin='1/2'>\n" items "\n</page>\n</job>\n"

struct outcome {
    struct rab_job job;
    struct rab_spread spread;
    struct rab_warnings notes;
    struct rab_error err;
    bool ok;
};
extern struct rab_library *spreads_library;
void spreads_open(void);
void spreads_close(void);

/* Reads and resolves. A job that cannot be read fails the test. */
struct outcome outcome_of(const char *text);
void outcome_clear(struct outcome *outcome);
/* The piece called so; the test ends when there is none. */
const struct rab_piece *piece_of(const struct outcome *outcome, const char *what);
/* Is something told on this line that holds these words: an error, or a warning with the code? */
bool tells_error(const struct outcome *outcome, int line, const char *words);
bool tells(const struct outcome *outcome, const char *code, int line, const char *words);
void print_outcome(const struct outcome *outcome);

/* Box and size of a piece, to 1e-9 mm (or as near as `within`). */
void expect_box(const struct outcome *outcome, const char *what, double x0, double y0, double width,
                double height);

#endif
