"""Divides strokes among hangings that stand side by side on the wall.

    row        the hangings from left to right
    line       x at which a hanging hands over to its neighbour on the right; between its lines lies a hanging's own area
    reach      how far outside its own area a hanging goes for a stroke that it then draws whole
    window     the part of a stroke that two hangings can draw, where it is cut between them

Every stroke is drawn exactly once. A stroke that a single hanging can draw, without exceeding its area by more than the
reach, stays whole. Any other is cut as rarely as possible: along it, the hanging that can continue longest is chosen again
and again, which gives the fewest parts (interval covering; Kleinberg and Tardos, Algorithm Design, 2005, section 4.1). The
position of a cut within its window is spread over both sides of the line by the golden ratio, so that neighbouring strokes
are not cut at the same place (additive recurrence; Kuipers and Niederreiter, Uniform Distribution of Sequences, 1974).
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.joining import Joining
from wallwright.strokes.dense_points import DensePoints
from wallwright.strokes.stroke_pieces import between
from wallwright.strokes.strokes import Strokes

GOLDEN = (5**0.5 - 1) / 2
END_MARGIN = 2
"""Number of sample points between a cut and the ends of a window with enough room: the zone ends there."""


@dataclass(frozen=True)
class HangingRow:
    """Hangings from left to right, and the handover lines between them."""

    order: tuple[int, ...]
    """Numbers of the hangings, as in the document, from left to right."""
    lines: tuple[float, ...]
    """x of each line between neighbours, mm; one fewer than hangings."""

    def ground(self) -> tuple[Floats, Floats]:
        """Returns the (h,) left and right end of each hanging's own area, mm; by hanging number."""
        lines = np.maximum.accumulate(np.array(self.lines, dtype=float))
        left, right = np.empty(len(self.order)), np.empty(len(self.order))
        left[list(self.order)] = np.concatenate([[-np.inf], lines])
        right[list(self.order)] = np.concatenate([lines, [np.inf]])
        return left, right

    def line_between(self, a: int, b: int) -> float:
        """Returns x at which a stroke passes from one hanging to another, mm; the mean of the lines if others stand
        between them."""
        low, high = sorted((self.order.index(a), self.order.index(b)))
        return float(np.mean(self.lines[low:high]))


@dataclass(frozen=True)
class HangingShares:
    """Strokes and parts of strokes with the hanging that draws each."""

    strokes: Strokes
    """In the order of the original strokes; parts of one in order along it."""
    hanging: Integers
    """(k,) int32: hanging that draws it."""
    whole: Integers
    """(k,) int64: original stroke."""
    is_cut: Flags
    """(k,) bool: it is a part."""


def divide_strokes(
    strokes: Strokes,
    dense: DensePoints,
    can: Flags,
    row: HangingRow,
    joining: Joining,
    widths: Floats,
) -> HangingShares:
    """Divides the strokes. can: (h, m) bool, the hanging can draw the sample point along the strokes; widths: (p,) mm of the
    pens.

    A point that no hanging can draw is ignored: it stays with the stroke around it.
    """
    k = len(strokes)
    if k == 0:
        none = np.zeros(0, dtype=np.int64)
        return HangingShares(strokes, none.astype(np.int32), none, none.astype(bool))
    first = np.searchsorted(dense.stroke, np.arange(k))
    left, right = row.ground()
    x = dense.points[:, 0]
    over = np.maximum(left[:, None] - x, x - right[:, None])
    allowed = can | ~can.any(axis=0)
    fits: Flags = np.logical_and.reduceat(allowed, first, axis=1)
    fits &= np.asarray(np.maximum.reduceat(over, first, axis=1) <= joining.reach)
    beyond = np.add.reduceat((over > 0).astype(np.int64), first, axis=1)
    best = np.argmin(np.where(fits, beyond, np.iinfo(np.int64).max), axis=0)
    is_whole = np.asarray(fits.any(axis=0))
    # Beyond its reach a hanging continues only where no other is nearer.
    near = allowed & (over <= joining.reach)
    allowed = np.where(near.any(axis=0), near, allowed)
    cutter = _Cutter(strokes, dense, first, allowed, over, row, joining, widths)
    cut = np.flatnonzero(~is_whole)
    rank = _rank_in_source(strokes.source)[cut]
    parts = [part for stroke, r in zip(cut.tolist(), rank.tolist(), strict=True) for part in cutter.parts(stroke, r)]
    entire = np.flatnonzero(is_whole)
    stroke = np.concatenate([entire, np.array([p[0] for p in parts], dtype=np.int64)])
    start = np.concatenate([strokes.offsets[entire], np.array([p[1] for p in parts], dtype=float)])
    end = np.concatenate([strokes.offsets[entire + 1] - 1, np.array([p[2] for p in parts], dtype=float)])
    hanging = np.concatenate([best[entire], np.array([p[3] for p in parts], dtype=np.int64)])
    order = np.lexsort([start, stroke])
    stroke, hanging = stroke[order], hanging[order].astype(np.int32)
    found = between(strokes, stroke, start[order].astype(float), end[order].astype(float))
    return HangingShares(found, hanging, stroke, ~is_whole[stroke])


