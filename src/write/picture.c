#include "picture.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void clear_item(struct rab_picture_item *item)
{
    for (size_t i = 0; i < item->count; i++)
        rab_outline_clear(&item->outlines[i]);
    free(item->outlines);
    free(item->words);
    free(item->meaning);
    *item = (struct rab_picture_item){0};
}

static bool copy_words(const char *words, char **copy, struct rab_error *err)
{
    if (!words)
        return true;
    *copy = strdup(words);
    return *copy || rab_fail_memory(err);
}

/* Completes the item with copies of outlines and words, and takes it into the picture; when that
 * fails the picture is as before. */
static bool add_item(struct rab_picture *picture, struct rab_picture_item item,
                     const struct rab_outline *outlines, size_t count, const char *words,
                     const char *meaning, struct rab_error *err)
{
    void *items = picture->items;

    if (!copy_words(words, &item.words, err) || !copy_words(meaning, &item.meaning, err))
        goto failed;
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
    if (!rab_reserve(&items, &picture->capacity, picture->count + 1, sizeof *picture->items, err))
        goto failed;
    picture->items = items;
    picture->items[picture->count++] = item;
    return true;
failed:
    clear_item(&item);
    return false;
}

bool rab_picture_paper(struct rab_picture *picture, const struct rab_region *region,
                       uint32_t colour, const char *meaning, struct rab_error *err)
{
    return add_item(picture, (struct rab_picture_item){.kind = PICTURE_PAPER, .colour = colour},
                    region->outlines, region->count, NULL, meaning, err);
}

bool rab_picture_line(struct rab_picture *picture, const struct rab_outline *outline,
                      enum rab_line line, const char *meaning, struct rab_error *err)
{
    return add_item(picture, (struct rab_picture_item){.kind = PICTURE_LINE, .line = line}, outline,
                    1, NULL, meaning, err);
}

bool rab_picture_number(struct rab_picture *picture, const struct rab_region *inside,
                        const char *words, struct rab_error *err)
{
    return add_item(picture, (struct rab_picture_item){.kind = PICTURE_NUMBER}, inside->outlines,
                    inside->count, words, NULL, err);
}

bool rab_picture_number_in(struct rab_picture *picture, const struct rab_outline *inside,
                           const char *words, struct rab_error *err)
{
    return add_item(picture, (struct rab_picture_item){.kind = PICTURE_NUMBER}, inside, 1, words,
                    NULL, err);
}

bool rab_picture_mark(struct rab_picture *picture, struct rab_point at, const char *words,
                      const char *meaning, struct rab_error *err)
{
    return add_item(picture, (struct rab_picture_item){.kind = PICTURE_MARK, .at = at}, NULL, 0,
                    words, meaning, err);
}

void rab_picture_clear(struct rab_picture *picture)
{
    for (size_t i = 0; i < picture->count; i++)
        clear_item(&picture->items[i]);
    free(picture->items);
    *picture = (struct rab_picture){0};
}

uint32_t rab_paper_colour(size_t number)
{
    /* A warm white for the frame, and the palette of Okabe and Ito mixed with a third of white,
     * those next to each other in the round being unlike. */
    static const uint32_t frame = 0xEFE8DA;
    static const uint32_t round[] = {0x91CFF0, 0xF0C159, 0x59C2A4, 0xE39459,
                                     0x8FA9D9, 0xF5ED86, 0xDEA7C6};

    return number == 0 ? frame : round[(number - 1) % (sizeof round / sizeof *round)];
}

/* ---- the roomiest place ---------------------------------------------------------------- */

/* Distance to the outlines, negative outside. */
static double room_at(const struct rab_outline *outlines, size_t count, struct rab_point p)
{
    double room = 1e300;
    int windings = 0;

    for (size_t i = 0; i < count; i++) {
        room = fmin(room, rab_outline_distance(&outlines[i], p, NULL));
        windings += rab_outline_winding(&outlines[i], p);
    }
    return windings % 2 != 0 ? room : -room;
}

/* A search for the roomiest place. */
enum { SEARCH_GRID = 8 };
struct search {
    const struct rab_outline *outlines;
    size_t count;
    struct rab_point centre;
    double step_x, step_y;
};

/* Towards the centre by 4 mm is worth 1 mm of room: in a long strip all places have the same. */
static double worth(const struct search *search, struct rab_point p)
{
    return room_at(search->outlines, search->count, p) -
           0.25 * hypot(p.x - search->centre.x, p.y - search->centre.y);
}

/* The best of the centre and the middles of the cells of a grid. */
static struct rab_point best_cell(const struct search *search, struct rab_box box)
{
    struct rab_point best = search->centre;
    double most = worth(search, best);

    for (int i = 0; i < SEARCH_GRID * SEARCH_GRID; i++) {
        const int column = i % SEARCH_GRID, row = i / SEARCH_GRID;
        const struct rab_point p = {box.x0 + search->step_x * (column + 0.5),
                                    box.y0 + search->step_y * (row + 0.5)};
        const double here = worth(search, p);
        if (here > most) {
            most = here;
            best = p;
        }
    }
    return best;
}

/* From a place on to better ones nearby, in ever smaller steps: all around, because along a ridge
 * only a narrow range of directions leads up. */
static struct rab_point climb(const struct search *search, struct rab_point best)
{
    enum { ROUNDS = 12, WAYS = 16 };
    double most = worth(search, best), share = 0.5;

    for (int round = 0; round < ROUNDS; round++) {
        const struct rab_point from = best;
        for (int i = 0; i < WAYS; i++) {
            const double way = 2 * RAB_PI * i / WAYS;
            const struct rab_point p = {from.x + search->step_x * share * cos(way),
                                        from.y + search->step_y * share * sin(way)};
            const double here = worth(search, p);
            if (here > most) {
                most = here;
                best = p;
            }
        }
        if (best.x == from.x && best.y == from.y)
            share /= 2;
    }
    return best;
}

bool picture_roomiest(const struct rab_outline *outlines, size_t count, struct rab_point *place,
                      double *room)
{
    struct search search = {.outlines = outlines, .count = count};
    struct rab_box box = RAB_BOX_EMPTY;
    double widest;

    for (size_t i = 0; i < count; i++)
        box = rab_box_join(box, rab_outline_box(&outlines[i]));
    if (!(box.x1 > box.x0 && box.y1 > box.y0))
        return false;
    search.step_x = (box.x1 - box.x0) / SEARCH_GRID;
    search.step_y = (box.y1 - box.y0) / SEARCH_GRID;
    search.centre = rab_outline_centroid(&outlines[0]);
    *place = search.centre;
    *room = room_at(outlines, count, *place);
    /* No place has more room than this. Most openings have nearly as much in their centre, where a
     * number also looks best. */
    widest = fmin(box.x1 - box.x0, box.y1 - box.y0) / 2;
    if (*room < 0.6 * widest) {
        *place = climb(&search, best_cell(&search, box));
        *room = room_at(outlines, count, *place);
    }
    return *room > 0;
}
