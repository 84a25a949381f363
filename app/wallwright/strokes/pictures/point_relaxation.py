"""Points distributed evenly over a picture with a given density: weighted centroidal Voronoi diagrams.

Secord, "Weighted Voronoi stippling" (NPAR 2002), with Lloyd's method. In two dimensions, the density of relaxed points
tends to the square root of the weight (Gersho, "Asymptotically optimal block quantization", IEEE Transactions on
Information Theory 25, 1979), so the weight is the square of the wanted density.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from wallwright.artwork.raster.raster import resampled
from wallwright.document.arrays import Floats, Integers
from wallwright.document.compiled import compiled
from wallwright.strokes.pictures.voronoi import centred, nearest_points, update

ROUNDS = 16
"""Number of relaxation rounds: points start with the wanted density, so these only even them out."""
OFFSET = (5**0.5 - 1) / 2
"""Offset from seed to seed, in steps between points: the golden ratio, which never repeats."""
CELLS_A_POINT = 14
MOST_CELLS = 900_000


def spread(
    density: Floats, cell: float, progress: Callable[[float], None] = lambda done: None, seed: int = 1
) -> Floats:
    """Returns (k, 2) mm. density: (rows, columns) points per mm² on square cells, mm; k is its integral over the area.
    seed: points of the same density with another seed lie elsewhere."""
    count = round(float(density.sum()) * cell * cell)
    if count < 1:
        return np.zeros((0, 2))
    density, cell = _on_a_fitting_grid(density, cell, count)
    points = _begin(density, count, seed)  # in cells during the relaxation
    x, y = (np.ascontiguousarray(place) for place in points.T)
    del points
    progress(0.2)
    nearest = nearest_points(x, y, *density.shape)
    weight = density**2
    for number in range(ROUNDS):
        progress(0.3 + 0.7 * number / ROUNDS)
        centred(nearest, weight, x, y)
        update(nearest, x, y)
    points = np.column_stack([x, y])
    points += 0.5
    points *= cell
    return points


def _on_a_fitting_grid(density: Floats, cell: float, count: int) -> tuple[Floats, float]:
    """Returns the density on as many cells as the points need, no more."""
    rows, columns = density.shape
    used = float(np.mean(density > 0))
    wanted = min(CELLS_A_POINT * count / max(used, 0.02), MOST_CELLS)
    share = np.sqrt(wanted / (rows * columns))
    share = min(max(share, 0.25), 4.0)
    new = max(2, round(rows * share)), max(2, round(columns * share))
    moved = np.maximum(resampled(density, *new).astype(float), 0.0)
    return moved, cell * columns / new[1]


def _begin(density: Floats, count: int, seed: int) -> Floats:
    """Returns points with the wanted density: one each time the accumulated density along Hilbert's curve is sufficient."""
    rows, columns = density.shape
    order = hilbert_order(rows, columns)
    gathered = np.cumsum(density.ravel()[order])
    wanted = (np.arange(count) + (0.5 + OFFSET * (seed - 1)) % 1) * gathered[-1] / count
    place = order[np.searchsorted(gathered, wanted).clip(0, len(order) - 1)]
    jitter = np.random.default_rng(seed).random((count, 2))  # points of one cell must not coincide
    return np.column_stack([place % columns, place // columns]) + jitter - 0.5


def hilbert_order(rows: int, columns: int) -> Integers:
    """Returns (rows x columns,): the cells of a grid, counted row by row, in the order of Hilbert's curve."""
    bits = max(rows - 1, columns - 1, 1).bit_length()
    at = np.full(1 << (2 * bits), -1, dtype=np.int32)
    _place_along_curve(rows, columns, bits, at)
    return at[at >= 0].astype(np.int64)


@compiled
def _place_along_curve(rows: int, columns: int, bits: int, at: npt.NDArray[np.int32]) -> None:
    """Enters each cell of a grid at its place along the curve through 2^bits x 2^bits cells."""
    for row in range(rows):
        for column in range(columns):
            x, y, place = column, row, 0
            for bit in range(bits - 1, -1, -1):
                side = 1 << bit
                right, down = (x >> bit) & 1, (y >> bit) & 1
                place += side * side * ((3 * right) ^ down)
                x, y = x & (side - 1), y & (side - 1)
                if not down:
                    if right:
                        x, y = side - 1 - x, side - 1 - y
                    x, y = y, x
            at[place] = row * columns + column
