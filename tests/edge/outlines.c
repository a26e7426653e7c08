/* Edges around outlines, and papers behind. */
#include "motifs.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static struct motifs motifs;

static void set_up(void)
{
    motifs_open(&motifs);
}

static void tear_down(void)
{
    motifs_close(&motifs);
}

static void near(double value, double expected, double within, const char *what)
{
    cr_expect(fabs(value - expected) <= within, "%s: %.12f, not %.12f", what, value, expected);
}

static double distance_to(const struct rab_region *region, double x, double y)
{
    double least = HUGE_VAL;

    for (size_t i = 0; i < region->count; i++)
        least =
            fmin(least, rab_outline_distance(&region->outlines[i], (struct rab_point){x, y}, NULL));
    return least;
}

/* The points of an outline where `arcs` are highest: the middle of each arc. */
static struct rab_point middle_of(const struct rab_outline *outline, size_t i)
{
    const struct rab_vertex a = outline->vertices[i];
    const struct rab_vertex b = outline->vertices[(i + 1) % outline->count];
    const double h = a.bulge / 2;

    return (struct rab_point){(a.x + b.x) / 2 + (b.y - a.y) * h, (a.y + b.y) / 2 - (b.x - a.x) * h};
}

/* ---- how many -------------------------------------------------------------------------- */

/* Source: the circle's circumference, 2 pi r, over the count. */
Test(edge_along, circle, .init = set_up, .fini = tear_down)
{
    struct rab_region paper = disc(50, 50, 50);
    struct rab_edge edge =
        edge_around(&motifs, "arcs", 15, 4, &paper, &(struct rab_along_options){0}, NULL);
    const struct rab_outline *outline = &edge.figure.paper.outlines[0];

    cr_expect(edge.run_count == 1 && edge.runs[0].count == 21);
    near(edge.runs[0].pitch, 100 * RAB_PI / 21, 1e-10, "pitch");
    near(edge.runs[0].pitch, 14.959965, 5e-7, "pitch by hand");
    cr_assert(outline->count == 21);
    /* A regular 21-gon of valleys on the circle, peaks at just the depth outside. */
    for (size_t i = 0; i < 21; i++) {
        const struct rab_point peak = middle_of(outline, i);
        near(hypot(outline->vertices[i].x - 50, outline->vertices[i].y - 50), 50, 1e-9, "valley");
        near(hypot(peak.x - 50, peak.y - 50), 54, 1e-9, "peak");
    }
    /* Even left and right: a valley at the lowest point, so a peak at the highest. */
    near(rab_region_box(&edge.figure.paper).y1, 104, 1e-9, "highest");
    near(distance_to(&edge.figure.paper, 50, 0), 0, 1e-9, "lowest");
    rab_edge_clear(&edge);

    edge = edge_around(&motifs, "arcs", 15, 4, &paper,
                       &(struct rab_along_options){.corners = RAB_CORNERS_PEAK}, NULL);
    near(rab_region_box(&edge.figure.paper).y0, -4, 1e-9, "lowest with a peak at the start");
    rab_edge_clear(&edge);

    edge = edge_around(&motifs, "arcs", 15, 4, &paper, &(struct rab_along_options){.inward = true},
                       NULL);
    outline = &edge.figure.paper.outlines[0];
    near(edge.runs[0].length, 92 * RAB_PI, 1e-9, "along the valleys");
    for (size_t i = 0; i < outline->count; i++) {
        const struct rab_point peak = middle_of(outline, i);
        near(hypot(outline->vertices[i].x - 50, outline->vertices[i].y - 50), 46, 1e-9, "valley");
        near(hypot(peak.x - 50, peak.y - 50), 50, 1e-9, "peak");
    }
    rab_edge_clear(&edge);
    rab_region_clear(&paper);
}

