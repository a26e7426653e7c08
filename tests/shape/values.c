/* Values for a shape's parameters: as people type them, and as they are shown. Conversions: 1 in =
 * 25.4 mm exactly (international yard and pound agreement, 1959), 180 degrees = pi. */
#include "rabbet/shape.h"
#include "shape/reader.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <string.h>

static const char text[] =
    "<shape xmlns='urn:rabbet:shape:1'><title>Test</title><about>A test.</about>"
    "<length name='span' usual='40mm' least='1in' most='250mm'>Span</length>"
    "<angle name='lean' usual='30deg' least='0' most='90deg'>Lean</angle>"
    "<count name='foils' usual='5' least='3' most='12'>Foils</count>"
    "<ratio name='rise' usual='1/2' least='0.25' most='2'>Rise</ratio>"
    "<choice name='corner' usual='cove' about='Corners'><one name='square'>S</one>"
    "<one name='cove'>C</one><one name='round'>R</one></choice>"
    "<yesno name='lined' usual='no'>Lined</yesno>"
    "<paper><circle radius='span'/></paper></shape>";
enum { SPAN, LEAN, FOILS, RISE, CORNER, LINED, COUNT };

static struct rab_shape *shape;

static void setup(void)
{
    struct rab_error err = {0};

    cr_assert(reader_read("test", "tests", NULL, text, sizeof text - 1, &shape, &err), "%s",
              err.text);
}

static void teardown(void)
{
    reader_free(shape);
}

TestSuite(values, .init = setup, .fini = teardown);

static void expect(const char *name, const char *value, size_t at, double expected)
{
    const struct rab_setting setting = {name, value};
    struct rab_error err = {0};
    double values[COUNT];

    cr_assert(rab_shape_values(shape, &setting, 1, values, &err), "%s: %s", value, err.text);
    cr_expect(epsilon_eq(dbl, values[at], expected, 1e-15), "%s=%s", name, value);
}

static void refuse(const char *name, const char *value, const char *words)
{
    const struct rab_setting setting = {name, value};
    struct rab_error err = {0};
    double values[COUNT] = {-1, -1, -1, -1, -1, -1};

    cr_assert(not(rab_shape_values(shape, &setting, 1, values, &err)), "%s=%s", name, value);
    cr_expect(eq(int, (int)err.fault, (int)RAB_FAULT_INPUT));
    cr_expect(ne(ptr, strstr(err.text, words), NULL), "%s", err.text);
    for (size_t i = 0; i < COUNT; i++)
        cr_expect(eq(dbl, values[i], -1));
}

Test(values, usual_when_nothing_is_set)
{
    double values[COUNT];

    cr_assert(rab_shape_values(shape, NULL, 0, values, NULL));
    cr_expect(eq(dbl, values[SPAN], 40));
    cr_expect(epsilon_eq(dbl, values[LEAN], RAB_PI / 6, 1e-15));
    cr_expect(eq(dbl, values[FOILS], 5));
    cr_expect(eq(dbl, values[RISE], 0.5));
    cr_expect(eq(dbl, values[CORNER], 1));
    cr_expect(eq(dbl, values[LINED], 0));
}

Test(values, as_typed)
{
    expect("span", "60mm", SPAN, 60);
    expect("span", " 6 cm ", SPAN, 60);
    expect("span", "5 3/4in", SPAN, 146.05);
    expect("span", "1in", SPAN, 25.4); /* just the least */
    expect("span", "250mm", SPAN, 250);
    expect("lean", "90deg", LEAN, RAB_PI / 2);
    expect("lean", "0.5 rad", LEAN, 0.5);
    expect("lean", "0deg", LEAN, 0);
    expect("foils", "12", FOILS, 12);
    expect("rise", "3/4", RISE, 0.75);
    expect("rise", "1.25", RISE, 1.25);
    expect("corner", "round", CORNER, 2);
    expect("corner", "square", CORNER, 0);
    expect("lined", "yes", LINED, 1);
    expect("lined", "no", LINED, 0);
}

Test(values, what_is_refused)
{
    refuse("span", "60", "span: \"60\" has no unit");
    refuse("span", "wide", "is not a length");
    refuse("span", "25.3mm", "span cannot be 25.3mm; give it from 25.4 mm (1 in) to 250 mm");
    refuse("span", "251mm", "give it from");
    refuse("lean", "30", "30deg");
    refuse("lean", "deg", "is not an angle");
    refuse("lean", "91deg", "from 0 deg to 90 deg");
    refuse("foils", "2.5", "not a whole number");
    refuse("foils", "13", "from 3 to 12");
    refuse("foils", "five", "not a whole number");
    refuse("rise", "1/0", "not a plain number");
    refuse("rise", "1/2/3", "not a plain number");
    refuse("rise", "1mm", "not a plain number");
    refuse("rise", "1e999", "not a plain number");
    refuse("rise", "0.2", "from 0.25 to 2");
    refuse("corner", "coves", "did you mean cove?");
    refuse("corner", "x", "square, cove or round");
    refuse("lined", "true", "neither yes nor no");
    refuse("sapn", "60mm", "test has no parameter \"sapn\"; did you mean span?");
    refuse("zzz", "60mm", "has no parameter");
}

Test(values, set_twice)
{
    const struct rab_setting settings[] = {{"span", "60mm"}, {"foils", "4"}, {"span", "60mm"}};
    struct rab_error err = {0};
    double values[COUNT];

    cr_assert(not(rab_shape_values(shape, settings, 3, values, &err)));
    cr_expect(ne(ptr, strstr(err.text, "span is given twice"), NULL), "%s", err.text);
    cr_assert(rab_shape_values(shape, settings, 2, values, NULL));
    cr_expect(eq(dbl, values[SPAN], 60));
    cr_expect(eq(dbl, values[FOILS], 4));
}

static void expect_shown(size_t at, double value, bool in_first, const char *expected)
{
    struct rab_text shown = {0};

    rab_text_value(&shown, &shape->parameters[at], value, in_first);
    cr_assert(rab_text_ok(&shown, NULL));
    cr_expect(zero(int, strcmp(shown.data, expected)), "%s", shown.data);
    rab_text_clear(&shown);
}

/* 40 / 25.4 = 1.5748 in, nearest sixteenth 25/16 = 1.5625. */
Test(values, as_shown)
{
    expect_shown(SPAN, 40, false, "40 mm (\xE2\x89\x88 1 9/16 in)");
    expect_shown(SPAN, 25.4, true, "1 in (25.4 mm)");
    expect_shown(LEAN, RAB_PI / 6, false, "30 deg");
    expect_shown(LEAN, 1, false, "57.2958 deg");
    expect_shown(FOILS, 8, false, "8");
    expect_shown(RISE, 0.75, false, "0.75");
    expect_shown(RISE, 1.0 / 3, false, "0.3333");
    expect_shown(CORNER, 1, false, "cove");
    expect_shown(LINED, 1, false, "yes");
    expect_shown(LINED, 0, false, "no");
}
