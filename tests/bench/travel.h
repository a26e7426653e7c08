/*
 * How far a tool travels between the lines of a sheet by the usual simple way: to measure plans by.
 */
#ifndef RABBET_TESTS_BENCH_TRAVEL_H
#define RABBET_TESTS_BENCH_TRAVEL_H

#include <rabbet/plan.h>

struct sheet {
    struct rab_path *paths;
    size_t count, capacity;
    int pieces;
};

/* What must be finished before what, by path: operations one after the other, and of the cuts those
 * of pieces under 25 mm first. The caller frees it; NULL: memory is out. */
int *travel_groups(const struct sheet *sheet);

/* From where the tool is to the nearest line that may be next, from 0, 0 on: by these groups, and
 * what lies inside first. A negative number: memory is out. */
double travel_nearest(const struct sheet *sheet, const int *groups);

#endif
