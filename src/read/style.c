#include "read/style.h"

#include <math.h>
#include <string.h>

static struct slice value_of(const struct cascade *cascade, enum key key)
{
    return cascade->of[key].value;
}

/* Values that mean the parent's; and those that mean the initial one. */
static bool is_inherit(struct slice value)
{
    return slice_is(value, "inherit");
}

static bool is_initial(struct slice value)
{
    return slice_is(value, "initial") || slice_is(value, "revert") || slice_is(value, "revert-layer");
}

/* Whether a paint paints. A colour that is none of CSS's forms leaves the inherited paint. */
static void compute_paint(struct slice value, bool inherited, bool initial, bool *paints,
                          bool *server)
{
    if (!value.text || is_inherit(value) || slice_is(value, "unset")) {
        *paints = inherited;
        return;
    }
    *server = false;
    if (is_initial(value)) {
        *paints = initial;
    } else if (slice_is(value, "none") || slice_is(value, "transparent")) {
        *paints = false;
    } else if (slice_begins(value, "url(")) {
        *paints = true;
        *server = true;
    } else if (value.length > 0 && (value.text[0] == '#' || memchr(value.text, '(', value.length) ||
                                    ((value.text[0] | 0x20) >= 'a' && (value.text[0] | 0x20) <= 'z'))) {
        *paints = true;
    } else {
        *paints = inherited;
    }
}

static double compute_font(struct slice value, double parent, double root)
{
    static const struct {
        const char *name;
        double size;
    } words[] = {
        {"xx-small", 9}, {"x-small", 10}, {"small", 13},    {"medium", 16},
        {"large", 18},   {"x-large", 24}, {"xx-large", 32},
    };
    struct length_base base = {.font = parent, .root_font = root};
    struct length length;
    double size;

    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (slice_is(value, words[i].name))
            return words[i].size;
    if (slice_is(value, "smaller"))
        return parent / 1.2;
    if (slice_is(value, "larger"))
        return parent * 1.2;
    if (is_initial(value))
        return 16;
    /* A size that cannot be read is ignored, as CSS wants it. */
    if (!length_read(value, "", 0, &length, NULL))
        return parent;
    if (length.unit == LENGTH_PERCENT)
        size = length.value / 100 * parent;
    else if (!length_resolve(length, AXIS_X, &base, "", 0, &size, NULL))
        return parent;
    return size > 0 && size <= NUMBER_LIMIT ? size : parent;
}

struct style style_compute(const struct cascade *cascade, const struct style *parent,
                           double root_font, bool *shown)
{
    struct style style = *parent;
    struct slice value = value_of(cascade, KEY_DISPLAY);

    *shown = !(value.text && slice_is(value, "none"));
    value = value_of(cascade, KEY_VISIBILITY);
    if (value.text && (slice_is(value, "hidden") || slice_is(value, "collapse")))
        style.visible = false;
    else if (value.text && (slice_is(value, "visible") || is_initial(value)))
        style.visible = true;
    value = value_of(cascade, KEY_FILL_RULE);
    if (value.text && slice_is(value, "evenodd"))
        style.rule = STYLE_EVENODD;
    else if (value.text && (slice_is(value, "nonzero") || is_initial(value)))
        style.rule = STYLE_NONZERO;
    compute_paint(value_of(cascade, KEY_FILL), parent->filled, true, &style.filled, &style.server);
    {
        bool server = false;
        compute_paint(value_of(cascade, KEY_STROKE), parent->stroked, false, &style.stroked,
                      &server);
    }
    value = value_of(cascade, KEY_FONT_SIZE);
    if (value.text)
        style.font = compute_font(value, parent->font, root_font);
    return style;
}
