/* Shape files from any bytes. Whatever comes: an error with its line and words, or a shape that
 * draws something valid or refuses with words. */
#include "../shape/attempt.h"

#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    /* opened once: it takes longer than most inputs, and nothing changes it */
    static struct rab_library *library;
    struct rab_error err = {0};

    if (!library && !rab_library_open(NULL, 0, &library, NULL, &err)) {
        fprintf(stderr, "%s\n", err.text);
        abort();
    }
    if (attempt_shape(library, (const char *)data, size, &err) == ATTEMPT_WRONG) {
        fprintf(stderr, "%s\n", err.text);
        abort();
    }
    return 0;
}
