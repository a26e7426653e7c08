"""Outlines as the checks of written files see them, with readers that share nothing with rabbet.

Points are complex numbers, millimetres, x right, y up. A loop is a list of edges; an edge is a line
or a circular arc (Arc) or a cubic Bezier curve (Cubic). SVG is read by a small reader for the plain
files that rabbet writes (arcs after SVG 1.1, appendix F.6.5); DXF through ezdxf; bulges by the DXF
reference's definition, tan(included angle / 4), positive counter-clockwise.
"""
import cmath
import math
import re
import xml.etree.ElementTree as ET

import numpy

SVG = "{http://www.w3.org/2000/svg}"


class Arc:
    """From a to b, turning by `turn` (signed); a line when that is 0."""

    def __init__(self, a, b, turn=0.0):
        self.a, self.b, self.turn = a, b, turn

    def radius(self):
        return abs(self.b - self.a) / (2 * abs(math.sin(self.turn / 2)))

    def length(self):
        return abs(self.b - self.a) if self.turn == 0 else self.radius() * abs(self.turn)

    def at(self, share):
        """Points at shares of the way. Along the chord sin x / sin h, across it 2 sin sin / sin h:
        without the centre, which is far away for nearly straight arcs."""
        s = numpy.asarray(share, dtype=float)
        chord = self.b - self.a
        if self.turn == 0:
            return self.a + s * chord
        h = self.turn / 2
        x = (2 * s - 1) * h
        along = numpy.sin(x) / math.sin(h)
        across = 2 * numpy.sin((h + x) / 2) * numpy.sin((h - x) / 2) / math.sin(h)
        return (self.a + self.b) / 2 + chord / 2 * (along - 1j * across)

    def tangents(self):
        chord = (self.b - self.a) / abs(self.b - self.a)
        return chord * cmath.exp(-0.5j * self.turn), chord * cmath.exp(0.5j * self.turn)

    def area(self):
        """Of the triangle with the origin and the segment between chord and arc."""
        area = (self.a.conjugate() * self.b).imag / 2
        if self.turn != 0:
            t = abs(self.turn)
            # t - sin t, without cancelling for small t
            rest = t - math.sin(t) if t > 0.05 else t ** 3 / 6 * (1 - t * t / 20)
            area += math.copysign(self.radius() ** 2 * rest / 2, self.turn)
        return area

    def distances(self, points):
        """From each point to the nearest point of the arc."""
        chord = self.b - self.a
        local = (points - (self.a + self.b) / 2) / (chord / abs(chord))
        half = abs(chord) / 2
        ends = numpy.minimum(abs(points - self.a), abs(points - self.b))
        if self.turn == 0:
            return numpy.where(abs(local.real) <= half, abs(local.imag), ends)
        if self.turn < 0:
            local = local.conjugate()
        h = abs(self.turn) / 2  # now the arc bulges downwards, its centre is on the y axis
        radius = half / math.sin(h)
        up = radius * math.cos(h)
        # distance from the circle: (|u|^2 - r^2) / (|u| + r) with u from the centre, where
        # |u|^2 - r^2 = |local|^2 - 2 up Im(local) - half^2 keeps its digits
        power = abs(local) ** 2 - 2 * up * local.imag - half ** 2
        from_centre = numpy.hypot(local.real, local.imag - up)
        on_side = numpy.abs(power / (from_centre + radius))
        # within the sector: the angle from the downward axis is at most h
        inside = numpy.abs(numpy.arctan2(local.real, up - local.imag)) <= h
        return numpy.where(inside, on_side, ends)


class Cubic:
    def __init__(self, a, p, q, b):
        self.a, self.p, self.q, self.b = a, p, q, b

    def at(self, share):
        s = numpy.asarray(share, dtype=float)
        r = 1 - s
        return r ** 3 * self.a + 3 * r * r * s * self.p + 3 * r * s * s * self.q + s ** 3 * self.b


class Loop:
    def __init__(self, edges, closed, operation):
        self.edges = [e for e in edges if abs(e.b - e.a) > 0]
        self.closed, self.operation = closed, operation

    def length(self):
        return sum(e.length() for e in self.edges)

    def area(self):
        area = sum(e.area() for e in self.edges)
        if not self.closed:
            area += (self.edges[-1].b.conjugate() * self.edges[0].a).imag / 2
        return area

    def points(self, each=None):
        if each is None:
            each = 33 if len(self.edges) < 40 else 5
        share = numpy.linspace(0, 1, each)
        return numpy.concatenate([e.at(share) for e in self.edges])

    def box(self):
        p = self.points(2001)
        return p.real.min(), p.imag.min(), p.real.max(), p.imag.max()

    def farthest(self, points):
        """The greatest distance of any of the points from this loop (of lines and arcs)."""
        near = numpy.full(len(points), numpy.inf)
        for e in self.edges:
            near = numpy.minimum(near, e.distances(points))
        return float(near.max())


