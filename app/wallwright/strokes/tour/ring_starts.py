"""Seams of closed strokes, compiled: the starting point with the least detour between the strokes before and after."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Integers, Points
from wallwright.document.compiled import compiled

SWEEPS = 2
"""Number of sweeps: a seam depends on the next one; a second sweep settles nearly all."""


@compiled
def best_seams(points: Points, offsets: Integers, closed: Flags, start: Points) -> Integers:
    """Returns (k,) int64: index of the point at which each stroke should begin, 0 for open ones. Straight distances are
    minimised: the time of a travel grows with them."""
    k = len(offsets) - 1
    first = np.zeros(k, np.int64)
    for _ in range(SWEEPS):
        x, y = start[0], start[1]
        for i in range(k):
            a, b = offsets[i], offsets[i + 1]
            if closed[i]:
                onwards = i + 1 < k
                if onwards:
                    n = offsets[i + 1] + first[i + 1]
                    nx, ny = points[n, 0], points[n, 1]
                best = np.inf
                for j in range(a, b - 1):
                    d = np.hypot(points[j, 0] - x, points[j, 1] - y)
                    if onwards:
                        d += np.hypot(points[j, 0] - nx, points[j, 1] - ny)
                    if d < best:
                        best, first[i] = d, j - a
                x, y = points[a + first[i], 0], points[a + first[i], 1]
            else:
                x, y = points[b - 1, 0], points[b - 1, 1]
    return first
