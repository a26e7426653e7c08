#include "read/tree.h"

#include "base/xml.h"
#include "rabbet/read.h"
#include "read/decode.h"

#include <libxml/SAX2.h>
#include <libxml/parser.h>
#include <stdlib.h>
#include <string.h>

static const char svg_space[] = "http://www.w3.org/2000/svg";
static const char xlink_space[] = "http://www.w3.org/1999/xlink";

/* Bounds on what could cost far more than the size of the file would suggest. */
enum {
    ATTRIBUTES_IN_FILE = 4000000,
    NAMESPACES_AT_ONCE = 256, /* libxml2 walks through them for every prefix */
    ENTITIES_DECLARED = 4096, /* they are found in a table that does not grow */
    DEFAULTS_DECLARED = 256,  /* by ATTLIST; each is put on every element of its name */
    QUOTES_IN_ENTITY = 512,   /* twice the attributes that decode_drawing allows an element */
    EXPANSION_FLOOR = 1 << 20,
    EXPANSION_FACTOR = 10, /* entities may expand to this many times the file, or the floor */
};

/* ---- names ---- */

struct name {
    const char *name;
    int value;
};

static int compare_names(const void *a, const void *b)
{
    return strcmp(((const struct name *)a)->name, ((const struct name *)b)->name);
}

static int look_up(const struct name *names, size_t count, const char *name, int missing)
{
    struct name wanted = {name, 0};
    const struct name *found = bsearch(&wanted, names, count, sizeof *names, compare_names);

    return found ? found->value : missing;
}

/* In the order of strcmp. */
static const struct name tag_names[] = {
    {"a", TAG_A},
    {"animate", TAG_HIDDEN},
    {"animateColor", TAG_HIDDEN},
    {"animateMotion", TAG_HIDDEN},
    {"animateTransform", TAG_HIDDEN},
    {"audio", TAG_HIDDEN},
    {"canvas", TAG_FOREIGN},
    {"circle", TAG_CIRCLE},
    {"clipPath", TAG_CLIP},
    {"color-profile", TAG_HIDDEN},
    {"cursor", TAG_HIDDEN},
    {"defs", TAG_DEFS},
    {"desc", TAG_HIDDEN},
    {"discard", TAG_HIDDEN},
    {"ellipse", TAG_ELLIPSE},
    {"filter", TAG_HIDDEN},
    {"font", TAG_HIDDEN},
    {"font-face", TAG_HIDDEN},
    {"foreignObject", TAG_FOREIGN},
    {"g", TAG_G},
    {"iframe", TAG_FOREIGN},
    {"image", TAG_IMAGE},
    {"line", TAG_LINE},
    {"linearGradient", TAG_HIDDEN},
    {"marker", TAG_MARKER},
    {"mask", TAG_MASK},
    {"metadata", TAG_HIDDEN},
    {"path", TAG_PATH},
    {"pattern", TAG_PATTERN},
    {"polygon", TAG_POLYGON},
    {"polyline", TAG_POLYLINE},
    {"radialGradient", TAG_HIDDEN},
    {"rect", TAG_RECT},
    {"script", TAG_HIDDEN},
    {"set", TAG_HIDDEN},
    {"solidColor", TAG_HIDDEN},
    {"style", TAG_STYLE},
    {"svg", TAG_SVG},
    {"switch", TAG_SWITCH},
    {"symbol", TAG_SYMBOL},
    {"text", TAG_TEXT},
    {"title", TAG_TITLE},
    {"use", TAG_USE},
    {"video", TAG_FOREIGN},
    {"view", TAG_HIDDEN},
};

