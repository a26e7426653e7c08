/*
 * Judges of what a shape came out as, that share nothing with src/shape: GEOS for crossings and
 * areas, measures between outlines taken anew, files written and read back.
 */
#ifndef TESTS_SHAPE_JUDGE_H
#define TESTS_SHAPE_JUDGE_H

#include <rabbet/read.h>
#include <rabbet/write.h>

#include "reading.h"
#include "region/geos_truth.h"

struct verdict {
    char text[400]; /* empty when nothing is wrong */
};
bool wrong(struct verdict *verdict, const char *format, ...) RAB_PRINTF(2, 3);

/* Valid by the region room, by the slow definition, and by GEOS on chords; no vertex that could be
 * left out. */
bool judge_region(struct truth *truth, const struct rab_region *region, struct verdict *verdict);
/* What the file promises. `slack`: how far a length may be off. */
bool judge_promises(const struct reading *reading, const struct rab_figure *figure, double slack,
                    struct verdict *verdict);
/* Operations as in the file; lines and places sound, lines within the paper. */
bool judge_paths(const struct reading *reading, const struct rab_figure *figure, double slack,
                 struct verdict *verdict);
/* A sheet with all of it, its lower left corner at 0,0. */
bool sheet_of(const struct rab_figure *figure, struct rab_sheet *sheet, struct rab_error *err);
/* Written as SVG and read back: outline by outline the same area, length and box. */
bool judge_svg(const struct rab_figure *figure, struct rab_text *svg, struct verdict *verdict);
/* The same bytes. */
bool same_figure(const struct rab_figure *a, const struct rab_figure *b);

#endif
