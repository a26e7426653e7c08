/* Frames: their material, the backings of their openings, photos that show through. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rabbet/write.h"

/* How far a photo must reach beyond the opening that shows it: 1/8 in, the least that holds
 * (teaching page on framing; trade pages). */
static const double least_cover = 3.175;
/* Less paper than this does not show, mm2. */
static const double least_area = 0.01;
static const size_t nobody = (size_t)-1;

struct framing {
    const struct rab_item *item;
    struct rab_figure figure; /* the material */
    struct rab_frame frame;
    size_t *uses; /* of each opening: which use of the item; nobody when nothing is said of it */
    bool sound;
};

static void clear_framing(struct framing *f)
{
    rab_figure_clear(&f->figure);
    rab_frame_clear(&f->frame);
    free(f->uses);
}

/* ---- the material ---------------------------------------------------------------------- */

static bool draw_shape(const struct resolving *r, const struct rab_item *item,
                       struct rab_figure *out, struct rab_error *err)
{
    const struct rab_shape *shape = rab_library_find(r->library, item->shape, err);
    double *values = NULL;
    bool ok;

    if (!shape)
        return false;
    if (shape->motif)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "%s is an edge motif and no shape; 'rabbet shapes' lists the shapes",
                        shape->name);
    ok = resolve_values(shape, &item->set, NULL, 0, &values, err) &&
         rab_shape_draw(r->library, shape, values, 0, out, err);
    free(values);
    return ok;
}

static bool read_material(const struct resolving *r, const struct rab_item *item,
                          struct rab_figure *out, struct rab_error *err)
{
    if ((item->file != NULL) == (item->shape != NULL))
        return rab_fail(err, RAB_FAULT_INPUT, "give either a file or a shape");
    if (item->shape)
        return draw_shape(r, item, out, err);
    if (!r->file)
        return rab_fail(err, RAB_FAULT_FILE, "%s cannot be read here", item->file);
    return r->file(r->context, item->file, &out->paper, err);
}

static void turn_material(struct rab_figure *figure, double angle)
{
    for (size_t i = 0; i < figure->paper.count; i++)
        outline_turn_about(&figure->paper.outlines[i], angle);
    for (size_t i = 0; i < figure->path_count; i++)
        outline_turn_about(&figure->paths[i].outline, angle);
}

static void scale_material(struct rab_figure *figure, double factor)
{
    const struct rab_point origin = {0, 0};

    for (size_t i = 0; i < figure->paper.count; i++)
        rab_outline_scale(&figure->paper.outlines[i], factor, origin);
    for (size_t i = 0; i < figure->path_count; i++)
        rab_outline_scale(&figure->paths[i].outline, factor, origin);
}

static bool make_material(struct resolving *r, struct framing *f)
{
    const struct rab_item *item = f->item;
    struct rab_error failure = {0};

    if (!(item->width >= 0 && item->width <= RESOLVE_LARGEST) || !(fabs(item->turn) <= 1e3))
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the width or the turn of the %s is out of range", item_name(item).text);
    f->sound = read_material(r, item, &f->figure, &failure);
    if (!f->sound)
        return found_failure(&r->found, r->err, &failure, item->line, item_name(item).text);
    const struct rab_box box = rab_region_box(&f->figure.paper);
    f->sound = box.x1 > box.x0;
    if (!f->sound)
        return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, item->line,
                           "there is no paper in the %s; give a drawing with a closed outline",
                           item_name(item).text);
    if (item->width > 0)
        scale_material(&f->figure, item->width / (box.x1 - box.x0));
    turn_material(&f->figure, item->turn);
    return true;
}

/* ---- what is said of the openings ------------------------------------------------------ */

static const char *const use_words[] = {
    [RAB_USE_BACK] = "backed", [RAB_USE_LEAVE] = "left open", [RAB_USE_SHOW] = "showing a photo"};

static bool claim(struct resolving *r, struct framing *f, int number, size_t index)
{
    const struct rab_frame_use *use = &f->item->uses[index];
    size_t *claimed = &f->uses[number - 1];

    if (*claimed == nobody) {
        *claimed = index;
        return true;
    }
    f->sound = false;
    return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, use->line,
                       "opening %d of the %s is spoken of twice: it is %s already (line %d); take "
                       "it out of one of them",
                       number, item_name(f->item).text, use_words[f->item->uses[*claimed].use],
                       f->item->uses[*claimed].line);
}

