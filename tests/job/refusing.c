/* What is wrong in a job file is told with its line, in words that say what would be right, all at
 * once. The faults are those that docs/job.md and the schema of job files exclude. */
#include "job/language.h"
#include "shape/markup.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <stdlib.h>
#include <string.h>

#define SPACE " xmlns='urn:rabbet:job:1'"
#define PAPERS "<paper name='night' colour='#2B3A55'/><paper name='amber' colour='#E3B04B'/>"
#define HEAD "<job units='in'" SPACE ">" PAPERS

/* Every error of a file that must be refused, the first one too. */
static struct rab_warnings errors_of(const char *text, size_t length)
{
    struct rab_warnings notes = {0}, all = {0};
    struct rab_error err = {0};
    struct rab_job job = {0};

    cr_assert(not(rab_job_read(text, length, &job, &notes, &err)), "%s", text);
    cr_expect(eq(ptr, job.papers, NULL), "what was handed in is touched");
    cr_expect(eq(int, (int)err.fault, (int)RAB_FAULT_INPUT), "%s", err.text);
    cr_assert(rab_warn(&all, NULL, "error", err.line, "%s", err.text));
    for (size_t i = 0; i < notes.count; i++)
        if (strcmp(notes.items[i].code, "error") == 0)
            cr_assert(
                rab_warn(&all, NULL, "error", notes.items[i].line, "%s", notes.items[i].text));
    for (size_t i = 0; i < all.count; i++) {
        cr_expect(ge(int, all.items[i].line, 1), "%s", all.items[i].text);
        cr_expect(i == 0 || all.items[i].line >= all.items[i - 1].line, "in their order");
    }
    rab_warnings_clear(&notes);
    return all;
}

/* Exactly this one. */
static void expect_refused(const char *text, int line, const char *words)
{
    struct rab_warnings all = errors_of(text, strlen(text));

    for (size_t i = 1; i < all.count; i++)
        cr_expect(false, "one too many: %d: %s\n%s", all.items[i].line, all.items[i].text, text);
    cr_expect(eq(int, all.items[0].line, line), "%s\n%s", all.items[0].text, text);
    cr_expect(ne(ptr, strstr(all.items[0].text, words), NULL), "\"%s\" has no \"%s\"\n%s",
              all.items[0].text, words, text);
    rab_warnings_clear(&all);
}

/* On the second line of a file, in its left page. */
static void refuse(const char *items, const char *words)
{
    struct rab_text text = {0};

    rab_text_format(&text, HEAD "<page side='left' paper='night'>\n%s\n</page></job>", items);
    expect_refused(text.data, 2, words);
    rab_text_clear(&text);
}

/* On the second line, in the job; it has its papers and its page. */
static void refuse_in_job(const char *content, const char *words)
{
    struct rab_text text = {0};

    rab_text_format(&text, HEAD "\n%s\n<page side='left' paper='night'/></job>", content);
    expect_refused(text.data, 2, words);
    rab_text_clear(&text);
}

static void refuse_panel(const char *attributes, const char *words)
{
    struct rab_text text = {0};

    rab_text_format(&text, "<panel paper='night' height='1' %s/>", attributes);
    refuse(text.data, words);
    rab_text_clear(&text);
}

static void refuse_in_frame(const char *content, const char *words)
{
    struct rab_text text = {0};

    rab_text_format(&text, "<frame paper='night' shape='arcade'>%s</frame>", content);
    refuse(text.data, words);
    rab_text_clear(&text);
}

/* ---- the file ---- */

