#include "read/decode.h"
#include "read/options.h"
#include "read/reader.h"
#include "read/subpath.h"
#include "read/viewport.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double px = 25.4 / 96; /* CSS 2.1, 4.3.2 */

/* ---- the page ---- */

/* How a width or height of the root is stated. */
enum stated { STATED_NOT, STATED_PX, STATED_MM };

struct page {
    double width, height; /* in mm; 0 while unknown */
    enum stated stated;   /* the better of the two sides */
    struct view_box box;
    const char *aspect;
    int line;
};

static bool page_side(const struct reader *reader, const struct cascade *cascade, enum key key,
                      double *mm, enum stated *stated)
{
    int line = reader->tree->nodes[0].line;
    struct slice value = cascade->of[key].value;
    struct length length;

    *mm = 0;
    *stated = STATED_NOT;
    if (!value.text)
        return true;
    if (!length_read(value, key_name(key), line, &length, reader->err))
        return false;
    if (length.value < 0 || (length.value == 0 && length.unit != LENGTH_AUTO))
        return rab_fail_line(reader->err, RAB_FAULT_INPUT, line,
                             "%s of the page is %s; it must be more than 0", key_name(key),
                             length.value < 0 ? "negative" : "0");
    switch (length.unit) {
    case LENGTH_AUTO:
    case LENGTH_PERCENT: /* of a window that nobody knows */
    case LENGTH_VW:
    case LENGTH_VH:
    case LENGTH_VMIN:
    case LENGTH_VMAX:
        return true;
    default:
        break;
    }
    *stated = STATED_MM;
    if (length_physical(length, mm))
        return true;
    *stated = STATED_PX;
    if (!length_resolve(length, AXIS_X, &reader->page, key_name(key), line, mm, reader->err))
        return false;
    *mm *= px;
    return true;
}

/* Sides that are not stated follow from the view box: from its shape when the other side is stated,
 * else from its size in px. */
static bool read_page(const struct reader *reader, const struct cascade *cascade, struct page *page)
{
    enum stated width, height;
    const struct view_box *box = &page->box;

    page->line = reader->tree->nodes[0].line;
    page->aspect = tree_attribute(reader->tree, 0, KEY_ASPECT);
    if (!page_side(reader, cascade, KEY_WIDTH, &page->width, &width) ||
        !page_side(reader, cascade, KEY_HEIGHT, &page->height, &height) ||
        !view_box_read(tree_attribute(reader->tree, 0, KEY_VIEW_BOX), page->line, &page->box,
                       reader->err))
        return false;
    page->stated = width > height ? width : height;
    if (box->width > 0) {
        if (width == STATED_NOT && height == STATED_NOT) {
            page->width = box->width * px;
            page->height = box->height * px;
        } else if (width == STATED_NOT) {
            page->width = page->height * box->width / box->height;
        } else if (height == STATED_NOT) {
            page->height = page->width * box->height / box->width;
        }
    }
    return true;
}

static bool tell_page(const struct page *page, double width, double height,
                      struct rab_warnings *notes, struct rab_error *err)
{
    struct rab_text size = {0};
    bool ok;

    if (page->stated == STATED_MM)
        return true;
    rab_text_fixed(&size, width, 2);
    rab_text_add(&size, " x ");
    rab_text_fixed(&size, height, 2);
    ok = rab_text_ok(&size, err) &&
         rab_warn(notes, err, "size", page->line,
                  "the drawing %s; at 96 px to the inch its page is %s mm: check the size, or give "
                  "the true width",
                  page->stated == STATED_PX ? "states its size in px only" : "states no size",
                  size.data);
    rab_text_clear(&size);
    return ok;
}

/* ---- remarks ---- */

