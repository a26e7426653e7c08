#!/usr/bin/python3
"""Pages as they will look, blocks of words and plans of pages, as other programs see them: Pillow,
pypdf and poppler.

usage: check_views.py VIEWS   (the program built from views.c, which says what is on its pages)
"""
import os
import re
import struct
import subprocess
import sys
import tempfile
from fractions import Fraction

import numpy
import pypdf
from PIL import Image

INCH = 25.4
failures = []


def check(true, words):
    if not true:
        failures.append(words)


def load(path):
    with Image.open(path) as image:
        return numpy.asarray(image.convert("RGB")).astype(int)


def dots_per_metre(path):
    with open(path, "rb") as file:
        head = file.read(54)
    assert head[37:41] == b"pHYs", path
    return struct.unpack(">IIB", head[41:50])


def run(*command):
    return subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout.decode()


# ---- pages as they will look ----------------------------------------------------------------


def colour(number):
    return numpy.array([number >> 16 & 255, number >> 8 & 255, number & 255])


def at(picture, x_in, y_in):
    """The dot at a place of the page, from its lower left corner."""
    return picture[picture.shape[0] - 1 - int(y_in * 150), int(x_in * 150)]


def check_pages(folder):
    left, right, spread = (load(os.path.join(folder, name + ".png"))
                           for name in ("left", "right", "spread"))
    for name, width in (("left", 1800), ("right", 1800), ("spread", 3600)):
        path = os.path.join(folder, name + ".png")
        # 150 dots to the inch are 5905.5 to the metre, which the file states whole (PNG 1.2, 4.2.4.2)
        check(dots_per_metre(path) == (5906, 5906, 1), name + ": pHYs")
        with Image.open(path) as image:
            check(image.size == (width, 1800), name + ": " + str(image.size))

    page = colour(0x2B3A55)
    for picture in (left, right):
        for x, y in ((0.02, 0.02), (11.98, 0.02), (0.02, 11.98), (11.98, 11.98)):
            check((at(picture, x, y) == page).all(), "no page in the corner %g, %g" % (x, y))
    # the frame, an opening with its backing, one that is left open
    first, last = (47 / INCH, 80 / INCH), (257 / INCH, 80 / INCH)
    check((at(left, 25 / INCH, 5) == colour(0xF3EDE0)).all(), "the frame's colour")
    check((at(left, *first) == colour(0xE3B04B)).all(), "the first backing's colour")
    check((at(left, *last) == page).all(), "an open opening shows the page")
    # photos that nobody gave, above mats; light and dark
    check((at(right, 1, 10.5) == colour(0xC9CCCF)).all(), "the photo's grey")
    check((at(right, 0.55, 10.5) == colour(0xF3EDE0)).all(), "the mat around it")
    check((at(right, 1, 6.5) == colour(0x4A5A6A)).all(), "the photo's own colour")

    # both pages stand side by side; a shade of 9 mm (54 dots) to each side of the fold, darkest there
    check((spread[:, :1740] == left[:, :1740]).all(), "the left page beside the right")
    check((spread[:, 1860:] == right[:, 60:]).all(), "the right page beside the left")
    row = spread[20].sum(axis=1)
    check((numpy.diff(row[1745:1799]) <= 0).all() and row[1799] < 0.85 * row[1700],
          "the page does not darken towards the fold")
    check(abs(row[1745:1800] - row[1800:1855][::-1]).max() <= 6, "the fold is not alike on both sides")

    # shadows below the right middle photo's mat (on foam) and below its neighbour (flat)
    def shadow(x_in):
        rows = [at(right, x_in, 8 - 0.01 - k / 150).sum() for k in range(36)]
        return sum(1 for value in rows if value < page.sum() - 3)
    raised, flat = shadow(6), shadow(2.25)
    check(flat >= 1 and raised >= 2 * flat, "shadows of %d and %d dots" % (raised, flat))


# ---- photos -----------------------------------------------------------------------------------


