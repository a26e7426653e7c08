#include "job/found.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void findings_clear(struct findings *found)
{
    free(found->items);
    *found = (struct findings){0};
}

enum { LONGEST = 512 };

static bool keep(struct findings *found, struct rab_error *err, enum rab_fault fault,
                 const char *code, int line, const char *format, va_list arguments)
    RAB_PRINTF(6, 0);
static bool keep(struct findings *found, struct rab_error *err, enum rab_fault fault,
                 const char *code, int line, const char *format, va_list arguments)
{
    struct rab_warnings one = {0};
    void *items = found->items;
    char words[LONGEST];
    bool ok = false;

    if (vsnprintf(words, sizeof words, format, arguments) < 0)
        words[0] = '\0';
    /* Through a warning, so that control characters and length are looked after in one place. */
    if (!rab_warn(&one, err, code, line, "%s", words) ||
        !rab_reserve(&items, &found->capacity, found->count + 1, sizeof *found->items, err))
        goto done;
    found->items = items;
    found->items[found->count] =
        (struct finding){.fault = fault, .order = found->count, .told = one.items[0]};
    found->count++;
    ok = true;
done:
    rab_warnings_clear(&one);
    return ok;
}

bool found_wrong(struct findings *found, struct rab_error *err, enum rab_fault fault, int line,
                 const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    const bool ok = keep(found, err, fault, "error", line, format, arguments);
    va_end(arguments);
    return ok;
}

bool found_odd(struct findings *found, struct rab_error *err, const char *code, int line,
               const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    const bool ok = keep(found, err, RAB_FAULT_NONE, code, line, format, arguments);
    va_end(arguments);
    return ok;
}

bool found_failure(struct findings *found, struct rab_error *err, const struct rab_error *failure,
                   int line, const char *whose)
{
    if (failure->fault == RAB_FAULT_MEMORY)
        return rab_fail_memory(err);
    return found_wrong(found, err, failure->fault, line, "%s%s%s", whose ? whose : "",
                       whose ? ": " : "", failure->text);
}

bool found_notes(struct findings *found, struct rab_error *err, const struct rab_warnings *notes,
                 int line, const char *whose)
{
    for (size_t i = 0; i < notes->count; i++) {
        if (!found_odd(found, err, notes->items[i].code, line, "%s%s%s", whose ? whose : "",
                       whose ? ": " : "", notes->items[i].text))
            return false;
    }
    return true;
}

static int by_line(const void *a, const void *b)
{
    const struct finding *one = a, *other = b;

    if (one->told.line != other->told.line)
        return one->told.line < other->told.line ? -1 : 1;
    return one->order < other->order ? -1 : one->order > other->order;
}

bool findings_tell(struct findings *found, struct rab_warnings *notes, struct rab_error *err)
{
    bool failed = false;

    if (found->count > 0)
        qsort(found->items, found->count, sizeof *found->items, by_line);
    for (size_t i = 0; i < found->count; i++) {
        const struct finding *finding = &found->items[i];
        const struct rab_warning *told = &finding->told;
        if (finding->fault != RAB_FAULT_NONE && !failed) {
            failed = true;
            rab_fail_line(err, finding->fault, told->line, "%s", told->text);
        } else if (!rab_warn(notes, err, told->code, told->line, "%s", told->text)) {
            return false;
        }
    }
    return !failed;
}

static struct measure take(struct rab_text *text)
{
    struct measure out = {{0}};

    if (!text->failed && text->data && text->length < sizeof out.text)
        memcpy(out.text, text->data, text->length);
    rab_text_clear(text);
    return out;
}

struct measure measure_of(double mm, bool in_first)
{
    struct rab_text text = {0};

    rab_text_length(&text, mm, in_first, 16);
    return take(&text);
}

struct measure measure_of_size(double width, double height, bool in_first)
{
    struct rab_text text = {0};

    rab_text_size(&text, width, height, in_first, 16);
    return take(&text);
}
