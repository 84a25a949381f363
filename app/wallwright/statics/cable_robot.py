"""The numbers of one hanging that statics needs, gathered from machine and anchors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging

GRAVITY = 9.80665
"""m/s² = N/kg, standard acceleration of free fall (ISO 80000-3)."""


@dataclass(frozen=True)
class CableRobotModel:
    """Machine and anchors as statics sees them. Index 0 is left, 1 is right; mm, N, rad."""

    anchors: tuple[tuple[float, float], tuple[float, float]]
    """Wall frame, mm."""
    exits: tuple[tuple[float, float], tuple[float, float]]
    """Roller centres (or eyelets) in the body frame from the pen tip at zero tilt, mm."""
    centre: tuple[float, float]
    """Centre of mass in the body frame, mm."""
    weight: float
    """Of the body, N."""
    roller: float = 0.0
    """Exit roller radius, mm."""
    stand_off: tuple[float, float] = (0.0, 0.0)
    """Anchor's stand-off from the wall less the exit's, mm, left and right."""
    belt_weight: float = 0.0
    """N per mm of unstretched belt."""
    stiffness: float = np.inf
    """Belt EA, N per unit strain."""
    cable: tuple[float, float] = (0.0, 0.0)
    """Wall frame, mm: where the cable that pulls the body at its centre of mass is fixed."""
    cable_pull: float = 0.0
    """N."""

    @staticmethod
    def of(machine: Machine, hanging: Hanging) -> CableRobotModel:
        """The rig of a machine in a hanging."""
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
