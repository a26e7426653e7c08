#include "shape/vocabulary.h"

#include "shape/nearest.h"

#include <string.h>

/* clang-format off */
#define NEEDS(name, key, wanted) {name, key, WANT_##wanted, true}
#define MAY(name, key, wanted) {name, key, WANT_##wanted, false}
#define WHEN MAY("when", KEY_WHEN, TRUTH)
#define AT MAY("x", KEY_X, LENGTH), MAY("y", KEY_Y, LENGTH)
#define COUNTED NEEDS("count", KEY_COUNT_OF, NUMBER), MAY("index", WORD_INDEX, WORD)
#define POINT AT, MAY("dx", KEY_DX, LENGTH), MAY("dy", KEY_DY, LENGTH), \
    MAY("round", KEY_ROUND, LENGTH)
#define SIZE NEEDS("width", KEY_WIDTH, LENGTH), NEEDS("height", KEY_HEIGHT, LENGTH)
#define IN_AREAS (HOLDS_AREAS | HOLDS_MIXED)
#define ANYWHERE (HOLDS_SHAPE | HOLDS_MOTIF | IN_AREAS | HOLDS_STEPS | HOLDS_SETS)
#define OPERATION(name, operation) \
    {name, TAG_OPERATION, HOLDS_SHAPE | HOLDS_MOTIF, HOLDS_MIXED, operation, {WHEN}}

