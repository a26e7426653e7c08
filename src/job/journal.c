/* Blocks of journaling: the words are set to see whether they fit, and on which strips. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rabbet/write.h"

static const double spare = 1e-6;

static bool has_words(const struct rab_item *item)
{
    return item->words && item->words[strspn(item->words, " \t\r\n")] != '\0';
}

static bool set_words(const struct rab_item *item, struct rab_words_set *set, struct rab_error *err)
{
    const struct rab_words words = {.text = item->words,
                                    .font = item->font,
                                    .width = item->width,
                                    .height = item->height,
                                    .size = item->size,
                                    .align = item->align,
                                    .strips = item->strips,
                                    .ruled = item->ruled};

    return rab_words_set(&words, set, err);
}

static bool tell_letters(struct resolving *r, const struct rab_item *item,
                         const struct rab_words_set *set)
{
    static const uint32_t white = 0xFFFFFF;
    const struct rab_paper *paper =
        item->paper < r->job->paper_count ? &r->job->papers[item->paper] : NULL;

    if (paper && set->count > 0 && rab_paper_ink(paper->colour) != rab_paper_ink(white) &&
        !found_odd(&r->found, r->err, "dark-paper", item->line,
                   "%s is too dark for printed words; give the %s a lighter paper, or letter it "
                   "by hand with a light pen",
                   paper->name, item_name(item).text))
        return false;
    if (set->other_font &&
        !found_odd(&r->found, r->err, "other-font", item->line,
                   "the font %.80s is not installed; another one stands in for it", item->font))
        return false;
    return set->unknown == 0 || found_odd(&r->found, r->err, "unknown-letters", item->line,
                                          "%zu characters of the %s have no shape in any font here",
                                          set->unknown, item_name(item).text);
}

/* ---- pieces ---------------------------------------------------------------------------- */

/* Lines to write on, from the top, where rab_words draws them. */
static bool rule_lines(const struct rab_item *item, struct rab_path **paths, size_t *count,
                       struct rab_error *err)
{
    enum { MOST_LINES = 1000 };
    const double inset = rab_words_inset(item->width, item->height);
    const double lines = floor(item->height / item->ruled - spare);
    struct rab_path *made;

    if (lines > MOST_LINES)
        return rab_fail(err, RAB_FAULT_INPUT, "the ruled lines lie too close; give more room");
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

static void name_text(struct rab_text *what, const struct rab_item *item, size_t strip)
{
    rab_text_add(what, "text");
    if (strip > 0)
        rab_text_format(what, " strip %zu", strip);
    if (item->name) {
        rab_text_add(what, strip > 0 ? " of " : " ");
        rab_text_add(what, item->name);
    }
}

static bool add_block(const struct rab_item *item, struct made *out, struct rab_error *err)
{
    const struct origin origin = {RAB_PIECE_TEXT, item->paper, item, item->line};
    struct rab_region region = {0};
    struct rab_path *paths = NULL;
    size_t count = 0;
    struct rab_text what = {0};

    name_text(&what, item, 0);
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

static bool add_strip(const struct rab_item *item, struct rab_box box, struct made *out,
                      struct rab_error *err)
{
    const struct origin origin = {RAB_PIECE_TEXT, item->paper, item, item->line};
    struct rab_text what = {0};

    name_text(&what, item, out->count + 1);
    return made_add_rectangle(out, &origin, box, &what, err);
}

/* Strips without words, as many as the block takes: spread evenly over it. */
static bool add_bare_strips(const struct rab_item *item, struct made *out, struct rab_error *err)
{
    const double fit = floor(item->height / item->strips + spare);
    const size_t count = (size_t)fmin(fit, RESOLVE_MOST_PIECES);
    const double step = count > 1 ? (item->height - item->strips) / (double)(count - 1) : 0;

    if (count == 0)
        return rab_fail(err, RAB_FAULT_GEOMETRY, "the strips are higher than their block");
    for (size_t i = 0; i < count; i++) {
        const double top = item->height - step * (double)i;
        if (!add_strip(item, (struct rab_box){0, top - item->strips, item->width, top}, out, err))
            return false;
    }
    return true;
}

static bool add_pieces(const struct rab_item *item, const struct rab_words_set *set,
                       struct made *out, struct rab_error *err)
{
    if (!(item->strips > 0))
        return add_block(item, out, err);
    if (!has_words(item))
        return add_bare_strips(item, out, err);
    for (size_t i = 0; i < set->count; i++) {
        if (!add_strip(item, set->lines[i].strip, out, err))
            return false;
    }
    return true;
}

static bool check_measures(struct resolving *r, const struct rab_item *item, bool *sound)
{
    *sound = item->width > 0 && item->height > 0 && item->width <= RESOLVE_LARGEST &&
             item->height <= RESOLVE_LARGEST;
    if (!*sound)
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the %s has no size; give its width and height", item_name(item).text);
    *sound = item->strips >= 0 && item->ruled >= 0 && !(item->strips > 0 && item->ruled > 0);
    return *sound || found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                                 "the %s is either cut into strips or ruled; give one of them, "
                                 "more than 0",
                                 item_name(item).text);
}

bool text_make(struct resolving *r, const struct rab_item *item, struct made *out)
{
    struct rab_words_set set = {0};
    struct rab_error failure = {0};
    bool known = false, sound = false, ok = false;

    if (++r->text_count > RESOLVE_MOST_TEXTS)
        return rab_fail_line(r->err, RAB_FAULT_INPUT, item->line,
                             "the spread has more than %d blocks of words; give fewer",
                             RESOLVE_MOST_TEXTS);
    if (!resolve_paper(r, item->paper, item->line, "text", &known) ||
        !check_measures(r, item, &sound))
        return false;
    if (!sound)
        return true;
    out->box = (struct rab_box){0, 0, item->width, item->height};
    if (has_words(item))
        sound = set_words(item, &set, &failure);
    if (sound && !tell_letters(r, item, &set))
        goto done;
    sound = sound && add_pieces(item, &set, out, &failure);
    if (!sound && !found_failure(&r->found, r->err, &failure, item->line, item_name(item).text))
        goto done;
    out->sound = sound && known;
    ok = true;
done:
    rab_words_set_clear(&set);
    return ok;
}
