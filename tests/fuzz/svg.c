/* SVG drawings from any bytes: see drawing.h. */
#include "drawing.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    check_reading(rab_svg_read, data, size);
    return 0;
}
