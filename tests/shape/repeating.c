/* One repeat of an edge motif, and what is refused. */
#include "figures.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

#define HEAD                                                                                       \
    "<pitch usual='12mm' least='3mm' most='80mm'/><depth usual='4mm' least='0.5mm' "               \
    "most='40mm'/>\n"
#define SCALLOP                                                                                    \
    "<profile><start x='0' y='0'/><arc x='pitch' y='0' bulge='-2 * depth / pitch'/></profile>\n"

static bool try(const char *inside, size_t repeat, size_t repeats, struct rab_repeat *out,
                struct rab_error *err)
{
    struct rab_library *library = figures_library();
    const struct rab_shape *motif = figures_add_motif(library, "lantern", inside);
    double values[16];

    cr_assert(motif->parameter_count <= 16);
    for (size_t i = 0; i < motif->parameter_count; i++)
        values[i] = motif->parameters[i].usual;
    const bool ok = rab_motif_draw(library, motif, values, repeat, repeats, 0, out, err);
    rab_library_close(library);
    return ok;
}

static void expect_refused(const char *inside, int line, const char *words)
{
    struct rab_repeat repeat = {0};
    struct rab_error err = {0};

    cr_expect(not(try(inside, 0, 5, &repeat, &err)), "drawn: %s", inside);
    cr_expect(err.fault == RAB_FAULT_GEOMETRY, "%s", err.text);
    cr_expect(err.line == line, "line %d: %s", err.line, err.text);
    cr_expect(strncmp(err.text, "lantern:", 8) == 0, "%s", err.text);
    cr_expect(strstr(err.text, words) != NULL, "said: %s\n%s", err.text, inside);
    cr_expect(repeat.profile.count == 0);
}

/* Handbook formulas of a scallop of pitch p and depth s: R = (p^2 / 4 + s^2) / (2 s), bulge 2 s / p
 * (mensuration, from memory). */
Test(repeating, scallop)
{
    struct rab_repeat repeat = {0};
    struct rab_error err = {0};

    cr_assert(try(HEAD SCALLOP, 0, 5, &repeat, &err), "%s", err.text);
    const struct rab_outline *o = &repeat.profile;
    cr_expect(o->open);
    cr_assert(eq(sz, o->count, 2));
    cr_expect(epsilon_eq(dbl, o->vertices[0].bulge, -2.0 / 3, 1e-12));
    cr_expect(o->vertices[1].x == 12 && o->vertices[0].x == 0);
    const double radius = (36 + 16) / 8.0, angle = 2 * asin(6 / radius);
    cr_expect(epsilon_eq(dbl, rab_outline_perimeter(o), radius * angle, 1e-9));
    cr_expect(epsilon_eq(dbl, rab_outline_box(o).y1, 4, 1e-9));
    cr_expect(eq(sz, repeat.holes.count, 0));
    cr_expect(eq(dbl, repeat.valley, 0));
    rab_repeat_clear(&repeat);
}

Test(repeating, valley_holes_and_operations)
{
    const char *inside =
        HEAD "<let name='flat' value='pitch / 4'/><valley width='flat'/>"
             "<profile><start x='0' y='0'/><line x='flat / 2'/><line y='depth'/>"
             "<line x='pitch - flat / 2'/><line y='0'/><line x='pitch'/></profile>"
             "<hole><circle x='pitch / 2' y='1mm' radius='1mm'/></hole>"
             "<hole><circle x='pitch / 2' y='-3mm' radius='1.5mm'/></hole>"
             "<crease><path><start x='0' y='-5mm'/><line x='pitch'/></path></crease>"
             "<draw when='repeat = 2'><circle y='-9mm' radius='1mm'/></draw>";
    struct rab_repeat repeat = {0};
    struct rab_error err = {0};

    cr_assert(try(inside, 0, 5, &repeat, &err), "%s", err.text);
    cr_expect(eq(dbl, repeat.valley, 3));
    cr_expect(eq(sz, repeat.profile.count, 6));
    cr_expect(eq(sz, repeat.holes.count, 2));
    cr_expect(epsilon_eq(dbl, rab_region_area(&repeat.holes), RAB_PI * (1 + 2.25), 1e-9));
    cr_assert(eq(sz, repeat.path_count, 1));
    cr_expect(repeat.paths[0].operation == RAB_CREASE && repeat.paths[0].outline.open);
    rab_repeat_clear(&repeat);
    cr_assert(try(inside, 2, 5, &repeat, &err), "%s", err.text);
    cr_expect(eq(sz, repeat.path_count, 2));
    rab_repeat_clear(&repeat);
}

/* A repeat knows which it is and how many there are. */
Test(repeating, number_of_the_repeat)
{
    for (size_t i = 0; i < 5; i++) {
        struct rab_repeat repeat = {0};
        struct rab_error err = {0};
        cr_assert(try(HEAD
                      "<profile><start x='0' y='0'/><line x='pitch / 2' y='depth * (repeat + 1) "
                      "/ repeats'/><line x='pitch' y='0'/></profile>",
                      i, 5, &repeat, &err),
                  "%s", err.text);
        cr_expect(epsilon_eq(dbl, repeat.profile.vertices[1].y, 4 * ((double)i + 1) / 5, 1e-12));
        rab_repeat_clear(&repeat);
    }
}

