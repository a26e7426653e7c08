#include "outline/box_tree.h"
#include "rabbet/read.h"
#include "read/join.h"
#include "read/subpath.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Areas below this enclose nothing: a line there and back, rounded. */
static const double no_area = 1e-6;

/* Ends that were further apart than this when they were joined are worth a word. */
static const double worth_telling = 0.001;

static bool is_straight(const struct rab_outline *outline)
{
    return outline->count == 2 && outline->vertices[0].bulge == 0 &&
           (outline->open || outline->vertices[1].bulge == 0);
}

/* Does an element, filled, cover anything? The parts of a figure of eight may take each other's
 * area away, so that its outline has none; then the fill itself must tell. */
static bool encloses(const struct rab_drawn *item)
{
    struct rab_region region = {0};
    bool straight = true, covers;

    for (size_t i = 0; i < item->count; i++) {
        if (fabs(rab_outline_area(&item->outlines[i])) > no_area)
            return true;
        straight = straight && is_straight(&item->outlines[i]);
    }
    if (straight)
        return false;
    /* What cannot be filled is for the reading itself to complain about. */
    if (!rab_region_fill(item->outlines, item->count, item->rule, &region, NULL))
        return true;
    covers = rab_region_area(&region) > no_area;
    rab_region_clear(&region);
    return covers;
}

static enum rab_reading choose(const struct rab_drawing *drawing, enum rab_reading wanted)
{
    if (wanted != RAB_READ_AUTO)
        return wanted;
    for (size_t i = 0; i < drawing->count; i++)
        if (drawing->items[i].filled && encloses(&drawing->items[i]))
            return RAB_READ_FILLED;
    return RAB_READ_LINES;
}

/* A drawing that somebody else made may hold anything. */
static bool check_outlines(const struct rab_drawing *drawing, struct rab_error *err)
{
    for (size_t i = 0; i < drawing->count; i++) {
        for (size_t k = 0; k < drawing->items[i].count; k++) {
            const struct rab_outline *outline = &drawing->items[i].outlines[k];
            bool ok = outline->count >= 2;
            for (size_t n = 0; n < outline->count; n++)
                ok = ok && fabs(outline->vertices[n].x) <= FARTHEST &&
                     fabs(outline->vertices[n].y) <= FARTHEST &&
                     isfinite(outline->vertices[n].bulge);
            if (!ok)
                return rab_fail_line(err, RAB_FAULT_GEOMETRY, drawing->items[i].line,
                                     "an outline has a single vertex or reaches more than a "
                                     "kilometre from the page");
        }
    }
    return true;
}

static void count_outline(struct rab_reading_report *report, const struct rab_outline *outline,
                          int line)
{
    report->outlines++;
    report->vertices += outline->count;
    if (report->line == 0 || line < report->line)
        report->line = line;
}

/* ---- filled ---- */

/* Distance from an open outline's end back to its start. */
static double open_by(const struct rab_outline *outline)
{
    const struct rab_vertex *first = &outline->vertices[0];
    const struct rab_vertex *last = &outline->vertices[outline->count - 1];

    return outline->open ? hypot(last->x - first->x, last->y - first->y) : 0;
}

static bool tell_filled(const struct rab_drawing *drawing, const struct rab_region *region,
                        double gap, size_t filled, struct rab_warnings *notes,
                        struct rab_error *err)
{
    const struct rab_drawn *open = NULL, *unfilled = NULL;
    size_t open_count = 0, unfilled_count = 0, holes = 0;

    for (size_t i = 0; i < drawing->count; i++) {
        const struct rab_drawn *item = &drawing->items[i];
        for (size_t k = 0; k < item->count; k++) {
            if (!item->filled && item->stroked) {
                unfilled = unfilled ? unfilled : item;
                unfilled_count++;
            } else if (item->filled && open_by(&item->outlines[k]) > gap) {
                open = open ? open : item;
                open_count++;
            }
        }
    }
    for (size_t i = 0; i < region->count; i++)
        holes += region->parents[i] != RAB_NO_PARENT;
    if (open && !rab_warn(notes, err, "open", open->line,
                          "%zu filled outline%s not closed (the first in this %s element); a "
                          "straight line closes each",
                          open_count, open_count == 1 ? " is" : "s are", open->element))
        return false;
    if (unfilled &&
        !rab_warn(notes, err, "unfilled", unfilled->line,
                  "%zu line%s without fill (the first in this %s element) left out, "
                  "because the drawing has filled shapes; read it as lines to have them",
                  unfilled_count, unfilled_count == 1 ? "" : "s", unfilled->element))
        return false;
    return holes > 0 || filled <= region->count ||
           rab_warn(notes, err, "covered", 0,
                    "no opening: %zu filled outline%s on top of others; if these are the openings, "
                    "read the drawing as lines",
                    filled - region->count, filled - region->count == 1 ? " lies" : "s lie");
}

/* Regions that are being united. */
struct pile {
    struct rab_region *items;
    size_t count, capacity;
};

