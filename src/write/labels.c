#include "page.h"
#include "paint.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* em below which words cannot be read: in dots, and on paper (4 pt is about the smallest print). */
static const double least_dots = 9;
static const double least_size = 1.4;
/* Beyond so many marks their words would only cover each other. */
enum { MOST_WORDED_MARKS = 200 };

struct page_label {
    const struct rab_picture_item *item;
    double x, y;         /* the middle of a number, of a mark's ring */
    double size;         /* em; 0 when left out */
    double width;        /* of a mark's words */
    double tag_x, tag_y; /* the middle of a mark's words */
    struct rab_box box;  /* that nothing else should cover */
};

static const double number_em = 1.1, mark_em = 0.8, ring_radius = 0.5;

static bool meets(const struct rab_box *a, const struct rab_box *b)
{
    return a->x0 < b->x1 && b->x0 < a->x1 && a->y0 < b->y1 && b->y0 < a->y1;
}

static struct rab_box box_about(double x, double y, double half_width, double half_height)
{
    return (struct rab_box){x - half_width, y - half_height, x + half_width, y + half_height};
}

/* The size at which a number fits the place with the most room. */
static void place_number(struct page *page, struct page_label *label)
{
    const struct rab_picture_item *item = label->item;
    const double least = fmax(least_size, least_dots / page->scale);
    const double largest = number_em * page->em;
    struct rab_box box = RAB_BOX_EMPTY;
    struct rab_point place;
    double room, width, height;

    if (!item->words || !item->words[0])
        return;
    for (size_t i = 0; i < item->count; i++)
        box = rab_box_join(box, rab_outline_box(&item->outlines[i]));
    const double widest = fmin(box.x1 - box.x0, box.y1 - box.y0) / 2;
    if (widest < least / 2) { /* too small for a single digit: spare the search */
        page->left_out = true;
        return;
    }
    words_measure(&page->words, item->words, (struct words_look){largest, false, 0}, 0, &width,
                  &height);
    const double reach = hypot(width, height) / 2 * 1.15; /* with a little air */
    if (widest / reach * largest < least ||
        !picture_roomiest(item->outlines, item->count, &place, &room) ||
        room / reach * largest < least) {
        page->left_out = true;
        return;
    }
    const double share = fmin(1, room / reach);
    label->size = largest * share;
    label->x = page->left + place.x - page->view.x0;
    label->y = page->top + page->view.y1 - place.y;
    const double air = 0.3 * page->em;
    label->box = box_about(label->x, label->y, width * share / 2 + air, height * share / 2 + air);
}

static void place_mark(struct page *page, struct page_label *label)
{
    const double reach = ring_radius * page->em * 1.2;

    label->size = mark_em * page->em;
    label->x = page->left + label->item->at.x - page->view.x0;
    label->y = page->top + page->view.y1 - label->item->at.y;
    label->box = box_about(label->x, label->y, reach, reach);
}

/* Does an earlier mark say the same in the same place? Two pieces may share a narrow web. */
static bool said_before(const struct page *page, size_t first, size_t number)
{
    const struct page_label *label = &page->labels[number];
    const char *words = label->item->words ? label->item->words : "";

    for (size_t i = first; i < number; i++) {
        const struct page_label *other = &page->labels[i];
        if (other->size > 0 &&
            hypot(other->x - label->x, other->y - label->y) < ring_radius * page->em &&
            strcmp(other->item->words ? other->item->words : "", words) == 0)
            return true;
    }
    return false;
}

/* Find a free place within bounds, beside the ring, for the words of a mark. */
static bool place_words(struct page *page, size_t number, struct rab_box bounds,
                        struct rab_box *taken, size_t *count)
{
    static const double ways[8][2] = {{1, -0.8}, {-1, -0.8}, {1, 0.8}, {-1, 0.8},
                                      {1, 0},    {-1, 0},    {0, -1},  {0, 1}};
    struct page_label *label = &page->labels[number];
    const struct words_look look = {label->size, false, 0};
    const double air = 0.25 * page->em, ring = ring_radius * page->em;
    double width, height;

    words_measure(&page->words, label->item->words, look, 0, &width, &height);
    width += 2 * air;
    height = label->size * 1.3;
    for (int i = 0; i < 8; i++) {
        const double side = fabs(ways[i][0]), rise = fabs(ways[i][1]);
        const double x = label->x + ways[i][0] * (width / 2 + ring + air * side);
        const double y = label->y + ways[i][1] * (height / 2 + ring * rise + air * (1 - side));
        const struct rab_box box = box_about(x, y, width / 2, height / 2);
        bool is_free = box.x0 >= bounds.x0 && box.x1 <= bounds.x1 && box.y0 >= bounds.y0 &&
                       box.y1 <= bounds.y1;

        for (size_t k = 0; is_free && k < *count; k++)
            is_free = !meets(&box, &taken[k]);
        if (!is_free)
            continue;
        label->tag_x = x;
        label->tag_y = y;
        label->width = width;
        taken[(*count)++] = box;
        return true;
    }
    return false;
}

