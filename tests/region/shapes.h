/*
 * Outlines for the tests of the region room: drawn with plain formulas, so that a test does not
 * rest on the code it tries. Millimetres; every shape runs counter-clockwise unless it says
 * otherwise. Lack of memory ends the program.
 */
#ifndef TESTS_REGION_SHAPES_H
#define TESTS_REGION_SHAPES_H

#include <rabbet/outline.h>

struct shapes {
    struct rab_outline *items;
    size_t count, capacity;
};

void shapes_clear(struct shapes *list);
/* A new empty outline at the end of the list; good until the next one is added. */
struct rab_outline *shapes_next(struct shapes *list);
void shapes_copy(const struct shapes *in, struct shapes *out); /* out: added to */
void put(struct rab_outline *outline, double x, double y, double bulge);

/* Turn the last outline round (clockwise): a hole under the nonzero rule. */
void reverse_last(struct shapes *list);
/* Turn about the origin, then scale, then move, everything in the list. */
void shapes_place(struct shapes *list, double turn, double scale, double dx, double dy);

void add_polygon(struct shapes *list, size_t count, const struct rab_point *points);
void add_rectangle(struct shapes *list, double x0, double y0, double x1, double y1);
void add_rounded(struct shapes *list, double x0, double y0, double x1, double y1, double radius);
void add_circle(struct shapes *list, double x, double y, double radius);
void add_regular(struct shapes *list, size_t corners, double x, double y, double radius,
                 double turn);
/* Star polygon {n/k}: crosses itself when k > 1. */
void add_star(struct shapes *list, size_t n, size_t k, double x, double y, double radius,
              double turn);
/* A rectangle with a half circle on top; (x, y) is the lower left corner. */
void add_arch(struct shapes *list, double x, double y, double width, double to_springing);
/* A rectangle with a pointed head of two arcs whose radius is `sharp` times the width. */
void add_lancet(struct shapes *list, double x, double y, double width, double to_springing,
                double sharp);
/* Two half circles of the radius joined by sides of the length, lying along x. */
void add_stadium(struct shapes *list, double x, double y, double length, double radius);
void add_reuleaux(struct shapes *list, double x, double y, double width);
/* Foil: a ring of `lobes` equal arcs about (x, y) that meet in cusps. Each lobe is centred at the
 * distance `out` from the middle and has the radius given; the lobes must meet their neighbours. */
void add_foil(struct shapes *list, size_t lobes, double x, double y, double out, double radius,
              double turn);
/* Square of side s with a half disc on every side. */
void add_quatrefoil(struct shapes *list, double x, double y, double side);
/* Annulus sector between the radii, from angle a0 to a1 (a1 - a0 under 2 pi). */
void add_band(struct shapes *list, double x, double y, double inner, double outer, double a0,
              double a1);
/* A square page with `per_side` scallops of the depth outward on every side. */
void add_scalloped(struct shapes *list, double x, double y, double side, size_t per_side,
                   double depth);
/* A smooth closed line of `pairs` biarcs (2 * pairs arcs, tangent to each other) about (x, y):
 * radius r + wave * cos(lobes * angle + phase). */
void add_blob(struct shapes *list, size_t pairs, double x, double y, double r, double wave,
              unsigned lobes, double phase);

/* Seeded numbers: the same everywhere. Source: splitmix64, Steele, Lea and Flood, OOPSLA 2014. */
struct seeded {
    uint64_t state;
};
uint64_t seeded_next(struct seeded *numbers);
double seeded_real(struct seeded *numbers, double low, double high);
int seeded_int(struct seeded *numbers, int low, int high); /* both included */

#endif
