/* rabbet check: a job file read and checked, nothing written. */
#include "cli.h"

#include <stdlib.h>

static const struct option *const options[] = {&option_outside, &option_library, &option_web,
                                               &option_units, NULL};

static const struct example examples[] = {
    {"Does everything fit?", "check walk.xml"},
    {"With drawings and shapes that lie elsewhere:",
     "check walk.xml --outside --library my-shapes"},
    {"What would be made, in inches first:", "check walk.xml --units in"},
    {NULL, NULL}};

static bool check(struct arguments *arguments, struct rab_text *said, struct rab_error *err);

const struct command check_command = {
    .name = "check",
    .operand = "JOB",
    .summary = "Read a job file and tell what does not fit.",
    .about =
        "Reads the job file of a spread and works out every piece: what lies beyond the page, "
        "hides a "
        "photo, would show, does not fit or is not there is told, all at once, each with its line. "
        "Nothing is written; 'rabbet make' makes the files.",
    .options = options,
    .examples = examples,
    .run = check,
};

static bool check(struct arguments *arguments, struct rab_text *said, struct rab_error *err)
{
    struct spread spread = {0};
    int units = 0;
    const bool ok = option_choice(arguments, "units", &units, err) &&
                    read_spread(arguments, &spread, err) &&
                    work_out_spread(arguments, USUAL_GAP, &spread, err);

    if (ok)
        say_spread(&spread, option_given(arguments, "units") ? units == 1 : spread.job.inches,
                   said);
    spread_clear(&spread);
    return ok;
}
