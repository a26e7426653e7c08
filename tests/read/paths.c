/*
 * Path data against SVG 1.1 (second edition): the grammar of 8.3.9, the meaning of every command in
 * 8.3.2 to 8.3.8, and the elliptical arcs of appendix F.6.
 */
#include "read/path.h"
#include "support.h"

#include <math.h>

struct curves {
    struct rab_curve items[64];
    size_t count;
    size_t subpaths, closed;
};

static bool collect(void *context, const struct rab_curve *curves, size_t count, bool closed,
                    struct rab_error *err)
{
    struct curves *to = context;

    (void)err;
    cr_assert(to->count + count <= 64);
    memcpy(to->items + to->count, curves, count * sizeof *curves);
    to->count += count;
    to->subpaths++;
    to->closed += closed;
    return true;
}

static bool try_path(const char *data, struct curves *out, struct rab_error *err)
{
    struct path_sink sink = {.subpath = collect, .context = out, .line = 7, .segments = 320};

    *out = (struct curves){0};
    return path_read(slice_of(data), &sink, err);
}

static struct curves curves_of(const char *data)
{
    struct curves out;
    struct rab_error err = {0};

    cr_assert(try_path(data, &out, &err), "%s: %s", data, err.text);
    return out;
}

/* Both draw the same curves, to the last bit. */
static void expect_same(const char *data, const char *other)
{
    struct curves a = curves_of(data), b = curves_of(other);

    cr_assert(eq(sz, a.count, b.count), "%s and %s", data, other);
    cr_expect(a.subpaths == b.subpaths && a.closed == b.closed, "%s and %s", data, other);
    for (size_t i = 0; i < a.count; i++) {
        cr_assert(a.items[i].kind == b.items[i].kind);
        for (int k = 0; k < 4; k++)
            cr_expect(a.items[i].p[k].x == b.items[i].p[k].x &&
                          a.items[i].p[k].y == b.items[i].p[k].y,
                      "segment %zu, point %d, of %s and %s", i, k, data, other);
    }
}

static void expect_point(struct rab_point p, double x, double y, const char *data)
{
    cr_expect(epsilon_eq(dbl, p.x, x, 1e-12), "%s", data);
    cr_expect(epsilon_eq(dbl, p.y, y, 1e-12), "%s", data);
}

/* Spellings of 8.3.9 that mean the same. */
Test(paths, spellings_of_the_grammar)
{
    expect_same("M0 0L10 20", "M 0,0 L 10,20");
    expect_same("M0 0L10 20", " \t\r\n M 0 , 0 \n L 10\t20 \r\n");
    expect_same("M.5.3-4-5", "M0.5 0.3 L-4 -5");
    expect_same("M1e1-1e1 2E+1.5", "M10 -10 L20 0.5");
    expect_same("M5. 6.L+7+8", "M5 6 L7 8");
    expect_same("M0 0 10 10 20 0z", "M0 0 L10 10 L20 0 Z");
    expect_same("m10 10 10 0 0 10z", "M10 10 L20 10 L20 20 Z");
    expect_same("M0 0h10 20v5-5", "M0 0 H10 H30 V5 V0");
    expect_same("M0 0c1 1 2 1 3 0 1 1 2 1 3 0", "M0 0 C1 1 2 1 3 0 C4 1 5 1 6 0");
    expect_same("M0 0a5 5 0 0110 0", "M0 0 A 5 5 0 0 1 10 0");
    expect_same("M0 0a5 5 0 01-3-4", "M0 0 A5,5 0 0,1 -3,-4");
    expect_same("M0 0a5,5,0,1,1,3,4 5 5 0 00.5.5", "M0 0 A5 5 0 1 1 3 4 A5 5 0 0 0 3.5 4.5");
    expect_same("", "  ");
    expect_same("none", "");
}

/* 8.3.3: after a closepath the next subpath starts where the last one did. */
Test(paths, a_closepath_goes_back_to_the_start)
{
    expect_same("M40 40h10v10z l-10 0 0 -10z", "M40 40H50V50Z M40 40 L30 40 L30 30 Z");
    expect_same("M40 40h10v10zm1 1h1", "M40 40H50V50Z M41 41 H42");
    struct curves c = curves_of("M0 0H1V1ZM5 5H6V6");
    cr_expect(c.subpaths == 2 && c.closed == 1);
}

