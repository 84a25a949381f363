"""Bounding boxes of elements: what objectBoundingBox units refer to (SVG 2, 8.10 and 8.11)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wallwright.document.arrays import Floats, Points

Box = tuple[float, float, float, float]
"""x, y, width, height."""


def box_of(lines: Sequence[Points]) -> Box | None:
    """The box of (n, 2) point arrays. In their unit: px or mm."""
    lines = [line for line in lines if len(line)]
    if not lines:
        return None
    low = np.min([line.min(axis=0) for line in lines], axis=0)
    high = np.max([line.max(axis=0) for line in lines], axis=0)
    return (*low.tolist(), *(high - low).tolist())


def box_for(paint: str, box: Box | None, lines: Sequence[Points]) -> Box | None:
    """The box that a paint value refers to: the given one, else that of the lines, (n, 2); None when it refers to none.

    lines: (n, 2) each, px.
    """
    return box or box_of(lines) if paint.startswith(("url", "context")) else None


def box_matrix(box: Box | None) -> Floats | None:
    """(3, 3) from the unit square to a box; None when the box has no area and its units mean nothing. In px."""
    if box is None or box[2] <= 0 or box[3] <= 0:
        return None
    x, y, w, h = box
    return np.array([[w, 0, x], [0, h, y], [0, 0, 1.0]])


def box_within(lines: Sequence[Points], to_mm: Floats) -> Box | None:
    """The box, in the user space that to_mm (3, 3) maps to the page, of points on the page, mm."""
    if abs(np.linalg.det(to_mm[:2, :2])) < 1e-15:
        return None
    back = np.linalg.inv(to_mm)
    return box_of([line @ back[:2, :2].T + back[:2, 2] for line in lines])


def corners(box: Box) -> Floats:
    """(4, 2) of a box, in order round it. In px."""
    x, y, w, h = box
    return np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h]])
