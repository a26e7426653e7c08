/* From the bytes of a job file to a job. */
#include "job/reading.h"
#include "read/decode.h"
#include "shape/schema.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct markup_kind job_files = {
    .files = "job files",
    .space = "urn:rabbet:job:1",
    .elements = JOB_ELEMENTS,
    .depth = JOB_DEPTH,
    .too_long = "divide the job into several",
    .too_many = "divide the job into several",
    .too_deep = "nothing in a job is so deep",
};
static const double usual_side = 304.8; /* 12 in */

/* ---- faults ---- */

bool reading_fault(struct reading *reading, int line, const char *format, ...)
{
    char words[400];
    va_list arguments;

    if (reading->faults.count == FAULTS_TOLD) {
        reading->untold++;
        return true;
    }
    va_start(arguments, format);
    vsnprintf(words, sizeof words, format, arguments);
    va_end(arguments);
    return rab_warn(&reading->faults, reading->err, "error", line, "%s", words);
}

/* By line; what is told of one line stays in its order. */
static void sort_faults(struct rab_warnings *faults)
{
    for (size_t i = 1; i < faults->count; i++) {
        const struct rab_warning moved = faults->items[i];
        size_t at = i;
        for (; at > 0 && faults->items[at - 1].line > moved.line; at--)
            faults->items[at] = faults->items[at - 1];
        faults->items[at] = moved;
    }
}

bool reading_tell(struct reading *reading, struct rab_warnings *notes, struct rab_error *err)
{
    struct rab_warnings *faults = &reading->faults;
    const size_t told = notes ? notes->count : 0;

    if (faults->count == 0)
        return true;
    sort_faults(faults);
    if (reading->untold > 0) {
        struct rab_warning *last = &faults->items[faults->count - 1];
        snprintf(last->text, sizeof last->text,
                 "and %zu more errors; mend those above, then check the job again",
                 reading->untold + 1);
    }
    for (size_t i = 1; i < faults->count; i++) {
        if (!rab_warn(notes, err, "error", faults->items[i].line, "%s", faults->items[i].text)) {
            if (notes)
                notes->count = told;
            return false;
        }
    }
    return rab_fail_line(err, RAB_FAULT_INPUT, faults->items[0].line, "%s", faults->items[0].text);
}

/* ---- names ---- */

bool reading_names_add(struct reading_names *names, const char *name, size_t number, int line,
                       struct rab_error *err)
{
    void *items = names->items;

    if (!rab_reserve(&items, &names->capacity, names->count + 1, sizeof *names->items, err))
        return false;
    names->items = items;
    names->items[names->count++] = (struct reading_name){name, number, line};
    return true;
}

/* Of those that are alike the first in the file comes first. */
static int compare_names(const void *a, const void *b)
{
    const struct reading_name *first = a, *second = b;
    const int order = strcmp(first->name, second->name);

    if (order != 0)
        return order;
    return first->line != second->line
               ? first->line - second->line
               : (first->number > second->number) - (first->number < second->number);
}

void reading_names_sort(struct reading_names *names)
{
    if (names->count > 0)
        qsort(names->items, names->count, sizeof *names->items, compare_names);
}

/* Sorted names that something has twice. */
static bool refuse_twice(struct reading *reading, const struct reading_names *names,
                         const char *what)
{
    for (size_t i = 1; i < names->count; i++) {
        const struct reading_name *name = &names->items[i], *before = name - 1;
        if (strcmp(name->name, before->name) == 0 &&
            !reading_fault(reading, name->line,
                           "the name \"%.64s\" is given twice (line %d has it); give each %s its "
                           "own",
                           name->name, before->line, what))
            return false;
    }
    return true;
}

/* ---- elements ---- */

static const struct markup_element *element_at(const struct reading *reading, uint32_t index)
{
    return &reading->markup.elements[index];
}

static const struct markup_attribute *given(const struct reading *reading, uint32_t index,
                                            const char *name)
{
    const struct markup_element *element = element_at(reading, index);

    for (uint32_t i = 0; i < element->attribute_count; i++) {
        const struct markup_attribute *one = &reading->markup.attributes[element->attributes + i];
        if (strcmp(one->name, name) == 0)
            return one;
    }
    return NULL;
}

static const char *parent_name(const struct reading *reading, uint32_t index)
{
    const uint32_t parent = element_at(reading, index)->parent;

    return parent == NO_ELEMENT ? "" : element_at(reading, parent)->name;
}

