#!/usr/bin/env python3
"""The program as its users meet it: exit statuses, messages, files, reports, and the documents' own
examples.

    commands.py PROGRAM SOURCE_FOLDER DRAW MANUAL

DRAW is the program that draws docs/lantern-walk/frame.svg, MANUAL the manual page. Python's standard library only.
"""
import json
import math
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree as ElementTree

PROGRAM, SOURCE, DRAW, MANUAL = (os.path.abspath(path) for path in sys.argv[1:5])
LANTERN_WALK = os.path.join(SOURCE, "docs", "lantern-walk", "frame.svg")
OWN_SHAPES = os.path.join(SOURCE, "docs", "own-shapes.md")
DONE, GEOMETRY, INPUT, FILE = 0, 1, 2, 3
# Each command and the page that describes its options.
COMMANDS = {
    "shapes": "shape.md",
    "shape": "shape.md",
    "edge": "edge.md",
    "mat": "mat.md",
    "back": "back.md",
    "convert": "convert.md",
    "inspect": "inspect.md",
    "check": "job.md",
    "make": "job.md",
}
# Shapes that somebody keeps on this computer are not the library's.
ENVIRONMENT = dict(os.environ, XDG_DATA_HOME="/nowhere", XDG_DATA_DIRS="/nowhere")

