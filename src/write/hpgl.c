#include "rabbet/write.h"

#include "outline/arc.h"
#include "style.h"
#include "track.h"

#include <math.h>

static const double units_in_mm = 40;
/* Whole numbers of two bytes are all that plain machines take. */
static const double longest = 32767;
static const double largest_radius = 200; /* mm */

static long long unit(double value)
{
    return llround(value * units_in_mm);
}

static void add_point(struct rab_text *text, const char *command, double x, double y)
{
    rab_text_format(text, "%s%lld,%lld;", command, unit(x), unit(y));
}

/* The chord that departs from the arc by the tolerance: r (1 - cos(angle/2)). In degrees, as AA
 * takes it. */
static double chord_angle(double radius, double tolerance)
{
    const double share = fmin(1, tolerance / radius);

    return fmin(30, fmax(0.5, 2 * acos(1 - share) * 180 / RAB_PI));
}

/* Arcs with a centre far away, which whole units cannot tell well, are drawn as chords. */
static void add_chords(struct rab_text *text, struct rab_vertex from, struct rab_vertex end,
                       double tolerance)
{
    const struct arc arc = arc_make(from, (struct rab_point){end.x, end.y});
    const double turn = chord_angle(arc_radius(&arc), tolerance) * RAB_PI / 180;
    const int parts = (int)fmin(10000, ceil(4 * atan(fabs(from.bulge)) / turn));

    for (int i = 1; i < parts; i++) {
        const struct rab_point p = arc_at(&arc, (double)i / parts, NULL);
        add_point(text, "PA", p.x, p.y);
    }
    add_point(text, "PA", end.x, end.y);
}

/* AA takes the centre, in whole units, and the angle to turn: the end then comes out a little
 * beside its place, so the pen is led there. */
static void add_arc(struct rab_text *text, struct rab_vertex from, struct rab_vertex end,
                    double tolerance)
{
    const double b = from.bulge, share = (1 - b * b) / (4 * b);
    const double x = (from.x + end.x) / 2 - share * (end.y - from.y);
    const double y = (from.y + end.y) / 2 + share * (end.x - from.x);
    const double radius = hypot(from.x - x, from.y - y);

    if (radius > largest_radius || fmax(fabs(x), fabs(y)) * units_in_mm > longest) {
        add_chords(text, from, end, tolerance);
        return;
    }
    rab_text_format(text, "AA%lld,%lld,", unit(x), unit(y));
    rab_text_fixed(text, 4 * atan(b) * 180 / RAB_PI, 4);
    rab_text_add(text, ",");
    rab_text_fixed(text, chord_angle(radius, tolerance), 2);
    rab_text_add(text, ";");
    add_point(text, "PA", end.x, end.y);
}

static void add_track(struct rab_text *text, const struct track *track, double tolerance)
{
    if (track->circle) {
        add_point(text, "PU", track->centre.x + track->radius, track->centre.y);
        rab_text_add(text, "PD;");
        rab_text_format(text, "AA%lld,%lld,360,", unit(track->centre.x), unit(track->centre.y));
        rab_text_fixed(text, chord_angle(track->radius, tolerance), 2);
        rab_text_add(text, ";PU;\n");
        return;
    }
    const size_t edges = track->count - (track->open ? 1 : 0);
    add_point(text, "PU", track->vertices[0].x, track->vertices[0].y);
    rab_text_add(text, "PD;");
    for (size_t i = 0; i < edges; i++) {
        const struct rab_vertex from = track->vertices[i];
        const struct rab_vertex end = track->vertices[(i + 1) % track->count];
        if (from.bulge != 0)
            add_arc(text, from, end, tolerance);
        else
            add_point(text, "PA", end.x, end.y);
    }
    rab_text_add(text, "PU;\n");
}

bool rab_write_hpgl(const struct rab_sheet *sheet, const struct rab_write_options *options,
                    struct rab_text *out, struct rab_error *err)
{
    struct rab_write_options chosen;
    struct rab_text text = {0};
    struct rab_written written = {0};
    struct track track = {0};
    bool ok = false;

    if (!track_options(sheet, options, &chosen, err))
        return false;
    if (fmax(sheet->width, sheet->height) * units_in_mm > longest)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the sheet is longer than the 819 mm that HP-GL can tell; give a smaller "
                        "sheet");
    const struct track_rule rule = {.scale = 1,
                                    .curves = chosen.curves == RAB_CURVES_LINES ? RAB_CURVES_LINES
                                                                                : RAB_CURVES_ARCS,
                                    .tolerance = chosen.tolerance};
    rab_text_add(&text, "IN;PA;\n");
    for (int i = 0; i < RAB_OPERATIONS; i++) {
        bool used = false;
        for (size_t k = 0; k < sheet->count; k++) {
            const struct rab_path *path = &sheet->paths[k];
            if (path->operation != style_order[i])
                continue;
            if (!track_make(&path->outline, &rule, &track, err))
                goto done;
            if (!track.circle && track.count == 0)
                continue;
            if (!used)
                rab_text_format(&text, "SP%d;\n", (int)path->operation + 1);
            used = true;
            add_track(&text, &track, chosen.tolerance);
            track_count(&track, 1, &written);
        }
        written.layers += used;
    }
    rab_text_add(&text, "PU0,0;SP0;\n");
    if (!rab_text_ok(&text, err))
        goto done;
    rab_text_clear(out);
    *out = text;
    text = (struct rab_text){0};
    if (chosen.written)
        *chosen.written = written;
    ok = true;
done:
    track_clear(&track);
    rab_text_clear(&text);
    return ok;
}