bool remarks_tell(const struct reader *reader, struct rab_warnings *notes, struct rab_error *err)
{
    static const struct {
        const char *code, *text;
    } told[REMARK_COUNT] = {
        [REMARK_TEXT] = {"text", "is not read: letters are no outlines; convert them to paths"},
        [REMARK_IMAGE] = {"image", "is not read: a picture has no outlines"},
        [REMARK_FOREIGN] = {"foreign", "is not read: it is not SVG"},
        [REMARK_UNKNOWN] = {"unknown", "is not known to SVG; it and what is in it are not read"},
        [REMARK_CLIP] = {"clip", "is clipped, but is read whole; cut it off in the drawing"},
        [REMARK_MASK] = {"mask", "is masked, but is read whole; cut it off in the drawing"},
        [REMARK_MARKER] = {"marker", "has markers, which are not read; convert them to paths"},
        [REMARK_SERVER] = {"gradient", "has a gradient or pattern; all of it counts as filled"},
        [REMARK_OPACITY] = {"opacity", "is wholly transparent, but is read all the same"},
        [REMARK_NOTHING] = {"nothing", "is scaled to nothing and left out"},
        [REMARK_USE] = {"use", "names no element to show and is left out"},
    };

    for (int i = 0; i < REMARK_COUNT; i++) {
        const struct remark *r = &reader->remarks[i];
        struct quote name;
        bool ok;

        if (r->count == 0)
            continue;
        name = quote_text(r->element, strlen(r->element));
        if (r->count == 1)
            ok = rab_warn(notes, err, told[i].code, r->line, "the %s element %s", name.text,
                          told[i].text);
        else
            ok = rab_warn(notes, err, told[i].code, r->line,
                          "the %s element (and %zu more like it) %s", name.text, r->count - 1,
                          told[i].text);
        if (!ok)
            return false;
    }
    return true;
}

/* ---- the walk ---- */

/* User units of the root to millimetres, y up, all larger by `factor`. */
static bool page_matrix(const struct page *page, double factor, struct matrix *out,
                        struct rab_error *err)
{
    struct matrix fit = {px, 0, 0, px, 0, 0};

    if (page->box.width > 0 && !viewport_fit(&page->box, page->width, page->height, page->aspect,
                                             page->line, &fit, err))
        return false;
    *out = (struct matrix){fit.a * factor,  fit.b * -factor, fit.c * factor, fit.d * -factor,
                           fit.e * factor, (page->height - fit.f) * factor};
    return true;
}

static bool make_root(struct reader *reader, const struct page *page, double factor,
                      struct frame *root)
{
    struct cascade cascade;
    struct style initial = STYLE_INITIAL;
    const struct declared *transform = &cascade.of[KEY_TRANSFORM];
    struct matrix moved;
    bool displayed;

    if (!cascade_make(reader->sheet, reader->tree, 0, &cascade, reader->err) ||
        !page_matrix(page, factor, &root->matrix, reader->err))
        return false;
    root->node = 0;
    root->style = style_compute(&cascade, &initial, 16, &displayed);
    root->child = displayed ? reader->tree->nodes[0].first : NO_NODE;
    root->width = page->box.width > 0 ? page->box.width : page->width / px;
    root->height = page->box.width > 0 ? page->box.height : page->height / px;
    if (root->width <= 0 || root->height <= 0)
        root->width = root->height = 0;
    reader->page.root_font = root->style.font;
    reader->page.page_width = page->width / px;
    reader->page.page_height = page->height / px;
    if (!transform->value.text)
        return true;
    if (!transform_read(transform->value, transform->css, page->line, &moved, reader->err))
        return false;
    if (moved.a == 1 && moved.b == 0 && moved.c == 0 && moved.d == 1 && moved.e == 0 && moved.f == 0)
        return true;
    return rab_fail_line(reader->err, RAB_FAULT_INPUT, page->line,
                         "programs do not agree on a transform of the outermost svg element; put "
                         "it on a g element inside");
}

static bool walk(struct reader *reader, const struct page *page, double factor,
                 const struct rab_read_options *options)
{
    static const size_t usual_amount = 1000000;
    struct frame root = {0};

    reader->shown = reader->work = 0;
    reader->elements = options && options->elements ? options->elements : usual_amount;
    reader->segments = options && options->segments ? options->segments : usual_amount;
    memset(reader->remarks, 0, sizeof reader->remarks);
    return make_root(reader, page, factor, &root) && walk_drawing(reader, &root);
}

/* By how much all is to be enlarged so that what is drawn has its true width. */
static bool find_factor(struct reader *reader, const struct page *page,
                        const struct rab_read_options *options, double *factor)
{
    double width;

    *factor = 1;
    if (!options || options->width <= 0)
        return true;
    reader->measuring = true;
    reader->box = RAB_BOX_EMPTY;
    if (!walk(reader, page, 1, options))
        return false;
    reader->measuring = false;
    width = reader->box.x1 - reader->box.x0;
    if (!(width > 0) || !isfinite(options->width / width))
        return rab_fail(reader->err, RAB_FAULT_INPUT,
                        "nothing in the drawing has a width that could be made the true one");
    *factor = options->width / width;
    return true;
}

