/*
 * Shape files: every kind of mistake gives its line and says what would be right; what is right is
 * read as it stands there. The reference is docs/shape-files.md; line numbers are counted by hand.
 */
#include "base/arena.h"
#include "shape/markup.h"
#include "shape/reader.h"
#include "shape/schema.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SPACE " xmlns='urn:rabbet:shape:1'"

/* Lines 1 to 4; the rest begins on line 5. */
static const char shape_head[] =
    "<shape" SPACE ">\n"
    "  <title>Test</title><about>A test.</about>\n"
    "  <length name='width' usual='30mm' least='5mm' most='250mm'>Width</length>\n"
    "  <count name='n' usual='3' least='1' most='9'>Number</count>\n";
static const char motif_head[] = "<motif" SPACE ">\n"
                                 "  <title>Test</title><about>A test.</about>\n"
                                 "  <pitch usual='12mm' least='3mm' most='80mm'/>\n"
                                 "  <depth usual='4mm' least='0.5mm' most='40mm'/>\n";

static struct rab_shape *read_text(const char *text, struct rab_error *err)
{
    struct rab_shape *shape = NULL;

    reader_read("test", "tests", NULL, text, strlen(text), &shape, err);
    return shape;
}

static void expect_words(const char *words, const char *expected)
{
    cr_expect(zero(int, strcmp(words, expected)), "\"%s\" is not \"%s\"", words, expected);
}

static char *join(const char *head, const char *body, const char *end)
{
    size_t size = strlen(head) + strlen(body) + strlen(end) + 1;
    char *text = malloc(size);

    snprintf(text, size, "%s%s%s", head, body, end);
    return text;
}

static void expect_refused(const char *text, int line, const char *words)
{
    struct rab_error err = {0};
    struct rab_shape *shape = read_text(text, &err);

    cr_assert(eq(ptr, shape, NULL), "this was read: %s", text);
    cr_expect(eq(int, (int)err.fault, (int)RAB_FAULT_INPUT), "%s", text);
    cr_expect(eq(int, err.line, line), "%s: %s", text, err.text);
    cr_expect(ne(ptr, strstr(err.text, words), NULL), "%s: %s", text, err.text);
    reader_free(shape);
}

/* A mistake in the part after the head, on this line of it. */
static void refuse(const char *body, int line, const char *words)
{
    char *text = join(shape_head, body, "</shape>\n");

    expect_refused(text, 4 + line, words);
    free(text);
}

static void refuse_motif(const char *body, int line, const char *words)
{
    char *text = join(motif_head, body, "</motif>\n");

    expect_refused(text, 4 + line, words);
    free(text);
}

/* In the paper, on its second line. */
static void refuse_area(const char *area, const char *words)
{
    char *body = join("<paper>\n", area, "\n</paper>\n");

    refuse(body, 2, words);
    free(body);
}

static void refuse_step(const char *steps, const char *words)
{
    char *body = join("<paper><outline><start x='0' y='0'/>\n", steps, "</outline></paper>\n");

    refuse(body, 2, words);
    free(body);
}

/* A mistake in a file of its own, counted from its first line. */
static void refuse_head(const char *head, int line, const char *words)
{
    char *text = join("<shape" SPACE "><title>T</title><about>A</about>\n", head,
                      "<paper><circle radius='1mm'/></paper></shape>\n");

    expect_refused(text, 1 + line, words);
    free(text);
}

/* ---- XML ---------------------------------------------------------------------------------- */

Test(language, bytes)
{
    struct rab_error err = {0};
    struct rab_shape *shape = NULL;

    expect_refused("", 1, "empty");
    expect_refused("shape", 1, "not well-formed");
    expect_refused("<shape" SPACE ">\n<title>\n", 3, "ends too early");
    expect_refused("<shape" SPACE ">\n<title></about></shape>", 2, "another element");
    expect_refused("<shape" SPACE ">\n<title>\xFF</title></shape>", 2, "UTF-8");
    expect_refused("<shape" SPACE ">\n\n<title>\x01</title></shape>", 3, "control character");
    expect_refused("<shape" SPACE ">\n<title a='1' a='2'/></shape>", 2, "same attribute twice");
    expect_refused("<shape" SPACE ">\n<title a=1/></shape>", 2, "quotation marks");
    expect_refused("<shape" SPACE ">\n<title>a & b</title></shape>", 2, "&amp;");
    expect_refused("<shape" SPACE ">\n<title>&nbsp;</title></shape>", 2, "no entity \"nbsp\"");
    cr_assert(not(reader_read("t", "t", NULL, "<a\0b/>", 6, &shape, &err)));
    cr_expect(eq(int, err.line, 1));
}

