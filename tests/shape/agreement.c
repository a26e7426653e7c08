/*
 * The reader and the schema hold the same language.
 *
 * Files that use every element and attribute, and every file of the library, are changed in their
 * structure at random (seeded): attributes taken away, added, renamed, elements taken away,
 * doubled, moved, renamed. What the reader takes the schema must take. What the schema takes the
 * reader may only refuse for what a schema cannot know: names, units, and what has to be drawn.
 */
#include "shape/embedded.h"
#include "shape/reader.h"
#include "shape/schema.h"

#include <libxml/parser.h>
#include <libxml/tree.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROUNDS = 60, CHANGES = 100, LIBRARY_CHANGES = 30, MOST_ELEMENTS = 400 };

/* Every element and attribute once; 0 fits every quantity. */
static const char all_shapes[] =
    "<shape xmlns='urn:rabbet:shape:1'><title>T</title><about>A</about>"
    "<length name='l' usual='0' least='0' most='0'>L</length>"
    "<angle name='a' usual='0' least='0' most='0'>L</angle>"
    "<count name='c' usual='0' least='0' most='0'>L</count>"
    "<ratio name='r' usual='0' least='0' most='0'>L</ratio>"
    "<choice name='o' usual='x' about='O'><one name='x'>X</one><one name='y'>Y</one></choice>"
    "<yesno name='b' usual='no'>B</yesno><let name='d' value='0'/>"
    "<require that='yes'>No {0}</require>"
    "<paper when='yes'><rectangle x='0' y='0' width='0' height='0' corners='cove' size='0'/>"
    "<circle radius='0' x='0' y='0' when='b'/><ellipse x='0' y='0' width='0' height='0'/>"
    "<polygon sides='0' radius='0' turn='0' x='0' y='0'/>"
    "<star points='0' outer='0' inner='0' turn='0' x='0' y='0'/>"
    "<sector radius='0' inner='0' from='0' to='0' x='0' y='0'/>"
    "<ring outer='0' inner='0' x='0' y='0'/><stadium x='0' y='0' width='0' height='0'/>"
    "<arch width='0' spring='0' radius='0' x='0' y='0'/>"
    "<outline><start x='0' y='0' round='0'/><line x='0' y='0' round='0'/><line dx='0'/>"
    "<arc dy='0' bulge='0'/><arc x='0' dy='0' angle='0'/>"
    "<arc x='0' radius='0' side='right' large='yes'/><repeat count='0' index='j'><line dx='0'/>"
    "</repeat><mirror x='0'/></outline>"
    "<union><circle radius='0'/></union><intersection><circle radius='0'/></intersection>"
    "<difference><let name='e' value='0'/><circle radius='0'/></difference>"
    "<grow by='0' corners='pointed'><circle radius='0'/></grow>"
    "<use shape='other'><set name='x' to='0'/><let name='e' value='0'/></use></paper>"
    "<cut><move x='0' y='0'><path><start x='0' y='0'/><line y='0'/></path></move>"
    "<turn by='0' x='0' y='0'><circle radius='0'/></turn></cut>"
    "<part-cut><mirror y='0' both='yes'><circle radius='0'/></mirror></part-cut>"
    "<crease><repeat count='0'><circle radius='0'/></repeat></crease>"
    "<perforate><row count='0' index='k' x='0' y='0'><circle radius='0'/></row></perforate>"
    "<draw><around count='0' index='k' x='0' y='0' by='0'><circle radius='0'/></around>"
    "<grid columns='0' rows='0' x='0' y='0' stagger='yes'><circle radius='0'/></grid></draw>"
    "<glue><along count='0' index='k'><path><start x='0' y='0'/><line y='0'/></path>"
    "<circle radius='0'/></along></glue>"
    "<place name='photo'><circle radius='0'/></place><measure what='web' is='0'/>"
    "<measure what='openings' least='0' when='no'/></shape>";
