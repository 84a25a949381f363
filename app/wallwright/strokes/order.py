"""Drawing order of strokes: the shortest pen-up time that can be found.

Strokes of one pen form a pass; passes follow the list of pens. Within a pass the tour starts where the previous one ended;
every stroke may be drawn from either end, a closed one from any of its points. The cost of a travel is its time at the
machine's travel speed and acceleration; lifting and lowering cost the same everywhere and are ignored. The search is in
`tour/`.

Rules restrict the order, from the outside in: bands of the wall from the top down, then groups (a shape, an artwork) each
finished before the next, then edges and fills of the same group one after the other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.ordering import Ordering
from wallwright.strokes.matching import begun_at, is_ring
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tour.ring_starts import best_seams
from wallwright.strokes.tour.search_budget import SearchBudget, more_of_few
from wallwright.strokes.tour.tour import order_ends

KICKS = {"quick": (3.0, 100_000), "balanced": (15.0, 600_000), "best": (60.0, 5_000_000)}
"""Number of search kicks per stroke, and at most in all: about a second, ten, and a minute or more."""
VERTICAL_RATIO = 1e-6
"""Ratio of horizontal to vertical extent below which a line is vertical."""
FREE = Ordering()


@dataclass(frozen=True)
class OrderSaving:
    """Travel time saved by a search so far."""

    travel: float
    """Time of all travels at present, s; those not searched yet count as at first."""
    at_first: float
    """Time of all travels if the pen always moves to the nearest stroke, s."""


Progress = Callable[[float, OrderSaving | None], None]
"""Receives the share done, 0 to 1, and the saving once there is one."""


def travel_time(distance: Floats, speed: float, acceleration: float) -> Floats:
    """Returns the time from rest to rest, s, over a distance in mm: trapezoid, or triangle where top speed is not reached.

    Elementwise, (n,).
    """
    ramp = speed * speed / acceleration
    return np.where(distance >= ramp, distance / speed + speed / acceleration, 2 * np.sqrt(distance / acceleration))


def order_strokes(
    strokes: Strokes,
    start: Floats,
    speed: float,
    acceleration: float,
    rules: Ordering = FREE,
    groups: Integers | None = None,
    progress: Progress = lambda done, saving: None,
    budget: SearchBudget | None = None,
) -> Strokes:
    """Returns the strokes in drawing order, reversed and (closed ones) begun where it saves time.

    start: (2,) mm, initial position of the pen. speed, acceleration: of travels, mm/s, mm/s². groups: (k,) int, strokes of
    one number are drawn together; None: no groups. budget: limit of the search; without it, from the rules.
    """
    each, most = KICKS[rules.effort]
    kicks = min(each, most / max(len(strokes), 1))
    start = np.asarray(start, dtype=float)
    plain = _Search(speed, acceleration, 0.0, len(strokes), SearchBudget())
    at_first = plain.seconds(_by_rules(strokes, start, rules, groups, plain), start)
    search = _Search(speed, acceleration, kicks, len(strokes), budget or SearchBudget(rules.tries), at_first, progress)
    return with_fill_direction(_by_rules(strokes, start, rules, groups, search), rules)


def with_fill_direction(strokes: Strokes, rules: Ordering) -> Strokes:
    """Returns the strokes, if a rule says so with open fill lines from left to right, vertical ones from top to bottom."""
    if rules.fill_lines != "one-way" or not len(strokes):
        return strokes
    right, down = (strokes.ends - strokes.starts).T
    is_back = np.where(np.abs(right) > VERTICAL_RATIO * np.abs(down), right < 0, down < 0)
    return strokes.take(np.arange(len(strokes)), strokes.is_fill & ~is_ring(strokes) & is_back)


def _by_rules(strokes: Strokes, start: Floats, rules: Ordering, groups: Integers | None, search: _Search) -> Strokes:
    at, parts = start, []
    for block in order_blocks(strokes, rules):
        numbers = None if groups is None else groups[block]
        for part in _in_groups(strokes.take(block), numbers, rules, at, search):
            parts.append(part)
            at = part.points[-1]
    return Strokes.join(parts)


def travel_lengths(strokes: Strokes, start: Floats) -> Floats:
    """Returns (k,) mm of pen-up travel before each stroke in the given order."""
    if len(strokes) == 0:
        return np.zeros(0)
    before = np.concatenate([np.asarray(start, dtype=float)[None], strokes.ends[:-1]])
    result: Floats = np.hypot(*(strokes.starts - before).T)
    return result


def unit_of(strokes: Strokes, rules: Ordering, groups: Integers | None) -> Integers:
    """Returns (k, 2) int64: strokes of a block with the same two numbers are drawn together; those with the same first
    number consecutively, by the second."""
    unit = np.zeros((len(strokes), 2), dtype=np.int64)
    if groups is not None:
        unit[:, 0] = groups
    if rules.fills != "any":
        unit[:, 1] = strokes.is_fill if rules.fills == "after" else ~strokes.is_fill
    return unit


def order_blocks(strokes: Strokes, rules: Ordering) -> list[Integers]:
    """Returns index arrays of the strokes of successive blocks: pens, and bands from the top down within each.

    Each (m,), numbers of strokes.
    """
    if len(strokes) == 0:
        return []
    band = np.zeros(len(strokes), dtype=np.int64)
    if rules.band > 0:
        top = np.minimum.reduceat(strokes.points[:, 1], strokes.offsets[:-1])
        band = np.floor((top - top.min()) / rules.band).astype(np.int64)
    return _runs(np.lexsort((band, strokes.pen)), strokes.pen, band)


def _runs(order: Integers, *keys: Integers) -> list[Integers]:
    """Returns the sorted index array split where any key changes."""
    changes = np.zeros(max(len(order) - 1, 0), dtype=bool)
    for key in keys:
        changes |= np.diff(key[order]) != 0
    return np.split(order, np.flatnonzero(changes) + 1)


class _Search:
    """Orders strokes without further rules; reports progress and savings over all of them."""

    def __init__(
        self,
        speed: float,
        acceleration: float,
        kicks: float,
        count: int,
        budget: SearchBudget,
        at_first: float = 0.0,
        progress: Progress = lambda done, saving: None,
    ):
        """at_first: time of all travels without a search, s."""
        self._limits = speed, acceleration
        self._kicks, self._count, self._progress = kicks, max(count, 1), progress
        self._budget, self._at_first = budget, at_first
        self._done = 0
        self._won = 0.0

    def seconds(self, strokes: Strokes, start: Floats) -> float:
        """Returns the time of all travels of ordered strokes, s."""
        return float(travel_time(travel_lengths(strokes, start), *self._limits).sum())

    def rough(self, strokes: Strokes, start: Floats) -> Strokes:
        return self._ordered(strokes, start, 0.0, lambda done, final: None)

    def through(self, wholes: Strokes, start: Floats) -> Strokes:
        """Returns an order of groups, each treated as one stroke; the travels between them are counted once they belong
        to one."""
        return self._ordered(wholes, start, self._kicks, lambda done, final: self._tell(self._done))

    def full(self, strokes: Strokes, start: Floats) -> Strokes:
        first = None

        def part(done: float, tour_is_final: bool) -> None:
            nonlocal first
            won = 0.0
            if tour_is_final:
                first = self._budget.travel if first is None else first
                won = first - self._budget.travel
            self._tell(self._done + done * len(strokes), won)

        if self._kicks and is_ring(strokes).any():
            first = self.seconds(self.rough(strokes, start), start)
        result = self._ordered(strokes, start, more_of_few(len(strokes)) * self._kicks, part)
        self._done += len(strokes)
        if first is not None:
            self._won += first - self.seconds(result, start)
        return result

    def _tell(self, done: float, won: float = 0.0) -> None:
        won += self._won
        saving = OrderSaving(self._at_first - won, self._at_first) if won > 0 else None
        self._progress(done / self._count, saving)

    def _ordered(
        self, strokes: Strokes, start: Floats, kicks: float, progress: Callable[[float, bool], None]
    ) -> Strokes:
        """progress receives the share done, and whether the tour being searched is of the final strokes."""
        closed = is_ring(strokes)
        ends = np.stack([strokes.starts, strokes.ends], axis=1)
        split = 0.0
        if closed.any():
            # A first tour represents a closed stroke by its centre; that shows where it should begin.
            middle = np.add.reduceat(strokes.points, strokes.offsets[:-1]) / np.diff(strokes.offsets)[:, None]
            ends[closed] = middle[closed, None]
            split = 0.3
            order, flip = order_ends(
                ends, start, *self._limits, kicks * split, lambda d: progress(split * d, False), self._budget
            )
            strokes, closed = strokes.take(order, flip), closed[order]
            strokes = begun_at(strokes, best_seams(strokes.points, strokes.offsets, closed, start))
            ends = np.stack([strokes.starts, strokes.ends], axis=1)
        order, flip = order_ends(
            ends,
            start,
            *self._limits,
            kicks * (1 - split),
            lambda d: progress(split + (1 - split) * d, True),
            self._budget,
            split > 0,
        )
        strokes = strokes.take(order, flip)
        if closed.any():
            strokes = begun_at(strokes, best_seams(strokes.points, strokes.offsets, closed[order], start))
        return strokes


def _in_groups(
    strokes: Strokes, groups: Integers | None, rules: Ordering, start: Floats, search: _Search
) -> list[Strokes]:
    """Returns ordered pieces of a block. Groups are ordered by a tour through them, each as one stroke from the beginning
    to the end of a rough order of its strokes."""
    if groups is None:
        return _in_kinds(strokes, rules, start, search)
    members = _runs(np.argsort(groups, kind="stable"), groups)
    rough = [search.rough(strokes.take(m), strokes.starts[m[0]]) for m in members]
    whole = Strokes.pack([np.stack([r.points[0], r.points[-1]]) for r in rough], 0, np.arange(len(rough)))
    parts, at = [], start
    for number in search.through(whole, start).source.tolist():
        done = _in_kinds(strokes.take(members[number]), rules, at, search)
        parts.extend(done)
        at = done[-1].points[-1]
    return parts


def _in_kinds(strokes: Strokes, rules: Ordering, start: Floats, search: _Search) -> list[Strokes]:
    """Returns ordered pieces: edges and fills separate if a rule says so."""
    if rules.fills == "any":
        return [search.full(strokes, start)]
    second = strokes.is_fill if rules.fills == "after" else ~strokes.is_fill
    parts, at = [], start
    for chosen in (~second, second):
        if chosen.any():
            parts.append(search.full(strokes.take(np.flatnonzero(chosen)), at))
            at = parts[-1].points[-1]
    return parts
