/* The ready areas: exact, a circle is two vertices. Only the ellipse is fitted. */
#include <math.h>

#include "shape/scene.h"

/* tan(90 degrees / 4) */
#define QUARTER 0.41421356237309504880

static bool hand_over(struct scene *scene, uint32_t node, struct rab_outline *outline,
                      struct area *area)
{
    return scene_vertices(scene, node, outline->count) && area_take(area, outline, scene->run->err);
}

/* From the point to which its angle 0 leads, counter-clockwise. */
static bool make_circle(struct scene *scene, struct rab_point centre, double radius,
                        struct rab_outline *out)
{
    return rab_outline_add(out, centre.x + radius, centre.y, 1, scene->run->err) &&
           rab_outline_add(out, centre.x - radius, centre.y, 1, scene->run->err);
}

/* ---- rectangles -------------------------------------------------------------------------- */

/* One corner from `from` to `to`, the way a counter-clockwise outline goes round it. */
static bool add_corner(struct scene *scene, enum corner_kind kind, struct rab_point from,
                       struct rab_point corner, struct rab_point to, struct rab_outline *out)
{
    struct rab_error *err = scene->run->err;

    switch (kind) {
    case CORNER_SQUARE:
        return rab_outline_add(out, corner.x, corner.y, 0, err);
    case CORNER_ROUND:
        return rab_outline_add(out, from.x, from.y, QUARTER, err) &&
               rab_outline_add(out, to.x, to.y, 0, err);
    case CORNER_COVE:
        return rab_outline_add(out, from.x, from.y, -QUARTER, err) &&
               rab_outline_add(out, to.x, to.y, 0, err);
    case CORNER_BEVEL:
        return rab_outline_add(out, from.x, from.y, 0, err) &&
               rab_outline_add(out, to.x, to.y, 0, err);
    case CORNER_NOTCH: {
        const struct rab_point in = {from.x + to.x - corner.x, from.y + to.y - corner.y};
        return rab_outline_add(out, from.x, from.y, 0, err) &&
               rab_outline_add(out, in.x, in.y, 0, err) && rab_outline_add(out, to.x, to.y, 0, err);
    }
    }
    return false;
}

/* Corners that take up a whole side leave two vertices at its middle: one goes. */
static void drop_repeats(struct rab_outline *outline)
{
    size_t n = 0;

    for (size_t i = 0; i < outline->count; i++) {
        const struct rab_vertex *v = &outline->vertices[i];
        const struct rab_vertex *next = &outline->vertices[i + 1 < outline->count ? i + 1 : 0];
        if (hypot(next->x - v->x, next->y - v->y) > RAB_SAME_POINT)
            outline->vertices[n++] = *v;
    }
    outline->count = n;
}

static bool draw_rectangle(struct scene *scene, uint32_t node, struct area *area)
{
    const enum corner_kind asked = scene_node(scene, node)->corners;
    struct rab_outline made = {0};
    struct rab_point at;
    double width, height, size = 0;
    bool ok = false;

    if (!scene_point(scene, node, &at) || !scene_size(scene, node, KEY_WIDTH, "width", &width) ||
        !scene_size(scene, node, KEY_HEIGHT, "height", &height) ||
        !scene_value(scene, node, KEY_SIZE, &size))
        return false;
    const double half = fmin(width, height) / 2, slack = 1e-12 * (width + height);
    const bool notch = asked == CORNER_NOTCH;
    if (size < 0)
        return scene_fail(scene, node, "the size of the corners comes out as %s; give 0 or more",
                          words_length(size).text);
    if (asked != CORNER_SQUARE && (notch ? size >= half - slack : size > half + slack))
        return scene_fail(scene, node,
                          "the size of the corners comes out as %s; it must be %s half of the "
                          "shorter side, %s",
                          words_length(size).text, notch ? "less than" : "at most",
                          words_length(half).text);

    const enum corner_kind kind = size > 0 ? asked : CORNER_SQUARE;
    const double x0 = at.x, y0 = at.y, x1 = at.x + width, y1 = at.y + height;
    const struct rab_point corners[] = {{x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}};
    const struct rab_point from[] = {
        {x1 - size, y0}, {x1, y1 - size}, {x0 + size, y1}, {x0, y0 + size}};
    const struct rab_point to[] = {
        {x1, y0 + size}, {x1 - size, y1}, {x0, y1 - size}, {x0 + size, y0}};
    for (int i = 3; i < 7; i++)
        if (!add_corner(scene, kind, from[i % 4], corners[i % 4], to[i % 4], &made))
            goto done;
    drop_repeats(&made);
    ok = hand_over(scene, node, &made, area);
done:
    rab_outline_clear(&made);
    return ok;
}