/* Source: 2 (160 + 110) + 2 pi 20, over the count. */
Test(edge_along, rounded_rectangle, .init = set_up, .fini = tear_down)
{
    struct rab_region paper = rectangle(200, 150, 20);
    struct rab_edge edge =
        edge_around(&motifs, "arcs", 12, 4, &paper, &(struct rab_along_options){0}, NULL);
    const struct rab_outline *outline = &edge.figure.paper.outlines[0];

    cr_expect(edge.run_count == 1 && edge.runs[0].count == 55);
    near(edge.runs[0].length, 540 + 40 * RAB_PI, 1e-9, "length");
    near(edge.runs[0].length, 665.663706, 5e-7, "length by hand");
    near(edge.runs[0].pitch, 12.102976, 5e-7, "pitch");
    cr_assert(outline->count == 55);
    for (size_t i = 0; i < 55; i++) {
        const struct rab_point peak = middle_of(outline, i);
        near(distance_to(&paper, outline->vertices[i].x, outline->vertices[i].y), 0, 1e-9,
             "valley");
        near(distance_to(&paper, peak.x, peak.y), 4, 1e-9, "peak");
    }
    /* Even left and right. */
    for (size_t i = 0; i < 55; i++)
        near(distance_to(&edge.figure.paper, 200 - outline->vertices[i].x, outline->vertices[i].y),
             0, 1e-9, "mirror image");
    rab_edge_clear(&edge);
    rab_region_clear(&paper);
}

/* Source: 200 / 17 and 150 / 13; the area is that of the rectangle and of sixty arcs. */
Test(edge_along, rectangle_with_valleys_on_its_corners, .init = set_up, .fini = tear_down)
{
    struct rab_region paper = rectangle(200, 150, 0);
    struct rab_edge edge =
        edge_around(&motifs, "arcs", 12, 4, &paper, &(struct rab_along_options){0}, NULL);
    double area = 200 * 150;

    cr_assert(edge.run_count == 4);
    for (size_t i = 0; i < 4; i++) {
        const double n = i % 2 ? 13 : 17, p = (i % 2 ? 150 : 200) / n;
        const double radius = (p * p / 4 + 16) / 8, t = 4 * atan(8 / p);
        cr_expect((double)edge.runs[i].count == n, "run %zu", i);
        near(edge.runs[i].pitch, p, 1e-12, "pitch");
        area += n * radius * radius * (t - sin(t)) / 2;
    }
    near(edge.runs[0].pitch, 11.764706, 5e-7, "by hand");
    near(edge.runs[1].pitch, 11.538462, 5e-7, "by hand");
    near(rab_region_area(&edge.figure.paper), area, 1e-7, "area");
    cr_expect(rab_region_vertices(&edge.figure.paper) == 60);
    for (size_t i = 0; i < 4; i++)
        near(distance_to(&edge.figure.paper, i / 2 * 200.0, i % 2 * 150.0), 0, 1e-9, "corner");
    rab_edge_clear(&edge);

    /* Inwards the sides between the valleys are shorter by the depth at both ends. */
    edge = edge_around(&motifs, "arcs", 12, 4, &paper, &(struct rab_along_options){.inward = true},
                       NULL);
    near(edge.runs[0].length, 192, 1e-9, "side");
    near(edge.runs[1].length, 142, 1e-9, "side");
    const struct rab_box box = rab_region_box(&edge.figure.paper);
    near(box.x0, 0, 1e-9, "left");
    near(box.y1, 150, 1e-9, "top");
    near(distance_to(&edge.figure.paper, 4, 4), 0, 1e-9, "corner");
    rab_edge_clear(&edge);
    rab_region_clear(&paper);
}

/* ---- corners --------------------------------------------------------------------------- */

/* Source: half a repeat at each end of a side, and the corner between two peaks filled: flat
 * blocks make a square of the depth there. */
Test(edge_along, peaks_on_corners, .init = set_up, .fini = tear_down)
{
    struct rab_region paper = rectangle(200, 150, 0);
    struct rab_along_options options = {.corners = RAB_CORNERS_PEAK};
    struct rab_edge edge = edge_around(&motifs, "gaps", 12, 4, &paper, &options, NULL);
    double area = 200 * 150 + 4 * 16;

    for (size_t i = 0; i < 4; i++)
        area += edge.runs[i].length * 0.6 * 4;
    near(rab_region_area(&edge.figure.paper), area, 1e-7, "area with square corners");
    near(distance_to(&edge.figure.paper, 204, 154), 0, 1e-9, "tip");
    rab_edge_clear(&edge);

    /* Round peaks are joined by an arc about the corner: four quarters of a disc. */
    edge = edge_around(&motifs, "arcs", 12, 4, &paper, &options, NULL);
    area = 200 * 150 + RAB_PI * 16;
    for (size_t i = 0; i < 4; i++) {
        const double p = edge.runs[i].pitch, radius = (p * p / 4 + 16) / 8, t = 4 * atan(8 / p);
        area += (double)edge.runs[i].count * radius * radius * (t - sin(t)) / 2;
    }
    near(rab_region_area(&edge.figure.paper), area, 1e-7, "area with round corners");
    rab_edge_clear(&edge);
    rab_region_clear(&paper);
}

