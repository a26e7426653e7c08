/* The box tree against looking at every item: the definition itself is the source. */
#include "outline/box_tree.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* xorshift64 (Marsaglia, Journal of Statistical Software 8/14, 2003); seeded, so every run is
 * alike. */
static uint64_t next_random(uint64_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

static double random_real(uint64_t *state, double from, double to)
{
    return from + (to - from) * (double)(next_random(state) >> 11) / 9007199254740992.0;
}

enum layout { SCATTERED, CLUSTERED, ALONG_A_LINE, STACKED, GRID };

static void fill_boxes(struct rab_box *boxes, size_t n, enum layout layout, uint64_t seed)
{
    uint64_t state = seed * 2 + 88172645463325252ULL;
    double spread = 20 * sqrt((double)n);

    for (size_t i = 0; i < n; i++) {
        double x = random_real(&state, 0, spread), y = random_real(&state, 0, spread);
        double w = random_real(&state, 0, 20), h = random_real(&state, 0, 20);

        if (layout == CLUSTERED) {
            x = 1000 * (double)(next_random(&state) % 5) + random_real(&state, 0, sqrt((double)n));
            y = 1000 * (double)(next_random(&state) % 5) + random_real(&state, 0, sqrt((double)n));
            w *= 0.2, h *= 0.2;
        } else if (layout == ALONG_A_LINE) {
            x = (double)i * 10, y = 5 * sin((double)i * 0.1), w = 10, h = 1;
        } else if (layout == STACKED) {
            x = y = 0, w = h = n > 300 ? 0 : 1;
            x += n > 300 ? (double)(i % 300) : 0;
        } else if (layout == GRID) { /* neighbours touch exactly */
            x = (double)(i % 50), y = (double)(i / 50), w = h = 1;
        }
        boxes[i] = (struct rab_box){x, y, x + w, y + h};
    }
}

static void build(struct box_tree *tree, const struct rab_box *boxes, size_t n)
{
    struct rab_error err = {0};

    cr_assert(box_tree_reserve(tree, n, &err), "%s", err.text);
    if (n > 0)
        memcpy(tree->boxes, boxes, n * sizeof *boxes);
    box_tree_finish(tree);
}

struct list {
    size_t *items;
    size_t count, capacity, limit;
};

static bool keep(struct list *list, size_t item)
{
    void *items = list->items;

    cr_assert(rab_reserve(&items, &list->capacity, list->count + 1, sizeof *list->items, NULL));
    list->items = items;
    list->items[list->count++] = item;
    return list->limit == 0 || list->count < list->limit;
}

static bool keep_item(void *context, size_t item)
{
    return keep(context, item);
}

/* A pair as one number. */
static bool keep_pair(void *context, size_t first, size_t second)
{
    return keep(context, first << 32 | second);
}

static int compare_sizes(const void *a, const void *b)
{
    const size_t *x = a, *y = b;

    return *x < *y ? -1 : *x > *y;
}

static void expect_same(struct list *got, struct list *want, bool sorted, const char *what,
                        size_t n)
{
    if (!sorted && got->count > 0)
        qsort(got->items, got->count, sizeof *got->items, compare_sizes);
    cr_assert(got->count == want->count, "%s of %zu items: %zu, not %zu", what, n, got->count,
              want->count);
    for (size_t i = 0; i < got->count; i++)
        cr_assert(got->items[i] == want->items[i], "%s of %zu items: number %zu differs", what, n,
                  i);
}

static const size_t sizes[] = {0, 1, 2, 7, 8, 9, 63, 64, 65, 200, 513, 1500};
enum { SIZES = sizeof sizes / sizeof *sizes };

Test(box_tree, query_finds_what_looking_at_all_finds_in_rising_order)
{
    struct rab_box boxes[1500];

    for (int layout = SCATTERED; layout <= GRID; layout++) {
        for (int s = 0; s < SIZES; s++) {
            size_t n = sizes[s];
            struct box_tree tree = {0};
            uint64_t state = 7 + n;

            fill_boxes(boxes, n, (enum layout)layout, n);
            build(&tree, boxes, n);
            for (int q = 0; q < 50; q++) {
                double x = random_real(&state, -50, 900), y = random_real(&state, -50, 900);
                struct rab_box box = {x, y, x + random_real(&state, 0, 150),
                                      y + random_real(&state, 0, 150)};
                struct list got = {0}, want = {0};

                if (q % 3 == 0 && n > 0)
                    box = boxes[next_random(&state) % n];
                cr_assert(box_tree_query(&tree, box, keep_item, &got));
                for (size_t i = 0; i < n; i++)
                    if (box_meets(&boxes[i], &box))
                        keep(&want, i);
                expect_same(&got, &want, true, "query", n);
                free(got.items);
                free(want.items);
            }
            box_tree_clear(&tree);
        }
    }
}

Test(box_tree, pairs_are_those_of_all_against_all_each_once)
{
    struct rab_box boxes[1500];

    for (int layout = SCATTERED; layout <= GRID; layout++) {
        for (int s = 0; s < SIZES; s++) {
            size_t n = sizes[s];
            struct box_tree tree = {0};
            struct list got = {0}, want = {0};

            fill_boxes(boxes, n, (enum layout)layout, n + 100);
            build(&tree, boxes, n);
            cr_assert(box_tree_pairs(&tree, keep_pair, &got));
            for (size_t i = 0; i < n; i++)
                for (size_t k = i + 1; k < n; k++)
                    if (box_meets(&boxes[i], &boxes[k]))
                        keep_pair(&want, i, k);
            expect_same(&got, &want, false, "pairs", n);
            free(got.items);
            free(want.items);
            box_tree_clear(&tree);
        }
    }
}

Test(box_tree, cross_pairs_are_those_of_all_against_all_whatever_the_sizes)
{
    struct rab_box boxes_a[1500], boxes_b[1500];

    for (int layout = SCATTERED; layout <= GRID; layout++) {
        for (int s = 0; s < SIZES * SIZES; s++) {
            size_t n = sizes[s / SIZES], m = sizes[s % SIZES];
            struct box_tree a = {0}, b = {0};
            struct list got = {0}, want = {0};

            fill_boxes(boxes_a, n, (enum layout)layout, n + 3);
            fill_boxes(boxes_b, m, SCATTERED, m + 4);
            build(&a, boxes_a, n);
            build(&b, boxes_b, m);
            cr_assert(box_tree_cross(&a, &b, keep_pair, &got));
            for (size_t i = 0; i < n; i++)
                for (size_t k = 0; k < m; k++)
                    if (box_meets(&boxes_a[i], &boxes_b[k]))
                        keep_pair(&want, i, k);
            expect_same(&got, &want, false, "cross", n);
            free(got.items);
            free(want.items);
            box_tree_clear(&a);
            box_tree_clear(&b);
        }
    }
}

static double middle_distance2(void *context, size_t item, struct rab_point point)
{
    const struct rab_box *box = (const struct rab_box *)context + item;
    double dx = (box->x0 + box->x1) / 2 - point.x, dy = (box->y0 + box->y1) / 2 - point.y;

    return dx * dx + dy * dy;
}

Test(box_tree, nearest_is_the_nearest_of_all)
{
    struct rab_box boxes[1500];

    for (int layout = SCATTERED; layout <= GRID; layout++) {
        for (int s = 0; s < SIZES; s++) {
            size_t n = sizes[s];
            struct box_tree tree = {0};
            uint64_t state = 99 + n;

            fill_boxes(boxes, n, (enum layout)layout, n + 200);
            build(&tree, boxes, n);
            for (int q = 0; q < 100; q++) {
                struct rab_point point = {random_real(&state, -200, 1200),
                                          random_real(&state, -200, 1200)};
                double got2 = 1e300, want2 = 1e300;
                size_t got = box_tree_nearest(&tree, point, middle_distance2, boxes, &got2);

                for (size_t i = 0; i < n; i++)
                    want2 = fmin(want2, middle_distance2(boxes, i, point));
                cr_assert(got2 == want2, "nearest of %zu items", n);
                cr_assert(n == 0 ? got == 0 : middle_distance2(boxes, got, point) == want2);
                /* Nothing lies within a bound that is already reached. */
                cr_assert(box_tree_nearest(&tree, point, middle_distance2, boxes, &want2) == n);
            }
            box_tree_clear(&tree);
        }
    }
}

Test(box_tree, found_and_pair_can_stop_the_search)
{
    struct rab_box boxes[513];
    struct box_tree tree = {0};
    struct list stopped = {.limit = 3};

    fill_boxes(boxes, 513, GRID, 1);
    build(&tree, boxes, 513);
    cr_expect(not(box_tree_query(&tree, (struct rab_box){0, 0, 100, 100}, keep_item, &stopped)));
    cr_expect(eq(sz, stopped.count, 3));
    stopped.count = 0;
    cr_expect(not(box_tree_pairs(&tree, keep_pair, &stopped)));
    cr_expect(eq(sz, stopped.count, 3));
    stopped.count = 0;
    cr_expect(not(box_tree_cross(&tree, &tree, keep_pair, &stopped)));
    cr_expect(eq(sz, stopped.count, 3));
    free(stopped.items);
    box_tree_clear(&tree);
}

Test(box_tree, a_hundred_thousand_items)
{
    enum { MANY = 100000 };
    struct rab_box *boxes = malloc(MANY * sizeof *boxes);
    struct rab_box *ordered = malloc(MANY * sizeof *ordered);
    uint32_t *order = malloc(MANY * sizeof *order);
    bool *seen = calloc(MANY, sizeof *seen);
    struct box_tree tree = {0};
    struct list got = {0}, want = {0};
    struct rab_error err = {0};

    cr_assert(boxes && ordered && order && seen);
    fill_boxes(boxes, MANY, SCATTERED, 5);
    cr_assert(box_tree_order(boxes, MANY, order, &err), "%s", err.text);
    for (size_t i = 0; i < MANY; i++) {
        cr_assert(order[i] < MANY && !seen[order[i]]);
        seen[order[i]] = true;
        ordered[i] = boxes[order[i]];
    }
    build(&tree, ordered, MANY);
    cr_assert(box_tree_pairs(&tree, keep_pair, &got));
    /* The truth by another way: one query of the whole for each item, itself tested above. */
    for (size_t i = 0; i < MANY; i++) {
        struct list found = {0};

        cr_assert(box_tree_query(&tree, ordered[i], keep_item, &found));
        for (size_t k = 0; k < found.count; k++)
            if (found.items[k] > i)
                keep_pair(&want, i, found.items[k]);
        free(found.items);
    }
    expect_same(&got, &want, false, "pairs", MANY);
    cr_expect(got.count > MANY / 10);
    free(got.items);
    free(want.items);
    box_tree_clear(&tree);
    free(boxes);
    free(ordered);
    free(order);
    free(seen);
}

/* Source: the definition of the curve (Hilbert, Mathematische Annalen 38, 1891): it visits every
 * cell of a grid once, each next to the one before. */
Test(box_tree, order_goes_from_neighbour_to_neighbour)
{
    enum { SIDE = 64, CELLS = SIDE * SIDE };
    struct rab_box boxes[CELLS];
    uint32_t order[CELLS];
    struct rab_error err = {0};

    for (int i = 0; i < CELLS; i++) { /* shuffled by an odd multiplier */
        int cell = (int)((uint32_t)i * 2654435761U % CELLS);
        double x = cell % SIDE, y = cell / SIDE;

        boxes[i] = (struct rab_box){x - 0.25, y - 0.25, x + 0.25, y + 0.25};
    }
    cr_assert(box_tree_order(boxes, CELLS, order, &err));
    for (int i = 1; i < CELLS; i++) {
        const struct rab_box *a = &boxes[order[i - 1]], *b = &boxes[order[i]];

        cr_assert(fabs(a->x0 - b->x0) + fabs(a->y0 - b->y0) == 1.0, "step %d", i);
    }
    /* All in one place, and nothing at all. */
    for (int i = 0; i < 10; i++)
        boxes[i] = (struct rab_box){3, 3, 3, 3};
    cr_assert(box_tree_order(boxes, 10, order, &err));
    for (uint32_t i = 0; i < 10; i++)
        cr_expect(eq(u32, order[i], i));
    cr_expect(box_tree_order(NULL, 0, NULL, &err));
}

Test(box_tree, an_impossible_number_of_items_is_lack_of_memory)
{
    struct box_tree tree = {0};
    struct rab_error err = {0};
    uint32_t order;

    cr_expect(not(box_tree_reserve(&tree, SIZE_MAX / 2, &err)));
    cr_expect(err.fault == RAB_FAULT_MEMORY && tree.boxes == NULL && tree.levels == 0);
    err = (struct rab_error){0};
    cr_expect(not(box_tree_order(NULL, SIZE_MAX / 2, &order, &err)));
    cr_expect(err.fault == RAB_FAULT_MEMORY);
}
