/* A block of words for a printer, at true size. */
#include "lettering.h"

#include "paint.h"

#include <math.h>

/* Around the block, and what the check line and the title take below it. */
static const double rim = 10, foot = 14;
static const double check_mm = 50, check_in = 50.8;
static const double small = 2.4;
static const double usual_dpi = 300;

struct sheet_of_words {
    struct lettering lettering;
    double width, height;
};

static bool plan(const struct rab_words *words, struct sheet_of_words *sheet, struct rab_error *err)
{
    if (!lettering_set(words, &sheet->lettering, err))
        return false;
    sheet->width = fmax(words->width, check_in) + 2 * rim;
    sheet->height = words->height + 2 * rim + foot;
    return true;
}

static void cut_lines(const struct lettering *lettering, cairo_t *cr)
{
    const struct rab_words *words = lettering->asked;
    const struct rab_words_set *set = &lettering->set;

    cairo_new_path(cr);
    for (size_t i = 0; i < set->count && words->strips > 0; i++)
        cairo_rectangle(cr, 0, words->height - set->lines[i].strip.y1, words->width, words->strips);
    if (!(words->strips > 0))
        cairo_rectangle(cr, 0, 0, words->width, words->height);
}

static void draw_check_line(struct words *words, cairo_t *cr, double x, double y, double length,
                            const char *label)
{
    const double tick = 1.2;

    cairo_new_path(cr);
    cairo_move_to(cr, x, y - tick);
    cairo_line_to(cr, x, y);
    cairo_line_to(cr, x + length, y);
    cairo_line_to(cr, x + length, y - tick);
    paint_colour(cr, 0x222222, 1);
    cairo_set_line_width(cr, 0.18);
    cairo_stroke(cr);
    words_draw(words, label, (struct words_look){small, false, 0x6B6B6B}, 0, x + 1.2, y - 0.8);
}

static bool draw(const struct sheet_of_words *sheet, cairo_t *cr, double scale, double hairline,
                 const char *title, struct rab_error *err)
{
    const struct rab_words *asked = sheet->lettering.asked;
    const double y = rim + asked->height + foot;
    struct words words;

    if (!words_open(&words, cr, scale, err))
        return false;
    cairo_save(cr);
    cairo_translate(cr, (sheet->width - asked->width) / 2, rim);
    lettering_draw(&sheet->lettering, cr);
    cut_lines(&sheet->lettering, cr);
    paint_colour(cr, 0x000000, 1);
    cairo_set_line_width(cr, hairline);
    cairo_stroke(cr);
    cairo_restore(cr);
    draw_check_line(&words, cr, rim, y - 2.5, check_mm, "50 mm, print at 100 %");
    draw_check_line(&words, cr, rim, y + 2.5, check_in, "2 in");
    if (title)
        words_draw(&words, title, (struct words_look){small, false, 0x6B6B6B},
                   sheet->width - 2 * rim, rim, y + 6.5);
    words_close(&words);
    return true;
}

bool rab_words_pdf(const struct rab_words *words, const char *title, struct rab_text *out,
                   struct rab_error *err)
{
    struct sheet_of_words sheet = {0};
    struct rab_text bytes = {0};
    cairo_t *cr;
    bool ok;

    if (!plan(words, &sheet, err))
        return false;
    cr = paint_pdf(sheet.width, sheet.height, title, &bytes);
    ok = draw(&sheet, cr, 40, 0.088, title, err); /* 1/4 pt: a hairline in print */
    ok = paint_pdf_end(cr, &bytes, ok, out, err);
    lettering_clear(&sheet.lettering);
    return ok;
}

bool rab_words_png(const struct rab_words *words, const char *title, double dpi,
                   struct rab_text *out, struct rab_error *err)
{
    struct sheet_of_words sheet = {0};
    double scale = 1;
    cairo_t *cr;
    bool ok;

    if (!paint_chosen_scale(dpi, usual_dpi, &scale, err) || !plan(words, &sheet, err))
        return false;
    cr = paint_page(sheet.width, sheet.height, scale, err);
    ok = cr && draw(&sheet, cr, scale, fmax(0.1, 1 / scale), title, err) &&
         paint_png(cr, scale, out, err);
    cairo_destroy(cr);
    lettering_clear(&sheet.lettering);
    return ok;
}
