#include "rabbet/base.h"

#include "base/utf8.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void rab_text_clear(struct rab_text *text)
{
    free(text->data);
    *text = (struct rab_text){0};
}

/* Room for `count` bytes more and the NUL. */
static bool make_room(struct rab_text *text, size_t count)
{
    void *data = text->data;

    if (text->failed)
        return false;
    if (count < text->capacity - text->length) /* false while both are 0 */
        return true;
    if (count >= (size_t)PTRDIFF_MAX - text->length ||
        !rab_reserve(&data, &text->capacity, text->length + count + 1, 1, NULL)) {
        text->failed = true;
        return false;
    }
    text->data = data;
    return true;
}

void rab_text_bytes(struct rab_text *text, const void *bytes, size_t count)
{
    if (!make_room(text, count))
        return;
    if (count > 0)
        memcpy(text->data + text->length, bytes, count);
    text->length += count;
    text->data[text->length] = '\0';
}

void rab_text_add(struct rab_text *text, const char *words)
{
    rab_text_bytes(text, words, strlen(words));
}

void rab_text_format(struct rab_text *text, const char *format, ...)
{
    va_list arguments;
    int wanted;

    if (!make_room(text, 80))
        return;
    va_start(arguments, format);
    wanted = vsnprintf(text->data + text->length, text->capacity - text->length, format, arguments);
    va_end(arguments);
    if (wanted >= 0 && (size_t)wanted >= text->capacity - text->length &&
        make_room(text, (size_t)wanted)) {
        va_start(arguments, format);
        wanted =
            vsnprintf(text->data + text->length, text->capacity - text->length, format, arguments);
        va_end(arguments);
    }
    if (wanted < 0)
        text->failed = true;
    if (text->failed)
        text->data[text->length] = '\0';
    else
        text->length += (size_t)wanted;
}

/* The Char production of XML 1.0 (fifth edition), section 2.2. */
static bool xml_allows(uint32_t code)
{
    return code == '\t' || code == '\n' || code == '\r' || (code >= 0x20 && code <= 0xD7FF) ||
           (code >= 0xE000 && code <= 0xFFFD) || code >= 0x10000;
}

static const char *xml_escape(uint32_t code)
{
    switch (code) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\'':
        return "&apos;";
    /* Readers turn these into blanks inside an attribute unless they are written so. */
    case '\t':
        return "&#9;";
    case '\n':
        return "&#10;";
    case '\r':
        return "&#13;";
    default:
        return NULL;
    }
}

static const char *json_escape(uint32_t code)
{
    switch (code) {
    case '"':
        return "\\\"";
    case '\\':
        return "\\\\";
    case '\n':
        return "\\n";
    case '\r':
        return "\\r";
    case '\t':
        return "\\t";
    default:
        return NULL;
    }
}

static void add_escaped(struct rab_text *text, const char *words, bool json)
{
    const unsigned char *in = (const unsigned char *)words;
    size_t left = strlen(words);

    while (left > 0 && !text->failed) {
        uint32_t code = 0;
        size_t bytes = utf8_decode(in, left, &code);
        const char *escape = json ? json_escape(code) : xml_escape(code);

        if (bytes == 0 || !xml_allows(code))
            rab_text_add(text, "\xEF\xBF\xBD");
        else if (escape)
            rab_text_add(text, escape);
        else
            rab_text_bytes(text, in, bytes);
        if (bytes == 0)
            bytes = 1;
        in += bytes;
        left -= bytes;
    }
}

void rab_text_xml(struct rab_text *text, const char *words)
{
    add_escaped(text, words, false);
}

void rab_text_json(struct rab_text *text, const char *words)
{
    rab_text_add(text, "\"");
    add_escaped(text, words, true);
    rab_text_add(text, "\"");
}

bool rab_text_ok(const struct rab_text *text, struct rab_error *err)
{
    return !text->failed || rab_fail_memory(err);
}
