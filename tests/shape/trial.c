#include "trial.h"

#include <math.h>
#include <string.h>

/* An ellipse is drawn within 0.01 mm, so that two of them may come that much nearer each. */
static double slack_of(const struct reading *reading)
{
    return reading->rounded ? 0.021 : 1e-6;
}

/* Messages address the maker: "give at most 40 mm", "choose ...". */
static bool says_what_to_do(const char *message)
{
    static const char *const words[] = {"give", "choose", "take", "use", "leave"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strstr(message, words[i]))
            return true;
    return false;
}

enum outcome judge_refusal(struct reading *reading, bool drawn, const struct rab_error *err,
                           struct verdict *verdict)
{
    const struct demand *broken = reading_broken(reading);

    if (drawn && !broken)
        return ACCEPTED;
    if (drawn)
        wrong(verdict, "drawn, although the file's line %ld demands otherwise",
              xmlGetLineNo(broken->node));
    else if (!broken)
        wrong(verdict, "not drawn, although the file demands nothing else: %s", err->text);
    else if (err->fault != RAB_FAULT_INPUT)
        wrong(verdict, "refused with another fault than INPUT: %s", err->text);
    else if (!says_what_to_do(err->text))
        wrong(verdict, "the message does not say what to give: %s", err->text);
    else
        switch (reading_says(reading, broken, err->text)) {
        case SAYS_IT:
            return REFUSED;
        case SAYS_OTHERWISE:
            wrong(verdict, "refused in other words than those of line %ld: %s",
                  xmlGetLineNo(broken->node), err->text);
            break;
        case SAYS_WRONG_VALUE:
            wrong(verdict, "a value in the message is not right, or would be refused: %s",
                  err->text);
            break;
        }
    return WRONG;
}

enum outcome try_shape(struct trial *trial, const double *values, bool full,
                       struct verdict *verdict)
{
    struct reading *reading = &trial->reading;
    struct rab_figure figure = {0}, again = {0};
    struct rab_text svg = {0}, svg_again = {0};
    struct rab_error err = {0};
    enum outcome outcome = WRONG;

    if (!reading_set(reading, values, 0, 1)) {
        wrong(verdict, "the test cannot read the file: %s", reading->fault);
        return WRONG;
    }
    const bool drawn = rab_shape_draw(trial->library, trial->shape, values, 0, &figure, &err);
    outcome = judge_refusal(reading, drawn, &err, verdict);
    if (outcome != ACCEPTED)
        goto done;
    outcome = WRONG;
    if (figure.paper.count == 0) {
        wrong(verdict, "no paper");
        goto done;
    }
    if (!judge_region(trial->truth, &figure.paper, verdict) ||
        !judge_promises(reading, &figure, slack_of(reading), verdict) ||
        !judge_paths(reading, &figure, slack_of(reading), verdict))
        goto done;
    if (full) {
        if (!judge_svg(&figure, &svg, verdict))
            goto done;
        if (!rab_shape_draw(trial->library, trial->shape, values, 0, &again, &err) ||
            !same_figure(&figure, &again) || !judge_svg(&again, &svg_again, verdict) ||
            svg.length != svg_again.length || memcmp(svg.data, svg_again.data, svg.length) != 0) {
            wrong(verdict, "another one when drawn again");
            goto done;
        }
    }
    outcome = ACCEPTED;
done:
    rab_text_clear(&svg);
    rab_text_clear(&svg_again);
    rab_figure_clear(&figure);
    rab_figure_clear(&again);
    return outcome;
}
