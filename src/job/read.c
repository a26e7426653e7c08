/* From the bytes of a job file to a job. */
#include "job/reading.h"
#include "read/decode.h"

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

/* ---- elements ---- */

static const char *parent_name(const struct reading *reading, uint32_t index)
{
    const uint32_t parent = reading_element(reading, index)->parent;

    return parent == NO_ELEMENT ? "" : reading_element(reading, parent)->name;
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
    case PART_FILES:
    case PART_FILL:
    case PART_SET:
        break;
    }
}

static bool read_attributes(struct reading *reading, uint32_t index,
                            const struct language_element *known, void *target)
{
    const struct markup_element *element = reading_element(reading, index);

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
        if (known->attributes[i].required && !reading_given(reading, index, name) &&
            !reading_fault(reading, element->line, "<%s> has no %s; give %s=\"...\"", known->name,
                           name, name))
            return false;
    }
    return true;
}

static bool read_text(struct reading *reading, uint32_t index, const struct language_element *known,
                      void *target)
{
    const struct markup_element *element = reading_element(reading, index);

    if (!element->text)
        return true;
    if (known->holds != HOLDS_WORDS)
        return reading_fault(reading, element->text_line, "<%s> holds text; leave it away",
                             known->name);
    return read_words(reading, element->text, &((struct rab_item *)target)->words);
}

/* ---- elements in elements ---- */

static size_t count_settings(const struct reading *reading, uint32_t index,
                             const struct language_element *known)
{
    size_t count = 0;

    for (size_t i = 0; i < LANGUAGE_ATTRIBUTES && known->attributes[i].name; i++)
        count += known->attributes[i].kind == KIND_SETTING &&
                 reading_given(reading, index, known->attributes[i].name);
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
    for (uint32_t i = reading_element(reading, index)->first; i != NO_ELEMENT;
         i = reading_element(reading, i)->next) {
        const struct language_element *child =
            language_find(reading_element(reading, i)->name, known->holds);
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
    const struct markup_attribute *side = reading_given(reading, index, "side");
    const int which = side ? read_which(language_attribute(known, "side")->words, side->value) : -1;
    struct rab_job aside = {0};
    struct rab_page *page = &aside.pages[0];
    bool ok;

    if (which >= 0 && !reading->job.pages[which].there)
        page = &reading->job.pages[which];
    else if (which >= 0 &&
             !reading_fault(reading, reading_element(reading, index)->line,
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
    const int line = reading_element(reading, index)->line;

    if (known->part == PART_PAGE)
        return read_page(reading, index, known);
    if (again &&
        (known->part == PART_TRIMMER || known->part == PART_CUTTER || known->part == PART_FILES))
        return reading_fault(reading, line, "<%s> is there twice; one is enough", known->name);
    if (again && parent->holds == HOLDS_PHOTO)
        return reading_fault(reading, line,
                             "<%s> holds a second photo or text; give it an opening of its own",
                             parent->name);
    return read_element(reading, index, known,
                        known->list.size > 0 ? take_place(&known->list, target) : target);
}

static bool read_children(struct reading *reading, uint32_t index,
                          const struct language_element *known, void *target)
{
    bool seen[PART_BEHIND + 1] = {0};

    for (uint32_t i = reading_element(reading, index)->first; i != NO_ELEMENT;
         i = reading_element(reading, i)->next) {
        const struct markup_element *child = reading_element(reading, i);
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

static bool read_element(struct reading *reading, uint32_t index,
                         const struct language_element *known, void *target)
{
    set_usual(known, reading_element(reading, index)->line, target);
    return make_all_room(reading, index, known, target) &&
           read_attributes(reading, index, known, target) &&
           read_text(reading, index, known, target) && read_rules(reading, index, known) &&
           read_children(reading, index, known, target);
}
/* NOLINTEND(misc-no-recursion) */

/* ---- the whole ---- */

/* Everything that is spoken of before it is there: papers and tools, units. */
static bool look_ahead(struct reading *reading)
{
    const struct markup_attribute *units = reading_given(reading, 0, "units");
    const int unit =
        units ? read_which(language_attribute(language_find("job", HOLDS_ROOT), "units")->words,
                           units->value)
              : -1;
    size_t count = 0;

    /* when it is not known, inches: what is measured in them reads whatever it is */
    reading->units = unit < 0 ? RAB_UNIT_IN : (enum rab_unit)(RAB_UNIT_MM + unit);
    reading->job.inches = reading->units == RAB_UNIT_IN;
    for (uint32_t i = reading_element(reading, 0)->first; i != NO_ELEMENT;
         i = reading_element(reading, i)->next) {
        const char *element = reading_element(reading, i)->name;
        const struct markup_attribute *name = reading_given(reading, i, "name");
        reading->job.trimmer = reading->job.trimmer || strcmp(element, "trimmer") == 0;
        reading->job.cutter = reading->job.cutter || strcmp(element, "cutter") == 0;
        if (strcmp(element, "paper") != 0)
            continue;
        if (count == JOB_PAPERS)
            return rab_fail_line(reading->err, RAB_FAULT_INPUT, reading_element(reading, i)->line,
                                 "more than %d papers; divide the job into several", JOB_PAPERS);
        if (name &&
            !reading_names_add(&reading->papers, name->value, count, name->line, reading->err))
            return false;
        count++;
    }
    reading_names_sort(&reading->papers);
    return reading_names_once(reading, &reading->papers, "paper");
}

static bool read_all(struct reading *reading)
{
    const struct language_element *known = language_find("job", HOLDS_ROOT);
    const struct markup_element *root = reading_element(reading, 0);

    if (strcmp(root->name, known->name) != 0)
        return reading_fault(reading, root->line, "the file's root is <%.40s>; it must be <job>",
                             root->name);
    if (!look_ahead(reading) || !read_element(reading, 0, known, &reading->job))
        return false;
    reading_names_sort(&reading->items);
    return reading_names_once(reading, &reading->items, "item");
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
        !read_all(&reading) || !reading_tell(&reading, notes, err))
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
