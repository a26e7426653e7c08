#include "lettering.h"

#include "paint.h"

#include <math.h>
#include <pango/pangocairo.h>
#include <stdlib.h>
#include <string.h>

/* Dots in a mm that Pango counts in: far finer than any printer, and no sizes beyond its numbers.
 */
static const double set_scale = 40;
static const double point = 25.4 / 72;
/* 4 pt is about the smallest print that is read. */
enum { LEAST_QUARTERS = 16, MOST_RULES = 2000 };
/* From base line to base line, in em; letters with tall marks take what they need. */
static const double leading = 1.3;
/* What letters may take of a strip's height. */
static const double strip_share = 0.9;
/* How far letters stand above the line that they are written on, in em. */
static const double above_rule = 0.12;
static const double spare = 1e-6;

/* What the words take in one size. */
struct extent {
    double width;           /* of the longest line */
    double ascent, descent; /* the most of any line */
    double height;          /* of all lines */
    size_t lines;
};

double rab_words_inset(double width, double height)
{
    return fmin(25.4 * 3 / 16, fmin(width, height) / 8);
}

static double margin_of(const struct rab_words *asked)
{
    return rab_words_inset(asked->width, asked->height);
}

static double room_across(const struct rab_words *asked)
{
    return asked->width - 2 * margin_of(asked);
}

static bool has_words(const struct rab_words *asked)
{
    return asked->text && asked->text[strspn(asked->text, " \t\r\n")] != '\0';
}

static size_t rules_of(const struct rab_words *asked)
{
    return asked->ruled > 0 ? (size_t)floor(asked->height / asked->ruled - spare) : 0;
}

static bool check(const struct rab_words *asked, struct rab_error *err)
{
    if (!(asked->width > 0 && asked->width <= RAB_WORDS_WIDEST && asked->height > 0 &&
          asked->height <= RAB_WORDS_WIDEST))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the block of words needs a width and a height of up to 2000 mm");
    if (!(asked->size >= 0 && asked->size <= RAB_WORDS_WIDEST && asked->strips >= 0 &&
          asked->ruled >= 0))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the words' size, strips and ruled lines are 0 or lengths");
    if (asked->strips > 0 && asked->ruled > 0)
        return rab_fail(err, RAB_FAULT_INPUT, "words are cut into strips or ruled, not both");
    if (asked->strips > asked->height)
        return rab_fail(err, RAB_FAULT_GEOMETRY, "the strips are higher than their block");
    if (asked->ruled > 0 && rules_of(asked) < 1)
        return rab_fail(err, RAB_FAULT_GEOMETRY, "the block is not high enough for one ruled line");
    if (asked->ruled > 0 && rules_of(asked) > MOST_RULES)
        return rab_fail(err, RAB_FAULT_INPUT, "the ruled lines lie too close; give more room");
    if (!has_words(asked) && !(asked->ruled > 0))
        return rab_fail(err, RAB_FAULT_INPUT, "the block has no words; give some, or rule it");
    if (asked->text && strlen(asked->text) > RAB_WORDS_LONGEST)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the block has too many words; at most %d bytes of them go into one",
                        RAB_WORDS_LONGEST);
    return true;
}

/* ---- setting --------------------------------------------------------------------------- */

/* Is a family of this name installed? Names differ in capitals only. */
static bool is_installed(PangoFontMap *fonts, const char *name)
{
    PangoFontFamily **families;
    int count;
    bool found = false;

    pango_font_map_list_families(fonts, &families, &count);
    for (int i = 0; i < count && !found; i++)
        found = g_ascii_strcasecmp(pango_font_family_get_name(families[i]), name) == 0;
    g_free(families);
    return found;
}

static void limit_width(struct lettering *lettering)
{
    pango_layout_set_width(lettering->words.layout,
                           (int)(room_across(lettering->asked) * set_scale * PANGO_SCALE));
}

static void give_text(struct lettering *lettering)
{
    const struct rab_words *asked = lettering->asked;
    PangoLayout *layout = lettering->words.layout;
    PangoFontDescription *font = pango_font_description_new();
    char *clean = g_utf8_make_valid(asked->text ? asked->text : "", -1);

    for (char *c = clean; *c; c++)
        if (((unsigned char)*c < 0x20 && *c != '\n') || *c == 0x7F)
            *c = ' ';
    g_strchomp(clean);
    pango_font_description_set_family(font, asked->font ? asked->font
                                                        : "DejaVu Serif, Noto Serif, Serif");
    pango_layout_set_font_description(layout, font);
    pango_layout_set_single_paragraph_mode(layout, FALSE);
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD);
    /* Strips given one by one are not broken anew. */
    if (!(asked->strips > 0 && strchr(clean, '\n')))
        limit_width(lettering);
    pango_layout_set_alignment(layout, asked->align < 0   ? PANGO_ALIGN_LEFT
                                       : asked->align > 0 ? PANGO_ALIGN_RIGHT
                                                          : PANGO_ALIGN_CENTER);
    pango_layout_set_text(layout, clean, -1);
    g_free(clean);
    pango_font_description_free(font);
    lettering->set.other_font = asked->font && !is_installed(lettering->words.fonts, asked->font);
}

