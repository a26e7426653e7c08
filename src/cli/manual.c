/* Prints the manual page; the build runs it, from the same tables as --help. */
#include "cli.h"

#include <stdlib.h>

int main(void)
{
    struct rab_text text = {0};
    bool ok;

    help_manual(&text);
    ok = !text.failed && fwrite(text.data, 1, text.length, stdout) == text.length &&
         fflush(stdout) == 0;
    rab_text_clear(&text);
    return ok ? EXIT_SUCCESS : EXIT_FAILURE;
}
