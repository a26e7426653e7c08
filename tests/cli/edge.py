#!/usr/bin/env python3
"""rabbet edge as its users meet it: edge.py RABBET

Truth: figures by hand, and other programs' readers (ezdxf, and the SVG reader of tests/write).
"""
import json
import math
import os
import subprocess
import sys
import tempfile
import unittest

import ezdxf

PROGRAM = os.path.abspath(sys.argv.pop())
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "write"))
import loops as L

DONE, GEOMETRY, INPUT, FILE = 0, 1, 2, 3
CIRCLE = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="120mm" viewBox="0 0 120 120">
<path fill-rule="evenodd" d="M10 60a50 50 0 0 1 100 0a50 50 0 0 1 -100 0z M50 50h20v20h-20z"/></svg>"""
ELL = """<svg xmlns="http://www.w3.org/2000/svg" width="150mm" height="150mm" viewBox="0 0 150 150">
<path d="M0 150H150V90H60V0H0Z"/></svg>"""
OWN = """<motif xmlns="urn:rabbet:shape:1"><title>Ramp</title><about>A motif of one's own.</about>
<pitch usual="10mm" least="1mm" most="90mm"/><depth usual="2mm" least="1mm" most="9mm"/>
<profile><start x="0" y="0"/><line x="pitch" y="depth"/><line y="0"/></profile></motif>"""
STRIP = ("edge", "scallop", "--length", "12in", "--width", "30mm", "--pitch", "15mm", "--depth", "4mm")


class Edge(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)
        self.put("circle.svg", CIRCLE)
        self.put("ell.svg", ELL)

    def path(self, name):
        return os.path.join(self.folder.name, name)

    def put(self, name, text):
        os.makedirs(os.path.dirname(self.path(name)), exist_ok=True)
        with open(self.path(name), "w", encoding="utf-8") as file:
            file.write(text)

    def get(self, name):
        with open(self.path(name), "rb") as file:
            return file.read()

    def run_it(self, *words):
        # No shapes but the program's own.
        environment = {key: value for key, value in os.environ.items() if not key.startswith("XDG_")}
        environment["HOME"] = self.folder.name
        return subprocess.run(
            [PROGRAM, *words], cwd=self.folder.name, capture_output=True, text=True, env=environment, timeout=60
        )

    def done(self, *words):
        ran = self.run_it(*words)
        self.assertEqual(ran.returncode, DONE, (words, ran.stderr))
        return ran.stdout

    def report(self, *words):
        return json.loads(self.done(*words, "--report", "-"))

    def wrong(self, status, pattern, *words):
        before = sorted(os.listdir(self.folder.name))
        ran = self.run_it(*words)
        self.assertEqual(ran.returncode, status, (words, ran.stderr))
        self.assertRegex(ran.stderr, pattern)
        self.assertEqual(ran.stderr.count("\n"), 1, ran.stderr)
        self.assertEqual(ran.stdout, "")
        self.assertEqual(sorted(os.listdir(self.folder.name)), before)

    # ---- what is said

    def test_strip(self):
        """304.8 = 20 x 15.24."""
        said = self.done(*STRIP)
        self.assertRegex(said, r"(?m)^upper side  304.8 mm \(12 in\) +20  from 15 mm .* to 15.24 mm .*\+1.6 %  -$")
        self.assertRegex(said, r"(?m)^strip  304.8 x 30 mm \(≈ 12 x 1 3/16 in\)$")
        self.assertRegex(self.done(*STRIP, "--units", "in"), r"12 in \(304.8 mm\)")
        said = self.done(*STRIP, "--keep-pitch")
        self.assertRegex(said, r"to 15 mm .* 0 %  2.4 mm \(≈ 1/8 in\)")
        self.assertIn("both sides", self.done(*STRIP, "--sides", "both"))

    def test_report(self):
        report = self.report(*STRIP, "--sides", "both", "--behind", "1/8in", "--paper", "cream")
        self.assertEqual([run["count"] for run in report["runs"]], [20, 20])
        for run in report["runs"]:
            self.assertAlmostEqual(run["pitch_mm"], 15.24, places=6)
            self.assertAlmostEqual(run["pitch_asked_mm"], 15, places=6)
            self.assertAlmostEqual(run["change_percent"], 1.6, places=4)
        front, behind = report["pieces"]
        self.assertEqual((front["paper"], front["motif"], front["sheet"]), ("cream", "scallop", 1))
        self.assertEqual(front["values"]["depth_mm"], 4)
        self.assertEqual(front["box_mm"], [0, 0, 304.8, 30])
        self.assertEqual((behind["reveal_mm"], behind["sheet"]), (3.175, 2))
        self.assertEqual(behind["box_mm"], [0, -3.175, 304.8, 33.175])
        self.assertNotIn("motif", behind)
        self.assertEqual(report["warnings"], [])

    def test_layers_with_edges(self):
        """Valleys of the second a reveal beyond the front's peaks, and so on for the third."""
        report = self.report(
            *STRIP, "--sides", "both", "--behind", "2 mm wave depth=3mm pitch=12mm", "--behind", "1 1/4in"
        )
        boxes = [piece["box_mm"] for piece in report["pieces"]]
        self.assertEqual(boxes, [[0, 0, 304.8, 30], [0, -5, 304.8, 35], [0, -36.75, 304.8, 66.75]])
        report = self.report(*STRIP, "--all-round", "--behind", "2mm zigzag depth=3mm pitch=6mm")
        self.assertEqual(report["pieces"][1]["box_mm"], [-2, -2, 306.8, 35])

    def test_along(self):
        """A circle of 100 mm: 21 of 100 pi / 21."""
        report = self.report("edge", "scallop", "--along", "circle.svg", "--pitch", "15mm", "--depth", "4mm")
        self.assertEqual([run["count"] for run in report["runs"]], [21])
        self.assertAlmostEqual(report["runs"][0]["pitch_mm"], 100 * math.pi / 21, places=6)
        self.assertEqual(report["pieces"][0]["openings"], 1)
        inward = self.report(
            "edge", "scallop", "--along", "circle.svg", "--pitch", "15mm", "--depth", "4mm", "--inward",
            "--behind", "3mm wave depth=2mm",
        )
        self.assertAlmostEqual(inward["runs"][0]["length_mm"], 92 * math.pi, places=6)
        # the layer's valleys lie 3 mm outside the circle, its peaks 2 mm further
        self.assertAlmostEqual(inward["runs"][1]["length_mm"], 106 * math.pi, places=6)
        self.assertAlmostEqual(inward["pieces"][1]["width_mm"], 110, delta=0.5)
        self.assertEqual(inward["pieces"][1]["openings"], 0)
        wide = self.report("edge", "scallop", "--along", "circle.svg", "--width", "200mm", "--pitch", "15mm")
        self.assertAlmostEqual(wide["runs"][0]["length_mm"], 200 * math.pi, places=5)

    def test_fewer(self):
        words = ("edge", "scallop", "--along", "ell.svg", "--pitch", "12mm", "--depth", "5mm")
        self.wrong(GEOMETRY, r"^ell.svg: .*run into each other at 6\d\.\d, 6\d\.\d mm", *words)
        report = self.report(*words, "--fewer")
        codes = [w["code"] for w in report["warnings"] if w["code"] not in ("sharp-corner", "thin-web")]
        self.assertEqual(codes, ["fewer-repeats"] * 2)
        self.assertEqual(sorted(run["count"] for run in report["runs"]), [5, 5, 7, 7, 13, 13])

    def test_own_motif(self):
        self.put("mine/ramp.xml", OWN)
        report = self.report("edge", "ramp", "--library", "mine", "--length", "100mm", "--width", "20mm")
        self.assertEqual(report["runs"][0]["count"], 10)
        self.assertAlmostEqual(report["pieces"][0]["area_mm2"], 100 * 18 + 10 * 10, places=4)

    # ---- what is wrong

    def test_wrong(self):
        self.wrong(INPUT, "no MOTIF is given", "edge")
        self.wrong(INPUT, "did you mean scallop", "edge", "scalop", "--length", "9in", "--width", "1in")
        self.wrong(INPUT, "is a shape and no edge motif", "edge", "lancet-arch", "--length", "9in", "--width", "1in")
        self.wrong(INPUT, "length is missing; give --length LEN and --width LEN, or --along", "edge", "scallop")
        self.wrong(INPUT, "width is missing", "edge", "scallop", "--length", "9in")
        self.wrong(INPUT, "--length is for strips", "edge", "scallop", "--along", "ell.svg", "--length", "9in")
        self.wrong(INPUT, "--inward is for --along FILE", *STRIP, "--inward")
        self.wrong(INPUT, "pitch is given twice", *STRIP, "pitch=4mm")
        self.wrong(INPUT, "pitch", *STRIP[:-4], "--pitch", "15")
        self.wrong(INPUT, "does not begin with the reveal", *STRIP, "--behind", "scallop")
        self.wrong(INPUT, "--behind is empty", *STRIP, "--behind", "")
        self.wrong(INPUT, "reveal must be more than 0", *STRIP, "--behind", "0mm")
        self.wrong(INPUT, "give the motif before its settings", *STRIP, "--behind", "3mm depth=4mm")
        self.wrong(INPUT, "'wide' is not understood", *STRIP, "--behind", "3mm scallop wide")
        self.wrong(INPUT, "no shape .*zigzig", *STRIP, "--behind", "3mm zigzig")
        self.wrong(INPUT, "more often than there are layers", *STRIP, "--paper", "a", "--paper", "b")
        self.wrong(GEOMETRY, r"too narrow .* at least 9 mm", *STRIP[:5], "8mm", "--sides", "both")
        self.wrong(INPUT, "half", *STRIP, "--keep-pitch", "--ends", "half")
        self.wrong(INPUT, "corner of its own", "edge", "wave", "--along", "ell.svg", "--corners", "motif")
        self.wrong(FILE, "^none.svg", "edge", "scallop", "--along", "none.svg")
        self.wrong(INPUT, "is the drawing itself", "edge", "scallop", "--along", "ell.svg", "-o", "ell.svg")

    # ---- files

    def loops(self, name):
        svg, width, height, _ = L.read_svg(self.path(name + ".svg"), 1)
        return svg, L.read_dxf(ezdxf.readfile(self.path(name + ".dxf"))), width, height

    def test_files_agree(self):
        """Every motif, as a strip: SVG and DXF show the same lines, within rounding to six decimals."""
        listed = json.loads(self.done("shapes", "edges", "--report", "-"))
        names = [shape["name"] for shape in listed["shapes"] if shape["family"] == "edges"]
        self.assertGreaterEqual(len(names), 30)
        for name in names:
            words = ("edge", name, "--length", "150mm", "--width", "3in", "--sides", "both")
            report = self.report(*words, "-o", "a.svg", "-o", "a.dxf")
            svg, dxf, width, height = self.loops("a")
            piece = report["pieces"][0]
            self.assertAlmostEqual(width, piece["width_mm"], delta=1e-4, msg=name)
            self.assertEqual(len(svg), len(dxf), name)
            area = 0
            for one, other in zip(svg, dxf):
                self.assertEqual(one.operation.upper(), other.operation.upper(), name)
                self.assertLess(L.deviation(one, other), 2e-6, name)
                if one.operation == "Cutting":
                    area += -abs(one.area()) if one is not svg[-1] else abs(one.area())
            self.assertAlmostEqual(area, piece["area_mm2"], delta=1e-3, msg=name)

    def test_layers_are_files(self):
        words = (*STRIP, "--sides", "both", "--behind", "3mm", "--behind", "2mm zigzag depth=3mm")
        self.done(*words, "-o", "a.svg", "-o", "a.dxf", "-o", "a.png")
        made = {name: self.get(name) for name in ("a.svg", "a-2.svg", "a-3.svg", "a.dxf", "a-2.dxf", "a-3.dxf", "a.png")}
        self.done(*words, "-o", "a.svg", "-o", "a.dxf", "-o", "a.png")
        for name, content in made.items():
            self.assertEqual(self.get(name), content, "the same bytes: " + name)
        _, _, width, height = self.loops("a-3")
        self.assertAlmostEqual(width, 304.8, delta=1e-6)
        self.assertAlmostEqual(height, 30 + 2 * (3 + 2 + 3), delta=1e-6)

    def test_face_down(self):
        """Left for right: the saw's steep flanks change sides."""
        self.done("edge", "saw", "--length", "100mm", "--width", "20mm", "-o", "up.svg")
        self.done("edge", "saw", "--length", "100mm", "--width", "20mm", "--face", "down", "-o", "down.svg")
        up, _, _, _ = L.read_svg(self.path("up.svg"), 1)
        down, _, _, _ = L.read_svg(self.path("down.svg"), 1)
        mirrored = {(round(100 - edge.a.real, 4), round(edge.a.imag, 4)) for edge in up[0].edges}
        self.assertEqual({(round(edge.a.real, 4), round(edge.a.imag, 4)) for edge in down[0].edges}, mirrored)


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0]])
