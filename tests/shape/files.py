#!/usr/bin/python3
"""Every shape and motif of the library as SVG and DXF, measured with other programs' readers.

usage: files.py EVERY SHAPES_FOLDER   (the program built from every.c)

The files are written at the usual values, beside them the sheet as it was handed to the writers. The
SVG is read by the small reader of tests/write/loops.py, the DXF by ezdxf and by GDAL; all are compared,
outline by outline, with each other and with the sheet.
"""
import json
import os
import subprocess
import sys
import tempfile

import ezdxf
import numpy
from osgeo import gdal, ogr

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "write"))
import loops as L  # noqa: E402

gdal.UseExceptions()
gdal.SetConfigOption("OGR_ARC_STEPSIZE", "1")  # degrees

ORDER = ["Drawing", "Gluing", "Creasing", "PartialCutting", "Perforating", "Cutting"]
SEEN = 2e-6  # mm: six decimals, with room for the arc between two rounded ends

failures = []


def check(true, words):
    if not true:
        failures.append(words)
    return true


def read_sheet(path):
    with open(path, encoding="utf-8") as file:
        sheet = json.load(file)
    found = [L.bulged(p["vertices"], not p["open"], p["operation"]) for p in sheet["paths"]]
    found.sort(key=lambda loop: ORDER.index(loop.operation))
    return sheet, found


def apart(want, found, words):
    """The greatest distance between loops that should be the same."""
    if not check(len(want) == len(found), "%s: %d loops for %d" % (words, len(found), len(want))):
        return 0
    worst = 0
    for p, q in zip(want, found):
        check(p.operation.upper() == q.operation.upper() and p.closed == q.closed,
              words + ": another operation, or open and closed")
        if len(p.edges) <= 600:
            worst = max(worst, L.deviation(p, q))
        else:  # every point against every edge would take minutes
            check(abs(p.length() - q.length()) <= SEEN * len(p.edges) and
                  abs(abs(p.area()) - abs(q.area())) <= SEEN * (1 + p.length()),
                  words + ": a long line differs")
    return worst


def check_gdal(path, found):
    """Arcs come in chords of a degree: they lie 3.8e-5 r within, and are 1.3e-5 too short."""
    source = ogr.Open(path)  # kept: a layer dies with it
    shapes = [feature.GetGeometryRef().Clone() for feature in source.GetLayer(0)]
    if not check(len(shapes) == len(found), "%s: GDAL finds %d outlines, not %d" % (
            path, len(shapes), len(found))):
        return
    for shape, loop in zip(shapes, found):
        while shape.GetPointCount() == 0 and shape.GetGeometryCount() > 0:
            shape = shape.GetGeometryRef(0)
        check(abs(shape.Length() - loop.length()) <= 2e-4 * loop.length() + 1e-6,
              "%s: length %.9g, in GDAL %.9g" % (path, loop.length(), shape.Length()))
        if loop.closed:
            room = sum(e.length() * e.radius() * 4e-5 for e in loop.edges if e.turn != 0)
            points = numpy.array([complex(*p[:2]) for p in shape.GetPoints()])
            area = ((points.conjugate() * numpy.roll(points, -1)).imag / 2).sum()
            check(abs(abs(area) - abs(loop.area())) <= room + SEEN * (1 + loop.length()),
                  "%s: area %.9g, in GDAL %.9g" % (path, loop.area(), area))


def check_shape(name):
    sheet, want = read_sheet(name + ".json")
    svg, width, height, _ = L.read_svg(name + ".svg", 1)
    check(abs(width - sheet["width"]) < SEEN and abs(height - sheet["height"]) < SEEN,
          name + ".svg: another size of the page")
    worst = apart(want, svg, name + ".svg")
    for ending, version in ((".r2000.dxf", "AC1015"), (".r12.dxf", "AC1009")):
        path = name + ending
        document = ezdxf.readfile(path)
        auditor = document.audit()
        check(document.dxfversion == version, path + ": version " + document.dxfversion)
        check(not auditor.errors and not auditor.fixes, "%s: ezdxf's audit: %s" % (
            path, [e.message for e in auditor.errors + auditor.fixes][:3]))
        dxf = L.read_dxf(document)
        worst = max(worst, apart(want, dxf, path))
        check(apart(svg, dxf, path + " and SVG") <= 2 * SEEN, path + ": differs from the SVG")
    check_gdal(name + ".r2000.dxf", want)
    check(worst <= SEEN, "%s: files are off by %.3g mm" % (name, worst))
    return worst


def main():
    program, folder = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
    with tempfile.TemporaryDirectory() as work:
        done = subprocess.run([program, folder, "--files", work], stdout=subprocess.PIPE, text=True)
        check(done.returncode == 0, done.stdout)
        os.chdir(work)
        names = sorted(n[:-5] for n in os.listdir(".") if n.endswith(".json"))
        check(names, "no shape was written")
        worst = max([check_shape(name) for name in names], default=0)
        os.chdir("/")
    print("%d shapes and motifs; SVG, DXF and their sheets apart: at most %.2g mm" % (
        len(names), worst))
    for words in failures[:40]:
        print("FAILED", words)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
