/*
 * How far the idle travel of planned sheets is from the least possible, and how long planning
 * takes: meson test --benchmark, or by hand
 *
 *     bench-plan docs/lantern-walk/frame.svg
 *
 * Against the bound that the plan states (Held and Karp 1970: no order with the same beginnings of
 * closed lines is shorter), and against the usual simple way: from where the tool is to the nearest
 * line that may be next. All take the operations one after the other and small pieces first; the
 * bound does not ask what lies in what. Drops have one corner, so only one place to begin: of them
 * no order at all is shorter. Processor time; the sheets are drawn by lot, seeded.
 */
#include "travel.h"

#include <math.h>
#include <rabbet/frame.h>
#include <rabbet/read.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

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

enum kind { ROWS, ROUNDS, STREWN, CLUSTERS, PANES, TAGS, MIXED, DROPS, KINDS };
static const char *const kind_names[KINDS] = {
    [ROWS] = "rectangles in rows",     [ROUNDS] = "discs of many sizes",
    [STREWN] = "polygons strewn",      [CLUSTERS] = "discs in heaps",
    [PANES] = "panes, three openings", [TAGS] = "tags, hole and crease",
    [MIXED] = "frames of 5 to 60 mm",  [DROPS] = "drops strewn",
};

/* The tip at x, y; two radii from the middle of its round, which the sides touch at 60 degrees. */
static struct rab_outline drop(double x, double y, double radius)
{
    const double side = sqrt(3) / 2 * radius;
    struct rab_outline made = {0};
    insist(rab_outline_add(&made, x, y, 0, NULL) &&
               rab_outline_add(&made, x + 1.5 * radius, y - side, 1 / sqrt(3), NULL) &&
               rab_outline_add(&made, x + 3 * radius, y, 1 / sqrt(3), NULL) &&
               rab_outline_add(&made, x + 1.5 * radius, y + side, 0, NULL),
           NULL);
    return made;
}

static void add_frame(struct sheet *sheet, int piece, double x, double y, double size)
{
    add(sheet, RAB_CUT, piece, rectangle(x, y, size, 0.8 * size));
    add(sheet, RAB_CUT, piece, reversed(rectangle(x + 1, y + 1, size - 2, 0.8 * size - 2)));
}

/* A piece in its cell. */
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
    case MIXED: /* as many small ones as others; in a cell of 64 mm */
        add_frame(sheet, piece, x + dx / 2, y + dy / 2,
                  size < 0.5 ? 5 + 40 * size : 25 + 70 * (size - 0.5));
        break;
    case DROPS:
        add(sheet, RAB_CUT, piece, drop(x + 1 + dx, y + 6 + dy, 1.5 + 2.5 * size));
        break;
    default:
        break;
    }
}

static struct sheet draw_by_lot(enum kind kind, int pieces, uint64_t seed)
{
    struct sheet sheet = {0};
    const int columns = (int)ceil(sqrt(pieces));
    const double cell = kind == MIXED ? 64 : 20;

