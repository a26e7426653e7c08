/* Job files into the model. Conversions by hand: 1 in = 25.4 mm exactly (international yard and
 * pound agreement, 1959), 1 pt = 1/72 in, 180 degrees = pi. Defaults as docs/job.md states them. */
#include "rabbet/job.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <string.h>

#define SPACE " xmlns='urn:rabbet:job:1'"
#define PAPERS "<paper name='night' colour='#2B3A55'/><paper name='amber' colour='#E3B04B'/>"
enum { NIGHT, AMBER };

static void read_text(const char *text, struct rab_job *job)
{
    struct rab_warnings notes = {0};
    struct rab_error err = {0};

    cr_assert(rab_job_read(text, strlen(text), job, &notes, &err), "%d: %s\n%s", err.line, err.text,
              text);
    cr_expect(eq(sz, notes.count, 0));
}

/* Of a job with two papers, in inches: its left page with these items. */
static void read_page(const char *items, struct rab_job *job)
{
    struct rab_text text = {0};

    rab_text_format(
        &text, "<job units='in'" SPACE ">" PAPERS "<page side='left' paper='night'>%s</page></job>",
        items);
    read_text(text.data, job);
    rab_text_clear(&text);
}

static const struct rab_item *first_item(const struct rab_job *job)
{
    cr_assert(ge(sz, job->pages[RAB_LEFT].item_count, 1));
    return &job->pages[RAB_LEFT].items[0];
}

#define NEAR(value, expected) cr_expect(epsilon_eq(dbl, value, expected, 1e-9))
#define SAME(value, expected) cr_expect(eq(int, (int)(value), (int)(expected)))
#define TEXT(value, expected)                                                                      \
    cr_expect(value != NULL && strcmp(value, expected) == 0, "%s", value ? value : "nothing")

/* ---- the job ---- */

Test(job_reading, usual_values)
{
    struct rab_job job = {0};
    const struct rab_page *page = &job.pages[RAB_RIGHT];

    read_text("<job units='mm'" SPACE "><paper name='night' colour='#2B3A55'/>\n"
              "<page side='right' paper='night'/></job>",
              &job);
    cr_expect(job.title == NULL);
    SAME(job.kits, 1);
    NEAR(job.spare, 0);
    cr_expect(not(job.inches));
    cr_expect(not(job.trimmer));
    cr_expect(not(job.cutter));
    NEAR(job.kerf, 0);
    NEAR(job.bed.width, 0);
    NEAR(job.bed.height, 0);

    cr_assert(eq(sz, job.paper_count, 1));
    TEXT(job.papers[0].name, "night");
    SAME(job.papers[0].colour, 0x2B3A55);
    SAME(job.papers[0].back, 0xFFFFFF);
    SAME(job.papers[0].printed, RAB_PRINTED_NONE);
    SAME(job.papers[0].turning, RAB_TURNING_ANY);
    NEAR(job.papers[0].width, 304.8); /* 12 in */
    NEAR(job.papers[0].height, 304.8);
    SAME(job.papers[0].sheets, 0);
    NEAR(job.papers[0].thickness, 0);
    cr_expect(eq(sz, job.papers[0].offcut_count, 0));
    SAME(job.papers[0].line, 1);

    cr_expect(not(job.pages[RAB_LEFT].there));
    cr_expect(page->there);
    NEAR(page->width, 304.8);
    NEAR(page->height, 304.8);
    NEAR(page->margin, 0);
    cr_expect(eq(sz, page->item_count, 0));
    SAME(page->line, 2);
    rab_job_clear(&job);
}

