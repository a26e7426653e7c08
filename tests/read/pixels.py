#!/usr/bin/env python3
"""Another program's opinion on the drawings: pixels.py FOLDER TABLE

Every drawing of the table (see drawings.c) is drawn by librsvg, and what its pixels cover is
compared with the table's area and box. So the table, which was worked out by hand, is held against an
independent reader of SVG. Needs rsvg-convert and python3-pil; a missing one is a failure.
"""
import csv
import io
import os
import subprocess
import sys

from PIL import Image

LONG = 1600  # pixels


def drawn(path):
    """The alpha channel, and how many pixels a px of the page is."""
    data = subprocess.run(
        ["rsvg-convert", "--accept-language", "en", "--width", str(LONG), "--keep-aspect-ratio", "--format", "png", path],
        check=True, stdout=subprocess.PIPE).stdout
    size = subprocess.run(["rsvg-convert", "--format", "png", path], check=True,
                          stdout=subprocess.PIPE).stdout
    image = Image.open(io.BytesIO(data)).convert("RGBA").getchannel("A")
    return image, image.width / Image.open(io.BytesIO(size)).width


def check(folder, row):
    image, factor = drawn(os.path.join(folder, row["file"]))
    faults = []
    # Pages of a fraction of a px are drawn a px larger, so the factor is good to a px in the page.
    page = LONG / factor
    mm = 25.4 / 96 / factor
    slack = 1.5 / page
    histogram = image.histogram()
    area = sum(value * count for value, count in enumerate(histogram)) / 255 * mm * mm
    want = float(row["area_mm2"])
    if row["open_all"] == "0" or row["open_all"] == row["open"]:  # no strokes
        if abs(area - want) > want * 2 * slack + 0.001 * want:
            faults.append(f"area {area:.3f}, the table says {want:.3f}")
        box = [v * mm for v in image.point(lambda a: 255 if a >= 8 else 0).getbbox()]
        for name, is_at in zip(("x0_mm", "y0_mm", "x1_mm", "y1_mm"), box):
            should = float(row[name])
            if abs(is_at - should) > 1.5 * mm + abs(should) * slack:
                faults.append(f"{name} {is_at:.3f}, the table says {should:.3f}")
    return faults


def main():
    folder, table = sys.argv[1:]
    passed = failed = 0
    with open(table, encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file, delimiter="\t"):
            faults = check(folder, row)
            print("FAIL" if faults else "pass", row["file"], *faults, sep="  ")
            passed += not faults
            failed += bool(faults)
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed or not passed else 0)


main()
