/* Numbers, lengths and texts from any bytes. What is read must be what the C library reads, what is
 * written must read back, and escaped text must be well-formed XML. */
#include "rabbet/base.h"

#include <libxml/parser.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void insist(bool truth)
{
    if (!truth)
        abort();
}

static void check_written(double value)
{
    struct rab_text text = {0};
    double back = 0;

    rab_text_number(&text, value);
    insist(rab_number_read(text.data, text.length, &back) == text.length && back == value);
    if (fabs(value) <= 1e15) {
        for (int decimals = 0; decimals <= 15; decimals++) {
            text.length = 0;
            rab_text_fixed(&text, value, decimals);
            insist(rab_number_read(text.data, text.length, &back) == text.length);
            insist(fabs(back - value) <= 0.5001 * pow(10, -decimals) + fabs(value) * 1e-15);
        }
        text.length = 0;
        rab_text_length(&text, value, false, 16);
        rab_text_size(&text, value, 1, true, 32);
    }
    rab_text_clear(&text);
}

static void check_number(const char *words, size_t size)
{
    double value = 0;
    size_t used = rab_number_read(words, size, &value);

    insist(used <= size);
    if (used == 0)
        return;
    char *alone = strndup(words, used), *end;
    insist(alone != NULL);
    double want = strtod(alone, &end); /* the locale is C here */
    insist(*end == '\0' && memcmp(&want, &value, sizeof value) == 0);
    free(alone);
    if (isfinite(value))
        check_written(value);
}

static void check_lengths(const char *words)
{
    for (enum rab_unit unit = RAB_UNIT_NONE; unit <= RAB_UNIT_PT; unit++) {
        struct rab_error err = {0};
        double a = 42, b = 42;

        if (rab_length_read(words, unit, &a, &err))
            insist(fabs(a) <= 1e6);
        else
            insist(a == 42 && err.fault == RAB_FAULT_INPUT && err.text[0]);
        err = (struct rab_error){0};
        a = 42;
        if (rab_size_read(words, unit, &a, &b, &err))
            insist(a > 0 && b > 0 && a <= 1e6 && b <= 1e6);
        else
            insist(a == 42 && b == 42 && err.fault == RAB_FAULT_INPUT && err.text[0]);
    }
}

static void check_texts(const char *words)
{
    struct rab_text text = {0};
    struct rab_error err = {0};

    rab_text_add(&text, "<p a=\"");
    rab_text_xml(&text, words);
    rab_text_add(&text, "\">");
    rab_text_xml(&text, words);
    rab_text_add(&text, "</p>");
    if (text.length < 100000) {
        xmlDoc *doc = xmlReadMemory(text.data, (int)text.length, NULL, "UTF-8",
                                    XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING);
        insist(doc != NULL);
        xmlFreeDoc(doc);
    }
    text.length = 0;
    rab_text_json(&text, words);
    for (size_t i = 0; i < text.length; i++)
        insist((unsigned char)text.data[i] >= 0x20);
    rab_fail(&err, RAB_FAULT_INPUT, "%s", words);
    for (size_t i = 0; err.text[i]; i++)
        insist((unsigned char)err.text[i] >= 0x20 && err.text[i] != 0x7F);
    rab_text_clear(&text);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *words = malloc(size + 1);

    insist(words != NULL);
    if (size > 0)
        memcpy(words, data, size);
    words[size] = '\0';
    check_number(words, size);
    check_lengths(words);
    check_texts(words);
    if (size >= sizeof(double)) {
        double value;

        memcpy(&value, words, sizeof value);
        if (isfinite(value))
            check_written(value);
    }
    free(words);
    return 0;
}
