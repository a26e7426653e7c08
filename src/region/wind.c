/* The second half of the arrangement: pieces around their spots, and winding numbers. */
#include "arrange.h"

#include <stdlib.h>
#include <string.h>

static uint32_t spot_of(const struct arrangement *arr, uint32_t half)
{
    const struct piece *p = &arr->piece[half / 2];

    return half & 1 ? p->b : p->a;
}

/* The piece as an edge that leaves its spot. */
static struct edge leaving(const struct arrangement *arr, uint32_t half)
{
    const struct edge e = piece_edge(arr, &arr->piece[half / 2]);

    return half & 1 ? edge_back(&e) : e;
}

/* List the pieces around each spot; dropped ones are left out. */
static void gather(struct arrangement *arr)
{
    uint32_t *start = arr->around_start;

    memset(start, 0, (arr->spots + 1u) * sizeof *start);
    for (uint32_t p = 0; p < arr->pieces; p++) {
        if (arr->piece[p].weight == 0)
            continue;
        start[arr->piece[p].a + 1]++;
        start[arr->piece[p].b + 1]++;
    }
    for (uint32_t s = 0; s < arr->spots; s++)
        start[s + 1] += start[s];
    for (uint32_t h = 2 * arr->pieces; h-- > 0;)
        if (arr->piece[h / 2].weight != 0)
            arr->around[--start[spot_of(arr, h) + 1]] = h;
    /* Filling from behind has moved each start one place on: start[s + 1] is the start of s. */
    memmove(start, start + 1, arr->spots * sizeof *start);
    uint32_t live = 0;
    for (uint32_t p = 0; p < arr->pieces; p++)
        live += arr->piece[p].weight != 0;
    start[arr->spots] = 2 * live;
}

/* ---- pieces that lie on each other ---- */

struct way {
    uint32_t half, other; /* a half-piece and the spot at its far end */
    double bulge;         /* leaving */
};

static int by_far_end(const void *a, const void *b)
{
    const struct way *v = a, *w = b;

    if (v->other != w->other)
        return v->other < w->other ? -1 : 1;
    if (v->bulge != w->bulge)
        return v->bulge < w->bulge ? -1 : 1;
    return v->half < w->half ? -1 : v->half > w->half;
}

/* Pieces between the same two spots that nowhere part further than `same` are one; their weights
 * add up, and nothing is left of a way that is taken as often back as forth. */
static bool join_doubles(struct arrangement *arr, struct rab_error *err)
{
    struct way *ways = NULL;
    size_t room = 0;

    for (uint32_t s = 0; s < arr->spots; s++) {
        const uint32_t from = arr->around_start[s], n = arr->around_start[s + 1] - from;
        if (n < 2)
            continue;
        if (!rab_reserve((void **)&ways, &room, n, sizeof *ways, err)) {
            free(ways);
            return false;
        }
        uint32_t count = 0;
        for (uint32_t i = 0; i < n; i++) {
            const uint32_t half = arr->around[from + i];
            const struct piece *p = &arr->piece[half / 2];
            const uint32_t other = half & 1 ? p->a : p->b;
            if (other > s && p->weight != 0)
                ways[count++] = (struct way){half, other, half & 1 ? -p->bulge : p->bulge};
        }
        if (count < 2)
            continue;
        qsort(ways, count, sizeof *ways, by_far_end);
        for (uint32_t i = 0; i + 1 < count; i++) {
            const struct way *v = &ways[i], *w = &ways[i + 1];
            const struct rab_point a = arr->spot[s], b = arr->spot[v->other];
            if (v->other != w->other ||
                fabs(v->bulge - w->bulge) * length_of(a.x - b.x, a.y - b.y) > 4 * arr->same)
                continue;
            /* The later one takes over, so that a whole run ends in one piece. */
            struct piece *p = &arr->piece[v->half / 2], *q = &arr->piece[w->half / 2];
            q->weight += (v->half & 1) == (w->half & 1) ? p->weight : -p->weight;
            p->weight = 0;
            q->doubled = true;
        }
    }
    free(ways);
    return true;
}

/* ---- order around a spot ---- */

struct ray {
    uint32_t half;
    double angle; /* 0 to 4, rising with the direction, a quarter turn is 1 */
    struct edge edge;
};

