#include "read/join.h"

#include "rabbet/region.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void outline_list_clear(struct outline_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        rab_outline_clear(&list->items[i]);
    free(list->items);
    free(list->lines);
    *list = (struct outline_list){0};
}

/* Room for one more. */
static bool reserve(struct outline_list *list, struct rab_error *err)
{
    return rab_reserve((void **)&list->items, &list->capacity, list->count + 1, sizeof *list->items,
                       err) &&
           rab_reserve((void **)&list->lines, &list->line_capacity, list->count + 1,
                       sizeof *list->lines, err);
}

bool outline_list_add(struct outline_list *list, const struct rab_outline *outline, int line,
                      struct rab_error *err)
{
    struct rab_outline copy = {0};

    if (!reserve(list, err) || !rab_outline_copy(outline, &copy, err))
        return false;
    list->items[list->count] = copy;
    list->lines[list->count++] = line;
    return true;
}

/* ---- ends ---- */

/* End 2 i is where outline i begins, 2 i + 1 where it ends. */
struct end {
    int64_t cx, cy; /* cell of a grid as wide as the gap */
    double x, y;
    size_t number;
};

struct pair {
    double distance;
    size_t a, b;
};

static const size_t nobody = (size_t)-1;

static int compare_ends(const void *first, const void *second)
{
    const struct end *a = first, *b = second;

    if (a->cx != b->cx)
        return a->cx < b->cx ? -1 : 1;
    if (a->cy != b->cy)
        return a->cy < b->cy ? -1 : 1;
    return a->number < b->number ? -1 : a->number > b->number;
}

static int compare_pairs(const void *first, const void *second)
{
    const struct pair *a = first, *b = second;

    if (a->distance != b->distance)
        return a->distance < b->distance ? -1 : 1;
    if (a->a != b->a)
        return a->a < b->a ? -1 : 1;
    return a->b < b->b ? -1 : a->b > b->b;
}

static struct rab_point place_of(const struct outline_list *open, size_t end)
{
    const struct rab_outline *outline = &open->items[end / 2];
    const struct rab_vertex *v = &outline->vertices[end % 2 ? outline->count - 1 : 0];

    return (struct rab_point){v->x, v->y};
}

