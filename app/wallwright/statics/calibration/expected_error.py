"""Expected pen error over the wall: from the calibration if there is a valid one, else from the error budget."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.calibration import CalibrationFit
from wallwright.document.language import mid_sentence, tr
from wallwright.document.machine import Machine
from wallwright.document.pen import Pen
from wallwright.document.wall import Hanging
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.formula_parameters import (
    ALL_FORMULA_PARAMETERS,
    FORMULA_PARAMETERS,
    page_parameters,
    unknown_formula_prior,
)
from wallwright.statics.calibration.measurement_model import pen_derivatives
from wallwright.statics.calibration.parameters import (
    PARAMETERS,
    CalibrationParameter,
    parameters_of,
    read_all,
)
from wallwright.statics.error_budget import (
    COVERAGE,
    ErrorSource,
    changing_sources,
    error_budget_of,
    error_sources,
)
from wallwright.statics.pose import Pose, inverse_kinematics

BY_NAME = {p.name: p for p in (*PARAMETERS, *ALL_FORMULA_PARAMETERS)}
SAMPLE_POINTS = 400
"""Largest number of points of a drawing to evaluate."""
DRAWS, WHOLE = 200, 0.95
START_SIGMA = 10.0
"""Standard uncertainty, mm, of where a machine draws near its start, after a proof drawing."""


@dataclass(frozen=True)
class ErrorCause:
    """One cause of the expected error."""

    key: str
    """Fixed key for programs, the same in every language."""
    title: str
    """Title in the user's language."""
    rms: float
    """Root mean square of the error from this cause alone, mm."""


@dataclass(frozen=True)
class ExpectedError:
    """Standard uncertainty of the pen position at n points."""

    by_point: Floats
    """(n,) mm; nan where nothing hangs."""
    moves: Floats
    """(n, 2, q) mm: pen movement for one standard uncertainty of each of q independent parameters."""
    causes: tuple[ErrorCause, ...]
    """Causes, largest first."""
    calibrated: bool

    @property
    def typical(self) -> float:
        """COVERAGE times the root mean square over the points, mm; nan without points."""
        good = self.by_point[np.isfinite(self.by_point)]
        return float(COVERAGE * np.sqrt((good**2).mean())) if len(good) else np.nan

    @property
    def whole(self) -> float:
        """Radius, mm, within which 95 of 100 such machines keep the pen at all points at once; nan without points. From
        DRAWS randomly drawn machines with a fixed seed."""
        good = self.moves[np.isfinite(self.by_point)]
        if not len(good):
            return np.nan
        numbers = np.random.default_rng(1).normal(size=(self.moves.shape[2], DRAWS))
        off = np.einsum("niq,qd->nid", good, numbers)
        return float(np.quantile(np.hypot(off[:, 0], off[:, 1]).max(axis=0), WHOLE))

    @property
    def worst(self) -> float:
        """COVERAGE times the largest value of all points, mm; nan without points."""
        good = self.by_point[np.isfinite(self.by_point)]
        return float(COVERAGE * good.max()) if len(good) else np.nan

    def sentence(self) -> str:
        return tr(
            "Expect 95 of 100 points within about ± {0:.1f} mm of their places, ± {1:.1f} mm where it is worst. All points "
            "together stay within ± {2:.1f} mm. Largest causes: {3}.",
            self.typical,
            self.worst,
            self.whole,
            ", ".join(tr("{0:.1f} mm from {1}", cause.rms, cause.title) for cause in self.causes[:3]),
        )


def expected_error(
    machine: Machine, hanging: Hanging, pose: Pose, with_drag: bool = True, pens: Sequence[Pen] = ()
) -> ExpectedError:
    """Returns the expected error at solved poses of this machine in this hanging. with_drag: False leaves out of a
    calibration's result what no calibration removes, to show what calibration alone leaves. pens: those that draw; none:
    one unmeasured pen."""
    calibration = valid_calibration(machine, hanging)
    if calibration is not None:
        return _learnt(machine, hanging, pose, calibration, changing_sources(machine, pens) if with_drag else ())
    sources, rig = error_sources(machine, pens), CableRobotModel.of(machine, hanging)
    budget = error_budget_of(rig, pose, sources, _measured_belts(machine, hanging, rig))
    causes = [
        ErrorCause(c.title, tr("{0} (uncertainty {1})", tr(c.title), tr(c.size)), size)
        for c, size in zip(sources, budget.by_cause.tolist(), strict=True)
    ]
    return ExpectedError(budget.combined, budget.moves, _sorted(causes), False)