static void clear_pile(struct pile *pile)
{
    for (size_t i = 0; i < pile->count; i++)
        rab_region_clear(&pile->items[i]);
    free(pile->items);
    *pile = (struct pile){0};
}

static bool stop_at_pair(void *context, size_t first, size_t second)
{
    (void)context;
    (void)first;
    (void)second;
    return false;
}

/* Put neighbours next to each other. *apart is true when no two boxes meet. */
static bool sort_pile(struct pile *pile, bool *apart, struct rab_error *err)
{
    struct box_tree tree = {0};
    struct rab_region *sorted = malloc(pile->count * sizeof *sorted);
    struct rab_box *boxes = malloc(pile->count * sizeof *boxes);
    uint32_t *order = malloc(pile->count * sizeof *order);
    bool ok = false;

    if (!sorted || !boxes || !order) {
        rab_fail_memory(err);
        goto done;
    }
    for (size_t i = 0; i < pile->count; i++)
        boxes[i] = rab_region_box(&pile->items[i]);
    if (!box_tree_order(boxes, pile->count, order, err) ||
        !box_tree_reserve(&tree, pile->count, err))
        goto done;
    for (size_t i = 0; i < pile->count; i++) {
        struct rab_box box = boxes[order[i]];
        sorted[i] = pile->items[order[i]];
        tree.boxes[i] = (struct rab_box){box.x0 - RAB_SAME_POINT, box.y0 - RAB_SAME_POINT,
                                         box.x1 + RAB_SAME_POINT, box.y1 + RAB_SAME_POINT};
    }
    box_tree_finish(&tree);
    memcpy(pile->items, sorted, pile->count * sizeof *sorted);
    *apart = box_tree_pairs(&tree, stop_at_pair, NULL);
    ok = true;
done:
    box_tree_clear(&tree);
    free(order);
    free(boxes);
    free(sorted);
    return ok;
}

/* What some of the pile cover together. */
static bool unite(const struct rab_region *regions, size_t count, struct rab_region *out,
                  struct rab_error *err)
{
    struct rab_outline *all;
    size_t total = 0, at = 0;
    bool ok;

    for (size_t i = 0; i < count; i++)
        total += regions[i].count;
    all = malloc((total + 1) * sizeof *all);
    if (!all)
        return rab_fail_memory(err);
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < regions[i].count; k++)
            all[at++] = regions[i].outlines[k]; /* lent, not copied */
    /* Every region winds once around what it covers and not at all around the rest. */
    ok = rab_region_fill(all, total, RAB_FILL_POSITIVE, out, err);
    free(all);
    return ok;
}

/* Neighbours first, then neighbours of neighbours: where many shapes lie on top of each other, all
 * their crossings at once would take memory with the square of their number. */
static bool unite_pile(struct pile *pile, struct rab_region *out, struct rab_error *err)
{
    enum { AT_ONCE = 16 };
    bool apart;

    if (pile->count > 1) {
        if (!sort_pile(pile, &apart, err))
            return false;
        if (apart)
            return unite(pile->items, pile->count, out, err);
    }
    while (pile->count > 1) {
        size_t kept = 0;
        for (size_t i = 0; i < pile->count; i += AT_ONCE) {
            size_t count = pile->count - i < AT_ONCE ? pile->count - i : AT_ONCE;
            struct rab_region one = {0};
            if (!unite(pile->items + i, count, &one, err))
                return false;
            for (size_t k = 0; k < count; k++)
                rab_region_clear(&pile->items[i + k]);
            pile->items[kept++] = one;
        }
        pile->count = kept;
    }
    if (pile->count == 1) {
        *out = pile->items[0];
        pile->items[0] = (struct rab_region){0};
    }
    return true;
}

/* Each filled element by its own rule, then all of them united. */
static bool read_filled(const struct rab_drawing *drawing, struct rab_region *out,
                        struct rab_reading_report *report, struct rab_error *err)
{
    struct pile pile = {0};
    bool ok = false;

    for (size_t i = 0; i < drawing->count; i++) {
        const struct rab_drawn *item = &drawing->items[i];
        struct rab_region one = {0};

        if (!item->filled)
            continue;
        for (size_t k = 0; k < item->count; k++)
            count_outline(report, &item->outlines[k], item->line);
        if (!rab_reserve((void **)&pile.items, &pile.capacity, pile.count + 1, sizeof one, err) ||
            !rab_region_fill(item->outlines, item->count, item->rule, &one, err))
            goto done;
        if (one.count > 0)
            pile.items[pile.count++] = one;
        else
            rab_region_clear(&one);
    }
    ok = unite_pile(&pile, out, err);
done:
    clear_pile(&pile);
    return ok;
}

/* ---- lines ---- */

static bool is_painted(const struct rab_drawn *item)
{
    return item->filled || item->stroked;
}

static bool collect_lines(const struct rab_drawing *drawing, struct outline_list *closed,
                          struct outline_list *open, struct rab_warnings *notes,
                          struct rab_error *err)
{
    const struct rab_drawn *first = NULL;
    size_t painted = 0, others = 0;

