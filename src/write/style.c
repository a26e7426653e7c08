#include "style.h"

#include <assert.h>

/* Colours: Okabe and Ito, Color Universal Design (2008). Which goes with which operation is common
 * practice in this project, no source; every pattern is a different one, so that nothing depends on
 * colour alone (WCAG 2.1, 1.4.1). Orange is too light for fine lines (2.25:1 on white), so glue,
 * an area rather than a line, is drawn wide. */
static const struct line_style styles[RAB_LINES] = {
    [RAB_LINE_CUT] = {0x000000, 0.5, {0}, 0, "CONTINUOUS", "Solid line", 7},
    [RAB_LINE_PART_CUT] = {0xD55E00,
                           0.35,
                           {6, 1, 0.5, 1, 0.5, 1},
                           6,
                           "LONG_DASH_TWO_DOTS",
                           "Long dash, two dots",
                           30},
    [RAB_LINE_CREASE] = {0xCC79A7, 0.35, {6, 2}, 2, "LONG_DASHES", "Long dashes", 233},
    [RAB_LINE_PERFORATE] = {0x009E73, 0.35, {0.6, 1}, 2, "DOTS", "Dots", 122},
    [RAB_LINE_DRAW] = {0x0072B2, 0.25, {0}, 0, "CONTINUOUS", "Solid line", 163},
    [RAB_LINE_GLUE] = {0xE69F00, 0.7, {3, 1, 0.7, 1}, 4, "DASH_DOT", "Dash, dot", 40},
    [RAB_LINE_HIDDEN] = {0x6B6B6B, 0.18, {1.2, 0.8}, 2, "FINE_DASHES", "Fine dashes", 8},
    [RAB_LINE_CENTRE] = {0x6B6B6B, 0.18, {8, 1, 0.5, 1}, 4, "LONG_DASH_DOT", "Long dash, dot", 8},
    [RAB_LINE_THIN] = {0x6B6B6B, 0.18, {0}, 0, "CONTINUOUS", "Solid line", 8},
};

const enum rab_operation style_order[RAB_OPERATIONS] = {RAB_DRAW,     RAB_GLUE,      RAB_CREASE,
                                                        RAB_PART_CUT, RAB_PERFORATE, RAB_CUT};

static const char *const operation_words[RAB_OPERATIONS] = {
    [RAB_CUT] = "Cut through",      [RAB_PART_CUT] = "Cut part of the depth",
    [RAB_CREASE] = "Crease",        [RAB_PERFORATE] = "Perforate",
    [RAB_DRAW] = "Draw with a pen", [RAB_GLUE] = "Glue here",
};

const struct line_style *style_of_line(enum rab_line line)
{
    assert((int)line >= 0 && line < RAB_LINES);
    return &styles[line];
}

const char *style_operation_words(enum rab_operation operation)
{
    assert((int)operation >= 0 && operation < RAB_OPERATIONS);
    return operation_words[operation];
}

uint32_t rab_line_colour(enum rab_line line)
{
    return style_of_line(line)->colour;
}