# A frame of 100 x 60 mm whose two openings, 20 mm square, leave a web of 6 mm between them.
PAIR = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
<path fill-rule="evenodd" d="M0 0H100V60H0Z M20 20H40V40H20Z M46 20H66V40H46Z"/>
</svg>
"""
# The same with openings a hair apart: there is no paper to glue to between them.
TOUCHING = PAIR.replace("M46 20H66V40H46Z", "M40.05 20H60V40H40.05Z")
PLAIN = PAIR.replace(" M20 20H40V40H20Z M46 20H66V40H46Z", "")


def triangle(points, width=304.8, height=304.8):
    """A drawing of one filled triangle, points with y up."""
    path = " ".join("%s %s" % (x, round(height - y, 9)) for x, y in points)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s">'
        '<path d="M%s Z"/></svg>' % (width, height, width, height, path)
    )


class Folder(unittest.TestCase):
    """Each test works in an empty folder."""

    def setUp(self):
        self.folder = tempfile.mkdtemp(prefix="rabbet-cli-")
        self.addCleanup(shutil.rmtree, self.folder)
        self.put("pair.svg", PAIR)
        self.put("plain.svg", PLAIN)
        self.put("touching.svg", TOUCHING)

    def path(self, name):
        return os.path.join(self.folder, name)

    def put(self, name, text):
        with open(self.path(name), "w", encoding="utf-8") as file:
            file.write(text)

    def get(self, name):
        with open(self.path(name), "rb") as file:
            return file.read()

    def files(self):
        return sorted(os.listdir(self.folder))

    def rabbet(self, *words, environment=None):
        return subprocess.run(
            [PROGRAM, *words],
            cwd=self.folder,
            env=environment or ENVIRONMENT,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=60,
            check=False,
        )

    def done(self, *words, **more):
        """Run what must succeed; what it printed."""
        ran = self.rabbet(*words, **more)
        self.assertEqual(ran.returncode, DONE, (words, ran.stderr))
        return ran.stdout.decode("utf-8")

    def report(self, *words):
        return json.loads(self.done(*words, "--report", "-"))


class Wrong(Folder):
    """What a new user gets wrong: one clear line on standard error, and nothing is written."""

    def wrong(self, status, pattern, *words):
        before = self.files()
        ran = self.rabbet(*words)
        said = ran.stderr.decode("utf-8")
        self.assertEqual(ran.returncode, status, (words, said))
        self.assertRegex(said, pattern)
        self.assertEqual(said.count("\n"), 1, said)
        self.assertTrue(said.endswith("\n"), said)
        self.assertLess(len(said), 320, said)
        self.assertEqual(ran.stdout, b"", words)
        self.assertEqual(self.files(), before, words)

    def test_commands(self):
        self.wrong(INPUT, "^rabbet: no command is given; 'rabbet --help' lists them")
        self.wrong(INPUT, "no command 'bakc'; did you mean back", "bakc", "pair.svg")
        self.wrong(INPUT, "no command 'con'; did you mean convert", "con")
        self.wrong(INPUT, "no command 'paint'; 'rabbet --help' lists them", "paint")
        self.wrong(INPUT, "no command ''", "")

    def test_options(self):
        self.wrong(INPUT, "^rabbet back: no FRAME is given", "back")
        self.wrong(INPUT, "^rabbet convert: no DRAWING is given", "convert", "-o", "a.svg")
        self.wrong(INPUT, "--seem is not known; did you mean --seam", "back", "pair.svg", "--seem", "2mm")
        self.wrong(INPUT, "-seam is not known; did you mean --seam", "back", "pair.svg", "-seam", "2mm")
        self.wrong(INPUT, "--qwertyuiop is not known; 'rabbet back --help'", "back", "pair.svg", "--qwertyuiop")
        self.wrong(INPUT, "--" + "y" * 60 + " is not known", "back", "pair.svg", "--" + "y" * 5000)
        self.wrong(INPUT, "-q is not known", "back", "pair.svg", "-q")
        self.wrong(INPUT, "--seam needs a value; give --seam LEN", "back", "pair.svg", "--seam")
        self.wrong(INPUT, "--seam needs a value", "back", "pair.svg", "--seam", "--lap")
        self.wrong(INPUT, "value of --seam is empty", "back", "pair.svg", "--seam=")
        self.wrong(INPUT, "--lap takes no value", "back", "pair.svg", "--lap=yes")
        self.wrong(INPUT, "--seam is given twice", "back", "pair.svg", "--seam", "2mm", "--seam", "3mm")
        self.wrong(INPUT, "one word too many after 'pair.svg'; give one FRAME", "back", "pair.svg", "b.svg")
        self.wrong(INPUT, "one word too many; a parameter is given as PARAMETER=VALUE", "mat", "pair.svg")
        self.wrong(INPUT, "--form round is not known; give grown or simple", "back", "pair.svg", "--form", "round")
        self.wrong(
            INPUT, "--curves x is not known; give arcs, beziers or lines", "back", "pair.svg", "--curves", "x"
        )
        self.wrong(
            INPUT, "with --arrange place leave them", "back", "pair.svg", "--arrange", "place", "--gap", "1mm"
        )

    def test_lengths(self):
        for seam, pattern in [
            ("2", "no unit"),
            ("2furlongs", "not a length"),
            ("two", "not a length"),
            ("-2mm", "negative; give more than 0"),
            ("0", "more than 0"),
            ("0mm", "more than 0"),
            ("2,5mm", "not a length"),
            ("nan", "not a length"),
            ("1e999mm", "too large"),
        ]:
            self.wrong(INPUT, "^rabbet back: --seam.*" + pattern, "back", "pair.svg", "--seam", seam)
        self.wrong(INPUT, "--clear -1mm is negative; give 0 or more", "back", "pair.svg", "--clear", "-1mm")
        self.wrong(INPUT, "--sheet.*not a size", "back", "pair.svg", "--sheet", "10mm")
        self.wrong(INPUT, "--round-to.*no unit", "back", "pair.svg", "--round-to", "1in,30")
        self.wrong(INPUT, "--round-to", "back", "pair.svg", "--round-to", "1in,,2in")

    def test_lists_of_openings(self):
        for words, pattern in [
            (("--only", "3"), "--only: there is no 3; the openings are numbered 1 to 2"),
            (("--only", "1-99999999999999999999"), "--only: there is no .*numbered 1 to 2"),
            (("--skip", "1-3"), "--skip: there is no 3"),
            (("--group", "2,7"), "--group: there is no 7"),
            (("--only", "0"), "--only 0 is not a list"),
            (("--only", "2-1"), "2-1 runs backwards; give 1-2"),
            (("--only", "1,"), "not a list"),
            (("--only", "1 2"), "not a list"),
            (("--only", "one"), "not a list of openings; give numbers from 1, as in 1-8,12"),
            (("--only", "-1"), "not a list"),
        ]:
            self.wrong(INPUT, pattern, "back", "pair.svg", *words, "-o", "a.svg")

    def test_drawings(self):
        self.wrong(FILE, "^none.svg: no such file", "back", "none.svg", "-o", "a.svg")
        self.wrong(FILE, r"^\.: is a folder", "back", ".", "-o", "a.svg")
        self.wrong(FILE, "^-none.svg: no such file", "back", "--", "-none.svg")
        png = bytes.fromhex("89504e470d0a1a0a0000000d49484452") + bytes(64)
        with open(self.path("photo.png"), "wb") as file:
            file.write(png)
        self.wrong(INPUT, "^photo.png: .*PNG", "back", "photo.png", "-o", "a.svg")
        self.put("empty.svg", "")
        self.wrong(INPUT, "^empty.svg:1: ", "back", "empty.svg", "-o", "a.svg")
        self.put("broken.svg", PAIR.replace("</svg>", ""))
        self.wrong(INPUT, r"^broken.svg:\d+: ", "back", "broken.svg", "-o", "a.svg")
        self.put("path.svg", PAIR.replace("M46 20H66", "M46 20Q66"))
        self.wrong(INPUT, "^path.svg:2: ", "back", "path.svg", "-o", "a.svg")
        self.wrong(GEOMETRY, "^plain.svg:2: .*opening", "back", "plain.svg", "-o", "a.svg")

    def test_backings_that_cannot_be(self):
        self.wrong(
            GEOMETRY, "^touching.svg: .*1.*(with|group) .*2", "back", "touching.svg", "--seam", "2mm", "-o", "a.svg"
        )
        self.wrong(
            GEOMETRY, "26 x 26 mm.*20 x 100 mm", "back", "pair.svg", "--sheet", "20x100mm", "-o", "a.svg"
        )

    def test_mats(self):
        mat = ("mat", "--photo", "146x95mm")
        self.wrong(INPUT, "photo's size is missing; give --photo WxH", "mat")
        self.wrong(INPUT, "reveal is missing; give --reveal LEN", *mat)
        self.wrong(INPUT, "--reveal -1mm is negative", *mat, "--reveal", "-1mm")
        self.wrong(INPUT, "--board is for window mats", *mat, "--reveal", "3mm", "--board", "6x4in")
        self.wrong(INPUT, "size is missing; give either --board WxH or --border LEN", *mat, "--window")
        self.wrong(
            INPUT, "given twice", *mat, "--window", "--board", "8x8in", "--border", "1in"
        )
        self.wrong(INPUT, "a window mat has no reveal", *mat, "--window", "--reveal", "3mm")
        self.wrong(INPUT, "^rabbet mat: .*overlap", *mat, "--window", "--border", "1in", "--overlap", "60mm")
        self.wrong(INPUT, "^rabbet mat: .*board", *mat, "--window", "--board", "100x50mm")
        self.wrong(INPUT, "^rabbet mat: .*corner", *mat, "--reveal", "3mm", "--corner", "90mm")

        self.wrong(INPUT, "scallop is not a mat; 'rabbet shapes mats'", *mat, "--style", "scallop")
        self.wrong(INPUT, "plain lies behind a photo; leave out --window", *mat, "--style", "plain", "--window")
        self.wrong(
            INPUT, "the mat plain has no corner; leave out", *mat, "--style", "plain", "--reveal", "3mm",
            "--corner", "3mm"
        )
        self.wrong(INPUT, ".plian.*plain", *mat, "--style", "plian", "--reveal", "3mm")
        self.wrong(INPUT, "photo-width", *mat, "--reveal", "3mm", "photo-width=3mm")

    def test_shapes(self):
        self.wrong(INPUT, "^rabbet shape: no SHAPE is given", "shape")
        self.wrong(INPUT, "^rabbet shape: .*.lancet-arc..*lancet-arch", "shape", "lancet-arc")
        self.wrong(INPUT, "^rabbet shapes: .*.lancet-arc..*lancet-arch", "shapes", "lancet-arc")
        self.wrong(INPUT, "'archs'; did you mean the family arches", "shapes", "archs")
        self.wrong(INPUT, "^rabbet shape: .*xyzzyxyzzy", "shape", "xyzzyxyzzy")
        self.wrong(INPUT, "scallop is an edge motif; 'rabbet edge scallop", "shape", "scallop")
        arch = ("shape", "lancet-arch")
        self.wrong(INPUT, ".spam.*span", *arch, "spam=40mm")
        self.wrong(INPUT, "span", *arch, "span=40mm", "span=50mm")
        self.wrong(INPUT, "span.*no unit", *arch, "span=40")
        self.wrong(INPUT, "span", *arch, "span=-40mm")
        self.wrong(INPUT, "span", *arch, "span=40deg")
        self.wrong(INPUT, "'span' is one word too many; a parameter is given as", *arch, "span", "=", "40mm")
        self.wrong(INPUT, "'span=' is half a setting; give PARAMETER=VALUE", *arch, "span=")
        self.wrong(INPUT, "'=40mm' is half a setting", *arch, "=40mm")
        self.wrong(INPUT, "--span is not known; a parameter is given as span=VALUE", *arch, "--span", "40mm")
        self.wrong(INPUT, "-o writes one shape; give its name", "shapes", "-o", "a.png")
        self.wrong(INPUT, "bad.txt: its ending does not say", "shapes", "lancet-arch", "-o", "bad.txt")
        self.wrong(FILE, "^none: ", *arch, "--library", "none")
        os.mkdir(self.path("own"))
        self.put("own/broken.xml", '<shape xmlns="urn:rabbet:shape:1">\n<title>Broken</titel></shape>')
        self.wrong(INPUT, "^own/broken.xml:2: ", *arch, "--library", "own")

    def test_outputs(self):
        back = ("back", "pair.svg", "-o", "good.svg")
        self.wrong(INPUT, "bad.txt: its ending does not say.*.svg, .dxf, .pdf, .plt or .png", *back, "-o", "bad.txt")
        self.wrong(INPUT, "backs: its ending does not say", *back, "-o", "backs")
        self.wrong(INPUT, "good.svg: is given as output twice", *back, "-o", "good.svg")
        self.wrong(INPUT, "twice", *back, "-o", "./good.svg")
        self.wrong(INPUT, "twice", *back, "--report", "good.svg")
        self.wrong(INPUT, "pair.svg is the drawing itself", *back, "-o", "pair.svg")
        self.wrong(FILE, "^nowhere/b.dxf: .*folder does not exist", *back, "-o", "nowhere/b.dxf")
        self.wrong(FILE, "^nowhere/b.json: .*folder does not exist", *back, "--report", "nowhere/b.json")
        os.mkdir(self.path("folder.svg"))
        self.wrong(FILE, "^folder.svg: is a folder", *back, "-o", "folder.svg")
        # Not even the system's administrator, as whom this may run, may write there.
        self.wrong(FILE, "^/sys/b.dxf: cannot be written .*choose a folder", *back, "-o", "/sys/b.dxf")

    def test_older_files_stay(self):
        self.put("good.svg", "older")
        self.wrong(FILE, "nowhere", "back", "pair.svg", "-o", "good.svg", "-o", "nowhere/b.dxf")
        self.assertEqual(self.get("good.svg"), b"older")

    def test_names_cannot_move_the_cursor(self):
        self.wrong(FILE, r"^a\?\[2Jb: no such file", "back", "a\x1b[2Jb")

    def test_full_disk_behind_standard_output(self):
        with open("/dev/full", "wb") as full:
            ran = subprocess.run(
                [PROGRAM, "--help"], stdout=full, stderr=subprocess.PIPE, timeout=60, check=False
            )
        self.assertEqual(ran.returncode, FILE)
        self.assertEqual(ran.stderr, b"standard output cannot be written\n")


class Help(Folder):
    def test_overview_and_commands(self):
        overview = self.done("--help")
        self.assertEqual(self.done("-h"), overview)
        for command in COMMANDS:
            self.assertRegex(overview, r"(?m)^  %s  " % command)
            said = self.done(command, "--help")
            self.assertTrue(said.startswith("rabbet " + command))
            self.assertLessEqual(
                max(len(line) for line in said.splitlines() if not line.startswith("      rabbet")), 78
            )
            self.assertEqual(self.done(command, "--units", "in", "-h"), said)

    def test_version(self):
        with open(os.path.join(SOURCE, "meson.build"), encoding="utf-8") as file:
            version = re.search(r"version: '([^']+)'", file.read()).group(1)
        self.assertEqual(self.done("--version"), "rabbet %s\n" % version)
        self.assertEqual(self.done("back", "--version"), "rabbet %s\n" % version)

    def test_manual_page(self):
        ran = subprocess.run(
            ["groff", "-man", "-Tascii", "-ww", "-P-cbou", MANUAL],
            capture_output=True,
            timeout=60,
            check=True,
        )
        self.assertEqual(ran.stderr, b"")
        page = " ".join(ran.stdout.decode("ascii").split())
        for command in COMMANDS:
            for option in re.findall(r"(?m)^  (-[^ ]+(?: [A-Z]\S*)?)", self.done(command, "--help")):
                if option != "--help":
                    self.assertIn(option, page, command)

    def test_every_option_is_in_the_documents(self):
        for command, page_name in COMMANDS.items():
            with open(os.path.join(SOURCE, "docs", page_name), encoding="utf-8") as file:
                page = file.read()
            for other in ("formats.md", "machine.md"):
                with open(os.path.join(SOURCE, "docs", other), encoding="utf-8") as file:
                    page += file.read()
            for option in re.findall(r"(?m)^  (--[a-z-]+)", self.done(command, "--help")):
                if option != "--help":
                    self.assertIn("`" + option, page, (command, option))


class Back(Folder):
    def test_report(self):
        report = self.report("back", "pair.svg", "--seam", "2mm")
        self.assertEqual(report["frame_box_mm"], [0, 0, 100, 60])
        self.assertEqual([opening["number"] for opening in report["openings"]], [1, 2])
        self.assertEqual([opening["area_mm2"] for opening in report["openings"]], [400, 400])
        self.assertEqual(report["openings"][0]["box_mm"], [20, 20, 40, 40])
        self.assertEqual(report["openings"][1]["center_mm"], [56, 30])
        self.assertEqual(report["warnings"], [])
        for number, piece in enumerate(report["pieces"], 1):
            self.assertEqual(piece["openings"], [number])
            # Source: Steiner's formula for a convex shape grown round by s: A + P s + pi s^2,
            # P + 2 pi s.
            self.assertAlmostEqual(piece["area_mm2"], 400 + 80 * 2 + math.pi * 4, delta=1e-4)
            self.assertAlmostEqual(piece["perimeter_mm"], 80 + 2 * math.pi * 2, delta=1e-4)
            self.assertAlmostEqual(piece["seam_mm"], 2, delta=1e-4)
            self.assertEqual(piece["limit"], "seam")
            self.assertEqual((piece["width_mm"], piece["height_mm"]), (24, 24))
        self.assertEqual(report["pieces"][0]["box_mm"], [18, 18, 42, 42])

    def test_a_web_is_shared_fairly(self):
        # Elementary: of a web of 6 mm each neighbour gets 3 mm.
        report = self.report("back", "pair.svg", "--seam", "5mm")
        self.assertEqual([piece["limit"] for piece in report["pieces"]], ["piece 2", "piece 1"])
        for piece in report["pieces"]:
            self.assertAlmostEqual(piece["seam_mm"], 3, delta=0.011)

    def test_backings_that_lap_stay_clear_of_the_opening(self):
        # Elementary: of a web of 6 mm the clearance of 0.5 mm leaves 5.5 mm.
        report = self.report("back", "pair.svg", "--seam", "8mm", "--lap")
        self.assertEqual([piece["limit"] for piece in report["pieces"]], ["opening 2", "opening 1"])
        for piece in report["pieces"]:
            self.assertAlmostEqual(piece["seam_mm"], 5.5, delta=0.001)

    def test_lists(self):
        report = self.report("back", "pair.svg", "--only", "2")
        self.assertEqual([piece["openings"] for piece in report["pieces"]], [[2]])
        self.assertEqual(len(report["openings"]), 2)
        report = self.report("back", "pair.svg", "--skip", "2")
        self.assertEqual([piece["openings"] for piece in report["pieces"]], [[1]])
        report = self.report("back", "pair.svg", "--group", "2,1")
        self.assertEqual([piece["openings"] for piece in report["pieces"]], [[1, 2]])

    def test_a_narrow_seam_is_warned_about(self):
        self.put("narrow.svg", PAIR.replace("M46 20H66V40H46Z", "M41.5 20H60V40H41.5Z"))
        ran = self.rabbet("back", "narrow.svg", "--seam", "2mm", "--report", "r.json")
        self.assertEqual(ran.returncode, DONE)
        self.assertRegex(ran.stderr.decode("utf-8"), "^narrow.svg: warning: .*")
        codes = [warning["code"] for warning in json.loads(self.get("r.json"))["warnings"]]
        self.assertEqual(set(codes), {"narrow-seam"})

    def test_table(self):
        said = self.done("back", "pair.svg", "--seam", "2mm").splitlines()
        self.assertRegex(said[0], "^piece  width x height +least seam +held back by$")
        self.assertRegex(said[1], r"^    1  24 x 24 mm \(≈ 15/16 x 15/16 in\)  2 mm \(≈ 1/16 in\)  -$")
        self.assertRegex(said[3], r"^2 openings, 2 backings; frame 100 x 60 mm .*1 sheet of 304.8 x 304.8 mm")
        inches = self.done("back", "pair.svg", "--seam", "2mm", "--units", "in").splitlines()
        self.assertRegex(inches[1], r"^    1  ≈ 15/16 x 15/16 in \(24 x 24 mm\)")

    def test_all_files_of_a_run(self):
        said = self.done(
            "back", "pair.svg", "-o", "b.svg", "-o", "b.DXF", "-ob.png", "--report=b.json", "-o=c.svg"
        )
        self.assertTrue(said.endswith("Written: b.svg, b.DXF, c.svg, b.png, b.json\n"), said)
        self.assertEqual(self.get("b.svg"), self.get("c.svg"))
        self.assertEqual(self.get("b.png")[:8], b"\x89PNG\r\n\x1a\n")
        self.assertIn(b"$INSUNITS", self.get("b.DXF"))
        json.loads(self.get("b.json"))

    def test_further_sheets(self):
        report = self.report("back", "pair.svg", "--sheet", "40x40mm", "-o", "b.svg", "-o", "b.dxf")
        self.assertEqual(report["sheets"], 2)
        self.assertEqual([piece["sheet"] for piece in report["pieces"]], [1, 2])
        for name in ("b.svg", "b-2.svg", "b.dxf", "b-2.dxf"):
            self.assertIn(name, self.files())
        self.assertNotIn("b-3.svg", self.files())
        self.assertIn(b'width="40mm"', self.get("b-2.svg"))

    def points(self, name):
        """The ends of the lines of the one path in a drawing without arcs, y up."""
        page = ElementTree.fromstring(self.get(name))
        height = float(page.get("viewBox").split()[3])
        (path,) = page.iter("{http://www.w3.org/2000/svg}path")
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", path.get("d"))]
        return [(x, round(height - y, 4)) for x, y in zip(numbers[::2], numbers[1::2])]

    def test_mirror(self):
        # Worked by hand: x becomes 304.8 - x, and the direction stays counter-clockwise.
        self.put("t.svg", triangle([(20, 200), (60, 200), (20, 280)]))
        self.done("convert", "t.svg", "-o", "same.svg")
        self.done("convert", "t.svg", "--mirror", "-o", "mirrored.svg")
        self.assertEqual(sorted(self.points("same.svg")), [(20, 200), (20, 280), (60, 200)])
        self.assertEqual(
            sorted(self.points("mirrored.svg")), [(244.8, 200), (284.8, 200), (284.8, 280)]
        )

    def test_face_down_is_the_mirror_of_face_up(self):
        frame = triangle([(20, 200), (60, 200), (20, 280)]).replace(
            'd="M', 'fill-rule="evenodd" d="M0 0H304.8V304.8H0Z M'
        )
        self.put("f.svg", frame)
        for face in ("up", "down"):
            self.done(
                "back", "f.svg", "--face", face, "--arrange", "place", "--curves", "lines", "-o", face + ".svg"
            )
        up, down = self.points("up.svg"), self.points("down.svg")
        self.assertEqual(len(up), len(down))
        mirrored = sorted((304.8 - x, y) for x, y in up)
        for (x0, y0), (x1, y1) in zip(mirrored, sorted(down)):
            self.assertAlmostEqual(x0, x1, delta=1e-3)
            self.assertAlmostEqual(y0, y1, delta=1e-3)
        # Seen from the front it lies over the opening at the left.
        self.assertLess(max(x for x, _ in up), 100)

    def test_true_width(self):
        report = self.report("back", "pair.svg", "--width", "200mm", "--seam", "2mm")
        self.assertEqual(report["frame_box_mm"], [0, 0, 200, 120])
        self.assertEqual(report["pieces"][0]["width_mm"], 44)

    def test_title(self):
        for title, shown in [
            ("<title>\n  A &amp;\n  B </title>", "A &amp; B"),
            ("<title> </title>", "t.svg"),
            ("", "t.svg"),
        ]:
            self.put("t.svg", PAIR.replace("<path", title + "<path"))
            self.done("back", "t.svg", "-o", "b.svg")
            self.assertIn(("<title>Backings: %s</title>" % shown).encode(), self.get("b.svg"))

    def test_names_that_begin_with_a_dash(self):
        self.put("-f.svg", PAIR)
        self.done("back", "./-f.svg", "-o", "./-b.svg")
        self.done("back", "-o", "b.svg", "--", "-f.svg")
        self.assertIn("-b.svg", self.files())


class Mat(Folder):
    def test_sizes(self):
        # Elementary arithmetic: 5 3/4 + 2/8 = 6, 3 3/4 + 2/8 = 4.
        said = self.done("mat", "--photo", "5.75x3.75in", "--reveal", "1/8in", "--units", "in")
        self.assertRegex(said, r"(?m)^mat +6 x 4 in \(152.4 x 101.6 mm\)$")
        said = self.done("mat", "--photo", "5 3/4 x 3 3/4 in", "--reveal", "1/8in", "--units", "in")
        self.assertRegex(said, r"(?m)^mat +6 x 4 in")

    def test_window(self):
        # Source: a public teaching page on framing (1998): photo 8 x 10, overlap 1/4, board
        # 11 x 14: opening 7 1/2 x 9 1/2, borders 1 3/4 and 2 1/4 in.
        report = self.report(
            "mat", "--photo", "8x10in", "--window", "--overlap", "1/4in", "--board", "11x14in"
        )
        x0, y0, _, _ = report["opening_box_mm"]
        for millimetres, inches in zip(
            report["opening_mm"] + report["mat_mm"] + [x0, y0], [7.5, 9.5, 11, 14, 1.75, 2.25]
        ):
            self.assertAlmostEqual(millimetres, inches * 25.4, delta=1e-4)
        self.assertAlmostEqual(report["area_mm2"], (11 * 14 - 7.5 * 9.5) * 25.4**2, delta=1e-3)

    def test_round_corners(self):
        report = self.report("mat", "--photo", "100x60mm", "--reveal", "3mm", "--corner", "8mm")
        # Elementary: four corners lose r^2 - pi r^2 / 4 each.
        self.assertAlmostEqual(report["area_mm2"], 106 * 66 - (4 - math.pi) * 64, delta=1e-3)

    def test_the_photos_place_is_drawn(self):
        self.done("mat", "--photo", "100x60mm", "--reveal", "3mm", "-o", "m.svg", "-o", "m.png")
        groups = ElementTree.fromstring(self.get("m.svg")).iter("{http://www.w3.org/2000/svg}g")
        self.assertEqual({group.get("id") for group in groups}, {"Drawing", "Cutting"})


    def test_window_by_its_style(self):
        by_option = self.report("mat", "--photo", "8x10in", "--window", "--border", "2in")
        by_style = self.report("mat", "--photo", "8x10in", "--style", "window", "--border", "2in")
        self.assertEqual(by_option, by_style)

    def test_a_mat_is_a_shape(self):
        self.done("mat", "--photo", "100x60mm", "--reveal", "3mm", "-o", "mat.svg")
        self.done(
            "shape", "plain", "photo-width=100mm", "photo-height=60mm", "reveal=3mm", "--places", "-o", "shape.svg"
        )
        self.assertEqual(self.get("mat.svg"), self.get("shape.svg"))

    def test_every_style(self):
        """Each shape of the two families is a mat, with the photo's place on it."""
        for family, words in (
            ("mats", ("--reveal", "12mm")),
            ("windows", ("--overlap", "4mm", "--border", "30mm")),
        ):
            tried = 0
            for shape in self.report("shapes", family)["shapes"]:
                parameters = {
                    parameter["name"]
                    for parameter in self.report("shapes", shape["name"])["parameters"]
                }
                if "photo-width" not in parameters:
                    continue  # a shape for photos, but without their size
                tried += 1
                given = [
                    word
                    for option, value in zip(words[::2], words[1::2])
                    if option[2:] in parameters
                    for word in (option, value)
                ]
                report = self.report("mat", "--style", shape["name"], "--photo", "150x100mm", *given)
                self.assertEqual(report["style"], shape["name"])
                if "photo_mm" not in report:
                    continue
                self.assertEqual(report["photo_mm"], [150, 100], shape["name"])
                x0, y0, x1, y1 = report["photo_box_mm"]
                self.assertGreaterEqual(min(x0, y0), 0, shape["name"])
                self.assertLessEqual(x1, report["mat_mm"][0], shape["name"])
                self.assertLessEqual(y1, report["mat_mm"][1], shape["name"])
            self.assertGreater(tried, 5)


