"""Local search for tours through reversible strokes, compiled.

A tour is a sequence of strokes, each drawn forwards or backwards, as an open path from a fixed start. Node ends: 2 i is
the first point of stroke i, 2 i + 1 its last.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numba import njit
from scipy.spatial import cKDTree

LONGEST_TURN = 50_000
"""Strokes in a piece that the descent may turn around: longer ones cost more time than they save."""
KICK_TURN = 1_000
"""The same after a kick, where most tries are taken back."""
KICK_REACH = 30
"""Strokes between the cuts of one double bridge: near cuts keep the repair local."""


def nearest_first(ends: np.ndarray, start: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Nearest neighbour tour. ends (k, 2, 2) mm. Returns order (k,) and flip (k,) bool."""
    points = np.ascontiguousarray(ends.reshape(-1, 2))
    cell = max(np.sqrt(np.prod(np.ptp(points, axis=0) + 1.0) / max(len(ends), 1)), 1e-3)
    low = points.min(axis=0)
    shape = np.floor((points.max(axis=0) - low) / cell).astype(np.int64) + 1
    cells = np.floor((points - low) / cell).astype(np.int64)
    number = cells[:, 1] * shape[0] + cells[:, 0]
    by_cell = np.argsort(number, kind="stable")
    heads = np.searchsorted(number[by_cell], np.arange(shape[0] * shape[1] + 1))
    return _nearest(points, np.asarray(start, dtype=float), by_cell, heads, shape[0], shape[1], low, cell)


