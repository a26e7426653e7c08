#!/usr/bin/env python3
"""Cut files, list and pictures of a job agree: made.py RABBET FOLDER_OF_LOOPS WALK.xml EVERY.xml

Files are read by readers that share nothing with rabbet: the SVG by loops.py, the DXF by ezdxf, the
pictures by Pillow. Every piece of the list must lie on its sheet as it is said, in both formats, with
its area, and nothing else may; where the list says that a piece lies on top of a page, the picture
shows its paper's colour.
"""
import cmath
import json
import math
import os
import random
import shutil
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree as ET

import ezdxf
import numpy
from PIL import Image

PROGRAM, FOLDER, *JOBS = [os.path.abspath(word) for word in sys.argv[1:]]
sys.argv[1:] = []
sys.path.insert(0, FOLDER)
import loops  # noqa: E402

JOB = "{urn:rabbet:job:1}"
NEAR = 1e-3  # mm; files hold 1e-6
SHADOW = 5   # mm beside what lies higher: its shadow
SAMPLES = 3000


def corners(edge):
    """Ends, and where an arc's circle lies furthest to each side, if it comes there."""
    points = [edge.a, edge.b]
    if edge.turn != 0:
        centre = (edge.a + edge.b) / 2 + 0.5j * (edge.b - edge.a) / math.tan(edge.turn / 2)
        for way in (1, 1j, -1, -1j):
            turned = cmath.phase(way * edge.radius() / (edge.a - centre)) * (1 if edge.turn > 0 else -1)
            if turned % (2 * math.pi) < abs(edge.turn):
                points.append(centre + way * edge.radius())
    return points


def box_of(loop):
    """Kept with the loop."""
    if not hasattr(loop, "kept"):
        p = numpy.array([point for edge in loop.edges for point in corners(edge)])
        loop.kept = numpy.array([p.real.min(), p.imag.min(), p.real.max(), p.imag.max()])
    return loop.kept


def look(outlines, points):
    """Of each point: is it inside (even-odd, along a ray to the right), and how far is the nearest edge?"""
    inside, least = numpy.zeros(len(points), bool), numpy.full(len(points), numpy.inf)
    for p in outlines:
        p = p[abs(numpy.roll(p, -1) - p) > 1e-9]
        d = numpy.roll(p, -1) - p
        for a, ab in zip(p, d):
            rises = (a.imag > points.imag) != (a.imag + ab.imag > points.imag)
            if rises.any():
                x = a.real + (points.imag - a.imag) * ab.real / ab.imag
                inside ^= rises & (x > points.real)
            t = numpy.clip(((points - a) / ab).real, 0, 1)
            least = numpy.minimum(least, abs(a + t * ab - points))
    return inside, least


