#include "job/resolve.h"

#include <stdlib.h>
#include <string.h>

bool shape_has(const struct rab_shape *shape, const char *parameter)
{
    for (size_t i = 0; i < shape->parameter_count; i++) {
        if (strcmp(shape->parameters[i].name, parameter) == 0)
            return true;
    }
    return false;
}

bool resolve_values(const struct rab_shape *shape, const struct rab_choices_made *set,
                    const struct chosen_length *lengths, size_t length_count, double **values,
                    struct rab_error *err)
{
    struct rab_text typed[RESOLVE_MOST_LENGTHS] = {{0}};
    struct rab_setting *settings = calloc(set->count + length_count + 1, sizeof *settings);
    double *made = calloc(shape->parameter_count + 1, sizeof *made);
    size_t count = 0;
    bool ok = settings && made;

    if (!ok)
        rab_fail_memory(err);

    for (size_t i = 0; i < length_count && ok; i++) {
        rab_text_number(&typed[i], lengths[i].mm);
        rab_text_add(&typed[i], "mm");
        ok = rab_text_ok(&typed[i], err);
        settings[count++] = (struct rab_setting){lengths[i].name, typed[i].data};
    }
    for (size_t i = 0; i < set->count && ok; i++)
        settings[count++] = (struct rab_setting){set->items[i].name, set->items[i].value};
    ok = ok && rab_shape_values(shape, settings, count, made, err);
    if (ok) {
        *values = made;
        made = NULL;
    }
    for (size_t i = 0; i < length_count; i++)
        rab_text_clear(&typed[i]);
    free(settings);
    free(made);
    return ok;
}
