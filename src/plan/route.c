#include "plan/route.h"

#include "outline/box_tree.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    NEAREST = 6,
    QUARTERS = 4, /* and the nearest in each direction: between heaps only these lead on... */
    NEIGHBOURS = NEAREST + QUARTERS,
    CHAIN = 3,         /* stops that are moved together */
    KICKS_A_STOP = 30, /* tries to leave a local optimum... */
    KICKS_ALL =
        40000000,    /* ... in all, times the stops: the more there are, the less a kick gains */
    KICK_REACH = 30, /* positions within which a kick stays */
    LONGEST_TURN = 1000,  /* stops that are turned round at once: more cost more than they gain */
    LONGEST_MOVE = 50000, /* and that a chain is moved past */
};
/* Less than this is no improvement: it would go round in circles on rounding. */
static const double least_gain = 1e-9;

/* What was done, so that it can be taken back. */
enum step_kind { STEP_TURN, STEP_MOVE, STEP_WAY, STEP_SWAP };
struct step {
    enum step_kind kind;
    size_t a, b, c;
    bool turned;
};

struct tour {
    const struct stop *stops;
    size_t count;
    const size_t *around; /* the stop that must come behind each one, or ROUTE_FREE; or NULL */
    struct rab_point from;
    size_t *order, *place; /* place: of each stop in order */
    size_t *way;
    struct rab_point *in, *out; /* of each stop as it is taken now */
    uint32_t *near;             /* NEIGHBOURS of each stop; itself where there are fewer */
    unsigned char *quiet;       /* nothing to gain here, by stop */
    size_t *stack;              /* stops to look at */
    size_t stacked;
    struct step *steps; /* since the last kick */
    size_t step_count, step_capacity;
    bool overflown; /* they could not all be kept: memory is out */
    double saved;   /* by them */
    uint64_t seed;
};

static void keep_step(struct tour *t, struct step step)
{
    void *items = t->steps;

    if (!rab_reserve(&items, &t->step_capacity, t->step_count + 1, sizeof *t->steps, NULL)) {
        t->overflown = true;
        return;
    }
    t->steps = items;
    t->steps[t->step_count++] = step;
}

/* The time goes here: no hypot, which guards against overflow that coordinates cannot cause. */
static double apart(struct rab_point a, struct rab_point b)
{
    const double x = a.x - b.x, y = a.y - b.y;

    return sqrt(x * x + y * y);
}

/* ---- the path as positions -1 (from), 0 ... count - 1 ------------------------------------ */

/* Where the tool is before it goes to position i. */
static struct rab_point leave(const struct tour *t, size_t i)
{
    return i == 0 ? t->from : t->out[t->order[i - 1]];
}

/* To the stop at position i; nothing leads on from the last one. */
static double leg(const struct tour *t, size_t i)
{
    return i == t->count ? 0 : apart(leave(t, i), t->in[t->order[i]]);
}

static double whole_travel(const struct tour *t)
{
    double sum = 0;

    for (size_t i = 0; i < t->count; i++)
        sum += leg(t, i);
    return sum;
}

/* Taken backwards: so cost and the way itself stay the same but for their direction. Only stops
 * that have that way among theirs can be. */
static bool can_turn(const struct tour *t, size_t s)
{
    const struct rab_point in = t->in[s], out = t->out[s];

    return in.x == out.x && in.y == out.y;
}

static size_t turned_way(const struct tour *t, size_t s)
{
    const struct stop *stop = &t->stops[s];
    const struct way *w = &stop->ways[t->way[s]];

    if (can_turn(t, s))
        return t->way[s];
    for (size_t i = 0; i < stop->count; i++)
        if (stop->ways[i].in.x == w->out.x && stop->ways[i].in.y == w->out.y &&
            stop->ways[i].out.x == w->in.x && stop->ways[i].out.y == w->in.y &&
            stop->ways[i].extra <= w->extra)
            return i;
    return stop->count;
}

static void take_way(struct tour *t, size_t s, size_t way)
{
    t->way[s] = way;
    t->in[s] = t->stops[s].ways[way].in;
    t->out[s] = t->stops[s].ways[way].out;
}

static void wake(struct tour *t, size_t s)
{
    if (t->quiet[s]) {
        t->quiet[s] = 0;
        t->stack[t->stacked++] = s;
    }
}

