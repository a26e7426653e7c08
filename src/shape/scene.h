/*
 * A shape being drawn: its values, and what the drawing has cost so far.
 */
#ifndef RABBET_SHAPE_SCENE_H
#define RABBET_SHAPE_SCENE_H

#include "shape/area.h"
#include "shape/content.h"

/* The limits that docs/shape-files.md states. */
enum { MOST_STEPS = 10000000, MOST_VERTICES = 2000000 };

/* One call of rab_shape_draw, with all shapes that are used in it. */
struct run {
    const struct rab_library *library;
    double tolerance;
    size_t steps, vertices;
    bool fitted; /* an ellipse has been drawn: measures are within the tolerance */
    struct rab_error *err;
};

struct scene {
    struct run *run;
    const struct rab_shape *shape;
    const struct shape_file *file;
    double *slots;
};

static inline const struct node *scene_node(const struct scene *scene, uint32_t node)
{
    return &scene->file->nodes[node];
}

/* GEOMETRY, of the line of a node: "NAME:LINE: text". */
bool scene_fail(struct scene *scene, uint32_t node, const char *format, ...) RAB_PRINTF(3, 4);
/* The fault of another room at a node: its kind, with name and line. */
bool scene_pass(struct scene *scene, uint32_t node, const struct rab_error *fault);

/* Steps and vertices against their limits. */
bool scene_spend(struct scene *scene, uint32_t node, size_t steps);
bool scene_vertices(struct scene *scene, uint32_t node, size_t vertices);

/* The value of an attribute that is given; the second takes `usual` when it is not. */
bool scene_value(struct scene *scene, uint32_t node, enum key key, double *value);
bool scene_value_or(struct scene *scene, uint32_t node, enum key key, double usual, double *value);
/* x and y, 0 each when not given. */
bool scene_point(struct scene *scene, uint32_t node, struct rab_point *point);
/* A length more than 0; `name` is for the message: "width". */
bool scene_size(struct scene *scene, uint32_t node, enum key key, const char *name, double *value);
/* A whole number of at least `least`. */
bool scene_count(struct scene *scene, uint32_t node, enum key key, const char *name, size_t least,
                 size_t *count);
bool scene_has(const struct scene *scene, uint32_t node, enum key key);
/* Is this element drawn, by its `when`? Costs a step. */
bool scene_when(struct scene *scene, uint32_t node, bool *yes);
/* A let: its value is known from here on. */
bool scene_let(struct scene *scene, uint32_t node);

/* An area, worked out or not, as a region at a node; and the operations on it, bounded. */
bool scene_settle(struct scene *scene, uint32_t node, struct area *area);
/* What outlines that cross themselves go round. */
bool scene_fill(struct scene *scene, uint32_t node, const struct area *area,
                struct rab_region *out);
bool scene_combine(struct scene *scene, uint32_t node, struct area *a, struct area *b,
                   enum rab_combine how, struct area *out);
bool scene_grow(struct scene *scene, uint32_t node, struct area *in, double by, bool pointed,
                struct area *out);

/* "12 mm (≈ 1/2 in)" and the like into a small text, for messages. */
struct words {
    char text[48];
};
struct words words_length(double mm);
struct words words_number(double value);
struct words words_angle(double radians);
/* To seven places, where lengths that differ little would read alike; " mm". */
struct words words_fine(double value, const char *unit);

/* ---- what all drawing has in common (draw.c) --------------------------------------------- */

bool run_begin(struct run *run, const struct rab_library *library, double tolerance,
               struct rab_error *err);
/* Slots are 0; the caller fills in the parameters. */
bool scene_begin(struct scene *scene, struct run *run, const struct rab_shape *shape);
void scene_end(struct scene *scene);
/* An element of the top level: a let or a constraint is done; *other says that it is something to
 * draw. */
bool scene_head(struct scene *scene, uint32_t node, bool *other);

struct paths {
    struct rab_path *items;
    size_t count, capacity;
};
void paths_clear(struct paths *paths);
/* What an operation element draws. */
bool operation_draw(struct scene *scene, uint32_t node, struct paths *paths);

/* ---- the elements ------------------------------------------------------------------------ */

/* Draw an element and those that follow it, and add all to an area; lets among them hold. */
bool elements_draw(struct scene *scene, uint32_t first, struct area *area);
/* One element of areas or lines; `drawn` (may be NULL) is false when its `when` leaves it out. */
bool element_draw(struct scene *scene, uint32_t node, struct area *area, bool *drawn);

/* rectangle, circle ... arch */
bool primitive_draw(struct scene *scene, uint32_t node, struct area *area);
/* outline, path, profile: one line with its corners rounded. */
bool steps_draw(struct scene *scene, uint32_t node, struct rab_outline *out);
/* An outline of steps as it was drawn, but counter-clockwise. */
bool outline_line(struct scene *scene, uint32_t node, struct rab_outline *out);
/* An outline of steps, made to enclose paper. */
bool outline_draw(struct scene *scene, uint32_t node, struct area *area);
/* repeat, row, around, grid, along, move, turn, mirror */
bool placing_draw(struct scene *scene, uint32_t node, struct area *area);

/* The paper of another shape. */
bool use_draw(struct scene *scene, uint32_t node, struct area *area);

/* All that a shape's constraints ask; INPUT with the shape's message. */
bool scene_require(struct scene *scene, uint32_t node);

#endif
