#!/usr/bin/python3
"""Write sample sheets and measure the files with other programs' readers: ezdxf, GDAL, librsvg.

usage: check_files.py SAMPLES   (the program built from samples.c)
"""
import collections
import json
import math
import os
import re
import subprocess
import sys
import tempfile

import ezdxf
import ezdxf.colors
import numpy
from osgeo import ogr, gdal
from PIL import Image

import loops as L

gdal.UseExceptions()
gdal.SetConfigOption("OGR_ARC_STEPSIZE", "1")  # degrees

NAMES = ["shapes", "random", "tangent", "apart", "frame", "empty"]
ORDER = ["Drawing", "Gluing", "Creasing", "PartialCutting", "Perforating", "Cutting"]
SECTIONS = ["HEADER", "CLASSES", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS"]
SEEN = 1e-6  # mm: what rounding to six decimals may move, with room for the arc between

failures = []


def check(true, words):
    if not true:
        failures.append(words)


def within(value, limit, words):
    check(value <= limit, "%s: %.3g, more than %.3g" % (words, value, limit))
    return value


def read_truth(path):
    with open(path, encoding="utf-8") as file:
        sheet = json.load(file)
    found = [L.bulged(p["vertices"], not p["open"], p["operation"]) for p in sheet["paths"]]
    found.sort(key=lambda loop: ORDER.index(loop.operation))  # stable: the order of the sheet
    return sheet, found


def farthest_pair(a, b, words):
    check(len(a) == len(b), "%s: %d and %d loops" % (words, len(a), len(b)))
    for p, q in zip(a, b):
        check(p.operation.upper() == q.operation.upper(), words + ": operations differ")
        check(p.closed == q.closed, words + ": one is open, the other closed")
    return max([L.deviation(p, q) for p, q in zip(a, b)], default=0)


# ---- SVG

def check_svg(name, sheet, truth):
    path = "%s.svg" % name
    found, width, height, root = L.read_svg(path, 1)
    within(farthest_pair(truth, found, path), SEEN, path + " differs from its sheet")
    view = root.get("viewBox").split()
    check([root.get("width"), root.get("height")] == [view[2] + "mm", view[3] + "mm"] and
          view[:2] == ["0", "0"], path + ": page and viewBox are not of one shape")
    check(abs(width - sheet["width"]) < SEEN and abs(height - sheet["height"]) < SEEN,
          path + ": wrong size of the page")
    for unit in (96, 90, 72):
        scaled = "%s.%d.svg" % (name, unit)
        others, w, h, root = L.read_svg(scaled, 25.4 / unit)
        within(farthest_pair(found, others, scaled), SEEN, scaled + " differs from " + path)
        view = root.get("viewBox").split()
        check([root.get("width"), root.get("height")] == view[2:], scaled + ": page and viewBox")
        check(abs(w - sheet["width"]) < SEEN and abs(h - sheet["height"]) < SEEN,
              scaled + ": wrong size of the page")

    with open(path, encoding="utf-8") as file:
        text = file.read()
    check("<text" not in text, path + ": holds text")
    check(text.count("<g ") == text.count('fill="none"') == text.count("fill"), path + ": fills")
    for data in re.findall(r' (?:d|r|cx|cy)="([^"]*)"', text):
        check(re.fullmatch(r"[MLAZ0-9. \n-]*", data), path + ": odd path data " + data[:60])
    groups = [g.get("id") for g in root.findall(L.SVG + "g")]
    check(groups == [o for o in ORDER if o in {t.operation for t in truth}],
          path + ": groups are " + " ".join(groups))
    for group in root.findall(L.SVG + "g"):
        check(group.find(L.SVG + "title") is not None, path + ": a group without a title")
    return found


def check_title():
    """What a title may hold: U+FFFD stands for what is no character of XML."""
    root = L.ET.parse("random.svg").getroot()
    want = "Random & <hostile> \"title\" ]]> --\ufffd\ufffd \u00e9\n</title><script/>"
    check(root.find(L.SVG + "title").text == want, "random.svg: the title changed")
    check({child.tag for child in root} == {L.SVG + "title", L.SVG + "g"},
          "random.svg: the title brought elements with it")


def smallest_count(radius, tolerance, error):
    """The fewest equal parts of a circle whose error is within the tolerance."""
    parts = 4
    while error(radius, 2 * math.pi / parts) > tolerance:
        parts += 1
    return parts


def bezier_error(radius, turn):
    """Measured on the curve: the usual handle length is r 4/3 tan(turn/4)."""
    k = radius * 4 / 3 * math.tan(turn / 4)
    end = radius * complex(math.cos(turn), math.sin(turn))
    curve = L.Cubic(radius, radius + 1j * k, end - 1j * end / radius * k, end)
    return float(abs(abs(curve.at(numpy.linspace(0, 1, 2001))) - radius).max())


def chord_error(radius, turn):
    return radius * (1 - math.cos(turn / 2))


def check_curves(name, truth):
    """Bezier curves and lines stay within the tolerance, in no more parts than it takes."""
    worst = {}
    for ending, tolerance in (("beziers", 0.01), ("fine-beziers", 1e-4), ("lines", 0.01),
                              ("fine-lines", 5e-4)):
        path = "%s.%s.svg" % (name, ending)
        found = L.read_svg(path, 1)[0]
        check(len(found) == len(truth), path + ": another number of loops")
        far, limit = 0, tolerance + SEEN
        for want, loop in zip(truth, found):
            if ending.endswith("beziers"):
                far = max(far, want.farthest(loop.points()))
                check(all(isinstance(e, L.Cubic) or e.turn == 0 for e in loop.edges),
                      path + ": holds arcs")
            else:
                ends = numpy.array([e.a for e in loop.edges] + [loop.edges[-1].b])
                within(want.farthest(ends), SEEN, path + ": ends of lines are off the arcs by")
                check(all(e.turn == 0 for e in loop.edges), path + ": holds arcs")
                far = max(far, loop.farthest(want.points()))
        worst[ending] = within(far, limit, path + " is off by")
        if name == "shapes":
            circle = next(f for f, t in zip(found, truth)
                          if t.operation == "Cutting" and abs(t.edges[0].radius() - 15) < 1e-9)
            error = bezier_error if ending.endswith("beziers") else chord_error
            least = smallest_count(15, tolerance, error)
            if ending == "beziers" or ending == "fine-beziers":
                least += least % 2  # two half circles, each in equal parts
            check(len(circle.edges) == least,
                  "%s: a circle in %d parts, %d would do" % (path, len(circle.edges), least))
            if ending == "lines":  # closed form: 2 pi / (2 acos(1 - 0.01/15)) = 86.03
                check(len(circle.edges) == 87, path + ": 30 mm circle not in 87 chords")
    return worst


def check_raster():
    """Areas of fills as librsvg paints them, 20 pixels to the mm."""
    sheet, truth = read_truth("apart.json")
    with open("apart.svg", encoding="utf-8") as file:
        text = file.read()
    text, count = re.subn(r'fill="none" stroke="#000000" stroke-width="0.1"', 'fill="#000000"', text)
    check(count == 1, "apart.svg: its one group looks different")
    with open("filled.svg", "w", encoding="utf-8") as file:
        file.write(text)
    scale = 20
    subprocess.run(["rsvg-convert", "--width", str(100 * scale), "-o", "filled.png", "filled.svg"],
                   check=True)
    ink = numpy.asarray(Image.open("filled.png").convert("RGBA"))[:, :, 3].astype(float) / 255
    check(ink.shape[1] == 100 * scale and abs(ink.shape[0] - 80 * scale) <= 1,
          "apart.svg: librsvg sees another page")
    area = sum(loop.area() for loop in truth)
    edge = sum(loop.length() for loop in truth)
    # A hundredth of the pixels along the edges: anti-aliasing in 255 steps.
    within(abs(ink.sum() / scale ** 2 - area), edge / scale * 0.01, "area painted by librsvg off")
    plain = subprocess.run(["rsvg-convert", "apart.svg"], check=True, stdout=subprocess.PIPE).stdout
    size = [int.from_bytes(plain[16:20], "big"), int.from_bytes(plain[20:24], "big")]
    check(all(abs(s - mm / 25.4 * 96) <= 1 for s, mm in zip(size, (100, 80))),
          "apart.svg: librsvg gives it %s px at 96 to the inch" % size)
    return abs(ink.sum() / scale ** 2 - area) / area


def check_tangents():
    """Neighbouring arcs of the smooth sample: the greatest corner between them, in radians."""
    worst = 0
    for found in (L.read_svg("tangent.svg", 1)[0],
                  L.read_dxf(ezdxf.readfile("tangent.r2000.dxf"))):
        for loop in found:
            for p, q in zip(loop.edges, loop.edges[1:]):
                turn = q.tangents()[0] / p.tangents()[1]
                worst = max(worst, abs(math.atan2(turn.imag, turn.real)))
    return within(worst, 3e-4, "tangent arcs: corners of")


# ---- DXF

def raw_groups(path):
    with open(path, "rb") as file:
        data = file.read()
    check(data.count(b"\n") == data.count(b"\r\n") and data.endswith(b"\r\n"),
          path + ": lines do not all end in CR LF")
    lines = data.decode("ascii").split("\r\n")[:-1]
    check(len(lines) % 2 == 0, path + ": an odd number of lines")
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2])]


