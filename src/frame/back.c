#include "rabbet/frame.h"

#include <stdio.h>
#include <stdlib.h>

#include "frame/beyond.h"
#include "frame/cut.h"
#include "frame/words.h"

struct rab_backing_options rab_backing_options_usual(void)
{
    return (struct rab_backing_options){.seam = 3, .clear = 0.5, .inset = 1};
}

static void backing_clear(struct rab_backing *backing)
{
    free(backing->openings);
    rab_region_clear(&backing->region);
    *backing = (struct rab_backing){0};
}

void rab_backings_clear(struct rab_backings *backings)
{
    for (size_t i = 0; i < backings->count; i++)
        backing_clear(&backings->items[i]);
    free(backings->items);
    *backings = (struct rab_backings){0};
}

void rab_backing_limit_text(const struct rab_backing *backing, char text[RAB_LIMIT_TEXT])
{
    static const char *const words[] = {"seam", "opening", "piece", "edge"};
    const bool numbered = backing->limit == RAB_LIMIT_OPENING || backing->limit == RAB_LIMIT_PIECE;

    snprintf(text, RAB_LIMIT_TEXT, numbered ? "%s %d" : "%s", words[backing->limit],
             backing->limit_number);
}

/* ---- what was asked for ------------------------------------------------------------------ */

/* A metre: no frame of paper has a use for more. */
static const double most = 1000;

static bool length_fits(const char *name, double value, bool from_zero, struct rab_error *err)
{
    if (value <= most && (value > 0 || (from_zero && value == 0)))
        return true;
    return rab_fail(err, RAB_FAULT_INPUT, "the %s is %s; give %s up to 1 m", name,
                    value == 0  ? "0"
                    : value < 0 ? "negative"
                    : value > 0 ? "too large"
                                : "not a number",
                    from_zero ? "0 mm or more," : "more than 0 mm,");
}

static bool numbers_fit(const struct rab_frame *frame, const struct rab_numbers *numbers,
                        struct rab_error *err)
{
    for (size_t i = 0; i < numbers->count; i++) {
        const int number = numbers->items[i];

        if (number >= 1 && (size_t)number <= frame->count)
            continue;
        if (frame->count == 1)
            return rab_fail(err, RAB_FAULT_INPUT,
                            "there is no opening %d: the frame has only opening 1", number);
        return rab_fail(err, RAB_FAULT_INPUT,
                        "there is no opening %d: the frame has openings 1 to %zu", number,
                        frame->count);
    }
    return true;
}

static bool groups_fit(const struct rab_frame *frame, const struct rab_backing_options *o,
                       struct rab_error *err)
{
    size_t *group_of = calloc(frame->count, sizeof *group_of); /* less 1 */
    bool ok = true;

    if (!group_of)
        return rab_fail_memory(err);
    for (size_t g = 0; g < o->group_count && ok; g++) {
        ok = numbers_fit(frame, &o->groups[g], err);
        for (size_t i = 0; i < o->groups[g].count && ok; i++) {
            size_t *group = &group_of[o->groups[g].items[i] - 1];

            if (*group != 0 && *group != g + 1)
                ok = rab_fail(err, RAB_FAULT_INPUT,
                              "opening %d stands in two groups; name it in one",
                              o->groups[g].items[i]);
            *group = g + 1;
        }
    }
    free(group_of);
    return ok;
}

static bool options_fit(const struct rab_frame *frame, const struct rab_backing_options *o,
                        struct rab_error *err)
{
    for (size_t i = 0; i < o->circle_count; i++)
        if (!length_fits("diameter of a circle", o->circles[i], false, err))
            return false;
    return length_fits("seam", o->seam, false, err) &&
           length_fits("clearance", o->clear, true, err) &&
           length_fits("inset from the edge", o->inset, true, err) &&
           numbers_fit(frame, &o->only, err) && numbers_fit(frame, &o->skip, err) &&
           groups_fit(frame, o, err);
}

