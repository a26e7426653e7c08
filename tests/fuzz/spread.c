/* Spreads from any job file that can be read. Whatever comes: pieces that hold together, or errors
 * with words. */
#include "rabbet/job.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void fail(const char *words)
{
    fprintf(stderr, "%s\n", words);
    abort();
}

/* A drawing: a square with a square opening. */
static bool square_frame(void *context, const char *path, struct rab_region *out,
                         struct rab_error *err)
{
    struct rab_outline outlines[2] = {{0}};
    const bool ok = rab_outline_rectangle((struct rab_box){0, 0, 60, 60}, 0, &outlines[0], err) &&
                    rab_outline_rectangle((struct rab_box){10, 10, 50, 50}, 0, &outlines[1], err) &&
                    rab_region_fill(outlines, 2, RAB_FILL_EVENODD, out, err);

    (void)context;
    (void)path;
    rab_outline_clear(&outlines[0]);
    rab_outline_clear(&outlines[1]);
    return ok;
}

/* Pieces of one letter are of one paper and size. */
static void check_letters(const struct rab_spread *spread, size_t index)
{
    const struct rab_piece *piece = &spread->pieces[index];

    for (size_t i = 0; i < index; i++) {
        const struct rab_piece *other = &spread->pieces[i];
        const double area = rab_region_area(&piece->region);
        if (strcmp(other->letter, piece->letter) != 0)
            continue;
        if (other->paper != piece->paper ||
            !(rab_region_area(&other->region) - area <= 1e-2 + 1e-6 * area &&
              area - rab_region_area(&other->region) <= 1e-2 + 1e-6 * area))
            fail("two pieces of one letter differ");
        return;
    }
}

static void check_piece(const struct rab_job *job, const struct rab_spread *spread, size_t index)
{
    const struct rab_piece *piece = &spread->pieces[index];
    struct rab_error err = {0};

    if (!rab_region_check(&piece->region, &err) || piece->region.count == 0)
        fail("a piece is no region");
    if (!piece->what || !piece->item || piece->letter[0] == '\0' || piece->height < 0 ||
        piece->tool == RAB_TOOL_USUAL || (piece->page != RAB_LEFT && piece->page != RAB_RIGHT))
        fail("a piece is not whole");
    if (piece->kind == RAB_PIECE_PHOTO ? piece->paper != (size_t)-1
                                       : piece->paper >= job->paper_count)
        fail("a piece is of no paper");
    check_letters(spread, index);
}

/* Setting words is slow, and the library that finds fonts keeps what it once allocated. */
static void leave_out_words(struct rab_job *job)
{
    for (size_t p = 0; p < RAB_PAGES; p++) {
        for (size_t i = 0; i < job->pages[p].item_count; i++) {
            free(job->pages[p].items[i].words);
            job->pages[p].items[i].words = NULL;
        }
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct rab_library *library;
    struct rab_job job = {0};
    struct rab_spread spread = {0};
    struct rab_warnings notes = {0};
    struct rab_error err = {0};

    if (!library && !rab_library_open(NULL, 0, &library, NULL, &err))
        fail(err.text);
    if (rab_job_read((const char *)data, size, &job, NULL, &err)) {
        leave_out_words(&job);
        if (rab_job_resolve(&job, library, square_frame, NULL, &spread, &notes, &err)) {
            for (size_t i = 0; i < spread.count; i++)
                check_piece(&job, &spread, i);
            for (size_t i = 0; i < notes.count; i++)
                if (strcmp(notes.items[i].code, "error") == 0)
                    fail("a job with errors was made");
        } else if (err.fault == RAB_FAULT_NONE || err.text[0] == '\0' || spread.pieces) {
            fail("a job is refused without words, or half made");
        }
    }
    rab_spread_clear(&spread);
    rab_job_clear(&job);
    rab_warnings_clear(&notes);
    return 0;
}
