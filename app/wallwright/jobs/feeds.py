"""Feeds with which a controller that plans its own acceleration matches the plan's times."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.jobs.coordinates import ControllerPath, move_seconds
from wallwright.jobs.expected_settings import ACCELERATION_RATIO
from wallwright.jobs.job import Job

FROM_REST = 1.2
"""Largest factor on the feed of a run's first and last move, which makes up for the controller's acceleration from and to
rest. With twice the pen acceleration set in the controller, the time matches the plan within 2 % at the pen acceleration;
where the plan is gentler, a smaller factor is used (_from_rest)."""


def feeds(job: Job, path: ControllerPath) -> Floats:
    """Returns (n,) the feed in mm/min of the move that ends at each point; nan where none ends."""
    limits = job.document.machine.limits
    with np.errstate(divide="ignore", invalid="ignore"):
        feed = 60 * path.lengths / move_seconds(job.document, job.motion, path)
    feed[path.runs[:-1]] = np.nan
    if path.time is None:
        return feed
    first, last = path.runs[:-1] + 1, path.runs[1:] - 1
    up = np.flatnonzero(path.takes_up)
    if len(up):  # the pen rests before and after
        begins, ends = np.union1d(first, up + 1), np.union1d(last, up - 1)
        first, last = (at[~path.takes_up[at] & ~np.isnan(feed[at])] for at in (begins[begins < len(feed)], ends))
    rests = np.union1d(first, last)
    feed[rests] *= _from_rest(path, feed / 60, ACCELERATION_RATIO * limits.acceleration)[rests]
    # Moves shorter than the time resolution can have any feed.
    return np.minimum(feed, 120 * max(limits.draw_speed, limits.travel_speed))


def _from_rest(path: ControllerPath, speed: Floats, acceleration: float) -> Floats:
    """Returns (n,) factors on the mean speed, mm/s, of moves that begin or end at rest, for a controller that accelerates
    each axis by acceleration, mm/s²: with length L and time t the speed v solves L / v + v / 2A = t; at most FROM_REST."""
    step = np.abs(np.diff(path.values, axis=0, prepend=np.nan))
    with np.errstate(divide="ignore", invalid="ignore"):
        along = acceleration * np.hypot(*step.T) / step.max(axis=1)
        seconds = path.lengths / speed
        square = np.maximum(seconds**2 - 2 * path.lengths / along, 0.0)
        factor = along * (seconds - np.sqrt(square)) / speed
    result: Floats = np.clip(np.nan_to_num(factor, nan=1.0), 1.0, FROM_REST)
    return result
