#!/usr/bin/python3
"""Pictures as another program's reader sees them: true size, whole, nothing that changes.

usage: check_png.py PICTURES   (the program built from pictures.c)
"""
import os
import struct
import subprocess
import sys
import tempfile
import zlib

import numpy
from PIL import Image

FRAME = (0xEF, 0xE8, 0xDA)
failures = []


def check(true, words):
    if not true:
        failures.append(words)


def chunks(data):
    """Names and contents; lengths and checksums as PNG 1.2, section 3, asks for."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at, found = 8, []
    while at < len(data):
        length, name = struct.unpack(">I4s", data[at:at + 8])
        body = data[at + 8:at + 8 + length]
        crc, = struct.unpack(">I", data[at + 8 + length:at + 12 + length])
        assert crc == zlib.crc32(name + body), "checksum of " + name.decode()
        found.append((name.decode(), body))
        at += 12 + length
    return found


def longest_run(row):
    """The longest run of true values: (start, length)."""
    padded = numpy.concatenate([[False], row, [False]]).astype(int)
    edges = numpy.flatnonzero(numpy.diff(padded))
    if len(edges) == 0:
        return 0, 0
    lengths = edges[1::2] - edges[::2]
    best = int(lengths.argmax())
    return int(edges[2 * best]), int(lengths[best])


def main():
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([os.path.abspath(sys.argv[1]), folder], check=True, stdout=subprocess.DEVNULL,
                       stderr=subprocess.DEVNULL)
        # name: width and height of the paper in mm, scale bars in mm
        expected = {"small": (60, 42, (20, 25.4)), "large": (304.8, 304.8, (100, 101.6)),
                    "many": (1004, 1004, (200, 304.8)), "mat": (152.4, 101.6, (50, 50.8)),
                    "lines": (None, None, (20, 25.4))}
        check(sorted(os.listdir(folder)) == sorted(n + ".png" for n in expected), "other pictures")
        for name, (width, height, bars) in expected.items():
            path = os.path.join(folder, name + ".png")
            with open(path, "rb") as file:
                data = file.read()
            found = chunks(data)
            names = [n for n, _ in found]
            check(names[:2] == ["IHDR", "pHYs"] and names[-1] == "IEND", name + ": order of chunks")
            check(set(names) <= {"IHDR", "pHYs", "bKGD", "IDAT", "IEND"}, name + ": chunks " +
                  " ".join(sorted(set(names))))
            x, y, unit = struct.unpack(">IIB", dict(found)["pHYs"])
            check(x == y and unit == 1, name + ": pHYs")
            mm = 1000 / x
            picture = numpy.asarray(Image.open(path).convert("RGB")).astype(int)
            check(max(picture.shape) <= 2400, name + ": longer than 2400 dots")
            check(max(picture.shape) >= 1000, name + ": shorter than 1000 dots")

            # nothing is cut off: the rim of the page is bare
            rim = max(2, int(1.0 / mm))
            bare = (picture == 255).all(axis=2)
            check(bare[:rim].all() and bare[-rim:].all() and bare[:, :rim].all() and
                  bare[:, -rim:].all(), name + ": something reaches into the rim")

            # the paper is as large as it should be but for the line along its edge
            if width:
                paper = (abs(picture - FRAME) <= 2).all(axis=2)
                rows = numpy.flatnonzero(paper.sum(axis=1) > 0.2 * paper.sum(axis=1).max())
                columns = numpy.flatnonzero(paper.sum(axis=0) > 0.2 * paper.sum(axis=0).max())
                wide = (columns.max() - columns.min() + 1) * mm
                high = (rows.max() - rows.min() + 1) * mm
                check(0 <= width - wide <= 4 * mm and 0 <= height - high <= 4 * mm,
                      "%s: paper of %.2f x %.2f mm" % (name, wide, high))

            # the scale bars are the two longest dark lines beneath it, one dot wider at each end
            dark = (picture < 140).all(axis=2)
            lower = range(int(picture.shape[0] * 0.7), picture.shape[0])
            runs = sorted({longest_run(dark[row])[1] for row in lower}, reverse=True)
            for bar in bars:
                near = min(abs(run * mm - bar) for run in runs)
                check(near <= 4 * mm, "%s: no bar of %g mm, off by %.2f mm" % (name, bar, near))
        print("%d pictures" % len(expected))
    for words in failures:
        print("FAILED", words)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
