/*
 * How far the idle travel of planned sheets is from the least possible, and how long planning
 * takes: meson test --benchmark, or by hand
 *
 *     bench-plan docs/lantern-walk/frame.svg
 *
 * Against the bound that the plan states (Held and Karp 1970: no order with the same starting
 * points is shorter, not even one that heeds no rules), and against the usual simple way: from
 * where the tool is to the nearest line that may be next. That one heeds what lies in what and the
 * order of operations, but need not finish pieces one by one. Processor time; the sheets are drawn
 * by lot, seeded.
 */
#include <math.h>
#include <rabbet/frame.h>
#include <rabbet/plan.h>
#include <rabbet/read.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

struct sheet {
    struct rab_path *paths;
    size_t count, capacity;
    int pieces;
};

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void insist(bool ok, const struct rab_error *err)
{
    if (ok)
        return;
    fprintf(stderr, "bench-plan: %s\n", err ? err->text : "memory is out");
    exit(1);
}

static void *memory(size_t count, size_t size)
{
    void *block = calloc(count + 1, size);
    insist(block != NULL, NULL);
    return block;
}

static void add(struct sheet *sheet, enum rab_operation operation, int piece,
                struct rab_outline outline)
{
    void *items = sheet->paths;
    struct rab_error err = {0};

    insist(rab_reserve(&items, &sheet->capacity, sheet->count + 1, sizeof *sheet->paths, &err),
           &err);
    sheet->paths = items;
    sheet->paths[sheet->count++] = (struct rab_path){operation, piece, outline};
}

static void sheet_clear(struct sheet *sheet)
{
    for (size_t i = 0; i < sheet->count; i++)
        rab_outline_clear(&sheet->paths[i].outline);
    free(sheet->paths);
    *sheet = (struct sheet){0};
}

/* ---- sheets by lot --------------------------------------------------------------------- */

