#include "rabbet/base.h"

#include "base/utf8.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Control characters could move a terminal's cursor or break the line; direction marks could make
 * a message read as another one. */
static bool disturbs(uint32_t code)
{
    return code < 0x20 || (code >= 0x7F && code < 0xA0) || code == 0x200E || code == 0x200F ||
           (code >= 0x2028 && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069);
}

/* Writes words to text as one clean line of UTF-8; `cut` says that words are only a beginning. */
static void clean_line(const char *words, bool cut, char *text, size_t size)
{
    static const char more[] = "...";
    const unsigned char *in = (const unsigned char *)words;
    size_t left = strlen(words), out = 0;
    size_t whole = 0; /* where the mark of a cut text can stand */

    while (left > 0) {
        uint32_t code = 0;
        size_t bytes = utf8_decode(in, left, &code);
        bool keep = bytes > 0 && !disturbs(code);
        size_t written = keep ? bytes : 1;

        if (bytes == 0)
            bytes = 1;
        if (out + written + 1 > size) {
            cut = true;
            break;
        }
        if (keep)
            memcpy(text + out, in, written);
        else
            text[out] = '?';
        out += written;
        if (out + sizeof more <= size)
            whole = out;
        in += bytes;
        left -= bytes;
    }
    if (cut) {
        memcpy(text + whole, more, sizeof more);
        return;
    }
    text[out] = '\0';
}

static void format_line(char *text, size_t size, const char *format, va_list arguments)
    RAB_PRINTF(3, 0);
static void format_line(char *text, size_t size, const char *format, va_list arguments)
{
    char words[512];
    int wanted = vsnprintf(words, sizeof words, format, arguments);

    if (wanted < 0)
        words[0] = '\0';
    clean_line(words, wanted >= (int)sizeof words, text, size);
}

static bool fail(struct rab_error *err, enum rab_fault fault, int line, const char *format,
                 va_list arguments) RAB_PRINTF(4, 0);
static bool fail(struct rab_error *err, enum rab_fault fault, int line, const char *format,
                 va_list arguments)
{
    if (err && err->fault == RAB_FAULT_NONE) {
        err->fault = fault;
        err->line = line;
        format_line(err->text, sizeof err->text, format, arguments);
    }
    return false;
}

bool rab_fail(struct rab_error *err, enum rab_fault fault, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    fail(err, fault, 0, format, arguments);
    va_end(arguments);
    return false;
}

bool rab_fail_line(struct rab_error *err, enum rab_fault fault, int line, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    fail(err, fault, line, format, arguments);
    va_end(arguments);
    return false;
}

bool rab_fail_memory(struct rab_error *err)
{
    return rab_fail(err, RAB_FAULT_MEMORY,
                    "memory is out; close other programs or use a simpler drawing");
}

bool rab_warn(struct rab_warnings *notes, struct rab_error *err, const char *code, int line,
              const char *format, ...)
{
    va_list arguments;
    struct rab_warning *warning;
    void *items;

    if (!notes)
        return true;
    items = notes->items;
    if (!rab_reserve(&items, &notes->capacity, notes->count + 1, sizeof *notes->items, err))
        return false;
    notes->items = items;
    warning = &notes->items[notes->count++];
    warning->code = code;
    warning->line = line;
    va_start(arguments, format);
    format_line(warning->text, sizeof warning->text, format, arguments);
    va_end(arguments);
    return true;
}

void rab_warnings_clear(struct rab_warnings *notes)
{
    free(notes->items);
    *notes = (struct rab_warnings){0};
}
