/* The values of attributes, as the language's table says. */
#include "base/utf8.h"
#include "job/reading.h"
#include "shape/nearest.h"
#include "shape/reader.h"

#include <assert.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static_assert(sizeof(enum rab_tool) == sizeof(int), "enums are stored as int");

/* An attribute that is being read, and what it fills. */
struct slot {
    struct reading *reading;
    const struct language_element *element;
    const struct language_attribute *known;
    const char *value;
    int line;
    void *target;
};

static void store(const struct slot *slot, size_t at, const void *value, size_t size)
{
    memcpy((char *)slot->target + at, value, size);
}

static void store_int(const struct slot *slot, size_t at, int value)
{
    store(slot, at, &value, sizeof value);
}

static void store_double(const struct slot *slot, double value)
{
    store(slot, slot->known->at, &value, sizeof value);
}

/* "width of <panel> is "x"; what would be right" */
static bool refuse(const struct slot *slot, const char *right)
{
    return reading_fault(slot->reading, slot->line, "%s of <%s> is \"%.60s\"; %s",
                         slot->known->name, slot->element->name, slot->value, right);
}

/* ---- words ---- */

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

/* Blanks, and what could move a terminal's cursor or turn the direction of a line round. */
static bool divides(uint32_t code)
{
    return code <= ' ' || (code >= 0x7F && code <= 0xA0) || code == 0x200E || code == 0x200F ||
           (code >= 0x2028 && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069);
}

static bool copy(struct reading *reading, const char *text, size_t length, char **out)
{
    char *made = malloc(length + 1);

    if (!made)
        return rab_fail_memory(reading->err);
    memcpy(made, text, length);
    made[length] = '\0';
    *out = made;
    return true;
}

bool read_words(struct reading *reading, const char *text, char **out)
{
    const size_t length = strlen(text);
    char *made = malloc(length + 1);
    size_t used = 0, ends = 0;
    bool blank = false;

    if (!made)
        return rab_fail_memory(reading->err);
    for (size_t i = 0; i < length;) {
        uint32_t code = ' ';
        size_t step = utf8_decode((const unsigned char *)text + i, length - i, &code);
        if (text[i] == '\n') {
            ends++;
        } else if (step == 0 || divides(code)) {
            blank = true;
        } else {
            for (size_t k = 0; k < ends && k < 2 && used > 0; k++)
                made[used++] = '\n';
            if (blank && ends == 0 && used > 0)
                made[used++] = ' ';
            ends = 0;
            blank = false;
            memcpy(made + used, text + i, step);
            used += step;
        }
        i += step > 0 ? step : 1;
    }
    made[used] = '\0';
    *out = made;
    return true;
}

static bool is_empty(const char *text)
{
    while (is_blank(*text))
        text++;
    return *text == '\0';
}

static bool read_line(const struct slot *slot)
{
    char *made = NULL;

    if (is_empty(slot->value))
        return refuse(slot, "write something, or leave it away");
    if (!read_words(slot->reading, slot->value, &made))
        return false;
    assert(made);
    for (char *c = made; *c; c++)
        if (*c == '\n')
            *c = ' ';
    store(slot, slot->known->at, &made, sizeof made);
    return true;
}

static bool read_path(const struct slot *slot)
{
    char *made = NULL;

    if (is_empty(slot->value))
        return refuse(slot, "give the name of a file");
    for (const char *c = slot->value; *c; c++)
        if ((unsigned char)*c < ' ')
            return refuse(slot, "the name of a file holds no tabs or line ends");
    if (!copy(slot->reading, slot->value, strlen(slot->value), &made))
        return false;
    store(slot, slot->known->at, &made, sizeof made);
    return true;
}