/* ---- what cannot be ---------------------------------------------------------------------- */

static void add_mm(struct rab_text *text, double mm)
{
    rab_text_fixed(text, mm > 0 ? mm : 0, mm < 0.1 ? 3 : 2);
    rab_text_add(text, " mm");
}

static void add_one_refusal(struct rab_text *text, const struct rab_frame *frame,
                            const struct rab_backing_options *o, const struct reach *reach)
{
    const int number = frame->openings[reach->opening].number;

    rab_text_format(text, "opening %d cannot be backed%s: ", number,
                    reach->limit == RAB_LIMIT_EDGE ? "" : " alone");
    add_mm(text, reach->web);
    if (reach->limit == RAB_LIMIT_EDGE) {
        rab_text_add(text, " of paper up to the frame's edge leave no seam; give a smaller inset "
                           "than ");
        add_mm(text, o->inset);
        return;
    }
    const int other = frame->openings[reach->other].number;
    rab_text_format(text, " of paper up to opening %d leave no seam; group it with %d", other,
                    other);
    if (reach->web > 2 * RAB_LEAST_SEAM && reach->limit == RAB_LIMIT_OPENING)
        rab_text_add(text, ", or give a smaller clearance");
}

/* Only a message's worth. */
enum { REFUSALS_LENGTH = 150 };

static void add_refusals(struct rab_text *text, const struct rab_frame *frame,
                         const struct reach *reaches, size_t count)
{
    size_t edges = 0, pairs = 0, told = 0;
    int first_edge = 0;

    for (size_t i = 0; i < count; i++)
        if (reaches[i].limit == RAB_LIMIT_EDGE && edges++ == 0)
            first_edge = frame->openings[reaches[i].opening].number;
    rab_text_format(text, "%zu openings cannot be backed alone", count);
    for (size_t i = 0; i < count; i++) {
        const struct reach *reach = &reaches[i];

        if (reach->limit == RAB_LIMIT_EDGE)
            continue;
        pairs++;
        if (text->length > REFUSALS_LENGTH)
            continue;
        rab_text_format(text, "%s %d with %d", told++ == 0 ? ": group" : ",",
                        frame->openings[reach->opening].number,
                        frame->openings[reach->other].number);
    }
    if (told < pairs)
        rab_text_format(text, " and so on (%zu more)", pairs - told);
    if (edges > 0)
        rab_text_format(text,
                        "; %zu too near to the frame's edge (opening %d%s): give a smaller "
                        "inset",
                        edges, first_edge, edges > 1 ? "..." : "");
}

static bool refuse(const struct rab_frame *frame, const struct rab_backing_options *o,
                   const struct reach *reaches, size_t count, struct rab_error *err)
{
    struct rab_text text = {0};

    if (count == 1)
        add_one_refusal(&text, frame, o, &reaches[0]);
    else
        add_refusals(&text, frame, reaches, count);
    if (rab_text_ok(&text, err))
        rab_fail(err, RAB_FAULT_GEOMETRY, "%s", text.data);
    rab_text_clear(&text);
    return false;
}

/* Every opening is compared with all that its seam could meet. More than this is not a frame but
 * a screen of dots, and would take minutes. */
enum { MOST_NEIGHBOURS = 5000000 };

static bool count_one(void *context, size_t item)
{
    size_t *count = context;

    (void)item;
    return ++*count < MOST_NEIGHBOURS;
}

static bool not_crowded(const struct field *field, double seam, struct rab_error *err)
{
    size_t count = 0;

    for (size_t i = 0; i < field->site_count; i++)
        if (!box_tree_query(&field->tree, box_grown(field->sites[i].box, 2 * seam), count_one,
                            &count))
            return rab_fail(err, RAB_FAULT_GEOMETRY,
                            "the openings lie so close together that each seam would meet "
                            "hundreds of others; give a smaller seam or back fewer openings");
    return true;
}

