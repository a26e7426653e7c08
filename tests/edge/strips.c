/* Fitting and strips. */
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

/* ---- fitting --------------------------------------------------------------------------- */

/* Source: the definition. The pitch changes by a ratio; the count is right when no other one
 * changes it by a lesser ratio, tried one by one. */
Test(edge_fitting, changes_the_pitch_least)
{
    for (int i = 1; i <= 4000; i++) {
        const double length = 0.37 * i, pitch = 7.3;
        size_t best = 1;
        double least = HUGE_VAL;
        for (size_t n = 1; n <= 300; n++) {
            const double change = fabs(log(length / (double)n / pitch));
            if (change < least - 1e-12) {
                least = change;
                best = n;
            }
        }
        cr_assert(rab_edge_count(length, pitch) == best, "length %.2f: %zu, not %zu", length,
                  rab_edge_count(length, pitch), best);
    }
}

/* Source: 304.8 mm is 12 in (international yard and pound agreement, 1959); 304.8 / 15 = 20.32 and
 * 304.8 / 14 = 21.77, against sqrt(20 * 21) = 20.49 and sqrt(21 * 22) = 21.49. */
Test(edge_fitting, twelve_inches)
{
    cr_expect(rab_edge_count(304.8, 15) == 20);
    cr_expect(rab_edge_count(304.8, 14) == 22);
    cr_expect(rab_edge_count(1, 15) == 1);
    cr_expect(rab_edge_count(20.0000000001, 1) == 20);
    cr_expect(rab_edge_count(19.9999999999, 1) == 20);
}

Test(edge_strips, whole_repeats_fill_the_length, .init = set_up, .fini = tear_down)
{
    struct rab_edge edge =
        strip_of(&motifs, "arcs", 15, 4, &(struct rab_strip_options){.length = 304.8, .width = 30});

    cr_expect(edge.run_count == 1 && edge.runs[0].count == 20);
    near(edge.runs[0].pitch, 15.24, 1e-12, "pitch");
    near(edge.runs[0].asked, 15, 0, "pitch asked");
    near(edge.runs[0].plain, 0, 0, "plain ends");
    const struct rab_box box = rab_region_box(&edge.figure.paper);
    near(box.x0, 0, 1e-9, "left");
    near(box.y0, 0, 1e-9, "bottom");
    near(box.x1, 304.8, 1e-9, "right");
    near(box.y1, 30, 1e-9, "top");
    /* 20 arcs and the three straight sides: no vertex more. */
    cr_expect(rab_region_vertices(&edge.figure.paper) == 23);
    rab_edge_clear(&edge);
}

/* Source: an arc of chord p and height s has the radius (p^2 / 4 + s^2) / 2s and, by the DXF
 * reference's definition, the bulge 2s / p (elementary geometry). The area below it: the segment
 * R^2 (t - sin t) / 2 with t = 4 atan(bulge). */
Test(edge_strips, arcs_stay_arcs, .init = set_up, .fini = tear_down)
{
    struct rab_edge edge =
        strip_of(&motifs, "arcs", 15, 4, &(struct rab_strip_options){.length = 304.8, .width = 30});
    const struct rab_outline *outline = &edge.figure.paper.outlines[0];
    const double p = 15.24, s = 4, radius = (p * p / 4 + s * s) / (2 * s), t = 4 * atan(2 * s / p);
    size_t arcs = 0;

    near(radius, 9.258050, 5e-7, "radius by hand");
    near(2 * s / p, 0.524934, 5e-7, "bulge by hand");
    near(t * 180 / RAB_PI, 110.786102, 5e-7, "angle by hand");
    near(radius * t, 17.901201, 5e-7, "length by hand");
    for (size_t i = 0; i < outline->count; i++) {
        if (outline->vertices[i].bulge == 0)
            continue;
        arcs++;
        near(fabs(outline->vertices[i].bulge), 2 * s / p, 1e-12, "bulge");
    }
    cr_expect(arcs == 20);
    near(rab_region_area(&edge.figure.paper), 304.8 * 26 + 20 * radius * radius * (t - sin(t)) / 2,
         1e-8, "area");
    near(rab_region_perimeter(&edge.figure.paper), 304.8 + 2 * 26 + 20 * radius * t, 1e-8,
         "perimeter");
    rab_edge_clear(&edge);
}

/* Source: 304.8 = 20 * 15 + 2 * 2.4. */
Test(edge_strips, kept_pitch_leaves_equal_ends, .init = set_up, .fini = tear_down)
{
    struct rab_edge edge =
        strip_of(&motifs, "arcs", 15, 4,
                 &(struct rab_strip_options){.length = 304.8, .width = 30, .keep_pitch = true});

    cr_expect(edge.runs[0].count == 20);
    near(edge.runs[0].pitch, 15, 0, "pitch");
    near(edge.runs[0].plain, 2.4, 1e-12, "plain ends");
    rab_edge_clear(&edge);
}

