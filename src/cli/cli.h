/*
 * The command line, private to src/cli, which sees of the library only what is installed.
 *
 * A command is a file: its table of options, its words of help and what it does. The tables are
 * the one source for reading the command line, for --help and for the manual page.
 */
#ifndef CLI_CLI_H
#define CLI_CLI_H

#include <rabbet/rabbet.h>

#include <stdio.h>

/* ---- what a command is ----------------------------------------------------------------- */

struct option {
    const char *name;  /* without the dashes; NULL when there is only the letter */
    char letter;       /* 0 when there is only the name */
    const char *value; /* "LEN", "WxH", "mm|in" (one of these words); NULL for a switch */
    bool repeats;
    const char *help;
};

struct example {
    const char *does, *line; /* line as typed, after the program's name */
};

struct arguments;
struct command {
    const char *name;
    const char *operand; /* what it takes beside options, "FRAME"; NULL for nothing */
    bool operand_optional;
    bool settings;                       /* takes PARAMETER=VALUE too */
    const char *summary;                 /* half a line */
    const char *about;                   /* paragraphs, a line end between them */
    const struct option *const *options; /* the last is NULL */
    const struct example *examples;      /* the last has no line */
    /* What it adds to `said` is printed when all files are written. */
    bool (*run)(struct arguments *arguments, struct rab_text *said, struct rab_error *err);
};

extern const struct command check_command, make_command, back_command, convert_command,
    inspect_command, edge_command, mat_command, shape_command, shapes_command;
extern const struct command *const commands[]; /* the last is NULL */

/* Options that several commands have. */
extern const struct option option_output, option_report, option_tolerance, option_units,
    option_mirror, option_dxf, option_curves, option_svg_unit, option_width, option_read,
    option_join, option_drawn_in, option_face, option_library;

extern const struct option option_kerf, option_overcut, option_tabs, option_tab_every,
    option_tab_width, option_perforation, option_crease_dashes, option_cool, option_bed,
    option_bed_margins, option_bed_corner, option_blade, option_entities, option_scale_check,
    option_turn, option_outside, option_web;
/* What every command has that writes files for machines. */
#define MACHINE_OPTIONS                                                                            \
    &option_kerf, &option_overcut, &option_tabs, &option_tab_every, &option_tab_width,             \
        &option_perforation, &option_crease_dashes, &option_cool, &option_turn, &option_bed,       \
        &option_bed_margins, &option_bed_corner, &option_blade, &option_scale_check,               \
        &option_curves, &option_tolerance, &option_dxf, &option_entities, &option_svg_unit

/* ---- what was typed: options.c --------------------------------------------------------- */

struct given {
    const struct option *option;
    const char *value; /* NULL for a switch */
};
/* ---- files in the making: machine.c ----------------------------------------------------- */

/* What became of the cuts of a sheet. Millimetres. */
struct planned {
    double length, idle, idle_bound, shared_length;
    size_t shared, paths, tabs;
};
struct file_facts {
    double width, height; /* of its sheet */
    struct rab_written written;
};
struct prepared {
    struct planned *plans; /* of each sheet */
    size_t plan_count, plan_capacity;
    struct rab_outputs outputs;
    struct file_facts *files; /* of the first of the outputs */
    size_t file_count, file_capacity;
};
void prepared_clear(struct prepared *prepared);

struct arguments {
    const struct command *command;
    struct given *given; /* in the order in which they were typed */
    size_t count, capacity;
    const char *operand;          /* NULL when there is none */
    struct rab_setting *settings; /* PARAMETER=VALUE, in the order typed */
    size_t setting_count, setting_capacity;
    bool help, version;
    /* What the messages speak of: NULL for the command line, else the file being read. */
    const char *place;
    const char *source; /* the drawing that was read, NULL for none: warnings are about it */
    struct rab_warnings warnings;
    struct prepared prepared;
    bool reports; /* a report is written, which tells more than what is printed */
    /* What is known of the machine, from a job or from options. */
    struct {
        double kerf;
        struct rab_bed bed;
    } cutter;
};

/* Read what follows the command's name. A word that is a setting is cut in two at its first =.
 * Err: INPUT, MEMORY. */
bool arguments_read(int count, char *const *words, struct arguments *arguments,
                    struct rab_error *err);