def valid_calibration(machine: Machine, hanging: Hanging) -> CalibrationFit | None:
    """Returns the calibration if machine and hanging still have the values it was made for."""
    calibration = hanging.calibration
    if calibration is None or any(name not in BY_NAME for name in calibration.names):
        return None
    now = read_all(tuple(BY_NAME[name] for name in calibration.names), machine, hanging)
    return calibration if np.allclose(now, calibration.values, rtol=1e-9, atol=1e-9) else None


def _learnt(
    machine: Machine,
    hanging: Hanging,
    pose: Pose,
    calibration: CalibrationFit,
    changing: tuple[ErrorSource, ...],
) -> ExpectedError:
    parameters = tuple(BY_NAME[name] for name in calibration.names)
    covariance = np.array(calibration.covariance)
    moves = pen_derivatives(machine, hanging, pose, parameters)
    budget = error_budget_of(CableRobotModel.of(machine, hanging), pose, changing)
    by_point = np.sqrt(pen_variance(moves, covariance) + budget.combined**2)
    # Contribution of a parameter: what would vanish if it alone were known exactly.
    causes = [
        ErrorCause(
            p.name,
            mid_sentence(tr(p.title)),
            float(np.sqrt(np.nanmean(pen_variance(moves, np.outer(c, c) / c[k])))),
        )
        for k, (p, c) in enumerate(zip(parameters, covariance, strict=True))
    ]
    causes += [
        ErrorCause(c.title, tr(c.title), size) for c, size in zip(changing, budget.by_cause.tolist(), strict=True)
    ]
    size, axes = np.linalg.eigh(covariance)
    own = moves @ (axes * np.sqrt(np.maximum(size, 0.0)))
    return ExpectedError(by_point, np.concatenate([own, budget.moves], axis=2), _sorted(causes), True)


def _sorted(causes: list[ErrorCause]) -> tuple[ErrorCause, ...]:
    return tuple(sorted(causes, key=lambda cause: -np.nan_to_num(cause.rms)))


def _measured_belts(machine: Machine, hanging: Hanging, rig: CableRobotModel) -> Floats:
    """Returns (2,) mm belt lengths measured at the start."""
    if machine.controller.code.start == "stop":
        return np.array([machine.belt.left_stop, machine.belt.right_stop])
    belts: Floats = inverse_kinematics(rig, np.array([hanging.start_point], dtype=float)).belts[0]
    return np.nan_to_num(belts)


def expected_error_over_strokes(
    machine: Machine, hanging: Hanging, points: Points, pens: Sequence[Pen] = ()
) -> ExpectedError:
    """Returns the expected error of a drawing with points (n, 2), mm, evaluated at SAMPLE_POINTS of them at most. pens: the
    pens that draw."""
    some = points[:: max(len(points) // SAMPLE_POINTS, 1)]
    pose = inverse_kinematics(CableRobotModel.of(machine, hanging), some)
    return expected_error(machine, hanging, pose, pens=pens)


def pen_variance(moves: Floats, covariance: Floats) -> Floats:
    """Returns (n,) mm²: variance of the pen position, the sum of both coordinates, for moves (n, 2, p) by parameters."""
    result: Floats = np.einsum("nip,pq,niq->n", moves, covariance, moves)
    return result


def prior_error(
    machine: Machine, hanging: Hanging, pose: Pose
) -> tuple[tuple[CalibrationParameter, ...], Floats, Floats]:
    """Returns parameters, their (p, p) covariance before any reading, and the pen's derivative by them, (n, 2, p).

    In the units of the parameters, and mm per these. For a machine that takes drawings, the parameters of its formula and
    page are included, and the place where it draws near its start counts as observed.
    """
    parameters = parameters_of(machine)
    if machine.controller.takes == "drawing":
        parameters = (*parameters, *FORMULA_PARAMETERS, *page_parameters(machine))
        body = machine.body
        wide, high = body.right_exit[0] - body.left_exit[0], body.left_exit[1] + body.right_exit[1]
        prior = np.diag(unknown_formula_prior(machine, parameters, wide / 2, abs(high) / 4) ** 2)
        start = inverse_kinematics(CableRobotModel.of(machine, hanging), np.array([hanging.start_point], dtype=float))
        for row in pen_derivatives(machine, hanging, start, parameters)[0]:
            through = prior @ row
            prior = prior - np.outer(through, through) / (START_SIGMA**2 + row @ through)
    else:
        prior = np.diag([p.prior(machine) ** 2 for p in parameters])
    return parameters, prior, pen_derivatives(machine, hanging, pose, parameters)