/* 8.3.6 and 8.3.7: S and T mirror the control point of a curve of their own kind only. */
Test(paths, smooth_curves_mirror_their_like)
{
    expect_same("M0 0C1 2 3 4 5 0S8 5 9 0", "M0 0C1 2 3 4 5 0C7 -4 8 5 9 0");
    expect_same("M0 0S8 5 9 0", "M0 0C0 0 8 5 9 0");
    expect_same("M0 0Q1 2 5 0S8 5 9 0", "M0 0Q1 2 5 0C5 0 8 5 9 0");
    expect_same("M0 0Q2 3 5 0T9 0", "M0 0Q2 3 5 0Q8 -3 9 0");
    expect_same("M0 0Q2 3 5 0T9 0T12 0", "M0 0Q2 3 5 0Q8 -3 9 0Q10 3 12 0");
    expect_same("M0 0C1 2 3 4 5 0T9 0", "M0 0C1 2 3 4 5 0Q5 0 9 0");
    expect_same("M0 0T5 0", "M0 0Q0 0 5 0");
    expect_same("M0 0C1 2 3 4 5 0L6 0S8 5 9 0", "M0 0C1 2 3 4 5 0L6 0C6 0 8 5 9 0");
}

/* A quadratic is handed on as the cubic of the same points: B(1/2) = (p0 + 2 p1 + p2) / 4. */
Test(paths, quadratics_become_cubics)
{
    struct curves c = curves_of("M0 0Q6 12 24 0");
    const struct rab_point *p = c.items[0].p;

    expect_point((struct rab_point){(p[0].x + 3 * p[1].x + 3 * p[2].x + p[3].x) / 8,
                                    (p[0].y + 3 * p[1].y + 3 * p[2].y + p[3].y) / 8},
                 (0 + 2 * 6 + 24) / 4.0, (0 + 2 * 12 + 0) / 4.0, "Q");
}

struct arc {
    const char *data;
    double cx, cy, from, to; /* degrees */
};

/* F.6.5, worked out by hand for arcs whose centre is plain: radius 5 about 0,0 or 10,0; the four
 * combinations of flags between 0,5 and 5,0 give centres 0,0 and 5,5. */
Test(paths, arcs_have_the_centres_of_f_6_5)
{
    static const struct arc arcs[] = {
        {"M5 0A5 5 0 0 1 -5 0", 0, 0, 0, 180},
        {"M5 0A5 5 0 0 0 -5 0", 0, 0, 0, -180},
        {"M5 0A5 5 0 0 1 0 5", 0, 0, 0, 90},
        {"M5 0A5 5 0 1 0 0 5", 0, 0, 0, -270},
        {"M5 0A5 5 0 0 0 0 5", 5, 5, -90, -180},
        {"M5 0A5 5 0 1 1 0 5", 5, 5, -90, 180},
        /* 8.3.8, the example: a quarter of a circle of 150 about 300,200 */
        {"M300 50a150 150 0 0 0 -150 150", 300, 200, -90, -180},
    };

    for (size_t i = 0; i < sizeof arcs / sizeof arcs[0]; i++) {
        const struct arc *a = &arcs[i];
        struct curves c = curves_of(a->data);
        cr_assert(c.count == 1 && c.items[0].kind == RAB_CURVE_ELLIPSE, "%s", a->data);
        expect_point(c.items[0].p[0], a->cx, a->cy, a->data);
        cr_expect(epsilon_eq(dbl, c.items[0].to - c.items[0].from,
                             (a->to - a->from) * RAB_PI / 180, 1e-12),
                  "%s", a->data);
        cr_expect(epsilon_eq(dbl, cos(c.items[0].from), cos(a->from * RAB_PI / 180), 1e-12), "%s",
                  a->data);
        cr_expect(epsilon_eq(dbl, sin(c.items[0].from), sin(a->from * RAB_PI / 180), 1e-12), "%s",
                  a->data);
    }
}

/* F.6.2 and F.6.4: any arc begins and ends where it should, sweeps the side it should, and lies on
 * an ellipse of the stated radii and turn; seeded, no answer of our own is compared. */
