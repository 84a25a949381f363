"""Finds pairs of segments that lie on each other, through a grid of cells, compiled.

A segment is entered in every cell near it; within a cell, segments are processed from left to right. Two segments that lie
on each other share a cell, because half the tolerance around each is covered.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.compiled import compiled
from wallwright.document.parallel import in_parts

CellGrid = tuple[Floats, float, int, int, float]
"""Low corner (2,) mm, size of a cell, mm, columns, rows, and margin around a segment, mm."""
OverlapArrays = tuple[Integers, Integers, Floats, Floats]
"""(m,) each: later and earlier segment, and the shares of the later one between which they overlap."""
IN_A_CELL = 2.0
"""Mean number of segments per cell if they were short and spread evenly: fewer need more memory, more take longer."""
PARTS = 64
"""Number of batches of cells, searched on all cores; cancel is checked between two of them."""
ENTERED = 200_000
"""Number of segments entered in cells between two checks for cancel."""
STEEP = 1e-6
"""Width of a segment, mm, below which it is entered along its whole height, because its slope is all rounding error."""


def overlaps(
    ends: Points,
    pen: Integers,
    is_new: Flags,
    tolerance: float,
    least: float,
    progress: Callable[[float], None] = lambda done: None,
) -> OverlapArrays:
    """Returns (later, earlier, from, to), sorted: indices of two segments of one pen, at least one of them new, and the
    shares of the later one between which it lies within tolerance of the earlier one, over at least least, mm.

    ends: (n, 2, 2) mm. pen: (n,). is_new: (n,) bool.
    """
    n = len(ends)
    if n < 2:
        none = np.zeros(0, dtype=np.int64)
        return none, none, np.zeros(0), np.zeros(0)
    left, right = (f(ends[:, 0, 0], ends[:, 1, 0]) for f in (np.minimum, np.maximum))
    low = np.array([left.min(), ends[..., 1].min()]) - tolerance
    high = np.array([right.max(), ends[..., 1].max()]) + tolerance
    width, height = high - low
    cell = max(np.sqrt(IN_A_CELL * width * height / n), max(width, height) / n, 4 * tolerance)
    columns, rows = int(width / cell) + 1, int(height / cell) + 1
    around = tolerance / 2 + 1e-3 * cell
    heads = np.zeros(columns * rows + 1, dtype=np.int64)
    grid = low, cell, columns, rows, around
    for first in range(0, n, ENTERED):
        progress(0.15 * first / n)
        _count(ends, first, min(first + ENTERED, n), grid, heads)
    heads = np.cumsum(heads)
    items, at = np.empty(heads[-1], dtype=np.int32), heads[:-1].copy()
    for first in range(0, n, ENTERED):
        progress(0.15 + 0.15 * first / n)
        _enter(ends, first, min(first + ENTERED, n), grid, at, items)
    cuts = np.searchsorted(heads, np.linspace(0, heads[-1], PARTS + 1))
    cuts[0], cuts[-1] = 0, len(heads) - 1
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    found = in_parts(
        lambda part: _search(part[0], part[1], heads, items, ends, left, right, length, pen, is_new, tolerance, least),
        [(int(a), int(b)) for a, b in itertools.pairwise(cuts) if b > a],
        lambda done: progress(0.3 + 0.7 * done),
    )
    later, earlier, start, stop = (np.concatenate(column) for column in zip(*found, strict=True))
    order = np.lexsort((earlier, later))
    later, earlier, start, stop = later[order], earlier[order], start[order], stop[order]
    once = np.ones(len(later), dtype=bool)  # pairs that share several cells are found in each
    once[1:] = (later[1:] != later[:-1]) | (earlier[1:] != earlier[:-1])
    return later[once], earlier[once], start[once], stop[once]


@compiled
def _rows_at(
    ends: Points,
    i: int,
    column: int,
    low: Floats,
    cell: float,
    rows: int,
    around: float,
) -> tuple[int, int]:
    """Returns the first and last row, in a column, of the cells near segment i; last < first if there is none."""
    x0, y0, x1, y1 = ends[i, 0, 0], ends[i, 0, 1], ends[i, 1, 0], ends[i, 1, 1]
    if x0 > x1:
        x0, y0, x1, y1 = x1, y1, x0, y0
    a, b = 0.0, 1.0
    if x1 - x0 > STEEP:
        begin = low[0] + column * cell
        a = min(max((begin - around - x0) / (x1 - x0), 0.0), 1.0)
        b = min(max((begin + cell + around - x0) / (x1 - x0), 0.0), 1.0)
    ya, yb = y0 + a * (y1 - y0), y0 + b * (y1 - y0)
    top, bottom = min(ya, yb) - around, max(ya, yb) + around
    first, last = int((top - low[1]) // cell), int((bottom - low[1]) // cell)
    return max(first, 0), min(last, rows - 1)


@compiled
def _columns_of(
    ends: Points,
    i: int,
    low: Floats,
    cell: float,
    columns: int,
    around: float,
) -> tuple[int, int]:
    """Returns the first and last column of the cells near segment i."""
    x0, x1 = min(ends[i, 0, 0], ends[i, 1, 0]), max(ends[i, 0, 0], ends[i, 1, 0])
    return max(int((x0 - around - low[0]) // cell), 0), min(int((x1 + around - low[0]) // cell), columns - 1)


@compiled
def _count(ends: Points, begin: int, end: int, grid: CellGrid, heads: Integers) -> None:
    """Counts the entries of segments begin .. end - 1 in each cell, shifted by one."""
    low, cell, columns, rows, around = grid
    for i in range(begin, end):
        first, last = _columns_of(ends, i, low, cell, columns, around)
        for column in range(first, last + 1):
            top, bottom = _rows_at(ends, i, column, low, cell, rows, around)
            for row in range(top, bottom + 1):
                heads[column * rows + row + 1] += 1


@compiled
def _enter(ends: Points, begin: int, end: int, grid: CellGrid, at: Integers, items: Integers) -> None:
    """Enters segments begin .. end - 1 at the current position of each cell."""
    low, cell, columns, rows, around = grid
    for i in range(begin, end):
        first, last = _columns_of(ends, i, low, cell, columns, around)
        for column in range(first, last + 1):
            top, bottom = _rows_at(ends, i, column, low, cell, rows, around)
            for row in range(top, bottom + 1):
                c = column * rows + row
                items[at[c]] = i
                at[c] += 1


@compiled
def _search(
    begin: int,
    end: int,
    heads: Integers,
    items: Integers,
    ends: Points,
    left: Floats,
    right: Floats,
    length: Floats,
    pen: Integers,
    is_new: Flags,
    tolerance: float,
    least: float,
) -> OverlapArrays:
    """Returns overlaps in the cells begin .. end - 1, some of them several times."""
    room = 64
    later, earlier = np.empty(room, np.int64), np.empty(room, np.int64)
    start, stop = np.empty(room), np.empty(room)
    count = 0
    for c in range(begin, end):
        mine = items[heads[c] : heads[c + 1]]
        mine[:] = mine[np.argsort(left[mine], kind="mergesort")] if len(mine) > 1 else mine
        for p in range(heads[c], heads[c + 1]):
            i = items[p]
            if length[i] == 0.0:
                continue
            for q in range(p + 1, heads[c + 1]):
                j = items[q]
                if left[j] > right[i] + tolerance:
                    break
                if pen[i] != pen[j] or length[j] == 0.0 or not (is_new[i] or is_new[j]):
                    continue
                y0, y1 = min(ends[i, 0, 1], ends[i, 1, 1]), max(ends[i, 0, 1], ends[i, 1, 1])
                if min(ends[j, 0, 1], ends[j, 1, 1]) > y1 + tolerance:
                    continue
                if max(ends[j, 0, 1], ends[j, 1, 1]) < y0 - tolerance:
                    continue
                k, e = max(i, j), min(i, j)
                low, high = _share(ends, k, e, length[e], tolerance)
                if (high - low) * length[k] > least:
                    if count == room:
                        later, earlier = np.append(later, later), np.append(earlier, earlier)
                        start, stop = np.append(start, start), np.append(stop, stop)
                        room *= 2
                    later[count], earlier[count], start[count], stop[count] = k, e, low, high
                    count += 1
    return later[:count].copy(), earlier[:count].copy(), start[:count].copy(), stop[:count].copy()


@compiled
def _share(ends: Points, later: int, earlier: int, length: float, tolerance: float) -> tuple[float, float]:
    """Returns the shares of the later segment between which it runs along the earlier one; (0, 0) if it does not."""
    ax, ay = (
        (ends[earlier, 1, 0] - ends[earlier, 0, 0]) / length,
        (ends[earlier, 1, 1] - ends[earlier, 0, 1]) / length,
    )
    x0, y0 = ends[later, 0, 0] - ends[earlier, 0, 0], ends[later, 0, 1] - ends[earlier, 0, 1]
    x1, y1 = ends[later, 1, 0] - ends[earlier, 0, 0], ends[later, 1, 1] - ends[earlier, 0, 1]
    u0, u1 = x0 * ax + y0 * ay, x1 * ax + y1 * ay
    v0, v1 = y0 * ax - x0 * ay, y1 * ax - x1 * ay
    du = u1 - u0
    if du == 0.0:
        return 0.0, 0.0
    # The part of the later segment with 0 <= u <= the earlier one's length.
    a, b = -u0 / du, (length - u0) / du
    low, high = min(max(min(a, b), 0.0), 1.0), min(max(max(a, b), 0.0), 1.0)
    if max(abs(v0 + low * (v1 - v0)), abs(v0 + high * (v1 - v0))) > tolerance:
        return 0.0, 0.0
    return low, high
