#include "rabbet/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/*
 * Letters of single strokes, drawn for this project. A letter stands on a field 4 wide and 6 high.
 * Strokes are divided by |. Each is a row of points "xy", 0 to 6; a blank after a point is a
 * straight way on, ( and ) are half a turn to the left and to the right, [ and ] a quarter.
 */
static const double field_width = 4, field_step = 5.6, field_height = 6;

/* By character code. */
static const struct letter {
    char letter;
    const char *strokes;
} letters[] = {
    {'(', "36 14 12 30"},
    {')', "16 34 32 10"},
    {'+', "13 33|22 24"},
    {'-', "13 33"},
    {'.', "20 21"},
    {'/', "00 46"},
    {'0', "02 04)44 42)02"},
    {'1', "15 26 20"},
    {'2', "04)44 00 40"},
    {'3', "06 46 24]42]20 00"},
    {'4', "30 36 02 42"},
    {'5', "46 06 04 24]42]20 00"},
    {'6', "36[03 02(42(02"},
    {'7', "06 46 10"},
    {'8', "24)26)24)20)24"},
    {'9', "10[43 44(04(44"},
    {':', "21 22|24 25"},
    {'=', "12 32|14 34"},
    {'A', "00 26 40|12 32"},
    {'B', "00 06 26)23 03|23)20 00"},
    {'C', "44(04 02(42"},
    {'D', "00 06 26]44 42]20 00"},
    {'E', "46 06 00 40|03 33"},
    {'F', "46 06 00|03 33"},
    {'G', "44(04 02(42 43 23"},
    {'H', "00 06|40 46|03 43"},
    {'I', "20 26"},
    {'J', "46 42)02"},
    {'K', "00 06|46 03 40"},
    {'L', "06 00 40"},
    {'M', "00 06 23 46 40"},
    {'N', "00 06 40 46"},
    {'O', "02 04)44 42)02"},
    {'P', "00 06 26)23 03"},
    {'Q', "02 04)44 42)02|31 40"},
    {'R', "00 06 26)23 03|23 40"},
    {'S', "46 26(23)20 00"},
    {'T', "06 46|26 20"},
    {'U', "06 02(42 46"},
    {'V', "06 20 46"},
    {'W', "06 10 24 30 46"},
    {'X', "00 46|06 40"},
    {'Y', "06 23 46|23 20"},
    {'Z', "06 46 00 40"},
};

static const char *strokes_of(char c)
{
    const char wanted = c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c;

    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++)
        if (letters[i].letter == wanted)
            return letters[i].strokes;
    return "";
}

static double bulge_of(char mark)
{
    switch (mark) {
    case '(':
        return 1;
    case ')':
        return -1;
    case '[':
        return tan(RAB_PI / 8);
    case ']':
        return -tan(RAB_PI / 8);
    default:
        return 0;
    }
}

static bool add_outline(struct rab_lines *lines, struct rab_outline *outline, struct rab_error *err)
{
    void *items = lines->items;

    if (!rab_reserve(&items, &lines->capacity, lines->count + 1, sizeof *lines->items, err))
        return false;
    lines->items = items;
    lines->items[lines->count++] = *outline;
    *outline = (struct rab_outline){0};
    return true;
}

/* One letter, its field's lower left corner at x, y. */
static bool add_letter(struct rab_lines *lines, const char *strokes, double x, double y,
                       double scale, struct rab_error *err)
{
    struct rab_outline stroke = {.open = true};

    for (const char *s = strokes; *s; s++) {
        const char mark = s[2];
        if (!rab_outline_add(&stroke, x + (s[0] - '0') * scale, y + (s[1] - '0') * scale,
                             bulge_of(mark), err))
            goto fail;
        s += 2;
        if (mark == '\0' || mark == '|') {
            if (!add_outline(lines, &stroke, err))
                goto fail;
            stroke.open = true;
        }
        if (mark == '\0')
            break;
    }
    return true;
fail:
    rab_outline_clear(&stroke);
    return false;
}

double rab_letters_width(const char *words, double height)
{
    const size_t count = strlen(words);

    return count == 0 ? 0
                      : height / field_height * (field_step * (double)(count - 1) + field_width);
}

bool rab_letters_draw(const char *words, struct rab_point at, double height, struct rab_lines *out,
                      struct rab_error *err)
{
    const double scale = height / field_height;
    struct rab_lines made = {0};

    for (size_t i = 0; words[i]; i++) {
        if (!add_letter(&made, strokes_of(words[i]), at.x + field_step * scale * (double)i, at.y,
                        scale, err)) {
            rab_lines_clear(&made);
            return false;
        }
    }
    *out = made;
    return true;
}

void rab_lines_clear(struct rab_lines *lines)
{
    for (size_t i = 0; i < lines->count; i++)
        rab_outline_clear(&lines->items[i]);
    free(lines->items);
    *lines = (struct rab_lines){0};
}
