#include "judge.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "region/chords.h"

bool wrong(struct verdict *verdict, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(verdict->text, sizeof verdict->text, format, arguments);
    va_end(arguments);
    return false;
}

/* ---- the region ---- */

/* How many outlines lie around this one. */
static size_t depth_of(const struct rab_region *region, size_t i)
{
    size_t depth = 0;
    for (size_t up = region->parents[i]; up != RAB_NO_PARENT; up = region->parents[up])
        depth++;
    return depth;
}

static GEOSGeometry *ring_of(struct truth *truth, const struct chords *chords)
{
    double *xy = malloc((chords->count + 1) * 2 * sizeof *xy);
    if (!xy)
        abort();
    for (size_t i = 0; i <= chords->count; i++) {
        xy[2 * i] = chords->points[i % chords->count].x;
        xy[2 * i + 1] = chords->points[i % chords->count].y;
    }
    GEOSCoordSequence *sequence =
        GEOSCoordSeq_copyFromBuffer_r(truth->geos, xy, (unsigned)(chords->count + 1), 0, 0);
    free(xy);
    return sequence ? GEOSGeom_createLinearRing_r(truth->geos, sequence) : NULL;
}

/* Polygons with their holes by the region's tree, on chords. NULL when GEOS will not have them. */
static GEOSGeometry *polygons_of(struct truth *truth, const struct rab_region *region,
                                 double sagitta, double *segments)
{
    const size_t count = region->count;
    GEOSGeometry **rings = calloc(count + 1, sizeof *rings),
                 **holes = calloc(count + 1, sizeof *holes);
    GEOSGeometry **parts = calloc(count + 1, sizeof *parts), *all = NULL;
    unsigned part_count = 0;
    bool good = rings && holes && parts;

    for (size_t i = 0; good && i < count; i++) {
        struct chords chords = {0};
        chords_of(&region->outlines[i], sagitta, &chords);
        *segments += chords.segments;
        rings[i] = chords.count >= 3 ? ring_of(truth, &chords) : NULL;
        good = rings[i];
        chords_clear(&chords);
    }
    for (size_t i = 0; good && i < count; i++) {
        if (depth_of(region, i) % 2 == 1)
            continue;
        unsigned hole_count = 0;
        for (size_t k = i + 1; k < count; k++)
            if (region->parents[k] == i) {
                holes[hole_count++] = rings[k];
                rings[k] = NULL;
            }
        parts[part_count] = GEOSGeom_createPolygon_r(truth->geos, rings[i], holes, hole_count);
        rings[i] = NULL;
        good = parts[part_count];
        part_count += good;
    }
    if (good)
        all = GEOSGeom_createCollection_r(truth->geos, GEOS_MULTIPOLYGON, parts, part_count);
    for (size_t i = 0; rings && i < count; i++)
        if (rings[i])
            GEOSGeom_destroy_r(truth->geos, rings[i]);
    free(rings);
    free(holes);
    free(parts);
    return all;
}

bool judge_region(struct truth *truth, const struct rab_region *region, struct verdict *verdict)
{
    struct rab_error err = {0};
    struct edges edges = {0};
    double segments = 0, area = 0;
    bool good = false;

    if (!rab_region_check(region, &err))
        return wrong(verdict, "no valid region: %s", err.text);
    const char *fault = region_fault(region);
    if (fault)
        return wrong(verdict, "no valid region: %s", fault);
    const size_t spare = region_spare_vertices(region);
    if (spare > 0)
        return wrong(verdict, "%zu vertices could be left out", spare);

    brute_edges(region->outlines, region->count, &edges);
    const double exact = brute_area(&edges), length = brute_length(&edges);
    brute_clear(&edges);
    /* Rounding: a few units in the last place of coordinates of some hundred mm, along the edge. */
    const double rounding = 1e-9 * (1 + length);
    if (fabs(rab_region_area(region) - exact) > rounding)
        return wrong(verdict, "area %.9g, edge by edge %.9g", rab_region_area(region), exact);
    if (fabs(rab_region_perimeter(region) - length) > rounding)
        return wrong(verdict, "perimeter %.9g, edge by edge %.9g", rab_region_perimeter(region),
                     length);

    truth->message[0] = '\0';
    GEOSGeometry *all = polygons_of(truth, region, 1e-3, &segments);
    char *reason = NULL;
    GEOSGeometry *place = NULL;
    double x = (double)NAN, y = (double)NAN;
    if (!all) {
        wrong(verdict, "GEOS: no polygons: %s", truth->message);
    } else if (GEOSisValidDetail_r(truth->geos, all, 0, &reason, &place) != 1) {
        if (place) {
            GEOSGeomGetX_r(truth->geos, place, &x);
            GEOSGeomGetY_r(truth->geos, place, &y);
        }
        wrong(verdict, "GEOS: %s at %.6g, %.6g", reason ? reason : "not valid", x, y);
    } else if (GEOSArea_r(truth->geos, all, &area) != 1 ||
               fabs(area - exact) > segments + rounding) {
        wrong(verdict, "area %.9g, by GEOS %.9g, chords explain %.3g", exact, area, segments);
    } else {
        good = true;
    }
    if (place)
        GEOSGeom_destroy_r(truth->geos, place);
    if (reason)
        GEOSFree_r(truth->geos, reason);
    if (all)
        GEOSGeom_destroy_r(truth->geos, all);
    return good;
}