Test(job_refusing, bytes)
{
    struct rab_warnings all;
    char *large = malloc(MARKUP_BYTES + 1);

    expect_refused("", 1, "empty");
    expect_refused("job", 1, "not well-formed");
    expect_refused("<job" SPACE ">\n<page>", 2, "ends too early");
    expect_refused("<job" SPACE ">\n<page></job>", 2, "another element");
    expect_refused("<job" SPACE ">\n<page a='1' a='2'/></job>", 2, "same attribute twice");
    expect_refused("<job" SPACE ">\n<page>a & b</page></job>", 2, "&amp;");
    expect_refused("<job" SPACE ">\n\xFF</job>", 2, "UTF-8");
    expect_refused("<job" SPACE ">\n&nbsp;</job>", 2, "no entity \"nbsp\"");
    expect_refused("<?xml version='1.0' encoding='none-such-8'?><job" SPACE "/>", 1, "none-such-8");
    all = errors_of("<a\0b/>", 6);
    cr_expect(eq(int, all.items[0].line, 1));
    rab_warnings_clear(&all);

    cr_assert(ne(ptr, large, NULL));
    memset(large, ' ', MARKUP_BYTES + 1);
    all = errors_of(large, MARKUP_BYTES + 1);
    cr_expect(ne(ptr, strstr(all.items[0].text, "more than 1 MB"), NULL));
    rab_warnings_clear(&all);
    free(large);
}

Test(job_refusing, doctype)
{
    expect_refused("<?xml version='1.0'?>\n<!DOCTYPE job [<!ENTITY a 'b'>]>\n<job/>", 2, "DOCTYPE");
    expect_refused("\n<!DOCTYPE job SYSTEM 'job.dtd'>\n<job/>", 2, "DOCTYPE");
}

Test(job_refusing, namespaces_and_roots)
{
    expect_refused("<job>\n</job>", 1, "xmlns=\"urn:rabbet:job:1\"");
    expect_refused("\n<job xmlns='urn:rabbet:shape:1'/>", 2, "\"urn:rabbet:shape:1\"");
    expect_refused("\n<page" SPACE "/>", 2, "it must be <job>");
    refuse("<panel xmlns:a='urn:a' a:paper='night'/>", "no prefix");
    refuse("<panel xmlns='urn:other' paper='night' width='1' height='1'/>", "\"urn:other\"");
}

static char *many(const char *before, const char *again, size_t times, const char *after)
{
    struct rab_text text = {0};

    rab_text_add(&text, before);
    for (size_t i = 0; i < times; i++)
        rab_text_add(&text, again);
    rab_text_add(&text, after);
    cr_assert(not(text.failed));
    return text.data;
}

Test(job_refusing, limits)
{
    char *text = many("", "<trimmer/>", JOB_ELEMENTS, "");
    refuse_in_job(text, "more than 10000 elements");
    free(text);
    text = many("", "<row>", JOB_DEPTH, "");
    refuse(text, "more than 32 deep");
    free(text);
    text = many("<panel ", "a='1' ", MARKUP_ATTRIBUTES + 1, "/>");
    refuse(text, "quotation marks");
    free(text);
    text = many("", "<paper name='a' colour='#000000'/>", JOB_PAPERS, "");
    refuse_in_job(text, "more than 500 papers");
    free(text);
    text = many("", "<leave openings='1-9999'/>", 11, "");
    refuse_in_frame(text, "more than 100000 openings");
    free(text);
    text = many("<back papers='", "night ", JOB_TURNS + 1, "'/>");
    refuse_in_frame(text, "at most 1000 papers");
    free(text);
}

/* ---- elements ---- */

