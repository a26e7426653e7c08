/* The head of a shape file: title, parameters, messages. */
#include "base/arena.h"
#include "base/utf8.h"
#include "shape/nearest.h"
#include "shape/reading.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const struct {
    const char *name;
    enum rab_parameter_kind kind;
} kinds[] = {
    {"length", RAB_LENGTH}, {"angle", RAB_ANGLE},   {"count", RAB_COUNT},
    {"ratio", RAB_RATIO},   {"choice", RAB_CHOICE}, {"yesno", RAB_YES_NO},
};
enum { KINDS = sizeof kinds / sizeof *kinds };

bool head_is_parameter(const char *name)
{
    for (size_t i = 0; i < KINDS; i++)
        if (strcmp(kinds[i].name, name) == 0)
            return true;
    return false;
}

static const struct markup_element *element_at(const struct reading *reading, uint32_t element)
{
    return &reading->markup.elements[element];
}

const struct markup_attribute *head_attribute(const struct reading *reading, uint32_t element,
                                              const char *name)
{
    const struct markup_element *found = element_at(reading, element);

    for (uint32_t i = 0; i < found->attribute_count; i++) {
        const struct markup_attribute *one = &reading->markup.attributes[found->attributes + i];
        if (strcmp(one->name, name) == 0)
            return one;
    }
    return NULL;
}

/* The same, of one that check_element has found to be there. */
static const struct markup_attribute *required(const struct reading *reading, uint32_t element,
                                               const char *name)
{
    const struct markup_attribute *found = head_attribute(reading, element, name);

    assert(found);
    return found;
}

/* ---- words ---- */

/* Blanks, and what could move a terminal's cursor or turn the direction of a line round. */
static bool divides(uint32_t code)
{
    return code <= ' ' || (code >= 0x7F && code <= 0xA0) || code == 0x200E || code == 0x200F ||
           (code >= 0x2028 && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069);
}

/* Words on one line, with single blanks between them; with `open` a blank stays at their ends. */
static char *one_line(struct reading *reading, const char *text, size_t length, bool open_start,
                      bool open_end)
{
    char *made = arena_take(reading->arena, length + 1, 1, reading->err);
    size_t out = 0;
    bool blank = false;

    if (!made)
        return NULL;
    for (size_t i = 0; i < length;) {
        uint32_t code = ' ';
        size_t step = utf8_decode((const unsigned char *)text + i, length - i, &code);
        if (step == 0 || divides(code)) {
            blank = true;
        } else {
            if (blank && (out > 0 || open_start))
                made[out++] = ' ';
            blank = false;
            memcpy(made + out, text + i, step);
            out += step;
        }
        i += step > 0 ? step : 1;
    }
    if (blank && open_end && (out > 0 || open_start))
        made[out++] = ' ';
    made[out] = '\0';
    return made;
}

static const char *whole_line(struct reading *reading, const char *text)
{
    return one_line(reading, text, strlen(text), false, false);
}

bool reader_word_ok(const char *name)
{
    size_t length = strlen(name);

    for (size_t i = 0; i < length; i++) {
        const bool plain = (name[i] >= 'a' && name[i] <= 'z') || (name[i] >= '0' && name[i] <= '9');
        if (!plain && (name[i] != '-' || i == 0 || i + 1 == length || name[i - 1] == '-'))
            return false;
    }
    return length > 0 && length <= SHAPE_NAME_LENGTH;
}

/* ---- elements of the head ---- */

/* Attributes that are not among `names` (up to NULL), children and text where there should be none.
 */
static bool check_element(struct reading *reading, uint32_t index, const char *const *names,
                          bool has_text, bool has_children)
{
    const struct markup_element *element = element_at(reading, index);

    for (uint32_t i = 0; i < element->attribute_count; i++) {
        const struct markup_attribute *one = &reading->markup.attributes[element->attributes + i];
        struct nearest nearest = {.wanted = one->name};
        char advice[256];
        const char *const *name = names;
        while (*name && strcmp(*name, one->name) != 0)
            name++;
        if (*name)
            continue;
        for (name = names; *name; name++)
            nearest_look(&nearest, *name);
        nearest_words(&nearest, advice, sizeof advice, *names ? "" : "; it takes none");
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, one->line,
                             "<%.40s> has no attribute \"%.40s\"%s", element->name, one->name,
                             advice);
    }
    for (const char *const *name = names; *name; name++)
        if (!head_attribute(reading, index, *name))
            return rab_fail_line(reading->err, RAB_FAULT_INPUT, element->line,
                                 "<%.40s> has no %s; give %s=\"...\"", element->name, *name, *name);
    if (!has_children && element->first != NO_ELEMENT)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT,
                             element_at(reading, element->first)->line,
                             "<%.40s> cannot stand in <%.40s>",
                             element_at(reading, element->first)->name, element->name);
    if (has_text && !element->text)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, element->line,
                             "<%.40s> has no text; write what people should read between its tags",
                             element->name);
    if (!has_text && element->text)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, element->text_line,
                             "<%.40s> holds text; leave it away", element->name);
    return true;
}

