/*
 * Lines, arcs and circles behind Bezier curves.
 *
 * An arc of angle w and radius r is drawn as a cubic with handles of 4/3 tan(w/4) r along the
 * tangents at its ends; then the middle is on the arc. For a quarter turn other constants are in
 * use. Whatever the constant, such a cubic departs from the arc (by 0.027 % of the radius for a
 * quarter, 1.8 % for half a turn), which may well be more than the tolerance. So an arc is known by
 * its handles, not by fitting.
 */
#include <stdlib.h>

#include "pieces.h"

/* For a quarter of a circle of radius 1. The first is 4/3 tan(22.5 degrees); with the second the
 * greatest departure is least; with the third the mean departure is; the others are what people
 * write from memory. */
static const double quarter_handles[] = {
    0.5522847498307936, 0.5519150244935106, 0.551784777779014, 0.552, 0.55,
};
enum { WAYS = sizeof quarter_handles / sizeof *quarter_handles };

/* Editors round coordinates to two or three places of a millimetre or a pixel. */
#define ROUNDED 0.01

/* A bound for the distance of points of the same parameter: the difference is a cubic too, and
 * within its control points, here those of its quarters. */
static double cubics_apart(const struct cubic *p, const struct cubic *q)
{
    struct cubic difference;
    double most = 0;
    for (int i = 0; i < 4; i++)
        difference.p[i] = point_minus(p->p[i], q->p[i]);
    for (int quarter = 0; quarter < 4; quarter++) {
        const struct cubic part = cubic_part(&difference, quarter / 4.0, (quarter + 1) / 4.0);
        for (int i = 0; i < 4; i++)
            most = fmax(most, hypot(part.p[i].x, part.p[i].y));
    }
    return most;
}

/* Is a cubic one of the usual ways to draw an arc, give or take a length? */
static bool drawn_as(const struct cubic *cubic, const struct arc *arc, double tolerance)
{
    const double handle = arc->chord * (1 + arc->bulge * arc->bulge) / 3; /* 4/3 tan(w/4) r */
    const bool quarter = fabs(fabs(4 * atan(arc->bulge)) - RAB_PI / 2) < SMOOTH_SINE;

    for (size_t way = 0; way < (quarter ? WAYS : 1); way++) {
        const double h = handle * quarter_handles[way] / quarter_handles[0];
        const struct cubic drawn = {
            {arc->a, point_along(arc->a, h, arc->ta), point_along(arc->b, -h, arc->tb), arc->b}};
        if (cubics_apart(&drawn, cubic) <= tolerance)
            return true;
    }
    return false;
}

/* Small arcs that are taken only nearly for one would break up smooth curves that somebody divided
 * finely: so an arc either fits to a millionth or is long enough to be meant. */
static bool is_arc(const struct cubic *cubic, double tolerance, struct piece *piece)
{
    const struct rab_point chord = point_minus(cubic->p[3], cubic->p[0]);
    const double turn = cubic_turn(cubic), size = fabs(turn);
    const double leave = point_angle(piece->ta, chord), arrive = point_angle(chord, piece->tb);
    const double uneven = fabs(leave - arrive) / 2;
    const struct arc arc =
        arc_make((struct rab_vertex){cubic->p[0].x, cubic->p[0].y, tan(turn / 4)}, cubic->p[3]);

    if (arc.chord == 0 || size < 1e-4 || size > 3.5 || fabs(leave + arrive - turn) > 1e-6)
        return false;
    const double little = (size > 1.5 ? 1e-4 : 1e-6) * arc.chord; /* 0.5523 is 3e-5 off */
    const double rounded = fmin(tolerance, ROUNDED);
    const bool exact = uneven <= 1e-6 * size && drawn_as(cubic, &arc, little);
    if (!exact && (size < 0.35 || uneven > SMOOTH_SINE ||
                   !(drawn_as(cubic, &arc, rounded) || cubic_within(cubic, &arc, rounded))))
        return false;
    piece->kind = PIECE_ARC;
    piece->bulge = arc.bulge;
    piece->loose = !exact;
    return true;
}

