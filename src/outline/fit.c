/*
 * Curves fitted with arcs: the way through the files of the room.
 *
 *   gather.c     curves as given become lines, arcs and cubics, end to end
 *   recognise.c  which cubics were drawn for lines, arcs and circles
 *   plan.c       for cubics that are none: how few arcs, and where they join
 *   spline.c     these arcs, joined smoothly
 *   check.c      the proof that each keeps to its part of the curve
 */
#include <stdlib.h>

#include "pieces.h"
#include "run.h"

static int points_of(const struct rab_curve *curve)
{
    switch (curve->kind) {
    case RAB_CURVE_LINE:
        return 2;
    case RAB_CURVE_CUBIC:
        return 4;
    case RAB_CURVE_ELLIPSE:
        break;
    }
    return 3;
}

/* Sets *size to the greatest coordinate. */
static bool check_curve(const struct rab_curve *curve, double *size, struct rab_error *err)
{
    for (int i = 0; i < points_of(curve); i++) {
        if (!isfinite(curve->p[i].x) || !isfinite(curve->p[i].y))
            return rab_fail(err, RAB_FAULT_INPUT,
                            "a curve has a coordinate that is not a finite number");
        *size = fmax(*size, fmax(fabs(curve->p[i].x), fabs(curve->p[i].y)));
    }
    if (curve->kind != RAB_CURVE_ELLIPSE)
        return true;
    if (!(fabs(curve->from) < 1e4) || !(fabs(curve->to) < 1e4))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "an elliptical arc's angles must be numbers within a few turns");
    if (fabs(curve->to - curve->from) > 2 * RAB_PI + 1e-6)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "an elliptical arc goes round more than once; one turn is the most");
    return true;
}

static bool check_input(const struct rab_curve *curves, size_t count, double tolerance,
                        struct rab_error *err)
{
    double size = 0;
    if (!(tolerance > 0) || !isfinite(tolerance))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the tolerance for curves must be a length of more than 0");
    for (size_t i = 0; i < count; i++) {
        if (!check_curve(&curves[i], &size, err))
            return false;
    }
    if (size > 1e6)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "a curve reaches further than 1 km; give millimetres");
    if (tolerance < 1e-11 * size)
        return rab_fail(err, RAB_FAULT_GEOMETRY,
                        "the tolerance for curves is finer than numbers of their size can be; "
                        "give a larger one");
    return true;
}

/* Fit the cubics of pieces [from, to), of which all follow each other smoothly. */
static bool fit_run(const struct pieces *pieces, size_t from, size_t to, bool closed,
                    double tolerance, struct rab_outline *out, struct rab_error *err)
{
    struct cubic *cubics = NULL;
    double *places = NULL;
    struct fitted fitted = {0};
    struct run run = {.closed = closed, .count = to - from};
    bool ok = false;

    cubics = malloc(run.count * sizeof *cubics);
    places = malloc((run.count + 1) * sizeof *places);
    if (!cubics || !places) {
        (void)rab_fail_memory(err);
        goto done;
    }
    places[0] = 0;
    for (size_t i = 0; i < run.count; i++) {
        cubics[i] = pieces->items[from + i].cubic;
        const struct rab_point *p = cubics[i].p;
        places[i + 1] = places[i] + (point_apart(p[0], p[1]) + point_apart(p[1], p[2]) +
                                     point_apart(p[2], p[3]) + point_apart(p[0], p[3])) /
                                        2;
    }
    run.cubics = cubics;
    run.places = places;

    const size_t n = pieces->count;
    if (!closed && (from > 0 || pieces->closed)) {
        const struct piece *before = &pieces->items[(from + n - 1) % n];
        run.start_fixed = tangents_agree(before->tb, pieces->items[from].ta, SMOOTH_SINE);
        run.start_tangent = before->tb;
    }
    if (!closed && (to < n || pieces->closed)) {
        const struct piece *after = &pieces->items[to % n];
        run.end_fixed = tangents_agree(pieces->items[to - 1].tb, after->ta, SMOOTH_SINE);
        run.end_tangent = after->ta;
    }
    if (!run_fit(&run, tolerance, &fitted, err))
        goto done;
    for (size_t i = 0; i < fitted.count; i++) {
        const struct rab_vertex v = fitted.vertices[i];
        if (!rab_outline_add(out, v.x, v.y, v.bulge, err))
            goto done;
    }
    ok = true;
done:
    free(fitted.vertices);
    free(cubics);
    free(places);
    return ok;
}

static bool fit_pieces(const struct pieces *pieces, double tolerance, struct rab_outline *out,
                       struct rab_error *err)
{
    const size_t n = pieces->count;

    for (size_t i = 0; i < n;) {
        const struct piece *piece = &pieces->items[i];
        if (piece->kind != PIECE_CURVE) {
            if (!rab_outline_add(out, piece->a.x, piece->a.y,
                                 piece->kind == PIECE_ARC ? piece->bulge : 0, err))
                return false;
            i++;
            continue;
        }
        size_t to = i + 1;
        while (to < n && pieces->items[to].kind == PIECE_CURVE &&
               tangents_agree(pieces->items[to - 1].tb, pieces->items[to].ta, SMOOTH_SINE))
            to++;
        const bool closed = pieces->closed && i == 0 && to == n &&
                            tangents_agree(pieces->items[n - 1].tb, piece->ta, SMOOTH_SINE);
        if (!fit_run(pieces, i, to, closed, tolerance, out, err))
            return false;
        i = to;
    }
    if (out->open && n > 0) {
        const struct rab_point end = pieces->items[n - 1].b;
        return rab_outline_add(out, end.x, end.y, 0, err);
    }
    return true;
}

bool rab_outline_fit(const struct rab_curve *curves, size_t count, bool closed, double tolerance,
                     struct rab_outline *out, struct rab_error *err)
{
    struct pieces pieces = {0};
    struct rab_outline made = {.open = !closed};
    struct rab_point centre;
    double radius;
    bool ok = false;

    if (!check_input(curves, count, tolerance, err) ||
        !pieces_gather(curves, count, closed, tolerance, &pieces, err))
        goto done;
    if (pieces.count == 0 && count > 0) { /* nothing but a point */
        const struct rab_point at = rab_curve_start(&curves[0]);
        if (!rab_outline_add(&made, at.x, at.y, 0, err))
            goto done;
    } else if (pieces_circle(&pieces, tolerance, &centre, &radius)) {
        if (!rab_outline_circle(centre, fabs(radius), &made, err))
            goto done;
        if (radius < 0)
            rab_outline_reverse(&made);
    } else {
        /* Gathering has moved the curves by crumbs: they come off the tolerance. */
        if (!pieces_settle(&pieces, tolerance, err) ||
            !fit_pieces(&pieces, 0.995 * tolerance, &made, err))
            goto done;
    }
    *out = made;
    made = (struct rab_outline){0};
    ok = true;
done:
    rab_outline_clear(&made);
    free(pieces.items);
    return ok;
}
