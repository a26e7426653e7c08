/* What a shape file draws: its elements against the vocabulary, their attributes compiled. */
#include "base/arena.h"
#include "shape/nearest.h"
#include "shape/reading.h"

#include <string.h>

static const struct markup_element *element_at(const struct reading *reading, uint32_t element)
{
    return &reading->markup.elements[element];
}

/* ---- attributes ---- */

static struct type wanted_type(enum wanted wanted)
{
    switch (wanted) {
    case WANT_LENGTH:
        return TYPE_LENGTH;
    case WANT_ANGLE:
        return TYPE_ANGLE;
    case WANT_TRUTH:
        return (struct type){TYPE_TRUTH, 0, 0, 0};
    case WANT_NUMBER:
    case WANT_ANY:
    case WANT_WORD:
        break;
    }
    return TYPE_NUMBER;
}

static const char *wanted_words(struct type type)
{
    if (type.kind == TYPE_TRUTH)
        return "a condition, like a > b";
    if (type_fits(type, TYPE_LENGTH))
        return "a length, like 12mm";
    if (type_fits(type, TYPE_ANGLE))
        return "an angle, like 30deg";
    return type_words(type);
}

static bool check_type(struct reading *reading, const struct markup_attribute *attribute,
                       const char *element, struct type given, struct type wanted)
{
    if (type_fits(given, wanted))
        return true;
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, attribute->line,
                         "%s=\"%.60s\" of <%s> is %s; it must be %s", attribute->name,
                         attribute->value, element, type_words(given), wanted_words(wanted));
}

static bool add_expression(struct reading *reading, const struct markup_attribute *attribute,
                           const char *element, const struct vocabulary_attribute *known)
{
    struct attribute made = {.key = (enum key)known->key, .line = attribute->line};
    void *attributes = reading->attributes;

    if (!expression_read(attribute->value, attribute->line, &reading->scope, reading->arena,
                         &made.expression, &made.type, reading->err))
        return false;
    if (known->wanted != WANT_ANY &&
        !check_type(reading, attribute, element, made.type, wanted_type(known->wanted)))
        return false;
    if (!rab_reserve(&attributes, &reading->attribute_capacity, reading->attribute_count + 1,
                     sizeof made, reading->err))
        return false;
    reading->attributes = attributes;
    reading->attributes[reading->attribute_count++] = made;
    return true;
}

/* Which of its few words an attribute is. */
static bool find_word(struct reading *reading, const struct markup_attribute *attribute,
                      const char *element, int word, int *found)
{
    const char *const *words = vocabulary_words(word);
    struct nearest nearest = {.wanted = attribute->value};
    char advice[256];

    for (int i = 0; words[i]; i++) {
        if (strcmp(words[i], attribute->value) == 0) {
            *found = i;
            return true;
        }
    }
    for (int i = 0; words[i]; i++)
        nearest_look(&nearest, words[i]);
    if (words[2])
        nearest_words(&nearest, advice, sizeof advice, "; see the reference for what it can be");
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, attribute->line,
                         words[2] ? "%s=\"%.60s\" of <%s> is not known%s"
                                  : "%s=\"%.60s\" of <%s> is not known; give %s or %s",
                         attribute->name, attribute->value, element, words[2] ? advice : words[0],
                         words[1]);
}

static bool copy_name(struct reading *reading, const struct markup_attribute *attribute,
                      const char *element, bool word, struct node *node)
{
    if (word ? !reader_word_ok(attribute->value) : !expression_name_ok(attribute->value))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, attribute->line,
                             "%s=\"%.64s\" of <%s> cannot be a name; use small letters, digits and "
                             "hyphens, a letter at the start",
                             attribute->name, attribute->value, element);
    node->text =
        arena_text(reading->arena, attribute->value, strlen(attribute->value), reading->err);
    return node->text != NULL;
}

static bool set_word(struct reading *reading, const struct markup_attribute *attribute,
                     const char *element, int word, struct node *node)
{
    int found = 0;

    if (word == WORD_NAME || word == WORD_SHAPE)
        return copy_name(reading, attribute, element, word == WORD_SHAPE, node);
    if (word == WORD_INDEX)
        return true; /* declared where the content begins */
    if (!find_word(reading, attribute, element, word, &found))
        return false;
    switch (word) {
    case WORD_WHAT:
        node->measured = (enum measured)found;
        break;
    case WORD_CORNERS:
        node->corners = (enum corner_kind)(CORNER_ROUND + found);
        break;
    case WORD_POINTED:
        node->pointed = found == 1;
        break;
    case WORD_BOTH:
        node->both = found == 1;
        break;
    case WORD_STAGGER:
        node->stagger = found == 1;
        break;
    case WORD_SIDE:
        node->right = found == 1;
        break;
    case WORD_LARGE:
        node->large = found == 1;
        break;
    default:
        break;
    }
    return true;
}

