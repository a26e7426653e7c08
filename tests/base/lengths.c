#include "rabbet/base.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <string.h>

/* Source: international yard and pound agreement of 1959 (1 yard = 0.9144 m, so 1 in = 25.4 mm);
 * CSS Values and Units Level 3, section 5.2: 1 pt = 1/72 in. */
Test(lengths, units)
{
    cr_expect(rab_mm_from(36, RAB_UNIT_IN) == 914.4);
    cr_expect(rab_mm_from(1, RAB_UNIT_IN) == 25.4);
    cr_expect(rab_mm_from(14.6, RAB_UNIT_CM) == 146.0);
    cr_expect(rab_mm_from(72, RAB_UNIT_PT) == 25.4);
    cr_expect(rab_mm_from(-7.5, RAB_UNIT_MM) == -7.5);
}

Test(lengths, right_spellings)
{
    static const struct {
        const char *text;
        double mm;
    } cases[] = {
        {"146mm", 146},
        {"146 mm", 146},
        {" 146mm ", 146},
        {"14.6cm", 146},
        {"14.6 cm", 146},
        {"5.75in", 146.05},
        {"5 3/4in", 146.05},
        {"5-3/4in", 146.05},
        /* Unicode 15: U+00BE, U+00BD, U+215B, U+2033, U+201D */
        {"5\u00BEin", 146.05},
        {"5 \u00BE in", 146.05},
        {"5-\u00BE\u2033", 146.05},
        {"\u00BDin", 12.7},
        {"\u215B\u201D", 3.175},
        {"5 3/4 in", 146.05},
        {"5  3/4\tin", 146.05},
        {"5 3/4\"", 146.05},
        {"12\"", 304.8},
        {"1/8in", 3.175},
        {"+1/8in", 3.175},
        {"-1/8in", -3.175},
        {"-5-3/4in", -146.05},
        {"-5 3/4in", -146.05},
        {"9/4in", 57.15},
        {"0 1/2in", 12.7},
        {"0/8in", 0},
        {"-2mm", -2},
        {"+2mm", 2},
        {".5in", 12.7},
        {"2.in", 50.8},
        {"36pt", 12.7},
        {"1e2mm", 100},
        {"0mm", 0},
        {"1000000mm", 1e6},
        {"-1000000mm", -1e6},
        {"1/3in", 25.4 / 3},
        {"7/64in", 2.778125},
    };
    double mm;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct rab_error err = {0};

        mm = -1;
        cr_expect(rab_length_read(cases[i].text, RAB_UNIT_NONE, &mm, &err), "%s", err.text);
        cr_expect(mm == cases[i].mm, "%s: %a, not %a", cases[i].text, mm, cases[i].mm);
    }
}

Test(lengths, a_bare_number_takes_the_usual_unit)
{
    struct rab_error err = {0};
    double mm = 0;

    cr_expect(rab_length_read("2", RAB_UNIT_MM, &mm, &err) && mm == 2);
    cr_expect(rab_length_read("2", RAB_UNIT_IN, &mm, &err) && mm == 50.8);
    cr_expect(rab_length_read("2 1/2", RAB_UNIT_IN, &mm, &err) && mm == 63.5);
    cr_expect(rab_length_read("2cm", RAB_UNIT_IN, &mm, &err) && mm == 20);
    cr_expect(not(rab_length_read("2", RAB_UNIT_NONE, &mm, &err)));
    cr_expect(err.fault == RAB_FAULT_INPUT && strstr(err.text, "no unit"), "%s", err.text);
}

Test(lengths, wrong_spellings)
{
    static const char *const wrong[] = {
        "",
        " ",
        "mm",
        "in",
        "146",
        "146 m m",
        "14,6cm",
        "146mmm",
        "146MM",
        "1 46mm",
        "1.5 1/2in",
        "5 - 3/4in",
        "\u00BD/2in",
        "5\u00BD\u00BDin",
        "5\u00B9in",
        "5- 3/4in",
        "5 -3/4in",
        "5 3 /4in",
        "5 3/ 4in",
        "5 9/4in",
        "5 4/4in",
        "1/0in",
        "/4in",
        "3/in",
        "3/4",
        "3/4mm",
        "1 1/2cm",
        "1//2in",
        "1/2/3in",
        "--2mm",
        "+-2mm",
        "- 2mm",
        "nanmm",
        "infmm",
        "infin",
        "0x10mm",
        "1e999mm",
        "-1e999mm",
        "1e7mm",
        "1000000.1mm",
        "40000in",
        "2px",
        "2m",
        "2'",
        "2''",
        "2mm2mm",
        "2mm x",
        "1234567890/2in",
        "1/1234567890in",
        "2\x01mm",
        "e5mm",
        ".mm",
        "5..mm",
        "2 mm 3",
    };

    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        struct rab_error err = {0};
        double mm = 42;

        cr_expect(not(rab_length_read(wrong[i], RAB_UNIT_NONE, &mm, &err)), "%s", wrong[i]);
        cr_expect(err.fault == RAB_FAULT_INPUT && err.text[0] != '\0' && mm == 42, "%s", wrong[i]);
        /* The message shows what was given, and something that would be right. */
        cr_expect(strchr(wrong[i], '\x01') || strstr(err.text, wrong[i]), "%s", err.text);
        cr_expect(strstr(err.text, "146") || strstr(err.text, "1000000 mm"), "%s", err.text);
    }
}

