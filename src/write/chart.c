#include "chart.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A sheet that A4 (210 x 297 mm) and Letter (215.9 x 279.4 mm) hold; the largest page as it is
 * drawn, and where. Most printers leave 5 mm free. */
static const double sheet_width = 210, sheet_height = 279.4, rim = 8;
static const double largest = 152.4, page_left = 47, page_top = 26;
static const double head_at = 11, note_at = 15.2;
static const double checks_left = 151.2; /* to the rim: 2 in */

static const double table_top = 222, table_bottom = 272, further_top = 20, row = 7.1;
static const double column_gap = 7;
enum { COLUMNS = 3 };

static const double widest = 2000, farthest = 1e6;
static const double usual_dpi = 200, pdf_scale = 40;

/* ---- pieces ---------------------------------------------------------------------------- */

static void clear_piece(struct rab_page_plan_piece *piece)
{
    rab_region_clear(&piece->region);
    free(piece->letter);
    free(piece->what);
    *piece = (struct rab_page_plan_piece){0};
}

void rab_page_plan_clear(struct rab_page_plan *plan)
{
    for (size_t i = 0; i < plan->count; i++)
        clear_piece(&plan->pieces[i]);
    free(plan->pieces);
    free(plan->marks);
    *plan = (struct rab_page_plan){0};
}

bool rab_page_plan_mark(struct rab_page_plan *plan, struct rab_point at, struct rab_error *err)
{
    void *marks = plan->marks;

    if (!(fabs(at.x) <= farthest && fabs(at.y) <= farthest))
        return rab_fail(err, RAB_FAULT_INPUT, "a mark on the plan lies beyond 1000000 mm");
    if (!rab_reserve(&marks, &plan->mark_capacity, plan->mark_count + 1, sizeof *plan->marks, err))
        return false;
    plan->marks = marks;
    plan->marks[plan->mark_count++] = at;
    return true;
}

bool rab_page_plan_add(struct rab_page_plan *plan, const struct rab_region *region,
                       const char *letter, const char *what, bool measured, struct rab_error *err)
{
    struct rab_page_plan_piece piece = {.measured = measured, .box = rab_region_box(region)};
    void *pieces = plan->pieces;

    if (region->count == 0 || !letter || !what)
        return rab_fail(err, RAB_FAULT_INPUT, "a piece on the plan has a shape, a letter, words");
    if (!(piece.box.x0 >= -farthest && piece.box.y0 >= -farthest && piece.box.x1 <= farthest &&
          piece.box.y1 <= farthest))
        return rab_fail(err, RAB_FAULT_INPUT, "a piece on the plan reaches beyond 1000000 mm");
    piece.letter = strdup(letter);
    piece.what = strdup(what);
    if (!piece.letter || !piece.what) {
        rab_fail_memory(err);
        goto failed;
    }
    if (!rab_region_copy(region, &piece.region, err) ||
        !rab_reserve(&pieces, &plan->capacity, plan->count + 1, sizeof *plan->pieces, err))
        goto failed;
    plan->pieces = pieces;
    plan->pieces[plan->count++] = piece;
    return true;
failed:
    clear_piece(&piece);
    return false;
}

/* ---- the drawing ----------------------------------------------------------------------- */

/* Lines stay as wide on paper whatever the scale. */
static bool draw_pieces(const struct chart *chart, struct rab_error *err)
{
    const struct rab_page_plan *plan = chart->plan;
    struct track track = {0};
    cairo_t *cr = chart->cr;
    bool ok = true;

    cairo_save(cr);
    cairo_rectangle(cr, chart->page.x0 - 2, chart->page.y0 - 2, chart->page.x1 - chart->page.x0 + 4,
                    chart->page.y1 - chart->page.y0 + 4);
    cairo_clip(cr);
    for (size_t i = 0; i < plan->count && ok; i++) {
        const struct rab_region *region = &plan->pieces[i].region;
        cairo_save(cr);
        cairo_translate(cr, chart->page.x0, chart->page.y0);
        cairo_scale(cr, 1 / chart->factor, 1 / chart->factor);
        cairo_new_path(cr);
        ok = paint_outlines(cr, region->outlines, region->count, plan->height,
                            chart->scale / chart->factor, &track, err);
        cairo_restore(cr);
        paint_colour(cr, 0xFFFFFF, 1);
        cairo_fill_preserve(cr);
        paint_colour(cr, CHART_INK, 1);
        cairo_set_line_width(cr, chart_line);
        cairo_stroke(cr);
    }
    cairo_restore(cr);
    track_clear(&track);
    return ok;
}

