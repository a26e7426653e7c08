/*
 * Expressions of shape files: read once into a few steps for a stack, their units checked then, and
 * worked out with plain doubles each time a shape is drawn. Nothing in them repeats, so working
 * one out takes no longer than its text is long.
 */
#ifndef RABBET_SHAPE_EXPRESSION_H
#define RABBET_SHAPE_EXPRESSION_H

#include "rabbet/base.h"

struct rab_parameter;

enum type_kind {
    TYPE_QUANTITY, /* a number with powers of length and angle; 0 and 0: a plain number */
    TYPE_ZERO,     /* the literal 0, which fits every quantity */
    TYPE_TRUTH,
    TYPE_CHOICE, /* one of a parameter's choices */
    TYPE_WORD,   /* a quoted word before it has met a choice */
};
struct type {
    enum type_kind kind;
    int length, angle;  /* powers */
    size_t choice_slot; /* TYPE_CHOICE: the parameter that has the choices */
};

#define TYPE_NUMBER ((struct type){TYPE_QUANTITY, 0, 0, 0})
#define TYPE_LENGTH ((struct type){TYPE_QUANTITY, 1, 0, 0})
#define TYPE_AREA ((struct type){TYPE_QUANTITY, 2, 0, 0})
#define TYPE_ANGLE ((struct type){TYPE_QUANTITY, 0, 1, 0})

/* What a name stands for where an expression is. */
struct scope_name {
    const char *name; /* borrowed */
    struct type type;
    uint32_t slot;
};
struct scope {
    struct scope_name *names;
    size_t count, capacity;
    const struct rab_parameter *parameters; /* for choices, by choice_slot */
};

struct expression {
    struct expression_step *steps; /* borrowed from the file's arena, as the text is */
    uint32_t count;
    const char *text; /* for messages */
};

struct arena;

/*
 * Read a whole text.
 *
 * line   for messages
 * type   of the result
 * err    INPUT with the line: not an expression, an unknown name or function (with the nearest),
 * units that do not fit; MEMORY
 */
bool expression_read(const char *text, int line, const struct scope *scope, struct arena *arena,
                     struct expression *out, struct type *type, struct rab_error *err);

/* Does a type fit where another is wanted? */
bool type_fits(struct type given, struct type wanted);
/* "a length", "a plain number", "an angle", "an area", "yes or no" ... */
const char *type_words(struct type type);

/*
 * The quoted words of an expression are numbers of a parameter's choices. Within a file they are
 * known when it is read; of a value that is handed to another shape (TYPE_WORD), only when all
 * shapes have been read. Err: INPUT with the line when a word is none of the choices.
 */
bool expression_check_words(const struct expression *expression, int line,
                            const struct rab_parameter *parameter, struct rab_error *err);
/* Give them their numbers, once checked. */
void expression_bind(struct expression *expression, const struct rab_parameter *parameter);

/* Is this a word that expressions give a meaning of their own (pi, and, yes ...)? The names of
 * functions are free, since a function has a parenthesis after it. */
bool expression_reserves(const char *name);
/* Letters, digits, and hyphens before letters, as a name in an expression is written. */
bool expression_name_ok(const char *name);

/*
 * Work it out. Truth is 1 or 0, a choice its number. Err: GEOMETRY with the line when there is no
 * finite value (a division by 0, the root of a negative number).
 */
bool expression_value(const struct expression *expression, int line, const double *slots,
                      double *value, struct rab_error *err);

#endif
