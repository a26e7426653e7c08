/* The judges of every.c find what is wrong: each is shown a fault that it must see. */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <libxml/parser.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "judge.h"

static struct rab_region region_of(const struct rab_outline *outlines, size_t count)
{
    struct rab_region region = {0};
    struct rab_error err = {0};
    cr_assert(rab_region_fill(outlines, count, RAB_FILL_EVENODD, &region, &err), "%s", err.text);
    return region;
}

/* A sheet of 100 x 60 with round openings of radius 8 about 20, 50 and 80. */
static struct rab_region strip_of_three(void)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 100, 60);
    for (int i = 0; i < 3; i++)
        add_circle(&list, 20 + 30 * i, 30, 8);
    struct rab_region region = region_of(list.items, list.count);
    shapes_clear(&list);
    return region;
}

static bool promised(const struct rab_figure *figure, const char *what, double value, bool least)
{
    struct reading *reading = calloc(1, sizeof *reading);
    struct verdict verdict = {""};
    cr_assert(reading != NULL);
    snprintf(reading->promises[0].what, sizeof reading->promises[0].what, "%s", what);
    reading->promises[0].value = value;
    reading->promises[0].least = least;
    reading->promise_count = 1;
    const bool good = judge_promises(reading, figure, 1e-6, &verdict);
    cr_expect_eq(good, verdict.text[0] == '\0');
    free(reading);
    return good;
}

Test(shape_judges, measures)
{
    /* By hand: webs 30 - 16, borders 20 - 8 and 30 - 8. */
    static const struct {
        const char *what;
        double value;
    } truths[] = {{"width", 100},
                  {"height", 60},
                  {"web", 14},
                  {"border", 12},
                  {"openings", 3},
                  {"pieces", 1},
                  {"area", 6000 - 192 * RAB_PI},
                  {"perimeter", 320 + 48 * RAB_PI}};
    struct rab_figure figure = {.paper = strip_of_three()};
    for (size_t i = 0; i < sizeof truths / sizeof *truths; i++) {
        cr_expect(promised(&figure, truths[i].what, truths[i].value, false), "%s", truths[i].what);
        cr_expect(not(promised(&figure, truths[i].what, truths[i].value + 0.01, false)));
        cr_expect(not(promised(&figure, truths[i].what, truths[i].value - 0.01, false)));
        cr_expect(promised(&figure, truths[i].what, truths[i].value - 1, true));
        cr_expect(not(promised(&figure, truths[i].what, truths[i].value + 1, true)));
    }
    cr_expect(not(promised(&figure, "web", NAN, false)));
    cr_expect(not(promised(&figure, "gap", 3, false))); /* one piece has none */
    rab_figure_clear(&figure);
}

/* Two pieces 5 apart, and in the first one's opening an island 2 from its edge. */
Test(shape_judges, gaps)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 40, 40);
    add_rectangle(&list, 45, 0, 60, 40);
    add_rectangle(&list, 10, 10, 30, 30);
    struct rab_figure figure = {.paper = region_of(list.items, list.count)};
    cr_expect(promised(&figure, "gap", 5, false));
    rab_figure_clear(&figure);
    add_rectangle(&list, 12, 13, 25, 27);
    figure.paper = region_of(list.items, list.count);
    cr_expect(promised(&figure, "gap", 2, false));
    shapes_clear(&list);
    rab_figure_clear(&figure);
}

/* A photo of 30 x 30 behind an opening of 20 x 20 in a sheet of 50 x 50, a little to the left. */
Test(shape_judges, places)
{
    struct shapes list = {0};
    add_rectangle(&list, 0, 0, 50, 50);
    add_rectangle(&list, 15, 15, 35, 35);
    struct rab_place place = {.name = "photo"};
    struct rab_error err = {0};
    cr_assert(rab_outline_rectangle((struct rab_box){9, 10, 39, 40}, 0, &place.outline, &err));
    struct rab_figure figure = {
        .paper = region_of(list.items, list.count), .places = &place, .place_count = 1};
    cr_expect(promised(&figure, "reveal", 9, false));
    cr_expect(not(promised(&figure, "reveal", 10, false)));
    cr_expect(promised(&figure, "overlap", 4, false));
    rab_outline_move(&place.outline, 8, 0); /* now the opening's left edge is beside it */
    cr_expect(promised(&figure, "overlap", 0, false));
    shapes_clear(&list);
    rab_region_clear(&figure.paper);
    rab_outline_clear(&place.outline);
}