class Shapes(Folder):
    DISC = """<shape xmlns="urn:rabbet:shape:1">
  <title>Disc</title>
  <about>A round piece.</about>
  <length name="radius" usual="10mm" least="1mm" most="50mm">Radius</length>
  <choice name="hole" usual="none" about="What is in the middle">
    <one name="none">nothing</one>
    <one name="round">a small hole</one>
  </choice>
  <paper><difference>
    <circle radius="radius"/>
    <circle when="hole = 'round'" radius="radius / 4"/>
  </difference></paper>
</shape>
"""

    def test_lists(self):
        said = self.done("shapes")
        report = self.report("shapes")["shapes"]
        for shape in report:
            self.assertRegex(said, r"(?m)^  %s\b" % re.escape(shape["name"]))
            self.assertIn(shape["family"] + "\n", said)
        kinds = [shape["kind"] for shape in report]
        # What the library is meant to hold at least.
        self.assertGreaterEqual(kinds.count("shape"), 60)
        self.assertGreaterEqual(kinds.count("motif"), 30)
        self.assertLessEqual(max(len(line) for line in said.splitlines()), 78)
        family = self.report("shapes", "mats")["shapes"]
        self.assertEqual({shape["family"] for shape in family}, {"mats"})

    def test_each_shape_says_how_it_is_used(self):
        """The example line of each shape and motif works as it stands (of each family one with its
        picture, which takes longest), and each can be written with its usual values."""
        families = set()
        for shape in self.report("shapes")["shapes"]:
            name = shape["name"]
            said = self.done("shapes", name, "-o", "usual.svg")
            self.assertIn(shape["about"].split()[0], said)
            (line,) = re.findall(r"(?m)^  (rabbet .*)$", said)
            words = shlex.split(line)[1:]
            self.assertEqual(words[-4:], ["-o", name + ".svg", "-o", name + ".png"])
            self.done(*(words[:-2] if shape["family"] in families else words))
            families.add(shape["family"])
            self.assertIn(name + ".svg", self.files())

    def test_parameters(self):
        self.put("my-disc.xml", self.DISC)
        report = self.report("shapes", "my-disc", "--library", ".")
        self.assertEqual((report["family"], report["kind"], report["file"]), ("own", "shape", "./my-disc.xml"))
        radius, hole = report["parameters"]
        self.assertEqual(
            (radius["usual"], radius["least"], radius["most"], radius["unit"]), (10, 1, 50, "mm")
        )
        self.assertEqual([choice["name"] for choice in hole["choices"]], ["none", "round"])
        said = self.done("shapes", "my-disc", "--library", ".", "--units", "in")
        self.assertIn("usual ≈ 3/8 in (10 mm)", said)
        self.assertIn("round: a small hole", said)
        self.done("shapes", "my-disc", "--library", ".", "-o", "d.png", "-o", "d.dxf")
        self.assertEqual(self.get("d.png")[:8], b"\x89PNG\r\n\x1a\n")

    def test_report(self):
        self.put("my-disc.xml", self.DISC)
        report = self.report("shape", "my-disc", "radius=20mm", "hole=round", "--library", ".")
        self.assertEqual(report["values"], {"radius_mm": 20, "hole": "round"})
        # Elementary: pi r^2 and 2 pi r of both circles.
        self.assertAlmostEqual(report["area_mm2"], math.pi * (400 - 25), delta=1e-3)
        self.assertAlmostEqual(report["perimeter_mm"], 2 * math.pi * 25, delta=1e-3)
        self.assertEqual(report["box_mm"], [0, 0, 40, 40])
        self.assertEqual((report["pieces"], report["openings"], report["vertices"]), (1, 1, 4))

    def test_face_down_is_left_for_right(self):
        self.put(
            "flag.xml",
            """<shape xmlns="urn:rabbet:shape:1"><title>Flag</title><about>Half a rectangle.</about>
            <length name="width" usual="40mm" least="1mm" most="50mm">Width</length>
            <paper><outline><start x="0" y="0"/><line x="width"/><line x="0" y="80mm"/></outline></paper>
            <crease><path><start x="0" y="10mm"/><line x="10mm"/></path></crease></shape>""",
        )
        drawn = {}
        for face in ("up", "down"):
            self.done("shape", "flag", "--library", ".", "--face", face, "-o", face + ".svg")
            page = ElementTree.fromstring(self.get(face + ".svg"))
            drawn[face] = {
                group.get("id"): sorted(
                    float(x)
                    for path in group.iter("{http://www.w3.org/2000/svg}path")
                    for x in re.findall(r"([\d.]+)[ ,]+[\d.]+", path.get("d"))
                )
                for group in page.iter("{http://www.w3.org/2000/svg}g")
            }
        self.assertEqual(drawn["up"], {"Creasing": [0, 10], "Cutting": [0, 0, 40]})
        self.assertEqual(drawn["down"], {"Creasing": [30, 40], "Cutting": [0, 40, 40]})

    def test_own_folders(self):
        """XDG Base Directory Specification: the data folder of the user comes before the system's,
        of these the first before the later ones; folders that are not absolute are left out."""
        for folder, millimetres in (("home", 11), ("first", 12), ("second", 13), ("library", 14)):
            path = self.path(folder if folder == "library" else folder + "/rabbet/shapes")
            os.makedirs(path)
            text = self.DISC.replace('usual="10mm"', 'usual="%dmm"' % millimetres)
            with open(os.path.join(path, "my-disc.xml"), "w", encoding="utf-8") as file:
                file.write(text)

        def radius(*words, **environment):
            ran = self.rabbet(
                "shape", "my-disc", "--report", "r.json", *words, environment=dict(ENVIRONMENT, **environment)
            )
            self.assertEqual(ran.returncode, DONE, ran.stderr)
            report = json.loads(self.get("r.json"))
            codes = [warning["code"] for warning in report["warnings"]]
            return report["values"]["radius_mm"], codes

        home, first, second = (self.path(name) for name in ("home", "first", "second"))
        self.assertEqual(radius(XDG_DATA_HOME=home), (11, []))
        self.assertEqual(radius(XDG_DATA_DIRS=first + ":" + second), (12, ["own-shape"]))
        self.assertEqual(radius(XDG_DATA_DIRS=second + "/:" + first), (13, ["own-shape"]))
        self.assertEqual(
            radius(XDG_DATA_HOME=home, XDG_DATA_DIRS=first), (11, ["own-shape"])
        )
        self.assertEqual(radius("--library", "library", XDG_DATA_HOME=home), (14, ["own-shape"]))
        self.assertEqual(radius("--library", "library", XDG_DATA_HOME="home"), (14, []))
        os.makedirs(self.path(".local/share/rabbet"))
        os.rename(self.path("home/rabbet/shapes"), self.path(".local/share/rabbet/shapes"))
        self.assertEqual(radius(XDG_DATA_HOME="", HOME=self.folder), (11, []))


