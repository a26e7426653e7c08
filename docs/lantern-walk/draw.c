/*
 * Draws frame.svg: a 12 x 12 in paper frame for an album page, an evening lantern walk through a
 * harbour town. A rose window hangs as the moon over an arcade along the quay, lanterns on both
 * sides, ripples below. Every line is a straight line or a circular arc, worked out here.
 *
 * The build makes it (see tests/cli/meson.build) and a test holds frame.svg to what it prints.
 */
#include <rabbet/rabbet.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* Millimetres, x right, y up, 0,0 in the lower left corner of the page. */
static const double page = 304.8;
static const double margin = 12.2;
static const struct rab_point rose = {152.4, 210.8};
/* No web may be narrower: thinner paper tears. */
static const double least_web = 1.5;

enum { MOST = 120, GROUPS = 8 };

struct drawing {
    struct rab_outline openings[MOST];
    int group[MOST];
    size_t count;
    const char *groups[GROUPS];
    int group_count;
    struct rab_error err;
};

static void begin_group(struct drawing *drawing, const char *name)
{
    drawing->groups[drawing->group_count++] = name;
}

static struct rab_outline *begin(struct drawing *drawing)
{
    if (drawing->count == MOST) {
        rab_fail(&drawing->err, RAB_FAULT_GEOMETRY, "more than %d openings", MOST);
        drawing->count--;
    }
    drawing->group[drawing->count] = drawing->group_count - 1;
    return &drawing->openings[drawing->count++];
}

static double radians(double degrees)
{
    return degrees * RAB_PI / 180;
}

static struct rab_point polar(struct rab_point centre, double radius, double angle)
{
    return (struct rab_point){centre.x + radius * cos(angle), centre.y + radius * sin(angle)};
}

/* The next corner, and the bulge of the way on from it. */
static void corner(struct drawing *drawing, struct rab_outline *outline, struct rab_point at,
                   double bulge)
{
    rab_outline_add(outline, at.x, at.y, bulge, &drawing->err);
}

/* The same by numbers. */
static void to(struct drawing *drawing, struct rab_outline *outline, double x, double y,
               double bulge)
{
    rab_outline_add(outline, x, y, bulge, &drawing->err);
}

/* ---- openings -------------------------------------------------------------------------- */

static void draw_round(struct drawing *drawing, struct rab_point centre, double radius)
{
    rab_outline_circle(centre, radius, begin(drawing), &drawing->err);
}

/* Two arcs struck from the springing points: an equilateral pointed arch. */
static void draw_pointed_arch(struct drawing *drawing, double x0, double x1, double foot,
                              double apex)
{
    struct rab_outline *arch = begin(drawing);
    const double springing = apex - (x1 - x0) * sqrt(3) / 2;
    const double sixth = tan(radians(60) / 4);

    to(drawing, arch, x0, foot, 0);
    to(drawing, arch, x1, foot, 0);
    to(drawing, arch, x1, springing, sixth);
    to(drawing, arch, (x0 + x1) / 2, apex, sixth);
    to(drawing, arch, x0, springing, 0);
}

static void draw_round_arch(struct drawing *drawing, double x0, double x1, double foot, double apex)
{
    struct rab_outline *arch = begin(drawing);
    const double springing = apex - (x1 - x0) / 2;

    to(drawing, arch, x0, foot, 0);
    to(drawing, arch, x1, foot, 0);
    to(drawing, arch, x1, springing, 1);
    to(drawing, arch, x0, springing, 0);
}

/* `lobes` circles of one radius, their centres `out` from the middle, the first at angle `first`:
 * neighbours meet in cusps on the line half-way between them. */
static void draw_foil(struct drawing *drawing, struct rab_point centre, int lobes, double radius,
                      double out, double first)
{
    struct rab_outline *foil = begin(drawing);
    const double half = RAB_PI / lobes;
    const double cusp = out * cos(half) + sqrt(radius * radius - pow(out * sin(half), 2));
    const double lobe_half = atan2(cusp * sin(half), cusp * cos(half) - out);

    for (int i = 0; i < lobes; i++)
        corner(drawing, foil, polar(centre, cusp, first + (2 * i - 1) * half), tan(lobe_half / 2));
}

/* A band of a ring between two radii and two rays, its ends `inset` from the rays. */
static void draw_band(struct drawing *drawing, struct rab_point centre, double inner, double outer,
                      double angle, double half, double inset)
{
    struct rab_outline *band = begin(drawing);
    const double half_in = half - asin(inset / inner), half_out = half - asin(inset / outer);

    corner(drawing, band, polar(centre, outer, angle - half_out), tan(half_out / 2));
    corner(drawing, band, polar(centre, outer, angle + half_out), 0);
    corner(drawing, band, polar(centre, inner, angle + half_in), -tan(half_in / 2));
    corner(drawing, band, polar(centre, inner, angle - half_in), 0);
}

