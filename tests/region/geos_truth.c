#include "geos_truth.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "chords.h"

static void complain(const char *message, void *context)
{
    struct truth *truth = context;
    snprintf(truth->message, sizeof truth->message, "%s", message);
}

bool truth_open(struct truth *truth)
{
    truth->message[0] = '\0';
    truth->geos = GEOS_init_r();
    if (!truth->geos)
        return false;
    GEOSContext_setErrorMessageHandler_r(truth->geos, complain, truth);
    return true;
}

void truth_close(struct truth *truth)
{
    GEOS_finish_r(truth->geos);
}

void chorded_clear(struct truth *truth, struct chorded *chorded)
{
    GEOSGeom_destroy_r(truth->geos, chorded->shape);
    *chorded = (struct chorded){0};
}

/* The points and the first one again. NULL when there are fewer than three. */
static GEOSCoordSequence *closed_sequence(struct truth *truth, const struct rab_point *points,
                                          size_t count)
{
    if (count < 3)
        return NULL;
    double *xy = malloc((count + 1) * 2 * sizeof *xy);
    if (!xy)
        abort();
    for (size_t i = 0; i <= count; i++) {
        xy[2 * i] = points[i % count].x;
        xy[2 * i + 1] = points[i % count].y;
    }
    GEOSCoordSequence *sequence =
        GEOSCoordSeq_copyFromBuffer_r(truth->geos, xy, (unsigned)(count + 1), 0, 0);
    free(xy);
    return sequence;
}

static GEOSGeometry *polygon(struct truth *truth, const struct rab_point *points, size_t count)
{
    GEOSCoordSequence *sequence = closed_sequence(truth, points, count);
    GEOSGeometry *ring = sequence ? GEOSGeom_createLinearRing_r(truth->geos, sequence) : NULL;
    return ring ? GEOSGeom_createPolygon_r(truth->geos, ring, NULL, 0) : NULL;
}

static GEOSGeometry *nothing(struct truth *truth)
{
    return GEOSGeom_createEmptyPolygon_r(truth->geos);
}

/* Takes the parts over. */
static GEOSGeometry *union_of(struct truth *truth, GEOSGeometry **parts, size_t count)
{
    if (count == 0)
        return nothing(truth);
    GEOSGeometry *all = GEOSGeom_createCollection_r(truth->geos, GEOS_GEOMETRYCOLLECTION, parts,
                                                    (unsigned)count);
    GEOSGeometry *sum = all ? GEOSUnaryUnion_r(truth->geos, all) : NULL;
    GEOSGeom_destroy_r(truth->geos, all);
    return sum;
}

static GEOSGeometry *faces_filled(struct truth *truth, GEOSGeometry *faces,
                                  const struct edges *edges, enum rab_fill rule)
{
    const int count = GEOSGetNumGeometries_r(truth->geos, faces);
    GEOSGeometry **kept = calloc((size_t)count + 1, sizeof *kept);
    size_t n = 0;
    if (!kept)
        abort();
    for (int i = 0; i < count; i++) {
        const GEOSGeometry *face = GEOSGetGeometryN_r(truth->geos, faces, i);
        GEOSGeometry *point = GEOSPointOnSurface_r(truth->geos, face);
        struct rab_point p;
        if (point && GEOSGeomGetX_r(truth->geos, point, &p.x) == 1 &&
            GEOSGeomGetY_r(truth->geos, point, &p.y) == 1 &&
            winding_filled(brute_winding(edges, p), rule))
            kept[n++] = GEOSGeom_clone_r(truth->geos, face);
        GEOSGeom_destroy_r(truth->geos, point);
    }
    GEOSGeometry *sum = union_of(truth, kept, n);
    free(kept);
    return sum;
}

