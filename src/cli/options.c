/* Reading the command line by the tables of the commands. */
#include "cli.h"

#include <assert.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>

/* ---- the nearest word ------------------------------------------------------------------ */

enum { LONGEST_WORD = 24 };

static size_t smaller(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Edit distance of Levenshtein, by rows. Words beyond LONGEST_WORD are far from everything. */
static size_t word_distance(const char *a, const char *b)
{
    const size_t a_length = strlen(a), b_length = strlen(b);
    size_t row[LONGEST_WORD + 1];

    if (a_length > LONGEST_WORD || b_length > LONGEST_WORD)
        return LONGEST_WORD;
    for (size_t j = 0; j <= b_length; j++)
        row[j] = j;
    for (size_t i = 1; i <= a_length; i++) {
        size_t corner = row[0];
        row[0] = i;
        for (size_t j = 1; j <= b_length; j++) {
            const size_t swapped = corner + (a[i - 1] != b[j - 1]);
            corner = row[j];
            row[j] = smaller(swapped, smaller(row[j], row[j - 1]) + 1);
        }
    }
    return row[b_length];
}

const char *nearest_word(const char *typed, const char *const *words)
{
    const char *best = NULL;
    size_t best_distance = LONGEST_WORD;

    for (; *words; words++) {
        size_t distance = word_distance(typed, *words);
        /* A beginning of the word is as good as one slip. */
        if (typed[0] && strncmp(typed, *words, strlen(typed)) == 0)
            distance = smaller(distance, 1);
        if (distance < best_distance) {
            best = *words;
            best_distance = distance;
        }
    }
    return best && best_distance <= 2 && best_distance < strlen(best) ? best : NULL;
}

/* ---- options as typed ------------------------------------------------------------------ */

/* "--seam" or "-o", for messages. */
static const char *option_label(const struct option *option, char label[32])
{
    size_t length = 0;

    label[length++] = '-';
    if (option->name) {
        label[length++] = '-';
        for (const char *c = option->name; *c && length < 31; c++)
            label[length++] = *c;
    } else {
        label[length++] = option->letter;
    }
    label[length] = '\0';
    return label;
}

static bool option_is(const struct option *option, const char *name)
{
    return option->name ? strcmp(option->name, name) == 0
                        : option->letter == name[0] && name[1] == '\0';
}

static bool unknown_option(const struct command *command, const char *name, size_t length,
                           struct rab_error *err)
{
    enum { MOST_OPTIONS = 40 };
    const char *words[MOST_OPTIONS + 1];
    char typed[LONGEST_WORD + 2];
    const char *near = NULL;
    size_t count = 0;

    for (size_t i = 0; command->options[i]; i++) {
        assert(count < MOST_OPTIONS);
        if (command->options[i]->name)
            words[count++] = command->options[i]->name;
    }
    words[count] = NULL;

    if (length <= LONGEST_WORD) {
        memcpy(typed, name, length);
        typed[length] = '\0';
        near = nearest_word(typed, words);
    }
    if (near)
        return rab_fail(err, RAB_FAULT_INPUT, "the option --%.*s is not known; did you mean --%s?",
                        (int)smaller(length, 60), name, near);
    if (command->settings)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the option --%.*s is not known; a parameter is given as %.*s=VALUE, and "
                        "'rabbet %s --help' lists the options",
                        (int)smaller(length, 40), name, (int)smaller(length, 40), name,
                        command->name);
    return rab_fail(err, RAB_FAULT_INPUT,
                    "the option --%.*s is not known; 'rabbet %s --help' lists those that are",
                    (int)smaller(length, 60), name, command->name);
}

/* Is the next word a value, or has the value been forgotten? "-2mm" and "-" are values. */
static bool looks_like_option(const char *word)
{
    return word[0] == '-' && word[1] != '\0' && word[1] != '.' &&
           !(word[1] >= '0' && word[1] <= '9');
}

static bool add_given(struct arguments *arguments, const struct option *option, const char *value,
                      struct rab_error *err)
{
    char label[32];
    void *items = arguments->given;