/* A ripple on the water: two arcs that meet in points. */
static void draw_ripple(struct drawing *drawing, double x0, double x1, double y, double height)
{
    struct rab_outline *ripple = begin(drawing);
    const double bulge = height / (x1 - x0);

    to(drawing, ripple, x0, y, bulge);
    to(drawing, ripple, x1, y, bulge);
}

/* ---- the rose -------------------------------------------------------------------------- */

/* A petal between two rays 15 degrees off its middle: sides `inset` inside the rays, both ends
 * rounded by circles that touch the sides. `top` and `foot` are its ends, from the centre. */
struct petal {
    double apex; /* where its sides would meet */
    double head_out, head_radius;
    double foot_out, foot_radius;
};
static struct petal make_petal(double foot, double top, double inset)
{
    const double sine = sin(radians(15));
    struct petal petal = {.apex = inset / sine};

    petal.head_out = (top + inset) / (1 + sine);
    petal.head_radius = (petal.head_out - petal.apex) * sine;
    petal.foot_out = (foot - inset) / (1 - sine);
    petal.foot_radius = (petal.foot_out - petal.apex) * sine;
    return petal;
}

static void draw_petal(struct drawing *drawing, const struct petal *petal, double angle)
{
    struct rab_outline *outline = begin(drawing);
    const struct rab_point head = polar(rose, petal->head_out, angle);
    const struct rab_point foot = polar(rose, petal->foot_out, angle);
    const double side = radians(105); /* at right angles to the sides */

    corner(drawing, outline, polar(head, petal->head_radius, angle - side), tan(side / 2));
    corner(drawing, outline, polar(head, petal->head_radius, angle + side), 0);
    corner(drawing, outline, polar(foot, petal->foot_radius, angle + side),
           tan((RAB_PI - side) / 2));
    corner(drawing, outline, polar(foot, petal->foot_radius, angle - side), 0);
}

static void draw_rose(struct drawing *drawing)
{
    const double rib = 1.8, lead = 2.4, ring = 72, rim = 80;
    const struct petal petal = make_petal(18.5, 66.5, rib / 2);
    /* The rounds between the petals' heads keep the same lead to both heads and to the ring: with
     * the centre at (ring - lead - q) from the middle, the cosine rule gives q. */
    const double along = petal.head_out * cos(radians(15));
    const double edge = ring - lead, reach = petal.head_radius + lead;
    const double q =
        (petal.head_out * petal.head_out + edge * edge - 2 * along * edge - reach * reach) /
        (2 * (edge + reach - along));

    begin_group(drawing, "rose");
    draw_foil(drawing, rose, 6, 5.4, 9, radians(90));
    for (int i = 0; i < 12; i++)
        draw_petal(drawing, &petal, radians(90 - 30 * i));
    for (int i = 0; i < 12; i++)
        draw_round(drawing, polar(rose, edge - q, radians(75 - 30 * i)), q);
    for (int i = 0; i < 12; i++)
        draw_band(drawing, rose, ring, rim, radians(75 - 30 * i), radians(15), lead / 2);
}

/* ---- lanterns -------------------------------------------------------------------------- */

static void draw_lantern(struct drawing *drawing, double x, double top)
{
    const double rib = 2.2;
    const double high = top - 20, low = high - 46, half = (high - low) / 2;
    const double edge = 15, sag = 7, inner = 5, inner_sag = 2.6;
    /* The ribs are as wide everywhere: their two edges are arcs about one centre. */
    const double radius = (half * half + inner_sag * inner_sag) / (2 * inner_sag) + rib;
    const double depth = radius - sqrt(radius * radius - half * half);
    const double beside = inner + inner_sag + rib - depth;
    struct rab_outline *part;

    draw_round(drawing, (struct rab_point){x, top - 3.4}, 3.4);

    part = begin(drawing); /* the cap */
    to(drawing, part, x - 19, high + 2.6, 0);
    to(drawing, part, x + 19, high + 2.6, -0.22);
    to(drawing, part, x + 5, high + 11, 0);
    to(drawing, part, x - 5, high + 11, -0.22);

    part = begin(drawing);
    to(drawing, part, x - edge, low, 0);
    to(drawing, part, x - beside, low, depth / -half);
    to(drawing, part, x - beside, high, 0);
    to(drawing, part, x - edge, high, sag / half);

    part = begin(drawing);
    to(drawing, part, x - inner, low, 0);
    to(drawing, part, x + inner, low, inner_sag / half);
    to(drawing, part, x + inner, high, 0);
    to(drawing, part, x - inner, high, inner_sag / half);

    part = begin(drawing);
    to(drawing, part, x + beside, low, 0);
    to(drawing, part, x + edge, low, sag / half);
    to(drawing, part, x + edge, high, 0);
    to(drawing, part, x + beside, high, depth / -half);

    part = begin(drawing); /* the foot */
    to(drawing, part, x - 5, low - 9, 0);
    to(drawing, part, x + 5, low - 9, 0.25);
    to(drawing, part, x + 13, low - 2.6, 0);
    to(drawing, part, x - 13, low - 2.6, 0.25);
}

