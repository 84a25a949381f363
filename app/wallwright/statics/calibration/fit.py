"""The calibration fit: parameters that best explain the readings, their uncertainties, and readings that disagree.

Least squares over readings and priors, each divided by its standard uncertainty, with Huber's loss so that one misread tape
does not distort the rest (Huber, Robust Statistics, 1981). A reading that disagrees with all the others by more than SLIP
standard uncertainties is left out and named if no other reading would explain the disagreement nearly as well. Otherwise
nothing is left out, and all readings that may be wrong are named, to be taken again. With fewer readings than parameters,
only as many parameters are fitted, those that the readings determine best; the others keep their values, and their
uncertainty is carried into the result (JCGM 100:2008, 5.1.2).
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import msgspec
import numpy as np
from scipy.optimize import least_squares

from wallwright.document.arrays import Flags, Floats
from wallwright.document.calibration import CalibrationFit, Survey
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging
from wallwright.statics.calibration.measurement_model import PredictedMarks, Readings, drawn
from wallwright.statics.calibration.parameters import CalibrationParameter, parameters_of, read_all, write_all
from wallwright.statics.calibration.reliability import SUSPECT, differing_repeats

FEWEST = 3
SLIP = 4.0
"""Smallest disagreement of an outlier, standard uncertainties; one in 16,000 correct readings exceeds it."""
OUTLIER_LEAD = 9.0
"""Smallest lead in squared disagreement of the worst reading over any other for it alone to count as wrong: odds of
exp(9 / 2), ninety to one, for two readings that may share one error."""
HUBER = 2.0
SEARCH_BOUND = 12.0
"""Search bound of every parameter, in prior standard uncertainties."""
LEAST_REDUNDANCY = 0.05
"""Smallest share of a reading's variance that other readings must explain before it can be an outlier."""


@dataclass(frozen=True)
class FittedParameter:
    """One parameter before and after the fit."""

    parameter: CalibrationParameter
    before: float
    value: float
    uncertainty: float
    """Standard uncertainty after the fit."""
    prior: float
    held: bool
    """True: not fitted, for lack of readings."""

    @property
    def uncertainty_reduction(self) -> float:
        """Share of the prior uncertainty removed. 0: the readings say nothing about the parameter; 1: they determine it
        fully."""
        return 1 - self.uncertainty / self.prior


@dataclass(frozen=True)
class OutlierReading:
    """A reading that contradicts the others."""

    measure: int
    """Index into survey.read."""
    disagreement: float
    """Difference from what the other readings predict, mm."""


@dataclass(frozen=True)
class CalibrationResult:
    """Result of a fit."""

    machine: Machine
    hanging: Hanging
    """The fitted hanging; hanging.calibration holds values and covariance."""
    parameters: tuple[FittedParameter, ...]
    covariance: Floats
    """(p, p) covariance of the parameters."""
    residuals: Floats
    """(m,) mm: predicted minus measured reading."""
    slips: tuple[OutlierReading, ...]
    """Readings left out."""
    suspects: tuple[OutlierReading, ...]
    """Readings that may be wrong but were used."""
    agreement: float
    """Root mean square of the residuals of the readings used, mm."""
    spread: float
    """Factor, at least 1, by which the readings' uncertainties were raised to explain the residuals."""


def fit_calibration(machine: Machine, hanging: Hanging, survey: Survey | None = None) -> CalibrationResult:
    """Fits the hanging's survey, or another one. Raises BadValue for fewer than three readings or unknown marks.

    Measurements without a reading are left out; indices and residuals refer to survey.read.
    """
    survey = hanging.survey if survey is None else survey
    readings = Readings.of(survey.marks, survey.read)
    if len(readings.kind) < FEWEST:
        raise BadValue(tr("{0} readings are too few. Take at least {1}", len(readings.kind), FEWEST))
    problem = FitProblem(machine, hanging, survey, readings)
    found, use, slips = without_slips(problem)
    return problem.outcome(found, use, slips)


def without_slips(problem: FitProblem) -> tuple[FitSolution, Flags, list[int]]:
    """Returns the solution of a problem, (m,) bool for the readings used, and the indices of those left out, worst first."""
    use = np.ones(len(problem.readings.kind), dtype=bool)
    slips: list[int] = []
    while True:
        found = problem.solve(use)
        worst = found.worst(use)
        most = len(use) // 4
        if worst is None or len(slips) >= most or use.sum() <= FEWEST or found.rivals(worst, use):
            return found, use, slips
        use[worst] = False
        slips.append(worst)