static double share(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005U + 1442695040888963407U;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

static struct rab_outline rectangle(double x, double y, double width, double height)
{
    struct rab_outline made = {0};
    insist(rab_outline_rectangle((struct rab_box){x, y, x + width, y + height}, 0, &made, NULL),
           NULL);
    return made;
}

static struct rab_outline disc(double x, double y, double radius)
{
    struct rab_outline made = {0};
    insist(rab_outline_circle((struct rab_point){x, y}, radius, &made, NULL), NULL);
    return made;
}

static struct rab_outline reversed(struct rab_outline outline)
{
    rab_outline_reverse(&outline);
    return outline;
}

static struct rab_outline polygon(double x, double y, double radius, int corners, double angle)
{
    struct rab_outline made = {0};
    for (int i = 0; i < corners; i++) {
        const double a = angle + 2 * RAB_PI * i / corners;
        insist(rab_outline_add(&made, x + radius * cos(a), y + radius * sin(a), 0, NULL), NULL);
    }
    return made;
}

static struct rab_outline straight(double x0, double y0, double x1, double y1)
{
    struct rab_outline made = {.open = true};
    insist(rab_outline_add(&made, x0, y0, 0, NULL) && rab_outline_add(&made, x1, y1, 0, NULL),
           NULL);
    return made;
}

enum kind { ROWS, ROUNDS, STREWN, CLUSTERS, PANES, TAGS, KINDS };
static const char *const kind_names[KINDS] = {
    [ROWS] = "rectangles in rows",     [ROUNDS] = "discs of many sizes",
    [STREWN] = "polygons strewn",      [CLUSTERS] = "discs in heaps",
    [PANES] = "panes, three openings", [TAGS] = "tags, hole and crease",
};

/* A piece in its cell of 20 mm. */
static void add_piece(struct sheet *sheet, enum kind kind, double x, double y, uint64_t *seed)
{
    const int piece = ++sheet->pieces;
    const double dx = 4 * share(seed), dy = 4 * share(seed), size = share(seed);

    switch (kind) {
    case ROWS:
        add(sheet, RAB_CUT, piece, rectangle(x + 1, y + 1, 18, 8 + 10 * size));
        break;
    case ROUNDS:
        add(sheet, RAB_CUT, piece, disc(x + 8 + dx, y + 8 + dy, 2 + 6 * size));
        break;
    case STREWN:
        add(sheet, RAB_CUT, piece,
            polygon(x + 8 + dx, y + 8 + dy, 3 + 5 * size, 3 + (int)(6 * share(seed)),
                    7 * share(seed)));
        break;
    case PANES:
        add(sheet, RAB_CUT, piece, rectangle(x + 0.5, y + 0.5, 19, 19));
        add(sheet, RAB_CUT, piece, reversed(disc(x + 6 + dx / 4, y + 6, 3)));
        add(sheet, RAB_CUT, piece, reversed(disc(x + 14, y + 6 + dy / 4, 2 + size)));
        add(sheet, RAB_CUT, piece, reversed(rectangle(x + 3 + dx, y + 11, 8, 6)));
        break;
    case TAGS:
        add(sheet, RAB_CUT, piece, rectangle(x + 1, y + 1, 17, 10 + 7 * size));
        add(sheet, RAB_CUT, piece, reversed(disc(x + 4, y + 4, 1.5)));
        add(sheet, RAB_CREASE, piece, straight(x + 8 + dx, y + 1, x + 8 + dx, y + 11 + 7 * size));
        break;
    default:
        break;
    }
}

static struct sheet draw_by_lot(enum kind kind, int pieces, uint64_t seed)
{
    struct sheet sheet = {0};
    const int columns = (int)ceil(sqrt(pieces));

    if (kind == CLUSTERS) {
        /* heaps of 25 discs, 5 to a row */
        for (int n = 0; n < pieces; n++) {
            static double x, y;
            if (n % 25 == 0) {
                x = 20.0 * columns * share(&seed);
                y = 20.0 * columns * share(&seed);
            }
            add(&sheet, RAB_CUT, ++sheet.pieces,
                disc(x + 6 * (n % 5), y + 6.0 * (n / 5 % 5), 1 + share(&seed)));
        }
        return sheet;
    }
    for (int n = 0; n < pieces; n++)
        add_piece(&sheet, kind, 20.0 * (n % columns), 20.0 * (n / columns), &seed);
    return sheet;
}

/* ---- the nearest next ------------------------------------------------------------------ */

static int rank(enum rab_operation operation)
{
    static const int ranks[RAB_OPERATIONS] = {
        [RAB_DRAW] = 0,     [RAB_GLUE] = 1,      [RAB_CREASE] = 2,
        [RAB_PART_CUT] = 3, [RAB_PERFORATE] = 4, [RAB_CUT] = 5,
    };
    return ranks[operation];
}

static bool lies_in(const struct rab_path *in, const struct rab_box *box,
                    const struct rab_path *around, const struct rab_box *other)
{
    const struct rab_vertex *v = &in->outline.vertices[0];

    return in != around && in->operation == around->operation && !around->outline.open &&
           other->x0 <= box->x0 && other->y0 <= box->y0 && other->x1 >= box->x1 &&
           other->y1 >= box->y1 &&
           rab_outline_winding(&around->outline, (struct rab_point){v->x, v->y}) != 0;
}

/* Closed lines may begin at any vertex, open ones at both ends. */
static double nearest_next(const struct sheet *sheet)
{
    const size_t n = sheet->count;
    struct rab_box *boxes = memory(n, sizeof *boxes);
    size_t *within = memory(n, sizeof *within); /* not yet followed lines that lie in each */
    bool *done = memory(n, sizeof *done);
    struct rab_point at = {0, 0};
    double travel = 0;

    for (size_t i = 0; i < n; i++)
        boxes[i] = rab_outline_box(&sheet->paths[i].outline);
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++)
            within[i] += lies_in(&sheet->paths[k], &boxes[k], &sheet->paths[i], &boxes[i]);
    for (size_t step = 0; step < n; step++) {
        struct rab_point leave = at;
        double least = HUGE_VAL;
        size_t best = n;
        int first = RAB_OPERATIONS;

        for (size_t i = 0; i < n; i++)
            if (!done[i] && rank(sheet->paths[i].operation) < first)
                first = rank(sheet->paths[i].operation);
        for (size_t i = 0; i < n; i++) {
            const struct rab_outline *o = &sheet->paths[i].outline;
            if (done[i] || within[i] > 0 || rank(sheet->paths[i].operation) != first)
                continue;
            for (size_t v = 0; v < o->count; v++) {
                if (o->open && v > 0 && v + 1 < o->count)
                    continue;
                const double d = hypot(o->vertices[v].x - at.x, o->vertices[v].y - at.y);
                const struct rab_vertex *end = &o->vertices[!o->open ? v
                                                            : v == 0 ? o->count - 1
                                                                     : 0];
                if (d < least) {
                    least = d;
                    best = i;
                    leave = (struct rab_point){end->x, end->y};
                }
            }
        }
        travel += least;
        at = leave;
        done[best] = true;
        for (size_t k = 0; k < n; k++)
            within[k] -=
                !done[k] && lies_in(&sheet->paths[best], &boxes[best], &sheet->paths[k], &boxes[k]);
    }
    free(boxes);
    free(within);
    free(done);
    return travel;
}

/* ---- figures --------------------------------------------------------------------------- */

struct figures {
    size_t lines;
    double nearest, idle, bound, seconds, more;
};

static struct figures measure(const struct sheet *sheet)
{
    const struct rab_plan_options options = {0};
    struct rab_plan plan = {0};
    struct rab_error err = {0};

    const double before = now();
    insist(rab_plan_make(sheet->paths, sheet->count, &options, &plan, NULL, &err), &err);
    const double seconds = now() - before;
    double bound = 0;
    insist(rab_plan_bound(&plan, options.home, &bound, &err), &err);
    const double more = now() - before - seconds;
    const struct figures f = {plan.count, nearest_next(sheet), plan.idle, bound, seconds, more};
    rab_plan_clear(&plan);
    return f;
}

