/*
 * Regions: what paper covers. Simple outlines that do not cross, with the tree that says which
 * lies in which, and everything that is made of them: union, difference, grow, fill rules.
 *
 * One mechanism resolves all of it, a planar arrangement of lines and arcs (docs/geometry.md).
 * Points closer than RAB_SAME_POINT become one. Every result is checked before it is handed over:
 * outlines closed, directed, not crossing, nested by turns, and on the right side of the input;
 * when a check fails the work is done again with ten times the tolerance, twice, and then it is
 * an error. Never a wrong region.
 */
#ifndef RABBET_REGION_H
#define RABBET_REGION_H

#include "outline.h"

/* Millimetres. Far above what a double rounds off at one metre (about 1e-13 mm), far below what
 * paper, blade or eye can show. */
#define RAB_SAME_POINT 1e-7
#define RAB_NO_PARENT ((size_t)-1)

/* Material lies to the left: outer outlines run counter-clockwise, holes clockwise. Outlines may
 * touch in single points. No bulge is beyond +-1: an arc over half a turn is two vertices of one
 * circle. parents[i] is the outline that directly encloses outline i, or
 * RAB_NO_PARENT. Parents stand before their children. Start from {0}. */
struct rab_region {
    struct rab_outline *outlines;
    size_t *parents;
    size_t count;
};

enum rab_fill {
    RAB_FILL_NONZERO, /* SVG 1.1, section 11.3 */
    RAB_FILL_EVENODD,
    RAB_FILL_POSITIVE, /* winding number above 0 */
};
enum rab_combine {
    RAB_UNION,
    RAB_INTERSECTION,
    RAB_DIFFERENCE, /* a without b */
    RAB_EXCLUSIVE,  /* in one but not in both */
};
enum rab_join {
    RAB_JOIN_ROUND,
    RAB_JOIN_MITRE, /* corners up to the limit are extended to a point, sharper ones rounded */
};

RAB_API void rab_region_clear(struct rab_region *region);
RAB_API bool rab_region_copy(const struct rab_region *in, struct rab_region *out,
                             struct rab_error *err);

/*
 * What a set of outlines covers by a fill rule; they may cross themselves and each other, overlap,
 * repeat, touch. Open outlines count as closed by a straight line. Err: GEOMETRY when the result
 * fails its check or a coordinate is beyond 1e6 mm or not finite, MEMORY.
 */
RAB_API bool rab_region_fill(const struct rab_outline *outlines, size_t count, enum rab_fill rule,
                             struct rab_region *out, struct rab_error *err);

RAB_API bool rab_region_combine(const struct rab_region *a, const struct rab_region *b,
                                enum rab_combine how, struct rab_region *out,
                                struct rab_error *err);

/*
 * Everything within `distance` of the region (distance > 0), or everything of it further than
 * -distance from its edge (distance < 0; what is too thin vanishes, the result may be empty).
 * Arcs stay arcs. limit is for RAB_JOIN_MITRE: the longest mitre, as a multiple of the distance
 * (SVG's stroke-miterlimit: 1/sin(half the corner's angle)); 0 means 4.
 *
 * Source: Chen and McMains, Polygon Offsetting by Computing Winding Numbers, ASME DETC 2005;
 * arcs by the same argument (docs/geometry.md).
 */
RAB_API bool rab_region_grow(const struct rab_region *in, double distance, enum rab_join join,
                             double limit, struct rab_region *out, struct rab_error *err);

RAB_API double rab_region_area(const struct rab_region *region);
RAB_API double rab_region_perimeter(const struct rab_region *region);
RAB_API struct rab_box rab_region_box(const struct rab_region *region);
RAB_API size_t rab_region_vertices(const struct rab_region *region);
/* Is the point in the material? Undefined for points on the edge. */
RAB_API bool rab_region_holds(const struct rab_region *region, struct rab_point point);

/* Is this a valid region as described above? False with GEOMETRY and the place when not. */
RAB_API bool rab_region_check(const struct rab_region *region, struct rab_error *err);

#endif