static const char all_motifs[] =
    "<motif xmlns='urn:rabbet:shape:1'><title>T</title><about>A</about>"
    "<pitch usual='1mm' least='1mm' most='1mm'>P</pitch><depth usual='1mm' least='1mm' most='1mm'/>"
    "<profile when='yes'><start x='0' y='0'/><line x='pitch'/></profile><valley width='0' "
    "when='yes'/><hole when='yes'><circle radius='0'/></hole><corner when='yes'><circle "
    "radius='0'/></corner><crease><path><start x='0' y='0'/><line dy='0'/></path></crease></motif>";

static const char *const element_names[] = {
    "length",  "angle",   "count",        "ratio",      "choice",    "one",    "yesno",
    "let",     "require", "paper",        "cut",        "part-cut",  "crease", "perforate",
    "draw",    "glue",    "place",        "measure",    "rectangle", "circle", "ellipse",
    "polygon", "star",    "sector",       "ring",       "stadium",   "arch",   "outline",
    "path",    "union",   "intersection", "difference", "grow",      "move",   "turn",
    "mirror",  "repeat",  "row",          "around",     "grid",      "along",  "use",
    "set",     "start",   "line",         "arc",        "profile",   "valley", "hole",
    "corner",  "title",   "about",        "pitch",      "depth",     "shape",  "motif",
    "unknown",
};
static const char *const attribute_names[] = {
    "name",  "usual", "least", "most",    "value",   "that",    "when",    "what",   "is",
    "x",     "y",     "dx",    "dy",      "width",   "height",  "corners", "size",   "radius",
    "inner", "outer", "sides", "points",  "turn",    "from",    "to",      "spring", "by",
    "both",  "count", "index", "columns", "rows",    "stagger", "shape",   "round",  "bulge",
    "angle", "side",  "large", "about",   "unknown",
};
/* What the reader knows and no schema can: beginnings of its messages, or parts of them. */
static const char *const beyond_schema[] = {
    "given already",
    "has a meaning",
    "nothing is called",
    "is empty; put",
    "has no <paper>",
    "has no <profile>",
    "has no text",
    "has no message",
    "needs <start>",
    "two or more",
    "none of the choices",
    "cannot be '",
    "it must be",
    "is a plain number",
    "is a length",
    "is an angle",
    "is an area",
    "is a choice",
    "is a word",
    "cannot be added",
    "cannot be compared",
    "twice",
    "what is placed along it",
    "not between",
    "not more than 0",
    "cannot stand in <require>",
    "cannot be subtracted",
    "cannot be multiplied",
    "cannot be divided",
    "in \"",
    "a value is empty",
    "goes nowhere",
    "whole number",
};

static uint64_t state = 88172645463325252ULL;

/* xorshift64 (Marsaglia, Journal of Statistical Software 8/14, 2003) */
static size_t pick(size_t below)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return below > 0 ? (size_t)(state % below) : 0;
}
#define PICK(list) (list[pick(sizeof list / sizeof *list)])

static size_t collect(xmlNodePtr node, xmlNodePtr *elements, size_t count)
{
    for (; node && count < MOST_ELEMENTS; node = node->next) {
        if (node->type != XML_ELEMENT_NODE)
            continue;
        elements[count++] = node;
        count = collect(node->children, elements, count);
    }
    return count;
}

static const xmlChar *bytes_of(const char *text)
{
    return (const xmlChar *)text;
}

/* A value that is right for most attributes of that name. */
static const char *value_of(const char *name)
{
    static const char *const values[][2] = {
        {"name", "q"},   {"index", "q"},     {"when", "yes"},      {"that", "yes"},
        {"what", "web"}, {"shape", "other"}, {"corners", "round"}, {"both", "yes"},
        {"large", "no"}, {"stagger", "no"},  {"side", "left"},
    };

    for (size_t i = 0; i < sizeof values / sizeof *values; i++)
        if (strcmp(values[i][0], name) == 0)
            return values[i][1];
    return "0";
}