static bool is_line(const struct cubic *cubic, double tolerance, struct piece *piece)
{
    const struct rab_point chord = point_minus(cubic->p[3], cubic->p[0]);
    const double length = hypot(chord.x, chord.y);
    double off = 0;

    if (length == 0)
        return false;
    const struct rab_point unit = {chord.x / length, chord.y / length};
    for (int i = 1; i < 3; i++) {
        const struct rab_point d = point_minus(cubic->p[i], cubic->p[0]);
        const double along = point_dot(unit, d);
        if (along < -0.1 * tolerance || along > length + 0.1 * tolerance)
            return false;
        off = fmax(off, fabs(point_cross(unit, d)));
    }
    const bool exact = off <= 1e-7 * length;
    if (!exact && (off > tolerance / 4 || !tangents_agree(piece->ta, unit, SMOOTH_SINE / 2) ||
                   !tangents_agree(unit, piece->tb, SMOOTH_SINE / 2)))
        return false;
    piece->kind = PIECE_LINE;
    piece->ta = piece->tb = unit;
    piece->loose = !exact;
    return true;
}

void piece_recognise(const struct cubic *cubic, double tolerance, struct piece *piece)
{
    *piece = (struct piece){
        .kind = PIECE_CURVE,
        .a = cubic->p[0],
        .b = cubic->p[3],
        .ta = cubic_start_tangent(cubic),
        .tb = cubic_end_tangent(cubic),
        .cubic = *cubic,
    };
    if (!is_line(cubic, tolerance, piece))
        (void)is_arc(cubic, tolerance, piece);
}

void piece_as_curve(struct piece *piece)
{
    piece->kind = PIECE_CURVE;
    piece->loose = false;
    piece->ta = cubic_start_tangent(&piece->cubic);
    piece->tb = cubic_end_tangent(&piece->cubic);
}

/* ---- circles ----------------------------------------------------------------------------- */

static struct arc arc_of_piece(const struct piece *piece)
{
    return arc_make((struct rab_vertex){piece->a.x, piece->a.y, piece->bulge}, piece->b);
}

static struct rab_point middle_of(const struct piece *piece)
{
    if (piece->kind == PIECE_CURVE || piece->loose)
        return cubic_at(&piece->cubic, 0.5);
    const struct arc arc = arc_of_piece(piece);
    return arc_at(&arc, 0.5, NULL);
}

/* The circle that fits a set of points best: least squares of the power of the points (Kasa, IEEE
 * Trans. Instrum. Meas. 25, 1976). Exact for points that are on one. */
struct circle_sums {
    double n, x, y, xx, xy, yy, xz, yz, z;
};

static void circle_add(struct circle_sums *sums, struct rab_point p)
{
    const double z = p.x * p.x + p.y * p.y;
    sums->n += 1;
    sums->x += p.x;
    sums->y += p.y;
    sums->xx += p.x * p.x;
    sums->xy += p.x * p.y;
    sums->yy += p.y * p.y;
    sums->xz += p.x * z;
    sums->yz += p.y * z;
    sums->z += z;
}

static struct rab_point circle_centre(const struct circle_sums *s)
{
    const double a = s->xx - s->x * s->x / s->n, b = s->xy - s->x * s->y / s->n;
    const double c = s->yy - s->y * s->y / s->n;
    const double p = s->xz - s->x * s->z / s->n, q = s->yz - s->y * s->z / s->n;
    const double d = 2 * (a * c - b * b);
    return (struct rab_point){(p * c - q * b) / d, (q * a - p * b) / d};
}

/* Is a piece what somebody would draw for its part of a circle, give or take the tolerance? */
static bool on_circle(const struct piece *piece, struct rab_point centre, double radius, bool left,
                      double tolerance, double *swept)
{
    const struct rab_point from = point_minus(piece->a, centre), to = point_minus(piece->b, centre);
    const double r0 = hypot(from.x, from.y), r1 = hypot(to.x, to.y);
    double turn = point_angle(from, to);

    if (left ? turn < -1e-6 : turn > 1e-6)
        turn += left ? 2 * RAB_PI : -2 * RAB_PI;
    *swept = fabs(turn);
    if ((piece->kind == PIECE_LINE && !piece->loose) || r0 == 0 || r1 == 0)
        return false;
    const struct rab_point a = point_along(centre, radius / r0, from);
    const struct arc arc = arc_make((struct rab_vertex){a.x, a.y, tan(turn / 4)},
                                    point_along(centre, radius / r1, to));
    if (piece->kind == PIECE_ARC && !piece->loose) {
        return point_apart(piece->a, arc.a) <= tolerance &&
               point_apart(piece->b, arc.b) <= tolerance &&
               point_apart(middle_of(piece), arc_at(&arc, 0.5, NULL)) <= tolerance;
    }
    if (drawn_as(&piece->cubic, &arc, tolerance))
        return true;
    /* Part of such a cubic, or another way of drawing that comes as near. */
    return fabs(r0 - radius) <= tolerance / 2 &&
           fabs(point_dot(piece->ta, from)) * *swept / 3 <= tolerance / 2 &&
           fabs(point_dot(piece->tb, to)) * *swept / 3 <= tolerance / 2 &&
           cubic_within(&piece->cubic, &arc, fmax(tolerance, 3e-4 * radius));
}

