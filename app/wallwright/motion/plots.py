"""Curves over the time of a job, thinned to the width of a plot without losing peaks."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.columns import row_min
from wallwright.document.machine import Machine
from wallwright.motion.plan import Motion
from wallwright.statics.motor import available_pull


def belt_speed(motion: Motion) -> Floats:
    """Returns (n, 2) mm/s: mean speed of both belts since the previous sample; 0 where the machine rests."""
    seconds = np.diff(motion.time)
    speed = np.zeros_like(motion.belts)
    run = np.abs(np.diff(motion.belts, axis=0))
    np.divide(run, seconds[:, None], out=speed[1:], where=seconds[:, None] > 0)
    speed[motion.runs[:-1]] = 0.0
    return speed


def torque_margin(motion: Motion, machine: Machine) -> Floats:
    """Returns (n,): available over required pull of the weaker motor at its speed; below 1 it loses steps.

    A number without a unit.
    """
    with np.errstate(divide="ignore"):
        result: Floats = row_min(available_pull(machine, belt_speed(motion)) / motion.tension)
        return result


def peaks(time: Floats, values: Floats, span: tuple[float, float], buckets: int) -> tuple[Floats, Floats]:
    """Returns a curve over span (from, to; s) with at most two points per bucket, its lowest and highest value.

    time (n,) increasing, values (n,). Returns all samples if there are fewer; includes one before and one after the span,
    so that the curve reaches both edges.
    """
    first = max(int(np.searchsorted(time, span[0])) - 1, 0)
    last = min(int(np.searchsorted(time, span[1], side="right")) + 1, len(time))
    time, values = time[first:last], values[first:last]
    n = len(time)
    if n <= 2 * buckets:
        return time, values
    edges = np.linspace(0, n, buckets + 1).astype(int)[:-1]
    low, high = np.minimum.reduceat(values, edges), np.maximum.reduceat(values, edges)
    return np.repeat(time[edges], 2), np.column_stack([low, high]).ravel()
