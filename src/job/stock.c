/* Is the paper large enough, may it be turned, is there enough of it; what the cutter reaches. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double spare = 1e-6;

struct size {
    double width, height;
};

static struct size size_of(const struct rab_piece *piece)
{
    const struct rab_box box = rab_region_box(&piece->region);

    return (struct size){box.x1 - box.x0, box.y1 - box.y0};
}

static bool lies_in(struct size piece, double width, double height)
{
    return piece.width <= width + spare && piece.height <= height + spare;
}

static struct size turned(struct size size)
{
    return (struct size){size.height, size.width};
}

/* On a whole sheet or on what is left of one. */
static bool fits(const struct rab_paper *paper, struct size piece)
{
    bool found = lies_in(piece, paper->width, paper->height);

    for (size_t i = 0; i < paper->offcut_count && !found; i++)
        found = paper->offcuts[i].count > 0 &&
                lies_in(piece, paper->offcuts[i].width, paper->offcuts[i].height);
    return found;
}

/* ---- each piece ------------------------------------------------------------------------ */

static bool check_sheet(struct resolving *r, const struct rab_piece *piece)
{
    const struct rab_paper *paper = &r->job->papers[piece->paper];
    const struct size size = size_of(piece);
    const bool inches = r->job->inches, other_way = fits(paper, turned(size));
    const bool print = paper->printed != RAB_PRINTED_NONE;

    if (fits(paper, size) || (other_way && paper->turning == RAB_TURNING_ANY))
        return true;
    if (other_way)
        return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, piece->line,
                           "the %.80s, %s, would have to be turned %s on %.40s, whose sheets are "
                           "%s; make it smaller, or take another paper",
                           piece->what, measure_of_size(size.width, size.height, inches).text,
                           print ? "against the print" : "sideways", paper->name,
                           measure_of_size(paper->width, paper->height, inches).text);
    return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, piece->line,
                       "the %.80s, %s, is larger than a sheet of %.40s, %s; make it smaller, or "
                       "give the sheet's size as measured",
                       piece->what, measure_of_size(size.width, size.height, inches).text,
                       paper->name, measure_of_size(paper->width, paper->height, inches).text);
}

static bool check_reach(struct resolving *r, const struct rab_piece *piece)
{
    const struct rab_job *job = r->job;
    const struct size size = size_of(piece);
    const double width = job->reach_width > 0 ? job->reach_width : HUGE_VAL;
    const double height = job->reach_height > 0 ? job->reach_height : HUGE_VAL;

    if (piece->tool != RAB_TOOL_CUTTER || lies_in(size, width, height) ||
        (job->papers[piece->paper].turning == RAB_TURNING_ANY &&
         lies_in(turned(size), width, height)))
        return true;
    return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, piece->line,
                       "the %.80s, %s, is larger than the cutter reaches; make it smaller, or cut "
                       "it by hand",
                       piece->what, measure_of_size(size.width, size.height, job->inches).text);
}

/* ---- all of a paper -------------------------------------------------------------------- */

/* Common practice for classes: so many more of each piece. */
static double copies_of(const struct rab_job *job)
{
    const double kits = job->kits > 0 ? job->kits : 1;

    return ceil(kits * (1 + job->spare) - 1e-9);
}

struct use {
    double area;
    double large; /* rectangles of which no two lie on one sheet */
};

static void add_use(const struct rab_paper *paper, const struct rab_piece *piece, struct use *use)
{
    const struct size size = size_of(piece);

    use->area += rab_region_area(&piece->region);
    use->large += piece->rectangle &&
                  fmin(size.width, size.height) > fmax(paper->width, paper->height) / 2 + spare;
}

/* A lower bound: by area, and by pieces that need a sheet each. */
static bool check_amount(struct resolving *r, const struct rab_paper *paper, const struct use *use)
{
    const double copies = copies_of(r->job);
    double area = use->area * copies, large = use->large * copies;

    for (size_t i = 0; i < paper->offcut_count; i++) {
        const struct rab_stock *offcut = &paper->offcuts[i];
        area -= offcut->width * offcut->height * offcut->count;
        large -= fmin(offcut->width, offcut->height) > fmax(paper->width, paper->height) / 2
                     ? offcut->count
                     : 0;
    }
    const double least = fmax(ceil(area / (paper->width * paper->height) - 1e-9), large);
    if (paper->sheets <= 0 || least <= paper->sheets)
        return true;
    struct rab_text number = {0}, kits = {0};
    rab_text_fixed(&number, least, 0);
    rab_text_fixed(&kits, copies, 0);
    const bool ok =
        rab_text_ok(&number, r->err) && rab_text_ok(&kits, r->err) &&
        found_odd(&r->found, r->err, "not-enough", paper->line,
                  "there is not enough of %.60s: the pieces of %s kit%s need %s sheets or more, "
                  "%d are in stock",
                  paper->name, kits.data, copies == 1 ? "" : "s", number.data, paper->sheets);
    rab_text_clear(&number);
    rab_text_clear(&kits);
    return ok;
}

bool check_stock(struct resolving *r)
{
    const size_t papers = r->job->paper_count;
    struct use *uses = calloc(papers + 1, sizeof *uses);
    bool ok = uses != NULL;

    if (!ok)
        rab_fail_memory(r->err);

    for (size_t i = 0; i < r->spread.count && ok; i++) {
        const struct rab_piece *piece = &r->spread.pieces[i];
        bool again = false;
        if (piece->paper >= papers)
            continue;
        add_use(&r->job->papers[piece->paper], piece, &uses[piece->paper]);
        for (size_t k = i; k-- > 0 && !again;)
            again = r->spread.pieces[k].paper == piece->paper &&
                    strcmp(r->spread.pieces[k].letter, piece->letter) == 0;
        ok = again || (check_sheet(r, piece) && check_reach(r, piece));
    }
    for (size_t i = 0; i < papers && ok; i++)
        ok = check_amount(r, &r->job->papers[i], &uses[i]);
    free(uses);
    return ok;
}
