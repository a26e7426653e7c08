/* When memory is out: every allocation of reading shapes is refused in turn, and each time there is
 * an ordinary error and nothing is left over. */
#include "rabbet/shape.h"
#include "scarce.h"
#include "shape/library.h"
#include "shape/reader.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char good[] =
    "<shape xmlns='urn:rabbet:shape:1'><title>Test</title><about>A test.</about>\n"
    "<length name='span' usual='40mm' least='1in' most='250mm'>Span</length>\n"
    "<choice name='corner' usual='b' about='C'><one name='a'>A</one><one name='b'>B</one>"
    "</choice><let name='half' value='span / 2'/>\n"
    "<require that='half &lt; 100mm'>Too wide: {half} or {corner}</require>\n"
    "<paper><difference><rectangle when=\"corner = 'a'\" width='span' height='span' "
    "corners='round' size='1mm'/><row count='3' index='k' x='1mm'><circle radius='half + k * 1mm'/>"
    "</row><use shape='plain'/></difference></paper></shape>";
/* the same with a mistake at its end: as much memory, another way out */
static const char bad[] =
    "<shape xmlns='urn:rabbet:shape:1'><title>Test</title><about>A test.</about>\n"
    "<length name='span' usual='40mm' least='1in' most='250mm'>Span</length>\n"
    "<paper><circle radius='span'/><circle radius='spam'/></paper></shape>";

/* One attempt with so many allocations: was that enough? */
static bool attempt(const char *text, size_t granted, struct rab_shape **shape,
                    struct rab_error *err)
{
    bool ok, refused;
    long held;

    *shape = NULL;
    *err = (struct rab_error){0};
    scarce_begin(granted);
    ok = reader_read("test", "tests", "test.xml", text, strlen(text), shape, err);
    held = scarce_held();
    refused = scarce_end();
    cr_assert(eq(int, ok, *shape != NULL));
    if (!ok)
        cr_assert(eq(long, held, 0), "%zu", granted);
    if (refused)
        cr_assert(eq(int, (int)err->fault, (int)RAB_FAULT_MEMORY), "%zu: %s", granted, err->text);
    return !refused;
}

Test(scarcity, reader)
{
    struct rab_shape *shape = NULL;
    struct rab_error err;
    size_t granted = 0;

    while (!attempt(good, granted, &shape, &err))
        granted++;
    cr_assert(ne(ptr, shape, NULL));
    cr_expect(gt(sz, granted, 8));
    reader_free(shape);
    for (granted = 0; !attempt(bad, granted, &shape, &err);)
        granted++;
    cr_expect(eq(int, (int)err.fault, (int)RAB_FAULT_INPUT));
    cr_expect(eq(int, err.line, 3));
}

/* Open a library with so many allocations: was that enough? */
static bool open_library(const char *folder, size_t granted)
{
    struct rab_library *library = NULL;
    struct rab_warnings notes = {0};
    struct rab_error err = {0};
    bool ok, enough;
    long held;

    scarce_begin(granted);
    ok = rab_library_open(&folder, 1, &library, &notes, &err);
    if (!ok)
        rab_warnings_clear(&notes);
    held = scarce_held();
    enough = !scarce_end();
    cr_assert(eq(int, ok, enough), "%zu: %s", granted, err.text);
    if (!ok) {
        cr_assert(eq(int, (int)err.fault, (int)RAB_FAULT_MEMORY), "%zu: %s", granted, err.text);
        cr_assert(eq(long, held, 0), "%zu", granted);
        cr_assert(eq(ptr, library, NULL));
    } else {
        cr_expect(eq(sz, notes.count, 1));
    }
    rab_library_close(library);
    rab_warnings_clear(&notes);
    return enough;
}

/* It takes thousands of allocations, most of them alike, so few of those are tried; but all of the
 * last ones: the folder, the schema, what shapes use of each other. */
Test(scarcity, library)
{
    char folder[] = "/tmp/rabbet-scarce-XXXXXX", family[64], path[2][96];
    size_t enough = 0, granted;

    cr_assert(ne(ptr, mkdtemp(folder), NULL));
    snprintf(family, sizeof family, "%s/quays", folder);
    cr_assert(zero(int, mkdir(family, 0700)));
    snprintf(path[0], sizeof path[0], "%s/plain.xml", folder);
    snprintf(path[1], sizeof path[1], "%s/bollard.xml", family);
    for (int i = 0; i < 2; i++) {
        FILE *file = fopen(path[i], "wb");
        cr_assert(ne(ptr, file, NULL));
        /* plain.xml takes the place of a shape of the library, which the other one uses */
        fputs(i == 1 ? good
                     : "<shape xmlns='urn:rabbet:shape:1'><title>T</title><about>A</about>"
                       "<paper><circle radius='1mm'/></paper></shape>",
              file);
        fclose(file);
    }
    while (!open_library(folder, enough))
        enough += 997;
    for (granted = enough > 400 ? enough - 400 : 0; granted < enough; granted++)
        open_library(folder, granted);
    unlink(path[0]);
    unlink(path[1]);
    rmdir(family);
    rmdir(folder);
}

/* A library to which a shape cannot be added is as it was before. */
Test(scarcity, add)
{
    struct rab_library *library = NULL;
    struct rab_warnings notes = {0};
    struct rab_error err = {0};
    bool done = false;
    size_t count;

    cr_assert(rab_library_open(NULL, 0, &library, &notes, &err), "%s", err.text);
    count = rab_library_count(library);
    for (size_t granted = 0; !done; granted++) {
        /* the schema is kept from the first attempt that got so far, so nothing is counted here */
        bool ok;
        err = (struct rab_error){0};
        scarce_begin(granted);
        ok = rab_library_add(library, "quay", good, sizeof good - 1, &notes, &err);
        done = !scarce_end();
        cr_assert(eq(int, ok, done), "%zu: %s", granted, err.text);
        if (!ok) {
            struct rab_error missing = {0};
            cr_assert(eq(int, (int)err.fault, (int)RAB_FAULT_MEMORY));
            cr_assert(eq(sz, rab_library_count(library), count));
            cr_assert(
                eq(ptr, (void *)(uintptr_t)rab_library_find(library, "quay", &missing), NULL));
        }
    }
    cr_expect(eq(sz, rab_library_count(library), count + 1));
    rab_library_close(library);
    rab_warnings_clear(&notes);
}

Test(scarcity, values)
{
    struct rab_shape *shape = NULL;
    struct rab_setting setting = {"span", "1mm"};
    double values[2];
    bool done = false;

    cr_assert(reader_read("test", "tests", NULL, good, sizeof good - 1, &shape, NULL));
    for (size_t granted = 0; !done; granted++) {
        struct rab_error err = {0};
        long held;
        scarce_begin(granted);
        cr_assert(not(rab_shape_values(shape, &setting, 1, values, &err)));
        held = scarce_held();
        done = !scarce_end();
        cr_assert(eq(long, held, 0));
        cr_assert(eq(int, (int)err.fault, (int)(done ? RAB_FAULT_INPUT : RAB_FAULT_MEMORY)));
    }
    reader_free(shape);
}
