#include "plan/lines.h"

#include <stdlib.h>

bool line_list_add(struct line_list *list, const struct line *like, struct rab_outline *outline,
                   struct rab_error *err)
{
    void *items = list->items;

    if (!rab_reserve(&items, &list->capacity, list->count + 1, sizeof *list->items, err))
        return false;
    list->items = items;
    list->items[list->count] = *like;
    list->items[list->count++].outline = *outline;
    *outline = (struct rab_outline){0};
    return true;
}

bool line_list_keep(struct line_list *list, const struct line *line, struct rab_error *err)
{
    struct rab_outline copy = {0};

    if (rab_outline_copy(&line->outline, &copy, err) && line_list_add(list, line, &copy, err))
        return true;
    rab_outline_clear(&copy);
    return false;
}

void line_list_clear(struct line_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        rab_outline_clear(&list->items[i].outline);
    free(list->items);
    *list = (struct line_list){0};
}
