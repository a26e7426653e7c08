#include "rabbet/write.h"

#include <assert.h>
#include <math.h>

static void start_line(struct rab_json *json)
{
    rab_text_add(json->text, "\n");
    for (int i = 0; i < json->depth; i++)
        rab_text_add(json->text, "  ");
}

/* What stands before every value: the comma, the new line, the key. */
static void start_value(struct rab_json *json, const char *key)
{
    if (json->depth == 0) {
        assert(!key);
        return;
    }
    const int level = json->depth - 1;
    assert((key != NULL) == (json->ends[level] == '}'));
    if (json->filled[level])
        rab_text_add(json->text, ",");
    json->filled[level] = true;
    start_line(json);
    if (key) {
        rab_text_json(json->text, key);
        rab_text_add(json->text, ": ");
    }
}

static void open_value(struct rab_json *json, const char *key, const char *begin, char end)
{
    start_value(json, key);
    rab_text_add(json->text, begin);
    assert(json->depth < RAB_JSON_DEPTH);
    json->ends[json->depth] = end;
    json->filled[json->depth] = false;
    json->depth++;
}

static void add_number(struct rab_json *json, double value, int decimals)
{
    if (!isfinite(value))
        rab_text_add(json->text, "null");
    else if (decimals < 0)
        rab_text_number(json->text, value);
    else
        rab_text_fixed(json->text, value, decimals);
}

void rab_json_object(struct rab_json *json, const char *key)
{
    open_value(json, key, "{", '}');
}

void rab_json_array(struct rab_json *json, const char *key)
{
    open_value(json, key, "[", ']');
}

void rab_json_end(struct rab_json *json)
{
    assert(json->depth > 0);
    json->depth--;
    if (json->filled[json->depth])
        start_line(json);
    rab_text_bytes(json->text, &json->ends[json->depth], 1);
    if (json->depth == 0)
        rab_text_add(json->text, "\n");
}

void rab_json_text(struct rab_json *json, const char *key, const char *words)
{
    start_value(json, key);
    rab_text_json(json->text, words);
}

void rab_json_bool(struct rab_json *json, const char *key, bool value)
{
    start_value(json, key);
    rab_text_add(json->text, value ? "true" : "false");
}

void rab_json_whole(struct rab_json *json, const char *key, long long value)
{
    start_value(json, key);
    rab_text_format(json->text, "%lld", value);
}

void rab_json_number(struct rab_json *json, const char *key, double value, int decimals)
{
    start_value(json, key);
    add_number(json, value, decimals);
}

void rab_json_numbers(struct rab_json *json, const char *key, const double *values, size_t count,
                      int decimals)
{
    start_value(json, key);
    rab_text_add(json->text, "[");
    for (size_t i = 0; i < count; i++) {
        if (i > 0)
            rab_text_add(json->text, ", ");
        add_number(json, values[i], decimals);
    }
    rab_text_add(json->text, "]");
}

void rab_json_wholes(struct rab_json *json, const char *key, const int *values, size_t count)
{
    start_value(json, key);
    rab_text_add(json->text, "[");
    for (size_t i = 0; i < count; i++)
        rab_text_format(json->text, "%s%d", i > 0 ? ", " : "", values[i]);
    rab_text_add(json->text, "]");
}