static struct verdict region_verdict(const struct rab_region *region)
{
    struct truth truth;
    struct verdict verdict = {""};
    cr_assert(truth_open(&truth));
    cr_expect_eq(judge_region(&truth, region, &verdict), verdict.text[0] == '\0');
    truth_close(&truth);
    return verdict;
}

Test(shape_judges, regions)
{
    struct rab_region region = strip_of_three();
    struct verdict verdict = region_verdict(&region);
    cr_expect_eq(verdict.text[0], '\0', "%s", verdict.text);
    /* An opening over another; one moved out; one turned round; a vertex too many. */
    rab_outline_move(&region.outlines[1], 20, 0);
    cr_expect_neq(region_verdict(&region).text[0], '\0');
    rab_region_clear(&region);
    region = strip_of_three();
    rab_outline_reverse(&region.outlines[2]);
    cr_expect_neq(region_verdict(&region).text[0], '\0');
    rab_region_clear(&region);

    struct shapes list = {0};
    const struct rab_point corners[] = {{0, 0}, {30, 0}, {60, 0}, {60, 40}, {0, 40}};
    add_polygon(&list, 5, corners);
    size_t parent = RAB_NO_PARENT;
    const struct rab_region spare = {list.items, &parent, 1};
    cr_expect_neq(region_verdict(&spare).text[0], '\0');
    shapes_clear(&list);
}

Test(shape_judges, paths)
{
    struct reading *reading = calloc(1, sizeof *reading);
    struct rab_path path = {.operation = RAB_CREASE, .outline = {.open = true}};
    struct rab_figure figure = {.paper = strip_of_three(), .paths = &path, .path_count = 1};
    struct rab_error err = {0};
    struct verdict verdict = {""};

    cr_assert(reading != NULL);
    cr_assert(rab_outline_add(&path.outline, 0, 10, 0, &err));
    cr_assert(rab_outline_add(&path.outline, 100, 10, 0, &err));
    cr_expect(not(judge_paths(reading, &figure, 1e-6, &verdict)), "not in the file");
    reading->may[RAB_CREASE] = true;
    cr_expect(judge_paths(reading, &figure, 1e-6, &verdict), "%s", verdict.text);
    rab_outline_move(&path.outline, 1, 0);
    cr_expect(not(judge_paths(reading, &figure, 1e-6, &verdict)), "beside the paper");
    rab_outline_move(&path.outline, -1, 15);
    cr_expect(not(judge_paths(reading, &figure, 1e-6, &verdict)), "across the openings");
    rab_outline_move(&path.outline, 0, -15);
    reading->must[RAB_DRAW] = true;
    cr_expect(not(judge_paths(reading, &figure, 1e-6, &verdict)), "missing");
    rab_outline_clear(&path.outline);
    rab_region_clear(&figure.paper);
    free(reading);
}

Test(shape_judges, files)
{
    struct rab_figure figure = {.paper = strip_of_three()}, other = {.paper = strip_of_three()};
    struct rab_text svg = {0};
    struct verdict verdict = {""};
    cr_expect(judge_svg(&figure, &svg, &verdict), "%s", verdict.text);
    cr_expect(same_figure(&figure, &other));
    other.paper.outlines[1].vertices[0].x += 1e-12;
    cr_expect(not(same_figure(&figure, &other)));
    rab_text_clear(&svg);
    rab_figure_clear(&figure);
    rab_figure_clear(&other);
}