def scene(width, height, mode="RGB"):
    """Something that shows which way up it is: a slope each way, and a mark in one corner."""
    y, x = numpy.mgrid[0:height, 0:width].astype(float)
    made = numpy.stack([x / width * 255, y / height * 255, 128 + 100 * numpy.sin(x / 9)], axis=2)
    made[:height // 4, :width // 4] = (250, 240, 20)
    return Image.fromarray(made.astype("uint8"), "RGB").convert(mode)


def adam7(image):
    """An interlaced PNG (PNG 1.2, section 2.6), which Pillow cannot write."""
    import zlib
    pixels = numpy.asarray(image)
    rows = []
    for x, y, dx, dy in ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4),
                         (1, 0, 2, 2), (0, 1, 1, 2)):
        for row in pixels[y::dy, x::dx]:
            if row.size:
                rows.append(b"\0" + row.tobytes())

    def chunk(name, body):
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
    head = struct.pack(">IIBBBBB", image.width, image.height, 8, 2, 0, 0, 1)
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"".join(rows))) +
            chunk(b"IEND", b""))


def expected(image):
    """4 x 3 in at 100 dots: covered, what is too long cut off evenly, every dot counted by its share
    (Pillow's box filter does the same)."""
    width, height = image.size
    if width * 3 > height * 4:
        cut = (width - height * 4 / 3) / 2
        box = (cut, 0, width - cut, height)
    else:
        cut = (height - width * 3 / 4) / 2
        box = (0, cut, width, height - cut)
    how = Image.BOX if width >= 400 and height >= 300 else Image.BILINEAR
    return numpy.asarray(image.resize((400, 300), how, box=box)).astype(int)


def check_photo(views, folder, name, image, most):
    path = os.path.join(folder, name)
    said = run(views, folder, path).split()
    check(said == [str(image.width), str(image.height)], "%s: size %s" % (name, said))
    shown = load(os.path.join(folder, "image.png"))
    check(shown.shape == (300, 400, 3), name + ": " + str(shown.shape))
    # not its rim, where the edge of the print is drawn; the median forgives the marks' own edges
    off = abs(shown - expected(image))[3:-3, 3:-3]
    check(numpy.median(off) <= most and off.mean() <= most + 1,
          "%s: off by %.2f in the mean" % (name, off.mean()))


def check_photos(views, folder):
    large, small = scene(1200, 900), scene(120, 90)
    for name, image in (("large", large), ("wide", scene(1700, 700)), ("tall", scene(500, 1500)),
                        ("small", small), ("odd", scene(997, 641))):
        image.save(os.path.join(folder, name + ".png"))
        check_photo(views, folder, name + ".png", image, 1)
        image.save(os.path.join(folder, name + ".jpg"), quality=95, subsampling=0)
        check_photo(views, folder, name + ".jpg", image, 3)
    large.save(os.path.join(folder, "sweeps.jpg"), quality=95, progressive=True)
    check_photo(views, folder, "sweeps.jpg", large, 3)
    with open(os.path.join(folder, "sweeps.png"), "wb") as file:
        file.write(adam7(scene(803, 605)))
    check_photo(views, folder, "sweeps.png", scene(803, 605), 1)

    # colours of every kind: grey, two colours, a palette, opacity over white, 16 bits
    grey = large.convert("L")
    for name, image, like in (("grey.png", grey, grey), ("grey.jpg", grey, grey),
                              ("bits.png", large.convert("1"), large.convert("1")),
                              ("palette.png", large.quantize(64), large.quantize(64))):
        image.save(os.path.join(folder, name))
        check_photo(views, folder, name, like.convert("RGB"), 3)
    Image.fromarray(numpy.asarray(grey).astype("uint16") * 257).save(os.path.join(folder, "deep.png"))
    check_photo(views, folder, "deep.png", grey.convert("RGB"), 1)
    opaque = large.copy()
    opaque.putalpha(large.getchannel("R"))
    opaque.save(os.path.join(folder, "glass.png"))
    over = Image.new("RGB", large.size, "white")
    over.paste(large, mask=large.getchannel("R"))
    check_photo(views, folder, "glass.png", over, 1)

    # Exif 2.3, orientation: what has to be done to the stored picture to see it upright, as Pillow
    # has it in ImageOps.exif_transpose
    ways = {2: Image.FLIP_LEFT_RIGHT, 3: Image.ROTATE_180, 4: Image.FLIP_TOP_BOTTOM,
            5: Image.TRANSPOSE, 6: Image.ROTATE_270, 7: Image.TRANSVERSE, 8: Image.ROTATE_90}
    for orientation in range(1, 9):
        for order in ("little", "big"):
            name = "turned%d%s.jpg" % (orientation, order)
            mark = b"II*\0" if order == "little" else b"MM\0*"
            entry = b"".join(n.to_bytes(s, order) for n, s in ((8, 4), (1, 2), (0x112, 2), (3, 2), (1, 4),
                                                              (orientation, 2), (0, 2), (0, 4)))
            stored = scene(1000, 800)
            stored.save(os.path.join(folder, name), quality=95, exif=b"Exif\0\0" + mark + entry)
            seen = stored.transpose(ways[orientation]) if orientation in ways else stored
            check_photo(views, folder, name, seen, 3)
    stored.save(os.path.join(folder, "turned.png"), exif=mark + entry)
    check_photo(views, folder, "turned.png", seen, 1)