/* How far every seam reaches; an error that names all openings left without one. */
static bool look_ahead(struct cutter *cutter, struct reach *reaches, struct rab_error *err)
{
    const struct field *field = cutter->field;
    struct reach *refused = malloc((field->site_count + 1) * sizeof *refused);
    size_t count = 0;
    bool ok = false;

    if (!refused)
        return rab_fail_memory(err);
    for (size_t i = 0; i < field->site_count; i++) {
        if (!cutter_reach(cutter, i, &reaches[i], err))
            goto done;
        if (reaches[i].seam < fmin(RAB_LEAST_SEAM, cutter->options->seam))
            refused[count++] = reaches[i];
    }
    ok = count == 0 || refuse(field->frame, cutter->options, refused, count, err);
done:
    free(refused);
    return ok;
}

/* ---- pieces ------------------------------------------------------------------------------ */

static int name_of(const struct field *field, size_t site)
{
    return field->frame->openings[field->sites[site].openings[0]].number;
}

static bool bad_piece(const struct field *field, size_t site, const char *what,
                      struct rab_error *err)
{
    return rab_fail(err, RAB_FAULT_GEOMETRY,
                    "the piece behind opening %d did not pass the check that it %s; a little more "
                    "or less seam may help",
                    name_of(field, site), what);
}

static bool name_openings(const struct field *field, size_t site, struct rab_backing *piece,
                          struct rab_error *err)
{
    const struct site *self = &field->sites[site];

    piece->openings = malloc(self->count * sizeof *piece->openings);
    if (!piece->openings)
        return rab_fail_memory(err);
    for (size_t i = 0; i < self->count; i++)
        piece->openings[i] = field->frame->openings[self->openings[i]].number;
    piece->opening_count = self->count;
    return true;
}

static bool cannot_join(const struct rab_backing *piece, struct rab_error *err)
{
    struct rab_text text = {0};

    add_openings(&text, piece->openings, piece->opening_count);
    if (rab_text_ok(&text, err))
        rab_fail(err, RAB_FAULT_GEOMETRY,
                 "%s cannot be joined behind the frame: other openings or the edge lie between; "
                 "make smaller groups",
                 text.data);
    rab_text_clear(&text);
    return false;
}

/* Bridges narrower than this bend and tear. Common practice, no source. */
static const double narrow_bridge = 4.0;

static bool warn_bridge(const struct rab_backing *piece, struct rab_warnings *notes,
                        struct rab_error *err)
{
    struct rab_region core = {0};
    struct rab_text text = {0};
    size_t parts = 0;
    bool ok = rab_region_grow(&piece->region, -narrow_bridge / 2, RAB_JOIN_ROUND, 0, &core, err);

    for (size_t i = 0; i < core.count; i++)
        parts += core.parents[i] == RAB_NO_PARENT;
    rab_region_clear(&core);
    if (!ok || parts == 1)
        return ok;
    add_openings(&text, piece->openings, piece->opening_count);
    ok = rab_text_ok(&text, err) &&
         rab_warn(notes, err, "narrow-bridge", 0,
                  "the piece behind %s is under 4 mm wide somewhere; handle it with care",
                  text.data);
    rab_text_clear(&text);
    return ok;
}

/* One connected piece that covers its openings. */
static bool cut_piece(struct cutter *cutter, size_t site, struct rab_backing *piece,
                      struct rab_warnings *notes, struct rab_error *err)
{
    const struct field *field = cutter->field;
    size_t parts;

    if (!name_openings(field, site, piece, err) ||
        !cutter_cut(cutter, site, &piece->region, &parts, err))
        return false;
    if (parts == 1)
        return true;
    if (piece->opening_count == 1)
        return bad_piece(field, site, "covers its opening", err);
    if (!bridge_parts(cutter, site, &piece->region, &parts, err))
        return false;
    return parts == 1 ? warn_bridge(piece, notes, err) : cannot_join(piece, err);
}

