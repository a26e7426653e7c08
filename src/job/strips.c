/* Edge strips with the layers behind them, and blocks of journaling. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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
    bool ok = layers != NULL || rab_fail_memory(r->err), sound = true;

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

/* ---- journaling ------------------------------------------------------------------------ */

static size_t lines_of(const char *words)
{
    size_t lines = 1;

    if (!words)
        return 1;
    for (const char *at = words; (at = strchr(at, '\n')); at++)
        lines += at[1] != '\0';
    return lines;
}

/* Lines to write on, from the top, not on the very edge. */
static bool rule_lines(const struct rab_item *item, struct rab_path **paths, size_t *count,
                       struct rab_error *err)
{
    enum { MOST_LINES = 1000 };
    const double inset = fmin(fmin(item->ruled, item->width / 8), 3);
    const double lines = floor(item->height / item->ruled - spare);
    struct rab_path *made;

    if (lines > MOST_LINES)
        return rab_fail(err, RAB_FAULT_INPUT, "the lines lie too close; give more room");
    made = calloc((size_t)lines + 1, sizeof *made);
    if (!made)
        return rab_fail_memory(err);
    *paths = made;
    for (size_t i = 0; i < (size_t)lines; i++) {
        const double y = item->height - item->ruled * (double)(i + 1);
        struct rab_outline *line = &made[(*count)++].outline;
        made[i].operation = RAB_DRAW;
        line->open = true;
        if (!rab_outline_add(line, inset, y, 0, err) ||
            !rab_outline_add(line, item->width - inset, y, 0, err))
            return false;
    }
    return true;
}

static bool add_block(const struct rab_item *item, struct made *out, struct rab_error *err)
{
    const struct origin origin = {RAB_PIECE_TEXT, item->paper, item, item->line};
    struct rab_region region = {0};
    struct rab_path *paths = NULL;
    size_t count = 0;
    struct rab_text what = {0};

    rab_text_add(&what, "text");
    if (item->name) {
        rab_text_add(&what, " ");
        rab_text_add(&what, item->name);
    }
    if ((item->ruled > 0 && !rule_lines(item, &paths, &count, err)) ||
        !region_of_box(out->box, &region, err)) {
        for (size_t i = 0; i < count; i++)
            rab_outline_clear(&paths[i].outline);
        free(paths);
        rab_text_clear(&what);
        return false;
    }
    return made_add(out, &origin, &region, &paths, &count, &what, err);
}

/* A strip for each line of the words, or as many as the block takes; spread evenly over it. */
static bool add_strips(struct resolving *r, const struct rab_item *item, struct made *out)
{
    const struct origin origin = {RAB_PIECE_TEXT, item->paper, item, item->line};
    const size_t lines = lines_of(item->words);
    const double fit = floor(item->height / item->strips + spare);
    const size_t count = lines > 1 ? lines : (size_t)fmin(fit, RESOLVE_MOST_PIECES);
    const double step =
        count > 1 ? (item->height - item->strips) / (double)(count - 1) : item->strips;
    const bool inches = r->job->inches;

    if ((double)count > fit || fit < 1) {
        out->sound = false;
        return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, item->line,
                           "the %s is too low for its strips: %zu of %s need %s, there are %s",
                           item_name(item).text, lines, measure_of(item->strips, inches).text,
                           measure_of((double)lines * item->strips, inches).text,
                           measure_of(item->height, inches).text);
    }
    for (size_t i = 0; i < count; i++) {
        const double top = item->height - step * (double)i;
        const struct rab_box box = {0, top - item->strips, item->width, top};
        struct rab_text what = {0};
        rab_text_format(&what, "text strip %zu", i + 1);
        if (item->name) {
            rab_text_add(&what, " of ");
            rab_text_add(&what, item->name);
        }
        if (!made_add_rectangle(out, &origin, box, &what, r->err))
            return false;
    }
    return true;
}

bool text_make(struct resolving *r, const struct rab_item *item, struct made *out)
{
    struct rab_error failure = {0};
    bool known = false;

    if (!resolve_paper(r, item->paper, item->line, "text", &known))
        return false;
    if (!(item->width > 0 && item->height > 0 && item->width <= RESOLVE_LARGEST &&
          item->height <= RESOLVE_LARGEST))
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the %s has no size; give its width and height", item_name(item).text);
    if (!(item->strips >= 0 && item->ruled >= 0) || (item->strips > 0 && item->ruled > 0))
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the %s is either cut into strips or ruled; give one of them, more "
                           "than 0",
                           item_name(item).text);
    out->box = (struct rab_box){0, 0, item->width, item->height};
    out->sound = known;
    if (item->strips > 0)
        return add_strips(r, item, out);
    if (!add_block(item, out, &failure)) {
        out->sound = false;
        return found_failure(&r->found, r->err, &failure, item->line, item_name(item).text);
    }
    return true;
}
