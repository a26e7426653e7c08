/*
 * Expressions: their arithmetic, their units, what they refuse. Values are worked by hand beside
 * the check or are published identities, which says where; units follow ISO 80000-1 (only
 * quantities of one kind can be added).
 */
#include "rabbet/shape.h"
#include "base/arena.h"
#include "shape/expression.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const struct rab_choice corner_names[] = {
    {"square", "Square"}, {"cove", "Cove"}, {"round", "R"}};
static const struct rab_choice side_names[] = {{"left", "Left"}, {"cove", "Cove"}};
static const struct rab_parameter parameters[] = {
    {.name = "width", .kind = RAB_LENGTH},
    {.name = "photo-width", .kind = RAB_LENGTH},
    {.name = "foils", .kind = RAB_COUNT},
    {.name = "lean", .kind = RAB_ANGLE},
    {.name = "corner", .kind = RAB_CHOICE, .choices = corner_names, .choice_count = 3},
    {.name = "lined", .kind = RAB_YES_NO},
    {.name = "side", .kind = RAB_CHOICE, .choices = side_names, .choice_count = 2},
    {.name = "none", .kind = RAB_COUNT},
};
/* what they are in every test: 30 mm, 100 mm, 5, 30 degrees, cove, yes, left, 0 */
static const double slots[] = {30, 100, 5, RAB_PI / 6, 1, 1, 0, 0};
static struct scope_name names[] = {
    {"width", {TYPE_QUANTITY, 1, 0, 0}, 0}, {"photo-width", {TYPE_QUANTITY, 1, 0, 0}, 1},
    {"foils", {TYPE_QUANTITY, 0, 0, 0}, 2}, {"lean", {TYPE_QUANTITY, 0, 1, 0}, 3},
    {"corner", {TYPE_CHOICE, 0, 0, 4}, 4},  {"lined", {TYPE_TRUTH, 0, 0, 0}, 5},
    {"side", {TYPE_CHOICE, 0, 0, 6}, 6},    {"none", {TYPE_QUANTITY, 0, 0, 0}, 7},
};
static const struct scope scope = {names, 8, 8, parameters};

static const struct type plain = {TYPE_QUANTITY, 0, 0, 0};
static const struct type length = {TYPE_QUANTITY, 1, 0, 0};
static const struct type area = {TYPE_QUANTITY, 2, 0, 0};
static const struct type angle = {TYPE_QUANTITY, 0, 1, 0};
static const struct type truth = {TYPE_TRUTH, 0, 0, 0};

static void expect_near(const char *text, struct type type, double value, double within)
{
    struct arena *arena = arena_new(NULL);
    struct expression expression;
    struct type found;
    struct rab_error err = {0};
    double got = NAN;

    cr_assert(expression_read(text, 7, &scope, arena, &expression, &found, &err), "%s: %s", text,
              err.text);
    cr_expect(eq(int, (int)found.kind, (int)type.kind), "%s", text);
    cr_expect(eq(int, found.length, type.length), "%s", text);
    cr_expect(eq(int, found.angle, type.angle), "%s", text);
    cr_assert(expression_value(&expression, 7, slots, &got, &err), "%s: %s", text, err.text);
    cr_expect(epsilon_eq(dbl, got, value, within), "%s", text);
    arena_free(arena);
}

static void expect(const char *text, struct type type, double value)
{
    expect_near(text, type, value, 1e-13 * fabs(value));
}

/* Refused when it is read, with the line and these words in the message. */
static void refuse(const char *text, const char *words)
{
    struct arena *arena = arena_new(NULL);
    struct expression expression;
    struct type type;
    struct rab_error err = {0};

    cr_assert(not(expression_read(text, 7, &scope, arena, &expression, &type, &err)), "%s", text);
    cr_expect(eq(int, (int)err.fault, (int)RAB_FAULT_INPUT), "%s", text);
    cr_expect(eq(int, err.line, 7), "%s", text);
    cr_expect(ne(ptr, strstr(err.text, words), NULL), "%s: %s", text, err.text);
    arena_free(arena);
}