void arguments_clear(struct arguments *arguments);

/* The word of a list that is nearest to what was typed, NULL when none is near. */
const char *nearest_word(const char *typed, const char *const *words);

/* Options by name, which must be one of the command's. Without the option *value keeps what it
 * holds: the usual value. */
bool option_given(const struct arguments *arguments, const char *name);
const char *option_text(const struct arguments *arguments, const char *name);
/* `from_zero`: 0 is allowed; nothing below is. */
bool option_length(const struct arguments *arguments, const char *name, bool from_zero, double *mm,
                   struct rab_error *err);
bool option_size(const struct arguments *arguments, const char *name, double *width, double *height,
                 struct rab_error *err);
/* Which of the words "mm|in" was given, from 0. */
bool option_choice(const struct arguments *arguments, const char *name, int *which,
                   struct rab_error *err);
/* "25mm,1in": *lengths is the caller's to free. */
bool option_lengths(const struct arguments *arguments, const char *name, bool from_zero,
                    double **lengths, size_t *count, struct rab_error *err);
/* "1-8,12" as the numbers 1, 2, ... 8, 12 in the order given, each once; numbers above `most` are
 * an error that names what `things` there are. *numbers is the caller's to free. */
bool numbers_read(const char *text, const char *option, const char *things, int most, int **numbers,
                  size_t *count, struct rab_error *err);

/* ---- drawings in and files out: files.c ------------------------------------------------ */

/* Read a drawing, by --tolerance and --width where the command has them. From here on messages
 * speak of that file (arguments->place) until the caller says otherwise. */
bool read_drawing(struct arguments *arguments, const char *path, struct rab_drawing *drawing,
                  struct rab_error *err);

/* --read as the library has it; -1 when it is not given. */
enum rab_reading reading_of(int choice);

/* Has every -o an ending that can be written, and is none the drawing being read (NULL for none)?
 * To be asked before the work is done. */
bool check_outputs(const struct arguments *arguments, const char *drawing, struct rab_error *err);

/* What the ending of a path asks for. Capitals are as good: names come from many machines. */
enum ending { ENDING_SVG, ENDING_DXF, ENDING_PDF, ENDING_PLT, ENDING_PNG, ENDING_UNKNOWN };
enum ending path_ending(const char *path);

/* Err: INPUT when -o asks for a file for machines: the command has none. */
bool check_pictures_only(const struct arguments *arguments, struct rab_error *err);

/* Is a picture among what -o asks for? */
bool asks_picture(const struct arguments *arguments);

/*
 * Plan the cuts of the sheets (unless they are only to be looked at, as they lie) and make the
 * files for machines that -o asks for, not yet in their places: the first sheet under the name
 * given, further ones with -2, -3... before the ending. To be done before the report, which tells
 * of them (report_prepared). The command must have MACHINE_OPTIONS.
 */
bool prepare_sheets(struct arguments *arguments, const struct rab_sheet *sheets, size_t count,
                    bool plans, struct rab_error *err);
/* The same under names of the command's own, further sheets with `between` before their number. */
struct naming {
    const char *const *paths;
    size_t count;
    char between;
};
bool prepare_files(struct arguments *arguments, const struct rab_sheet *sheets, size_t count,
                   bool plans, const struct naming *naming, struct rab_error *err);
/* "tool_paths" and "files", keys within the open object. */
void report_prepared(struct rab_json *json, const struct prepared *prepared);

/*
 * Write what was prepared, and the picture and the report that are asked for, or nothing.
 *
 * picture  for .png
 * report   its bytes are taken; for --report - they become what is said
 * said     gets lines that name the files written
 */
bool write_outputs(struct arguments *arguments, const struct rab_picture *picture,
                   struct rab_text *report, struct rab_text *said, struct rab_error *err);
/* What write_outputs says of the files for machines. */
void say_prepared(const struct prepared *prepared, bool in_first, struct rab_text *said);

/* The warnings so far as "warnings": [{"code", "text", "line"}]. */
void report_warnings(struct rab_json *json, const struct rab_warnings *warnings);

void report_box(struct rab_json *json, const char *key, struct rab_box box);

