"""Predicted tape readings: marks where the machine would have drawn them, and their derivatives by every parameter."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.calibration import LEFT, RIGHT, Mark, TapeReading
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.parameters import PITCH, CalibrationParameter, write_all
from wallwright.statics.controller_kinematics import belts_to_controller, controller_to_belts
from wallwright.statics.error_budget import LEFT_BELT, RIGHT_BELT
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import Pose
from wallwright.statics.sensitivity import belts_by_parameters, pen_by_belts


@dataclass(frozen=True)
class Readings:
    """Measurements as arrays. Point indices refer to the marks in order, then the left and the right anchor."""

    kind: Integers
    """(m,) kind: 0 distance, 1 across, 2 down."""
    a: Integers
    b: Integers
    """(m,) indices of the points."""
    value: Floats
    sigma: Floats
    """(m,) mm: standard uncertainty."""

    @staticmethod
    def of(marks: tuple[Mark, ...], measures: tuple[TapeReading, ...]) -> Readings:
        """Converts measurements to arrays. Raises BadValue if one names a missing point, or one point twice."""
        index = {m.name: i for i, m in enumerate(marks)} | {LEFT: len(marks), RIGHT: len(marks) + 1}
        for measure in measures:
            for name in (measure.a, measure.b):
                if name not in index:
                    raise BadValue(tr("“{0}” is not a cross of the test drawing. It has {1}", name, ", ".join(index)))
            if measure.a == measure.b:
                raise BadValue(tr("A reading is between two different points, not from {0} to itself", measure.a))
        kinds = {"distance": 0, "across": 1, "down": 2}
        return Readings(
            np.array([kinds[m.kind] for m in measures], dtype=int),
            np.array([index[m.a] for m in measures], dtype=int),
            np.array([index[m.b] for m in measures], dtype=int),
            np.array([np.nan if m.value is None else m.value for m in measures], dtype=float),
            np.array([m.uncertainty for m in measures], dtype=float),
        )

    def predicted(self, points: Points) -> Floats:
        """Returns (m,) mm: readings predicted for points (n + 2, 2)."""
        d = points[self.b] - points[self.a]
        return np.choose(self.kind, [np.hypot(d[:, 0], d[:, 1]), d[:, 0], d[:, 1]])

    def derivatives(self, points: Points, moves: Floats) -> Floats:
        """Returns (m, p) derivatives of the readings, from those of the points, (n + 2, 2, p)."""
        d = points[self.b] - points[self.a]
        length = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-9)
        along = np.where((self.kind == 0)[:, None], d / length[:, None], 0.0)
        along[self.kind == 1, 0] = 1.0
        along[self.kind == 2, 1] = 1.0
        result: Floats = np.einsum("mi,mip->mp", along, moves[self.b] - moves[self.a])
        return result


def pen_derivatives(
    machine: Machine, hanging: Hanging, pose: Pose, parameters: tuple[CalibrationParameter, ...]
) -> Floats:
    """Returns (n, 2, p): derivative of the pen position by each parameter, with the controller's counts held."""
    rig = CableRobotModel.of(machine, hanging)
    own = [p.name for p in parameters if not p.in_formula and p.name not in (LEFT_BELT, RIGHT_BELT, PITCH)]
    moves = pen_by_belts(rig, pose)
    held = belts_by_parameters(rig, pose, tuple(own))
    result = np.empty((len(pose.tilt), 2, len(parameters)))
    plane = (
        belts_to_controller(machine, hanging, "plane", pose.belts) if any(p.in_formula for p in parameters) else None
    )
    offsets = np.array([hanging.left_offset, hanging.right_offset])
    for k, parameter in enumerate(parameters):
        if parameter.name == LEFT_BELT:
            result[:, :, k] = moves[:, :, 0]
        elif parameter.name == RIGHT_BELT:
            result[:, :, k] = moves[:, :, 1]
        elif parameter.name == PITCH:
            paid_out = (pose.belts - offsets) / machine.belt.pitch
            result[:, :, k] = np.einsum("nij,nj->ni", moves, paid_out)
        elif parameter.in_formula:
            assert plane is not None
            by = formula_derivative(machine, hanging, plane, parameter)
            result[:, :, k] = np.einsum("nij,nj->ni", moves, by)
        else:
            result[:, :, k] = -np.einsum("nij,nj->ni", moves, held[:, :, own.index(parameter.name)])
    return result