/* ---- the second reading of shape files ---- */

static void open_text(const char *body, const struct rab_shape *shape, struct reading *reading)
{
    char path[] = "/tmp/rabbet-reading-XXXXXX";
    const int file = mkstemp(path);
    cr_assert_geq(file, 0);
    FILE *out = fdopen(file, "w");
    fprintf(out, "<shape xmlns=\"urn:rabbet:shape:1\">%s</shape>", body);
    cr_assert_eq(fclose(out), 0);
    cr_assert(reading_open(path, shape, reading), "%s", reading->fault);
    unlink(path);
}

/* By hand, with the meanings that docs/shape-files.md gives. */
Test(shape_judges, expressions)
{
    static const struct {
        const char *text;
        double value;
    } cases[] = {
        {"1 + 2 * 3", 7},
        {"(1 + 2) * 3", 9},
        {"10 - 4 - 3", 3},
        {"24 / 4 / 2", 3},
        {"-2 ^ 2", -4},
        {"2 ^ 3 + 1", 9},
        {"3mm", 3},
        {"1/8in", 3.175},
        {"5 3/4in", 146.05},
        {"2 * 1/8in + 1cm", 16.35},
        {"72pt", 25.4},
        {"180deg", RAB_PI},
        {"6 / 4", 1.5},
        {"photo-width - web", 93},
        {"photo-width-2 * web", 86},
        {"if(web > 5mm, 1, 2)", 1},
        {"if(web > 5mm and not (web = 7mm), 1, 2)", 2},
        {"if(corner = 'cove', 1, 2)", 1},
        {"if(corner = 'round' or deep, 1, 2)", 1},
        {"min(3, 1, 2) + max(4, 9)", 10},
        {"mod(-1, 4)", 3},
        {"floor(-0.5) + ceil(0.2) + round(2.5)", 3},
        {"atan2(1, 1) - 45deg", 0},
        {"hypot(3mm, 4mm) * sqrt(4) * abs(-1)", 10},
        {"rad(90deg) * 2 / pi", 1},
    };
    static const struct rab_choice corners[] = {{"round", ""}, {"cove", ""}};
    static const struct rab_parameter parameters[] = {
        {"photo-width", "", RAB_LENGTH, 100, 1, 200, NULL, 0},
        {"web", "", RAB_LENGTH, 7, 1, 20, NULL, 0},
        {"corner", "", RAB_CHOICE, 1, 0, 1, corners, 2},
        {"deep", "", RAB_YES_NO, 1, 0, 1, NULL, 0}};
    const struct rab_shape shape = {.name = "t", .parameters = parameters, .parameter_count = 4};
    struct reading *reading = calloc(1, sizeof *reading);
    cr_assert(reading != NULL);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct rab_text body = {0}, value = {0};
        rab_text_add(&body, "<measure what=\"width\" is=\"");
        rab_text_xml(&value, cases[i].text);
        rab_text_add(&body, value.data);
        rab_text_add(&body, "\"/>");
        open_text(body.data, &shape, reading);
        cr_assert(reading_set(reading, (const double[]){100, 7, 1, 1}, 0, 1), "%s", reading->fault);
        cr_expect(fabs(reading->promises[0].value - cases[i].value) < 1e-12, "%s: %.17g",
                  cases[i].text, reading->promises[0].value);
        reading_close(reading);
        rab_text_clear(&body);
        rab_text_clear(&value);
    }
    static const char *const nonsense[] = {"1 +", "nobody", "2 mm + (3", "frob(3)", "1 2", "max(1"};
    for (size_t i = 0; i < sizeof nonsense / sizeof *nonsense; i++) {
        struct rab_text body = {0};
        rab_text_format(&body, "<measure what=\"width\" is=\"%s\"/>", nonsense[i]);
        open_text(body.data, &shape, reading);
        cr_expect(not(reading_set(reading, (const double[]){100, 7, 1, 1}, 0, 1)), "%s",
                  nonsense[i]);
        reading_close(reading);
        rab_text_clear(&body);
    }
    free(reading);
    xmlCleanupParser();
}

