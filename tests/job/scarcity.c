/* When memory is out: every allocation of reading a job is refused in turn, and each time there is
 * an ordinary error and nothing is left over. */
#include "rabbet/job.h"
#include "scarce.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <stdlib.h>
#include <string.h>

static void read_seed(const char *name, struct rab_text *out)
{
    struct rab_text path = {0};
    struct rab_error err = {0};

    rab_text_format(&path, "%s/%s", getenv("JOB_SEEDS"), name);
    cr_assert(rab_file_read(path.data, 1 << 20, out, &err), "%s", err.text);
    rab_text_clear(&path);
}

/* The job with so many allocations: was that enough? */
static bool attempt(const struct rab_text *text, size_t granted, bool good)
{
    struct rab_warnings notes = {0};
    struct rab_error err = {0};
    struct rab_job job = {0};
    bool ok, refused;
    long held;

    scarce_begin(granted);
    ok = rab_job_read(text->data, text->length, &job, &notes, &err);
    rab_job_clear(&job);
    rab_warnings_clear(&notes);
    held = scarce_held();
    refused = scarce_end();
    cr_assert(eq(long, held, 0), "%zu allocations", granted);
    cr_assert(eq(int, ok, good && !refused), "%zu allocations: %s", granted, err.text);
    if (refused)
        cr_assert(eq(int, (int)err.fault, (int)RAB_FAULT_MEMORY), "%zu: %s", granted, err.text);
    return !refused;
}

static void try_all(const char *name, bool good)
{
    struct rab_text text = {0};
    size_t granted = 0;

    read_seed(name, &text);
    while (!attempt(&text, granted, good))
        granted++;
    cr_expect(gt(sz, granted, 30));
    rab_text_clear(&text);
}

Test(job_scarcity, good_job)
{
    try_all("whole.xml", true);
}

Test(job_scarcity, job_with_faults)
{
    try_all("faults.xml", false);
}
