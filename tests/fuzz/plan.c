/* Plans of any bytes: up to eight outlines of lines and arcs on a small grid, open and closed, some
 * on each other, some across each other. Whatever is asked for, a plan comes back that is no longer
 * than the outlines, with every path on an outline of its piece, or a refusal with a reason. What
 * is told of trouble stays within what was looked at. */
#include "rabbet/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { MOST = 8 };

static void insist(bool truth)
{
    if (!truth)
        abort();
}

struct bytes {
    const uint8_t *data;
    size_t left;
};

static unsigned next(struct bytes *bytes)
{
    if (bytes->left == 0)
        return 0;
    bytes->left--;
    return *bytes->data++;
}

/* Five bits of grid, three of a hair's breadth. */
static double coordinate(unsigned byte)
{
    static const double hairs[8] = {0, 0, 0, 0.5, 1e-9, -1e-7, 3e-5, 1e-3};
    return 2 * (double)(byte & 31) + hairs[byte >> 5];
}

static double bulge_of(unsigned byte)
{
    static const double bulges[16] = {
        0,   0,    0,    0,     0, 1, -1,     0.41421356237309505, -0.41421356237309505,
        0.2, -0.7, 1e-6, -1e-9, 3, 9, -1.0001};
    return byte < 128 ? bulges[byte & 15] : ((double)byte - 191.5) / 40;
}

static struct rab_path read_path(struct bytes *bytes)
{
    const unsigned head = next(bytes), count = next(bytes) % 12;
    struct rab_path path = {(enum rab_operation)((head & 7) % RAB_OPERATIONS),
                            (int)(head >> 3 & 3),
                            {.open = (head & 64) != 0}};
    for (unsigned i = 0; i < count && bytes->left > 0; i++) {
        const double x = coordinate(next(bytes)), y = coordinate(next(bytes));
        insist(rab_outline_add(&path.outline, x, y, bulge_of(next(bytes)), NULL));
    }
    if (head & 32)
        path.operation = RAB_CUT;
    return path;
}

static struct rab_plan_options read_options(struct bytes *bytes)
{
    static const double lengths[8] = {0, 0.2, 0.5, 1, 2, 4, 12, -1};
    static const double dashes[4] = {0, 0.5, 4, -1}, cool[4] = {0, 3, 20, 200};
    const unsigned a = next(bytes), b = next(bytes), c = next(bytes);
    return (struct rab_plan_options){.kerf = lengths[a & 7],
                                     .overcut = lengths[a >> 3 & 7],
                                     .tabs = (int)(a >> 6),
                                     .tab_every = lengths[b & 7],
                                     .tab_width = lengths[b >> 3 & 7],
                                     .perforation_cut = lengths[c & 7],
                                     .perforation_gap = lengths[c >> 3 & 7],
                                     .crease_dash = dashes[c >> 6 & 3],
                                     .crease_gap = dashes[c >> 6 & 3] / 2,
                                     .cool = cool[b >> 6 & 3]};
}

/* On an outline of its piece, as far as no kerf moved it. */
static bool is_owned(const struct rab_path *paths, size_t count, const struct rab_path *part)
{
    for (size_t v = 0; v < part->outline.count; v++) {
        const struct rab_vertex at = part->outline.vertices[v];
        double least = HUGE_VAL;
        for (size_t i = 0; i < count; i++)
            if (paths[i].piece == part->piece && paths[i].operation == part->operation)
                least = fmin(least, rab_outline_distance(&paths[i].outline,
                                                         (struct rab_point){at.x, at.y}, NULL));
        if (!(least < 1e-3))
            return false;
    }
    return true;
}

static bool are_same(const struct rab_plan *a, const struct rab_plan *b)
{
    if (a->count != b->count || a->length != b->length || a->idle != b->idle)
        return false;
    for (size_t i = 0; i < a->count; i++) {
        const struct rab_outline *p = &a->paths[i].outline, *q = &b->paths[i].outline;
        if (p->count != q->count ||
            memcmp(p->vertices, q->vertices, p->count * sizeof *p->vertices) != 0)
            return false;
    }
    return true;
}