/* The element that must stand at *index: its text. Moves on. */
static bool read_text(struct reading *reading, uint32_t *index, const char *name, const char **text)
{
    static const char *const none[] = {NULL};
    const struct markup_element *root = element_at(reading, 0);

    if (*index == NO_ELEMENT || strcmp(element_at(reading, *index)->name, name) != 0)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT,
                             *index == NO_ELEMENT ? root->line : element_at(reading, *index)->line,
                             "<%s> begins with <title> and <about>; <%s> is missing here",
                             root->name, name);
    if (!check_element(reading, *index, none, true, false))
        return false;
    *text = whole_line(reading, element_at(reading, *index)->text);
    *index = element_at(reading, *index)->next;
    return *text != NULL;
}

static struct type type_of(enum rab_parameter_kind kind, size_t slot)
{
    switch (kind) {
    case RAB_LENGTH:
        return TYPE_LENGTH;
    case RAB_ANGLE:
        return TYPE_ANGLE;
    case RAB_CHOICE:
        return (struct type){TYPE_CHOICE, 0, 0, slot};
    case RAB_YES_NO:
        return (struct type){TYPE_TRUTH, 0, 0, 0};
    case RAB_COUNT:
    case RAB_RATIO:
        break;
    }
    return TYPE_NUMBER;
}

static bool read_constant(struct reading *reading, uint32_t element, const char *name,
                          enum rab_parameter_kind kind, double *value)
{
    const struct markup_attribute *attribute = required(reading, element, name);
    const struct scope nothing = {0};
    struct expression expression;
    struct rab_error fault = {0};
    struct type type, wanted = type_of(kind, 0);

    if (!expression_read(attribute->value, attribute->line, &nothing, reading->arena, &expression,
                         &type, reading->err))
        return false;
    if (!type_fits(type, wanted))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, attribute->line,
                             "%s of <%s> is \"%.60s\", %s; it must be %s", name,
                             element_at(reading, element)->name, attribute->value, type_words(type),
                             kind == RAB_LENGTH  ? "a length with its unit, like 12mm"
                             : kind == RAB_ANGLE ? "an angle, like 30deg"
                                                 : type_words(wanted));
    /* what would be a fault of measurements is one of the file here */
    if (!expression_value(&expression, attribute->line, NULL, value, &fault))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, fault.line, "%s", fault.text);
    if (kind == RAB_COUNT && (floor(*value) != *value || fabs(*value) > 1e9))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, attribute->line,
                             "%s of <count> is \"%.60s\"; give a whole number", name,
                             attribute->value);
    return true;
}

static bool read_limits(struct reading *reading, uint32_t element, struct rab_parameter *parameter)
{
    static const char *const names[] = {"usual", "least", "most"};
    double values[3];

    for (size_t i = 0; i < 3; i++)
        if (!read_constant(reading, element, names[i], parameter->kind, &values[i]))
            return false;
    if (!(values[1] <= values[0] && values[0] <= values[2]))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, element_at(reading, element)->line,
                             "the usual \"%.60s\" of %.64s is not between its least and its most",
                             required(reading, element, "usual")->value, parameter->name);
    parameter->usual = values[0];
    parameter->least = values[1];
    parameter->most = values[2];
    return true;
}