    if (kind == CLUSTERS) {
        /* heaps of 25 discs, 5 to a row */
        double x = 0, y = 0;
        for (int n = 0; n < pieces; n++) {
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
        add_piece(&sheet, kind, cell * (n % columns), cell * (n / columns), &seed);
    return sheet;
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
    int *groups = travel_groups(sheet);

    const double before = now();
    insist(rab_plan_make(sheet->paths, sheet->count, &options, &plan, NULL, &err), &err);
    const double seconds = now() - before;
    double bound = 0;
    insist(rab_plan_bound(&plan, options.home, &bound, &err), &err);
    const double more = now() - before - seconds;
    insist(groups != NULL, NULL);
    const double nearest = travel_nearest(sheet, groups);
    insist(nearest >= 0, NULL);
    const struct figures f = {plan.count, nearest, plan.idle, bound, seconds, more};
    free(groups);
    rab_plan_clear(&plan);
    return f;
}

/* 0.04 is 0.0, and so is what rounding makes of it below 0. */
static double percent_above(double length, double bound)
{
    return round(1000 * (length / bound - 1)) / 10 + 0.0;
}

static void tell(const char *name, const struct figures *f)
{
    printf("| %s | %zu | %.0f | %.0f | %.0f | %.1f %% | %.1f %% | %.2f | %.2f |\n", name, f->lines,
           f->nearest, f->idle, f->bound, percent_above(f->idle, f->bound),
           percent_above(f->nearest, f->bound), f->seconds, f->more);
}

/* Over sheets. */
struct means {
    double above;
    int sheets;
};

static void count_in(struct means *means, const struct figures *f)
{
    means->above += f->idle / f->bound - 1;
    means->sheets++;
}

/* The way with small pieces first, and without: as on the same sheet drawn so much larger that none
 * is small. */
static void tell_price(const char *name, const struct sheet *sheet)
{
    static const double factor = 64;
    struct sheet large = {0};
    double idle[2];

    for (size_t i = 0; i < sheet->count; i++) {
        struct rab_outline copy = {0};
        insist(rab_outline_copy(&sheet->paths[i].outline, &copy, NULL), NULL);
        for (size_t v = 0; v < copy.count; v++) {
            copy.vertices[v].x *= factor;
            copy.vertices[v].y *= factor;
        }
        add(&large, sheet->paths[i].operation, sheet->paths[i].piece, copy);
    }
    for (int n = 0; n < 2; n++) {
        const struct sheet *drawn = n == 0 ? sheet : &large;
        struct rab_plan plan = {0};
        struct rab_error err = {0};
        insist(rab_plan_make(drawn->paths, drawn->count, &(struct rab_plan_options){0}, &plan, NULL,
                             &err),
               &err);
        idle[n] = plan.idle;
        rab_plan_clear(&plan);
    }
    printf("| %s | %.0f | %.0f | %.0f %% |\n", name, idle[0], idle[1] / factor,
           100 * (idle[0] * factor / idle[1] - 1));
    sheet_clear(&large);
}

static double outside(double x, double x0, double x1)
{
    return fmax(0, fmax(x0 - x, x - x1));
}

static void tell_cool(const char *name, const struct sheet *sheet, double cool)
{
    const struct rab_plan_options options = {.cool = cool};
    struct rab_plan plan = {0};
    struct rab_error err = {0};
    size_t near = 0;

    const double before = now();
    insist(rab_plan_make(sheet->paths, sheet->count, &options, &plan, NULL, &err), &err);
    const double seconds = now() - before;
    for (size_t i = 1; i < plan.count; i++) {
        const struct rab_box box = rab_outline_box(&plan.paths[i - 1].outline);
        const struct rab_vertex v = plan.paths[i].outline.vertices[0];
        near += hypot(outside(v.x, box.x0, box.x1), outside(v.y, box.y0, box.y1)) < cool - 1e-9;
    }
    printf("| %s | %.0f | %zu | %.0f | %.1f | %.2f |\n", name, cool, near, plan.idle,
           plan.idle / (double)plan.count / cool, seconds);
    rab_plan_clear(&plan);
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

static void show_demonstration(const char *path, struct means *means)
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
    count_in(means, &f);
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
        count_in(means, &f);
        sheet_clear(&sheet);
    }
    rab_placing_clear(&placing);
    rab_backings_clear(&backings);
    rab_frame_clear(&frame);
    rab_region_clear(&paper);
    rab_drawing_clear(&drawing);
    rab_text_clear(&bytes);
}

static void show_sheets(struct means *means)
{
    enum { SEEDS = 5 };

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
            count_in(means, &f);
            sheet_clear(&sheet);
        }
        char name[60];
        snprintf(name, sizeof name, "1,000 pieces: %s", kind_names[kind]);
        tell(name, &sum);
    }
}

static struct sheet five_thousand(enum kind kind)
{
    static const int lines[KINDS] = {[PANES] = 4, [TAGS] = 3, [MIXED] = 2};
    const int each = lines[kind] > 0 ? lines[kind] : 1;

    return draw_by_lot(kind, (5000 + each - 1) / each, 7);
}

static void show_large_sheets(struct means *means)
{
    for (int kind = ROWS; kind < KINDS; kind++) {
        struct sheet sheet = five_thousand((enum kind)kind);
        const struct figures f = measure(&sheet);
        char name[60];
        snprintf(name, sizeof name, "5,000 lines: %s", kind_names[kind]);
        tell(name, &f);
        count_in(means, &f);
        sheet_clear(&sheet);
    }
}

static void show_price(void)
{
    printf("\n| sheet | small first, mm | without, mm | price |\n|---|---|---|---|\n");
    for (int n = 100; n <= 2500; n *= 5) {
        struct sheet sheet = draw_by_lot(MIXED, n, 1);
        char name[60];
        snprintf(name, sizeof name, "%d pieces of 5 to 60 mm, half of them small", n);
        tell_price(name, &sheet);
        sheet_clear(&sheet);
    }
    struct sheet sheet = draw_by_lot(ROUNDS, 1000, 1);
    tell_price("1000 discs, all small", &sheet);
    sheet_clear(&sheet);
}

static void show_cooling(void)
{
    static const double lengths[] = {10, 30, 100};

    printf(
        "\n| sheet | `--cool`, mm | nearer than that | travel, mm | travel a line, by `--cool` | "
        "planning, s |\n|---|---|---|---|---|---|\n");
    for (size_t n = 0; n < 3; n++) {
        struct sheet sheet = five_thousand(ROUNDS);
        tell_cool("5,000 lines: discs of many sizes", &sheet, lengths[n]);
        sheet_clear(&sheet);
        sheet = five_thousand(TAGS);
        tell_cool("5,000 lines: tags, hole and crease", &sheet, lengths[n]);
        sheet_clear(&sheet);
    }
}

int main(int count, char **words)
{
    struct means means = {0}, large = {0};

    printf("| sheet | lines | nearest next, mm | planned, mm | bound, mm | planned above it | "
           "nearest next above it | planning, s | bound, s "
           "|\n|---|---|---|---|---|---|---|---|---|\n");
    for (int i = 1; i < count; i++)
        show_demonstration(words[i], &means);
    show_sheets(&means);
    show_large_sheets(&large);
    printf(
        "\nOn average over the %d sheets of the first rows %.1f %% above the bound, over the %d of "
        "5,000 lines %.1f %%.\n",
        means.sheets, 100 * means.above / means.sheets, large.sheets,
        100 * large.above / large.sheets);
    show_price();
    show_cooling();
    return 0;
}
