/* The parts of a DXF file around its entities. Facts: DXF reference (R12 and R2000), and the
 * chapters "Minimal DXF Content", "Handles" and "Block Management" of ezdxf's documentation. */
#ifndef RABBET_WRITE_DXF_H
#define RABBET_WRITE_DXF_H

#include "rabbet/write.h"

/* Handles of the fixed records are below this, those of entities from here on. */
enum { DXF_FIRST_ENTITY = 0x100 };
/* The block record of the model space, which owns the entities. */
#define DXF_MODEL_SPACE "1F"

struct dxf_page {
    enum rab_dxf_version version;
    struct rab_box extents;    /* of what is drawn */
    struct rab_box sheet;      /* the limits, which are not shown */
    bool used[RAB_OPERATIONS]; /* layers */
    unsigned long next_handle; /* above all in use */
};

/* One group: its code and a value. Numbers to TRACK_DECIMALS, always with a point. */
void dxf_words(struct rab_text *text, int code, const char *words);
void dxf_whole(struct rab_text *text, int code, long long value);
void dxf_number(struct rab_text *text, int code, double value);
/* Many groups, each written as "code value" and a line end. */
void dxf_groups(struct rab_text *text, const char *lines);

/* Everything before the first entity, and everything after the last. */
void dxf_open(struct rab_text *text, const struct dxf_page *page);
void dxf_close(struct rab_text *text, const struct dxf_page *page);

#endif
