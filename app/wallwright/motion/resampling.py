"""Selects points along runs with a minimum distance."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Integers, Points
from wallwright.document.compiled import compiled


@compiled
def min_distance_mask(points: Points, runs: Integers, kept: Flags, step: float) -> Flags:
    """Returns (n,) bool: those of the points kept (n,) that lie at least a step from the previous kept one in their run,
    and each run's first and last. points: (n, 2); runs: (k + 1,) first point of each."""
    result = kept.copy()
    for run in range(len(runs) - 1):
        first, last = runs[run], runs[run + 1] - 1
        before = first
        for i in range(first + 1, last):
            if not kept[i]:
                continue
            if np.hypot(points[i, 0] - points[before, 0], points[i, 1] - points[before, 1]) >= step:
                before = i
            else:
                result[i] = False
        for i in range(last - 1, first, -1):  # the end stays
            if not result[i]:
                continue
            if np.hypot(points[i, 0] - points[last, 0], points[i, 1] - points[last, 1]) >= step:
                break
            result[i] = False
    return result
