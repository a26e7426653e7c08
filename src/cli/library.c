/* Where shapes come from: the program, the data folders, --library. */
#include "cli.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

struct folders {
    char **items;
    size_t count, capacity;
};

static void clear_folders(struct folders *folders)
{
    for (size_t i = 0; i < folders->count; i++)
        free(folders->items[i]);
    free(folders->items);
    *folders = (struct folders){0};
}

static bool add_folder(struct folders *folders, const char *path, struct rab_error *err)
{
    void *items = folders->items;
    char *copy = strdup(path);

    if (!copy)
        return rab_fail_memory(err);
    if (!rab_reserve(&items, &folders->capacity, folders->count + 1, sizeof(char *), err)) {
        free(copy);
        return false;
    }
    folders->items = items;
    folders->items[folders->count++] = copy;
    return true;
}

/* The shapes below a data folder, when they are there. Folders that are not absolute are to be left
 * out, says the specification. */
static bool add_data_folder(struct folders *folders, const char *start, size_t length,
                            const char *rest, struct rab_error *err)
{
    struct rab_text path = {0};
    struct stat there;
    bool ok;

    if (length == 0 || start[0] != '/')
        return true;
    rab_text_bytes(&path, start, length);
    rab_text_add(&path, rest);
    ok = rab_text_ok(&path, err) &&
         (stat(path.data, &there) != 0 || add_folder(folders, path.data, err));
    rab_text_clear(&path);
    return ok;
}

/* The system's folders are listed the most important first; here the last one wins. */
static bool add_system_folders(struct folders *folders, struct rab_error *err)
{
    const char *list = getenv("XDG_DATA_DIRS");

    if (!list || !*list)
        list = "/usr/local/share/:/usr/share/";
    for (const char *end = list + strlen(list), *start = end;; end = --start) {
        while (start > list && start[-1] != ':')
            start--;
        if (!add_data_folder(folders, start, (size_t)(end - start), "/rabbet/shapes", err))
            return false;
        if (start == list)
            return true;
    }
}

static bool add_user_folder(struct folders *folders, struct rab_error *err)
{
    const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");

    if (data && *data)
        return add_data_folder(folders, data, strlen(data), "/rabbet/shapes", err);
    return !home ||
           add_data_folder(folders, home, strlen(home), "/.local/share/rabbet/shapes", err);
}

bool open_library(struct arguments *arguments, struct rab_library **library, struct rab_error *err)
{
    struct folders folders = {0};
    bool ok = add_system_folders(&folders, err) && add_user_folder(&folders, err);

    for (size_t i = 0; i < arguments->count && ok; i++) {
        if (arguments->given[i].option == &option_library)
            ok = add_folder(&folders, arguments->given[i].value, err);
    }
    ok = ok && rab_library_open((const char *const *)folders.items, folders.count, library,
                                &arguments->warnings, err);
    clear_folders(&folders);
    return ok;
}