Test(shape_judges, demands)
{
    static const struct rab_parameter parameters[] = {{"web", "", RAB_LENGTH, 7, 1, 20, NULL, 0}};
    const struct rab_shape shape = {.name = "t", .parameters = parameters, .parameter_count = 1};
    struct reading *reading = calloc(1, sizeof *reading);
    cr_assert(reading != NULL);
    open_text(
        "<let name=\"twice\" value=\"2 * web\"/>"
        "<require that=\"web &lt; 10mm\">Too wide:\n   give {web} or\n less.</require>"
        "<require that=\"twice > 5mm\">Too narrow; give 3 mm.</require>"
        "<crease when=\"web > 5mm\"><path/></crease><draw><circle when=\"web > 1mm\"/></draw>",
        &shape, reading);
    cr_assert(reading_set(reading, (const double[]){7}, 0, 1));
    cr_expect_null(reading_broken(reading));
    cr_expect(reading->must[RAB_CREASE]);
    cr_expect(reading->may[RAB_DRAW]);
    cr_expect(not(reading->must[RAB_DRAW]));
    cr_expect(not(reading->may[RAB_GLUE]));
    cr_assert(reading_set(reading, (const double[]){4}, 0, 1));
    cr_expect(not(reading->may[RAB_CREASE]));
    cr_assert(reading_set(reading, (const double[]){12}, 0, 1));
    const struct demand *broken = reading_broken(reading);
    cr_assert(broken != NULL);
    static const struct {
        const char *message;
        enum saying want;
    } sayings[] = {{"Too wide: give 12 mm (≈ 1/2 in) or less.", SAYS_IT},
                   {"t: Too wide: give 12 mm or less.", SAYS_IT},
                   {"Too wide: give 12.1 mm or less.", SAYS_WRONG_VALUE},
                   {"Too wide: give  or less.", SAYS_OTHERWISE},
                   {"Too wide: give or less.", SAYS_OTHERWISE},
                   {"Too wide: give 12 mm or", SAYS_OTHERWISE},
                   {"Too narrow; give 3 mm.", SAYS_OTHERWISE}};
    for (size_t i = 0; i < sizeof sayings / sizeof *sayings; i++)
        cr_expect_eq(reading_says(reading, broken, sayings[i].message), sayings[i].want, "%s",
                     sayings[i].message);
    cr_assert(reading_set(reading, (const double[]){2}, 0, 1));
    broken = reading_broken(reading);
    cr_assert(broken != NULL);
    cr_expect_eq(reading_says(reading, broken, "Too narrow; give 3 mm."), SAYS_IT);
    reading_close(reading);

    /* What is asked for must not be refused: 7.766 is at most 7.76, at least 7.77. */
    open_text("<require that=\"web &lt; 3mm\">Give at most {web + 0.766mm}.</require>", &shape,
              reading);
    cr_assert(reading_set(reading, (const double[]){7}, 0, 1));
    cr_expect_eq(reading_says(reading, reading_broken(reading), "Give at most 7.76 mm."), SAYS_IT);
    cr_expect_eq(reading_says(reading, reading_broken(reading), "Give at most 7.77 mm."),
                 SAYS_WRONG_VALUE);
    reading_close(reading);
    open_text("<require that=\"web &lt; 3mm\">Give at least {web + 0.764mm}.</require>", &shape,
              reading);
    cr_assert(reading_set(reading, (const double[]){7}, 0, 1));
    cr_expect_eq(reading_says(reading, reading_broken(reading), "Give at least 7.77 mm."), SAYS_IT);
    cr_expect_eq(reading_says(reading, reading_broken(reading), "Give at least 7.76 mm."),
                 SAYS_WRONG_VALUE);
    reading_close(reading);
    free(reading);
    xmlCleanupParser();
}