/* The first of the list that is not there, and how many there are: one message a list. */
static bool claim_list(struct resolving *r, struct framing *f, size_t index)
{
    const struct rab_frame_use *use = &f->item->uses[index];
    const int most = (int)f->frame.count;
    bool told = false;

    for (size_t i = 0; i < use->opening_count; i++) {
        const int number = use->openings[i];
        if (number >= 1 && number <= most) {
            if (!claim(r, f, number, index))
                return false;
            continue;
        }
        f->sound = false;
        if (!told && !found_wrong(&r->found, r->err, RAB_FAULT_INPUT, use->line,
                                  "there is no opening %d in the %s; it has %d, numbered from 1",
                                  number, item_name(f->item).text, most))
            return false;
        told = true;
    }
    for (int number = use->every; use->every > 0 && number <= most; number += use->every) {
        if (!claim(r, f, number, index))
            return false;
    }
    return true;
}

static bool is_rest(const struct rab_frame_use *use)
{
    return use->use == RAB_USE_BACK && use->opening_count == 0;
}

static bool check_use(struct resolving *r, struct framing *f, size_t index)
{
    const struct rab_frame_use *use = &f->item->uses[index];
    const char *words = NULL;

    for (size_t i = 0; use->use == RAB_USE_BACK && i < use->paper_count; i++) {
        bool known = false;
        if (!resolve_paper(r, use->papers[i], use->line, "backings", &known))
            return false;
        f->sound = f->sound && known;
    }
    if (use->use == RAB_USE_BACK && use->paper_count == 0)
        words = "backings need a paper; give one or several by turns";
    else if (use->use == RAB_USE_LEAVE && use->opening_count == 0 && use->every <= 0)
        words = "it is not said which openings are left open; give their numbers, or every so many";
    else if (use->use == RAB_USE_SHOW && (use->opening_count != 1 || !use->shown))
        words = "a photo shows in one opening; give the opening's number and one photo";
    if (!words)
        return true;
    f->sound = false;
    return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, use->line, "%s", words);
}

/* Lists first; then what takes the rest. */
static bool share_openings(struct resolving *r, struct framing *f)
{
    const struct rab_item *item = f->item;
    size_t rest = nobody;

    f->uses = calloc(f->frame.count + 1, sizeof *f->uses);
    if (!f->uses)
        return rab_fail_memory(r->err);
    for (size_t i = 0; i < f->frame.count; i++)
        f->uses[i] = nobody;
    for (size_t i = 0; i < item->use_count; i++) {
        if (!check_use(r, f, i) || !claim_list(r, f, i))
            return false;
        if (!is_rest(&item->uses[i]))
            continue;
        if (rest != nobody) {
            f->sound = false;
            if (!found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->uses[i].line,
                             "all other openings of the %s are backed already (line %d); give "
                             "this one its openings",
                             item_name(item).text, item->uses[rest].line))
                return false;
        }
        rest = i;
    }
    for (size_t i = 0; i < f->frame.count && rest != nobody; i++) {
        if (f->uses[i] == nobody)
            f->uses[i] = rest;
    }
    return true;
}

/* ---- backings -------------------------------------------------------------------------- */

struct served {
    struct rab_numbers *groups;
    size_t group_count;
    int *numbers; /* of all uses, one after the other: what the groups borrow */
    size_t count;
};

/* The openings of each use that is one piece, and of all uses. */
static bool gather_served(const struct framing *f, struct served *served, struct rab_error *err)
{
    served->groups = calloc(f->item->use_count + 1, sizeof *served->groups);
    served->numbers = calloc(f->frame.count + 1, sizeof *served->numbers);
    if (!served->groups || !served->numbers)
        return rab_fail_memory(err);
    for (size_t u = 0; u < f->item->use_count; u++) {
        const size_t first = served->count;
        if (f->item->uses[u].use != RAB_USE_BACK)
            continue;
        for (size_t i = 0; i < f->frame.count; i++) {
            if (f->uses[i] == u)
                served->numbers[served->count++] = (int)i + 1;
        }
        if (f->item->uses[u].together && served->count > first)
            served->groups[served->group_count++] =
                (struct rab_numbers){served->numbers + first, served->count - first};
    }
    return true;
}

/* Papers by turns over the openings that a use serves, in the order of their numbers. */
static size_t paper_of(const struct framing *f, int opening)
{
    const size_t u = f->uses[opening - 1];
    const struct rab_frame_use *use = &f->item->uses[u];
    size_t before = 0;

    for (int i = 0; i < opening - 1; i++)
        before += f->uses[i] == u;
    return use->papers[use->together ? 0 : before % use->paper_count];
}

static bool add_backing(const struct framing *f, struct rab_backing *backing, struct made *out,
                        struct rab_error *err)
{
    const struct rab_frame_use *use = &f->item->uses[f->uses[backing->openings[0] - 1]];
    const struct origin origin = {RAB_PIECE_BACKING, paper_of(f, backing->openings[0]), f->item,
                                  use->line};
    struct rab_text what = {0};

