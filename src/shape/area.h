/*
 * What an element has drawn: areas, and within an operation open lines too.
 *
 * Areas are united as late as possible. An area holds parts, each a region by itself; what they
 * cover together is the union. Parts whose boxes do not meet are a region as they stand, so that
 * thousands of copies on a grid are never resolved against each other.
 */
#ifndef RABBET_SHAPE_AREA_H
#define RABBET_SHAPE_AREA_H

#include "rabbet/region.h"

struct lines {
    struct rab_outline *items;
    size_t count, capacity;
};
/* Takes the outline over (it is empty afterwards). */
bool lines_take(struct lines *lines, struct rab_outline *outline, struct rab_error *err);
void lines_clear(struct lines *lines);

struct area {
    struct rab_outline *outlines; /* of all parts, one part after the other */
    size_t *parents;              /* as in a region, within this array */
    size_t count, outline_capacity, parent_capacity;
    size_t *parts; /* where each part starts */
    size_t part_count, part_capacity;
    struct lines lines;
};

void area_clear(struct area *area);
/* One more part of one outline, counter-clockwise and not crossing itself. Takes it over. */
bool area_take(struct area *area, struct rab_outline *outline, struct rab_error *err);
/* A hole (clockwise) of the part added last, within its first outline. Takes it over. */
bool area_take_hole(struct area *area, struct rab_outline *hole, struct rab_error *err);
/* One more part. The region is empty afterwards. */
bool area_take_region(struct area *area, struct rab_region *region, struct rab_error *err);
/* Everything of `from`, which is empty afterwards. On failure both can still be cleared. */
bool area_join(struct area *area, struct area *from, struct rab_error *err);

/*
 * One part of all: the union is worked out where parts may meet. *worked (may be NULL) says whether
 * it had to be; what a region operation returns has been checked.
 */
bool area_settle(struct area *area, bool *worked, struct rab_error *err);
/* Settle and hand over as a region; the area keeps its lines. */
bool area_region(struct area *area, struct rab_region *out, bool *worked, struct rab_error *err);

size_t area_vertices(const struct area *area); /* of the lines too */
struct rab_box area_box(const struct area *area);

void area_move(struct area *area, double dx, double dy);
/* By an angle of this cosine and sine. */
void area_turn(struct area *area, double cosine, double sine, struct rab_point about);
/* Left for right about x, or upside down about y. Outlines keep their direction, open lines are
 * gone along as in a looking-glass. */
void area_mirror(struct area *area, bool upright, double at);
bool area_copy(const struct area *in, struct area *out, struct rab_error *err);

/* How many pairs of edges come within `near` of each other, by their boxes; counting stops beyond
 * `most`. It bounds what a drawing can ask of the region room. b may be NULL. */
bool area_pairs(const struct area *a, const struct area *b, double near, size_t most, size_t *pairs,
                struct rab_error *err);

#endif