/* ---- the result ---- */

static const size_t title_shown = 250;

static bool read_title(const struct tree *tree, char **out, struct rab_error *err)
{
    for (uint32_t i = tree->nodes[0].first; i != NO_NODE; i = tree->nodes[i].next) {
        struct slice text;

        if (tree->nodes[i].tag != TAG_TITLE || !tree->nodes[i].content)
            continue;
        text = slice_trim(slice_of(tree->nodes[i].content));
        if (text.length == 0)
            return true;
        /* Long enough for any title, and cut between characters. */
        if (text.length > title_shown)
            for (text.length = title_shown; ((unsigned char)text.text[text.length] & 0xC0) == 0x80;)
                text.length--;
        *out = calloc(text.length + 1, 1);
        if (!*out)
            return rab_fail_memory(err);
        memcpy(*out, text.text, text.length);
        return true;
    }
    return true;
}

/* A page without a size is as large as what is drawn; it reaches from the origin at least. */
static void find_page(struct rab_drawing *drawing)
{
    struct rab_box box = {0, 0, 0, 0};

    for (size_t i = 0; i < drawing->count; i++)
        for (size_t k = 0; k < drawing->items[i].count; k++)
            box = rab_box_join(box, rab_outline_box(&drawing->items[i].outlines[k]));
    for (size_t i = 0; i < drawing->count; i++)
        for (size_t k = 0; k < drawing->items[i].count; k++)
            rab_outline_move(&drawing->items[i].outlines[k], -box.x0, -box.y0);
    drawing->width = box.x1 - box.x0;
    drawing->height = box.y1 - box.y0;
}

static bool read_tree(const struct tree *tree, const struct rab_read_options *options,
                      struct rab_drawing *made, struct rab_warnings *notes, struct rab_error *err)
{
    static const double usual_tolerance = 0.01;
    struct sheet sheet = {0};
    struct reader reader = {.tree = tree,
                            .sheet = &sheet,
                            .page = {.font = 16, .root_font = 16},
                            .drawing = made,
                            .err = err};
    struct cascade cascade;
    struct page page = {0};
    double factor;
    bool ok = false;

    reader.tolerance = options && options->tolerance > 0 ? options->tolerance : usual_tolerance;
    reader.active = malloc(tree->count);
    if (!reader.active) {
        rab_fail_memory(err);
        goto done;
    }
    if (!sheet_read(&sheet, tree, notes, err) || !cascade_make(&sheet, tree, 0, &cascade, err) ||
        !read_page(&reader, &cascade, &page) || !find_factor(&reader, &page, options, &factor) ||
        !walk(&reader, &page, factor, options) || !read_title(tree, &made->title, err))
        goto done;
    made->width = page.width * factor;
    made->height = page.height * factor;
    if (made->width <= 0 || made->height <= 0)
        find_page(made);
    made->size_known = page.stated == STATED_MM || (options && options->width > 0);
    if (!made->size_known && made->count > 0 &&
        !tell_page(&page, made->width, made->height, notes, err))
        goto done;
    if (!remarks_tell(&reader, notes, err))
        goto done;
    ok = true;
done:
    free(reader.active);
    free(reader.frames);
    sheet_clear(&sheet);
    return ok;
}

bool rab_svg_read(const char *bytes, size_t length, const struct rab_read_options *options,
                  struct rab_drawing *out, struct rab_warnings *notes, struct rab_error *err)
{
    size_t elements = options && options->elements ? options->elements : 1000000;
    struct rab_text text = {0};
    struct tree tree = {0};
    struct rab_drawing made = {0};
    bool ok = false;

    if (!options_check(options, err) || !decode_drawing(bytes, length, &text, notes, err) ||
        !tree_read(&text, elements, &tree, notes, err))
        goto done;
    rab_text_clear(&text);
    if (!read_tree(&tree, options, &made, notes, err))
        goto done;
    if (made.count == 0) {
        rab_fail(err, RAB_FAULT_INPUT,
                 "the drawing shows no outline; give one with paths or shapes that are displayed");
        goto done;
    }
    *out = made;
    made = (struct rab_drawing){0};
    ok = true;
done:
    rab_drawing_clear(&made);
    tree_clear(&tree);
    rab_text_clear(&text);
    return ok;
}