static bool read_name(const struct slot *slot)
{
    char *made = NULL;

    if (!reader_word_ok(slot->value))
        return refuse(slot, "use small letters, digits and single hyphens, like lantern-walk");
    if (!copy(slot->reading, slot->value, strlen(slot->value), &made))
        return false;
    store(slot, slot->known->at, &made, sizeof made);
    if (slot->element->part == PART_PAPER)
        return true; /* looked at when all papers were named */
    return reading_names_add(&slot->reading->items, slot->value, 0, slot->line, slot->reading->err);
}

int read_which(const char *const *words, const char *text)
{
    for (int i = 0; words[i]; i++)
        if (strcmp(words[i], text) == 0)
            return i;
    return -1;
}

static bool refuse_word(const struct slot *slot)
{
    const char *const *words = slot->known->words;
    char right[120];
    size_t length = 0;

    for (int i = 0; words[i] && length < sizeof right; i++)
        length += (size_t)snprintf(right + length, sizeof right - length, "%s%s",
                                   i == 0         ? "it can be "
                                   : words[i + 1] ? ", "
                                                  : " or ",
                                   words[i]);
    return refuse(slot, right);
}

static bool read_word(const struct slot *slot)
{
    const int which = read_which(slot->known->words, slot->value);
    const bool yes = which == 1;

    if (which < 0)
        return refuse_word(slot);
    if (slot->known->at == NOWHERE)
        return true; /* known already */
    if (slot->known->kind == KIND_YES)
        store(slot, slot->known->at, &yes, sizeof yes);
    else
        store_int(slot, slot->known->at, slot->known->least + which);
    return true;
}

static bool check_tool(const struct slot *slot)
{
    const struct rab_job *job = &slot->reading->job;

    if (strcmp(slot->known->name, "cut") == 0) {
        if (strcmp(slot->value, "trimmer") == 0 && !job->trimmer)
            return refuse(slot, "but the job has no trimmer; add <trimmer/> to it");
        if (strcmp(slot->value, "cutter") == 0 && !job->cutter)
            return refuse(slot, "but the job has no cutter; add <cutter/> to it");
    }
    return true;
}

/* ---- numbers ---- */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Digits at *text, which moves past them; -1 when there are none. Large ones stay large. */
static int take_whole(const char **text)
{
    int value = 0;

    if (!is_digit(**text))
        return -1;
    for (; is_digit(**text); ++*text) {
        const int digit = **text - '0';
        value = value > (INT_MAX - digit) / 10 ? INT_MAX : value * 10 + digit;
    }
    return value;
}

/* Digits, with a point among them or not. */
static bool take_decimal(const char **text, double *value)
{
    const size_t length = strspn(*text, "0123456789.");
    const bool ok = length > 0 && rab_number_read(*text, length, value) == length;

    *text += length;
    return ok && *value < 1e9;
}

static bool read_count(const struct slot *slot)
{
    const char *at = slot->value;
    const int value = take_whole(&at);
    char right[80];

    if (value >= slot->known->least && value <= slot->known->most && *at == '\0') {
        store_int(slot, slot->known->at, value);
        return true;
    }
    snprintf(right, sizeof right, "give a whole number from %d to %d", slot->known->least,
             slot->known->most);
    return refuse(slot, right);
}

static bool read_percent(const struct slot *slot)
{
    const char *at = slot->value;
    double value;

    if (!take_decimal(&at, &value) || *at != '\0' || value > 1000)
        return refuse(slot, "give how much more in percent, from 0 to 1000, like 10");
    store_double(slot, value / 100);
    return true;
}

static bool read_degrees(const struct slot *slot)
{
    const bool quarters = slot->known->kind == KIND_QUARTERS;
    const size_t length = strlen(slot->value);
    double value;

    if (rab_number_read(slot->value, length, &value) != length || length == 0 ||
        !(fabs(value) <= 360))
        return refuse(slot, quarters ? "give 0, 90, 180, 270 or -90 degrees, without a unit"
                                     : "give degrees without a unit, -360 to 360, like 90");
    if (quarters && fmod(value, 90) != 0)
        return refuse(slot, "a strip turns in steps of 90 degrees; give 0, 90, 180, 270 or -90");
    store_double(slot, value * RAB_PI / 180);
    return true;
}

