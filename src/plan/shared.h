/*
 * Lines that lie on each other, followed once.
 */
#ifndef RABBET_PLAN_SHARED_H
#define RABBET_PLAN_SHARED_H

#include "plan/kerf.h"

/*
 * Take out what an earlier path of the same operation follows already: whole outlines, edges, or
 * parts of edges, straight or curved. What is left of an outline becomes open paths.
 *
 * shared  how many outlines and parts went; length: how long they were
 * all     false when so many lines lie on or across each other that it would take too long to look
 *         at all of them; then nothing is taken out
 */
bool shared_drop(struct line_list *list, size_t *shared, double *length, bool *all,
                 struct rab_error *err);

#endif