static const struct vocabulary_element elements[] = {
    {"let", TAG_LET, ANYWHERE, HOLDS_NOTHING, 0,
     {NEEDS("name", WORD_NAME, WORD), NEEDS("value", KEY_VALUE, ANY)}},
    {"require", TAG_REQUIRE, HOLDS_SHAPE | HOLDS_MOTIF, HOLDS_WORDS, 0,
     {NEEDS("that", KEY_THAT, TRUTH)}},

    {"paper", TAG_PAPER, HOLDS_SHAPE, HOLDS_AREAS, 0, {WHEN}},
    OPERATION("cut", RAB_CUT),
    OPERATION("part-cut", RAB_PART_CUT),
    OPERATION("crease", RAB_CREASE),
    OPERATION("perforate", RAB_PERFORATE),
    OPERATION("draw", RAB_DRAW),
    OPERATION("glue", RAB_GLUE),
    {"place", TAG_PLACE, HOLDS_SHAPE, HOLDS_AREAS, 0, {WHEN, NEEDS("name", WORD_NAME, WORD)}},
    {"measure", TAG_MEASURE, HOLDS_SHAPE, HOLDS_NOTHING, 0,
     {WHEN, NEEDS("what", WORD_WHAT, WORD), MAY("is", KEY_IS, ANY), MAY("least", KEY_LEAST, ANY)}},

    {"profile", TAG_PROFILE, HOLDS_MOTIF, HOLDS_STEPS, 0, {WHEN}},
    {"valley", TAG_VALLEY, HOLDS_MOTIF, HOLDS_NOTHING, 0,
     {WHEN, NEEDS("width", KEY_WIDTH, LENGTH)}},
    {"hole", TAG_HOLE, HOLDS_MOTIF, HOLDS_AREAS, 0, {WHEN}},
    {"corner", TAG_CORNER, HOLDS_MOTIF, HOLDS_AREAS, 0, {WHEN}},

    {"rectangle", TAG_RECTANGLE, IN_AREAS, HOLDS_NOTHING, 0,
     {WHEN, AT, SIZE, MAY("corners", WORD_CORNERS, WORD), MAY("size", KEY_SIZE, LENGTH)}},
    {"circle", TAG_CIRCLE, IN_AREAS, HOLDS_NOTHING, 0,
     {WHEN, AT, NEEDS("radius", KEY_RADIUS, LENGTH)}},
    {"ellipse", TAG_ELLIPSE, IN_AREAS, HOLDS_NOTHING, 0, {WHEN, AT, SIZE}},
    {"polygon", TAG_POLYGON, IN_AREAS, HOLDS_NOTHING, 0,
     {WHEN, AT, NEEDS("sides", KEY_SIDES, NUMBER), NEEDS("radius", KEY_RADIUS, LENGTH),
      MAY("turn", KEY_TURN, ANGLE)}},
    {"star", TAG_STAR, IN_AREAS, HOLDS_NOTHING, 0,
     {WHEN, AT, NEEDS("points", KEY_POINTS, NUMBER), NEEDS("outer", KEY_OUTER, LENGTH),
      NEEDS("inner", KEY_INNER, LENGTH), MAY("turn", KEY_TURN, ANGLE)}},
    {"sector", TAG_SECTOR, IN_AREAS, HOLDS_NOTHING, 0,
     {WHEN, AT, NEEDS("radius", KEY_RADIUS, LENGTH), MAY("inner", KEY_INNER, LENGTH),
      NEEDS("from", KEY_FROM, ANGLE), NEEDS("to", KEY_TO, ANGLE)}},
    {"ring", TAG_RING, IN_AREAS, HOLDS_NOTHING, 0,
     {WHEN, AT, NEEDS("outer", KEY_OUTER, LENGTH), NEEDS("inner", KEY_INNER, LENGTH)}},
    {"stadium", TAG_STADIUM, IN_AREAS, HOLDS_NOTHING, 0, {WHEN, AT, SIZE}},
    {"arch", TAG_ARCH, IN_AREAS, HOLDS_NOTHING, 0,
     {WHEN, AT, NEEDS("width", KEY_WIDTH, LENGTH), NEEDS("spring", KEY_SPRING, LENGTH),
      NEEDS("radius", KEY_RADIUS, LENGTH)}},
    {"outline", TAG_OUTLINE, IN_AREAS, HOLDS_STEPS, 0, {WHEN}},
    {"use", TAG_USE, IN_AREAS, HOLDS_SETS, 0, {WHEN, NEEDS("shape", WORD_SHAPE, WORD)}},
    {"set", TAG_SET, HOLDS_SETS, HOLDS_NOTHING, 0,
     {NEEDS("name", WORD_NAME, WORD), NEEDS("to", KEY_TO, ANY)}},

    {"union", TAG_UNION, IN_AREAS, HOLDS_AREAS, 0, {WHEN}},
    {"intersection", TAG_INTERSECTION, IN_AREAS, HOLDS_AREAS, 0, {WHEN}},
    {"difference", TAG_DIFFERENCE, IN_AREAS, HOLDS_AREAS, 0, {WHEN}},
    {"grow", TAG_GROW, IN_AREAS, HOLDS_AREAS, 0,
     {WHEN, NEEDS("by", KEY_BY, LENGTH), MAY("corners", WORD_POINTED, WORD)}},

    {"move", TAG_MOVE, IN_AREAS, HOLDS_SAME, 0, {WHEN, AT}},
    {"turn", TAG_TURN, IN_AREAS, HOLDS_SAME, 0, {WHEN, NEEDS("by", KEY_BY, ANGLE), AT}},
    {"mirror", TAG_MIRROR, IN_AREAS, HOLDS_SAME, 0, {WHEN, AT, MAY("both", WORD_BOTH, WORD)}},
    {"repeat", TAG_REPEAT, IN_AREAS, HOLDS_SAME, 0, {WHEN, COUNTED}},
    {"row", TAG_ROW, IN_AREAS, HOLDS_SAME, 0, {WHEN, COUNTED, AT}},
    {"around", TAG_AROUND, IN_AREAS, HOLDS_SAME, 0,
     {WHEN, COUNTED, AT, MAY("by", KEY_BY, ANGLE)}},
    {"grid", TAG_GRID, IN_AREAS, HOLDS_SAME, 0,
     {WHEN, NEEDS("columns", KEY_COLUMNS, NUMBER), NEEDS("rows", KEY_ROWS, NUMBER),
      NEEDS("x", KEY_X, LENGTH), NEEDS("y", KEY_Y, LENGTH), MAY("stagger", WORD_STAGGER, WORD)}},
    {"along", TAG_ALONG, IN_AREAS, HOLDS_SAME, 0, {WHEN, COUNTED}},

    {"path", TAG_PATH, HOLDS_MIXED, HOLDS_STEPS, 0, {WHEN}},
    {"start", TAG_START, HOLDS_STEPS, HOLDS_NOTHING, 0,
     {NEEDS("x", KEY_X, LENGTH), NEEDS("y", KEY_Y, LENGTH), MAY("round", KEY_ROUND, LENGTH)}},
    {"line", TAG_LINE, HOLDS_STEPS, HOLDS_NOTHING, 0, {WHEN, POINT}},
    {"arc", TAG_ARC, HOLDS_STEPS, HOLDS_NOTHING, 0,
     {WHEN, POINT, MAY("bulge", KEY_BULGE, NUMBER), MAY("angle", KEY_ANGLE, ANGLE),
      MAY("radius", KEY_RADIUS, LENGTH), MAY("side", WORD_SIDE, WORD),
      MAY("large", WORD_LARGE, WORD)}},
    {"repeat", TAG_REPEAT, HOLDS_STEPS, HOLDS_STEPS, 0, {WHEN, COUNTED}},
    {"mirror", TAG_MIRROR, HOLDS_STEPS, HOLDS_NOTHING, 0, {WHEN, AT}},
};
/* clang-format on */
enum { ELEMENTS = sizeof elements / sizeof *elements };