/* What holds of an element before its attributes are read. */
static void set_usual(const struct language_element *known, int line, void *target)
{
    switch (known->part) {
    case PART_JOB:
        ((struct rab_job *)target)->kits = 1;
        break;
    case PART_PAPER:
        ((struct rab_paper *)target)->back = 0xFFFFFF;
        ((struct rab_paper *)target)->width = usual_side;
        ((struct rab_paper *)target)->height = usual_side;
        ((struct rab_paper *)target)->line = line;
        break;
    case PART_OFFCUT:
        ((struct rab_stock *)target)->count = 1;
        break;
    case PART_PAGE:
        ((struct rab_page *)target)->there = true;
        ((struct rab_page *)target)->width = usual_side;
        ((struct rab_page *)target)->height = usual_side;
        ((struct rab_page *)target)->line = line;
        break;
    case PART_ITEM:
        ((struct rab_item *)target)->kind = (enum rab_item_kind)known->variant;
        ((struct rab_item *)target)->backing = rab_backing_options_usual();
        ((struct rab_item *)target)->align = -1;
        ((struct rab_item *)target)->line = line;
        break;
    case PART_MAT:
        ((struct rab_mat_asked *)target)->line = line;
        break;
    case PART_USE:
        ((struct rab_frame_use *)target)->use = (enum rab_opening_use)known->variant;
        ((struct rab_frame_use *)target)->line = line;
        break;
    case PART_BEHIND:
        ((struct rab_layer_asked *)target)->line = line;
        break;
    case PART_TRIMMER:
    case PART_CUTTER:
    case PART_FILL:
    case PART_SET:
        break;
    }
}

static bool read_attributes(struct reading *reading, uint32_t index,
                            const struct language_element *known, void *target)
{
    const struct markup_element *element = element_at(reading, index);

    for (uint32_t i = 0; i < element->attribute_count; i++) {
        const struct markup_attribute *one = &reading->markup.attributes[element->attributes + i];
        const struct language_attribute *attribute = language_attribute(known, one->name);
        struct rab_error fault = {0};

        if (!attribute) {
            language_refuse_attribute(known, parent_name(reading, index), one->name, &fault);
            if (!reading_fault(reading, one->line, "%s", fault.text))
                return false;
        } else if (!read_value(reading, known, attribute, one, target)) {
            return false;
        }
    }
    for (size_t i = 0; i < LANGUAGE_ATTRIBUTES && known->attributes[i].name; i++) {
        const char *name = known->attributes[i].name;
        if (known->attributes[i].required && !given(reading, index, name) &&
            !reading_fault(reading, element->line, "<%s> has no %s; give %s=\"...\"", known->name,
                           name, name))
            return false;
    }
    return true;
}

static bool read_text(struct reading *reading, uint32_t index, const struct language_element *known,
                      void *target)
{
    const struct markup_element *element = element_at(reading, index);

    if (!element->text)
        return true;
    if (known->holds != HOLDS_WORDS)
        return reading_fault(reading, element->text_line, "<%s> holds text; leave it away",
                             known->name);
    return read_words(reading, element->text, &((struct rab_item *)target)->words);
}

/* ---- what must hold between attributes and content ---- */

/* Not both of two attributes. */
static bool refuse_both(struct reading *reading, uint32_t index, const char *one, const char *other,
                        const char *right)
{
    const struct markup_attribute *first = given(reading, index, one);
    const struct markup_attribute *second = given(reading, index, other);

    if (!first || !second)
        return true;
    return reading_fault(reading, second->line > first->line ? second->line : first->line,
                         "<%.40s> has both %s and %s; %s", element_at(reading, index)->name, one,
                         other, right);
}

static bool check_sized(struct reading *reading, uint32_t index)
{
    static const char *const exclude[] = {"width",      "height",   "crop-left",
                                          "crop-right", "crop-top", "crop-bottom"};
    const int line = element_at(reading, index)->line;

    if (!given(reading, index, "proportion")) {
        if (given(reading, index, "width") && given(reading, index, "height"))
            return true;
        return reading_fault(reading, line,
                             "<photo> has no size; give width=\"...\" and height=\"...\" of a "
                             "print, or proportion=\"3:2\" of one to be printed");
    }
    for (size_t i = 0; i < sizeof exclude / sizeof *exclude; i++)
        if (!refuse_both(reading, index, "proportion", exclude[i],
                         i < 2 ? "give width and height, or the proportion alone"
                               : "a photo to be printed is not cropped"))
            return false;
    return true;
}

