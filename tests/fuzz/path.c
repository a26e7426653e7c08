/* The small languages inside a drawing, from any bytes: path data, points, transforms, lengths, view boxes,
 * style sheets and style attributes. What is read is finite, and a path hangs together. */
#include "read/path.h"
#include "read/style.h"
#include "read/viewport.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void insist(bool truth)
{
    if (!truth)
        abort();
}

static bool is_near(struct rab_point a, struct rab_point b, double size)
{
    return hypot(a.x - b.x, a.y - b.y) <= 1e-9 * (1 + size);
}

/* How large the numbers of a curve are, by which its ends are rounded. */
static double size_of(const struct rab_curve *curve)
{
    double size = 0;

    for (int i = 0; i < 4; i++)
        size = fmax(size, hypot(curve->p[i].x, curve->p[i].y));
    return size;
}

static bool check_subpath(void *context, const struct rab_curve *curves, size_t count, bool closed,
                          struct rab_error *err)
{
    (void)context;
    (void)closed;
    (void)err;
    insist(count > 0);
    for (size_t i = 0; i < count; i++) {
        for (int k = 0; k < 4; k++)
            insist(isfinite(curves[i].p[k].x) && isfinite(curves[i].p[k].y));
        insist(isfinite(curves[i].from) && isfinite(curves[i].to));
        if (i > 0)
            insist(is_near(rab_curve_end(&curves[i - 1]), rab_curve_start(&curves[i]),
                           size_of(&curves[i - 1]) + size_of(&curves[i])));
    }
    return true;
}

static void check_paths(struct slice text)
{
    struct path_sink sink = {.subpath = check_subpath, .line = 1, .segments = 100000};
    struct rab_error err = {0};

    insist(path_read(text, &sink, &err) || err.fault == RAB_FAULT_INPUT);
    sink.segments = 100000;
    err = (struct rab_error){0};
    insist(points_read(text, true, &sink, &err) || err.fault == RAB_FAULT_INPUT);
}

static void check_values(const char *words)
{
    struct slice text = slice_of(words);
    struct length_base base = {300, 400, 1000, 800, 20, 16};
    struct matrix matrix;
    struct length length;
    struct view_box box;
    double value = 0;

    for (int css = 0; css < 2; css++) {
        struct rab_error err = {0};
        insist(transform_read(text, css, 1, &matrix, &err) || err.fault == RAB_FAULT_INPUT);
    }
    if (length_read(text, "x", 1, &length, NULL)) {
        insist(length_resolve(length, AXIS_BOTH, &base, "x", 1, &value, NULL));
        insist(isfinite(value));
    }
    if (view_box_read(words, 1, &box, NULL)) {
        insist(box.width > 0 && box.height > 0);
        insist(viewport_fit(&box, 100, 50, NULL, 1, &matrix, NULL));
    }
    box = (struct view_box){0, 0, 10, 10};
    if (viewport_fit(&box, 100, 50, words, 1, &matrix, NULL))
        insist(matrix.a >= 5 && matrix.a <= 10 && matrix.d >= 5 && matrix.d <= 10);
}

/* The bytes as the style sheet, and as the style attribute, of a small tree. */
static void check_styles(char *words, size_t size)
{
    struct attribute attributes[] = {{KEY_CLASS, 3, "a b"},
                                     {KEY_ID, 1, "c"},
                                     {KEY_STYLE, (uint32_t)size, words}};
    struct node nodes[] = {
        {.parent = NO_NODE, .first = 1, .last = 2, .next = NO_NODE, .tag = TAG_SVG, .name = "svg"},
        {.parent = 0, .first = NO_NODE, .last = NO_NODE, .next = 2, .tag = TAG_STYLE, .name = "style"},
        {.parent = 0, .first = NO_NODE, .last = NO_NODE, .next = NO_NODE, .tag = TAG_PATH, .name = "path"},
    };
    struct tree tree = {.nodes = nodes, .count = 3, .attributes = attributes, .attribute_count = 3};
    struct sheet sheet = {0};
    struct cascade cascade;
    struct style initial = STYLE_INITIAL, style;
    struct rab_warnings notes = {0};
    bool shown;

    blank_comments(words);
    nodes[1].content = words;
    nodes[2].attribute_count = 3;
    insist(sheet_read(&sheet, &tree, &notes, NULL));
    insist(notes.count <= 1);
    if (cascade_make(&sheet, &tree, 2, &cascade, NULL)) {
        style = style_compute(&cascade, &initial, 16, &shown);
        insist(isfinite(style.font) && style.font > 0);
    }
    sheet_clear(&sheet);
    rab_warnings_clear(&notes);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *words = malloc(size + 1);

    if (!words)
        abort();
    if (size > 0)
        memcpy(words, data, size);
    words[size] = '\0';
    check_paths((struct slice){(const char *)data, size});
    check_values(words);
    check_styles(words, strlen(words));
    free(words);
    return 0;
}
