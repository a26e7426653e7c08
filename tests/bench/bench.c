/*
 * How fast the region room is beside GEOS and Clipper, at equal accuracy, in the same run.
 *
 *   bench-region [--quick] [--alone] [--only frame|scallops|blob] [--tolerance MM]...
 *
 * quick: without the largest; alone: the room only, for a profiler; tolerance: 1e-3 and 1e-4 mm
 * unless given.
 *
 * Grow, shrink and union of frames with many openings, of pages with scalloped edges, and of smooth
 * lines of tangent arcs. What is measured is processor time of the operation alone, the least of
 * several runs: for the room from region to region, for GEOS from geometry to geometry, for Clipper
 * from integer paths to integer paths. Turning arcs into chords for them is not counted.
 *
 * The others know no arcs. Their input is the same outlines as chords that lie no further from the
 * arcs than the tolerance, and their round joins keep the same tolerance: for GEOS by the number of
 * chords to a quarter circle, for Clipper by its arc tolerance, with integers ten times finer than
 * the tolerance (and below the size where it turns to slower 128-bit arithmetic, as it documents).
 * The areas of all three must agree within what the tolerance explains, or the run fails.
 */
#include <geos_c.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "../region/chords.h"
#include "clipper.h"

enum op {
    GROW,
    SHRINK,
    UNION,
    OPS,
};
static const char *const op_names[] = {"grow", "shrink", "union"};
static const double seam = 2;

struct result {
    double ms, area; /* ms is infinite when it was not run */
    size_t vertices;
};

/* One outline list and, for the union, where the second copy lies. */
struct load {
    const char *name;
    size_t size;
    struct shapes shapes; /* the first is the outer edge, the others are openings */
    double dx, dy;
};

/* The last time of one library with one tolerance, and the size it was taken at: what would take
 * longer than anybody waits is left out and shown as "-". */
struct past {
    const char *load;
    double size, ms[OPS];
};
static const double patience = 20e3; /* ms */
static bool too_long(const struct past *past, const struct load *load, int op)
{
    return past->load && strcmp(past->load, load->name) == 0 &&
           past->ms[op] * (double)load->size / past->size > patience;
}
static void remember(struct past *past, const struct load *load, const struct result out[OPS])
{
    past->load = load->name;
    past->size = (double)load->size;
    for (int op = 0; op < OPS; op++)
        past->ms[op] = out[op].ms;
}

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return 1e3 * (double)t.tv_sec + 1e-6 * (double)t.tv_nsec;
}

static void give_up(const char *what)
{
    fprintf(stderr, "%s\n", what);
    exit(1);
}

/* Runs are repeated for a third of a second, long ones are not. */
static bool again(int runs, double total)
{
    return runs == 0 || (total < 300 && runs < 200);
}

/* ---- loads ---- */

/* Openings on a pitch of 21.5 mm (200 fill a page of 305 mm), each a little off its place, so that
 * some webs are narrower than two seams. */
static void draw_frame(size_t openings, struct load *out)
{
    struct seeded numbers = {12};
    const size_t across = (size_t)ceil(sqrt((double)openings));
    const size_t down = (openings + across - 1) / across;
    const double pitch = 21.5;

    *out = (struct load){.name = "frame", .size = openings, .dx = 7.3, .dy = 4.1};
    add_rectangle(&out->shapes, -8, -8, pitch * (double)across + 4, pitch * (double)down + 4);
    for (size_t i = 0; i < openings; i++) {
        const double x = pitch * (double)(i % across) + seeded_real(&numbers, -1.5, 1.5);
        const double y = pitch * (double)(i / across) + seeded_real(&numbers, -1.5, 1.5);
        switch (seeded_int(&numbers, 0, 5)) {
        case 0:
        case 1:
            add_arch(&out->shapes, x, y, 14, 8);
            break;
        case 2:
            add_circle(&out->shapes, x + 8, y + 8, 7.5);
            break;
        case 3:
            add_foil(&out->shapes, 5, x + 8, y + 8, 4.4, 3.4, 0.3);
            break;
        case 4:
            add_foil(&out->shapes, 4, x + 8, y + 8, 4, 4, RAB_PI / 4);
            break;
        case 5:
            add_lancet(&out->shapes, x, y, 12, 6, 1);
            break;
        }
        reverse_last(&out->shapes);
    }
}

static void draw_scallops(size_t repeats, struct load *out)
{
    *out = (struct load){.name = "scallops", .size = repeats, .dx = 2.5, .dy = 1.25};
    add_scalloped(&out->shapes, 0, 0, 5.0 * (double)repeats / 4, repeats / 4, 1.5);
}

static void draw_blob(size_t arcs, struct load *out)
{
    *out = (struct load){.name = "blob", .size = arcs, .dx = 7, .dy = 3};
    add_blob(&out->shapes, arcs / 2, 0, 0, 100, 10, 7, 0.4);
}

