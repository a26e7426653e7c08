#include "families.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A family draws into both lists; the second is used when two regions are combined. */
typedef void family_draw(struct seeded *numbers, struct shapes *a, struct shapes *b);

static double pick(struct seeded *numbers, size_t count, const double *values)
{
    return values[seeded_next(numbers) % count];
}
#define PICK(numbers, ...)                                                                         \
    pick(numbers, sizeof((const double[]){__VA_ARGS__}) / sizeof(double),                          \
         (const double[]){__VA_ARGS__})

/* A small signed length, 1e-9 to 1e-3, sometimes 0. */
static double hair(struct seeded *numbers)
{
    const double size = pow(10, seeded_real(numbers, -9.5, -2.5));
    return PICK(numbers, 0, size, -size, size, -size);
}

static void grid_polygon(struct seeded *numbers, struct shapes *list, int span, int corners)
{
    struct rab_outline *o = shapes_next(list);
    for (int i = 0; i < corners; i++)
        put(o, seeded_int(numbers, 0, span), seeded_int(numbers, 0, span), 0);
}

static void draw_grid_polygons(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    const int span = seeded_int(numbers, 3, 12);
    for (int i = seeded_int(numbers, 1, 2); i > 0; i--)
        grid_polygon(numbers, a, span, seeded_int(numbers, 3, 9));
    grid_polygon(numbers, b, span, seeded_int(numbers, 3, 9));
}

static void draw_grid_boxes(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    for (int i = seeded_int(numbers, 2, 9); i > 0; i--) {
        const double x = seeded_int(numbers, 0, 8), y = seeded_int(numbers, 0, 8);
        struct shapes *list = i % 3 ? a : b;
        const double w = seeded_int(numbers, 1, 5), h = seeded_int(numbers, 1, 5);
        if (seeded_int(numbers, 0, 3)) {
            add_rectangle(list, x, y, x + w, y + h);
        } else { /* a corner cut off, so that diagonals meet too */
            add_polygon(list, 3, (const struct rab_point[]){{x, y}, {x + w, y}, {x, y + w}});
        }
        if (seeded_int(numbers, 0, 3) == 0)
            reverse_last(list);
    }
}

static void draw_grid_circles(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    for (int i = seeded_int(numbers, 2, 7); i > 0; i--) {
        struct shapes *list = i % 2 ? a : b;
        add_circle(list, seeded_int(numbers, 0, 6), seeded_int(numbers, 0, 6),
                   PICK(numbers, 1, 2, 3, 4, 5, 0.5, 2.5, sqrt(2), sqrt(5)));
        if (seeded_int(numbers, 0, 3) == 0)
            reverse_last(list);
    }
}

static void draw_near_tangent_circles(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    const double r = seeded_real(numbers, 2, 30);
    add_circle(a, 0, 0, r);
    for (int i = seeded_int(numbers, 1, 3); i > 0; i--) {
        const double s = PICK(numbers, r, r / 2, 3, 7.5, 0.2, seeded_real(numbers, 0.5, 40));
        const double d = PICK(numbers, r + s, fabs(r - s)) + hair(numbers);
        const double t = PICK(numbers, 0, RAB_PI / 2, RAB_PI, seeded_real(numbers, 0, 6.3));
        add_circle(i % 2 ? b : a, d * cos(t), d * sin(t), s);
    }
    if (seeded_int(numbers, 0, 2) == 0) { /* a line nearly tangent */
        const double x = r + hair(numbers);
        add_rectangle(b, x, -40, x + 20, 40);
    }
}

static void draw_arc_polygons(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    const int span = seeded_int(numbers, 3, 8);
    for (int list = 0; list < 2; list++) {
        struct rab_outline *o = shapes_next(list ? b : a);
        for (int i = seeded_int(numbers, 2, 8); i > 0; i--) {
            const double bulge =
                PICK(numbers, 0, 0, 0, 1, -1, 0.5, -0.5, sqrt(2) - 1, 1 - sqrt(2), 2, -2, 0.1, -0.1,
                     1e-6, -1e-6, 1e-9, seeded_real(numbers, -1.5, 1.5), 10);
            put(o, seeded_int(numbers, 0, span), seeded_int(numbers, 0, span), bulge);
        }
    }
}

