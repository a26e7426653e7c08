#include "chart.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* From the page's edge: a gap, the line from the common origin, the end of the extension lines, and
 * where the words begin. */
static const double gap = 1, axis_at = 4, extension_end = 5.2, words_at = 8.6;
static const double stroke = 1;  /* half of an oblique stroke, each way */
static const double apart = 2.9; /* from one line of words to the next */
static const double overall_at = 4, longest_words = 33.4;
/* Edges closer than this are one measure. */
static const double same = 0.005;
enum { MOST_LETTERS = 3 };

/* One measure along a side. */
struct tick {
    double at;    /* mm on the page */
    double place; /* of its words, along the side, mm on the sheet from the page's corner */
    double low;   /* across the side: where the lowest of its pieces begins */
};
struct side {
    struct chart *chart;
    bool upright; /* the left side; else the foot */
    struct tick *ticks;
    size_t count;
    double length; /* of the page, on the sheet */
};

void chart_measure(const struct chart *chart, double mm, struct rab_text *text)
{
    static const char *const names[] = {" mm", " in"};
    struct rab_text whole = {0};

    rab_text_length(&whole, mm, chart->plan->in_first, 16);
    text->failed = text->failed || whole.failed;
    for (const char *from = whole.failed ? "" : whole.data; *from;) {
        if (strncmp(from, names[0], 3) == 0 || strncmp(from, names[1], 3) == 0)
            from += 3;
        else
            rab_text_bytes(text, from++, 1);
    }
    rab_text_clear(&whole);
}

/* ---- gathering ------------------------------------------------------------------------- */

static double along(const struct side *side, const struct rab_box *box)
{
    return side->upright ? box->y0 : box->x0;
}

static double across(const struct side *side, const struct rab_box *box)
{
    return side->upright ? box->x0 : box->y0;
}

static int compare_ticks(const void *a, const void *b)
{
    const double first = ((const struct tick *)a)->at, second = ((const struct tick *)b)->at;

    return first < second ? -1 : first > second;
}

/* The left or lower edges, each place once. */
static bool gather(struct side *side, struct rab_error *err)
{
    const struct rab_page_plan *plan = side->chart->plan;
    size_t found = 0;

    side->ticks = calloc(plan->count + 1, sizeof *side->ticks);
    if (!side->ticks)
        return rab_fail_memory(err);
    for (size_t i = 0; i < plan->count; i++) {
        const struct rab_page_plan_piece *piece = &plan->pieces[i];
        if (piece->measured)
            side->ticks[found++] =
                (struct tick){.at = along(side, &piece->box), .low = across(side, &piece->box)};
    }
    qsort(side->ticks, found, sizeof *side->ticks, compare_ticks);
    for (size_t i = 0; i < found; i++) {
        struct tick *last = side->count > 0 ? &side->ticks[side->count - 1] : NULL;
        const struct tick next = side->ticks[i];
        if (last && next.at - last->at <= same)
            last->low = fmin(last->low, next.low);
        else
            side->ticks[side->count++] = next;
    }
    return true;
}

/* ---- spreading ------------------------------------------------------------------------- */

/*
 * Words go to their own places as nearly as they can without crowding each other: neighbours that
 * would touch become a group about the middle of where they belong (pool adjacent violators, Ayer
 * et al. 1955, which is the least sum of squared distances).
 */
static bool spread(struct side *side, struct rab_error *err)
{
    struct group {
        double middle; /* of the places wanted, each less its place in the group */
        size_t first, count;
    } *groups = malloc((side->count + 1) * sizeof *groups);
    size_t count = 0;

    if (!groups)
        return rab_fail_memory(err);
    for (size_t i = 0; i < side->count; i++) {
        const double wanted = side->ticks[i].at / side->chart->factor - apart * (double)i;
        groups[count++] = (struct group){wanted, i, 1};
        while (count > 1 && groups[count - 2].middle > groups[count - 1].middle) {
            struct group *before = &groups[count - 2], *after = &groups[count - 1];
            const double all = (double)(before->count + after->count);
            before->middle =
                (before->middle * (double)before->count + after->middle * (double)after->count) /
                all;
            before->count += after->count;
            count--;
        }
    }
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < groups[i].count; k++) {
            const size_t index = groups[i].first + k;
            side->ticks[index].place = groups[i].middle + apart * (double)index;
        }
    free(groups);
    return true;
}

