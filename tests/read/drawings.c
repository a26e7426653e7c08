/*
 * Reads a folder of drawings and compares them with a table of reference measures:
 *
 *     drawings FOLDER TABLE [--tolerance MM] [--verbose]
 *
 * The table has tab-separated columns under a line of names; - is a value that is not known:
 *   file                          in the folder
 *   area_mm2, area_tolerance_mm2  of the union of all filled shapes
 *   perimeter_mm                  of that union
 *   x0_mm y0_mm x1_mm y1_mm, box_tolerance_mm   its box
 *   closed, open                  subpaths of filled shapes: closed, and open
 *   closed_all, open_all          the same of all displayed shapes
 *   parts, openings               pieces of the union and holes in it, without the specks
 *   opening_areas_mm2             the largest twelve holes, largest first, separated by blanks
 *   all_x0_mm ...                 box of all displayed shapes, without stroke widths
 * x to the right and y down from the upper left corner of the page. Further columns are ignored.
 *
 * Curves are fitted with arcs within --tolerance (0.01 mm), so an area may differ by that times
 * the perimeter, a box by that, on top of what the table allows. Specks are pieces and holes below 400
 * pixels where the drawing is 2003 pixels long: whoever made the table counted pixels.
 *
 * Ends with 'N passed, N failed'; exit status 1 when one failed, 2 when the table cannot be used.
 */
#include "rabbet/rabbet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { COLUMNS = 64, LARGEST = 12 };

static const double pixels_long = 2003, pixels_speck = 400;

struct table {
    char *names[COLUMNS];
    size_t count;
};

/* One line of the table with the drawing that it is about. */
struct row {
    const struct table *table;
    char *cells[COLUMNS];
    size_t count;
    const char *folder;
    double tolerance;
    struct rab_drawing drawing;
    struct rab_region region; /* empty when nothing is filled */
    struct rab_warnings notes;
    struct rab_text faults;
};

static size_t split(char *line, char *cells[COLUMNS])
{
    size_t count = 0;

    line[strcspn(line, "\r\n")] = '\0';
    while (line && count < COLUMNS) {
        char *tab = strchr(line, '\t');
        cells[count++] = line;
        if (tab)
            *tab++ = '\0';
        line = tab;
    }
    return count;
}

static const char *cell(const struct row *row, const char *name)
{
    for (size_t i = 0; i < row->table->count && i < row->count; i++)
        if (strcmp(row->table->names[i], name) == 0)
            return row->cells[i];
    return "-";
}

static bool number(const struct row *row, const char *name, double *value)
{
    const char *text = cell(row, name);
    size_t length = strlen(text);

    return length > 0 && rab_number_read(text, length, value) == length;
}

static void fault(struct row *row, const char *what, double is, double should, double tolerance)
{
    rab_text_format(&row->faults, "    %s is ", what);
    rab_text_fixed(&row->faults, is, 5);
    rab_text_add(&row->faults, ", should be ");
    rab_text_fixed(&row->faults, should, 5);
    rab_text_add(&row->faults, " within ");
    rab_text_fixed(&row->faults, tolerance, 5);
    rab_text_add(&row->faults, "\n");
}

static void check(struct row *row, const char *what, double is, double tolerance)
{
    double should;

    if (number(row, what, &should) && !(fabs(is - should) <= tolerance))
        fault(row, what, is, should, tolerance);
}

/* ---- measuring ---- */

static void check_area(struct row *row)
{
    double tolerance = 0;

    number(row, "area_tolerance_mm2", &tolerance);
    tolerance += row->tolerance * rab_region_perimeter(&row->region) + 1e-6;
    check(row, "area_mm2", rab_region_area(&row->region), tolerance);
}

