"""Repairs a drawing order after an edit: unchanged strokes keep their places, others are inserted where they cost least,
and only the neighbourhood of changes is searched.

A repaired order depends on what was drawn before the edit. It is for showing a plan at once while the full search is
running; jobs are written from full searches only.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial import cKDTree

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.ordering import Ordering
from wallwright.strokes.matching import Match, begun_at, is_ring, match
from wallwright.strokes.order import KICKS, order_blocks, order_strokes, unit_of
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tour.ring_starts import best_seams
from wallwright.strokes.tour.tour import mend_ends

MOST_NEW = 0.3
"""Largest share of the strokes without a place near a previous one; above it, a full search is needed."""
REPLACE_WITHIN = 5.0
"""Largest distance, mm, between a stroke and a removed one whose place it takes: hatch lines that moved by a spacing."""
NEIGHBOURS = 20
"""Number of nearest strokes to a changed one that are searched together with it."""
CANDIDATES = 6
"""Number of nearest travels at which new strokes may be inserted."""


def repair_order(
    strokes: Strokes,
    start: Floats,
    speed: float,
    acceleration: float,
    rules: Ordering,
    groups: Integers | None,
    before: Strokes,
    progress: Callable[[float], None] = lambda done: None,
) -> Strokes | None:
    """Returns the strokes in drawing order, reversed and (closed ones) begun where it saves time; None if too much has
    changed.

    before: in the order found for the drawing before the edit, under the same rules. Other arguments as in `order_strokes`.
    start: (2,) mm; groups: (k,) numbers.
    """
    k = len(strokes)
    if not k or not len(before):
        return None
    start = np.asarray(start, dtype=float)
    progress(0.0)
    found = match(strokes, before)
    progress(0.2)
    turned = begun_at(strokes.take(np.arange(k), found.backwards), found.first)
    turned, rank = _take_places(turned, before, found)
    is_same = found.other >= 0
    if np.isnan(rank).sum() > MOST_NEW * k:
        return None
    progress(0.3)
    parts, at = [], start
    sections = _sections(turned, rules, groups, rank)
    for number, section in enumerate(sections):

        def part(done: float, number: int = number) -> None:
            progress(0.3 + 0.7 * (number + done) / len(sections))

        order = section[np.argsort(rank[section], kind="stable")]
        known = order[~np.isnan(rank[order])]
        if not len(known):
            one = order_strokes(turned.take(order), at, speed, acceleration, Ordering(rules.effort))
        else:
            fresh = order[len(known) :]
            one = _mended(
                turned.take(known),
                turned.take(fresh),
                is_same[known],
                rank[known],
                at,
                speed,
                acceleration,
                min(KICKS[rules.effort][0], KICKS[rules.effort][1] / k),
                part,
            )
        parts.append(one)
        at = one.points[-1]
    progress(1.0)
    return Strokes.join(parts)


def _take_places(strokes: Strokes, before: Strokes, found: Match) -> tuple[Strokes, Floats]:
    """Returns the strokes, reversed where needed, and the place of each, (k,), among those before: its counterpart's, or
    that of a removed stroke of the same pen near it; nan if there is none."""
    rank = np.where(found.other >= 0, found.other, np.nan)
    left, gone = np.flatnonzero(found.other < 0), np.setdiff1d(np.arange(len(before)), found.other)
    if not len(left) or not len(gone):
        return strokes, rank
    # A third coordinate keeps the pens apart.
    here, there = (
        np.column_stack([(s.starts[n] + s.ends[n]) / 2, 1e6 * s.pen[n].astype(float)])
        for s, n in ((strokes, left), (before, gone))
    )
    here[:, :2] -= found.way
    far, nearest = map(np.asarray, cKDTree(there).query(here, distance_upper_bound=REPLACE_WITHIN))
    good = np.isfinite(far)
    left, old = left[good], gone[nearest[good]]
    rank[left] = old
    mine, theirs = strokes.ends[left] - strokes.starts[left], before.ends[old] - before.starts[old]
    backwards = np.zeros(len(strokes), dtype=bool)
    backwards[left] = (mine * theirs).sum(axis=1) < 0
    return strokes.take(np.arange(len(strokes)), backwards), rank


def _sections(strokes: Strokes, rules: Ordering, groups: Integers | None, rank: Floats) -> list[Integers]:
    """Returns index arrays of strokes that the rules keep together, in drawing order. Groups are in the order of their
    first strokes."""
    sections = []
    for block in order_blocks(strokes, rules):
        units = unit_of(strokes, rules, groups)[block]
        names, inverse = np.unique(units, axis=0, return_inverse=True)
        inverse = inverse.reshape(-1)
        first = np.full(len(np.unique(names[:, 0])), np.inf)
        group = np.unique(names[:, 0], return_inverse=True)[1][inverse]
        np.fmin.at(first, group, rank[block])
        order = np.lexsort((inverse, group, first[group]))
        sections += [block[part] for part in np.split(order, np.flatnonzero(np.diff(inverse[order])) + 1)]
    return sections


def _mended(
    known: Strokes,
    fresh: Strokes,
    is_same: Flags,
    rank: Floats,
    start: Floats,
    speed: float,
    acceleration: float,
    kicks: float,
    progress: Callable[[float], None],
) -> Strokes:
    """Returns known strokes, in their previous order, with fresh ones inserted, searched where something has changed."""
    # Next to a removed stroke the travel is different.
    gap = np.diff(rank) > 1
    changed = ~is_same
    changed[1:] |= gap
    changed[:-1] |= gap
    strokes = known
    if len(fresh):
        fresh = order_strokes(fresh, start, speed, acceleration, Ordering("quick"))
        place = _cheapest_gaps(known, fresh, start)
        order = np.lexsort((np.arange(len(known) + len(fresh)), np.append(np.arange(len(known)) + 1.0, place + 0.5)))
        strokes = Strokes.join([known, fresh]).take(order)
        changed = np.append(changed, np.ones(len(fresh), dtype=bool))[order]
    if not changed.any() or len(strokes) < 2:
        return strokes
    middles = (strokes.starts + strokes.ends) / 2
    count = min(NEIGHBOURS, len(strokes))
    around = np.asarray(cKDTree(middles).query(middles[changed], k=count)[1]).reshape(-1)
    searched = np.zeros(len(strokes), dtype=bool)
    searched[around] = True
    searched |= changed
    ends = np.stack([strokes.starts, strokes.ends], axis=1)
    mended, flip = mend_ends(ends, start, speed, acceleration, kicks, np.flatnonzero(searched), progress)
    strokes, searched = strokes.take(mended, flip), searched[mended]
    closed = is_ring(strokes) & searched
    if closed.any():
        strokes = begun_at(strokes, best_seams(strokes.points, strokes.offsets, closed, start))
    return strokes


def _cheapest_gaps(known: Strokes, fresh: Strokes, start: Floats) -> Floats:
    """Returns (m,): index of the known stroke, counted from 1, after which each fresh one is inserted; 0: before all.
    Fresh strokes are processed in order; one nearer to the previous fresh one than to any known stroke follows that one
    directly."""
    n = len(known)
    leave = np.concatenate([start[None], known.ends])  # from gap g = 0 .. n
    enter = np.concatenate([known.starts, np.full((1, 2), np.nan)])
    tree = cKDTree(np.concatenate([known.starts, known.ends]))
    near = np.asarray(tree.query(fresh.starts)[0])
    step = np.hypot(*(fresh.starts[1:] - fresh.ends[:-1]).T)
    breaks = np.append(True, step > near[1:])
    first = np.flatnonzero(breaks)
    last = np.append(first[1:], len(fresh)) - 1
    a, b = fresh.starts[first], fresh.ends[last]
    count = min(CANDIDATES, 2 * n)
    ends = np.concatenate([np.asarray(tree.query(p, k=count)[1]).reshape(len(p), -1) for p in (a, b)], axis=1)
    gaps = np.where(ends < n, ends, ends - n + 1)  # a start is after gap number i, an end before i + 1
    there = leave[gaps], enter[gaps]
    cost = np.hypot(*np.moveaxis(there[0] - a[:, None], 2, 0))
    back = np.nan_to_num(np.hypot(*np.moveaxis(there[1] - b[:, None], 2, 0)))
    saved = np.nan_to_num(np.hypot(*np.moveaxis(there[1] - there[0], 2, 0)))
    best = np.argmin(cost + back - saved, axis=1)
    return np.repeat(gaps[np.arange(len(first)), best], last - first + 1).astype(float)
