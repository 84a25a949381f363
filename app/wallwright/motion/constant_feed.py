"""The path with points where its speed changes, for controllers that plan acceleration themselves.

Such a controller knows one acceleration and one way to pass corners; the plan's gentler push, slower corners and belts that
limit it here and there it is set only by the feed of its moves. Between the points kept the speed changes little, so
that the feed of each move is the plan's speed and the controller's own planning has nothing left to add.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags
from wallwright.motion.friction import moving_samples
from wallwright.motion.path import Runs
from wallwright.motion.plan import Motion

SHARE = 0.05
"""Of a run's highest speed: changes of speed from one sample to the next that are written."""


def runs_of_motion(motion: Motion, kept: Flags | None = None) -> Runs:
    """The runs that a motion was planned from; with other points when (n,) bool says which samples to keep."""
    kept = motion.vertex if kept is None else kept
    pen = np.zeros(len(motion.down), dtype=np.int64)
    for block in motion.blocks:
        pen[block.first_run : block.last_run] = block.pen
    first = np.concatenate([[0], np.cumsum(kept)])[motion.runs]
    return Runs(motion.pen_xy[kept], first, motion.down, motion.stroke, pen, motion.blocks)


def speed_changes(motion: Motion, step: float = 0.0) -> Flags:
    """(n,) bool: samples of the motion where its speed changes, no closer than a step, mm, but at a run's ends, and its
    vertices."""
    if not len(motion.down):
        return np.zeros(0, dtype=bool)
    top = np.repeat(np.maximum.reduceat(motion.speed, motion.runs[:-1]), np.diff(motion.runs))
    changed = np.zeros(len(top), dtype=bool)
    changed[1:] = np.abs(np.diff(motion.speed)) > SHARE * top[1:]
    changed[:-1] |= changed[1:]
    return apart(motion, motion.vertex | changed, step)


def apart(motion: Motion, kept: Flags, step: float) -> Flags:
    """(n,) bool: those of the samples kept (n,) that lie at least a step, mm, from the one kept before, and each run's ends;
    and those of take-ups, where belts move and the pen does not.

    Points closer than a step of the motors are moves that move nothing.
    """
    from wallwright.motion.resampling import min_distance_mask  # numba: slow to import

    found = min_distance_mask(motion.pen_xy, motion.runs, kept, step)
    found[moving_samples(motion.takes_up)] = True
    return found