    for (size_t i = 0; i < arguments->count && !option->repeats; i++) {
        if (arguments->given[i].option == option)
            return rab_fail(err, RAB_FAULT_INPUT, "%s is given twice; give it once",
                            option_label(option, label));
    }
    if (!rab_reserve(&items, &arguments->capacity, arguments->count + 1, sizeof(struct given), err))
        return false;
    arguments->given = items;
    arguments->given[arguments->count++] = (struct given){option, value};
    return true;
}

/* One option, with `inside` the value joined to it (NULL for none) and `next` the word after it.
 * *used tells whether next was taken. */
static bool read_option(struct arguments *arguments, const struct option *option,
                        const char *inside, const char *next, bool *used, struct rab_error *err)
{
    char label[32];

    *used = false;
    option_label(option, label);
    if (!option->value) {
        if (inside)
            return rab_fail(err, RAB_FAULT_INPUT, "%s takes no value; give it alone", label);
        return add_given(arguments, option, NULL, err);
    }
    if (!inside) {
        if (!next || looks_like_option(next))
            return rab_fail(err, RAB_FAULT_INPUT, "%s needs a value; give %s %s", label, label,
                            option->value);
        inside = next;
        *used = true;
    }
    if (inside[0] == '\0')
        return rab_fail(err, RAB_FAULT_INPUT, "the value of %s is empty; give %s %s", label, label,
                        option->value);
    return add_given(arguments, option, inside, err);
}

static bool read_long(struct arguments *arguments, const char *word, const char *next, bool *used,
                      struct rab_error *err)
{
    const char *name = word + 2, *equals = strchr(name, '=');
    const size_t length = equals ? (size_t)(equals - name) : strlen(name);

    *used = false;
    if (strcmp(name, "help") == 0 || strcmp(name, "version") == 0) {
        arguments->help = name[0] == 'h';
        arguments->version = name[0] == 'v';
        return true;
    }
    for (size_t i = 0; arguments->command->options[i]; i++) {
        const struct option *option = arguments->command->options[i];
        if (option->name && strlen(option->name) == length &&
            memcmp(option->name, name, length) == 0)
            return read_option(arguments, option, equals ? equals + 1 : NULL, next, used, err);
    }
    return unknown_option(arguments->command, name, length, err);
}

static bool read_letter(struct arguments *arguments, const char *word, const char *next, bool *used,
                        struct rab_error *err)
{
    const char *inside = word[2] == '=' ? word + 3 : word[2] ? word + 2 : NULL;

    *used = false;
    if (word[1] == 'h' && !word[2]) {
        arguments->help = true;
        return true;
    }
    for (size_t i = 0; arguments->command->options[i]; i++) {
        const struct option *option = arguments->command->options[i];
        if (option->letter && option->letter == word[1])
            return read_option(arguments, option, inside, next, used, err);
    }
    /* "-seam" is a slip for "--seam". */
    for (size_t i = 0; arguments->command->options[i]; i++) {
        const char *name = arguments->command->options[i]->name;
        if (name && strncmp(name, word + 1, strlen(name)) == 0)
            return rab_fail(err, RAB_FAULT_INPUT,
                            "the option %.60s is not known; did you mean --%s?", word, name);
    }
    return rab_fail(err, RAB_FAULT_INPUT,
                    "the option %.60s is not known; 'rabbet %s --help' lists those that are (a "
                    "file of that name is written ./%.60s)",
                    word, arguments->command->name, word);
}

/* A word that stands alone. */
static bool read_word(struct arguments *arguments, char *word, struct rab_error *err)
{
    const struct command *command = arguments->command;
    void *items = arguments->settings;
    char *equals = strchr(word, '=');

    if (command->settings && equals) {
        if (equals == word || equals[1] == '\0')
            return rab_fail(err, RAB_FAULT_INPUT,
                            "'%.80s' is half a setting; give PARAMETER=VALUE without blanks, as in "
                            "width=40mm",
                            word);
        if (!rab_reserve(&items, &arguments->setting_capacity, arguments->setting_count + 1,
                         sizeof *arguments->settings, err))
            return false;
        *equals = '\0';
        arguments->settings = items;
        arguments->settings[arguments->setting_count++] = (struct rab_setting){word, equals + 1};
        return true;
    }
    if (command->settings && (!command->operand || arguments->operand))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "'%.80s' is one word too many; a parameter is given as PARAMETER=VALUE "
                        "without blanks, as in width=40mm",
                        word);
    if (!command->operand)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "'%.80s' is one word too many: %s takes options only; 'rabbet %s "
                        "--help' lists them",
                        word, command->name, command->name);
    if (arguments->operand)
        return rab_fail(err, RAB_FAULT_INPUT,
                        "'%.60s' is one word too many after '%.60s'; give one %s", word,
                        arguments->operand, command->operand);
    if (word[0] == '\0')
        return rab_fail(err, RAB_FAULT_INPUT,
                        "the %s is empty; 'rabbet %s --help' shows how it is used",
                        command->operand, command->name);
    arguments->operand = word;
    return true;
}