static GEOSGeometry *noded_fill(struct truth *truth, const struct chords *rings, size_t count,
                                enum rab_fill rule, double grid)
{
    GEOSGeometry **lines = calloc(count + 1, sizeof *lines);
    struct edges edges = {0};
    size_t n = 0;
    if (!lines)
        abort();
    for (size_t i = 0; i < count; i++) {
        GEOSCoordSequence *sequence = closed_sequence(truth, rings[i].points, rings[i].count);
        if (!sequence)
            continue;
        lines[n++] = GEOSGeom_createLineString_r(truth->geos, sequence);
        struct shapes ring = {0};
        add_polygon(&ring, rings[i].count, rings[i].points);
        brute_edges(ring.items, 1, &edges);
        shapes_clear(&ring);
    }
    GEOSGeometry *result = NULL;
    if (n == 0) {
        result = nothing(truth);
    } else {
        GEOSGeometry *all = GEOSGeom_createCollection_r(truth->geos, GEOS_MULTILINESTRING, lines,
                                                        (unsigned)n);
        GEOSGeometry *noded = NULL;
        if (all)
            noded = grid > 0 ? GEOSUnaryUnionPrec_r(truth->geos, all, grid)
                             : GEOSUnaryUnion_r(truth->geos, all);
        const GEOSGeometry *const input[] = {noded};
        GEOSGeometry *faces = noded ? GEOSPolygonize_r(truth->geos, input, 1) : NULL;
        if (faces)
            result = faces_filled(truth, faces, &edges, rule);
        GEOSGeom_destroy_r(truth->geos, faces);
        GEOSGeom_destroy_r(truth->geos, noded);
        GEOSGeom_destroy_r(truth->geos, all);
    }
    brute_clear(&edges);
    free(lines);
    return result;
}

struct chorded truth_fill(struct truth *truth, const struct rab_outline *outlines, size_t count,
                          enum rab_fill rule, double sagitta, double grid)
{
    struct chorded made = {.rings = count};
    struct chords *rings = calloc(count + 1, sizeof *rings);
    struct edges edges = {0};
    if (!rings)
        abort();
    for (size_t i = 0; i < count; i++) {
        chords_of(&outlines[i], sagitta, &rings[i]);
        made.segments += rings[i].segments;
        made.sagitta = fmax(made.sagitta, rings[i].sagitta);
    }
    brute_edges(outlines, count, &edges);
    made.length = brute_length(&edges);
    if (count == 1 && rule != RAB_FILL_POSITIVE && grid <= 0) {
        made.shape = polygon(truth, rings[0].points, rings[0].count);
        if (made.shape && GEOSisValid_r(truth->geos, made.shape) != 1) {
            GEOSGeom_destroy_r(truth->geos, made.shape);
            made.shape = NULL;
        }
    }
    if (!made.shape)
        made.shape = noded_fill(truth, rings, count, rule, grid);
    brute_clear(&edges);
    for (size_t i = 0; i < count; i++)
        chords_clear(&rings[i]);
    free(rings);
    return made;
}

/* Polygons with holes straight from the tree. NULL when chords that touch make them invalid. */
static GEOSGeometry *tree_polygons(struct truth *truth, const struct rab_region *region,
                                   const struct chords *rings)
{
    GEOSGeometry **parts = calloc(region->count, sizeof *parts);
    GEOSGeometry **holes = calloc(region->count, sizeof *holes);
    size_t n = 0;
    bool good = parts && holes;
    for (size_t i = 0; i < region->count && good; i++) {
        size_t depth = 0, hole_count = 0;
        for (size_t up = region->parents[i]; up != RAB_NO_PARENT; up = region->parents[up])
            depth++;
        if (depth % 2)
            continue;
        for (size_t k = i + 1; k < region->count && good; k++)
            if (region->parents[k] == i) {
                GEOSCoordSequence *inner =
                    closed_sequence(truth, rings[k].points, rings[k].count);
                GEOSGeometry *ring = inner ? GEOSGeom_createLinearRing_r(truth->geos, inner) : NULL;
                good = ring;
                if (ring)
                    holes[hole_count++] = ring;
            }
        GEOSCoordSequence *outer = closed_sequence(truth, rings[i].points, rings[i].count);
        GEOSGeometry *shell = outer ? GEOSGeom_createLinearRing_r(truth->geos, outer) : NULL;
        if (good && shell) {
            GEOSGeometry *part =
                GEOSGeom_createPolygon_r(truth->geos, shell, holes, (unsigned)hole_count);
            good = part;
            if (part)
                parts[n++] = part;
        } else {
            good = false;
            GEOSGeom_destroy_r(truth->geos, shell);
            for (size_t k = 0; k < hole_count; k++)
                GEOSGeom_destroy_r(truth->geos, holes[k]);
        }
    }
    GEOSGeometry *all = NULL;
    if (good) {
        all = GEOSGeom_createCollection_r(truth->geos, GEOS_MULTIPOLYGON, parts, (unsigned)n);
        if (all && GEOSisValid_r(truth->geos, all) != 1) {
            GEOSGeom_destroy_r(truth->geos, all);
            all = NULL;
        }
    } else {
        for (size_t i = 0; i < n; i++)
            GEOSGeom_destroy_r(truth->geos, parts[i]);
    }
    free(parts);
    free(holes);
    return all;
}

