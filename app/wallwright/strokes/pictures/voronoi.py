"""Which of many points is nearest to each cell of a grid, kept up to date while the points move a little, compiled.

Each cell looks at the points of its eight neighbours in two sweeps (Danielsson, "Euclidean distance mapping", Computer
Graphics and Image Processing 14, 1980): a few cells may name the second nearest point, by less than a cell.
"""

from __future__ import annotations

from wallwright.document.arrays import Floats, Integers
from wallwright.document.compiled import compiled


@compiled
def update(nearest: Integers, x: Floats, y: Floats) -> None:
    """Brings the (rows, columns) int64 indices of the nearest points up to date. x, y: (n,) in cells, the middle of cell
    (row, column) being (column, row)."""
    rows, columns = nearest.shape
    for back in range(2):
        step = -1 if back else 1
        for r in range(rows):
            i = rows - 1 - r if back else r
            for c in range(columns):
                j = columns - 1 - c if back else c
                best = nearest[i, j]
                d = (x[best] - j) ** 2 + (y[best] - i) ** 2
                for k in range(4):
                    # The neighbours that the sweep has been at, first the one beside.
                    ni = i if k == 0 else i - step
                    nj = j - step if k == 0 else j + (k - 2)
                    if 0 <= ni < rows and 0 <= nj < columns:
                        other = nearest[ni, nj]
                        if other != best:
                            e = (x[other] - j) ** 2 + (y[other] - i) ** 2
                            if e < d or (e == d and other < best):
                                best, d = other, e
                nearest[i, j] = best
