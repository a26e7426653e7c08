#include "shape/library.h"

#include "shape/embedded.h"
#include "shape/link.h"
#include "shape/nearest.h"
#include "shape/reader.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

/* ---- the shapes in it ---- */

static const char *label(const struct rab_shape *shape)
{
    return shape->file ? shape->file : shape->name;
}

bool library_note(const struct rab_shape *old, const struct rab_shape *shape,
                  struct rab_warnings *notes, struct rab_error *err)
{
    if (old->file)
        return rab_warn(notes, err, "own-shape", 0,
                        "the shape \"%.64s\" of %.70s takes the place of the one of %.70s",
                        shape->name, label(shape), old->file);
    return rab_warn(notes, err, "own-shape", 0,
                    "the shape \"%.64s\" of %.70s takes the place of the one that came with rabbet",
                    shape->name, label(shape));
}

static bool retire(struct rab_library *library, struct rab_shape *shape, struct rab_error *err)
{
    void *replaced = library->replaced;

    if (!rab_reserve(&replaced, &library->replaced_capacity, library->replaced_count + 1,
                     sizeof(struct rab_shape *), err))
        return false;
    library->replaced = replaced;
    library->replaced[library->replaced_count++] = shape;
    return true;
}

bool library_insert(struct rab_library *library, struct rab_shape *shape, struct rab_shape **old,
                    struct rab_error *err)
{
    void *named = library->named;
    bool found;
    size_t place;

    assert(shape);
    place = link_place(library->named, library->count, shape->name, &found);
    assert(!found || library->named);
    *old = NULL;
    if (found) {
        if (!retire(library, library->named[place], err))
            return false;
        *old = library->named[place];
        library->named[place] = shape;
        return true;
    }
    if (library->count == LIBRARY_SHAPES)
        return rab_fail(err, RAB_FAULT_INPUT, "more than %d shapes; use fewer folders",
                        LIBRARY_SHAPES);
    if (!rab_reserve(&named, &library->capacity, library->count + 1, sizeof(struct rab_shape *),
                     err))
        return false;
    library->named = named;
    memmove(library->named + place + 1, library->named + place,
            (library->count - place) * sizeof(struct rab_shape *));
    library->named[place] = shape;
    library->count++;
    return true;
}

/* Undo an insertion that came to nothing. */
static void take_out(struct rab_library *library, const struct rab_shape *shape,
                     struct rab_shape *old)
{
    bool found;
    size_t place = link_place(library->named, library->count, shape->name, &found);

    if (old) {
        library->named[place] = old;
        library->replaced_count--;
        return;
    }
    library->count--;
    memmove(library->named + place, library->named + place + 1,
            (library->count - place) * sizeof(struct rab_shape *));
}

static int compare_listed(const void *a, const void *b)
{
    const struct rab_shape *const *first = a, *const *second = b;
    int order = strcmp((*first)->family, (*second)->family);

    return order != 0 ? order : strcmp((*first)->name, (*second)->name);
}

/* Room for all of them, so that listing them cannot fail. */
static bool reserve_list(struct rab_library *library, struct rab_error *err)
{
    void *listed = library->listed;
    bool ok = rab_reserve(&listed, &library->listed_capacity, library->count,
                          sizeof(const struct rab_shape *), err);

    library->listed = listed;
    return ok;
}

static void list(struct rab_library *library)
{
    for (size_t i = 0; i < library->count; i++)
        library->listed[i] = library->named[i];
    if (library->count > 0)
        qsort(library->listed, library->count, sizeof(const struct rab_shape *), compare_listed);
}

/* ---- reading ---- */

bool library_read(struct rab_library *library, const char *name, const char *family,
                  const char *file, const char *bytes, size_t length, struct rab_shape **out,
                  struct rab_error *err)
{
    struct rab_error fault = {0};
    struct rab_shape *shape = NULL;

    if (!reader_read(name, family, file, bytes, length, &shape, &fault))
        return reader_fail(file, &fault, err);
    if (!library->schema)
        library->schema = schema_open(&fault);
    if (!library->schema || !schema_check(library->schema, bytes, length, &fault)) {
        reader_free(shape);
        return reader_fail(file, &fault, err);
    }
    *out = shape;
    return true;
}

static bool read_embedded(struct rab_library *library, struct rab_error *err)
{
    for (size_t i = 0; i < embedded_shape_count; i++) {
        const struct embedded_file *file = &embedded_shapes[i];
        struct rab_shape *shape = NULL, *old;
        struct rab_error fault = {0};

        if (!reader_read(file->name, file->family, NULL, (const char *)file->bytes, file->length,
                         &shape, &fault))
            return reader_fail(file->name, &fault, err);
        if (!library_insert(library, shape, &old, err)) {
            reader_free(shape);
            return false;
        }
    }
    return true;
}

bool rab_library_open(const char *const *folders, size_t folder_count, struct rab_library **out,
                      struct rab_warnings *notes, struct rab_error *err)
{
    struct rab_library *library = calloc(1, sizeof *library);
    bool ok;

    if (!library)
        return rab_fail_memory(err);
    ok = read_embedded(library, err);
    for (size_t i = 0; i < folder_count && ok; i++)
        ok = folder_read(library, folders[i], notes, err);
    if (!ok || !reserve_list(library, err) || !link_shapes(library->named, library->count, err)) {
        rab_library_close(library);
        return false;
    }
    list(library);
    *out = library;
    return true;
}

void rab_library_close(struct rab_library *library)
{
    if (!library)
        return;
    for (size_t i = 0; i < library->count; i++)
        reader_free(library->named[i]);
    for (size_t i = 0; i < library->replaced_count; i++)
        reader_free(library->replaced[i]);
    free(library->named);
    free(library->replaced);
    free(library->listed);
    schema_close(library->schema);
    free(library);
}

bool rab_library_add(struct rab_library *library, const char *name, const char *bytes,
                     size_t length, struct rab_warnings *notes, struct rab_error *err)
{
    struct rab_shape *shape = NULL, *old = NULL;
    const size_t told = notes ? notes->count : 0;

    if (!reader_word_ok(name))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "\"%.64s\" cannot be the name of a shape; use small letters, digits and "
                        "hyphens",
                        name);
    if (!library_read(library, name, "own", name, bytes, length, &shape, err))
        return false;
    if (!library_insert(library, shape, &old, err)) {
        reader_free(shape);
        return false;
    }
    if (!reserve_list(library, err) || (old && !library_note(old, shape, notes, err)) ||
        !link_shapes(library->named, library->count, err)) {
        take_out(library, shape, old);
        reader_free(shape);
        if (notes)
            notes->count = told;
        return false;
    }
    list(library);
    return true;
}

/* ---- finding ---- */

size_t rab_library_count(const struct rab_library *library)
{
    return library->count;
}

const struct rab_shape *rab_library_at(const struct rab_library *library, size_t index)
{
    return library->listed[index];
}

const struct rab_shape *rab_library_find(const struct rab_library *library, const char *name,
                                         struct rab_error *err)
{
    struct nearest nearest = {.wanted = name};
    char advice[256];
    bool found;
    size_t place = link_place(library->named, library->count, name, &found);

    if (found)
        return library->named[place];
    for (size_t i = 0; i < library->count; i++)
        nearest_look(&nearest, library->listed[i]->name);
    nearest_words(&nearest, advice, sizeof advice, "; 'rabbet shapes' lists all of them");
    rab_fail(err, RAB_FAULT_INPUT, "there is no shape \"%.64s\"%s", name, advice);
    return NULL;
}
