/* The machine's bed, and where a sheet lies on it. */
#include "rabbet/plan.h"

#include <math.h>

static bool at_right(const struct rab_bed *bed)
{
    return bed->corner == RAB_BED_LOWER_RIGHT || bed->corner == RAB_BED_UPPER_RIGHT;
}

static bool at_top(const struct rab_bed *bed)
{
    return bed->corner == RAB_BED_UPPER_LEFT || bed->corner == RAB_BED_UPPER_RIGHT;
}

struct rab_box rab_bed_box(const struct rab_bed *bed, double width, double height)
{
    const double bed_w = bed->width > 0 ? bed->width : width;
    const double bed_h = bed->height > 0 ? bed->height : height;
    const double x = at_right(bed) ? width - bed_w : 0, y = at_top(bed) ? height - bed_h : 0;

    return (struct rab_box){x, y, x + bed_w, y + bed_h};
}

struct rab_box rab_bed_reach(const struct rab_bed *bed, double width, double height)
{
    const struct rab_box box = rab_bed_box(bed, width, height);
    const bool right = at_right(bed), upper = at_top(bed);

    return (struct rab_box){
        bed->left > 0 || (right && bed->width > 0) ? box.x0 + bed->left : -HUGE_VAL,
        bed->bottom > 0 || (upper && bed->height > 0) ? box.y0 + bed->bottom : -HUGE_VAL,
        bed->right > 0 || (!right && bed->width > 0) ? box.x1 - bed->right : HUGE_VAL,
        bed->top > 0 || (!upper && bed->height > 0) ? box.y1 - bed->top : HUGE_VAL};
}

struct rab_box rab_bed_room(const struct rab_bed *bed, double width, double height, double kerf)
{
    const struct rab_box reach = rab_bed_reach(bed, width, height);

    return (struct rab_box){fmax(0, reach.x0 + kerf / 2), fmax(0, reach.y0 + kerf / 2),
                            fmin(width, reach.x1 - kerf / 2), fmin(height, reach.y1 - kerf / 2)};
}

struct rab_point rab_bed_home(const struct rab_bed *bed, double width, double height)
{
    return (struct rab_point){at_right(bed) ? width : 0, at_top(bed) ? height : 0};
}