class Made(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = folder.name
        Image.new("RGB", (90, 60), (120, 80, 60)).save(os.path.join(self.folder, "boats.png"))
        Image.new("RGB", (60, 40), (60, 80, 120)).save(os.path.join(self.folder, "mole.jpg"))
        shutil.copy(os.path.join(os.path.dirname(JOBS[-1]), "quay.svg"), self.folder)

    def make(self, job, *options):
        shutil.copy(job, os.path.join(self.folder, "job.xml"))
        out = os.path.join(self.folder, "out")
        shutil.rmtree(out, ignore_errors=True)
        ran = subprocess.run([PROGRAM, "make", "job.xml", "-d", "out", *options], cwd=self.folder,
                             capture_output=True, text=True, check=False)
        self.assertEqual(ran.returncode, 0, ran.stderr)
        with open(os.path.join(out, "pieces.json"), encoding="utf-8") as file:
            report = json.load(file)
        root = ET.parse(job).getroot()
        papers = {p.get("name"): p for p in root.iter(JOB + "paper")}
        return out, report, papers, root

    @staticmethod
    def on_sheet(found, box):
        """The cuts within a box, the outer one first; each once."""
        inside = []
        for loop in found:
            b = box_of(loop)
            if (b[:2] > box[:2] - NEAR).all() and (b[2:] < box[2:] + NEAR).all():
                inside.append(loop)
        return sorted(inside, key=lambda loop: -abs(loop.area()))

    def check_sheet(self, cuts, places, copies, name):
        """places: (piece, its entry) of a sheet. Returns the outlines of each."""
        used, outlines = 0, []
        for piece, on in places:
            box = numpy.array(on["box_mm"])
            inside = self.on_sheet(cuts, box)
            self.assertGreater(len(inside), 0, (name, piece["what"]))
            self.assertLess(abs(box_of(inside[0]) - box).max(), NEAR, (name, piece["what"]))
            size = [piece["width_mm"], piece["height_mm"]]
            if on["turned"]:
                size.reverse()
            self.assertLess(abs(box[2:] - box[:2] - size).max(), NEAR, piece["what"])
            area = abs(inside[0].area()) - sum(abs(loop.area()) for loop in inside[1:])
            self.assertAlmostEqual(area, piece["area_mm2"], delta=0.01 + 2e-6 * sum(size))
            used += len(inside)
            outlines.append(inside)
        self.assertEqual(used, len(cuts), name + ": there are other cuts")
        return outlines

    def check_files(self, job, *options):
        out, report, papers, _ = self.make(job, *options)
        sheets, shapes = {}, {}
        for number, piece in enumerate(report["pieces"]):
            trimmed = piece["tool"] == "trimmer" or "paper" not in piece
            self.assertEqual(len(piece["on_sheets"]), 0 if trimmed else report["copies"])
            for on in piece["on_sheets"]:
                self.assertEqual(on["sheet"].split(".")[0], piece["paper"])
                sheets.setdefault(on["sheet"], []).append((number, piece, on))
        names = {n[:-4] for n in os.listdir(out) if n.endswith(".svg")}
        self.assertEqual(names, set(sheets))
        self.assertEqual(names, {n[:-4] for n in os.listdir(out) if n.endswith(".dxf")})
        for name, places in sheets.items():
            paper = papers[name.split(".")[0]]
            path = os.path.join(out, name)
            found, width, height, _ = loops.read_svg(path + ".svg", 1)
            cuts = [loop for loop in found if loop.closed and loop.operation == "Cutting"]
            wanted = [25.4 * float(sum(map(fraction, (paper.get(k) or "12").split())))
                      for k in ("width", "height")]
            self.assertAlmostEqual(width, wanted[0], delta=NEAR)
            self.assertAlmostEqual(height, wanted[1], delta=NEAR)
            pairs = [(piece, on) for _, piece, on in places]
            outlines = self.check_sheet(cuts, pairs, report["copies"], name + ".svg")
            document = ezdxf.readfile(path + ".dxf")
            self.check_sheet([loop for loop in loops.read_dxf(document)
                              if loop.closed and loop.operation.upper() == "CUTTING"], pairs,
                             report["copies"], name + ".dxf")
            for (number, piece, on), cut in zip(places, outlines):
                shapes.setdefault(number, (on, cut))
        return out, report, papers, shapes

    def polygons(self, piece, shape, face_down):
        """The outlines of a piece on its page, as points: of those that are cut by files as they are there."""
        x0, y0, x1, y1 = piece["box_mm"]
        if shape is None:
            return [numpy.array([complex(x0, y0), complex(x1, y0), complex(x1, y1), complex(x0, y1)])]
        on, cut = shape
        made = []
        for loop in cut:
            p = loop.points(9)
            p = p - complex((on["box_mm"][0] + on["box_mm"][2]) / 2,
                            (on["box_mm"][1] + on["box_mm"][3]) / 2)
            if face_down:
                p = -p.real + 1j * p.imag
            if on["turned"]:
                p = p / 1j
            made.append(p + complex((x0 + x1) / 2, (y0 + y1) / 2))
        return made

    def check_picture(self, side, out, report, papers, shapes, root, face_down):
        pieces = [(p, self.polygons(p, shapes.get(n), face_down))
                  for n, p in enumerate(report["pieces"]) if p["page"] == side]
        page = next(p for p in root.iter(JOB + "page") if p.get("side") == side)
        chance, seen, tried = random.Random(7), set(), 0
        image = Image.open(os.path.join(out, side + ".png")).convert("RGB")
        dots = numpy.asarray(image).astype(int)
        scale = image.width / (12 * 25.4)
        points = numpy.array([complex(chance.uniform(1, 303), chance.uniform(1, 303))
                              for _ in range(SAMPLES)])
        tops, edges = numpy.full(SAMPLES, -1), numpy.full(SAMPLES, 9.0)
        for index, (piece, outlines) in enumerate(pieces):
            x0, y0, x1, y1 = piece["box_mm"]
            near = ((x0 - SHADOW < points.real) & (points.real < x1 + SHADOW) &
                    (y0 - SHADOW < points.imag) & (points.imag < y1 + SHADOW))
            inside, distance = look(outlines, points[near])
            at = numpy.flatnonzero(near)
            edges[at] = numpy.where(inside, distance, numpy.where(distance < SHADOW, 0, edges[at]))
            tops[at] = numpy.where(inside, index, tops[at])
        for point, top, edge in zip(points, tops, edges):
            on_top = pieces[top][0] if top >= 0 else page
            if edge < 0.6 or on_top.get("kind") in ("photo", "text"):
                continue  # an edge, a shadow, a picture, words
            colour = papers[on_top.get("paper")].get("colour")
            x, y = int(point.real * scale), int(image.height - point.imag * scale)
            wanted = [int(colour[k:k + 2], 16) for k in (1, 3, 5)]
            tried += 1
            seen.add(int(top))
            self.assertLessEqual(abs(dots[y, x] - wanted).max(), 2, (side, point, on_top.get("what")))
        self.assertGreater(tried, SAMPLES / 20)
        return len(seen)

    def test_walk(self):
        out, report, papers, shapes = self.check_files(JOBS[0])
        root = ET.parse(JOBS[0]).getroot()
        self.assertGreater(self.check_picture("left", out, report, papers, shapes, root, False), 25)
        self.assertGreater(self.check_picture("right", out, report, papers, shapes, root, False), 4)

    def test_everything(self):
        out, report, papers, shapes = self.check_files(JOBS[1])
        root = ET.parse(JOBS[1]).getroot()
        self.assertTrue(any(on["turned"] for p in report["pieces"] for on in p["on_sheets"]))
        self.assertTrue(any(".hand" in on["sheet"] for p in report["pieces"] for on in p["on_sheets"]))
        self.assertEqual(report["copies"], 3)  # 2 kits and 10 percent
        for side in ("left", "right"):
            self.assertGreater(self.check_picture(side, out, report, papers, shapes, root, False), 6)

    def test_face_down(self):
        out, report, papers, shapes = self.check_files(JOBS[1], "--face", "down", "--gap", "7mm")
        root = ET.parse(JOBS[1]).getroot()
        self.check_picture("right", out, report, papers, shapes, root, True)


def fraction(word):
    top, _, bottom = word.partition("/")
    return float(top) / float(bottom or 1)


unittest.main()