/* ---- measures ---- */

struct item {
    const struct rab_outline *outline;
    size_t piece;
    struct rab_box box;
};

static int by_left_edge(const void *a, const void *b)
{
    const struct item *p = a, *q = b;
    return (p->box.x0 > q->box.x0) - (p->box.x0 < q->box.x0);
}

static double gap_between(const struct rab_outline *a, const struct rab_outline *b)
{
    double gap = (double)NAN;
    struct rab_error err = {0};
    if (!rab_outline_gap(a, b, &gap, NULL, NULL, &err))
        abort();
    return gap;
}

static double box_gap(struct rab_box a, struct rab_box b)
{
    return hypot(fmax(0, fmax(a.x0 - b.x1, b.x0 - a.x1)), fmax(0, fmax(a.y0 - b.y1, b.y0 - a.y1)));
}

/* The outer outline of the piece that this one bounds. */
static size_t piece_of(const struct rab_region *region, size_t i)
{
    return depth_of(region, i) % 2 == 1 ? region->parents[i] : i;
}

/* The least distance between two openings, or between outlines of two pieces. */
static double nearest_pair(const struct rab_region *region, bool openings)
{
    struct item *items = calloc(region->count + 1, sizeof *items);
    double best = HUGE_VAL;
    size_t count = 0;

    if (!items)
        abort();
    for (size_t i = 0; i < region->count; i++)
        if (!openings || depth_of(region, i) % 2 == 1)
            items[count++] = (struct item){&region->outlines[i], piece_of(region, i),
                                           rab_outline_box(&region->outlines[i])};
    qsort(items, count, sizeof *items, by_left_edge);
    for (size_t i = 0; i < count; i++)
        for (size_t k = i + 1; k < count && items[k].box.x0 - items[i].box.x1 < best; k++)
            if ((openings || items[i].piece != items[k].piece) &&
                box_gap(items[i].box, items[k].box) < best)
                best = fmin(best, gap_between(items[i].outline, items[k].outline));
    free(items);
    return best;
}

static double nearest_border(const struct rab_region *region)
{
    double best = HUGE_VAL;
    for (size_t i = 0; i < region->count; i++)
        if (depth_of(region, i) % 2 == 1)
            best = fmin(best,
                        gap_between(&region->outlines[i], &region->outlines[region->parents[i]]));
    return best;
}

static bool around(const struct rab_outline *outer, const struct rab_outline *inner)
{
    const struct rab_point p = {inner->vertices[0].x, inner->vertices[0].y};
    return rab_outline_winding(outer, p) != 0;
}

/* From each place to the edge of the piece around it. */
static double nearest_reveal(const struct rab_figure *figure)
{
    double best = HUGE_VAL;
    for (size_t p = 0; p < figure->place_count; p++) {
        const struct rab_outline *place = &figure->places[p].outline;
        bool held = false;
        for (size_t i = 0; i < figure->paper.count; i++) {
            const struct rab_outline *outline = &figure->paper.outlines[i];
            if (depth_of(&figure->paper, i) % 2 == 0 && around(outline, place)) {
                held = true;
                best = fmin(best, gap_between(place, outline));
            }
        }
        if (!held)
            return 0;
    }
    return best;
}

