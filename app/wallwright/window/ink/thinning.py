"""Removal of points that a scale cannot show.

The plane is divided into squares of the given grid; of consecutive points in the same square only the first is
kept. Then, in several rounds, every other point is removed if it is nearly on the line between its neighbours. Kept
points do not move, and every stroke keeps both ends. Fewer, longer segments are faster to paint, and their antialiased
ends overlap less, which would thicken lines.
"""

from __future__ import annotations

import numpy as np

from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.cells import Indices, Points

_PASSES = 4
_STRAIGHT = 0.2
"""Distance from the line between its neighbours, in squares, below which a point is removed."""
DEVIATION = float(np.sqrt(2)) + _PASSES * _STRAIGHT
_CHORD = 8
"""Largest number of segments that one chord of a likeness replaces."""
_ALONG = 0.95
"""Least length of such a chord as a share of its segments: a shorter one would cut a corner."""


def kept_points(strokes: Strokes, grid: float) -> Indices:
    """Returns (m,) ascending indices of the points kept with squares of `grid` mm; 0 keeps all.

    Their polyline is within DEVIATION * grid of the true one.
    """
    n = len(strokes.points)
    if grid <= 0 or n == 0:
        return np.arange(n)
    square = np.floor(strokes.points * (1.0 / grid)).astype(np.int64)
    keep = np.ones(n, dtype=bool)
    keep[1:] = (square[1:, 0] != square[:-1, 0]) | (square[1:, 1] != square[:-1, 1])
    end = np.zeros(n, dtype=bool)
    filled = np.diff(strokes.offsets) > 0
    end[strokes.offsets[:-1][filled]] = True
    end[strokes.offsets[1:][filled] - 1] = True
    kept = np.flatnonzero(keep | end)
    for turn in range(_PASSES):
        inner = np.flatnonzero(~end[kept])
        inner = inner[inner % 2 == turn % 2]  # never two neighbours
        off = _off_chord(*(strokes.points[kept[inner + side]] for side in (-1, 0, 1)))
        kept = np.delete(kept, inner[off < _STRAIGHT * grid])
    return kept


def _off_chord(before: Points, point: Points, after: Points) -> Points:
    """Returns (n,) the distances of points from the segments between before and after, (n, 2) each."""
    ax, ay = (point - before).T
    cx, cy = (after - before).T
    along = np.clip((ax * cx + ay * cy) / np.maximum(cx * cx + cy * cy, 1e-300), 0.0, 1.0)
    distance: Points = np.hypot(ax - along * cx, ay - along * cy)
    return distance


def segments_of(strokes: Strokes, kept: Indices) -> tuple[Indices, Indices]:
    """Returns start and end (s,) point indices of the segments between kept points of the same stroke.

    A stroke of one point, a dot, is a segment from the point to itself.
    """
    first = np.zeros(len(strokes.points), dtype=bool)
    counts = np.diff(strokes.offsets)
    first[strokes.offsets[:-1][counts > 0]] = True
    dots = strokes.offsets[:-1][counts == 1]
    inner = np.flatnonzero(~first[kept])
    start, end = kept[inner - 1], kept[inner]
    if len(dots):
        place = np.searchsorted(end, dots)
        start, end = np.insert(start, place, dots), np.insert(end, place, dots)
    return start, end


def sampled_segments(strokes: Strokes, count: int) -> tuple[Indices, Indices]:
    """Returns start and end (s,) point indices of about `count` chords, evenly sampled from all points.

    For a quick likeness of many strokes until the exact picture is ready.
    """
    n = len(strokes.points)
    step = max(1, n // max(1, count))
    end = np.arange(step - 1, n, step)
    stroke = np.searchsorted(strokes.offsets, end, side="right") - 1
    start = np.maximum(end - min(step, _CHORD), strokes.offsets[stroke])
    places = [strokes.points[np.minimum(start + k, end)] for k in range(min(step, _CHORD) + 1)]
    along = np.hypot(*np.diff(places, axis=0).transpose(2, 0, 1)).sum(axis=0)
    chord = np.hypot(*(places[-1] - places[0]).T)
    start = np.where(chord < _ALONG * along, np.maximum(end - 1, start), start)
    return start, np.where(end == start, np.minimum(end + 1, strokes.offsets[stroke + 1] - 1), end)
