/* The library: what came with the program, folders of the maker's, what shapes use of each other.
 */
#include "shape/library.h"
#include "rabbet/shape.h"
#include "shape/content.h"
#include "shape/embedded.h"
#include "shape/reader.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define SHAPE(head, areas)                                                                         \
    "<shape xmlns='urn:rabbet:shape:1'>\n<title>T</title><about>A</about>\n" head                  \
    "<paper>\n" areas "\n</paper></shape>\n"
#define PARAMETERS                                                                                 \
    "<length name='size' usual='5mm' least='1mm' most='9mm'>Size</length>"                         \
    "<choice name='corner' usual='b' about='C'><one name='a'>A</one><one name='b'>B</one>"         \
    "</choice><count name='n' usual='1' least='1' most='9'>N</count>\n"
static const char small[] = SHAPE(PARAMETERS, "<circle radius='size'/>");

static char folder[64];
static struct rab_library *library;
static struct rab_warnings notes;
static struct rab_error err;

static void setup(void)
{
    snprintf(folder, sizeof folder, "/tmp/rabbet-shapes-XXXXXX");
    cr_assert(ne(ptr, mkdtemp(folder), NULL));
}

static int remove_entry(const char *path, const struct stat *there, int kind, struct FTW *place)
{
    (void)there;
    (void)kind;
    (void)place;
    return remove(path);
}

static void teardown(void)
{
    rab_library_close(library);
    rab_warnings_clear(&notes);
    cr_expect(zero(int, nftw(folder, remove_entry, 8, FTW_DEPTH | FTW_PHYS)));
}

TestSuite(library, .init = setup, .fini = teardown);

