#include "track.h"

#include "outline/arc.h"

#include <math.h>
#include <stdlib.h>

/* 1 km. Beyond it six decimals are more than a double holds with any certainty. */
static const double farthest = 1e6;
static const double unit_of_rounding = 1e6; /* 10^TRACK_DECIMALS */
/* Arcs that bend less than this (in units of the file, a quarter of the last digit written) are
 * straight lines in it: readers that look for their far centres would only lose digits. The second
 * is for arcs of hundreds of metres. */
static const double least_sagitta = 2.5e-7;
static const double least_bulge = 1e-9;

/* Rounded to TRACK_DECIMALS. */
static double rounded(double value)
{
    return round(value * unit_of_rounding) / unit_of_rounding;
}

void track_clear(struct track *track)
{
    free(track->vertices);
    *track = (struct track){0};
}

bool track_options(const struct rab_sheet *sheet, const struct rab_write_options *options,
                   struct rab_write_options *filled, struct rab_error *err)
{
    *filled = options ? *options : (struct rab_write_options){0};
    if (!(sheet->width > 0 && sheet->height > 0 && sheet->width <= farthest &&
          sheet->height <= farthest))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the sheet has no proper size; give a width and a height of more than 0 "
                        "and at most 1000000 mm");
    if (filled->tolerance == 0)
        filled->tolerance = 0.01;
    if (!(filled->tolerance >= 1e-4 && filled->tolerance <= 10))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the tolerance is out of range; give 0.0001 to 10 mm");
    return true;
}

static bool in_reach(struct rab_point p)
{
    return fabs(p.x) <= farthest && fabs(p.y) <= farthest; /* false for NaN */
}

static bool fail_reach(struct rab_error *err)
{
    return rab_fail(err, RAB_FAULT_INPUT,
                    "an outline has a coordinate that is no number or beyond 1000000 mm; "
                    "give finite millimetres up to that");
}

/* How far an arc of this radius and turn is from a cubic Bezier curve with its ends, tangents and
 * middle. Source: the usual handles 4/3 tan(t/4); the greatest radial error of that curve is
 * 2/27 r sin^6(t/4) / cos^2(t/4) (Goldapp, Approximation of circular arcs by cubic polynomials,
 * 1991, from memory; tests/write/check_curves.py measures it). */
static double bezier_error(double radius, double turn)
{
    const double s = sin(turn / 4), c = cos(turn / 4);
    return radius * 2 / 27 * pow(s, 6) / (c * c);
}

/* How far a chord may turn: its sagitta is r (1 - cos h) = 2 r sin^2(h/2) over twice the angle h.
 * A quarter at most, so that a tiny circle keeps a shape. */
static double chord_turn(double radius, double tolerance)
{
    const double sine = sqrt(tolerance / (2 * radius));
    return sine < sin(RAB_PI / 8) ? 4 * asin(sine) : RAB_PI / 2;
}

/* Into how many equal parts an arc must be split. */
static size_t parts_of(const struct arc *arc, const struct track_rule *rule)
{
    const double turn = 4 * atan(fabs(arc->bulge));
    const double radius = arc_radius(arc);
    double most = rule->quarters ? RAB_PI / 2 : RAB_PI;

    if (rule->curves == RAB_CURVES_LINES)
        most = chord_turn(radius, rule->tolerance);
    double parts = fmax(1, ceil(turn / most - 1e-9));
    if (rule->curves == RAB_CURVES_BEZIERS)
        while (bezier_error(radius, turn / parts) > rule->tolerance)
            parts++;
    return (size_t)parts;
}

/* Append a point; one that is rounded to the last one's place takes over from it. */
static bool push(struct track *track, const struct track_rule *rule, struct rab_point p,
                 double bulge, struct rab_error *err)
{
    void *items = track->vertices;
    const double y = p.y * rule->scale;
    const struct rab_vertex v = {rounded(p.x * rule->scale),
                                 rounded(rule->down ? rule->height - y : y),
                                 rule->down ? -bulge : bulge};

    if (!in_reach(p))
        return fail_reach(err);
    if (track->count > 0) {
        struct rab_vertex *last = &track->vertices[track->count - 1];
        if (last->x == v.x && last->y == v.y) {
            last->bulge = v.bulge;
            return true;
        }
    }
    if (!rab_reserve(&items, &track->capacity, track->count + 1, sizeof *track->vertices, err))
        return false;
    track->vertices = items;
    track->vertices[track->count++] = v;
    return true;
}

static bool push_arc(struct track *track, const struct track_rule *rule, const struct arc *arc,
                     struct rab_error *err)
{
    if (fabs(arc->bulge) < least_bulge ||
        fabs(arc->bulge) * arc->chord * rule->scale / 2 < least_sagitta)
        return push(track, rule, arc->a, 0, err);

