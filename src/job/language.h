/*
 * What a job file may hold: which elements stand where, which attributes they take, what their
 * values are and where in the model they go. job.rng says the same to editors; a test holds the two
 * together.
 */
#ifndef RABBET_JOB_LANGUAGE_H
#define RABBET_JOB_LANGUAGE_H

#include "rabbet/job.h"

enum {
    JOB_ELEMENTS = 10000,
    JOB_DEPTH = 32,
    JOB_PAPERS = 500,
    JOB_OPENINGS = 9999, /* the highest number of one */
    JOB_LISTED = 100000, /* numbers of openings in a whole file */
    JOB_TURNS = 1000,    /* papers in one list */
    JOB_NAME_LENGTH = 64,
    LANGUAGE_ATTRIBUTES = 20,
};

/* What an element may hold; where elements may stand is a set of these bits. */
enum holds {
    HOLDS_NOTHING = 0,
    HOLDS_JOB = 1 << 0,
    HOLDS_OFFCUTS = 1 << 1,
    HOLDS_ITEMS = 1 << 2, /* of a page */
    HOLDS_ROW = 1 << 3,   /* photos and panels whose place is solved */
    HOLDS_GRID = 1 << 4,
    HOLDS_GRID_ROW = 1 << 5, /* the same as a row, and photos to be printed */
    HOLDS_MATS = 1 << 6,
    HOLDS_SETS = 1 << 7, /* of a mat */
    HOLDS_FRAME = 1 << 8,
    HOLDS_PHOTO = 1 << 9, /* exactly one photo or text */
    HOLDS_STRIP = 1 << 10,
    HOLDS_WORDS = 1 << 11, /* text */
    HOLDS_ROOT = 1 << 12,  /* the file itself */
};

enum part {
    PART_JOB,
    PART_PAPER,
    PART_OFFCUT,
    PART_TRIMMER,
    PART_CUTTER,
    PART_FILES,
    PART_PAGE,
    PART_ITEM,
    PART_FILL,
    PART_MAT,
    PART_SET,
    PART_USE, /* back, leave, show */
    PART_BEHIND,
};

/* What must hold between an element's attributes and what is in it. */
enum rule {
    RULE_NONE,
    RULE_SIZED,  /* a photo in a grid: width and height, or proportion */
    RULE_FRAME,  /* file, or shape with its set */
    RULE_LEAVE,  /* openings or every */
    RULE_TEXT,   /* words, or lines to write on */
    RULE_FILLED, /* at least one element in it */
    RULE_ROWS,   /* at least one row in it */
    RULE_WHOLE,  /* at least one paper and one page */
};

/* How an attribute is read, and as what it is stored. */
enum kind {
    KIND_NAME,       /* char *: small letters, digits and hyphens */
    KIND_LINE,       /* char *: words on one line */
    KIND_PATH,       /* char *: the name of a file */
    KIND_ABOVE,      /* double: a length of more than 0 */
    KIND_LENGTH,     /* double: a length of 0 or more */
    KIND_PLACE,      /* struct rab_given: any length */
    KIND_COUNT,      /* int: from `least` to `most` */
    KIND_PERCENT,    /* double: a share */
    KIND_DEGREES,    /* double: radians */
    KIND_QUARTERS,   /* the same, in steps of 90 degrees */
    KIND_PROPORTION, /* double: 3:2 */
    KIND_PIXELS,     /* two int */
    KIND_COLOUR,     /* uint32_t */
    KIND_SHADE,      /* uint32_t, in which 0 means none */
    KIND_WORD,   /* an enum, or int, from `least`: one of `words`; at NOWHERE it is known already */
    KIND_YES,    /* bool */
    KIND_PAPER,  /* size_t */
    KIND_PAPERS, /* a list of size_t */
    KIND_OPENINGS, /* a list of int */
    KIND_OPENING,  /* the same, of one */
    KIND_SETTING,  /* a length for the item's `set` */
};

#define NOWHERE ((size_t)-1)
struct language_attribute {
    const char *name;
    enum kind kind;
    bool required;
    size_t at, count_at; /* in what the element fills; of a list: its items and their number */
    int least, most;
    const char *const *words; /* up to NULL */
};
/* Where elements go in what their parent fills: items and their number. */
struct language_list {
    size_t at, count_at, size; /* size 0: the element fills what its parent fills */
};
struct language_element {
    const char *name;
    enum part part;
    unsigned stands; /* within what */
    enum holds holds;
    enum rule rule;
    int variant; /* enum rab_item_kind or enum rab_opening_use */
    struct language_list list;
    struct language_attribute attributes[LANGUAGE_ATTRIBUTES]; /* up to one without a name */
};

/* NULL when no such element may stand there. */
const struct language_element *language_find(const char *name, unsigned where);
const struct language_attribute *language_attribute(const struct language_element *element,
                                                    const char *name);
/* All of them, one by one: NULL after the last. */
const struct language_element *language_at(size_t index);

/* What is wrong with an element that cannot stand there, and with an attribute that the element
 * does not take: INPUT faults without a line. */
void language_refuse(const char *name, unsigned where, const char *parent, struct rab_error *err);
void language_refuse_attribute(const struct language_element *element, const char *parent,
                               const char *name, struct rab_error *err);

#endif
