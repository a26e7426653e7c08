#include "frames.h"

#include <criterion/criterion.h>

struct rab_frame frame_of(const struct shapes *drawn)
{
    struct rab_region paper = {0};
    struct rab_frame frame = {0};
    struct rab_error err = {0};

    cr_assert(rab_region_fill(drawn->items, drawn->count, RAB_FILL_EVENODD, &paper, &err), "%s",
              err.text);
    cr_assert(rab_frame_from_region(&paper, &frame, NULL, &err), "%s", err.text);
    rab_region_clear(&paper);
    return frame;
}

const struct rab_opening *opening_at(const struct rab_frame *frame, double x, double y)
{
    for (size_t i = 0; i < frame->count; i++)
        if (rab_outline_winding(&frame->openings[i].outline, (struct rab_point){x, y}) != 0)
            return &frame->openings[i];
    return NULL;
}

int number_at(const struct rab_frame *frame, double x, double y)
{
    const struct rab_opening *opening = opening_at(frame, x, y);

    return opening ? opening->number : 0;
}
