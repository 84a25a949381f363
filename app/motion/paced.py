"""The path with points where its speed changes, for controllers that plan acceleration themselves.

Such a controller knows one acceleration and one way to pass corners; the plan's gentler push, slower corners and belts that
limit it here and there it can only be told by the feed of its moves. Between the points kept the speed changes little, so
that the feed of each move is the plan's speed and the controller's own planning has nothing left to add.
"""

from __future__ import annotations

import dataclasses

import numpy as np

from app.motion.path import Runs, sampled
from app.motion.plan import Motion

SHARE = 0.05
"""Of a run's highest speed: changes of speed from one sample to the next that are told."""


def paced(runs: Runs, motion: Motion) -> tuple[Runs, np.ndarray]:
    """The runs that a motion was planned from, with further points, and (n,) s: when the pen is at each."""
    if not len(runs.down):
        return runs, np.zeros(0)
    vertex = sampled(runs).vertex >= 0
    top = np.repeat(np.maximum.reduceat(motion.speed, motion.runs[:-1]), np.diff(motion.runs))
    changed = np.zeros(len(vertex), dtype=bool)
    changed[1:] = np.abs(np.diff(motion.speed)) > SHARE * top[1:]
    changed[:-1] |= changed[1:]
    kept = vertex | changed
    first = np.concatenate([[0], np.cumsum(kept)])[motion.runs]
    return dataclasses.replace(runs, points=motion.pen_xy[kept], runs=first), motion.time[kept]