static bool draw_stadium(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_outline made = {0};
    struct rab_point at;
    double width, height;

    if (!scene_point(scene, node, &at) || !scene_size(scene, node, KEY_WIDTH, "width", &width) ||
        !scene_size(scene, node, KEY_HEIGHT, "height", &height))
        return false;
    const struct rab_box box = {at.x, at.y, at.x + width, at.y + height};
    struct rab_error fault = {0};
    bool ok = rab_outline_rectangle(box, fmin(width, height) / 2, &made, &fault);
    ok = ok ? hand_over(scene, node, &made, area) : scene_pass(scene, node, &fault);
    rab_outline_clear(&made);
    return ok;
}

/* ---- round ones -------------------------------------------------------------------------- */

static bool draw_circle(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_outline made = {0};
    struct rab_point centre;
    double radius;

    if (!scene_point(scene, node, &centre) ||
        !scene_size(scene, node, KEY_RADIUS, "radius", &radius))
        return false;
    const bool ok =
        make_circle(scene, centre, radius, &made) && hand_over(scene, node, &made, area);
    rab_outline_clear(&made);
    return ok;
}

/*
 * A quarter is fitted between an upright and a level line, which it leaves and meets smoothly, and
 * the rest are its mirror images: width, height and symmetry are exact, whatever the tolerance. The
 * arcs on both sides of an axis are of one circle then, and become one.
 */
static bool make_ellipse(struct scene *scene, uint32_t node, struct rab_point centre, double a,
                         double b, struct rab_outline *out)
{
    const struct rab_curve curves[] = {
        {.kind = RAB_CURVE_LINE, .p = {{a, -b}, {a, 0}}},
        {.kind = RAB_CURVE_ELLIPSE, .p = {{0, 0}, {a, 0}, {0, b}}, .from = 0, .to = RAB_PI / 2},
        {.kind = RAB_CURVE_LINE, .p = {{0, b}, {-a, b}}},
    };
    static const double side[4][2] = {{1, 1}, {-1, 1}, {-1, -1}, {1, -1}};
    struct rab_outline fitted = {0};
    struct rab_error fault = {0};
    bool ok = false;

    if (!rab_outline_fit(curves, 3, false, scene->run->tolerance, &fitted, &fault)) {
        scene_pass(scene, node, &fault);
        goto done;
    }
    /* Between the lines: vertices 1 to `last`, from (a, 0) to (0, b). */
    const size_t last = fitted.count - 2;
    struct rab_vertex *v = fitted.vertices;
    v[1].x = a;
    v[1].y = v[last].x = 0;
    v[last].y = b;
    const size_t first = last > 2 ? 2 : 1; /* a single arc has no joint within */
    if (first == 2) {
        v[1].bulge = tan(2 * atan(v[1].bulge));
        v[last - 1].bulge = tan(2 * atan(v[last - 1].bulge));
    }
    for (int quarter = 0; quarter < 4; quarter++) {
        const bool back = quarter % 2 != 0; /* gone along the other way */
        for (size_t i = first; i < last; i++) {
            const size_t at = back ? last + 1 - i : i;
            if (!rab_outline_add(out, centre.x + side[quarter][0] * v[at].x,
                                 centre.y + side[quarter][1] * v[at].y,
                                 back ? v[at - 1].bulge : v[at].bulge, scene->run->err))
                goto done;
        }
    }
    ok = true;
done:
    rab_outline_clear(&fitted);
    return ok;
}

static bool draw_ellipse(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_outline made = {0};
    struct rab_point centre;
    double width, height;
    bool ok;

    if (!scene_point(scene, node, &centre) ||
        !scene_size(scene, node, KEY_WIDTH, "width", &width) ||
        !scene_size(scene, node, KEY_HEIGHT, "height", &height))
        return false;
    if (fabs(width - height) <= RAB_SAME_POINT) {
        ok = make_circle(scene, centre, width / 2, &made);
    } else {
        scene->run->fitted = true;
        ok = make_ellipse(scene, node, centre, width / 2, height / 2, &made);
    }
    ok = ok && hand_over(scene, node, &made, area);
    rab_outline_clear(&made);
    return ok;
}

