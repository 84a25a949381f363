"""Leaving out points that a scale cannot show.

The plane is divided into squares of the given grid; of a run of points in the same square only the first is
kept, and every stroke keeps both ends. Kept points do not move, so straight lines stay straight, and the thinned
line lies within one square's diagonal of the true one.
"""

from __future__ import annotations

import numpy as np

from app.strokes.strokes import Strokes

_CHORD = 8
"""Segments that one of a likeness stands for at most: more would cut corners visibly."""


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


def sampled_segments(strokes: Strokes, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Start and end (s,) int64 point indices of about `count` chords, evenly taken from all points.

    A quick likeness of many strokes to show until the true picture is ready.
    """
    n = len(strokes.points)
    step = max(1, n // max(1, count))
    end = np.arange(step - 1, n, step)
    stroke = np.searchsorted(strokes.offsets, end, side="right") - 1
    start = np.maximum(end - min(step, _CHORD), strokes.offsets[stroke])
    return start, np.where(end == start, np.minimum(end + 1, strokes.offsets[stroke + 1] - 1), end)