class Convert(Folder):
    def test_counts_and_size(self):
        said = self.done("convert", "pair.svg")
        self.assertRegex(
            said, r"^3 outlines \(before: 3\), 12 vertices \(before: 12, from 12 lines and curves\), 100 x 60 mm \(≈ .* in\)\n$"
        )

    def test_a_circle_in_crumbs(self):
        """Points on a circle, so close that inspect calls the lines crumbs; the circle has none."""
        points = [(20 + 10 * math.cos(math.tau * i / 900), 20 + 10 * math.sin(math.tau * i / 900))
                  for i in range(900)]
        self.put("crumbs.svg", '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" '
                 'viewBox="0 0 40 40"><path d="M%sZ"/></svg>' % " L".join("%.4f %.4f" % p for p in points))
        codes = [t["code"] for t in self.report("inspect", "crumbs.svg")["troubles"]]
        self.assertEqual(codes, ["short-lines"])
        report = self.report("convert", "crumbs.svg", "-o", "d.svg")
        self.assertEqual((report["vertices_before"], report["vertices"]), (900, 2))
        self.assertEqual(self.report("inspect", "d.svg")["troubles"], [])
        (circle,) = ElementTree.fromstring(self.get("d.svg")).iter("{http://www.w3.org/2000/svg}circle")
        self.assertAlmostEqual(float(circle.get("r")), 10, delta=0.001)

    def test_a_circle_drawn_as_curves(self):
        # The usual constant for a quarter circle as a cubic: 4/3 (sqrt 2 - 1) = 0.5522847498.
        k = 10 * 4 / 3 * (math.sqrt(2) - 1)
        path = "M30 20 C30 {a} {b} 30 20 30 C{c} 30 10 {a} 10 20 C10 {d} {c} 10 20 10 C{b} 10 30 {d} 30 20 Z"
        path = path.format(a=20 + k, b=20 + k, c=20 - k, d=20 - k)
        self.put(
            "c.svg",
            '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">'
            '<path d="%s"/></svg>' % path,
        )
        report = self.report("convert", "c.svg", "-o", "d.svg")
        self.assertEqual((report["outlines"], report["vertices"]), (1, 2))
        self.assertEqual(report["curves_before"], 4)
        (circle,) = ElementTree.fromstring(self.get("d.svg")).iter("{http://www.w3.org/2000/svg}circle")
        self.assertAlmostEqual(float(circle.get("r")), 10, delta=0.01)

    def test_open_ends(self):
        lines = '<path fill="none" stroke="black" d="M0 0H10V10H0V%s"/>'
        page = '<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm" viewBox="0 0 10 10">'
        self.put("near.svg", page + lines % "0.04" + "</svg>")
        self.put("far.svg", page + "\n" + lines % "0.4" + "</svg>")
        self.assertEqual(self.report("convert", "near.svg")["joined"], 1)
        ran = self.rabbet("convert", "far.svg", "-o", "a.svg")
        self.assertEqual(ran.returncode, GEOMETRY)
        self.assertRegex(ran.stderr.decode("utf-8"), r"far.svg:2: ")
        self.assertEqual(self.report("convert", "far.svg", "--join", "0.5mm")["joined"], 1)

    def test_a_page_too_small_is_made_to_fit(self):
        self.put("out.svg", PAIR.replace("M0 0H100V60H0Z", "M-10 -10H110V70H-10Z"))
        self.done("convert", "out.svg", "-o", "in.svg")
        self.assertIn(b'width="120mm"', self.get("in.svg"))

    def test_a_file_reads_back_as_itself(self):
        self.done("convert", LANTERN_WALK, "-o", "once.svg")
        self.done("convert", "once.svg", "--read", "lines", "-o", "twice.svg")
        once = self.report("convert", "once.svg", "--read", "lines")
        self.assertEqual(once["outlines"], 99)
        self.assertEqual(once["outlines_before"], once["outlines"])
        twice = self.report("convert", "twice.svg", "--read", "lines")
        self.assertEqual(twice["vertices"], once["vertices"])
        self.assertAlmostEqual(twice["area_mm2"], once["area_mm2"], delta=1e-3)


