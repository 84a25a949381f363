"""Maps of the expected pen error over the draw zone before and after a calibration, and of the correction."""

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
"""Grid spacing, mm."""


@dataclass(frozen=True)
class ErrorMaps:
    """Maps over one grid; nan outside the draw zone. Before and after are COVERAGE standard uncertainties of the pen
    position, without pen drag."""

    x: Floats
    """(c,) mm: columns."""
    y: Floats
    """(r,) mm: rows."""
    before: Floats
    """(r, c) mm: from the previous calibration, or else from the priors with which the fit begins."""
    after: Floats
    """(r, c) mm: expected error after the fit."""
    moved: Floats
    """(r, c) mm: distance between commanded and actual position, if the fit is true."""


def error_maps(wall: Wall, machine: Machine, hanging: Hanging, outcome: CalibrationResult) -> ErrorMaps:
    """Returns the maps. machine and hanging: as they were before the fit."""
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
    """Returns (n,) mm at poses of the machine before the fit."""
    if valid_calibration(machine, hanging) is not None:
        return COVERAGE * expected_error(machine, hanging, sent, with_drag=False).by_point
    _, covariance, moves = prior_error(machine, hanging, sent)
    return COVERAGE * np.sqrt(pen_variance(moves, covariance))


def _belts_paid_out(machine: Machine, hanging: Hanging, outcome: CalibrationResult, wanted: Floats) -> Floats:
    """Returns (n, 2) mm: belts paid out, if the fit is true, for belts (n, 2), mm, commanded before it. A machine that
    takes drawings places them as its page does."""
    if machine.controller.takes != "drawing":
        commanded = belts_to_controller(machine, hanging, "belts", wanted)
        return controller_to_belts(outcome.machine, outcome.hanging, "belts", commanded)
    thought, true = machine.controller.page, outcome.machine.controller.page
    centre = np.array(hanging.survey.scale_centre)
    plane = belts_to_controller(machine, hanging, "plane", wanted) - [thought.shift_right, thought.shift_down]
    plane = centre + (plane - centre) * (true.scale / thought.scale) + [true.shift_right, true.shift_down]
    return controller_to_belts(outcome.machine, outcome.hanging, "plane", plane)
