#include "rabbet/frame.h"

#include <math.h>
#include <stdlib.h>

/* Ten metres: no photo, board or album page comes near it, and the kernel goes far beyond. */
static const double longest = 10000;

struct measure {
    const char *name;
    double value;
    bool from_zero;
};

static bool look_over(const struct measure *measures, size_t count, struct rab_error *err)
{
    for (size_t i = 0; i < count; i++) {
        const struct measure *m = &measures[i];

        if (!(m->value <= longest))
            return rab_fail(err, RAB_FAULT_INPUT, "the %s is out of range; at most 10 m", m->name);
        if (!(m->value >= 0) || (m->value == 0 && !m->from_zero))
            return rab_fail(err, RAB_FAULT_INPUT, "the %s is %s; give %s", m->name,
                            m->value == 0 ? "0" : "negative",
                            m->from_zero ? "0 mm or more" : "more than 0 mm");
    }
    return true;
}

static bool corner_fits(const char *name, double radius, double width, double height,
                        struct rab_error *err)
{
    struct rab_text most = {0};

    if (radius <= fmin(width, height) / 2)
        return true;
    rab_text_length(&most, fmin(width, height) / 2, false, 16);
    if (rab_text_ok(&most, err))
        rab_fail(err, RAB_FAULT_INPUT,
                 "the corner radius of the %s is too large; at most %s, half "
                 "of its shorter side",
                 name, most.data);
    rab_text_clear(&most);
    return false;
}

/* Where the window is: over the photo's middle, unless the bottom is weighted. */
static bool place_window(const struct rab_mat_options *o, struct rab_mat *mat,
                         struct rab_error *err)
{
    const double width = o->photo_width - 2 * o->overlap;
    const double height = o->photo_height - 2 * o->overlap;

    if (!(width > 0) || !(height > 0))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the overlap leaves no window; give less than half of the photo's shorter "
                        "side");
    const bool by_board = o->board_width > 0 && o->board_height > 0;
    if (by_board == (o->border > 0) || (!by_board && (o->board_width > 0 || o->board_height > 0)))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "a window mat needs the width of its border or the size of its board; give "
                        "one of them");

    mat->width = by_board ? o->board_width : width + 2 * o->border;
    mat->height = by_board ? o->board_height : height + 2 * o->border + o->weight;
    const double side = (mat->width - width) / 2;
    const double top = (mat->height - height - o->weight) / 2;
    if (!(side > 0) || !(top > 0))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the board leaves no border round the window; give a larger board");
    mat->window_box =
        (struct rab_box){side, top + o->weight, side + width, top + o->weight + height};
    mat->photo_box =
        (struct rab_box){mat->window_box.x0 - o->overlap, mat->window_box.y0 - o->overlap,
                         mat->window_box.x1 + o->overlap, mat->window_box.y1 + o->overlap};
    if (mat->photo_box.x0 < -1e-9 || mat->photo_box.y0 < -1e-9 ||
        mat->photo_box.x1 > mat->width + 1e-9 || mat->photo_box.y1 > mat->height + 1e-9)
        return rab_fail(
            err, RAB_FAULT_INPUT,
            "the photo would stand out behind the board; give a border at least as wide "
            "as the overlap");
    return corner_fits("window", o->window_corner, width, height, err) &&
           rab_outline_rectangle(mat->photo_box, 0, &mat->photo, err) &&
           rab_outline_rectangle(mat->window_box, o->window_corner, &mat->window, err);
}

static bool place_photo(const struct rab_mat_options *o, struct rab_mat *mat, struct rab_error *err)
{
    const double radius = fmax(0, o->corner - o->reveal);

    mat->width = o->photo_width + 2 * o->reveal;
    mat->height = o->photo_height + 2 * o->reveal;
    mat->photo_box = (struct rab_box){o->reveal, o->reveal, o->reveal + o->photo_width,
                                      o->reveal + o->photo_height};
    return corner_fits("mat", o->corner, mat->width, mat->height, err) &&
           rab_outline_rectangle(mat->photo_box,
                                 fmin(radius, fmin(o->photo_width, o->photo_height) / 2),
                                 &mat->photo, err);
}

static bool add_outlines(const struct rab_mat_options *o, struct rab_mat *mat,
                         struct rab_error *err)
{
    struct rab_region *region = &mat->region;

    region->outlines = calloc(2, sizeof *region->outlines);
    region->parents = calloc(2, sizeof *region->parents);
    if (!region->outlines || !region->parents)
        return rab_fail_memory(err);
    region->parents[0] = RAB_NO_PARENT;
    region->parents[1] = 0;
    region->count = 1;
    if (!rab_outline_rectangle((struct rab_box){0, 0, mat->width, mat->height}, o->corner,
                               &region->outlines[0], err))
        return false;
    if (mat->window.count > 0) {
        if (!rab_outline_copy(&mat->window, &region->outlines[1], err))
            return false;
        rab_outline_reverse(&region->outlines[1]);
        region->count = 2;
    }
    return true;
}

bool rab_mat_make(const struct rab_mat_options *o, struct rab_mat *out, struct rab_error *err)
{
    const struct measure common[] = {
        {"photo's width", o->photo_width, false},
        {"photo's height", o->photo_height, false},
        {"corner radius", o->corner, true},
    };
    const struct measure behind[] = {{"reveal", o->reveal, false}};
    const struct measure before[] = {
        {"overlap", o->overlap, true},
        {"border", o->border, true},
        {"board's width", o->board_width, true},
        {"board's height", o->board_height, true},
        {"weight", o->weight, true},
        {"corner radius of the window", o->window_corner, true},
    };
    struct rab_mat made = {0};
    bool ok = false;

    if (!look_over(common, sizeof common / sizeof *common, err) ||
        !(o->window ? look_over(before, sizeof before / sizeof *before, err)
                    : look_over(behind, sizeof behind / sizeof *behind, err)))
        goto done;
    if (!(o->window ? place_window(o, &made, err) : place_photo(o, &made, err)) ||
        !corner_fits("mat", o->corner, made.width, made.height, err) ||
        !add_outlines(o, &made, err))
        goto done;

    *out = made;
    made = (struct rab_mat){0};
    ok = true;
done:
    rab_mat_clear(&made);
    return ok;
}

void rab_mat_clear(struct rab_mat *mat)
{
    rab_region_clear(&mat->region);
    rab_outline_clear(&mat->photo);
    rab_outline_clear(&mat->window);
    *mat = (struct rab_mat){0};
}
