"""Extracts some runs of a path as a path of their own: results along a run depend on that run alone."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Integers
from wallwright.motion.path import Runs, Samples


def run_members(offsets: Integers, which: Integers) -> tuple[Integers, Integers]:
    """Returns (m,) members of the runs which (r,), one run after the other, and (r + 1,) the first of each among them.
    offsets: (k + 1,) of all runs."""
    counts = np.diff(offsets)[which]
    own = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    return np.arange(own[-1]) + np.repeat(offsets[:-1][which] - own[:-1], counts), own


def subset(runs: Runs, samples: Samples, which: Integers) -> tuple[Runs, Samples, Integers]:
    """Returns the runs which (r,) without their blocks, their samples, and (m,) the original index of each sample."""
    vertices, own = run_members(runs.runs, which)
    some = Runs(runs.points[vertices], own, runs.down[which], runs.stroke[which], runs.pen[which], ())
    at, first = run_members(samples.runs, which)
    moved = np.repeat(own[:-1] - runs.runs[:-1][which], np.diff(first))
    vertex = samples.vertex[at]
    return (
        some,
        Samples(
            samples.points[at],
            first,
            np.where(vertex >= 0, vertex + moved, -1),
            samples.leg[at] + moved,
            samples.share[at],
            samples.direction[at],
            samples.step[at],
            samples.load[at],
            samples.takes_up[at],
        ),
        at,
    )