def check_bad_photos(views, folder):
    image = scene(300, 200)
    image.save(os.path.join(folder, "good.png"))
    image.save(os.path.join(folder, "good.jpg"), quality=90)
    good = {ending: open(os.path.join(folder, "good." + ending), "rb").read() for ending in ("png", "jpg")}
    image.convert("CMYK").save(os.path.join(folder, "press.jpg"))
    middle = len(good["png"]) // 2
    flipped = good["png"][:middle] + bytes([good["png"][middle] ^ 1]) + good["png"][middle + 1:]
    # 60000 x 60000 dots in a few hundred bytes
    huge = good["jpg"]
    frame = huge.index(b"\xff\xc0")
    huge = huge[:frame + 5] + struct.pack(">HH", 60000, 60000) + huge[frame + 9:]
    bad = {"press.jpg": (open(os.path.join(folder, "press.jpg"), "rb").read(), "CMYK"),
           "text.png": (b"this is no picture", "neither a PNG nor a JPEG"),
           "empty.jpg": (b"", "neither a PNG nor a JPEG"),
           "huge.jpg": (huge, "reduce it to at most 200 million"),
           "flipped.png": (flipped, "the PNG picture is damaged")}
    for ending, kind in (("png", "PNG"), ("jpg", "JPEG")):
        for share in (0.02, 0.3, 0.6, 0.99):
            bad["cut%g.%s" % (share, ending)] = (good[ending][:max(10, int(len(good[ending]) * share))],
                                                 "the %s picture is damaged" % kind)
    for name, (data, reason) in bad.items():
        path = os.path.join(folder, name)
        with open(path, "wb") as file:
            file.write(data)
        done = subprocess.run([views, folder, path], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                              timeout=20)
        said = done.stderr.decode()
        check(done.returncode == 1 and reason in said and said.count("\n") == 1,
              "%s: %d %r" % (name, done.returncode, said))


# ---- words ------------------------------------------------------------------------------------


def ink_box(picture, most=140):
    dark = (picture < most).all(axis=2)
    rows, columns = numpy.flatnonzero(dark.any(axis=1)), numpy.flatnonzero(dark.any(axis=0))
    return columns[0], rows[0], columns[-1] + 1, rows[-1] + 1


