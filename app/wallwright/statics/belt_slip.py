"""A slip: a belt that jumped teeth or a motor that lost steps, inferred from how far off its place the pen drew afterwards.

The controller goes on counting as if nothing had happened, so from then on each belt is longer or shorter than it counts by
one constant. A point that it drew d off its place has belts that are off by belts(P + d) - belts(P), whatever tilt and sag
are there. A stepping motor that loses its place falls in again a whole number of its electrical periods, four full steps,
away (common practice, no source); a belt that jumps does so by whole teeth. Where exactly one such number of one belt
agrees with what was measured it is taken for what happened, and the belt's error is then known exactly.
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
"""Full steps after which a stepping motor's field is the same again."""
AGREES = 5.99
"""95 % of the chi-squared distribution with two degrees of freedom (-2 ln 0.05): of the squared distance between what was
measured and what is supposed, in standard uncertainties."""
FARTHEST = 500.0
"""mm off: farther than that it was no slip."""


@dataclass(frozen=True)
class ArtworkLoader:
    """What was drawn at a place that is known."""

    place: Point
    """Where it should be, mm."""
    off: Point
    """How far right and how far down of that it is, mm."""


@dataclass(frozen=True)
class WholeSlip:
    """One belt that slipped by a whole number."""

    side: int
    """0 left, 1 right."""
    teeth: int = 0
    steps: int = 0
    """Full steps; one of the two is not 0. Positive: the belt is longer than counted."""

    def length(self, machine: Machine) -> float:
        """mm that the belt is longer than counted."""
        motor, pitch = machine.motor, machine.belt.pitch
        return self.teeth * pitch + self.steps * motor.teeth * pitch / motor.steps


@dataclass(frozen=True)
class BeltSlip:
    """By how much the belts are longer than counted."""

    belts: Floats
    """(2,) mm, left and right: as measured, or that of the jump when there is one."""
    spread: Floats
    """(2, 2) mm²; zeros when it is a jump."""
    measured: Floats
    """(2,) mm."""
    measured_spread: Floats
    """(2, 2) mm²."""
    jumps: tuple[WholeSlip, ...]
    """All that agree with what was measured, the nearest first; the same length by teeth and by steps counts once."""

    whole: bool = True
    """Whether whole teeth and steps were tried."""

    @property
    def jump(self) -> WholeSlip | None:
        """What happened, when only one thing agrees."""
        return self.jumps[0] if len(self.jumps) == 1 else None

    @property
    def is_none(self) -> bool:
        """Whether what was measured is no more than its uncertainty."""
        return _distance(self.measured, self.measured_spread) <= AGREES

    def words(self, machine: Machine) -> str:
        """The sentence about it."""
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
    machine: Machine, hanging: Hanging, readings: tuple[ArtworkLoader, ...], sure: float, whole: bool = True
) -> BeltSlip:
    """What the readings say, by weighted least squares. sure: mm, standard uncertainty of each coordinate. whole: whether it
    was by whole teeth or steps, as a slip is, and not by what a machine hung again by hand is off.

    Raises BadValue when a reading cannot be that of a slip.
    """
    rig = CableRobotModel.of(machine, hanging)
    wanted = np.array([r.place for r in readings], dtype=float)
    off = np.array([r.off for r in readings], dtype=float)
    if (np.hypot(*off.T) > FARTHEST).any():
        raise BadValue(tr("More than {0:.0f} mm off cannot be a slip. Measure the pen's position again", FARTHEST))
    should, does = inverse_kinematics(rig, wanted), inverse_kinematics(rig, wanted + off)
    if not (should.converged & does.converged).all():
        raise BadValue(tr("The machine cannot have drawn there. Measure again"))
    errors = does.belts - should.belts
    by_pen = belts_by_pen(rig, does)
    weights = np.linalg.inv(sure**2 * by_pen @ by_pen.transpose(0, 2, 1))
    spread = np.linalg.inv(weights.sum(axis=0))
    measured = spread @ np.einsum("nij,nj->i", weights, errors)
    seen = whole and _distance(measured, spread) > AGREES
    jumps = _jumps(machine, measured, spread) if seen else ()
    if len(jumps) == 1:
        exact = np.zeros(2)
        exact[jumps[0].side] = jumps[0].length(machine)
        return BeltSlip(exact, np.zeros((2, 2)), measured, spread, jumps)
    return BeltSlip(measured, spread, measured, spread, jumps, whole)


def start_after_slip(machine: Machine, hanging: Hanging, slip: BeltSlip) -> Point:
    """Where the pen is, mm, when the controller counts what it counts at the starting point. Raises BadValue."""
    rig = CableRobotModel.of(machine, hanging)
    start_pose = inverse_kinematics(rig, np.array([hanging.start_point], dtype=float))
    pose = forward_kinematics(rig, start_pose.belts + slip.belts, start_pose.pen)
    if not pose.converged[0]:
        raise BadValue(tr("With that slip the machine cannot hang at its starting point. Measure again"))
    return tuple(pose.pen[0].tolist())


def _distance(error: Floats, spread: Floats) -> float:
    return float(error @ np.linalg.solve(spread, error))


def _jumps(machine: Machine, measured: Floats, spread: Floats) -> tuple[WholeSlip, ...]:
    """Jumps of one belt that agree with what was measured."""
    found: dict[tuple[int, float], tuple[float, WholeSlip]] = {}
    for side in (0, 1):
        reach = abs(measured[side]) + 4 * np.sqrt(spread[side, side])
        for jump in (*_whole(machine, side, reach, teeth=True), *_whole(machine, side, reach, teeth=False)):
            error = measured.copy()
            error[side] -= jump.length(machine)
            distance = _distance(error, spread)
            key = (side, round(jump.length(machine), 6))
            if distance <= AGREES and key not in found:
                found[key] = (distance, jump)
    return tuple(jump for _, jump in sorted(found.values(), key=lambda item: item[0]))


def _whole(machine: Machine, side: int, reach: float, teeth: bool) -> list[WholeSlip]:
    one = WholeSlip(side, teeth=1) if teeth else WholeSlip(side, steps=PERIOD)
    most = int(reach / one.length(machine)) + 1
    counts = [k for k in range(-most, most + 1) if k]
    return [WholeSlip(side, teeth=k) if teeth else WholeSlip(side, steps=PERIOD * k) for k in counts]
