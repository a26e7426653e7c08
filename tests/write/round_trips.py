#!/usr/bin/python3
"""Drawings through rabbet and back: SVG to DXF to SVG in every way that is offered, the outlines of
each file compared by readers that are not rabbet's: round_trips.py RABBET FOLDER DRAWING

loops.py reads the SVG, ezdxf the DXF. Arcs may move by what six decimals round off, twice; lines and
Bezier curves stay within the tolerance. ezdxf's audit, GDAL, librsvg and poppler look at the
same files.
"""
import math
import os
import subprocess
import sys
import tempfile

import ezdxf
import numpy
from PIL import Image

import loops as L
from check_files import check, check_gdal, failures, within

PROGRAM = os.path.abspath(sys.argv[1])
SEEN = 3e-6  # six decimals written twice, the page's height added and taken away
TOLERANCE = 0.01
# of these an outline stays open, which is refused
REFUSED = {"outlines.svg"}


def convert(name, *words):
    ran = subprocess.run([PROGRAM, "convert", name, *words], capture_output=True, text=True)
    check(ran.returncode == 0, "%s %s: %s" % (name, " ".join(words), ran.stderr.strip()))
    return ran.returncode == 0


# ---- single entities as loops

def edge_of(entity):
    if entity.dxftype() == "LINE":
        return L.Arc(complex(*entity.dxf.start.vec2), complex(*entity.dxf.end.vec2))
    turn = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360)
    return L.Arc(complex(*entity.start_point.vec2), complex(*entity.end_point.vec2), turn)


def reversed_edge(edge):
    return L.Arc(edge.b, edge.a, -edge.turn)


def chain(edges, layer):
    """Loops of lines and arcs that meet by their ends, in whatever order and direction."""
    found, left = [], list(edges)
    while left:
        loop = [left.pop(0)]
        while abs(loop[-1].b - loop[0].a) > 2e-6:
            near = min(range(len(left)), key=lambda i: min(abs(left[i].a - loop[-1].b),
                                                           abs(left[i].b - loop[-1].b)), default=None)
            if near is None:
                break
            edge = left[near]
            if abs(edge.b - loop[-1].b) < abs(edge.a - loop[-1].b):
                edge = reversed_edge(edge)
            if abs(edge.a - loop[-1].b) > 2e-6:
                break
            del left[near]
            loop.append(edge)
        found.append(L.Loop(loop, abs(loop[-1].b - loop[0].a) <= 2e-6, layer))
    return found


def read_single(document):
    loops = [L.circle(complex(*e.dxf.center.vec2), e.dxf.radius, e.dxf.layer)
             for e in document.modelspace() if e.dxftype() == "CIRCLE"]
    for layer in sorted({e.dxf.layer for e in document.modelspace()}):
        loops += chain([edge_of(e) for e in document.modelspace()
                        if e.dxf.layer == layer and e.dxftype() in ("LINE", "ARC")], layer)
    return loops


def read_clean(path):
    document = ezdxf.readfile(path)
    auditor = document.audit()
    check(not auditor.errors and not auditor.fixes, path + ": ezdxf's audit")
    return document


# ---- the same loops?

def key(loop):
    points = loop.points(9)
    return complex(points.real.min() + points.real.max(), points.imag.min() + points.imag.max()) / 2


def same_loops(want, found, limit, words, curves=False):
    """Each loop has one counterpart, within the limit from both sides. Cubic curves are looked at from
    one side, by their points."""
    check(len(want) == len(found), "%s: %d loops, not %d" % (words, len(found), len(want)))
    left = list(found)
    for a in want:
        if not left:
            return
        b = min(left, key=lambda other: abs(key(other) - key(a)) +
                abs(abs(other.length() if not curves else 0) - (a.length() if not curves else 0)))
        left.remove(b)
        check(a.closed == b.closed, words + ": one is open, the other closed")
        check(a.operation.upper() == b.operation.upper(), words + ": another operation")
        apart = a.farthest(b.points())
        if not curves:
            apart = max(apart, b.farthest(a.points()))
        within(apart, limit, words + " is off by")


# ---- pixels