    rab_text_format(&what, "backing of opening%s ", backing->opening_count > 1 ? "s" : "");
    for (size_t i = 0; i < backing->opening_count; i++)
        rab_text_format(&what, "%s%d", i > 0 ? ", " : "", backing->openings[i]);
    if (f->item->name) {
        rab_text_add(&what, " of ");
        rab_text_add(&what, f->item->name);
    }
    return made_add(out, &origin, &backing->region, NULL, NULL, &what, err);
}

static struct rab_backing_options options_of(const struct rab_item *item)
{
    struct rab_backing_options options = rab_backing_options_usual();

    if (item->backing.seam > 0) {
        options.seam = item->backing.seam;
        options.clear = item->backing.clear;
        options.inset = item->backing.inset;
    }
    options.form = item->backing.form;
    options.lap = item->backing.lap;
    return options;
}

static bool make_backings(struct resolving *r, struct framing *f, struct made *out)
{
    struct rab_backing_options options = options_of(f->item);
    struct served served = {0};
    struct rab_backings backings = {0};
    struct rab_warnings notes = {0};
    struct rab_error failure = {0};
    bool ok = gather_served(f, &served, r->err);

    if (ok && served.count > 0) {
        options.only = (struct rab_numbers){served.numbers, served.count};
        options.groups = served.groups;
        options.group_count = served.group_count;
        f->sound = rab_frame_back(&f->frame, &options, &backings, &notes, &failure);
        ok = f->sound ||
             found_failure(&r->found, r->err, &failure, f->item->line, item_name(f->item).text);
        ok = ok && found_notes(&r->found, r->err, &notes, f->item->line, item_name(f->item).text);
    }
    for (size_t i = 0; i < backings.count && ok; i++)
        ok = add_backing(f, &backings.items[i], out, r->err);
    free(served.groups);
    free(served.numbers);
    rab_backings_clear(&backings);
    rab_warnings_clear(&notes);
    return ok;
}

/* ---- photos and words that show through
 * ---------------------------------------------------------- */

static bool area_beyond(const struct rab_region *region, const struct rab_region *within,
                        double *area, struct rab_error *err)
{
    struct rab_region beyond = {0};

    if (!rab_region_combine(region, within, RAB_DIFFERENCE, &beyond, err))
        return false;
    *area = rab_region_area(&beyond);
    rab_region_clear(&beyond);
    return true;
}

/* Does the photo, with its mats, reach far enough behind the frame all round the opening? */
static bool check_cover(struct resolving *r, struct framing *f, const struct rab_frame_use *use,
                        const struct rab_region *whole)
{
    const struct rab_opening *opening = &f->frame.openings[use->openings[0] - 1];
    const double width = opening->box.x1 - opening->box.x0 + 2 * least_cover;
    const double height = opening->box.y1 - opening->box.y0 + 2 * least_cover;
    const bool inches = r->job->inches;
    struct rab_region hole = {0}, grown = {0};
    double area = 0;
    bool ok = rab_region_fill(&opening->outline, 1, RAB_FILL_NONZERO, &hole, r->err) &&
              rab_region_grow(&hole, least_cover, RAB_JOIN_ROUND, 0, &grown, r->err) &&
              area_beyond(&grown, whole, &area, r->err);

    rab_region_clear(&grown);
    rab_region_clear(&hole);
    if (!ok || area <= least_area)
        return ok;
    f->sound = false;
    return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, use->line,
                       "the %s does not cover opening %d with %s to spare all round; the opening "
                       "needs %s, in its middle",
                       item_name(use->shown).text, opening->number,
                       measure_of(least_cover, inches).text,
                       measure_of_size(width, height, inches).text);
}

/* Does it show in other openings? */
static bool check_others(struct resolving *r, struct framing *f, const struct rab_frame_use *use,
                         const struct rab_region *whole)
{
    for (size_t i = 0; i < f->frame.count; i++) {
        struct rab_region hole = {0};
        struct overlap seen;
        if ((int)i + 1 == use->openings[0])
            continue;
        const bool ok =
            rab_region_fill(&f->frame.openings[i].outline, 1, RAB_FILL_NONZERO, &hole, r->err) &&
            resolve_overlap(r, &hole, whole, &seen);
        rab_region_clear(&hole);
        if (!ok)
            return false;
        if (seen.area <= least_area)
            continue;
        f->sound = false;
        return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, use->line,
                           "the %s would show in opening %zu too; crop it, or move it away",
                           item_name(use->shown).text, i + 1);
    }
    return true;
}