@dataclass(frozen=True)
class FitSolution:
    """Parameters that best explain the readings."""

    values: Floats
    fitted: Flags
    """(p,) bool: parameters that were fitted."""
    at: PredictedMarks
    residuals: Floats
    """(m,) mm: predicted minus measured reading."""
    covariance: Floats
    studentised: Floats
    """(m,) residuals over their own standard uncertainty; 0 where nothing else checks a reading."""
    tests: Floats
    """(m,) the same for an adjustment that trusts all readings in use: leaving one out reduces the sum of squares by the
    square of its value (Baarda's w)."""
    spread: float

    def worst(self, use: Flags) -> int | None:
        """Returns the index of the worst-fitting reading of those in use, (m,) bool; None if none is an outlier."""
        size = np.where(use, np.abs(self.studentised), 0.0)
        k = int(np.argmax(size))
        return k if size[k] > SLIP else None

    def rivals(self, worst: int, use: Flags) -> list[int]:
        """Returns the indices of the readings in use, (m,) bool, that explain the disagreement nearly as well as the
        worst one."""
        square = np.where(use, self.tests**2, -np.inf)
        near = square > square[worst] - OUTLIER_LEAD
        near[worst] = False
        return [int(k) for k in np.flatnonzero(near & (square > SUSPECT**2))]

    def suspects(self, use: Flags) -> list[int]:
        """Returns the indices of the readings in use, (m,) bool, that should be taken again, worst first."""
        size = np.where(use, np.maximum(np.abs(self.studentised), np.abs(self.tests)), 0.0)
        return [int(k) for k in np.argsort(-size, kind="stable") if size[k] > SUSPECT]


class FitProblem:
    """Readings, parameters and their priors."""

    def __init__(self, machine: Machine, hanging: Hanging, survey: Survey, readings: Readings) -> None:
        self.machine, self.hanging, self.readings = machine, hanging, readings
        self.parameters = parameters_of(machine)
        self.prior = np.array([p.prior(machine) for p in self.parameters])
        self.before = read_all(self.parameters, machine, hanging)
        self.counts = np.array([(m.left, m.right) for m in survey.marks], dtype=float).reshape(-1, 2)
        self.meant = np.array([(m.x, m.y) for m in survey.marks], dtype=float).reshape(-1, 2)
        self._last: tuple[Floats, PredictedMarks] | None = None

    def at(self, values: Floats) -> PredictedMarks:
        """Returns the marks predicted with parameter values (p,), each in its own unit; mm."""
        start, n = self.meant, len(self.meant)
        if self._last is not None:  # starting from the marks of nearby values saves most of the search
            before, marks = self._last
            near = marks.points[:n] + marks.moves[:n] @ (values - before)
            start = np.where(np.isfinite(near).all(axis=1, keepdims=True), near, self.meant)
        found = drawn(self.machine, self.hanging, self.parameters, values, self.counts, start)
        self._last = values.copy(), found
        return found

    def scaled_jacobian(self, at: PredictedMarks, use: Flags) -> Floats:
        """Returns (m, p) derivatives of readings over their uncertainty by parameters over theirs."""
        jacobian = self.readings.derivatives(at.points, at.moves)
        result: Floats = (jacobian * self.prior / self.readings.sigma[:, None])[use]
        return result

    def _choice(self, use: Flags) -> Flags:
        """Returns (p,) bool: which parameters to fit."""
        count = int(use.sum())
        if count >= len(self.prior):
            return np.ones(len(self.prior), dtype=bool)
        a = self.scaled_jacobian(self.at(self.before), use)
        left = np.diag(np.linalg.inv(a.T @ a + np.eye(len(self.prior))))
        chosen = np.zeros(len(self.prior), dtype=bool)
        chosen[np.argsort(left, kind="stable")[:count]] = True
        return chosen

    def solve(self, use: Flags) -> FitSolution:
        """Returns the best-fitting values for the readings in use, (m,) bool, and their uncertainties."""
        chosen = self._choice(use)
        readings = self.readings

        def values_of(z: Floats) -> Floats:
            values = self.before.copy()
            values[chosen] += z * self.prior[chosen]
            return values

        @functools.lru_cache(maxsize=1)  # residuals and derivatives are evaluated at the same values
        def marks_at(z: bytes) -> PredictedMarks:
            return self.at(values_of(np.frombuffer(z)))

        def residuals(z: Floats) -> Floats:
            off = (readings.predicted(marks_at(z.tobytes()).points) - readings.value) / readings.sigma
            # A machine that could not have drawn a mark does not explain it.
            return np.concatenate([np.nan_to_num(off[use], nan=1e4), z])

        def jacobian(z: Floats) -> Floats:
            a = self.scaled_jacobian(marks_at(z.tobytes()), use)[:, chosen]
            return np.vstack([np.nan_to_num(a), np.eye(len(z))])

        answer = least_squares(
            residuals,
            np.zeros(int(chosen.sum())),
            jacobian,
            bounds=(-SEARCH_BOUND, SEARCH_BOUND),
            loss="huber",
            f_scale=HUBER,
            xtol=1e-10,
            ftol=1e-10,
            gtol=1e-10,
            max_nfev=100,
        )
        values = values_of(answer.x)
        at = self.at(values)
        off = readings.predicted(at.points) - readings.value
        return self._judged(values, chosen, at, off, use)

    def _judged(self, values: Floats, chosen: Flags, at: PredictedMarks, off: Floats, use: Flags) -> FitSolution:
        """Returns covariance and studentised residuals at a solution."""
        every = self.scaled_jacobian(at, np.ones(len(use), dtype=bool))
        standard = off / self.readings.sigma
        weight = np.minimum(1.0, HUBER / np.maximum(np.abs(standard), 1e-12)) * use
        a = every * np.sqrt(weight)[:, None]
        covariance = _covariance(a, chosen)
        own = np.einsum("mp,pq,mq->m", every, covariance, every)
        # The fit absorbs part of a reading it used; the uncertainty of an unused reading adds in full.
        variance = 1 + own * (1 - 2 * weight)
        known = variance > LEAST_REDUNDANCY
        student = np.where(known, standard / np.sqrt(np.where(known, variance, 1.0)), 0.0)
        freedom = float(weight.sum() - (weight * own).sum())
        spread = 1.0
        if freedom >= 2:
            spread = max(1.0, float(np.sqrt((weight * standard**2).sum() / freedom)))
        z = (values - self.before)[chosen] / self.prior[chosen]
        tests = _tests(every[:, chosen], standard, z, use)
        return FitSolution(values, chosen, at, off, _covariance(a / spread, chosen), student, tests, spread)

    def outcome(self, found: FitSolution, use: Flags, slips: list[int]) -> CalibrationResult:
        """Returns the calibration result of a solution. use: (m,) bool; slips: indices of the readings left out."""
        suspects = list(dict.fromkeys(found.suspects(use) + differing_repeats(self.readings, use)))
        covariance = found.covariance * np.outer(self.prior, self.prior)
        uncertainty = np.sqrt(np.diag(covariance))
        machine, hanging = write_all(self.parameters, found.values, self.machine, self.hanging)
        calibration = CalibrationFit(
            tuple(p.name for p in self.parameters),
            tuple(found.values.tolist()),
            tuple(tuple(row) for row in covariance.tolist()),
            int(use.sum()),
        )
        fitted = tuple(
            FittedParameter(p, float(b), float(v), float(u), float(s), not c)
            for p, b, v, u, s, c in zip(
                self.parameters, self.before, found.values, uncertainty, self.prior, found.fitted, strict=True
            )
        )
        return CalibrationResult(
            machine,
            msgspec.structs.replace(hanging, calibration=calibration),
            fitted,
            covariance,
            found.residuals,
            tuple(OutlierReading(k, float(found.residuals[k])) for k in slips),
            tuple(OutlierReading(k, float(found.residuals[k])) for k in suspects),
            float(np.sqrt((found.residuals[use] ** 2).mean())),
            found.spread,
        )