bool arguments_read(int count, char *const *words, struct arguments *arguments,
                    struct rab_error *err)
{
    const struct command *command = arguments->command;
    bool options_end = false;

    for (int i = 0; i < count; i++) {
        char *word = words[i];
        const char *next = i + 1 < count ? words[i + 1] : NULL;
        bool used = false;

        if (!options_end && strcmp(word, "--") == 0) {
            options_end = true;
        } else if (!options_end && word[0] == '-' && word[1] == '-') {
            if (!read_long(arguments, word, next, &used, err))
                return false;
        } else if (!options_end && word[0] == '-' && word[1]) {
            if (!read_letter(arguments, word, next, &used, err))
                return false;
        } else if (!read_word(arguments, word, err)) {
            return false;
        }
        i += used;
        if (arguments->help || arguments->version)
            return true;
    }
    if (command->operand && !command->operand_optional && !arguments->operand)
        return rab_fail(err, RAB_FAULT_INPUT,
                        command->settings
                            ? "no %s is given; 'rabbet shapes' lists them, 'rabbet "
                              "%s --help' shows how it is used"
                            : "no %s is given; 'rabbet %s --help' shows how it is used",
                        command->operand, command->name);
    return true;
}

void arguments_clear(struct arguments *arguments)
{
    free(arguments->given);
    free(arguments->settings);
    rab_warnings_clear(&arguments->warnings);
    prepared_clear(&arguments->prepared);
    *arguments = (struct arguments){0};
}

/* ---- values ---------------------------------------------------------------------------- */

static const struct given *find_given(const struct arguments *arguments, const char *name)
{
    const struct option *const *option = arguments->command->options;

    while (*option && !option_is(*option, name))
        option++;
    assert(*option); /* the command's own table must know it */
    for (size_t i = 0; i < arguments->count; i++) {
        if (arguments->given[i].option == *option)
            return &arguments->given[i];
    }
    return NULL;
}

bool option_given(const struct arguments *arguments, const char *name)
{
    return find_given(arguments, name) != NULL;
}

const char *option_text(const struct arguments *arguments, const char *name)
{
    const struct given *given = find_given(arguments, name);
    return given ? given->value : NULL;
}

/* Pass on what a reader of values said, with the option's name before it. */
static bool fail_value(const struct rab_error *said, const char *name, struct rab_error *err)
{
    return rab_fail(err, said->fault, "--%s: %s", name, said->text);
}

static bool length_value(const char *text, const char *name, bool from_zero, double *mm,
                         struct rab_error *err)
{
    struct rab_error said = {0};
    double value = 0;

    /* Nothing is nothing in every unit. */
    if (strcmp(text, "0") != 0 && !rab_length_read(text, RAB_UNIT_NONE, &value, &said))
        return fail_value(&said, name, err);
    if (value < 0 || (value <= 0 && !from_zero))
        return rab_fail(err, RAB_FAULT_INPUT, "--%s %.60s is %s; give %s", name, text,
                        value < 0 ? "negative" : "nothing",
                        from_zero ? "0 or more" : "more than 0");
    *mm = value;
    return true;
}

bool option_length(const struct arguments *arguments, const char *name, bool from_zero, double *mm,
                   struct rab_error *err)
{
    const char *text = option_text(arguments, name);
    return !text || length_value(text, name, from_zero, mm, err);
}

bool option_size(const struct arguments *arguments, const char *name, double *width, double *height,
                 struct rab_error *err)
{
    const char *text = option_text(arguments, name);
    struct rab_error said = {0};

