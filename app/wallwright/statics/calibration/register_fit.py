"""Lining up: where a hanging's anchors are, inferred from marks on the wall that its pen was sent to.

The controller paid out the belts that put the pen on a mark if the anchors were where they are thought to be. Where the
pen hung instead tells where they are: least squares over the places of both anchors, of the sightings over their standard
uncertainty and of what was known before, Gauss-Newton (JCGM 100:2008 for the uncertainties). Marks lie in a strip that two
hangings share; of anchors far from it they tell little, and need not: it is there that the parts meet.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.register import Register, Sighting
from wallwright.document.wall import Hanging
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics

FEWEST = 2
READ = 0.5
"""mm: standard uncertainty of a sighting read off a cross with a ruler."""
KNOWN = 15.0
"""mm: standard uncertainty of where an anchor was set, across and down."""
ROUNDS = 12
SETTLED = 1e-4
"""mm"""
STEP = 0.5
"""mm: for the derivatives; the second order is below a thousandth of the first there."""
SLIP = 4.0
"""Standard uncertainties by which a sighting may disagree with the others before it is called a slip."""
DISAGREES = 3.0
"""mm: a small disagreement is no slip, however sure the readings are; ink lines are this wide."""


@dataclass(frozen=True)
class RegisterFit:
    """A hanging where it really hangs."""

    hanging: Hanging
    """Its anchors corrected; its starting point is where the pen hangs with the belts that it had there."""
    moved: Floats
    """(2, 2) mm that the left and right anchor are off their places, right and down."""
    uncertainty: Floats
    """(2, 2) mm, standard, of these."""
    residuals: Floats
    """(n, 2) mm of each sighting that is left."""
    slips: tuple[int, ...]
    """Sightings that the others contradict."""

    @property
    def left_over(self) -> float:
        """mm, root mean square."""
        return self.hanging.register.left_over

    @property
    def expected(self) -> float:
        """mm, standard: how well parts meet near the marks."""
        return self.hanging.register.expected


def fit_register_marks(
    machine: Machine,
    hanging: Hanging,
    sightings: tuple[Sighting, ...],
    read: float = READ,
    known: float = KNOWN,
) -> RegisterFit:
    """The hanging that the sightings tell of. read, known: standard uncertainties of a reading and of the anchors' places
    as they were, mm. Raises BadValue for fewer than two marks, and where nothing would hang so."""
    if len({s.mark.name for s in sightings}) < FEWEST:
        raise BadValue(tr("At least {0} marks are needed. Read one more", FEWEST))
    marks = np.array([[s.mark.x, s.mark.y] for s in sightings])
    seen = marks + np.array([[s.right, s.down] for s in sightings])
    thought = CableRobotModel.of(machine, hanging)
    commanded = inverse_kinematics(thought, marks)
    if not commanded.converged.all():
        raise BadValue(tr("The machine cannot hang at one of the marks. Check the anchors"))

    def pens(shift: Floats) -> Points:
        return forward_kinematics(
            CableRobotModel.of(machine, _shifted(hanging, shift)), commanded.belts, start=seen
        ).pen

    shift = np.zeros(4)
    for _ in range(ROUNDS):
        off = (seen - pens(shift)).ravel()
        slopes = _slopes(pens, shift)
        normal = slopes.T @ slopes / read**2 + np.eye(4) / known**2
        step = np.linalg.solve(normal, slopes.T @ off / read**2 - shift / known**2)
        if not np.isfinite(step).all():
            raise BadValue(tr("These readings are not possible for this machine. Check them and their signs"))
        shift += step
        if np.abs(step).max() < SETTLED:
            break
    left = seen - pens(shift)
    slopes = _slopes(pens, shift)
    covariance = np.asarray(np.linalg.inv(slopes.T @ slopes / read**2 + np.eye(4) / known**2), dtype=np.float64)
    return RegisterFit(
        _lined(machine, hanging, sightings, shift, left, slopes, covariance),
        shift.reshape(2, 2),
        np.sqrt(np.diag(covariance)).reshape(2, 2),
        left,
        _slips(left, slopes, covariance, read),
    )


def _shifted(hanging: Hanging, shift: Floats) -> Hanging:
    replace = msgspec.structs.replace
    a, b, c, d = shift.tolist()
    return replace(
        hanging,
        left=replace(hanging.left, x=hanging.left.x + a, y=hanging.left.y + b),
        right=replace(hanging.right, x=hanging.right.x + c, y=hanging.right.y + d),
    )


def _slopes(pens: Callable[[Floats], Points], shift: Floats) -> Floats:
    """(2 n, 4) of the pens by the anchors' places."""
    return np.column_stack(
        [((pens(shift + STEP * unit) - pens(shift - STEP * unit)) / (2 * STEP)).ravel() for unit in np.eye(4)]
    )


def _lined(
    machine: Machine,
    hanging: Hanging,
    sightings: tuple[Sighting, ...],
    shift: Floats,
    left: Points,
    slopes: Floats,
    covariance: Floats,
) -> Hanging:
    there = _shifted(hanging, shift)
    # The machine hangs at its starting point with belts that stay as they are: that is where the job starts.
    start_point = np.array([hanging.start_point], dtype=float)
    pen = forward_kinematics(
        CableRobotModel.of(machine, there),
        inverse_kinematics(CableRobotModel.of(machine, hanging), start_point).belts,
        start=start_point,
    ).pen[0]
    if not np.isfinite(pen).all():
        raise BadValue(tr("These readings are not possible for this machine. Check them and their signs"))
    at_marks = (slopes @ covariance @ slopes.T).diagonal().reshape(-1, 2).sum(axis=1)
    planned = hanging.register.planned or ((hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y))
    register = Register(
        hanging.register.marks or tuple(s.mark for s in sightings),
        sightings,
        planned,
        float(np.sqrt(np.mean(left**2))),
        float(np.sqrt(at_marks.max())),
    )
    return msgspec.structs.replace(there, start_point=(float(pen[0]), float(pen[1])), register=register)


def _slips(left: Floats, slopes: Floats, covariance: Floats, read: float) -> tuple[int, ...]:
    """Sightings whose residual is too large for its own uncertainty."""
    spread = read**2 - (slopes @ covariance @ slopes.T).diagonal()
    size = np.abs(left.ravel())
    bad = (size > SLIP * np.sqrt(np.maximum(spread, 1e-6))) & (size > DISAGREES)
    return tuple(np.unique(np.flatnonzero(bad) // 2).tolist())