/* From each opening to the edge of the place that it lies in; 0 where one only partly does. */
static double nearest_overlap(const struct rab_figure *figure)
{
    double best = HUGE_VAL;
    for (size_t i = 0; i < figure->paper.count; i++) {
        const struct rab_outline *opening = &figure->paper.outlines[i];
        const struct rab_box box = rab_outline_box(opening);
        for (size_t p = 0; depth_of(&figure->paper, i) % 2 == 1 && p < figure->place_count; p++) {
            const struct rab_outline *place = &figure->places[p].outline;
            if (box_gap(box, rab_outline_box(place)) > 0)
                continue;
            const double gap = gap_between(place, opening);
            if (gap == 0 || around(place, opening))
                best = fmin(best, gap);
        }
    }
    return best;
}

static double count_depth(const struct rab_region *region, size_t odd)
{
    double count = 0;
    for (size_t i = 0; i < region->count; i++)
        count += depth_of(region, i) % 2 == odd;
    return count;
}

bool judge_promises(const struct reading *reading, const struct rab_figure *figure, double slack,
                    struct verdict *verdict)
{
    const struct rab_region *paper = &figure->paper;
    const struct rab_box box = rab_region_box(paper);

    for (size_t i = 0; i < reading->promise_count; i++) {
        const struct promise *p = &reading->promises[i];
        double got = (double)NAN, allowed = slack;
        if (strcmp(p->what, "width") == 0)
            got = box.x1 - box.x0;
        else if (strcmp(p->what, "height") == 0)
            got = box.y1 - box.y0;
        else if (strcmp(p->what, "web") == 0)
            got = nearest_pair(paper, true);
        else if (strcmp(p->what, "gap") == 0)
            got = nearest_pair(paper, false);
        else if (strcmp(p->what, "border") == 0)
            got = nearest_border(paper);
        else if (strcmp(p->what, "reveal") == 0)
            got = nearest_reveal(figure);
        else if (strcmp(p->what, "overlap") == 0)
            got = nearest_overlap(figure);
        else if (strcmp(p->what, "area") == 0) {
            got = rab_region_area(paper);
            allowed = slack * (1 + rab_region_perimeter(paper));
        } else if (strcmp(p->what, "perimeter") == 0) {
            got = rab_region_perimeter(paper);
            allowed = slack * 10;
        } else if (strcmp(p->what, "openings") == 0 || strcmp(p->what, "pieces") == 0) {
            got = count_depth(paper, p->what[0] == 'o');
            allowed = 0;
        }
        /* A least is kept by what is not there; what is stated exactly must be there. */
        if (!isfinite(p->value) ||
            !(p->least ? got >= p->value - allowed : fabs(got - p->value) <= allowed))
            return wrong(verdict, "%s is %.9g, stated: %s%.9g", p->what, got,
                         p->least ? "at least " : "", p->value);
    }
    return true;
}

/* ---- paths and places ---- */

/* The edges of the paper, each with its box: most have nothing to say about a point. */
struct ground {
    struct edges edges, near;
    struct rab_box *boxes;
};

static void ground_open(const struct rab_region *paper, struct ground *ground)
{
    *ground = (struct ground){0};
    brute_edges(paper->outlines, paper->count, &ground->edges);
    ground->boxes = calloc(ground->edges.count + 1, sizeof *ground->boxes);
    ground->near.items = calloc(ground->edges.count + 1, sizeof *ground->near.items);
    if (!ground->boxes || !ground->near.items)
        abort();
    for (size_t i = 0; i < ground->edges.count; i++) {
        const struct edge *e = &ground->edges.items[i];
        ground->boxes[i] = rab_box_arc((struct rab_vertex){e->a.x, e->a.y, e->bulge}, e->b);
    }
}

static void ground_close(struct ground *ground)
{
    free(ground->boxes);
    free(ground->near.items);
    brute_clear(&ground->edges);
}

/* Within the paper or on its edge. Only edges to the right, at the point's height, wind about it.
 */
static bool ground_holds(struct ground *ground, struct rab_point p, double slack)
{
    ground->near.count = 0;
    for (size_t i = 0; i < ground->edges.count; i++) {
        const struct rab_box *box = &ground->boxes[i];
        if (p.y < box->y0 - slack || p.y > box->y1 + slack || p.x > box->x1 + slack)
            continue;
        if (p.x >= box->x0 - slack && brute_distance_edge(&ground->edges.items[i], p) <= slack)
            return true;
        ground->near.items[ground->near.count++] = ground->edges.items[i];
    }
    return brute_winding(&ground->near, p) > 0;
}

