"""Accuracy checks: what a controller can be given, and how accurate the pen position will be."""

from __future__ import annotations

import numpy as np

from wallwright.document.columns import row_all
from wallwright.document.language import format_number, tr
from wallwright.document.placing import box_around
from wallwright.jobs.checks import Check, Remedy, Verdict
from wallwright.planning.check_context import CheckContext
from wallwright.statics.calibration.expected_error import expected_error_over_strokes
from wallwright.statics.controller_kinematics import belts_to_controller

UNCALIBRATED = 2.0
"""Expected error, mm, from which a calibration is suggested: visible at a seam."""
OK, NOTE, ERROR = Verdict.OK, Verdict.NOTE, Verdict.ERROR


def formula(context: CheckContext) -> list[Check]:
    """Checks whether a controller that takes coordinates can be given the true belt lengths."""
    machine, place = context.document.machine, context.hanging
    nowhere = ~row_all(np.isfinite(belts_to_controller(machine, place, "plane", context.motion.belts)))
    if not nowhere.any():
        return []
    points = context.motion.pen_xy[nowhere]
    taken = machine.controller.takes_plane
    x, y = map(float, points[0])
    text = " ".join(
        (
            tr(
                "With the pen {0}, the controller's formula cannot reach the belt lengths.",
                context.origin.text(x, y),
            ),
            tr("It cannot be sent there.") if taken else tr("Corrected coordinates and SVG are not written."),
            tr("Move the drawing down, or enter the exit distance in the controller, if it has such a setting."),
        )
    )
    return [
        Check(
            "formula",
            ERROR if taken else NOTE,
            tr("Controller's formula"),
            text,
            box_around(points),
        )
    ]


def accuracy(context: CheckContext) -> list[Check]:
    """Checks the expected error of the pen position."""
    points = context.strokes.points
    if not len(points):
        return []
    left = expected_error_over_strokes(context.document.machine, context.hanging, points, context.drawing_pens)
    text, figure = left.sentence(), f"± {format_number(left.typical, '.1f')} mm"
    calibration = context.hanging.calibration
    if left.calibrated and calibration is not None:
        return [
            Check(
                "accuracy",
                OK,
                tr("Accuracy"),
                text + " " + tr("Calibrated with {0} readings.", calibration.readings),
                figure=figure,
            )
        ]
    is_drawing = context.document.machine.controller.takes == "drawing"
    if left.typical <= UNCALIBRATED and not is_drawing:
        return [Check("accuracy", OK, tr("Accuracy"), text, figure=figure)]
    if is_drawing:
        text += " " + tr(
            "That holds when the machine's page and formula are as set here. With another formula lines are centimetres "
            "off: calibration finds it."
        )
    text += " " + tr("Calibrate with a test drawing for a better estimate.")
    return [Check("accuracy", NOTE, tr("Accuracy"), text, None, (Remedy.CALIBRATE,), figure=figure)]
