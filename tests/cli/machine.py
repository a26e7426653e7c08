#!/usr/bin/env python3
"""rabbet's files for machines, planned: machine.py RABBET

Sizes and lengths are worked out by hand from the options; what each option means is common practice,
no source, but for the kerf: a laser service's help page.
"""
import json
import math
import os
import re
import subprocess
import sys
import tempfile
import unittest
from xml.etree import ElementTree

from PIL import Image

PROGRAM = os.path.abspath(sys.argv.pop())
SQUARE = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
<path fill-rule="evenodd" d="M10 10h40v40h-40z M20 20h20v20h-20z"/></svg>"""


class Machine(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)
        self.put("square.svg", SQUARE)

    def put(self, name, text):
        with open(os.path.join(self.folder.name, name), "w", encoding="utf-8") as file:
            file.write(text)

    def get(self, name):
        with open(os.path.join(self.folder.name, name), encoding="utf-8") as file:
            return file.read()

    def run_it(self, *words):
        return subprocess.run([PROGRAM, *words], cwd=self.folder.name, capture_output=True, text=True)

    def report(self, *words):
        ran = self.run_it(*words, "--report", "-")
        self.assertEqual(ran.returncode, 0, ran.stderr)
        return json.loads(ran.stdout)

    def wrong(self, status, words, *line):
        ran = self.run_it(*line)
        self.assertEqual(ran.returncode, status, ran.stderr)
        self.assertRegex(ran.stderr, words)
        self.assertEqual(ran.stderr.count("\n"), 1, ran.stderr)

    def test_kerf(self):
        """Outer square 40 + kerf with round corners, opening 20 - kerf."""
        report = self.report("convert", "square.svg", "-o", "a.svg", "--kerf", "0.2mm")
        want = 160 + math.tau * 0.1 + 4 * (20 - 0.2)
        self.assertAlmostEqual(report["tool_paths"][0]["length_mm"], want, delta=1e-3)
        # what is reported of the paper itself does not change
        self.assertAlmostEqual(report["area_mm2"], 1600 - 400, delta=1e-3)

    def test_order_and_facts(self):
        report = self.report("convert", "square.svg", "-o", "a.svg", "-o", "a.dxf")
        path = report["tool_paths"][0]
        self.assertEqual(path["paths"], 2)
        self.assertAlmostEqual(path["length_mm"], 240, delta=1e-6)
        self.assertGreaterEqual(path["idle_mm"], path["idle_bound_mm"] - 1e-6)
        self.assertEqual([f["file"] for f in report["files"]], ["a.svg", "a.dxf"])
        for f in report["files"]:
            self.assertEqual((f["size_mm"], f["entities"], f["vertices"], f["layers"]),
                             ([100, 60], 2, 8, 1))

    def test_tabs_and_overcut(self):
        report = self.report("convert", "square.svg", "-o", "a.svg", "--tabs", "4", "--tab-width",
                             "1mm", "--overcut", "0.5mm")
        path = report["tool_paths"][0]
        self.assertEqual(path["tabs"], 4)
        self.assertAlmostEqual(path["length_mm"], 160 - 4 + 80 + 0.5, delta=1e-6)
        self.assertEqual(self.get("a.svg").count(" Z"), 0)

    def test_perforation(self):
        report = self.report("shape", "card", "-o", "a.svg")
        self.assertEqual(report["tool_paths"][0]["tabs"], 0)
        ran = self.run_it("edge", "tear-off", "--length", "100mm", "--width", "30mm", "-o", "b.svg",
                          "--perforation", "3x1mm")
        self.assertEqual(ran.returncode, 0, ran.stderr)
        group = re.search(r'id="Perforating".*?</g>', self.get("b.svg"), re.S).group(0)
        self.assertGreater(group.count("<path"), 10)

    def test_crease_dashes(self):
        """100 mm: 17 dashes of 4 mm and 16 gaps of 2 mm; the square's two outlines stay."""
        self.put("card.svg", SQUARE.replace("</svg>", """<g id="Creasing"><path fill="none"
            d="M0 55h100"/></g></svg>"""))
        report = self.report("convert", "card.svg", "-o", "a.svg", "--crease-dashes", "4x2mm")
        self.assertEqual(report["tool_paths"][0]["paths"], 17 + 2)
        group = re.search(r'id="Creasing".*?</g>', self.get("a.svg"), re.S).group(0)
        self.assertEqual(group.count("<path"), 17)
        self.wrong(2, "gaps", "convert", "card.svg", "-o", "a.svg", "--crease-dashes", "0.05x0.05mm")

    def test_cool(self):
        """Six squares of 10 mm in a row, each 30 mm from the next; the order worked by hand: always
        the nearest corner that is 50 mm or more from the square before."""
        self.put("row.svg", SQUARE.replace("M10 10h40v40h-40z M20 20h20v20h-20z", "".join(
            f"M{30 * i} 10h10v10h-10z" for i in range(6))).replace("100", "160"))
        short = self.report("convert", "row.svg", "-o", "a.svg")["tool_paths"][0]
        cool = self.report("convert", "row.svg", "-o", "a.svg", "--cool", "50mm")["tool_paths"][0]
        self.assertEqual(cool["length_mm"], short["length_mm"])
        self.assertGreater(cool["idle_mm"], short["idle_mm"])
        places = [float(x) // 30 for x in re.findall(r'd="M ([\d.]+)', self.get("a.svg"))]
        self.assertEqual(places, [0, 2, 4, 1, 3, 5])
        self.wrong(2, "--cool", "convert", "row.svg", "-o", "a.svg", "--cool", "-3mm")

    def test_formats(self):
        ran = self.run_it("convert", "square.svg", "-o", "a.pdf", "-o", "a.plt", "-o", "a.dxf",
                          "--entities", "single", "--blade-offset", "0.5mm")
        self.assertEqual(ran.returncode, 0, ran.stderr)
        self.assertTrue(self.get("a.pdf").startswith("%PDF-1.7"))
        self.assertIn("/GTS_ProcStepsType /Cutting", self.get("a.pdf"))
        self.assertTrue(self.get("a.plt").startswith("IN;"))
        self.assertIn("AA", self.get("a.plt"))  # the swing at a corner
        self.assertEqual(len(re.findall(r"AcDbLine\s", self.get("a.dxf"))), 8)

    def test_scale_check(self):
        ran = self.run_it("convert", "square.svg", "-o", "a.svg", "--scale-check")
        self.assertEqual(ran.returncode, 0, ran.stderr)
        drawing = re.search(r'id="Drawing".*?</g>', self.get("a.svg"), re.S).group(0)
        self.assertIn("M 5 55 L 30 55 L 30 30 L 5 30", drawing)

    def box_of(self, name, group="Cutting"):
        """Of the points of the lines in an SVG file, y down; and its page."""
        root = ElementTree.fromstring(self.get(name))
        svg = "{http://www.w3.org/2000/svg}"
        numbers = []
        for path in root.find(f"{svg}g[@id='{group}']").iter(f"{svg}path"):
            for part in re.findall(r"[MLA][-\d. ]+", path.get("d").replace("\n", " ")):
                numbers += [float(v) for v in part.split()[-2:]]
        page = [float(v) for v in root.get("viewBox").split()[2:]]
        return [min(numbers[::2]), min(numbers[1::2]), max(numbers[::2]), max(numbers[1::2])], page

    def test_bed(self):
        """A sheet of 100 x 60 mm in the corners of a bed of 200 x 150: moved by the differences."""
        for corner, x, y in (("lower-left", 0, 90), ("lower-right", 100, 90), ("upper-left", 0, 0),
                             ("upper-right", 100, 0)):
            ran = self.run_it("convert", "square.svg", "-o", "a.svg", "-o", "a.plt", "--bed", "200x150mm",
                              "--bed-corner", corner)
            self.assertEqual(ran.returncode, 0, ran.stderr)
            box, page = self.box_of("a.svg")
            self.assertEqual(page, [200, 150])
            for have, want in zip(box, (x + 10, y + 10, x + 50, y + 50)):
                self.assertAlmostEqual(have, want, delta=1e-5)
            # HP-GL counts 0.025 mm from the bed's lower left corner
            drawn = [int(n) for at in re.findall(r"PA(\d+),(\d+)", self.get("a.plt")) for n in at]
            self.assertEqual(min(drawn[::2]), (x + 10) * 40)
            self.assertEqual(min(drawn[1::2]), (150 - y - 50) * 40)

    def test_out_of_reach(self):
        words = ("convert", "square.svg", "-o", "a.svg")
        self.wrong(1, r"go 1 mm .* beyond the machine's reach at the right", *words, "--bed", "55x60mm",
                   "--bed-margins", "0mm,6mm,0mm,0mm")
        self.wrong(1, r"go 1 mm .* at the left", *words, "--bed-margins", "11mm")
        self.wrong(1, r"go 2 mm .* at the top", *words, "--bed", "100x50mm", "--bed-margins", "0mm,0mm,0mm,2mm")
        # in the upper corner it is the foot that lies beyond the bed
        self.wrong(1, r"go 2.5 mm .* at the bottom", *words, "--bed", "100x47.5mm", "--bed-corner",
                   "upper-left")
        self.wrong(2, "give four lengths", *words, "--bed-margins", "1mm,2mm")
        self.wrong(2, "leave nothing", *words, "--bed", "20x20mm", "--bed-margins", "10mm")
        self.wrong(2, "lower-left", *words, "--bed-corner", "middle")
        self.assertEqual(os.listdir(self.folder.name), ["square.svg"])
        for bed in ("50x50mm", "45x60mm"):
            ran = self.run_it(*words, "--bed", bed)
            self.assertEqual(ran.returncode, 0 if bed[0] == "5" else 1, ran.stderr)

    def test_rows_within_reach(self):
        """Backings side by side, and face down, lie on what can be reached: 20 mm are not at the left, none elsewhere."""
        self.put("frame.svg", """<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="60mm"
viewBox="0 0 200 60"><path fill-rule="evenodd" d="M0 0H200V60H0Z M20 20H60V40H20Z M80 20H120V40H80Z
M140 20H180V40H140Z"/></svg>""")
        for face in ("up", "down"):
            ran = self.run_it("back", "frame.svg", "-o", "a.svg", "--sheet", "80x200mm", "--gap", "2mm",
                              "--bed-margins", "20mm,0mm,0mm,0mm", "--face", face)
            self.assertEqual(ran.returncode, 0, ran.stderr)
            box, page = self.box_of("a.svg")
            self.assertEqual(page, [80, 200])
            self.assertGreaterEqual(box[0], 20)

    def test_scale_check_beside(self):
        """In the lower left corner there is a piece: the check stands beside it, or it is told."""
        self.put("wide.svg", SQUARE.replace("100", "300").replace("M10 10h40v40h-40z M20 20h20v20h-20z",
                                                                 "M0 20h40v40h-40z"))
        ran = self.run_it("convert", "wide.svg", "-o", "a.svg", "--scale-check")
        self.assertEqual((ran.returncode, ran.stderr), (0, ""))
        cut, drawn = self.box_of("a.svg")[0], self.box_of("a.svg", "Drawing")[0]
        self.assertTrue(drawn[0] > cut[2] or drawn[3] < cut[1])
        ran = self.run_it("convert", "square.svg", "-o", "a.svg", "--scale-check")
        self.assertRegex(ran.stderr, "no room for the scale check")

    def test_scale_check_on_a_huge_sheet(self):
        """A kilometre of paper without a free place is searched no longer than a small one."""
        self.put("huge.svg", """<svg xmlns="http://www.w3.org/2000/svg" width="900000mm" height="900000mm"
viewBox="0 0 900000 900000"><path d="M0 0H900000V900000H0Z"/></svg>""")
        ran = subprocess.run([PROGRAM, "convert", "huge.svg", "-o", "a.svg", "--scale-check"],
                             cwd=self.folder.name, capture_output=True, text=True, timeout=20)
        self.assertEqual(ran.returncode, 0, ran.stderr)
        self.assertRegex(ran.stderr, "no room for the scale check")

    def test_creases_from_behind_on_a_bed(self):
        """The turned sheet lies in the same corner: both sides are moved alike, after the turn."""
        words = ("shape", "envelope", "--creases-behind", "sideways", "-o")
        self.assertEqual(self.run_it(*words, "a.svg").returncode, 0)
        self.assertEqual(self.run_it(*words, "b.svg", "--bed", "500x600mm", "--bed-corner",
                                     "upper-right").returncode, 0)
        for side, group in (("", "Cutting"), ("-turned", "Creasing")):
            (before, page), (after, bed) = (self.box_of(f"{name}{side}.svg", group) for name in "ab")
            self.assertEqual(bed, [500, 600])
            for i, value in enumerate(before):
                self.assertAlmostEqual(after[i], value + (500 - page[0] if i % 2 == 0 else 0), delta=2e-5)

    def test_wrong_words(self):
        line = ("convert", "square.svg", "-o", "a.svg")
        self.wrong(2, "kerf", *line, "--kerf", "6mm")
        self.wrong(2, "whole number", *line, "--tabs", "2.5")
        self.wrong(2, "--tabs or --tab-every", *line, "--tab-width", "1mm")
        self.wrong(1, "opening of 4 x 4 mm .* vanishes", *line, "--kerf", "4.5mm", "--width", "8mm")
        self.wrong(2, "joined", *line, "--entities", "both")

    def test_operations_go_round(self):
        """SVG to DXF to SVG, both versions: the same paths in the same groups, to the last digit but one
        (the page's height is added and taken away)."""
        def groups(name):
            page = ElementTree.fromstring(self.get(name))
            return {g.get("id"): [re.findall(r"[A-Z]|[-0-9.]+", p.get("d", "")) + sorted(
                        v for k, v in p.items() if k in ("cx", "cy", "r"))
                        for p in g if not p.tag.endswith("title")]
                    for g in page if g.get("id")}

        for shape in ("envelope", "twin-lancet", "card", "gift-tag", "photo-corner"):
            self.assertEqual(self.run_it("shape", shape, "-o", "a.svg").returncode, 0)
            self.assertEqual(self.run_it("convert", "a.svg", "-o", "b.svg").returncode, 0)
            for version in ("r12", "r2000"):
                self.assertEqual(self.run_it("convert", "a.svg", "-o", "a.dxf", "--dxf",
                                             version).returncode, 0)
                ran = self.run_it("convert", "a.dxf", "-o", "c.svg")
                self.assertEqual((ran.returncode, ran.stderr), (0, ""))
                one, other = groups("b.svg"), groups("c.svg")
                self.assertEqual(list(one), list(other))
                for name in one:
                    self.assertEqual(len(one[name]), len(other[name]), (shape, name))
                    for a, b in zip(one[name], other[name]):
                        self.assertEqual(len(a), len(b), (shape, name))
                        for p, q in zip(a, b):
                            self.assertTrue(p == q or abs(float(p) - float(q)) < 3e-6, (shape, p, q))

    def test_creases_from_behind(self):
        """The sheet turned left for right: x becomes width - x; head over heels y becomes height - y."""
        plain = self.report("shape", "envelope", "-o", "a.svg")
        width, height = plain["width_mm"], plain["height_mm"]

        def points(name):
            data = re.search(r'id="Creasing".*?d="([^"]*)"', self.get(name), re.S).group(1)
            numbers = [float(v) for v in re.findall(r"[-0-9.]+", data)]
            return sorted((round(x, 4), round(height - y, 4)) for x, y in
                          zip(numbers[::2], numbers[1::2]))

        front = points("a.svg")
        for how, turned in (("sideways", lambda x, y: (width - x, y)),
                            ("over", lambda x, y: (x, height - y))):
            ran = self.run_it("shape", "envelope", "-o", "b.svg", "--creases-behind", how)
            self.assertEqual(ran.returncode, 0, ran.stderr)
            self.assertNotIn("Creasing", self.get("b.svg"))
            want = sorted((round(x, 4), round(y, 4)) for x, y in (turned(*p) for p in front))
            for p, q in zip(points("b-turned.svg"), want):
                self.assertAlmostEqual(p[0], q[0], delta=2e-4)
                self.assertAlmostEqual(p[1], q[1], delta=2e-4)

    def test_labels(self):
        ran = self.run_it("back", "square.svg", "--seam", "4mm", "--labels", "-o", "a.svg")
        self.assertEqual(ran.returncode, 0, ran.stderr)
        group = re.search(r'id="Drawing".*?</g>', self.get("a.svg"), re.S).group(0)
        self.assertIn('class="piece-1"', group)
        ran = self.run_it("back", "square.svg", "--seam", "0.6mm", "--labels", "-o", "a.svg")
        self.assertIn("no room for a number", ran.stderr)
        self.assertNotIn("Drawing", self.get("a.svg"))

    def told(self, code, *words):
        return [w["text"] for w in self.report(*words)["warnings"] if w["code"] == code]

    def test_sharp_corners(self):
        """30 degrees: common practice, no source. A triangle with an apex of 29 or 31 degrees."""
        for angle, count in ((29, 1), (31, 0)):
            half = 30 * math.tan(math.radians(angle / 2))
            self.put("tip.svg", f"""<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="40mm"
viewBox="0 0 50 40"><path d="M25 5 L{25 + half} 35 L{25 - half} 35 Z"/></svg>""")
            told = self.told("sharp-corner", "convert", "tip.svg", "-o", "a.svg", "-o", "a.png")
            self.assertEqual(len(told), count)
            self.assertEqual(self.has_rings("a.png"), count == 1)
        # smooth joints are no corners
        self.assertEqual(self.told("sharp-corner", "mat", "--photo", "100x80mm", "--reveal", "5mm", "--corner",
                                   "9mm"), [])

    def test_thin_webs(self):
        """2 mm, with a kerf 1 mm: common practice, no source. Two openings so far apart."""
        def frame(web):
            self.put("web.svg", f"""<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm"
viewBox="0 0 60 40"><path fill-rule="evenodd" d="M0 0H60V40H0Z M10 10H25V30H10Z
M{25 + web} 10H45V30H{25 + web}Z"/></svg>""")

        for web, words, count in ((1.9, (), 1), (2, (), 0), (2.1, (), 0), (1.9, ("--kerf", "0.1mm"), 0),
                                  (0.9, ("--kerf", "0.1mm"), 1), (2.1, ("--web", "3mm"), 1)):
            frame(web)
            told = self.told("thin-web", "convert", "web.svg", "-o", "a.svg", "-o", "a.png", *words)
            self.assertEqual(len(told), count, (web, words))
            self.assertEqual(self.has_rings("a.png"), count == 1)
            if told:
                self.assertRegex(told[0], "%s mm" % web)
        # what lies between two pieces on a sheet is no web
        frame(9)
        self.assertEqual(self.told("thin-web", "back", "web.svg", "--gap", "1mm", "-o", "b.svg"), [])

    def has_rings(self, name):
        """Is vermillion in the picture: D55E00 of Okabe and Ito's palette?"""
        with Image.open(os.path.join(self.folder.name, name)) as picture:
            colours = picture.convert("RGB").getcolors(1 << 24)
        return any(c == (0xD5, 0x5E, 0x00) for _, c in colours)

    def test_inspect(self):
        self.put("bad.svg", """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm"
 viewBox="0 0 100 60"><g fill="none" stroke="red"><path d="M0 0H40V40H0Z M10 10h10v10h-10z"/>
<path d="M21 10h10v10h-10z"/><path d="M50 0H90"/><path d="M50 20h20v20h-20z"/>
<path d="M70 20h20v20h-20z"/><path d="M92 0L94 50L96 0Z"/></g><text>words</text></svg>""")
        report = self.report("inspect", "bad.svg")
        found = {}
        for trouble in report["troubles"]:
            found.setdefault(trouble["code"], []).append(trouble)
        self.assertEqual({code: len(t) for code, t in found.items()},
                         {"open-line": 2, "double-line": 1, "sharp-corner": 1, "thin-web": 1}, found)
        self.assertAlmostEqual(found["thin-web"][0]["length_mm"], 1, delta=1e-9)
        self.assertEqual(found["thin-web"][0]["at_mm"][0], 20.5)
        self.assertAlmostEqual(found["double-line"][0]["length_mm"], 20, delta=1e-6)
        self.assertAlmostEqual(found["sharp-corner"][0]["angle_deg"],
                               math.degrees(2 * math.atan(2 / 50)), delta=0.01)
        self.assertEqual(found["open-line"][0]["line"], 3)
        self.assertIn("text", [w["code"] for w in report["warnings"]])
        ran = self.run_it("inspect", "bad.svg", "-o", "bad.png")
        self.assertEqual(ran.returncode, 0)
        self.assertIn("thin web", ran.stdout)
        self.assertIn("bad.png", os.listdir(self.folder.name))
        self.wrong(2, "picture only", "inspect", "bad.svg", "-o", "bad.dxf")

    def test_inspect_good(self):
        ran = self.run_it("inspect", "square.svg")
        self.assertIn("Nothing is found", ran.stdout)


unittest.main()
