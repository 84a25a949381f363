"""A short tour through reversible strokes: initial tour, local search in large windows, annealing in small ones.

The number of kicks depends on the number of strokes, the effort and the budget only, never on the clock: the same strokes
always get the same order. Where the budget ends, the current window is cooled down at once, and what has not been annealed
stays as the local search left it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial import Delaunay, cKDTree

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.parallel import share_of
from wallwright.strokes.tour.nearest import nearest_first
from wallwright.strokes.tour.search import anneal, descend
from wallwright.strokes.tour.search_budget import SearchBudget, more_of_few
from wallwright.strokes.tour.windows import heads_of, put_back, windows

NEAREST, CANDIDATES = 5, 10
"""Number of nearest ends that an end may be joined to, and the number of all candidates."""
ONE_PLACE = 1e-3
"""Extent of all ends, mm, below which they count as one place; a triangulation fails there because of rounding."""
LARGE, SMALL = 20_000, 1_000
"""Number of strokes in a window of the local search, and of the annealing."""
PASSES = 2
"""Number of annealing passes over each stroke, in windows with different borders."""
HOT = 0.5
"""Initial temperature of annealing, in mean travels of the window."""
KICKS_AT_ONCE = 2_000
"""Number of kicks between two checks for cancel: about 20 ms."""
COOLING = 1
"""Number of kicks per stroke at zero temperature when annealing is stopped early."""
MOST_MENDED, MENDING = 1_500, 3.0
"""Largest number of strokes annealed again in a mended order, and factor on the number of kicks beyond it. Beyond it,
all strokes share MENDING times the kicks of MOST_MENDED strokes, at zero temperature: enough to repair what a change has
disturbed, and fast."""
SEED = 88_172_645_463_325_252


def order_ends(
    ends: Points,
    start: Floats,
    speed: float,
    acceleration: float,
    kicks: float,
    progress: Callable[[float], None] = lambda done: None,
    budget: SearchBudget | None = None,
    is_tour: bool = False,
) -> tuple[Integers, Flags]:
    """Returns order (k,) and flip (k,) bool of strokes given by their two ends (k, 2, 2) mm, from start (2,) mm.

    kicks: per stroke, 0 for the initial tour only. speed mm/s and acceleration mm/s² of travels. budget: limit of all
    kicks, where the tour's time is also reported.
    """
    k = len(ends)
    budget = budget or SearchBudget()
    order: Integers = np.arange(k)
    flip: Flags = np.zeros(k, dtype=bool)
    if not is_tour:
        order, flip = nearest_first(ends, start)
    if kicks <= 0 or k < 2:
        return order, flip
    tour = _Tour(ends, np.asarray(start, dtype=float), order, flip, speed, acceleration, budget)
    progress(0.02)
    large = windows(tour.middles, LARGE, False)
    for number, window in enumerate(large):
        tour.improve(window, 0, share_of(progress, number, len(large), 0.02, 0.1))
    passes = [windows(tour.middles, SMALL, i % 2 == 1) for i in range(PASSES)]
    if len(passes[0]) == 1:
        passes = passes[:1]
    small = [w for windows_ in passes for w in windows_]
    for number, window in enumerate(small):
        if budget.is_spent:
            break
        rounds = int(np.ceil(kicks * len(window) / len(passes)))
        tour.improve(window, rounds, share_of(progress, number, len(small), 0.1))
    return tour.strokes()


def mend_ends(
    ends: Points,
    start: Floats,
    speed: float,
    acceleration: float,
    kicks: float,
    some: Integers,
    progress: Callable[[float], None] = lambda done: None,
) -> tuple[Integers, Flags]:
    """Returns order (k,) and flip (k,) bool of strokes that are in a good order except for some (m,): only these are
    searched. Other arguments as in `order_ends`."""
    k = len(ends)
    tour = _Tour(
        ends,
        np.asarray(start, dtype=float),
        np.arange(k),
        np.zeros(k, dtype=bool),
        speed,
        acceleration,
        SearchBudget(),
    )
    passes = [windows(tour.middles[some], SMALL, i % 2 == 1) for i in range(PASSES)]
    if len(passes[0]) == 1:
        passes = passes[:1]
    kicks *= more_of_few(len(some)) / len(passes)
    heat = HOT
    if len(some) > MOST_MENDED:
        passes = [windows(tour.middles[some], LARGE, False)]
        kicks, heat = MENDING * kicks * MOST_MENDED / len(some), 0.0
    small = [some[w] for windows_ in passes for w in windows_]
    for number, window in enumerate(small):
        rounds = int(np.ceil(kicks * len(window)))
        tour.improve(window, rounds, share_of(progress, number, len(small)), heat)
    return tour.strokes()


class _Tour:
    """The whole ring, with the pseudo-stroke last, and the search in one window of it."""

    def __init__(
        self,
        ends: Points,
        start: Floats,
        order: Integers,
        flip: Flags,
        speed: float,
        acceleration: float,
        budget: SearchBudget,
    ):
        k = len(ends)
        self._budget = budget
        self.middles = ends.mean(axis=1)
        self._points = np.concatenate([ends.reshape(-1, 2), [start, start]])
        self._cost = np.array([speed, acceleration])
        entry = 2 * order + flip
        self.ring: Integers = np.append(np.stack([entry, entry ^ 1], axis=1), [2 * k, 2 * k + 1]).astype(np.int32)
        self._state = np.array([SEED], dtype=np.uint64)
        path = self._points[self.ring[:-2]]
        before = np.concatenate([np.asarray(start)[None], path[1:-1:2]])
        self._seconds = float(self._times(np.hypot(*(path[::2] - before).T)).sum())
        budget.travel = self._seconds

    def strokes(self) -> tuple[Integers, Flags]:
        """Returns order (k,) and flip (k,) bool of the strokes along the ring."""
        entry: Integers = self.ring[:-2:2]
        return entry // 2, entry % 2 == 1

    def improve(self, window: Integers, kicks: int, progress: Callable[[float], None], heat: float = HOT) -> None:
        """Improves one window of the ring. heat: initial temperature of annealing, in mean travels."""
        inside = np.zeros(len(self.ring) // 2, dtype=bool)
        inside[window] = True
        heads = heads_of(self.ring, inside)
        tails = np.append(heads[1:], len(self.ring) // 2)
        points = self._points[np.stack([self.ring[2 * heads], self.ring[2 * tails - 1]], axis=1).ravel()]
        tour = np.arange(len(points), dtype=np.int32)
        near = _candidates(points[:-2])
        reach = self._times(np.hypot(*(points[near] - points[:, None]).transpose(2, 0, 1)))
        given = points, near, reach, self._cost, tour, tour.copy()
        before = self._times(np.hypot(*(points[1:-2:2] - points[2:-1:2]).T)).sum()
        gain = 0.0
        for first in range(0, len(points), 20 * KICKS_AT_ONCE):
            self._tell(progress, 0.0, gain)
            gain += descend(*given, first, min(first + 20 * KICKS_AT_ONCE, len(points)))
        settled, at_first = gain, tour.copy()
        hot = heat * (before - gain) / len(heads)
        done, kicks = 0, kicks if len(heads) >= 5 else 0
        while done < kicks:
            self._tell(progress, done / kicks, max(gain, settled))
            # The budget was checked at the start of the window. Nothing may end between that check and the first kicks, so
            # that the same limit always ends the search in the same way.
            # must end the same way.
            if done and self._budget.is_spent:
                gain += anneal(*given, COOLING * len(heads), 0.0, 0.0, self._state)
                break
            last = done + self._budget.grant(min(KICKS_AT_ONCE, kicks - done))
            heats = hot * (1 - done / kicks), hot * (1 - last / kicks)
            gain += anneal(*given, last - done, *heats, self._state)
            done = last
        if gain < settled:
            gain, tour = settled, at_first
        if gain > 0:
            self.ring = put_back(self.ring, heads, tour)
            self._seconds -= gain

    def _tell(self, progress: Callable[[float], None], done: float, gain: float) -> None:
        self._budget.travel = self._seconds - gain
        progress(done)

    def _times(self, distance: Floats) -> Floats:
        speed, acceleration = self._cost
        ramp = speed * speed / acceleration
        far = distance / speed + speed / acceleration
        seconds: Floats = np.where(distance >= ramp, far, 2 * np.sqrt(distance / acceleration))
        return seconds


def _candidates(points: Points) -> Integers:
    """Returns (m + 2, CANDIDATES) int32: ends of other strokes that each of m ends may be joined to, by distance: the
    nearest, and its neighbours in the Delaunay triangulation, which connect clusters. -1 where there are fewer, and for
    the two ends of the pseudo-stroke."""
    m = len(points)
    found = cKDTree(points).query(points, k=min(NEAREST + 1, m))[1].reshape(m, -1)
    a = np.repeat(np.arange(m), found.shape[1])
    b = found.ravel()
    if np.ptp(points, axis=0).max() > ONE_PLACE:
        # Joggled (QJ): coincident or collinear ends have a triangulation too.
        starts, others = Delaunay(points, qhull_options="QJ Pp").vertex_neighbor_vertices
        a = np.append(a, np.repeat(np.arange(m), np.diff(starts)))
        b = np.append(b, others)
    pairs = np.sort(a * m + b)  # np.unique hashes, which takes several times as long
    pairs = pairs[np.append(True, np.diff(pairs) > 0)]
    a, b = pairs // m, pairs % m
    other = a // 2 != b // 2
    a, b = a[other], b[other]
    far = np.hypot(*(points[a] - points[b]).T)
    # One key for both: a share below one half of the distance is added to integers.
    order = np.argsort(a + far / (2 * far.max(initial=0.0) + 1e-300), kind="stable")
    a, b = a[order], b[order]
    rank = np.arange(len(a)) - np.searchsorted(a, a)
    near = np.full((m + 2, CANDIDATES), -1, dtype=np.int32)
    few = rank < CANDIDATES
    near[a[few], rank[few]] = b[few]
    return near
