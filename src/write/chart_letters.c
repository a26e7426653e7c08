#include "chart.h"

#include "picture.h"

#include <math.h>
#include <stdlib.h>

/* What a led letter keeps free around it, and how far it stands from its piece. */
static const double air = 0.5, dot = 0.4;
static const double reaches[] = {3.2, 4.5, 6, 8, 11, 15};
enum { WAYS = 16 };

/* One height (ISO 129-1), less only where a letter would not stand in its piece. */
static const double sizes[] = {2.6, 2.1, 1.7};

static struct words_look look_of(double size)
{
    return (struct words_look){size, true, CHART_INK};
}

/* What nothing else may cover: letters, and the dots of their lines. */
struct taken {
    struct rab_box *boxes;
    size_t count;
};

static struct rab_box box_about(double x, double y, double half_width, double half_height)
{
    return (struct rab_box){x - half_width, y - half_height, x + half_width, y + half_height};
}

static bool is_free(const struct taken *taken, const struct rab_box *box)
{
    for (size_t i = 0; i < taken->count; i++) {
        const struct rab_box *other = &taken->boxes[i];
        if (box->x0 < other->x1 && other->x0 < box->x1 && box->y0 < other->y1 &&
            other->y0 < box->y1)
            return false;
    }
    return true;
}

/* ---- what is seen of a piece ----------------------------------------------------------- */

static bool boxes_meet(const struct rab_box *a, const struct rab_box *b)
{
    return a->x0 < b->x1 && b->x0 < a->x1 && a->y0 < b->y1 && b->y0 < a->y1;
}

/* The piece without all that lies on it. */
static bool find_seen(const struct rab_page_plan *plan, size_t index, struct rab_region *out,
                      struct rab_error *err)
{
    const struct rab_page_plan_piece *piece = &plan->pieces[index];
    struct rab_region seen = {0}, less = {0};

    if (!rab_region_copy(&piece->region, &seen, err))
        return false;
    for (size_t i = index + 1; i < plan->count && seen.count > 0; i++) {
        if (!boxes_meet(&piece->box, &plan->pieces[i].box))
            continue;
        if (!rab_region_combine(&seen, &plan->pieces[i].region, RAB_DIFFERENCE, &less, err)) {
            rab_region_clear(&seen);
            return false;
        }
        rab_region_clear(&seen);
        seen = less;
        less = (struct rab_region){0};
    }
    *out = seen;
    return true;
}

static double distance(const struct rab_region *region, struct rab_point point)
{
    double least = 1e300;

    for (size_t i = 0; i < region->count; i++)
        least = fmin(least, rab_outline_distance(&region->outlines[i], point, NULL));
    return least;
}

/* A place in a narrow region, such as the ring that is seen of a mat: from the middle of a line or
 * arc inwards, where there is most room. The first of equal ones is taken, so that it does not jump
 * about. */
static bool find_narrow(const struct rab_region *seen, struct rab_point *place)
{
    static const double depths[] = {3, 1.5, 0.8, 0.4, 0.2};
    bool found = false;

    for (size_t k = 0; k < sizeof depths / sizeof *depths && !found; k++) {
        double best = 0.75 * depths[k];
        for (size_t i = 0; i < seen->count; i++) {
            const struct rab_outline *outline = &seen->outlines[i];
            for (size_t j = 0; j < outline->count; j++) {
                const struct rab_vertex from = outline->vertices[j];
                const struct rab_vertex to = outline->vertices[(j + 1) % outline->count];
                const double dx = to.x - from.x, dy = to.y - from.y, length = hypot(dx, dy);
                if (length < 1e-6)
                    continue;
                /* the arc's middle lies bulge/2 of the chord to its right; material to the left */
                const double aside = depths[k] / length - from.bulge / 2;
                const struct rab_point point = {(from.x + to.x) / 2 - dy * aside,
                                                (from.y + to.y) / 2 + dx * aside};
                if (!rab_region_holds(seen, point))
                    continue;
                const double here = distance(seen, point);
                if (here > best * (1 + 1e-6)) {
                    best = here;
                    *place = point;
                    found = true;
                }
            }
        }
    }
    return found;
}

/* ---- places ---------------------------------------------------------------------------- */

