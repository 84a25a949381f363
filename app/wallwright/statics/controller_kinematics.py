"""The controller's own simple formula, both ways: the commands for which the belts get their true lengths."""

from __future__ import annotations

from typing import Literal

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging
from wallwright.statics.formula_remainder import with_remainder, without_remainder
from wallwright.statics.straight_belts import AnchorPair, pen_from_straight_belts, straight_belts

ControllerKind = Literal["belts", "plane"]


SAME_HANGING = 20.0
"""Largest correction of an anchor distance by calibration, mm; a larger change means another hanging."""


def typed_distance(machine: Machine, hanging: Hanging) -> float:
    """Returns the anchor distance given to the controller, mm; rounded if its page accepts whole numbers only.

    For a machine that takes drawings it stays at the value typed for the calibration, whatever anchor distance was found:
    page and formula were measured with this number.
    """
    controller, calibration = machine.controller, hanging.calibration
    distance = controller.assumed_distance or hanging.distance
    if controller.takes != "drawing":
        return distance
    typed = 0.0 if calibration is None else calibration.typed_distance
    if typed and not controller.assumed_distance and abs(typed - distance) <= SAME_HANGING:
        return typed
    return (
        round(distance / controller.page.step) * controller.page.step
        if "distance" in controller.page.asks
        else distance
    )


def formula_distance(machine: Machine, hanging: Hanging) -> float:
    """Returns the anchor distance in the controller's own formula, mm."""
    controller = machine.controller
    added = controller.page.added_distance if controller.takes == "drawing" else 0.0
    return typed_distance(machine, hanging) + added


def _scale(machine: Machine) -> float:
    """Returns true microsteps per mm over the controller's."""
    return machine.steps_per_mm / machine.controller_steps_per_mm


def _offsets(hanging: Hanging) -> Floats:
    return np.array([hanging.left_offset, hanging.right_offset])


def _assumed(machine: Machine, hanging: Hanging) -> tuple[AnchorPair, float, float]:
    """Returns the anchors, the distance of the exits and their height above the pen that the controller assumes, mm."""
    c = machine.controller
    return ((0.0, 0.0), (formula_distance(machine, hanging), 0.0)), c.assumed_spacing, c.assumed_rise


def belts_to_controller(machine: Machine, hanging: Hanging, kind: ControllerKind, belts: Floats) -> Floats:
    """Returns (n, 2) mm: the command values for belts (n, 2), mm.

    kind "belts": belt lengths minus the belts' offsets, scaled if the controller's steps per mm are wrong.
    kind "plane": the point at which its formula (two straight belts from level anchors to exits that do not tilt, plus
    the measured remainder) gives these lengths: x to the right of its left anchor, y down.
    """
    belts = (belts - _offsets(hanging)) * _scale(machine)
    if kind == "belts":
        return belts
    anchors, spacing, rise = _assumed(machine, hanging)
    return without_remainder(hanging.remainder, pen_from_straight_belts(anchors, belts, spacing, rise))


def controller_to_belts(machine: Machine, hanging: Hanging, kind: ControllerKind, values: Floats) -> Floats:
    """Returns (n, 2) mm: belt that the machine pays out for the values (n, 2); the inverse of belts_to_controller."""
    if kind == "plane":
        anchors, spacing, rise = _assumed(machine, hanging)
        values = straight_belts(anchors, with_remainder(hanging.remainder, values), spacing, rise)
    return values / _scale(machine) + _offsets(hanging)
