/* The library from inside. */
#ifndef RABBET_SHAPE_LIBRARY_H
#define RABBET_SHAPE_LIBRARY_H

#include "shape/schema.h"

#include "rabbet/shape.h"

enum { LIBRARY_SHAPES = 10000, LIBRARY_ENTRIES = 100000 /* of one folder */ };

struct rab_library {
    struct rab_shape **named; /* by name: those that can be found */
    size_t count, capacity;
    struct rab_shape **replaced; /* their place was taken; callers may still hold them */
    size_t replaced_count, replaced_capacity;
    const struct rab_shape **listed; /* by family, then by name */
    size_t listed_capacity;
    struct schema *schema; /* opened when the first file needs it */
};

/* A shape that has been read takes its place; the library then owns it. `old` is whose place it
 * took, or NULL. Nothing is listed or linked yet. */
bool library_insert(struct rab_library *library, struct rab_shape *shape, struct rab_shape **old,
                    struct rab_error *err);
/* Read one of the maker's files, schema and all. */
bool library_read(struct rab_library *library, const char *name, const char *family,
                  const char *file, const char *bytes, size_t length, struct rab_shape **out,
                  struct rab_error *err);
/* The note that a shape took another's place. */
bool library_note(const struct rab_shape *old, const struct rab_shape *shape,
                  struct rab_warnings *notes, struct rab_error *err);

/* In folder.c: everything in a folder of the maker's. */
bool folder_read(struct rab_library *library, const char *folder, struct rab_warnings *notes,
                 struct rab_error *err);

#endif