static void check_made(const struct rab_path *paths, size_t count,
                       const struct rab_plan_options *options, const struct rab_plan *plan)
{
    double whole = 0, bound = 0;

    for (size_t i = 0; i < count; i++)
        whole += rab_outline_perimeter(&paths[i].outline) + options->overcut;
    insist(isfinite(plan->length) && isfinite(plan->idle) && plan->idle >= 0);
    insist(plan->larger <= plan->count &&
           (plan->larger == plan->count || plan->paths[plan->larger].operation == RAB_CUT));
    /* of many it takes a second */
    if (plan->count < 200)
        insist(rab_plan_bound(plan, options->home, &bound, NULL) && bound >= 0 &&
               bound <= plan->idle * (1 + 1e-9) + 1e-6);
    for (size_t i = 0; i < plan->count; i++)
        insist(plan->paths[i].outline.count >= 2 &&
               rab_outline_perimeter(&plan->paths[i].outline) > 0);
    if (options->kerf > 0)
        return;
    insist(plan->length + plan->shared_length <= whole * (1 + 1e-9) + 1e-6);
    for (size_t i = 0; i < plan->count; i++)
        insist(is_owned(paths, count, &plan->paths[i]));
}

/* Time to cool changes the order, nothing else. */
static void check_cool(const struct rab_path *paths, size_t count,
                       const struct rab_plan_options *options, const struct rab_plan *plan)
{
    struct rab_plan_options at_once = *options;
    struct rab_plan other = {0};

    at_once.cool = 0;
    insist(rab_plan_make(paths, count, &at_once, &other, NULL, NULL));
    insist(other.count == plan->count && other.tabs == plan->tabs && other.larger == plan->larger &&
           other.shared_length == plan->shared_length &&
           fabs(other.length - plan->length) <= 1e-9 * (1 + plan->length));
    rab_plan_clear(&other);
}

static void check_plan(const struct rab_path *paths, size_t count,
                       const struct rab_plan_options *options)
{
    struct rab_plan plan = {0}, again = {0};
    struct rab_warnings notes = {0};
    struct rab_error err = {0};

    if (rab_plan_make(paths, count, options, &plan, &notes, &err)) {
        check_made(paths, count, options, &plan);
        check_cool(paths, count, options, &plan);
        insist(rab_plan_make(paths, count, options, &again, NULL, NULL) && are_same(&plan, &again));
    } else {
        insist((err.fault == RAB_FAULT_INPUT || err.fault == RAB_FAULT_GEOMETRY) &&
               err.text[0] != '\0' && plan.count == 0);
    }
    rab_warnings_clear(&notes);
    rab_plan_clear(&plan);
    rab_plan_clear(&again);
}

static void check_look(const struct rab_path *paths, size_t count, unsigned byte)
{
    const struct rab_look_options options = {.web = byte & 15, .corner = (byte >> 4) / 8.0};
    struct rab_troubles troubles = {0};

    insist(rab_plan_look(paths, count, &options, &troubles, NULL));
    for (size_t i = 0; i < troubles.count; i++) {
        const struct rab_trouble *t = &troubles.items[i];
        insist(t->kind < RAB_TROUBLES && t->path < count && !isnan(t->measure) &&
               isfinite(t->at.x) && isfinite(t->at.y));
        insist(i == 0 || t->kind >= troubles.items[i - 1].kind);
        if (t->kind == RAB_TROUBLE_WEB)
            insist(t->measure > 0 && t->measure < (options.web > 0 ? options.web : 2));
    }
    rab_troubles_clear(&troubles);
}

/* A blade's way has as many arcs and lines as the outline, and a swing at each corner at most. */
static void check_blade(const struct rab_outline *outline)
{
    struct rab_outline blade = {0};

    insist(rab_plan_blade(outline, 0.5, &blade, NULL));
    insist(blade.count <= 2 * outline->count + 1);
    for (size_t i = 0; i < blade.count; i++)
        insist(isfinite(blade.vertices[i].x) && isfinite(blade.vertices[i].y) &&
               isfinite(blade.vertices[i].bulge));
    rab_outline_clear(&blade);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct rab_path paths[MOST] = {{0}};
    struct bytes bytes = {data, size > 300 ? 300 : size};
    const struct rab_plan_options options = read_options(&bytes);
    const unsigned look = next(&bytes);
    size_t count = 0;

    while (count < MOST && bytes.left > 0)
        paths[count++] = read_path(&bytes);
    check_plan(paths, count, &options);
    check_look(paths, count, look);
    for (size_t i = 0; i < count; i++) {
        check_blade(&paths[i].outline);
        rab_outline_clear(&paths[i].outline);
    }
    return 0;
}
