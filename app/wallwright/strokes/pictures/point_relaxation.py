"""Points spread over a picture so that their density is a wanted one, evenly: weighted centroidal Voronoi diagrams.

Secord, "Weighted Voronoi stippling" (NPAR 2002), with Lloyd's method. The density that relaxed points tend to is the
square root of the weight in two dimensions (Gersho, "Asymptotically optimal block quantization", IEEE Transactions on
Information Theory 25, 1979), so the square of the wanted density is the weight.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial import cKDTree

from wallwright.artwork.raster.raster import resampled
from wallwright.document.arrays import Floats, Integers
from wallwright.strokes.pictures.voronoi import update

ROUNDS = 16
"""Of relaxation: points start in the wanted density, so these only even them out."""
OFFSET = (5**0.5 - 1) / 2
"""Of a step between points, from seed to seed: the golden ratio, never the same twice."""
AT_ONCE = 50_000
"""Cells read between two checks for cancel."""
CELLS_A_POINT = 14
MOST_CELLS = 900_000


def spread(
    density: Floats, cell: float, progress: Callable[[float], None] = lambda done: None, seed: int = 1
) -> Floats:
    """(k, 2) mm. density: (rows, columns) points per mm² on square cells of some mm; k is its sum over the area. seed:
    points of the same density with another seed lie elsewhere."""
    count = round(float(density.sum()) * cell * cell)
    if count < 1:
        return np.zeros((0, 2))
    density, cell = _on_a_fitting_grid(density, cell, count)
    points = _begin(density, count, seed)  # in cells, until they are done
    rows, columns = density.shape
    row, column = (a.ravel() for a in np.indices((rows, columns)))
    weight = density.ravel() ** 2
    nearest = np.empty(rows * columns, dtype=np.int64)
    tree = cKDTree(points)
    for first in range(0, len(nearest), AT_ONCE):
        progress(0.3 * first / len(nearest))
        part = slice(first, first + AT_ONCE)
        nearest[part] = tree.query(np.column_stack([column[part], row[part]]), workers=-1)[1]
    nearest = nearest.reshape(rows, columns)
    for number in range(ROUNDS):
        progress(0.3 + 0.7 * number / ROUNDS)
        near = nearest.ravel()
        mass = np.bincount(near, weight, len(points))
        x, y = (np.bincount(near, weight * place, len(points)) for place in (column, row))
        has = mass > 0
        points[has] = np.column_stack([x[has], y[has]]) / mass[has, None]
        update(nearest, *np.ascontiguousarray(points.T))
    return (points + 0.5) * cell


def _on_a_fitting_grid(density: Floats, cell: float, count: int) -> tuple[Floats, float]:
    """The density on as many cells as the points need, no more."""
    rows, columns = density.shape
    used = float(np.mean(density > 0))
    wanted = min(CELLS_A_POINT * count / max(used, 0.02), MOST_CELLS)
    share = np.sqrt(wanted / (rows * columns))
    share = min(max(share, 0.25), 4.0)
    new = max(2, round(rows * share)), max(2, round(columns * share))
    moved = np.maximum(resampled(density, *new).astype(float), 0.0)
    return moved, cell * columns / new[1]


def _begin(density: Floats, count: int, seed: int) -> Floats:
    """Points in the wanted density: one each time a walk along Hilbert's curve has gathered enough of it."""
    rows, columns = density.shape
    order = np.argsort(_hilbert(rows, columns).ravel(), kind="stable")
    gathered = np.cumsum(density.ravel()[order])
    wanted = (np.arange(count) + (0.5 + OFFSET * (seed - 1)) % 1) * gathered[-1] / count
    place = order[np.searchsorted(gathered, wanted).clip(0, len(order) - 1)]
    jitter = np.random.default_rng(seed).random((count, 2))  # points of one cell are not laid on each other
    return np.column_stack([place % columns, place // columns]) + jitter - 0.5


def _hilbert(rows: int, columns: int) -> Integers:
    """(rows, columns) place of each cell along Hilbert's curve."""
    bits = int(max(rows, columns) - 1).bit_length()
    y, x = (np.broadcast_to(a, (rows, columns)).copy() for a in np.ogrid[:rows, :columns])
    place = np.zeros((rows, columns), dtype=np.int64)
    for bit in reversed(range(bits)):
        side = 1 << bit
        right, down = (x & side) > 0, (y & side) > 0
        place += side * side * ((3 * right) ^ down)
        turn = ~down
        flip = turn & right
        x, y = (
            np.where(flip, side - 1 - (x & (side - 1)), x & (side - 1)),
            np.where(flip, side - 1 - (y & (side - 1)), y & (side - 1)),
        )
        x, y = np.where(turn, y, x), np.where(turn, x, y)
    return place
