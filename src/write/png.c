#include "page.h"

#include <math.h>
#include <string.h>

/* CRC-32 of a chunk's type and data: PNG 1.2, section 15 and its sample code's polynomial. */
static uint32_t chunk_crc(const unsigned char *bytes, size_t count)
{
    uint32_t crc = 0xFFFFFFFFU;

    for (size_t i = 0; i < count; i++) {
        crc ^= bytes[i];
        for (int k = 0; k < 8; k++)
            crc = crc & 1 ? crc >> 1 ^ 0xEDB88320U : crc >> 1;
    }
    return ~crc;
}

static void put_number(unsigned char *at, uint32_t number)
{
    for (int i = 0; i < 4; i++)
        at[i] = (unsigned char)(number >> (24 - 8 * i));
}

/* Physical size (PNG 1.2, section 4.2.4.2): dots per metre both ways, unit 1 the metre. */
static void add_physical_size(struct rab_text *text, uint32_t dots_per_metre)
{
    unsigned char chunk[21] = {0, 0, 0, 9, 'p', 'H', 'Y', 's'};

    put_number(chunk + 8, dots_per_metre);
    put_number(chunk + 12, dots_per_metre);
    chunk[16] = 1;
    put_number(chunk + 17, chunk_crc(chunk + 4, 13));
    rab_text_bytes(text, chunk, sizeof chunk);
}

static cairo_status_t take_bytes(void *context, const unsigned char *bytes, unsigned int count)
{
    struct rab_text *text = context;

    rab_text_bytes(text, bytes, count);
    return text->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

/* Cairo writes no physical size; it belongs before the first IDAT, so right after IHDR. */
static bool add_size(const struct rab_text *bare, uint32_t dots_per_metre, struct rab_text *out,
                     struct rab_error *err)
{
    const size_t head = 8 + 25; /* signature; IHDR's length, type, 13 bytes, CRC */

    rab_text_bytes(out, bare->data, head);
    add_physical_size(out, dots_per_metre);
    rab_text_bytes(out, bare->data + head, bare->length - head);
    return rab_text_ok(out, err);
}

bool rab_picture_png(const struct rab_picture *picture, double dpi, struct rab_text *out,
                     struct rab_error *err)
{
    struct page page = {0};
    struct rab_text bare = {0}, text = {0};
    cairo_surface_t *surface = NULL;
    cairo_t *cr = NULL;
    int across, down;
    bool ok = false;

    if (!page_plan(picture, dpi, &page, err))
        return false;
    page_dots(&page, &across, &down);
    surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, across, down);
    cr = cairo_create(surface);
    cairo_scale(cr, page.scale, page.scale);
    if (!page_draw(&page, cr, err))
        goto done;
    cairo_surface_flush(surface);
    if (cairo_status(cr) != CAIRO_STATUS_SUCCESS ||
        cairo_surface_write_to_png_stream(surface, take_bytes, &bare) != CAIRO_STATUS_SUCCESS) {
        rab_fail_memory(err); /* the only way in which drawing into memory goes wrong */
        goto done;
    }
    if (!add_size(&bare, (uint32_t)round(page.scale * 1000), &text, err))
        goto done;
    rab_text_clear(out);
    *out = text;
    text = (struct rab_text){0};
    ok = true;
done:
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    page_clear(&page);
    rab_text_clear(&bare);
    rab_text_clear(&text);
    return ok;
}