static double angle_of(struct rab_point t)
{
    const double a = fabs(t.x) + fabs(t.y), c = t.x / a;

    return t.y >= 0 ? 1 - c : 3 + c;
}

/* Where an edge goes from its start, seen at the distance from which crossings are told apart: a
 * tiny arc may cross a neighbour nearer than that, and its tangent would tell the order before. */
static double heading(const struct edge *e, double same)
{
    struct rab_point t = edge_leaves(e);
    const double s = e->k * lesser(2 * same, e->chord) / 2;

    if (fabs(s) > 1e-6) {
        const double c = sqrt(greater(0, (1 - s) * (1 + s)));
        t = (struct rab_point){t.x * c - t.y * s, t.x * s + t.y * c};
    }
    return angle_of(t);
}

static int by_angle(const void *a, const void *b)
{
    const struct ray *v = a, *w = b;

    if (v->angle != w->angle)
        return v->angle < w->angle ? -1 : 1;
    return v->half < w->half ? -1 : v->half > w->half;
}

/* Of two ways that leave a spot in nearly the same direction and do not cross: is the first one to
 * the right (earlier in counter-clockwise order)? The end of the shorter one tells. */
static bool to_the_right(const struct ray *v, const struct ray *w)
{
    const bool v_short = v->edge.chord <= w->edge.chord;
    const struct edge *s = v_short ? &v->edge : &w->edge, *l = v_short ? &w->edge : &v->edge;
    const double gap = length_of(s->qx - l->qx, s->qy - l->qy);
    struct rab_point at = {s->qx, s->qy};

    if (gap <= 1e-3 * s->chord) {
        at = edge_middle(s);
        if (gap == 0 && s->bulge != l->bulge) /* a lens: its curvatures tell */
            return v->edge.bulge > w->edge.bulge;
    }
    const double side = edge_side(l, at.x, at.y);
    return v_short ? side > 0 : side < 0;
}

static void order_spot(const struct arrangement *arr, uint32_t *halves, uint32_t n,
                       struct ray *rays)
{
    for (uint32_t i = 0; i < n; i++) {
        rays[i].half = halves[i];
        rays[i].edge = leaving(arr, halves[i]);
        rays[i].angle = heading(&rays[i].edge, arr->same);
    }
    qsort(rays, n, sizeof *rays, by_angle);
    /* Start behind the widest gap, so that no bundle of near-equal directions is torn apart. */
    uint32_t widest = 0;
    double gap = rays[0].angle + 4 - rays[n - 1].angle;
    for (uint32_t i = 1; i < n; i++)
        if (rays[i].angle - rays[i - 1].angle > gap) {
            gap = rays[i].angle - rays[i - 1].angle;
            widest = i;
        }
    for (uint32_t i = 0; i < n; i++)
        halves[i] = (widest + i) % n; /* places in rays, for the time of sorting */
    for (uint32_t i = 1; i < n; i++)
        for (uint32_t j = i; j > 0; j--) {
            const struct ray *v = &rays[halves[j - 1]], *w = &rays[halves[j]];
            double turn = w->angle - v->angle;
            if (turn < 0)
                turn += 4;
            if (turn > 1e-3 || to_the_right(v, w))
                break;
            const uint32_t swap = halves[j];
            halves[j] = halves[j - 1];
            halves[j - 1] = swap;
        }
    for (uint32_t i = 0; i < n; i++)
        halves[i] = rays[halves[i]].half;
}

static bool order(struct arrangement *arr, struct rab_error *err)
{
    struct ray *rays = NULL;
    size_t room = 0;

    for (uint32_t s = 0; s < arr->spots; s++) {
        const uint32_t from = arr->around_start[s], n = arr->around_start[s + 1] - from;
        if (n < 3)
            continue;
        if (!rab_reserve((void **)&rays, &room, n, sizeof *rays, err)) {
            free(rays);
            return false;
        }
        order_spot(arr, arr->around + from, n, rays);
    }
    free(rays);
    return true;
}

/* ---- winding numbers within a component ---- */

/* Winding number to the left and right of a piece as seen leaving a spot. */
static int32_t left_of(const struct arrangement *arr, uint32_t half)
{
    const struct piece *p = &arr->piece[half / 2];

    return half & 1 ? p->right : p->right + p->weight;
}

