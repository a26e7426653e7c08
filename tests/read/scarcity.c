/* Lack of memory at each allocation in turn: reading a drawing, and making it a region, report it, leak
 * nothing and write nothing. */
#include "scarce.h"
#include "support.h"

static const char drawing[] =
    "<?xml version='1.0' encoding='iso-8859-1'?><!DOCTYPE svg [<!ENTITY e 'x'>]>"
    "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 100 80'><title>quay &e;</title>"
    "<style>.a rect, #c { fill: none } @media print { b { c: d } }</style>"
    "<symbol id='s' viewBox='0 0 10 10'><circle cx='5' cy='5' r='4'/></symbol><g class='a'>"
    "<g transform='rotate(10)'><use href='#s' width='20' height='20'/></g>"
    "<rect id='r' width='5' height='5' stroke='red' style='x:1px/**/;y:2px'/></g>"
    "<path fill-rule='evenodd' d='M0 0H50V50H0z M10 10C20 10 20 20 10 20z' clip-path='url(#x)'/>"
    "<text>x</text><text>y</text><polyline points='60 0 70 0 70 10' fill='red'/></svg>";

static const char lines[] = PAGE(
    "<g fill='none' stroke='red'><path d='M0 0H50'/><path d='M50 0V50H0V0.01'/><path d='M5 5h9v9h-9z'/>"
    "<path d='M5 5h9v9h-9z'/></g>");

static const char dxf[] =
    "0\nSECTION\n2\nTABLES\n0\nLAYER\n2\nAWAY\n62\n-1\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nB\n"
    "0\nSPLINE\n71\n2\n40\n0\n40\n0\n40\n0\n40\n1\n40\n1\n40\n1\n10\n0\n20\n0\n10\n5\n20\n9\n10\n9\n20\n0\n"
    "41\n1\n41\n2\n41\n1\n0\nLINE\n10\n0\n20\n0\n11\n9\n21\n0\n0\nENDBLK\n0\nENDSEC\n"
    "0\nSECTION\n2\nENTITIES\n0\nINSERT\n2\nB\n41\n2\n0\nCIRCLE\n10\n50\n20\n0\n40\n5\n"
    "0\nPOLYLINE\n70\n1\n0\nVERTEX\n10\n70\n20\n0\n42\n1\n0\nVERTEX\n10\n80\n20\n0\n0\nSEQEND\n"
    "0\nTEXT\n0\nTEXT\n0\nENDSEC\n0\nEOF\n";

static bool read_and_fill(const char *text, enum rab_reading how, double width, struct rab_error *err)
{
    struct rab_read_options options = {.width = width};
    struct rab_drawing read = {0};
    struct rab_warnings notes = {0};
    struct rab_region region = {0};
    struct rab_reading_report report = {0};
    bool ok = rab_drawing_read(text, strlen(text), &options, &read, &notes, err);

    if (!ok)
        cr_assert(read.count == 0 && !read.items && !read.title);
    ok = ok && rab_drawing_region(&read, how, -1, &region, &report, &notes, err);
    if (!ok)
        cr_assert(region.count == 0 && !region.outlines && report.outlines == 0);
    rab_region_clear(&region);
    rab_warnings_clear(&notes);
    rab_drawing_clear(&read);
    return ok;
}

static void expect_memory_errors(const char *text, enum rab_reading how, double width)
{
    for (size_t granted = 0;; granted++) {
        struct rab_error err = {0};
        bool ok, refused;

        cr_assert(granted < 20000);
        scarce_begin(granted);
        ok = read_and_fill(text, how, width, &err);
        refused = scarce_end();
        cr_assert(scarce_held() == 0, "%ld allocations are left after %zu", scarce_held(), granted);
        if (!refused) {
            cr_assert(ok, "%s", err.text);
            cr_expect(granted > 50, "only %zu allocations", granted);
            return;
        }
        cr_assert(not(ok), "allocation %zu refused, and nobody noticed", granted);
        cr_assert(err.fault == RAB_FAULT_MEMORY, "%s", err.text);
    }
}

Test(scarcity, filled, .timeout = 60)
{
    expect_memory_errors(drawing, RAB_READ_AUTO, 0);
    expect_memory_errors(drawing, RAB_READ_AUTO, 50);
}

Test(scarcity, lines, .timeout = 60)
{
    expect_memory_errors(lines, RAB_READ_AUTO, 0);
}

Test(scarcity, dxf, .timeout = 60)
{
    expect_memory_errors(dxf, RAB_READ_LINES, 0);
    expect_memory_errors(dxf, RAB_READ_LINES, 50);
}
