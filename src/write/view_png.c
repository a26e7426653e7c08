#include "view.h"

#include "lettering.h"
#include "paint.h"
#include "shadow.h"

#include <math.h>
#include <stdlib.h>

/* A layer of foam is about 2 mm high, a sheet of paper 0.2 to 0.3 mm: common practice, no source.
 */
static const double paper_high = 0.3, foam_high = 1.6;
/* Width of the shade on either side of the fold. */
static const double fold_width = 9;

/* One page while it is drawn; cr's units are mm, y down from the page's upper left corner. */
struct drawing {
    const struct rab_view *view;
    cairo_t *cr;
    double scale; /* dots in a mm */
    struct track track;
};

static bool trace(struct drawing *drawing, const struct rab_view_item *item, struct rab_error *err)
{
    cairo_new_path(drawing->cr);
    return paint_outlines(drawing->cr, item->outlines, item->count, drawing->view->height,
                          drawing->scale, &drawing->track, err);
}

/* The higher a thing lies, the further its shadow falls and the softer it is. */
static bool lay_shadow(struct drawing *drawing, double height, struct rab_error *err)
{
    const double high = (paper_high + foam_high * height) * drawing->scale;
    const struct shadow close = {0.25 * paper_high * drawing->scale,
                                 0.45 * paper_high * drawing->scale,
                                 0.5 * paper_high * drawing->scale, 0.28};
    const struct shadow wide = {0.45 * high, 0.8 * high, 0.75 * high, 0.3};

    return (height > 0 || shadow_lay(drawing->cr, &close, err)) &&
           shadow_lay(drawing->cr, &wide, err);
}

/* A hair of the paper's own shade, so that a paper shows on another of the same colour. */
static void stroke_edge(struct drawing *drawing, uint32_t colour)
{
    paint_colour(drawing->cr, paint_shade(colour), 0.55);
    cairo_set_dash(drawing->cr, NULL, 0, 0);
    cairo_set_line_width(drawing->cr, fmax(0.1, 0.7 / drawing->scale));
    cairo_stroke(drawing->cr);
}

static bool draw_paper(struct drawing *drawing, const struct rab_view_item *item,
                       struct rab_error *err)
{
    if (!trace(drawing, item, err) || !lay_shadow(drawing, item->height, err))
        return false;
    paint_colour(drawing->cr, item->colour, 1);
    cairo_fill_preserve(drawing->cr);
    stroke_edge(drawing, item->colour);
    return true;
}

static bool draw_line(struct drawing *drawing, const struct rab_view_item *item,
                      struct rab_error *err)
{
    static const double dots[] = {0.7, 0.9};
    cairo_t *cr = drawing->cr;

    if (!trace(drawing, item, err))
        return false;
    cairo_set_dash(cr, dots, item->operation == RAB_PERFORATE ? 2 : 0, 0);
    if (item->operation == RAB_DRAW) {
        paint_colour(cr, 0x808080, 0.9);
        cairo_set_line_width(cr, fmax(0.15, 0.8 / drawing->scale));
    } else { /* pressed or cut into the paper */
        paint_colour(cr, 0x000000, 0.28);
        cairo_set_line_width(cr, fmax(0.18, 0.9 / drawing->scale));
    }
    cairo_stroke(cr);
    return true;
}

static struct rab_box box_of(const struct rab_view_item *item)
{
    struct rab_box box = RAB_BOX_EMPTY;

    for (size_t i = 0; i < item->count; i++)
        box = rab_box_join(box, rab_outline_box(&item->outlines[i]));
    return box;
}

/* The photo's name in small letters in its middle; without one, or where there is no room, a
 * diagonal. */
