/*
 * An edge while it is being put together: one open line for the paper's edge, with what made each
 * part of it, and the holes and paths that came with the repeats.
 */
#ifndef RABBET_EDGE_CHAIN_H
#define RABBET_EDGE_CHAIN_H

#include "outline/arc.h"
#include "rabbet/shape.h"

/* Which run, and which of its repeats; NO_REPEAT: plain edge, or a corner. */
#define NO_REPEAT UINT32_MAX
struct mark {
    uint32_t run, repeat;
};

/* A rigid motion: turned by the angle whose cosine and sine these are, then moved. */
struct motion {
    double c, s, x, y;
};
struct rab_point moved(const struct motion *motion, double x, double y);
void move_outline(const struct motion *motion, struct rab_outline *outline);

/* ---- the line -------------------------------------------------------------------------- */

struct chain {
    struct rab_outline line; /* open */
    struct mark *marks;      /* of the way from each vertex */
    size_t capacity;
};
void chain_clear(struct chain *chain);
bool chain_begin(struct chain *chain, struct rab_point at, struct rab_error *err);
struct rab_point chain_end(const struct chain *chain);
/* On to a point; a straight way that is no way at all is left out. */
bool chain_add(struct chain *chain, double bulge, struct rab_point to, struct mark mark,
               struct rab_error *err);
bool chain_line(struct chain *chain, struct rab_point to, struct mark mark, struct rab_error *err);
/* Another chain, with a straight line to it where it does not begin at this one's end. */
bool chain_join(struct chain *chain, const struct chain *next, struct mark mark,
                struct rab_error *err);

/* Where a chain was cut short. */
struct cut {
    struct rab_point at;
    struct rab_point tangent; /* along the chain */
    bool round;               /* in the middle of an arc */
};
/* A ray at which a chain is to be cut short. */
struct ray {
    struct rab_point from, along;
    double reach;  /* it may be passed so far along it, or half as far behind its start (on an arc a
                      chord runs below the corner) */
    uint32_t near; /* so many repeats from the end to be cut, no more, can pass it */
};
/*
 * Cut the chain's end (or its start) short where it first, seen from its other end, passes the ray:
 * to its right at the end, to its left at the start. False when it passes nowhere: then nothing is
 * cut and `cut` tells of its end. `drawn`: how many repeats the chain has.
 */
bool chain_cut_end(struct chain *chain, const struct ray *ray, size_t drawn, struct cut *cut);
bool chain_cut_start(struct chain *chain, const struct ray *ray, struct cut *cut);

/* Where the line through `from` along the unit vector `ray` meets an arc between its ends: rising
 * shares of its length, at most two. */
int line_meets_arc(const struct arc *arc, struct rab_point from, struct rab_point ray,
                   double shares[2]);

/* ---- holes and paths ------------------------------------------------------------------- */

struct ornament {
    struct rab_outline outline;
    struct mark mark;
    uint32_t group; /* a hole and what stands in it have the same */
    enum rab_operation operation;
};
struct ornaments {
    struct ornament *items;
    size_t count, capacity;
    uint32_t groups;
};
void ornaments_clear(struct ornaments *list);
/* Takes the outline over. */
bool ornaments_take(struct ornaments *list, struct rab_outline *outline, struct mark mark,
                    uint32_t group, enum rab_operation operation, struct rab_error *err);
/* Take all of another list over. */
bool ornaments_append(struct ornaments *list, struct ornaments *other, struct rab_error *err);
/* Without those for which `drop` is true, and what belongs to their groups; how many groups went.
 */
typedef bool ornament_drop(void *context, const struct ornament *ornament);
bool ornaments_drop(struct ornaments *list, ornament_drop *drop, void *context, size_t *dropped,
                    struct rab_error *err);
/* A repeat's holes and paths, moved. */
bool ornaments_of_repeat(const struct rab_repeat *repeat, const struct motion *motion,
                         struct mark mark, struct ornaments *holes, struct ornaments *paths,
                         struct rab_error *err);

#endif
