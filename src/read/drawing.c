#include "read/dxf_cursor.h"
#include "read/options.h"
#include "read/subpath.h"

#include <string.h>

bool options_check(const struct rab_read_options *options, struct rab_error *err)
{
    if (!options)
        return true;
    if (!(options->tolerance >= 0) || options->tolerance > FARTHEST)
        return rab_fail(err, RAB_FAULT_INPUT, "the tolerance must be 0 or more");
    if (!(options->width >= 0) || options->width > FARTHEST)
        return rab_fail(err, RAB_FAULT_INPUT, "the true width must be between 0 and a kilometre");
    return true;
}

/* The binary form begins with a sentence that ends in these words. */
static bool is_binary_dxf(const char *bytes, size_t length)
{
    static const char words[] = " Binary DXF\r\n\x1A";
    const size_t size = sizeof words - 1;

    for (size_t i = 0; i + size <= length && i < 16; i++)
        if (memcmp(bytes + i, words, size) == 0)
            return true;
    return false;
}

bool rab_drawing_read(const char *bytes, size_t length, const struct rab_read_options *options,
                      struct rab_drawing *out, struct rab_warnings *notes, struct rab_error *err)
{
    if (is_binary_dxf(bytes, length))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the file is a binary DXF; save it as a text (ASCII) DXF");
    return dxf_looks_like(bytes, length) ? rab_dxf_read(bytes, length, options, out, notes, err)
                                         : rab_svg_read(bytes, length, options, out, notes, err);
}