static void set_right(struct arrangement *arr, uint32_t half, int32_t winding)
{
    struct piece *p = &arr->piece[half / 2];

    p->right = half & 1 ? winding - p->weight : winding;
}

static int32_t right_of(const struct arrangement *arr, uint32_t half)
{
    const struct piece *p = &arr->piece[half / 2];

    return half & 1 ? p->right + p->weight : p->right;
}

/* From one piece whose winding is known around both its spots, and on. Spots are put on the stack
 * once; every piece is then seen from both ends, and the second look must agree. */
static bool spread(struct arrangement *arr, uint32_t first, uint32_t component, uint32_t *stack,
                   bool *seen, uint32_t *listed)
{
    uint32_t depth = 0;
    bool ok = true;

    arr->piece[first].right = 0;
    arr->piece[first].component = component;
    arr->by_component[(*listed)++] = first;
    stack[depth++] = arr->piece[first].a;
    seen[arr->piece[first].a] = true;
    while (depth > 0) {
        const uint32_t s = stack[--depth], from = arr->around_start[s];
        const uint32_t n = arr->around_start[s + 1] - from;
        uint32_t known = 0;
        while (arr->piece[arr->around[from + known] / 2].component == NOTHING)
            known++;
        int32_t winding = left_of(arr, arr->around[from + known]);
        for (uint32_t i = 1; i <= n; i++) {
            const uint32_t half = arr->around[from + (known + i) % n];
            struct piece *p = &arr->piece[half / 2];
            const uint32_t far = half & 1 ? p->a : p->b;
            if (p->component == NOTHING) {
                p->component = component;
                arr->by_component[(*listed)++] = half / 2;
                set_right(arr, half, winding);
            } else if (right_of(arr, half) != winding) {
                ok = false;
            }
            winding = left_of(arr, half);
            if (!seen[far]) {
                seen[far] = true;
                stack[depth++] = far;
            }
        }
    }
    return ok;
}

/* Winding number to the left of a spot that has nothing to its left. */
static int32_t outside_at(const struct arrangement *arr, uint32_t spot)
{
    const uint32_t *halves = arr->around + arr->around_start[spot];
    const uint32_t n = arr->around_start[spot + 1] - arr->around_start[spot];

    /* All ways leave to the right, from straight down to straight up. Where that angle falls back
     * in the order around the spot is the left; not in a bundle of near-equal directions. */
    for (uint32_t i = 0; i < n; i++) {
        const struct edge e = leaving(arr, halves[i]), f = leaving(arr, halves[(i + 1) % n]);
        const double v = heading(&e, arr->same), w = heading(&f, arr->same);
        if ((v >= 2 ? v - 4 : v) - (w >= 2 ? w - 4 : w) > 1e-3)
            return left_of(arr, halves[i]);
    }
    if (n == 2) {
        const struct ray v = {halves[0], 0, leaving(arr, halves[0])};
        const struct ray w = {halves[1], 0, leaving(arr, halves[1])};
        return left_of(arr, to_the_right(&v, &w) ? halves[1] : halves[0]);
    }
    return left_of(arr, halves[n - 1]);
}

/* Shift the winding numbers of a component so that they are 0 outside: read off at its leftmost
 * spot, or at the belly of an arc that lies clearly further left. */
static void settle(struct arrangement *arr, struct component *c)
{
    const double clearly = 1e-9;
    double least = 1e300, belly = 1e300;
    uint32_t leftmost = 0;
    int32_t outside = 0;

    c->box = RAB_BOX_EMPTY;
    for (uint32_t i = c->lo; i < c->hi; i++) {
        const struct piece *p = &arr->piece[arr->by_component[i]];
        const struct edge e = piece_edge(arr, p);
        const struct rab_box b = edge_box(&e, 0);
        c->box = rab_box_join(c->box, b);
        if (e.px < least) {
            least = e.px;
            leftmost = p->a;
        }
        if (e.qx < least) {
            least = e.qx;
            leftmost = p->b;
        }
        if (b.x0 < belly) {
            belly = b.x0;
            outside = p->bulge > 0 ? p->right : p->right + p->weight;
        }
    }
    if (belly >= least - clearly)
        outside = outside_at(arr, leftmost);
    const struct rab_point spot = arr->spot[arr->piece[arr->by_component[c->lo]].a];
    c->x = spot.x;
    c->y = spot.y;
    for (uint32_t i = c->lo; i < c->hi; i++)
        arr->piece[arr->by_component[i]].right -= outside;
}

