/* The program: finds the command, and is the one place where a fault becomes an exit status. */
#include "cli.h"

#include <string.h>

static int exit_status(enum rab_fault fault)
{
    switch (fault) {
    case RAB_FAULT_NONE:
        return 0;
    case RAB_FAULT_GEOMETRY:
        return 1;
    case RAB_FAULT_INPUT:
        return 2;
    case RAB_FAULT_FILE:
    case RAB_FAULT_MEMORY:
        return 3;
    }
    return 3;
}

/* One line on standard error: "FILE:LINE: text", "FILE: text" or "rabbet COMMAND: text"; nothing
 * before it when `place` is empty, for a text that names its file itself. What could move a
 * terminal's cursor (a file may have any name) shows as '?'. */
static void say(const struct arguments *arguments, const char *place, int line, const char *kind,
                const char *text)
{
    struct rab_text said = {0};

    if (place)
        rab_text_add(&said, place);
    else
        rab_text_format(&said, "rabbet%s%s", arguments->command ? " " : "",
                        arguments->command ? arguments->command->name : "");
    if (place && *place && line > 0)
        rab_text_format(&said, ":%d", line);
    rab_text_format(&said, "%s%s%s", place && !*place ? "" : ": ", kind, text);
    for (size_t i = 0; i < said.length; i++) {
        if ((unsigned char)said.data[i] < ' ' || said.data[i] == 127)
            said.data[i] = '?';
    }
    fprintf(stderr, "%s\n", said.failed ? "rabbet: memory is out" : said.data);
    rab_text_clear(&said);
}

/* Of each kind of warning the first few, and how many more there are. */
static void say_warnings(const struct arguments *arguments)
{
    enum { ENOUGH = 24 };
    const struct rab_warnings *warnings = &arguments->warnings;

    for (size_t i = 0; i < warnings->count; i++) {
        const struct rab_warning *warning = &warnings->items[i];
        size_t before = 0, after = 0;
        for (size_t j = 0; j < i && before <= ENOUGH; j++)
            before += strcmp(warnings->items[j].code, warning->code) == 0;
        if (before < ENOUGH) {
            say(arguments, arguments->source, warning->line,
                strcmp(warning->code, "error") == 0 ? "" : "warning: ", warning->text);
        } else if (before == ENOUGH) {
            char text[80];
            for (size_t j = i; j < warnings->count; j++)
                after += strcmp(warnings->items[j].code, warning->code) == 0;
            snprintf(text, sizeof text, "%zu more like this; --report lists all", after);
            say(arguments, arguments->source, 0, "warning: ", text);
        }
    }
}

static bool print(const struct rab_text *text, struct rab_error *err)
{
    if (!rab_text_ok(text, err))
        return false;
    if ((text->length && fwrite(text->data, 1, text->length, stdout) != text->length) ||
        fflush(stdout) != 0)
        return rab_fail(err, RAB_FAULT_FILE, "standard output cannot be written");
    return true;
}

static bool find_command(const char *word, const struct command **command, struct rab_error *err)
{
    enum { MOST_COMMANDS = 20 };
    const char *names[MOST_COMMANDS + 1];
    size_t count = 0;

    for (; count < MOST_COMMANDS && commands[count]; count++) {
        names[count] = commands[count]->name;
        if (strcmp(names[count], word) == 0) {
            *command = commands[count];
            return true;
        }
    }
    names[count] = NULL;
    const char *near = nearest_word(word, names);
    if (near)
        return rab_fail(err, RAB_FAULT_INPUT, "there is no command '%.60s'; did you mean %s?", word,
                        near);
    return rab_fail(err, RAB_FAULT_INPUT, "there is no command '%.60s'; 'rabbet --help' lists them",
                    word);
}

static bool run(int count, char **words, struct arguments *arguments, struct rab_error *err)
{
    struct rab_text text = {0};
    bool ok = false;

    if (count < 1)
        return rab_fail(err, RAB_FAULT_INPUT, "no command is given; 'rabbet --help' lists them");
    if (strcmp(words[0], "--help") == 0 || strcmp(words[0], "-h") == 0)
        arguments->help = true;
    else if (strcmp(words[0], "--version") == 0)
        arguments->version = true;
    else if (!find_command(words[0], &arguments->command, err) ||
             !arguments_read(count - 1, words + 1, arguments, err))
        return false;

    if (arguments->version)
        rab_text_add(&text, "rabbet " RAB_VERSION "\n");
    else if (arguments->help && arguments->command)
        help_command(&text, arguments->command);
    else if (arguments->help)
        help_overview(&text);
    if (text.length || text.failed)
        ok = print(&text, err);
    else if (arguments->command)
        ok = arguments->command->run(arguments, &text, err) && print(&text, err);
    rab_text_clear(&text);
    return ok;
}

int main(int argc, char **argv)
{
    struct arguments arguments = {0};
    struct rab_error err = {0};

    run(argc - 1, argv + 1, &arguments, &err);
    say_warnings(&arguments);
    if (err.fault != RAB_FAULT_NONE) {
        /* The text names its file itself: one that cannot be read or written, or one of the shape
         * library, where the line is. */
        const bool named = err.line > 0 ? !arguments.place : err.fault == RAB_FAULT_FILE;
        say(&arguments, named ? "" : arguments.place, err.line, "", err.text);
    }
    arguments_clear(&arguments);
    return exit_status(err.fault);
}
