/* How each kind of line looks in files and in pictures. */
#ifndef RABBET_WRITE_STYLE_H
#define RABBET_WRITE_STYLE_H

#include "rabbet/write.h"

enum { STYLE_DASHES = 6 };

struct line_style {
    uint32_t colour;
    double width; /* in pictures; ISO 128-2 has these widths, wide twice narrow */
    /* dash, gap, dash, gap ...; nothing for a continuous line */
    double dashes[STYLE_DASHES];
    int dash_count;
    /* DXF: the pattern's name and description, and the colour index nearest to the colour (least
     * CIE 1976 difference among the 255; tests/write/check_dxf.py looks for it anew). */
    const char *pattern;
    const char *description;
    int index;
};

const struct line_style *style_of_line(enum rab_line line);

/* The operations in the order in which they are written: what loosens nothing comes first. */
extern const enum rab_operation style_order[RAB_OPERATIONS];
/* For people: "Cut through". */
const char *style_operation_words(enum rab_operation operation);

#endif