static const char *const head[] = {"title",  "about", "length", "angle", "count",  "ratio",
                                   "choice", "yesno", "pitch",  "depth", "require"};
enum { HEAD = sizeof head / sizeof *head };

const struct vocabulary_element *vocabulary_find(const char *name, unsigned where)
{
    for (size_t i = 0; i < ELEMENTS; i++)
        if ((elements[i].stands & where) && strcmp(elements[i].name, name) == 0)
            return &elements[i];
    return NULL;
}

static bool is_known(const char *name)
{
    for (size_t i = 0; i < HEAD; i++)
        if (strcmp(head[i], name) == 0)
            return true;
    return vocabulary_find(name, ~0U) != NULL || strcmp(name, "one") == 0;
}

bool vocabulary_refuse(const char *name, unsigned where, const char *parent, int line,
                       struct rab_error *err)
{
    struct nearest nearest = {.wanted = name};
    char advice[256];

    for (size_t i = 0; i < HEAD; i++)
        if ((where & (HOLDS_SHAPE | HOLDS_MOTIF)) && strcmp(head[i], name) == 0)
            return rab_fail_line(err, RAB_FAULT_INPUT, line,
                                 "<%.40s> belongs in the head; put it before what is drawn", name);
    if (strcmp(parent, "use") == 0)
        return rab_fail_line(
            err, RAB_FAULT_INPUT, line,
            "<%.40s> cannot stand in <use>; it holds <set name=\"...\" to=\"...\"/>", name);
    if (is_known(name))
        return rab_fail_line(
            err, RAB_FAULT_INPUT, line, "<%.40s> cannot stand in <%.40s>%s", name, parent,
            where & HOLDS_STEPS         ? "; it holds <start>, <line>, <arc>, <repeat>"
            : strcmp(name, "path") == 0 ? "; a path stands in an operation like <cut>"
            : where & HOLDS_AREAS       ? "; it holds areas"
            : where & HOLDS_SHAPE       ? "; put it into <paper>, or into <cut>, <crease> "
                                          "or <draw>"
            : where & HOLDS_MOTIF       ? "; put it into <hole>, or into <cut>, <crease> "
                                          "or <draw>"
                                        : "");
    for (size_t i = 0; i < ELEMENTS; i++)
        if (elements[i].stands & where)
            nearest_look(&nearest, elements[i].name);
    nearest_words(&nearest, advice, sizeof advice, "; the reference lists those that there are");
    return rab_fail_line(err, RAB_FAULT_INPUT, line, "there is no element <%.40s> in <%.40s>%s",
                         name, parent, advice);
}

const char *const *vocabulary_words(int word)
{
    static const char *const measures[] = {"width",  "height", "web",       "border",
                                           "gap",    "reveal", "overlap",   "openings",
                                           "pieces", "area",   "perimeter", NULL};
    static const char *const corners[] = {"round", "cove", "bevel", "notch", NULL};
    static const char *const pointed[] = {"round", "pointed", NULL};
    static const char *const sides[] = {"left", "right", NULL};
    static const char *const yes_no[] = {"no", "yes", NULL};

    switch (word) {
    case WORD_WHAT:
        return measures;
    case WORD_CORNERS:
        return corners;
    case WORD_POINTED:
        return pointed;
    case WORD_SIDE:
        return sides;
    case WORD_BOTH:
    case WORD_STAGGER:
    case WORD_LARGE:
        return yes_no;
    default:
        return NULL;
    }
}
