"""The controller's own simple formula, both ways: what it must be told so that the belts get their true lengths."""

from __future__ import annotations

from typing import Literal

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging
from wallwright.statics.straight_belts import AnchorPair, pen_from_straight_belts, straight_belts

ControllerKind = Literal["belts", "plane"]


def _scale(machine: Machine) -> float:
    """True microsteps per mm over the controller's."""
    assumed = machine.controller.assumed_steps
    return machine.steps_per_mm / assumed if assumed else 1.0


def _offsets(hanging: Hanging) -> Floats:
    return np.array([hanging.left_offset, hanging.right_offset])


def _assumed(machine: Machine, hanging: Hanging) -> tuple[AnchorPair, float, float]:
    """Anchors, distance of the exits and their height above the pen, mm, as the controller has them."""
    c = machine.controller
    width = c.assumed_distance or hanging.distance
    return ((0.0, 0.0), (width, 0.0)), c.assumed_spacing, c.assumed_rise


def belts_to_controller(machine: Machine, hanging: Hanging, kind: ControllerKind, belts: Floats) -> Floats:
    """(n, 2) mm: what to tell the controller for belts (n, 2), mm.

    kind "belts": belt lengths less the belts' offsets, scaled when the controller's steps per mm are wrong.
    kind "plane": the point at which its formula (two straight belts from level anchors to exits that do not tilt) gives
    these lengths: x to the right of its left anchor, y down.
    """
    belts = (belts - _offsets(hanging)) * _scale(machine)
    if kind == "belts":
        return belts
    anchors, spacing, rise = _assumed(machine, hanging)
    return pen_from_straight_belts(anchors, belts, spacing, rise)


def controller_to_belts(machine: Machine, hanging: Hanging, kind: ControllerKind, values: Floats) -> Floats:
    """(n, 2) mm of belt that the machine pays out when told the values (n, 2): the way back of from_belts."""
    if kind == "plane":
        anchors, spacing, rise = _assumed(machine, hanging)
        values = straight_belts(anchors, values, spacing, rise)
    return values / _scale(machine) + _offsets(hanging)