static void change(xmlDocPtr document)
{
    static xmlNodePtr elements[MOST_ELEMENTS];
    size_t count = collect(xmlDocGetRootElement(document), elements, 0);
    xmlNodePtr one = elements[pick(count)], other = elements[pick(count)], copy;
    const char *name = PICK(attribute_names);
    size_t attribute = pick(4);
    xmlAttrPtr at = one->properties;

    switch (pick(7)) {
    case 0: /* one attribute less */
        for (; at && at->next && attribute > 0; attribute--)
            at = at->next;
        if (at)
            xmlRemoveProp(at);
        break;
    case 1:
    case 2:
        xmlSetProp(one, bytes_of(name), bytes_of(value_of(name)));
        break;
    case 3:
        xmlNodeSetName(one, bytes_of(PICK(element_names)));
        break;
    case 4:
        if (one != elements[0]) {
            xmlUnlinkNode(one);
            xmlFreeNode(one);
        }
        break;
    case 5: /* a copy elsewhere */
        copy = xmlCopyNode(one, 1);
        xmlAddChild(other, copy);
        break;
    default:
        if (one != elements[0] && other != elements[0]) {
            copy = xmlCopyNode(one, 1);
            xmlAddPrevSibling(other, copy);
        }
        break;
    }
}

static bool excused(const char *message)
{
    for (size_t i = 0; i < sizeof beyond_schema / sizeof *beyond_schema; i++)
        if (strstr(message, beyond_schema[i]))
            return true;
    return false;
}

static int counts[2][2]; /* by what the reader and the schema say */

static bool compare(struct schema *schema, const char *name, const char *bytes, size_t length)
{
    struct rab_error read_error = {0}, schema_error = {0};
    struct rab_shape *shape = NULL;
    bool reads = reader_read("test", "tests", NULL, bytes, length, &shape, &read_error);
    bool allowed = schema_check(schema, bytes, length, &schema_error);

    reader_free(shape);
    counts[reads][allowed]++;
    if ((reads && !allowed) || (!reads && allowed && !excused(read_error.text))) {
        printf("%s: the reader says \"%d: %s\", the schema \"%d: %s\"\n%.*s\n", name,
               read_error.line, read_error.text, schema_error.line, schema_error.text, (int)length,
               bytes);
        return false;
    }
    return reads || read_error.line > 0;
}

static bool run_changes(struct schema *schema, const char *name, const char *bytes, size_t length,
                        int changes)
{
    bool ok = compare(schema, name, bytes, length);

    for (int i = 0; i < changes && ok; i++) {
        xmlDocPtr document = xmlReadMemory(bytes, (int)length, NULL, "UTF-8", 0);
        xmlChar *changed = NULL;
        int size = 0;
        for (size_t k = pick(3) + 1; k > 0; k--)
            change(document);
        xmlDocDumpMemory(document, &changed, &size);
        ok = changed && compare(schema, name, (const char *)changed, (size_t)size);
        xmlFree(changed);
        xmlFreeDoc(document);
    }
    return ok;
}

int main(void)
{
    struct rab_error err = {0};
    struct schema *schema = schema_open(&err);
    bool ok = schema != NULL;

    for (int i = 0; i < ROUNDS && ok; i++)
        ok = run_changes(schema, "all shapes", all_shapes, sizeof all_shapes - 1, CHANGES) &&
             run_changes(schema, "all motifs", all_motifs, sizeof all_motifs - 1, CHANGES);
    for (size_t i = 0; i < embedded_shape_count && ok; i++)
        ok = run_changes(schema, embedded_shapes[i].name, (const char *)embedded_shapes[i].bytes,
                         embedded_shapes[i].length, LIBRARY_CHANGES);
    schema_close(schema);
    printf("both take %d, both refuse %d, only the schema takes %d, only the reader takes %d\n",
           counts[1][1], counts[0][0], counts[0][1], counts[1][0]);
    return ok && counts[1][1] > 1000 && counts[0][0] > 1000 ? 0 : 1;
}