static void draw_openings(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    for (int i = seeded_int(numbers, 2, 5); i > 0; i--) {
        struct shapes *list = i % 2 ? a : b;
        const double x = seeded_int(numbers, 0, 20) / 2.0, y = seeded_int(numbers, 0, 20) / 2.0;
        const double w = seeded_int(numbers, 2, 12);
        switch (seeded_int(numbers, 0, 6)) {
        case 0:
            add_rounded(list, x, y, x + w, y + w + 2, PICK(numbers, 0.5, 0.25, w / 2, w / 4, 1));
            break;
        case 1:
            add_arch(list, x, y, w, seeded_int(numbers, 1, 12));
            break;
        case 2:
            add_stadium(list, x, y, w, seeded_int(numbers, 1, 5));
            break;
        case 3:
            add_lancet(list, x, y, w, seeded_int(numbers, 1, 12), PICK(numbers, 1, 0.75, 1.5, 0.5));
            break;
        case 4:
            add_quatrefoil(list, x, y, w);
            break;
        case 5:
            add_reuleaux(list, x, y, w);
            break;
        case 6:
            add_circle(list, x, y, w / 2);
            break;
        }
        if (seeded_int(numbers, 0, 4) == 0)
            reverse_last(list);
    }
}

static void draw_foils(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    const int lobes = seeded_int(numbers, 3, 8);
    const double out = seeded_int(numbers, 3, 12);
    const double least = out * sin(RAB_PI / lobes);
    const double radius = PICK(numbers, least, least * 1.2, out, least + 0.5, out * 1.4);
    add_foil(a, (size_t)lobes, 0, 0, out, fmax(radius, least * 1.0001), 0);
    add_foil(b, (size_t)lobes, PICK(numbers, 0, 0, 1, out), 0, out,
             fmax(PICK(numbers, radius, least * 1.1), least * 1.0001),
             PICK(numbers, 0, RAB_PI / lobes, 0.1, hair(numbers)));
    if (seeded_int(numbers, 0, 1)) /* the eye in the middle */
        add_circle(a, 0, 0, PICK(numbers, out, out * cos(RAB_PI / lobes), 1, radius));
}

static void draw_scallops(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    const size_t n = (size_t)seeded_int(numbers, 2, 9);
    const double pitch = PICK(numbers, 4, 5, 7.5), side = pitch * (double)n;
    const double depth = PICK(numbers, 1, pitch / 2, -1, -pitch / 2, 0.1, pitch / 4);
    add_scalloped(a, 0, 0, side, n, depth);
    add_scalloped(b, PICK(numbers, 0, pitch / 2, pitch, hair(numbers), 0.7), PICK(numbers, 0, pitch / 2, 2),
                  side, n, PICK(numbers, depth, -depth, depth / 2));
}

static void draw_stars(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    const int n = seeded_int(numbers, 5, 13), k = seeded_int(numbers, 2, n / 2);
    add_star(a, (size_t)n, (size_t)k, 0, 0, 10, PICK(numbers, 0, 0.3, RAB_PI / 2));
    add_star(b, (size_t)n, (size_t)PICK(numbers, k, 1, 2), PICK(numbers, 0, 0, 3, hair(numbers)), 0,
             PICK(numbers, 10, 5, 12), PICK(numbers, 0, RAB_PI / n, 0.3));
}

static void draw_frames(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    const int across = seeded_int(numbers, 1, 6), down = seeded_int(numbers, 1, 5);
    const double pitch = 20;
    add_rectangle(a, 0, 0, pitch * across + 4, pitch * down + 4);
    for (int row = 0; row < down; row++)
        for (int column = 0; column < across; column++) {
            const double x = 4 + pitch * column, y = 4 + pitch * row;
            switch (seeded_int(numbers, 0, 4)) {
            case 0:
                add_arch(a, x, y, 16, 8);
                break;
            case 1:
                add_circle(a, x + 8, y + 8, 8);
                break;
            case 2:
                add_foil(a, 5, x + 8, y + 8, 4.5, 3.4, 0.3);
                break;
            case 3:
                add_lancet(a, x, y, 14, 5, 1);
                break;
            case 4:
                add_rounded(a, x, y, x + 16, y + 15, 2);
                break;
            }
            reverse_last(a);
        }
    shapes_copy(a, b);
    shapes_place(b, PICK(numbers, 0, 0, 0.01), 1, PICK(numbers, 0, 4, pitch, pitch / 2, hair(numbers)),
                 PICK(numbers, 0, 4, 1));
}

