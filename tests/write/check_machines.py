#!/usr/bin/python3
"""Write sample sheets as PDF, as HP-GL and as DXF of single entities, and read them with others.

usage: check_machines.py SAMPLES   (the program built from samples.c)

PDF: pypdf and poppler. DXF: ezdxf. HP-GL: a small interpreter written from the PCL 5 Printer Language
Technical Reference Manual, part II, checked here on what that manual says of its commands.
"""
import math
import os
import re
import subprocess
import sys
import tempfile

import ezdxf
import numpy
import pypdf
import pypdf.generic

import loops as L
from check_files import NAMES, ORDER, check, failures, read_truth, within


# ---- HP-GL

UNIT = 0.025  # mm: chapter 17


class Plotter:
    """IN, SP, PA, PR, PU, PD, AA: lines drawn with each pen, arcs as chords of the given angle."""

    def __init__(self, text):
        self.at, self.down, self.relative, self.pen = 0j, False, False, 0
        self.lines = []  # (pen, points)
        for name, numbers in re.findall(r"([A-Z]{2})([-0-9.,]*);", text):
            n = [float(v) for v in numbers.split(",")] if numbers else []
            getattr(self, name)(n)
        assert re.sub(r"[A-Z]{2}[-0-9.,]*;|\s", "", text) == "", "what is this?"

    def go(self, point):
        if self.down:
            if not self.lines or self.lines[-1][0] != self.pen or self.lines[-1][1][-1] != self.at:
                self.lines.append((self.pen, [self.at]))
            self.lines[-1][1].append(point)
        self.at = point

    def points(self, n):
        for x, y in zip(n[::2], n[1::2]):
            self.go((self.at if self.relative else 0) + complex(x, y))

    def IN(self, n):
        self.at, self.down, self.relative, self.pen = 0j, False, False, 0

    def SP(self, n):
        self.pen = int(n[0]) if n else 0

    def PA(self, n):
        self.relative = False
        self.points(n)

    def PR(self, n):
        self.relative = True
        self.points(n)

    def PU(self, n):
        self.down = False
        self.points(n)

    def PD(self, n):
        self.down = True
        self.points(n)

    def AA(self, n):
        centre, sweep, chord = complex(n[0], n[1]), n[2], n[3] if len(n) > 3 else 5
        parts = max(1, math.ceil(abs(sweep) / chord - 1e-9))
        arm = self.at - centre
        for i in range(1, parts + 1):
            angle = math.radians(sweep * i / parts)
            self.go(centre + arm * complex(math.cos(angle), math.sin(angle)))


def check_plotter():
    """What the manual says of the commands: a unit is 0.025 mm, 1016 to the inch; PR is relative;
    AA's sweep is positive counter-clockwise; chords of 5 degrees unless given."""
    square = Plotter("IN;SP1;PA1016,0;PD;PR1016,0,0,1016,-1016,0,0,-1016;PU;")
    check(len(square.lines) == 1 and square.lines[0][0] == 1, "plotter: one line with pen 1")
    check(abs(square.lines[0][1][2] * UNIT - (50.8 + 25.4j)) < 1e-9, "plotter: an inch is 1016")
    half = Plotter("IN;SP1;PU1000,0;PD;AA0,0,180;")
    points = numpy.array(half.lines[0][1])
    check(len(points) == 37 and abs(points[-1] + 1000) < 1e-6, "plotter: half a turn in chords of 5")
    check(points[18].imag > 999, "plotter: positive is counter-clockwise")


def check_hpgl(name, truth):
    path = "%s.plt" % name
    with open(path, encoding="ascii") as file:
        plotter = Plotter(file.read())
    check(len(plotter.lines) == len(truth), path + ": %d lines for %d" %
          (len(plotter.lines), len(truth)))
    slack = UNIT / math.sqrt(2) * 1.8 + 0.01 + 0.01
    for (pen, points), loop in zip(plotter.lines, truth):
        check(ORDER_OF_PENS[pen - 1] == loop.operation, path + ": wrong pen")
        drawn = numpy.array(points) * UNIT
        within(loop.farthest(drawn), slack, path + " strays")
        # and the other way: every point of the loop is near a chord
        chords = L.Loop([L.Arc(a, b) for a, b in zip(drawn, drawn[1:])], False, loop.operation)
        if chords.edges:
            within(chords.farthest(loop.points(9)), slack, path + " leaves out a part")
        if loop.closed:
            check(abs(drawn[0] - drawn[-1]) < 1e-9, path + ": not closed")


ORDER_OF_PENS = ["Cutting", "PartialCutting", "Creasing", "Perforating", "Drawing", "Gluing"]


# ---- PDF

