/* What shapes say of each other. */
#ifndef RABBET_SHAPE_LINK_H
#define RABBET_SHAPE_LINK_H

#include "rabbet/shape.h"

enum { SHAPE_USES_DEEP = 8 };

/*
 * Look at every <use> of shapes in the order of their names: that the shape is there, its
 * parameters and their units, and that uses do not go round in a circle or too deep. Quoted words
 * among what they set get their numbers.
 *
 * err  INPUT with file and line, or MEMORY
 */
bool link_shapes(struct rab_shape *const *shapes, size_t count, struct rab_error *err);

/* Where a shape of this name is, or where it would stand. */
size_t link_place(struct rab_shape *const *shapes, size_t count, const char *name, bool *found);

#endif