static void wake_place(struct tour *t, size_t i)
{
    if (i < t->count)
        wake(t, t->order[i]);
}

/* The position that a stop must stay in front of. */
static size_t latest(const struct tour *t, size_t s)
{
    return t->around && t->around[s] != ROUTE_FREE ? t->place[t->around[s]] : t->count;
}

/* Positions i to k, inclusive, the other way round. False (and nothing done) when one of the stops
 * cannot be taken backwards, or one must stay in front of another. */
static bool turn_part(struct tour *t, size_t i, size_t k)
{
    for (size_t p = i; p <= k; p++)
        if (latest(t, t->order[p]) <= k ||
            turned_way(t, t->order[p]) == t->stops[t->order[p]].count)
            return false;
    for (size_t p = i; p <= k; p++)
        take_way(t, t->order[p], turned_way(t, t->order[p]));
    for (size_t a = i, b = k; a < b; a++, b--) {
        const size_t s = t->order[a];
        t->order[a] = t->order[b];
        t->order[b] = s;
    }
    for (size_t p = i; p <= k; p++)
        t->place[t->order[p]] = p;
    return true;
}

/* ---- moves ----------------------------------------------------------------------------- */

/* Turn positions i to k: what would it gain? */
static double turn_gain(const struct tour *t, size_t i, size_t k)
{
    const double now = leg(t, i) + leg(t, k + 1);
    double then = apart(leave(t, i), t->out[t->order[k]]);

    if (k + 1 < t->count)
        then += apart(t->in[t->order[i]], t->in[t->order[k + 1]]);
    return now - then;
}

static bool try_turn(struct tour *t, size_t i, size_t k)
{
    if (i > k || k >= t->count || k - i > LONGEST_TURN)
        return false;
    const double gain = turn_gain(t, i, k);
    if (!(gain > least_gain) || !turn_part(t, i, k))
        return false;
    t->saved += gain;
    keep_step(t, (struct step){STEP_TURN, i, k, 0, false});
    wake_place(t, i - 1); /* wraps to a place that is none when i is 0 */
    wake_place(t, i);
    wake_place(t, k);
    wake_place(t, k + 1);
    return true;
}

/* A better path has a new leg that is shorter than the old one at one of its ends: from there, a
 * neighbour must be nearer than the old leg was long. */
static double least_apart(const struct tour *t, size_t s, size_t o)
{
    const double a = apart(t->in[s], t->in[o]), b = apart(t->out[s], t->out[o]);

    if (can_turn(t, s) && can_turn(t, o))
        return a;
    return fmin(fmin(a, b), fmin(apart(t->in[s], t->out[o]), apart(t->out[s], t->in[o])));
}

/* Both edges at a stop against those at its neighbours. */
static bool improve_by_turning(struct tour *t, size_t s)
{
    const size_t a = t->place[s];
    const double before = leg(t, a), behind = leg(t, a + 1);

    for (size_t n = 0; n < NEIGHBOURS; n++) {
        const size_t o = t->near[s * NEIGHBOURS + n], b = t->place[o];

        if (o == s)
            break;
        const double new_leg = least_apart(t, s, o);
        /* s and o become neighbours, in place of the stops behind them or before them */
        if ((new_leg < behind && try_turn(t, a < b ? a + 1 : b + 1, a < b ? b : a)) ||
            (new_leg < before && try_turn(t, a < b ? a : b, a < b ? b - 1 : a - 1)))
            return true;
    }
    return false;
}

/* May the stops at positions i to k - 1 and those at k to m - 1 change places? */
static bool may_swap(const struct tour *t, size_t i, size_t k, size_t m)
{
    for (size_t p = i; p < k && t->around; p++)
        if (latest(t, t->order[p]) < m && latest(t, t->order[p]) >= k)
            return false;
    return true;
}

/* Move the stops at positions i to k to stand before position m (outside i to k + 1), turned if
 * `turn`. False (and nothing done) when that may not be. */
