#include "job/language.h"

#include "shape/nearest.h"

#include <stdio.h>
#include <string.h>

static const char *const units[] = {"mm", "cm", "in", "pt", NULL};
static const char *const printed[] = {"none", "one", "both", NULL};
static const char *const turning[] = {"any", "half", "none", NULL};
static const char *const page_sides[] = {"left", "right", NULL};
static const char *const tools[] = {"trimmer", "cutter", "hand", NULL};
static const char *const forms[] = {"grown", "simple", NULL};
static const char *const yes_no[] = {"no", "yes", NULL};
static const char *const ends[] = {"whole", "half", "valley", NULL};
static const char *const sides[] = {"one", "both", "apart", NULL};
static const char *const bed_corners[] = {"lower-left", "lower-right", "upper-left", "upper-right",
                                          NULL};
static const char *const aligned[] = {"left", "centre", "right", NULL};

/* clang-format off */
#define IN(type, field) .at = offsetof(struct rab_##type, field)
#define LIST(type, field, number) IN(type, field), .count_at = offsetof(struct rab_##type, number)
#define NEEDS(name, kind, ...) {name, KIND_##kind, true, __VA_ARGS__}
#define MAY(name, kind, ...) {name, KIND_##kind, false, __VA_ARGS__}
#define FROM(from, to) .least = (from), .most = (to)
#define WORDS(list) .words = (list)

#define SIZE(type) NEEDS("width", ABOVE, IN(type, width)), NEEDS("height", ABOVE, IN(type, height))
#define PAPER(type) NEEDS("paper", PAPER, IN(type, paper))
#define SHARED MAY("name", NAME, IN(item, name)), \
    MAY("raised", COUNT, IN(item, raised), FROM(0, 20)), \
    MAY("cut", WORD, IN(item, tool), FROM(RAB_TOOL_TRIMMER, 0), WORDS(tools))
#define PLACED SHARED, MAY("x", PLACE, IN(item, x)), MAY("right", PLACE, IN(item, right)), \
    MAY("y", PLACE, IN(item, y)), MAY("top", PLACE, IN(item, top))
#define WISH(name, field) MAY(name, WORD, IN(job, files.field), FROM(RAB_WISH_NO, 0), WORDS(yes_no))
#define PANEL PAPER(item), SIZE(item), MAY("hidden-centre", ABOVE, IN(item, hidden_centre))
#define PRINT MAY("crop-left", LENGTH, IN(item, crop_left)), \
    MAY("crop-right", LENGTH, IN(item, crop_right)), \
    MAY("crop-top", LENGTH, IN(item, crop_top)), \
    MAY("crop-bottom", LENGTH, IN(item, crop_bottom)), MAY("image", PATH, IN(item, image)), \
    MAY("pixels", PIXELS, LIST(item, pixel_width, pixel_height)), MAY("colour", SHADE, IN(item, colour))

#define ITEMS(type) {offsetof(struct rab_##type, items), offsetof(struct rab_##type, item_count), \
    sizeof(struct rab_item)}