/* Read, but without a value for these measurements. */
static void fail(const char *text, const char *words)
{
    struct arena *arena = arena_new(NULL);
    struct expression expression;
    struct type type;
    struct rab_error err = {0};
    double value = 4711;

    cr_assert(expression_read(text, 7, &scope, arena, &expression, &type, &err), "%s: %s", text,
              err.text);
    cr_assert(not(expression_value(&expression, 9, slots, &value, &err)), "%s", text);
    cr_expect(eq(int, (int)err.fault, (int)RAB_FAULT_GEOMETRY), "%s", text);
    cr_expect(eq(int, err.line, 9), "%s", text);
    cr_expect(ne(ptr, strstr(err.text, words), NULL), "%s: %s", text, err.text);
    cr_expect(eq(dbl, value, 4711), "%s: the value was touched", text);
    arena_free(arena);
}

/* ---- numbers and lengths ---------------------------------------------------------------- */

/* 1 in = 25.4 mm exactly (international yard and pound agreement, 1959); 1 pt = 1/72 in; a full
 * turn is 360 degrees or 2 pi radians. */
Test(expressions, numbers_carry_units)
{
    expect("12", plain, 12);
    expect("0.5", plain, 0.5);
    expect(".5", plain, 0.5);
    expect("2e3", plain, 2000);
    expect("3mm", length, 3);
    expect("1.5cm", length, 15);
    expect("1.5in", length, 38.1);
    expect("72pt", length, 25.4);
    expect("1/8in", length, 3.175);
    expect("5 3/4in", length, 146.05);
    expect("5  3/4in", length, 146.05);
    expect("10/8in", length, 31.75);
    expect("180deg", angle, RAB_PI);
    expect("2rad", angle, 2);
    expect("2 * pi", plain, 2 * RAB_PI);
    expect("12in", length, 304.8);
}

Test(expressions, fractions_are_one_number_only_with_inches)
{
    expect("width / 1/8in", plain, 30 / 3.175); /* not (width / 1) / 8in */
    expect("3 * 1/4in", length, 19.05);
    expect("1/8", plain, 0.125);
    expect("1 / 8", plain, 0.125);
    expect("width/8", length, 3.75);
    refuse("1/8mm", "inches");
    refuse("1 1/8mm", "inches");
    refuse("5 9/4in", "below 1");
    refuse("1/0in", "divides by 0");
    refuse("5 3/4", "not expected");
    refuse("5-3/4in", "a plain number and a length cannot be subtracted");
}

Test(expressions, units_are_known)
{
    refuse("3m", "no unit \"m\"");
    refuse("3inch", "no unit \"inch\"");
    refuse("2pi", "put * before a name");
    refuse("2 mm", "not expected");
    refuse("1e999", "too large");
    refuse(".", "missing");
}

/* ---- precedence: as in every book of algebra; worked by hand ----------------------------- */

Test(expressions, precedence)
{
    expect("2 + 3 * 4", plain, 14);
    expect("(2 + 3) * 4", plain, 20);
    expect("20 - 5 - 3", plain, 12);
    expect("24 / 4 / 2", plain, 3);
    expect("24 / 4 * 2", plain, 12);
    expect("2 * 3 ^ 2", plain, 18);
    expect("-3 ^ 2", plain, -9);
    expect("(-3) ^ 2", plain, 9);
    expect("2 ^ -2", plain, 0.25);
    expect("2 ^ 10", plain, 1024);
    expect("2 ^ 0", plain, 1);
    expect("- - 5", plain, 5);
    expect("2 - -3", plain, 5);
    expect("1 + 2 = 3", truth, 1);
    expect("1 + 1 > 3 - 1", truth, 0);
    expect("yes or no and no", truth, 1);
    expect("(yes or no) and no", truth, 0);
    expect("not no and no", truth, 0);
    expect("not (no and no)", truth, 1);
    expect("not 1 > 2", truth, 1);
    expect("not not yes", truth, 1);
    refuse("2 ^ 3 ^ 2", "parentheses");
    refuse("1 < 2 < 3", "two at a time");
}

Test(expressions, hyphens_and_blanks)
{
    expect("photo-width", length, 100);
    expect("photo-width - width", length, 70);
    expect("width-5mm", length, 25);
    expect("foils-1", plain, 4);
    refuse("foils-none", "nothing is called \"foils-none\"");
}

Test(expressions, words_that_are_not_known)
{
    refuse("widht", "did you mean width");
    refuse("photo-heigth", "photo-width");
    refuse("zz", "nothing is called \"zz\"");
    refuse("cosine(30deg)", "no function");
    refuse("flor(2)", "did you mean floor?");
    refuse("Width", "did you mean width");
}

/* ---- units ---------------------------------------------------------------------------------- */