static bool move_part(struct tour *t, size_t i, size_t k, size_t m, bool turn)
{
    size_t chain[CHAIN];
    const size_t length = k - i + 1;

    if ((m > k ? m - k : i - m) > LONGEST_MOVE ||
        !(m > k ? may_swap(t, i, k + 1, m) : may_swap(t, m, i, k + 1)) ||
        (turn && !turn_part(t, i, k)))
        return false;
    memcpy(chain, t->order + i, length * sizeof *chain);
    if (m > k) {
        memmove(t->order + i, t->order + k + 1, (m - k - 1) * sizeof *t->order);
        memcpy(t->order + m - length, chain, length * sizeof *chain);
        for (size_t p = i; p < m; p++)
            t->place[t->order[p]] = p;
    } else {
        memmove(t->order + m + length, t->order + m, (i - m) * sizeof *t->order);
        memcpy(t->order + m, chain, length * sizeof *chain);
        for (size_t p = m; p <= k; p++)
            t->place[t->order[p]] = p;
    }
    return true;
}

/* What is saved where positions i to k were: no more than this does a move gain before what it
 * costs where they go. */
static double freed_by(const struct tour *t, size_t i, size_t k)
{
    const double closed = k + 1 == t->count ? 0 : apart(leave(t, i), t->in[t->order[k + 1]]);

    return leg(t, i) + leg(t, k + 1) - closed;
}

/* Positions i to k, `freed` by them, to stand before position m. */
static bool try_move(struct tour *t, size_t i, size_t k, double freed, size_t m)
{
    if (m >= i && m <= k + 1)
        return false;
    const bool at_end = m == t->count;
    const struct rab_point first = t->in[t->order[i]], end = t->out[t->order[k]];
    const struct rab_point p = leave(t, m), q = at_end ? p : t->in[t->order[m]];
    const double straight = apart(p, first) + (at_end ? 0 : apart(end, q));
    const double turned = apart(p, end) + (at_end ? 0 : apart(first, q));
    const bool turn = turned < straight;

    const double gain = freed + apart(p, q) - (turn ? turned : straight);
    if (!(gain > least_gain) || !move_part(t, i, k, m, turn))
        return false;
    /* where it was, and where it is now with what stands beside it */
    const size_t now_first = m > k ? m - (k - i + 1) : m, now_last = now_first + (k - i);
    const size_t gap = m > k ? i : k + 1;
    wake_place(t, gap - 1);
    wake_place(t, gap);
    for (size_t n = now_first; n <= now_last; n++)
        wake_place(t, n);
    wake_place(t, now_first - 1);
    wake_place(t, now_last + 1);
    t->saved += gain;
    keep_step(t, (struct step){STEP_MOVE, i, k, m, turn});
    return true;
}

/* The stop, alone or with those behind or before it, next to one of its neighbours. */
static bool improve_by_moving(struct tour *t, size_t s)
{
    const size_t a = t->place[s];
    const double before = leg(t, a), behind = leg(t, a + 1);
    double new_legs[NEIGHBOURS];
    size_t count = 0;

    for (; count < NEIGHBOURS && t->near[s * NEIGHBOURS + count] != s; count++)
        new_legs[count] = least_apart(t, s, t->near[s * NEIGHBOURS + count]);
    for (size_t n = 0; n < 2 * CHAIN; n++) {
        const size_t more = n / 2;
        const bool back = n % 2 == 1;
        const double old_leg = back ? behind : before;
        if (back ? a < more : a + more >= t->count)
            continue;
        const size_t i = back ? a - more : a, k = back ? a : a + more;
        const double freed = freed_by(t, i, k);
        for (size_t o = 0; o < count; o++) {
            const size_t b = t->place[t->near[s * NEIGHBOURS + o]];
            if (new_legs[o] < old_leg &&
                (try_move(t, i, k, freed, b) || try_move(t, i, k, freed, b + 1)))
                return true;
        }
    }
    return false;
}

/* The best way of a stop where it stands. */
static bool improve_way(struct tour *t, size_t s)
{
    const size_t i = t->place[s];
    const struct stop *stop = &t->stops[s];
    const struct rab_point before = leave(t, i);
    const bool last = i + 1 == t->count;
    const struct rab_point behind = last ? before : t->in[t->order[i + 1]];
    size_t best = t->way[s];
    const double now =
        apart(before, t->in[s]) + (last ? 0 : apart(t->out[s], behind)) + stop->ways[best].extra;
    double least = now;

    for (size_t w = 0; w < stop->count; w++) {
        const double cost = apart(before, stop->ways[w].in) +
                            (last ? 0 : apart(stop->ways[w].out, behind)) + stop->ways[w].extra;
        if (cost < least - least_gain) {
            least = cost;
            best = w;
        }
    }
    if (best == t->way[s])
        return false;
    t->saved += now - least;
    keep_step(t, (struct step){STEP_WAY, s, t->way[s], 0, false});
    take_way(t, s, best);
    wake_place(t, i - 1);
    wake_place(t, i);
    wake_place(t, i + 1);
    return true;
}