def split_records(groups):
    """[(section, [(code, value), ...]), ...]: what each group 0 begins."""
    records, section = [], None
    for code, value in groups:
        if code == 0:
            records.append((section, [(code, value)]))
        else:
            records[-1][1].append((code, value))
            if code == 2 and records[-1][1][0][1] == "SECTION" and len(records[-1][1]) == 2:
                section = value
                records[-1] = (section, records[-1][1])
        if code == 0 and value == "ENDSEC":
            section = None
    return records


def first(record, code):
    return next((v for c, v in record if c == code), None)


def check_structure(path, r2000, truth):
    """What strict readers ask for. DXF reference; ezdxf's documentation, DXF Internals."""
    groups = raw_groups(path)
    records = split_records(groups)
    sections = [first(r, 2) for _, r in records if r[0][1] == "SECTION"]
    entities = [r for s, r in records if s == "ENTITIES" and r[0][1] not in ("SECTION", "ENDSEC")]
    check(groups[-1] == (0, "EOF"), path + ": no EOF")
    for code, value in groups:
        if 10 <= code <= 59 or 140 <= code <= 149:
            check(re.fullmatch(r"-?\d+\.\d+", value), "%s: number %s" % (path, value))
    layers = [first(r, 2) for s, r in records if s == "TABLES" and r[0][1] == "LAYER"]
    check(sorted(layers) == sorted({"0"} | {t.operation.upper() for t in truth}),
          path + ": layers " + " ".join(layers))
    for r in entities:
        check(first(r, 8) in layers, path + ": an entity on a layer that is not defined")
        check(all(abs(float(v)) <= 1 for c, v in r if c == 42), path + ": a bulge beyond 1")
    if not r2000:
        check(sections == ["HEADER", "TABLES", "BLOCKS", "ENTITIES"], path + ": sections")
        check(not {c for c, _ in groups} & {100, 330, 370, 390, 420}, path + ": newer groups")
        check({r[0][1] for r in entities} <= {"POLYLINE", "VERTEX", "SEQEND", "CIRCLE"},
              path + ": newer entities")
        return
    check(sections == SECTIONS, path + ": sections are " + " ".join(sections))
    handles, owners = [], []
    for section, r in records:
        if section in (None, "HEADER", "CLASSES") or r[0][1] in ("SECTION", "ENDSEC", "ENDTAB"):
            continue
        code = 105 if r[0][1] == "DIMSTYLE" and first(r, 105) else 5
        handle = first(r, code)
        check(handle is not None, "%s: %s without a handle" % (path, r[0][1]))
        handles.append(int(handle, 16))
        check(first(r, 330) is not None, "%s: %s without an owner" % (path, r[0][1]))
        owners += [v for c, v in r if c in (330, 340, 350, 390) and v != "0"]
    check(len(set(handles)) == len(handles) and 0 not in handles, path + ": handles twice or 0")
    check({int(o, 16) for o in owners} <= set(handles), path + ": owners that do not exist")
    seed = next(groups[i + 1][1] for i, g in enumerate(groups) if g == (9, "$HANDSEED"))
    check(int(seed, 16) > max(handles), path + ": $HANDSEED too low")
    model = next(first(r, 5) for s, r in records
                 if r[0][1] == "BLOCK_RECORD" and first(r, 2) == "*Model_Space")
    for r in entities:
        check(first(r, 330) == model, path + ": an entity outside the model space")
        marks = [v for c, v in r if c == 100]
        check(marks[0] == "AcDbEntity" and len(marks) == 2, path + ": subclass markers")
        if r[0][1] == "LWPOLYLINE":
            check(r[r.index((100, "AcDbPolyline")) + 1] ==
                  (90, str(sum(c == 10 for c, _ in r))), path + ": 90 wrong or not first")