bool labels_plan(struct page *page, struct rab_error *err)
{
    const struct rab_picture *picture = page->picture;
    struct rab_box *taken = NULL;
    size_t marks = 0, count = 0, room = 0;

    for (size_t i = 0; i < picture->count; i++)
        if (picture->items[i].kind == PICTURE_NUMBER || picture->items[i].kind == PICTURE_MARK)
            room++;
    if (room == 0)
        return true;
    page->labels = calloc(room, sizeof *page->labels);
    taken = calloc(2 * room, sizeof *taken);
    if (!page->labels || !taken) {
        free(taken);
        return rab_fail_memory(err);
    }
    for (size_t i = 0; i < picture->count; i++) {
        if (picture->items[i].kind == PICTURE_NUMBER) {
            struct page_label *label = &page->labels[page->label_count++];
            label->item = &picture->items[i];
            place_number(page, label);
        }
    }
    for (size_t i = 0; i < picture->count; i++) {
        if (picture->items[i].kind == PICTURE_MARK) {
            struct page_label *label = &page->labels[page->label_count++];
            label->item = &picture->items[i];
            place_mark(page, label);
            marks++;
        }
    }
    const size_t first_mark = page->label_count - marks;
    for (size_t i = first_mark; i < page->label_count && marks <= MOST_WORDED_MARKS; i++)
        if (said_before(page, first_mark, i))
            page->labels[i].size = 0;
    for (size_t i = 0; i < page->label_count; i++)
        if (page->labels[i].size > 0)
            taken[count++] = page->labels[i].box;
    /* On the drawing if there is room, else beside it. */
    const struct rab_box drawing = {page->left, page->top,
                                    page->left + page->view.x1 - page->view.x0,
                                    page->top + page->view.y1 - page->view.y0};
    const struct rab_box around = {0, drawing.y0, page->width, drawing.y1};
    for (size_t i = first_mark; i < page->label_count && marks <= MOST_WORDED_MARKS; i++)
        if (page->labels[i].size > 0 && page->labels[i].item->words &&
            !place_words(page, i, drawing, taken, &count))
            place_words(page, i, around, taken, &count);
    free(taken);
    return true;
}

void labels_ring(const struct page *page, cairo_t *cr, double x, double y)
{
    cairo_new_path(cr);
    cairo_arc(cr, x, y, ring_radius * page->em, 0, 2 * RAB_PI);
    cairo_set_dash(cr, NULL, 0, 0);
    paint_colour(cr, 0xFFFFFF, 0.85);
    cairo_set_line_width(cr, 0.26 * page->em);
    cairo_stroke_preserve(cr);
    paint_colour(cr, PAGE_TROUBLE, 1);
    cairo_set_line_width(cr, 0.13 * page->em);
    cairo_stroke(cr);
}

static void draw_tag(struct page *page, cairo_t *cr, const struct page_label *label)
{
    const double height = label->size * 1.3, radius = height / 4;
    const struct rab_box box = box_about(label->tag_x, label->tag_y, label->width / 2, height / 2);

    cairo_new_path(cr);
    cairo_arc(cr, box.x1 - radius, box.y0 + radius, radius, -RAB_PI / 2, 0);
    cairo_arc(cr, box.x1 - radius, box.y1 - radius, radius, 0, RAB_PI / 2);
    cairo_arc(cr, box.x0 + radius, box.y1 - radius, radius, RAB_PI / 2, RAB_PI);
    cairo_arc(cr, box.x0 + radius, box.y0 + radius, radius, RAB_PI, 3 * RAB_PI / 2);
    cairo_close_path(cr);
    paint_colour(cr, 0xFFFFFF, 0.9);
    cairo_fill_preserve(cr);
    paint_colour(cr, PAGE_TROUBLE, 0.6);
    cairo_set_line_width(cr, fmax(0.05 * page->em, 0.6 / page->scale));
    cairo_stroke(cr);
    words_centre(&page->words, label->item->words,
                 (struct words_look){label->size, false, PAGE_INK}, label->tag_x, label->tag_y);
}

void labels_draw(struct page *page, cairo_t *cr)
{
    for (size_t i = 0; i < page->label_count; i++) {
        const struct page_label *label = &page->labels[i];
        if (label->size == 0)
            continue;
        if (label->item->kind == PICTURE_NUMBER)
            words_centre(&page->words, label->item->words,
                         (struct words_look){label->size, false, PAGE_INK}, label->x, label->y);
        else
            labels_ring(page, cr, label->x, label->y);
    }
    for (size_t i = 0; i < page->label_count; i++)
        if (page->labels[i].width > 0)
            draw_tag(page, cr, &page->labels[i]);
}