Test(language, doctype_is_refused)
{
    expect_refused("<?xml version='1.0'?>\n<!DOCTYPE shape [<!ENTITY a 'b'>]>\n<shape/>", 2,
                   "DOCTYPE");
    expect_refused("\n<!DOCTYPE shape SYSTEM 'shape.dtd'>\n<shape/>", 2, "DOCTYPE");
}

Test(language, namespaces)
{
    expect_refused("<shape>\n</shape>", 1, "xmlns=\"urn:rabbet:shape:1\"");
    expect_refused("\n<shape xmlns='urn:other'/>", 2, "\"urn:other\"");
    refuse("<paper><circle\nxmlns:a='urn:a' a:radius='1mm'/></paper>", 1, "no prefix");
    refuse("<paper>\n<circle xmlns='urn:other' radius='1mm'/></paper>", 2, "\"urn:other\"");
    expect_refused("<mat" SPACE "/>", 1, "<shape> or <motif>");
    refuse("<paper><circle radius='1mm'/></paper>\nwords", 2, "<shape> holds text");
}

static char *many(const char *before, const char *again, size_t times, const char *after)
{
    struct rab_text text = {0};

    rab_text_add(&text, before);
    for (size_t i = 0; i < times; i++)
        rab_text_add(&text, again);
    rab_text_add(&text, after);
    return text.data;
}

Test(language, limits)
{
    char *text = many("<paper>\n", "<circle radius='1mm'/>", SHAPE_ELEMENTS, "</paper>");
    refuse(text, 2, "more than 4096 elements");
    free(text);
    text = many("<paper>\n", "<union>", SHAPE_DEPTH, "");
    refuse(text, 2, "more than 64 deep");
    free(text);
    text = many("<paper>\n<circle ", "a='1' ", MARKUP_ATTRIBUTES + 1, "/></paper>");
    refuse(text, 2, "quotation marks");
    free(text);
    text = many("<paper>\n<!-- ", "'\" ", 1000, "--><circle/></paper>");
    refuse(text, 2, "no radius"); /* comments may hold as many as they like */
    free(text);
    text = many("<paper>\n<!--a--><circle/>", "'\" ", 1000, "</paper>");
    refuse(text, 2, "holds text"); /* and so may text */
    free(text);
    text = many("", " ", MARKUP_BYTES, "");
    refuse(text, -3, "more than 1 MB");
    free(text);
    text = many("", "<yesno name='a' usual='no'>A</yesno>", SHAPE_PARAMETERS + 1, "");
    refuse_head(text, 1, "given already");
    free(text);
}

Test(language, sixty_four_parameters)
{
    struct rab_text text = {0};
    struct rab_error err = {0};

    for (int i = 0; i < SHAPE_PARAMETERS; i++)
        rab_text_format(&text, "<yesno name='a%d' usual='no'>A</yesno>\n", i);
    char *good = join("<shape" SPACE "><title>T</title><about>A</about>\n", text.data,
                      "<paper><circle radius='1mm'/></paper></shape>\n");
    struct rab_shape *shape = read_text(good, &err);
    cr_assert(ne(ptr, shape, NULL), "%s", err.text);
    cr_expect(eq(sz, shape->parameter_count, SHAPE_PARAMETERS));
    rab_text_add(&text, "<yesno name='more' usual='no'>A</yesno>\n");
    refuse_head(text.data, SHAPE_PARAMETERS + 1, "more than 64 parameters");
    reader_free(shape);
    rab_text_clear(&text);
    free(good);
}

