#include "attempt.h"

#include "shape/library.h"
#include "shape/link.h"
#include "shape/reader.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum which { USUAL, LEAST, MOST };

static enum attempt wrong(struct rab_error *err, const char *words)
{
    struct rab_error before = *err;

    *err = (struct rab_error){0};
    rab_fail_line(err, RAB_FAULT_GEOMETRY, before.line, "%s: %s", words, before.text);
    return ATTEMPT_WRONG;
}

/* An error that a person can use: words, and where they are about a file its line. */
static bool is_clear(const struct rab_error *err, bool needs_line)
{
    if (err->fault != RAB_FAULT_INPUT && err->fault != RAB_FAULT_GEOMETRY)
        return false;
    for (const char *c = err->text; *c; c++)
        if ((unsigned char)*c < ' ' || *c == 0x7F)
            return false;
    return strlen(err->text) > 10 && (!needs_line || err->line > 0);
}

static bool outline_fine(const struct rab_outline *outline)
{
    for (size_t i = 0; i < outline->count; i++)
        if (!isfinite(outline->vertices[i].x) || !isfinite(outline->vertices[i].y) ||
            !isfinite(outline->vertices[i].bulge))
            return false;
    return outline->count > 0;
}

static enum attempt check_figure(const struct rab_figure *figure, struct rab_error *err)
{
    if (!rab_region_check(&figure->paper, err))
        return ATTEMPT_WRONG;
    for (size_t i = 0; i < figure->path_count; i++)
        if (!outline_fine(&figure->paths[i].outline))
            return wrong(err, "a path is not finite");
    for (size_t i = 0; i < figure->place_count; i++)
        if (!outline_fine(&figure->places[i].outline))
            return wrong(err, "a place is not finite");
    return ATTEMPT_DRAWN;
}

static enum attempt check_repeat(const struct rab_repeat *repeat, struct rab_error *err)
{
    if (!rab_region_check(&repeat->holes, err))
        return ATTEMPT_WRONG;
    if (!outline_fine(&repeat->profile) || !isfinite(repeat->valley))
        return wrong(err, "a profile is not finite");
    for (size_t i = 0; i < repeat->path_count; i++)
        if (!outline_fine(&repeat->paths[i].outline))
            return wrong(err, "a path is not finite");
    return ATTEMPT_DRAWN;
}

static enum attempt draw(const struct rab_library *library, const struct rab_shape *shape,
                         enum which which, struct rab_error *err)
{
    double values[SHAPE_PARAMETERS];
    struct rab_figure figure = {0};
    struct rab_repeat repeat = {0};
    enum attempt result = ATTEMPT_DRAWN;
    bool drawn;

    for (size_t i = 0; i < shape->parameter_count; i++)
        values[i] = which == USUAL   ? shape->parameters[i].usual
                    : which == LEAST ? shape->parameters[i].least
                                     : shape->parameters[i].most;
    if (shape->motif) {
        drawn = rab_motif_draw(library, shape, values, 0, 3, 0, &repeat, err);
        if (drawn)
            result = check_repeat(&repeat, err);
    } else {
        drawn = rab_shape_draw(library, shape, values, 0, &figure, err);
        if (drawn)
            result = check_figure(&figure, err);
    }
    rab_figure_clear(&figure);
    rab_repeat_clear(&repeat);
    if (drawn)
        return result;
    /* a constraint speaks of what was asked, not of the file */
    return is_clear(err, err->fault == RAB_FAULT_GEOMETRY)
               ? ATTEMPT_REFUSES
               : wrong(err, "drawing failed without clear words");
}

/* What it uses of other shapes, as if it had its place among them. */
static bool links(const struct rab_library *library, struct rab_shape *shape, struct rab_error *err)
{
    struct rab_shape **all = calloc(library->count + 1, sizeof(struct rab_shape *));
    bool found, ok;
    size_t place = link_place(library->named, library->count, shape->name, &found);

    if (!all)
        return rab_fail_memory(err);
    memcpy(all, library->named, place * sizeof(struct rab_shape *));
    all[place] = shape;
    memcpy(all + place + 1, library->named + place,
           (library->count - place) * sizeof(struct rab_shape *));
    ok = link_shapes(all, library->count + 1, err);
    free(all);
    return ok;
}

enum attempt attempt_shape(const struct rab_library *library, const char *bytes, size_t length,
                           struct rab_error *err)
{
    struct rab_shape *shape = NULL;
    enum attempt result = ATTEMPT_REFUSED;

    if (!reader_read("an-attempt", "tests", NULL, bytes, length, &shape, err))
        return is_clear(err, true) ? ATTEMPT_REFUSED
                                   : wrong(err, "reading failed without a line or clear words");
    if (!links(library, shape, err)) {
        if (!is_clear(err, true))
            result = wrong(err, "linking failed without a line or clear words");
    } else {
        for (enum which which = USUAL; which <= MOST; which++) {
            enum attempt one;
            *err = (struct rab_error){0};
            one = draw(library, shape, which, err);
            if (one == ATTEMPT_WRONG) {
                result = one;
                break;
            }
            if (one > result)
                result = one;
        }
    }
    reader_free(shape);
    return result;
}
