/*
 * Frames for the tests of the frame room, from shapes drawn with plain formulas.
 */
#ifndef TESTS_FRAME_FRAMES_H
#define TESTS_FRAME_FRAMES_H

#include <rabbet/frame.h>

#include "../region/shapes.h"

/* A frame whose paper lies between the outlines, nested odd and even. Ends the test when there is
 * none. */
struct rab_frame frame_of(const struct shapes *drawn);
/* The opening that has a point inside; NULL when there is none. */
const struct rab_opening *opening_at(const struct rab_frame *frame, double x, double y);
int number_at(const struct rab_frame *frame, double x, double y); /* 0 when there is none */

#endif
