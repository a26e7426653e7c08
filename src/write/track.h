/*
 * An outline as a file will hold it: its arcs split until the format can take them, its points
 * rounded to the digits that are written, and what rounding has made the same point left out.
 * Whatever a writer prints from a track is exactly what a reader gets.
 */
#ifndef RABBET_WRITE_TRACK_H
#define RABBET_WRITE_TRACK_H

#include "rabbet/write.h"

/* Decimals of every coordinate. A step of 1e-6 mm turns the tangent of an arc 0.01 mm long by 1e-4
 * at most; with four decimals it would be 0.01, which a blade's path shows as a corner. */
enum { TRACK_DECIMALS = 6 };

struct track_rule {
    double scale;  /* units of the file in a millimetre */
    bool down;     /* y points down in the file ... */
    double height; /* ... from this height, in units of the file */
    enum rab_curves curves;
    double tolerance; /* mm; for lines and Bezier curves */
    bool quarters;    /* arcs turn a quarter at most; else half a turn */
};

/* In units of the file. Bulges are positive counter-clockwise in the file's own x and y. */
struct track {
    bool circle; /* then centre and radius, and there are no vertices */
    struct rab_point centre;
    double radius;
    bool open;
    struct rab_vertex *vertices; /* none when nothing is left to write */
    size_t count, capacity;
};

/* `track` may hold an earlier outline, whose memory is used again. Err: INPUT, MEMORY. */
bool track_make(const struct rab_outline *outline, const struct track_rule *rule,
                struct track *track, struct rab_error *err);
void track_clear(struct track *track);

/* The handles of the cubic Bezier curve for the way from a vertex to the next (of less than half a
 * turn): r 4/3 tan(t/4) long, and with bulge b = tan(t/4) that is a share of (1 - b^2)/3 along the
 * chord and 2b/3 across it, because r = c (1 + b^2)/(4b) and t/2 = 2 atan b. */
static inline void track_handles(struct rab_vertex from, struct rab_vertex end,
                                 struct rab_point *first, struct rab_point *second)
{
    const double b = from.bulge, dx = end.x - from.x, dy = end.y - from.y;
    const double along = (1 - b * b) / 3, across = 2 * b / 3;

    *first =
        (struct rab_point){from.x + along * dx + across * dy, from.y + along * dy - across * dx};
    *second =
        (struct rab_point){end.x - along * dx + across * dy, end.y - along * dy - across * dx};
}

/* Add an entity (or so many) to what was written. A circle has the two vertices that it has in
 * memory. */
static inline void track_count(const struct track *track, size_t entities,
                               struct rab_written *written)
{
    written->entities += entities;
    written->vertices += track->circle ? 2 : track->count;
}

/* The options with what 0 stands for filled in; checks the sheet's size and the options. */
bool track_options(const struct rab_sheet *sheet, const struct rab_write_options *options,
                   struct rab_write_options *filled, struct rab_error *err);

#endif
