/*
 * Styles: which declarations of presentation attributes, style sheets and style attributes hold
 * for an element, and what they come to (CSS 2.1, chapters 5 and 6, as SVG 1.1, chapter 6, uses them).
 *
 * Selectors: type, *, .class, #id, [attribute] with = ~= |= ^= $= *=, :root; joined by blanks or >.
 * A rule with any other selector, and what stands in an @-rule, is left out with a warning.
 */
#ifndef RABBET_READ_STYLE_H
#define RABBET_READ_STYLE_H

#include "read/number.h"
#include "read/tree.h"

/* Where a declaration stands, by rising weight; within a rank, specificity and order decide. */
enum rank {
    RANK_NONE,
    RANK_ATTRIBUTE,
    RANK_SHEET,
    RANK_STYLE,
    RANK_SHEET_IMPORTANT,
    RANK_STYLE_IMPORTANT,
};

struct declared {
    struct slice value; /* text is NULL where nothing is declared */
    uint64_t weight;    /* rank, specificity, order */
    bool css;           /* by a style sheet or a style attribute */
};

/* What holds for one element, before inheritance; indexed by enum key. */
struct cascade {
    struct declared of[KEY_COUNT];
};

struct sheet {
    struct rule *rules;
    size_t rule_count, rule_capacity;
    struct simple *simples;
    size_t simple_count, simple_capacity;
    struct declaration *declarations;
    size_t declaration_count, declaration_capacity;
    uint32_t *buckets; /* rules by what their last selector asks for */
    size_t bucket_count;
    size_t steps; /* of matching, so far */
};

/* Read every style element of a tree. {0} before; sheet_clear after, also on failure. */
bool sheet_read(struct sheet *sheet, const struct tree *tree, struct rab_warnings *notes,
                struct rab_error *err);
void sheet_clear(struct sheet *sheet);

/* Err: INPUT when the sheets are too complex for the drawing, MEMORY. */
bool cascade_make(struct sheet *sheet, const struct tree *tree, uint32_t node, struct cascade *out,
                  struct rab_error *err);

/* ---- computed values ---- */

/* Inherited. */
struct style {
    bool visible, filled, stroked;
    bool server;         /* the fill is a gradient or a pattern */
    enum { STYLE_NONZERO, STYLE_EVENODD } rule;
    double font; /* size in user units */
};
#define STYLE_INITIAL ((struct style){true, true, false, false, STYLE_NONZERO, 16})

/* The style of an element whose parent has `parent`. *shown is false for display: none. */
struct style style_compute(const struct cascade *cascade, const struct style *parent,
                           double root_font, bool *shown);

#endif
