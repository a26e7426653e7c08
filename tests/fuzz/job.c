/* Job files from any bytes. Whatever comes: a job, or errors that each have a line and words. */
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

static bool is_error(const struct rab_warning *note)
{
    return strcmp(note->code, "error") == 0;
}

static void check_errors(const struct rab_error *err, const struct rab_warnings *notes)
{
    int line = err->line;

    if (err->fault != RAB_FAULT_INPUT || err->line < 1 || err->text[0] == '\0')
        fail("a job is refused without a line or words");
    if (notes->count > 101)
        fail("too many errors at once");
    for (size_t i = 0; i < notes->count; i++) {
        if (notes->items[i].line < 1 || notes->items[i].text[0] == '\0')
            fail("an error has no line or no words");
        if (!is_error(&notes->items[i]))
            continue;
        if (notes->items[i].line < line)
            fail("errors are not in the order of their lines");
        line = notes->items[i].line;
    }
}

/* What every job that was read can rely on. */
static void check_job(const struct rab_job *job, const struct rab_warnings *notes)
{
    for (size_t i = 0; i < notes->count; i++)
        if (is_error(&notes->items[i]))
            fail("a job with errors was read");
    if (job->paper_count == 0 || job->kits < 1 || !(job->spare >= 0))
        fail("a job without papers, or of no kits");
    for (size_t i = 0; i < job->paper_count; i++)
        if (!job->papers[i].name || !(job->papers[i].width > 0 && job->papers[i].height > 0))
            fail("a paper without name or size");
    for (size_t p = 0; p < RAB_PAGES; p++)
        for (size_t i = 0; i < job->pages[p].item_count; i++)
            if (job->pages[p].items[i].paper >= job->paper_count || job->pages[p].items[i].line < 1)
                fail("an item of a paper that is not there, or without its line");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct rab_error err = {0};
    struct rab_warnings notes = {0};
    struct rab_job job = {0};

    if (rab_job_read((const char *)data, size, &job, &notes, &err))
        check_job(&job, &notes);
    else
        check_errors(&err, &notes);
    rab_job_clear(&job);
    rab_warnings_clear(&notes);
    return 0;
}
