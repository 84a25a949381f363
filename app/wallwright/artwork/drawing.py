"""What reading gives: shapes in mm in the artwork's own frame, in painter's order.

Artwork frame: origin at the top left corner of its page (the SVG's viewport, a picture's corner), x right,
y down, mm at natural size. A placement scales, turns and moves it onto the wall.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

import numpy as np

from wallwright.artwork.raster.raster import Raster
from wallwright.document.arrays import Floats, Points


class Severity(Enum):
    """How much a finding matters."""

    NOTE = "note"
    """Drawn, in a way that differs a little (an approximation, a default taken)."""
    WARNING = "warning"
    """Part of it is not drawn, or drawn without an effect."""
    ERROR = "error"
    """The element is not drawn at all."""


@dataclass(frozen=True)
class Finding:
    """One thing a person should know about how an artwork was read."""

    severity: Severity
    element: str
    """The element as a person can find it: its id, or tag and position ("path 3 in g 'sky'")."""
    text: str
    """What is wrong and what was done, one sentence."""
    place: tuple[float, float, float, float] | None = None
    """Box (left, top, right, bottom) in the artwork frame, mm, when known."""


@dataclass(frozen=True)
class Paint:
    """Flat paint: sRGB colour and opacity. Paints that vary from place to place are its subclasses (paints.py)."""

    colour: str
    """"#rrggbb"; of a paint that varies, its mean."""
    opacity: float = 1.0
    """Of a paint that varies, its mean."""


@dataclass(frozen=True)
class Shape:
    """One painted thing: a region (closed rings and a fill rule) or lines (open or closed, with a width)."""

    element: str
    group: tuple[str, ...]
    """Ids or labels of the enclosing groups, outermost first."""
    paint: Paint
    paths: tuple[Points, ...]
    """(n, 2) float64 polylines, mm, artwork frame. Of a region: rings without the repeated last point."""
    is_region: bool
    even_odd: bool = False
    """Fill rule of a region: even-odd, else nonzero."""
    width: float = 0.0
    """Stroke width of lines, mm; 0 for regions, and for lines that are one run of whatever pen draws them. Paths are
    centrelines, dashes already cut."""
    cap: str = "butt"
    join: str = "miter"
    miter_limit: float = 4.0
    closed: tuple[bool, ...] = ()
    """Of lines: whether each path closes on itself (the first point is not repeated)."""
    nib: tuple[float, float, float, float] | None = None
    """Of lines under a map that is no similarity: a b / c d with determinant 1, what makes the round nib of the width an
    ellipse; None: round."""
    clip: tuple[Points, ...] | None = None
    """Of lines: rings (even-odd) outside which nothing of their width is painted; None: no limit."""
    is_crisp: bool = False
    """On a picture: whether its edges are not smoothed."""
    layers: tuple[int, ...] = ()
    """Layers it is painted into, outermost first: indices into the layers of what holds it."""


@dataclass(frozen=True)
class ShapeTree:
    """Shapes in painter's order and the layers they name."""

    shapes: tuple[Shape, ...]
    layers: tuple[PaintLayer, ...] = ()


@dataclass(frozen=True)
class PaintMask:
    """What lets a layer through, more where it is lighter or more opaque."""

    scene: ShapeTree
    is_luminance: bool = True
    """Light times opacity counts; else the opacity alone."""
    box: Floats | None = None
    """(4, 2) mm: outside nothing is let through."""


@dataclass(frozen=True)
class PaintLayer:
    """Shapes that are painted on clear ground first and then laid on the page as one (CSS Compositing 1, 3.1)."""

    opacity: float = 1.0
    masks: tuple[PaintMask, ...] = ()


@dataclass(frozen=True)
class Drawing:
    """An artwork, read."""

    width: float
    """Natural width of the page, mm."""
    height: float
    shapes: tuple[Shape, ...]
    findings: tuple[Finding, ...] = field(default=())
    layers: tuple[PaintLayer, ...] = ()
    raster: Raster | None = None
    """Of a picture: its pixels, which a line style turns into strokes; there are no shapes then."""


def placed(findings: Sequence[Finding], shapes: Sequence[Shape]) -> tuple[Finding, ...]:
    """Findings with the box of what was drawn of their element, where they have no place of their own."""
    wanted = {f.element for f in findings if f.place is None}
    points: dict[str, list[Points]] = {}
    for shape in shapes:
        if shape.element in wanted:
            points.setdefault(shape.element, []).extend(p for p in shape.paths if len(p))
    boxes = {}
    for element, paths in points.items():
        if paths:
            low = np.min([p.min(axis=0) for p in paths], axis=0)
            high = np.max([p.max(axis=0) for p in paths], axis=0)
            boxes[element] = (*low.tolist(), *high.tolist())
    return tuple(f if f.place is not None else replace(f, place=boxes.get(f.element)) for f in findings)