static bool radii(struct scene *scene, uint32_t node, enum key outer_key, const char *outer_name,
                  double *outer, double *inner)
{
    if (!scene_size(scene, node, outer_key, outer_name, outer) ||
        !scene_value(scene, node, KEY_INNER, inner))
        return false;
    if (*inner < 0)
        return scene_fail(scene, node, "the inner radius comes out as %s; it cannot be negative",
                          words_length(*inner).text);
    if (*inner >= *outer)
        return scene_fail(scene, node,
                          "the inner radius comes out as %s; it must be less than the %s, %s",
                          words_length(*inner).text, outer_name, words_length(*outer).text);
    return true;
}

static bool inner_needed(struct scene *scene, uint32_t node, double inner)
{
    if (inner > 0)
        return true;
    return scene_fail(scene, node, "the inner radius comes out as 0; it must be more");
}

static bool draw_ring(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_outline made = {0}, hole = {0};
    struct rab_point centre;
    double outer, inner;

    if (!scene_point(scene, node, &centre) ||
        !radii(scene, node, KEY_OUTER, "outer radius", &outer, &inner) ||
        !inner_needed(scene, node, inner))
        return false;
    bool ok = make_circle(scene, centre, outer, &made) && make_circle(scene, centre, inner, &hole);
    rab_outline_reverse(&hole);
    ok = ok && hand_over(scene, node, &made, area) && scene_vertices(scene, node, hole.count) &&
         area_take_hole(area, &hole, scene->run->err);
    rab_outline_clear(&made);
    rab_outline_clear(&hole);
    return ok;
}

/* An arc about a centre; over half a turn it is two. Its last point is left to what follows. */
static bool add_arc(struct scene *scene, struct rab_point centre, double radius, double from,
                    double sweep, struct rab_outline *out)
{
    const int parts = fabs(sweep) > RAB_PI ? 2 : 1;
    const double bulge = tan(sweep / parts / 4);

    for (int i = 0; i < parts; i++) {
        const double angle = from + sweep * i / parts;
        if (!rab_outline_add(out, centre.x + radius * cos(angle), centre.y + radius * sin(angle),
                             bulge, scene->run->err))
            return false;
    }
    return true;
}

static bool draw_sector(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_error *err = scene->run->err;
    struct rab_outline made = {0};
    struct rab_point centre;
    double radius, inner, from, to;
    bool ok;

    if (!scene_point(scene, node, &centre) ||
        !radii(scene, node, KEY_RADIUS, "radius", &radius, &inner) ||
        !scene_value(scene, node, KEY_FROM, &from) || !scene_value(scene, node, KEY_TO, &to))
        return false;
    const double sweep = to - from;
    if (!(sweep > 0))
        return scene_fail(scene, node,
                          "the sector goes from %s to %s; it must go counter-clockwise, to a "
                          "larger angle (add 360deg)",
                          words_angle(from).text, words_angle(to).text);
    if (!(sweep < 2 * RAB_PI - 1e-12))
        return scene_fail(scene, node,
                          "the sector is %s wide; it must be less than 360 deg (a ring or a "
                          "circle goes all round)",
                          words_angle(sweep).text);
    ok = add_arc(scene, centre, radius, from, sweep, &made) &&
         rab_outline_add(&made, centre.x + radius * cos(to), centre.y + radius * sin(to), 0, err);
    if (inner > 0)
        ok = ok && add_arc(scene, centre, inner, to, -sweep, &made) &&
             rab_outline_add(&made, centre.x + inner * cos(from), centre.y + inner * sin(from), 0,
                             err);
    else
        ok = ok && rab_outline_add(&made, centre.x, centre.y, 0, err);
    ok = ok && hand_over(scene, node, &made, area);
    rab_outline_clear(&made);
    return ok;
}

/* ---- polygons and arches ----------------------------------------------------------------- */

