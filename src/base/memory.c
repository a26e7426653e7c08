#include "rabbet/base.h"

#include <stdlib.h>

bool rab_reserve(void **items, size_t *capacity, size_t want, size_t size, struct rab_error *err)
{
    size_t grown;
    void *more;

    if (want <= *capacity)
        return true;
    grown = *capacity + *capacity / 2;
    if (grown < want)
        grown = want;
    if (grown < 8)
        grown = 8;
    /* PTRDIFF_MAX, because differences of pointers into a larger object are not defined. */
    if (grown > (size_t)PTRDIFF_MAX / size)
        grown = want;
    if (grown > (size_t)PTRDIFF_MAX / size)
        return rab_fail_memory(err);
    more = realloc(*items, grown * size);
    if (!more)
        return rab_fail_memory(err);
    *items = more;
    *capacity = grown;
    return true;
}
