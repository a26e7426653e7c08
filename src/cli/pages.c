/* The pictures of a job's pages. */
#include "cli.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const uint32_t neutral = 0xC9CDD1; /* a photo that nobody has given */

struct rab_words words_of(const struct rab_item *item, const struct rab_job *job)
{
    return (struct rab_words){.text = item->words,
                              .font = item->font,
                              .width = item->width,
                              .height = item->height,
                              .size = item->size,
                              .align = item->align,
                              .strips = item->strips,
                              .ruled = item->ruled,
                              .ink = rab_paper_ink(job->papers[item->paper].colour)};
}

static bool add_photo(const struct arguments *arguments, struct rab_view *view,
                      const struct rab_piece *piece, struct rab_error *err)
{
    const struct rab_item *item = piece->item;
    const struct rab_box box = rab_region_box(&piece->region);
    /* the print before it was trimmed */
    const struct rab_box print = {box.x0 - item->crop_left, box.y0 - item->crop_bottom,
                                  box.x1 + item->crop_right, box.y1 + item->crop_top};
    struct rab_text path = {0}, bytes = {0};
    bool ok;

    if (!item->image)
        return rab_view_photo(view, &piece->region, item->colour ? item->colour : neutral,
                              item->name, piece->height, err);
    ok = spread_path(arguments, item->image, &path, err) &&
         rab_file_read(path.data, RAB_READ_LIMIT, &bytes, err) &&
         rab_view_image(view, &piece->region, print, bytes.data, bytes.length, piece->height, err);
    rab_text_clear(&path);
    rab_text_clear(&bytes);
    return ok;
}

/* The words of a block, once its paper lies there: that of its last strip. */
static bool add_words(const struct rab_job *job, struct rab_view *view,
                      const struct rab_spread *made, size_t index, struct rab_error *err)
{
    const struct rab_item *item = made->pieces[index].item;
    const struct rab_words words = words_of(item, job);
    size_t first = index;

    if (index + 1 < made->count && made->pieces[index + 1].item == item)
        return true;
    while (first > 0 && made->pieces[first - 1].item == item)
        first--;
    const struct rab_box box = rab_region_box(&made->pieces[first].region);
    return rab_view_words(view, &words, (struct rab_point){box.x0, box.y1 - item->height}, err);
}

static bool add_piece(const struct arguments *arguments, const struct spread *spread,
                      struct rab_view *view, size_t index, struct rab_error *err)
{
    const struct rab_piece *piece = &spread->made.pieces[index];
    const struct rab_job *job = &spread->job;

    if (piece->kind == RAB_PIECE_PHOTO)
        return add_photo(arguments, view, piece, err);
    if (!rab_view_paper(view, &piece->region, job->papers[piece->paper].colour, piece->height, err))
        return false;
    /* the lines of a ruled block come with its words */
    for (size_t i = 0; i < piece->path_count && piece->kind != RAB_PIECE_TEXT; i++)
        if (!rab_view_line(view, &piece->paths[i].outline, piece->paths[i].operation, err))
            return false;
    return piece->kind != RAB_PIECE_TEXT || add_words(job, view, &spread->made, index, err);
}

/* Dots to the inch: what looks well in print, fewer where pages are very large. */
static double choose_dpi(const struct rab_job *job)
{
    static const double usual = 150, large = 600;
    double longest = large;

    for (int side = 0; side < RAB_PAGES; side++)
        if (job->pages[side].there)
            longest = fmax(longest, fmax(job->pages[side].width, job->pages[side].height));
    return usual * large / longest;
}

bool fill_views(const struct arguments *arguments, struct spread *spread, struct rab_error *err)
{
    const struct rab_job *job = &spread->job;

    for (int side = 0; side < RAB_PAGES; side++) {
        const struct rab_page *page = &job->pages[side];
        if (page->there)
            spread->views[side] = (struct rab_view){.width = page->width,
                                                    .height = page->height,
                                                    .dpi = choose_dpi(job),
                                                    .colour = job->papers[page->paper].colour};
    }
    for (size_t i = 0; i < spread->made.count; i++) {
        const struct rab_piece *piece = &spread->made.pieces[i];
        struct rab_error fault = {0};
        if (!add_piece(arguments, spread, &spread->views[piece->page], i, &fault))
            return rab_fail_line(err, fault.fault, piece->line, "%.80s: %.150s",
                                 piece->kind == RAB_PIECE_PHOTO && piece->item->image
                                     ? piece->item->image
                                     : piece->what,
                                 fault.text);
    }
    return true;
}

/* Backings are placed by their openings and are not measured. */
static bool draw_plan(struct arguments *arguments, const struct spread *spread, int side,
                      const char *folder, bool in_first, struct rab_error *err)
{
    static const char *const names[RAB_PAGES] = {"left-plan", "right-plan"};
    const struct rab_page *page = &spread->job.pages[side];
    struct rab_text title = {0}, bytes = {0}, name = {0};
    struct rab_page_plan plan = {
        .width = page->width, .height = page->height, .in_first = in_first};
    bool ok = false;

    rab_text_format(&title, "%s%s%s page", spread->job.title ? spread->job.title : "",
                    spread->job.title ? ", " : "", side == RAB_LEFT ? "left" : "right");
    if (!rab_text_ok(&title, err))
        goto done;
    plan.title = title.data;
    for (size_t i = 0; i < spread->made.count; i++) {
        const struct rab_piece *piece = &spread->made.pieces[i];
        if (piece->page == side &&
            !rab_page_plan_add(&plan, &piece->region, piece->letter, piece->what,
                               piece->kind != RAB_PIECE_BACKING, err))
            goto done;
    }
    for (size_t i = 0; i < spread->looks[side].count; i++)
        if (!rab_page_plan_mark(&plan, spread->looks[side].items[i].at, err))
            goto done;
    rab_text_format(&name, "%s.png", names[side]);
    if (!rab_text_ok(&name, err) || !rab_page_plan_png(&plan, 0, &bytes, err) ||
        !add_output(arguments, folder, name.data, &bytes, err))
        goto done;
    rab_text_clear(&name);
    rab_text_format(&name, "%s.pdf", names[side]);
    ok = rab_text_ok(&name, err) && rab_page_plan_pdf(&plan, &bytes, err) &&
         add_output(arguments, folder, name.data, &bytes, err);
done:
    rab_page_plan_clear(&plan);
    rab_text_clear(&title);
    rab_text_clear(&bytes);
    rab_text_clear(&name);
    return ok;
}

static bool add_picture(struct arguments *arguments, const struct rab_view *views, size_t count,
                        const char *folder, const char *name, struct rab_error *err)
{
    struct rab_text bytes = {0};
    const bool ok =
        rab_view_png(views, count, &bytes, err) && add_output(arguments, folder, name, &bytes, err);

    rab_text_clear(&bytes);
    return ok;
}

bool draw_pages(struct arguments *arguments, const struct spread *spread, const char *folder,
                bool in_first, struct rab_error *err)
{
    static const char *const names[RAB_PAGES] = {"left.png", "right.png"};
    const bool pages = is_wished(spread->job.files.pages, true);
    int count = 0;

    for (int side = 0; side < RAB_PAGES; side++) {
        if (!spread->job.pages[side].there)
            continue;
        if ((pages && !add_picture(arguments, &spread->views[side], 1, folder, names[side], err)) ||
            (is_wished(spread->job.files.plans, true) &&
             !draw_plan(arguments, spread, side, folder, in_first, err)))
            return false;
        count++;
    }
    return !pages || count < RAB_PAGES ||
           add_picture(arguments, spread->views, RAB_PAGES, folder, "spread.png", err);
}