/* ---- the whole ------------------------------------------------------------------------- */

enum { BAYS = 9 };
static const double bay = 27.6, web = 4;

static double bay_start(int i)
{
    return margin + i * (bay + web);
}

/* Bays with pointed and round heads in turn, a small round between every two heads and a foil
 * beneath each bay, like a balustrade. */
static void draw_arcade(struct drawing *drawing)
{
    static const double apexes[BAYS / 2 + 1] = {142, 136, 128, 120.5, 123};
    const double foot = 64, between = 2.4, clear = 4.2;
    double previous = 0;

    begin_group(drawing, "arcade");
    for (int i = 0; i < BAYS; i++) {
        const double x = bay_start(i), apex = apexes[i < BAYS - i ? i : BAYS - 1 - i];
        const bool pointed = i % 2 == 0;
        /* Height at which the round stays clear of this head: Pythagoras from the centre of the
         * head's arc, which is the far springing point of a pointed arch. */
        const double radius = pointed ? bay : bay / 2, aside = radius + web / 2;
        const double springing = apex - (pointed ? bay * sqrt(3) / 2 : radius);
        const double height = springing + sqrt(pow(radius + clear + between, 2) - aside * aside);

        if (pointed)
            draw_pointed_arch(drawing, x, x + bay, foot, apex);
        else
            draw_round_arch(drawing, x, x + bay, foot, apex);
        if (i > 0)
            draw_round(drawing, (struct rab_point){x - web / 2, fmax(height, previous)}, between);
        draw_foil(drawing, (struct rab_point){x + bay / 2, 49}, pointed ? 4 : 3, 5,
                  pointed ? 5.2 : 5.4, pointed ? 0 : radians(90));
        previous = height;
    }
}

static void draw_frame(struct drawing *drawing)
{
    draw_rose(drawing);

    begin_group(drawing, "foils");
    for (int side = -1; side <= 1; side += 2) {
        draw_foil(drawing, (struct rab_point){rose.x + side * 116, 268.5}, 4, 9.5, 10, 0);
        draw_foil(drawing, (struct rab_point){rose.x + side * 78, 281}, 3, 5.6, 6, radians(90));
        draw_foil(drawing, (struct rab_point){rose.x + side * 74, 149}, 3, 5.6, 6, radians(90));
    }

    begin_group(drawing, "lanterns");
    for (int side = -1; side <= 1; side += 2)
        draw_lantern(drawing, rose.x + side * 108, 240);

    draw_arcade(drawing);

    begin_group(drawing, "water");
    for (int i = 0; i < BAYS; i++)
        draw_ripple(drawing, bay_start(i), bay_start(i) + bay, 28.5, 8);
    for (int i = 0; i + 1 < BAYS; i++) {
        const double x = bay_start(i) + (bay + web) / 2;
        draw_ripple(drawing, x, x + bay, 17, 8);
    }
}

/* Every web between two openings, and to the page's edge. */
static bool measure(struct drawing *drawing, double *narrowest)
{
    struct rab_outline edge = {0};
    bool ok = false;

    *narrowest = page;
    if (!rab_outline_rectangle((struct rab_box){0, 0, page, page}, 0, &edge, &drawing->err))
        return false;
    for (size_t i = 0; i < drawing->count; i++) {
        for (size_t j = 0; j <= i; j++) {
            double gap = 0;
            if (!rab_outline_gap(&drawing->openings[i], j < i ? &drawing->openings[j] : &edge, &gap,
                                 NULL, NULL, &drawing->err))
                goto done;
            *narrowest = fmin(*narrowest, gap);
        }
    }
    ok = *narrowest >= least_web ||
         rab_fail(&drawing->err, RAB_FAULT_GEOMETRY, "a web is narrower than the least");
done:
    rab_outline_clear(&edge);
    return ok;
}

/* ---- SVG ------------------------------------------------------------------------------- */

static void print_point(struct rab_text *text, double x, double y)
{
    rab_text_fixed(text, x, 4);
    rab_text_add(text, " ");
    rab_text_fixed(text, page - y, 4);
}