static bool line_sound(const struct rab_outline *line, struct verdict *verdict, const char *name)
{
    if (line->count < 2)
        return wrong(verdict, "%s: a line of %zu vertices", name, line->count);
    for (size_t i = 0; i < line->count; i++)
        if (!isfinite(line->vertices[i].x) || !isfinite(line->vertices[i].y) ||
            !isfinite(line->vertices[i].bulge))
            return wrong(verdict, "%s: a number that is none", name);
    if (rab_outline_perimeter(line) < 1e-6)
        return wrong(verdict, "%s: a line without length", name);
    return true;
}

bool judge_paths(const struct reading *reading, const struct rab_figure *figure, double slack,
                 struct verdict *verdict)
{
    size_t found[RAB_OPERATIONS] = {0};
    struct ground ground;
    bool inside = true;
    struct rab_point off = {0, 0};
    enum rab_operation beside = RAB_CUT;

    for (size_t i = 0; i < figure->path_count; i++) {
        const struct rab_path *path = &figure->paths[i];
        const char *name = rab_operation_name(path->operation);
        found[path->operation]++;
        if (path->piece != 0)
            return wrong(verdict, "%s: a piece of its own", name);
        if (!line_sound(&path->outline, verdict, name))
            return false;
    }
    ground_open(&figure->paper, &ground);
    for (size_t i = 0; i < figure->path_count && inside; i++) {
        struct edges edges = {0};
        beside = figure->paths[i].operation;
        brute_edges(&figure->paths[i].outline, 1, &edges);
        /* The closing line of an open one is not drawn. */
        const struct rab_outline *line = &figure->paths[i].outline;
        const size_t drawn = line->count - line->open;
        const size_t count = edges.count < drawn ? edges.count : drawn;
        for (size_t k = 0; k < count && inside; k++)
            for (int part = 0; part <= 4 && inside; part++) {
                off = brute_point(&edges.items[k], part / 4.0, NULL);
                inside = ground_holds(&ground, off, slack);
            }
        brute_clear(&edges);
    }
    ground_close(&ground);
    if (!inside)
        return wrong(verdict, "%s lies beside the paper at %.6g, %.6g", rab_operation_name(beside),
                     off.x, off.y);
    for (int i = 0; i < RAB_OPERATIONS; i++) {
        if (reading->must[i] && found[i] == 0)
            return wrong(verdict, "%s is in the file and not in the result",
                         rab_operation_name((enum rab_operation)i));
        if (!reading->may[i] && found[i] > 0)
            return wrong(verdict, "%s is in the result and not in the file",
                         rab_operation_name((enum rab_operation)i));
    }
    if (figure->place_count < reading->least_places || figure->place_count > reading->most_places)
        return wrong(verdict, "%zu places, in the file %zu", figure->place_count,
                     reading->most_places);
    for (size_t i = 0; i < figure->place_count; i++) {
        const struct rab_outline *place = &figure->places[i].outline;
        if (!figure->places[i].name || !line_sound(place, verdict, "place"))
            return figure->places[i].name ? false : wrong(verdict, "a place without a name");
        if (place->open || rab_outline_area(place) <= 0)
            return wrong(verdict, "place %s is open or runs clockwise", figure->places[i].name);
    }
    return true;
}

/* ---- files ---- */

bool sheet_of(const struct rab_figure *figure, struct rab_sheet *sheet, struct rab_error *err)
{
    struct rab_box box = rab_region_box(&figure->paper);
    for (size_t i = 0; i < figure->path_count; i++)
        box = rab_box_join(box, rab_outline_box(&figure->paths[i].outline));
    sheet->width = box.x1 - box.x0;
    sheet->height = box.y1 - box.y0;
    if (!rab_sheet_add_region(sheet, RAB_CUT, 1, &figure->paper, err))
        return false;
    for (size_t i = 0; i < figure->path_count; i++)
        if (!rab_sheet_add(sheet, figure->paths[i].operation, 1, &figure->paths[i].outline, err))
            return false;
    for (size_t i = 0; i < sheet->count; i++)
        rab_outline_move(&sheet->paths[i].outline, -box.x0, -box.y0);
    return true;
}

