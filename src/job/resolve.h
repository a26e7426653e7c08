/* A job being worked out. Functions that take one return false only when memory is out; what is
 * wrong with the job goes into `found`. */
#ifndef RABBET_JOB_RESOLVE_H
#define RABBET_JOB_RESOLVE_H

#include "job/found.h"
#include "job/made.h"
#include "rabbet/job.h"

/* Photos and text smaller, and places further away, than this are typing errors. */
#define RESOLVE_LARGEST 1e5
/* So many pieces can lie on a spread: more than hands can place. */
enum { RESOLVE_MOST_PIECES = 5000 };
/* And so many blocks of words: each takes as long to set as hundreds of pieces. */
enum { RESOLVE_MOST_TEXTS = 100 };

/* An item that holds no others, and its pieces. */
struct leaf {
    const struct rab_item *item;
    int page;
    size_t first, count;
    struct rab_box box;
    int raised;         /* with the row, column or grid that it stands in */
    enum rab_tool tool; /* its own, else theirs */
};
struct resolving {
    const struct rab_job *job;
    const struct rab_library *library;
    rab_job_file *file;
    void *context;
    struct findings found;
    struct rab_spread spread;
    struct leaf *leaves;
    size_t leaf_count, leaf_capacity;
    size_t text_count;
    int page; /* the one being worked on; below: of the row, column or grid being put there */
    int raised;
    enum rab_tool tool;
    size_t work; /* vertices in the overlaps that were looked at */
    struct rab_error *err;
};

/* Puts an item's pieces on the page, as they lie; made is empty then. */
bool resolve_put(struct resolving *r, const struct rab_item *item, struct made *made);
/* Fails when more was looked at than a page that hands could lay has. */
bool resolve_afford(struct resolving *r);
/* Where pieces lie on each other. */
bool resolve_overlap(struct resolving *r, const struct rab_region *a, const struct rab_region *b,
                     struct overlap *out);
/* Is the paper declared? */
bool resolve_paper(struct resolving *r, size_t paper, int line, const char *what, bool *known);

/* photos.c: an item's size is that of all its mats. Width and height are of the photo before its
 * crops, in place of the item's. */
bool photo_make(struct resolving *r, const struct rab_item *item, double width, double height,
                struct made *out);
/* place.c */
bool place_items(struct resolving *r, const struct rab_item *items, size_t count);
bool place_make(struct resolving *r, const struct rab_item *item, struct made *out);
/* Is its place given at most once each way; not at all in a row, column or grid? */
bool place_check(struct resolving *r, const struct rab_item *item, bool *sound);
bool place_inner(struct resolving *r, const struct rab_item *item, bool *sound);
/* The lower left corner of what is so large. */
struct rab_point place_of(const struct resolving *r, const struct rab_item *item, double width,
                          double height);
/* What there is between the margins, or from a given place to the margin. */
double place_room(const struct rab_given *from, const struct rab_given *to, double whole,
                  double margin);
void place_move(struct made *made, double x, double y);
/* block.c: a grid */
bool block_place(struct resolving *r, const struct rab_item *item);
/* frames.c, strips.c, journal.c: the box's lower left corner anywhere. */
bool frame_make(struct resolving *r, const struct rab_item *item, struct made *out);
bool strip_make(struct resolving *r, const struct rab_item *item, struct made *out);
bool text_make(struct resolving *r, const struct rab_item *item, struct made *out);
/* hollow.c: takes out the hidden centres of panels. */
bool hollow_panels(struct resolving *r);
/* lift.c: how high the foam lifts each piece. Layers on layers: out of range when one of them is.
 */
int lift_together(int layers, int more);
bool lift_pieces(struct resolving *r);
/* check.c, stock.c */
bool check_leaves(struct resolving *r);
bool check_stock(struct resolving *r);
/* letters.c */
bool letters_give(struct resolving *r);

/* Settings of a shape: what is chosen, and lengths by name. */
enum { RESOLVE_MOST_LENGTHS = 3 };
struct chosen_length {
    const char *name;
    double mm;
};
bool resolve_values(const struct rab_shape *shape, const struct rab_choices_made *set,
                    const struct chosen_length *lengths, size_t length_count, double **values,
                    struct rab_error *err);
bool shape_has(const struct rab_shape *shape, const char *parameter);

#endif