/* From a to b, in arcs of at most a quarter turn: a reader that rounds then stays exact. */
static void print_way(struct rab_text *text, struct rab_vertex a, struct rab_vertex b)
{
    const double dx = b.x - a.x, dy = b.y - a.y, bulge = a.bulge;
    const double turn = 4 * atan(bulge);
    const int parts = (int)ceil(fabs(turn) / (RAB_PI / 2) - 1e-9);
    const double radius = hypot(dx, dy) * (1 + bulge * bulge) / (4 * fabs(bulge));
    /* The centre lies to the left of the chord, (1 - b^2) / 4b of it away. */
    const double away = (1 - bulge * bulge) / (4 * bulge);
    const struct rab_point centre = {(a.x + b.x) / 2 - dy * away, (a.y + b.y) / 2 + dx * away};
    const double start = atan2(a.y - centre.y, a.x - centre.x);

    for (int i = 1; i <= parts; i++) {
        const struct rab_point end = i == parts ? (struct rab_point){b.x, b.y}
                                                : polar(centre, radius, start + turn * i / parts);
        rab_text_add(text, " A");
        rab_text_fixed(text, radius, 4);
        rab_text_add(text, " ");
        rab_text_fixed(text, radius, 4);
        rab_text_add(text, bulge > 0 ? " 0 0 0 " : " 0 0 1 ");
        print_point(text, end.x, end.y);
    }
}

static void print_opening(struct rab_text *text, const struct rab_outline *opening)
{
    const struct rab_vertex *v = opening->vertices;
    const size_t count = opening->count;

    if (count == 2 && v[0].bulge == 1 && v[1].bulge == 1) {
        rab_text_add(text, "      <circle cx=\"");
        rab_text_fixed(text, (v[0].x + v[1].x) / 2, 4);
        rab_text_add(text, "\" cy=\"");
        rab_text_fixed(text, page - (v[0].y + v[1].y) / 2, 4);
        rab_text_add(text, "\" r=\"");
        rab_text_fixed(text, hypot(v[1].x - v[0].x, v[1].y - v[0].y) / 2, 4);
        rab_text_add(text, "\"/>\n");
        return;
    }
    rab_text_add(text, "      <path d=\"M");
    print_point(text, v[0].x, v[0].y);
    for (size_t i = 0; i < count; i++) {
        const struct rab_vertex next = v[(i + 1) % count];
        if (v[i].bulge != 0) {
            print_way(text, v[i], next);
        } else if (i + 1 < count) {
            rab_text_add(text, " L");
            print_point(text, next.x, next.y);
        }
    }
    rab_text_add(text, " Z\"/>\n");
}

static void print_svg(struct rab_text *text, const struct drawing *drawing, double narrowest)
{
    rab_text_add(text, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"304.8mm\" "
                       "height=\"304.8mm\" viewBox=\"0 0 304.8 304.8\">\n"
                       "  <title>Lantern walk, a frame for a 12 x 12 in album page</title>\n");
    rab_text_format(text, "  <desc>%zu openings; the narrowest web is ", drawing->count);
    rab_text_fixed(text, narrowest, 2);
    rab_text_add(text, " mm.</desc>\n"
                       "  <g fill=\"none\" stroke=\"#333\" stroke-width=\"0.3\">\n"
                       "    <rect id=\"edge\" width=\"304.8\" height=\"304.8\"/>\n");
    for (int group = 0; group < drawing->group_count; group++) {
        rab_text_format(text, "    <g id=\"%s\">\n", drawing->groups[group]);
        for (size_t i = 0; i < drawing->count; i++) {
            if (drawing->group[i] == group)
                print_opening(text, &drawing->openings[i]);
        }
        rab_text_add(text, "    </g>\n");
    }
    rab_text_add(text, "  </g>\n</svg>\n");
}

int main(void)
{
    struct drawing drawing = {0};
    struct rab_text text = {0};
    double narrowest = 0;
    bool ok;

    draw_frame(&drawing);
    ok = drawing.err.fault == RAB_FAULT_NONE && measure(&drawing, &narrowest);
    if (ok) {
        print_svg(&text, &drawing, narrowest);
        ok = rab_text_ok(&text, &drawing.err) &&
             (fwrite(text.data, 1, text.length, stdout) == text.length && fflush(stdout) == 0);
    }
    if (!ok)
        fprintf(stderr, "%s\n", drawing.err.text);
    rab_text_clear(&text);
    for (size_t i = 0; i < drawing.count; i++)
        rab_outline_clear(&drawing.openings[i]);
    return ok ? EXIT_SUCCESS : EXIT_FAILURE;
}