static void give_size(struct lettering *lettering, double size)
{
    PangoLayout *layout = lettering->words.layout;
    PangoFontDescription *font =
        pango_font_description_copy(pango_layout_get_font_description(layout));

    pango_font_description_set_absolute_size(font, size * set_scale * PANGO_SCALE);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
}

static double from_pango(int units)
{
    return units / (set_scale * PANGO_SCALE);
}

/* Blank lines count, as lines to leave free. */
static struct extent measure(struct lettering *lettering, double size)
{
    const struct rab_words *asked = lettering->asked;
    struct extent extent = {0};
    PangoLayoutIter *at;

    if (!has_words(asked))
        return extent;
    give_size(lettering, size);
    at = pango_layout_get_iter(lettering->words.layout);
    do {
        PangoRectangle whole;
        const int base = pango_layout_iter_get_baseline(at);
        pango_layout_iter_get_line_extents(at, NULL, &whole);
        extent.width = fmax(extent.width, from_pango(whole.width));
        extent.ascent = fmax(extent.ascent, from_pango(base - whole.y));
        extent.descent = fmax(extent.descent, from_pango(whole.y + whole.height - base));
        extent.lines++;
    } while (pango_layout_iter_next_line(at));
    pango_layout_iter_free(at);

    const double line = extent.ascent + extent.descent;
    if (asked->ruled > 0)
        extent.height = (double)extent.lines * asked->ruled;
    else if (asked->strips > 0)
        extent.height = (double)extent.lines * asked->strips;
    else
        extent.height = (double)(extent.lines - 1) * fmax(leading * size, line) + line;
    return extent;
}

/* The height that words may take, and that a line of letters may. */
static double room_down(const struct rab_words *asked)
{
    if (asked->ruled > 0)
        return (double)rules_of(asked) * asked->ruled;
    return asked->strips > 0 ? asked->height : asked->height - 2 * margin_of(asked);
}

static double room_for_line(const struct rab_words *asked)
{
    if (asked->ruled > 0)
        return asked->ruled;
    return asked->strips > 0 ? asked->strips * strip_share : room_down(asked);
}

static bool fits(const struct rab_words *asked, const struct extent *extent)
{
    return extent->width <= room_across(asked) + spare &&
           extent->height <= room_down(asked) + spare &&
           extent->ascent + extent->descent <= room_for_line(asked) + spare;
}

static bool fail_fit(const struct rab_words *asked, double size, const struct extent *extent,
                     struct rab_error *err)
{
    const double line = extent->ascent + extent->descent;
    const bool wide = extent->width > room_across(asked) + spare;
    const bool tall = line > room_for_line(asked) + spare;
    const double needed = wide ? extent->width : tall ? line : extent->height;
    const double there = wide ? room_across(asked) : tall ? room_for_line(asked) : room_down(asked);
    struct rab_text points = {0}, need = {0}, have = {0};

    rab_text_fixed(&points, size / point, 2);
    rab_text_length(&need, needed, false, 16);
    rab_text_length(&have, there, false, 16);
    if (rab_text_ok(&points, err) && rab_text_ok(&need, err) && rab_text_ok(&have, err)) {
        if (wide)
            rab_fail(err, RAB_FAULT_GEOMETRY,
                     "the longest word needs %s in width at %s pt, there are %s; give a wider "
                     "block or smaller letters",
                     need.data, points.data, have.data);
        else if (tall)
            rab_fail(err, RAB_FAULT_GEOMETRY,
                     "letters of %s pt need a line of %s, there are %s; give more height or "
                     "smaller letters",
                     points.data, need.data, have.data);
        else
            rab_fail(err, RAB_FAULT_GEOMETRY,
                     "the words take %zu lines at %s pt and need %s in height, there are %s; give "
                     "a larger block, smaller letters or fewer words",
                     extent->lines, points.data, need.data, have.data);
    }
    rab_text_clear(&points);
    rab_text_clear(&need);
    rab_text_clear(&have);
    return false;
}

/* The largest size in quarters of a point. Lines break anew in every size, so that a larger one may
 * fit where a smaller does not; the answer is one that does. */
static bool find_size(struct lettering *lettering, struct extent *extent, double *size,
                      struct rab_error *err)
{
    const struct rab_words *asked = lettering->asked;
    int fit = LEAST_QUARTERS, high = (int)(fmin(asked->height, asked->width) / point * 4) + 1;

    *size = fit * point / 4;
    *extent = measure(lettering, *size);
    if (!fits(asked, extent))
        return fail_fit(asked, *size, extent, err);
    while (high - fit > 1) {
        const int middle = fit + (high - fit) / 2;
        const struct extent tried = measure(lettering, middle * point / 4);
        if (fits(asked, &tried)) {
            fit = middle;
            *extent = tried;
        } else {
            high = middle;
        }
    }
    *size = fit * point / 4;
    give_size(lettering, *size);
    return true;
}

/* ---- placing --------------------------------------------------------------------------- */