/* Source: symmetry. Of a square every corner's middle line is an axis; the two sides meet on it,
 * and the peaks' lines, the depth further out, hold whole repeats. */
Test(edge_along, mitred_corners, .init = set_up, .fini = tear_down)
{
    static const char *const names[] = {"arcs", "teeth", "blocks", "caves"};
    struct rab_region paper = rectangle(150, 150, 0);

    for (size_t n = 0; n < sizeof names / sizeof *names; n++) {
        struct rab_edge edge =
            edge_around(&motifs, names[n], 12, 4, &paper,
                        &(struct rab_along_options){.corners = RAB_CORNERS_MITRED}, NULL);
        const struct rab_outline *outline = &edge.figure.paper.outlines[0];
        near(edge.runs[0].length, 158, 1e-9, "from tip to tip");
        near((double)edge.runs[0].count * edge.runs[0].pitch, 158, 1e-9, "whole repeats");
        for (size_t i = 0; i < outline->count; i++)
            near(distance_to(&edge.figure.paper, outline->vertices[i].y, outline->vertices[i].x), 0,
                 1e-7, names[n]);
        rab_edge_clear(&edge);
    }
    rab_region_clear(&paper);
}

/* Source: three quarters of each disc lie outside a right angle, less what the arcs cover. */
Test(edge_along, the_motifs_own_corner, .init = set_up, .fini = tear_down)
{
    struct rab_region paper = rectangle(120, 120, 0);
    struct rab_along_options options = {0};
    struct rab_edge plain = edge_around(&motifs, "cornered", 12, 2, &paper, &options, NULL);
    options.corners = RAB_CORNERS_MOTIF;
    struct rab_edge own = edge_around(&motifs, "cornered", 12, 2, &paper, &options, NULL);
    const double more = rab_region_area(&own.figure.paper) - rab_region_area(&plain.figure.paper);

    cr_expect(more > 0.25 * 4 * RAB_PI * 4 && more < 0.75 * 4 * RAB_PI * 4, "%f", more);
    near(distance_to(&own.figure.paper, 120 + 2 * sqrt(0.5), 120 + 2 * sqrt(0.5)), 0, 1e-9,
         "outermost point of the corner's disc");
    rab_edge_clear(&own);
    rab_edge_clear(&plain);
    cr_expect(no_edge(&motifs, "arcs", 12, 2, &paper, &options).fault == RAB_FAULT_INPUT);
    rab_region_clear(&paper);
}

/* A peak at the repeat's end is as exact as one in its middle. */
Test(edge_along, peaks_elsewhere, .init = set_up, .fini = tear_down)
{
    struct rab_region paper = disc(0, 0, 40);
    struct rab_edge edge =
        edge_around(&motifs, "slant", 11, 5, &paper, &(struct rab_along_options){0}, NULL);
    const struct rab_outline *outline = &edge.figure.paper.outlines[0];
    size_t peaks = 0;

    for (size_t i = 0; i < outline->count; i++) {
        const double r = hypot(outline->vertices[i].x, outline->vertices[i].y);
        if (r > 41) {
            near(r, 45, 1e-9, "peak");
            peaks++;
        }
    }
    cr_expect(peaks == edge.runs[0].count);
    rab_edge_clear(&edge);

    /* One that begins at its peak has its valley in the middle: that lies on the outline. */
    edge = edge_around(&motifs, "caves", 11, 3, &paper, &(struct rab_along_options){0}, NULL);
    outline = &edge.figure.paper.outlines[0];
    for (size_t i = 0; i < outline->count; i++) {
        const struct rab_point valley = middle_of(outline, i);
        near(hypot(outline->vertices[i].x, outline->vertices[i].y), 43, 1e-9, "peak");
        near(hypot(valley.x, valley.y), 40, 1e-9, "valley");
    }
    rab_edge_clear(&edge);

    /* Random heights, the last joint that of the first. */
    edge = edge_around(&motifs, "rough", 11, 3, &paper, &(struct rab_along_options){0}, NULL);
    outline = &edge.figure.paper.outlines[0];
    cr_expect(outline->count == edge.runs[0].count);
    for (size_t i = 0; i < outline->count; i++) {
        const double r = hypot(outline->vertices[i].x, outline->vertices[i].y);
        cr_expect(r >= 40 - 1e-9 && r <= 43 + 1e-9);
    }
    rab_edge_clear(&edge);
    rab_region_clear(&paper);
}