Test(job_refusing, elements)
{
    refuse("<pannel/>", "no element <pannel> in <page>; did you mean panel?");
    refuse("<brush/>", "it holds <panel>, <photo>, <row>, <column>, <grid>, <frame>, <strip>");
    refuse("<mat paper='night' reveal='1/8'/>",
           "<mat> cannot stand in <page>; it stands in <photo>");
    refuse("<behind paper='night' reveal='1/8'/>", "it stands in <strip>");
    refuse("<page side='right' paper='night'/>", "it stands in <job>");
    refuse("<panel paper='night' width='1' height='1'><mat/></panel>", "cannot stand in <panel>");
    refuse("<panel paper='night' width='1' height='1'><easel/></panel>", "it is empty");
    refuse("<panel paper='night' width='1' height='1'>words</panel>", "<panel> holds text");
    refuse("words", "<page> holds text");
    refuse_in_job("<trimmer/><trimmer/>", "<trimmer> is there twice");
    refuse_in_job("<cutter/><cutter/>", "<cutter> is there twice");
    refuse_in_job("<trimer/>", "did you mean trimmer?");
    refuse_in_job("<panel/>", "it stands in <page>, <row> and <column>");
    expect_refused("<job units='in'" SPACE "><page side='left'\npaper='night'/></job>", 1,
                   "<job> has no <paper>");
    expect_refused(HEAD "</job>", 1, "<job> has no <page>");
    refuse("<row/>", "<row> has nothing in it");
    refuse("<column/>", "<column> has nothing in it");
    refuse("<row><strip/></row>", "<strip> cannot stand in <row>; it stands in <page>");
    refuse("<grid><fill paper='night'/></grid>", "<grid> has no <row>");
    refuse("<grid><row/></grid>", "<row> has nothing in it");
    refuse_in_frame("<show opening='1'/>", "<show> has nothing in it");
    refuse_in_frame("<show opening='1'><photo width='1' height='1'/><photo width='1' height='1'/>"
                    "</show>",
                    "a second photo");
    refuse_in_frame("<show opening='1'><panel/></show>", "<panel> cannot stand in <show>");
}

Test(job_refusing, pages)
{
    static const char twice[] = HEAD "<page side='left' paper='night'/>\n"
                                     "<page side='left' paper='night'>"
                                     "<panel paper='night' width='1' height='1'/></page></job>";

    expect_refused(twice, 2, "the left page is there twice (line 1 has it)");
    expect_refused(HEAD "<page side='left' paper='night'/>\n<page side='lft' paper='night'/></job>",
                   2, "side of <page> is \"lft\"; it can be left or right");
    expect_refused(HEAD "<page side='left' paper='night'/>\n<page paper='night'/></job>", 2,
                   "<page> has no side");
}

/* ---- attributes ---- */

Test(job_refusing, attributes)
{
    refuse_panel("width='1' hidden-center='1'", "did you mean hidden-centre?");
    refuse_panel("width='1' sheen='1'",
                 "it takes name, raised, cut, x, right, y, top, paper, width, height and hidden");
    refuse_in_job("<trimmer blade='1'/>", "it takes none");
    refuse_panel("", "<panel> has no width; give width=\"...\"");
    refuse_panel("width='1' x='1' right='1'", "both x and right");
    refuse_panel("width='1' y='1' top='1'", "both y and top");
    refuse("<row><photo width='1' height='1' x='1'/></row>",
           "its place follows from what it is in");
    refuse("<grid><row top='1'><photo proportion='1:1'/></row></grid>", "its place follows from");
    refuse_in_frame("<show opening='1'><photo width='1' height='1' top='1'/></show>",
                    "its place follows from");
    refuse("<photo proportion='3:2' width='1' height='1'/>", "only in a grid is its size solved");
    refuse("<photo width='1'/>", "<photo> has no height");
    refuse("<grid><row><photo/></row></grid>", "<photo> has no size");
    refuse("<grid><row><photo width='1'/></row></grid>", "or proportion=\"3:2\"");
    refuse("<grid><row><photo proportion='3:2' width='1'/></row></grid>", "both proportion and");
    refuse("<grid><row><photo proportion='3:2' crop-top='1'/></row></grid>", "is not cropped");
    refuse("<frame paper='night'/>", "<frame> has no drawing");
    refuse("<frame paper='night' file='a.svg' shape='b'/>", "both file and shape");
    refuse("<frame paper='night' shape='b' width='1'/>", "set the measures of a shape");
    refuse("<frame paper='night' file='a.svg'><set name='a' to='1mm'/></frame>",
           "<set> is for a shape");
    refuse_in_frame("<leave/>", "give openings=\"1-8,12\" or every=\"6\"");
    refuse_in_frame("<leave openings='1' every='2'/>", "both openings and every");
    refuse_in_frame("<back openings='1'/>", "<back> has no papers");
    refuse("<text paper='night' width='1' height='1'> </text>", "<text> has no words");
}

