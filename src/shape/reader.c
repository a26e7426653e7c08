#include "shape/reader.h"

#include "base/arena.h"
#include "shape/reading.h"

#include <stdlib.h>
#include <string.h>

static const struct markup_kind shape_files = {
    .files = "shape files",
    .space = "urn:rabbet:shape:1",
    .elements = SHAPE_ELEMENTS,
    .depth = SHAPE_DEPTH,
    .too_long = "divide the shape into several",
    .too_many = "use <repeat>, or divide the shape",
    .too_deep = "use a <use>",
};

const struct expression *node_attribute(const struct shape_file *file, uint32_t node, enum key key)
{
    const struct node *found = &file->nodes[node];

    for (uint32_t i = 0; i < found->attribute_count; i++) {
        const struct attribute *attribute = &file->attributes[found->attributes + i];
        if (attribute->key == key)
            return &attribute->expression;
    }
    return NULL;
}

bool reader_fail(const char *file, const struct rab_error *fault, struct rab_error *err)
{
    enum { SHOWN = 100 };
    size_t length = strlen(file);
    const char *tail = length > SHOWN ? file + length - SHOWN : file;

    if (fault->fault == RAB_FAULT_MEMORY)
        return rab_fail_memory(err);
    if (fault->line == 0)
        return rab_fail(err, fault->fault, "%s%s: %s", tail > file ? "..." : "", tail, fault->text);
    return rab_fail_line(err, fault->fault, fault->line, "%s%s:%d: %s", tail > file ? "..." : "",
                         tail, fault->line, fault->text);
}

static bool take_names(struct reading *reading, const char *name, const char *family,
                       const char *file)
{
    struct rab_shape *shape = reading->shape;

    shape->name = arena_text(reading->arena, name, strlen(name), reading->err);
    shape->family = arena_text(reading->arena, family, strlen(family), reading->err);
    if (file)
        shape->file = arena_text(reading->arena, file, strlen(file), reading->err);
    return shape->name && shape->family && (!file || shape->file);
}

/* What grew while it was read moves into the arena, at its size. */
static bool settle(struct reading *reading)
{
    struct shape_file *file = reading->file;

    file->nodes = arena_copy(reading->arena, reading->nodes, reading->node_count,
                             sizeof *file->nodes, reading->err);
    file->attributes = arena_copy(reading->arena, reading->attributes, reading->attribute_count,
                                  sizeof *file->attributes, reading->err);
    file->node_count = reading->node_count;
    file->attribute_count = reading->attribute_count;
    file->arena = reading->arena;
    reading->shape->content = file;
    return file->nodes && file->attributes;
}

bool reader_read(const char *name, const char *family, const char *file, const char *bytes,
                 size_t length, struct rab_shape **out, struct rab_error *err)
{
    struct reading reading = {.err = err};
    uint32_t rest = NO_ELEMENT;
    bool ok = false;

    if (!markup_read(bytes, length, &shape_files, &reading.markup, err))
        return false;
    reading.arena = arena_new(err);
    if (!reading.arena)
        goto done;
    reading.shape = arena_take(reading.arena, 1, sizeof *reading.shape, err);
    reading.file = arena_take(reading.arena, 1, sizeof *reading.file, err);
    if (!reading.shape || !reading.file)
        goto done;
    *reading.shape = (struct rab_shape){0};
    *reading.file = (struct shape_file){0};
    if (!take_names(&reading, name, family, file) || !head_read(&reading, &rest) ||
        !body_read(&reading, rest) || !settle(&reading))
        goto done;
    *out = reading.shape;
    reading.arena = NULL; /* now the shape's */
    ok = true;
done:
    free(reading.scope.names);
    free(reading.nodes);
    free(reading.attributes);
    markup_clear(&reading.markup);
    arena_free(reading.arena);
    return ok;
}

void reader_free(struct rab_shape *shape)
{
    if (shape)
        arena_free(shape->content->arena);
}
