/* Units: what fits where, and what it is called. */
#include "shape/expression.h"

bool type_fits(struct type given, struct type wanted)
{
    if (given.kind == TYPE_ZERO)
        return wanted.kind == TYPE_QUANTITY || wanted.kind == TYPE_ZERO;
    if (given.kind != wanted.kind)
        return false;
    if (given.kind == TYPE_QUANTITY)
        return given.length == wanted.length && given.angle == wanted.angle;
    return given.kind != TYPE_CHOICE || given.choice_slot == wanted.choice_slot;
}

const char *type_words(struct type type)
{
    static const struct {
        int length, angle;
        const char *words;
    } known[] = {
        {0, 0, "a plain number"},
        {1, 0, "a length"},
        {2, 0, "an area"},
        {3, 0, "a volume"},
        {0, 1, "an angle"},
        {-1, 0, "a number by a length"},
        {0, -1, "a number by an angle"},
        {1, 1, "a length times an angle (rad() makes a plain number of an angle)"},
        {1, -1, "a length by an angle"},
    };

    switch (type.kind) {
    case TYPE_TRUTH:
        return "yes or no";
    case TYPE_CHOICE:
        return "a choice";
    case TYPE_WORD:
        return "a word";
    case TYPE_ZERO:
        return "a plain number";
    case TYPE_QUANTITY:
        break;
    }
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (known[i].length == type.length && known[i].angle == type.angle)
            return known[i].words;
    return "a mixture of units";
}
