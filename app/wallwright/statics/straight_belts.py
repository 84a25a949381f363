"""The simple formula: two straight weightless belts to a body that never tilts. What most controllers believe."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Anchors = tuple[tuple[float, float], tuple[float, float]]


def straight_belts(anchors: Anchors, pen: Array, spacing: float = 0.0, rise: float = 0.0) -> Array:
    """(n, 2) mm: distances from the anchors to exits spacing apart and rise above the pen. pen: (n, 2) mm."""
    (lx, ly), (rx, ry) = anchors
    x, y = pen[:, 0], pen[:, 1] - rise
    return np.column_stack([np.hypot(x - spacing / 2 - lx, y - ly), np.hypot(x + spacing / 2 - rx, y - ry)])


def pen_from_straight_belts(anchors: Anchors, belts: Array, spacing: float = 0.0, rise: float = 0.0) -> Array:
    """(n, 2) mm: the pen at which straight_belts gives these lengths; nan where the belts do not meet."""
    left = np.add(anchors[0], (spacing / 2, 0.0))
    right = np.subtract(anchors[1], (spacing / 2, 0.0))
    between = right - left
    distance = np.hypot(*between)
    if distance == 0:  # exits as far apart as the anchors: its belts meet nowhere
        return np.full_like(np.asarray(belts, dtype=np.float64), np.nan)
    along = (belts[:, 0] ** 2 - belts[:, 1] ** 2 + distance**2) / (2 * distance)
    with np.errstate(invalid="ignore"):
        below = np.sqrt(belts[:, 0] ** 2 - along**2)
    unit = between / distance
    square = np.array([-unit[1], unit[0]])
    return left + along[:, None] * unit + below[:, None] * square + [0.0, rise]
