/*
 * Shape files read a second time, from docs/shape-files.md and apart from src/shape: what a file
 * demands of its values, what it promises about the result, and which operations it has. The
 * expressions are worked out by a small evaluator of its own that knows no units.
 */
#ifndef TESTS_SHAPE_READING_H
#define TESTS_SHAPE_READING_H

#include <libxml/tree.h>
#include <rabbet/shape.h>

enum { MOST_NAMES = 400, MOST_PROMISES = 64, MOST_DEMANDS = 128 };

struct demand {
    xmlNode *node; /* <require> */
    bool holds;
};
/* "web", "border"... is, or is at least, this. */
struct promise {
    char what[16];
    double value;
    bool least;
};

struct reading {
    xmlDoc *document;
    const struct rab_shape *shape;
    bool rounded;    /* there is an ellipse somewhere: lengths hold within its tolerance */
    bool chance;     /* random() is called somewhere */
    char fault[200]; /* empty unless the file could not be understood */

    /* Of the values last set. */
    struct {
        char *name;
        double number;
        const char *word; /* of a choice */
    } names[MOST_NAMES];
    size_t name_count;
    struct demand demands[MOST_DEMANDS];
    size_t demand_count;
    struct promise promises[MOST_PROMISES];
    size_t promise_count;
    bool must[RAB_OPERATIONS], may[RAB_OPERATIONS];
    size_t least_places, most_places;
    size_t holes; /* <hole> elements that are there for sure */
};

/* text is the file's content. */
bool reading_open(const char *path, const struct rab_shape *shape, struct reading *out);
void reading_close(struct reading *reading);
/* Work out everything for these values; stops at the first demand that does not hold. repeat and
 * repeats are for motifs. False with `fault` when something cannot be worked out. */
bool reading_set(struct reading *reading, const double *values, size_t repeat, size_t repeats);
/* The demand that does not hold, NULL when all do. */
const struct demand *reading_broken(const struct reading *reading);
/* Is this text the message of the demand, its values put in? Those after "at most" are rounded
 * down, those after "at least" up, so that what is asked for can be given. */
enum saying { SAYS_IT, SAYS_OTHERWISE, SAYS_WRONG_VALUE };
enum saying reading_says(struct reading *reading, const struct demand *demand, const char *message);

#endif
