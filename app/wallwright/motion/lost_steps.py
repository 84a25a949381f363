"""Check whether motors keep their steps when a controller starts, stops and turns at speed.

A jump of the belt speed by Δ passes the body's energy ½ m Δ² to the motor's field within two full steps: the torque curve
of a hybrid stepper has a period of four full steps and holds the rotor up to two from its position. It keeps its steps
while the remaining pull does at least that much work over them. The whole mass on one belt is the worst case.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.columns import row_min
from wallwright.document.machine import Machine
from wallwright.motion.plan import Motion
from wallwright.motion.plots import belt_speed
from wallwright.statics.motor import available_pull

STEPS_HELD = 2.0
"""Full steps over which the rotor is held."""


def speed_jumps(motion: Motion) -> Floats:
    """Returns (n, 2) mm/s: jump of each belt's speed at each sample, for a motion at one speed: at the ends of a run from
    and to rest, within it where the path turns."""
    n = len(motion.time)
    rate = np.zeros((n + 1, 2))
    took = np.diff(motion.time)
    with np.errstate(divide="ignore", invalid="ignore"):
        rate[1:-1] = np.where(took[:, None] > 0, np.diff(motion.belts, axis=0) / took[:, None], 0.0)
    rate[motion.runs] = 0.0  # between two runs the machine rests
    return np.abs(np.diff(rate, axis=0))


def fastest_kept(motion: Motion, machine: Machine) -> tuple[float, int]:
    """Returns the largest factor on all speeds before a motor loses steps at a jump, and the sample where that happens;
    inf without a jump."""
    jump = speed_jumps(motion) / 1000
    pull = np.asarray(available_pull(machine, belt_speed(motion))) - motion.tension
    held = STEPS_HELD * machine.motor.teeth * machine.belt.pitch / machine.motor.steps / 1000
    energy = machine.body.mass * jump**2 / 2
    with np.errstate(divide="ignore"):
        factor = row_min(np.sqrt(np.maximum(pull, 0.0) * held / energy))
    worst = int(np.argmin(factor))
    return float(factor[worst]), worst