Test(paths, arcs_meet_their_definition)
{
    uint64_t state = 20240611;

    for (int i = 0; i < 2000; i++) {
        double n[5];
        char data[256];
        struct rab_text text = {0};
        for (int k = 0; k < 5; k++) {
            state = state * 6364136223846793005U + 1442695040888963407U;
            n[k] = (double)(state >> 40) / (1 << 24);
        }
        double rx = 3 + 20 * n[0], ry = 3 + 20 * n[1], turn = 720 * n[2] - 360;
        double x = 4 * n[3] - 2, y = 4 * n[4] - 2;
        bool large = state >> 39 & 1, sweep = state >> 38 & 1;

        rab_text_add(&text, "M0 0A");
        rab_text_number(&text, rx);
        rab_text_add(&text, " ");
        rab_text_number(&text, ry);
        rab_text_add(&text, " ");
        rab_text_number(&text, turn);
        rab_text_format(&text, " %d %d ", large, sweep);
        rab_text_number(&text, x);
        rab_text_add(&text, " ");
        rab_text_number(&text, y);
        cr_assert(text.length < sizeof data);
        memcpy(data, text.data, text.length + 1);
        rab_text_clear(&text);

        struct curves c = curves_of(data);
        const struct rab_curve *e = &c.items[0];
        double swept = e->to - e->from;
        cr_assert(c.count == 1 && e->kind == RAB_CURVE_ELLIPSE, "%s", data);
        expect_point(rab_curve_start(e), 0, 0, data);
        expect_point(rab_curve_end(e), x, y, data);
        cr_expect(fabs(swept) <= 2 * RAB_PI && (fabs(swept) > RAB_PI) == large, "%s", data);
        cr_expect(sweep == (swept > 0), "%s", data);
        expect_point(e->p[1], rx * cos(turn * RAB_PI / 180), rx * sin(turn * RAB_PI / 180), data);
        expect_point(e->p[2], -ry * sin(turn * RAB_PI / 180), ry * cos(turn * RAB_PI / 180), data);
    }
}

/* F.6.2 and F.6.6: out-of-range parameters. */
Test(paths, arcs_out_of_range)
{
    struct curves c;

    expect_same("M15 20A5 5 0 1 1 15 20H45", "M15 20H45");      /* equal ends: no arc */
    expect_same("M0 0A0 9 0 0 1 5 5", "M0 0L5 5");              /* a radius of 0: a line */
    expect_same("M0 0A-5 -5 0 0 1 5 5", "M0 0A5 5 0 0 1 5 5"); /* negative: absolute values */
    c = curves_of("M20 40A1 2 0 0 1 40 40"); /* too small: both grow, here ten times */
    expect_point(c.items[0].p[0], 30, 40, "centre");
    expect_point(c.items[0].p[1], 10, 0, "radius");
    expect_point(c.items[0].p[2], 0, 20, "radius");
}

struct broken {
    const char *data, *word;
};

Test(paths, broken_data_is_refused_with_the_place)
{
    static const struct broken list[] = {
        {"L10 10", "character 1"},
        {"10 10", "character 1"},
        {"M", "number"},
        {"M10", "the end"},
        {"M10 10 20", "the end"},
        {"M10,,10 20,20", "character 5"},
        {"M,10 10", "character 2"},
        {"M10 10,L5 5", "character 7"},
        {"M10 10 5 5z 5 5", "character 13"},
        {"M0 0A5 5 0 2 1 9 9", "a flag 0 or 1 is expected, not \"2 1 9 9\""},
        {"M0 0A5 5 0 0.0 1 9 9", "flag"},
        {"M0 0A5 5 0 +0 1 9 9", "flag"},
        {"M0 0H0x10", "x10"},
        {"M0 0HNaN", "number"},
        {"M0 0HInfinity", "number"},
        {"M0 0H1e999", "up to 1e12"},
        {"M0 0H-1e308", "up to 1e12"},
        {"M0 0H1e", "command"},
        {"M0 0H--1", "number"},
        {"M0 0H.", "number"},
        {"M0 0B5 5", "command"},
        {"M0 0;L5 5", "command"},
        {"M0 0L5 5\xC3\xA9", "command"},
        {"M0 0C1 1 2 2 3", "the end"},
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct curves out;
        struct rab_error err = {0};
        cr_assert(not(try_path(list[i].data, &out, &err)), "%s", list[i].data);
        cr_expect(err.fault == RAB_FAULT_INPUT && err.line == 7, "%s", list[i].data);
        cr_expect(strstr(err.text, list[i].word) != NULL, "%s: \"%s\" is not in \"%s\"", list[i].data,
                  list[i].word, err.text);
    }
}

Test(paths, segments_are_counted)
{
    struct curves out;
    struct rab_error err = {0};
    struct path_sink sink = {.subpath = collect, .context = &out, .segments = 3};

    out = (struct curves){0};
    cr_expect(path_read(slice_of("M0 0h1v1h-1"), &sink, &err));
    cr_expect(eq(sz, sink.segments, 0));
    cr_expect(not(path_read(slice_of("M0 0h1"), &sink, &err)));
    cr_expect(strstr(err.text, "too many") != NULL);
}

/* 9.7.1: points of polylines and polygons. */
Test(paths, lists_of_points)
{
    expect_drawn(PAGE("<polygon points='10,10 20,10\n20 30,10-5'/>"), 10, 50, 20, 85);
    expect_drawn(PAGE("<polyline points=' 1 2 3,4 '/>"), 1, 76, 3, 78);
    expect_refused(PAGE("<polyline points='1 2 3'/>"), 1, "the list of points is broken");
    expect_refused(PAGE("<polygon points='1 2 a 4'/>"), 1, "number");
}
