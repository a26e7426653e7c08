#include "edge.h"

/* One Newton step onto both curves; what is nearly tangent is left as it is. */
static void polish(const struct edge *a, const struct edge *b, struct rab_point *at)
{
    const double ax = a->k * (at->x - a->px) - a->nx, ay = a->k * (at->y - a->py) - a->ny;
    const double bx = b->k * (at->x - b->px) - b->nx, by = b->k * (at->y - b->py) - b->ny;
    const double det = ax * by - ay * bx;

    if (fabs(det) > 1e-5) {
        const double da = edge_side(a, at->x, at->y), db = edge_side(b, at->x, at->y);
        at->x -= (da * by - db * ay) / det;
        at->y -= (ax * db - bx * da) / det;
    }
}

static int keep(const struct edge *a, const struct edge *b, double near, struct rab_point found[2],
                int count, struct rab_point at[2])
{
    int kept = 0;

    for (int i = 0; i < count; i++) {
        polish(a, b, &found[i]);
        if (fabs(edge_side(a, found[i].x, found[i].y)) <= near &&
            fabs(edge_side(b, found[i].x, found[i].y)) <= near)
            at[kept++] = found[i];
    }
    return kept;
}

int edge_meet(const struct edge *a, const struct edge *b, double near, struct rab_point at[2])
{
    struct rab_point found[2];

    if (fabs(a->k) < fabs(b->k)) {
        const struct edge *swap = a;
        a = b;
        b = swap;
    }
    const double wx = b->px - a->px, wy = b->py - a->py;
    if (a->k == 0) {
        const double slope = b->nx * a->ny - b->ny * a->nx;
        if (fabs(slope) < 1e-14)
            return 0;
        const double t = (b->nx * wx + b->ny * wy) / slope;
        found[0] = (struct rab_point){a->px + t * a->ny, a->py - t * a->nx};
        return keep(a, b, near, found, 1, at);
    }

    /* The radical line v.u = c, then its points on the more curved of the two. */
    const double vx = a->k * b->nx - b->k * a->nx + a->k * b->k * wx;
    const double vy = a->k * b->ny - b->k * a->ny + a->k * b->k * wy;
    const double c = a->k * (b->k * (wx * wx + wy * wy) / 2 + b->nx * wx + b->ny * wy);
    const double v = sqrt(vx * vx + vy * vy);
    if (v <= 1e-15 * fabs(a->k))
        return 0;
    const double ex = vx / v, ey = vy / v, h = c / v, normal = a->nx * ex + a->ny * ey;
    const double q = a->k * h - normal, disc = (1 - q) * (1 + q);
    if (!(disc >= 0))
        return 0;
    const double along = a->ny * ex - a->nx * ey; /* n . (-ey, ex) */
    const double root = along + copysign(sqrt(disc), along);
    double t[2];
    int count = 0;
    t[count++] = root / a->k;
    if (root != 0)
        t[count++] = 2 * h * (a->k * h / 2 - normal) / root;
    for (int i = 0; i < count; i++)
        found[i] = (struct rab_point){a->px + h * ex - t[i] * ey, a->py + h * ey + t[i] * ex};
    return keep(a, b, near, found, count, at);
}

int edge_meet_next(const struct edge *a, const struct edge *next, double near, struct rab_point *at)
{
    /* Both pass through the shared vertex: there the radical line does too. */
    const struct rab_point end = edge_arrives(a);
    const double ax = -end.y, ay = end.x; /* left normal of a at its end */
    const double bx = next->nx, by = next->ny;
    const double vx = a->k * bx - next->k * ax, vy = a->k * by - next->k * ay;
    const double v = sqrt(vx * vx + vy * vy);
    const double k = fabs(a->k) > fabs(next->k) ? a->k : next->k;

    if (k == 0 || v <= 1e-15 * fabs(k))
        return 0;
    const double ex = -vy / v, ey = vx / v;
    const double n = fabs(a->k) > fabs(next->k) ? ax * ex + ay * ey : bx * ex + by * ey;
    const double t = 2 * n / k;
    struct rab_point found[2] = {{next->px + t * ex, next->py + t * ey}};

    return keep(a, next, near, found, 1, at);
}

/* tan(a quarter of the angle from the start of an arc to a point on it). */
static double quarter_tan(const struct edge *e, struct rab_point at)
{
    const double px = e->px - at.x, py = e->py - at.y, qx = e->qx - at.x, qy = e->qy - at.y;
    const double dx = e->qx - e->px, dy = e->qy - e->py;
    const double p = length_of(px, py), q = length_of(qx, qy);

    /* Inscribed angles: seen from the far end, the arc to the point spans half its angle. */
    if (p <= q)
        return (dx * qy - dy * qx) / (q * e->chord + (dx * qx + dy * qy));
    const double rest = (dx * py - dy * px) / (p * e->chord - (dx * px + dy * py));
    return (e->bulge - rest) / (1 + e->bulge * rest);
}

double edge_part(const struct edge *e, struct rab_point from, struct rab_point to)
{
    if (e->bulge == 0)
        return 0;
    const double half = length_of(to.x - from.x, to.y - from.y) * fabs(e->k) / 2;
    if (half < 0.9) /* the radius is kept exactly */
        return copysign(half / (1 + sqrt((1 - half) * (1 + half))), e->bulge);
    const double a = quarter_tan(e, from), b = quarter_tan(e, to);
    return (b - a) / (1 + a * b);
}

struct rab_point edge_part_way(const struct edge *e, double part)
{
    /* The chord to the point spans part of the angle, and is turned by half of the rest. */
    const double dx = e->qx - e->px, dy = e->qy - e->py;
    const double quarter = atan(e->bulge), turn = 2 * quarter * (1 - part);
    const double reach = e->bulge == 0 ? part : sin(2 * quarter * part) / sin(2 * quarter);

    return (struct rab_point){e->px + reach * (dx * cos(turn) + dy * sin(turn)),
                              e->py + reach * (dy * cos(turn) - dx * sin(turn))};
}

double edge_distance(const struct edge *e, double x, double y)
{
    const double to_p = length_of(x - e->px, y - e->py), to_q = length_of(x - e->qx, y - e->qy);
    const double ends = lesser(to_p, to_q);
    bool beside;

    if (e->bulge == 0) {
        const double dx = e->qx - e->px, dy = e->qy - e->py;
        const double along = dx * (x - e->px) + dy * (y - e->py);
        beside = along > 0 && along < e->chord * e->chord;
    } else {
        /* Between the normals at both ends, on the side of the centre that the arc is on. */
        const struct rab_point p = edge_leaves(e), q = edge_arrives(e);
        beside =
            (x - e->px) * p.x + (y - e->py) * p.y > 0 && (x - e->qx) * q.x + (y - e->qy) * q.y < 0;
    }
    return beside ? lesser(fabs(edge_side(e, x, y)), ends) : ends;
}
