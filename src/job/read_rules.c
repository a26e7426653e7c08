/* What must hold between the attributes of an element and what is in it. */
#include "job/reading.h"

#include <stdlib.h>
#include <string.h>

/* Not both of two attributes. */
static bool refuse_both(struct reading *reading, uint32_t index, const char *one, const char *other,
                        const char *right)
{
    const struct markup_attribute *first = reading_given(reading, index, one);
    const struct markup_attribute *second = reading_given(reading, index, other);

    if (!first || !second)
        return true;
    return reading_fault(reading, second->line > first->line ? second->line : first->line,
                         "<%.40s> has both %s and %s; %s", reading_element(reading, index)->name,
                         one, other, right);
}

static bool check_sized(struct reading *reading, uint32_t index)
{
    static const char *const exclude[] = {"width",      "height",   "crop-left",
                                          "crop-right", "crop-top", "crop-bottom"};
    const int line = reading_element(reading, index)->line;

    if (!reading_given(reading, index, "proportion")) {
        if (reading_given(reading, index, "width") && reading_given(reading, index, "height"))
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
    for (uint32_t i = reading_element(reading, index)->first; i != NO_ELEMENT;
         i = reading_element(reading, i)->next)
        if (strcmp(reading_element(reading, i)->name, name) == 0)
            return true;
    return false;
}

static bool check_frame(struct reading *reading, uint32_t index)
{
    const int line = reading_element(reading, index)->line;

    if (!reading_given(reading, index, "file") && !reading_given(reading, index, "shape"))
        return reading_fault(reading, line,
                             "<frame> has no drawing; give file=\"...\" or shape=\"...\"");
    if (!reading_given(reading, index, "shape") && has_child(reading, index, "set") &&
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
    if (!reading_given(reading, index, "openings") && !reading_given(reading, index, "every"))
        return reading_fault(reading, reading_element(reading, index)->line,
                             "<leave> says not which; give openings=\"1-8,12\" or every=\"6\"");
    return refuse_both(reading, index, "openings", "every", "give the one or the other");
}

/* What is in it wrongly is told where it stands. */
static bool check_filled(struct reading *reading, uint32_t index)
{
    const struct markup_element *element = reading_element(reading, index);

    if (element->first != NO_ELEMENT)
        return true;
    return reading_fault(reading, element->line, "<%.40s> has nothing in it; put a <photo> into it",
                         element->name);
}

static bool need_child(struct reading *reading, uint32_t index, const char *name,
                       const char *example)
{
    if (has_child(reading, index, name))
        return true;
    return reading_fault(reading, reading_element(reading, index)->line, "<%s> has no <%s>; add %s",
                         reading_element(reading, index)->name, name, example);
}

static bool check_rule(struct reading *reading, uint32_t index,
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
        if (reading_element(reading, index)->text || reading_given(reading, index, "ruled"))
            return true;
        return reading_fault(reading, reading_element(reading, index)->line,
                             "<text> has no words; write them between its tags, or give "
                             "ruled=\"1/4in\" for lines to write on");
    case RULE_FILLED:
        return check_filled(reading, index);
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

/* What is set twice, also by an attribute of the same name. */
static bool check_set(struct reading *reading, uint32_t index, const struct language_element *known)
{
    struct reading_names names = {0};
    bool ok = true;

    if (!language_find("set", known->holds))
        return true;
    for (size_t i = 0; i < LANGUAGE_ATTRIBUTES && known->attributes[i].name && ok; i++) {
        const struct markup_attribute *one =
            reading_given(reading, index, known->attributes[i].name);
        if (one && known->attributes[i].kind == KIND_SETTING)
            ok = reading_names_add(&names, one->name, 0, one->line, reading->err);
    }
    for (uint32_t i = reading_element(reading, index)->first; i != NO_ELEMENT && ok;
         i = reading_element(reading, i)->next) {
        const struct markup_attribute *name = reading_given(reading, i, "name");
        if (name && strcmp(reading_element(reading, i)->name, "set") == 0)
            ok = reading_names_add(&names, name->value, 0, name->line, reading->err);
    }
    reading_names_sort(&names);
    ok = ok && reading_names_once(reading, &names, "parameter");
    free(names.items);
    return ok;
}

bool read_rules(struct reading *reading, uint32_t index, const struct language_element *known)
{
    return check_rule(reading, index, known) &&
           refuse_both(reading, index, "x", "right", "give the one or the other") &&
           refuse_both(reading, index, "y", "top", "give the one or the other") &&
           check_set(reading, index, known);
}