static bool refuse_attribute(struct reading *reading, const struct markup_attribute *attribute,
                             const struct vocabulary_element *element)
{
    struct nearest nearest = {.wanted = attribute->name};
    char advice[256];

    for (size_t i = 0; i < VOCABULARY_ATTRIBUTES && element->attributes[i].name; i++)
        nearest_look(&nearest, element->attributes[i].name);
    nearest_words(&nearest, advice, sizeof advice, "; the reference lists those that it has");
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, attribute->line,
                         "<%s> has no attribute \"%.40s\"%s", element->name, attribute->name,
                         advice);
}

static bool read_attributes(struct reading *reading, uint32_t index,
                            const struct vocabulary_element *known, struct node *node)
{
    const struct markup_element *element = element_at(reading, index);

    node->attributes = (uint32_t)reading->attribute_count;
    for (uint32_t i = 0; i < element->attribute_count; i++) {
        const struct markup_attribute *attribute =
            &reading->markup.attributes[element->attributes + i];
        const struct vocabulary_attribute *one = known->attributes;
        while (one < known->attributes + VOCABULARY_ATTRIBUTES && one->name &&
               strcmp(one->name, attribute->name) != 0)
            one++;
        if (one == known->attributes + VOCABULARY_ATTRIBUTES || !one->name)
            return refuse_attribute(reading, attribute, known);
        if (!(one->key < KEYS ? add_expression(reading, attribute, known->name, one)
                              : set_word(reading, attribute, known->name, one->key, node)))
            return false;
    }
    node->attribute_count = (uint32_t)reading->attribute_count - node->attributes;
    for (size_t i = 0; i < VOCABULARY_ATTRIBUTES && known->attributes[i].name; i++)
        if (known->attributes[i].required &&
            !head_attribute(reading, index, known->attributes[i].name))
            return rab_fail_line(reading->err, RAB_FAULT_INPUT, element->line,
                                 "<%s> has no %s; give %s=\"...\"", known->name,
                                 known->attributes[i].name, known->attributes[i].name);
    return true;
}

/* ---- what attributes must be together ---- */

static bool has(const struct reading *reading, uint32_t index, const char *name)
{
    return head_attribute(reading, index, name) != NULL;
}

static bool fault(struct reading *reading, uint32_t index, const char *words)
{
    return rab_fail_line(reading->err, RAB_FAULT_INPUT, element_at(reading, index)->line, "<%s> %s",
                         element_at(reading, index)->name, words);
}

static bool check_point(struct reading *reading, uint32_t index)
{
    const bool x = has(reading, index, "x"), dx = has(reading, index, "dx");
    const bool y = has(reading, index, "y"), dy = has(reading, index, "dy");

    if ((x && dx) || (y && dy))
        return fault(reading, index,
                     x && dx ? "has both x and dx; give one of them"
                             : "has both y and dy; give one of them");
    if (!x && !dx && !y && !dy)
        return fault(reading, index, "goes nowhere; give x or dx, y or dy");
    return true;
}

static bool check_arc(struct reading *reading, uint32_t index)
{
    const int ways =
        has(reading, index, "bulge") + has(reading, index, "angle") + has(reading, index, "radius");

    if (ways != 1)
        return fault(reading, index, "needs one of bulge, angle and radius");
    if (!has(reading, index, "radius") &&
        (has(reading, index, "side") || has(reading, index, "large")))
        return fault(reading, index, "takes side and large only with a radius");
    return check_point(reading, index);
}

/* A measure's value has the kind that it measures. */
static bool check_measure(struct reading *reading, uint32_t index, const struct node *node)
{
    const bool is = has(reading, index, "is");
    struct type wanted = TYPE_LENGTH;

    if (is == has(reading, index, "least"))
        return fault(reading, index, "needs one of is and least");
    if (node->measured == MEASURED_OPENINGS || node->measured == MEASURED_PIECES)
        wanted = TYPE_NUMBER;
    else if (node->measured == MEASURED_AREA)
        wanted = TYPE_AREA;
    for (uint32_t i = 0; i < node->attribute_count; i++) {
        const struct attribute *attribute = &reading->attributes[node->attributes + i];
        if (attribute->key != KEY_WHEN &&
            !check_type(reading, head_attribute(reading, index, is ? "is" : "least"), "measure",
                        attribute->type, wanted))
            return false;
    }
    return true;
}