static const struct name key_names[] = {
    {"class", KEY_CLASS},
    {"clip-path", KEY_CLIP_PATH},
    {"cx", KEY_CX},
    {"cy", KEY_CY},
    {"d", KEY_D},
    {"display", KEY_DISPLAY},
    {"fill", KEY_FILL},
    {"fill-rule", KEY_FILL_RULE},
    {"filter", KEY_FILTER},
    {"font-size", KEY_FONT_SIZE},
    {"height", KEY_HEIGHT},
    {"href", KEY_HREF},
    {"id", KEY_ID},
    {"marker", KEY_MARKER},
    {"marker-end", KEY_MARKER_END},
    {"marker-mid", KEY_MARKER_MID},
    {"marker-start", KEY_MARKER_START},
    {"mask", KEY_MASK},
    {"media", KEY_MEDIA},
    {"opacity", KEY_OPACITY},
    {"points", KEY_POINTS},
    {"preserveAspectRatio", KEY_ASPECT},
    {"r", KEY_R},
    {"requiredExtensions", KEY_EXTENSIONS},
    {"requiredFeatures", KEY_FEATURES},
    {"rx", KEY_RX},
    {"ry", KEY_RY},
    {"stroke", KEY_STROKE},
    {"style", KEY_STYLE},
    {"systemLanguage", KEY_LANGUAGE},
    {"transform", KEY_TRANSFORM},
    {"transform-origin", KEY_ORIGIN},
    {"type", KEY_TYPE},
    {"viewBox", KEY_VIEW_BOX},
    {"visibility", KEY_VISIBILITY},
    {"width", KEY_WIDTH},
    {"x", KEY_X},
    {"x1", KEY_X1},
    {"x2", KEY_X2},
    {"xlink:href", KEY_XLINK_HREF},
    {"y", KEY_Y},
    {"y1", KEY_Y1},
    {"y2", KEY_Y2},
};

enum { TAG_NAMES = sizeof tag_names / sizeof tag_names[0] };
enum { KEY_NAMES = sizeof key_names / sizeof key_names[0] };

enum key key_named(const char *name, size_t length)
{
    char words[32];

    if (length >= sizeof words)
        return KEY_COUNT;
    memcpy(words, name, length);
    words[length] = '\0';
    return (enum key)look_up(key_names, KEY_NAMES, words, KEY_COUNT);
}

const char *key_name(enum key key)
{
    for (size_t i = 0; i < KEY_NAMES; i++)
        if (key_names[i].value == (int)key)
            return key_names[i].name;
    return "";
}

/* ---- comments ---- */

void blank_comments(char *text)
{
    for (char *at = text; *at; at++) {
        if (*at == '"' || *at == '\'') {
            char mark = *at;
            for (at++; *at && *at != mark; at++)
                if (*at == '\\' && at[1])
                    at++;
            if (!*at)
                return;
        } else if (at[0] == '/' && at[1] == '*') {
            char *end = strstr(at + 2, "*/");
            size_t length = end ? (size_t)(end - at) + 2 : strlen(at);
            memset(at, ' ', length);
            at += length - 1;
        }
    }
}

/* ---- building ---- */

struct scope {
    size_t depth, count;
};

struct build {
    struct tree tree;
    xmlParserCtxtPtr context;
    const struct rab_text *text;
    size_t elements;
    uint32_t open;         /* the element that we are in; NO_NODE outside the root */
    size_t ignored;        /* levels deep in something that is left out */
    bool collects;         /* in a title or style element */
    struct rab_text words; /* its content so far */
    size_t expanded, expansion;
    const char *declared; /* the entity that has just been declared */
    size_t defaults, entities;
    struct scope *scopes; /* the open elements that declare namespaces */
    size_t scope_count, scope_capacity;
    size_t depth, namespaces, attributes;
    const char *bare; /* the root's prefix ("" for none) when it has no namespace; else NULL */
    bool failed;
    bool told_prefix, told_sheet;
    struct rab_warnings *notes;
    struct rab_error *err;
};

/* xmlStopParser only takes effect between constructs, so every hook looks at `failed` first. */
static void stop(struct build *build)
{
    build->failed = true;
    xmlStopParser(build->context);
}

static int current_line(const struct build *build)
{
    return build->context->input ? build->context->input->line : 0;
}

/* Where the start tag that has just been read begins. */
static int tag_line(const struct build *build)
{
    const xmlParserInput *input = build->context->input;
    size_t left = (size_t)(input->end - input->cur);
    const char *now, *at;
    int line = input->line;

    if (left > build->text->length)
        return line;
    now = build->text->data + (build->text->length - left);
    at = memrchr(build->text->data, '<', (size_t)(now - build->text->data));
    for (; at && at < now; at++)
        line -= *at == '\n';
    return line;
}

static bool is_svg(const struct build *build, const xmlChar *prefix, const xmlChar *space)
{
    if (!space)
        return build->bare && strcmp(prefix ? (const char *)prefix : "", build->bare) == 0;
    return strcmp((const char *)space, svg_space) == 0;
}

static enum key attribute_key(const xmlChar *name, const xmlChar *prefix, const xmlChar *space)
{
    if (!prefix)
        return key_named((const char *)name, strlen((const char *)name));
    if (strcmp((const char *)name, "href") == 0 &&
        strcmp(space ? (const char *)space : (const char *)prefix, space ? xlink_space : "xlink") ==
            0)
        return KEY_XLINK_HREF;
    return KEY_COUNT;
}

