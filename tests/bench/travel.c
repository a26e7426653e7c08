#include "travel.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

/* ---- the nearest next ------------------------------------------------------------------ */

static int rank(enum rab_operation operation)
{
    static const int ranks[RAB_OPERATIONS] = {
        [RAB_DRAW] = 0,     [RAB_GLUE] = 1,      [RAB_CREASE] = 2,
        [RAB_PART_CUT] = 3, [RAB_PERFORATE] = 4, [RAB_CUT] = 5,
    };
    return 2 * ranks[operation];
}

static bool lies_in(const struct rab_path *in, const struct rab_box *box,
                    const struct rab_path *around, const struct rab_box *other)
{
    const struct rab_vertex *v = &in->outline.vertices[0];

    return in != around && in->operation == around->operation && !around->outline.open &&
           other->x0 <= box->x0 && other->y0 <= box->y0 && other->x1 >= box->x1 &&
           other->y1 >= box->y1 &&
           rab_outline_winding(&around->outline, (struct rab_point){v->x, v->y}) != 0;
}

/* Of a small piece: the smallest outer outline around it, or itself, is. */
static bool is_small(const struct sheet *sheet, const struct rab_box *boxes, size_t path)
{
    static const double small = 25;
    size_t piece = sheet->count;
    double least = HUGE_VAL;

    for (size_t i = 0; i < sheet->count; i++) {
        const struct rab_path *o = &sheet->paths[i];
        if (i != path && !lies_in(&sheet->paths[path], &boxes[path], o, &boxes[i]))
            continue;
        const double area = o->outline.open ? 0 : rab_outline_area(&o->outline);
        if (area > 0 && area < least) {
            least = area;
            piece = i;
        }
    }
    return piece < sheet->count && boxes[piece].x1 - boxes[piece].x0 < small &&
           boxes[piece].y1 - boxes[piece].y0 < small;
}

int *travel_groups(const struct sheet *sheet)
{
    struct rab_box *boxes = calloc(sheet->count + 1, sizeof *boxes);
    int *groups = calloc(sheet->count + 1, sizeof *groups);

    for (size_t i = 0; i < sheet->count && boxes && groups; i++)
        boxes[i] = rab_outline_box(&sheet->paths[i].outline);
    for (size_t i = 0; i < sheet->count && boxes && groups; i++)
        groups[i] = rank(sheet->paths[i].operation) -
                    (sheet->paths[i].operation == RAB_CUT && is_small(sheet, boxes, i) ? 1 : 0);
    free(boxes);
    return groups;
}

/* Closed lines may begin at any vertex, open ones at both ends. */
double travel_nearest(const struct sheet *sheet, const int *groups)
{
    const size_t n = sheet->count;
    struct rab_box *boxes = calloc(n + 1, sizeof *boxes);
    size_t *within = calloc(n + 1, sizeof *within); /* not yet followed lines that lie in each */
    bool *done = calloc(n + 1, sizeof *done);
    struct rab_point at = {0, 0};
    double travel = boxes && within && done ? 0 : -1;

    for (size_t i = 0; i < n && travel >= 0; i++)
        boxes[i] = rab_outline_box(&sheet->paths[i].outline);
    for (size_t i = 0; i < n && travel >= 0; i++)
        for (size_t k = 0; k < n; k++)
            within[i] += lies_in(&sheet->paths[k], &boxes[k], &sheet->paths[i], &boxes[i]);
    for (size_t step = 0; step < n && travel >= 0; step++) {
        struct rab_point leave = at;
        double least = HUGE_VAL;
        size_t best = n;
        int first = INT_MAX;

        for (size_t i = 0; i < n; i++)
            if (!done[i] && groups[i] < first)
                first = groups[i];
        for (size_t i = 0; i < n; i++) {
            const struct rab_outline *o = &sheet->paths[i].outline;
            if (done[i] || within[i] > 0 || groups[i] != first)
                continue;
            for (size_t v = 0; v < o->count; v++) {
                if (o->open && v > 0 && v + 1 < o->count)
                    continue;
                const double d = hypot(o->vertices[v].x - at.x, o->vertices[v].y - at.y);
                const struct rab_vertex *end = &o->vertices[!o->open ? v
                                                            : v == 0 ? o->count - 1
                                                                     : 0];
                if (d < least) {
                    least = d;
                    best = i;
                    leave = (struct rab_point){end->x, end->y};
                }
            }
        }
        travel += least;
        at = leave;
        done[best] = true;
        for (size_t k = 0; k < n; k++)
            within[k] -=
                !done[k] && lies_in(&sheet->paths[best], &boxes[best], &sheet->paths[k], &boxes[k]);
    }
    free(boxes);
    free(within);
    free(done);
    return travel;
}
