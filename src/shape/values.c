/* Values for a shape's parameters, read and shown. */
#include "rabbet/shape.h"
#include "shape/nearest.h"
#include "shape/reader.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* A whole text as one number; a fraction when `fraction`. */
static bool read_number(const char *text, size_t length, bool fraction, double *value)
{
    double below = 1;
    size_t used = rab_number_read(text, length, value);

    if (used == 0)
        return false;
    if (fraction && used < length && text[used] == '/') {
        size_t more = rab_number_read(text + used + 1, length - used - 1, &below);
        if (more == 0 || below <= 0)
            return false;
        used += 1 + more;
        *value /= below;
    }
    return used == length && isfinite(*value);
}

static bool read_angle(const char *text, size_t length, double *value)
{
    const bool degrees = length > 3 && memcmp(text + length - 3, "deg", 3) == 0;
    const bool radians = length > 3 && memcmp(text + length - 3, "rad", 3) == 0;

    if (!degrees && !radians)
        return false;
    for (length -= 3; length > 0 && is_blank(text[length - 1]);)
        length--;
    if (!read_number(text, length, false, value))
        return false;
    if (degrees)
        *value = *value * RAB_PI / 180;
    return true;
}

static bool same_word(const char *text, size_t length, const char *word)
{
    return strlen(word) == length && memcmp(text, word, length) == 0;
}

static bool read_choice(const struct rab_parameter *parameter, const char *value, const char *text,
                        size_t length, double *out, struct rab_error *err)
{
    struct nearest nearest = {.wanted = value};
    char advice[256];

    for (size_t i = 0; i < parameter->choice_count; i++) {
        if (same_word(text, length, parameter->choices[i].name)) {
            *out = (double)i;
            return true;
        }
        nearest_look(&nearest, parameter->choices[i].name);
    }
    if (nearest.count == 0)
        for (size_t i = 0; i < parameter->choice_count && i < NEAREST_MOST; i++)
            nearest.names[nearest.count++] = parameter->choices[i].name;
    nearest_words(&nearest, advice, sizeof advice, "");
    return rab_fail(err, RAB_FAULT_INPUT, "%.64s cannot be \"%.40s\"%s", parameter->name, value,
                    advice);
}

static bool read_value(const struct rab_parameter *parameter, const char *value, double *out,
                       struct rab_error *err)
{
    const char *text = value;
    size_t length;
    struct rab_error fault = {0};

    while (is_blank(*text))
        text++;
    length = strlen(text);
    while (length > 0 && is_blank(text[length - 1]))
        length--;
    switch (parameter->kind) {
    case RAB_LENGTH:
        return rab_length_read(value, RAB_UNIT_NONE, out, &fault) ||
               rab_fail(err, RAB_FAULT_INPUT, "%.64s: %s", parameter->name, fault.text);
    case RAB_ANGLE:
        return read_angle(text, length, out) ||
               rab_fail(err, RAB_FAULT_INPUT,
                        "%.64s: \"%.80s\" is not an angle; write it like 30deg or 0.5rad",
                        parameter->name, value);
    case RAB_COUNT:
        return (read_number(text, length, false, out) && floor(*out) == *out) ||
               rab_fail(err, RAB_FAULT_INPUT, "%.64s: \"%.80s\" is not a whole number like 8",
                        parameter->name, value);
    case RAB_RATIO:
        return read_number(text, length, true, out) ||
               rab_fail(err, RAB_FAULT_INPUT,
                        "%.64s: \"%.80s\" is not a plain number; write it like 0.75 or 3/4",
                        parameter->name, value);
    case RAB_CHOICE:
        return read_choice(parameter, value, text, length, out, err);
    case RAB_YES_NO:
        break;
    }
    *out = same_word(text, length, "yes");
    return *out == 1 || same_word(text, length, "no") ||
           rab_fail(err, RAB_FAULT_INPUT, "%.64s: \"%.80s\" is neither yes nor no", parameter->name,
                    value);
}

static bool check_limits(const struct rab_parameter *parameter, const char *typed, double value,
                         struct rab_error *err)
{
    struct rab_text least = {0}, most = {0};
    bool ok = value >= parameter->least && value <= parameter->most;

    if (ok)
        return true;
    rab_text_value(&least, parameter, parameter->least, false);
    rab_text_value(&most, parameter, parameter->most, false);
    if (rab_text_ok(&least, err) && rab_text_ok(&most, err))
        rab_fail(err, RAB_FAULT_INPUT, "%.64s cannot be %.40s; give it from %s to %s",
                 parameter->name, typed, least.data, most.data);
    rab_text_clear(&least);
    rab_text_clear(&most);
    return false;
}

static bool find_parameter(const struct rab_shape *shape, const char *name, size_t *index,
                           struct rab_error *err)
{
    struct nearest nearest = {.wanted = name};
    char advice[256];

    for (size_t i = 0; i < shape->parameter_count; i++) {
        if (strcmp(shape->parameters[i].name, name) == 0) {
            *index = i;
            return true;
        }
        nearest_look(&nearest, shape->parameters[i].name);
    }
    if (nearest.count == 0)
        for (size_t i = 0; i < shape->parameter_count && shape->parameter_count <= NEAREST_MOST;
             i++)
            nearest.names[nearest.count++] = shape->parameters[i].name;
    nearest_words(&nearest, advice, sizeof advice, "");
    if (nearest.count == 0 && shape->parameter_count > 0)
        snprintf(advice, sizeof advice, "; 'rabbet shapes %.64s' lists those it has", shape->name);
    return rab_fail(err, RAB_FAULT_INPUT, "%.64s has no parameter \"%.64s\"%s", shape->name, name,
                    advice);
}

bool rab_shape_values(const struct rab_shape *shape, const struct rab_setting *settings,
                      size_t count, double *values, struct rab_error *err)
{
    double made[SHAPE_PARAMETERS];
    bool set[SHAPE_PARAMETERS] = {false};

    for (size_t i = 0; i < shape->parameter_count; i++)
        made[i] = shape->parameters[i].usual;
    for (size_t i = 0; i < count; i++) {
        size_t at = 0;
        if (!find_parameter(shape, settings[i].name, &at, err))
            return false;
        if (set[at])
            return rab_fail(err, RAB_FAULT_INPUT, "%.64s is given twice; give it once",
                            settings[i].name);
        set[at] = true;
        if (!read_value(&shape->parameters[at], settings[i].value, &made[at], err) ||
            !check_limits(&shape->parameters[at], settings[i].value, made[at], err))
            return false;
    }
    for (size_t i = 0; i < shape->parameter_count; i++)
        values[i] = made[i];
    return true;
}

void rab_text_value(struct rab_text *text, const struct rab_parameter *parameter, double value,
                    bool in_first)
{
    enum { SIXTEENTHS = 16, PLACES = 4 };
    size_t choice;

    switch (parameter->kind) {
    case RAB_LENGTH:
        rab_text_length(text, value, in_first, SIXTEENTHS);
        break;
    case RAB_ANGLE:
        rab_text_fixed(text, value * 180 / RAB_PI, PLACES);
        rab_text_add(text, " deg");
        break;
    case RAB_COUNT:
    case RAB_RATIO:
        rab_text_fixed(text, value, PLACES);
        break;
    case RAB_CHOICE:
        choice = value > 0 ? (size_t)value : 0;
        if (choice < parameter->choice_count)
            rab_text_add(text, parameter->choices[choice].name);
        break;
    case RAB_YES_NO:
        rab_text_add(text, value != 0 ? "yes" : "no");
        break;
    }
}
