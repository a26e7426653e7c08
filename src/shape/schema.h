/* Files held against shapes/shape.rng. */
#ifndef RABBET_SHAPE_SCHEMA_H
#define RABBET_SHAPE_SCHEMA_H

#include "rabbet/base.h"

struct schema;

/* The schema that came with the program. Err: MEMORY. The caller gives it back. */
struct schema *schema_open(struct rab_error *err);
void schema_close(struct schema *schema); /* NULL is fine */

/* Of a file in which the reader has found nothing wrong. Err: INPUT with the line, or MEMORY. */
bool schema_check(struct schema *schema, const char *bytes, size_t length, struct rab_error *err);

#endif
