/* The JSON writer against RFC 8259, sections 4 to 7; layout is ours. */
#include "rabbet/write.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

Test(write_json, a_report_has_every_kind_of_value)
{
    struct rab_text text = {0};
    struct rab_json json = {.text = &text};

    rab_json_object(&json, NULL);
    rab_json_text(&json, "na\"me", "a\\b\n\xff");
    rab_json_bool(&json, "backed", true);
    rab_json_whole(&json, "number", -12);
    rab_json_number(&json, "area_mm2", 1234.56789, 3);
    rab_json_number(&json, "exact", 0.1, -1);
    rab_json_number(&json, "none", NAN, 3);
    rab_json_numbers(&json, "box_mm", (const double[]){0, -1.5, INFINITY}, 3, 2);
    rab_json_wholes(&json, "openings", (const int[]){1, 4, 7}, 3);
    rab_json_wholes(&json, "nothing", NULL, 0);
    rab_json_array(&json, "pieces");
    rab_json_object(&json, NULL);
    rab_json_bool(&json, "last", false);
    rab_json_end(&json);
    rab_json_array(&json, NULL);
    rab_json_end(&json);
    rab_json_text(&json, NULL, "");
    rab_json_end(&json);
    rab_json_object(&json, "empty");
    rab_json_end(&json);
    rab_json_end(&json);
    cr_assert(not(text.failed));
    cr_expect(strcmp(text.data, "{\n"
                                "  \"na\\\"me\": \"a\\\\b\\n\xef\xbf\xbd\",\n"
                                "  \"backed\": true,\n"
                                "  \"number\": -12,\n"
                                "  \"area_mm2\": 1234.568,\n"
                                "  \"exact\": 0.1,\n"
                                "  \"none\": null,\n"
                                "  \"box_mm\": [0, -1.5, null],\n"
                                "  \"openings\": [1, 4, 7],\n"
                                "  \"nothing\": [],\n"
                                "  \"pieces\": [\n"
                                "    {\n"
                                "      \"last\": false\n"
                                "    },\n"
                                "    [],\n"
                                "    \"\"\n"
                                "  ],\n"
                                "  \"empty\": {}\n"
                                "}\n") == 0);
    rab_text_clear(&text);
}

Test(write_json, an_empty_report_is_one_line)
{
    struct rab_text text = {0};
    struct rab_json json = {.text = &text};

    rab_json_object(&json, NULL);
    rab_json_end(&json);
    cr_expect(strcmp(text.data, "{}\n") == 0);
    rab_text_clear(&text);
}
