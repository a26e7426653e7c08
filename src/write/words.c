#include "words.h"

#include "paint.h"

#include <pango/pangocairo.h>

bool words_open(struct words *words, cairo_t *cr, double scale, struct rab_error *err)
{
    cairo_font_options_t *options = cairo_font_options_create();
    bool ok;

    /* A font map of our own: the default one is shared by the whole program. */
    *words =
        (struct words){.cr = cr, .scale = scale, .fonts = pango_cairo_font_map_new(), .opacity = 1};
    pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(words->fonts), 72);
    words->context = pango_font_map_create_context(words->fonts);
    words->layout = pango_layout_new(words->context);

    /* Shapes and places that depend on nothing but the size. */
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(words->context, options);
    pango_context_set_round_glyph_positions(words->context, FALSE);
    pango_context_set_language(words->context, pango_language_from_string("en"));
    pango_layout_context_changed(words->layout);
    pango_layout_set_single_paragraph_mode(words->layout, TRUE);

    ok = cairo_font_options_status(options) == CAIRO_STATUS_SUCCESS || rab_fail_memory(err);
    cairo_font_options_destroy(options);
    if (!ok)
        words_close(words);
    return ok;
}

void words_close(struct words *words)
{
    g_clear_object(&words->layout);
    g_clear_object(&words->context);
    g_clear_object(&words->fonts);
}

/* Text that Pango takes without a word on standard error: UTF-8, one line. */
static void set_text(struct words *words, const char *text, struct words_look look, double limit)
{
    PangoFontDescription *font = pango_font_description_new();
    char *clean = g_utf8_make_valid(text, -1);

    for (char *c = clean; *c; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7F)
            *c = ' ';
    pango_font_description_set_family_static(font, "DejaVu Sans, Noto Sans, Sans");
    pango_font_description_set_weight(font, look.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_absolute_size(font, look.size * words->scale * PANGO_SCALE);
    pango_layout_set_font_description(words->layout, font);
    pango_layout_set_ellipsize(words->layout,
                               limit > 0 ? PANGO_ELLIPSIZE_END : PANGO_ELLIPSIZE_NONE);
    pango_layout_set_width(words->layout,
                           limit > 0 ? (int)(limit * words->scale * PANGO_SCALE) : -1);
    pango_layout_set_text(words->layout, clean, -1);
    g_free(clean);
    pango_font_description_free(font);
}

void words_measure(struct words *words, const char *text, struct words_look look, double limit,
                   double *width, double *height)
{
    PangoRectangle ink, whole;

    set_text(words, text, look, limit);
    pango_layout_get_extents(words->layout, &ink, &whole);
    *width = whole.width / (words->scale * PANGO_SCALE);
    *height = ink.height / (words->scale * PANGO_SCALE);
}

/* The layout's upper left corner to a point of the page; words are set in dots, because fonts of a
 * few units (mm) would be rounded coarsely. */
static void show(struct words *words, uint32_t colour, double x, double y)
{
    cairo_save(words->cr);
    cairo_translate(words->cr, x, y);
    cairo_scale(words->cr, 1 / words->scale, 1 / words->scale);
    paint_colour(words->cr, colour, words->opacity);
    pango_cairo_show_layout(words->cr, words->layout);
    cairo_restore(words->cr);
}

void words_draw(struct words *words, const char *text, struct words_look look, double limit,
                double x, double y)
{
    set_text(words, text, look, limit);
    show(words, look.colour, x,
         y - pango_layout_get_baseline(words->layout) / (words->scale * PANGO_SCALE));
}

void words_centre(struct words *words, const char *text, struct words_look look, double x, double y)
{
    PangoRectangle ink;

    set_text(words, text, look, 0);
    pango_layout_get_extents(words->layout, &ink, NULL);
    show(words, look.colour, x - (ink.x + ink.width / 2.0) / (words->scale * PANGO_SCALE),
         y - (ink.y + ink.height / 2.0) / (words->scale * PANGO_SCALE));
}
