#include "rabbet/base.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <locale.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* ---- messages ---- */

/* What the system says about a failure, in English whatever the locale of the program. */
static const char *reason_words(int reason)
{
    locale_t plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    const char *words;

    assert(plain);
    words = strerror_l(reason, plain);
    freelocale(plain);
    return words;
}

/* Fails with "PATH: words"; of a long path only the end is shown, so that the words have room. */
static bool fail_path(struct rab_error *err, const char *path, const char *format, ...)
    RAB_PRINTF(3, 4);
static bool fail_path(struct rab_error *err, const char *path, const char *format, ...)
{
    enum { SHOWN = 110 };
    char words[160];
    const char *mark = "";
    size_t length = strlen(path);
    va_list arguments;

    if (length > SHOWN) {
        path += length - SHOWN;
        while ((*path & 0xC0) == 0x80) /* not into the middle of a character */
            path++;
        mark = "...";
    }
    va_start(arguments, format);
    if (vsnprintf(words, sizeof words, format, arguments) < 0)
        words[0] = '\0';
    va_end(arguments);
    return rab_fail(err, RAB_FAULT_FILE, "%s%s: %s", mark, path, words);
}

/* ---- reading ---- */

static bool fail_reading(struct rab_error *err, const char *path, int reason)
{
    if (reason == ENOENT || reason == ENOTDIR)
        return fail_path(err, path, "no such file; give the path of a file to read");
    if (reason == EACCES || reason == EPERM)
        return fail_path(err, path, "may not be read; give a file that you have the right to read");
    return fail_path(err, path, "cannot be read (%s)", reason_words(reason));
}

static bool fail_size(struct rab_error *err, const char *path, size_t limit)
{
    return fail_path(err, path, "is larger than %zu bytes; give a smaller file", limit);
}

static bool check_regular(const char *path, const struct stat *status, struct rab_error *err)
{
    if (S_ISDIR(status->st_mode))
        return fail_path(err, path, "is a folder; give the path of a file in it");
    if (!S_ISREG(status->st_mode))
        return fail_path(err, path, "is a device or a pipe; save its contents as a file first");
    return true;
}

/* All bytes until the end; a file may grow meanwhile, so the limit is watched to the last. */
static bool read_all(int file, const char *path, size_t limit, struct rab_text *out,
                     struct rab_error *err)
{
    char block[65536];

    for (;;) {
        ssize_t got = read(file, block, sizeof block);

        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return fail_reading(err, path, errno);
        if (got == 0)
            break;
        if ((size_t)got > limit - out->length)
            return fail_size(err, path, limit);
        rab_text_bytes(out, block, (size_t)got);
        if (!rab_text_ok(out, err))
            return false;
    }
    rab_text_bytes(out, "", 0); /* so that data is a text even when the file is empty */
    return rab_text_ok(out, err);
}

bool rab_file_read(const char *path, size_t limit, struct rab_text *out, struct rab_error *err)
{
    struct rab_text bytes = {0};
    struct stat status;
    void *data = NULL;
    bool ok = false;
    int file = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);

    if (file < 0) {
        /* A socket cannot be opened at all, for a reason that says nothing to people. */
        if (errno == ENXIO && stat(path, &status) == 0)
            return check_regular(path, &status, err);
        return fail_reading(err, path, errno);
    }
    if (fstat(file, &status) != 0) {
        fail_reading(err, path, errno);
        goto done;
    }
    if (!check_regular(path, &status, err))
        goto done;
    if (status.st_size > 0 && (uintmax_t)status.st_size > limit) {
        fail_size(err, path, limit);
        goto done;
    }
    if (!rab_reserve(&data, &bytes.capacity, (size_t)status.st_size + 1, 1, err))
        goto done;
    bytes.data = data;
    if (!read_all(file, path, limit, &bytes, err))
        goto done;

    *out = bytes;
    bytes = (struct rab_text){0};
    ok = true;
done:
    rab_text_clear(&bytes);
    close(file);
    return ok;
}