    for (size_t i = 0; i < drawing->count; i++)
        painted += is_painted(&drawing->items[i]);
    for (size_t i = 0; i < drawing->count; i++) {
        const struct rab_drawn *item = &drawing->items[i];

        if (!is_painted(item)) {
            first = first ? first : item;
            others += item->count;
            if (painted > 0)
                continue;
        }
        for (size_t k = 0; k < item->count; k++) {
            const struct rab_outline *outline = &item->outlines[k];
            /* What is filled and not stroked looks closed. */
            bool is_open = outline->open && !(item->filled && !item->stroked);
            if (!outline_list_add(is_open ? open : closed, outline, item->line, err))
                return false;
            if (!is_open)
                closed->items[closed->count - 1].open = false;
        }
    }
    if (!first)
        return true;
    return rab_warn(notes, err, "unpainted", first->line,
                    "%zu outline%s neither fill nor stroke (the first in this %s element) and %s",
                    others, others == 1 ? " has" : "s have", first->element,
                    painted > 0 ? "left out" : "read all the same");
}

static bool tell_joined(const struct join_result *result, struct rab_warnings *notes,
                        struct rab_error *err)
{
    struct rab_text text = {0};
    bool ok;

    if (result->widest <= worth_telling)
        return true;
    rab_text_fixed(&text, result->widest, 3);
    ok = rab_text_ok(&text, err) &&
         rab_warn(notes, err, "joined", 0,
                  "ends of lines up to %s mm apart were joined by straight lines", text.data);
    rab_text_clear(&text);
    return ok;
}

static bool read_lines(const struct rab_drawing *drawing, double gap, struct rab_region *out,
                       struct rab_reading_report *report, struct rab_warnings *notes,
                       struct rab_error *err)
{
    struct outline_list closed = {0}, open = {0};
    struct join_result joined;
    int line = 0;
    bool ok = false;

    if (!collect_lines(drawing, &closed, &open, notes, err) ||
        !join_ends(&open, gap, &closed, &joined, err) || !tell_joined(&joined, notes, err) ||
        !drop_repeated(&closed, &report->repeated, &line, err))
        goto done;
    if (report->repeated > 0 &&
        !rab_warn(notes, err, "repeated", line,
                  "%zu outline%s drawn a second time in the same place and left out",
                  report->repeated, report->repeated == 1 ? " is" : "s are"))
        goto done;
    report->joined = joined.joined;
    for (size_t i = 0; i < closed.count; i++)
        count_outline(report, &closed.items[i], closed.lines[i]);
    ok = rab_region_fill(closed.items, closed.count, RAB_FILL_EVENODD, out, err);
done:
    outline_list_clear(&closed);
    outline_list_clear(&open);
    return ok;
}

static bool read_cuts(const struct rab_drawing *drawing, enum rab_reading reading, double join_gap,
                      struct rab_region *out, struct rab_reading_report *report,
                      struct rab_warnings *notes, struct rab_error *err)
{
    struct rab_reading_report told = {0};
    struct rab_region made = {0};
    double gap = join_gap < 0 ? RAB_JOIN_GAP : join_gap;
    bool ok = false;

    if (isnan(gap) || gap > FARTHEST)
        return rab_fail(err, RAB_FAULT_INPUT, "the gap to be joined must be 0 or more");
    if (!check_outlines(drawing, err))
        return false;
    told.reading = choose(drawing, reading);
    if (told.reading == RAB_READ_FILLED ? !read_filled(drawing, &made, &told, err)
                                        : !read_lines(drawing, gap, &made, &told, notes, err))
        goto done;
    if (made.count == 0) {
        rab_fail(err, RAB_FAULT_GEOMETRY,
                 told.reading == RAB_READ_FILLED
                     ? "the drawing's filled shapes enclose no area; is it a line drawing?"
                     : "the drawing's lines enclose no area; give closed outlines");
        goto done;
    }
    if (told.reading == RAB_READ_FILLED &&
        !tell_filled(drawing, &made, gap, told.outlines, notes, err))
        goto done;
    if (report)
        *report = told;
    *out = made;
    made = (struct rab_region){0};
    ok = true;
done:
    rab_region_clear(&made);
    return ok;
}

bool rab_drawing_region(const struct rab_drawing *drawing, enum rab_reading reading,
                        double join_gap, struct rab_region *out, struct rab_reading_report *report,
                        struct rab_warnings *notes, struct rab_error *err)
{
    struct rab_drawing cuts = *drawing; /* its items are borrowed */
    bool ok;

    cuts.items = malloc((drawing->count + 1) * sizeof *cuts.items);
    if (!cuts.items)
        return rab_fail_memory(err);
    cuts.count = 0;
    for (size_t i = 0; i < drawing->count; i++)
        if (drawing->items[i].operation == RAB_CUT)
            cuts.items[cuts.count++] = drawing->items[i];
    ok = read_cuts(&cuts, reading, join_gap, out, report, notes, err);
    free(cuts.items);
    return ok;
}