/* Until nothing on the stack gains any more. Each step shortens the path, so this ends. */
static void settle(struct tour *t)
{
    while (t->stacked > 0) {
        const size_t s = t->stack[--t->stacked];
        t->quiet[s] = 1;
        while (improve_by_turning(t, s) || improve_by_moving(t, s) || improve_way(t, s))
            ;
    }
}

/* ---- out of local optima --------------------------------------------------------------- */

/* Knuth's MMIX generator: the same numbers on every machine. */
static size_t next_random(struct tour *t, size_t below)
{
    t->seed = t->seed * 6364136223846793005U + 1442695040888963407U;
    return (size_t)((t->seed >> 33) % below);
}

/* Positions a to b - 1 and b to c - 1 change places; c - a is at most KICK_REACH. */
static void swap_parts(struct tour *t, size_t a, size_t b, size_t c)
{
    size_t kept[KICK_REACH];

    memcpy(kept, t->order + a, (b - a) * sizeof *kept);
    memmove(t->order + a, t->order + b, (c - b) * sizeof *t->order);
    memcpy(t->order + a + (c - b), kept, (b - a) * sizeof *kept);
    for (size_t p = a; p < c; p++)
        t->place[t->order[p]] = p;
}

static void take_back(struct tour *t)
{
    while (t->step_count > 0) {
        const struct step *s = &t->steps[--t->step_count];
        const size_t length = s->b - s->a + 1;

        switch (s->kind) {
        case STEP_TURN:
            turn_part(t, s->a, s->b);
            break;
        case STEP_MOVE:
            if (s->c > s->b)
                move_part(t, s->c - length, s->c - 1, s->a, s->turned);
            else
                move_part(t, s->c, s->c + length - 1, s->b + 1, s->turned);
            break;
        case STEP_WAY:
            take_way(t, s->a, s->b);
            break;
        case STEP_SWAP:
            swap_parts(t, s->a, s->a + (s->c - s->b), s->c);
            break;
        }
    }
}

/* A small double bridge, and back to a local optimum; kept when that is better. */
static void kick(struct tour *t)
{
    const size_t reach = t->count < KICK_REACH ? t->count : KICK_REACH;
    const size_t a = next_random(t, t->count - reach + 1);
    const size_t b = a + 1 + next_random(t, reach - 1);
    const size_t c = b + 1 + next_random(t, a + reach - b);
    const double before = leg(t, a) + leg(t, b) + leg(t, c);

    if (!may_swap(t, a, b, c))
        return;
    t->step_count = 0;
    t->saved = 0;
    keep_step(t, (struct step){STEP_SWAP, a, b, c, false});
    swap_parts(t, a, b, c);
    const size_t seam = a + (c - b);
    t->saved = before - (leg(t, a) + leg(t, seam) + leg(t, c));
    wake_place(t, a - 1);
    wake_place(t, a);
    wake_place(t, seam - 1);
    wake_place(t, seam);
    wake_place(t, c - 1);
    wake_place(t, c);
    settle(t);
    if (!(t->saved > least_gain))
        take_back(t);
}

/* ---- the beginning --------------------------------------------------------------------- */

/* Nearest others by the middles of their ways: through a box tree. */
struct search {
    const struct rab_point *middles;
    struct rab_point at;
    size_t self, count;
    int quarter;
    size_t found[NEAREST];
    double distances[NEAREST];
};

static bool keep_near(void *context, size_t item)
{
    struct search *s = context;
    const double distance = apart(s->at, s->middles[item]);
    size_t k;

    if (item == s->self || (s->count == NEAREST && distance >= s->distances[NEAREST - 1]))
        return true;
    k = s->count < NEAREST ? s->count++ : NEAREST - 1;
    for (; k > 0 && s->distances[k - 1] > distance; k--) {
        s->distances[k] = s->distances[k - 1];
        s->found[k] = s->found[k - 1];
    }
    s->distances[k] = distance;
    s->found[k] = item;
    return true;
}