static struct component *add_component(struct arrangement *arr, struct rab_error *err)
{
    if (!rab_reserve((void **)&arr->component, &arr->component_capacity, arr->components + 1,
                     sizeof *arr->component, err))
        return NULL;
    arr->component[arr->components] = (struct component){0};
    return &arr->component[arr->components++];
}

static bool wind_pieces(struct arrangement *arr, struct rab_error *err)
{
    uint32_t *stack = take(arr->spots, sizeof *stack, err);
    bool *seen = take(arr->spots, sizeof *seen, err);
    uint32_t listed = 0;
    bool ok = false;

    if (!stack || !seen || !(arr->by_component = take(arr->pieces, sizeof *arr->by_component, err)))
        goto done;
    memset(seen, 0, arr->spots);
    for (uint32_t p = 0; p < arr->pieces; p++) {
        if (arr->piece[p].weight == 0 || arr->piece[p].component != NOTHING)
            continue;
        struct component *c = add_component(arr, err);
        if (!c)
            goto done;
        c->pieces = true;
        c->lo = listed;
        if (!spread(arr, p, (uint32_t)arr->components - 1, stack, seen, &listed)) {
            rab_fail(err, RAB_FAULT_GEOMETRY,
                     "the outlines cross in a way that cannot be resolved");
            goto done;
        }
        c->hi = listed;
        settle(arr, c);
    }
    ok = true;
done:
    free(stack);
    free(seen);
    return ok;
}

/* ---- components within each other ---- */

/* What a node of a chain's tree that lies right of the point adds: its edges follow each other, so
 * how often they cross the ray shows at its ends. */
static int crossings_of(const struct box_tree *tree, const struct edge *edges, int level,
                        size_t node, double y)
{
    size_t first = node, last = node + 1;

    for (int l = level; l > 0; l--) {
        first *= BOX_TREE_FAN;
        last *= BOX_TREE_FAN;
    }
    if (last > tree->size[0])
        last = tree->size[0];
    return (edges[last - 1].qy > y) - (edges[first].py > y);
}

static int count_crossings(const struct box_tree *tree, const struct edge *edges,
                           const int32_t *weights, bool chain, size_t lo, size_t hi, double x,
                           double y)
{
    int winding = 0;

    /* Down from the highest nodes that lie within lo .. hi; ranges at the rims by item. */
    int level = 0;
    for (;;) {
        const size_t up_lo = (lo + BOX_TREE_FAN - 1) / BOX_TREE_FAN, up_hi = hi / BOX_TREE_FAN;
        const bool up = level + 1 < tree->levels && up_lo < up_hi;
        const size_t rims[2][2] = {{lo, up ? up_lo * BOX_TREE_FAN : hi},
                                   {up ? up_hi * BOX_TREE_FAN : hi, hi}};
        for (int r = 0; r < 2; r++)
            for (size_t node = rims[r][0]; node < rims[r][1]; node++) {
                /* Depth-first below this node; each level keeps its next sibling and end. */
                size_t at[BOX_TREE_LEVELS], end[BOX_TREE_LEVELS];
                int l = level;
                at[l] = node;
                end[l] = node + 1;
                while (l <= level) {
                    if (at[l] == end[l]) {
                        l++;
                        continue;
                    }
                    const size_t n = at[l]++;
                    const struct rab_box *b = &tree->boxes[tree->start[l] + n];
                    if (y < b->y0 || y > b->y1 || x > b->x1)
                        continue;
                    if (chain && x < b->x0) {
                        winding += crossings_of(tree, edges, l, n, y);
                    } else if (l == 0) {
                        winding += edge_winding(&edges[n], x, y) * (weights ? weights[n] : 1);
                    } else {
                        l--;
                        at[l] = n * BOX_TREE_FAN;
                        end[l] = at[l] + BOX_TREE_FAN;
                        if (end[l] > tree->size[l])
                            end[l] = tree->size[l];
                    }
                }
            }
        if (!up)
            return winding;
        lo = up_lo;
        hi = up_hi;
        level++;
    }
}

