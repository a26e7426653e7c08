#!/usr/bin/env python3
"""How large the scale-check square of a file comes out at importers that read its size wrongly:
scales.py RABBET

An importer that knows physical sizes takes width and height (SVG 1.1, 7.2); one that does not takes
the user units of the path data as so many to the inch. 96 px to the inch: CSS Values and Units 3; 72
(points) and 90 are what drawing programs have written, common practice, no source. The sizes follow
from 25 mm by division.
"""
import os
import re
import subprocess
import sys
import tempfile
import unittest
from xml.etree import ElementTree

PROGRAM = os.path.abspath(sys.argv.pop())
SVG = "{http://www.w3.org/2000/svg}"
SIZES_WRONG = {  # unit of the file, units to the inch that the importer takes: the square, mm
    ("96", 72): 33.33,
    ("72", 96): 18.75,
    ("90", 96): 23.44,
    ("96", 90): 26.67,
    ("mm", 72): 8.82,
    ("mm", 90): 7.06,
    ("mm", 96): 6.61,
    ("mm", 1): 635,
}


class Scales(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)

    def square(self, unit):
        """The square's side in user units, and in mm by the file's own physical size."""
        name = os.path.join(self.folder.name, "square.svg")
        subprocess.run([PROGRAM, "mat", "--photo", "6x4in", "--reveal", "1/8in", "--svg-unit", unit,
                        "--scale-check", "-o", name], check=True, capture_output=True)
        root = ElementTree.parse(name).getroot()
        width, of = re.fullmatch(r"([0-9.]+)(mm|in|px)?", root.get("width")).groups()
        in_mm = float(width) * {"mm": 1, "in": 25.4, "px": 25.4 / 96}[of or "px"]
        drawing = root.find(f"{SVG}g[@id='Drawing']")
        # letters are 3 mm high: the square is what is largest
        side = max(max(x) - min(x) for x in (
            [float(v) for v in re.findall(r"-?[0-9.]+", path.get("d"))[::2]]
            for path in drawing.iter(f"{SVG}path") if path.get("class") is None) if len(x) == 4)
        return side, side * in_mm / float(root.get("viewBox").split()[2])

    def test_right(self):
        for unit in ("mm", "96"):
            self.assertAlmostEqual(self.square(unit)[1], 25, delta=1e-5)
        for unit in ("96", "90", "72"):  # importers that know nothing but their own unit
            self.assertAlmostEqual(self.square(unit)[0] * 25.4 / int(unit), 25, delta=1e-5)

    def test_wrong(self):
        for (unit, taken), size in SIZES_WRONG.items():
            self.assertAlmostEqual(self.square(unit)[0] * 25.4 / taken, size, delta=0.005)


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0]])