static bool add_attributes(struct build *build, struct node *node, const xmlChar **list, int count)
{
    struct tree *tree = &build->tree;

    node->attributes = (uint32_t)tree->attribute_count;
    for (int i = 0; i < count; i++, list += 5) {
        enum key key = attribute_key(list[0], list[1], list[2]);
        char *value;

        if (key == KEY_COUNT)
            continue;
        value =
            arena_text(tree->arena, (const char *)list[3], (size_t)(list[4] - list[3]), build->err);
        if (!value || !rab_reserve((void **)&tree->attributes, &tree->attribute_capacity,
                                   tree->attribute_count + 1, sizeof *tree->attributes, build->err))
            return false;
        if (key == KEY_STYLE)
            blank_comments(value);
        tree->attributes[tree->attribute_count++] =
            (struct attribute){key, (uint32_t)(list[4] - list[3]), value};
        node->attribute_count++;
    }
    return true;
}

static bool check_root(struct build *build, const xmlChar *name, const xmlChar *prefix,
                       const xmlChar *space, int line)
{
    struct quote shown = quote_text((const char *)name, strlen((const char *)name));

    if (strcmp((const char *)name, "svg") != 0)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, line,
                             "the document's root is <%s>; an SVG drawing's is <svg>", shown.text);
    if (!space) {
        build->bare = arena_text(build->tree.arena, prefix ? (const char *)prefix : "",
                                 prefix ? strlen((const char *)prefix) : 0, build->err);
        if (!build->bare)
            return false;
        return rab_warn(build->notes, build->err, "namespace", line,
                        "the drawing does not declare the SVG namespace; it is read all the same");
    }
    if (strcmp((const char *)space, svg_space) != 0)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, line,
                             "the root's namespace is \"%s\"; an SVG drawing's is \"%s\"",
                             quote_text((const char *)space, strlen((const char *)space)).text,
                             svg_space);
    return true;
}

/* Children of these are of no use to anybody. */
static bool is_closed(enum tag tag)
{
    return tag == TAG_TEXT || tag == TAG_IMAGE || tag == TAG_FOREIGN || tag == TAG_HIDDEN ||
           tag == TAG_TITLE || tag == TAG_STYLE;
}

static bool add_node(struct build *build, const xmlChar *name, const xmlChar **attributes,
                     int count, int line)
{
    struct tree *tree = &build->tree;
    uint32_t index = (uint32_t)tree->count;
    struct node node = {
        .parent = build->open, .first = NO_NODE, .last = NO_NODE, .next = NO_NODE, .line = line};

    if (tree->count >= build->elements)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, line,
                             "more than %zu elements; simplify the drawing", build->elements);
    node.tag = (enum tag)look_up(tag_names, TAG_NAMES, (const char *)name, TAG_UNKNOWN);
    node.name = arena_text(tree->arena, (const char *)name, strlen((const char *)name), build->err);
    if (!node.name || !add_attributes(build, &node, attributes, count) ||
        !rab_reserve((void **)&tree->nodes, &tree->capacity, tree->count + 1, sizeof node,
                     build->err))
        return false;
    tree->nodes[tree->count++] = node;
    if (build->open != NO_NODE) {
        struct node *parent = &tree->nodes[build->open];
        if (parent->last == NO_NODE)
            parent->first = index;
        else
            tree->nodes[parent->last].next = index;
        parent->last = index;
    }
    build->open = index;
    build->collects = node.tag == TAG_TITLE || node.tag == TAG_STYLE;
    return true;
}

/* What could cost the parser more than linear time, or us more memory than the file's size. */
static bool check_amounts(struct build *build, size_t namespaces, size_t attributes)
{
    build->depth++;
    build->attributes += attributes;
    if (build->attributes > ATTRIBUTES_IN_FILE)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, tag_line(build),
                             "more than %d attributes; simplify the drawing", ATTRIBUTES_IN_FILE);
    if (namespaces == 0)
        return true;
    build->namespaces += namespaces;
    if (build->namespaces > NAMESPACES_AT_ONCE)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, tag_line(build),
                             "more than %d namespaces are declared at once; save the drawing as "
                             "plain SVG",
                             NAMESPACES_AT_ONCE);
    if (!rab_reserve((void **)&build->scopes, &build->scope_capacity, build->scope_count + 1,
                     sizeof *build->scopes, build->err))
        return false;
    build->scopes[build->scope_count++] = (struct scope){build->depth, namespaces};
    return true;
}

