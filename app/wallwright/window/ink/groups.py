"""Splitting strokes into groups that can be moved separately, and extracting flagged parts."""

from __future__ import annotations

import msgspec
import numpy as np
import numpy.typing as npt

from wallwright.strokes.strokes import Strokes


class StrokeGroup(msgspec.Struct, frozen=True):
    """A group of strokes of a drawing."""

    id: int
    strokes: Strokes
    points: slice | npt.NDArray[np.int64]
    """Indices of its points in the whole drawing; an array is ascending."""

    def own_moment(self, moment: int) -> int:
        """Returns the index of the group's last point up to a point of the whole drawing, -1 before its first."""
        if isinstance(self.points, slice):
            return max(-1, min(moment, int(self.points.stop) - 1) - int(self.points.start))
        return int(np.searchsorted(self.points, moment, side="right")) - 1

    def whole_moment(self, moment: int) -> int:
        """Returns the index in the whole drawing of a point of the group; -1 stays -1."""
        if moment < 0:
            return -1
        return int(self.points.start + moment if isinstance(self.points, slice) else self.points[moment])


def split(strokes: Strokes, group: npt.NDArray[np.integer] | None) -> list[StrokeGroup]:
    """Splits strokes by group (k,) int, ascending by id; None: all are in group 0. Points are not copied where groups are
    contiguous."""
    if len(strokes) == 0:
        return []
    if group is None:
        return [StrokeGroup(0, strokes, slice(0, len(strokes.points)))]
    group, of_point = np.asarray(group), None
    if (group[1:] < group[:-1]).any():
        order = np.argsort(group, kind="stable")
        of_point = np.argsort(np.repeat(group, np.diff(strokes.offsets)), kind="stable")
        strokes, group = strokes.take(order), group[order]
    firsts = np.flatnonzero(np.append(True, group[1:] != group[:-1]))
    parts = []
    for first, last in zip(firsts.tolist(), [*firsts[1:].tolist(), len(group)], strict=True):
        start, stop = int(strokes.offsets[first]), int(strokes.offsets[last])
        some = Strokes(
            strokes.points[start:stop],
            strokes.offsets[first : last + 1] - start,
            strokes.pen[first:last],
            strokes.source[first:last],
            strokes.is_fill[first:last],
        )
        parts.append(
            StrokeGroup(int(group[first]), some, slice(start, stop) if of_point is None else of_point[start:stop])
        )
    return parts


def same(a: Strokes, b: Strokes) -> bool:
    """Whether two sets of strokes have the same appearance."""
    return np.array_equal(a.offsets, b.offsets) and np.array_equal(a.pen, b.pen) and np.array_equal(a.points, b.points)


def flagged_runs(strokes: Strokes, flags: npt.NDArray[np.bool_]) -> Strokes:
    """Returns the parts of strokes next to a flagged point: every segment with a flagged end, and flagged dots.

    flags: (n,) bool for the points of strokes.
    """
    n, offsets = len(strokes.points), strokes.offsets
    if n == 0 or not flags.any():
        return Strokes.empty()
    starts = np.zeros(n, dtype=bool)
    starts[offsets[:-1][np.diff(offsets) > 0]] = True
    joined = np.zeros(n + 1, dtype=bool)  # whether the segment from point i - 1 to point i is flagged
    joined[1:n] = (flags[1:] | flags[:-1]) & ~starts[1:]
    alone = starts & np.append(starts[1:], True)
    kept = np.flatnonzero(joined[:n] | joined[1:] | (flags & alone))
    runs = np.flatnonzero(~joined[kept])
    of = strokes.stroke_of_point[kept[runs]]
    return Strokes(
        strokes.points[kept],
        np.append(runs, len(kept)).astype(np.int64),
        strokes.pen[of],
        strokes.source[of],
        strokes.is_fill[of],
    )
