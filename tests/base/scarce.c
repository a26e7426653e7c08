#include "scarce.h"

#include <stdint.h>
#include <string.h>

static size_t left = SIZE_MAX;
static bool refused;

void scarce_begin(size_t granted)
{
    left = granted;
    refused = false;
}

bool scarce_end(void)
{
    left = SIZE_MAX;
    return refused;
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

/* The names that the linker's --wrap option gives to the callers' functions and to the true ones.
 */
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);
char *__wrap_strdup(const char *text);
void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
char *__real_strdup(const char *text);

void *__wrap_malloc(size_t size)
{
    return grant() ? __real_malloc(size) : NULL;
}

void *__wrap_calloc(size_t count, size_t size)
{
    return grant() ? __real_calloc(count, size) : NULL;
}

void *__wrap_realloc(void *old, size_t size)
{
    return grant() ? __real_realloc(old, size) : NULL;
}

char *__wrap_strdup(const char *text)
{
    return grant() ? __real_strdup(text) : NULL;
}