def check_words(folder):
    # name: block in mm, margin (3/16 in, or an eighth of the shorter side)
    blocks = {"block": (4 * INCH, 3 * INCH, INCH * 3 / 16), "strips": (5 * INCH, 2 * INCH, INCH * 3 / 16),
              "ruled": (4 * INCH, 3 * INCH, INCH * 3 / 16)}
    told = {"block": "At dusk the lamps went down to the quay, one after another, and the water took "
                     "every one of them twice.", "strips": "one lamp for each step and one for the water",
            "ruled": "Written on the way home."}
    for name, (width, height, margin) in blocks.items():
        pdf, png = (os.path.join(folder, name + ending) for ending in (".pdf", ".png"))
        page = pypdf.PdfReader(pdf).pages[0]
        # 10 mm around the block, 14 mm more below; points of 1/72 in (ISO 32000-1, 8.3.2.3)
        size = [float(n) * INCH / 72 for n in page.mediabox]
        check(abs(size[2] - width - 20) < 0.01 and abs(size[3] - height - 34) < 0.01,
              "%s.pdf: page of %.2f x %.2f mm" % (name, size[2], size[3]))
        fonts = run("pdffonts", pdf).splitlines()[2:]
        check(len(fonts) == 2 and all(line.split()[-5] == "yes" for line in fonts),
              "%s.pdf: fonts that are not embedded\n%s" % (name, "\n".join(fonts)))
        words = " ".join(run("pdftotext", "-layout", pdf, "-").split())
        check(told[name] in words, "%s.pdf: the words read %r" % (name, words))
        check("Lantern walk: story" in words and "print at 100 %" in words, name + ".pdf: no check line")
        # every word above the foot lies in the block, and within its margin
        for x0, y0, x1, y1 in re.findall(r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" '
                                         r'yMax="([\d.]+)"', run("pdftotext", "-bbox", pdf, "-")):
            x0, y0, x1, y1 = (float(n) * INCH / 72 for n in (x0, y0, x1, y1))
            if y0 < 10 + height:
                check(x0 >= 10 + margin - 0.2 and x1 <= 10 + width - margin + 0.2,
                      "%s.pdf: a word from %.2f to %.2f mm" % (name, x0, x1))

        # on dots: the ink within the block, away from its edge
        picture = load(png)
        check(dots_per_metre(png)[0] == 11811, name + ".png: pHYs")
        scale = 11.811
        top, bottom = int((10 + 0.5) * scale), int((10 + height - 0.5) * scale)
        first, last = int((10 + 0.5) * scale), int((10 + width - 0.5) * scale)
        if name == "block":
            x0, y0, x1, y1 = ink_box(picture[top:bottom, first:last])
            least = (margin - 0.5 - 0.3) * scale
            check(x0 >= least and y0 >= least and x1 <= last - first - least and
                  y1 <= bottom - top - least, "block.png: ink at %d %d %d %d" % (x0, y0, x1, y1))
            # as large as fits: the words take nearly all of the height that there is
            check(y1 - y0 > 0.8 * (height - 2 * margin) * scale, "block.png: the words are small")
        # the hairline along which it is cut: as wide and high as the block
        dark = (picture < 160).all(axis=2)
        edge = dark[:, int((10 + width / 2) * scale) - 300:int((10 + width / 2) * scale) + 300].all(axis=1)
        lines = numpy.flatnonzero(edge)
        groups = [line for i, line in enumerate(lines) if i == 0 or line > lines[i - 1] + 1]
        places = [group / scale - 10 for group in groups]
        want = {"block": [0, height], "ruled": [0, height],
                "strips": [k * 0.75 * INCH + e * 0.5 * INCH for k in range(3) for e in (0, 1)]}[name]
        check(len(places) >= len(want) and all(min(abs(p - w) for p in places) < 0.15 for w in want),
              "%s.png: edges at %s, not %s" % (name, places, want))


# ---- plans of pages ---------------------------------------------------------------------------


def measure(mm, in_first):
    """As the plan writes it: both units without their names, inches to 1/16, not exact: a sign."""
    sixteenths = round(mm / INCH * 16)
    exact = abs(sixteenths * INCH / 16 - mm) <= 0.0005
    whole, rest = divmod(Fraction(sixteenths, 16), 1)
    inches = " ".join(str(part) for part in (whole, rest) if part) or "0"
    inches = inches if exact else "≈ " + inches
    metric = ("%.2f" % (mm + 1e-9)).rstrip("0").rstrip(".")
    return "%s (%s)" % ((inches, metric) if in_first else (metric, inches))