static bool check_together(struct reading *reading, uint32_t index, const struct node *node)
{
    const bool x = has(reading, index, "x"), y = has(reading, index, "y");

    switch (node->tag) {
    case TAG_RECTANGLE:
        if (has(reading, index, "corners") != has(reading, index, "size"))
            return fault(reading, index, "needs both corners and size, or neither");
        return true;
    case TAG_MOVE:
    case TAG_ROW:
        return x || y || fault(reading, index, "goes nowhere; give x or y");
    case TAG_MIRROR:
        return x != y || fault(reading, index,
                               "needs one of x (left for right) and y (upside "
                               "down)");
    case TAG_LINE:
        return check_point(reading, index);
    case TAG_ARC:
        return check_arc(reading, index);
    case TAG_MEASURE:
        return check_measure(reading, index, node);
    default:
        return true;
    }
}

/* ---- elements ---- */

static bool add_node(struct reading *reading, const struct node *node, uint32_t *index)
{
    void *nodes = reading->nodes;

    if (!rab_reserve(&nodes, &reading->node_capacity, reading->node_count + 1, sizeof *node,
                     reading->err))
        return false;
    reading->nodes = nodes;
    *index = (uint32_t)reading->node_count;
    reading->nodes[reading->node_count++] = *node;
    return true;
}

static uint32_t take_slots(struct reading *reading, size_t count)
{
    uint32_t slot = (uint32_t)reading->file->slot_count;

    reading->file->slot_count += count;
    return slot;
}

static bool read_let(struct reading *reading, uint32_t index, struct node *node)
{
    const struct markup_attribute *value = head_attribute(reading, index, "value");
    const struct type type = reading->attributes[node->attributes].type;

    if (type.kind == TYPE_WORD)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, value->line,
                             "value=\"%.60s\" of <let> is a word; words are for comparing with a "
                             "choice (corner = 'cove')",
                             value->value);
    node->slot = take_slots(reading, 1);
    return head_declare(reading, node->text, type, node->slot,
                        head_attribute(reading, index, "name")->line);
}

static bool counts(enum tag tag)
{
    return tag == TAG_REPEAT || tag == TAG_ROW || tag == TAG_AROUND || tag == TAG_ALONG;
}

/* The names that hold within an element. */
static bool declare_counters(struct reading *reading, uint32_t index, struct node *node)
{
    const struct markup_attribute *given = head_attribute(reading, index, "index");
    const int line = given ? given->line : node->line;
    const char *name = "i";

    if (node->tag == TAG_CORNER) {
        node->slot = take_slots(reading, 1);
        return head_declare(reading, "corner", TYPE_ANGLE, node->slot, line);
    }
    if (node->tag == TAG_GRID) {
        node->slot = take_slots(reading, 2);
        return head_declare(reading, "column", TYPE_NUMBER, node->slot, line) &&
               head_declare(reading, "row", TYPE_NUMBER, node->slot + 1, line);
    }
    if (!counts(node->tag))
        return true;
    if (given)
        name = arena_text(reading->arena, given->value, strlen(given->value), reading->err);
    node->slot = take_slots(reading, 1);
    return name && head_declare(reading, name, TYPE_NUMBER, node->slot, line);
}

/* NOLINTBEGIN(misc-no-recursion): no deeper than markup_read allows elements to be */

static bool read_children(struct reading *reading, uint32_t element, uint32_t node, unsigned where);

static bool read_element(struct reading *reading, uint32_t index, uint32_t parent, unsigned where,
                         uint32_t *out)
{
    const struct markup_element *element = element_at(reading, index);
    const struct vocabulary_element *known = vocabulary_find(element->name, where);
    struct node node = {.line = element->line,
                        .parent = parent,
                        .first = NO_NODE,
                        .next = NO_NODE,
                        .slot = NO_SLOT};
    unsigned holds;

    if (!known)
        return vocabulary_refuse(element->name, where, element_at(reading, element->parent)->name,
                                 element->line, reading->err);
    node.tag = known->tag;
    if (node.tag == TAG_OPERATION)
        node.operation = known->operation;
    if (element->text && known->holds != HOLDS_WORDS)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, element->text_line,
                             "<%s> holds text; leave it away", known->name);
    if (!read_attributes(reading, index, known, &node) || !check_together(reading, index, &node))
        return false;
    if (node.tag == TAG_LET && !read_let(reading, index, &node))
        return false;
    if (node.tag == TAG_REQUIRE && !head_message(reading, index, &node))
        return false;
    if (!add_node(reading, &node, out))
        return false;
    holds = known->holds;
    if (holds == HOLDS_SAME)
        holds = where & HOLDS_MIXED ? HOLDS_MIXED : HOLDS_AREAS;
    return read_children(reading, index, *out, holds);
}

/* What must be in an element. */
static bool check_content(struct reading *reading, uint32_t index, enum tag tag, size_t drawn)
{
    switch (tag) {
    case TAG_ALONG:
        return drawn >= 2 || fault(reading, index, "needs a line, and what is placed along it");
    case TAG_OUTLINE:
    case TAG_PATH:
    case TAG_PROFILE:
        return drawn >= 2 || fault(reading, index, "needs <start> and steps after it");
    default:
        return drawn >= 1 || fault(reading, index, "is empty; put something into it");
    }
}