static bool read_proportion(const struct slot *slot)
{
    const char *at = slot->value;
    double width, height;

    if (!take_decimal(&at, &width) || *at++ != ':' || !take_decimal(&at, &height) || *at != '\0' ||
        !(width > 0 && height > 0))
        return refuse(slot, "give width to height, like 3:2");
    if (!(width / height >= 0.01 && width / height <= 100))
        return refuse(slot, "no photo is so narrow; give width to height, like 3:2");
    store_double(slot, width / height);
    return true;
}

static bool read_pixels(const struct slot *slot)
{
    enum { MOST_PIXELS = 1000000 };
    const char *at = slot->value;
    const int width = take_whole(&at);
    const char times = *at;
    int height;

    if (width < 1 || width > MOST_PIXELS || times != 'x')
        return refuse(slot, "give width by height, like 3000x2000");
    at++;
    height = take_whole(&at);
    if (height < 1 || height > MOST_PIXELS || *at != '\0')
        return refuse(slot, "give width by height, like 3000x2000");
    store_int(slot, slot->known->at, width);
    store_int(slot, slot->known->count_at, height);
    return true;
}

static bool read_colour(const struct slot *slot)
{
    static const char digits[] = "0123456789abcdef";
    uint32_t colour = 0;

    for (size_t i = 1; i < 7; i++) {
        const char c = slot->value[0] == '#' ? slot->value[i] : '\0';
        const char *digit =
            c == '\0' ? NULL : strchr(digits, c >= 'A' && c <= 'F' ? c - 'A' + 'a' : c);
        if (!digit)
            return refuse(slot, "write red, green and blue like #2B3A55");
        colour = colour * 16 + (uint32_t)(digit - digits);
    }
    if (slot->value[7] != '\0')
        return refuse(slot, "write red, green and blue like #2B3A55");
    /* 0 says that no colour is given; nobody can tell this from black */
    if (slot->known->kind == KIND_SHADE && colour == 0)
        colour = 1;
    store(slot, slot->known->at, &colour, sizeof colour);
    return true;
}

/* ---- lengths ---- */

static bool take_length(const struct slot *slot, double *mm, bool *ok)
{
    struct rab_error fault = {0};

    *ok = rab_length_read(slot->value, slot->reading->units, mm, &fault);
    if (*ok)
        return true;
    return reading_fault(slot->reading, slot->line, "%s of <%s>: %s", slot->known->name,
                         slot->element->name, fault.text);
}

static bool read_length(const struct slot *slot)
{
    struct rab_given given = {.given = true};
    bool ok;

    if (!take_length(slot, &given.value, &ok))
        return false;
    if (!ok)
        return true;
    if (slot->known->kind == KIND_PLACE) {
        store(slot, slot->known->at, &given, sizeof given);
        return true;
    }
    if (slot->known->kind == KIND_LENGTH ? given.value < 0 : given.value <= 0)
        return refuse(slot,
                      slot->known->kind == KIND_LENGTH ? "give 0 or more" : "give more than 0");
    store_double(slot, given.value);
    return true;
}

/* Pitch and depth of a strip's motif: as if they were set, with their unit. */
static bool read_setting(const struct slot *slot)
{
    struct rab_item *item = slot->target;
    struct rab_choice_made *made = &item->set.items[item->set.count];
    struct rab_text text = {0};
    double mm;
    bool ok;

    if (!take_length(slot, &mm, &ok))
        return false;
    if (!ok)
        return true;
    if (mm <= 0)
        return refuse(slot, "give more than 0");
    item->set.count++; /* cleared with the item from here on */
    rab_text_number(&text, mm);
    rab_text_add(&text, "mm");
    made->value = text.data;
    return rab_text_ok(&text, slot->reading->err) &&
           copy(slot->reading, slot->known->name, strlen(slot->known->name), &made->name);
}