Test(job_refusing, words)
{
    refuse_in_job("<paper name='Night Sky' colour='#2B3A55'/>", "small letters, digits and single");
    refuse_in_job("<paper name='' colour='#2B3A55'/>", "small letters");
    refuse_panel("width='1' name='a--b'", "like lantern-walk");
    refuse_in_job("<paper name='b' colour='blue'/>", "like #2B3A55");
    refuse_in_job("<paper name='b' colour='#2B3A5'/>", "like #2B3A55");
    refuse_in_job("<paper name='b' colour='#2B3A555'/>", "like #2B3A55");
    refuse_in_job("<paper name='b' colour='#2B3A5G'/>", "like #2B3A55");
    refuse_in_job("<paper name='b' colour='#000000' back=''/>", "back of <paper>");
    refuse_in_job("<paper name='b' colour='#000000' printed='two'/>",
                  "printed of <paper> is \"two\"; it can be none, one or both");
    refuse_in_job("<paper name='b' colour='#000000' turn='Any'/>", "any, half or none");
    refuse_panel("width='1' cut='saw'", "trimmer, cutter or hand");
    refuse_panel("width='1' cut='trimmer'", "add <trimmer/>");
    refuse_panel("width='1' cut='cutter'", "add <cutter/>");
    refuse("<photo width='1' height='1' image=' '/>", "give the name of a file");
    refuse("<photo width='1' height='1' image='a&#10;b'/>", "no tabs or line ends");
    refuse("<strip paper='night' motif='' length='1' width='1'/>", "motif of <strip>");
    refuse("<text paper='night' width='1' height='1' align='center'>a</text>",
           "left, centre or right");
    refuse_in_frame("<back papers='night' together='1'/>", "no or yes");
    expect_refused("<job units='inch'" SPACE ">" PAPERS "<page side='left' paper='night' "
                   "margin='1/2'/></job>",
                   1, "it can be mm, cm, in or pt");
    expect_refused("<job" SPACE ">" PAPERS "<page side='left' paper='night' margin='1'/></job>", 1,
                   "<job> has no units");
}

