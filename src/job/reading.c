/* Faults gathered, names, and what stands in the file. */
#include "job/reading.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- faults ---- */

bool reading_fault(struct reading *reading, int line, const char *format, ...)
{
    char words[400];
    va_list arguments;

    if (reading->faults.count == FAULTS_TOLD) {
        reading->untold++;
        return true;
    }
    va_start(arguments, format);
    vsnprintf(words, sizeof words, format, arguments);
    va_end(arguments);
    return rab_warn(&reading->faults, reading->err, "error", line, "%s", words);
}

/* By line; what is told of one line stays in its order. */
static void sort_faults(struct rab_warnings *faults)
{
    for (size_t i = 1; i < faults->count; i++) {
        const struct rab_warning moved = faults->items[i];
        size_t at = i;
        for (; at > 0 && faults->items[at - 1].line > moved.line; at--)
            faults->items[at] = faults->items[at - 1];
        faults->items[at] = moved;
    }
}

bool reading_tell(struct reading *reading, struct rab_warnings *notes, struct rab_error *err)
{
    struct rab_warnings *faults = &reading->faults;
    const size_t told = notes ? notes->count : 0;

    if (faults->count == 0)
        return true;
    sort_faults(faults);
    if (reading->untold > 0) {
        struct rab_warning *last = &faults->items[faults->count - 1];
        snprintf(last->text, sizeof last->text,
                 "and %zu more errors; mend those above, then check the job again",
                 reading->untold + 1);
    }
    for (size_t i = 1; i < faults->count; i++) {
        if (!rab_warn(notes, err, "error", faults->items[i].line, "%s", faults->items[i].text)) {
            if (notes)
                notes->count = told;
            return false;
        }
    }
    return rab_fail_line(err, RAB_FAULT_INPUT, faults->items[0].line, "%s", faults->items[0].text);
}

/* ---- names ---- */

bool reading_names_add(struct reading_names *names, const char *name, size_t number, int line,
                       struct rab_error *err)
{
    void *items = names->items;

    if (!rab_reserve(&items, &names->capacity, names->count + 1, sizeof *names->items, err))
        return false;
    names->items = items;
    names->items[names->count++] = (struct reading_name){name, number, line};
    return true;
}

/* Of those that are alike the first in the file comes first. */
static int compare_names(const void *a, const void *b)
{
    const struct reading_name *first = a, *second = b;
    const int order = strcmp(first->name, second->name);

    if (order != 0)
        return order;
    return first->line != second->line
               ? first->line - second->line
               : (first->number > second->number) - (first->number < second->number);
}

void reading_names_sort(struct reading_names *names)
{
    if (names->count > 0)
        qsort(names->items, names->count, sizeof *names->items, compare_names);
}

/* Sorted names that something has twice. */
bool reading_names_once(struct reading *reading, const struct reading_names *names,
                        const char *what)
{
    for (size_t i = 1; i < names->count; i++) {
        const struct reading_name *name = &names->items[i], *before = name - 1;
        if (strcmp(name->name, before->name) == 0 &&
            !reading_fault(reading, name->line,
                           "the name \"%.64s\" is given twice (line %d has it); give each %s its "
                           "own",
                           name->name, before->line, what))
            return false;
    }
    return true;
}

/* ---- elements ---- */

const struct markup_element *reading_element(const struct reading *reading, uint32_t index)
{
    return &reading->markup.elements[index];
}

const struct markup_attribute *reading_given(const struct reading *reading, uint32_t index,
                                             const char *name)
{
    const struct markup_element *element = reading_element(reading, index);

    for (uint32_t i = 0; i < element->attribute_count; i++) {
        const struct markup_attribute *one = &reading->markup.attributes[element->attributes + i];
        if (strcmp(one->name, name) == 0)
            return one;
    }
    return NULL;
}
