/*
 * Backings: what they cover, what they keep clear of, how neighbours share the paper, what is
 * reported. Closed forms are named beside each check; the rest are properties, judged by dense
 * sampling and by areas.
 */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

#include "frames.h"

static struct rab_backings backed(const struct rab_frame *frame,
                                  const struct rab_backing_options *options)
{
    struct rab_backings out = {0};
    struct rab_error err = {0};
    cr_assert(rab_frame_back(frame, options, &out, NULL, &err), "%s", err.text);
    return out;
}

/* The page of 304.8 mm with one opening. */
static struct rab_frame page_with(void (*draw)(struct shapes *))
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 304.8, 304.8);
    draw(&list);
    struct rab_frame frame = frame_of(&list);
    shapes_clear(&list);
    return frame;
}

static void draw_arch(struct shapes *list)
{
    add_arch(list, 100, 100, 40, 60);
}

/* Source: Steiner's formula for a convex shape grown round by s: A + P s + pi s^2, P + 2 pi s. */
Test(frame_backs, arch_keeps_steiners_formula)
{
    const double area = 40 * 60 + RAB_PI * 200, perimeter = 60 + 40 + 60 + RAB_PI * 20;
    struct rab_frame frame = page_with(draw_arch);
    for (double seam = 1; seam < 9; seam++) {
        struct rab_backing_options options = rab_backing_options_usual();
        options.seam = seam;
        struct rab_backings backings = backed(&frame, &options);
        cr_assert(eq(sz, backings.count, 1));
        const struct rab_backing *piece = &backings.items[0];
        cr_expect(
            epsilon_eq(dbl, piece->area, area + perimeter * seam + RAB_PI * seam * seam, 1e-6));
        cr_expect(epsilon_eq(dbl, piece->perimeter, perimeter + 2 * RAB_PI * seam, 1e-6));
        cr_expect(epsilon_eq(dbl, piece->seam, seam, 1e-6));
        cr_expect(eq(int, piece->limit, RAB_LIMIT_SEAM));
        rab_backings_clear(&backings);
    }
    rab_frame_clear(&frame);
}

static void draw_inch(struct shapes *list)
{
    add_circle(list, 150, 150, 12.7);
}

/* Source: 1 in = 25.4 mm; the 1 1/4 in circle is the smallest of the four that leaves 3 mm. */
Test(frame_backs, smallest_circle_that_leaves_the_seam)
{
    static const double inches[] = {1, 1.25, 1.5, 2};
    double circles[4];
    for (int i = 0; i < 4; i++)
        circles[i] = 25.4 * inches[i];
    struct rab_frame frame = page_with(draw_inch);
    struct rab_backing_options options = rab_backing_options_usual();
    options.circles = circles;
    options.circle_count = 4;
    struct rab_backings backings = backed(&frame, &options);
    cr_expect(eq(int, backings.items[0].shape, RAB_SHAPE_CIRCLE));
    cr_expect(epsilon_eq(dbl, backings.items[0].area, RAB_PI * pow(31.75 / 2, 2), 1e-6));
    cr_expect(epsilon_eq(dbl, backings.items[0].seam, 3.175, 1e-6));
    rab_backings_clear(&backings);
    rab_frame_clear(&frame);
}

static void draw_two_squares(struct shapes *list)
{
    add_rectangle(list, 100, 100, 120, 120);
    add_rectangle(list, 126, 100, 146, 120);
}

/* Elementary arithmetic: a web b lets a seam reach b - clear when the neighbour stays open, and
 * b / 2 when both are backed. b = 6, clear = 0.5. */
Test(frame_backs, web_limits_the_seam)
{
    struct rab_frame frame = page_with(draw_two_squares);
    struct rab_backing_options options = rab_backing_options_usual();
    const int one[] = {1};
    options.seam = 8;
    options.only = (struct rab_numbers){one, 1};
    struct rab_backings backings = backed(&frame, &options);
    cr_expect(epsilon_eq(dbl, backings.items[0].seam, 5.5, 1e-6));
    cr_expect(eq(int, backings.items[0].limit, RAB_LIMIT_OPENING));
    cr_expect(eq(int, backings.items[0].limit_number, 2));
    rab_backings_clear(&backings);

    options.only.count = 0;
    backings = backed(&frame, &options);
    cr_assert(eq(sz, backings.count, 2));
    for (int i = 0; i < 2; i++) {
        cr_expect(epsilon_eq(dbl, backings.items[i].seam, 3, 1e-5));
        cr_expect(eq(int, backings.items[i].limit, RAB_LIMIT_PIECE));
        cr_expect(eq(int, backings.items[i].limit_number, 2 - i));
    }
    rab_backings_clear(&backings);

    options.lap = true; /* then only the opening itself is in the way */
    backings = backed(&frame, &options);
    cr_expect(epsilon_eq(dbl, backings.items[0].seam, 5.5, 1e-6));
    rab_backings_clear(&backings);

    const int both[] = {1, 2};
    const struct rab_numbers group = {both, 2};
    options.lap = false;
    options.groups = &group;
    options.group_count = 1;
    options.seam = 4;
    backings = backed(&frame, &options);
    cr_assert(eq(sz, backings.count, 1));
    cr_expect(epsilon_eq(dbl, backings.items[0].seam, 4, 1e-5));
    rab_backings_clear(&backings);
    rab_frame_clear(&frame);
}