class SameBytes(Folder):
    """The language settings of the computer change nothing."""

    def test_german(self):
        # A locale of our own making: a comma for a decimal mark.
        subprocess.run(
            ["localedef", "--no-archive", "-i", "de_DE", "-f", "UTF-8", self.path("de_DE.UTF-8")],
            check=True,
            capture_output=True,
        )
        common = {key: value for key, value in ENVIRONMENT.items() if not key.startswith("LC_")}
        settings = {
            "c": dict(common, LC_ALL="C", LANG="C"),
            "german": dict(common, LC_ALL="de_DE.UTF-8", LANG="de_DE.UTF-8", LOCPATH=self.folder),
        }
        comma = subprocess.run(
            ["locale", "decimal_point"], env=settings["german"], capture_output=True, check=True
        )
        self.assertEqual(comma.stdout, b",\n")
        for command in (
            ("shape", "lancet-arch", "span=60.5mm"),
            ("edge", "scallop", "--length", "12in", "--width", "1in"),
            ("back", LANTERN_WALK, "--seam", "2.5mm"),
            ("convert", LANTERN_WALK, "--curves", "beziers"),
            ("mat", "--photo", "5.75x3.75in", "--reveal", "1/8in"),
        ):
            said = {}
            for name, environment in settings.items():
                os.makedirs(self.path(name), exist_ok=True)
                outputs = ["o.svg", "o.dxf", "o.png"]
                words = [word for output in outputs for word in ("-o", output)]
                ran = subprocess.run(
                    [PROGRAM, *command, *words, "--report", "o.json"],
                    cwd=self.path(name),
                    env=environment,
                    capture_output=True,
                    timeout=60,
                    check=False,
                )
                self.assertEqual(ran.returncode, DONE, ran.stderr)
                said[name] = (ran.stdout, ran.stderr)
            self.assertEqual(said["c"], said["german"])
            for output in outputs + ["o.json"]:
                self.assertEqual(self.get("c/" + output), self.get("german/" + output), output)