/* ---- papers ---- */

static int compare_name(const void *key, const void *item)
{
    return strcmp(key, ((const struct reading_name *)item)->name);
}

static bool find_paper(const struct slot *slot, const char *name, size_t *number)
{
    const struct reading_names *papers = &slot->reading->papers;
    const struct reading_name *found =
        papers->count > 0
            ? bsearch(name, papers->items, papers->count, sizeof *papers->items, compare_name)
            : NULL;
    struct nearest nearest = {.wanted = name};
    char advice[256], otherwise[120];

    if (found)
        *number = found->number;
    if (found || papers->count == 0)
        return true; /* that there is none at all is told once */
    if (slot->reading->faults.count == FAULTS_TOLD)
        return reading_fault(slot->reading, slot->line, "%s", ""); /* counted only */
    for (size_t i = 0; i < papers->count; i++)
        if (i == 0 || strcmp(papers->items[i].name, papers->items[i - 1].name) != 0)
            nearest_look(&nearest, papers->items[i].name);
    snprintf(otherwise, sizeof otherwise, "; declare it: <paper name=\"%.64s\" colour=\"#...\"/>",
             name);
    nearest_words(&nearest, advice, sizeof advice, otherwise);
    return reading_fault(slot->reading, slot->line, "%s of <%s>: there is no paper \"%.64s\"%s",
                         slot->known->name, slot->element->name, name, advice);
}

static bool read_paper(const struct slot *slot)
{
    size_t number = 0;

    if (!find_paper(slot, slot->value, &number))
        return false;
    store(slot, slot->known->at, &number, sizeof number);
    return true;
}

static size_t count_words(const char *text)
{
    size_t count = 0;

    for (bool inside = false; *text; text++) {
        count += !is_blank(*text) && !inside;
        inside = !is_blank(*text);
    }
    return count;
}

static bool read_papers(const struct slot *slot)
{
    const size_t count = count_words(slot->value);
    const char *at = slot->value;
    size_t *numbers;

    if (count == 0)
        return refuse(slot, "give the names of papers, divided by blanks");
    if (count > JOB_TURNS)
        return refuse(slot, "give at most 1000 papers");
    numbers = calloc(count, sizeof *numbers);
    if (!numbers)
        return rab_fail_memory(slot->reading->err);
    store(slot, slot->known->at, &numbers, sizeof numbers);
    store(slot, slot->known->count_at, &count, sizeof count);
    for (size_t i = 0; i < count; i++) {
        char name[JOB_NAME_LENGTH + 2];
        size_t length = 0;
        while (is_blank(*at))
            at++;
        while (at[length] && !is_blank(at[length]))
            length++;
        /* one that is too long stays too long */
        snprintf(name, sizeof name, "%.*s", (int)(length < sizeof name ? length : sizeof name - 1),
                 at);
        if (!find_paper(slot, name, &numbers[i]))
            return false;
        at += length;
    }
    return true;
}

/* ---- openings ---- */

/* One step of "1-8,12 14": from `first` to `last`. */
static bool take_range(const char **text, int *first, int *last)
{
    while (is_blank(**text))
        ++*text;
    *first = *last = take_whole(text);
    if (**text == '-') {
        ++*text;
        *last = take_whole(text);
    }
    const char *end = *text;
    while (is_blank(**text))
        ++*text;
    if (*first < 0 || *last < 0)
        return false;
    if (**text == ',') {
        ++*text;
        return **text != '\0';
    }
    return **text == '\0' || *text > end;
}

static bool refuse_range(const struct slot *slot, int first, int last, bool *ok)
{
    char right[100];

    *ok = false;
    if (first == 0)
        return refuse(slot, "openings are numbered from 1");
    if (last > JOB_OPENINGS || first > JOB_OPENINGS) {
        snprintf(right, sizeof right, "the highest number of an opening can be %d", JOB_OPENINGS);
        return refuse(slot, right);
    }
    if (first > last) {
        snprintf(right, sizeof right, "%d-%d runs backwards; write %d-%d", first, last, last,
                 first);
        return refuse(slot, right);
    }
    *ok = true;
    return true;
}

