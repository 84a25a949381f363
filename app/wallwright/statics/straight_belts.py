"""The simple formula of most controllers: two straight weightless belts to a body that never tilts."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.wall import Point

AnchorPair = tuple[Point, Point] | Floats
"""Left and right anchor, mm; as an array, (2, 2)."""


def straight_belts(anchors: AnchorPair, pen: Points, spacing: float = 0.0, rise: float = 0.0) -> Floats:
    """Returns (n, 2) mm: distances from the anchors to exits spacing apart and rise above the pen. pen: (n, 2) mm."""
    (lx, ly), (rx, ry) = anchors
    x, y = pen[:, 0], pen[:, 1] - rise
    return np.column_stack([np.hypot(x - spacing / 2 - lx, y - ly), np.hypot(x + spacing / 2 - rx, y - ry)])


def pen_from_straight_belts(anchors: AnchorPair, belts: Floats, spacing: float = 0.0, rise: float = 0.0) -> Points:
    """Returns (n, 2) mm: the pen at which straight_belts gives these lengths; nan where the belts do not meet."""
    left = np.add(anchors[0], (spacing / 2, 0.0))
    right = np.subtract(anchors[1], (spacing / 2, 0.0))
    between = right - left
    distance = np.hypot(*between)
    if distance == 0:  # exits as far apart as the anchors: parallel belts never meet
        return np.full_like(belts, np.nan, dtype=np.float64)
    along = (belts[:, 0] ** 2 - belts[:, 1] ** 2 + distance**2) / (2 * distance)
    with np.errstate(invalid="ignore"):
        below = np.sqrt(belts[:, 0] ** 2 - along**2)
    unit = between / distance
    square = np.array([-unit[1], unit[0]])
    pen: Points = left + along[:, None] * unit + below[:, None] * square + [0.0, rise]
    return pen