def _rank_in_source(source: Integers) -> Integers:
    """Returns (k,): number of earlier strokes from the same shape. Cut positions depend on it, so neither an edit of
    another shape nor other cuts move a cut."""
    order = np.argsort(source, kind="stable")
    rank = np.empty(len(source), dtype=np.int64)
    rank[order] = np.arange(len(source)) - np.searchsorted(source[order], source[order])
    return rank


class _Cutter:
    """Cuts one stroke after the other."""

    def __init__(
        self,
        strokes: Strokes,
        dense: DensePoints,
        first: Integers,
        allowed: Flags,
        over: Floats,
        row: HangingRow,
        joining: Joining,
        widths: Floats,
    ) -> None:
        self._strokes, self._row, self._joining, self._widths = strokes, row, joining, widths
        self._x = dense.points[:, 0]
        self._at = dense.leg + dense.share
        self._first = np.append(first, len(dense.stroke))
        step = np.zeros(len(dense.points))
        step[1:] = np.hypot(*np.diff(dense.points, axis=0).T)
        self._along = np.cumsum(step)
        self._allowed, self._over = allowed, over

    def parts(self, stroke: int, rank: int) -> list[tuple[int, float, float, int]]:
        """Returns (stroke, start, end, hanging) of each part; positions as pieces.between takes them."""
        a, b = self._first[stroke], self._first[stroke + 1]
        chain = self._chain(int(a), int(b))
        width = float(self._widths[self._strokes.pen[stroke]])
        half = (self._joining.overlap or width) / 2
        spread = rank * GOLDEN
        cuts = []
        low = int(a)
        for number, ((one, _, last), (other, since, _)) in enumerate(itertools.pairwise(chain)):
            low = max(low, since)
            cut = self._cut(one, other, low, max(last, low), (spread + number * (1 - GOLDEN)) % 1.0)
            reach = np.clip([cut - half, cut + half], self._along[low], self._along[max(last, low)])
            cuts.append(np.interp(reach, self._along[a:b], self._at[a:b]))
            low = max(low, int(np.searchsorted(self._along[a:b], cut) + a))
        starts = [float(self._at[a]), *(c[0] for c in cuts)]
        ends = [*(c[1] for c in cuts), float(self._at[b - 1])]
        found = [(stroke, s, e, c[0]) for s, e, c in zip(starts, ends, chain, strict=True) if e > s]
        points = self._strokes[stroke]
        if len(found) > 2 and found[0][3] == found[-1][3] and np.array_equal(points[0], points[-1]):
            _, begin, _, hanging = found.pop()
            found[0] = (
                stroke,
                begin,
                found[0][2] + len(points) - 1,
                hanging,
            )  # across the ring's seam
        return found

    def _chain(self, a: int, b: int) -> list[tuple[int, int, int]]:
        """Returns (hanging, first point where it can take over, last point it can reach) of each part in order."""
        allowed, over = self._allowed[:, a:b], self._over[:, a:b]
        n = b - a
        # The last point that each hanging reaches from each point.
        blocked = np.where(allowed, n, np.arange(n))
        stops = np.minimum.accumulate(blocked[:, ::-1], axis=1)[:, ::-1]
        opened = np.where(allowed, -1, np.arange(n))
        opens = np.maximum.accumulate(opened, axis=1) + 1
        chain, at = [], 0
        while at < n:
            stop = stops[:, at]
            farthest = np.flatnonzero(stop == stop.max())
            taken = min(farthest.tolist(), key=lambda h: ((over[h, at : stop[h]] > 0).sum(), h))
            chain.append((taken, a + int(opens[taken, at]), a + int(stop[taken]) - 1))
            at = int(stop[taken])
        return chain

    def _cut(self, one: int, other: int, low: int, high: int, share: float) -> float:
        """Returns the position, mm along all strokes, at which one hands over to the other, between two of the sample
        points."""
        wanted = self._row.line_between(one, other) + self._joining.stagger * (2 * share - 1)
        if high - low > 2 * END_MARGIN + 1:
            low, high = low + END_MARGIN, high - END_MARGIN
        off = self._x[low : high + 1] - wanted
        crossed = np.flatnonzero(np.signbit(off[1:]) != np.signbit(off[:-1]))
        if not len(crossed):
            return float(self._along[low + int(np.argmin(np.abs(off)))])
        i = int(crossed[-1])
        share = off[i] / (off[i] - off[i + 1])
        return float(self._along[low + i] + share * (self._along[low + i + 1] - self._along[low + i]))