static bool has_child(const struct reading *reading, uint32_t index, const char *name)
{
    for (uint32_t i = element_at(reading, index)->first; i != NO_ELEMENT;
         i = element_at(reading, i)->next)
        if (strcmp(element_at(reading, i)->name, name) == 0)
            return true;
    return false;
}

static bool check_frame(struct reading *reading, uint32_t index)
{
    const int line = element_at(reading, index)->line;

    if (!given(reading, index, "file") && !given(reading, index, "shape"))
        return reading_fault(reading, line,
                             "<frame> has no drawing; give file=\"...\" or shape=\"...\"");
    if (!given(reading, index, "shape") && has_child(reading, index, "set") &&
        !reading_fault(reading, line,
                       "<frame> has <set> for a drawing from a file; <set> is for a shape of the "
                       "library"))
        return false;
    return refuse_both(reading, index, "file", "shape", "give the one or the other") &&
           refuse_both(reading, index, "shape", "width",
                       "set the measures of a shape: <set name=\"...\" to=\"...\"/>");
}

static bool check_leave(struct reading *reading, uint32_t index)
{
    if (!given(reading, index, "openings") && !given(reading, index, "every"))
        return reading_fault(reading, element_at(reading, index)->line,
                             "<leave> says not which; give openings=\"1-8,12\" or every=\"6\"");
    return refuse_both(reading, index, "openings", "every", "give the one or the other");
}

/* One of several elements, of which at least one must be there. */
static bool check_filled(struct reading *reading, uint32_t index,
                         const struct language_element *known)
{
    for (uint32_t i = element_at(reading, index)->first; i != NO_ELEMENT;
         i = element_at(reading, i)->next)
        if (language_find(element_at(reading, i)->name, known->holds))
            return true;
    return reading_fault(reading, element_at(reading, index)->line,
                         "<%s> has nothing in it; put <photo> into it", known->name);
}

static bool need_child(struct reading *reading, uint32_t index, const char *name,
                       const char *example)
{
    if (has_child(reading, index, name))
        return true;
    return reading_fault(reading, element_at(reading, index)->line, "<%s> has no <%s>; add %s",
                         element_at(reading, index)->name, name, example);
}

static bool check_rules(struct reading *reading, uint32_t index,
                        const struct language_element *known)
{
    switch (known->rule) {
    case RULE_SIZED:
        return check_sized(reading, index);
    case RULE_FRAME:
        return check_frame(reading, index);
    case RULE_LEAVE:
        return check_leave(reading, index);
    case RULE_TEXT:
        if (element_at(reading, index)->text || given(reading, index, "ruled"))
            return true;
        return reading_fault(reading, element_at(reading, index)->line,
                             "<text> has no words; write them between its tags, or give "
                             "ruled=\"1/4in\" for lines to write on");
    case RULE_FILLED:
        return check_filled(reading, index, known);
    case RULE_ROWS:
        return need_child(reading, index, "row", "a <row> with photos in it");
    case RULE_WHOLE:
        return need_child(reading, index, "paper", "<paper name=\"...\" colour=\"#2B3A55\"/>") &&
               need_child(reading, index, "page", "<page side=\"left\" paper=\"...\">");
    case RULE_NONE:
        break;
    }
    return true;
}

/* ---- elements in elements ---- */

static size_t count_settings(const struct reading *reading, uint32_t index,
                             const struct language_element *known)
{
    size_t count = 0;

    for (size_t i = 0; i < LANGUAGE_ATTRIBUTES && known->attributes[i].name; i++)
        count += known->attributes[i].kind == KIND_SETTING &&
                 given(reading, index, known->attributes[i].name);
    return count;
}

static bool same_list(const struct language_list *a, const struct language_list *b)
{
    return a->at == b->at && a->size == b->size;
}

/* Room for all elements that go into one list of what their parent fills. */
static bool make_room(struct reading *reading, uint32_t index, const struct language_element *known,
                      const struct language_list *list, void *target)
{
    void *items = NULL;
    size_t count = 0;

    memcpy(&items, (char *)target + list->at, sizeof items);
    if (items)
        return true;
    if (same_list(list, &language_find("set", HOLDS_STRIP)->list))
        count = count_settings(reading, index, known);
    for (uint32_t i = element_at(reading, index)->first; i != NO_ELEMENT;
         i = element_at(reading, i)->next) {
        const struct language_element *child =
            language_find(element_at(reading, i)->name, known->holds);
        count += child && same_list(&child->list, list);
    }
    if (count == 0)
        return true;
    items = calloc(count, list->size);
    if (!items)
        return rab_fail_memory(reading->err);
    memcpy((char *)target + list->at, &items, sizeof items);
    return true;
}

