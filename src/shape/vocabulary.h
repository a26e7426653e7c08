/*
 * Which elements a shape file may have, where each may stand, and which attributes it takes.
 * shapes/shape.rng says the same to editors; a test holds the two together.
 */
#ifndef RABBET_SHAPE_VOCABULARY_H
#define RABBET_SHAPE_VOCABULARY_H

#include "shape/content.h"

/* What an element may hold; where elements may stand is a set of these bits. */
enum holds {
    HOLDS_NOTHING = 0,
    HOLDS_SHAPE = 1 << 0, /* what is drawn, directly in the root */
    HOLDS_MOTIF = 1 << 1,
    HOLDS_AREAS = 1 << 2,
    HOLDS_MIXED = 1 << 3, /* areas and paths, within an operation */
    HOLDS_STEPS = 1 << 4,
    HOLDS_SETS = 1 << 5,  /* of use */
    HOLDS_SAME = 1 << 6,  /* areas, and paths where paths may stand itself */
    HOLDS_WORDS = 1 << 7, /* text */
};

/* Attributes that are no expression come after those that are. */
enum {
    WORD_NAME = KEYS,
    WORD_INDEX,
    WORD_SHAPE,
    WORD_WHAT,
    WORD_CORNERS, /* of a rectangle */
    WORD_POINTED, /* corners of grow */
    WORD_BOTH,
    WORD_STAGGER,
    WORD_SIDE,
    WORD_LARGE,
    WORDS,
};
enum wanted { WANT_LENGTH, WANT_ANGLE, WANT_NUMBER, WANT_TRUTH, WANT_ANY, WANT_WORD };

struct vocabulary_attribute {
    const char *name;
    int key; /* enum key or WORD_... */
    enum wanted wanted;
    bool required;
};
enum { VOCABULARY_ATTRIBUTES = 12 };
struct vocabulary_element {
    const char *name;
    enum tag tag;
    unsigned stands; /* within what */
    enum holds holds;
    enum rab_operation operation;
    struct vocabulary_attribute attributes[VOCABULARY_ATTRIBUTES]; /* up to one without a name */
};

/* NULL when no such element may stand there. */
const struct vocabulary_element *vocabulary_find(const char *name, unsigned where);
/* An INPUT fault for that: is it unknown, or only in the wrong place? `parent` is what it is in. */
bool vocabulary_refuse(const char *name, unsigned where, const char *parent, int line,
                       struct rab_error *err);

/* The words that an attribute may be, up to NULL, in the order of its enum; NULL when it may be any
 * name. */
const char *const *vocabulary_words(int word);

#endif
