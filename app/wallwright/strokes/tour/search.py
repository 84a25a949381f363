"""Iterated local search in one ring of ends, compiled; the glossary is in `moves`.

A kick is a double bridge (Martin, Otto and Felten 1991) of three short consecutive pieces: the smallest change that no
single move of the search reverts. The neighbourhood of the change is optimised again; the result is kept if it is shorter
and, by the rule of simulated annealing (Kirkpatrick, Gelatt and Vecchi 1983), sometimes if it is not, with decreasing
probability; otherwise all reversals are undone.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.compiled import compiled
from wallwright.strokes.tour.moves import flip, improve_end, travel, turn

PIECE = 10
"""Largest number of strokes in a piece of a kick: longer ones cost more to settle than they gain."""
WIDE_PIECE, WIDE_EVERY, TRIES = 100, 4, 8
"""Wide kicks, one in WIDE_EVERY, have longer pieces (WIDE_PIECE strokes) and cut at the longest of TRIES travels: in
clusters of hatch lines these lead from one cluster to the next, and short pieces seldom contain two of them."""
LEAST_WIDE = 30
"""Smallest number of strokes for wide kicks."""
TURNS = 256
"""Number of reversals logged for undoing a kick; settling stops there."""


@compiled
def _random(state: np.uint64) -> np.uint64:
    """Returns the next number of xorshift64 (Marsaglia 2003); state is never 0."""
    state ^= state << np.uint64(13)
    state ^= state >> np.uint64(7)
    return state ^ (state << np.uint64(17))


@compiled
def _longest(
    points: Points,
    tour: Integers,
    cost: Floats,
    place: np.int64,
    reach: int,
    state: np.uint64,
) -> tuple[np.int64, np.uint64]:
    """Returns the place of the longest of several travels after a place, at most reach strokes further, and the state."""
    m = len(tour)
    longest, found = -1.0, place + 2
    for _ in range(TRIES):
        state = _random(state)
        q = place + 2 + 2 * np.int64((state >> np.uint64(20)) % np.uint64(reach))
        t = travel(points, tour[q % m], tour[(q + 1) % m], cost)
        if t > longest:
            longest, found = t, q
    return found, state


@compiled
def _settle(
    points: Points,
    near: Integers,
    reach: Floats,
    cost: Floats,
    tour: Integers,
    place: Integers,
    queue: Integers,
    count: int,
    queued: Flags,
    log: Integers,
    logged: int,
    touched: Integers,
    keep: bool,
) -> tuple[float, int]:
    """Runs the local search from the count ends in queue. Without keep, reversals are permanent and not logged.

    Returns (s gained, number of logged reversals).
    """
    gain = 0.0
    while count > 0:
        count -= 1
        end = queue[count]
        queued[end] = False
        while logged < TURNS - 4:
            won, logged = improve_end(points, near, reach, cost, tour, place, end, log, logged, touched)
            if won == 0.0:
                break
            if not keep:
                logged = 0
            gain += won
            for i in range(6):
                e = touched[i]
                if not queued[e] and e != end and count < len(queue):
                    queue[count] = e
                    queued[e] = True
                    count += 1
    return gain, logged


@compiled
def descend(
    points: Points,
    near: Integers,
    reach: Floats,
    cost: Floats,
    tour: Integers,
    place: Integers,
    first: int,
    last: int,
) -> float:
    """Runs the local search from the ends first .. last - 1 until nothing near them gains. Returns the time gained, s.

    points: (ends, 2) mm; near, reach: (ends, n) neighbours and s to each; cost: (2,); tour, place: (m,).
    """
    queue = np.empty(len(tour), np.int32)
    queued = np.zeros(len(tour), np.bool_)
    log = np.empty((TURNS, 2), np.int32)
    touched = np.empty(6, np.int32)
    for i in range(last - first):
        queue[i] = last - 1 - i
        queued[queue[i]] = True
    gain, _ = _settle(points, near, reach, cost, tour, place, queue, last - first, queued, log, 0, touched, False)
    return gain


@compiled
def anneal(
    points: Points,
    near: Integers,
    reach: Floats,
    cost: Floats,
    tour: Integers,
    place: Integers,
    kicks: int,
    hot: float,
    cold: float,
    state: npt.NDArray[np.uint64],
) -> float:
    """Makes kicks at a temperature, s, that falls linearly from hot to cold. state (1,) uint64 carries over from call to
    call. Needs five strokes. Returns the time gained, s, which can be negative while hot."""
    m = len(tour)
    k = m // 2
    queue = np.empty(TURNS, np.int32)
    queued = np.zeros(m, np.bool_)
    log = np.empty((TURNS, 2), np.int32)
    touched = np.empty(6, np.int32)
    piece, wide_piece = min(PIECE, (k - 1) // 3), min(WIDE_PIECE, (k - 1) // 3)
    total = 0.0
    s = state[0]
    for round_ in range(kicks):
        s = _random(s)
        wide = k >= LEAST_WIDE and (s >> np.uint64(20)) % np.uint64(WIDE_EVERY) == 0
        q1 = 2 * np.int64((s >> np.uint64(32)) % np.uint64(k)) + 1
        if wide:
            q1, s = _longest(points, tour, cost, q1 - 2, k, s)
            q3, s = _longest(points, tour, cost, q1, wide_piece, s)
            q5, s = _longest(points, tour, cost, q3, wide_piece, s)
            q7, s = _longest(points, tour, cost, q5, wide_piece, s)
        else:
            s = _random(s)
            q3 = q1 + 2 + 2 * np.int64((s >> np.uint64(12)) % np.uint64(piece))
            q5 = q3 + 2 + 2 * np.int64((s >> np.uint64(28)) % np.uint64(piece))
            q7 = q5 + 2 + 2 * np.int64((s >> np.uint64(44)) % np.uint64(piece))
        q1 %= m
        t1, t2, t3, t4 = tour[q1], tour[(q1 + 1) % m], tour[q3 % m], tour[(q3 + 1) % m]
        t5, t6, t7, t8 = tour[q5 % m], tour[(q5 + 1) % m], tour[q7 % m], tour[(q7 + 1) % m]
        lost = (
            travel(points, t1, t6, cost)
            + travel(points, t7, t4, cost)
            + travel(points, t5, t2, cost)
            + travel(points, t3, t8, cost)
            - travel(points, t1, t2, cost)
            - travel(points, t3, t4, cost)
            - travel(points, t5, t6, cost)
            - travel(points, t7, t8, cost)
        )
        # t1 [t2 t3] [t4 t5] [t6 t7] t8: all reversed, then each, so that only their order is reversed.
        logged = flip(tour, place, t1, t2, t8, t7, log, 0)
        logged = flip(tour, place, t1, t7, t5, t6, log, logged)
        logged = flip(tour, place, t7, t5, t3, t4, log, logged)
        logged = flip(tour, place, t5, t3, t8, t2, log, logged)
        count = 0
        for e in (t1, t2, t3, t4, t5, t6, t7, t8):
            if not queued[e]:
                queue[count] = e
                queued[e] = True
                count += 1
        won, logged = _settle(points, near, reach, cost, tour, place, queue, count, queued, log, logged, touched, True)
        s = _random(s)
        chance = (np.float64(s >> np.uint64(11)) + 1.0) / 9007199254740992.0  # in (0, 1]
        heat = hot + (cold - hot) * round_ / kicks
        if won - lost < heat * np.log(chance):
            for i in range(logged - 1, -1, -1):
                turn(tour, place, log[i, 0], log[i, 1])
        else:
            total += won - lost
    state[0] = s
    return total
