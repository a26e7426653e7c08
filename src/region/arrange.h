/*
 * The planar arrangement of closed chains of lines and arcs, and the region that a rule on the
 * winding numbers of its faces keeps (docs/geometry.md). The one mechanism behind fill, combine
 * and grow.
 */
#ifndef RABBET_REGION_ARRANGE_H
#define RABBET_REGION_ARRANGE_H

#include "edge.h"
#include "outline/box_tree.h"
#include "rabbet/region.h"

enum rule {
    RULE_NONZERO,
    RULE_EVENODD,
    RULE_POSITIVE,
    RULE_TWICE, /* winding number above 1: what two regions share */
};

static inline bool rule_fills(enum rule rule, int winding)
{
    switch (rule) {
    case RULE_NONZERO:
        return winding != 0;
    case RULE_EVENODD:
        return (winding & 1) != 0;
    case RULE_POSITIVE:
        return winding > 0;
    case RULE_TWICE:
        return winding > 1;
    }
    return false;
}

/* Closed chains, one after another: chain i is vertices[start[i] .. start[i+1]). Bulges at most 1,
 * neighbours further apart than the tolerance they were added with. */
struct chains {
    struct rab_vertex *vertices;
    size_t count, capacity;
    size_t *start;
    size_t chains, start_capacity;
};

/* Chains are made vertex by vertex: begin, add..., end. Steps shorter than `same` are dropped,
 * arcs over half a turn split. end drops what has collapsed. backwards reverses the chain. */
bool chains_add(struct chains *chains, double x, double y, double bulge, double same,
                struct rab_error *err);
bool chains_end(struct chains *chains, double same, bool backwards, struct rab_error *err);
bool chains_outline(struct chains *chains, const struct rab_outline *outline, bool backwards,
                    double same, struct rab_error *err);
void chains_clear(struct chains *chains);

/* The whole work at one tolerance. Err: GEOMETRY when the result fails its check. */
bool arrange(const struct chains *chains, enum rule rule, double same, struct rab_region *out,
             struct rab_error *err);

/* ---- the steps, each in its own file ---- */

#define NOTHING UINT32_MAX /* no enumerator: clang holds those to int */

/* A piece of an edge between two vertices at which anything happens. */
struct piece {
    uint32_t a, b; /* spots: where pieces meet, numbered 0 .. arrangement.spots */
    double bulge;
    uint32_t edge;  /* the edge that it is a piece of */
    int32_t weight; /* how often the way from a to b is taken; 0: dropped */
    int32_t right;  /* winding number to the right (from a to b); left = right + weight */
    uint32_t component;
    bool doubled; /* other pieces lay on it and were added to its weight */
};

/* What is connected: a chain that nothing touches (pieces false: edges lo .. hi), or pieces
 * by_component[lo .. hi). It is closed, so it winds about nothing outside its box. */
struct component {
    bool pieces;
    uint32_t lo, hi;
    struct rab_box box;
    double x, y;  /* a point on it */
    int32_t base; /* winding number of all others about it */
};

struct vertex {
    double x, y;
    uint32_t root;
};

/* An edge passes through a vertex that is not one of its ends. */
struct meeting {
    uint32_t edge, vertex;
    double key; /* edge_key */
};

struct arrangement {
    double same;
    enum rule rule;
    /* edges of the input, edge i from vertex i to vertex next[i] */
    uint32_t edges;
    struct edge *edge;
    uint32_t *next, *chain;
    struct box_tree tree;
    uint32_t chains;
    uint32_t *chain_start; /* chains + 1 */
    bool *touched;         /* chains in which anything happens */
    /* vertices, original ones first; root leads to the vertex that stands for it */
    struct vertex *vertex;
    size_t vertices, vertex_capacity;
    struct meeting *meeting; /* by edge, then along it */
    size_t meetings, meeting_capacity;
    /* pieces of touched chains */
    struct piece *piece;
    uint32_t pieces;
    uint32_t *around, *around_start; /* half-pieces (2 p + (0 leaves a, 1 leaves b)) by vertex */
    uint32_t spots;
    struct rab_point *spot;
    uint32_t *by_component;
    struct component *component;
    size_t components, component_capacity;
};

bool arrangement_split(struct arrangement *arr, const struct chains *chains, struct rab_error *err);
bool arrangement_wind(struct arrangement *arr, struct rab_error *err);
bool arrangement_trace(struct arrangement *arr, struct rab_region *out, struct rab_error *err);
void arrangement_clear(struct arrangement *arr);

/* Winding number of edges lo .. hi about a point, through a tree whose items they are; weights may
 * be NULL for 1 each. */
int edges_winding(const struct box_tree *tree, const struct edge *edges, const int32_t *weights,
                  size_t lo, size_t hi, double x, double y);
/* The same for edges that follow each other from lo to hi, faster: what lies wholly to the right of
 * the point counts by its ends. */
int chain_winding(const struct box_tree *tree, const struct edge *edges, size_t lo, size_t hi,
                  double x, double y);

static inline struct edge piece_edge(const struct arrangement *arr, const struct piece *p)
{
    const struct rab_point a = arr->spot[p->a], b = arr->spot[p->b];

    return edge_make(a.x, a.y, b.x, b.y, p->bulge);
}

/* Loops to a region: turn by turn nesting, parents first, and the checks that the header of the
 * room promises. Takes the outlines over. */
bool region_nest(struct rab_outline *outlines, size_t count, double same, struct rab_region *out,
                 struct rab_error *err);

/* malloc for n items with the overflow and the error looked after; n 0 gives a block as well. */
void *take(size_t n, size_t size, struct rab_error *err);

#endif
