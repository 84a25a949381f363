"""Shapes and path data as polylines, curves flattened by a tolerance."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from wallwright.artwork.svg.curves import MOST_CHORDS, chords
from wallwright.artwork.svg.numbers import LARGEST, NUMBER, TooLarge, length_or
from wallwright.artwork.svg.path_data import NUMBERS, tracks_of
from wallwright.artwork.svg.straight_paths import Subpath, straight_path
from wallwright.document.arrays import Floats
from wallwright.document.language import tr
from wallwright.document.reading_limits import most
from wallwright.document.whole_file import MB

MOST_CURVES = 24 * MB
"""Letters of one path's data with curves in it; reading it takes 25 times that in memory."""


def ellipse(cx: float, cy: float, rx: float, ry: float, tolerance: float) -> Floats:
    """(n, 2) points of an ellipse, chords within tolerance: the sagitta of a chord of angle a is r (1 - cos(a / 2)).

    All in mm or in one other unit.
    """
    r = max(rx, ry)
    half = np.arccos(np.clip(1 - tolerance / r, -1, 1)) if tolerance < 2 * r else np.pi / 3
    count = int(np.clip(np.ceil(np.pi / max(half, 1e-4)), 8, MOST_CHORDS))
    angle = np.arange(count) * (2 * np.pi / count)
    return np.column_stack([cx + rx * np.cos(angle), cy + ry * np.sin(angle)])


def outline(
    attributes: Mapping[str, str],
    tag: str,
    viewport: tuple[float, float],
    tolerance: float,
    font: float,
    doubts: list[str],
) -> list[Subpath]:
    """Subpaths of a basic shape or path, user units (SVG 1.1 sections 8 and 9).

    What cannot be read is added to `doubts` and counts as not given. Raises TooLarge.
    """
    w, h = viewport
    diagonal = float(np.hypot(w, h) / np.sqrt(2))

    def get(name: str, reference: float, default: float = 0.0) -> float:
        return length_or(attributes.get(name), reference, default, font, doubts)

    if tag == "path":
        if (straight := straight_path(attributes.get("d", ""))) is not None:
            return straight
        if len(attributes.get("d", "")) > most(MOST_CURVES):
            raise TooLarge(tr("has more than {0} MB of curves in one path", most(MOST_CURVES) // MB))
        tracks, doubt = tracks_of(attributes.get("d", ""))
        if doubt:
            doubts.append(doubt)
        return chords(tracks, tolerance)
    if tag == "line":
        return [(np.array([[get("x1", w), get("y1", h)], [get("x2", w), get("y2", h)]]), False)]
    if tag in ("polyline", "polygon"):
        points = _points(attributes.get("points", ""), doubts)
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


def _points(text: str, doubts: list[str]) -> Floats:
    """(n, 2) of a points attribute, up to where it can be read; an odd last number is left out (9.6)."""
    head = NUMBERS.match(text)
    end = 0 if head is None else head.end()
    if end != len(text):
        doubts.append(tr("“{0}” contains something that is not a number", text.strip()[:40]))
    values = [float(v) for v in NUMBER.findall(text[:end])]
    points = np.array(values[: len(values) // 2 * 2]).reshape(-1, 2)
    if not np.abs(points).max(initial=0.0) < LARGEST:
        raise TooLarge(tr("has invalid coordinates"))
    return points


def _rectangle(x: float, y: float, w: float, h: float, rx: float, ry: float, tolerance: float) -> Floats:
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
    # The outline begins where the top edge does (SVG 2, 10.2), which dashes show.
    return np.roll(np.concatenate([np.column_stack(c) for c in corners]), 1, axis=0)
