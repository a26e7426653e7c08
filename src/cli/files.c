/* What the commands have in common: the drawing that they read, the files that they write. */
#include "cli.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static bool has_option(const struct arguments *arguments, const struct option *option)
{
    for (size_t i = 0; arguments->command->options[i]; i++) {
        if (arguments->command->options[i] == option)
            return true;
    }
    return false;
}

/* ---- in -------------------------------------------------------------------------------- */

/* A title as one line: drawing programs break and indent it. */
static void tidy_title(char *title)
{
    char *to = title;

    for (const char *from = title; *from;) {
        const size_t blank = strspn(from, " \t\r\n");
        from += blank;
        if (blank && to > title && *from)
            *to++ = ' ';
        if (*from)
            *to++ = *from++;
    }
    *to = '\0';
}

bool read_drawing(struct arguments *arguments, const char *path, struct rab_drawing *drawing,
                  struct rab_error *err)
{
    struct rab_read_options options = {0};
    static const enum rab_unit units[] = {RAB_UNIT_MM, RAB_UNIT_CM, RAB_UNIT_IN, RAB_UNIT_PT};
    struct rab_text bytes = {0};
    int unit = -1;
    bool ok;

    if ((has_option(arguments, &option_tolerance) &&
         !option_length(arguments, "tolerance", false, &options.tolerance, err)) ||
        (has_option(arguments, &option_width) &&
         !option_length(arguments, "width", false, &options.width, err)) ||
        (has_option(arguments, &option_drawn_in) &&
         !option_choice(arguments, "drawn-in", &unit, err)))
        return false;
    if (unit >= 0)
        options.unit = units[unit];
    arguments->place = arguments->source = path;
    ok = rab_file_read(path, RAB_READ_LIMIT, &bytes, err) &&
         rab_drawing_read(bytes.data ? bytes.data : "", bytes.length, &options, drawing,
                          &arguments->warnings, err);
    rab_text_clear(&bytes);
    if (ok && drawing->title)
        tidy_title(drawing->title);
    return ok;
}

enum rab_reading reading_of(int choice)
{
    return choice < 0 ? RAB_READ_AUTO : choice == 0 ? RAB_READ_FILLED : RAB_READ_LINES;
}

/* ---- out ------------------------------------------------------------------------------- */

enum ending path_ending(const char *path)
{
    static const char *const endings[] = {"svg", "dxf", "pdf", "plt", "png"};
    const char *dot = strrchr(path, '.'), *slash = strrchr(path, '/');

    if (!dot || (slash && slash > dot))
        return ENDING_UNKNOWN;
    for (int i = 0; i < ENDING_UNKNOWN; i++) {
        size_t same = 0;
        while (same < 3 && dot[1 + same] && (dot[1 + same] | 0x20) == endings[i][same])
            same++;
        if (same == 3 && dot[4] == '\0')
            return (enum ending)i;
    }
    return ENDING_UNKNOWN;
}

/* Are these two names of one file? */
static bool same_file(const char *path, const char *other_path)
{
    struct stat file, other;

    return stat(path, &file) == 0 && stat(other_path, &other) == 0 && file.st_dev == other.st_dev &&
           file.st_ino == other.st_ino;
}

bool check_outputs(const struct arguments *arguments, const char *drawing, struct rab_error *err)
{
    for (size_t i = 0; i < arguments->count; i++) {
        const struct given *given = &arguments->given[i];
        if (given->option == &option_output && path_ending(given->value) == ENDING_UNKNOWN)
            return rab_fail(err, RAB_FAULT_INPUT,
                            "-o %.120s: its ending does not say what to write; end it with .svg, "
                            ".dxf, .pdf, .plt or .png",
                            given->value);
        if ((given->option == &option_output || given->option == &option_report) && drawing &&
            same_file(drawing, given->value))
            return rab_fail(err, RAB_FAULT_INPUT,
                            "%.120s is the drawing itself, which is not written over; give "
                            "another name",
                            given->value);
    }
    return true;
}

bool check_pictures_only(const struct arguments *arguments, struct rab_error *err)
{
    for (size_t i = 0; i < arguments->count; i++) {
        const struct given *given = &arguments->given[i];
        if (given->option == &option_output && path_ending(given->value) != ENDING_PNG)
            return rab_fail(err, RAB_FAULT_INPUT,
                            "-o %.120s: this command draws a picture only; end the name with .png",
                            given->value);
    }
    return true;
}