Test(repeating, what_a_profile_may_not_do)
{
    expect_refused(HEAD "<profile><start x='1mm' y='0'/><line x='pitch'/></profile>", 3,
                   "begins at x = 1 mm");
    expect_refused(HEAD "<profile><start x='0' y='0'/><line x='pitch - 1mm'/></profile>", 3,
                   "it must end at the pitch, 12 mm");
    expect_refused(HEAD "<profile><start x='0' y='0'/><arc x='pitch' y='0' bulge='-1'/></profile>",
                   3, "rises to 6 mm");
    expect_refused(HEAD "<profile><start x='0' y='0'/><arc x='pitch' y='0' bulge='0.2'/></profile>",
                   3, "goes down to -1.2 mm");
    expect_refused(HEAD "<profile><start x='0' y='0'/><line x='9mm' y='3mm'/><line x='3mm'/>"
                        "<line x='pitch' y='0'/></profile>",
                   3, "without crossing itself");
    expect_refused(HEAD "<profile when='no'><start x='0' y='0'/><line x='pitch'/></profile>", 3,
                   "no profile is drawn");
    expect_refused(HEAD SCALLOP "<profile><start x='0' y='0'/><line x='pitch'/></profile>", 4,
                   "a repeat has one");
    expect_refused(HEAD SCALLOP "<valley width='13mm'/>", 4, "from 0 to the pitch, 12 mm");
    expect_refused(HEAD SCALLOP "<valley width='-1mm'/>", 4, "the valley comes out -1 mm");
    expect_refused(HEAD SCALLOP "<hole><circle x='6mm' y='3mm' radius='1mm'/></hole>", 4,
                   "meets the profile");
    expect_refused(HEAD SCALLOP "<hole><circle x='1.5mm' y='3.5mm' radius='0.3mm'/></hole>", 4,
                   "above the profile");
}

/* What curls over: a crest that leans beyond the end of its repeat but does not cross itself. */
Test(repeating, crest_that_leans_over)
{
    struct rab_repeat repeat = {0};
    struct rab_error err = {0};

    cr_assert(try(HEAD "<profile><start x='0' y='0'/><arc x='13mm' y='3.5mm' bulge='-0.1'/>"
                       "<arc x='pitch' y='0' bulge='0.6'/></profile>",
                  0, 5, &repeat, &err),
              "%s", err.text);
    cr_expect(epsilon_eq(dbl, rab_outline_box(&repeat.profile).x1, 13, 1e-9));
    rab_repeat_clear(&repeat);
}

/* The values may be what came out of fitting, beyond the limits; the constraints are looked at. */
Test(repeating, fitted_values)
{
    struct rab_library *library = figures_library();
    const struct rab_shape *motif = figures_add_motif(
        library, "lantern",
        HEAD "<require that='2 * depth &lt;= pitch'>Too deep for {pitch}.</require>" SCALLOP);
    struct rab_repeat repeat = {0};
    struct rab_error err = {0};
    double values[] = {100, 4};

    cr_assert(rab_motif_draw(library, motif, values, 0, 1, 0, &repeat, &err), "%s", err.text);
    rab_repeat_clear(&repeat);
    values[0] = 7;
    cr_expect(not(rab_motif_draw(library, motif, values, 0, 1, 0, &repeat, &err)));
    cr_expect(err.fault == RAB_FAULT_INPUT && strstr(err.text, "lantern: Too deep for 7 mm"), "%s",
              err.text);
    rab_library_close(library);
}

Test(repeating, corners)
{
    struct rab_library *library = figures_library();
    const struct rab_shape *plain = figures_add_motif(library, "plain", HEAD SCALLOP);
    const struct rab_shape *motif = figures_add_motif(
        library, "lantern",
        HEAD SCALLOP
        "<corner><circle y='depth' radius='if(corner &lt; 90.5deg, 2mm, 1mm)'/></corner>");
    const double values[] = {12, 4};
    struct rab_region corner = {0};
    struct rab_error err = {0};

    cr_assert(rab_motif_corner(library, plain, values, RAB_PI / 2, 0, &corner, &err), "%s",
              err.text);
    cr_expect(eq(sz, corner.count, 0));
    cr_assert(rab_motif_corner(library, motif, values, RAB_PI / 2, 0, &corner, &err), "%s",
              err.text);
    cr_expect(epsilon_eq(dbl, rab_region_area(&corner), RAB_PI * 4, 1e-9));
    rab_region_clear(&corner);
    cr_assert(rab_motif_corner(library, motif, values, 2, 0, &corner, &err), "%s", err.text);
    cr_expect(epsilon_eq(dbl, rab_region_area(&corner), RAB_PI, 1e-9));
    rab_region_clear(&corner);

    /* Neither is the other. */
    const struct rab_shape *shape =
        figures_add(library, "pane", "<paper><circle radius='9mm'/></paper>");
    struct rab_figure figure = {0};
    struct rab_repeat repeat = {0};
    cr_expect(not(rab_shape_draw(library, motif, values, 0, &figure, &err)));
    cr_expect(err.fault == RAB_FAULT_INPUT && strstr(err.text, "motif"), "%s", err.text);
    err = (struct rab_error){0};
    cr_expect(not(rab_motif_draw(library, shape, values, 0, 1, 0, &repeat, &err)));
    cr_expect(err.fault == RAB_FAULT_INPUT && strstr(err.text, "is a shape"), "%s", err.text);
    rab_library_close(library);
}
