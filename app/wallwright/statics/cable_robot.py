"""The parameters of one hanging that statics needs, collected from machine and anchors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging

GRAVITY = 9.80665
"""m/s² = N/kg, standard acceleration of free fall (ISO 80000-3)."""


@dataclass(frozen=True)
class CableRobotModel:
    """Machine and anchors in the form that statics uses. Index 0 is left, 1 is right; mm, N, rad."""

    anchors: tuple[tuple[float, float], tuple[float, float]]
    """Anchor positions in the wall frame, mm."""
    exits: tuple[tuple[float, float], tuple[float, float]]
    """Roller centres (or eyelets) in the body frame, mm, relative to the pen tip at zero tilt."""
    centre: tuple[float, float]
    """Centre of mass in the body frame, mm."""
    weight: float
    """Weight of the body, N."""
    roller: float = 0.0
    """Radius of the exit rollers, mm."""
    stand_off: tuple[float, float] = (0.0, 0.0)
    """Stand-off of the anchor from the wall minus that of the exit, mm, left and right."""
    belt_weight: float = 0.0
    """Weight of the belt per unstretched length, N/mm."""
    stiffness: float = np.inf
    """Axial stiffness EA of the belt, N per unit strain."""
    cable: tuple[float, float] = (0.0, 0.0)
    """Fixing point of the cable that pulls the body at its centre of mass, wall frame, mm."""
    cable_pull: float = 0.0
    """Pull of the cable, N."""

    @staticmethod
    def of(machine: Machine, hanging: Hanging) -> CableRobotModel:
        """Returns the model of a machine in a hanging."""
        body, belt = machine.body, machine.belt
        return CableRobotModel(
            anchors=((hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y)),
            exits=(body.left_exit, body.right_exit),
            centre=body.centre,
            weight=body.mass * GRAVITY,
            roller=body.roller,
            stand_off=(hanging.left.stand_off - body.stand_off, hanging.right.stand_off - body.stand_off),
            belt_weight=belt.mass * GRAVITY / 1000,
            stiffness=belt.stiffness,
            cable=hanging.cable_point,
            cable_pull=body.cable_pull,
        )