/* The base line of a line, down from the block's upper edge. */
static double base_of(const struct lettering *lettering, const struct extent *extent, size_t line)
{
    const struct rab_words *asked = lettering->asked;
    const double size = lettering->set.size, letters = extent->ascent + extent->descent;

    if (asked->ruled > 0)
        return asked->ruled * (double)(line + 1) - above_rule * size;
    if (asked->strips > 0)
        return asked->height - lettering->set.lines[line].strip.y1 + (asked->strips - letters) / 2 +
               extent->ascent;
    return (asked->height - extent->height) / 2 + extent->ascent +
           (double)line * fmax(leading * size, letters);
}

static bool place_lines(struct lettering *lettering, const struct extent *extent,
                        struct rab_error *err)
{
    const struct rab_words *asked = lettering->asked;
    struct rab_words_set *set = &lettering->set;
    const double left = margin_of(asked);
    PangoLayoutIter *at;

    if (extent->lines == 0)
        return true;
    set->lines = calloc(extent->lines, sizeof *set->lines);
    if (!set->lines)
        return rab_fail_memory(err);
    const double step =
        extent->lines > 1 ? (asked->height - asked->strips) / (double)(extent->lines - 1) : 0;
    at = pango_layout_get_iter(lettering->words.layout);
    do {
        struct rab_words_line *line = &set->lines[set->count];
        PangoRectangle whole;
        pango_layout_iter_get_line_extents(at, NULL, &whole);
        line->x0 = left + from_pango(whole.x);
        line->x1 = line->x0 + from_pango(whole.width);
        if (asked->strips > 0) {
            const double top = asked->height - step * (double)set->count;
            line->strip = (struct rab_box){0, top - asked->strips, asked->width, top};
        }
        line->y = asked->height - base_of(lettering, extent, set->count);
        set->count++;
    } while (set->count < extent->lines && pango_layout_iter_next_line(at));
    pango_layout_iter_free(at);
    return true;
}

bool lettering_set(const struct rab_words *asked, struct lettering *out, struct rab_error *err)
{
    struct lettering made = {.asked = asked};
    struct extent extent = {0};
    double size = asked->size;

    if (!check(asked, err) || !words_open(&made.words, NULL, set_scale, err))
        return false;
    give_text(&made);
    if (!has_words(asked)) {
        size = 0;
    } else if (size > 0) {
        extent = measure(&made, size);
        if (!fits(asked, &extent)) {
            fail_fit(asked, size, &extent, err);
            goto failed;
        }
    } else if (!find_size(&made, &extent, &size, err)) {
        goto failed;
    }
    limit_width(&made); /* where it was not broken before, it is only aligned now */
    made.set.size = size;
    made.set.unknown = (size_t)pango_layout_get_unknown_glyphs_count(made.words.layout);
    if (!place_lines(&made, &extent, err))
        goto failed;
    *out = made;
    return true;
failed:
    lettering_clear(&made);
    return false;
}

void lettering_clear(struct lettering *lettering)
{
    words_close(&lettering->words);
    rab_words_set_clear(&lettering->set);
    *lettering = (struct lettering){0};
}

bool rab_words_set(const struct rab_words *words, struct rab_words_set *out, struct rab_error *err)
{
    struct lettering lettering = {0};

    if (!lettering_set(words, &lettering, err))
        return false;
    *out = lettering.set;
    lettering.set = (struct rab_words_set){0};
    lettering_clear(&lettering);
    return true;
}

void rab_words_set_clear(struct rab_words_set *set)
{
    free(set->lines);
    *set = (struct rab_words_set){0};
}

/* ---- drawing --------------------------------------------------------------------------- */

static void draw_rules(const struct rab_words *asked, cairo_t *cr)
{
    const double margin = margin_of(asked);
    const size_t rules = rules_of(asked);

    cairo_new_path(cr);
    for (size_t i = 0; i < rules; i++) {
        const double y = asked->ruled * (double)(i + 1);
        cairo_move_to(cr, margin, y);
        cairo_line_to(cr, asked->width - margin, y);
    }
    paint_colour(cr, asked->ink, 0.45);
    cairo_set_dash(cr, NULL, 0, 0);
    cairo_set_line_width(cr, 0.13);
    cairo_stroke(cr);
}

void lettering_draw(const struct lettering *lettering, cairo_t *cr)
{
    const struct rab_words *asked = lettering->asked;
    const struct rab_words_set *set = &lettering->set;
    PangoLayoutIter *at;

    draw_rules(asked, cr);
    if (set->count == 0)
        return;
    paint_colour(cr, asked->ink, 1);
    at = pango_layout_get_iter(lettering->words.layout);
    for (size_t i = 0; i < set->count; i++) {
        cairo_save(cr);
        cairo_translate(cr, set->lines[i].x0, asked->height - set->lines[i].y);
        cairo_scale(cr, 1 / set_scale, 1 / set_scale);
        cairo_move_to(cr, 0, 0);
        pango_cairo_show_layout_line(cr, pango_layout_iter_get_line_readonly(at));
        cairo_restore(cr);
        pango_layout_iter_next_line(at);
    }
    pango_layout_iter_free(at);
}