static bool refuse_twice(const struct slot *slot, int number)
{
    char right[60];

    snprintf(right, sizeof right, "opening %d is there twice; name it once", number);
    return refuse(slot, right);
}

/* Every number of the list into seen[]; *count of them. */
static bool mark_openings(const struct slot *slot, bool *seen, size_t *count, bool *ok)
{
    const char *at = slot->value;

    do {
        int first = 0, last = 0;
        if (!take_range(&at, &first, &last)) {
            *ok = false;
            return refuse(slot, "list numbers of openings like 1-8,12");
        }
        if (!refuse_range(slot, first, last, ok))
            return false;
        for (int i = first; i <= last && *ok; i++) {
            if (seen[i]) {
                *ok = false;
                return refuse_twice(slot, i);
            }
            seen[i] = true;
            ++*count;
        }
        if (!*ok)
            return true;
    } while (*at);
    return true;
}

static bool read_openings(const struct slot *slot)
{
    bool seen[JOB_OPENINGS + 1] = {0}, ok = false;
    size_t count = 0, used = 0;
    int *numbers;

    if (!mark_openings(slot, seen, &count, &ok))
        return false;
    if (!ok)
        return true;
    if (slot->reading->listed > JOB_LISTED)
        return true; /* told already */
    slot->reading->listed += count;
    if (slot->reading->listed > JOB_LISTED)
        return reading_fault(slot->reading, slot->line,
                             "more than %d openings are listed in the file; list fewer",
                             JOB_LISTED);
    numbers = calloc(count, sizeof *numbers);
    if (!numbers)
        return rab_fail_memory(slot->reading->err);
    for (int i = 1; i <= JOB_OPENINGS; i++)
        if (seen[i])
            numbers[used++] = i;
    store(slot, slot->known->at, &numbers, sizeof numbers);
    store(slot, slot->known->count_at, &count, sizeof count);
    return true;
}

static bool read_opening(const struct slot *slot)
{
    const char *at = slot->value;
    const int number = take_whole(&at);

    if (number < 1 || number > JOB_OPENINGS || *at != '\0')
        return refuse(slot, "give the number of one opening, from 1");
    return read_openings(slot);
}

/* ---- all of them ---- */

bool read_value(struct reading *reading, const struct language_element *element,
                const struct language_attribute *known, const struct markup_attribute *attribute,
                void *target)
{
    const struct slot slot = {reading, element, known, attribute->value, attribute->line, target};

    switch (known->kind) {
    case KIND_NAME:
        return read_name(&slot);
    case KIND_LINE:
        return read_line(&slot);
    case KIND_PATH:
        return read_path(&slot);
    case KIND_ABOVE:
    case KIND_LENGTH:
    case KIND_PLACE:
        return read_length(&slot);
    case KIND_COUNT:
        return read_count(&slot);
    case KIND_PERCENT:
        return read_percent(&slot);
    case KIND_DEGREES:
    case KIND_QUARTERS:
        return read_degrees(&slot);
    case KIND_PROPORTION:
        return read_proportion(&slot);
    case KIND_PIXELS:
        return read_pixels(&slot);
    case KIND_COLOUR:
    case KIND_SHADE:
        return read_colour(&slot);
    case KIND_WORD:
    case KIND_YES:
        return read_word(&slot) && check_tool(&slot);
    case KIND_PAPER:
        return read_paper(&slot);
    case KIND_PAPERS:
        return read_papers(&slot);
    case KIND_OPENINGS:
        return read_openings(&slot);
    case KIND_OPENING:
        return read_opening(&slot);
    case KIND_SETTING:
        return read_setting(&slot);
    }
    return true;
}
