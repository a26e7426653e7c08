/*
 * Motifs for the tests of edges, in a library of their own, and edges made with them.
 */
#ifndef TESTS_EDGE_MOTIFS_H
#define TESTS_EDGE_MOTIFS_H

#include <rabbet/edge.h>

/* The shapes that come with the program, and these:
 *   arcs     one arc from valley to valley
 *   teeth    straight lines, the peak in the middle
 *   slant    a saw: the peak lies at the repeat's end
 *   blocks   flat valleys, as wide as the parameter "flat" (a length) and half the pitch's rest
 *   gaps     flat valleys, always two fifths of the pitch
 *   caves    begins and ends at the peak, the valley in the middle
 *   eyes     arcs with a round hole below each valley's height, and a line to draw on
 *   rough    other heights at each joint, by random numbers
 *   cornered arcs with a disc for the corners
 *   stout    arcs that must be no deeper than half their pitch
 */
struct motifs {
    struct rab_library *library;
};
void motifs_open(struct motifs *motifs);
void motifs_close(struct motifs *motifs);

/* A strip, or an edge around a paper; the test fails when it cannot be made. */
struct rab_edge strip_of(const struct motifs *motifs, const char *name, double pitch, double depth,
                         const struct rab_strip_options *options);
struct rab_edge edge_around(const struct motifs *motifs, const char *name, double pitch,
                            double depth, const struct rab_region *paper,
                            const struct rab_along_options *options, struct rab_warnings *notes);
/* The same where it cannot be made: the error. */
struct rab_error no_strip(const struct motifs *motifs, const char *name, double pitch, double depth,
                          const struct rab_strip_options *options);
struct rab_error no_edge(const struct motifs *motifs, const char *name, double pitch, double depth,
                         const struct rab_region *paper, const struct rab_along_options *options);

/* Papers. */
struct rab_region rectangle(double width, double height, double radius);
struct rab_region disc(double x, double y, double radius);
struct rab_region polygon(const double *coordinates, size_t corners);

#endif