Test(job_reading, job_papers_tools_and_pages)
{
    struct rab_job job = {0};

    read_text("<job units='in' title=' Lanterns\n along  the quay ' kits='40' spare='2.5'" SPACE ">"
              "<page side='left' paper='night' width='11 7/8' height='300mm' margin='1/2'/>"
              "<cutter kerf='0.1mm' bed-width='11 1/2' bed-height='30cm'/>"
              "<paper name='amber' colour='#e3B04b' back='#FFFFFE' printed='one' turn='half' "
              "width='12 1/8' height='36pt' sheets='7' thickness='0.01'>\n"
              "<offcut width='6' height='3 1/2' count='3'/><offcut width='1' height='2'/></paper>"
              "<trimmer/><paper name='night' colour='#000000' printed='both' turn='none'/></job>",
              &job);
    TEXT(job.title, "Lanterns along the quay");
    SAME(job.kits, 40);
    NEAR(job.spare, 0.025);
    cr_expect(job.inches);
    cr_expect(job.trimmer);
    cr_expect(job.cutter);
    NEAR(job.kerf, 0.1);
    NEAR(job.bed.width, 292.1); /* 11.5 x 25.4 */
    NEAR(job.bed.height, 300);

    cr_assert(eq(sz, job.paper_count, 2));
    SAME(job.papers[0].colour, 0xE3B04B);
    SAME(job.papers[0].back, 0xFFFFFE);
    SAME(job.papers[0].printed, RAB_PRINTED_ONE);
    SAME(job.papers[0].turning, RAB_TURNING_HALF);
    NEAR(job.papers[0].width, 307.975); /* 12.125 x 25.4 */
    NEAR(job.papers[0].height, 12.7);   /* half an inch */
    SAME(job.papers[0].sheets, 7);
    NEAR(job.papers[0].thickness, 0.254);
    cr_assert(eq(sz, job.papers[0].offcut_count, 2));
    NEAR(job.papers[0].offcuts[0].width, 152.4);
    NEAR(job.papers[0].offcuts[0].height, 88.9);
    SAME(job.papers[0].offcuts[0].count, 3);
    SAME(job.papers[0].offcuts[1].count, 1);
    SAME(job.papers[1].printed, RAB_PRINTED_BOTH);
    SAME(job.papers[1].turning, RAB_TURNING_NONE);

    /* named before it was declared */
    SAME(job.pages[RAB_LEFT].paper, 1);
    NEAR(job.pages[RAB_LEFT].width, 301.625); /* 11.875 x 25.4 */
    NEAR(job.pages[RAB_LEFT].height, 300);
    NEAR(job.pages[RAB_LEFT].margin, 12.7);
    rab_job_clear(&job);
}

Test(job_reading, units_of_the_job)
{
    static const struct {
        const char *units;
        double mm;
        bool inches;
    } all[] = {{"mm", 5, false}, {"cm", 50, false}, {"in", 127, true}, {"pt", 127.0 / 72, false}};

    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        struct rab_text text = {0};
        struct rab_job job = {0};
        rab_text_format(&text,
                        "<job units='%s'" SPACE ">" PAPERS
                        "<page side='left' paper='night' margin='5' width='2in'/></job>",
                        all[i].units);
        read_text(text.data, &job);
        NEAR(job.pages[RAB_LEFT].margin, all[i].mm);
        NEAR(job.pages[RAB_LEFT].width, 50.8);
        cr_expect(eq(int, job.inches, all[i].inches));
        rab_text_clear(&text);
        rab_job_clear(&job);
    }
}

/* ---- items ---- */

Test(job_reading, panel_and_what_every_item_may_have)
{
    struct rab_job job = {0};
    const struct rab_item *item;

    read_page("<panel paper='amber' width='10' height='9 1/2'/>\n"
              "<panel paper='night' width='1' height='1' name='quay-2' x='-1/4' top='3' raised='2' "
              "cut='hand' hidden-centre='1/2'/>"
              "<panel paper='night' width='1' height='1' right='5mm' y='0' />",
              &job);
    item = first_item(&job);
    cr_assert(eq(sz, job.pages[RAB_LEFT].item_count, 3));
    SAME(item->kind, RAB_ITEM_PANEL);
    cr_expect(item->name == NULL);
    cr_expect(not(item->x.given));
    cr_expect(not(item->right.given));
    cr_expect(not(item->y.given));
    cr_expect(not(item->top.given));
    SAME(item->raised, 0);
    SAME(item->tool, RAB_TOOL_USUAL);
    SAME(item->paper, AMBER);
    NEAR(item->width, 254);
    NEAR(item->height, 241.3);
    NEAR(item->hidden_centre, 0);
    SAME(item->line, 1);

    TEXT(item[1].name, "quay-2");
    cr_expect(item[1].x.given);
    NEAR(item[1].x.value, -6.35);
    cr_expect(item[1].top.given);
    NEAR(item[1].top.value, 76.2);
    cr_expect(not(item[1].right.given));
    SAME(item[1].raised, 2);
    SAME(item[1].tool, RAB_TOOL_HAND);
    NEAR(item[1].hidden_centre, 12.7);
    SAME(item[1].line, 2);

    cr_expect(item[2].right.given);
    NEAR(item[2].right.value, 5);
    cr_expect(item[2].y.given);
    NEAR(item[2].y.value, 0);
    rab_job_clear(&job);
}

