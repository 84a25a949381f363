"""Belt slip: estimates which belt jumped teeth, or which motor lost steps, from how far off the pen drew afterwards.

The controller keeps counting as if nothing had happened, so from then on each belt is longer or shorter than counted by a
constant. If a point P is drawn with an offset d, the belts are off by belts(P + d) - belts(P), whatever the tilt and sag. A
stepping motor that loses synchronism locks in again a whole number of electrical periods (four full steps) away (common
practice, no source); a belt jumps by whole teeth. If exactly one such slip of one belt agrees with the measurement, it is
assumed to be the cause, and the belt error is then known exactly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.errors import BadValue
from wallwright.document.language import plural, tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Point
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.error_budget import COVERAGE
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import belts_by_pen, inverse_kinematics

PERIOD = 4
"""Full steps per electrical period of a stepping motor."""
CHI_SQUARED_95 = 5.99
"""Largest squared distance between measured and assumed slip, in standard uncertainties: the 95 % quantile of the
chi-squared distribution with two degrees of freedom (-2 ln 0.05)."""
LARGEST_OFFSET = 500.0
"""Largest offset that can be a slip, mm."""


@dataclass(frozen=True)
class PenOffsetReading:
    """A measured offset of the drawing at a known place."""

    place: Point
    """Intended position, mm."""
    off: Point
    """Displacement of the drawn point from it, right and down, mm."""


@dataclass(frozen=True)
class WholeSlip:
    """A slip of one belt by a whole number of teeth or steps."""

    side: int
    """0 left, 1 right."""
    teeth: int = 0
    steps: int = 0
    """Full steps; either teeth or steps is 0. Positive: the belt is longer than counted."""

    def length(self, machine: Machine) -> float:
        """Returns how much longer the belt is than counted, mm."""
        motor, pitch = machine.motor, machine.belt.pitch
        return self.teeth * pitch + self.steps * motor.teeth * pitch / motor.steps


@dataclass(frozen=True)
class BeltSlip:
    """How much longer the belts are than counted."""

    belts: Floats
    """(2,) mm, left and right: the value of the jump if there is one, else the measured value."""
    spread: Floats
    """(2, 2) mm²: covariance of belts; zeros for a jump."""
    measured: Floats
    """(2,) mm: measured value."""
    measured_spread: Floats
    """(2, 2) mm²: covariance of the measured value."""
    jumps: tuple[WholeSlip, ...]
    """All whole slips that agree with the measurement, best first; equal lengths by teeth and by steps count once."""

    whole: bool = True
    """True: slips by whole teeth and steps were considered."""

    @property
    def jump(self) -> WholeSlip | None:
        """The slip, if exactly one agrees with the measurement."""
        return self.jumps[0] if len(self.jumps) == 1 else None

    @property
    def is_none(self) -> bool:
        """True if the measured value is within its uncertainty."""
        return _distance(self.measured, self.measured_spread) <= CHI_SQUARED_95

    def describe(self, machine: Machine) -> str:
        """Returns the result as a sentence."""
        left, right = self.measured
        about = COVERAGE * np.sqrt(np.diag(self.measured_spread))
        text = tr(
            "The left belt is {0:+.1f} mm (± {1:.1f}) longer than the controller counts, the right one "
            "{2:+.1f} mm (± {3:.1f}).",
            left,
            about[0],
            right,
            about[1],
        )
        if not self.whole:
            return text + " " + tr("The measured value is used.")
        if self.is_none:
            return text + " " + tr("This is within the measuring error: no slip found.")
        if self.jump is not None:
            return text + " " + _slip_text(self.jump, machine)
        if self.jumps:
            return (
                text
                + " "
                + tr(
                    "Several slips fit this reading; the measured value is used. Measure more "
                    "accurately, or at a more distant point, to tell them apart."
                )
            )
        return (
            text
            + " "
            + tr(
                "No single belt slip explains this. Perhaps both belts slipped or an anchor "
                "moved: measure the anchors again. The measured value is used."
            )
        )


def _slip_text(jump: WholeSlip, machine: Machine) -> str:
    length = jump.length(machine)
    if jump.teeth:
        what = plural("{0} tooth", "{0} teeth", abs(jump.teeth))
    else:
        what = plural("{0} full step", "{0} full steps", abs(jump.steps))
    sentence = (
        tr("The left belt slipped by {0}: {1:+.2f} mm.", what, length)
        if jump.side == 0
        else tr("The right belt slipped by {0}: {1:+.2f} mm.", what, length)
    )
    return sentence + " " + tr("The remaining strokes are planned for exactly this slip.")


def estimate_slip(
    machine: Machine, hanging: Hanging, readings: tuple[PenOffsetReading, ...], sigma: float, whole: bool = True
) -> BeltSlip:
    """Estimates the slip from readings by weighted least squares. sigma: standard uncertainty of each coordinate, mm. whole:
    True for a slip by whole teeth or steps; False for a machine that was hung again by hand.

    Raises BadValue if a reading cannot come from a slip.
    """
    rig = CableRobotModel.of(machine, hanging)
    wanted = np.array([r.place for r in readings], dtype=float)
    off = np.array([r.off for r in readings], dtype=float)
    if (np.hypot(*off.T) > LARGEST_OFFSET).any():
        raise BadValue(
            tr("More than {0:.0f} mm off cannot be a slip. Measure the pen's position again", LARGEST_OFFSET)
        )
    should, does = inverse_kinematics(rig, wanted), inverse_kinematics(rig, wanted + off)
    if not (should.converged & does.converged).all():
        raise BadValue(tr("The machine cannot have drawn there. Measure again"))
    errors = does.belts - should.belts
    by_pen = belts_by_pen(rig, does)
    weights = np.linalg.inv(sigma**2 * by_pen @ by_pen.transpose(0, 2, 1))
    spread = np.linalg.inv(weights.sum(axis=0))
    measured = spread @ np.einsum("nij,nj->i", weights, errors)
    seen = whole and _distance(measured, spread) > CHI_SQUARED_95
    jumps = _jumps(machine, measured, spread) if seen else ()
    if len(jumps) == 1:
        exact = np.zeros(2)
        exact[jumps[0].side] = jumps[0].length(machine)
        return BeltSlip(exact, np.zeros((2, 2)), measured, spread, jumps)
    return BeltSlip(measured, spread, measured, spread, jumps, whole)


def start_after_slip(machine: Machine, hanging: Hanging, slip: BeltSlip) -> Point:
    """Returns the pen position, mm, at which the controller has its counts of the starting point. Raises BadValue."""
    rig = CableRobotModel.of(machine, hanging)
    start_pose = inverse_kinematics(rig, np.array([hanging.start_point], dtype=float))
    pose = forward_kinematics(rig, start_pose.belts + slip.belts, start_pose.pen)
    if not pose.converged[0]:
        raise BadValue(tr("With that slip the machine cannot hang at its starting point. Measure again"))
    return tuple(pose.pen[0].tolist())


def _distance(error: Floats, spread: Floats) -> float:
    return float(error @ np.linalg.solve(spread, error))


def _jumps(machine: Machine, measured: Floats, spread: Floats) -> tuple[WholeSlip, ...]:
    """Returns the jumps of one belt that agree with the measurement."""
    found: dict[tuple[int, float], tuple[float, WholeSlip]] = {}
    for side in (0, 1):
        reach = abs(measured[side]) + 4 * np.sqrt(spread[side, side])
        for jump in (*_whole(machine, side, reach, teeth=True), *_whole(machine, side, reach, teeth=False)):
            error = measured.copy()
            error[side] -= jump.length(machine)
            distance = _distance(error, spread)
            key = (side, round(jump.length(machine), 6))
            if distance <= CHI_SQUARED_95 and key not in found:
                found[key] = (distance, jump)
    return tuple(jump for _, jump in sorted(found.values(), key=lambda item: item[0]))


def _whole(machine: Machine, side: int, reach: float, teeth: bool) -> list[WholeSlip]:
    one = WholeSlip(side, teeth=1) if teeth else WholeSlip(side, steps=PERIOD)
    most = int(reach / one.length(machine)) + 1
    counts = [k for k in range(-most, most + 1) if k]
    return [WholeSlip(side, teeth=k) if teeth else WholeSlip(side, steps=PERIOD * k) for k in counts]
