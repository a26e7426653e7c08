/*
 * Runs a fuzz target without a fuzzer: replay FOLDER...
 *
 * Every file of the folders is given to the target whole, cut short at up to 200 places, and 300
 * times with a few bytes changed (seeded: every run is alike). So the targets are built and used by
 * every compiler, and an input that once failed is kept as a file and never forgotten.
 */
#include "rabbet/base.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* xorshift64 (Marsaglia, Journal of Statistical Software 8/14, 2003) */
static uint64_t next_random(uint64_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

/* A copy in a block of its own size, so that a sanitizer sees every byte too many. */
static void run(const char *bytes, size_t size)
{
    uint8_t *copy = malloc(size ? size : 1);

    if (!copy)
        abort();
    if (size > 0)
        memcpy(copy, bytes, size);
    LLVMFuzzerTestOneInput(copy, size);
    free(copy);
}

static void run_changed(struct rab_text *seed)
{
    static const char pieces[] = "\0\xff<>&\"'/=.,-+eE09 %#();{}\n";
    uint64_t state = 88172645463325252ULL + seed->length;
    char *changed = malloc(seed->length + 1);

    if (!changed)
        abort();
    for (size_t i = 0; i < 200; i++)
        run(seed->data, seed->length * i / 200);
    for (int i = 0; i < 300 && seed->length > 0; i++) {
        memcpy(changed, seed->data, seed->length);
        for (uint64_t k = next_random(&state) % 4 + 1; k > 0; k--)
            changed[next_random(&state) % seed->length] =
                pieces[next_random(&state) % (sizeof pieces - 1)];
        run(changed, seed->length);
    }
    free(changed);
}

static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

static int run_folder(const char *folder)
{
    struct dirent **entries = NULL;
    int count = scandir(folder, &entries, NULL, by_name), files = 0;

    for (int i = 0; i < count; i++) {
        struct rab_text path = {0}, seed = {0};
        struct rab_error err = {0};

        rab_text_format(&path, "%s/%s", folder, entries[i]->d_name);
        if (entries[i]->d_name[0] != '.') {
            if (!rab_text_ok(&path, &err) || !rab_file_read(path.data, 1 << 24, &seed, &err)) {
                fprintf(stderr, "%s\n", err.text);
                exit(1);
            }
            run(seed.data, seed.length);
            run_changed(&seed);
            files++;
        }
        rab_text_clear(&path);
        rab_text_clear(&seed);
        free(entries[i]);
    }
    free(entries);
    return files;
}

int main(int count, char **arguments)
{
    int files = 0;

    for (int i = 1; i < count; i++)
        files += run_folder(arguments[i]);
    printf("%d seeds\n", files);
    return files > 0 ? 0 : 1;
}