#define MANY(type, field, number, each) {offsetof(struct rab_##type, field), \
    offsetof(struct rab_##type, number), sizeof(each)}
#define NO_LIST {NOWHERE, NOWHERE, 0}

static const struct language_element elements[] = {
    {"job", PART_JOB, HOLDS_ROOT, HOLDS_JOB, RULE_WHOLE, 0, NO_LIST,
     {NEEDS("units", WORD, .at = NOWHERE, WORDS(units)), MAY("title", LINE, IN(job, title)),
      MAY("kits", COUNT, IN(job, kits), FROM(1, 1000)), MAY("spare", PERCENT, IN(job, spare))}},
    {"paper", PART_PAPER, HOLDS_JOB, HOLDS_OFFCUTS, RULE_NONE, 0,
     MANY(job, papers, paper_count, struct rab_paper),
     {NEEDS("name", NAME, IN(paper, name)), NEEDS("colour", COLOUR, IN(paper, colour)),
      MAY("back", COLOUR, IN(paper, back)), MAY("printed", WORD, IN(paper, printed), WORDS(printed)),
      MAY("turn", WORD, IN(paper, turning), WORDS(turning)), MAY("width", ABOVE, IN(paper, width)),
      MAY("height", ABOVE, IN(paper, height)), MAY("sheets", COUNT, IN(paper, sheets), FROM(1, 10000)),
      MAY("thickness", ABOVE, IN(paper, thickness))}},
    {"offcut", PART_OFFCUT, HOLDS_OFFCUTS, HOLDS_NOTHING, RULE_NONE, 0,
     MANY(paper, offcuts, offcut_count, struct rab_stock),
     {SIZE(stock), MAY("count", COUNT, IN(stock, count), FROM(1, 10000))}},
    {"trimmer", PART_TRIMMER, HOLDS_JOB, HOLDS_NOTHING, RULE_NONE, 0, NO_LIST, {{0}}},
    {"cutter", PART_CUTTER, HOLDS_JOB, HOLDS_NOTHING, RULE_NONE, 0, NO_LIST,
     {MAY("kerf", LENGTH, IN(job, kerf)), MAY("bed-width", ABOVE, IN(job, bed.width)),
      MAY("bed-height", ABOVE, IN(job, bed.height)), MAY("margin-left", LENGTH, IN(job, bed.left)),
      MAY("margin-right", LENGTH, IN(job, bed.right)), MAY("margin-bottom", LENGTH, IN(job, bed.bottom)),
      MAY("margin-top", LENGTH, IN(job, bed.top)),
      MAY("corner", WORD, IN(job, bed.corner), WORDS(bed_corners))}},
    {"files", PART_FILES, HOLDS_JOB, HOLDS_NOTHING, RULE_NONE, 0, NO_LIST,
     {WISH("svg", svg), WISH("dxf", dxf), WISH("pdf", pdf), WISH("plt", plt), WISH("pages", pages),
      WISH("plans", plans), WISH("texts", texts)}},
    {"page", PART_PAGE, HOLDS_JOB, HOLDS_ITEMS, RULE_NONE, 0, NO_LIST,
     {NEEDS("side", WORD, .at = NOWHERE, WORDS(page_sides)), PAPER(page),
      MAY("width", ABOVE, IN(page, width)), MAY("height", ABOVE, IN(page, height)),
      MAY("margin", LENGTH, IN(page, margin))}},

    {"panel", PART_ITEM, HOLDS_ITEMS, HOLDS_NOTHING, RULE_NONE, RAB_ITEM_PANEL, ITEMS(page),
     {PLACED, PANEL}},
    {"photo", PART_ITEM, HOLDS_ITEMS, HOLDS_MATS, RULE_NONE, RAB_ITEM_PHOTO, ITEMS(page),
     {PLACED, SIZE(item), PRINT}},
    {"row", PART_ITEM, HOLDS_ITEMS, HOLDS_ROW, RULE_FILLED, RAB_ITEM_ROW, ITEMS(page),
     {PLACED, MAY("gutter", LENGTH, IN(item, gutter))}},
    {"column", PART_ITEM, HOLDS_ITEMS, HOLDS_ROW, RULE_FILLED, RAB_ITEM_COLUMN, ITEMS(page),
     {PLACED, MAY("gutter", LENGTH, IN(item, gutter))}},
    {"grid", PART_ITEM, HOLDS_ITEMS, HOLDS_GRID, RULE_ROWS, RAB_ITEM_GRID, ITEMS(page),
     {PLACED, MAY("width", ABOVE, IN(item, width)), MAY("height", ABOVE, IN(item, height)),
      MAY("gutter", LENGTH, IN(item, gutter))}},
    {"frame", PART_ITEM, HOLDS_ITEMS, HOLDS_FRAME, RULE_FRAME, RAB_ITEM_FRAME, ITEMS(page),
     {PLACED, PAPER(item), MAY("file", PATH, IN(item, file)), MAY("shape", LINE, IN(item, shape)),
      MAY("width", ABOVE, IN(item, width)), MAY("turn", DEGREES, IN(item, turn)),
      MAY("seam", ABOVE, IN(item, backing.seam)), MAY("clear", LENGTH, IN(item, backing.clear)),
      MAY("inset", LENGTH, IN(item, backing.inset)),
      MAY("form", WORD, IN(item, backing.form), WORDS(forms))}},
    {"strip", PART_ITEM, HOLDS_ITEMS, HOLDS_STRIP, RULE_NONE, RAB_ITEM_STRIP, ITEMS(page),
     {PLACED, PAPER(item), NEEDS("motif", LINE, IN(item, motif)),
      NEEDS("length", ABOVE, IN(item, width)), NEEDS("width", ABOVE, IN(item, height)),
      MAY("pitch", SETTING, .at = NOWHERE), MAY("depth", SETTING, .at = NOWHERE),
      MAY("ends", WORD, IN(item, ends), WORDS(ends)), MAY("sides", WORD, IN(item, sides), WORDS(sides)),
      MAY("turn", QUARTERS, IN(item, turn))}},
    {"text", PART_ITEM, HOLDS_ITEMS, HOLDS_WORDS, RULE_TEXT, RAB_ITEM_TEXT, ITEMS(page),
     {PLACED, PAPER(item), SIZE(item), MAY("font", LINE, IN(item, font)),
      MAY("size", ABOVE, IN(item, size)), MAY("align", WORD, IN(item, align), FROM(-1, 0), WORDS(aligned)),
      MAY("strips", ABOVE, IN(item, strips)), MAY("ruled", ABOVE, IN(item, ruled))}},

    {"panel", PART_ITEM, HOLDS_ROW | HOLDS_GRID_ROW, HOLDS_NOTHING, RULE_NONE, RAB_ITEM_PANEL,
     ITEMS(item), {SHARED, PANEL}},
    {"photo", PART_ITEM, HOLDS_ROW, HOLDS_MATS, RULE_NONE, RAB_ITEM_PHOTO, ITEMS(item),
     {SHARED, SIZE(item), PRINT}},
    {"photo", PART_ITEM, HOLDS_GRID_ROW, HOLDS_MATS, RULE_SIZED, RAB_ITEM_PHOTO, ITEMS(item),
     {SHARED, MAY("width", ABOVE, IN(item, width)), MAY("height", ABOVE, IN(item, height)),
      MAY("proportion", PROPORTION, IN(item, proportion)), PRINT}},
    {"photo", PART_ITEM, HOLDS_PHOTO, HOLDS_MATS, RULE_NONE, RAB_ITEM_PHOTO,
     {offsetof(struct rab_frame_use, shown), NOWHERE, sizeof(struct rab_item)},
     {SHARED, SIZE(item), PRINT}},
    {"text", PART_ITEM, HOLDS_PHOTO, HOLDS_WORDS, RULE_TEXT, RAB_ITEM_TEXT,
     {offsetof(struct rab_frame_use, shown), NOWHERE, sizeof(struct rab_item)},
     {SHARED, PAPER(item), SIZE(item), MAY("font", LINE, IN(item, font)), MAY("size", ABOVE, IN(item, size)),
      MAY("align", WORD, IN(item, align), FROM(-1, 0), WORDS(aligned)), MAY("ruled", ABOVE, IN(item, ruled))}},
    {"mat", PART_MAT, HOLDS_MATS, HOLDS_SETS, RULE_NONE, 0,
     MANY(item, mats, mat_count, struct rab_mat_asked),
     {PAPER(mat_asked), NEEDS("reveal", ABOVE, IN(mat_asked, reveal)),
      MAY("style", LINE, IN(mat_asked, style))}},
    {"set", PART_SET, HOLDS_SETS, HOLDS_NOTHING, RULE_NONE, 0,
     MANY(mat_asked, set.items, set.count, struct rab_choice_made),
     {NEEDS("name", LINE, IN(choice_made, name)), NEEDS("to", LINE, IN(choice_made, value))}},
    {"row", PART_ITEM, HOLDS_GRID, HOLDS_GRID_ROW, RULE_FILLED, RAB_ITEM_ROW, ITEMS(item), {SHARED}},
    {"fill", PART_FILL, HOLDS_GRID, HOLDS_NOTHING, RULE_NONE, 0,
     MANY(item, fills, fill_count, size_t), {NEEDS("paper", PAPER, .at = 0)}},

    {"back", PART_USE, HOLDS_FRAME, HOLDS_NOTHING, RULE_NONE, RAB_USE_BACK,
     MANY(item, uses, use_count, struct rab_frame_use),
     {NEEDS("papers", PAPERS, LIST(frame_use, papers, paper_count)),
      MAY("openings", OPENINGS, LIST(frame_use, openings, opening_count)),
      MAY("together", YES, IN(frame_use, together), WORDS(yes_no))}},
    {"leave", PART_USE, HOLDS_FRAME, HOLDS_NOTHING, RULE_LEAVE, RAB_USE_LEAVE,
     MANY(item, uses, use_count, struct rab_frame_use),
     {MAY("openings", OPENINGS, LIST(frame_use, openings, opening_count)),
      MAY("every", COUNT, IN(frame_use, every), FROM(1, JOB_OPENINGS))}},
    {"show", PART_USE, HOLDS_FRAME, HOLDS_PHOTO, RULE_FILLED, RAB_USE_SHOW,
     MANY(item, uses, use_count, struct rab_frame_use),
     {NEEDS("opening", OPENING, LIST(frame_use, openings, opening_count))}},
    {"set", PART_SET, HOLDS_FRAME | HOLDS_STRIP, HOLDS_NOTHING, RULE_NONE, 0,
     MANY(item, set.items, set.count, struct rab_choice_made),
     {NEEDS("name", LINE, IN(choice_made, name)), NEEDS("to", LINE, IN(choice_made, value))}},
    {"behind", PART_BEHIND, HOLDS_STRIP, HOLDS_NOTHING, RULE_NONE, 0,
     MANY(item, layers, layer_count, struct rab_layer_asked),
     {PAPER(layer_asked), NEEDS("reveal", ABOVE, IN(layer_asked, reveal))}},
};
/* clang-format on */
enum { ELEMENTS = sizeof elements / sizeof *elements };

const struct language_element *language_at(size_t index)
{
    return index < ELEMENTS ? &elements[index] : NULL;
}

const struct language_element *language_find(const char *name, unsigned where)
{
    for (size_t i = 0; i < ELEMENTS; i++)
        if ((elements[i].stands & where) && strcmp(elements[i].name, name) == 0)
            return &elements[i];
    return NULL;
}

const struct language_attribute *language_attribute(const struct language_element *element,
                                                    const char *name)
{
    for (size_t i = 0; i < LANGUAGE_ATTRIBUTES && element->attributes[i].name; i++)
        if (strcmp(element->attributes[i].name, name) == 0)
            return &element->attributes[i];
    return NULL;
}

/* ---- what would be right ---- */

/* "a, b and c", of names that may come more than once. */
struct names {
    const char *items[LANGUAGE_ATTRIBUTES + 1];
    size_t count;
};

static void add_name(struct names *names, const char *name)
{
    for (size_t i = 0; i < names->count; i++)
        if (strcmp(names->items[i], name) == 0)
            return;
    if (names->count < sizeof names->items / sizeof *names->items)
        names->items[names->count++] = name;
}

/* Each with `open` before it and `close` after it. */
static void join_names(const struct names *names, const char *open, const char *close, char *words,
                       size_t size)
{
    size_t length = 0;

    words[0] = '\0';
    for (size_t i = 0; i < names->count && length < size; i++) {
        const char *between = i == 0 ? "" : i + 1 < names->count ? ", " : " and ";
        length += (size_t)snprintf(words + length, size - length, "%s%s%s%s", between, open,
                                   names->items[i], close);
    }
}

/* Where an element stands: the names of its parents. */
static void add_parents(struct names *names, const char *name)
{
    for (size_t i = 0; i < ELEMENTS; i++)
        for (size_t k = 0; k < ELEMENTS && strcmp(elements[i].name, name) == 0; k++)
            if (elements[i].stands & elements[k].holds)
                add_name(names, elements[k].name);
}

void language_refuse(const char *name, unsigned where, const char *parent, struct rab_error *err)
{
    struct nearest nearest = {.wanted = name};
    struct names names = {0};
    char otherwise[160], advice[256];

    add_parents(&names, name);
    if (names.count > 0) {
        join_names(&names, "<", ">", otherwise, sizeof otherwise);
        rab_fail(err, RAB_FAULT_INPUT, "<%.40s> cannot stand in <%.40s>; it stands in %s", name,
                 parent, otherwise);
        return;
    }
    for (size_t i = 0; i < ELEMENTS; i++) {
        if (elements[i].stands & where) {
            nearest_look(&nearest, elements[i].name);
            add_name(&names, elements[i].name);
        }
    }
    join_names(&names, "<", ">", advice, sizeof advice);
    snprintf(otherwise, sizeof otherwise, names.count > 0 ? "; it holds %.140s" : "; it is empty",
             advice);
    nearest_words(&nearest, advice, sizeof advice, otherwise);
    rab_fail(err, RAB_FAULT_INPUT, "there is no element <%.40s> in <%.40s>%s", name, parent,
             advice);
}

/* Does an element of that name take the attribute elsewhere? */
static const struct language_element *taken_elsewhere(const char *element, const char *name)
{
    for (size_t i = 0; i < ELEMENTS; i++)
        if (strcmp(elements[i].name, element) == 0 && language_attribute(&elements[i], name))
            return &elements[i];
    return NULL;
}

void language_refuse_attribute(const struct language_element *element, const char *parent,
                               const char *name, struct rab_error *err)
{
    struct nearest nearest = {.wanted = name};
    struct names names = {0};
    char otherwise[200], advice[256];

    if (taken_elsewhere(element->name, name)) {
        rab_fail(
            err, RAB_FAULT_INPUT,
            strcmp(name, "proportion") == 0
                ? "<%s> in <%.40s> takes no %.40s: only in a grid is its size solved; give its "
                  "width and height"
                : "<%s> in <%.40s> takes no %.40s: its place follows from what it is in; leave "
                  "it away",
            element->name, parent, name);
        return;
    }
    for (size_t i = 0; i < LANGUAGE_ATTRIBUTES && element->attributes[i].name; i++) {
        nearest_look(&nearest, element->attributes[i].name);
        add_name(&names, element->attributes[i].name);
    }
    join_names(&names, "", "", advice, sizeof advice);
    snprintf(otherwise, sizeof otherwise, names.count > 0 ? "; it takes %.180s" : "; it takes none",
             advice);
    nearest_words(&nearest, advice, sizeof advice, otherwise);
    rab_fail(err, RAB_FAULT_INPUT, "<%s> has no attribute \"%.40s\"%s", element->name, name,
             advice);
}