static void draw_marks(const struct chart *chart)
{
    static const double radius = 1.6, width = 0.35;

    paint_colour(chart->cr, CHART_TROUBLE, 1);
    cairo_set_line_width(chart->cr, width);
    for (size_t i = 0; i < chart->plan->mark_count; i++) {
        const struct rab_point at = chart->plan->marks[i];
        cairo_new_path(chart->cr);
        cairo_arc(chart->cr, chart_x(chart, at.x), chart_y(chart, at.y), radius, 0, 2 * RAB_PI);
        cairo_stroke(chart->cr);
    }
}

static void draw_page_edge(const struct chart *chart)
{
    cairo_new_path(chart->cr);
    cairo_rectangle(chart->cr, chart->page.x0, chart->page.y0, chart->page.x1 - chart->page.x0,
                    chart->page.y1 - chart->page.y0);
    paint_colour(chart->cr, CHART_INK, 1);
    cairo_set_line_width(chart->cr, chart_wide);
    cairo_stroke(chart->cr);
}

static bool draw_head(struct chart *chart, size_t sheets, struct rab_error *err)
{
    const double width = checks_left - column_gap - rim;
    struct rab_text note = {0};
    bool ok;

    if (chart->plan->title)
        words_draw(&chart->words, chart->plan->title,
                   (struct words_look){chart_head, true, CHART_INK}, width, rim, head_at);
    rab_text_add(&note, "Scale 1:");
    rab_text_fixed(&note, chart->factor, 1);
    rab_text_add(&note,
                 ", print at 100 %; from the lower left corner to left and lower edges, in ");
    rab_text_add(&note, chart->plan->in_first ? "inches (mm)." : "mm (inches).");
    if (sheets > 1)
        rab_text_format(&note, " Sheet 1 of %zu.", sheets);
    if (chart->plan->mark_count > 0)
        rab_text_add(&note, " Rings: it may tear.");
    if (chart->left_out > 0)
        rab_text_format(&note, " No room for %zu more.", chart->left_out);
    ok = rab_text_ok(&note, err);
    if (ok)
        words_draw(&chart->words, note.data, (struct words_look){chart_small, false, CHART_QUIET},
                   width, rim, note_at);
    rab_text_clear(&note);
    return ok;
}

static void draw_check(struct chart *chart, double y, double length, const char *label)
{
    cairo_t *cr = chart->cr;

    cairo_new_path(cr);
    cairo_move_to(cr, checks_left, y - 1.2);
    cairo_line_to(cr, checks_left, y);
    cairo_line_to(cr, checks_left + length, y);
    cairo_line_to(cr, checks_left + length, y - 1.2);
    paint_colour(cr, CHART_INK, 1);
    cairo_set_line_width(cr, chart_thin);
    cairo_stroke(cr);
    words_draw(&chart->words, label, (struct words_look){chart_small, false, CHART_QUIET}, 0,
               checks_left + 1.2, y - 0.9);
}

/* ---- the table ------------------------------------------------------------------------- */

/* Pieces of one letter. */
struct entry {
    const struct rab_page_plan_piece *piece;
    size_t count;
};
struct table {
    struct entry *entries;
    size_t count;
};

int chart_compare_letters(const char *a, const char *b)
{
    const size_t length = strlen(a), other = strlen(b);

    return length != other ? (length < other ? -1 : 1) : strcmp(a, b);
}

static int compare_entries(const void *a, const void *b)
{
    return chart_compare_letters(((const struct entry *)a)->piece->letter,
                                 ((const struct entry *)b)->piece->letter);
}

static bool make_table(const struct rab_page_plan *plan, struct table *table, struct rab_error *err)
{
    struct table made = {.entries = calloc(plan->count + 1, sizeof *made.entries)};

    if (!made.entries)
        return rab_fail_memory(err);
    for (size_t i = 0; i < plan->count; i++) {
        size_t k = 0;
        while (k < made.count && strcmp(made.entries[k].piece->letter, plan->pieces[i].letter) != 0)
            k++;
        if (k == made.count)
            made.entries[made.count++].piece = &plan->pieces[i];
        made.entries[k].count++;
    }
    qsort(made.entries, made.count, sizeof *made.entries, compare_entries);
    *table = made;
    return true;
}

