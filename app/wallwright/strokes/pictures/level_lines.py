"""Level lines at all integers of a plane at once, compiled: marching squares in one pass over the cells.

Own code: contourpy processes the whole plane for each level, and pictures have hundreds; it also holds Python's lock, so
that layers of pens wait for each other.

    crossing    where a level crosses an edge between two neighbouring values; numbered edge by edge, levels ascending
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.compiled import compiled


def whole_level_lines(plane: Floats) -> tuple[Points, Integers, Integers]:
    """Returns the points (n, 2) of the level lines, the line index (n,) of each, ascending from 0, and the level (k,) of
    each line, ascending.

    plane: (rows, columns), values at points 1 apart, which define the coordinates: (column, row). Closed lines repeat their
    first point. A value equal to a level counts as below it.
    """
    plane = np.ascontiguousarray(plane, dtype=np.float64)
    rows, columns = plane.shape
    along = np.zeros((rows, columns), dtype=np.int64)
    down = np.zeros((rows, columns), dtype=np.int64)
    count = _number(plane, along, down)
    points, level = np.empty((count, 2)), np.empty(count, dtype=np.int64)
    links = np.full((count, 2), -1, dtype=np.int64)
    _cross(plane, along, down, points, level)
    _link(plane, along, down, links)
    order = np.argsort(level, kind="stable")
    walk, line = np.empty(2 * count, dtype=np.int64), np.empty(2 * count, dtype=np.int64)
    total = _walk(order, links, walk, line)
    walk, line = walk[:total], line[:total]
    first = np.flatnonzero(np.append(True, line[1:] != line[:-1])) if total else np.zeros(0, dtype=np.int64)
    by_level = np.argsort(level[walk[first]], kind="stable")
    counts = np.diff(np.append(first, total))[by_level]
    starts = np.cumsum(counts) - counts
    place = np.repeat(first[by_level] - starts, counts) + np.arange(total)
    return points[walk[place]], np.repeat(np.arange(len(first)), counts), level[walk[first]][by_level]


@compiled
def _number(plane: Floats, along: Integers, down: Integers) -> int:
    """Number the first crossing of each edge to the right and down from a value; return the total."""
    rows, columns = plane.shape
    count = 0
    for r in range(rows):
        for c in range(columns):
            up = np.ceil(plane[r, c])
            along[r, c] = count
            if c + 1 < columns:
                count += int(abs(np.ceil(plane[r, c + 1]) - up))
            down[r, c] = count
            if r + 1 < rows:
                count += int(abs(np.ceil(plane[r + 1, c]) - up))
    return count


@compiled
def _cross(plane: Floats, along: Integers, down: Integers, points: Points, level: Integers) -> None:
    rows, columns = plane.shape
    for r in range(rows):
        for c in range(columns):
            a = plane[r, c]
            for is_down in range(2):
                r2, c2 = r + is_down, c + 1 - is_down
                if r2 >= rows or c2 >= columns:
                    continue
                b = plane[r2, c2]
                first = down[r, c] if is_down else along[r, c]
                low = int(np.ceil(min(a, b)))
                for k in range(low, int(np.ceil(max(a, b)))):
                    share = (k - a) / (b - a)
                    at = first + k - low
                    points[at, 0], points[at, 1] = c + share * (c2 - c), r + share * (r2 - r)
                    level[at] = k


@compiled
def _link(plane: Floats, along: Integers, down: Integers, links: Integers) -> None:
    """Joins the crossings of each level across each cell. On a saddle the mean of the corners decides which are joined."""
    rows, columns = plane.shape
    at = np.empty(4, dtype=np.int64)
    for r in range(rows - 1):
        for c in range(columns - 1):
            a, b, d, e = plane[r, c], plane[r, c + 1], plane[r + 1, c + 1], plane[r + 1, c]
            low, high = np.ceil(min(a, b, d, e)), np.ceil(max(a, b, d, e))
            for k in range(int(low), int(high)):
                # Edges around the cell: above, right, below, left; each lies between two corners of a, b, d, e.
                count = 0
                for edge in range(4):
                    u = a if edge == 0 or edge == 3 else (b if edge == 1 else e)
                    v = b if edge == 0 else (d if edge == 1 or edge == 2 else e)
                    if (u > k) == (v > k):
                        continue
                    if edge == 0:
                        first = along[r, c]
                    elif edge == 1:
                        first = down[r, c + 1]
                    elif edge == 2:
                        first = along[r + 1, c]
                    else:
                        first = down[r, c]
                    at[count] = first + k - int(np.ceil(min(u, v)))
                    count += 1
                if count == 2:
                    _join(links, at[0], at[1])
                elif count == 4:
                    if ((a + b + d + e) / 4 > k) == (a > k):
                        _join(links, at[0], at[1])
                        _join(links, at[2], at[3])
                    else:
                        _join(links, at[0], at[3])
                        _join(links, at[1], at[2])


@compiled
def _join(links: Integers, a: int, b: int) -> None:
    links[a, 0 if links[a, 0] < 0 else 1] = b
    links[b, 0 if links[b, 0] < 0 else 1] = a


@compiled
def _walk(order: Integers, links: Integers, walk: Integers, line: Integers) -> int:
    """Follows the links: open lines first, then closed ones. Returns the number of points."""
    done: npt.NDArray[np.bool_] = np.zeros(len(links), dtype=np.bool_)
    count, number = 0, 0
    for closed in range(2):
        for start in order:
            if done[start] or links[start, 0] < 0 or (closed == 0 and links[start, 1] >= 0):
                continue
            here, before = start, -1
            while here >= 0 and not done[here]:
                done[here] = True
                walk[count], line[count] = here, number
                count += 1
                following = links[here, 0] if links[here, 0] != before else links[here, 1]
                before, here = here, following
            if closed:
                walk[count], line[count] = start, number
                count += 1
            number += 1
    return count
