#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>

void rab_spread_clear(struct rab_spread *spread)
{
    for (size_t i = 0; i < spread->count; i++)
        piece_clear(&spread->pieces[i]);
    free(spread->pieces);
    free(spread->recovered);
    *spread = (struct rab_spread){0};
}

bool resolve_paper(struct resolving *r, size_t paper, int line, const char *what, bool *known)
{
    *known = paper < r->job->paper_count;
    return *known || found_wrong(&r->found, r->err, RAB_FAULT_INPUT, line,
                                 "the paper of the %s is not declared; declare it as a paper of "
                                 "the job",
                                 what);
}

/* ---- putting pieces on the page -------------------------------------------------------- */

bool resolve_put(struct resolving *r, const struct rab_item *item, struct made *made)
{
    struct rab_spread *spread = &r->spread;
    void *pieces = spread->pieces, *leaves = r->leaves;

    if (spread->count + made->count > RESOLVE_MOST_PIECES)
        return rab_fail_line(r->err, RAB_FAULT_INPUT, item->line,
                             "the spread has more than %d pieces; give fewer", RESOLVE_MOST_PIECES);
    if (!rab_reserve(&pieces, &spread->capacity, spread->count + made->count,
                     sizeof *spread->pieces, r->err))
        return false;
    spread->pieces = pieces;
    if (!rab_reserve(&leaves, &r->leaf_capacity, r->leaf_count + 1, sizeof *r->leaves, r->err))
        return false;
    r->leaves = leaves;
    r->leaves[r->leaf_count++] =
        (struct leaf){.item = item,
                      .page = r->page,
                      .first = spread->count,
                      .count = made->count,
                      .box = made_bounds(made),
                      .raised = lift_together(r->raised, item->raised),
                      .tool = item->tool != RAB_TOOL_USUAL ? item->tool : r->tool};
    for (size_t i = 0; i < made->count; i++) {
        struct rab_piece *piece = &spread->pieces[spread->count++];
        *piece = made->pieces[i];
        piece->page = r->page;
        /* ruled lines are printed with the words */
        piece->rectangle = region_is_rectangle(&piece->region) &&
                           (piece->path_count == 0 || piece->kind == RAB_PIECE_TEXT);
    }
    made->count = 0;
    return true;
}

bool resolve_afford(struct resolving *r)
{
    /* A few seconds' worth. */
    static const size_t most_work = 4000000;

    return r->work <= most_work ||
           rab_fail(r->err, RAB_FAULT_INPUT,
                    "too many pieces of the spread lie on each other to be checked; give fewer");
}

bool resolve_overlap(struct resolving *r, const struct rab_region *a, const struct rab_region *b,
                     struct overlap *out)
{
    if (!region_overlap(a, b, out, r->err))
        return false;
    r->work += out->work;
    return resolve_afford(r);
}

/* ---- tools ----------------------------------------------------------------------------- */

static enum rab_tool usual_tool(const struct rab_job *job, const struct rab_piece *piece)
{
    if (piece->rectangle && job->trimmer)
        return RAB_TOOL_TRIMMER;
    return job->cutter && piece->kind != RAB_PIECE_PHOTO ? RAB_TOOL_CUTTER : RAB_TOOL_HAND;
}

/* A tool that is asked for cuts of the item what it can. */
static enum rab_tool tool_for(const struct rab_job *job, const struct rab_piece *piece,
                              enum rab_tool asked)
{
    switch (asked) {
    case RAB_TOOL_TRIMMER:
        return piece->rectangle ? RAB_TOOL_TRIMMER : usual_tool(job, piece);
    case RAB_TOOL_CUTTER:
        return piece->kind == RAB_PIECE_PHOTO ? usual_tool(job, piece) : RAB_TOOL_CUTTER;
    case RAB_TOOL_HAND:
        return RAB_TOOL_HAND;
    case RAB_TOOL_USUAL:
        break;
    }
    return usual_tool(job, piece);
}

static bool check_tool(struct resolving *r, const struct leaf *leaf)
{
    const enum rab_tool tool = leaf->tool;
    bool rectangle = false;

    for (size_t i = 0; i < leaf->count; i++) {
        const struct rab_piece *piece = &r->spread.pieces[leaf->first + i];
        rectangle = rectangle || piece->rectangle || piece->kind == RAB_PIECE_PANEL;
    }
    if (tool == RAB_TOOL_CUTTER && !r->job->cutter)
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, leaf->item->line,
                           "the %s is to be cut with a cutter, and the job has none; add a cutter, "
                           "or cut it by hand",
                           item_name(leaf->item).text);
    if (tool == RAB_TOOL_TRIMMER && !r->job->trimmer)
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, leaf->item->line,
                           "the %s is to be cut with a trimmer, and the job has none; add a "
                           "trimmer, or cut it by hand",
                           item_name(leaf->item).text);
    return leaf->item->tool != RAB_TOOL_TRIMMER || rectangle ||
           found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, leaf->item->line,
                       "the %s is to be cut with a trimmer, which cuts rectangles only; cut it "
                       "with a cutter or by hand",
                       item_name(leaf->item).text);
}

