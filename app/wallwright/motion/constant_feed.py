"""The path with points where its speed changes, for controllers that plan acceleration themselves.

Such a controller knows one acceleration and one way to pass corners; the plan's gentler push, slower corners and belts that
limit it here and there it is set only by the feed of its moves. Between the points kept the speed changes little, so
that the feed of each move is the plan's speed and the controller's own planning has nothing left to add. A ramp of few long
moves would be a staircase that swings the body: its moves are short against the swing.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.motion.friction import moving_samples
from wallwright.motion.path import Runs
from wallwright.motion.plan import Motion
from wallwright.motion.resampling import min_distance_mask

SHARE = 0.01
"""Of a run's highest speed: changes of speed from one sample to the next that are written."""
LEVEL = 0.02
"""Of a run's highest speed: slower changes are written each time that the speed passes a multiple of it."""

LEAD = 1e-3
"""N at the mass centre by which neighbouring samples differ when both are written."""
LONGEST_MOVE = 0.025
"""s of a move along which the speed changes. Steps of speed at even times shake the body where it bounces on its belts, 12
to 16 times a second on a typical machine: three steps in each bounce leave it alone, one would add up."""


def timed_points(motion: Motion, kept: Flags, step: float) -> tuple[Runs, Floats, Floats]:
    """The runs through the kept samples, (n,) bool, and through points between them where speed changes for longer than
    LONGEST_MOVE, no closer than a step, mm; (m,) s at which the pen is there, and (m, 4) N of friction."""
    runs, at = runs_of_motion(motion, kept), np.flatnonzero(kept)
    n = len(at)
    after = np.append(at[1:], at[-1:])
    took, way = motion.time[after] - motion.time[at], np.hypot(*(motion.pen_xy[after] - motion.pen_xy[at]).T)
    parts = np.minimum(np.ceil(took / LONGEST_MOVE), np.floor(way / max(step, 1e-9)))
    divided = (after == at + 1) & (motion.speed[after] != motion.speed[at]) & ~motion.takes_up[at]
    divided[runs.runs[1:] - 1] = False
    count = np.where(divided, np.maximum(parts, 1), 1).astype(np.int64)
    index = np.repeat(np.arange(n), count)
    within = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    gone = within / count[index] * took[index]
    v0, v1 = motion.speed[at[index]], motion.speed[after[index]]
    with np.errstate(divide="ignore", invalid="ignore"):
        done = gone * (v0 + (v1 - v0) * gone / (2 * took[index])) / way[index]
    share = np.where(within > 0, done, 0.0)[:, None]
    first, last = at[index], after[index]
    points = motion.pen_xy[first] + share * (motion.pen_xy[last] - motion.pen_xy[first])
    load = motion.load[first] + share * (motion.load[last] - motion.load[first])
    begins = np.concatenate([[0], np.cumsum(count)])[runs.runs]
    return Runs(points, begins, runs.down, runs.stroke, runs.pen, runs.blocks), motion.time[first] + gone, load


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
    level = np.floor(motion.speed / np.maximum(LEVEL * top, 1e-9))
    changed[1:] = (np.abs(np.diff(motion.speed)) > SHARE * top[1:]) | (np.diff(level) != 0)
    changed[1:] |= (np.abs(np.diff(motion.load[:, 2:], axis=0)) > LEAD).any(axis=1)
    changed[:-1] |= changed[1:]
    return apart(motion, motion.vertex | changed, step)


def apart(motion: Motion, kept: Flags, step: float) -> Flags:
    """(n,) bool: those of the samples kept (n,) that lie at least a step, mm, from the one kept before, and each run's ends;
    and those of take-ups, where belts move and the pen does not.

    Points closer than a step of the motors are moves that move nothing.
    """
    found = min_distance_mask(motion.pen_xy, motion.runs, kept, step)
    found[moving_samples(motion.takes_up)] = True
    return found
