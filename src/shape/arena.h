/* Memory that is given back all at once: what a shape file holds lives in one of these. */
#ifndef RABBET_SHAPE_ARENA_H
#define RABBET_SHAPE_ARENA_H

#include "rabbet/base.h"

struct shape_arena;

/* NULL when memory is out. */
struct shape_arena *shape_arena_new(struct rab_error *err);
void shape_arena_free(struct shape_arena *arena); /* NULL is fine */

/* Room for `count` items of `size` bytes, aligned for anything and not cleared; never NULL for no
 * items. NULL when memory is out. */
void *shape_arena_take(struct shape_arena *arena, size_t count, size_t size, struct rab_error *err);
/* The same, filled with a copy of items. */
void *shape_arena_copy(struct shape_arena *arena, const void *items, size_t count, size_t size,
                       struct rab_error *err);
/* A text of so many bytes, with a NUL after it. */
char *shape_arena_text(struct shape_arena *arena, const char *text, size_t length,
                       struct rab_error *err);

#endif