Test(lengths, sizes)
{
    static const struct {
        const char *text;
        enum rab_unit usual;
        double width, height;
    } right[] = {
        {"5.75x3.75in", RAB_UNIT_NONE, 146.05, 95.25},
        {"146mm x 95mm", RAB_UNIT_NONE, 146, 95},
        {"12 x 12 in", RAB_UNIT_NONE, 304.8, 304.8},
        {"12x12", RAB_UNIT_IN, 304.8, 304.8},
        {"100x50", RAB_UNIT_MM, 100, 50},
        {"10X5cm", RAB_UNIT_NONE, 100, 50},
        {"5 3/4 x 3-3/4in", RAB_UNIT_MM, 146.05, 95.25},
        {"6in\xC3\x97"
         "10cm",
         RAB_UNIT_MM, 152.4, 100},
        {"6\"x4\"", RAB_UNIT_NONE, 152.4, 101.6},
    };
    static const char *const wrong[] = {
        "",           "x",       "12",    "12in",  "12x",         "x12in",   "12xx12in",
        "12x12x12in", "12 12in", "0x4in", "4x0in", "-4x4in",      "4x-4in",  "6x4",
        "6in x 4",    "6inx4ft", "axbmm", "6*4in", "6 1/2 x 4mm", "2e6x4mm", "6x4in x",
        "6x4 in in",  "6\xC3in",
    };

    for (size_t i = 0; i < sizeof right / sizeof *right; i++) {
        struct rab_error err = {0};
        double width = 0, height = 0;

        cr_expect(rab_size_read(right[i].text, right[i].usual, &width, &height, &err), "%s",
                  err.text);
        cr_expect(width == right[i].width && height == right[i].height, "%s: %a x %a",
                  right[i].text, width, height);
    }
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        struct rab_error err = {0};
        double width = 42, height = 42;

        cr_expect(not(rab_size_read(wrong[i], RAB_UNIT_NONE, &width, &height, &err)), "%s",
                  wrong[i]);
        cr_expect(err.fault == RAB_FAULT_INPUT && err.text[0] && width == 42 && height == 42, "%s",
                  wrong[i]);
    }
    /* Only the height without a unit: 6 in by 4 mm or by 4 in? Not even with a usual unit. */
    struct rab_error err = {0};
    double width, height;

    cr_expect(not(rab_size_read("6in x 4", RAB_UNIT_MM, &width, &height, &err)));
    cr_expect(strstr(err.text, "height has no unit") != NULL, "%s", err.text);
}

static const char *both(struct rab_text *text, double mm, bool in_first, int denominator)
{
    text->length = 0;
    rab_text_length(text, mm, in_first, denominator);
    return text->data;
}

/* Inches by division: 152.4 = 6 x 25.4; 100 / 25.4 = 3.937..., nearest 16th 63/16 = 3.9375. */
Test(lengths, for_people)
{
    static const struct {
        double mm;
        bool in_first;
        int denominator;
        const char *words;
    } cases[] = {
        {152.4, false, 16, "152.4 mm (6 in)"},
        {152.4, true, 16, "6 in (152.4 mm)"},
        {100, false, 16, "100 mm (\xE2\x89\x88 3 15/16 in)"},
        {100, true, 16, "\xE2\x89\x88 3 15/16 in (100 mm)"},
        {146.05, false, 16, "146.05 mm (5 3/4 in)"},
        {3.175, false, 16, "3.18 mm (1/8 in)"},
        {-3.175, false, 16, "-3.18 mm (-1/8 in)"},
        {0, false, 16, "0 mm (0 in)"},
        {-0.0, true, 16, "0 in (0 mm)"},
        {0.79375, false, 32, "0.79 mm (1/32 in)"},
        {0.79375, false, 16, "0.79 mm (\xE2\x89\x88 1/16 in)"},
        {0.5, false, 16, "0.5 mm (\xE2\x89\x88 0 in)"},
        {-0.001, false, 16, "0 mm (\xE2\x89\x88 0 in)"},
        {-2, false, 16, "-2 mm (\xE2\x89\x88 -1/16 in)"},
        {25.39, false, 16, "25.39 mm (\xE2\x89\x88 1 in)"},
        {25.4004, false, 16, "25.4 mm (1 in)"}, /* within 0.0005 mm */
        {25.4006, false, 16, "25.4 mm (\xE2\x89\x88 1 in)"},
        {304.8, false, 32, "304.8 mm (12 in)"},
        {1e6, false, 16, "1000000 mm (\xE2\x89\x88 39370 1/16 in)"},
    };
    struct rab_text text = {0};

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        cr_expect(strcmp(both(&text, cases[i].mm, cases[i].in_first, cases[i].denominator),
                         cases[i].words) == 0,
                  "%s, not %s", text.data, cases[i].words);
    text.length = 0;
    rab_text_size(&text, 152.4, 101.6, false, 16);
    rab_text_add(&text, "; ");
    rab_text_size(&text, 152.4, 100, true, 16);
    cr_expect(strcmp(text.data, "152.4 x 101.6 mm (6 x 4 in); "
                                "\xE2\x89\x88 6 x 3 15/16 in (152.4 x 100 mm)") == 0,
              "%s", text.data);
    rab_text_clear(&text);
}
