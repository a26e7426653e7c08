#include "page.h"
#include "paint.h"

bool rab_picture_png(const struct rab_picture *picture, double dpi, struct rab_text *out,
                     struct rab_error *err)
{
    struct page page = {0};
    cairo_surface_t *surface;
    cairo_t *cr;
    int across, down;
    bool ok;

    if (!page_plan(picture, dpi, &page, err))
        return false;
    page_dots(&page, &across, &down);
    surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, across, down);
    cr = cairo_create(surface);
    cairo_surface_destroy(surface);
    cairo_scale(cr, page.scale, page.scale);
    ok = page_draw(&page, cr, err) && paint_png(cr, page.scale, out, err);
    cairo_destroy(cr);
    page_clear(&page);
    return ok;
}