Test(language, names_at_once)
{
    struct rab_text text = {0};

    rab_text_add(&text, "<paper>\n");
    for (int i = 0; i < SHAPE_NAMES - 1; i++)
        rab_text_format(&text, "<let name='a%d' value='1'/>\n", i);
    rab_text_add(&text, "<circle radius='1mm'/></paper>");
    refuse(text.data, 1 + SHAPE_NAMES - 1, "more than 512 names");
    rab_text_clear(&text);
}

/* ---- the head ----------------------------------------------------------------------------- */

Test(language, introduction)
{
    expect_refused("<shape" SPACE ">\n<paper/></shape>", 2, "<title> is missing");
    expect_refused("<shape" SPACE ">\n<title>T</title>\n<paper/></shape>", 3, "<about> is missing");
    expect_refused("<shape" SPACE "/>", 1, "<title> is missing");
    expect_refused("<shape" SPACE ">\n<title/></shape>", 2, "<title> has no text");
    expect_refused("<shape" SPACE ">\n<title a='1'>T</title></shape>", 2, "no attribute \"a\"");
    expect_refused("<shape" SPACE " version='1'>\n<title>T</title></shape>", 1,
                   "no attribute \"version\"");
    expect_refused("<shape" SPACE ">\n<title>T<b/></title></shape>", 2, "cannot stand in <title>");
}

Test(language, parameters)
{
    refuse_head("<length usual='1mm' least='1mm' most='2mm'>L</length>", 1, "has no name");
    refuse_head("<length name='a' usual='1mm' least='1mm'>L</length>", 1, "has no most");
    refuse_head("<length name='a' usual='1mm' least='1mm' most='2mm'/>", 1, "has no text");
    refuse_head("<length name='a' usual='1' least='1mm' most='2mm'>L</length>", 1,
                "a length with its unit");
    refuse_head("<length name='a' usual='1mm'\nleast='30deg' most='2mm'>L</length>", 2,
                "least of <length>");
    refuse_head("<length name='a' usual='3mm' least='1mm' most='2mm'>L</length>", 1, "not between");
    refuse_head("<length name='a' usual='1mm' lest='1mm' most='2mm'>L</length>", 1,
                "did you mean least");
    refuse_head("<length name='a' usual='b' least='1mm' most='2mm'>L</length>", 1,
                "only numbers can stand here");
    refuse_head("<length name='a' usual='1mm / 0' least='1mm' most='2mm'>L</length>", 1,
                "divides by 0");
    refuse_head("<length name='a' usual='1mm' least='sqrt(-1) * 1mm' most='2mm'>L</length>", 1,
                "root of a number below 0");
    refuse_head("<length name='A' usual='1mm' least='1mm' most='2mm'>L</length>", 1,
                "cannot be a name");
    refuse_head("<length name='a-1' usual='1mm' least='1mm' most='2mm'>L</length>", 1,
                "cannot be a name");
    refuse_head("<length name='pi' usual='1mm' least='1mm' most='2mm'>L</length>", 1,
                "has a meaning");
    refuse_head("<count name='a' usual='1.5' least='1' most='2'>L</count>", 1, "whole number");
    refuse_head("<count name='a' usual='1mm' least='1' most='2'>L</count>", 1, "a plain number");
    refuse_head("<angle name='a' usual='1' least='1deg' most='2deg'>L</angle>", 1, "like 30deg");
    refuse_head("<yesno name='a' usual='maybe'>L</yesno>", 1, "give yes or no");
    refuse_head("<lenght name='a'/>", 1, "no element <lenght>");
    refuse_head("<yesno name='a' usual='no'>L</yesno>\n<ratio name='a' usual='1' least='1' "
                "most='1'>R</ratio>",
                2, "given already");
}

Test(language, choices)
{
    refuse_head("<choice name='a' usual='b' about='A'><one name='b'>B</one></choice>", 1,
                "two or more");
    refuse_head("<choice name='a' usual='b' about='A'/>", 1, "two or more");
    refuse_head("<choice name='a' usual='x' about='A'><one name='b'>B</one><one "
                "name='c'>C</one></choice>",
                1, "none of the choices");
    refuse_head("<choice name='a' usual='b' about='A'><one name='b'>B</one>\n<one "
                "name='b'>C</one></choice>",
                2, "twice");
    refuse_head("<choice name='a' usual='b' about='A'><one name='b'>B</one>\n<two "
                "name='c'>C</two></choice>",
                2, "it holds <one");
    refuse_head("<choice name='a' usual='b' about='A'>\n<one name='B'>B</one></choice>", 2,
                "name of a choice");
    refuse_head("<choice name='a' usual='b' about='A'>\n<one name='b'/></choice>", 2, "no text");
    refuse_head("<choice name='a' usual='b'><one name='b'>B</one></choice>", 1, "no about");
}