def read_pdf(path):
    reader = pypdf.PdfReader(path, strict=True)
    page = reader.pages[0]
    names = page["/Resources"]["/Properties"]
    layer, found, edges, start, now = None, [], [], 0, 0
    mm = 25.4 / 72
    content = pypdf.generic.ContentStream(page.get_contents(), reader)
    for n, operator in content.operations:
        p = [complex(float(a), float(b)) * mm for a, b in zip(n[::2], n[1::2])] \
            if operator in (b"m", b"l", b"c") else []
        if operator == b"BDC":
            check(n[0] == "/OC", path + ": a part that is no layer")
            layer = names[n[1]]["/Name"]
        elif operator == b"m":
            edges, start, now = [], p[0], p[0]
        elif operator == b"l":
            edges.append(L.Cubic(now, now + (p[0] - now) / 3, now + (p[0] - now) * 2 / 3, p[0]))
            now = p[0]
        elif operator == b"c":
            edges.append(L.Cubic(now, *p))
            now = p[2]
        elif operator == b"h":
            if now != start:
                edges.append(L.Cubic(now, now + (start - now) / 3, now + (start - now) * 2 / 3, start))
            now = None
        elif operator == b"S":
            found.append(L.Loop(edges, now is None, layer))
    return reader, page, found


def check_pdf(name, sheet, truth):
    path = "%s.pdf" % name
    reader, page, found = read_pdf(path)
    check(len(found) == len(truth), path + ": %d lines for %d" % (len(found), len(truth)))
    for a, b in zip(truth, found):
        check(a.operation == b.operation and a.closed == b.closed, path + ": wrong layer or ends")
        within(a.farthest(b.points(9)), 0.01 + 1e-4, path + " strays")
    box = [float(v) * 25.4 / 72 for v in page.mediabox]
    check(abs(box[2] - sheet["width"]) < 1e-4 and abs(box[3] - sheet["height"]) < 1e-4,
          path + ": wrong size of the page")
    # the processing steps: ISO 19593-1 as formats of other programs carry it
    groups = reader.trailer["/Root"]["/OCProperties"]["/OCGs"]
    used = [o for o in ORDER if any(loop.operation == o for loop in truth)]
    check([g.get_object()["/Name"] for g in groups] == used, path + ": layers")
    for group in groups:
        group = group.get_object()
        if group["/Name"] == "Drawing":
            check("/GTS_Metadata" not in group, path + ": drawing is no step of the standard")
        else:
            data = group["/GTS_Metadata"]
            check(data["/GTS_ProcStepsGroup"] == "/Structural" and
                  data["/GTS_ProcStepsType"] == "/" + group["/Name"], path + ": processing step")
    info = subprocess.run(["pdfinfo", path], capture_output=True, text=True)
    check(info.returncode == 0 and info.stderr == "", path + ": poppler: " + info.stderr)


# ---- DXF of single entities

def check_single(name, truth, version):
    path = "%s.single.%s.dxf" % (name, version)
    document = ezdxf.readfile(path)
    check(not document.audit().errors, path + ": ezdxf's audit")
    lengths = {}
    ends = {}
    for e in document.modelspace():
        kind, layer = e.dxftype(), e.dxf.layer
        if kind == "LINE":
            a, b = complex(*e.dxf.start.vec2), complex(*e.dxf.end.vec2)
            size = abs(a - b)
        elif kind == "ARC":
            a, b = complex(*e.start_point.vec2), complex(*e.end_point.vec2)
            size = e.dxf.radius * math.radians((e.dxf.end_angle - e.dxf.start_angle) % 360)
        else:
            check(kind == "CIRCLE", path + ": " + kind)
            size = math.tau * e.dxf.radius
            a = b = None
        lengths[layer] = lengths.get(layer, 0) + size
        for p in (a, b):
            if p is not None:
                # six decimals are written: no end lies on the border between two cells
                key = (layer, round(p.real * 1e4 + 0.1234567), round(p.imag * 1e4 + 0.1234567))
                ends[key] = ends.get(key, 0) + 1
    for operation in ORDER:
        want = sum(loop.length() for loop in truth if loop.operation == operation)
        within(abs(lengths.get(operation.upper(), 0) - want), 1e-4 + 1e-6 * want,
               path + ": length of " + operation)
    # loops that are closed have no loose ends: all of them meet another
    loose = sum(1 for count in ends.values() if count % 2)
    check(loose <= 2 * sum(not loop.closed for loop in truth), path + ": %d loose ends" % loose)


def main():
    samples = os.path.abspath(sys.argv[1])
    check_plotter()
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([samples, folder], check=True, stdout=subprocess.DEVNULL)
        os.chdir(folder)
        for name in NAMES:
            sheet, truth = read_truth("%s.json" % name)
            check_hpgl(name, truth)
            check_pdf(name, sheet, truth)
            for version in ("r12", "r2000"):
                check_single(name, truth, version)
        os.chdir("/")
    print("\n".join(failures[:40]))
    sys.exit(1 if failures else 0)


main()