static bool open_element(struct build *build, const xmlChar *name, const xmlChar *prefix,
                         const xmlChar *space, const xmlChar **attributes, int count)
{
    if (build->open == NO_NODE && !check_root(build, name, prefix, space, tag_line(build)))
        return false;
    if (build->ignored > 0 || !is_svg(build, prefix, space) ||
        (build->open != NO_NODE && is_closed(build->tree.nodes[build->open].tag))) {
        build->ignored++;
        return true;
    }
    return add_node(build, name, attributes, count, tag_line(build));
}

static void on_start(void *context, const xmlChar *name, const xmlChar *prefix,
                     const xmlChar *space, int namespace_count, const xmlChar **namespaces,
                     int count, int defaulted, const xmlChar **attributes)
{
    struct build *build = context;

    (void)namespaces;
    (void)defaulted;
    if (build->failed)
        return;
    if (!check_amounts(build, (size_t)namespace_count, (size_t)count) ||
        !open_element(build, name, prefix, space, attributes, count))
        stop(build);
}

static void on_end(void *context, const xmlChar *name, const xmlChar *prefix, const xmlChar *space)
{
    struct build *build = context;
    struct node *node;

    (void)name;
    (void)prefix;
    (void)space;
    if (build->failed)
        return;
    if (build->scope_count > 0 && build->scopes[build->scope_count - 1].depth == build->depth)
        build->namespaces -= build->scopes[--build->scope_count].count;
    build->depth--;
    if (build->ignored > 0) {
        build->ignored--;
        return;
    }
    node = &build->tree.nodes[build->open];
    if (build->collects) {
        char *content = NULL;
        if (rab_text_ok(&build->words, build->err))
            content = arena_text(build->tree.arena, build->words.data ? build->words.data : "",
                                 build->words.length, build->err);
        if (!content) {
            stop(build);
            return;
        }
        if (node->tag == TAG_STYLE)
            blank_comments(content);
        node->content = content;
        rab_text_clear(&build->words);
        build->collects = false;
    }
    build->open = node->parent;
}

static void on_text(void *context, const xmlChar *text, int length)
{
    struct build *build = context;

    if (!build->failed && build->collects && build->ignored == 0)
        rab_text_bytes(&build->words, text, (size_t)length);
}

static void on_instruction(void *context, const xmlChar *target, const xmlChar *data)
{
    struct build *build = context;

    (void)data;
    if (build->failed || build->told_sheet || strcmp((const char *)target, "xml-stylesheet") != 0)
        return;
    build->told_sheet = true;
    if (!rab_warn(build->notes, build->err, "style", current_line(build),
                  "a style sheet outside the file is not read; embed it in a style element"))
        stop(build);
}

/* ---- entities and declarations ---- */

static void on_document(void *context)
{
    xmlSAX2StartDocument(((struct build *)context)->context);
}

static void on_subset(void *context, const xmlChar *name, const xmlChar *external,
                      const xmlChar *system)
{
    xmlSAX2InternalSubset(((struct build *)context)->context, name, external, system);
}

static bool check_entity(struct build *build, const xmlChar *name, int type, const xmlChar *content)
{
    struct quote shown = quote_text((const char *)name, strlen((const char *)name));
    size_t quotes = 0;

    if (type == XML_INTERNAL_PARAMETER_ENTITY || type == XML_EXTERNAL_PARAMETER_ENTITY)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, current_line(build),
                             "the parameter entity \"%s\" is not expanded; write the declarations "
                             "out or leave them away",
                             shown.text);
    if (type != XML_INTERNAL_GENERAL_ENTITY)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, current_line(build),
                             "the entity \"%s\" lies outside the file and is not read; put its "
                             "text into the file",
                             shown.text);
    if (++build->entities > ENTITIES_DECLARED)
        return rab_fail_line(build->err, RAB_FAULT_INPUT, current_line(build),
                             "more than %d entities; write them out", ENTITIES_DECLARED);
    for (const xmlChar *c = content; c && *c; c++)
        quotes += *c == '"' || *c == '\'';
    if (quotes > QUOTES_IN_ENTITY && strchr((const char *)content, '<'))
        return rab_fail_line(build->err, RAB_FAULT_INPUT, current_line(build),
                             "the entity \"%s\" holds too much of the drawing; write it out",
                             shown.text);
    return true;
}

