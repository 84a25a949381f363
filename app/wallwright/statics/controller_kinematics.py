"""The controller's own simple formula, both ways: the commanded lengths with which the belts get their true lengths."""

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
"""mm: what calibration corrects of an anchor distance at most; a larger change is another hanging."""


def typed_distance(machine: Machine, hanging: Hanging) -> float:
    """mm: the anchor distance that the controller is given; rounded where its page takes round numbers only.

    At a machine that takes drawings it stays what was typed for the calibration, wherever that put the anchors: page and
    formula were measured with this number.
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
    """mm: the anchor distance in the controller's own formula."""
    controller = machine.controller
    added = controller.page.added_distance if controller.takes == "drawing" else 0.0
    return typed_distance(machine, hanging) + added


def _scale(machine: Machine) -> float:
    """True microsteps per mm over the controller's."""
    return machine.steps_per_mm / machine.controller_steps_per_mm


def _offsets(hanging: Hanging) -> Floats:
    return np.array([hanging.left_offset, hanging.right_offset])


def _assumed(machine: Machine, hanging: Hanging) -> tuple[AnchorPair, float, float]:
    """Anchors, distance of the exits and their height above the pen, mm, as the controller has them."""
    c = machine.controller
    return ((0.0, 0.0), (formula_distance(machine, hanging), 0.0)), c.assumed_spacing, c.assumed_rise


def belts_to_controller(machine: Machine, hanging: Hanging, kind: ControllerKind, belts: Floats) -> Floats:
    """(n, 2) mm: what to tell the controller for belts (n, 2), mm.

    kind "belts": belt lengths less the belts' offsets, scaled when the controller's steps per mm are wrong.
    kind "plane": the point at which its formula (two straight belts from level anchors to exits that do not tilt, and
    the remainder that was measured) gives these lengths: x to the right of its left anchor, y down.
    """
    belts = (belts - _offsets(hanging)) * _scale(machine)
    if kind == "belts":
        return belts
    anchors, spacing, rise = _assumed(machine, hanging)
    return without_remainder(hanging.remainder, pen_from_straight_belts(anchors, belts, spacing, rise))


def controller_to_belts(machine: Machine, hanging: Hanging, kind: ControllerKind, values: Floats) -> Floats:
    """(n, 2) mm of belt that the machine pays out for the values (n, 2): the inverse of belts_to_controller."""
    if kind == "plane":
        anchors, spacing, rise = _assumed(machine, hanging)
        values = straight_belts(anchors, with_remainder(hanging.remainder, values), spacing, rise)
    return values / _scale(machine) + _offsets(hanging)
