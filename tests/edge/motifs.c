#include "motifs.h"

#include <criterion/criterion.h>
#include <string.h>

#define HEAD(title)                                                                                \
    "<motif xmlns=\"urn:rabbet:shape:1\"><title>" title "</title><about>For tests.</about>"        \
    "<pitch usual=\"12mm\" least=\"1mm\" most=\"400mm\"/>"                                         \
    "<depth usual=\"3mm\" least=\"0.1mm\" most=\"100mm\"/>"
#define ARC                                                                                        \
    "<profile><start x=\"0\" y=\"0\"/><arc x=\"pitch\" y=\"0\" bulge=\"-2 * depth / pitch\"/>"     \
    "</profile>"

static const struct {
    const char *name, *xml;
} own[] = {
    {"arcs", HEAD("Arcs") ARC "</motif>"},
    {"teeth", HEAD("Teeth") "<profile><start x=\"0\" y=\"0\"/><line x=\"pitch / 2\" y=\"depth\"/>"
                            "<line x=\"pitch\" y=\"0\"/></profile></motif>"},
    {"slant", HEAD("Slant") "<profile><start x=\"0\" y=\"0\"/><line x=\"pitch\" y=\"depth\"/>"
                            "<line y=\"0\"/></profile></motif>"},
    {"blocks",
     HEAD("Blocks") "<length name=\"flat\" usual=\"2mm\" least=\"0mm\" most=\"100mm\">Flat</length>"
                    "<let name=\"wide\" value=\"flat + (pitch - flat) / 4\"/>"
                    "<profile><start x=\"0\" y=\"0\"/><line x=\"wide / 2\"/><line y=\"depth\"/>"
                    "<line x=\"pitch - wide / 2\"/><line y=\"0\"/><line x=\"pitch\"/></profile>"
                    "<valley width=\"wide\"/></motif>"},
    {"gaps", HEAD("Gaps") "<profile><start x=\"0\" y=\"0\"/><line x=\"0.2 * pitch\"/>"
                          "<line y=\"depth\"/><line x=\"0.8 * pitch\"/><line y=\"0\"/>"
                          "<line x=\"pitch\"/></profile><valley width=\"0.4 * pitch\"/></motif>"},
    {"caves", HEAD("Caves") "<profile><start x=\"0\" y=\"depth\"/>"
                            "<arc x=\"pitch\" y=\"depth\" bulge=\"2 * depth / pitch\"/></profile>"
                            "</motif>"},
    {"eyes",
     HEAD("Eyes") ARC "<hole><circle x=\"pitch / 2\" y=\"-depth\" radius=\"depth / 2\"/></hole>"
                      "<draw><path><start x=\"0\" y=\"-2 * depth\"/><line x=\"pitch\"/></path>"
                      "</draw></motif>"},
    {"rough", HEAD("Rough") "<profile><start x=\"0\" y=\"random(7, repeat) * depth\"/>"
                            "<line x=\"pitch\" y=\"random(7, mod(repeat + 1, repeats)) * depth\"/>"
                            "</profile></motif>"},
    {"cornered", HEAD("Cornered") ARC "<corner><circle radius=\"depth\"/></corner></motif>"},
    {"stout", HEAD("Stout") "<require that=\"2 * depth &lt;= pitch\">Give a depth of at most "
                            "{pitch / 2}.</require>" ARC "</motif>"},
};

void motifs_open(struct motifs *motifs)
{
    struct rab_error err = {0};

    *motifs = (struct motifs){0};
    cr_assert(rab_library_open(NULL, 0, &motifs->library, NULL, &err), "%s", err.text);
    for (size_t i = 0; i < sizeof own / sizeof *own; i++)
        cr_assert(rab_library_add(motifs->library, own[i].name, own[i].xml, strlen(own[i].xml),
                                  NULL, &err),
                  "%s: %d: %s", own[i].name, err.line, err.text);
}

void motifs_close(struct motifs *motifs)
{
    rab_library_close(motifs->library);
}