int edges_winding(const struct box_tree *tree, const struct edge *edges, const int32_t *weights,
                  size_t lo, size_t hi, double x, double y)
{
    return count_crossings(tree, edges, weights, false, lo, hi, x, y);
}

int chain_winding(const struct box_tree *tree, const struct edge *edges, size_t lo, size_t hi,
                  double x, double y)
{
    return count_crossings(tree, edges, NULL, true, lo, hi, x, y);
}

struct around {
    struct arrangement *arr;
    const struct box_tree *tree; /* of pieces in the order of by_component */
    const struct edge *edges;
    const int32_t *weights;
    struct component *of;
    const uint32_t *order;
};

static bool add_around(void *context, size_t item)
{
    struct around *a = context;
    const struct component *c = &a->arr->component[a->order[item]];

    if (c == a->of)
        return true;
    a->of->base +=
        c->pieces ? edges_winding(a->tree, a->edges, a->weights, c->lo, c->hi, a->of->x, a->of->y)
                  : chain_winding(&a->arr->tree, a->arr->edge, c->lo, c->hi, a->of->x, a->of->y);
    return true;
}

/* Winding number of all others about each component. */
static bool wind_bases(struct arrangement *arr, struct rab_error *err)
{
    struct box_tree tree = {0}, boxes = {0};
    struct edge *edges = NULL;
    int32_t *weights = NULL;
    uint32_t *order = NULL;
    struct rab_box *box = NULL;
    const uint32_t listed = arr->components && arr->component[arr->components - 1].pieces
                                ? arr->component[arr->components - 1].hi
                                : 0;
    bool ok = false;

    if (!(edges = take(listed, sizeof *edges, err)) ||
        !(weights = take(listed, sizeof *weights, err)) ||
        !(order = take(arr->components, sizeof *order, err)) ||
        !(box = take(arr->components, sizeof *box, err)) || !box_tree_reserve(&tree, listed, err) ||
        !box_tree_reserve(&boxes, arr->components, err))
        goto done;
    for (uint32_t i = 0; i < listed; i++) {
        edges[i] = piece_edge(arr, &arr->piece[arr->by_component[i]]);
        weights[i] = arr->piece[arr->by_component[i]].weight;
        tree.boxes[i] = edge_box(&edges[i], 0);
    }
    box_tree_finish(&tree);
    for (size_t i = 0; i < arr->components; i++)
        box[i] = arr->component[i].box;
    if (!box_tree_order(box, arr->components, order, err))
        goto done;
    for (size_t i = 0; i < arr->components; i++)
        boxes.boxes[i] = box[order[i]];
    box_tree_finish(&boxes);
    struct around around = {arr, &tree, edges, weights, NULL, order};
    for (size_t i = 0; i < arr->components; i++) {
        struct component *c = around.of = &arr->component[i];
        box_tree_query(&boxes, (struct rab_box){c->x, c->y, c->x, c->y}, add_around, &around);
    }
    ok = true;
done:
    free(edges);
    free(weights);
    free(order);
    free(box);
    box_tree_clear(&tree);
    box_tree_clear(&boxes);
    return ok;
}

/* ---- the check: winding numbers counted afresh in the input ---- */

struct count {
    const struct arrangement *arr;
    double x, y;
    int32_t winding;
};

static bool count_chain(void *context, size_t item)
{
    struct count *c = context;

    c->winding += chain_winding(&c->arr->tree, c->arr->edge, c->arr->chain_start[item],
                                c->arr->chain_start[item + 1], c->x, c->y);
    return true;
}

/* Winding number of the whole input: of the chains in whose boxes the point lies. */
static int32_t winding_at(const struct arrangement *arr, const struct box_tree *chains, double x,
                          double y)
{
    struct count count = {arr, x, y, 0};

    box_tree_query(chains, (struct rab_box){x, y, x, y}, count_chain, &count);
    return count.winding;
}

struct beside {
    const struct arrangement *arr;
    uint32_t edge; /* the one that is looked at */
    struct rab_point at;
    double within;
    bool crowded;
};

static bool crowds(void *context, size_t item)
{
    struct beside *b = context;

    b->crowded =
        item != b->edge && edge_distance(&b->arr->edge[item], b->at.x, b->at.y) <= b->within;
    return !b->crowded;
}

