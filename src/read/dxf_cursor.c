#include "read/dxf_cursor.h"

#include "read/decode.h"

#include <math.h>
#include <string.h>

/* One line, its end (LF, CR LF or CR alone) taken but not in it. */
static bool take_line(struct dxf_cursor *cursor, struct slice *out)
{
    const char *start = cursor->at, *at = start;

    if (at == cursor->end)
        return false;
    while (at < cursor->end && *at != '\n' && *at != '\r')
        at++;
    *out = (struct slice){start, (size_t)(at - start)};
    if (at < cursor->end && *at++ == '\r' && at < cursor->end && *at == '\n')
        at++;
    cursor->at = at;
    cursor->line++;
    return true;
}

static bool is_blank_line(struct slice line)
{
    return slice_trim(line).length == 0;
}

static bool read_code(struct slice text, int *code)
{
    bool minus = false;
    int value = 0;

    text = slice_trim(text);
    if (text.length > 0 && *text.text == '-') {
        minus = true;
        text.text++;
        text.length--;
    }
    if (text.length == 0 || text.length > 4)
        return false;
    for (size_t i = 0; i < text.length; i++) {
        if (text.text[i] < '0' || text.text[i] > '9')
            return false;
        value = value * 10 + (text.text[i] - '0');
    }
    *code = minus ? -value : value;
    return true;
}

bool cursor_next(struct dxf_cursor *cursor, struct dxf_tag *tag, bool *more, struct rab_error *err)
{
    struct slice code, value;

    do {
        *more = take_line(cursor, &code);
        if (!*more)
            return true;
    } while (is_blank_line(code) && cursor->at == cursor->end);
    if (!read_code(code, &tag->code)) {
        const struct quote shown = quote_text(code.text, code.length);
        return rab_fail_line(err, RAB_FAULT_INPUT, cursor->line - 1,
                             "\"%s\" stands where a DXF has a group code, a whole number; the file "
                             "is damaged or no text DXF",
                             shown.text);
    }
    if (!take_line(cursor, &value))
        return rab_fail_line(err, RAB_FAULT_INPUT, cursor->line - 1,
                             "the file ends after a group code; it is not whole");
    tag->line = cursor->line - 1;
    tag->value = slice_trim(value);
    return true;
}

bool tag_is(const struct dxf_tag *tag, int code, const char *word)
{
    return tag->code == code && tag->value.length == strlen(word) &&
           memcmp(tag->value.text, word, tag->value.length) == 0;
}

bool tag_number(const struct dxf_tag *tag, double *value, struct rab_error *err)
{
    const size_t used = rab_number_read(tag->value.text, tag->value.length, value);

    if (used == 0 || used != tag->value.length) {
        const struct quote shown = quote_text(tag->value.text, tag->value.length);
        return rab_fail_line(err, RAB_FAULT_INPUT, tag->line,
                             "\"%s\" is no number; a DXF writes 12.5 with a point", shown.text);
    }
    if (!(fabs(*value) <= NUMBER_LIMIT))
        return rab_fail_line(err, RAB_FAULT_INPUT, tag->line,
                             "a number is beyond all measure; check the drawing");
    return true;
}

bool dxf_looks_like(const char *bytes, size_t length)
{
    struct dxf_cursor cursor = {bytes, bytes + length, 1};
    struct dxf_tag tag;
    bool more;

    if (length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0)
        cursor.at += 3;
    do {
        if (!cursor_next(&cursor, &tag, &more, NULL) || !more)
            return false;
    } while (tag.code == 999); /* a comment */
    return tag_is(&tag, 0, "SECTION");
}
