#include "rabbet/frame.h"

#include <stdlib.h>

#include "frame/rows.h"
#include "frame/words.h"

static void clear_outlines(struct rab_outline *outlines, size_t count)
{
    for (size_t i = 0; i < count; i++)
        rab_outline_clear(&outlines[i]);
    free(outlines);
}

void rab_frame_clear(struct rab_frame *frame)
{
    for (size_t i = 0; i < frame->count; i++) {
        rab_outline_clear(&frame->openings[i].outline);
        clear_outlines(frame->openings[i].islands, frame->openings[i].island_count);
    }
    free(frame->openings);
    clear_outlines(frame->parts, frame->part_count);
    rab_region_clear(&frame->paper);
    *frame = (struct rab_frame){0};
}

/* What each outline of the paper is. */
enum role { PART, OPENING, ISLAND, WITHIN };

struct survey {
    enum role *roles;
    size_t *places; /* of a part in parts; of an opening by number; of an island: its opening */
    size_t *within; /* how many outlines lie directly in it */
    size_t counts[4];
};

static bool look_over(const struct rab_region *paper, struct survey *survey, struct rab_error *err)
{
    survey->roles = calloc(paper->count + 1, sizeof *survey->roles);
    survey->places = calloc(paper->count + 1, sizeof *survey->places);
    survey->within = calloc(paper->count + 1, sizeof *survey->within);
    if (!survey->roles || !survey->places || !survey->within)
        return rab_fail_memory(err);
    for (size_t i = 0; i < paper->count; i++) {
        const size_t parent = paper->parents[i];
        enum role role = PART;

        if (parent != RAB_NO_PARENT) {
            role = survey->roles[parent] == WITHIN ? WITHIN : survey->roles[parent] + 1;
            survey->within[parent]++;
        }
        survey->roles[i] = role;
        survey->places[i] = role == PART ? survey->counts[PART] : parent;
        survey->counts[role]++;
    }
    return true;
}

static bool number_openings(const struct rab_region *paper, struct survey *survey,
                            struct rab_error *err)
{
    const size_t n = survey->counts[OPENING];
    struct rab_box *boxes = malloc(n * sizeof *boxes);
    size_t *outlines = malloc(n * sizeof *outlines);
    uint32_t *order = malloc(n * sizeof *order);
    size_t count = 0;
    bool ok = false;

    if (!boxes || !outlines || !order) {
        rab_fail_memory(err);
        goto done;
    }
    for (size_t i = 0; i < paper->count; i++)
        if (survey->roles[i] == OPENING) {
            boxes[count] = rab_outline_box(&paper->outlines[i]);
            outlines[count++] = i;
        }
    if (!rows_order(boxes, n, order, err))
        goto done;
    for (size_t i = 0; i < n; i++)
        survey->places[outlines[order[i]]] = i;
    ok = true;
done:
    free(order);
    free(outlines);
    free(boxes);
    return ok;
}

static bool fill_in(const struct rab_region *paper, const struct survey *survey,
                    struct rab_frame *frame, struct rab_error *err)
{
    frame->parts = calloc(survey->counts[PART], sizeof *frame->parts);
    frame->openings = calloc(survey->counts[OPENING], sizeof *frame->openings);
    if (!frame->parts || !frame->openings)
        return rab_fail_memory(err);
    frame->part_count = survey->counts[PART];
    frame->count = survey->counts[OPENING];

    for (size_t i = 0; i < paper->count; i++) {
        const struct rab_outline *outline = &paper->outlines[i];

        if (survey->roles[i] == PART) {
            if (!rab_outline_copy(outline, &frame->parts[survey->places[i]], err))
                return false;
        } else if (survey->roles[i] == OPENING) {
            struct rab_opening *opening = &frame->openings[survey->places[i]];

            if (!rab_outline_copy(outline, &opening->outline, err))
                return false;
            rab_outline_reverse(&opening->outline);
            opening->number = (int)survey->places[i] + 1;
            opening->part = survey->places[paper->parents[i]];
            opening->area = rab_outline_area(&opening->outline);
            opening->box = rab_outline_box(&opening->outline);
            opening->centre = rab_outline_centroid(&opening->outline);
        } else if (survey->roles[i] == ISLAND) {
            struct rab_opening *opening = &frame->openings[survey->places[survey->places[i]]];

            if (!opening->islands) {
                opening->islands =
                    calloc(survey->within[survey->places[i]], sizeof *opening->islands);
                if (!opening->islands)
                    return rab_fail_memory(err);
            }
            if (!rab_outline_copy(outline, &opening->islands[opening->island_count], err))
                return false;
            opening->island_count++;
        }
    }
    return true;
}

static bool tell(const struct rab_frame *frame, const struct survey *survey,
                 struct rab_warnings *notes, struct rab_error *err)
{
    struct rab_text text = {0};
    int *numbers = malloc(frame->count * sizeof *numbers);
    size_t count = 0;
    bool ok = false;

    if (!numbers) {
        rab_fail_memory(err);
        goto done;
    }
    for (size_t i = 0; i < frame->count; i++)
        if (frame->openings[i].island_count > 0)
            numbers[count++] = frame->openings[i].number;
    if (count > 0) {
        add_openings(&text, numbers, count);
        if (!rab_text_ok(&text, err) ||
            !rab_warn(notes, err, "loose-paper", 0, "paper lies loose in %s and falls out%s",
                      text.data,
                      frame->count == 1 && survey->counts[WITHIN] > 0
                          ? "; if the outermost line is the edge of the sheet, leave it out of "
                            "the drawing"
                          : ""))
            goto done;
    }
    if (frame->part_count > 1 &&
        !rab_warn(notes, err, "several-parts", 0,
                  "the drawing has %zu parts that do not hang together; the openings of all are "
                  "numbered together",
                  frame->part_count))
        goto done;
    ok = true;
done:
    free(numbers);
    rab_text_clear(&text);
    return ok;
}

bool rab_frame_from_region(const struct rab_region *paper, struct rab_frame *out,
                           struct rab_warnings *notes, struct rab_error *err)
{
    struct rab_frame made = {0};
    struct survey survey = {0};
    bool ok = false;

    if (!look_over(paper, &survey, err))
        goto done;
    if (survey.counts[OPENING] == 0) {
        rab_fail(err, RAB_FAULT_GEOMETRY,
                 "the drawing has no opening: a frame is an outline with at least one more inside "
                 "it");
        goto done;
    }
    if (survey.counts[OPENING] > INT32_MAX) {
        rab_fail_memory(err);
        goto done;
    }
    if (!number_openings(paper, &survey, err) || !fill_in(paper, &survey, &made, err) ||
        !rab_region_copy(paper, &made.paper, err))
        goto done;
    made.box = rab_region_box(paper);
    if (!tell(&made, &survey, notes, err))
        goto done;

    *out = made;
    made = (struct rab_frame){0};
    ok = true;
done:
    rab_frame_clear(&made);
    free(survey.within);
    free(survey.places);
    free(survey.roles);
    return ok;
}