/* Does a letter's box stay clear of all edges that pieces have there? */
static bool clears_edges(const struct chart *chart, double x, double y, double reach)
{
    const double factor = chart->factor;
    const struct rab_point place = {(x - chart->page.x0) * factor, (chart->page.y1 - y) * factor};

    for (size_t i = 0; i < chart->plan->count; i++) {
        const struct rab_page_plan_piece *piece = &chart->plan->pieces[i];
        const double away = reach * factor;
        if (place.x > piece->box.x0 - away && place.x < piece->box.x1 + away &&
            place.y > piece->box.y0 - away && place.y < piece->box.y1 + away &&
            distance(&piece->region, place) < away)
            return false;
    }
    return true;
}

/* Beside the piece, on the page, where nothing else stands; across an edge only if it must. */
static void lead(const struct chart *chart, struct chart_letter *letter, double half_width,
                 double half_height, struct taken *taken)
{
    enum { REACHES = sizeof reaches / sizeof *reaches, TRIES = 2 * REACHES * WAYS };

    letter->led = true;
    for (int i = 0; i < TRIES; i++) {
        const bool strict = i < TRIES / 2;
        const int way = i % WAYS;
        /* slanting ones first: they are told from the pieces' own edges */
        const double angle = RAB_PI / 4 + 2 * RAB_PI * ((way * 5) % WAYS) / WAYS;
        const double reach = reaches[i / WAYS % REACHES];
        const double x = letter->from_x + reach * cos(angle);
        const double y = letter->from_y - reach * sin(angle);
        const struct rab_box box = box_about(x, y, half_width + air, half_height + air);
        if (box.x0 < chart->page.x0 || box.x1 > chart->page.x1 || box.y0 < chart->page.y0 ||
            box.y1 > chart->page.y1 || !is_free(taken, &box) ||
            (strict && !clears_edges(chart, x, y, hypot(half_width, half_height) + air / 2)))
            continue;
        letter->x = x;
        letter->y = y;
        taken->boxes[taken->count++] = box;
        taken->boxes[taken->count++] = box_about(letter->from_x, letter->from_y, dot, dot);
        return;
    }
    letter->words = NULL; /* no room: the table still has it */
}

/* What is seen of a piece, its roomiest place, and the letter: half its width and height. */
struct wanted {
    struct rab_region seen;
    struct rab_point place;
    double size, half_width, half_height;
    bool inside, roomy;
};

static void measure_letter(struct chart *chart, size_t index, double size, struct wanted *wanted)
{
    double width, height;

    words_measure(&chart->words, chart->plan->pieces[index].letter, look_of(size), 0, &width,
                  &height);
    wanted->size = size;
    wanted->half_width = width / 2;
    wanted->half_height = size * 0.37;
}

/* Does the letter stand within what is seen of its piece? A row of circles as high as it is. */
static bool stands_inside(const struct chart *chart, const struct wanted *wanted)
{
    const double reach = (wanted->half_height + air / 2) * chart->factor;
    const double end = fmax(0, wanted->half_width * chart->factor - reach * 0.8);
    const int steps = (int)ceil(2 * end / reach);

    for (int i = 0; i <= steps; i++) {
        const double aside = steps > 0 ? end * (2.0 * i / steps - 1) : 0;
        const struct rab_point point = {wanted->place.x + aside, wanted->place.y};
        if (!rab_region_holds(&wanted->seen, point) || distance(&wanted->seen, point) < reach)
            return false;
    }
    return true;
}

static bool want_letter(struct chart *chart, size_t index, struct wanted *wanted,
                        struct rab_error *err)
{
    double room = 0;

    if (!find_seen(chart->plan, index, &wanted->seen, err))
        return false;
    wanted->roomy =
        wanted->seen.count > 0 &&
        picture_roomiest(wanted->seen.outlines, wanted->seen.count, &wanted->place, &room);
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes && wanted->roomy && !wanted->inside; i++) {
        measure_letter(chart, index, sizes[i], wanted);
        wanted->inside = stands_inside(chart, wanted);
    }
    if (!wanted->inside)
        measure_letter(chart, index, sizes[0], wanted);
    return true;
}

/* Letters side by side would read as one. */
static bool stands_apart(const struct chart *chart, const struct wanted *wanted,
                         const struct taken *taken)
{
    const struct rab_box box =
        box_about(chart_x(chart, wanted->place.x), chart_y(chart, wanted->place.y),
                  wanted->half_width + 2.5, wanted->half_height + air);

    return is_free(taken, &box);
}