Test(job_reading, tools)
{
    struct rab_job job = {0};

    read_text("<job units='in'" SPACE ">" PAPERS "<page side='left' paper='night'>"
              "<panel paper='night' width='1' height='1' cut='trimmer'/>"
              "<panel paper='night' width='1' height='1' cut='cutter'/></page>"
              "<trimmer/><cutter/></job>",
              &job);
    SAME(first_item(&job)[0].tool, RAB_TOOL_TRIMMER);
    SAME(first_item(&job)[1].tool, RAB_TOOL_CUTTER);
    rab_job_clear(&job);
}

Test(job_reading, photo_and_mats)
{
    struct rab_job job = {0};
    const struct rab_item *item;

    read_page("<photo width='6' height='4'/>"
              "<photo width='6' height='4' crop-left='1/8' crop-right='0' crop-top='1/4' "
              "crop-bottom='2mm' image='quay  at dusk.jpg' pixels='3000x2000' colour='#8899AA'>"
              "<mat paper='night' reveal='1/8'/>\n"
              "<mat paper='amber' reveal='3mm' style='stepped'><set name='corner' to='cove'/>"
              "<set name='size' to=' 4 mm '/></mat></photo>"
              "<photo width='1' height='1' colour='#000000'/>",
              &job);
    item = first_item(&job);
    SAME(item->kind, RAB_ITEM_PHOTO);
    NEAR(item->width, 152.4);
    NEAR(item->height, 101.6);
    NEAR(item->crop_left + item->crop_right + item->crop_top + item->crop_bottom, 0);
    NEAR(item->proportion, 0);
    cr_expect(item->image == NULL);
    SAME(item->pixel_width, 0);
    SAME(item->pixel_height, 0);
    SAME(item->colour, 0);
    cr_expect(eq(sz, item->mat_count, 0));

    item++;
    NEAR(item->crop_left, 3.175);
    NEAR(item->crop_right, 0);
    NEAR(item->crop_top, 6.35);
    NEAR(item->crop_bottom, 2);
    TEXT(item->image, "quay  at dusk.jpg"); /* as the file is called */
    SAME(item->pixel_width, 3000);
    SAME(item->pixel_height, 2000);
    SAME(item->colour, 0x8899AA);
    cr_assert(eq(sz, item->mat_count, 2));
    SAME(item->mats[0].paper, NIGHT);
    NEAR(item->mats[0].reveal, 3.175);
    cr_expect(item->mats[0].style == NULL);
    cr_expect(eq(sz, item->mats[0].set.count, 0));
    SAME(item->mats[0].line, 1);
    SAME(item->mats[1].paper, AMBER);
    NEAR(item->mats[1].reveal, 3);
    TEXT(item->mats[1].style, "stepped");
    SAME(item->mats[1].line, 2);
    cr_assert(eq(sz, item->mats[1].set.count, 2));
    TEXT(item->mats[1].set.items[0].name, "corner");
    TEXT(item->mats[1].set.items[0].value, "cove");
    TEXT(item->mats[1].set.items[1].name, "size");
    TEXT(item->mats[1].set.items[1].value, "4 mm");

    cr_expect(ne(int, (int)item[1].colour, 0)); /* 0 would stand for the neutral grey */
    cr_expect(lt(int, (int)item[1].colour, 0x020202));
    rab_job_clear(&job);
}

Test(job_reading, row_and_column)
{
    struct rab_job job = {0};
    const struct rab_item *item;

    read_page("<row gutter='1/4' x='1' name='lamps' cut='hand'>"
              "<photo width='2' height='3' name='lamp'/>\n"
              "<panel paper='amber' width='1' height='3' raised='1' hidden-centre='2mm'/></row>"
              "<column><photo width='2' height='3'><mat paper='night' reveal='1/8'/></photo>"
              "</column>",
              &job);
    item = first_item(&job);
    SAME(item->kind, RAB_ITEM_ROW);
    NEAR(item->gutter, 6.35);
    TEXT(item->name, "lamps");
    SAME(item->tool, RAB_TOOL_HAND);
    NEAR(item->x.value, 25.4);
    cr_assert(eq(sz, item->item_count, 2));
    SAME(item->items[0].kind, RAB_ITEM_PHOTO);
    TEXT(item->items[0].name, "lamp");
    NEAR(item->items[0].width, 50.8);
    SAME(item->items[1].kind, RAB_ITEM_PANEL);
    SAME(item->items[1].paper, AMBER);
    SAME(item->items[1].raised, 1);
    NEAR(item->items[1].hidden_centre, 2);
    SAME(item->items[1].line, 2);
    SAME(item[1].kind, RAB_ITEM_COLUMN);
    NEAR(item[1].gutter, 0);
    cr_assert(eq(sz, item[1].item_count, 1));
    cr_expect(eq(sz, item[1].items[0].mat_count, 1));
    rab_job_clear(&job);
}

