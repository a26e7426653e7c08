/*
 * Part of the build: writes the library's files as a C source.
 *
 *     embed OUT.c shapes/shape.rng shapes/FAMILY/NAME.xml...
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_FILES = 10000, LONGEST_NAME = 64 };

struct part {
    const char *start;
    int length;
};

static void fail(const char *path, const char *words)
{
    fprintf(stderr, "%s: %s\n", path, words);
    exit(1);
}

/* The file's name without its ending, and the folder that it is in. */
static void divide(const char *path, struct part *family, struct part *name)
{
    const char *slash = strrchr(path, '/'), *dot = strrchr(path, '.'), *start;

    if (!slash || !dot || dot < slash || slash == path)
        fail(path, "is not FAMILY/NAME.xml");
    *name = (struct part){slash + 1, (int)(dot - slash - 1)};
    for (start = slash; start > path && start[-1] != '/';)
        start--;
    *family = (struct part){start, (int)(slash - start)};
    if (name->length < 1 || name->length > LONGEST_NAME || family->length < 1 ||
        family->length > LONGEST_NAME)
        fail(path, "has a name that is too short or too long");
}

/* One name stands for one shape, in whatever family. */
static void check_twice(char **paths, int count)
{
    for (int i = 1; i < count; i++) {
        struct part family, name, other;
        divide(paths[i], &family, &name);
        for (int k = 0; k < i; k++) {
            divide(paths[k], &family, &other);
            if (name.length == other.length &&
                memcmp(name.start, other.start, (size_t)name.length) == 0)
                fail(paths[i], "has the name of another shape");
        }
    }
}

static void write_bytes(FILE *out, const char *path, long number, size_t *length)
{
    FILE *in = fopen(path, "rb");
    int byte;

    if (!in)
        fail(path, "cannot be read");
    fprintf(out, "static const unsigned char bytes_%ld[] = {", number);
    *length = 0;
    while ((byte = fgetc(in)) != EOF)
        fprintf(out, "%s%d,", (*length)++ % 20 == 0 ? "\n" : "", byte);
    fprintf(out, "0};\n");
    if (ferror(in))
        fail(path, "cannot be read");
    fclose(in);
}

static void write_entry(FILE *out, const char *path, long number, size_t length)
{
    struct part family, name;

    divide(path, &family, &name);
    fprintf(out, "{\"%.*s\", \"%.*s\", bytes_%ld, %zu}", family.length, family.start, name.length,
            name.start, number, length);
}

int main(int count, char **arguments)
{
    size_t *lengths;
    FILE *out;

    if (count < 3 || count > MOST_FILES)
        fail("embed", "OUT.c SCHEMA FILE...");
    check_twice(arguments + 3, count - 3);
    lengths = calloc((size_t)count, sizeof *lengths);
    out = fopen(arguments[1], "wb");
    if (!lengths || !out)
        fail(arguments[1], "cannot be written");
    fprintf(out, "#include \"shape/embedded.h\"\n\n");
    for (int i = 2; i < count; i++)
        write_bytes(out, arguments[i], i, &lengths[i]);
    fprintf(out, "\nconst struct embedded_file embedded_schema = ");
    write_entry(out, arguments[2], 2, lengths[2]);
    fprintf(out, ";\nconst size_t embedded_shape_count = %d;\n", count - 3);
    fprintf(out, "const struct embedded_file embedded_shapes[] = {\n");
    for (int i = 3; i < count; i++) {
        write_entry(out, arguments[i], i, lengths[i]);
        fprintf(out, ",\n");
    }
    fprintf(out, "{0, 0, 0, 0}};\n");
    free(lengths);
    if (ferror(out) || fclose(out) != 0)
        fail(arguments[1], "cannot be written");
    return 0;
}
