/* Lack of memory at one allocation after another while jobs are worked out: reported, and nothing
 * leaks. */
#include "spreads.h"

#include "scarce.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <string.h>

TestSuite(lack, .init = spreads_open, .fini = spreads_close);

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

static bool lay(const struct rab_job *job, const struct rab_spread *spread, struct rab_error *err)
{
    struct rab_laying laying = {0};
    struct rab_outline out = {0};
    const bool ok = rab_spread_lay(job, spread, 0, RAB_TOOL_CUTTER, 3, &laying, err) &&
                    (laying.count == 0 ||
                     rab_laid_outline(&laying.items[0], &laying.items[0].piece->region.outlines[0],
                                      true, 300, &out, err));

    rab_outline_clear(&out);
    rab_laying_clear(&laying);
    return ok;
}

static void run_short(const char *text, bool sound)
{
    struct rab_job job = {0};
    struct rab_error first = {0};

    cr_assert(rab_job_read(text, strlen(text), &job, NULL, &first), "%s", first.text);
    for (size_t granted = 0;; granted++) {
        struct rab_spread spread = {0};
        struct rab_warnings notes = {0};
        struct rab_error err = {0};

        scarce_begin(granted);
        const bool ok =
            rab_job_resolve(&job, spreads_library, square_frame, NULL, &spread, &notes, &err) &&
            lay(&job, &spread, &err);
        rab_spread_clear(&spread);
        rab_warnings_clear(&notes);
        const bool refused = scarce_end();
        cr_assert(scarce_held() == 0, "%ld allocations are left after %zu", scarce_held(), granted);
        if (!refused) {
            cr_assert(eq(int, ok, sound), "%s", err.text);
            break;
        }
        cr_assert(not(ok), "allocation %zu refused, and nobody noticed", granted);
        cr_assert(err.fault == RAB_FAULT_MEMORY || !sound, "%s", err.text);
    }
    rab_job_clear(&job);
}

Test(lack, photos_and_panels, .timeout = 100)
{
    run_short(
        ON_PAGE("<panel name='low' paper='amber' width='10' height='10' hidden-centre='1/2'/>\n"
                "<row gutter='1/4'><photo name='a' width='3' height='2'>"
                "<mat paper='night' reveal='1/8' style='rounded'/>"
                "<mat paper='mist' reveal='1/4'/></photo>"
                "<panel paper='night' width='3' height='3'/></row>"),
        true);
}

Test(lack, grids, .timeout = 100)
{
    run_short(ON_PAGE("<grid gutter='1/4'><row><photo name='a' proportion='3:2'>"
                      "<mat paper='night' reveal='1/8'/></photo><photo name='b' proportion='1:1'/>"
                      "</row><row><photo name='c' width='3' height='2'/></row>"
                      "<fill paper='amber'/></grid>"),
              true);
}

Test(lack, frames, .timeout = 100)
{
    run_short(ON_PAGE("<frame name='f' paper='night' file='f.svg' x='1' y='1'>"
                      "<back papers='amber'/></frame>\n"
                      "<frame name='g' paper='night' file='f.svg' x='6' y='6'><show opening='1'>"
                      "<photo name='face' width='50mm' height='50mm'/></show></frame>"),
              true);
}

Test(lack, strips_and_words, .timeout = 100)
{
    run_short(ON_PAGE("<strip name='foot' paper='amber' motif='scallop' length='3' width='1' "
                      "pitch='1' y='1'><behind paper='night' reveal='1/8'/></strip>\n"
                      "<text name='walk' paper='mist' width='4' height='1' ruled='1/4'/>\n"
                      "<text name='word' paper='mist' width='4' height='1' strips='1/2' top='1'>We "
                      "met at dusk</text>"),
              true);
}

/* With something wrong on every line. */
Test(lack, what_is_wrong, .timeout = 100)
{
    run_short(ON_PAGE("<panel name='mole' paper='amber' width='4' height='2' x='10'/>\n"
                      "<photo name='pier' width='6' height='4' crop-left='7'/>\n"
                      "<strip name='foot' paper='amber' motif='scalop' length='6' width='1'/>\n"
                      "<frame name='f' paper='night' file='f.svg'><leave openings='9'/></frame>\n"
                      "<photo name='boat' width='6' height='4' pixels='60x40'/>"),
              false);
}
