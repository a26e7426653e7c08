/* Edge strips with the layers behind them. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>

static const double spare = 1e-6;
/* A pitch that had to change by more than this ratio for whole repeats is told: the motif looks
 * stretched then. Common practice, no source. */
static const double most_stretch = 1.1;

/* ---- strips ---------------------------------------------------------------------------- */

static bool draw_strip(const struct resolving *r, const struct rab_item *item,
                       struct rab_edge *edge, struct rab_error *err)
{
    const struct rab_shape *motif = rab_library_find(r->library, item->motif, err);
    const struct rab_strip_options options = {
        .length = item->width, .width = item->height, .ends = item->ends, .sides = item->sides};
    double *values = NULL;
    bool ok;

    if (!motif)
        return false;
    if (!motif->motif)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "%s is a shape and no edge motif; 'rabbet shapes edges' lists the motifs",
                        motif->name);
    ok = resolve_values(motif, &item->set, NULL, 0, &values, err) &&
         rab_edge_strip(r->library, motif, values, &options, 0, edge, err);
    free(values);
    return ok;
}

/* The nearest lengths that take whole repeats of the pitch asked for. */
static bool check_stretch(struct resolving *r, const struct rab_item *item,
                          const struct rab_edge *edge)
{
    const struct rab_run *run = edge->runs;
    const bool inches = r->job->inches;

    if (edge->run_count == 0 || run->pitch <= run->asked * most_stretch + spare)
        if (edge->run_count == 0 || run->pitch >= run->asked / most_stretch - spare)
            return true;
    const double whole = floor(run->length / run->asked);
    const double less = item->width + (fmax(whole, 1) * run->asked - run->length);
    const double more = item->width + ((whole + 1) * run->asked - run->length);
    return found_odd(&r->found, r->err, "motif-stretched", item->line,
                     "the %s is stretched on this strip: its pitch becomes %s in place of %s; a "
                     "length of %s or %s would take it as it is",
                     item->motif, measure_of(run->pitch, inches).text,
                     measure_of(run->asked, inches).text, measure_of(less, inches).text,
                     measure_of(more, inches).text);
}

static void name_strip(struct rab_text *what, const struct rab_item *item)
{
    rab_text_add(what, "strip ");
    rab_text_add(what, item->name ? item->name : item->motif);
}

/* The furthest layer lies lowest, the strip itself on top. */
static bool add_layers(struct resolving *r, const struct rab_item *item, struct rab_edge *edge,
                       struct made *out)
{
    struct rab_region *layers = calloc(item->layer_count + 1, sizeof *layers);
    struct rab_text what = {0};
    bool ok = layers != NULL, sound = true;

    if (!ok)
        rab_fail_memory(r->err);

    for (size_t i = 0; i < item->layer_count && ok && sound; i++) {
        const struct rab_region *front = i == 0 ? &edge->figure.paper : &layers[i - 1];
        struct rab_error failure = {0};
        sound = rab_edge_behind(front, item->layers[i].reveal, true, &layers[i], &failure);
        if (!sound)
            ok = found_failure(&r->found, r->err, &failure, item->layers[i].line, NULL);
    }
    for (size_t i = item->layer_count; i-- > 0 && ok && sound;) {
        const struct rab_layer_asked *asked = &item->layers[i];
        rab_text_add(&what, "layer ");
        if (item->layer_count > 1)
            rab_text_format(&what, "%zu ", i + 1);
        rab_text_add(&what, "behind ");
        name_strip(&what, item);
        ok = made_add(out, &(struct origin){RAB_PIECE_LAYER, asked->paper, item, asked->line},
                      &layers[i], NULL, NULL, &what, r->err);
    }
    if (ok && sound) {
        name_strip(&what, item);
        ok = made_add(out, &(struct origin){RAB_PIECE_STRIP, item->paper, item, item->line},
                      &edge->figure.paper, &edge->figure.paths, &edge->figure.path_count, &what,
                      r->err);
        out->sound = ok;
    }
    for (size_t i = 0; layers && i < item->layer_count; i++)
        rab_region_clear(&layers[i]);
    free(layers);
    return ok;
}

static bool papers_known(struct resolving *r, const struct rab_item *item, bool *known)
{
    if (!resolve_paper(r, item->paper, item->line, "strip", known))
        return false;
    for (size_t i = 0; i < item->layer_count; i++) {
        bool declared = false;
        if (!resolve_paper(r, item->layers[i].paper, item->layers[i].line, "layer", &declared))
            return false;
        *known = *known && declared;
    }
    return true;
}

static bool is_quarter(double angle)
{
    return fabs(remainder(angle, RAB_PI / 2)) <= 1e-9 && fabs(angle) <= 1e3;
}

bool strip_make(struct resolving *r, const struct rab_item *item, struct made *out)
{
    struct rab_edge edge = {0};
    struct rab_error failure = {0};
    bool known = false, ok = false;

    if (!papers_known(r, item, &known))
        return false;
    if (!item->motif)
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the %s has no motif; 'rabbet shapes edges' lists them",
                           item_name(item).text);
    if (!is_quarter(item->turn))
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "a strip lies along the page or across; turn the %s by 0, 90, 180 or "
                           "270 degrees",
                           item_name(item).text);
    if (!draw_strip(r, item, &edge, &failure)) {
        ok = found_failure(&r->found, r->err, &failure, item->line, item_name(item).text);
        goto done;
    }
    if (!check_stretch(r, item, &edge) || !add_layers(r, item, &edge, out))
        goto done;
    made_turn(out, item->turn);
    out->sound = out->sound && known;
    ok = true;
done:
    rab_edge_clear(&edge);
    return ok;
}