/* In growing squares, until as many as wanted are nearer than the square reaches. */
static void find_nearest(struct search *s, const struct box_tree *tree, double half, double extent)
{
    for (;; half *= 2) {
        const struct rab_box box = {s->at.x - half, s->at.y - half, s->at.x + half, s->at.y + half};
        s->count = 0;
        box_tree_query(tree, box, keep_near, s);
        if (half > 2 * extent || (s->count == NEAREST && s->distances[NEAREST - 1] <= half))
            return;
    }
}

/* What lies in another quarter is out of the question, and so is what has been found. */
static double distance2_in_quarter(void *context, size_t item, struct rab_point point)
{
    const struct search *s = context;
    const double x = s->middles[item].x - point.x, y = s->middles[item].y - point.y;
    const int quarter = x > 0 && y >= 0 ? 0 : x <= 0 && y > 0 ? 1 : x < 0 && y <= 0 ? 2 : 3;

    return item == s->self || quarter != s->quarter ? 1e300 : x * x + y * y;
}

/* Not far away: at the rim a quarter is empty, and looking for more would pass by every stop. */
static size_t find_in_quarter(struct search *s, const struct box_tree *tree, size_t none)
{
    static const double far = 16;
    const double reach = s->count > 0 ? far * s->distances[s->count - 1] : 0;
    double best2 = reach * reach;
    const size_t found = box_tree_nearest(tree, s->at, distance2_in_quarter, s, &best2);

    return best2 < reach * reach ? found : none;
}

/* The neighbours of places on the curve, by places on it; the rest of a row is the place itself. */
static void find_near(const struct box_tree *tree, const struct rab_point *middles, size_t count,
                      double extent, uint32_t *near)
{
    const double spacing = extent / sqrt((double)count) + 1e-9;

    for (size_t i = 0; i < count; i++) {
        struct search s = {.middles = middles, .at = middles[i], .self = i};
        uint32_t *row = near + i * NEIGHBOURS;
        size_t kept = 0;

        find_nearest(&s, tree, 1.5 * spacing, extent);
        for (; kept < s.count; kept++)
            row[kept] = (uint32_t)s.found[kept];
        for (s.quarter = 0; s.quarter < QUARTERS; s.quarter++) {
            const size_t found = find_in_quarter(&s, tree, i);
            size_t k = 0;
            while (k < kept && row[k] != found)
                k++;
            if (found != i && k == kept)
                row[kept++] = (uint32_t)found;
        }
        for (; kept < NEIGHBOURS; kept++)
            row[kept] = (uint32_t)i;
    }
}

/* Along the curve, but each stop behind those that must come before it. The stack holds a stop and
 * those around it that wait for it; a child list is a chain through `next`. */
static bool put_in_order(struct tour *t, const uint32_t *curve, struct rab_error *err)
{
    size_t *first = malloc((t->count + 1) * sizeof *first);
    size_t *next = malloc((t->count + 1) * sizeof *next);
    size_t depth = 0, placed = 0;
    const bool ok = first && next;

    if (!ok) {
        rab_fail_memory(err);
        goto done;
    }
    for (size_t i = 0; i < t->count; i++)
        first[i] = ROUTE_FREE;
    for (size_t i = t->count; i-- > 0;) {
        const size_t s = curve[i], around = t->around ? t->around[s] : ROUTE_FREE;
        if (around != ROUTE_FREE) {
            next[s] = first[around];
            first[around] = s;
        }
    }
    for (size_t i = 0; i < t->count; i++) {
        if (t->around && t->around[curve[i]] != ROUTE_FREE)
            continue; /* it comes with the one around it */
        t->stack[depth++] = curve[i];
        while (depth > 0) {
            const size_t s = t->stack[depth - 1], inner = first[s];
            if (inner != ROUTE_FREE) {
                first[s] = next[inner];
                t->stack[depth++] = inner;
            } else {
                t->place[s] = placed;
                t->order[placed++] = s;
                depth--;
            }
        }
    }
done:
    free(first);
    free(next);
    return ok;
}

