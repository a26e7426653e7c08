/* What --help and the manual page say: both are made from the tables of the commands. */
#include "cli.h"

#include <string.h>

const struct command *const commands[] = {
    &shapes_command,  &shape_command,   &edge_command,  &mat_command,  &back_command,
    &convert_command, &inspect_command, &check_command, &make_command, NULL};

/* ---- options that several commands have ------------------------------------------------ */

const struct option option_output = {
    NULL, 'o', "FILE", true,
    "Write FILE. Its ending says what it is: .svg, .dxf, .pdf or .plt (HP-GL) for a machine, .png "
    "for a picture. "
    "Repeat it for more files; either all of them are written or none."};
const struct option option_report = {
    "report", 0, "FILE", false,
    "Write a report for programs (JSON); - means standard output, in place of the table."};
const struct option option_tolerance = {
    "tolerance", 0, "LEN", false,
    "How far a curve may be off where it is turned into arcs, or arcs into what --curves asks "
    "for. 0.01mm unless given."};
const struct option option_units = {
    "units", 0, "mm|in", false,
    "Which unit comes first in what people read. mm unless given; both are shown."};
const struct option option_mirror = {"mirror", 0, NULL, false, "Write everything left for right."};
const struct option option_dxf = {
    "dxf", 0, "r12|r2000", false,
    "Which DXF to write: r12 for old or simple readers. r2000 unless given."};
const struct option option_curves = {
    "curves", 0, "arcs|beziers|lines", false,
    "What the files for machines may contain: true arcs, Bezier curves (SVG only; a DXF has arcs "
    "then), or short straight lines. arcs unless given."};
const struct option option_svg_unit = {
    "svg-unit", 0, "mm|96|90|72", false,
    "For a program that takes SVG in at a wrong size: plain numbers, so many to the inch, in "
    "place of millimetres. mm unless given."};
const struct option option_width = {
    "width", 0, "LEN", false,
    "The drawing's true width from its leftmost to its rightmost line, when the file does not "
    "tell the size or tells it wrongly."};
const struct option option_read = {
    "read", 0, "filled|lines", false,
    "How the drawing is meant: filled areas are paper, or closed lines are cuts that lie in each "
    "other by turns. The drawing itself tells unless given."};
const struct option option_drawn_in = {
    "drawn-in", 0, "mm|cm|in|pt", false,
    "The unit of a DXF that does not state its own. mm unless given."};
const struct option option_join = {
    "join", 0, "LEN", false,
    "Open lines whose ends are no further apart than this are joined. 0.05mm unless given."};
const struct option option_face = {
    "face", 0, "up|down", false,
    "How the paper lies when it is cut, good face up or down; down writes the pieces left for "
    "right. up unless given."};
const struct option option_library = {
    "library", 0, "DIR", true,
    "A folder with shapes of your own, which come before those of the same name. Repeat it for "
    "more folders."};

/* ---- text laid out --------------------------------------------------------------------- */

enum { PAGE = 78 };

static void add_spaces(struct rab_text *text, size_t count)
{
    while (count--)
        rab_text_add(text, " ");
}

/* Words from the column `at` on, broken at the page's edge, further lines from `indent` on. */
static void add_wrapped(struct rab_text *text, const char *words, size_t at, size_t indent)
{
    bool first = true;

    while (*words) {
        const size_t length = strcspn(words, " "), width = text_width(words, length);
        if (!first && at + 1 + width > PAGE) {
            rab_text_add(text, "\n");
            add_spaces(text, indent);
            at = indent;
        } else if (!first) {
            rab_text_add(text, " ");
            at++;
        }
        rab_text_bytes(text, words, length);
        at += width;
        words += length + strspn(words + length, " ");
        first = false;
    }
    rab_text_add(text, "\n");
}

void help_words(struct rab_text *text, const char *words, size_t indent)
{
    add_spaces(text, indent);
    add_wrapped(text, words, indent, indent);
}

