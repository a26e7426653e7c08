/* Memory that is given back all at once: what a file holds while it is read lives in one of these.
 */
#ifndef RABBET_BASE_ARENA_H
#define RABBET_BASE_ARENA_H

#include "rabbet/base.h"

struct arena;

/* NULL when memory is out. */
struct arena *arena_new(struct rab_error *err);
void arena_free(struct arena *arena); /* NULL is fine */

/* Room for `count` items of `size` bytes, aligned for anything and not cleared; never NULL for no
 * items. NULL when memory is out. */
void *arena_take(struct arena *arena, size_t count, size_t size, struct rab_error *err);
/* The same, filled with a copy of items. */
void *arena_copy(struct arena *arena, const void *items, size_t count, size_t size,
                 struct rab_error *err);
/* A text of so many bytes, with a NUL after it. */
char *arena_text(struct arena *arena, const char *text, size_t length, struct rab_error *err);

#endif
