"""Motor pull, driver settings and the power supply."""

from __future__ import annotations

import math

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.machine import Machine

CHOPPER_FULL_SCALE = 0.325
"""Voltage across sense resistor and leads at full scale, V."""
CHOPPER_LEADS = 0.02
"""Resistance that the driver adds to the sense resistor, Ω."""
CHOPPER_REFERENCE = 2.5
"""Reference voltage for full scale, V."""


def available_torque(machine: Machine, belt_speed: float | Floats = 0.0) -> float | Floats:
    """Torque left for pulling, N·m, at a belt speed in mm/s.

    Holding torque scales with current (set over rated) and with the usable share, which allows for friction and
    microstepping. Above the corner speed torque falls as 1 / speed, the constant-power part of a stepper's pull-out curve.
    belt_speed may be an array (n,), and then the torque is one.
    """
    motor = machine.motor
    share = min(motor.set_current / motor.rated_current, 1.0) * motor.usable
    turns = np.abs(belt_speed) / (motor.teeth * machine.belt.pitch)
    return motor.holding_torque * share * np.minimum(1.0, motor.corner_speed / np.maximum(turns, 1e-12))


def available_pull(machine: Machine, belt_speed: float | Floats = 0.0) -> float | Floats:
    """Returns the belt tension, N, at which a motor loses steps, at a belt speed in mm/s.

    belt_speed may be an array (n,); the tension is then one too.
    """
    return available_torque(machine, belt_speed) * 1000 / machine.pitch_radius


def reference_voltage(current: float, sense_resistor: float) -> float:
    """Returns the driver's reference voltage, V, for a motor current in A (rms) and a sense resistor in Ω.

    I_rms = 0.325 V / (R + 0.02 Ω) / sqrt 2 * V_ref / 2.5 V, the current setting formula in the data sheets of common
    current-chopper drivers with a scaled reference input (constants from memory). With 0.11 Ω it gives the usual 0.85 V
    for 0.6 A and 1.1 V for 0.8 A.
    """
    full_scale = CHOPPER_FULL_SCALE / (sense_resistor + CHOPPER_LEADS) / math.sqrt(2)
    return CHOPPER_REFERENCE * current / full_scale


def supply_power(machine: Machine) -> float:
    """Returns the power, W, that the supply should provide for two motors, pen lift and controller.

    Common practice, no source: 20 W at 0.6 A and 30 W at 0.8 A, linear between and beyond.
    """
    return max(5.0, 20.0 + 50.0 * (machine.motor.set_current - 0.6))
