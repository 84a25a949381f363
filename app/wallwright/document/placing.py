"""From the artwork frame to the wall."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.document import Placement
from wallwright.document.wall import Box


def placing_matrix(placement: Placement, natural: tuple[float, float]) -> Floats:
    """(2, 3) float64 affine map from the artwork frame (mm at natural size, origin top left) to the wall, mm.

    Scales about the page's centre, mirrors left to right, turns clockwise (y is down), then moves.
    """
    sx, sy = placement.width / natural[0], placement.height / natural[1]
    if placement.mirror:
        sx = -sx
    cos, sin = np.cos(placement.turn), np.sin(placement.turn)
    linear = np.array([[cos, -sin], [sin, cos]]) @ np.diag([sx, sy])
    move = np.array([placement.x, placement.y]) - linear @ (np.array(natural) / 2)
    return np.column_stack([linear, move])


def transform(matrix: Floats, points: Points) -> Points:
    """(n, 2) points through a (2, 3) affine map."""
    return points @ matrix[:, :2].T + matrix[:, 2]


def placement_corners(placement: Placement) -> Points:
    """(4, 2) corners on the wall, mm: top left, top right, bottom right, bottom left of the page."""
    matrix = placing_matrix(placement, (1.0, 1.0))
    return transform(matrix, np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]))


def placement_box(placement: Placement) -> Box:
    """Left, top, right, bottom of a placement's page on the wall, mm."""
    corners = placement_corners(placement)
    return box_around(corners)


def bounding_box(placements: Iterable[Placement]) -> Box:
    """The box, mm, around the pages of at least one placement."""
    return box_around(np.vstack([placement_corners(p) for p in placements]))


def box_around(points: Points) -> Box:
    """The smallest box with all of (n, 2) points, mm, n at least 1."""
    left, top = points.min(axis=0)
    right, bottom = points.max(axis=0)
    return float(left), float(top), float(right), float(bottom)