/* ---- plain shapes ------------------------------------------------------------------------ */

/* Replace pieces by plain shapes where these fit beside all that stands. */
static bool make_plain(struct cutter *cutter, struct rab_backings *made, struct rab_warnings *notes,
                       struct rab_error *err)
{
    const struct rab_backing_options *o = cutter->options;
    const bool simple = o->form == RAB_FORM_SIMPLE;
    int *left = malloc((made->count + 1) * sizeof *left);
    size_t count = 0;
    bool ok = true;

    if (!left)
        return rab_fail_memory(err);
    for (size_t i = 0; ok && i < made->count; i++) {
        struct rab_backing *piece = &made->items[i];
        struct rab_backings others = *made;
        struct rab_region plain = {0};
        enum rab_backing_shape shape;
        bool found;

        others.count = i; /* those after it are bound by the dividing lines and checked in turn */
        ok = plain_piece(cutter, i, &others, &plain, &shape, &found, err);
        if (ok && found) {
            rab_region_clear(&piece->region);
            piece->region = plain;
            piece->shape = shape;
        } else if (ok) {
            left[count++] = piece->openings[0];
        }
    }
    if (ok && count > 0) {
        struct rab_text text = {0};
        add_openings(&text, left, count);
        ok = rab_text_ok(&text, err) &&
             rab_warn(notes, err, simple ? "not-simple" : "no-circle", 0,
                      simple ? "no plain shape fits behind %s; the grown outline is kept"
                             : "none of the circles fits behind %s; the grown outline is kept",
                      text.data);
        rab_text_clear(&text);
    }
    free(left);
    return ok;
}

/* Measured on the outlines as they will be cut, and held against what the distances between the
 * openings promised. */
static bool measure(struct cutter *cutter, size_t site, const struct reach *reach,
                    struct rab_backing *piece, struct rab_error *err)
{
    const struct field *field = cutter->field;
    const double asked = cutter->options->seam;
    bool fine;

    if (!piece_seam(field, site, &piece->region, &piece->seam, &piece->seam_from, &piece->seam_to,
                    err))
        return false;
    if (piece->seam < fmin(reach->seam, asked) - 4 * DIVIDE_TOLERANCE)
        return bad_piece(field, site, "leaves its seam", err);
    if (!piece_keeps_off(cutter, site, &piece->region, &fine, err))
        return false;
    if (!fine)
        return bad_piece(field, site, "keeps off other openings and the edge", err);
    /* Bridges and plain shapes reach beyond the seam and were held against other pieces instead. */
    if (!cutter->options->lap && piece->shape == RAB_SHAPE_GROWN && piece->opening_count == 1) {
        if (!piece_keeps_sides(cutter, site, &piece->region, &fine, err))
            return false;
        if (!fine)
            return bad_piece(field, site, "leaves its neighbours their half of the web", err);
    }

    piece->area = rab_region_area(&piece->region);
    piece->perimeter = rab_region_perimeter(&piece->region);
    piece->box = rab_region_box(&piece->region);
    if (piece->seam >= asked - RAB_SAME_POINT) {
        piece->limit = RAB_LIMIT_SEAM;
        if (piece->seam < asked + RAB_SAME_POINT)
            piece->seam = asked;
        return true;
    }
    piece->limit = reach->limit;
    if (reach->limit == RAB_LIMIT_OPENING)
        piece->limit_number = field->frame->openings[reach->other].number;
    if (reach->limit == RAB_LIMIT_PIECE)
        piece->limit_number = name_of(field, field->site_of[reach->other]);
    return true;
}

/* ---- what should be known ---------------------------------------------------------------- */

/* Warnings of one kind before the rest are only counted. */
enum { TOLD = 20 };

