/* Expressions from any text: an error with its line and words, or one that has a finite value or
 * says why not, alike each time. */
#include "shape/expression.h"
#include "rabbet/shape.h"
#include "base/arena.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void insist(bool truth)
{
    if (!truth)
        abort();
}

static void check_error(const struct rab_error *err, enum rab_fault fault)
{
    insist(err->fault == fault && err->line == 3 && err->text[0] != '\0');
    for (const char *c = err->text; *c; c++)
        insist((unsigned char)*c >= 0x20 && *c != 0x7F);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const struct rab_choice choices[] = {{"cove", "C"}, {"round", "R"}};
    const struct rab_parameter parameters[] = {
        {.kind = RAB_LENGTH}, {.kind = RAB_COUNT},
        {.kind = RAB_ANGLE},  {.kind = RAB_CHOICE, .choices = choices, .choice_count = 2},
        {.kind = RAB_YES_NO},
    };
    struct scope_name names[] = {
        {"width", TYPE_LENGTH, 0},
        {"n", TYPE_NUMBER, 1},
        {"lean", TYPE_ANGLE, 2},
        {"corner", {TYPE_CHOICE, 0, 0, 3}, 3},
        {"lined", {TYPE_TRUTH, 0, 0, 0}, 4},
    };
    const struct scope scope = {names, 5, 5, parameters};
    const double slots[] = {30, 5, 0.5, 1, 1};
    struct rab_error err = {0};
    struct arena *arena = arena_new(&err);
    char *text = calloc(size + 1, 1);
    struct expression expression;
    struct type type;

    insist(arena && text);
    if (size > 0)
        memcpy(text, data, size);
    if (expression_read(text, 3, &scope, arena, &expression, &type, &err)) {
        double value = -1, again = -2;
        insist(type_words(type)[0] != '\0');
        if (expression_value(&expression, 3, slots, &value, &err)) {
            insist(isfinite(value));
            insist(type.kind != TYPE_TRUTH || value == 0 || value == 1);
            insist(type.kind != TYPE_ZERO || value == 0);
            insist(expression_value(&expression, 3, slots, &again, &err) && again == value);
        } else {
            check_error(&err, RAB_FAULT_GEOMETRY);
        }
    } else {
        check_error(&err, RAB_FAULT_INPUT);
    }
    free(text);
    arena_free(arena);
    return 0;
}
