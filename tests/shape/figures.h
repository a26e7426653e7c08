/*
 * Shapes written in a test and drawn at once.
 */
#ifndef RABBET_TESTS_FIGURES_H
#define RABBET_TESTS_FIGURES_H

#include "rabbet/shape.h"

/* A library with the shapes of a test besides those of the program. The caller closes it. */
struct rab_library *figures_library(void);
/* Add a shape or a motif that has this after its title and about; it must be readable. */
const struct rab_shape *figures_add(struct rab_library *library, const char *name,
                                    const char *inside);
const struct rab_shape *figures_add_motif(struct rab_library *library, const char *name,
                                          const char *inside);

/* Draw a shape at its usual values. */
bool figures_draw_shape(const struct rab_library *library, const struct rab_shape *shape,
                        struct rab_figure *out, struct rab_error *err);
/* A shape with this after its title and about. */
bool figures_try(const char *inside, struct rab_figure *out, struct rab_error *err);
/* The same with this as its paper, which must be drawn and be a region. */
struct rab_figure figures_paper(const char *areas);
/* Drawing it must fail: the kind of fault, with words that are in the text, and the line (0 when it
 * is not looked at). */
void figures_refused(const char *inside, enum rab_fault fault, int line, const char *words);
void figures_paper_refused(const char *areas, const char *words);

/* The paper's area and perimeter against what they must be. */
void figures_measures(const struct rab_figure *figure, double area, double perimeter);

#endif
