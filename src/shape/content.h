/*
 * A shape file as it was read: elements in an array, their attributes compiled to expressions over
 * numbered slots. Everything that can be found wrong without values has been found when one of
 * these exists: unknown elements and names, missing attributes, units.
 */
#ifndef RABBET_SHAPE_CONTENT_H
#define RABBET_SHAPE_CONTENT_H

#include "expression.h"
#include "rabbet/shape.h"

enum tag {
    /* the head; TAG_LET also between other elements */
    TAG_LET,     /* slot, KEY_VALUE */
    TAG_REQUIRE, /* KEY_THAT, message */
    /* what is drawn */
    TAG_PAPER,
    TAG_OPERATION, /* cut, part-cut, crease, perforate, draw, glue: operation */
    TAG_PLACE,     /* text: its name */
    TAG_MEASURE,   /* what, and KEY_IS or KEY_LEAST */
    /* areas */
    TAG_RECTANGLE,
    TAG_CIRCLE,
    TAG_ELLIPSE,
    TAG_POLYGON,
    TAG_STAR,
    TAG_SECTOR,
    TAG_RING,
    TAG_STADIUM,
    TAG_ARCH,
    TAG_OUTLINE,
    TAG_UNION,
    TAG_INTERSECTION,
    TAG_DIFFERENCE,
    TAG_GROW,
    TAG_MOVE,
    TAG_TURN,
    TAG_MIRROR, /* of areas, and as the last step of an outline or path */
    TAG_REPEAT, /* of areas, and of steps */
    TAG_ROW,
    TAG_AROUND,
    TAG_GRID, /* slot: column; slot + 1: row */
    TAG_ALONG,
    TAG_USE, /* text: the shape's name; its content: TAG_SET */
    TAG_SET, /* text: the parameter's name, KEY_TO */
    /* lines */
    TAG_PATH,
    TAG_START,
    TAG_LINE,
    TAG_ARC,
    /* motifs */
    TAG_PROFILE,
    TAG_VALLEY,
    TAG_HOLE,
    TAG_CORNER, /* slot: the angle */
};

/* Attributes that are expressions. */
enum key {
    KEY_WHEN,
    KEY_X,
    KEY_Y,
    KEY_DX,
    KEY_DY,
    KEY_WIDTH,
    KEY_HEIGHT,
    KEY_SIZE,
    KEY_RADIUS,
    KEY_INNER,
    KEY_OUTER,
    KEY_SIDES,
    KEY_POINTS,
    KEY_TURN,
    KEY_FROM,
    KEY_TO,
    KEY_SPRING,
    KEY_BY,
    KEY_COUNT_OF, /* count */
    KEY_COLUMNS,
    KEY_ROWS,
    KEY_BULGE,
    KEY_ANGLE,
    KEY_ROUND,
    KEY_VALUE,
    KEY_THAT,
    KEY_IS,
    KEY_LEAST,
    KEYS,
};

/* Attributes that are one of a few words. */
enum corner_kind { CORNER_SQUARE, CORNER_ROUND, CORNER_COVE, CORNER_BEVEL, CORNER_NOTCH };

enum measured {
    MEASURED_WIDTH,
    MEASURED_HEIGHT,
    MEASURED_WEB,
    MEASURED_BORDER,
    MEASURED_GAP,
    MEASURED_REVEAL,
    MEASURED_OVERLAP,
    MEASURED_OPENINGS,
    MEASURED_PIECES,
    MEASURED_AREA,
    MEASURED_PERIMETER,
    MEASURED_COUNT,
};

#define NO_NODE ((uint32_t)-1)
#define NO_SLOT ((uint32_t)-1)

struct attribute {
    enum key key;
    int line;
    struct type type;
    struct expression expression;
};

/* A piece of a message of `require`: words, and after them a value (or none at its end). */
struct message_part {
    const char *words;
    bool has_value;
    struct type type;
    struct expression value;
};

struct node {
    enum tag tag;
    int line;
    uint32_t parent, first, next; /* NO_NODE when there is none */
    uint32_t attributes, attribute_count;
    uint32_t slot; /* of let, of what counts copies, of corner; NO_SLOT elsewhere */
    union {
        enum rab_operation operation; /* TAG_OPERATION */
        enum measured measured;       /* TAG_MEASURE */
        enum corner_kind corners;     /* TAG_RECTANGLE */
        bool pointed;                 /* TAG_GROW: corners="pointed" */
        bool both;                    /* TAG_MIRROR */
        bool stagger;                 /* TAG_GRID */
        struct {
            bool right, large;
        }; /* TAG_ARC */
    };
    const char *text;
    const struct message_part *message; /* TAG_REQUIRE */
    size_t message_count;
};

/* Slots: the parameters in their order, of a motif then `repeat` and `repeats`, then lets and
 * counters as they come. */
struct shape_file {
    struct node *nodes; /* the head's let and require and what is drawn are siblings from `first` */
    size_t node_count;
    struct attribute *attributes;
    size_t attribute_count;
    uint32_t first;
    size_t slot_count;
    struct arena *arena; /* all of this, the rab_shape too */
};

/* The expression of an attribute, NULL when it is not given. */
const struct expression *node_attribute(const struct shape_file *file, uint32_t node, enum key key);

#endif