/* ---- the room ---- */

static void run_room(const struct load *load, struct result out[OPS])
{
    struct rab_region a = {0}, b = {0};
    struct shapes moved = {0};
    struct rab_error err = {0};

    shapes_copy(&load->shapes, &moved);
    shapes_place(&moved, 0, 1, load->dx, load->dy);
    if (!rab_region_fill(load->shapes.items, load->shapes.count, RAB_FILL_NONZERO, &a, &err) ||
        !rab_region_fill(moved.items, moved.count, RAB_FILL_NONZERO, &b, &err))
        give_up(err.text);
    shapes_clear(&moved);
    for (int op = 0; op < OPS; op++) {
        double total = 0;
        out[op].ms = HUGE_VAL;
        for (int runs = 0; again(runs, total); runs++) {
            struct rab_region made = {0};
            const double start = now_ms();
            const bool ok =
                op == UNION
                    ? rab_region_combine(&a, &b, RAB_UNION, &made, &err)
                    : rab_region_grow(&a, op == GROW ? seam : -seam, RAB_JOIN_ROUND, 0, &made, &err);
            const double took = now_ms() - start;
            if (!ok)
                give_up(err.text);
            total += took;
            out[op].ms = fmin(out[op].ms, took);
            out[op].area = rab_region_area(&made);
            out[op].vertices = rab_region_vertices(&made);
            rab_region_clear(&made);
        }
    }
    rab_region_clear(&a);
    rab_region_clear(&b);
}

/* ---- the others: the same outlines as chords ---- */

static struct chords *all_chords(const struct load *load, double tolerance)
{
    struct chords *rings = calloc(load->shapes.count, sizeof *rings);
    if (!rings)
        give_up("out of memory");
    for (size_t i = 0; i < load->shapes.count; i++)
        chords_of(&load->shapes.items[i], tolerance, &rings[i]);
    return rings;
}

static void moved_points(const struct chords *ring, double dx, double dy, double **xy)
{
    *xy = malloc((ring->count + 1) * 2 * sizeof **xy);
    if (!*xy)
        give_up("out of memory");
    for (size_t i = 0; i <= ring->count; i++) {
        (*xy)[2 * i] = ring->points[i % ring->count].x + dx;
        (*xy)[2 * i + 1] = ring->points[i % ring->count].y + dy;
    }
}

static GEOSGeometry *geos_shape(GEOSContextHandle_t geos, const struct chords *rings, size_t count,
                                double dx, double dy)
{
    GEOSGeometry **lines = calloc(count, sizeof *lines);
    if (!lines)
        give_up("out of memory");
    for (size_t i = 0; i < count; i++) {
        double *xy;
        moved_points(&rings[i], dx, dy, &xy);
        GEOSCoordSequence *sequence =
            GEOSCoordSeq_copyFromBuffer_r(geos, xy, (unsigned)(rings[i].count + 1), 0, 0);
        lines[i] = sequence ? GEOSGeom_createLinearRing_r(geos, sequence) : NULL;
        free(xy);
        if (!lines[i])
            give_up("GEOS makes no ring");
    }
    GEOSGeometry *shape =
        GEOSGeom_createPolygon_r(geos, lines[0], lines + 1, (unsigned)(count - 1));
    free(lines);
    if (!shape)
        give_up("GEOS makes no polygon");
    return shape;
}

static void run_geos(const struct load *load, const struct chords *rings, double tolerance,
                     struct past *past, struct result out[OPS])
{
    GEOSContextHandle_t geos = GEOS_init_r();
    GEOSGeometry *a = geos_shape(geos, rings, load->shapes.count, 0, 0);
    GEOSGeometry *b = geos_shape(geos, rings, load->shapes.count, load->dx, load->dy);
    const int quarter = (int)ceil(RAB_PI / 4 / acos(1 - tolerance / seam));

    for (int op = 0; op < OPS; op++) {
        double total = 0;
        out[op] = (struct result){.ms = HUGE_VAL};
        for (int runs = 0; !too_long(past, load, op) && again(runs, total); runs++) {
            const double start = now_ms();
            GEOSGeometry *made = op == UNION
                                     ? GEOSUnion_r(geos, a, b)
                                     : GEOSBuffer_r(geos, a, op == GROW ? seam : -seam, quarter);
            const double took = now_ms() - start;
            if (!made || GEOSArea_r(geos, made, &out[op].area) != 1)
                give_up("GEOS gives up");
            total += took;
            out[op].ms = fmin(out[op].ms, took);
            out[op].vertices = (size_t)GEOSGetNumCoordinates_r(geos, made);
            GEOSGeom_destroy_r(geos, made);
        }
    }
    remember(past, load, out);
    GEOSGeom_destroy_r(geos, a);
    GEOSGeom_destroy_r(geos, b);
    GEOS_finish_r(geos);
}