Test(language, requires)
{
    refuse_head("<require that='1'>No.</require>", 1, "a condition");
    refuse_head("<require that='yes'/>", 1, "no message");
    refuse_head("<require>No.</require>", 1, "no that");
    refuse_head("<require that='yes'>No\n{1mm + 1} more</require>", 2, "cannot be added");
    refuse_head("<require that='yes'>No\n{1mm} {2\n mm} more</require>", 2, "not expected");
    refuse_head("<require that='yes'>No\n{1mm more</require>", 2, "not closed");
    refuse_head("<require that='yes'>No\n\n1mm} more</require>", 3, "no { before");
    refuse_head("<require that='yes'>No {1mm * 1mm} more</require>", 1, "an area");
    refuse_head("<require that='yes'>No {yes} more</require>", 1, "yes or no");
    refuse_head("<require that='yes'>No {} more</require>", 1, "empty");
    refuse_head("<require that='yes'>No <b>more</b></require>", 1, "cannot stand in <require>");
    refuse("<paper><circle radius='1mm'/></paper>\n<require that='yes'>No.</require>", 2,
           "belongs in the head");
    refuse("<paper><circle radius='1mm'/></paper>\n<count name='x' usual='1' least='1' "
           "most='1'>X</count>",
           2, "belongs in the head");
}

/* ---- what is drawn ------------------------------------------------------------------------ */

Test(language, roots)
{
    refuse("", -3, "has no <paper>");
    refuse("<cut><circle radius='1mm'/></cut>", -3, "has no <paper>");
    refuse("<paper/>", 1, "is empty");
    refuse("<paper><let name='a' value='1'/></paper>", 1, "is empty");
    refuse("<circle radius='1mm'/>", 1, "put it into <paper>");
    refuse("<papre/>", 1, "did you mean paper?");
    refuse("<profile/>", 1, "<profile> cannot stand in <shape>");
    refuse("<place><circle radius='1mm'/></place>", 1, "has no name");
    refuse("<place name='No'><circle radius='1mm'/></place>", 1, "cannot be a name");
}

Test(language, attributes)
{
    refuse_area("<circle/>", "<circle> has no radius; give radius=\"...\"");
    refuse_area("<circle radius='n'/>", "must be a length, like 12mm");
    refuse_area("<circle raduis='width'/>", "did you mean radius?");
    refuse_area("<circle radius='widht'/>", "did you mean width?");
    refuse_area("<circle radius='1mm' when='n'/>", "must be a condition");
    refuse_area("<circle radius='1mm'>x</circle>", "holds text");
    refuse_area("<circle radius='1mm'><line dx='1mm'/></circle>", "cannot stand in <circle>");
    refuse_area("<polygon sides='5mm' radius='1mm'/>", "sides=\"5mm\" of <polygon> is a length");
    refuse_area("<polygon sides='5' radius='1mm' turn='5'/>", "an angle, like 30deg");
    refuse_area("<rectangle width='1mm' height='1mm' corners='round'/>", "both corners and size");
    refuse_area("<rectangle width='1mm' height='1mm' size='1mm'/>", "both corners and size");
    refuse_area("<rectangle width='1mm' height='1mm' size='1mm' corners='coves'/>",
                "did you mean cove?");
    refuse_area("<grow by='1mm' corners='bevel'><circle radius='1mm'/></grow>",
                "give round or pointed");
    refuse_area("<mirror><circle radius='1mm'/></mirror>", "needs one of x");
    refuse_area("<mirror x='0' y='0'><circle radius='1mm'/></mirror>", "needs one of x");
    refuse_area("<mirror x='0' both='true'><circle radius='1mm'/></mirror>", "give no or yes");
    refuse_area("<move><circle radius='1mm'/></move>", "give x or y");
    refuse_area("<row count='3'><circle radius='1mm'/></row>", "give x or y");
    refuse_area("<row x='1mm'><circle radius='1mm'/></row>", "has no count");
    refuse_area("<row count='width' x='1mm'><circle radius='1mm'/></row>",
                "count=\"width\" of <row> is a length; it must be a plain number");
    refuse_area("<turn by='width'><circle radius='1mm'/></turn>", "an angle, like 30deg");
    refuse_area("<use shape='No Such'/>", "cannot be a name");
    refuse_area("<use shape='a'><circle radius='1mm'/></use>", "it holds <set");
    refuse_area("<use shape='a'><set name='b'/></use>", "has no to");
    refuse_area("<union/>", "is empty");
    refuse_area("<difference></difference>", "is empty");
    refuse_area("<path><start x='0' y='0'/><line x='1mm'/></path>",
                "a path stands in an operation");
    refuse_area("<line x='1mm'/>", "cannot stand in <paper>");
    refuse_area("<sircle radius='1mm'/>", "did you mean circle?");
    refuse_area("<along count='2'><circle radius='1mm'/></along>", "what is placed along it");
    refuse("<paper>\n<circle\n x='1mm'\n radius='n'/></paper>", 4, "must be a length");
    refuse("<paper>\n<circle when='1mm > 0'\n\n radius='1mm' x='n'/></paper>", 4, "x=\"n\"");
}