Test(edge_along, holes_keep_off_corners, .init = set_up, .fini = tear_down)
{
    struct rab_region paper = rectangle(120, 120, 0);
    struct rab_warnings notes = {0};
    struct rab_edge edge =
        edge_around(&motifs, "eyes", 12, 4, &paper, &(struct rab_along_options){0}, &notes);

    /* Ten a side, without the first and last: their middles lie 6 and 4 from the corner's sides,
     * so that with radius 2 they would come within (6 - 4) / sqrt(2) - 2 of the middle line. */
    cr_expect(edge.figure.paper.count == 1 + 4 * 8, "%zu", edge.figure.paper.count);
    cr_expect(notes.count == 1 && strcmp(notes.items[0].code, "fewer-holes") == 0);
    /* The lines of the four sides meet on the middle lines and close. */
    cr_assert(edge.figure.path_count == 1);
    cr_expect_not(edge.figure.paths[0].outline.open);
    near(rab_outline_area(&edge.figure.paths[0].outline) < 0 ? -1 : 1, -1, 0, "clockwise");
    near(fabs(rab_outline_area(&edge.figure.paths[0].outline)), 104 * 104, 1e-7, "line's square");
    rab_warnings_clear(&notes);
    rab_edge_clear(&edge);
    rab_region_clear(&paper);
}

/* ---- where there is no room ------------------------------------------------------------ */

static const double ell[] = {0, 0, 150, 0, 150, 60, 60, 60, 60, 150, 0, 150};

Test(edge_along, concave_corner, .init = set_up, .fini = tear_down)
{
    struct rab_region paper = polygon(ell, 6);
    struct rab_along_options options = {0};
    struct rab_warnings notes = {0};
    const struct rab_error err = no_edge(&motifs, "arcs", 12, 5, &paper, &options);

    cr_expect(err.fault == RAB_FAULT_GEOMETRY && strstr(err.text, "at 6"), "%s", err.text);
    options.fewer = true;
    struct rab_edge edge = edge_around(&motifs, "arcs", 12, 5, &paper, &options, &notes);
    /* Each of the two sides at the corner has eight of 90 / 12, the nearest one left out. */
    size_t seven = 0;
    for (size_t i = 0; i < edge.run_count; i++)
        seven += edge.runs[i].count == 7;
    cr_expect(seven == 2);
    cr_expect(notes.count == 2 && strcmp(notes.items[0].code, "fewer-repeats") == 0);
    near(distance_to(&edge.figure.paper, 60, 60), 0, 1e-9, "corner");
    near(distance_to(&edge.figure.paper, 62, 60), 0, 1e-9, "plain edge");
    rab_warnings_clear(&notes);
    rab_edge_clear(&edge);

    /* Shallow arcs do not meet there. */
    edge = edge_around(&motifs, "arcs", 12, 2, &paper, &(struct rab_along_options){0}, NULL);
    rab_edge_clear(&edge);
    /* Mitred, they are cut where they meet. */
    edge = edge_around(&motifs, "arcs", 12, 5, &paper,
                       &(struct rab_along_options){.corners = RAB_CORNERS_MITRED}, NULL);
    rab_edge_clear(&edge);
    rab_region_clear(&paper);
}

/* A hollow of radius 12: the peaks would meet in its middle. */
static struct rab_region hollow(double radius)
{
    struct rab_outline outline = {0};
    struct rab_region region = {0};

    cr_assert(rab_outline_add(&outline, 0, 0, 0, NULL));
    cr_assert(rab_outline_add(&outline, 200, 0, 0, NULL));
    cr_assert(rab_outline_add(&outline, 200, 60, 0, NULL));
    cr_assert(rab_outline_add(&outline, 100 + radius, 60, -1, NULL));
    cr_assert(rab_outline_add(&outline, 100 - radius, 60, 0, NULL));
    cr_assert(rab_outline_add(&outline, 0, 60, 0, NULL));
    cr_assert(rab_region_fill(&outline, 1, RAB_FILL_NONZERO, &region, NULL));
    rab_outline_clear(&outline);
    return region;
}

