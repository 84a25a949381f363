"""Whether motors keep their steps when a controller starts, stops and turns at speed.

A jump of the belt's speed by Δ hands the body's energy ½ m Δ² to the motor's field within two full steps: a hybrid stepper's
torque over angle has a period of four full steps and holds the rotor no farther than two from its place. It keeps its steps
while the pull that is left does at least that work there. The whole mass at one belt is the worst case.
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
"""Full steps."""


def speed_jumps(motion: Motion) -> Floats:
    """(n, 2) mm/s by which each belt's speed changes at once at each sample, for a motion at one speed: at the ends of a run
    from and to rest, within it where the path turns."""
    n = len(motion.time)
    rate = np.zeros((n + 1, 2))
    took = np.diff(motion.time)
    with np.errstate(divide="ignore", invalid="ignore"):
        rate[1:-1] = np.where(took[:, None] > 0, np.diff(motion.belts, axis=0) / took[:, None], 0.0)
    rate[motion.runs] = 0.0  # between two runs the machine rests
    return np.abs(np.diff(rate, axis=0))


def fastest_kept(motion: Motion, machine: Machine) -> tuple[float, int]:
    """The factor by which all speeds may grow until a motor loses steps at a jump, and the sample at which it would; inf
    without a jump."""
    jump = speed_jumps(motion) / 1000
    pull = np.asarray(available_pull(machine, belt_speed(motion))) - motion.tension
    held = STEPS_HELD * machine.motor.teeth * machine.belt.pitch / machine.motor.steps / 1000
    energy = machine.body.mass * jump**2 / 2
    with np.errstate(divide="ignore"):
        factor = row_min(np.sqrt(np.maximum(pull, 0.0) * held / energy))
    worst = int(np.argmin(factor))
    return float(factor[worst]), worst