/* Source: n repeats and n + 1 flat valleys: n p + v(p) = L, put in. */
Test(edge_strips, valleys_end_it, .init = set_up, .fini = tear_down)
{
    for (int i = 0; i < 60; i++) {
        const double length = 150 + 3.7 * i;
        struct rab_edge edge = strip_of(
            &motifs, "gaps", 15, 4,
            &(struct rab_strip_options){.length = length, .width = 20, .ends = RAB_ENDS_VALLEY});
        const double n = (double)edge.runs[0].count, p = edge.runs[0].pitch;
        near(n * p + 0.4 * p, length, 1e-9, "gaps");
        near(rab_region_area(&edge.figure.paper), length * 16 + n * 0.6 * p * 4, 1e-7, "area");
        rab_edge_clear(&edge);

        edge = strip_of(
            &motifs, "blocks", 15, 4,
            &(struct rab_strip_options){.length = length, .width = 20, .ends = RAB_ENDS_VALLEY});
        const double q = edge.runs[0].pitch, m = (double)edge.runs[0].count;
        near(m * q + 2 + (q - 2) / 4, length, 1e-9, "blocks");
        rab_edge_clear(&edge);
    }
}

/* Source: a strip cut in the middle of a repeat holds as much as the whole ones: half and half. */
Test(edge_strips, half_repeats, .init = set_up, .fini = tear_down)
{
    static const char *const names[] = {"arcs", "teeth", "blocks", "caves"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        struct rab_strip_options options = {.length = 200, .width = 20};
        struct rab_edge whole = strip_of(&motifs, names[i], 13, 4, &options);
        options.ends = RAB_ENDS_HALF;
        struct rab_edge half = strip_of(&motifs, names[i], 13, 4, &options);
        const struct rab_box box = rab_region_box(&half.figure.paper);
        near(rab_region_area(&half.figure.paper), rab_region_area(&whole.figure.paper), 1e-6,
             names[i]);
        near(box.x0, 0, 1e-9, "left");
        near(box.x1, 200, 1e-9, "right");
        cr_expect(half.runs[0].count == whole.runs[0].count);
        rab_edge_clear(&half);
        rab_edge_clear(&whole);
    }
}

/* Source: the definition of a mirror image, and of half a pitch further. */
Test(edge_strips, both_sides, .init = set_up, .fini = tear_down)
{
    struct rab_strip_options options = {.length = 200, .width = 30};
    struct rab_edge one = strip_of(&motifs, "slant", 13, 4, &options);
    options.sides = RAB_SIDES_BOTH;
    struct rab_edge both = strip_of(&motifs, "slant", 13, 4, &options);
    options.sides = RAB_SIDES_APART;
    struct rab_edge apart = strip_of(&motifs, "teeth", 13, 4, &options);
    const double tooth = rab_region_area(&one.figure.paper) - 200 * 26;

    near(rab_region_area(&both.figure.paper), 200 * 22 + 2 * tooth, 1e-7, "both");
    for (double x = 0.4; x < 200; x += 0.7) {
        for (double y = 26.1; y < 30; y += 0.5)
            cr_expect(rab_region_holds(&both.figure.paper, (struct rab_point){x, y}) ==
                      rab_region_holds(&both.figure.paper, (struct rab_point){x, 30 - y}));
    }
    const double pitch = apart.runs[0].pitch;
    cr_expect(apart.run_count == 2);
    for (double x = pitch + 0.4; x < 200 - pitch; x += 0.7) {
        for (double y = 26.1; y < 30; y += 0.5)
            cr_expect(
                rab_region_holds(&apart.figure.paper, (struct rab_point){x, y}) ==
                rab_region_holds(&apart.figure.paper, (struct rab_point){x + pitch / 2, 30 - y}));
    }
    rab_edge_clear(&apart);
    rab_edge_clear(&both);
    rab_edge_clear(&one);
}

Test(edge_strips, holes_and_lines, .init = set_up, .fini = tear_down)
{
    struct rab_strip_options options = {.length = 120, .width = 30, .sides = RAB_SIDES_BOTH};
    struct rab_edge edge = strip_of(&motifs, "eyes", 12, 3, &options);

    cr_expect(edge.figure.paper.count == 1 + 20);
    /* The lines of the repeats are one line on each side. */
    cr_assert(edge.figure.path_count == 2);
    for (size_t i = 0; i < 2; i++) {
        cr_expect(edge.figure.paths[i].operation == RAB_DRAW);
        cr_expect(edge.figure.paths[i].outline.count == 2);
        near(rab_outline_box(&edge.figure.paths[i].outline).x1, 120, 1e-9, "line's end");
    }
    rab_edge_clear(&edge);

    /* Cut in the middle of a repeat, the strip does without the hole there. */
    options.ends = RAB_ENDS_HALF;
    edge = strip_of(&motifs, "eyes", 12, 3, &options);
    cr_expect(edge.figure.paper.count == 1 + 18);
    near(rab_outline_box(&edge.figure.paths[0].outline).x0, 0, 1e-9, "line's start");
    near(rab_outline_box(&edge.figure.paths[0].outline).x1, 120, 1e-9, "line's end");
    rab_edge_clear(&edge);
}