static void draw_round(struct shapes *list)
{
    add_circle(list, 100, 100, 20);
}
static void draw_square(struct shapes *list)
{
    add_rectangle(list, 100, 100, 130, 125);
}
static void draw_triangle(struct shapes *list)
{
    add_regular(list, 3, 100, 100, 20, 0.3);
}
static void draw_foil(struct shapes *list)
{
    add_foil(list, 4, 100, 100, 10, 9, 0.2);
}
static void draw_tee(struct shapes *list)
{
    const struct rab_point tee[] = {{100, 100}, {110, 100}, {110, 140}, {130, 140},
                                    {130, 150}, {80, 150},  {80, 140},  {100, 140}};
    add_polygon(list, 8, tee);
}

static struct rab_backing plain(void (*draw)(struct shapes *), double seam)
{
    struct rab_frame frame = page_with(draw);
    struct rab_backing_options options = rab_backing_options_usual();
    options.form = RAB_FORM_SIMPLE;
    options.seam = seam;
    struct rab_backings backings = backed(&frame, &options);
    struct rab_backing piece = backings.items[0];
    cr_expect(ge(dbl, piece.seam, seam - 1e-6));
    rab_backings_clear(&backings); /* the copy's numbers stay readable, its outlines do not */
    rab_frame_clear(&frame);
    return piece;
}

/* Areas by mensuration; the foil's circle has the radius out + lobe; the hulls by Steiner's
 * formula: of the triangle itself, and of the T the polygon of its six outer corners. */
Test(frame_backs, plainest_shapes)
{
    struct rab_backing piece = plain(draw_round, 3);
    cr_expect(eq(int, piece.shape, RAB_SHAPE_CIRCLE));
    cr_expect(epsilon_eq(dbl, piece.area, RAB_PI * 23 * 23, 1e-6));
    piece = plain(draw_square, 3);
    cr_expect(eq(int, piece.shape, RAB_SHAPE_RECTANGLE));
    cr_expect(epsilon_eq(dbl, piece.area, 36 * 31, 1e-6));
    piece = plain(draw_foil, 2);
    cr_expect(eq(int, piece.shape, RAB_SHAPE_CIRCLE));
    cr_expect(epsilon_eq(dbl, piece.area, RAB_PI * 21 * 21, 1e-5));
    piece = plain(draw_triangle, 2);
    const double side = 20 * sqrt(3);
    cr_expect(eq(int, piece.shape, RAB_SHAPE_HULL));
    cr_expect(
        epsilon_eq(dbl, piece.area, sqrt(3) / 4 * side * side + 3 * side * 2 + RAB_PI * 4, 1e-6));
    piece = plain(draw_tee, 1);
    const double hull = 50 * 50 - 20 * 40 / 2.0 - 20 * 40 / 2.0;
    const double round = 50 + 10 + 10 + 10 + 2 * hypot(20, 40);
    cr_expect(eq(int, piece.shape, RAB_SHAPE_HULL));
    cr_expect(epsilon_eq(dbl, piece.area, hull + round + RAB_PI, 1e-6));
}

static void draw_row(struct shapes *list)
{
    for (int i = 0; i < 3; i++)
        add_circle(list, 100 + 30 * i, 100, 8);
}

/* A group that stands apart is one piece of paper, clear of what lies between. */
Test(frame_backs, bridges_a_group)
{
    struct rab_frame frame = page_with(draw_row);
    struct rab_backing_options options = rab_backing_options_usual();
    struct rab_error err = {0};
    const int ends[] = {1, 3};
    const struct rab_numbers group = {ends, 2};
    options.groups = &group;
    options.group_count = 1;
    options.skip = (struct rab_numbers){(const int[]){2}, 1};
    struct rab_backings backings = backed(&frame, &options);
    cr_assert(eq(sz, backings.count, 1));
    const struct rab_region *paper = &backings.items[0].region;
    size_t outer = 0;
    for (size_t i = 0; i < paper->count; i++) {
        double gap;
        outer += paper->parents[i] == RAB_NO_PARENT;
        cr_assert(rab_outline_gap(&paper->outlines[i], &frame.openings[1].outline, &gap, NULL, NULL,
                                  &err));
        cr_expect(ge(dbl, gap, options.clear - 1e-6));
    }
    cr_expect(eq(sz, outer, 1));
    cr_expect(rab_region_holds(paper, (struct rab_point){100, 100}));
    cr_expect(rab_region_holds(paper, (struct rab_point){160, 100}));
    cr_expect(not(rab_region_holds(paper, (struct rab_point){130, 100})));
    rab_backings_clear(&backings);
    rab_frame_clear(&frame);
}

