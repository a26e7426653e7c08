/*
 * One line or arc of at most half a turn in the form that all crossing tests share.
 *
 * Chord-local: with u = X - P, left unit normal n and signed curvature k at the start P,
 *     F(u) = k |u|^2 / 2 - n.u
 * is 0 on the whole line or circle, and 2 F / (1 + sqrt(1 + 2 k F)) is the distance from it,
 * positive to the right of the direction of travel. Nothing refers to a centre, so nearly straight
 * arcs lose no digits and lines are the case k = 0.
 */
#ifndef RABBET_REGION_EDGE_H
#define RABBET_REGION_EDGE_H

#include "rabbet/outline.h"

#include <math.h>

/* Plain forms of fmin, fmax and hypot: coordinates are finite and far from overflow, and the
 * library's care for the rest costs a tenth of the time. */
static inline double lesser(double a, double b)
{
    return a < b ? a : b;
}
static inline double greater(double a, double b)
{
    return a > b ? a : b;
}
static inline double length_of(double dx, double dy)
{
    return sqrt(dx * dx + dy * dy);
}

struct edge {
    double px, py, qx, qy;
    double bulge;
    double nx, ny; /* left unit normal at P */
    double k;      /* signed curvature, positive counter-clockwise */
    double chord;
};

static inline struct edge edge_make(double px, double py, double qx, double qy, double bulge)
{
    const double dx = qx - px, dy = qy - py, chord = sqrt(dx * dx + dy * dy);
    const double ux = dx / chord, uy = dy / chord, q = 1 / (1 + bulge * bulge);
    const double c = (1 - bulge * bulge) * q, s = 2 * bulge * q;
    struct edge e = {px, py, qx, qy, bulge, ux * s - uy * c, ux * c + uy * s, 0, chord};

    e.k = 4 * bulge * q / chord;
    return e;
}

/* Signed distance from the whole line or circle, positive to the right. */
static inline double edge_side(const struct edge *e, double x, double y)
{
    const double ux = x - e->px, uy = y - e->py;
    const double f = e->k * (ux * ux + uy * uy) / 2 - (e->nx * ux + e->ny * uy);
    const double in = 1 + 2 * e->k * f;

    return 2 * f / (1 + sqrt(in > 0 ? in : 0));
}

/* Of a point on the line or circle: does it lie between the ends? */
static inline bool edge_spans(const struct edge *e, double x, double y)
{
    const double dx = e->qx - e->px, dy = e->qy - e->py, ux = x - e->px, uy = y - e->py;
    const double cross = dx * uy - dy * ux;

    if (fabs(e->bulge) < 0.4) {
        /* Flat: the far side of the circle is more than a chord away. */
        const double along = dx * ux + dy * uy, c2 = e->chord * e->chord;
        return along > 0 && along < c2 && fabs(cross) < c2 / 2;
    }
    return e->bulge > 0 ? cross < 0 : cross > 0;
}

/* Rises from 0 to 1 along the edge, at an even pace near both ends. */
static inline double edge_key(const struct edge *e, double x, double y)
{
    const double p = length_of(x - e->px, y - e->py), q = length_of(x - e->qx, y - e->qy);

    return p / (p + q);
}

/* 1 - c for a unit vector (c, s), without cancellation. */
static inline double edge_less(double c, double s)
{
    return c > 0 ? s * s / (1 + c) : 1 - c;
}

static inline struct rab_box edge_box(const struct edge *e, double more)
{
    struct rab_box b = {lesser(e->px, e->qx), lesser(e->py, e->qy), greater(e->px, e->qx),
                        greater(e->py, e->qy)};

    if (e->bulge != 0) {
        /* An extreme point lies inside the arc where its tangent turns past an axis: then the
         * chord and the tangents at both ends lie on different sides of it. */
        const double a = fabs(1 / e->k);
        const double s = e->k > 0 ? 1 : -1;
        const double x0 = -s * e->nx, y0 = -s * e->ny; /* unit, from the centre to P */
        const double turn = 1 / (1 + e->bulge * e->bulge);
        const double c = (1 - e->bulge * e->bulge) * turn, d = 2 * e->bulge * turn;
        const double c2 = c * c - d * d, s2 = 2 * c * d; /* the whole included angle */
        const double x1 = x0 * c2 - y0 * s2, y1 = x0 * s2 + y0 * c2;
        /* Going the positive way from the first to the last direction. */
        const double fx = s > 0 ? x0 : x1, fy = s > 0 ? y0 : y1;
        const double lx = s > 0 ? x1 : x0, ly = s > 0 ? y1 : y0;
        const bool half = fabs(e->bulge) >= 1;

        /* An axis direction lies between when it is left of the first and right of the last. */
        if (-fy > 0 && (half ? ly >= 0 : ly > 0))
            b.x1 = greater(b.x1, e->px + a * edge_less(x0, y0));
        if (fy > 0 && (half ? -ly >= 0 : -ly > 0))
            b.x0 = lesser(b.x0, e->px - a * edge_less(-x0, y0));
        if (fx > 0 && (half ? -lx >= 0 : -lx > 0))
            b.y1 = greater(b.y1, e->py + a * edge_less(y0, x0));
        if (-fx > 0 && (half ? lx >= 0 : lx > 0))
            b.y0 = lesser(b.y0, e->py - a * edge_less(-y0, x0));
    }
    b.x0 -= more;
    b.y0 -= more;
    b.x1 += more;
    b.y1 += more;
    return b;
}