static bool give_tools(struct resolving *r)
{
    for (size_t i = 0; i < r->leaf_count; i++) {
        const struct leaf *leaf = &r->leaves[i];
        if (!check_tool(r, leaf))
            return false;
        for (size_t k = leaf->first; k < leaf->first + leaf->count; k++)
            r->spread.pieces[k].tool = tool_for(r->job, &r->spread.pieces[k], leaf->tool);
    }
    return true;
}

/* ---- the whole ------------------------------------------------------------------------- */

static bool in_length(double mm, double least)
{
    return mm >= least && mm <= RESOLVE_LARGEST;
}

static bool check_paper(struct resolving *r, const struct rab_paper *paper)
{
    bool ok = in_length(paper->width, 1e-3) && in_length(paper->height, 1e-3) &&
              in_length(paper->thickness, 0) && paper->sheets >= 0;

    for (size_t i = 0; i < paper->offcut_count; i++)
        ok = ok && in_length(paper->offcuts[i].width, 1e-3) &&
             in_length(paper->offcuts[i].height, 1e-3) && paper->offcuts[i].count >= 0;
    if (!paper->name)
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, paper->line,
                           "a paper has no name; give it one");
    return ok || found_wrong(&r->found, r->err, RAB_FAULT_INPUT, paper->line,
                             "a measure of the paper %s is out of range; give a sheet's width and "
                             "height as measured",
                             paper->name);
}

static bool check_bed(struct resolving *r, const struct rab_bed *bed)
{
    const bool ok = in_length(bed->width, 0) && in_length(bed->height, 0) &&
                    in_length(bed->left, 0) && in_length(bed->right, 0) &&
                    in_length(bed->bottom, 0) && in_length(bed->top, 0) &&
                    (bed->width == 0 || bed->left + bed->right < bed->width) &&
                    (bed->height == 0 || bed->bottom + bed->top < bed->height);

    return ok || found_wrong(&r->found, r->err, RAB_FAULT_INPUT, 0,
                             "the margins leave nothing of the cutter's bed; give the size of the "
                             "bed, and margins that its knife or beam cannot reach");
}

static bool check_job(struct resolving *r)
{
    const struct rab_job *job = r->job;

    if (job->kits < 0 || job->kits > 1000000 || !(job->spare >= 0 && job->spare <= 100))
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, 0,
                           "the number of kits or what is spare is out of range; give 1 kit or "
                           "more and 0 percent or more");
    if (!check_bed(r, &job->bed))
        return false;
    for (size_t i = 0; i < job->paper_count; i++) {
        if (!check_paper(r, &job->papers[i]))
            return false;
    }
    return true;
}

static bool check_measures(struct resolving *r, const struct rab_page *page, bool *sound)
{
    static const double widest = 2000; /* of a picture, RAB_VIEW_WIDEST */

    if (page->width > widest || page->height > widest)
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, page->line,
                           "the page is larger than 2000 mm; give its size as measured") &&
               resolve_paper(r, page->paper, page->line, "page", &(bool){false});
    *sound = in_length(page->width, 1) && in_length(page->height, 1) && page->margin >= 0 &&
             2 * page->margin < fmin(page->width, page->height);
    return (*sound || found_wrong(&r->found, r->err, RAB_FAULT_INPUT, page->line,
                                  "the page's margins leave nothing of it; give its size, and "
                                  "margins of less than half of it")) &&
           resolve_paper(r, page->paper, page->line, "page", &(bool){false});
}

static bool resolve(struct resolving *r)
{
    if (!check_job(r))
        return false;
    for (r->page = 0; r->page < RAB_PAGES; r->page++) {
        const struct rab_page *page = &r->job->pages[r->page];
        bool sound = false;
        if (!page->there)
            continue;
        if (!check_measures(r, page, &sound) ||
            (sound && !place_items(r, page->items, page->item_count)))
            return false;
    }
    return hollow_panels(r) && lift_pieces(r) && give_tools(r) && letters_give(r) &&
           check_leaves(r) && check_stock(r);
}

bool rab_job_resolve(const struct rab_job *job, const struct rab_library *library,
                     rab_job_file *file, void *context, struct rab_spread *out,
                     struct rab_warnings *notes, struct rab_error *err)
{
    struct resolving r = {
        .job = job, .library = library, .file = file, .context = context, .err = err};
    const bool ok = resolve(&r) && findings_tell(&r.found, notes, err);

    if (ok) {
        *out = r.spread;
        r.spread = (struct rab_spread){0};
    }
    rab_spread_clear(&r.spread);
    free(r.leaves);
    findings_clear(&r.found);
    return ok;
}