Test(language, names_hold_to_the_end_of_their_element)
{
    refuse_area("<let name='width' value='1mm'/>", "given already");
    refuse_area("<let name='a' value='1mm'/><let name='a' value='1mm'/>", "given already");
    refuse_area("<let name='a' value='a'/>", "nothing is called");
    refuse_area("<union><let name='a' value='1mm'/><circle radius='a'/></union><circle "
                "radius='a'/>",
                "nothing is called \"a\"");
    refuse_area("<repeat count='2'><repeat count='2'><circle radius='1mm'/></repeat></repeat>",
                "choose another with index");
    refuse_area("<repeat count='2' index='n'><circle radius='1mm'/></repeat>", "given already");
    refuse_area("<repeat count='2' index='N'><circle radius='1mm'/></repeat>", "cannot be a name");
    refuse_area("<repeat count='i'><circle radius='1mm'/></repeat>", "nothing is called \"i\"");
    refuse_area("<along count='2'><circle radius='i * 1mm'/><circle radius='1mm'/></along>",
                "nothing is called \"i\"");
    refuse_area("<let name='a' value=\"'cove'\"/>", "a word");
}

Test(language, steps)
{
    refuse("<paper>\n<outline/></paper>", 2, "needs <start>");
    refuse("<paper>\n<outline><start x='0' y='0'/></outline></paper>", 2, "needs <start>");
    refuse("<paper><outline>\n<line x='0'/></outline></paper>", 2, "before <start>");
    refuse_step("<start x='0' y='0'/>", "put it first");
    refuse_step("<line/>", "goes nowhere");
    refuse_step("<line x='0' dx='0'/>", "both x and dx");
    refuse_step("<line y='0' dy='0'/>", "both y and dy");
    refuse_step("<arc x='0'/>", "one of bulge, angle and radius");
    refuse_step("<arc x='0' bulge='1' angle='1deg'/>", "one of bulge");
    refuse_step("<arc x='0' bulge='1' side='left'/>", "only with a radius");
    refuse_step("<arc x='0' radius='1mm' side='up'/>", "give left or right");
    refuse_step("<arc x='0' radius='1mm' large='1'/>", "give no or yes");
    refuse_step("<arc x='0' bulge='1mm'/>", "a plain number");
    refuse_step("<mirror x='0'/><line x='0'/>", "nothing can follow");
    refuse_step("<mirror x='0' both='yes'/>", "no attribute \"both\"");
    refuse_step("<repeat count='2'><mirror x='0'/></repeat>", "in a <repeat> of steps");
    refuse_step("<repeat count='2'><start x='0' y='0'/></repeat>", "in a <repeat> of steps");
    refuse_step("<repeat count='2'/>", "is empty");
    refuse_step("<circle radius='1mm'/>", "cannot stand in <outline>; it holds <start>");
    refuse_step("<lime x='0'/>", "did you mean line?");
}

