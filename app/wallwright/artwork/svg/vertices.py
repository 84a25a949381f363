"""The points of a shape at which markers are drawn, and its direction there (SVG 2, 13.7.3 and 13.7.4)."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from dataclasses import dataclass

from svgelements import Arc, Close, CubicBezier, Move, Path, PathSegment, QuadraticBezier

from wallwright.artwork.svg.numbers import BadNumber, length, numbers

Point = tuple[float, float]


@dataclass
class Vertex:
    """A point of a path."""

    x: float
    y: float
    into: Point | None = None
    """Unit vector of the direction in which the path comes; None where it begins."""
    out: Point | None = None
    where: str = "mid"
    """start, mid or end."""

    @property
    def angle(self) -> float:
        """rad, clockwise on screen: halfway between coming and going."""
        both = [d for d in (self.into, self.out) if d is not None]
        x, y = sum(d[0] for d in both), sum(d[1] for d in both)
        if len(both) == 2 and math.hypot(x, y) < 1e-9:
            return math.atan2(both[0][0], -both[0][1])  # turning back: square to it
        return math.atan2(y, x)


def vertices(element: ET.Element, tag: str, viewport: tuple[float, float], font: float) -> list[Vertex]:
    """Of a shape, in order, user units. Empty for what cannot be read."""
    try:
        segments = Path(_data(element, tag, viewport, font)).segments()
    except (BadNumber, ValueError, IndexError, TypeError, AttributeError, OverflowError, ZeroDivisionError):
        return []
    found: list[Vertex] = []
    start: Vertex | None = None
    for segment in segments:
        if isinstance(segment, Move):
            start = Vertex(segment.end.x, segment.end.y)
            found.append(start)
            continue
        if start is None:
            return []
        last = found[-1]
        if isinstance(segment, Close):
            way = _unit(start.x - last.x, start.y - last.y) or last.into
            last.out = way if last.out is None and (start.x, start.y) != (last.x, last.y) else last.out or start.out
            found.append(Vertex(start.x, start.y, way, start.out))
            start.into = way
            continue
        leaves, comes = _directions(segment)
        last.out = leaves or last.into
        found.append(Vertex(segment.end.x, segment.end.y, comes or last.out))
    while len(found) > 1 and found[-1].into is None:  # a move at the end draws nothing
        found.pop()
    if len(found) < 2:
        return []
    found[0].where, found[-1].where = "start", "end"
    return found


def _directions(segment: PathSegment) -> tuple[Point | None, Point | None]:
    """Unit vectors at both ends of a segment; None when it has no length."""
    if isinstance(segment, Arc):
        curves = list(segment.as_cubic_curves())
        if not curves:
            return None, None
        return _directions(curves[0])[0], _directions(curves[-1])[1]
    points = [segment.start]
    if isinstance(segment, CubicBezier):
        points += [segment.control1, segment.control2]
    elif isinstance(segment, QuadraticBezier):
        points.append(segment.control)
    points.append(segment.end)
    first, last = points[0], points[-1]
    leaves = (_unit(p.x - first.x, p.y - first.y) for p in points[1:])
    comes = (_unit(last.x - p.x, last.y - p.y) for p in reversed(points[:-1]))
    return next((d for d in leaves if d), None), next((d for d in comes if d), None)


def _unit(x: float, y: float) -> Point | None:
    far = math.hypot(x, y)
    return (x / far, y / far) if far > 1e-9 else None


def _data(element: ET.Element, tag: str, viewport: tuple[float, float], font: float) -> str:
    """The path that a basic shape stands for (SVG 2, 10)."""
    w, h = viewport

    def get(name: str, reference: float) -> float:
        return length(element.get(name), reference, 0.0, font)

    if tag == "path":
        return element.get("d", "")
    if tag in ("polyline", "polygon"):
        values = numbers(element.get("points"))
        pairs = [f"{x} {y}" for x, y in zip(values[0::2], values[1::2], strict=False)]
        return ("M" + " L".join(pairs) + ("z" if tag == "polygon" else "")) if pairs else ""
    if tag == "line":
        return f"M{get('x1', w)} {get('y1', h)} L{get('x2', w)} {get('y2', h)}"
    if tag in ("circle", "ellipse"):
        diagonal = math.hypot(w, h) / math.sqrt(2)
        rx, ry = (get("r", diagonal),) * 2 if tag == "circle" else (get("rx", w), get("ry", h))
        x, y = get("cx", w), get("cy", h)
        arc = f"A{rx} {ry} 0 0 1 "
        return f"M{x + rx} {y} {arc}{x} {y + ry} {arc}{x - rx} {y} {arc}{x} {y - ry} {arc}{x + rx} {y}z"
    x, y, rw, rh = get("x", w), get("y", h), get("width", w), get("height", h)
    rx, ry = get("rx", w), get("ry", h)
    rx, ry = min(rx or ry, rw / 2), min(ry or rx, rh / 2)
    if rx <= 0 or ry <= 0:
        return f"M{x} {y} h{rw} v{rh} h{-rw}z"
    arc = f"a{rx} {ry} 0 0 1 "
    return (
        f"M{x + rx} {y} H{x + rw - rx} {arc}{rx} {ry} V{y + rh - ry} {arc}{-rx} {ry} H{x + rx}"
        f" {arc}{-rx} {-ry} V{y + ry} {arc}{rx} {-ry}z"
    )
