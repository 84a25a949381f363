"""Leaving out points that a scale cannot show.

The plane is divided into squares of the given grid; of a run of points in the same square only the first is
kept, and every stroke keeps both ends. Kept points do not move, so straight lines stay straight, and the thinned
line lies within one square's diagonal of the true one.
"""

from __future__ import annotations

import numpy as np

from app.strokes.strokes import Strokes


def kept_points(strokes: Strokes, grid: float) -> np.ndarray:
    """(m,) int64 ascending indices of the points that remain with squares of `grid` mm; 0 keeps all."""
    n = len(strokes.points)
    if grid <= 0 or n == 0:
        return np.arange(n)
    square = np.floor(strokes.points * (1.0 / grid)).astype(np.int64)
    keep = np.ones(n, dtype=bool)
    keep[1:] = (square[1:, 0] != square[:-1, 0]) | (square[1:, 1] != square[:-1, 1])
    filled = np.diff(strokes.offsets) > 0
    keep[strokes.offsets[:-1][filled]] = True
    keep[strokes.offsets[1:][filled] - 1] = True
    return np.flatnonzero(keep)


def segments_of(strokes: Strokes, kept: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Start and end (s,) int64 point indices of the segments between kept points of the same stroke.

    A stroke of one point, a dot, is one segment from the point to itself.
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


def sample(strokes: Strokes, budget: int) -> Strokes:
    """Every so many-th stroke and, of long ones, every so many-th point, to about `budget` points.

    A quick likeness to show until the true picture is ready.
    """
    n, k = len(strokes.points), len(strokes)
    if n <= budget:
        return strokes
    point_step = min(16, max(1, n // (4 * k)))
    some = strokes.take(np.arange(0, k, -(-n // (budget * point_step))))
    counts = np.diff(some.offsets)
    within = np.arange(len(some.points)) - np.repeat(some.offsets[:-1], counts)
    keep = (within % point_step == 0) | (within == np.repeat(counts - 1, counts))
    offsets = np.concatenate([[0], np.cumsum(keep)])[some.offsets]
    return Strokes(some.points[keep], offsets, some.pen, some.source, some.is_fill)