static bool make_all_room(struct reading *reading, uint32_t index,
                          const struct language_element *known, void *target)
{
    const struct language_element *child;

    for (size_t i = 0; (child = language_at(i)); i++)
        if ((child->stands & known->holds) && child->list.size > 0 &&
            !make_room(reading, index, known, &child->list, target))
            return false;
    return true;
}

/* The next place of a list. */
static void *take_place(const struct language_list *list, void *target)
{
    char *items;
    size_t count = 0;

    memcpy(&items, (char *)target + list->at, sizeof items);
    if (list->count_at == NOWHERE)
        return items;
    memcpy(&count, (char *)target + list->count_at, sizeof count);
    count++;
    memcpy((char *)target + list->count_at, &count, sizeof count);
    return items + (count - 1) * list->size;
}

/* NOLINTBEGIN(misc-no-recursion): no deeper than markup_read allows elements to be */
static bool read_element(struct reading *reading, uint32_t index,
                         const struct language_element *known, void *target);

/* A page into its place, or aside when it has none. */
static bool read_page(struct reading *reading, uint32_t index, const struct language_element *known)
{
    const struct markup_attribute *side = given(reading, index, "side");
    const int which = side ? read_which(language_attribute(known, "side")->words, side->value) : -1;
    struct rab_job aside = {0};
    struct rab_page *page = &aside.pages[0];
    bool ok;

    if (which >= 0 && !reading->job.pages[which].there)
        page = &reading->job.pages[which];
    else if (which >= 0 &&
             !reading_fault(reading, element_at(reading, index)->line,
                            "the %s page is there twice (line %d has it); a spread has one left "
                            "and one right page",
                            side->value, reading->job.pages[which].line))
        return false;
    ok = read_element(reading, index, known, page);
    rab_job_clear(&aside);
    return ok;
}

static bool read_child(struct reading *reading, uint32_t index,
                       const struct language_element *known, const struct language_element *parent,
                       bool again, void *target)
{
    const int line = element_at(reading, index)->line;

    if (known->part == PART_PAGE)
        return read_page(reading, index, known);
    if (again && (known->part == PART_TRIMMER || known->part == PART_CUTTER))
        return reading_fault(reading, line, "<%s> is there twice; one is enough", known->name);
    if (again && parent->holds == HOLDS_PHOTO)
        return reading_fault(reading, line,
                             "<%s> holds a second photo; give it an opening of its own",
                             parent->name);
    return read_element(reading, index, known,
                        known->list.size > 0 ? take_place(&known->list, target) : target);
}

static bool read_children(struct reading *reading, uint32_t index,
                          const struct language_element *known, void *target)
{
    bool seen[PART_BEHIND + 1] = {0};

    for (uint32_t i = element_at(reading, index)->first; i != NO_ELEMENT;
         i = element_at(reading, i)->next) {
        const struct markup_element *child = element_at(reading, i);
        const struct language_element *found = language_find(child->name, known->holds);
        struct rab_error fault = {0};

        if (!found) {
            language_refuse(child->name, known->holds, known->name, &fault);
            if (!reading_fault(reading, child->line, "%s", fault.text))
                return false;
            continue;
        }
        if (!read_child(reading, i, found, known, seen[found->part], target))
            return false;
        seen[found->part] = true;
    }
    return true;
}

/* What is set twice, also by an attribute of the same name. */
static bool check_set(struct reading *reading, uint32_t index, const struct language_element *known)
{
    struct reading_names names = {0};
    bool ok = true;

    if (!language_find("set", known->holds))
        return true;
    for (size_t i = 0; i < LANGUAGE_ATTRIBUTES && known->attributes[i].name && ok; i++) {
        const struct markup_attribute *one = given(reading, index, known->attributes[i].name);
        if (one && known->attributes[i].kind == KIND_SETTING)
            ok = reading_names_add(&names, one->name, 0, one->line, reading->err);
    }
    for (uint32_t i = element_at(reading, index)->first; i != NO_ELEMENT && ok;
         i = element_at(reading, i)->next) {
        const struct markup_attribute *name = given(reading, i, "name");
        if (name && strcmp(element_at(reading, i)->name, "set") == 0)
            ok = reading_names_add(&names, name->value, 0, name->line, reading->err);
    }
    reading_names_sort(&names);
    ok = ok && refuse_twice(reading, &names, "parameter");
    free(names.items);
    return ok;
}