static size_t rows_from(double top)
{
    return (size_t)((table_bottom - top) / row);
}

static size_t count_sheets(const struct table *table)
{
    const size_t first = COLUMNS * rows_from(table_top), further = COLUMNS * rows_from(further_top);

    return table->count <= first ? 1 : 1 + (table->count - first + further - 1) / further;
}

static double words_right(struct chart *chart, const char *text, struct words_look look,
                          double right, double y)
{
    double width, height;

    words_measure(&chart->words, text, look, 0, &width, &height);
    words_draw(&chart->words, text, look, 0, right - width, y);
    return width;
}

/* "152.4 x 101.6 mm" to the left and "6 x 4 in" to the right. */
static bool draw_size(struct chart *chart, const struct rab_box *box, double left, double right,
                      double y, struct rab_error *err)
{
    const struct words_look quiet = {chart_small, false, CHART_QUIET};
    struct rab_text size = {0};
    char *second;
    bool ok;

    rab_text_size(&size, box->x1 - box->x0, box->y1 - box->y0, chart->plan->in_first, 16);
    ok = rab_text_ok(&size, err);
    second = ok ? strstr(size.data, " (") : NULL;
    if (second) {
        size.data[size.length - 1] = '\0';
        *second = '\0';
        words_draw(&chart->words, size.data, quiet, 0, left, y);
        words_right(chart, second + 2, quiet, right, y);
    }
    rab_text_clear(&size);
    return ok;
}

static bool draw_entry(struct chart *chart, const struct entry *entry, double left, double top,
                       double width, struct rab_error *err)
{
    const struct words_look bold = {2.6, true, CHART_INK}, plain = {2.4, false, CHART_INK};
    const double words_left = left + 8, first = top + 3.1, second = top + 6.1;
    struct rab_text number = {0};
    double taken = 0;
    bool ok = true;

    cairo_new_path(chart->cr);
    cairo_move_to(chart->cr, left, top + row);
    cairo_line_to(chart->cr, left + width, top + row);
    paint_colour(chart->cr, CHART_FAINT, 1);
    cairo_set_line_width(chart->cr, chart_fine);
    cairo_stroke(chart->cr);

    words_draw(&chart->words, entry->piece->letter, bold, 0, left, first);
    if (entry->count > 1) {
        rab_text_format(&number, "%zu x", entry->count);
        ok = rab_text_ok(&number, err);
        if (ok)
            taken = 2 + words_right(chart, number.data, plain, left + width, first);
        rab_text_clear(&number);
    }
    words_draw(&chart->words, entry->piece->what, plain, width - 8 - taken, words_left, first);
    return ok && draw_size(chart, &entry->piece->box, words_left, left + width, second, err);
}

/* ---- sheets ---------------------------------------------------------------------------- */

/* As many rows as there is room for below `top`, column by column. */
static bool draw_rows(struct chart *chart, const struct table *table, size_t first, double top,
                      struct rab_error *err)
{
    const double width = (sheet_width - 2 * rim - (COLUMNS - 1) * column_gap) / COLUMNS;
    const size_t left = table->count - first;
    const size_t most = rows_from(top), even = (left + COLUMNS - 1) / COLUMNS;
    const size_t rows = even < most ? even : most;

    for (size_t i = 0; i < left && i < COLUMNS * rows; i++) {
        const size_t column = i / rows;
        const double x = rim + (width + column_gap) * (double)column;
        if (!draw_entry(chart, &table->entries[first + i], x, top + row * (double)(i % rows), width,
                        err))
            return false;
    }
    return true;
}

static bool draw_first(struct chart *chart, const struct table *table, struct rab_error *err)
{
    if (!chart_draw_measures(chart, CHART_BENEATH, err) || !draw_pieces(chart, err) ||
        !chart_draw_measures(chart, CHART_AROUND, err) ||
        !draw_head(chart, count_sheets(table), err))
        return false;
    draw_page_edge(chart);
    draw_marks(chart);
    chart_draw_letters(chart);
    draw_check(chart, head_at - 1, 50, "50 mm: measure it in print");
    draw_check(chart, note_at + 0.3, 50.8, "2 in");
    return draw_rows(chart, table, 0, table_top, err);
}

static bool draw_further(struct chart *chart, const struct table *table, size_t sheet,
                         struct rab_error *err)
{
    const size_t before = COLUMNS * (rows_from(table_top) + (sheet - 1) * rows_from(further_top));