def check_extents(document, found, path):
    if not found:
        return
    boxes = numpy.array([loop.box() for loop in found])
    low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
    want = [*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)]
    off = max(abs(a - b) for a, b in zip(want, [low[0], low[1], high[0], high[1]]))
    # sampled boxes are smaller than the true ones by r (1 - cos) of half a step at most
    within(off, 1e-3, path + ": extents are off by")


def check_gdal(path, found):
    """Arcs come in chords of a degree: they lie 3.8e-5 r within, and are 1.3e-5 too short."""
    source = ogr.Open(path)  # kept: a layer dies with it
    layer = source.GetLayer(0)
    shapes = [feature.GetGeometryRef().Clone() for feature in layer]
    check(len(shapes) == len(found), "%s: GDAL finds %d outlines" % (path, len(shapes)))
    for shape, loop in zip(shapes, found):
        while shape.GetPointCount() == 0 and shape.GetGeometryCount() > 0:
            shape = shape.GetGeometryRef(0)
        within(abs(shape.Length() - loop.length()) / loop.length(), 2e-4,
               path + ": lengths in GDAL differ")
        if not loop.closed:
            continue
        room = sum(e.length() * e.radius() * 4e-5 for e in loop.edges if e.turn != 0)
        points = numpy.array([complex(*p[:2]) for p in shape.GetPoints()])
        ends = numpy.roll(points, -1)
        area = ((points.conjugate() * ends).imag / 2).sum()
        within(abs(abs(area) - abs(loop.area())), room + 1e-6, path + ": areas in GDAL differ")