def _tests(a: Floats, standard: Floats, z: Floats, use: Flags) -> Floats:
    """Returns (m,) residuals over their standard uncertainties for unweighted least squares of the readings in use, (m,)
    bool.

    a: (m, p) derivatives and standard: (m,) residuals of readings over their uncertainty, and z: (p,) parameters over
    theirs, where another adjustment ended.
    """
    used = a[use]
    own = np.linalg.inv(used.T @ used + np.eye(len(z)))
    left = standard - a @ (own @ (used.T @ standard[use] + z))
    variance = 1 + np.where(use, -1.0, 1.0) * np.einsum("mp,pq,mq->m", a, own, a)
    known = variance > LEAST_REDUNDANCY
    return np.where(known, left / np.sqrt(np.where(known, variance, 1.0)), 0.0)


def _covariance(a: Floats, chosen: Flags) -> Floats:
    """Returns the (p, p) covariance in prior units of the fitted parameters, with the contribution of the held ones.

    With H = AᵀA + 1 over the fitted parameters, an error d of a held one moves them by G d, G = -H⁻¹ Aᵀ A_held.
    """
    p = len(chosen)
    fitted, held = np.flatnonzero(chosen), np.flatnonzero(~chosen)
    own = np.linalg.inv(a[:, fitted].T @ a[:, fitted] + np.eye(len(fitted)))
    result = np.eye(p)
    carried = -own @ a[:, fitted].T @ a[:, held]
    result[np.ix_(fitted, fitted)] = own + carried @ carried.T
    result[np.ix_(fitted, held)] = carried
    result[np.ix_(held, fitted)] = carried.T
    return result
