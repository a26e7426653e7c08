/*
 * The elements of a drawing that matter here, as arrays: what the XML parser reports, without
 * other vocabularies, and only the attributes that the reader knows. Nothing in it is recursive, so
 * that deep nesting costs memory in proportion and no stack.
 */
#ifndef RABBET_READ_TREE_H
#define RABBET_READ_TREE_H

#include "base/arena.h"

enum tag {
    /* containers */
    TAG_SVG,
    TAG_G,
    TAG_A,
    TAG_SWITCH,
    TAG_USE,
    TAG_SYMBOL,
    /* shapes */
    TAG_PATH,
    TAG_RECT,
    TAG_CIRCLE,
    TAG_ELLIPSE,
    TAG_LINE,
    TAG_POLYLINE,
    TAG_POLYGON,
    /* shown, but not as outlines */
    TAG_TEXT,
    TAG_IMAGE,
    TAG_FOREIGN,
    /* never shown themselves; what is in them can be shown by `use` */
    TAG_DEFS,
    TAG_CLIP,
    TAG_MASK,
    TAG_MARKER,
    TAG_PATTERN,
    /* never shown */
    TAG_TITLE,
    TAG_STYLE,
    TAG_HIDDEN,  /* gradients, descriptions, scripts, animation... */
    TAG_UNKNOWN, /* of the SVG namespace, but not of SVG */
};

/* Attributes that are read; many of them are style properties too. */
enum key {
    KEY_ID,
    KEY_CLASS,
    KEY_STYLE,
    KEY_TRANSFORM,
    KEY_ORIGIN, /* transform-origin */
    KEY_HREF,
    KEY_XLINK_HREF,
    KEY_X,
    KEY_Y,
    KEY_WIDTH,
    KEY_HEIGHT,
    KEY_VIEW_BOX,
    KEY_ASPECT,
    KEY_D,
    KEY_POINTS,
    KEY_CX,
    KEY_CY,
    KEY_R,
    KEY_RX,
    KEY_RY,
    KEY_X1,
    KEY_Y1,
    KEY_X2,
    KEY_Y2,
    KEY_FEATURES,
    KEY_EXTENSIONS,
    KEY_LANGUAGE,
    KEY_MEDIA,
    KEY_TYPE,
    KEY_DISPLAY,
    KEY_VISIBILITY,
    KEY_FILL,
    KEY_FILL_RULE,
    KEY_STROKE,
    KEY_FONT_SIZE,
    KEY_OPACITY,
    KEY_CLIP_PATH,
    KEY_MASK,
    KEY_FILTER,
    KEY_MARKER,
    KEY_MARKER_START,
    KEY_MARKER_MID,
    KEY_MARKER_END,
    KEY_COUNT,
};

#define NO_NODE ((uint32_t)-1)

struct node {
    uint32_t parent, first, last, next; /* NO_NODE when there is none */
    uint32_t attributes;                /* the first of them */
    uint32_t attribute_count;
    int line; /* of the start tag */
    enum tag tag;
    const char *name;    /* as written, without prefix */
    const char *content; /* of title and style; NULL elsewhere */
};

struct attribute {
    enum key key;
    uint32_t length;
    const char *value;
};

/* Node 0 is the root, an svg element. */
struct tree {
    struct node *nodes;
    size_t count, capacity;
    struct attribute *attributes;
    size_t attribute_count, attribute_capacity;
    struct arena *arena; /* every text */
    struct tree_id *ids;
    size_t id_count;
};

/*
 * Parse a text that decode_drawing has checked.
 *
 * elements  most elements
 * out       {0}; on success the caller owns it
 * err       INPUT with the line, MEMORY
 */
bool tree_read(const struct rab_text *text, size_t elements, struct tree *out,
               struct rab_warnings *notes, struct rab_error *err);
void tree_clear(struct tree *tree);

/* Turn the comments of a style sheet into blanks. */
void blank_comments(char *text);

/* NULL when the element has no such attribute. */
const char *tree_attribute(const struct tree *tree, uint32_t node, enum key key);
/* The first element with this id, or NO_NODE. */
uint32_t tree_find(const struct tree *tree, const char *id);
/* The key of an attribute's name, or KEY_COUNT. */
enum key key_named(const char *name, size_t length);
const char *key_name(enum key key);

#endif