/* Each paragraph of a command's description in turn, with an empty line between. */
static const char *next_paragraph(const char **at)
{
    const char *paragraph = **at ? *at : NULL;
    *at += strcspn(*at, "\n");
    return paragraph;
}

static void add_about(struct rab_text *text, const char *about)
{
    struct rab_text paragraph = {0};

    for (const char *start; (start = next_paragraph(&about)); about += *about == '\n') {
        rab_text_clear(&paragraph);
        rab_text_bytes(&paragraph, start, (size_t)(about - start));
        if (paragraph.failed)
            text->failed = true;
        else
            add_wrapped(text, paragraph.data, 0, 0);
        rab_text_add(text, "\n");
    }
    rab_text_clear(&paragraph);
}

/* "  --seam LEN", and its help beside or beneath. */
void help_row(struct rab_text *text, const char *label, const char *words)
{
    size_t at = strlen(label) + 2;

    rab_text_add(text, "  ");
    rab_text_add(text, label);
    if (at + 2 > HELP_HANG) {
        rab_text_add(text, "\n");
        at = 0;
    }
    add_spaces(text, HELP_HANG - at);
    add_wrapped(text, words, HELP_HANG, HELP_HANG);
}

static void option_row_label(struct rab_text *label, const struct option *option)
{
    if (option->letter)
        rab_text_format(label, "-%c", option->letter);
    if (option->letter && option->name)
        rab_text_add(label, ", ");
    if (option->name)
        rab_text_format(label, "--%s", option->name);
    if (option->value)
        rab_text_format(label, " %s", option->value);
}

static const char *const length_words =
    "Lengths carry a unit: 2mm, 14.6cm, 5.75in, '5 3/4in', 1/8in, 36pt. Sizes are width x height: "
    "5.75x3.75in, 146x95mm.";

static const struct option option_help = {"help", 0, NULL, false, "Show this and stop."};

static void add_option(struct rab_text *text, const struct option *option)
{
    struct rab_text label = {0};

    option_row_label(&label, option);
    if (label.failed)
        text->failed = true;
    else
        help_row(text, label.data ? label.data : "", option->help);
    rab_text_clear(&label);
}

void help_overview(struct rab_text *text)
{
    rab_text_add(text, "rabbet " RAB_VERSION ": what lies behind, around and along paper frames\n\n"
                       "  rabbet COMMAND [OPTION...]\n"
                       "  rabbet COMMAND --help\n"
                       "  rabbet --help | --version\n\nCommands:\n");
    for (size_t i = 0; commands[i]; i++)
        help_row(text, commands[i]->name, commands[i]->summary);
    rab_text_add(text, "\n");
    add_wrapped(text, length_words, 0, 0);
    rab_text_add(text, "\n");
    add_wrapped(text,
                "Exit status: 0 done, 1 the paper cannot be made as asked, 2 the command line or "
                "an input is wrong, 3 a file cannot be read or written, or memory is out.",
                0, 0);
}

static void add_usage(struct rab_text *text, const struct command *command)
{
    rab_text_format(text, "rabbet %s", command->name);
    if (command->operand)
        rab_text_format(text, command->operand_optional ? " [%s]" : " %s", command->operand);
    if (command->settings)
        rab_text_add(text, " [PARAMETER=VALUE...]");
    rab_text_add(text, " [OPTION...]");
}

void help_command(struct rab_text *text, const struct command *command)
{
    add_usage(text, command);
    rab_text_add(text, "\n\n");
    add_about(text, command->about);
    rab_text_add(text, "Options:\n");
    for (size_t i = 0; command->options[i]; i++)
        add_option(text, command->options[i]);
    add_option(text, &option_help);
    rab_text_add(text, "\nExamples:\n");
    for (const struct example *example = command->examples; example->line; example++) {
        rab_text_add(text, "  ");
        add_wrapped(text, example->does, 2, 2);
        rab_text_format(text, "      rabbet %s\n", example->line);
    }
}

