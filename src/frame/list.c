#include "frame/list.h"

#include <stdlib.h>

bool list_take(struct list *list, struct rab_outline *outline, struct rab_error *err)
{
    if (list->count == list->capacity) {
        void *items = list->items;

        if (!rab_reserve(&items, &list->capacity, list->count + 1, sizeof *list->items, err))
            return false;
        list->items = items;
    }
    list->items[list->count++] = *outline;
    *outline = (struct rab_outline){0};
    return true;
}

bool list_copy(struct list *list, const struct rab_outline *outline, bool reversed,
               struct rab_error *err)
{
    struct rab_outline copy = {0};

    if (!rab_outline_copy(outline, &copy, err))
        return false;
    if (reversed)
        rab_outline_reverse(&copy);
    const bool ok = list_take(list, &copy, err);
    rab_outline_clear(&copy);
    return ok;
}

void list_empty(struct list *list)
{
    for (size_t i = 0; i < list->count; i++)
        rab_outline_clear(&list->items[i]);
    list->count = 0;
}

void list_clear(struct list *list)
{
    list_empty(list);
    free(list->items);
    *list = (struct list){0};
}