    const size_t parts = parts_of(arc, rule);
    double bulge = parts == 1 ? arc->bulge : tan(atan(arc->bulge) / (double)parts);
    if (rule->curves == RAB_CURVES_LINES)
        bulge = 0;
    bulge = fmax(-1, fmin(1, bulge)); /* a half turn that came with rounding */
    if (!push(track, rule, arc->a, bulge, err))
        return false;
    for (size_t i = 1; i < parts; i++)
        if (!push(track, rule, arc_at(arc, (double)i / (double)parts, NULL), bulge, err))
            return false;
    return true;
}

/* Is the outline one whole circle? All its edges are arcs of the same one and turn once around. */
static bool whole_circle(const struct rab_outline *outline, struct rab_point *centre,
                         double *radius)
{
    const size_t edges = arc_count(outline);
    size_t widest = 0;
    double turn = 0;

    if (outline->open || edges < 2)
        return false;
    for (size_t i = 0; i < edges; i++) {
        const double b = outline->vertices[i].bulge;
        if (b == 0 || (b > 0) != (outline->vertices[0].bulge > 0))
            return false;
        turn += 4 * atan(fabs(b));
        /* The arc nearest to a half turn tells best where the centre is. */
        if (fabs(log(fabs(b))) < fabs(log(fabs(outline->vertices[widest].bulge))))
            widest = i;
    }
    if (fabs(turn - 2 * RAB_PI) > 1e-6)
        return false;
    const struct arc arc = arc_of(outline, widest);
    if (arc.chord == 0)
        return false;
    const struct rab_point middle = arc_centre(&arc);
    const double r = arc_radius(&arc);
    for (size_t i = 0; i < edges; i++) {
        const struct arc other = arc_of(outline, i);
        if (other.chord == 0 || fabs(point_apart(other.a, middle) - r) > RAB_SAME_POINT ||
            fabs(arc_radius(&other) - r) > RAB_SAME_POINT)
            return false;
    }
    *centre = middle;
    *radius = r;
    return true;
}

/* A whole circle as chords, so that they are all of one length. */
static bool push_chords(struct track *track, const struct track_rule *rule,
                        const struct rab_outline *outline, struct rab_point centre, double radius,
                        struct rab_error *err)
{
    const size_t parts = (size_t)ceil(2 * RAB_PI / chord_turn(radius, rule->tolerance) - 1e-9);
    const double start =
        atan2(outline->vertices[0].y - centre.y, outline->vertices[0].x - centre.x);
    const double step = 2 * RAB_PI / (double)parts * (outline->vertices[0].bulge > 0 ? 1 : -1);

    for (size_t i = 0; i < parts; i++) {
        const double angle = start + (double)i * step;
        const struct rab_point p = {centre.x + radius * cos(angle), centre.y + radius * sin(angle)};
        if (!push(track, rule, p, 0, err))
            return false;
    }
    return true;
}

bool track_make(const struct rab_outline *outline, const struct track_rule *rule,
                struct track *track, struct rab_error *err)
{
    struct rab_point centre;
    double radius;

    track->circle = false;
    track->open = outline->open;
    track->count = 0;
    for (size_t i = 0; i < outline->count; i++) {
        const struct rab_vertex v = outline->vertices[i];
        if (!in_reach((struct rab_point){v.x, v.y}) || !isfinite(v.bulge))
            return fail_reach(err);
    }
    if (rule->curves != RAB_CURVES_BEZIERS && whole_circle(outline, &centre, &radius)) {
        if (rule->curves == RAB_CURVES_LINES)
            return push_chords(track, rule, outline, centre, radius, err);
        const double y = centre.y * rule->scale;
        track->centre.x = rounded(centre.x * rule->scale);
        track->centre.y = rounded(rule->down ? rule->height - y : y);
        track->radius = rounded(radius * rule->scale);
        track->circle = track->radius > 0;
        return true;
    }
    for (size_t i = 0; i < arc_count(outline); i++) {
        const struct arc arc = arc_of(outline, i);
        if (!push_arc(track, rule, &arc, err))
            return false;
    }
    if (track->open && outline->count > 0) {
        const struct rab_vertex end = outline->vertices[outline->count - 1];
        if (!push(track, rule, (struct rab_point){end.x, end.y}, 0, err))
            return false;
    } else if (track->count > 1) {
        const struct rab_vertex first = track->vertices[0];
        const struct rab_vertex last = track->vertices[track->count - 1];
        if (first.x == last.x && first.y == last.y)
            track->count--;
    }
    if (track->count < 2)
        track->count = 0;
    return true;
}