/* Words stay beside the page. */
static void hold_within(struct side *side)
{
    const double high = side->length + apart / 2, low = -apart / 2;
    const size_t most = (size_t)((high - low) / apart) + 1;

    if (side->count > most) {
        side->chart->left_out += side->count - most;
        side->count = most;
    }
    for (size_t i = side->count; i-- > 0;)
        side->ticks[i].place =
            fmin(side->ticks[i].place, high - apart * (double)(side->count - 1 - i));
    for (size_t i = 0; i < side->count; i++)
        side->ticks[i].place = fmax(side->ticks[i].place, low + apart * (double)i);
}

/* ---- drawing --------------------------------------------------------------------------- */

/* A point of a side, `at` along it and `out` from the page, on the sheet. */
static struct rab_point point_of(const struct side *side, double at, double out)
{
    const struct rab_box *page = &side->chart->page;

    return side->upright ? (struct rab_point){page->x0 - out, page->y1 - at}
                         : (struct rab_point){page->x0 + at, page->y1 + out};
}

static void add_line(const struct side *side, double at0, double out0, double at1, double out1)
{
    const struct rab_point from = point_of(side, at0, out0), to = point_of(side, at1, out1);

    cairo_move_to(side->chart->cr, from.x, from.y);
    cairo_line_to(side->chart->cr, to.x, to.y);
}

static void add_stroke(cairo_t *cr, struct rab_point at)
{
    cairo_move_to(cr, at.x - stroke, at.y + stroke);
    cairo_line_to(cr, at.x + stroke, at.y - stroke);
}

static const struct words_look lettered = {chart_small, false, CHART_INK};

static double length_of(const struct side *side, const char *text)
{
    double length, height;

    words_measure(&side->chart->words, text, lettered, 0, &length, &height);
    return length;
}

/* End at `out` from the page, so that the words of a side are flush; from the foot they are read
 * from the right. */
static void draw_words(const struct side *side, const char *text, double at, double out,
                       double length)
{
    struct chart *chart = side->chart;
    const struct rab_point end = point_of(side, at, out);

    cairo_save(chart->cr);
    cairo_translate(chart->cr, end.x, end.y);
    if (!side->upright)
        cairo_rotate(chart->cr, -RAB_PI / 2);
    words_draw(&chart->words, text, lettered, 0, -length, 0.36 * lettered.size);
    cairo_restore(chart->cr);
}

/* The letters of the pieces that begin there, in their order: the first few, the others counted. */
struct names {
    const char *letters[MOST_LETTERS];
    size_t kept, count;
};

static bool begins_at(const struct side *side, size_t piece, const struct tick *tick)
{
    const struct rab_page_plan_piece *of = &side->chart->plan->pieces[piece];
    const double at = along(side, &of->box);

    return of->measured && at >= tick->at && at - tick->at <= same;
}

static void add_name(struct names *names, const char *letter)
{
    size_t at = 0;

    while (at < names->kept && chart_compare_letters(names->letters[at], letter) < 0)
        at++;
    names->count++;
    if (at == MOST_LETTERS)
        return;
    if (names->kept < MOST_LETTERS)
        names->kept++;
    memmove(&names->letters[at + 1], &names->letters[at],
            (names->kept - 1 - at) * sizeof *names->letters);
    names->letters[at] = letter;
}

static struct names names_of(const struct side *side, const struct tick *tick)
{
    const struct rab_page_plan *plan = side->chart->plan;
    struct names names = {0};