/* The first order: along a Hilbert curve through the middles; and who is near whom. */
static bool begin(struct tour *t, struct rab_error *err)
{
    struct rab_point *middles = calloc(t->count, sizeof *middles);
    struct rab_box *boxes = calloc(t->count, sizeof *boxes), all = RAB_BOX_EMPTY;
    uint32_t *curve = calloc(t->count, sizeof *curve);
    uint32_t *near = calloc(t->count * NEIGHBOURS, sizeof *near);
    struct box_tree tree = {0};
    bool ok = false;

    if (!middles || !boxes || !curve || !near) {
        rab_fail_memory(err);
        goto done;
    }
    for (size_t i = 0; i < t->count; i++) {
        struct rab_box box = RAB_BOX_EMPTY;
        for (size_t w = 0; w < t->stops[i].count; w++) {
            const struct rab_point p = t->stops[i].ways[w].in;
            box = rab_box_join(box, (struct rab_box){p.x, p.y, p.x, p.y});
        }
        const struct rab_point middle = {(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2};
        boxes[i] = (struct rab_box){middle.x, middle.y, middle.x, middle.y};
        all = rab_box_join(all, boxes[i]);
    }
    if (!box_tree_order(boxes, t->count, curve, err) || !box_tree_reserve(&tree, t->count, err) ||
        !put_in_order(t, curve, err))
        goto done;
    /* the tree wants its items in a coherent order; numbers in it are places on the curve */
    for (size_t i = 0; i < t->count; i++) {
        tree.boxes[i] = boxes[curve[i]];
        middles[i] = (struct rab_point){tree.boxes[i].x0, tree.boxes[i].y0};
    }
    box_tree_finish(&tree);
    find_near(&tree, middles, t->count, fmax(all.x1 - all.x0, all.y1 - all.y0) + 1e-9, near);
    for (size_t i = 0; i < t->count; i++)
        for (size_t n = 0; n < NEIGHBOURS; n++)
            t->near[curve[i] * NEIGHBOURS + n] = curve[near[i * NEIGHBOURS + n]];
    ok = true;
done:
    box_tree_clear(&tree);
    free(near);
    free(curve);
    free(boxes);
    free(middles);
    return ok;
}

static bool reserve(struct tour *t, struct rab_error *err)
{
    t->order = calloc(t->count, sizeof *t->order);
    t->place = calloc(t->count, sizeof *t->place);
    t->way = calloc(t->count, sizeof *t->way);
    t->in = calloc(t->count, sizeof *t->in);
    t->out = calloc(t->count, sizeof *t->out);
    t->near = calloc(t->count * NEIGHBOURS, sizeof *t->near);
    t->quiet = calloc(t->count, 1);
    t->stack = calloc(t->count, sizeof *t->stack);
    return (t->order && t->place && t->way && t->in && t->out && t->near && t->quiet && t->stack) ||
           rab_fail_memory(err);
}

static void tour_clear(struct tour *t)
{
    free(t->order);
    free(t->place);
    free(t->way);
    free(t->in);
    free(t->out);
    free(t->near);
    free(t->quiet);
    free(t->stack);
    free(t->steps);
}

static void wake_all(struct tour *t)
{
    t->stacked = 0;
    for (size_t i = t->count; i-- > 0;) {
        t->quiet[t->order[i]] = 0;
        t->stack[t->stacked++] = t->order[i];
    }
}

bool route_find(const struct stop *stops, size_t count, const size_t *around, struct rab_point from,
                struct route *route, struct rab_error *err)
{
    struct tour t = {.stops = stops, .count = count, .around = around, .from = from, .seed = 1};
    bool ok = false;

    if (count == 0)
        return true;
    if (!reserve(&t, err) || !begin(&t, err))
        goto done;
    for (size_t s = 0; s < count; s++)
        take_way(&t, s, 0);
    for (size_t i = 0; i < count; i++)
        improve_way(&t, t.order[i]);
    wake_all(&t);
    settle(&t);
    for (size_t n = 0; count >= 2 && n < count * KICKS_A_STOP && n < KICKS_ALL / count; n++)
        kick(&t);
    if (t.overflown) {
        rab_fail_memory(err);
        goto done;
    }
    route->travel = whole_travel(&t);
    route->order = t.order;
    route->way = t.way;
    t.order = t.way = NULL;
    ok = true;
done:
    tour_clear(&t);
    return ok;
}

void route_clear(struct route *route)
{
    free(route->order);
    free(route->way);
    *route = (struct route){0};
}
