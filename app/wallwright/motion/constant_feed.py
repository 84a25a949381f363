"""Points along the path where the speed changes, for controllers that plan acceleration themselves.

Such a controller knows one acceleration and one cornering rule. Where the plan accelerates less, takes corners more slowly
or is limited by the belts, only the feed of each move can tell it so. Between the points kept, the speed changes so little
that the feed of each move is the plan's speed, and the controller's own planning has nothing to add. For their spacing see
ramp_points.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.motion.friction import moving_samples
from wallwright.motion.path import Runs
from wallwright.motion.plan import Motion, pen_of_runs
from wallwright.motion.ramp_points import ramp_points
from wallwright.motion.resampling import min_distance_mask


def timed_points(motion: Motion, limits: Floats, step: float) -> tuple[Runs, Floats, Floats]:
    """Returns the runs through vertices and take-ups of the motion, plus points between them where the speed changes, at
    least a step, mm, apart; (m,) s at which the pen is there; and (m, 4) N of friction. limits: (k, 2), of the moves of
    each run (move_limits)."""
    if not len(motion.down):
        return runs_of_motion(motion), motion.time, motion.load
    at, time = _points(motion, spaced_samples(motion, motion.vertex, step), limits, step)
    mixed = _between(motion, at, time)
    first = np.searchsorted(at, motion.runs)
    runs = runs_of_motion(motion)
    points = Runs(mixed(motion.pen_xy), first, runs.down, runs.stroke, runs.pen, runs.blocks)
    return points, time, mixed(motion.load)


def with_ramp_points(motion: Motion, limits: Floats, step: float) -> Motion:
    """Returns the motion with more samples where the speed changes, for tables whose lines assume constant belt speed
    between them. limits: (k, 2) of each run, s and mm/s (move_limits). step: smallest distance of points, mm."""
    if not len(motion.down):
        return motion
    at, time = _points(motion, np.ones(len(motion.time), dtype=bool), limits, step)
    own = time == motion.time[at]
    mixed = _between(motion, at, time)
    v0, v1 = motion.speed[at], motion.speed[np.minimum(at + 1, len(motion.time) - 1)]
    gone = time - motion.time[at]
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = v0 + (v1 - v0) * gone / (motion.time[np.minimum(at + 1, len(motion.time) - 1)] - motion.time[at])
    return replace(
        motion,
        time=time,
        pen_xy=mixed(motion.pen_xy),
        belts=mixed(motion.belts),
        speed=np.where(own, v0, speed),
        tension=mixed(motion.tension),
        swing=mixed(motion.swing),
        farthest_swing=motion.farthest_swing[np.minimum(at + ~own, len(motion.time) - 1)],
        vertex=motion.vertex[at] & own,
        runs=np.searchsorted(at, motion.runs),
        load=mixed(motion.load),
        takes_up=motion.takes_up[at],
    )


def _points(motion: Motion, fixed: Flags, limits: Floats, step: float) -> tuple[Integers, Floats]:
    """Returns the ramp_points of a motion."""
    load = motion.load.copy()  # may be read-only, which would compile the function again
    return ramp_points(
        motion.runs, motion.time, motion.speed, motion.pen_xy, load, fixed, motion.takes_up, limits, step
    )


def _between(motion: Motion, at: Integers, time: Floats) -> Callable[[Floats], Floats]:
    """Returns a function that interpolates values (n,) or (n, c) of the samples at times (m,), s, at or after samples at
    (m,), by path length."""
    after, gone = np.minimum(at + 1, len(motion.time) - 1), time - motion.time[at]
    took, v0, way = motion.time[after] - motion.time[at], motion.speed[at], motion.pen_xy[after] - motion.pen_xy[at]
    with np.errstate(divide="ignore", invalid="ignore"):
        done = gone * (v0 + (motion.speed[after] - v0) * gone / (2 * took)) / np.hypot(*way.T)
    share = np.where(gone > 0, done, 0.0)

    def mixed(values: Floats) -> Floats:
        by = share if values.ndim == 1 else share[:, None]
        result: Floats = values[at] + by * (values[after] - values[at])
        return result

    return mixed


def runs_of_motion(motion: Motion, kept: Flags | None = None) -> Runs:
    """Returns the runs from which a motion was planned; with other points if kept, (n,) bool, selects the samples."""
    kept = motion.vertex if kept is None else kept
    first = np.concatenate([[0], np.cumsum(kept)])[motion.runs]
    return Runs(motion.pen_xy[kept], first, motion.down, motion.stroke, pen_of_runs(motion), motion.blocks)


def spaced_samples(motion: Motion, kept: Flags, step: float) -> Flags:
    """Returns (n,) bool: those of the samples kept (n,) that lie at least a step, mm, from the previous kept one; plus each
    run's ends and the samples of take-ups, where belts move and the pen does not.

    Moves shorter than a motor step would move nothing.
    """
    found = min_distance_mask(motion.pen_xy, motion.runs, kept, step)
    found[moving_samples(motion.takes_up)] = True
    return found