    for (size_t i = 0; i < plan->count; i++) {
        bool is_new = begins_at(side, i, tick);
        for (size_t k = 0; k < i && is_new; k++)
            is_new = strcmp(plan->pieces[k].letter, plan->pieces[i].letter) != 0 ||
                     !begins_at(side, k, tick);
        if (is_new)
            add_name(&names, plan->pieces[i].letter);
    }
    return names;
}

/* So many letters; that there are more is told. */
static bool list_names(const struct names *names, size_t letters, struct rab_text *text,
                       struct rab_error *err)
{
    for (size_t i = 0; i < letters; i++) {
        rab_text_add(text, i > 0 ? ", " : "");
        rab_text_add(text, names->letters[i]);
    }
    if (names->count > letters)
        rab_text_add(text, letters > 0 ? ", …" : "…");
    return rab_text_ok(text, err);
}

/* With as many letters as there is room for, ending at `out` from the page. */
static bool draw_names(const struct side *side, const struct tick *tick, double out,
                       struct rab_error *err)
{
    const struct names names = names_of(side, tick);
    struct rab_text text = {0};
    double length = 0;
    bool ok = true, fits = false;

    for (size_t letters = names.kept; ok && !fits; letters--) {
        rab_text_clear(&text);
        ok = list_names(&names, letters, &text, err);
        length = ok ? length_of(side, text.data) : 0;
        fits = out + length <= words_at + longest_words || letters == 0;
    }
    if (ok && fits)
        draw_words(side, text.data, tick->place, out, length);
    rab_text_clear(&text);
    return ok;
}

/* A measure in its first unit, and in brackets in the other. */
struct both {
    struct rab_text text;
    const char *first, *second;
};

static bool measure_both(const struct side *side, double mm, struct both *both,
                         struct rab_error *err)
{
    char *between;

    *both = (struct both){.first = "", .second = ""};
    chart_measure(side->chart, mm, &both->text);
    if (!rab_text_ok(&both->text, err) || !both->text.data)
        return false;
    both->first = both->text.data;
    between = strstr(both->text.data, " (");
    if (between) {
        *between = '\0';
        both->second = between + 1;
    }
    return true;
}

/* Letters, measures and their second unit each end in a line of their own, so that numbers stand
 * below numbers. */
static bool draw_columns(const struct side *side, struct rab_error *err)
{
    static const double between = 1.2;
    double first = 0, second = 0;
    struct both both;

    for (size_t i = 0; i < side->count; i++) {
        if (!measure_both(side, side->ticks[i].at, &both, err))
            return false;
        first = fmax(first, length_of(side, both.first));
        second = fmax(second, length_of(side, both.second));
        rab_text_clear(&both.text);
    }
    for (size_t i = 0; i < side->count; i++) {
        const struct tick *tick = &side->ticks[i];
        const double middle = words_at + second + between;
        if (!draw_names(side, tick, middle + first + 2 * between, err) ||
            !measure_both(side, tick->at, &both, err))
            return false;
        draw_words(side, both.first, tick->place, middle, length_of(side, both.first));
        draw_words(side, both.second, tick->place, words_at, length_of(side, both.second));
        rab_text_clear(&both.text);
    }
    return true;
}

/* From the pieces to the foot or the left side, beneath the pieces. */
static void draw_extensions(const struct side *side)
{
    const double factor = side->chart->factor;

    cairo_new_path(side->chart->cr);
    for (size_t i = 0; i < side->count; i++)
        add_line(side, side->ticks[i].at / factor, -side->ticks[i].low / factor,
                 side->ticks[i].at / factor, 0);
    paint_colour(side->chart->cr, CHART_FAINT, 1);
    cairo_set_line_width(side->chart->cr, chart_fine);
    cairo_stroke(side->chart->cr);
}

