/*
 * A growing list of outlines.
 */
#ifndef RABBET_FRAME_LIST_H
#define RABBET_FRAME_LIST_H

#include "rabbet/outline.h"

struct list {
    struct rab_outline *items;
    size_t count, capacity;
};

/* Takes the outline over (it is empty afterwards). */
bool list_take(struct list *list, struct rab_outline *outline, struct rab_error *err);
bool list_copy(struct list *list, const struct rab_outline *outline, bool reversed,
               struct rab_error *err);
/* Empty it, keeping its memory. */
void list_empty(struct list *list);
void list_clear(struct list *list);

#endif