static void draw_hair(struct shapes *list)
{
    add_rectangle(list, 100, 100, 120, 120);
    add_rectangle(list, 120.05, 100, 146, 120);
}

Test(frame_backs, says_what_to_group)
{
    struct rab_frame frame = page_with(draw_hair);
    const struct rab_backing_options options = rab_backing_options_usual();
    struct rab_backings out = {0};
    struct rab_error err = {0};
    cr_expect(not(rab_frame_back(&frame, &options, &out, NULL, &err)));
    cr_expect(eq(int, err.fault, RAB_FAULT_GEOMETRY));
    cr_expect(ne(ptr, strstr(err.text, "cannot be backed alone"), NULL), "%s", err.text);
    cr_expect(ne(ptr, strstr(err.text, "group 1 with 2"), NULL), "%s", err.text);
    cr_expect(eq(ptr, out.items, NULL));
    rab_frame_clear(&frame);
}

static void draw_touching(struct shapes *list)
{
    const struct rab_point low[] = {{100, 100}, {110, 100}, {110, 110}};
    const struct rab_point high[] = {{110, 110}, {120, 110}, {120, 120}};
    add_polygon(list, 3, low);
    add_polygon(list, 3, high);
}

/* Openings that meet in a point cannot have a seam there: one piece serves both. */
Test(frame_backs, openings_that_touch_share_a_piece)
{
    struct rab_frame frame = page_with(draw_touching);
    const struct rab_backing_options options = rab_backing_options_usual();
    struct rab_backings out = {0};
    struct rab_warnings notes = {0};
    struct rab_error err = {0};
    cr_assert(eq(sz, frame.count, 2));
    cr_assert(rab_frame_back(&frame, &options, &out, &notes, &err), "%s", err.text);
    cr_assert(eq(sz, out.count, 1));
    cr_expect(eq(sz, out.items[0].opening_count, 2));
    cr_expect(epsilon_eq(dbl, out.items[0].seam, 3, 1e-5));
    cr_assert(eq(sz, notes.count, 1));
    cr_expect(strcmp(notes.items[0].code, "touching") == 0);
    rab_warnings_clear(&notes);
    rab_backings_clear(&out);
    rab_frame_clear(&frame);
}

static double off(const struct rab_outline *outline, struct rab_point p)
{
    return rab_outline_distance(outline, p, NULL);
}

/* Points along an outline, `each` on every side. */
static struct rab_point along(const struct rab_outline *o, size_t i, double part)
{
    const struct rab_vertex a = o->vertices[i], b = o->vertices[(i + 1) % o->count];
    const double quarter = atan(a.bulge), turn = 2 * quarter * (1 - part);
    const double reach = a.bulge == 0 ? part : sin(2 * quarter * part) / sin(2 * quarter);
    const double dx = b.x - a.x, dy = b.y - a.y;
    return (struct rab_point){a.x + reach * (dx * cos(turn) + dy * sin(turn)),
                              a.y + reach * (dy * cos(turn) - dx * sin(turn))};
}

static void draw_unlike_circles(struct shapes *list)
{
    add_circle(list, 100, 100, 20);
    add_circle(list, 128, 104, 6); /* equal distance: a branch of a hyperbola */
}
static void draw_point_and_side(struct shapes *list)
{
    add_rectangle(list, 100, 100, 160, 120);
    add_circle(list, 130, 123, 1.5); /* nearly a point and a line: a parabola */
}

/* Source: the definitions of hyperbola and parabola as lines of equal distance. Every point of a
 * piece's edge that is no seam away from its own opening must be as far from the neighbour. */
static void shares_evenly(void (*draw)(struct shapes *), double seam)
{
    struct rab_frame frame = page_with(draw);
    struct rab_backing_options options = rab_backing_options_usual();
    options.seam = seam;
    struct rab_backings backings = backed(&frame, &options);
    size_t shared = 0;
    cr_assert(eq(sz, backings.count, 2));
    for (size_t n = 0; n < 2; n++) {
        const struct rab_outline *piece = &backings.items[n].region.outlines[0];
        const struct rab_outline *own = &frame.openings[n].outline;
        const struct rab_outline *other = &frame.openings[1 - n].outline;
        for (size_t i = 0; i < piece->count; i++)
            for (double part = 0.05; part < 1; part += 0.1) {
                const struct rab_point p = along(piece, i, part);
                if (fabs(off(own, p) - seam) < 1e-5)
                    continue;
                shared++;
                cr_expect(epsilon_eq(dbl, off(own, p), off(other, p), 0.005));
            }
    }
    cr_expect(shared >= 20);
    rab_backings_clear(&backings);
    rab_frame_clear(&frame);
}