/* Characters, not bytes, in so many bytes of UTF-8. */
size_t text_width(const char *text, size_t length);
/* Text in columns: cells divided by tabs, lines by line ends. `right` has an 'r' for each column
 * that is set to the right. */
void add_table(struct rab_text *text, const char *cells, const char *right);

/* ---- numbers on pieces: label.c --------------------------------------------------------- */

/* Draw a piece's number or letter within a region of the sheet; *placed is false where there is no
 * room. */
bool add_label(struct rab_sheet *sheet, int piece, const char *words,
               const struct rab_region *within, bool *placed, struct rab_error *err);
/* What of a piece is not seen through the openings, in front of which it lies. */
bool hidden_part(const struct rab_region *piece, const struct rab_outline *openings, size_t count,
                 struct rab_region *out, struct rab_error *err);

/* ---- the shape library: library.c ------------------------------------------------------ */

/*
 * The shapes that come with the program, those of the data folders of the system and of the user
 * (rabbet/shapes in each; XDG Base Directory Specification) and those of --library, which the
 * command must have: a later shape takes the place of an earlier one of its name. Data folders
 * that are not there are absent, a --library that is not there is an error.
 */
bool open_library(struct arguments *arguments, struct rab_library **library, struct rab_error *err);

/* ---- corners and webs: looks.c --------------------------------------------------------- */

/* What a blade or the paper would suffer from: corners that are too sharp, webs that are too thin.
 */
struct worst {
    size_t count;
    double measure, web; /* the least, and what was asked */
    struct rab_point at;
    char piece[64]; /* empty when there is but one */
    int line;
};
struct looks {
    struct rab_trouble *items;
    size_t count, capacity;
    struct worst worst[2]; /* of the corners, of the webs */
};
/* Which webs are told: --web, or what is usual with this kerf. */
bool read_web(const struct arguments *arguments, double kerf, double *web, struct rab_error *err);
/* Look at a piece: its region, and what else is done to it. Places are told as they are given.
 * piece: what it is called, NULL when there is but one. */
bool look_at_piece(struct looks *looks, const struct rab_region *region,
                   const struct rab_path *others, size_t other_count, double web, const char *piece,
                   int line, struct rab_error *err);
void looks_clear(struct looks *looks);
/* One warning for all corners, one for all webs: the worst, and how many there are. */
bool tell_looks(struct arguments *arguments, const struct looks *looks, bool in_first,
                struct rab_error *err);
/* Rings in a picture of the pieces where they were looked at. */
bool ring_looks(const struct looks *looks, struct rab_picture *picture, struct rab_error *err);
/* All of it for a command that makes figures. */
bool look_at_figures(struct arguments *arguments, const struct rab_figure *const *figures,
                     size_t count, bool in_first, struct rab_picture *picture,
                     struct rab_error *err);

/* ---- spreads: spread.c ------------------------------------------------------------------ */

/* The pieces of a paper that one drawing is made of, sheet by sheet. */
struct drawn {
    size_t paper;
    bool by_hand; /* in a job that has a cutter, which is not to cut them */
    struct rab_laying laying;
};
/* A job file, read and worked out. */
struct spread {
    struct rab_library *library;
    struct rab_job job;
    struct rab_spread made;
    struct drawn *drawn;
    size_t drawn_count;
    struct rab_view views[RAB_PAGES];
    struct looks looks[RAB_PAGES]; /* of what is cut, on the page */
};
/* Read the operand as a job, of which messages then speak; then work it out, the drawings of its
 * frames lie beside it, and lay its pieces on sheets. */
bool read_spread(struct arguments *arguments, struct spread *spread, struct rab_error *err);
bool work_out_spread(struct arguments *arguments, double gap, struct spread *spread,
                     struct rab_error *err);
#define USUAL_GAP 3.0 /* mm between the pieces on a sheet */
void spread_clear(struct spread *spread);
/* The path of a file that the job names. Err: INPUT when it lies outside of the job's folder and
 * --outside is not given. */
bool spread_path(const struct arguments *arguments, const char *path, struct rab_text *whole,
                 struct rab_error *err);
/* "night", "night.2", "night.hand": what the file of a sheet is called, without its ending. What
 * papers are called holds no point. */
void sheet_name(const struct spread *spread, const struct drawn *drawn, size_t sheet,
                struct rab_text *name);