static void check_box(struct row *row, const char *const names[4], struct rab_box box)
{
    double tolerance = 0;

    number(row, "box_tolerance_mm", &tolerance);
    tolerance += row->tolerance + 1e-6;
    check(row, names[0], box.x0, tolerance);
    check(row, names[1], row->drawing.height - box.y1, tolerance);
    check(row, names[2], box.x1, tolerance);
    check(row, names[3], row->drawing.height - box.y0, tolerance);
}

static struct rab_box box_of_all(const struct rab_drawing *drawing)
{
    struct rab_box box = RAB_BOX_EMPTY;

    for (size_t i = 0; i < drawing->count; i++)
        for (size_t k = 0; k < drawing->items[i].count; k++)
            box = rab_box_join(box, rab_outline_box(&drawing->items[i].outlines[k]));
    return box;
}

static void check_subpaths(struct row *row)
{
    size_t closed = 0, open = 0, closed_all = 0, open_all = 0;

    for (size_t i = 0; i < row->drawing.count; i++) {
        const struct rab_drawn *item = &row->drawing.items[i];
        for (size_t k = 0; k < item->count; k++) {
            bool is_open = item->outlines[k].open;
            closed += item->filled && !is_open;
            open += item->filled && is_open;
            closed_all += !is_open;
            open_all += is_open;
        }
    }
    check(row, "closed", (double)closed, 0);
    check(row, "open", (double)open, 0);
    check(row, "closed_all", (double)closed_all, 0);
    check(row, "open_all", (double)open_all, 0);
}

static int compare_falling(const void *a, const void *b)
{
    const double *first = a, *second = b;

    return (*first < *second) - (*first > *second);
}

/* The holes themselves, largest first, with their outlines' lengths. */
static void check_opening_areas(struct row *row, const double *areas, size_t count)
{
    char *at = row->cells[0] ? strdup(cell(row, "opening_areas_mm2")) : NULL, *next = at;
    double tolerance = 0;

    number(row, "area_tolerance_mm2", &tolerance);
    for (size_t i = 0; next && *next; i++) {
        size_t length = strcspn(next, " ");
        double should;
        if (rab_number_read(next, length, &should) == length && length > 0) {
            /* an area changes by the tolerance times the outline, which is at least a circle's */
            double room = tolerance + row->tolerance * 3 * sqrt(4 * RAB_PI * should);
            if (i >= count)
                fault(row, "one of opening_areas_mm2", 0, should, room);
            else if (fabs(areas[i] - should) > room)
                fault(row, "one of opening_areas_mm2", areas[i], should, room);
        }
        next += length;
        next += strspn(next, " ");
    }
    free(at);
}

static void check_pieces(struct row *row)
{
    struct rab_box box = box_of_all(&row->drawing);
    double length = fmax(box.x1 - box.x0, box.y1 - box.y0);
    double speck = pixels_speck * (length / pixels_long) * (length / pixels_long);
    double *holes = malloc((row->region.count + 1) * sizeof *holes);
    size_t parts = 0, openings = 0;

    for (size_t i = 0; holes && i < row->region.count; i++) {
        double area = rab_outline_area(&row->region.outlines[i]);
        parts += area > speck;
        if (area < -speck)
            holes[openings++] = -area;
    }
    check(row, "parts", (double)parts, 0);
    check(row, "openings", (double)openings, 0);
    if (holes)
        qsort(holes, openings, sizeof *holes, compare_falling);
    check_opening_areas(row, holes, openings);
    free(holes);
}

/* ---- one drawing ---- */

static bool is_any_filled(const struct rab_drawing *drawing)
{
    for (size_t i = 0; i < drawing->count; i++)
        if (drawing->items[i].filled)
            return true;
    return false;
}