Test(language, measures)
{
    refuse("<paper><circle radius='1mm'/></paper>\n<measure what='web'/>", 2,
           "one of is and least");
    refuse("<paper><circle radius='1mm'/></paper>\n<measure what='web' is='1mm' least='1mm'/>", 2,
           "one of is and least");
    refuse("<paper><circle radius='1mm'/></paper>\n<measure what='webs' is='1mm'/>", 2,
           "did you mean web?");
    refuse("<paper><circle radius='1mm'/></paper>\n<measure what='web' is='1'/>", 2, "a length");
    refuse("<paper><circle radius='1mm'/></paper>\n<measure what='pieces' is='1mm'/>", 2,
           "a plain number");
    refuse("<paper><circle radius='1mm'/></paper>\n<measure what='area' is='1mm'/>", 2, "an area");
    refuse("<paper><circle radius='1mm'/></paper>\n<measure is='1mm'/>", 2, "has no what");
}

Test(language, motifs)
{
    static const char profile[] = "<profile><start x='0' y='0'/><line x='pitch'/></profile>\n";
    char *text;

    refuse_motif("", -3, "has no <profile>");
    refuse_motif("<paper><circle radius='1mm'/></paper>", 1, "<paper> cannot stand in <motif>");
    refuse_motif("<circle radius='1mm'/>", 1, "put it into <hole>");
    refuse_motif("<length name='pitch' usual='1mm' least='1mm' most='1mm'>P</length>", 1,
                 "given already");
    refuse_motif("<count name='repeat' usual='1' least='1' most='1'>P</count>", 1,
                 "\"repeat\" is given already");
    refuse_motif("<let name='repeats' value='1'/>", 1, "\"repeats\" is given already");
    text = join(profile, "<hole><circle radius='repeat'/></hole>", "");
    refuse_motif(text, 2, "must be a length");
    free(text);
    text = join(profile, "<hole><circle radius='corner * 1mm'/></hole>", "");
    refuse_motif(text, 2, "nothing is called \"corner\"");
    free(text);
    text =
        join(profile, "<corner><turn by='corner * 1mm'><circle radius='1mm'/></turn></corner>", "");
    refuse_motif(text, 2, "an angle");
    free(text);
    expect_refused("<motif" SPACE ">\n<title>T</title><about>A</about>\n<profile/></motif>", 3,
                   "<pitch> is missing");
    expect_refused("<motif" SPACE ">\n<title>T</title><about>A</about>\n<pitch usual='1mm' "
                   "least='1mm' most='1mm'/>\n</motif>",
                   1, "<depth> is missing");
    expect_refused("<motif" SPACE ">\n<title>T</title><about>A</about>\n<pitch usual='1mm' "
                   "least='0' most='1mm'/>\n</motif>",
                   3, "not more than 0");
}

/* ---- what is read ------------------------------------------------------------------------- */