Test(job_reading, grid)
{
    struct rab_job job = {0};
    const struct rab_item *item;

    read_page("<grid width='11' height='8 1/2' gutter='1/4'><fill paper='amber'/>"
              "<row name='first'><photo proportion='3:2' image='a.png'/>"
              "<photo proportion='0.5:1'/><photo width='3' height='2' crop-left='1/4'/>"
              "<panel paper='night' width='1' height='1'/></row>\n"
              "<fill paper='night'/><row raised='3'><photo proportion='1:1'>"
              "<mat paper='amber' reveal='1/8'/></photo></row></grid>"
              "<grid><row><photo proportion='1:1'/></row></grid>",
              &job);
    item = first_item(&job);
    SAME(item->kind, RAB_ITEM_GRID);
    NEAR(item->width, 279.4);
    NEAR(item->height, 215.9);
    NEAR(item->gutter, 6.35);
    cr_assert(eq(sz, item->fill_count, 2));
    SAME(item->fills[0], AMBER);
    SAME(item->fills[1], NIGHT);
    cr_assert(eq(sz, item->item_count, 2));
    SAME(item->items[0].kind, RAB_ITEM_ROW);
    TEXT(item->items[0].name, "first");
    cr_assert(eq(sz, item->items[0].item_count, 4));
    NEAR(item->items[0].items[0].proportion, 1.5);
    NEAR(item->items[0].items[0].width, 0);
    TEXT(item->items[0].items[0].image, "a.png");
    NEAR(item->items[0].items[1].proportion, 0.5);
    NEAR(item->items[0].items[2].proportion, 0);
    NEAR(item->items[0].items[2].width, 76.2);
    NEAR(item->items[0].items[2].crop_left, 6.35);
    SAME(item->items[0].items[3].kind, RAB_ITEM_PANEL);
    SAME(item->items[1].line, 2);
    SAME(item->items[1].raised, 3);
    cr_expect(eq(sz, item->items[1].items[0].mat_count, 1));
    NEAR(item[1].width, 0); /* the page within its margins */
    NEAR(item[1].height, 0);
    NEAR(item[1].gutter, 0);
    cr_expect(eq(sz, item[1].fill_count, 0));
    rab_job_clear(&job);
}

static void expect_numbers(const struct rab_frame_use *use, const int *numbers, size_t count)
{
    cr_assert(eq(sz, use->opening_count, count));
    for (size_t i = 0; i < count; i++)
        SAME(use->openings[i], numbers[i]);
}