static bool warn_narrow(const struct rab_backings *made, double asked, struct rab_warnings *notes,
                        struct rab_error *err)
{
    size_t count = 0;
    bool ok = true;

    if (asked < RAB_NARROW_SEAM)
        return rab_warn(notes, err, "narrow-seam", 0,
                        "a seam under 1 mm hardly holds glue; a few millimetres are better");
    for (size_t i = 0; i < made->count && ok; i++) {
        const struct rab_backing *piece = &made->items[i];
        char limit[RAB_LIMIT_TEXT];
        struct rab_text text = {0};

        if (piece->seam >= RAB_NARROW_SEAM || ++count > TOLD)
            continue;
        rab_backing_limit_text(piece, limit);
        rab_text_add(&text, "the seam of ");
        add_openings(&text, piece->openings, piece->opening_count);
        rab_text_add(&text, " is only ");
        add_mm(&text, piece->seam);
        ok = rab_text_ok(&text, err) &&
             rab_warn(notes, err, "narrow-seam", 0,
                      "%s (limited by %s%s); under 1 mm hardly holds "
                      "glue",
                      text.data, piece->limit == RAB_LIMIT_EDGE ? "the frame's " : "", limit);
        rab_text_clear(&text);
    }
    if (ok && count > TOLD)
        ok = rab_warn(notes, err, "narrow-seam", 0, "%zu more pieces have a seam under 1 mm",
                      count - TOLD);
    return ok;
}

static bool warn_touching(const struct field *field, const struct rab_backings *made,
                          struct rab_warnings *notes, struct rab_error *err)
{
    bool ok = true;

    for (size_t i = 0; i < made->count && ok; i++) {
        struct rab_text text = {0};

        if (!field->sites[i].touching)
            continue;
        add_openings(&text, made->items[i].openings, made->items[i].opening_count);
        ok = rab_text_ok(&text, err) &&
             rab_warn(notes, err, "touching", 0, "%s touch each other; one piece backs them",
                      text.data);
        rab_text_clear(&text);
    }
    return ok;
}

bool rab_frame_back(const struct rab_frame *frame, const struct rab_backing_options *options,
                    struct rab_backings *out, struct rab_warnings *notes, struct rab_error *err)
{
    struct field field = {0};
    struct cutter cutter = {0};
    struct rab_backings made = {0};
    struct reach *reaches = NULL;
    bool ok = false;

    if (!options_fit(frame, options, err) || !field_make(frame, options, &field, err))
        goto done;
    if (field.site_count == 0) {
        rab_fail(err, RAB_FAULT_INPUT, "no opening is left to back");
        goto done;
    }
    made.items = calloc(field.site_count, sizeof *made.items);
    reaches = malloc(field.site_count * sizeof *reaches);
    if (!made.items || !reaches) {
        rab_fail_memory(err);
        goto done;
    }
    made.capacity = field.site_count;
    if (!not_crowded(&field, options->seam, err) || !cutter_make(&field, options, &cutter, err) ||
        !look_ahead(&cutter, reaches, err) || !cutter_divide(&cutter, err))
        goto done;
    for (; made.count < field.site_count; made.count++)
        if (!cut_piece(&cutter, made.count, &made.items[made.count], notes, err)) {
            backing_clear(&made.items[made.count]);
            goto done;
        }
    if ((options->form == RAB_FORM_SIMPLE || options->circle_count > 0) &&
        !make_plain(&cutter, &made, notes, err))
        goto done;
    for (size_t i = 0; i < made.count; i++)
        if (!measure(&cutter, i, &reaches[i], &made.items[i], err))
            goto done;
    if (!warn_touching(&field, &made, notes, err) || !warn_narrow(&made, options->seam, notes, err))
        goto done;

    *out = made;
    made = (struct rab_backings){0};
    ok = true;
done:
    rab_backings_clear(&made);
    if (cutter.field)
        cutter_clear(&cutter);
    field_clear(&field);
    free(reaches);
    return ok;
}