static bool draw_name(struct drawing *drawing, const struct rab_view_item *item, struct rab_box box,
                      struct rab_error *err)
{
    const double width = box.x1 - box.x0, tall = box.y1 - box.y0;
    const double size = fmin(4, fmin(width, tall) / 5);
    const double x = (box.x0 + box.x1) / 2, y = drawing->view->height - (box.y0 + box.y1) / 2;
    const uint32_t ink = rab_paper_ink(item->colour) < 0x808080 ? 0x000000 : 0xFFFFFF;
    cairo_t *cr = drawing->cr;
    struct words words;
    double length = 0, height;

    if (item->name && item->name[0] && size >= 1.4) {
        if (!words_open(&words, cr, drawing->scale, err))
            return false;
        words.opacity = 0.5;
        words_measure(&words, item->name, (struct words_look){size, false, ink}, 0, &length,
                      &height);
        if (length <= 0.9 * width)
            words_centre(&words, item->name, (struct words_look){size, false, ink}, x, y);
        else
            length = 0;
        words_close(&words);
    }
    if (length == 0) {
        cairo_new_path(cr);
        cairo_move_to(cr, box.x0, drawing->view->height - box.y0);
        cairo_line_to(cr, box.x1, drawing->view->height - box.y1);
        paint_colour(cr, ink, 0.25);
        cairo_set_dash(cr, NULL, 0, 0);
        cairo_set_line_width(cr, fmax(0.12, 0.8 / drawing->scale));
        cairo_stroke(cr);
    }
    return true;
}

static bool draw_photo(struct drawing *drawing, const struct rab_view_item *item,
                       struct rab_error *err)
{
    bool ok;

    if (!draw_paper(drawing, item, err))
        return false;
    if (item->count == 0)
        return true;
    cairo_save(drawing->cr);
    ok = trace(drawing, item, err);
    cairo_clip(drawing->cr);
    ok = ok && draw_name(drawing, item, box_of(item), err);
    cairo_restore(drawing->cr);
    return ok;
}

/* The picture covers the print: what is too long is cut off evenly. */
static bool draw_image(struct drawing *drawing, const struct rab_view_item *item,
                       struct rab_error *err)
{
    cairo_t *cr = drawing->cr;
    const double across = cairo_image_surface_get_width(item->image);
    const double down = cairo_image_surface_get_height(item->image);
    const double width = item->print.x1 - item->print.x0, tall = item->print.y1 - item->print.y0;
    const double growth = fmax(width / across, tall / down);

    if (!trace(drawing, item, err) || !lay_shadow(drawing, item->height, err))
        return false;
    cairo_save(cr);
    cairo_clip(cr);
    cairo_translate(cr, item->print.x0 + (width - across * growth) / 2,
                    drawing->view->height - item->print.y1 + (tall - down * growth) / 2);
    cairo_scale(cr, growth, growth);
    cairo_set_source_surface(cr, item->image, 0, 0);
    cairo_pattern_set_extend(cairo_get_source(cr), CAIRO_EXTEND_PAD);
    cairo_pattern_set_filter(cairo_get_source(cr), CAIRO_FILTER_BILINEAR);
    cairo_paint(cr);
    cairo_restore(cr);
    if (!trace(drawing, item, err))
        return false;
    stroke_edge(drawing, 0x808080);
    return true;
}

static bool draw_words(struct drawing *drawing, const struct rab_view_item *item,
                       struct rab_error *err)
{
    struct lettering lettering = {0};

    if (!lettering_set(&item->words, &lettering, err))
        return false;
    cairo_save(drawing->cr);
    cairo_translate(drawing->cr, item->place.x,
                    drawing->view->height - item->place.y - item->words.height);
    lettering_draw(&lettering, drawing->cr);
    cairo_restore(drawing->cr);
    lettering_clear(&lettering);
    return true;
}