/* The example of the reference. */
Test(language, a_shape_is_read_as_it_stands)
{
    static const char text[] =
        "<shape xmlns='urn:rabbet:shape:1'>\n"
        "  <title>Round\n   window</title>\n"
        "  <about>A round opening.</about>\n"
        "  <length name='opening' usual='1in' least='5mm' most='250mm'>Diameter</length>\n"
        "  <angle name='lean' usual='30deg' least='0' most='90deg'>Lean</angle>\n"
        "  <choice name='corner' usual='cove' about='Corners'><one name='square'>S</one>\n"
        "    <one name='cove'>C</one></choice>\n"
        "  <let name='side' value='opening * 2'/>\n"
        "  <require that='side &lt;= 300mm'>Too wide:\n    give {300mm - side} or\n"
        "   {corner}.</require>\n"
        "  <paper>\n"
        "    <rectangle when=\"corner = 'cove'\" width='side' height='side' corners='cove' "
        "size='1mm'/>\n"
        "    <row count='3' index='k' x='side'><circle radius='side + k * 1mm'/></row>\n"
        "  </paper>\n"
        "</shape>\n";
    struct rab_error err = {0};
    struct rab_shape *shape = read_text(text, &err);
    const struct node *nodes;
    const struct expression *when;
    double slots[5] = {25.4, RAB_PI / 6, 1, 0, 2}, value = 0;

    cr_assert(ne(ptr, shape, NULL), "%s", err.text);
    expect_words(shape->title, "Round window");
    cr_expect(eq(sz, shape->parameter_count, 3));
    cr_expect(eq(dbl, shape->parameters[0].usual, 25.4));
    cr_expect(eq(dbl, shape->parameters[1].most, RAB_PI / 2));
    cr_expect(eq(dbl, shape->parameters[2].usual, 1));
    cr_expect(eq(dbl, shape->parameters[2].most, 1));
    nodes = shape->content->nodes;
    cr_assert(eq(sz, shape->content->node_count, 6));
    cr_expect(eq(sz, shape->content->slot_count, 5));
    cr_expect(eq(int, (int)nodes[0].tag, (int)TAG_LET));
    cr_expect(eq(uint, nodes[0].slot, 3));
    cr_expect(eq(int, nodes[0].line, 9));
    cr_assert(eq(int, (int)nodes[1].tag, (int)TAG_REQUIRE));
    cr_assert(eq(sz, nodes[1].message_count, 3));
    expect_words(nodes[1].message[0].words, "Too wide: give ");
    expect_words(nodes[1].message[1].words, " or ");
    cr_expect(eq(int, (int)nodes[1].message[1].type.kind, (int)TYPE_CHOICE));
    expect_words(nodes[1].message[2].words, ".");
    cr_expect(not(nodes[1].message[2].has_value));
    cr_expect(eq(int, (int)nodes[2].tag, (int)TAG_PAPER));
    cr_expect(eq(uint, nodes[2].first, 3));
    cr_expect(eq(uint, nodes[3].next, 4));
    cr_expect(eq(int, (int)nodes[3].corners, (int)CORNER_COVE));
    cr_expect(eq(uint, nodes[4].slot, 4));
    cr_expect(eq(uint, nodes[5].parent, 4));
    when = node_attribute(shape->content, 3, KEY_WHEN);
    cr_assert(ne(ptr, (void *)(uintptr_t)when, NULL));
    cr_assert(expression_value(when, 1, slots, &value, &err));
    cr_expect(eq(dbl, value, 1));
    cr_expect(eq(ptr, (void *)(uintptr_t)node_attribute(shape->content, 3, KEY_X), NULL));
    slots[3] = 50.8;
    cr_assert(
        expression_value(node_attribute(shape->content, 5, KEY_RADIUS), 1, slots, &value, &err));
    cr_expect(eq(dbl, value, 52.8));
    reader_free(shape);
}

/* What could move a terminal's cursor, or turn a line round, is a blank in what people read. */
Test(language, texts_are_harmless)
{
    char *text =
        join("<shape" SPACE "><title>a\xC2\x9B"
             "b \xE2\x80\xAE c</title>",
             "<about>\tx &amp; y\n</about>", "<paper><circle radius='1mm'/></paper></shape>");
    struct rab_error err = {0};
    struct rab_shape *shape = read_text(text, &err);

    cr_assert(ne(ptr, shape, NULL), "%s", err.text);
    expect_words(shape->title, "a b c");
    expect_words(shape->about, "x & y");
    reader_free(shape);
    free(text);
}

/* A byte order mark, a declaration, comments, CDATA and a namespace prefix are all the same to XML.
 */
Test(language, xml_as_it_comes)
{
    static const char text[] =
        "\xEF\xBB\xBF<?xml version='1.0' encoding='UTF-8'?>\n<!-- \"quotes\" -->\n"
        "<?xml-model href='shape.rng'?>\n"
        "<s:shape xmlns:s='urn:rabbet:shape:1'><s:title><![CDATA[A <b>]]></s:title>"
        "<s:about>A</s:about>\n<s:paper>\n<s:circle radius='x'/></s:paper></s:shape>\n";
    struct rab_error err = {0};

    cr_assert(eq(ptr, read_text(text, &err), NULL));
    cr_expect(eq(int, err.line, 6), "%s", err.text);
}