def ink(path):
    image = numpy.asarray(Image.open(path).convert("RGBA")).astype(float) / 255
    return 1 - (image[:, :, :3].mean(axis=2) * image[:, :, 3] + 1 - image[:, :, 3])


def check_pictures(svg, pdf, words):
    """librsvg draws the SVG, poppler the PDF, 4 pixels to the mm: the same lines in the same places."""
    width = round(float(L.ET.parse(svg).getroot().get("width")[:-2]) * 4)
    subprocess.run(["rsvg-convert", "-b", "white", "-w", str(width), "-o", "svg.png", svg], check=True)
    subprocess.run(["pdftocairo", "-png", "-singlefile", "-r", str(4 * 25.4), pdf, "pdf"], check=True)
    a, b = ink("svg.png"), ink("pdf.png")
    check(max(abs(p - q) for p, q in zip(a.shape, b.shape)) <= 1, words + ": other sizes in pixels")
    h, w = min(a.shape[0], b.shape[0]), min(a.shape[1], b.shape[1])
    dark_a, dark_b = a[:h, :w] > 0.15, b[:h, :w] > 0.15

    def grown(dark):  # by two pixels
        more = numpy.zeros_like(dark)
        for dy in range(-2, 3):
            for dx in range(-2, 3):
                more |= numpy.roll(numpy.roll(dark, dy, 0), dx, 1)
        return more
    check(dark_a.any() and not (dark_a & ~grown(dark_b)).any() and not (dark_b & ~grown(dark_a)).any(),
          words + ": the SVG and the PDF look different")


# ---- one drawing

def check_drawing(path):
    name = os.path.basename(path)[:-4]
    first = name + ".svg"
    if not convert(path, "-o", first, "-o", name + ".pdf"):
        return 0
    want = L.read_svg(first, 1)[0]
    check_pictures(first, name + ".pdf", name)
    for version in ("r12", "r2000"):
        joined, single, lines = (name + kind + version + ".dxf" for kind in (".", ".single.", ".lines."))
        convert(path, "-o", joined, "--dxf", version)
        convert(path, "-o", single, "--dxf", version, "--entities", "single")
        convert(path, "-o", lines, "--dxf", version, "--curves", "lines")
        found = L.read_dxf(read_clean(joined))
        same_loops(want, found, SEEN, joined)
        check_gdal(joined, found)
        same_loops(want, read_single(read_clean(single)), SEEN, single)
        same_loops(want, L.read_dxf(read_clean(lines)), TOLERANCE + SEEN, lines)
        for source, limit in ((joined, SEEN), (single, SEEN), (lines, 2 * TOLERANCE + SEEN)):
            unit = ["--drawn-in", "mm"] if version == "r12" else []
            back = source[:-4] + ".back.svg"
            if convert(source, "-o", back, *unit):
                loops, width, height, _ = L.read_svg(back, 1)
                same_loops(want, loops, limit, back)
                page = L.read_svg(first, 1)
                check(abs(width - page[1]) < SEEN and abs(height - page[2]) < SEEN,
                      back + ": another page")
    for curves in ("beziers", "lines"):
        other, back = "%s.%s.svg" % (name, curves), "%s.%s.back.svg" % (name, curves)
        convert(path, "-o", other, "--curves", curves)
        same_loops(want, L.read_svg(other, 1)[0], TOLERANCE + SEEN, other, curves == "beziers")
        if convert(other, "-o", back):
            same_loops(want, L.read_svg(back, 1)[0], 2 * TOLERANCE + SEEN, back)
    return len(want)


def main():
    folder, drawing = map(os.path.abspath, sys.argv[2:4])
    drawings = [drawing] + sorted(os.path.join(folder, name) for name in os.listdir(folder)
                                  if name.endswith(".svg"))
    loops = 0
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        for path in drawings:
            if os.path.basename(path) not in REFUSED:
                loops += check_drawing(path)
        os.chdir("/")
    print("%d drawings, %d outlines" % (len(drawings), loops))
    check(loops > 100, "too few outlines to show anything")
    print("\n".join(failures[:30]))
    return 1 if failures else 0


sys.exit(main())