/* ---- the manual page: roff with the man macros ------------------------------------------ */

/* Words as roff takes them: a hyphen typed is a minus sign, no line begins with a request. */
static void add_roff(struct rab_text *text, const char *words, size_t length)
{
    rab_text_add(text, "\\&");
    for (size_t i = 0; i < length; i++) {
        if (words[i] == '-')
            rab_text_add(text, "\\-");
        else if (words[i] == '\\')
            rab_text_add(text, "\\e");
        else
            rab_text_bytes(text, &words[i], 1);
    }
    rab_text_add(text, "\n");
}

static void add_roff_words(struct rab_text *text, const char *words)
{
    add_roff(text, words, strlen(words));
}

static void add_manual_option(struct rab_text *text, const struct option *option)
{
    struct rab_text label = {0};

    option_row_label(&label, option);
    if (label.failed) {
        text->failed = true;
    } else {
        rab_text_add(text, ".TP\n");
        add_roff_words(text, label.data ? label.data : "");
        add_roff_words(text, option->help);
    }
    rab_text_clear(&label);
}

static void add_manual_command(struct rab_text *text, const struct command *command)
{
    const char *about = command->about;

    rab_text_add(text, ".SS ");
    add_usage(text, command);
    rab_text_add(text, "\n");
    for (const char *start; (start = next_paragraph(&about)); about += *about == '\n') {
        rab_text_add(text, ".PP\n");
        add_roff(text, start, (size_t)(about - start));
    }
    for (size_t i = 0; command->options[i]; i++)
        add_manual_option(text, command->options[i]);
    for (const struct example *example = command->examples; example->line; example++) {
        rab_text_add(text, ".PP\n");
        add_roff_words(text, example->does);
        rab_text_add(text, ".PP\n.RS 4\n.nf\nrabbet ");
        add_roff_words(text, example->line);
        rab_text_add(text, ".fi\n.RE\n");
    }
}

void help_manual(struct rab_text *text)
{
    rab_text_add(
        text, ".TH RABBET 1 \"\" \"rabbet " RAB_VERSION "\"\n"
              ".SH NAME\nrabbet \\- backings, mats, shapes and decorative strips for paper frames\n"
              ".SH SYNOPSIS\n.nf\n");
    for (size_t i = 0; commands[i]; i++) {
        add_usage(text, commands[i]);
        rab_text_add(text, "\n");
    }
    rab_text_add(text, "rabbet [COMMAND] \\-\\-help\nrabbet \\-\\-version\n.fi\n"
                       ".SH DESCRIPTION\n"
                       "A rabbet is the step cut into the back of a picture frame in which the "
                       "backing lies.\nThis program makes what lies behind, around and along paper "
                       "frames, as files for cutting machines, as pictures and as reports.\n");
    for (size_t i = 0; commands[i]; i++) {
        rab_text_format(text, ".TP\n.B %s\n", commands[i]->name);
        add_roff_words(text, commands[i]->summary);
    }
    rab_text_add(text, ".PP\n");
    add_roff_words(text, length_words);
    rab_text_add(text, "A file whose name begins with a dash is written with its folder, as in "
                       "./\\-frame.svg, or after \\-\\-.\n.SH COMMANDS\n");
    for (size_t i = 0; commands[i]; i++)
        add_manual_command(text, commands[i]);
    rab_text_add(text, ".SH EXIT STATUS\n.TP\n0\nDone; warnings may stand on standard error.\n"
                       ".TP\n1\nThe paper cannot be made as asked.\n"
                       ".TP\n2\nThe command line or an input is wrong.\n"
                       ".TP\n3\nA file cannot be read or written, or memory is out.\n"
                       ".SH NOTES\nNothing is written unless everything could be. The same input "
                       "gives the same bytes, whatever the language settings.\n"
                       "The manual of the machine and the rules of the workshop come first.\n");
}
