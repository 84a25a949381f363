"""Finds the stroke nearest to a point."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.strokes.strokes import Strokes


def along(a: Floats, b: Floats, point: tuple[float, float]) -> tuple[Floats, Floats]:
    """Returns where segments a to b, each (n, 2) mm, come nearest to a point: share of the segment (n,), distance (n,)
    mm."""
    way = b - a
    length = (way**2).sum(axis=1)
    share = np.clip(((np.array(point) - a) * way).sum(axis=1) / np.maximum(length, 1e-12), 0.0, 1.0)
    return share, np.hypot(*(a + share[:, None] * way - point).T)


def nearest_stroke(
    strokes: Strokes, point: tuple[float, float], reach: float, among: Flags | None = None
) -> int | None:
    """Returns the stroke nearest to a point, mm; None if none is within reach, mm.

    among: (k,) bool, the strokes to consider. Among equally near ones the last, which lies on top. A stroke of a single
    point counts as that point.
    """
    if not len(strokes):
        return None
    points = strokes.points
    last = np.zeros(len(points), dtype=bool)
    last[strokes.offsets[1:] - 1] = True
    single = np.diff(strokes.offsets) == 1
    first = ~last
    first[strokes.offsets[:-1][single]] = True
    a = np.flatnonzero(first)
    b = np.where(last[a], a, a + 1)
    # Most segments are far away: two comparisons per axis exclude them.
    near = np.ones(len(a), dtype=bool)
    for axis in (0, 1):
        u, v = points[a, axis], points[b, axis]
        near &= (np.minimum(u, v) <= point[axis] + reach) & (np.maximum(u, v) >= point[axis] - reach)
    a, b = a[near], b[near]
    stroke = np.searchsorted(strokes.offsets, a, side="right") - 1
    if among is not None:
        kept = among[stroke]
        a, b, stroke = a[kept], b[kept], stroke[kept]
    if not len(a):
        return None
    _, far = along(points[a], points[b], point)
    least = far.min()
    return int(stroke[np.flatnonzero(far <= least + 1e-9)[-1]]) if least <= reach else None


def strokes_around(strokes: Strokes, point: tuple[float, float], among: Flags) -> Integers:
    """Returns (m,) indices of the closed strokes among (k,) bool that enclose a point, mm, by the even-odd rule over all
    strokes of one source together, so that a hole is outside."""
    closed = among & (np.diff(strokes.offsets) > 3)
    closed &= (np.abs(strokes.starts - strokes.ends) < 1e-6).all(axis=1)
    chosen = np.flatnonzero(closed)
    if not len(chosen):
        return chosen
    some = strokes.take(chosen)
    a = np.delete(np.arange(len(some.points)), some.offsets[1:] - 1)
    u, v = some.points[a], some.points[a + 1]
    crosses = (u[:, 1] > point[1]) != (v[:, 1] > point[1])
    u, v, owner = u[crosses], v[crosses], some.stroke_of_point[a][crosses]
    at = u[:, 0] + (point[1] - u[:, 1]) / (v[:, 1] - u[:, 1]) * (v[:, 0] - u[:, 0])
    owner = owner[at > point[0]]
    own = np.bincount(owner, minlength=len(some))
    sources, of_source = np.unique(some.source, return_inverse=True)
    inside = np.bincount(of_source, weights=own, minlength=len(sources)).astype(int) % 2 == 1
    result: Integers = chosen[inside[of_source] & (own % 2 == 1)]
    return result