Test(job_refusing, numbers)
{
    refuse_panel("width='10 5/4'", "width of <panel>: \"10 5/4\" is not a length");
    refuse_panel("width='ten'", "is not a length");
    refuse_panel("width=''", "is not a length");
    refuse_panel("width='0'", "give more than 0");
    refuse_panel("width='-1'", "give more than 0");
    refuse_panel("width='1km'", "is not a length");
    refuse_panel("width='1e9'", "is too large");
    refuse_panel("width='1/2mm'", "fractions are for inches");
    refuse_panel("width='1' hidden-centre='0'", "give more than 0");
    refuse("<photo width='1' height='1' crop-left='-1/8'/>", "give 0 or more");
    refuse_panel("width='1' raised='1.5'", "a whole number from 0 to 20");
    refuse_panel("width='1' raised='21'", "a whole number from 0 to 20");
    refuse_panel("width='1' raised='99999999999999999999'", "a whole number");
    refuse_panel("width='1' raised='-1'", "a whole number");
    refuse_in_job("<paper name='b' colour='#000000' sheets='0'/>", "from 1 to 10000");
    refuse_in_job("<paper name='b' colour='#000000'><offcut width='1' height='1' count='0'/>"
                  "</paper>",
                  "count of <offcut>");
    refuse("<photo width='1' height='1' pixels='3000'/>", "like 3000x2000");
    refuse("<photo width='1' height='1' pixels='3000x'/>", "like 3000x2000");
    refuse("<photo width='1' height='1' pixels='0x1'/>", "like 3000x2000");
    refuse("<photo width='1' height='1' pixels='3000x2000x1'/>", "like 3000x2000");
    refuse("<photo width='1' height='1' pixels='3000 x 2000'/>", "like 3000x2000");
    refuse("<grid><row><photo proportion='1.5'/></row></grid>", "like 3:2");
    refuse("<grid><row><photo proportion='3:0'/></row></grid>", "like 3:2");
    refuse("<grid><row><photo proportion='3:2:1'/></row></grid>", "like 3:2");
    refuse("<grid><row><photo proportion='1..5:1'/></row></grid>", "like 3:2");
    refuse("<grid><row><photo proportion='1:101'/></row></grid>", "no photo is so narrow");
    refuse("<frame paper='night' shape='a' turn='90deg'/>", "degrees without a unit");
    refuse("<frame paper='night' shape='a' turn='361'/>", "-360 to 360");
    refuse("<frame paper='night' shape='a' turn=''/>", "like 90");
    refuse("<strip paper='night' motif='a' length='1' width='1' turn='45'/>",
           "steps of 90 degrees");
    refuse("<strip paper='night' motif='a' length='1' width='1' pitch='0'/>", "give more than 0");
    refuse("<strip paper='night' motif='a' length='1' width='1' depth='x'/>", "is not a length");
    expect_refused("<job units='in' kits='0'" SPACE ">" PAPERS
                   "<page side='left' paper='night'/></job>",
                   1, "a whole number from 1 to 1000");
    expect_refused("<job units='in' spare='5%'" SPACE ">" PAPERS
                   "<page side='left' paper='night'/></job>",
                   1, "in percent");
    expect_refused("<job units='mm'" SPACE ">" PAPERS
                   "<page side='left'\npaper='night'\nmargin='1/2'/></job>",
                   3, "fractions are for inches");
}

Test(job_refusing, lists_of_openings)
{
    static const char *const wrong[] = {"",   " ",  ",",     "1,",   "1,,2", "1;2",   "a",
                                        "1-", "-3", "1-2-3", "1- 2", "1.5",  "1 , ,2"};

    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        struct rab_text text = {0};
        rab_text_format(&text, "<leave openings='%s'/>", wrong[i]);
        refuse_in_frame(text.data, "like 1-8,12");
        rab_text_clear(&text);
    }
    refuse_in_frame("<leave openings='0'/>", "numbered from 1");
    refuse_in_frame("<leave openings='8-1'/>", "8-1 runs backwards; write 1-8");
    refuse_in_frame("<leave openings='10000'/>", "can be 9999");
    refuse_in_frame("<leave openings='1-99999999999999999999'/>", "can be 9999");
    refuse_in_frame("<leave openings='1-3,2'/>", "opening 2 is there twice");
    refuse_in_frame("<show opening='1,2'><photo width='1' height='1'/></show>", "of one opening");
    refuse_in_frame("<show opening='x'><photo width='1' height='1'/></show>", "of one opening");
    refuse_in_frame("<leave every='0'/>", "from 1 to 9999");
}

Test(job_refusing, papers)
{
    refuse("<panel paper='nigth' width='1' height='1'/>",
           "paper of <panel>: there is no paper \"nigth\"; did you mean night?");
    refuse("<panel paper='rose' width='1' height='1'/>",
           "declare it: <paper name=\"rose\" colour=\"#...\"/>");
    refuse_in_frame("<back papers='night ambr night'/>", "\"ambr\"; did you mean amber?");
    refuse_in_frame("<back papers=' '/>", "divided by blanks");
    refuse("<grid><row><photo proportion='1:1'/></row><fill paper='ros'/></grid>",
           "paper of <fill>");
    refuse("<photo width='1' height='1'><mat paper='x1' reveal='1'/></photo>", "paper of <mat>");
    /* a name longer than any is not cut down to one that fits */
    char *text = many("<back papers='", "a", 200, "'/>");
    refuse_in_frame(text, "there is no paper \"aaaa");
    free(text);
}

