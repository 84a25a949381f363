"""Recovers the pen position from a tape after the controller has lost its count, and how well the remaining drawing will
join.

The pen tip and the nails are on the wall, so distances between them are measured along the wall. A pen that is δ off its
assumed position has belts that are off by B δ, B the derivative of the belts by the pen; at another point of the wall the
same belt errors displace the pen by J B δ, J the derivative of the pen by the belts there (wallwright.statics.sensitivity).
Uncertainties propagate the same way (JCGM 100:2008, GUM, 5.1.2 and F.1.2.3), and are stated as in
wallwright.statics.error_budget.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.continuation import TAPE
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Point
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.expected_error import BY_NAME, valid_calibration
from wallwright.statics.calibration.measurement_model import pen_derivatives
from wallwright.statics.error_budget import (
    COVERAGE,
    LEFT_BELT,
    PITCH_SHARE,
    RIGHT_BELT,
    SOFTNESS,
    lasting_sources,
)
from wallwright.statics.pose import Pose, belts_by_pen, inverse_kinematics
from wallwright.statics.sensitivity import belts_by_parameters, pen_by_belts
from wallwright.statics.straight_belts import pen_from_straight_belts

SAMPLE_POINTS = 400
"""Number of points of a drawing at which the largest error is evaluated."""


@dataclass(frozen=True)
class RecoveredPose:
    """A recovered pose of the machine."""

    pen: tuple[float, float]
    """Pen position, mm."""
    belts: Floats
    """(2,) mm: true belt lengths."""
    pen_spread: Floats
    """(2, 2) mm²: covariance of the pen position."""
    belts_spread: Floats
    """(2, 2) mm²: covariance of the belts."""

    @property
    def within(self) -> float:
        """Expected error of the pen position, mm, stated as in wallwright.statics.error_budget."""
        return float(COVERAGE * np.sqrt(np.trace(self.pen_spread)))


def recover_from_anchor_distances(
    machine: Machine, hanging: Hanging, left: float, right: float, sigma: float = TAPE
) -> RecoveredPose:
    """Recover the pose from the pen's distances to both anchors, mm, each with standard uncertainty `sigma`. Raises
    BadValue."""
    anchors = np.array([(hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y)])
    pen = pen_from_straight_belts(anchors, np.array([[left, right]]))[0]
    if not np.isfinite(pen).all():
        raise BadValue(
            tr(
                "{0:.0f} and {1:.0f} mm from the anchors cannot be right: the anchors are {2:.0f} mm apart. "
                "Measure again",
                left,
                right,
                hanging.distance,
            )
        )
    directions = (pen - anchors) / np.array([[left], [right]])
    try:
        turn = np.linalg.inv(directions)
    except np.linalg.LinAlgError as error:
        raise BadValue(
            tr("The pen is on a line with the anchors. Measure its position to the right and down instead")
        ) from error
    return _found(machine, hanging, pen, sigma**2 * turn @ turn.T)


def recover_from_offsets(
    machine: Machine, hanging: Hanging, right: float, down: float, sigma: float = TAPE
) -> RecoveredPose:
    """Recover the pose from how far the pen is right of the left anchor and below it, mm. Raises BadValue."""
    pen = np.array([hanging.left.x + right, hanging.left.y + down])
    return _found(machine, hanging, pen, sigma**2 * np.eye(2))


def _found(machine: Machine, hanging: Hanging, pen: Floats, spread: Floats) -> RecoveredPose:
    rig = CableRobotModel.of(machine, hanging)
    pose = pose_at(rig, pen)
    by_pen = belts_by_pen(rig, pose)[0]
    return RecoveredPose(tuple(pen.tolist()), pose.belts[0], spread, by_pen @ spread @ by_pen.T)


def pose_at(rig: CableRobotModel, pen: Floats) -> Pose:
    """Returns the single pose with the pen at a point, (2,) mm. Raises BadValue where the machine cannot hang."""
    pose = inverse_kinematics(rig, np.asarray(pen, dtype=float)[None])
    if not pose.converged[0]:
        raise BadValue(
            tr(
                "The machine cannot hang with its pen {0:.0f} mm right of and {1:.0f} mm below its left anchor. Measure "
                "again",
                *(np.asarray(pen, dtype=float) - rig.anchors[0]).tolist(),
            )
        )
    return pose


def pack_covariance(spread: Floats) -> tuple[float, float, float]:
    """Returns a covariance (2, 2) as a project stores it: left, both, right. In mm²."""
    return float(spread[0, 0]), float(spread[0, 1]), float(spread[1, 1])


def resume_covariance(machine: Machine, hanging: Hanging, pen: Point) -> Floats:
    """Returns the (2, 2) mm² covariance of the belt errors between what is already drawn and a continuation that begins with
    the pen truly at a point.

    What is already drawn is off because of the errors of machine and anchors, and of the belt lengths at the start. So is
    the continuation, except that it is exact at its first point P. With D the derivative of the belts by the uncertain
    parameters and δ their errors, a drawing begun at the starting point S differs from one begun at P by (D(S) - D(P)) δ
    plus the error of the start; after a calibration, which fitted counts and not the start, by -D(P) δ, with the belts'
    offsets and pitch among the parameters.
    """
    rig = CableRobotModel.of(machine, hanging)
    poses = inverse_kinematics(rig, np.array([hanging.start_point, pen], dtype=float))
    calibration = valid_calibration(machine, hanging)
    if calibration is not None:
        parameters = tuple(BY_NAME[name] for name in calibration.names)
        moves = pen_derivatives(machine, hanging, poses, parameters)[1]
        as_belts = belts_by_pen(rig, poses)[1] @ moves
        by_fit: Floats = as_belts @ np.array(calibration.covariance) @ as_belts.T
        return by_fit
    terms = [term for cause in lasting_sources(machine) for term in cause.terms]
    own = [(name, size) for name, size in terms if name not in (LEFT_BELT, RIGHT_BELT, PITCH_SHARE)]
    names = tuple("softness" if name == SOFTNESS else name for name, _ in own)
    sizes = np.array([size / rig.stiffness if name == SOFTNESS else size for name, size in own])
    by_numbers = belts_by_parameters(rig, poses, names)
    change = (by_numbers[0] - by_numbers[1]) * sizes
    start = np.diag([dict(terms)[LEFT_BELT] ** 2, dict(terms)[RIGHT_BELT] ** 2])
    let_out = dict(terms)[PITCH_SHARE] * (poses.belts[0] - poses.belts[1])
    result: Floats = change @ change.T + start + np.outer(let_out, let_out)
    return result


def pen_uncertainty(rig: CableRobotModel, points: Points, spread: Floats) -> Floats:
    """Returns (n,) mm: standard uncertainty of the pen position at points (n, 2), both coordinates together, if the belts
    have constant errors with covariance spread (2, 2), mm²; nan where nothing hangs."""
    moves = pen_by_belts(rig, inverse_kinematics(rig, points))
    result: Floats = np.sqrt(np.einsum("nij,jk,nik->n", moves, spread, moves))
    return result


def join_uncertainty(rig: CableRobotModel, points: Points, spread: Floats) -> tuple[float, float]:
    """Returns the expected error, mm, of a drawing at points (n, 2), at a typical point and at the worst one."""
    off = pen_uncertainty(rig, points[:: max(len(points) // SAMPLE_POINTS, 1)], spread)
    off = off[np.isfinite(off)]
    if not len(off):
        return float("nan"), float("nan")
    return float(COVERAGE * np.sqrt((off**2).mean())), float(COVERAGE * off.max())
