#!/usr/bin/env python3
"""DXF drawings written by another library (ezdxf) and read by rabbet: dxf.py RABBET FOLDER

The areas that rabbet reports are held against those of ezdxf's own paths of the same entities,
flattened to chords at most 0.0002 mm off; versions, units, blocks and mirrored planes vary. Seeded.
"""
import json
import math
import os
import random
import subprocess
import sys

import ezdxf
import ezdxf.path

PROGRAM, FOLDER = sys.argv[1:3]
UNITS = {1: 25.4, 4: 1.0, 5: 10.0, 6: 1000.0}  # $INSUNITS: inch, mm, cm, m
FLAT = 0.0002


def blob(rng, size, bulges=True):
    """A star-shaped polyline about the origin; gentle bulges keep it simple."""
    count = rng.randint(3, 9)
    return [
        (
            size * rng.uniform(0.75, 1) * math.cos(math.tau * i / count),
            size * rng.uniform(0.75, 1) * math.sin(math.tau * i / count),
            rng.uniform(-0.12, 0.3) if bulges and rng.random() < 0.7 else 0.0,
        )
        for i in range(count)
    ]


def add_shape(rng, space, kind, x, y, size, version):
    moved = [(x + a, y + b, c) for a, b, c in blob(rng, size)]
    behind = {"extrusion": (0, 0, -1)} if rng.random() < 0.3 else {}
    if behind:
        moved = [(-a, b, c) for a, b, c in moved]
        x_own = -x
    else:
        x_own = x
    if kind == "circle":
        space.add_circle((x_own, y), size, dxfattribs=behind)
    elif kind == "polyline" or version == "R12":
        if version == "R12":
            space.add_polyline2d(moved, format="xyb", close=True, dxfattribs=behind)
        else:
            space.add_lwpolyline(moved, format="xyb", close=True, dxfattribs=behind)
    elif kind == "ellipse":
        turn = rng.uniform(0, math.tau)
        space.add_ellipse((x, y), (size * math.cos(turn), size * math.sin(turn)),
                          rng.uniform(0.2, 1), dxfattribs=behind)
    elif kind == "arcs":
        # a sector: two lines and an arc, joined by their ends
        a, b = sorted(rng.uniform(0, 360) for _ in range(2))
        ends = [(x + size * math.cos(math.radians(t)), y + size * math.sin(math.radians(t)))
                for t in (a, b)]
        space.add_arc((x, y), size, a, b)
        space.add_line((x, y), ends[0])
        space.add_line(ends[1], (x, y))
    else:
        points = [(x + a, y + b) for a, b, _ in blob(rng, size, False)]
        degree = min(rng.choice([2, 3, 3, 4, 5]), len(points) - 1)
        if kind == "rational":
            spline = space.add_rational_spline(points + points[:1],
                                               [rng.uniform(0.5, 2) for _ in range(len(points) + 1)],
                                               degree=degree)
        else:
            spline = space.add_open_spline(points + points[:1], degree=degree)
        assert spline.dxf.degree == degree


def loops(entities):
    """Closed chains of points from ezdxf's paths of these entities, joined by their ends."""
    open_ends, closed = [], []
    for entity in entities:
        points = [complex(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(FLAT, 16)]
        (closed if abs(points[0] - points[-1]) < 1e-6 else open_ends).append(points)
    while open_ends:
        chain = open_ends.pop()
        while abs(chain[0] - chain[-1]) > 1e-6:
            for i, other in enumerate(open_ends):
                if abs(other[0] - chain[-1]) < 1e-6 or abs(other[-1] - chain[-1]) < 1e-6:
                    chain += other[1:] if abs(other[0] - chain[-1]) < 1e-6 else other[-2::-1]
                    del open_ends[i]
                    break
            else:
                raise AssertionError("the test's own drawing does not close")
        closed.append(chain)
    return closed


def flatten(space):
    for entity in space:
        if entity.dxftype() == "INSERT":
            for copy in entity.multi_insert() if entity.mcount > 1 else [entity]:
                yield from copy.virtual_entities()
        else:
            yield entity


def area(points):
    return abs(sum((a.conjugate() * b).imag for a, b in zip(points, points[1:] + points[:1]))) / 2


def length(points):
    return sum(abs(b - a) for a, b in zip(points, points[1:]))


def make(seed):
    rng = random.Random(seed)
    version = rng.choice(["R12", "R2000", "R2000", "R2010"])
    unit = 4 if version == "R12" else rng.choice(list(UNITS))
    mm = UNITS[unit]
    document = ezdxf.new(version)
    document.units = unit
    space = document.modelspace()
    kinds = ["circle", "polyline", "arcs", "ellipse", "spline", "rational"]
    block = document.blocks.new("PANE", base_point=(rng.uniform(-5, 5) / mm, 0))
    add_shape(rng, block, rng.choice(kinds[:4]), 0, 0, 8 / mm, version)
    for i in range(rng.randint(3, 10)):
        x, y = 30 * (i % 4) / mm, 30 * (i // 4) / mm
        if rng.random() < 0.25:
            # mirrored, turned, of one scale or (not of bulges, which ezdxf cannot do) of two
            scale = rng.uniform(0.5, 1.2)
            space.add_blockref("PANE", (x, y + 500 / mm), dxfattribs={
                "xscale": scale * rng.choice([1, -1]), "yscale": scale,
                "rotation": rng.uniform(0, 360), "column_count": rng.choice([1, 1, 3]),
                "row_count": rng.choice([1, 2]), "column_spacing": 120 / mm,
                "row_spacing": 300 / mm})
        else:
            add_shape(rng, space, rng.choice(kinds), x, y, 12 / mm, version)
    space.add_text("words")
    document.layers.add("AWAY").off()
    space.add_circle((0, 0), 900 / mm, dxfattribs={"layer": "AWAY"})
    path = os.path.join(FOLDER, f"drawing-{seed}.dxf")
    document.saveas(path)
    entities = [e for e in flatten(space) if e.dxf.layer != "AWAY" and e.dxftype() != "TEXT"]
    found = loops(entities)
    return path, version, mm, found


os.makedirs(FOLDER, exist_ok=True)
faults, shapes = [], 0
for seed in range(80):
    path, version, mm, found = make(seed)
    unit = ["--drawn-in", "mm"] if version == "R12" else []
    run = subprocess.run([PROGRAM, "convert", path, *unit, "--tolerance", "0.001mm", "-o",
                          path[:-3] + "svg", "--report", "-"], capture_output=True, text=True)
    if run.returncode != 0:
        faults.append(f"{path}: {run.stderr.strip()}")
        continue
    report = json.loads(run.stdout)
    want = sum(area(points) for points in found) * mm * mm
    around = sum(length(points) for points in found) * mm
    slack = around * (0.001 + FLAT * mm) + 1e-6
    if report["outlines"] != len(found) or abs(report["area_mm2"] - want) > slack:
        faults.append(f"{path}: {report['outlines']} outlines, {report['area_mm2']} mm2; "
                      f"ezdxf: {len(found)}, {want} (within {slack})")
    codes = {warning["code"] for warning in report["warnings"]}
    if not {"text", "hidden"} <= codes:
        faults.append(f"{path}: what is left out is not told: {sorted(codes)}")
    shapes += len(found)

print(f"{shapes} outlines in 80 drawings")
if shapes < 300:
    faults.append("too few outlines to show anything")
print("\n".join(faults))
sys.exit(1 if faults else 0)
