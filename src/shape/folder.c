/* Shape files in a folder of the maker's. */
#include "shape/library.h"
#include "shape/link.h"
#include "shape/markup.h"
#include "shape/reader.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

struct entries {
    char **names;
    size_t count, capacity;
};

static void clear_entries(struct entries *entries)
{
    for (size_t i = 0; i < entries->count; i++)
        free(entries->names[i]);
    free(entries->names);
    *entries = (struct entries){0};
}

static int compare_names(const void *a, const void *b)
{
    const char *const *first = a, *const *second = b;

    return strcmp(*first, *second);
}

static bool add_entry(struct entries *entries, const char *name, struct rab_error *err)
{
    void *names = entries->names;
    char *copy = strdup(name);

    if (!copy)
        return rab_fail_memory(err);
    if (!rab_reserve(&names, &entries->capacity, entries->count + 1, sizeof(char *), err)) {
        free(copy);
        return false;
    }
    entries->names = names;
    entries->names[entries->count++] = copy;
    return true;
}

static bool fail_folder(const char *folder, struct rab_error *err)
{
    const char *why = errno == ENOENT    ? "there is no such folder"
                      : errno == ENOTDIR ? "it is not a folder"
                      : errno == EACCES  ? "permission is denied"
                                         : "it cannot be read";

    return rab_fail(err, RAB_FAULT_FILE, "%.150s: %s; give a folder with shape files", folder, why);
}

/* Names in the order of their bytes, so that the same folder always reads alike; hidden ones are
 * left out. */
static bool read_entries(const char *folder, struct entries *out, struct rab_error *err)
{
    DIR *stream = opendir(folder);
    struct dirent *entry;
    bool ok = true;

    if (!stream)
        return fail_folder(folder, err);
    errno = 0;
    while (ok && (entry = readdir(stream)) != NULL) {
        if (out->count == LIBRARY_ENTRIES)
            ok = rab_fail(err, RAB_FAULT_FILE,
                          "%.150s: more than %d entries; give a folder with "
                          "shape files",
                          folder, LIBRARY_ENTRIES);
        else if (entry->d_name[0] != '.')
            ok = add_entry(out, entry->d_name, err);
        errno = 0;
    }
    if (ok && errno != 0)
        ok = fail_folder(folder, err);
    closedir(stream);
    if (ok && out->count > 0)
        qsort(out->names, out->count, sizeof *out->names, compare_names);
    return ok;
}

static bool ends_in_xml(const char *name)
{
    size_t length = strlen(name);

    return length > 4 && strcmp(name + length - 4, ".xml") == 0;
}

/* What is read from one of the maker's folders. */
struct folder {
    struct rab_library *library;
    const struct rab_shape **shapes;
    size_t count, capacity;
    struct rab_warnings *notes;
    struct rab_error *err;
};

/* Two files of one folder with one name: neither should win by chance. */
static bool check_twice(struct folder *folder, const struct rab_shape *shape)
{
    const struct rab_library *library = folder->library;
    bool found;
    size_t place = link_place(library->named, library->count, shape->name, &found);

    for (size_t i = 0; found && i < folder->count; i++)
        if (folder->shapes[i] == library->named[place])
            return rab_fail(folder->err, RAB_FAULT_INPUT,
                            "%.90s: the shape \"%.64s\" is also there as %.60s; give one another "
                            "name",
                            shape->file, shape->name, folder->shapes[i]->file);
    return true;
}

static bool add_shape(struct folder *folder, struct rab_shape *shape)
{
    void *shapes = folder->shapes;
    struct rab_shape *old = NULL;

    if (!check_twice(folder, shape) ||
        !rab_reserve(&shapes, &folder->capacity, folder->count + 1,
                     sizeof(const struct rab_shape *), folder->err) ||
        !library_insert(folder->library, shape, &old, folder->err)) {
        folder->shapes = shapes;
        reader_free(shape);
        return false;
    }
    folder->shapes = shapes;
    folder->shapes[folder->count++] = shape;
    return !old || library_note(old, shape, folder->notes, folder->err);
}

static bool read_file(struct folder *folder, const char *family, const char *path)
{
    const char *base = strrchr(path, '/') + 1;
    struct rab_text name = {0}, bytes = {0};
    struct rab_shape *shape = NULL;
    bool ok = false;

    rab_text_bytes(&name, base, strlen(base) - 4);
    if (!rab_text_ok(&name, folder->err))
        goto done;
    if (!reader_word_ok(name.data)) {
        rab_fail(folder->err, RAB_FAULT_INPUT,
                 "%.150s: the file's name cannot be that of a shape; use small letters, digits and "
                 "hyphens",
                 path);
        goto done;
    }
    ok = rab_file_read(path, MARKUP_BYTES, &bytes, folder->err) &&
         library_read(folder->library, name.data, family, path, bytes.data ? bytes.data : "",
                      bytes.length, &shape, folder->err) &&
         add_shape(folder, shape);
done:
    rab_text_clear(&name);
    rab_text_clear(&bytes);
    return ok;
}

static bool is_folder(const char *path)
{
    struct stat there;

    return stat(path, &there) == 0 && S_ISDIR(there.st_mode);
}

/* The shape files at one level; with `families` also those in the folders in it. */
/* NOLINTNEXTLINE(misc-no-recursion): two levels */
static bool read_level(struct folder *folder, const char *level, const char *family, bool families)
{
    struct entries entries = {0};
    bool ok = read_entries(level, &entries, folder->err);

    for (size_t i = 0; i < entries.count && ok; i++) {
        const char *name = entries.names[i];
        struct rab_text path = {0};

        rab_text_format(&path, "%s/%s", level, name);
        ok = rab_text_ok(&path, folder->err);
        if (ok && is_folder(path.data)) {
            if (families && reader_word_ok(name))
                ok = read_level(folder, path.data, name, false);
        } else if (ok && ends_in_xml(name)) {
            ok = read_file(folder, family, path.data);
        }
        rab_text_clear(&path);
    }
    clear_entries(&entries);
    return ok;
}

bool folder_read(struct rab_library *library, const char *folder, struct rab_warnings *notes,
                 struct rab_error *err)
{
    struct folder reading = {.library = library, .notes = notes, .err = err};
    struct rab_text top = {0};
    bool ok;

    /* "shapes/" and "shapes" are the same folder, and messages show it without the mark */
    rab_text_add(&top, folder);
    if (!rab_text_ok(&top, err))
        return false;
    while (top.length > 1 && top.data[top.length - 1] == '/')
        top.data[--top.length] = '\0';
    ok = read_level(&reading, top.data ? top.data : "", "own", true);
    rab_text_clear(&top);
    free(reading.shapes);
    return ok;
}