/* ---- writing ---- */

static bool fail_writing(struct rab_error *err, const char *path, int reason)
{
    const char *remedy = "";

    if (reason == ENOENT || reason == ENOTDIR)
        return fail_path(err, path,
                         "cannot be written, its folder does not exist; make the folder first");
    if (reason == EACCES || reason == EPERM || reason == EROFS)
        remedy = "; choose a folder that you may write to";
    else if (reason == ENOSPC || reason == EDQUOT || reason == EFBIG)
        remedy = "; make room or choose another disk";
    return fail_path(err, path, "cannot be written (%s)%s", reason_words(reason), remedy);
}

/* To the start of the next part of a path, past what does not change where it leads. */
static const char *next_part(const char *path)
{
    for (;;) {
        if (path[0] == '/')
            path++;
        else if (path[0] == '.' && path[1] == '/')
            path += 2;
        else
            return path;
    }
}

/* As far as the names tell: links are not followed. */
static bool same_path(const char *a, const char *b)
{
    if ((*a == '/') != (*b == '/'))
        return false;
    for (;;) {
        size_t length;

        a = next_part(a);
        b = next_part(b);
        length = strcspn(a, "/");
        if (length != strcspn(b, "/") || memcmp(a, b, length) != 0)
            return false;
        if (length == 0)
            return true;
        a += length;
        b += length;
    }
}

bool rab_outputs_add(struct rab_outputs *outputs, const char *path, struct rab_text *text,
                     struct rab_error *err)
{
    void *items = outputs->items;
    struct rab_output *output;
    char *name;

    if (!rab_text_ok(text, err))
        return false;
    if (!*path)
        return rab_fail(err, RAB_FAULT_INPUT, "an output has no name; give the path of a file");
    for (size_t i = 0; i < outputs->count; i++)
        if (same_path(outputs->items[i].path, path))
            return rab_fail(err, RAB_FAULT_INPUT,
                            "%s: is given as output twice; give each output its own name", path);
    if (!rab_reserve(&items, &outputs->capacity, outputs->count + 1, sizeof *outputs->items, err))
        return false;
    outputs->items = items;
    name = strdup(path);
    if (!name)
        return rab_fail_memory(err);
    output = &outputs->items[outputs->count++];
    *output = (struct rab_output){.path = name, .bytes = *text};
    *text = (struct rab_text){0};
    return true;
}

/* The file's place, and whether it replaces one whose rights are to be kept. */
static bool check_place(const char *path, mode_t *mode, bool *replaces, struct rab_error *err)
{
    size_t length = strlen(path);
    struct stat status;

    *replaces = false;
    if (path[length - 1] == '/')
        return fail_path(err, path, "names a folder; give the path of a file in it");
    if (lstat(path, &status) != 0)
        return errno == ENOENT || fail_writing(err, path, errno);
    if (S_ISLNK(status.st_mode) && stat(path, &status) != 0)
        return true; /* a link to nothing is replaced like any other link */
    if (S_ISDIR(status.st_mode))
        return fail_path(err, path, "is a folder; give the path of a file in it");
    if (!S_ISREG(status.st_mode))
        return fail_path(err, path,
                         "is a device or a pipe and is not replaced; give the path of a file");
    /* Renaming would replace it all the same, but somebody wants it to stay. */
    if (faccessat(AT_FDCWD, path, W_OK, AT_EACCESS) != 0)
        return fail_path(err, path, "is write-protected; give another name or unprotect it");
    *mode = status.st_mode & 0777;
    *replaces = true;
    return true;
}

/* A name in the same folder that ends in ".NUMBER.part", shortened where the file system would
 * refuse it. */
static char *make_temporary_name(const char *path, unsigned number)
{
    const char *slash = strrchr(path, '/');
    const char *name = slash ? slash + 1 : path;
    size_t folder = (size_t)(name - path), kept = strlen(name), size;
    char *made;

    if (kept > NAME_MAX - 24)
        kept = NAME_MAX - 24;
    size = folder + kept + 32;
    made = malloc(size);
    if (made)
        snprintf(made, size, "%.*s.%.*s.%u.part", (int)folder, path, (int)kept, name, number);
    return made;
}

