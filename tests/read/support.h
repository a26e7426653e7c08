/* Drawings in tests: read from texts, measured, refused. */
#ifndef RABBET_TESTS_READ_SUPPORT_H
#define RABBET_TESTS_READ_SUPPORT_H

#include "rabbet/read.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A page of 100 x 80 mm, one user unit 1 mm, around the body. */
#define PAGE(body)                                                                                \
    "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='80mm' viewBox='0 0 100 80'>"   \
    body "</svg>"
/* A root with these attributes around the body. */
#define ROOT(attributes, body) "<svg xmlns='http://www.w3.org/2000/svg' " attributes ">" body "</svg>"

struct reading {
    struct rab_drawing drawing;
    struct rab_warnings notes;
};

static inline struct reading read_bytes(const char *bytes, size_t length)
{
    struct reading r = {0};
    struct rab_error err = {0};
    bool ok = rab_svg_read(bytes, length, NULL, &r.drawing, &r.notes, &err);

    cr_assert(ok, "%s, line %d, of %.200s", err.text, err.line, bytes);
    return r;
}

static inline struct reading read_text(const char *text)
{
    return read_bytes(text, strlen(text));
}

static inline void reading_clear(struct reading *r)
{
    rab_drawing_clear(&r->drawing);
    rab_warnings_clear(&r->notes);
}

/* The first warning with this code, or NULL. */
static inline const struct rab_warning *find_note(const struct rab_warnings *notes, const char *code)
{
    for (size_t i = 0; i < notes->count; i++)
        if (strcmp(notes->items[i].code, code) == 0)
            return &notes->items[i];
    return NULL;
}

static inline const struct rab_outline *outline_at(const struct reading *r, size_t item, size_t index)
{
    cr_assert(item < r->drawing.count && index < r->drawing.items[item].count);
    return &r->drawing.items[item].outlines[index];
}

static inline void expect_words(const char *is, const char *should)
{
    cr_expect(is && strcmp(is, should) == 0, "\"%s\" should be \"%s\"", is ? is : "", should);
}

/* The box of everything that is drawn. */
static inline struct rab_box drawn_box(const struct rab_drawing *drawing)
{
    struct rab_box box = RAB_BOX_EMPTY;

    for (size_t i = 0; i < drawing->count; i++)
        for (size_t k = 0; k < drawing->items[i].count; k++)
            box = rab_box_join(box, rab_outline_box(&drawing->items[i].outlines[k]));
    return box;
}

static inline void expect_box(struct rab_box box, double x0, double y0, double x1, double y1,
                              double tolerance, const char *what)
{
    cr_expect(epsilon_eq(dbl, box.x0, x0, tolerance), "x0 of %s", what);
    cr_expect(epsilon_eq(dbl, box.y0, y0, tolerance), "y0 of %s", what);
    cr_expect(epsilon_eq(dbl, box.x1, x1, tolerance), "x1 of %s", what);
    cr_expect(epsilon_eq(dbl, box.y1, y1, tolerance), "y1 of %s", what);
}

/* What is drawn lies in this box: millimetres from the lower left corner of the page. */
static inline void expect_drawn(const char *text, double x0, double y0, double x1, double y1)
{
    struct reading r = read_text(text);

    expect_box(drawn_box(&r.drawing), x0, y0, x1, y1, 1e-9, text);
    reading_clear(&r);
}

/* The drawing is refused as INPUT at this line, with the word in the message. */
static inline void expect_refused_bytes(const char *bytes, size_t length, int line, const char *word)
{
    struct rab_drawing drawing = {0};
    struct rab_error err = {0};
    bool ok = rab_svg_read(bytes, length, NULL, &drawing, NULL, &err);

    cr_assert(not(ok), "read, though it should not be: %.200s", bytes);
    cr_expect(err.fault == RAB_FAULT_INPUT, "%.200s", bytes);
    cr_expect(eq(int, err.line, line), "%s: %.200s", err.text, bytes);
    cr_expect(strstr(err.text, word) != NULL, "\"%s\" is not in \"%s\"", word, err.text);
    cr_expect(drawing.count == 0 && !drawing.items);
}

static inline void expect_refused(const char *text, int line, const char *word)
{
    expect_refused_bytes(text, strlen(text), line, word);
}

/* The region that a drawing comes to; cleared by the caller. */
static inline struct rab_region region_of(const char *text, enum rab_reading how,
                                          struct rab_reading_report *report,
                                          struct rab_warnings *notes)
{
    struct reading r = read_text(text);
    struct rab_region region = {0};
    struct rab_error err = {0};
    bool ok = rab_drawing_region(&r.drawing, how, -1, &region, report, notes, &err);

    cr_assert(ok, "%s: %.200s", err.text, text);
    reading_clear(&r);
    return region;
}

static inline void expect_area(const char *text, double area)
{
    struct rab_region region = region_of(text, RAB_READ_AUTO, NULL, NULL);

    cr_expect(epsilon_eq(dbl, rab_region_area(&region), area, 1e-6), "%s", text);
    rab_region_clear(&region);
}

#endif