def check_plan(folder):
    pdf = os.path.join(folder, "plan.pdf")
    document = pypdf.PdfReader(pdf)
    check(len(document.pages) == 1, "plan.pdf: more than a page")
    size = [float(n) * INCH / 72 for n in document.pages[0].mediabox]
    check(abs(size[2] - 210) < 0.01 and abs(size[3] - 279.4) < 0.01, "plan.pdf: page size")
    fonts = run("pdffonts", pdf).splitlines()[2:]
    check(fonts and all(line.split()[-5] == "yes" for line in fonts), "plan.pdf: fonts not embedded")
    words = run("pdftotext", "-raw", pdf, "-")
    check("Scale 1:2, print at 100 %" in words, "plan.pdf: no scale")

    # what views.c puts on the page: each place once for each side with its pieces, none else
    words = " ".join(words.split())
    sides = {}
    pieces = [("A", 1, 1), ("J", 0.5, 0.75), ("K", 8, 1)]
    for i in range(6):
        x, y = 0.5 + 3.75 * (i % 3), 8 - 3.75 * (i // 3)
        pieces += [("B", x, y), ("CDEFGH"[i], x + 0.125, y + 0.125)]
    for letter, *place in pieces:
        for side in (0, 1):
            sides.setdefault((side, place[side]), set()).add(letter)
    wanted = sorted(", ".join(sorted(letters)) + " " + measure(place * INCH, True)
                    for (_, place), letters in sides.items())
    found = sorted(match.group() for match in re.finditer(
        r"[A-Z](, [A-Z])*(, …)? (≈ )?(\d+ )?\d+(/\d+)? \([\d.]+\)", words))
    check(found == wanted, "plan.pdf: measures\n  %s\nnot\n  %s" % (found, wanted))
    # the size of the page once each way; sizes of the pieces
    check(words.count("12 in (304.8 mm)") == 2, "plan.pdf: the page's own size")
    for text in ("10 x 10 in", "254 x 254 mm", "6 x", "3 1/2 x 3 1/2 in", "88.9 x 6.35 mm"):
        check(text in words, "plan.pdf: no " + text)

    # at true size on 10 dots a mm: the page is 152.4 mm wide at 1:2, the check lines 50 mm and 2 in
    run("pdftoppm", "-r", "254", "-png", "-singlefile", pdf, os.path.join(folder, "paper"))
    picture = load(os.path.join(folder, "paper.png"))
    check(abs(picture.shape[1] - 2100) <= 1 and abs(picture.shape[0] - 2794) <= 1, "plan.pdf: dots")
    dark = (picture < 170).all(axis=2)
    runs = set()
    for row in dark:
        edges = numpy.flatnonzero(numpy.diff(numpy.concatenate([[0], row.astype(int), [0]])))
        runs |= set((edges[1::2] - edges[::2]).tolist())
    for length in (500, 508, 1524):
        check(any(abs(run - length) <= 5 for run in runs), "plan.pdf: no line of %g mm" % (length / 10))
    # nothing in the 5 mm that printers leave free
    bare = (picture > 250).all(axis=2)
    check(bare[:50].all() and bare[-50:].all() and bare[:, :40].all() and bare[:, -40:].all(),
          "plan.pdf: something in the printer's margin")

    # a long table: every letter in it once, on sheets of one size
    document = pypdf.PdfReader(os.path.join(folder, "long-plan.pdf"))
    words = run("pdftotext", "-layout", "-f", "2", os.path.join(folder, "long-plan.pdf"), "-")
    rest = re.findall(r"\b(A[A-Z]{2})\b +piece", words)
    words = run("pdftotext", "-layout", "-l", "1", os.path.join(folder, "long-plan.pdf"), "-")
    listed = re.findall(r"\b(A[A-Z]{2})\b +piece", words) + rest
    letters = ["A" + chr(65 + i // 26) + chr(65 + i % 26) for i in range(300)]
    check(sorted(listed) == letters, "long-plan.pdf: lists %d letters" % len(listed))
    check(len(document.pages) > 2 and len({tuple(page.mediabox) for page in document.pages}) == 1,
          "long-plan.pdf: sheets")

    png = os.path.join(folder, "plan.png")
    check(dots_per_metre(png)[0] == 7874, "plan.png: pHYs")
    with Image.open(png) as image:
        check(image.size == (round(210 * 7.874), round(279.4 * 7.874)), "plan.png: " + str(image.size))


def main():
    views = os.path.abspath(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        run(views, folder)
        check_pages(folder)
        check_words(folder)
        check_plan(folder)
        check_photos(views, folder)
        check_bad_photos(views, folder)
    for words in failures:
        print("FAILED", words)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
