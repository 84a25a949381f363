"""The initial tour: repeatedly move to the nearest undrawn end, found through a grid of cells, compiled."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.columns import column_max, column_min
from wallwright.document.compiled import compiled


def nearest_first(ends: Points, start: Floats) -> tuple[Integers, Flags]:
    """Returns the nearest neighbour tour. ends (k, 2, 2) mm. Returns order (k,) and flip (k,) bool."""
    points = np.ascontiguousarray(ends.reshape(-1, 2))
    cell = max(np.sqrt(np.prod(np.ptp(points, axis=0) + 1.0) / max(len(ends), 1)), 1e-3)
    low = column_min(points)
    shape = np.floor((column_max(points) - low) / cell).astype(np.int64) + 1
    cells = np.floor((points - low) / cell).astype(np.int64)
    number = cells[:, 1] * shape[0] + cells[:, 0]
    by_cell = np.argsort(number, kind="stable")
    heads = np.searchsorted(number[by_cell], np.arange(shape[0] * shape[1] + 1))
    return _nearest(points, np.asarray(start, dtype=float), by_cell, heads, shape[0], shape[1], low, cell)


@compiled
def _nearest(
    points: Points,
    start: Floats,
    by_cell: Integers,
    heads: Integers,
    columns: int,
    rows: int,
    low: Floats,
    cell: float,
) -> tuple[Integers, Flags]:
    k = len(points) // 2
    left = (heads[1:] - heads[:-1]).copy()
    items = by_cell.copy()
    order, flip = np.empty(k, np.int64), np.empty(k, np.bool_)
    used = np.zeros(k, np.bool_)
    x, y = start[0], start[1]
    for step in range(k):
        cx, cy = int((x - low[0]) // cell), int((y - low[1]) // cell)
        cx, cy = min(max(cx, 0), columns - 1), min(max(cy, 0), rows - 1)
        best, found = np.inf, -1
        for ring in range(columns + rows):
            # A ring further out than the best distance cannot hold a nearer end.
            if found >= 0 and (ring - 1) * cell > np.sqrt(best):
                break
            for iy in range(max(cy - ring, 0), min(cy + ring, rows - 1) + 1):
                edge = iy == cy - ring or iy == cy + ring
                jump = 1 if edge or ring == 0 else 2 * ring
                for ix in range(cx - ring, cx + ring + 1, jump):
                    if ix < 0 or ix >= columns:
                        continue
                    c = iy * columns + ix
                    at, stop = heads[c], heads[c] + left[c]
                    while at < stop:
                        e = items[at]
                        if used[e // 2]:
                            stop -= 1
                            left[c] -= 1
                            items[at] = items[stop]
                            continue
                        d = (points[e, 0] - x) ** 2 + (points[e, 1] - y) ** 2
                        if d < best or (d == best and e < found):
                            best, found = d, e
                        at += 1
        order[step], flip[step] = found // 2, found % 2 == 1
        used[found // 2] = True
        other = found ^ 1
        x, y = points[other, 0], points[other, 1]
    return order, flip
