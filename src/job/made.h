/* The pieces of one item while it is being made, before they have their place on the page. */
#ifndef RABBET_JOB_MADE_H
#define RABBET_JOB_MADE_H

#include "rabbet/job.h"

struct made {
    struct rab_piece *pieces; /* the lowest first */
    size_t count, capacity;
    struct rab_box box; /* by which it is placed */
    bool sound;         /* it came out; else what is wrong has been told */
};
void made_clear(struct made *made);
void piece_clear(struct rab_piece *piece);

/* What a piece is of. */
struct origin {
    enum rab_piece_kind kind;
    size_t paper;
    const struct rab_item *item;
    int line;
};
/* Takes over region, paths (with path_count) and what, also when it fails. */
bool made_add(struct made *made, const struct origin *origin, struct rab_region *region,
              struct rab_path **paths, size_t *path_count, struct rab_text *what,
              struct rab_error *err);
bool made_add_rectangle(struct made *made, const struct origin *origin, struct rab_box box,
                        struct rab_text *what, struct rab_error *err);
/* Moves all pieces of `from` behind those of made. */
bool made_join(struct made *made, struct made *from, struct rab_error *err);

void made_move(struct made *made, double dx, double dy);
/* About 0,0. Quarter turns are exact: straight sides stay straight. The box is found anew. */
void made_turn(struct made *made, double angle);
struct rab_box made_bounds(const struct made *made);

/* A whole rectangle as a region. */
bool region_of_box(struct rab_box box, struct rab_region *out, struct rab_error *err);
void region_move(struct rab_region *region, double dx, double dy);
void outline_turn_about(struct rab_outline *outline, double angle);
/* Four straight sides along x and y, and nothing else. */
bool region_is_rectangle(const struct rab_region *region);
/* Where one lies on the other; rectangles without any arrangement. */
struct overlap {
    double area;
    struct rab_box box;
    size_t work; /* vertices that went through an arrangement */
};
bool region_overlap(const struct rab_region *a, const struct rab_region *b, struct overlap *out,
                    struct rab_error *err);

/* "photo quay", "photo" */
enum { NAME_TEXT = 72 };
struct name {
    char text[NAME_TEXT];
};
struct name item_name(const struct rab_item *item);
/* " of quay", "" */
struct name item_of(const struct rab_item *item);

#endif
