/* What the files that read a job share. */
#ifndef RABBET_JOB_READING_H
#define RABBET_JOB_READING_H

#include "job/language.h"
#include "shape/markup.h"

/* Faults told at once: the first and so many more. */
enum { FAULTS_TOLD = 101 };

/* A name that something in the job has. Borrowed. */
struct reading_name {
    const char *name;
    size_t number; /* of a paper, from 0 */
    int line;
};
struct reading_names {
    struct reading_name *items;
    size_t count, capacity;
};

struct reading {
    struct markup markup;
    struct rab_job job;
    enum rab_unit units;
    struct reading_names papers; /* sorted by name, before all else is read */
    struct reading_names items;  /* as they come */
    size_t listed;               /* openings in lists */
    struct rab_warnings faults;
    size_t untold;         /* faults beyond FAULTS_TOLD */
    struct rab_error *err; /* for memory only */
};

/* Here false means that memory is out, everywhere: a fault of the file is noted, and reading goes
 * on, so that all of them are told. */
bool reading_fault(struct reading *reading, int line, const char *format, ...) RAB_PRINTF(3, 4);
/* The first of the file's faults into err, the others into notes. */
bool reading_tell(struct reading *reading, struct rab_warnings *notes, struct rab_error *err);

bool reading_names_add(struct reading_names *names, const char *name, size_t number, int line,
                       struct rab_error *err);
void reading_names_sort(struct reading_names *names);
/* Of sorted names: a fault for each that `what` has twice. */
bool reading_names_once(struct reading *reading, const struct reading_names *names,
                        const char *what);

const struct markup_element *reading_element(const struct reading *reading, uint32_t index);
/* An attribute of an element, NULL when it is not given. */
const struct markup_attribute *reading_given(const struct reading *reading, uint32_t index,
                                             const char *name);

/* ---- in read_value.c ---- */

/* One attribute of an element into what the element fills. */
bool read_value(struct reading *reading, const struct language_element *element,
                const struct language_attribute *known, const struct markup_attribute *attribute,
                void *target);
/* The words of an element on their lines, blanks at both ends taken away, one empty line at most in
 * succession. */
bool read_words(struct reading *reading, const char *text, char **out);
/* Which of the words it is, -1 when it is none. */
int read_which(const char *const *words, const char *text);

/* ---- in read_rules.c ---- */

/* Attributes that exclude or need each other, and content that must be there. */
bool read_rules(struct reading *reading, uint32_t index, const struct language_element *known);

#endif