static void draw_slivers(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    const double thin = pow(10, seeded_real(numbers, -7.5, -0.5)), l = seeded_real(numbers, 5, 60);
    const double y = seeded_real(numbers, 0, 10);
    switch (seeded_int(numbers, 0, 4)) {
    case 0: /* needle */
        add_polygon(a, 3, (const struct rab_point[]){{0, y}, {l, y}, {PICK(numbers, 0, l / 3, l), y + thin}});
        break;
    case 1: /* spike on a plate */
        add_polygon(a, 7,
                    (const struct rab_point[]){{0, 0}, {20, 0}, {20, y + 1}, {10 + thin, y + 1},
                                               {10, y + l}, {10, y + 1}, {0, y + 1}});
        break;
    case 2: { /* U-turn */
        struct rab_outline *o = shapes_next(a);
        put(o, 0, 0, 0);
        put(o, l, 0, 0);
        put(o, l, 10, 0);
        put(o, l / 2, 10, 0);
        put(o, l / 2, PICK(numbers, 18, 3), 0);
        put(o, l / 2, 10, 0);
        put(o, 0, 10, 0);
        break;
    }
    case 3: { /* crescent */
        struct rab_outline *o = shapes_next(a);
        const double bulge = seeded_real(numbers, -0.9, 0.9);
        put(o, 0, 0, bulge);
        put(o, l, y, thin / l - bulge);
        break;
    }
    case 4: /* ring */
        add_circle(a, 0, 0, l);
        add_circle(a, PICK(numbers, 0, thin, thin / 2), 0, l - thin);
        reverse_last(a);
        break;
    }
    switch (seeded_int(numbers, 0, 2)) {
    case 0:
        add_rectangle(b, PICK(numbers, 0, -1, l / 2), PICK(numbers, 0, y, y + thin), l, 10 + y);
        break;
    case 1:
        add_polygon(b, 3, (const struct rab_point[]){{0, y + thin}, {l, y - thin}, {l, y + 2 * thin}});
        break;
    case 2:
        add_circle(b, l / 2, PICK(numbers, y, 0, y + 5), PICK(numbers, 5, l / 2, l));
        break;
    }
}

static void jittered_copy(struct seeded *numbers, const struct shapes *in, struct shapes *out,
                          double jitter)
{
    for (size_t i = 0; i < in->count; i++) {
        const struct rab_outline *from = &in->items[i];
        struct rab_outline *to = shapes_next(out);
        const size_t start = seeded_next(numbers) % from->count;
        for (size_t k = 0; k < from->count; k++) {
            const struct rab_vertex v = from->vertices[(k + start) % from->count];
            put(to, v.x + seeded_real(numbers, -jitter, jitter),
                v.y + seeded_real(numbers, -jitter, jitter), v.bulge);
        }
        if (seeded_int(numbers, 0, 2) == 0)
            reverse_last(out);
    }
}

static void draw_duplicates(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    struct shapes first = {0}, other = {0};
    const double jitter = pow(10, seeded_real(numbers, -15, -5)) * seeded_int(numbers, 0, 1);
    if (seeded_int(numbers, 0, 1))
        draw_openings(numbers, &first, &other);
    else
        draw_grid_polygons(numbers, &first, &other);
    shapes_copy(&first, a);
    for (int i = seeded_int(numbers, 0, 2); i > 0; i--)
        jittered_copy(numbers, &first, a, jitter);
    jittered_copy(numbers, &first, b, jitter);
    shapes_clear(&first);
    shapes_clear(&other);
}

static void draw_blobs(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    const size_t pairs = (size_t)seeded_int(numbers, 6, 60);
    const unsigned lobes = (unsigned)seeded_int(numbers, 2, 6);
    add_blob(a, pairs, 0, 0, 20, seeded_real(numbers, 0.5, 6), lobes, 0.3);
    add_blob(b, pairs, PICK(numbers, 0, 3, hair(numbers)), 0, PICK(numbers, 20, 18),
             seeded_real(numbers, 0.5, 6), lobes, PICK(numbers, 0.3, 1));
}

static void draw_plain_polygons(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    for (int list = 0; list < 2; list++) {
        struct rab_outline *o = shapes_next(list ? b : a);
        const int n = seeded_int(numbers, 3, 40);
        const bool tangle = seeded_int(numbers, 0, 3) == 0 && n < 16;
        for (int i = 0; i < n; i++) {
            const double t = 2 * RAB_PI * i / n, r = seeded_real(numbers, 5, 25);
            const double bulge = seeded_int(numbers, 0, 3) ? 0 : seeded_real(numbers, -0.4, 0.4);
            if (tangle)
                put(o, seeded_real(numbers, -20, 20), seeded_real(numbers, -20, 20), bulge);
            else
                put(o, r * cos(t), r * sin(t), bulge);
        }
    }
}

