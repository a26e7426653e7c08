/*
 * Backings cut to what they may cover: grown by the seam, less what is nearer to a neighbour, too
 * near to another opening, or too near to the frame's edge.
 */
#ifndef RABBET_FRAME_CUT_H
#define RABBET_FRAME_CUT_H

#include "frame/divide.h"
#include "frame/mesh.h"

/* The edge of one part of the frame, and the paper within it that may be used. */
struct fence {
    bool made;
    struct mesh edge, inside;
};
/* An opening with the paper around it that must stay clear. */
struct body {
    bool made;
    struct rab_region region;
    struct mesh mesh; /* of a copy, when it is long */
};

struct cutter {
    const struct field *field;
    const struct rab_backing_options *options;
    struct fence *fences; /* of each part, made when needed */
    struct body *bodies;  /* of each opening, made when needed */
    struct divides divides;
    size_t *lines;      /* which dividing lines each site has */
    size_t *first_line; /* of each site in lines; and how many there are in all */
    /* Memory that is used again and again. */
    struct near own, others;
    struct list list;
};

bool cutter_make(const struct field *field, const struct rab_backing_options *options,
                 struct cutter *out, struct rab_error *err);
void cutter_clear(struct cutter *cutter);

/* What limits a site's seam most, from the distances between outlines alone. */
struct reach {
    double seam; /* no more than was asked for; 0 or less when the opening cannot be covered */
    enum rab_limit limit;
    size_t opening; /* of the site: the one that is limited */
    size_t other;   /* the one that limits it, for OPENING and PIECE */
    double web;     /* the paper between, or up to the edge */
};
bool cutter_reach(struct cutter *cutter, size_t site, struct reach *out, struct rab_error *err);

/* Find the dividing lines of all sites. To be called once, before pieces are cut. */
bool cutter_divide(struct cutter *cutter, struct rab_error *err);

/* The parts of a site's paper that lie behind its openings: one, or several for a group whose
 * openings stand apart. Empty parts mean that an opening is not covered. */
bool cutter_cut(struct cutter *cutter, size_t site, struct rab_region *out, size_t *parts,
                struct rab_error *err);

/* An opening grown by a distance of 0 or more. */
bool cutter_grow(const struct field *field, size_t opening, double distance, struct rab_region *out,
                 struct rab_error *err);

/* All of a site's openings grown by the seam. */
bool cutter_grow_site(struct cutter *cutter, size_t site, struct rab_region *out,
                      struct rab_error *err);

/* What of a region lies on the site's own side of its dividing lines. */
bool cutter_divided(struct cutter *cutter, size_t site, const struct rab_region *region,
                    struct rab_region *out, struct rab_error *err);

/* The edge of the part in which a site's (first) opening is. */
bool cutter_fence(struct cutter *cutter, size_t site, const struct fence **out,
                  struct rab_error *err);

/* Take away what no piece of this site may cover, within a region: other openings with their clear
 * paper, what lies outside the edge. What is wholly loose from the site's openings stays. */
bool cutter_trim(struct cutter *cutter, size_t site, const struct rab_region *region,
                 struct rab_region *out, struct rab_error *err);

/* Keep the parts of a region in which an opening of the site lies; how many they are. */
bool cutter_keep(const struct cutter *cutter, size_t site, struct rab_region *region, size_t *parts,
                 struct rab_error *err);

#endif