static bool draw_page(struct drawing *drawing, struct rab_error *err)
{
    typedef bool draws(struct drawing *, const struct rab_view_item *, struct rab_error *);
    static draws *const ways[] = {[VIEW_PAPER] = draw_paper,
                                  [VIEW_LINE] = draw_line,
                                  [VIEW_PHOTO] = draw_photo,
                                  [VIEW_IMAGE] = draw_image,
                                  [VIEW_WORDS] = draw_words};
    const struct rab_view *view = drawing->view;
    cairo_t *cr = drawing->cr;
    bool ok = true;

    cairo_rectangle(cr, 0, 0, view->width, view->height);
    cairo_clip(cr);
    paint_colour(cr, view->colour, 1);
    cairo_paint(cr);
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    for (size_t i = 0; i < view->count && ok; i++)
        ok = ways[view->items[i].kind](drawing, &view->items[i], err);
    return ok;
}

/* Pages bend into the fold: a shade that grows towards it, and a fine line. */
static void draw_fold(cairo_t *cr, double x, double height)
{
    static const struct {
        double share, alpha;
    } stops[] = {{0, 0}, {0.5, 0.025}, {0.8, 0.08}, {1, 0.2}};

    for (int side = -1; side <= 1; side += 2) {
        cairo_pattern_t *shade = cairo_pattern_create_linear(x + side * fold_width, 0, x, 0);
        for (size_t i = 0; i < sizeof stops / sizeof *stops; i++)
            cairo_pattern_add_color_stop_rgba(shade, stops[i].share, 0, 0, 0, stops[i].alpha);
        cairo_set_source(cr, shade);
        cairo_rectangle(cr, side < 0 ? x - fold_width : x, 0, fold_width, height);
        cairo_fill(cr);
        cairo_pattern_destroy(shade);
    }
    cairo_move_to(cr, x, 0);
    cairo_line_to(cr, x, height);
    paint_colour(cr, 0x000000, 0.35);
    cairo_set_line_width(cr, 0.25);
    cairo_stroke(cr);
}

static bool check(const struct rab_view *pages, size_t count, double *scale, double *across,
                  double *down, struct rab_error *err)
{
    double width = 0, height = 0;

    if (count < 1 || count > 2)
        return rab_fail(err, RAB_FAULT_INPUT, "a picture shows one page or two");
    for (size_t i = 0; i < count; i++) {
        const struct rab_view *page = &pages[i];
        if (!(page->width > 0 && page->width <= RAB_VIEW_WIDEST && page->height > 0 &&
              page->height <= RAB_VIEW_WIDEST))
            return rab_fail(err, RAB_FAULT_INPUT,
                            "a page needs a width and a height of up to 2000 mm");
        width += page->width;
        height = fmax(height, page->height);
    }
    *across = width;
    *down = height;
    if (!paint_chosen_scale(view_dpi(pages), 0, scale, err))
        return false;
    return view_dpi(pages) == view_dpi(&pages[count - 1]) ||
           rab_fail(err, RAB_FAULT_INPUT, "both pages need the same dots per inch");
}

bool rab_view_png(const struct rab_view *pages, size_t count, struct rab_text *out,
                  struct rab_error *err)
{
    double scale = 1, left = 0, width = 0, height = 0;
    cairo_t *cr;
    bool ok = true;

    if (!check(pages, count, &scale, &width, &height, err))
        return false;
    cr = paint_page(width, height, scale, err);
    if (!cr)
        return false;
    for (size_t i = 0; i < count && ok; i++) {
        struct drawing drawing = {.view = &pages[i], .cr = cr, .scale = scale};
        cairo_save(cr);
        /* on whole dots: beside another page it looks as it does alone */
        cairo_translate(cr, round(left * scale) / scale,
                        round((height - pages[i].height) / 2 * scale) / scale);
        ok = draw_page(&drawing, err);
        cairo_restore(cr);
        track_clear(&drawing.track);
        left += pages[i].width;
    }
    if (ok && count == 2)
        draw_fold(cr, round(pages[0].width * scale) / scale, height);
    ok = ok && paint_png(cr, scale, out, err);
    cairo_destroy(cr);
    return ok;
}