static bool read_element(struct reading *reading, uint32_t index,
                         const struct language_element *known, void *target)
{
    set_usual(known, element_at(reading, index)->line, target);
    return make_all_room(reading, index, known, target) &&
           read_attributes(reading, index, known, target) &&
           read_text(reading, index, known, target) && check_rules(reading, index, known) &&
           refuse_both(reading, index, "x", "right", "give the one or the other") &&
           refuse_both(reading, index, "y", "top", "give the one or the other") &&
           check_set(reading, index, known) && read_children(reading, index, known, target);
}
/* NOLINTEND(misc-no-recursion) */

/* ---- the whole ---- */

/* Everything that is spoken of before it is there: papers and tools, units. */
static bool look_ahead(struct reading *reading)
{
    const struct markup_attribute *units = given(reading, 0, "units");
    const int unit =
        units ? read_which(language_attribute(language_find("job", HOLDS_ROOT), "units")->words,
                           units->value)
              : -1;
    size_t count = 0;

    /* when it is not known, inches: what is measured in them reads whatever it is */
    reading->units = unit < 0 ? RAB_UNIT_IN : (enum rab_unit)(RAB_UNIT_MM + unit);
    reading->job.inches = reading->units == RAB_UNIT_IN;
    for (uint32_t i = element_at(reading, 0)->first; i != NO_ELEMENT;
         i = element_at(reading, i)->next) {
        const char *element = element_at(reading, i)->name;
        const struct markup_attribute *name = given(reading, i, "name");
        reading->job.trimmer = reading->job.trimmer || strcmp(element, "trimmer") == 0;
        reading->job.cutter = reading->job.cutter || strcmp(element, "cutter") == 0;
        if (strcmp(element, "paper") != 0)
            continue;
        if (count == JOB_PAPERS)
            return rab_fail_line(reading->err, RAB_FAULT_INPUT, element_at(reading, i)->line,
                                 "more than %d papers; divide the job into several", JOB_PAPERS);
        if (name &&
            !reading_names_add(&reading->papers, name->value, count, name->line, reading->err))
            return false;
        count++;
    }
    reading_names_sort(&reading->papers);
    return refuse_twice(reading, &reading->papers, "paper");
}

static bool read_all(struct reading *reading)
{
    const struct language_element *known = language_find("job", HOLDS_ROOT);
    const struct markup_element *root = element_at(reading, 0);

    if (strcmp(root->name, known->name) != 0)
        return reading_fault(reading, root->line, "the file's root is <%.40s>; it must be <job>",
                             root->name);
    if (!look_ahead(reading) || !read_element(reading, 0, known, &reading->job))
        return false;
    reading_names_sort(&reading->items);
    return refuse_twice(reading, &reading->items, "item");
}

/* The table and the schema say the same; should they ever not, nothing passes that an editor
 * marks as wrong. */
static bool check_schema(const struct rab_text *text, struct rab_error *err)
{
    struct schema *schema = schema_open(&embedded_job_schema, err);
    const bool ok = schema && schema_check(schema, text->data, text->length, err);

    schema_close(schema);
    return ok;
}

bool rab_job_read(const char *bytes, size_t length, struct rab_job *out, struct rab_warnings *notes,
                  struct rab_error *err)
{
    struct reading reading = {.err = err};
    struct rab_text text = {0};
    bool ok = false;

    if (length > MARKUP_BYTES)
        return rab_fail_line(err, RAB_FAULT_INPUT, 1, "the file has more than 1 MB; %s",
                             job_files.too_long);
    if (!decode_text(bytes, length, &text, notes, err))
        return false;
    if (!markup_read(text.data ? text.data : "", text.length, &job_files, &reading.markup, err) ||
        !read_all(&reading) || !reading_tell(&reading, notes, err) || !check_schema(&text, err))
        goto done;
    *out = reading.job;
    reading.job = (struct rab_job){0};
    ok = true;
done:
    rab_job_clear(&reading.job);
    rab_warnings_clear(&reading.faults);
    free(reading.papers.items);
    free(reading.items.items);
    markup_clear(&reading.markup);
    rab_text_clear(&text);
    return ok;
}
