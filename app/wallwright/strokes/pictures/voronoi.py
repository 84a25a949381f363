"""Discrete Voronoi diagram: the nearest point of each grid cell, computed once and updated while the points move a little,
compiled.

Each cell compares the points of its eight neighbours in two sweeps (Danielsson, "Euclidean distance mapping", Computer
Graphics and Image Processing 14, 1980): a few cells may get the second nearest point, by less than a cell.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.compiled import compiled

RINGS = 2
"""Distance in cells within which all points are compared; farther ones are found by the sweeps."""


def nearest_points(x: Floats, y: Floats, rows: int, columns: int) -> Integers:
    """Returns (rows, columns) int64 indices of the nearest points. x, y: (n,) as for update, at least one."""
    column = np.clip(np.rint(x), 0, columns - 1).astype(np.int64)
    place = np.clip(np.rint(y), 0, rows - 1).astype(np.int64) * columns + column
    order = np.argsort(place, kind="stable")
    first = np.searchsorted(place[order], np.arange(rows * columns + 1))
    nearest = np.empty((rows, columns), dtype=np.int64)
    _begin(first, order, x, y, nearest)
    update(nearest, x, y)
    return nearest


@compiled
def _begin(first: Integers, order: Integers, x: Floats, y: Floats, nearest: Integers) -> None:
    """Writes the nearest of the points within RINGS cells, -1 if none. first (n + 1,): of each cell's points."""
    rows, columns = nearest.shape
    for i in range(rows):
        top, bottom = max(i - RINGS, 0), min(i + RINGS, rows - 1)
        for j in range(columns):
            left, right = max(j - RINGS, 0), min(j + RINGS, columns - 1)
            best, d = -1, np.inf
            for r in range(top, bottom + 1):
                # The points of adjacent cells in a row are consecutive.
                for k in range(first[r * columns + left], first[r * columns + right + 1]):
                    other = order[k]
                    e = (x[other] - j) ** 2 + (y[other] - i) ** 2
                    if e < d or (e == d and other < best):
                        best, d = other, e
            nearest[i, j] = best


@compiled
def centred(nearest: Integers, weight: Floats, x: Floats, y: Floats) -> None:
    """Moves each point to the weighted centroid of the cells that it is nearest to; one without weight stays.

    nearest, weight: (rows, columns); x, y: (n,) as for update.
    """
    rows, columns = nearest.shape
    mass, across, down = np.zeros(len(x)), np.zeros(len(x)), np.zeros(len(x))
    for i in range(rows):
        for j in range(columns):
            k, w = nearest[i, j], weight[i, j]
            mass[k] += w
            across[k] += w * j
            down[k] += w * i
    for k in range(len(x)):
        if mass[k] > 0:
            x[k], y[k] = across[k] / mass[k], down[k] / mass[k]


@compiled
def update(nearest: Integers, x: Floats, y: Floats) -> None:
    """Updates the (rows, columns) int64 indices of the nearest points. x, y: (n,) in cells, the centre of cell (row,
    column) being (column, row). An index below 0: unknown."""
    rows, columns = nearest.shape
    for back in range(2):
        step = -1 if back else 1
        for r in range(rows):
            i = rows - 1 - r if back else r
            for c in range(columns):
                j = columns - 1 - c if back else c
                best, d = nearest[i, j], np.inf
                if best >= 0:
                    d = (x[best] - j) ** 2 + (y[best] - i) ** 2
                for k in range(4):
                    # The neighbours that the sweep has visited, first the adjacent one.
                    ni = i if k == 0 else i - step
                    nj = j - step if k == 0 else j + (k - 2)
                    if 0 <= ni < rows and 0 <= nj < columns:
                        other = nearest[ni, nj]
                        if other >= 0 and other != best:
                            e = (x[other] - j) ** 2 + (y[other] - i) ** 2
                            if e < d or (e == d and other < best):
                                best, d = other, e
                nearest[i, j] = best