Test(job_reading, frame)
{
    struct rab_job job = {0};
    const struct rab_backing_options usual = rab_backing_options_usual();
    const struct rab_item *item;
    const struct rab_frame_use *use;

    read_page("<frame paper='amber' file='arcade.svg' width='5 3/4'/>"
              "<frame paper='night' shape='arcade' turn='90' seam='4mm' clear='1/16' inset='0' "
              "form='simple'><back papers=' night amber  night ' openings='9 1-3, 12'/>"
              "<set name='span' to='40mm'/><back papers='amber' together='yes'/>"
              "<leave openings='4'/><leave every='6'/>\n"
              "<show opening='7'><photo width='2' height='3' name='gull' cut='hand'>"
              "<mat paper='night' reveal='1/8'/></photo></show></frame>",
              &job);
    item = first_item(&job);
    SAME(item->kind, RAB_ITEM_FRAME);
    SAME(item->paper, AMBER);
    TEXT(item->file, "arcade.svg");
    cr_expect(item->shape == NULL);
    NEAR(item->width, 146.05); /* 5.75 x 25.4 */
    NEAR(item->turn, 0);
    NEAR(item->backing.seam, usual.seam);
    NEAR(item->backing.clear, usual.clear);
    NEAR(item->backing.inset, usual.inset);
    SAME(item->backing.form, usual.form);
    cr_expect(eq(sz, item->use_count, 0));

    item++;
    cr_expect(item->file == NULL);
    TEXT(item->shape, "arcade");
    NEAR(item->turn, RAB_PI / 2);
    NEAR(item->backing.seam, 4);
    NEAR(item->backing.clear, 1.5875); /* 25.4 / 16 */
    NEAR(item->backing.inset, 0);
    SAME(item->backing.form, RAB_FORM_SIMPLE);
    cr_assert(eq(sz, item->set.count, 1));
    TEXT(item->set.items[0].name, "span");
    TEXT(item->set.items[0].value, "40mm");

    cr_assert(eq(sz, item->use_count, 5));
    use = item->uses;
    SAME(use[0].use, RAB_USE_BACK);
    expect_numbers(&use[0], (const int[]){1, 2, 3, 9, 12}, 5);
    cr_assert(eq(sz, use[0].paper_count, 3));
    SAME(use[0].papers[0], NIGHT);
    SAME(use[0].papers[1], AMBER);
    SAME(use[0].papers[2], NIGHT);
    cr_expect(not(use[0].together));
    SAME(use[1].use, RAB_USE_BACK);
    expect_numbers(&use[1], NULL, 0);
    cr_expect(use[1].together);
    SAME(use[2].use, RAB_USE_LEAVE);
    expect_numbers(&use[2], (const int[]){4}, 1);
    SAME(use[2].every, 0);
    SAME(use[3].use, RAB_USE_LEAVE);
    SAME(use[3].every, 6);
    expect_numbers(&use[3], NULL, 0);
    SAME(use[4].use, RAB_USE_SHOW);
    expect_numbers(&use[4], (const int[]){7}, 1);
    SAME(use[4].line, 2);
    cr_assert(use[4].shown != NULL);
    SAME(use[4].shown->kind, RAB_ITEM_PHOTO);
    TEXT(use[4].shown->name, "gull");
    SAME(use[4].shown->tool, RAB_TOOL_HAND);
    NEAR(use[4].shown->height, 76.2);
    cr_expect(eq(sz, use[4].shown->mat_count, 1));
    rab_job_clear(&job);
}

Test(job_reading, strip)
{
    struct rab_job job = {0};
    const struct rab_item *item;

    read_page("<strip paper='night' motif='scallop' length='12' width='1 1/2'/>"
              "<strip paper='amber' motif='wave' length='6' width='1' pitch='3/4' depth='6mm' "
              "ends='valley' sides='apart' turn='-90'><set name='round' to='yes'/>"
              "<behind paper='night' reveal='1/8'/>\n<behind paper='amber' reveal='4mm'/></strip>"
              "<strip paper='night' motif='wave' length='6' width='1' ends='half' sides='both' "
              "turn='180'/><strip paper='night' motif='wave' length='6' width='1' ends='whole' "
              "sides='one' turn='0'/>",
              &job);
    item = first_item(&job);
    SAME(item->kind, RAB_ITEM_STRIP);
    TEXT(item->motif, "scallop");
    NEAR(item->width, 304.8); /* its length */
    NEAR(item->height, 38.1);
    SAME(item->ends, RAB_ENDS_WHOLE);
    SAME(item->sides, RAB_SIDES_ONE);
    NEAR(item->turn, 0);
    cr_expect(eq(sz, item->set.count, 0));
    cr_expect(eq(sz, item->layer_count, 0));

    item++;
    SAME(item->paper, AMBER);
    SAME(item->ends, RAB_ENDS_VALLEY);
    SAME(item->sides, RAB_SIDES_APART);
    NEAR(item->turn, -RAB_PI / 2);
    cr_assert(eq(sz, item->set.count, 3));
    TEXT(item->set.items[0].name, "pitch");
    TEXT(item->set.items[0].value, "19.05mm"); /* 0.75 x 25.4 */
    TEXT(item->set.items[1].name, "depth");
    TEXT(item->set.items[1].value, "6mm");
    TEXT(item->set.items[2].name, "round");
    TEXT(item->set.items[2].value, "yes");
    cr_assert(eq(sz, item->layer_count, 2));
    SAME(item->layers[0].paper, NIGHT);
    NEAR(item->layers[0].reveal, 3.175);
    SAME(item->layers[1].paper, AMBER);
    NEAR(item->layers[1].reveal, 4);
    SAME(item->layers[1].line, 2);

    SAME(item[1].ends, RAB_ENDS_HALF);
    SAME(item[1].sides, RAB_SIDES_BOTH);
    NEAR(item[1].turn, RAB_PI);
    SAME(item[2].ends, RAB_ENDS_WHOLE);
    SAME(item[2].sides, RAB_SIDES_ONE);
    rab_job_clear(&job);
}