static void on_entity(void *context, const xmlChar *name, int type, const xmlChar *external,
                      const xmlChar *system, xmlChar *content)
{
    struct build *build = context;

    if (build->failed)
        return;
    if (!check_entity(build, name, type, content)) {
        stop(build);
        return;
    }
    xmlSAX2EntityDecl(build->context, name, type, external, system, content);
    build->declared = (const char *)name;
}

static void on_unparsed_entity(void *context, const xmlChar *name, const xmlChar *external,
                               const xmlChar *system, const xmlChar *notation)
{
    (void)notation;
    on_entity(context, name, XML_EXTERNAL_GENERAL_UNPARSED_ENTITY, external, system, NULL);
}

/* Every reference in the document and every one met in expanding comes through here, so this is
 * where a bomb is seen before it goes off. */
static xmlEntityPtr find_entity(void *context, const xmlChar *name)
{
    struct build *build = context;
    xmlEntityPtr entity;
    bool just_declared;

    if (build->failed)
        return NULL;
    /* The parser looks an entity up once more right after its declaration. */
    just_declared = build->declared && strcmp(build->declared, (const char *)name) == 0;
    build->declared = NULL;
    entity = xmlGetDocEntity(build->context->myDoc, name);
    if (!entity) {
        rab_fail_line(build->err, RAB_FAULT_INPUT, current_line(build),
                      "the entity \"%s\" is not declared in the file",
                      quote_text((const char *)name, strlen((const char *)name)).text);
        build->failed = true;
        return NULL;
    }
    if (just_declared)
        return entity;
    build->expanded += (size_t)entity->length + 1;
    if (build->expanded > build->expansion) {
        rab_fail_line(build->err, RAB_FAULT_INPUT, current_line(build),
                      "the entities expand to more than %zu kB; write them out",
                      build->expansion >> 10);
        build->failed = true;
        return NULL;
    }
    return entity;
}

static xmlEntityPtr find_parameter(void *context, const xmlChar *name)
{
    struct build *build = context;

    if (build->failed)
        return NULL;
    rab_fail_line(build->err, RAB_FAULT_INPUT, current_line(build),
                  "the parameter entity \"%s\" is not expanded; write the declarations out or "
                  "leave them away",
                  quote_text((const char *)name, strlen((const char *)name)).text);
    stop(build);
    return NULL;
}

static void on_attribute_declared(void *context, const xmlChar *element, const xmlChar *name,
                                  int type, int use, const xmlChar *value,
                                  xmlEnumerationPtr choices)
{
    struct build *build = context;

    (void)element;
    (void)name;
    (void)type;
    (void)use;
    xmlFreeEnumeration(choices);
    if (build->failed || !value || ++build->defaults <= DEFAULTS_DECLARED)
        return;
    rab_fail_line(build->err, RAB_FAULT_INPUT, current_line(build),
                  "more than %d attributes with a declared default; leave the declarations away",
                  DEFAULTS_DECLARED);
    stop(build);
}

/* ---- errors ---- */

#if LIBXML_VERSION >= 21200
static void on_error(void *context, const xmlError *error)
#else
static void on_error(void *context, xmlError *error)
#endif
{
    struct build *build = context;
    const xmlParserCtxt *where = error->ctxt;
    const char *words = xml_complaint(error->code);
    int line = where == build->context ? error->line : current_line(build);

    if (build->failed || error->level < XML_ERR_ERROR)
        return;
    if (error->code == XML_ERR_NO_MEMORY) {
        rab_fail_memory(build->err);
        stop(build);
        return;
    }
    if (error->domain == XML_FROM_NAMESPACE && error->code == XML_NS_ERR_UNDEFINED_NAMESPACE) {
        if (!build->told_prefix &&
            !rab_warn(build->notes, build->err, "namespace", line,
                      "the prefix \"%s\" is used without being declared",
                      error->str1 ? quote_text(error->str1, strlen(error->str1)).text : ""))
            stop(build);
        build->told_prefix = true;
        return;
    }
    if (words)
        rab_fail_line(build->err, RAB_FAULT_INPUT, line, "this is not well-formed XML: %s", words);
    else
        rab_fail_line(build->err, RAB_FAULT_INPUT, line, "this is not well-formed XML: %.*s",
                      (int)strcspn(error->message ? error->message : "", "\n"),
                      error->message ? error->message : "");
    build->failed = true;
}

/* ---- ids ---- */

struct tree_id {
    const char *id;
    uint32_t node;
};

static int compare_ids(const void *a, const void *b)
{
    const struct tree_id *first = a, *second = b;
    int order = strcmp(first->id, second->id);

    if (order != 0)
        return order;
    return first->node < second->node ? -1 : first->node > second->node;
}