/* Creates a file that did not exist. */
static bool open_temporary(struct rab_output *output, int *file, struct rab_error *err)
{
    enum { TRIES = 1000 };
    int reason = EEXIST;

    for (unsigned number = 0; number < TRIES && reason == EEXIST; number++) {
        char *name = make_temporary_name(output->path, number);

        if (!name)
            return rab_fail_memory(err);
        *file = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0666);
        if (*file >= 0) {
            output->temporary = name;
            return true;
        }
        reason = errno;
        free(name);
    }
    return fail_writing(err, output->path, reason);
}

static bool write_all(int file, const char *bytes, size_t length)
{
    while (length > 0) {
        ssize_t put = write(file, bytes, length);

        if (put < 0 && errno == EINTR)
            continue;
        if (put < 0)
            return false;
        bytes += put;
        length -= (size_t)put;
    }
    return true;
}

/* A file on a system that cannot flush (EINVAL) is as safe as that system makes it. */
static bool flush(int file)
{
    return fsync(file) == 0 || errno == EINVAL;
}

static bool write_temporary(struct rab_output *output, struct rab_error *err)
{
    mode_t mode = 0;
    bool replaces;
    int file = -1, reason = 0;

    if (!check_place(output->path, &mode, &replaces, err) || !open_temporary(output, &file, err))
        return false;
    if (!write_all(file, output->bytes.data, output->bytes.length) ||
        (replaces && fchmod(file, mode) != 0) || !flush(file))
        reason = errno;
    if (close(file) != 0 && reason == 0)
        reason = errno;
    return reason == 0 || fail_writing(err, output->path, reason);
}

static void drop_temporaries(struct rab_outputs *outputs)
{
    for (size_t i = 0; i < outputs->count; i++) {
        struct rab_output *output = &outputs->items[i];

        if (output->temporary) {
            unlink(output->temporary);
            free(output->temporary);
            output->temporary = NULL;
        }
    }
}

static bool exchange(const struct rab_output *output)
{
    return renameat2(AT_FDCWD, output->temporary, AT_FDCWD, output->path, RENAME_EXCHANGE) == 0;
}

/* Puts a file into its place. An older one changes places with it, and is dropped when all files
 * are placed; where the file system cannot do that, it is replaced for good. */
static bool place(struct rab_output *output)
{
    bool is_new;

    if (exchange(output)) {
        output->exchanged = true;
        return true;
    }
    is_new = errno == ENOENT;
    if ((!is_new && errno != EINVAL && errno != ENOSYS) ||
        rename(output->temporary, output->path) != 0)
        return false;
    free(output->temporary);
    output->temporary = NULL;
    output->created = is_new;
    return true;
}

static void take_back(struct rab_output *output)
{
    if (output->exchanged)
        exchange(output);
    else if (output->created)
        unlink(output->path);
    output->exchanged = output->created = false;
}

bool rab_outputs_commit(struct rab_outputs *outputs, struct rab_error *err)
{
    bool ok = true;

    for (size_t i = 0; ok && i < outputs->count; i++)
        ok = write_temporary(&outputs->items[i], err);
    for (size_t i = 0; ok && i < outputs->count; i++) {
        if (place(&outputs->items[i]))
            continue;
        ok = fail_writing(err, outputs->items[i].path, errno);
        while (i-- > 0)
            take_back(&outputs->items[i]);
        break;
    }
    drop_temporaries(outputs);
    return ok;
}

void rab_outputs_clear(struct rab_outputs *outputs)
{
    drop_temporaries(outputs);
    for (size_t i = 0; i < outputs->count; i++) {
        free(outputs->items[i].path);
        rab_text_clear(&outputs->items[i].bytes);
    }
    free(outputs->items);
    *outputs = (struct rab_outputs){0};
}