struct chorded truth_region(struct truth *truth, const struct rab_region *region, double sagitta)
{
    struct chorded made = {.rings = region->count};
    struct edges edges = {0};
    if (region->count == 0) {
        made.shape = nothing(truth);
        return made;
    }
    struct chords *rings = calloc(region->count, sizeof *rings);
    if (!rings)
        abort();
    for (size_t i = 0; i < region->count; i++) {
        chords_of(&region->outlines[i], sagitta, &rings[i]);
        made.segments += rings[i].segments;
        made.sagitta = fmax(made.sagitta, rings[i].sagitta);
    }
    brute_edges(region->outlines, region->count, &edges);
    made.length = brute_length(&edges);
    made.shape = tree_polygons(truth, region, rings);
    if (!made.shape)
        made.shape = noded_fill(truth, rings, region->count, RAB_FILL_POSITIVE, 0);
    brute_clear(&edges);
    for (size_t i = 0; i < region->count; i++)
        chords_clear(&rings[i]);
    free(rings);
    return made;
}

static GEOSGeometry *overlay(struct truth *truth, const GEOSGeometry *a, const GEOSGeometry *b,
                             enum rab_combine how, double grid)
{
    switch (how) {
    case RAB_UNION:
        return GEOSUnionPrec_r(truth->geos, a, b, grid);
    case RAB_INTERSECTION:
        return GEOSIntersectionPrec_r(truth->geos, a, b, grid);
    case RAB_DIFFERENCE:
        return GEOSDifferencePrec_r(truth->geos, a, b, grid);
    case RAB_EXCLUSIVE:
        return GEOSSymDifferencePrec_r(truth->geos, a, b, grid);
    }
    return NULL;
}

/* Where two shapes touch, GEOS gives the lines and points in common too: drop them. */
static GEOSGeometry *areas_only(struct truth *truth, GEOSGeometry *made)
{
    if (GEOSGeomTypeId_r(truth->geos, made) != GEOS_GEOMETRYCOLLECTION)
        return made;
    const int count = GEOSGetNumGeometries_r(truth->geos, made);
    GEOSGeometry **parts = calloc((size_t)count + 1, sizeof *parts);
    unsigned n = 0;
    if (!parts)
        abort();
    for (int i = 0; i < count; i++) {
        const GEOSGeometry *part = GEOSGetGeometryN_r(truth->geos, made, i);
        if (GEOSGeomTypeId_r(truth->geos, part) == GEOS_POLYGON)
            parts[n++] = GEOSGeom_clone_r(truth->geos, part);
    }
    GEOSGeometry *areas = GEOSGeom_createCollection_r(truth->geos, GEOS_MULTIPOLYGON, parts, n);
    GEOSGeom_destroy_r(truth->geos, made);
    free(parts);
    return areas;
}

GEOSGeometry *truth_combine(struct truth *truth, const GEOSGeometry *a, const GEOSGeometry *b,
                            enum rab_combine how, double grid)
{
    /* In floating numbers overlay may fail, on a fine grid it cannot. */
    GEOSGeometry *made = overlay(truth, a, b, how, grid);
    if (!made && grid <= 0)
        made = overlay(truth, a, b, how, 1e-9);
    return made ? areas_only(truth, made) : NULL;
}

