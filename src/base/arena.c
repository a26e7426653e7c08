#include "base/arena.h"

#include <stdalign.h>
#include <stdlib.h>
#include <string.h>

/* Most shape files fit into two of these. */
enum { USUAL_BLOCK = 4096 };

struct block {
    struct block *next;
    alignas(max_align_t) char bytes[];
};

struct arena {
    struct block *blocks;
    char *next;
    size_t left;
};

struct arena *arena_new(struct rab_error *err)
{
    struct arena *arena = calloc(1, sizeof *arena);

    if (!arena)
        rab_fail_memory(err);
    return arena;
}

void arena_free(struct arena *arena)
{
    if (!arena)
        return;
    while (arena->blocks) {
        struct block *next = arena->blocks->next;
        free(arena->blocks);
        arena->blocks = next;
    }
    free(arena);
}

void *arena_take(struct arena *arena, size_t count, size_t size, struct rab_error *err)
{
    const size_t step = alignof(max_align_t);
    size_t bytes;
    void *taken;

    if (count > (size_t)PTRDIFF_MAX / 2 / size) {
        rab_fail_memory(err);
        return NULL;
    }
    bytes = (count * size + step - 1) / step * step;
    if (bytes == 0)
        bytes = step;
    if (bytes > arena->left) {
        size_t room = bytes > USUAL_BLOCK ? bytes : USUAL_BLOCK;
        struct block *block = malloc(sizeof *block + room);
        if (!block) {
            rab_fail_memory(err);
            return NULL;
        }
        block->next = arena->blocks;
        arena->blocks = block;
        arena->next = block->bytes;
        arena->left = room;
    }
    taken = arena->next;
    arena->next += bytes;
    arena->left -= bytes;
    return taken;
}

void *arena_copy(struct arena *arena, const void *items, size_t count, size_t size,
                 struct rab_error *err)
{
    void *copy = arena_take(arena, count, size, err);

    if (copy && count > 0)
        memcpy(copy, items, count * size);
    return copy;
}

char *arena_text(struct arena *arena, const char *text, size_t length, struct rab_error *err)
{
    char *copy = arena_take(arena, length + 1, 1, err);

    if (!copy)
        return NULL;
    if (length > 0)
        memcpy(copy, text, length);
    copy[length] = '\0';
    return copy;
}