static bool read_one(struct reading *reading, uint32_t element, const struct rab_choice *before,
                     size_t count, struct rab_choice *out)
{
    static const char *const names[] = {"name", NULL};
    const struct markup_attribute *name;

    if (strcmp(element_at(reading, element)->name, "one") != 0)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, element_at(reading, element)->line,
                             "<%.40s> cannot stand in <choice>; it holds <one name=\"...\">",
                             element_at(reading, element)->name);
    if (!check_element(reading, element, names, true, false))
        return false;
    name = required(reading, element, "name");
    if (!reader_word_ok(name->value))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, name->line,
                             "\"%.64s\" cannot be the name of a choice; use small letters, digits "
                             "and hyphens",
                             name->value);
    for (size_t i = 0; i < count; i++)
        if (strcmp(before[i].name, name->value) == 0)
            return rab_fail_line(reading->err, RAB_FAULT_INPUT, name->line,
                                 "the choice \"%.64s\" is there twice; name each once",
                                 name->value);
    out->name = arena_text(reading->arena, name->value, strlen(name->value), reading->err);
    out->about = whole_line(reading, element_at(reading, element)->text);
    return out->name && out->about;
}

static bool read_choices(struct reading *reading, uint32_t element, struct rab_parameter *parameter)
{
    const struct markup_attribute *usual = required(reading, element, "usual");
    struct rab_choice *choices;
    size_t count = 0, found;

    for (uint32_t i = element_at(reading, element)->first; i != NO_ELEMENT;
         i = element_at(reading, i)->next)
        count++;
    choices = arena_take(reading->arena, count, sizeof *choices, reading->err);
    if (!choices)
        return false;
    count = 0;
    for (uint32_t i = element_at(reading, element)->first; i != NO_ELEMENT;
         i = element_at(reading, i)->next) {
        if (!read_one(reading, i, choices, count, &choices[count]))
            return false;
        count++;
    }
    if (count < 2)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, element_at(reading, element)->line,
                             "a choice needs two or more <one name=\"...\">what it means</one>");
    for (found = 0; found < count && strcmp(choices[found].name, usual->value) != 0;)
        found++;
    if (found == count)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, usual->line,
                             "the usual \"%.64s\" is none of the choices of %.64s; give one of "
                             "them, like \"%.64s\"",
                             usual->value, parameter->name, choices[0].name);
    parameter->choices = choices;
    parameter->choice_count = count;
    parameter->usual = (double)found;
    parameter->most = (double)(count - 1);
    return true;
}

static bool read_yes_no(struct reading *reading, uint32_t element, struct rab_parameter *parameter)
{
    const struct markup_attribute *usual = required(reading, element, "usual");

    parameter->most = 1;
    parameter->usual = strcmp(usual->value, "yes") == 0;
    if (parameter->usual == 0 && strcmp(usual->value, "no") != 0)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, usual->line,
                             "the usual of %.64s is \"%.64s\"; give yes or no", parameter->name,
                             usual->value);
    return true;
}

bool head_declare(struct reading *reading, const char *name, struct type type, uint32_t slot,
                  int line)
{
    struct scope *scope = &reading->scope;
    void *names = scope->names;

    if (!expression_name_ok(name))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, line,
                             "\"%.64s\" cannot be a name; use small letters, digits and hyphens, "
                             "a letter at the start and after each hyphen",
                             name);
    if (expression_reserves(name))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, line,
                             "\"%.64s\" has a meaning in expressions; choose another name", name);
    for (size_t i = 0; i < scope->count; i++)
        if (strcmp(scope->names[i].name, name) == 0)
            return rab_fail_line(reading->err, RAB_FAULT_INPUT, line,
                                 "the name \"%.64s\" is given already; choose another%s", name,
                                 strcmp(name, "i") == 0 ? " with index=\"...\"" : "");
    if (scope->count == SHAPE_NAMES)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, line,
                             "more than %d names hold here; put some into the elements that use "
                             "them",
                             SHAPE_NAMES);
    if (!rab_reserve(&names, &scope->capacity, scope->count + 1, sizeof *scope->names,
                     reading->err))
        return false;
    scope->names = names;
    scope->names[scope->count++] = (struct scope_name){name, type, slot};
    return true;
}

/* ---- parameters ---- */

static bool read_parameter(struct reading *reading, uint32_t index, enum rab_parameter_kind kind,
                           struct rab_parameter *out)
{
    static const char *const limited[] = {"name", "usual", "least", "most", NULL};
    static const char *const chosen[] = {"name", "usual", "about", NULL};
    static const char *const yes_no[] = {"name", "usual", NULL};
    const struct markup_element *element = element_at(reading, index);
    const char *const *names = kind == RAB_CHOICE ? chosen : kind == RAB_YES_NO ? yes_no : limited;
    struct rab_parameter made = {.kind = kind};
    const struct markup_attribute *name;
    const char *about;

