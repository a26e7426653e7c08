/* A square whose size is known, so that a wrong scale on import is seen before paper is cut. */
#include "cli.h"

#include <math.h>
#include <stdlib.h>

const struct option option_scale_check = {
    "scale-check", 0, NULL, false,
    "Draw a square of 25 mm and the sheet's true size where there is room, for a pen, so that "
    "a wrong size on import is seen before paper is cut."};

/* Millimetres. */
static const double side = 25, inset = 5, letters = 3;

static bool is_free(const struct rab_box *boxes, size_t count, struct rab_box box)
{
    for (size_t i = 0; i < count; i++)
        if (boxes[i].x0 <= box.x1 && boxes[i].x1 >= box.x0 && boxes[i].y0 <= box.y1 &&
            boxes[i].y1 >= box.y0)
            return false;
    return true;
}

/* Where the square and its words lie across nothing: the first place from the lower left on.
 * However large the sheet, some thousand places are tried. */
static bool find_free(const struct rab_sheet *sheet, struct rab_box within, double width,
                      struct rab_point *at, bool *found, struct rab_error *err)
{
    enum { PLACES = 64 }; /* across, and from the foot to the top */
    const double step_x = fmax(5, (within.x1 - within.x0) / PLACES);
    const double step_y = fmax(5, (within.y1 - within.y0) / PLACES);
    struct rab_box *boxes = calloc(sheet->count + 1, sizeof *boxes);

    if (!boxes)
        return rab_fail_memory(err);
    for (size_t i = 0; i < sheet->count; i++)
        boxes[i] = rab_outline_box(&sheet->paths[i].outline);
    *found = false;
    for (int row = 0; row < PLACES && !*found; row++)
        for (int column = 0; column < PLACES && !*found; column++) {
            const double x = within.x0 + step_x * column, y = within.y0 + step_y * row;
            *found = x + width <= within.x1 && y + side <= within.y1 &&
                     is_free(boxes, sheet->count, (struct rab_box){x, y, x + width, y + side});
            if (*found)
                *at = (struct rab_point){x, y};
        }
    free(boxes);
    return true;
}

bool add_scale_check(struct arguments *arguments, struct rab_sheet *sheet, struct rab_error *err)
{
    const struct rab_box room =
        rab_bed_room(&arguments->cutter.bed, sheet->width, sheet->height, 0);
    const struct rab_box within = {room.x0 + inset, room.y0 + inset, room.x1 - inset,
                                   room.y1 - inset};
    struct rab_point at = {within.x0, within.y0};
    struct rab_outline square = {0};
    struct rab_lines lines = {0};
    struct rab_text words = {0};
    bool found = false, ok = false;

    rab_text_add(&words, "25 MM, SHEET ");
    rab_text_size(&words, sheet->width, sheet->height, false, 16);
    if (!rab_text_ok(&words, err))
        goto done;
    const double beside = side + letters;
    if (!find_free(sheet, within, beside + rab_letters_width(words.data, letters), &at, &found,
                   err) ||
        (!found &&
         !rab_warn(&arguments->warnings, err, "scale-check", 0,
                   "there is no room for the scale check beside the pieces: it lies across them; "
                   "leave its layer out when you draw")))
        goto done;
    if (!rab_outline_rectangle((struct rab_box){at.x, at.y, at.x + side, at.y + side}, 0, &square,
                               err) ||
        !rab_letters_draw(words.data, (struct rab_point){at.x + beside, at.y}, letters, &lines,
                          err) ||
        !rab_sheet_add(sheet, RAB_DRAW, 0, &square, err))
        goto done;
    for (size_t i = 0; i < lines.count; i++)
        if (!rab_sheet_add(sheet, RAB_DRAW, 0, &lines.items[i], err))
            goto done;
    ok = true;
done:
    rab_lines_clear(&lines);
    rab_outline_clear(&square);
    rab_text_clear(&words);
    return ok;
}
