"""Transforms from the artwork frame to the wall."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.document import Placement
from wallwright.document.wall import Box

WHOLE_PAGE: Box = (0.0, 0.0, 1.0, 1.0)
"""The whole page as a part of a page: a box in shares of its width and height."""


def placing_matrix(placement: Placement, natural: tuple[float, float]) -> Floats:
    """Returns the (2, 3) float64 affine map from the artwork frame (mm at natural size, origin top left) to the wall, mm.

    Scales about the page's centre, mirrors left to right, rotates clockwise (y is down), then moves.
    """
    sx, sy = placement.width / natural[0], placement.height / natural[1]
    if placement.mirror:
        sx = -sx
    cos, sin = np.cos(placement.turn), np.sin(placement.turn)
    linear = np.array([[cos, -sin], [sin, cos]]) @ np.diag([sx, sy])
    move = np.array([placement.x, placement.y]) - linear @ (np.array(natural) / 2)
    return np.column_stack([linear, move])


def transform(matrix: Floats, points: Points) -> Points:
    """Returns (n, 2) points transformed by a (2, 3) affine map, usually in mm."""
    return points @ matrix[:, :2].T + matrix[:, 2]


def placement_corners(placement: Placement, part: Box = WHOLE_PAGE) -> Points:
    """Returns (4, 2) corners of the page or a part of it on the wall, mm: top left, top right, bottom right, bottom left."""
    left, top, right, bottom = part
    matrix = placing_matrix(placement, (1.0, 1.0))
    return transform(matrix, np.array([[left, top], [right, top], [right, bottom], [left, bottom]]))


def placement_box(placement: Placement, part: Box = WHOLE_PAGE) -> Box:
    """Returns left, top, right, bottom of a placement's page, or of a part of it, on the wall, mm."""
    return box_around(placement_corners(placement, part))


def bounding_box(placements: Iterable[Placement], parts: Mapping[str, Box] | None = None) -> Box:
    """Returns the bounding box, mm, of the pages of at least one placement. parts: parts of pages by placement id; other
    pages count as a whole."""
    parts = parts or {}
    return box_around(np.vstack([placement_corners(p, parts.get(p.id, WHOLE_PAGE)) for p in placements]))


def box_around(points: Points) -> Box:
    """Returns the bounding box of (n, 2) points, mm, n at least 1."""
    left, top = points.min(axis=0)
    right, bottom = points.max(axis=0)
    return float(left), float(top), float(right), float(bottom)


def union(boxes: Iterable[Box]) -> Box:
    """Returns the smallest box around at least one box, mm."""
    return box_around(np.array([corner for box in boxes for corner in (box[:2], box[2:])]))


def overlaps(one: Box, other: Box) -> bool:
    """Returns whether two boxes overlap by more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def part_of_page(placement: Placement, points: Points) -> Box:
    """Returns the smallest part of a placement's page around (n, 2) points on the wall, mm, n > 0; may exceed the page."""
    matrix = placing_matrix(placement, (1.0, 1.0))
    on_page = np.linalg.solve(matrix[:, :2], (points - matrix[:, 2]).T).T
    return box_around(np.asarray(on_page, dtype=np.float64))
