"""Densely spaced points along strokes, for evaluating nonlinear quantities."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.strokes.strokes import Strokes


@dataclass(frozen=True)
class DensePoints:
    """All points of the strokes and added ones between them, in order along each stroke."""

    points: Points
    """(m, 2) mm."""
    stroke: Integers
    """(m,) index of the stroke."""
    leg: Integers
    """(m,) index of the stroke point at which its leg begins."""
    share: Floats
    """(m,) share of that leg before it; 0 to below 1."""


def densify(strokes: Strokes, longest: float) -> DensePoints:
    """Returns points at most `longest` mm apart along the strokes."""
    n = len(strokes.points)
    leg = np.zeros((n, 2))
    leg[:-1] = np.diff(strokes.points, axis=0)
    leg[strokes.offsets[1:] - 1] = 0.0
    count = np.maximum(np.ceil(np.hypot(*leg.T) / longest), 1).astype(np.int64)
    index = np.repeat(np.arange(n), count)
    within = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    share = within / count[index]
    points = strokes.points[index] + share[:, None] * leg[index]
    return DensePoints(points, strokes.stroke_of_point[index], index, share)