@njit(cache=True, nogil=True)
def _nearest(points, start, by_cell, heads, columns, rows, low, cell):
    k = len(points) // 2
    left = (heads[1:] - heads[:-1]).copy()
    items = by_cell.copy()
    order, flip = np.empty(k, np.int64), np.empty(k, np.bool_)
    used = np.zeros(k, np.bool_)
    x, y = start[0], start[1]
    for step in range(k):
        cx, cy = int((x - low[0]) // cell), int((y - low[1]) // cell)
        cx, cy = min(max(cx, 0), columns - 1), min(max(cy, 0), rows - 1)
        best, found = np.inf, -1
        for ring in range(columns + rows):
            # A ring further out than the best found cannot hold a nearer end.
            if found >= 0 and (ring - 1) * cell > np.sqrt(best):
                break
            for iy in range(max(cy - ring, 0), min(cy + ring, rows - 1) + 1):
                edge = iy == cy - ring or iy == cy + ring
                jump = 1 if edge or ring == 0 else 2 * ring
                for ix in range(cx - ring, cx + ring + 1, jump):
                    if ix < 0 or ix >= columns:
                        continue
                    c = iy * columns + ix
                    at, stop = heads[c], heads[c] + left[c]
                    while at < stop:
                        e = items[at]
                        if used[e // 2]:
                            stop -= 1
                            left[c] -= 1
                            items[at] = items[stop]
                            continue
                        d = (points[e, 0] - x) ** 2 + (points[e, 1] - y) ** 2
                        if d < best or (d == best and e < found):
                            best, found = d, e
                        at += 1
        order[step], flip[step] = found // 2, found % 2 == 1
        used[found // 2] = True
        other = found ^ 1
        x, y = points[other, 0], points[other, 1]
    return order, flip


def neighbours(ends: np.ndarray, count: int) -> np.ndarray:
    """(2 k, count) ends of other strokes nearest to each end; -1 where there are fewer."""
    points = ends.reshape(-1, 2)
    want = min(count + 2, len(points))
    _, near = cKDTree(points).query(points, k=want)
    near = near.reshape(len(points), -1)
    own = near // 2 == (np.arange(len(points)) // 2)[:, None]
    near = np.where(own, -1, near)
    # Own ends to the back, the rest in order of distance.
    place = np.argsort(near < 0, axis=1, kind="stable")
    return np.ascontiguousarray(np.take_along_axis(near, place, axis=1)[:, :count].astype(np.int64))


class Search:
    """A tour under improvement."""

    def __init__(
        self, ends: np.ndarray, start: np.ndarray, near: np.ndarray, speed: float, acceleration: float
    ):
        k = len(ends)
        self._points = np.ascontiguousarray(ends.reshape(-1, 2))
        self._near, self._start = near, start
        self._cost = np.array([speed, acceleration])
        self.order = np.arange(k)
        self.flip = np.zeros(k, dtype=bool)
        self._place = np.arange(k)

    def descend(self, progress: Callable[[float], None]) -> None:
        """Local search until nothing near improves."""
        k = len(self.order)
        for first in range(0, 2 * k, 2000):
            progress(0.2 + 0.1 * first / (2 * k))
            queue = np.arange(first, min(first + 2000, 2 * k))
            _descend(
                self._points, self._start, self._near, self._cost, self.order, self.flip, self._place, queue
            )

    def improve(self, rounds: int, seed: int) -> None:
        """That many kicks, each kept only when it shortens the tour."""
        _improve(
            self._points,
            self._start,
            self._near,
            self._cost,
            self.order,
            self.flip,
            self._place,
            rounds,
            seed,
        )


@njit(cache=True, nogil=True)
def _time(points, a, b, start, cost):
    """s from end a to end b; a = -1 is the start, b = -1 the open finish."""
    if b < 0:
        return 0.0
    ax, ay = (start[0], start[1]) if a < 0 else (points[a, 0], points[a, 1])
    d = np.sqrt((points[b, 0] - ax) ** 2 + (points[b, 1] - ay) ** 2)
    ramp = cost[0] * cost[0] / cost[1]
    if d >= ramp:
        return d / cost[0] + cost[0] / cost[1]
    return 2.0 * np.sqrt(d / cost[1])


@njit(cache=True, nogil=True)
def _entry(order, flip, i):
    """End at which the stroke at place i is begun; -1 past the finish."""
    if i >= len(order):
        return -1
    return 2 * order[i] + (1 if flip[i] else 0)


@njit(cache=True, nogil=True)
def _exit(order, flip, i):
    """End at which the stroke at place i is left; -1 before the start."""
    if i < 0:
        return -1
    return 2 * order[i] + (0 if flip[i] else 1)


@njit(cache=True, nogil=True)
def _turn(order, flip, place, i, j):
    """Turns the piece at places i .. j around."""
    while i < j:
        oi, oj, fi, fj = order[i], order[j], flip[i], flip[j]
        order[i], order[j], flip[i], flip[j] = oj, oi, not fj, not fi
        place[oj], place[oi] = i, j
        i += 1
        j -= 1
    if i == j:
        flip[i] = not flip[i]


@njit(cache=True, nogil=True)
def _try_end(points, start, near, cost, order, flip, place, end, log, logged, longest):
    """One improving move that gives `end` a nearer partner. Returns (gain, pieces logged).

    Moves are written as turns of pieces, so that they can be taken back by turning the same pieces in reverse order.
    """
    k = len(order)
    i = place[end // 2]
    entry = _entry(order, flip, i) == end
    # The travel at this end: before the stroke, or after it.
    if entry:
        other = _exit(order, flip, i - 1)
        now = _time(points, other, end, start, cost)
    else:
        other = _entry(order, flip, i + 1)
        now = _time(points, end, other, start, cost)
    for n in range(near.shape[1]):
        to = near[end, n]
        if to < 0:
            break
        link = _time(points, end, to, start, cost)
        if link >= now - 1e-9 and not (other < 0 and not entry):
            break
        j = place[to // 2]
        to_entry = _entry(order, flip, j) == to
        # 2-opt: joins end to `to` by turning the piece between.
        if entry and to_entry and i != j:
            a, b = min(i, j), max(i, j)
            # piece a .. b - 1 turned: end of a's entry meets b's entry
            before, after = _exit(order, flip, a - 1), _exit(order, flip, b - 1)
            ea, eb = _entry(order, flip, a), _entry(order, flip, b)
            old = _time(points, before, ea, start, cost) + _time(points, after, eb, start, cost)
            new = _time(points, before, after, start, cost) + _time(points, ea, eb, start, cost)
            if new < old - 1e-9 and b - a <= longest:
                _turn(order, flip, place, a, b - 1)
                log[logged, 0], log[logged, 1] = a, b - 1
                return old - new, logged + 1
        if not entry and not to_entry and i != j:
            a, b = min(i, j), max(i, j)
            xa, xb = _exit(order, flip, a), _exit(order, flip, b)
            na, nb = _entry(order, flip, a + 1), _entry(order, flip, b + 1)
            old = _time(points, xa, na, start, cost) + _time(points, xb, nb, start, cost)
            new = _time(points, xa, xb, start, cost) + _time(points, na, nb, start, cost)
            if new < old - 1e-9 and b - a <= longest:
                _turn(order, flip, place, a + 1, b)
                log[logged, 0], log[logged, 1] = a + 1, b
                return old - new, logged + 1
        # or-opt: a run of one to three strokes that has `end` at its edge moves next to `to`, turned or not.
        for size in range(1, 4):
            if entry:
                p, q = i, i + size - 1
            else:
                p, q = i - size + 1, i
            if p < 0 or q >= k or (p <= j <= q):
                continue
            # Where it goes: between places g and g + 1, beside `to`.
            g = j - 1 if to_entry else j
            if g == q or g == p - 1:
                continue
            if abs(g - p) > longest:
                continue
            xp, np_ = _exit(order, flip, p - 1), _entry(order, flip, q + 1)
            head, tail = _entry(order, flip, p), _exit(order, flip, q)
            xg, ng = _exit(order, flip, g), _entry(order, flip, g + 1)
            old = (
                _time(points, xp, head, start, cost)
                + _time(points, tail, np_, start, cost)
                + _time(points, xg, ng, start, cost)
            )
            # Its edge with `end` must face `to`.
            turned = (end == head) == to_entry
            first, last = (tail, head) if turned else (head, tail)
            new = (
                _time(points, xp, np_, start, cost)
                + _time(points, xg, first, start, cost)
                + _time(points, last, ng, start, cost)
            )
            if new < old - 1e-9:
                # Moving a run is three turns: of the whole, then of each part back.
                if g > q:
                    a, b = p, g
                    _turn(order, flip, place, a, b)
                    log[logged, 0], log[logged, 1] = a, b
                    _turn(order, flip, place, a, b - size)
                    log[logged + 1, 0], log[logged + 1, 1] = a, b - size
                    logged += 2
                    if not turned:
                        _turn(order, flip, place, b - size + 1, b)
                        log[logged, 0], log[logged, 1] = b - size + 1, b
                        logged += 1
                else:
                    a, b = g + 1, q
                    _turn(order, flip, place, a, b)
                    log[logged, 0], log[logged, 1] = a, b
                    _turn(order, flip, place, a + size, b)
                    log[logged + 1, 0], log[logged + 1, 1] = a + size, b
                    logged += 2
                    if not turned:
                        _turn(order, flip, place, a, a + size - 1)
                        log[logged, 0], log[logged, 1] = a, a + size - 1
                        logged += 1
                return old - new, logged
    return 0.0, logged


@njit(cache=True, nogil=True)
def _settle(points, start, near, cost, order, flip, place, queue, count, queued, log, logged, longest):
    """Local search from the ends in queue. Returns (gain, pieces logged)."""
    k = len(order)
    gain = 0.0
    while count > 0 and logged < len(log) - 4:
        count -= 1
        end = queue[count]
        queued[end] = False
        before = logged
        won, logged = _try_end(points, start, near, cost, order, flip, place, end, log, logged, longest)
        if won > 0.0:
            gain += won
            # The ends at the borders of the turned pieces have new partners: look at them again.
            for piece in range(before, logged):
                for border in (log[piece, 0], log[piece, 1]):
                    for i in range(border - 1, border + 2):
                        if 0 <= i < k:
                            for e in (2 * order[i], 2 * order[i] + 1):
                                if not queued[e] and count < len(queue):
                                    queue[count] = e
                                    queued[e] = True
                                    count += 1
            if not queued[end] and count < len(queue):
                queue[count] = end
                queued[end] = True
                count += 1
    for i in range(count):
        queued[queue[i]] = False
    return gain, logged


@njit(cache=True, nogil=True)
def _descend(points, start, near, cost, order, flip, place, ends):
    queue = np.empty(max(len(points), 64), np.int64)
    queued = np.zeros(len(points), np.bool_)
    log = np.empty((64, 2), np.int64)
    for end in ends:
        won = 1.0
        while won > 0.0:
            queue[0] = end
            queued[end] = True
            won, _ = _settle(
                points, start, near, cost, order, flip, place, queue, 1, queued, log, 0, LONGEST_TURN
            )


@njit(cache=True, nogil=True)
def _improve(points, start, near, cost, order, flip, place, rounds, seed):
    """Or-3opt style kicks: two neighbouring pieces change places, then the borders are settled; undone if longer."""
    np.random.seed(seed + 1)
    k = len(order)
    queue = np.empty(4096, np.int64)
    queued = np.zeros(len(points), np.bool_)
    log = np.empty((256, 2), np.int64)
    for _ in range(rounds):
        reach = min(KICK_REACH, k - 1)
        a = np.random.randint(0, k - 1)
        b = a + np.random.randint(0, reach)
        c = b + 1 + np.random.randint(0, reach)
        if c >= k:
            continue
        # Pieces a .. b and b + 1 .. c change places: turn the whole, then each.
        old = (
            _time(points, _exit(order, flip, a - 1), _entry(order, flip, a), start, cost)
            + _time(points, _exit(order, flip, b), _entry(order, flip, b + 1), start, cost)
            + _time(points, _exit(order, flip, c), _entry(order, flip, c + 1), start, cost)
        )
        middle = a + (c - b) - 1
        _turn(order, flip, place, a, c)
        _turn(order, flip, place, a, middle)
        _turn(order, flip, place, middle + 1, c)
        log[0, 0], log[0, 1] = a, c
        log[1, 0], log[1, 1] = a, middle
        log[2, 0], log[2, 1] = middle + 1, c
        new = (
            _time(points, _exit(order, flip, a - 1), _entry(order, flip, a), start, cost)
            + _time(points, _exit(order, flip, middle), _entry(order, flip, middle + 1), start, cost)
            + _time(points, _exit(order, flip, c), _entry(order, flip, c + 1), start, cost)
        )
        count = 0
        for i in (a - 1, a, middle, middle + 1, c, c + 1):
            if 0 <= i < k:
                for e in (2 * order[i], 2 * order[i] + 1):
                    if not queued[e]:
                        queue[count] = e
                        queued[e] = True
                        count += 1
        won, logged = _settle(
            points, start, near, cost, order, flip, place, queue, count, queued, log, 3, KICK_TURN
        )
        if won + old - new < -1e-12:
            for piece in range(logged - 1, -1, -1):
                _turn(order, flip, place, log[piece, 0], log[piece, 1])
