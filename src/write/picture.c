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

bool picture_roomiest(const struct rab_outline *outlines, size_t count, struct rab_point *place,
                      double *room)
{
    enum { GRID = 8 };
    struct rab_box box = RAB_BOX_EMPTY;
    struct rab_point best;
    double most, step_x, step_y, widest;

    for (size_t i = 0; i < count; i++)
        box = rab_box_join(box, rab_outline_box(&outlines[i]));
    if (!(box.x1 > box.x0 && box.y1 > box.y0))
        return false;
    step_x = (box.x1 - box.x0) / GRID;
    step_y = (box.y1 - box.y0) / GRID;
    /* No place has more room than this. Most openings have nearly as much in their centre, where a
     * number also looks best. */
    widest = fmin(box.x1 - box.x0, box.y1 - box.y0) / 2;
    best = rab_outline_centroid(&outlines[0]);
    most = room_at(outlines, count, best);
    if (most < 0.6 * widest) {
        for (int i = 0; i < GRID * GRID; i++) {
            const int column = i % GRID, row = i / GRID;
            const struct rab_point p = {box.x0 + step_x * (column + 0.5),
                                        box.y0 + step_y * (row + 0.5)};
            const double here = room_at(outlines, count, p);
            if (here > most) {
                most = here;
                best = p;
            }
        }
        for (int k = 0; k < 8; k++) {
            bool better = false;
            for (int i = 0; i < 9; i++) {
                const int column = i % 3 - 1, row = i / 3 - 1;
                const struct rab_point p = {best.x + step_x / 2 * column,
                                            best.y + step_y / 2 * row};
                const double here = room_at(outlines, count, p);
                if (here > most * (1 + 1e-9)) {
                    most = here;
                    best = p;
                    better = true;
                }
            }
            if (!better) {
                step_x /= 2;
                step_y /= 2;
            }
        }
    }
    *place = best;
    *room = most;
    return most > 0;
}
