"""Moves of a local search through reversible strokes, compiled.

Glossary. An *end* is the first or last point of a stroke: 2 i and 2 i + 1. The *tour* is a ring of ends in which every
stroke's two ends are at places 2 j and 2 j + 1: the pen travels between places 2 j + 1 and 2 j + 2, and draws between 2 j
and 2 j + 1. So each end has exactly one travel, to its *mate*, and reversing a piece of the ring reverses its strokes too.
The last stroke number is not a stroke: it leads from the *finish* (from which travels are free) to the initial pen
position, which makes the ring an open path.

A move replaces travels (t1, t2), (t3, t4) and maybe (t5, t6) by (t2, t3), (t4, t5) and (t6, t1): sequential 2-opt and 3-opt
(Lin 1965; Johnson and McGeoch 1997), which include moving a short run of strokes elsewhere (Or 1976). Candidates come from
neighbour lists, and a partial sum of gains that is not positive ends the branch (Lin and Kernighan 1973).
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.compiled import compiled

LEAST_GAIN = 1e-9
"""Smallest gain of a move, s: less is rounding."""


@compiled
def travel(points: Points, a: int, b: int, cost: Floats) -> float:
    """Returns the time from rest to rest between two ends, s; cost: speed mm/s, acceleration mm/s².

    points: (ends, 2) mm; cost: (2,).
    """
    finish = len(points) - 2
    if a == finish or b == finish:
        return 0.0
    dx, dy = points[a, 0] - points[b, 0], points[a, 1] - points[b, 1]
    d = np.sqrt(dx * dx + dy * dy)
    # Two return statements: with one, both times are computed for every pair, and the search takes a tenth longer.
    if d * cost[1] >= cost[0] * cost[0]:
        far: float = d / cost[0] + cost[0] / cost[1]
        return far
    near: float = 2.0 * np.sqrt(d / cost[1])
    return near


@compiled
def mate(tour: Integers, place: Integers, end: int) -> int:
    """Returns the end to which the pen travels from this one, or from which it came.

    tour: (m,) end at each place of the ring; place: (m,) place of each end.
    """
    i = place[end]
    if i & 1:
        i += 1
        after: int = tour[i if i < len(tour) else 0]
        return after
    before: int = tour[i - 1 if i > 0 else len(tour) - 1]
    return before


@compiled
def turn(tour: Integers, place: Integers, i: int, j: int) -> None:
    """Reverses the places i .. j of the ring, passing its seam if i > j.

    tour: (m,) end at each place; place: (m,) place of each end.
    """
    m = len(tour)
    steps = (j - i + m) % m + 1
    for _ in range(steps // 2):
        a, b = tour[i], tour[j]
        tour[i], tour[j] = b, a
        place[b], place[a] = i, j
        i += 1
        if i == m:
            i = 0
        j -= 1
        if j < 0:
            j = m - 1


@compiled
def flip(
    tour: Integers,
    place: Integers,
    t1: int,
    t2: int,
    t3: int,
    t4: int,
    log: Integers,
    logged: int,
) -> int:
    """2-opt: t1 - t2 ... t4 - t3 becomes t1 - t4 ... t2 - t3, by reversing the shorter side. Returns the number of logged
    reversals.

    tour: (m,) end at each place; place: (m,) place of each end; log: (turns, 2) places reversed.
    """
    m = len(tour)
    if place[t1] & 1:
        i, j = place[t2], place[t4]
    else:
        i, j = place[t4], place[t2]
    if 2 * ((j - i + m) % m + 1) > m:
        i, j = (j + 1) % m, (i - 1 + m) % m
    turn(tour, place, i, j)
    log[logged, 0], log[logged, 1] = i, j
    return logged + 1


@compiled
def swap_pieces(
    tour: Integers,
    place: Integers,
    t1: int,
    t2: int,
    t3: int,
    t4: int,
    t5: int,
    t6: int,
    log: Integers,
    logged: int,
) -> int:
    """t1 - [t2 .. t5] - [t6 .. t3] - t4 becomes t1 - [t6 .. t3] - [t2 .. t5] - t4. Returns the number of logged reversals.

    tour: (m,) end at each place; place: (m,) place of each end; log: (turns, 2) places reversed.
    """
    logged = flip(tour, place, t1, t2, t4, t3, log, logged)
    logged = flip(tour, place, t1, t3, t5, t6, log, logged)
    return flip(tour, place, t3, t5, t4, t2, log, logged)


@compiled
def improve_end(
    points: Points,
    near: Integers,
    reach: Floats,
    cost: Floats,
    tour: Integers,
    place: Integers,
    t1: int,
    log: Integers,
    logged: int,
    touched: Integers,
) -> tuple[float, int]:
    """Makes the best move that removes the travel at t1, if it gains. near (ends, n): neighbours by distance, padded with
    -1; reach: s to each. touched (6,): ends of the move. Returns (gain, number of logged reversals)."""
    m = len(tour)
    t2 = mate(tour, place, t1)
    g0 = travel(points, t1, t2, cost)
    forward = place[t1] & 1
    p2 = place[t2]
    best, kind = LEAST_GAIN, 0
    b3 = b4 = b5 = b6 = -1
    for x in range(near.shape[1]):
        t3 = near[t2, x]
        if t3 < 0:
            break
        g1 = g0 - reach[t2, x]
        if g1 <= LEAST_GAIN:
            break
        if t3 == t1:
            continue
        t4 = mate(tour, place, t3)
        g2 = g1 + travel(points, t3, t4, cost)
        # Steps along the ring from t2, in the direction away from t1.
        p3 = place[t3] - p2 if forward else p2 - place[t3]
        if p3 < 0:
            p3 += m
        turns = p3 & 1 == 0
        if turns:
            gain = g2 - travel(points, t4, t1, cost)
            if gain > best:
                best, kind, b3, b4 = gain, 1, t3, t4
        for y in range(near.shape[1]):
            t5 = near[t4, y]
            if t5 < 0:
                break
            g3 = g2 - reach[t4, y]
            if g3 <= LEAST_GAIN:
                break
            if t5 in (t1, t2, t3):
                continue
            p5 = place[t5] - p2 if forward else p2 - place[t5]
            if p5 < 0:
                p5 += m
            if turns:
                # After t3, the piece up to t5 must be entered there; before t3, it has been reversed.
                if (p5 < p3) != (p5 & 1 == 1):
                    continue
                move = 2
            elif p5 > p3:
                continue
            else:
                move = 3 if p5 & 1 == 0 else 4
            t6 = mate(tour, place, t5)
            gain = g3 + travel(points, t5, t6, cost) - travel(points, t6, t1, cost)
            if gain > best:
                best, kind, b3, b4, b5, b6 = gain, move, t3, t4, t5, t6
    if kind == 0:
        return 0.0, logged
    touched[0], touched[1], touched[2], touched[3], touched[4], touched[5] = t1, t2, b3, b4, b5, b6
    if kind == 1:
        touched[4] = touched[5] = t1
        logged = flip(tour, place, t1, t2, b3, b4, log, logged)
    elif kind == 2:
        logged = flip(tour, place, t1, t2, b3, b4, log, logged)
        logged = flip(tour, place, t1, b4, b5, b6, log, logged)
    elif kind == 3:
        logged = flip(tour, place, t1, t2, b5, b6, log, logged)
        logged = flip(tour, place, t2, b5, b4, b3, log, logged)
    else:
        logged = swap_pieces(tour, place, t1, t2, b3, b4, b5, b6, log, logged)
    return best, logged
