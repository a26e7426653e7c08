#include "arrange.h"

#include <stdlib.h>
#include <string.h>

static const double farthest = 1e6;

void *take(size_t n, size_t size, struct rab_error *err)
{
    void *block = n > SIZE_MAX / size ? NULL : malloc(n * size + 1);

    if (!block)
        rab_fail_memory(err);
    return block;
}

static bool push(struct chains *chains, double x, double y, double bulge, struct rab_error *err)
{
    if (chains->count >= UINT32_MAX / 8)
        return rab_fail(err, RAB_FAULT_GEOMETRY,
                        "more than 500 million corners; simplify the drawing");
    if (!rab_reserve((void **)&chains->vertices, &chains->capacity, chains->count + 1,
                     sizeof *chains->vertices, err))
        return false;
    chains->vertices[chains->count++] = (struct rab_vertex){x, y, bulge};
    return true;
}

/* First vertex of the chain that is being made. */
static size_t begun(const struct chains *chains)
{
    return chains->chains ? chains->start[chains->chains] : 0;
}

static bool close(struct rab_vertex a, double x, double y, double same)
{
    return fabs(a.x - x) <= same && fabs(a.y - y) <= same;
}

/* Give the way from the last vertex to (x, y) in parts of at most half a turn: all but the last
 * part are added here, and the last vertex's bulge is set for the rest. */
static bool split_last(struct chains *chains, double x, double y, struct rab_error *err)
{
    struct rab_vertex last = chains->vertices[chains->count - 1];
    const double b = last.bulge;

    if (fabs(b) <= 1)
        return true;
    /* Half of it: tan(t/2) from tan(t), and the point in the middle of the arc. */
    const double half = b / (1 + sqrt(1 + b * b));
    const double dx = x - last.x, dy = y - last.y;
    chains->vertices[chains->count - 1].bulge = half;
    return push(chains, (last.x + x) / 2 + dy * b / 2, (last.y + y) / 2 - dx * b / 2, half, err);
}

bool chains_add(struct chains *chains, double x, double y, double bulge, double same,
                struct rab_error *err)
{
    if (!(fabs(x) <= farthest && fabs(y) <= farthest))
        return rab_fail(
            err, RAB_FAULT_GEOMETRY,
            "a corner lies more than a kilometre from the origin; move the drawing nearer");
    if (!(fabs(bulge) <= 1e15))
        return rab_fail(err, RAB_FAULT_GEOMETRY, "an arc's bulge is not a number of use");
    if (chains->count > begun(chains)) {
        struct rab_vertex *last = &chains->vertices[chains->count - 1];
        const double dx = x - last->x, dy = y - last->y;
        /* A nearly full circle between two close vertices is long all the same. */
        const double across = fabs(last->bulge) > 1 ? length_of(dx, dy) * fabs(last->bulge) : 0;
        if (close(*last, x, y, same) && across <= same) {
            last->bulge = bulge;
            return true;
        }
        if (!split_last(chains, x, y, err))
            return false;
    }
    return push(chains, x, y, bulge, err);
}

static void reverse(struct rab_vertex *v, size_t n)
{
    for (size_t i = 0, j = n - 1; i < j; i++, j--) {
        const struct rab_vertex swap = v[i];
        v[i] = v[j];
        v[j] = swap;
    }
    /* The bulge belongs to the way that starts at the vertex: one place on. */
    const double first = v[0].bulge;
    for (size_t i = 0; i + 1 < n; i++)
        v[i].bulge = -v[i + 1].bulge;
    v[n - 1].bulge = -first;
}

bool chains_end(struct chains *chains, double same, bool backwards, struct rab_error *err)
{
    const size_t from = begun(chains);

    while (chains->count > from + 1) {
        const struct rab_vertex first = chains->vertices[from];
        const struct rab_vertex last = chains->vertices[chains->count - 1];
        const double b = fabs(last.bulge);
        if (!close(last, first.x, first.y, same) ||
            (b > 1 && length_of(last.x - first.x, last.y - first.y) * b > same))
            break;
        chains->count--;
    }
    if (chains->count - from < 2) {
        chains->count = from;
        return true;
    }
    if (!split_last(chains, chains->vertices[from].x, chains->vertices[from].y, err) ||
        !rab_reserve((void **)&chains->start, &chains->start_capacity, chains->chains + 2,
                     sizeof *chains->start, err))
        return false;
    if (backwards)
        reverse(chains->vertices + from, chains->count - from);
    chains->start[chains->chains] = from;
    chains->start[++chains->chains] = chains->count;
    return true;
}

bool chains_outline(struct chains *chains, const struct rab_outline *outline, bool backwards,
                    double same, struct rab_error *err)
{
    for (size_t i = 0; i < outline->count; i++) {
        const struct rab_vertex v = outline->vertices[i];
        const bool closing = outline->open && i + 1 == outline->count;
        if (!chains_add(chains, v.x, v.y, closing ? 0 : v.bulge, same, err))
            return false;
    }
    return chains_end(chains, same, backwards, err);
}

void chains_clear(struct chains *chains)
{
    free(chains->vertices);
    free(chains->start);
    *chains = (struct chains){0};
}