Test(job_reading, journaling)
{
    struct rab_job job = {0};
    const struct rab_item *item;

    read_page("<text paper='amber' width='3' height='2'>\n  One lamp   after another\t\n"
              "    along the <!-- old --> harbour&#x2028;wall,\n  \n \n\n  and the tide &amp; "
              "<![CDATA[<bells>]]>.\n  </text>"
              "<text paper='night' width='3' height='2' font='Serif  Bold' size='11pt' "
              "align='right' strips='1/4' ruled='0.2'/>"
              "<text paper='night' width='3' height='2' align='centre'>a</text>"
              "<text paper='night' width='3' height='2' align='left'>\xC3\xA4</text>",
              &job);
    item = first_item(&job);
    SAME(item->kind, RAB_ITEM_TEXT);
    SAME(item->paper, AMBER);
    TEXT(item->words, "One lamp after another\nalong the harbour wall,\n\nand the tide & <bells>.");
    cr_expect(item->font == NULL);
    NEAR(item->size, 0);
    SAME(item->align, -1);
    NEAR(item->strips, 0);
    NEAR(item->ruled, 0);

    cr_expect(item[1].words == NULL);
    TEXT(item[1].font, "Serif Bold");
    NEAR(item[1].size, 11 * 25.4 / 72);
    SAME(item[1].align, 1);
    NEAR(item[1].strips, 6.35);
    NEAR(item[1].ruled, 5.08);
    SAME(item[2].align, 0);
    SAME(item[3].align, -1);
    TEXT(item[3].words, "\xC3\xA4");
    rab_job_clear(&job);
}

/* ---- the file ---- */

/* XML 1.0, 2.11 (line ends), 4.3.3 and appendix F (encodings). */
Test(job_reading, encodings_and_line_ends)
{
    static const char plain[] =
        "<job units='in' title='\xC3\xA4'" SPACE ">\n<paper name='night' colour='#2B3A55'/>\n"
        "<page side='left' paper='night'/>\n</job>\n";
    struct rab_text texts[5] = {{0}};

    rab_text_format(&texts[0], "\xEF\xBB\xBF%s", plain);
    rab_text_format(&texts[1], "<?xml version='1.0' encoding='UTF-8'?><!-- a --><?b c?>%s<?d e?>",
                    plain);
    for (const char *c = plain; *c; c++)
        rab_text_bytes(&texts[2], *c == '\n' ? "\r\n" : c, *c == '\n' ? 2 : 1);
    rab_text_bytes(&texts[3], "\xFF\xFE", 2);
    rab_text_bytes(&texts[4], "\xFE\xFF", 2);
    for (const char *c = plain; *c; c++) {
        const bool wide = *c == '\xC3'; /* U+00E4 is two bytes in UTF-8 */
        const char low[2] = {wide ? '\xE4' : *c, 0}, high[2] = {0, wide ? '\xE4' : *c};
        rab_text_bytes(&texts[3], low, 2);
        rab_text_bytes(&texts[4], high, 2);
        c += wide;
    }
    for (size_t i = 0; i < 5; i++) {
        struct rab_error err = {0};
        struct rab_job job = {0};
        cr_assert(rab_job_read(texts[i].data, texts[i].length, &job, NULL, &err), "%zu: %d: %s", i,
                  err.line, err.text);
        TEXT(job.title, "\xC3\xA4");
        SAME(job.pages[RAB_LEFT].line, 3);
        rab_job_clear(&job);
        rab_text_clear(&texts[i]);
    }
}

Test(job_reading, many_quotation_marks_in_a_text)
{
    struct rab_text text = {0};
    struct rab_job job = {0};

    rab_text_add(&text, "<text paper='night' width='3' height='2'>");
    for (int i = 0; i < 500; i++)
        rab_text_add(&text, "it's \"he\" ");
    rab_text_add(&text, "</text>");
    read_page(text.data, &job);
    cr_expect(eq(sz, strlen(first_item(&job)->words), 500 * strlen("it's \"he\" ") - 1));
    rab_job_clear(&job);
    rab_text_clear(&text);
}

Test(job_reading, clearing_nothing)
{
    struct rab_job job = {0};

    rab_job_clear(&job);
    rab_job_clear(&job);
}