Test(edge_along, tight_hollow, .init = set_up, .fini = tear_down)
{
    struct rab_region paper = hollow(12);
    struct rab_along_options options = {0};
    struct rab_warnings notes = {0};

    cr_expect(no_edge(&motifs, "teeth", 5, 14, &paper, &options).fault == RAB_FAULT_GEOMETRY);
    options.fewer = true;
    struct rab_edge edge = edge_around(&motifs, "teeth", 5, 14, &paper, &options, &notes);
    cr_expect(notes.count > 0);
    rab_warnings_clear(&notes);
    rab_edge_clear(&edge);

    /* With a little room the pitch on the hollow is stretched until the teeth stand clear. */
    edge = edge_around(&motifs, "arcs", 5, 2.2, &paper, &options, &notes);
    rab_warnings_clear(&notes);
    rab_edge_clear(&edge);
    rab_region_clear(&paper);
}

Test(edge_along, openings_stay, .init = set_up, .fini = tear_down)
{
    struct rab_region whole = rectangle(100, 100, 0), hole = disc(50, 50, 44), paper = {0};
    struct rab_error err = {0};

    cr_assert(rab_region_combine(&whole, &hole, RAB_DIFFERENCE, &paper, &err));
    struct rab_edge edge =
        edge_around(&motifs, "arcs", 12, 5, &paper, &(struct rab_along_options){0}, NULL);
    cr_assert(edge.figure.paper.count == 2);
    near(rab_outline_area(&edge.figure.paper.outlines[1]), -RAB_PI * 44 * 44, 1e-9, "opening");
    rab_edge_clear(&edge);
    /* Inwards the valleys, 7 mm deep, run into it where it is 6 mm from the edge. */
    err = no_edge(&motifs, "arcs", 16, 7, &paper, &(struct rab_along_options){.inward = true});
    cr_expect(err.fault == RAB_FAULT_GEOMETRY && strstr(err.text, "opening"), "%s", err.text);
    /* Holes in the web, too. */
    err = no_edge(&motifs, "eyes", 12, 5, &paper, &(struct rab_along_options){0});
    cr_expect(err.fault == RAB_FAULT_GEOMETRY && strstr(err.text, "opening"), "%s", err.text);
    rab_region_clear(&paper);
    rab_region_clear(&hole);
    rab_region_clear(&whole);
}

Test(edge_along, several_parts, .init = set_up, .fini = tear_down)
{
    struct rab_region left = disc(0, 0, 20), right = disc(50, 0, 20), paper = {0};
    struct rab_error err = {0};

    cr_assert(rab_region_combine(&left, &right, RAB_UNION, &paper, &err));
    struct rab_edge edge =
        edge_around(&motifs, "arcs", 10, 4, &paper, &(struct rab_along_options){0}, NULL);
    cr_expect(edge.run_count == 2 && edge.figure.paper.count == 2);
    rab_edge_clear(&edge);
    err = no_edge(&motifs, "teeth", 10, 7, &paper, &(struct rab_along_options){0});
    cr_expect(err.fault == RAB_FAULT_GEOMETRY && strstr(err.text, "two parts"), "%s", err.text);
    rab_region_clear(&paper);
    rab_region_clear(&right);
    rab_region_clear(&left);
}

Test(edge_along, too_small_inwards, .init = set_up, .fini = tear_down)
{
    struct rab_region paper = rectangle(100, 9, 0);
    const struct rab_error err =
        no_edge(&motifs, "arcs", 12, 5, &paper, &(struct rab_along_options){.inward = true});

    cr_expect(err.fault == RAB_FAULT_GEOMETRY && strstr(err.text, "too small"), "%s", err.text);
    rab_region_clear(&paper);
}

