"""How far off the pen is to be expected before and after a calibration, over the draw zone, and what it puts right."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.expected_error import (
    expected_error,
    pen_variance,
    prior_error,
    valid_calibration,
)
from wallwright.statics.calibration.fit import CalibrationResult
from wallwright.statics.controller_kinematics import belts_to_controller, controller_to_belts
from wallwright.statics.draw_zone import compute_zone
from wallwright.statics.error_budget import COVERAGE
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import Pose, inverse_kinematics

STEP = 40.0
"""mm between points."""


@dataclass(frozen=True)
class ErrorMaps:
    """Maps over the same grid; nan outside the draw zone. Before and after are the same figure: COVERAGE standard
    uncertainties of the pen's place, pen drag aside."""

    x: Floats
    """(c,) mm."""
    y: Floats
    """(r,) mm."""
    before: Floats
    """(r, c) mm: by the calibration before, else by what is expected of machines before any, as the fit begins with it."""
    after: Floats
    """(r, c) mm."""
    moved: Floats
    """(r, c) mm: between where the pen was sent and where it went, had the fit been the truth."""


def error_maps(wall: Wall, machine: Machine, hanging: Hanging, outcome: CalibrationResult) -> ErrorMaps:
    """machine and hanging: as they were before the fit."""
    zone = compute_zone(wall, machine, hanging, STEP)
    inside = np.flatnonzero(zone.bits.ravel() == 0)
    wanted = zone.pose.pen[inside]
    belts = _belts_paid_out(machine, hanging, outcome, zone.pose.belts[inside])
    went = forward_kinematics(CableRobotModel.of(outcome.machine, outcome.hanging), belts, start=wanted)
    sent = inverse_kinematics(CableRobotModel.of(machine, hanging), wanted)

    def whole(values: Floats) -> Floats:
        every = np.full(zone.bits.size, np.nan)
        every[inside] = values
        return every.reshape(zone.bits.shape)

    after = COVERAGE * expected_error(outcome.machine, outcome.hanging, went, with_drag=False).by_point
    moved = np.hypot(*(went.pen - wanted).T)
    return ErrorMaps(zone.x, zone.y, whole(_expected_before(machine, hanging, sent)), whole(after), whole(moved))


def _expected_before(machine: Machine, hanging: Hanging, sent: Pose) -> Floats:
    """(n,) mm at poses of the machine as it was."""
    if valid_calibration(machine, hanging) is not None:
        return COVERAGE * expected_error(machine, hanging, sent, with_drag=False).by_point
    _, covariance, moves = prior_error(machine, hanging, sent)
    return COVERAGE * np.sqrt(pen_variance(moves, covariance))


def _belts_paid_out(machine: Machine, hanging: Hanging, outcome: CalibrationResult, wanted: Floats) -> Floats:
    """(n, 2) mm of belt, had the fit been the truth, where belts (n, 2), mm, were wanted before it. A machine that takes
    drawings puts them down as its page does."""
    if machine.controller.takes != "drawing":
        commanded = belts_to_controller(machine, hanging, "belts", wanted)
        return controller_to_belts(outcome.machine, outcome.hanging, "belts", commanded)
    thought, true = machine.controller.page, outcome.machine.controller.page
    centre = np.array(hanging.survey.scale_centre)
    plane = belts_to_controller(machine, hanging, "plane", wanted) - [thought.shift_right, thought.shift_down]
    plane = centre + (plane - centre) * (true.scale / thought.scale) + [true.shift_right, true.shift_down]
    return controller_to_belts(outcome.machine, outcome.hanging, "plane", plane)