STEP = 1e-3
"""Step of the difference quotient, mm; the formula is smooth over metres."""


def formula_derivative(
    machine: Machine, hanging: Hanging, plane: np.ndarray, parameter: CalibrationParameter
) -> np.ndarray:
    """Returns (n, 2): derivative of the belts by a parameter of the controller's formula, at fixed places (n, 2) of its
    plane."""
    if parameter.plane_axis >= 0:
        step = STEP * _direction(machine, hanging, plane, parameter)
        ends = [controller_to_belts(machine, hanging, "plane", plane + side * step) for side in (1, -1)]
        return (ends[0] - ends[1]) / (2 * STEP)
    value = parameter.read(machine, hanging)
    ends = [
        controller_to_belts(*parameter.write(machine, hanging, value + side * STEP), "plane", plane) for side in (1, -1)
    ]
    return (ends[0] - ends[1]) / (2 * STEP)


def _direction(machine: Machine, hanging: Hanging, plane: Floats, parameter: CalibrationParameter) -> Floats:
    """Returns (2,) or (n, 2): displacement of places (n, 2) of the plane per unit of a parameter that moves them."""
    if parameter.plane_axis < 2:
        return np.asarray(np.eye(2)[parameter.plane_axis])
    page = machine.controller.page
    asked = plane - [page.shift_right, page.shift_down]
    if parameter.plane_centre is not None:
        centre = np.array(parameter.plane_centre)
    elif page.placing == "anchors":
        centre = np.zeros(2)
    elif page.placing == "wall" and hanging.survey.marks:
        centre = np.array(hanging.survey.scale_centre)  # the wall's corner, the same for every drawing
    elif page.placing == "area":
        centre = np.array([page.own_left + page.own_width / 2, page.own_top + page.own_height / 2])
    else:
        low, high = np.nanmin(asked, axis=0), np.nanmax(asked, axis=0)
        centre = np.where(page.keeps_middle, (low + high) / 2, low)
    return np.asarray((asked - centre) / page.scale)


@dataclass(frozen=True)
class PredictedMarks:
    """Predicted positions of the points between which readings are taken."""

    points: Points
    """(n + 2, 2) mm: marks, then left and right anchor; nan where the machine cannot go."""
    moves: Floats
    """(n + 2, 2, p): derivative by the parameters."""


def drawn(
    machine: Machine,
    hanging: Hanging,
    parameters: tuple[CalibrationParameter, ...],
    values: Floats,
    counts: Floats,
    start: Points,
) -> PredictedMarks:
    """Returns the predicted marks. counts: (n, 2) mm counted by the controller at each mark; start: (n, 2) mm near them."""
    machine, hanging = write_all(parameters, values, machine, hanging)
    belts = controller_to_belts(machine, hanging, "belts", counts)
    return predicted_marks(machine, hanging, parameters, belts, start)


def predicted_marks(
    machine: Machine,
    hanging: Hanging,
    parameters: tuple[CalibrationParameter, ...],
    belts: np.ndarray,
    start: np.ndarray,
) -> PredictedMarks:
    """Returns the marks of a machine with true belts (n, 2), mm; start: (n, 2) mm near them."""
    pose = forward_kinematics(CableRobotModel.of(machine, hanging), belts, start)
    n = len(belts)
    points = np.empty((n + 2, 2))
    points[:n] = pose.pen
    points[n:] = [(hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y)]
    moves = np.zeros((n + 2, 2, len(parameters)))
    moves[:n] = pen_derivatives(machine, hanging, pose, parameters)
    for k, parameter in enumerate(parameters):
        if parameter.name.startswith("right anchor"):
            moves[n + 1, 0 if parameter.name.endswith("x") else 1, k] = 1.0
    return PredictedMarks(points, moves)
