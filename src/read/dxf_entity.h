/*
 * One entity of a DXF: its groups collected, and the curves that they mean.
 */
#ifndef RABBET_READ_DXF_ENTITY_H
#define RABBET_READ_DXF_ENTITY_H

#include "read/dxf_cursor.h"

enum { DXF_SINGLE_CODES = 240 };

/* A vertex of a polyline, a control point or a fit point. */
struct dxf_vertex {
    double x, y, bulge;
    int flags;
};

/* Start from {0}; entity_read empties it again each time and keeps its memory. */
struct dxf_entity {
    struct slice type, layer, block; /* block: of an INSERT */
    int line;
    bool given[DXF_SINGLE_CODES];
    double single[DXF_SINGLE_CODES]; /* by group code, the last one given */
    struct dxf_vertex *vertices;
    size_t count, capacity;
    double *knots, *weights;
    size_t knot_count, knot_capacity, weight_count, weight_capacity;
};

/*
 * Read one entity whose first group (0) is `first`; the cursor stands after that, and afterwards
 * before the next one's. The VERTEX entities of a POLYLINE are read with it, up to its SEQEND.
 * Err: INPUT with the line, MEMORY.
 */
bool entity_read(struct dxf_cursor *cursor, const struct dxf_tag *first, struct dxf_entity *entity,
                 struct rab_error *err);
void entity_clear(struct dxf_entity *entity);

/* The last value of a group code, `missing` when it was not given. */
double entity_number(const struct dxf_entity *entity, int code, double missing);
bool entity_is(const struct dxf_entity *entity, const char *type);

/* An entity's line as an outline (lines and arcs) or as curves; what is not needed stays empty. */
struct dxf_line {
    struct rab_outline outline;
    struct rab_curve *curves;
    size_t count, capacity;
    bool closed;
};
enum dxf_made {
    DXF_MADE,    /* line holds it */
    DXF_NOTHING, /* it has no length */
    DXF_UNKNOWN, /* no line, or none that is read */
};
/*
 * tolerance  for splines, in the entity's units
 * most       vertices or curves at most
 * line       emptied first; its memory is kept
 * err        INPUT with the line, MEMORY
 */
bool entity_line(const struct dxf_entity *entity, double tolerance, size_t most,
                 struct dxf_line *line, enum dxf_made *made, struct rab_error *err);
void dxf_line_clear(struct dxf_line *line);

#endif