enum { MOST_VALUES = 64 };

static const struct rab_shape *find(const struct motifs *motifs, const char *name, double pitch,
                                    double depth, double values[MOST_VALUES])
{
    struct rab_error err = {0};
    const struct rab_shape *motif = rab_library_find(motifs->library, name, &err);

    cr_assert(motif, "%s", err.text);
    for (size_t i = 0; i < motif->parameter_count; i++)
        values[i] = motif->parameters[i].usual;
    values[0] = pitch;
    values[1] = depth;
    return motif;
}

struct rab_edge strip_of(const struct motifs *motifs, const char *name, double pitch, double depth,
                         const struct rab_strip_options *options)
{
    double values[MOST_VALUES];
    const struct rab_shape *motif = find(motifs, name, pitch, depth, values);
    struct rab_edge edge = {0};
    struct rab_error err = {0};

    cr_assert(rab_edge_strip(motifs->library, motif, values, options, 0, &edge, &err), "%s: %s",
              name, err.text);
    cr_assert(rab_region_check(&edge.figure.paper, &err), "%s: %s", name, err.text);
    return edge;
}

struct rab_edge edge_around(const struct motifs *motifs, const char *name, double pitch,
                            double depth, const struct rab_region *paper,
                            const struct rab_along_options *options, struct rab_warnings *notes)
{
    double values[MOST_VALUES];
    const struct rab_shape *motif = find(motifs, name, pitch, depth, values);
    struct rab_edge edge = {0};
    struct rab_error err = {0};

    cr_assert(rab_edge_along(motifs->library, motif, values, paper, options, 0, &edge, notes, &err),
              "%s: %s", name, err.text);
    cr_assert(rab_region_check(&edge.figure.paper, &err), "%s: %s", name, err.text);
    return edge;
}

struct rab_error no_strip(const struct motifs *motifs, const char *name, double pitch, double depth,
                          const struct rab_strip_options *options)
{
    double values[MOST_VALUES];
    const struct rab_shape *motif = find(motifs, name, pitch, depth, values);
    struct rab_edge edge = {0};
    struct rab_error err = {0};

    cr_assert_not(rab_edge_strip(motifs->library, motif, values, options, 0, &edge, &err));
    cr_expect(edge.runs == NULL && edge.figure.paper.outlines == NULL, "written on failure");
    return err;
}

struct rab_error no_edge(const struct motifs *motifs, const char *name, double pitch, double depth,
                         const struct rab_region *paper, const struct rab_along_options *options)
{
    double values[MOST_VALUES];
    const struct rab_shape *motif = find(motifs, name, pitch, depth, values);
    struct rab_edge edge = {0};
    struct rab_error err = {0};

    cr_assert_not(
        rab_edge_along(motifs->library, motif, values, paper, options, 0, &edge, NULL, &err));
    cr_expect(edge.runs == NULL && edge.figure.paper.outlines == NULL, "written on failure");
    return err;
}

static struct rab_region filled(struct rab_outline *outline)
{
    struct rab_region region = {0};
    struct rab_error err = {0};

    cr_assert(rab_region_fill(outline, 1, RAB_FILL_NONZERO, &region, &err), "%s", err.text);
    rab_outline_clear(outline);
    return region;
}

struct rab_region rectangle(double width, double height, double radius)
{
    struct rab_outline outline = {0};

    cr_assert(rab_outline_rectangle((struct rab_box){0, 0, width, height}, radius, &outline, NULL));
    return filled(&outline);
}

struct rab_region disc(double x, double y, double radius)
{
    struct rab_outline outline = {0};

    cr_assert(rab_outline_circle((struct rab_point){x, y}, radius, &outline, NULL));
    return filled(&outline);
}

struct rab_region polygon(const double *coordinates, size_t corners)
{
    struct rab_outline outline = {0};

    for (size_t i = 0; i < corners; i++)
        cr_assert(rab_outline_add(&outline, coordinates[2 * i], coordinates[2 * i + 1], 0, NULL));
    return filled(&outline);
}
