"""Removes pieces of lines that lie on lines already drawn by the same pen."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import shapely

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.overlaps import overlaps
from wallwright.strokes.stroke_pieces import from_pieces
from wallwright.strokes.strokes import Strokes

LEAST_LAP = 4.0
"""Shortest overlap, in tolerances: shorter ones are crossings at a flat angle, or ends that meet."""


class OverlapIndex:
    """Finds where strokes lie on earlier ones. Results for parts that are given again are reused: the overlaps of two
    parts do not depend on others, so only new parts are searched."""

    def __init__(self) -> None:
        self._parts: list[Strokes] = []
        self._tolerance = 0.0
        self._found = OverlapPieces.none()

    def without(
        self,
        parts: Sequence[Strokes],
        tolerance: float,
        progress: Callable[[float], None] = lambda done: None,
        see_through: Flags | None = None,
    ) -> Strokes:
        """Returns all parts concatenated, without the pieces of segments that lie within tolerance, mm, of an earlier
        segment of the same pen along their whole length. Edges are compared with edges; fills with fills if one of the
        two parts lets the other show through, see_through (p,) bool: their hatches share one lattice, line on line.
        Other fills lie side by side and are not searched. A stroke may be left in several pieces."""
        strokes = parts[0] if len(parts) == 1 else Strokes.join(parts)
        if len(strokes) == 0:
            return strokes
        progress(0.0)
        base = np.concatenate([[0], np.cumsum([len(part.points) for part in parts])])
        own = strokes.stroke_of_point
        first = np.flatnonzero(own[1:] == own[:-1])  # segment: this point and the next
        is_fill = strokes.is_fill[own[first]]
        clear = np.zeros(len(parts), dtype=bool) if see_through is None else see_through
        edge = first if clear.any() else first[~is_fill]
        progress(0.05)
        old, is_new = self._known(parts, tolerance)
        new = np.flatnonzero(is_new)
        of_edge = np.searchsorted(base, edge, side="right") - 1
        if clear.any():
            searched = ~is_fill | _near(strokes, base, np.flatnonzero(clear), tolerance)[of_edge]
            edge, of_edge = edge[searched], of_edge[searched]
        if len(new) < len(parts):
            near = _near(strokes, base, new, tolerance)
            edge, of_edge = edge[near[of_edge]], of_edge[near[of_edge]]
        ends = np.empty((len(edge), 2, 2))
        for end in (0, 1):
            progress(0.06 + 0.02 * end)
            ends[:, end] = strokes.points[edge + end]
        kind = 2 * strokes.pen[own[edge]] + strokes.is_fill[own[edge]]
        later, earlier, low, high = overlaps(
            ends,
            kind,
            is_new[of_edge],
            tolerance,
            LEAST_LAP * tolerance,
            lambda done: progress(0.1 + 0.7 * done),
        )
        if clear.any():
            counts = kind[later] % 2 == 0
            counts |= clear[of_edge[later]] | clear[of_edge[earlier]]
            later, earlier, low, high = (column[counts] for column in (later, earlier, low, high))
        fresh = OverlapPieces(of_edge[later], edge[later] - base[of_edge[later]], of_edge[earlier], low, high)
        found = OverlapPieces(*(np.concatenate(pair) for pair in zip(old, fresh, strict=True)))
        self._parts, self._tolerance, self._found = list(parts), tolerance, found
        if not len(found.part):
            return strokes
        lapped = base[found.part] + found.point
        progress(0.8)
        return _cut(strokes, lapped, found.low, found.high, LEAST_LAP * tolerance)

    def _known(self, parts: Sequence[Strokes], tolerance: float) -> tuple[OverlapPieces, Flags]:
        """Returns the cached overlaps between parts that are given again, and (p,) bool for the new parts."""
        number = {id(part): i for i, part in enumerate(self._parts)} if tolerance == self._tolerance else {}
        before = np.array([number.get(id(part), -1) for part in parts], dtype=np.int64)
        known = before[before >= 0]
        if np.any(np.diff(known) <= 0):  # which of two lies on the other depends on their order
            known, before = known[:0], np.full(len(parts), -1)
        now = np.full(len(self._parts), -1)
        now[known] = np.flatnonzero(before >= 0)
        found = self._found
        stays = (now[found.part] >= 0) & (now[found.on] >= 0)
        part, on = now[found.part[stays]], now[found.on[stays]]
        return OverlapPieces(part, found.point[stays], on, found.low[stays], found.high[stays]), before < 0


class OverlapPieces(NamedTuple):
    """Pieces of segments that lie on earlier ones, in columns."""

    part: Integers
    """(m,) index of the segment's part."""
    point: Integers
    """(m,) index, within that part, of the segment's first point."""
    on: Integers
    """(m,) index of the earlier segment's part."""
    low: Floats
    high: Floats
    """(m,) shares of the segment between which the piece lies."""

    @staticmethod
    def none() -> OverlapPieces:
        whole = np.zeros(0, dtype=np.int64)
        return OverlapPieces(whole, whole, whole, np.zeros(0), np.zeros(0))


