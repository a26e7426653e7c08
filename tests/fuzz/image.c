/* Photos from any bytes: a size or a reason; then a page with the photo on it, whatever is in it.
 */
#include "rabbet/write.h"

#include <assert.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct rab_view view = {.width = 20, .height = 15, .dpi = 40, .colour = 0xFFFFFF};
    struct rab_vertex corners[] = {{0, 0, 0}, {20, 0, 0}, {20, 15, 0}, {0, 15, 0}};
    struct rab_outline outline = {.vertices = corners, .count = 4};
    size_t parent = RAB_NO_PARENT;
    const struct rab_region region = {&outline, &parent, 1};
    struct rab_error err = {0};
    struct rab_text png = {0};
    int width = 0, height = 0;

    if (rab_image_size(data, size, &width, &height, &err))
        assert(width > 0 && height > 0 && width <= 65535 && height <= 65535);
    else
        assert(err.fault == RAB_FAULT_INPUT && err.text[0]);

    /* large ones are only slow */
    if ((long long)width * height > 4000000)
        return 0;
    err = (struct rab_error){0};
    if (rab_view_image(&view, &region, (struct rab_box){0, 0, 20, 15}, data, size, 0, &err)) {
        if (!rab_view_png(&view, 1, &png, &err))
            abort();
    } else {
        assert(err.fault == RAB_FAULT_INPUT && err.text[0]);
    }
    rab_text_clear(&png);
    rab_view_clear(&view);
    return 0;
}
