/* The bed of the machine. */
#include "cli.h"

#include <stdlib.h>

const struct option option_bed = {
    "bed", 0, "WxH", false,
    "The machine's bed. Files then have its size, the sheet lies in its corner, and sheets with "
    "lines beyond it are refused."};
const struct option option_bed_margins = {
    "bed-margins", 0, "LEN,...", false,
    "What the machine cannot reach of its bed (of the sheet, without --bed) at the left, right, "
    "bottom and top; one length "
    "for all four."};
const struct option option_bed_corner = {"bed-corner", 0,
                                         "lower-left|lower-right|upper-left|upper-right", false,
                                         "The corner of the bed in which the sheet lies and the "
                                         "machine begins. lower-left unless given."};
static bool read_margins(const struct arguments *arguments, struct rab_bed *bed,
                         struct rab_error *err)
{
    double *margins = NULL;
    size_t count = 0;
    bool ok = option_lengths(arguments, "bed-margins", true, &margins, &count, err);

    if (ok && count > 0 && count != 1 && count != 4)
        ok = rab_fail(err, RAB_FAULT_INPUT,
                      "--bed-margins: give four lengths, for left, right, bottom and top, or one "
                      "for all of them, as in 1/4in,1/4in,1in,1in");
    if (ok && count > 0) {
        bed->left = margins[0];
        bed->right = margins[count == 4 ? 1 : 0];
        bed->bottom = margins[count == 4 ? 2 : 0];
        bed->top = margins[count == 4 ? 3 : 0];
    }
    free(margins);
    return ok;
}

bool read_bed(const struct arguments *arguments, struct rab_bed *bed, struct rab_error *err)
{
    int corner = (int)bed->corner;

    if (!option_size(arguments, "bed", &bed->width, &bed->height, err) ||
        !read_margins(arguments, bed, err) || !option_choice(arguments, "bed-corner", &corner, err))
        return false;
    bed->corner = (enum rab_bed_corner)corner;
    return true;
}

struct rab_bed mirrored_bed(const struct rab_bed *bed)
{
    static const enum rab_bed_corner other[] = {
        [RAB_BED_LOWER_LEFT] = RAB_BED_LOWER_RIGHT,
        [RAB_BED_LOWER_RIGHT] = RAB_BED_LOWER_LEFT,
        [RAB_BED_UPPER_LEFT] = RAB_BED_UPPER_RIGHT,
        [RAB_BED_UPPER_RIGHT] = RAB_BED_UPPER_LEFT,
    };
    struct rab_bed mirrored = *bed;

    mirrored.left = bed->right;
    mirrored.right = bed->left;
    mirrored.corner = other[bed->corner];
    return mirrored;
}

/* The worst side is told. */
bool check_reach(const struct rab_bed *bed, const struct rab_sheet *sheet, size_t number,
                 struct rab_error *err)
{
    static const char *const sides[] = {"left", "right", "bottom", "top"};
    static const double spare = 1e-6;
    const struct rab_box reach = rab_bed_reach(bed, sheet->width, sheet->height);
    struct rab_box box = RAB_BOX_EMPTY;
    struct rab_text over = {0};
    size_t worst = 0;

    if (reach.x0 >= reach.x1 || reach.y0 >= reach.y1)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the margins leave nothing of the machine's bed; give the size of the bed, "
                        "and smaller margins");
    if (sheet->count == 0)
        return true;
    for (size_t i = 0; i < sheet->count; i++)
        box = rab_box_join(box, rab_outline_box(&sheet->paths[i].outline));
    const double beyond[] = {reach.x0 - box.x0, box.x1 - reach.x1, reach.y0 - box.y0,
                             box.y1 - reach.y1};
    for (size_t i = 1; i < 4; i++)
        worst = beyond[i] > beyond[worst] ? i : worst;
    if (beyond[worst] <= spare)
        return true;
    rab_text_length(&over, beyond[worst], false, 16);
    if (rab_text_ok(&over, err))
        rab_fail(err, RAB_FAULT_GEOMETRY,
                 "the lines of sheet %zu go %s beyond the machine's reach at the %s; lay the "
                 "pieces further in or on smaller sheets, or cut what is too large by hand",
                 number, over.data, sides[worst]);
    rab_text_clear(&over);
    return false;
}

void move_to_bed(const struct rab_bed *bed, struct rab_sheet *sheet)
{
    const struct rab_box box = rab_bed_box(bed, sheet->width, sheet->height);

    for (size_t i = 0; i < sheet->count; i++)
        rab_outline_move(&sheet->paths[i].outline, -box.x0, -box.y0);
    sheet->width = box.x1 - box.x0;
    sheet->height = box.y1 - box.y0;
}
