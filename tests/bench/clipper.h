/*
 * The little of the Clipper library (C++) that the benchmark needs, callable from C. Paths are
 * integers; whoever adds a path says by how much its millimetres are multiplied.
 */
#ifndef TESTS_BENCH_CLIPPER_H
#define TESTS_BENCH_CLIPPER_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

struct clipper_paths;

/* All of these return NULL (or do nothing) when memory is out or the library throws. */
struct clipper_paths *clipper_new(void);
void clipper_free(struct clipper_paths *paths);
void clipper_add(struct clipper_paths *paths, const double *xy, size_t count, double scale);
/* Offset with round joins; distance and arc tolerance in the paths' units. */
struct clipper_paths *clipper_grow(const struct clipper_paths *paths, double distance,
                                   double arc_tolerance);
struct clipper_paths *clipper_union(const struct clipper_paths *a, const struct clipper_paths *b);
double clipper_area(const struct clipper_paths *paths);
size_t clipper_vertices(const struct clipper_paths *paths);
const char *clipper_version(void);

#ifdef __cplusplus
}
#endif

#endif
