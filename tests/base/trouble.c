/* A file system that fails: each call that writing files makes is refused in turn, and each time
 * the folder must look as if nothing had been tried. The linker's --wrap puts the refusals in. */
#include "rabbet/base.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static long left = -1; /* calls granted before one is refused; -1: all */
static bool refused, can_exchange = true;
static ssize_t most = 1 << 30; /* bytes that a single write takes */

static bool refuse(void)
{
    if (left < 0)
        return false;
    if (left-- > 0)
        return false;
    refused = true;
    errno = EIO;
    return true;
}

ssize_t __wrap_write(int file, const void *bytes, size_t count);
int __wrap_fsync(int file);
int __wrap_fchmod(int file, mode_t mode);
int __wrap_close(int file);
int __wrap_rename(const char *from, const char *to);
int __wrap_renameat2(int from_folder, const char *from, int to_folder, const char *to,
                     unsigned flags);
ssize_t __real_write(int file, const void *bytes, size_t count);
int __real_fsync(int file);
int __real_fchmod(int file, mode_t mode);
int __real_close(int file);
int __real_rename(const char *from, const char *to);
int __real_renameat2(int from_folder, const char *from, int to_folder, const char *to,
                     unsigned flags);

ssize_t __wrap_write(int file, const void *bytes, size_t count)
{
    if (count > (size_t)most)
        count = (size_t)most;
    return refuse() ? -1 : __real_write(file, bytes, count);
}

int __wrap_fsync(int file)
{
    return refuse() ? -1 : __real_fsync(file);
}

int __wrap_fchmod(int file, mode_t mode)
{
    return refuse() ? -1 : __real_fchmod(file, mode);
}

int __wrap_close(int file)
{
    bool fail = refuse();
    int result = __real_close(file); /* it is closed even when closing reports a failure */

    if (fail)
        errno = EIO;
    return fail ? -1 : result;
}

int __wrap_rename(const char *from, const char *to)
{
    return refuse() ? -1 : __real_rename(from, to);
}

int __wrap_renameat2(int from_folder, const char *from, int to_folder, const char *to,
                     unsigned flags)
{
    if (refuse())
        return -1;
    if (!can_exchange) {
        errno = EINVAL;
        return -1;
    }
    return __real_renameat2(from_folder, from, to_folder, to, flags);
}

static char folder[64];

static void enter_folder(void)
{
    strcpy(folder, "/tmp/rabbet-trouble-XXXXXX");
    cr_assert(ne(ptr, mkdtemp(folder), NULL));
    cr_assert(chdir(folder) == 0);
}

static void leave_folder(void)
{
    unlink("a.svg");
    unlink("b.svg");
    unlink("c.svg");
    cr_expect(chdir("/") == 0 && rmdir(folder) == 0);
}

TestSuite(trouble, .init = enter_folder, .fini = leave_folder);

static void put(const char *path, const char *words)
{
    FILE *file = fopen(path, "w");

    cr_assert(file && fputs(words, file) >= 0 && fclose(file) == 0);
}

static void expect_content(const char *path, const char *words)
{
    struct rab_text text = {0};
    struct rab_error err = {0};

    cr_assert(rab_file_read(path, 1000, &text, &err), "%s", err.text);
    cr_expect(strcmp(text.data, words) == 0, "%s holds %s", path, text.data);
    rab_text_clear(&text);
}

static int entries(void)
{
    DIR *dir = opendir(".");
    int count = -2; /* . and .. */

    cr_assert(ne(ptr, dir, NULL));
    while (readdir(dir))
        count++;
    closedir(dir);
    return count;
}

/* Writes a new file between two older ones, with the n-th call refused. */
static bool write_three(long granted, struct rab_error *err)
{
    static const char *const names[] = {"a.svg", "b.svg", "c.svg"};
    struct rab_outputs outputs = {0};
    bool ok;

    put("a.svg", "old a");
    unlink("b.svg");
    put("c.svg", "old c");
    for (int i = 0; i < 3; i++) {
        struct rab_text text = {0};

        rab_text_format(&text, "new %s", names[i]);
        cr_assert(rab_outputs_add(&outputs, names[i], &text, err));
    }
    refused = false;
    left = granted;
    ok = rab_outputs_commit(&outputs, err);
    left = -1;
    rab_outputs_clear(&outputs);
    return ok;
}

static void expect_all_new(void)
{
    expect_content("a.svg", "new a.svg");
    expect_content("b.svg", "new b.svg");
    expect_content("c.svg", "new c.svg");
    cr_expect(entries() == 3);
}

Test(trouble, whichever_call_fails_nothing_has_happened)
{
    long granted = 0;

    most = 4; /* every text takes several writes */
    for (;; granted++) {
        struct rab_error err = {0};
        bool ok = write_three(granted, &err);

        if (!refused) {
            cr_assert(ok, "%s", err.text);
            break;
        }
        cr_assert(not(ok), "call %ld failed and nobody noticed", granted);
        cr_assert(err.fault == RAB_FAULT_FILE &&
                      strstr(err.text, ".svg: cannot be written (Input/output error)"),
                  "%s", err.text);
        expect_content("a.svg", "old a");
        expect_content("c.svg", "old c");
        cr_assert(entries() == 2, "something is left of call %ld", granted);
    }
    expect_all_new();
    /* 9 bytes in writes of 4, fsync, close, and fchmod where a file is replaced; then an exchange
     * each, and a renaming where there was nothing to exchange. */
    cr_expect(granted == 3 * 3 + 3 + 3 + 2 + 3 + 1, "%ld calls", granted);
}

Test(trouble, where_files_cannot_change_places_they_are_replaced)
{
    struct rab_error err = {0};

    can_exchange = false;
    cr_assert(write_three(-1, &err), "%s", err.text);
    expect_all_new();
}