Test(expressions, products_are_areas_and_roots_are_lengths)
{
    expect("width * width", area, 900);
    expect("width ^ 2", area, 900);
    expect("sqrt(width * photo-width)", length, sqrt(3000));
    expect("width / photo-width", plain, 0.3);
    expect("width * photo-width / width", length, 100);
    expect("1 / (1 / width)", length, 30);
    expect("width ^ 3 / width ^ 2", length, 30);
    expect("width ^ -1 * width ^ 2", length, 30);
    expect("lean * 2", angle, RAB_PI / 3);
    expect("width * rad(lean)", length, 30 * RAB_PI / 6); /* the length of an arc: r times angle */
    refuse("sqrt(width)", "sqrt takes");
    refuse("sqrt(lean)", "sqrt takes");
}

Test(expressions, only_what_is_alike_is_added)
{
    refuse("width + foils", "a length and a plain number cannot be added");
    refuse("foils - width", "a plain number and a length cannot be subtracted");
    refuse("width + lean", "a length and an angle");
    refuse("width + width * width", "a length and an area");
    refuse("width + 1", "cannot be added");
    refuse("width > 3", "cannot be compared");
    refuse("lean < width", "cannot be compared");
    refuse("width = foils", "cannot be compared");
    refuse("min(width, foils)", "a length and a plain number");
    refuse("hypot(width, 3)", "a length and a plain number");
    refuse("mod(width, 2)", "a length and a plain number");
    refuse("atan2(width, 2)", "a length and a plain number");
    refuse("lined + 1", "yes or no and a plain number");
    refuse("corner * 2", "a choice and a plain number");
    refuse("width * rad(width)", "rad takes an angle");
    refuse("rad(2)", "rad takes an angle");
    refuse("sin(2)", "sin takes an angle, and this is a plain number");
    refuse("asin(lean)", "asin takes a plain number, and this is an angle");
    refuse("floor(width)", "floor takes a plain number");
    refuse("random(width, width)", "random takes a plain number");
    refuse("-lined", "a minus takes");
    refuse("abs(lined)", "abs takes");
    refuse("lined ^ 2", "^ takes");
    refuse("width ^ 17", "too many lengths");
    refuse("width ^ 10 * width ^ 10", "too many lengths");
}

Test(expressions, zero_fits_everywhere)
{
    expect("width + 0", length, 30);
    expect("0 - lean", angle, -RAB_PI / 6);
    expect("0 * width", length, 0);
    expect("max(0, width)", length, 30);
    expect("if(lined, 0, width)", length, 0);
    expect("width > 0", truth, 1);
    expect("-0 + width", length, 30);
    refuse("0 + 1 + width", "cannot be added");
    refuse("width / 0", "divides by 0");
    refuse("0 / 0", "divides by 0");
}

/* ---- choices and conditions --------------------------------------------------------------- */

Test(expressions, choices)
{
    expect("corner = 'cove'", truth, 1);
    expect("corner = \"cove\"", truth, 1);
    expect("'cove' = corner", truth, 1);
    expect("corner != 'round'", truth, 1);
    expect("corner = 'square' or corner = 'round'", truth, 0);
    expect("side = 'cove'", truth, 0); /* the second of one, of the other too, is another */
    expect("corner = if(lined, 'cove', 'round')", truth, 1);
    expect("lined = yes", truth, 1);
    expect("lined != (width > 5mm)", truth, 0);
    refuse("corner = 'bevel'", "cannot be 'bevel'; it is one of 'square', 'cove'");
    refuse("corner = side", "cannot be compared");
    refuse("corner < 'cove'", "a word in quotes");
    refuse("corner < corner", "has no order");
    refuse("lined > no", "has no order");
    refuse("'cove' = 'cove'", "a word in quotes");
    refuse("width = 'cove'", "a word in quotes");
    refuse("'cove' + 1", "a word in quotes");
    refuse("corner = 'cove", "not closed");
}

Test(expressions, conditions)
{
    expect("if(lined, 1, 2)", plain, 1);
    expect("if(not lined, 1, 2)", plain, 2);
    expect("if(width > photo-width, width, photo-width)", length, 100);
    expect("if(lined, if(foils = 5, 1, 2), 3) + 10", plain, 11);
    expect("10 + if(no, 1, if(no, 2, 3)) * 2", plain, 16);
    refuse("if(lined, width, 2)", "the two ways of one if()");
    refuse("if(foils, 1, 2)", "is a condition");
    refuse("if(lined, 1)", "more values");
    refuse("if(lined, 1, 2, 3)", "too many values");
    refuse("foils and lined", "joins conditions");
    refuse("lined or 1", "joins conditions");
    refuse("not width", "joins conditions");
}