def same_numbers(a, b):
    return [(e.a, e.b, e.turn) for loop in a for e in loop.edges] == \
        [(e.a, e.b, e.turn) for loop in b for e in loop.edges]


def check_dxf(name, truth, svg):
    newest = None
    for ending, r2000 in (("r2000", True), ("r12", False)):
        path = "%s.%s.dxf" % (name, ending)
        document = ezdxf.readfile(path)  # the strict reader
        check(document.dxfversion == ("AC1015" if r2000 else "AC1009"), path + ": version")
        auditor = document.audit()
        check(not auditor.errors and not auditor.fixes, "%s: ezdxf's audit: %s" % (
            path, [e.message for e in auditor.errors + auditor.fixes][:5]))
        check(document.header["$INSUNITS" if r2000 else "$ACADVER"] == (4 if r2000 else "AC1009"),
              path + ": $INSUNITS is not 4 (mm)")
        check_structure(path, r2000, truth)
        found = L.read_dxf(document)
        if r2000:
            within(farthest_pair(truth, found, path), SEEN, path + " differs from its sheet")
            apart = within(farthest_pair(svg, found, path), 2 * SEEN,
                           path + " differs from the SVG")
            newest = found
        else:
            check(same_numbers(newest, found), path + " differs from R2000")
        check_extents(document, found, path)
        if found:
            check_gdal(path, found)
        lines = "%s.lines.%s.dxf" % (name, ending)
        document = ezdxf.readfile(lines)
        auditor = document.audit()
        check(not auditor.errors and not auditor.fixes, lines + ": ezdxf's audit")
        check_structure(lines, r2000, truth)
        for want, loop in zip(truth, L.read_dxf(document)):
            check(all(e.turn == 0 for e in loop.edges), lines + ": holds arcs")
            if r2000:
                within(loop.farthest(want.points()), 0.01 + SEEN, lines + " is off by")
    return apart


