/*
 * The dimensioned plan of a page while it is laid out: mm on the printed sheet, from its upper left
 * corner, y down.
 */
#ifndef RABBET_WRITE_CHART_H
#define RABBET_WRITE_CHART_H

#include "paint.h"
#include "words.h"

enum {
    CHART_INK = 0x222222,
    CHART_QUIET = 0x6B6B6B,
    CHART_FAINT = 0xC4C4C4,
    CHART_TROUBLE = 0xD55E00
};

/* One height for all that is lettered on the drawing (ISO 129-1), and one for heads. */
static const double chart_small = 2.2, chart_head = 4;
/* Widths of ISO 128-2. */
static const double chart_fine = 0.13, chart_thin = 0.18, chart_line = 0.25, chart_wide = 0.35;

struct rab_page_plan_piece {
    struct rab_region region;
    char *letter, *what;
    bool measured;
    struct rab_box box;
};

/* Where the letter of a piece stands. */
struct chart_letter {
    const char *words; /* NULL: nothing of the piece is seen */
    double size;
    double x, y; /* its middle */
    bool led;    /* a line leads to it from the piece */
    double from_x, from_y;
};

struct chart {
    const struct rab_page_plan *plan;
    double factor;       /* 2: the page is drawn at 1:2 */
    struct rab_box page; /* the page on the sheet; y0 is its top */
    struct words words;  /* set its cr before drawing */
    double scale;        /* dots in a mm, for curves */
    cairo_t *cr;
    struct chart_letter *letters;
    size_t left_out; /* measures for which there is no room */
};

/* From the page's mm to the sheet's. */
static inline double chart_x(const struct chart *chart, double x)
{
    return chart->page.x0 + x / chart->factor;
}
static inline double chart_y(const struct chart *chart, double y)
{
    return chart->page.y1 - y / chart->factor;
}

/* Letters: plan once the words are open. */
bool chart_plan_letters(struct chart *chart, struct rab_error *err);
void chart_draw_letters(struct chart *chart);

/* Measures: extension lines beneath the pieces; then those along the foot and the left side, and
 * the page's own size. */
enum chart_layer { CHART_BENEATH, CHART_AROUND };
bool chart_draw_measures(struct chart *chart, enum chart_layer layer, struct rab_error *err);

/* A, B ... Z, AA. */
int chart_compare_letters(const char *a, const char *b);

/* "19.05 (3/4)": mm and inches without their names. */
void chart_measure(const struct chart *chart, double mm, struct rab_text *text);

#endif
