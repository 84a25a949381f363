"""Pen lifts at corners for a one-speed machine, which cannot slow down there.

A sharp corner passed at speed makes the body swing. Ending a stroke there and beginning another lets the swing decay while
the pen is raised and lowered.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.strokes.matching import begun_at, is_ring
from wallwright.strokes.strokes import Strokes

SAME = 1e-6
"""Difference of angles, rad, below which corners count as equally sharp."""


def turns(strokes: Strokes) -> Floats:
    """Returns (n,) rad, 0 to π: turn of the line at each point; 0 at both ends of a stroke."""
    points = strokes.points
    turn = np.zeros(len(points))
    if len(points) < 3:
        return turn
    leg = np.diff(points, axis=0)
    cross = leg[:-1, 0] * leg[1:, 1] - leg[:-1, 1] * leg[1:, 0]
    turn[1:-1] = np.abs(np.arctan2(cross, (leg[:-1] * leg[1:]).sum(axis=1)))
    turn[strokes.offsets[:-1]] = turn[strokes.offsets[1:] - 1] = 0.0
    return turn


def split_at_corners(strokes: Strokes, angle: float) -> Strokes:
    """Returns the strokes split where they turn by more than an angle, rad; the corner belongs to both parts."""
    corner = np.flatnonzero(turns(strokes) > angle)
    if not len(corner):
        return strokes
    owner = strokes.stroke_of_point
    count = np.ones(len(strokes.points), dtype=np.int64)
    count[corner] = 2
    index = np.repeat(np.arange(len(strokes.points)), count)
    # A corner's second copy begins a stroke, like the old first points.
    begins = np.concatenate([np.cumsum(count)[corner] - 1, (np.cumsum(count) - count)[strokes.offsets[:-1]]])
    offsets = np.append(np.sort(begins), len(index)).astype(np.int64)
    of = owner[index[offsets[:-1]]]
    return Strokes(strokes.points[index], offsets, strokes.pen[of], strokes.source[of], strokes.is_fill[of])


def begin_at_sharpest(strokes: Strokes) -> Strokes:
    """Returns the strokes, closed ones begun at their sharpest corner, where the pen is lifted anyway. Unchanged: open
    strokes, and closed ones whose beginning is already as sharp."""
    if not len(strokes):
        return strokes
    ring, first, last = is_ring(strokes), strokes.offsets[:-1], strokes.offsets[1:] - 1
    turn = turns(strokes)
    sharpest = np.maximum.reduceat(turn, first)
    # At its seam a ring turns from its last leg into its first.
    before = strokes.points[last] - strokes.points[np.maximum(last - 1, 0)]
    after = strokes.points[np.minimum(first + 1, last)] - strokes.points[first]
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    seam = np.abs(np.arctan2(cross, (before * after).sum(axis=1)))
    better = ring & (sharpest > seam + SAME)
    if not better.any():
        return strokes
    at = np.flatnonzero(turn == np.repeat(sharpest, np.diff(strokes.offsets)))
    owner = strokes.stroke_of_point[at]
    place = np.zeros(len(strokes), dtype=np.int64)
    place[owner[::-1]] = (at - first[owner])[::-1]  # the first of equals
    return begun_at(strokes, np.where(better, place, 0))
