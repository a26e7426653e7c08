/* How long a job of 40 kits of 60 pieces takes to be checked: 0.2 s at the most. */
#include "spreads.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

static double now(void)
{
    struct timespec time;

    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

/* A frame with 30 backings, nine matted photos in a grid, fillers, strips with layers, words. */
static const char job[] =
    "<job xmlns='urn:rabbet:job:1' units='in' kits='40' spare='5'>\n"
    "<paper name='night' colour='#2B3A55'/><paper name='amber' colour='#E3B04B'/>\n"
    "<paper name='mist' colour='#D8DEE4'/>\n<trimmer/><cutter/>\n"
    "<page side='left' paper='night'>\n"
    "<frame name='arcade' paper='mist' shape='rounds-grid'><leave every='6'/>"
    "<back papers='amber night mist'/></frame></page>\n"
    "<page side='right' paper='night' margin='1/2'>\n"
    "<grid gutter='1/8' height='8' top='1/2'>"
    "<row><photo proportion='3:2'><mat paper='amber' reveal='1/8'/></photo>"
    "<photo proportion='1:1'><mat paper='amber' reveal='1/8'/></photo>"
    "<photo proportion='2:3'><mat paper='amber' reveal='1/8'/></photo></row>"
    "<row><photo width='2 1/2' height='2'><mat paper='mist' reveal='1/8'/></photo>"
    "<photo width='2 1/2' height='2'><mat paper='mist' reveal='1/8'/></photo>"
    "<photo width='2' height='1 1/2'><mat paper='mist' reveal='1/8'/></photo></row>"
    "<row><photo width='2' height='2'/><photo width='3' height='2'/><photo width='2' height='2'/>"
    "</row><fill paper='night'/></grid>\n"
    "<strip paper='amber' motif='scallop' length='11' width='1/2' pitch='1/2' depth='1/8' y='5/8'>"
    "<behind paper='mist' reveal='1/16'/><behind paper='night' reveal='1/16'/></strip>\n"
    "<text paper='mist' width='4' height='2' strips='1/4' y='1 1/4'>a\nb\nc\nd\ne\nf\ng\nh</text>\n"
    "</page></job>\n";

int main(void)
{
    struct rab_error err = {0};
    double best = 1e9, opened = now();
    bool whole = true;

    if (!rab_library_open(NULL, 0, &spreads_library, NULL, &err)) {
        printf("%s\n", err.text);
        return 1;
    }
    opened = now() - opened;
    for (int i = 0; i < 10; i++) {
        struct outcome outcome = {0};
        const double begun = now();
        outcome.ok = rab_job_read(job, strlen(job), &outcome.job, &outcome.notes, &outcome.err) &&
                     rab_job_resolve(&outcome.job, spreads_library, NULL, NULL, &outcome.spread,
                                     &outcome.notes, &outcome.err);
        const double taken = now() - begun;
        best = taken < best ? taken : best;
        if (i == 0)
            printf("%zu pieces a kit%s%s\n", outcome.spread.count, outcome.ok ? "" : ": ",
                   outcome.err.text);
        whole = whole && outcome.ok && outcome.spread.count >= 60;
        rab_spread_clear(&outcome.spread);
        rab_job_clear(&outcome.job);
        rab_warnings_clear(&outcome.notes);
    }
    printf("library %.3f s, job %.3f s\n", opened, best);
    rab_library_close(spreads_library);
    return !whole || opened + best > 0.2;
}

struct rab_library *spreads_library;