static void place_inside(struct chart *chart, size_t index, struct wanted *wanted,
                         struct taken *taken)
{
    struct chart_letter *letter = &chart->letters[index];
    const struct rab_point roomiest = wanted->place;

    if (!stands_apart(chart, wanted, taken) &&
        !(find_narrow(&wanted->seen, &wanted->place) && stands_inside(chart, wanted) &&
          stands_apart(chart, wanted, taken)))
        wanted->place = roomiest;
    letter->words = chart->plan->pieces[index].letter;
    letter->size = wanted->size;
    letter->x = chart_x(chart, wanted->place.x);
    letter->y = chart_y(chart, wanted->place.y);
    taken->boxes[taken->count++] =
        box_about(letter->x, letter->y, wanted->half_width + air, wanted->half_height + air);
}

static void place_led(struct chart *chart, size_t index, struct wanted *wanted, struct taken *taken)
{
    struct chart_letter *letter = &chart->letters[index];

    if (!find_narrow(&wanted->seen, &wanted->place) && !wanted->roomy)
        return;
    letter->words = chart->plan->pieces[index].letter;
    letter->size = wanted->size;
    letter->from_x = chart_x(chart, wanted->place.x);
    letter->from_y = chart_y(chart, wanted->place.y);
    lead(chart, letter, wanted->half_width, wanted->half_height, taken);
}

/* First the letters that stand in their pieces, then those beside theirs. */
static bool place_letters(struct chart *chart, struct wanted *wanted, struct taken *taken,
                          struct rab_error *err)
{
    const size_t count = chart->plan->count;

    for (size_t i = 0; i < count; i++) {
        if (!want_letter(chart, i, &wanted[i], err))
            return false;
        if (wanted[i].inside)
            place_inside(chart, i, &wanted[i], taken);
    }
    for (size_t i = 0; i < count; i++)
        if (!wanted[i].inside && wanted[i].seen.count > 0)
            place_led(chart, i, &wanted[i], taken);
    return true;
}

bool chart_plan_letters(struct chart *chart, struct rab_error *err)
{
    const size_t count = chart->plan->count;
    struct wanted *wanted = calloc(count + 1, sizeof *wanted);
    struct taken taken = {.boxes = calloc(2 * count + 1, sizeof *taken.boxes)};
    bool ok;

    chart->letters = calloc(count + 1, sizeof *chart->letters);
    ok = wanted && taken.boxes && chart->letters ? place_letters(chart, wanted, &taken, err)
                                                 : rab_fail_memory(err);
    for (size_t i = 0; i < count && wanted; i++)
        rab_region_clear(&wanted[i].seen);
    free(wanted);
    free(taken.boxes);
    return ok;
}

/* ---- drawing --------------------------------------------------------------------------- */

/* ISO 128-22: a leader that ends within an outline ends with a dot. */
static void draw_leader(const struct chart *chart, const struct chart_letter *letter)
{
    const double length = hypot(letter->x - letter->from_x, letter->y - letter->from_y);
    const double share = 1 - letter->size * 0.6 / length;
    cairo_t *cr = chart->cr;

    cairo_new_path(cr);
    cairo_arc(cr, letter->from_x, letter->from_y, dot, 0, 2 * RAB_PI);
    paint_colour(cr, CHART_INK, 1);
    cairo_fill(cr);
    cairo_move_to(cr, letter->from_x, letter->from_y);
    cairo_line_to(cr, letter->from_x + (letter->x - letter->from_x) * share,
                  letter->from_y + (letter->y - letter->from_y) * share);
    cairo_set_line_width(cr, chart_fine);
    cairo_stroke(cr);
}

void chart_draw_letters(struct chart *chart)
{
    for (size_t i = 0; i < chart->plan->count; i++) {
        const struct chart_letter *letter = &chart->letters[i];
        if (letter->words && letter->led)
            draw_leader(chart, letter);
    }
    for (size_t i = 0; i < chart->plan->count; i++) {
        const struct chart_letter *letter = &chart->letters[i];
        if (letter->words)
            words_centre(&chart->words, letter->words, look_of(letter->size), letter->x, letter->y);
    }
}
