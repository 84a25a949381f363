"""Shapes and path data as polylines, curves flattened by a tolerance."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import numpy as np
from svgelements import Arc, Close, CubicBezier, Line, Move, Path, QuadraticBezier

from app.artwork.svg.numbers import BadNumber, length, numbers
from app.artwork.svg.straight import LARGEST, Subpath, straight_path, without_repeats
from app.document.language import tr

MOST_CHORDS = 10_000


def cubic_chords(control: np.ndarray, tolerance: float) -> np.ndarray:
    """(n, 2) points of a cubic Bézier after its first, within tolerance. control: (4, 2).

    Number of equal steps in the parameter by the bound on the second difference (Wang 1984): sqrt(6 M / (8 tol)).
    """
    second = np.abs(control[:-2] - 2 * control[1:-1] + control[2:])
    bound = np.hypot(*second.T).max()
    count = int(np.clip(np.ceil(np.sqrt(0.75 * bound / tolerance)), 1, MOST_CHORDS))
    t = (np.arange(1, count + 1) / count)[:, None]
    s = 1 - t
    return s**3 * control[0] + 3 * s * s * t * control[1] + 3 * s * t * t * control[2] + t**3 * control[3]


def ellipse(cx: float, cy: float, rx: float, ry: float, tolerance: float) -> np.ndarray:
    """(n, 2) points of an ellipse, chords within tolerance: the sagitta of a chord of angle a is r (1 - cos(a / 2))."""
    r = max(rx, ry)
    half = np.arccos(np.clip(1 - tolerance / r, -1, 1)) if tolerance < 2 * r else np.pi / 3
    count = int(np.clip(np.ceil(np.pi / max(half, 1e-4)), 8, MOST_CHORDS))
    angle = np.arange(count) * (2 * np.pi / count)
    return np.column_stack([cx + rx * np.cos(angle), cy + ry * np.sin(angle)])


def path_data(d: str, tolerance: float) -> list[Subpath]:
    """Subpaths of path data. Raises BadNumber when it cannot be read."""
    straight = straight_path(d)
    if straight is not None:
        return straight
    try:
        segments = Path(d).segments()
    except (ValueError, IndexError, TypeError, AttributeError, OverflowError, ZeroDivisionError) as error:
        raise BadNumber(tr("has path data that cannot be read")) from error
    found: list[Subpath] = []
    points: list[np.ndarray] = []

    def finish(closed: bool) -> None:
        if points:
            found.append((without_repeats(np.concatenate(points), closed), closed))
        points.clear()

    for segment in segments:
        if isinstance(segment, Move):
            finish(False)
            points.append(_points(segment.end))
        elif isinstance(segment, Close):
            finish(True)
            if segment.end is not None:
                points.append(_points(segment.end))  # what follows without a move starts here
        elif isinstance(segment, CubicBezier):
            points.append(
                cubic_chords(
                    _points(segment.start, segment.control1, segment.control2, segment.end), tolerance
                )
            )
        elif isinstance(segment, QuadraticBezier):
            a, b, c = _points(segment.start, segment.control, segment.end)
            points.append(cubic_chords(np.array([a, a + 2 / 3 * (b - a), c + 2 / 3 * (b - c), c]), tolerance))
        elif isinstance(segment, Arc):
            for curve in segment.as_cubic_curves():
                points.append(
                    cubic_chords(_points(curve.start, curve.control1, curve.control2, curve.end), tolerance)
                )
        elif isinstance(segment, Line):
            points.append(_points(segment.end))
    # A lone move after a close draws nothing.
    if len(points) > 1 or (points and not found):
        finish(False)
    if not all(np.isfinite(line).all() and np.abs(line).max(initial=0) < LARGEST for line, _ in found):
        raise BadNumber(tr("has coordinates that are not usable numbers"))
    return found


def _points(*values) -> np.ndarray:
    return np.array([[p.x, p.y] for p in values], dtype=float)


def outline(
    element: ET.Element, tag: str, viewport: tuple[float, float], tolerance: float, font: float
) -> list[Subpath]:
    """Subpaths of a basic shape or path, user units (SVG 1.1 sections 8 and 9). Raises BadNumber."""
    w, h = viewport
    diagonal = float(np.hypot(w, h) / np.sqrt(2))

    def get(name: str, reference: float, default: float | None = 0.0) -> float:
        return length(element.get(name), reference, default, font)

    if tag == "path":
        return path_data(element.get("d", ""), tolerance)
    if tag == "line":
        return [(np.array([[get("x1", w), get("y1", h)], [get("x2", w), get("y2", h)]]), False)]
    if tag in ("polyline", "polygon"):
        values = numbers(element.get("points"))
        points = np.array(values[: len(values) // 2 * 2]).reshape(
            -1, 2
        )  # an odd last number is left out (9.6)
        return [(points, tag == "polygon")] if len(points) else []
    if tag == "circle":
        r = get("r", diagonal)
        return [(ellipse(get("cx", w), get("cy", h), r, r, tolerance), True)] if r > 0 else []
    if tag == "ellipse":
        rx, ry = get("rx", w, -1.0), get("ry", h, -1.0)
        rx, ry = (ry if rx < 0 else rx), (rx if ry < 0 else ry)
        return [(ellipse(get("cx", w), get("cy", h), rx, ry, tolerance), True)] if rx > 0 and ry > 0 else []
    x, y, width, height = get("x", w), get("y", h), get("width", w), get("height", h)
    if width <= 0 or height <= 0:
        return []
    rx, ry = get("rx", w, -1.0), get("ry", h, -1.0)
    rx, ry = (ry if rx < 0 else rx), (rx if ry < 0 else ry)
    rx, ry = min(max(rx, 0), width / 2), min(max(ry, 0), height / 2)
    return [(_rectangle(x, y, width, height, rx, ry, tolerance), True)]


def _rectangle(x: float, y: float, w: float, h: float, rx: float, ry: float, tolerance: float) -> np.ndarray:
    if rx <= 0 or ry <= 0:
        return np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h]])
    ring = ellipse(0, 0, rx, ry, tolerance)
    quarter = max(2, len(ring) // 4 + 1)
    angle = np.linspace(0, np.pi / 2, quarter)
    cos, sin = np.cos(angle), np.sin(angle)
    left, right, top, low = x + rx, x + w - rx, y + ry, y + h - ry
    corners = [
        (right + rx * sin, top - ry * cos),
        (right + rx * cos, low + ry * sin),
        (left - rx * sin, low + ry * cos),
        (left - rx * cos, top - ry * sin),
    ]
    return np.concatenate([np.column_stack(c) for c in corners])


def dashed(line: np.ndarray, closed: bool, pattern: list[float], offset: float) -> list[np.ndarray]:
    """The dashes of one subpath (SVG 1.1, 11.4). pattern: lengths of dash and gap in turn."""
    pattern = pattern * 2 if len(pattern) % 2 else pattern
    total = sum(pattern)
    points = np.concatenate([line, line[:1]]) if closed else line
    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    if at[-1] == 0 or total <= 0:
        return []
    first = np.floor((-offset) / total) - 2
    count = int((at[-1] + abs(offset)) / total) + 6
    edges = np.cumsum([0.0, *pattern])[:-1]
    starts = (
        (first + np.arange(count + 4))[:, None] * total + edges[None, 0::2] - offset % total + total
    ).ravel()
    stops = starts + np.tile(pattern[0::2], count + 4)
    keep = (stops > 0) & (starts < at[-1])
    dashes = []
    for a, b in zip(np.maximum(starts[keep], 0), np.minimum(stops[keep], at[-1]), strict=True):
        inner = (at > a) & (at < b)
        ends = np.column_stack([np.interp([a, b], at, points[:, i]) for i in (0, 1)])
        dashes.append(np.concatenate([ends[:1], points[inner], ends[1:]]))
    return dashes
