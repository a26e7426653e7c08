/* With a decimal comma set, nothing that is read or written may change. The build makes the
 * locale de_DE.UTF-8 (its source is Debian's package locales) and points LOCPATH at it. */
#include "rabbet/base.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Much of what base writes, as one text. */
static void write_samples(struct rab_text *text)
{
    static const double values[] = {0.5, -1234567.891, 1.0 / 3, 1e-7, 6.02214076e23, 1e15, 304.8};
    struct rab_text bytes = {0};
    struct rab_error err = {0};

    for (size_t i = 0; i < sizeof values / sizeof *values; i++) {
        rab_text_number(text, values[i]);
        rab_text_add(text, " ");
        if (values[i] <= 1e15)
            rab_text_fixed(text, values[i], 4);
        rab_text_add(text, "\n");
    }
    rab_text_length(text, 100.25, false, 16);
    rab_text_size(text, 100.25, 152.4, true, 32);
    rab_file_read("/nowhere/loop\n", 10, &bytes, &err);
    rab_text_add(text, err.text);
    err = (struct rab_error){0};
    rab_length_read("1,5", RAB_UNIT_MM, (double[]){0}, &err);
    rab_text_add(text, err.text);
}

Test(locale, a_decimal_comma_changes_nothing)
{
    struct rab_text plain = {0}, comma = {0};
    struct rab_error err = {0};
    char words[32];
    double value = 0;

    write_samples(&plain);
    cr_assert(ne(ptr, setlocale(LC_ALL, "de_DE.UTF-8"), NULL),
              "the locale de_DE.UTF-8 is missing; build it with localedef (package locales)");
    snprintf(words, sizeof words, "%.1f", 0.5);
    cr_assert(strcmp(words, "0,5") == 0); /* the comma is really in force */
    write_samples(&comma);
    cr_expect(strcmp(comma.data, plain.data) == 0, "%s\nis not\n%s", comma.data, plain.data);
    cr_expect(rab_number_read("1234.5678901234567890123", 24, &value) == 24);
    cr_expect(value == 1234.5678901234567890123);
    cr_expect(rab_number_read("2.5e-3", 6, &value) == 6 && value == 2.5e-3);
    cr_expect(rab_number_read("1,5", 3, &value) == 1 && value == 1);
    cr_expect(rab_length_read("5.75in", RAB_UNIT_NONE, &value, &err) && value == 146.05);
    cr_expect(not(rab_length_read("5,75in", RAB_UNIT_NONE, &value, &err)));
    cr_expect(strcmp(setlocale(LC_NUMERIC, NULL), "de_DE.UTF-8") == 0); /* and was left alone */
    rab_text_clear(&plain);
    rab_text_clear(&comma);
}
