"""Controller settings that a program expects, as comments at its head, for a person to compare before starting.

Numbers are in the units of the program, for comparison with what the controller shows.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.post_processor import PostProcessor, number
from wallwright.motion.plan import Estimate
from wallwright.statics.controller_kinematics import formula_distance

ACCELERATION_RATIO = 2.0
"""Acceleration to set for the controller's axes, over the plan's pen acceleration."""

STEPS_TOLERANCE = 1e-9
"""Relative tolerance within which steps per mm count as equal."""


def expected_settings(
    machine: Machine, hanging: Hanging, path: ControllerPath, feeds: Floats, estimate: Estimate | None = None
) -> list[str]:
    """Returns lines on steps per mm, the controller's formula, feed and axis limits, acceleration and corners. feeds: (n,)
    mm/min. estimate: of the job, with the effect on corners of a controller that does not slow down."""
    limits, post = machine.limits, PostProcessor(machine)
    lines = [_steps(post), *_scaled(machine)]
    if path.kind == "plane":
        controller = machine.controller
        lines.append(
            f"Expects in its formula: anchors {number(formula_distance(machine, hanging), 1)} mm apart, belt exits "
            f"{number(controller.assumed_spacing, 1)} mm apart and {number(controller.assumed_rise, 1)} mm above the pen"
        )
        lines.append("Formula: straight belts from level anchors to exits that do not tilt")
    lines.append(_speeds(path, feeds, post))
    if machine.controller.pacing == "accelerating":
        push = _in_units(ACCELERATION_RATIO * limits.acceleration, post)
        corner = _in_units(limits.corner_tolerance, post)
        lines.append(f"Expects {push}/s2 of acceleration for each axis, and corners cut by {corner} at most")
    elif machine.controller.pacing == "constant" and estimate is not None:
        lines.append(
            f"Each stroke at one speed: expect {number(round(estimate.corner_mm, 2))} mm at corners and "
            f"{number(round(estimate.swing_mm, 2))} mm of swing at most"
        )
    return lines


def _steps(post: PostProcessor) -> str:
    machine, unit = post.machine, post.code.unit
    steps = f"{number(machine.controller_steps_per_mm, 3)} microsteps per mm of belt"
    if unit == "steps":
        return f"Expects axes that count microsteps, {steps}"
    if unit == "revolutions":
        circumference = number(machine.motor.teeth * machine.belt.pitch, 3)
        return f"Expects axes that count turns of pulleys of {circumference} mm around, {steps}"
    return f"Expects {steps}"


def _scaled(machine: Machine) -> list[str]:
    """Returns a note that lengths are written for steps per mm other than those of the belts."""
    own, set_ = machine.steps_per_mm, machine.controller_steps_per_mm
    if abs(set_ / own - 1) < STEPS_TOLERANCE:
        return []
    return [
        f"Lengths are scaled by {number(own / set_, 6)}: the belts have {number(own, 3)} microsteps per mm, the "
        f"controller is set to {number(set_, 3)}"
    ]


def _speeds(path: ControllerPath, feeds: Floats, post: PostProcessor) -> str:
    """Returns a line on the largest feed, as written in F, and the largest speed of each axis."""
    length = path.lengths
    with np.errstate(divide="ignore", invalid="ignore"):
        seconds = 60 * length / feeds
        speed = np.abs(np.diff(path.values, axis=0, prepend=path.values[:1])) / seconds[:, None]
    if path.centre is not None:  # along an arc no axis is faster than the feed
        arc = ~np.isnan(path.centre[:, 0])
        speed[arc] = feeds[arc, None] / 60
    left, right = np.nanmax(np.where(np.isfinite(speed), speed, np.nan), axis=0, initial=0.0)
    letters, inverse = post.letters, post.code.feed_unit == "inverse"
    minutes = 60.0 if post.code.feed_unit == "minute" or inverse else 1.0
    per = "min" if minutes == 60.0 else "s"
    axes = " and ".join(
        f"{letter} {_in_units(value * minutes, post)}/{per}"
        for letter, value in zip(letters, (left, right), strict=False)
    )
    if inverse:
        return f"Expects limits of the axes of at least {axes}"
    most = _in_units(float(np.nanmax(feeds, initial=0.0)) * minutes / 60, post)
    return f"Expects feeds up to {most}/{per}, and limits of the axes of at least {axes}"


def _in_units(mm: float, post: PostProcessor) -> str:
    """Formats a length in the unit of the axes."""
    return f"{number(mm * post.scale, post.feed_decimals + 1 if mm * post.scale < 1 else 1)} {post.code.unit}"