def _near(strokes: Strokes, base: Integers, new: Integers, tolerance: float) -> Flags:
    """Returns (p,) bool: the new parts, and those whose box comes within tolerance of theirs. base (p + 1,): the first
    point of each."""
    near = np.zeros(len(base) - 1, dtype=bool)
    near[new] = True
    full = np.flatnonzero(np.diff(base))
    low, high = (f.reduceat(strokes.points, base[full]) for f in (np.minimum, np.maximum))
    # The tree uses bounding boxes only, and a diagonal has that of its box.
    boxes = line_strings(np.stack([low - tolerance, high + tolerance], axis=1))
    is_new = near[full]
    if is_new.any():
        near[full[np.unique(shapely.STRtree(boxes).query(boxes[is_new])[1])]] = True
    return near


def _cut(strokes: Strokes, lapped: Integers, low: Floats, high: Floats, least: float) -> Strokes:
    """Returns the strokes without shares of segments, and without remainders between them that are shorter than least,
    mm: they lie under the ink beside them. lapped (m,): the point at which each segment begins. Unaffected strokes are
    copied as they are."""
    own = strokes.stroke_of_point[lapped]
    cut = np.unique(own)
    others = np.setdiff1d(np.arange(len(strokes)), cut, assume_unique=True)
    some = strokes.take(cut)
    lapped = lapped - strokes.offsets[own] + some.offsets[np.searchsorted(cut, own)]
    of_point = some.stroke_of_point
    numbered = dataclasses.replace(some, source=np.arange(len(some), dtype=np.int32))
    pieces = from_pieces(numbered, *_kept(np.flatnonzero(of_point[1:] == of_point[:-1]), lapped, low, high))
    pieces = pieces.take(np.flatnonzero(pieces.lengths() > least))
    number = cut[pieces.source]
    pieces = dataclasses.replace(pieces, source=strokes.source[number])
    together = Strokes.join([strokes.take(others), pieces])
    return together.take(np.argsort(np.concatenate([others, number]), kind="stable"))


def _kept(segments: Integers, lapped: Integers, low: Floats, high: Floats) -> tuple[Integers, Floats, Floats]:
    """Returns (segment, from, to) of the remainder of all segments, in order. Removed shares may overlap."""
    # Ends of removed shares on one axis: the segment's number plus the share.
    order = np.lexsort((low, lapped))
    lapped, low, high = lapped[order], low[order], high[order]
    number = np.searchsorted(segments, lapped)
    reach = np.maximum.accumulate(number + high)
    gap_from = np.concatenate([[0.0], reach])
    gap_to = np.concatenate([number + low, [float(len(segments))]])
    open_ = gap_to > gap_from + 1e-9
    gap_from, gap_to = gap_from[open_], gap_to[open_]
    # Each remainder is split at the whole numbers within it.
    head, tail = np.floor(gap_from + 1e-12).astype(np.int64), np.ceil(gap_to - 1e-12).astype(np.int64)
    count = tail - head
    of = np.repeat(np.arange(len(count)), count)
    index = head[of] + np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    start = np.clip(gap_from[of] - index, 0.0, 1.0)
    stop = np.clip(gap_to[of] - index, 0.0, 1.0)
    keep = stop - start > 1e-9
    return segments[index[keep]], start[keep], stop[keep]
