/* What a blade or the paper would suffer from, told of the pieces that are about to be cut. */
#include "cli.h"

#include <stdio.h>
#include <stdlib.h>

const struct option option_web = {
    "web", 0, "LEN", false,
    "Paper narrower than this between two cuts is told. 2mm unless given, 1mm with a kerf: a laser "
    "pulls less than a blade."};

bool read_web(const struct arguments *arguments, double kerf, double *web, struct rab_error *err)
{
    *web = kerf > 0 ? 1 : 2; /* common practice, no source */
    return option_length(arguments, "web", false, web, err);
}

/* ---- looking --------------------------------------------------------------------------- */

static bool keep(struct looks *looks, const struct rab_trouble *trouble, const char *piece,
                 int line, double web, struct rab_error *err)
{
    struct worst *worst = &looks->worst[trouble->kind == RAB_TROUBLE_WEB];
    void *items = looks->items;

    if (worst->count++ == 0 || trouble->measure < worst->measure) {
        *worst = (struct worst){worst->count, trouble->measure, web, trouble->at, "", line};
        snprintf(worst->piece, sizeof worst->piece, "%s", piece ? piece : "");
    }
    if (!rab_reserve(&items, &looks->capacity, looks->count + 1, sizeof *looks->items, err))
        return false;
    looks->items = items;
    looks->items[looks->count++] = *trouble;
    return true;
}

bool look_at_piece(struct looks *looks, const struct rab_region *region,
                   const struct rab_path *others, size_t other_count, double web, const char *piece,
                   int line, struct rab_error *err)
{
    const struct rab_look_options options = {.web = web};
    struct rab_path *paths = calloc(region->count + other_count + 1, sizeof *paths);
    struct rab_troubles troubles = {0};
    bool ok;

    if (!paths)
        return rab_fail_memory(err);
    for (size_t i = 0; i < region->count; i++)
        paths[i] = (struct rab_path){RAB_CUT, 1, region->outlines[i]};
    for (size_t i = 0; i < other_count; i++)
        paths[region->count + i] = others[i];
    ok = rab_plan_look(paths, region->count + other_count, &options, &troubles, err);
    for (size_t i = 0; i < troubles.count && ok; i++)
        if (troubles.items[i].kind == RAB_TROUBLE_CORNER ||
            troubles.items[i].kind == RAB_TROUBLE_WEB)
            ok = keep(looks, &troubles.items[i], piece, line, web, err);
    rab_troubles_clear(&troubles);
    free(paths);
    return ok;
}

void looks_clear(struct looks *looks)
{
    free(looks->items);
    *looks = (struct looks){0};
}

/* ---- telling --------------------------------------------------------------------------- */

static bool tell(struct arguments *arguments, enum rab_trouble_kind kind, const struct worst *worst,
                 bool in_first, struct rab_error *err)
{
    struct rab_text text = {0};
    bool ok;

    if (worst->count == 0)
        return true;
    if (*worst->piece)
        rab_text_format(&text, "%s, ", worst->piece);
    rab_text_add(&text, "at ");
    rab_text_fixed(&text, worst->at.x, 1);
    rab_text_add(&text, ", ");
    rab_text_fixed(&text, worst->at.y, 1);
    rab_text_add(&text, " mm: a ");
    if (kind == RAB_TROUBLE_CORNER) {
        rab_text_add(&text, "corner of ");
        rab_text_fixed(&text, worst->measure * 180 / RAB_PI, 1);
        rab_text_add(&text, " degrees, whose tip a blade tears; round it");
    } else {
        rab_text_add(&text, "web of ");
        rab_text_length(&text, worst->measure, in_first, 32);
        rab_text_add(&text, ", which may tear; leave ");
        rab_text_length(&text, worst->web, in_first, 32);
    }
    if (worst->count > 1)
        rab_text_format(&text, " (the worst of %zu)", worst->count);
    ok = rab_text_ok(&text, err) &&
         rab_warn(&arguments->warnings, err, rab_trouble_code(kind), worst->line, "%s", text.data);
    rab_text_clear(&text);
    return ok;
}

bool tell_looks(struct arguments *arguments, const struct looks *looks, bool in_first,
                struct rab_error *err)
{
    return tell(arguments, RAB_TROUBLE_CORNER, &looks->worst[0], in_first, err) &&
           tell(arguments, RAB_TROUBLE_WEB, &looks->worst[1], in_first, err);
}

bool ring_looks(const struct looks *looks, struct rab_picture *picture, struct rab_error *err)
{
    enum { ENOUGH = 40, FEW = 8 };
    size_t shown[2] = {0};

    for (size_t i = 0; i < looks->count; i++) {
        const struct rab_trouble *t = &looks->items[i];
        const int web = t->kind == RAB_TROUBLE_WEB;
        struct rab_text words = {0};
        if (shown[web]++ >= ENOUGH)
            continue;
        if (web) {
            rab_text_fixed(&words, t->measure, 1);
            rab_text_add(&words, " mm");
        } else {
            rab_text_fixed(&words, t->measure * 180 / RAB_PI, 0);
            rab_text_add(&words, " degrees");
        }
        const bool ok =
            rab_text_ok(&words, err) &&
            rab_picture_mark(picture, t->at, looks->worst[web].count <= FEW ? words.data : NULL,
                             web ? "thin web" : "sharp corner", err);
        rab_text_clear(&words);
        if (!ok)
            return false;
    }
    return true;
}

bool look_at_figures(struct arguments *arguments, const struct rab_figure *const *figures,
                     size_t count, bool in_first, struct rab_picture *picture,
                     struct rab_error *err)
{
    struct looks looks = {0};
    double kerf = 0, web;
    bool ok =
        option_length(arguments, "kerf", true, &kerf, err) && read_web(arguments, kerf, &web, err);

    for (size_t i = 0; i < count && ok; i++)
        ok = look_at_piece(&looks, &figures[i]->paper, figures[i]->paths, figures[i]->path_count,
                           web, NULL, 0, err);
    ok = ok && tell_looks(arguments, &looks, in_first, err) &&
         (!asks_picture(arguments) || ring_looks(&looks, picture, err));
    looks_clear(&looks);
    return ok;
}