/* To the left of a point along an edge, the input must wind as the arrangement says; to the right
 * it then does so too. Where another edge runs within the reach of the look the count says nothing.
 */
static bool winds_so(const struct arrangement *arr, const struct box_tree *chains,
                     const struct edge *e, uint32_t edge, int32_t left)
{
    static const double parts[] = {0.4237, 0.6913, 0.1871};
    const double aside = 20 * arr->same;

    if (e->chord < 4 * aside || fabs(e->k) * aside > 0.1)
        return true;
    for (int i = 0; i < 3; i++) {
        const struct rab_point p = edge_part_way(e, parts[i]);
        double nx = e->nx - e->k * (p.x - e->px), ny = e->ny - e->k * (p.y - e->py);
        const double n = length_of(nx, ny);
        nx *= aside / n;
        ny *= aside / n;
        if (winding_at(arr, chains, p.x + nx, p.y + ny) == left)
            return true;
        struct beside beside = {arr, edge, p, 1.1 * aside, false};
        const double r = beside.within;
        box_tree_query(&arr->tree, (struct rab_box){p.x - r, p.y - r, p.x + r, p.y + r}, crowds,
                       &beside);
        if (!beside.crowded)
            return false;
    }
    return true;
}

static bool component_winds_so(const struct arrangement *arr, const struct box_tree *chains,
                               const struct component *c)
{
    if (!c->pieces) {
        double area = 0;
        for (uint32_t e = c->lo; e < c->hi; e++)
            area += edge_area(&arr->edge[e]);
        return winds_so(arr, chains, &arr->edge[c->lo], c->lo, c->base + (area > 0));
    }
    for (uint32_t n = c->lo; n < c->hi; n++) {
        const struct piece *p = &arr->piece[arr->by_component[n]];
        /* Where only two pieces meet one follows the other: the first of each way is enough. */
        if (n > c->lo && arr->around_start[p->a + 1] - arr->around_start[p->a] == 2)
            continue;
        const struct edge e = piece_edge(arr, p);
        if (!p->doubled && !winds_so(arr, chains, &e, p->edge, c->base + p->right + p->weight))
            return false;
    }
    return true;
}

static bool check_windings(const struct arrangement *arr, struct rab_error *err)
{
    struct box_tree chains = {0};
    bool ok = box_tree_reserve(&chains, arr->chains, err);

    for (uint32_t c = 0; ok && c < arr->chains; c++) {
        chains.boxes[c] = RAB_BOX_EMPTY;
        for (uint32_t e = arr->chain_start[c]; e < arr->chain_start[c + 1]; e++)
            chains.boxes[c] = rab_box_join(chains.boxes[c], arr->tree.boxes[e]);
    }
    if (ok)
        box_tree_finish(&chains);
    for (size_t i = 0; ok && i < arr->components; i++)
        if (!component_winds_so(arr, &chains, &arr->component[i]))
            ok = rab_fail(err, RAB_FAULT_GEOMETRY,
                          "the outlines cross in a way that cannot be resolved");
    box_tree_clear(&chains);
    return ok;
}

static bool add_clean_chains(struct arrangement *arr, struct rab_error *err)
{
    for (uint32_t i = 0; i < arr->chains; i++) {
        if (arr->touched[i])
            continue;
        struct component *c = add_component(arr, err);
        if (!c)
            return false;
        c->lo = arr->chain_start[i];
        c->hi = arr->chain_start[i + 1];
        c->box = RAB_BOX_EMPTY;
        for (uint32_t e = c->lo; e < c->hi; e++)
            c->box = rab_box_join(c->box, arr->tree.boxes[e]);
        c->x = arr->edge[c->lo].px;
        c->y = arr->edge[c->lo].py;
    }
    return true;
}

bool arrangement_wind(struct arrangement *arr, struct rab_error *err)
{
    if (!(arr->around = take(2 * (size_t)arr->pieces, sizeof *arr->around, err)) ||
        !(arr->around_start = take(arr->spots + 2u, sizeof *arr->around_start, err)))
        return false;
    gather(arr);
    if (!join_doubles(arr, err))
        return false;
    gather(arr);
    return order(arr, err) && add_clean_chains(arr, err) && wind_pieces(arr, err) &&
           wind_bases(arr, err) && check_windings(arr, err);
}