def lab(colour):
    """CIE 1976 L*a*b* of an sRGB colour (IEC 61966-2-1, white D65)."""
    def linear(v):
        v /= 255
        return v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4
    r, g, b = (linear(colour >> s & 255) for s in (16, 8, 0))
    xyz = ((0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.95047,
           0.2126 * r + 0.7152 * g + 0.0722 * b,
           (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.08883)
    x, y, z = (t ** (1 / 3) if t > 0.008856 else 7.787 * t + 16 / 116 for t in xyz)
    return numpy.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def check_colours():
    """Layers: black as 7, others as the index whose colour (ezdxf's table) is nearest."""
    layers = ezdxf.readfile("shapes.r2000.dxf").layers
    groups = L.ET.parse("shapes.svg").getroot().findall(L.SVG + "g")
    looks = collections.Counter()
    for group in groups:
        colour = int(group.get("stroke")[1:], 16)
        layer = layers.get(group.get("id").upper())
        near = min(range(1, 256), key=lambda i: numpy.linalg.norm(
            lab(ezdxf.colors.DXF_DEFAULT_COLORS[i]) - lab(colour)))
        want = 7 if colour == 0 else near
        check(layer.dxf.color == want, "%s: colour index %d, nearest is %d" % (
            layer.dxf.name, layer.dxf.color, want))
        looks[group.get("stroke")] += 1
    check(max(looks.values()) == 1, "two operations have one colour")


def check_order():
    """The frame: its island, the opening around it, the other opening, the outer edge."""
    found = [abs(loop.area()) for loop in L.read_svg("frame.svg", 1)[0]]
    want = [100 - (4 - math.pi) * 4, math.pi * 225, 20 * 40 - (4 - math.pi) * 100, 4800]
    check(all(abs(a - b) < 1e-4 for a, b in zip(found, want)), "frame.svg: order or areas: %s" % found)


def main():
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([os.path.abspath(sys.argv[1]), folder], check=True, stdout=subprocess.DEVNULL)
        os.chdir(folder)
        for name in NAMES:
            sheet, truth = read_truth(name + ".json")
            svg = check_svg(name, sheet, truth)
            apart = check_dxf(name, truth, svg)
            off = check_curves(name, truth)
            print("%-8s %3d loops; SVG and DXF apart: %.2g mm; %s" % (
                name, len(truth), apart, ", ".join("%s off %.2g" % pair for pair in off.items())))
        check_title()
        check_order()
        check_colours()
        print("librsvg: area differs by %.2g of it" % check_raster())
        print("tangent arcs: greatest corner %.2g rad" % check_tangents())
        os.chdir("/")
    for words in failures[:30]:
        print("FAILED", words)
    if failures:
        print("%d failures" % len(failures))
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