static bool same_outline(const struct rab_outline *a, const struct rab_outline *b, char *how,
                         size_t size)
{
    const struct rab_box p = rab_outline_box(a), q = rab_outline_box(b);
    const double length = rab_outline_perimeter(a);
    /* Six decimals move ends by up to 7e-7 mm; the reader makes one arc again of the quarters that
     * were written, which moves its middle by some times that. files.py holds the files to 2e-6. */
    const double seen = 2e-5;
    const double off[] = {fabs(length - rab_outline_perimeter(b)) / (1 + (double)a->count),
                          fabs(fabs(rab_outline_area(a)) - fabs(rab_outline_area(b))) /
                              (1 + length),
                          fabs(p.x0 - q.x0),
                          fabs(p.y0 - q.y0),
                          fabs(p.x1 - q.x1),
                          fabs(p.y1 - q.y1)};
    static const char *const names[] = {"length", "area", "left", "bottom", "right", "top"};
    for (size_t i = 0; i < sizeof off / sizeof *off; i++)
        if (!(off[i] <= seen)) {
            snprintf(how, size, "%s off by %.3g", names[i], off[i]);
            return false;
        }
    if (a->open != b->open) {
        snprintf(how, size, "one is open");
        return false;
    }
    return true;
}

bool judge_svg(const struct rab_figure *figure, struct rab_text *svg, struct verdict *verdict)
{
    /* The writer's order: what loosens nothing first, cuts last (write.h). */
    static const enum rab_operation order[RAB_OPERATIONS] = {
        RAB_DRAW, RAB_GLUE, RAB_CREASE, RAB_PART_CUT, RAB_PERFORATE, RAB_CUT};
    struct rab_sheet sheet = {0};
    struct rab_drawing drawing = {0};
    struct rab_error err = {0};
    size_t item = 0, sub = 0, met = 0;
    char how[80] = "";
    bool good = false;

    if (!sheet_of(figure, &sheet, &err) || !rab_write_svg(&sheet, NULL, svg, &err)) {
        wrong(verdict, "not written: %s", err.text);
        goto done;
    }
    if (!rab_svg_read(svg->data, svg->length, NULL, &drawing, NULL, &err)) {
        wrong(verdict, "its SVG cannot be read: %s", err.text);
        goto done;
    }
    if (fabs(drawing.width - sheet.width) > 1e-5 || fabs(drawing.height - sheet.height) > 1e-5) {
        wrong(verdict, "its SVG has another size");
        goto done;
    }
    for (size_t o = 0; o < RAB_OPERATIONS; o++)
        for (size_t i = 0; i < sheet.count; i++) {
            if (sheet.paths[i].operation != order[o])
                continue;
            while (item < drawing.count && sub == drawing.items[item].count) {
                item++;
                sub = 0;
            }
            if (item == drawing.count ||
                !same_outline(&sheet.paths[i].outline, &drawing.items[item].outlines[sub], how,
                              sizeof how)) {
                wrong(verdict, "outline %zu is another one in its SVG: %s", met + 1, how);
                goto done;
            }
            sub++;
            met++;
        }
    good = item + 1 == drawing.count && sub == drawing.items[item].count;
    if (!good)
        wrong(verdict, "its SVG has more outlines than the figure");
done:
    rab_drawing_clear(&drawing);
    rab_sheet_clear(&sheet);
    return good;
}

static bool same_lines(const struct rab_outline *a, const struct rab_outline *b)
{
    return a->count == b->count && a->open == b->open &&
           (a->count == 0 || memcmp(a->vertices, b->vertices, a->count * sizeof *a->vertices) == 0);
}

bool same_figure(const struct rab_figure *a, const struct rab_figure *b)
{
    if (a->paper.count != b->paper.count || a->path_count != b->path_count ||
        a->place_count != b->place_count)
        return false;
    for (size_t i = 0; i < a->paper.count; i++)
        if (a->paper.parents[i] != b->paper.parents[i] ||
            !same_lines(&a->paper.outlines[i], &b->paper.outlines[i]))
            return false;
    for (size_t i = 0; i < a->path_count; i++)
        if (a->paths[i].operation != b->paths[i].operation ||
            !same_lines(&a->paths[i].outline, &b->paths[i].outline))
            return false;
    for (size_t i = 0; i < a->place_count; i++)
        if (strcmp(a->places[i].name, b->places[i].name) != 0 ||
            !same_lines(&a->places[i].outline, &b->places[i].outline))
            return false;
    return true;
}
