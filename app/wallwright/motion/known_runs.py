"""The runs of a motion planned before, found again by their points, so that what they took to plan is not done again.

A run begins and ends at rest, so that its samples, belts and fastest profile depend on its own points and the machine alone.
Only the swing goes on from run to run: it is followed through the whole motion again, and where the pen then swings too
far, the run is timed anew.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.columns import row_all
from wallwright.motion.path import Runs
from wallwright.motion.plan import Motion
from wallwright.motion.subset import run_members

_ODD = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F], dtype=np.uint64)
"""Odd numbers without a pattern in their bits: 2^64 over the golden ratio, and a prime."""


@dataclass(frozen=True)
class KnownRuns:
    """A motion and what it was planned from, with one machine, hanging and set of pens."""

    motion: Motion
    asked: Runs
    """The runs of the motion with straight travels: before some were bent."""
    max_acceleration: Floats
    """(n,) mm/s²: the pen acceleration that each sample came down to."""
    endings: Floats
    """(k, 3) of each run (landing.py)."""

    def find(self, runs: Runs) -> Integers:
        """(k,) number of the known run that each of k runs, with straight travels, is equal to; -1: there is none. At
        least one must be known."""
        sorted_, order = self._sorted
        wanted = _digests(runs)
        found = order[np.minimum(np.searchsorted(sorted_, wanted), len(order) - 1)]
        same = (
            (np.diff(self.asked.runs)[found] == np.diff(runs.runs))
            & (self.asked.down[found] == runs.down)
            & (self.asked.pen[found] == runs.pen)
        )
        some = np.flatnonzero(same)
        here, own = run_members(runs.runs, some)
        there, _ = run_members(self.asked.runs, found[some])
        equal = row_all(runs.points[here] == self.asked.points[there])
        if len(some):
            same[some] = np.logical_and.reduceat(equal, own[:-1])
        return np.where(same, found, -1)

    def vertices(self, run: int) -> Points:
        """(n, 2) mm: the run's points as the motion takes them."""
        here = slice(self.motion.runs[run], self.motion.runs[run + 1])
        return self.motion.pen_xy[here][self.motion.vertex[here]]

    @functools.cached_property
    def is_bent(self) -> Flags:
        """(k,) bool: runs with more points than were asked for: travels round something, or in a bow."""
        return np.add.reduceat(self.motion.vertex, self.motion.runs[:-1]) > np.diff(self.asked.runs)

    @functools.cached_property
    def _sorted(self) -> tuple[npt.NDArray[np.uint64], Integers]:
        digests = _digests(self.asked)
        order = np.argsort(digests, kind="stable")
        return digests[order], order


def _digests(runs: Runs) -> npt.NDArray[np.uint64]:
    """(k,) uint64 of the points of each run, one after the other; runs of one digest are compared by their points."""
    bits = np.ascontiguousarray(runs.points + 0.0).view(np.uint64)  # + 0.0: one zero only
    within = np.arange(len(bits)) - np.repeat(runs.runs[:-1], np.diff(runs.runs))
    mixed = bits[:, 0] * _ODD[0] ^ bits[:, 1] * _ODD[1]
    mixed = (mixed ^ (mixed >> np.uint64(32))) * (2 * within.astype(np.uint64) + np.uint64(3)) * _ODD[0]
    return np.add.reduceat(mixed ^ (mixed >> np.uint64(29)), runs.runs[:-1])