def deviation(a, b):
    """How far two loops of lines and arcs are apart, seen from 5 or 33 points of every edge."""
    return max(a.farthest(b.points()), b.farthest(a.points()))


def bulged(vertices, closed, operation):
    points = [complex(x, y) for x, y, _ in vertices]
    ends = points[1:] + points[:1]
    edges = [Arc(a, b, 4 * math.atan(v[2])) for a, b, v in zip(points, ends, vertices)]
    return Loop(edges if closed else edges[:-1], closed, operation)


def circle(centre, radius, operation):
    return Loop([Arc(centre - radius, centre + radius, math.pi),
                 Arc(centre + radius, centre - radius, math.pi)], True, operation)


# ---- SVG

def svg_arc(a, b, rx, ry, rotation, large, sweep):
    """F.6.5 and F.6.6 for circles: the signed angle between two end points, y down."""
    assert rx == ry and rotation == 0
    chord = abs(b - a)
    radius = max(rx, chord / 2)
    turn = 2 * math.asin(chord / (2 * radius))
    if large:
        turn = 2 * math.pi - turn
    return Arc(a, b, turn if sweep else -turn)


def svg_path(data):
    """The edges of one subpath, y down, and whether it was closed with Z."""
    tokens = re.findall(r"[A-Za-z]|[^A-Za-z\s]+", data)
    assert tokens[0] == "M" and tokens.count("M") == 1, data[:60]
    edges, at, closed = [], 1, False
    now = start = complex(float(tokens[1]), float(tokens[2]))
    at = 3
    while at < len(tokens):
        letter, at = tokens[at], at + 1
        count = {"L": 2, "A": 7, "C": 6, "Z": 0}[letter]
        n = [float(t) for t in tokens[at:at + count]]
        at += count
        if letter == "Z":
            assert at == len(tokens)
            closed = True
            if now != start:
                edges.append(Arc(now, start))
            break
        end = complex(n[-2], n[-1])
        if letter == "L":
            edges.append(Arc(now, end))
        elif letter == "A":
            assert n[3] == 0, "an arc of more than half a turn"
            edges.append(svg_arc(now, end, *n[:5]))
        else:
            edges.append(Cubic(now, complex(n[0], n[1]), complex(n[2], n[3]), end))
        now = end
    return edges, closed


def turned_up(edge, scale, height):
    def up(p):
        return complex(p.real * scale, height - p.imag * scale)
    if isinstance(edge, Cubic):
        return Cubic(up(edge.a), up(edge.p), up(edge.q), up(edge.b))
    return Arc(up(edge.a), up(edge.b), -edge.turn)


def read_svg(path, unit):
    """Loops, page width and height, the root element. unit: mm of a user unit."""
    root = ET.parse(path).getroot()
    view = [float(v) for v in root.get("viewBox").split()]
    height = view[3] * unit
    loops = []
    for group in root.findall(SVG + "g"):
        for item in group:
            if item.tag == SVG + "circle":
                c = complex(float(item.get("cx")), float(item.get("cy"))) * unit
                loops.append(circle(complex(c.real, height - c.imag), float(item.get("r")) * unit,
                                    group.get("id")))
            elif item.tag == SVG + "path":
                edges, closed = svg_path(item.get("d"))
                loops.append(Loop([turned_up(e, unit, height) for e in edges], closed,
                                  group.get("id")))
            else:
                assert item.tag == SVG + "title", item.tag
    return loops, view[2] * unit, height, root


# ---- DXF

def read_dxf(document):
    loops = []
    for e in document.modelspace():
        kind = e.dxftype()
        if kind == "CIRCLE":
            loops.append(circle(complex(e.dxf.center.x, e.dxf.center.y), e.dxf.radius,
                                e.dxf.layer))
        elif kind == "LWPOLYLINE":
            loops.append(bulged(e.get_points("xyb"), e.closed, e.dxf.layer))
        else:
            assert kind == "POLYLINE", kind
            loops.append(bulged([(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0))
                                 for v in e.vertices], e.is_closed, e.dxf.layer))
    return loops
