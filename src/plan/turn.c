#include "rabbet/plan.h"

void rab_outline_turn_over(struct rab_outline *outline, enum rab_turn how, double width,
                           double height)
{
    rab_outline_mirror(outline, width / 2);
    if (how != RAB_TURN_OVER)
        return;
    /* half a turn: exact, where an angle would not be */
    for (size_t i = 0; i < outline->count; i++) {
        outline->vertices[i].x = width - outline->vertices[i].x;
        outline->vertices[i].y = height - outline->vertices[i].y;
    }
}