/* The point half way along. */
static inline struct rab_point edge_middle(const struct edge *e)
{
    const double h = e->bulge / 2, dx = e->qx - e->px, dy = e->qy - e->py;

    return (struct rab_point){(e->px + e->qx) / 2 + dy * h, (e->py + e->qy) / 2 - dx * h};
}

/* The point part of the way along (by angle). */
struct rab_point edge_part_way(const struct edge *e, double part);

/* Twice the signed area between the origin and the way from p to q. */
static inline double edge_area_of(double px, double py, double qx, double qy, double b)
{
    const double dx = qx - px, dy = qy - py, s = b * b;
    double segment; /* for a chord of 1 */

    if (s < 0.01) /* the closed form's series: it divides 0 by 0 here */
        segment = b * (1.0 / 3 + s * (1.0 / 15 - s * (1.0 / 105 - s / 315)));
    else
        segment = ((1 + s) * (1 + s) * atan(b) - b * (1 - s)) / (8 * s);
    return px * qy - py * qx + 2 * segment * (dx * dx + dy * dy);
}
static inline double edge_area(const struct edge *e)
{
    return edge_area_of(e->px, e->py, e->qx, e->qy, e->bulge);
}

/* Unit tangent at the start and at the end. */
static inline struct rab_point edge_leaves(const struct edge *e)
{
    return (struct rab_point){e->ny, -e->nx};
}
static inline struct rab_point edge_arrives(const struct edge *e)
{
    const double ux = (e->qx - e->px) / e->chord, uy = (e->qy - e->py) / e->chord;
    const double q = 1 / (1 + e->bulge * e->bulge);
    const double c = (1 - e->bulge * e->bulge) * q, s = 2 * e->bulge * q;

    return (struct rab_point){ux * c - uy * s, ux * s + uy * c};
}

/* The same way backwards. */
static inline struct edge edge_back(const struct edge *e)
{
    return edge_make(e->qx, e->qy, e->px, e->py, -e->bulge);
}

/* Where the whole lines or circles of two edges meet, at most two points. Points that do not lie
 * on both within `near` (badly conditioned near-coincidence) are left out. */
int edge_meet(const struct edge *a, const struct edge *b, double near, struct rab_point at[2]);

/* The same for an edge and the one after it, which starts at its end: the other meeting point,
 * without the rounding that a tangent joint would bring. */
int edge_meet_next(const struct edge *a, const struct edge *next, double near,
                   struct rab_point *at);

/* The bulge of the part of an edge between two points on it. */
double edge_part(const struct edge *e, struct rab_point from, struct rab_point to);

/* The contribution of an edge to the winding number about a point, by a ray to the right: that of
 * the chord, and of the segment between chord and arc. A point on the chord counts as lying a
 * trifle above it, or right of an upright one, for both. */
static inline int edge_winding(const struct edge *e, double x, double y)
{
    const double dx = e->qx - e->px, dy = e->qy - e->py;
    const double cross = dx * (y - e->py) - dy * (x - e->px);
    const bool left = cross > 0 || (cross == 0 && (dx > 0 || (dx == 0 && dy < 0)));
    int w = 0;

    if (e->py <= y && y < e->qy)
        w += left;
    else if (e->qy <= y && y < e->py)
        w -= !left;
    if (e->bulge > 0 && !left && edge_side(e, x, y) < 0)
        w++;
    else if (e->bulge < 0 && left && edge_side(e, x, y) > 0)
        w--;
    return w;
}

/* Least distance from a point to the edge. */
double edge_distance(const struct edge *e, double x, double y);

#endif
