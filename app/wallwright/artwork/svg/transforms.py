"""The transform and transform-origin properties (SVG 1.1, 7.6; CSS Transforms 1)."""

from __future__ import annotations

import re

import numpy as np

from wallwright.artwork.svg.numbers import NUMBER, BadNumber, length
from wallwright.document.arrays import Floats
from wallwright.document.language import tr

FUNCTION = re.compile(r"\s*,?\s*([a-zA-Z]+)\s*\(([^()]*)\)")
VALUE = re.compile(rf"\s*,?\s*({NUMBER.pattern})([a-zA-Z%]*)\s*")
ANGLES = {"": 1.0, "deg": 1.0, "rad": 180 / np.pi, "grad": 0.9, "turn": 360.0}
"""Degrees (CSS Values 3, 7.1)."""
SIDES = {"left": 0.0, "top": 0.0, "center": 0.5, "right": 1.0, "bottom": 1.0}


def transform_of(text: str | None, viewport: tuple[float, float] = (0.0, 0.0), is_css: bool = False) -> Floats:
    """(3, 3) of a transform attribute, or of the property in a style sheet, which may have units; percentages are of
    the viewport. Raises BadNumber when it cannot be read or is too large to be used. Numbers in user units."""
    matrix = np.eye(3)
    if not text or text.strip() in ("", "none"):
        return matrix
    at = 0
    while match := FUNCTION.match(text, at):
        values = _values(match[2], text)
        if not is_css and any(unit for _, unit in values):
            raise _unreadable(text)
        with np.errstate(all="ignore"):  # what is not finite is refused below
            matrix = matrix @ _matrix(match[1], values, viewport, text)
        at = match.end()
    if text[at:].strip():
        raise _unreadable(text)
    if not np.isfinite(matrix).all() or np.abs(matrix).max() > 1e12:
        raise BadNumber(tr("its transform gives invalid numbers"))
    return matrix


def about_origin(matrix: Floats, text: str, viewport: tuple[float, float]) -> Floats:
    """The (3, 3) transform about a transform-origin of the viewport. Raises BadNumber when the origin cannot be read.

    (3, 3), numbers in user units.
    """
    words = text.split()[:2]
    if not words:
        return matrix
    if words[0] in ("top", "bottom") or (len(words) == 2 and words[1] in ("left", "right")):
        words = words[::-1] if len(words) == 2 else ["center", *words]
    words = [*words, "center"][:2] if len(words) == 1 else words
    x, y = (SIDES[w] * size if w in SIDES else length(w, size) for w, size in zip(words, viewport, strict=True))
    return moved(x, y) @ matrix @ moved(-x, -y)


def moved(x: float, y: float) -> Floats:
    """(3, 3) of a move. By numbers in user units."""
    return np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]])


def _matrix(name: str, values: list[tuple[float, str]], viewport: tuple[float, float], text: str) -> Floats:
    plain = [v for v, _ in values]
    count = len(values)
    if name == "matrix" and count == 6:
        a, b, c, d, e, f = plain
        return np.array([[a, c, e], [b, d, f], [0, 0, 1.0]])
    if name in ("translate", "translateX", "translateY") and 1 <= count <= (2 if name == "translate" else 1):
        sizes = viewport[1:] if name == "translateY" else viewport
        move = [length(f"{v!r}{u}", s) for (v, u), s in zip(values, sizes, strict=False)]
        return moved(0.0, move[0]) if name == "translateY" else moved(*(*move, 0.0)[:2])
    if name in ("scale", "scaleX", "scaleY") and 1 <= count <= (2 if name == "scale" else 1):
        shares = [v / 100 if u == "%" else v for v, u in values]
        x, y = {"scale": (shares[0], shares[-1]), "scaleX": (shares[0], 1.0), "scaleY": (1.0, shares[0])}[name]
        return np.diag([x, y, 1.0])
    if name == "rotate" and count in (1, 3):
        angle = np.radians(_degrees(values[0], text))
        cos, sin = np.cos(angle), np.sin(angle)
        turn = np.array([[cos, -sin, 0], [sin, cos, 0], [0, 0, 1.0]])
        return turn if count == 1 else moved(*plain[1:]) @ turn @ moved(-plain[1], -plain[2])
    if name in ("skewX", "skewY") and count == 1:
        slope = np.tan(np.radians(_degrees(values[0], text)))
        return np.array([[1, slope if name == "skewX" else 0, 0], [slope if name == "skewY" else 0, 1, 0], [0, 0, 1.0]])
    raise _unreadable(text)


def _values(inside: str, text: str) -> list[tuple[float, str]]:
    values, at = [], 0
    while match := VALUE.match(inside, at):
        values.append((float(match[1]), match[2].lower()))
        at = match.end()
    if inside[at:].strip():
        raise _unreadable(text)
    return values


def _degrees(value: tuple[float, str], text: str) -> float:
    if value[1] not in ANGLES:
        raise _unreadable(text)
    return value[0] * ANGLES[value[1]]


def _unreadable(text: str) -> BadNumber:
    return BadNumber(tr("its transform “{0}” cannot be read", text[:40]))
