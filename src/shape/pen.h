/*
 * An outline or path while its steps are drawn: corners that may still have to be rounded.
 */
#ifndef RABBET_SHAPE_PEN_H
#define RABBET_SHAPE_PEN_H

#include "rabbet/outline.h"

struct pen_corner {
    double x, y;
    double bulge;  /* of the way to the next corner */
    double round;  /* radius, 0 for none */
    uint32_t node; /* which asked for it */
};

struct pen {
    struct pen_corner *corners;
    size_t count, capacity;
};

bool pen_add(struct pen *pen, struct pen_corner corner, struct rab_error *err);
void pen_clear(struct pen *pen);

/*
 * The line with its corners rounded, arcs over half a turn split in two. The last corner of a
 * closed one leads back to the first.
 *
 * corner  when there is no room: the corner that cannot be rounded
 * err     GEOMETRY without a line when there is no room, MEMORY
 */
bool pen_finish(const struct pen *pen, bool open, struct rab_outline *out, size_t *corner,
                struct rab_error *err);

#endif