static void draw_extreme_arcs(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    for (int list = 0; list < 2; list++) {
        struct rab_outline *o = shapes_next(list ? b : a);
        const double l = seeded_real(numbers, 5, 50);
        if (seeded_int(numbers, 0, 1)) { /* nearly straight sides */
            put(o, 0, 0, 2 * hair(numbers) / l);
            put(o, l, 0, 2 * hair(numbers) / l);
            put(o, l, l, 2 * hair(numbers) / l);
            put(o, 0, l, 2 * hair(numbers) / l);
        } else { /* nearly full circles, lobes beyond half a circle */
            const double bulge = pow(10, seeded_real(numbers, 0, 5.5));
            const double chord = 4 * l * bulge / (1 + bulge * bulge);
            put(o, 0, 0, PICK(numbers, bulge, -bulge));
            put(o, chord, 0, PICK(numbers, 0, 0.3, 1 / bulge, -1 / bulge));
        }
    }
}

static void draw_shared_sides(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    const double w = seeded_int(numbers, 10, 40), r = PICK(numbers, 1, 2, 4);
    add_rounded(a, 0, 0, w, 20, r);
    switch (seeded_int(numbers, 0, 4)) {
    case 0: /* same sides, other corners */
        add_rounded(b, 0, 0, w, 20, PICK(numbers, r / 2, 2 * r, 3, r + hair(numbers)));
        break;
    case 1: /* next to it, sides in common */
        add_rounded(b, w, PICK(numbers, 0, 5), w + 10, 20, r);
        break;
    case 2: /* concentric: corner arcs share their centres */
        add_rounded(b, -1, -1, w + 1, 21, r + 1);
        break;
    case 3: /* a piece of the same arcs */
        add_circle(b, r, r, r);
        add_circle(b, w - r, 20 - r, r);
        break;
    case 4: /* the same, moved along its own side */
        add_rounded(b, PICK(numbers, r, 2 * r, 1, hair(numbers)), PICK(numbers, 0, 0, hair(numbers)),
                    w + r, 20, r);
        break;
    }
    if (seeded_int(numbers, 0, 1)) {
        add_circle(a, w / 2, 10, PICK(numbers, 10, 5, 10 - hair(numbers)));
        reverse_last(a);
    }
}

static void draw_bands(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    for (int i = seeded_int(numbers, 2, 5); i > 0; i--) { /* a rose: concentric bands */
        const double inner = seeded_int(numbers, 1, 8), start = seeded_int(numbers, 0, 12) * RAB_PI / 6;
        add_band(i % 2 ? a : b, 0, 0, inner, inner + seeded_int(numbers, 1, 4), start,
                 start + seeded_int(numbers, 1, 10) * RAB_PI / 6);
    }
}

static void draw_teeth(struct seeded *numbers, struct shapes *a, struct shapes *b)
{
    /* Many very short edges along one side. */
    struct rab_outline *o = shapes_next(a);
    const int n = seeded_int(numbers, 10, 80);
    const double step = pow(10, seeded_real(numbers, -3, 0));
    const double high = step * PICK(numbers, 0.01, 0.3, 1, 3, 1e-5);
    for (int i = 0; i < n; i++)
        put(o, step * i, i % 2 ? high : seeded_real(numbers, 0, high / 4),
            seeded_int(numbers, 0, 5) ? 0 : PICK(numbers, 1, -1, 0.2));
    put(o, step * n, 0, 0);
    put(o, step * n, 10, 0);
    put(o, 0, 10, 0);
    shapes_copy(a, b);
    shapes_place(b, 0, 1, PICK(numbers, 0, step, step / 2, 2 * step), PICK(numbers, 0, high / 2, high));
}

static const struct {
    const char *name;
    family_draw *draw;
} families[] = {
    {"grid-polygons", draw_grid_polygons},
    {"grid-boxes", draw_grid_boxes},
    {"grid-circles", draw_grid_circles},
    {"near-tangent", draw_near_tangent_circles},
    {"arc-polygons", draw_arc_polygons},
    {"openings", draw_openings},
    {"foils", draw_foils},
    {"scallops", draw_scallops},
    {"stars", draw_stars},
    {"frames", draw_frames},
    {"slivers", draw_slivers},
    {"duplicates", draw_duplicates},
    {"blobs", draw_blobs},
    {"plain", draw_plain_polygons},
    {"extreme-arcs", draw_extreme_arcs},
    {"shared-sides", draw_shared_sides},
    {"bands", draw_bands},
    {"teeth", draw_teeth},
};
enum { FAMILIES = sizeof families / sizeof *families };