bool pieces_circle(const struct pieces *pieces, double tolerance, struct rab_point *centre,
                   double *radius)
{
    struct circle_sums sums = {0};
    const size_t n = pieces->count;
    double r = 0, sum = 0;

    if (!pieces->closed || n < 2)
        return false;
    const struct rab_point o = pieces->items[0].a; /* sums about a point near by keep digits */
    for (size_t i = 0; i < n; i++) {
        circle_add(&sums, point_minus(pieces->items[i].a, o));
        if (n < 3)
            circle_add(&sums, point_minus(middle_of(&pieces->items[i]), o));
    }
    const struct rab_point c = point_along(o, 1, circle_centre(&sums));
    for (size_t i = 0; i < n; i++)
        r += point_apart(pieces->items[i].a, c) / (double)n;
    if (!isfinite(r) || !(r > 0))
        return false;

    bool left = false;
    for (size_t i = 0; i < n; i++) {
        const struct piece *piece = &pieces->items[i];
        double swept;
        if (i == 0)
            left = point_cross(point_minus(piece->a, c), piece->ta) > 0;
        if (!on_circle(piece, c, r, left, tolerance, &swept))
            return false;
        sum += swept;
    }
    if (fabs(sum - 2 * RAB_PI) > 0.01)
        return false;
    *centre = c;
    *radius = left ? r : -r;
    return true;
}

/* ---- joining ----------------------------------------------------------------------------- */

/* Pieces of a chain from one on that are taken together, and for what. */
struct group {
    size_t first, count;
    struct piece as;
};

/* One arc for a group and the piece after it, all on one circle. */
static bool extend(const struct pieces *pieces, const struct group *group, const struct piece *next,
                   double tolerance, struct group *extended)
{
    const struct piece *p = &group->as;
    if (p->kind != PIECE_ARC || next->kind != PIECE_ARC || (p->bulge > 0) != (next->bulge > 0) ||
        !tangents_agree(p->tb, next->ta, 2 * SMOOTH_SINE))
        return false;
    const double quarter = atan(p->bulge) + atan(next->bulge);
    if (fabs(quarter) > 0.95 * RAB_PI / 2)
        return false;

    const bool loose = p->loose || next->loose;
    const struct arc arc = arc_make((struct rab_vertex){p->a.x, p->a.y, tan(quarter)}, next->b);
    const double slack = loose ? fmin(tolerance, ROUNDED) : 1e-6 * arc_radius(&arc);
    const double sine = loose ? SMOOTH_SINE : 1e-5;
    if (arc.chord == 0 || !tangents_agree(arc.ta, p->ta, sine) ||
        !tangents_agree(arc.tb, next->tb, sine))
        return false;
    /* Loose ones are few to a circle; exact ones do not drift. */
    const size_t from = loose ? group->first : group->first + group->count - 1;
    for (size_t i = from; i <= group->first + group->count; i++) {
        const struct piece *member = &pieces->items[i % pieces->count];
        const struct arc part = arc_of_piece(member);
        if (arc_distance(&arc, member->a, NULL) > slack ||
            arc_distance(&arc, arc_at(&part, 0.5, NULL), NULL) > slack)
            return false;
    }
    *extended = (struct group){group->first,
                               group->count + 1,
                               {.kind = PIECE_ARC,
                                .loose = loose,
                                .a = p->a,
                                .b = next->b,
                                .ta = arc.ta,
                                .tb = arc.tb,
                                .bulge = arc.bulge}};
    return true;
}

