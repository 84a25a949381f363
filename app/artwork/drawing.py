"""What reading gives: shapes in mm in the artwork's own frame, in painter's order.

Artwork frame: origin at the top left corner of its page (the SVG's viewport, a picture's corner), x right,
y down, mm at natural size. A placement scales, turns and moves it onto the wall.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

import numpy as np


class Severity(Enum):
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
    """Flat paint: sRGB colour and opacity; gradients and patterns are carried by subclasses in artwork."""

    colour: str
    """"#rrggbb"."""
    opacity: float = 1.0


@dataclass(frozen=True)
class Shape:
    """One painted thing: a region (closed rings and a fill rule) or lines (open or closed, with a width)."""

    element: str
    group: tuple[str, ...]
    """Ids or labels of the enclosing groups, outermost first."""
    paint: Paint
    paths: tuple[np.ndarray, ...]
    """(n, 2) float64 polylines, mm, artwork frame. Of a region: rings without the repeated last point."""
    is_region: bool
    even_odd: bool = False
    """Fill rule of a region: even-odd, else nonzero."""
    width: float = 0.0
    """Stroke width of lines, mm; 0 for regions. Paths are centrelines, dashes already cut."""
    cap: str = "butt"
    join: str = "miter"
    miter_limit: float = 4.0
    closed: tuple[bool, ...] = ()
    """Of lines: whether each path closes on itself (the first point is not repeated)."""


@dataclass(frozen=True)
class Drawing:
    """An artwork, read."""

    width: float
    """Natural width of the page, mm."""
    height: float
    shapes: tuple[Shape, ...]
    findings: tuple[Finding, ...] = field(default=())