    if (!check_element(reading, index, names, kind != RAB_CHOICE, kind == RAB_CHOICE))
        return false;
    name = required(reading, index, "name");
    about = kind == RAB_CHOICE ? required(reading, index, "about")->value : element->text;
    made.name = arena_text(reading->arena, name->value, strlen(name->value), reading->err);
    made.about = whole_line(reading, about);
    if (!made.name || !made.about)
        return false;
    if (!(kind == RAB_CHOICE   ? read_choices(reading, index, &made)
          : kind == RAB_YES_NO ? read_yes_no(reading, index, &made)
                               : read_limits(reading, index, &made)))
        return false;
    *out = made;
    return true;
}

static bool add_parameter(struct reading *reading, uint32_t index, const char *element_name,
                          size_t *count)
{
    const struct markup_element *element = element_at(reading, index);
    struct rab_parameter *parameter = &reading->parameters[*count];
    size_t kind = 0;

    if (*count == SHAPE_PARAMETERS)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, element->line,
                             "more than %d parameters; divide the shape", SHAPE_PARAMETERS);
    while (strcmp(kinds[kind].name, element_name) != 0)
        kind++;
    if (!read_parameter(reading, index, kinds[kind].kind, parameter) ||
        !head_declare(reading, parameter->name, type_of(parameter->kind, *count), (uint32_t)*count,
                      required(reading, index, "name")->line))
        return false;
    ++*count;
    return true;
}

/* <pitch> or <depth>: a length whose name is the element's. */
static bool add_motif_parameter(struct reading *reading, uint32_t *index, const char *name,
                                const char *about, size_t *count)
{
    static const char *const names[] = {"usual", "least", "most", NULL};
    const struct markup_element *root = element_at(reading, 0), *element;
    struct rab_parameter *parameter = &reading->parameters[*count];

    if (*index == NO_ELEMENT || strcmp(element_at(reading, *index)->name, name) != 0)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT,
                             *index == NO_ELEMENT ? root->line : element_at(reading, *index)->line,
                             "a motif has <pitch> and <depth> after <about>; <%s> is missing here",
                             name);
    element = element_at(reading, *index);
    if (!check_element(reading, *index, names, element->text != NULL, false))
        return false;
    *parameter = (struct rab_parameter){.name = name, .about = about, .kind = RAB_LENGTH};
    if (element->text)
        parameter->about = whole_line(reading, element->text);
    if (!parameter->about || !read_limits(reading, *index, parameter) ||
        !head_declare(reading, name, TYPE_LENGTH, (uint32_t)*count, element->line))
        return false;
    if (parameter->least <= 0)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, element->line,
                             "the least %s is not more than 0; give it a length", name);
    ++*count;
    *index = element->next;
    return true;
}

static bool read_parameters(struct reading *reading, uint32_t index)
{
    struct rab_shape *shape = reading->shape;

    for (; index != NO_ELEMENT; index = element_at(reading, index)->next) {
        const char *name = element_at(reading, index)->name;
        if (head_is_parameter(name)) {
            if (!add_parameter(reading, index, name, &shape->parameter_count))
                return false;
        } else if (strcmp(name, "let") != 0 && strcmp(name, "require") != 0) {
            break;
        }
    }
    return true;
}

static bool read_motif_head(struct reading *reading, uint32_t *index)
{
    return add_motif_parameter(reading, index, "pitch", "Length of one repeat",
                               &reading->shape->parameter_count) &&
           add_motif_parameter(reading, index, "depth", "From the valleys to the peaks",
                               &reading->shape->parameter_count);
}

/* What each repeat of a motif knows besides its parameters, in slots after theirs. */
static bool declare_repeats(struct reading *reading)
{
    const int line = element_at(reading, 0)->line;

    return head_declare(reading, "repeat", TYPE_NUMBER, 0, line) &&
           head_declare(reading, "repeats", TYPE_NUMBER, 0, line);
}

