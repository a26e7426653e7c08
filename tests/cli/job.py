#!/usr/bin/env python3
"""rabbet check and make on whole jobs: job.py RABBET WALK

What the pieces should measure is worked out by hand from the job; files are read back here, by code
that shares nothing with rabbet.
"""
import json
import os
import re
import subprocess
import sys
import tempfile
import time
import unittest
from xml.etree import ElementTree

from PIL import Image

WALK = os.path.abspath(sys.argv.pop())
PROGRAM = os.path.abspath(sys.argv.pop())
SVG = "{http://www.w3.org/2000/svg}"
INCH = 25.4

SMALL = """<job xmlns="urn:rabbet:job:1" units="in" title="Quay" %s>
  <paper name="night" colour="#26344F"/>
  <paper name="amber" colour="#E6B450"/>
  <page side="left" paper="night" margin="1/2">
    <panel paper="amber" width="10" height="10"/>
    <photo name="quay" width="5 3/4" height="3 3/4"><mat paper="amber" reveal="1/8"/></photo>
  </page>
</job>
"""


class Job(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = folder.name

    def put(self, name, text):
        with open(os.path.join(self.folder, name), "w", encoding="utf-8") as file:
            file.write(text)

    def get(self, *parts):
        with open(os.path.join(self.folder, *parts), "rb") as file:
            return file.read()

    def run_it(self, *words):
        return subprocess.run([PROGRAM, *words], cwd=self.folder, capture_output=True, text=True)

    def done(self, *words):
        ran = self.run_it(*words)
        self.assertEqual(ran.returncode, 0, ran.stderr)
        return ran

    def test_mat_by_hand(self):
        """Common practice: a reveal of 1/8 in round 5 3/4 x 3 3/4 in is a mat of 6 x 4 in; a panel of 10
        x 10 in on a page of 12 x 12 in leaves 1 in all round."""
        self.put("job.xml", SMALL % "")
        self.done("make", "job.xml", "-d", "out")
        pieces = json.loads(self.get("out", "pieces.json"))["pieces"]
        sizes = {p["kind"]: (p["width_mm"], p["height_mm"]) for p in pieces}
        self.assertAlmostEqual(sizes["mat"][0], 6 * INCH, delta=1e-4)
        self.assertAlmostEqual(sizes["mat"][1], 4 * INCH, delta=1e-4)
        panel = next(p for p in pieces if p["kind"] == "panel")
        for value, want in zip(panel["box_mm"], (1, 1, 11, 11)):
            self.assertAlmostEqual(value, want * INCH, delta=1e-4)

    def outlines(self, name):
        """The boxes of the closed cuts of an SVG: their widths and heights, arcs by their ends only."""
        page = ElementTree.fromstring(self.get("out", name))
        sizes = []
        for group in page.findall(SVG + "g"):
            if group.get("id") != "Cutting":
                continue
            for path in group.findall(SVG + "path"):
                self.assertTrue(path.get("d").endswith("Z"), name)
                sizes.append(path.get("class"))
            sizes += [c.get("class") for c in group.findall(SVG + "circle")]
        return sizes

    def test_pieces_agree(self):
        """The demonstration: every piece of the list that is not trimmed is in its paper's cut files, once for
        each copy, and nothing else is."""
        with open(WALK, encoding="utf-8") as file:
            self.put("walk.xml", file.read())
        self.done("make", "walk.xml", "-d", "out")
        report = json.loads(self.get("out", "pieces.json"))
        wanted = {}
        for piece in report["pieces"]:
            if "paper" in piece and piece["tool"] != "trimmer":
                wanted[piece["paper"]] = wanted.get(piece["paper"], 0) + 1
        for paper, count in wanted.items():
            found = set()
            names = [n for n in os.listdir(os.path.join(self.folder, "out"))
                     if re.fullmatch(paper + r"(\.\d+)?\.svg", n)]
            for name in names:
                found |= {(name, c) for c in self.outlines(name)}
            self.assertEqual(len({c for _, c in found}), count, paper)
        self.assertEqual(sum(p["kind"] == "photo" for p in report["pieces"]), 9)
        self.assertEqual(sum(p["kind"] == "filler" for p in report["pieces"]), 4)
        self.assertEqual(len({(p["width_mm"], p["height_mm"]) for p in report["pieces"]
                              if p["kind"] == "photo"}), 3)
        backings = [p for p in report["pieces"] if p["kind"] == "backing" and "arcade" in p["what"]]
        self.assertEqual(len({p["paper"] for p in backings}), 5)
        self.assertEqual(len(backings), 31 - 5 - 1)  # every sixth, and the middle, left open
        for name in ("left.png", "right.png", "spread.png"):
            self.assertEqual(self.get("out", name)[:8], b"\x89PNG\r\n\x1a\n")
        self.assertEqual(self.get("out", "title.pdf")[:5], b"%PDF-")
        self.assertIn("Recovered from a hidden centre: 5 1/2 x 5 1/2 in",
                      self.get("out", "pieces.txt").decode())

    def test_same_bytes(self):
        self.put("job.xml", SMALL % "")
        self.done("make", "job.xml", "-d", "out")
        before = {n: self.get("out", n) for n in os.listdir(os.path.join(self.folder, "out"))}
        self.done("make", "job.xml", "-d", "out")
        after = {n: self.get("out", n) for n in os.listdir(os.path.join(self.folder, "out"))}
        self.assertEqual(before, after)

    def laid(self):
        """What pieces.json says of the sheets: name, box and turned of each piece."""
        pieces = json.loads(self.get("out", "pieces.json"))["pieces"]
        return [(p["what"], on["sheet"], on["box_mm"], on["turned"])
                for p in pieces for on in p["on_sheets"]]

    def path_box(self, name):
        """Of an SVG of straight lines, y up."""
        page = ElementTree.fromstring(self.get("out", name))
        height = float(page.get("viewBox").split()[3])
        numbers = [float(n) for path in page.iter(SVG + "path")
                   for n in re.findall(r"[-\d.]+", path.get("d"))]
        return [min(numbers[::2]), height - max(numbers[1::2]), max(numbers[::2]),
                height - min(numbers[1::2])]

    def test_turned_on_the_sheet(self):
        """A panel of 11 x 9 in lies on sheets of 9 x 11 in only when it is turned; a half turn is no help."""
        job = (SMALL % "").replace('colour="#E6B450"/>', 'colour="#E6B450" width="9" height="11"%s/>'
                                   ).replace('width="10" height="10"', 'width="11" height="9"')
        self.put("job.xml", job % "")
        self.assertRegex(self.done("make", "job.xml", "-d", "out").stdout, r"panel +amber .* turned ")
        self.assertIn(("panel", "amber", [0, 0, 9 * INCH, 11 * INCH], True), self.laid())
        for value, want in zip(self.path_box("amber.svg"), (0, 0, 9 * INCH, 11 * INCH)):
            self.assertAlmostEqual(value, want, delta=1e-4)
        self.put("job.xml", job % ' turn="half"')
        ran = [self.run_it("check", "job.xml"), self.run_it("make", "job.xml", "-d", "other")]
        for said in ran:
            self.assertEqual(said.returncode, 1)
            self.assertIn("would have to be turned sideways", said.stderr)
        self.assertEqual(ran[0].stderr, ran[1].stderr)

    def test_names_of_sheets(self):
        """A paper's second sheet is not a paper that is called like it."""
        job = (SMALL % 'kits="2"').replace("<page", '<paper name="amber-2" colour="#111111"/><page')
        job = job.replace("<photo", '<panel paper="amber-2" width="5" height="5"/><photo')
        self.put("job.xml", job)
        self.done("make", "job.xml", "-d", "out")
        self.assertLessEqual({"amber.svg", "amber.2.svg", "amber-2.svg", "amber.dxf", "amber.2.dxf"},
                             set(os.listdir(os.path.join(self.folder, "out"))))
        self.put("job.xml", (SMALL % "").replace("<photo", '<text name="left-plan" paper="night" width="3" '
                                                 'height="1">Lamps</text><photo'))
        ran = self.run_it("check", "job.xml")
        self.assertEqual(ran.returncode, 2)
        self.assertRegex(ran.stderr, "job.xml:6: .*left-plan.*another name")

    def test_by_hand(self):
        """What a cutter is not to cut, or does not reach, is drawn by itself."""
        job = (SMALL % "").replace("<page", '<cutter bed-width="6" bed-height="6 1/4"/><page')
        self.put("job.xml", job)
        self.assertEqual(self.run_it("check", "job.xml").returncode, 1)
        self.put("job.xml", job.replace("<panel", '<panel cut="hand"'))
        self.done("check", "job.xml")
        self.done("make", "job.xml", "-d", "out")
        self.assertEqual([(what, sheet) for what, sheet, _, _ in self.laid()],
                         [("panel", "amber.hand"), ("mat of quay", "amber")])
        box = self.path_box("amber.svg")
        self.assertLessEqual(box[2], 6 * INCH + 1e-6)
        self.assertLessEqual(box[3], 6.25 * INCH + 1e-6)
        # an option knows better than the job
        ran = self.run_it("make", "job.xml", "-d", "other", "--bed", "5x5in")
        self.assertEqual(ran.returncode, 1)
        self.assertIn("larger than the cutter reaches", ran.stderr)

    def test_labels(self):
        """Letters are drawn where the photo covers the mat: 6 x 4 in less 1/8 in all round; face down anywhere,
        on the back."""
        self.put("job.xml", (SMALL % "").replace("<page", "<cutter/><page", 1))
        self.done("make", "job.xml", "-d", "up", "--labels")
        self.done("make", "job.xml", "-d", "down", "--labels", "--face", "down")
        letters = {p["what"]: p["letter"] for p in json.loads(self.get("up", "pieces.json"))["pieces"]}
        self.assertEqual(letters["mat of quay"], "B")
        for folder, spare in (("up", INCH / 8), ("down", 0)):
            root = ElementTree.fromstring(self.get(folder, "amber.2.svg"))
            drawn = {group.get("id"): [self.box_of(path) for path in group.iter(SVG + "path")]
                     for group in root.iter(SVG + "g")}
            ((x0, y0, x1, y1),) = drawn["Cutting"]
            self.assertAlmostEqual(x1 - x0, 6 * INCH, delta=1e-5)
            self.assertGreater(len(drawn["Drawing"]), 0)
            for a0, b0, a1, b1 in drawn["Drawing"]:
                self.assertGreater(min(a0 - x0, b0 - y0, x1 - a1, y1 - b1), spare)
                self.assertLessEqual(b1 - b0, 4 + 1e-6)

    @staticmethod
    def box_of(path):
        """Of the ends of its lines and arcs."""
        ends = [part.split()[-2:] for part in re.findall(r"[MLA][-\d. ]+", path.get("d").replace("\n", " "))]
        x, y = [float(a) for a, _ in ends], [float(b) for _, b in ends]
        return min(x), min(y), max(x), max(y)

    def test_check_knows_what_make_cannot(self):
        """A picture that is cut short, a kerf in which an opening vanishes: both are told before anything is made."""
        picture = b"\xff\xd8\xff\xc0\x00\x0b\x08\x03\x84\x05\x46\x01\x01\x11\x00"  # 1350 x 900, no more
        with open(os.path.join(self.folder, "quay.jpg"), "wb") as file:
            file.write(picture)
        photo = (SMALL % "").replace('<photo name="quay"', '<photo name="quay" image="quay.jpg"')
        self.put("slit.svg", '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" '
                 'viewBox="0 0 90 90"><path fill-rule="evenodd" d="M0 0h90v90h-90z M10 10h70v0.3h-70z"/></svg>')
        slit = self.frame("slit.svg").replace("<page", '<cutter kerf="0.5mm"/><page')
        for job, status, words in ((photo, 2, "job.xml:6: quay.jpg: .*damaged"),
                                   (slit, 1, "job.xml:6: frame: the opening of .* vanishes")):
            self.put("job.xml", job)
            ran = [self.run_it("check", "job.xml"), self.run_it("make", "job.xml", "-d", "out")]
            for said in ran:
                self.assertEqual(said.returncode, status, said.stderr)
                self.assertRegex(said.stderr, words)
            self.assertEqual(ran[0].stderr, ran[1].stderr)
        self.assertNotIn("out", os.listdir(self.folder))

    def test_large_pages(self):
        """What is checked is made: pages of 75 in have their pictures, in fewer dots."""
        large = (SMALL % "").replace('side="left"', 'side="left" width="75" height="75"')
        page = re.search(r"  <page.*</page>\n", large, re.S).group(0)
        self.put("job.xml", large.replace(page, page + page.replace("left", "right")
                                          .replace('name="quay"', 'name="mole"')))
        self.done("check", "job.xml")
        self.done("make", "job.xml", "-d", "out")
        self.assertIn("spread.png", os.listdir(os.path.join(self.folder, "out")))
        self.put("job.xml", large.replace('"75"', '"79"'))
        self.assertIn("job.xml:4: the page is larger than 2000 mm", self.run_it("check", "job.xml").stderr)

    def test_corners_and_webs(self):
        """What would tear is told with its line: less than 2 mm with a cutter, 3 mm by hand (common practice, no
        source)."""
        text = """<job xmlns="urn:rabbet:job:1" units="mm">
<paper name="night" colour="#26344F"/><cutter/>
<page side="left" paper="night">
<frame paper="night" shape="grid-frame" cut="%s"><set name="web" to="2.5mm"/></frame>
</page></job>
"""
        for tool, told in (("cutter", False), ("hand", True)):
            self.put("job.xml", text % tool)
            ran = self.done("check", "job.xml")
            self.assertEqual("job.xml:4: warning: frame" in ran.stderr and "web of 2.5 mm" in ran.stderr, told,
                             ran.stderr)
            self.done("make", "job.xml", "-d", tool)
            with Image.open(os.path.join(self.folder, tool, "left-plan.png")) as plan:
                colours = plan.convert("RGB").getcolors(1 << 24)
            # rings: D55E00 of Okabe and Ito's palette
            self.assertEqual(any(c == (0xD5, 0x5E, 0) for _, c in colours), told)

    def test_bed_face_down(self):
        """A panel of 10 in on a sheet of 12 of which 1 in at the left cannot be reached, whichever face is up."""
        self.put("job.xml", (SMALL % "").replace("<page", '<cutter margin-left="1"/><page', 1))
        for face in ("up", "down"):
            self.done("make", "job.xml", "-d", face, "--face", face)
            root = ElementTree.fromstring(self.get(face, "amber.svg"))
            boxes = [self.box_of(path) for path in root.iter(SVG + "path")]
            self.assertGreaterEqual(min(box[0] for box in boxes), INCH - 1e-4)

    def test_files_asked_for(self):
        job = (SMALL % "").replace("<page", "<cutter/>%s<page", 1)
        both = {"amber.svg", "amber.dxf", "amber.2.svg", "amber.2.dxf"}
        plans = {"left.png", "left-plan.pdf", "left-plan.png"}
        lists = {"pieces.txt", "pieces.json"}
        for number, (files, want) in enumerate((
                ("", both | plans | lists),
                ('<files svg="no" pdf="yes" plt="yes" plans="no"/>',
                 {"amber.dxf", "amber.2.dxf", "amber.pdf", "amber.2.pdf", "amber.plt", "amber.2.plt", "left.png"} | lists),
                ('<files svg="no" dxf="no" pages="no" plans="no" texts="no"/>', lists))):
            self.put("job.xml", job % files)
            out = str(number)
            self.done("make", "job.xml", "-d", out)
            self.assertEqual(set(os.listdir(os.path.join(self.folder, out))), want)

    def test_words_in_an_opening(self):
        """Openings are (304.8 - 2 x 12.7 - 4 x 8) / 5 = 49.48 mm large: with 1/8 in to spare all round a block is 55.83
        at least. 3/16 in along its edges stay free of words, so they are all seen up to 59.005 mm."""
        text = """<job xmlns="urn:rabbet:job:1" units="mm">
<paper name="night" colour="#FFFFFF"/><cutter/>%s
<page side="left" paper="night">
<frame paper="night" shape="grid-frame"><set name="web" to="8mm"/>
<show opening="3"><text name="%s" paper="night" width="%s" height="57">Lamps</text></show></frame>
</page></job>
"""
        for width, told in (("59", ""), ("59.1", "may have words that the frame hides")):
            self.put("job.xml", text % ("", "lamps", width))
            ran = self.done("make", "job.xml", "-d", "out")
            self.assertEqual(bool(told), "words that the frame hides" in ran.stderr, ran.stderr)
        pieces = {p["what"]: p for p in json.loads(self.get("out", "pieces.json"))["pieces"]}
        self.assertEqual(pieces["text lamps"]["width_mm"], 59.1)
        self.assertIn("lamps.pdf", os.listdir(os.path.join(self.folder, "out")))
        self.put("job.xml", text % ("", "lamps", "55"))
        self.assertRegex(self.run_it("check", "job.xml").stderr, "text lamps does not cover opening 3")
        # its file would be that of a paper
        self.put("job.xml", text % ('<files pdf="yes"/>', "night", "57"))
        self.assertRegex(self.run_it("check", "job.xml").stderr, "^job.xml:5: .*night.pdf")

    def test_kits(self):
        """40 kits and 5 percent more are 42."""
        self.put("job.xml", SMALL % 'kits="40" spare="5"')
        said = self.done("check", "job.xml").stdout
        self.assertRegex(said, r"panel +amber +42 ")

    def test_all_faults_at_once(self):
        self.put("job.xml", (SMALL % "").replace('reveal="1/8"', 'reveal="x"').replace(
            'paper="amber" width="10"', 'paper="ambre" width="10"'))
        ran = self.run_it("check", "job.xml")
        self.assertEqual(ran.returncode, 2)
        self.assertRegex(ran.stderr, r"job.xml:5: .*ambre.*amber")
        self.assertRegex(ran.stderr, r"job.xml:6: .*reveal")

    def test_nothing_half_written(self):
        self.put("job.xml", (SMALL % "").replace('width="10"', 'width="13"'))
        ran = self.run_it("make", "job.xml", "-d", "out")
        self.assertNotEqual(ran.returncode, 0)
        self.assertIn("beyond the page", ran.stderr)
        self.assertNotIn("out", os.listdir(self.folder))

    def frame(self, path):
        return (SMALL % "").replace("<photo", '<frame paper="night" file="%s"/><photo' % path)

    def test_files_outside(self):
        outer = os.path.dirname(self.folder)
        inner = os.path.basename(self.folder)
        os.mkdir(os.path.join(self.folder, "job"))
        drawing = ('<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">'
                   '<path fill-rule="evenodd" d="M0 0h90v90h-90z M10 10h70v70h-70z"/></svg>')
        self.put("frame.svg", drawing)
        self.put("job/inside.svg", drawing)
        os.symlink(os.path.join(self.folder, "frame.svg"), os.path.join(self.folder, "job", "link.svg"))
        for path in ("../frame.svg", os.path.join(self.folder, "frame.svg"), "link.svg",
                     "../%s/frame.svg" % inner, "x/../../frame.svg"):
            self.put("job/job.xml", self.frame(path))
            ran = self.run_it("check", "job/job.xml")
            self.assertEqual(ran.returncode, 2, (path, ran.stderr))
            self.assertIn("outside", ran.stderr)
        self.put("job/job.xml", self.frame("../frame.svg"))
        self.done("check", "job/job.xml", "--outside")
        self.put("job/job.xml", self.frame("inside.svg"))
        self.done("check", "job/job.xml")
        self.put("job/job.xml", self.frame("none.svg"))
        ran = self.run_it("check", "job/job.xml")
        self.assertEqual(ran.returncode, 3, ran.stderr)
        self.assertIn("job.xml:6: frame: none.svg: no such file", ran.stderr.replace("job/", ""))
        self.assertTrue(outer)
        # pictures too; a job that names itself
        photo = (SMALL % "").replace('name="quay"', 'name="quay" image="%s"')
        os.symlink(os.path.join(self.folder, "frame.svg"), os.path.join(self.folder, "job", "link.png"))
        for job, path, status, words in ((photo, "../quay.png", 2, "outside"), (photo, "link.png", 2, "outside"),
                                         (photo, "none.png", 3, "no such file"), (photo, "job.xml", 2, "neither"),
                                         (photo, ".", 2, "outside"), (self.frame("%s"), "job.xml", 2, "root is <job>"),
                                         (self.frame("%s"), "pipe.svg", 3, "pipe")):
            if path == "pipe.svg":
                os.mkfifo(os.path.join(self.folder, "job", path))
            self.put("job/job.xml", job % path)
            ran = self.run_it("make", "job/job.xml", "-d", "out")
            self.assertEqual(ran.returncode, status, (path, ran.stderr))
            self.assertRegex(ran.stderr, "job/job.xml:6: .*" + words)
            self.assertNotIn("out", os.listdir(self.folder))

    def test_earlier_files_stay(self):
        """When one file cannot be put in its place, what was there before is as it was."""
        self.put("job.xml", SMALL % "")
        os.makedirs(os.path.join(self.folder, "out", "spread.png"))
        os.mkdir(os.path.join(self.folder, "out", "left.png"))
        self.put("out/amber.svg", "mine")
        ran = self.run_it("make", "job.xml", "-d", "out")
        self.assertEqual(ran.returncode, 3)
        self.assertIn("left.png", ran.stderr)
        self.assertEqual(self.get("out", "amber.svg"), b"mine")
        self.assertEqual(sorted(os.listdir(os.path.join(self.folder, "out"))),
                         ["amber.svg", "left.png", "spread.png"])
        self.put("file", "no folder")
        self.assertEqual(self.run_it("make", "job.xml", "-d", "file").returncode, 3)
        self.assertEqual(self.get("file"), b"no folder")

    def test_as_much_as_a_file_holds(self):
        """10,000 elements, each with its fault, are told or refused in time; words are set for 100 blocks."""
        head, foot = (SMALL % "").split("    <panel")[0], "</page></job>"
        for item, status, words in (('<panel paper="amber" width="1" height="1"/>\n', 2, "more than 5000 pieces"),
                                    ('<photo width="1" height="1"/>\n', 2, "more than 5000 pieces"),
                                    ('<text paper="amber" width="2" height="1">a</text>\n', 2,
                                     "more than 100 blocks of words")):
            self.put("job.xml", head + item * 9990 + foot)
            begun = time.monotonic()
            ran = self.run_it("check", "job.xml")
            self.assertEqual(ran.returncode, status, ran.stderr[:200])
            self.assertIn(words, ran.stderr)
            self.assertLess(time.monotonic() - begun, 10)

    def test_wrong_words(self):
        self.put("job.xml", SMALL % "")
        self.assertEqual(self.run_it("make", "job.xml").returncode, 2)
        self.assertEqual(self.run_it("make", "job.xml", "-d", "no/where/at/all").returncode, 3)
        self.assertEqual(self.run_it("check", "none.xml").returncode, 3)
        self.put("broken.xml", "<job")
        ran = self.run_it("check", "broken.xml")
        self.assertEqual(ran.returncode, 2)
        self.assertIn("broken.xml:1", ran.stderr)


unittest.main()
