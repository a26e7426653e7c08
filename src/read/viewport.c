#include "read/viewport.h"

#include "read/decode.h"

#include <math.h>
#include <string.h>

bool view_box_read(const char *text, int line, struct view_box *out, struct rab_error *err)
{
    struct slice from;
    double n[4];

    *out = (struct view_box){0};
    if (!text)
        return true;
    from = slice_trim(slice_of(text));
    for (int i = 0; i < 4; i++) {
        if (!take_number(&from, &n[i]) || !(fabs(n[i]) <= NUMBER_LIMIT))
            return rab_fail_line(err, RAB_FAULT_INPUT, line,
                                 "viewBox=\"%s\" is wrong; it wants four numbers up to 1e12: x y "
                                 "width height",
                                 quote_text(text, strlen(text)).text);
        skip_comma(&from);
    }
    if (from.length > 0 || n[2] <= 0 || n[3] <= 0)
        return rab_fail_line(err, RAB_FAULT_INPUT, line,
                             "viewBox=\"%s\" is wrong; it wants four numbers, width and height "
                             "more than 0",
                             quote_text(text, strlen(text)).text);
    *out = (struct view_box){n[0], n[1], n[2], n[3]};
    return true;
}

/* One word from the front. */
static struct slice take_word(struct slice *from)
{
    struct slice word;

    skip_blanks(from);
    word = *from;
    word.length = 0;
    while (from->length > 0 && !strchr(" \t\n\r\f", *from->text)) {
        word.length++;
        from->text++;
        from->length--;
    }
    return word;
}

/* "Min", "Mid", "Max": how much of the room left over lies before. */
static bool part_of(const char *word, double *part)
{
    if (memcmp(word, "Min", 3) == 0)
        *part = 0;
    else if (memcmp(word, "Mid", 3) == 0)
        *part = 0.5;
    else if (memcmp(word, "Max", 3) == 0)
        *part = 1;
    else
        return false;
    return true;
}

struct aspect {
    bool stretch, slice;
    double x, y;
};

static bool read_aspect(const char *text, struct aspect *out)
{
    struct slice from = slice_of(text), word = take_word(&from);

    *out = (struct aspect){.x = 0.5, .y = 0.5};
    if (word.length == 5 && memcmp(word.text, "defer", 5) == 0)
        word = take_word(&from);
    if (word.length == 4 && memcmp(word.text, "none", 4) == 0)
        out->stretch = true;
    else if (word.length != 8 || word.text[0] != 'x' || word.text[4] != 'Y' ||
             !part_of(word.text + 1, &out->x) || !part_of(word.text + 5, &out->y))
        return false;
    word = take_word(&from);
    out->slice = word.length == 5 && memcmp(word.text, "slice", 5) == 0;
    if (word.length > 0 && !out->slice && !(word.length == 4 && memcmp(word.text, "meet", 4) == 0))
        return false;
    return take_word(&from).length == 0;
}

bool viewport_fit(const struct view_box *box, double width, double height, const char *aspect,
                  int line, struct matrix *out, struct rab_error *err)
{
    double sx = width / box->width, sy = height / box->height;
    struct aspect how = {.x = 0.5, .y = 0.5};

    if (aspect && !read_aspect(aspect, &how))
        return rab_fail_line(err, RAB_FAULT_INPUT, line,
                             "preserveAspectRatio=\"%s\" is not understood; it wants none, or "
                             "xMidYMid (Min, Mid, Max) with meet or slice",
                             quote_text(aspect, strlen(aspect)).text);
    if (!how.stretch)
        sx = sy = how.slice ? fmax(sx, sy) : fmin(sx, sy);
    *out = (struct matrix){sx,
                           0,
                           0,
                           sy,
                           how.x * (width - box->width * sx) - box->x * sx,
                           how.y * (height - box->height * sy) - box->y * sy};
    return true;
}