/* The first end of a cell or behind it. */
static size_t find_cell(const struct end *ends, size_t count, int64_t cx, int64_t cy)
{
    size_t low = 0, high = count;

    while (low < high) {
        size_t middle = (low + high) / 2;
        if (ends[middle].cx < cx || (ends[middle].cx == cx && ends[middle].cy < cy))
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

struct pairs {
    struct pair *items;
    size_t count, capacity, most;
};

/* Pairs of end i with the ends from `from` on that lie in the given cell. */
static bool pair_with(const struct end *ends, size_t count, size_t i, size_t from, int64_t cx,
                      int64_t cy, double gap, struct pairs *pairs, struct rab_error *err)
{
    for (size_t k = from; k < count && ends[k].cx == cx && ends[k].cy == cy; k++) {
        double distance = hypot(ends[k].x - ends[i].x, ends[k].y - ends[i].y);
        size_t a = ends[i].number, b = ends[k].number;

        if (distance > gap)
            continue;
        if (pairs->count == pairs->most)
            return rab_fail(err, RAB_FAULT_GEOMETRY,
                            "too many ends of lines lie in the same places; take out lines that are "
                            "drawn several times");
        if (!rab_reserve((void **)&pairs->items, &pairs->capacity, pairs->count + 1,
                         sizeof *pairs->items, err))
            return false;
        pairs->items[pairs->count++] = (struct pair){distance, a < b ? a : b, a < b ? b : a};
    }
    return true;
}

static bool find_pairs(const struct outline_list *open, double gap, struct end *ends,
                       struct pairs *pairs, struct rab_error *err)
{
    static const int around[4][2] = {{0, 1}, {1, -1}, {1, 0}, {1, 1}};
    size_t count = open->count * 2;

    for (size_t i = 0; i < count; i++) {
        struct rab_point p = place_of(open, i);
        ends[i] = (struct end){(int64_t)floor(p.x / gap), (int64_t)floor(p.y / gap), p.x, p.y, i};
    }
    qsort(ends, count, sizeof *ends, compare_ends);
    for (size_t i = 0; i < count; i++) {
        if (!pair_with(ends, count, i, i + 1, ends[i].cx, ends[i].cy, gap, pairs, err))
            return false;
        for (int k = 0; k < 4; k++) {
            int64_t cx = ends[i].cx + around[k][0], cy = ends[i].cy + around[k][1];
            if (!pair_with(ends, count, i, find_cell(ends, count, cx, cy), cx, cy, gap, pairs, err))
                return false;
        }
    }
    if (pairs->count > 0)
        qsort(pairs->items, pairs->count, sizeof *pairs->items, compare_pairs);
    return true;
}

/* An end without a mate: say where it is and how far the next one is. */
static bool fail_open(const struct outline_list *open, size_t end, const size_t *mates,
                      struct rab_error *err)
{
    struct rab_point here = place_of(open, end);
    struct rab_text text = {0};
    double nearest = 1e300;

    for (size_t i = 0; i < open->count * 2; i++) {
        struct rab_point there = place_of(open, i);
        if (i != end && mates[i] == nobody)
            nearest = fmin(nearest, hypot(there.x - here.x, there.y - here.y));
    }
    rab_text_add(&text, "a line stays open: it ends at ");
    rab_text_fixed(&text, here.x, 2);
    rab_text_add(&text, ", ");
    rab_text_fixed(&text, here.y, 2);
    rab_text_add(&text, " mm (from the lower left corner of the page), ");
    rab_text_fixed(&text, nearest, 2);
    rab_text_add(&text, " mm from the next open end; close it in the drawing");
    if (rab_text_ok(&text, err))
        rab_fail_line(err, RAB_FAULT_GEOMETRY, open->lines[end / 2], "%s", text.data);
    rab_text_clear(&text);
    return false;
}

/* Append an outline in its direction or against it, all but its last point. */
static bool append(struct rab_outline *to, const struct rab_outline *from, bool backwards,
                   struct rab_error *err)
{
    size_t last = from->count - 1;

    for (size_t i = 0; i < last; i++) {
        const struct rab_vertex *v = &from->vertices[backwards ? last - i : i];
        double bulge = backwards ? -from->vertices[last - i - 1].bulge : v->bulge;
        if (!rab_outline_add(to, v->x, v->y, bulge, err))
            return false;
    }
    return true;
}

/* Go round from outline `first`; every end has its mate. */
static bool go_round(const struct outline_list *open, size_t first, const size_t *mates, bool *used,
                     struct rab_outline *out, struct join_result *result, struct rab_error *err)
{
    size_t end = 2 * first; /* where we enter an outline */

    do {
        const struct rab_outline *outline = &open->items[end / 2];
        size_t leave = end ^ 1;
        struct rab_point here = place_of(open, leave), there = place_of(open, mates[leave]);
        double gap = hypot(there.x - here.x, there.y - here.y);

        used[end / 2] = true;
        if (!append(out, outline, end % 2 == 1, err))
            return false;
        if (gap > RAB_SAME_POINT && !rab_outline_add(out, here.x, here.y, 0, err))
            return false;
        result->joined++;
        result->widest = fmax(result->widest, gap);
        end = mates[leave];
    } while (end != 2 * first);
    return true;
}

bool join_ends(const struct outline_list *open, double gap, struct outline_list *closed,
               struct join_result *result, struct rab_error *err)
{
    size_t count = open->count * 2;
    struct end *ends = malloc((count + 1) * sizeof *ends);
    size_t *mates = malloc((count + 1) * sizeof *mates);
    bool *used = calloc(open->count + 1, sizeof *used);
    struct pairs pairs = {.most = 1000 + 16 * count};
    struct rab_outline made = {0};
    bool ok = false;

    *result = (struct join_result){0};
    if (!ends || !mates || !used) {
        rab_fail_memory(err);
        goto done;
    }
    if (!find_pairs(open, fmax(gap, RAB_SAME_POINT), ends, &pairs, err))
        goto done;
    for (size_t i = 0; i < count; i++)
        mates[i] = nobody;
    for (size_t i = 0; i < pairs.count; i++) {
        const struct pair *pair = &pairs.items[i];
        if (mates[pair->a] == nobody && mates[pair->b] == nobody) {
            mates[pair->a] = pair->b;
            mates[pair->b] = pair->a;
        }
    }
    for (size_t i = 0; i < count; i++) {
        if (mates[i] == nobody) {
            fail_open(open, i, mates, err);
            goto done;
        }
    }
    for (size_t i = 0; i < open->count; i++) {
        if (used[i])
            continue;
        if (!go_round(open, i, mates, used, &made, result, err) || !reserve(closed, err))
            goto done;
        closed->items[closed->count] = made;
        closed->lines[closed->count++] = open->lines[i];
        made = (struct rab_outline){0};
    }
    ok = true;
done:
    rab_outline_clear(&made);
    free(pairs.items);
    free(used);
    free(mates);
    free(ends);
    return ok;
}

/* ---- drawn twice ---- */

struct print {
    int64_t box[4]; /* in steps of 1e-5 mm */
    size_t index;
};

static int compare_prints(const void *first, const void *second)
{
    const struct print *a = first, *b = second;
    int order = 0;

    for (int i = 0; i < 4 && order == 0; i++)
        order = (a->box[i] > b->box[i]) - (a->box[i] < b->box[i]);
    return order != 0 ? order : (a->index > b->index) - (a->index < b->index);
}

/* The grid lies askew, so that numbers with few decimals do not fall on its lines. */
static int64_t step_of(double value)
{
    return (int64_t)floor(value * 1e5 + 0.3571);
}

static bool is_same(double a, double b)
{
    return fabs(a - b) <= 1e-5;
}

/* Does b run like a when it starts at vertex `shift`, forwards or backwards? */
static bool runs_alike(const struct rab_outline *a, const struct rab_outline *b, size_t shift,
                       bool backwards, size_t *steps)
{
    size_t n = a->count;

    for (size_t i = 0; i < n; i++) {
        size_t at = backwards ? (shift + n - i) % n : (shift + i) % n;
        const struct rab_vertex *v = &b->vertices[at];
        double bulge = backwards ? -b->vertices[(at + n - 1) % n].bulge : v->bulge;
        ++*steps;
        if (!is_same(a->vertices[i].x, v->x) || !is_same(a->vertices[i].y, v->y) ||
            !is_same(a->vertices[i].bulge, bulge))
            return false;
    }
    return true;
}

static bool lies_on(const struct rab_outline *a, const struct rab_outline *b)
{
    size_t steps = 0, most = 1000 + 64 * a->count;

    if (a->count != b->count)
        return false;
    for (size_t shift = 0; shift < b->count && steps <= most; shift++)
        if (runs_alike(a, b, shift, false, &steps) || runs_alike(a, b, shift, true, &steps))
            return true;
    return false;
}

/* Mark the outlines of one run of equal boxes that lie on an earlier one. Unequal outlines in the same
 * box are rare; only so many are compared with. */
static size_t mark_run(const struct outline_list *list, const struct print *run, size_t count,
                       bool *repeated)
{
    enum { MOST = 64 };
    size_t different[MOST], known = 0, marked = 0;

    for (size_t i = 0; i < count; i++) {
        size_t index = run[i].index, k = 0;
        while (k < known && !lies_on(&list->items[different[k]], &list->items[index]))
            k++;
        if (k < known) {
            repeated[index] = true;
            marked++;
        } else if (known < MOST) {
            different[known++] = index;
        }
    }
    return marked;
}

bool drop_repeated(struct outline_list *list, size_t *dropped, int *first_line,
                   struct rab_error *err)
{
    struct print *prints = malloc((list->count + 1) * sizeof *prints);
    bool *repeated = calloc(list->count + 1, sizeof *repeated);
    size_t kept = 0, end;

    *dropped = 0;
    *first_line = 0;
    if (!prints || !repeated) {
        free(prints);
        free(repeated);
        return rab_fail_memory(err);
    }
    for (size_t i = 0; i < list->count; i++) {
        struct rab_box box = rab_outline_box(&list->items[i]);
        prints[i] = (struct print){
            {step_of(box.x0), step_of(box.y0), step_of(box.x1), step_of(box.y1)}, i};
    }
    qsort(prints, list->count, sizeof *prints, compare_prints);
    for (size_t i = 0; i < list->count; i = end) {
        for (end = i + 1;
             end < list->count && memcmp(prints[end].box, prints[i].box, sizeof prints[i].box) == 0;)
            end++;
        *dropped += mark_run(list, prints + i, end - i, repeated);
    }
    for (size_t i = 0; i < list->count; i++) {
        if (!repeated[i]) {
            list->items[kept] = list->items[i];
            list->lines[kept++] = list->lines[i];
            continue;
        }
        rab_outline_clear(&list->items[i]);
        if (*first_line == 0)
            *first_line = list->lines[i];
    }
    list->count = kept;
    free(prints);
    free(repeated);
    return true;
}
