#include "figures.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

struct rab_library *figures_library(void)
{
    struct rab_library *library = NULL;
    struct rab_error err = {0};

    cr_assert(rab_library_open(NULL, 0, &library, NULL, &err), "%s", err.text);
    return library;
}

static const struct rab_shape *add(struct rab_library *library, const char *name, const char *root,
                                   const char *inside)
{
    struct rab_text text = {0};
    struct rab_error err = {0};

    rab_text_add(&text, "<");
    rab_text_add(&text, root);
    rab_text_add(&text,
                 " xmlns=\"urn:rabbet:shape:1\"><title>Test</title><about>A test.</about>\n");
    rab_text_add(&text, inside);
    rab_text_add(&text, "\n</");
    rab_text_add(&text, root);
    rab_text_add(&text, ">\n");
    cr_assert(not(text.failed));
    cr_assert(rab_library_add(library, name, text.data, text.length, NULL, &err), "%s:\n%s",
              err.text, text.data);
    rab_text_clear(&text);
    const struct rab_shape *shape = rab_library_find(library, name, &err);
    cr_assert(shape != NULL);
    return shape;
}

const struct rab_shape *figures_add(struct rab_library *library, const char *name,
                                    const char *inside)
{
    return add(library, name, "shape", inside);
}

const struct rab_shape *figures_add_motif(struct rab_library *library, const char *name,
                                          const char *inside)
{
    return add(library, name, "motif", inside);
}

bool figures_draw_shape(const struct rab_library *library, const struct rab_shape *shape,
                        struct rab_figure *out, struct rab_error *err)
{
    double *values = calloc(shape->parameter_count + 1, sizeof *values);
    cr_assert(values != NULL);
    for (size_t i = 0; i < shape->parameter_count; i++)
        values[i] = shape->parameters[i].usual;
    const bool ok = rab_shape_draw(library, shape, values, 0, out, err);
    free(values);
    return ok;
}

bool figures_try(const char *inside, struct rab_figure *out, struct rab_error *err)
{
    struct rab_library *library = figures_library();
    const struct rab_shape *shape = figures_add(library, "lantern", inside);
    const bool ok = figures_draw_shape(library, shape, out, err);
    rab_library_close(library);
    return ok;
}

static char *paper_of(const char *areas)
{
    struct rab_text text = {0};

    rab_text_add(&text, "<paper>");
    rab_text_add(&text, areas);
    rab_text_add(&text, "</paper>");
    cr_assert(not(text.failed));
    return text.data;
}

struct rab_figure figures_paper(const char *areas)
{
    struct rab_figure figure = {0};
    struct rab_error err = {0};
    char *paper = paper_of(areas);

    cr_assert(figures_try(paper, &figure, &err), "%s\n%s", err.text, paper);
    cr_expect(rab_region_check(&figure.paper, &err), "%s\n%s", err.text, paper);
    free(paper);
    return figure;
}

void figures_refused(const char *inside, enum rab_fault fault, int line, const char *words)
{
    struct rab_figure figure = {0};
    struct rab_error err = {0};

    cr_expect(not(figures_try(inside, &figure, &err)), "drawn: %s", inside);
    cr_expect(err.fault == fault, "fault %d: %s\n%s", (int)err.fault, err.text, inside);
    cr_expect(strstr(err.text, words) != NULL, "said: %s\n%s", err.text, inside);
    cr_expect(strncmp(err.text, "lantern", 7) == 0, "said: %s", err.text);
    if (line > 0)
        cr_expect(err.line == line, "line %d: %s", err.line, err.text);
    cr_expect(figure.paper.count == 0 && figure.paths == NULL && figure.places == NULL);
    rab_figure_clear(&figure);
}

void figures_paper_refused(const char *areas, const char *words)
{
    char *paper = paper_of(areas);

    figures_refused(paper, RAB_FAULT_GEOMETRY, 2, words);
    free(paper);
}

void figures_measures(const struct rab_figure *figure, double area, double perimeter)
{
    cr_expect(epsilon_eq(dbl, rab_region_area(&figure->paper), area, 1e-9 * (1 + fabs(area))));
    cr_expect(epsilon_eq(dbl, rab_region_perimeter(&figure->paper), perimeter,
                         1e-9 * (1 + fabs(perimeter))));
}