static bool draw_side(const struct side *side, struct rab_error *err)
{
    const double factor = side->chart->factor;
    cairo_t *cr = side->chart->cr;
    double reach = 0;

    cairo_new_path(cr);
    for (size_t i = 0; i < side->count; i++) {
        const struct tick *tick = &side->ticks[i];
        const double at = tick->at / factor;
        add_line(side, at, gap, at, extension_end);
        add_line(side, at, extension_end, tick->place, words_at - 0.7);
        reach = fmax(reach, at);
    }
    add_line(side, 0, axis_at, reach, axis_at);
    add_line(side, 0, gap, 0, extension_end);
    paint_colour(cr, CHART_INK, 1);
    cairo_set_line_width(cr, chart_fine);
    cairo_stroke(cr);

    for (size_t i = 0; i < side->count; i++)
        add_stroke(cr, point_of(side, side->ticks[i].at / factor, axis_at));
    cairo_set_line_width(cr, chart_line);
    cairo_stroke(cr);

    const struct rab_point origin = point_of(side, 0, axis_at);
    cairo_arc(cr, origin.x, origin.y, 0.8, 0, 2 * RAB_PI);
    cairo_set_line_width(cr, chart_thin);
    cairo_stroke(cr);
    return draw_columns(side, err);
}

/* The page's own width above it and its height to its right, between two strokes. */
static bool draw_overall(struct chart *chart, bool upright, struct rab_error *err)
{
    const struct rab_box *page = &chart->page;
    const struct words_look look = {chart_small, false, CHART_INK};
    const double length = upright ? page->y1 - page->y0 : page->x1 - page->x0;
    struct rab_text text = {0};
    cairo_t *cr = chart->cr;
    double width, height;
    bool ok;

    rab_text_length(&text, upright ? chart->plan->height : chart->plan->width,
                    chart->plan->in_first, 16);
    ok = rab_text_ok(&text, err);
    cairo_save(cr);
    if (upright) {
        cairo_translate(cr, page->x1 + overall_at, page->y1);
        cairo_rotate(cr, -RAB_PI / 2);
    } else {
        cairo_translate(cr, page->x0, page->y0 - overall_at);
    }
    /* along x from here; the page lies below (upright: to the left, which is above) */
    const double towards = upright ? -1 : 1;
    cairo_new_path(cr);
    for (int end = 0; end <= 1; end++) {
        cairo_move_to(cr, end * length, towards * (overall_at - gap));
        cairo_line_to(cr, end * length, -towards * (extension_end - axis_at));
    }
    cairo_move_to(cr, 0, 0);
    cairo_line_to(cr, length, 0);
    paint_colour(cr, CHART_INK, 1);
    cairo_set_line_width(cr, chart_fine);
    cairo_stroke(cr);
    add_stroke(cr, (struct rab_point){0, 0});
    add_stroke(cr, (struct rab_point){length, 0});
    cairo_set_line_width(cr, chart_line);
    cairo_stroke(cr);
    if (ok) {
        words_measure(&chart->words, text.data, look, 0, &width, &height);
        words_draw(&chart->words, text.data, look, 0, (length - width) / 2, -0.8);
    }
    cairo_restore(cr);
    rab_text_clear(&text);
    return ok;
}

bool chart_draw_measures(struct chart *chart, enum chart_layer layer, struct rab_error *err)
{
    bool ok = true;

    chart->left_out = 0;
    for (int i = 0; i < 2 && ok; i++) {
        const double length =
            i == 0 ? chart->page.x1 - chart->page.x0 : chart->page.y1 - chart->page.y0;
        struct side side = {.chart = chart, .upright = i == 1, .length = length};
        ok = gather(&side, err) && spread(&side, err);
        if (ok)
            hold_within(&side);
        if (ok && layer == CHART_BENEATH)
            draw_extensions(&side);
        else
            ok = ok && draw_side(&side, err) && draw_overall(chart, side.upright, err);
        free(side.ticks);
    }
    return ok;
}