/* What is not needed is not worked out, so that it may guard against a division by 0. */
Test(expressions, only_one_way_is_gone)
{
    expect("if(none > 0, 1 / none, 7)", plain, 7);
    expect("none > 0 and 1 / none > 2", truth, 0);
    expect("none = 0 or 1 / none > 2", truth, 1);
    expect("yes and no or yes", truth, 1);
    expect("no and yes and yes", truth, 0);
    expect("no or no or yes", truth, 1);
    fail("none = 0 and 1 / none > 2", "divides by 0");
}

/* ---- functions ---------------------------------------------------------------------------- */

/* Exact values: Abramowitz and Stegun 4.3.46 (table of circular functions for 0, pi/12, pi/10 ...);
 * the addition theorem for sine: 4.3.16. */
Test(expressions, circular_functions)
{
    expect("sin(30deg)", plain, 0.5);
    expect("cos(60deg)", plain, 0.5);
    expect("tan(45deg)", plain, 1);
    expect("sin(18deg)", plain, (sqrt(5) - 1) / 4);
    expect("cos(36deg)", plain, (sqrt(5) + 1) / 4);
    expect("asin(1/2)", angle, RAB_PI / 6);
    expect("acos(1/2)", angle, RAB_PI / 3);
    expect("atan(1)", angle, RAB_PI / 4);
    expect("atan2(1mm, -1mm)", angle, 3 * RAB_PI / 4);
    expect("atan2(0, -1)", angle, RAB_PI);
    expect("sin(20deg + 35deg)", plain,
           sin(RAB_PI / 9) * cos(7 * RAB_PI / 36) + cos(RAB_PI / 9) * sin(7 * RAB_PI / 36));
    expect("sin(lean) ^ 2 + cos(lean) ^ 2", plain, 1);
    fail("asin(foils)", "asin()");
    fail("acos(-foils)", "acos()");
}

Test(expressions, other_functions)
{
    expect("sqrt(2)", plain, 1.41421356237309504880); /* OEIS A002193 */
    expect("hypot(3mm, 4mm)", length, 5);             /* Euclid I.47 */
    expect("abs(-3mm)", length, 3);
    expect("abs(2)", plain, 2);
    expect("min(3, 1, 2)", plain, 1);
    expect("max(3mm, 1in, 2mm, 0)", length, 25.4);
    expect("floor(2.7)", plain, 2);
    expect("floor(-2.2)", plain, -3);
    expect("ceil(2.2)", plain, 3);
    expect("round(2.5)", plain, 3);
    expect("round(-2.5)", plain, -3);
    /* Knuth, The Art of Computer Programming 1, 1.2.4: x mod y = x - y floor(x / y) */
    expect("mod(5, 3)", plain, 2);
    expect("mod(-2, 3)", plain, 1);
    expect("mod(5, -3)", plain, -1);
    expect("mod(-6, 3)", plain, 0);
    expect("mod(10mm, 4mm)", length, 2);
    fail("sqrt(-foils)", "root of a number below 0");
    fail("1 / none", "divides by 0");
    fail("none ^ -1", "divides by 0");
    fail("mod(1, none)", "divides by 0");
    fail("1e15 ^ 100", "too large");
    refuse("min(1)", "min() needs more values");
    refuse("hypot(1, 2, 3)", "too many values");
    refuse("sin()", "missing");
    refuse("sin(1deg", "not closed");
}

/* A function needs its parenthesis, so its name is free for a parameter. */
Test(expressions, names_of_functions_are_free)
{
    struct scope_name own[] = {{"round", {TYPE_QUANTITY, 1, 0, 0}, 0}};
    const struct scope here = {own, 1, 1, NULL};
    struct arena *arena = arena_new(NULL);
    struct expression expression;
    struct type type;
    struct rab_error err = {0};
    double value = 0;

    cr_assert(expression_read("round * round(1.2)", 1, &here, arena, &expression, &type, &err));
    cr_assert(expression_value(&expression, 1, slots, &value, &err));
    cr_expect(eq(dbl, value, 30));
    cr_expect(not(expression_reserves("round")));
    cr_expect(expression_reserves("pi"));
    cr_expect(expression_reserves("and"));
    cr_expect(expression_reserves("if"));
    arena_free(arena);
}

/* ---- random ------------------------------------------------------------------------------- */

