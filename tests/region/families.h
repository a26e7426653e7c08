/*
 * Seeded random cases for the region room: ordinary drawings and, mostly, degenerate ones.
 */
#ifndef TESTS_REGION_FAMILIES_H
#define TESTS_REGION_FAMILIES_H

#include "brute.h"

enum work {
    WORK_FILL,
    WORK_COMBINE,
    WORK_GROW,
};
struct trial {
    struct shapes a, b; /* b only for WORK_COMBINE */
    enum rab_fill rule; /* of both */
    enum work work;
    enum rab_combine how;
    double distance;
    enum rab_join join;
    double limit;
    double sagitta; /* for the chords of the judge */
    const char *family;
};

/* The trial with this number: depends on seed and number alone. family: all (NULL) or one. */
bool trial_make(uint64_t seed, uint64_t number, const char *family, struct trial *out);
void trial_clear(struct trial *trial);
void trial_copy(const struct trial *in, struct trial *out);
/* As C that can be pasted into a test. */
void trial_print(const struct trial *trial);
/* Name of each family in turn, NULL after the last. */
const char *family_name(size_t index);

#endif
