/*
 * One line or arc of an outline, prepared for asking: ends, unit tangents, curvature.
 *
 * Nearly straight arcs have centres far away, where doubles are coarse. So nothing here uses a
 * centre where the start will do. With start P, unit left normal n, signed curvature k and
 * u = X - P, the function F = k|u|^2/2 - n.u is 0 on the full circle (or line, k = 0), and
 * 2F / (1 + sqrt(1 + 2kF)) is the signed distance from it, positive to the right of the
 * direction of travel.
 */
#ifndef RABBET_OUTLINE_ARC_H
#define RABBET_OUTLINE_ARC_H

#include <math.h>

#include "rabbet/outline.h"

struct arc {
    struct rab_point a, b;   /* ends */
    struct rab_point ta, tb; /* unit tangents there, along the direction of travel */
    double k;                /* curvature, positive turning left; 0 for a line */
    double bulge;
    double chord; /* 0: a point; then the tangents and the curvature are 0 */
};

static inline struct rab_point point_minus(struct rab_point p, struct rab_point q)
{
    return (struct rab_point){p.x - q.x, p.y - q.y};
}

/* p + s q */
static inline struct rab_point point_along(struct rab_point p, double s, struct rab_point q)
{
    return (struct rab_point){p.x + s * q.x, p.y + s * q.y};
}

static inline double point_dot(struct rab_point p, struct rab_point q)
{
    return p.x * q.x + p.y * q.y;
}

/* Positive when q is to the left of p. */
static inline double point_cross(struct rab_point p, struct rab_point q)
{
    return p.x * q.y - p.y * q.x;
}

/* The angle by which p must be turned to point along q, from -pi to pi. */
static inline double point_angle(struct rab_point p, struct rab_point q)
{
    return atan2(point_cross(p, q), point_dot(p, q));
}

static inline struct rab_point point_left(struct rab_point p)
{
    return (struct rab_point){-p.y, p.x};
}

static inline double point_apart(struct rab_point p, struct rab_point q)
{
    return hypot(p.x - q.x, p.y - q.y);
}

/* Sine and cosine of half the included angle: the angle between chord and tangents. */
static inline void bulge_half_angle(double bulge, double *sine, double *cosine)
{
    const bool large = fabs(bulge) > 1;
    const double g = large ? 1 / bulge : bulge;
    *sine = 2 * g / (1 + g * g);
    *cosine = (large ? g * g - 1 : 1 - g * g) / (1 + g * g);
}

struct arc arc_make(struct rab_vertex from, struct rab_point to);

/* Edge i of an outline: from vertex i to the next, the first after the last. */
struct arc arc_of(const struct rab_outline *outline, size_t i);
/* How many edges there are: as many as vertices, one less when open. */
size_t arc_count(const struct rab_outline *outline);

double arc_length(const struct arc *arc);
double arc_radius(const struct arc *arc); /* 0 for lines */
/* Only for arcs; far away for nearly straight ones. */
struct rab_point arc_centre(const struct arc *arc);

/* Where a share of its length (0 to 1) has been travelled, and the unit tangent there (may be
 * NULL). */
struct rab_point arc_at(const struct arc *arc, double share, struct rab_point *tangent);
/* Does the normal through a point meet the arc between its ends? (Else its nearest point is an
 * end.) */
bool arc_faces(const struct arc *arc, struct rab_point point);
/* Signed distance from the full circle or line, positive to the right. */
double arc_side(const struct arc *arc, struct rab_point point);
/* The share of the length at which the arc is nearest to a point. */
double arc_share(const struct arc *arc, struct rab_point point);
/* Bulges of the two parts when the arc is split at a point of it. */
void arc_split(const struct arc *arc, struct rab_point at, double *first, double *second);

/* Least distance from a point; where is in nearest (may be NULL). */
double arc_distance(const struct arc *arc, struct rab_point point, struct rab_point *nearest);
/* Least distance between two edges, 0 where they cross or touch (then both points are the same);
 * where is in on_p and on_q. */
double arc_gap(const struct arc *p, const struct arc *q, struct rab_point *on_p,
               struct rab_point *on_q);

#endif
