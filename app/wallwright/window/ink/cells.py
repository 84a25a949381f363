"""A spatial index of segments: square cells, sorted for fast queries by box.

Segments are classified by length: class c has cells 4 ** c times the smallest and holds segments no longer than its
cell. A segment belongs to the cell of its midpoint, so it extends at most half a cell beyond it. Within a class
cells are ordered by row, so one row of cells is one slice of the sorted array.
"""

from __future__ import annotations

import msgspec
import numpy as np
import numpy.typing as npt

Points = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]
Lines = npt.NDArray[np.float32]
"""Lines (4, n): rows x1 y1 x2 y2."""
Moments = npt.NDArray[np.int32]
"""(n,) moments at which lines are drawn, see `StrokeGeometry`."""

_PER_CELL = 64
"""Average number of segments in a cell: a trade-off between tests of segments and cost per slice."""
_MOST_CELLS_A_SIDE = 4096


class _Block(msgspec.Struct, frozen=True):
    """Segments of a pen in one length class."""

    start: int
    stop: int
    cell: float
    columns: int
    rows: int


class SegmentGrid:
    """Segments by pen and position.

    origin: (2,) mm; lines: (4, s) float32, rows x1 y1 x2 y2, mm from origin; moment: (s,) int32, see `StrokeGeometry`.
    """

    def __init__(self, points: Points, start: Indices, end: Indices, pen: npt.NDArray[np.integer]) -> None:
        """Sorts the segments from points[start] to points[end] of pen, (s,) each; points (n, 2) mm."""
        self._blocks: dict[int, list[_Block]] = {}
        left, top, right, bottom = bounds_of(points) or (0.0, 0.0, 0.0, 0.0)
        self.origin, size = np.array((left, top)), np.array((right - left, bottom - top))
        local = np.ascontiguousarray((points - self.origin).T, dtype=np.float32)
        lines = np.concatenate([local.take(start, axis=1), local.take(end, axis=1)])
        smallest = _smallest_cell(size, len(start))
        kind = _length_class(lines, smallest)
        kinds = int(kind.max(initial=0)) + 1
        cell = smallest * 4.0 ** np.arange(kinds)
        columns, rows = ((size[axis] // cell).astype(np.int64) + 1 for axis in (0, 1))
        per_mm = (1.0 / cell).astype(np.float32)[kind] * np.float32(0.5)
        column = np.minimum(((lines[0] + lines[2]) * per_mm).astype(np.int32), (columns - 1)[kind])
        row = np.minimum(((lines[1] + lines[3]) * per_mm).astype(np.int32), (rows - 1)[kind])
        place = row * columns[kind] + column
        block = pen * np.int64(kinds) + kind
        order = np.argsort((block << 40) + place, kind="stable")
        self.lines, self.moment = lines.take(order, axis=1), end[order].astype(np.int32)
        self._cell = place[order].astype(np.int32)
        counts = np.bincount(block, minlength=1)
        stops = np.cumsum(counts)
        for b in np.flatnonzero(counts).tolist():
            p, k = divmod(b, kinds)
            known = _Block(int(stops[b] - counts[b]), int(stops[b]), float(cell[k]), int(columns[k]), int(rows[k]))
            self._blocks.setdefault(p, []).append(known)

    @property
    def pens(self) -> list[int]:
        """Indices of pens with segments, ascending."""
        return sorted(self._blocks)

    def near(self, pen: int, left: float, top: float, right: float, bottom: float) -> tuple[Lines, Moments]:
        """Returns lines (4, m) float32 from origin and moments (m,) of a superset of the segments that touch the box, mm."""
        slices = [s for block in self._blocks.get(pen, ()) for s in self._rows(block, left, top, right, bottom)]
        if not slices:
            return np.zeros((4, 0), dtype=np.float32), np.zeros(0, dtype=np.int32)
        return np.concatenate([self.lines[:, s] for s in slices], axis=1), np.concatenate(
            [self.moment[s] for s in slices]
        )

    def nearest(self, x: float, y: float, reach: float) -> tuple[float, float, int, float] | None:
        """Returns the nearest point on the segments to (x, y): x, y, its pen and its distance; None if none is within reach,
        mm."""
        best, found = reach, None
        at = np.array([x, y]) - self.origin
        for pen in self.pens:
            lines, _ = self.near(pen, x - reach, y - reach, x + reach, y + reach)
            if not lines.shape[1]:
                continue
            start, way = lines[:2].T.astype(float), (lines[2:] - lines[:2]).T.astype(float)
            along = ((at - start) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-300)
            points = start + np.clip(along, 0.0, 1.0)[:, None] * way
            far = np.hypot(*(points - at).T)
            k = int(np.argmin(far))
            if far[k] <= best:
                best, found = float(far[k]), (*(points[k] + self.origin).tolist(), pen)
        return None if found is None else (*found, best)

    def _rows(self, block: _Block, left: float, top: float, right: float, bottom: float) -> list[slice]:
        reach = 0.5 * block.cell
        box = np.array([left - reach, top - reach, right + reach, bottom + reach]) - np.tile(self.origin, 2)
        x0, y0, x1, y1 = np.floor(box / block.cell).astype(int)
        x0, y0, x1, y1 = max(x0, 0), max(y0, 0), min(x1, block.columns - 1), min(y1, block.rows - 1)
        if x0 > x1 or y0 > y1:
            return []
        cells = self._cell[block.start : block.stop]
        row = np.arange(y0, y1 + 1) * block.columns
        if x0 == 0 and x1 == block.columns - 1:
            row = row[[0, -1]]  # whole rows are contiguous
            first, last = row[:1], row[1:]
        else:
            first = last = row
        a = np.searchsorted(cells, (first + x0).astype(np.int32)) + block.start
        b = np.searchsorted(cells, (last + x1).astype(np.int32), side="right") + block.start
        return [slice(i, j) for i, j in zip(a.tolist(), b.tolist(), strict=True) if j > i]


def bounds_of(points: Points) -> tuple[float, float, float, float] | None:
    """Returns left, top, right, bottom of points (n, 2); None without any."""
    if len(points) == 0:
        return None
    x, y = points[:, 0], points[:, 1]  # by column: ten times faster than over the first axis
    return float(x.min()), float(y.min()), float(x.max()), float(y.max())


def _smallest_cell(size: Points, count: int) -> float:
    """Returns the side, mm, of cells that hold _PER_CELL of `count` segments spread evenly over `size` (2,) mm."""
    even = np.sqrt(size[0] * size[1] * _PER_CELL / max(1, count))
    return float(max(even, size.max() / _MOST_CELLS_A_SIDE, 1e-3))


def _length_class(lines: Lines, smallest: float) -> Indices:
    """Returns (s,) int64: the smallest c with cells 4 ** c times the smallest at least as large as the segment."""
    extent = np.maximum(np.abs(lines[2] - lines[0]), np.abs(lines[3] - lines[1]))
    kind = np.zeros(len(extent), dtype=np.int64)
    longest, cell = extent.max(initial=0.0), smallest
    while cell < longest:
        kind += extent > cell
        cell *= 4.0
    return kind