Test(edge_along, short_sides_and_kept_pitches, .init = set_up, .fini = tear_down)
{
    const double cut[] = {0, 0, 100, 0, 100, 60, 97, 63, 0, 63};
    struct rab_region paper = polygon(cut, 5);
    struct rab_warnings notes = {0};
    struct rab_edge edge =
        edge_around(&motifs, "arcs", 12, 3, &paper, &(struct rab_along_options){0}, &notes);
    size_t plain = 0;

    for (size_t i = 0; i < edge.run_count; i++)
        plain += edge.runs[i].count == 0;
    cr_expect(plain == 1);
    cr_expect(notes.count == 1 && strcmp(notes.items[0].code, "short-stretch") == 0);
    rab_warnings_clear(&notes);
    rab_edge_clear(&edge);

    edge = edge_around(&motifs, "arcs", 12, 3, &paper,
                       &(struct rab_along_options){.keep_pitch = true}, NULL);
    for (size_t i = 0; i < edge.run_count; i++) {
        near(edge.runs[i].pitch, 12, 0, "pitch");
        near((double)edge.runs[i].count * 12 + 2 * edge.runs[i].plain, edge.runs[i].length, 1e-9,
             "length");
    }
    rab_edge_clear(&edge);
    cr_expect(no_edge(&motifs, "arcs", 12, 3, &paper,
                      &(struct rab_along_options){.keep_pitch = true, .corners = RAB_CORNERS_PEAK})
                  .fault == RAB_FAULT_INPUT);
    rab_region_clear(&paper);

    /* All round: the plain stretch stands about the lowest point. */
    paper = disc(0, 0, 30);
    edge = edge_around(&motifs, "arcs", 12, 3, &paper,
                       &(struct rab_along_options){.keep_pitch = true}, NULL);
    near(edge.runs[0].plain, (60 * RAB_PI - 15 * 12) / 2, 1e-9, "plain");
    for (int i = -4; i <= 4; i++) {
        const double angle = i * edge.runs[0].plain / 30 / 4.001;
        near(distance_to(&edge.figure.paper, 30 * sin(angle), -30 * cos(angle)), 0, 1e-9, "plain");
    }
    rab_edge_clear(&edge);
    rab_region_clear(&paper);
}

/* ---- papers behind --------------------------------------------------------------------- */

/* Source: the definition; and for a right angle the corner is kept. */
Test(edge_behind, shows_evenly, .init = set_up, .fini = tear_down)
{
    struct rab_strip_options strip = {.length = 120, .width = 30, .sides = RAB_SIDES_BOTH};
    struct rab_edge edge = strip_of(&motifs, "eyes", 12, 4, &strip);
    struct rab_region behind = {0};
    struct rab_error err = {0};
    struct rab_point on_front, on_back;
    double gap;

    cr_assert(rab_edge_behind(&edge.figure.paper, 3, false, &behind, &err), "%s", err.text);
    cr_assert(behind.count == 1, "openings are covered");
    cr_assert(rab_outline_gap(&edge.figure.paper.outlines[0], &behind.outlines[0], &gap, &on_front,
                              &on_back, &err));
    near(gap, 3, 1e-9, "reveal");
    /* No point of the front's round edge is further from it than the reveal. */
    for (size_t i = 0; i < edge.figure.paper.outlines[0].count; i++) {
        if (edge.figure.paper.outlines[0].vertices[i].bulge == 0)
            continue;
        const struct rab_point peak = middle_of(&edge.figure.paper.outlines[0], i);
        near(distance_to(&behind, peak.x, peak.y), 3, 1e-9, "reveal at a peak");
    }
    rab_region_clear(&behind);

    cr_assert(rab_edge_behind(&edge.figure.paper, 3, true, &behind, &err), "%s", err.text);
    const struct rab_box box = rab_region_box(&behind);
    near(box.x0, 0, 1e-9, "left, in line");
    near(box.x1, 120, 1e-9, "right, in line");
    near(box.y0, -3, 1e-9, "bottom");
    near(box.y1, 33, 1e-9, "top");
    rab_region_clear(&behind);
    rab_edge_clear(&edge);

    struct rab_region front = rectangle(100, 60, 0);
    cr_assert(rab_edge_behind(&front, 5, false, &behind, &err));
    near(rab_region_area(&behind), 110 * 70, 1e-9, "square corners");
    rab_region_clear(&behind);
    cr_expect_not(rab_edge_behind(&front, 0, false, &behind, &err));
    cr_expect(err.fault == RAB_FAULT_INPUT);
    rab_region_clear(&front);
}