    struct rab_text note = {0};
    bool ok;

    if (chart->plan->title)
        words_draw(&chart->words, chart->plan->title,
                   (struct words_look){chart_head, true, CHART_INK}, sheet_width - 2 * rim, rim,
                   head_at);
    rab_text_format(&note, "Sheet %zu of %zu", sheet + 1, count_sheets(table));
    ok = rab_text_ok(&note, err);
    if (ok)
        words_draw(&chart->words, note.data, (struct words_look){chart_small, false, CHART_QUIET},
                   0, rim, note_at);
    rab_text_clear(&note);
    return ok && draw_rows(chart, table, before, further_top, err);
}

static bool draw_sheet(struct chart *chart, const struct table *table, size_t sheet,
                       struct rab_error *err)
{
    cairo_set_fill_rule(chart->cr, CAIRO_FILL_RULE_EVEN_ODD);
    cairo_set_line_join(chart->cr, CAIRO_LINE_JOIN_ROUND);
    cairo_set_dash(chart->cr, NULL, 0, 0);
    return sheet == 0 ? draw_first(chart, table, err) : draw_further(chart, table, sheet, err);
}

static void clear_chart(struct chart *chart, struct table *table)
{
    words_close(&chart->words);
    free(chart->letters);
    free(table->entries);
}

/* The page at the largest scale that fits, in its corner of the sheet. */
static bool lay_out(const struct rab_page_plan *plan, double scale, struct chart *chart,
                    struct table *table, struct rab_error *err)
{
    static const double factors[] = {1, 2, 2.5, 4, 5, 10, 20};
    const double longest = fmax(plan->width, plan->height);
    size_t i = 0;

    if (!(plan->width > 0 && plan->width <= widest && plan->height > 0 && plan->height <= widest))
        return rab_fail(err, RAB_FAULT_INPUT, "a page needs a width and a height of up to 2000 mm");
    while (i + 1 < sizeof factors / sizeof *factors && longest / factors[i] > largest + 1e-6)
        i++;
    *chart = (struct chart){.plan = plan, .factor = factors[i], .scale = scale};
    *table = (struct table){0};
    chart->page = (struct rab_box){page_left, page_top, page_left + plan->width / chart->factor,
                                   page_top + plan->height / chart->factor};
    if (!words_open(&chart->words, NULL, scale, err))
        return false;
    if (chart_plan_letters(chart, err) && make_table(plan, table, err))
        return true;
    clear_chart(chart, table);
    return false;
}

static void give_cairo(struct chart *chart, cairo_t *cr)
{
    chart->cr = cr;
    chart->words.cr = cr;
}

bool rab_page_plan_pdf(const struct rab_page_plan *plan, struct rab_text *out,
                       struct rab_error *err)
{
    struct chart chart;
    struct table table;
    struct rab_text bytes = {0};
    cairo_t *cr;
    bool ok = true;

    if (!lay_out(plan, pdf_scale, &chart, &table, err))
        return false;
    cr = paint_pdf(sheet_width, sheet_height, plan->title, &bytes);
    give_cairo(&chart, cr);
    for (size_t sheet = 0; sheet < count_sheets(&table) && ok; sheet++) {
        ok = draw_sheet(&chart, &table, sheet, err);
        cairo_show_page(cr);
    }
    clear_chart(&chart, &table);
    return paint_pdf_end(cr, &bytes, ok, out, err);
}

bool rab_page_plan_png(const struct rab_page_plan *plan, double dpi, struct rab_text *out,
                       struct rab_error *err)
{
    struct chart chart;
    struct table table;
    double scale = 1;
    cairo_t *cr;
    bool ok;

    if (!paint_chosen_scale(dpi, usual_dpi, &scale, err) ||
        !lay_out(plan, scale, &chart, &table, err))
        return false;
    const size_t sheets = count_sheets(&table);
    cr = paint_page(sheet_width, sheet_height * (double)sheets, scale, err);
    ok = cr != NULL;
    give_cairo(&chart, cr);
    for (size_t sheet = 0; sheet < sheets && ok; sheet++) {
        cairo_save(cr);
        cairo_translate(cr, 0, sheet_height * (double)sheet);
        ok = draw_sheet(&chart, &table, sheet, err);
        cairo_restore(cr);
    }
    ok = ok && paint_png(cr, scale, out, err);
    cairo_destroy(cr);
    clear_chart(&chart, &table);
    return ok;
}