Test(frame_backs, unlike_circles_share_a_hyperbola)
{
    shares_evenly(draw_unlike_circles, 4);
}
Test(frame_backs, point_and_side_share_a_parabola)
{
    shares_evenly(draw_point_and_side, 4);
}

/* A page of openings of several kinds, near enough for most webs to be shared. */
static void draw_mixture(struct shapes *list, struct seeded *numbers)
{
    add_rectangle(list, 0, 0, 200, 200);
    for (int row = 0; row < 6; row++)
        for (int column = 0; column < 6; column++) {
            const double x = 20 + 32 * column + seeded_real(numbers, -3, 3);
            const double y = 20 + 32 * row + seeded_real(numbers, -3, 3);
            switch (seeded_int(numbers, 0, 4)) {
            case 0:
                add_circle(list, x, y, seeded_real(numbers, 4, 12.5));
                break;
            case 1:
                add_rectangle(list, x - 12, y - seeded_real(numbers, 3, 12), x + 12, y + 9);
                break;
            case 2:
                add_arch(list, x - 10, y - 12, 20, 14);
                break;
            case 3:
                add_regular(list, (size_t)seeded_int(numbers, 3, 7), x, y, 12,
                            seeded_real(numbers, 0, 3));
                break;
            default:
                add_foil(list, 4, x, y, 6, 5.5, seeded_real(numbers, 0, 1));
            }
        }
}

static double common_area(const struct rab_region *a, const struct rab_region *b)
{
    struct rab_region both = {0};
    struct rab_error err = {0};
    cr_assert(rab_region_combine(a, b, RAB_INTERSECTION, &both, &err), "%s", err.text);
    const double area = rab_region_area(&both);
    rab_region_clear(&both);
    return area;
}

/* Covered, clear, inside the edge, side by side, and the seam reported is the seam that is there
 * (dense sampling of the opening's outline, from above within the sampling's step). */
Test(frame_backs, properties_of_random_frames)
{
    struct seeded numbers = {2024};
    for (int trial = 0; trial < 40; trial++) {
        struct shapes list = {0};
        draw_mixture(&list, &numbers);
        struct rab_frame frame = frame_of(&list);
        shapes_clear(&list);
        struct rab_backing_options options = rab_backing_options_usual();
        options.seam = seeded_real(&numbers, 1, 6);
        options.lap = trial % 5 == 4;
        options.form = trial % 3 == 1 ? RAB_FORM_SIMPLE : RAB_FORM_GROWN;
        struct rab_backings backings = backed(&frame, &options);
        cr_assert(eq(sz, backings.count, frame.count));
        for (size_t n = 0; n < backings.count; n++) {
            const struct rab_backing *piece = &backings.items[n];
            const struct rab_outline *own = &frame.openings[piece->openings[0] - 1].outline;
            double least = 1e300;
            struct rab_error err = {0};
            cr_expect(rab_region_check(&piece->region, &err), "%s", err.text);
            for (size_t i = 0; i < own->count; i++)
                for (double part = 0; part < 1; part += 0.02) {
                    const struct rab_point p = along(own, i, part);
                    for (size_t k = 0; k < piece->region.count; k++)
                        least = fmin(least, off(&piece->region.outlines[k], p));
                    cr_assert(rab_region_holds(&piece->region, p));
                }
            cr_expect(le(dbl, piece->seam, least + 1e-6));
            cr_expect(ge(dbl, piece->seam, least - 0.25)); /* the step between samples */
            if (piece->shape == RAB_SHAPE_GROWN)
                cr_expect(le(dbl, piece->seam, options.seam + 1e-6));
            for (size_t k = 0; k < frame.count; k++) {
                double gap;
                if (k == n)
                    continue;
                for (size_t o = 0; o < piece->region.count; o++) {
                    cr_assert(rab_outline_gap(&piece->region.outlines[o],
                                              &frame.openings[k].outline, &gap, NULL, NULL, &err));
                    cr_expect(ge(dbl, gap, options.clear - 1e-6));
                }
                if (!options.lap && k > n)
                    cr_expect(
                        le(dbl, common_area(&piece->region, &backings.items[k].region), 1e-5));
            }
            const struct rab_box box = piece->box;
            cr_expect(box.x0 >= 1 - 1e-6 && box.y0 >= 1 - 1e-6 && box.x1 <= 199 + 1e-6 &&
                      box.y1 <= 199 + 1e-6);
        }
        rab_backings_clear(&backings);
        rab_frame_clear(&frame);
    }
}