/* Begin with a piece that does not follow smoothly upon the one before; failing that with one that
 * is not of one kind with it. */
static void begin_at_break(struct pieces *pieces, double tolerance)
{
    const size_t n = pieces->count;
    struct piece *items = pieces->items;
    size_t first = 0;
    int best = 0;

    if (!pieces->closed)
        return;
    for (size_t i = 0; i < n && best < 2; i++) {
        const size_t before = (i + n - 1) % n;
        const struct group alone = {before, 1, items[before]};
        struct group both;
        int breaks = 1;
        if (!tangents_agree(items[before].tb, items[i].ta, SMOOTH_SINE))
            breaks = 2;
        else if ((items[before].kind == PIECE_CURVE && items[i].kind == PIECE_CURVE) ||
                 extend(pieces, &alone, &items[i], tolerance, &both))
            breaks = 0;
        if (breaks > best) {
            best = breaks;
            first = i;
        }
    }
    /* Turn the list: reverse both parts, then all. */
    const size_t ends[3][2] = {{0, first}, {first, n}, {0, n}};
    for (int k = 0; first > 0 && k < 3; k++) {
        for (size_t i = ends[k][0], j = ends[k][1]; i + 1 < j; i++, j--) {
            const struct piece kept = items[i];
            items[i] = items[j - 1];
            items[j - 1] = kept;
        }
    }
}

/* Do two pieces follow each other smoothly as they were drawn? */
static bool drawn_smooth(const struct piece *p, const struct piece *q, double sine)
{
    return tangents_agree(p->loose ? cubic_end_tangent(&p->cubic) : p->tb,
                          q->loose ? cubic_start_tangent(&q->cubic) : q->ta, sine);
}

/* Two that follow smoothly in the drawing must do so afterwards. If they do not, what is loose was
 * no arc or line; unless beside it is a line that is one. A little is allowed where the drawing
 * itself is not quite smooth: so rounding shows. */
static void compare(const struct pieces *pieces, struct group *p, struct group *q)
{
    const struct piece *last = &pieces->items[p->first + p->count - 1];
    const struct piece *first = &pieces->items[q->first];
    if (p->as.kind == PIECE_CURVE || q->as.kind == PIECE_CURVE ||
        !drawn_smooth(last, first, SMOOTH_SINE) || tangents_agree(p->as.tb, q->as.ta, 1e-5) ||
        (tangents_agree(p->as.tb, q->as.ta, 1e-3) && !drawn_smooth(last, first, 1e-5)))
        return;
    const bool line_before = p->as.kind == PIECE_LINE && !p->as.loose;
    const bool line_after = q->as.kind == PIECE_LINE && !q->as.loose;
    if (p->as.loose && !line_after)
        p->as.kind = PIECE_CURVE;
    if (q->as.loose && !line_before)
        q->as.kind = PIECE_CURVE;
}

bool pieces_settle(struct pieces *pieces, double tolerance, struct rab_error *err)
{
    struct group *groups = NULL;
    size_t count = 0, kept = 0;

    if (pieces->count == 0)
        return true;
    groups = malloc(pieces->count * sizeof *groups);
    if (!groups)
        return rab_fail_memory(err);

    begin_at_break(pieces, tolerance);
    for (size_t i = 0; i < pieces->count; i++) {
        struct group extended;
        if (count > 0 &&
            extend(pieces, &groups[count - 1], &pieces->items[i], tolerance, &extended))
            groups[count - 1] = extended;
        else
            groups[count++] = (struct group){i, 1, pieces->items[i]};
    }
    for (size_t i = pieces->closed ? 0 : 1; i < count; i++)
        compare(pieces, &groups[(i + count - 1) % count], &groups[i]);

    for (size_t i = 0; i < count; i++) {
        const struct group *group = &groups[i];
        if (group->as.kind != PIECE_CURVE) {
            pieces->items[kept++] = group->as;
            continue;
        }
        for (size_t j = 0; j < group->count; j++) { /* kept never overtakes what is read */
            struct piece piece = pieces->items[group->first + j];
            if (piece.loose)
                piece_as_curve(&piece);
            pieces->items[kept++] = piece;
        }
    }
    pieces->count = kept;
    free(groups);
    return true;
}
