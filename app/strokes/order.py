"""The order in which strokes are drawn: as little time with the pen up as can be found.

Strokes of one pen form a pass; passes follow the list of pens. Within a pass the tour starts where the last one ended,
every stroke may be drawn from either end, a closed one from any of its points. The cost of a travel is its time at the
machine's travel speed and acceleration; lifting and lowering cost the same everywhere and change nothing.

Method: nearest neighbour by spatial tree, then local search with neighbour lists (Bentley, "Fast algorithms for
geometric traveling salesman problems", ORSA J. Computing 4, 1992): 2-opt, which here also turns the strokes of the
reversed piece around, and or-opt of up to three strokes; then iterated local search with small double bridges (Martin,
Otto, Felten 1991; Johnson and McGeoch 1997) for a number of rounds that depends on the size only, so that the same
strokes always give the same order.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from app.strokes.strokes import Strokes

NEIGHBOURS = 6
ROUNDS_PER_STROKE = 10
"""Kicks of the iterated local search for each stroke, up to MOST_ROUNDS in all passes together."""
MOST_ROUNDS = 60_000
ROUNDS_AT_ONCE = 20_000
"""Kicks between two looks at cancel."""


def travel_time(distance: np.ndarray, speed: float, acceleration: float) -> np.ndarray:
    """s from rest to rest over a distance in mm: trapezoid, or triangle where top speed is not reached."""
    ramp = speed * speed / acceleration
    return np.where(
        distance >= ramp, distance / speed + speed / acceleration, 2 * np.sqrt(distance / acceleration)
    )


def order_strokes(
    strokes: Strokes, start: np.ndarray, speed: float, acceleration: float, effort: float = 1.0,
    progress: Callable[[float], None] = lambda done: None,
) -> Strokes:  # fmt: skip
    """The strokes in drawing order, turned and (closed ones) begun where it saves time.

    start: (2,) mm, where the pen is first. speed, acceleration: of travels, mm/s, mm/s². effort scales the number of
    rounds; 0 leaves it at the nearest neighbour tour.
    """
    passes, at, done = [], np.asarray(start, dtype=float), 0
    for pen in np.unique(strokes.pen):
        mine = strokes.take(np.flatnonzero(strokes.pen == pen))

        def part(share: float, done=done, mine=mine) -> None:
            progress((done + share * len(mine)) / len(strokes))

        rounds = int(effort * len(mine) * min(ROUNDS_PER_STROKE, MOST_ROUNDS / len(strokes)))
        ordered = _one_pass(mine, at, speed, acceleration, rounds, effort > 0, part)
        passes.append(ordered)
        at, done = ordered.points[-1], done + len(mine)
    return Strokes.join(passes)


def _one_pass(
    strokes: Strokes, start: np.ndarray, speed: float, acceleration: float, rounds: int, search_at_all: bool,
    progress: Callable[[float], None],
) -> Strokes:  # fmt: skip
    from app.strokes import tour  # numba: slow to import

    progress(0.0)
    ends = np.stack([strokes.starts, strokes.ends], axis=1)
    order, flip = tour.nearest_first(ends, start)
    progress(0.1)
    strokes = strokes.take(order, flip)
    if search_at_all and len(strokes) >= 3:
        ends = np.stack([strokes.starts, strokes.ends], axis=1)
        near = tour.neighbours(ends, NEIGHBOURS)
        search = tour.Search(ends, np.asarray(start, dtype=float), near, speed, acceleration)
        progress(0.2)
        search.descend(progress)
        for first in range(0, rounds, ROUNDS_AT_ONCE):
            progress(0.3 + 0.6 * first / max(rounds, 1))
            search.improve(min(ROUNDS_AT_ONCE, rounds - first), seed=first)
        strokes = strokes.take(search.order, search.flip)
    result = _begin_closed_well(strokes, start)
    progress(1.0)
    return result


def _begin_closed_well(strokes: Strokes, start: np.ndarray) -> Strokes:
    """Closed strokes begin at their point nearest to where the pen comes from."""
    closed = np.flatnonzero(np.all(strokes.starts == strokes.ends, axis=1) & (np.diff(strokes.offsets) > 2))
    points = strokes.points.copy()
    for i in closed.tolist():
        a, b = strokes.offsets[i], strokes.offsets[i + 1]
        came_from = points[a - 1] if i else start
        ring = points[a : b - 1]
        detour = np.hypot(*(ring - came_from).T)
        if b < len(points):
            detour = detour + np.hypot(*(ring - points[b]).T)
        first = int(np.argmin(detour))
        if first:
            ring = np.roll(ring, -first, axis=0)
            points[a : b - 1], points[b - 1] = ring, ring[0]
    return Strokes(points, strokes.offsets, strokes.pen, strokes.source, strokes.is_fill)


def travel_lengths(strokes: Strokes, start: np.ndarray) -> np.ndarray:
    """(k,) mm of pen-up travel before each stroke in the given order."""
    if len(strokes) == 0:
        return np.zeros(0)
    before = np.concatenate([np.asarray(start, dtype=float)[None], strokes.ends[:-1]])
    return np.hypot(*(strokes.starts - before).T)