class LanternWalk(Folder):
    def test_the_frame_is_what_its_program_draws(self):
        ran = subprocess.run([DRAW], capture_output=True, timeout=60, check=True)
        with open(LANTERN_WALK, "rb") as file:
            self.assertEqual(ran.stdout, file.read())

    def test_every_opening_is_found(self):
        with open(LANTERN_WALK, encoding="utf-8") as file:
            drawn = file.read()
        openings = drawn.count("<path") + drawn.count("<circle")
        report = self.report("back", LANTERN_WALK, "--seam", "2mm")
        self.assertEqual(len(report["openings"]), openings)
        self.assertGreaterEqual(openings, 30)
        self.assertEqual(len(report["pieces"]), openings)
        self.assertEqual(report["frame_box_mm"], [0, 0, 304.8, 304.8])


class Documents(Folder):
    """Every example in the documents and in the help runs as it stands."""

    def run_examples(self, lines, where):
        for line in lines:
            folder = tempfile.mkdtemp(dir=self.folder)
            for name in ("frame.svg", "traced.svg"):
                shutil.copy(LANTERN_WALK, os.path.join(folder, name))
            shutil.copy(os.path.join(os.path.dirname(LANTERN_WALK), "walk.xml"), folder)
            os.mkdir(os.path.join(folder, "my-shapes"))
            words = shlex.split(line)
            self.assertEqual(words[0], "rabbet", where)
            ran = subprocess.run(
                [PROGRAM, *words[1:]],
                cwd=folder,
                env=ENVIRONMENT,
                capture_output=True,
                timeout=60,
                check=False,
            )
            self.assertEqual(ran.returncode, DONE, (where, line, ran.stderr))
            for word, name in zip(words, words[1:]):
                if word == "-o":
                    self.assertIn(name, os.listdir(folder), (where, line))

    def test_documents(self):
        pages = [os.path.join(SOURCE, "README.md")]
        docs = os.path.join(SOURCE, "docs")
        pages += [os.path.join(docs, name) for name in sorted(os.listdir(docs)) if name.endswith(".md")]
        found = 0
        pages.remove(OWN_SHAPES)  # runs with the files that it makes, below
        for page in pages:
            with open(page, encoding="utf-8") as file:
                lines = re.findall(r"(?m)^    (rabbet (?!.*\[).*)$", file.read())
            found += len(lines)
            self.run_examples(lines, page)
        self.assertGreaterEqual(found, 10)

    def test_own_shapes(self):
        """The page that leads to a shape of one's own, step by step: its files, its commands, and the
        messages that it shows."""
        with open(OWN_SHAPES, encoding="utf-8") as file:
            page = file.read()
        steps = re.findall(
            r"(?ms)^(?:[^\n]*`(my-shapes/[a-z-]+\.xml)`:\n\n```xml\n(.*?)^```$|"
            r"    (rabbet [^\n]*)(?:\n\n```text\n(.*?)^```$)?)",
            page,
        )
        self.assertEqual(sum(bool(step[0]) for step in steps), page.count("```xml"))
        self.assertEqual(sum(bool(step[3]) for step in steps), page.count("```text"))
        os.mkdir(self.path("my-shapes"))
        for name, text, line, message in steps:
            if name:
                self.put(name, text)
                continue
            ran = self.rabbet(*shlex.split(line)[1:])
            said = ran.stderr.decode("utf-8")
            self.assertEqual(said, message)
            self.assertEqual(ran.returncode == DONE, message == "", (line, said))

    def test_help(self):
        for command in COMMANDS:
            lines = re.findall(r"(?m)^      (rabbet .*)$", self.done(command, "--help"))
            self.assertGreater(len(lines), 2)
            self.run_examples(lines, command)


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0]])
