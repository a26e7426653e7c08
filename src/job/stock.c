/* Do the pieces fit their sheets, and is there enough of each paper? */
#include "job/lay.h"
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

/* ---- each piece ------------------------------------------------------------------------ */

static bool check_fit(struct resolving *r, const struct rab_piece *piece)
{
    struct rab_error failure = {0};
    struct rab_box box;
    bool turned;

    return lay_fit(r->job, piece, &box, &turned, &failure) ||
           found_failure(&r->found, r->err, &failure, failure.line, NULL);
}

/* ---- all of a paper -------------------------------------------------------------------- */

struct use {
    double pieces, area;
    double large; /* rectangles of which no two lie on one sheet */
};

static void add_use(const struct rab_paper *paper, const struct rab_piece *piece, struct use *use)
{
    const struct size size = size_of(piece);

    use->pieces++;
    use->area += rab_region_area(&piece->region);
    use->large += piece->rectangle &&
                  fmin(size.width, size.height) > fmax(paper->width, paper->height) / 2 + spare;
}

/* A lower bound: by area, and by pieces that need a sheet each. */
static bool check_amount(struct resolving *r, size_t index, const struct use *use)
{
    const struct rab_paper *paper = &r->job->papers[index];
    const double copies = rab_job_copies(r->job);
    double area = use->area * copies, large = use->large * copies;

    for (size_t i = 0; i < paper->offcut_count; i++) {
        const struct rab_stock *offcut = &paper->offcuts[i];
        area -= offcut->width * offcut->height * offcut->count;
        large -= fmin(offcut->width, offcut->height) > fmax(paper->width, paper->height) / 2
                     ? offcut->count
                     : 0;
    }
    struct rab_error failure = {0};
    if (!lay_count(r->job, index, use->pieces * copies, &failure) &&
        !found_failure(&r->found, r->err, &failure, failure.line, NULL))
        return false;
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
        ok = again || check_fit(r, piece);
    }
    for (size_t i = 0; i < papers && ok; i++)
        ok = check_amount(r, i, &uses[i]);
    free(uses);
    return ok;
}
