"""How far off the pen was before a calibration, and is expected to be after it, over the draw zone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.expected_error import expected_error
from wallwright.statics.calibration.fit import CalibrationResult
from wallwright.statics.controller_kinematics import belts_to_controller, controller_to_belts
from wallwright.statics.draw_zone import compute_zone
from wallwright.statics.error_budget import COVERAGE
from wallwright.statics.forward_kinematics import forward_kinematics

STEP = 40.0
"""mm between points."""


@dataclass(frozen=True)
class ErrorMaps:
    """Two maps over the same grid; nan outside the draw zone."""

    x: Floats
    """(c,) mm."""
    y: Floats
    """(r,) mm."""
    before: Floats
    """(r, c) mm: between where the pen was sent and where it went, had the fit been the truth."""
    after: Floats
    """(r, c) mm: two standard uncertainties of the pen's place, pen drag aside."""


def error_maps(wall: Wall, machine: Machine, hanging: Hanging, outcome: CalibrationResult) -> ErrorMaps:
    """machine and hanging: as they were before the fit."""
    zone = compute_zone(wall, machine, hanging, STEP)
    inside = np.flatnonzero(zone.bits.ravel() == 0)
    wanted = zone.pose.pen[inside]
    belts = _belts_paid_out(machine, hanging, outcome, zone.pose.belts[inside])
    went = forward_kinematics(CableRobotModel.of(outcome.machine, outcome.hanging), belts, start=wanted)
    before, after = (np.full(zone.bits.size, np.nan) for _ in range(2))
    before[inside] = np.hypot(*(went.pen - wanted).T)
    after[inside] = COVERAGE * expected_error(outcome.machine, outcome.hanging, went, with_drag=False).by_point
    return ErrorMaps(zone.x, zone.y, before.reshape(zone.bits.shape), after.reshape(zone.bits.shape))


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