static bool read_drawing(struct row *row, struct rab_error *err)
{
    struct rab_text path = {0}, bytes = {0};
    struct rab_read_options options = {.tolerance = row->tolerance};
    bool ok;

    rab_text_format(&path, "%s/%s", row->folder, cell(row, "file"));
    ok = rab_text_ok(&path, err) && rab_file_read(path.data, RAB_READ_LIMIT, &bytes, err) &&
         rab_svg_read(bytes.data ? bytes.data : "", bytes.length, &options, &row->drawing,
                      &row->notes, err);
    rab_text_clear(&path);
    rab_text_clear(&bytes);
    if (!ok || !is_any_filled(&row->drawing))
        return ok;
    return rab_drawing_region(&row->drawing, RAB_READ_FILLED, -1, &row->region, NULL, &row->notes,
                              err);
}

static bool check_row(struct row *row, bool verbose)
{
    static const char *const painted[] = {"x0_mm", "y0_mm", "x1_mm", "y1_mm"};
    static const char *const all[] = {"all_x0_mm", "all_y0_mm", "all_x1_mm", "all_y1_mm"};
    struct rab_error err = {0};
    bool ok = read_drawing(row, &err);

    if (ok) {
        check_area(row);
        if (row->region.count > 0)
            check_box(row, painted, rab_region_box(&row->region));
        check_box(row, all, box_of_all(&row->drawing));
        check_subpaths(row);
        check_pieces(row);
        ok = row->faults.length == 0;
        printf("%s %s: area ", ok ? "pass" : "FAIL", cell(row, "file"));
        struct rab_text area = {0};
        rab_text_fixed(&area, rab_region_area(&row->region), 4);
        printf("%s mm2, %zu outlines, %zu vertices\n", area.data, row->region.count,
               rab_region_vertices(&row->region));
        rab_text_clear(&area);
        printf("%s", row->faults.data ? row->faults.data : "");
    } else {
        printf("FAIL %s: line %d: %s\n", cell(row, "file"), err.line, err.text);
    }
    for (size_t i = 0; verbose && i < row->notes.count; i++)
        printf("    line %d: %s\n", row->notes.items[i].line, row->notes.items[i].text);
    rab_drawing_clear(&row->drawing);
    rab_region_clear(&row->region);
    rab_warnings_clear(&row->notes);
    rab_text_clear(&row->faults);
    return ok;
}

static int run(const char *folder, char *table_text, double tolerance, bool verbose)
{
    struct table table = {0};
    char *line = table_text, *end;
    size_t passed = 0, failed = 0;

    for (bool first = true; line && *line; line = end, first = false) {
        end = strchr(line, '\n');
        if (end)
            *end++ = '\0';
        if (first) {
            table.count = split(line, table.names);
            continue;
        }
        struct row row = {.table = &table, .folder = folder, .tolerance = tolerance};
        row.count = split(line, row.cells);
        if (check_row(&row, verbose))
            passed++;
        else
            failed++;
    }
    printf("%zu passed, %zu failed\n", passed, failed);
    return failed > 0 || passed == 0;
}

int main(int count, char **arguments)
{
    const char *folder = NULL, *path = NULL;
    double tolerance = 0.01;
    bool verbose = false, ok = true;
    struct rab_text table = {0};
    struct rab_error err = {0};
    int status;

    for (int i = 1; ok && i < count; i++) {
        if (strcmp(arguments[i], "--verbose") == 0)
            verbose = true;
        else if (strcmp(arguments[i], "--tolerance") == 0 && i + 1 < count)
            ok = rab_length_read(arguments[++i], RAB_UNIT_MM, &tolerance, &err);
        else if (!folder)
            folder = arguments[i];
        else if (!path)
            path = arguments[i];
        else
            ok = rab_fail(&err, RAB_FAULT_INPUT, "what is %s for?", arguments[i]);
    }
    if (ok && !path)
        ok = rab_fail(&err, RAB_FAULT_INPUT,
                      "usage: drawings FOLDER TABLE [--tolerance MM] [--verbose]");
    ok = ok && rab_file_read(path, 1 << 24, &table, &err);
    if (!ok) {
        fprintf(stderr, "%s\n", err.text);
        return 2;
    }
    status = run(folder, table.data, tolerance, verbose);
    rab_text_clear(&table);
    return status;
}