static bool draw_polygon(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_outline made = {0};
    struct rab_point centre;
    double radius, turn;
    size_t sides;
    bool ok = true;

    if (!scene_point(scene, node, &centre) ||
        !scene_count(scene, node, KEY_SIDES, "sides", 3, &sides) ||
        !scene_size(scene, node, KEY_RADIUS, "radius", &radius) ||
        !scene_value(scene, node, KEY_TURN, &turn) || !scene_spend(scene, node, sides))
        return false;
    for (size_t i = 0; i < sides && ok; i++) {
        const double angle = turn - RAB_PI / 2 + RAB_PI * (2 * (double)i + 1) / (double)sides;
        ok = rab_outline_add(&made, centre.x + radius * cos(angle), centre.y + radius * sin(angle),
                             0, scene->run->err);
    }
    ok = ok && hand_over(scene, node, &made, area);
    rab_outline_clear(&made);
    return ok;
}

static bool draw_star(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_outline made = {0};
    struct rab_point centre;
    double outer, inner, turn;
    size_t points;
    bool ok = true;

    if (!scene_point(scene, node, &centre) ||
        !scene_count(scene, node, KEY_POINTS, "points", 2, &points) ||
        !radii(scene, node, KEY_OUTER, "outer radius", &outer, &inner) ||
        !inner_needed(scene, node, inner) || !scene_value(scene, node, KEY_TURN, &turn) ||
        !scene_spend(scene, node, points))
        return false;
    for (size_t i = 0; i < 2 * points && ok; i++) {
        const double angle = turn + RAB_PI / 2 + RAB_PI * (double)i / (double)points;
        const double radius = i % 2 == 0 ? outer : inner;
        ok = rab_outline_add(&made, centre.x + radius * cos(angle), centre.y + radius * sin(angle),
                             0, scene->run->err);
    }
    ok = ok && hand_over(scene, node, &made, area);
    rab_outline_clear(&made);
    return ok;
}

/* The two arcs have their centres on the springing line, the right one's to the left by the radius
 * from the right jamb; they meet above the middle. */
static bool draw_arch(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_error *err = scene->run->err;
    struct rab_outline made = {0};
    struct rab_point at;
    double width, spring, radius;
    bool ok;

    if (!scene_point(scene, node, &at) || !scene_size(scene, node, KEY_WIDTH, "width", &width) ||
        !scene_value(scene, node, KEY_SPRING, &spring) ||
        !scene_size(scene, node, KEY_RADIUS, "radius", &radius))
        return false;
    if (spring < 0)
        return scene_fail(scene, node, "the springing height comes out as %s; give 0 or more",
                          words_length(spring).text);
    if (radius < width / 2 - 1e-12 * width)
        return scene_fail(scene, node,
                          "the radius of the arch comes out as %s; it must be at least half of "
                          "its width, %s",
                          words_length(radius).text, words_length(width / 2).text);
    const double past = radius - width / 2; /* how far the centres lie beyond the middle */
    const bool round = past <= 1e-12 * width;
    const double left = at.x, right = at.x + width, top = at.y + spring;
    ok = spring <= RAB_SAME_POINT || (rab_outline_add(&made, left, at.y, 0, err) &&
                                      rab_outline_add(&made, right, at.y, 0, err));
    if (round) {
        ok = ok && rab_outline_add(&made, right, top, 1, err) &&
             rab_outline_add(&made, left, top, 0, err);
    } else {
        const double rise = sqrt(width * (radius - width / 4));
        const double bulge = tan(atan2(rise, past) / 4);
        ok = ok && rab_outline_add(&made, right, top, bulge, err) &&
             rab_outline_add(&made, left + width / 2, top + rise, bulge, err) &&
             rab_outline_add(&made, left, top, 0, err);
    }
    ok = ok && hand_over(scene, node, &made, area);
    rab_outline_clear(&made);
    return ok;
}

bool primitive_draw(struct scene *scene, uint32_t node, struct area *area)
{
    switch (scene_node(scene, node)->tag) {
    case TAG_RECTANGLE:
        return draw_rectangle(scene, node, area);
    case TAG_CIRCLE:
        return draw_circle(scene, node, area);
    case TAG_ELLIPSE:
        return draw_ellipse(scene, node, area);
    case TAG_POLYGON:
        return draw_polygon(scene, node, area);
    case TAG_STAR:
        return draw_star(scene, node, area);
    case TAG_SECTOR:
        return draw_sector(scene, node, area);
    case TAG_RING:
        return draw_ring(scene, node, area);
    case TAG_STADIUM:
        return draw_stadium(scene, node, area);
    default:
        return draw_arch(scene, node, area);
    }
}