/* Every form of piece, a row each; and the same as keys within the open object, with their places
 * on the sheets, which were cut face down or not. */
void say_spread(const struct spread *spread, bool in_first, struct rab_text *said);
void report_spread(struct rab_json *json, const struct spread *spread, bool face_down);
/* A text item as the words that are set. Borrowed. */
struct rab_words words_of(const struct rab_item *item, const struct rab_job *job);

/* One more file in a folder (make.c); the pictures of the pages (pages.c). */
bool add_output(struct arguments *arguments, const char *folder, const char *name,
                struct rab_text *bytes, struct rab_error *err);
bool is_wished(enum rab_wish wish, bool usual);
bool draw_pages(struct arguments *arguments, const struct spread *spread, const char *folder,
                bool in_first, struct rab_error *err);
/* The pages as they will look, with the photos that the job names, into spread->views. */
bool fill_views(const struct arguments *arguments, struct spread *spread, struct rab_error *err);

/* ---- the scale check: scale.c ---------------------------------------------------------- */

/* Beside what is on the sheet, or across it with a warning. */
bool add_scale_check(struct arguments *arguments, struct rab_sheet *sheet, struct rab_error *err);

/* ---- the machine's bed: bed.c ---------------------------------------------------------- */

/* --bed, --bed-margins and --bed-corner, over what the bed is already known to be. */
bool read_bed(const struct arguments *arguments, struct rab_bed *bed, struct rab_error *err);
/* As one who lays pieces sees it, when all of them are mirrored afterwards, face down. */
struct rab_bed mirrored_bed(const struct rab_bed *bed);
/* Do all lines of a sheet lie within reach? Err: GEOMETRY, INPUT when nothing is within reach. */
bool check_reach(const struct rab_bed *bed, const struct rab_sheet *sheet, size_t number,
                 struct rab_error *err);
/* From a page of the sheet's size to one of the bed's. */
void move_to_bed(const struct rab_bed *bed, struct rab_sheet *sheet);

/* ---- figures of shapes and edges: figure.c --------------------------------------------- */

/* Of the paper and of all paths. */
struct rab_box figure_box(const struct rab_figure *figure);
/* Move the figure so that the lower left corner of that box is 0,0. */
void figure_to_origin(struct rab_figure *figure);

/* The figure moved on to a sheet that has its size, about the middle of which it is then mirrored,
 * if so: what lies on the paper first, then the paper's outlines. With `places` these are drawn
 * (RAB_DRAW) too. */
bool sheet_add_figure(struct rab_sheet *sheet, const struct rab_figure *figure, double dx,
                      double dy, bool mirror, bool places, int piece, struct rab_error *err);
/* The same on a sheet that is made as large as the figure. */
bool lay_figure(const struct rab_figure *figure, bool mirror, bool places, struct rab_sheet *sheet,
                struct rab_error *err);

/* Paper, places and lines, as seen from the front. */
bool picture_add_figure(struct rab_picture *picture, const struct rab_figure *figure,
                        uint32_t colour, const char *meaning, struct rab_error *err);

struct figure_counts {
    size_t pieces, openings, vertices;
};
struct figure_counts count_figure(const struct rab_figure *figure);
/* Area, perimeter, box, counts, operations, places: keys within the open object. */
void report_figure(struct rab_json *json, const struct rab_figure *figure);
/* "values": {"span_mm": 40, ...} */
void report_values(struct rab_json *json, const struct rab_shape *shape, const double *values);
/* The same as rows of two cells for add_table. */
void add_values(struct rab_text *cells, const struct rab_shape *shape, const double *values,
                bool in_first);

/* ---- help: help.c ---------------------------------------------------------------------- */

/* Add what `rabbet --help`, `rabbet COMMAND --help` or the manual page says. */
void help_overview(struct rab_text *text);
void help_command(struct rab_text *text, const struct command *command);
void help_manual(struct rab_text *text);
/* A word and what it is, in two columns, the second one wrapped. */
enum { HELP_HANG = 24 };
void help_row(struct rab_text *text, const char *label, const char *words);
/* Words wrapped at the page's edge. */
void help_words(struct rab_text *text, const char *words, size_t indent);

#endif
