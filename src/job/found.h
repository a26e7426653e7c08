/* What is found while a job is worked out: told in the order of the job file's lines. */
#ifndef RABBET_JOB_FOUND_H
#define RABBET_JOB_FOUND_H

#include "rabbet/base.h"

struct finding {
    enum rab_fault fault; /* NONE: a warning */
    size_t order;         /* as they came, for those of one line */
    struct rab_warning told;
};
struct findings {
    struct finding *items;
    size_t count, capacity;
};
void findings_clear(struct findings *found);

/* These are false only when memory is out. */
bool found_wrong(struct findings *found, struct rab_error *err, enum rab_fault fault, int line,
                 const char *format, ...) RAB_PRINTF(5, 6);
bool found_odd(struct findings *found, struct rab_error *err, const char *code, int line,
               const char *format, ...) RAB_PRINTF(5, 6);
/* What another room failed with, after whose it is ("mat of quay"; NULL: nobody's). With an own
 * line it is kept. */
bool found_failure(struct findings *found, struct rab_error *err, const struct rab_error *failure,
                   int line, const char *whose);
/* What another room warned of. */
bool found_notes(struct findings *found, struct rab_error *err, const struct rab_warnings *notes,
                 int line, const char *whose);

/* By line: the first error into err, everything else into notes. True when there was no error. */
bool findings_tell(struct findings *found, struct rab_warnings *notes, struct rab_error *err);

/* A length or a size for a message. Empty when memory is out, which will show elsewhere. */
enum { MEASURE_TEXT = 64 };
struct measure {
    char text[MEASURE_TEXT];
};
struct measure measure_of(double mm, bool in_first);
struct measure measure_of_size(double width, double height, bool in_first);

#endif
