#include "frame/words.h"

/* Room for the list in a message of 240 bytes. */
enum { LIST_LENGTH = 72 };

void add_openings(struct rab_text *text, const int *numbers, size_t count)
{
    const size_t start = text->length;

    rab_text_add(text, count == 1 ? "opening " : "openings ");
    for (size_t i = 0; i < count;) {
        size_t end = i + 1;

        while (end < count && numbers[end] == numbers[end - 1] + 1)
            end++;
        if (end - i == 2)
            end = i + 1; /* two neighbours are not worth a dash */
        if (i > 0 && text->length - start > LIST_LENGTH) {
            rab_text_format(text, " and %zu more", count - i);
            return;
        }
        if (i > 0)
            rab_text_add(text, end == count ? " and " : ", ");
        if (end - i > 1)
            rab_text_format(text, "%d-%d", numbers[i], numbers[end - 1]);
        else
            rab_text_format(text, "%d", numbers[i]);
        i = end;
    }
}
