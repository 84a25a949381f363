"""Bilinear interpolation of several fields on one grid, compiled: the corners of a cell are looked up once for all
fields."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.compiled import compiled


@compiled
def bilinear(fields: Floats, places: Floats) -> Floats:
    """Returns (n, m) values of m fields; beyond the grid, those of its edge. fields: (rows, columns, m), contiguous, at
    least two rows and columns; places: (n, 2) in grid steps."""
    rows, columns, m = fields.shape
    n = len(places)
    result = np.empty((n, m))
    for k in range(n):
        # The comparisons map nan to the edge, not outside the array.
        x = min(places[k, 0], rows - 1.0) if places[k, 0] > 0.0 else 0.0
        y = min(places[k, 1], columns - 1.0) if places[k, 1] > 0.0 else 0.0
        i, j = min(int(x), rows - 2), min(int(y), columns - 2)
        a, b = x - i, y - j
        for f in range(m):
            near = fields[i, j, f] + b * (fields[i, j + 1, f] - fields[i, j, f])
            far = fields[i + 1, j, f] + b * (fields[i + 1, j + 1, f] - fields[i + 1, j, f])
            result[k, f] = near + a * (far - near)
    return result