    if (text && !rab_size_read(text, RAB_UNIT_NONE, width, height, &said))
        return fail_value(&said, name, err);
    return true;
}

bool option_choice(const struct arguments *arguments, const char *name, int *which,
                   struct rab_error *err)
{
    const struct given *given = find_given(arguments, name);
    struct rab_text words = {0};

    if (!given)
        return true;
    const char *word = given->option->value;
    for (int i = 0; *word; i++) {
        const size_t length = strcspn(word, "|");
        if (strlen(given->value) == length && memcmp(given->value, word, length) == 0) {
            *which = i;
            return true;
        }
        word += length;
        if (*word == '|')
            word++;
    }
    for (word = given->option->value; *word;) {
        const size_t length = strcspn(word, "|");
        if (words.length)
            rab_text_add(&words, word[length] ? ", " : " or ");
        rab_text_bytes(&words, word, length);
        word += length + (word[length] == '|');
    }
    if (rab_text_ok(&words, err))
        rab_fail(err, RAB_FAULT_INPUT, "--%s %.60s is not known; give %s", name, given->value,
                 words.data);
    rab_text_clear(&words);
    return false;
}

bool option_lengths(const struct arguments *arguments, const char *name, bool from_zero,
                    double **lengths, size_t *count, struct rab_error *err)
{
    const char *text = option_text(arguments, name);
    double *made = NULL;
    size_t made_count = 0, capacity = 0;
    struct rab_text word = {0};
    bool ok = false;

    if (!text)
        return true;
    for (;;) {
        const size_t length = strcspn(text, ",");
        void *items = made;
        rab_text_clear(&word);
        rab_text_bytes(&word, text, length);
        if (!rab_text_ok(&word, err) ||
            !rab_reserve(&items, &capacity, made_count + 1, sizeof(double), err))
            goto done;
        made = items;
        if (!length_value(word.data ? word.data : "", name, from_zero, &made[made_count++], err))
            goto done;
        if (!text[length])
            break;
        text += length + 1;
    }
    *lengths = made;
    *count = made_count;
    made = NULL;
    ok = true;
done:
    free(made);
    rab_text_clear(&word);
    return ok;
}

/* A whole number from 1 at *text, moved past it; 0 when there is none. Large ones stay large. */
static int read_whole(const char **text)
{
    int value = 0;

    for (; **text >= '0' && **text <= '9'; (*text)++) {
        const int digit = **text - '0';
        value = value > (INT_MAX - digit) / 10 ? INT_MAX : value * 10 + digit;
    }
    return value;
}

bool numbers_read(const char *text, const char *option, const char *things, int most, int **numbers,
                  size_t *count, struct rab_error *err)
{
    int *made = NULL;
    bool *seen = NULL;
    size_t made_count = 0;
    const char *at = text;
    bool ok = false;

    /* Each number once, so there are no more of them than things. */
    made = calloc((size_t)most + 1, sizeof *made);
    seen = calloc((size_t)most + 1, sizeof *seen);
    if (!made || !seen) {
        rab_fail_memory(err);
        goto done;
    }
    do {
        while (*at == ' ')
            at++;
        const int first = read_whole(&at);
        int last = first;
        if (*at == '-') {
            at++;
            last = read_whole(&at);
        }
        while (*at == ' ')
            at++;
        if (first == 0 || last == 0 || (*at && *at != ',')) {
            rab_fail(err, RAB_FAULT_INPUT,
                     "--%s %.60s is not a list of %s; give numbers from 1, as in 1-8,12", option,
                     text, things);
            goto done;
        }
        if (first > last) {
            rab_fail(err, RAB_FAULT_INPUT, "--%s: %d-%d runs backwards; give %d-%d", option, first,
                     last, last, first);
            goto done;
        }
        if (last > most) {
            rab_fail(err, RAB_FAULT_INPUT, "--%s: there is no %d; the %s are numbered 1 to %d",
                     option, first > most ? first : last, things, most);
            goto done;
        }
        for (int i = first; i <= last; i++) {
            if (!seen[i])
                made[made_count++] = i;
            seen[i] = true;
        }
    } while (*at++ == ',');

    *numbers = made;
    *count = made_count;
    made = NULL;
    ok = true;
done:
    free(made);
    free(seen);
    return ok;
}
