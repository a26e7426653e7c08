/* What the files that read a shape share: the head, and what is drawn. */
#ifndef RABBET_SHAPE_READING_H
#define RABBET_SHAPE_READING_H

#include "shape/markup.h"
#include "shape/reader.h"
#include "shape/vocabulary.h"

struct reading {
    struct markup markup;
    struct arena *arena; /* of what is made */
    struct rab_shape *shape;
    struct shape_file *file;
    struct rab_parameter *parameters;
    struct scope scope;
    struct node *nodes;
    size_t node_count, node_capacity;
    struct attribute *attributes;
    size_t attribute_count, attribute_capacity;
    struct rab_error *err;
};

/* ---- in head.c ---- */

/* Title, about and parameters. *rest: the first element after them that is not a parameter (lets,
 * requires and parameters may be mixed; reading_is_parameter tells). */
bool head_read(struct reading *reading, uint32_t *rest);
bool head_is_parameter(const char *name);
/* The message of a require. */
bool head_message(struct reading *reading, uint32_t element, struct node *node);
/* An attribute, NULL when it is not given. */
const struct markup_attribute *head_attribute(const struct reading *reading, uint32_t element,
                                              const char *name);
/* One more name: of a parameter, a let, a counter. */
bool head_declare(struct reading *reading, const char *name, struct type type, uint32_t slot,
                  int line);

/* ---- in body.c ---- */

/* All from the element `first` on, and its children. */
bool body_read(struct reading *reading, uint32_t first);

#endif