Test(edge_strips, joints_of_random_heights_meet, .init = set_up, .fini = tear_down)
{
    struct rab_strip_options options = {.length = 120, .width = 30, .sides = RAB_SIDES_BOTH};
    struct rab_edge edge = strip_of(&motifs, "rough", 12, 3, &options);

    /* Ten lines on each side, and the two ends. */
    cr_expect(edge.figure.paper.outlines[0].count == 22);
    rab_edge_clear(&edge);
}

/* The message names the least width, and that width will do. */
Test(edge_strips, too_narrow, .init = set_up, .fini = tear_down)
{
    struct rab_strip_options options = {.length = 120, .width = 9.9, .sides = RAB_SIDES_BOTH};
    struct rab_error err = no_strip(&motifs, "eyes", 12, 3, &options);

    /* Depth 3, the line lies 6 below the valleys, 1 mm stays: 2 * 9 + 1. */
    cr_expect(err.fault == RAB_FAULT_GEOMETRY);
    cr_expect(strstr(err.text, "at least 19 mm"), "%s", err.text);
    options.width = 19;
    struct rab_edge edge = strip_of(&motifs, "eyes", 12, 3, &options);
    rab_edge_clear(&edge);
    options.sides = RAB_SIDES_ONE;
    options.width = 9.9;
    err = no_strip(&motifs, "eyes", 12, 3, &options);
    cr_expect(strstr(err.text, "at least 10 mm"), "%s", err.text);
}

Test(edge_strips, refused, .init = set_up, .fini = tear_down)
{
    cr_expect(no_strip(&motifs, "arcs", 12, 3, &(struct rab_strip_options){.length = 0, .width = 9})
                  .fault == RAB_FAULT_INPUT);
    cr_expect(
        no_strip(&motifs, "arcs", 12, 3, &(struct rab_strip_options){.length = 9, .width = NAN})
            .fault == RAB_FAULT_INPUT);
    cr_expect(
        no_strip(&motifs, "arcs", 0, 3, &(struct rab_strip_options){.length = 99, .width = 20})
            .fault == RAB_FAULT_INPUT);
    cr_expect(
        no_strip(&motifs, "arcs", 0.0001, 3, &(struct rab_strip_options){.length = 99, .width = 20})
            .fault == RAB_FAULT_INPUT);
    cr_expect(no_strip(&motifs, "arcs", 12, 3,
                       &(struct rab_strip_options){
                           .length = 99, .width = 20, .ends = RAB_ENDS_HALF, .keep_pitch = true})
                  .fault == RAB_FAULT_INPUT);
    cr_expect(no_strip(&motifs, "arcs", 12, 3,
                       &(struct rab_strip_options){.length = 9, .width = 20, .keep_pitch = true})
                  .fault == RAB_FAULT_GEOMETRY);
    /* The motif's own message. */
    const struct rab_error err =
        no_strip(&motifs, "stout", 12, 7, &(struct rab_strip_options){.length = 99, .width = 20});
    cr_expect(err.fault == RAB_FAULT_INPUT && strstr(err.text, "at most 6.18 mm"), "%s", err.text);
    /* Deeper than half circles without saying so: they cross. */
    const struct rab_error cross =
        no_strip(&motifs, "arcs", 12, 9, &(struct rab_strip_options){.length = 96, .width = 40});
    cr_expect(cross.fault == RAB_FAULT_GEOMETRY && strstr(cross.text, "run into each other at"),
              "%s", cross.text);
    /* A shape is no motif. */
    const double values[64] = {50, 5};
    struct rab_edge edge = {0};
    struct rab_error fault = {0};
    const struct rab_shape *shape = NULL;
    for (size_t i = 0; i < rab_library_count(motifs.library) && !shape; i++) {
        if (!rab_library_at(motifs.library, i)->motif)
            shape = rab_library_at(motifs.library, i);
    }
    cr_assert(shape);
    cr_expect_not(rab_edge_strip(motifs.library, shape, values,
                                 &(struct rab_strip_options){.length = 99, .width = 20}, 0, &edge,
                                 &fault));
    cr_expect(fault.fault == RAB_FAULT_INPUT);
}