static double draw(const struct expression *expression, double seed, double k)
{
    const double both[] = {seed, k};
    double value = -1;
    struct rab_error err = {0};

    cr_assert(expression_value(expression, 1, both, &value, &err), "%s", err.text);
    return value;
}

/* Pearson's chi-squared over 100 equal parts: with 99 degrees of freedom it exceeds 148.23 in 1 of
 * 1000 (Abramowitz and Stegun, table 26.8 gives 149.449 for 100). The correlation of neighbours of
 * n even draws is 0 with a deviation of 1/sqrt(n). */
Test(expressions, random_is_even)
{
    enum { DRAWS = 100000, PARTS = 100 };
    struct scope_name own[] = {{"seed", {TYPE_QUANTITY, 0, 0, 0}, 0},
                               {"k", {TYPE_QUANTITY, 0, 0, 0}, 1}};
    const struct scope here = {own, 2, 2, NULL};
    struct arena *arena = arena_new(NULL);
    struct expression expression;
    struct type type;

    cr_assert(expression_read("random(seed, k)", 1, &here, arena, &expression, &type, NULL));
    for (int way = 0; way < 2; way++) {
        int counts[PARTS] = {0};
        double squares = 0, correlation = 0, before = 0.5;
        for (int i = 0; i < DRAWS; i++) {
            double value = way == 0 ? draw(&expression, 3, i) : draw(&expression, i, -7);
            cr_assert(ge(dbl, value, 0));
            cr_assert(lt(dbl, value, 1));
            counts[(int)(value * PARTS)]++;
            correlation += (value - 0.5) * (before - 0.5) * 12 / DRAWS;
            before = value;
        }
        for (int i = 0; i < PARTS; i++)
            squares += pow(counts[i] - DRAWS / PARTS, 2) / (DRAWS / PARTS);
        cr_expect(lt(dbl, squares, 148.23));
        cr_expect(lt(dbl, fabs(correlation), 4 / sqrt(DRAWS)));
    }
    cr_expect(eq(dbl, draw(&expression, 3, 8), draw(&expression, 3, 8)));
    cr_expect(ne(dbl, draw(&expression, 3, 8), draw(&expression, 4, 8)));
    cr_expect(ne(dbl, draw(&expression, 3, 8), draw(&expression, 8, 3)));
    arena_free(arena);
}

Test(expressions, random_takes_whole_numbers)
{
    expect_near("random(-5, 2)", plain, 0.5, 0.5);
    fail("random(1.5, 2)", "not whole");
    fail("random(1, 1e15 * 10)", "not whole");
}

/* ---- what is not an expression ----------------------------------------------------------- */

Test(expressions, mistakes)
{
    refuse("", "empty");
    refuse("   ", "empty");
    refuse("1 +", "missing at the end");
    refuse("* 2", "missing before \"* 2\"");
    refuse("(1 + 2", "not closed");
    refuse("1 + 2)", "\")\" is not expected");
    refuse("1 2", "is a sign like * or + missing?");
    refuse("width photo-width", "is a sign like * or + missing?");
    refuse("2 ^ foils", "exponent");
    refuse("2 ^ 1.5", "exponent");
    refuse("2 ^ 101", "exponent");
    refuse("and", "stands where a value is expected");
    refuse("1 == 2", "missing before");
    refuse("width & 1", "not expected");
    refuse("\xC3\x97", "missing before");
}

/* Nesting costs stack while reading, and values at hand while working out: both have an end. */
Test(expressions, depth_is_bounded)
{
    char text[4096];
    size_t at = 0;

    for (int i = 0; i < 1000; i++)
        text[at++] = '(';
    text[at] = '\0';
    refuse(text, "nested too deeply");
    at = 0;
    for (int i = 0; i < 1000; i++)
        text[at++] = '-';
    snprintf(text + at, sizeof text - at, "5");
    expect(text, plain, 5);
    at = 0;
    for (int i = 0; i < 50; i++) /* three values wait at each level */
        at += (size_t)snprintf(text + at, sizeof text - at, "1+1*hypot(1,");
    snprintf(text + at, sizeof text - at, "1");
    refuse(text, "too deep; divide it");
    at = 0;
    for (int i = 0; i < 1000; i++)
        at += (size_t)snprintf(text + at, sizeof text - at, "1+");
    snprintf(text + at, sizeof text - at, "1");
    expect(text, plain, 1001);
    memset(text, 'a', 100);
    text[100] = '\0';
    refuse(text, "longer than 64");
}
