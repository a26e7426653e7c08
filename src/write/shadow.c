#include "shadow.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Three box blurs in a row come near to a Gaussian one (a consequence of the central limit
 * theorem); a box of 2 r + 1 dots has the variance r (r + 1) / 3. */
enum { ROUNDS = 3 };

struct mask {
    cairo_surface_t *surface; /* A8 */
    unsigned char *pixels, *other;
    uint32_t *sums;
    int width, height, stride;
};

static int box_radius(double softness)
{
    return (int)fmax(0, floor((sqrt(1 + 4 * softness * softness) - 1) / 2 + 0.5));
}

/* Sums are divided by a multiplication, which is many times faster and exact while sum times
 * `whole` is less than 2^32 (Granlund and Montgomery, 1994): for boxes of up to 4000 dots. */
static uint64_t inverse(uint32_t whole)
{
    return (((uint64_t)1 << 32) + whole - 1) / whole;
}

static unsigned char share(uint32_t sum, uint32_t whole, uint64_t by)
{
    return (unsigned char)(((sum + whole / 2) * by) >> 32);
}

static void blur_across(const struct mask *mask, unsigned char *row, int radius)
{
    const uint32_t whole = (uint32_t)(2 * radius + 1);
    const uint64_t by = inverse(whole);
    uint32_t sum = 0;

    memcpy(mask->other, row, (size_t)mask->width);
    for (int x = 0; x < radius && x < mask->width; x++)
        sum += mask->other[x];
    for (int x = 0; x < mask->width; x++) {
        if (x + radius < mask->width)
            sum += mask->other[x + radius];
        if (x - radius - 1 >= 0)
            sum -= mask->other[x - radius - 1];
        row[x] = share(sum, whole, by);
    }
}

/* All columns at once, row by row: memory is read in its order. */
static void blur_down(const struct mask *mask, int radius)
{
    const uint32_t whole = (uint32_t)(2 * radius + 1);
    const uint64_t by = inverse(whole);
    const size_t stride = (size_t)mask->stride;

    memcpy(mask->other, mask->pixels, stride * (size_t)mask->height);
    memset(mask->sums, 0, (size_t)mask->width * sizeof *mask->sums);
    for (int y = -radius; y < mask->height; y++) {
        if (y + radius < mask->height)
            for (int x = 0; x < mask->width; x++)
                mask->sums[x] += mask->other[(size_t)(y + radius) * stride + (size_t)x];
        if (y - radius - 1 >= 0)
            for (int x = 0; x < mask->width; x++)
                mask->sums[x] -= mask->other[(size_t)(y - radius - 1) * stride + (size_t)x];
        for (int x = 0; x < mask->width && y >= 0; x++)
            mask->pixels[(size_t)y * stride + (size_t)x] = share(mask->sums[x], whole, by);
    }
}

/* Dots that the shadow may darken, in dots of the target: its path's box, grown and clipped. */
static bool find_box(cairo_t *cr, const struct shadow *shadow, int reach,
                     cairo_rectangle_int_t *box)
{
    double x0, y0, x1, y1, left, top, right, bottom;

    cairo_fill_extents(cr, &x0, &y0, &x1, &y1);
    cairo_clip_extents(cr, &left, &top, &right, &bottom);
    cairo_user_to_device(cr, &x0, &y0);
    cairo_user_to_device(cr, &x1, &y1);
    cairo_user_to_device(cr, &left, &top);
    cairo_user_to_device(cr, &right, &bottom);
    /* Beyond the clip so far that what lies there still softens what is seen. */
    left = floor(fmax(x0 + shadow->right - reach, left - reach));
    top = floor(fmax(y0 + shadow->down - reach, top - reach));
    right = ceil(fmin(x1 + shadow->right + reach, right + reach));
    bottom = ceil(fmin(y1 + shadow->down + reach, bottom + reach));
    if (!(right > left && bottom > top))
        return false;
    *box = (cairo_rectangle_int_t){(int)left, (int)top, (int)(right - left), (int)(bottom - top)};
    return true;
}

static void fill_mask(cairo_t *cr, const struct shadow *shadow, const cairo_rectangle_int_t *box,
                      struct mask *mask)
{
    cairo_t *to = cairo_create(mask->surface);
    cairo_path_t *path = cairo_copy_path(cr);
    cairo_matrix_t matrix;

    cairo_get_matrix(cr, &matrix);
    cairo_translate(to, shadow->right - box->x, shadow->down - box->y);
    cairo_transform(to, &matrix);
    cairo_append_path(to, path);
    cairo_set_fill_rule(to, CAIRO_FILL_RULE_EVEN_ODD);
    cairo_fill(to);
    cairo_path_destroy(path);
    cairo_destroy(to);
}

static bool soften(struct mask *mask, int radius, struct rab_error *err)
{
    cairo_surface_flush(mask->surface);
    mask->pixels = cairo_image_surface_get_data(mask->surface);
    mask->stride = cairo_image_surface_get_stride(mask->surface);
    mask->other = malloc((size_t)mask->stride * (size_t)mask->height);
    mask->sums = malloc((size_t)mask->width * sizeof *mask->sums);
    if (!mask->pixels || !mask->other || !mask->sums)
        return rab_fail_memory(err);
    for (int round = 0; round < ROUNDS && radius > 0; round++) {
        for (int y = 0; y < mask->height; y++)
            blur_across(mask, mask->pixels + (ptrdiff_t)y * mask->stride, radius);
        blur_down(mask, radius);
    }
    cairo_surface_mark_dirty(mask->surface);
    return true;
}

bool shadow_lay(cairo_t *cr, const struct shadow *shadow, struct rab_error *err)
{
    const int radius = box_radius(shadow->softness);
    struct mask mask = {0};
    cairo_rectangle_int_t box;
    bool ok;

    if (!find_box(cr, shadow, ROUNDS * radius + 1, &box))
        return true;
    mask.width = box.width, mask.height = box.height;
    mask.surface = cairo_image_surface_create(CAIRO_FORMAT_A8, box.width, box.height);
    if (cairo_surface_status(mask.surface) != CAIRO_STATUS_SUCCESS) {
        cairo_surface_destroy(mask.surface);
        return rab_fail_memory(err);
    }
    fill_mask(cr, shadow, &box, &mask);
    ok = soften(&mask, radius, err);
    if (ok) {
        cairo_path_t *path = cairo_copy_path(cr);
        cairo_save(cr);
        cairo_identity_matrix(cr);
        cairo_set_source_rgba(cr, 0, 0, 0, shadow->darkness);
        cairo_mask_surface(cr, mask.surface, box.x, box.y);
        cairo_restore(cr);
        cairo_new_path(cr);
        cairo_append_path(cr, path);
        cairo_path_destroy(path);
    }
    cairo_surface_destroy(mask.surface);
    free(mask.other);
    free(mask.sums);
    return ok;
}
