#include "view.h"

#include "image.h"
#include "paint.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double usual_dpi = 150;
static const double highest = 20;

double view_dpi(const struct rab_view *view)
{
    return view->dpi == 0 ? usual_dpi : view->dpi;
}

static void clear_item(struct rab_view_item *item)
{
    for (size_t i = 0; i < item->count; i++)
        rab_outline_clear(&item->outlines[i]);
    free(item->outlines);
    free(item->name);
    free(item->font);
    cairo_surface_destroy(item->image);
    *item = (struct rab_view_item){0};
}

void rab_view_clear(struct rab_view *view)
{
    for (size_t i = 0; i < view->count; i++)
        clear_item(&view->items[i]);
    free(view->items);
    *view = (struct rab_view){0};
}

static bool copy_text(const char *text, char **copy, struct rab_error *err)
{
    if (!text)
        return true;
    *copy = strdup(text);
    return *copy || rab_fail_memory(err);
}

/* Completes the item with copies and takes it into the view; when that fails nothing is added. */
static bool add_item(struct rab_view *view, struct rab_view_item item,
                     const struct rab_outline *outlines, size_t count, struct rab_error *err)
{
    void *items = view->items;

    if (!(item.height >= 0 && item.height <= highest)) {
        rab_fail(err, RAB_FAULT_INPUT, "things lie on 0 to 20 layers of foam");
        goto failed;
    }
    if (count > 0) {
        item.outlines = calloc(count, sizeof *item.outlines);
        if (!item.outlines) {
            rab_fail_memory(err);
            goto failed;
        }
        for (; item.count < count; item.count++)
            if (!rab_outline_copy(&outlines[item.count], &item.outlines[item.count], err))
                goto failed;
    }
    if (!rab_reserve(&items, &view->capacity, view->count + 1, sizeof *view->items, err))
        goto failed;
    view->items = items;
    view->items[view->count++] = item;
    return true;
failed:
    clear_item(&item);
    return false;
}

bool rab_view_paper(struct rab_view *view, const struct rab_region *region, uint32_t colour,
                    double height, struct rab_error *err)
{
    return add_item(view,
                    (struct rab_view_item){.kind = VIEW_PAPER, .colour = colour, .height = height},
                    region->outlines, region->count, err);
}

bool rab_view_line(struct rab_view *view, const struct rab_outline *outline,
                   enum rab_operation operation, struct rab_error *err)
{
    return add_item(view, (struct rab_view_item){.kind = VIEW_LINE, .operation = operation},
                    outline, 1, err);
}

bool rab_view_photo(struct rab_view *view, const struct rab_region *region, uint32_t colour,
                    const char *name, double height, struct rab_error *err)
{
    struct rab_view_item item = {.kind = VIEW_PHOTO, .colour = colour, .height = height};

    return copy_text(name, &item.name, err) &&
           add_item(view, item, region->outlines, region->count, err);
}

bool rab_view_image(struct rab_view *view, const struct rab_region *region, struct rab_box print,
                    const void *bytes, size_t length, double height, struct rab_error *err)
{
    struct rab_view_item item = {.kind = VIEW_IMAGE, .print = print, .height = height};
    const double width = print.x1 - print.x0, tall = print.y1 - print.y0;
    const double scale = paint_scale(view_dpi(view));

    if (!(width > 0 && tall > 0 && width <= RAB_VIEW_WIDEST && tall <= RAB_VIEW_WIDEST))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the print of a photo needs a width and a height of up to 2000 mm");
    return image_read(bytes, length, width * scale, tall * scale, &item.image, err) &&
           add_item(view, item, region->outlines, region->count, err);
}

bool rab_view_words(struct rab_view *view, const struct rab_words *words, struct rab_point place,
                    struct rab_error *err)
{
    struct rab_view_item item = {.kind = VIEW_WORDS, .words = *words, .place = place};

    if (!copy_text(words->text, &item.name, err) || !copy_text(words->font, &item.font, err)) {
        clear_item(&item);
        return false;
    }
    item.words.text = item.name;
    item.words.font = item.font;
    return add_item(view, item, NULL, 0, err);
}

/* WCAG 2.1, relative luminance; contrast is (lighter + 0.05) / (darker + 0.05). */
static double luminance(uint32_t colour)
{
    static const double shares[] = {0.2126, 0.7152, 0.0722};
    double sum = 0;

    for (int k = 0; k < 3; k++) {
        const double c = (colour >> (16 - 8 * k) & 0xFF) / 255.0;
        sum += shares[k] * (c <= 0.03928 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

uint32_t rab_paper_ink(uint32_t paper)
{
    static const uint32_t dark = 0x222222, light = 0xF7F4EC;
    const double there = luminance(paper);

    return (there + 0.05) / (luminance(dark) + 0.05) >= (luminance(light) + 0.05) / (there + 0.05)
               ? dark
               : light;
}
