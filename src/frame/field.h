/*
 * All openings of a frame prepared for asking: their edges, which piece serves each, what is near.
 *
 * A site is what one piece serves: an opening or a group of them. Sites have the indices of their
 * pieces.
 */
#ifndef RABBET_FRAME_FIELD_H
#define RABBET_FRAME_FIELD_H

#include "outline/arc.h"
#include "outline/box_tree.h"
#include "rabbet/frame.h"

#define NO_SITE SIZE_MAX

struct site {
    size_t *openings; /* indices, rising */
    size_t count;
    struct rab_box box;
    bool convex;   /* one opening, convex */
    bool touching; /* openings in it touch */
};

struct field {
    const struct rab_frame *frame;
    struct site *sites; /* by their lowest opening */
    size_t site_count;
    struct arc *arcs; /* of all openings, one after the other */
    struct rab_box *boxes;
    uint32_t *opening_of; /* of each arc */
    size_t *first;        /* of each opening its first arc; and how many there are in all */
    size_t *site_of;      /* of each opening; NO_SITE when no piece serves it */
    bool *convex;         /* of each opening */
    struct box_tree tree; /* of the openings' boxes */
    uint32_t *order;      /* which opening each of its items is */
};

/* groups and numbers were looked over. */
bool field_make(const struct rab_frame *frame, const struct rab_backing_options *options,
                struct field *out, struct rab_error *err);
void field_clear(struct field *field);

static inline size_t field_site(const struct field *field, size_t arc)
{
    return field->site_of[field->opening_of[arc]];
}

/* The edge after an arc, along its outline. */
static inline size_t field_next(const struct field *field, size_t arc)
{
    const size_t opening = field->opening_of[arc];

    return arc + 1 < field->first[opening + 1] ? arc + 1 : field->first[opening];
}

struct rab_box box_grown(struct rab_box box, double by);

/* Edges of some openings that may be near something. */
struct near {
    const struct field *field;
    uint32_t *arcs; /* in the field */
    size_t count, capacity;
    struct box_tree tree;
};
/* All edges of a site. */
bool near_own(const struct field *field, size_t site, struct near *near, struct rab_error *err);
/* Edges of the openings of other sites, and of none, that meet a box. */
bool near_others(const struct field *field, size_t site, struct rab_box box, struct near *near,
                 struct rab_error *err);
void near_clear(struct near *near);

/* Which of them are asked. */
enum among { AMONG_ALL, AMONG_SERVED, AMONG_SITE };
struct choice {
    enum among among;
    size_t site; /* SITE: of this one */
};

/* The nearest edge to a point, less than `within` away. Returns NO_SITE when there is none. */
size_t near_nearest(const struct near *near, struct choice choice, struct rab_point point,
                    double within, double *distance);

/* The least distance between own edges and others, if it is less than `within`. */
struct near_gap {
    double distance; /* `within` when there is none */
    size_t own, other;
    struct rab_point on_own, on_other;
};
struct near_gap near_gap(const struct near *own, const struct near *others, struct choice choice,
                         double within);

#endif
