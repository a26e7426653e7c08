#include "scarce.h"

#include <stdint.h>
#include <string.h>

static size_t left = SIZE_MAX;
static bool refused, counting;
static long held;

void scarce_begin(size_t granted)
{
    left = granted;
    refused = false;
    counting = true;
    held = 0;
}

bool scarce_end(void)
{
    left = SIZE_MAX;
    counting = false;
    return refused;
}

long scarce_held(void)
{
    return held;
}

static bool grant(void)
{
    if (left == SIZE_MAX)
        return true;
    if (left == 0) {
        refused = true;
        return false;
    }
    left--;
    return true;
}

static void *count(void *made)
{
    if (counting && made)
        held++;
    return made;
}

/* The names that the linker's --wrap option gives to the callers' functions and to the true ones.
 */
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t number, size_t size);
void *__wrap_realloc(void *old, size_t size);
char *__wrap_strdup(const char *text);
void __wrap_free(void *old);
void *__real_malloc(size_t size);
void *__real_calloc(size_t number, size_t size);
void *__real_realloc(void *old, size_t size);
char *__real_strdup(const char *text);
void __real_free(void *old);

void *__wrap_malloc(size_t size)
{
    return grant() ? count(__real_malloc(size)) : NULL;
}

void *__wrap_calloc(size_t number, size_t size)
{
    return grant() ? count(__real_calloc(number, size)) : NULL;
}

void *__wrap_realloc(void *old, size_t size)
{
    void *made = grant() ? __real_realloc(old, size) : NULL;

    return old ? made : count(made);
}

char *__wrap_strdup(const char *text)
{
    return grant() ? count(__real_strdup(text)) : NULL;
}

void __wrap_free(void *old)
{
    if (counting && old)
        held--;
    __real_free(old);
}
