"""What an element inherits from where it stands in the tree."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.svg.boxes import Box
from wallwright.artwork.svg.numbers import MM_PER_PX
from wallwright.artwork.svg.style import Style

TO_MM = np.array([[MM_PER_PX], [MM_PER_PX], [1.0]])


@dataclass(frozen=True)
class Place:
    """What an element inherits from where it stands."""

    matrix: np.ndarray
    """(3, 3) user units to px of the page."""
    style: Style
    viewport: tuple[float, float]
    opacity: float
    """Laid on every paint; that of groups is on their layers."""
    group: tuple[str, ...]
    uses: tuple[int, ...] = ()
    """Elements being copied by use, to see a copy of itself."""
    context: Context | None = None
    """What context-fill and context-stroke refer to."""

    def to_mm(self) -> np.ndarray:
        """(3, 3) from user units to mm on the page."""
        return TO_MM * self.matrix


@dataclass(frozen=True)
class Context:
    """The element whose paint its markers, or copies, may ask for (SVG 2, 13.2)."""

    place: Place
    box: Box | None
    outer: Context | None = None


def is_crisp(place: Place) -> bool:
    """Whether edges are painted without smoothing (SVG 2, 13.9)."""
    return place.style["shape-rendering"] in ("optimizeSpeed", "crispEdges")


def scale_of(to_mm: np.ndarray) -> float:
    """mm for a user unit, the mean of both directions."""
    (a, b), (c, d) = to_mm[:2, :2].tolist()
    return math.sqrt(abs(a * d - b * c))


def largest_scale_of(to_mm: np.ndarray) -> float:
    """mm that a user unit becomes at most: the larger singular value of a 2 by 2 map."""
    (a, b), (c, d) = to_mm[:2, :2].tolist()
    return (math.hypot(a + d, b - c) + math.hypot(a - d, b + c)) / 2


def mapped(to_mm: np.ndarray, line: np.ndarray) -> np.ndarray:
    """(n, 2) points through a (3, 3) map."""
    return line @ to_mm[:2, :2].T + to_mm[:2, 2]
