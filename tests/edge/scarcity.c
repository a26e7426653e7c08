/* Lack of memory at each allocation in turn: it is reported, nothing leaks, and what was to be made
 * is left as it was. */
#include "motifs.h"
#include "scarce.h"

#include <criterion/criterion.h>
#include <string.h>

static struct motifs motifs;
static struct rab_region paper, front;

static void set_up(void)
{
    struct rab_region whole = rectangle(60, 50, 0), hole = disc(30, 25, 8);
    struct rab_error err = {0};

    motifs_open(&motifs);
    cr_assert(rab_region_combine(&whole, &hole, RAB_DIFFERENCE, &paper, &err));
    rab_region_clear(&hole);
    rab_region_clear(&whole);
    front = disc(0, 0, 10);
}

static void tear_down(void)
{
    rab_region_clear(&front);
    rab_region_clear(&paper);
    motifs_close(&motifs);
}

static bool make_strip(struct rab_error *err)
{
    const double values[] = {12, 3};
    const struct rab_strip_options options = {
        .length = 60, .width = 30, .sides = RAB_SIDES_APART, .ends = RAB_ENDS_HALF};
    struct rab_edge out = {0};
    const struct rab_shape *motif = rab_library_find(motifs.library, "eyes", err);
    const bool ok = motif && rab_edge_strip(motifs.library, motif, values, &options, 0, &out, err);

    cr_assert(ok || (!out.runs && !out.figure.paper.outlines && !out.figure.paths));
    rab_edge_clear(&out);
    return ok;
}

static bool put_around(const char *name, double depth, struct rab_along_options options,
                       struct rab_error *err)
{
    const double values[] = {12, depth};
    struct rab_edge out = {0};
    struct rab_warnings notes = {0};
    const struct rab_shape *motif = rab_library_find(motifs.library, name, err);
    const bool ok = motif && rab_edge_along(motifs.library, motif, values, &paper, &options, 0,
                                            &out, &notes, err);

    cr_assert(ok || (!out.runs && !out.figure.paper.outlines && !out.figure.paths));
    rab_warnings_clear(&notes);
    rab_edge_clear(&out);
    return ok;
}

static bool put_outside(struct rab_error *err)
{
    return put_around("eyes", 3, (struct rab_along_options){.fewer = true}, err);
}

static bool put_corners(struct rab_error *err)
{
    return put_around("cornered", 3, (struct rab_along_options){.corners = RAB_CORNERS_MOTIF}, err);
}

static bool put_inside(struct rab_error *err)
{
    return put_around("arcs", 3,
                      (struct rab_along_options){.inward = true, .corners = RAB_CORNERS_PEAK}, err);
}

static bool lie_behind(struct rab_error *err)
{
    struct rab_region out = {0};
    const bool ok = rab_edge_behind(&front, 2, true, &out, err);

    cr_assert(ok || !out.outlines);
    rab_region_clear(&out);
    return ok;
}

static void starve(bool (*work)(struct rab_error *), const char *name)
{
    enum { LIMIT = 200000 };
    size_t granted = 0;

    for (; granted < LIMIT; granted++) {
        struct rab_error err = {0};
        scarce_begin(granted);
        const bool ok = work(&err);
        const long held = scarce_held();
        const bool refused = scarce_end();
        cr_assert(held == 0, "%s: %ld blocks left after %zu allocations", name, held, granted);
        if (!refused) {
            cr_assert(ok, "%s: %s", name, err.text);
            break;
        }
        cr_assert_not(ok, "%s: done in spite of the refusal of allocation %zu", name, granted);
        cr_assert(err.fault == RAB_FAULT_MEMORY, "%s: fault %d after %zu: %s", name, (int)err.fault,
                  granted, err.text);
    }
    cr_assert(granted > 5 && granted < LIMIT, "%s: %zu allocations", name, granted);
}

Test(edge_scarcity, strip, .init = set_up, .fini = tear_down)
{
    starve(make_strip, "strip");
}

Test(edge_scarcity, outside, .init = set_up, .fini = tear_down)
{
    starve(put_outside, "outside");
}

Test(edge_scarcity, corners, .init = set_up, .fini = tear_down)
{
    starve(put_corners, "corners");
}

Test(edge_scarcity, inside, .init = set_up, .fini = tear_down)
{
    starve(put_inside, "inside");
}

Test(edge_scarcity, behind, .init = set_up, .fini = tear_down)
{
    starve(lie_behind, "behind");
}