static const char *in_folder(const char *name)
{
    static char path[200];

    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void put(const char *name, const char *text)
{
    FILE *file = fopen(in_folder(name), "wb");

    cr_assert(ne(ptr, file, NULL));
    cr_assert(eq(sz, fwrite(text, 1, strlen(text), file), strlen(text)));
    fclose(file);
}

static bool open_folder(void)
{
    const char *folders[] = {folder};

    return rab_library_open(folders, 1, &library, &notes, &err);
}

static void expect_error(const char *place, int line, const char *words)
{
    cr_expect(eq(int, (int)err.fault, (int)RAB_FAULT_INPUT));
    cr_expect(eq(int, err.line, line), "%s", err.text);
    cr_expect(zero(int, strncmp(err.text, place, strlen(place))), "%s", err.text);
    cr_expect(ne(ptr, strstr(err.text, words), NULL), "%s", err.text);
}

static void refuse_add(const char *name, const char *text, int line, const char *words)
{
    size_t count = rab_library_count(library);
    char place[80];

    err = (struct rab_error){0};
    snprintf(place, sizeof place, "%s:%d: ", name, line);
    cr_assert(not(rab_library_add(library, name, text, strlen(text), &notes, &err)), "%s", text);
    expect_error(place, line, words);
    cr_expect(eq(sz, rab_library_count(library), count));
}

static void add(const char *name, const char *text)
{
    cr_assert(rab_library_add(library, name, text, strlen(text), &notes, &err), "%s", err.text);
}

/* ---- what came with the program ------------------------------------------------------------ */

/* Their places are what the build says; the order is that of the bytes of family and name. */
Test(library, embedded)
{
    cr_assert(rab_library_open(NULL, 0, &library, &notes, &err), "%s", err.text);
    cr_expect(eq(sz, rab_library_count(library), embedded_shape_count));
    cr_expect(zero(sz, notes.count));
    for (size_t i = 0; i < rab_library_count(library); i++) {
        const struct rab_shape *shape = rab_library_at(library, i);
        cr_expect(eq(ptr, (void *)(uintptr_t)shape->file, NULL));
        cr_expect(eq(ptr, (void *)(uintptr_t)rab_library_find(library, shape->name, &err),
                     (void *)(uintptr_t)shape));
        if (i > 0) {
            const struct rab_shape *before = rab_library_at(library, i - 1);
            int order = strcmp(before->family, shape->family);
            cr_expect(le(int, order, 0));
            cr_expect(order != 0 || strcmp(before->name, shape->name) < 0, "%s", shape->name);
        }
    }
}

/* Embedded files are not held against the schema when the program runs, so they are here. */
Test(library, embedded_files_keep_the_schema)
{
    cr_assert(rab_library_open(NULL, 0, &library, &notes, &err), "%s", err.text);
    for (size_t i = 0; i < embedded_shape_count; i++) {
        const struct embedded_file *file = &embedded_shapes[i];
        cr_expect(rab_library_add(library, file->name, (const char *)file->bytes, file->length,
                                  &notes, &err),
                  "%s", err.text);
    }
    cr_expect(eq(sz, rab_library_count(library), embedded_shape_count));
    cr_expect(eq(sz, notes.count, embedded_shape_count)); /* each took its own place */
}

Test(library, nearest_names)
{
    cr_assert(rab_library_open(NULL, 0, &library, &notes, &err), "%s", err.text);
    add("quibblewood-lamp", small);
    cr_assert(eq(ptr, (void *)(uintptr_t)rab_library_find(library, "quibblewod-lamp", &err), NULL));
    expect_error("", 0, "there is no shape \"quibblewod-lamp\"; did you mean quibblewood-lamp?");
    err = (struct rab_error){0};
    rab_library_find(library, "quibblewood", &err);
    expect_error("", 0, "did you mean quibblewood-lamp?");
    err = (struct rab_error){0};
    rab_library_find(library, "qqqqqqqq", &err);
    expect_error("", 0, "lists all of them");
}

/* ---- folders ------------------------------------------------------------------------------- */

Test(library, own_folder)
{
    const struct rab_shape *shape;

    put("moon-gate.xml", small);
    put("notes.txt", "not a shape");
    put(".hidden.xml", "not a shape");
    cr_assert(zero(int, mkdir(in_folder("quays"), 0700)));
    put("quays/bollard.xml", small);
    cr_assert(open_folder(), "%s", err.text);
    cr_expect(eq(sz, rab_library_count(library), embedded_shape_count + 2));
    cr_expect(zero(sz, notes.count));
    shape = rab_library_find(library, "moon-gate", &err);
    cr_assert(ne(ptr, (void *)(uintptr_t)shape, NULL));
    cr_expect(zero(int, strcmp(shape->family, "own")));
    cr_expect(zero(int, strcmp(shape->file, in_folder("moon-gate.xml"))));
    shape = rab_library_find(library, "bollard", &err);
    cr_assert(ne(ptr, (void *)(uintptr_t)shape, NULL));
    cr_expect(zero(int, strcmp(shape->family, "quays")));
}

Test(library, own_shapes_take_places_loudly)
{
    const char *folders[2];
    char other[100];

    put("plain.xml", small); /* the library has a mat of this name */
    snprintf(other, sizeof other, "%s/more", folder);
    cr_assert(zero(int, mkdir(other, 0700)));
    put("more/plain.xml", small);
    folders[0] = folder;
    folders[1] = other;
    cr_assert(not(rab_library_open(folders, 1, &library, &notes, &err)));
    expect_error(folder, 0, "the shape \"plain\" is also there as");
    cr_assert(zero(int, unlink(in_folder("plain.xml"))));
    put("more/../quay.xml", small);
    err = (struct rab_error){0};
    rab_warnings_clear(&notes);
    cr_assert(rab_library_open(folders, 2, &library, &notes, &err), "%s", err.text);
    cr_assert(eq(sz, notes.count, 2)); /* once for the program's, once for the first folder's */
    cr_expect(zero(int, strcmp(notes.items[0].code, "own-shape")));
    cr_expect(ne(ptr, strstr(notes.items[0].text, "came with rabbet"), NULL));
    cr_expect(ne(ptr, strstr(notes.items[1].text, "more/plain.xml"), NULL));
    cr_expect(eq(sz, rab_library_count(library), embedded_shape_count + 1));
}

Test(library, folders_that_cannot_be_read)
{
    const char *folders[] = {in_folder("nowhere")};

    cr_assert(not(rab_library_open(folders, 1, &library, &notes, &err)));
    cr_expect(eq(int, (int)err.fault, (int)RAB_FAULT_FILE));
    cr_expect(ne(ptr, strstr(err.text, "no such folder"), NULL), "%s", err.text);
    put("file", "");
    folders[0] = in_folder("file");
    err = (struct rab_error){0};
    cr_assert(not(rab_library_open(folders, 1, &library, &notes, &err)));
    cr_expect(ne(ptr, strstr(err.text, "not a folder"), NULL), "%s", err.text);
    cr_assert(zero(int, mkfifo(in_folder("pipe.xml"), 0600)));
    err = (struct rab_error){0};
    cr_assert(not(open_folder()));
    cr_expect(eq(int, (int)err.fault, (int)RAB_FAULT_FILE));
}

Test(library, faults_name_file_and_line)
{
    char place[100];

    put("broken.xml", SHAPE("", "<circle/>"));
    cr_assert(not(open_folder()));
    snprintf(place, sizeof place, "%s/broken.xml:4: ", folder);
    expect_error(place, 4, "<circle> has no radius");
    put("broken.xml", small);
    put("Bad Name.xml", small);
    err = (struct rab_error){0};
    cr_assert(not(open_folder()));
    expect_error(folder, 0, "cannot be that of a shape");
}

/* ---- shapes from memory ------------------------------------------------------------------ */

Test(library, add)
{
    const struct rab_shape *first, *second;

    cr_assert(rab_library_open(NULL, 0, &library, &notes, &err), "%s", err.text);
    add("a-quay", small);
    first = rab_library_find(library, "a-quay", &err);
    cr_expect(zero(sz, notes.count));
    add("a-quay", small);
    cr_expect(eq(sz, notes.count, 1));
    second = rab_library_find(library, "a-quay", &err);
    cr_expect(ne(ptr, (void *)(uintptr_t)first, (void *)(uintptr_t)second));
    cr_expect(zero(int, strcmp(first->name, "a-quay"))); /* still good */
    refuse_add("b", SHAPE("", "<circle/>"), 4, "no radius");
    cr_assert(not(rab_library_add(library, "No", small, sizeof small - 1, &notes, &err)));
}

/* ---- use ----------------------------------------------------------------------------------- */

#define USE(sets) SHAPE(PARAMETERS, "<use shape='a-quay'>\n" sets "</use>")

Test(library, uses_are_checked)
{
    cr_assert(rab_library_open(NULL, 0, &library, &notes, &err), "%s", err.text);
    refuse_add("b", USE(""), 5, "there is no shape \"a-quay\"");
    add("a-quay", small);
    add("a-motif", "<motif xmlns='urn:rabbet:shape:1'><title>T</title><about>A</about>"
                   "<pitch usual='9mm' least='1mm' most='9mm'/>"
                   "<depth usual='9mm' least='1mm' most='9mm'/><profile><start x='0' y='0'/>"
                   "<line x='pitch'/></profile></motif>");
    add("b", USE("<set name='size' to='2mm'/><set name='corner' to='corner'/><set name='n' "
                 "to='n + 1'/>"));
    add("c", USE("<set name='corner' to=\"'a'\"/>"));
    add("d", USE("<set name='corner' to=\"if(n > 3, 'a', 'b')\"/>"));
    refuse_add("e", USE("<set name='sizes' to='2mm'/>"), 6, "did you mean size?");
    refuse_add("e", USE("<set name='size' to='2'/>"), 6, "\"size\" is a length");
    refuse_add("e", USE("<set name='n' to='2mm'/>"), 6, "\"n\" is a plain number");
    refuse_add("e", USE("<set name='corner' to=\"'c'\"/>"), 6, "cannot be 'c'");
    refuse_add("e", USE("<set name='corner' to='1'/>"), 6, "one of its words");
    refuse_add("e", USE("<set name='n' to='1'/>\n<set name='n' to='1'/>"), 7, "set twice");
    refuse_add("e", SHAPE("", "<use shape='a-motif'/>"), 4, "an edge motif");
}

static double set_value(const char *name)
{
    const struct shape_file *file = rab_library_find(library, name, &err)->content;
    double value = -1;

    for (uint32_t i = 0; i < file->node_count; i++)
        if (file->nodes[i].tag == TAG_SET)
            cr_assert(expression_value(node_attribute(file, i, KEY_TO), 1, NULL, &value, &err));
    return value;
}

/* Words follow the shape whose choices they are, also when another takes its place or tries to. */
Test(library, words_are_bound_to_the_other_shapes_choices)
{
    cr_assert(rab_library_open(NULL, 0, &library, &notes, &err), "%s", err.text);
    add("a-quay", small);
    add("b", USE("<set name='corner' to=\"'b'\"/>"));
    cr_expect(eq(dbl, set_value("b"), 1));
    add("a-quay", SHAPE("<choice name='corner' usual='b' about='C'><one name='b'>B</one><one "
                        "name='c'>C</one></choice>",
                        "<circle radius='1mm'/>"));
    cr_expect(eq(dbl, set_value("b"), 0));
    err = (struct rab_error){0};
    cr_assert(not(rab_library_add(library, "a-quay", SHAPE("", "<circle radius='1mm'/>"),
                                  sizeof SHAPE("", "<circle radius='1mm'/>") - 1, &notes, &err)));
    expect_error("b:6: ", 6, "has no parameter \"corner\"");
    err = (struct rab_error){0};
    cr_expect(eq(dbl, set_value("b"), 0));
}

/* The reference allows eight uses within each other. */
Test(library, uses_have_an_end)
{
    char name[8], text[400];

    cr_assert(rab_library_open(NULL, 0, &library, &notes, &err), "%s", err.text);
    refuse_add("x0", SHAPE("", "<use shape='x0'/>"), 4, "in a circle");
    add("x0", small);
    for (int i = 1; i <= 8; i++) {
        snprintf(name, sizeof name, "x%d", i);
        snprintf(text, sizeof text, SHAPE("", "<use shape='x%d'/>"), i - 1);
        add(name, text);
    }
    refuse_add("x9", SHAPE("", "<use shape='x8'/>"), 4, "more than 8 deep");
    err = (struct rab_error){0};
    cr_assert(not(rab_library_add(library, "x0", SHAPE("", "<use shape='x8'/>"),
                                  sizeof SHAPE("", "<use shape='x8'/>") - 1, &notes, &err)));
    cr_expect(ne(ptr, strstr(err.text, "in a circle"), NULL), "%s", err.text);
    refuse_add("y", SHAPE("", "<use shape='plainer'/>"), 4, "there is no shape \"plainer\"");
}