static bool collect_ids(struct tree *tree, struct rab_error *err)
{
    size_t count = 0, capacity = 0;

    for (size_t i = 0; i < tree->count; i++) {
        const char *id = tree_attribute(tree, (uint32_t)i, KEY_ID);
        if (!id)
            continue;
        if (!rab_reserve((void **)&tree->ids, &capacity, count + 1, sizeof *tree->ids, err))
            return false;
        tree->ids[count++] = (struct tree_id){id, (uint32_t)i};
    }
    tree->id_count = count;
    if (count > 0)
        qsort(tree->ids, count, sizeof *tree->ids, compare_ids);
    return true;
}

uint32_t tree_find(const struct tree *tree, const char *id)
{
    size_t low = 0, high = tree->id_count;

    while (low < high) {
        size_t middle = (low + high) / 2;
        if (strcmp(tree->ids[middle].id, id) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    if (low < tree->id_count && strcmp(tree->ids[low].id, id) == 0)
        return tree->ids[low].node;
    return NO_NODE;
}

const char *tree_attribute(const struct tree *tree, uint32_t node, enum key key)
{
    const struct node *n = &tree->nodes[node];

    for (uint32_t i = 0; i < n->attribute_count; i++)
        if (tree->attributes[n->attributes + i].key == key)
            return tree->attributes[n->attributes + i].value;
    return NULL;
}

void tree_clear(struct tree *tree)
{
    free(tree->nodes);
    free(tree->attributes);
    free(tree->ids);
    arena_free(tree->arena);
    *tree = (struct tree){0};
}

/* ---- all together ---- */

static void set_hooks(xmlSAXHandler *hooks)
{
    memset(hooks, 0, sizeof *hooks);
    hooks->initialized = XML_SAX2_MAGIC;
    hooks->startDocument = on_document;
    hooks->internalSubset = on_subset;
    hooks->entityDecl = on_entity;
    hooks->unparsedEntityDecl = on_unparsed_entity;
    hooks->getEntity = find_entity;
    hooks->getParameterEntity = find_parameter;
    hooks->attributeDecl = on_attribute_declared;
    hooks->startElementNs = on_start;
    hooks->endElementNs = on_end;
    hooks->characters = on_text;
    hooks->ignorableWhitespace = on_text;
    hooks->cdataBlock = on_text;
    hooks->processingInstruction = on_instruction;
    hooks->serror = on_error;
}

bool tree_read(const struct rab_text *text, size_t elements, struct tree *out,
               struct rab_warnings *notes, struct rab_error *err)
{
    /* HUGE lifts the parser's own limits, because they bound depth (256) and attributes (10 MB) but
     * not all of the costs; ours above take their place. Nothing outside is loaded: there is no
     * hook that would, and NONET on top. */
    const int options = XML_PARSE_NOENT | XML_PARSE_NONET | XML_PARSE_HUGE | XML_PARSE_IGNORE_ENC;
    struct build build = {.text = text,
                          .elements = elements,
                          .open = NO_NODE,
                          .expansion = EXPANSION_FLOOR,
                          .notes = notes,
                          .err = err};
    xmlDocPtr declarations;
    bool ok = false;

    if (text->length * EXPANSION_FACTOR > build.expansion)
        build.expansion = text->length * EXPANSION_FACTOR;
    if (build.expansion > RAB_READ_LIMIT)
        build.expansion = RAB_READ_LIMIT;
    build.tree.arena = arena_new(err);
    if (!build.tree.arena)
        return false;
    build.context = xmlNewParserCtxt();
    if (!build.context) {
        rab_fail_memory(err);
        goto done;
    }
    set_hooks(build.context->sax);
    build.context->userData = &build;
    declarations =
        xmlCtxtReadMemory(build.context, text->data, (int)text->length, NULL, "UTF-8", options);
    xmlFreeDoc(declarations);
    if (build.failed)
        goto done;
    if (!build.context->wellFormed || build.tree.count == 0 || build.open != NO_NODE) {
        rab_fail_line(err, RAB_FAULT_INPUT, current_line(&build),
                      "this is not well-formed XML: the file ends too early");
        goto done;
    }
    if (!collect_ids(&build.tree, err))
        goto done;
    *out = build.tree;
    build.tree = (struct tree){0};
    ok = true;
done:
    rab_text_clear(&build.words);
    free(build.scopes);
    tree_clear(&build.tree);
    xmlFreeParserCtxt(build.context);
    return ok;
}
