/*
 * Paths in the making: each remembers which path it came from.
 */
#ifndef RABBET_PLAN_LINES_H
#define RABBET_PLAN_LINES_H

#include "rabbet/plan.h"

struct line {
    enum rab_operation operation;
    int piece;
    size_t source; /* the path, by its place in what was given */
    struct rab_outline outline;
};
/* Lines of one source stand together, in the order in which they follow each other along it. */
struct line_list {
    struct line *items;
    size_t count, capacity;
};

/* Add a line like another one but for its outline, which is taken over (it is empty afterwards). */
bool line_list_add(struct line_list *list, const struct line *like, struct rab_outline *outline,
                   struct rab_error *err);
/* A copy. */
bool line_list_keep(struct line_list *list, const struct line *line, struct rab_error *err);
void line_list_clear(struct line_list *list);

#endif