static void run_clipper(const struct load *load, const struct chords *rings, double tolerance,
                        struct past *past, struct result out[OPS])
{
    struct clipper_paths *a = clipper_new(), *b = clipper_new();
    double extent = 1;
    if (!a || !b)
        give_up("Clipper gives up");
    for (size_t i = 0; i < rings[0].count; i++)
        extent = fmax(extent, fmax(fabs(rings[0].points[i].x), fabs(rings[0].points[i].y)));
    const double scale = fmin(10 / tolerance, 1e9 / (extent + 100));
    for (size_t i = 0; i < load->shapes.count; i++) {
        double *xy;
        moved_points(&rings[i], 0, 0, &xy);
        clipper_add(a, xy, rings[i].count, scale);
        free(xy);
        moved_points(&rings[i], load->dx, load->dy, &xy);
        clipper_add(b, xy, rings[i].count, scale);
        free(xy);
    }
    for (int op = 0; op < OPS; op++) {
        double total = 0;
        out[op] = (struct result){.ms = HUGE_VAL};
        for (int runs = 0; !too_long(past, load, op) && again(runs, total); runs++) {
            const double start = now_ms();
            struct clipper_paths *made =
                op == UNION ? clipper_union(a, b)
                            : clipper_grow(a, scale * (op == GROW ? seam : -seam),
                                           scale * tolerance);
            const double took = now_ms() - start;
            if (!made)
                give_up("Clipper gives up");
            total += took;
            out[op].ms = fmin(out[op].ms, took);
            out[op].area = clipper_area(made) / scale / scale;
            out[op].vertices = clipper_vertices(made);
            clipper_free(made);
        }
    }
    remember(past, load, out);
    clipper_free(a);
    clipper_free(b);
}

/* ---- the table ---- */

struct line {
    double size, ms;
};
struct fit {
    const char *name;
    struct line lines[OPS][8];
    size_t count;
};