const char *family_name(size_t index)
{
    return index < FAMILIES ? families[index].name : NULL;
}

bool trial_make(uint64_t seed, uint64_t number, const char *family, struct trial *out)
{
    struct seeded numbers = {seed * 0x9e3779b97f4a7c15u + number};
    size_t which = number % FAMILIES;

    seeded_next(&numbers);
    if (family) {
        for (which = 0; which < FAMILIES && strcmp(families[which].name, family) != 0; which++)
            continue;
        if (which == FAMILIES)
            return false;
    }
    *out = (struct trial){.family = families[which].name};
    families[which].draw(&numbers, &out->a, &out->b);

    out->rule = (enum rab_fill)seeded_int(&numbers, 0, 2);
    out->how = (enum rab_combine)seeded_int(&numbers, 0, 3);
    const int kind = seeded_int(&numbers, 0, 9);
    out->work = kind < 1 ? WORK_FILL : kind < 5 ? WORK_COMBINE : WORK_GROW;
    out->distance = PICK(&numbers, 0.25, 0.5, 1, 1.5, 2, 3, 5, 10, 0.1, 0.01, 1e-3, 1e-4, 1e-5,
                         1e-6, 1e-7, 1e-9, seeded_real(&numbers, 0, 4), seeded_real(&numbers, 0, 12));
    if (seeded_int(&numbers, 0, 1))
        out->distance = -out->distance;
    if (seeded_int(&numbers, 0, 5) == 0) {
        out->join = RAB_JOIN_MITRE;
        out->limit = PICK(&numbers, 0, 1.1, 1.5, 2, 10);
    }
    out->sagitta = PICK(&numbers, 1e-3, 1e-3, 3e-4, 1e-2);

    /* Half of the cases as drawn; others turned, so that what met exactly now nearly does; some
     * far from the origin, some small or large. */
    if (seeded_int(&numbers, 0, 1)) {
        const double turn = seeded_int(&numbers, 0, 2) ? seeded_real(&numbers, 0, 6.3) : 0;
        const double far = PICK(&numbers, 0, 0, 100, 3000, 1e5);
        const double scale = PICK(&numbers, 1, 1, 1, 0.1, 1 / 3.0, 7.7);
        const double dx = far * seeded_real(&numbers, -1, 1), dy = far * seeded_real(&numbers, -1, 1);
        shapes_place(&out->a, turn, scale, dx, dy);
        shapes_place(&out->b, turn, scale, dx, dy);
        out->sagitta *= scale > 1 ? scale : 1;
    }
    return true;
}

void trial_clear(struct trial *trial)
{
    shapes_clear(&trial->a);
    shapes_clear(&trial->b);
}

void trial_copy(const struct trial *in, struct trial *out)
{
    *out = *in;
    out->a = out->b = (struct shapes){0};
    shapes_copy(&in->a, &out->a);
    shapes_copy(&in->b, &out->b);
}

static void print_shapes(const char *name, const struct shapes *list)
{
    for (size_t i = 0; i < list->count; i++) {
        printf("    static const struct rab_vertex %s%zu[] = {", name, i);
        for (size_t k = 0; k < list->items[i].count; k++) {
            const struct rab_vertex v = list->items[i].vertices[k];
            printf("%s{%.17g, %.17g, %.17g}", k ? ", " : "", v.x, v.y, v.bulge);
        }
        printf("};\n");
    }
}

void trial_print(const struct trial *trial)
{
    static const char *const rules[] = {"RAB_FILL_NONZERO", "RAB_FILL_EVENODD",
                                        "RAB_FILL_POSITIVE"};
    static const char *const ways[] = {"RAB_UNION", "RAB_INTERSECTION", "RAB_DIFFERENCE",
                                       "RAB_EXCLUSIVE"};
    printf("    /* family %s, %s", trial->family, rules[trial->rule]);
    if (trial->work == WORK_COMBINE)
        printf(", a %s b", ways[trial->how]);
    if (trial->work == WORK_GROW)
        printf(", grow %.17g %s %g", trial->distance,
               trial->join == RAB_JOIN_MITRE ? "RAB_JOIN_MITRE" : "RAB_JOIN_ROUND", trial->limit);
    printf(" */\n");
    print_shapes("a", &trial->a);
    if (trial->work == WORK_COMBINE)
        print_shapes("b", &trial->b);
}
