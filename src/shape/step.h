/* The steps that an expression is compiled to: for a stack of numbers, read from first to last. */
#ifndef RABBET_SHAPE_STEP_H
#define RABBET_SHAPE_STEP_H

#include <stdint.h>

enum {
    EXPRESSION_NESTED = 64, /* parentheses, signs and functions within each other */
    EXPRESSION_STACK = 128, /* values at hand; what needs more is refused when it is read */
};

enum step_kind {
    STEP_NUMBER, /* push value */
    STEP_SLOT,   /* push slots[at] */
    STEP_WORD,   /* push value, the number of a choice; the word stays for binding it anew */
    STEP_JUMP,   /* go on at step `at` */
    STEP_UNLESS, /* take one; if it is 0 go on at `at` */
    STEP_AND,    /* if the top is 0 go on at `at` with it, else take it off */
    STEP_OR,     /* the reverse */
    STEP_NOT,
    STEP_NEGATE,
    STEP_ADD,
    STEP_SUBTRACT,
    STEP_MULTIPLY,
    STEP_DIVIDE,
    STEP_POWER, /* value: the exponent */
    STEP_EQUAL,
    STEP_UNEQUAL,
    STEP_LESS,
    STEP_LESS_EQUAL,
    STEP_MORE,
    STEP_MORE_EQUAL,
    STEP_SIN,
    STEP_COS,
    STEP_TAN,
    STEP_ASIN,
    STEP_ACOS,
    STEP_ATAN,
    STEP_ATAN2,
    STEP_SQRT,
    STEP_ABS,
    STEP_FLOOR,
    STEP_CEIL,
    STEP_ROUND,
    STEP_MIN, /* of two */
    STEP_MAX,
    STEP_HYPOT,
    STEP_MOD,
    STEP_RANDOM,
};

struct expression_step {
    enum step_kind kind;
    uint32_t at;
    double value;
    const char *word;
};

#endif