/* Where steps may stand among steps: start first, the mirror last. */
static bool check_step(struct reading *reading, uint32_t index, enum tag parent, size_t before)
{
    const struct markup_element *element = element_at(reading, index);
    const bool is_start = strcmp(element->name, "start") == 0;
    const bool repeated = parent == TAG_REPEAT;

    if (repeated && (is_start || strcmp(element->name, "mirror") == 0))
        return fault(reading, index, "cannot stand in a <repeat> of steps");
    if (!repeated && is_start != (before == 0))
        return fault(reading, index,
                     is_start ? "stands after other steps; put it first"
                              : "stands before <start>; begin with <start x=\"...\" y=\"...\"/>");
    if (strcmp(element->name, "mirror") == 0 && element->next != NO_ELEMENT)
        return fault(reading, index, "is the last step; nothing can follow it");
    return true;
}

static bool read_children(struct reading *reading, uint32_t index, uint32_t node, unsigned where)
{
    const size_t names = reading->scope.count;
    const enum tag tag = reading->nodes[node].tag;
    uint32_t last = NO_NODE;
    size_t drawn = 0;

    if (where == HOLDS_NOTHING || where == HOLDS_WORDS) {
        if (element_at(reading, index)->first != NO_ELEMENT)
            return rab_fail_line(reading->err, RAB_FAULT_INPUT,
                                 element_at(reading, element_at(reading, index)->first)->line,
                                 "<%.40s> cannot stand in <%s>",
                                 element_at(reading, element_at(reading, index)->first)->name,
                                 element_at(reading, index)->name);
        return true;
    }
    if (tag != TAG_ALONG && !declare_counters(reading, index, &reading->nodes[node]))
        return false;
    for (uint32_t i = element_at(reading, index)->first; i != NO_ELEMENT;
         i = element_at(reading, i)->next) {
        /* what is not drawn by itself: names, and the mirror at the end of an outline */
        const bool let = strcmp(element_at(reading, i)->name, "let") == 0;
        const bool last_step =
            where == HOLDS_STEPS && strcmp(element_at(reading, i)->name, "mirror") == 0;
        unsigned here = where;
        uint32_t child = NO_NODE;

        /* the line of <along> may be a path anywhere; it knows no counter yet */
        if (tag == TAG_ALONG && drawn == 0)
            here = strcmp(element_at(reading, i)->name, "path") == 0 ? HOLDS_MIXED : HOLDS_AREAS;
        if ((where == HOLDS_STEPS && !let && !check_step(reading, i, tag, drawn)) ||
            !read_element(reading, i, node, here, &child))
            return false;
        if (last == NO_NODE)
            reading->nodes[node].first = child;
        else
            reading->nodes[last].next = child;
        last = child;
        drawn += !let && !last_step;
        if (tag == TAG_ALONG && drawn == 1 && !let &&
            !declare_counters(reading, index, &reading->nodes[node]))
            return false;
    }
    reading->scope.count = names;
    return where == HOLDS_SETS || check_content(reading, index, tag, drawn);
}

/* NOLINTEND(misc-no-recursion) */

/* ---- the root ---- */

static bool check_root(struct reading *reading, bool drawn)
{
    const bool motif = reading->shape->motif;

    if (!drawn)
        return fault(reading, 0,
                     motif ? "has no <profile>; draw one repeat of the edge"
                           : "has no <paper>; put what is to be paper into one");
    return true;
}

bool body_read(struct reading *reading, uint32_t first)
{
    const unsigned where = reading->shape->motif ? HOLDS_MOTIF : HOLDS_SHAPE;
    const enum tag must = reading->shape->motif ? TAG_PROFILE : TAG_PAPER;
    uint32_t last = NO_NODE;
    bool head = true, found = false;

    reading->file->first = NO_NODE;
    for (uint32_t i = first; i != NO_ELEMENT; i = element_at(reading, i)->next) {
        const char *name = element_at(reading, i)->name;
        uint32_t node = NO_NODE;

        if (head && head_is_parameter(name))
            continue;
        if (strcmp(name, "let") != 0 && strcmp(name, "require") != 0)
            head = false;
        else if (!head && strcmp(name, "require") == 0)
            return vocabulary_refuse(name, where, element_at(reading, 0)->name,
                                     element_at(reading, i)->line, reading->err);
        if (!read_element(reading, i, NO_NODE, where, &node))
            return false;
        if (last == NO_NODE)
            reading->file->first = node;
        else
            reading->nodes[last].next = node;
        last = node;
        found = found || reading->nodes[node].tag == must;
    }
    return check_root(reading, found);
}