/* Slope of log time over log size, least squares. */
static double exponent(const struct line *lines, size_t count)
{
    double sx = 0, sy = 0, sxx = 0, sxy = 0;
    const double n = (double)count;
    for (size_t i = 0; i < count; i++) {
        const double x = log(lines[i].size), y = log(lines[i].ms);
        sx += x;
        sy += y;
        sxx += x * x;
        sxy += x * y;
    }
    return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

/* What chords within the tolerance may take from an area of that perimeter, in input and joins,
 * and Clipper's integers from its edges. */
static double explained(double perimeter, double tolerance)
{
    return 2.5 * tolerance * perimeter + 1e-6;
}

static void cell(double ms)
{
    if (isfinite(ms))
        printf(" %.*f |", ms < 10 ? 3 : ms < 1000 ? 1 : 0, ms);
    else
        printf(" - |");
}

static void cells(const struct result *other, const struct result *room)
{
    if (isfinite(other->ms))
        printf(" %zu (%.1f x) |", other->vertices,
               (double)other->vertices / (double)room->vertices);
    else
        printf(" - |");
}

static bool agrees(const struct result *other, const struct result *room, double perimeter,
                   double tolerance, double *apart)
{
    if (!isfinite(other->ms))
        return true;
    *apart = fmax(*apart, fabs(room->area - other->area));
    return fabs(room->area - other->area) <= explained(perimeter, tolerance);
}

static bool show(const struct load *load, double tolerance, const double perimeter[OPS],
                 const struct result room[OPS], const struct result geos[OPS],
                 const struct result clipper[OPS])
{
    bool good = true;
    for (int op = 0; op < OPS; op++) {
        double apart = 0;
        const bool agree =
            agrees(&geos[op], &room[op], perimeter[op], tolerance, &apart) &&
            agrees(&clipper[op], &room[op], perimeter[op], tolerance, &apart);
        printf("| %s | %zu | %s | %.0e |", load->name, load->size, op_names[op], tolerance);
        cell(room[op].ms);
        cell(geos[op].ms);
        cell(clipper[op].ms);
        printf(" %.1f | %zu |", fmin(geos[op].ms, clipper[op].ms) / room[op].ms, room[op].vertices);
        cells(&geos[op], &room[op]);
        cells(&clipper[op], &room[op]);
        printf(" %.1e%s |\n", apart / perimeter[op], agree ? "" : " APART");
        good = good && agree;
    }
    fflush(stdout);
    return good;
}

/* Lengths of the results' edges, to judge areas by. */
static void perimeters(const struct load *load, double out[OPS])
{
    struct rab_region a = {0}, b = {0}, made = {0};
    struct rab_error err = {0};
    struct shapes moved = {0};
    shapes_copy(&load->shapes, &moved);
    shapes_place(&moved, 0, 1, load->dx, load->dy);
    bool ok = rab_region_fill(load->shapes.items, load->shapes.count, RAB_FILL_NONZERO, &a, &err) &&
              rab_region_fill(moved.items, moved.count, RAB_FILL_NONZERO, &b, &err);
    for (int op = 0; op < OPS && ok; op++) {
        ok = op == UNION
                 ? rab_region_combine(&a, &b, RAB_UNION, &made, &err)
                 : rab_region_grow(&a, op == GROW ? seam : -seam, RAB_JOIN_ROUND, 0, &made, &err);
        out[op] = rab_region_perimeter(&made);
        rab_region_clear(&made);
    }
    if (!ok)
        give_up(err.text);
    shapes_clear(&moved);
    rab_region_clear(&a);
    rab_region_clear(&b);
}

int main(int argc, char **argv)
{
    static const struct {
        void (*draw)(size_t, struct load *);
        size_t size;
        bool long_run;
    } loads[] = {
        {draw_frame, 20, false},     {draw_frame, 200, false},     {draw_frame, 2000, false},
        {draw_frame, 10000, true},   {draw_scallops, 500, false},  {draw_scallops, 5000, false},
        {draw_scallops, 20000, true}, {draw_blob, 1000, false},    {draw_blob, 10000, false},
    };
    double tolerances[8] = {1e-3, 1e-4};
    size_t tolerance_count = 0;
    bool quick = false, alone = false;
    const char *only = NULL;

    for (int i = 1; i < argc; i++) {
        double value;
        if (strcmp(argv[i], "--quick") == 0) {
            quick = true;
        } else if (strcmp(argv[i], "--alone") == 0) {
            alone = true;
        } else if (strcmp(argv[i], "--only") == 0 && i + 1 < argc) {
            only = argv[++i];
        } else if (strcmp(argv[i], "--tolerance") == 0 && i + 1 < argc && tolerance_count < 8 &&
                   rab_number_read(argv[i + 1], strlen(argv[i + 1]), &value) ==
                       strlen(argv[i + 1]) &&
                   value > 0) {
            tolerances[tolerance_count++] = value;
            i++;
        } else {
            fprintf(stderr, "usage: %s [--quick] [--alone] [--only LOAD] [--tolerance MM]...\n", argv[0]);
            return 2;
        }
    }
    if (tolerance_count == 0)
        tolerance_count = 2;

    struct fit fits[3] = {{.name = "frame"}, {.name = "scallops"}, {.name = "blob"}};
    struct past geos_past[8] = {{0}}, clipper_past[8] = {{0}};
    bool good = true;
    printf("rabbet " RAB_VERSION ", GEOS %s, Clipper %s; ms of processor time\n\n", GEOSversion(),
           clipper_version());
    printf("| load | size | op | within, mm | rabbet | GEOS | Clipper | faster x | vertices | GEOS | "
           "Clipper | apart, mm |\n"
           "|---|---|---|---|---|---|---|---|---|---|---|---|\n");
    for (size_t i = 0; i < sizeof loads / sizeof *loads; i++) {
        struct load load;
        struct result room[OPS], geos[OPS], clipper[OPS];
        double perimeter[OPS] = {0};
        if (quick && loads[i].long_run)
            continue;
        loads[i].draw(loads[i].size, &load);
        if (only && strcmp(only, load.name) != 0) {
            shapes_clear(&load.shapes);
            continue;
        }
        run_room(&load, room);
        perimeters(&load, perimeter);
        for (int f = 0; f < 3; f++)
            if (strcmp(fits[f].name, load.name) == 0) {
                for (int op = 0; op < OPS; op++)
                    fits[f].lines[op][fits[f].count] =
                        (struct line){(double)load.size, room[op].ms};
                fits[f].count++;
            }
        if (alone)
            good &= show(&load, 0, perimeter, room, room, room);
        for (size_t t = 0; t < tolerance_count && !alone; t++) {
            struct chords *rings = all_chords(&load, tolerances[t]);
            run_geos(&load, rings, tolerances[t], &geos_past[t], geos);
            run_clipper(&load, rings, tolerances[t], &clipper_past[t], clipper);
            good &= show(&load, tolerances[t], perimeter, room, geos, clipper);
            for (size_t k = 0; k < load.shapes.count; k++)
                chords_clear(&rings[k]);
            free(rings);
        }
        shapes_clear(&load.shapes);
    }
    printf("\nGrowth of the time with the size (exponent, least squares):\n");
    for (int f = 0; f < 3; f++)
        for (int op = 0; op < OPS && fits[f].count > 1; op++)
            printf("  %s %s: %.2f\n", fits[f].name, op_names[op],
                   exponent(fits[f].lines[op], fits[f].count));
    if (!good)
        printf("\nareas differ by more than the tolerance explains\n");
    return good ? 0 : 1;
}
