"""Runs of a previously planned motion, found again by their points so that they need not be planned again.

A run begins and ends at rest, so its samples, belts and fastest profile depend only on its own points and the machine. Only
the swing carries over from run to run: it is followed through the whole motion again, and a run in which the pen then
swings too far is timed anew.
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
"""Odd multipliers without a pattern in their bits: 2^64 over the golden ratio, and a prime."""


@dataclass(frozen=True)
class KnownRuns:
    """A motion and the data it was planned from, with one machine, hanging and set of pens."""

    motion: Motion
    asked: Runs
    """The runs of the motion with straight travels, before some were curved."""
    max_acceleration: Floats
    """(n,) mm/s²: pen acceleration limit of each sample after the swing was limited."""
    endings: Floats
    """(k, 3): ending of each run (landing.py)."""

    def find(self, runs: Runs) -> Integers:
        """Returns (k,) index of the known run that equals each of k runs with straight travels; -1: none. At least one
        must be known."""
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
        """Returns (n, 2) mm: the run's points as planned."""
        here = slice(self.motion.runs[run], self.motion.runs[run + 1])
        return self.motion.pen_xy[here][self.motion.vertex[here]]

    @functools.cached_property
    def is_bent(self) -> Flags:
        """(k,) bool: runs with more points than requested: travels with a detour or bow."""
        return np.add.reduceat(self.motion.vertex, self.motion.runs[:-1]) > np.diff(self.asked.runs)

    @functools.cached_property
    def _sorted(self) -> tuple[npt.NDArray[np.uint64], Integers]:
        digests = _digests(self.asked)
        order = np.argsort(digests, kind="stable")
        return digests[order], order


def _digests(runs: Runs) -> npt.NDArray[np.uint64]:
    """Returns (k,) uint64 digests of the points of each run; runs with equal digests are compared by their points."""
    bits = np.ascontiguousarray(runs.points + 0.0).view(np.uint64)  # + 0.0 turns -0.0 into 0.0
    within = np.arange(len(bits)) - np.repeat(runs.runs[:-1], np.diff(runs.runs))
    mixed = bits[:, 0] * _ODD[0] ^ bits[:, 1] * _ODD[1]
    mixed = (mixed ^ (mixed >> np.uint64(32))) * (2 * within.astype(np.uint64) + np.uint64(3)) * _ODD[0]
    return np.add.reduceat(mixed ^ (mixed >> np.uint64(29)), runs.runs[:-1])