static void tell(const char *name, const struct figures *f)
{
    printf("| %s | %zu | %.0f | %.0f | %.0f | %.1f %% | %.1f %% | %.2f | %.2f |\n", name, f->lines,
           f->nearest, f->idle, f->bound, 100 * (f->idle / f->bound - 1),
           100 * (f->nearest / f->bound - 1), f->seconds, f->more);
}

/* ---- the demonstration ----------------------------------------------------------------- */

static void add_region(struct sheet *sheet, int piece, const struct rab_region *region)
{
    for (size_t i = 0; i < region->count; i++) {
        struct rab_outline copy = {0};
        insist(rab_outline_copy(&region->outlines[i], &copy, NULL), NULL);
        add(sheet, RAB_CUT, piece, copy);
    }
}

static void show_demonstration(const char *path, double *above, int *rows)
{
    struct rab_text bytes = {0};
    struct rab_drawing drawing = {0};
    struct rab_region paper = {0};
    struct rab_reading_report report = {0};
    struct rab_frame frame = {0};
    struct rab_backing_options options = rab_backing_options_usual();
    struct rab_backings backings = {0};
    struct rab_placing placing = {0};
    struct sheet sheet = {0};
    struct rab_error err = {0};

    options.seam = 4;
    insist(rab_file_read(path, RAB_READ_LIMIT, &bytes, &err) &&
               rab_drawing_read(bytes.data, bytes.length, NULL, &drawing, NULL, &err) &&
               rab_drawing_region(&drawing, RAB_READ_AUTO, RAB_JOIN_GAP, &paper, &report, NULL,
                                  &err) &&
               rab_frame_from_region(&paper, &frame, NULL, &err) &&
               rab_frame_back(&frame, &options, &backings, NULL, &err) &&
               rab_backings_arrange(&backings, 304.8, 304.8, 3, &placing, &err),
           &err);
    add_region(&sheet, 1, &paper);
    struct figures f = measure(&sheet);
    tell("the frame of the lantern walk", &f);
    *above += f.idle / f.bound - 1;
    ++*rows;
    sheet_clear(&sheet);
    for (size_t s = 0; s < placing.sheets; s++) {
        for (size_t i = 0; i < placing.count; i++) {
            const struct rab_placed *placed = &placing.items[i];
            struct rab_region laid = {0};
            if (placed->sheet != s)
                continue;
            insist(rab_backing_laid(&backings.items[placed->piece], placed->dx, placed->dy, false,
                                    304.8, &laid, &err),
                   &err);
            add_region(&sheet, ++sheet.pieces, &laid);
            rab_region_clear(&laid);
        }
        char name[60];
        snprintf(name, sizeof name, "its backings, sheet %zu", s + 1);
        f = measure(&sheet);
        tell(name, &f);
        *above += f.idle / f.bound - 1;
        ++*rows;
        sheet_clear(&sheet);
    }
    rab_placing_clear(&placing);
    rab_backings_clear(&backings);
    rab_frame_clear(&frame);
    rab_region_clear(&paper);
    rab_drawing_clear(&drawing);
    rab_text_clear(&bytes);
}

int main(int count, char **words)
{
    enum { SEEDS = 5 };
    double above = 0;
    int rows = 0;

    printf(
        "| sheet | lines | nearest next, mm | planned, mm | bound, mm | planned above the bound | "
        "nearest next above it | planning, s | bound, s "
        "|\n|---|---|---|---|---|---|---|---|---|\n");
    for (int i = 1; i < count; i++)
        show_demonstration(words[i], &above, &rows);
    for (int kind = 0; kind < KINDS; kind++) {
        struct figures sum = {0};
        for (uint64_t seed = 1; seed <= SEEDS; seed++) {
            struct sheet sheet = draw_by_lot((enum kind)kind, 1000, seed);
            const struct figures f = measure(&sheet);
            sum.lines = f.lines;
            sum.nearest += f.nearest / SEEDS;
            sum.idle += f.idle / SEEDS;
            sum.bound += f.bound / SEEDS;
            sum.seconds += f.seconds / SEEDS;
            sum.more += f.more / SEEDS;
            above += f.idle / f.bound - 1;
            rows++;
            sheet_clear(&sheet);
        }
        char name[60];
        snprintf(name, sizeof name, "1,000 pieces: %s", kind_names[kind]);
        tell(name, &sum);
    }
    for (int kind = ROWS; kind < KINDS; kind++) {
        const int pieces = kind == PANES ? 1250 : kind == TAGS ? 1667 : 5000;
        struct sheet sheet = draw_by_lot((enum kind)kind, pieces, 7);
        const struct figures f = measure(&sheet);
        char name[60];
        snprintf(name, sizeof name, "5,000 lines: %s", kind_names[kind]);
        tell(name, &f);
        sheet_clear(&sheet);
    }
    printf("\nOn average over %d sheets of the first rows: %.1f %% above the bound.\n", rows,
           100 * above / rows);
    return 0;
}
