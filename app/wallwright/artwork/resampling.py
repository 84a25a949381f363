"""A repeating picture, seen through a map."""

from __future__ import annotations

import numpy as np

from wallwright.artwork.raster.raster import Pixels
from wallwright.document.arrays import Floats


def repeated(tile: Pixels, to_tile: Pixels, width: int, height: int) -> Floats:
    """(height, width, c) of a (h, w, c) picture that repeats in both directions.

    to_tile: (3, 3) from pixels of the result to pixels of the tile, both with their corners at whole numbers. Between
    pixels the cubic of Mitchell and Netravali (1988) with B = C = 1/3 is taken; where the map only moves, the nearest
    pixel, which keeps edges sharp.
    """
    if np.abs(to_tile[:2, :2] - np.eye(2)).max() < 1e-6:
        columns = np.floor(np.arange(width) + 0.5 + to_tile[0, 2] + 1e-4).astype(int) % tile.shape[1]
        rows = np.floor(np.arange(height) + 0.5 + to_tile[1, 2] + 1e-4).astype(int) % tile.shape[0]
        return tile[np.ix_(rows, columns)].astype(np.float64)
    x, y = np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5)
    u = to_tile[0, 0] * x + to_tile[0, 1] * y + to_tile[0, 2] - 0.5
    v = to_tile[1, 0] * x + to_tile[1, 1] * y + to_tile[1, 2] - 0.5
    column, row = np.floor(u).astype(int), np.floor(v).astype(int)
    across, down = _weights(u - column), _weights(v - row)
    result = np.zeros((height, width, tile.shape[2]))
    for j in range(4):
        for i in range(4):
            part = tile[(row + j - 1) % tile.shape[0], (column + i - 1) % tile.shape[1]]
            result += part * (across[i] * down[j])[..., None]
    return result


def _weights(t: Floats) -> Floats:
    """(4, ...) of the pixels before, at, after and after next, for shares t between the middle two."""
    return np.stack(
        [
            (1 - 9 * t + 15 * t**2 - 7 * t**3) / 18,
            (16 - 36 * t**2 + 21 * t**3) / 18,
            (1 + 9 * t + 27 * t**2 - 21 * t**3) / 18,
            (-6 * t**2 + 7 * t**3) / 18,
        ]
    )
