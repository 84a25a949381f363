"""Load of motors and supply: the share of the motors' pull that is used, and energy."""

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
    """Returns (n, 2): share of its available pull that the left and right motor use at their speed."""
    return motion.tension / available_pull(machine, belt_speed(motion))


def work(motion: Motion) -> Floats:
    """Returns (2,) J: work of the left and right motor on their belts while reeling in; the energy of paying out turns
    into heat. Tension is linear between samples."""
    if len(motion.time) < 2:
        return np.zeros(2)
    reeled = -np.diff(motion.belts, axis=0) / 1000
    result: Floats = np.maximum(reeled * (motion.tension[1:] + motion.tension[:-1]) / 2, 0.0).sum(axis=0)
    return result


def motor_load(motion: Motion, machine: Machine) -> tuple[Floats, Floats]:
    """Returns the mean over the time in motion, and the maximum, of the share (2,) of its available pull that the left
    and right motor use; at 1 a motor loses steps. Zeros without motion."""
    if len(motion.time) < 2:
        return np.zeros(2), np.zeros(2)
    share = motor_load_along(motion, machine)
    step = np.diff(motion.time)[:, None]
    mean = (step * (share[1:] + share[:-1]) / 2).sum(axis=0) / max(float(step.sum()), 1e-12)
    return mean, column_max(share)


def energy(machine: Machine, seconds: float) -> float:
    """Returns the energy from the supply, Wh. Current choppers hold the set current whether the motors move or not, so
    the power is always that of the supply check (common practice, no source)."""
    return supply_power(machine) * seconds / SECONDS_PER_HOUR