bool asks_picture(const struct arguments *arguments)
{
    for (size_t i = 0; i < arguments->count; i++) {
        if (arguments->given[i].option == &option_output &&
            path_ending(arguments->given[i].value) == ENDING_PNG)
            return true;
    }
    return false;
}

static bool write_picture(const char *path, const struct rab_picture *picture,
                          struct rab_outputs *outputs, struct rab_error *err)
{
    struct rab_text bytes = {0};
    const bool ok =
        rab_picture_png(picture, 0, &bytes, err) && rab_outputs_add(outputs, path, &bytes, err);

    rab_text_clear(&bytes);
    return ok;
}

bool write_outputs(struct arguments *arguments, const struct rab_picture *picture,
                   struct rab_text *report, struct rab_text *said, struct rab_error *err)
{
    const char *report_path = option_text(arguments, "report");
    struct rab_outputs *outputs = &arguments->prepared.outputs;
    int units = 0;

    for (size_t i = 0; i < arguments->count; i++) {
        const struct given *given = &arguments->given[i];
        if (given->option == &option_output && path_ending(given->value) == ENDING_PNG &&
            !write_picture(given->value, picture, outputs, err))
            return false;
    }
    if (report_path && strcmp(report_path, "-") == 0) {
        rab_text_clear(said);
        *said = *report;
        *report = (struct rab_text){0};
    } else {
        if ((report_path && !rab_outputs_add(outputs, report_path, report, err)) ||
            !option_choice(arguments, "units", &units, err))
            return false;
        say_prepared(&arguments->prepared, units == 1, said);
        for (size_t i = 0; i < outputs->count; i++)
            rab_text_format(said, "%s %s", i ? "," : "Written:", outputs->items[i].path);
        if (outputs->count)
            rab_text_add(said, "\n");
    }
    return rab_text_ok(said, err) && rab_outputs_commit(outputs, err);
}

/* ---- for people and programs ----------------------------------------------------------- */

void report_warnings(struct rab_json *json, const struct rab_warnings *warnings)
{
    rab_json_array(json, "warnings");
    for (size_t i = 0; i < warnings->count; i++) {
        rab_json_object(json, NULL);
        rab_json_text(json, "code", warnings->items[i].code);
        rab_json_text(json, "text", warnings->items[i].text);
        if (warnings->items[i].line > 0)
            rab_json_whole(json, "line", warnings->items[i].line);
        rab_json_end(json);
    }
    rab_json_end(json);
}

void report_box(struct rab_json *json, const char *key, struct rab_box box)
{
    rab_json_numbers(json, key, (const double[]){box.x0, box.y0, box.x1, box.y1}, 4, 4);
}

/* Bytes that continue a character of UTF-8 are left out. */
size_t text_width(const char *text, size_t length)
{
    size_t width = 0;
    for (size_t i = 0; i < length; i++)
        width += ((unsigned char)text[i] & 0xC0) != 0x80;
    return width;
}

void add_table(struct rab_text *text, const char *cells, const char *right)
{
    enum { MOST_COLUMNS = 12 };
    size_t widths[MOST_COLUMNS] = {0};

    for (int pass = 0; pass < 2; pass++) {
        size_t column = 0;
        for (const char *at = cells; *at;) {
            const size_t length = strcspn(at, "\t\n"), width = text_width(at, length);
            const bool last = at[length] != '\t';
            assert(column < MOST_COLUMNS);
            if (pass == 0) {
                if (width > widths[column])
                    widths[column] = width;
            } else {
                const size_t blank = widths[column] - width;
                const bool to_right = right[column] == 'r';
                if (column > 0)
                    rab_text_add(text, "  ");
                for (size_t i = 0; i < blank && to_right; i++)
                    rab_text_add(text, " ");
                rab_text_bytes(text, at, length);
                for (size_t i = 0; i < blank && !to_right && !last; i++)
                    rab_text_add(text, " ");
                if (last)
                    rab_text_add(text, "\n");
            }
            column = last ? 0 : column + 1;
            at += length + (at[length] != '\0');
        }
    }
}
