"""What the job asks of motors and supply: the share of their pull that is used, and energy."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.columns import column_max
from wallwright.document.machine import Machine
from wallwright.motion.plan import Motion
from wallwright.motion.plots import belt_speed
from wallwright.statics.motor import available_pull, supply_power

SECONDS_PER_HOUR = 3600.0


def motor_load_along(motion: Motion, machine: Machine) -> Floats:
    """(n, 2) share of the pull that the left and right motor have at their speed."""
    return motion.tension / available_pull(machine, belt_speed(motion))


def work(motion: Motion) -> Floats:
    """(2,) J that the left and right motor do on their belts while they reel in; what they hold back while paying out is
    turned into heat, not won back. Tension is linear between samples."""
    if len(motion.time) < 2:
        return np.zeros(2)
    reeled = -np.diff(motion.belts, axis=0) / 1000
    result: Floats = np.maximum(reeled * (motion.tension[1:] + motion.tension[:-1]) / 2, 0.0).sum(axis=0)
    return result


def motor_load(motion: Motion, machine: Machine) -> tuple[Floats, Floats]:
    """Mean over the time in motion, and largest, share (2,) of the pull that the left and right motor have at their
    speed; at 1 a motor skips. Zeros without motion."""
    if len(motion.time) < 2:
        return np.zeros(2), np.zeros(2)
    share = motor_load_along(motion, machine)
    step = np.diff(motion.time)[:, None]
    mean = (step * (share[1:] + share[:-1]) / 2).sum(axis=0) / max(float(step.sum()), 1e-12)
    return mean, column_max(share)


def energy(machine: Machine, seconds: float) -> float:
    """Wh from the supply. Current choppers hold the set current whether the motors move or stand, so the power is that
    of the supply check all the time (common practice, no source)."""
    return supply_power(machine) * seconds / SECONDS_PER_HOUR
