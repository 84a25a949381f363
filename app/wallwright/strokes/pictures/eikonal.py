"""Arrival times of a front that propagates more slowly where it is darker, compiled: |grad T| = slowness.

Fast sweeping (Zhao, "A fast sweeping method for eikonal equations", Mathematics of Computation 74, 2005): upwind
differences, with sweeps over the grid in the four diagonal directions in turn until nothing changes.

Own code: scikit-fmm starts from the zero line of a level set, not from cells with given times, and cannot be cancelled.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.document.compiled import compiled

MOST_SWEEPS = 40
FAR = 1e12


def arrival(slowness: Floats, seeds: Floats, progress: Callable[[float], None] = lambda done: None) -> Floats:
    """Returns (rows, columns) arrival times of a front from the seeds. slowness: time per cell, positive; seeds: time at
    the cells where it starts, FAR elsewhere."""
    time = np.ascontiguousarray(seeds, dtype=float).copy()
    fixed = time < FAR
    slow = np.ascontiguousarray(slowness, dtype=float)
    for sweep in range(MOST_SWEEPS):
        progress(sweep / MOST_SWEEPS)
        change = _sweep(time, fixed, slow, sweep % 4 in (1, 2), sweep % 4 in (2, 3))
        if sweep >= 4 and change < 1e-6:
            break
    return time


@compiled
def _sweep(time: Floats, fixed: Flags, slow: Floats, left: bool, up: bool) -> float:
    rows, columns = time.shape
    change = 0.0
    for r in range(rows):
        i = rows - 1 - r if up else r
        for c in range(columns):
            j = columns - 1 - c if left else c
            if fixed[i, j]:
                continue
            a = min(time[i, j - 1] if j > 0 else FAR, time[i, j + 1] if j < columns - 1 else FAR)
            b = min(time[i - 1, j] if i > 0 else FAR, time[i + 1, j] if i < rows - 1 else FAR)
            s = slow[i, j]
            low, high = min(a, b), max(a, b)
            if high - low >= s:
                t = low + s
            else:
                t = 0.5 * (a + b + np.sqrt(2.0 * s * s - (a - b) ** 2))
            if t < time[i, j]:
                if time[i, j] < FAR:
                    change = max(change, time[i, j] - t)
                else:
                    change = max(change, 1.0)
                time[i, j] = t
    return change