/* Do the words of a block lie within the box of the opening that they are read through? */
static bool check_words(struct resolving *r, const struct framing *f,
                        const struct rab_frame_use *use)
{
    const struct rab_item *item = use->shown;
    const struct rab_opening *opening = &f->frame.openings[use->openings[0] - 1];
    const double inset = rab_words_inset(item->width, item->height);
    const double width = opening->box.x1 - opening->box.x0 + 2 * inset;
    const double height = opening->box.y1 - opening->box.y0 + 2 * inset;

    if (item->kind != RAB_ITEM_TEXT || (item->width <= width && item->height <= height))
        return true;
    return found_odd(&r->found, r->err, "words-hidden", use->line,
                     "the %s may have words that the frame hides: opening %d shows %s; make the "
                     "block at most %s",
                     item_name(item).text, opening->number,
                     measure_of_size(opening->box.x1 - opening->box.x0,
                                     opening->box.y1 - opening->box.y0, r->job->inches)
                         .text,
                     measure_of_size(width, height, r->job->inches).text);
}

static bool make_shown(struct resolving *r, struct framing *f, const struct rab_frame_use *use,
                       struct made *out)
{
    const struct rab_opening *opening = &f->frame.openings[use->openings[0] - 1];
    struct made made = {0};
    struct rab_region whole = {0};
    bool sound = false, ok = false;

    if (!place_inner(r, use->shown, &sound) || !place_make(r, use->shown, &made))
        goto done;
    f->sound = f->sound && sound && made.sound;
    if (!sound || !made.sound) {
        ok = true;
        goto done;
    }
    made_move(&made, (opening->box.x0 + opening->box.x1 - made.box.x0 - made.box.x1) / 2,
              (opening->box.y0 + opening->box.y1 - made.box.y0 - made.box.y1) / 2);
    for (size_t i = 0; i < made.count; i++) {
        struct rab_region both = {0};
        if (!rab_region_combine(&whole, &made.pieces[i].region, RAB_UNION, &both, r->err))
            goto done;
        rab_region_clear(&whole);
        whole = both;
    }
    ok = check_cover(r, f, use, &whole) && check_others(r, f, use, &whole) &&
         check_words(r, f, use) && made_join(out, &made, r->err);
done:
    rab_region_clear(&whole);
    made_clear(&made);
    return ok;
}

/* ---- all of it ------------------------------------------------------------------------- */

static bool number_openings(struct resolving *r, struct framing *f)
{
    struct rab_warnings notes = {0};
    struct rab_error failure = {0};
    bool ok;

    f->sound = rab_frame_from_region(&f->figure.paper, &f->frame, &notes, &failure);
    ok = (f->sound ||
          found_failure(&r->found, r->err, &failure, f->item->line, item_name(f->item).text)) &&
         found_notes(&r->found, r->err, &notes, f->item->line, item_name(f->item).text);
    rab_warnings_clear(&notes);
    return ok;
}

static bool add_material(struct framing *f, struct made *out, struct rab_error *err)
{
    const struct origin origin = {RAB_PIECE_FRAME, f->item->paper, f->item, f->item->line};
    struct rab_text what = {0};

    rab_text_add(&what, "frame");
    if (f->item->name) {
        rab_text_add(&what, " ");
        rab_text_add(&what, f->item->name);
    }
    return made_add(out, &origin, &f->figure.paper, &f->figure.paths, &f->figure.path_count, &what,
                    err);
}

bool frame_make(struct resolving *r, const struct rab_item *item, struct made *out)
{
    struct framing f = {.item = item};
    bool known = false, ok = false;

    if (!resolve_paper(r, item->paper, item->line, "frame", &known) || !make_material(r, &f))
        goto done;
    out->box = f.sound ? rab_region_box(&f.figure.paper) : out->box;
    if (f.sound && item->use_count > 0) {
        if (!number_openings(r, &f) || (f.sound && !share_openings(r, &f)) ||
            (f.sound && !make_backings(r, &f, out)))
            goto done;
        for (size_t i = 0; i < item->use_count && f.uses; i++) {
            const struct rab_frame_use *use = &item->uses[i];
            const bool there = use->use == RAB_USE_SHOW && use->shown && use->opening_count == 1 &&
                               use->openings[0] >= 1 && use->openings[0] <= (int)f.frame.count;
            if (there && !make_shown(r, &f, use, out))
                goto done;
        }
    }
    if (f.sound && !add_material(&f, out, r->err))
        goto done;
    out->sound = f.sound && known;
    ok = true;
done:
    clear_framing(&f);
    return ok;
}
