#include "job/lay.h"

#include "job/found.h"
#include "job/made.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

/* What is larger by less than this is rounding. */
static const double spare = 1e-6;

int rab_job_copies(const struct rab_job *job)
{
    const double wanted = ceil(fmax(job->kits, 1) * (1 + job->spare) - 1e-9);

    /* what is out of range rab_job_resolve refuses */
    return wanted >= 1 && wanted <= INT_MAX ? (int)wanted : 1;
}

/* ---- does it fit? ---------------------------------------------------------------------- */

/* What of a sheet can be cut. */
static struct rab_box room_of(const struct rab_job *job, const struct rab_piece *piece)
{
    const struct rab_paper *paper = &job->papers[piece->paper];

    /* without a cutter in the job the machine of its files is not known, but for its bed */
    if (piece->tool != (job->cutter ? RAB_TOOL_CUTTER : RAB_TOOL_HAND))
        return (struct rab_box){0, 0, paper->width, paper->height};
    return rab_bed_room(&job->bed, paper->width, paper->height, job->kerf);
}

static bool lies_in(double width, double height, double in_width, double in_height)
{
    return width <= in_width + spare && height <= in_height + spare;
}

static bool fail_fit(const struct rab_job *job, const struct rab_piece *piece, double width,
                     double height, struct rab_error *err)
{
    const struct rab_paper *paper = &job->papers[piece->paper];
    const bool as_it_is = lies_in(width, height, paper->width, paper->height);
    const bool turned = lies_in(height, width, paper->width, paper->height);
    const struct measure size = measure_of_size(width, height, job->inches);
    const struct measure of_sheet = measure_of_size(paper->width, paper->height, job->inches);

    if (as_it_is || (turned && paper->turning == RAB_TURNING_ANY))
        return rab_fail_line(err, RAB_FAULT_GEOMETRY, piece->line,
                             "the %.60s, %s, is larger than the cutter reaches; make it smaller, "
                             "or cut it by hand",
                             piece->what, size.text);
    if (turned)
        return rab_fail_line(err, RAB_FAULT_GEOMETRY, piece->line,
                             "the %.60s, %s, would have to be turned %s on %.40s, whose sheets are "
                             "%s; make it smaller, or take another paper",
                             piece->what, size.text,
                             paper->printed != RAB_PRINTED_NONE ? "against the print" : "sideways",
                             paper->name, of_sheet.text);
    return rab_fail_line(err, RAB_FAULT_GEOMETRY, piece->line,
                         "the %.60s, %s, is larger than a sheet of %.40s, %s; make it smaller, or "
                         "give the sheet's size as measured",
                         piece->what, size.text, paper->name, of_sheet.text);
}

bool lay_fit(const struct rab_job *job, const struct rab_piece *piece, struct rab_box *box,
             bool *turned, struct rab_error *err)
{
    const struct rab_box room = room_of(job, piece);
    const double room_width = room.x1 - room.x0, room_height = room.y1 - room.y0;
    struct rab_box of = rab_region_box(&piece->region);

    for (size_t i = 0; i < piece->path_count; i++)
        of = rab_box_join(of, rab_outline_box(&piece->paths[i].outline));
    const double width = of.x1 - of.x0, height = of.y1 - of.y0;
    *turned = !lies_in(width, height, room_width, room_height);
    if (*turned && (job->papers[piece->paper].turning != RAB_TURNING_ANY ||
                    !lies_in(height, width, room_width, room_height)))
        return fail_fit(job, piece, width, height, err);
    *box = *turned ? (struct rab_box){-of.y1, of.x0, -of.y0, of.x1} : of;
    return true;
}

bool lay_count(const struct rab_job *job, size_t paper, double pieces, struct rab_error *err)
{
    return pieces <= RAB_MOST_LAID ||
           rab_fail_line(err, RAB_FAULT_INPUT, job->papers[paper].line,
                         "more than %d pieces are to be cut of %.40s; give fewer kits",
                         RAB_MOST_LAID, job->papers[paper].name);
}

/* ---- laying ---------------------------------------------------------------------------- */

static const char *piece_name(void *context, size_t index)
{
    const struct rab_laid *items = context;

    return items[index].piece->what;
}

/* The pieces as often as they are needed, each with the box that it takes. */
static bool gather(const struct rab_job *job, const struct rab_spread *spread, size_t paper,
                   enum rab_tool tool, struct rab_laying *laying, struct rab_box **boxes,
                   struct rab_box *room, struct rab_error *err)
{
    const size_t copies = (size_t)rab_job_copies(job);
    size_t wanted = 0;

    for (size_t i = 0; i < spread->count; i++)
        wanted += spread->pieces[i].paper == paper && spread->pieces[i].tool == tool;
    if (!lay_count(job, paper, (double)wanted * (double)copies, err))
        return false;
    laying->items = calloc(wanted * copies + 1, sizeof *laying->items);
    *boxes = calloc(wanted * copies + 1, sizeof **boxes);
    if (!laying->items || !*boxes)
        return rab_fail_memory(err);
    for (size_t i = 0; i < spread->count; i++) {
        const struct rab_piece *piece = &spread->pieces[i];
        struct rab_box box;
        bool turned;
        if (piece->paper != paper || piece->tool != tool)
            continue;
        if (!lay_fit(job, piece, &box, &turned, err))
            return false;
        *room = room_of(job, piece);
        for (size_t n = 0; n < copies; n++) {
            (*boxes)[laying->count] = box;
            laying->items[laying->count++] = (struct rab_laid){.piece = piece, .turned = turned};
        }
    }
    return true;
}

bool rab_spread_lay(const struct rab_job *job, const struct rab_spread *spread, size_t paper,
                    enum rab_tool tool, double gap, struct rab_laying *out, struct rab_error *err)
{
    struct rab_laying made = {0};
    struct rab_placing placing = {0};
    struct rab_box *boxes = NULL;
    struct rab_box room = {0, 0, 1, 1};
    bool ok = false;

    if (paper >= job->paper_count)
        return rab_fail(err, RAB_FAULT_INPUT, "there is no such paper in the job");
    if (!gather(job, spread, paper, tool, &made, &boxes, &room, err) ||
        !rab_boxes_arrange(boxes, made.count, piece_name, made.items, room.x1 - room.x0,
                           room.y1 - room.y0, gap, &placing, err))
        goto done;
    for (size_t i = 0; i < placing.count; i++) {
        struct rab_laid *laid = &made.items[placing.items[i].piece];
        laid->sheet = placing.items[i].sheet;
        laid->dx = room.x0 + placing.items[i].dx;
        laid->dy = room.y0 + placing.items[i].dy;
    }
    made.sheets = placing.sheets;
    *out = made;
    made = (struct rab_laying){0};
    ok = true;
done:
    rab_placing_clear(&placing);
    rab_laying_clear(&made);
    free(boxes);
    return ok;
}

void rab_laying_clear(struct rab_laying *laying)
{
    free(laying->items);
    *laying = (struct rab_laying){0};
}

bool rab_laid_outline(const struct rab_laid *laid, const struct rab_outline *outline,
                      bool face_down, double sheet_width, struct rab_outline *out,
                      struct rab_error *err)
{
    struct rab_outline copy = {0};

    if (!rab_outline_copy(outline, &copy, err))
        return false;
    if (laid->turned)
        outline_turn_about(&copy, RAB_PI / 2);
    rab_outline_move(&copy, laid->dx, laid->dy);
    if (face_down)
        rab_outline_mirror(&copy, sheet_width / 2);
    *out = copy;
    return true;
}
