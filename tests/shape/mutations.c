/*
 * A thousand random changes (seeded) of the library's shape files: each is refused with a line and
 * clear words, or is a shape that draws something valid or refuses its values with clear words.
 * More by hand: test-shape-mutations COUNT.
 *
 * Half of the changes are of bytes; half exchange what stands in quotation marks for something that
 * stands so elsewhere in the file or for a number, so that many are shapes still.
 */
#include "attempt.h"
#include "shape/embedded.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static uint64_t state = 88172645463325252ULL;

/* xorshift64 (Marsaglia, Journal of Statistical Software 8/14, 2003) */
static size_t pick(size_t below)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return (size_t)(state % below);
}

static void change_byte(struct rab_text *text)
{
    static const char bytes[] = "<>\"'&;/=-+*^()0123456789.{} \nmindegxyabcz\x80\xC3";
    size_t at = pick(text->length), length = pick(12) + 1;

    switch (pick(3)) {
    case 0:
        text->data[at] = bytes[pick(sizeof bytes - 1)];
        break;
    case 1: /* some bytes less */
        if (length > text->length - at)
            length = text->length - at;
        memmove(text->data + at, text->data + at + length, text->length - at - length + 1);
        text->length -= length;
        break;
    default: /* a piece of the file over another */
        if (at + length < text->length)
            memmove(text->data + pick(text->length - length), text->data + at, length);
        break;
    }
}

/* The value of an attribute: *start after its quotation mark. False when none was hit upon. */
static bool pick_value(const struct rab_text *text, size_t *start, size_t *length)
{
    const char *open = strstr(text->data + pick(text->length), "=\""), *close;

    if (!open)
        return false;
    close = strchr(open + 2, '"');
    *start = (size_t)(open + 2 - text->data);
    *length = close ? (size_t)(close - open - 2) : 0;
    return close != NULL;
}

static void change_value(struct rab_text *text)
{
    static const char *const values[] = {"0",    "1",      "2",    "-1",    "7",       "1000",
                                         "0mm",  "1mm",    "-5mm", "1e9mm", "20mm",    "30deg",
                                         "0deg", "360deg", "yes",  "no",    "1/1000in"};
    struct rab_text made = {0};
    size_t at = 0, length = 0, from = 0, count = 0;

    if (!pick_value(text, &at, &length))
        return;
    rab_text_bytes(&made, text->data, at);
    if (pick(2) == 0 && pick_value(text, &from, &count))
        rab_text_bytes(&made, text->data + from, count);
    else
        rab_text_add(&made, values[pick(sizeof values / sizeof *values)]);
    rab_text_add(&made, text->data + at + length);
    rab_text_clear(text);
    *text = made;
}

static enum attempt try_change(const struct rab_library *library, int number, struct rab_error *err)
{
    const struct embedded_file *file = &embedded_shapes[pick(embedded_shape_count)];
    struct rab_text text = {0};
    enum attempt result;

    rab_text_bytes(&text, file->bytes, file->length);
    for (size_t i = pick(2) + 1; i > 0 && text.length > 0; i--) {
        if (number % 2 == 0)
            change_byte(&text);
        else
            change_value(&text);
    }
    if (!rab_text_ok(&text, err))
        exit(1);
    result = attempt_shape(library, text.data, text.length, err);
    if (result == ATTEMPT_WRONG)
        printf("change %d, of %s: %s\n%s\n", number, file->name, err->text, text.data);
    rab_text_clear(&text);
    return result;
}

int main(int argc, char **argv)
{
    const int changes = argc > 1 ? atoi(argv[1]) : 1000;
    int counts[4] = {0};
    struct rab_library *library = NULL;
    struct rab_error err = {0};

    if (!rab_library_open(NULL, 0, &library, NULL, &err)) {
        printf("%s\n", err.text);
        return 1;
    }
    for (int i = 0; i < changes; i++) {
        err = (struct rab_error){0};
        counts[try_change(library, i, &err)]++;
    }
    rab_library_close(library);
    printf(
        "%d refused with their line, %d shapes that refuse their values, %d that draw, %d wrong\n",
        counts[ATTEMPT_REFUSED], counts[ATTEMPT_REFUSES], counts[ATTEMPT_DRAWN],
        counts[ATTEMPT_WRONG]);
    return counts[ATTEMPT_WRONG] == 0 && counts[ATTEMPT_REFUSED] > changes / 10 &&
                   counts[ATTEMPT_DRAWN] > changes / 10
               ? 0
               : 1;
}