static void place_repeats(struct reading *reading, size_t first)
{
    for (uint32_t i = 0; i < 2; i++)
        reading->scope.names[first + i].slot = (uint32_t)reading->shape->parameter_count + i;
    reading->file->slot_count += 2;
}

static size_t most_parameters(const struct reading *reading)
{
    size_t count = 2; /* pitch and depth */

    for (uint32_t i = element_at(reading, 0)->first; i != NO_ELEMENT;
         i = element_at(reading, i)->next)
        count += head_is_parameter(element_at(reading, i)->name);
    return count < SHAPE_PARAMETERS ? count : SHAPE_PARAMETERS;
}

bool head_read(struct reading *reading, uint32_t *rest)
{
    static const char *const none[] = {NULL};
    struct rab_shape *shape = reading->shape;
    const struct markup_element *root = element_at(reading, 0);
    uint32_t index = root->first;

    shape->motif = strcmp(root->name, "motif") == 0;
    if (!shape->motif && strcmp(root->name, "shape") != 0)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, root->line,
                             "the file's root is <%.40s>; it must be <shape> or <motif>",
                             root->name);
    reading->parameters = arena_take(reading->arena, most_parameters(reading),
                                     sizeof *reading->parameters, reading->err);
    if (!reading->parameters || !check_element(reading, 0, none, false, true) ||
        !read_text(reading, &index, "title", &shape->title) ||
        !read_text(reading, &index, "about", &shape->about))
        return false;
    shape->parameters = reading->parameters;
    reading->scope.parameters = reading->parameters;
    if (shape->motif && (!read_motif_head(reading, &index) || !declare_repeats(reading)))
        return false;
    *rest = index;
    if (!read_parameters(reading, index))
        return false;
    reading->file->slot_count = shape->parameter_count;
    if (shape->motif)
        place_repeats(reading, 2); /* after pitch and depth */
    return true;
}

/* ---- messages of require ---- */

static bool can_show(struct type type)
{
    return type.kind == TYPE_ZERO || type.kind == TYPE_CHOICE || type_fits(type, TYPE_LENGTH) ||
           type_fits(type, TYPE_ANGLE) || type_fits(type, TYPE_NUMBER);
}

/* "{...}" from `text` on. *end: after the "}". */
static bool read_shown(struct reading *reading, const char *text, int line, const char **end,
                       struct message_part *part)
{
    const char *close = strchr(text, '}');
    char *words;

    if (!close)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, line,
                             "a { in the message is not closed; add }");
    words = one_line(reading, text + 1, (size_t)(close - text - 1), false, false);
    if (!words || !expression_read(words, line, &reading->scope, reading->arena, &part->value,
                                   &part->type, reading->err))
        return false;
    if (!can_show(part->type))
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, line,
                             "{%.60s} is %s; a message shows lengths, angles, plain numbers and "
                             "choices",
                             words, type_words(part->type));
    part->has_value = true;
    *end = close + 1;
    return true;
}

bool head_message(struct reading *reading, uint32_t index, struct node *node)
{
    const struct markup_element *element = element_at(reading, index);
    const char *at = element->text;
    struct message_part *parts;
    size_t count = 1;
    int line = element->text_line;

    if (!at)
        return rab_fail_line(reading->err, RAB_FAULT_INPUT, element->line,
                             "<require> has no message; write what is wrong and what would be "
                             "right between its tags");
    for (const char *c = at; *c; c++)
        count += *c == '{';
    parts = arena_take(reading->arena, count, sizeof *parts, reading->err);
    if (!parts)
        return false;
    for (size_t i = 0; i < count; i++) {
        size_t length = strcspn(at, "{}");
        parts[i] = (struct message_part){0};
        parts[i].words = one_line(reading, at, length, i > 0, at[length] != '\0');
        if (!parts[i].words)
            return false;
        for (size_t k = 0; k < length; k++)
            line += at[k] == '\n';
        at += length;
        if (*at == '}')
            return rab_fail_line(reading->err, RAB_FAULT_INPUT, line,
                                 "a } in the message has no { before it");
        if (*at == '{') {
            const char *end = at;
            if (!read_shown(reading, at, line, &end, &parts[i]))
                return false;
            for (; at < end; at++)
                line += *at == '\n';
        }
        if (*at == '\0' && !parts[i].has_value) {
            count = i + 1;
            break;
        }
    }
    node->message = parts;
    node->message_count = count;
    return true;
}