double truth_apart(struct truth *truth, const GEOSGeometry *a, const GEOSGeometry *b, double grid)
{
    double area = -1;
    GEOSGeometry *apart = truth_combine(truth, a, b, RAB_EXCLUSIVE, grid);
    if (!apart || GEOSArea_r(truth->geos, apart, &area) != 1)
        area = -1;
    GEOSGeom_destroy_r(truth->geos, apart);
    return area;
}

/* Chords to a quarter circle of radius r so that none is further off than the sagitta. */
static int quarter_chords(double r, double sagitta)
{
    if (sagitta >= r)
        return 1;
    return (int)ceil(RAB_PI / 4 / acos(1 - sagitta / r));
}

GEOSGeometry *truth_buffer(struct truth *truth, const GEOSGeometry *a, double distance,
                           double sagitta)
{
    return GEOSBuffer_r(truth->geos, a, distance, quarter_chords(fabs(distance), sagitta));
}

/* All within r of the line from a to b, its round ends inscribed. */
static GEOSGeometry *capsule(struct truth *truth, struct rab_point a, struct rab_point b, double r,
                             double sagitta)
{
    const int n = 2 * quarter_chords(r, sagitta);
    struct chords line = {0};
    const double direction = atan2(b.y - a.y, b.x - a.x);
    line.points = malloc(2 * (size_t)(n + 1) * sizeof *line.points);
    if (!line.points)
        abort();
    for (int end = 0; end < 2; end++)
        for (int i = 0; i <= n; i++) {
            const double t = direction + RAB_PI * ((end ? 0.5 : -0.5) + (double)i / n);
            const struct rab_point c = end ? a : b;
            line.points[line.count++] = (struct rab_point){c.x + r * cos(t), c.y + r * sin(t)};
        }
    GEOSGeometry *made = polygon(truth, line.points, line.count);
    chords_clear(&line);
    return made;
}

struct parts {
    GEOSGeometry **items;
    size_t count, capacity;
};
static void parts_add(struct parts *parts, GEOSGeometry *part)
{
    if (parts->count == parts->capacity) {
        parts->capacity = parts->capacity ? 2 * parts->capacity : 64;
        parts->items = realloc(parts->items, parts->capacity * sizeof *parts->items);
        if (!parts->items)
            abort();
    }
    if (part)
        parts->items[parts->count++] = part;
}

GEOSGeometry *truth_grow_by_parts(struct truth *truth, const GEOSGeometry *a,
                                  const struct rab_region *in, double distance, double chord_sagitta,
                                  double sagitta)
{
    struct parts parts = {0};
    for (size_t i = 0; i < in->count; i++) {
        struct chords ring = {0};
        chords_of(&in->outlines[i], chord_sagitta, &ring);
        for (size_t k = 0; k < ring.count; k++)
            parts_add(&parts, capsule(truth, ring.points[k], ring.points[(k + 1) % ring.count],
                                      fabs(distance), sagitta));
        chords_clear(&ring);
    }
    GEOSGeometry *near = union_of(truth, parts.items, parts.count);
    free(parts.items);
    if (!near)
        return NULL;
    GEOSGeometry *made = truth_combine(truth, a, near, distance > 0 ? RAB_UNION : RAB_DIFFERENCE, 0);
    GEOSGeom_destroy_r(truth->geos, near);
    return made;
}

GEOSGeometry *truth_mitre(struct truth *truth, GEOSGeometry *rounded, const struct rab_region *in,
                          double distance, double limit)
{
    struct parts parts = {0};
    struct kites kites = {0};
    kites_of(in, distance, limit, &kites);
    for (size_t i = 0; i < kites.count; i++)
        parts_add(&parts, polygon(truth, kites.items[i].corner, 4));
    kites_clear(&kites);
    GEOSGeometry *corners = union_of(truth, parts.items, parts.count);
    free(parts.items);
    GEOSGeometry *made = NULL;
    if (rounded && corners)
        made = truth_combine(truth, rounded, corners, distance > 0 ? RAB_UNION : RAB_DIFFERENCE, 0);
    GEOSGeom_destroy_r(truth->geos, corners);
    GEOSGeom_destroy_r(truth->geos, rounded);
    return made;
}