Test(job_refusing, names_given_twice)
{
    refuse_in_job("<paper name='night' colour='#000000'/>",
                  "the name \"night\" is given twice (line 1 has it); give each paper its own");
    expect_refused(HEAD "<page side='left' paper='night'>\n"
                        "<photo name='quay' width='1' height='1'/>\n<grid><row>"
                        "<photo name='quay' proportion='3:2'/></row></grid></page></job>",
                   3, "(line 2 has it); give each item its own");
    refuse_in_frame("<set name='span' to='1mm'/><set name='span' to='2mm'/>",
                    "give each parameter its own");
    refuse("<strip paper='night' motif='a' length='1' width='1' pitch='1'><set name='pitch' "
           "to='1mm'/></strip>",
           "\"pitch\" is given twice");
    refuse("<photo width='1' height='1'><mat paper='night' reveal='1'><set name='a' to='1'/>"
           "<set name='a' to='1'/></mat></photo>",
           "\"a\" is given twice");
}

/* ---- all at once ---- */

Test(job_refusing, several_at_once)
{
    static const char text[] = "<job units='in' kits='0'" SPACE ">\n"
                               "<paper name='night' colour='blue'/>\n"
                               "<page side='left' paper='nigth'>\n"
                               "<panel paper='night' width='1'/>\n"
                               "<pannel/>\n"
                               "<frame paper='night' shape='a'>\n"
                               "<leave openings='2-1'/></frame>\n"
                               "<photo name='a' width='x' height='y'/>\n"
                               "<photo name='a' width='1' height='1'/>\n"
                               "</page></job>";
    static const struct {
        int line;
        const char *words;
    } expected[] = {{1, "kits"},      {2, "colour"},    {3, "nigth"},
                    {4, "no height"}, {5, "<pannel>"},  {7, "backwards"},
                    {8, "width of"},  {8, "height of"}, {9, "given twice"}};
    struct rab_warnings all = errors_of(text, sizeof text - 1);

    cr_assert(eq(sz, all.count, sizeof expected / sizeof *expected));
    for (size_t i = 0; i < all.count; i++) {
        cr_expect(eq(int, all.items[i].line, expected[i].line), "%s", all.items[i].text);
        cr_expect(ne(ptr, strstr(all.items[i].text, expected[i].words), NULL), "%s",
                  all.items[i].text);
    }
    rab_warnings_clear(&all);
}

Test(job_refusing, a_hundred_and_one_at_most)
{
    struct rab_warnings all;
    struct rab_text text = {0};

    for (int extra = 0; extra < 2; extra++) {
        char *items = many("", "<pannel/>\n", 101 + 30 * (size_t)extra, "");
        rab_text_format(&text, HEAD "<page side='left' paper='night'>\n%s</page></job>", items);
        all = errors_of(text.data, text.length);
        cr_assert(eq(sz, all.count, 101)); /* the first and a hundred */
        cr_expect(eq(int, all.items[99].line, 101));
        cr_expect(ne(ptr, strstr(all.items[100].text, extra ? "and 31 more" : "<pannel>"), NULL),
                  "%s", all.items[100].text);
        rab_warnings_clear(&all);
        rab_text_clear(&text);
        free(items);
    }
}

/* One who wants no notes gets the first error all the same. */
Test(job_refusing, without_notes)
{
    static const char text[] = HEAD "<page side='left' paper='night'>\n<a/><b/></page></job>";
    struct rab_error err = {0};
    struct rab_job job = {0};

    cr_assert(not(rab_job_read(text, sizeof text - 1, &job, NULL, &err)));
    cr_expect(eq(int, err.line, 2));
    cr_expect(not(rab_job_read(text, sizeof text - 1, &job, NULL, NULL)));
}
