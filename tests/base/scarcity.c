/* Lack of memory at each allocation in turn: every function of base reports it, leaks nothing
 * and leaves what it was given as it was. */
#include "rabbet/base.h"
#include "scarce.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

typedef bool operation(struct rab_error *err);

static void expect_memory_errors(operation *run, size_t least)
{
    for (size_t granted = 0;; granted++) {
        struct rab_error err = {0};
        bool ok, refused;

        cr_assert(granted < 10000);
        scarce_begin(granted);
        ok = run(&err);
        refused = scarce_end();
        cr_assert(scarce_held() == 0, "%ld allocations are left after %zu", scarce_held(), granted);
        if (!refused) {
            cr_assert(ok, "%s", err.text);
            cr_expect(granted >= least, "only %zu allocations", granted);
            return;
        }
        cr_assert(not(ok), "allocation %zu refused, and nobody noticed", granted);
        cr_assert(err.fault == RAB_FAULT_MEMORY && strstr(err.text, "memory is out"), "%s",
                  err.text);
    }
}

static bool warn(struct rab_error *err)
{
    struct rab_warnings notes = {0};
    bool ok = true;

    for (int i = 0; ok && i < 20; i++) {
        size_t before = notes.count;
        ok = rab_warn(&notes, err, "narrow-seam", 0, "seam %d", i);
        if (!ok)
            cr_assert(notes.count == before);
    }
    rab_warnings_clear(&notes);
    return ok;
}

static bool reserve(struct rab_error *err)
{
    void *items = NULL;
    size_t capacity = 0;
    bool ok =
        rab_reserve(&items, &capacity, 10, 8, err) && rab_reserve(&items, &capacity, 1000, 8, err);

    cr_assert(capacity == 0 || items);
    free(items);
    return ok;
}

static bool write_text(struct rab_error *err)
{
    struct rab_text text = {0};
    bool ok;

    for (int i = 0; i < 30; i++) {
        size_t before = text.length;
        bool failed = text.failed;

        rab_text_add(&text, "opening ");
        rab_text_bytes(&text, "bytes", 5);
        rab_text_format(&text, "%d %0100d", i, i);
        rab_text_xml(&text, "<a & b>");
        rab_text_json(&text, "a \"word\"\n");
        rab_text_number(&text, 1.0 / 3);
        rab_text_number(&text, 1e-9 / 3);
        rab_text_fixed(&text, 304.8, 4);
        rab_text_length(&text, 100, false, 16);
        rab_text_size(&text, 100, 152.4, false, 16);
        if (failed)
            cr_assert(text.length == before);
        cr_assert(text.data == NULL || text.data[text.length] == '\0');
    }
    ok = rab_text_ok(&text, err);
    rab_text_clear(&text);
    return ok;
}

static bool read_file(struct rab_error *err)
{
    struct rab_text text = {0};
    bool ok = rab_file_read("/proc/self/status", 1 << 20, &text, err);

    cr_assert(ok || text.data == NULL);
    rab_text_clear(&text);
    return ok;
}

static bool write_files(struct rab_error *err)
{
    struct rab_outputs outputs = {0};
    char path[64];
    bool ok = true;

    for (int i = 0; ok && i < 20; i++) {
        struct rab_text text = {0};

        snprintf(path, sizeof path, "/tmp/rabbet-scarcity-%ld-%d", (long)getpid(), i);
        rab_text_add(&text, "new");
        ok = rab_text_ok(&text, err) && rab_outputs_add(&outputs, path, &text, err);
        rab_text_clear(&text);
    }
    ok = ok && rab_outputs_commit(&outputs, err);
    rab_outputs_clear(&outputs);
    for (int i = 0; i < 20; i++) { /* all or none */
        snprintf(path, sizeof path, "/tmp/rabbet-scarcity-%ld-%d", (long)getpid(), i);
        cr_assert(ok == (unlink(path) == 0), "%s", path);
    }
    return ok;
}

Test(scarcity, warnings)
{
    expect_memory_errors(warn, 2);
}

Test(scarcity, reserving)
{
    expect_memory_errors(reserve, 2);
}

Test(scarcity, text)
{
    expect_memory_errors(write_text, 5);
}

Test(scarcity, reading_files)
{
    expect_memory_errors(read_file, 1);
}

Test(scarcity, writing_files)
{
    expect_memory_errors(write_files, 60);
}

/* These need no memory at all. */
Test(scarcity, numbers_lengths_and_messages_need_none)
{
    struct rab_error err = {0};
    double mm = 0, width = 0, height = 0;

    scarce_begin(0);
    cr_expect(rab_length_read("5 3/4in", RAB_UNIT_NONE, &mm, &err));
    cr_expect(rab_length_read("3.3333333333333333333333333333mm", RAB_UNIT_NONE, &mm, &err));
    cr_expect(rab_size_read("6x4in", RAB_UNIT_NONE, &width, &height, &err));
    cr_expect(not(rab_fail(&err, RAB_FAULT_INPUT, "wrong: %d", 3)));
    cr_expect(not(scarce_end()));
}
